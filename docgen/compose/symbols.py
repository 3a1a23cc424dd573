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
    """An outline that is filled, or a line of a weight with round ends, through points of the field; `part` is what it shows, for whoever
    measures the picture."""

    points: tuple[Point, ...]
    colour: Colour = "black"
    width: float = 0.0
    part: str = ""

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


def _part(name: str, *shapes: Shape) -> tuple[Shape, ...]:
    """The shapes as one thing that the picture shows."""
    return tuple(replace(s, part=name) for s in shapes)


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
        _picture("weighed", *_person(50, 72, 62), *_scale(50)),
        _picture("hook-on-ground", ground, _line((60, 6), (60, 34), width=3.4), _ring(60, 41, 4.6, 3.2), _line((64, 43), (72, 46), width=4),
                 *_person(72, 89, 62, arms=((86, 62), (80, 64))), *_person(24, 89, 62, arms=((54, 40), (46, 50)))),
        _picture("walkway", _line((12, 50), (88, 50), width=5), *(_line((x, 51), (x, 62), width=3) for x in (20, 80)), _line((14, 66), (86, 66), width=9),
                 *_person(50, 49, 40), *_arrow((34, 30), (16, 30), 4), *_arrow((66, 30), (84, 30), 4), _line((12, 20), (12, 48), width=3.5), _line((88, 20), (88, 48), width=3.5)),
        _picture("outside-box", *_dashed_box(37, 8, 93, 92), *_person(19, 90, 54), *_moved(_climbing(), 0.8, 18, 12)),
        _picture("keys-in-box", *_key(50, 17, 13), _line((20, 58), (20, 90), (80, 90), (80, 58), width=6), _line((14, 56), (36, 56), width=6), _line((64, 56), (86, 56), width=6), *_arrow((50, 51), (50, 82), 5)),
        _picture("own-lock", *_padlock(50, 46, 24)),
        _picture("chock", _disc(44, 46, 30), _white(_disc(44, 46, 20)), _disc(44, 46, 6), _outline((62, 80), (92, 80), (92, 66), (76, 56), (70, 66)), _line((10, 82), (92, 82), width=5)),
        _picture("vehicle-still", *_moved(_truck(), 0.86, 2, 26), _line((8, 93), (92, 93), width=4), *_octagon(76, 26, 19), *_in("white", _hand(76, 26))),
        *_vehicles(),
        _picture("red-stop", _box(12, 74, 88, 88), _box(40, 56, 60, 76), Shape((*_arc(50, 56, 30, 180, 360),)), replace(Shape((*_arc(50, 55, 25, 180, 360),)), colour="red"),
                 *_arrow((50, 8), (50, 26), 5)),
        _picture("storm", *_cloud(), _bolt(38, 70, 19), *(_line((x, 62), (x - 6, 78), width=4) for x in (60, 74)), *_moved(_flake(), 0.16, 66, 80)),
        _picture("go-away", _outline((26, 28), (48, 68), (4, 68)), _white(_line((26, 42), (26, 54), width=5)), _white(_disc(26, 61, 3)), *_arrow((50, 50), (66, 50), 4), *_person(80, 84, 58, arms=((70, 58), (90, 58)))),
        *_back_methods(),
        *_line_methods(),
        *_platform_methods(),
        _caught(), _hurt(), _fire_engine(),
        _picture("set-down", ground, _disc(22, 78, 7), _line((36, 80), (74, 82), width=10), *_arrow((50, 18), (50, 62), 7)),
        _picture("hanging", rail, _line((50, 14), (50, 30), width=3), *_moved(_hanging(), 0.75, 12, 22)),
        _picture("wind", *(Shape((*((10, y), (10 + long, y)), *_arc(10 + long, y - 9, 9, 90, -120)), width=5) for y, long in ((36, 46), (58, 60))), Shape(((10, 78), (50, 78)), width=5)),
        Symbol("state-open", "picture", None, "own", (_disc(50, 50, 48), _white(_disc(50, 50, 39)), _line((29, 52), (44, 67), (72, 34), width=10))),
        Symbol("state-closed", "picture", None, "own", (*_octagon(50, 50, 53), *_in("white", _cross(50, 50, 20, 11)))),
        Symbol("state-waiting", "picture", None, "own", (_outline((50, 2), (98, 50), (50, 98), (2, 50)), _white(_outline((50, 15), (85, 50), (50, 85), (15, 50))), *(_line((x, 38), (x, 62), width=8) for x in (41, 59)))),
        _picture("listen", *_person(28, 90, 60), *(Shape(_arc(40, 38, r, -35, 35), width=4.5) for r in (14, 26, 38))),
    )  # fmt: skip


