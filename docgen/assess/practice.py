"""Figures of the trade used where a profile is silent: data in practice.yaml, each with its source and basis."""

from functools import cache
from pathlib import Path
from typing import Any

from docgen import units
from docgen.frozen import frozen

__all__ = ["Practice", "practice"]


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


@cache
def _table() -> dict[str, dict[str, Any]]:
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load((Path(__file__).parent / "practice.yaml").read_text(encoding="utf-8"), Loader=loader)


@cache
def practice(name: str, system: str = "us") -> Practice:
    """The figure called `name`; in an SI-first system its metric form where the trade has one. KeyError if unknown."""
    row = _table()[name]
    text = row.get("metric_value", row["value"]) if system == "si" else row["value"]
    interval = units.parse_interval(text) if row["kind"] == "interval" else None
    si = None if interval else float(text) if row["kind"] == "ratio" else units.parse(text, row["kind"]).si
    return Practice(name, row["kind"], si, interval, str(text), row["what"], row["source"], row["basis"])
