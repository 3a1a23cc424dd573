"""Findings on single parts: strength of connectors, inspections, age, labels, editions, temperature."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Literal

from docgen.engineering.demands import joint_demand
from docgen.findings.basis import basis_of_demand
from docgen.findings.common import (
    INSPECTED,
    asked,
    bays_in_use,
    intervals_over,
    listed,
    overdue,
    parts_in_use,
    parts_relied_on,
    systems_in_use,
    terms,
    whose,
    worded,
)
from docgen.findings.model import Value
from docgen.findings.rule import PLAN, SRD, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import over, same_figure
from docgen.site import Part, Quantity, Task
from docgen.site.log import Inspection
from docgen.text.screens import found_in_any
from docgen.trade.editions import current_edition, marks
from docgen.trade.practice import practice
from docgen.units import Interval

__all__ = [
    "cold_outside_range",
    "connector_not_locking",
    "connector_strength_low",
    "corrosive_unsuitable",
    "edition_not_in_table",
    "edition_old",
    "edition_unknown",
    "impact_loaded",
    "inspection_failed",
    "inspection_interval_long",
    "inspection_interval_over_law",
    "inspection_interval_over_manual",
    "inspection_interval_severe",
    "inspection_interval_unstated",
    "inspection_never",
    "inspection_overdue",
    "inspection_serial_differs",
    "inspection_serial_unread",
    "inspector_is_user",
    "label_photo_absent",
    "label_photo_missing",
    "model_labels_differ",
    "quarantined_in_use",
    "retire_passed",
    "standard_other_kind",
    "temperature_range",
    "weather_outside_range",
]

STRENGTHS: tuple[Literal["tensile", "proof", "gate_proof"], ...] = ("tensile", "proof", "gate_proof")


@finding("connector-strength-low", "must-fix", documents=(PLAN,), basis="law:connector_tensile_min")
def connector_strength_low(view: View) -> Iterator[Hit]:
    """What it looks at: tensile strength, proof load and gate load of connectors.

    Why: a gate or hook may open or break. Asked is the most that the law and the marked standard ask; where neither names a figure, that of the
    trade, and never less than the peak. Example: marked 3,000 lbf, 5,000 lbf needed. Reference: 29 CFR 1910.140(c)(7) and (8) (memory).
    """
    joints = [p for p in parts_relied_on(view) if p.kind in ("connector", "hook", "swivel")]
    for part in joints:
        for name in STRENGTHS:
            have: Quantity | None = getattr(part, name)
            need = joint_demand(view.site, view.binding, part, name)
            if have is not None and over(need.si, have.si):
                yield Hit(
                    f"{part.path}.{name}",
                    {"part": part.id, "what": terms((name,)), "have": down(have), "need": asked(view, need)},
                    basis=basis_of_demand(need, view.binding, view.site.country),
                )


@finding("connector-not-locking", "must-fix", documents=(PLAN,), basis="law:connector_locking")
def connector_not_locking(view: View) -> Iterator[Hit]:
    """What it looks at: whether gates close and lock by themselves.

    Why: an open gate lets go. Example: self_locking: false. Reference: 29 CFR 1910.140(c)(9) (memory).
    """
    for part in parts_relied_on(view):
        if part.kind in ("connector", "hook") and part.self_locking is False:
            yield Hit(f"{part.path}.self_locking", {"part": part.id})


def _inspected(view: View) -> tuple[Part, ...]:
    """Parts in use, and what lies where rescuers fetch from, whether a method counts on it or not: papers print it there, and somebody may take it."""
    used = {p.id for p in parts_relied_on(view)} | {place.kit for place in view.site.rescue.kit_places}
    return tuple(p for p in view.site.equipment if p.id in used and p.id not in view.happened.tagged)


@finding("inspection-overdue", "must-fix", documents=(PLAN,), basis=SRD, stops="use")
def inspection_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: the last inspection and its interval against the day of the check.

    Why: nobody knows its state. Due on the day itself is not overdue. Example: last 2024-12-10, 12 months. Reference:
    the manual; ANSI/ASSP Z359.14-2021 (memory).
    """
    parts = {p.id: p for p in _inspected(view)}
    for due in overdue(view, "inspection"):
        if (part := parts.get(due.id)) is not None:
            yield Hit(
                f"{part.inspection.path}.interval",
                {"part": part.id, "last": due.last, "interval": due.interval, "due": due.due},
            )


