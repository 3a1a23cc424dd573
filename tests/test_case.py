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
    devices,
    edge,
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
from docgen.engineering.cases import all_cases, fall_sides
from docgen.engineering.model import CaseSide, Governed, LargestBy, Verdict
from docgen.read import read_text
from docgen.site import Posture, Quantity, Site, build

FOOT = 0.3048

# A scenario made for this test: kneeling work, tolerances everywhere, a fender in the way and a rule of the site.
PROFILE = """
site: {id: t, name: T, jurisdiction: US-KS}
document: {effective: 2026-11-01}
bays:
  - id: B
    name: Bay
    rail:
      underside: {value: 26.0 ft, tolerance: 0.1 ft}
      line_exit_below_rail: {value: 1.5 ft, tolerance: 0.05 ft}
      offset: {value: 0.5 ft, tolerance: 0.1 ft}
      offset_toward: right
      trolley_lag: {value: 1.0 ft, tolerance: 0.2 ft}
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
  - {id: a, name: A, bay: B, vehicle: V, postures: [kneeling], reach_from_centreline: {value: 2.0 ft, tolerance: 0.1 ft}}
equipment:
  - {id: D, kind: srd, arrest_distance: 3.5 ft, edge_use: {same: true, page: page 4}}
  - {id: E, kind: srd, arrest_distance: 3.0 ft, edge_use: {same: true, page: page 4}}
systems:
  - {id: S, bay: B, parts: [D, E]}
limits:
  d_ring: {standing: {value: 5.0 ft, tolerance: 0.1 ft}, kneeling: {value: 3.0 ft, tolerance: 0.15 ft}}
  stretch: 1.0 ft
  margin: 2.0 ft
  line_angle: {value: 30 deg}
  lateral: {value: 6.0 ft}
"""


def subject(profile: str | Site = PROFILE, posture: Posture = "kneeling") -> Subject:
    """The first task at the first side of its vehicle."""
    site = build(read_text(profile)) if isinstance(profile, str) else profile
    bay, vehicle = site.bays[0], site.vehicles[0]
    side = vehicle.sides[0] if vehicle.sides else None
    return Subject(
        site=site, bay=bay, vehicle=vehicle, task=site.tasks[0], posture=posture, side=side, devices=devices(site, bay), system="us"
    )  # fmt: skip


def feet(value: float) -> float:
    return value / FOOT


def ends(spread) -> tuple[float, float, float]:
    return feet(spread.low), feet(spread.nominal), feet(spread.high)


