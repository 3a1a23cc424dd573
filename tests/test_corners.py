"""Every printed figure of a case held against a second implementation that tries every end of every figure (`reference.cases`).

The demos, and 2,000 sites of a seeded generator made for this test: figures with and without a tolerance, feet and metres, levels that
move with the vehicle or stand, postures, edges, sides. `tests/long/test_long_corners.py` has more of them.
"""

import dataclasses
import json
import random
from collections import Counter
from typing import get_args

import pytest
from reference import cases
from support import ALL_DEMOS, changed, demo

from docgen.engineering.cases import all_cases, fall_sides
from docgen.engineering.model import Verdict
from docgen.read import read_text
from docgen.site import build

SEEDS, EACH = 4, 500
#: Without one of these a case is not worked out.
NO_FIGURE = (".arrest_distance", ".arrest_at", ".cold.distance")
#: One site in so many is worked out with every end of every figure in one box, without the steps between.
WHOLE = 100
SIDES = ("left", "right", "front", "rear")
ALLOWANCES = ("allowance_left", "allowance_right")
#: What is of no use where tolerances bring the device down to the D-ring: such a case fails for that reason alone.
AT_THE_DEVICE = (
    "edge", "bears", "verdict", "arrest_distance", "arrest_distance_worst", "required", "margin", "kept_least", "largest_by_clearance", "largest_by_angle", "largest_offset", "largest_offset_by",
    "largest_worst", *ALLOWANCES,
)  # fmt: skip
FIELDS = tuple(f.name for f in dataclasses.fields(cases.Result))
#: The worst figures that a reader sees, and whether less or more of them is worse.
WORSE_LESS = ("margin_worst", "kept", "edge", "largest_worst", *ALLOWANCES, "hang_low", "feet_low")
WORSE_MORE = (
    "offset_worst",
    "line_angle_worst",
    "swing_drop_worst",
    "swing_speed_worst",
    "hang_high",
    "feet_high",
    "line_needed",
)


def measured(feet, tolerance=0.05):
    return {"value": f"{feet} ft", "how": "measured", "tolerance": f"{tolerance} ft"}


#: A trailer under a rail, standing work at one edge.
PLAIN = {
    "site": {"id": "t", "name": "T", "jurisdiction": "US-KS"},
    "document": {"effective": "2026-11-01"},
    "bays": [{
        "id": "B", "name": "Bay",
        "rail": {
            "underside": measured(26.0), "line_exit_below_rail": measured(1.0), "offset": measured(0.5), "offset_toward": "right",
            "trolley_lag": measured(1.0), "deflection": "0.1 ft",
        },
        "parking": {"lateral": "0.5 ft"}, "hook_up": {"at_ground": True},
    }],
    "vehicles": [{
        "id": "V", "name": "Trailer", "kind": "tank-trailer", "deck": measured(12.0),
        "sides": [{"side": "left", "edge": measured(1.5), "edge_top": measured(12.0), "lower": {"what": "slab", "height": measured(0.0)}}],
    }],
    "tasks": [{"id": "a", "name": "A", "bay": "B", "vehicle": "V", "postures": ["standing"], "reach_from_centreline": measured(2.0)}],
    "equipment": [{"id": "D", "kind": "srd", "arrest_distance": "42 in", "edge_use": {"same": True, "page": "4"}}],
    "systems": [{"id": "S", "bay": "B", "parts": ["D"]}],
    "limits": {"d_ring": {"standing": measured(5.0, 0.1)}, "stretch": "1.0 ft", "margin": "2.0 ft", "line_angle": {"value": "45 deg"}},
}  # fmt: skip