@finding("inspection-never", "must-fix", documents=(PLAN,), stops="use")
def inspection_never(view: View) -> Iterator[Hit]:
    """What it looks at: parts in use without any inspection in the log; the commissioning of a system counts as the first.

    Why: nobody knows their state. Example: a trolley added later. Reference: the manual; common practice.
    """
    for part in _inspected(view):
        wanted = part.kind in INSPECTED or part.inspection.interval is not None
        if wanted and view.happened.inspection_of(part.id) is None:
            yield Hit(f"{part.path}.inspection", {"part": part.id})


@finding("inspection-failed", "must-fix", documents=(PLAN,), stops="use")
def inspection_failed(view: View) -> Iterator[Hit]:
    """What it looks at: the result of the last inspection.

    Why: a failed part is still listed as in use. Example: result: fail, and the part is not tagged out. Reference: the
    manual; common practice.
    """
    for part in _inspected(view):
        look = view.happened.inspection_of(part.id)
        if look is not None and not look.passed:
            yield Hit(look.path, {"part": part.id}, about=part.path)


@finding("inspection-serial-unread", "fix-soon", documents=(PLAN,))
def inspection_serial_unread(view: View) -> Iterator[Hit]:
    """What it looks at: the last inspection of each device that has a number of its own, for the number that was read on it.

    Why: a device that was exchanged keeps the record of the one before unseen. A pool under one id has no single number. Example:
    D-1 passed on 2026-08-03, no serial number in the entry. Reference: common practice, no published source.
    """
    last = {look.part: look for look in sorted(view.happened.of(Inspection), key=lambda e: e.on or date.min)}
    for part in parts_in_use(view, "srd"):
        look = last.get(part.id)
        if look is not None and look.serial is None and part.serial is not None and part.count in (None, 1):
            yield Hit(look.path, {"part": part.id, "on": look.on or NOT_STATED, "serial": part.serial}, about=part.path)


@finding("inspection-serial-differs", "must-fix", documents=(PLAN,), stops="use")
def inspection_serial_differs(view: View) -> Iterator[Hit]:
    """What it looks at: the serial on the record against the one on the part.

    Why: the record belongs to something else. Example: record 0417, device 0471. Reference: common practice, no
    published source.
    """
    for part in parts_relied_on(view):
        look = view.happened.inspection_of(part.id)
        recorded = look.serial if look is not None else None
        if look is not None and recorded is not None and part.serial is not None and recorded.strip() != part.serial.strip():
            yield Hit(look.path, {"part": part.id, "recorded": recorded, "serial": part.serial}, about=part.path)


def _months(interval: Interval) -> date:
    return interval.after(date(2001, 1, 1))


@finding("inspection-interval-over-law", "must-fix", documents=(PLAN,), basis="law:inspection_periodic_interval")
def inspection_interval_over_law(view: View) -> Iterator[Hit]:
    """What it looks at: the interval of each part against the longest that the law, a local rule or an owner lets pass; what only advises is
    looked at by advice-exceeded.

    Why: where a text that binds gives one it is kept. Example: twice a year in the text, 12 months here. Reference: the
    jurisdiction's own rule.
    """
    held = view.binding.held_to("inspection_periodic_interval")
    if held is None:
        return
    for part, own, longest in intervals_over(view, held):
        values: dict[str, Value] = {"part": part.id, "interval": own.text, "limit": longest.text}
        yield Hit(f"{part.inspection.path}.interval", values | whose(view, "inspection_periodic_interval", held))


