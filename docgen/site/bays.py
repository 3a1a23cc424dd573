"""The profile: the bays."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen.site.declare import (
    Angle,
    FileKey,
    Force,
    Key,
    Length,
    Name,
    Node,
    SecondMoment,
    SectionModulus,
    SideName,
    Stress,
    Text,
    Voltage,
    record,
    says,
    section,
)
from docgen.site.obstacle import Obstacle

__all__ = [
    "Across",
    "AlongRail",
    "AsBuilt",
    "Attendant",
    "Bay",
    "BayHazards",
    "BayPhone",
    "BayRail",
    "Closed",
    "ControlStep",
    "Crossing",
    "CrossingKind",
    "Danger",
    "Electrical",
    "EnergyStep",
    "Hangers",
    "HookUp",
    "LadderControl",
    "LadderOwner",
    "LadderPlace",
    "LaterLoad",
    "Lighting",
    "LineAtHookUp",
    "MarkedArea",
    "Meter",
    "Obstruction",
    "OverheadLine",
    "Parking",
    "Product",
    "RailBeam",
    "RailStop",
    "RedStop",
    "Release",
    "RescueAnchor",
    "SameRail",
    "Setting",
    "Sideways",
    "StepSign",
    "Survey",
    "VehicleControl",
    "WindMeter",
]

Setting = Literal["indoor", "canopy", "outdoor"]
Across = Literal["left", "right"]
Danger = Literal["fire", "gas", "spill", "live-wire", "moving", "loose-solids"]
StepSign = Literal["brake", "chocks", "lockbox", "own-lock", "derail", "blue-signal", "other"]
EnergyKind = Literal["static", "lockout", "permit", "gas-test", "vent", "other"]
LadderOwner = Literal["site", "vehicle"]
CrossingKind = Literal["bay", "vehicle", "ladder", "platform"]
LadderControl = Literal["cage", "ladder-device", "gangway", "rail-lowered", "shorter-device"]


@record
class BayRail(Node):
    """The overhead rail: where it runs and how it behaves, from the survey and the drawing."""

    part: Key | None = says("The rail over this bay, by its id under equipment.", "R-1", refers_to="equipment")
    underside: Length | None = says(
        "Height of the underside of the rail above the datum of the bay, measured on site at the lowest point of the work area.",
        "25 ft",
        {"value": "7.62 m", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.03 m"},
        toward="nearest",
    )
    offset: Length | None = says(
        "Distance across from the centreline of a correctly parked vehicle to the rail, measured on site.",
        "0.15 m",
        {"value": "0.5 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
        toward="nearest",
    )
    offset_toward: Across | None = says(
        "The side of the vehicle toward which the rail is offset, seen looking toward its front.", "right"
    )
    line_exit_below_rail: Length | None = says(
        "Length from the underside of the rail down to the point where the line leaves the housing of the device, measured on site.",
        {"value": "1.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
        above=0,
        toward="nearest",
        most="100 ft",
    )
    trolley_lag: Length | None = says(
        "How far the trolley stays behind the user along the rail before it follows, measured by walking the line on site.",
        {"value": "2.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
        toward="nearest",
        most="100 ft",
    )
    deflection: Length | None = says(
        "How far the rail bends down when it stops a fall, from the designer's calculation.",
        {"value": "0.1 ft", "how": "design", "by": "qualified-person", "on": "2025-02-11"},
        toward="up",
        most="100 ft",
    )
    deflection_load: Force | None = says(
        "The force under which the rail bends so far, from the same calculation.",
        {"value": "1800 lbf", "how": "design", "by": "qualified-person", "on": "2025-02-11"},
        read_off="The designer's calculation",
        toward="down",
        most="100,000 lbf",
    )
    beam: RailBeam = section(
        "Span and section of the rail, by which its bending is checked; the drawing and the table of sections give them.",
        {"span": "20 ft", "second_moment": "59.3 in^4", "section_modulus": "14.8 in^3", "modulus": "29,000 ksi"},
        need="o",
        papers=(2,),
    )
    length: Length | None = says(
        "Length of the rail between its end stops, measured on site or read off the drawing.",
        "60 ft",
        need="A",
        papers=(2,),
        station="rail",
        read_off="Tape along the rail, or the drawing",
        toward="nearest",
        most="10,000 ft",
    )
    spans: int | None = says("The number of spans between supports, read off the drawing.", 3, minimum=1, maximum=1000)
    rated_users_per_span: int | None = says(
        "How many people may be attached in one span at a time, from the rail's manual or label.", 1, minimum=1, maximum=1000
    )
    span_stops: bool | None = says(
        "True when fixed stops keep the trolleys in spans of their own, so that two users never share one.", True
    )
    end_stops: bool | None = says(
        "True when both ends of the rail have a stop that the trolley cannot pass, seen on the site walk.", True
    )
    hangers: Hangers = section(
        "Where the first and the last hanger of the rail are, along the rail.",
        {"first": "1.0 ft", "last": "59 ft"},
        need="A",
        station="rail",
        papers=(2,),
    )
    as_built: AsBuilt = section(
        "How level the rail is as built, and whether a free trolley rolls.",
        {"slope": "0.02 ft", "free_roll": False, "by": "T. Maran", "on": "2025-02-20"},
        need="B",
        station="engineer",
        papers=(2,),
    )
    stops: tuple[RailStop, ...] = says(
        "Each end stop of the rail, and what it rests on.",
        [{"at": "north end", "part": "ES-1", "basis": "Part of the tested rail, manual page 14"}],
        default=(),
        need="A",
        station="rail",
        papers=(2, 13),
    )


@record
class AlongRail(Node):
    """Where a vehicle stands along the rail."""

    front: Length | None = says(
        "Where the front of a correctly parked vehicle stands along the rail, from its first end; below zero where it stands before that end.",
        {"value": "8.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.1 ft"},
        read_off="Plumb line from the first end of the rail; tape along the slab to the stop mark",
        toward="nearest",
    )
    off: Length | None = says(
        "How far before or behind that place a vehicle may stand, measured on site against the marks.",
        {"value": "1.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
        toward="down",
    )
    either_way: bool | None = says(
        "True when vehicles also stand the other way round, so that the rear is where the front is otherwise.",
        False,
        read_off="Ask the supervisor of each shift",
    )


@record
class Parking(Node):
    """How exactly vehicles are parked under the rail."""

    lateral: Length | None = says(
        "How far to either side of the right place a vehicle may stand, measured on site against the marks.",
        {"value": "1.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
        toward="down",
        most="100 ft",
    )
    along: AlongRail = section(
        "Where a vehicle stands along the rail.",
        {"front": "8.0 ft", "off": "1.0 ft", "either_way": False},
        need="A",
        papers=(1, 2),
        station="parking",
    )
    marks: Text | None = says("What shows the driver where to stop, as seen on site.", "Painted box and wheel guides on the slab")


@record
class LineAtHookUp(Node):
    """How tight the line runs at hook-up and on the climb, and who looks."""

    slack: Length | None = says(
        "The most slack that the line has at hook-up or on the climb: a loop, a line caught or tied back, a hook let run.",
        {"value": "0.5 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
        read_off="Hook up as in use, take the loop in hand and measure it",
        toward="nearest",
        most="100 ft",
    )
    tight_by: Key | None = says(
        "The role that looks, before each climb, whether the line runs tight and free, by its id under roles.",
        "attendant",
        refers_to="roles",
    )


@record
class HookUp(Node):
    """Where and how a person connects before climbing."""

    at_ground: bool | None = says("True when the user connects with both feet still on the ground, as tried on site.", True)
    how: Text | None = says(
        "How the user gets hold of the hook and connects, in one statement.",
        "A tagline brings the hook down to the foot of the ladder",
        need="A",
        papers=(1,),
        station="ladder",
    )
    line: LineAtHookUp = section(
        "How tight the line runs at hook-up and on the climb, and who looks.",
        {"slack": "0.5 ft", "tight_by": "attendant"},
        need="A",
        papers=(1, 2, 8),
        station="ladder",
    )


@record
class VehicleControl(Node):
    """How the vehicle is kept from moving while someone is on it; the operations lead knows."""

    steps: tuple[ControlStep, ...] = says(
        "What is done to hold the vehicle still, in order, with who does and who undoes each step.",
        [
            {"do": "set the parking brake", "kind": "brake", "by": "driver", "undone_by": "driver"},
            {"do": "put the keys in the bay lockbox", "kind": "lockbox", "by": "driver", "undone_by": "shift-supervisor"},
        ],
        default=(),
        need="A",
        station="parking",
        papers=(1, 4, 8),
    )


@record
class OverheadLine(Node):
    """The nearest overhead power line, when there is one."""

    distance: Length | None = says(
        "The shortest distance from a person at work, or from what they handle, to the nearest power line, measured on site or given by the utility.",
        "32 ft",
        "10 m",
        toward="down",
    )
    voltage: Voltage | None = says("The voltage of that line, as the utility states it.", "12.5 kV")
    measures: Text | None = says(
        "What keeps people and tools away from the line, as agreed with the utility.",
        "Insulated covers fitted by the utility; long metal poles are not allowed in the bay",
    )


@record
class Electrical(Node):
    """Electrical hazards of the bay; the site electrician knows."""

    classified: Text | None = says(
        "The hazardous-location class of the bay and how far it reaches, from the area classification drawing, or the word none.",
        "Class I, Division 2 within 3 ft of an open manlid",
        "none",
    )
    determined: Text | None = says(
        "Who determined that class, or that there is none, when and on what basis.",
        "Area classification drawing E-04 of 2026-01-12, by the electrical engineer",
        read_off="Area classification drawing",
        need="o",
    )
    devices_suitable: bool | None = says(
        "True when the maker's papers show that the devices and radios may be used in that class.", True
    )
    overhead_lines: Text | None = says(
        "The power lines over or beside the bay in words, or the word none, as seen on the site walk.",
        "none",
        "One line along the east fence",
    )
    line: OverheadLine = section(
        "The nearest overhead power line, when there is one.", {"distance": "32 ft", "voltage": "12.5 kV"}
    )
    energised: Text | None = says(
        "Live electrical parts within reach of a person at work or in the path of a fall, or the word none, from the site electrician.",
        "none",
        "Heater cable terminals on the rack, locked out before climbing",
    )


@record
class BayHazards(Node):
    """Other hazards of the place where the work is done."""

    flowing_solids: bool | None = says(
        "True when a person could fall into loose material that can flow and bury them, as operations know.", False
    )
    solids_control: Text | None = says(
        "What keeps a person out of flowing material, when there is any.",
        "A grate covers each hopper opening while the hatch is open",
    )
    sloped_surface: bool | None = says("True when people stand or walk on a sloped or curved surface, as seen on site.", False)
    slope: Angle | None = says(
        "The steepest slope of that surface where people go, measured with a level on site.",
        "20 deg",
        read_off="Digital level",
        toward="nearest",
        least="0 deg",
        most="60 deg",
    )
    wet_deck: Text | None = says(
        "What a climber does where a deck is wet, oily or slippery, as one order.",
        "Have the deck swept dry before you step on it",
        need="o",
        papers=(1, 8, 10),
    )
    dangerous_equipment_below: bool | None = says(
        "True when machinery, open tanks or other dangerous equipment lie under the work, as seen on site.", False
    )
    water_below: bool | None = says("True when a person could fall into water, as seen on site.", False)
    corrosives: tuple[str, ...] = says(
        "Substances in the bay that attack lines, webbing or metal, by the names that the instructions use.",
        ["caustic"],
        default=(),
        unique=True,
        each="caustic",
        min_length=2,
        max_length=60,
    )


@record
class Lighting(Node):
    """Light for work in the dark."""

    night_work: bool | None = says("True when people climb in this bay in the dark; the shift supervisors know.", True)
    level: Name | None = says("The light level and where it was measured, from a light meter.", "150 lux at the walkway")
    measured_on: date | None = says("The day on which the light was measured.", "2026-03-02")


@record
class Survey(Node):
    """The survey that the figures of this bay rest on."""

    by: Name | None = says("Who surveyed the bay: a role or a name.", "safety-manager")
    on: date | None = says("The day of the survey, from the field sheet.", "2026-03-02")
    instrument: Name | None = says("What the heights and distances were measured with.", "laser distance meter")
    last_surface_change: date | None = says(
        "The day on which the ground, track or rail was last changed, from the works record.", "2024-06-01"
    )


@record
class Obstruction(Obstacle):
    """Something fixed in the bay."""


@record
class Closed(Node):
    """A bay closed by decision: nobody climbs there, and every paper of the bay says so."""

    by: Key | None = says(
        "The role that closed the bay, by its id under roles.", "terminal-manager", required=True, refers_to="roles"
    )
    on: date | None = says("The day on which it was closed.", "2026-10-02", required=True)
    reason: Text | None = says("Why the bay is closed, in one statement.", "The rail is being replaced", required=True)


@record
class BayPhone(Node):
    """The telephone of the bay, for a person without a radio."""

    place: Name | None = says(
        "Where a person without a radio can call from.",
        "Wall beside the east door of the bay",
        read_off="Walk from the ladder to the nearest telephone",
    )
    area_allows: bool | None = says(
        "True when a telephone may be used at that place under the area class.", True, read_off="The area classification drawing"
    )
    sees_person: bool | None = says(
        "True when whoever calls there sees the person who hangs.", True, read_off="Stand at the telephone and look"
    )


@record
class RedStop(Node):
    """The red stop button of the bay."""

    place: Name | None = says(
        "Where the red stop button is, or none.", "Post at the foot of the ladder", read_off="Seen on the site walk"
    )
    stops: Text | None = says("What it stops.", "Loading pump and conveyor", read_off="Ask the electrician; press it in a test")


@record
class MarkedArea(Node):
    """The area in which nobody but the people of the work may stand."""

    name: Name | None = says(
        "What the marked area is called, as it is painted or roped.", "painted box", read_off="Seen on the site walk"
    )
    how: Text | None = says("How the area is marked.", "A yellow line on the slab, and a rope at the truck side")


@record
class Attendant(Node):
    """Who watches the climber without a break."""

    role: Key | None = says(
        "The role that watches the climber without a break, by its id under roles.", "attendant", refers_to="roles"
    )
    how: Text | None = says(
        "How that person watches.",
        "On the ground in sight of the climber, with a radio",
        read_off="Ask the supervisor of each shift",
    )


@record
class ControlStep(Node):
    """What is done to hold the vehicle still, in order, with who does and who undoes each step."""

    do: Text = says(
        "One thing that is done before anyone climbs, as a verb with its object.",
        "set the parking brake",
        "lock the derail at the spur switch",
        default="",
        required=True,
    )
    kind: StepSign | None = says(
        "What kind of step it is; lockbox where the keys are locked away, own-lock where a climber puts on a lock of one's own.",
        "brake",
        read_off="Watch a climb being prepared",
        need="o",
    )
    by: Key | None = says(
        "Who does it: a role by its id under roles, or a class of contractors by its id.",
        "driver",
        refers_to=("roles", "contractor_classes"),
        read_off="Ask the supervisor of each shift",
    )
    undone_by: Key | None = says(
        "Who undoes it before the vehicle is released: a role by its id under roles, or a class of contractors by its id.",
        "driver",
        refers_to=("roles", "contractor_classes"),
        read_off="Ask the supervisor of each shift",
        need="A",
        papers=(1, 4, 8),
        station="parking",
    )


@record
class Release(Node):
    """How a vehicle is released after a climb."""

    look_at: tuple[Text, ...] = says(
        "What must be clear before a vehicle is released, each as one short statement.",
        ["all are down", "the hook is up", "lids are shut"],
        default=(),
    )
    words: Text | None = says("The words by which the vehicle is released.", "Truck bay released")
    clear_words: Text | None = says(
        "The words by which the attendant says that the bay is clear.", "Truck bay, all clear", need="o"
    )
    by: Key | None = says("The role that releases, by its id under roles.", "shift-supervisor", refers_to="roles")
    signs: Key | None = says("The role that signals to the driver, by its id under roles.", "attendant", refers_to="roles")


@record
class EnergyStep(Node):
    """Steps against energy and product before a climb: static, lockout, permit, gas test, pressure vented."""

    step: Text = says(
        "One step against energy or product before a climb, as a verb with its object.",
        "earth the trailer",
        default="",
        required=True,
    )
    by: Key | None = says(
        "Who does it: a role by its id under roles, or a class of contractors by its id.",
        "driver",
        required=True,
        refers_to=("roles", "contractor_classes"),
    )
    kind: EnergyKind | None = says(
        "What kind of step it is: static, lockout, permit, gas-test, vent or other; a lockout, a permit and a gas test have lines on the shift sheet for what was read or issued.",
        "gas-test",
        need="o",
        papers=(20,),
    )
    undo: Text | None = says(
        "What undoes it before the vehicle is released, by whoever did it, as a verb with its object; left out where nothing is undone.",
        "disconnect the earthing cable",
        need="o",
    )


@record
class FlowStep(Node):
    """One step of a transfer of product between two climbs, so that nobody is up while product flows."""

    step: Text = says("One step, as a verb with its object.", "start the loading pump", default="", required=True)
    by: Key | None = says(
        "Who does it: a role by its id under roles, or a class of contractors by its id; left out, the climber.",
        "shift-supervisor",
        refers_to=("roles", "contractor_classes"),
    )


@record
class Product(Node):
    """What the vehicles in this bay hold."""

    name: Name | None = says(
        "What the vehicle holds, for the ambulance and for breathing protection.", "Diesel fuel", read_off="Shipping papers"
    )
    state: Name | None = says("Its state: liquid, powder, gas, vapor over liquid, empty and cleaned.", "liquid", need="o")


@record
class Meter(Node):
    """The instrument by which rescuers are let in, and who holds it."""

    what: Name | None = says("What the instrument measures.", "Gas meter, four gases", read_off="The label of the instrument")
    holder: Key | None = says(
        "The role that holds the meter and says when rescuers may go in, by its id under roles.",
        "shift-supervisor",
        refers_to="roles",
    )
    place: Name | None = says("Where the meter is kept.", "Control room, charger 2")
    limit: Text | None = says(
        "What the instrument shows when rescuers may go in, gas by gas, as the site's own rule says.",
        "oxygen 19.5 to 23.5 percent, vapor below 10 percent of its lower explosive limit",
    )


@record
class Sideways(Node):
    """A sideways limit narrower than the deck, and what marks it."""

    limit: Length | None = says(
        "How far to the side of the rail a climber may stand, where that is narrower than the deck.",
        {"value": "2.0 ft", "how": "design", "by": "qualified-person", "on": "2026-01-12"},
        toward="down",
    )
    marker: Text | None = says("What the climber sees or touches at deck height at that limit.", "Edge of the walkway")


@record
class LadderPlace(Node):
    """The ladder by which people climb, and what protects them on it."""

    owner: LadderOwner | None = says(
        "Whose ladder is used: one of the site, or that of the vehicle.", "site", read_off="Seen on the site walk"
    )
    side: SideName | None = says("The side of the vehicle on which people climb, seen looking toward its front.", "left")
    offset: Length | None = says(
        "Distance across from under the rail to the ladder, measured on site.",
        {"value": "4.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-01-12"},
        read_off="Tape from a plumb line under the rail",
        toward="nearest",
    )
    at: Length | None = says(
        "Where the ladder is along the rail, from its first end, with the vehicle parked right.",
        {"value": "20.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-01-12"},
        read_off="Plumb line from the first end of the rail; tape along the slab to the ladder",
        toward="nearest",
    )
    trolley_lag: Length | None = says(
        "How far the trolley stands along the rail from the ladder when a person begins to climb.",
        "2.0 ft",
        read_off="Pull the trolley to the ladder as in use and measure",
        need="o",
        toward="nearest",
    )
    mark_on: Name | None = says(
        "What the red mark is painted on: a post, or the ladder of the site; never the ladder of a vehicle.",
        "Post beside the ladder",
        need="o",
    )
    control: LadderControl | None = says("What protects a person on the ladder below the red mark.", "cage")
    device: Key | None = says(
        "The device with a shorter stopping distance that protects on the ladder, by its id under equipment.",
        "D-3",
        refers_to="equipment",
        need="B",
        station="ladder",
        when="shorter-device",
        papers=(1, 2),
    )


@record
class RailBeam(Node):
    """Span and section of the rail, by which its bending is checked; the drawing and the table of sections give them."""

    span: Length | None = says(
        "The longest span between two supports of the rail.",
        "20 ft",
        read_off="The drawing",
        above=0,
        most="300 ft",
        toward="nearest",
    )
    second_moment: SecondMoment | None = says(
        "Second moment of area of the rail for bending down.",
        "59.3 in^4",
        "2470 cm^4",
        read_off="The table of sections",
        toward="down",
    )
    section_modulus: SectionModulus | None = says(
        "Elastic section modulus of the rail for bending down.",
        "14.8 in^3",
        "243 cm^3",
        read_off="The table of sections",
        toward="down",
    )
    modulus: Stress | None = says(
        "Modulus of elasticity of the rail.",
        "29,000 ksi",
        "200 GPa",
        read_off="The calculation",
        toward="down",
        least="1 GPa",
        most="1000 GPa",
    )
    allowed_stress: Stress | None = says(
        "The bending stress that the engineer allows in the arrest.",
        "30 ksi",
        "200 MPa",
        read_off="The calculation",
        toward="down",
        most="60 ksi",
    )


@record
class Crossing(Node):
    """A way from one climbing place to another that does not come down to the ground."""

    to: Name = says("Where people go from here without coming down.", "next car of the string", default="", required=True)
    kind: CrossingKind | None = says(
        "What that place is; ladder where one protection on the ladder is changed for the rail on top.", "vehicle"
    )
    attached: bool | None = says(
        "True when a person is attached all the time on that way, the second line hooked on before the first comes off.", True
    )
    how: Text | None = says(
        "How the person stays attached, in one statement.", "The hook of the second device goes on before the first comes off"
    )


@record
class Hangers(Node):
    """Where the first and the last hanger of the rail are, along the rail."""

    first: Length | None = says(
        "Distance along the rail from its first end, toward which the front of a parked vehicle points, to the first hanger.",
        "1.0 ft",
        read_off="Tape along the rail, or the drawing",
        toward="nearest",
    )
    last: Length | None = says(
        "Distance along the rail from its first end to the last hanger.",
        "59 ft",
        read_off="Tape along the rail, or the drawing",
        toward="nearest",
    )


@record
class AsBuilt(Node):
    """How level the rail is as built, and whether a free trolley rolls."""

    slope: Length | None = says(
        "How far one end of the rail lies below the other, as built.",
        "0.02 ft",
        read_off="The as-built survey",
        toward="nearest",
    )
    free_roll: bool | None = says(
        "True when a free trolley rolls by itself.", False, read_off="Let an empty trolley go at the middle of the rail"
    )
    by: Name | None = says("Who surveyed the rail as built.", "T. Maran")
    on: date | None = says("The day of that survey.", "2025-02-20")


@record
class RailStop(Node):
    """Each end stop of the rail, and what it rests on."""

    at: Name = says("Which end the stop is at.", "north end", default="", required=True)
    part: Key | None = says("The stop, by its id under equipment.", "ES-1", refers_to="equipment", need="o")
    basis: Text | None = says(
        "The maker's rating of the stop, or the words that it is part of the tested rail, with the page.",
        "Part of the tested rail, manual page 14",
        read_off="The rail's manual",
    )


@record
class RescueAnchor(Node):
    """Anchors for rescuers and their kits; without one the method that needs it falls away."""

    id: Key = says(
        "A short name without spaces for the anchor; the site chooses it.",
        "RA-1",
        default="",
        required=True,
        id_of="rescue_anchors",
    )
    place: Name | None = says(
        "Where the anchor is, in the words used on site.", "north plate on the frame", read_off="Seen on the site walk"
    )
    strength: Force | None = says(
        "The force that the anchor bears, from its drawing or its plate.",
        {"value": "3600 lbf", "how": "design", "by": "qualified-person", "on": "2025-02-11"},
        read_off="Drawing or plate",
        toward="down",
    )
    persons: int | None = says("How many people may hang from it.", 1, minimum=1, maximum=50)
    load: Force | None = says(
        "The load of all who hang on it at a time, as the qualified person designed it for; for an anchor that bears less than the figure of practice for each person.",
        {"value": "700 lbf", "how": "design", "by": "qualified-person", "on": "2025-02-11"},
        need="o",
        papers=(2,),
        toward="down",
    )
    height: Length | None = says(
        "The height of the anchor above the datum; when left out, that of the rail is taken.",
        "26 ft",
        need="o",
        papers=(2, 6),
        toward="nearest",
    )
    by: Name | None = says("Who designed or tested it.", "T. Maran", need="o")
    drawing: Name | None = says("The drawing that shows it.", "S-104, rev B")
    fall_arrest: bool | None = says("True when a rescuer's own fall protection may hang from it.", True)
    part: Key | None = says(
        "The anchor as a part, by its id under equipment, so that it is inspected and tagged as one.",
        "RP-1",
        need="o",
        papers=(13,),
        refers_to="equipment",
    )


@record
class SameRail(Node):
    """Whether a rescuer may attach to the rail that holds the person."""

    allowed: bool | None = says(
        "True when a rescuer may attach to the rail that holds the person after a fall.",
        False,
        read_off="The qualified person's record",
    )
    by: Key | None = says(
        "The role that allowed it, by its id under roles.", "qualified-person", refers_to="roles", when="same-rail"
    )
    load_case: Text | None = says(
        "The load case on which that rests.", "One person hanging and one rescuer climbing, S-104 sheet 3", when="same-rail"
    )


@record
class WindMeter(Node):
    """The wind meter, and who reads it."""

    place: Name | None = says("Where the wind meter is read.", "Mast at the control room", read_off="Seen on the site walk")
    by: Key | None = says("The role that reads it before each climb, by its id under roles.", "attendant", refers_to="roles")


@record
class LaterLoad(Node):
    """What was put on the frame after it was designed: canopy, arm, lights, snow."""

    what: Name = says("What was put on the frame after it was designed.", "Canopy sheets", default="", required=True)
    on: date | None = says("The day on which it was put there.", "2025-06-01", need="o")


@record
class Bay(Node):
    """A place where vehicles stand under a rail and people climb on them."""

    id: FileKey = says(
        "A short name without spaces for the bay, used wherever the profile points to it.",
        "B1",
        default="",
        required=True,
        id_of="bays",
    )
    name: Name = says("The name of the bay as it is signed on site.", "Truck bay", "Rail spur", default="", required=True)
    setting: Setting | None = says(
        "Whether the bay is inside a building, under a canopy or in the open, as seen on the site walk.", "canopy"
    )
    heights_from: Text | None = says(
        "The surface from which every height in this bay is measured, described so that another surveyor finds it.",
        "top of the slab at the bay drain, elevation 0.0 ft",
        need="A",
        papers=(2,),
        station="rail",
    )
    heights_over: Text | None = says(
        "The same surface in one or two words, as the rescue card says it beside the height of the ring.", "slab", papers=(7,)
    )
    rail: BayRail = section(
        "The overhead rail: where it runs and how it behaves, from the survey and the drawing.",
        {"part": "R-1", "underside": "25 ft", "offset": "0.5 ft", "offset_toward": "right"},
    )
    parking: Parking = section(
        "How exactly vehicles are parked under the rail.", {"lateral": "1.0 ft", "marks": "Painted box on the slab"}
    )
    hook_up: HookUp = section("Where and how a person connects before climbing.", {"at_ground": True})
    control: VehicleControl = section(
        "How the vehicle is kept from moving while someone is on it; the operations lead knows.",
        {"steps": [{"do": "set the parking brake", "kind": "brake", "by": "driver", "undone_by": "driver"}]},
    )
    electrical: Electrical = section(
        "Electrical hazards of the bay; the site electrician knows.", {"classified": "none", "overhead_lines": "none"}
    )
    hazards: BayHazards = section(
        "Other hazards of the place where the work is done.", {"flowing_solids": False, "water_below": False}
    )
    lighting: Lighting = section(
        "Light for work in the dark.", {"night_work": True, "level": "150 lux at the walkway", "measured_on": "2026-03-02"}
    )
    below: Text | None = says(
        "How people below are kept clear and how tools are kept from falling, as the site does it.",
        "The bay is roped off; tools go up in a closed bag on a lanyard",
    )
    uncovered: Text | None = says(
        "Where in the bay the rail protects nobody, and what is done there instead.",
        "South of the last column: work from the rolling platform only",
    )
    landing: Text | None = says(
        "Where a rescued person is set down, and how an ambulance gets there.",
        "Slab at the foot of the ladder; the ambulance stands in the lane beside it",
    )
    survey: Survey = section(
        "The survey that the figures of this bay rest on.",
        {"by": "safety-manager", "on": "2026-03-02", "instrument": "steel tape"},
    )
    obstructions: tuple[Obstruction, ...] = says(
        "Fixed things in the bay that a falling or swinging person could strike, from the survey.",
        [
            {
                "id": "column-1",
                "what": "Canopy column",
                "side": "right",
                "from": "9 ft",
                "to": "10 ft",
                "bottom": "0 ft",
                "top": "28 ft",
            }
        ],
        unique_by="id",
        default=(),
        need="A",
        station="parking",
        papers=(2,),
        read_off="Stand at each corner of the vehicle and look up and down, as far out as the rail reaches and two feet more",
    )
    closed: Closed = section(
        "The bay is closed by decision: by whom, since when and why.",
        {"by": "terminal-manager", "on": "2026-10-02", "reason": "The rail is being replaced"},
        decided=True,
        need="o",
        papers=("all",),
    )
    phone: BayPhone = section(
        "The telephone of the bay, for a person without a radio.",
        {"place": "Wall beside the east door of the bay", "area_allows": True, "sees_person": True},
        need="A",
        station="signals",
        papers=(1, 4, 5, 6, 7, 8, 9, 17),
    )
    red_stop: RedStop = section(
        "The red stop button of the bay.",
        {"place": "Post at the foot of the ladder", "stops": "Loading pump and conveyor"},
        need="B",
        station="signals",
        papers=(1, 6, 7, 13, 22),
    )
    marked_area: MarkedArea = section(
        "The area in which nobody but the people of the work may stand.",
        {"name": "painted box", "how": "A yellow line on the slab"},
        need="A",
        station="parking",
        papers=(1, 4, 5, 9),
    )
    watcher: Attendant = section(
        "Who watches the climber without a break.",
        {"role": "attendant", "how": "On the ground in sight of the climber, with a radio"},
        need="A",
        station="decide",
        papers=(1, 6, 7, 8, 20),
    )
    release: Release = section(
        "How a vehicle is released after a climb.",
        {"look_at": ["all are down"], "words": "Truck bay released", "by": "shift-supervisor"},
        need="A",
        station="parking",
        papers=(1, 4, 9),
    )
    energy: tuple[EnergyStep, ...] = says(
        "Steps against energy and product before a climb: static, lockout, permit, gas test, pressure vented.",
        [{"step": "earth the trailer", "by": "driver"}],
        default=(),
        need="B",
        station="decide",
        papers=(1, 8),
    )
    flow: tuple[FlowStep, ...] = says(
        "Steps of a transfer of product, from the climb that opens the vehicle to the one that closes it; left out where nothing flows.",
        [{"step": "start the loading pump", "by": "shift-supervisor"}],
        default=(),
        need="o",
        papers=(1,),
    )
    product: Product = section(
        "What the vehicles in this bay hold.",
        {"name": "Diesel fuel", "state": "liquid"},
        need="B",
        station="decide",
        papers=(6, 22),
    )
    dangers: tuple[Danger, ...] = says(
        "Dangers that keep rescuers away until someone with a meter or the fire service says so.",
        ["gas", "moving"],
        default=(),
        unique=True,
        need="B",
        station="decide",
        papers=(6, 7, 22),
    )
    meter: Meter = section(
        "The instrument by which rescuers are let in, and who holds it.",
        {"what": "Gas meter, four gases", "holder": "shift-supervisor", "place": "Control room, charger 2"},
        need="B",
        station="decide",
        when="danger",
        papers=(6, 7),
    )
    sideways: Sideways = section(
        "A sideways limit narrower than the deck, and what marks it.",
        {"limit": "2.0 ft", "marker": "Edge of the walkway"},
        need="o",
        papers=(1, 5, 8),
    )
    ladder: LadderPlace = section(
        "The ladder by which people climb, and what protects them on it.",
        {"owner": "site", "side": "left", "offset": "4.0 ft", "control": "cage"},
        need="B",
        station="ladder",
        papers=(1, 2, 8),
    )
    crossings: tuple[Crossing, ...] = says(
        "Ways from this climbing place to another without coming down: next bay, next car, platform, or the ladder's own protection.",
        [
            {
                "to": "next car of the string",
                "kind": "vehicle",
                "attached": True,
                "how": "Second hook on before the first comes off",
            }
        ],
        default=(),
        need="A",
        station="ladder",
        papers=(1, 2, 8),
        read_off="Watch a whole shift climb",
    )
    rescue_anchors: tuple[RescueAnchor, ...] = says(
        "Anchors for rescuers and their kits; without one the method that needs it falls away.",
        [{"id": "RA-1", "place": "north plate on the frame", "strength": "3600 lbf", "persons": 1}],
        default=(),
        need="A",
        station="rescue",
        papers=(2, 6, 7, 13, 22),
    )
    same_rail: SameRail = section(
        "Whether a rescuer may attach to the rail that holds the person.",
        {"allowed": False, "by": "qualified-person"},
        need="B",
        station="engineer",
        papers=(2, 6),
    )
    stretcher_path: Text | None = says(
        "The way off the bay for a person who lies on a stretcher.",
        "Along the east walkway to the road",
        need="B",
        station="way-off",
        papers=(6, 19),
        read_off="Walk it with a stretcher",
    )
    wind_meter: WindMeter = section(
        "The wind meter, and who reads it.",
        {"place": "Mast at the control room", "by": "attendant"},
        need="B",
        station="signals",
        when="outdoors",
        papers=(1, 13, 16, 20),
    )
    tag_place: Name | None = says(
        "The locked place for parts that are out of service.",
        "Locked box in the control room",
        need="B",
        station="decide",
        papers=(1, 13, 16, 20),
    )
    later_loads: tuple[LaterLoad, ...] = says(
        "What was put on the frame after it was designed: canopy, arm, lights, snow.",
        [{"what": "Canopy sheets", "on": "2025-06-01"}],
        default=(),
        need="B",
        station="engineer",
        papers=(2,),
    )
