"""How wide lettering is: advance widths of Liberation Sans 2.1.5 (the same as Arial's), and lines that fit a width."""

from __future__ import annotations

__all__ = ["BOLD", "REGULAR", "fitted", "text_width"]

# fmt: off
REGULAR = (
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
    500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
    556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
    278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
)
BOLD = (
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278,
    556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584,
    556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556,
    333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
)
# fmt: on


class _Advance(dict[str, float]):
    """Advance width of a character; outside ASCII a digit's width, or a full em for East Asian and emoji."""

    def __missing__(self, char: str) -> float:
        width = self[char] = 0.0 if char in "\u200b\u00ad\u2060" else 1.0 if char >= "\u2e80" else 0.6
        return width


_REGULAR = _Advance((chr(32 + i), width / 1000) for i, width in enumerate(REGULAR))
_BOLD = _Advance((chr(32 + i), width / 1000) for i, width in enumerate(BOLD))


def text_width(text: str, bold: bool = False) -> float:
    """Width of one line of text [em].

    >>> round(text_width("10 ft"), 3)
    1.946
    """
    return sum(map((_BOLD if bold else _REGULAR).__getitem__, text))


def fitted(text: str, room: float, lines: int, bold: bool = False) -> tuple[str, ...]:
    """Text broken at its spaces (not at no-break ones) into at most `lines` lines of `room` em; what is over ends in an ellipsis.

    >>> fitted("side running board", 6, 2)
    ('side running', 'board')
    >>> fitted("side running board of the car", 6, 2)
    ('side running', 'board of the\u2026')
    """
    done: list[str] = []
    words = [word for word in text.split(" ") if word]
    while words and len(done) < lines:
        line = words.pop(0)
        while words and text_width(f"{line} {words[0]}", bold) <= room:
            line = f"{line} {words.pop(0)}"
        done.append(line)
    if words:
        done[-1] = f"{done[-1]} {' '.join(words)}"
    return tuple(_cut(line, room, bold) for line in done)


def _cut(line: str, room: float, bold: bool) -> str:
    if text_width(line, bold) <= room:
        return line
    while line and text_width(f"{line}\u2026", bold) > room:
        line = line[:-1]
    return f"{line.rstrip()}\u2026"
