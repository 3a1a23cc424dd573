"""The profile as frozen, typed values: every value knows the profile path and the line it came from.

A section or record that the profile leaves out is still there, empty, and false in a condition (`given` is False), so
that a reader of the model never meets a hole. Quantities are SI with the text as written and the evidence beside them.
"""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Iterator, Mapping
from dataclasses import field
from datetime import date
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, Literal, Protocol, TypeVar

from docgen import units
from docgen.frozen import frozen, record
from docgen.read import Mark, Source

__all__ = [
    "Anchorage",
    "Bay",
    "ContractorClass",
    "Drill",
    "Method",
    "MethodStep",
    "Node",
    "Obstruction",
    "Part",
    "Permission",
    "Posture",
    "Protrusion",
    "Quantity",
    "Shift",
    "Side",
    "SideName",
    "Site",
    "Slot",
    "System",
    "Task",
    "User",
    "Vehicle",
    "build",
    "record",
    "slots_of",
    "walk",
]  # fmt: skip


@record
class Node:
    """A mapping of the profile. `path` is stable: list items are named by their id, not by their position."""

    path: str
    given: bool = field(default=True, kw_only=True)

    def __bool__(self) -> bool:
        return self.given


@record
class Quantity(Node):
    """A measured thing: `si` in m, kg, N, s, m/s, rad, K or V; `text` and `unit` as written; the evidence as stated.

    `how` is measured, label, manual, design, drill, assumed, or None when the profile gives the bare figure.
    """

    si: float
    kind: str
    text: str
    unit: str
    how: str | None = None
    by: str | None = None
    on: date | None = None
    tolerance: float = 0.0

    @property
    def assumed(self) -> bool:
        """Whether the figure was assumed, not measured, read or given."""
        return self.how == "assumed"


Length = Annotated[Quantity, "length"]
Mass = Annotated[Quantity, "mass"]
Force = Annotated[Quantity, "force"]
Time = Annotated[Quantity, "time"]
Speed = Annotated[Quantity, "speed"]
Angle = Annotated[Quantity, "angle"]
Temperature = Annotated[Quantity, "temperature"]
Voltage = Annotated[Quantity, "voltage"]
Texts = tuple[str, ...]
RuleBound = Literal["maximum", "minimum", "exactly"]
LocalKind = Literal["local", "owner", "insurer"]
#: A side of the vehicle, seen looking toward its front, or an opening in its top.
SideName = Literal["left", "right", "front", "rear", "hatch", "gap"]
#: In which people work.
Posture = Literal["standing", "kneeling", "lying"]
#: Whether a task may be done with the rail system, may not be done, or is done by other means.
Permission = Literal["allowed", "prohibited", "other-means"]


# --- the site and the document ---------------------------------------------------------------------------------------


@record
class Gate(Node):
    hours: str | None = None
    night_access: str | None = None


@record
class EmployerRole(Node):
    party: str = ""
    roles: Texts = ()


@record
class Place(Node):
    id: str = ""
    name: str = ""
    legal_name: str | None = None
    address: str | None = None
    jurisdiction: str = ""
    sector: str = "general-industry"
    units: str | None = None
    access_point: str | None = None
    position: str | None = None
    gate: Gate
    employer_roles: tuple[EmployerRole, ...] = ()


@record
class Policy(Node):
    statement: str | None = None
    by: str | None = None
    on: date | None = None


@record
class Consultation(Node):
    partner: str | None = None
    on: date | None = None
    how: str | None = None


@record
class DocumentControl(Node):
    number: str | None = None
    languages: Texts = ()
    paper: str | None = None
    owner: str | None = None
    prepared_by: str | None = None
    review_interval: units.Interval | None = None
    last_review: date | None = None
    approvals_needed: Texts = ()
    kept_at: str | None = None
    crew_review: date | None = None
    retention: str | None = None
    policy: Policy
    consultation: Consultation
    sign_off: str | None = None


@record
class Role(Node):
    id: str = ""
    title: str = ""
    holder: str | None = None
    phone: str | None = None
    qualification: str | None = None
    appointed: date | None = None
    issues_notice: bool = False
    duties: str | None = None
    user: str | None = None


# --- bays, vehicles, tasks -------------------------------------------------------------------------------------------


