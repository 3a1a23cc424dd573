"""The profile: rescue and emergency."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen import units
from docgen.site.declare import Force, Key, Length, Name, Node, Phone, Speed, Text, Time, record, says, section

__all__ = [
    "AttachFrom",
    "Brigade",
    "CasualtyCare",
    "Command",
    "Contact",
    "ContactLimit",
    "Defibrillator",
    "Emergency",
    "Failure",
    "GroundLimit",
    "HangPlace",
    "HighHook",
    "Investigation",
    "KitPlace",
    "Lift",
    "Method",
    "MethodKind",
    "MethodStep",
    "NextMethod",
    "NoPlanStep",
    "OutsideHelp",
    "Practice",
    "Protection",
    "PublicNumber",
    "Radio",
    "Rescue",
    "RescuePost",
    "Row",
    "Scenario",
    "SecondNumber",
    "SpecialCondition",
    "StepDeed",
    "StepTime",
    "TimeLimit",
]

SHORT_NUMBER = 3  # digits of a public emergency number at most

MethodKind = Literal["self", "assisted", "raise-and-lower", "lower", "platform", "ladder", "outside"]
AttachFrom = Literal["ground", "platform", "ladder", "vehicle", "rail"]
RescuePost = Literal[
    "attendant", "rescuer-1", "rescuer-2", "rescuer-3", "rescuer-4", "first-aider", "supervisor", "control-room", "gate", "rescue-lead",
    "driver", "fire-department", "ambulance",
]  # fmt: skip
Row = Literal["A", "B", "C", "D", "E"]
#: What a step does, so that it can be held against what a rescue needs.
StepDeed = Literal["alarm", "stop", "call", "meter", "fetch", "anchor", "attach", "lift", "release", "lower", "arrive"]


@record
class ContactLimit(Node):
    """The limit for reaching the casualty; manager and qualified person set it."""

    value: Time | None = says(
        "The longest time from the fall until someone reaches the casualty.", "4 min", required=True, most="8 h"
    )
    basis: Text | None = says("Where the limit comes from.", "site target")


@record
class GroundLimit(Node):
    """The limit for having the casualty on the ground; manager and qualified person set it."""

    value: Time | None = says(
        "The longest time from the fall until the casualty lies on the ground.", "9 min", required=True, most="8 h"
    )
    basis: Text | None = says("Where the limit comes from.", "Medical adviser's letter of 2026-01-09")


TimeLimit = ContactLimit | GroundLimit


@record
class KitPlace(Node):
    """Where the rescue kits are kept; the rescue lead knows."""

    kit: Key = says(
        "The kit, platform or ladder, by its id under equipment.", "K-1", default="", required=True, refers_to="equipment"
    )
    place: Name | None = says("Where it lies, as a rescuer at night would be told.", "Red cabinet between the two bays")
    sealed: bool | None = says("True when a seal shows whether it was opened.", True)
    shifts: tuple[Key, ...] = says(
        "The shifts on which it can be taken: unlocked, with key, fuel and a way out; all shifts when left out.",
        ["day"],
        default=(),
        unique=True,
        refers_to="shifts",
    )
    blocked_when: Text | None = says(
        "When the way from this place to a bay is blocked, such as by a vehicle on the next track.",
        "A tanker stands on the first spot",
    )
    blocked_adds: Time | None = says("How much longer the way round takes then, walked and timed.", "2 min", most="8 h")


@record
class StepTime(Node):
    """Three-point estimate; the worst decides."""

    best: Time | None = says(
        "The time when everything goes well, from drills or the rescue lead's estimate.", "0.5 min", most="8 h"
    )
    likely: Time | None = says("The usual time, from drills or the rescue lead's estimate.", "0.8 min", most="8 h")
    worst: Time | None = says(
        "The time when things go badly, which decides.",
        "1.5 min",
        {"value": "95 s", "how": "drill", "by": "rescue-lead", "on": "2026-01-28"},
        above=0,
        most="8 h",
    )


@record
class Lift(Node):
    """The lift before the hook comes off, and the haul."""

    needed: Length | None = says(
        "How far the person is raised before the hook comes off.",
        "0.5 ft",
        read_off="Try it with the dummy",
        toward="up",
        least="0 ft",
        most="30 ft",
    )
    ratio: Name | None = says(
        "The ratio of the haul, lengths of rope to one of lift.",
        "4:1",
        read_off="The label of the kit",
        pattern=r"^[1-9][0-9]*(\.[0-9]+)?:1$",
    )
    rope_at_top: Length | None = says(
        "Length of rope that is free at the top anchor, in all falls of the haul together: 4 times the height at 4:1.",
        "160 ft",
        least="0 ft",
        most="1000 ft",
        toward="down",
    )
    stopper: Text | None = says("What keeps the rope from running out.", "Figure-eight knot at the end")


@record
class HighHook(Node):
    """How the anchor and the high hook are reached and undone."""

    how: Text | None = says("How the high hook or the ring is undone.", "The pole turns the gate and lifts the hook out")
    tool: Key | None = says("The tool, by its id under equipment.", "POLE-1", refers_to="equipment", need="o")
    by: Name | None = says("The post that does it.", "Rescuer 1")
    reach: Length | None = says(
        "The height above the datum to which that reaches.",
        "19 ft",
        read_off="Try it on the ground against a tape",
        toward="down",
    )


@record
class NextMethod(Node):
    """What follows when the method fails or is not ready."""

    after: Time | None = says(
        "When the next method begins: so long after the fall, or at once when this one fails.", "2 min", most="8 h"
    )
    method: Key | None = says("The method that follows, by its id under methods.", "M3", refers_to="methods")


@record
class MethodStep(Node):
    """One step of a rescue method, with who does it and how long it takes."""

    id: Key = says(
        "A short name without spaces for the step, different from the other steps of this method.",
        "alarm",
        "fetch",
        default="",
        required=True,
    )
    text: Text = says("What is done, as printed on the rescue card.", "Bring K-1 from the red cabinet", default="", required=True)
    who: tuple[RescuePost, ...] = says(
        "The posts that do it, from a closed list: the attendant, the rescuers by number, whoever else has a part in a rescue.",
        ["rescuer-1", "rescuer-2"],
        default=(),
        unique=True,
        at_least=1,
        need="A",
        station="rescue-lead",
        papers=(2, 6, 20),
    )
    does: tuple[StepDeed, ...] = says(
        "What the step is for, from a closed list; meter is the word that rescuers may go in, fetch stays at the edge of the bay, anchor and attach put the line on them.",
        ["lift", "release"],
        default=(),
        unique=True,
        need="o",
        papers=(2, 6),
    )
    after: tuple[Key, ...] = says(
        "The steps that are finished before this one starts, by their ids in this method.", ["alarm"], default=(), unique=True
    )
    kit: Key | None = says(
        "The rescue kit, platform or ladder used in this step, by its id under equipment.", "K-1", refers_to="equipment"
    )
    time: StepTime = section(
        "How long the step takes: best, likely and worst; the worst decides.",
        {"best": "0.7 min", "likely": "1.0 min", "worst": "1.5 min"},
    )


@record
class Method(Node):
    """A way to bring a suspended person down."""

    id: Key = says(
        "A short name without spaces for the method, used wherever the profile points to it; the order of the list is the order of use.",
        "M1",
        default="",
        required=True,
        id_of="methods",
    )
    name: Name = says(
        "The method in a few words, as printed on the rescue card.",
        "Raise with the rescue kit, release and lower",
        default="",
        required=True,
    )
    kind: MethodKind | None = says("The kind of rescue; outside means the fire department or another agency.", "raise-and-lower")
    use_when: Text | None = says("When this method is the one to use.", "The person hangs beside the deck and cannot climb back")
    not_when: tuple[Text, ...] = says(
        "When this method is not to be used, one statement each.", ["the rescue anchor of the bay is tagged out"], default=()
    )
    unconscious: bool | None = says("True when the method works for a person who is unconscious, as tried in a drill.", True)
    night: bool | None = says("True when the method works in the dark, as tried in a drill.", True)
    persons: int | None = says("How many rescuers of the site the method takes.", 2, minimum=0, maximum=50)
    kits: tuple[Key, ...] = says(
        "The rescue kits, platforms or ladders it takes, by their ids under equipment.",
        ["K-1"],
        default=(),
        unique=True,
        refers_to="equipment",
        need="A",
        papers=(6,),
        station="rescue-lead",
        when="hook-undone",
    )
    anchor: Text | None = says(
        "What the rescue line is anchored to, and what that is rated for.",
        "Rescue anchor plate on the canopy frame, marked for two persons",
    )
    anchor_strength: Force | None = says("What the rescue anchor holds, from its design or its label.", "3000 lbf", toward="down")
    load_persons: int = says(
        "How many persons hang on the rescue kit at a time; when left out, one.", 1, default=1, minimum=1, maximum=50
    )
    tied_to_anchor: int | None = says(
        "How many rescuers hang their own fall protection on the rescue anchor, at the same time as the casualty; 0 where none does.",
        0,
        1,
        minimum=0,
        need="A",
        papers=(2, 6),
        station="rescue-lead",
        when="rescue-anchor",
        read_off="Ask each rescuer what they are tied to while they work",
        maximum=50,
    )
    load_on_rail: int | None = says(
        "How many persons hang on the rail during the rescue, the casualty included.", 1, minimum=0, maximum=50
    )
    rescuer_tie_off: Text | None = says(
        "How the rescuers themselves are kept from falling.", "Both rescuers work from the ground"
    )
    attach_from: AttachFrom | None = says("Where the rescuer stands when attaching the rescue line.", "ground")
    attach_height: Length | None = says(
        "The height above the datum up to which the rescue line is attached to a back ring, with pole, platform or ladder, tried on site.",
        "21 ft",
        need="A",
        papers=(6,),
        station="rescue-lead",
        when="hook-undone",
        toward="down",
    )
    vehicles: tuple[Key, ...] = says(
        "The types of vehicle for which the method works, by their ids under vehicles.",
        ["tanker"],
        default=(),
        unique=True,
        refers_to="vehicles",
    )
    shifts: tuple[Key, ...] = says(
        "The shifts on which the method can be carried out, by their ids under shifts; when left out, all.",
        ["day"],
        default=(),
        unique=True,
        refers_to="shifts",
    )
    contact_step: Key | None = says(
        "The step with which the casualty is first reached, by its id under steps of this method.", "attach"
    )
    ground_step: Key | None = says(
        "The step with which the casualty lies on the ground, by its id under steps of this method.", "lower"
    )
    steps: tuple[MethodStep, ...] = says(
        "The steps of the method with their times, from drills and the rescue lead.",
        [{"id": "alarm", "text": "Raise the alarm by radio", "who": ["attendant"], "time": {"worst": "0.5 min"}}],
        default=(),
    )
    rows: tuple[Row, ...] = says(
        "The rows of the decision table that this method serves.",
        ["C", "E"],
        default=(),
        unique=True,
        need="A",
        station="rescue-lead",
        papers=(6, 7),
    )
    wind_max: Speed | None = says(
        "The wind that stops this method.",
        "25 mph",
        need="A",
        station="labels",
        when="platform",
        papers=(6, 7),
        read_off="Label of the platform",
        toward="down",
    )
    rescue_anchors: tuple[Key, ...] = says(
        "The anchors that the method uses, one in each bay, by their ids under rescue_anchors of the bays.",
        ["RA-1"],
        default=(),
        unique=True,
        refers_to="rescue_anchors",
        need="A",
        station="rescue",
        when="hauling",
        papers=(2, 6, 7),
    )
    lift: Lift = section(
        "The lift before the hook comes off, and the haul.",
        {"needed": "0.5 ft", "ratio": "4:1"},
        need="B",
        station="rescue-lead",
        when="hauling",
        papers=(2, 6),
    )
    hook: HighHook = section(
        "How the anchor and the high hook are reached and undone.",
        {"how": "The pole turns the gate and lifts the hook out", "tool": "POLE-1", "by": "Rescuer 1", "reach": "19 ft"},
        need="A",
        station="rescue-lead",
        when="hook-undone",
        papers=(2, 6),
    )
    next: NextMethod = section(
        "What follows when the method fails or is not ready.",
        {"after": "2 min", "method": "M3"},
        need="B",
        station="rescue-lead",
        when="own-method",
        papers=(6, 7),
    )

    @property
    def tied(self) -> int:
        """How many rescuers hang on the rescue anchor; none where nobody says, which is asked for."""
        return self.tied_to_anchor or 0


@record
class OutsideHelp(Node):
    """Help from outside; the fire officer states what it can do."""

    agency: Name | None = says("The fire department or agency that would come.", "Pine Hollow fire department")
    phone: Phone | None = says("The number by which it is called, in quotation marks when it is digits only.", "911")
    arrival: Time | None = says(
        "The time from the call until it arrives at the bay, as the fire officer states it.", "9 min", most="8 h"
    )
    route: Text | None = says("The way from the road to the bays.", "Quarry Lane to the north gate, then the paved lane")


@record
class CasualtyCare(Node):
    """Care of the casualty on the ground; the first-aid lead knows."""

    source: Text | None = says(
        "The medical direction or publication that the care instructions rest on.",
        "Letter of the regional ambulance service of 2026-01-09",
    )
    position: Text | None = says(
        "How the casualty is laid once on the ground, as that source says.",
        "Lay the person flat and give normal first aid, airway first",
    )
    hospital: Name | None = says("The hospital to which the casualty is taken.", "Pine Hollow community hospital")


@record
class Scenario(Node):
    """The emergencies that the procedure reckons with."""

    what: Text = says(
        "What may happen, in a few words.", "A conscious person hangs beside the walkway", default="", required=True
    )
    methods: tuple[Key, ...] = says("The methods that answer it, in order.", ["M1", "M2"], default=(), refers_to="methods")


@record
class Command(Node):
    """Who leads a rescue, and who steps in."""

    in_charge: Key | None = says("The role in charge from the alarm on.", "foreman", refers_to="roles")
    backups: tuple[Key, ...] = says(
        "The roles that take over, in order, when the one in charge is missing or hurt.",
        ["rescue-lead"],
        default=(),
        refers_to="roles",
    )
    medical: Text | None = says("Who gives first aid and takes care of the person.", "First-aider named on the shift board")


@record
class SpecialCondition(Node):
    """Conditions that change how a rescue is done, and what is done then."""

    when: Text = says("The condition.", "Wind over the limit", default="", required=True)
    action: Text = says("What is done when it holds.", "The platform stays down; use M2", default="", required=True)


@record
class Failure(Node):
    """What is done when something fails."""

    what: Text = says(
        "What can fail: radio dead, rail bent, a second person hurt, a rescuer in trouble, the device stuck on top.",
        "The radio is dead",
        default="",
        required=True,
    )
    do: Text | None = says("What is then done, as a verb with its object.", "call from the bay phone", required=True)
    by: Name | None = says("The post that does it.", "attendant", need="o")


@record
class Protection(Node):
    """What protects the rescuers, against what, and who may wear it."""

    what: Name = says("What protects the rescuers: light, gloves, breathing protection.", "Head lamp", default="", required=True)
    product: Name | None = says("The product against which it protects.", "Diesel vapor", need="o")
    who: Name | None = says("Who may wear it.", "Rescuers trained in breathing protection")


@record
class HangPlace(Node):
    """Special places where a person may hang."""

    where: Text = says("A special place where a person may hang.", "Over an open hatch", default="", required=True)
    do: Text | None = says("What is then done.", "close the lid before the person is lowered", required=True)


@record
class Practice(Node):
    """The dummy and the darkest shift of the practice."""

    dummy: Text | None = says(
        "The dummy of the practice, of the upper limit or more.", "Dummy of 310 lb", read_off="The label of the dummy"
    )
    darkest_shift: Key | None = says("The darkest shift, by its id under shifts.", "night", refers_to="shifts")


@record
class Defibrillator(Node):
    """The defibrillator."""

    place: Name | None = says(
        "Where the defibrillator hangs.", "Control room, left of the door", read_off="Seen on the site walk"
    )


@record
class Brigade(Node):
    """A fire brigade as a method."""

    trained: bool | None = says("True when a trained brigade serves as a method of rescue.", True)
    on_site: bool | None = says("True when it stands on the site.", True)
    response: Time | None = says("Its stated response time.", "6 min", read_off="Letter of the fire service")


@record
class NoPlanStep(Node):
    """The rescue lead may switch the platform step of the page that stands where no rescue is planned off."""

    off: bool | None = says("True when that step is left out.", True)
    by: Key | None = says("The role that decided it, by its id under roles.", "rescue-lead", refers_to="roles")
    reason: Text | None = says("Why it is left out.", "No platform or ladder is on the site")


@record
class Rescue(Node):
    """How a person hanging in the harness is brought to the ground, and how fast."""

    contact_limit: ContactLimit = section(
        "The limit for reaching the casualty; manager and qualified person set it.", {"value": "4 min", "basis": "site target"}
    )
    ground_limit: GroundLimit = section(
        "The limit for having the casualty on the ground; manager and qualified person set it.",
        {"value": "9 min", "basis": "site target"},
    )
    kit_places: tuple[KitPlace, ...] = says(
        "Where the rescue kits are kept; the rescue lead knows.",
        [{"kit": "K-1", "place": "Red cabinet between the two bays", "sealed": True}],
        default=(),
    )
    methods: tuple[Method, ...] = says(
        "The rescue methods in the order in which they are tried; the rescue lead keeps them.",
        [{"id": "M1", "name": "Raise with the rescue kit, release and lower", "kind": "raise-and-lower"}],
        default=(),
        unique_by="name",
    )
    drill_interval: units.Interval | None = says("How often rescue is drilled.", "12 months")
    external: OutsideHelp = section(
        "Help from outside; the fire officer states what it can do.",
        {"agency": "Pine Hollow fire department", "phone": "911", "arrival": "9 min"},
    )
    casualty_care: CasualtyCare = section(
        "Care of the casualty on the ground; the first-aid lead knows.",
        {"source": "Letter of the ambulance service", "position": "Lay the person flat"},
    )
    relief_straps: bool | None = says("True when every harness carries straps in which a hanging person can stand.", True)
    prepared_by: Key | None = says(
        "The role that wrote the rescue procedure and knows rescue from practice.", "rescue-lead", refers_to="roles"
    )
    prepared_on: date | None = says("The day on which the procedure was written, before the work that it covers.", "2026-01-20")
    scenarios: tuple[Scenario, ...] = says(
        "The emergencies that the procedure reckons with.",
        [{"what": "A conscious person hangs beside the walkway", "methods": ["M1"]}],
        default=(),
    )
    self_rescue: Text | None = says(
        "When and how a person who hangs gets out of it without help.",
        "If the ladder is in reach: step onto it, stay attached and wait for the watcher",
    )
    command: Command = section("Who leads a rescue, and who steps in.", {"in_charge": "foreman", "backups": ["rescue-lead"]})
    traffic: Text | None = says(
        "How other people and vehicles are kept away during a rescue.",
        "The gate closes the lane; the watcher keeps people behind the chain",
    )
    kit_care: Text | None = says(
        "How the rescue kits are stored, and when ropes and parts are replaced.",
        "Dry in a sealed cabinet; ropes replaced 5 years after first use",
    )
    special: tuple[SpecialCondition, ...] = says(
        "Conditions that change how a rescue is done, and what is done then.",
        [{"when": "Wind over the limit", "action": "The platform stays down; use M2"}],
        default=(),
    )
    told: Text | None = says(
        "How those at risk learn this procedure.", "Gone through with every user in the training and walked once a year"
    )
    fails: tuple[Failure, ...] = says(
        "What is done when something fails.",
        [{"what": "The radio is dead", "do": "call from the bay phone", "by": "attendant"}],
        default=(),
        need="B",
        station="rescue-lead",
        papers=(6, 7),
    )
    protection: tuple[Protection, ...] = says(
        "What protects the rescuers, against what, and who may wear it.",
        [{"what": "Head lamp", "who": "Every rescuer"}],
        default=(),
        need="B",
        station="rescue-lead",
        papers=(6, 13, 22),
    )
    places: tuple[HangPlace, ...] = says(
        "Special places where a person may hang.",
        [{"where": "Over an open hatch", "do": "close the lid before the person is lowered"}],
        default=(),
        need="B",
        station="rescue-lead",
        papers=(6,),
    )
    practice: Practice = section(
        "The dummy and the darkest shift of the practice.",
        {"dummy": "Dummy of 310 lb", "darkest_shift": "night"},
        need="B",
        station="rescue-lead",
        papers=(12,),
    )
    aed: Defibrillator = section(
        "The defibrillator.", {"place": "Control room, left of the door"}, need="B", station="rescue", papers=(6,)
    )
    wait_at: Text | None = says(
        "Where rescuers wait while nobody may go in.", "Upwind at the east gate", need="B", station="rescue-lead", papers=(6, 22)
    )
    set_down: Text | None = says(
        "Where the person is laid down.", "Foot of the ladder, on the slab", need="A", station="rescue", papers=(6, 7, 22)
    )
    brigade: Brigade = section(
        "A fire brigade as a method.", {"trained": True, "on_site": False, "response": "6 min"}, need="o", papers=(6, 21, 22)
    )
    no_plan_step_4: NoPlanStep = section(
        "Whether the platform step of the page for a bay without a rescue is left out.",
        {"off": True, "by": "rescue-lead", "reason": "No platform or ladder is on the site"},
        need="o",
        papers=(6, 7),
    )


@record
class Contact(Node):
    """The emergency numbers in the order in which they are called."""

    role: Name = says("Who answers, named by function and not by person.", "Control room", default="", required=True)
    number: Phone = says(
        "The number to dial, in quotation marks when it is digits only.", "555-0110", "911", default="", required=True
    )
    hours: Name | None = says("When the number is answered.", "24 hours")
    private: bool = says(
        "True when it is a person's own number, which must not be printed on a posted copy.", False, default=False
    )


@record
class Radio(Node):
    """How the alarm is raised by radio."""

    channel: Name | None = says("The channel on which the alarm is raised.", "Channel 4")
    word: Name | None = says("The words that mean that a person is hanging in a harness.", "PERSON HANGING")
    backup: Name | None = says("What is used when the radio fails.", "Bay telephone")
    suitable_for_area: bool | None = says(
        "True when the radios may be used in the hazardous area of the bays, read off their marking.", True
    )
    talk: Text | None = says(
        "How rescuers talk with one another and with the person who hangs.",
        "Rescuers stay on channel 4; the watcher talks with the person by voice",
    )
    test: Text | None = says("How often radios and telephone are tried, and by whom.", "Each shift at handover, by the foreman")


@record
class Investigation(Node):
    """How a fall or a near miss is looked into."""

    lead: Key | None = says("The role that leads the inquiry.", "wash-manager", refers_to="roles")
    start: Time | None = says("How soon after the event the inquiry begins.", "24 h")
    how: Text | None = says(
        "What the inquiry looks at, and where its result goes.",
        "People, equipment and figures; the report goes to the crew and changes the plan",
    )


@record
class AuthorityReport(Node):
    """Who tells the authority of an incident."""

    by: Key | None = says(
        "The role that reports an incident to the authority, by its id under roles.", "safety-manager", refers_to="roles"
    )
    number: Phone | None = says(
        "The telephone number at which the authority of this place takes reports.",
        "555-0105",
        read_off="The authority's page",
        need="o",
    )


@record
class PublicNumber(Node):
    """The public emergency number, and the line on which it is confirmed."""

    number: Phone | None = says(
        "The public emergency number, in quotation marks.", "911", read_off="The law of the place or the telephone company"
    )
    non_emergency: Phone | None = says(
        "The line on which the dispatch confirms number and words; the emergency number itself is never tried.",
        "555-0100",
        need="o",
    )


@record
class SecondNumber(Node):
    """The second number of the alarm line."""

    number: Phone | None = says("The second number of the alarm line.", "555-0150")
    who: Name | None = says("Who answers there.", "control room")


@record
class Emergency(Node):
    """Whom to call, on which channel, and with which words."""

    contacts: tuple[Contact, ...] = says(
        "The emergency numbers in the order in which they are called.",
        [{"role": "Control room", "number": "555-0110", "hours": "24 hours"}],
        default=(),
    )
    radio: Radio = section(
        "How the alarm is raised by radio.", {"channel": "Channel 4", "word": "PERSON HANGING", "backup": "Bay telephone"}
    )
    location_words: Text | None = says(
        "The words in which the caller says where the site is.", "Pine Hollow Yard, 18 Quarry Lane, north gate"
    )
    investigation: Investigation = section("How a fall or a near miss is looked into.", {"lead": "wash-manager", "start": "24 h"})
    report: AuthorityReport = section(
        "Who tells the authority of an incident.", {"by": "safety-manager", "number": "555-0105"}, need="o", papers=(1, 15)
    )
    public: PublicNumber = section(
        "The public emergency number, and the line on which it is confirmed.",
        {"number": "911", "non_emergency": "555-0100"},
        need="A",
        station="decide",
        papers=(4, 5, 6, 7, 8, 9, 15, 17, 22),
    )
    second: SecondNumber = section(
        "The second number of the alarm line.",
        {"number": "555-0150", "who": "control room"},
        need="B",
        station="decide",
        papers=(4, 5, 6, 9),
    )
    callback: Phone | None = says(
        "The number on which the ambulance can call back.", "555-0150", need="B", station="decide", papers=(4, 5, 6, 9, 22)
    )
    released_by: Key | None = says(
        "The role that releases evidence and the vehicle after a fall, by its id under roles.",
        "terminal-manager",
        refers_to="roles",
        need="B",
        station="decide",
        papers=(1, 15),
    )

    def is_public(self, number: str | None) -> bool:
        """Whether a number is the public emergency number, which nobody dials to try it.

        That is the one stated, and any of at most three digits, stated or not: emergency numbers have two or three (ITU-T E.161.1, from memory).
        """
        figures = "".join(c for c in number or "" if c.isdigit())
        stated = "".join(c for c in self.public.number or "" if c.isdigit())
        return bool(figures) and (figures == stated or len(figures) <= SHORT_NUMBER)
