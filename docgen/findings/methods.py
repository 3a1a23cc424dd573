"""Findings on methods of rescue in a bay: one that cannot be carried out there is closed there, and the bay only where no other serves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from typing import Literal

from docgen.engineering.drills import last_of_each
from docgen.engineering.gear import before_each, carried, carrying, counts, falls_of_rope, lowering_kit, top_of
from docgen.engineering.model import MethodClosure, RescueRow, Tool
from docgen.engineering.ready import stop_at, unlifted
from docgen.findings.common import bays_in_use, listed, on_rail, rescue_anchors_in_use, terms, worded
from docgen.findings.model import Phrase, Value
from docgen.findings.rule import PLAN, RECORD, RESCUE, finding
from docgen.findings.view import NOT_COMPUTED, Hit, View, down, near, up
from docgen.limits import over, under
from docgen.site import Method, MethodStep, Quantity
from docgen.site.facts import HAULING, UNDOES
from docgen.trade.practice import practice

__all__ = [
    "call_slow",
    "call_too_late",
    "drill_leaves_gap",
    "goal_step_wrong",
    "help_stated_short",
    "help_too_early",
    "help_untimed",
    "hook_out_of_reach",
    "kit_capacity",
    "kit_rating_missing",
    "kit_reach",
    "kit_reach_unstated",
    "lift_no_room",
    "lift_zero",
    "lowered_too_early",
    "method_gap",
    "next_method_late",
    "next_method_wind",
    "persons_under_steps",
    "rescue_anchor_missing",
    "rescue_anchor_not_for_arrest",
    "rescue_anchor_persons",
    "rescue_anchor_weak",
    "rescue_danger_unlifted",
    "rescue_kit_missing",
    "rescue_part_uninspected",
    "rescue_steps_missing",
    "ring_out_of_reach",
    "row_without_stop",
    "step_kit_unlisted",
    "tool_reach_unstated",
    "tool_too_short",
]

DANGERS: tuple[Literal["meter", "stop"], ...] = ("meter", "stop")


def _closed(view: View, why: MethodClosure) -> Iterator[tuple[Method, RescueRow]]:
    """For each method and bay that is closed for this reason the row with the highest need; a bay without an allowed task is left alone."""
    methods = {m.id: m for m in view.site.rescue.methods}
    used = {t.bay for t in view.site.tasks if t.permission == "allowed"}
    found: dict[tuple[str, str], RescueRow] = {}
    for row in view.rescues:
        if why in row.closed and row.bay in used:
            best = found.setdefault((row.method, row.bay), row)
            if row.hook_need is not None and (best.hook_need is None or row.hook_need.si > best.hook_need.si):
                found[row.method, row.bay] = row
    for (method, _), row in found.items():
        yield methods[method], row


def _names(view: View, method: Method, row: RescueRow) -> dict[str, Value]:
    return {"method": method.name, "bay": view.bays[row.bay].name}


def _anchor(row: RescueRow) -> Value:
    return listed(row.anchors) if row.anchors else worded("rescue-anchor")


@finding("rescue-anchor-missing", "must-fix", documents=(PLAN, RESCUE), basis="law:anchorage_for_rescue_min", stops="use")
def rescue_anchor_missing(view: View) -> Iterator[Hit]:
    """What it looks at: in each bay the anchor of rope methods: what it is, and what it holds.

    Why: the kit must hang from something that is rated. An empty list is no pass. Example: raise-and-lower without an anchor
    in the rail spur. Reference: USACE EM 385-1-1 (2014), 21.N.04.
    """
    for method, row in _closed(view, "anchor-missing"):
        elsewhere = method.rescue_anchors and not row.anchors and method.anchor is not None
        if not elsewhere:  # that is told as an anchor of another bay
            place = "anchor" if method.anchor is None else "anchor_strength"
            yield Hit(f"{method.path}.{place}", _names(view, method, row))


@finding("rescue-anchor-weak", "must-fix", documents=(PLAN, RESCUE, RECORD), basis="law:anchorage_for_rescue_min", stops="use")
def rescue_anchor_weak(view: View) -> Iterator[Hit]:
    """What it looks at: what the anchor of a method holds in each bay, against what it needs for those who hang on it.

    Why: the rescue must not end in a second fall. 3,000 lbf for each person, or 5 times the load by the design of a qualified
    person; for a rescuer's own fall protection the strength of a fall-arrest anchorage on top. Exactly at the need holds.
    Example: one person, anchor 1,500 lbf. Reference: USACE EM 385-1-1 (2014), 21.N.04.
    """
    for method, row in _closed(view, "anchor-weak"):
        if row.anchor_strength is not None:
            values = {
                **_names(view, method, row), "anchor": _anchor(row), "persons": method.load_persons, "tied": method.tied,
                "have": down(row.anchor_strength), "need": NOT_COMPUTED if row.anchor_need is None else up(row.anchor_need),
            }  # fmt: skip
            yield Hit(row.anchor_strength.path, values)


@finding("rescue-anchor-persons", "must-fix", documents=(PLAN, RESCUE, RECORD), stops="use")
def rescue_anchor_persons(view: View) -> Iterator[Hit]:
    """What it looks at: how many people may hang from an anchor against those that a method hangs there, rescuers included.

    Why: it is rated for so many. Example: two on an anchor for one. Reference: drawing or plate of the anchor.
    """
    for method, row in _closed(view, "anchor-persons"):
        for anchor in view.bays[row.bay].rescue_anchors:
            need = method.load_persons + method.tied
            if anchor.id in row.anchors and anchor.persons is not None and need > anchor.persons:
                values = {**_names(view, method, row), "anchor": anchor.id, "need": need, "have": anchor.persons}
                yield Hit(f"{anchor.path}.persons", values)


@finding("rescue-anchor-not-for-arrest", "must-fix", documents=(PLAN, RESCUE, RECORD), stops="use")
def rescue_anchor_not_for_arrest(view: View) -> Iterator[Hit]:
    """What it looks at: anchors on which rescuers hang their own fall protection.

    Why: the rule of a fall-arrest anchorage holds there. Example: one rescuer tied to RA-1, fall_arrest false. Reference: 29 CFR
    1910.140(c)(13) (memory).
    """
    for method, row in _closed(view, "anchor-not-for-arrest"):
        yield Hit(f"{method.path}.tied_to_anchor", {**_names(view, method, row), "anchor": _anchor(row), "tied": method.tied})


@finding("rescue-part-uninspected", "fix-soon", documents=(PLAN, RESCUE))
def rescue_part_uninspected(view: View) -> Iterator[Hit]:
    """What it looks at: whether each rescue anchor that a method uses is a part with an interval of inspection, and each kit, platform and
    ladder of a method as well. A part that is no rescue anchor, or that other anchors are already, is not this one; a record with a count stands for so many.

    Why: a person hangs from it or stands on it, and nobody looks at it by date. Example: RA-1 is no part of the list; RA-1 and RA-2 are both RP-2. Reference: common
    practice.
    """
    named: Counter[str] = Counter()
    for bay, anchor in rescue_anchors_in_use(view):
        own = view.site.part(anchor.part)
        named[anchor.part or ""] += 1
        looked_at = own is not None and own.kind == "rescue-anchor" and own.inspection.interval is not None
        if own is None or not looked_at or named[own.id] > (own.count or 1):
            methods = listed(m.id for m in view.site.rescue.methods if anchor.id in m.rescue_anchors)
            what = worded("anchor-of-bay", anchor=anchor.id, bay=bay.name)
            yield Hit(f"{anchor.path}.part", {"what": what, "methods": methods})
    for part in view.site.equipment:
        methods_of = [m.id for m in view.site.rescue.methods if part.id in m.kits]
        if methods_of and part.inspection.interval is None:
            yield Hit(f"{part.inspection.path}.interval", {"what": part.id, "methods": listed(methods_of)})


@finding("rescue-kit-missing", "must-fix", documents=(PLAN, RESCUE), stops="use")
def rescue_kit_missing(view: View) -> Iterator[Hit]:
    """What it looks at: kits, platforms and ladders of the methods that undo a hook.

    Why: nobody hauls with bare hands; an empty list is no pass. Example: raise-and-lower with kits: []. Reference: common practice.
    """
    for method, row in _closed(view, "kit-missing"):
        yield Hit(f"{method.path}.kits", {"method": method.name}, about=view.bays[row.bay].path)


@finding("rescue-steps-missing", "must-fix", documents=(PLAN, RESCUE), stops="use")
def rescue_steps_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether the steps of a method put the line on its anchor, lift the person and then undo the hook.

    Why: what is no step has no time and nobody who does it. Example: a hook that is undone before the lift. Reference: common
    practice.
    """
    told = set()
    for method, row in _closed(view, "steps-missing"):
        lacking = [s for s in row.missing_steps if s not in DANGERS]
        if lacking and method.id not in told:
            told.add(method.id)
            yield Hit(f"{method.path}.steps", {"method": method.name, "lacking": terms(f"step-{s}" for s in lacking)})


