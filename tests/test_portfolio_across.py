"""Across many sites: where a model, an answer of law and a sentence stand, and what drafted templates and law would move; nothing is written."""

import csv
import io
import json
import re
import shutil
from functools import cache
from pathlib import Path

import pytest
from support import AS_OF, ROOT, SITES, compared, demo, papers, run

from docgen.codes.folder import HOME
from docgen.pipeline import check_site, compared_site
from docgen.portfolio.uses import folded, stands_in, uses_in

LIBRARY = """portfolio: 1
models:
  - {id: srd-a, kind: srd, name: Device A, arrest_distance: {value: 30 in, how: manual}}
  - {id: srd-b, kind: srd, name: Device B, arrest_distance: {value: 30 in, how: manual}}
  - {id: srd-c, kind: srd, name: Device C, arrest_distance: {value: 30 in, how: manual}}
clients: [{id: mill, name: Quern & Sons}]
"""
SITE = """profile: 2
portfolio: {{file: ../portfolio.yaml, client: mill}}
site: {{id: {id}, name: {id}, jurisdiction: {place}, sector: general-industry}}
document: {{effective: 2026-11-01}}
bays: [{{id: B1, name: "{bay}"}}, {{id: B2, name: Far bay}}]
equipment: [{{id: D-1, kind: srd, model: {model}}}, {{id: D-2, kind: srd, model: {model}}}]
systems: [{{id: F-1, bay: B1, parts: [D-1]}}]
"""
THIN = (("kansas", "US-KS", "Bay", "srd-a"), ("nebraska", "US-NE", "=Bay", "SRD-A"), ("ontario", "CA-ON", "Bay", "srd-b"))
NOTICE = "contractor-notice/en/closure.md"
DAY = ("--as-of", AS_OF.isoformat(), "--workers", "1")


@pytest.fixture
def many(tmp_path):
    """Three thin sites of two countries that take over from one library."""
    folder = tmp_path / "sites"
    for site, place, bay, model in THIN:
        (folder / site).mkdir(parents=True)
        text = SITE.format(id=site, place=place, bay=bay, model=model)
        (folder / site / "profile.yaml").write_text(text, encoding="utf-8")
    (folder / "portfolio.yaml").write_text(LIBRARY, encoding="utf-8")
    return folder


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def asked(action: str, folder: Path, *words: str) -> tuple[int, dict, str]:
    """Exit code, what is told as JSON, and the other stream; the folder is as it was."""
    before = tree(folder)
    code, out, err = run("portfolio", action, str(folder), *DAY, "--format", "json", *words)
    assert tree(folder) == before
    return code, json.loads(out) if out else {}, err


def uses(told: dict) -> dict[str, list[dict]]:
    return {site["name"]: site["uses"] for site in told["sites"] if site["uses"]}


# where something is used


def test_a_model_with_its_parts_and_bays(many):
    """By its id in any letters; a part of no system stands in no bay; a model that nobody uses is no error, one that no library has is."""
    code, told, _ = asked("uses", many, "--model", "srd-a")
    assert code == 0
    parts = [("D-1", ["B1"]), ("D-2", [])]
    found = {site: [(u["part"], [b["id"] for b in u["bays"]]) for u in here] for site, here in uses(told).items()}
    assert found == {"kansas": parts, "nebraska": parts}
    code, told, _ = asked("uses", many, "--model", "srd-b", "--model", "srd-c")
    assert (code, [*uses(told)]) == (0, ["ontario"])
    profile = many / "ontario/profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8").replace("CA-ON", "CA-XX"), encoding="utf-8")
    code, told, err = asked("uses", many, "--model", "srd-b")  # a site that cannot be read is told, and its library is known
    assert (code, uses(told), "ontario: " in err) == (1, {}, True)
    code, _, err = asked("uses", many, "--model", "srd-d4")
    assert code == 2
    assert "no library of these sites has a model 'srd-d4'; did you mean 'srd-" in err


