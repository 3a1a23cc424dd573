"""Plan of one bay seen from above, front of the vehicle up: rail, reach, largest offset and the parking allowance, to scale."""

from __future__ import annotations

import math
from typing import NamedTuple, Unpack

from docgen.compose.board import THIN, Board
from docgen.compose.drawing import POINT, Drawing, Path, PathLook, Point, circle, rectangle
from docgen.compose.elevation import half_road_vehicle
from docgen.compose.lettering import fitted
from docgen.compose.say import Say
from docgen.compose.scales import WIDEST, fitting, scale_bar
from docgen.engineering.model import Case
from docgen.site import Bay, Quantity, Site, Vehicle

__all__ = ["parking"]

HIGHEST = 75.0  # of the sheet [mm]: two stand on one page of the record
BEYOND = 0.4  # m of the vehicle shown before the person and behind the trolley


def parking(case: Case, site: Site, say: Say) -> Drawing | None:
    """The drawing, or None where the largest offset or the allowances of the case are not known."""
    known = _known(case, site)
    if known is None:
        return None
    size = (2 * known.reach.si, known.along.si + 2 * BEYOND)
    return fitting(lambda scale: _Plan(known, say, scale).drawing(), HIGHEST, size)


class _Known(NamedTuple):
    """What no plan can be drawn without."""

    bay: Bay
    vehicle: Vehicle
    toward: float  # of the rail from the mark: -1 to the left, 1 to the right
    reach: Quantity
    rail_offset: Quantity
    along: Quantity  # at its worst, as is the largest offset
    largest: Quantity
    left: Quantity  # parking allowances
    right: Quantity


def _known(case: Case, site: Site) -> _Known | None:
    bay, vehicle = site.bay(case.bay), site.vehicle(case.vehicle)
    reach, rail, along, largest = case.reach, case.rail_offset, case.along_worst, case.largest_worst
    left, right = case.allowance_left, case.allowance_right
    if bay is None or vehicle is None or bay.rail is None or reach is None or rail is None or along is None:
        return None
    if largest is None or left is None or right is None:
        return None
    toward = -1.0 if bay.rail.offset_toward == "left" else 1.0
    return _Known(bay, vehicle, toward, reach, rail, along, largest, left, right)


