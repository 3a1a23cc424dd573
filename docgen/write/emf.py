"""EMF of a drawing, for word processors: the record stream of [MS-EMF] (read from memory), one unit a hundredth of a mm."""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

from docgen.compose.drawing import DASHES, FILLS, POINT, Path, dashes, path_box, plain_paths, text_box
from docgen.compose.lettering import text_width

if TYPE_CHECKING:
    from docgen.compose.drawing import Drawing, Point, Text
    from docgen.look.svg import Art, Run, Shape

__all__ = ["emf", "logo_emf"]

UNIT = 100  # units in a millimetre
SHEET = (1000, 1000)  # millimetres of the reference surface: a unit of it is a hundredth of a millimetre
HEADER, POLYGON, POLYLINE, SETWINDOWEXTEX, SETWINDOWORGEX, SETVIEWPORTEXTEX, SETVIEWPORTORGEX, EOF = 1, 3, 4, 9, 10, 11, 12, 14
SETMAPMODE, SETBKMODE, SETPOLYFILLMODE, SETTEXTALIGN, SETTEXTCOLOR = 17, 18, 19, 22, 24
SELECTOBJECT, CREATEBRUSH, DELETEOBJECT, CREATEFONT, TEXTOUT, CREATEPEN = 37, 39, 40, 82, 84, 95
POLYPOLYLINE, POLYPOLYGON, INTERSECTCLIPRECT = 7, 8, 30
ANISOTROPIC, TRANSPARENT, ALTERNATE, WINDING, BASELINE, COMPATIBLE = 8, 1, 1, 2, 24, 1
GEOMETRIC_ROUND = 0x00010000  # geometric pen, solid, round ends and joints
GEOMETRIC_BUTT = 0x00010200  # the same with straight ends, for dashes
STOCK_WHITE, STOCK_NO_BRUSH, STOCK_NO_PEN, STOCK_FONT = 0x80000000, 0x80000005, 0x80000008, 0x8000000D
FACE = "Arial"
LOGO = 200.0  # mm that the longer side of a logo has here; a paper shows it far smaller
STRAIGHT = 12  # pieces of a line that stand for a curve
CAPS, JOINS = {"round": 0x000, "square": 0x100, "butt": 0x200}, {"round": 0x0000, "bevel": 0x1000, "miter": 0x2000}


def _units(value: float) -> int:
    return round(value * UNIT)


def _colour(brightness: float) -> int:
    return round(brightness * 255) * 0x010101


def _record(kind: int, *values: int) -> bytes:
    return struct.pack(f"<II{len(values)}I", kind, 8 + 4 * len(values), *(v & 0xFFFFFFFF for v in values))


