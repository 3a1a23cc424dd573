"""What a swing meets: one frame of coordinates, the record of each contact, and that nothing taller, nearer or wider is ever better.

The arc is walked here a second time in small steps, body as a box, with nothing but Pythagoras.
"""

import itertools
import math
import random

import numpy as np
import pytest
import yaml
from support import DEMOS, demo

from docgen.calc import CalcError, swing
from docgen.engineering.case.frame import Frame, Span, rail_at
from docgen.engineering.cases import all_cases
from docgen.read import read_text
from docgen.site import build

FOOT = 0.3048
HALF, HEAD = 1.0, 1.0  # ft, of trade/practice.yaml


def length(value, tolerance=0.0):
    exact = {"how": "design", "bound": "design"}  # a tolerance of zero counts as none that was stated
    return {"value": f"{value:.4f} ft", **({"tolerance": f"{tolerance:.4f} ft"} if tolerance else exact)}


def profile(*, exit_=24.5, deck=11.0, ring=5.0, rail=0.5, rail_tolerance=0.0, toward="right", lag=1.0, parking=1.0, reach=2.0, edge=1.5, edge_tolerance=0.0,
            arrest=3.5, stretch=1.0, side="left", obstructions=(), protrusions=(), posture="standing"):  # fmt: skip
    """A profile made for these tests, in feet; all tolerances are said."""
    return {
        "site": {"id": "t", "name": "T", "jurisdiction": "US-KS"},
        "document": {"effective": "2026-11-01"},
        "bays": [{
            "id": "B", "name": "Bay",
            "rail": {"underside": length(exit_ + 1.0), "line_exit_below_rail": length(1.0), "offset": length(rail, rail_tolerance),
                     "trolley_lag": length(lag), "deflection": length(0.0)} | ({"offset_toward": toward} if toward else {}),
            "parking": {"lateral": length(parking)}, "hook_up": {"at_ground": False}, "obstructions": list(obstructions),
        }],
        "vehicles": [{"id": "V", "name": "Trailer", "deck": length(deck), "protrusions": list(protrusions),
                      "sides": [{"side": side, "edge": length(edge, edge_tolerance), "lower": {"what": "ground", "height": length(0.0)}}]}],
        "tasks": [{"id": "a", "name": "A", "bay": "B", "vehicle": "V", "postures": [posture], "reach_from_centreline": length(reach)}],
        "equipment": [{"id": "D", "kind": "srd", "arrest_distance": length(arrest), "edge_use": {"same": True, "page": "4"}}],
        "systems": [{"id": "S", "bay": "B", "parts": ["D"]}],
        "limits": {"d_ring": {"standing": length(ring), "kneeling": length(ring - 2.0)}, "stretch": length(stretch), "margin": "2.0 ft"},
    }  # fmt: skip


def case(**figures):
    """Its first case."""
    return all_cases(build(read_text(yaml.safe_dump(profile(**figures), sort_keys=False))), "us")[0]


def thing(low, high, bottom=0.0, top=40.0, side="right", **more):
    return {"id": "post", "what": "post", "side": side, "from": length(low), "to": length(high),
            "bottom": length(bottom), "top": length(top)} | more  # fmt: skip


def met(found):
    """What one case says of the post: its record, or None."""
    return next((s for s in found.struck if s.object == "post"), None)


def feet(quantity):
    return quantity.si / FOOT


# the frame


def test_the_frame_by_hand():
    """Rail 2 ft to the right, reach 1 ft: a person at the left edge swings to 5 ft on the right, one at the right edge to 3 ft."""
    frame = Frame(rail=Span(2.0, 2.0), parked=0.0, reach=1.0)
    assert frame.swept(moves=False) == frame.swept(moves=True) == Span(-1.0, 5.0)
    parked = Frame(rail=Span(2.0, 2.0), parked=0.5, reach=1.0)
    assert parked.swept(moves=False) == Span(-1.5, 5.5)  # from -1.5 about 2
    assert parked.swept(moves=True) == Span(-1.0, 6.0)  # the vehicle half a foot to the left: the trolley 2.5 from it, from -1
    assert list(frame.reached(Span(4.5, 9.0), moves=False)) == [(3.0, 2.5)] * 2
    assert list(frame.reached(Span(5.1, 9.0), moves=False)) == []


