"""What a device of a marked class was tested to. Data in classes.yaml."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from docgen import units
from docgen.frozen import frozen

__all__ = ["ClassLimits", "class_limits"]


@frozen
class ClassLimits:
    """Limits of one class in SI; None where the class states none."""

    name: str
    source: str
    arrest_distance: float
    peak_force: float
    average_force: float | None = None


@cache
def _table() -> dict[str, dict[str, str]]:
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    table: dict[str, dict[str, str]] = yaml.load(
        (Path(__file__).parent / "classes.yaml").read_text(encoding="utf-8"), Loader=loader
    )
    return table


def class_limits(standard: str | None, device_class: str | None) -> ClassLimits | None:
    """The limits for a mark such as `ANSI/ASSP Z359.14-2021` and `Class 2`; None for a mark that the table lacks.

    >>> class_limits("ANSI/ASSP Z359.14-2021", "Class 1").name
    'Z359.14-2021 Class 1'
    """
    mark = re.search(r"\b(Z359\.14|EN 360)\s*[-:]\s*(\d{4})\b", standard or "")
    if mark is None:
        return None
    name = f"{mark[1]}-{mark[2]}"
    letter = re.search(r"\b([AB12])\b", device_class or "")
    found = name if name in _table() or letter is None else f"{name} Class {letter[1]}"
    row = _table().get(found)
    if row is None:
        return None
    average = units.parse(row["average_force"], "force").si if "average_force" in row else None
    return ClassLimits(
        found,
        row["source"],
        units.parse(row["arrest_distance"], "length").si,
        units.parse(row["peak_force"], "force").si,
        average,
    )