def test_each_stage_by_hand():
    """Every stage against arithmetic done again here in feet, from the survey to the parking allowance.

    The fender is a part of the trailer: over it the deck is high in the worst corner, and the fender as far below it as measured.
    """
    s = stages(subject())
    h, o, b, t = s.heights.value, s.offsets.value, s.below.value, s.terms.value
    assert ends(s.line_exit.value.elevation) == pytest.approx((24.35, 24.5, 24.65))
    assert ends(s.deck.value.elevation) == pytest.approx((10.8, 11.0, 11.2))
    ring = s.ring.at("nominal", "nominal")
    assert (feet(ring.standing), feet(ring.in_posture), feet(ring.addition)) == pytest.approx((5.0, 3.0, 2.0))
    height = 24.5 - 11.0 - 3.0
    assert feet(h.height) == pytest.approx(height)
    across, offset = 0.5 + 2.0 + 1.0, math.hypot(3.5, 1.0)
    offset_worst = math.hypot(across + 0.1 + 0.1 + 0.1, 1.0 + 0.2)
    assert (feet(o.across), feet(o.offset), feet(o.worst), o.least) == pytest.approx((across, offset, offset_worst, 0.0))
    assert (b.highest.what, b.highest.path, b.highest.moves) == ("fender", "vehicles[V].protrusions[f].top", True)
    assert ends(b.highest.top) == pytest.approx((2.4, 2.5, 2.6))
    assert [feet(v.nominal) for v in (t.arrest_distance, t.stretch, t.deflection)] == pytest.approx([3.5, 1.0, 0.25])
    drop = math.hypot(height, offset) - height
    steep = 24.35 - 11.2 - 3.15
    assert feet(s.swing.value.drop) == pytest.approx(drop)
    assert s.swing.value.angle == pytest.approx(math.atan2(offset, height))
    assert feet(s.swing.value.steep) == pytest.approx(steep)
    assert s.swing.value.angle_worst == pytest.approx(math.atan2(offset_worst, steep))
    assert feet(s.swing.value.drop_worst) == pytest.approx(math.hypot(steep, offset_worst) - steep)
    required = 3.5 + 1.0 + 2.0 + 0.25 + 2.0 + drop
    low = 24.35 - 11.2 - 2.85
    required_worst = 3.5 + 1.0 + (5.1 - 2.85) + 0.25 + 2.0 + math.hypot(low, offset_worst) - low
    margin, worst = s.margin.value, s.margin.value.worst
    assert feet(s.need.value.required) == pytest.approx(required)
    assert feet(s.available.value.nominal) == pytest.approx(8.5)
    assert (feet(worst.height), feet(worst.available), feet(worst.required)) == pytest.approx((low, 11.0 - 2.6, required_worst))
    assert (feet(margin.nominal), feet(worst.over)) == pytest.approx((8.5 - required, 8.4 - required_worst))
    assert (feet(worst.kept), feet(margin.least)) == pytest.approx((2.0 + 8.4 - required_worst, 1.0))
    assert feet(margin.arrest_way_out) == pytest.approx(3.5 + 8.5 - required)
    at_edge = 24.35 - 11.2 - 2.85
    assert feet(s.edge.value.clear) == pytest.approx(2.85 - 3.5 - 0.25 - (math.hypot(at_edge, offset_worst) - at_edge))
    assert s.edge.value.bears
    hang = s.hanging.value
    assert feet(hang.ring) == pytest.approx(24.5 - math.hypot(height, offset) - 3.5 - 0.25)
    assert feet(hang.feet) == pytest.approx(feet(hang.ring) - 5.0 - 1.0)
    assert feet(hang.low) == pytest.approx(24.35 - math.hypot(24.35 - 10.8 - 2.85, offset_worst) - 3.5 - 0.25)
    assert feet(hang.feet_low) == pytest.approx(feet(hang.low) - 5.1 - 1.0)
    stretched = stages(subject(PROFILE.replace("stretch: 1.0 ft", "stretch: {value: 1.0 ft, tolerance: 0.3 ft}"))).hanging.value
    assert feet(stretched.feet_low) == pytest.approx(feet(hang.feet_low) - 0.3)
    lock = (4.5 * FOOT) ** 2 / (2 * 9.80665) / FOOT
    assert feet(hang.high) == pytest.approx(24.65 - (24.65 - 11.2 - 3.15) - lock)
    assert feet(hang.feet_high) == pytest.approx(feet(hang.high) - 4.9)
    longest = math.hypot(24.65 - 10.8 - 2.85, offset_worst) + 3.5 + 0.25
    assert feet(s.line_needed) == pytest.approx(max(math.hypot(24.65 - 4.9, offset_worst), longest))
    assert (s.inverse.value.by, s.inverse.value.largest_worst) == ("clearance", 0.0)
    assert feet(s.inverse.value.by_angle) == pytest.approx(height * math.tan(math.radians(30)))


def test_a_case_with_room():
    """Standing on the same trailer the clearance holds, so that no other device is asked for and the line keeps off the edge."""
    s = stages(subject(posture="standing"))
    drop = math.hypot(8.5, math.hypot(3.5, 1.0)) - 8.5
    assert feet(s.margin.value.nominal) == pytest.approx(8.5 - 6.75 - drop)
    assert s.margin.value.nominal > 0
    assert s.margin.value.arrest_way_out is None
    low = 24.35 - 11.2 - 4.9
    drop = math.hypot(low, math.hypot(3.8, 1.2)) - low
    assert feet(s.edge.value.clear) == pytest.approx(4.9 - 3.5 - 0.25 - drop)
    assert not s.edge.value.bears


