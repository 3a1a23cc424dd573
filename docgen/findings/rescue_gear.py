"""Findings on what a rescue is done with: kits, reach, anchors, the rescuers' own protection, routes, care, numbers to call and the alarm."""

from __future__ import annotations

import re
from collections.abc import Iterator

from docgen.engineering.model import Case, RescueRow
from docgen.findings.common import bays_in_use, listed, most_first, overdue, parts_in_use, said_none
from docgen.findings.model import Value
from docgen.findings.rule import NOTICE, RESCUE, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import over
from docgen.signs import name_key
from docgen.site import KitPlace, Method, Part
from docgen.site.facts import HAULING
from docgen.text.said import digits
from docgen.text.screens import found_in_any
from docgen.trade.practice import practice

__all__ = [
    "alarm_unstated",
    "care_unstated",
    "casualty_posture_wording",
    "contact_never_tested",
    "contact_private",
    "contact_stale",
    "contacts_missing",
    "emergency_number_elsewhere",
    "emergency_number_unknown",
    "kit_check_stale",
    "kit_never_checked",
    "kit_not_suitable",
    "kit_not_whole",
    "kit_place_missing",
    "kit_unavailable",
    "location_words_missing",
    "number_unlisted",
    "own_line_public",
    "post_two_numbers",
    "radio_not_suitable",
    "rescue_route_blocked",
    "rescue_route_untimed",
    "rescuer_untied",
    "retrieval_out_of_reach",
    "ring_reach_unstated",
]


#: A public emergency number in a sentence of the law.
SHORT = re.compile(r"\b[0-9]{3}\b")
#: Public emergency numbers: those that the sets of law name, and 112 and 911 (ITU-T E.161.1, from memory).
EMERGENCY_NUMBERS = frozenset(("000", "111", "112", "911", "999"))
#: Number of a place -> others that are answered there too, though the sentence of its law does not name them: Britain (the note of its answer).
ANSWERED_TOO = {"999": ("112",)}


def _own(view: View) -> tuple[Method, ...]:
    """The methods of the site's own."""
    return tuple(m for m in view.site.rescue.methods if m.kind != "outside")


@finding("rescuer-untied", "must-fix", documents=(RESCUE,))
def rescuer_untied(view: View) -> Iterator[Hit]:
    """What it looks at: how the rescuers themselves are kept from falling.

    Why: the second fall has no rescuer left. Example: M2 sends the rescuer onto an 11.5 ft walkway, nothing said.
    Reference: common practice.
    """
    for method in _own(view):
        if said_none(method.rescuer_tie_off):
            yield Hit(f"{method.path}.rescuer_tie_off", {"method": method.name})


def _hangs(view: View, method: Method) -> list[Case]:
    spots = {(r.bay, r.vehicle) for r in view.rescues if r.method == method.id}
    return [c for c in view.allowed if c.hang_high is not None and (c.bay, c.vehicle) in spots]


@finding("ring-reach-unstated", "fix-soon", documents=(RESCUE,))
def ring_reach_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: methods that do not say how high a D-ring they reach.

    Why: it cannot be compared with the hang. Example: raise-and-lower with a pole and no height. Reference: geometry.
    """
    for method in _own(view):
        hangs = _hangs(view, method)
        if method.kind in (*HAULING, "platform", "ladder") and method.attach_height is None and hangs:
            yield Hit(
                f"{method.path}.attach_height",
                {"method": method.name, "ring": up(min(hangs, key=lambda c: most_first(c.hang_high)).hang_high)},
            )


def _kits(view: View, method: Method) -> tuple[Part, ...]:
    return view.site.parts(method.kits)


@finding("kit-not-suitable", "must-fix", documents=(RESCUE,))
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
                values: dict[str, Value] = {
                    "part": part.id,
                    "bay": areas[bay].name,
                    "area": areas[bay].electrical.classified or NOT_STATED,
                }
                yield Hit(f"{part.path}.suitable_for_area", values)
                break


def _worst_by_bay(view: View, method: Method) -> list[RescueRow]:
    return list({(r.bay, r.vehicle): r for r in view.rescues if r.method == method.id}.values())


def _crank(view: View, part: Part, row: RescueRow) -> float | None:
    if part.handle_height is not None:
        return part.handle_height.si
    rail = view.bays[row.bay].rail
    return (
        None
        if rail.underside is None
        else rail.underside.si - (rail.line_exit_below_rail.si if rail.line_exit_below_rail is not None else 0.0)
    )


def _stand(view: View, method: Method, row: RescueRow) -> float | None:
    """Height of the rescuers' feet; None where they stand on something that is raised to the height needed."""
    if method.attach_from in ("platform", "ladder", "rail"):
        return None
    deck = view.vehicles[row.vehicle].deck
    return deck.si if method.attach_from == "vehicle" and deck is not None else 0.0


