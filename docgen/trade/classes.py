"""What a device of a marked class was tested to. Data in classes.yaml."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, cast

from docgen import units
from docgen.data import load, wrong
from docgen.frozen import frozen

__all__ = ["ClassLimits", "class_limits"]


FILE = Path(__file__).parent / "classes.yaml"


@frozen
class ClassLimits:
    """Limits of one class in SI; None where the class states none."""

    name: str
    source: str
    arrest_distance: float
    peak_force: float
    average_force: float | None = None


class _Row(TypedDict):
    """A class, as schemas/classes.schema.json has it."""

    arrest_distance: str
    peak_force: str
    average_force: NotRequired[str]
    source: str
    basis: Literal["read", "memory"]


@cache
def _table() -> dict[str, _Row]:
    return cast("dict[str, _Row]", load(FILE, "classes"))


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
    average = _si(found, "average_force", row["average_force"], "force") if "average_force" in row else None
    return ClassLimits(
        found,
        row["source"],
        _si(found, "arrest_distance", row["arrest_distance"], "length"),
        _si(found, "peak_force", row["peak_force"], "force"),
        average,
    )


def _si(name: str, key: str, text: str, kind: str) -> float:
    try:
        return units.parse(text, kind).si
    except units.UnitProblem as problem:
        raise wrong(FILE, (name, key), str(problem)) from None
