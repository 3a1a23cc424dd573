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
from docgen.words import words

STEPS = "rescue.methods[M2].steps"
EXACT = {  # three steps one after the other, 20.1 s each, against 60.3 s
    "rescue.contact_limit": {"value": "60.3 s", "basis": "a limit made for this test"},
    f"{STEPS}[attach].after": ["fetch", "meter"],
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


SHARED = {  # one post rigs and attaches: the plan lets both run at a time
    "shifts[day].posts[3].steps": ["M2.fetch", "M2.rig", "M2.attach", "M2.raise", "M2.lower"],
    "shifts[day].posts[4].steps": ["M2.fetch", "M2.raise", "M2.lower"],
}


def test_one_post_does_one_step_after_the_other():
    """0.5 + 1.5 + 1.2 to rig, then 1.5 to attach: contact at 4.7 min, though the plan would have both at once and be in time."""
    planned, shared = clock()["tank-car.M2.day"], clock(SHARED)["tank-car.M2.day"]
    assert (planned.contact.si, planned.within) == (pytest.approx(3.5 * 60), True)
    assert (shared.contact.si, shared.within) == (pytest.approx(4.7 * 60), False)
    assert clock(SHARED)["tank-car.M2.night"].contact.si == planned.contact.si
    assert {f"shifts[day].posts[{n}].steps" for n in (2, 3, 4, 5)} <= set(shared.inputs)


@pytest.mark.parametrize(("held", "contact"), [("2 min", 3.5), ("3 min", 4.5), ("181 s", 4.5 + 1 / 60)])
def test_the_clock_waits_for_a_rescuer_who_comes_later(held, contact):
    """Rescuer 2 is there from a later minute on: fetching takes both, so nothing of it begins before; at once where he waits anyhow."""
    change = {"shifts[day].posts[4].from": held, "rescue.methods[M2].steps[fetch].who": ["rescuer-1"]}
    change |= {"shifts[day].posts[4].steps": ["M2.attach", "M2.raise", "M2.lower"]}
    row = clock(change)["tank-car.M2.day"]
    assert row.contact.si == pytest.approx(contact * 60)
    late = {i.symbol: i.value.si for i in steps_of(row, "schedule")[""].inputs if i.symbol.endswith("_from")}
    assert late.keys() == {"t_attach_from", "t_raise_from", "t_lower_from"}


def test_arrival_counts_from_the_fall():
    """With a radio check the fall is known after 3 min; a post held from minute 2 is then there at once."""
    radio = {"shifts[day].watch": {"how": "radio", "interval": "3 min", "confirm": "0 min"}}
    early = clock({**radio, "shifts[day].posts[4].from": "2 min"})["tank-car.M2.day"]
    assert early.contact.si == clock(radio)["tank-car.M2.day"].contact.si == pytest.approx(6.5 * 60)


@pytest.mark.parametrize("site", DEMOS)
def test_a_row_says_who_does_what_when(site):
    """Each step of a row on each post that has it, by start, with the person; and nobody twice at the same time."""
    checked = demo(site)
    for row in checked.assessed.rescues:
        shift = checked.site.shift(row.shift)
        held = {(p.post, s.partition(".")[2]): p.person for p in shift.posts for s in p.steps if s.startswith(f"{row.method}.")}
        timed = {t.id: t for t in row.timings}
        assert {(t.post, t.step) for t in row.turns} == {key for key in held if key[1] in timed}
        assert [t.start.si for t in row.turns] == sorted(t.start.si for t in row.turns)
        for turn in row.turns:
            assert turn.person == held[turn.post, turn.step]
            assert (turn.start, turn.finish) == (timed[turn.step].start, timed[turn.step].finish)
        for one in row.turns:
            same = [t for t in row.turns if t.person == one.person and t is not one]
            assert all(t.finish.si <= one.start.si or one.finish.si <= t.start.si for t in same)


def test_a_method_without_vehicles_is_for_all():
    """And an empty list of kits or anchors is no pass."""
    rows = clock({"rescue.methods[M2].vehicles": None})
    assert {"tanker.M2.day", "tank-car.M2.day"} <= rows.keys()
    assert "kit-missing" in clock({"rescue.methods[M2].kits": []})["tanker.M2.day"].closed
    change = {"rescue.methods[M2].rescue_anchors": [], "bays[B2].rescue_anchors": []}
    assert clock(change)["tank-car.M2.day"].closed == ("anchor-missing",)


def test_what_an_anchor_needs_can_be_repeated():
    """3,000 lbf for one; 5 times the load of the drawing where a qualified person designed it: each with its working."""
    row = clock()["tanker.M2.day"]
    assert row.anchors == ("RA-1",)
    assert row.anchor_need.si == pytest.approx(3000 * 4.4482216152605)
    (fixed,), (designed,) = (steps_of(row, name).values() for name in ("anchor_load", "anchor_load_designed"))
    assert fixed.result.si == row.anchor_need.si
    assert designed.result.si == pytest.approx(5 * 620 * 4.4482216152605)
    two = clock({"rescue.methods[M2].load_persons": 2})["tanker.M2.day"]
    assert two.anchor_need.si == pytest.approx(5 * 620 * 4.4482216152605)


@pytest.mark.parametrize(("change", "states"), [
    ({"rescue.methods[M2].anchor_strength": "100 lbf"}, ["open", "open"]),
    ({"rescue.methods[M2].rescue_anchors": ["RA-1"]}, ["open", "open"]),
    ({"rescue.methods[M2].rescue_anchors": ["RA-1"], "rescue.methods[M3].hook.reach": "19 ft"}, ["open", "closed-by-finding"]),
    ({"rescue.methods[M2].kits": [], "rescue.methods[M3].kits": []}, ["closed-by-finding", "closed-by-finding"]),
    ({"rescue.methods[M2].attach_height": "15 ft"}, ["open", "open"]),
    ({"equipment[K-1].reach": "25 ft"}, ["open", "open"]),
    ({"equipment[K-1].reach": None}, ["open", "open"]),
    ({"bays[B2].rescue_anchors[RA-2].height": "19 ft"}, ["open", "open"]),
    ({"equipment[K-1].capacity.max": "300 lb"}, ["open", "open"]),
    ({"equipment[K-1].capacity": None}, ["open", "open"]),
    ({"equipment[K-2].reach": "1 ft"}, ["open", "open"]),
    ({"equipment[K-2].reach": None}, ["open", "open"]),
    ({"equipment[K-1].capacity.max": "300 lb", "rescue.methods[M3].rows": ["B", "C"]}, ["closed-by-finding", "closed-by-finding"]),
    ({"rescue.methods[M2].attach_height": "19 ft", "rescue.methods[M3].unconscious": False}, ["open", "closed-by-finding"]),
    ({"rescue.methods[M3].steps[ground].time.worst": "22 min"}, ["closed-by-finding", "closed-by-finding"]),
])  # fmt: skip
def test_a_method_is_closed_before_a_bay(change, states):
    """The bay stays open while another method serves the same rows on every shift, and is closed where none does."""
    checked = with_changes(demo("harrow-ridge"), change)
    assert [b.state for b in checked.assessed.bays] == states


CLOSURES = {
    "ring-high": {"rescue.methods[M2].attach_height": "15 ft"},
    "hook-high": {"rescue.methods[M2].hook.reach": "15 ft"},
    "tool-short": {"equipment[K-2].reach": "1 ft"},
    "tool-unstated": {"equipment[K-2].reach": None},
    "kit-unmeasured": {"equipment[K-1].reach": None},
    "kit-short": {"equipment[K-1].reach": "25 ft"},
    "lift-high": {"bays[B1].rescue_anchors[RA-1].height": "14 ft"},
    "kit-weak": {"equipment[K-1].capacity.max": "300 lb"},
    "kit-unrated": {"equipment[K-1].capacity": None},
}


@pytest.mark.parametrize(("why", "change"), CLOSURES.items())
def test_what_the_gear_lacks_closes_the_method(why, change):
    """It is the one reason, on every shift of the bay, and no other method is closed by it; the procedure has words for it."""
    rows = clock(change)
    assert {rows[f"tanker.M2.{shift}"].closed for shift in ("day", "evening", "night")} == {(why,)}
    assert not any(rows[f"tanker.{method}.day"].closed for method in ("M1", "M3", "M4"))
    assert words("en")["terms"][f"closed-{why}"]


def test_a_method_takes_the_people_of_its_steps():
    """Stated 1, its steps have two rescuers; more than the steps stands as stated."""
    assert clock({"rescue.methods[M2].persons": 1})["tanker.M2.day"].persons_needed == 2
    assert clock({"rescue.methods[M2].persons": 3})["tanker.M2.day"].persons_needed == 3


def test_exactly_at_the_reach_of_the_hook():
    """The height at which the hook comes off is within a reach of that height, and not within one a millimetre lower."""
    need = clock()["tank-car.M2.day"].hook_need.si
    at = clock({"rescue.methods[M2].hook.reach": f"{need:.12f} m"})["tank-car.M2.day"]
    below = clock({"rescue.methods[M2].hook.reach": f"{need - 0.001:.12f} m"})["tank-car.M2.day"]
    assert (at.closed, below.closed) == ((), ("hook-high",))