@record
class BayRail(Node):
    part: str | None = None
    underside: Length | None = None
    offset: Length | None = None
    offset_toward: str | None = None
    hang: Length | None = None
    lag: Length | None = None
    deflection: Length | None = None
    length: Length | None = None
    spans: int | None = None
    users_per_span: int | None = None
    span_stops: bool | None = None
    end_stops: bool | None = None


@record
class Parking(Node):
    lateral: Length | None = None
    marks: str | None = None


@record
class HookUp(Node):
    at_ground: bool | None = None
    how: str | None = None


@record
class VehicleControl(Node):
    brake_set: bool | None = None
    chocks: bool | None = None
    derail: str | None = None
    keys: str | None = None
    released_by: str | None = None


@record
class OverheadLine(Node):
    distance: Length | None = None
    voltage: Voltage | None = None
    measures: str | None = None


@record
class Electrical(Node):
    classified: str | None = None
    devices_suitable: bool | None = None
    overhead_lines: str | None = None
    line: OverheadLine
    energised: str | None = None


@record
class BayHazards(Node):
    flowing_solids: bool | None = None
    solids_control: str | None = None
    sloped_surface: bool | None = None
    dangerous_equipment_below: bool | None = None
    water_below: bool | None = None
    corrosives: Texts = ()


@record
class Lighting(Node):
    night_work: bool | None = None
    level: str | None = None
    measured_on: date | None = None


@record
class Survey(Node):
    by: str | None = None
    on: date | None = None
    instrument: str | None = None
    last_surface_change: date | None = None


@record
class Obstruction(Node):
    """Something fixed in the bay. `from` and `to` are across, from the vehicle centreline, on the side named."""

    id: str = ""
    what: str = ""
    side: SideName | None = None
    from_: Length | None = None
    to: Length | None = None
    bottom: Length | None = None
    top: Length | None = None


@record
class Bay(Node):
    """A place where vehicles stand under a rail and people climb on them."""

    id: str = ""
    name: str = ""
    setting: str | None = None
    datum: str | None = None
    rail: BayRail
    parking: Parking
    hook_up: HookUp
    control: VehicleControl
    electrical: Electrical
    hazards: BayHazards
    lighting: Lighting
    below: str | None = None
    uncovered: str | None = None
    landing: str | None = None
    survey: Survey
    obstructions: tuple[Obstruction, ...] = ()


@record
class LowerLevel(Node):
    what: str | None = None
    height: Length | None = None


@record
class Side(Node):
    """A side a person can fall to. `edge` is the distance from the vehicle centreline (or last stop) to that edge."""

    side: SideName
    edge: Length | None = None
    stopped_by: str | None = None
    lower: LowerLevel


@record
class Protrusion(Node):
    """Something that stands out from a vehicle; distances are from its centreline, heights over the datum of the bay."""

    id: str = ""
    what: str = ""
    side: SideName | None = None
    from_: Length | None = None
    to: Length | None = None
    bottom: Length | None = None
    top: Length | None = None


@record
class Vehicle(Node):
    """A kind of vehicle that is climbed on, with its surface and edges."""

    id: str = ""
    name: str = ""
    kind: str | None = None
    deck: Length | None = None
    surface: str | None = None
    edge_guarded: bool = False
    changed_on: date | None = None
    sides: tuple[Side, ...] = ()
    protrusions: tuple[Protrusion, ...] = ()


@record
class Alternatives(Node):
    ground: str | None = None
    platform: str | None = None
    guardrail: str | None = None
    restraint: str | None = None


@record
class Task(Node):
    """Work on one kind of vehicle in one bay, and whether it may be done with the rail system."""

    id: str = ""
    name: str = ""
    bay: str = ""
    vehicle: str = ""
    permission: Permission = "allowed"
    reason: str | None = None
    instead: str | None = None
    postures: tuple[Posture, ...] = ()
    reach: Length | None = None
    past_end_stop: Length | None = None
    duration: Time | None = None
    frequency: str | None = None
    alternatives: Alternatives


# --- equipment and systems -------------------------------------------------------------------------------------------


@record
class Capacity(Node):
    min: Mass | None = None
    max: Mass | None = None


@record
class TemperatureRange(Node):
    min: Temperature | None = None
    max: Temperature | None = None


@record
class PartInspection(Node):
    interval: units.Interval | None = None
    manual_interval: units.Interval | None = None
    last: date | None = None
    by: str | None = None
    result: str | None = None
    serial: str | None = None


