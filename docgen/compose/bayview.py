"""Picture of one bay for its sheet: rail, line, climber, deck with its edges, ladder with the red mark, ground, seen toward the front.

Heights are true to one scale, and so is what is measured across; the bodies of vehicle and person are drawn simply. No symbol, no working
and no case stands on it: it shows a climber what the words of the sheet mean.
"""

from __future__ import annotations

from dataclasses import dataclass

from docgen.compose.board import THIN, Board
from docgen.compose.drawing import POINT, Anchor, Drawing, Fill, Path, Point, circle, rectangle
from docgen.compose.lettering import fitted
from docgen.compose.persons import at_the_edge
from docgen.compose.say import Say
from docgen.compose.scales import fitting
from docgen.engineering.model import Further
from docgen.site import Bay, Quantity, Side, Site, Vehicle

__all__ = ["bay_view"]

HIGHEST = 60.0  # of the sheet [mm]
LETTERS = 10.0  # points, as in the tables of the paper that it stands in
SIDES = {"left": -1.0, "right": 1.0}
BODY = 1.25  # m, half of the body as it is drawn
HALF = 0.5  # m, half of a deck of which no edge is measured


def bay_view(further: Further, site: Site, say: Say) -> Drawing | None:
    """The picture, or None where the height of rail, deck or ring is not known."""
    bay, vehicle = site.bay(further.bay), _highest(site, further.bay)
    if bay is None or vehicle is None or vehicle.deck is None:
        return None
    under, ring = bay.rail.underside, site.limits.d_ring.standing
    if under is None or ring is None or under.si <= vehicle.deck.si + ring.si or vehicle.deck.si <= 0:
        return None
    known = _Known(bay, vehicle, vehicle.deck, under, ring, further.climb_height)
    return fitting(lambda scale: _View(known, say, scale).drawing(), HIGHEST, (2.0, under.si))


def _highest(site: Site, bay: str) -> Vehicle | None:
    """The vehicle with the highest deck of those on which a task is allowed in the bay."""
    used = {t.vehicle for t in site.tasks if t.bay == bay and t.permission == "allowed"}
    return max((v for v in site.vehicles if v.id in used and v.deck is not None), key=_deck, default=None)


def _deck(vehicle: Vehicle) -> float:
    return 0.0 if vehicle.deck is None else vehicle.deck.si


@dataclass(frozen=True, slots=True)
class _Known:
    bay: Bay
    vehicle: Vehicle
    deck: Quantity
    under: Quantity
    ring: Quantity
    mark: Quantity | None


