"""The profile: parts and the systems they make."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen import units
from docgen.site.declare import Angle, Attachment, Force, Key, Length, Mass, Name, Node, Temperature, Text, record, says, section

__all__ = [
    "BEARING",
    "AfterArrest",
    "Anchorage",
    "AnchorageBasis",
    "ArrestAt",
    "Capacity",
    "Cold",
    "Commissioning",
    "Compatibility",
    "Direction",
    "EdgeUse",
    "Ground",
    "LineAngle",
    "LineMaterial",
    "LoadCase",
    "Look",
    "Part",
    "PartInspection",
    "PartKind",
    "PartOf",
    "Retrieval",
    "System",
    "TemperatureRange",
    "Without",
    "WithoutKind",
]

PartKind = Literal[
    "structure", "foundation", "base-plate", "host-structure", "hanger", "splice", "bracket-bolts", "rail", "end-stop", "trolley",
    "connector", "srd", "lanyard", "swivel", "hook", "harness", "rescue-kit", "platform", "ladder", "gangway", "tagline", "chocks",
    "lockbox", "gauge", "wind-meter", "red-stop", "phone", "aed", "rescue-anchor",
]  # fmt: skip
#: Kinds of part that bear a fall wherever it happens in a bay.
BEARING = (
    "structure", "foundation", "base-plate", "host-structure", "hanger", "splice", "bracket-bolts", "rail", "end-stop", "trolley",
    "connector", "srd", "lanyard", "swivel", "hook",
)  # fmt: skip
#: Links of a load path that one system has and another does not.
WithoutKind = Literal["structure", "hanger", "splice", "connector"]
LineMaterial = Literal["wire rope", "webbing", "synthetic rope"]
Retrieval = Literal["none", "raise", "lower", "raise-and-lower"]
AnchorageBasis = Literal["engineered", "rated-per-user"]


@record
class Capacity(Node):
    """The mass that the item is rated for, read off the label."""

    min: Mass | None = says(
        "The lowest user mass with clothing and tools, read off the label.",
        "130 lb",
        "59 kg",
        least="20 lb",
        most="1000 kg",
        toward="up",
    )
    max: Mass | None = says(
        "The highest user mass with clothing and tools, or highest load of a rescue kit or platform, read off the label.",
        "310 lb",
        {"value": "140 kg", "how": "label"},
        toward="down",
    )


@record
class TemperatureRange(Node):
    """The temperatures in which the item may be used, from the manual."""

    min: Temperature | None = says("The lowest temperature of use, from the manual.", "-40 °F", toward="up")
    max: Temperature | None = says("The highest temperature of use, from the manual.", "130 °F", toward="down")


@record
class PartInspection(Node):
    """How often the item is inspected in detail."""

    interval: units.Interval | None = says(
        "How often a competent person inspects the item, from the manual or the stricter site rule.", "6 months"
    )
    manual_interval: units.Interval | None = says("The longest interval that the maker's instructions allow.", "12 months")
    by: Key | None = says(
        "Who inspects the item, by its id under roles; left out, the role whose part is the inspector.",
        "qualified-person",
        refers_to="roles",
        need="o",
    )


@record
class PartOf(Node):
    """The part that this one belongs to, and the paper that says so."""

    part: Key | None = says(
        "The part that this one belongs to, by its id under equipment.", "R-1", required=True, refers_to="equipment"
    )
    paper: Text | None = says(
        "The paper that says so, with its page.",
        "Manual of the rail, page 9",
        required=True,
        read_off="The maker's manual or certificate",
    )


@record
class EdgeUse(Node):
    """What the maker says of a line that bears on an edge."""

    same: bool | None = says(
        "True when the maker says that the figures without an edge hold over an edge too.",
        True,
        read_off="The manual, section on edges",
        need="o",
    )
    arrest_distance: Length | None = says(
        "The arrest distance over an edge, from where the D-ring is when the fall begins to where it stops.",
        {"value": "60 in", "how": "label", "by": "competent-person", "on": "2026-01-12"},
        read_off="Label or manual",
        when="edge-differs",
        toward="up",
    )
    setback: Length | None = says(
        "How far inside the edge the anchor must be at the least, measured level from under it to the edge as makers state it; 0 where the "
        "maker asks for none.",
        "2.5 ft",
        "0 ft",
        read_off="Label or manual, set-back",
        when="edge-rated",
        toward="up",
    )
    kind: Text | None = says(
        "The kind of edge that the maker tested.",
        "Steel edge, radius 0.5 mm or more",
        read_off="Label or manual",
        when="edge-differs",
    )
    page: Name | None = says("The page of the manual.", "page 22")


@record
class ArrestAt(Node):
    """The maker's arrest distances for masses above the tested one."""

    mass: Mass | None = says("A mass above the tested one.", "370 lb", required=True, read_off="Label or manual", toward="down")
    distance: Length | None = says(
        "The arrest distance at that mass.", "44 in", required=True, read_off="Label or manual", toward="up"
    )


