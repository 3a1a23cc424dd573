"""The profile: the site, its document and its roles."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen import units
from docgen.site.declare import FileKey, Jurisdiction, Key, Language, Name, Node, Phone, Text, record, says, section

__all__ = [
    "Consultation",
    "DocumentControl",
    "EmployerPart",
    "EmployerRole",
    "Formerly",
    "Gate",
    "GateOpening",
    "Holder",
    "PaperSize",
    "Place",
    "Policy",
    "Retention",
    "Role",
    "RolePart",
    "Sector",
    "UnitSystem",
    "VersionsDiffer",
    "Wear",
]

Sector = Literal["general-industry", "construction"]
UnitSystem = Literal["us", "si"]
EmployerPart = Literal["host", "exposing", "creating", "controlling", "correcting"]
PaperSize = Literal["letter", "a4"]
RolePart = Literal[
    "competent-person",
    "qualified-person",
    "rescue-lead",
    "issuing-authority",
    "engineer",
    "safety-manager",
    "supervisor",
    "attendant",
    "gate-operator",
    "control-room",
    "rescuer",
    "first-aider",
    "trainer",
    "inspector",
    "driver",
    "counsel",
    "management",
    "other",
]


#: The parts that approve where the profile does not say.
USUAL_APPROVALS: tuple[RolePart, ...] = ("qualified-person", "issuing-authority", "rescue-lead")


@record
class GateOpening(Node):
    """How the gate opens for an ambulance on each shift, and who opens it."""

    shift: Key = says(
        "The shift for which this holds, by its id under shifts.", "night", default="", required=True, refers_to="shifts"
    )
    how: Text | None = says(
        "How the gate opens for the ambulance on that shift.",
        "The gate is opened at the start of the shift",
        read_off="Ask whoever holds the gate key on that shift",
    )
    by: Key | None = says("The role that opens it, by its id under roles.", "gate-operator", refers_to="roles", need="o")


@record
class Wear(Node):
    """What must be worn beside the harness, and who wears it."""

    what: Name = says(
        "One thing that must be worn, in the words used on site.",
        "Helmet with its chin strap closed",
        default="",
        required=True,
        read_off="The hazard assessment",
    )
    who: Name | None = says("Who must wear it.", "everyone on foot in the bay", need="o")


@record
class Gate(Node):
    """The gate: when it is attended and how help gets in at night."""

    hours: Text | None = says(
        "When the gate is attended, as the gate log shows.", "attended 06:00 to 18:00, locked outside these hours"
    )
    night_access: Text | None = says(
        "How an ambulance gets in while the gate is not attended.",
        "The supervisor on duty carries a gate key and meets the ambulance",
    )
    opens: tuple[GateOpening, ...] = says(
        "How the gate opens for an ambulance on each shift, and who opens it.",
        [{"shift": "night", "how": "The gate is opened at the start of the shift", "by": "gate-operator"}],
        default=(),
        need="B",
        station="gate",
        papers=(6, 7, 22),
    )


@record
class EmployerRole(Node):
    """Who is responsible as which kind of employer on the site; counsel settles the list."""

    party: Name = says(
        "The employer, by name or by class.",
        "Pine Hollow Bulk Transfer LLC",
        "Each carrier for its own drivers",
        default="",
        required=True,
    )
    roles: tuple[EmployerPart, ...] = says(
        "The parts this employer plays on a shared site, in the terms of multi-employer enforcement; counsel settles them.",
        ["host", "controlling"],
        default=(),
        unique=True,
        at_least=1,
        required=True,
    )


@record
class Place(Node):
    """The site: its name, where it is, and whose law applies."""

    id: FileKey = says(
        "A short name for the site in letters, digits and hyphens; it names the folder that the documents go into.",
        "pine-hollow",
        "yard-7",
        default="",
        required=True,
    )
    name: Name = says(
        "The name of the site as people know it; it heads every document.", "Pine Hollow Yard", default="", required=True
    )
    legal_name: Name | None = says(
        "The full name of the company that runs the site, as its registration gives it.", "Pine Hollow Bulk Transfer LLC"
    )
    address: Text | None = says(
        "The street address of the site, as given to an ambulance.", "18 Quarry Lane, Pine Hollow, Kansas"
    )
    jurisdiction: Jurisdiction = says(
        "The country or state whose law applies, as ISO 3166 writes it; counsel confirms it.",
        "US-KS",
        "US",
        "DE",
        default="",
        required=True,
    )
    sector: Sector = says(
        "The kind of work that the law sees on the site: general industry or construction; counsel confirms it.",
        "general-industry",
        default="general-industry",
    )
    units: UnitSystem | None = says(
        "The units that are printed first: us for feet and pounds, si for metres and kilograms.", "us", "si"
    )
    access_point: Name | None = says("The gate or door by which an ambulance reaches the bays.", "North gate on Quarry Lane")
    position: Name | None = says(
        "The position of the access point on a map, as latitude and longitude or a marker post number.", "38.5000 N, 97.5000 W"
    )
    gate: Gate = section("The gate: when it is attended and how help gets in at night.", {"hours": "attended 24 hours"})
    employer_roles: tuple[EmployerRole, ...] = says(
        "Who is responsible as which kind of employer on the site; counsel settles the list.",
        [{"party": "Pine Hollow Bulk Transfer LLC", "roles": ["host", "exposing"]}],
        default=(),
    )
    new_thing_to: Key | None = says(
        "The role that is told when something is new: a vehicle, a part, a person, a number.",
        "safety-manager",
        refers_to="roles",
        need="B",
        station="decide",
        papers=(1, 20, 23),
    )
    protective_wear: tuple[Wear, ...] = says(
        "What must be worn beside the harness, and who wears it.",
        [{"what": "Helmet with its chin strap closed", "who": "everyone on foot in the bay"}],
        default=(),
        need="B",
        station="decide",
        papers=(1, 8, 10, 14),
    )


@record
class Policy(Node):
    """What the management says it wants of fall protection, in its own words."""

    statement: Text | None = says("The policy itself, as printed in the plan.", "Nobody climbs here without being attached")
    by: Key | None = says("The role that states the policy.", "wash-manager", refers_to="roles")
    on: date | None = says("The day on which it was stated.", "2026-01-05")


@record
class Consultation(Node):
    """How the workers had their say while the plan was made."""

    partner: Name | None = says(
        "Who spoke for the workers: a committee, a representative or the crew itself.", "Safety representative of the crew"
    )
    on: date | None = says("The day of the consultation, from its minutes.", "2026-02-01")
    how: Text | None = says(
        "What was gone through, and what came of it.", "Walked both bays with the crew; the tagline was added"
    )


@record
class Retention(Node):
    """How long each kind of record is kept, and on whose word."""

    record: Name = says("One kind of record.", "Training records", default="", required=True)
    keep: Text | None = says(
        "How long it is kept: a span, or until which event.",
        "5 years",
        "life of the installation and ten years after",
        read_off="Counsel or the law of the place",
    )
    basis: Text | None = says("What that time rests on.", "Advice of counsel of 2026-02-03")
    place: Text | None = says(
        "Where these records are held, such as training certificates by name or what was written down of breaches.",
        "Training file, personnel office",
        need="o",
        papers=(3,),
    )


@record
class VersionsDiffer(Node):
    """What is done when two language versions of a paper differ."""

    tell: Key | None = says(
        "The role that is told when two language versions differ, by its id under roles; work stops until they agree.",
        "shift-supervisor",
        refers_to="roles",
    )


_COLOUR = "^#[0-9A-Fa-f]{6}$"


@record
class Letterhead(Node):
    """How the papers look: what the client's own letters have. It says nothing of the work and is no part of what is approved."""

    letterhead: tuple[Name, ...] = says(
        "The lines of the letterhead, at most three: the firm, its address, its office.",
        ["Pine Hollow Yard, Inc.", "18 Quarry Lane, Pine Hollow"],
        default=(),
    )
    logo: Name | None = says(
        "The logo, a PNG or a plain SVG in the folder of the site, named from there.", "look/logo.svg", "look/logo.png"
    )
    accent: str | None = says(
        "The colour of lines under the letterhead and over headings, and of its first line, as #RRGGBB in quotes; dark enough to be read on white.",
        "#0B5D5A",
        pattern=_COLOUR,
    )
    heading: str | None = says(
        "The colour of titles and headings, as #RRGGBB in quotes; dark enough to be read on white.", "#143C5A", pattern=_COLOUR
    )
    docx: Name | None = says(
        "The client's own DOCX whose styles, header and footer the reports are written on, in the folder of the site, named from there.",
        "look/base.docx",
    )