class _View:
    """One picture at one scale; distances outward in metres from the middle of the vehicle, right is positive."""

    def __init__(self, known: _Known, say: Say, scale: int) -> None:
        self.known, self.say, self.per = known, say, 1000 / scale
        self.bay, self.vehicle = known.bay, known.vehicle
        self.board = Board()
        offset = self.bay.rail.offset
        self.rail = (0.0 if offset is None else offset.si) * SIDES.get(self.bay.rail.offset_toward or "right", 1.0)
        self.edges = {name: self._edge(name) for name in SIDES}
        self.ladder = self._ladder_at()
        beside = [BODY] if self.ladder is None else [BODY, abs(self.ladder) - 0.3]
        self.reach = max(min(beside), *map(abs, self.edges.values()))
        out = [abs(x) for x in (self.reach, self.rail, *((self.ladder,) if self.ladder is not None else ()))]
        self.half = max(out) + 1.2

    def _edge(self, name: str) -> float:
        side = self._side(name)
        return SIDES[name] * (HALF if side is None or side.edge is None else side.edge.si)

    def _side(self, name: str) -> Side | None:
        return next((s for s in self.vehicle.sides if s.side == name), None)

    def _ladder_at(self) -> float | None:
        place = self.bay.ladder
        if place.offset is None or place.side not in SIDES:
            return None
        return self.rail + SIDES[place.side] * place.offset.si

    def at(self, x: float, height: float) -> Point:
        return x * self.per, -height * self.per

    def drawing(self) -> Drawing:
        """Everything on its sheet."""
        self._ground()
        self._body()
        self._rail_and_line()
        self._ladder()
        self._words()
        return self.board.finish(
            f"bay.{self.bay.id}", f"{self._alt()} {self.say.word('alt_lettered', words=self.board.lettered())}"
        )

    def _bar(self, left: float, right: float, top: float, bottom: float, width: float, fill: Fill, part: str = "") -> None:
        (x1, y1), (x2, y2) = self.at(left, top), self.at(right, bottom)
        self.board.draw(rectangle(x1, y1, x2, y2, width=width, fill=fill, part=part))

    def _line(self, *places: Point, width: float, part: str = "") -> None:
        self.board.draw(Path(tuple(self.at(x, h) for x, h in places), width, part=part))

    def _ground(self) -> None:
        self._bar(-self.half, self.half, 0.0, -2.0 / self.per, 0.0, "hatch")
        self._line((-self.half, 0.0), (self.half, 0.0), width=0.5, part="ground")

    def _body(self) -> None:
        """Deck and body, with the highest thing below each side."""
        left, right, deck, reach = self.edges["left"], self.edges["right"], self.known.deck.si, self.reach
        low, wheel = min(0.9, deck * 0.4), min(0.5, deck * 0.2)
        for x in (-reach + 0.3, reach - 0.3):
            self.board.draw(rectangle(*self.at(x - 0.15, wheel * 2), *self.at(x + 0.15, 0.0), width=0.3, fill="grey"))
        high = deck - min(0.35, (deck - low) * 0.3)
        body = ((left, deck), (right, deck), (reach, high), (reach, low), (-reach, low), (-reach, high))
        self.board.draw(Path(tuple(self.at(x, h) for x, h in body), 0.3, fill="white", closed=True))
        self._line((left, deck), (right, deck), width=1.0, part="deck")
        for name, way in SIDES.items():
            side = self._side(name)
            height = None if side is None or side.stopped_by else side.lower.height
            if height is not None and height.si > 0.05:
                self._line((way * (reach - 0.05), height.si), (way * (reach + 0.55), height.si), width=0.7, part=f"below-{name}")

    def _rail_and_line(self) -> None:
        x, under, board = self.rail, self.known.under.si, self.board
        px, py = self.at(x, under)
        for top, bottom, half in ((-3.4, -2.7, 1.6), (-2.7, -0.7, 0.4), (-0.7, 0.0, 1.6)):
            board.draw(rectangle(px - half, py + top, px + half, py + bottom, width=0.0, fill="black"))
        below = self.bay.rail.line_exit_below_rail
        exit_ = under - (0.3 if below is None else below.si)
        board.draw(rectangle(px - 1.2, py, px + 1.2, -exit_ * self.per, width=0.25, fill="grey", part="device"))
        ring = self.known.deck.si + self.known.ring.si
        limbs, head = at_the_edge(x + 0.14, self.known.deck.si, x, self.known.ring.si)
        width = max(0.15 * self.per, 0.9)
        for limb in limbs:
            self.board.draw(Path(tuple(self.at(a, h) for a, h in limb), width))
        board.draw(circle(*self.at(*head), max(0.12 * self.per, 0.8), width=0.0, fill="black"))
        self._line((x, exit_), (x, ring), width=0.5, part="line")
        board.draw(circle(*self.at(x, ring), 0.9, fill="white", width=0.4, part="ring"))

    def _ladder(self) -> None:
        """Rails and rungs up to the deck, and the red mark on a post beside them."""
        if self.ladder is None:
            return
        deck, x, way = self.known.deck.si, self.ladder, 1.0 if self.ladder > 0 else -1.0
        for out in (-0.2, 0.2):
            self._line((x + out, 0.0), (x + out, deck), width=0.3, part="ladder")
        for n in range(1, int(deck / 0.3)):
            self._line((x - 0.2, n * 0.3), (x + 0.2, n * 0.3), width=THIN)
        mark = self.known.mark
        if mark is not None and 0 < mark.si <= deck:
            self._bar(x - 0.45, x + 0.45, mark.si + 0.07, mark.si - 0.07, 0.0, "black", "red-mark")
            self._line((x + way * 0.45, 0.0), (x + way * 0.45, mark.si), width=THIN)

    def _words(self) -> None:
        say, deck, em = self.say, self.known.deck.si, LETTERS * POINT
        side = 1.0 if self.ladder is None or self.ladder < 0 else -1.0  # the ladder has its own words on its side
        words: list[tuple[Point, float, str]] = [
            ((self.rail, self.known.under.si + 0.1), side, say.word("bay_rail")),
            ((self.rail, (self.known.under.si + deck + self.known.ring.si) / 2), side, say.word("bay_line")),
            ((self.rail, deck + self.known.ring.si), side, say.word("bay_ring")),
        ]
        edge = self.edges["right" if side > 0 else "left"]
        words.append(((edge, deck), side, say.word("bay_deck", value=say.near(self.known.deck))))
        for name, way in SIDES.items():
            low = self._side(name)
            if low is None or low.stopped_by or low.lower.height is None or low.lower.what is None or way != side:
                continue
            text = say.word("lower", what=low.lower.what, value=say.near(low.lower.height))
            words.append(((way * (self.reach + 0.4), low.lower.height.si), way, text))
        mark = self.known.mark
        if self.ladder is not None:
            words.append(((self.ladder, deck * 0.96), -side, say.word("bay_ladder")))
            if mark is not None and 0 < mark.si <= deck:
                words.append(((self.ladder, mark.si), -side, say.word("bay_mark", value=say.need(mark))))
        self._labels([w for w in words if w[1] > 0], em)
        self._labels([w for w in words if w[1] < 0], em)

    def _labels(self, words: list[tuple[Point, float, str]], em: float) -> None:
        """Words in a column beside the picture, from the top, each with a thin line to what it names."""
        last = -1e9
        for (x, height), way, text in sorted(words, key=lambda w: -w[0][1]):
            px, py = self.at(x, height)
            lines = fitted(text, 46 / em, 2)
            tall = len(lines) * em * 1.2
            y = max(py, last + tall / 2 + 0.8)
            last = y + tall / 2
            start = way * (self.half * self.per + 5)
            self.board.draw(Path(((px, py), (start - way * 3.5, y), (start - way * 1.0, y)), THIN), under=True)
            anchor: Anchor = "start" if way > 0 else "end"
            self.board.letter(start, y, lines, size=LETTERS, anchor=anchor)

    def _alt(self) -> str:
        say, mark = self.say, self.known.mark
        text = say.word(
            "alt_bay",
            bay=self.bay.name,
            vehicle=self.vehicle.name,
            deck=say.near(self.known.deck),
            rail=say.near(self.known.under),
        )
        return text if mark is None else f"{text} {say.word('alt_bay_mark', value=say.need(mark))}"
