"""What engineering gives back: cases, chains, rescue rows, due dates, all frozen, all with their working."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from datetime import date
from functools import cached_property
from typing import Literal, NamedTuple, get_args, overload

from docgen.calc import rescue
from docgen.calc.formula import Formula, Toward
from docgen.limits import under
from docgen.site import Node, Permission, Posture, Quantity, SideName, record

__all__ = [
    "Assumed",
    "Case",
    "CaseSide",
    "Chain",
    "Corner",
    "Counted",
    "Due",
    "Duty",
    "Further",
    "Governed",
    "Input",
    "LargestBy",
    "Link",
    "MethodClosure",
    "MissingStep",
    "Numbers",
    "RescueRow",
    "Step",
    "StepTiming",
    "Struck",
    "Taken",
    "Thin",
    "Tolerance",
    "Tool",
    "Turn",
    "Value",
    "Verdict",
    "Working",
    "computed",
    "written",
]  # fmt: skip

#: The side of a fall; any where the profile lists no side of the vehicle.
CaseSide = SideName | Literal["any"]
#: Of one case: short of clearance; open where the deflection of the rail is not stated; keeps-less: the tolerances use up a part of the margin.
Verdict = Literal["not-computed", "short", "short-after-tolerances", "open", "keeps-less", "holds"]
#: What the worst case of a bay governs.
Governed = Literal["clearance", "angle", "swing", "rescue-height"]
#: A link of a load path, by the kind of part that it usually is.
Link = Literal[
    "foundation", "structure", "hanger", "splice", "end-stop", "rail", "trolley", "connector", "srd", "hook", "harness"
]  # fmt: skip
#: Which limit bounds the largest offset.
LargestBy = Literal["clearance", "angle", "site-rule"]

#: Why a method of rescue is closed in a bay.
MethodClosure = Literal[
    "anchor-missing", "anchor-weak", "anchor-persons", "anchor-not-for-arrest", "kit-missing", "steps-missing", "hook-high",
    "ring-high", "kit-unmeasured", "kit-short", "lift-high", "kit-weak", "kit-unrated", "tool-unstated", "tool-short",
]  # fmt: skip
#: What the steps of a method do not do, or do in the wrong order.
MissingStep = Literal["anchor", "lift", "lift-before-anchor", "release", "release-before-lift", "meter", "stop", "call"]
#: What falls due.
Duty = Literal[
    "inspection", "training", "rescue-practical", "drill", "contact-test", "document-review", "licence",
    "kit-check", "posting-check", "law-comparison", "end-of-service", "certificate", "recommendation", "acceptance", "open-finding", "law-reading",
]  # fmt: skip
#: What stands in a working: a figure, a day, yes or no, or the name of a step; None where the formula found no result.
Value = Quantity | date | bool | str | None


@overload
def computed(path: str, si: float, kind: str) -> Quantity: ...
@overload
def computed(path: str, si: float | None, kind: str) -> Quantity | None: ...
def computed(path: str, si: float | None, kind: str) -> Quantity | None:
    """A calculated quantity, or None where it was not computed."""
    return None if si is None else Quantity(path=path, si=si, kind=kind, text="", unit="", how="calculated")


@record
class Input(Node):
    """One symbol of a formula with the value put in; `term` is the key of its meaning in words."""

    symbol: str
    term: str
    value: Value


@record
class Working(Node):
    """One calculation step: name in `calc`, symbol, formula, values put in, result, source.

    `name` is the key of its meaning in words. `what` names the step, goal or corner it is about where one formula is used several times, `toward` the side to
    which its result is rounded in print.
    """

    name: str
    symbol: str
    formula: str
    inputs: tuple[Input, ...]
    result: Value
    source: str
    what: str = ""
    toward: Toward = "nearest"


class Step(NamedTuple):
    """A call as it was made: path of the record it belongs to, formula, values put in, result, and what it is about.

    Most are never printed, so they are written out late.
    """

    owner: str
    rule: Formula
    values: Mapping[str, object]
    result: object
    what: str = ""


def written(steps: Iterable[Step]) -> tuple[Working, ...]:
    """Steps as a reader sees them; one that is made again is told apart by its number."""
    seen: dict[str, int] = {}
    return tuple(_written(step, seen) for step in steps)


def _written(step: Step, seen: dict[str, int]) -> Working:
    rule, where = step.rule, step.rule.where
    name = f"{rule.symbol}{'.' if step.what else ''}{step.what}"
    seen[name] = seen.get(name, 0) + 1
    path = f"{step.owner}.working[{name}{'' if seen[name] == 1 else f'.{seen[name]}'}]"
    inputs = tuple(
        Input(
            path=f"{path}.{symbol}", symbol=symbol, term=where[name].key, value=_value(f"{path}.{symbol}", put, where[name].kind)
        )
        for name, value in step.values.items()
        for symbol, put in _parts(where[name].symbol, value)
    )
    return Working(
        path=path, name=rule.name, symbol=rule.symbol, formula=rule.text, inputs=inputs,
        result=_value(path, _first(step.result), rule.gives), source=rule.cite, what=step.what, toward=rule.toward,
    )  # fmt: skip


def _parts(symbol: str, value: object) -> Iterator[tuple[str, object]]:
    """Symbol and value of each part of what was put in: `t_i` of two drills are `t_1` and `t_2`, of steps `t_call`, `t_lower`."""
    stem = symbol.removesuffix("_i")
    if isinstance(value, rescue.Schedule):
        yield from ((f"{stem}_{name}", figure) for name, figure in value.figures)
    elif isinstance(value, Sequence) and not isinstance(value, str):
        for number, one in enumerate(value, 1):
            figures = one.figures if isinstance(one, rescue.Step) else ((str(number), one),)
            yield from ((f"{stem}_{name}", figure) for name, figure in figures)
    else:
        yield symbol, value


def _first(result: object) -> object:
    """What a working shows of a result: the total of a schedule, the names of several steps, else the first of several parts."""
    if isinstance(result, rescue.Schedule):
        return result.total
    if isinstance(result, tuple):
        return ", ".join(result) if all(isinstance(part, str) for part in result) else result[0]
    return result


def _value(path: str, value: object, kind: str) -> Value:
    if isinstance(value, bool | date | str):
        return value
    return computed(path, float(value), kind) if isinstance(value, int | float) else None


@record
class Assumed(Node):
    """A value that the profile does not give and that was taken from practice."""

    name: str
    value: Quantity
    source: str
    basis: str


#: A tolerance of practice: of a length with none stated, by how it became known.
Taken = Literal["tape_short", "tape_long", "unchecked_on_site", "crew_and_vehicles"]
#: In which corner of the tolerances a step stands.
Corner = Literal["offset", "clearance", "largest", "angle", "edge", "hang-low", "feet-low", "hang-high", "feet-high", "line"]
CORNERS: tuple[str, ...] = get_args(Corner)


@record
class Tolerance(Node):
    """How far a figure of the profile may lie off, in its unit: as `stated` (zero counts as not), else as is `usual` in practice; a bound has no usual one."""

    value: Quantity
    usual: Taken | None = None
    stated: bool = False

    @property
    def taken(self) -> Taken | None:
        """The tolerance of practice that stands in for one that is not stated."""
        return None if self.stated else self.usual


@record
class Struck(Node):
    """What the swinging body can meet in one case, or off the top of a ladder, each figure after tolerances.

    thing: profile path of it, or of the side whose flank it is; object: how `tasks[].struck` calls it; what: its name, None for the
    flank and the ladder; vehicle: whose side is met off the ladder; flat: a flat face, else something that sticks out; measured: whether its place is known; drop, speed: of the swing when it is
    met. Of the flank besides, where its edge lies across and is measured: `free` is run across before the D-ring is back over the edge,
    `blocked` is left from there to under the rail, `edge_drop` and `edge_speed` are those at the edge.
    """

    thing: str
    object: str
    what: str | None
    flat: bool
    measured: bool
    drop: Quantity
    speed: Quantity
    free: Quantity | None = None
    blocked: Quantity | None = None
    edge_drop: Quantity | None = None
    edge_speed: Quantity | None = None
    vehicle: str | None = None
    steps: tuple[Step, ...] = ()

    @cached_property
    def working(self) -> tuple[Working, ...]:
        """The calculation, step by step."""
        return written(self.steps)


@record
class Case(Node):
    """One task, posture and fall side; `working` is nominal, `corner` each worst corner of the tolerances. A quantity that could not be computed is None; `missing` says why.

    Lengths are in m above the bay datum or as distances, angles in rad, speeds in m/s. `margin` is nominal, `*_worst` each the
    extreme over all tolerances at once: of the margin with its `required_worst` and `available_worst`, of angle, swing, lag (`along_worst`) and offset, of
    each term of the need.
    `kept` is what stays of the margin in force there, `kept_least` what must. `edge` is how high the D-ring stays above the edge in its
    corner: `bears`, below zero, means that the line bears on the edge, and the case is worked out with the figure for that.
    `setback` is how far inboard of an edge across the vehicle the line exit hangs at the least.
    `largest_*` are the offsets of the D-ring from under the trolley that still pass; `largest_worst` (by `largest_worst_by`) and the allowances do so after
    tolerances. `hang` and `feet` are as the figures stand, `hang_*` and `feet_*` the highest and lowest that can occur, `line_needed` the longest line.
    """

    id: str
    bay: str
    vehicle: str
    task: str
    posture: Posture
    side: CaseSide
    permission: Permission
    deck: Quantity | None = None
    line_exit: Quantity | None = None
    ring: Quantity | None = None
    height: Quantity | None = None
    reach: Quantity | None = None
    rail_offset: Quantity | None = None
    parking: Quantity | None = None
    across: Quantity | None = None
    along: Quantity | None = None
    along_worst: Quantity | None = None
    offset: Quantity | None = None
    offset_worst: Quantity | None = None
    swing_drop: Quantity | None = None
    swing_drop_worst: Quantity | None = None
    swing_speed: Quantity | None = None
    swing_speed_worst: Quantity | None = None
    line_angle: Quantity | None = None
    line_angle_worst: Quantity | None = None
    angle_limit: Quantity | None = None
    lower_level: Quantity | None = None
    lower_what: str | None = None
    lower_path: str | None = None
    arrest_distance: Quantity | None = None
    arrest_distance_worst: Quantity | None = None
    stretch: Quantity | None = None
    stretch_worst: Quantity | None = None
    posture_addition: Quantity | None = None
    deflection: Quantity | None = None
    deflection_worst: Quantity | None = None
    margin_term: Quantity | None = None
    required: Quantity | None = None
    required_worst: Quantity | None = None
    available: Quantity | None = None
    available_worst: Quantity | None = None
    margin: Quantity | None = None
    margin_worst: Quantity | None = None
    kept: Quantity | None = None
    kept_least: Quantity | None = None
    edge: Quantity | None = None
    bears: bool = False
    setback: Quantity | None = None
    largest_offset: Quantity | None = None
    largest_offset_by: LargestBy | None = None
    largest_by_clearance: Quantity | None = None
    largest_by_angle: Quantity | None = None
    largest_by_rule: Quantity | None = None
    largest_worst: Quantity | None = None
    largest_worst_by: LargestBy | None = None
    allowance_left: Quantity | None = None
    allowance_right: Quantity | None = None
    arrest_way_out: Quantity | None = None
    hang: Quantity | None = None
    hang_low: Quantity | None = None
    hang_high: Quantity | None = None
    feet: Quantity | None = None
    feet_low: Quantity | None = None
    feet_high: Quantity | None = None
    line_needed: Quantity | None = None
    struck: tuple[Struck, ...] = ()
    fouled: tuple[str, ...] = ()
    governs: tuple[Governed, ...] = ()
    missing: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    tolerances: tuple[Tolerance, ...] = ()
    inputs: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    corner_steps: tuple[Step, ...] = ()

    @cached_property
    def working(self) -> tuple[Working, ...]:
        """The nominal calculation, step by step."""
        return written(self.steps)

    @cached_property
    def corner(self) -> tuple[Working, ...]:
        """The calculation in each worst corner of the tolerances, step by step; `what` of a step names its corner."""
        return written(sorted(self.corner_steps, key=lambda step: CORNERS.index(step.what)))

    @property
    def verdict(self) -> Verdict:
        """Of clearance only: not-computed, short, short-after-tolerances (too little kept, or the line exit no longer above the D-ring),
        open (rail deflection unknown), keeps-less (of the margin) or holds."""
        if self.margin is None:
            return "not-computed"
        if under(self.margin.si, 0.0):
            return "short"
        if self.kept is None or self.kept_least is None or under(self.kept.si, self.kept_least.si):
            return "short-after-tolerances"
        if self.deflection is None:
            return "open"
        if self.margin_term is None or under(self.kept.si, self.margin_term.si):
            return "keeps-less"
        return "holds"


@record
class Counted(Node):
    """How many there are among the parts of a system of what each person has one of."""

    what: str
    count: int


@record
class Chain(Node):
    """The load path of one system: the weakest rated part, the lowest mass it is proven for, and the users at once.

    `lacking` are the links that are not there, `unrated` the parts without a rating: with either there is no limit. `counted`: of each
    link that is with one person at a time how many there are among the parts.
    """

    system: str
    bay: str
    limit: Quantity | None = None
    governing: str | None = None
    lower_limit: Quantity | None = None
    lower_governing: str | None = None
    users: int | None = None
    users_by: str | None = None
    counted: tuple[Counted, ...] = ()
    lacking: tuple[Link, ...] = ()
    unrated: tuple[str, ...] = ()
    inputs: tuple[str, ...] = ()
    working: tuple[Working, ...] = ()

    def count(self, what: str) -> int:
        """How many there are of what is counted; none of what the load path has not."""
        return next((c.count for c in self.counted if c.what == what), 0)


@record
class Further(Node):
    """Figures of one system for information. `anchorage_by` is engineered or rated-per-user; `climb_height` is an elevation.

    Below it an arrest on the ladder does not end above `climb_foot`, the highest thing below there (`climb_what`); `climb_never`: at no height it does.
    `struck` is what is met off the top of the ladder, one for each vehicle that is climbed on in the bay.

    `side_load` is the force across or along the rail at `side_angle`, the steepest line of an allowed case or on the ladder after tolerances.
    `second_load`, `spacing` and `second_kept` (of the margin, after tolerances) are of two people on one rail, and None where only one may be there.
    """

    id: str
    bay: str
    anchorage_needed: Quantity | None = None
    anchorage_by: str | None = None
    side_angle: Quantity | None = None
    side_load: Quantity | None = None
    second_load: Quantity | None = None
    spacing: Quantity | None = None
    second_kept: Quantity | None = None
    lock_distance: Quantity | None = None
    least_arrest: Quantity | None = None
    climb_height: Quantity | None = None
    climb_foot: Quantity | None = None
    climb_what: str = ""
    climb_never: bool = False
    struck: tuple[Struck, ...] = ()
    lanyard_fall: Quantity | None = None
    lanyard_need: Quantity | None = None
    lanyards: tuple[str, ...] = ()
    inputs: tuple[str, ...] = ()
    working: tuple[Working, ...] = ()


@record
class StepTiming(Node):
    """One rescue step on the clock that starts at the fall, in seconds."""

    id: str
    text: str
    who: tuple[str, ...]
    start: Quantity
    finish: Quantity
    critical: bool


@record
class Turn(Node):
    """One step of one post on the clock that starts at the fall: who does what from when to when. `person` is a code, or the id of a role."""

    post: str
    person: str | None
    step: str
    start: Quantity
    finish: Quantity


@record
class Tool(Node):
    """What a rescuer comes to against a height that the method states.

    `part` is the tool in the hand, `stand` the platform or ladder under the feet; `lacking` is the path of what is not stated, and
    `reach` is None then.
    """

    stated: Quantity
    part: str | None = None
    stand: str | None = None
    reach: Quantity | None = None
    lacking: str | None = None


@record
class Thin(Node):
    """A limit of time that is kept by less than estimates are good for: to `contact` or to the `ground`, what is left and what there should be."""

    goal: str
    left: Quantity
    least: Quantity


@record
class RescueRow(Node):
    """One bay, vehicle, method and shift against the two limits.

    `turns` is the schedule, by start: each step on each post of the shift that does it. `closed` says why the method cannot be
    carried out in this bay; `anchor_need` is what the anchor must hold there, `hook_need` the height at which the hook comes off,
    `ring_need` that of the ring, `tools` what the rescuer comes to.
    """

    case: str
    bay: str
    vehicle: str
    method: str
    kind: str | None
    shift: str
    persons_needed: int | None = None
    persons_there: int | None = None
    detection: Quantity | None = None
    contact: Quantity | None = None
    contact_limit: Quantity | None = None
    ground: Quantity | None = None
    ground_limit: Quantity | None = None
    within: bool | None = None
    thin: tuple[Thin, ...] = ()
    critical_steps: tuple[str, ...] = ()
    gains: tuple[tuple[str, Quantity], ...] = ()
    timings: tuple[StepTiming, ...] = ()
    turns: tuple[Turn, ...] = ()
    anchors: tuple[str, ...] = ()
    anchor_strength: Quantity | None = None
    anchor_need: Quantity | None = None
    hook_need: Quantity | None = None
    ring_need: Quantity | None = None
    tools: tuple[Tool, ...] = ()
    missing_steps: tuple[MissingStep, ...] = ()
    closed: tuple[MethodClosure, ...] = ()
    missing: tuple[str, ...] = ()
    inputs: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()

    @cached_property
    def working(self) -> tuple[Working, ...]:
        """The clock from the fall, step by step, as an engineer would repeat it."""
        return written(self.steps)


@record
class Due(Node):
    """Something that falls due. `due` is None where it was never done."""

    what: Duty
    id: str
    last: date | None = None
    interval: str | None = None
    due: date | None = None
    steps: tuple[Step, ...] = ()

    @cached_property
    def working(self) -> tuple[Working, ...]:
        """How the day was counted; empty for a day that stands in the profile itself."""
        return written(self.steps)


@record
class Numbers(Node):
    """Everything computed for one profile: cases, chains, rescue rows, further figures; nothing is judged here.

    What happened and the day are not among them: the day decides which law is asked, and no more.
    """

    system: str
    cases: tuple[Case, ...]
    chains: tuple[Chain, ...]
    rescues: tuple[RescueRow, ...]
    further: tuple[Further, ...] = ()
    by_id: Mapping[str, Case] = field(default_factory=dict)

    @property
    def tolerances(self) -> Mapping[str, Tolerance]:
        """The tolerance of each figure that went into a case, by the path of the figure."""
        return {t.path.removesuffix(".tolerance"): t for case in self.cases for t in case.tolerances}

    def case(self, key: str) -> Case | None:
        """The case of that id."""
        return self.by_id.get(key)

    def chain_of(self, bay: str) -> Chain | None:
        """The load path of the system in a bay."""
        return next((c for c in self.chains if c.bay == bay), None)

    def cases_of(self, bay: str, vehicle: str | None = None, permission: str | None = None) -> tuple[Case, ...]:
        """The cases of a bay, of one vehicle or permission where it is given."""
        return tuple(
            c for c in self.cases
            if c.bay == bay and vehicle in (None, c.vehicle) and permission in (None, c.permission)
        )  # fmt: skip

    def governing(self, bay: str, what: str) -> Case | None:
        """The case of a bay that governs: clearance, swing or another of the names in `governs`."""
        return next((c for c in self.cases if c.bay == bay and what in c.governs), None)