@finding("retrieval-out-of-reach", "must-fix", documents=(RESCUE,))
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
                    values: dict[str, Value] = {
                        "part": part.id,
                        "method": method.name,
                        "high": up(high, "length"),
                        "reach": down(reach, "length"),
                    }
                    yield Hit(f"{part.path}.retrieval", values)
                    break


def _counting(view: View, place: KitPlace) -> Iterator[tuple[Method, RescueRow]]:
    for method in _own(view):
        if place.kit in method.kits:
            yield from ((method, r) for r in view.rescues if r.method == method.id)


@finding("kit-unavailable", "fix-soon", documents=(RESCUE,))
def kit_unavailable(view: View) -> Iterator[Hit]:
    """What it looks at: the shifts on which a kit or platform can be taken against those that count on it.

    Why: a platform behind a lock is no method. Example: locked from 20:00 to 05:00, the night shift counts on it.
    Reference: common practice, no published source.
    """
    for place in view.site.rescue.kit_places:
        missing = {row.shift: method for method, row in _counting(view, place) if place.shifts and row.shift not in place.shifts}
        if missing:
            names = [s.name or s.id for s in view.site.shifts if s.id in missing]
            values: dict[str, Value] = {
                "part": place.kit or NOT_STATED,
                "shifts": listed(names),
                "methods": listed(m.name for m in missing.values()),
            }
            yield Hit(f"{place.path}.shifts", values)


@finding("rescue-route-blocked", "fix-soon", documents=(RESCUE,))
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
            if r.within
            and r.ground is not None
            and r.ground_limit is not None
            and over(r.ground.si + place.blocked_adds.si, r.ground_limit.si)
        ]
        if late:
            total, method, row = max(late, key=lambda item: item[0])
            values: dict[str, Value] = {
                "part": place.kit or NOT_STATED,
                "when": place.blocked_when,
                "method": method.name,
                "vehicle": view.vehicles[row.vehicle].name,
                "adds": near(place.blocked_adds),
                "total": up(total, "time"),
                "limit": down(row.ground_limit),
            }
            yield Hit(f"{place.path}.blocked_adds", values)


@finding("rescue-route-untimed", "fix-soon", documents=(RESCUE,))
def rescue_route_untimed(view: View) -> Iterator[Hit]:
    """What it looks at: ways to a kit that are blocked at times, without the time of the way round.

    Why: the rescue takes longer by nobody knows how much. Example: the second track is occupied, no time given. Reference:
    common practice, no published source.
    """
    for place in view.site.rescue.kit_places:
        if place.blocked_when is not None and place.blocked_adds is None and any(True for _ in _counting(view, place)):
            yield Hit(f"{place.path}.blocked_adds", {"part": place.kit or NOT_STATED, "when": place.blocked_when})


@finding("kit-place-missing", "fix-soon", documents=(RESCUE,))
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


