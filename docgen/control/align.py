"""Alignment of two sequences and of two texts word by word; shared by the redlines."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterator, Sequence
from difflib import SequenceMatcher
from typing import TypeVar

__all__ = ["align", "alike", "split_words"]

T = TypeVar("T")
NEAR = 0.5
LARGE = 250_000  # pairs in one gap; beyond that only what is equal is paired
WORD = re.compile(r"\s+|\w+|[^\w\s]")


def split_words(text: str) -> list[str]:
    """Words, runs of blanks and single signs, which together are the text.

    >>> split_words("7.1 ft (2 m)")
    ['7', '.', '1', ' ', 'ft', ' ', '(', '2', ' ', 'm', ')']
    """
    return WORD.findall(text)


def alike(one: Sequence[Hashable], other: Sequence[Hashable]) -> float:
    """How alike two sequences are, 0 to 1."""
    matcher = SequenceMatcher(None, one, other, autojunk=False)
    if matcher.real_quick_ratio() <= NEAR or matcher.quick_ratio() <= NEAR:
        return 0.0
    return matcher.ratio()


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
