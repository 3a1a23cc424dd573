"""What a device of a marked class was tested to. Data in classes.yaml."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, cast

from docgen import units
from docgen.data import load, wrong
from docgen.frozen import frozen

__all__ = ["ClassLimits", "class_known", "class_limits", "classes_of"]

FILE = Path(__file__).parent / "classes.yaml"


@frozen
class ClassLimits:
    """Limits of one class in SI, and whether it says that the line may bear on an edge; None where the class states none."""

    name: str
    source: str
    arrest_distance: float
    peak_force: float
    average_force: float | None = None
    edge: bool | None = None


class _Row(TypedDict):
    """A class, as schemas/classes.schema.json has it."""

    arrest_distance: str
    peak_force: str
    average_force: NotRequired[str]
    edge: NotRequired[bool]
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
    number, year = _mark(standard)
    letter = _letter(device_class)
    names = [f"{number}-{year} Class {letter}", f"{number}-{year}", number]
    found = next((name for name in names if name in _table()), None)
    if found is None:
        return None
    row = _table()[found]
    average = _si(found, "average_force", row["average_force"], "force") if "average_force" in row else None
    return ClassLimits(
        found,
        row["source"],
        _si(found, "arrest_distance", row["arrest_distance"], "length"),
        _si(found, "peak_force", row["peak_force"], "force"),
        average,
        row.get("edge"),
    )


def classes_of(standard: str | None) -> tuple[str, ...]:
    """The classes of the edition on a mark; none where it has none, or where the table lacks it.

    >>> classes_of("ANSI/ASSP Z359.14-2021"), classes_of("EN 360:2002")
    (('Class 1', 'Class 2'), ())
    """
    number, year = _mark(standard)
    stem = f"{number}-{year} "
    return tuple(name.removeprefix(stem) for name in _table() if name.startswith(stem))


def class_known(standard: str | None, device_class: str) -> bool:
    """Whether the class on a mark is one of those that its edition has.

    >>> class_known("ANSI/ASSP Z359.14-2021", "Class A")
    False
    """
    return f"Class {_letter(device_class)}" in classes_of(standard)


def _mark(standard: str | None) -> tuple[str, str]:
    """Number and year of the first standard of the table on a mark, each empty where it is not there."""
    mark = re.search(r"\b(Z359\.14|EN 360)\b(?:\s*[-:]\s*(\d{4})\b)?", standard or "")
    return ("", "") if mark is None else (mark[1], mark[2] or "")


def _letter(device_class: str | None) -> str:
    letter = re.search(r"\b([AB12])\b", device_class or "")
    return "" if letter is None else letter[1]


def _si(name: str, key: str, text: str, kind: str) -> float:
    try:
        return units.parse(text, kind).si
    except units.UnitProblem as problem:
        raise wrong(FILE, (name, key), str(problem)) from None
