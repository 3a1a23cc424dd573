"""`unknown` as a value of the profile: said to be not known, with whom we asked and when. It is taken out before anything is checked.

hang: unknown
deflection: {unknown: {asked: rail maker, on: 2026-10-02}}
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import Any

from docgen.frozen import frozen
from docgen.read import Mark, Problem, Source, join
from docgen.units import UnitProblem, parse_date

__all__ = ["WORD", "NotKnown", "without_unknown"]

WORD = "unknown"
ENTRY = re.compile(r"\[\d+\]")
FORM = 'write it as  unknown  or as  {unknown: {asked: "rail maker", on: 2026-10-02}}'


@frozen
class NotKnown:
    """A value said to be not known: its path in the file, its place, whom we asked and on which day."""

    path: str
    mark: Mark
    asked: str | None = None
    on: date | None = None


def without_unknown(source: Source) -> tuple[Source, tuple[NotKnown, ...]]:
    """The source without the values said to be not known, and what was taken out; a form that cannot be read becomes a problem."""
    if source.data is None or not (WORD in source.text or WORD in source.beside):
        return source, ()
    found: list[NotKnown] = []
    problems: list[Problem] = []
    moved: dict[str, int] = {}  # entry of a list -> its number once unknown ones before it are gone

    def kept(value: Any, path: str) -> Any:
        if isinstance(value, dict):
            return {key: kept(inner, at) for key, inner in value.items() if not taken(inner, at := join(path, key))}
        if isinstance(value, list):
            left = [(index, inner) for index, inner in enumerate(value) if not taken(inner, join(path, index))]
            moved.update({join(path, index): new for new, (index, _) in enumerate(left) if new != index})
            return [kept(inner, join(path, index)) for index, inner in left]
        return value

    def taken(value: Any, path: str) -> bool:
        if value != WORD and not (isinstance(value, dict) and WORD in value):
            return False
        mark = source.marks.get(path, Mark(1, 1, 1, 1))
        asked, on, wrong = _read(value)
        if wrong:
            problems.append(Problem(source.file_of(mark), mark.line, mark.column, path, wrong, FORM))
        found.append(NotKnown(path, mark, asked, on))
        return True

    data = kept(source.data, "")
    marks = {_moved(path, moved): mark for path, mark in source.marks.items()} if moved else source.marks
    return replace(source, data=data, marks=marks, problems=tuple(sorted((*source.problems, *problems)))), tuple(found)


def _moved(path: str, moved: dict[str, int]) -> str:
    """A path with the numbers that entries of lists have now."""
    new, begin = "", 0
    for match in ENTRY.finditer(path):
        number = moved.get(path[: match.end()])
        new += path[begin : match.start()] + (match[0] if number is None else f"[{number}]")
        begin = match.end()
    return new + path[begin:]


def _read(value: Any) -> tuple[str | None, date | None, str]:
    """Whom, on which day, and what is wrong with the form."""
    told = value if value == WORD else value[WORD]
    if told in (WORD, None):
        return None, None, ""
    if set(value) != {WORD} or not isinstance(told, dict) or not set(told) <= {"asked", "on"}:
        return None, None, "beside 'unknown' stand only asked and on"
    asked, on = told.get("asked"), told.get("on")
    if asked is not None and not isinstance(asked, str):
        return None, None, "'asked' names whom we asked, as text"
    try:
        return asked, None if on is None else parse_date(on), ""
    except (UnitProblem, TypeError, AttributeError):
        return asked, None, "'on' is a day, such as 2026-10-02"
