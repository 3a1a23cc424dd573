"""Every check that a sharp reviewer makes is made here: by a finding, or by what the table says in its place.

The list of checks is common practice of reviewers, no published source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import yaml
from control_site import LATER, swap

from docgen.check import check
from docgen.findings import RULES
from docgen.pipeline import check_site
from docgen.read import read_text
from docgen.revisions import compare_site

NAMES = {rule.name for rule in RULES}
INSTEAD = ("problem", "control")


@cache
def checks() -> tuple[dict, ...]:
    path = Path(__file__).parent / "brief_checks.yaml"
    return tuple(yaml.safe_load(path.read_text(encoding="utf-8"))["checks"])


def test_all_checks_are_there():
    """There are 109 of them, each named once."""
    assert len(checks()) == 109
    assert len({c["check"] for c in checks()}) == 109


@pytest.mark.parametrize("row", checks(), ids=lambda r: r["check"])
def test_check_is_covered(row):
    """A check names findings that exist, or says what takes their place and why."""
    assert set(row) <= {"check", "findings", "note", "instead", "why"}
    if "findings" in row:
        assert row["findings"]
        assert set(row["findings"]) <= NAMES
    else:
        assert row["instead"] in INSTEAD
        assert len(row["why"]) > 40


def test_a_finding_that_serves_two_checks_says_so():
    """Where one finding answers two checks alone, the row says why."""
    assert {"kit-capacity", "documents-contradict"} <= set(shared(checks()))
    assert unexplained(checks()) == []
    noted = {"check": "a", "findings": ["x"], "note": "one with b"}
    assert unexplained((noted, {"check": "b", "findings": ["x"]})) == []
    assert unexplained(({"check": "a", "findings": ["x"]}, {"check": "b", "findings": ["x", "y"]})) == ["x"]


def shared(rows: tuple[dict, ...]) -> list[str]:
    """Findings that answer several checks."""
    named = [name for row in rows for name in row.get("findings", ())]
    return sorted({name for name in named if named.count(name) > 1})


def unexplained(rows: tuple[dict, ...]) -> list[str]:
    """Findings that answer several checks where no row says why one is enough."""
    return [name for name in shared(rows) if not any("note" in row for row in rows if name in row.get("findings", ()))]


def test_bare_number_is_a_problem():
    """What the table says of a bare figure holds: a problem with its line and the right way to write it."""
    text = "profile: 2\nsite: {id: a, name: A, jurisdiction: US}\ndocument: {effective: 2026-11-01}\nbays:\n  - {id: B, name: B, rail: {underside: 25}}\n"
    (problem,) = check(read_text(text))
    assert problem.line == 5
    assert "has no unit" in problem.message


def test_an_old_approval_lapses_in_the_records(site):
    """What the table leaves to the records is theirs: an approval of an older text stands no more (no clause of the record of the engineer names the site), and the revision in force is one."""
    swap(site, ("name: Harrow Ridge Terminal\n", "name: Harrow Hill Terminal\n"))
    checked = check_site(site, LATER)
    stands = {s.approval.document for s, _ in compare_site(checked).approvals if s.stands and s.approval.scope == ("document",)}
    assert stands == set()
    assert checked.records.in_force("contractor-notice", "en").revision == 1
    assert [row["check"] for row in checks() if row.get("instead") == "control"]


def test_the_list_is_printed_with_severity_and_basis(capsys):
    """`docgen explain findings` prints every finding with its severity, what it stops and what it rests on."""
    from docgen.cli import main

    assert main(["explain", "findings"]) == 0
    lines = capsys.readouterr().out.splitlines()
    for rule in RULES:
        row = next(line.split() for line in lines if line.split()[:1] == [rule.name])
        assert row[1:3] == [rule.severity, rule.stops]
        assert len(row) > 3
