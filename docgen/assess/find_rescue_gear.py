"""Findings on what a rescue is done with: kits, reach, anchors, the rescuers' own protection, alarm and care."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.find_common import bays_in_use, over, overdue, said_none
from docgen.assess.find_screens import found_in
from docgen.assess.model import Case
from docgen.assess.practice import practice
from docgen.assess.view import Hit, View, down, near, up
from docgen.site import Method, Part

__all__ = [
    "alarm_unstated",
    "care_unstated",
    "casualty_posture_wording",
    "contact_never_tested",
    "contact_stale",
    "contacts_missing",
    "kit_capacity",
    "kit_check_stale",
    "kit_never_checked",
    "kit_place_missing",
    "kit_rating_missing",
    "kit_reach",
    "location_words_missing",
    "radio_not_suitable",
    "rescue_anchor_missing",
    "rescuer_untied",
    "ring_out_of_reach",
    "ring_reach_unstated",
]

FROM_ABOVE = ("raise-and-lower", "lower")


def _own(view: View) -> tuple[Method, ...]:
    return tuple(m for m in view.site.rescue.methods if m.kind != "outside")


def rescuer_untied(view: View) -> Iterator[Hit]:
    """What it looks at: how the rescuers themselves are kept from falling.

    Why: the second fall has no rescuer left. Example: M2 sends the rescuer onto an 11.5 ft walkway, nothing said.
    Reference: common practice.
    """
    for method in _own(view):
        if said_none(method.rescuer_tie_off):
            yield Hit(f"{method.path}.rescuer_tie_off", {"method": method.name})


def rescue_anchor_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the anchor of rope methods.

    Why: the kit must hang from something that is rated. Example: raise-and-lower without an anchor. Reference: common
    practice; no figure for rescue anchors in the federal text.
    """
    for method in _own(view):
        if method.kind in FROM_ABOVE and said_none(method.anchor):
            yield Hit(f"{method.path}.anchor", {"method": method.name})


def _kits(view: View, method: Method) -> tuple[Part, ...]:
    return view.site.parts(method.kits)


def _step_kit(view: View, method: Method, step: str | None) -> Part | None:
    return next((view.site.part(s.kit) for s in method.steps if s.id == step and s.kit is not None), None)


def kit_reach(view: View) -> Iterator[Hit]:
    """What it looks at: the rope kit that lowers the casualty against the height of the rail.

    Why: it must reach the ground. Example: rail to ground 24.0 ft, kit 20 ft. Reference: geometry.
    """
    rows = {(r.method, r.bay) for r in view.rescues}
    for method in _own(view):
        kit = _step_kit(view, method, method.ground_step) if method.kind in FROM_ABOVE else None
        if kit is None or kit.kind != "rescue-kit" or kit.reach is None:
            continue
        heights = [b.rail.underside for b in bays_in_use(view) if b.rail.underside is not None and (method.id, b.id) in rows]
        high = max(heights, key=lambda q: q.si, default=None)
        if high is not None and over(high.si, kit.reach.si):
            values = {
                "method": method.name,
                "part": kit.id,
                "need": up(high),
                "have": down(kit.reach),
                "short": up(high.si - kit.reach.si),
            }
            yield Hit(f"{kit.path}.reach", values)


def _hangs(view: View, method: Method) -> list[Case]:
    spots = {(r.bay, r.vehicle) for r in view.rescues if r.method == method.id}
    return [c for c in view.allowed if c.hang_high is not None and (c.bay, c.vehicle) in spots]


def ring_out_of_reach(view: View) -> Iterator[Hit]:
    """What it looks at: the highest back D-ring a method reaches against the highest hang, lock-up only.

    Why: nobody can attach. Example: ring 15.2 ft above grade, the pole from the ground reaches 13. Reference:
    geometry.
    """
    for method in _own(view):
        hangs = _hangs(view, method)
        if method.attach_height is None or not hangs:
            continue
        worst = max(hangs, key=lambda c: c.hang_high.si)
        if over(worst.hang_high.si, method.attach_height.si):
            values = {
                "method": method.name,
                "vehicle": view.site.vehicle(worst.vehicle).name,
                "bay": view.site.bay(worst.bay).name,
                "ring": up(worst.hang_high),
                "reach": down(method.attach_height),
                "short": up(worst.hang_high.si - method.attach_height.si, "length"),
            }
            yield Hit(f"{method.path}.attach_height", values)


