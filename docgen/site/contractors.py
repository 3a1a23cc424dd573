"""The profile: contractors, drivers and visitors."""

from __future__ import annotations

from typing import ClassVar, Literal

from docgen import units
from docgen.site.declare import Conditions, Key, Language, Name, Node, Text, record, says, section

__all__ = [
    "ContractorClass",
    "Contractors",
    "EnforcementStep",
    "Firm",
    "FirmList",
    "HarnessSource",
    "Interpreter",
    "OwnCrew",
    "WhoseRescuers",
    "conditions_given",
]

HarnessSource = Literal["own", "loaned", "none"]
WhoseRescuers = Literal["site", "own"]


@record
class ContractorClass(Node):
    """A kind of contractor, and what it may do on site."""

    id: Key = says("A short name without spaces for the class.", "driver", default="", required=True, id_of="contractor_classes")
    name: Name = says("The class as printed in the notice.", "Truck driver", default="", required=True)
    may_climb: bool = says("True when people of this class may climb; when left out, they may not.", False, default=False)
    bays: tuple[Key, ...] = says(
        "The bays in which they may climb, by their ids under bays.", ["B1"], default=(), unique=True, refers_to="bays"
    )
    conditions: tuple[Text, ...] = says(
        "What they must do, each as a verb with its object.",
        ["stay in the cab or in the driver room while the vehicle is loaded"],
        default=(),
    )
    training_checked_at_gate: bool | None = says(
        "True when proof of training is looked at before anyone of this class climbs.", True
    )
    fit_attested: bool | None = says(
        "True when each person states in private to be within the limit with clothing and tools.", True
    )
    harness_checked: bool | None = says("True when the harness is looked over before anyone of this class climbs.", True)
    sign_on: Text | None = says(
        "What a person of this class does to sign on, as a verb with its object.",
        "Sign the gate card with gate operator, competent person and supervisor",
        need="B",
        station="decide",
        papers=(1, 4, 9),
    )
    harness_fits: Key | None = says(
        "The role that sees that the harness fits the device, by its id under roles.",
        "competent-person",
        refers_to="roles",
        need="B",
        station="decide",
        papers=(1, 4, 9),
    )
    supervised_by: Key | None = says(
        "The role that supervises them while they climb, by its id under roles.",
        "shift-supervisor",
        refers_to="roles",
        need="B",
        station="decide",
        papers=(1, 4, 9),
    )
    rescuers: WhoseRescuers | None = says(
        "Whose rescuers would reach them: those of the site, or their own.", "site", need="B", station="decide", papers=(1, 4, 9)
    )
    language_by: Key | None = says(
        "The role that checks at the gate that they follow the language, by its id under roles.",
        "gate-operator",
        refers_to="roles",
        need="B",
        station="decide",
        papers=(1, 9),
    )


@record
class EnforcementStep(Node):
    """The steps taken when the rule is broken, in order; manager and counsel decide."""

    step: int | None = says("The number of the step, counted from 1.", 1, required=True, minimum=1)
    trigger: Text | None = says("What leads to this step.", "A rule of this notice is broken")
    action: Text | None = says(
        "What the one who decides may then do, as a verb with its object.", "stop the work and correct the person", required=True
    )
    decided_by: Key | None = says("The role that decides, by its id under roles.", "shift-supervisor", refers_to="roles")
    record: Name | None = says("Where it is written down.", "shift log")


@record
class Firm(Node):
    """The listed firms, with contract and condition of entry."""

    name: Name = says(
        "A firm whose people may come under a class that climbs.", "Tank Wash Co. (invented)", default="", required=True
    )
    contract: Name | None = says("The reference of its contract.", "C-2026-11")
    entry_clause: Text | None = says(
        "The clause of that contract on the condition of entry.",
        "Clause 9: the rules posted at the gate are a condition of entry",
    )


@record
class FirmList(Node):
    """The list of the firms whose people may climb."""

    kept_by: Key | None = says(
        "The role that keeps the list of firms, by its id under roles.", "gate-operator", refers_to="roles"
    )
    place: Name | None = says("Where the list of firms is.", "Binder at the gate")


@record
class Interpreter(Node):
    """Who reads the rules out, and in which languages."""

    by: Key | None = says("The role that reads the rules out, by its id under roles.", "gate-operator", refers_to="roles")
    languages: tuple[Language, ...] = says("In which languages.", ["es"], default=(), unique=True)


@record
class OwnCrew(Node):
    """The rules under which breaches of the own crew count."""

    rules: Name | None = says("The rules under which breaches of the own crew count.", "Work rules of 2024")


