"""Along the rail, into a hatch, up the ladder, and the bending of the rail: what the case takes from them, by hand and by a second way."""

from __future__ import annotations

import itertools
import math
import random
from functools import cache

import pytest
from reference import cases as reference
from scipy.optimize import brentq
from support import SITES, changed, demo, markdown, with_changes

from docgen.codes import load
from docgen.engineering.along import Measures, ladder_past, reached, work_past
from docgen.engineering.cases import all_cases, fall_sides
from docgen.engineering.further import all_further
from docgen.engineering.ladder import ladder
from docgen.engineering.sheet import Sheet
from docgen.read import Source, read_profile
from docgen.site import build
from docgen.text.said import PHONE

FOOT = 0.3048


@cache
def clean() -> Source:
    return read_profile(SITES / "harrow-ridge")


def site_of(**changes):
    """The clean demo with changes at profile paths."""
    return build(Source("profile.yaml", "", changed(clean().data, changes), clean().marks, ()))


def cases_of(changes):
    return {c.id: c for c in all_cases(site_of(**changes), "us")}


def feet(quantity):
    return quantity.si / FOOT


def exactly(text):
    """A figure without any tolerance: a bound of the design."""
    return {"value": text, "how": "design", "by": "qualified-person", "on": "2026-08-18", "bound": "design"}


BARE = {"vehicles[tanker].walk.to": "40 ft", "vehicles[tanker].length": "42 ft", "bays[B1].rail.hangers.last": "61 ft"}


def test_work_past_the_rail_lengthens_the_offset():
    """Vehicle at 20.0 ft, rear edge at 41.5 ft, 1.0 ft off: 62.5 ft, 1.5 ft past the hanger at 61.0 ft; with a lag of 2.0 ft 3.5 ft along."""
    cases = cases_of(BARE | {"bays[B1].parking.along.front": "20 ft"})
    case = cases["load.standing.left"]
    assert feet(case.along) == pytest.approx(3.5)
    assert feet(case.offset) == pytest.approx(math.hypot(3.5, 3.5))
    assert feet(cases_of(BARE)["load.standing.left"].along) == pytest.approx(2.0)
    assert "bays[B1].parking.along.front" in case.inputs
    assert "bays[B1].rail.hangers.last" in case.inputs


@pytest.mark.parametrize(("stated", "along"), [("1.0 ft", 3.5), ("1.5 ft", 3.5), ("2.0 ft", 4.0)])
def test_of_statement_and_places_the_larger_counts(stated, along):
    """A statement of the task goes before the places only where it is larger."""
    case = cases_of(BARE | {"bays[B1].parking.along.front": "20 ft", "tasks[load].past_end_stop": stated})["load.standing.left"]
    assert feet(case.along) == pytest.approx(along)


def test_tolerances_push_work_past_the_rail():
    """Under the rail as measured, 0.35 ft past it with front, end of the walk and hanger 0.1 ft and the stand 0.05 ft the wrong way: the corner sees it."""
    at = {"value": "18.5 ft", "how": "measured", "by": "safety-manager", "on": "2026-08-18", "tolerance": "0.1 ft"}
    case = cases_of({"bays[B1].parking.along.front": at})["load.standing.left"]
    assert feet(case.along) == pytest.approx(2.0)
    bare = cases_of({})["load.standing.left"]
    assert case.offset_worst.si > bare.offset_worst.si
    site = site_of(**{"bays[B1].parking.along.front": at, "vehicles[tanker].sides[rear].edge": exactly("1.5 ft")})
    past = work_past(site.bays[0], site.vehicles[0], Measures(Sheet("x"), "us"))
    assert past.nominal == 0.0
    assert past.high / FOOT == pytest.approx(0.35)


@pytest.mark.parametrize("gone", ["parking.along.front", "parking.along.off", "rail.hangers.first", "rail.hangers.last"])
def test_what_is_not_stated_is_not_computed(gone):
    """One figure less, and nothing is said of the reach past the end; a vehicle that turns round needs its length."""
    site = site_of(**{f"bays[B1].{gone}": None})
    assert work_past(site.bays[0], site.vehicles[0], Measures(Sheet("x"), "us")) is None
    site = site_of(**{"bays[B2].parking.along.either_way": True, "vehicles[tank-car].length": None})
    assert work_past(site.bays[1], site.vehicles[1], Measures(Sheet("x"), "us")) is None