@record
class ArrestEvent(Node):
    on: date | None = None
    cleared_on: date | None = None
    cleared_by: str | None = None


@record
class Part(Node):
    """One component, rescue kits and platforms included."""

    id: str = ""
    kind: str = ""
    name: str | None = None
    count: int | None = None
    serial: str | None = None
    standard: str | None = None
    class_: str | None = None
    capacity: Capacity
    users_max: int | None = None
    arrest_distance: Length | None = None
    deceleration_distance: Length | None = None
    arrest_force_average: Force | None = None
    arrest_force_peak: Force | None = None
    free_fall: Length | None = None
    free_fall_max: Length | None = None
    line_length: Length | None = None
    line_material: str | None = None
    line_strength: Force | None = None
    edge_rated: bool | None = None
    angle_max: Angle | None = None
    temperature: TemperatureRange
    unsuitable_for: Texts = ()
    suitable_for_area: bool | None = None
    retrieval: str | None = None
    handle_height: Length | None = None
    tensile: Force | None = None
    proof: Force | None = None
    gate_proof: Force | None = None
    self_locking: bool | None = None
    attachment: str | None = None
    reach: Length | None = None
    in_service: date | None = None
    retire_by: date | None = None
    label_photo: str | None = None
    manual: str | None = None
    inspection: PartInspection
    arrested_a_fall: ArrestEvent
    quarantined: bool = False


@record
class Anchorage(Node):
    """What the anchorage of a system was designed or tested for, and by whom."""

    basis: str | None = None
    design_load: Force | None = None
    factor: float | None = None
    users: int | None = None
    designer: str | None = None
    designed_on: date | None = None
    drawing: str | None = None
    supervised_by: str | None = None
    structure_checked_by: str | None = None
    structure_checked_on: date | None = None
    calculation: str | None = None
    test: str | None = None


@record
class Compatibility(Node):
    stated_by: str | None = None
    on: date | None = None


@record
class System(Node):
    """The parts in one load path of one bay, from the structure to the harness."""

    id: str = ""
    bay: str = ""
    parts: Texts = ()
    harnesses: Texts = ()
    users_at_once: int | None = None
    trolleys: int | None = None
    users_per_trolley: int = 1
    attachment: str | None = None
    fall_protection_only: bool | None = None
    above_310_basis: str | None = None
    anchorage: Anchorage
    compatibility: Compatibility
    assembly: str | None = None


# --- people, shifts, training, inspection ----------------------------------------------------------------------------


@record
class Fit(Node):
    """Pass or not yet; never a weight."""

    result: str | None = None
    limit: Mass | None = None
    checked_by: str | None = None
    on: date | None = None


@record
class User(Node):
    """A group of people who wear the harnesses."""

    id: str = ""
    employer: str | None = None
    shifts: Texts = ()
    languages: Texts = ()
    fit: Fit


@record
class Rescuer(Node):
    id: str = ""
    user: str | None = None
    shifts: Texts = ()
    methods: Texts = ()
    last_practical: date | None = None


@record
class People(Node):
    users: tuple[User, ...] = ()
    rescuers: tuple[Rescuer, ...] = ()


@record
class Watch(Node):
    how: str | None = None
    by: str | None = None
    interval: Time | None = None
    confirm: Time | None = None


@record
class Shift(Node):
    """Working hours with the people who are there in them."""

    id: str = ""
    name: str | None = None
    hours: str | None = None
    climbing: bool = True
    night: bool = False
    users: int | None = None
    min_persons: int | None = None
    supervisor: str | None = None
    first_aiders: int | None = None
    gate_attended: bool | None = None
    watch: Watch


@record
class TrainingRecord(Node):
    person: str = ""
    course: str | None = None
    on: date | None = None
    trainer: str | None = None
    language: str | None = None
    practical: bool | None = None


@record
class Training(Node):
    refresher: units.Interval | None = None
    refresher_basis: str | None = None
    topics: Texts = ()
    records: tuple[TrainingRecord, ...] = ()


@record
class HazardAssessment(Node):
    by: str | None = None
    on: date | None = None
    areas: str | None = None


@record
class Oversight(Node):
    how: str | None = None
    by: str | None = None
    interval: units.Interval | None = None
    last: date | None = None
    result: str | None = None