@record
class Contractors(Node):
    """What holds for people from other firms, such as drivers; manager and counsel decide."""

    conditions: ClassVar[Conditions] = (("harnesses", "loaned", ("loaned_check",)),)

    classes: tuple[ContractorClass, ...] = says(
        "The classes of people from other firms, and whether they may climb; manager and counsel decide.",
        [{"id": "driver", "name": "Truck driver", "may_climb": False}],
        default=(),
    )
    check_in: Text | None = says(
        "Where and how people from other firms report before they enter a bay.",
        "Report to the gate operator, who gives the briefing and records it",
    )
    orientation_validity: units.Interval | None = says("How long one site briefing holds.", "12 months")
    languages: tuple[Language, ...] = says(
        "The languages that people from other firms read; the gate operator knows.", ["en", "es", "pa"], default=(), unique=True
    )
    harnesses: HarnessSource | None = says(
        "Whose harness they wear: their own, one lent by the site, or none because they do not climb.", "none", "loaned"
    )
    loaned_check: Text | None = says(
        "How a harness lent by the site is handed out, looked over and taken back.",
        "The supervisor and the borrower look it over together and sign the loan sheet",
    )
    loaned_harnesses: tuple[Key, ...] = says(
        "The harnesses that the site lends, by their ids under equipment.",
        ["H-L"],
        default=(),
        unique=True,
        refers_to="equipment",
    )
    hazards: Text | None = says(
        "The hazards of the place that people from other firms are told about, as a list after the words there are.",
        "Open edges up to 15 ft above the ground, moving vehicles and product vapor",
    )
    duties_of_site: Text | None = says(
        "What the site does and keeps up for people from other firms, stated as procedure.",
        "The site inspects the rails and devices and starts the rescue procedure",
    )
    coordination: Text | None = says(
        "Who settles what when two firms work in one bay.",
        "Work of two firms in one bay needs the word of the shift supervisor first",
    )
    enforcement: tuple[EnforcementStep, ...] = says(
        "The steps taken when the rule is broken, in order; manager and counsel decide.",
        [{"step": 1, "trigger": "A rule of this notice is broken", "action": "stop the work", "decided_by": "shift-supervisor"}],
        default=(),
    )
    appeal: Text | None = says(
        "How a person or employer asks for a decision to be looked at again.",
        "The person or the employer may ask the site manager to look at a decision again",
    )
    applies_to_own_crew: bool | None = says("True when the same steps hold for the site's own crew.", True)
    refusal_right: bool | None = says("True when anyone may refuse or stop work that they judge dangerous.", True)
    report_no_penalty: bool | None = says("True when nobody is punished for a report or a refusal.", True)
    ask: Key | None = says("The role to ask about the rule, by its id under roles.", "shift-supervisor", refers_to="roles")
    start: Text | None = says("Whose word a contractor needs before work starts in a bay.", "Start only when the foreman says so")
    proof: Text | None = says("What a contractor shows as proof of training.", "Show your training record at the gate")
    tell_us: Text | None = says(
        "What a contractor tells the site beforehand: the hazards its work brings, and its own rescue.",
        "Tell the gate what hazards your work brings and how you rescue your own people",
    )
    rescue: Text | None = says("Who rescues a person who hangs in a harness here.", "The rescuers on shift start the rescue")
    changes: Text | None = says(
        "How people in the bays hear of a change in conditions or rules.", "The foreman stops work and tells everyone of a change"
    )
    check_out: Text | None = says("What a contractor reports on leaving.", "Tell the gate what you found, broke or left open")
    read_out_by: Key | None = says("The role that reads the notice out to people who cannot read it.", "gate", refers_to="roles")
    firms: tuple[Firm, ...] = says(
        "The listed firms, with contract and condition of entry.",
        [{"name": "Tank Wash Co. (invented)", "contract": "C-2026-11"}],
        default=(),
        need="B",
        station="decide",
        when="class-climbs",
        papers=(3, 9),
    )
    firm_list: FirmList = section(
        "The list of the firms whose people may climb.",
        {"kept_by": "gate-operator", "place": "Binder at the gate"},
        need="B",
        station="decide",
        when="class-climbs",
        papers=(1, 3),
    )
    escort: Key | None = says(
        "The role that escorts visitors, by its id under roles.", "gate-operator", refers_to="roles", need="o", papers=(4, 9)
    )
    interpreter: Interpreter = section(
        "Who reads the rules out, and in which languages.", {"by": "gate-operator", "languages": ["es"]}, need="o", papers=(4, 9)
    )
    own_crew: OwnCrew = section(
        "The rules under which breaches of the own crew count.",
        {"rules": "Work rules of 2024"},
        need="B",
        station="decide",
        when="own-crew-counts",
        papers=(3, 4),
    )


def conditions_given(one: ContractorClass, contractors: Contractors) -> bool:
    """Whether a class may climb as far as the site says so: with every check, everyone named who makes it, and a listed firm."""
    checked = (one.training_checked_at_gate, one.fit_attested, one.harness_checked)
    named = (one.sign_on, one.harness_fits, one.supervised_by, one.rescuers, one.language_by)
    return one.may_climb and all(yes is True for yes in checked) and all(named) and bool(contractors.firms)