@finding("inspection-interval-long", "fix-soon", documents=(PLAN,), basis="standard:ANSI/ASSP Z359.2|memory")
def inspection_interval_long(view: View) -> Iterator[Hit]:
    """What it looks at: the interval of devices, harnesses, connectors, rails, trolleys and rescue kits against the year that the trade takes.

    Why: what wears in between nobody sees. Exactly a year is enough. Example: harness, 24 months. Reference: ANSI/ASSP Z359.2, inspection by a competent person once a year
    at the least (memory).
    """
    most = practice("inspection_interval_most", view.system, view.site.country)
    for part in parts_relied_on(view):
        own = part.inspection.interval
        if part.kind in INSPECTED and own is not None and _later(own, most.interval):
            yield Hit(f"{part.inspection.path}.interval", {"part": part.id, "interval": own.text, "most": most.text})


@finding("inspection-interval-unstated", "fix-soon", documents=(PLAN,))
def inspection_interval_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: inspected parts without an interval.

    Why: nothing can fall due. Example: last inspection dated, no interval. Reference: the manual; common practice.
    """
    for part in _inspected(view):
        if view.happened.inspection_of(part.id) is not None and part.inspection.interval is None:
            yield Hit(f"{part.inspection.path}", {"part": part.id})


@finding("inspection-interval-severe", "fix-soon", documents=(PLAN,), basis=SRD)
def inspection_interval_severe(view: View) -> Iterator[Hit]:
    """What it looks at: devices on a long interval where the stated conditions are hard.

    Why: dust, salt and daily use wear them. Example: daily outdoor cement dust, 12 months. Reference: ANSI/ASSP
    Z359.14-2021, table of inspection by use (memory).
    """
    longest = practice("severe_use_interval").interval
    words = found_in_any(view.site.inspection.conditions, "severe-use", view.languages)
    for part in parts_in_use(view, "srd") if words else ():
        own = part.inspection.interval
        if own is not None and _months(own) > _months(longest):
            values = {"part": part.id, "interval": own.text, "longest": longest.text, "words": words[0].text}
            yield Hit(f"{part.inspection.path}.interval", values)


def _later(one: Interval, other: Interval) -> bool:
    from datetime import date

    start = date(2001, 1, 1)
    return one.after(start) > other.after(start)


@finding("inspection-interval-over-manual", "must-fix", documents=(PLAN,))
def inspection_interval_over_manual(view: View) -> Iterator[Hit]:
    """What it looks at: the interval of each part against the longest that its instructions allow.

    Why: the maker's word holds where it is stricter. Example: 12 months here, 6 in the manual. Reference: the manual;
    ANSI/ASSP Z359.2 programs ask for it (memory).
    """
    for part in parts_in_use(view):
        own, manual = part.inspection.interval, part.inspection.manual_interval
        if own is not None and manual is not None and _later(own, manual):
            yield Hit(f"{part.inspection.path}.interval", {"part": part.id, "interval": own.text, "limit": manual.text})


@finding("inspector-is-user", "advice", documents=(PLAN,))
def inspector_is_user(view: View) -> Iterator[Hit]:
    """What it looks at: whether the one who inspects a part also climbs with it.

    Why: nobody sees his own wear. Example: the competent person is U-02. Reference: common practice, no published source.
    """
    users = {u.id for u in view.site.people.users}
    for role in view.site.roles:
        if role.user in users:
            looks = [
                (p.id, view.happened.inspection_of(p.id)) for p in parts_in_use(view, "srd", "harness", "connector", "lanyard")
            ]
            parts = [part for part, look in looks if look is not None and role in view.happened.roles_of(look)]
            if parts:
                yield Hit(f"{role.path}.user", {"role": role.title, "user": role.user, "parts": listed(parts)})


@finding("impact-loaded", "must-fix", documents=(PLAN,), basis="law:after_impact", stops="use")
def impact_loaded(view: View) -> Iterator[Hit]:
    """What it looks at: parts that stopped a fall, the load path of the bay among them, and were not cleared since.

    Why: they come out of service at once. Example: stopped a fall on 2026-02-11, in use on 2026-02-12. Reference: 29
    CFR 1910.140(c)(17) (memory).
    """
    for part in parts_relied_on(view):
        for stop in view.happened.stopped(part.id):
            if stop.how == "arrested" and part.id not in view.happened.tagged:
                yield Hit(stop.path, {"part": part.id, "on": stop.on}, about=part.path)


@finding("quarantined-in-use", "must-fix", documents=(PLAN,), stops="use")
def quarantined_in_use(view: View) -> Iterator[Hit]:
    """What it looks at: parts tagged out that a system or a method of rescue still names, and what is part of one of them.

    Why: the load path or the kit is not complete. Example: D-2 locked away, system S2 still lists it; the hook of its line
    tagged. Reference: common practice.
    """
    for system in systems_in_use(view):
        for part in view.site.belonging(system):
            yield from _tagged(view, part, worded("in-system", system=system.id), system.path)
    for method in view.site.rescue.methods if systems_in_use(view) else ():
        for part in view.site.parts(method.kits):
            yield from _tagged(view, part, worded("in-method", method=method.id), part.path)


def _tagged(view: View, part: Part, user: Value, about: str) -> Iterator[Hit]:
    for stop in view.happened.stopped(part.id):
        if stop.how == "tagged":
            yield Hit(stop.path, {"part": part.id, "user": user}, about=about)


@finding("retire-passed", "must-fix", documents=(PLAN,), stops="use")
def retire_passed(view: View) -> Iterator[Hit]:
    """What it looks at: the day on which a part leaves service.

    Why: the maker's limit is passed. Example: harness to be retired by 2025-06-30. Reference: the manual.
    """
    for part in _inspected(view):
        if part.retire_by is not None and part.retire_by < view.as_of:
            yield Hit(f"{part.path}.retire_by", {"part": part.id, "by": part.retire_by})


@finding("label-photo-missing", "fix-soon", documents=(PLAN,))
def label_photo_missing(view: View) -> Iterator[Hit]:
    """What it looks at: a photograph of the label of devices and harnesses.

    Why: ratings are read from it, and it fades. Example: no photo for H-11. Reference: common practice, no published
    source.
    """
    for part in parts_in_use(view, "srd", "harness"):
        if part.label_photo is None:
            yield Hit(f"{part.path}.label_photo", {"part": part.id})


@finding("label-photo-absent", "fix-soon", documents=(PLAN,))
def label_photo_absent(view: View) -> Iterator[Hit]:
    """What it looks at: whether the photograph of a label that the profile names lies beside it.

    Why: ratings are compared with it, and nobody compares with a file that is not there. Example: photos/none.jpg is named for D-1. Reference:
    common practice, no published source.
    """
    for part in view.site.equipment:
        if part.label_photo is not None and part.id in view.photo_absent:
            yield Hit(f"{part.path}.label_photo", {"part": part.id, "file": part.label_photo})


@finding("edition-old", "advice", documents=(PLAN,))
def edition_old(view: View) -> Iterator[Hit]:
    """What it looks at: the edition marked on a part against the current one.

    Why: classes and tests changed; old stock may stay. Example: marked Z359.14-2014, classes A and B. Reference: the
    table of editions in editions.yaml (memory).
    """
    for part in parts_in_use(view):
        if (newer := current_edition(part.standard)) is not None:
            yield Hit(f"{part.path}.standard", {"part": part.id, "marked": part.standard or NOT_STATED, "current": newer})


@finding("edition-unknown", "must-fix", documents=(PLAN,))
def edition_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: editions on a mark that a known standard never had: a year that is ahead, or one before the current edition that is none.

    Why: the label was misread, and class and limits are read by the edition. Example: Z359.14-2201. Reference: the table of editions in editions.yaml
    (memory).
    """
    for part in parts_relied_on(view):
        for mark in marks(part.standard):
            if mark.year is not None and mark.year not in mark.years and not mark.years[-1] < mark.year <= view.as_of.year:
                values: dict[str, Value] = {
                    "part": part.id,
                    "marked": mark.name,
                    "years": listed(mark.years),
                    "number": mark.number,
                }
                yield Hit(f"{part.path}.standard", values)


