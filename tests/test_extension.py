"""What DEVELOPERS.md promises to those who add a document, tried in a copy of the program: one folder, and no Python.

The copy is a program of its own (its package, its templates, a fresh process), so that nothing of it reaches the other tests.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from outside import docx_faults, html_faults, schema_faults
from support import DEMOS, ROOT, SITES, compared, table

CARD = "yard-card"
INDEX = """order: 30
title: {en: Card for the yard}
called: {en: yard card}
short: {en: Yard card}
reader: {en: Everyone in the yard}
circle: site
digest: true
per: site
approvals: []
layout: poster
types: [md, html, docx, pdf]
sections: [card]
"""
BAY_CARD = "bay-card"
BAY_INDEX = """order: 31
title: {en: Card of a bay}
called: {en: bay card}
short: {en: Bay card}
reader: {en: Whoever enters the bay}
circle: site
digest: true
per: bay
approvals:
  - {part: issuing-authority}
findings_of: [contractor-notice]
layout: poster
size: half
types: [md, html]
sections: [card]
"""
BAY_SECTION = """## Where {: #where }

{% clause 'name' %}
This is the {{ bay.name }}.
{% endclause %}
"""
KIND_LIST = "kind-list"
KIND_INDEX = """order: 32
title: {en: Parts of a kind}
called: {en: list of parts}
short: {en: Parts}
reader: {en: The competent person}
circle: record
digest: false
per: kind
layout: report
landscape: true
types: [md, pdf]
sections: [list]
"""
KIND_LIST_SECTION = """## Parts of the kind {{ kind|term }} {: #parts }

As of {{ assessed.as_of }}; {{ assessed.findings|length }} findings, {{ papers|length }} papers with a digest.
"""
SECTION = """## Before you climb {: #before }

{% clause 'call' %}
Call {{ site.emergency.contacts[0].number }} before anybody climbs at {{ site.site.name }}.
{% endclause %}

## The vehicles {: #vehicles }

{% for vehicle in site.vehicles %}
{% clause 'vehicle', vehicle %}
{{ vehicle.name|sentence }} Deck: {{ vehicle.deck|near }}.
{% endclause %}
{% endfor %}
"""
FINDING = '''

@finding("card-unwanted", "must-fix", documents=("yard-card",))
def card_unwanted(view: View) -> Iterator[Hit]:
    """What it looks at: whether there is a bay. Why: a test. Example: any site. Reference: none."""
    yield Hit("bays")
'''
SENTENCES = """
  card-unwanted:
    title: "Card unwanted"
    message: "There is a bay."
    action: "Take the card down."
    why: "A test."
"""
BODIES = """
import json, sys
from datetime import date
from pathlib import Path
from docgen.pipeline import check_site, compared_site
found = {}
for name in sys.argv[2:]:
    _, bodies = compared_site(check_site(Path(sys.argv[1]) / name, date(2026, 11, 1)))
    found[name] = {
        document: {"digest": body.digest, "clauses": {c.id: [c.text, dict(c.inputs)] for c in body.clauses}}
        for document, versions in bodies.items() for body in versions.values()
    }
print(json.dumps(found))
"""
TYPES = "md,html,docx,pdf"


def copy_of_the_program(root: Path) -> Path:
    """The package and the words copied, everything else linked, and one folder more in `templates`."""
    shutil.copytree(ROOT / "docgen", root / "docgen", ignore=shutil.ignore_patterns("__pycache__"))
    (root / "schemas").symlink_to(ROOT / "schemas")
    (root / "templates").mkdir()
    for folder in (ROOT / "templates").iterdir():
        if folder.name == "words":
            shutil.copytree(folder, root / "templates" / "words")
        else:
            (root / "templates" / folder.name).symlink_to(folder)
    for name, index, stem, section in (
        (CARD, INDEX, "card", SECTION),
        (BAY_CARD, BAY_INDEX, "card", BAY_SECTION),
        (KIND_LIST, KIND_INDEX, "list", KIND_LIST_SECTION),
    ):
        place = root / "templates" / name
        (place / "en").mkdir(parents=True)
        (place / "index.yaml").write_text(index, encoding="utf-8")
        (place / "en" / f"{stem}.md").write_text(section, encoding="utf-8")
    return root


def program(root: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Python of that copy, in a fresh process."""
    environment = {**os.environ, "PYTHONPATH": str(root), "XDG_CACHE_HOME": str(root / "cache")}
    return subprocess.run(
        [sys.executable, *arguments], cwd=root, env=environment, capture_output=True, text=True, encoding="utf-8", check=False
    )


