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
    from docgen.codes import Code

__all__ = ["all_further", "mass_shares"]


def all_further(site: Site, code: Code, cases: tuple[Case, ...]) -> tuple[Further, ...]:
    """One record a system, in profile order."""
    return tuple(_further(site, code, system, cases) for system in site.systems)


def _further(site: Site, code: Code, system: System, cases: tuple[Case, ...]) -> Further:
    path = f"further[{system.id}]"
    sheet = Sheet(path)
    devices = site.parts(system.parts, "srd")
    lanyards = site.parts(system.parts, "lanyard")
    values: dict[str, Quantity | None] = {}
    needed, by = _anchorage(code, system, devices, sheet)
    values["anchorage_needed"] = computed(f"{path}.anchorage_needed", needed, "force")
    lock = sheet.run(arrest.lock_distance, lock_speed=practice("lock_speed").si, line_angle=0.0) if devices else None
    values["lock_distance"] = computed(f"{path}.lock_distance", lock, "length")
    values["least_arrest"] = computed(f"{path}.least_arrest", _least_arrest(site, devices, lock, sheet), "length")
    values["lanyard_fall"], values["lanyard_need"] = _lanyard(path, code, system, lanyards, cases, sheet)
    values["climb_height"] = computed(f"{path}.climb_height", _climb(system, cases, sheet), "length")
    return Further(
        path=path, id=system.id, bay=system.bay, anchorage_by=by, lanyards=tuple(p.id for p in lanyards),
        inputs=tuple(sheet.inputs), working=sheet.working(), **values,
    )  # fmt: skip


def _anchorage(code: Code, system: System, devices: tuple[Part, ...], sheet: Sheet) -> tuple[float | None, str | None]:
    """Strength that the anchorage must show: so much for each person, or a factor on the peak arrest force."""
    users = system.anchorage.users or system.users_at_once
    if not users or not devices:
        return None, None
    if system.anchorage.basis == "rated-per-user":
        per_user = code.ask("anchorage_per_user")
        if per_user.value is None:
            return None, None
        return sheet.run(anchorage.prescriptive_load, users=users, per_user=per_user.value), "rated-per-user"
    if system.anchorage.basis == "engineered":
        factor = code.ask("anchorage_factor").value or system.anchorage.factor
        stated = [d.arrest_force_peak for d in devices]
        force = code.ask("arrest_force_max").value if None in stated else max(sheet.use(q) for q in stated)
        if force and factor:
            return sheet.run(anchorage.engineered_load, arrest_force=force, users=users, factor=factor), "engineered"
    return None, None


def _least_arrest(site: Site, devices: tuple[Part, ...], lock: float | None, sheet: Sheet) -> float | None:
    """Shortest arrest distance that physics allows at the stated average force and the posted limit."""
    forces = [d.arrest_force_average for d in devices if d.arrest_force_average is not None]
    if not forces or site.limits.user.max is None or not lock:
        return None
    force, mass = max(sheet.use(q) for q in forces), sheet.use(site.limits.user.max)
    try:
        return sheet.run(arrest.arrest_distance_lower_bound, lock_distance=lock, mass=mass, force=force)
    except CalcError:
        return None


def _lanyard(
    path: str, code: Code, system: System, lanyards: tuple[Part, ...], cases: tuple[Case, ...], sheet: Sheet
) -> tuple[Quantity | None, Quantity | None]:
    """Free fall and need below the surface of the longest lanyard at the lowest tie-off that a case has: for a reviewer, not a pass."""
    known = [c for c in cases if c.bay == system.bay and c.permission == "allowed" and c.height is not None]
    long = max((p for p in lanyards if p.line_length is not None), key=lambda p: p.line_length.si, default=None)
    if not known or long is None:
        return None, None
    lowest = min(known, key=lambda c: c.height.si)
    fall = sheet.run(lanyard.free_fall, lanyard_length=sheet.use(long.line_length), anchor_above_d_ring=lowest.height.si)
    stated = long.deceleration_distance
    slowing = sheet.use(stated) if stated is not None else code.ask("deceleration_distance_max").value
    need = None
    if slowing is not None:
        need = sheet.run(
            lanyard.required_below_surface, free_fall=fall, deceleration=slowing, stretch=lowest.stretch.si, margin=lowest.margin_term.si,
            deflection=lowest.deflection.si if lowest.deflection else 0.0, swing=lowest.swing_drop.si if lowest.swing_drop else 0.0,
        )  # fmt: skip
    return computed(f"{path}.lanyard_fall", fall, "length"), computed(f"{path}.lanyard_need", need, "length")


def _climb(system: System, cases: tuple[Case, ...], sheet: Sheet) -> float | None:
    """Elevation of the feet on the ladder below which an arrest does not end above the datum with the margin kept."""
    known = [c for c in cases if c.bay == system.bay and c.permission == "allowed" and c.required is not None]
    if not known:
        return None
    widest = max(known, key=lambda c: c.offset.si)
    standing = next((c for c in known if c.posture == "standing"), widest)
    try:
        return sheet.run(
            climb.protected_height, line_exit=widest.line_exit.si, d_ring_standing=standing.ring.si, lower_level=0.0,
            arrest_distance=widest.arrest_distance.si, stretch=widest.stretch.si,
            deflection=widest.deflection.si if widest.deflection else 0.0, margin=widest.margin_term.si, offset=widest.offset.si,
        )  # fmt: skip
    except (CalcError, TypeError):
        return None


def mass_shares(site: Site, path: str = "mass") -> tuple[tuple[str, float, Working], ...]:
    """For each published population its share above the body mass that the posted limit admits: an estimate by a model.

    (name of the population in practice.yaml, share from 0 to 1, working). Empty without a posted limit.
    """
    if site.limits.user.max is None:
        return ()
    sheet = Sheet(path)
    threshold = sheet.use(site.limits.user.max) - practice("mass_allowance").si
    spread = practice("mass_spread").si
    found = []
    for name in ("mass_us_men", "mass_us_women", "mass_us_male_drivers"):
        share = sheet.run(population.share_over, threshold=threshold, mean=practice(name).si, cv=spread)
        found.append((name, share, sheet.working()[-1]))
    return tuple(found)
