"""The profile: people, shifts, training and inspection."""

from __future__ import annotations

from datetime import date
from typing import ClassVar, Literal

from docgen import units
from docgen.site.declare import Conditions, Key, Language, Name, Node, Text, Time, record, says, section
from docgen.site.equipment import PartKind

__all__ = [
    "Chain",
    "ClimbLookedAt",
    "ClimberList",
    "Cover",
    "HazardAssessment",
    "Inspection",
    "InspectionRow",
    "LivePerson",
    "LookedOver",
    "Oversight",
    "Pair",
    "People",
    "Post",
    "PostPart",
    "RefresherBasis",
    "Rescuer",
    "Shift",
    "Topic",
    "Training",
    "User",
    "Watch",
    "WatchHow",
]

PostPart = Literal["climber", "attendant", "rescuer", "supervisor", "gate-operator", "control-room", "first-aider", "other"]
WatchHow = Literal["continuous", "radio", "nobody"]
RefresherBasis = Literal["site-rule", "law"]
Topic = Literal[
    "fall-hazards", "procedures", "use-and-inspection", "hook-up-and-storage", "rescue", "assembly", "signs", "law-and-plan", "methods",
    "anchors", "fall-effects", "hands-on", "rescue-signals", "practical-test",
]  # fmt: skip


#: What an inspection sheet has rows of.
LookedOver = Literal[PartKind, "rescue-anchor"]


@record
class User(Node):
    """A group of people who wear the harnesses."""

    id: Key = says(
        "A code without spaces for the person who may climb, never a name.", "U-07", default="", required=True, id_of="users"
    )
    employer: Name | None = says(
        "The word own for the site's own crew, otherwise the class or firm the person works for.", "own", "Carrier A"
    )
    shifts: tuple[Key, ...] = says(
        "The shifts the person works, by their ids under shifts.", ["day"], default=(), unique=True, refers_to="shifts"
    )
    languages: tuple[Language, ...] = says(
        "The languages in which the person was trained and reads rules; the supervisor knows.",
        ["es", "en"],
        default=(),
        unique=True,
    )


@record
class Rescuer(Node):
    """The people who may rescue, by code; the rescue lead keeps the list."""

    id: Key = says("A code without spaces for the rescuer, never a name.", "RS-1", default="", required=True, id_of="rescuers")
    user: Key | None = says("The same person's id under people.users, when the rescuer also climbs.", "U-07", refers_to="users")
    shifts: tuple[Key, ...] = says(
        "The shifts the rescuer works, by their ids under shifts.", ["day", "night"], default=(), unique=True, refers_to="shifts"
    )
    methods: tuple[Key, ...] = says(
        "The rescue methods the rescuer has practised, by their ids under rescue.methods; left out, all of them, and an empty list says none.",
        ["M1", "M2"],
        default=(),
        decided=True,
        unique=True,
        refers_to="methods",
    )


@record
class ClimberList(Node):
    """The list of those who may climb."""

    kept_by: Key | None = says(
        "The role that keeps the list of climbers, by its id under roles.", "shift-supervisor", refers_to="roles"
    )
    place: Name | None = says("Where the list is.", "Shift board in the control room")


@record
class People(Node):
    """Who may climb and who may rescue, by code and never by name or weight."""

    users: tuple[User, ...] = says(
        "The people who may climb, by code; the supervisors keep the list.",
        [{"id": "U-07", "employer": "own", "shifts": ["day"], "languages": ["en"]}],
        default=(),
    )
    rescuers: tuple[Rescuer, ...] = says(
        "The people who may rescue, by code; the rescue lead keeps the list.",
        [{"id": "RS-1", "shifts": ["day"], "methods": ["M1"]}],
        default=(),
    )
    list: ClimberList = section(
        "The list of those who may climb.",
        {"kept_by": "shift-supervisor", "place": "Shift board in the control room"},
        need="B",
        station="decide",
        papers=(1, 4, 5),
    )


@record
class Watch(Node):
    """How it is noticed that someone hangs in the harness; the supervisor knows."""

    conditions: ClassVar[Conditions] = (("how", "radio", ("interval", "confirm")),)

    how: WatchHow | None = says(
        "How a fall is noticed: someone watches all the time, someone calls by radio, or nobody does.", "continuous", "radio"
    )
    by: Text | None = says("Who watches or calls.", "Ground attendant at the bay")
    interval: Time | None = says("The longest time between two radio calls.", "10 min", above=0, most="8 h")
    confirm: Time | None = says("How long the caller waits for an answer before raising the alarm.", "1 min", most="8 h")


