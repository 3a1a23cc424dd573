"""What DEVELOPERS.md says under "How to add", done in a scratch copy: a finding, a jurisdiction; and that rules name papers that exist."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from support import AS_OF, ROOT, SITES

from docgen.codes import known
from docgen.data import load
from docgen.findings import FIRST, RULES, SUBJECTS
from docgen.findings.rule import registered
from docgen.papers import outlines

COMMAND = "import sys; from docgen.cli import main; sys.exit(main())"

FUNCTION = """

@finding("gate-hours-unstated", "fix-soon", documents=(NOTICE,))
def gate_hours_unstated(view: View) -> Iterator[Hit]:
    \"\"\"What it looks at: the hours in which the gate is open.

    Why: a driver who comes at night finds nobody. Example: hours left out. Reference: common practice, no published source.
    \"\"\"
    if view.site.site.gate.hours is None:
        yield Hit("site.gate.hours", {"name": view.site.site.name})
"""
SENTENCES = """\
  gate-hours-unstated:
    title: Hours of the gate not stated
    message: "{name} does not say when its gate is open."
    action: State the hours.
    why: A driver who comes at night finds nobody.
"""


@pytest.fixture
def scratch(tmp_path: Path) -> Path:
    """A copy of the program and its data, and of one demo."""
    for name in ("docgen", "templates", "schemas"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(SITES / "harrow-ridge", tmp_path / "site")
    return tmp_path


def run(scratch: Path, *arguments: str) -> str:
    """What the copied program prints; it must not end in a fault."""
    done = subprocess.run(
        [sys.executable, "-c", COMMAND, *arguments, "--as-of", AS_OF.isoformat()],
        cwd=scratch, env=os.environ | {"PYTHONPATH": str(scratch)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def edit(path: Path, pattern: str, to: str) -> None:
    text, count = re.subn(pattern, lambda _: to, path.read_text(encoding="utf-8"), count=1, flags=re.MULTILINE)
    assert count == 1
    path.write_text(text, encoding="utf-8")


def test_a_finding_is_a_function_and_its_sentences(scratch):
    """A decorated function in the file of its subject and four sentences: check tells it with its place, explain knows it."""
    subject = scratch / "docgen" / "findings" / "place.py"
    subject.write_text(subject.read_text(encoding="utf-8") + FUNCTION, encoding="utf-8")
    sentences = scratch / "templates" / "words" / "findings" / "en.yaml"
    sentences.write_text(sentences.read_text(encoding="utf-8") + SENTENCES, encoding="utf-8")
    edit(scratch / "site" / "profile.yaml", r"^    hours: .*\n", "")
    found = [
        f for f in json.loads(run(scratch, "check", "site", "--format", "json"))["findings"] if f["name"] == "gate-hours-unstated"
    ]
    assert [(f["path"], f["severity"], f["stops"], f["message"]) for f in found] == [
        ("site.gate.hours", "fix-soon", "nothing", "Harrow Ridge Terminal does not say when its gate is open.")
    ]
    assert "Hours of the gate not stated" in run(scratch, "explain", "gate-hours-unstated")


# A state with a plan of its own that has no set here yet: whichever gets one, the drill is done with another.
STATE = next(
    name for name in load(ROOT / "docgen/codes/us/index.yaml", "code/index")["regional_plans"]["private"] if name not in known()
)
STATES_OWN = {
    "index.yaml": f"""\
code: {STATE}
name: the state of the drill
kind: law
extends: US
languages: [en]
units: us
paper: letter
spelling: us
sectors: [general-industry, construction]
authority: the authority of the drill
authority_short: AD
""",
    "limits.yaml": """\
rescue_time_max:
  all:
    2024-03-01: {value: 4 min, source: drill-1, at: "(1)", recalled: true, says: "A person must be reached within this time.",
      says_plain: "A person who hangs must be reached within {}."}
""",
    "sources.yaml": """\
drill-1:
  title: A text made for this drill
  body: The authority of the drill
  edition: first
  url: https://example.org/drill
  form: "DR {section}{paragraph}"
  cite: {section: "1"}
  force: mandatory
  effective: 2024-03-01
  effective_basis: memory
""",
}


def test_a_jurisdiction_is_three_files(scratch):
    """index.yaml, one file of answers and sources.yaml in a folder of any name: the place answers, binds a site and is listed."""
    folder = scratch / "docgen" / "codes" / "of_the_drill"
    folder.mkdir()
    for name, text in STATES_OWN.items():
        (folder / name).write_text(text, encoding="utf-8")
    edit(scratch / "site" / "profile.yaml", r"^  jurisdiction: .*$", f"  jurisdiction: {STATE}")
    assert STATE in run(scratch, "explain", "codes")
    told = run(scratch, "explain", "rescue_time_max", "site")
    assert f"answered by {STATE}" in told
    assert "DR 1(1)" in told
    result = json.loads(run(scratch, "check", "site", "--format", "json"))
    assert result["problems"] == []
    assert "state-plan-mismatch" not in {f["name"] for f in result["findings"]}
    over = [f for f in result["findings"] if f["name"] == "rescue-limit-over-law"]
    assert {f["basis"]["citation"] for f in over} == {"DR 1(1)"}


def test_a_place_without_a_set_says_whose_law_stands_in(scratch):
    """Before it has its folder, the country's law stands in, and what is known of the place is said on paper."""
    edit(scratch / "site" / "profile.yaml", r"^  jurisdiction: .*$", f"  jurisdiction: {STATE}")
    run(scratch, "render", "site", "--into", "out", "--types", "md", "--documents", "fall-protection-plan")
    plan = next((scratch / "out").rglob("fall-protection-plan.md")).read_text(encoding="utf-8")
    assert re.search(
        r"The law of (?:Alaska|US-AK) itself was not read; this is used in its place: United States, federal\b", plan
    )
    assert re.search(r"although (?:Alaska|US-AK) runs a plan of its own that may govern instead", plan)


def test_rules_name_papers_that_exist():
    """Each paper that a finding concerns is a folder in templates; a finding may name any of them."""
    assert {name for rule in RULES for name in rule.documents} <= {outline.name for outline in outlines()}


def test_every_finding_is_in_the_room_of_its_subject():
    """A finding stands in the file that lists it, once; no file of findings is left out of the subjects."""
    assert [rule.name for rule in FIRST] == [rule.name for subject in SUBJECTS for rule in registered(subject)]
    assert len({rule.name for rule in RULES}) == len(RULES)
    files = {path.stem for path in (ROOT / "docgen" / "findings").glob("*.py") if "@finding(" in path.read_text(encoding="utf-8")}
    assert files == {subject.__name__.rpartition(".")[2] for subject in SUBJECTS} | {"second", "rule"} & files
