"""What is wrong with a new entry of the log against the site, its day, and what is on file: what its form alone does not show."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from functools import cache

from docgen.check import nearest
from docgen.codes import load
from docgen.compose.digest import short_digest
from docgen.errors import Refusal
from docgen.findings import RULES
from docgen.happened import PRACTICAL
from docgen.records import Records
from docgen.signs import name_key
from docgen.site import Log, Part, Quantity, Role, RolePart, Site, walk
from docgen.site.log import (
    OWN,
    Breach,
    Cards,
    Certificate,
    Cleared,
    Contact,
    ContractSeen,
    Correction,
    Drill,
    Entry,
    Fit,
    Inspection,
    Kit,
    NumberTried,
    Opened,
    Posted,
    Recommendation,
    Training,
    UnknownVehicle,
)

__all__ = ["judge", "marks_of", "wrong_day"]

#: Days of the profile that say nothing of how old a site is: they lie ahead, or nothing was done on them.
NOT_DONE = frozenset({"retire_by", "expires", "effective", "to", "until", "due"})
#: The parts whose holders may inspect any part of the equipment.
INSPECT: tuple[RolePart, ...] = ("inspector", "competent-person", "qualified-person")
Told = Iterator[tuple[str, Refusal]]


def judge(entry: Entry, site: Site, before: Log, today: date, records: Records) -> Told:
    """Each thing that is wrong: the field, by its name in the file, and why; nothing where the entry may stand.

    `before` is the log on file, `today` the day on which the entry is made.
    """
    on = entry.on
    if on is None:
        return
    wrong = wrong_day(on, site, before, today)
    if wrong is not None:
        yield "on", wrong
        return
    yield from _writer("by", entry.by or "", site, on)
    for kind, rule in KINDS_JUDGED:
        if isinstance(entry, kind):
            yield from rule(entry, on, site, before, records)


# --- the day -------------------------------------------------------------------------------------------------------------------------


def wrong_day(on: date, site: Site, before: Log, today: date) -> Refusal | None:
    """Why nothing can have happened on a day: it has not come, no law is known for it, or the site had not begun; None where it can."""
    if on > today:
        return Refusal("log-day-ahead", on=on, today=today)
    if not _law_known(site.site.jurisdiction, site.site.sector, site.document.effective or today, on):
        return Refusal("log-day-before-law", on=on, place=site.site.jurisdiction)
    known = [(day, path) for path, day in _done(site)]
    begun, path = min(known, default=(on, ""))
    mark = site.source_lines.get(path)
    begun = min((begun, *(e.on for e in before.entries if e.on is not None)))
    if on < begun:
        return Refusal("log-day-before-site", on=on, begun=begun, path=path, line=mark.line if mark is not None else 1)
    return None


def _done(site: Site) -> Iterator[tuple[str, date]]:
    """Every day of the profile on which something was done, with its path."""
    for path, value in walk(site):
        if isinstance(value, Quantity):
            if value.on is not None:
                yield f"{path}.on", value.on
        elif isinstance(value, date) and path.rpartition(".")[2] not in NOT_DONE:
            yield path, value


@cache
def _law_known(jurisdiction: str, sector: str, day: date, on: date) -> bool:
    """Whether the data of the law hold an answer to any question on a day."""
    return load(jurisdiction, sector, day).knows(on)


# --- people --------------------------------------------------------------------------------------------------------------------------


def _writer(field: str, name: str, site: Site, on: date) -> Told:
    """The person and not the role, spelled as the profile spells the name."""
    role = next((r for r in site.roles if name in (r.id, r.title)), None)
    if role is not None:
        holder = role.on(on)
        if holder is not None:
            yield field, Refusal("log-role-for-person", given=name, title=role.title, name=holder.called_on(on), on=on)
        elif name == role.id != role.title:
            yield field, Refusal("log-id-for-person", given=name, title=role.title)
        return
    known = dict.fromkeys(
        [*(name for r in site.roles for h in r.holders for name in h.names), *(r.name for r in site.reviewers if r.name)]
    )
    meant = next((k for k in known if name_key(k) == name_key(name)), None)
    if name not in known and meant is not None:
        yield field, Refusal("log-name-near", given=name, name=meant)


def _holds(role: Role, name: str, on: date) -> bool:
    holder = role.on(on)
    return name == role.title if holder is None else name in holder.names


def _of_part(field: str, part: RolePart, name: str, site: Site, on: date) -> Told:
    """That the person has a part on that day."""
    roles = site.roles_of(part)
    if any(_holds(role, name, on) for role in roles):
        return
    held = tuple(holder.called_on(on) for role in roles if (holder := role.on(on)) is not None)
    title = roles[0].title if roles else part
    if held:
        yield field, Refusal("log-part-not-held", title=title, on=on, names=held, given=name)
    else:
        yield field, Refusal("log-part-held-by-nobody", title=title, on=on, given=name)


def _fit(entry: Fit, on: date, site: Site, before: Log, records: Records) -> Told:
    role = site.role(entry.role)
    if role is not None and not _holds(role, entry.by or "", on):
        holder = role.on(on)
        if holder is not None:
            yield (
                "role",
                Refusal("log-part-not-held", title=role.title, on=on, names=(holder.called_on(on),), given=entry.by or ""),
            )
        else:
            yield "role", Refusal("log-part-held-by-nobody", title=role.title, on=on, given=entry.by or "")


def _cleared(entry: Cleared, on: date, site: Site, before: Log, records: Records) -> Told:
    yield from _of_part("by", "competent-person", entry.by or "", site, on)


def _opened(entry: Opened, on: date, site: Site, before: Log, records: Records) -> Told:
    yield from _writer("second", entry.second or "", site, on)
    if name_key(entry.second or "") == name_key(entry.by or ""):
        yield "second", Refusal("log-second-is-first", name=entry.by or "")


def _training(entry: Training, on: date, site: Site, before: Log, records: Records) -> Told:
    rescuers = tuple(r.id for r in site.people.rescuers)
    if entry.course == PRACTICAL and entry.person not in rescuers:
        yield "person", Refusal("log-no-rescuer", person=entry.person, known=rescuers)


# --- parts ---------------------------------------------------------------------------------------------------------------------------


def _inspection(entry: Inspection, on: date, site: Site, before: Log, records: Records) -> Told:
    part = site.part(entry.part)
    if part is None:
        return
    yield from _inspector(part, entry.by or "", site, on)
    if part.serial is None or not _single(part):
        return
    if entry.serial is None:
        yield "serial", Refusal("log-serial-unread", part=part.id)
    elif entry.serial.strip() != part.serial.strip():
        yield "serial", Refusal("log-serial-differs", part=part.id, found=entry.serial, serial=part.serial)


def _inspector(part: Part, name: str, site: Site, on: date) -> Told:
    """That whoever the profile knows by name may inspect the part: by its own field, or as one who inspects or judges; a firm from outside it knows not."""
    named = site.role(part.inspection.by)
    able = [role for kind in INSPECT for role in site.roles_of(kind)]
    roles = [named, *able] if named is not None else able
    if any(_holds(role, name, on) or name in dict(role.delegates_on(on)) for role in roles):
        return
    reviews = {r.part for r in site.reviewers if r.name == name}
    if not reviews.isdisjoint((*INSPECT, "engineer")):
        return
    has_role = (name in (r.title, *(n for h in r.holders for n in h.names), *(d.name for d in r.delegates)) for r in site.roles)
    if not (reviews or any(has_role)):
        return
    asked = roles[0] if roles else None
    holder = asked.on(on) if asked is not None else None
    title = asked.title if asked is not None else INSPECT[0]
    if holder is not None:
        yield "by", Refusal("log-part-not-held", title=title, on=on, names=(holder.called_on(on),), given=name)
    else:
        yield "by", Refusal("log-part-held-by-nobody", title=title, on=on, given=name)


def _single(part: Part) -> bool:
    """Whether a part is one piece with one number, not a pool of them."""
    return part.count in (None, 1)


def _kit(entry: Kit, on: date, site: Site, before: Log, records: Records) -> Told:
    kits = tuple(dict.fromkeys([*(k.kit for k in site.rescue.kit_places), *(kit for m in site.rescue.methods for kit in m.kits)]))
    if kits and entry.kit not in kits:
        yield "kit", Refusal("log-no-kit", part=entry.kit, known=kits)


def _drill(entry: Drill, on: date, site: Site, before: Log, records: Records) -> Told:
    if entry.contact is not None and entry.ground is not None and entry.contact.si > entry.ground.si:
        yield "contact", Refusal("log-contact-after-ground", contact=entry.contact.text, ground=entry.ground.text)


# --- telephone numbers ---------------------------------------------------------------------------------------------------------------


def _contact(entry: Contact, on: date, site: Site, before: Log, records: Records) -> Told:
    known = {c.role: c.number for c in site.emergency.contacts}
    if site.emergency.is_public(entry.number):
        yield "number", Refusal("log-public-number", number=entry.number or "")
    elif entry.contact not in known:
        yield "contact", _unknown("contact", entry.contact, known)
    elif entry.number != known[entry.contact]:
        yield (
            "number",
            Refusal("log-number-differs", contact=entry.contact, number=known[entry.contact], given=entry.number or ""),
        )


def _number_tried(entry: NumberTried, on: date, site: Site, before: Log, records: Records) -> Told:
    numbers = tuple(dict.fromkeys(number for _, number in site.alarm_numbers()))
    if entry.number not in numbers:
        yield "number", Refusal("log-number-unknown", number=entry.number or "", known=numbers)
    elif site.emergency.is_public(entry.number) and entry.how == "dialled":
        yield "how", Refusal("log-public-number", number=entry.number or "")


# --- papers and the rest -------------------------------------------------------------------------------------------------------------


def _posted(entry: Posted, on: date, site: Site, before: Log, records: Records) -> Told:
    place = next((p for p in site.posting if p.id == entry.place), None)
    if place is not None and place.document is not None and entry.document != place.document:
        yield "document", Refusal("log-other-paper", place=entry.place, document=place.document, given=entry.document or "")
    if entry.what == "taken-down" or entry.revision is None or entry.document is None:
        return
    held = [
        (r.revision, r.on)
        for r in records.issued
        for t in r.texts
        if t.document.partition(".")[0] == entry.document and entry.language in (None, t.language)
    ]
    day = dict(held).get(entry.revision)
    if day is None:
        known = tuple(str(number) for number in dict(held)) or ("none",)
        yield "revision", Refusal("log-no-such-revision", revision=entry.revision, document=entry.document, known=known)
    elif on < day:
        yield "on", Refusal("log-before-revision", on=on, revision=entry.revision, issued=day)
    elif entry.foot_mark is not None and place is not None:
        marks = marks_of(place.paper, entry.language or place.language, records)
        if entry.foot_mark != (printed := marks.get(entry.revision, "-")):
            said = Refusal("log-mark-differs", revision=entry.revision, document=place.paper, mark=entry.foot_mark, held=printed)
            yield "foot_mark", said


def marks_of(paper: str, language: str | None, records: Records) -> dict[int, str]:
    """The mark of each issued revision of a paper, of one bay where there is one for each, in a language or in any."""
    return {
        r.revision: short_digest(t.digest)
        for r in records.issued
        for t in r.texts
        if t.document == paper and language in (None, t.language)
    }


def _breach(entry: Breach, on: date, site: Site, before: Log, records: Records) -> Told:
    known = (OWN, *(c.id for c in site.contractors.classes))
    if entry.class_ not in known:
        yield "class", _unknown("class", entry.class_ or "", known)


def _contract(entry: ContractSeen, on: date, site: Site, before: Log, records: Records) -> Told:
    known = [f.name for f in site.contractors.firms]
    if entry.firm not in known:
        yield "firm", _unknown("firm", entry.firm or "", known)


def _vehicle(entry: UnknownVehicle, on: date, site: Site, before: Log, records: Records) -> Told:
    named = (entry.what or "").casefold()
    if known := next((v for v in site.vehicles if named in (v.id.casefold(), v.name.casefold())), None):
        yield "what", Refusal("log-vehicle-known", vehicle=known.name)


def _cards(entry: Cards, on: date, site: Site, before: Log, records: Records) -> Told:
    if (entry.month or "") > f"{on:%Y-%m}":
        yield "month", Refusal("log-month-ahead", month=entry.month or "", on=on)


def _certificate(entry: Certificate, on: date, site: Site, before: Log, records: Records) -> Told:
    if entry.until is not None and entry.until < on:
        yield "until", Refusal("log-ends-before", field="until", last=entry.until, on=on)


def _recommendation(entry: Recommendation, on: date, site: Site, before: Log, records: Records) -> Told:
    if entry.due is not None and entry.due < on:
        yield "due", Refusal("log-ends-before", field="due", last=entry.due, on=on)
    if entry.finding is not None and entry.finding not in (known := [rule.name for rule in RULES]):
        yield "finding", _unknown("finding", entry.finding, known)


def _correction(entry: Correction, on: date, site: Site, before: Log, records: Records) -> Told:
    wrong = next((e for e in before.entries if e.mark == entry.entry), None)
    if wrong is None:
        return
    if all(e.mark != entry.entry for e in before.standing):
        yield "entry", Refusal("log-taken-back-already", entry=entry.entry)
    elif wrong.on is not None and on < wrong.on:
        yield "on", Refusal("log-correction-before", on=on, wrong=wrong.on)


def _unknown(field: str, given: str, known: Iterable[str]) -> Refusal:
    """A name that is not among those that there are; with the one that was most likely meant."""
    names = list(known)
    near = nearest(given, names)
    if near is not None:
        return Refusal("log-name-unknown-but-near", field=field, given=given, near=near)
    return Refusal("log-name-unknown", field=field, given=given, known=tuple(names[:12]) or ("none",))


Rule = Callable[..., Told]
KINDS_JUDGED: tuple[tuple[type[Entry], Rule], ...] = (
    (Fit, _fit),
    (Cleared, _cleared),
    (Opened, _opened),
    (Training, _training),
    (Inspection, _inspection),
    (Kit, _kit),
    (Drill, _drill),
    (Contact, _contact),
    (NumberTried, _number_tried),
    (Posted, _posted),
    (Breach, _breach),
    (ContractSeen, _contract),
    (UnknownVehicle, _vehicle),
    (Cards, _cards),
    (Certificate, _certificate),
    (Recommendation, _recommendation),
    (Correction, _correction),
)
