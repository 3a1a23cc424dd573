"""A drawing on paper in millimetres: lines, outlines and lettering in black and white, no library behind it.

The origin is the upper left corner, y grows downward. Kinds of things are told apart by weight, dashes, filling and
lettering, never by colour.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, TypedDict, Unpack

from docgen.compose.lettering import text_width

__all__ = [
    "DASHES", "FILLS", "POINT", "Anchor", "Arrows", "Dash", "Drawing", "Fill", "Item", "OutlineLook", "Path", "PathLook", "Point", "Text",
    "TextLook", "arc", "circle", "dashes", "moved", "path_box", "plain_paths", "rectangle", "text_box",
]  # fmt: skip

Point = tuple[float, float]
Fill = Literal["", "white", "grey", "hatch", "black"]
Dash = Literal["", "dashed", "dotted", "chain"]
Arrows = Literal["", "start", "end", "both"]
Anchor = Literal["start", "middle", "end"]

POINT = 25.4 / 72  # millimetres in a point of type
#: Filling -> brightness 0 (black) to 1 (white), or None where the ground shows through. Hatch is white with lines on it.
FILLS: dict[Fill, float | None] = {"": None, "white": 1.0, "grey": 0.85, "hatch": 1.0, "black": 0.0}
#: Line style -> lengths of dash and gap in turn [mm].
DASHES: dict[Dash, tuple[float, ...]] = {"": (), "dashed": (1.8, 1.0), "dotted": (0.4, 0.8), "chain": (4.0, 0.8, 0.6, 0.8)}
LARGEST = 5000.0  # mm from the corner of a sheet
HATCH_GAP = 1.1
HATCH_WIDTH = 0.1
ARROW = (2.0, 0.62)  # length and width of an arrowhead
ABOVE, BELOW = 0.76, 0.23  # of the type size, what lettering takes above and below its base line


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points, or an outline where `closed`.

    width: of the stroke, 0 for none; ink: brightness of the stroke; dash: a key of DASHES; fill: a key of FILLS; arrows:
    "", "start", "end" or "both"; part: what it shows, for whoever measures the drawing.
    """

    points: tuple[Point, ...]
    width: float = 0.18
    dash: Dash = ""
    fill: Fill = ""
    closed: bool = False
    arrows: Arrows = ""
    ink: float = 0.0
    part: str = ""


class OutlineLook(TypedDict, total=False):
    """How an outline is drawn: the fields of Path that are left to choose."""

    width: float
    dash: Dash
    fill: Fill
    ink: float
    part: str


class PathLook(OutlineLook, total=False):
    """The same of any line."""

    closed: bool
    arrows: Arrows


class TextLook(TypedDict, total=False):
    """How lettering is set: the fields of Text that are left to choose."""

    size: float
    anchor: Anchor
    bold: bool
    turned: bool
    part: str


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering at its base line. size: points; anchor: start, middle or end; turned: it runs upward."""

    x: float
    y: float
    text: str
    size: float = 7.0
    anchor: Anchor = "start"
    bold: bool = False
    turned: bool = False
    part: str = ""

    @property
    def length(self) -> float:
        """Length of the line of lettering [mm]."""
        return text_width(self.text, self.bold) * self.size * POINT

    @property
    def start(self) -> Point:
        """Where the first letter begins."""
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * self.length
        return (self.x, self.y + back) if self.turned else (self.x - back, self.y)


Item = Path | Text


@dataclass(frozen=True, slots=True)
class Drawing:
    """width, height: of the sheet; items: in the order in which they are drawn, later ones on top; alt: the drawing in a
    sentence or two, with its numbers; scale: n of 1:n, or None where nothing is to scale.
    """

    name: str
    width: float
    height: float
    items: tuple[Item, ...]
    alt: str
    scale: int | None = None

    @property
    def fits(self) -> bool:
        """Whether it can be drawn at all: a figure that is wrong by a thousand leaves the sheet by metres, and its hatching has no end."""
        points = (point for item in self.items if isinstance(item, Path) for point in item.points)
        return max(self.width, self.height) <= LARGEST and all(abs(x) <= LARGEST and abs(y) <= LARGEST for x, y in points)


def rectangle(left: float, top: float, right: float, bottom: float, **look: Unpack[OutlineLook]) -> Path:
    """An upright rectangle; `look` as for Path."""
    return Path(((left, top), (right, top), (right, bottom), (left, bottom)), closed=True, **look)


def arc(x: float, y: float, radius: float, first: float, last: float, **look: Unpack[PathLook]) -> Path:
    """Part of a circle as a line of short chords; angles in degrees from the right, clockwise as y grows downward."""
    count = max(6, math.ceil(abs(last - first) / 6))
    turns = [math.radians(first + (last - first) * i / count) for i in range(count + 1)]
    return Path(tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns), **look)


def circle(x: float, y: float, radius: float, **look: Unpack[OutlineLook]) -> Path:
    """A circle as an outline of short chords."""
    ring = arc(x, y, radius, 0, 360)
    return Path(ring.points[:-1], closed=True, **look)


def text_box(item: Text) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a line of lettering."""
    x, y = item.start
    high, low = ABOVE * item.size * POINT, BELOW * item.size * POINT
    if item.turned:
        return x - high, y - item.length, x + low, y
    return x, y - high, x + item.length, y + low