def test_places_by_points():
    """Random sites against a second way: every reached place is tried, in both positions, with each end of the parking tolerance."""
    draw = random.Random(11)
    for _ in range(300):
        front, off, start = draw.uniform(-10, 40), draw.uniform(0, 3), draw.uniform(0, 20)
        end, rear, last = start + draw.uniform(0, 20), draw.uniform(0, 4), draw.uniform(30, 70)
        either = draw.random() < 0.5
        site = site_of(**{
            "bays[B1].parking.along.front": f"{front:.3f} ft", "bays[B1].parking.along.off": f"{off:.3f} ft", "bays[B1].parking.along.either_way": either,
            "bays[B1].rail.hangers.first": "1 ft", "bays[B1].rail.hangers.last": f"{last:.3f} ft", "vehicles[tanker].length": "45 ft",
            "vehicles[tanker].walk": {"from": f"{start:.3f} ft", "to": f"{end:.3f} ft"}, "vehicles[tanker].hatches": [],
            "vehicles[tanker].sides[rear].edge": f"{rear:.3f} ft",
        })  # fmt: skip
        front, off, start, end, rear, last = (round(x, 3) for x in (front, off, start, end, rear, last))
        reached = [start, min(end + rear, 45.0)]
        places = [front + v + d for v in reached for d in (-off, off)]
        if either:
            places += [front + 45.0 - v + d for v in reached for d in (-off, off)]
        outside = max(max(1.0 - s, s - last, 0.0) for s in places)
        found = work_past(site.bays[0], site.vehicles[0], Measures(Sheet("x"), "us"))
        assert found.nominal / FOOT == pytest.approx(outside, abs=1e-9)
        assert found.high >= found.nominal >= found.low >= 0.0


def test_a_ladder_of_the_vehicle_stands_off_with_it():
    """At the last hanger: the ladder of a vehicle may lie 1.5 ft past it, that of the site does not."""
    changes = {"bays[B2].ladder.at": "117 ft", "bays[B2].rail.hangers.last": "117 ft"}
    assert ladder_past(site_of(**changes).bays[1], Measures(Sheet("x"), "us")).nominal / FOOT == pytest.approx(1.5)
    assert ladder_past(site_of(**changes, **{"bays[B2].ladder.owner": "site"}).bays[1], Measures(Sheet("x"), "us")).nominal == 0.0


# --- into a hatch -------------------------------------------------------------------------------------------------------

OPEN = {"vehicles[tanker].hatches[0].stopped_by": None, "vehicles[tanker].hatches[1].stopped_by": None}


def test_the_worst_hatch_is_a_side_of_its_own():
    """Of two hatches the one with the higher floor inside counts; from a deck of 12.0 ft down to 6.0 ft there are 6.0 ft."""
    cases = cases_of(OPEN | {"vehicles[tanker].hatches[1].lower": "6 ft"})
    case = cases["load.standing.hatch"]
    assert feet(case.available) == pytest.approx(6.0)
    assert case.lower_path == "vehicles[tanker].hatches[1].lower"
    assert case.offset.si == cases["load.standing.left"].offset.si
    assert case.margin.si < cases["load.standing.left"].margin.si


def test_ids_stay_unique_beside_a_listed_hatch():
    """A side of the list that is a hatch and two hatches beside it give one case a posture: the worst of the three."""
    side = {"side": "hatch", "lower": {"what": "ledge", "height": "7 ft"}}
    cases = all_cases(site_of(**OPEN, **{"vehicles[tanker].sides[hatch]": side}), "us")
    assert len({c.id for c in cases}) == len(cases)
    case = next(c for c in cases if c.id == "load.standing.hatch")
    assert (feet(case.available), case.lower_what) == (pytest.approx(5.0), "ledge")


def test_a_hatch_with_nothing_known_of_its_inside_is_not_computed():
    """The hatch that nobody looked into governs, and names what is missing."""
    case = cases_of(OPEN | {"vehicles[tanker].hatches[0].lower": None})["load.standing.hatch"]
    assert case.verdict == "not-computed"
    assert case.missing == ("vehicles[tanker].hatches[0].lower",)


