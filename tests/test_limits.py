"""Exactly at a limit: one home, both sides of it, and no other comparison with noise of its own."""

import ast
import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import capacity as other_capacity
from reference import swing as other_swing
from support import AS_OF

import docgen
from docgen.calc import clearance
from docgen.codes import load
from docgen.limits import NOISE, at_least, no_noise, over, same_figure, under, within
from docgen.private import Guard

HOME = Path(docgen.__file__).parent


@pytest.mark.parametrize(
    ("measured", "limit", "is_over", "is_under"),
    [
        (20.1 + 20.1 + 20.1, 60.3, False, False),  # three steps of 20.1 s make 60.300000000000004 s
        (0.1 + 0.2, 0.3, False, False),
        (60.31, 60.3, True, False),
        (60.29, 60.3, False, True),
        (2 * 1800 * 4.4482216152605 * 2, 7200 * 4.4482216152605, False, False),
        (0.0, 0.0, False, False),
        (1e-6, 0.0, True, False),
        (-1e-6, 0.0, False, True),
        (math.inf, 5.0, True, False),
        (5.0, math.inf, False, True),
    ],
)
def test_both_sides_and_exactly_at(measured, limit, is_over, is_under):
    """A figure is over, under or at its limit, and never two of them; the text says whether at it passes."""
    assert (over(measured, limit), under(measured, limit)) == (is_over, is_under)
    assert within(measured, limit) is not is_over
    assert at_least(measured, limit) is not is_under
    assert within(measured, limit, inclusive=False) is is_under
    assert at_least(measured, limit, inclusive=False) is is_over
    assert same_figure(measured, limit) is not (is_over or is_under)


def test_no_number_keeps_no_limit():
    """What is not a number passes nowhere."""
    for keeps in (within, at_least):
        for inclusive in (True, False):
            assert not keeps(math.nan, 5.0, inclusive)
            assert not keeps(5.0, math.nan, inclusive)


@given(st.lists(st.integers(1, 9999), min_size=1, max_size=12), st.integers(1, 4))
def test_sums_of_decimals(figures, places):
    """A sum of printed figures keeps the limit that is their exact sum; one in the last place more does not."""
    total = sum(figure / 10**places for figure in figures)
    exact = sum(figures) / 10**places
    assert within(total, exact)
    assert at_least(total, exact)
    assert over(total + 10.0**-places, exact)
    assert no_noise(total - exact) == 0.0


def test_one_noise():
    """No other module has a noise of its own: a bare 1e-9 or a pair of `abs` and a tiny number stands in limits.py only."""
    found = []
    for path in HOME.rglob("*.py"):
        if path.name == "limits.py" or "compose" in path.parts:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, float) and 0 < node.value <= 1e-6:
                found.append(f"{path.relative_to(HOME)}:{node.lineno}")
    assert found == []
    assert NOISE == 1e-9


THIRDS = 20.1 + 20.1 + 20.1  # 60.300000000000004


@pytest.mark.parametrize(
    ("bound", "inclusive", "keeps"),
    [("maximum", True, True), ("maximum", False, False), ("minimum", True, True), ("minimum", False, False)],
)
def test_an_answer_of_the_law_at_its_figure(bound, inclusive, keeps):
    """Exactly at a figure of the law counts as its text has it, though the machine's sum misses the figure by its noise."""
    answer = replace(
        load("US", "general-industry", AS_OF).ask("user_mass_condition"), value=60.3, bound=bound, inclusive=inclusive
    )
    assert answer.holds(THIRDS) is keeps
    assert answer.holds(60.4) is (bound == "minimum")


def test_calculations_at_their_limits():
    """A mass at the limit, and a posture whose D-ring is as high as standing but for noise, are neither over nor refused."""
    assert other_capacity.within_limit(THIRDS, 60.3, inclusive=True)
    assert not other_capacity.within_limit(THIRDS, 60.3, inclusive=False)
    assert clearance.posture_addition(d_ring_standing=60.3, d_ring_posture=THIRDS) == 0.0
    assert other_swing.arc_reaches(line_at_lock=20.1, extra=20.1 + 20.1, near=THIRDS, far=THIRDS)
    assert other_swing.arc_reaches(line_at_lock=20.1, extra=40.2, near=60.30000000000001, far=70.0)


def test_a_private_mass_at_the_limit():
    """A person exactly at the posted figure fits where the text includes it, and does not where it says "less than"."""
    guard = Guard({"U-01": (THIRDS, THIRDS)}, ())
    assert guard.facts({"U-01": True}, 50.0, 60.3, True).agrees is True
    assert guard.facts({"U-01": True}, 50.0, 60.3, False).agrees is False
    assert guard.facts({"U-01": True}, THIRDS, 70.0, True).agrees is True
    tools = Guard({"U-01": (58.0, 66.0)}, ())  # the lower limit speaks of the body with clothes, the upper of all
    assert tools.facts({"U-01": True}, 58.0, 66.0, True).agrees is True
    assert tools.facts({"U-01": True}, 59.0, 70.0, True).agrees is False
    assert tools.facts({"U-01": True}, 50.0, 65.0, True).agrees is False