def test_the_worst_thing_below_governs():
    """A fender just under a fixed kerb as the figures stand: which of the two leaves less after tolerances is looked for, not supposed."""
    kerb = (
        "vehicles:",
        "    obstructions: [{id: k, what: kerb, side: left, from: 1.0 ft, top: {value: 2.5 ft, tolerance: 0.3 ft}}]\nvehicles:",
    )
    s = stages(subject(PROFILE.replace(*kerb, 1)))
    assert s.below.value.highest.what == "fender"
    assert s.margin.value.worst.level.what == "kerb"
    offset, low = math.hypot(3.8, 1.2), 24.35 - 10.8 - 2.85
    required = 3.5 + 1.0 + 2.25 + 0.25 + 2.0 + math.hypot(low, offset) - low
    assert feet(s.margin.value.worst.over) == pytest.approx(10.8 - 2.8 - required)


def test_tolerances_that_bring_the_device_down_to_the_ring():
    """Half a foot above the D-ring and a foot of tolerance: nothing that rests on tolerances stands, and the case does not hold."""
    text = PROFILE.replace("underside: {value: 26.0 ft, tolerance: 0.1 ft}", "underside: {value: 15.0 ft, tolerance: 1.0 ft}")
    text = text.replace("deck: {value: 11.0 ft", "deck: {value: 10.0 ft").replace("margin: 2.0 ft", "margin: 0 ft")
    case = one_case(subject(text))
    assert case.height.si > 0
    assert (case.margin_worst, case.kept, case.line_angle_worst, case.hang_high) == (None, None, None, None)
    assert case.largest_worst.si == 0.0
    assert case.verdict in ("short", "short-after-tolerances")
    assert case.bears


def test_a_posture_measured_as_one_drop():
    """Standing ring 5.0 +- 0.3 and one measured drop of 2.0 +- 0.2: each is varied once, and not the kneeling ring by itself."""
    text = PROFILE.replace("limits:\n", "limits:\n  posture_drop: {value: 2.0 ft, tolerance: 0.2 ft}\n").replace(
        "standing: {value: 5.0 ft, tolerance: 0.1 ft}", "standing: {value: 5.0 ft, tolerance: 0.3 ft}"
    )
    s = stages(subject(text))
    offset, low = math.hypot(3.8, 1.2), 24.35 - 11.2 - (5.3 - 2.2)
    required = 3.5 + 1.0 + 2.2 + 0.25 + 2.0 + math.hypot(low, offset) - low
    assert feet(s.margin.value.worst.over) == pytest.approx(8.4 - required)
    assert feet(s.swing.value.steep) == pytest.approx(24.35 - 11.2 - (5.3 - 1.8))


def test_a_tolerance_on_anything_in_the_sum_counts():
    """Tolerances stated for arrest distance, stretch, deflection and an edge beyond the reach all go into the worst corner (E1 b, c)."""
    plain = one_case(subject())
    for old, new, by in (
        ("arrest_distance: 3.5 ft", "arrest_distance: {value: 3.5 ft, tolerance: 0.4 ft}", 0.4),
        ("stretch: 1.0 ft", "stretch: {value: 1.0 ft, tolerance: 0.3 ft}", 0.3),
        ("deflection: 0.25 ft", "deflection: {value: 0.25 ft, tolerance: 0.2 ft}", 0.2),
    ):
        worse = one_case(subject(PROFILE.replace(old, new)))
        assert feet(plain.margin_worst.si - worse.margin_worst.si) == pytest.approx(by)
        assert worse.margin.si == plain.margin.si
    wide = one_case(subject(PROFILE.replace("edge: 1.5 ft", "edge: {value: 1.9 ft, how: measured, tolerance: 1 ft}")))
    assert feet(wide.offset_worst.si) == pytest.approx(math.hypot(0.6 + 2.9 + 1.1, 1.2))
    assert wide.offset.si == plain.offset.si