@cache
def made() -> tuple:
    """A demo, its bodies, and its papers with theirs, composed once."""
    checked, bodies = compared("harrow-ridge")
    return checked, [body for by in bodies.values() for body in by.values()], [*papers("harrow-ridge").values()]


def found(kind: str, wanted: str) -> list[dict]:
    """The uses at one demo."""
    return [*uses_in(kind, wanted, *made())]


def clauses() -> list:
    return [clause for body in made()[1] for clause in body.clauses]


def test_an_answer_by_its_key_and_by_its_citation():
    """By the key, each clause that asks the law for it; by the citation, that and each clause and sheet that prints it, and no longer number."""
    key = "anchorage_per_user"
    asking = {c.id for c in clauses() if f"law:{key}" in c.cites}
    assert asking
    assert {u["clause"] for u in found("code", key) if u["clause"]} == asking
    citation = demo("harrow-ridge").code.ask(key).citation
    assert citation in {u["citation"] for u in found("code", key)}
    for cited in (citation, citation.replace(" ", "\u00a0").upper()):
        there = found("code", cited)
        printed = {c.id for c in clauses() if citation in c.text.replace("\u00a0", " ")}
        assert printed
        assert printed <= {u["clause"] for u in there}
        sheets = {name for name, p in papers("harrow-ridge").items() if not p.body.clauses and citation in p.document.markdown}
        assert sheets <= {u["paper"] for u in there if u["clause"] is None}
    assert not found("code", "1910.14")
    assert stands_in("1910.140", "29cfr1910.140(c)(13)")
    assert not stands_in("910.140", "29cfr1910.140(c)(13)")


def test_a_key_that_is_none(many):
    """A question or a citation of any place is known though no site uses it; what is none is told with what is nearest."""
    code, told, _ = asked("uses", many, "--code", "29 CFR 1910.140(c)(8)", "--code", "CQLR, c. S-2.1, r. 13, s. 347")
    assert (code, told["asked"][0]) == (0, "29 CFR 1910.140(c)(8)")
    for site in ("nebraska", "ontario"):
        shutil.rmtree(many / site)
    for wrong, near in (("anchorage_per_usr", "anchorage_per_user'?"), ("29 CFR 1910.140(d)(1)(j)", "29 CFR 1910.140(d)(1)(")):
        code, _, err = asked("uses", many, "--code", wrong)
        assert (code, f"did you mean '{near}" in err) == (2, True)


@pytest.mark.parametrize(
    "words",
    [
        "Talk to the person. Say “Move your legs.” from the ground",
        "close the bay—nobody",
        "close the bay",
        "8\u00a0h of learning",
        "1,800\u00a0lbf",
    ],
)
def test_a_sentence_wherever_it_stands(words):
    """Each clause and each sheet in whose plain words it stands, whatever dashes, quotes and blanks are typed; the sentence has the words."""
    there = found("sentence", words)
    plain = folded(words).replace("\\", "")
    for use in there:
        assert plain in folded(use["sentence"])
    simple = {c.id for c in clauses() if plain in folded(c.text.replace("\\", "").replace("*", ""))}
    assert simple <= {u["clause"] for u in there}


def test_escapes_and_signs_of_a_sentence_make_no_difference():
    """What is copied from a Markdown file, from a page or typed finds the same; a sentence over a full stop is found whole."""
    typed = 'While the person hangs, say: "Move your legs. Push'
    there = found("sentence", typed)
    assert there
    places = [(u["paper"], u["clause"]) for u in there]
    for other in ("hangs, say:  “move\u00a0your legs. push", 'While the person hangs, say\\: \\"Move your legs\\. Push'):
        assert [(u["paper"], u["clause"]) for u in found("sentence", other)] == places
    assert {u["clause"] for u in there} & {c.id for c in clauses()}
    assert not found("sentence", "no such words stand anywhere here")
    assert folded("\u2014 \u2011\u00a0A\u2019s\u200b") == "- - a's"
    assert {u["paper"] for u in found("sentence", "Nobody climbs on this shift")} == {"drill-record"}