@record
class Inspection(Node):
    before_use: str | None = None
    conditions: str | None = None
    storage: str | None = None
    hazard_assessment: HazardAssessment
    maintenance: str | None = None
    manuals_at: str | None = None
    oversight: Oversight


# --- contractors -----------------------------------------------------------------------------------------------------


@record
class ContractorClass(Node):
    """A kind of contractor, and what it may do on site."""

    id: str = ""
    name: str = ""
    may_climb: bool = False
    bays: Texts = ()
    conditions: Texts = ()
    training_checked_at_gate: bool | None = None
    fit_attested: bool | None = None
    harness_checked: bool | None = None


@record
class EnforcementStep(Node):
    step: int | None = None
    trigger: str | None = None
    action: str | None = None
    decided_by: str | None = None
    record: str | None = None


@record
class Contractors(Node):
    classes: tuple[ContractorClass, ...] = ()
    check_in: str | None = None
    orientation_validity: units.Interval | None = None
    languages: Texts = ()
    harnesses: str | None = None
    loaned_check: str | None = None
    loaned_harnesses: Texts = ()
    hazards: str | None = None
    duties_of_site: str | None = None
    coordination: str | None = None
    enforcement: tuple[EnforcementStep, ...] = ()
    appeal: str | None = None
    applies_to_own_crew: bool | None = None
    refusal_right: bool | None = None
    report_no_penalty: bool | None = None
    ask: str | None = None
    start: str | None = None
    proof: str | None = None
    tell_us: str | None = None
    rescue: str | None = None
    changes: str | None = None
    check_out: str | None = None
    read_out_by: str | None = None


# --- rescue and emergency --------------------------------------------------------------------------------------------


@record
class TimeLimit(Node):
    value: Time | None = None
    basis: str | None = None


@record
class KitPlace(Node):
    kit: str = ""
    place: str | None = None
    sealed: bool | None = None
    last_check: date | None = None
    shifts: Texts = ()
    blocked_when: str | None = None
    blocked_adds: Time | None = None


@record
class StepTime(Node):
    """Three-point estimate; the worst decides."""

    best: Time | None = None
    likely: Time | None = None
    worst: Time | None = None


@record
class MethodStep(Node):
    """One step of a rescue method, with who does it and how long it takes."""

    id: str = ""
    text: str = ""
    who: Texts = ()
    after: Texts = ()
    kit: str | None = None
    time: StepTime


@record
class Method(Node):
    """A way to bring a suspended person down."""

    id: str = ""
    name: str = ""
    kind: str | None = None
    use_when: str | None = None
    not_when: Texts = ()
    unconscious: bool | None = None
    night: bool | None = None
    persons: int | None = None
    kits: Texts = ()
    anchor: str | None = None
    anchor_strength: Force | None = None
    load_persons: int = 1
    load_on_rail: int | None = None
    rescuer_tie_off: str | None = None
    attach_from: str | None = None
    attach_height: Length | None = None
    vehicles: Texts = ()
    shifts: Texts = ()
    contact_step: str | None = None
    ground_step: str | None = None
    steps: tuple[MethodStep, ...] = ()


@record
class Drill(Node):
    """A rescue that was rehearsed, with the times that were taken."""

    id: str = ""
    on: date | None = None
    shift: str | None = None
    bay: str | None = None
    vehicle: str | None = None
    method: str | None = None
    contact: Time | None = None
    ground: Time | None = None
    findings: str | None = None


@record
class OutsideHelp(Node):
    agency: str | None = None
    phone: str | None = None
    agreement_on: date | None = None
    capability_confirmed_on: date | None = None
    familiarised_on: date | None = None
    arrival: Time | None = None
    route: str | None = None


@record
class CasualtyCare(Node):
    source: str | None = None
    position: str | None = None
    hospital: str | None = None


@record
class Scenario(Node):
    what: str = ""
    methods: Texts = ()


@record
class Command(Node):
    in_charge: str | None = None
    backups: Texts = ()
    medical: str | None = None


@record
class SpecialCondition(Node):
    when: str = ""
    action: str = ""


