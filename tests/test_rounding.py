"""Printed figures lie on their unfavorable side, whichever unit a reader takes; exact factors: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg (NIST SP 811)."""

import random
import re

import pytest
from support import DEMOS, ROOT, all_markdown, demo, with_changes

from docgen import units
from docgen.calc.catalogue import catalogue
from docgen.codes import questions
from docgen.site import Node, Quantity, Site
from docgen.site.build import slots_of
from docgen.units import system_of

SHOWN = re.compile(r"^(-?[\d,.]+) (\S+) \((-?[\d,.]+) (\S+)\)$")
#: What each formula of these gives is a need, or something to be had; a new one must be put here.
NEED = {
    "required_below_surface", "swing_drop", "offset", "across_offset", "line_angle", "swing_speed", "engineered_load", "anchor_load", "anchor_load_designed",
    "hanging_load", "braking_distance", "time_since_fall", "schedule",
    "finish_of", "pessimistic", "detection_time", "hang_d_ring_highest", "hang_feet_highest",
    "past_end", "bending_stress", "deflection_at_load", "midspan_deflection", "prescriptive_load", "second_load", "side_load", "lock_distance",
    "slack_fall", "slide_speed", "least_spacing", "lower_limit", "governing_arrest_distance", "least_kept_margin", "posture_addition",
    "arrest_with_slack", "protected_height", "free_fall", "contact_drop", "line_length", "speed_after_rise",
}  # fmt: skip
HAVE = {
    "available_below_surface", "clearance_margin", "kept_margin", "allowed_swing",
    "largest_offset_for_drop", "largest_offset_for_angle", "largest_across", "parking_allowance", "chain_limit", "height_above_d_ring", "line_bears_on_edge", "gain_if_cut", "hang_d_ring_lowest", "hang_feet_lowest",
    "arrest_distance_lower_bound",
}  # fmt: skip

#: Neither: a place, a count, a share, a day, a name, or a height between its two bounds.
EITHER = {
    "place", "place_turned", "slide_friction", "users_allowed", "hang_d_ring_height", "add_months", "due_date", "lognormal_parameters", "share_over", "critical_steps",
}  # fmt: skip


def si(figure: str, unit: str) -> float:
    return units.parse(f"{figure.replace(',', '')} {unit}".replace("--", "-"), units.UNITS[unit].kind).si


@pytest.mark.parametrize("kind", ["length", "mass", "force"])
@pytest.mark.parametrize("system", ["us", "si"])
def test_two_readers_get_one_limit(kind, system):
    """Rounded once in the first unit; the other is that figure converted, to the same side and by less than one of its last digits (E16)."""
    drawn = random.Random(11)
    for _ in range(700):
        value = drawn.uniform(0.01, 200.0) * (100 if kind == "force" else 1)
        for toward, sign in (("up", 1), ("down", -1)):
            first, one, second, other = SHOWN.fullmatch(units.show(value, kind, system, toward=toward)).groups()
            printed, converted = si(first, one), si(second, other)
            assert sign * (printed - value) >= -1e-9 * value
            assert sign * (converted - printed) >= -1e-9 * value
            step = 10.0 ** -len(second.partition(".")[2]) * si("1", other)
            assert abs(converted - printed) < step * (1 + 1e-9)


def test_what_is_needed_and_what_is_had():
    """A length available and a capacity are rounded down in a working, a need up (E15)."""
    toward = {name.rpartition(".")[2]: function.formula.toward for name, function in catalogue().items()}
    assert set(toward) == NEED | HAVE | EITHER
    assert {name: toward[name] for name in EITHER} == dict.fromkeys(EITHER, "nearest")
    assert {name: toward[name] for name in NEED} == dict.fromkeys(NEED, "up")
    assert {name: toward[name] for name in HAVE} == dict.fromkeys(HAVE, "down")


@pytest.mark.parametrize("name", DEMOS)
def test_no_printed_result_is_happily_rounded(name):
    """Each result of each working, read back from its print in both systems, is on the side that its formula says (E15)."""
    numbers = demo(name).assessed
    looked = 0
    for case in numbers.cases:
        for step in (*case.working, *case.corner):
            if getattr(step.result, "kind", None) not in ("length", "speed") or step.toward == "nearest":
                continue
            for system in ("us", "si"):
                text = units.exact(step.result.si, step.result.kind, system, both=False, toward=step.toward)
                printed, slack = si(*text.split(" ")), 1e-9 * max(1.0, abs(step.result.si))
                assert printed >= step.result.si - slack if step.toward == "up" else printed <= step.result.si + slack, (
                    step.name,
                    text,
                )
                looked += 1
    assert looked > 10


