"""What engineering gives back: cases, chains, rescue rows, due dates, all frozen, all with their working."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date

from docgen.calc.formula import Formula
from docgen.site import Node, Quantity, record

__all__ = [
    "Assumed",
    "Case",
    "Chain",
    "Due",
    "Further",
    "Input",
    "Numbers",
    "RescueRow",
    "StepTiming",
    "Working",
    "computed",
    "written",
]  # fmt: skip


def computed(path: str, si: float | None, kind: str) -> Quantity | None:
    """A calculated quantity, or None where it was not computed."""
    return None if si is None else Quantity(path=path, si=si, kind=kind, text="", unit="", how="calculated")


@record
class Input(Node):
    """One symbol of a formula with the value put in."""

    symbol: str
    meaning: str
    value: Quantity


@record
class Working(Node):
    """One calculation step: name in `calc`, symbol, meaning, formula, values put in, result, source."""

    name: str
    symbol: str
    meaning: str
    formula: str
    inputs: tuple[Input, ...]
    result: Quantity
    source: str


#: A call as it was made: path of its result, formula, values put in, result. Most are never printed, so they are written out late.
Step = tuple[str, Formula, Mapping[str, float], float]


def written(steps: tuple[Step, ...]) -> tuple[Working, ...]:
    """Steps as a reader sees them."""
    return tuple(_written(*step) for step in steps)


def _written(path: str, rule: Formula, values: Mapping[str, float], result: float) -> Working:
    where = rule.where
    inputs = tuple(
        Input(
            path=f"{path}.{where[n].symbol}",
            symbol=where[n].symbol,
            meaning=where[n].meaning,
            value=computed(path, v, where[n].kind),
        )
        for n, v in values.items()
    )
    return Working(
        path=path, name=rule.name, symbol=rule.symbol, meaning=rule.meaning, formula=rule.text, inputs=inputs,
        result=computed(path, result, rule.gives), source=rule.cite,
    )  # fmt: skip


@record
class Assumed(Node):
    """A value that the profile does not give and that was taken from practice."""

    name: str
    value: Quantity
    source: str
    basis: str


@record
class Case(Node):
    """One task, posture and fall side; `working` is nominal, `corner` the worst of the tolerances. A quantity that could not be computed is None; `missing` says why.

    Lengths are in m above the bay datum or as distances, angles in rad, speeds in m/s. `margin` is nominal, `margin_worst`
    after the stated tolerances. `edge` below zero means that the line bears on the edge. `largest_*` are the offsets of
    the D-ring from under the trolley that still pass; `largest_worst` does so after tolerances.
    """

    id: str
    bay: str
    vehicle: str
    task: str
    posture: str
    side: str
    permission: str
    deck: Quantity | None = None
    line_exit: Quantity | None = None
    ring: Quantity | None = None
    height: Quantity | None = None
    height_worst: Quantity | None = None
    reach: Quantity | None = None
    rail_offset: Quantity | None = None
    parking: Quantity | None = None
    across: Quantity | None = None
    along: Quantity | None = None
    offset: Quantity | None = None
    offset_worst: Quantity | None = None
    swing_drop: Quantity | None = None
    swing_speed: Quantity | None = None
    line_angle: Quantity | None = None
    line_angle_worst: Quantity | None = None
    angle_limit: Quantity | None = None
    lower_level: Quantity | None = None
    lower_what: str | None = None
    lower_path: str | None = None
    arrest_distance: Quantity | None = None
    stretch: Quantity | None = None
    posture_addition: Quantity | None = None
    deflection: Quantity | None = None
    margin_term: Quantity | None = None
    required: Quantity | None = None
    required_worst: Quantity | None = None
    available: Quantity | None = None
    available_worst: Quantity | None = None
    margin: Quantity | None = None
    margin_worst: Quantity | None = None
    edge: Quantity | None = None
    largest_offset: Quantity | None = None
    largest_offset_by: str | None = None
    largest_by_clearance: Quantity | None = None
    largest_by_angle: Quantity | None = None
    largest_by_rule: Quantity | None = None
    largest_worst: Quantity | None = None
    allowance_left: Quantity | None = None
    allowance_right: Quantity | None = None
    arrest_way_out: Quantity | None = None
    hang_low: Quantity | None = None
    hang_high: Quantity | None = None
    feet_low: Quantity | None = None
    feet_high: Quantity | None = None
    line_needed: Quantity | None = None
    in_swing: tuple[str, ...] = ()
    governs: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    inputs: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    corner_steps: tuple[Step, ...] = ()

    @property
    def working(self) -> tuple[Working, ...]:
        """The nominal calculation, step by step."""
        return written(self.steps)

    @property
    def corner(self) -> tuple[Working, ...]:
        """The calculation in the worst corner of the tolerances, step by step."""
        return written(self.corner_steps)

    @property
    def verdict(self) -> str:
        """not-computed, short, short-after-tolerances, open (rail deflection unknown) or holds: clearance only."""
        if self.margin is None:
            return "not-computed"
        if self.margin.si < 0:
            return "short"
        if self.deflection is None:
            return "open"
        if self.margin_worst is not None and self.margin_worst.si < 0:
            return "short-after-tolerances"
        return "holds"


@record
class Chain(Node):
    """The load path of one system: the weakest rated part, the lowest mass it is proven for, and the users at once."""

    system: str
    bay: str
    limit: Quantity | None = None
    governing: str | None = None
    lower_limit: Quantity | None = None
    lower_governing: str | None = None
    users: int | None = None
    users_by: str | None = None
    unrated: tuple[str, ...] = ()
    inputs: tuple[str, ...] = ()
    working: tuple[Working, ...] = ()


@record
class Further(Node):
    """Figures of one system for information. `anchorage_by` is engineered or rated-per-user; `climb_height` is an elevation."""

    id: str
    bay: str
    anchorage_needed: Quantity | None = None
    anchorage_by: str | None = None
    lock_distance: Quantity | None = None
    least_arrest: Quantity | None = None
    climb_height: Quantity | None = None
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
class RescueRow(Node):
    """One bay, vehicle, method and shift against the two limits. `basis` is drill or estimate."""

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
    basis: str = "estimate"
    drill: str | None = None
    critical_steps: tuple[str, ...] = ()
    gains: tuple[tuple[str, Quantity], ...] = ()
    timings: tuple[StepTiming, ...] = ()
    missing: tuple[str, ...] = ()
    inputs: tuple[str, ...] = ()


@record
class Due(Node):
    """Something that falls due. `due` is None where it was never done."""

    what: str
    id: str
    last: date | None = None
    interval: str | None = None
    due: date | None = None


@record
class Numbers(Node):
    """Everything computed for one profile: cases, chains, rescue rows, due dates, further figures; nothing is judged here."""

    as_of: date
    system: str
    cases: tuple[Case, ...]
    chains: tuple[Chain, ...]
    rescues: tuple[RescueRow, ...]
    dues: tuple[Due, ...]
    further: tuple[Further, ...] = ()
    by_id: Mapping[str, Case] = field(default_factory=dict)

    def case(self, key: str) -> Case | None:
        return self.by_id.get(key)

    def chain_of(self, bay: str) -> Chain | None:
        return next((c for c in self.chains if c.bay == bay), None)

    def further_of(self, bay: str) -> Further | None:
        return next((f for f in self.further if f.bay == bay), None)

    def cases_of(self, bay: str, vehicle: str | None = None, permission: str | None = None) -> tuple[Case, ...]:
        return tuple(
            c for c in self.cases
            if c.bay == bay and vehicle in (None, c.vehicle) and permission in (None, c.permission)
        )  # fmt: skip

    def governing(self, bay: str, what: str) -> Case | None:
        return next((c for c in self.cases if c.bay == bay and what in c.governs), None)
