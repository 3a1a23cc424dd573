"""One case in stages: each made from those before it by name, None with its reason where something is missing."""

import dataclasses
import math
import typing
from typing import get_args

import pytest
from support import DEMOS, changed, demo

from docgen import words
from docgen.calc import CalcError
from docgen.engineering.case import (
    Stage,
    Stages,
    Subject,
    below,
    hanging,
    heights,
    inverse,
    need,
    offsets,
    one_case,
    stages,
    swing,
    terms,
)
from docgen.engineering.case.notes import Notes
from docgen.engineering.cases import all_cases
from docgen.engineering.model import CaseSide, Governed, LargestBy, Verdict
from docgen.read import read_text
from docgen.site import Posture, Quantity, build

FOOT = 0.3048

# A scenario made for this test: kneeling work, tolerances everywhere, a fender in the way and a rule of the site.
PROFILE = """
site: {id: t, name: T, jurisdiction: US-KS}
bays:
  - id: B
    name: Bay
    rail:
      underside: {value: 26.0 ft, tolerance: 0.1 ft}
      hang: {value: 1.5 ft, tolerance: 0.05 ft}
      offset: {value: 0.5 ft, tolerance: 0.1 ft}
      offset_toward: right
      lag: {value: 1.0 ft, tolerance: 0.2 ft}
      deflection: 0.25 ft
    parking: {lateral: {value: 1.0 ft, tolerance: 0.1 ft}}
    hook_up: {at_ground: true}
vehicles:
  - id: V
    name: Trailer
    deck: {value: 11.0 ft, tolerance: 0.2 ft}
    sides: [{side: left, edge: 1.5 ft, lower: {what: ground, height: {value: 0.0 ft, tolerance: 0.1 ft}}}]
    protrusions: [{id: f, what: fender, side: left, from: 1.0 ft, to: 2.0 ft, bottom: 2.0 ft, top: {value: 2.5 ft, tolerance: 0.1 ft}}]
tasks:
  - {id: a, name: A, bay: B, vehicle: V, postures: [kneeling], reach: {value: 2.0 ft, tolerance: 0.1 ft}}
equipment:
  - {id: D, kind: srd, arrest_distance: 3.5 ft}
  - {id: E, kind: srd, arrest_distance: 3.0 ft}
systems:
  - {id: S, bay: B, parts: [D, E]}
limits:
  d_ring: {standing: {value: 5.0 ft, tolerance: 0.1 ft}, kneeling: {value: 3.0 ft, tolerance: 0.1 ft}}
  stretch: 1.0 ft
  margin: 2.0 ft
  line_angle: {value: 30 deg}
  lateral: {value: 6.0 ft}
"""


def subject(text: str = PROFILE, posture: Posture = "kneeling") -> Subject:
    site = build(read_text(text))
    task, vehicle = site.tasks[0], site.vehicles[0]
    side = vehicle.sides[0] if vehicle.sides else None
    return Subject(site=site, bay=site.bays[0], vehicle=vehicle, task=task, posture=posture, side=side, system="us")


def feet(value: float) -> float:
    return value / FOOT