@record
class Rescue(Node):
    contact_limit: TimeLimit
    ground_limit: TimeLimit
    kit_places: tuple[KitPlace, ...] = ()
    methods: tuple[Method, ...] = ()
    drills: tuple[Drill, ...] = ()
    drill_interval: units.Interval | None = None
    external: OutsideHelp
    casualty_care: CasualtyCare
    relief_straps: bool | None = None
    prepared_by: str | None = None
    prepared_on: date | None = None
    scenarios: tuple[Scenario, ...] = ()
    self_rescue: str | None = None
    command: Command
    traffic: str | None = None
    kit_care: str | None = None
    special: tuple[SpecialCondition, ...] = ()
    told: str | None = None


@record
class Contact(Node):
    role: str = ""
    number: str = ""
    hours: str | None = None
    tested_on: date | None = None
    private: bool = False


@record
class Radio(Node):
    channel: str | None = None
    word: str | None = None
    backup: str | None = None
    suitable_for_area: bool | None = None
    talk: str | None = None
    test: str | None = None
    tested_on: date | None = None


@record
class Investigation(Node):
    lead: str | None = None
    start: Time | None = None
    how: str | None = None


@record
class Emergency(Node):
    contacts: tuple[Contact, ...] = ()
    radio: Radio
    location_words: str | None = None
    investigation: Investigation


# --- limits, rules, law, reviewers, records --------------------------------------------------------------------------


@record
class UserLimit(Node):
    max: Mass | None = None
    min: Mass | None = None
    includes: str | None = None


@record
class DRing(Node):
    standing: Length | None = None
    kneeling: Length | None = None
    lying: Length | None = None


@record
class AngleLimit(Node):
    value: Angle | None = None
    basis: str | None = None


@record
class LengthLimit(Node):
    value: Length | None = None
    basis: str | None = None


@record
class Weather(Node):
    wind: Speed | None = None
    gust: Speed | None = None
    lightning_wait: Time | None = None
    ice: str | None = None
    temperature_min: Temperature | None = None
    temperature_max: Temperature | None = None


@record
class Limits(Node):
    user: UserLimit
    d_ring: DRing
    stretch: Length | None = None
    margin: Length | None = None
    line_angle: AngleLimit
    lateral: LengthLimit
    weather: Weather
    before_start: Texts = ()


@record
class SiteRule(Node):
    id: str = ""
    subject: str | None = None
    height: Length | None = None
    interval: units.Interval | None = None
    question: str | None = None
    bound: RuleBound | None = None
    value: str | None = None
    text: str = ""
    reason: str | None = None
    owner: str | None = None
    checked_on: date | None = None


@record
class LocalRule(Node):
    id: str = ""
    citation: str = ""
    authority: str | None = None
    kind: LocalKind = "local"
    question: str | None = None
    bound: RuleBound | None = None
    value: str | None = None
    interval: units.Interval | None = None
    text: str = ""
    verified_on: date | None = None


@record
class CodeSettings(Node):
    verified_on: date | None = None
    verified_by: str | None = None
    vehicle_tops: str | None = None
    owner: Texts = ()
    local: tuple[LocalRule, ...] = ()


@record
class Reviewer(Node):
    id: str = ""
    role: str = ""
    name: str | None = None
    licence: str | None = None
    jurisdiction: str | None = None
    discipline: str | None = None
    expires: date | None = None
    scope: str | None = None


@record
class Posting(Node):
    id: str = ""
    place: str | None = None
    document: str | None = None
    language: str | None = None
    lit_at_night: bool | None = None
    revision: int | None = None
    posted_on: date | None = None
    posted_by: str | None = None
    witness: str | None = None
    photo: str | None = None
    last_checked: date | None = None
    kept_by: str | None = None


@record
class Event(Node):
    id: str = ""
    on: date | None = None
    kind: str | None = None
    party: str | None = None
    step: int | None = None
    bay: str | None = None
    persons: Texts = ()
    retrained_on: date | None = None
    closed_on: date | None = None
    text: str | None = None


@record
class Acceptance(Node):
    finding: str = ""
    at: str | None = None
    reason: str | None = None
    by: str | None = None
    until: date | None = None


@record
class Handling(Node):
    """Who sees to an open finding, until when, and what protects people meanwhile."""

    finding: str = ""
    at: str | None = None
    opened: date | None = None
    owner: str | None = None
    due: date | None = None
    interim_protection: str | None = None
    closed_on: date | None = None
    evidence: str | None = None