@finding("edition-not-in-table", "fix-soon", documents=(PLAN,))
def edition_not_in_table(view: View) -> Iterator[Hit]:
    """What it looks at: editions on a mark that are newer than the newest one known here.

    Why: classes and limits may have changed, and none of them was compared. Example: Z359.14-2025. Reference: the table of editions in editions.yaml
    (memory).
    """
    for part in parts_relied_on(view):
        for mark in marks(part.standard):
            if mark.year is not None and mark.years[-1] < mark.year <= view.as_of.year:
                yield Hit(f"{part.path}.standard", {"part": part.id, "marked": mark.name, "newest": str(mark.years[-1])})


@finding("standard-other-kind", "must-fix", documents=(PLAN,))
def standard_other_kind(view: View) -> Iterator[Hit]:
    """What it looks at: whether one of the known standards on a mark is for that kind of part.

    Why: the mark or the part was entered wrongly, and the mark says what the part was tested for. Example: Z359.13, which is for energy absorbers, on a
    self-retracting device. Reference: the table of editions in editions.yaml (memory).
    """
    for part in parts_relied_on(view):
        known = marks(part.standard)
        if known and not any(part.kind in mark.kinds for mark in known):
            fits = [kind for mark in known for kind in mark.kinds]
            values: dict[str, Value] = {
                "part": part.id,
                "kind": terms((part.kind,)),
                "marked": listed(m.number for m in known),
                "for": terms(fits),
            }
            yield Hit(f"{part.path}.standard", values)