def path_box(item: Path) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a line with its weight and its arrowheads."""
    edge = max(item.width / 2, ARROW[1] if item.arrows else 0.0)
    xs, ys = [x for x, _ in item.points], [y for _, y in item.points]
    return min(xs) - edge, min(ys) - edge, max(xs) + edge, max(ys) + edge


def moved(item: Item, right: float, down: float) -> Item:
    """The same thing at another place."""
    if isinstance(item, Text):
        return replace(item, x=item.x + right, y=item.y + down)
    return replace(item, points=tuple((x + right, y + down) for x, y in item.points))


def plain_paths(item: Path) -> Iterator[Path]:
    """What a writer draws for a path: hatching and arrowheads as paths of their own. Dashes stay."""
    if item.fill == "hatch":
        yield replace(item, width=0.0, arrows="", fill="white")
        for pair in _hatching(item.points):
            yield Path(pair, HATCH_WIDTH)
        if item.width:
            yield replace(item, fill="", arrows="")
    else:
        yield replace(item, arrows="")
    if item.arrows in ("start", "both"):
        yield _head(item.points[0], item.points[1])
    if item.arrows in ("end", "both"):
        yield _head(item.points[-1], item.points[-2])


def _head(tip: Point, tail: Point) -> Path:
    length = math.dist(tip, tail) or 1.0
    along = ((tail[0] - tip[0]) / length, (tail[1] - tip[1]) / length)
    size = min(ARROW[0], length * 0.45)
    half = ARROW[1] / 2 * size / ARROW[0]
    x, y = tip[0] + along[0] * size, tip[1] + along[1] * size
    corners = (tip, (x - along[1] * half, y + along[0] * half), (x + along[1] * half, y - along[0] * half))
    return Path(corners, 0.0, fill="black", closed=True)


def _hatching(points: tuple[Point, ...]) -> Iterator[tuple[Point, Point]]:
    """Lines rising to the right at 45 degrees inside an outline (even-odd rule)."""
    edges = list(zip(points, (*points[1:], points[0]), strict=True))
    sums = [x + y for x, y in points]
    level = (math.floor(min(sums) / (HATCH_GAP * math.sqrt(2))) + 0.5) * HATCH_GAP * math.sqrt(2)
    while level < max(sums):
        cuts = []
        for (x1, y1), (x2, y2) in edges:
            first, last = x1 + y1 - level, x2 + y2 - level
            if (first < 0) != (last < 0):
                share = first / (first - last)
                cuts.append((x1 + (x2 - x1) * share, y1 + (y2 - y1) * share))
        cuts.sort()
        yield from zip(cuts[::2], cuts[1::2], strict=True)
        level += HATCH_GAP * math.sqrt(2)


def dashes(points: tuple[Point, ...], pattern: tuple[float, ...]) -> Iterator[tuple[Point, ...]]:
    """A line cut into its dashes. `pattern` holds lengths of dash and gap in turn; an empty one gives the line whole."""
    if not pattern:
        yield points
        return
    turn, left = 0, pattern[0]
    piece: list[Point] = [points[0]]
    for start, end in pairwise(points):
        length = math.dist(start, end)
        at = 0.0
        while length - at > left:
            at += left
            place = (start[0] + (end[0] - start[0]) * at / length, start[1] + (end[1] - start[1]) * at / length)
            if turn % 2 == 0:
                yield (*piece, place)
            piece = [place]
            turn += 1
            left = pattern[turn % len(pattern)]
        left -= length - at
        if turn % 2 == 0:
            piece.append(end)
    if turn % 2 == 0 and len(piece) > 1:
        yield tuple(piece)