@pytest.mark.parametrize(
    ("size", "is_side"),
    [
        (exactly("0.9 ft"), False),
        ("0.9 ft", True),
        ("12 in", True),
        (None, True),
        ({"value": "0.98 ft", "how": "measured", "tolerance": "0.02 ft"}, True),
    ],
)
def test_an_opening_that_passes_no_person_is_no_side(size, is_side):
    """Below 12 in after its tolerance; a size that is not stated counts."""
    sizes = {f"vehicles[tanker].hatches[{n}].size": size for n in (0, 1)}
    assert ("load.standing.hatch" in cases_of(OPEN | sizes)) is is_side


def test_what_stands_outside_is_not_met_inside():
    """A fender without a side is in the path of each fall but that into the tank."""
    things = {"vehicles[tanker].protrusions": [{"id": "fender", "what": "fender", "top": "8 ft"}]}
    cases = cases_of(OPEN | things)
    assert cases["load.standing.left"].lower_what == "fender"
    assert cases["load.standing.hatch"].lower_what == "bottom of the tank"


# --- bending and ladder -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "deflection"),
    [
        ({}, 0.1),
        ({"bays[B1].rail.deflection_load": "900 lbf"}, 0.2),
        ({"systems[S1].climbers_at_once": 2}, 0.1),  # the second case is another figure
        ({"bays[B1].rail.deflection_load": "3600 lbf"}, 0.1),
        ({"bays[B1].rail.deflection": "0.01 ft"}, 1800 * 240**3 / (48 * 29e6 * 82.7) / 12),
        ({"bays[B1].rail.deflection_load": None}, 0.1),
        (
            {
                "bays[B1].ladder.control": "shorter-device",
                "bays[B1].ladder.device": "D-3",
                "equipment[D-3].arrest_force_peak": "2700 lbf",
            },
            0.15,
        ),
    ],
)
def test_the_larger_deflection_counts(changes, deflection):
    """Stated, brought to the load that can come, or by span and section: the largest goes into the clearance."""
    case = cases_of(changes)["load.standing.left"]
    assert feet(case.deflection) == pytest.approx(deflection)
    assert feet(case.required) - feet(cases_of({})["load.standing.left"].required) == pytest.approx(deflection - 0.1)


def test_the_tolerance_of_a_deflection_is_brought_to_the_load_with_it():
    """0.1 ft give or take 0.05 ft under half the load is 0.2 ft give or take 0.1 ft."""
    stated = {"value": "0.1 ft", "how": "design", "by": "qualified-person", "on": "2025-03-04", "tolerance": "0.05 ft"}
    case = cases_of({"bays[B1].rail.deflection_load": "900 lbf", "bays[B1].rail.deflection": stated})["load.standing.left"]
    assert (feet(case.deflection), feet(case.deflection_worst)) == pytest.approx((0.2, 0.3))


def test_a_hatch_is_a_place_that_work_reaches():
    """A hatch beyond the end of the walk counts as far as it lies, with the open end behind it; one before the beginning likewise."""
    vehicle = site_of(**{
        "vehicles[tanker].walk": {"from": "10 ft", "to": "20 ft"}, "vehicles[tanker].hatches": [{"at": "8 ft"}, {"at": "23 ft"}],
    }).vehicle("tanker")  # fmt: skip
    where = reached(vehicle, Measures(Sheet("x"), "us"))
    assert (where.first.nominal / 0.3048, where.last.nominal / 0.3048) == pytest.approx((8.0, 24.5))


def test_a_deflection_that_nobody_stated_stays_unknown():
    """The beam gives the least, never a figure in place of a statement."""
    assert cases_of({"bays[B1].rail.deflection": None})["load.standing.left"].deflection is None


def climb_of(changes):
    site = site_of(**changes)
    found = all_further(site, load("US-NE", "general-industry", site.document.effective), all_cases(site, "us"))
    return found[0].climb_height.si / FOOT