@record
class LineAngle(Node):
    """The maker's largest angle of the line for this rail and trolley."""

    max: Angle | None = says(
        "The largest angle of the line from the vertical that the maker allows.",
        "30 deg",
        read_off="The manuals of device and rail",
        toward="down",
        most="60 deg",
    )
    rail: Key | None = says("The rail for which that holds, by its id under equipment.", "R-1", refers_to="equipment")
    page: Name | None = says("The page of the manual.", "page 11")


@record
class Cold(Node):
    """The maker's other distance in the cold."""

    below: Temperature | None = says(
        "The temperature below which another distance holds.", "-4 \u00b0F", read_off="The manual", toward="up"
    )
    distance: Length | None = says("The arrest distance below that temperature.", "48 in", read_off="The manual", toward="up")
    page: Name | None = says("The page of the manual.", "page 7")


@record
class AfterArrest(Node):
    """What the maker says clears the part after a fall."""

    page: Name | None = says(
        "The page of the manual that says what clears the part after a fall.", "page 30", read_off="The manual"
    )


@record
class Part(Node):
    """One component, rescue kits and platforms included."""

    id: Key = says(
        "The number painted or tagged on the item, written without spaces, used wherever the profile points to it.",
        "D-1",
        "H-A",
        default="",
        required=True,
        id_of="equipment",
    )
    kind: PartKind = says("What the item is; srd is a self-retracting device.", "srd", "harness", default="", required=True)
    name: Name | None = says("What the item is called in the documents.", "Self-retracting device with edge-tested line")
    count: int | None = says(
        "How many alike items this record stands for, such as a pool of harnesses, counted in the store.",
        8,
        minimum=1,
        maximum=10000,
    )
    serial: Name | None = says(
        "The serial number or range, read off the label; it never appears on the posted notice.", "SR-20417", "H-01 to H-08"
    )
    standard: Name | None = says(
        "The standard and edition marked on the item, read off the label.", "ANSI/ASSP Z359.14-2021", "EN 360:2002"
    )
    class_: Name | None = says(
        "The class or type marked on the item, read off the label.",
        "Class 2",
        need="A",
        papers=(2,),
        station="labels",
        when="device",
    )
    capacity: Capacity = section("The mass that the item is rated for, read off the label.", {"min": "130 lb", "max": "310 lb"})
    rated_users: int | None = says(
        "How many people the item may hold at a time, read off the label, the manual or the design.", 1, minimum=1, maximum=1000
    )
    arrest_distance: Length | None = says(
        "The longest distance in which the device stops a fall, read off its label.",
        {"value": "30 in", "how": "label", "by": "competent-person", "on": "2026-03-03"},
        toward="up",
    )
    deceleration_distance: Length | None = says(
        "The deceleration distance alone, where the label or manual states it apart from the arrest distance.",
        "24 in",
        toward="up",
    )
    arrest_force_average: Force | None = says(
        "The average force while the device stops a fall, read off its label.", "1350 lbf", toward="up"
    )
    arrest_force_peak: Force | None = says(
        "The highest force while the device stops a fall, read off its label or manual.",
        "1800 lbf",
        "6 kN",
        toward="up",
    )
    free_fall: Length | None = says(
        "How far a person falls before the device locks, as the item is used here, worked out by the qualified person.",
        "0.5 ft",
        toward="up",
    )
    free_fall_max: Length | None = says(
        "The longest free fall that the item may be used with, read off its label or manual.",
        "2 ft",
        "0.6 m",
        toward="down",
    )
    line_length: Length | None = says("The working length of the line, read off the label.", "30 ft", toward="down")
    line_material: LineMaterial | None = says("What the line is made of, read off the label.", "wire rope")
    line_strength: Force | None = says(
        "The breaking strength of the line, read off the label or manual.", "3600 lbf", toward="down"
    )
    edge_rated: bool | None = says("True when the label says that the line may bear on an edge.", True)
    angle_max: Angle | None = says(
        "The largest angle of the line from the vertical, from the manual of the device.",
        "30 deg",
        toward="down",
        most="60 deg",
    )
    temperature: TemperatureRange = section(
        "The temperatures in which the item may be used, from the manual.", {"min": "-40 °F", "max": "130 °F"}
    )
    unsuitable_for: tuple[str, ...] = says(
        "Substances for which the maker's instructions call this part unsuitable.",
        ["caustic"],
        default=(),
        unique=True,
        each="caustic",
        min_length=2,
        max_length=60,
    )
    suitable_for_area: bool | None = says(
        "True when the maker states that a rescue kit or platform is suitable for the classified area in which it is used.", True
    )
    retrieval: Retrieval | None = says("What a built-in crank of a device can do to a hanging person, from the label.", "lower")
    handle_height: Length | None = says(
        "The height above the datum of the bay at which that crank is worked, as installed.",
        "4 ft",
        toward="nearest",
    )
    tensile: Force | None = says(
        "The tensile strength of a connector, read off its marking or its data sheet.", "5000 lbf", toward="down"
    )
    proof: Force | None = says("The proof load of a connector, read off its data sheet.", "3600 lbf", toward="down")
    gate_proof: Force | None = says(
        "The proof load of a connector's gate, read off its marking or its data sheet.", "3600 lbf", toward="down"
    )
    design_load: Force | None = says(
        "The load that a part of frame or rail was designed, tested or rated for, from its drawing or certificate.",
        "3600 lbf",
        "16 kN",
        toward="down",
    )
    self_locking: bool | None = says("True when the gate of the connector closes and locks by itself, as tried by hand.", True)
    attachment: Attachment | None = says(
        "The D-ring of the harness that is meant for fall arrest, from the manual: back, chest or side.", "dorsal"
    )
    reach: Length | None = says(
        "How far a rescue kit, pole, platform or ladder reaches, measured or read off its label.",
        "40 ft",
        toward="down",
    )
    in_service: date | None = says("The day on which the item was first used, from the equipment log.", "2025-03-20")
    retire_by: date | None = says(
        "The day on which the item leaves service at the latest, from the manual and the equipment log.", "2035-03-20"
    )
    label_photo: str | None = says(
        "Where the photograph of the label lies, as a path beside the profile.",
        "photos/D-1-label.jpg",
        min_length=1,
        max_length=200,
    )
    manual: Name | None = says(
        "Title and revision of the maker's instructions that apply to the item, from its cover.", "Device manual rev 7"
    )
    inspection: PartInspection = section(
        "How often the item is inspected in detail.", {"interval": "6 months", "manual_interval": "12 months"}
    )
    model: Key | None = says("The model of the part in a shared library of equipment.", "srl-30-cable", need="o", papers=(2, 13))
    maker: Name | None = says(
        "The maker and what the maker calls the item, read off its label.", "Larch Fall Gear, model 40", need="o", papers=(13,)
    )
    made: Name | None = says("When the item was made, as its label says it.", "2024-03", need="o", papers=(13,))
    part_of: PartOf = section(
        "The part that this one belongs to, and the paper that says so.",
        {"part": "R-1", "paper": "Manual of the rail, page 9"},
        need="A",
        station="labels",
        when="unrated",
        papers=(2,),
    )
    edge_use: EdgeUse = section(
        "What the maker says of use over an edge.",
        {"arrest_distance": "60 in", "setback": "2.5 ft", "page": "page 22"},
        need="A",
        station="labels",
        when="device",
        papers=(2,),
    )
    arrest_at: tuple[ArrestAt, ...] = says(
        "The maker's arrest distances for masses above the tested one, and for lighter ones that go further.",
        [{"mass": "370 lb", "distance": "44 in"}],
        default=(),
        need="A",
        station="labels",
        when="above-310",
        papers=(2,),
    )
    line_angle: LineAngle = section(
        "The maker's largest angle of the line for this rail and trolley.",
        {"max": "30 deg", "rail": "R-1", "page": "page 11"},
        need="A",
        station="labels",
        when="device",
        papers=(2,),
    )
    cold: Cold = section(
        "The maker's other distance in the cold.",
        {"below": "-4 \u00b0F", "distance": "48 in", "page": "page 7"},
        need="o",
        papers=(2,),
    )
    after_arrest: AfterArrest = section(
        "What the maker says clears the part after a fall.", {"page": "page 30"}, need="o", papers=(13, 16)
    )
    spare: bool = says("True for a part that lies in store and is not counted.", True, default=False, need="o", papers=(13, 16))