class Sites:
    """Random sites: one vehicle, one task, as a profile in JSON, which is YAML too. Figures lie where cases are computed, now and then beyond."""

    def __init__(self, seed):
        self.of = random.Random(seed)

    def length(self, low, high, told=0.6, how=("measured", "measured", "design", None), widest=0.4):
        """A length between two, in feet, with a tolerance or not, in the units of the site."""
        value = self.of.uniform(low, high)
        out = {"value": self.put(value)}
        if (said := self.of.choice(how)) is not None:
            out["how"] = said
        if self.of.random() < told:
            out["tolerance"] = self.put(self.of.choice((0.0, self.of.uniform(0.0, widest))))
        return out

    def put(self, feet):
        return f"{feet * 0.3048:.4f} m" if self.metric else f"{feet:.3f} ft"

    def maybe(self, share, make):
        return make() if self.of.random() < share else None

    def thing(self, key):
        """An obstacle on some side, measured or not."""
        bottom = self.maybe(0.7, lambda: self.length(0.0, 0.5 if self.of.random() < 0.7 else 17.0))
        top = self.maybe(0.95, lambda: self.length(0.5, 17.0 if self.of.random() < 0.3 else 4.0))
        if self.of.random() < 0.1:  # written the wrong way round
            bottom, top = top, bottom
        return {
            "id": key, "what": key, "side": self.of.choice(("left", "right", "rear", None)),
            "from": self.maybe(0.8, lambda: self.length(2.0, 12.0)), "to": self.maybe(0.3, lambda: self.length(4.0, 13.0)),
            "bottom": bottom, "top": top,
        }  # fmt: skip

    def side(self, name):
        lower = {"what": "slab", "height": self.length(0.0, 3.0), "moves_with": self.maybe(0.4, lambda: "vehicle")}
        return {
            "side": name, "edge": self.maybe(0.9, lambda: self.length(0.5, 4.0)), "lower": lower,
            "edge_top": self.maybe(0.5, lambda: self.length(self.deck, self.deck + 1.0)),
            "stopped_by": self.maybe(0.1, lambda: {"kind": "hoop-rail", "what": "Hoop rail"}),
        }  # fmt: skip

    def ladder(self):
        """The ladder of a bay, near the work or far from it, of the site or the vehicle."""
        return {
            "owner": self.maybe(0.9, lambda: self.of.choice(("site", "vehicle"))), "offset": self.maybe(0.9, lambda: self.length(1.0, 9.0)),
            "trolley_lag": self.maybe(0.5, lambda: self.length(0.0, 3.0)), "at": self.maybe(0.8, lambda: self.length(0.0, 70.0)),
        }  # fmt: skip

    def device(self, key):
        distance = self.of.uniform(1.5, 4.0)
        over = {"arrest_distance": self.put(distance + self.of.uniform(0.0, 2.0)), "page": "1"}
        edge = self.maybe(0.9, lambda: self.of.choice(({"same": True, "page": self.maybe(0.9, lambda: "1")}, over)))
        stated = {"value": self.put(distance), "how": "label"}
        if self.of.random() < 0.2:
            stated["tolerance"] = self.put(self.of.uniform(0.0, 0.5))
        further = self.put(distance + self.of.uniform(-0.2, 1.0))
        return {
            "id": key,
            "kind": "srd",
            "arrest_distance": stated,
            "edge_use": edge,
            "angle_max": self.maybe(0.3, lambda: "25 deg"),
            "arrest_at": [{"mass": "320 lb", "distance": further}, {"mass": "400 lb", "distance": self.put(distance + 0.3)}],
            "cold": self.maybe(0.2, lambda: {"below": "0 °F", "distance": further, "page": "1"}),
        }

    def site(self):
        """A profile, as text, and its units."""
        of = self.of
        self.metric = of.random() < 0.4
        self.deck = of.uniform(9.0, 16.0)
        above = of.uniform(9.0, 20.0) if of.random() < 0.95 else of.uniform(5.0, 8.0)
        rail = {
            "underside": self.length(self.deck + above, self.deck + above), "line_exit_below_rail": self.length(0.5, 2.0),
            "offset": of.choice((self.length(0.0, 2.0), self.length(0.0, 0.2), self.length(4.0, 7.0))),
            "offset_toward": self.maybe(0.8, lambda: of.choice(("left", "right"))),
            "trolley_lag": self.maybe(0.8, lambda: self.length(0.0, 3.0)),
            "deflection": self.maybe(0.8, lambda: {"value": self.put(of.uniform(0.0, 0.4)), **self.extra()}),
            "hangers": {"first": self.length(0.5, 2.0), "last": self.length(55.0, 62.0)},
        }  # fmt: skip
        standing = of.uniform(4.2, 5.4)
        kneeling = of.uniform(standing - 2.5, standing - 1.5)
        crew = {"shortest": self.length(standing - 0.6, standing), "tallest": self.length(standing, standing + 0.6)}
        vehicle = {
            "id": "V", "name": "V", "kind": self.maybe(0.9, lambda: of.choice(("tank-trailer", "flatbed", "railcar", "machine"))),
            "deck": self.length(self.deck, self.deck), "sides": [self.side(s) for s in of.sample(SIDES, of.choice((1, 1, 2)))],
            "protrusions": [self.thing("f")] if of.random() < 0.3 else [],
            "deck_range": self.maybe(0.3, lambda: {"empty": self.length(self.deck, self.deck + 0.6), "loaded": self.length(self.deck - 0.6, self.deck)}),
        }  # fmt: skip
        profile = {
            "site": {"id": "t", "name": "T", "jurisdiction": "US-KS"},
            "document": {"effective": "2026-11-01"},
            "bays": [{
                "id": "B", "name": "B", "rail": rail, "setting": of.choice(("indoor", "outdoor", "canopy")), "hook_up": {"at_ground": of.random() < 0.7},
                "ladder": self.ladder(),
                "parking": {"lateral": {"value": self.put(of.uniform(0.0, 1.5)), **self.extra()}, "along": {"off": self.put(of.uniform(0.0, 2.0))}},
                "obstructions": [self.thing("o")] if of.random() < 0.3 else [],
            }],
            "vehicles": [vehicle],
            "tasks": [{
                "id": "a", "name": "A", "bay": "B", "vehicle": "V", "postures": of.choice((["standing"], ["kneeling"], ["lying"])),
                "reach_from_centreline": self.length(0.5, 4.0), "temperature_min": self.maybe(0.3, lambda: of.choice(("0 °F", "-1 °F", "20 °F"))),
                    "past_end_stop": self.maybe(0.3, lambda: self.length(0.0, 2.0)),
            }],
            "equipment": [self.device("D")] + ([self.device("E")] if of.random() < 0.15 else []),
            "limits": {
                "d_ring": {
                    "standing": self.maybe(0.9, lambda: self.length(standing, standing)),
                    "kneeling": self.maybe(0.8, lambda: self.length(kneeling, kneeling)),
                    "lying": self.maybe(0.5, lambda: self.length(0.8, 1.5)),
                },
                "upper": self.maybe(0.7, lambda: {"value": of.choice(("300 lb", "310 lb", "320 lb", "350 lb", "420 lb"))}),
                "stature": self.maybe(0.4, lambda: crew), "posture_drop": self.maybe(0.3, lambda: self.length(1.5, 2.5)),
                "stretch": self.maybe(0.8, lambda: {"value": self.put(of.uniform(0.5, 2.0)), **self.extra()}),
                "margin": self.maybe(0.8, lambda: {"value": self.put(of.uniform(1.0, 3.0)), **self.extra()}),
                "weather": {"temperature_min": self.maybe(0.6, lambda: of.choice(("-20 °F", "0 °F", "20 °F")))},
                "line_angle": self.maybe(0.7, lambda: {"value": "30 deg"}),
                "lateral": self.maybe(0.5, lambda: {"value": self.put(of.uniform(3.0, 8.0))}),
            },
        }  # fmt: skip
        profile["systems"] = [{"id": "S", "bay": "B", "parts": [d["id"] for d in profile["equipment"]]}]
        return told(profile), "si" if self.metric else "us"

    def extra(self):
        """A tolerance on a figure that is a bound, which few state."""
        return {"tolerance": self.put(self.of.uniform(0.0, 0.2))} if self.of.random() < 0.15 else {}


