"""What the log says on a day: pure answers out of (site, log, day), for findings, due dates, papers without a digest and control.

    happened = Happened(site, log, as_of)
    happened.inspection_of("D-1"), happened.hangs("GATE-1"), happened.held

An entry after the day does not count, nor one that a correction takes back. Nothing here reads records, law or the clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from functools import cached_property
from typing import Literal, TypeVar

from docgen.frozen import frozen
from docgen.site import Contact, Log, Role, Site
from docgen.site.equipment import BEARING
from docgen.site.log import (
    Arrest,
    Breach,
    Cards,
    Certificate,
    Changed,
    Cleared,
    Closure,
    Commissioning,
    ContractSeen,
    Done,
    Drill,
    Entry,
    Fit,
    Hold,
    Inspection,
    Kit,
    Letter,
    NearMiss,
    NumberTried,
    Opened,
    Posted,
    Reviewed,
    Tagged,
    Test,
    Training,
    UnknownVehicle,
    Visit,
)
from docgen.site.log import Contact as Called

__all__ = ["BEARING", "PRACTICAL", "Concerned", "Hanging", "Happened", "Inspected", "Stopped"]

#: The course of a practical exercise of a rescuer.
PRACTICAL = "rescue-practical"
#: What calls for new training of those concerned.
Concerned = NearMiss | Breach | Arrest | Changed
E = TypeVar("E", bound=Entry)


@frozen
class Inspected:
    """The last inspection of a part, or the commissioning of its system, which counts as the first. `path` is that of the entry."""

    path: str
    on: date
    by: str
    passed: bool
    serial: str | None = None


@frozen
class Hanging:
    """A paper that hangs at a place: what was hung, when, by whom, who saw it, and when somebody last looked."""

    path: str
    place: str
    document: str
    language: str | None
    revision: int | None
    on: date
    by: str
    witness: str | None
    photo: str | None
    seen: date
    foot_mark: str | None = None

    @property
    def draft(self) -> bool:
        """Whether it is a text that was never issued: it bears a mark and no revision."""
        return self.foot_mark is not None and self.revision is None


@frozen
class Stopped:
    """A part that nobody may use since a day: it stopped a fall in a bay, or it was tagged."""

    path: str
    part: str
    how: Literal["arrested", "tagged"]
    on: date
    reason: str | None = None


@frozen
class Happened:
    """The log as it is asked on one day."""

    site: Site
    log: Log
    as_of: date

    def line(self, path: str) -> int | None:
        """Line in log.yaml of an entry by its path, or None."""
        mark = self.log.source_lines.get(path)
        return mark.line if mark is not None else None

    @cached_property
    def _kinds(self) -> Mapping[type[Entry], tuple[Entry, ...]]:
        found: dict[type[Entry], list[Entry]] = {}
        for entry in self.log.standing:
            if entry.on is not None and entry.on <= self.as_of:
                found.setdefault(type(entry), []).append(entry)
        return {kind: tuple(entries) for kind, entries in found.items()}

    def of(self, kind: type[E]) -> tuple[E, ...]:
        """Entries of a kind up to the day, in the order of the file."""
        return tuple(e for e in self._kinds.get(kind, ()) if isinstance(e, kind))

    @cached_property
    def later(self) -> tuple[Entry, ...]:
        """Entries of a day that has not come."""
        return tuple(e for e in self.log.standing if e.on is not None and e.on > self.as_of)

    # --- parts ----------------------------------------------------------------------------------------------------------

    @cached_property
    def _inspected(self) -> Mapping[str, Inspected]:
        found: dict[str, Inspected] = {}
        for system in self.of(Commissioning):
            named = next((s for s in self.site.systems if s.id == system.system), None)
            for part in (*named.parts, *named.harnesses) if named is not None else ():
                if self._came(part) > _day(system):
                    continue  # it took the place of the part that was commissioned
                _newest(found, part, Inspected(system.path, _day(system), system.by or "", True))
        for look in self.of(Inspection):
            _newest(found, look.part, Inspected(look.path, _day(look), look.by or "", look.result == "pass", look.serial))
        return found

    def _came(self, part: str) -> date:
        """The day on which a part took the place of another; the first day there is for one that took none."""
        return max((r.on for r in self.site.retired if r.by == part and r.of == "part" and r.on is not None), default=date.min)

    def inspection_of(self, part: str) -> Inspected | None:
        """The last inspection of a part."""
        return self._inspected.get(part)

    @cached_property
    def _stopped(self) -> Mapping[str, tuple[Stopped, ...]]:
        found: dict[str, list[Stopped]] = {}
        for entry in self._in_time(Arrest, Tagged, Cleared):
            if isinstance(entry, Arrest):
                for part in self._bore(entry):
                    found.setdefault(part, []).append(Stopped(entry.path, part, "arrested", _day(entry)))
            elif isinstance(entry, Tagged):
                found.setdefault(entry.part, []).append(Stopped(entry.path, entry.part, "tagged", _day(entry), entry.reason))
            elif isinstance(entry, Cleared):
                found.pop(entry.part, None)
        return {part: tuple(reasons) for part, reasons in found.items()}

    def _bore(self, arrest: Arrest) -> tuple[str, ...]:
        """The parts named, and the load path of the bay with its end stops, whether it was named or not."""
        system = self.site.system_of(arrest.bay)
        path = self.site.belonging(system) if system is not None else ()
        return tuple(dict.fromkeys([*arrest.parts, *(p.id for p in path if p.kind in BEARING)]))

    def stopped(self, part: str) -> tuple[Stopped, ...]:
        """Why nobody may use a part, oldest first; empty once it is cleared."""
        return self._stopped.get(part, ())

    @cached_property
    def tagged(self) -> frozenset[str]:
        """Parts that are tagged out."""
        return frozenset(part for part, reasons in self._stopped.items() if any(r.how == "tagged" for r in reasons))

    def test_of(self, what: str, bay: str | None = None) -> Test | None:
        """The last time something was tried; at a bay, where one is named."""
        return _last(t for t in self.of(Test) if t.what == what and bay in (None, t.bay))

    def kit_of(self, kit: str) -> Kit | None:
        """The last look at a rescue kit."""
        return _last(k for k in self.of(Kit) if k.kit == kit)

    # --- people ---------------------------------------------------------------------------------------------------------

    def training_of(self, person: str) -> Training | None:
        """The last training of a person as a user."""
        return _last(t for t in self.of(Training) if t.person == person and t.course != PRACTICAL)

    def practical_of(self, rescuer: str) -> Training | None:
        """The last practical exercise of a rescuer."""
        return _last(t for t in self.of(Training) if t.person == rescuer and t.course == PRACTICAL)

    def fit_of(self, person: str) -> Fit | None:
        """The last check of a person against the limits."""
        return _last(f for f in self.of(Fit) if f.person == person)

    def roles_of(self, entry: Entry | Inspected) -> tuple[Role, ...]:
        """The roles that the writer of an entry held on its day, or whose title stands there instead of a name."""
        day = entry.on or self.as_of
        return tuple(r for r in self.site.roles if entry.by == r.title or ((h := r.on(day)) is not None and entry.by in h.names))

    # --- rescue ---------------------------------------------------------------------------------------------------------

    def drills_of(self, method: str | None = None, shift: str | None = None, vehicle: str | None = None) -> tuple[Drill, ...]:
        """Drills of a method, a shift, a vehicle, or of any; oldest first."""
        asked = (
            d for d in self.of(Drill)
            if method in (None, d.method) and shift in (None, d.shift) and vehicle in (None, d.vehicle)
        )  # fmt: skip
        return tuple(sorted(asked, key=_day))

    def called(self, contact: Contact) -> date | None:
        """The last day on which the number of a contact was answered; another number than today's proves nothing of it.

        The public emergency number is never called to try it: of that one only a confirmation counts.
        """
        tried = [n for n in self.of(NumberTried) if n.number == contact.number]
        if self.site.emergency.is_public(contact.number):
            return max((_day(n) for n in tried if n.how == "confirmed"), default=None)
        answered = (_day(c) for c in self.of(Called) if (c.contact, c.number) == (contact.role, contact.number) and c.answered)
        return max((*answered, *map(_day, tried)), default=None)

    def letter(self, about: str) -> Letter | None:
        """The last letter of the outside agency about something."""
        return _last(x for x in self.of(Letter) if x.about == about and self._outside(x.of))

    def contract_seen(self, firm: str) -> ContractSeen | None:
        """When the condition of entry was last seen in the contract of a firm."""
        return _last(c for c in self.of(ContractSeen) if (c.firm or "").casefold() == firm.casefold())

    def certificates_of(self, of: str) -> tuple[Certificate, ...]:
        """The certificates and proofs of insurance on file for a part, place or firm."""
        return tuple(c for c in self.of(Certificate) if (c.of or "").casefold() == of.casefold())

    @property
    def visited(self) -> Visit | None:
        """The last visit of the outside agency."""
        return _last(v for v in self.of(Visit) if self._outside(v.of))

    def _outside(self, of: str | None) -> bool:
        agency = self.site.rescue.external.agency
        return agency is None or (of or "").casefold() == agency.casefold()

    # --- papers, rules, law ---------------------------------------------------------------------------------------------

    def hangs(self, place: str) -> Hanging | None:
        """What hangs at a place, or None where nothing was hung or it was taken down."""
        return self._hanging.get(place)

    @cached_property
    def _hanging(self) -> Mapping[str, Hanging]:
        found: dict[str, Hanging] = {}
        for entry in self._in_time(Posted):
            if not isinstance(entry, Posted):
                continue
            day = _day(entry)
            there = found.get(entry.place)
            if entry.what == "taken-down":
                found.pop(entry.place, None)
            elif entry.what == "seen" and there is not None and _same(entry, there):
                found[entry.place] = Hanging(
                    there.path, there.place, there.document, there.language, there.revision, there.on, there.by,
                    there.witness or entry.witness, entry.photo or there.photo, day, entry.foot_mark or there.foot_mark,
                )  # fmt: skip
            else:
                found[entry.place] = Hanging(
                    entry.path, entry.place, entry.document or "", entry.language, entry.revision, day, entry.by or "",
                    entry.witness, entry.photo, day, entry.foot_mark,
                )  # fmt: skip
        return found

    def review_of(self, what: str, rule: str | None = None) -> Reviewed | None:
        """The last review of a kind; of a rule of the site, where one is named."""
        return _last(r for r in self.of(Reviewed) if r.what == what and rule in (None, r.rule))

    # --- events ---------------------------------------------------------------------------------------------------------

    @cached_property
    def events(self) -> tuple[Concerned, ...]:
        """Near misses, breaches, arrested falls and changes, by day."""
        found = (e for e in self._in_time(NearMiss, Breach, Arrest, Changed) if isinstance(e, Concerned))
        return tuple(found)

    def done(self, entry: Entry) -> Done | None:
        """What closed an entry, or None while it is open."""
        return _last(d for d in self.of(Done) if d.entry == entry.mark)

    @property
    def unknown_vehicles(self) -> tuple[UnknownVehicle, ...]:
        """Vehicles that came, are not in the table and are not settled, the last entry of each kind."""
        known = {v.name.casefold() for v in self.site.vehicles} | {v.id.casefold() for v in self.site.vehicles}
        last = {v.what: v for v in self.of(UnknownVehicle) if (v.what or "").casefold() not in known}
        return tuple(v for v in last.values() if self.done(v) is None)

    @property
    def cards(self) -> tuple[Cards, ...]:
        """Counted months that are not settled, the last count of each."""
        return tuple(c for c in {c.month: c for c in self.of(Cards)}.values() if self.done(c) is None)

    # --- holds and closures ---------------------------------------------------------------------------------------------

    @property
    def holds(self) -> tuple[Hold, ...]:
        """Each time a hold began or ended."""
        return tuple(e for e in self._in_time(Hold) if isinstance(e, Hold))

    @property
    def held(self) -> Hold | None:
        """The hold that stands, if one does."""
        last = self.holds[-1] if self.holds else None
        return last if last is not None and last.state == "on" else None

    @cached_property
    def closures(self) -> tuple[Closure, ...]:
        """Closures by hand that nobody has opened again."""
        found: list[Closure] = []
        for entry in self._in_time(Closure, Opened):
            if isinstance(entry, Closure):
                found.append(entry)
            elif isinstance(entry, Opened):
                found = [c for c in found if c.bay != entry.bay or entry.shift not in (None, c.shift)]
        return tuple(found)

    def _in_time(self, *kinds: type[Entry]) -> Iterator[Entry]:
        """Entries of several kinds by day; of one day in the order of the file."""
        entries = (e for e in self.log.standing if isinstance(e, kinds) and e.on is not None and e.on <= self.as_of)
        yield from sorted(entries, key=_day)


def _same(seen: Posted, there: Hanging) -> bool:
    """Whether what was seen is what was hung, as far as anybody wrote down which it is."""
    if seen.foot_mark is not None and there.foot_mark is not None:
        return seen.foot_mark == there.foot_mark
    return seen.revision == there.revision or (seen.revision is None and seen.foot_mark is None)


def _day(entry: Entry) -> date:
    """The day of an entry; the format asks for one."""
    return entry.on or date.min


def _last(entries: Iterable[E]) -> E | None:
    """The newest of some entries; of one day the one that stands last in the file."""
    found: E | None = None
    for entry in entries:
        if found is None or _day(entry) >= _day(found):
            found = entry
    return found


def _newest(found: dict[str, Inspected], part: str, look: Inspected) -> None:
    if part not in found or look.on >= found[part].on:
        found[part] = look
