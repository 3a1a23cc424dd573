"""The profile: vehicles and the tasks on them."""

from __future__ import annotations

from dataclasses import field
from datetime import date
from typing import ClassVar, Literal

from docgen.site.declare import (
    Conditions,
    Force,
    Key,
    Length,
    Name,
    Node,
    SideName,
    Temperature,
    Text,
    Time,
    record,
    says,
    section,
)
from docgen.site.obstacle import Obstacle

__all__ = [
    "Allowance",
    "Alternatives",
    "Barrier",
    "BarrierKind",
    "DeckRange",
    "EdgeKind",
    "Gauge",
    "Hatch",
    "KeptMargin",
    "LowerLevel",
    "MovesWith",
    "Permission",
    "Posture",
    "Protrusion",
    "Side",
    "Struck",
    "Task",
    "Vehicle",
    "VehicleKind",
    "Walk",
]

VehicleKind = Literal["tank-trailer", "railcar", "flatbed", "van-trailer", "straight-truck", "machine", "other"]
Allowance = Literal["allowed", "prohibited", "other-means"]
#: What holds: as the profile says, or closed, where it is allowed in a bay that is closed by decision.
Permission = Literal["allowed", "prohibited", "other-means", "closed"]
Posture = Literal["standing", "kneeling", "lying"]
EdgeKind = Literal["sharp", "rolled", "round", "handrail", "hatch-ring"]
MovesWith = Literal["vehicle"]
BarrierKind = Literal["guardrail", "hoop-rail", "wall", "cage", "grate", "bolted-cover", "locked-lid", "other-fixed"]


@record
class LowerLevel(Node):
    """What a person falling on this side meets first."""

    what: Name | None = says(
        "The highest thing below this edge that a falling person would meet first, as seen on the vehicle.", "hose tray", "slab"
    )
    height: Length | None = says(
        "Height of that thing above the datum, measured on the vehicle.",
        "0 ft",
        {"value": "2.2 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.1 ft"},
        toward="nearest",
    )
    moves_with: MovesWith | None = says(
        "Say vehicle where this lower level is a part of the vehicle, so that it rises and sinks with the deck.",
        "vehicle",
        need="o",
        papers=(2,),
    )


@record
class Walk(Node):
    """Where people go on the vehicle, along it from its front."""

    from_: Length | None = says(
        "Where people begin to go on the vehicle, along it from its front.",
        "6 ft",
        read_off="Tape along the parked vehicle",
        toward="nearest",
    )
    to: Length | None = says(
        "Where they stop, along it from its front.", "40 ft", read_off="Tape along the parked vehicle", toward="nearest"
    )


@record
class Gauge(Node):
    """By what an arriving vehicle is accepted as one of the table."""

    deck_from: Length | None = says(
        "The lowest deck that is accepted.", "11.5 ft", read_off="The measured range of this type", toward="up"
    )
    deck_to: Length | None = says(
        "The highest deck that is accepted.", "12.5 ft", read_off="The measured range of this type", toward="down"
    )
    mark: Text | None = says("The mark on site by which it is judged.", "Two lines on the post at the gate")
    ladder_side: SideName | None = says("The side on which its ladder must be, seen looking toward its front.", "left", need="o")
    lids: int | None = says("How many lids it has on top.", 3, minimum=0, need="o", maximum=100)
    by: Key | None = says("The role that accepts it, by its id under roles.", "attendant", refers_to="roles")


@record
class Barrier(Node):
    """Something fixed that stops a person at an edge or over an opening. What only asks people to stop is none: a line, a sign, a rule."""

    kind: BarrierKind | None = says(
        "What kind of fixed thing it is, as seen on the vehicle; where none of these is there, nothing stops a person.",
        "guardrail",
        required=True,
    )
    what: Text | None = says(
        "What it is and where it stands, in one statement.", "Fixed hoop rail across the front end of the walkway", required=True
    )
    height: Length | None = says(
        "Height of its top over the surface that people stand on; asked for at an edge, not of a cover over an opening.",
        {"value": "3.5 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.05 ft"},
        read_off="Tape from the surface to the top rail, from a platform",
        when="found",
        toward="down",
    )
    load: Force | None = says(
        "The outward force that its top bears, of a cover the load on it, from the maker's paper or a test; asked for at an edge, not of a wall or of a cover.",
        {"value": "200 lbf", "how": "manual", "by": "competent-person", "on": "2026-03-02"},
        read_off="Paper of the maker of the vehicle or of the rail, or a pull test",
        when="found",
        toward="down",
    )
    always_up: bool | None = says(
        "True when it stands whenever anyone is up: fixed, or raised and locked before anyone climbs; asked for at an edge, not of a wall.",
        True,
        read_off="Looked at on the vehicle: a rail that folds, and who raises it",
        when="found",
    )