@record
class DocumentControl(Node):
    """How the documents are numbered, written, reviewed and kept."""

    number: Name | None = says("The document number in the site's own register.", "PH-FP-03")
    languages: tuple[Language, ...] = says(
        "The languages in which every document is written, the first one first; the supervisors know what the crew reads.",
        ["en", "es"],
        default=(),
        unique=True,
        at_least=1,
    )
    paper: PaperSize | None = says("The paper size of the site's printer.", "letter")
    owner: Key | None = says("The role that answers for the plan, by its id under roles.", "site-manager", refers_to="roles")
    prepared_by: Key | None = says(
        "The role that prepared the documents, by its id under roles.", "safety-manager", refers_to="roles"
    )
    review_interval: units.Interval | None = says(
        "How often the documents are reviewed even when nothing changes, as the site decides.", "12 months"
    )
    approvals_needed: tuple[RolePart, ...] = says(
        "The parts whose approval is needed before an issue; when left out: qualified person, issuing authority and rescue lead.",
        ["qualified-person", "issuing-authority", "rescue-lead"],
        default=(),
        unique=True,
    )
    kept_at: Text | None = says(
        "Where the paper copies lie, so that a worker can read them during the shift.",
        "Shift office, and the document box at the ladder of each bay",
        administrative=True,
    )
    policy: Policy = section(
        "What the management says it wants of fall protection, in its own words.",
        {"statement": "Nobody climbs here without being attached", "by": "wash-manager", "on": "2026-01-05"},
    )
    consultation: Consultation = section(
        "How the workers had their say while the plan was made.",
        {"partner": "Safety representative of the crew", "on": "2026-02-01"},
    )
    sign_off: Text | None = says(
        "How and where it is kept that each user has gone through the plan.",
        "Each user signs the sheet in the training file before the first climb",
    )
    effective: date | None = says(
        "The day for which the papers are written: who holds a post and which law is in force on that day.",
        "2026-11-01",
        required=True,
        need="r",
        papers=("digest",),
    )
    look: Letterhead = section(
        "How the papers look: letterhead, logo, colours, and a base file for DOCX.",
        {"letterhead": ["Pine Hollow Yard, Inc.", "18 Quarry Lane, Pine Hollow"], "logo": "look/logo.svg", "accent": "#0B5D5A"},
    )
    retention: tuple[Retention, ...] = says(
        "How long each kind of record is kept, and on whose word.",
        [{"record": "Training records", "keep": "5 years", "basis": "Advice of counsel of 2026-02-03"}],
        default=(),
        need="B",
        station="counsel",
        papers=(1, 3),
    )
    versions_differ: VersionsDiffer = section(
        "What is done when two language versions of a paper differ.",
        {"tell": "shift-supervisor"},
        need="B",
        station="decide",
        when="several-languages",
        papers=(1, 3),
    )

    @property
    def approvals(self) -> tuple[RolePart, ...]:
        """The parts whose approval is needed before an issue."""
        return self.approvals_needed or USUAL_APPROVALS


