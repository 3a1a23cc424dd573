"""Findings on rescue drills: overdue, never held, never on the hardest case or at night, slower than the plan."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.findings.common import most_first, overdue
from docgen.findings.rule import RESCUE, finding
from docgen.findings.view import Hit, View, near, up
from docgen.limits import over
from docgen.site import Drill

__all__ = ["drill_beats_paper", "drill_never", "drill_night_never", "drill_overdue", "drill_worst_case_never"]


@finding("drill-overdue", "fix-soon", documents=(RESCUE,), stops="use")
def drill_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: the last drill and its interval.

    Why: times on paper are guesses until someone runs them. On the due day nothing is overdue. Example: last
    2025-01-15. Reference: common practice, at least one a year.
    """
    for due in overdue(view, "drill"):
        yield Hit(due.path, {"last": due.last, "interval": due.interval, "due": due.due})


@finding("drill-never", "fix-soon", documents=(RESCUE,), stops="use")
def drill_never(view: View) -> Iterator[Hit]:
    """What it looks at: whether any drill was ever held.

    Why: times on paper are guesses until someone runs them. Example: methods and no drill. Reference: common practice.
    """
    if any(m.kind != "outside" for m in view.site.rescue.methods) and not any(d.on is not None for d in view.site.rescue.drills):
        yield Hit("rescue.drills")


def _drilled(view: View) -> list[Drill]:
    return [d for d in view.site.rescue.drills if d.on is not None]


@finding("drill-worst-case-never", "fix-soon", documents=(RESCUE,))
def drill_worst_case_never(view: View) -> Iterator[Hit]:
    """What it looks at: whether the highest hang was ever drilled.

    Why: the easy trailer by day proves little. Example: railcars never. Reference: common practice.
    """
    hangs = [c for c in view.allowed if c.hang_high is not None]
    if hangs and _drilled(view):
        worst = min(hangs, key=lambda c: most_first(c.hang_high))
        bay, vehicle = view.bays[worst.bay].name, view.vehicles[worst.vehicle].name
        if not any(d.vehicle == worst.vehicle for d in _drilled(view)):
            yield Hit("rescue.drills", {"bay": bay, "vehicle": vehicle, "height": near(worst.hang_high)})


@finding("drill-night-never", "fix-soon", documents=(RESCUE,))
def drill_night_never(view: View) -> Iterator[Hit]:
    """What it looks at: whether a night shift with climbing ever drilled.

    Why: fewer people and no light change the times. Example: shift C never. Reference: common practice.
    """
    for shift in view.site.shifts:
        if shift.climbing and shift.night and _drilled(view) and not any(d.shift == shift.id for d in _drilled(view)):
            yield Hit(shift.path, {"shift": shift.name or shift.id})


@finding("drill-beats-paper", "fix-soon", documents=(RESCUE,))
def drill_beats_paper(view: View) -> Iterator[Hit]:
    """What it looks at: drill times against the planned ones of the same method and shift.

    Why: the measured time is the truth. Example: drill 9.0 min, planned 8.5. Reference: common practice.
    """
    methods = {m.id: m for m in view.site.rescue.methods}
    for drill in view.site.rescue.drills:
        for row in view.rescues:
            if (
                (row.method, row.shift, row.vehicle) != (drill.method, drill.shift, drill.vehicle)
                or drill.ground is None
                or row.detection is None
                or not row.timings
            ):
                continue
            planned = next(t.finish.si for t in row.timings if t.id == methods[row.method].ground_step)
            if over(drill.ground.si + row.detection.si, planned):
                values = {
                    "drill": drill.id,
                    "method": methods[row.method].name,
                    "measured": up(drill.ground),
                    "planned": up(planned, "time"),
                }
                yield Hit(f"{drill.path}.ground", values)
            break