@finding("cold-outside-range", "must-fix", documents=(PLAN,))
def cold_outside_range(view: View) -> Iterator[Hit]:
    """What it looks at: the lowest temperature of each task, or of the weather limits outside a building, against the range of the device.

    Why: below its range a brake may slip or stick. Exactly at its lowest it may be used; a range that is not marked covers nothing. Example: climbing at -20 °F, device from 0 °F.
    Reference: the manual; 29 CFR 1910 Subpart I, Appendix C.
    """
    lowest = _coldest(view)
    for part in parts_in_use(view, "srd"):
        if part.id not in lowest:
            continue
        task, cold = lowest[part.id]
        low = part.temperature.min
        if low is None or (cold is not None and over(low.si, cold.si)):
            values: dict[str, Value] = {
                "part": part.id,
                "task": task.id,
                "lowest": NOT_STATED if cold is None else near(cold),
                "limit": NOT_STATED if low is None else up(low),
            }
            yield Hit(f"{part.temperature.path}.min", values)


def _coldest(view: View) -> dict[str, tuple[Task, Quantity | None]]:
    """By device the task in the deepest cold, and that temperature; None where nobody states one. Devices used indoors only at no stated temperature are left out."""
    lowest: dict[str, tuple[Task, Quantity | None]] = {}
    for task in view.site.tasks:
        bay, system = view.site.bay(task.bay), view.site.system_of(task.bay)
        if task.permission != "allowed" or bay is None or system is None:
            continue
        cold = task.temperature_min or (None if bay.setting == "indoor" else view.site.limits.weather.temperature_min)
        for part in view.site.arresting(system) if cold is not None or bay.setting != "indoor" else ():
            before = lowest[part.id][1] if part.id in lowest else None
            if before is None or (cold is not None and cold.si < before.si):
                lowest[part.id] = (task, cold)
    return lowest