def test_a_tolerance_that_is_not_stated_is_never_zero():
    """By how a length became known, where it is stated as zero too; a bound of which it is known where it comes from has none (E1 e)."""
    bare = "{value: 26.0 ft, tolerance: 0.1 ft}"
    for written, slack in (
        ("26.0 ft", 0.25), ("{value: 26.0 ft, how: measured}", 0.1), ("{value: 26.0 ft, how: design}", 0.25),
        ("{value: 26.0 ft, how: measured, tolerance: 0 ft}", 0.1), ("{value: 26.0 ft, tolerance: 0 ft}", 0.25),
        ("{value: 26.0 ft, how: design, bound: design}", 0.0), ("{value: 26.0 ft, bound: design}", 0.25),
    ):  # fmt: skip
        s = stages(subject(PROFILE.replace(bare, written)))
        assert ends(s.line_exit.value.elevation) == pytest.approx((24.45 - slack, 24.5, 24.55 + slack))
    for written, slack in (
        ("0.25 ft", 0.0), ("{value: 0.25 ft, how: design}", 0.0), ("{value: 0.25 ft, how: measured}", 0.05),
        ("{value: 0.25 ft, how: measured, tolerance: 0 ft}", 0.05), ("{value: 0.25 ft, how: measured, tolerance: 0.02 ft}", 0.02),
    ):  # fmt: skip
        bent = stages(subject(PROFILE.replace("deflection: 0.25 ft", f"deflection: {written}"))).allowances.deflection
        assert ends(bent) == pytest.approx((0.25 - slack, 0.25, 0.25 + slack))
    stretch = stages(subject(PROFILE.replace("stretch: 1.0 ft", "stretch: {value: 1.0 ft, how: measured}"))).allowances.stretch
    assert ends(stretch) == pytest.approx((0.95, 1.0, 1.05))
    deck = PROFILE.replace("deck: {value: 11.0 ft, tolerance: 0.2 ft}", "deck: {value: 11.0 ft, how: measured}")
    assert ends(stages(subject(deck)).deck.value.elevation) == pytest.approx((10.7, 11.0, 11.3))
    railcar = deck.replace("name: Trailer", "name: Trailer\n    kind: railcar")
    assert ends(stages(subject(railcar)).deck.value.elevation) == pytest.approx((10.95, 11.0, 11.05))


def test_the_deck_empty_and_loaded():
    """What the deck was seen at, empty and loaded, is within its ends, whatever tolerance somebody wrote (E27)."""
    text = PROFILE.replace(
        "    sides: [{side: left",
        "    deck_range: {empty: {value: 11.5 ft, tolerance: 0.05 ft}, loaded: {value: 10.9 ft, tolerance: 0.05 ft}}\n    sides: [{side: left",
    )
    assert ends(stages(subject(text)).deck.value.elevation) == pytest.approx((10.8, 11.0, 11.55))
    loaded = text.replace(
        "loaded: {value: 10.9 ft", "loaded: {value: 10.5 ft"
    )  # below what the tolerance of the deck itself leaves
    assert ends(stages(subject(loaded)).deck.value.elevation) == pytest.approx((10.45, 11.0, 11.55))


@pytest.mark.parametrize(("edge_use", "distance", "missing"), [
    ("{arrest_distance: 5.0 ft, page: page 4}", 5.0, ()),
    ("{same: true, page: page 4}", 3.5, ()),
    ("{same: true}", None, ("equipment[D].edge_use.page",)),
    ("{page: page 4}", None, ("equipment[D].edge_use.arrest_distance",)),
    ("null", None, ("equipment[D].edge_use",)),
])  # fmt: skip
def test_a_line_over_an_edge_is_worked_out_with_its_own_figure(edge_use, distance, missing):
    """Where the line bears, the maker's figure for that counts, on a padded edge too; without one, or without its page, the case is not
    worked out (E4, E20)."""
    use = "" if edge_use == "null" else f", edge_use: {edge_use}"
    text = PROFILE.replace("arrest_distance: 3.5 ft, edge_use: {same: true, page: page 4}", f"arrest_distance: 3.5 ft{use}")
    case = one_case(subject(text))
    assert case.bears
    assert (case.arrest_distance and feet(case.arrest_distance.si)) == (distance and pytest.approx(distance))
    assert case.missing == missing
    assert (case.verdict == "not-computed") == bool(missing)
    standing = one_case(subject(text, "standing"))
    assert (standing.bears, feet(standing.arrest_distance.si)) == (False, pytest.approx(3.5))
    assert one_case(subject(text.replace("deflection: 0.25 ft", "deflection: 1.5 ft"), "standing")).bears
    guarded = one_case(subject(text.replace("name: Trailer", "name: Trailer\n    edge_guarded: true")))
    assert guarded.missing == missing