@record
class Direction(Node):
    """What the structural record says on side load."""

    angle: Angle | None = says(
        "The angle of the load from the vertical that the structural record states.",
        "15 deg",
        read_off="The structural record",
        when="side-load-untold",
        toward="down",
    )
    load: Force | None = says(
        "The sideways load that the structural record states.",
        "500 lbf",
        read_off="The structural record",
        need="o",
        toward="down",
    )
    silent: bool | None = says("True when the structural record says nothing of side load.", True, need="o")


@record
class Ground(Node):
    """Who reviewed structure and ground."""

    by: Name | None = says("Who reviewed structure and ground.", "P. Lindqvist")
    licence: Name | None = says("The licence number of that person.", "PE 00000 (invented)")
    on: date | None = says("The day of that review.", "2025-02-11")
    drawing: Name | None = says("The drawing that was reviewed.", "S-101, rev A")


@record
class Commissioning(Node):
    """The report of the test on which the approval rests."""

    report: Name | None = says(
        "The number of the report of the test on which the approval rests.", "CR-014", read_off="The installer's file"
    )
    by: Name | None = says("Who tested.", "P. Lindqvist")
    on: date | None = says("The day of the test.", "2025-02-21")


@record
class Look(Node):
    """The structural look on which the approval rests."""

    by: Name | None = says("Who looked at the structure.", "P. Lindqvist")
    on: date | None = says("The day of that look.", "2026-02-11")


