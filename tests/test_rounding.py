"""Printed figures lie on their unfavorable side, whichever unit a reader takes; exact factors: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg (NIST SP 811)."""

import random
import re

import pytest
from support import DEMOS, demo

from docgen import units
from docgen.calc.catalogue import catalogue

SHOWN = re.compile(r"^(-?[\d,.]+) (\S+) \((-?[\d,.]+) (\S+)\)$")
#: What each formula of these gives is a need, or something to be had; a new one must be put here.
NEED = {
    "required_below_surface", "swing_drop", "offset", "across_offset", "line_angle", "swing_speed", "engineered_load", "anchor_load", "anchor_load_designed",
    "hanging_load", "lifeline_tension", "elastic_stretch", "solve_lifeline", "lifeline_sag", "fall_speed", "braking_distance", "time_since_fall", "schedule",
    "finish_of", "pessimistic", "detection_time",
}  # fmt: skip
HAVE = {
    "available_below_surface", "clearance_margin", "kept_margin", "allowed_swing",
    "largest_offset_for_drop", "largest_offset_for_angle", "largest_across", "parking_allowance", "chain_limit", "height_above_d_ring", "line_bears_on_edge", "gain_if_cut",
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
