"""Figures of the trade are what a second table says, in other units: a slip of the pen in a figure that stands in for a profile is seen."""

import math
from typing import get_args

import pytest
from support import ROOT, table

from docgen.data import load
from docgen.site.equipment import BEARING, PartKind
from docgen.trade.classes import class_limits
from docgen.trade.editions import current_edition, marks, strength_asked
from docgen.trade.parents import can_be_part_of
from docgen.trade.practice import practice, practices

KEPT = table(ROOT / "tests" / "trade.yaml")
TRADE = ROOT / "docgen" / "trade"


def test_every_figure_is_in_the_table():
    """None is added, and none taken out, in one of the two places only."""
    assert sorted(KEPT["practice"]) == sorted(figure.name for figure in practices())
    assert len(KEPT["classes"]) == len(load(TRADE / "classes.yaml", "classes"))
    assert KEPT["editions"].keys() == load(TRADE / "editions.yaml", "editions").keys()


@pytest.mark.parametrize("face", ["Regular", "Bold", "Italic", "BoldItalic"])
def test_capitals_of_the_fonts_are_no_lower_than_they_are_taken_for(face):
    """What the file of each face that the papers are set in states for its capitals: never less than the share of practice, and hardly more."""
    data = (ROOT / "templates" / "look" / "fonts" / f"LiberationSans-{face}.ttf").read_bytes()
    count = int.from_bytes(data[4:6])
    at = {data[n : n + 4]: int.from_bytes(data[n + 8 : n + 12]) for n in range(12, 12 + 16 * count, 16)}
    units_per_em = int.from_bytes(data[at[b"head"] + 18 : at[b"head"] + 20])
    capital = int.from_bytes(data[at[b"OS/2"] + 88 : at[b"OS/2"] + 90])  # sCapHeight
    share = practice("capital_of_type").si
    assert share <= capital / units_per_em < share + 0.002


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
    (found,) = class_limits(row["standard"], row["class"])
    for limit, name in ((found.arrest_distance, "distance"), (found.peak_force, "peak"), (found.average_force, "average")):
        assert limit == (None if row[name] is None else pytest.approx(float(row[name]), rel=1e-7))
    assert found.edge is row["edge"]


@pytest.mark.parametrize(("standard", "marked", "names"), [
    ("CSA Z259.2.2-17, ANSI/ASSP Z359.14-21", "SRL-LE, Class 2", ["Z259.2.2-2017 SRL-LE", "Z359.14-2021 Class 2"]),
    ("ANSI/ASSP Z359.14", "Class 1", []), ("ANSI/ASSP Z359.14-2022", "Class 1", []), (None, "Class 1", []), ("ANSI/ASSP Z359.14-2021", None, []),
    ("EN 360:2023", None, ["EN 360"]), ("AS/NZS 1891.3", "Type 2", []),
])  # fmt: skip
def test_the_classes_of_a_mark(standard, marked, names):
    """One for each standard on it of which edition and class are known; a mark without its edition has none."""
    assert [one.name for one in class_limits(standard, marked)] == names


def test_an_older_class_and_its_type():
    """A class of 2012 or 2014 says nothing of edges; LE beside it does."""
    assert class_limits("Z359.14-2014", "SRL-LE, Class B")[0].edge is True
    assert class_limits("Z359.14-2014", "SRL-R, Class B")[0].edge is False


@pytest.mark.parametrize("number", KEPT["editions"])
def test_the_newest_edition(number):
    """A mark of its last year is current, one of each year before is an older one, and one of a year between is none."""
    years = [int(year) for year in KEPT["editions"][number]["years"]]
    assert marks(number)[0].years == tuple(years)
    assert current_edition(f"{number}-{years[-1]}") is None
    for year in years[:-1]:
        assert current_edition(f"{number}-{year}").endswith(str(years[-1]))
        assert marks(f"A body {number}-{year}, more")[0].year == year
    assert current_edition(f"{number}-{years[-1] - 1 if years[-1] - 1 not in years else 1901}") is None


@pytest.mark.parametrize("number", KEPT["editions"])
def test_what_a_standard_is_for(number):
    """The kind of part that it is for, and the strength that it asks of it and of no other."""
    row = KEPT["editions"][number]
    (mark,) = marks(f"{number}-{row['years'][-1]}")
    assert row["for"] in mark.kinds
    assert row["not"] not in mark.kinds
    for what in ("tensile", "proof", "gate_proof", "line", "line_textile"):
        asked = strength_asked(number, row["for"], what)
        assert asked == ((pytest.approx(float(row[what]), rel=1e-7), number) if what in row else None)
        assert strength_asked(number, row["not"], what) is None


@pytest.mark.parametrize(("mark", "names"), [
    ("CSA Z259.2.2-17", ["Z259.2.2-2017"]), ("CSA Z259.2.2-M98", ["Z259.2.2-1998"]), ("ANSI Z359.1-2016", []), ("Z359.140-2021", []),
    ("EN 360:2002 and EN 362", ["EN 360:2002", "EN 362"]), ("EN 3600:2002", []), (None, []), ("ANSI/ASSP Z359.14 - 2201", ["Z359.14-2201"]),
])  # fmt: skip
def test_marks_are_read(mark, names):
    """Numbers of the table with their editions, in two digits or four, and nothing that only looks like one."""
    assert [one.name for one in marks(mark)] == names


def test_kinds_are_those_of_a_profile():
    """Each kind that a table of the trade names is one that a part may have, and a part of no whole is refused by each of them."""
    kinds = set(get_args(PartKind))
    parents = load(TRADE / "parents.yaml", "parents")
    named = {kind for row in load(TRADE / "editions.yaml", "editions").values() for kind in row["kinds"]}
    assert named | set(parents) | {kind for whole in parents.values() for kind in whole} <= kinds
    assert set(parents) == {*BEARING, "harness"}
    assert not any(can_be_part_of("harness", kind) for kind in kinds)