@record
class UnknownVehicle(Node):
    id: str = ""
    what: str = ""
    visits: int | None = None
    last_seen: date | None = None
    deck: Length | None = None
    bay: str | None = None


@record
class CardCount(Node):
    month: str = ""
    climbs: int | None = None
    filled: int | None = None


@record
class Logs(Node):
    unknown_vehicles: tuple[UnknownVehicle, ...] = ()
    cards: tuple[CardCount, ...] = ()


@record
class Site(Node):
    """The whole profile. Lookups by id return the record, or None."""

    site: Place
    document: DocumentControl
    roles: tuple[Role, ...] = ()
    bays: tuple[Bay, ...] = ()
    vehicles: tuple[Vehicle, ...] = ()
    tasks: tuple[Task, ...] = ()
    equipment: tuple[Part, ...] = ()
    systems: tuple[System, ...] = ()
    people: People
    shifts: tuple[Shift, ...] = ()
    training: Training
    inspection: Inspection
    contractors: Contractors
    rescue: Rescue
    emergency: Emergency
    limits: Limits
    site_rules: tuple[SiteRule, ...] = ()
    codes: CodeSettings
    reviewers: tuple[Reviewer, ...] = ()
    posting: tuple[Posting, ...] = ()
    events: tuple[Event, ...] = ()
    logs: Logs
    accepted: tuple[Acceptance, ...] = ()
    handling: tuple[Handling, ...] = ()
    source_lines: Mapping[str, Mark] = field(default_factory=dict, compare=False, repr=False)

    def line(self, path: str) -> int | None:
        """Line of a model path, or of its nearest parent that the profile holds."""
        while path:
            if (mark := self.source_lines.get(path)) is not None:
                return mark.key_line or mark.line
            path = path[: max(path.rfind("."), path.rfind("["), 0)]
        return None

    def bay(self, key: str | None) -> Bay | None:
        """The bay of that id."""
        return _by_id(self.bays, key)

    def vehicle(self, key: str | None) -> Vehicle | None:
        """The vehicle of that id."""
        return _by_id(self.vehicles, key)

    def part(self, key: str | None) -> Part | None:
        """The piece of equipment of that id."""
        return _by_id(self.equipment, key)

    def role(self, key: str | None) -> Role | None:
        """The role of that id."""
        return _by_id(self.roles, key)

    def shift(self, key: str | None) -> Shift | None:
        """The shift of that id."""
        return _by_id(self.shifts, key)

    @property
    def country(self) -> str:
        """The country of the site, as ISO 3166-1 writes it."""
        return self.site.jurisdiction[:2]

    def system_of(self, bay: str) -> System | None:
        """The fall-arrest system of a bay."""
        return next((s for s in self.systems if s.bay == bay), None)

    def parts(self, keys: Texts, kind: str | None = None) -> tuple[Part, ...]:
        """Pieces of equipment by their ids, those of one kind where a kind is given; unknown ids are left out."""
        found = (self.part(k) for k in keys)
        return tuple(p for p in found if p is not None and (kind is None or p.kind == kind))


class _Named(Protocol):
    @property
    def id(self) -> str: ...


R = TypeVar("R", bound=_Named)


def _by_id(records: tuple[R, ...], key: str | None) -> R | None:
    return next((r for r in records if r.id == key), None)


# --- building ---------------------------------------------------------------------------------------------------------

KEY_OF_FIELD = {"from_": "from", "class_": "class"}
NAMED_BY = ("id", "side", "kit")


@frozen
class Slot:
    """How one field is filled: `what` is text, whole, number, flag, date, interval, quantity, record, or a list."""

    name: str
    key: str
    what: str
    arg: Any
    many: bool


PLAIN = {"str": "text", "int": "whole", "float": "number", "bool": "flag", "date": "date", "units.Interval": "interval"}


@cache
def slots_of(cls: type) -> tuple[Slot, ...]:
    """The fields of a record and what each takes, read off the annotations as text, which is far quicker than having the library evaluate them."""
    slots = []
    for f in dataclasses.fields(cls):
        if f.name in ("path", "given", "source_lines"):
            continue
        hint = f.type.removesuffix(" | None")
        hint, many = ("str", True) if hint == "Texts" else (hint, hint.startswith("tuple["))
        hint = hint.removeprefix("tuple[").removesuffix(", ...]")
        if hint in PLAIN:
            what, arg = PLAIN[hint], None
        elif typing.get_origin(named := globals()[hint]) is Annotated:
            what, arg = "quantity", named.__metadata__[0]
        elif typing.get_origin(named) is Literal:
            what, arg = "text", None
        else:
            what, arg = "record", named
        slots.append(Slot(f.name, KEY_OF_FIELD.get(f.name, f.name), what, arg, many))
    return tuple(slots)


