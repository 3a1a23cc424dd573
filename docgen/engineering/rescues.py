"""Every bay, vehicle, method and shift on the clock that starts at the fall.

Detection comes first: a continuous watcher costs nothing, a radio check costs its whole interval and the wait for an
answer. The worst duration of each step decides. Two drills or more of the same method and shift on an equal or harder
vehicle replace the estimate (the worst of them); a single drill counts only where it is worse than the estimate.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from docgen.calc import rescue
from docgen.engineering.model import Case, RescueRow, StepTiming, computed
from docgen.engineering.sheet import Sheet
from docgen.site import Drill, Method, Quantity, Shift, Site

__all__ = ["all_rescues", "detection_time", "rescuers_there"]


def all_rescues(site: Site, cases: tuple[Case, ...]) -> tuple[RescueRow, ...]:
    """Rows in the order bay, vehicle, method, shift; only vehicles with an allowed task."""
    heights = _hang_heights(cases)
    rows = []
    for (bay, vehicle), case in _allowed(cases).items():
        for method in site.rescue.methods:
            if method.vehicles and vehicle not in method.vehicles:
                continue
            for shift in site.shifts:
                if shift.climbing and (not method.shifts or shift.id in method.shifts):
                    rows.append(_row(site, case, bay, vehicle, method, shift, heights))
    return tuple(rows)


def _allowed(cases: tuple[Case, ...]) -> dict[tuple[str, str], Case]:
    """For each bay and vehicle the allowed case with the highest hang: the hardest one to reach."""
    chosen: dict[tuple[str, str], Case] = {}
    for case in cases:
        if case.permission != "allowed":
            continue
        key = (case.bay, case.vehicle)
        best = chosen.get(key)
        if best is None or _height(case) > _height(best):
            chosen[key] = case
    return chosen


def _height(case: Case) -> float:
    return case.hang_high.si if case.hang_high is not None else float("-inf")


def _hang_heights(cases: tuple[Case, ...]) -> dict[str, float]:
    heights: dict[str, float] = {}
    for case in cases:
        heights[case.vehicle] = max(heights.get(case.vehicle, float("-inf")), _height(case))
    return heights


def detection_time(shift: Shift) -> float | None:
    """Seconds until a fall is known at the latest; None where nobody would know, or a continuous watch names nobody."""
    watch = shift.watch
    if watch.how == "continuous":
        return 0.0 if watch.by is not None else None
    if watch.how == "radio" and watch.interval is not None:
        return watch.interval.si + (watch.confirm.si if watch.confirm is not None else 0.0)
    return None


def rescuers_there(site: Site, shift: Shift, method: Method) -> int:
    """Rescuers for this method on this shift who are not themselves the people up there."""
    present = [r for r in site.people.rescuers if shift.id in r.shifts and (not r.methods or method.id in r.methods)]
    climbers_only = [u for u in site.people.users if shift.id in u.shifts and u.id not in {r.user for r in present}]
    both = sum(1 for r in present if r.user is not None)
    up = max((shift.users or 1) - len(climbers_only), 0)
    return len(present) - min(both, up)


def _row(site: Site, case: Case, bay: str, vehicle: str, method: Method, shift: Shift, heights: dict[str, float]) -> RescueRow:
    key = f"{bay}.{vehicle}.{method.id}.{shift.id}"
    path = f"rescues[{key}]"
    sheet = Sheet(path)

    def q(name: str, si: float | None) -> Quantity | None:
        return computed(f"{path}.{name}", si, "time")

    limits = site.rescue
    contact_limit = None if limits.contact_limit.value is None else sheet.use(limits.contact_limit.value)
    ground_limit = None if limits.ground_limit.value is None else sheet.use(limits.ground_limit.value)
    detection = detection_time(shift)
    missing = [] if detection is not None else [f"{shift.path}.watch"]
    row = RescueRow(
        path=path, case=case.id, bay=bay, vehicle=vehicle, method=method.id, kind=method.kind, shift=shift.id,
        persons_needed=method.persons, persons_there=rescuers_there(site, shift, method), detection=q("detection", detection),
        contact_limit=q("contact_limit", contact_limit), ground_limit=q("ground_limit", ground_limit),
    )  # fmt: skip
    steps, lacking = _steps(method, sheet)
    missing += lacking
    ids = {s.id for s in method.steps}
    for name, step in (("contact_step", method.contact_step), ("ground_step", method.ground_step)):
        if step is None or step not in ids:
            missing.append(f"{method.path}.{name}")
    if missing or not steps:
        return replace(row, missing=tuple(missing), inputs=tuple(sheet.inputs))

    plan = _schedule(tuple(steps))
    start = detection
    contact = start + rescue.finish_of(plan, method.contact_step)
    ground = start + rescue.finish_of(plan, method.ground_step)
    drills = _matching(site, method, shift, vehicle, heights)
    basis = "estimate"
    if drills:
        measured_contact = max(d.contact.si for d in drills) + start
        measured_ground = max(d.ground.si for d in drills) + start
        if len(drills) > 1:
            contact, ground, basis = measured_contact, measured_ground, "drill"
        elif measured_contact > contact or measured_ground > ground:
            contact, ground, basis = max(contact, measured_contact), max(ground, measured_ground), "drill"
    within = None
    if contact_limit is not None and ground_limit is not None:
        within = contact <= contact_limit and ground <= ground_limit
    order = {s.id: s for s in method.steps}
    critical = rescue.critical_steps(plan, method.ground_step)
    timings = tuple(
        StepTiming(
            path=f"{path}.steps[{t.id}]", id=t.id, text=order[t.id].text, who=order[t.id].who, critical=t.id in critical,
            start=q(f"steps[{t.id}].start", start + t.start), finish=q(f"steps[{t.id}].finish", start + t.finish),
        )
        for t in plan.steps
    )  # fmt: skip
    gains = tuple((i, q(f"gains[{i}]", _gain(tuple(steps), i, method.ground_step))) for i in critical)
    return replace(
        row, contact=q("contact", contact), ground=q("ground", ground), within=within, basis=basis,
        drill=drills[-1].id if drills else None, critical_steps=critical, gains=gains, timings=timings, inputs=tuple(sheet.inputs),
    )  # fmt: skip


@lru_cache(maxsize=128)
def _schedule(steps: tuple[rescue.Step, ...]) -> rescue.Schedule:
    """The same method stands in many rows; its network is the same in each."""
    return rescue.schedule(steps)


@lru_cache(maxsize=512)
def _gain(steps: tuple[rescue.Step, ...], step: str, goal: str) -> float:
    return rescue.gain_if_cut(steps, step, goal)


def _steps(method: Method, sheet: Sheet) -> tuple[list[rescue.Step], list[str]]:
    steps, missing = [], []
    known = {s.id for s in method.steps}
    for step in method.steps:
        times = [t for t in (step.time.worst, step.time.likely, step.time.best) if t is not None]
        if not times:
            missing.append(f"{step.path}.time")
            continue
        unknown = [a for a in step.after if a not in known]
        if unknown:
            missing.append(f"{step.path}.after")
        duration = max(sheet.use(t) for t in times)
        steps.append(
            rescue.Step(id=step.id, duration=duration, after=tuple(a for a in step.after if a in known), people=step.who)
        )
    missing += _waiting(method, known)
    if not method.steps:
        missing.append(f"{method.path}.steps")
    return ([] if missing else steps), missing


def _waiting(method: Method, known: set[str]) -> list[str]:
    """Paths of the steps that wait for each other in a circle."""
    waiting = {s.id: {a for a in s.after if a in known} for s in method.steps}
    while ready := [key for key, after in waiting.items() if not after & waiting.keys()]:
        for key in ready:
            del waiting[key]
    return [f"{s.path}.after" for s in method.steps if s.id in waiting]


def _matching(site: Site, method: Method, shift: Shift, vehicle: str, heights: dict[str, float]) -> list[Drill]:
    """Drills of this method and shift on this vehicle or one with a hang at least as high, oldest first."""
    found = [
        d for d in site.rescue.drills
        if d.method == method.id and d.shift == shift.id and d.contact is not None and d.ground is not None and d.on is not None
        and (d.vehicle == vehicle or heights.get(d.vehicle or "", float("-inf")) >= heights.get(vehicle, float("inf")))
    ]  # fmt: skip
    return sorted(found, key=lambda d: d.on)