def _vehicles() -> tuple[Symbol, ...]:
    """Each kind of vehicle with an arrow to its top, and with the one or the two who may be up there."""
    drawn: Mapping[str, tuple[float, tuple[Shape, ...]]] = {
        "tank-vehicle": (25, (*_tank(12, 88, 30, 62), _line((8, 84), (92, 84), width=4))),
        "hopper-vehicle": (32, (_outline((8, 32), (92, 32), (92, 44), (78, 62), (66, 62), (54, 46), (50, 46), (38, 62), (26, 62), (8, 44)), _box(8, 58, 20, 66), _line((8, 66), (92, 66), width=4),
                 *(_disc(x, 74, 7.5) for x in (20, 72, 86)), *(_white(_disc(x, 74, 2.5)) for x in (20, 72, 86)), _line((8, 86), (92, 86), width=4))),
        "railcar": (34, (_box(12, 34, 88, 60), _line((5, 58), (95, 58), width=3.5), *(_disc(x, 70.5, 6) for x in (23, 37, 63, 77)),
                 _line((6, 80), (94, 80), width=3), *(_box(x, 83, x + 7, 88) for x in (10, 28, 46, 65, 83)))),
        "tank-car": (24, (*_part("tank", Shape((*_arc(22, 44, 13, 90, 270), *_arc(78, 44, 13, -90, 90)))), _box(43, 24, 57, 33), _line((30, 27), (70, 27), width=2.5), *(_line((x, 27), (x, 33), width=2.5) for x in (30, 70)),
                 _line((5, 61), (95, 61), width=4), *(_disc(x, 70.5, 6) for x in (17, 31, 69, 83)),
                 _line((6, 80), (94, 80), width=3), *(_box(x, 83, x + 7, 88) for x in (10, 28, 46, 65, 83)))),
        "machine": (32, (_outline((34, 32), (88, 32), (92, 46), (92, 64), (34, 64)), _outline((22, 36), (36, 36), (36, 62), (26, 62)), _white(_outline((26, 41), (33, 41), (33, 52), (28, 52))),
                 _line((28, 60), (14, 72), width=5), _outline((4, 66), (20, 66), (20, 83), (2, 83)), *(_white(_line((x, 70), (x, 79), width=2)) for x in (8, 14)),
                 _disc(42, 67, 16), _white(_disc(42, 67, 6)), _disc(80, 74, 9), _white(_disc(80, 74, 3.5)), _line((2, 86), (96, 86), width=4))),
        "vehicle": (36, (*_truck(), _line((8, 84), (92, 84), width=4))),
    }
    return tuple(
        symbol
        for name, (top, shapes) in drawn.items()
        for symbol in (
            _picture(name, *shapes, *_arrow((50, 8), (50, top - 5), 3.5)),
            _picture(f"{name}-one", *_moved(shapes, 1, 0, 6), *_up_there(44, top + 6), *_moved(_numeral_one(), 0.4, 34, top - 21)),
            _picture(f"{name}-two", *_moved(shapes, 1, 0, 6), *_up_there(40, top + 6), *_up_there(60, top + 6)),
        )
    )


def _up_there(x: float, foot: float) -> tuple[Shape, ...]:
    return _part("climber", *_person(x, foot, foot - 7))


def _slumped(x: float, y: float, tall: float) -> tuple[Shape, ...]:
    """Somebody who hangs by the ring at the back, which is at x, y."""
    u = tall / 10

    def limb(*points: Point, width: float) -> Shape:
        return _line(*((x + a * u, y + b * u) for a, b in points), width=width * u)

    return _part(
        "hung",
        limb((0, 0), (0.6, 1), width=0.8), _disc(x + 2.7 * u, y + 0.7 * u, 1.25 * u), limb((0.8, 1.2), (-0.4, 4.6), width=2.4),
        limb((1.4, 1.8), (2.8, 4.6), width=1), limb((-0.3, 4.9), (1.7, 6.6), (1.1, 9.4), width=1.3), limb((-0.6, 5), (0.1, 7.2), (-0.9, 9.4), width=1.3),
    )  # fmt: skip


def _rescuer(number: int, x: float, foot: float, tall: float, *hands: Point) -> tuple[Shape, ...]:
    return _part(f"rescuer-{number}", *_person(x, foot, tall, arms=hands))