def test_the_edge_counts_with_what_stands_on_it():
    """A coaming of half a foot makes the standing case bear too, and on the side where the trolley always hangs outside nothing bears."""
    tall = PROFILE.replace("edge: 1.5 ft,", "edge: 1.5 ft, edge_top: {value: 11.8 ft, tolerance: 0.05 ft},")
    assert one_case(subject(tall, "standing")).bears
    outside = tall.replace("offset: {value: 0.5 ft, tolerance: 0.1 ft}", "offset: {value: 4.0 ft, tolerance: 0.1 ft}")
    assert one_case(subject(outside, "standing")).bears
    assert not one_case(subject(outside.replace("offset_toward: right", "offset_toward: left"), "standing")).bears


def test_what_must_be_kept():
    """Of 3.0 ft 2.0 ft, of 2.0 ft 1.0 ft, never less than 1.0 ft; in metres 0.60 and 0.30. Own choice, no published source."""
    for margin, least in (("3.0 ft", 2.0), ("5.0 ft", 2.0), ("2.0 ft", 1.0), ("1.2 ft", 1.0)):
        case = one_case(subject(PROFILE.replace("margin: 2.0 ft", f"margin: {margin}")))
        assert feet(case.kept_least.si) == pytest.approx(least)
        assert case.kept.si == pytest.approx(case.margin_term.si + case.margin_worst.si)
    metric = dataclasses.replace(subject(), system="si")
    assert one_case(metric).kept_least.si == pytest.approx(2.0 * FOOT - 0.30)


@pytest.mark.parametrize(("deck", "verdict"), [
    ("12.0 ft", "holds"), ("10.4 ft", "holds"), ("10.2 ft", "keeps-less"), ("10.0 ft", "keeps-less"), ("9.8 ft", "short"),
])  # fmt: skip
def test_verdicts(deck, verdict):
    """Standing over the fender: as the deck comes down, first the tolerances use up margin, then the figures themselves are short."""
    case = one_case(subject(PROFILE.replace("deck: {value: 11.0 ft", f"deck: {{value: {deck}"), "standing"))
    assert case.verdict == verdict, (feet(case.margin.si), feet(case.kept.si))


@pytest.mark.parametrize(("angle", "rule", "by", "largest", "worst"), [
    ("30 deg", "6.0 ft", "angle", 8.5 * math.tan(math.radians(30)), 8.05 * math.tan(math.radians(30))),
    ("30 deg", "4.0 ft", "site-rule", 4.0, 4.0),
    ("80 deg", "6.0 ft", "clearance", math.sqrt(1.75**2 + 2 * 8.5 * 1.75), math.sqrt(1.65**2 + 2 * 8.05 * 1.65)),
])  # fmt: skip
def test_largest_offset(angle, rule, by, largest, worst):
    """The smallest of the bounds by clearance, angle and rule of the site, and each in the corner that governs it.

    Nominal: 8.5 ft high, 8.5 - 6.75 = 1.75 ft of swing. After tolerances over the fender, which moves with the deck: 8.05 ft, and
    11.0 - 2.6 - 6.75 = 1.65 ft of swing. A lag of 1.2 ft is taken off first.
    """
    text = PROFILE.replace("30 deg", angle).replace("lateral: {value: 6.0 ft}", f"lateral: {{value: {rule}}}")
    found = stages(subject(text, "standing")).inverse.value
    assert (found.by, feet(found.largest), feet(found.largest_worst)) == (by, pytest.approx(largest), pytest.approx(worst))
    case = one_case(subject(text, "standing"))
    assert (case.largest_offset.si, case.largest_worst.si) == (found.largest, found.largest_worst)
    left = math.sqrt(worst**2 - 1.2**2) - 2.1 - 0.6
    assert (feet(case.allowance_left.si), feet(case.allowance_right.si)) == pytest.approx((left, left + 0.6 + 0.4))
    other = one_case(subject(text.replace("offset_toward: right", "offset_toward: left"), "standing"))
    assert (other.allowance_left.si, other.allowance_right.si) == (case.allowance_right.si, case.allowance_left.si)
    untold = one_case(subject(text.replace("      offset_toward: right\n", ""), "standing"))
    assert untold.allowance_left.si == untold.allowance_right.si == case.allowance_left.si


