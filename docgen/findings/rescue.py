"""Findings on rescue methods against the clock, per bay, vehicle and shift."""

from __future__ import annotations

import math
from collections.abc import Iterator

from docgen.engineering.drills import Goal, last_of_each
from docgen.engineering.model import RescueRow, StepTiming
from docgen.findings.common import listed, minutes, terms, whose, worded
from docgen.findings.model import Value
from docgen.findings.rule import PLAN, RESCUE, finding
from docgen.findings.view import NOT_COMPUTED, Hit, View, down, near, up
from docgen.frozen import frozen
from docgen.limits import no_noise, over, same_figure, under
from docgen.site import Method, Quantity
from docgen.text.screens import found_in_any
from docgen.trade.practice import practice

__all__ = [
    "method_over_limit",
    "night_method",
    "outside_help_only",
    "outside_help_unconfirmed",
    "rescue_input_missing",
    "rescue_limit_basis",
    "rescue_limit_long",
    "rescue_limit_missing",
    "rescue_limit_over_law",
    "rescue_limit_too_long",
    "rescue_missing",
    "rescue_over_time",
    "rescue_shift_uncovered",
    "rescue_slack_drilled",
    "rescue_slack_none",
    "rescue_slack_thin",
    "step_order",
    "straps_as_rescue",
    "straps_missing",
    "unconscious_not_covered",
]

Spot = tuple[str, str]


def _spots(view: View) -> list[Spot]:
    """Bay and vehicle of every allowed task, once each."""
    known = {b.id for b in view.site.bays}, {v.id for v in view.site.vehicles}
    spots = (
        (t.bay, t.vehicle) for t in view.site.tasks if t.permission == "allowed" and t.bay in known[0] and t.vehicle in known[1]
    )
    return list(dict.fromkeys(spots))


def _methods(view: View, vehicle: str, own: bool = True) -> list[Method]:
    return [
        m for m in view.site.rescue.methods if (not m.vehicles or vehicle in m.vehicles) and not (own and m.kind == "outside")
    ]


def _names(view: View, spot: Spot) -> dict[str, str]:
    return {"bay": view.bays[spot[0]].name, "vehicle": view.vehicles[spot[1]].name}


def _vehicle_path(view: View, spot: Spot) -> str:
    return view.vehicles[spot[1]].path