def test_each_stage_by_hand():
    """Every stage against arithmetic done again here in feet, from the survey to the parking allowance."""
    s = stages(subject())
    h, o, b, t = s.heights.value, s.offsets.value, s.below.value, s.terms.value
    assert feet(s.line_exit.value.elevation) == pytest.approx(26.0 - 1.5)
    assert feet(s.line_exit.value.slack) == pytest.approx(0.1 + 0.05)
    assert (feet(s.ring.standing), feet(s.ring.in_posture), feet(s.ring.addition)) == pytest.approx((5.0, 3.0, 2.0))
    height = 24.5 - 11.0 - 3.0
    assert feet(h.height) == pytest.approx(height)
    assert feet(h.worst) == pytest.approx(height - 0.15 - 0.2 - 0.1)
    assert feet(h.low_deck) == pytest.approx(height - 0.15 + 0.2 - 0.1)
    across, offset = 0.5 + 2.0 + 1.0, math.hypot(3.5, 1.0)
    offset_worst = math.hypot(across + 0.1 + 0.1 + 0.1, 1.0 + 0.2)
    assert (feet(o.across), feet(o.offset), feet(o.worst)) == pytest.approx((across, offset, offset_worst))
    assert (b.what, b.path) == ("fender", "vehicles[V].protrusions[f].top")
    assert (feet(b.elevation), feet(b.slack)) == pytest.approx((2.5, 0.1))
    assert [feet(v) for v in (t.arrest_distance, t.stretch, t.posture, t.deflection, t.margin)] == pytest.approx(
        [3.5, 1.0, 2.0, 0.25, 2.0]
    )
    drop = math.hypot(height, offset) - height
    assert feet(s.swing.value.drop) == pytest.approx(drop)
    assert s.swing.value.angle == pytest.approx(math.atan2(offset, height))
    assert s.swing.value.angle_worst == pytest.approx(math.atan2(offset_worst, height - 0.45))
    required = 3.5 + 1.0 + 2.0 + 0.25 + 2.0 + drop
    low = height - 0.05
    required_worst = 8.75 + math.hypot(low, offset_worst) - low
    assert feet(s.need.value.required) == pytest.approx(required)
    assert (feet(s.available.value.nominal), feet(s.available.value.worst)) == pytest.approx((8.5, 8.5 - 0.2 - 0.1))
    assert feet(s.margin.value.nominal) == pytest.approx(8.5 - required)
    assert feet(s.margin.value.worst) == pytest.approx(8.2 - required_worst)
    assert feet(s.margin.value.arrest_way_out) == pytest.approx(3.5 + 8.5 - required)
    assert feet(s.hanging.value.low) == pytest.approx(24.5 - math.hypot(height, offset) - 3.5 - 0.25)
    assert feet(s.hanging.value.feet_low) == pytest.approx(feet(s.hanging.value.low) - 5.0 - 1.0)
    assert feet(s.line_needed) == pytest.approx(max(math.hypot(19.5, offset), 24.5 - feet(s.hanging.value.low)))
    assert (s.inverse.value.by, s.inverse.value.largest_worst) == ("clearance", 0.0)
    assert feet(s.inverse.value.by_angle) == pytest.approx(height * math.tan(math.radians(30)))


@pytest.mark.parametrize("name", DEMOS)
def test_each_stage_from_the_one_before(name):
    """The stages called one after another, each with those it names and nothing else, give every case of a demo."""
    checked = demo(name)
    site, system = checked.site, checked.assessed.system
    for case in checked.assessed.cases:
        bay, vehicle = site.bay(case.bay), site.vehicle(case.vehicle)
        task = next(t for t in site.tasks if t.id == case.task)
        side = next((s for s in vehicle.sides if s.side == case.side), None)
        notes = Notes(case.path, system, site.country)
        line_exit, deck = heights.line_exit(bay.rail, notes), heights.deck(vehicle, notes)
        ring = heights.ring(site.limits.d_ring, case.posture, notes)
        above = heights.heights(line_exit, deck, ring, notes)
        aside = offsets.offsets(bay, task, offsets.distances(bay, vehicle, task, notes), notes)
        lower = below.below(bay, vehicle, side, deck, aside, system, notes)
        devices = terms.devices(site, bay)
        arrest, given = terms.arrest_distance(site, bay, devices, notes), terms.allowances(site.limits, bay.rail, devices, notes)
        fall = swing.swing(above, aside, notes)
        have, needed = need.available(deck, lower, notes), need.need(fall, terms.terms(arrest, given, ring), notes)
        hang, margin = hanging.hanging(needed, notes), need.margin(have, needed, notes)
        largest = inverse.inverse(bay.rail, given, margin, notes)
        found = {
            "line_exit": line_exit.value and line_exit.value.elevation, "height": above.value and above.value.height,
            "offset": aside.value and aside.value.offset, "lower_level": lower.value and lower.value.elevation,
            "swing_drop": fall.value and fall.value.drop, "available": have.value and have.value.nominal,
            "required": needed.value and needed.value.required, "hang_low": hang.value and hang.value.low,
            "margin": margin.value and margin.value.nominal, "margin_worst": margin.value and margin.value.worst,
            "largest_offset": largest.value and largest.value.largest, "allowance_left": largest.value and largest.value.left,
        }  # fmt: skip
        assert found == {key: (q := getattr(case, key)) and q.si for key in found}
        assert tuple(notes.sheet.steps) == case.steps
        assert tuple(notes.corner.steps) == case.corner_steps
        assert case.margin is not None or case.missing or case.height.si <= 0


