"""The profile: limits and rules of the site."""

from __future__ import annotations

from typing import Literal

from docgen import units
from docgen.site.declare import (
    Angle,
    Key,
    Length,
    Mass,
    Node,
    QuestionKey,
    RuleValue,
    Speed,
    Temperature,
    Text,
    Time,
    record,
    says,
    section,
)

__all__ = [
    "AngleLimit",
    "DRing",
    "LengthLimit",
    "Limits",
    "LowerLimit",
    "RuleBound",
    "RuleSubject",
    "SiteRule",
    "Stature",
    "UpperLimit",
    "Weather",
]

RuleSubject = Literal["tie-off", "refresher", "one-user", "weather", "rescue-time", "inspection", "other"]
RuleBound = Literal["maximum", "minimum", "exactly"]


@record
class Stature(Node):
    """Heights of the back ring over the crew."""

    shortest: Length | None = says(
        "Height of the back ring of the shortest climber above the surface stood on.",
        "3.9 ft",
        read_off="Tape, harness on",
        toward="nearest",
    )
    tallest: Length | None = says(
        "Height of the back ring of the tallest climber above the surface stood on.",
        "5.2 ft",
        read_off="Tape, harness on",
        toward="nearest",
    )


@record
class LowerLimit(Node):
    """The lower limit: body and clothes, without tools."""

    value: Mass | None = says(
        "The least mass of a climber, with body and clothes and without tools; it is posted.",
        "130 lb",
        "59 kg",
        read_off="The labels of device and harness",
        toward="up",
        least="20 lb",
        most="1000 kg",
    )


@record
class UpperLimit(Node):
    """The upper limit: with clothing, harness and tools."""

    value: Mass | None = says(
        "The greatest mass of a climber, with clothing, harness and tools; it is posted.",
        "310 lb",
        "140 kg",
        read_off="The weakest part and the law of the place",
        toward="down",
        least="20 lb",
        most="1000 kg",
    )


@record
class DRing(Node):
    """The height of the D-ring above the surface in each posture."""

    standing: Length | None = says(
        "Height of the back D-ring above the feet of a standing user, measured on users wearing the harness.",
        {"value": "5.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.3 ft"},
        need="A",
        papers=(2,),
        station="ladder",
        read_off="Tape, harness on",
        toward="nearest",
    )
    kneeling: Length | None = says(
        "Height of the back D-ring above the deck for a kneeling user, measured on users wearing the harness.",
        {"value": "3.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.2 ft"},
        toward="nearest",
    )
    lying: Length | None = says(
        "Height of the back D-ring above the deck for a user lying face down, measured on users wearing the harness.",
        {"value": "1.0 ft", "how": "measured", "by": "safety-manager", "on": "2026-03-02"},
        toward="nearest",
    )


@record
class AngleLimit(Node):
    """The limit for the angle of the line."""

    value: Angle | None = says(
        "The largest angle of the line from the vertical that is allowed here.",
        "30 deg",
        required=True,
        toward="down",
        most="60 deg",
    )
    basis: Text | None = says("Where the limit comes from.", "Device manual rev 7")


@record
class LengthLimit(Node):
    """The limit for working beside the rail."""

    value: Length | None = says(
        "The largest distance sideways from the rail at which a person may work.",
        "5.0 ft",
        required=True,
        toward="down",
    )
    basis: Text | None = says("Where the limit comes from.", "site rule")


@record
class Weather(Node):
    """The weather in which nobody climbs; the manager sets it."""

    wind: Speed | None = says(
        "The steady wind at which climbing stops, read off the site's wind meter.", "25 mph", "11 m/s", toward="down"
    )
    gust: Speed | None = says("The gust at which climbing stops, read off the site's wind meter.", "35 mph", toward="down")
    lightning_wait: Time | None = says("How long nobody climbs after the last lightning or thunder.", "30 min")
    ice: Text | None = says("What holds when there is ice, frost or snow.", "No climbing on ice or snow")
    temperature_min: Temperature | None = says(
        "The lowest air temperature for climbing, within the range of every device.",
        "-20 °F",
        toward="up",
    )
    temperature_max: Temperature | None = says(
        "The highest air temperature for climbing, within the range of every device.",
        "105 °F",
        toward="down",
    )


