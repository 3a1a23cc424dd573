"""Rescue as a network of timed steps: who does what when, what decides the time, what a shorter step would save."""

from collections.abc import Sequence
from dataclasses import replace

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import not_negative
from docgen.frozen import frozen
from docgen.limits import no_noise

__all__ = [
    "Schedule",
    "ScheduledStep",
    "Step",
    "critical_steps",
    "detection_time",
    "drill_time",
    "expected_pert",
    "finish_of",
    "gain_if_cut",
    "pessimistic",
    "schedule",
    "time_since_fall",
    "with_one_drill",
]

_CPM = "critical-path arithmetic, common practice, no published source"


@frozen
class Step:
    """One step of a rescue: `duration` in seconds, the ids of the steps it waits for, the people it keeps busy."""

    id: str
    duration: float
    after: tuple[str, ...] = ()
    people: tuple[str, ...] = ()

    @property
    def figures(self) -> tuple[tuple[str, float], ...]:
        """Identifier and duration [s]."""
        return ((self.id, self.duration),)


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


_steps = ("t_i", "time", "steps with duration, predecessors and people")


@formula(
    symbol="T",
    text="T = longest chain of t_i, where a step waits for its predecessors and for its people",
    where={"steps": _steps},
    gives="time",
    cite=_CPM,
    meaning="times of all rescue steps",
)
def schedule(steps: Sequence[Step]) -> Schedule:
    """Times of all steps; a step waits for its predecessors and for its people (critical path, common practice).

    T = longest chain of t_i, where a step waits for its predecessors and for its people

    Parameters
    ----------
    steps : Sequence[Step]
        Steps with duration [s], predecessors and people; the order is the priority

    Returns
    -------
    Schedule
        Start, finish, slack and critical flag of each step, and the total [s]

    Notes
    -----
    Steps are placed one by one: always the first in the list whose predecessors have been placed. Each person does
    their steps in the order of placing and one at a time; a later step is never moved forward into a gap. So the
    order does not depend on the durations, the result is the longest path of a fixed network, and a longer step can
    never make anything earlier: pessimistic durations give pessimistic times. A cleverer order may be faster, never
    this one: to claim it, list it. No step, a repeated id, an unknown predecessor or a circle raises CalcError.

    Examples
    --------
    Two people (own figures): B fetches the kit while A calls; then both lower.

    >>> plan = schedule([
    ...     Step("call", 60, people=("A",)),
    ...     Step("fetch", 180, people=("B",)),
    ...     Step("lower", 120, after=("call", "fetch"), people=("A", "B")),
    ... ])
    >>> plan.total, [step.slack for step in plan.steps]
    (300.0, [120.0, 0.0, 0.0])

    References
    ----------
    - Critical-path arithmetic with one step at a time per person: common practice, no published source.
    """
    order = _placing_order(steps)
    last_of: dict[str, str] = {}
    links: dict[str, tuple[str, ...]] = {}
    start: dict[str, float] = {}
    finish: dict[str, float] = {}
    for step in order:
        busy = [last_of[person] for person in step.people if person in last_of]
        links[step.id] = tuple(dict.fromkeys([*step.after, *busy]))
        start[step.id] = max((finish[other] for other in links[step.id]), default=0.0)
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


@formula(
    symbol="T_step",
    text="T_step = finish of the step",
    where={
        "schedule": ("T_i", "time", "times of all rescue steps"),
        "step_id": ("step", "identifier", "the step asked for"),
    },
    gives="time",
    cite=_CPM,
    meaning="time from knowing of the fall until a step is done",
)
def finish_of(schedule: Schedule, step_id: str) -> float:
    """Time from knowing of the fall until one step is done, first contact or on the ground (critical path).

    T_step = finish of the step

    Parameters
    ----------
    schedule : Schedule
        Times of all rescue steps [s]
    step_id : str
        The step asked for [identifier]

    Returns
    -------
    float
        Time from knowing of the fall [s]

    Notes
    -----
    Contact and end of suspension have separate limits; ask for each. An unknown step raises CalcError.

    Examples
    --------
    >>> finish_of(schedule([Step("detect", 60), Step("reach", 90, after=("detect",))]), "reach")
    150.0

    References
    ----------
    - Critical-path arithmetic: common practice, no published source.
    """
    return _find(schedule, step_id).finish


