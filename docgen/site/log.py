"""What happened at a site, one line an entry: the kinds of entry of log.yaml, each declared once with its fields."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import field
from datetime import date
from typing import Any, ClassVar, Literal, TypeVar

from docgen.read import Mark
from docgen.site.declare import Conditions, Key, Language, Length, Mass, Name, Node, PaperName, Text, Time, record, says

__all__ = ["KINDS", "OWN", "About", "Entry", "Log", "mark_of"]

Passed = Literal["pass", "fail"]
State = Literal["on", "off"]
Review = Literal["plan", "crew", "law", "oversight", "site-rule"]
About = Literal["agreement", "capability", "response-time", "other"]
Tried = Literal["dialled", "confirmed"]
Hanging = Literal["hung", "seen", "taken-down"]
FitResult = Literal["pass", "not-yet"]
Tested = Literal["radio", "red-stop", "telephone", "meter", "light", "other"]


@record
class Entry(Node):
    """What every entry holds. `mark` names it in a correction: the first eight digits of the digest of what the line says."""

    mark: str = ""
    kind: str = ""
    on: date | None = says("The day on which it happened.", "2026-10-05", required=True)
    by: Name | None = says("Who did it: the person, not the role.", "R. Kent", required=True)
    note: Text | None = says("What else is worth keeping, without a cause or a blame.", "Light rust on the housing wiped off")


@record
class Inspection(Entry):
    """A part was inspected by someone other than its user."""

    part: Key = says("The part, by its id under equipment.", "D-1", default="", required=True, refers_to="equipment")
    result: Passed | None = says("Whether the part passed.", "pass", required=True)
    serial: Name | None = says("The serial number read on the part.", "D1-20417")


@record
class Test(Entry):
    """Something was tried: the radio, the red stop, the bay telephone, a meter, the light."""

    what: Tested | None = says("What was tried.", "radio", required=True)
    bay: Key | None = says("The bay, by its id under bays.", "B1", refers_to="bays")
    result: Passed | None = says("Whether it worked.", "pass", required=True)
    level: Name | None = says("The level that was read, for light.", "55 lx")


@record
class Training(Entry):
    """A person was trained, or did a practical exercise."""

    person: Key = says("The person, by id under people.", "U-01", default="", required=True, refers_to=("users", "rescuers"))
    course: Name | None = says(
        "The course, or rescue-practical for a practical exercise of a rescuer.", "fall protection user", required=True
    )
    language: Language | None = says("The language in which it was held.", "en")
    practical: bool | None = says("True when the person did it with his own hands.", True)


@record
class Contact(Entry):
    """A telephone number of the site was called to see that it is answered; never the public emergency number."""

    contact: Name = says("The contact, by its role under emergency.contacts.", "Rescue lead", default="", required=True)
    number: Name | None = says("The number that was called.", "555-0143", required=True)
    answered: bool | None = says("True when it was answered.", True, required=True)


@record
class NumberTried(Entry):
    """A changed alarm number was tried by another person than the one who changed it."""

    number: Name | None = says("The number.", "555-0150", required=True)
    how: Tried | None = says("Dialled, or confirmed on the non-emergency line for the public number.", "confirmed", required=True)


@record
class Kit(Entry):
    """A rescue kit, platform or ladder was looked over in its place."""

    kit: Key = says("The kit, by its id under equipment.", "K-1", default="", required=True, refers_to="equipment")
    whole: bool | None = says("True when seal and contents are whole.", True, required=True)


@record
class Posted(Entry):
    """A paper was hung, seen hanging or taken down."""

    place: Key = says("The place, by its id under posting.", "GATE-EN", default="", required=True, refers_to="postings")
    document: PaperName | None = says("The paper.", "contractor-notice", required=True)
    language: Language | None = says("Its language.", "en")
    revision: int | None = says("Its revision, as its foot says.", 3, minimum=1)
    foot_mark: str | None = says(
        "The mark in its foot; a draft that hangs has one and no revision.",
        "58b0 9853 fc00",
        pattern="^[0-9a-f]{4} [0-9a-f]{4} [0-9a-f]{4}$",
    )
    what: Hanging | None = says("Whether it was hung, seen hanging or taken down.", "hung", required=True)
    witness: Name | None = says("Who saw it.", "L. Brandt")
    photo: Name | None = says("The file name of a photograph.", "gate-2026-10-05.jpg")


@record
class Reviewed(Entry):
    """The plan was reviewed, gone through with the crew, or compared with the law; the work was watched, or a rule of the site."""

    conditions: ClassVar[Conditions] = (("what", "site-rule", ("rule",)),)

    what: Review | None = says(
        "What was reviewed: the plan, the plan with the crew, the law with its current text, the oversight of the work, or whether a rule of the site is kept.",
        "plan",
        required=True,
    )
    rule: Key | None = says("The rule of the site that was seen to be kept, by its id.", "SR-1", refers_to="site_rules")
    result: Text | None = says("What came of it.", "No change needed")


@record
class Commissioning(Entry):
    """A system was commissioned; this counts as the first inspection and test of each of its parts."""

    system: Key = says("The system, by its id under systems.", "S1", default="", required=True, refers_to="systems")
    report: Name | None = says("The number of the report.", "CR-014")


@record
class Closure(Entry):
    """A bay was closed for the day."""

    bay: Key = says("The bay, by its id under bays.", "B1", default="", required=True, refers_to="bays")
    shift: Key | None = says("The shift, by its id under shifts; left out for all of them.", "night", refers_to="shifts")
    reason: Text | None = says("Why it was closed, in one statement.", "The hook does not lock", required=True)


@record
class Opened(Entry):
    """A bay that was closed for the day was opened again."""

    bay: Key = says("The bay, by its id under bays.", "B1", default="", required=True, refers_to="bays")
    shift: Key | None = says("The shift, by its id under shifts; left out for all of them.", "night", refers_to="shifts")
    second: Name | None = says("The second person who opened it: the supervisor on shift.", "L. Brandt", required=True)


@record
class Fit(Entry):
    """A person was held against both limits; it holds pass and the limits, never a weight."""

    person: Key = says("The person, by id under people.", "U-01", default="", required=True, refers_to=("users", "rescuers"))
    result: FitResult | None = says("Pass or not yet.", "pass", required=True)
    lower: Mass | None = says("The lower limit against which the person was held.", "130 lb", toward="nearest")
    upper: Mass | None = says("The upper limit against which the person was held.", "310 lb", required=True, toward="nearest")
    role: Key | None = says("The role that checked, by its id under roles.", "competent-person", refers_to="roles")


@record
class Arrest(Entry):
    """The equipment of a bay stopped a fall: the parts named and the load path of the bay are stopped until they are cleared."""

    bay: Key = says("The bay, by its id under bays.", "B1", default="", required=True, refers_to="bays")
    parts: tuple[Key, ...] = says(
        "Every part that bore it, by its id under equipment.",
        ["D-1", "H-A"],
        default=(),
        required=True,
        unique=True,
        at_least=1,
        refers_to="equipment",
    )
    persons: tuple[Key, ...] = says(
        "The people concerned who must be trained again, by id under people.",
        ["U-01"],
        default=(),
        unique=True,
        refers_to=("users", "rescuers"),
    )


@record
class Cleared(Entry):
    """A part that bore a fall, or that was tagged, was cleared by the competent person under the maker's manual."""

    part: Key = says("The part, by its id under equipment.", "D-1", default="", required=True, refers_to="equipment")
    page: Name | None = says("The page of the manual under which it was cleared.", "page 30", required=True)


