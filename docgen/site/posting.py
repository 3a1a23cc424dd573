"""The profile: the places where papers hang, and what is done about findings."""

from __future__ import annotations

from datetime import date

from docgen.site.declare import Key, Language, Length, Name, Node, PaperName, Text, record, says

__all__ = [
    "Acceptance",
    "Handling",
    "Posting",
]


@record
class Posting(Node):
    """Where papers hang on the site."""

    id: Key = says(
        "A short name without spaces for the place where a paper hangs.", "GATE-1", default="", required=True, id_of="postings"
    )
    place: Name | None = says("Where the paper hangs.", "Window of the north gate")
    document: PaperName | None = says("Which document hangs there.", "contractor-notice")
    bay: Key | None = says(
        "The bay that the paper is about, by its id under bays, where there is one for each bay.", "B1", refers_to="bays"
    )
    language: Language | None = says("The language in which it hangs there, as a two-letter code.", "en")
    lit_at_night: bool | None = says("True when it can be read in the dark, as seen at night.", True)
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
        toward="nearest",
        above=0,
        most="1000 ft",
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

    @property
    def paper(self) -> str:
        """The name of the paper that hangs there, with its bay where there is one for each: `bay-sign.B1`; empty where none is named."""
        return f"{self.document}.{self.bay}" if self.document and self.bay else self.document or ""


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
