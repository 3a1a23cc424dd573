"""Whether a profile is of an older format, and then one answer that says where each of its fields stands now. Data in older.yaml."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, cast

from docgen.data import load
from docgen.frozen import frozen
from docgen.read import Mark, Problem, Source, join
from docgen.words import words

__all__ = ["NUMBER", "Moved", "format_problem", "moved"]

NUMBER = "profile"  # the key that says of which format a profile is
WIDTH = 76


@frozen
class Moved:
    """Old names of one row with its group (log, renamed, split, gone), and where the facts stand now."""

    group: str
    was: tuple[str, ...]
    now: tuple[str, ...] = ()


@cache
def moved() -> tuple[Moved, ...]:
    """The rows of the table, in its order."""
    table = cast("dict[str, list[dict[str, list[str]]]]", load(Path(__file__).parent / "older.yaml", "older"))
    return tuple(Moved(group, tuple(row["was"]), tuple(row.get("now", ()))) for group, rows in table.items() for row in rows)


def format_problem(source: Source, language: str) -> Problem | None:
    """The one problem of a profile without its number that has fields of an older format, or of a number that stands in the wrong place."""
    if source.data is None:
        return None
    said = words(language)["report"]["older"]
    if NUMBER in source.data:
        mark = source.marks[NUMBER]
        if next(iter(source.data)) == NUMBER:
            return None
        return Problem(source.file, mark.key_line, mark.key_column, NUMBER, said["not_first"], said["first"])
    rows = [(row, lines) for row in moved() if (lines := [m.key_line for name in row.was for m in _marks(source, name)])]
    if not rows:
        return None
    hint = "\n".join(_lines(rows, said))
    return Problem(source.file, 1, 1, "", said["message"], hint)


def _marks(source: Source, name: str) -> Iterator[Mark]:
    """The places in the file at which a field of that name stands in the form that it had."""
    found = [("", cast(Any, source.data))]
    for step in name.split("."):
        key = step.removesuffix("[]")
        below = [(join(at, key), data[key]) for at, data in found if isinstance(data, dict) and key in data]
        if step.endswith("[]"):
            below = [(join(at, i), item) for at, items in below if isinstance(items, list) for i, item in enumerate(items)]
        found = below
    yield from (source.marks[at] for at, data in found if name.endswith("[]") or not isinstance(data, list))


def _lines(rows: list[tuple[Moved, list[int]]], said: dict[str, str]) -> Iterator[str]:
    """What to do; then the rows by group, each with the first line on which it is met."""
    yield said["do"]
    for group in dict.fromkeys(row.group for row, _ in rows):
        yield f"{said[group]}:"
        for row, lines in rows:
            if row.group == group:
                now = f" -> {_short(row.now)}" if row.now else ""
                told = said["line"].format(row=f"{_short(row.was)}{now}", n=min(lines))
                wrapped = textwrap.wrap(told, WIDTH, initial_indent="  ", subsequent_indent="      ", break_on_hyphens=False)
                yield from (line.replace("\u00a0", " ") for line in wrapped)


def _short(names: tuple[str, ...]) -> str:
    """Names, with the section that they share with the one before left out."""
    shown, before = [], ""
    for name in names:
        section, _, last = name.rpartition(".")
        shown.append(f".{last}" if section and section == before else name)
        before = section
    return ", ".join(shown)