@record
class Hatch(Node):
    """An opening in the top that a person can fall into."""

    at: Length | None = says(
        "Where it is, along the vehicle from its front.", "12 ft", read_off="Tape along the parked vehicle", toward="nearest"
    )
    size: Length | None = says(
        "Its clear width.",
        "1.7 ft",
        read_off="Tape across the open lid, from the walkway of a platform",
        toward="nearest",
        above=0,
        most="30 ft",
    )
    lower: Length | None = says(
        "Height of what a person would land on inside, above the datum of the bay.",
        "5.0 ft",
        read_off="Drawing of the vehicle",
        toward="nearest",
    )
    inside: Name | None = says("What a person would land on inside.", "bottom of the tank", need="o")
    stopped_by: Barrier = section(
        "What physically keeps a person from falling in while the lid is open; left out where nothing does.",
        {"kind": "grate", "what": "Bar grate locked in the opening"},
        need="o",
    )


@record
class Side(Node):
    """A side a person can fall to. `edge` is the distance from the vehicle centreline (or last stop) to that edge."""

    side: SideName = says("Which side, seen looking toward the front of the vehicle.", "left", required=True)
    edge: Length | None = says(
        "Distance from the vehicle centreline to this edge, or to the front or rear edge from the last place of work, measured on the vehicle.",
        "1.5 ft",
        "0.45 m",
        need="A",
        papers=(2,),
        station="deck",
        when="open-side",
        read_off="Tape across the parked vehicle, from a platform",
        toward="nearest",
        most="100 ft",
    )
    stopped_by: Barrier = section(
        "What physically keeps a person from reaching this edge; left out where nothing does.",
        {
            "kind": "hoop-rail",
            "what": "Fixed hoop rail across the front end of the walkway",
            "height": "3.5 ft",
            "load": "200 lbf",
            "always_up": True,
        },
        need="o",
    )
    lower: LowerLevel = section("What a person falling on this side meets first.", {"what": "hose tray", "height": "2.2 ft"})
    edge_top: Length | None = says(
        "Height of the highest thing over which the line may bear at this edge, coaming and handrail included, above the datum.",
        "12.0 ft",
        need="A",
        station="deck",
        when="open-side",
        papers=(2, 19),
        read_off="Pole or laser from the slab",
        toward="nearest",
    )
    edge_kind: EdgeKind | None = says(
        "What kind of edge it is.",
        "rolled",
        need="A",
        station="deck",
        when="open-side",
        papers=(2, 19),
        read_off="Looked at from a platform; photograph",
    )

    @property
    def lower_at(self) -> str:
        """Where the profile gives the height of the lower level."""
        return f"{self.path}.lower.height"


@record
class Protrusion(Obstacle):
    """Something that stands out from a vehicle."""


@record
class DeckRange(Node):
    """How the deck springs between empty and loaded."""

    empty: Length | None = says(
        "Height of the deck with the vehicle empty, above the datum.",
        "11.8 ft",
        read_off="Pole or laser, vehicle empty",
        toward="nearest",
    )
    loaded: Length | None = says(
        "Height of the deck with the vehicle loaded, above the datum.",
        "11.5 ft",
        read_off="Pole or laser, vehicle loaded",
        toward="nearest",
    )


