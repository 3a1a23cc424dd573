"""What a finding function may look at, and the hit it gives back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any

from docgen.engineering.drills import Measured, all_measured
from docgen.engineering.model import Case, Chain, Due, Further, RescueRow
from docgen.findings.model import Basis, Figure, Phrase, Toward, Value
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.private import NONE, Facts
from docgen.signs import name_key
from docgen.site import Bay, Quantity, RolePart, Site, Vehicle
from docgen.site.build import leaves
from docgen.site.facts import Fact, missing_facts
from docgen.text.screens import screen_languages
from docgen.text.site_texts import SiteTexts

if TYPE_CHECKING:
    from docgen.codes import LawAlone
    from docgen.codes.binding import BindingRules

__all__ = ["NOT_COMPUTED", "NOT_STATED", "HeldOnRecord", "Hit", "Swapped", "View", "down", "near", "up"]


@frozen
class Hit:
    """One fault at one model path, with the values that its sentence needs. `documents` where it concerns fewer than its rule says."""

    path: str
    values: Mapping[str, Value] = field(default_factory=dict)
    documents: tuple[str, ...] | None = None
    about: str | None = None  # the place in the profile that an entry of the log speaks of
    basis: Basis | None = None  # where this fault rests on something else than its rule says


@frozen
class HeldOnRecord:
    """Who held a role by a revision, the profile of which said so when it was frozen.

    `on` is the last day of it that the revision knew, `since` the first one (None: that day alone); `parts` are those of the role.
    """

    revision: int
    role: str
    name: str
    on: date
    since: date | None = None
    parts: tuple[RolePart, ...] = ()


@frozen
class Swapped:
    """A part that keeps its id and has another serial number than at the last issue: that number, its day, and the evidence that did not change."""

    serial: str
    issued: date
    kept: tuple[str, ...]


@frozen
class View:
    """The site, what binds it, the day, everything computed, and what happened up to the day."""

    site: Site
    binding: BindingRules
    as_of: date
    system: str
    cases: tuple[Case, ...]
    chains: tuple[Chain, ...]
    rescues: tuple[RescueRow, ...]
    further: tuple[Further, ...]
    happened: Happened
    dues: tuple[Due, ...]
    private: Facts = NONE
    in_force: Mapping[tuple[str, str], tuple[int, date]] = field(
        default_factory=dict
    )  # (document, language) -> revision, its day
    held_on_record: tuple[
        HeldOnRecord, ...
    ] = ()  # who held which role by the newest revision, where the profile is another since
    withdrawn: Mapping[tuple[str, str], tuple[int, date]] = field(
        default_factory=dict
    )  # (document, language) -> the revision of which none is in force since, the day of the withdrawal
    photo_absent: frozenset[str] = frozenset()  # parts whose photograph of the label is no file beside the profile
    swapped: Mapping[str, Swapped] = field(default_factory=dict)  # part -> its serial number was another at the last issue
    for_papers: bool = False  # the day is the one for which papers are written, and not that of a check

    def ahead(self, on: date | None) -> bool:
        """Whether a day lies after that of the check. Papers are composed without that day, so of a state for papers nothing does."""
        return on is not None and on > self.as_of and not self.for_papers

    @property
    def law(self) -> LawAlone:
        """The law alone, where a finding is about what it says by itself."""
        return self.binding.law

    def line(self, path: str) -> int | None:
        """Line of a model path: of an entry in the log, of anything else in the profile."""
        return self.happened.line(path) if path.startswith("log[") else self.site.line(path)

    def origin(self, path: str) -> str:
        """The file from which the value of a model path was taken over; empty where it stands in the profile or the log itself."""
        return "" if path.startswith("log[") else self.site.origin(path)

    @cached_property
    def measured(self) -> tuple[Measured, ...]:
        """Each time of each drill against plan and target, oldest first."""
        return all_measured(self.happened, self.rescues)

    @cached_property
    def bays(self) -> Mapping[str, Bay]:
        """The bays by id: every case and every rescue row stands in one of them."""
        return {bay.id: bay for bay in self.site.bays}

    @cached_property
    def vehicles(self) -> Mapping[str, Vehicle]:
        """The vehicles by id: every case and every rescue row is about one of them."""
        return {vehicle.id: vehicle for vehicle in self.site.vehicles}

    @cached_property
    def persons(self) -> Mapping[str, str]:
        """Code of people or of a role -> one key for the person: who rescues and climbs, or holds two roles on the day, is one."""
        of: dict[str, str] = {}

        def first(key: str) -> str:
            while key in of:
                key = of[key]
            return key

        def one(key: str, other: str) -> None:
            if first(key) != first(other):
                of[first(key)] = first(other)

        for rescuer in self.site.people.rescuers:
            if rescuer.user is not None:
                one(rescuer.id, rescuer.user)
        for role in self.site.roles:
            holder = role.on(self.as_of)
            names = holder.names if holder is not None else (role.held_by,) if role.held_by is not None else ()
            for name in names:
                one(role.id, f"held by {name_key(name)}")
            if role.user is not None:
                one(role.id, role.user)
        return {key: first(key) for key in of}

    def person(self, key: str) -> str:
        """One key for the person whom a code of people or of a role means."""
        return self.persons.get(key, key)

    @cached_property
    def texts(self) -> SiteTexts:
        """The texts of the site that a document may print."""
        return self.site.once(SiteTexts)

    @cached_property
    def leaves(self) -> tuple[tuple[str, Any], ...]:
        """Every plain value and figure of the site, with its path."""
        return self.site.once(leaves)

    @cached_property
    def facts(self) -> tuple[Fact, ...]:
        """What is asked for and not given."""
        return self.site.once(missing_facts)

    @property
    def languages(self) -> tuple[str, ...]:
        """The languages in which the texts of the site are looked through."""
        return screen_languages(self.site.document.languages)

    @property
    def allowed(self) -> tuple[Case, ...]:
        """The cases of tasks that are allowed."""
        return tuple(c for c in self.cases if c.permission == "allowed")


NOT_COMPUTED = Phrase("not-computed")
NOT_STATED = Phrase("not-stated")


def _figure(value: Quantity | float | None, kind: str | None, toward: Toward) -> Figure | Phrase:
    if value is None:
        return NOT_COMPUTED
    if isinstance(value, Quantity):
        side = value.toward if toward == "nearest" and value.toward in ("up", "down") else toward
        return Figure(value.si, value.kind, side, value.text, value.unit)
    return Figure(value, kind or "length", toward)


def up(value: Quantity | float | None, kind: str | None = None) -> Figure | Phrase:
    """A need: printed rounded up. One that was not computed is told so, here and below."""
    return _figure(value, kind, "up")


def down(value: Quantity | float | None, kind: str | None = None) -> Figure | Phrase:
    """A capacity or an available length: printed rounded down."""
    return _figure(value, kind, "down")


def near(value: Quantity | float | None, kind: str | None = None) -> Figure | Phrase:
    """A figure that is neither, or to the side that its field declares."""
    return _figure(value, kind, "nearest")