def ring_reach_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: methods that do not say how high a D-ring they reach.

    Why: it cannot be compared with the hang. Example: raise-and-lower with a pole and no height. Reference: geometry.
    """
    for method in _own(view):
        hangs = _hangs(view, method)
        if method.kind in (*FROM_ABOVE, "platform", "ladder") and method.attach_height is None and hangs:
            yield Hit(
                f"{method.path}.attach_height",
                {"method": method.name, "ring": up(max(hangs, key=lambda c: c.hang_high.si).hang_high)},
            )


def kit_capacity(view: View) -> Iterator[Hit]:
    """What it looks at: rating of each kit or platform against the posted limit for every person it carries.

    Why: rescue loads add up. The posted limit stands for each person; no weight is used. Example: platform 500 lb, two
    persons and a limit of 310 lb. Reference: ANSI/ASSP Z359.4 (memory); labels.
    """
    posted = view.site.limits.user.max
    for method in _own(view):
        for kit in _kits(view, method):
            if posted is not None and kit.capacity.max is not None and over(method.load_persons * posted.si, kit.capacity.max.si):
                values = {
                    "method": method.name,
                    "part": kit.id,
                    "persons": method.load_persons,
                    "posted": near(posted),
                    "need": up(method.load_persons * posted.si, "mass"),
                    "have": down(kit.capacity.max),
                }
                yield Hit(f"{kit.path}.capacity.max", values)


def kit_rating_missing(view: View) -> Iterator[Hit]:
    """What it looks at: kits that carry the casualty and have no rating.

    Why: whether they hold is not computed, so it is no pass. Example: a winch without a label. Reference: labels;
    common practice.
    """
    for method in _own(view):
        kit = _step_kit(view, method, method.ground_step)
        carrying = (kit,) if kit is not None else _kits(view, method)
        for part in carrying:
            if part.capacity.max is None:
                yield Hit(f"{part.path}.capacity.max", {"method": method.name, "part": part.id})


def kit_place_missing(view: View) -> Iterator[Hit]:
    """What it looks at: where each kit lies.

    Why: the time to fetch it and the person who fetches it depend on that. Example: K-1 in no cabinet of the list.
    Reference: common practice.
    """
    places = {p.kit for p in view.site.rescue.kit_places if p.place is not None}
    for method in _own(view):
        for kit in _kits(view, method):
            if kit.id not in places:
                places.add(kit.id)
                yield Hit("rescue.kit_places", {"part": kit.id, "method": method.name})


def kit_check_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when someone last saw the kit in its place.

    Why: kits get borrowed. Exactly at the interval is not stale. Example: seal unchecked for 94 days. Reference:
    common practice, 3 months.
    """
    interval = practice("kit_check_interval").interval
    for place in view.site.rescue.kit_places:
        if place.last_check is not None and interval.after(place.last_check) < view.as_of:
            values = {"part": place.kit, "last": place.last_check, "interval": interval.text}
            yield Hit(f"{place.path}.last_check", values)


def kit_never_checked(view: View) -> Iterator[Hit]:
    """What it looks at: kits in whose place nobody is recorded as having looked.

    Why: kits get borrowed. Example: last_check left out. Reference: common practice.
    """
    for place in view.site.rescue.kit_places:
        if place.last_check is None:
            yield Hit(f"{place.path}.last_check", {"part": place.kit})


def casualty_posture_wording(view: View) -> Iterator[Hit]:
    """What it looks at: text that keeps a rescued person upright.

    Why: older advice; current reviews lay the person flat. Example: "keep the person sitting for 30 minutes".
    Reference: HSE RR708 (2009); ICAR MedCom (2023).
    """
    rescue = view.site.rescue
    texts = [(f"{rescue.casualty_care.path}.position", rescue.casualty_care.position)]
    texts += [(f"{s.path}.text", s.text) for m in rescue.methods for s in m.steps]
    for path, text in texts:
        for caught in found_in(text, "casualty"):
            yield Hit(path, {"words": caught.text, "instead": caught.instead})


def care_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how the casualty is laid, and whose direction that is.

    Why: first aiders ask. Example: neither position nor source. Reference: common practice.
    """
    care = view.site.rescue.casualty_care
    if view.site.rescue.methods and (care.position is None or care.source is None):
        yield Hit(care.path)


def contacts_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether there is any number to call.

    Why: a rescue procedure without one is no use at 02:00. Example: an empty list. Reference: 29 CFR 1910.151 and
    1910.38 (memory); common practice.
    """
    if not view.site.emergency.contacts:
        yield Hit("emergency.contacts")


def contact_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when each number was last tried.

    Why: phones move and people retire. On the due day nothing is stale. Example: last dialled 2025-06-01. Reference:
    common practice, 6 months.
    """
    for due in overdue(view, "contact test"):
        yield Hit(f"{due.path}.tested_on", {"contact": due.id, "last": due.last, "interval": due.interval})


def contact_never_tested(view: View) -> Iterator[Hit]:
    """What it looks at: numbers that nobody ever tried.

    Why: a wrong digit shows only in the emergency. Example: tested_on left out. Reference: common practice.
    """
    for contact in view.site.emergency.contacts:
        if contact.tested_on is None:
            yield Hit(f"{contact.path}.tested_on", {"contact": contact.role})


def radio_not_suitable(view: View) -> Iterator[Hit]:
    """What it looks at: radios in a classified area.

    Why: what is not suitable may be a source of ignition, or stays in the office. Example: Class I, Division 2, radio
    not marked. Reference: 29 CFR 1910.307 (memory).
    """
    for bay in bays_in_use(view):
        radio = view.site.emergency.radio
        if not said_none(bay.electrical.classified) and radio.channel is not None and radio.suitable_for_area is not True:
            yield Hit(f"{radio.path}.suitable_for_area", {"bay": bay.name, "area": bay.electrical.classified})
            return


def alarm_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how the alarm is raised, and what is used when that fails.

    Why: the first step of every method. Example: no channel and no backup. Reference: 29 CFR 1910.165 (memory); common
    practice.
    """
    radio = view.site.emergency.radio
    if radio.channel is None or radio.backup is None:
        yield Hit(radio.path)


def location_words_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the words in which a caller says where the site is.

    Why: callers under stress read them off. Example: left out. Reference: common practice.
    """
    if view.site.emergency.location_words is None:
        yield Hit("emergency.location_words")