@record
class Vehicle(Node):
    """A kind of vehicle that is climbed on, with its surface and edges."""

    id: Key = says(
        "A short name without spaces for the type of vehicle, used wherever the profile points to it.",
        "tanker",
        default="",
        required=True,
        id_of="vehicles",
    )
    name: Name = says("The name of the vehicle type as the crew says it.", "Tank trailer", default="", required=True)
    kind: VehicleKind | None = says("The kind of vehicle or machine.", "tank-trailer")
    deck: Length | None = says(
        "Height above the datum of the surface that people stand on, measured on the highest vehicle of the type; the tolerance covers empty to loaded.",
        "3.5 m",
        {"value": "11.5 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.3 ft"},
        toward="nearest",
    )
    surface: Text | None = says("What people stand on, as seen on the vehicle.", "Walkway grating along the tank crown")
    edge_guarded: bool = says(
        "True when the edges that a line could bear on are rounded or padded, as felt by hand on the vehicle; the arrest distance over an edge counts all the same.",
        False,
        default=False,
    )
    changed_on: date | None = says(
        "The day on which this kind of vehicle last changed in a way that moves heights or edges.", "2026-01-12"
    )
    sides: tuple[Side, ...] = says(
        "The sides a person can fall to, one record a side, measured on the vehicle.",
        [{"side": "left", "edge": "1.5 ft", "lower": {"what": "fender", "height": "4.0 ft"}}],
        unique_by="side",
        default=(),
    )
    protrusions: tuple[Protrusion, ...] = says(
        "Things that stick out of the vehicle below the deck and that a person could strike, measured on the vehicle.",
        [
            {
                "id": "ladder-stub",
                "what": "Ladder stub",
                "side": "rear",
                "from": "0.5 ft",
                "to": "1.5 ft",
                "bottom": "3 ft",
                "top": "6 ft",
            }
        ],
        unique_by="id",
        default=(),
        need="A",
        station="deck",
        papers=(2,),
        read_off="Walk round the vehicle and look at everything that stands out below the deck",
    )
    length: Length | None = says(
        "Length of the vehicle over which people could go, front to rear.",
        "42 ft",
        need="A",
        station="deck",
        papers=(1, 2),
        read_off="Tape along the parked vehicle",
        toward="nearest",
        most="1000 ft",
    )
    walk: Walk = section(
        "Where people go on the vehicle, along it from its front.",
        {"from": "6 ft", "to": "40 ft"},
        need="A",
        station="deck",
        papers=(1, 2),
    )
    gauge: Gauge = section(
        "By what an arriving vehicle is accepted as this type, and by whom.",
        {"deck_from": "11.5 ft", "deck_to": "12.5 ft", "mark": "Two lines on the post at the gate", "by": "attendant"},
        need="A",
        station="deck",
        papers=(1, 8, 20),
    )
    deck_range: DeckRange = section(
        "How the deck springs between empty and loaded.",
        {"empty": "11.8 ft", "loaded": "11.5 ft"},
        need="B",
        station="deck",
        papers=(2,),
    )
    hatches: tuple[Hatch, ...] = says(
        "Openings in the top that a person can fall into.",
        [{"at": "12 ft", "size": "1.7 ft", "lower": "5.0 ft"}],
        default=(),
        need="A",
        station="deck",
        papers=(1, 2, 6),
    )


@record
class Alternatives(Node):
    """The ways that need no fall arrest, each with the reason why it is not used here; the manager decides."""

    ground: Text | None = says(
        "Why the work is not done from the ground, or the word possible.", "The valves of these cars are on top only"
    )
    platform: Text | None = says(
        "Why a fixed or rolling platform is not used, or the word possible.", "The rack serves one car position of four"
    )
    guardrail: Text | None = says(
        "Why a guardrail is not used, or the word possible.", "The loading arm swings through the place where a rail would stand"
    )
    restraint: Text | None = says(
        "Why a line that stops short of the edge is not used, or the word possible.",
        "A line short enough for the edge would not reach the rear manlid",
    )


@record
class Struck(Node):
    """What the qualified person wrote on an object in the arc of a swing."""

    object: Name = says(
        "What would be struck: the id of an obstruction or a protrusion, flank for the side of the vehicle, or ladder-top for what is met off the top of the ladder.",
        "flank",
        "ladder-top",
        "neighbour",
        default="",
        required=True,
    )
    drop: Length | None = says(
        "The drop of the swing for which it was written, as the engineering record gives it; at a longer one it no longer holds.",
        "1.4 ft",
        required=True,
        read_off="The engineering record, what the swing meets",
        toward="down",
        least="0 ft",
        most="100 ft",
    )
    text: Text | None = says(
        "What was padded or moved, or why it is tolerable.", "Foam of 4 in on the upper rail of the tank frame", required=True
    )
    by: Name | None = says("The qualified person who wrote it.", "T. Maran", required=True)
    on: date | None = says("The day on which it was written.", "2026-01-14", required=True)