@finding("rescue-missing", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def rescue_missing(view: View) -> Iterator[Hit]:
    """What it looks at: a method for every bay and vehicle with an allowed task.

    Why: prompt rescue is the employer's duty. Example: railcars have no method. Reference: 29 CFR 1910.140(c)(21)
    (memory).
    """
    for spot in _spots(view):
        if not _methods(view, spot[1], own=False):
            yield Hit(_vehicle_path(view, spot), _names(view, spot))


@finding("outside-help-only", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def outside_help_only(view: View) -> Iterator[Hit]:
    """What it looks at: spots whose only method is outside help.

    Why: a call is not a rescue plan. Example: fire department, 11 min away, no method of the site. Reference: OSHA
    letters on prompt rescue; preamble of 2016.
    """
    for spot in _spots(view):
        if _methods(view, spot[1], own=False) and not _methods(view, spot[1]):
            yield Hit(_vehicle_path(view, spot), _names(view, spot))


def _rows(view: View, spot: Spot, shift: str | None = None) -> list[RescueRow]:
    return [r for r in view.rescues if (r.bay, r.vehicle) == spot and r.kind != "outside" and shift in (None, r.shift)]


def _standing(view: View, spot: Spot, shift: str | None = None) -> list[RescueRow]:
    """Those of methods that can be carried out there."""
    return [r for r in _rows(view, spot, shift) if not r.closed]


@finding("rescue-shift-uncovered", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def rescue_shift_uncovered(view: View) -> Iterator[Hit]:
    """What it looks at: climbing shifts for which no method of the site is listed.

    Why: the fall does not wait for the day shift. Example: platform method on day and evening only, people climb at
    night. Reference: 29 CFR 1910.140(c)(21) (memory).
    """
    for spot in _spots(view):
        for shift in view.site.shifts:
            if shift.climbing and _methods(view, spot[1]) and not _rows(view, spot, shift.id):
                yield Hit(shift.path, _names(view, spot) | {"shift": shift.name or shift.id})


def _excess(row: RescueRow) -> float:
    """By how much a row passes the limit that it passes most; a row without both times or limits stands last."""
    if row.contact is None or row.contact_limit is None or row.ground is None or row.ground_limit is None:
        return math.inf
    return max(row.contact.si - row.contact_limit.si, row.ground.si - row.ground_limit.si)


def _sum(row: RescueRow, ground_step: str | None) -> Value:
    """Detection and the steps that lead to the ground, written as a sum."""
    if row.detection is None or row.ground is None:
        return NOT_COMPUTED
    detection = row.detection.si
    chain: list[StepTiming] = []
    at = next((t for t in row.timings if t.id == ground_step), None)
    while at is not None:
        chain.append(at)
        before = [t for t in row.timings if t not in chain and same_figure(t.finish.si, at.start.si)]
        at = max(before, key=lambda t: t.critical, default=None) if over(at.start.si, detection) else None
    return " + ".join(minutes(s) for s in (detection, *(t.finish.si - t.start.si for t in reversed(chain))))


@finding("rescue-over-time", "must-fix", documents=(RESCUE,), basis="law:rescue_prompt_meaning")
def rescue_over_time(view: View) -> Iterator[Hit]:
    """What it looks at: for each bay, vehicle and shift the best method of the site against both limits.

    Why: none keeps them. Example: 1.0 + 2.0 + 1.5 + 2.0 + 1.0 + 1.0 = 8.5 min, limit 6.0; kit at the bay gains 1.0.
    Reference: the site's limits; the law says prompt and gives no number.
    """
    groups: dict[tuple[str, str, str], list[RescueRow]] = {}
    for spot in _spots(view):
        for shift in view.site.shifts:
            timed = [r for r in _rows(view, spot, shift.id) if r.within is not None]
            rows = [r for r in timed if not r.closed] or timed
            if rows and not any(r.within for r in rows):
                best = min(rows, key=_excess)
                groups.setdefault((*spot, best.method), []).append(best)
    for (bay, vehicle, key), rows in groups.items():
        row = max(rows, key=_excess)
        method = next(m for m in view.site.rescue.methods if m.id == key)
        gain = max(row.gains, key=lambda g: g[1].si, default=None)
        values: dict[str, Value] = {
            **_names(view, (bay, vehicle)),
            "method": method.name,
            "shifts": listed(r.shift for r in rows),
            "sum": _sum(row, method.ground_step),
            "contact": up(row.contact),
            "contact_limit": down(row.contact_limit),
            "ground": up(row.ground),
            "ground_limit": down(row.ground_limit),
            "step": gain[0] if gain else "",
            "gain": down(gain[1]) if gain else down(0.0, "time"),
        }
        yield Hit(method.path, values)


@finding("method-over-limit", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_prompt_meaning")
def method_over_limit(view: View) -> Iterator[Hit]:
    """What it looks at: each method of the site that can be carried out, with each vehicle and shift, where another method keeps both limits.

    Why: rescuers turn to it when the first one fails, and it comes too late. Where none keeps them, that is told instead. Exactly at a limit is kept.
    Example: fetching the kit takes 30 min, limit 4 min. Reference: the site's limits; the law says prompt and gives no number.
    """
    late: dict[tuple[str, str, str], list[RescueRow]] = {}
    for spot in _spots(view):
        for shift in view.site.shifts:
            rows = _standing(view, spot, shift.id)
            if any(r.within for r in rows):
                for row in rows:
                    if row.within is False:
                        late.setdefault((*spot, row.method), []).append(row)
    for (bay, vehicle, key), rows in late.items():
        worst = max(rows, key=_excess)
        method = next(m for m in view.site.rescue.methods if m.id == key)
        values: dict[str, Value] = {
            **_names(view, (bay, vehicle)),
            "method": method.name,
            "shifts": listed(r.shift for r in rows),
            "contact": up(worst.contact),
            "contact_limit": down(worst.contact_limit),
            "ground": up(worst.ground),
            "ground_limit": down(worst.ground_limit),
        }
        yield Hit(method.path, values)


NOTHING_LEFT = 6.0  # s; less prints as 0.0 min


@frozen
class _Thin:
    """A row that keeps a limit by less than estimates are good for: the goal with the least left, and whether a drill has shown it."""

    row: RescueRow
    goal: Goal
    took: float
    limit: float
    left: Quantity
    least: Quantity
    shown: bool


def _thin(view: View, shown: bool, none_left: bool = False) -> Iterator[Hit]:
    """One hit a method and goal, for the row with the least left."""
    found: dict[tuple[str, Goal], list[_Thin]] = {}
    spots = set(_spots(view))
    for row in view.rescues:
        if row.within and row.kind != "outside" and not row.closed and (row.bay, row.vehicle) in spots:
            for thin in _kept_by_little(view, row):
                if thin.shown is shown and (shown or none_left is under(no_noise(thin.limit - thin.took), NOTHING_LEFT)):
                    found.setdefault((row.method, thin.goal), []).append(thin)
    for (key, goal), all_ in found.items():
        worst = min(all_, key=lambda t: t.left.si)
        shifts: dict[str, list[str]] = {}
        for one in all_:
            shifts.setdefault(view.vehicles[one.row.vehicle].name, []).append(one.row.shift)
        method = next(m for m in view.site.rescue.methods if m.id == key)
        values: dict[str, Value] = {
            "method": method.name,
            "goal": terms((f"to-{goal}",)),
            "took": up(worst.took, "time"),
            "limit": down(worst.limit, "time"),
            "left": down(worst.left),
            "least": near(worst.least),
            "rows": "; ".join(f"{vehicle}: {listed(on)}" for vehicle, on in shifts.items()),
        }
        yield Hit(method.path, values)


def _kept_by_little(view: View, row: RescueRow) -> Iterator[_Thin]:
    took = {"contact": (row.contact, row.contact_limit), "ground": (row.ground, row.ground_limit)}
    for thin in row.thin:
        goal: Goal = "contact" if thin.goal == "contact" else "ground"
        planned, limit = took[goal]
        shown = any(
            m.goal == goal and not m.slower and not m.late
            and (m.bay, m.method.id, m.drill.shift, m.drill.vehicle) == (row.bay, row.method, row.shift, row.vehicle)
            for m in last_of_each(view.measured)
        )  # fmt: skip
        if planned is not None and limit is not None:
            yield _Thin(row, goal, planned.si, limit.si, thin.left, thin.least, shown)


@finding("rescue-slack-thin", "fix-soon", documents=(RESCUE,))
def rescue_slack_thin(view: View) -> Iterator[Hit]:
    """What it looks at: what the longest estimates leave to each limit, where no drill has shown the time.

    Why: estimates are good to half a minute or a tenth of the limit, whichever is more (own choice); less is luck. Exactly
    that much is enough. Example: contact 3.9 min, limit 4.0. Reference: own choice, no published source.
    """
    yield from _thin(view, shown=False)


@finding("rescue-slack-drilled", "advice", documents=(RESCUE,))
def rescue_slack_drilled(view: View) -> Iterator[Hit]:
    """What it looks at: the same where the last drill of that method, shift and vehicle was no slower than planned.

    Why: it can be done, and little may go wrong. Example: contact 3.9 min, limit 4.0, drilled in 3.4. Reference: own choice, no
    published source.
    """
    yield from _thin(view, shown=True)


@finding("rescue-input-missing", "must-fix", documents=(RESCUE,))
def rescue_input_missing(view: View) -> Iterator[Hit]:
    """What it looks at: steps without time, methods without steps, contact or ground step, or without persons.

    Why: nothing to add up. Example: M2 lists steps and no times. Reference: common practice.
    """
    seen = {p for r in view.rescues for p in r.missing if not p.endswith((".watch", ".after"))}
    for method in view.site.rescue.methods:
        paths = sorted(p for p in seen if p.startswith(f"{method.path}."))
        if method.kind != "outside" and method.persons is None:
            paths.append(f"{method.path}.persons")
        if paths:
            yield Hit(paths[0], {"method": method.name, "inputs": listed(paths)})


@finding("step-order", "must-fix", documents=(RESCUE,))
def step_order(view: View) -> Iterator[Hit]:
    """What it looks at: steps that wait for a step which does not exist, or for each other.

    Why: the order cannot be computed. Example: after: [alram]. Reference: common practice.
    """
    seen = {p for r in view.rescues for p in r.missing if p.endswith(".after")}
    for method in view.site.rescue.methods:
        for step in method.steps:
            if f"{step.path}.after" in seen:
                yield Hit(f"{step.path}.after", {"method": method.name, "step": step.id, "after": listed(step.after)})


@finding("rescue-limit-missing", "must-fix", documents=(RESCUE,), basis="law:rescue_time_max")
def rescue_limit_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the site's limits for contact and for the ground.

    Why: the law says prompt and gives no number. Example: no ground limit. Reference: ANSI/ASSE Z359.2-2007 contact
    goal (memory).
    """
    for limit, name in ((view.site.rescue.contact_limit, "contact"), (view.site.rescue.ground_limit, "ground")):
        if view.allowed and limit.value is None:
            goal = practice(f"{name}_goal", view.system, view.site.country)
            yield Hit(limit.path, {"which": name, "goal": near(goal.si, "time"), "source": goal.source})


@finding("rescue-limit-over-law", "must-fix", documents=(RESCUE,), basis="law:rescue_time_max")
def rescue_limit_over_law(view: View) -> Iterator[Hit]:
    """What it looks at: the site's limits against a number of minutes in a text that binds, where one prints it; what only advises is looked
    at by advice-exceeded.

    Why: the law binds. Example: 10 min where the text prints fewer. Reference: the jurisdiction's own rule.
    """
    held = view.binding.held_to("rescue_time_max")
    for limit in (view.site.rescue.contact_limit, view.site.rescue.ground_limit):
        if held is not None and held.figure is not None and limit.value is not None and over(limit.value.si, held.figure):
            values: dict[str, Value] = {"limit": near(limit.value), "law": held.text}
            yield Hit(f"{limit.path}.value", values | whose(view, "rescue_time_max", held))


@finding("rescue-limit-basis", "fix-soon", documents=(RESCUE,))
def rescue_limit_basis(view: View) -> Iterator[Hit]:
    """What it looks at: where a limit comes from.

    Why: someone will ask why this many minutes. Example: 6 min without a basis. Reference: common practice.
    """
    for limit, name in ((view.site.rescue.contact_limit, "contact"), (view.site.rescue.ground_limit, "ground")):
        if limit.value is not None and limit.basis is None:
            yield Hit(f"{limit.path}.basis", {"which": name, "limit": near(limit.value)})


@finding("rescue-limit-long", "fix-soon", documents=(RESCUE,))
def rescue_limit_long(view: View) -> Iterator[Hit]:
    """What it looks at: the site's limits against the published goals, up to the most that a site may plan.

    Why: a longer one needs a better reason. Exactly at the goal is within it. Example: contact limit 10 min, goal 6
    min. Reference: the source of each goal.
    """
    for limit, name in ((view.site.rescue.contact_limit, "contact"), (view.site.rescue.ground_limit, "ground")):
        goal, most = (practice(f"{name}_{which}", view.system, view.site.country) for which in ("goal", "most"))
        if limit.value is not None and over(limit.value.si, goal.si) and not over(limit.value.si, most.si):
            yield Hit(
                f"{limit.path}.value",
                {"which": name, "limit": near(limit.value), "goal": near(goal.si, "time"), "source": goal.source},
            )


@finding("rescue-limit-too-long", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_prompt_meaning")
def rescue_limit_too_long(view: View) -> Iterator[Hit]:
    """What it looks at: the site's limits against the times beyond which no site may plan to let a person hang.

    Why: a plan that keeps such a limit reaches people who have fainted, or worse. Exactly that time is let pass. Example: contact limit 60 min, at
    most 9. Reference: the source of each figure.
    """
    for limit, name in ((view.site.rescue.contact_limit, "contact"), (view.site.rescue.ground_limit, "ground")):
        most = practice(f"{name}_most", view.system, view.site.country)
        if limit.value is not None and over(limit.value.si, most.si):
            values = {"which": name, "limit": up(limit.value), "most": down(most.si, "time"), "source": most.source}
            yield Hit(f"{limit.path}.value", values)


@finding("rescue-slack-none", "must-fix", documents=(RESCUE,))
def rescue_slack_none(view: View) -> Iterator[Hit]:
    """What it looks at: methods whose longest estimates leave to a limit less than a tenth of a minute, and no drill has shown the time.

    Why: what is printed is 0.0 min, and one slow hand passes the limit. A tenth is let pass. Example: contact 4.0 min, limit 4.0.
    Reference: own choice, no published source.
    """
    yield from _thin(view, shown=False, none_left=True)


@finding("unconscious-not-covered", "must-fix", documents=(RESCUE,), basis="law:rescue_duty")
def unconscious_not_covered(view: View) -> Iterator[Hit]:
    """What it looks at: a method of the site for a person who cannot help.

    Why: suspension makes people faint. Example: every method needs the user to clip in. Reference: OSHA bulletin on
    suspension trauma (memory).
    """
    for spot in _spots(view):
        standing = {r.method for r in _standing(view, spot)}
        own = [m for m in _methods(view, spot[1]) if m.id in standing]
        if own and not any(m.unconscious for m in own):
            yield Hit(_vehicle_path(view, spot), _names(view, spot) | {"methods": listed(m.name for m in own)})


@finding("night-method", "must-fix", documents=(RESCUE,))
def night_method(view: View) -> Iterator[Hit]:
    """What it looks at: a method that works in the dark for each night shift with climbing.

    Why: lights fail and shadows hide rings. Example: platform only by day. Reference: common practice.
    """
    methods = {m.id: m for m in view.site.rescue.methods}
    for spot in _spots(view):
        for shift in view.site.shifts:
            rows = _standing(view, spot, shift.id)
            if shift.climbing and shift.night and rows and not any(methods[r.method].night for r in rows):
                yield Hit(shift.path, _names(view, spot) | {"shift": shift.name or shift.id})


@finding("outside-help-unconfirmed", "fix-soon", documents=(RESCUE,))
def outside_help_unconfirmed(view: View) -> Iterator[Hit]:
    """What it looks at: agreement, confirmed capability and a walk through the bays with the outside agency.

    Why: they may not come up. Example: fire station never visited. Reference: preamble of 2016; common practice.
    """
    outside = [m for m in view.site.rescue.methods if m.kind == "outside"]
    help_ = view.site.rescue.external
    happened = view.happened
    known = {
        "agreement": happened.letter("agreement"), "capability": happened.letter("capability"), "visit": happened.visited,
        "arrival": help_.arrival,
    }  # fmt: skip
    lacking = [name for name, value in known.items() if value is None]
    if (outside or help_) and lacking:
        yield Hit(help_.path, {"agency": help_.agency or worded("outside-agency"), "lacking": terms(lacking)})


@finding("straps-as-rescue", "must-fix", documents=(RESCUE,), basis="law:rescue_duty")
def straps_as_rescue(view: View) -> Iterator[Hit]:
    """What it looks at: methods that rest on relief straps.

    Why: straps buy time for a conscious person and lower nobody. Example: M1 "stand in the relief straps". Reference:
    29 CFR 1910.140(c)(21) (memory); OSHA bulletin on suspension trauma.
    """
    for method in view.site.rescue.methods:
        caught = found_in_any(method.name, "straps", view.languages)
        if not caught and method.kind == "self":
            caught = tuple(c for s in method.steps for c in found_in_any(s.text, "straps", view.languages))
        if caught:
            yield Hit(method.path, {"method": method.name, "words": caught[0].text})


@finding("straps-missing", "advice", documents=(RESCUE,), basis="law:suspension_plan")
def straps_missing(view: View) -> Iterator[Hit]:
    """What it looks at: straps in which a hanging person can stand, on every harness.

    Why: they ease the wait. Example: relief_straps left out. Reference: OSHA bulletin on suspension trauma (memory).
    """
    if view.site.rescue.methods and view.site.rescue.relief_straps is not True:
        yield Hit("rescue.relief_straps")
