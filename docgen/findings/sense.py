"""Findings on new facts that cannot be right together: ranges the wrong way round, places beyond an end, parts named for what they are not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import pairwise

from docgen.engineering.chains import ENDS
from docgen.engineering.levels import deck_kind
from docgen.engineering.spread import spread
from docgen.findings.common import (
    bays_in_use,
    listed,
    parts_in_use,
    parts_relied_on,
    said_none,
    systems_in_use,
    terms,
    vehicles_in_use,
)
from docgen.findings.model import Value
from docgen.findings.rule import ALL, NOTICE, PLAN, RECORD, RESCUE, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import over
from docgen.site import Part, Quantity
from docgen.site.facts import HAULING
from docgen.site.obstacle import Obstacle
from docgen.trade.parents import can_be_part_of

__all__ = [
    "aed_none",
    "anchor_of_another_bay",
    "darkest_shift_light",
    "deck_beyond_tolerance",
    "end_stop_unplaced",
    "end_stops_at_one_end",
    "estimate_spread",
    "gate_shift_unstated",
    "line_angle_other_rail",
    "method_follows_itself",
    "part_of_itself",
    "part_of_wrong_kind",
    "phone_in_forbidden_area",
    "place_beyond_end",
    "posting_beside_same_language",
    "rail_part_wrong",
    "range_reversed",
    "spare_in_use",
    "stop_is_no_stop",
    "stop_named_twice",
    "stop_of_other_rail",
]


def _pairs(view: View) -> Iterator[tuple[Quantity | None, Quantity | None]]:
    """Two figures of which the first may not be more than the second."""
    for bay in bays_in_use(view):
        yield bay.rail.hangers.first, bay.rail.hangers.last
        yield from _across_and_up(bay.obstructions)
    for vehicle in vehicles_in_use(view):
        yield from _across_and_up(vehicle.protrusions)
        yield vehicle.gauge.deck_from, vehicle.gauge.deck_to
        yield vehicle.walk.from_, vehicle.walk.to
        yield vehicle.deck_range.loaded, vehicle.deck_range.empty
        yield from ((hatch.lower, vehicle.deck) for hatch in vehicle.hatches)
    for vehicle in view.site.vehicles:  # a ban is computed and printed too
        places = {task.bay for task in view.site.tasks if task.vehicle == vehicle.id}
        if places:
            yield from ((side.lower.height, vehicle.deck) for side in vehicle.sides if not side.stopped_by)
        yield from ((vehicle.deck, bay.rail.underside) for bay in bays_in_use(view) if bay.id in places)
    for system in systems_in_use(view):
        bay = next(b for b in bays_in_use(view) if b.id == system.bay)
        yield from ((bay.rail.deflection, load.deflection) for load in system.load_cases)
    crew, standing = view.site.limits.stature, view.site.limits.d_ring.standing
    yield crew.shortest, crew.tallest
    yield crew.shortest, standing
    yield standing, crew.tallest
    yield view.site.limits.lower.value, view.site.limits.upper.value
    yield view.site.limits.weather.wind, view.site.limits.weather.gust
    yield from ((part.capacity.min, part.capacity.max) for part in view.site.equipment)
    for time in (step.time for method in view.site.rescue.methods for step in method.steps):
        known = [t for t in (time.best, time.likely, time.worst) if t is not None]
        yield from pairwise(known)
    yield from ((post.from_, post.until) for shift in view.site.shifts for post in shift.posts)


def _across_and_up(things: Iterable[Obstacle]) -> Iterator[tuple[Quantity | None, Quantity | None]]:
    for thing in things:
        yield thing.bottom, thing.top
        yield thing.from_, thing.to


@finding("range-reversed", "must-fix", documents=(PLAN, RESCUE))
def range_reversed(view: View) -> Iterator[Hit]:
    """What it looks at: figures that belong together and stand the wrong way round: the lowest deck that is accepted above the
    highest, the end of the walk before its beginning, the first hanger beyond the last, a loaded deck above the empty one, what
    one lands on below an edge or inside a hatch above the deck, the deck above the rail over it (both of a banned task too), the lowest point of an obstruction above its highest or its near face beyond its far
    one, the shortest climber taller than the standing D-ring that was measured, or that one than the tallest, the lowest mass of climbers
    or of a label above the highest, a steady wind that stops work above the gust that does, the rail bent less under two people than under one, a step of a rescue that takes less when things go badly, a post that ends before it begins.

    Why: one of the two is a slip, and nobody can say which. Equal figures are right. Example: deck from 12.5 ft to 11.5 ft.
    Reference: common practice.
    """
    for low, high in _pairs(view):
        if low is not None and high is not None and over(low.si, high.si):
            yield Hit(low.path, {"low": low.path, "is": near(low), "high": high.path, "other": near(high)})


#: How many times the usual time the worst one may be before one of them is taken for a slip.
TIMES = 10.0


@finding("estimate-spread", "fix-soon", documents=(RESCUE,))
def estimate_spread(view: View) -> Iterator[Hit]:
    """What it looks at: whether the worst time of a step of a rescue is more than ten times its usual one, or its best where no usual one stands.

    Why: the worst decides, and minutes are soon typed as hours; also where no limit counts the step. Exactly ten times is let pass. Example: help
    arrives in 9 min, at worst in 8 h. Reference: own choice; common practice, no published source.
    """
    for method in view.site.rescue.methods:
        for step in method.steps:
            usual = step.time.likely or step.time.best
            worst = step.time.worst
            if usual is not None and worst is not None and over(worst.si, TIMES * usual.si):
                yield Hit(worst.path, {"method": method.name, "usual": near(usual), "worst": up(worst)})


@finding("place-beyond-end", "must-fix", documents=(PLAN,))
def place_beyond_end(view: View) -> Iterator[Hit]:
    """What it looks at: places along a vehicle or a rail that lie beyond its length.

    Why: the place or the length is wrong, and both decide where the rail protects. At the end itself is right. Example: a
    walkway to 44 ft on a vehicle of 42 ft. Reference: common practice.
    """
    ends: list[tuple[Quantity | None, Quantity | None]] = []
    for bay in bays_in_use(view):
        ends.append((bay.rail.hangers.last, bay.rail.length))
    for vehicle in vehicles_in_use(view):
        ends.append((vehicle.walk.to, vehicle.length))
        ends += [(hatch.at, vehicle.length) for hatch in vehicle.hatches]
    for place, length in ends:
        if place is not None and length is not None and over(place.si, length.si):
            yield Hit(place.path, {"place": place.path, "is": up(place), "length": down(length)})


@finding("deck-beyond-tolerance", "must-fix", documents=(PLAN,))
def deck_beyond_tolerance(view: View) -> Iterator[Hit]:
    """What it looks at: whether the decks that the gauge accepts, and the deck empty and loaded, lie within the measured deck and its
    tolerance.

    Why: every case is worked out within that tolerance and nowhere else. At its end is within. Example: deck 12.0 ft, give or
    take 0.3 ft, and a gauge that accepts 11.5 ft. Reference: common practice.
    """
    for vehicle in vehicles_in_use(view):
        deck = vehicle.deck
        if deck is None:
            continue
        measured, _ = spread(deck, deck_kind(vehicle), view.system)
        low, high = measured.low, measured.high
        accepted = (vehicle.gauge.deck_from, vehicle.gauge.deck_to, vehicle.deck_range.empty, vehicle.deck_range.loaded)
        for figure in accepted:
            if figure is not None and (over(low, figure.si) or over(figure.si, high)):
                yield Hit(
                    figure.path,
                    {
                        "vehicle": vehicle.name,
                        "input": figure.path,
                        "is": near(figure),
                        "low": up(low, "length"),
                        "high": down(high, "length"),
                    },
                )


@finding("end-stops-at-one-end", "must-fix", documents=(PLAN,))
def end_stops_at_one_end(view: View) -> Iterator[Hit]:
    """What it looks at: two end stops of a rail that are said to be at the same end.

    Why: then the other end has none, or one of the two is called by the wrong end. Example: both at the north end. Reference:
    common practice.
    """
    for bay in bays_in_use(view):
        seen: set[str] = set()
        for stop in bay.rail.stops:
            end = " ".join(stop.at.split()).casefold()
            if end in seen:
                yield Hit(stop.path, {"bay": bay.name, "end": stop.at})
            seen.add(end)


@finding("stop-is-no-stop", "must-fix", documents=(PLAN,))
def stop_is_no_stop(view: View) -> Iterator[Hit]:
    """What it looks at: whether the part named as an end stop is one.

    Why: the rating of another part says nothing about the stop. Example: the trolley named as stop. Reference: common practice.
    """
    for bay in bays_in_use(view):
        for stop in bay.rail.stops:
            part = view.site.part(stop.part)
            if part is not None and part.kind != "end-stop":
                yield Hit(f"{stop.path}.part", {"bay": bay.name, "part": part.id, "kind": terms((part.kind,))})


@finding("stop-named-twice", "must-fix", documents=(PLAN,))
def stop_named_twice(view: View) -> Iterator[Hit]:
    """What it looks at: whether one stop is named at more ends than there are of it.

    Why: then one of the ends has none that anybody knows. A record with a count stands for so many. Example: ES-1 at the north end and at the south end.
    Reference: common practice.
    """
    uses: dict[str, int] = {}
    for bay in view.site.bays:
        for stop in bay.rail.stops:
            part = view.site.part(stop.part)
            if part is None:
                continue
            uses[part.id] = uses.get(part.id, 0) + 1
            if uses[part.id] > (part.count or 1) and bay in bays_in_use(view):
                yield Hit(f"{stop.path}.part", {"bay": bay.name, "part": part.id, "end": stop.at})


@finding("stop-of-other-rail", "must-fix", documents=(PLAN,))
def stop_of_other_rail(view: View) -> Iterator[Hit]:
    """What it looks at: whether the stop named at an end is part of the rail of that bay, where it is part of a rail.

    Why: the rating of another rail says nothing about what stops the trolley here. Example: ES-1 over the truck bay is part of R-2. Reference:
    common practice.
    """
    for bay in bays_in_use(view):
        system = view.site.system_of(bay.id)
        here = [p.id for p in view.site.parts(system.parts, "rail")] if system is not None else []
        for stop in bay.rail.stops if here else ():
            part = view.site.part(stop.part)
            rails = [p.id for p in view.site.parts(view.site.within(part.id), "rail")] if part is not None else []
            if part is not None and rails and not set(rails) & set(here):
                yield Hit(f"{stop.path}.part", {"bay": bay.name, "part": part.id, "rail": listed(rails), "hangs": listed(here)})


@finding("end-stop-unplaced", "must-fix", documents=(PLAN, RECORD))
def end_stop_unplaced(view: View) -> Iterator[Hit]:
    """What it looks at: whether each end of the rail is in the list of its stops, and each stop that hangs on the rail at one of them.

    Why: a stop that nobody places may be at neither end, and where it is missing the trolley runs off. A place that names no stop, or a wrong one, may be its place. Example:
    ES-1 at the north end, ES-2 part of R-1 and in no list. Reference: common practice, no published source.
    """
    for bay in bays_in_use(view):
        stops, system = bay.rail.stops, view.site.system_of(bay.id)
        if system is None or not (stops or f"{bay.rail.path}.stops" in view.site.answered):
            continue  # no list at all is asked for as a missing fact
        there = {p.id: p.count or 1 for p in view.site.load_path(system) if p.kind == "end-stop"}
        named = Counter(stop.part for stop in stops)
        loose = [key for key, count in there.items() for _ in range(count - named[key])]
        open_ = len(stops) - sum(min(named[key], count) for key, count in there.items())
        if len(stops) < ENDS or len(loose) > open_:
            values: dict[str, Value] = {
                "bay": bay.name,
                "placed": listed(stop.at if stop.part is None else f"{stop.at} ({stop.part})" for stop in stops) or NOT_STATED,
                "parts": listed(loose) or NOT_STATED,
            }
            yield Hit(f"{bay.rail.path}.stops", values)


@finding("rail-part-wrong", "must-fix", documents=(PLAN,))
def rail_part_wrong(view: View) -> Iterator[Hit]:
    """What it looks at: whether the rail named over a bay is a rail, and one of the system of that bay.

    Why: heights and bending are those of one rail, the strength then that of another. Example: R-2 named over the bay whose system hangs on R-1.
    Reference: common practice.
    """
    for bay in bays_in_use(view):
        part, system = view.site.part(bay.rail.part), view.site.system_of(bay.id)
        if part is None or system is None:
            continue
        if part.kind != "rail" or part.id not in system.parts:
            values: dict[str, Value] = {"bay": bay.name, "part": part.id, "kind": terms((part.kind,)), "system": system.id}
            yield Hit(f"{bay.rail.path}.part", values)


@finding("line-angle-other-rail", "must-fix", documents=(PLAN,))
def line_angle_other_rail(view: View) -> Iterator[Hit]:
    """What it looks at: whether the maker's line angle of a device is stated for the rail on which the device hangs.

    Why: an angle for another rail says nothing about this one. Example: D-1 hangs on R-1, and its angle is for R-2. Reference:
    common practice.
    """
    for system in systems_in_use(view):
        rails = [p.id for p in view.site.parts(system.parts, "rail")]
        for part in view.site.arresting(system):
            named = part.line_angle.rail
            if named is not None and rails and named not in rails:
                yield Hit(f"{part.line_angle.path}.rail", {"device": part.id, "rail": named, "hangs": listed(rails)})


@finding("part-of-itself", "must-fix", documents=(PLAN,))
def part_of_itself(view: View) -> Iterator[Hit]:
    """What it looks at: parts said to be part of one another in a circle.

    Why: none of them has a rating of its own then. Example: T-1 is part of R-1, and R-1 part of T-1. Reference: common practice.
    """
    for part in view.site.equipment:
        if _comes_back(view, part):
            yield Hit(f"{part.part_of.path}.part", {"part": part.id, "whole": part.part_of.part or ""})


@finding("part-of-wrong-kind", "must-fix", documents=(PLAN,))
def part_of_wrong_kind(view: View) -> Iterator[Hit]:
    """What it looks at: what each part is said to be part of, by the kinds of both.

    Why: the rating of the whole then speaks for something that it does not hold. Example: a hanger that is part of the device. Reference:
    common practice, no published source; parents.yaml.
    """
    for part in parts_relied_on(view):
        whole = view.site.part(part.part_of.part)
        if whole is not None and not can_be_part_of(part.kind, whole.kind):
            values: dict[str, Value] = {
                "part": part.id,
                "kind": terms((part.kind,)),
                "whole": whole.id,
                "other": terms((whole.kind,)),
            }
            yield Hit(f"{part.part_of.path}.part", values)


def _comes_back(view: View, part: Part) -> bool:
    seen: set[str] = set()
    at = part.part_of.part
    while at is not None and at not in seen:
        if at == part.id:
            return True
        seen.add(at)
        whole = view.site.part(at)
        at = whole.part_of.part if whole is not None else None
    return False


@finding("spare-in-use", "must-fix", documents=(PLAN,))
def spare_in_use(view: View) -> Iterator[Hit]:
    """What it looks at: parts that are said to be spares and hang in a load path or belong to a rescue method.

    Why: a spare is not counted and not looked at as often. Example: D-3 is a spare and hangs in system S1. Reference: common
    practice.
    """
    for part in parts_in_use(view):
        if part.spare:
            yield Hit(f"{part.path}.spare", {"part": part.id})


@finding("phone-in-forbidden-area", "must-fix", documents=ALL)
def phone_in_forbidden_area(view: View) -> Iterator[Hit]:
    """What it looks at: a bay phone at a place where the area class does not allow one.

    Why: who calls for help there may light what leaks. Example: area_allows is false. Reference: common practice, area
    classification drawing.
    """
    for bay in bays_in_use(view):
        if bay.phone.area_allows is False:
            yield Hit(f"{bay.phone.path}.area_allows", {"bay": bay.name, "place": bay.phone.place or bay.name})


@finding("anchor-of-another-bay", "must-fix", documents=(RESCUE,), stops="use")
def anchor_of_another_bay(view: View) -> Iterator[Hit]:
    """What it looks at: whether a method that hauls from an anchor names one in each bay in which it serves.

    Why: an anchor in another bay holds nobody here. Example: M2 serves both bays and names RA-1 of the truck bay only.
    Reference: common practice.
    """
    for method in view.site.rescue.methods:
        if method.kind not in HAULING or not method.rescue_anchors:
            continue
        for bay in bays_in_use(view):
            here = {t.vehicle for t in view.site.tasks if t.bay == bay.id and t.permission == "allowed"}
            serves = not method.vehicles or bool(here & set(method.vehicles))
            if serves and not {a.id for a in bay.rescue_anchors} & set(method.rescue_anchors):
                yield Hit(
                    f"{method.path}.rescue_anchors",
                    {"method": method.id, "bay": bay.name, "anchors": listed(method.rescue_anchors)},
                )


@finding("method-follows-itself", "must-fix", documents=(RESCUE,))
def method_follows_itself(view: View) -> Iterator[Hit]:
    """What it looks at: a method that is said to follow when the same method fails.

    Why: what has failed does not help a second time. Example: M2 follows M2. Reference: common practice.
    """
    for method in view.site.rescue.methods:
        if method.next.method == method.id:
            yield Hit(f"{method.next.path}.method", {"method": method.id})


@finding("gate-shift-unstated", "must-fix", documents=(RESCUE,))
def gate_shift_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: whether it is said for each climbing shift how the gate opens for the ambulance.

    Why: an ambulance at a locked gate is no help. Example: day is listed, night is not. Reference: common practice.
    """
    listed_shifts = {o.shift for o in view.site.site.gate.opens}
    for shift in view.site.shifts:
        if listed_shifts and shift.climbing and shift.id not in listed_shifts:
            yield Hit(f"{view.site.site.gate.path}.opens", {"shift": shift.name or shift.id})