@formula(
    symbol="critical",
    text="critical = steps of the longest chain that ends with the goal",
    where={
        "schedule": ("T_i", "time", "times of all rescue steps"),
        "goal_step": ("goal", "identifier", "the step that the chain ends with"),
    },
    gives="identifier",
    cite=_CPM,
    meaning="steps that decide when the goal is reached",
)
def critical_steps(schedule: Schedule, goal_step: str) -> tuple[str, ...]:
    """Steps that decide when a goal is reached: every chain without waiting that ends with it (critical path).

    critical = steps of the longest chain that ends with the goal

    Parameters
    ----------
    schedule : Schedule
        Times of all rescue steps [s]
    goal_step : str
        The step that the chain ends with [identifier]

    Returns
    -------
    tuple[str, ...]
        Identifiers of the steps, by start, then in the order of the schedule [identifier]

    Notes
    -----
    The flag on a step looks at the last step of all; a goal before it can have another critical chain. Where two
    chains are equally long both are given: shortening one of them saves nothing.

    Examples
    --------
    >>> plan = schedule([Step("call", 60), Step("fetch", 90), Step("lower", 30, after=("call", "fetch"))])
    >>> critical_steps(plan, "lower")
    ('fetch', 'lower')

    References
    ----------
    - Critical-path arithmetic: common practice, no published source.
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


@formula(
    symbol="gain",
    text="gain = T_goal - T_goal if the step took no time",
    where={
        "steps": _steps,
        "step_id": ("step", "identifier", "the step to cut"),
        "goal_step": ("goal", "identifier", "the step whose finish counts"),
    },
    gives="time",
    cite=_CPM,
    meaning="time saved at the goal if a step took no time",
)
def gain_if_cut(steps: Sequence[Step], step_id: str, goal_step: str) -> float:
    """Time saved at a goal if one step took no time at all (critical path).

    gain = T_goal - T_goal if the step took no time

    Parameters
    ----------
    steps : Sequence[Step]
        Steps with duration, predecessors and people [s]
    step_id : str
        The step to cut [identifier]
    goal_step : str
        The step whose finish counts [identifier]

    Returns
    -------
    float
        Time saved [s]

    Notes
    -----
    An upper bound of what any shortening of that step can save; zero off the critical chain. Steps and people stay in
    the same order.

    Examples
    --------
    Calling is never the longest branch here, fetching is by 30 s.

    >>> plan = [Step("call", 60), Step("fetch", 90), Step("lower", 30, after=("call", "fetch"))]
    >>> gain_if_cut(plan, "call", "lower"), gain_if_cut(plan, "fetch", "lower")
    (0.0, 30.0)

    References
    ----------
    - Critical-path arithmetic: common practice, no published source.
    """
    before = schedule(steps)
    _find(before, step_id)
    shorter = [replace(step, duration=0.0) if step.id == step_id else step for step in steps]
    return finish_of(before, goal_step) - finish_of(schedule(shorter), goal_step)


_three = {
    "best": ("t_best", "time", "shortest plausible duration"),
    "likely": ("t_likely", "time", "most likely duration"),
    "worst": ("t_worst", "time", "longest plausible duration"),
}


@formula(
    symbol="t",
    text="t = max(t_i)",
    where={"estimates": ("t_i", "time", "estimates of the duration of one step")},
    gives="time",
    cite="common practice, no published source",
    meaning="duration that decides",
)
def pessimistic(estimates: Sequence[float]) -> float:
    """Duration that decides among the estimates of one step, best, likely and worst: the longest (common practice).

    t = max(t_i)

    Parameters
    ----------
    estimates : Sequence[float]
        Estimates of the duration of one step [s]

    Returns
    -------
    float
        The longest of them [s]

    Notes
    -----
    Of three estimates in their order that is the worst one; where one was left out, or two were mixed up, it is still the
    longest that somebody held plausible. No estimate raises CalcError. A drill goes before every estimate.

    Examples
    --------
    >>> pessimistic([60.0, 90.0, 180.0])
    180.0

    References
    ----------
    - Deciding on the pessimistic estimate: common practice, no published source.
    """
    for number, time in enumerate(estimates, 1):
        not_negative(**{f"estimate_{number}": time})
    if not estimates:
        raise CalcError("no duration is estimated; give at least one")
    return max(estimates)


@formula(
    symbol="t_e",
    text="t_e = (t_best + 4 t_likely + t_worst) / 6",
    where=_three,
    gives="time",
    cite="PERT three-point estimate (US Navy 1958); memory",
    meaning="expected duration",
)
def expected_pert(best: float, likely: float, worst: float) -> float:
    """Expected duration from three estimates (PERT, US Navy 1958).

    t_e = (t_best + 4 t_likely + t_worst) / 6

    Parameters
    ----------
    best : float
        Shortest plausible duration [s]
    likely : float
        Most likely duration [s]
    worst : float
        Longest plausible duration [s]

    Returns
    -------
    float
        Expected duration [s]

    Notes
    -----
    For information only: limits are compared with the pessimistic duration. Estimates out of order raise CalcError.

    Examples
    --------
    >>> expected_pert(60.0, 90.0, 180.0)
    100.0

    References
    ----------
    - US Navy, Special Projects Office, PERT summary report, phase 1, 1958; basis: memory.
    """
    _in_order(best, likely, worst)
    return (best + 4.0 * likely + worst) / 6.0


@formula(
    symbol="t_detect",
    text="t_detect = 0 with a continuous watcher, else t_check + t_confirm",
    where={
        "check_interval": ("t_check", "time", "interval between checks"),
        "confirmation_wait": ("t_confirm", "time", "wait before a missed check is acted on"),
        "continuous_watch": ("watched", "flag", "whether a rostered person watches all the time"),
    },
    gives="time",
    cite="common practice, no published source",
    meaning="longest time until the fall is noticed",
)
def detection_time(check_interval: float, confirmation_wait: float = 0.0, continuous_watch: bool = False) -> float:
    """Longest time until a fall is noticed (common practice).

    t_detect = 0 with a continuous watcher, else t_check + t_confirm

    Parameters
    ----------
    check_interval : float
        Interval between radio or walk-by checks [s]
    confirmation_wait : float
        Wait before a missed check is acted on [s]
    continuous_watch : bool
        Whether a rostered person watches all the time [true or false]

    Returns
    -------
    float
        Longest time until the fall is noticed [s]

    Notes
    -----
    The clock of a rescue starts at the fall, and the fall may come right after a check: the whole interval counts.

    Examples
    --------
    Radio check every 10 min, 2 min before acting (own figures).

    >>> detection_time(600.0, 120.0), detection_time(600.0, 120.0, continuous_watch=True)
    (720.0, 0.0)

    References
    ----------
    - Counting the whole interval: common practice, no published source.
    """
    not_negative(check_interval=check_interval, confirmation_wait=confirmation_wait)
    return 0.0 if continuous_watch else float(check_interval + confirmation_wait)


@formula(
    symbol="t_drill",
    text="t_drill = max(t_i)",
    where={"measured": ("t_i", "time", "times measured in drills of the same kind")},
    gives="time",
    cite="common practice, no published source",
    meaning="time that replaces an estimate",
)
def drill_time(measured: Sequence[float]) -> float:
    """Time that may replace an estimate: the worst of at least two drills (common practice).

    t_drill = max(t_i)

    Parameters
    ----------
    measured : Sequence[float]
        Times measured in drills of the same method and shift, on an equal or harder vehicle [s]

    Returns
    -------
    float
        The longest of them [s]

    Notes
    -----
    Fewer than two raise CalcError: one lucky drill proves nothing.

    Examples
    --------
    >>> drill_time([480.0, 540.0])
    540.0

    References
    ----------
    - Worst of at least two drills: common practice, no published source.
    """
    for number, time in enumerate(measured, 1):
        not_negative(**{f"drill_time_{number}": time})
    if len(measured) < 2:
        raise CalcError(f"drills measured: {len(measured)}; at least two of the same kind must stand behind a time")
    return max(measured)


@formula(
    symbol="t_one",
    text="t_one = max(t_est, t_drill)",
    where={
        "estimate": ("t_est", "time", "time by the estimates"),
        "drilled": ("t_drill", "time", "time measured in the only drill"),
    },
    gives="time",
    cite="common practice, no published source",
    meaning="time with a single drill behind it",
)
def with_one_drill(estimate: float, drilled: float) -> float:
    """Time where a single drill stands beside the estimate: the longer of the two (common practice).

    t_one = max(t_est, t_drill)

    Parameters
    ----------
    estimate : float
        Time by the estimates [s]
    drilled : float
        Time measured in the only drill of the same method and shift, on an equal or harder vehicle [s]

    Returns
    -------
    float
        The longer of them [s]

    Notes
    -----
    One drill may make a time worse, never better: one lucky drill proves nothing.

    Examples
    --------
    >>> with_one_drill(480.0, 540.0), with_one_drill(480.0, 300.0)
    (540.0, 480.0)

    References
    ----------
    - A single drill against the estimate: common practice, no published source.
    """
    not_negative(estimate=estimate, drilled=drilled)
    return max(estimate, drilled)


@formula(
    symbol="T_fall",
    text="T_fall = t_detect + t_known",
    where={
        "detection": ("t_detect", "time", "longest time until the fall is noticed"),
        "duration": ("t_known", "time", "time from knowing of the fall until a step is done"),
    },
    gives="time",
    cite="common practice, no published source",
    meaning="time from the fall until a step is done",
)
def time_since_fall(detection: float, duration: float) -> float:
    """Time from the fall until a step is done, which is what a limit counts (common practice).

    T_fall = t_detect + t_known

    Parameters
    ----------
    detection : float
        Longest time until the fall is noticed [s]
    duration : float
        Time from knowing of the fall until the step is done, by the schedule or by drills [s]

    Returns
    -------
    float
        Time from the fall [s]

    Notes
    -----
    A drill begins when the team is called, so that detection comes on top of a drill too.

    Examples
    --------
    >>> time_since_fall(720.0, 300.0)
    1020.0

    References
    ----------
    - Clock from the fall: common practice, no published source.
    """
    not_negative(detection=detection, duration=duration)
    return detection + duration


def _placing_order(steps: Sequence[Step]) -> list[Step]:
    """Steps in the order of placing: always the first in the list whose predecessors have been placed."""
    if not steps:
        raise CalcError("the rescue has no step; give at least one")
    known: set[str] = set()
    for step in steps:
        if step.id in known:
            raise CalcError(f"rescue step {step.id!r} is given twice; each step needs an id of its own")
        known.add(step.id)
        not_negative(**{f"duration_of_{step.id}": step.duration})
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


def _in_order(best: float, likely: float, worst: float) -> None:
    not_negative(best=best, likely=likely, worst=worst)
    if not best <= likely <= worst:
        raise CalcError(
            f"the estimates are {best:.6g} s, {likely:.6g} s and {worst:.6g} s; "
            "they must run from the shortest over the most likely to the longest"
        )