def test_the_rail_height_goes_to_the_margin():
    """A rail one foot higher: line exit and height a foot higher, clearance available the same, less swing, so more margin."""
    low, high = stages(subject()), stages(subject(PROFILE.replace("26.0 ft", "27.0 ft")))
    assert feet(high.line_exit.value.elevation - low.line_exit.value.elevation) == pytest.approx(1.0)
    assert feet(high.heights.value.height - low.heights.value.height) == pytest.approx(1.0)
    assert high.available == low.available
    less = low.swing.value.drop - high.swing.value.drop
    assert less > 0
    assert low.need.value.required - high.need.value.required == pytest.approx(less)
    assert high.margin.value.nominal - low.margin.value.nominal == pytest.approx(less)


STAGES = tuple(f.name for f in dataclasses.fields(Stages) if "Stage[" in f.type)
AFTER_SWING = {"need", "hanging", "margin", "inverse"}


@pytest.mark.parametrize(("at", "path", "without"), [
    ("bays[B].rail.underside", None, {"line_exit", "heights", "swing", *AFTER_SWING}),
    ("bays[B].rail.hang", None, {"line_exit", "heights", "swing", *AFTER_SWING}),
    ("vehicles[V].deck", None, {"deck", "heights", "swing", "available", *AFTER_SWING}),
    ("bays[B].rail.offset", None, {"offsets", "swing", *AFTER_SWING}),
    ("bays[B].parking.lateral", None, {"offsets", "swing", *AFTER_SWING}),
    ("vehicles[V].sides[left].lower.height", None, {"below", "available", "margin", "inverse"}),
    ("vehicles[V].sides", None, {"below", "available", "margin", "inverse"}),
    ("equipment[E].arrest_distance", None, {"arrest_distance", "terms", *AFTER_SWING}),
    ("systems[S].parts", None, {"arrest_distance", "terms", *AFTER_SWING}),
    ("systems", "bays[B]", {"arrest_distance", "terms", *AFTER_SWING}),
    ("bays[B].rail.deflection", (), set()),
    ("bays[B].rail.lag", (), set()),
    ("limits.d_ring.standing", (), set()),
    ("limits.stretch", (), set()),
    ("limits.lateral", (), set()),
])  # fmt: skip
def test_missing_input(at, path, without):
    """Exactly the stages that rest on a missing input are None, and each names it; what practice stands in for stops nothing."""
    given = subject()
    source = read_text(PROFILE)
    site = build(dataclasses.replace(source, data=changed(source.data, {at: None})))
    vehicle = site.vehicles[0]
    about = dataclasses.replace(
        given, site=site, bay=site.bays[0], vehicle=vehicle, task=site.tasks[0], side=vehicle.sides[0] if vehicle.sides else None
    )
    found = stages(about)
    reasons = {name: getattr(found, name).missing for name in STAGES if getattr(found, name).value is None}
    assert reasons == dict.fromkeys(without, (path or at,))
    assert all(getattr(found, name).barred is None for name in STAGES)
    assert found.missing == ((path or at,) if without else ())
    case = one_case(about)
    assert case.missing == found.missing
    assert (case.margin is None) == bool(without)


def test_missing_reach():
    """A reach counts as missing only where no edge tells it either."""
    text = PROFILE.replace(", reach: {value: 2.0 ft, tolerance: 0.1 ft}", "")
    assert feet(stages(subject(text)).distances.reach) == pytest.approx(1.5)
    without = stages(subject(text.replace("edge: 1.5 ft, ", "")))
    assert without.offsets == Stage(None, ("tasks[a].reach",))
    assert without.margin.missing == ("tasks[a].reach",)
    assert without.available.value is not None


