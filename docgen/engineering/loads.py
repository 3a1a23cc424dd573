"""What the loads of a system are worked out from: the peak of one arrest, the steepest line, the persons, the case of two users."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from docgen.calc import clearance
from docgen.engineering.ladder import Ladder
from docgen.engineering.model import Case, computed
from docgen.engineering.sheet import Sheet
from docgen.limits import no_noise
from docgen.site import Quantity, Site, System
from docgen.site.equipment import LoadCase
from docgen.trade.practice import practice

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = [
    "asked_by",
    "assumed_peak",
    "corner_angle",
    "kept_of_two",
    "peak_force",
    "persons",
    "second_case",
    "stated_peak",
    "widest",
]


def persons(system: System) -> int:
    """For how many people the anchorage must be strong: those who may be attached, or those whom it was designed for if they are more."""
    return max(system.climbers_at_once or 1, system.anchorage.designed_for_users or 1)


def stated_peak(site: Site, system: System) -> Quantity | None:
    """The highest peak force among the devices, that on the ladder included; None where one of them states none."""
    devices = site.arresting(system)
    peaks = [d.arrest_force_peak for d in devices if d.arrest_force_peak is not None]
    return max(peaks, key=lambda q: q.si) if peaks and len(peaks) == len(devices) else None


def asked_by(site: Site, law: Law, usual: str) -> float:
    """A figure of the trade in SI, in the form of the units that the site prints first."""
    return practice(usual, site.site.units or law.units, site.country).si


def assumed_peak(site: Site, law: Law) -> float:
    """Peak force of a device that states none, in N: the law's maximum; where the law names none, that of the trade."""
    figure = law.figure("arrest_force_max")
    return asked_by(site, law, "peak_unstated") if figure is None else figure


def peak_force(site: Site, system: System, law: Law) -> float:
    """Peak force of one arrest in N: the highest stated, or what is assumed where one is unstated; never an average."""
    stated = stated_peak(site, system)
    return assumed_peak(site, law) if stated is None else stated.si


def _allowed(system: System, cases: Iterable[Case]) -> list[Case]:
    return [c for c in cases if c.bay == system.bay and c.permission == "allowed"]


def corner_angle(system: System, cases: Iterable[Case], climb: Ladder | None) -> Quantity | None:
    """The steepest line of the allowed cases of the bay and of the climb up its ladder after tolerances; None where one of the cases has none."""
    angles = [c.line_angle_worst for c in _allowed(system, cases)]
    known = [a for a in angles if a is not None]
    if not known or len(known) < len(angles):
        return None
    on_ladder = None if climb is None else computed(f"bays[{system.bay}].ladder.angle_worst", climb.angle_worst, "angle")
    return max([*known, on_ladder] if on_ladder is not None else known, key=lambda q: q.si)


def widest(system: System, cases: Iterable[Case]) -> Quantity | None:
    """How far from under the trolley the D-ring gets in the allowed cases of the bay, after tolerances; None where one is not computed."""
    offsets = [c.offset_worst for c in _allowed(system, cases)]
    known = [o for o in offsets if o is not None]
    return max(known, key=lambda q: q.si) if known and len(known) == len(offsets) else None


def second_case(system: System) -> LoadCase | None:
    """The load case of one who hangs and one who falls: the one that bends the rail most, of those with load and deflection."""
    worked = [(c.deflection.si, c) for c in system.load_cases if c.deflection is not None and c.load is not None]
    return max(worked, key=lambda pair: pair[0])[1] if worked else None


def kept_of_two(case: Case, deflection: float, sheet: Sheet) -> float | None:
    """What a case keeps of its margin in its worst corner, the rail bent so far by one who hangs and one who falls; lengths in m.

    Two never bend it less than one. None where the case has no such corner.
    """
    one = clearance.required_below_surface.formula
    corner = next((s for s in case.corner_steps if s.what == "clearance" and s.rule is one), None)
    if corner is None or case.available_worst is None or case.margin_term is None:
        return None
    terms = {name: value for name, value in corner.values.items() if isinstance(value, float)}
    terms["deflection"] = max(terms["deflection"], deflection)
    need = sheet.run(clearance.required_below_surface, **terms)
    left = sheet.run(clearance.clearance_margin, available=case.available_worst.si, required=need)
    return no_noise(sheet.run(clearance.kept_margin, margin=case.margin_term.si, left_over=left))