@finding("rescue-danger-unlifted", "must-fix", documents=(PLAN, RESCUE), stops="use")
def rescue_danger_unlifted(view: View) -> Iterator[Hit]:
    """What it looks at: bays with dangers that keep rescuers away, or of a hazardous class, and whether each step inside waits for the
    meter or the stop.

    Why: rescuers wait for it, and the clock must wait too. What is only fetched to the bay need not wait. Example: gas, and the kit is
    hooked to the anchor before the meter has spoken. Reference: common practice.
    """
    for method, row in _closed(view, "steps-missing"):
        bay = view.bays[row.bay]
        waits = {s: unlifted(method, bay, s) for s in DANGERS if s in row.missing_steps}
        if waits:
            values: dict[str, Value] = {
                **_names(view, method, row),
                "dangers": terms(bay.dangers or ("hazardous-area",)),
                "lacking": terms(f"step-{s}" for s in waits),
                "steps": listed(s.id for s in method.steps if any(s.id in steps for steps in waits.values())),
            }
            yield Hit(f"{method.path}.steps", values)


@finding("hook-out-of-reach", "must-fix", documents=(PLAN, RESCUE), stops="use")
def hook_out_of_reach(view: View) -> Iterator[Hit]:
    """What it looks at: the reach to the hook against the highest hang, raised by the lift before the hook comes off.

    Why: nobody can undo it. Exactly at the reach is within it. Example: hook at 19.6 ft after the lift, reach 19 ft. Reference:
    geometry.
    """
    for method, row in _closed(view, "hook-high"):
        reach, need = method.hook.reach, row.hook_need
        if reach is not None and need is not None:
            values = {
                **_names(view, method, row), "vehicle": view.vehicles[row.vehicle].name, "need": up(need), "reach": down(reach),
                "short": up(need.si - reach.si, "length"),
            }  # fmt: skip
            yield Hit(reach.path, values)