@pytest.mark.parametrize(("rail", "toward", "span"), [
    (0.5, "left", (-0.6, -0.4)), (0.5, "right", (0.4, 0.6)), (0.5, None, (-0.6, 0.6)), (-0.5, "right", (-0.6, 0.6)), (0.0, "left", (-0.1, 0.1)),
])  # fmt: skip
def test_the_side_of_the_rail(rail, toward, span):
    """A side that is not said, and a distance with a sign, count for both sides."""
    site = build(read_text(yaml.safe_dump(profile(rail=rail, rail_tolerance=0.1, toward=toward))))
    found = rail_at(site.bays[0].rail, (rail - 0.1) * FOOT, (rail + 0.1) * FOOT)
    assert (found.low / FOOT, found.high / FOOT) == pytest.approx(span)


@pytest.mark.parametrize("side", ["left", "right", "rear", "front", "hatch", "gap"])
@pytest.mark.parametrize(("near", "hit"), [(4.9, True), (5.9, True), (6.1, False)])
def test_one_origin(side, near, hit):
    """Rail 2 ft to the right, no lag, no parking, reach 1 ft: the ring sweeps from -1 to 5 ft and the body a foot more."""
    figures = {"rail": 2.0, "lag": 0.0, "parking": 0.0, "reach": 1.0, "edge": 1.0, "side": side}
    assert (met(case(obstructions=[thing(near, 10.0)], **figures)) is not None) == hit
    left = thing(near - 4.0, 10.0, side="left")  # on the left the ring comes no farther than 1 ft
    assert (met(case(obstructions=[left], **figures)) is not None) == (near - 4.0 <= 2.0)


# one contact by hand


def test_a_contact_by_hand():
    """Standing, exit 8.5 ft above the ring; reach 2, parking 1, rail 0.5 to the right: 3.5 across, lag 1. A post from 3.0 ft on the right
    is met 2.0 - 0.5 = 1.5 ft from under the rail."""
    found = met(case(obstructions=[thing(3.0, 3.5)]))
    drop = math.sqrt(8.5**2 + 3.5**2 + 1.0 - 1.5**2) - 8.5
    assert feet(found.drop) == pytest.approx(drop)
    assert found.speed.si == pytest.approx(math.sqrt(2 * 9.80665 * drop * FOOT))
    assert (found.measured, found.flat, found.what) == (True, False, "post")
    assert [w.name for w in found.working] == [
        "swing.offset", "swing.swing_drop", "swing.contact_drop", "swing.swing_speed", "swing.speed_after_rise"
    ]  # fmt: skip
    assert met(case(obstructions=[thing(3.0, 3.5, flat=True)])).flat


def test_a_part_of_the_vehicle_moves_with_it():
    """The same post on the vehicle: it stands off by a foot to the left, so that the trolley hangs 1.5 ft from its center line; to the
    right, 0.5 ft the other way."""
    found = met(case(protrusions=[thing(3.0, 3.5)]))
    drop = math.sqrt(8.5**2 + 3.5**2 + 1.0 - 0.5**2) - 8.5
    assert feet(found.drop) == pytest.approx(drop)


@pytest.mark.parametrize(("what", "hit"), [
    ({"bottom": length(17.9)}, False),  # ring 16 ft as the fall begins, head a foot more, nothing above 17
    ({"bottom": length(17.1)}, False),
    ({"bottom": length(16.9)}, True),
    ({"bottom": length(17.1, 0.2)}, True),
    ({"top": length(5.66)}, False),
    ({"top": length(5.67)}, True),
    ({"top": length(5.61, 0.1)}, True),
    ({"top": None}, True), ({"bottom": None}, True), ({"from": None}, True), ({"to": None}, True), ({"side": None}, True),
    ({"side": "rear"}, True), ({"side": "left"}, True),
])  # fmt: skip
def test_how_high_and_what_is_not_measured(what, hit):
    """Feet as low as 24.5 - sqrt((hypot(8.5, 3.5, 1) + 3.5)^2 - 1.5^2) - 6 = 5.583...; a thing without a measured place is in the path."""
    lowest = 24.5 - math.sqrt((math.hypot(8.5, 3.5, 1.0) + 3.5) ** 2 - 1.5**2) - 6.0
    shift = lowest - 5.665  # the rows are written for 5.665
    post = thing(3.0, 3.5) | {"bottom": length(0.0), "top": length(30.0)} | what
    post = {k: v for k, v in post.items() if v is not None}
    if "top" in what and what["top"] is not None:
        value, tolerance = (float(what["top"].get(key, "0").split()[0]) for key in ("value", "tolerance"))
        post["top"] = length(value + shift, tolerance)
    found = met(case(obstructions=[post]))
    assert (found is not None) == hit
    if found is not None:
        assert found.measured == (None not in (what.get("top", 1), what.get("bottom", 1), what.get("from", 1)))