@finding("kit-check-stale", "fix-soon", documents=(RESCUE,))
def kit_check_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when someone last saw the kit in its place.

    Why: kits get borrowed. Exactly at the interval is not stale. Example: seal unchecked for 94 days. Reference:
    common practice, 3 months.
    """
    interval = practice("kit_check_interval").interval
    for place in view.site.rescue.kit_places:
        seen = view.happened.kit_of(place.kit)
        if seen is not None and seen.on is not None and interval.after(seen.on) < view.as_of:
            values: dict[str, Value] = {"part": place.kit or NOT_STATED, "last": seen.on, "interval": interval.text}
            yield Hit(place.path, values)


@finding("kit-never-checked", "fix-soon", documents=(RESCUE,))
def kit_never_checked(view: View) -> Iterator[Hit]:
    """What it looks at: kits in whose place nobody is recorded as having looked.

    Why: kits get borrowed. Example: no look at it in the log. Reference: common practice.
    """
    for place in view.site.rescue.kit_places:
        if view.happened.kit_of(place.kit) is None:
            yield Hit(place.path, {"part": place.kit})


@finding("kit-not-whole", "must-fix", documents=(RESCUE,), basis="law:rescue_duty", stops="use")
def kit_not_whole(view: View) -> Iterator[Hit]:
    """What it looks at: what the last look at each kit found.

    Why: a method that needs it cannot be carried out. Example: seal broken, rope missing. Reference: 29 CFR
    1910.140(c)(21) (memory); common practice.
    """
    for method in _own(view):
        for kit in _kits(view, method):
            seen = view.happened.kit_of(kit.id)
            if seen is not None and seen.whole is False:
                yield Hit(seen.path, {"part": kit.id, "on": seen.on or NOT_STATED}, about=kit.path)


@finding("casualty-posture-wording", "must-fix", documents=(RESCUE,), basis="standard:UK HSE RR708 (2009)|read")
def casualty_posture_wording(view: View) -> Iterator[Hit]:
    """What it looks at: text that keeps a rescued person upright.

    Why: older advice; current reviews lay the person flat. Example: "keep the person sitting for 30 minutes".
    Reference: HSE RR708 (2009); ICAR MedCom (2023).
    """
    rescue = view.site.rescue
    texts = [(f"{rescue.casualty_care.path}.position", rescue.casualty_care.position)]
    texts += [(f"{s.path}.text", s.text) for m in rescue.methods for s in m.steps]
    for path, text in texts:
        for caught in found_in_any(text, "casualty", view.languages):
            yield Hit(path, {"words": caught.text, "instead": caught.instead})


@finding("care-unstated", "fix-soon", documents=(RESCUE,), basis="law:first_aid")
def care_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how the casualty is laid, and whose direction that is.

    Why: first aiders ask. Example: neither position nor source. Reference: common practice.
    """
    care = view.site.rescue.casualty_care
    if view.site.rescue.methods and (care.position is None or care.source is None):
        yield Hit(care.path)


@finding("contacts-missing", "must-fix", documents=(RESCUE,), basis="law:emergency_numbers")
def contacts_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether there is any number to call.

    Why: a rescue procedure without one is no use at 02:00. Example: an empty list. Reference: 29 CFR 1910.151 and
    1910.38 (memory); common practice.
    """
    if not view.site.emergency.contacts:
        yield Hit("emergency.contacts")


@finding("emergency-number-unknown", "must-fix", documents=(RESCUE, NOTICE), basis="law:public_emergency_number")
def emergency_number_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: whether any public emergency number is known, of the site or read in the law of the place.

    Why: without one no rescue of the site has help from outside, and no closed bay tells whom to call. A number of the law is printed until the
    site states its own. Example: no number in the profile, of a place whose law nobody read. Reference: common practice, no published source.
    """
    public = view.site.emergency.public
    if public.number is None and view.law.ask("public_emergency_number").number is None:
        yield Hit(public.path)


@finding("number-unlisted", "must-fix", documents=(RESCUE, NOTICE))
def number_unlisted(view: View) -> Iterator[Hit]:
    """What it looks at: the number of outside help and the public emergency number, against the numbers that are listed to be called and the public number of the law.

    Why: only a listed number is ever tried, and a slip shows in the emergency. Example: 91, where 911 is listed. Reference: common practice, no published source.
    """
    call = view.site.emergency
    law = view.law.ask("public_emergency_number")
    known = {digits(contact.number) for contact in call.contacts} | set(SHORT.findall(law.says_plain))
    public, help_ = call.public.number, view.site.rescue.external.phone
    if public is not None and digits(public) not in known:
        yield Hit(f"{call.public.path}.number", {"number": public})
    if help_ is not None and digits(help_) not in known | ({digits(public)} if public is not None else set()):
        yield Hit(f"{view.site.rescue.external.path}.phone", {"number": help_})


@finding("emergency-number-elsewhere", "must-fix", documents=(RESCUE, NOTICE), basis="law:public_emergency_number")
def emergency_number_elsewhere(view: View) -> Iterator[Hit]:
    """What it looks at: public emergency numbers that the site states or lists and that the law of the place does not name.

    Why: whoever calls it reaches nobody, or a service of another place; nobody may dial it to find out. Not looked at where no law was read.
    Example: 999 beside 911. Reference: the answers of the sets of law; ITU-T E.161.1 for 112 and 911 (from memory).
    """
    call = view.site.emergency
    here = set(SHORT.findall(view.law.ask("public_emergency_number").says_plain))
    if not here:
        return
    elsewhere = EMERGENCY_NUMBERS - here - {other for number in here for other in ANSWERED_TOO.get(number, ())}
    for path, number in ((call.public.path, call.public.number), *((c.path, c.number) for c in call.contacts)):
        if number is not None and digits(number) in elsewhere:
            yield Hit(f"{path}.number", {"number": number, "here": listed(sorted(here))})


