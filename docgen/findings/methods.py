"""Findings on methods of rescue in a bay: one that cannot be carried out there is closed there, and the bay only where no other serves."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.engineering.model import MethodClosure, RescueRow
from docgen.findings.common import listed, terms, worded
from docgen.findings.model import Value
from docgen.findings.rule import PLAN, RECORD, RESCUE, finding
from docgen.findings.view import NOT_COMPUTED, Hit, View, down, near, up
from docgen.limits import under
from docgen.site import Method

__all__ = [
    "help_too_early",
    "help_untimed",
    "hook_out_of_reach",
    "method_gap",
    "rescue_anchor_missing",
    "rescue_anchor_not_for_arrest",
    "rescue_anchor_persons",
    "rescue_anchor_weak",
    "rescue_danger_unlifted",
    "rescue_kit_missing",
    "rescue_steps_missing",
]

DANGERS = ("meter", "stop")


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
                **_names(view, method, row), "anchor": _anchor(row), "persons": method.load_persons, "tied": method.tied_to_anchor,
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
            need = method.load_persons + method.tied_to_anchor
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
        yield Hit(
            f"{method.path}.tied_to_anchor", {**_names(view, method, row), "anchor": _anchor(row), "tied": method.tied_to_anchor}
        )


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
    """What it looks at: bays with dangers that keep rescuers away, and whether the meter or the stop is a step before contact.

    Why: rescuers wait for it, and the clock must wait too. Example: gas, and nobody reads the meter in M2. Reference: common
    practice.
    """
    for method, row in _closed(view, "steps-missing"):
        lacking = [s for s in row.missing_steps if s in DANGERS]
        if lacking:
            values: dict[str, Value] = {
                **_names(view, method, row),
                "dangers": terms(view.bays[row.bay].dangers),
                "lacking": terms(f"step-{s}" for s in lacking),
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


@finding("method-gap", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def method_gap(view: View) -> Iterator[Hit]:
    """What it looks at: for each bay, vehicle and shift what the methods that are closed there leave without a method.

    Why: where no other serves the same rows, there is no rescue. Example: M2 and M3 closed, M1 left for who answers. Reference:
    29 CFR 1910.140(c)(21) (memory).
    """
    groups: dict[tuple[str, str, tuple[str, ...], str], list[str]] = {}
    for row in view.rescues:
        if row.kind == "outside" or not row.closed or (row.bay, row.vehicle) not in _spots(view):
            continue
        same = [
            r for r in view.rescues if (r.bay, r.vehicle, r.shift) == (row.bay, row.vehicle, row.shift) and r.kind != "outside"
        ]
        lost = _rows(view, [r for r in same if r.closed]) - _rows(view, [r for r in same if not r.closed])
        if lost or all(r.closed for r in same):
            key = (row.bay, row.vehicle, tuple(dict.fromkeys(r.method for r in same if r.closed)), ", ".join(sorted(lost)))
            if row.shift not in groups.setdefault(key, []):
                groups[key].append(row.shift)
    for (bay, vehicle, methods, lost_rows), shifts in groups.items():
        values: dict[str, Value] = {
            "bay": view.bays[bay].name, "vehicle": view.vehicles[vehicle].name, "methods": listed(methods),
            "shifts": listed(s.name or s.id for s in view.site.shifts if s.id in shifts),
            "rows": worded("rows-left", rows=lost_rows) if lost_rows else worded("nothing-left"),
        }  # fmt: skip
        yield Hit(view.bays[bay].path, values)


def _spots(view: View) -> set[tuple[str, str]]:
    return {(t.bay, t.vehicle) for t in view.site.tasks if t.permission == "allowed"}


def _rows(view: View, rows: list[RescueRow]) -> set[str]:
    """The rows of the decision table that these methods serve."""
    return {letter for m in view.site.rescue.methods if m.id in {r.method for r in rows} for letter in m.rows}


@finding("help-untimed", "fix-soon", documents=(RESCUE,))
def help_untimed(view: View) -> Iterator[Hit]:
    """What it looks at: whether the arrival of outside help is a step.

    Why: without it the clock of that method does not wait for them. Example: call, then lower. Reference: common practice.
    """
    for method in view.site.rescue.methods:
        if method.kind == "outside" and method.steps and not any("arrive" in s.does for s in method.steps):
            yield Hit(f"{method.path}.steps", {"method": method.name})


@finding("help-too-early", "fix-soon", documents=(RESCUE,))
def help_too_early(view: View) -> Iterator[Hit]:
    """What it looks at: the longest time planned for the arrival of outside help against the time that it states itself.

    Why: they know their road. Exactly the stated time is enough. Example: planned 5 min, stated 9. Reference: letter of the fire
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
