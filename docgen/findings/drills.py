"""Findings on rescue drills: overdue, never held, never on the hardest case or at night, slower than the plan or the target."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from docgen.engineering.drills import Measured, last_of_each
from docgen.findings.common import most_first, overdue, terms
from docgen.findings.model import Value
from docgen.findings.rule import RESCUE, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.trade.practice import practice

__all__ = [
    "drill_beats_paper",
    "drill_interval_long",
    "drill_never",
    "drill_night_never",
    "drill_over_target",
    "drill_overdue",
    "drill_worst_case_never",
]


@finding("drill-overdue", "fix-soon", documents=(RESCUE,), stops="use")
def drill_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: the last drill and its interval.

    Why: times on paper are guesses until someone runs them. On the due day nothing is overdue. Example: last
    2025-01-15. Reference: common practice, at least one a year.
    """
    for due in overdue(view, "drill"):
        yield Hit(due.path, {"last": due.last, "interval": due.interval, "due": due.due})


@finding("drill-interval-long", "fix-soon", documents=(RESCUE,))
def drill_interval_long(view: View) -> Iterator[Hit]:
    """What it looks at: how often rescue is drilled, against the year that the trade takes.

    Why: hands forget what they do not do. Exactly a year is enough. Example: 24 months. Reference: common practice, at least one a year.
    """
    own, most = view.site.rescue.drill_interval, practice("drill_interval", view.system, view.site.country)
    start = date(2001, 1, 1)
    if own is not None and own.after(start) > most.interval.after(start):
        yield Hit("rescue.drill_interval", {"interval": own.text, "most": most.text})


@finding("drill-never", "fix-soon", documents=(RESCUE,), stops="use")
def drill_never(view: View) -> Iterator[Hit]:
    """What it looks at: whether any drill was ever held.

    Why: times on paper are guesses until someone runs them. Example: methods and no drill. Reference: common practice.
    """
    if any(m.kind != "outside" for m in view.site.rescue.methods) and not view.happened.drills_of():
        yield Hit("rescue.methods")


@finding("drill-worst-case-never", "fix-soon", documents=(RESCUE,))
def drill_worst_case_never(view: View) -> Iterator[Hit]:
    """What it looks at: whether the highest hang was ever drilled.

    Why: the easy trailer by day proves little. Example: railcars never. Reference: common practice.
    """
    hangs = [c for c in view.allowed if c.hang_high is not None]
    if hangs and view.happened.drills_of():
        worst = min(hangs, key=lambda c: most_first(c.hang_high))
        bay, vehicle = view.bays[worst.bay].name, view.vehicles[worst.vehicle].name
        if not view.happened.drills_of(vehicle=worst.vehicle):
            yield Hit("rescue.methods", {"bay": bay, "vehicle": vehicle, "height": near(worst.hang_high)})


@finding("drill-night-never", "fix-soon", documents=(RESCUE,))
def drill_night_never(view: View) -> Iterator[Hit]:
    """What it looks at: whether a night shift with climbing ever drilled.

    Why: fewer people and no light change the times. Example: shift C never. Reference: common practice.
    """
    for shift in view.site.shifts:
        drilled = view.happened.drills_of()
        if shift.climbing and shift.night and drilled and not any(d.shift == shift.id for d in drilled):
            yield Hit(shift.path, {"shift": shift.name or shift.id})


def _named(one: Measured) -> dict[str, Value]:
    return {
        "on": one.drill.on or NOT_STATED, "method": one.method.name, "measured": up(one.si, "time"), "goal": terms([f"to-{one.goal}"]),
    }  # fmt: skip


@finding("drill-beats-paper", "fix-soon", documents=(RESCUE,))
def drill_beats_paper(view: View) -> Iterator[Hit]:
    """What it looks at: the times of the last drill of each method, shift and vehicle against the planned ones.

    Why: the measured time is the truth, and the plan decides the paper. One that is over the target closes instead. Example:
    drill 9.0 min, planned 8.5. Reference: common practice.
    """
    for one in last_of_each(view.measured):
        if one.slower and not one.late:
            yield Hit(one.drill.path, _named(one) | {"planned": down(one.planned, "time")})


@finding("drill-over-target", "must-fix", documents=(RESCUE,), basis="law:rescue_duty", stops="use")
def drill_over_target(view: View) -> Iterator[Hit]:
    """What it looks at: the times of the last drill of each method, shift and vehicle against the targets.

    Why: nobody counts on a rescue that was shown to be too slow; it is closed for that vehicle on that shift until a repeat is within the
    target, and the bay only where nothing else serves (drill-leaves-gap). Exactly at the target is within. Example: drill 9.5 min, target 9 min. Reference: 29 CFR 1910.140(c)(21) (memory); common practice.
    """
    for one in last_of_each(view.measured):
        if one.late:
            shift = view.site.shift(one.drill.shift)
            vehicle = view.vehicles.get(one.drill.vehicle or "")
            names: dict[str, Value] = {
                "shift": (shift.name or shift.id) if shift else NOT_STATED, "vehicle": vehicle.name if vehicle else NOT_STATED,
                "bay": view.bays[one.bay].name, "target": down(one.target, "time"),
            }  # fmt: skip
            yield Hit(one.drill.path, _named(one) | names, about=view.bays[one.bay].path)
