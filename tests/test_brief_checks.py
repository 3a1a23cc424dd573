"""Every check that a sharp reviewer makes is made here: by a finding, or by what the table says in its place.

The list of checks is common practice of reviewers, no published source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import yaml

from docgen.check import check
from docgen.findings import RULES
from docgen.read import read_text

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
    alone = [c for c in checks() if len(c.get("findings", ())) == 1]
    names = [c["findings"][0] for c in alone]
    for row in alone:
        if names.count(row["findings"][0]) > 1 or sum(row["findings"][0] in c.get("findings", ()) for c in checks()) > 1:
            assert "note" in row or any(
                "note" in c for c in checks() if row["findings"][0] in c.get("findings", ()) and c is not row
            ), row


def test_bare_number_is_a_problem():
    """What the table says of a bare figure holds: a problem with its line and the right way to write it."""
    text = "site: {id: a, name: A, jurisdiction: US}\nbays:\n  - {id: B, name: B, rail: {underside: 25}}\n"
    (problem,) = check(read_text(text))
    assert problem.line == 3
    assert "has no unit" in problem.message


def test_an_old_approval_lapses_in_the_records():
    """What the table leaves to the records is theirs: approvals and revisions are held there by digest."""
    from docgen.records import Approval, Issued, Records

    assert {"digest_format", "texts"} <= set(Approval.__dataclass_fields__)
    assert {"revision", "supersedes"} <= set(Issued.__dataclass_fields__)
    assert callable(Records.in_force)


def test_the_list_is_printed_with_severity_and_basis(capsys):
    """`docgen explain findings` prints every finding with its severity, what it stops and what it rests on."""
    from docgen.cli import main

    assert main(["explain", "findings"]) == 0
    lines = capsys.readouterr().out.splitlines()
    for rule in RULES:
        row = next(line.split() for line in lines if line.split()[:1] == [rule.name])
        assert row[1:3] == [rule.severity, rule.stops]
        assert len(row) > 3
