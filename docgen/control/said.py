"""The words of a clause as somebody reads them out: sentences, items and rows of tables, each whole."""

from __future__ import annotations

import re
from collections.abc import Mapping

from docgen.compose.tree import parse
from docgen.control.align import align, alike, split_words
from docgen.control.redline_html import Line, lines_of

__all__ = ["moved_words", "named", "new_words", "units"]

SENTENCE = re.compile(r"(?<=[.!])\s+(?=[^a-zà-öø-ÿ])")
SHORT = 160
REFERENCE = re.compile(r"\[\]\(#c\.([\w.-]+)\)")
CAPTION = re.compile(r"^(.+?) \{:[^{}]*\.caption\b", re.MULTILINE)
LINE = r"\\_\\_\\_\\_ (\1)"
BLANK = re.compile(r"\*\*((?:(?!\*\*).)+)\*\*\{:[^{}]*\.blank\b[^{}]*\}")


def units(markdown: str) -> list[str]:
    """What a clause says, unit by unit, without notation: a row of a table reads `first cell: heading figure, heading: words`.

    A question stays with its answer; a blank to fill in reads as a line with what belongs there, never as words of the sentence.
    """
    return [*_units(markdown)[0], *_units(markdown)[1]]


def _units(markdown: str) -> tuple[list[str], list[str]]:
    """Sentences and items, and rows of tables."""
    said: list[str] = []
    rows: list[str] = []
    heads: tuple[str, ...] = ()
    for line in list(lines_of(parse(f"# -\n\n{BLANK.sub(LINE, markdown)}")))[1:]:
        if line.kind in ("caption", "figure", "hr"):
            continue
        if line.kind == "tr" and line.mark == "th":
            heads = line.cells
        elif line.kind == "tr":
            rows.append(_row(heads, line))
        else:
            said += SENTENCE.split(" ".join(line.cells[0].split()))
    return [_closed(unit) for unit in said if unit], [row for row in rows if row]


def _closed(unit: str) -> str:
    """A sentence out of words in quotation marks, without the mark that stands alone, or with the one that its other sentences had."""
    if unit.count('"') % 2 == 0:
        return unit
    return unit[:-1] if unit.endswith('"') else unit[1:] if unit.startswith('"') else f'{unit}"'


def named(markdown: str, clauses: Mapping[str, str]) -> str:
    """A clause whose empty references read as the table or words that they point to; `clauses` holds those of its paper by their names in it."""

    def title(found: re.Match[str]) -> str:
        aim = clauses.get(found[1], "")
        caption = CAPTION.search(aim)
        return f'"{caption[1] if caption else next(iter(units(aim)), "").rstrip(".")}"'

    return REFERENCE.sub(title, markdown)


def _row(heads: tuple[str, ...], line: Line) -> str:
    cells = [" ".join(cell.split()) for cell in line.cells]
    if not heads and len(cells) > 2 and len(cells) % 2 == 0:  # two or more names in one row, each with what it names
        return "; ".join(f"{name}: {value}" for name, value in zip(cells[::2], cells[1::2], strict=True))
    named = [_headed(head, cell) for head, cell in zip(heads[1:], cells[1:], strict=False) if cell] if heads else cells[1:]
    return f"{cells[0]}: {', '.join(named)}" if named else cells[0]


def _headed(head: str, cell: str) -> str:
    """A cell under its heading: a figure follows it, words stand behind a colon, or both would read as one sentence."""
    return f"{head}{':' if head and cell[:1].isalpha() else ''} {cell}".strip()


def new_words(old: str, new: str) -> tuple[str, ...]:
    """What a clause says now: a short one whole, else each sentence or item that was not in the older text; of a table the changed rows."""
    said, rows = _units(new)
    before = set(units(old)) if old else set()
    if sum(map(len, said)) > SHORT or (rows and before.issuperset(said)):
        said = [unit for unit in said if unit not in before]
    return (*said, *(row for row in rows if row not in before))


def moved_words(old: str, new: str) -> tuple[tuple[str | None, str | None], ...]:
    """Each sentence, item or row that is another: (as it was, as it is), None where there was none or is none; in the order of the text."""
    pairs = align(units(old) if old else [], units(new) if new else [], str, lambda a, b: alike(split_words(a), split_words(b)))
    return tuple((one, other) for one, other in pairs if one != other)