def test_the_climb_is_at_the_ladder_and_with_the_slack():
    """By hand, each at its worst end: exit 25.85 ft, ring 5.4 ft, 2.5 + 0.55 ft of arrest, the ladder 4.1 ft across and 2.1 ft along, over the
    hose tray, 2.2 + 0.1 ft, 0.3 ft higher with the deck."""
    case = cases_of({})["load.standing.left"]
    hang = 25.85 - 5.4 - 2.6 - (2.5 + 0.55 + feet(case.stretch) + 0.1 + feet(case.margin_term))
    assert climb_of({}) == pytest.approx(25.85 - 5.4 - math.sqrt(hang**2 - (4.1**2 + 2.1**2)))
    assert climb_of({"bays[B1].hook_up.line.slack": "1.5 ft"}) > climb_of({}) > climb_of({"bays[B1].ladder.offset": "2 ft"})


TALL = {"limits.stature.tallest": {"value": "6.1 ft", "how": "measured", "tolerance": "0.1 ft"}}
FAR = {"bays[B1].ladder.offset": {"value": "5.5 ft", "how": "measured", "tolerance": "0.2 ft"}}


def feet_after(feet_at, exit_, ring, offset, term):
    """Where the feet come to hang of a person who falls with the feet at a height, all terms of the need counted, over the hose tray."""
    return -2.6 * FOOT + exit_ - math.hypot(exit_ - ring - feet_at, offset) - term - ring


@pytest.mark.parametrize("changes", [{}, TALL, FAR, TALL | FAR], ids=["as it is", "a tall crew", "a far ladder", "both"])
def test_the_ladder_at_every_combination_of_ends(changes):
    """Line angle at its top and the height of the climb that is not covered, over all ends of all figures, by the reference's own reading of them."""
    site = site_of(**changes)
    bay, limits = site.bays[0], site.limits
    hung = [reference.span(q, False) for q in (bay.rail.underside, bay.rail.line_exit_below_rail)]
    crew = [
        reference.span(q, False, 0.3 * FOOT) for q in (limits.d_ring.standing, limits.stature.shortest, limits.stature.tallest)
    ]
    rings = {end for one in crew for end in (one.low, one.high)}
    decks = {
        e for q in (site.vehicles[0].deck, site.vehicles[0].deck_range.empty) for e in reference.span(q, False, 0.3 * FOOT).ends
    }
    offsets = [
        abs(a + lag * 1j)
        for a in reference.span(bay.ladder.offset, False).ends
        for lag in reference.span(bay.ladder.trolley_lag, False).ends
    ]
    slacks = reference.span(bay.hook_up.line.slack, False).ends
    assert bay.ladder.owner == "site"
    angles, heights = [], []
    used = [c for c in all_cases(site, "us") if c.bay == "B1" and c.permission == "allowed"]
    term = max(c.arrest_distance.si for c in used) + used[0].stretch.si + used[0].deflection.si + used[0].margin_term.si
    for under, hang, ring, offset, slack in itertools.product(hung[0].ends, hung[1].ends, sorted(rings), offsets, slacks):
        exit_ = under - hang
        angles += [math.atan2(offset, exit_ - deck - ring) for deck in decks]
        heights.append(brentq(feet_after, -10.0, exit_ - ring, args=(exit_, ring, offset, term + slack)))
    found = ladder(site, bay, Measures(Sheet("x"), "us"), Sheet("x"))
    assert found.angle_worst == pytest.approx(max(angles))
    further = all_further(site, load("US-NE", "general-industry", site.document.effective), all_cases(site, "us"))[0]
    assert further.climb_height.si == pytest.approx(max(heights))
    assert further.side_angle.si == pytest.approx(max(*angles, *(c.line_angle_worst.si for c in used)))
    assert "worst" in {step.what for step in further.working if step.formula.startswith("z_min")}


TAPE = {"how": "measured", "tolerance": "0.1 ft"}
METRE = {"how": "measured", "tolerance": "0.03 m"}
ROD = {
    "id": "rod",
    "what": "Rod box",
    "side": "left",
    "from": {"value": "4 ft", **TAPE},
    "bottom": {"value": "0 ft", **TAPE},
    "top": {"value": "6 ft", **TAPE},
}


