"""Findings on heights, clearance, offset, line angle, swing and edges."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from docgen.engineering.model import Case
from docgen.findings.common import bays_in_use, case_names, grouped, least_first, most_first, task_path, terms, worded
from docgen.findings.model import Figure, Phrase, Value
from docgen.findings.rule import NOTICE, PLAN, RECORD, SRD, finding
from docgen.findings.view import NOT_COMPUTED, NOT_STATED, Hit, View, down, near, up
from docgen.limits import over, same_figure, under
from docgen.site import Part, Quantity, System
from docgen.trade.classes import class_limits, editions_of

__all__ = [
    "angle_over",
    "class_one_below_ring",
    "clearance_short",
    "device_below_ring",
    "edge_class_unknown",
    "edge_kind_unproved",
    "edge_not_rated",
    "edge_setback_short",
    "edge_use_differs",
    "obstruction_in_path",
    "offset_over_largest",
    "parking_over_allowance",
]

NOTHING = Figure(0.0, "length", "way")


def _base(view: View, case: Case) -> float | None:
    sides = view.vehicles[case.vehicle].sides
    height = next((s.lower.height for s in sides if s.side == case.side), None)
    return None if height is None else height.si


def _blocked(view: View, case: Case) -> bool:
    """Whether the case is short only because something sticks out above the surface below."""
    if case.verdict != "short" or case.lower_path is None or ".sides[" in case.lower_path:
        return False
    base = _base(view, case)
    if base is None or case.required is None or case.deck is None:
        return False
    return not over(case.required.si, case.deck.si - base)


def _way(length: Quantity | None) -> Figure:
    """A way out: told as none where nothing is left of it."""
    return NOTHING if length is None else Figure(length.si, "length", "way")


def _lacking(margin: Quantity | None) -> Figure | Phrase:
    """What a margin below zero lacks."""
    return up(None if margin is None else -margin.si, "length")


def _clearance_values(view: View, cases: list[Case]) -> dict[str, Value]:
    worst = cases[0]
    return case_names(view, cases) | {
        "need": up(worst.required),
        "have": down(worst.available),
        "short": _lacking(worst.margin),
        "lower": worst.lower_what or worded("surface-below"),
        "largest": _way(worst.largest_by_clearance),
        "arrest": _way(worst.arrest_way_out),
    }


@finding("clearance-short", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:no_contact")
def clearance_short(view: View) -> Iterator[Hit]:
    """What it looks at: need against have for every allowed case.

    Why: the person strikes the lower level. Example: a flatbed of 5.0 ft under a device that needs 7.1 ft. Reference:
    the no-contact rule of the law in force.
    """
    short = [c for c in view.allowed if c.verdict == "short" and not _blocked(view, c)]
    for cases in grouped(short, lambda c: c.task, lambda c: least_first(c.margin)):
        yield Hit(task_path(view, cases[0]), _clearance_values(view, cases))


@finding("obstruction-in-path", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:no_contact")
def obstruction_in_path(view: View) -> Iterator[Hit]:
    """What it looks at: cases that pass over the surface below and fail over a thing that sticks out.

    Why: it is struck first. Example: over a fender of 4.5 ft the need is 7.5 and 7.0 is there. Reference: the no-
    contact rule of the law in force.
    """
    short = [c for c in view.allowed if _blocked(view, c)]
    for cases in grouped(short, lambda c: (c.task, c.lower_path), lambda c: least_first(c.margin)):
        yield Hit(cases[0].lower_path or task_path(view, cases[0]), _clearance_values(view, cases))


@finding("offset-over-largest", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="site-rule")
def offset_over_largest(view: View) -> Iterator[Hit]:
    """What it looks at: the D-ring's offset against the site's own sideways limit.

    Why: a posted limit must be kept. Example: reach 4.5 ft and parking 1.0 ft against a limit of 5.0 ft. Reference:
    rule of the site.
    """
    wide = [
        c
        for c in view.allowed
        if c.offset is not None and c.largest_by_rule is not None and over(c.offset.si, c.largest_by_rule.si)
    ]
    for cases in grouped(wide, lambda c: c.task, lambda c: most_first(c.offset)):
        worst = cases[0]
        values: dict[str, Value] = {
            "offset": up(worst.offset),
            "limit": down(worst.largest_by_rule),
            "over": up(_more(worst.offset, worst.largest_by_rule)),
        }
        yield Hit(task_path(view, worst), case_names(view, cases) | values)


def _more(one: Quantity | None, other: Quantity | None) -> float | None:
    """By how much one is more than the other."""
    return None if one is None or other is None else one.si - other.si


def _allowance(case: Case) -> float:
    return min((q.si for q in (case.allowance_left, case.allowance_right) if q is not None), default=0.0)


@finding("parking-over-allowance", "must-fix", documents=(PLAN, RECORD, NOTICE))
def parking_over_allowance(view: View) -> Iterator[Hit]:
    """What it looks at: how far a vehicle may stand to the side against what the failing case would bear.

    Why: the box is wrong. Only where a narrower box cures it. Example: reach 3.0 + parking 1.5 is more than the 4.0
    allowed; paint 1.0. Reference: geometry; see the basis of the clearance and angle findings.
    """
    wide = [
        c
        for c in view.allowed
        if c.offset is not None
        and c.largest_offset is not None
        and over(c.offset.si, c.largest_offset.si)
        and over(_allowance(c), 0.0)
    ]
    for cases in grouped(wide, lambda c: (c.bay, c.vehicle), _allowance):
        worst = cases[0]
        values: dict[str, Value] = {
            "parking": near(worst.parking),
            "allowed": down(_allowance(worst), "length"),
            "offset": up(worst.offset),
            "largest": down(worst.largest_offset),
            "by": terms((worst.largest_offset_by,)) if worst.largest_offset_by is not None else NOT_COMPUTED,
        }
        yield Hit(f"{view.bays[worst.bay].parking.path}.lateral", case_names(view, cases) | values)


@finding("angle-over", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:line_angle_max")
def angle_over(view: View) -> Iterator[Hit]:
    """What it looks at: the angle of the line from the vertical against the lowest stated limit.

    Why: it may not lock or not hold. Example: 49 degrees on a railcar top, limit 30 degrees. Reference: the device
    manual; common practice where it is silent.
    """
    steep = [
        c
        for c in view.allowed
        if c.line_angle is not None and c.angle_limit is not None and over(c.line_angle.si, c.angle_limit.si)
    ]
    for cases in grouped(steep, lambda c: c.task, lambda c: most_first(c.line_angle)):
        worst = cases[0]
        values: dict[str, Value] = {
            "angle": up(worst.line_angle),
            "limit": down(worst.angle_limit),
            "offset": up(worst.offset),
            "largest": _way(worst.largest_by_angle),
        }
        yield Hit(task_path(view, worst), case_names(view, cases) | values)


def _devices(view: View, case: Case) -> tuple[Part, ...]:
    system: System | None = view.site.system_of(case.bay)
    return view.site.parts(system.parts, "srd") if system else ()


@finding("edge-not-rated", "must-fix", documents=(PLAN, RECORD), basis=SRD)
def edge_not_rated(view: View) -> Iterator[Hit]:
    """What it looks at: whether the line comes to bear on the edge, and whether the device is tested for that.

    Why: it may cut. Example: D-ring 5.0 ft, arrest 4.5 ft and swing 1.0 ft leave the ring 0.5 ft below the edge.
    Reference: ANSI/ASSP Z359.14-2021, class 2 (memory).
    """
    bearing = [c for c in view.allowed if c.bears]
    for cases in grouped(bearing, lambda c: (c.bay, c.vehicle), lambda c: -math.inf if c.edge is None else c.edge.si):
        worst = cases[0]
        if view.vehicles[worst.vehicle].edge_guarded:
            continue
        below = Figure(0.0, "length", "way") if worst.edge is None else up(-worst.edge.si, "length")
        for device in _devices(view, worst):
            if device.edge_rated is not True:
                yield Hit(f"{device.path}.edge_rated", case_names(view, cases) | {"part": device.id, "below": below})


@finding("edge-class-unknown", "must-fix", documents=(PLAN, RECORD), basis=SRD)
def edge_class_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: where the line bears on an edge, devices said to be tested for that whose mark gives no edition and class known here.

    Why: whether the line may bear there follows from the class of an edition, and a word of the profile stands in for none. Example: Z359.14
    without a year, class 1, edge_rated true. Reference: ANSI/ASSP Z359.14-2021, class 2 (memory); the table of classes in classes.yaml.
    """
    bearing = [c for c in view.allowed if c.bears and not view.vehicles[c.vehicle].edge_guarded]
    for cases in grouped(bearing, lambda c: c.bay, lambda c: -math.inf if c.edge is None else c.edge.si):
        for device in _devices(view, cases[0]):
            known = class_limits(device.standard, device.class_) or editions_of(device.standard, device.class_)
            if device.edge_rated is True and not known:
                values = case_names(view, cases) | {
                    "part": device.id,
                    "standard": device.standard or NOT_STATED,
                    "class": device.class_ or NOT_STATED,
                }
                yield Hit(f"{device.path}.standard", values)


