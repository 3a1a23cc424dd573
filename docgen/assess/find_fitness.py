"""Findings on whether a part, a kit or a person fits its place: substances, areas, manuals, reach, loan, shifts, routes."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.find_common import (
    bays_in_use,
    listed,
    over,
    parts_in_use,
    said_none,
    systems_in_use,
    terms,
    vehicles_in_use,
)
from docgen.assess.model import RescueRow
from docgen.assess.practice import practice
from docgen.assess.view import Hit, View, down, near, up
from docgen.site import KitPlace, Method, Part
from docgen.units import Interval

__all__ = [
    "corrosive_unsuitable",
    "inspection_interval_over_manual",
    "inspector_is_user",
    "kit_not_suitable",
    "kit_unavailable",
    "licence_unstated",
    "loaned_harness_outside_chain",
    "loaned_harness_unlisted",
    "posture_unstated",
    "rescue_route_blocked",
    "rescue_route_untimed",
    "retrieval_out_of_reach",
    "vehicle_changed",
]

SEALING = ("engineer", "counsel")


def posture_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: allowed tasks that do not say how people work: standing, kneeling or lying.

    Why: then only standing is computed, and a lower D-ring lengthens the fall. Example: gauging at a hatch, postures left
    out. Reference: common practice, no published source.
    """
    for task in view.site.tasks:
        if task.permission == "allowed" and not task.postures:
            yield Hit(f"{task.path}.postures", {"task": task.id})


def vehicle_changed(view: View) -> Iterator[Hit]:
    """What it looks at: the day on which a deck was measured against the last change of that kind of vehicle.

    Why: the height has moved since. A measurement of the day of the change itself counts. Example: measured 2025-11-18, new
    walkway 2026-01-12. Reference: common practice, no published source.
    """
    for vehicle in vehicles_in_use(view):
        measured = vehicle.deck.on if vehicle.deck is not None else None
        if vehicle.changed_on is not None and measured is not None and measured < vehicle.changed_on:
            values = {"vehicle": vehicle.name, "measured": measured, "changed": vehicle.changed_on}
            yield Hit(f"{vehicle.path}.deck", values)


def corrosive_unsuitable(view: View) -> Iterator[Hit]:
    """What it looks at: substances in a bay against those for which the manual of a part calls it unsuitable.

    Why: line and webbing lose strength without showing it. Example: caustic in the bay, a webbing line. Reference: 29 CFR
    1910 Subpart I, Appendix C; the manual.
    """
    for bay in bays_in_use(view):
        system = view.site.system_of(bay.id)
        for part in view.site.parts((*system.parts, *system.harnesses)) if system else ():
            bad = [s for s in bay.hazards.corrosives if s.casefold() in {u.casefold() for u in part.unsuitable_for}]
            if bad:
                yield Hit(f"{part.path}.unsuitable_for", {"part": part.id, "bay": bay.name, "substances": listed(bad)})


def kit_not_suitable(view: View) -> Iterator[Hit]:
    """What it looks at: rescue kits and platforms used in a classified area.

    Why: a rescue must not bring the source of ignition. Example: a powered winch in Class I, Division 2. Reference: 29 CFR
    1910.307 (memory).
    """
    areas = {b.id: b for b in bays_in_use(view) if not said_none(b.electrical.classified)}
    used = {(r.method, r.bay) for r in view.rescues if r.bay in areas}
    for part in parts_in_use(view, "rescue-kit", "platform"):
        for method in view.site.rescue.methods:
            bay = next((b for m, b in sorted(used) if m == method.id), None)
            if part.id in method.kits and bay is not None and part.suitable_for_area is not True:
                values = {"part": part.id, "bay": areas[bay].name, "area": areas[bay].electrical.classified}
                yield Hit(f"{part.path}.suitable_for_area", values)
                break


def _later(one: Interval, other: Interval) -> bool:
    from datetime import date

    start = date(2001, 1, 1)
    return one.after(start) > other.after(start)


def inspection_interval_over_manual(view: View) -> Iterator[Hit]:
    """What it looks at: the interval of each part against the longest that its instructions allow.

    Why: the maker's word holds where it is stricter. Example: 12 months here, 6 in the manual. Reference: the manual;
    ANSI/ASSP Z359.2 programs ask for it (memory).
    """
    for part in parts_in_use(view):
        own, manual = part.inspection.interval, part.inspection.manual_interval
        if own is not None and manual is not None and _later(own, manual):
            yield Hit(f"{part.inspection.path}.interval", {"part": part.id, "interval": own.text, "limit": manual.text})


def inspector_is_user(view: View) -> Iterator[Hit]:
    """What it looks at: whether the one who inspects a part also climbs with it.

    Why: nobody sees his own wear. Example: the competent person is U-02. Reference: common practice, no published source.
    """
    users = {u.id for u in view.site.people.users}
    for role in view.site.roles:
        if role.user in users:
            parts = [p.id for p in parts_in_use(view, "srd", "harness", "connector", "lanyard") if p.inspection.by == role.id]
            if parts:
                yield Hit(f"{role.path}.user", {"role": role.title, "user": role.user, "parts": listed(parts)})


def loaned_harness_unlisted(view: View) -> Iterator[Hit]:
    """What it looks at: whether the harnesses that the site lends are listed.

    Why: what is not listed is not inspected by date. Example: harnesses: loaned, and no list. Reference: OSHA multi-employer
    policy (memory); common practice.
    """
    if view.site.contractors.harnesses == "loaned" and not view.site.contractors.loaned_harnesses:
        yield Hit("contractors.loaned_harnesses")