@record
class Tagged(Entry):
    """A part was taken out of service."""

    part: Key = says("The part, by its id under equipment.", "D-1", default="", required=True, refers_to="equipment")
    reason: Text | None = says("Why it was taken out.", "Load indicator shown", required=True)


@record
class Drill(Entry):
    """A rescue was practised against the clock."""

    method: Key = says("The method, by its id under methods.", "M2", default="", required=True, refers_to="methods")
    shift: Key | None = says("The shift, by its id under shifts.", "night", required=True, refers_to="shifts")
    bay: Key | None = says("The bay, by its id under bays.", "B1", required=True, refers_to="bays")
    vehicle: Key | None = says("The vehicle, by its id under vehicles.", "tanker", required=True, refers_to="vehicles")
    contact: Time | None = says("From the alarm to the first touch.", "3.5 min")
    ground: Time | None = says("From the alarm to the person on the ground.", "8.0 min", required=True)
    pair: Name | None = says("The pair that did it.", "RS-1 and RS-2")
    dummy: Name | None = says("The dummy.", "Dummy of 310 lb")
    light: Name | None = says("The light in which it was done.", "Night, head lamps")
    result: Text | None = says("What went wrong, and what was mended.", "The pole was fetched late; it now hangs at the kit")


@record
class ClimbLookedAt(Entry):
    """One climb was looked at."""

    bay: Key = says("The bay, by its id under bays.", "B1", default="", required=True, refers_to="bays")
    seen: Text | None = says("What was seen.", "Hooked on before leaving the ground", required=True)


