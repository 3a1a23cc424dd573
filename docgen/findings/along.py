"""Findings along the rail: work past its end, the ladder, hatches, ways from one climbing place to another, vehicles without a task."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.engineering.along import Measures, ladder_past, work_past
from docgen.engineering.case.label import above_tested, arrest_figures, for_mass
from docgen.engineering.cases import passes_person
from docgen.engineering.ladder import ladder
from docgen.engineering.sheet import Sheet
from docgen.findings.common import bays_in_use, listed, said_none, terms, vehicles_in_use
from docgen.findings.model import Value
from docgen.findings.rule import NOTICE, PLAN, RECORD, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import over, under
from docgen.site import Bay, Part, Task, Vehicle
from docgen.text.said import lengths_in
from docgen.text.screens import found_in_any
from docgen.trade.practice import practice, practice_beside

__all__ = [
    "cover_not_kept",
    "crossing_unattached",
    "crossing_untold",
    "edge_beyond_vehicle",
    "hatch_past_walk",
    "hatch_too_small",
    "ladder_angle_over",
    "ladder_beyond_vehicle",
    "ladder_device_limits",
    "ladder_device_not_shorter",
    "ladder_inside_vehicle",
    "ladder_past_rail",
    "ladder_side_differs",
    "lids_differ",
    "opening_untold",
    "past_end_contradicts",
    "vehicle_without_task",
    "work_past_rail",
]

#: What protects on a ladder and is left for the rail at its top.
OWN_PROTECTION = ("ladder-device", "gangway")


def _placed(view: View) -> Iterator[tuple[Task, Bay, Vehicle, float]]:
    """Each allowed task whose places along the rail are known, with how far they lie past its last hanger after tolerances."""
    for task in view.site.tasks:
        bay, vehicle = view.bays.get(task.bay), view.vehicles.get(task.vehicle)
        if task.permission != "allowed" or bay is None or vehicle is None:
            continue
        past = work_past(bay, vehicle, Measures(Sheet(task.path), view.system))
        if past is not None:
            yield task, bay, vehicle, past.high


@finding("work-past-rail", "must-fix", documents=(PLAN, RECORD, NOTICE))
def work_past_rail(view: View) -> Iterator[Hit]:
    """What it looks at: the places that work reaches along the vehicle, as it stands under the rail, against the first and the last hanger.

    Why: past the rail a fall begins with a swing along it, and the trolley may meet its stop first. What a task states as reach past the end
    counts; places beyond it do not. Example: hangers to 59 ft, vehicle parked at 20 ft, walkway to 40 ft. Reference: geometry.
    """
    for task, bay, vehicle, past in _placed(view):
        stated = task.past_end_stop
        allowed = 0.0 if stated is None else stated.si + stated.tolerance
        if over(past, allowed):
            values: dict[str, Value] = {"task": task.id, "vehicle": vehicle.name, "bay": bay.name, "past": up(past, "length")}
            values |= {"stated": NOT_STATED if stated is None else down(stated)}
            yield Hit(f"{task.path}.past_end_stop", values)


@finding("past-end-contradicts", "fix-soon", documents=(PLAN, RECORD))
def past_end_contradicts(view: View) -> Iterator[Hit]:
    """What it looks at: a reach past the end that a task states, against a vehicle that lies under the rail or nearer to its end.

    Why: one of the two was measured wrong; the larger is counted. Example: 1.5 ft stated, and every place lies under the rail.
    Reference: geometry.
    """
    for task, bay, vehicle, past in _placed(view):
        stated = task.past_end_stop
        if stated is not None and over(stated.si - stated.tolerance, past):
            values: dict[str, Value] = {"task": task.id, "vehicle": vehicle.name, "bay": bay.name}
            yield Hit(stated.path, values | {"stated": near(stated), "past": up(past, "length")})


@finding("ladder-past-rail", "must-fix", documents=(PLAN, RECORD, NOTICE))
def ladder_past_rail(view: View) -> Iterator[Hit]:
    """What it looks at: the place of the ladder along the rail against its first and last hanger.

    Why: whoever climbs there hangs on a line that runs off along the rail from the first rung on. Example: ladder at 62 ft, last hanger
    at 61 ft. Reference: geometry.
    """
    for bay in bays_in_use(view):
        past = ladder_past(bay, Measures(Sheet(bay.path), view.system))
        if past is not None and over(past.high, 0.0):
            yield Hit(f"{bay.ladder.path}.at", {"bay": bay.name, "past": up(past.high, "length")})


@finding("ladder-angle-over", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:line_angle_max")
def ladder_angle_over(view: View) -> Iterator[Hit]:
    """What it looks at: the angle of the line at the top of the ladder, standing on the highest deck, after tolerances, against the lowest
    stated limit, those of the device that protects on the ladder among them.

    Why: the ladder often stands farther off the rail than any work. Example: ladder at 5.0 ft, trolley lag 2.0 ft, 8.7 ft of height: 33
    degrees. Reference: the device manual; common practice where it is silent.
    """
    for bay in bays_in_use(view):
        limits = [c.angle_limit for c in view.allowed if c.bay == bay.id and c.angle_limit is not None]
        climb = ladder(view.site, bay, Measures(Sheet(bay.path), view.system), Sheet(bay.path))
        if climb is None or climb.angle is None or climb.angle_worst is None or not limits:
            continue
        device = view.site.ladder_device(bay)
        own = () if device is None else (device.angle_max, device.line_angle.max)
        limits += [q for q in own if q is not None]
        limit = min(limits, key=lambda q: q.si)
        if over(climb.angle_worst, limit.si):
            values: dict[str, Value] = {"bay": bay.name, "angle": up(climb.angle_worst, "angle"), "limit": down(limit)}
            yield Hit(f"{bay.ladder.path}.offset", values | {"offset": up(climb.offset_worst, "length")})


@finding("vehicle-without-task", "fix-soon", documents=(PLAN, NOTICE))
def vehicle_without_task(view: View) -> Iterator[Hit]:
    """What it looks at: kinds of vehicle in the profile for which no task is listed, permitted or not.

    Why: nobody worked out a fall from it, and the papers do not ban it by name. Example: a lowboy in the list, and no task.
    Reference: common practice, no published source.
    """
    used = {task.vehicle for task in view.site.tasks}
    for vehicle in view.site.vehicles:
        if vehicle.id not in used:
            yield Hit(vehicle.path, {"vehicle": vehicle.name})


@finding("ladder-side-differs", "must-fix", documents=(PLAN, NOTICE))
def ladder_side_differs(view: View) -> Iterator[Hit]:
    """What it looks at: the side on which an arriving vehicle must have its ladder, against the side on which the bay has it.

    Why: then a vehicle is accepted that cannot be climbed where the rail was measured for it. Example: gauge left, bay right.
    Reference: common practice.
    """
    for task in view.site.tasks:
        bay, vehicle = view.bays.get(task.bay), view.vehicles.get(task.vehicle)
        if task.permission != "allowed" or bay is None or vehicle is None:
            continue
        wanted, there = vehicle.gauge.ladder_side, bay.ladder.side
        turned = bay.parking.along.either_way and {wanted, there} in ({"left", "right"}, {"front", "rear"})
        if wanted is not None and there is not None and wanted != there and not turned:
            yield Hit(
                f"{vehicle.gauge.path}.ladder_side",
                {"vehicle": vehicle.name, "wanted": terms((wanted,)), "bay": bay.name, "there": terms((there,))},
            )


@finding("ladder-device-not-shorter", "must-fix", documents=(PLAN, RECORD))
def ladder_device_not_shorter(view: View) -> Iterator[Hit]:
    """What it looks at: the device named for the ladder, where one with a shorter stopping distance is the control there: a retracting
    device, and its distance against the shortest of those that hang in the bay: the longest that holds for a task there, in its cold and for the posted limit.

    Why: a device that stops no sooner protects nobody below the mark. Example: the device of the deck named again; 18 in, and 36 in in the cold. Reference: common
    practice.
    """
    for bay in bays_in_use(view):
        device = view.site.ladder_device(bay)
        if device is None:
            continue
        tasks = [t for t in view.site.tasks if t.bay == bay.id and t.permission == "allowed"]
        if device.kind != "srd" or not all(_sooner(view, bay, task, device) for task in tasks):
            yield Hit(f"{bay.ladder.path}.device", {"device": device.id, "bay": bay.name})


def _sooner(view: View, bay: Bay, task: Task, device: Part) -> bool:
    """Whether a device is known to stop sooner in that task than every device that hangs in the bay and whose distance is known."""
    hung = view.site.system_of(bay.id)
    there = (_stops_in(view, bay, task, p) for p in view.site.parts(hung.parts if hung else (), "srd"))
    known, mine = [d for d in there if d is not None], _stops_in(view, bay, task, device)
    if device.arrest_distance is not None and above_tested(view.site) and for_mass(view.site, device) is None:
        return True  # told by arrest-mass-untested
    return mine is not None and (not known or under(mine, min(known)))


def _stops_in(view: View, bay: Bay, task: Task, device: Part) -> float | None:
    """The longest arrest distance of a device that holds for a task [m]; None where it is not known."""
    figures = arrest_figures(view.site, bay, task, device).value
    return None if figures is None else max(q.si for q in figures)


@finding("ladder-device-limits", "must-fix", documents=(PLAN, RECORD, NOTICE))
def ladder_device_limits(view: View) -> Iterator[Hit]:
    """What it looks at: the capacity of the device that protects on the ladder against both limits for a person.

    Why: it hangs in no system of the bay, so that no chain counts it, and everybody who climbs is on it first. Exactly the limits is enough. Example: 200 lb
    on the label, 310 lb posted; no capacity at all. Reference: 29 CFR 1910.140(c)(22) (memory); labels.
    """
    lower, upper = view.site.limits.lower.value, view.site.limits.upper.value
    for bay in bays_in_use(view):
        device = view.site.ladder_device(bay)
        if device is None:
            continue
        least, most = device.capacity.min, device.capacity.max
        if most is None or (upper is not None and over(upper.si, most.si)):
            values: dict[str, Value] = {"part": device.id, "bay": bay.name, "have": NOT_STATED if most is None else down(most)}
            yield Hit(f"{device.path}.capacity", values | {"limit": NOT_STATED if upper is None else up(upper)})
        if least is not None and lower is not None and under(lower.si, least.si):
            values = {"part": device.id, "bay": bay.name, "have": up(least), "limit": down(lower)}
            yield Hit(f"{device.path}.capacity.min", values)


@finding("lids-differ", "must-fix", documents=(PLAN, NOTICE))
def lids_differ(view: View) -> Iterator[Hit]:
    """What it looks at: the number of lids by which a vehicle is accepted, against the hatches that are described.

    Why: each lid is an opening that somebody can fall into, and one that is not described was not worked out. Example: three lids, two
    hatches. Reference: common practice.
    """
    for vehicle in vehicles_in_use(view):
        lids, told = vehicle.gauge.lids, len(vehicle.hatches)
        if lids is not None and lids != told and (told or f"{vehicle.path}.hatches" in view.site.answered):
            yield Hit(f"{vehicle.gauge.path}.lids", {"vehicle": vehicle.name, "lids": lids, "told": told})


@finding("opening-untold", "must-fix", documents=(PLAN, NOTICE))
def opening_untold(view: View) -> Iterator[Hit]:
    """What it looks at: vehicles without hatches, against what is done on them and what their surface is called.

    Why: an opening that is not described was not worked out. Example: hatches: [], and the task is to open the manlid. Reference: common practice;
    the word list in the words of each language.
    """
    for vehicle in vehicles_in_use(view):
        if vehicle.hatches or f"{vehicle.path}.hatches" not in view.site.answered:
            continue
        tasks = [t for t in view.site.tasks if t.vehicle == vehicle.id and t.permission == "allowed"]
        texts = (vehicle.surface, *(t.name for t in tasks))
        caught = [c.text for text in texts for c in found_in_any(text, "opening", view.languages)]
        if caught:
            yield Hit(f"{vehicle.path}.hatches", {"vehicle": vehicle.name, "words": listed(dict.fromkeys(caught))})


@finding("cover-not-kept", "must-fix", documents=(PLAN, RECORD, NOTICE))
def cover_not_kept(view: View) -> Iterator[Hit]:
    """What it looks at: the words for what closes a hatch: a lid that is opened during the work, or an opening left in it that passes a person.

    Why: a closed hatch is not worked out at all, and while the lid is open it is a hole. Example: locked lid, "opened while loading"; a bolted
    cover with a fill opening of 20 in. Reference: common practice; the word list in the words of each language; 12 in (0.30 m) as elsewhere.
    """
    least = practice("person_opening", "si", view.site.country)  # the smaller of its two forms, for a width in any unit
    for vehicle in vehicles_in_use(view):
        for barrier in (h.stopped_by for h in vehicle.hatches):
            opened = [c.text for c in found_in_any(barrier.what, "cover-opened", view.languages)]
            wide = (
                [text for text, size in lengths_in(barrier.what or "") if not under(size, least.si)]
                if barrier.kind != "grate"
                else []
            )
            if opened or wide:
                yield Hit(
                    f"{barrier.path}.what",
                    {"vehicle": vehicle.name, "words": listed((*opened, *wide)), "least": near(least.si, "length")},
                )


@finding("edge-beyond-vehicle", "must-fix", documents=(PLAN,))
def edge_beyond_vehicle(view: View) -> Iterator[Hit]:
    """What it looks at: the distance to each edge against the length of the vehicle: to the front and the rear the whole, to the sides half of it.

    Why: no edge is as far away, so one of the two was misread. Exactly that far is let pass. Example: rear edge 250 ft, tanker 42 ft long. Reference:
    geometry.
    """
    for vehicle in vehicles_in_use(view):
        for side in vehicle.sides:
            if vehicle.length is None or side.edge is None or side.stopped_by:
                continue
            most = vehicle.length.si if side.side in ("front", "rear") else vehicle.length.si / 2
            if over(side.edge.si, most):
                values: dict[str, Value] = {
                    "vehicle": vehicle.name,
                    "side": side.side,
                    "edge": near(side.edge),
                    "length": near(vehicle.length),
                }
                yield Hit(f"{side.path}.edge", values)


@finding("hatch-past-walk", "must-fix", documents=(PLAN, RECORD))
def hatch_past_walk(view: View) -> Iterator[Hit]:
    """What it looks at: the place of each hatch along the vehicle against where people go on it, within tolerances.

    Why: whoever works at the hatch goes there, so one of the two is wrong, and both decide where the rail protects. At the end of the walk is right. Example: a hatch
    at 41 ft, people go from 6 ft to 40 ft. Reference: geometry.
    """
    measures = Measures(Sheet("hatches"), view.system)
    for vehicle in vehicles_in_use(view):
        first, last = measures(vehicle.walk.from_), measures(vehicle.walk.to)
        for hatch in vehicle.hatches:
            at = measures(hatch.at)
            if hatch.at is None or at is None or first is None or last is None:
                continue
            if over(at.low, last.high) or under(at.high, first.low):
                values: dict[str, Value] = {"vehicle": vehicle.name, "at": near(hatch.at)}
                yield Hit(hatch.at.path, values | {"first": near(vehicle.walk.from_), "last": near(vehicle.walk.to)})


@finding("ladder-beyond-vehicle", "must-fix", documents=(PLAN, RECORD))
def ladder_beyond_vehicle(view: View) -> Iterator[Hit]:
    """What it looks at: the place of the ladder along the rail against where each kind of vehicle that is climbed on in the bay stands, whichever way round, within tolerances
    and what it may stand off.

    Why: a ladder beside no vehicle leads nowhere, so one of the figures is wrong, and the climb was worked out for another place. At the end of the vehicle is right.
    Example: ladder at 5 ft, vehicle from 8 ft to 50 ft. Reference: geometry.
    """
    measures = Measures(Sheet("ladders"), view.system)
    for bay in bays_in_use(view):
        at, front, off = measures(bay.ladder.at), measures(bay.parking.along.front), measures(bay.parking.along.off, "bound")
        used = {t.vehicle for t in view.site.tasks if t.bay == bay.id and t.permission == "allowed"}
        for vehicle in (v for v in view.site.vehicles if v.id in used):
            length = measures(vehicle.length)
            if bay.ladder.at is None or at is None or front is None or length is None:
                continue
            away = 0.0 if off is None else max(off.high, 0.0)
            if under(at.high, front.low - away) or over(at.low, front.high + length.high + away):
                values: dict[str, Value] = {"bay": bay.name, "vehicle": vehicle.name, "at": near(bay.ladder.at)}
                ends = {"front": near(front.nominal, "length"), "rear": near(front.nominal + length.nominal, "length")}
                yield Hit(bay.ladder.at.path, values | ends)


@finding("ladder-inside-vehicle", "must-fix", documents=(PLAN, RECORD))
def ladder_inside_vehicle(view: View) -> Iterator[Hit]:
    """What it looks at: how far the ladder stands from the center line, on its side, against the edge there of each kind of vehicle that is climbed on in the
    bay, within tolerances and what it may stand off.

    Why: nobody climbs inside the edge, so one of the figures is wrong; nearer to the rail the line of the climb is less steep and shorter on paper. At the edge is
    right. Example: ladder 1.0 ft from under the rail, edge 1.5 ft from the center line, rail over it. Reference: geometry.
    """
    measures = Measures(Sheet("ladders"), view.system)
    for bay in bays_in_use(view):
        side, toward = bay.ladder.side, bay.rail.offset_toward
        offset, rail, off = measures(bay.ladder.offset), measures(bay.rail.offset), measures(bay.parking.lateral, "bound")
        if side not in ("left", "right") or bay.ladder.offset is None or offset is None or rail is None:
            continue
        aside = max(abs(rail.low), abs(rail.high)) if toward is None else rail.high if toward == side else -rail.low
        out = aside + offset.high + (0.0 if off is None else max(off.high, 0.0))
        used = {t.vehicle for t in view.site.tasks if t.bay == bay.id and t.permission == "allowed"}
        for vehicle in (v for v in view.site.vehicles if v.id in used):
            for edge in (s.edge for s in vehicle.sides if s.side == side):
                at = measures(edge)
                if edge is not None and at is not None and under(out, at.low):
                    values: dict[str, Value] = {"bay": bay.name, "vehicle": vehicle.name, "offset": near(bay.ladder.offset)}
                    yield Hit(bay.ladder.offset.path, values | {"out": up(out, "length"), "edge": near(edge)})


@finding("hatch-too-small", "advice", documents=(PLAN, RECORD))
def hatch_too_small(view: View) -> Iterator[Hit]:
    """What it looks at: open hatches through which no person passes, so that a fall into them is not worked out.

    Why: whoever reads the record must see why there is no case for them. Example: a fill opening of 10 in. Reference: the figure of
    trade/practice.yaml, own choice.
    """
    for vehicle in vehicles_in_use(view):
        small = [h for h in vehicle.hatches if not h.stopped_by and h.size is not None and not passes_person(h, view.system)]
        if small:
            widest = max((h.size for h in small if h.size is not None), key=lambda q: q.si)
            least = practice_beside("person_opening", widest.unit, view.system, view.site.country)
            values: dict[str, Value] = {"vehicle": vehicle.name, "count": len(small), "size": up(widest)}
            yield Hit(small[0].path, values | {"least": least.text, "source": least.source})


@finding("crossing-unattached", "must-fix", documents=(PLAN, RECORD, NOTICE))
def crossing_unattached(view: View) -> Iterator[Hit]:
    """What it looks at: ways from one climbing place to another on which nobody is attached for a while.

    Why: a fall while the hooks are changed is a fall without anything. Example: the hook is taken off on one car and the next one hooked
    on after the step across. Reference: common practice, no published source.
    """
    for bay in bays_in_use(view):
        for crossing in bay.crossings:
            if crossing.attached is False:
                yield Hit(f"{crossing.path}.attached", {"bay": bay.name, "to": crossing.to})


@finding("crossing-untold", "must-fix", documents=(PLAN, RECORD, NOTICE))
def crossing_untold(view: View) -> Iterator[Hit]:
    """What it looks at: ways from one climbing place to another of which nothing says how people stay attached; a ladder with a protection
    of its own is such a way.

    Why: the change of hooks is where people come off both. Example: a ladder device to the top, and the rail from there. Reference:
    common practice, no published source.
    """
    for bay in bays_in_use(view):
        for crossing in bay.crossings:
            if crossing.attached is None or (crossing.attached and said_none(crossing.how)):
                yield Hit(crossing.path, {"bay": bay.name, "to": crossing.to})
        if bay.ladder.control in OWN_PROTECTION and not any(c.kind == "ladder" for c in bay.crossings):
            yield Hit(f"{bay.ladder.path}.control", {"bay": bay.name, "to": terms((bay.ladder.control,))})