def _device(x: float, low: float) -> tuple[Shape, ...]:
    """The line of the device, from its trolley on the rail down to who hangs on it."""
    return (*_part("rail", _line((8, 11), (92, 11), width=5)), *_part("device", _box(x - 5, 12, x + 5, 21)), *_part("line", _line((x, 20), (x, low), width=2.5)))


def _back_methods() -> tuple[Symbol, ...]:
    """Back to ladder or deck, alone or with somebody who talks from the ground."""
    person = _part(
        "hung",
        _line((38, 34), (38, 40), width=3), _disc(45, 33, 5.2), _line((40, 42), (40, 57), width=10), _line((43, 43), (62, 39), width=4.5), _line((43, 47), (62, 50), width=4.5),
        _line((41, 58), (52, 63), (62, 71), width=6), _line((38, 59), (35, 70), (40, 80), width=6),
    )  # fmt: skip
    shown = (
        *_device(38, 36), *person, *_part("ladder", *_ladder(62, 74, 32, 92, 6)), *_part("deck", _box(76, 42, 92, 82), _disc(84, 87, 5.5)), _line((6, 94), (94, 94), width=3),
        *_arrow((46, 88), (60, 88), 3.4),
    )  # fmt: skip
    talks = (*_rescuer(1, 15, 92, 32, (23, 68), (9, 78)), *(Shape(_arc(17, 63, r, -45, 25), width=2.6) for r in (8, 13)))
    return (_picture("method-back", *shown), _picture("method-back-helped", *shown, *talks))


def _platform_methods() -> tuple[Symbol, ...]:
    """A platform with its guardrail under the feet, a ladder under the feet; rescuers where they work."""
    platform = (
        *_part("guardrail", *(_line((x, 43), (x, 65), width=3.4) for x in (9, 50, 91)), _line((9, 43), (91, 43), width=3), _line((9, 53), (91, 53), width=2)),
        *_part("deck", _line((9, 66), (91, 66), width=5.5)), *_part("legs", _line((24, 69), (76, 83), width=3.6), _line((76, 69), (24, 83), width=3.6), _line((18, 84), (82, 84), width=4.5)),
        *_part("wheels", _disc(27, 90, 5), _disc(73, 90, 5)),
    )  # fmt: skip
    hung = (*_device(48, 32), *_slumped(48, 30, 35))
    one, two = _rescuer(1, 27, 63, 33, (45, 44), (42, 51)), _rescuer(2, 75, 63, 33, (57, 44), (60, 51))
    ladder = (*_part("deck", *_ladder(40, 58, 66, 93, 3)), *_device(48, 30), *_slumped(48, 28, 38), _line((6, 94), (94, 94), width=3))
    first, second = _rescuer(1, 78, 92, 36, (60, 74), (60, 82)), _rescuer(2, 20, 92, 36, (38, 74), (38, 82))
    return (
        _picture("method-platform", *platform, *hung, *one, *two), _picture("method-platform-one", *platform, *hung, *one),
        _picture("method-ladder", *ladder, *first, *second), _picture("method-ladder-one", *ladder, *first),
    )  # fmt: skip


def _line_methods() -> tuple[Symbol, ...]:
    """A rescue line from an anchor overhead to who hangs: raised and then lowered, or only lowered; one rescuer attaches it, from where the
    method says, and a second one holds the rope."""
    anchor = _part("anchor", _box(51, 8, 67, 21), _white(_disc(59, 15, 3.2)))
    hung = (*_device(40, 24), *_part("line", _line((40, 20), (49, 41), width=2.5)), *_part("rope", _line((57, 20), (50, 40), width=3.6)), *_slumped(50, 40, 38))
    ground = _line((6, 94), (94, 94), width=3)
    holds = (*_part("rope", _line((61, 20), (80, 66), width=3.6)), *_rescuer(2, 84, 92, 34, (79, 66), (81, 74)))
    down, up = _arrow((27, 22), (27, 44), 4), _arrow((14, 46), (14, 24), 4)

    stands: Mapping[str, tuple[Shape, ...]] = {
        "ground": (*_part("pole", _line((10, 90), (47, 43), width=2.8)), *_rescuer(1, 14, 92, 34, (21, 76), (25, 71))),
        "platform": (*_rescuer(1, 22, 72, 30, (46, 44), (38, 54)), *_part("stand", _line((8, 74), (38, 74), width=5), _line((12, 76), (12, 92), width=3.5), _line((34, 76), (34, 92), width=3.5))),
        "ladder": (*_part("stand", *_ladder(10, 26, 50, 93, 5)), *_rescuer(1, 24, 76, 30, (46, 44), (38, 54))),
        "vehicle": (*_rescuer(1, 22, 68, 28, (46, 44), (38, 54)), *_part("stand", _box(6, 69, 38, 83), _disc(13, 88, 5), _disc(31, 88, 5))),
    }
    return (
        *(
            _picture(f"method-{act}-{where}{count}", *anchor, ground, *hung, *arrows, *rescuer, *second)
            for act, arrows in (("raise", (*up, *down)), ("lower", down))
            for where, rescuer in stands.items()
            for count, second in (("", holds), ("-one", _part("rope", _line((61, 20), (80, 88), width=3.6))))
        ),
        *(
            _picture(f"method-{act}-alone", *anchor, ground, *hung, *arrows, *_part("rope", _line((61, 20), (80, 88), width=3.6)))
            for act, arrows in (("raise", (*up, *down)), ("lower", down))
        ),
    )


