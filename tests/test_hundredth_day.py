"""The hundredth day of an issued site: what changes on it, and what a careful manager expects of each (hundredth_day.yaml, written first)."""

from __future__ import annotations

import copy
import shutil
from datetime import date
from pathlib import Path

import pytest
import yaml
from composed_once import composed_once
from control_site import LATER, SIGNERS, approve_all, happened, issue
from support import CLIMBING, PlainDumper, PlainLoader, changed

from docgen.control.plain import plain
from docgen.control.tell import as_text, json_object
from docgen.pipeline import check_site
from docgen.read import read_profile
from docgen.revisions import compare_site

TABLE = yaml.load((Path(__file__).parent / "hundredth_day.yaml").read_text(encoding="utf-8"), PlainLoader)


@pytest.fixture(scope="module", autouse=True)
def _composed_once():
    """The texts of the site are composed once for each state of its profile."""
    with composed_once():
        yield


def new_data(site: Path, row: dict) -> dict:
    """The profile with the change of a row."""
    data = read_profile(site).data
    if row.get("climbing"):
        also = row["climbing"]
        return changed(data, {**CLIMBING, **(also if isinstance(also, dict) else {})})
    if "vehicle" not in row:
        return changed(data, row["change"])
    asked = row["vehicle"]
    data = copy.deepcopy(data)
    vehicle = next(v for v in data["vehicles"] if v["id"] == asked["of"])
    task = next(t for t in data["tasks"] if t["id"] == asked["task"])
    data["vehicles"].append({**copy.deepcopy(vehicle), "id": asked["id"], "name": asked["name"]})
    data["tasks"].append({**copy.deepcopy(task), "id": asked["as"], "vehicle": asked["id"]})
    for method in data["rescue"]["methods"] if asked.get("rescued") else ():
        method["vehicles"].append(asked["id"])
    return data


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row["says"])
def test_what_a_careful_manager_expects(row, issued, tmp_path):
    """Papers, approvals, people, places and dates of a change, all of them and no more."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    data = new_data(site, row)
    (site / "profile.yaml").write_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8")
    if "log" in row:
        happened(site, **{**row["log"], "on": date.fromisoformat(row["log"]["on"])})
    checked = check_site(site, LATER)
    assert checked.problems == ()
    changes = compare_site(checked)
    told = json_object(changes, "en")
    assert as_text(changes, "en")
    found = {
        "papers": sorted({document for document, _ in changes.texts_changed}),
        "lapses": sorted(f"{a['document']} {a['role']}" for a in told["approvals"] if not a["stands"]),
        "hang": sorted({r["posting"] for r in told["replace"]}),
    }
    assert found == {key: sorted(row[key]) for key in found}
    assert sorted(f"{m.document} {m.role}" for m in changes.missing) == sorted(row.get("again", []))
    names = {}
    for line in told["tell"]:
        names.setdefault(line["who"], set()).update(line["names"])
    assert {who: sorted(there) for who, there in names.items()} == {who: sorted(there) for who, there in row["tell"].items()}
    assert {d["when"] for d in told["deadlines"]} == set(row["by"])
    assert plain(changes, "en").permissions == tuple(row.get("said", ()))
    assert changes.old.shut == set()
    assert changes.new.shut == set(row.get("shut", ()))
    due, stopped = [*row.get("again", []), *row["lapses"]], {row["stopped"]} if "stopped" in row else set()
    if stopped or "again" in row:
        asked = {"approval-older"} if "again" in row else set()
        lapsed = {"approval-lapsed"} if row["lapses"] else set()
        assert {r.name for r in issue(site, LATER, types=("md",))[1]} == asked | lapsed | stopped
        approve_all(site, LATER, only=tuple(tuple(one.split(" ")) for one in due))
    if stopped:
        assert {r.name for r in issue(site, LATER, types=("md",))[1]} == stopped
        happened(site, kind="number-tried", on=LATER, by="K. Farrow", number=row["number"], how="dialled")
    if stopped or "again" in row:
        revision, against = issue(site, LATER, types=("md",))
        assert not against
        assert sum(name > f"A-{len(SIGNERS):04d}" for name in revision.approvals) == len(due)
