"""Findings on shifts: who watches, who rescues, who gives first aid, who opens the gate."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.engineering.model import RescueRow
from docgen.engineering.rescues import detection_time
from docgen.findings.common import overdue
from docgen.findings.model import Value
from docgen.findings.rule import ALL, PLAN, RESCUE, finding
from docgen.findings.view import Hit, View, up
from docgen.limits import over
from docgen.site import Rescuer, Shift

__all__ = [
    "detection_alone_over",
    "detection_missing",
    "first_aider_gap",
    "gate_at_night",
    "lone_work",
    "rescuer_is_climber",
    "rescuer_practical_never",
    "rescuer_practical_overdue",
    "rescuers_too_few",
    "shift_persons_unstated",
    "shifts_missing",
]


def _climbing(view: View) -> tuple[Shift, ...]:
    return tuple(s for s in view.site.shifts if s.climbing)


@finding("shifts-missing", "must-fix", documents=(PLAN, RESCUE))
def shifts_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether any shift is listed.

    Why: rescue, watch and first aid are proven shift by shift. Example: allowed tasks and no shift. Reference: common
    practice.
    """
    if view.allowed and not _climbing(view):
        yield Hit("shifts")


def _name(shift: Shift) -> str:
    return shift.name or shift.id


@finding("lone-work", "must-fix", documents=ALL, basis="law:lone_work")
def lone_work(view: View) -> Iterator[Hit]:
    """What it looks at: the smallest roster of a climbing shift.

    Why: a person who hangs alone is found too late. Example: one person on the night shift. Reference: common
    practice; sources differ on whether a radio suffices.
    """
    for shift in _climbing(view):
        if shift.min_persons is not None and shift.min_persons < 2:
            yield Hit(f"{shift.path}.min_persons", {"shift": _name(shift), "persons": shift.min_persons})


