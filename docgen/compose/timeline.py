"""Timeline of one rescue: the steps of each person on a clock that starts at the fall, against the two limits."""

from __future__ import annotations

from math import ceil

from docgen.compose.board import Board
from docgen.compose.drawing import POINT, Drawing, Fill, Path, PathLook, rectangle
from docgen.compose.lettering import fitted, text_width
from docgen.compose.say import Say
from docgen.compose.scales import WIDEST
from docgen.engineering.model import RescueRow
from docgen.site import Quantity, Site

__all__ = ["method_said", "timeline"]

LANE, BAR = 5.0, 3.6  # mm, height of a person's lane and of a bar in it
NAMES = 32.0  # mm, most that the names of the persons take
TICKS = (0.5, 1, 2, 5, 10, 20, 30, 60, 120, 240, 480)  # minutes
LETTERS = 7.0


def timeline(row: RescueRow, site: Site, say: Say) -> Drawing | None:
    """The drawing, or None where the steps of this method could not be timed."""
    if not row.timings or row.contact is None or row.ground is None:
        return None
    return _Timeline(row, row.contact, row.ground, method_said(row, site), say).drawing()


def method_said(row: RescueRow, site: Site) -> str:
    """Number and name of the method of a row, by which all papers call it; its id where the site has none."""
    found = next(((n, m.name) for n, m in enumerate(site.rescue.methods, 1) if m.id == row.method), None)
    return row.method if found is None else f"{found[0]}: {found[1]}"


