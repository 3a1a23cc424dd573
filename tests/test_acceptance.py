"""The table of acceptance.py as a test: every paper of the clean demos keeps its budget and what must and must not stand on it."""

import pytest
from acceptance import CLEAN, RULES, rows

from docgen.papers import papers

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("site", CLEAN)
def test_every_paper_keeps_its_acceptance(site):
    """No row of the table has a fault, whatever the tests of the single papers look at."""
    assert {row.name: row.faults for row in rows(site) if row.faults} == {}


def test_every_paper_has_something_to_keep():
    """No paper is kept for want of a rule: each that this version writes has a row in acceptance.yaml."""
    assert [paper.name for paper in papers() if paper.written and paper.name not in RULES] == []


@pytest.mark.parametrize("site", CLEAN)
def test_sizes_are_those_on_the_page(site):
    """A larger sheet has a row of its own, and tables count: the table of the engineering record does not say the size of its body."""
    found = {row.name: row.smallest for row in rows(site)}
    assert found["engineering-record"] == found["legal-file"] == 9
    assert found["fall-protection-plan"] == 10
    assert {name for name in found if name.endswith(".large")} == {
        "contractor-notice.large", "bay-sign.B1.large", "bay-sign.B2.large", "shift-sheet.large"}  # fmt: skip
    assert found["shift-sheet.large"] >= 14