@finding("ring-out-of-reach", "must-fix", documents=(RESCUE,), stops="use")
def ring_out_of_reach(view: View) -> Iterator[Hit]:
    """What it looks at: the highest back D-ring a method reaches in each bay against the highest hang, lock-up only.

    Why: nobody can attach. Exactly at the reach is within it. Example: ring 15.2 ft above grade, the pole from the ground reaches 13.
    Reference: geometry.
    """
    for method, row in _closed(view, "ring-high"):
        reach, need = method.attach_height, row.ring_need
        if reach is not None and need is not None:
            values = {
                **_names(view, method, row), "vehicle": view.vehicles[row.vehicle].name, "ring": up(need), "reach": down(reach),
                "short": up(need.si - reach.si, "length"),
            }  # fmt: skip
            yield Hit(reach.path, values)


def _tools(view: View, why: MethodClosure) -> Iterator[tuple[Method, RescueRow, Tool]]:
    """For each method and bay that is closed for this reason each height that it states, once, with what the rescuer comes to there."""
    told: set[tuple[str, str, str]] = set()
    methods = {m.id: m for m in view.site.rescue.methods}
    used = {t.bay for t in view.site.tasks if t.permission == "allowed"}
    rows = [r for r in view.rescues if why in r.closed and r.bay in used]
    found = [(r, t) for r in rows for t in r.tools]
    for row, tool in sorted(found, key=lambda item: 0.0 if item[1].reach is None else item[1].reach.si):
        key = (row.method, row.bay, tool.lacking or tool.stated.path)
        short = tool.reach is not None and over(tool.stated.si, tool.reach.si)
        if key not in told and (short if why == "tool-short" else tool.lacking is not None):
            told.add(key)
            yield methods[row.method], row, tool


def _worked(tool: Tool) -> Value:
    return terms(("work-hook" if tool.stated.path.endswith(".hook.reach") else "work-ring",))


def _held(view: View, tool: Tool) -> Value:
    part, stand = view.site.part(tool.part), view.site.part(tool.stand)
    if part is not None and stand is not None:
        return worded("tool-from-stand", tool=part.id, stand=stand.id)
    return (
        worded("hand-from-stand", stand=stand.id) if stand is not None else part.id if part is not None else worded("bare-hand")
    )