@finding("own-line-public", "must-fix", documents=(RESCUE, NOTICE))
def own_line_public(view: View) -> Iterator[Hit]:
    """What it looks at: whether the second number of the alarm line, the number to call back and the telephones of roles are public emergency
    numbers, of this place or another.

    Why: nobody of the site answers there, and an ambulance cannot call back on it. Example: callback 911. Reference: common practice, no published source.
    """
    call = view.site.emergency
    public = EMERGENCY_NUMBERS | {digits(call.public.number or "")} - {""}
    lines = [(f"{call.second.path}.number", call.second.number), (f"{call.path}.callback", call.callback)]
    for path, number in (*lines, *((f"{role.path}.phone", role.phone) for role in view.site.roles)):
        if number is not None and digits(number) in public:
            yield Hit(path, {"number": number})


@finding("post-two-numbers", "must-fix", documents=(RESCUE, NOTICE))
def post_two_numbers(view: View) -> Iterator[Hit]:
    """What it looks at: the number of each listed contact that bears the title of a role, against the telephone of that role.

    Why: one paper prints the one and another paper the other, and one of them is old. Spelled otherwise it is the same number. Example: the
    telephone of the supervisor is changed under roles, and not among the contacts. Reference: common practice, no published source.
    """
    for contact in view.site.emergency.contacts:
        for role in view.site.roles:
            if name_key(contact.role) != name_key(role.title) or None in (contact.number, role.phone):
                continue
            if digits(contact.number or "") != digits(role.phone or ""):
                values = {"contact": contact.role, "listed": contact.number or "", "own": role.phone or "", "role": role.id}
                yield Hit(f"{contact.path}.number", values)


@finding("contact-stale", "fix-soon", documents=(RESCUE, NOTICE), stops="use")
def contact_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when each number was last tried.

    Why: phones move and people retire. On the due day nothing is stale. Example: last dialled 2025-06-01. Reference:
    common practice, 6 months.
    """
    for due in overdue(view, "contact-test"):
        yield Hit(due.path, {"contact": due.id, "last": due.last, "interval": due.interval})


@finding("contact-never-tested", "fix-soon", documents=(RESCUE, NOTICE), stops="use")
def contact_never_tested(view: View) -> Iterator[Hit]:
    """What it looks at: numbers that nobody ever tried.

    Why: a wrong digit shows only in the emergency. Example: no call to it in the log, or to another number than today's. Reference: common practice.
    """
    for contact in view.site.emergency.contacts:
        if view.happened.called(contact) is None:
            yield Hit(contact.path, {"contact": contact.role})


@finding("contact-private", "fix-soon", documents=(RESCUE, NOTICE))
def contact_private(view: View) -> Iterator[Hit]:
    """What it looks at: private numbers among those that posted copies print.

    Why: a person's own number hangs at the gate and outlives the job. Example: the rescue lead's own telephone.
    Reference: common practice, no published source.
    """
    for contact in view.site.emergency.contacts:
        if contact.private:
            yield Hit(f"{contact.path}.private", {"contact": contact.role})


@finding("radio-not-suitable", "must-fix", documents=(RESCUE,))
def radio_not_suitable(view: View) -> Iterator[Hit]:
    """What it looks at: radios in a classified area.

    Why: what is not suitable may be a source of ignition, or stays in the office. Example: Class I, Division 2, radio
    not marked. Reference: 29 CFR 1910.307 (memory).
    """
    for bay in bays_in_use(view):
        radio = view.site.emergency.radio
        if not said_none(bay.electrical.classified) and radio.channel is not None and radio.suitable_for_area is not True:
            yield Hit(f"{radio.path}.suitable_for_area", {"bay": bay.name, "area": bay.electrical.classified or NOT_STATED})
            return


@finding("alarm-unstated", "fix-soon", documents=(RESCUE,))
def alarm_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how the alarm is raised, and what is used when that fails.

    Why: the first step of every method. Example: no channel and no backup. Reference: 29 CFR 1910.165 (memory); common
    practice.
    """
    radio = view.site.emergency.radio
    if radio.channel is None or radio.backup is None:
        yield Hit(radio.path)


@finding("location-words-missing", "fix-soon", documents=(RESCUE,))
def location_words_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the words in which a caller says where the site is.

    Why: callers under stress read them off. Example: left out. Reference: common practice.
    """
    if view.site.emergency.location_words is None:
        yield Hit("emergency.location_words")