def docgen(root: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return program(root, "-m", "docgen.cli", *arguments)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program with one document more."""
    return copy_of_the_program(tmp_path_factory.mktemp("house"))


@pytest.fixture(scope="module")
def bodies(house: Path) -> dict:
    """Demo -> document -> digest and clauses, as that program composes them."""
    result = program(house, "-c", BODIES, str(SITES), *DEMOS)
    assert result.returncode == 0, result.stderr
    return json.loads(result.stdout)


def test_the_folder_follows_its_schema(house):
    """The index of each new document is what schemas/document.schema.json says."""
    for name in (CARD, BAY_CARD, KIND_LIST):
        assert schema_faults("document", table(house / "templates" / name / "index.yaml")) == []


def test_it_is_written_in_every_type(house, tmp_path):
    """render writes the new document in all four types, sound by outside tools, and names it on the site page."""
    result = docgen(house, "render", str(SITES / "harrow-ridge"), "--into", str(tmp_path), "--as-of", "2026-11-01",
                    "--types", TYPES, "--documents", CARD)  # fmt: skip
    assert result.returncode == 0, result.stdout + result.stderr
    out = tmp_path / "harrow-ridge"
    text = (out / f"{CARD}.md").read_text(encoding="utf-8")
    assert "\n\n# Card for the yard\n" in text  # below the band of a draft
    assert "before anybody climbs at Harrow Ridge Terminal." in text
    assert html_faults((out / f"{CARD}.html").read_bytes()) == []
    assert docx_faults((out / f"{CARD}.docx").read_bytes(), tmp_path) == []
    pytest.importorskip("typst", reason="typst is not installed")
    assert (out / f"{CARD}.pdf").read_bytes().startswith(b"%PDF-")
    assert f"{CARD}.pdf" in (out / "index.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("site", DEMOS)
def test_ids_and_trace_are_right(bodies, site):
    """Each clause has the id `document.key[.entity]` and rests on the fields that it prints, and on no other."""
    clauses = bodies[site][CARD]["clauses"]
    checked, _ = compared(site)
    assert set(clauses) == {f"{CARD}.call", *(f"{CARD}.vehicle.{v.id}" for v in checked.site.vehicles)}
    for vehicle in checked.site.vehicles:
        inputs = set(clauses[f"{CARD}.vehicle.{vehicle.id}"][1]) - {"site.jurisdiction"}  # which spells the words
        assert inputs == {f"{vehicle.path}.name", f"{vehicle.path}.deck"}
    assert "site.name" in clauses[f"{CARD}.call"][1]
    assert any(path.startswith("emergency.contacts") for path in clauses[f"{CARD}.call"][1])


@pytest.mark.parametrize("site", DEMOS)
def test_it_moves_no_other_document(bodies, site):
    """The digests of the documents that were there before are what they were: no approval lapses over a new folder."""
    before = {name: versions["en"].digest for name, versions in compared(site)[1].items()}
    ours = {name: body for name, body in bodies[site].items() if name.partition(".")[0] not in (CARD, BAY_CARD)}
    assert {name: body["digest"] for name, body in ours.items()} == before


def test_one_paper_a_bay_and_one_a_kind(house, tmp_path):
    """A paper per bay or kind gives one file each, named by it; the one with a digest sees its bay, the one without the day."""
    result = docgen(house, "render", str(SITES / "harrow-ridge"), "--into", str(tmp_path), "--as-of", "2026-11-01",
                    "--types", TYPES, "--documents", f"{BAY_CARD},{KIND_LIST}")  # fmt: skip
    assert result.returncode == 0, result.stdout + result.stderr
    out = tmp_path / "harrow-ridge"
    site = compared("harrow-ridge")[0].site
    assert {p.name for p in out.glob("bay-card.*.md")} == {f"{BAY_CARD}.{bay.id}.md" for bay in site.bays}
    assert {p.name for p in out.glob("kind-list.*.md")} == {f"{KIND_LIST}.{kind}.md" for kind in {p.kind for p in site.equipment}}
    assert "This is the Truck bay." in (out / f"{BAY_CARD}.B1.md").read_text(encoding="utf-8")
    assert "As of 2026-11-01; " in (out / f"{KIND_LIST}.srd.md").read_text(encoding="utf-8")
    page = (out / "index.html").read_text(encoding="utf-8")
    assert "Card of a bay, Truck bay" in page
    assert f"{KIND_LIST}.srd.pdf" in page
    listed = json.loads((out / "build.json").read_text(encoding="utf-8"))["documents"]
    assert {d["document"]: bool(d["digest"]) for d in listed} == {
        **{f"{BAY_CARD}.{bay.id}": True for bay in site.bays}, **{f"{KIND_LIST}.{p.kind}": False for p in site.equipment}, "index": False,
    }  # fmt: skip


def test_a_paper_of_one_bay_is_approved_and_issued(house, bodies, tmp_path):
    """Each bay has a text of its own with its own digest: an approval of one says nothing of the other."""
    own = {name: body for name, body in bodies["harrow-ridge"].items() if name.startswith(BAY_CARD)}
    assert {name: set(body["clauses"]) for name, body in own.items()} == {
        f"{BAY_CARD}.{bay}": {f"{BAY_CARD}.{bay}.name"} for bay in ("B1", "B2")
    }
    assert len({body["digest"] for body in own.values()}) == 2
    site = Path(shutil.copytree(SITES / "harrow-ridge", tmp_path / "site"))
    on = ("--on", "2026-11-01")
    result = docgen(
        house, "approve", str(site), "--document", f"{BAY_CARD}.B1", "--role", "issuing-authority", "--by", "R. Oduya", *on
    )
    assert result.returncode == 0, result.stderr
    result = docgen(house, "issue", str(site), "--document", f"{BAY_CARD}.B2", *on, "--types", "md")
    assert result.returncode == 1
    assert f"{BAY_CARD}.B2" in result.stdout
    result = docgen(house, "issue", str(site), "--document", f"{BAY_CARD}.B1", *on, "--types", "md")
    assert result.returncode == 0, result.stdout + result.stderr
    assert (site / "issued" / "rev-001" / "documents" / f"{BAY_CARD}.B1.md").is_file()


@pytest.mark.parametrize(
    ("section", "told"),
    [
        ("{% clause 'x' %}\n{{ assessed.as_of }}\n{% endclause %}\n", "'assessed' is undefined; a body is composed without it"),
        (
            "{% clause 'x' %}\n{{ happened.drills|length }}\n{% endclause %}\n",
            "'happened' is undefined; a body is composed without it",
        ),
        ("{% clause 'x' %}\n{{ papers|length }}\n{% endclause %}\n", "'papers' is undefined; a body is composed without it"),
    ],
)
def test_a_paper_with_a_digest_sees_no_log_and_no_day(tmp_path, section, told):
    """What happened, what was found and the day are for papers without a digest."""
    house = copy_of_the_program(tmp_path / "house")
    (house / "templates" / CARD / "en" / "card.md").write_text(f"## Card {{: #card }}\n\n{section}", encoding="utf-8")
    result = docgen(
        house, "render", str(SITES / "harrow-ridge"), "--into", str(tmp_path), "--as-of", "2026-11-01", "--types", "md"
    )
    assert result.returncode == 2
    assert told in result.stderr


def test_a_sheet_has_no_clauses(tmp_path):
    """No approval can rest on a paper without a digest, so it has no clauses; front, back and approvals are refused in its index."""
    house = copy_of_the_program(tmp_path / "house")
    place = house / "templates" / KIND_LIST
    (place / "en" / "list.md").write_text("{% clause 'x' %}\nHere.\n{% endclause %}\n", encoding="utf-8")
    command = ("render", str(SITES / "harrow-ridge"), "--into", str(tmp_path), "--as-of", "2026-11-01", "--types", "md")
    result = docgen(house, *command)
    assert result.returncode == 2
    assert "stands in a frame or in a paper without a digest" in result.stderr
    (place / "index.yaml").write_text(f"{KIND_INDEX}back: [list]\n", encoding="utf-8")
    result = docgen(house, *command)
    assert result.returncode == 2
    assert "kind-list/index.yaml:7:9: digest: a paper without a digest has sections only" in result.stderr.replace("\n", " ")


def test_without_approvers_it_cannot_be_approved(house, tmp_path):
    """A document that nobody has to approve refuses an approval, and the message says why; nothing is recorded."""
    site = Path(shutil.copytree(SITES / "harrow-ridge", tmp_path / "site"))
    result = docgen(house, "approve", str(site), "--document", CARD, "--role", "issuing-authority", "--by", "R. Oduya",
                    "--on", "2026-11-01")  # fmt: skip
    assert result.returncode == 2
    assert f"{CARD} is issued without an approval of its own" in result.stderr
    assert not (site / "approvals").exists()


def test_a_finding_can_name_it(tmp_path):
    """A finding that names the new document stops that one, and none of those that other findings are about."""
    house = copy_of_the_program(tmp_path / "house")
    for name, text in (("docgen/findings/postings.py", FINDING), ("templates/words/findings/en.yaml", SENTENCES)):
        with (house / name).open("a", encoding="utf-8") as file:
            file.write(text)
    result = docgen(house, "check", str(SITES / "harrow-ridge"), "--as-of", "2026-11-01", "--format", "json")
    assert result.returncode == 1, result.stderr
    (found,) = [f for f in json.loads(result.stdout)["findings"] if f["name"] == "card-unwanted"]
    assert found["documents"] == [CARD]
    assert found["message"] == "There is a bay."
    result = docgen(
        house, "render", str(SITES / "harrow-ridge"), "--into", str(tmp_path), "--as-of", "2026-11-01", "--types", "html"
    )
    assert result.returncode in (0, 1), result.stderr
    stamps = {
        p.stem: "DRAFT - NOT FOR POSTING" in p.read_text(encoding="utf-8") for p in (tmp_path / "harrow-ridge").glob("*.html")
    }
    stopped = {name: stamps[name] for name in (CARD, "fall-protection-plan", "contractor-notice", "rescue-procedure")}
    assert stopped == {CARD: True, "fall-protection-plan": False, "contractor-notice": False, "rescue-procedure": False}


def test_the_kept_texts_do_not_know_it(house):
    """Golden texts and pins compare the documents that they name: the new one makes none of them differ but the lists of all papers."""
    shutil.copytree(ROOT / "tests", house / "tests", ignore=shutil.ignore_patterns("__pycache__", "long"))
    (house / "site_profiles").symlink_to(SITES)
    result = program(house, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-c", "/dev/null", "--rootdir", str(house),
                     "-o", "pythonpath=tests", "tests/test_golden.py", "tests/test_pins.py", "-k", "harrow or pellan")  # fmt: skip
    differing = set(re.findall(r"AssertionError: (?:harrow-ridge|pellan-creek)/([\w.-]+): see", result.stdout))
    assert differing == {"legal-file.md"}, result.stdout + result.stderr
    assert re.search(r"\b2 failed, 4 passed\b", result.stdout)