@record
class Post(Node):
    """A place in the team of a shift: its steps in a rescue, and who holds it."""

    post: Name = says("The post, as the papers name it.", "Rescuer 1", default="", required=True)
    part: PostPart | None = says(
        "What the post is for, from a closed list; climber, attendant and the people of a method are never one person.", "rescuer"
    )
    person: Key | None = says(
        "The person, by id under people, or the role, by id under roles; printed on the shift sheet only.",
        "RS-1",
        refers_to=("users", "rescuers", "roles"),
    )
    steps: tuple[Name, ...] = says(
        "The steps of methods that this post does, each as method and step; where no post of a shift says them, each takes those that who of the methods gives it.",
        ["M2.attach"],
        default=(),
        unique=True,
        need="o",
    )
    from_: Time | None = says("From which minute after the fall the post is held.", "0 min", need="o", most="8 h")
    until: Time | None = says(
        "Until which minute after the fall it is held; left out while it goes on.", "5 min", need="o", most="8 h"
    )


@record
class Pair(Node):
    """Two rescuers who practise together."""

    one: Key = says("One of them, by id under rescuers.", "RS-1", default="", required=True, refers_to="rescuers")
    other: Key = says("The other, by id under rescuers.", "RS-2", default="", required=True, refers_to="rescuers")


@record
class Chain(Node):
    """Who does what in the first minutes of this shift, each a post."""

    caller: Name | None = says("The post that calls the emergency number.", "control room")
    backup: Name | None = says("The post that calls if the first does not answer.", "attendant")
    guide: Name | None = says("The post that waits at the gate and leads the ambulance.", "gate operator")
    leader: Name | None = says("The post that takes charge of the rescue.", "supervisor")


@record
class Cover(Node):
    """What happens when a post is absent."""

    drops_first: Name | None = says("The post that is given up first when someone is absent.", "climber")
    closes: Key | None = says("The role that then closes the bay, by its id under roles.", "shift-supervisor", refers_to="roles")


@record
class Shift(Node):
    """Working hours with the people who are there in them."""

    id: Key = says(
        "A short name without spaces for the shift, used wherever the profile points to it.",
        "night",
        default="",
        required=True,
        id_of="shifts",
    )
    name: Name | None = says("The name of the shift as printed.", "Night")
    hours: Name | None = says("Start and end of the shift on the 24-hour clock, in quotation marks.", "22:00-06:00")
    climbing: bool = says("True when people may climb on this shift; when left out, they may.", True, default=True)
    night: bool = says("True when the shift or a part of it lies in the dark.", True, default=False)
    climbers_at_once: int | None = says(
        "How many people may be up at the same time on this shift, in all bays; the supervisor knows.", 2, minimum=0, maximum=1000
    )
    min_persons: int | None = says(
        "The smallest number of people on site during this shift, from the roster.", 4, minimum=1, maximum=10000
    )
    supervisor: Key | None = says(
        "The role in charge on this shift, by its id under roles.", "shift-supervisor", refers_to="roles"
    )
    first_aiders: int | None = says(
        "How many trained first aiders are on this shift, from the roster.", 1, minimum=0, maximum=10000
    )
    gate_attended: bool | None = says("True when someone is at the gate throughout this shift.", True)
    watch: Watch = section(
        "How it is noticed that someone hangs in the harness; the supervisor knows.",
        {"how": "radio", "by": "Control room", "interval": "10 min", "confirm": "1 min"},
    )
    posts: tuple[Post, ...] = says(
        "Each step of each rescue method on a post, and each post on a person.",
        [{"post": "Rescuer 1", "part": "rescuer", "person": "RS-1", "steps": ["M2.attach"]}],
        default=(),
        need="A",
        station="decide",
        papers=(1, 2, 6, 20),
        unique_by="post",
    )
    chain: Chain = section(
        "Who calls, backs up, guides and leads on this shift.",
        {"caller": "control room", "backup": "attendant", "guide": "gate operator", "leader": "supervisor"},
        need="A",
        station="decide",
        papers=(6, 7, 20),
    )
    cover: Cover = section(
        "What happens when a post is absent.",
        {"drops_first": "climber", "closes": "shift-supervisor"},
        need="B",
        station="decide",
        papers=(1, 20),
    )
    pairs: tuple[Pair, ...] = says(
        "Pairs of rescuers who practise together.",
        [{"one": "RS-1", "other": "RS-2"}],
        default=(),
        need="B",
        station="decide",
        papers=(12, 21),
    )


@record
class LivePerson(Node):
    """How long a live person hangs in a practice."""

    minutes: Time | None = says("The longest time that a live person hangs in a practice.", "5 min", most="8 h")


