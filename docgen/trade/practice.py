"""Figures of the trade used where a profile is silent: data in practice.yaml, each with its source and basis."""

from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, cast

from docgen import units
from docgen.data import load, wrong
from docgen.frozen import frozen

__all__ = ["Practice", "practice", "practice_beside", "practices"]


Basis = Literal["read", "memory", "none"]


@frozen
class Practice:
    """One figure: `value` is in SI, or a span of the calendar.

    What it is the words of each language say (`words.usual_text`), in the form of the `system` that it was asked in.
    """

    name: str
    kind: str
    value: float | units.Interval
    text: str
    system: str
    source: str
    basis: Basis

    @property
    def si(self) -> float:
        """The figure in SI. TypeError for a span of the calendar, which a caller must not ask this of."""
        if isinstance(self.value, units.Interval):
            raise TypeError(f"{self.name} is an interval")
        return self.value

    @property
    def interval(self) -> units.Interval:
        """The span of the calendar. TypeError for any other figure."""
        if isinstance(self.value, units.Interval):
            return self.value
        raise TypeError(f"{self.name} is not an interval")


FILE = Path(__file__).parent / "practice.yaml"
HOME = "US"  # most published figures of the trade are of this country; others take `elsewhere` as their source


class _Row(TypedDict):
    """A figure, as schemas/practice.schema.json has it."""

    value: str | int
    metric_value: NotRequired[str | int]
    kind: str
    source: str
    basis: Basis
    elsewhere: NotRequired[str]


@cache
def _table() -> dict[str, _Row]:
    return cast("dict[str, _Row]", load(FILE, "practice"))


@cache
def practice(name: str, system: str = "us", country: str = HOME) -> Practice:
    """The figure called `name`; in an SI-first system its metric form where the trade has one. KeyError if unknown.

    In a country other than that of its source a figure is common practice only, and no body of another country is named.
    """
    row = _table()[name]
    metric = system == "si" and "metric_value" in row
    text = str(row["metric_value"] if metric else row["value"])
    abroad = country != HOME and "elsewhere" in row
    try:
        value = _value(row["kind"], text)
    except units.UnitProblem as problem:
        raise wrong(FILE, (name, "metric_value" if metric else "value"), str(problem)) from None
    source = row["elsewhere"] if abroad else row["source"]
    return Practice(name, row["kind"], value, text, system, source, "none" if abroad else row["basis"])


def practice_beside(name: str, unit: str, system: str, country: str = HOME) -> Practice:
    """The figure as it stands beside one that is written in `unit`: a metric figure is held against the trade's metric form, wherever it is.

    Else 0.30 m would be less than the "1.0 ft (0.30 m)" that is asked of it. `system` where the unit is of both, or none is given.
    """
    own = units.system_of(unit) if unit in units.UNITS else "both"
    return practice(name, system if own == "both" else own, country)


def _value(kind: str, text: str) -> float | units.Interval:
    """A figure as the file writes it, in SI."""
    if kind == "interval":
        return units.parse_interval(text)
    return float(text) if kind == "ratio" else units.parse(text, kind).si


def practices() -> tuple[Practice, ...]:
    """All figures, in the order of the file."""
    return tuple(practice(name) for name in _table())