@finding("tool-too-short", "must-fix", documents=(PLAN, RESCUE), stops="use")
def tool_too_short(view: View) -> Iterator[Hit]:
    """What it looks at: the heights that a method is said to reach for the ring and for the hook against what its tool comes to: where
    the rescuer stands, the reach of the tool and that of a hand.

    Why: what no tool reaches, nobody attaches or undoes. Exactly the height is enough. Example: attached up to 21 ft from the ground,
    with a pole of 14 ft and a hand at 6.5 ft. Reference: geometry; common practice for the reach of a hand.
    """
    for method, row, tool in _tools(view, "tool-short"):
        if tool.reach is not None:
            values = {
                **_names(view, method, row), "what": _worked(tool), "stated": near(tool.stated), "tool": _held(view, tool), "reach": down(tool.reach),
                "short": up(tool.stated.si - tool.reach.si, "length"),
            }  # fmt: skip
            yield Hit(tool.stated.path, values, about=view.bays[row.bay].path)


@finding("tool-reach-unstated", "must-fix", documents=(PLAN, RESCUE), stops="use")
def tool_reach_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: poles, platforms and ladders of a method that do not say how far they reach.

    Why: whether they come to the height that the method states is not computed, so it is no pass. Example: a pole without a
    length. Reference: geometry.
    """
    for method, row, tool in _tools(view, "tool-unstated"):
        if tool.lacking is not None:
            values = {**_names(view, method, row), "what": _worked(tool), "stated": near(tool.stated), "input": tool.lacking}
            yield Hit(tool.lacking, values, about=view.bays[row.bay].path)


@finding("kit-reach", "must-fix", documents=(RESCUE,), stops="use")
def kit_reach(view: View) -> Iterator[Hit]:
    """What it looks at: the rope kit that lowers the casualty, and its rope at the top anchor, against the height of the anchor in each bay.

    Why: it must reach the ground; of the rope at the top, what the ratio of the haul leaves. Where no height of the anchor is given, it is
    that of the rail. Exactly the height is enough.
    Example: rail to ground 24.0 ft, kit 20 ft. Reference: geometry.
    """
    for method, row in _closed(view, "kit-short"):
        kit, high = lowering_kit(view.site, method), _top(view, row)
        for have, falls in (
            ((kit.reach, 1.0), (method.lift.rope_at_top, falls_of_rope(method))) if kit is not None and high is not None else ()
        ):
            if kit is not None and high is not None and have is not None and over(high.si, have.si / falls):
                values = {
                    **_names(view, method, row), "part": kit.id, "need": up(high), "have": down(have) if falls == 1 else down(have.si / falls, "length"),
                    "short": up(high.si - have.si / falls, "length"),
                }  # fmt: skip
                yield Hit(have.path, values, about=view.bays[row.bay].path)


def _top(view: View, row: RescueRow) -> Quantity | None:
    bay = view.bays[row.bay]
    return top_of(bay, (a for a in bay.rescue_anchors if a.id in row.anchors))


@finding("kit-reach-unstated", "must-fix", documents=(RESCUE,), stops="use")
def kit_reach_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: rope kits that lower the casualty and do not say how far they reach.

    Why: whether they reach the ground is not computed, so it is no pass. Example: K-1 without a length. Reference: labels.
    """
    for method in _once(view, "kit-unmeasured"):
        kit = lowering_kit(view.site, method)
        if kit is not None:
            yield Hit(f"{kit.path}.reach", {"method": method.name, "part": kit.id})


def _once(view: View, why: MethodClosure) -> Iterator[Method]:
    """The methods that are closed for this reason in every bay, each once."""
    yield from {method.id: method for method, _ in _closed(view, why)}.values()


@finding("lift-no-room", "must-fix", documents=(RESCUE,), stops="use")
def lift_no_room(view: View) -> Iterator[Hit]:
    """What it looks at: the highest hang in each bay, raised by the lift before the hook comes off, against the height of the anchor.

    Why: nobody is raised above what lifts them. The length of the kit itself is not counted. Example: ring at 19.1 ft, lift 2 ft,
    anchor at 20 ft. Reference: geometry.
    """
    for method, row in _closed(view, "lift-high"):
        values = {**_names(view, method, row), "need": NOT_COMPUTED if row.hook_need is None else up(row.hook_need)}
        top = _top(view, row)
        yield Hit(f"{method.path}.lift.needed", values | {"top": NOT_COMPUTED if top is None else down(top)})


@finding("step-kit-unlisted", "must-fix", documents=(RESCUE,))
def step_kit_unlisted(view: View) -> Iterator[Hit]:
    """What it looks at: the kit of each step of a method, and the tool for its hook, against the kits that the method lists.

    Why: rating, reach, inspection, place and suitability are looked at for the kits of the list, and for no other. Example: kits [K-2], and a step that raises
    the person with K-1. Reference: common practice, no published source.
    """
    for method in view.site.rescue.methods:
        used = [(f"{step.path}.kit", step.kit, step.text) for step in method.steps]
        used.append((f"{method.hook.path}.tool", method.hook.tool, method.hook.how or ""))
        told: set[str] = set()
        for path, kit, text in used:
            if kit is not None and kit not in method.kits and kit not in told:
                told.add(kit)
                yield Hit(path, {"method": method.name, "part": kit, "step": text})