@record
class Formerly(Node):
    """A name that a holder bore before; whatever was done while it was borne is printed with it."""

    name: Name = says("The name of that time, as earlier papers print it.", "T. Maran", default="", required=True)
    until: date | None = says(
        "The last day on which the person bore that name; left out where nobody ever bore it, as when it was misspelled.",
        "2026-10-31",
        need="o",
    )


@record
class Holder(Node):
    """A person in a role from one day to another; the day itself is included on both sides."""

    name: Name = says("The person who holds the role.", "T. Maran", default="", required=True)
    from_: date | None = says("The first day on which that person holds it.", "2026-01-01", required=True)
    to: date | None = says("The last day on which that person holds it; left out while it goes on.", "2026-12-31", need="o")
    accepted_on: date | None = says(
        "The day on which that person accepted the role by signature; asked of the competent person, the qualified person, the rescue lead and the trainer.",
        "2026-01-02",
        need="o",
    )
    formerly: tuple[Formerly, ...] = says(
        "Names under which the same person stands in earlier revisions, each with the last day on which it was borne.",
        [{"name": "T. Oak", "until": "2026-10-31"}],
        default=(),
        need="o",
    )

    def called_on(self, day: date) -> str:
        """The name that the person bore on a day."""
        borne = [f for f in self.formerly if f.until is not None and day <= f.until]
        return min(borne, key=lambda f: f.until or day).name if borne else self.name

    @property
    def names(self) -> tuple[str, ...]:
        """Every name of the person, the present one first."""
        return (self.name, *(f.name for f in self.formerly))