def told(node):
    """A profile without what is not said."""
    if isinstance(node, dict):
        return {k: told(v) for k, v in node.items() if v is not None}
    return [told(v) for v in node] if isinstance(node, list) else node


def worked(site, system, stepwise=True):
    """(case of the program, the same by the second implementation) of a site; cases of which a figure is missing are left to other tests."""
    for case in all_cases(site, system):
        bay, vehicle = site.bay(case.bay), site.vehicle(case.vehicle)
        if any(path.startswith(f"bays[{case.bay}]") or path.endswith(NO_FIGURE) for path in case.missing):
            continue
        side = next((s for s in fall_sides(vehicle, system) if s is not None and s.side == case.side), None)
        task = next(t for t in site.tasks if t.id == case.task)
        figures = cases.figures(site, bay, vehicle, task, case.posture, side, system == "si")
        if bay.rail.deflection_load is not None:  # how a rail bends under another load is not of this test
            figures.deflection = cases.sure(case.deflection.si)
        yield case, figures, cases.work(figures, stepwise)


def plain(case, name):
    """A figure of a case in SI."""
    value = getattr(case, name)
    return getattr(value, "si", value)


def differences(case, figures, result):
    """What the two do not agree on. Where tolerances bring the device down to the D-ring, only that the case fails and nothing rests on them."""
    level = result.line_angle_worst is None
    if level and (case.verdict not in ("not-computed", "short", "short-after-tolerances") or plain(case, "largest_worst")):
        yield f"{case.id}: {case.verdict}, though the line exit is not above the D-ring in every corner"
    for name in FIELDS:
        if level and name in AT_THE_DEVICE:
            continue
        mine, theirs = getattr(result, name), plain(case, name)
        if mine is None or theirs is None or isinstance(mine, str | bool):
            same = mine == theirs
        else:
            same = abs(theirs - mine) <= 1e-9 * max(1.0, abs(mine))
        if not same:
            yield f"{case.id}: {name} is {theirs}, by the reference {mine}"


