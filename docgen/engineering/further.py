"""Figures beside the cases, for information: anchorage demand, lock-up, energy, the climb up the ladder, user mass.

None of them decides whether a case passes; each keeps its working, so that an engineer can repeat it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from docgen.calc import CalcError, anchorage, arrest, climb, lanyard, population
from docgen.engineering.model import Case, Further, Working, computed
from docgen.engineering.sheet import Sheet
from docgen.site import Part, Quantity, Site, System
from docgen.trade.practice import practice

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = ["all_further", "mass_shares"]


def all_further(site: Site, law: Law, cases: tuple[Case, ...]) -> tuple[Further, ...]:
    """One record a system, in profile order."""
    return tuple(_further(site, law, system, cases) for system in site.systems)


def _further(site: Site, law: Law, system: System, cases: tuple[Case, ...]) -> Further:
    path = f"further[{system.id}]"
    sheet = Sheet(path)
    devices = site.parts(system.parts, "srd")
    lanyards = site.parts(system.parts, "lanyard")
    needed, by = _anchorage(law, system, devices, sheet)
    lock = sheet.run(arrest.lock_distance, lock_speed=_usual("lock_speed"), line_angle=0.0) if devices else None
    least = _least_arrest(site, devices, lock, sheet)
    fall, need = _lanyard(law, system, lanyards, cases, sheet)
    height = _climb(system, cases, sheet)
    return Further(
        path=path, id=system.id, bay=system.bay, anchorage_by=by, lanyards=tuple(p.id for p in lanyards),
        anchorage_needed=computed(f"{path}.anchorage_needed", needed, "force"), lock_distance=computed(f"{path}.lock_distance", lock, "length"),
        least_arrest=computed(f"{path}.least_arrest", least, "length"), climb_height=computed(f"{path}.climb_height", height, "length"),
        lanyard_fall=computed(f"{path}.lanyard_fall", fall, "length"), lanyard_need=computed(f"{path}.lanyard_need", need, "length"),
        inputs=tuple(sheet.inputs), working=sheet.working(),
    )  # fmt: skip


def _usual(name: str) -> float:
    """A measure of the trade, in SI."""
    figure = practice(name)
    if figure.si is None:
        raise TypeError(f"{name} is an interval of the calendar; a calculation takes measures")
    return figure.si


def _anchorage(law: Law, system: System, devices: tuple[Part, ...], sheet: Sheet) -> tuple[float | None, str | None]:
    """Strength that the anchorage must show: so much for each person, or a factor on the peak arrest force."""
    users = system.anchorage.designed_for_users or system.climbers_at_once
    if not users or not devices:
        return None, None
    if system.anchorage.basis == "rated-per-user":
        per_user = law.ask("anchorage_per_user").figure
        if per_user is None:
            return None, None
        return sheet.run(anchorage.prescriptive_load, users=users, per_user=per_user), "rated-per-user"
    if system.anchorage.basis == "engineered":
        factor = law.ask("anchorage_factor").figure or system.anchorage.design_factor
        stated = [d.arrest_force_peak for d in devices if d.arrest_force_peak is not None]
        known = len(stated) == len(devices)
        force = max(sheet.use(q) for q in stated) if known else law.ask("arrest_force_max").figure
        if force and factor:
            return sheet.run(anchorage.engineered_load, arrest_force=force, users=users, factor=factor), "engineered"
    return None, None


def _least_arrest(site: Site, devices: tuple[Part, ...], lock: float | None, sheet: Sheet) -> float | None:
    """Shortest arrest distance that physics allows at the stated average force and the posted limit."""
    forces = [d.arrest_force_average for d in devices if d.arrest_force_average is not None]
    if not forces or site.limits.upper.value is None or not lock:
        return None
    force, mass = max(sheet.use(q) for q in forces), sheet.use(site.limits.upper.value)
    try:
        return sheet.run(arrest.arrest_distance_lower_bound, lock_distance=lock, mass=mass, force=force)
    except CalcError:
        return None


def _lanyard(
    law: Law, system: System, lanyards: tuple[Part, ...], cases: tuple[Case, ...], sheet: Sheet
) -> tuple[float | None, float | None]:
    """Free fall and need below the surface of the longest lanyard at the lowest tie-off that a case has: for a reviewer, not a pass."""
    known = [(c.height, c) for c in cases if c.bay == system.bay and c.permission == "allowed" and c.height is not None]
    lengths = [(p.line_length, p) for p in lanyards if p.line_length is not None]
    if not known or not lengths:
        return None, None
    length, long = max(lengths, key=lambda pair: pair[0].si)
    height, lowest = min(known, key=lambda pair: pair[0].si)
    fall = sheet.run(lanyard.free_fall, lanyard_length=sheet.use(length), anchor_above_d_ring=height.si)
    stated = long.deceleration_distance
    slowing = sheet.use(stated) if stated is not None else law.ask("deceleration_distance_max").figure
    if slowing is None or lowest.stretch is None or lowest.margin_term is None:
        return fall, None
    need = sheet.run(
        lanyard.required_below_surface, free_fall=fall, deceleration=slowing, stretch=lowest.stretch.si, margin=lowest.margin_term.si,
        deflection=_si(lowest.deflection), swing=_si(lowest.swing_drop),
    )  # fmt: skip
    return fall, need


def _si(quantity: Quantity | None) -> float:
    return quantity.si if quantity is not None else 0.0


def _climb(system: System, cases: tuple[Case, ...], sheet: Sheet) -> float | None:
    """Elevation of the feet on the ladder below which an arrest does not end above the datum with the margin kept."""
    known = [
        (c, c.offset) for c in cases
        if c.bay == system.bay and c.permission == "allowed" and c.required is not None and c.offset is not None
    ]  # fmt: skip
    if not known:
        return None
    widest, offset = max(known, key=lambda pair: pair[1].si)
    ring = next((c for c, _ in known if c.posture == "standing"), widest).ring
    line_exit, arrest_distance, stretch, margin = widest.line_exit, widest.arrest_distance, widest.stretch, widest.margin_term
    if line_exit is None or ring is None or arrest_distance is None or stretch is None or margin is None:
        return None
    try:
        return sheet.run(
            climb.protected_height, line_exit=line_exit.si, d_ring_standing=ring.si, lower_level=0.0, arrest_distance=arrest_distance.si,
            stretch=stretch.si, deflection=_si(widest.deflection), margin=margin.si, offset=offset.si,
        )  # fmt: skip
    except CalcError:
        return None


def mass_shares(site: Site, path: str = "mass") -> tuple[tuple[str, float, Working], ...]:
    """For each published population its share above the body mass that the posted limit admits: an estimate by a model.

    (name of the population in practice.yaml, share from 0 to 1, working). Empty without a posted limit, and where clothing, harness and
    tools alone reach it.
    """
    if site.limits.upper.value is None:
        return ()
    sheet = Sheet(path)
    threshold = sheet.use(site.limits.upper.value) - _usual("mass_allowance")
    if threshold <= 0:
        return ()
    spread = _usual("mass_spread")
    found = []
    for name in ("mass_us_men", "mass_us_women", "mass_us_male_drivers"):
        share = sheet.run(population.share_over, threshold=threshold, mean=_usual(name), cv=spread)
        found.append((name, share, sheet.working()[-1]))
    return tuple(found)