@record
class Breach(Entry):
    """A rule was broken."""

    bay: Key | None = says("The bay, by its id under bays.", "B1", refers_to="bays")
    class_: Name | None = says(
        "Who broke it: the word own for the site's own crew, otherwise the class of contractor.", "own", "driver", required=True
    )
    persons: tuple[Key, ...] = says(
        "The people concerned who must be trained again, by id under people.",
        ["U-01"],
        default=(),
        unique=True,
        refers_to=("users", "rescuers"),
    )
    text: Text | None = says("What happened, without names.", "A user unhooked on the walkway to reach the rear manlid")
    step: int | None = says("The step of the enforcement that followed.", 1, minimum=1, maximum=20)
    done: Text | None = says("What was done.", "Corrected and recorded")


@record
class NearMiss(Entry):
    """Something could have hurt someone."""

    bay: Key | None = says("The bay, by its id under bays.", "B1", refers_to="bays")
    persons: tuple[Key, ...] = says(
        "The people concerned who must be trained again, by id under people.",
        ["U-01"],
        default=(),
        unique=True,
        refers_to=("users", "rescuers"),
    )
    text: Text | None = says("What happened, without a cause or a blame.", "A driver stepped onto the ladder", required=True)


@record
class Changed(Entry):
    """Something changed for the people at work, so that those concerned must be trained again."""

    bay: Key | None = says("The bay, by its id under bays.", "B1", refers_to="bays")
    persons: tuple[Key, ...] = says(
        "The people concerned who must be trained again, by id under people.",
        ["U-01"],
        default=(),
        unique=True,
        refers_to=("users", "rescuers"),
    )
    text: Text | None = says("What changed.", "The hook now locks with a turn to the left", required=True)


@record
class Recommendation(Entry):
    """Something is to be mended: who sees to it, until when, and what protects people meanwhile."""

    text: Text | None = says("What is recommended.", "A gate at the ladder", required=True)
    finding: Name | None = says("The finding that it answers, by its name.", "lighting-unstated")
    at: Name | None = says("The place of that finding in the profile.", "bays[B1]")
    owner: Key | None = says("The role that sees to it, by its id under roles.", "safety-manager", refers_to="roles")
    due: date | None = says("The day by which it is done.", "2026-12-01")
    interim: Text | None = says("What protects people until then.", "No work there after dark")


@record
class Done(Entry):
    """What an earlier entry left open is closed."""

    entry: Name = says("The mark of the entry that is closed.", "3f9a12bc", default="", required=True)
    evidence: Text | None = says("What shows it.", "Photograph and inspection of 2026-11-02", required=True)


@record
class Certificate(Entry):
    """A certificate or a proof of insurance is on file."""

    what: Name | None = says("What it certifies.", "Platform operator card", required=True)
    of: Name | None = says("For which part, place or firm.", "Tank Wash Co. (invented)", required=True)
    until: date | None = says("Its last day.", "2027-03-31")


@record
class Letter(Entry):
    """A letter is on file."""

    about: About | None = says(
        "What it says: that the outside agency agrees to come, that it can reach a person who hangs here, how soon it comes, or something else.",
        "agreement",
        required=True,
    )
    of: Name | None = says("Who wrote it.", "Fire service of Sable County (invented)", required=True)


@record
class Visit(Entry):
    """Somebody from outside saw the site."""

    of: Name | None = says("Who came.", "Fire service of Sable County (invented)", required=True)
    what: Text | None = says("What was seen or tried.", "Walked from the gate to both bays")