@finding("kit-capacity", "must-fix", documents=(RESCUE,), stops="use")
def kit_capacity(view: View) -> Iterator[Hit]:
    """What it looks at: rating of each kit or platform against the posted limit for every person it carries, counted from the statement
    or, on a platform, from the steps where they say more.

    Why: rescue loads add up. The posted limit stands for each person; no weight is used. Example: platform 500 lb, two
    persons and a limit of 310 lb. Reference: ANSI/ASSP Z359.4 (memory); labels.
    """
    posted = view.site.limits.upper.value
    for method in _once(view, "kit-weak"):
        for kit in view.site.parts(method.kits):
            persons = carried(method, kit)
            if posted is not None and kit.capacity.max is not None and over(persons * posted.si, kit.capacity.max.si):
                values: dict[str, Value] = {
                    "method": method.name, "part": kit.id, "persons": persons, "posted": near(posted),
                    "need": up(persons * posted.si, "mass"), "have": down(kit.capacity.max),
                }  # fmt: skip
                yield Hit(f"{kit.path}.capacity.max", values)


@finding("kit-rating-missing", "must-fix", documents=(RESCUE,), stops="use")
def kit_rating_missing(view: View) -> Iterator[Hit]:
    """What it looks at: kits that carry the casualty and have no rating.

    Why: whether they hold is not computed, so it is no pass. Example: a winch without a label. Reference: labels;
    common practice.
    """
    for method in _once(view, "kit-unrated"):
        for part in carrying(view.site, method):
            if part.capacity.max is None:
                yield Hit(f"{part.path}.capacity.max", {"method": method.name, "part": part.id})


@finding("persons-under-steps", "must-fix", documents=(PLAN, RESCUE))
def persons_under_steps(view: View) -> Iterator[Hit]:
    """What it looks at: how many people a method is said to take, to have on its platform and on the rail, against its steps.

    Why: the smaller number is printed, and people and ratings are looked for by it. The person who hangs is on the rail until the
    hook comes off; whoever works from the rail is on it too. Example: load_persons 1, and two rescuers bring the person down on the
    platform. Reference: common practice.
    """
    for method in view.site.rescue.methods:
        if method.kind == "outside" or not method.steps:
            continue
        least = counts(view.site, method)
        for field, stated, steps in (
            ("persons", method.persons, least.persons), ("load_persons", method.load_persons, least.load_persons),
            ("load_on_rail", method.load_on_rail, on_rail(view, method)),
        ):  # fmt: skip
            if stated is not None and stated < steps:
                values: dict[str, Value] = {
                    "method": method.name,
                    "field": terms((f"count-{field}",)),
                    "stated": stated,
                    "steps": steps,
                }
                yield Hit(f"{method.path}.{field}", values)