@finding("shift-persons-unstated", "fix-soon", documents=(PLAN, RESCUE))
def shift_persons_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: climbing shifts without a smallest roster.

    Why: whether someone works alone is open. Example: min_persons left out. Reference: common practice.
    """
    for shift in _climbing(view):
        if shift.min_persons is None:
            yield Hit(f"{shift.path}.min_persons", {"shift": _name(shift)})


@finding("detection-missing", "must-fix", documents=(RESCUE,))
def detection_missing(view: View) -> Iterator[Hit]:
    """What it looks at: how a fall becomes known on a climbing shift.

    Why: the clock starts at the fall, not at the alarm. A continuous watch counts only with someone named who keeps
    it. Example: watch: none. Reference: common practice.
    """
    for shift in _climbing(view):
        if detection_time(shift) is None:
            yield Hit(shift.watch.path, {"shift": _name(shift)})


@finding("detection-alone-over", "must-fix", documents=(RESCUE,))
def detection_alone_over(view: View) -> Iterator[Hit]:
    """What it looks at: the worst time until a fall is known against the limit for contact.

    Why: no method can make it up. Example: radio check every 10 min, limit 6 min. Reference: common practice;
    ANSI/ASSE Z359.2-2007 goal (memory).
    """
    limit = view.site.rescue.contact_limit.value
    for shift in _climbing(view):
        seen = detection_time(shift)
        if limit is not None and seen is not None and over(seen, limit.si):
            yield Hit(
                f"{shift.watch.path}.interval",
                {"shift": _name(shift), "detection": up(seen, "time"), "limit": up(limit)},
            )


@finding("first-aider-gap", "must-fix", documents=(RESCUE,), basis="law:first_aid")
def first_aider_gap(view: View) -> Iterator[Hit]:
    """What it looks at: first aiders on a climbing shift against the arrival of outside help.

    Why: minutes count after a fall. Example: none on the night shift, ambulance 11 min away. Reference: OSHA letter on
    1910.151(b) of 2007-01-16.
    """
    near_by = view.binding.ask("first_aid_time_serious").figure  # an authority's advice counts: it says what is near enough
    arrival = view.site.rescue.external.arrival
    covered = near_by is not None and arrival is not None and not over(arrival.si, near_by)
    for shift in _climbing(view):
        if not shift.first_aiders and not covered:
            yield Hit(f"{shift.path}.first_aiders", {"shift": _name(shift)})


@finding("gate-at-night", "must-fix", documents=(RESCUE,))
def gate_at_night(view: View) -> Iterator[Hit]:
    """What it looks at: shifts on which nobody is at the gate, and how help gets in then.

    Why: an ambulance stands outside. Example: north gate locked, no key on shift C. Reference: common practice.
    """
    for shift in _climbing(view):
        if shift.gate_attended is False and view.site.site.gate.night_access is None:
            yield Hit(f"{shift.path}.gate_attended", {"shift": _name(shift)})


def _rows_by_shift(view: View) -> Iterator[tuple[Shift, list[tuple[int, int, RescueRow]]]]:
    """Rescuers needed, rescuers there, and the row, of each shift with climbers."""
    for shift in _climbing(view):
        rows = [
            (r.persons_needed, r.persons_there or 0, r)
            for r in view.rescues
            if r.shift == shift.id and r.kind != "outside" and r.persons_needed is not None and not r.closed
        ]
        if rows:
            yield shift, rows


def _listed(view: View, row: RescueRow) -> list[Rescuer]:
    return [r for r in view.site.people.rescuers if row.shift in r.shifts and view.site.practised(r, row.method)]


def _short(view: View, climber: bool) -> Iterator[Hit]:
    """Shifts on which no on-site method has its rescuers: too few are listed, or they are the climbers."""
    for shift, rows in _rows_by_shift(view):
        if any(there >= needed for needed, there, _ in rows):
            continue
        needed, there, row = min(rows, key=lambda r: (r[0] - r[1], r[2].method))
        listed = len(_listed(view, row))
        if (listed >= needed) is climber:
            method = next(m for m in view.site.rescue.methods if m.id == row.method)
            values: dict[str, Value] = {
                "shift": _name(shift),
                "method": method.name,
                "need": needed,
                "have": there,
                "listed": listed,
            }
            yield Hit(shift.path, values)


@finding("rescuers-too-few", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def rescuers_too_few(view: View) -> Iterator[Hit]:
    """What it looks at: rescuers on each shift against the persons a method takes.

    Why: a method without people is none. Example: shift C has one, M2 needs two. Reference: 29 CFR 1910.140(c)(21)
    (memory).
    """
    yield from _short(view, climber=False)


@finding("rescuer-is-climber", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def rescuer_is_climber(view: View) -> Iterator[Hit]:
    """What it looks at: rescuers who are also the people up there.

    Why: the climber does not rescue himself. Example: two rescuers on the shift, both of them its only users.
    Reference: common practice.
    """
    yield from _short(view, climber=True)


@finding("rescuer-practical-overdue", "fix-soon", documents=(RESCUE,), stops="use")
def rescuer_practical_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: each rescuer's last hands-on practice.

    Why: rope work is forgotten within a year. On the due day nothing is overdue. Example: last practical 2024-11.
    Reference: common practice, 12 months.
    """
    for due in overdue(view, "rescue-practical"):
        yield Hit(
            due.path,
            {"rescuer": due.id, "last": due.last, "interval": due.interval, "due": due.due},
        )


@finding("rescuer-practical-never", "fix-soon", documents=(RESCUE,), stops="use")
def rescuer_practical_never(view: View) -> Iterator[Hit]:
    """What it looks at: rescuers without any hands-on practice on record.

    Why: they are counted on. Example: no rescue-practical in the log. Reference: common practice.
    """
    for rescuer in view.site.people.rescuers:
        if view.happened.practical_of(rescuer.id) is None:
            yield Hit(rescuer.path, {"rescuer": rescuer.id})