@pytest.mark.parametrize("name", ALL_DEMOS)
def test_demos(name):
    """Each case of each demo, every end of every figure in one box: need, margin, kept margin, offsets, allowances, swing, edge, hang, line, verdict."""
    checked = demo(name)
    site = checked.site.with_closures()
    found = list(worked(site, checked.assessed.system, stepwise=False))
    assert found
    assert [line for one in found for line in differences(*one)] == []


def disagreements(seed, count):
    """Random sites of a seed: how many cases, by verdict, and what the two do not agree on."""
    sites, verdicts, wrong = Sites(seed), Counter(), []
    for number in range(count):
        profile, system = sites.site()
        site = build(read_text(json.dumps(profile)))
        for case, figures, result in worked(site, system, stepwise=number % WHOLE != 0):
            verdicts[result.verdict] += 1
            wrong += [f"site {number} of seed {seed}: {line}" for line in differences(case, figures, result)]
    return verdicts, wrong


@pytest.mark.parametrize("seed", range(1, SEEDS + 1))
def test_random_sites(seed):
    """500 sites of each of four seeds: every figure to 1e-9, every verdict; and no verdict is missing from what was tried."""
    verdicts, wrong = disagreements(seed, EACH)
    assert wrong == []
    assert set(verdicts) == set(get_args(Verdict))


def tolerances(node):
    """Every record of a profile that may carry a tolerance: a value with a unit of length."""
    if isinstance(node, dict):
        if str(node.get("value", "")).endswith((" ft", " m")):
            yield node
        for child in node.values():
            yield from tolerances(child)
    elif isinstance(node, list):
        for child in node:
            yield from tolerances(child)


def better(before, after):
    """Worst figures that a wider tolerance improved. What is no longer worked out is no improvement."""
    for names, sign in ((WORSE_LESS, 1.0), (WORSE_MORE, -1.0)):
        for name in names:
            old, new = plain(before, name), plain(after, name)
            if new is not None and (old is None or sign * (new - old) > 1e-9):
                yield f"{after.id}: {name} was {old} and is {new}"


def keeps_a_part(case):
    """Whether tolerances use up a part of the margin and enough is kept."""
    return case.kept is not None and case.kept_least.si <= case.kept.si < case.margin_term.si


def test_a_wider_tolerance_improves_nothing():
    """300 sites, in each one tolerance made wider than it was or than practice takes it: no worst figure of a case gets better.

    Where the margin is partly used up and enough is kept, the largest offset is the one that occurs, which grows with the tolerances
    by that decision; there, and where a wider tolerance makes it so, it and the allowances are left out.
    """
    sites, wrong, moved = Sites(77), [], 0
    for number in range(300):
        profile, system = sites.site()
        before = all_cases(build(read_text(json.dumps(profile))), system)
        figures = [node for key in ("bays", "vehicles", "tasks", "limits") for node in tolerances(profile[key])]
        one = sites.of.choice([node for node in figures if "deg" not in node["value"]])
        figure, unit = one.get("tolerance", "0 ft").split(" ")
        least = 0.35 if unit == "ft" else 0.11  # above every tolerance of practice
        one["tolerance"] = f"{max(float(figure), least) + sites.of.uniform(0.0, 0.5 * least):.3f} {unit}"
        after = all_cases(build(read_text(json.dumps(profile))), system)
        for old, new in zip(before, after, strict=True):
            moved += old != new
            kept = ("largest_worst", *ALLOWANCES) if keeps_a_part(old) or keeps_a_part(new) else ()
            wrong += [f"site {number}: {line}" for line in better(old, new) if line.split()[1] not in kept]
    assert wrong == []
    assert moved > 300