@record
class Delegate(Node):
    """Somebody who approves in the place of whoever holds a role, while that person holds it."""

    name: Name = says("The person who may approve in the holder's place.", "K. Farrow", default="", required=True)
    from_: date | None = says("The first day on which that person may.", "2026-07-01", required=True)
    to: date | None = says("The last day on which that person may.", "2026-07-31", required=True)


@record
class Role(Node):
    """The roles that the documents name; management appoints them."""

    id: Key = says(
        "A short name without spaces for the role, used wherever the profile points to it.",
        "safety-manager",
        "rescue-lead",
        default="",
        required=True,
        id_of="roles",
    )
    title: Name = says("The title of the role as printed in the documents.", "Safety manager", default="", required=True)
    part: tuple[RolePart, ...] = says(
        "What the role is for, from a closed list; where a paper means one role of a part, it is the first listed that has it.",
        ["competent-person"],
        default=(),
        unique=True,
        need="A",
        station="decide",
        papers=("all",),
    )
    holders: tuple[Holder, ...] = says(
        "Who holds the role, from which day to which; leave it out for a role that changes with the shift.",
        [{"name": "T. Maran", "from": "2026-01-01", "accepted_on": "2026-01-02"}],
        default=(),
        need="B",
        station="decide",
        when="holder-named",
        papers=(1, 2, 3),
        administrative=True,
    )
    phone: Phone | None = says(
        "The number at which the role is reached during work, not a private mobile.", "555-0117", administrative=True
    )
    qualification: Text | None = says(
        "What makes the holder fit for the role: course, licence or experience, from the personnel file.",
        "Maker's inspection course for self-retracting devices",
    )
    duties: Text | None = says(
        "What the role has to do for fall protection, in a few words.", "Inspects the equipment and takes it out of service"
    )
    user: Key | None = says(
        "The code under people of the same person where the holder of this role also climbs.", "U-02", refers_to="users"
    )
    relief: tuple[Key, ...] = says(
        "Roles that may stand in for this one, above all to release a vehicle, by their ids under roles.",
        ["terminal-manager"],
        default=(),
        unique=True,
        refers_to="roles",
        need="B",
        station="decide",
        when="releases",
        papers=(1, 20),
    )
    delegates: tuple[Delegate, ...] = says(
        "Who approves papers in the holder's place, from which day to which; never without a licence where the holder needs one.",
        [{"name": "K. Farrow", "from": "2026-07-01", "to": "2026-07-31"}],
        default=(),
    )
    #: Who holds it on the day for which the papers are written; set when the profile is built.
    held_by: str | None = None

    def on(self, day: date) -> Holder | None:
        """Who holds it on a day; of two, the one who began last (a finding tells them)."""
        there = [h for h in self.holders if h.from_ is not None and h.from_ <= day and (h.to is None or day <= h.to)]
        return max(there, key=lambda h: h.from_ or day, default=None)

    def delegates_on(self, day: date) -> tuple[tuple[str, str], ...]:
        """Who may approve in the holder's place on a day, each with the holder as called then; nobody where nobody holds the role."""
        holder = self.on(day)
        there = [d for d in self.delegates if d.from_ is not None and d.to is not None and d.from_ <= day <= d.to]
        return tuple((d.name, holder.called_on(day)) for d in there) if holder is not None else ()