@finding("darkest-shift-light", "fix-soon", documents=(RESCUE,))
def darkest_shift_light(view: View) -> Iterator[Hit]:
    """What it looks at: whether the shift that is called the darkest is a night shift, where people climb at night.

    Why: practice in daylight shows nothing about the night. Example: day is called the darkest, and a night shift climbs.
    Reference: common practice.
    """
    named = view.site.shift(view.site.rescue.practice.darkest_shift)
    if named is not None and not named.night and any(s.night and s.climbing for s in view.site.shifts):
        yield Hit(f"{view.site.rescue.practice.path}.darkest_shift", {"shift": named.name or named.id})


@finding("posting-beside-same-language", "fix-soon", documents=(NOTICE,))
def posting_beside_same_language(view: View) -> Iterator[Hit]:
    """What it looks at: whether the paper that hangs beside another is in another language.

    Why: two sheets in one language leave the others without one. Example: GATE-1 and GATE-2 side by side, both English.
    Reference: common practice.
    """
    by_id = {p.id: p for p in view.site.posting}
    for posting in view.site.posting:
        other = by_id.get(posting.beside or "")
        if other is not None and posting.language is not None and posting.language == other.language:
            yield Hit(f"{posting.path}.beside", {"posting": posting.id, "other": other.id, "language": posting.language})


@finding("aed-none", "advice", documents=(RESCUE,))
def aed_none(view: View) -> Iterator[Hit]:
    """What it looks at: a site that says that it has no defibrillator.

    Why: a person who is brought down without breathing needs one in minutes. Example: place none. Reference: common practice.
    """
    aed = view.site.rescue.aed
    if aed and aed.place is not None and said_none(aed.place):
        yield Hit(f"{aed.path}.place", {"site": view.site.site.name})
