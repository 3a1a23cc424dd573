"""The profile: the bays."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen.site.declare import Key, Length, Name, Node, SideName, Text, Voltage, record, says, section

__all__ = [
    "Across",
    "Bay",
    "BayHazards",
    "BayRail",
    "Electrical",
    "HookUp",
    "Lighting",
    "Obstruction",
    "OverheadLine",
    "Parking",
    "Setting",
    "Survey",
    "VehicleControl",
]

Setting = Literal["indoor", "canopy", "outdoor"]
Across = Literal["left", "right"]


@record
class BayRail(Node):
    part: Key | None = says("The rail over this bay, by its id under equipment.", "R-1", refers_to="equipment")
    underside: Length | None = says(
        "Height of the underside of the rail above the datum of the bay, measured on site at the lowest point of the work area.",
        "25 ft",
        {"value": "7.62 m", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.03 m"},
    )
    offset: Length | None = says(
        "Distance across from the centreline of a correctly parked vehicle to the rail, measured on site.",
        "0.15 m",
        {"value": "0.5 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
    )
    offset_toward: Across | None = says(
        "The side of the vehicle toward which the rail is offset, seen looking toward its front.", "right"
    )
    hang: Length | None = says(
        "Length from the underside of the rail down to the point where the line leaves the housing of the device, measured on site.",
        {"value": "1.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
    )
    lag: Length | None = says(
        "How far the trolley stays behind the user along the rail before it follows, measured by walking the line on site.",
        {"value": "2.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
    )
    deflection: Length | None = says(
        "How far the rail bends down when it stops a fall, from the designer's calculation.",
        {"value": "0.1 ft", "how": "design", "by": "qualified-person", "on": "2025-02-11"},
    )
    length: Length | None = says("Length of the rail between its end stops, measured on site or read off the drawing.", "60 ft")
    spans: int | None = says("The number of spans between supports, read off the drawing.", 3, minimum=1)
    users_per_span: int | None = says(
        "How many people may be attached in one span at a time, from the rail's manual or label.", 1, minimum=1
    )
    span_stops: bool | None = says(
        "True when fixed stops keep the trolleys in spans of their own, so that two users never share one.", True
    )
    end_stops: bool | None = says(
        "True when both ends of the rail have a stop that the trolley cannot pass, seen on the site walk.", True
    )


@record
class Parking(Node):
    lateral: Length | None = says(
        "How far to either side of the right place a vehicle may stand, measured on site against the marks.",
        {"value": "1.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
    )
    marks: Text | None = says("What shows the driver where to stop, as seen on site.", "Painted box and wheel guides on the slab")


@record
class HookUp(Node):
    at_ground: bool | None = says("True when the user connects with both feet still on the ground, as tried on site.", True)
    how: Text | None = says(
        "How the user gets hold of the hook and connects, in one statement.",
        "A tagline brings the hook down to the foot of the ladder",
    )


@record
class VehicleControl(Node):
    brake_set: bool | None = says(
        "True when the site rule is that the parking brake is set before anyone climbs; the supervisor knows.", True
    )
    chocks: bool | None = says("True when the wheels are chocked before anyone climbs; the supervisor knows.", True)
    derail: Text | None = says(
        "For rail vehicles, the derail or blocking device and the signal that protect the spot.",
        "Locked derail at the spur switch; blue signal on its stand",
    )
    keys: Text | None = says(
        "Where the keys of the vehicle are while someone is on it, and who holds them.",
        "In the bay lockbox; the shift supervisor holds its key",
    )
    released_by: Key | None = says(
        "The role that lets the vehicle go again, by its id under roles.", "shift-supervisor", refers_to="roles"
    )


@record
class OverheadLine(Node):
    distance: Length | None = says(
        "The shortest distance from a person at work, or from what they handle, to the nearest power line, measured on site or given by the utility.",
        "32 ft",
        "10 m",
    )
    voltage: Voltage | None = says("The voltage of that line, as the utility states it.", "12.5 kV")
    measures: Text | None = says(
        "What keeps people and tools away from the line, as agreed with the utility.",
        "Insulated covers fitted by the utility; long metal poles are not allowed in the bay",
    )


@record
class Electrical(Node):
    classified: Text | None = says(
        "The hazardous-location class of the bay and how far it reaches, from the area classification drawing, or the word none.",
        "Class I, Division 2 within 3 ft of an open manlid",
        "none",
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
    flowing_solids: bool | None = says(
        "True when a person could fall into loose material that can flow and bury them, as operations know.", False
    )
    solids_control: Text | None = says(
        "What keeps a person out of flowing material, when there is any.",
        "A grate covers each hopper opening while the hatch is open",
    )
    sloped_surface: bool | None = says("True when people stand or walk on a sloped or curved surface, as seen on site.", False)
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
    night_work: bool | None = says("True when people climb in this bay in the dark; the shift supervisors know.", True)
    level: Name | None = says("The light level and where it was measured, from a light meter.", "150 lux at the walkway")
    measured_on: date | None = says("The day on which the light was measured.", "2026-03-02")


@record
class Survey(Node):
    by: Name | None = says("Who surveyed the bay: a role or a name.", "safety-manager")
    on: date | None = says("The day of the survey, from the field sheet.", "2026-03-02")
    instrument: Name | None = says("What the heights and distances were measured with.", "laser distance meter")
    last_surface_change: date | None = says(
        "The day on which the ground, track or rail was last changed, from the works record.", "2024-06-01"
    )


@record
class Obstruction(Node):
    """Something fixed in the bay. `from` and `to` are across, from the vehicle centreline, on the side named."""

    id: Key = says(
        "A short name without spaces for the thing, used in findings and drawings; the site chooses it.",
        "column-1",
        "ladder-stub",
        default="",
        required=True,
    )
    what: Name = says(
        "What the thing is, in the words used on site.",
        "Canopy column",
        "Loading arm in its parked place",
        "Ladder stub",
        default="",
        required=True,
    )
    side: SideName | None = says(
        "The side of the vehicle on which it lies, seen looking toward the front of the vehicle.", "left", "rear"
    )
    from_: Length | None = says(
        "Distance across from the vehicle centreline to its near face, measured on site with a tape.",
        "7.5 ft",
        {"value": "2.3 m", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.05 m"},
    )
    to: Length | None = says(
        "Distance across from the vehicle centreline to its far face, measured on site with a tape.", "8.5 ft", "2.6 m"
    )
    bottom: Length | None = says("Height of its lowest point above the datum of the bay, measured on site.", "0 ft", "2.4 m")
    top: Length | None = says("Height of its highest point above the datum of the bay, measured on site.", "20 ft", "6.1 m")


@record
class Bay(Node):
    id: Key = says(
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
    datum: Text | None = says(
        "The surface from which every height in this bay is measured, described so that another surveyor finds it.",
        "top of the slab at the bay drain, elevation 0.0 ft",
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
        {"brake_set": True, "chocks": True, "released_by": "shift-supervisor"},
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
        default=(),
    )
