"""The clock of a rescue and the days of due dates: every number goes through calc and can be repeated from its working."""

from dataclasses import replace
from datetime import date

import pytest
from support import AS_OF, DEMOS, changed, demo, log_of, logged, with_changes

from docgen.engineering.cases import all_cases
from docgen.engineering.dues import all_dues
from docgen.engineering.rescues import all_rescues
from docgen.happened import Happened
from docgen.site import build

STEPS = "rescue.methods[M2].steps"
EXACT = {  # three steps one after the other, 20.1 s each, against 60.3 s
    "rescue.contact_limit": {"value": "60.3 s", "basis": "a limit made for this test"},
    **{f"{STEPS}[{step}].time": {"worst": "20.1 s"} for step in ("alarm", "meter", "fetch", "attach")},
}


def clock(changes=None, site="harrow-ridge"):
    """The rescue rows of a demo with some fields changed, by `vehicle.method.shift`."""
    checked = demo(site)
    new = build(replace(checked.source, data=changed(checked.source.data, changes or {})))
    return {
        f"{r.vehicle}.{r.method}.{r.shift}": r for r in all_rescues(new, checked.code, all_cases(new, checked.assessed.system))
    }


def test_exactly_at_the_limit():
    """Three steps of 20.1 s keep a limit of 60.3 s, though the machine's sum of them is 60.300000000000004 s."""
    row = clock(EXACT)["tank-car.M2.evening"]
    assert row.contact.si == pytest.approx(60.3)
    assert row.contact.si != 60.3
    assert row.within is True


def test_a_tenth_over_the_limit():
    """One tenth of a second more is too late."""
    row = clock({**EXACT, f"{STEPS}[attach].time": {"worst": "20.2 s"}})["tank-car.M2.evening"]
    assert row.within is False


def steps_of(row, name):
    return {w.what: w for w in row.working if w.name == f"rescue.{name}"}


@pytest.mark.parametrize("site", DEMOS)
def test_a_row_can_be_repeated_from_its_working(site):
    """The printed figures put into the printed formulas give contact and ground of every row."""
    for row in demo(site).assessed.rescues:
        if row.contact is None:
            continue
        durations = steps_of(row, "pessimistic")
        assert {t.id for t in row.timings} == set(durations)
        for t in row.timings:
            longest = max(i.value.si for i in durations[t.id].inputs)
            assert durations[t.id].result.si == longest == pytest.approx(t.finish.si - t.start.si)
        network = steps_of(row, "schedule")[""]
        assert {i.symbol: i.value.si for i in network.inputs} == {f"t_{w}": s.result.si for w, s in durations.items()}
        known = steps_of(row, "finish_of") | steps_of(row, "drill_time") | steps_of(row, "with_one_drill")
        since = steps_of(row, "time_since_fall")
        ends = {f"{t.id}.{end}": getattr(t, end).si for t in row.timings for end in ("start", "finish")}
        assert {w: since.pop(w).result.si for w in ends} == ends
        assert {since[w].result.si for w in since} <= {row.contact.si, row.ground.si}
        for what, step in since.items():
            given = {i.symbol: i.value.si for i in step.inputs}
            assert given == {"t_detect": row.detection.si, "t_known": known[what].result.si}
            assert step.result.si == sum(given.values())
        assert {w: s.result.si for w, s in steps_of(row, "gain_if_cut").items()} == {i: g.si for i, g in row.gains}
        assert all(w.source and w.formula and w.path.startswith(row.path) for w in row.working)
        assert len({w.path for w in row.working if w.name != "rescue.schedule"}) >= len(durations)


def test_a_drill_changes_no_row():
    """Planned times of the profile decide the rows, whatever the log measured: none, quick or slow."""
    checked = demo("harrow-ridge")
    slow = logged(log_of("harrow-ridge"), [{"set": {"kind": "drill"}, "to": {"contact": "9 min", "ground": "12 min"}}])
    none = logged(log_of("harrow-ridge"), [{"drop": {"kind": "drill"}}])
    rows = [with_changes(checked, {}, log=log).assessed.rescues for log in (slow, none)]
    assert rows[0] == rows[1] == checked.assessed.rescues


def test_nothing_of_one_site_is_kept_for_the_next():
    """The network is shared by the rows of one call and by nothing else."""
    before = clock()["tank-car.M2.evening"]
    assert clock({f"{STEPS}[attach].time": {"worst": "9 min"}})["tank-car.M2.evening"].contact.si > before.contact.si
    assert clock()["tank-car.M2.evening"] == before


@pytest.mark.parametrize("site", DEMOS)
def test_due_dates_can_be_repeated(site):
    """Every due date is the day, the months and the days that its working shows; none where it was never done."""
    for due in demo(site).assessed.dues:
        if due.interval is None or due.last is None:
            assert due.working == ()
            continue
        (step,) = due.working
        given = {i.symbol: i.value for i in step.inputs}
        assert given["last"] == due.last
        assert step.result == due.due > due.last
        assert (given["n"].si, given["k"].si) != (0.0, 0.0)


def test_a_month_end():
    """Regulation (EEC, Euratom) No 1182/71, article 3(2)(c): where the last month lacks the date, on its last day."""
    checked = demo("harrow-ridge")
    site = build(replace(checked.source, data=changed(checked.source.data, {"document.review_interval": "6 months"})))
    log = logged(log_of("harrow-ridge"), [{"set": {"kind": "review", "what": "plan"}, "to": {"on": "2025-08-31"}}])
    dues = {d.what: d for d in all_dues(Happened(site, log, AS_OF))}
    assert dues["document-review"].due == date(2026, 2, 28) < AS_OF
