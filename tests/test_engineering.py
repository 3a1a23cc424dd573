"""Cases, chain and rescue rows against geometry worked out by hand and against facts of the trade."""

import math
from datetime import date

import pytest

from docgen.calc import arrest
from docgen.codes import load
from docgen.engineering.cases import all_cases
from docgen.engineering.chains import all_chains
from docgen.engineering.drills import all_measured, last_of_each
from docgen.engineering.rescues import all_rescues, detection_time, rescuers_there
from docgen.happened import Happened
from docgen.read import Source, read_text
from docgen.site import build, build_log

FOOT = 0.3048
G = 9.80665
LAW = load("US-KS", "general-industry", date(2026, 11, 1))

# A scenario made for this test: rail underside 25.0 ft, hang 1.0 ft, so the line leaves at 24.0 ft; device of 3.5 ft; D-ring
# 5.0 ft; offset 4.0 ft; stretch 1.0 ft and margin 2.0 ft. Three vehicles of 11.5, 5.0 and 15.5 ft.
PROFILE = """
site: {id: t, name: T, jurisdiction: US-KS}
document: {effective: 2026-11-01}
bays:
  - id: B
    name: Bay
    rail: {underside: 25.0 ft, line_exit_below_rail: 1.0 ft, offset: 0.0 ft, trolley_lag: 0.0 ft, deflection: 0.0 ft}
    parking: {lateral: 0.0 ft}
vehicles:
  - {id: V1, name: Trailer, deck: 11.5 ft, sides: [{side: left, edge: 4.0 ft, lower: {what: ground, height: 0.0 ft}}]}
  - {id: V1F, name: Trailer with fender, deck: 11.5 ft, sides: [{side: left, edge: 4.0 ft, lower: {what: fender, height: 4.5 ft}}]}
  - {id: V2, name: Flatbed, deck: 5.0 ft, sides: [{side: left, edge: 4.0 ft, lower: {what: ground, height: 0.0 ft}}]}
  - {id: V3, name: Railcar, deck: 15.5 ft, sides: [{side: left, edge: 4.0 ft, lower: {what: ground, height: 0.0 ft}}]}
tasks:
  - {id: a, name: A, bay: B, vehicle: V1, reach_from_centreline: 4.0 ft}
  - {id: f, name: F, bay: B, vehicle: V1F, reach_from_centreline: 4.0 ft}
  - {id: b, name: B, bay: B, vehicle: V2, reach_from_centreline: 4.0 ft}
  - {id: c, name: C, bay: B, vehicle: V3, reach_from_centreline: 4.0 ft}
equipment:
  - {id: D, kind: srd, capacity: {min: 130 lb, max: 310 lb}, edge_use: {same: true, page: page 4}, arrest_distance: 3.5 ft}
  - {id: T, kind: trolley, capacity: {max: 500 lb}}
  - {id: H, kind: harness, capacity: {min: 130 lb, max: 420 lb}}
  - {id: R, kind: rail, rated_users: 1}
  - {id: F, kind: host-structure, design_load: 5000 lbf}
  - {id: A, kind: structure, design_load: 5000 lbf}
  - {id: E, kind: end-stop, count: 2, part_of: {part: R, paper: Rail manual page 14}}
  - {id: K, kind: hook, part_of: {part: D, paper: Device manual page 5}}
systems:
  - id: S
    bay: B
    parts: [F, A, R, T, D]
    harnesses: [H]
    trolleys: 1
    without: [{kind: hanger, reason: Bolted to the frame}, {kind: splice, reason: One length}, {kind: connector, reason: Hangs on the trolley}]
limits: {d_ring: {standing: 5.0 ft}, stretch: 1.0 ft, margin: 2.0 ft, line_angle: {value: 30 deg}}
"""


@pytest.fixture(scope="module")
def cases():
    return {c.task: c for c in all_cases(build(read_text(PROFILE)), "us")}


@pytest.mark.parametrize(
    ("task", "surface", "lower", "margin"),
    [("a", 11.5, 0.0, 4.0), ("f", 11.5, 4.5, -0.5), ("b", 5.0, 0.0, -2.06), ("c", 15.5, 0.0, 7.18)],
)
def test_worked_geometry(cases, task, surface, lower, margin):
    """Height, swing drop, angle, need and margin as the formulas of geometry give them, done again here with math.

    Source of the method: OSHA Technical Manual, Section V, Chapter 4 (from memory), and a right triangle.
    """
    case = cases[task]
    height = 24.0 - (surface + 5.0)
    drop = math.sqrt(height**2 + 4.0**2) - height
    need = 3.5 + drop + 1.0 + 2.0
    assert case.height.si / FOOT == pytest.approx(height, abs=1e-9)
    assert case.swing_drop.si / FOOT == pytest.approx(drop, abs=1e-9)
    assert case.line_angle.si == pytest.approx(math.atan2(4.0, height), abs=1e-12)
    assert case.swing_speed.si == pytest.approx(math.sqrt(2 * G * drop * FOOT), abs=1e-9)
    assert case.required.si / FOOT == pytest.approx(need, abs=1e-9)
    assert case.margin.si / FOOT == pytest.approx(surface - lower - need, abs=1e-9)
    assert case.margin.si / FOOT == pytest.approx(margin, abs=0.01)