# --- figures of the profile: the side is declared with the field ----------------------------------------------------------

PAIR = re.compile(r"(?<![\d.,])(-?\d[\d,]*(?:\.\d+)?)[\s\u00a0](ft|in|m|mm|lb|kg|lbf|kN|N|mph|km/h|°F|°C)[\s\u00a0]\((-?[\d,]+(?:\.\d+)?)[\s\u00a0](ft|in|m|mm|lb|kg|lbf|kN|N|mph|km/h|°F|°C)\)")  # fmt: skip
SI, US = {"site.units": "si"}, {"site.units": "us"}


def quantities(cls=Site, seen=None):
    """Every field of the profile that is a quantity."""
    seen = set() if seen is None else seen
    if cls in seen:
        return
    seen.add(cls)
    for slot in slots_of(cls):
        if slot.what == "quantity":
            yield cls.__name__, slot
        elif slot.what == "record":
            yield from quantities(slot.arg, seen)


def test_each_field_says_which_side_is_the_safe_one():
    """A figure that is printed in two units declares its side, and what bears or limits is never rounded to the nearest."""
    two = [(where, s) for where, s in quantities() if len(set(units.ways(s.arg))) > 1]
    assert len(two) > 80
    assert [f"{where}.{s.name}" for where, s in two if s.toward not in ("up", "down", "nearest")] == []
    assert [f"{where}.{s.name}" for where, s in two if s.arg in ("force", "mass", "speed") and s.toward == "nearest"] == []
    assert {s.toward for where, s in two if where == "Capacity" and s.name == "min"} == {"up"}
    assert {
        s.toward for _, s in two if s.name in ("tensile", "proof", "gate_proof", "design_load", "line_strength", "strength")
    } == {"down"}


def test_no_template_rounds_a_figure_of_the_profile_its_own_way():
    """The side is told once: no template gives one to `written`, and none prints a figure whose field has none."""
    texts = {p: p.read_text(encoding="utf-8") for p in (ROOT / "templates").rglob("*.md")}
    assert any("|written" in text for text in texts.values())
    assert [str(p) for p, text in texts.items() if re.search(r"\|\s*written\s*\(", text)] == []


@pytest.mark.parametrize(
    ("name", "change"), [("harrow-ridge", {}), ("harrow-ridge", SI), ("pellan-creek", {}), ("pellan-creek", US)]
)
def test_each_printed_pair_is_on_its_safe_side(name, change):
    """In every paper, whatever units come first: the second unit of a figure of the profile lies on the side of its field, and one limit has one figure."""
    site = demo(name) if not change else with_changes(demo(name), change)
    sides: dict[tuple[str, float], set[str]] = {}
    for leaf in leaves(site.site):
        sides.setdefault((leaf.kind, round(leaf.si, 9)), set()).add(leaf.toward)
    told, looked = {}, 0
    lawful = {pair for key in questions() for pair in PAIR.findall(site.code.ask(key).text)}  # as the law prints it
    for paper, text in all_markdown(site).items():
        for first, one, second, other in PAIR.findall(text):
            kind = units.UNITS[one].kind
            value = si(first, one)
            if (first, one, second, other) in lawful or first == exact(value, kind, one).split("\u00a0")[
                0
            ]:  # put into a working, to all its digits
                continue
            if (declared := sides.get((kind, round(value, 9)))) is None or len(declared) > 1 or declared == {"nearest"}:
                continue
            (side,) = declared
            sign, converted = (1 if side == "up" else -1), si(second, other)
            assert sign * (converted - value) >= -1e-9 * max(1.0, abs(value)), (paper, first, one, second, other)
            told.setdefault((first, one, side), set()).add((second, other))
            looked += 1
    assert looked > 40
    assert {key: found for key, found in told.items() if len(found) > 1} == {}


def exact(value, kind, unit):
    """The figure as a working has it."""
    return units.exact(value, kind, system_of(unit), both=False).replace(" ", "\u00a0")


def leaves(node):
    """Every quantity of a site."""
    for slot in slots_of(type(node)):
        value = getattr(node, slot.name)
        for one in value if slot.many else (value,):
            if isinstance(one, Quantity):
                yield one
            elif isinstance(one, Node):
                yield from leaves(one)