def test_forms_of_what_is_told(many):
    """Text ends in a line of counts; a table has a line a use and no formula; no hit is said."""
    code, out, _ = run("portfolio", "uses", str(many), *DAY, "--model", "srd-a", "--model", "srd-c")
    assert (code, out.splitlines()) == (0, [
        "srd-a: 2 sites, 4 parts", "  kansas", "    D-1 (srd): B1 Bay", "    D-2 (srd): in the system of no bay",
        "  nebraska", "    D-1 (srd): B1 =Bay", "    D-2 (srd): in the system of no bay",
        "srd-c: no site uses it", "3 sites asked; 2 with a use; nothing was written",
    ])  # fmt: skip
    (many / "kansas/profile.yaml").write_text(
        (many / "kansas/profile.yaml").read_text(encoding="utf-8").replace("D-1", "'+D'"), encoding="utf-8"
    )
    code, out, err = run("portfolio", "uses", str(many), *DAY, "--sentence", "the far bay", "--format", "csv")
    table = list(csv.DictReader(io.StringIO(out)))
    assert (code, "kansas" in err) == (1, True)  # an id that is none: told, and the others go on
    assert {row["site"] for row in table} == {"nebraska", "ontario"}
    assert all("far bay" in row["sentence"].lower() for row in table)


def test_processes_tell_the_same(many):
    """Two processes of this machine find what one does."""
    one, two = (run("portfolio", "uses", str(many), *DAY[:2], "--model", "srd-a", "--workers", n) for n in ("1", "2"))
    assert one == two


# what a draft would move


def laid(folder: Path, name: str, old: str, new: str, ours: Path = ROOT / "templates") -> Path:
    """A folder with a copy of one file of ours in which some words are others."""
    text = (ours / name).read_text(encoding="utf-8")
    assert old in text, name
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return folder


def law_of(folder: Path, name: str, old: str, new: str) -> Path:
    """A folder with a copy of one set of law in which some words are others."""
    shutil.copytree(HOME / name.partition("/")[0], folder / name.partition("/")[0], dirs_exist_ok=True)
    return laid(folder, name, old, new, HOME)


def test_a_drafted_sentence_is_told_once_with_its_sites(many, tmp_path):
    """The clause at each site with its sentence before and after; in the text the sentences stand once."""
    shutil.rmtree(many / "nebraska")
    old, new = "do not climb up to the person", "never climb up to the person"
    own = laid(tmp_path / "own", NOTICE, old, new)
    code, told, _ = asked("draft", many, "--templates", str(own))
    assert code == 0
    assert told["summary"] == {
        "sites": 2, "moved": 2, "clauses": 2, "rests": 0, "faults": 0, "beside": 0, "appear": 0, "vanish": 0, "lapse": 0,
    }  # fmt: skip
    (move,) = [m for m in told["moves"] if m["how"] == "moved"]
    assert [at["site"] for at in move["at"]] == ["kansas", "ontario"]
    assert {at["clause"] for at in move["at"]} == {"contractor-notice.closed-fall"}
    ((said),) = move["said"]
    assert (old in said["before"], new in said["after"], said["before"].replace(old, new) == said["after"]) == (True, True, True)
    code, out, _ = run("portfolio", "draft", str(many), *DAY, "--templates", str(own))
    assert f"\n[{move['number']}] contractor-notice (en), a clause is moved, at 2 sites: kansas, ontario\n" in out
    assert out.count(said["after"]) == 1
    assert out.count("clause contractor-notice.closed-fall moved") == 2


def test_a_draft_in_the_place_of_ours_is_spelled_like_ours(tmp_path):
    """Our templates of some papers laid before themselves move nothing, in a country with another spelling too."""
    home = ROOT / "templates"
    for paper in ("engineering-record", "worksheet"):
        shutil.copytree(home / paper / "en", tmp_path / "own" / paper / "en")
    (tmp_path / "own/worksheet/en/sheet.md").write_bytes((home / "worksheet/en/sheet.md").read_bytes() + b"\n\nOne line more.\n")
    shutil.copytree(SITES / "thornmere", tmp_path / "sites/thornmere")
    code, told, _ = asked("draft", tmp_path / "sites", "--templates", str(tmp_path / "own"))
    assert code == 0
    assert told["summary"]["clauses"] == told["summary"]["rests"] == 0
    assert [(m["paper"], m["said"]) for m in told["moves"]] == [("worksheet", [{"before": None, "after": "One line more."}])]


