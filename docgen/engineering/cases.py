"""Every bay, vehicle, task, posture and fall side that the profile lists, each computed on its own.

No single "site calculation" exists: the lowest deck governs clearance, the tallest governs angle, swing and rescue
height, the widest or worst-parked governs offset. Prohibited cases are computed too, so that the ban shows its reason.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from docgen.engineering.case import Subject, devices, one_case
from docgen.engineering.model import Case, Governed
from docgen.engineering.spread import spread
from docgen.limits import under
from docgen.site import Posture, Side, Site, Vehicle, record
from docgen.site.vehicles import Hatch, LowerLevel
from docgen.trade.practice import practice_beside

__all__ = ["all_cases", "case_posture", "fall_sides", "passes_person"]


@record
class HatchSide(Side):
    """A hatch as a side of its own: a fall into the tank."""

    @property
    def lower_at(self) -> str:
        """Where the profile gives the height of what a person lands on inside."""
        return f"{self.path}.lower"


def case_posture(postures: tuple[Posture, ...]) -> tuple[Posture, ...]:
    """Postures to compute: every kneeling or lying task is computed standing too, since people stand up."""
    standing: Posture = "standing"
    return tuple(dict.fromkeys((standing, *postures)))


def all_cases(site: Site, system: str) -> tuple[Case, ...]:
    """All cases in profile order, the governing one of each bay marked. `system` is us or si."""
    cases: list[Case] = []
    for task in site.tasks:
        bay, vehicle = site.bay(task.bay), site.vehicle(task.vehicle)
        if bay is None or vehicle is None:
            continue
        found = devices(site, bay)
        for posture in case_posture(task.postures):
            for side in fall_sides(vehicle, system):
                about = Subject(
                    site=site, bay=bay, vehicle=vehicle, task=task, posture=posture, side=side, devices=found, system=system
                )
                cases.append(one_case(about))
    return tuple(_mark_governing(cases))


def fall_sides(vehicle: Vehicle, system: str) -> tuple[Side | None, ...]:
    """The sides that a person can fall to, the worst hatch among them; None, a side of which nothing is known, where the profile lists none."""
    if not vehicle.sides and not vehicle.hatches:
        return (None,)
    open_ = [s for s in vehicle.sides if not s.stopped_by]
    shut = any(s.side == "hatch" and s.stopped_by.given for s in vehicle.sides)
    inside = [s for s in open_ if s.side == "hatch"]
    if not shut:
        inside += [_hatch(h) for h in vehicle.hatches if not h.stopped_by and passes_person(h, system)]
    outside = [s for s in open_ if s.side != "hatch"]
    worst = max(inside, key=lambda s: _highest(s, system), default=None)
    return (*outside, *((worst,) if worst is not None else ()), *(() if vehicle.sides else (None,)))


def passes_person(hatch: Hatch, system: str) -> bool:
    """Whether a person can fall through an opening; one whose size is not stated counts as one that does."""
    return hatch.size is None or not under(
        spread(hatch.size, "length", system)[0].high, practice_beside("person_opening", hatch.size.unit, system).si
    )


def _highest(side: Side, system: str) -> float:
    """How high what lies inside may be; what nobody measured stands above all."""
    return math.inf if side.lower.height is None else spread(side.lower.height, "length", system)[0].high


def _hatch(hatch: Hatch) -> Side:
    lower = LowerLevel(path=hatch.path, what=hatch.inside, height=hatch.lower, moves_with="vehicle")
    return HatchSide(path=hatch.path, side="hatch", stopped_by=hatch.stopped_by, lower=lower, edge_kind="hatch-ring")


def _clearance(case: Case) -> float | None:
    """The margin after tolerances with its sign turned: the smallest governs."""
    margin = case.margin if case.margin_worst is None else case.margin_worst
    return None if margin is None else -margin.si


def _angle(case: Case) -> float | None:
    return None if case.line_angle is None else case.line_angle.si


def _swing(case: Case) -> float | None:
    return None if case.swing_speed is None else case.swing_speed.si


def _rescue_height(case: Case) -> float | None:
    return None if case.hang_high is None else case.hang_high.si


#: What can govern, and the figure whose largest value does.
RANKS: tuple[tuple[Governed, Callable[[Case], float | None]], ...] = (
    ("clearance", _clearance),
    ("angle", _angle),
    ("swing", _swing),
    ("rescue-height", _rescue_height),
)


def _mark_governing(cases: list[Case]) -> Iterator[Case]:
    """Name in each bay the allowed case that governs clearance, angle, swing and rescue height."""
    governs: dict[str, list[Governed]] = {}
    for bay in dict.fromkeys(c.bay for c in cases):
        allowed = [c for c in cases if c.bay == bay and c.permission == "allowed"]
        for what, rank in RANKS:
            ranked = [(figure, c.id) for c in allowed if (figure := rank(c)) is not None]
            if ranked:
                # of equal figures the first
                _, first = max(ranked, key=lambda r: r[0])
                governs.setdefault(first, []).append(what)
    for case in cases:
        yield replace(case, governs=tuple(governs[case.id])) if case.id in governs else case