RAIL_AT_THE_MIDDLE = {"bays[B].rail.offset": {"value": "0.0 ft", "tolerance": "0.1 ft"}}


def first_case(changes=None):
    """The case of a plain site in feet, standing at the left edge, with changes; and the same by the second implementation."""
    site = build(read_text(json.dumps(changed(PLAIN, changes or {}))))
    return next(worked(site, "us"))


def test_a_plain_site():
    """The site of the tests below: both agree on all of it."""
    case, figures, result = first_case()
    assert list(differences(case, figures, result)) == []
    assert case.verdict == "holds"


@pytest.mark.parametrize("name", ALLOWANCES)
def test_the_rail_may_lie_on_the_other_side(name):
    """A rail 0.0 +- 0.1 ft toward the right may lie 0.1 ft toward the left: the allowance to either side is the same, the lesser one."""
    case, figures, result = first_case(RAIL_AT_THE_MIDDLE)
    assert figures.rail.low < 0.0
    assert plain(case, "allowance_right") == pytest.approx(plain(case, "allowance_left"))
    assert plain(case, name) == pytest.approx(getattr(result, name), rel=1e-9)


def test_what_is_short_as_it_stands_keeps_nothing():
    """Half a foot short before any tolerance: no offset passes after tolerances that does not pass as the figures stand."""
    case, _, result = first_case({"vehicles[V].sides[left].lower.height.value": "5.0 ft"})
    assert (case.verdict, result.verdict) == ("short", "short")
    assert result.kept >= result.kept_least
    assert plain(case, "largest_worst") <= plain(case, "largest_offset")
    assert plain(case, "largest_worst") == pytest.approx(result.largest_worst, abs=1e-9)


def test_an_edge_farther_out_moves_the_landing_zone():
    """Behind a rear edge 5.0 +- 0.5 ft from the last place of work a block lies 7.2 ft out: within 2 ft of where the edge may be, so it counts."""
    side = {
        "side": "rear",
        "edge": measured(5.0, 0.5),
        "edge_top": measured(12.0),
        "lower": {"what": "slab", "height": measured(0.0)},
    }
    block = {"id": "o", "what": "block", "side": "rear", "from": measured(7.2, 0.0), "top": measured(2.0)}
    case, figures, result = first_case({"vehicles[V].sides": [side], "bays[B].obstructions": [block]})
    assert [level.path for level in figures.levels][1:] == ["bays[B].obstructions[o].top"]
    assert case.lower_path == "bays[B].obstructions[o].top"
    assert list(differences(case, figures, result)) == []


@pytest.mark.parametrize("belongs", ["bays[B].obstructions", "vehicles[V].protrusions"])
@pytest.mark.parametrize("side", ["left", "right", "rear"])
def test_things_at_the_border(belongs, side):
    """A block moved outward past the landing zone, and one raised past the deck, each with a tolerance: both agree at every step when it no longer counts."""
    sides = [
        {"side": side, "edge": measured(1.5), "edge_top": measured(12.0), "lower": {"what": "slab", "height": measured(0.0)}}
    ]
    counted = {"from": set(), "bottom": set()}
    for key, steps in (("from", range(500, 900, 16)), ("bottom", range(1150, 1250, 8))):
        for step in steps:
            block = {
                "id": "o",
                "what": "block",
                "side": side,
                "from": measured(2.0),
                "bottom": measured(1.0),
                "top": measured(14.0),
            }
            block[key] = measured(step / 100, 0.2)
            case, figures, result = first_case({"vehicles[V].sides": sides, belongs: [block]})
            assert list(differences(case, figures, result)) == []
            counted[key].add(len(figures.levels) > 1)
    assert counted == {"from": {True, False}, "bottom": {True, False}}