def test_a_drafted_law_moves_the_sites_of_its_place(many, tmp_path):
    """A lower limit: sentences and findings of the sites under it as a check with that law has them, and nothing at a site of another country."""
    shutil.copytree(SITES / "harrow-ridge", many / "harrow-ridge")
    shutil.rmtree(many / "nebraska")
    own = law_of(tmp_path / "own", "us/limits.yaml", "{value: 1800 lbf, also: 8 kN", "{value: 1700 lbf, also: 7.5 kN")
    code, told, _ = asked("draft", many, "--codes", str(own))
    sites = {site["name"]: site for site in told["sites"]}
    assert code == 1  # something would have to be fixed
    assert sites["ontario"]["clauses"] == sites["ontario"]["appear"] == sites["ontario"]["beside"] == []
    (clause,) = [c for c in sites["kansas"]["clauses"] if c["clause"] == "engineering-record.system-limits"]
    ((said),) = clause["said"]
    assert "1,800 lbf (8 kN)" in said["before"]
    assert "1,700 lbf (7.5 kN)" in said["after"]
    law = compared_site(check_site(SITES / "harrow-ridge", AS_OF, (own,)))[0]
    was, now = ({(f.name, f.path) for f in each.assessed.findings} for each in (made()[0], law))
    assert now - was
    assert {(f["finding"], f["at"]) for f in sites["harrow-ridge"]["appear"]} == now - was
    assert {(f["finding"], f["at"]) for f in sites["harrow-ridge"]["vanish"]} == was - now


def test_an_approval_that_would_lapse(tmp_path):
    """The approval of a text that would be another is told, and is on record as before."""
    site = tmp_path / "sites/harrow-ridge"
    shutil.copytree(SITES / "harrow-ridge", site)
    code, _, err = run(
        "approve",
        str(site),
        "--document",
        "contractor-notice",
        "--role",
        "issuing-authority",
        "--by",
        "R. Oduya",
        "--on",
        "2026-11-02",
    )
    assert code == 0, err
    own = laid(tmp_path / "own", "contractor-notice/en/rules.md", ": do not climb.", ": never climb.")
    code, told, _ = asked("draft", tmp_path / "sites", "--templates", str(own), "--as-of", "2026-11-02")
    assert [(a["approval"], a["paper"], a["part"], a["by"]) for a in told["sites"][0]["lapse"]] == [
        ("A-0001", "contractor-notice", "issuing-authority", "R. Oduya")
    ]
    assert told["summary"]["lapse"] == 1


TEMPLATE = ("templates", NOTICE)
LAW = ("codes", "us/limits.yaml")
PLAIN = """      says_plain: "The employer must report to OSHA, within {} of learning of it, a work-related death that comes within 30 days of the incident.",
"""