class _Plan:
    def __init__(self, known: _Known, say: Say, scale: int) -> None:
        self.known, self.say, self.scale = known, say, scale
        self.vehicle = known.vehicle
        self.per = 1000 / scale
        self.board = Board()
        self.rail = known.toward * known.rail_offset.si
        self.along, self.reach = known.along.si, known.reach.si
        largest = known.largest.si
        self.open = largest > self.along
        self.across = math.sqrt(largest**2 - self.along**2) if self.open else 0.0
        self.limits = (self.rail - self.across, self.rail + self.across)
        self.top, self.bottom = self.along + BEYOND, -BEYOND
        left, right = _edges(self.vehicle)
        self.edges = (-left, right)
        half = max(half_road_vehicle(), left, right) if self.vehicle.kind != "flatbed" else 0.0
        self.body = (min(-half, -left), max(half, right))

    def at(self, across: float, along: float) -> Point:
        """Place on paper of a distance to the right of the mark and one toward the front, from the trolley [m]."""
        return across * self.per, -along * self.per

    def line(self, *places: Point, **look: Unpack[PathLook]) -> Path:
        """A line through places given in metres."""
        return Path(tuple(self.at(a, b) for a, b in places), **look)

    def drawing(self) -> Drawing:
        """Everything on its sheet."""
        self._vehicle()
        self._reaches()
        self._rail()
        self._offsets()
        self._chain()
        self._names()
        scale_bar(self.board, self.say, self.scale)
        self.board.note(self._notes(), WIDEST - 6)
        return self.board.finish(f"parking.{self.known.bay.id}", self._told(), self.scale)

    def _vehicle(self) -> None:
        """The body cut off in front and behind, and the surface on it between its edges."""
        left, right = self.body
        count = 8
        ends = []
        for along, way in ((self.top, 1), (self.bottom, -1)):
            xs = [left + (right - left) * i / count for i in range(count + 1)]
            ends.append([(x, along + (0.06 if i % 2 else -0.06) * way) for i, x in enumerate(xs)])
        outline = (*ends[0], *reversed(ends[1]))
        self.board.draw(self.line(*outline, closed=True, fill="white", width=0.22))
        low, high = self.bottom + 0.12, self.top - 0.12
        (x1, y1), (x2, y2) = self.at(self.edges[0], high), self.at(self.edges[1], low)
        self.board.draw(rectangle(x1, y1, x2, y2, width=0.0, fill="grey"))
        for edge in self.edges:
            self.board.draw(self.line((edge, low), (edge, high), width=0.35, part="edge"))
        self.board.draw(self.line((0, self.bottom - 0.25), (0, self.top + 0.25), width=0.25, dash="chain", part="mark"))

    def _reaches(self) -> None:
        for way in (-1, 1):
            self.board.draw(
                self.line((way * self.reach, self.bottom), (way * self.reach, self.top), width=0.3, dash="dashed", part="reach")
            )

    def _rail(self) -> None:
        for off in (-0.05, 0.05):
            ends = ((self.rail, self.bottom - 0.15), (self.rail, self.top + 0.15))
            line = self.line(*ends, width=0.3, part="rail")
            shift = max(abs(off) * self.per, 0.5) * (1 if off > 0 else -1)
            self.board.draw(Path(tuple((x + shift, y) for x, y in line.points), 0.3, part=line.part))
        x, y = self.at(self.rail, 0)
        self.board.draw(rectangle(x - 1.6, y - 1.2, x + 1.6, y + 1.2, width=0.2, fill="black", part="trolley"))

    def _offsets(self) -> None:
        """The permitted limits, and the largest offset from the trolley to each."""
        board = self.board
        high = self.top + 0.15
        for way, limit in zip((-1, 1), self.limits if self.open else (), strict=self.open):
            slack = way * limit - self.reach - self._allowance(way)
            if slack > 1e-9 and self._allowance(way) > 0:
                x1, x2 = sorted((limit * self.per, (limit - way * slack) * self.per))
                board.draw(
                    rectangle(x1, -self.top * self.per, x2, -self.bottom * self.per, width=0.0, fill="hatch", part="tolerances")
                )
            board.draw(self.line((limit, self.bottom - 0.15), (limit, high), width=0.7, part="limit"))
        if self.open:
            for limit in self.limits:
                board.draw(self.line((self.rail, 0), (limit, self.along), width=0.45))
                board.draw(circle(*self.at(limit, self.along), 0.75, fill="white", width=0.3))

    def _allowance(self, way: int) -> float:
        return (self.known.left if way < 0 else self.known.right).si

    def _chain(self) -> None:
        """Rows of dimensions under the vehicle: reach and allowance, then the whole way from rail to limit."""
        known, say, board = self.known, self.say, self.board
        base = -(self.bottom - 0.25) * self.per
        first, second = base + 4.5, base + 11.5
        lowest = second + 2 if self.open else first + 2
        for x in sorted({0.0, self.rail, *self.limits, self.reach, -self.reach}):
            board.draw(Path(((x * self.per, base - 1.5), (x * self.per, lowest)), THIN), under=True)
        for way, side, quantity in ((-1, "left", known.left), (1, "right", known.right)):
            self._row(first, 0.0, way * self.reach, say.word("reach", value=say.need(known.reach)), "reach")
            end = way * (self.reach + quantity.si)
            board.draw(Path(((end * self.per, base - 1.5), (end * self.per, first + 2)), THIN), under=True)
            if quantity.si > 0:
                words = say.word("allowance", side=say.term(side), value=say.have(quantity))
                self._row(first, way * self.reach, end, words, f"allowance-{side}", True)
            else:
                words = say.word("no_allowance", side=say.term(side))
                self._row(first + (4.5 if way < 0 else 9), way * self.reach, end, words, f"allowance-{side}", True)
        if self.open:
            for limit in self.limits:
                self._row(second, self.rail, limit, say.word("across", value=say.have(self.across)), "across")
        if abs(self.rail) > 1e-9:
            top = -(self.top + 0.25) * self.per - 3
            board.draw(Path(((self.rail * self.per, top - 1), (self.rail * self.per, top + 3)), THIN))
            board.draw(Path(((0, top - 1), (0, top + 3)), THIN))
            self._row(top, 0.0, self.rail, say.word("rail_off", value=say.need(known.rail_offset)), "rail-offset", up=True)
        if self.along > 0:
            x = self.body[1] * self.per + max(4.0, (self.limits[1] - self.body[1]) * self.per + 4)
            for along in (0.0, self.along):
                board.draw(Path((self.at(self.rail, along), (x + 1, -along * self.per)), THIN), under=True)
            board.draw(Path(((x, 0), (x, -self.along * self.per)), THIN, arrows="both", part="along"))
            lines = fitted(say.word("along", value=say.need(known.along)), 24 / (7 * POINT), 3)
            board.place([(x + 1.5, -self.along * self.per / 2)], lines)

    def _row(self, y: float, start: float, end: float, words: str, part: str, bold: bool = False, up: bool = False) -> None:
        board = self.board
        x1, x2 = start * self.per, end * self.per
        if abs(x1 - x2) > 1e-6:
            board.draw(Path(((x1, y), (x2, y)), THIN, arrows="both", part=part))
        middle = (x1 + x2) / 2
        steps = (-2.0, -5.0, -8.0) if up else (2.1, -2.1, 5.1)
        board.place([(middle, y + s) for s in steps], [words], anchor="middle", bold=bold, part=part)

    def _names(self) -> None:
        say, board = self.say, self.board
        em = 7 * POINT
        top = -(self.top + 0.25) * self.per
        high = top - (8 if abs(self.rail) > 1e-9 else 2)
        board.draw(Path(((0, top - 0.5), (0, high + 2)), THIN))
        x = self.rail * self.per
        board.place([(0, high - s) for s in (0, 3, 6)], [say.word("mark")], anchor="middle")
        left, right = self.limits
        far = min(left * self.per, self.body[0] * self.per)
        low = -(self.bottom + 0.25) * self.per
        if self.open:
            self._label(far - 2, [top + s for s in (10, 14, 18)], say.word("limit"), (left * self.per, top + 10), left=True)
        self._label(far - 2, [low + s for s in (0, -4, -8)], say.word("reach_line"), (-self.reach * self.per, low), left=True)
        edge = max(right, self.body[1]) * self.per + 3
        self._label(edge, [top + s for s in (4, 8, 1)], say.word("rail_name"), (x, top + 4))
        if self.open:
            aim = self.at(self.rail + self.across * 0.85, self.along * 0.85)
            y = min(aim[1], top + 12)
            words = say.word("largest", value=say.have(self.known.largest))
            self._label(edge, [y - s for s in (0, 3, 6)], words, aim, bold=True)
        board.place([(edge, low - s) for s in (1, 4)], fitted(self.vehicle.name, 30 / em, 2))

    def _label(self, x: float, heights: list[float], words: str, aim: Point, left: bool = False, bold: bool = False) -> None:
        """Words beside the vehicle with a thin line to what they name."""
        lines = fitted(words, 26 / (7 * POINT), 3, bold)
        box = self.board.place([(x, y) for y in heights], lines, anchor="end" if left else "start", bold=bold)
        self.board.draw(Path(((x + (0.4 if left else -0.4), (box[1] + box[3]) / 2), aim), THIN))
        self.board.draw(circle(*aim, 0.4, fill="black", width=0.0))

    def _notes(self) -> list[str]:
        known, say = self.known, self.say
        notes = []
        if known.left.si > 0 and known.right.si > 0:
            notes.append(say.word("note_allowance", left=say.have(known.left), right=say.have(known.right)))
        else:
            notes.append(say.word("note_no_allowance"))
        notes.append(say.word("note_plan"))
        return notes

    def _told(self) -> str:
        """The drawing in words: what it shows, then its lettering and its notes, since a reader by voice meets no letter of a drawing."""
        return " ".join([self._alt(), self.say.word("alt_lettered", words=self.board.lettered()), *self.board.notes])

    def _alt(self) -> str:
        known, say = self.known, self.say
        sides = []
        for side, quantity in (("left", known.left), ("right", known.right)):
            if quantity.si > 0:
                sides.append(say.word("allowance", side=say.term(side), value=say.have(quantity)))
            else:
                sides.append(say.word("no_allowance", side=say.term(side)))
        return say.word(
            "alt_parking", vehicle=self.vehicle.name, scale=str(self.scale), rail=say.need(known.rail_offset),
            reach=say.need(known.reach), largest=say.have(known.largest), left=sides[0], right=sides[1],
        )  # fmt: skip


def _edges(vehicle: Vehicle) -> tuple[float, float]:
    """Distance of the left and right edge of the surface from the centreline; one stands for the other where unknown."""
    known = {s.side: s.edge.si for s in vehicle.sides if s.edge is not None}
    if not known.keys() & {"left", "right"}:
        return (0.5, 0.5)
    either = known.get("left", known.get("right", 0.5))
    return (known.get("left", either), known.get("right", either))
