"""What the record forms are filled in with: who is to be trained next, which rescue is to be practised, with its planned times, and what the
fire service is told of gate and file.

Nothing is judged here: due dates and the times of the plan are those of the assessment.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, get_args

from docgen.compose.contexts import SheetContext
from docgen.compose.today import SOON
from docgen.engineering.model import RescueRow
from docgen.happened import Happened
from docgen.site import Bay, Method, MethodStep, Quantity, Shift, Vehicle
from docgen.site.log import About, Letter
from docgen.site.people import Pair

__all__ = ["Case", "Clocked", "Forms", "GateOpened", "Trainee"]

Moment = Literal["fall", "call", "alarm", "contact", "hook", "ground", "step"]
#: So many people have a row on one sheet of the training record.
ROWS = 12


@dataclass(frozen=True, slots=True)
class Trainee:
    """One row of the training record: a person by id, or nobody yet."""

    id: str = ""


@dataclass(frozen=True, slots=True)
class Clocked:
    """One line of the clock: what is timed, the step where it is one, who does it, and when the plan has it done from the fall on."""

    moment: Moment
    step: MethodStep | None = None
    planned: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """The rescue to be practised: its hardest vehicle and bay, when it was last practised there, the pair whose turn it is, and the clock."""

    method: Method
    shift: Shift
    bay: Bay
    vehicle: Vehicle
    row: RescueRow
    last: date | None
    pair: Pair | None
    dark: bool
    clock: tuple[Clocked, ...]


@dataclass(frozen=True, slots=True)
class GateOpened:
    """How the gate opens for an ambulance, and which role opens it; `shifts` is empty where it is the same on all that climb."""

    shifts: tuple[str, ...]
    how: str
    by: str | None


class Forms:
    """The functions of one record form."""

    def __init__(self, context: SheetContext) -> None:
        self.context = context
        self.site, self.happened, self.assessed = context.inner.site, context.happened, context.assessed

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function."""
        return {name: getattr(self, name) for name in ("trainees", "to_practise", "gate_openings", "letters_of_help")}

    # --- training -------------------------------------------------------------------------------------------------------

    def trainees(self) -> list[Trainee]:
        """As many rows as one sheet has: first those whose training is overdue, was never held or falls due in the next 30 days."""
        last = self.assessed.as_of + SOON
        users = {user.id for user in self.site.people.users}
        due = [d.id for d in self.assessed.dues if d.what == "training" and d.id in users and (d.due is None or d.due <= last)]
        rows = [Trainee(key) for key in due[:ROWS]]
        return rows + [Trainee()] * (ROWS - len(rows))

    # --- rescue ---------------------------------------------------------------------------------------------------------

    def to_practise(self) -> Case | None:
        """The rescue whose turn it is: of each method and shift the hardest vehicle, and of these the one that was practised longest ago.

        What was never practised there comes first, then what serves whoever does not answer, then what takes longest by the plan, then what
        lies in the dark. A method that is
        closed in a bay, and one of others, is no case; bays that are closed come last.
        """
        shut = {state.bay for state in self.assessed.planned if state.shut}
        methods = {m.id: m for m in self.site.rescue.methods}
        hardest: dict[tuple[str, str], RescueRow] = {}
        for row in self.assessed.rescues:
            if row.kind == "outside" or row.closed or row.method not in methods:
                continue
            key = (row.method, row.shift)
            if key not in hardest or _hardness(row, shut) > _hardness(hardest[key], shut):
                hardest[key] = row
        cases = [case for (key, _), row in hardest.items() if (case := self._case(methods[key], row)) is not None]
        darkest = self.site.rescue.practice.darkest_shift
        order = sorted(
            cases,
            key=lambda c: (
                c.bay.id in shut, c.last or date.min, c.method.unconscious is False, -(c.row.ground.si if c.row.ground is not None else 0.0), c.shift.id != darkest,
            ),
        )  # fmt: skip
        return order[0] if order else None

    def _case(self, method: Method, row: RescueRow) -> Case | None:
        shift, bay, vehicle = self.site.shift(row.shift), self.site.bay(row.bay), self.site.vehicle(row.vehicle)
        if shift is None or bay is None or vehicle is None:
            return None
        drills = [d for d in self.happened.drills_of(method.id, shift.id, vehicle.id) if d.bay in (None, bay.id)]
        last = drills[-1].on if drills else None
        dark = self.site.rescue.practice.darkest_shift == shift.id
        return Case(method, shift, bay, vehicle, row, last, self._pair(shift), dark, self._clock(method, row))

    def _pair(self, shift: Shift) -> Pair | None:
        """The pair of a shift that practised longest ago."""
        return min(shift.pairs, key=lambda pair: _together(self.happened, pair), default=None)

    def _clock(self, method: Method, row: RescueRow) -> tuple[Clocked, ...]:
        """The fall, the emergency call and each step of a method, in the order in which the plan has them done; those without a time last."""
        finish = {timing.id: timing.finish for timing in row.timings}
        lines = [Clocked(_moment(method, step), step, finish.get(step.id)) for step in method.steps]
        if not any(line.moment == "call" for line in lines):
            lines.append(Clocked("call", None, self._called(row)))
        lines.sort(key=lambda line: line.planned.si if line.planned is not None else float("inf"))
        return (Clocked("fall"), *lines)

    def _called(self, row: RescueRow) -> Quantity | None:
        """When the plan has outside help called in the same place, or None."""
        for other in self.assessed.rescues:
            same = (other.bay, other.vehicle, other.shift) == (row.bay, row.vehicle, row.shift)
            method = next((m for m in self.site.rescue.methods if m.id == other.method), None)
            if same and other.kind == "outside" and method is not None:
                calls = {step.id for step in method.steps if "call" in step.does}
                return next((t.finish for t in other.timings if t.id in calls), None)
        return None

    # --- help from outside ----------------------------------------------------------------------------------------------

    def gate_openings(self) -> list[GateOpened]:
        """How the gate opens on the climbing shifts; shifts on which the same role opens it in the same way stand together."""
        climbing = {s.id: s.name or s.id for s in self.site.shifts if s.climbing}
        found: dict[tuple[str, str | None], list[str]] = {}
        for opening in self.site.site.gate.opens:
            if opening.how is not None and opening.shift in climbing:
                found.setdefault((opening.how, opening.by), []).append(climbing[opening.shift])
        return [GateOpened(() if set(names) == set(climbing.values()) else tuple(names), *key) for key, names in found.items()]

    def letters_of_help(self) -> list[Letter]:
        """The last letter of the agency that would come on each matter, in the order of the log's list of matters."""
        return [letter for about in get_args(About) if (letter := self.happened.letter(about)) is not None]