@pytest.mark.parametrize(("of", "old", "new", "told"), [
    (TEMPLATE, "{% clause 'closed-fall' %}", "{% claus 'closed-fall' %}", r"own/contractor-notice/en/closure.md:{line}: Encountered unknown tag 'claus'"),
    (TEMPLATE, "do not climb up", "{{ wrongly }} do", r"own/contractor-notice/en/closure.md:{line}: 'wrongly' is undefined (at kansas)"),
    (TEMPLATE, "do not climb up", "{{ 1 + 'x' }} do", r"own/contractor-notice/en/closure.md:{line}: TypeError: "),
    (TEMPLATE, "{% clause 'closed-fall' %}", "Words in no clause\n\n{% clause 'closed-fall' %}", r"own/contractor-notice/en/closure.md:{line}: 'Words in no clause' stands outside a clause"),
    (LAW, "1800 lbf", "1800 lbx", r"own/us/limits.yaml:{line}:17: arrest_force_max: general-industry: 2017-01-17: 'lbx' is not a unit"),
    (LAW, PLAIN, "", "the law of US (all) gives 'report_fatality_within' no sentence for the papers of a site"),
    (LAW, "source: cfr", "sourc: cfr", r"own/us/limits.yaml:{line}:"),
    (LAW, "source: cfr-1910-140", "source: nowhere", r": us/sources.yaml has no source 'nowhere'"),
    (LAW, "\ntrigger_height:", "\ntriger_height:", r"triger_height: no question 'triger_height' may be asked of the law; did you mean 'trigger_height'?"),
], ids=lambda given: given if isinstance(given, str) and " " not in given else None)  # fmt: skip
def test_a_mistake_in_a_draft_is_one_message_with_its_line(of, old, new, told, tmp_path):
    """File and line of the draft; nothing is told of any site."""
    site = tmp_path / "sites/kansas"
    site.mkdir(parents=True)
    text = SITE.format(id="kansas", place="US-KS", bay="Bay", model="x").replace(LINE_OF_PORTFOLIO, "")
    (site / "profile.yaml").write_text(text, encoding="utf-8")
    kind, name = of
    own = laid(tmp_path / "own", name, old, new) if kind == "templates" else law_of(tmp_path / "own", name, old, new)
    text = (own / name).read_text(encoding="utf-8")
    line = text[: text.index(new)].count("\n") + 1
    code, out, err = run("portfolio", "draft", str(tmp_path / "sites"), *DAY, f"--{kind}", str(own))
    assert (code, out) == (2, "")
    assert told.replace("{line}", str(line)) in err
    assert re.match(rf"docgen: {re.escape(str(own / name))}:\d+:", err)


LINE_OF_PORTFOLIO = "portfolio: {file: ../portfolio.yaml, client: mill}\n"


@pytest.mark.parametrize(("kind", "name", "told"), [
    ("templates", "contractor-notice/en/closur.md", "did you mean 'contractor-notice/en/closure.md'?"),
    ("templates", "words/en.yaml", "words, indexes and styles stay ours"),
    ("templates", "parts/en/other.md", "it stands in the place of no template of ours"),
    ("codes", "us_ks/limits.yaml", "a draft of law holds whole sets"),
    ("codes", "questions.yaml", "a draft of law holds whole sets"),
    ("codes", None, "there is no file in it"),
])  # fmt: skip
def test_what_would_have_no_effect_is_refused(kind, name, told, many, tmp_path):
    """A file that stands in the place of nothing, or that no draft changes, is told and not passed over."""
    own = tmp_path / "own"
    own.mkdir()
    if name is not None:
        (own / name).parent.mkdir(parents=True, exist_ok=True)
        (own / name).write_text("# another\n", encoding="utf-8")
    code, _, err = run("portfolio", "draft", str(many), *DAY, f"--{kind}", str(own))
    assert (code, told in err) == (2, True), err


@pytest.mark.parametrize(("words", "told"), [
    (("uses", "."), "uses asks for one kind of thing"),
    (("uses", ".", "--model", "a", "--code", "b"), "uses asks for one kind of thing"),
    (("uses", ".", "--sentence", " - "), "there is no word in it to look for"),
    (("check", ".", "--model", "a"), "--model goes with uses"),
    (("uses", ".", "--templates", "x"), "--templates goes with draft"),
    (("draft", "."), "draft needs what stands before ours"),
    (("draft", ".", "--codes", "gone"), "gone: no such folder"),
    (("draft", ".", "--codes", "x", "--format", "csv"), "--format csv goes with due and uses"),
])  # fmt: skip
def test_wrong_uses_are_told(words, told, tmp_path, monkeypatch):
    """One line that says what would be right; exit 2."""
    monkeypatch.chdir(tmp_path)
    code, _, err = run("portfolio", *words)
    assert (code, told in err) == (2, True), err
