"""Figures of the trade are what a second table says, in other units: a slip of the pen in a figure that stands in for a profile is seen."""

import math

import pytest
from support import ROOT, table

from docgen.data import load
from docgen.trade.classes import class_limits
from docgen.trade.editions import current_edition
from docgen.trade.practice import practice, practices

KEPT = table(ROOT / "tests" / "trade.yaml")
TRADE = ROOT / "docgen" / "trade"


def test_every_figure_is_in_the_table():
    """None is added, and none taken out, in one of the two places only."""
    assert sorted(KEPT["practice"]) == sorted(figure.name for figure in practices())
    assert len(KEPT["classes"]) == len(load(TRADE / "classes.yaml", "classes"))
    assert KEPT["editions"].keys() == load(TRADE / "editions.yaml", "editions").keys()


@pytest.mark.parametrize("name", KEPT["practice"])
def test_a_figure_of_practice(name):
    """Its value in SI or on the calendar, in both systems of units."""
    row = KEPT["practice"][name]
    if "months" in row:
        span = practice(name).interval
        assert (span.months, span.days) == (int(row["months"]), int(row["days"]))
        return
    expected = math.radians(float(row["degrees"])) if "degrees" in row else float(row["is"])
    assert practice(name).si == pytest.approx(expected, rel=1e-7)
    assert practice(name, "si").si == pytest.approx(float(row.get("metric", expected)), rel=1e-7)


@pytest.mark.parametrize("row", KEPT["classes"], ids=lambda row: f"{row['standard']} {row['class']}".strip())
def test_limits_of_a_class(row):
    """What a device of that class was tested to."""
    found = class_limits(row["standard"], row["class"])
    assert found.arrest_distance == pytest.approx(float(row["distance"]))
    assert found.peak_force == pytest.approx(float(row["peak"]), rel=1e-7)
    assert found.average_force == (None if row["average"] is None else pytest.approx(float(row["average"]), rel=1e-7))


@pytest.mark.parametrize("number", KEPT["editions"])
def test_the_newest_edition(number):
    """A mark of that year is current, one of the year before is not."""
    year = int(KEPT["editions"][number])
    assert current_edition(f"{number}-{year}") is None
    assert current_edition(f"{number}-{year - 1}").endswith(str(year))
