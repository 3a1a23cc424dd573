"""Symbols of signs and cards as vectors, drawn for this program out of what each means, in a field 100 wide and high.

Shape and ground follow what a safety sign of each kind has by ISO 3864 (a triangle warns, a disc with a ring and a bar forbids, a full disc
bids, a square leads to help); what stands in them is our own drawing and no copy of a registered one. `number` is that of the sign
of ISO 7010 with the same meaning, None for a picture of our own, and `basis` how that number is known: read, or from memory.
No symbol stands without words, and none is told by its color: each keeps its meaning in black and white.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from docgen.compose.drawing import Drawing, Fill, Item, Path

__all__ = ["COLOURS", "FIELD", "SYMBOLS", "Colour", "Kind", "Shape", "Symbol", "drawn"]

Kind = Literal["warning", "forbidden", "must", "help", "picture"]
Colour = Literal["black", "white", "red", "blue", "green", "yellow"]
Basis = Literal["read", "memory", "own"]
Point = tuple[float, float]

FIELD = 100.0
#: Screen codes of the safety colors, each 7:1 or more against what stands on it (WCAG 2.2, relative luminance).
COLOURS: Mapping[Colour, str] = {
    "black": "#000000", "white": "#FFFFFF", "red": "#A6192E", "blue": "#00468B", "green": "#00632F", "yellow": "#FFD100",
}  # fmt: skip
#: What each color becomes where only black, white and grey can be drawn.
GREY: Mapping[Colour, Fill] = {
    "black": "black",
    "white": "white",
    "red": "black",
    "blue": "black",
    "green": "black",
    "yellow": "grey",
}


@dataclass(frozen=True, slots=True)
class Shape:
    """An outline that is filled, or a line of a weight with round ends, through points of the field."""

    points: tuple[Point, ...]
    colour: Colour = "black"
    width: float = 0.0

    @property
    def filled(self) -> bool:
        """Whether it is an outline that is filled."""
        return not self.width


@dataclass(frozen=True, slots=True)
class Symbol:
    """One symbol: shapes in the order in which they are drawn."""

    name: str
    kind: Kind
    number: str | None
    basis: Basis
    shapes: tuple[Shape, ...]


# --- what shapes are made of ------------------------------------------------------------------------------------------------


def _outline(*points: Point) -> Shape:
    return Shape(points)


def _line(*points: Point, width: float = 6.0) -> Shape:
    return Shape(points, width=width)


def _arc(x: float, y: float, radius: float, first: float = 0.0, last: float = 360.0) -> tuple[Point, ...]:
    count = max(8, math.ceil(abs(last - first) / 7.5))
    turns = (math.radians(first + (last - first) * i / count) for i in range(count + 1))
    return tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns)


def _disc(x: float, y: float, radius: float) -> Shape:
    return Shape(_arc(x, y, radius)[:-1])


def _ring(x: float, y: float, radius: float, width: float) -> Shape:
    return Shape(_arc(x, y, radius), width=width)


def _box(left: float, top: float, right: float, bottom: float) -> Shape:
    return _outline((left, top), (right, top), (right, bottom), (left, bottom))


def _in(colour: Colour, shapes: Iterable[Shape]) -> tuple[Shape, ...]:
    """The shapes that are black in another color."""
    return tuple(replace(s, colour=colour) if s.colour == "black" else s for s in shapes)


def _white(shape: Shape) -> Shape:
    return replace(shape, colour="white")


def _moved(shapes: Iterable[Shape], scale: float, right: float, down: float) -> tuple[Shape, ...]:
    """Smaller or larger, and at another place."""
    return tuple(
        replace(s, points=tuple((x * scale + right, y * scale + down) for x, y in s.points), width=s.width * scale)
        for s in shapes
    )


def _person(
    x: float, foot: float, tall: float, arms: tuple[Point, ...] = (), legs: tuple[Point, Point] | None = None
) -> tuple[Shape, ...]:
    """A person of round-ended strokes, upright at x; `arms` are where the hands are, `legs` where the feet."""
    unit = tall / 10
    hip, neck = (x, foot - 4.6 * unit), (x, foot - 7.4 * unit)
    feet = legs or ((x - 1.3 * unit, foot), (x + 1.3 * unit, foot))
    hands = arms or ((x - 2.2 * unit, foot - 4.6 * unit), (x + 2.2 * unit, foot - 4.6 * unit))
    limb = 1.25 * unit
    return (
        _disc(x, foot - 8.9 * unit, 1.15 * unit),
        _line(neck, hip, width=2.2 * unit),
        *(_line(hip, end, width=limb) for end in feet),
        *(_line(neck, end, width=0.95 * unit) for end in hands),
    )


# --- grounds ------------------------------------------------------------------------------------------------------------------


def _warning(name: str, number: str | None, basis: Basis, *inside: Shape) -> Symbol:
    def triangle(inset: float, colour: Colour) -> Shape:
        # three corners cut by short arcs; the inset runs at right angles to the sides
        top, side, base = 6 + 2 * inset, math.sqrt(3) * inset, 91 - inset
        return Shape(
            (
                (50 - 3, top + 3),
                (50, top),
                (50 + 3, top + 3),
                (98 - side, base - 3),
                (96 - side, base),
                (4 + side, base),
                (2 + side, base - 3),
            ),
            colour,
        )

    return Symbol(name, "warning", number, basis, (triangle(0, "black"), triangle(4.5, "yellow"), *inside))


def _forbidden(name: str, number: str | None, basis: Basis, *inside: Shape) -> Symbol:
    bar = Shape(((21, 21), (79, 79)), "red", 9.0)
    return Symbol(
        name,
        "forbidden",
        number,
        basis,
        (_white(_disc(50, 50, 48)), *inside, replace(_ring(50, 50, 43.5, 9.0), colour="red"), bar),
    )


def _must(name: str, number: str | None, basis: Basis, *inside: Shape) -> Symbol:
    return Symbol(name, "must", number, basis, (replace(_disc(50, 50, 48), colour="blue"), *_in("white", inside)))


def _help(name: str, number: str | None, basis: Basis, *inside: Shape) -> Symbol:
    return Symbol(name, "help", number, basis, (replace(_box(3, 3, 97, 97), colour="green"), *_in("white", inside)))


def _picture(name: str, *inside: Shape) -> Symbol:
    return Symbol(name, "picture", None, "own", (_box(1, 1, 99, 99), _white(_box(4, 4, 96, 96)), *inside))


# --- pictures -----------------------------------------------------------------------------------------------------------------
# fmt: off


def _bolt(x: float, y: float, size: float) -> Shape:
    points = ((0.3, -1), (-0.55, 0.15), (-0.05, 0.15), (-0.3, 1), (0.55, -0.25), (0.05, -0.25), (0.5, -1))
    return Shape(tuple((x + size * a, y + size * b) for a, b in points))


def _tank(left: float, right: float, top: float, low: float) -> tuple[Shape, ...]:
    """A tank on wheels, from the side."""
    half = (low - top) / 2
    body = (*_arc(left + half, top + half, half, 90, 270), *_arc(right - half, top + half, half, -90, 90))
    wheel = half * 0.52
    places = (left + half * 1.1, left + half * 2.3, right - half * 1.1)
    return (Shape(body), _box((left + right) / 2 - 5, top - 5, (left + right) / 2 + 5, top + 2), *(_disc(x, low + wheel * 0.8, wheel) for x in places))


def _ladder(left: float, right: float, top: float, low: float, rungs: int) -> tuple[Shape, ...]:
    steps = [top + (low - top) * (i + 0.5) / rungs for i in range(rungs)]
    return (
        _line((left, top), (left, low), width=4.5), _line((right, top), (right, low), width=4.5),
        *(_line((left, y), (right, y), width=4.0) for y in steps),
    )  # fmt: skip


def _handset(x: float, y: float, size: float) -> tuple[Shape, ...]:
    """The handset of a telephone, lying aslant."""
    a, b = (x - size, y + size), (x + size, y - size)
    bow = ((x - size, y + size * 0.55), (x - size * 0.75, y - size * 0.35), (x - size * 0.35, y - size * 0.75), (x + size * 0.55, y - size))
    return (_line(*bow, width=size * 0.42), _line((a[0], y + size * 0.45), (a[0] + size * 0.65, a[1]), width=size * 0.62), _line((x + size * 0.45, b[1]), (b[0], b[1] + size * 0.65), width=size * 0.62))


def _padlock(x: float, y: float, size: float) -> tuple[Shape, ...]:
    shackle = (*((x - size * 0.6, y), (x - size * 0.6, y - size * 0.5)), *_arc(x, y - size * 0.5, size * 0.6, 180, 360), (x + size * 0.6, y))
    return (Shape(shackle, width=size * 0.3), _box(x - size, y, x + size, y + size * 1.5), _white(_disc(x, y + size * 0.6, size * 0.24)), _white(_line((x, y + size * 0.6), (x, y + size * 1.1), width=size * 0.2)))


def _key(x: float, y: float, size: float) -> tuple[Shape, ...]:
    return (_ring(x, y, size * 0.55, size * 0.32), _line((x, y + size * 0.7), (x, y + size * 2.3), width=size * 0.32), _line((x, y + size * 1.7), (x + size * 0.55, y + size * 1.7), width=size * 0.3), _line((x, y + size * 2.2), (x + size * 0.55, y + size * 2.2), width=size * 0.3))


def _arrow(first: Point, last: Point, width: float = 5.0) -> tuple[Shape, ...]:
    length = math.dist(first, last)
    a, b = (last[0] - first[0]) / length, (last[1] - first[1]) / length
    root = (last[0] - a * width * 2.2, last[1] - b * width * 2.2)
    half = width * 1.5
    return (Shape((first, root), width=width), _outline(last, (root[0] - b * half, root[1] + a * half), (root[0] + b * half, root[1] - a * half)))


def _cross(x: float, y: float, size: float, width: float) -> tuple[Shape, ...]:
    return (_line((x - size, y - size), (x + size, y + size), width=width), _line((x - size, y + size), (x + size, y - size), width=width))


def _truck() -> tuple[Shape, ...]:
    """A truck from its side."""
    return (
        _outline((10, 36), (70, 36), (70, 66), (10, 66)), _outline((73, 46), (84, 46), (90, 56), (90, 66), (73, 66)),
        *(_disc(x, 72, 8) for x in (22, 40, 80)), *(_white(_disc(x, 72, 3)) for x in (22, 40, 80)),
    )  # fmt: skip


def _octagon(x: float, y: float, radius: float) -> tuple[Shape, ...]:
    """A filled octagon on a flat side."""
    turns = (math.radians(22.5 + 45 * i) for i in range(8))
    return (Shape(tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns)),)


def _hand(x: float, y: float) -> tuple[Shape, ...]:
    """A raised hand."""
    fingers = (_line((x + at, y), (x + at, y - tall), width=3) for at, tall in ((-4.5, 10), (-0.5, 12), (3.5, 11), (7.5, 8)))
    return (_outline((x - 6, y - 1), (x + 9, y - 1), (x + 8, y + 8), (x + 5, y + 13), (x - 3, y + 13)), *fingers, _line((x - 3, y + 9), (x - 10, y + 2), width=3))


def _climbing() -> tuple[Shape, ...]:
    """Somebody on a ladder."""
    return (
        *_ladder(56, 72, 18, 84, 6),
        _disc(42, 26, 6.5),
        _line((43, 36), (39, 55), width=11),
        _line((44, 38), (56, 29), width=5), _line((44, 40), (57, 42), width=5),
        _line((39, 56), (54, 60), (53, 70), width=6.5), _line((38, 57), (36, 70), (46, 80), width=6.5),
    )  # fmt: skip


def _made() -> tuple[Symbol, ...]:
    ground = _line((10, 90), (90, 90), width=4)
    rail = _line((14, 12), (86, 12), width=6)
    return (
        _warning("general-warning", "W001", "memory", _outline((44.5, 34), (55.5, 34), (53, 63), (47, 63)), _disc(50, 73, 5.5)),
        _warning("drop-edge", "W008", "memory",
                 _line((26, 84), (26, 70), (46, 70), (46, 84), width=4),
                 *_fallen()),
        _warning("electricity", "W012", "memory", _bolt(50, 60, 22)),
        _warning("overhead-load", "W015", "memory", _line((50, 30), (50, 44), width=4), _box(38, 46, 62, 58), *_moved(_person(50, 100, 100), 0.24, 38, 61)),
        _warning("flammable", "W021", "memory", _flame(), _line((34, 80), (66, 80), width=5)),
        _forbidden("no-climbing", "P009", "memory", *_climbing()),
        _forbidden("no-phone", "P013", "memory", _box(37, 20, 63, 80), _white(_box(41, 28, 59, 62)), _white(_disc(50, 71, 3.5))),
        _forbidden("forbidden", "P001", "memory"),
        _forbidden("no-access", "P004", "memory", *_person(50, 84, 68, legs=((40, 84), (62, 82)))),
        _forbidden("no-smoking", "P002", "memory", _box(22, 50, 66, 59), _white(_box(60, 50, 62, 59)), _line((70, 48), (74, 42), (69, 36), (74, 28), width=3.5)),
        _must("general-must", "M001", "read", _outline((43, 18), (57, 18), (54, 60), (46, 60)), _disc(50, 75, 8)),
        _must("read-instructions", "M002", "read", _disc(38, 27, 9), _line((36, 42), (36, 68), width=14), _line((38, 46), (56, 60), width=6),
              _outline((50, 46), (66, 40), (82, 46), (82, 70), (66, 64), (50, 70)), replace(_line((66, 42), (66, 63), width=2.5), colour="blue")),
        _must("helmet", "M014", "memory", Shape((*_arc(50, 44, 25, 180, 360), (82, 47), (82, 52), (22, 52), (25, 46))), _disc(49, 62, 17),
              replace(_line((22, 53), (80, 53), width=2.5), colour="blue"), _line((46, 20), (54, 20), width=6)),
        _must("harness", "M018", "memory", *_harness()),
        _help("first-aid", "E003", "read", _box(40, 18, 60, 82), _box(18, 40, 82, 60)),
        _help("emergency-phone", "E004", "read", *_handset(42, 56, 25), *(Shape(_arc(52, 46, r, -80, -10), width=5) for r in (20, 31))),
        _help("stretcher", "E013", "memory", _line((14, 66), (86, 66), width=5), _disc(26, 54, 7.5), _line((40, 56), (80, 58), width=11), _disc(28, 78, 6), _disc(72, 78, 6)),
        _help("aed", "E010", "memory", *_heart()),
        _picture("one-climber", *_moved(_person(50, 96, 84, arms=((66, 40), (34, 55))), 0.8, -7, 11), *_numeral_one()),
        _picture("two-climbers", *_person(32, 88, 72), *_person(68, 88, 72)),
        _picture("hook-on-ground", ground, _line((60, 6), (60, 34), width=3.4), _ring(60, 41, 4.6, 3.2), _line((64, 43), (72, 46), width=4),
                 *_person(72, 89, 62, arms=((86, 62), (80, 64))), *_person(24, 89, 62, arms=((54, 40), (46, 50)))),
        _picture("walkway", _line((12, 50), (88, 50), width=5), *(_line((x, 51), (x, 62), width=3) for x in (20, 80)), _line((14, 66), (86, 66), width=9),
                 *_person(50, 49, 40), *_arrow((34, 30), (16, 30), 4), *_arrow((66, 30), (84, 30), 4), _line((12, 20), (12, 48), width=3.5), _line((88, 20), (88, 48), width=3.5)),
        _picture("outside-box", *_dashed_box(40, 30, 90, 88), *_person(20, 88, 56), *_moved(_truck(), 0.42, 44, 38)),
        _picture("keys-in-box", *_key(50, 17, 13), _line((20, 58), (20, 90), (80, 90), (80, 58), width=6), _line((14, 56), (36, 56), width=6), _line((64, 56), (86, 56), width=6), *_arrow((50, 51), (50, 82), 5)),
        _picture("own-lock", *_padlock(50, 46, 24)),
        _picture("chock", _disc(44, 46, 30), _white(_disc(44, 46, 20)), _disc(44, 46, 6), _outline((62, 80), (92, 80), (92, 66), (76, 56), (70, 66)), _line((10, 82), (92, 82), width=5)),
        _picture("vehicle-still", *_moved(_truck(), 0.86, 2, 26), _line((8, 93), (92, 93), width=4), *_octagon(76, 26, 19), *_in("white", _hand(76, 26))),
        _picture("tank-vehicle", *_tank(12, 88, 30, 62), _line((8, 84), (92, 84), width=4), *_arrow((50, 8), (50, 22), 3.5)),
        _picture("hopper-vehicle", _outline((8, 32), (92, 32), (92, 44), (78, 62), (66, 62), (54, 46), (50, 46), (38, 62), (26, 62), (8, 44)), _box(8, 58, 20, 66), _line((8, 66), (92, 66), width=4),
                 *(_disc(x, 74, 7.5) for x in (20, 72, 86)), *(_white(_disc(x, 74, 2.5)) for x in (20, 72, 86)), _line((8, 86), (92, 86), width=4), *_arrow((50, 8), (50, 26), 3.5)),
        _picture("railcar", _box(12, 34, 88, 60), _line((5, 58), (95, 58), width=3.5), *(_disc(x, 70.5, 6) for x in (23, 37, 63, 77)),
                 _line((6, 80), (94, 80), width=3), *(_box(x, 83, x + 7, 88) for x in (10, 28, 46, 65, 83)), *_arrow((50, 8), (50, 28), 3.5)),
        _picture("machine", _outline((34, 32), (88, 32), (92, 46), (92, 64), (34, 64)), _outline((22, 36), (36, 36), (36, 62), (26, 62)), _white(_outline((26, 41), (33, 41), (33, 52), (28, 52))),
                 _line((28, 60), (14, 72), width=5), _outline((4, 66), (20, 66), (20, 83), (2, 83)), *(_white(_line((x, 70), (x, 79), width=2)) for x in (8, 14)),
                 _disc(42, 67, 16), _white(_disc(42, 67, 6)), _disc(80, 74, 9), _white(_disc(80, 74, 3.5)), _line((2, 86), (96, 86), width=4), *_arrow((60, 7), (60, 27), 3.5)),
        _picture("vehicle", *_truck(), _line((8, 84), (92, 84), width=4), *_arrow((40, 10), (40, 30), 3.5)),
        _picture("red-stop", _box(12, 74, 88, 88), _box(40, 56, 60, 76), Shape((*_arc(50, 56, 30, 180, 360),)), replace(Shape((*_arc(50, 55, 25, 180, 360),)), colour="red"),
                 *_arrow((50, 8), (50, 26), 5)),
        _picture("storm", *_cloud(), _bolt(38, 70, 19), *(_line((x, 62), (x - 6, 78), width=4) for x in (60, 74)), *_moved(_flake(), 0.16, 66, 80)),
        _picture("go-away", _outline((26, 28), (48, 68), (4, 68)), _white(_line((26, 42), (26, 54), width=5)), _white(_disc(26, 61, 3)), *_arrow((50, 50), (66, 50), 4), *_person(80, 84, 58, arms=((70, 58), (90, 58)))),
        _picture("method-back", rail, *_on_line(14), _line((46, 75), (92, 75), width=6), _line((58, 75), (58, 92), width=5), _line((86, 75), (86, 92), width=5), *_arrow((56, 50), (80, 50), 5)),
        *_line_methods(),
        _picture("method-platform", rail, *_on_line(14), _line((24, 75), (72, 75), width=6), *(_line((x, 75), (x, 92), (x - 5, 92), (x + 5, 92), width=4) for x in (30, 66)), *_arrow((94, 84), (74, 84), 4)),
        _picture("caught", rail, *_on_line(12), _box(60, 30, 92, 92), *_in("white", (*_arrow((76, 82), (76, 44), 5), *_cross(76, 66, 11, 5)))),
        _picture("method-ladder", rail, *_on_line(6), *_ladder(58, 74, 22, 92, 6), *_arrow((86, 34), (86, 84), 5)),
        _picture("set-down", ground, _disc(22, 78, 7), _line((36, 80), (74, 82), width=10), *_arrow((50, 18), (50, 62), 7)),
        _picture("hanging", rail, _line((50, 14), (50, 30), width=3), *_moved(_hanging(), 0.75, 12, 22)),
        _picture("wind", *(Shape((*((10, y), (10 + long, y)), *_arc(10 + long, y - 9, 9, 90, -120)), width=5) for y, long in ((36, 46), (58, 60))), Shape(((10, 78), (50, 78)), width=5)),
        Symbol("state-open", "picture", None, "own", (_disc(50, 50, 48), _white(_disc(50, 50, 39)), _line((29, 52), (44, 67), (72, 34), width=10))),
        Symbol("state-closed", "picture", None, "own", (*_octagon(50, 50, 53), *_in("white", _cross(50, 50, 20, 11)))),
        Symbol("state-waiting", "picture", None, "own", (_outline((50, 2), (98, 50), (50, 98), (2, 50)), _white(_outline((50, 15), (85, 50), (50, 85), (15, 50))), *(_line((x, 38), (x, 62), width=8) for x in (41, 59)))),
        _picture("listen", *_person(28, 90, 60), *(Shape(_arc(40, 38, r, -35, 35), width=4.5) for r in (14, 26, 38))),
    )  # fmt: skip


def _on_line(right: float) -> tuple[Shape, ...]:
    """Somebody who hangs on the line of the device, under the rail."""
    return (_line((right + 29, 14), (right + 29, 28), width=3), *_moved(_hanging(), 0.56, right, 22))


def _line_methods() -> tuple[Symbol, ...]:
    """A rescue line from an anchor beside the rail: raised and then lowered, or only lowered; the rescuer where the line is attached from."""
    rail, anchor, ground = _line((10, 12), (58, 12), width=6), _box(68, 4, 80, 16), _line((8, 92), (92, 92), width=3)
    hung = _line((74, 18), (44, 33), width=3)
    down, up = _arrow((20, 52), (20, 84), 4), _arrow((11, 62), (11, 40), 3)

    def with_rescuer(x: float, foot: float, *under: Shape) -> tuple[Shape, ...]:
        return (_line((74, 18), (x - 8, foot - 20), width=3), *_person(x, foot, 32, arms=((x - 8, foot - 20), (x - 7, foot - 14))), *under)

    stands: Mapping[str, tuple[Shape, ...]] = {
        "ground": with_rescuer(80, 90),
        "platform": with_rescuer(82, 68, _line((68, 72), (94, 72), width=5), _line((72, 72), (72, 90), width=3.5), _line((90, 72), (90, 90), width=3.5)),
        "ladder": with_rescuer(72, 70, *_ladder(77, 91, 36, 90, 5)),
        "vehicle": with_rescuer(82, 62, _box(66, 64, 95, 76), _disc(73, 83, 6), _disc(89, 83, 6)),
        "alone": (_line((74, 18), (80, 66), width=3),),
    }
    return tuple(
        _picture(f"method-{act}-{where}", rail, anchor, ground, hung, *_on_line(4), *arrows, *rescuer)
        for act, arrows in (("raise", (*up, *down)), ("lower", down))
        for where, rescuer in stands.items()
    )


def _fallen() -> tuple[Shape, ...]:
    """Somebody going over an edge, head first."""
    return (_disc(66, 66, 5), _line((61, 59), (52, 50), width=7.5), _line((52, 50), (44, 57), width=4.5), _line((52, 50), (49, 40), width=4.5), _line((61, 59), (70, 54), width=3.5), _line((60, 60), (58, 71), width=3.5))


def _flame() -> Shape:
    return _outline((50, 30), (60, 44), (62, 52), (66, 48), (68, 60), (62, 74), (50, 77), (38, 74), (33, 62), (38, 50), (42, 54), (46, 46))


def _harness() -> tuple[Shape, ...]:
    """A person from behind with straps and a line at the back."""
    body = (_disc(50, 24, 8), _line((50, 40), (50, 56), width=20), _line((44, 60), (41, 84), width=8), _line((56, 60), (59, 84), width=8), _line((40, 38), (30, 56), width=6), _line((60, 38), (70, 56), width=6))
    straps = (_line((42, 34), (50, 44), (58, 34), width=2.6), _line((50, 44), (43, 60), width=2.6), _line((50, 44), (57, 60), width=2.6), _line((41, 64), (47, 68), width=2.6), _line((59, 64), (53, 68), width=2.6))
    return (*body, *(replace(s, colour="blue") for s in straps), _line((50, 44), (66, 14), width=3.4), _disc(50, 44, 4))


def _heart() -> tuple[Shape, ...]:
    outline = ((50, 84), (18, 50), *_arc(34, 38, 17.5, 155, 335), *_arc(66, 38, 17.5, 205, 385), (82, 50))
    return (Shape(outline), replace(_bolt(50, 50, 20), colour="green"))


def _numeral_one() -> tuple[Shape, ...]:
    return (_line((70, 30), (80, 20), (80, 62), width=8),)


def _dashed_box(left: float, top: float, right: float, bottom: float) -> tuple[Shape, ...]:
    pieces = []
    for x1, y1, x2, y2 in ((left, top, right, top), (right, top, right, bottom), (right, bottom, left, bottom), (left, bottom, left, top)):
        for i in range(4):
            a, b = (i + 0.12) / 4, (i + 0.72) / 4
            pieces.append(_line((x1 + (x2 - x1) * a, y1 + (y2 - y1) * a), (x1 + (x2 - x1) * b, y1 + (y2 - y1) * b), width=4))
    return tuple(pieces)


def _cloud() -> tuple[Shape, ...]:
    return (_disc(32, 40, 17), _disc(54, 31, 20), _disc(72, 42, 15), _box(30, 38, 74, 57))


def _flake() -> tuple[Shape, ...]:
    ends = _arc(50, 50, 48, 0, 360)
    count = len(ends) - 1
    return tuple(_line(ends[i * count // 6], ends[i * count // 6 + count // 2], width=15) for i in range(3))


def _hanging() -> tuple[Shape, ...]:
    """Somebody who hangs by the back, bent at the hips."""
    return (_disc(62, 22, 8), _line((54, 32), (46, 56), width=16), _line((56, 36), (70, 56), width=6.5), _line((46, 58), (62, 66), (60, 88), width=8), _line((44, 58), (50, 72), (44, 90), width=8), _line((52, 12), (50, 32), width=4))


# fmt: on
SYMBOLS: Mapping[str, Symbol] = {symbol.name: symbol for symbol in _made()}


def drawn(symbol: Symbol, alt: str, side: float) -> Drawing:
    """A symbol in black, white and grey as a drawing, `side` millimetres wide and high."""

    def path(shape: Shape) -> Item:
        points = tuple((x * side / FIELD, y * side / FIELD) for x, y in shape.points)
        ground = GREY[shape.colour]
        if shape.filled:
            return Path(points, 0.0, fill=ground, closed=True)
        return Path(points, shape.width * side / FIELD, ink=1.0 if ground == "white" else 0.0)

    return Drawing(symbol.name, side, side, tuple(map(path, symbol.shapes)), alt)