def test_largest_offsets(cases):
    """Largest offset by clearance: 10.0 ft over bare ground, 2.7 ft over the fender; by a 30 degree limit: 4.3 and 2.0 ft."""
    assert cases["a"].largest_by_clearance.si / FOOT == pytest.approx(math.sqrt(5.0**2 + 2 * 7.5 * 5.0), abs=1e-9)
    assert cases["a"].largest_by_clearance.si / FOOT == pytest.approx(10.0, abs=0.01)
    assert cases["f"].largest_by_clearance.si / FOOT == pytest.approx(2.7, abs=0.1)
    assert cases["a"].largest_by_angle.si / FOOT == pytest.approx(7.5 * math.tan(math.radians(30)), abs=1e-9)
    assert cases["c"].largest_by_angle.si / FOOT == pytest.approx(2.0, abs=0.03)
    assert cases["a"].largest_offset_by == "angle"


def test_governing_cases(cases):
    """The lowest deck governs clearance, the tallest governs angle, swing and rescue height."""
    assert cases["b"].governs == ("clearance",)
    assert cases["c"].governs == ("angle", "swing", "rescue-height")


def test_chain_governed_by_the_device():
    """A 500 lb trolley, a 310 lb device and a 420 lb harness: the device governs at 310 lb (common practice, no published source)."""
    chain = all_chains(build(read_text(PROFILE)))[0]
    assert chain.governing == "D"
    assert chain.limit.si == 310 * 0.45359237
    assert chain.lower_limit.si == 130 * 0.45359237
    assert chain.users == 1


def test_missing_rating_is_not_computed():
    """A chain whose device has no rating has no limit at all, rather than that of its other parts."""
    text = PROFILE.replace("capacity: {min: 130 lb, max: 310 lb}, edge", "edge")
    chain = all_chains(build(read_text(text)))[0]
    assert chain.limit is None
    assert chain.unrated == ("D",)


def test_lock_up_distance():
    """4.5 ft/s is reached after 0.315 ft (3.8 in) of free fall (common practice, no published source; v^2/2g)."""
    assert arrest.lock_distance(4.5 * FOOT) / FOOT == pytest.approx(0.315, abs=0.001)
    assert arrest.lock_distance(4.5 * FOOT) / 0.0254 == pytest.approx(3.8, abs=0.05)


@pytest.mark.parametrize(("field", "path"), [
    ("underside: 25.0 ft, ", "bays[B].rail.underside"), ("line_exit_below_rail: 1.0 ft, ", "bays[B].rail.line_exit_below_rail"),
    ("offset: 0.0 ft, ", "bays[B].rail.offset"), (", arrest_distance: 3.5 ft", "equipment[D].arrest_distance"),
])  # fmt: skip
def test_missing_input_is_never_a_pass(field, path):
    """Without a height or an arrest distance a case is not computed, and says what is missing."""
    for case in all_cases(build(read_text(PROFILE.replace(field, "", 1))), "us"):
        assert case.margin is None
        assert case.verdict == "not-computed"
        assert path in case.missing


def test_unknown_deflection_is_not_zero():
    """A margin that holds without the rail deflection is open, not held."""
    for case in all_cases(build(read_text(PROFILE.replace(", deflection: 0.0 ft", ""))), "us"):
        assert case.verdict in ("open", "short")


@pytest.mark.parametrize("change", [
    ("underside: 25.0 ft", "underside: {value: 25.0 ft, tolerance: 0.4 ft}"),
    ("deck: 11.5 ft", "deck: {value: 11.5 ft, tolerance: 0.4 ft}"),
    ("height: 0.0 ft", "height: {value: 0.0 ft, tolerance: 0.4 ft}"),
    ("standing: 5.0 ft", "standing: {value: 5.0 ft, tolerance: 0.4 ft}"),
    ("lateral: 0.0 ft", "lateral: {value: 0.0 ft, tolerance: 0.4 ft}"),
])  # fmt: skip
def test_tolerance_only_worsens(cases, change):
    """A stated tolerance lowers the worst margin or raises the worst angle, and never touches the nominal margin."""
    worse = {c.task: c for c in all_cases(build(read_text(PROFILE.replace(*change))), "us")}["a"]
    plain = cases["a"]
    assert worse.margin.si == plain.margin.si
    assert worse.margin_worst.si < plain.margin_worst.si
    assert worse.line_angle_worst.si >= plain.line_angle_worst.si


