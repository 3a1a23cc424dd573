"""Elevation of one case, to one scale in both directions: rail, line, person, surface, what is below, need and have.

Heights stand over the datum of the bay. Everything lies in one plane, the vertical plane of the line: distances run outward from under
the line exit, so that line and offset show at their full length, and what is measured across lies farther out by the share that the
trolley lags. The fall side lies left for a fall to the left, else right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple, Unpack

from docgen.compose.board import THIN, Board, spread
from docgen.compose.drawing import FILLS, POINT, Anchor, Drawing, Fill, OutlineLook, Path, PathLook, Point, arc, circle, rectangle
from docgen.compose.lettering import fitted
from docgen.compose.persons import Pose, at_the_edge, hanging
from docgen.compose.say import Say
from docgen.compose.scales import WIDEST, fitting, scale_bar
from docgen.engineering.model import Case
from docgen.site import Bay, Obstruction, Protrusion, Quantity, Side, Site, Vehicle
from docgen.site.obstacle import across, upright
from docgen.trade.practice import practice

__all__ = ["elevation"]

HIGHEST = 152.0  # of the sheet [mm]
ACROSS = {"left": "right", "right": "left"}
ROUND = ("tank-trailer", "railcar")
BESIDE = 0.3  # m from the flank to the middle of the person who hangs there
SHOWN = 3.0  # m beyond the person, within which things in the bay are drawn
LETTERS = 7.0


def elevation(case: Case, site: Site, say: Say) -> Drawing | None:
    """The drawing, or None where heights or offset of the case are not known."""
    known = _known(case, site)
    if known is None or known.height.si <= 0:
        return None
    return fitting(lambda scale: _Elevation(case, known, say, scale).drawing(), HIGHEST, (known.offset.si, known.under.si))


def half_road_vehicle() -> float:
    """Half the greatest width of a road vehicle [m]; what stands nearer to the middle is drawn under its outline."""
    widest = practice("road_vehicle_width").si
    assert widest is not None
    return widest / 2


class _Known(NamedTuple):
    """What no elevation can be drawn without."""

    bay: Bay
    vehicle: Vehicle
    deck: Quantity
    exit: Quantity
    ring: Quantity
    height: Quantity
    offset: Quantity
    reach: Quantity
    under: Quantity


def _known(case: Case, site: Site) -> _Known | None:
    bay, vehicle = site.bay(case.bay), site.vehicle(case.vehicle)
    if bay is None or vehicle is None or bay.rail is None:
        return None
    deck, exit_, ring, height, offset, reach = case.deck, case.line_exit, case.ring, case.height, case.offset, case.reach
    if deck is None or exit_ is None or ring is None or height is None or offset is None or reach is None:
        return None
    return (
        None if bay.rail.underside is None else _Known(bay, vehicle, deck, exit_, ring, height, offset, reach, bay.rail.underside)
    )


@dataclass(frozen=True, slots=True)
class _Term:
    """One part of the need, from the surface downward."""

    key: str
    length: float
    words: str
    fill: Fill


class _Elevation:
    def __init__(self, case: Case, known: _Known, say: Say, scale: int) -> None:
        self.case, self.known, self.say, self.scale = case, known, say, scale
        self.bay, self.vehicle = known.bay, known.vehicle
        self.per = 1000 / scale  # millimetres on paper for a metre
        self.sign = -1.0 if case.side == "left" else 1.0
        self.board = Board()
        self.x, self.deck, self.exit, self.under = known.offset.si, known.deck.si, known.exit.si, known.under.si
        self.ring = self.deck + known.ring.si
        self.crosswise = case.side in ACROSS
        # what is measured across is cut by the plane of the line at a slant
        self.slant = self.x / case.across.si if self.crosswise and case.across is not None and case.across.si > 0 else 1.0
        self.centre = self.x - known.reach.si * self.slant
        self.lower = None if case.lower_level is None else case.lower_level.si
        side = _side(self.vehicle, case.side)
        other = _side(self.vehicle, ACROSS.get(case.side, ""))
        near = side.edge.si if side is not None and side.edge is not None else None
        far = other.edge.si if other is not None and other.edge is not None else near
        if self.crosswise:
            self.edge = self.x - 0.15 if near is None else min(self.centre + near * self.slant, self.x)
            self.far = min(self.centre - (far if far is not None else 0.6) * self.slant, self.edge - 0.3)
        else:
            self.edge = self.x - 0.15
            self.far = self.edge - 2 * half_road_vehicle()
        top = None if side is None or side.edge_top is None else side.edge_top.si
        self.edge_top = self.deck if top is None else max(self.deck, top)
        self.hung = self._hung()
        self.hang = self.edge + BESIDE if self.hung is None else self.hung[-1][0]
        self.outer = max(self.hang + BESIDE, self.edge + 25 / self.per)

    def _hung(self) -> tuple[Point, ...] | None:
        """The line after the arrest, in metres outward and upward, as long as the case says: over the edge where it bears on it, else
        straight. None where the arrest distance is not known."""
        case = self.case
        if case.arrest_distance is None or case.hang is None:
            return None
        length = math.hypot(self.x, self.known.height.si) + case.arrest_distance.si
        exit_ = self.exit - (case.deflection.si if case.deflection is not None else 0.0)
        aside = max(self.edge + BESIDE, 0.0)
        if aside >= length:
            return None
        ring = exit_ - math.sqrt(length**2 - aside**2)
        cuts = self.edge > 0 and exit_ + (ring - exit_) * self.edge / aside < self.edge_top
        rest = length - math.hypot(self.edge, exit_ - self.edge_top)
        if self.edge <= 0 or not (case.bears or cuts) or rest <= 0:
            return (0.0, exit_), (aside, ring)
        out = min(BESIDE, rest * 0.5)
        return (0.0, exit_), (self.edge, self.edge_top), (self.edge + out, self.edge_top - math.sqrt(rest**2 - out**2))

    def at(self, x: float, height: float) -> Point:
        """Place on paper of a distance outward and a height [m]."""
        return self.sign * x * self.per, -height * self.per

    def out(self, x: float, millimetres: float = 0.0) -> float:
        """Place on paper of a distance outward [m], and so many millimetres further."""
        return self.sign * (x * self.per + millimetres)

    def line(self, *places: Point, **look: Unpack[PathLook]) -> Path:
        """A line through places given in metres."""
        return Path(tuple(self.at(x, h) for x, h in places), **look)

    def drawing(self) -> Drawing:
        """Everything on its sheet."""
        self._things_in_the_bay()
        self._vehicle()
        self._ground()
        self._rail()
        self._persons()
        self._line()
        self._dimensions()
        self._levels()
        self._names()
        scale_bar(self.board, self.say, self.scale)
        self.board.note(self._notes(), WIDEST - 6)
        return self.board.finish(f"elevation.{self.case.id}", self._told(), self.scale)

    # --- things ------------------------------------------------------------------------------------------------------

    def _things_in_the_bay(self) -> None:
        self.undrawn: list[str] = []
        self.named: list[tuple[str, float, float, float, float]] = []
        things: tuple[Obstruction | Protrusion, ...] = (*self.bay.obstructions, *self.vehicle.protrusions)
        for thing in things:
            _, highest = upright(thing)
            stands_up = highest is not None and highest.si > self.deck
            lower = highest is not None and self.case.lower_path == highest.path
            if thing.side not in (None, self.case.side) or (lower and not stands_up):
                continue
            near, _ = across(thing)
            if near is None or not self.crosswise:
                self.undrawn.append(thing.what)
            elif (left := self._place(thing, near)) <= self.outer + SHOWN:
                self._thing(thing, left)

    def _place(self, thing: Obstruction | Protrusion, across: Quantity) -> float:
        """Distance outward from under the line exit of what is measured from the center line: of the vehicle where it stands, or of a
        correctly parked one."""
        if isinstance(thing, Protrusion):
            return self.centre + across.si * self.slant
        rail = self.case.rail_offset.si if self.case.rail_offset is not None else 0.0
        away = self.bay.rail.offset_toward == ACROSS[self.case.side]
        return (across.si + (abs(rail) if away else -abs(rail))) * self.slant

    def _thing(self, thing: Obstruction | Protrusion, left: float) -> None:
        """A hatched box from its near side outward."""
        _, far = across(thing)
        right = self._place(thing, far) if far is not None else left + 0.3
        right = min(right, self.outer + SHOWN + 0.6)
        lowest, highest = upright(thing)
        bottom = lowest.si if lowest is not None else 0.0
        top = min(highest.si if highest is not None else math.inf, self.exit + 0.6)
        if right <= left or top <= bottom:
            self.undrawn.append(thing.what)
            return
        (x1, y1), (x2, y2) = self.at(left, top), self.at(right, bottom)
        shape = rectangle(min(x1, x2), y1, max(x1, x2), y2, width=0.3, fill="hatch", part="obstruction")
        self.board.draw(shape)
        self.board.keep_free(shape)
        self.outer = max(self.outer, right)
        self.named.append((thing.what, left, right, bottom, top))

    def _vehicle(self) -> None:
        """A plain outline under the surface; the surface itself is to scale."""
        deck, draw = self.deck, self.board.draw
        low = min(1.2, deck * 0.45)
        if deck > 0.4:
            wheel = min(0.5, deck * 0.4)
            for x in self._axles():
                (x1, y1), (x2, y2) = self.at(x - 0.28, wheel * 2), self.at(x + 0.28, 0)
                draw(rectangle(min(x1, x2), y1, max(x1, x2), y2, width=0.2, fill="grey"))
            draw(self._body(low))
        draw(self.line((self.far, deck), (self.edge, deck), width=0.8, part="surface"))

    def _axles(self) -> tuple[float, ...]:
        inset = min(0.45, (self.edge - self.far) * 0.25)
        return (self.far + inset, self.edge - inset) if self.crosswise else (self.edge - 0.9,)

    def _body(self, low: float) -> Path:
        top = self.deck - 0.02
        if self.vehicle.kind == "flatbed":
            low = max(top - 0.35, 0.1)
        if self.vehicle.kind in ROUND and self.crosswise:
            x, y, a, b = (self.edge + self.far) / 2, (top + low) / 2, (self.edge - self.far) / 2, (top - low) / 2
            turns = [math.radians(t) for t in range(0, 360, 4)]
            points = [
                (x + a * _soft(math.cos(t)), y + b * _soft(math.sin(t))) for t in turns
            ]  # a rounded square: nearer to a barrel with its frame than a plain ellipse
            return self.line(*points, closed=True, fill="white", width=0.22)
        if self.crosswise:
            points = [(self.far, low), (self.edge, low), (self.edge, top), (self.far, top)]
        else:
            middle = (top + low) / 2
            points = [
                (self.far, low), (self.edge, low), (self.edge, top), (self.far, top), (self.far, middle + 0.12),
                (self.far + 0.12, middle), (self.far - 0.12, middle), (self.far, middle - 0.12),
            ]  # fmt: skip
        return self.line(*points, closed=True, fill="white", width=0.22)

    def _ground(self) -> None:
        thick = 1.6 / self.per
        left, right = min(self.far, -0.3) - 0.3, self.outer + 0.2
        level = self.lower
        if level is None or level > 0.02:
            self._surface(left, right, 0.0, thick, "ground")
            if level is not None:
                self._surface(self.edge, self.hang + BESIDE, level, 1.1 / self.per, "lower-level")
        elif level >= -0.02:
            self._surface(left, right, level, thick, "lower-level")
        else:
            self._surface(left, self.edge, 0.0, thick, "ground")
            self._surface(self.edge, right, level, thick, "lower-level")

    def _surface(self, left: float, right: float, height: float, thick: float, part: str) -> None:
        (x1, y1), (x2, y2) = self.at(left, height), self.at(right, height - thick)
        self.board.draw(rectangle(min(x1, x2), y1, max(x1, x2), y2, width=0.0, fill="hatch"))
        self.board.draw(self.line((left, height), (right, height), width=0.5, part=part))

    def _rail(self) -> None:
        """A rail profile above its underside, the trolley under it and the device down to the line exit."""
        x, under = self.at(0, self.under)
        draw = self.board.draw
        for top, bottom, half in ((-3.4, -2.7, 1.5), (-2.7, -0.7, 0.35), (-0.7, 0.0, 1.5)):
            draw(rectangle(x - half, under + top, x + half, under + bottom, width=0.0, fill="black"))
        exit_ = -self.exit * self.per
        if exit_ - under > 0.6:
            draw(rectangle(x - 0.9, under, x + 0.9, exit_ - (exit_ - under) * 0.55, width=0.2, fill="white"))
            draw(rectangle(x - 1.5, exit_ - (exit_ - under) * 0.6, x + 1.5, exit_, width=0.25, fill="grey"))

    def _line(self) -> None:
        draw = self.board.draw
        length = math.hypot(self.x, self.known.height.si)
        low = min(self.ring, self.exit - length) - 0.1
        if self.hung is not None and self.case.hang is not None:
            # where the sum counts the D-ring: straight under the rail, whatever stands there
            low = min(low, self.case.hang.si)
            draw(circle(*self.at(0, self.case.hang.si), 0.5, fill="white", width=0.2, part="counted-ring"))
        draw(self.line((0, self.exit), (0, low), width=THIN, dash="chain"))
        if self.case.swing_drop is not None and length * self.per > 4:
            x, y = self.at(0, self.exit)
            turn = math.degrees(math.atan2(self.x, self.known.height.si))
            draw(arc(x, y, length * self.per, 90, 90 - self.sign * turn, width=0.25, dash="dotted", part="swing"))
        if self.hung is not None:
            draw(self.line(*self.hung, width=0.3, dash="dashed", part="hanging-line"))
        draw(self.line((0, self.exit), (self.x, self.ring), width=0.45, part="line"))
        draw(circle(*self.at(0, self.exit), 0.55, fill="black", width=0.1))
        draw(circle(*self.at(self.x, self.ring), 0.75, fill="white", width=0.3))
        if self.hung is not None:
            draw(circle(*self.at(*self.hung[-1]), 0.75, fill="white", width=0.3))

    # --- persons -----------------------------------------------------------------------------------------------------

    def _persons(self) -> None:
        self._person(at_the_edge(self.edge, self.deck, self.x, self.known.ring.si), "white")
        case = self.case
        if self.hung is not None and case.hang is not None and case.feet is not None:
            stretch = case.stretch.si if case.stretch is not None else 0.0
            ring = self.hung[-1][1]
            feet = ring - (case.hang.si - case.feet.si)
            self._person(hanging(self.hang, ring, feet, stretch), "grey")
            for level, part in ((case.hang.si, "lowest-ring"), (case.feet.si, "lowest-feet")):
                self.board.draw(
                    self.line((self.edge + 0.05, level), (self.hang + 0.45, level), width=0.25, dash="dotted", part=part)
                )
            x1, y1 = self.at(self.hang - 0.3, ring + 0.2)
            x2, y2 = self.at(self.hang + 0.3, feet - 0.1)
            self.board.keep_free(rectangle(min(x1, x2), y1, max(x1, x2), y2))

    def _person(self, pose: Pose, fill: Fill) -> None:
        """Limbs as thick lines, first in black and then a little thinner in the person's own shade: one outline."""
        limbs, head = pose
        shade = FILLS[fill] or 0.0
        width = max(0.17 * self.per, 0.9)
        lines = [self.line(*limb, width=width) for limb in limbs]
        x, y = self.at(*head)
        radius = max(0.125 * self.per, 0.6)
        draw = self.board.draw
        draw(*lines, circle(x, y, radius, width=0.0, fill="black"))
        draw(*(Path(p.points, width - 0.44, ink=shade) for p in lines))
        draw(circle(x, y, radius - 0.22, width=0.0, fill=fill))

    # --- lettering ---------------------------------------------------------------------------------------------------

    def _terms(self) -> list[_Term]:
        case, say = self.case, self.say
        rows: tuple[tuple[str, Quantity | None, Fill], ...] = (
            ("swing", case.swing_drop, "grey"), ("arrest", case.arrest_distance, "white"), ("stretch", case.stretch, "grey"),
            ("posture", case.posture_addition, "white"), ("deflection", case.deflection, "black"),
            ("margin", case.margin_term, "hatch"),
        )  # fmt: skip
        return [_Term(k, q.si, say.word(k, value=say.need(q)), fill) for k, q, fill in rows if q is not None and q.si > 0]

    def _dimensions(self) -> None:
        case, say, board = self.case, self.say, self.board
        column = self.outer * self.per + 6
        foot = None
        if case.required is not None:
            foot = self.deck - case.required.si
            self._upright(column, foot, say.word("needs", value=say.need(case.required)), "need", self.outer)
            column += 7.5
        if case.available is not None and self.lower is not None:
            self._upright(column, self.lower, say.word("has", value=say.have(case.available)), "have", self.hang + BESIDE)
            column += 6
        if foot is not None:
            self._ladder(column, foot)
        inner = min(min(self.far, -0.2) * self.per - 4, -12.0)
        y1, y2 = -self.exit * self.per, -self.ring * self.per
        x = self.sign * inner
        board.draw(Path(((0, y1), (x - self.sign, y1)), THIN), under=True)
        board.draw(Path(((self.sign * self.x * self.per, y2), (x - self.sign, y2)), THIN), under=True)
        board.dimension((x, y1), (x, y2), [say.word("height", value=say.have(self.known.height))], "height")
        self.inner = inner - 5
        self._offset()

    def _upright(self, column: float, bottom: float, words: str, part: str, start: float) -> None:
        """A dimension from the surface down to a height; its lower extension line begins at `start`."""
        x = self.sign * column
        for height, begin in ((self.deck, self.edge), (bottom, start)):
            y = -height * self.per
            self.board.draw(Path(((self.out(begin), y), (x + self.sign, y)), THIN), under=True)
        self.board.dimension((x, -self.deck * self.per), (x, -bottom * self.per), [words], part)

    def _ladder(self, column: float, foot: float) -> None:
        """The need, term by term, as a bar hanging from the surface; what is left over or lacking below it."""
        say, case, board = self.say, self.case, self.board
        wide = 3.6
        level = self.deck
        rows: list[tuple[float, str, bool]] = []
        for term in self._terms():
            self._step(column, wide, level, level - term.length, term.fill, term.key)
            rows.append((level - term.length / 2, term.words, False))
            level -= term.length
        if case.deflection is None:
            rows.append((foot, say.word("deflection_open"), False))
        if case.margin is not None and self.lower is not None:
            if case.margin.si > 0:
                board.draw(self._bar(column, wide, foot, self.lower, width=THIN, dash="dashed"))
                rows.append(((foot + self.lower) / 2, say.word("left_over", value=say.have(case.margin)), True))
            elif case.margin.si < 0:
                board.draw(self._bar(column - 1.6, 1.1, self.lower, foot, width=0.0, fill="black"))
                rows.append((foot, say.word("short", value=say.need(-case.margin.si)), True))
            else:
                rows.append((foot, say.word("left_over", value=say.have(case.margin)), True))
        em = LETTERS * POINT
        places = spread([-height * self.per for height, _, _ in rows], [em * 1.25] * len(rows))
        reach = column + wide + 5
        for (height, words, bold), y in zip(rows, places, strict=True):
            board.draw(Path(((self.sign * (column + wide), -height * self.per), (self.sign * (reach - 0.7), y)), THIN))
            board.letter(self.sign * reach, y, [words], size=LETTERS, bold=bold, anchor="start" if self.sign > 0 else "end")

    def _bar(self, column: float, wide: float, top: float, bottom: float, **look: Unpack[OutlineLook]) -> Path:
        x1, x2 = sorted((self.sign * column, self.sign * (column + wide)))
        return rectangle(x1, -top * self.per, x2, -bottom * self.per, **look)

    def _step(self, column: float, wide: float, top: float, bottom: float, fill: Fill, part: str) -> None:
        self.board.draw(self._bar(column, wide, top, bottom, width=0.2, fill=fill, part=part))

    def _offset(self) -> None:
        """The offset above the rail, and the angle of the line."""
        case, say, board = self.case, self.say, self.board
        y = -self.under * self.per - 7
        x = self.sign * self.x * self.per
        head = -(self.ring + 0.6) * self.per
        board.draw(Path(((0, y + 3), (0, y - 1)), THIN), Path(((x, head), (x, y - 1)), THIN))
        words = [say.word("offset", value=say.need(self.known.offset))]
        if self.x > 0:
            board.draw(Path(((0, y), (x, y)), THIN, arrows="both", part="offset"))
        board.letter(x / 2, y - 2, words, size=7.5, bold=True, anchor="middle", part="offset")
        if case.line_angle is not None and self.x > 0:
            x0, y0 = self.at(0, self.exit)
            radius = min(14.0, self.known.height.si * self.per * 0.4)
            turn = math.degrees(case.line_angle.si)
            board.draw(arc(x0, y0, radius, 90, 90 - self.sign * turn, width=THIN))
            inner = -self.sign
            spots = [(inner * 1.2, y0 + radius * (0.9 + i * 0.2)) for i in range(4)]
            board.place(spots, [say.need(case.line_angle)], anchor="end" if self.sign > 0 else "start")

    def _levels(self) -> None:
        """Names and heights of the levels, in a column on the inner side."""
        say = self.say
        rows = [
            (self.under, 0.0, say.word("rail", value=say.have(self.known.under))),
            (self.exit, None, say.word("exit", value=say.have(self.known.exit))),
            (self.ring, None, say.word("ring", value=say.need(self.ring))),
            (self.deck, self.far, say.word("surface", value=say.near(self.known.deck))),
            (0.0, min(self.far, -0.3) - 0.3, say.word("datum", value=say.near(0.0))),
        ]
        em = LETTERS * POINT
        places = spread([-height * self.per for height, _, _ in rows], [em * 1.25] * len(rows))
        for (height, start, words), y in zip(rows, places, strict=True):
            begin = self.sign * (self.inner + 3.5) if start is None else self.out(start)
            level = -height * self.per
            bend = self.sign * self.inner
            self.board.draw(Path(((begin, level), (bend, level), (bend - self.sign * 3, y)), THIN), under=True)
            anchor: Anchor = "end" if self.sign > 0 else "start"
            self.board.letter(bend - self.sign * 3.6, y, [words], size=LETTERS, anchor=anchor)

    def _names(self) -> None:
        case, say, board = self.case, self.say, self.board
        em = LETTERS * POINT
        body = (self.edge - self.far) * self.per
        lines = fitted(self.vehicle.name, max(body * 0.8, 12) / em, 4)
        x, y = self.at((self.far + self.edge) / 2, self.deck * 0.72)
        board.place([(x, y + step) for step in (0, 3, -3, 6, 9)], lines, anchor="middle")
        start: Anchor = "start" if self.sign > 0 else "end"
        if self.lower is not None and self.lower != 0:
            nearer = (left for _, left, _, bottom, top in self.named if bottom <= self.lower <= top)
            wide = max((min(nearer, default=self.outer) - self.edge) * self.per - 2, 14 if self.named else 20)
            what = case.lower_what or say.word("below")
            lines = fitted(say.word("lower", what=what, value=say.need(case.lower_level or self.lower)), wide / em, 3)
            x, y = self.out(self.edge, 1), -self.lower * self.per
            tall = len(lines) * em * 1.2
            aside = self.out(self.hang + 0.32, 1)
            spots = [(x, y + 1.8 + tall / 2), (aside, y + 1.8 + tall / 2), (aside, y - 1.5 - tall / 2), (x, y + 4 + tall / 2)]
            board.place(spots, lines, anchor=start)
        if case.hang is not None and case.feet is not None:
            lines = (
                say.word("hanging"),
                say.word("hanging_ring", value=say.have(case.hang)),
                say.word("hanging_feet", value=say.have(case.feet)),
            )
            x, y = self.out(self.edge, 1), -case.feet.si * self.per
            tall = len(lines) * em * 1.2
            middle = -(case.hang.si + case.feet.si) / 2 * self.per
            beside = self.out(self.hang + 0.32, 1)
            spots = [(x, y + 1.2 + tall / 2), (beside, middle), (beside, middle + 8), (x, y + 5 + tall / 2)]
            board.place(spots, lines, anchor=start)
        for what, left, right, bottom, top in self.named:
            wide = max((right - left) * self.per, 16)
            lines = fitted(what, wide / em, 3)
            x, y = self.at((left + right) / 2, (bottom + top) / 2)
            end = -top * self.per - len(lines) * em * 0.6 - 1
            self.board.place([(x, end), (x, end - 3), (x, end - 6), (x, y), (x, y + 6), (x, y - 6)], lines, anchor="middle")

    def _notes(self) -> list[str]:
        case, say = self.case, self.say
        notes = [say.word("note_scale")]
        if case.across is not None and case.along is not None:
            notes.append(say.word("note_plane", across=say.need(case.across), along=say.need(case.along)))
        if self._beyond():
            notes.append(say.word("note_other_side"))
        if self.hung is not None and case.hang is not None and case.feet is not None:
            key = "note_hanging_edge" if len(self.hung) > 2 else "note_hanging_taken" if case.bears else "note_hanging"
            notes.append(say.word(key, ring=say.have(case.hang), feet=say.have(case.feet)))
        if case.required is not None:
            notes.append(say.word("note_terms"))
        if self.undrawn:
            notes.append(say.word("note_undrawn", what=", ".join(self.undrawn)))
        return notes

    def _beyond(self) -> bool:
        """Whether the rail lies toward this side, so that the offset drawn is the larger one of the other side."""
        return (
            self.crosswise
            and self.bay.rail.offset_toward == self.case.side
            and bool(self.bay.rail.offset and self.bay.rail.offset.si)
        )

    def _told(self) -> str:
        """The drawing in words: what it shows, then its lettering and its notes, since a reader by voice meets no letter of a drawing."""
        return " ".join([self._alt(), self.say.word("alt_lettered", words=self.board.lettered()), *self.board.notes])

    def _alt(self) -> str:
        case, say = self.case, self.say
        text = say.word(
            "alt_elevation", vehicle=self.vehicle.name, posture=say.term(case.posture), side=say.term(case.side),
            height=say.have(self.known.height), offset=say.need(self.known.offset), scale=str(self.scale),
        )  # fmt: skip
        if case.required is None:
            return text
        if case.available is None:
            return f"{text} {say.word('alt_need', need=say.need(case.required))}"
        below, have = case.lower_what or say.word("below"), say.have(case.available)
        return f"{text} {say.word('alt_need_have', need=say.need(case.required), have=have, what=below)}"


def _side(vehicle: Vehicle, name: str) -> Side | None:
    return next((s for s in vehicle.sides if s.side == name), None)


def _soft(value: float) -> float:
    return math.copysign(abs(value) ** 0.8, value)
