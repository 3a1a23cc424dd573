"""Every bay, vehicle, method and shift on the clock that starts at the fall.

Detection comes first: a continuous watcher costs nothing, a radio check costs its whole interval and the wait for an
answer. The worst duration of each step decides, and whoever has two steps does one after the other: whoever the method names for them
(`who`), and each post of the shift, which is the same person in all its steps. A post that is held from a later minute on begins then.
These are the times of the plan: what a drill measured changes none of them (`drills.py` holds it against them).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from docgen.calc import rescue
from docgen.engineering.gear import counts
from docgen.engineering.model import Case, RescueRow, StepTiming, Thin, Turn, computed
from docgen.engineering.ready import ready
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.limits import no_noise, under, within
from docgen.site import Bay, Method, MethodStep, Post, Quantity, Shift, Site
from docgen.trade.practice import practice

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = ["all_rescues", "detection_time", "posts_of", "rescuers_there"]

NEVER = float("-inf")


def all_rescues(site: Site, law: Law, cases: tuple[Case, ...]) -> tuple[RescueRow, ...]:
    """Rows in the order bay, vehicle, method, shift; only vehicles with a task that is allowed, or closed with its bay."""
    networks = [
        (method, shift, _network(method, shift))
        for method in site.rescue.methods
        for shift in site.shifts
        if shift.climbing and (not method.shifts or shift.id in method.shifts)
    ]
    bays = {b.id: b for b in site.bays}
    return tuple(
        _row(site, law, bays[bay], case, method, network, shift)
        for (bay, vehicle), case in _allowed(cases).items()
        for method, shift, network in networks
        if not method.vehicles or vehicle in method.vehicles
    )


def _allowed(cases: tuple[Case, ...]) -> dict[tuple[str, str], Case]:
    """For each bay and vehicle the allowed case with the highest hang: the hardest one to reach."""
    chosen: dict[tuple[str, str], Case] = {}
    for case in cases:
        if case.permission not in ("allowed", "closed"):  # a rescue in a closed bay is worked out like any other
            continue
        key = (case.bay, case.vehicle)
        best = chosen.get(key)
        if best is None or _height(case) > _height(best):
            chosen[key] = case
    return chosen


def _height(case: Case) -> float:
    return case.hang_high.si if case.hang_high is not None else NEVER


def detection_time(shift: Shift) -> float | None:
    """Seconds until a fall is known at the latest; None where nobody would know, or a continuous watch names nobody."""
    return _detection(shift, Sheet(shift.path))


def _detection(shift: Shift, sheet: Sheet) -> float | None:
    watch = shift.watch
    if watch.how == "continuous" and watch.by is not None:
        return sheet.run(rescue.detection_time, check_interval=0.0, confirmation_wait=0.0, continuous_watch=True)
    if watch.how == "radio" and watch.interval is not None:
        wait = sheet.use(watch.confirm) if watch.confirm is not None else 0.0
        return sheet.run(rescue.detection_time, check_interval=sheet.use(watch.interval), confirmation_wait=wait)
    return None


def rescuers_there(site: Site, shift: Shift, method: Method) -> int:
    """Rescuers for this method on this shift who are not themselves the people up there."""
    present = [r for r in site.people.rescuers if shift.id in r.shifts and site.practised(r, method.id)]
    climbers_only = [u for u in site.people.users if shift.id in u.shifts and u.id not in {r.user for r in present}]
    both = sum(1 for r in present if r.user is not None)
    up = max((shift.climbers_at_once or 1) - len(climbers_only), 0)
    return len(present) - min(both, up)


# --- the network of a method on a shift, the same in each of its rows ----------------------------------------------------


@frozen
class _Network:
    """The timed steps of one method on one shift with what decides them; `plan` is None where something is missing."""

    sheet: Sheet
    contact_step: str = ""
    ground_step: str = ""
    plan: rescue.Schedule | None = None
    contact: float = 0.0
    ground: float = 0.0
    critical: tuple[str, ...] = ()
    gains: tuple[tuple[str, float], ...] = ()
    missing: tuple[str, ...] = ()


def _network(method: Method, shift: Shift) -> _Network:
    sheet = Sheet(method.path)
    steps, missing = _steps(method, shift, sheet)
    ids = {s.id for s in method.steps}
    for name, step in (("contact_step", method.contact_step), ("ground_step", method.ground_step)):
        if step is None or step not in ids:
            missing.append(f"{method.path}.{name}")
    contact, ground = method.contact_step, method.ground_step
    if missing or contact is None or ground is None:
        return _Network(sheet=sheet, missing=tuple(missing))
    plan = sheet.run(rescue.schedule, steps=steps)
    critical = rescue.critical_steps(plan, ground)
    return _Network(
        sheet=sheet, contact_step=contact, ground_step=ground, plan=plan, critical=critical,
        contact=sheet.run_for(contact, rescue.finish_of, schedule=plan, step_id=contact),
        ground=sheet.run_for(ground, rescue.finish_of, schedule=plan, step_id=ground),
        gains=tuple((i, sheet.run_for(i, rescue.gain_if_cut, steps=steps, step_id=i, goal_step=ground)) for i in critical),
    )  # fmt: skip


def posts_of(shift: Shift, method: Method, step: str) -> tuple[Post, ...]:
    """The posts of a shift that do a step of a method."""
    return tuple(p for p in shift.posts if f"{method.id}.{step}" in p.steps)


def _comes(posts: tuple[Post, ...], shift: Shift, sheet: Sheet) -> float:
    """Seconds from the moment the fall is known until the last of these posts is held; none is before that moment."""
    late = [sheet.use(p.from_) for p in posts if p.from_ is not None]
    return max(max(late, default=0.0) - (detection_time(shift) or 0.0), 0.0)


def _steps(method: Method, shift: Shift, sheet: Sheet) -> tuple[list[rescue.Step], list[str]]:
    """The steps with the duration that decides, whom they keep busy, and the paths of what is missing."""
    steps: list[rescue.Step] = []
    missing: list[str] = []
    known = {s.id for s in method.steps}
    for step in method.steps:
        times = [sheet.use(t) for t in (step.time.worst, step.time.likely, step.time.best) if t is not None]
        if step.time.worst is None:  # the worst one decides, and nobody may guess it from a likely one
            missing.append(f"{step.path}.time.worst")
            continue
        if any(a not in known for a in step.after):
            missing.append(f"{step.path}.after")
        posts = posts_of(shift, method, step.id)
        sheet.inputs += [path for p in posts if (path := f"{p.path}.steps") not in sheet.inputs]
        steps.append(
            rescue.Step(
                id=step.id, duration=sheet.run_for(step.id, rescue.pessimistic, estimates=times),
                after=tuple(a for a in step.after if a in known), people=tuple(dict.fromkeys((*step.who, *(p.post for p in posts)))),
                earliest=_comes(posts, shift, sheet),
            )
        )  # fmt: skip
    missing += _waiting(method, known)
    if not method.steps:
        missing.append(f"{method.path}.steps")
    return steps, missing


def _waiting(method: Method, known: set[str]) -> list[str]:
    """Paths of the steps that wait for each other in a circle."""
    waiting = {s.id: {a for a in s.after if a in known} for s in method.steps}
    while ready := [key for key, after in waiting.items() if not after & waiting.keys()]:
        for key in ready:
            del waiting[key]
    return [f"{s.path}.after" for s in method.steps if s.id in waiting]


# --- one row ------------------------------------------------------------------------------------------------------------


def _row(site: Site, law: Law, bay: Bay, case: Case, method: Method, network: _Network, shift: Shift) -> RescueRow:
    path = f"rescues[{case.bay}.{case.vehicle}.{method.id}.{shift.id}]"
    sheet = Sheet(path)
    limits = (site.rescue.contact_limit.value, site.rescue.ground_limit.value)
    contact_limit, ground_limit = (None if limit is None else sheet.use(limit) for limit in limits)
    detection = _detection(shift, sheet)
    missing = [] if detection is not None else [f"{shift.path}.watch"]
    sheet.take(network.sheet)
    able = ready(site, law, bay, site.vehicle(case.vehicle), method, case, sheet)
    row = RescueRow(
        path=path, case=case.id, bay=case.bay, vehicle=case.vehicle, method=method.id, kind=method.kind, shift=shift.id,
        persons_needed=None if method.persons is None else max(method.persons, counts(site, method).persons), persons_there=rescuers_there(site, shift, method),
        detection=computed(f"{path}.detection", detection, "time"), contact_limit=computed(f"{path}.contact_limit", contact_limit, "time"),
        ground_limit=computed(f"{path}.ground_limit", ground_limit, "time"), missing=(*missing, *network.missing),
        anchors=able.anchor.names, anchor_strength=able.anchor.strength, anchor_need=computed(f"{path}.anchor_need", able.anchor.need, "force"),
        hook_need=computed(f"{path}.hook_need", able.gear.hook, "length"), missing_steps=able.missing,
        ring_need=computed(f"{path}.ring_need", able.gear.ring, "length"), tools=able.gear.tools, closed=able.closed,
        inputs=tuple(sheet.inputs), steps=tuple(sheet.steps),
    )  # fmt: skip
    if detection is None or network.plan is None:
        return row
    contact, ground = (
        sheet.run_for(goal, rescue.time_since_fall, detection=detection, duration=duration)
        for goal, duration in ((network.contact_step, network.contact), (network.ground_step, network.ground))
    )
    timings = _timings(path, method.steps, network.plan, network.critical, detection, sheet)
    kept = None
    if contact_limit is not None and ground_limit is not None:
        kept = within(contact, contact_limit) and within(ground, ground_limit)
    return replace(
        row, contact=computed(f"{path}.contact", contact, "time"), ground=computed(f"{path}.ground", ground, "time"), within=kept,
        thin=tuple(_thin(path, (("contact", contact, contact_limit), ("ground", ground, ground_limit)))) if kept else (),
        critical_steps=network.critical,
        gains=tuple((i, computed(f"{path}.gains[{i}]", gain, "time")) for i, gain in network.gains),
        timings=timings, turns=tuple(_turns(path, method, shift, timings)), inputs=tuple(sheet.inputs),
        steps=tuple(sheet.steps),
    )  # fmt: skip


def _thin(path: str, goals: tuple[tuple[str, float, float | None], ...]) -> Iterator[Thin]:
    """The goals that are kept by less than estimates are good for: a share of the limit, and never less than the grain in which steps are estimated [s]."""
    for goal, took, limit in goals:
        if limit is None:
            continue
        least = max(practice("rescue_slack_share").si * limit, practice("rescue_slack").si)
        left = no_noise(limit - took)
        if under(left, least):
            own = f"{path}.thin[{goal}]"
            yield Thin(
                path=own, goal=goal, left=computed(f"{own}.left", left, "time"), least=computed(f"{own}.least", least, "time")
            )


def _timings(
    path: str, listed: tuple[MethodStep, ...], plan: rescue.Schedule, critical: tuple[str, ...], detection: float, sheet: Sheet
) -> tuple[StepTiming, ...]:  # fmt: skip
    """Each step with its start and end from the fall."""
    order = {s.id: s for s in listed}

    def at(step: str, end: str, seconds: float) -> Quantity:
        since = sheet.run_for(f"{step}.{end}", rescue.time_since_fall, detection=detection, duration=seconds)
        return computed(f"{path}.steps[{step}].{end}", since, "time")

    return tuple(
        StepTiming(
            path=f"{path}.steps[{t.id}]", id=t.id, text=order[t.id].text, who=order[t.id].who, critical=t.id in critical,
            start=at(t.id, "start", t.start), finish=at(t.id, "finish", t.finish),
        )
        for t in plan.steps
    )  # fmt: skip


def _turns(path: str, method: Method, shift: Shift, timings: tuple[StepTiming, ...]) -> Iterator[Turn]:
    """The schedule by start, then in the order of the steps and of the posts."""
    for timing in sorted(timings, key=lambda t: t.start.si):
        for post in posts_of(shift, method, timing.id):
            yield Turn(
                path=f"{path}.turns[{timing.id}.{post.post}]", post=post.post, person=post.person, step=timing.id,
                start=timing.start, finish=timing.finish,
            )  # fmt: skip
