"""Findings on the structural acts behind rail and anchors: who did them, and whether their days are in order."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from docgen.findings.common import bays_in_use, latest, systems_in_use
from docgen.findings.model import Value
from docgen.findings.rule import PLAN, RECORD, finding
from docgen.findings.view import Hit, View
from docgen.signs import name_key
from docgen.site import Quantity, RolePart

__all__ = ["commissioned_before_design", "design_after_use", "look_before_load", "structural_act_unqualified"]

#: The parts of a person whose word a design rests on.
QUALIFIED: frozenset[RolePart] = frozenset(("qualified-person", "engineer"))
#: Parts that are made for one rail, so that none of them is in use before the anchorage is designed.
OF_ONE_RAIL = ("base-plate", "hanger", "splice", "bracket-bolts", "rail", "end-stop")


def _named_acts(view: View) -> Iterator[tuple[str, str | None]]:
    """Path and name of whoever designed, tested or checked what bears a fall."""
    for system in systems_in_use(view):
        anchorage = system.anchorage
        yield f"{anchorage.path}.designer", anchorage.designer
        yield f"{anchorage.path}.structure_checked_by", anchorage.structure_checked_by
        yield f"{anchorage.ground.path}.by", anchorage.ground.by
        yield f"{anchorage.look.path}.by", anchorage.look.by
        yield from ((f"{case.path}.by", case.by) for case in system.load_cases)
    for bay in bays_in_use(view):
        yield from ((f"{anchor.path}.by", anchor.by) for anchor in bay.rescue_anchors)
        allowed = bay.rail.beam.allowed_stress
        if allowed is not None:
            yield f"{allowed.path}.by", allowed.by


def _acts(view: View) -> Iterator[tuple[str, str]]:
    """The same with every figure that is said to be of a design; what belongs to a bay or system out of use is left out."""
    used = [b.path for b in bays_in_use(view)] + [s.path for s in systems_in_use(view)]
    idle = tuple(f"{node.path}." for node in (*view.site.bays, *view.site.systems) if node.path not in used)
    designed = [
        (f"{figure.path}.by", figure.by)
        for _, figure in view.leaves
        if isinstance(figure, Quantity) and figure.how == "design" and not figure.path.startswith(idle)
    ]
    yield from dict((path, by) for path, by in (*_named_acts(view), *designed) if by is not None).items()


def _known(view: View) -> dict[str, set[RolePart]]:
    """Role, title, name or code of a person whom the profile knows -> the parts that person has."""
    known: dict[str, set[RolePart]] = {}
    for code in (*(u.id for u in view.site.people.users), *(r.id for r in view.site.people.rescuers)):
        known.setdefault(name_key(code), set())
    for role in view.site.roles:
        names = [
            role.id,
            role.title,
            *(name for holder in role.holders for name in holder.names),
            *([role.user] if role.user else []),
        ]
        for name in names:
            known.setdefault(name_key(name), set()).update(role.part)
    for reviewer in view.site.reviewers:
        if reviewer.name is not None and reviewer.part is not None:
            known.setdefault(name_key(reviewer.name), set()).add(reviewer.part)
    return known


@finding("structural-act-unqualified", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_supervision")
def structural_act_unqualified(view: View) -> Iterator[Hit]:
    """What it looks at: who is said to stand behind a design: of each figure with how design, of the anchorage, its ground, its check and the look at it, of the load
    cases, of each rescue anchor and of the stress that is allowed.

    Why: such a figure is worth what the person who answers for it is worth. A role counts by its parts, a name by every role and review that the profile gives it; a
    name that it does not know is somebody from outside and passes. Example: designer J. Whitlow, who is competent person for the equipment.
    Reference: 29 CFR 1910.140(c)(13)(ii) (memory); common practice.
    """
    known = _known(view)
    for path, by in _acts(view):
        parts = known.get(name_key(by))
        if parts is not None and not parts & QUALIFIED:
            yield Hit(path, {"input": path.removesuffix(".by"), "by": by})


@finding("look-before-load", "must-fix", documents=(PLAN, RECORD))
def look_before_load(view: View) -> Iterator[Hit]:
    """What it looks at: what was put on the frame later, against the last day on which somebody looked at the structure or checked it.

    Why: nobody has asked whether the frame bears it as well as a fall. A load of the day of the look is seen. Example: canopy sheets of 2026-08-01,
    last look on 2026-06-09. Reference: common practice, no published source.
    """
    for system in systems_in_use(view):
        bay, anchorage = view.bays.get(system.bay), system.anchorage
        seen = latest((anchorage.look.on, anchorage.structure_checked_on))
        for load in bay.later_loads if bay is not None and seen is not None else ():
            if load.on is not None and seen is not None and load.on > seen:
                values: dict[str, Value] = {"bay": view.bays[system.bay].name, "what": load.what, "on": load.on, "seen": seen}
                yield Hit(f"{load.path}.on", values)


@finding("commissioned-before-design", "fix-soon", documents=(PLAN, RECORD))
def commissioned_before_design(view: View) -> Iterator[Hit]:
    """What it looks at: the day of the test on which the approval rests, against the day of the design.

    Why: one of the two days is wrong, or the test was of another design. The same day is right. Example: tested on 2025-03-18, designed on 2025-04-04.
    Reference: common practice.
    """
    for system in systems_in_use(view):
        designed, tested = system.anchorage.designed_on, system.anchorage.commissioning.on
        if designed is not None and tested is not None and tested < designed:
            yield Hit(f"{system.anchorage.commissioning.path}.on", {"system": system.id, "tested": tested, "designed": designed})


@finding("design-after-use", "fix-soon", documents=(PLAN, RECORD))
def design_after_use(view: View) -> Iterator[Hit]:
    """What it looks at: the day of the design against the days on which the parts that are made for that rail went into use.

    Why: then people hung on what nobody had designed, or one of the days is wrong. A frame, a trolley or a device may be older. Example: rail in use since
    2025-03-20, designed on 2025-06-01. Reference: common practice.
    """
    for system in systems_in_use(view):
        designed = system.anchorage.designed_on
        used: list[tuple[date, str]] = [
            (p.in_service, p.id) for p in view.site.load_path(system) if p.kind in OF_ONE_RAIL and p.in_service is not None
        ]
        if designed is not None and used and min(used)[0] < designed:
            first, part = min(used)
            yield Hit(
                f"{system.anchorage.path}.designed_on", {"system": system.id, "designed": designed, "part": part, "used": first}
            )
