"""Stage 4, terms: what the required clearance is summed from besides the swing, and the limits of the offset."""

from __future__ import annotations

from docgen.calc import clearance
from docgen.engineering import bending
from docgen.engineering.case.label import arrest_figures
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.spread import Spread, fixed
from docgen.frozen import frozen
from docgen.site import Bay, Part, Quantity, Site, Task

__all__ = ["Allowances", "Terms", "allowances", "arrest_distance", "devices", "longest", "terms"]


@frozen
class Allowances:
    """Stretch, margin and rail deflection in m, limit of the line angle in rad, largest offset by a rule of the site in m.

    `deflection` is None where nobody has stated it, `largest_by_rule` where the site has no such rule. Angle limit and rule are
    taken at their lower end.
    """

    stretch: Spread
    margin: float
    deflection: Spread | None
    angle_limit: float
    largest_by_rule: float | None


@frozen
class Terms:
    """The terms of the sum, in m. A deflection that is not stated is left out here, and the verdict of the case says so."""

    arrest_distance: Spread
    stretch: Spread
    deflection: Spread
    margin: float


def devices(site: Site, bay: Bay) -> tuple[Part, ...]:
    """The self-retracting devices of the system of that bay."""
    system = site.system_of(bay.id)
    return site.parts(system.parts, "srd") if system is not None else ()


def arrest_distance(site: Site, bay: Bay, task: Task, found: tuple[Part, ...], notes: Notes) -> Stage[Spread]:
    """The longest arrest distance among the devices of the bay for that task, in m; none where one of them has no figure."""
    if not found:
        system = site.system_of(bay.id)
        return Stage(None, (bay.path if system is None else f"{system.path}.parts",))
    figures: list[Quantity] = []
    for device in found:
        own = arrest_figures(site, bay, task, device)
        if own.value is None:
            return lacking(own)
        figures += own.value
    known = tuple(d for d in (notes.measured(q, "bound") for q in figures) if d is not None)
    if len(figures) > len(found):
        notes.sheet.run(clearance.governing_arrest_distance, distances=[d.nominal for d in known])
    return Stage(longest(known))


def longest(distances: tuple[Spread, ...]) -> Spread:
    """The longest of several distances, end by end."""
    return Spread(
        nominal=max(d.nominal for d in distances), low=max(d.low for d in distances), high=max(d.high for d in distances)
    )


def allowances(site: Site, bay: Bay, found: tuple[Part, ...], notes: Notes) -> Allowances:
    """What the profile or practice gives for the rest. The lowest angle limit of the site and of any device counts."""
    limits = site.limits
    angles = [q for q in (limits.line_angle.value, *(d.angle_max for d in found)) if q is not None]
    rule = notes.measured(limits.lateral.value, "bound")
    return Allowances(
        stretch=notes.usual(limits.stretch, "stretch"),
        margin=notes.usual(limits.margin, "margin").high,
        deflection=bending.governing_deflection(site, bay, found, notes.measured, notes.sheet),
        angle_limit=notes.usual(min(angles, key=lambda q: q.si, default=None), "line_angle").low,
        largest_by_rule=None if rule is None else rule.low,
    )


def terms(arrest: Stage[Spread], given: Allowances) -> Stage[Terms]:
    """The terms together; none without an arrest distance."""
    if arrest.value is None:
        return lacking(arrest)
    return Stage(
        Terms(
            arrest_distance=arrest.value,
            stretch=given.stretch,
            deflection=given.deflection or fixed(0.0),
            margin=given.margin,
        )
    )
