"""Many sites hang on the law of their own place: what is read while they are built, and which of them a changed answer builds again."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from support import AS_OF, ROOT, SITES

from docgen.codes import answers, code, folder
from docgen.codes.folder import HOME
from docgen.pipeline import check_site, compared_site, render_site
from docgen.portfolio.row import of_site
from docgen.portfolio.sites import law_named, of_law

COMMAND = "import sys; from docgen.cli import main; sys.exit(main())"
PROFILE = """profile: 2
site: {{id: {id}, name: {id}, jurisdiction: {place}, sector: general-industry}}
document: {{effective: 2026-11-01}}
bays: [{{id: B1, name: Bay}}]
"""
PLACES = {"kansas": "US-KS", "california": "US-CA", "ontario": "CA-ON"}


@pytest.fixture
def scratch(tmp_path):
    """A copy of the program and its law, and three thin sites: two of one country, one of another."""
    for name in ("docgen", "templates", "schemas"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name, place in PLACES.items():
        (tmp_path / "sites" / name).mkdir(parents=True)
        (tmp_path / "sites" / name / "profile.yaml").write_text(PROFILE.format(id=name, place=place), encoding="utf-8")
    return tmp_path


def built(scratch: Path) -> dict[str, str]:
    """The sites that the copied program builds for its register, and why."""
    done = subprocess.run(
        [sys.executable, "-c", COMMAND, "portfolio", "register", "sites", "--as-of", AS_OF.isoformat(), "--workers", "1", "--why"],
        cwd=scratch, env=os.environ | {"PYTHONPATH": str(scratch)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    return dict(line.split(": ", 1) for line in done.stderr.splitlines())


def test_a_changed_answer_builds_the_sites_of_its_place(scratch):
    """One answer of a state, of a country above it, of another country: the sites under it, and no other; a question asked of all: each."""
    assert built(scratch) == dict.fromkeys(PLACES, "never built")
    assert built(scratch) == {}
    codes = scratch / "docgen" / "codes"
    for path, pattern, stale in (
        ("us_ca/limits.yaml", r"says_plain: \"[A-Z]", ["california"]),
        ("us/limits.yaml", r"says_plain: \"[A-Z]", ["california", "kansas"]),
        ("ca_on/limits.yaml", r"says_plain: \"[A-Z]", ["ontario"]),
        ("questions.yaml", r"asks: \"?[A-Z]", ["california", "kansas", "ontario"]),
    ):
        text = (codes / path).read_text(encoding="utf-8")
        new, count = re.subn(pattern, lambda found: f"{found[0]}{found[0][-1].lower()}", text, count=1)
        assert count == 1, path
        (codes / path).write_text(new, encoding="utf-8")
        assert built(scratch) == dict.fromkeys(stale, "codes"), path


@pytest.mark.parametrize("name", ["harrow-ridge", "madrone-flat"])
def test_what_is_read_is_what_a_site_hangs_on(name, tmp_path, monkeypatch):
    """Each block of law that is asked for while a site is checked, judged, composed, written and listed is of a folder in its digest.

    What falls due is looked for in the sets of the place alone, and its index names every set.
    """
    seen = set()
    real = folder.blocks

    def noted(path, schema, under=""):
        seen.add(Path(path).relative_to(HOME).as_posix())
        return real(path, schema, under)

    code.forget()
    for module in (folder, answers, code):
        monkeypatch.setattr(module, "blocks", noted)
    checked, bodies = compared_site(check_site(SITES / name, AS_OF))
    of_site(checked, name, None, "en", bodies)
    render_site(checked, tmp_path, ("md",), (), bodies)
    law = law_named(checked.site)
    assert law
    mine = {link.path.name for each in law for link in folder.place(each).sharing}
    read = {path.partition("/")[0] for path in seen if "/" in path and not path.endswith("/index.yaml")} - {"elements"}
    assert mine
    assert read <= mine


def test_the_digest_of_a_place():
    """Places of one law have one digest, others another; an owner's set counts; where none is named, or one that is not there, all of it."""
    assert of_law(("US-KS",)) == of_law(("US-NE",)) != of_law(("US-CA",))
    assert of_law(("US-KS", "EM-385-1-1-2024")) != of_law(("US-KS",))
    assert of_law(()) == of_law(("XX",)) != of_law(("US-KS",))
