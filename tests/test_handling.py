"""Living with findings: who sees to an open one, until when, and what protects people meanwhile, in data and on paper.

Owner, day and interim protection for each open finding: document control; common practice, no published source.
"""

from __future__ import annotations

import pytest
from outside import schema_faults
from support import composed, demo, markdown, with_changes

from docgen.compose import compose_all
from docgen.report import json_object

LATE = {"equipment[D-1].arrest_distance": "75 in", "document.kept_at": None}
ENTRY = {
    "finding": "clearance-short",
    "owner": "terminal-manager",
    "due": "2026-12-01",
    "interim_protection": "The truck bay is closed",
}


def site_with(*entries: dict):
    return with_changes(demo("harrow-ridge"), LATE | {"handling": list(entries)})


def test_an_entry_is_tied_to_its_finding():
    """The open entry stands at the finding that it names, and at no other."""
    for finding in site_with(ENTRY).assessed.findings:
        assert (finding.handled is not None) == (finding.name == "clearance-short")


def test_the_entry_for_the_place_goes_before_the_one_for_any_place():
    """Two entries of one finding: the one that names the place is taken."""
    near = ENTRY | {"at": "tasks[load]", "owner": "safety-manager"}
    (finding,) = [f for f in site_with(ENTRY, near).assessed.findings if f.name == "clearance-short"]
    assert finding.handled.owner == "safety-manager"


def test_a_closed_entry_is_not_shown():
    """What is entered as closed takes care of nothing; that it still stands is a finding."""
    checked = site_with(ENTRY | {"closed_on": "2026-10-20", "evidence": "new device"})
    assert all(f.handled is None for f in checked.assessed.findings)
    assert "handling-closed-open" in {f.name for f in checked.assessed.findings}


@pytest.mark.parametrize(("name", "who"), [("legal-file", "Terminal manager, R. Oduya"), ("index", "Terminal manager")])
def test_owner_and_day_are_printed(name, who):
    """The open findings of legal file and site page show who, by when, and what protects people meanwhile; the legal file names the holder."""
    site = site_with(ENTRY)
    made = compose_all(site.site, site.code, site.assessed, site.happened, ("md",), wanted=("legal-file",))
    text = next(d.markdown for d, _ in made if d.name == name)
    assert "Who, by when" in text
    assert f"{who}, by 2026-12-01; meanwhile: The truck bay is closed" in text


def test_without_entries_the_column_is_left_out():
    """A site that does not use the section sees no empty column."""
    for text in markdown(site_with()).values():
        assert "Who, by when" not in text


def test_handling_is_in_no_digest():
    """Who sees to a finding is no part of what is approved."""
    digests = [{n: p.body.digest for n, p in composed(c).items() if n != "index"} for c in (site_with(ENTRY), site_with())]
    assert digests[0] == digests[1]


def test_json_carries_it():
    """The result of a check names owner, day and interim protection, and follows its schema."""
    data = json_object(site_with(ENTRY))
    assert schema_faults("check_result", data) == []
    found = {f["name"]: f["handling"] for f in data["findings"]}
    assert found["clearance-short"] == {
        "owner": "terminal-manager", "opened": None, "due": "2026-12-01", "interim_protection": "The truck bay is closed",
    }  # fmt: skip
    assert found["no-copy-at-work"] is None