@record
class Limits(Node):
    """The limits of use that the site and its qualified person set."""

    lower: LowerLimit = section(
        "The lower limit: body and clothes, without tools.",
        {"value": "130 lb"},
        need="A",
        station="labels",
        papers=(1, 2, 4, 5, 8),
    )
    upper: UpperLimit = section(
        "The upper limit: with clothing, harness and tools.",
        {"value": "310 lb"},
        need="A",
        station="labels",
        papers=(1, 2, 4, 5, 8),
    )
    d_ring: DRing = section(
        "The height of the D-ring above the surface in each posture.", {"standing": "5.0 ft", "kneeling": "3.0 ft"}
    )
    stretch: Length | None = says(
        "How far the harness stretches and its D-ring slides up in a fall, from the harness manual.",
        {"value": "1.0 ft", "how": "manual", "by": "competent-person", "on": "2026-03-03"},
        toward="up",
    )
    margin: Length | None = says(
        "The clear distance that must be left below a person after the fall, as the qualified person sets it.",
        "1 m",
        {"value": "2.0 ft", "how": "design", "by": "qualified-person", "on": "2026-03-05"},
        toward="up",
    )
    line_angle: AngleLimit = section("The limit for the angle of the line.", {"value": "30 deg", "basis": "Device manual rev 7"})
    lateral: LengthLimit = section("The limit for working beside the rail.", {"value": "5.0 ft", "basis": "site rule"})
    weather: Weather = section(
        "The weather in which nobody climbs; the manager sets it.",
        {"wind": "25 mph", "gust": "35 mph", "lightning_wait": "30 min"},
    )
    before_start: tuple[Text, ...] = says(
        "What must be in place before anyone starts to climb, each in a few words.",
        ["Both rescuers of the shift are on the board"],
        default=(),
    )
    stature: Stature = section(
        "Heights of the back ring over the crew.",
        {"shortest": "3.9 ft", "tallest": "5.2 ft"},
        need="B",
        station="ladder",
        papers=(2,),
    )
    posture_drop: Length | None = says(
        "How much lower the back ring is kneeling than standing, as one measured figure.",
        {"value": "1.6 ft", "how": "measured", "by": "competent-person", "on": "2026-01-12", "tolerance": "0.2 ft"},
        need="o",
        papers=(2,),
        toward="nearest",
    )


@record
class SiteRule(Node):
    """Rules of the site that go further than the law."""

    id: Key = says("A short name without spaces for the rule.", "SR-1", default="", required=True, id_of="site_rules")
    subject: RuleSubject | None = says("What the rule is about, so that it can be compared with the law.", "tie-off")
    height: Length | None = says(
        "For a tie-off rule, the height above the ground from which a person must be attached.",
        "0 ft",
        "4 ft",
        toward="down",
    )
    interval: units.Interval | None = says("For a rule about training or inspection, how often.", "12 months")
    question: QuestionKey | None = says(
        "The question to the law that the rule answers too, by its key in the list of questions; the strictest answer governs.",
        "arrest_force_max",
    )
    bound: RuleBound | None = says(
        "Which way the rule's figure goes, if not the way of the question: at most, at least, or exactly that.", "exactly"
    )
    value: RuleValue | None = says("The rule's own figure for that question, with its unit.", "4 kN", "3 min")
    text: Text = says(
        "The rule itself, as printed in the documents.",
        "Be attached before the first foot leaves the ground",
        default="",
        required=True,
    )
    reason: Text | None = says("Why the site has this rule.", "The ladders have no other fall protection")
    owner: Key | None = says("The role that keeps the rule, by its id under roles.", "site-manager", refers_to="roles")