@finding("edge-setback-short", "must-fix", documents=(PLAN, RECORD))
def edge_setback_short(view: View) -> Iterator[Hit]:
    """What it looks at: where the line bears on an edge, how far from it the line exit hangs across, against the least that the maker names.

    Why: nearer to the edge the device was not tested. The trolley counts as far toward the edge as tolerances and parking let it hang; beyond
    the edge, and at an edge along the vehicle, nothing is left. Exactly the least is enough. Example: 0.3 ft from under the line exit to the
    walkway edge, and the manual asks for 2.0 ft. Reference: the device manual; makers give the set-back as the horizontal distance from the
    anchor to the edge (memory).
    """
    bearing = [c for c in view.allowed if c.bears and c.setback is not None]
    for cases in grouped(bearing, lambda c: (c.bay, c.vehicle), lambda c: least_first(c.setback)):
        have = cases[0].setback
        for device in _devices(view, cases[0]):
            least = device.edge_use.setback
            if least is not None and have is not None and under(have.si, least.si):
                values = case_names(view, cases) | {"part": device.id, "have": down(have), "least": up(least)}
                yield Hit(least.path, values)


@finding("edge-use-differs", "must-fix", documents=(PLAN, RECORD), basis=SRD)
def edge_use_differs(view: View) -> Iterator[Hit]:
    """What it looks at: devices said to need no other figure over an edge, with another figure.

    Why: one of the two was misread; the longer one is counted. Example: same: true, and 60 in beside a label of 30 in. The same figure
    twice passes. Reference: the device manual.
    """
    for bay in bays_in_use(view):
        system = view.site.system_of(bay.id)
        for device in view.site.parts(system.parts, "srd") if system is not None else ():
            use, label = device.edge_use, device.arrest_distance
            if (
                use.same
                and use.arrest_distance is not None
                and label is not None
                and not same_figure(use.arrest_distance.si, label.si)
            ):
                yield Hit(use.arrest_distance.path, {"part": device.id, "edge": near(use.arrest_distance), "label": near(label)})