@record
class Anchorage(Node):
    """What the anchorage of a system was designed or tested for, and by whom."""

    basis: AnchorageBasis | None = says(
        "Whether the anchorage was designed by a qualified person or carries the full rated strength for each user.", "engineered"
    )
    design_load_all_users: Force | None = says(
        "The load that the anchorage was designed for, all users together, from the calculation or drawing.",
        "3600 lbf",
        "16 kN",
        toward="down",
    )
    design_factor: float | None = says("The safety factor of the design, from the calculation.", 2, above=0, maximum=100)
    designed_for_users: int | None = says(
        "How many people the anchorage was designed for, from the drawing.",
        1,
        minimum=1,
        need="A",
        papers=(2,),
        station="engineer",
        maximum=1000,
    )
    designer: Name | None = says("The person who designed the anchorage, from the drawing.", "A. Verhoeven")
    designed_on: date | None = says("The date of the design, from the drawing.", "2025-02-11")
    drawing: Name | None = says("Number and revision of the drawing.", "PH-S-101 rev B")
    supervised_by: Key | None = says(
        "The role under whose supervision the system was designed, installed and used, by its id under roles.",
        "qualified-person",
        refers_to="roles",
    )
    structure_checked_by: Key | None = says(
        "The role that checked the structure and foundation which carry the anchorage, by its id under roles.",
        "qualified-person",
        refers_to="roles",
    )
    structure_checked_on: date | None = says("The day of that check, from its report.", "2025-02-11")
    calculation: Name | None = says(
        "The calculation behind the anchorage, by number and date.", "Calculation CA-11 of 2025-02-20"
    )
    test: Text | None = says(
        "The test of the installed rail: what was done, when, and the report.", "Proof test on 2025-03-18, report PT-4"
    )
    direction: Direction = section(
        "What the structural record says on side load.", {"angle": "15 deg"}, need="B", station="engineer", papers=(2,)
    )
    ground: Ground = section(
        "Who reviewed structure and ground.",
        {"by": "P. Lindqvist", "licence": "PE 00000 (invented)", "on": "2025-02-11"},
        need="A",
        station="engineer",
        papers=(2,),
    )
    commissioning: Commissioning = section(
        "The report of the test on which the approval rests.",
        {"report": "CR-014", "by": "P. Lindqvist", "on": "2025-02-21"},
        need="B",
        station="engineer",
        papers=(2,),
    )
    look: Look = section(
        "The structural look on which the approval rests.",
        {"by": "P. Lindqvist", "on": "2026-02-11"},
        need="B",
        station="engineer",
        papers=(2,),
    )
    corrosion: Text | None = says(
        "The allowance for corrosion on which the design rests.",
        "0.04 in on each face in 25 years",
        need="B",
        station="engineer",
        papers=(2,),
    )