class _Timeline:
    def __init__(self, row: RescueRow, contact: Quantity, ground: Quantity, method: str, say: Say) -> None:
        self.row, self.contact, self.ground, self.method, self.say = row, contact, ground, method, say
        self.board = Board()
        people = dict.fromkeys(name for step in row.timings for name in (step.who or ("",)))
        self.lanes = {name: index for index, name in enumerate(people)}
        self.detection = 0.0 if row.detection is None else row.detection.si
        self.detected = self.detection > 0
        if self.detected:
            self.lanes = {name: index + 1 for name, index in self.lanes.items()}
        self.count = len(people) + self.detected
        marks = (row.contact, row.ground, row.contact_limit, row.ground_limit)
        self.last = max([q.si for q in marks if q is not None] + [t.finish.si for t in row.timings]) / 60
        em = LETTERS * POINT
        self.names = {name: fitted(self._name(name), NAMES / em, 2) for name in people}
        lines = [line for lines in self.names.values() for line in lines] + [say.word("detection")] * self.detected
        self.start = max(text_width(line) for line in lines) * em + 3
        self.per = (WIDEST - 3 - self.start - 9) / (self.last * 1.03)  # mm in a minute; room for lettering at the end

    def _name(self, key: str) -> str:
        return key.replace("-", " ") if key else self.say.word("nobody")

    def x(self, seconds: float) -> float:
        """Place of a moment across the sheet [mm]."""
        return self.start + seconds / 60 * self.per

    def drawing(self) -> Drawing:
        """Everything on its sheet."""
        self._lanes()
        self._marks()
        self._axis()
        self.board.note([self.say.word("note_timeline")], WIDEST - 6)
        return self.board.finish(f"timeline.{self.row.bay}.{self.row.vehicle}.{self.row.method}.{self.row.shift}", self._told())

    def _lanes(self) -> None:
        board, row = self.board, self.row
        end = self.x(self.last * 60 * 1.03)
        for index in range(self.count + 1):
            board.draw(Path(((0, index * LANE), (end, index * LANE)), 0.1))
        if self.detected:
            self._bar(0.0, self.detection, 0, "hatch", 0.3)
            board.letter(0, LANE / 2, [self.say.word("detection")], size=LETTERS)
        marks = [self.x(q.si) for q in (row.contact, row.ground, row.contact_limit, row.ground_limit) if q is not None]
        for name, lane in self.lanes.items():
            board.letter(0, (lane + 0.5) * LANE, self.names[name], size=LETTERS if len(self.names[name]) == 1 else 6.5)
        for number, step in enumerate(row.timings, 1):
            for name in step.who or ("",):
                lane = self.lanes[name]
                self._bar(
                    step.start.si, step.finish.si, lane, "grey" if step.critical else "white", 0.65 if step.critical else 0.2
                )
                middle = (self.x(step.start.si) + self.x(step.finish.si)) / 2
                y = (lane + 0.5) * LANE
                spots = [(middle, y)] + [(middle + i * way, y) for i in (2, 4, 6, 8, 10) for way in (1, -1)]
                spots.sort(key=lambda spot: min(abs(spot[0] - x) for x in marks) < 2)
                board.place(spots, [str(number)], halo=False, anchor="middle", size=8, bold=step.critical)

    def _bar(self, start: float, finish: float, lane: int, fill: Fill, width: float) -> None:
        middle = (lane + 0.5) * LANE
        shape = rectangle(self.x(start), middle - BAR / 2, self.x(finish), middle + BAR / 2, width=width, fill=fill, part="step")
        self.board.draw(shape)

    def _marks(self) -> None:
        """Contact and ground as reached (thin, with a point) and their limits (heavy, dashed), lettered above."""
        row, say, board = self.row, self.say, self.board
        marks = [("contact", row.contact, False), ("ground", row.ground, False)]
        marks += [("contact_limit", row.contact_limit, True), ("ground_limit", row.ground_limit, True)]
        given = sorted(((q.si, limit, key, q) for key, q, limit in marks if q is not None), key=lambda m: m[:3])
        for seconds, limit, key, quantity in given:
            x = self.x(seconds)
            show = say.have if limit else say.need
            words = [say.word(key, value=show(quantity))]
            half = text_width(words[0], limit) * LETTERS * POINT / 2 + 0.5
            middle = x + half + 0.8 if limit else x - half - 0.8
            middle = min(max(middle, half), WIDEST - 3 - half)
            box = board.place(
                [(middle, -3.6 - 3.4 * tier) for tier in range(8)], words, anchor="middle", bold=limit, size=LETTERS
            )
            look: PathLook = {"width": 0.6, "dash": "dashed"} if limit else {"width": 0.25}
            look["part"] = key
            board.draw(Path(((x, box[1]), (x, self.count * LANE + 1)), **look))
            if not limit:
                board.draw(Path(((x, 0), (x - 1, -1.8), (x + 1, -1.8)), 0.0, fill="black", closed=True))

    def _axis(self) -> None:
        board, y = self.board, self.count * LANE + 2.5
        board.draw(Path(((self.start, y), (self.x(self.last * 60 * 1.03), y)), 0.4, part="axis"))
        step = next((t for t in TICKS if t * self.per >= 9), TICKS[-1] * max(1, ceil(9 / (TICKS[-1] * self.per))))
        for index in range(int(self.last * 1.03 / step) + 1):
            x = self.x(index * step * 60)
            board.draw(Path(((x, y - 1), (x, y + 1)), 0.3))
            board.letter(x, y + 3, [f"{index * step:g}"], anchor="middle", size=LETTERS, part="minute")
        board.letter(0, y + 3, fitted(self.say.word("minutes"), (self.start - 3) / (LETTERS * POINT), 1), size=LETTERS)

    def _told(self) -> str:
        """The drawing in words: what it shows, then its lettering and its notes."""
        return " ".join([self._alt(), self.say.word("alt_lettered", words=self.board.lettered()), *self.board.notes])

    def _alt(self) -> str:
        row, say = self.row, self.say
        count = len(row.timings)
        steps = say.word("steps_one") if count == 1 else say.word("steps", n=str(count))
        critical = ", ".join(str(n) for n, t in enumerate(row.timings, 1) if t.critical)
        return say.word(
            "alt_timeline", method=self.method, steps=steps, contact=say.need(self.contact),
            contact_limit=self._limit(row.contact_limit), ground=say.need(self.ground), ground_limit=self._limit(row.ground_limit),
            critical=critical,
        )  # fmt: skip

    def _limit(self, quantity: Quantity | None) -> str:
        return self.say.word("no_limit") if quantity is None else self.say.have(quantity)