@pytest.mark.parametrize(("name", "bay", "changes", "what"), [
    ("harrow-ridge", "B1", {}, "hose tray"),
    ("harrow-ridge", "B2", {}, "side running board"),
    ("pellan-creek", "B1", {}, "wheel fender"),
    ("pellan-creek", "B2", {}, "side panel step"),
    ("harrow-ridge", "B1", {"bays[B1].ladder.side": "rear"}, "rear bumper"),
    ("harrow-ridge", "B1", {"bays[B1].ladder.side": "front"}, "hose tray"),  # closed there: the highest of the others
    ("harrow-ridge", "B1", {"bays[B1].ladder.side": None, "bays[B1].obstructions": [], "vehicles[tanker].sides[rear].lower.height": {"value": "3 ft", **TAPE}}, "rear bumper"),
    ("harrow-ridge", "B1", {"vehicles[tanker].protrusions": [ROD]}, "Rod box"),
    ("harrow-ridge", "B1", {"vehicles[tanker].protrusions": [ROD | {"from": {"value": "20 ft", **TAPE}}]}, "hose tray"),
    ("harrow-ridge", "B1", {"vehicles[tanker].protrusions": [ROD | {"side": "right"}]}, "hose tray"),
    ("harrow-ridge", "B1", {"vehicles[tanker].protrusions": [ROD | {"side": "right"}], "bays[B1].parking.along.either_way": True}, "Rod box"),
    ("pellan-creek", "B1", {"bays[B1].obstructions[spout].from": {"value": "1.75 m", **METRE}, "bays[B1].obstructions[spout].bottom": {"value": "0 m", **METRE}, "bays[B1].obstructions[spout].top": {"value": "1 m", **METRE}}, "Parked loading spout"),
])  # fmt: skip
def test_what_stands_beside_the_ladder_counts(name, bay, changes, what):
    """A climber comes down on the highest thing below on that side, not on the ground: the second implementation agrees."""
    site = with_changes(demo(name), changes).site
    system = "us" if name == "harrow-ridge" else "si"
    cases = all_cases(site, system)
    found = next(
        f
        for f in all_further(site, load(site.site.jurisdiction, "general-industry", site.document.effective), cases)
        if f.bay == bay
    )
    assert found.climb_what == what
    place = site.bay(bay)
    assert found.climb_foot.si == pytest.approx(reference.floor_of_climb(site, place, system == "si"))
    used = [
        (t, site.vehicle(t.vehicle), s)
        for t in site.tasks
        if t.bay == bay and t.permission == "allowed"
        for s in fall_sides(site.vehicle(t.vehicle), system)
    ]
    assert found.climb_height.si == pytest.approx(
        max(reference.climb(site, place, v, t, s, system == "si") for t, v, s in used), abs=1e-9
    )


def test_a_climb_that_no_height_keeps_is_told():
    """Where nothing protects on the ladder the bay is closed in the plan, and no height is given for its ladder."""
    beside = {"bays[B1].ladder.offset": {"value": "14 ft", "how": "measured", "tolerance": "0.1 ft"}}
    changed = with_changes(demo("harrow-ridge"), beside)
    assert next(f for f in changed.assessed.further if f.bay == "B1").climb_never
    plan = markdown(changed)["fall-protection-plan"]
    assert "The Truck bay is closed." in plan
    assert plan.count("The red mark is at") == 1
    assert "| Truck bay | red mark on the ladder | at no height | at no height | |" in markdown(changed)["engineering-record"]


def test_the_longest_line_is_that_of_the_ladder_where_it_is_farther():
    """Hook-up at the foot: exit 26.15 ft at most, the lowest ring 4.6 ft, the ladder 5.7 ft across and 2.1 ft along."""
    line = cases_of(FAR)["load.standing.left"].line_needed
    assert feet(line) == pytest.approx(math.sqrt((26.15 - 4.6) ** 2 + 5.7**2 + 2.1**2))
    assert line.si > cases_of({})["load.standing.left"].line_needed.si


def test_a_length_with_four_decimals_is_no_telephone_number():
    """The working prints hangers as `117.0000 ft`; a number without a unit is still read as one of a telephone."""
    assert not PHONE.search("h_2 = 117.0000 ft (35.6616 m)")
    assert PHONE.search("call 555-0143 or 555.0143")
