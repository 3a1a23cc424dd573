"""What follows from each kind of change: documents, people, approvals, postings and deadlines, one change of the issued full demo each.

They stand in tests/control/kinds.yaml (common practice of the trade, no published source).
"""

import copy
import dataclasses
import shutil
from datetime import date
from pathlib import Path

import pytest
import yaml
from composed_once import composed_once
from control_site import LATER, happened
from outside import schema_faults
from support import PlainDumper, changed

from docgen.control.changes import compare
from docgen.control.kinds import table
from docgen.control.tell import as_text, json_object
from docgen.papers import papers
from docgen.pipeline import check_site
from docgen.read import read_profile
from docgen.revisions import compare_site

KINDS = yaml.safe_load((Path(__file__).parent / "control" / "kinds.yaml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module", autouse=True)
def _composed_once():
    """The texts of the site are composed once for each state of its profile."""
    with composed_once():
        yield


def test_every_kind_is_tried():
    """All twenty-seven kinds of the table are in the data and in the test."""
    assert len(table()) == 27
    assert {k.name for k in table()} == {row["kind"] for row in KINDS} | {"bay-opened"}  # of a state that no demo is issued in


def test_the_table_names_papers_that_there_are():
    """Each document is one of the library, all of them, or one of two that are kept elsewhere; signs and cards follow what they print."""
    named = {(k.name, d.document) for k in table() for d in k.documents}
    assert {d for _, d in named} <= {o.name for o in papers()} | {"all", "private-record", "event-log"}
    for kind in ("contractor-class", "contact", "user-mass"):
        assert {(kind, "gate-card"), (kind, "bay-sign")} <= named


@pytest.mark.parametrize("row", KINDS, ids=lambda row: row["kind"] + ("+" if "why" in row else ""))
def test_consequences(row, issued, tmp_path):
    """The change is seen as its kind, and documents, people, approvals, postings and deadlines are those of the table."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    data = read_profile(site).data
    (site / "profile.yaml").write_text(
        yaml.dump(changed(data, row["change"]), Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8"
    )
    if "log" in row:
        happened(site, **row["log"])
    checked = check_site(site, LATER)
    assert checked.problems == ()
    changes = compare_site(checked)
    result = json_object(changes, "en")
    assert schema_faults("changes", result) == []
    assert as_text(changes, "en")
    kinds = {k["kind"]: k for k in result["kinds"]}
    assert row["kind"] in kinds
    assert set(kinds) == {row["kind"]} or not row.get("only")
    kind = kinds[row["kind"]]
    for column in ("documents", "tell", "lapses", "post"):
        assert kind[column] == row[column], column
    due = [d["when"] + (f"-{d['count']}" if d["count"] else "") for d in result["deadlines"] if d["kind"] == row["kind"]]
    assert due == row["by"]
    for who, names in row.get("names", {}).items():
        assert [x["names"] for x in result["tell"] if (x["who"], x["kind"]) == (who, row["kind"])] == [names]
    if "lapsed" in row:
        asked = {"engineering-record": "qualified-person", "rescue-procedure": "rescue-lead", "contractor-notice": None}
        lapsed = {a["role"] for a in result["approvals"] if not a["stands"] and asked.get(a["document"], "") in (None, a["role"])}
        assert lapsed == set(row["lapsed"])
    if "replace" in row:
        assert [r["posting"] for r in result["replace"] if r["document"] == "contractor-notice"] == row["replace"]


def test_a_bay_that_is_open_again_is_told(issued):
    """The older state closed a bay that the profile of today does not: whoever was told that it is closed is told that it is open."""
    checked = check_site(issued, LATER)
    changes = compare_site(checked)
    assert not changes.kinds
    again = compare(dataclasses.replace(changes.old, shut=frozenset({"B1"})), changes.new, LATER)
    assert [seen.kind.name for seen in again.kinds] == ["bay-opened"]
    assert [t.who for t in again.tell] == ["users", "rescuers", "supervisors", "gate", "carriers"]
    assert [d.when for d in again.deadlines] == ["before-use"]


def test_a_part_that_is_built_in_nowhere_changes_nothing(issued, tmp_path):
    """A spare device of another rating on the shelf: nobody is retrained, nothing is replaced, and its fields are told as they are."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    data = read_profile(site).data
    spare = next(part for part in data["equipment"] if part["id"] == "D-1")
    data["equipment"].append({**copy.deepcopy(spare), "id": "D-9", "serial": "D9-1", "free_fall_max": "3 ft"})
    (site / "profile.yaml").write_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8")
    result = json_object(compare_site(check_site(site, LATER)), "en")
    assert (result["kinds"], result["tell"], result["replace"], result["deadlines"]) == ([], [], [], [])
    assert "equipment[D-9].serial" in result["unclassified"]


def test_a_date_in_days_counts_from_the_day(issued, tmp_path):
    """Seven days from 2026-11-12 are 2026-11-19 (calendar)."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    happened(site, kind="near-miss", on=date(2026, 11, 9), by="L. Brandt", text="A driver stepped onto the ladder")
    due = [d for d in compare_site(check_site(site, LATER)).deadlines if d.when == "days"]
    assert [(d.count, d.on) for d in due] == [(7, date(2026, 11, 19))]
