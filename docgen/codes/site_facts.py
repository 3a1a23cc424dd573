"""What a site is, in the closed list of facts on which it hangs whether a question of law matters (`vocabulary.yaml`)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from docgen.limits import at_least
from docgen.site import Site

if TYPE_CHECKING:
    from docgen.codes.law import Law
    from docgen.codes.model import Answer

__all__ = ["lowest_trigger", "site_facts"]

TRUCKS = ("tank-trailer", "flatbed", "van-trailer", "straight-truck")


def lowest_trigger(law: Law) -> Answer | None:
    """The answer with the lowest height from which protection is owed: a bay is a permanent work area, for which some laws print a lower
    one. None where no height is printed."""
    found = [a for key in ("trigger_height_permanent_area", "trigger_height") if (a := law.ask(key)).figure is not None]
    return min(found, key=lambda a: a.figure or 0.0, default=None)


def site_facts(site: Site, law: Law) -> frozenset[str]:
    """The facts that the profile shows; what it does not say is not taken for a fact."""
    allowed = [t for t in site.tasks if t.permission == "allowed"]
    vehicles = [v for v in site.vehicles if any(t.vehicle == v.id for t in allowed)]
    rolling = [v for v in vehicles if v.kind != "machine"]
    bays = [b for b in site.bays if any(t.bay == b.id for t in allowed)]
    parts = [p for s in site.systems for p in site.parts((*s.parts, *s.harnesses))]
    kinds = {p.kind for p in parts}
    every = [v.kind or "" for v in site.vehicles]
    classes = site.contractors.classes
    apart = not law.ask("vehicle_tops_position").silent  # the law treats vehicle tops apart from other surfaces
    lowest = lowest_trigger(law)
    height = None if lowest is None else lowest.figure
    walked = [v for v in vehicles if v.kind == "machine"] if apart else vehicles
    found = {
        "personal-fall-arrest": bool(allowed and site.systems),
        "self-retracting-device": "srd" in kinds,
        "rigid-rail": "rail" in kinds,
        "horizontal-lifeline": "lifeline" in kinds,
        "engineered-anchorage": any(s.anchorage.basis == "engineered" for s in site.systems),
        "above-trigger": any(v.deck is not None and (height is None or at_least(v.deck.si, height)) for v in walked),
        "vehicle-tops": bool(rolling),
        "in-or-beside-structure": any(b.setting in ("canopy", "indoor") for b in bays),
        "trucks": any(kind in TRUCKS for kind in every),
        "railcars": "railcar" in every,
        "spur-track": any(step.kind == "derail" for b in bays for step in b.control.steps),
        "dangerous-equipment-below": any(b.hazards.dangerous_equipment_below for b in bays),
        "contractors": bool(classes),
        "contractor-climbs": any(c.may_climb for c in classes),
        "loaned-equipment": site.contractors.harnesses == "loaned",
        "named-rescuers": bool(site.people.rescuers),
        "outside-rescue": bool(site.rescue.external),
        "more-languages": len(site.contractors.languages) > 1,
        "electrical-nearby": any(b.electrical.energised or b.electrical.line for b in bays),
        "construction-work": site.site.sector == "construction",
    }
    return frozenset(name for name, holds in found.items() if holds)
