"""Rescue as a network of timed steps: who does what when, what decides the time, what a shorter step would save; and what its anchor needs."""

from collections.abc import Sequence
from dataclasses import replace

from docgen.calc import CalcError, G
from docgen.calc.formula import formula
from docgen.calc.guard import counts, not_negative, positive
from docgen.frozen import frozen
from docgen.limits import no_noise

__all__ = [
    "Schedule",
    "ScheduledStep",
    "Step",
    "anchor_load",
    "anchor_load_designed",
    "critical_steps",
    "detection_time",
    "finish_of",
    "gain_if_cut",
    "hanging_load",
    "pessimistic",
    "schedule",
    "time_since_fall",
]

_CPM = "critical-path arithmetic, common practice, no published source"


@frozen
class Step:
    """One step of a rescue: `duration` in seconds, the ids of the steps it waits for, the people it keeps busy.

    `earliest` [s] is when the last of those people has come, counted like the schedule from the moment the fall is known.
    """

    id: str
    duration: float
    after: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    earliest: float = 0.0

    @property
    def figures(self) -> tuple[tuple[str, float], ...]:
        """Identifier and duration [s]; and when its people have come [s], where they are not there from the first."""
        arrival = ((f"{self.id}_from", self.earliest),) if self.earliest > 0 else ()
        return ((self.id, self.duration), *arrival)


@frozen
class ScheduledStep:
    """One step with its times in seconds from the moment when the fall is known.

    `waits_for` holds every step it comes after, by the plan or because a person is busy; `slack` is how much later it
    could end without making the last step later; `critical` means that there is none.
    """

    id: str
    duration: float
    people: tuple[str, ...]
    waits_for: tuple[str, ...]
    start: float
    finish: float
    slack: float
    critical: bool


@frozen
class Schedule:
    """All steps in the order in which they were given, and the finish of the last one in seconds."""

    steps: tuple[ScheduledStep, ...]
    total: float

    @property
    def figures(self) -> tuple[tuple[str, float], ...]:
        """Identifier and finish [s] of each step."""
        return tuple((step.id, step.finish) for step in self.steps)


@formula(
    "T = longest chain of t_i, where a step waits for its predecessors and for its people", gives="time", toward="up", cite=_CPM
)
def schedule(steps: Sequence[Step]) -> Schedule:
    """Times of all steps; a step waits for its predecessors, for its people to be free, and for them to come.

    Gives start, finish, slack and critical flag of each step, and the total. Steps are placed one by one: always the
    first in the list whose predecessors have been placed. Each person does their steps in the order of placing and
    one at a time; a later step is never moved forward into a gap. So the order does not depend on the durations, the
    result is the longest path of a fixed network, and a longer step can never make anything earlier: pessimistic
    durations give pessimistic times. A cleverer order may be faster, never this one: to claim it, list it. No step, a
    repeated id, an unknown predecessor or a circle raises CalcError.

    Example: Two people (own figures): B fetches the kit while A calls; then both lower.

    >>> plan = schedule([
    ...     Step("call", 60, people=("A",)),
    ...     Step("fetch", 180, people=("B",)),
    ...     Step("lower", 120, after=("call", "fetch"), people=("A", "B")),
    ... ])
    >>> plan.total, [step.slack for step in plan.steps]
    (300.0, [120.0, 0.0, 0.0])

    Source: Critical-path arithmetic with one step at a time per person: common practice, no published source.
    """
    order = _placing_order(steps)
    last_of: dict[str, str] = {}
    links: dict[str, tuple[str, ...]] = {}
    start: dict[str, float] = {}
    finish: dict[str, float] = {}
    for step in order:
        busy = [last_of[person] for person in step.people if person in last_of]
        links[step.id] = tuple(dict.fromkeys([*step.after, *busy]))
        start[step.id] = max([step.earliest, *(finish[other] for other in links[step.id])])
        finish[step.id] = start[step.id] + step.duration
        last_of.update(dict.fromkeys(step.people, step.id))
    total = max(finish.values())
    latest = dict.fromkeys(finish, total)
    for step in reversed(order):
        for other in links[step.id]:
            latest[other] = min(latest[other], latest[step.id] - step.duration)
    slack = {step.id: max(0.0, no_noise(latest[step.id] - finish[step.id])) for step in order}
    placed = tuple(
        ScheduledStep(
            id=step.id,
            duration=step.duration,
            people=step.people,
            waits_for=links[step.id],
            start=start[step.id],
            finish=finish[step.id],
            slack=slack[step.id],
            critical=slack[step.id] == 0.0,
        )
        for step in steps
    )
    return Schedule(placed, total)