@pytest.mark.parametrize("owner", ["obstructions", "protrusions"])
def test_a_thing_written_the_wrong_way_round_stands_there_all_the_same(owner):
    """Top and bottom, near and far face changed about: the same contact, and the same level to come down on."""
    right = thing(3.0, 3.5, bottom=0.0, top=9.0, side="left")
    swapped = right | {"from": right["to"], "to": right["from"], "bottom": right["top"], "top": right["bottom"]}
    told, turned = case(**{owner: [right]}), case(**{owner: [swapped]})
    assert met(turned).drop.si == met(told).drop.si > 0.0
    assert turned.lower_level.si == told.lower_level.si == pytest.approx(9.0 * FOOT)
    assert turned.margin_worst.si == told.margin_worst.si


def test_without_an_arrest_distance_nothing_is_too_low():
    """Nobody knows then how far the body comes down."""
    text = profile(obstructions=[thing(3.0, 3.5, top=0.5)])
    assert met(all_cases(build(read_text(yaml.safe_dump(text))), "us")[0]) is None
    del text["equipment"][0]["arrest_distance"]
    assert met(all_cases(build(read_text(yaml.safe_dump(text))), "us")[0]) is not None


# the flank


def test_the_flank_and_what_it_blocks():
    """Left, rail 0.5 to the right, parked a foot to the left: edge 1.5 + 1 + 0.5 = 3.0 ft from under the rail, ring 3.5 ft."""
    flank = case().struck[0]
    whole = math.hypot(8.5, 3.5, 1.0) - 8.5
    assert (flank.object, flank.flat, flank.what, flank.thing) == ("flank", True, None, "vehicles[V].sides[left]")
    assert feet(flank.drop) == pytest.approx(whole)
    assert (feet(flank.free), feet(flank.blocked)) == pytest.approx((0.5, 3.0))
    so_far = math.sqrt(8.5**2 + 3.5**2 + 1.0 - 3.0**2) - 8.5
    assert feet(flank.edge_drop) == pytest.approx(so_far)
    assert flank.edge_speed.si == pytest.approx(math.sqrt(2 * 9.80665 * so_far * FOOT))
    right = case(side="right").struck[0]
    assert (feet(right.free), feet(right.blocked)) == pytest.approx((0.5, 2.0))


def test_an_edge_that_may_lie_nearer_blocks_less():
    """The edge at the near end of its tolerance blocks least, so that more of the swing is run when the line meets it (E26)."""
    flank = case(edge_tolerance=0.2).struck[0]
    assert (feet(flank.free), feet(flank.blocked)) == pytest.approx((0.7, 2.8))
    so_far = math.sqrt(8.5**2 + 3.5**2 + 1.0 - 2.8**2) - 8.5
    assert feet(flank.edge_drop) == pytest.approx(so_far)
    assert flank.edge_speed.si > case().struck[0].edge_speed.si


def test_a_block_gives_no_clearance():
    """The need is the same whatever edge blocks the swing; at a trolley outside the edge nothing is blocked."""
    near, far = case(edge=0.5), case(edge=2.0)
    assert near.required == far.required
    assert near.struck[0].drop == far.struck[0].drop
    out = case(rail=3.0, side="right", parking=0.0).struck[0]
    assert (feet(out.blocked), feet(out.free)) == (0.0, 0.0)
    assert case(side="rear").struck[0].blocked is None


@pytest.mark.parametrize("name", DEMOS)
def test_every_computed_case_meets_the_flank(name):
    """No swing is without a verdict: where it is computed, the side of the vehicle is among what is met, at the whole drop."""
    for found in demo(name).assessed.cases:
        assert bool(found.struck) == (found.swing_drop is not None)
        if found.struck:
            assert found.struck[0].drop.si >= found.swing_drop.si - 1e-12
            assert found.swing_drop_worst is None or found.struck[0].drop.si == pytest.approx(found.swing_drop_worst.si, rel=1e-9)


