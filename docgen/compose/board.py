"""The board on which a figure is laid out: puts lettering where nothing else stands, and cuts the sheet to what is on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain
from typing import Unpack

from docgen.compose.drawing import (
    ABOVE,
    BELOW,
    POINT,
    Drawing,
    Item,
    Path,
    Point,
    Text,
    TextLook,
    moved,
    path_box,
    rectangle,
    text_box,
)
from docgen.compose.lettering import fitted

__all__ = ["HALO", "THIN", "Board", "spread"]

Box = tuple[float, float, float, float]
MARGIN = 1.5
AIR = 0.5  # kept free around lettering [mm]
HALO = 0.35  # white ground around lettering that stands on lines [mm]
THIN = 0.15
LEADING = 1.2  # of the type size


class Board:
    """Collects paths and lettering in millimetres from any origin; `finish` cuts the sheet around them."""

    def __init__(self) -> None:
        self.under: list[Item] = []
        self.paths: list[Item] = []
        self.texts: list[Item] = []
        self.boxes: list[Box] = []
        self.kept: list[Box] = []  # where free lettering does not go
        self.said: list[
            tuple[float, float, str]
        ] = []  # height and place of lettering that was not broken into lines, and what it says
        self.notes: list[str] = []

    def draw(self, *paths: Path, under: bool = False) -> None:
        """Put paths on the board, over or under those that are there."""
        (self.under if under else self.paths).extend(paths)

    def keep_free(self, item: Path) -> None:
        """Free lettering stays off this path where it can."""
        self.kept.append(path_box(item))

    def bounds(self) -> Box:
        """What is on the board so far."""
        boxes = [text_box(i) if isinstance(i, Text) else path_box(i) for i in (*self.under, *self.paths, *self.texts)]
        return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)

    def letter(self, x: float, y: float, lines: Sequence[str], halo: bool = False, **look: Unpack[TextLook]) -> Box:
        """Lettering around a point: the middle of its lines stands at y. Returns its box."""
        texts, box = _block(x, y, lines, look)
        self._set(texts, box, halo)
        self.said.append((y, x, " ".join(lines)))
        return box

    def place(self, spots: Iterable[Point], lines: Sequence[str], halo: bool = True, **look: Unpack[TextLook]) -> Box:
        """Lettering at the first spot where it covers neither other lettering nor what is kept free.

        Spots that are all taken are tried again without regard to what is kept free, then a little further off.
        """
        spots = tuple(spots)
        nothing: list[Box] = []
        near = ((spot, kept) for kept in (self.kept, nothing) for spot in spots)
        far = (((x, y + step * sign), nothing) for step in range(1, 200) for sign in (1, -1) for x, y in spots)
        for (x, y), kept in chain(near, far):
            texts, box = _block(x, y, lines, look)
            if not any(_meet(box, other) for other in (*self.boxes, *kept)):
                self._set(texts, box, halo)
                self.said.append((y, x, " ".join(lines)))
                return box
        raise ValueError(f"no room for {lines[0]!r} on the drawing")

    def _set(self, texts: list[Text], box: Box, halo: bool) -> None:
        if halo:
            left, top, right, bottom = box
            ground = rectangle(left - HALO, top - HALO / 2, right + HALO, bottom + HALO / 2, width=0.0, fill="white")
            self.texts.append(ground)
        self.texts.extend(texts)
        self.boxes.append(box)

    def dimension(
        self, first: Point, last: Point, lines: Sequence[str], part: str = "", size: float = 7.5, bold: bool = True
    ) -> Box:
        """A dimension line with arrowheads: upright ones carry their words turned beside the line, level ones above it."""
        line = Path((first, last), THIN, arrows="both", part=part)
        self.draw(line)
        self.keep_free(line)
        x, y = (first[0] + last[0]) / 2, (first[1] + last[1]) / 2
        look: TextLook = {"size": size, "anchor": "middle", "bold": bold, "part": part}
        if abs(first[0] - last[0]) < abs(first[1] - last[1]):
            look["turned"] = True
            return self.letter(x - size * POINT * 0.75, y, lines, **look)
        return self.place([(x, y - size * POINT * 0.75), (x, y + size * POINT * 0.75)], lines, **look)

    def note(self, sentences: Sequence[str], width: float, size: float = 6.5) -> None:
        """Small lines under all that is on the board, from its left edge; each sentence begins a new line."""
        left, _, _, bottom = self.bounds()
        em = size * POINT
        y = bottom + 1.2 + em * 0.6
        for sentence in sentences:
            for line in fitted(sentence, width / em, 4):
                texts, box = _block(left, y, [line], {"size": size})
                self._set(texts, box, halo=False)
                y += em * LEADING
        self.notes.extend(sentences)

    def lettered(self) -> str:
        """What the lettering says, from the top down, each thing once."""
        return "; ".join(dict.fromkeys(text for _, _, text in sorted(self.said)))

    def finish(self, name: str, alt: str, scale: int | None = None) -> Drawing:
        """The drawing, its sheet cut with a small margin around everything."""
        left, top, right, bottom = self.bounds()
        items = tuple(moved(i, MARGIN - left, MARGIN - top) for i in (*self.under, *self.paths, *self.texts))
        return Drawing(name, right - left + 2 * MARGIN, bottom - top + 2 * MARGIN, items, alt, scale)


def _block(x: float, y: float, lines: Sequence[str], look: TextLook) -> tuple[list[Text], Box]:
    """Lines of lettering centred on y (turned ones on x), and the box around them with its air."""
    size = look.get("size", 7.0)
    em = size * POINT
    texts = []
    for index, line in enumerate(lines):
        off = (index - (len(lines) - 1) / 2) * em * LEADING + em * (ABOVE - BELOW) / 2
        place = (x + off, y) if look.get("turned") else (x, y + off)
        texts.append(Text(*place, line.replace("\u00a0", " "), **look))
    boxes = [text_box(t) for t in texts]
    return texts, (
        min(b[0] for b in boxes) - AIR / 2, min(b[1] for b in boxes) - AIR / 2,
        max(b[2] for b in boxes) + AIR / 2, max(b[3] for b in boxes) + AIR / 2,
    )  # fmt: skip


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def spread(places: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Places along a line moved apart as little as it takes so that things of these sizes do not meet; order is kept.

    >>> spread([0.0, 1.0, 9.0], [2.0, 2.0, 2.0])
    [-0.5, 1.5, 9.0]
    """
    groups: list[tuple[list[int], float]] = []  # members and centre of each run of things that touch
    order = sorted(range(len(places)), key=lambda i: (places[i], i))
    for index in order:
        members, centre = [index], places[index]
        while groups:
            above, middle = groups[-1]
            if middle + _length(above, sizes) / 2 <= centre - _length(members, sizes) / 2:
                break
            groups.pop()
            members = above + members
            centre = _centre(members, places, sizes)
        groups.append((members, centre))
    done = [0.0] * len(places)
    for members, centre in groups:
        at = centre - _length(members, sizes) / 2
        for index in members:
            done[index] = at + sizes[index] / 2
            at += sizes[index]
    return done


def _length(members: list[int], sizes: Sequence[float]) -> float:
    return sum(sizes[i] for i in members)


def _centre(members: list[int], places: Sequence[float], sizes: Sequence[float]) -> float:
    """Where a run of touching things lies nearest to the places its members want."""
    start, total = 0.0, 0.0
    for index in members:
        total += places[index] - (start + sizes[index] / 2)
        start += sizes[index]
    return total / len(members) + start / 2