@finding("edge-kind-unproved", "must-fix", documents=(PLAN, RECORD), basis=SRD)
def edge_kind_unproved(view: View) -> Iterator[Hit]:
    """What it looks at: sharp edges on which a line bears, and devices whose maker names no kind of edge.

    Why: a line tested on a rounded edge may be cut by a sharp one. Example: edge_kind sharp, and no kind under edge_use. Reference: the
    device manual.
    """
    sharp = [
        c
        for c in view.allowed
        if c.bears and any(s.side == c.side and s.edge_kind == "sharp" for s in view.vehicles[c.vehicle].sides)
    ]
    for cases in grouped(sharp, lambda c: (c.bay, c.vehicle), lambda c: 0.0):
        for device in _devices(view, cases[0]):
            if device.edge_use.kind is None:
                yield Hit(f"{device.edge_use.path}.kind", case_names(view, cases) | {"part": device.id})


def _below(view: View) -> Iterator[tuple[list[Case], Part | None]]:
    low = [c for c in view.allowed if c.height is not None and not over(c.height.si, 0.0)]
    for cases in grouped(low, lambda c: c.task, lambda c: least_first(c.height)):
        yield (
            cases,
            next((d for d in _devices(view, cases[0]) if re.search(r"(?i)\bclass\s*1\b", d.class_ or "")), None),
        )


def _below_values(view: View, cases: list[Case]) -> dict[str, Value]:
    worst = cases[0]
    ring = None if worst.deck is None or worst.ring is None else worst.deck.si + worst.ring.si
    return case_names(view, cases) | {"exit": down(worst.line_exit), "ring": up(ring, "length")}


@finding("device-below-ring", "must-fix", documents=(PLAN, RECORD))
def device_below_ring(view: View) -> Iterator[Hit]:
    """What it looks at: the line exit against the D-ring.

    Why: the free fall is no longer small, and nothing here computes it. Example: line exit 19.0 ft, ring 20.5 ft on a
    railcar. Reference: common practice; overhead arithmetic ends here.
    """
    for cases, class_one in _below(view):
        if class_one is None:
            yield Hit(task_path(view, cases[0]), _below_values(view, cases))


@finding("class-one-below-ring", "must-fix", documents=(PLAN, RECORD), basis=SRD)
def class_one_below_ring(view: View) -> Iterator[Hit]:
    """What it looks at: a device for overhead use rigged at or below the D-ring.

    Why: it was never tested that way. Example: anchor 14.0 ft, D-ring 16.5 ft, class 1. Reference: ANSI/ASSP
    Z359.14-2021, class 1 (memory).
    """
    for cases, class_one in _below(view):
        if class_one is not None:
            yield Hit(f"{class_one.path}.class", _below_values(view, cases) | {"part": class_one.id})
