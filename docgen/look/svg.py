"""SVG of a logo, read into plain shapes: what is drawn again from these is all that any paper shows of the file.

Taken are paths and simple shapes in groups, filled or stroked with one colour each. What could act, fetch or look another way on another
machine (scripts, links, pictures, letters, styles by class, gradients, see-through paint, clips, filters) is named and refused; titles,
comments and notes of a drawing program are left out. Path data and units as in SVG 1.1, chapters 7 to 11 (from memory).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise
from xml.parsers import expat

from docgen.frozen import frozen
from docgen.limits import NOISE
from docgen.look.files import Unfit

__all__ = ["Art", "Shape", "clean_svg"]

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]
#: One run of a path: where it begins, then for each piece the two handles of its curve and its end; whether it is closed.
Run = tuple[Point, tuple[tuple[Point, Point, Point], ...], bool]


@frozen
class Shape:
    """One filled or stroked outline in units of the picture, whose top left is 0, 0. A colour is #rrggbb or None."""

    runs: tuple[Run, ...]
    fill: str | None
    even_odd: bool
    stroke: str | None
    stroke_width: float
    cap: str
    join: str


@frozen
class Art:
    """A picture whose longer side is `SIDE`, its shapes in the order in which they are painted."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


SVG = "http://www.w3.org/2000/svg"
MOST_ELEMENTS, MOST_DEPTH, MOST_PIECES, MOST_NUMBER, MOST_ASPECT = 2000, 40, 20_000, 1e6, 12.0
SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
SILENT = ("title", "desc", "metadata", "defs")  # left out with all that is in them
#: Elements that act, fetch or draw by way of something else; refused wherever they stand.
ACTIVE = frozenset({
    "script", "foreignObject", "style", "image", "use", "a", "animate", "animateTransform", "animateMotion", "animateColor", "set", "handler",
    "listener", "iframe", "embed", "object", "audio", "video", "feImage", "discard", "mpath",
})  # fmt: skip
PAINT = ("fill", "fill-rule", "stroke", "stroke-width", "stroke-linecap", "stroke-linejoin")
#: What would look another way without it: allowed only where it says that it does nothing.
IDLE: Mapping[str, tuple[str, ...]] = {
    "filter": ("none",), "mask": ("none",), "clip-path": ("none",), "stroke-dasharray": ("none",), "opacity": ("1", "1.0", "100%"),
    "fill-opacity": ("1", "1.0", "100%"), "stroke-opacity": ("1", "1.0", "100%"), "mix-blend-mode": ("normal",), "vector-effect": ("none",),
    "display": ("inline", "block"), "visibility": ("visible",), "marker": ("none",), "marker-start": ("none",), "marker-mid": ("none",), "marker-end": ("none",),
}  # fmt: skip
NAMED = {
    "black": "#000000", "white": "#ffffff", "gray": "#808080", "grey": "#808080", "silver": "#c0c0c0", "red": "#ff0000", "maroon": "#800000",
    "green": "#008000", "lime": "#00ff00", "olive": "#808000", "yellow": "#ffff00", "blue": "#0000ff", "navy": "#000080", "teal": "#008080",
    "aqua": "#00ffff", "purple": "#800080", "fuchsia": "#ff00ff", "orange": "#ffa500", "currentcolor": "#000000",
}  # fmt: skip
START = {
    "fill": "black",
    "fill-rule": "nonzero",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
}
UNITS = {"": 1.0, "px": 1.0, "pt": 4 / 3, "pc": 16.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "in": 96.0}
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-z]*)\s*")
_PATH = re.compile(rf"\s*,?\s*(?:([MmZzLlHhVvCcSsQqTtAa])|({_NUMBER}))")
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")
SIDE = 1000.0
CIRCLE = 0.5522847498307936  # handle of a quarter of a circle, as a share of its radius
IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def clean_svg(data: bytes, name: str) -> Art:
    """The shapes of a logo. Unfit where it is no SVG, or holds what is not allowed: that is named, with its line."""
    reader = _Reader(name)
    reader.read(data)
    return reader.art()


class _Reader:
    def __init__(self, name: str) -> None:
        self.name = name
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.stack: list[tuple[dict[str, str], Matrix]] = []
        self.silent = 0  # how deep inside something that is left out
        self.count = self.pieces = 0
        self.box: tuple[float, float, float, float] | None = None
        self.shapes: list[Shape] = []

    def unfit(self, what: str, hint: str) -> Unfit:
        return Unfit(f"'{self.name}' holds {what} in line {self.parser.CurrentLineNumber}", hint)

    def read(self, data: bytes) -> None:
        parser = self.parser

        def no_type(*_: object) -> None:
            raise self.unfit("a document type (DOCTYPE)", "take that line out: entities are not read")

        def no_sheet(target: str, _: str) -> None:
            if target.lower() == "xml-stylesheet":
                raise self.unfit("a link to a style sheet", "write colours as attributes")

        parser.StartDoctypeDeclHandler = no_type
        parser.ProcessingInstructionHandler = no_sheet
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        try:
            parser.Parse(data, True)
        except expat.ExpatError as error:
            raise Unfit(f"'{self.name}' is no SVG that can be read ({error})", "save it again as plain SVG") from None

    def start(self, tag: str, given: dict[str, str]) -> None:
        space, _, local = tag.rpartition(" ")
        self.count += 1
        if self.count > MOST_ELEMENTS or len(self.stack) + self.silent > MOST_DEPTH:
            raise self.unfit(
                "too many elements", f"at most {MOST_ELEMENTS:,}, {MOST_DEPTH} deep; simplify the drawing or give a PNG"
            )
        if local in ACTIVE:
            raise self.unfit(f"'{local}'", "that is not allowed in a logo; draw it with shapes alone, or give a PNG")
        self._inert(given)
        if not self.stack and (local != "svg" or space != SVG):
            raise Unfit(f"'{self.name}' is no SVG, whatever its name says", "save it as plain SVG, or name a PNG")
        if self.silent or local in SILENT or (space != SVG and self.stack):
            self.silent += 1
            return
        if self.stack and local not in (*SHAPES, "g"):
            told = (
                "turn letters into outlines"
                if local in ("text", "tspan", "textPath")
                else "draw it with shapes of one colour each"
            )
            raise self.unfit(f"'{local}'", f"that is not allowed in a logo; {told}, or give a PNG")
        looks, matrix = self.stack[-1] if self.stack else (START, IDENTITY)
        own = {**looks, **self._paint(given)}
        if not self.stack:
            self.box = self._frame(given)
        elif "transform" in given:
            matrix = _times(matrix, self._transform(given["transform"]))
        self.stack.append((own, matrix))
        if local in SHAPES:
            self._shape(local, given, own, matrix)

    def end(self, _: str) -> None:
        if self.silent:
            self.silent -= 1
        else:
            self.stack.pop()

    def _inert(self, given: Mapping[str, str]) -> None:
        """Nothing that acts or reaches outside among the attributes."""
        for key, value in given.items():
            local = key.rpartition(" ")[2]
            if local.lower().startswith("on"):
                raise self.unfit(f"an event handler ('{local}')", "take it out: a logo does nothing")
            if local in ("href", "src") and not (self.silent and value.startswith("#")):
                raise self.unfit(f"a reference ('{local}')", "take it out: a logo fetches nothing")
            if "base" in local and key != local and value:
                raise self.unfit("a base for references", "take it out: a logo fetches nothing")
            if re.search(r"url\s*\(|javascript:|@import|expression\s*\(", value, re.IGNORECASE) and not self.silent:
                raise self.unfit(f"a reference in '{local}'", "give plain colours and whole shapes, or a PNG")

    def _paint(self, given: Mapping[str, str]) -> dict[str, str]:
        """Colours and lines, from attributes and from the style, which comes first."""
        told = {key: value.strip() for key, value in given.items() if key in PAINT or key in IDLE}
        for line in given.get("style", "").split(";"):
            key, colon, value = line.partition(":")
            if colon:
                told[key.strip().lower()] = value.replace("!important", "").strip()
        for key, idle in IDLE.items():
            if key in told and told[key].lower() not in idle:
                raise self.unfit(
                    f"'{key}: {told[key][:40]}'",
                    "that is not allowed in a logo; draw whole shapes of one plain colour, or give a PNG",
                )
        return {key: told[key] for key in PAINT if key in told and told[key] != "inherit"}

    def _frame(self, given: Mapping[str, str]) -> tuple[float, float, float, float]:
        view = [self._number(each) for each in re.findall(_NUMBER, given.get("viewBox", ""))]
        if len(view) != 4:
            view = [0.0, 0.0, self._length(given.get("width", "")), self._length(given.get("height", ""))]
        left, top, width, height = view
        if not (width > 0 and height > 0 and 1 / MOST_ASPECT <= width / height <= MOST_ASPECT):
            raise Unfit(
                f"'{self.name}' does not say how wide and high it is, or is more than {MOST_ASPECT:g} times as long one way as the other",
                'give the first element a viewBox, such as viewBox="0 0 120 40"',
            )
        return left, top, width, height

    def _number(self, text: str) -> float:
        value = float(text)
        if not math.isfinite(value) or abs(value) > MOST_NUMBER:
            raise self.unfit(f"the number {text[:20]}", f"no number is larger than {MOST_NUMBER:,.0f}; scale the drawing down")
        return value

    def _length(self, text: str, missing: float = 0.0) -> float:
        if not text.strip():
            return missing
        found = _LENGTH.fullmatch(text)
        if found is None or found[2] not in UNITS:
            raise self.unfit(f"the length '{text[:20]}'", "write lengths as plain numbers")
        return self._number(found[1]) * UNITS[found[2]]

    def _transform(self, text: str) -> Matrix:
        matrix, at = IDENTITY, 0
        text = text.strip()
        while at < len(text):
            found = _TRANSFORM.match(text, at)
            if found is None:
                raise self.unfit(f"the transform '{text[:40]}'", "save it as plain SVG")
            at = found.end()
            values = [self._number(each) for each in re.findall(_NUMBER, found[2])]
            step = _step(found[1], values)
            if step is None:
                raise self.unfit(f"the transform '{text[:40]}'", "save it as plain SVG")
            matrix = _times(matrix, step)
        return matrix

    def _colour(self, text: str) -> str | None:
        plain = text.strip().lower()
        if plain in ("none", "transparent"):
            return None
        if plain in NAMED:
            return NAMED[plain]
        if re.fullmatch(r"#[0-9a-f]{6}", plain):
            return plain
        if re.fullmatch(r"#[0-9a-f]{3}", plain):
            return "#" + "".join(sign * 2 for sign in plain[1:])
        found = re.fullmatch(r"rgb\(\s*(\d{1,3})\s*,\s*(\d{1,3})\s*,\s*(\d{1,3})\s*\)", plain)
        if found and all(int(each) <= 255 for each in found.groups()):
            return "#" + "".join(f"{int(each):02x}" for each in found.groups())
        raise self.unfit(f"the colour '{text[:30]}'", "write colours as #RRGGBB")

    def _shape(self, tag: str, given: Mapping[str, str], own: Mapping[str, str], matrix: Matrix) -> None:
        fill = self._colour(own["fill"]) if tag != "line" else None
        stroke = self._colour(own["stroke"])
        scale = math.sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]))
        width = self._length(own["stroke-width"]) * scale
        runs = tuple(self._runs(tag, given))
        self.pieces += sum(len(pieces) + 1 for _, pieces, _ in runs)
        if self.pieces > MOST_PIECES:
            raise self.unfit("too many lines", f"at most {MOST_PIECES:,} pieces; simplify the drawing or give a PNG")
        assert self.box is not None
        left, top, *_ = self.box
        matrix = _times((1.0, 0.0, 0.0, 1.0, -left, -top), matrix)
        placed = tuple(
            (_at(matrix, start), tuple((_at(matrix, a), _at(matrix, b), _at(matrix, c)) for a, b, c in pieces), closed)
            for start, pieces, closed in runs
        )
        stroke = stroke if width > 0 else None
        if placed and (fill or stroke):
            cap, join = own["stroke-linecap"], own["stroke-linejoin"]
            self.shapes.append(Shape(
                placed, fill, own["fill-rule"] == "evenodd", stroke, width,
                cap if cap in ("round", "square") else "butt", join if join in ("round", "bevel") else "miter",
            ))  # fmt: skip

    def _runs(self, tag: str, given: Mapping[str, str]) -> Iterator[Run]:
        def side(key: str, missing: float = 0.0) -> float:
            return self._length(given.get(key, ""), missing)

        match tag:
            case "path":
                yield from self._path(given.get("d", ""))
            case "rect":
                wide, high = side("width"), side("height")
                rx, ry = side("rx", side("ry")), side("ry", side("rx"))
                if wide > 0 and high > 0:
                    yield _rounded(side("x"), side("y"), wide, high, min(max(rx, 0), wide / 2), min(max(ry, 0), high / 2))
            case "circle" | "ellipse":
                rx, ry = (side("r"), side("r")) if tag == "circle" else (side("rx"), side("ry"))
                if rx > 0 and ry > 0:
                    yield _rounded(side("cx") - rx, side("cy") - ry, 2 * rx, 2 * ry, rx, ry)
            case "line":
                yield (side("x1"), side("y1")), (_line((side("x1"), side("y1")), (side("x2"), side("y2"))),), False
            case _:
                flat = [self._number(each) for each in re.findall(_NUMBER, given.get("points", ""))]
                points = list(zip(flat[::2], flat[1::2], strict=False))
                if len(points) > 1:
                    yield points[0], tuple(_line(a, b) for a, b in pairwise(points)), tag == "polygon"

    def _path(self, text: str) -> Iterator[Run]:
        """The runs of path data; one that cannot be read is refused and not drawn in part."""
        tokens = self._tokens(text)
        at: Point = (0.0, 0.0)
        start: Point = (0.0, 0.0)
        pieces: list[tuple[Point, Point, Point]] = []
        open_run, previous, handle = False, "", at
        for letter, values in tokens:
            kind, near = letter.upper(), letter.islower()
            base = at if near else (0.0, 0.0)
            if kind == "M":
                if open_run and pieces:
                    yield start, tuple(pieces), False
                at = start = _beyond(base, values)
                pieces, open_run = [], True
            elif kind == "Z":
                if open_run and pieces:
                    yield start, tuple(pieces), True
                at, pieces = start, []
            else:
                before = at
                if kind == "L":
                    at = _beyond(base, values)
                    pieces.append(_line(before, at))
                elif kind == "H":
                    at = (before[0] + values[0] if near else values[0], before[1])
                    pieces.append(_line(before, at))
                elif kind == "V":
                    at = (before[0], before[1] + values[0] if near else values[0])
                    pieces.append(_line(before, at))
                elif kind in "CS":
                    mirrored = (2 * before[0] - handle[0], 2 * before[1] - handle[1]) if previous in ("C", "S") else before
                    first = _beyond(base, values[:2]) if kind == "C" else mirrored
                    handle, at = _beyond(base, values[-4:-2]), _beyond(base, values[-2:])
                    pieces.append((first, handle, at))
                elif kind in "QT":
                    mirrored = (2 * before[0] - handle[0], 2 * before[1] - handle[1]) if previous in ("Q", "T") else before
                    handle = _beyond(base, values[:2]) if kind == "Q" else mirrored
                    at = _beyond(base, values[-2:])
                    pieces.append((_between(before, handle, 2 / 3), _between(at, handle, 2 / 3), at))
                else:
                    at = _beyond(base, values[-2:])
                    pieces += _arc(before, values[0], values[1], values[2], bool(values[3]), bool(values[4]), at)
                if len(pieces) > MOST_PIECES:
                    raise self.unfit("too many lines", f"at most {MOST_PIECES:,} pieces; simplify the drawing or give a PNG")
            previous = kind
        if open_run and pieces:
            yield start, tuple(pieces), False

    def _tokens(self, text: str) -> Iterator[tuple[str, list[float]]]:
        """Each letter of path data with its numbers, repeated where more numbers follow."""
        at, letter, first = 0, "", True
        text = text.strip()
        while at < len(text):
            found = _PATH.match(text, at)
            if found is None or (first and found[1] not in ("M", "m")):
                raise self.unfit(f"path data that cannot be read ('{text[at : at + 20]}')", "save it as plain SVG")
            if found[1]:
                letter, at, first = found[1], found.end(), False
                if letter in "Zz":
                    yield letter, []
                    continue
            elif letter in "Zz":
                raise self.unfit(f"path data that cannot be read ('{text[at : at + 20]}')", "save it as plain SVG")
            values = []
            for index in range({"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}[letter.upper()]):
                flag = letter in "Aa" and index in (3, 4)  # one sign, which may stand without a blank behind it
                number = re.compile(r"\s*,?\s*([01])" if flag else rf"\s*,?\s*({_NUMBER})").match(text, at)
                if number is None:
                    raise self.unfit(f"path data that cannot be read ('{text[at : at + 20]}')", "save it as plain SVG")
                values.append(self._number(number[1]))
                at = number.end()
            yield letter, values
            letter = {"M": "L", "m": "l"}.get(letter, letter)

    def art(self) -> Art:
        """What was read. Unfit where there is nothing to see, or something lies far outside."""
        if self.box is None or not self.shapes:
            raise Unfit(f"'{self.name}' draws nothing", "give it filled or stroked shapes")
        _, _, width, height = self.box
        slack_x, slack_y = width / 10, height / 10
        for shape in self.shapes:
            for start, pieces, _ in shape.runs:
                for x, y in (start, *(piece[2] for piece in pieces)):
                    if not (-slack_x <= x <= width + slack_x and -slack_y <= y <= height + slack_y):
                        raise Unfit(f"'{self.name}' draws outside of its viewBox", "make the viewBox as large as the drawing")
        scale = SIDE / max(width, height)
        return Art(width * scale, height * scale, tuple(_scaled(shape, scale) for shape in self.shapes))


def _scaled(shape: Shape, by: float) -> Shape:
    def at(point: Point) -> Point:
        return point[0] * by, point[1] * by

    runs = tuple((at(start), tuple((at(a), at(b), at(c)) for a, b, c in pieces), shut) for start, pieces, shut in shape.runs)
    return replace(shape, runs=runs, stroke_width=shape.stroke_width * by)


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[2] * b[1], a[1] * b[0] + a[3] * b[1], a[0] * b[2] + a[2] * b[3], a[1] * b[2] + a[3] * b[3],
        a[0] * b[4] + a[2] * b[5] + a[4], a[1] * b[4] + a[3] * b[5] + a[5],
    )  # fmt: skip


def _at(matrix: Matrix, point: Point) -> Point:
    a, b, c, d, e, f = matrix
    x, y = point
    return a * x + c * y + e, b * x + d * y + f


def _step(name: str, values: list[float]) -> Matrix | None:
    match name, values:
        case "matrix", [a, b, c, d, e, f]:
            return a, b, c, d, e, f
        case "translate", [x]:
            return 1.0, 0.0, 0.0, 1.0, x, 0.0
        case "translate", [x, y]:
            return 1.0, 0.0, 0.0, 1.0, x, y
        case "scale", [x]:
            return x, 0.0, 0.0, x, 0.0, 0.0
        case "scale", [x, y]:
            return x, 0.0, 0.0, y, 0.0, 0.0
        case "rotate", [angle, *around] if len(around) in (0, 2):
            cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            x, y = around or (0.0, 0.0)
            return cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y
        case "skewX", [angle]:
            return 1.0, 0.0, math.tan(math.radians(angle)), 1.0, 0.0, 0.0
        case "skewY", [angle]:
            return 1.0, math.tan(math.radians(angle)), 0.0, 1.0, 0.0, 0.0
    return None


def _beyond(base: Point, values: list[float]) -> Point:
    return base[0] + values[0], base[1] + values[1]


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _line(a: Point, b: Point) -> tuple[Point, Point, Point]:
    return a, b, b


def _rounded(x: float, y: float, wide: float, high: float, rx: float, ry: float) -> Run:
    """A rectangle with rounded corners; an ellipse where they meet."""
    right, low = x + wide, y + high
    kx, ky = rx * (1 - CIRCLE), ry * (1 - CIRCLE)
    a: Point = (x + rx, y)
    corners: tuple[tuple[Point, Point, Point, Point], ...] = (
        ((right - rx, y), (right - kx, y), (right, y + ky), (right, y + ry)),
        ((right, low - ry), (right, low - ky), (right - kx, low), (right - rx, low)),
        ((x + rx, low), (x + kx, low), (x, low - ky), (x, low - ry)),
        ((x, y + ry), (x, y + ky), (x + kx, y), a),
    )
    pieces = []
    at = a
    for edge, first, second, end in corners:
        pieces.append(_line(at, edge))
        if rx and ry:
            pieces.append((first, second, end))
        at = end
    return a, tuple(pieces), True


def _arc(
    start: Point, rx: float, ry: float, turn: float, large: bool, sweep: bool, end: Point
) -> list[tuple[Point, Point, Point]]:
    """An arc of an ellipse as curves of at most a quarter each (SVG 1.1, appendix F.6)."""
    rx, ry = abs(rx), abs(ry)
    if start == end:
        return []
    if not (rx and ry):
        return [_line(start, end)]
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    x1, y1 = cos * dx + sin * dy, cos * dy - sin * dx
    grow = (x1 / rx) ** 2 + (y1 / ry) ** 2
    if grow > 1:
        rx, ry = rx * math.sqrt(grow), ry * math.sqrt(grow)
    under = (rx * y1) ** 2 + (ry * x1) ** 2
    share = math.sqrt(max(0.0, ((rx * ry) ** 2 - under) / under)) * (-1 if large == sweep else 1) if under else 0.0
    cx1, cy1 = share * rx * y1 / ry, -share * ry * x1 / rx
    cx, cy = cos * cx1 - sin * cy1 + (start[0] + end[0]) / 2, sin * cx1 + cos * cy1 + (start[1] + end[1]) / 2
    first = math.atan2((y1 - cy1) / ry, (x1 - cx1) / rx)
    sweep_by = (math.atan2((-y1 - cy1) / ry, (-x1 - cx1) / rx) - first) % (2 * math.pi)
    if not sweep:
        sweep_by -= 2 * math.pi
    count = max(1, math.ceil(abs(sweep_by) / (math.pi / 2) - NOISE))
    step = sweep_by / count
    handle = 4 / 3 * math.tan(step / 4)

    def place(x: float, y: float) -> Point:
        return cx + cos * rx * x - sin * ry * y, cy + sin * rx * x + cos * ry * y

    pieces = []
    for index in range(count):
        a, b = first + index * step, first + (index + 1) * step
        pieces.append((
            place(math.cos(a) - handle * math.sin(a), math.sin(a) + handle * math.cos(a)),
            place(math.cos(b) + handle * math.sin(b), math.sin(b) - handle * math.cos(b)),
            end if index == count - 1 else place(math.cos(b), math.sin(b)),
        ))  # fmt: skip
    return pieces
