"""Figures of the trade used where a profile is silent: data in practice.yaml, each with its source and basis."""

from functools import cache
from pathlib import Path
from typing import Any

from docgen import units
from docgen.frozen import frozen

__all__ = ["Practice", "practice", "practices"]


@frozen
class Practice:
    """One figure: `si` is the SI value, or None for a calendar interval, which is then in `interval`.

    What it is the words of each language say (`words.usual_text`), in the form of the `system` that it was asked in.
    """

    name: str
    kind: str
    si: float | None
    interval: units.Interval | None
    text: str
    system: str
    source: str
    basis: str


HOME = "US"  # most published figures of the trade are of this country; others take `elsewhere` as their source


@cache
def _table() -> dict[str, dict[str, Any]]:
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load((Path(__file__).parent / "practice.yaml").read_text(encoding="utf-8"), Loader=loader)


@cache
def practice(name: str, system: str = "us", country: str = HOME) -> Practice:
    """The figure called `name`; in an SI-first system its metric form where the trade has one. KeyError if unknown.

    In a country other than that of its source a figure is common practice only, and no body of another country is named.
    """
    row = _table()[name]
    if country != HOME and "elsewhere" in row:
        row = row | {"source": row["elsewhere"], "basis": "none"}
    text = row.get("metric_value", row["value"]) if system == "si" else row["value"]
    interval = units.parse_interval(text) if row["kind"] == "interval" else None
    si = None if interval else float(text) if row["kind"] == "ratio" else units.parse(text, row["kind"]).si
    return Practice(name, row["kind"], si, interval, str(text), system, row["source"], row["basis"])


def practices() -> tuple[Practice, ...]:
    """All figures, in the order of the file."""
    return tuple(practice(name) for name in _table())