@finding("weather-outside-range", "must-fix", documents=(PLAN,))
def weather_outside_range(view: View) -> Iterator[Hit]:
    """What it looks at: the posted weather limits against the marked range of each device that is used outside a building.

    Why: within what is posted people climb, and outside its range a brake may slip or stick. Exactly at an end it may be used. Example: posted down to
    -50 °F, device from -40 °F. Reference: the manual; 29 CFR 1910 Subpart I, Appendix C.
    """
    weather, coldest = view.site.limits.weather, _coldest(view)
    outside = {s.bay for s in view.site.systems if (bay := view.bays.get(s.bay)) is not None and bay.setting != "indoor"}
    used = {key for s in systems_in_use(view) if s.bay in outside for key in s.parts}
    used |= {d.id for b in bays_in_use(view) if b.id in outside and (d := view.site.ladder_device(b)) is not None}
    for part in parts_in_use(view, "srd"):
        low, high = part.temperature.min, part.temperature.max
        if part.id not in used:
            continue
        cold = coldest[part.id][1] if part.id in coldest else None
        told = cold is not None and weather.temperature_min is not None and not over(cold.si, weather.temperature_min.si)
        if weather.temperature_min is not None and low is not None and not told and over(low.si, weather.temperature_min.si):
            yield Hit(
                f"{weather.path}.temperature_min", {"part": part.id, "site": near(weather.temperature_min), "limit": up(low)}
            )
        if weather.temperature_max is not None and high is not None and over(weather.temperature_max.si, high.si):
            yield Hit(
                f"{weather.path}.temperature_max", {"part": part.id, "site": near(weather.temperature_max), "limit": down(high)}
            )


@finding("temperature-range", "fix-soon", documents=(PLAN,))
def temperature_range(view: View) -> Iterator[Hit]:
    """What it looks at: the air temperatures in which people climb against the range of each part but the devices, of which `weather-outside-range` and
    `cold-outside-range` speak.

    Why: brakes and locks change. Example: climbing down to -20 °F, carabiner down to 0 °F. Reference: the manual; 29 CFR
    1910 Subpart I, Appendix C.
    """
    weather = view.site.limits.weather
    for part in (p for p in parts_in_use(view) if p.kind != "srd"):
        low, high = part.temperature.min, part.temperature.max
        cold = weather.temperature_min
        if cold is not None and low is not None and over(low.si, cold.si):
            yield Hit(
                f"{part.temperature.path}.min",
                {"part": part.id, "site": near(cold), "limit": up(low)},
            )
        if weather.temperature_max is not None and high is not None and over(weather.temperature_max.si, high.si):
            yield Hit(
                f"{part.temperature.path}.max",
                {"part": part.id, "site": near(weather.temperature_max), "limit": down(high)},
            )


@finding("model-labels-differ", "fix-soon", documents=(PLAN,))
def model_labels_differ(view: View) -> Iterator[Hit]:
    """What it looks at: what is read off the labels of two devices that are said to be of one model.

    Why: one of the two labels was misread, or the model is another one. What one of them leaves out is not compared. Example: D-1 and D-2 of one model,
    arrest distance 30 in and 42 in. Reference: common practice.
    """
    first: dict[str, Part] = {}
    for part in parts_in_use(view, "srd"):
        other = first.setdefault(part.model, part) if part.model is not None else part
        differ = [name for name, value in _label(part).items() if _differs(value, _label(other)[name])]
        if differ:
            values: dict[str, Value] = {"part": part.id, "other": other.id, "model": part.model or "", "fields": listed(differ)}
            yield Hit(f"{part.path}.model", values)


def _label(part: Part) -> dict[str, Quantity | str | bool | None]:
    """What a label states, by the name of its field."""
    return {
        "capacity.min": part.capacity.min,
        "capacity.max": part.capacity.max,
        "arrest_distance": part.arrest_distance,
        "arrest_force_average": part.arrest_force_average,
        "arrest_force_peak": part.arrest_force_peak,
        "free_fall_max": part.free_fall_max,
        "line_length": part.line_length,
        "line_material": part.line_material,
        "line_strength": part.line_strength,
        "edge_rated": part.edge_rated,
        "angle_max": part.angle_max,
        "temperature.min": part.temperature.min,
        "temperature.max": part.temperature.max,
        "standard": part.standard,
        "class": part.class_,
    }


def _differs(one: Quantity | str | bool | None, other: Quantity | str | bool | None) -> bool:
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        return not same_figure(one.si, other.si)
    return one is not None and other is not None and one != other


@finding("corrosive-unsuitable", "fix-soon", documents=(PLAN,))
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
