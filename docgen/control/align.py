"""Alignment of two sequences and of two texts token by token; shared by the redlines.

A token is what a reader takes for one thing: a number with its unit, a day, a telephone number, a name with initials, a word. A redline
strikes and sets tokens whole, so that no figure can be read that stands in neither text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterator, Sequence
from difflib import SequenceMatcher
from typing import Literal, TypeVar

from docgen import units
from docgen.frozen import frozen

__all__ = ["Edit", "align", "alike", "edits", "split_words"]

T = TypeVar("T")
NEAR = 0.5
LARGE = 250_000  # pairs in one gap; beyond that only what is equal is paired
BRIDGE = 3  # so few words that stay between two changes are struck and set with them

HYPHEN = "[-\N{HYPHEN}\N{NON-BREAKING HYPHEN}]"
UNIT = "|".join(
    re.escape(name)
    for name in sorted({*units.UNITS, "%", "lbf/in²", "in²", "mm²", "cm²", "m²", "m³", "mm³", "cm³"}, key=len)[::-1]
)
NUMBER = r"(?:(?<!\w)[+\-−±~])?\d+(?:[.,:]\d+)*"
RANGE = rf"{NUMBER}(?:[–×/]{NUMBER})*"
WITH_UNIT = rf"{RANGE}\s?(?:{UNIT})(?!\w)(?:\s{NUMBER}\s?(?:{UNIT})(?!\w))*"
DAY = rf"\d{{4}}{HYPHEN}\d{{2}}{HYPHEN}\d{{2}}"
GROUPS = r"\d{2,5}(?:[ \u00a0.]\d{2,4}){2,4}|\d{3,5}[ \u00a0]\d{3,4}"  # 020 7946 0101, 01.55.50.01.01, 555 0101
SPACED = rf"(?:{GROUPS})(?![.,:×/–]?\d|{HYPHEN}\d|\s?(?:{UNIT})(?!\w))"
PHONE = rf"\+\d[\d\s().]*(?:{HYPHEN}?[\d\s().]+)*\d|\(\d{{2,4}}\)\s?\d{{2,4}}(?:(?:{HYPHEN}|\s)\d{{2,4}})+|\d{{2,5}}(?:{HYPHEN}\d{{2,5}})+|{SPACED}"
NAME = r"(?:[A-ZÀ-ÖØ-Þ]\.\s?)+[A-ZÀ-ÖØ-Þ][\w'’]*(?:[-‑][\w'’]+)*"
WORD = rf"\w+(?:(?:{HYPHEN}|[.,:/'’])\w+|\(\w{{1,4}}\))*"
TOKEN = re.compile(
    rf"\b{NAME}|{DAY}(?!\w)|(?:{PHONE})(?!\w)|{WITH_UNIT}(?:\s\({WITH_UNIT}\))?|{RANGE}(?:\(\w{{1,4}}\))*(?!\w)|{WORD}|\s+|[^\w\s]"
)
END = frozenset(".?!")


@frozen
class Edit:
    """One stretch: `equal`, or the tokens i1 to i2 of the old struck and j1 to j2 of the new set in their place."""

    how: Literal["equal", "changed"]
    i1: int
    i2: int
    j1: int
    j2: int


def split_words(text: str) -> list[str]:
    """Tokens, runs of blanks and single signs, which together are the text.

    >>> split_words("7.1 ft (2.16 m), R. Oduya, 555-0150")
    ['7.1 ft (2.16 m)', ',', ' ', 'R. Oduya', ',', ' ', '555-0150']
    """
    return TOKEN.findall(text)


def alike(one: Sequence[Hashable], other: Sequence[Hashable]) -> float:
    """How alike two sequences are, 0 to 1."""
    matcher = SequenceMatcher(None, one, other, autojunk=False)
    if matcher.real_quick_ratio() <= NEAR or matcher.quick_ratio() <= NEAR:
        return 0.0
    return matcher.ratio()


def edits(old: Sequence[T], new: Sequence[T], key: Callable[[T], Hashable], text: Callable[[T], str]) -> list[Edit]:
    """What stays and what is struck and set, in order, so that a reader who sees no colour is told right.

    A sentence of which most words changed goes and comes whole; few words between two changes go and come with them; next to a
    blank, what is struck and what is set each take a blank along, so that they do not run together. `text` of a token that is no
    text is "".
    """
    found: list[Edit] = []

    def sentence(part: Sequence[T]) -> tuple[Hashable, ...]:
        return tuple(key(x) for x in part)

    def words(part: Sequence[T]) -> list[Hashable]:
        return [key(x) for x in part if _is_word(text(x))]

    i = j = 0
    for one, other in align(_sentences(old, text), _sentences(new, text), sentence, lambda a, b: alike(words(a), words(b))):
        if one is None or other is None:
            found.append(Edit("changed", i, i + len(one or ()), j, j + len(other or ())))
        else:
            found += _inside(one, other, i, j, key, text)
        i, j = i + len(one or ()), j + len(other or ())
    return _apart(_joined(found), old, text)


def _is_word(text: str) -> bool:
    return any(sign.isalnum() for sign in text)


def _sentences(tokens: Sequence[T], text: Callable[[T], str]) -> list[Sequence[T]]:
    """The tokens in stretches that end with a full stop, a question or an exclamation mark and the blanks after it."""
    found, start = [], 0
    for at in range(1, len(tokens)):
        if text(tokens[at - 1]).isspace() and at > 1 and text(tokens[at - 2]) in END and not text(tokens[at]).isspace():
            found.append(tokens[start:at])
            start = at
    if len(tokens) > start:
        found.append(tokens[start:])
    return found


def _inside(
    one: Sequence[T], other: Sequence[T], i: int, j: int, key: Callable[[T], Hashable], text: Callable[[T], str]
) -> list[Edit]:
    matcher = SequenceMatcher(None, [key(x) for x in one], [key(x) for x in other], autojunk=False)
    steps = matcher.get_opcodes()
    found = []
    for at, (how, i1, i2, j1, j2) in enumerate(steps):
        few = sum(_is_word(text(x)) for x in one[i1:i2]) < BRIDGE and all(text(x) for x in one[i1:i2])
        between = 0 < at < len(steps) - 1
        equal = how == "equal" and not (between and few)
        found.append(Edit("equal" if equal else "changed", i + i1, i + i2, j + j1, j + j2))
    return found


def _joined(found: Sequence[Edit]) -> list[Edit]:
    """Stretches of one kind that follow each other as one."""
    result: list[Edit] = []
    for edit in found:
        if result and result[-1].how == edit.how:
            last = result.pop()
            edit = Edit(edit.how, last.i1, edit.i2, last.j1, edit.j2)
        result.append(edit)
    return result


def _apart(found: list[Edit], old: Sequence[T], text: Callable[[T], str]) -> list[Edit]:
    """A blank that stays beside a change of one token for another goes into both."""
    result: list[Edit] = []
    for at, edit in enumerate(found):
        if edit.how == "equal" or edit.i1 == edit.i2 or edit.j1 == edit.j2:
            result.append(edit)
            continue
        after = found[at + 1] if at + 1 < len(found) else None
        before = result[-1] if result else None
        if after is not None and text(old[after.i1]).isspace():
            found[at + 1] = Edit("equal", after.i1 + 1, after.i2, after.j1 + 1, after.j2)
            edit = Edit("changed", edit.i1, edit.i2 + 1, edit.j1, edit.j2 + 1)
        elif before is not None and before.i2 > before.i1 and text(old[before.i2 - 1]).isspace():
            result[-1] = Edit("equal", before.i1, before.i2 - 1, before.j1, before.j2 - 1)
            edit = Edit("changed", edit.i1 - 1, edit.i2, edit.j1 - 1, edit.j2)
        result.append(edit)
    return [edit for edit in result if edit.i2 > edit.i1 or edit.j2 > edit.j1]


def align(
    old: Sequence[T], new: Sequence[T], key: Callable[[T], Hashable], near: Callable[[T, T], float]
) -> Iterator[tuple[T | None, T | None]]:
    """Pairs in order: (old, new) that are the same or near each other, (old, None) removed, (None, new) added."""
    matcher = SequenceMatcher(None, [key(x) for x in old], [key(x) for x in new], autojunk=False)
    for how, i1, i2, j1, j2 in matcher.get_opcodes():
        if how == "equal":
            yield from zip(old[i1:i2], new[j1:j2], strict=True)
        else:
            yield from _near_pairs(old[i1:i2], new[j1:j2], near)


def _near_pairs(old: Sequence[T], new: Sequence[T], near: Callable[[T, T], float]) -> Iterator[tuple[T | None, T | None]]:
    """The pairing in order that is most alike in sum, what is left over removed before it is added."""
    rows, columns = len(old), len(new)
    best = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    worth: dict[tuple[int, int], float] = {}
    if rows * columns <= LARGE:
        for i in range(rows - 1, -1, -1):
            for j in range(columns - 1, -1, -1):
                value = near(old[i], new[j])
                if value > NEAR:
                    worth[i, j] = value
                best[i][j] = max(best[i + 1][j], best[i][j + 1], (value + best[i + 1][j + 1]) if value > NEAR else 0.0)
    i = j = 0
    waiting: list[T] = []
    while i < rows or j < columns:
        if i < rows and j < columns and (i, j) in worth and best[i][j] == worth[i, j] + best[i + 1][j + 1]:
            yield from ((None, x) for x in waiting)
            waiting = []
            yield old[i], new[j]
            i, j = i + 1, j + 1
        elif i < rows and (j == columns or best[i][j] == best[i + 1][j]):
            yield old[i], None
            i += 1
        else:
            waiting.append(new[j])
            j += 1
    yield from ((None, x) for x in waiting)