class _Builder:
    def __init__(self, marks: Mapping[str, Mark]) -> None:
        self.source_marks = marks
        self.marks: dict[str, Mark] = {}

    def note(self, at: str, path: str) -> None:
        if (mark := self.source_marks.get(at)) is not None:
            self.marks[path] = mark

    def record(self, cls: type, data: Any, at: str, path: str) -> Any:
        given = isinstance(data, dict)
        data = data if given else {}
        values: dict[str, Any] = {}
        for slot in slots_of(cls):
            inner_at = f"{at}.{slot.key}" if at else slot.key
            inner_path = f"{path}.{slot.key}" if path else slot.key
            if slot.key not in data:
                if slot.what == "record" and not slot.many:
                    values[slot.name] = self.record(slot.arg, None, inner_at, inner_path)
                continue
            self.note(inner_at, inner_path)
            raw = data[slot.key]
            values[slot.name] = (
                self.many(slot, raw, inner_at, inner_path) if slot.many else self.one(slot, raw, inner_at, inner_path)
            )
        return cls(path=path, given=given, **values)

    def many(self, slot: Slot, raw: list[Any], at: str, path: str) -> tuple[Any, ...]:
        items = []
        for index, item in enumerate(raw):
            name = next((str(item[k]) for k in NAMED_BY if isinstance(item, dict) and k in item), str(index))
            item_at, item_path = f"{at}[{index}]", f"{path}[{name}]"
            self.note(item_at, item_path)
            items.append(self.one(slot, item, item_at, item_path))
        return tuple(items)

    def one(self, slot: Slot, raw: Any, at: str, path: str) -> Any:
        match slot.what:
            case "record":
                return self.record(slot.arg, raw, at, path)
            case "quantity":
                return self.quantity(raw, slot.arg, at, path)
            case "date":
                return units.parse_date(raw)
            case "interval":
                return units.parse_interval(raw)
            case "number":
                return float(raw)
            case _:
                return raw

    def quantity(self, raw: Any, kind: str, at: str, path: str) -> Quantity:
        evidence = raw if isinstance(raw, dict) else {"value": raw}
        amount = units.parse(evidence["value"], kind)
        tolerance = units.parse(evidence["tolerance"], kind).si if "tolerance" in evidence else 0.0
        if tolerance and kind == "temperature":
            tolerance -= units.parse(f"0 {units.parse(evidence['tolerance'], kind).unit}", kind).si
        for key in evidence:
            self.note(f"{at}.{key}", f"{path}.{key}")
        return Quantity(
            path=path, si=amount.si, kind=kind, text=amount.text, unit=amount.unit, tolerance=tolerance,
            how=evidence.get("how"), by=evidence.get("by"), on=units.parse_date(evidence["on"]) if "on" in evidence else None,
        )  # fmt: skip


def build(source: Source) -> Site:
    """Turn a checked source into the model. The source must have no problems; units and dates are parsed here."""
    builder = _Builder(source.marks)
    site: Site = builder.record(Site, source.data, "", "")
    return dataclasses.replace(site, source_lines=MappingProxyType(builder.marks))


def walk(node: Node) -> Iterator[tuple[str, Any]]:
    """Every leaf of a record with its path, in field order."""
    for f in dataclasses.fields(node):
        value = getattr(node, f.name)
        if f.name in ("path", "given", "source_lines"):
            continue
        if isinstance(value, Quantity):
            yield value.path, value
        elif isinstance(value, Node):
            yield from walk(value)
        elif isinstance(value, tuple):
            for item in value:
                if isinstance(item, Node):
                    yield from walk(item)
                else:
                    yield f"{node.path}.{KEY_OF_FIELD.get(f.name, f.name)}".lstrip("."), item
        elif value is not None:
            yield f"{node.path}.{KEY_OF_FIELD.get(f.name, f.name)}".lstrip("."), value