def _hardness(row: RescueRow, shut: set[str]) -> tuple[bool, float, float]:
    """An open bay before a closed one, then the longest way to the ground, then the highest ring."""
    ground, ring = row.ground, row.ring_need
    return (row.bay not in shut, ground.si if ground is not None else -1.0, ring.si if ring is not None else -1.0)


def _moment(method: Method, step: MethodStep) -> Moment:
    """What a step means on the clock; where it is more than one, what comes last."""
    if step.id == method.ground_step:
        return "ground"
    if "release" in step.does:
        return "hook"
    if step.id == method.contact_step:
        return "contact"
    if "alarm" in step.does:
        return "alarm"
    return "call" if "call" in step.does else "step"


def _together(happened: Happened, pair: Pair) -> date:
    """The last day on which a pair practised: a drill that names both, else the earlier of the last exercises of the two."""
    drills = [d.on for d in happened.drills_of() if d.on is not None and d.pair and {pair.one, pair.other} <= set(_words(d.pair))]
    alone = [entry.on if entry is not None and entry.on is not None else date.min
             for entry in (happened.practical_of(pair.one), happened.practical_of(pair.other))]  # fmt: skip
    return max([*drills, min(alone)])


def _words(text: str) -> list[str]:
    return text.replace(",", " ").split()