def test_lowest_angle_limit_counts():
    """A device that may not work beyond 20 degrees lowers a limit of 30."""
    text = PROFILE.replace("{id: E, kind: srd,", "{id: E, kind: srd, angle_max: 20 deg,")
    assert stages(subject(text)).allowances.angle_limit == pytest.approx(math.radians(20))


@pytest.mark.parametrize(("thing", "counts"), [
    ("from: 5.9 ft, top: 10.9 ft", True),
    ("from: {value: 5.8 ft, how: design, bound: design}, top: 10.9 ft", False),  # across after tolerances 3.8 ft, landing width 2 ft
    ("from: 6.0 ft, top: 10.9 ft", True),  # nobody said how exact: 0.25 ft
    ("from: {value: 5.8 ft, tolerance: 0.1 ft}, top: 10.9 ft", True),
    ("top: 10.9 ft", True),
    ("side: left, top: 10.9 ft", True),
    ("side: right, top: 10.9 ft", False),
    ("from: 5.9 ft, top: 11.0 ft", True),  # as high as the deck: whoever falls comes down along it
    ("from: 5.9 ft, top: 30.0 ft", True),
    ("from: 5.9 ft, bottom: {value: 11.3 ft, tolerance: 0.1 ft}, top: 30.0 ft", False),  # it begins above the deck
    ("from: 5.9 ft, top: 2.4 ft", False),  # lower than the fender
    ("from: 5.9 ft", False),  # its height is not known
])  # fmt: skip
def test_what_counts_as_below(thing, counts):
    """The highest thing in the fall path of that side governs; where it stands in doubt it is in the path."""
    text = PROFILE.replace("vehicles:", f"    obstructions: [{{id: post, what: post, {thing}}}]\nvehicles:", 1)
    assert stages(subject(text)).below.value.highest.what == ("post" if counts else "fender")


def test_the_edge_reaches_as_far_as_the_offset():
    """At the rear, whose edge is measured along the vehicle, the landing begins at the edge where that is farther than the offset."""
    text = PROFILE.replace("side: left, edge: 1.5 ft", "side: rear, edge: {value: 9.0 ft, how: design, bound: design}")
    near, far = (
        text.replace(
            "vehicles:",
            f"    obstructions: [{{id: post, what: post, side: rear, from: {{value: {x}, how: design, bound: design}}, top: 9.0 ft}}]\nvehicles:",
            1,
        )
        for x in ("10.9 ft", "11.0 ft")
    )
    assert feet(stages(subject(near)).below.value.highest.top.nominal) == pytest.approx(9.0)
    assert stages(subject(far)).below.value.highest.what == "ground"


def test_exactly_at_the_end_of_the_landing():
    """A post exactly 2 ft beyond the edge is outside for every edge: what the machine rounds away puts none of them into the path."""
    text = PROFILE.replace("side: left, edge: 1.5 ft", "side: rear, edge: {value: {edge} ft, how: design, bound: design}")
    post = "    obstructions: [{{id: post, what: post, side: rear, from: {{value: {at} ft, how: design, bound: design}}, top: 9.0 ft}}]\nvehicles:"

    def found(edge: int, at: int) -> str:
        changed = text.replace("{edge}", f"{edge / 10}").replace("vehicles:", post.format(at=at / 10), 1)
        return stages(subject(changed)).below.value.highest.what

    edges = range(50, 90)  # in tenths of a foot, beyond where the D-ring can swing
    assert {edge: found(edge, edge + 20) for edge in edges} == dict.fromkeys(edges, "ground")
    assert {edge: found(edge, edge + 19) for edge in edges} == dict.fromkeys(edges, "post")