def loaned_harness_outside_chain(view: View) -> Iterator[Hit]:
    """What it looks at: lent harnesses against the pools of the systems.

    Why: a harness outside the chain has no part in its limit, in its inspections or in the posted figure. Example: H-20 is
    lent and stands in no system. Reference: OSHA multi-employer policy (memory); labels.
    """
    pooled = {h for s in systems_in_use(view) for h in s.harnesses}
    for harness in view.site.contractors.loaned_harnesses:
        if harness not in pooled:
            yield Hit("contractors.loaned_harnesses", {"harness": harness})


def licence_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: licence number, place and end of the reviewers who seal or sign by licence.

    Why: whether the licence holds here cannot be looked up. Example: an engineer without a discipline. Reference: state
    practice acts (memory).
    """
    for reviewer in view.site.reviewers:
        if reviewer.role in SEALING:
            wanted = ("licence", "jurisdiction", "expires", *(("discipline",) if reviewer.role == "engineer" else ()))
            lacking = [n for n in wanted if getattr(reviewer, n) is None]
            if lacking:
                yield Hit(reviewer.path, {"role": terms((reviewer.role,)), "lacking": terms(lacking)})


def _own(view: View) -> tuple[Method, ...]:
    return tuple(m for m in view.site.rescue.methods if m.kind != "outside")


def retrieval_out_of_reach(view: View) -> Iterator[Hit]:
    """What it looks at: the height at which a device's built-in crank is worked against the reach of someone on the ground
    or on the deck.

    Why: a crank at the rail serves nobody. Without a stated height it is where the device hangs. Example: crank at 24.0 ft,
    reach of a hand 6.5 ft. Reference: common practice, no published source.
    """
    for method in _own(view):
        for part in view.site.parts(method.kits, "srd"):
            if part.retrieval in (None, "none"):
                continue
            for row in _worst_by_bay(view, method):
                high, stand = _crank(view, part, row), _stand(view, method, row)
                reach = None if stand is None else stand + practice("hand_reach").si
                if high is not None and reach is not None and over(high, reach):
                    values = {"part": part.id, "method": method.name, "high": up(high, "length"), "reach": down(reach, "length")}
                    yield Hit(f"{part.path}.retrieval", values)
                    break


def _worst_by_bay(view: View, method: Method) -> list[RescueRow]:
    return list({(r.bay, r.vehicle): r for r in view.rescues if r.method == method.id}.values())


def _crank(view: View, part: Part, row: RescueRow) -> float | None:
    if part.handle_height is not None:
        return part.handle_height.si
    rail = view.site.bay(row.bay).rail
    return None if rail.underside is None else rail.underside.si - (rail.hang.si if rail.hang is not None else 0.0)


def _stand(view: View, method: Method, row: RescueRow) -> float | None:
    """Height of the rescuers' feet; None where they stand on something that is raised to the height needed."""
    if method.attach_from in ("platform", "ladder", "rail"):
        return None
    deck = view.site.vehicle(row.vehicle).deck
    return deck.si if method.attach_from == "vehicle" and deck is not None else 0.0


def _counting(view: View, place: KitPlace) -> Iterator[tuple[Method, RescueRow]]:
    for method in _own(view):
        if place.kit in method.kits:
            yield from ((method, r) for r in view.rescues if r.method == method.id)


def kit_unavailable(view: View) -> Iterator[Hit]:
    """What it looks at: the shifts on which a kit or platform can be taken against those that count on it.

    Why: a platform behind a lock is no method. Example: locked from 20:00 to 05:00, the night shift counts on it.
    Reference: common practice, no published source.
    """
    for place in view.site.rescue.kit_places:
        missing = {row.shift: method for method, row in _counting(view, place) if place.shifts and row.shift not in place.shifts}
        if missing:
            names = [s.name or s.id for s in view.site.shifts if s.id in missing]
            values = {"part": place.kit, "shifts": listed(names), "methods": listed(m.name for m in missing.values())}
            yield Hit(f"{place.path}.shifts", values)


def rescue_route_untimed(view: View) -> Iterator[Hit]:
    """What it looks at: ways to a kit that are blocked at times, without the time of the way round.

    Why: the rescue takes longer by nobody knows how much. Example: the second track is occupied, no time given. Reference:
    common practice, no published source.
    """
    for place in view.site.rescue.kit_places:
        if place.blocked_when is not None and place.blocked_adds is None and any(True for _ in _counting(view, place)):
            yield Hit(f"{place.path}.blocked_adds", {"part": place.kit, "when": place.blocked_when})


def rescue_route_blocked(view: View) -> Iterator[Hit]:
    """What it looks at: the time on the ground once the way to the kit is blocked against its limit.

    Why: the tracks are occupied when people work there. Exactly at the limit is within it. Example: 7.6 min and 2.0 min
    round the spotted car, limit 9.0. Reference: the site's limits; common practice.
    """
    for place in view.site.rescue.kit_places:
        if place.blocked_when is None or place.blocked_adds is None:
            continue
        late = [
            (r.ground.si + place.blocked_adds.si, m, r)
            for m, r in _counting(view, place)
            if r.within and over(r.ground.si + place.blocked_adds.si, r.ground_limit.si)
        ]
        if late:
            total, method, row = max(late, key=lambda item: item[0])
            values = {
                "part": place.kit,
                "when": place.blocked_when,
                "method": method.name,
                "vehicle": view.site.vehicle(row.vehicle).name,
                "adds": near(place.blocked_adds),
                "total": up(total, "time"),
                "limit": down(row.ground_limit),
            }
            yield Hit(f"{place.path}.blocked_adds", values)