def test_reasons_add_up():
    """A stage that lacks two inputs names both, in the order of reading, once."""
    text = PROFILE.replace("hang: {value: 1.5 ft, tolerance: 0.05 ft}", "").replace(", arrest_distance: 3.0 ft", "")
    text = text.replace("deck: {value: 11.0 ft, tolerance: 0.2 ft}", "")
    found = stages(subject(text))
    both = ("bays[B].rail.hang", "vehicles[V].deck")
    assert found.swing.missing == both
    assert found.inverse.missing == found.missing == (*both, "equipment[E].arrest_distance")


def test_not_overhead():
    """A line exit at or below the D-ring: heights stand, there is no swing, and what rests on it says why although nothing is missing."""
    for deck in ("21.5 ft", "23.0 ft"):
        found = stages(subject(PROFILE.replace("deck: {value: 11.0 ft, tolerance: 0.2 ft}", f"deck: {deck}")))
        assert feet(found.heights.value.height) == pytest.approx(24.5 - 3.0 - float(deck[:4]))
        assert {n for n in STAGES if getattr(found, n).value is None} == {"swing", *AFTER_SWING}
        assert {getattr(found, n).barred for n in ("swing", *AFTER_SWING)} == {"not-overhead"}
        assert found.missing == ()


def test_contradiction_leaves_a_bare_case():
    """A D-ring that is higher kneeling than standing: no stage stands, the case holds no figure and is not computed."""
    about = subject(PROFILE.replace("kneeling: {value: 3.0 ft", "kneeling: {value: 5.5 ft"))
    with pytest.raises(CalcError, match="posture must not be the higher one"):
        stages(about)
    case = one_case(about)
    assert case.verdict == "not-computed"
    assert not [f.name for f in dataclasses.fields(case) if isinstance(getattr(case, f.name), Quantity)]
    assert (case.id, case.posture, case.side) == ("a.kneeling.left", "kneeling", "left")


def test_quantities_know_their_names():
    """The path of each figure of a case ends in the name of its field, and angles and speeds are not lengths."""
    seen = set()
    for name in DEMOS:
        for case in demo(name).assessed.cases:
            for f in dataclasses.fields(case):
                if isinstance(value := getattr(case, f.name), Quantity):
                    assert value.path == f"{case.path}.{f.name}"
                    assert value.kind == ("speed" if "speed" in f.name else "angle" if "angle" in f.name else "length") or (
                        f.name == "largest_by_angle" and value.kind == "length"
                    )
                    seen.add(f.name)
    assert seen == {f.name for f in dataclasses.fields(type(case)) if f.type == "Quantity | None"}


def test_a_stage_cannot_be_changed_or_misspelt():
    """A wrong field name is an error where it is written, never a figure that counts as not computed."""
    above = stages(subject()).heights.value
    with pytest.raises(dataclasses.FrozenInstanceError):
        above.height = 1.0
    with pytest.raises(AttributeError):
        _ = above.heigth
    with pytest.raises(TypeError, match="no field 'heigth'"):
        dataclasses.replace(above, heigth=1.0)


def test_closed_lists_have_words():
    """Every posture, side, verdict, limit and governed figure that a case can name is a term of the documents."""
    known = words.words("en")["terms"]
    for closed in (Posture, CaseSide, Verdict, Governed, LargestBy):
        for part in get_args(closed):
            for value in get_args(part) if typing.get_origin(part) is typing.Literal else (part,):
                assert value in known, value


def test_governing_case_of_equals_is_the_first():
    """Two tasks alike in every figure: the first of the profile governs, alone."""
    text = PROFILE.replace(
        "equipment:",
        "  - {id: b, name: B, bay: B, vehicle: V, postures: [kneeling], reach: {value: 2.0 ft, tolerance: 0.1 ft}}\nequipment:",
    )
    governs = {c.id: c.governs for c in all_cases(build(read_text(text)), "us") if c.governs}
    assert governs == {"a.kneeling.left": ("clearance",), "a.standing.left": ("angle", "swing", "rescue-height")}