# what stands higher than the deck


@pytest.mark.parametrize("top", [11.0, 11.1, 14.0, 30.0])
def test_a_taller_post_counts_as_high_as_the_deck(top):
    """Inside the landing a post as high as the deck, and any taller one, leaves nothing; beyond it the ground is the lower level."""
    inside, outside = (case(obstructions=[thing(x, 9.0, top=top, side="left")]) for x in (4.5, 8.0))
    assert (inside.lower_what, feet(inside.available)) == ("post", pytest.approx(0.0))
    assert outside.lower_what == "ground"
    over = case(obstructions=[thing(4.5, 9.0, bottom=11.0, top=top + 0.1, side="left")])
    assert over.lower_what == "ground"  # it begins above the deck: no feet come down on it


# another way: the arc in small steps


def walked(figures, post, moves, grow):
    """Whether the body touches the post anywhere on its way, and the longest drop where it does; the post is grown by so much.

    Arcs about every place of the trolley, from every start, in steps; line at lock and line after the arrest; body as a box.
    """
    f = figures
    t, p, s, turn = np.meshgrid(
        [f["rail"] - f["rail_tolerance"], f["rail"] + f["rail_tolerance"]], np.linspace(-f["parking"], f["parking"], 5),
        np.linspace(-f["reach"], f["reach"], 21), np.linspace(-1.0, 1.0, 101), indexing="ij",
    )  # fmt: skip
    away = p + s - t
    height = f["exit_"] - f["deck"] - f["ring"]
    lock = np.sqrt(height**2 + away**2 + f["lag"] ** 2)
    gone = np.abs(turn) * np.hypot(away, f["lag"])
    y = t + away * turn - (p if moves else 0.0)
    drop = np.sqrt(lock**2 - gone**2) - height
    touched, longest = False, 0.0
    beside = (y + HALF >= post[0] - grow) & (y - HALF <= post[1] + grow)
    for line in (lock, lock + f["arrest"]):
        z = f["exit_"] - np.sqrt(line**2 - gone**2)
        hit = beside & (z + HEAD > post[2] - grow) & (z - f["ring"] - f["stretch"] < post[3] + grow)
        if hit.any():
            touched, longest = True, max(longest, float(drop[hit].max()))
    return touched, longest


def test_the_arc_in_small_steps():
    """300 random bays: what the walk touches is struck, and without lag what is struck is touched; drops agree."""
    rng = random.Random(11)
    struck = passed = 0
    for _ in range(300):
        figures = {
            "exit_": rng.uniform(20, 32), "deck": rng.uniform(8, 12), "ring": rng.uniform(4, 5.5), "rail": rng.uniform(-3, 3),
            "rail_tolerance": rng.choice([0.0, 0.2]), "lag": rng.choice([0.0, 0.0, 2.0]), "parking": rng.uniform(0, 1.5),
            "reach": rng.uniform(0.5, 4), "arrest": rng.uniform(2, 5), "stretch": rng.uniform(0.5, 1.5),
        }  # fmt: skip
        low = rng.uniform(-9, 9)
        post = (low, low + rng.uniform(0.3, 3), (bottom := rng.uniform(0, 20)), bottom + rng.uniform(0.3, 15))
        if post[0] < 0 < post[1]:
            continue
        moves = rng.random() < 0.5
        side = "left" if low < 0 else "right"
        near, far = sorted((abs(post[0]), abs(post[1])))
        record = [thing(near, far, post[2], post[3], side=side)]
        given = figures | {"rail": abs(figures["rail"]), "toward": "left" if figures["rail"] < 0 else "right", "edge": 0.3}
        found = met(case(**given, **({"protrusions": record} if moves else {"obstructions": record})))
        surely, least = walked(figures, post, moves, -0.2)
        perhaps, _ = walked(figures, post, moves, 0.2)
        struck, passed = struck + surely, passed + (not perhaps)
        if surely:
            assert found is not None, (figures, post, moves)
            assert feet(found.drop) >= least - 0.01, (figures, post, moves)
        if figures["lag"] == 0.0 and found is not None:
            assert perhaps, (figures, post, moves)
            # the drop is taken at the place across, whatever the height there: as of a post from far below to far above
            _, most = walked(figures, (*post[:2], -50.0, 50.0), moves, 0.2)
            assert feet(found.drop) <= most + 0.15, (figures, post, moves)
    assert struck > 60
    assert passed > 60