def test_reach_is_at_least_any_edge_that_can_be_got_to():
    """A task that claims 1 ft of reach on a deck with an open edge at 4 ft is computed at 4 ft; a closed side does not count."""
    text = PROFILE.replace("vehicle: V1, reach_from_centreline: 4.0 ft", "vehicle: V1, reach_from_centreline: 1.0 ft")
    assert {c.task: c for c in all_cases(build(read_text(text)), "us")}["a"].reach.si == pytest.approx(4.0 * FOOT)
    closed = text.replace(
        "sides: [{side: left, edge: 4.0 ft, lower: {what: ground, height: 0.0 ft}}]",
        "sides: [{side: left, edge: 0.5 ft, lower: {what: ground, height: 0.0 ft}}, {side: right, edge: 4.0 ft, stopped_by: {kind: guardrail, what: Rail}}]",
        1,
    )
    assert {c.task: c for c in all_cases(build(read_text(closed)), "us")}["a"].reach.si == pytest.approx(1.0 * FOOT)


RESCUE = (
    PROFILE
    + """
shifts:
  - {id: d, watch: {how: continuous, by: the attendant}}
  - {id: r, watch: {how: radio, interval: 10 min, confirm: 2 min}}
  - {id: n, watch: {how: nobody}}
people:
  users: [{id: U1, shifts: [d]}, {id: U2, shifts: [r]}]
  rescuers: [{id: A, shifts: [d, r], methods: [M]}, {id: B, shifts: [d], user: U1, methods: [M]}]
rescue:
  contact_limit: {value: 6 min}
  ground_limit: {value: 9 min}
  methods:
    - id: M
      name: M
      persons: 1
      contact_step: y
      ground_step: z
      steps:
        - {id: x, text: x, who: [rescuer-1], time: {best: 0.5 min, likely: 1 min, worst: 2 min}}
        - {id: y, text: y, who: [rescuer-2], after: [x], time: {worst: 3 min}}
        - {id: z, text: z, who: [rescuer-2], after: [y], time: {worst: 1 min}}
"""
)


def test_rescue_clock_starts_at_the_fall():
    """The worst duration of each step decides; a radio check costs its whole interval and the wait for an answer."""
    site = build(read_text(RESCUE))
    rows = {(r.vehicle, r.shift): r for r in all_rescues(site, LAW, all_cases(site, "us"))}
    day, radio, none = rows["V3", "d"], rows["V3", "r"], rows["V3", "n"]
    assert day.contact.si == 5 * 60
    assert day.ground.si == 6 * 60
    assert day.within is True
    assert radio.contact.si == (12 + 5) * 60
    assert radio.within is False
    assert none.contact is None
    assert none.within is None
    assert day.critical_steps == ("x", "y", "z")


def test_contact_is_planned_within_six_minutes():
    """Contact within six minutes is the planning goal of the trade (ANSI/ASSE Z359.2-2007, from memory)."""
    from docgen.trade.practice import practice

    assert practice("contact_goal").si == 6 * 60
    assert practice("contact_goal").basis == "memory"


def test_a_climber_is_not_a_rescuer():
    """Somebody who is the person up there is not counted among the rescuers."""
    site = build(read_text(RESCUE))
    assert rescuers_there(site, site.shift("d"), site.rescue.methods[0]) == 1
    assert detection_time(site.shift("n")) is None


@pytest.mark.parametrize(("drills", "told"), [
    ([], []), ([("V3", "d", 4.0)], [False]), ([("V3", "d", 7.0)], [True]), ([("V3", "d", 7.0), ("V3", "d", 4.5)], [False]),
    ([("V1", "d", 7.0), ("V3", "d", 4.0)], [True, False]), ([("V9", "d", 7.0)], []),
])  # fmt: skip
def test_the_last_drill_of_each_stands_against_the_plan(drills, told):
    """The last drill of a method, shift and vehicle is held against the planned time; one of what is not planned says nothing."""
    site = build(read_text(RESCUE))
    rows = all_rescues(site, LAW, all_cases(site, "us"))
    entries = [
        {
            "kind": "drill",
            "on": f"2026-01-0{1 + n}",
            "by": "X",
            "method": "M",
            "shift": s,
            "vehicle": v,
            "contact": "3 min",
            "ground": f"{g} min",
        }
        for n, (v, s, g) in enumerate(drills)
    ]
    happened = Happened(site, build_log(Source("log.yaml", "", {"log": 1, "entries": entries}, {}, ())), date(2026, 2, 1))
    last = [m for m in last_of_each(all_measured(happened, rows)) if m.goal == "ground"]
    assert [m.slower for m in last] == told
    assert all(m.planned == 360.0 for m in last if m.drill.vehicle == "V3")
