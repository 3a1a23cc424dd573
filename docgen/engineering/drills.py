"""What drills measured against the plan and the targets of the profile: they change neither, they close or they are told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from docgen.engineering.model import RescueRow
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.limits import over
from docgen.site import Method
from docgen.site.log import Drill

__all__ = ["Goal", "Measured", "all_measured", "last_of_each"]

Goal = Literal["contact", "ground"]


@frozen
class Measured:
    """One time of a drill in seconds from the fall: the time by the watch after the time until a fall is known on that shift.

    `planned` and `target` are those of the profile, None where it gives none.
    """

    drill: Drill
    bay: str
    method: Method
    goal: Goal
    si: float
    planned: float | None
    target: float | None

    @property
    def slower(self) -> bool:
        """Whether it took longer than planned."""
        return self.planned is not None and over(self.si, self.planned)

    @property
    def late(self) -> bool:
        """Whether it took longer than the target; exactly at it is within."""
        return self.target is not None and over(self.si, self.target)


def all_measured(happened: Happened, rescues: Iterable[RescueRow]) -> tuple[Measured, ...]:
    """Each time of each drill of a row of today's plan, oldest drill first; a drill of what is no longer planned says nothing."""
    rows: dict[tuple[str, str, str], list[RescueRow]] = {}
    for row in rescues:
        rows.setdefault((row.method, row.shift, row.vehicle), []).append(row)
    methods = {m.id: m for m in happened.site.rescue.methods}
    found: list[Measured] = []
    for drill in happened.drills_of():
        for row in rows.get((drill.method, drill.shift or "", drill.vehicle or ""), ()):
            if drill.bay in (None, row.bay) and row.detection is not None:
                found += _goals(drill, row, methods[row.method], row.detection.si)
    return tuple(found)


def _goals(drill: Drill, row: RescueRow, method: Method, detection: float) -> Iterator[Measured]:
    planned = {t.id: t.finish.si for t in row.timings}
    goals: tuple[Goal, Goal] = ("contact", "ground")
    for goal in goals:
        taken, limit = getattr(drill, goal), getattr(row, f"{goal}_limit")
        step = method.contact_step if goal == "contact" else method.ground_step
        if taken is not None:
            target = limit.si if limit is not None else None
            yield Measured(drill, row.bay, method, goal, detection + taken.si, planned.get(step or ""), target)


def last_of_each(measured: Iterable[Measured]) -> tuple[Measured, ...]:
    """The last time to each goal of each bay, method, shift and vehicle: a repeat within the target opens what a late one closed.

    A repeat at which nobody took the time to a goal says nothing of it: what was late there stays closed.
    """
    last: dict[tuple[str, str, str | None, str | None, Goal], Measured] = {}
    for one in measured:
        last[one.bay, one.drill.method, one.drill.shift, one.drill.vehicle, one.goal] = one
    return tuple(last.values())