def test_line_needed():
    """The line reaches the ground where people hook up there, even while the deck is not known; else the lowest hang."""
    ground = PROFILE.replace("    deck: {value: 11.0 ft, tolerance: 0.2 ft}\n", "")
    assert feet(stages(subject(ground)).line_needed) == pytest.approx(math.hypot(24.65 - 4.9, math.hypot(3.8, 1.2)))
    assert stages(subject(ground.replace("26.0 ft", "6.0 ft"))).line_needed is None
    assert stages(subject(ground.replace("at_ground: true", "at_ground: false"))).line_needed is None
    above = stages(subject(PROFILE.replace("at_ground: true", "at_ground: false")))
    assert feet(above.line_needed) == pytest.approx(math.hypot(24.65 - 10.8 - 2.85, math.hypot(3.8, 1.2)) + 3.5 + 0.25)


@pytest.mark.parametrize("name", DEMOS)
def test_each_stage_from_the_one_before(name):
    """The stages called one after another, each with those it names and nothing else, give every case of a demo."""
    checked = demo(name)
    site, system = checked.site, checked.assessed.system
    for case in checked.assessed.cases:
        bay, vehicle = site.bay(case.bay), site.vehicle(case.vehicle)
        task = next(t for t in site.tasks if t.id == case.task)
        side = next((s for s in fall_sides(vehicle, system) if s is not None and s.side == case.side), None)
        notes = Notes(case.path, system, site.country)
        line_exit, deck = heights.line_exit(bay.rail, notes), heights.deck(vehicle, notes)
        ring = heights.ring(site.limits, case.posture, notes)
        above = heights.heights(line_exit, deck, ring, notes)
        aside = offsets.offsets(offsets.distances(bay, vehicle, task, notes), notes)
        lower = below.below(bay, vehicle, side, deck, aside, notes)
        found = devices(site, bay)
        overhead, given = (
            terms.arrest_distance(site, bay, task, found, notes),
            terms.allowances(site, bay, found, notes),
        )
        line = edge.edge(bay, side, above, aside, overhead, given, notes)
        arrest = edge.over_edge(found, line, overhead, notes)
        fall = swing.swing(above, aside, notes)
        have, needed = need.available(deck, lower, notes), need.need(fall, terms.terms(arrest, given), notes)
        hang, margin = hanging.hanging(needed, notes), need.margin(have, needed, notes)
        largest = inverse.inverse(bay.rail, given, margin, notes)
        hanging.line_needed(bay, line_exit, ring, aside, hang, notes)
        found = {
            "line_exit": line_exit.value and line_exit.value.elevation.nominal, "height": above.value and above.value.height,
            "offset": aside.value and aside.value.offset, "lower_level": lower.value and lower.value.highest.top.nominal,
            "swing_drop": fall.value and fall.value.drop, "available": have.value and have.value.nominal,
            "required": needed.value and needed.value.required, "hang_low": hang.value and hang.value.low,
            "margin": margin.value and margin.value.nominal, "kept": margin.value and margin.value.worst and margin.value.worst.kept,
            "largest_offset": largest.value and largest.value.largest, "allowance_left": largest.value and largest.value.left,
            "edge": line.value and line.value.clear,
        }  # fmt: skip
        assert found == {key: (q := getattr(case, key)) and q.si for key in found}
        assert tuple(notes.sheet.steps) == case.steps
        assert tuple(notes.corner.steps) == case.corner_steps
        assert case.margin is not None or case.missing or case.height.si <= 0


