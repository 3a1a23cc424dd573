"""The words of a clause as somebody reads them out: sentences, items and rows of tables, each whole."""

from __future__ import annotations

import re
from collections.abc import Iterable

from docgen.compose.tree import parse
from docgen.control.redline_html import Line, lines_of

__all__ = ["new_words", "units"]

SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[^a-zà-öø-ÿ])")
SHORT = 240


def units(markdown: str) -> list[str]:
    """What a clause says, unit by unit, without notation: a row of a table reads `first cell: heading value, heading value`."""
    found: list[str] = []
    heads: tuple[str, ...] = ()
    for line in list(lines_of(parse(f"# -\n\n{markdown}")))[1:]:
        if line.kind in ("caption", "figure", "hr"):
            continue
        if line.kind == "tr":
            if line.mark == "th":
                heads = line.cells
            else:
                found.append(_row(heads, line))
        else:
            found += [part for part in SENTENCE.split(" ".join(line.cells[0].split())) if part]
    return [unit for unit in found if unit]


def _row(heads: tuple[str, ...], line: Line) -> str:
    cells = [" ".join(cell.split()) for cell in line.cells]
    named = [f"{head} {cell}".strip() for head, cell in zip(heads[1:], cells[1:], strict=False) if cell] if heads else cells[1:]
    return f"{cells[0]}: {', '.join(named)}" if named else cells[0]


def new_words(old: Iterable[str], new: str) -> tuple[str, ...]:
    """What a clause says now: all of it where it is short, else each sentence, item or row that was not in the older text."""
    now, before = units(new), set(old)
    if sum(len(unit) for unit in now) <= SHORT:
        return tuple(now)
    return tuple(unit for unit in now if unit not in before)
