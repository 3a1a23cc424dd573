"""What the log closes on a day, bay by bay: closed today, for the papers without a digest. No body sees it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Literal

from docgen.engineering.drills import all_measured, last_of_each
from docgen.engineering.model import Due, RescueRow
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.site import Bay

__all__ = ["ClosedToday", "Why", "closed_today"]

Why = Literal[
    "inspection-overdue",
    "part-failed",
    "part-tagged",
    "part-arrested",
    "practice-slow",
    "kit-not-whole",
    "check-overdue",
    "by-hand",
]

#: What is overdue: (what, whose) -> when.
Overdue = Mapping[tuple[str, str], Due]


@frozen
class ClosedToday:
    """One reason for which a bay is closed today. `what` is the part, kit or contact; `shift`, `method`, `vehicle` narrow it; None is all of them.

    `path` is where it was read: `log[mark]` of an entry, or the place in the profile; `text` is a reason written by hand.
    """

    bay: str
    why: Why
    path: str
    what: str = ""
    on: date | None = None
    shift: str | None = None
    method: str | None = None
    vehicle: str | None = None
    text: str | None = None


def closed_today(happened: Happened, dues: Iterable[Due], rescues: Iterable[RescueRow]) -> tuple[ClosedToday, ...]:
    """Every reason, bay by bay in the order of the profile."""
    overdue: Overdue = {(d.what, d.id): d for d in dues if d.due is not None and d.due < happened.as_of}
    rows = tuple(rescues)
    late = [m for m in last_of_each(all_measured(happened, rows)) if m.late]
    found: list[ClosedToday] = []
    for bay in happened.site.bays:
        found += _parts(happened, bay, overdue)
        found += _checks(happened, bay, overdue, rows)
        slow = {m.drill.mark: m.drill for m in late if m.bay == bay.id}
        for drill in slow.values():
            found.append(
                ClosedToday(bay.id, "practice-slow", drill.path, drill.method, drill.on, drill.shift, drill.method, drill.vehicle)
            )
        for closure in happened.closures:
            if closure.bay == bay.id:
                found.append(
                    ClosedToday(bay.id, "by-hand", closure.path, on=closure.on, shift=closure.shift, text=closure.reason)
                )
    return tuple(found)


def _parts(happened: Happened, bay: Bay, overdue: Overdue) -> Iterator[ClosedToday]:
    system = happened.site.system_of(bay.id)
    for part in happened.site.parts((*system.parts, *system.harnesses)) if system is not None else ():
        for stop in happened.stopped(part.id):
            yield ClosedToday(bay.id, "part-arrested" if stop.how == "arrested" else "part-tagged", stop.path, part.id, stop.on)
        look, due = happened.inspection_of(part.id), overdue.get(("inspection", part.id))
        if look is not None and not look.passed:
            yield ClosedToday(bay.id, "part-failed", look.path, part.id, look.on)
        if due is not None or (look is None and part.inspection.interval is not None):
            yield ClosedToday(bay.id, "inspection-overdue", f"{part.inspection.path}.interval", part.id, due.due if due else None)


def _checks(happened: Happened, bay: Bay, overdue: Overdue, rows: tuple[RescueRow, ...]) -> Iterator[ClosedToday]:
    methods = {r.method for r in rows if r.bay == bay.id}
    for kit in dict.fromkeys(k for m in happened.site.rescue.methods if m.id in methods for k in m.kits):
        seen = happened.kit_of(kit)
        if seen is not None and seen.whole is False:
            yield ClosedToday(bay.id, "kit-not-whole", seen.path, kit, seen.on)
    for (what, key), due in overdue.items():
        if what == "contact-test" or (what == "drill" and methods):
            yield ClosedToday(bay.id, "check-overdue", due.path, key, due.due)