@formula("T_step = finish of the step", gives="time", toward="up", cite=_CPM)
def finish_of(schedule: Schedule, step_id: str) -> float:
    """Time from knowing of the fall until one step is done, first contact or on the ground.

    Contact and end of suspension have separate limits; ask for each. An unknown step raises CalcError.

    Example:

    >>> finish_of(schedule([Step("detect", 60), Step("reach", 90, after=("detect",))]), "reach")
    150.0

    Source: Critical-path arithmetic: common practice, no published source.
    """
    return _find(schedule, step_id).finish


@formula("critical = steps of the longest chain that ends with the goal", gives="identifier", cite=_CPM)
def critical_steps(schedule: Schedule, goal_step: str) -> tuple[str, ...]:
    """Steps that decide when a goal is reached: every chain without waiting that ends with it.

    Gives the identifiers of the steps, by start, then in the order of the schedule. The flag on a step looks at the last
    step of all; a goal before it can have another critical chain. Where two chains are equally long both are given:
    shortening one of them saves nothing.

    Example:

    >>> plan = schedule([Step("call", 60), Step("fetch", 90), Step("lower", 30, after=("call", "fetch"))])
    >>> critical_steps(plan, "lower")
    ('fetch', 'lower')

    Source: Critical-path arithmetic: common practice, no published source.
    """
    found = {_find(schedule, goal_step).id}
    waiting = [goal_step]
    while waiting:
        step = _find(schedule, waiting.pop())
        for other in step.waits_for:
            if other not in found and _find(schedule, other).finish == step.start:
                found.add(other)
                waiting.append(other)
    return tuple(step.id for step in sorted(schedule.steps, key=lambda step: step.start) if step.id in found)


@formula("gain = T_goal - T_goal if the step took no time", gives="time", toward="down", cite=_CPM)
def gain_if_cut(steps: Sequence[Step], step_id: str, goal_step: str) -> float:
    """Time saved at a goal if one step took no time at all.

    An upper bound of what any shortening of that step can save; zero off the critical chain. Steps and people stay in
    the same order.

    Example: Calling is never the longest branch here, fetching is by 30 s.

    >>> plan = [Step("call", 60), Step("fetch", 90), Step("lower", 30, after=("call", "fetch"))]
    >>> gain_if_cut(plan, "call", "lower"), gain_if_cut(plan, "fetch", "lower")
    (0.0, 30.0)

    Source: Critical-path arithmetic: common practice, no published source.
    """
    before = schedule(steps)
    _find(before, step_id)
    shorter = [replace(step, duration=0.0) if step.id == step_id else step for step in steps]
    return finish_of(before, goal_step) - finish_of(schedule(shorter), goal_step)


@formula("t = max(t_i)", gives="time", toward="up", cite="common practice, no published source")
def pessimistic(estimates: Sequence[float]) -> float:
    """Duration that decides among the estimates of one step, best, likely and worst: the longest.

    Of three estimates in their order that is the worst one; where one was left out, or two were mixed up, it is still
    the longest that somebody held plausible. No estimate raises CalcError.

    Example:

    >>> pessimistic([60.0, 90.0, 180.0])
    180.0

    Source: Deciding on the pessimistic estimate: common practice, no published source.
    """
    for number, time in enumerate(estimates, 1):
        not_negative(**{f"estimate_{number}": time})
    if not estimates:
        raise CalcError("no duration is estimated; give at least one")
    return max(estimates)


@formula(
    "t_detect = 0 with a continuous watcher, else t_check + t_confirm",
    gives="time",
    toward="up",
    cite="common practice, no published source",
)
def detection_time(check_interval: float, confirmation_wait: float = 0.0, continuous_watch: bool = False) -> float:
    """Longest time until a fall is noticed.

    The clock of a rescue starts at the fall, and the fall may come right after a check: the whole interval counts.

    Example: Radio check every 10 min, 2 min before acting (own figures).

    >>> detection_time(600.0, 120.0), detection_time(600.0, 120.0, continuous_watch=True)
    (720.0, 0.0)

    Source: Counting the whole interval: common practice, no published source.
    """
    not_negative(check_interval=check_interval, confirmation_wait=confirmation_wait)
    return 0.0 if continuous_watch else float(check_interval + confirmation_wait)


