"""The profile: what hangs where, what happened, what is done about findings."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen.site.declare import Key, Language, Length, Name, Node, PaperName, Text, record, says

__all__ = [
    "Acceptance",
    "CardCount",
    "Event",
    "EventKind",
    "Handling",
    "Logs",
    "Party",
    "Posting",
    "UnknownVehicle",
]

EventKind = Literal["near-miss", "breach", "arrested-fall", "change", "other"]
Party = Literal["own", "contractor"]


@record
class Posting(Node):
    """Where papers hang on the site."""

    id: Key = says(
        "A short name without spaces for the place where a paper hangs.", "GATE-1", default="", required=True, id_of="postings"
    )
    place: Name | None = says("Where the paper hangs.", "Window of the north gate")
    document: PaperName | None = says("Which document hangs there.", "contractor-notice")
    language: Language | None = says("The language in which it hangs there, as a two-letter code.", "en")
    lit_at_night: bool | None = says("True when it can be read in the dark, as seen at night.", True)
    revision: int | None = says(
        "The number of the issued revision that hangs there, as it is printed on it.", 7, minimum=1, maximum=100000
    )
    posted_on: date | None = says("The day on which it was hung up.", "2026-02-03")
    posted_by: Name | None = says("Who hung it up: a role or a name.", "shift-supervisor")
    witness: Name | None = says("Who saw it hanging: a role or a name.", "Gate operator on duty")
    photo: Text | None = says("The photograph that shows the paper, its number and its place.", "photos/GATE-1-2026-02-03.jpg")
    last_checked: date | None = says(
        "The last day on which someone looked whether it still hangs there and can be read.", "2026-02-28"
    )
    kept_by: Key | None = says(
        "The role that looks after the copy and takes it down when it no longer holds.", "foreman", refers_to="roles"
    )
    read_from: Length | None = says(
        "The distance from which it must be read.",
        "4.0 ft",
        need="B",
        station="gate",
        papers=(3, 21),
        read_off="Tape from where people stand",
    )
    light: Text | None = says("The light at the place.", "Lamp over the board, 50 lx", need="B", station="gate", papers=(3, 21))
    beside: Key | None = says(
        "The posting in another language that hangs beside it, by its id under posting.",
        "GATE-ES",
        refers_to="postings",
        need="B",
        station="decide",
        when="several-languages",
        papers=(3, 21),
    )


@record
class Event(Node):
    """What has happened that may call for training, inspection or a change."""

    id: Key = says(
        "A short name without spaces for the event, from the event record.", "NM-26-01", default="", required=True, id_of="events"
    )
    on: date | None = says("The day of the event.", "2026-01-20")
    kind: EventKind | None = says("What kind of event it was.", "near-miss")
    party: Party | None = says("Whether the own crew or a contractor was concerned.", "contractor")
    step: int | None = says("The step of the contractor rule that was applied to it, by its number.", 1, minimum=1, maximum=20)
    bay: Key | None = says("The bay where it happened, by its id under bays.", "B1", refers_to="bays")
    persons: tuple[Key, ...] = says(
        "The people concerned, by their codes under people, never by name.",
        ["U-07"],
        default=(),
        unique=True,
        refers_to=("users", "rescuers"),
    )
    retrained_on: date | None = says("The day on which they were trained again because of it.", "2026-02-03")
    closed_on: date | None = says("The day on which everything that followed from it was done.", "2026-02-10")
    text: Text | None = says("What happened, without names.", "A user unhooked on the walkway to reach the rear manlid")


@record
class UnknownVehicle(Node):
    """Kinds of vehicle that came to the gate and are not in this profile, from the gate log."""

    id: Key = says(
        "A short name without spaces for the kind of vehicle.", "lowboy", default="", required=True, id_of="unknown vehicles"
    )
    what: Name = says("What kind of vehicle it is.", "Lowboy trailer", default="", required=True)
    visits: int | None = says("How many times it came.", 3, minimum=1, maximum=100000)
    last_seen: date | None = says("The day on which it was last seen.", "2026-02-20")
    deck: Length | None = says("The height of its deck, where someone measured it.", "3.2 ft")
    bay: Key | None = says("The bay to which it was sent, by its id under bays.", "B1", refers_to="bays")


@record
class CardCount(Node):
    """Climbs and pre-use cards month by month, counted from the shift log."""

    month: str = says("The month, as year and month.", "2026-02", default="", required=True, pattern="^[0-9]{4}-(0[1-9]|1[0-2])$")
    climbs: int | None = says("How many work shifts with a climb the log shows.", 14, minimum=0, maximum=100000)
    filled: int | None = says("How many pre-use cards were filled in.", 14, minimum=0, maximum=100000)


@record
class Logs(Node):
    """What the site's own logs show and the plan must answer."""

    unknown_vehicles: tuple[UnknownVehicle, ...] = says(
        "Kinds of vehicle that came to the gate and are not in this profile, from the gate log.",
        [{"id": "lowboy", "what": "Lowboy trailer"}],
        default=(),
    )
    cards: tuple[CardCount, ...] = says(
        "Climbs and pre-use cards month by month, counted from the shift log.",
        [{"month": "2026-02", "climbs": 14, "filled": 14}],
        default=(),
    )


@record
class Acceptance(Node):
    """Findings that someone accepts by name, with a reason and an end date."""

    finding: str = says(
        "The name of the finding that is accepted, as the check prints it.",
        "clearance-short",
        default="",
        required=True,
        max_length=60,
        pattern="^[a-z][a-z0-9-]*$",
    )
    at: str | None = says(
        "The place in the profile that the finding points to, as the check prints it.",
        "bays[B1].lighting",
        min_length=1,
        max_length=200,
    )
    reason: Text | None = says("Why it is accepted for now.", "The second lamp is ordered and comes in April", required=True)
    by: Name | None = says("Who accepts it and answers for it: a role or a name.", "site-manager", required=True)
    until: date | None = says("The last day on which the acceptance holds.", "2026-04-30", required=True)


@record
class Handling(Node):
    """Who sees to an open finding, until when, and what protects people meanwhile."""

    finding: str = says(
        "The name of the finding, as the check prints it.",
        "lighting-unstated",
        default="",
        required=True,
        max_length=60,
        pattern="^[a-z][a-z0-9-]*$",
    )
    at: str | None = says(
        "The place in the profile that the finding points to, as the check prints it; every place when left out.",
        "bays[B1].lighting",
        min_length=1,
        max_length=200,
    )
    opened: date | None = says("The day on which it became known.", "2026-02-14")
    owner: Key | None = says("The role that sees to it, by its id under roles.", "site-manager", refers_to="roles")
    due: date | None = says("The day by which it is mended.", "2026-04-30")
    interim_protection: Text | None = says("What protects people until then.", "The bay is closed at night")
    closed_on: date | None = says("The day on which it was mended.", "2026-04-12")
    evidence: Text | None = says("Where the proof that it was mended lies.", "Meter report of 2026-04-12")