def _caught() -> Symbol:
    """Somebody held between two things: no pull upward."""
    def block(left: float, top: float, right: float, low: float) -> tuple[Shape, ...]:
        edge = ((left, top), (right, top), (right, low), (left, low), (left, top))
        hatch = (_line((left, y + (right - left) * 0.6), (right, y), width=1.8) for y in range(int(top) + 6, int(low - (right - left) * 0.6), 9))
        return _part("block", _line(*edge, width=3), *hatch)

    cross = _cross(22, 64, 12, 5.5)
    return _picture(
        "caught", *_device(64, 34), *_slumped(62, 32, 44), *block(39, 52, 51, 92), *block(77, 44, 93, 92),
        *_part("pull", *_arrow((22, 88), (22, 22), 8)), *_part("cross", *(replace(s, colour="white", width=10.0) for s in cross), *cross),
    )  # fmt: skip


def _hurt() -> Symbol:
    """Somebody who lies on the deck of a vehicle, with first aid beside."""
    return _picture(
        "hurt",
        *_part("hung", _disc(24, 56, 6), _line((34, 59), (54, 60), width=9.5), _line((56, 61), (74, 62), width=5.5)),
        *_part("rescuer-1", _disc(62, 32, 6), _line((60, 41), (58, 53), width=9.5), _line((57, 44), (45, 54), width=4.5), _line((60, 55), (72, 56), (74, 63), width=5.5)),
        *_part("deck", _line((10, 68), (90, 68), width=4.5)), *_tank(8, 92, 69, 85), _line((4, 95), (96, 95), width=2),
        *_part("aid", _box(24, 14, 34, 44), _box(14, 24, 44, 34)),
    )  # fmt: skip


def _fire_engine() -> Symbol:
    """An engine of the fire service from its side: ladder on the roof, lamp on the cab."""
    return _picture(
        "method-outside",
        *_part("body", _outline((6, 46), (64, 46), (64, 74), (6, 74)), _outline((66, 38), (84, 38), (94, 56), (94, 74), (66, 74))),
        _white(_outline((71, 43), (82, 43), (89, 56), (71, 56))), *(_white(_box(x, 52, x + 14, 63)) for x in (11, 29, 47)),
        *_part("wheels", _disc(22, 76, 9), _disc(78, 76, 9)), _white(_disc(22, 76, 3.5)), _white(_disc(78, 76, 3.5)),
        *_part("ladder", _line((10, 41), (58, 25), width=3.2), _line((8, 33), (56, 17), width=3.2), *(_line((x, 41.5 - (x - 10) / 3), (x - 2, 33.5 - (x - 10) / 3), width=2.6) for x in (16, 25, 34, 43, 52))),
        *_part("lamp", _box(70, 31, 80, 38)), *(_line(a, b, width=2.8) for a, b in (((75, 26), (75, 18)), ((83, 29), (89, 23)), ((67, 29), (63, 24)))),
        _line((4, 87), (96, 87), width=3),
    )  # fmt: skip


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
    return (_line((68, 24), (79, 13), (79, 60), width=9),)


def _scale(x: float) -> tuple[Shape, ...]:
    """A scale to stand on, with its dial."""
    dial = (_white(Shape((*_arc(x, 89, 8.5, 180, 360),))), _line((x, 88), (x + 4, 83), width=2))
    return _part("scale", _box(x - 19, 74, x + 19, 91), *dial)


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