@record
class Compatibility(Node):
    """What says that the parts fit together."""

    stated_by: Text | None = says(
        "The paper that says that these parts may be used together.", "Rail manual rev 4 and device manual rev 7"
    )
    on: date | None = says("The date of that paper or of the check against it.", "2025-03-20")


@record
class LoadCase(Node):
    """The load cases of two users that were worked out."""

    text: Text = says(
        "One load case of two users: both at once, or one who hangs and one who falls.",
        "One hangs and one falls, rail and frame checked",
        default="",
        required=True,
    )
    by: Name | None = says("Who worked it out.", "T. Maran")
    load: Force | None = says(
        "The load on the rail in that case, from the calculation.",
        "2150 lbf",
        read_off="The qualified person's calculation",
        toward="down",
    )
    deflection: Length | None = says(
        "How far the rail bends down under that load, from the calculation.",
        {"value": "0.2 ft", "how": "design", "by": "qualified-person", "on": "2025-02-11"},
        read_off="The qualified person's calculation",
        toward="up",
    )


@record
class Without(Node):
    """A link that the load path of this system does not have."""

    kind: WithoutKind = says("The link that there is none of.", "splice", default="", required=True)
    reason: Text = says(
        "Why there is none, with the paper that shows it.", "One length of rail, drawing PH-S-101", default="", required=True
    )


@record
class System(Node):
    """The parts in one load path of one bay, from the structure to the harness."""

    id: Key = says(
        "A short name without spaces for the system, used in the documents.", "S1", default="", required=True, id_of="systems"
    )
    bay: Key = says("The bay that the system serves, by its id under bays.", "B1", default="", required=True, refers_to="bays")
    parts: tuple[Key, ...] = says(
        "The parts of the load path from the structure down to the device, by their ids under equipment.",
        ["ST-1", "R-1", "T-1", "C-1", "D-1"],
        default=(),
        unique=True,
        at_least=1,
        required=True,
        refers_to="equipment",
    )
    without: tuple[Without, ...] = says(
        "The links of a load path that this system does not have.",
        [{"kind": "splice", "reason": "One length of rail, drawing PH-S-101"}],
        default=(),
    )
    harnesses: tuple[Key, ...] = says(
        "The harnesses or harness pools used with it, by their ids under equipment.",
        ["H-A"],
        default=(),
        unique=True,
        refers_to="equipment",
    )
    climbers_at_once: int | None = says(
        "How many people may be attached at a time; the manager decides within the ratings.",
        1,
        minimum=1,
        need="A",
        papers=(1, 2),
        station="decide",
        maximum=1000,
    )
    trolleys: int | None = says("How many trolleys run on the rail, counted on site.", 1, minimum=1, maximum=1000)
    rated_users_per_trolley: int = says(
        "How many people may hang on one trolley, read off the trolley or from its manual; when left out, one.",
        1,
        default=1,
        minimum=1,
        maximum=1000,
    )
    spacing: Length | None = says(
        "How far apart two people on the rail keep their trolleys at the least, by stop, mark or rule.",
        "16 ft",
        "5 m",
        toward="down",
    )
    attachment: Attachment | None = says("The D-ring of the harness to which the device is connected here.", "dorsal")
    fall_protection_only: bool | None = says("True when nothing else is ever hung on or lifted with the system.", True)
    above_310_basis: Text | None = says(
        "The paper that allows a user above 310 lb (140.6 kg) on this system, such as a maker's letter or a test report.",
        "Maker's letter of 2026-01-15 for users up to 420 lb",
    )
    anchorage: Anchorage = section(
        "What the system hangs from and who designed it, from the drawing and its calculation.",
        {"basis": "engineered", "design_load_all_users": "3600 lbf", "design_factor": 2, "designed_for_users": 1},
    )
    compatibility: Compatibility = section(
        "What says that the parts fit together.", {"stated_by": "Rail manual rev 4", "on": "2025-03-20"}
    )
    assembly: Text | None = says(
        "Who puts the system up, changes it and takes it apart, and by which instructions.",
        "Only the installer, by the rail manual; users hang and unhang the device only",
    )
    load_cases: tuple[LoadCase, ...] = says(
        "The load cases of two users that were worked out.",
        [{"text": "One hangs and one falls, rail and frame checked", "by": "T. Maran"}],
        default=(),
        need="B",
        station="engineer",
        when="two-at-once",
        papers=(2,),
    )