@formula("T_fall = t_detect + t_known", gives="time", toward="up", cite="common practice, no published source")
def time_since_fall(detection: float, duration: float) -> float:
    """Time from the fall until a step is done, which is what a limit counts.

    A drill begins when the team is called, so that detection comes on top of a drill too.

    Example:

    >>> time_since_fall(720.0, 300.0)
    1020.0

    Source: Clock from the fall: common practice, no published source.
    """
    not_negative(detection=detection, duration=duration)
    return detection + duration


@formula(
    "R = n_p F_p + n_t F_t",
    gives="force",
    toward="up",
    cite="product of the terms, figures of the trade and of the rule in force; derived",
)
def anchor_load(persons: int, per_person: float, tied: int = 0, per_tied: float = 0.0) -> float:
    """Strength that a rescue anchor needs.

    So much for each person who hangs on it, casualty and rescuer alike, and the strength of a fall-arrest anchorage for
    each rescuer whose own fall protection hangs there too. The two are added, since a rescuer falls while the casualty
    hangs (own choice).

    Example: Two persons on it at 3,000 lbf each.

    >>> round(anchor_load(2, 3000 * 4.4482216152605) / 4.4482216152605)
    6000

    Sources:
    - USACE EM 385-1-1 (2014), 21.N.04, read in a reproduction; basis: read.
    - Adding the two: common practice, no published source.
    """
    counts(0, persons=persons, tied=tied)
    positive(per_person=per_person)
    not_negative(per_tied=per_tied)
    return persons * per_person + tied * per_tied


@formula("R = k F_all", gives="force", toward="up", cite="USACE EM 385-1-1 (2014), 21.N.04; read")
def anchor_load_designed(all_persons: float, factor: float = 5.0) -> float:
    """Strength that a rescue anchor needs where a qualified person designed it for the load that hangs on it.

    The load is that of all who hang there at a time. Without that design the fixed figure for each person holds.

    Example: One person of 310 lbf.

    >>> anchor_load_designed(310.0)
    1550.0

    Source: USACE EM 385-1-1 (2014), 21.N.04, read in a reproduction; basis: read.
    """
    positive(all_persons=all_persons, factor=factor)
    return factor * all_persons


@formula("F = n_p m g", gives="force", toward="up", cite="Newton's second law; derived")
def hanging_load(persons: int, mass: float, g: float = G) -> float:
    """Load of those who hang on a rescue anchor, each at the same mass.

    At rest; jerks of the haul are in the factor.

    Example: Two persons at 100 kg.

    >>> round(hanging_load(2, 100.0), 2)
    1961.33

    Source: Newton's second law; basis: derived.
    """
    counts(1, persons=persons)
    positive(mass=mass, g=g)
    return persons * mass * g


def _placing_order(steps: Sequence[Step]) -> list[Step]:
    """Steps in the order of placing: always the first in the list whose predecessors have been placed."""
    if not steps:
        raise CalcError("the rescue has no step; give at least one")
    known: set[str] = set()
    for step in steps:
        if step.id in known:
            raise CalcError(f"rescue step {step.id!r} is given twice; each step needs an id of its own")
        known.add(step.id)
        not_negative(**{f"duration_of_{step.id}": step.duration, f"earliest_start_of_{step.id}": step.earliest})
    for step in steps:
        for other in step.after:
            if other not in known:
                raise CalcError(f"rescue step {step.id!r} comes after {other!r}, which is not a step; add it or correct the name")
    waiting, order = list(steps), []
    placed: set[str] = set()
    while waiting:
        ready = next((step for step in waiting if placed.issuperset(step.after)), None)
        if ready is None:
            raise CalcError(f"rescue steps wait for each other: {_circle(waiting)}; take one of these links out")
        waiting.remove(ready)
        placed.add(ready.id)
        order.append(ready)
    return order


def _circle(waiting: Sequence[Step]) -> str:
    """One circle among steps of which each waits for another of them, as `a after b after a`."""
    after = {step.id: step.after for step in waiting}
    path = [waiting[0].id]
    while path.count(path[-1]) < 2:
        path.append(next(other for other in after[path[-1]] if other in after))
    return " after ".join(path[path.index(path[-1]) :])


def _find(schedule: Schedule, step_id: str) -> ScheduledStep:
    for step in schedule.steps:
        if step.id == step_id:
            return step
    known = ", ".join(step.id for step in schedule.steps)
    raise CalcError(f"rescue step {step_id!r} is not in the schedule; it must be one of: {known}")