@record
class Photo(Entry):
    """A photograph shows a sign, a mark, an anchor or a label as it is."""

    what: Name | None = says("What it shows.", "Label of D-1", required=True)
    file: Name | None = says("Its file name.", "d1-label.jpg", required=True)


@record
class ContractSeen(Entry):
    """The condition of entry was seen in the contract of a firm."""

    firm: Name | None = says("The firm, as contractors.firms names it.", "Tank Wash Co. (invented)", required=True)
    sentence: Text | None = says(
        "The sentence that was seen.", "The rules posted at the gate are a condition of entry", required=True
    )


@record
class UnknownVehicle(Entry):
    """A vehicle came that is not in the table."""

    what: Name | None = says("What kind of vehicle it was.", "low trailer", required=True)
    bay: Key | None = says("The bay at which it asked to be served, by its id under bays.", "B1", refers_to="bays")
    visits: int | None = says("How often it came since the last such entry.", 3, minimum=1)
    deck: Length | None = says("The height of its deck, where someone measured it.", "3.2 ft", toward="nearest")


@record
class Cards(Entry):
    """Climbs and filled cards of a month were counted."""

    month: str | None = says("The month, as year and month.", "2026-09", required=True, pattern="^[0-9]{4}-(0[1-9]|1[0-2])$")
    climbs: int | None = says("How many work shifts with a climb the shift log shows.", 212, minimum=0, required=True)
    filled: int | None = says("How many cards were filled in.", 205, minimum=0, required=True)


@record
class Hold(Entry):
    """From this day nothing on record is deleted, overwritten or rendered again, or that ends."""

    state: State | None = says("On or off.", "on", required=True)
    reason: Text | None = says("Why.", "Request of counsel of 2026-11-03", required=True)


@record
class Correction(Entry):
    """An earlier entry was wrong: it no longer counts. What is right is an entry of its own."""

    entry: Name = says("The mark of the entry that was wrong.", "3f9a12bc", default="", required=True)
    reason: Text | None = says("What was wrong with it.", "Wrong serial number read", required=True)


E = TypeVar("E", bound=Entry)
#: The class of a breach by the own crew.
OWN = "own"

KINDS: Mapping[str, type[Entry]] = {
    "inspection": Inspection,
    "test": Test,
    "training": Training,
    "contact": Contact,
    "number-tried": NumberTried,
    "kit": Kit,
    "posting": Posted,
    "review": Reviewed,
    "commissioning": Commissioning,
    "closure": Closure,
    "opened": Opened,
    "fit": Fit,
    "arrest": Arrest,
    "cleared": Cleared,
    "tagged": Tagged,
    "drill": Drill,
    "climb-looked-at": ClimbLookedAt,
    "breach": Breach,
    "near-miss": NearMiss,
    "change": Changed,
    "recommendation": Recommendation,
    "done": Done,
    "certificate": Certificate,
    "letter": Letter,
    "visit": Visit,
    "photo": Photo,
    "contract-seen": ContractSeen,
    "unknown-vehicle": UnknownVehicle,
    "cards": Cards,
    "hold": Hold,
    "correction": Correction,
}


def mark_of(raw: Mapping[str, Any]) -> str:
    """The mark of an entry: eight hex digits of the SHA-256 of what it says, keys in order, whatever the order on the line."""
    text = json.dumps(raw, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:8]


@record
class Log:
    """What happened, in the order of the file; entries that a correction takes back are left out of `standing`."""

    entries: tuple[Entry, ...] = ()
    source_lines: Mapping[str, Mark] = field(default_factory=dict, compare=False, repr=False)

    @property
    def standing(self) -> tuple[Entry, ...]:
        """Every entry that no later correction takes back, corrections aside: what is entered again after one counts."""
        wrong: set[str] = set()
        kept: list[Entry] = []
        for entry in reversed(self.entries):
            if isinstance(entry, Correction):
                wrong.add(entry.entry)
            elif entry.mark not in wrong:
                kept.append(entry)
        return tuple(reversed(kept))

    def of(self, kind: type[E], until: date | None = None) -> Iterator[E]:
        """Standing entries of a kind up to a day, in the order of the file."""
        for entry in self.standing:
            if isinstance(entry, kind) and (until is None or entry.on is None or entry.on <= until):
                yield entry