# never better


def grade(found):
    """How bad one case is, in turn: the verdict of its post, the drop at which it is met, the clearance that is left."""
    post = met(found)
    drop = -1.0 if post is None else feet(post.drop)
    rank = 0 if post is None else 1 if drop <= 1.0 + 1e-9 else 2
    return rank, drop, -found.margin.si


SWEEPS = {
    "a post taller": lambda v: {"obstructions": [thing(3.2, 3.6, top=v * 40.0 + 0.1, side="left")]},
    "a taller part of the vehicle": lambda v: {"protrusions": [thing(1.6, 2.4, top=v * 40.0 + 0.1, side="left")]},
    "a post nearer": lambda v: {"obstructions": [thing(10.0 * (1 - v), 10.5, top=28.0, side="left")]},
    "a low box nearer": lambda v: {"obstructions": [thing(10.0 * (1 - v), 10.5, top=7.0, side="left")]},
    "a post wider": lambda v: {"obstructions": [thing(5.9 - 4 * v, 6.0, top=28.0)]},
    "a post that reaches lower": lambda v: {"obstructions": [thing(3.2, 3.6, bottom=25.0 * (1 - v), top=28.0, side="left")]},
    "a rail farther to the right": lambda v: {"rail": 4 * v, "obstructions": [thing(4.0, 4.4, top=28.0)]},
    "a rail farther to the right, the post on the left": lambda v: {"rail": 4 * v, "obstructions": [thing(3.0, 4.4, top=28.0, side="left")]},
    "a rail farther to the left": lambda v: {"rail": 4 * v, "toward": "left", "obstructions": [thing(3.0, 4.4, top=28.0)]},
    "a wider reach": lambda v: {"reach": 5 * v, "obstructions": [thing(5.0, 5.4, top=28.0)]},
    "a wider box": lambda v: {"parking": 4 * v, "obstructions": [thing(5.0, 5.4, top=28.0)]},
    "more lag": lambda v: {"lag": 6 * v, "obstructions": [thing(3.0, 5.4, top=28.0)]},
}  # fmt: skip


@pytest.mark.parametrize("side", ["left", "right", "rear"])
@pytest.mark.parametrize("name", SWEEPS)
def test_nothing_gets_better(name, side):
    """Taller, nearer, wider, farther off: verdict and drop never get better on the way, nor does the clearance."""
    grades = [grade(case(side=side, deck=9.0, exit_=24.0, **SWEEPS[name](v / 40))) for v in range(41)]
    for before, after in itertools.pairwise(grades):
        assert after[0] >= before[0]
        assert after[1] >= before[1] - 1e-9
        assert after[2] >= before[2] - 1e-9


# the speed after a signed height


def test_a_rise_that_is_too_high():
    """From 2 m/s a body rises 2^2 / (2 x 9.80665) = 0.2039 m; beyond that the message says so, at it the speed is zero."""
    limit = 4.0 / (2 * 9.80665)
    assert swing.speed_after_rise(2.0, limit) == 0.0
    assert swing.speed_after_rise(0.0, 0.0) == 0.0
    with pytest.raises(
        CalcError, match=r"rise is 0\.21 m; from 2 m/s it must be at most 0\.203943 m, else the speed there would be imaginary"
    ):
        swing.speed_after_rise(2.0, 0.21)
    assert swing.speed_after_rise(2.0, -1.0) == pytest.approx(math.sqrt(4 + 2 * 9.80665))


def test_a_contact_beyond_the_swing():
    """Nothing is met where the swing does not go."""
    with pytest.raises(CalcError, match=r"contact is 2 m from under the line exit; it must be at most the offset of 1 m"):
        swing.contact_drop(3.0, 1.0, 2.0)
    assert swing.contact_drop(3.0, 1.0, 1.0) == 0.0
    assert swing.contact_drop(3.0, 1.0, 0.0) == pytest.approx(swing.swing_drop(3.0, 1.0))