@record
class Training(Node):
    """How people are trained."""

    refresher: units.Interval | None = says("How often users are trained again.", "12 months")
    refresher_basis: RefresherBasis | None = says("Whether that interval is the site's own rule or the law's.", "site-rule")
    topics: tuple[Topic, ...] = says(
        "What the course covers, from the trainer's outline.",
        ["fall-hazards", "procedures", "use-and-inspection"],
        default=(),
        unique=True,
    )
    induction_test: Text | None = says(
        "The test of the site for contractors who may climb.",
        "Hook on, pull test, climb to the deck and come down, seen by the competent person",
        need="B",
        station="decide",
        when="class-climbs",
        papers=(9, 10, 12),
    )
    live_person: LivePerson = section(
        "How long a live person hangs in a practice.", {"minutes": "5 min"}, need="B", station="decide", papers=(9, 10, 12)
    )


@record
class HazardAssessment(Node):
    """The written hazard assessment for protective equipment."""

    by: Name | None = says("The person who certified the assessment, from the certificate.", "P. Lindqvist")
    on: date | None = says("The day of the assessment, from the certificate.", "2026-02-05")
    areas: Text | None = says("The places that were assessed, from the certificate.", "Truck bay and rail spur")
    other: Name | None = says(
        "The number of the certificate for the hazards that are not falls.",
        "HA-2026-04",
        need="B",
        station="decide",
        papers=(14,),
    )


@record
class ClimbLookedAt(Node):
    """One climb a shift is looked at: by whom and how often."""

    by: Key | None = says("The role that looks at one climb, by its id under roles.", "shift-supervisor", refers_to="roles")
    each: units.Interval | None = says("How often one climb is looked at.", "1 day")


@record
class InspectionRow(Node):
    """A row of an inspection by the maker or the site."""

    kind: LookedOver = says("The kind of part.", "harness", default="", required=True)
    look_at: Text = says("What is looked at.", "Stitches of the back ring", default="", required=True)
    takes_out: Text | None = says("What takes the part out of service.", "Two stitches pulled or cut")
    source: Text | None = says("The manual and page, or the rule of the site.", "Manual of H-A, page 16")


@record
class Oversight(Node):
    """How the site sees that the plan is kept, and how it judges whether the plan works."""

    how: Text | None = says(
        "Who looks at the work while it goes on, how often, and where it is noted.",
        "The foreman looks in on a climb once a shift and notes it in the shift log",
    )
    by: Key | None = says("The role that audits the whole program.", "wash-manager", refers_to="roles")
    interval: units.Interval | None = says("How often the program is audited.", "12 months")
    climb_looked_at: ClimbLookedAt = section(
        "One climb a shift is looked at: by whom and how often.",
        {"by": "shift-supervisor", "each": "1 day"},
        need="B",
        station="decide",
        papers=(1, 20, 21),
    )


@record
class Inspection(Node):
    """How equipment is checked and kept, and the hazard assessment behind it."""

    before_use: Text | None = says(
        "Who checks the equipment before use, and when.", "Each user, before first use in each work shift"
    )
    conditions: Text | None = says(
        "The conditions of use that decide how often the maker wants an inspection.",
        "Outdoor bays under a canopy; daily use; dust",
    )
    storage: Text | None = says(
        "Where and how harnesses and devices are kept between uses.", "Harnesses hang in the ready room, dry and out of sunlight"
    )
    hazard_assessment: HazardAssessment = section(
        "The written hazard assessment for protective equipment.",
        {"by": "P. Lindqvist", "on": "2026-02-05", "areas": "Truck bay"},
    )
    maintenance: Text | None = says(
        "Who cleans and repairs the equipment, and how.",
        "Harnesses are washed by hand as the maker says; only the maker repairs devices",
    )
    manuals_at: Text | None = says(
        "Where the makers' instructions that belong to the plan are kept with it.",
        "Binder 2 beside the plan in the wash office",
        administrative=True,
    )
    oversight: Oversight = section(
        "How the site sees that the plan is kept, and how it judges whether the plan works.",
        {"how": "The foreman looks in on each climb once a shift", "by": "wash-manager", "interval": "12 months"},
    )
    rows: tuple[InspectionRow, ...] = says(
        "Rows of an inspection that the maker or the site asks for.",
        [
            {
                "kind": "harness",
                "look_at": "Stitches of the back ring",
                "takes_out": "Two stitches pulled or cut",
                "source": "Manual of H-A, page 16",
            }
        ],
        default=(),
        need="o",
        papers=(13,),
    )
