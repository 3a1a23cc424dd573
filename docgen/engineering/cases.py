"""Every bay, vehicle, task, posture and fall side that the profile lists, each computed on its own.

No single "site calculation" exists: the lowest deck governs clearance, the tallest governs angle, swing and rescue
height, the widest or worst-parked governs offset. Prohibited cases are computed too, so that the ban shows its reason.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from docgen.engineering.model import Case
from docgen.engineering.onecase import one_case
from docgen.site import LowerLevel, Side, Site, Vehicle

__all__ = ["all_cases", "case_posture"]


def case_posture(postures: tuple[str, ...]) -> tuple[str, ...]:
    """Postures to compute: every kneeling or lying task is computed standing too, since people stand up."""
    listed = postures or ("standing",)
    return tuple(dict.fromkeys(("standing", *listed)))


def all_cases(site: Site, system: str) -> tuple[Case, ...]:
    """All cases in profile order, the governing one of each bay marked. `system` is us or si."""
    cases = []
    for task in site.tasks:
        bay, vehicle = site.bay(task.bay), site.vehicle(task.vehicle)
        if bay is None or vehicle is None:
            continue
        for posture in case_posture(task.postures):
            cases.extend(one_case(site, bay, vehicle, task, posture, side, system) for side in _sides(vehicle))
    return tuple(_mark_governing(cases))


def _sides(vehicle: Vehicle) -> Iterator[Side]:
    """The sides that a person can fall to; one side of which nothing is known where the profile lists none."""
    if vehicle.sides:
        yield from (s for s in vehicle.sides if s.stopped_by is None)
    else:
        path = f"{vehicle.path}.sides"
        yield Side(path=path, given=False, side="any", lower=LowerLevel(path=path, given=False))


def _mark_governing(cases: list[Case]) -> Iterator[Case]:
    """Name in each bay the allowed case that governs clearance, angle, swing and rescue height."""
    ranks = {
        "clearance": lambda c: None if c.margin is None else -(c.margin_worst or c.margin).si,
        "angle": lambda c: None if c.line_angle is None else c.line_angle.si,
        "swing": lambda c: None if c.swing_speed is None else c.swing_speed.si,
        "rescue-height": lambda c: None if c.hang_high is None else c.hang_high.si,
    }
    governs: dict[str, list[str]] = {}
    for bay in dict.fromkeys(c.bay for c in cases):
        for what, rank in ranks.items():
            ranked = [(rank(c), c.id) for c in cases if c.bay == bay and c.permission == "allowed" and rank(c) is not None]
            if ranked:
                best = max(r for r, _ in ranked)
                governs.setdefault(next(i for r, i in ranked if r == best), []).append(what)
    for case in cases:
        yield replace(case, governs=tuple(governs[case.id])) if case.id in governs else case
