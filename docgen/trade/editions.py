"""What is known of the standards on the mark of a part: their editions, the kinds of part they are for, the strength they ask. Data in editions.yaml."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, cast

from docgen import units
from docgen.data import load, wrong
from docgen.frozen import frozen

__all__ = ["Asked", "Mark", "current_edition", "marks", "strength_asked"]

FILE = Path(__file__).parent / "editions.yaml"
Asked = Literal["tensile", "proof", "gate_proof", "line", "line_textile"]


class _Row(TypedDict):
    """A standard, as schemas/editions.schema.json has it."""

    years: list[int]
    kinds: list[str]
    tensile: NotRequired[str]
    proof: NotRequired[str]
    gate_proof: NotRequired[str]
    line: NotRequired[str]
    line_textile: NotRequired[str]


@frozen
class Mark:
    """One known standard on a mark. `year` is the edition as a full year, None where the mark has none; `years` are all known editions."""

    number: str
    year: int | None
    years: tuple[int, ...]
    kinds: tuple[str, ...]

    @property
    def name(self) -> str:
        """The standard with its edition as it is written, such as Z359.14-2021."""
        return _name(self.number, self.year)


@cache
def _table() -> dict[str, _Row]:
    return cast("dict[str, _Row]", load(FILE, "editions"))


@cache
def _pattern() -> re.Pattern[str]:
    numbers = "|".join(re.escape(number) for number in sorted(_table(), key=len, reverse=True))
    return re.compile(rf"(?<![\w.])({numbers})(?!\d|\.\d)(?:\s*[-:]\s*M?(\d{{4}}|\d{{2}})(?!\d))?")


def marks(mark: str | None) -> tuple[Mark, ...]:
    """The standards of the table on a mark, in its order; a year of two digits is taken as the edition that ends so, or as one of this century.

    >>> [m.name for m in marks("CSA Z259.2.2-17, ANSI/ASSP Z359.14-2021")]
    ['Z259.2.2-2017', 'Z359.14-2021']
    """
    found = []
    for number, year in _pattern().findall(mark or ""):
        row = _table()[number]
        found.append(Mark(number, _year(year, row["years"]), tuple(row["years"]), tuple(row["kinds"])))
    return tuple(found)


def _year(text: str, years: list[int]) -> int | None:
    if len(text) != 2:
        return int(text) if text else None
    return next((year for year in years if year % 100 == int(text)), 2000 + int(text))


def _name(number: str, year: int | None) -> str:
    if year is None:
        return number
    return f"{number}{':' if number.startswith('EN') else '-'}{year}"


def current_edition(mark: str | None) -> str | None:
    """The current edition such as `Z359.14-2021` if the mark names an older one; None if it is current or unknown.

    >>> current_edition("ANSI/ASSP Z359.14-2014")
    'Z359.14-2021'
    """
    for one in marks(mark):
        if one.year in one.years[:-1]:
            return _name(one.number, one.years[-1])
    return None


def strength_asked(mark: str | None, kind: str, what: Asked) -> tuple[float, str] | None:
    """The greatest strength in N that a standard on the mark asks of a part of that kind, and the standard; None where none of them does.

    >>> strength_asked("EN 362:2004", "connector", "tensile")
    (20000.0, 'EN 362')
    """
    found = [
        (_si(m.number, what, text), m.number) for m in marks(mark) if kind in m.kinds and (text := _table()[m.number].get(what))
    ]
    return max(found, default=None)


def _si(number: str, key: str, text: str) -> float:
    try:
        return units.parse(text, "force").si
    except units.UnitProblem as problem:
        raise wrong(FILE, (number, key), str(problem)) from None
