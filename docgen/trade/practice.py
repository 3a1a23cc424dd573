"""Figures of the trade used where a profile is silent: data in practice.yaml, each with its source and basis."""

from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, cast

from docgen import units
from docgen.data import load, wrong
from docgen.frozen import frozen

__all__ = ["Practice", "practice", "practices"]


@frozen
class Practice:
    """One figure: `si` is the SI value, or None for a calendar interval, which is then in `interval`."""

    name: str
    kind: str
    si: float | None
    interval: units.Interval | None
    text: str
    what: str
    source: str
    basis: str


FILE = Path(__file__).parent / "practice.yaml"
HOME = "US"  # most published figures of the trade are of this country; others take `elsewhere` as their source


class _Row(TypedDict):
    """A figure, as schemas/practice.schema.json has it."""

    value: str | int
    metric_value: NotRequired[str | int]
    kind: str
    what: str
    metric_what: NotRequired[str]
    source: str
    basis: Literal["read", "memory", "none"]
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
    source, basis = row["source"], row["basis"]
    if country != HOME and "elsewhere" in row:
        source, basis = row["elsewhere"], "none"
    what = row.get("metric_what", row["what"]) if system == "si" else row["what"]
    metric = system == "si" and "metric_value" in row
    text = str(row["metric_value"] if metric else row["value"])
    try:
        interval = units.parse_interval(text) if row["kind"] == "interval" else None
        si = None if interval else float(text) if row["kind"] == "ratio" else units.parse(text, row["kind"]).si
    except units.UnitProblem as problem:
        raise wrong(FILE, (name, "metric_value" if metric else "value"), str(problem)) from None
    return Practice(name, row["kind"], si, interval, text, what, source, basis)


def practices() -> tuple[Practice, ...]:
    """All figures, in the order of the file."""
    return tuple(practice(name) for name in _table())