class _Stream:
    """Records, with the pens, brushes and fonts that are in use. Handle 1 is the pen, 2 the brush, 3 the font."""

    def __init__(self) -> None:
        self.records: list[bytes] = []
        self.tools: dict[int, tuple[object, ...]] = {}

    def add(self, kind: int, *values: int) -> None:
        self.records.append(_record(kind, *values))

    def tool(self, handle: int, look: tuple[object, ...], stock: int, create: bytes) -> None:
        """Put a tool into the hand, unless one of the same look is there already."""
        if self.tools.get(handle) == look:
            return
        if handle in self.tools:
            self.add(SELECTOBJECT, stock)
            self.add(DELETEOBJECT, handle)
        self.records.append(create)
        self.add(SELECTOBJECT, handle)
        self.tools[handle] = look

    def pen(self, width: float, brightness: float, straight: bool) -> None:
        look = (_units(width), brightness, straight)
        style = (GEOMETRIC_BUTT if straight else GEOMETRIC_ROUND) if width else GEOMETRIC_ROUND | 5  # 5: no line
        create = _record(CREATEPEN, 1, 0, 0, 0, 0, style, max(look[0], 1), 0, _colour(brightness), 0, 0)
        self.tool(1, look, STOCK_NO_PEN, create)

    def brush(self, brightness: float | None) -> None:
        create = _record(CREATEBRUSH, 2, 1 if brightness is None else 0, _colour(brightness or 0.0), 0)  # 1: hollow
        self.tool(2, (brightness,), STOCK_NO_BRUSH, create)

    def font(self, size: float, bold: bool, turned: bool) -> None:
        turn = 900 if turned else 0
        look = (-_units(size * POINT), 0, turn, turn, 700 if bold else 400)
        face = FACE.encode("utf-16-le").ljust(64, b"\0")
        # character set 1 is the default one; then the full name, style and panose of the font, all left open
        logfont = struct.pack("<5i8B", *look, 0, 0, 0, 1, 0, 0, 0, 0) + face + bytes(320 - 92)
        self.tool(3, look, STOCK_FONT, struct.pack("<III", CREATEFONT, 12 + len(logfont), 3) + logfont)

    def line(self, points: tuple[Point, ...], closed: bool, box: tuple[float, ...]) -> None:
        flat = [_units(value) for point in points for value in point]
        self.add(POLYGON if closed else POLYLINE, *map(_units, box), len(points), *flat)

    def path(self, item: Path) -> None:
        box = path_box(item)
        ground = FILLS[item.fill] if item.closed else None
        if not item.dash or ground is not None:
            self.pen(0.0 if item.dash else item.width, item.ink, False)
            self.brush(ground)
            self.line(item.points, item.closed, box)
        if item.dash:
            self.pen(item.width, item.ink, True)
            self.brush(None)
            points = (*item.points, item.points[0]) if item.closed else item.points
            for piece in dashes(points, DASHES[item.dash]):
                self.line(piece, False, box)

    def text(self, item: Text) -> None:
        self.font(item.size, item.bold, item.turned)
        letters = item.text.encode("utf-16-le")
        count = len(letters) // 2
        em = item.size * POINT
        steps: list[int] = []
        done = 0.0
        for char in item.text:
            before, done = done, done + text_width(char, item.bold) * em
            steps.append(_units(done) - _units(before))
            steps.extend([0] * (len(char.encode("utf-16-le")) // 2 - 1))
        padded = letters + bytes(-len(letters) % 4)
        left, top, right, bottom = map(_units, text_box(item))
        x, y = map(_units, item.start)
        head = struct.pack("<4iI2f", left, top, right, bottom, COMPATIBLE, 1.0, 1.0)
        body = struct.pack("<2i3I4iI", x, y, count, 76, 0, 0, 0, -1, -1, 76 + len(padded))
        size = 76 + len(padded) + 4 * count
        self.records.append(struct.pack("<II", TEXTOUT, size) + head + body + padded + struct.pack(f"<{count}i", *steps))


def _begun(width: int, height: int) -> _Stream:
    """A stream with its surface set up."""
    stream = _Stream()
    stream.add(SETMAPMODE, ANISOTROPIC)
    stream.add(SETWINDOWORGEX, 0, 0)
    stream.add(SETWINDOWEXTEX, width, height)
    stream.add(SETVIEWPORTORGEX, 0, 0)
    stream.add(SETVIEWPORTEXTEX, width, height)
    stream.add(SETBKMODE, TRANSPARENT)
    stream.add(SETPOLYFILLMODE, ALTERNATE)
    stream.add(SETTEXTALIGN, BASELINE)
    stream.add(SETTEXTCOLOR, 0)
    return stream


def emf(drawing: Drawing) -> bytes:
    """The bytes of an enhanced metafile; the same drawing gives the same bytes."""
    width, height = _units(drawing.width), _units(drawing.height)
    stream = _begun(width, height)
    for item in drawing.items:
        if isinstance(item, Path):
            for piece in plain_paths(item):
                stream.path(piece)
        else:
            stream.text(item)
    return _file(stream, width, height)


def _file(stream: _Stream, width: int, height: int) -> bytes:
    """The stream with its end and its head."""
    for handle, stock in ((1, STOCK_NO_PEN), (2, STOCK_NO_BRUSH), (3, STOCK_FONT)):
        if handle in stream.tools:
            stream.add(SELECTOBJECT, stock)
            stream.add(DELETEOBJECT, handle)
    stream.add(EOF, 0, 16, 20)
    body = b"".join(stream.records)
    header = struct.pack(
        "<II4i4iIIIIHHIII2i2iIII2i", HEADER, 108, 0, 0, width, height, 0, 0, width, height, 0x464D4520, 0x10000,
        108 + len(body), 1 + len(stream.records), 4, 0, 0, 0, 0, SHEET[0] * UNIT, SHEET[1] * UNIT, *SHEET, 0, 0, 0,
        SHEET[0] * 1000, SHEET[1] * 1000,
    )  # fmt: skip
    return header + body


def logo_emf(art: Art) -> bytes:
    """The shapes of a logo as an enhanced metafile, in their colours; the same shapes give the same bytes."""
    scale = LOGO / max(art.width, art.height)
    width, height = _units(art.width * scale), _units(art.height * scale)
    stream = _begun(width, height)
    stream.add(INTERSECTCLIPRECT, 0, 0, width, height)
    for shape in art.shapes:
        runs = [_straight(run, scale) for run in shape.runs]
        if shape.fill:
            stream.add(SETPOLYFILLMODE, ALTERNATE if shape.even_odd else WINDING)
            _lined(stream, None)
            stream.tool(2, (shape.fill,), STOCK_NO_BRUSH, _record(CREATEBRUSH, 2, 0, _reference(shape.fill), 0))
            _many(stream, POLYPOLYGON, runs)
        if shape.stroke:
            _lined(stream, shape, scale)
            closed = [(*run, run[0]) if shut else run for run, (_, _, shut) in zip(runs, shape.runs, strict=True)]
            _many(stream, POLYPOLYLINE, closed)
    return _file(stream, width, height)


def _reference(colour: str) -> int:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return red | green << 8 | blue << 16


def _lined(stream: _Stream, shape: Shape | None, scale: float = 1.0) -> None:
    """The pen of a shape in the hand, or none."""
    if shape is None or shape.stroke is None:
        style, width, colour = GEOMETRIC_ROUND | 5, 1, 0
    else:
        style = 0x00010000 | CAPS[shape.cap] | JOINS[shape.join]
        width, colour = max(_units(shape.stroke_width * scale), 1), _reference(shape.stroke)
    stream.tool(1, (style, width, colour), STOCK_NO_PEN, _record(CREATEPEN, 1, 0, 0, 0, 0, style, width, 0, colour, 0, 0))


def _straight(run: Run, scale: float) -> tuple[tuple[int, int], ...]:
    """The points of a run, curves as short lines."""
    start, pieces, _ = run
    points, at = [start], start
    for a, b, end in pieces:
        if (a, b) != (at, end):
            for step in range(1, STRAIGHT):
                t = step / STRAIGHT
                shares = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
                ends = (at, a, b, end)
                x, y = (sum(share * p[axis] for share, p in zip(shares, ends, strict=True)) for axis in (0, 1))
                points.append((x, y))
        points.append(end)
        at = end
    return tuple((_units(x * scale), _units(y * scale)) for x, y in points)


def _many(stream: _Stream, kind: int, runs: list[tuple[tuple[int, int], ...]]) -> None:
    flat = [value for run in runs for point in run for value in point]
    box = min(flat[::2]), min(flat[1::2]), max(flat[::2]), max(flat[1::2])
    stream.add(kind, *box, len(runs), len(flat) // 2, *(len(run) for run in runs), *flat)