def test_the_rail_height_goes_to_the_margin():
    """A rail one foot higher: line exit and height a foot higher, clearance available the same, less swing, so more margin."""
    low, high = stages(subject()), stages(subject(PROFILE.replace("26.0 ft", "27.0 ft")))
    assert feet(high.line_exit.value.elevation.nominal - low.line_exit.value.elevation.nominal) == pytest.approx(1.0)
    assert feet(high.heights.value.height - low.heights.value.height) == pytest.approx(1.0)
    assert high.available == low.available
    less = low.swing.value.drop - high.swing.value.drop
    assert less > 0
    assert low.need.value.required - high.need.value.required == pytest.approx(less)
    assert high.margin.value.nominal - low.margin.value.nominal == pytest.approx(less)


STAGES = tuple(f.name for f in dataclasses.fields(Stages) if "Stage[" in f.type)
AFTER_SWING = {"need", "hanging", "margin", "inverse"}


@pytest.mark.parametrize(("at", "path", "without"), [
    ("bays[B].rail.underside", None, {"line_exit", "heights", "swing", "edge", *AFTER_SWING}),
    ("bays[B].rail.line_exit_below_rail", None, {"line_exit", "heights", "swing", "edge", *AFTER_SWING}),
    ("vehicles[V].deck", None, {"deck", "heights", "swing", "edge", "available", *AFTER_SWING}),
    ("bays[B].rail.offset", None, {"offsets", "swing", "edge", *AFTER_SWING}),
    ("bays[B].parking.lateral", None, {"offsets", "swing", "edge", *AFTER_SWING}),
    ("vehicles[V].sides[left].lower.height", None, {"below", "available", "margin", "inverse"}),
    ("vehicles[V].sides", None, {"below", "available", "margin", "inverse"}),
    ("equipment[E].arrest_distance", None, {"arrest_distance", "edge", "terms", *AFTER_SWING}),
    ("systems[S].parts", None, {"arrest_distance", "edge", "terms", *AFTER_SWING}),
    ("systems", "bays[B]", {"arrest_distance", "edge", "terms", *AFTER_SWING}),
    ("bays[B].rail.deflection", (), set()),
    ("bays[B].rail.trolley_lag", (), set()),
    ("limits.d_ring.standing", (), set()),
    ("limits.stretch", (), set()),
    ("limits.lateral", (), set()),
])  # fmt: skip
def test_missing_input(at, path, without):
    """Exactly the stages that rest on a missing input are None, and each names it; what practice stands in for stops nothing."""
    source = read_text(PROFILE)
    about = subject(build(dataclasses.replace(source, data=changed(source.data, {at: None}))))
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
    text = PROFILE.replace(", reach_from_centreline: {value: 2.0 ft, tolerance: 0.1 ft}", "")
    assert feet(stages(subject(text)).distances.reach.nominal) == pytest.approx(1.5)
    without = stages(subject(text.replace("edge: 1.5 ft, ", "")))
    assert without.offsets == Stage(None, ("tasks[a].reach_from_centreline",))
    assert without.margin.missing == ("tasks[a].reach_from_centreline",)
    assert without.available.value is not None


def test_reasons_add_up():
    """A stage that lacks two inputs names both, in the order of reading, once."""
    text = PROFILE.replace("line_exit_below_rail: {value: 1.5 ft, tolerance: 0.05 ft}", "").replace(
        ", arrest_distance: 3.0 ft", ""
    )
    text = text.replace("deck: {value: 11.0 ft, tolerance: 0.2 ft}", "")
    found = stages(subject(text))
    both = ("bays[B].rail.line_exit_below_rail", "vehicles[V].deck")
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
    with pytest.raises(CalcError, match="higher kneeling than standing"):
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
        "  - {id: b, name: B, bay: B, vehicle: V, postures: [kneeling], reach_from_centreline: {value: 2.0 ft, tolerance: 0.1 ft}}\nequipment:",
    )
    governs = {c.id: c.governs for c in all_cases(build(read_text(text)), "us") if c.governs}
    assert governs == {"a.kneeling.left": ("clearance",), "a.standing.left": ("angle", "swing", "rescue-height")}
