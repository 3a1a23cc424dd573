"""What a device of a marked class was tested to. Data in classes.yaml."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, cast

from docgen import units
from docgen.data import load, wrong
from docgen.frozen import frozen
from docgen.trade.editions import Mark, marks

__all__ = ["ClassLimits", "Edition", "class_limits", "editions_of"]

FILE = Path(__file__).parent / "classes.yaml"


@frozen
class ClassLimits:
    """Limits of one class in SI, None where they are not known, and whether it says that the line may bear on an edge, None where it says
    nothing of it. `by_type`: a type marked beside the class says so."""

    name: str
    source: str
    arrest_distance: float | None = None
    peak_force: float | None = None
    average_force: float | None = None
    edge: bool | None = None
    by_type: bool = False


@frozen
class Edition:
    """An edition on a mark that has classes, as it is written, its classes, and whether the class on the mark is one of them."""

    name: str
    classes: tuple[str, ...]
    known: bool


class _Row(TypedDict):
    """A class, as schemas/classes.schema.json has it."""

    arrest_distance: NotRequired[str]
    peak_force: NotRequired[str]
    average_force: NotRequired[str]
    edge: NotRequired[bool]
    edge_mark: NotRequired[str]
    source: str
    basis: Literal["read", "memory"]


@cache
def _table() -> dict[str, _Row]:
    return cast("dict[str, _Row]", load(FILE, "classes"))


def class_limits(standard: str | None, device_class: str | None) -> tuple[ClassLimits, ...]:
    """The limits for a mark such as `ANSI/ASSP Z359.14-2021` and `Class 2`, for each standard on it; none for a mark that the table lacks.

    >>> [one.name for one in class_limits("ANSI/ASSP Z359.14-2021", "Class 1")]
    ['Z359.14-2021 Class 1']
    """
    found: list[ClassLimits] = []
    for mark in marks(standard):
        named = [f"{_stem(mark)} {name}" for name in _classes(mark) if _is(name, device_class)]
        whole = [name for name in (_stem(mark), mark.number) if name in _table()][:1]
        found += [_limits(name, device_class) for name in named or whole]
    return tuple(found)


def editions_of(standard: str | None, device_class: str | None) -> tuple[Edition, ...]:
    """The editions on a mark that have classes; none where it has no edition, or where the table lacks it.

    >>> [(e.name, e.classes, e.known) for e in editions_of("ANSI/ASSP Z359.14-2021, EN 360:2002", "Class A")]
    [('Z359.14-2021', ('Class 1', 'Class 2'), False)]
    """
    found = ((mark, _classes(mark)) for mark in marks(standard))
    return tuple(Edition(mark.name, names, any(_is(n, device_class) for n in names)) for mark, names in found if names)


def _limits(name: str, device_class: str | None) -> ClassLimits:
    row = _table()[name]
    by_type = "edge_mark" in row
    return ClassLimits(
        name,
        row["source"],
        _si(name, "arrest_distance", row.get("arrest_distance"), "length"),
        _si(name, "peak_force", row.get("peak_force"), "force"),
        _si(name, "average_force", row.get("average_force"), "force"),
        _word(row["edge_mark"], device_class, "A-Za-z") if by_type else row.get("edge"),
        by_type,
    )


def _stem(mark: Mark) -> str:
    return mark.number if mark.year is None else f"{mark.number}-{mark.year}"


def _classes(mark: Mark) -> tuple[str, ...]:
    stem = f"{_stem(mark)} "
    return tuple(name.removeprefix(stem) for name in _table() if mark.year is not None and name.startswith(stem))


def _is(name: str, device_class: str | None) -> bool:
    """Whether a class is the one that a mark names: its last word stands there, alone."""
    return _word(name.split()[-1], device_class, r"\w-")


def _word(word: str, text: str | None, signs: str) -> bool:
    return re.search(rf"(?<![{signs}]){re.escape(word)}(?![{signs}])", text or "") is not None


def _si(name: str, key: str, text: str | None, kind: str) -> float | None:
    if text is None:
        return None
    try:
        return units.parse(text, kind).si
    except units.UnitProblem as problem:
        raise wrong(FILE, (name, key), str(problem)) from None