@finding("method-gap", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def method_gap(view: View) -> Iterator[Hit]:
    """What it looks at: for each bay, vehicle and shift what the methods that are closed there, or pass a limit of time, leave without a
    method: rows of the decision table, and whoever is unconscious.

    Why: where no other serves them, there is no rescue. Where all pass a limit and none is closed, rescue-over-time tells it.
    Example: M2 and M3 reach the person after 4.1 min, limit 4.0; M1 is left, for who answers. Reference: 29 CFR 1910.140(c)(21) (memory).
    """
    yield from _gaps(view, lambda rows: (_left(view, rows, []), [r for r in rows if _fails(r)]))


@finding("drill-leaves-gap", "must-fix", documents=(RESCUE,), basis="law:rescue_duty", stops="use")
def drill_leaves_gap(view: View) -> Iterator[Hit]:
    """What it looks at: for each bay, vehicle and shift what the methods whose last drill there was over the target leave without a method.

    Why: a late drill closes its method for that vehicle on that shift; the bay only where no other serves the same rows, or whoever is
    unconscious. What the plan already leaves without one is told by method-gap. Example: both M2 and M3 over the target on the day shift.
    Reference: 29 CFR 1910.140(c)(21) (memory); common practice.
    """
    late = {(m.bay, m.drill.method, m.drill.shift, m.drill.vehicle) for m in last_of_each(view.measured) if m.late}

    def left(rows: list[RescueRow]) -> tuple[Phrase | None, list[RescueRow]]:
        slow = [r for r in rows if (r.bay, r.method, r.shift, r.vehicle) in late]
        return (_left(view, rows, slow) if slow and _left(view, rows, []) is None else None), slow

    yield from _gaps(view, left)


def _gaps(view: View, left_of: Callable[[list[RescueRow]], tuple[Phrase | None, list[RescueRow]]]) -> Iterator[Hit]:
    """One hit for each bay, vehicle and what is left there, with its shifts; `left_of` gives what is left and the rows to blame."""
    together: dict[tuple[str, str, str], list[RescueRow]] = {}
    for row in view.rescues:
        if row.kind != "outside" and (row.bay, row.vehicle) in _spots(view):
            together.setdefault((row.bay, row.vehicle, row.shift), []).append(row)
    groups: dict[tuple[str, str, tuple[str, ...], Phrase], list[str]] = {}
    for (bay, vehicle, shift), rows in together.items():
        left, failing = left_of(rows)
        if left is not None:
            methods = tuple(dict.fromkeys(r.method for r in failing))
            groups.setdefault((bay, vehicle, methods, left), []).append(shift)
    for (bay, vehicle, methods, left), shifts in groups.items():
        values: dict[str, Value] = {
            "bay": view.bays[bay].name, "vehicle": view.vehicles[vehicle].name, "methods": listed(methods),
            "shifts": listed(s.name or s.id for s in view.site.shifts if s.id in shifts),
            "rows": left,
        }  # fmt: skip
        yield Hit(view.bays[bay].path, values)


def _fails(row: RescueRow) -> bool:
    """Whether nobody may count on a method there: it is closed, or passes a limit of time."""
    return bool(row.closed) or row.within is False


def _left(view: View, rows: list[RescueRow], slow: list[RescueRow]) -> Phrase | None:
    """What the methods that fail in one bay, vehicle and shift, or were shown to be slow there, leave without another; None where nothing."""
    failing = [r for r in rows if _fails(r) or r in slow]
    standing = [r for r in rows if r not in failing]
    if not standing:
        return worded("nothing-left") if slow or any(r.closed for r in rows) else None
    lost = ", ".join(sorted(_rows(view, failing) - _rows(view, standing)))
    if _unconscious(view, failing) and not _unconscious(view, standing):
        return worded("both-left", rows=lost) if lost else worded("unconscious-left")
    return worded("rows-left", rows=lost) if lost else None


def _unconscious(view: View, rows: list[RescueRow]) -> bool:
    return any(m.unconscious for m in view.site.rescue.methods if m.id in {r.method for r in rows})


def _spots(view: View) -> set[tuple[str, str]]:
    return {(t.bay, t.vehicle) for t in view.site.tasks if t.permission == "allowed"}


def _rows(view: View, rows: list[RescueRow]) -> set[str]:
    """The rows of the decision table that these methods serve."""
    return {letter for m in view.site.rescue.methods if m.id in {r.method for r in rows} for letter in m.rows}


#: What a step does, and what is done by then: attach is the rescue line on the person, or the weight taken on a platform or a ladder.
ORDER = (("release", "attach"), ("lower", "attach"), ("lower", "release"))


@finding("lowered-too-early", "must-fix", documents=(PLAN, RESCUE))
def lowered_too_early(view: View) -> Iterator[Hit]:
    """What it looks at: whether the hook comes off only when the person hangs on the rescue line or somebody has the weight, and whether whoever is lowered is held and off
    the hook by then. What is done in one step is in order; a method without such a step is not judged, but for the hold of one that undoes the hook.

    Why: a hook that is undone before is a fall, and nobody is lowered who still hangs on the device. Methods of outside help are theirs. Example: release after the alarm,
    attach after the release. Reference: common practice, no published source.
    """
    for method in view.site.rescue.methods:
        doing = {deed: {s.id for s in method.steps if deed in s.does} for deed in ("attach", "release", "lower")}
        pairs = [(late, early) for late, early in ORDER if doing[early] or (late == "release" and method.kind in UNDOES)]
        before = before_each(method.steps)
        for late, early in pairs if method.kind != "outside" else ():
            for step in (s for s in method.steps if late in s.does and not (before[s.id] | {s.id}) & doing[early]):
                values: dict[str, Value] = {"method": method.name, "step": step.id, "early": terms((f"deed-{early}",))}
                yield Hit(f"{step.path}.after", values | {"late": terms((f"deed-{late}",))})


#: What a step does with which nobody has reached the person, or brought the person down.
AWAY = {"alarm", "stop", "call", "meter", "fetch", "anchor"}
GOALS: dict[Literal["contact_step", "ground_step"], set[str]] = {
    "contact_step": AWAY,
    "ground_step": AWAY | {"attach", "arrive", "release", "lift"},
}


@finding("goal-step-wrong", "must-fix", documents=(PLAN, RESCUE))
def goal_step_wrong(view: View) -> Iterator[Hit]:
    """What it looks at: what the step does with which the person is said to be reached, and the one with which the person is said to lie on the ground.

    Why: the clock stops there, long before anybody has reached or lowered anyone. A step that does not say what it does is not judged. Example: contact_step: alarm.
    Reference: common practice, no published source.
    """
    for method in view.site.rescue.methods:
        for field, never in GOALS.items():
            step = next((s for s in method.steps if s.id == getattr(method, field)), None)
            if step is not None and step.does and set(step.does) <= never:
                values: dict[str, Value] = {"method": method.name, "step": step.id, "goal": terms((f"goal-{field}",))}
                yield Hit(f"{method.path}.{field}", values | {"does": terms(f"deed-{deed}" for deed in step.does)})


@finding("next-method-late", "must-fix", documents=(RESCUE,))
def next_method_late(view: View) -> Iterator[Hit]:
    """What it looks at: when the next method begins after the fall, against the shorter of the limits for contact and for the ground.

    Why: it cannot keep a limit that has passed before it begins. Exactly at the limit is let pass. Example: M3 after 20 min, contact limit 4 min. Reference:
    arithmetic; the site's limits.
    """
    limits = [limit.value for limit in (view.site.rescue.contact_limit, view.site.rescue.ground_limit) if limit.value is not None]
    least = min(limits, key=lambda q: q.si, default=None)
    for method in view.site.rescue.methods:
        after = method.next.after
        if after is not None and least is not None and over(after.si, least.si):
            yield Hit(after.path, {"method": method.name, "after": up(after), "limit": down(least)})


@finding("row-without-stop", "must-fix", documents=(RESCUE,))
def row_without_stop(view: View) -> Iterator[Hit]:
    """What it looks at: rows B and C among those of a method, against its steps up to first contact and what bears the person in it.

    Why: who is caught or lies hurt is held from below and neither lifted nor unhooked; a method that lifts, undoes a hook or lowers before or with
    the step that reaches the person has no step at which to stop. Example: M2 raises on a line, rows C, E. Reference: common practice.
    """
    for method in view.site.rescue.methods:
        held = [letter for letter in method.rows if letter in ("B", "C")]
        if held and method.kind != "outside" and stop_at(method) is None:
            yield Hit(f"{method.path}.rows", {"method": method.name, "rows": listed(held)})


@finding("next-method-wind", "must-fix", documents=(RESCUE,))
def next_method_wind(view: View) -> Iterator[Hit]:
    """What it looks at: the methods that follow each other, where a bay is not indoors: after each that wind stops one that it does not stop.

    Why: in that wind nothing is left when the one before has failed. Example: M2, then the platform M3, then none. Reference: arithmetic of the list.
    """
    methods = {m.id: m for m in view.site.rescue.methods}
    if all(bay.setting == "indoor" for bay in bays_in_use(view)):
        return
    for method in view.site.rescue.methods:
        at, seen = method.next.method, {method.id}
        while at in methods and at not in seen and methods[at].wind_max is not None:
            seen.add(at)
            at = methods[at].next.method
        if len(seen) > 1 and (at not in methods or at in seen):
            first = methods[str(method.next.method)]
            values: dict[str, Value] = {"method": method.name, "next": first.name}
            if first.wind_max is not None:
                values["wind"] = near(first.wind_max)
            yield Hit(f"{method.path}.next.method", values)


@finding("lift-zero", "fix-soon", documents=(RESCUE,))
def lift_zero(view: View) -> Iterator[Hit]:
    """What it looks at: methods that haul and undo the hook, and raise the person by nothing before.

    Why: a hook under load does not come off; the line of the device must be slack. Example: needed: 0 ft. Reference: common practice, no published source.
    """
    for method in view.site.rescue.methods:
        lift = method.lift.needed
        releases = any("release" in s.does for s in method.steps)
        if method.kind in HAULING and releases and lift is not None and not over(lift.si, 0.0):
            yield Hit(lift.path, {"method": method.name, "lift": near(lift)})


@finding("help-untimed", "fix-soon", documents=(RESCUE,))
def help_untimed(view: View) -> Iterator[Hit]:
    """What it looks at: whether the arrival of outside help is a step.

    Why: without it the clock of that method does not wait for them. Example: call, then lower. Reference: common practice.
    """
    for method in view.site.rescue.methods:
        if method.kind == "outside" and method.steps and not any("arrive" in s.does for s in method.steps):
            yield Hit(f"{method.path}.steps", {"method": method.name})


@finding("call-slow", "fix-soon", documents=(RESCUE,))
def call_slow(view: View) -> Iterator[Hit]:
    """What it looks at: the call for outside help on each shift, against the time in which a caller does nothing else.

    Why: help is called at once, whatever the site does. Exactly two minutes are in time. Example: the call ends 3 min after the fall is
    known. Reference: common practice, no published source.
    """
    for row, step, ended in _calls(view):
        known = row.detection.si if row.detection is not None else 0.0
        if over(ended - known, practice("caller_time").si) and not _too_late(row, ended):
            yield Hit(step.path, _call(view, row, step, ended) | {"most": near(practice("caller_time").si, "time")})


@finding("call-too-late", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def call_too_late(view: View) -> Iterator[Hit]:
    """What it looks at: the end of the call for outside help, after the fall, against the limit for contact.

    Why: where the site's own methods fail, help must be on its way by then. Exactly the limit is in time. Example: the call ends 60 min after
    the fall, limit 4 min. Reference: own choice, no published source.
    """
    for row, step, ended in _calls(view):
        if row.contact_limit is not None and _too_late(row, ended):
            yield Hit(step.path, _call(view, row, step, ended) | {"limit": down(row.contact_limit)})


def _calls(view: View) -> Iterator[tuple[RescueRow, MethodStep, float]]:
    """The latest call for help of each method of outside help, with its row and its end [s from the fall]."""
    for method in view.site.rescue.methods:
        calls = {s.id: s for s in method.steps if "call" in s.does}
        found = [
            (row, calls[t.id], t.finish.si)
            for row in view.rescues
            if row.method == method.id
            for t in row.timings
            if t.id in calls
        ]
        if method.kind == "outside" and found:
            yield max(found, key=lambda item: item[2])


def _too_late(row: RescueRow, ended: float) -> bool:
    """Whether a call ends past the limit for contact; where noticing the fall alone takes longer, that is told."""
    limit, known = row.contact_limit, row.detection.si if row.detection is not None else 0.0
    return limit is not None and not over(known, limit.si) and over(ended, limit.si)


def _call(view: View, row: RescueRow, step: MethodStep, ended: float) -> dict[str, Value]:
    method = next(m for m in view.site.rescue.methods if m.id == row.method)
    shift = next(s for s in view.site.shifts if s.id == row.shift)
    return {"method": method.name, "step": step.id, "shift": shift.name or shift.id, "ended": up(ended, "time")}


@finding("help-too-early", "must-fix", documents=(RESCUE,))
def help_too_early(view: View) -> Iterator[Hit]:
    """What it looks at: the longest time planned for the arrival of outside help against the time that it states itself.

    Why: they know their road, and the paper prints the shorter time. Exactly the stated time is enough. Example: planned 5 min, stated 9. Reference: letter of the fire
    service.
    """
    stated = view.site.rescue.external.arrival
    for method in view.site.rescue.methods:
        for step in method.steps if method.kind == "outside" and stated is not None else ():
            longest = max(
                (t for t in (step.time.best, step.time.likely, step.time.worst) if t is not None),
                key=lambda q: q.si,
                default=None,
            )
            if stated is not None and "arrive" in step.does and longest is not None and under(longest.si, stated.si):
                values = {"method": method.name, "step": step.id, "planned": near(longest), "stated": near(stated)}
                yield Hit(longest.path, values)


@finding("help-stated-short", "fix-soon", documents=(RESCUE,))
def help_stated_short(view: View) -> Iterator[Hit]:
    """What it looks at: the time that outside help states for its arrival, against the usual time planned for it, or the longest where no usual one stands.

    Why: the papers print the stated time, and whoever plans does not believe it. Exactly the usual time is enough. Example: stated 2 min, planned 9. Reference: common
    practice; letter of the fire service.
    """
    stated = view.site.rescue.external.arrival
    for method in view.site.rescue.methods:
        for step in method.steps if method.kind == "outside" else ():
            usual = step.time.likely or step.time.worst or step.time.best
            if stated is not None and "arrive" in step.does and usual is not None and under(stated.si, usual.si):
                yield Hit(stated.path, {"method": method.name, "step": step.id, "stated": near(stated), "planned": near(usual)})
