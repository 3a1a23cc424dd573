"""The profile: all of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field, replace
from datetime import date
from functools import cached_property
from typing import Any, Protocol, TypeVar, cast

from docgen.read import Mark
from docgen.signs import alike
from docgen.site.bays import Bay
from docgen.site.contractors import Contractors
from docgen.site.declare import Node, in_language, record, says, section
from docgen.site.equipment import BEARING, Part, System
from docgen.site.law import CodeSettings, Reviewer
from docgen.site.limits import Limits, SiteRule
from docgen.site.people import Inspection, People, Rescuer, Shift, Training
from docgen.site.place import DocumentControl, Place, Role, RolePart
from docgen.site.posting import Acceptance, Handling, Posting
from docgen.site.rescue import Emergency, Rescue
from docgen.site.retired import Retired
from docgen.site.vehicles import Task, Vehicle

__all__ = ["Site"]


class _WithId(Protocol):
    @property
    def id(self) -> str: ...


R = TypeVar("R", bound=_WithId)
T = TypeVar("T")


@record
class Site(Node):
    """The whole profile. Lookups by id return the record, or None."""

    site: Place = section(
        "The site: its name, where it is, and whose law applies.",
        {"id": "pine-hollow", "name": "Pine Hollow Yard", "jurisdiction": "US-KS"},
        required=True,
    )
    document: DocumentControl = section(
        "How the documents are numbered, written, reviewed and kept.",
        {"number": "PH-FP-03", "effective": "2026-11-01", "languages": ["en"], "review_interval": "12 months"},
        required=True,
    )
    roles: tuple[Role, ...] = says(
        "The roles that the documents name; management appoints them.",
        [{"id": "safety-manager", "title": "Safety manager", "part": ["safety-manager"], "phone": "555-0117"}],
        default=(),
        unique_by="title",
    )
    bays: tuple[Bay, ...] = says(
        "The bays in which people climb on vehicles, from the survey.",
        [{"id": "B1", "name": "Truck bay", "heights_from": "top of the slab at the bay drain"}],
        default=(),
        unique_by="name",
    )
    vehicles: tuple[Vehicle, ...] = says(
        "The types of vehicle that people climb on, measured on the highest of each type.",
        [{"id": "tanker", "name": "Tank trailer", "deck": "11.5 ft"}],
        default=(),
        unique_by="name",
    )
    tasks: tuple[Task, ...] = says(
        "The tasks for which people climb; whatever is not listed here is prohibited.",
        [{"id": "load", "bay": "B1", "vehicle": "tanker", "permission": "allowed"}],
        default=(),
    )
    equipment: tuple[Part, ...] = says(
        "Every part of the fall-protection and rescue equipment, read off labels and manuals.",
        [{"id": "D-1", "kind": "srd", "serial": "SR-20417"}],
        default=(),
    )
    systems: tuple[System, ...] = says(
        "Which parts form the load path of which bay.",
        [{"id": "S1", "bay": "B1", "parts": ["R-1", "T-1", "D-1"], "harnesses": ["H-A"]}],
        default=(),
    )
    people: People = section(
        "Who may climb and who may rescue, by code and never by name or weight.",
        {"users": [{"id": "U-07"}], "rescuers": [{"id": "RS-1"}]},
    )
    shifts: tuple[Shift, ...] = says(
        "The shifts, with who is there and how a fall is noticed.",
        [{"id": "day", "name": "Day", "hours": "06:00-14:00"}],
        default=(),
        unique_by="name",
    )
    training: Training = section("How people are trained.", {"refresher": "12 months", "refresher_basis": "site-rule"})
    inspection: Inspection = section(
        "How equipment is checked and kept, and the hazard assessment behind it.",
        {"before_use": "Each user, before first use in each work shift"},
    )
    contractors: Contractors = section(
        "What holds for people from other firms, such as drivers; manager and counsel decide.",
        {"check_in": "Report to the gate operator", "harnesses": "none"},
    )
    rescue: Rescue = section(
        "How a person hanging in the harness is brought to the ground, and how fast.",
        {"contact_limit": {"value": "4 min", "basis": "site target"}, "drill_interval": "12 months"},
    )
    emergency: Emergency = section(
        "Whom to call, on which channel, and with which words.",
        {"location_words": "Pine Hollow Yard, 18 Quarry Lane, north gate"},
    )
    limits: Limits = section(
        "The limits of use that the site and its qualified person set.", {"upper": {"value": "310 lb"}, "margin": "3 ft"}
    )
    site_rules: tuple[SiteRule, ...] = says(
        "Rules of the site that go further than the law.",
        [{"id": "SR-1", "subject": "one-user", "text": "One person on each rail at a time"}],
        default=(),
    )
    codes: CodeSettings = section(
        "What local rules and which owner's sets come on top of the law.",
        {"vehicle_tops": "The bays carry a rail under a canopy; counsel treats its use as feasible"},
    )
    reviewers: tuple[Reviewer, ...] = says(
        "The licensed or qualified people who review the documents.",
        [{"id": "RV-1", "part": "qualified-person", "name": "A. Verhoeven"}],
        default=(),
    )
    posting: tuple[Posting, ...] = says(
        "Where papers hang on the site.",
        [{"id": "GATE-1", "place": "Window of the north gate", "document": "contractor-notice", "language": "en"}],
        default=(),
    )
    accepted: tuple[Acceptance, ...] = says(
        "Findings that someone accepts by name, with a reason and an end date.",
        [
            {
                "finding": "lighting-unmeasured",
                "reason": "The meter comes back in April",
                "by": "site-manager",
                "until": "2026-04-30",
            }
        ],
        default=(),
    )
    handling: tuple[Handling, ...] = says(
        "Who sees to an open finding, until when, and what protects people meanwhile.",
        [{"finding": "lighting-unstated", "owner": "site-manager", "due": "2026-04-30"}],
        default=(),
    )
    retired: tuple[Retired, ...] = says(
        "What left service and what took its place, one row each.",
        [{"id": "D-1", "of": "part", "on": "2026-11-10", "by": "D-3", "serial": "D1-20417"}],
        default=(),
    )
    source_lines: Mapping[str, Mark] = field(default_factory=dict, compare=False, repr=False)
    answered: frozenset[str] = field(
        default=frozenset(), compare=False, repr=False
    )  # paths that the profile gives, an empty list too

    def line(self, path: str) -> int | None:
        """Line of a model path, or of its nearest parent that the profile holds."""
        mark = self._mark(path)
        return None if mark is None else mark.key_line or mark.line

    def origin(self, path: str) -> str:
        """The file from which the value of a model path, or its nearest parent, was taken over; empty where that is the profile itself."""
        mark = self._mark(path)
        return "" if mark is None else mark.file

    def _mark(self, path: str) -> Mark | None:
        while path:
            if (mark := self.source_lines.get(path)) is not None:
                return mark
            path = path[: max(path.rfind("."), path.rfind("["), 0)]
        return None

    def bay(self, key: str | None) -> Bay | None:
        """The bay of that id."""
        return _by_id(self.bays, key)

    def vehicle(self, key: str | None) -> Vehicle | None:
        """The vehicle of that id."""
        return _by_id(self.vehicles, key)

    def ladder_device(self, bay: Bay) -> Part | None:
        """The device with a shorter stopping distance that protects on the ladder of a bay; None where something else does."""
        return self.part(bay.ladder.device) if bay.ladder.control == "shorter-device" else None

    def arresting(self, system: System) -> tuple[Part, ...]:
        """The devices that stop a fall on the rail of a system: its own, and the one that protects on the ladder of its bay."""
        bay = self.bay(system.bay)
        on_ladder = None if bay is None else self.ladder_device(bay)
        own = self.parts(system.parts, "srd")
        return own if on_ladder is None or on_ladder.kind != "srd" or on_ladder in own else (*own, on_ladder)

    def part(self, key: str | None) -> Part | None:
        """The piece of equipment of that id."""
        return self._parts_by_id.get(key)

    def role(self, key: str | None) -> Role | None:
        """The role of that id."""
        return _by_id(self.roles, key)

    def roles_of(self, part: RolePart) -> tuple[Role, ...]:
        """The roles that have a part, as listed."""
        return tuple(r for r in self.roles if part in r.part)

    def role_of(self, part: RolePart) -> Role | None:
        """The role meant where a paper names one of a part: the first listed that has it."""
        return next(iter(self.roles_of(part)), None)

    def named_for(self, part: RolePart, day: date) -> tuple[str, ...]:
        """Everyone whom the profile names for a part on a day, as called on it: holders of its roles, then reviewers."""
        holders = (r.on(day) for r in self.roles_of(part))
        reviewers = (r.name for r in self.reviewers if r.part == part and r.name is not None)
        return tuple(dict.fromkeys((*(h.called_on(day) for h in holders if h is not None), *reviewers)))

    def called_on(self, name: str, day: date) -> str:
        """What a holder of any role with that name, borne then or at another time, is called on a day; the name itself of anyone else."""
        there = (h for r in self.roles if (h := r.on(day)) is not None)
        return next((h.called_on(day) for h in there if any(alike(n) == alike(name) for n in h.names)), name)

    def names_of(self, name: str) -> tuple[str, ...]:
        """Every name of the person whom the profile calls so as a holder of any role at any time; the name alone of anyone else."""
        same = (h.names for r in self.roles for h in r.holders if any(alike(n) == alike(name) for n in h.names))
        return tuple(dict.fromkeys((name, *(n for names in same for n in names))))

    def delegates_for(self, part: RolePart, day: date) -> Mapping[str, str]:
        """Everyone who may approve in a part on a day in the place of a holder -> that holder."""
        return dict(pair for role in self.roles_of(part) for pair in role.delegates_on(day))

    def everyone_on(self, day: date) -> tuple[str, ...]:
        """Everyone whom the profile names for any role on a day, as called on it, then reviewers."""
        holders = (r.on(day) for r in self.roles)
        reviewers = (r.name for r in self.reviewers if r.name is not None)
        return tuple(dict.fromkeys((*(h.called_on(day) for h in holders if h is not None), *reviewers)))

    def alarm_numbers(self) -> tuple[tuple[str, str], ...]:
        """Whoever is reached by a telephone when somebody hangs, and the number: listed contacts, the public and the second number, whoever calls for help, help from outside, and where help calls back."""
        called = (p.person for s in self.shifts for p in s.posts if p.post == s.chain.caller)
        callers = (role for key in called if (role := self.role(key)) is not None)
        outside = self.rescue.external
        pairs = (
            *((c.role, c.number) for c in self.emergency.contacts),
            ("public", self.emergency.public.number),
            ("second", self.emergency.second.number),
            *((role.title, role.phone) for role in callers),
            (outside.agency or "outside", outside.phone),
            ("callback", self.emergency.callback),
        )
        return tuple(dict.fromkeys((post, number) for post, number in pairs if number))

    def shift(self, key: str | None) -> Shift | None:
        """The shift of that id."""
        return _by_id(self.shifts, key)

    def practised(self, rescuer: Rescuer, method: str) -> bool:
        """Whether a rescuer is said to have practised a method: one whose list is empty has none, one of whom no list is given has all."""
        if rescuer.methods:
            return method in rescuer.methods
        return f"{rescuer.path}.methods" not in self.answered

    def closed(self, bay: str | None) -> bool:
        """Whether a bay is closed by decision."""
        found = self.bay(bay)
        return found is not None and bool(found.closed)

    def once(self, made: Callable[[Site], T]) -> T:
        """What a function makes of this site and of nothing else, made when it is first asked for."""
        if made not in self._once:
            self._once[made] = made(self)
        return cast(T, self._once[made])

    @cached_property
    def _once(self) -> dict[Callable[[Site], Any], Any]:
        return {}

    def spoken(self, language: str) -> Site:
        """The site with every text in its version for a language, made once: each paper asks for it."""
        if language not in self._spoken:
            self._spoken[language] = in_language(self, language)
        return self._spoken[language]

    @cached_property
    def _spoken(self) -> dict[str, Site]:
        return {}

    def with_closures(self) -> Site:
        """The site in which what is allowed in a bay closed by decision is closed with it: `tasks[].permission` says so."""
        if not any(b.closed for b in self.bays):
            return self
        return replace(self, tasks=tuple(replace(t, shut=self.closed(t.bay)) for t in self.tasks))

    def as_if_open(self) -> Site:
        """The site as it would be were no bay closed by decision."""
        if not any(b.closed for b in self.bays):
            return self
        bays = tuple(replace(b, closed=replace(b.closed, given=False, by=None, on=None, reason=None)) for b in self.bays)
        return replace(self, bays=bays, tasks=tuple(replace(t, shut=False) for t in self.tasks))

    @property
    def country(self) -> str:
        """The country of the site, as ISO 3166-1 writes it."""
        return self.site.jurisdiction[:2]

    def system_of(self, bay: str) -> System | None:
        """The fall-arrest system of a bay."""
        return next((s for s in self.systems if s.bay == bay), None)

    def parts(self, keys: tuple[str, ...], kind: str | None = None) -> tuple[Part, ...]:
        """Pieces of equipment by their ids, those of one kind where a kind is given; unknown ids are left out."""
        found = (self.part(k) for k in keys)
        return tuple(p for p in found if p is not None and (kind is None or p.kind == kind))

    def within(self, key: str) -> tuple[str, ...]:
        """A part and what it is part of, step by step: the hook, then its device."""
        chain = [key]
        while (part := self.part(chain[-1])) is not None and part.part_of.part and part.part_of.part not in chain:
            chain.append(part.part_of.part)
        return tuple(chain)

    def belonging(self, system: System) -> tuple[Part, ...]:
        """The parts of a system, what is part of one of them, and the end stops of its bay, in profile order."""
        asked = (system.bay, system.parts, system.harnesses)
        if asked not in self._belonging:
            bay = self.bay(system.bay)
            stops = [s.part for s in bay.rail.stops if s.part] if bay is not None else []
            named = {*system.parts, *system.harnesses, *stops}
            self._belonging[asked] = tuple(p for p in self.equipment if not named.isdisjoint(self._within[p.id]))
        return self._belonging[asked]

    @cached_property
    def _belonging(self) -> dict[tuple[object, ...], tuple[Part, ...]]:
        return {}

    @cached_property
    def _within(self) -> dict[str, tuple[str, ...]]:
        return {p.id: self.within(p.id) for p in self.equipment}

    @cached_property
    def _parts_by_id(self) -> dict[str | None, Part]:
        """Parts by their ids, of two with one id the first: they are asked for hundreds of thousands of times."""
        return {p.id: p for p in reversed(self.equipment)}

    def load_path(self, system: System) -> tuple[Part, ...]:
        """Every part that bears a fall in a system, what is part of another and the end stops included, from the frame to the harness.

        A spare is none of them.
        """
        kinds = (*BEARING, "harness")
        found = [p for p in self.belonging(system) if not p.spare and p.kind in kinds]
        return tuple(sorted(found, key=lambda p: kinds.index(p.kind)))


def _by_id(records: tuple[R, ...], key: str | None) -> R | None:
    return next((r for r in records if r.id == key), None)