@record
class KeptMargin(Node):
    """The qualified person's record of a margin that is kept after tolerances."""

    case: Name = says("The case, as the engineering record names it.", "load.kneeling.left", default="", required=True)
    keeps: Length | None = says("What is kept after tolerances.", "0.89 m", required=True, most="100 ft", toward="down")
    of: Length | None = says("The margin in force.", "0.90 m", required=True, least="0 ft", most="100 ft", toward="down")
    by: Name | None = says("The qualified person who recorded it.", "T. Maran", required=True)
    on: date | None = says("The day on which it was recorded.", "2026-01-14", required=True)


@record
class Task(Node):
    """Work on one kind of vehicle in one bay, and whether it may be done with the rail system."""

    conditions: ClassVar[Conditions] = (("permission", "prohibited", ("reason",)), ("permission", "other-means", ("instead",)))

    id: Key = says(
        "A short name without spaces for the task, used in findings and case numbers.",
        "load",
        default="",
        required=True,
        id_of="tasks",
    )
    name: Name = says("What is done, in the words of the crew.", "Open the manlid, connect the loading arm and close", default="")
    bay: Key = says("The bay in which it is done, by its id under bays.", "B1", default="", required=True, refers_to="bays")
    vehicle: Key = says(
        "The type of vehicle on which it is done, by its id under vehicles.",
        "tanker",
        default="",
        required=True,
        refers_to="vehicles",
    )
    permission_: Allowance = says(
        "Whether the task may be done with this rail system, may not be done, or is done by other means; the manager decides.",
        "allowed",
        "prohibited",
        default="allowed",
    )
    reason: Text | None = says(
        "Why the task is prohibited, as printed in the plan.", "The deck is too low for the device to stop a fall before the slab"
    )
    instead: Text | None = says(
        "How the work is done when the rail system is not used for it.", "Loads are tarped from the ground at the tarping lane"
    )
    postures: tuple[Posture, ...] = says(
        "The postures in which people work, as watched on site; kneeling and lying are computed standing too.",
        ["standing", "kneeling"],
        default=(),
        unique=True,
    )
    reach_from_centreline: Length | None = says(
        "How far from the vehicle centreline the attachment point of the harness gets while people work, as watched and measured on site.",
        "2.0 ft",
        "0.6 m",
        need="A",
        papers=(2,),
        station="deck",
        toward="nearest",
        most="100 ft",
    )
    past_end_stop: Length | None = says(
        "How far beyond the end stop of the rail a person works along the vehicle, measured on site.",
        "1.5 ft",
        "0 m",
        toward="nearest",
        most="100 ft",
    )
    duration: Time | None = says("How long one person is on the vehicle for this task, timed on site.", "12 min")
    frequency: Name | None = says("How often the task is done, from the operations log.", "about 14 a day")
    alternatives: Alternatives = section(
        "The ways that need no fall arrest, each with the reason why it is not used here; the manager decides.",
        {"ground": "The valves are on top only"},
    )
    temperature_min: Temperature | None = says(
        "The lowest temperature at which the task is done; outside a building the posted limit counts where it is lower.",
        "-20 \u00b0F",
        need="B",
        station="decide",
        when="outdoors",
        papers=(1, 2),
        toward="up",
    )
    struck: tuple[Struck, ...] = says(
        "What the qualified person wrote on objects in the arc of a swing.",
        [{"object": "flank", "drop": "1.4 ft", "text": "Foam of 4 in on the tank frame", "by": "T. Maran", "on": "2026-01-14"}],
        default=(),
        need="B",
        station="engineer",
        when="found",
        papers=(2,),
    )
    kept_margins: tuple[KeptMargin, ...] = says(
        "Margins kept after tolerances that the qualified person recorded.",
        [{"case": "load.kneeling.left", "keeps": "0.89 m", "of": "0.90 m", "by": "T. Maran", "on": "2026-01-14"}],
        default=(),
        need="B",
        station="engineer",
        when="found",
        papers=(2,),
    )
    shut: bool = field(default=False)  # its bay is closed by decision

    @property
    def permission(self) -> Permission:
        """What holds: the permission as the profile gives it, or closed with its bay."""
        return "closed" if self.shut and self.permission_ == "allowed" else self.permission_
