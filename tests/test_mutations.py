"""One planted fault at a time in the clean demo: the intended finding stands, and no other must-fix that does not follow from it.

The faults are those that reviewers of such sites meet: common practice, no published source. The table is tests/mutations.yaml;
tests/mutations.md is the same as a document, kept in step by `python tests/test_mutations.py`.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from support import AS_OF, ROOT, changed, find, log_of, logged, table
from test_findings import RULE, clean, faulty, view_of

from docgen.findings import RULES
from docgen.words import findings_words

TABLE = Path(__file__).parent / "mutations.yaml"
PAGE = Path(__file__).parent / "mutations.md"


@cache
def faults() -> tuple[dict, ...]:
    return tuple(table(TABLE)["faults"])


def must_fix(change: dict, steps: tuple = ()) -> tuple[set[str], set[str]]:
    """Names of all findings, and of the must-fix ones, of the demo with one change, of its profile or its log."""
    found = find(view_of(changed(clean().data, change), AS_OF, log=logged(log_of("harrow-ridge"), steps)))
    return {f.name for f in found}, {f.name for f in found if f.severity == "must-fix"}


@pytest.mark.parametrize("fault", faults(), ids=lambda f: f"{f['finding']}: {f['fault']}")
def test_planted_fault(fault):
    """The intended finding stands; whatever else must be fixed is listed as following from the same fault."""
    names, must = must_fix(fault["change"], fault.get("log", ()))
    assert fault["finding"] in names
    assert must - {fault["finding"]} == set(fault.get("follows", ()))


def test_without_a_fault_nothing_must_be_fixed():
    """The clean demo has no must-fix finding at all."""
    assert must_fix({})[1] == set()


def test_there_are_enough_and_all_differ():
    """At least 150 different faults; every must-fix finding that the profile alone can raise is planted at least once."""
    changes = [repr((f["change"], f.get("log"))) for f in faults()]
    assert len(changes) == len(set(changes)) >= 150
    planted = {f["finding"] for f in faults()}
    elsewhere = {
        "emergency-number-unknown",
        "fit-differs-from-private",
        "holder-rewritten",
        "inspection-interval-over-law",
        "rescue-limit-over-law",
        "posted-differs",
        "paper-withdrawn",
        "weight-in-log",
        "paper-too-long",
    }  # private file, other law, records, finished papers (tests/test_paper_notice.py)
    assert {r.name for r in RULES if r.severity == "must-fix"} - planted <= elsewhere
    assert planted <= set(RULE)


def test_faulty_demo_is_not_clean():
    """The run can tell: the demo that is full of faults has many must-fix findings."""
    assert sum(1 for f in faulty().findings if f.severity == "must-fix") >= 50


def _said(step: dict) -> str:
    """A change of the log in a few words."""
    verb, asked = next(iter(step.items()))
    words = (asked.get(key) for key in ("kind", "part", "person", "kit", "what", "place")) if isinstance(asked, dict) else asked
    return " ".join([verb, *(str(word) for word in words if word)])


def page() -> str:
    """The table as a document: fault, finding, severity, what follows."""
    lines = [
        "# Planted faults and the findings they raise", "",
        f"The clean demo, judged on {AS_OF}, with one fault at a time: {len(faults())} faults. Written by `python tests/test_mutations.py`.", "",
        "| Fault | Place | Finding | What it is called | Severity | Follows from the same fault |", "| :-- | :-- | :-- | :-- | :-- | :-- |",
    ]  # fmt: skip
    for fault in faults():
        follows = ", ".join(fault.get("follows", ())) or "–"
        at = [*fault["change"], *(f"log: {_said(step)}" for step in fault.get("log", ()))]
        places = ", ".join(f"`{p}`" for p in at[:2]) + (", ..." if len(at) > 2 else "")
        title = findings_words("en")[fault["finding"]]["title"]
        lines.append(
            f"| {fault['fault']} | {places} | {fault['finding']} | {title} | {RULE[fault['finding']].severity} | {follows} |"
        )
    return "\n".join(lines) + "\n"


def test_page_is_in_step():
    """tests/mutations.md is what the table says today."""
    assert PAGE.read_text(encoding="utf-8") == page()


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(PAGE.relative_to(ROOT))
