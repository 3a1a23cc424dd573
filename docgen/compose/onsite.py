"""What whoever stands at the gate or in a bay is told: for notice, signs and cards. Only of bays that are open by the profile."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from docgen.compose.classes import climbs
from docgen.compose.helpers import Helpers, lower_first
from docgen.compose.reading import tracing
from docgen.site import Bay, ContractorClass, ControlStep, Role

__all__ = ["OnSite"]


@dataclass(frozen=True, slots=True)
class Decider:
    """Who decides on a breach (empty: nobody is named), and what that role may do, in order."""

    who: str
    may: tuple[str, ...]


class OnSite:
    """The functions of one composition for papers that hang or are carried."""

    def __init__(self, helpers: Helpers) -> None:
        self.helpers, self.site, self.words = helpers, helpers.site, helpers.words
        self.planned, self.collector = helpers.planned, helpers.collector

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function that reads the site; in a body it may be called inside a clause only."""
        names = (
            "called", "may_climb", "may_not_climb", "bays_of", "done_by_class", "at_once", "marked_areas", "rings", "released_by", "hands_keys", "locks_keys",
            "signalled_by", "deciders", "watchers", "phone_in_each",
        )  # fmt: skip
        return {name: tracing(getattr(self, name), self.collector.trace) for name in names}

    def called(self, key: str) -> str:
        """What a role is called in passing: the word for its part where its title has that word and no other role is called so, else its title."""
        role = self.site.role(key)
        if role is None:
            return self.helpers.title_of(key)
        mine = self._term_in(role)
        if mine is None or any(other.id != key and self._term_in(other) == mine for other in self.site.roles):
            return self.helpers.title_of(key)
        return mine

    def _term_in(self, role: Role) -> str | None:
        title = role.title.casefold()
        return next((term for part in role.part if (term := str(self.words["approvals"].get(part, ""))) and term in title), None)

    def may_climb(self) -> list[ContractorClass]:
        """The classes that may climb in an open bay, and of which every condition is given: who checks what, and by which listed firm."""
        return [one for one in self.site.contractors.classes if climbs(one, self.site, self.planned)]

    def may_not_climb(self) -> list[ContractorClass]:
        """All other classes."""
        ready = {one.id for one in self.may_climb()}
        return [one for one in self.site.contractors.classes if one.id not in ready]

    def bays_of(self, one: ContractorClass) -> list[Bay]:
        """The open bays in which a class may climb."""
        return [bay for bay in self.helpers.open_bays() if bay.id in one.bays]

    def _steps_of(self, one: ContractorClass) -> list[ControlStep]:
        """What people of a class do to hold a vehicle still, over all open bays."""
        steps = (step for bay in self.helpers.open_bays() for step in bay.control.steps)
        return [step for step in steps if step.by == one.id and self._a_class(step.by)]

    def done_by_class(self, one: ContractorClass) -> list[str]:
        """What people of a class do at the vehicle: first what holds it still, then what makes energy and product harmless, over all open bays, each thing once."""
        energy = (step for bay in self.helpers.open_bays() for step in bay.energy)
        did = [step.do for step in self._steps_of(one)]
        did += [step.step for step in energy if step.step and step.by == one.id and self._a_class(step.by)]
        return list(dict.fromkeys(lower_first(what.rstrip(" .;")) for what in did))

    def at_once(self) -> int | None:
        """How many people may be up at a time in each open bay; None where bays differ or one does not say."""
        found = {self.helpers.people_at_once(bay) for bay in self.helpers.open_bays()}
        return found.pop() if len(found) == 1 else None

    def marked_areas(self) -> list[str]:
        """What the marked areas of the open bays are called, each once."""
        return list(dict.fromkeys(bay.marked_area.name for bay in self.helpers.open_bays() if bay.marked_area.name))

    def rings(self) -> list[str]:
        """The rings of the harness to which the device is connected in the open bays, in words; the back ring where none is stated."""
        open_ = {bay.id for bay in self.helpers.open_bays()}
        used = [system for system in self.site.systems if system.bay in open_]
        harnesses = dict.fromkeys(key for system in used for key in system.harnesses)
        parts = [part for key in harnesses if (part := self.site.part(key)) is not None]
        stated = dict.fromkeys(
            [*(system.attachment or "dorsal" for system in used), *(part.attachment or "dorsal" for part in parts)]
        )
        return [str(self.words["terms"][f"ring-{name}"]) for name in stated or ("dorsal",)]

    def released_by(self) -> list[str]:
        """Titles of those who release a vehicle in an open bay, in the middle of a sentence."""
        return [self.called(key) for key in dict.fromkeys(bay.release.by for bay in self.helpers.open_bays()) if key]

    def hands_keys(self) -> list[str]:
        """Who gives the keys back at the open bays, each once: whoever undoes a step that locks them away."""
        steps = [step for bay in self.helpers.open_bays() for step in bay.control.steps]
        keys = dict.fromkeys(step.undone_by for step in steps if step.kind == "lockbox" and self._a_class(step.by))
        return [self.called(key) for key in keys if key and not self._a_class(key)]

    def locks_keys(self, one: ContractorClass) -> bool:
        """Whether people of a class lock the keys away at an open bay."""
        return any(step.kind == "lockbox" for step in self._steps_of(one))

    def signalled_by(self) -> list[str]:
        """Who signals to drivers at the open bays, each once."""
        return [self.called(key) for key in dict.fromkeys(bay.release.signs for bay in self.helpers.open_bays()) if key]

    def _a_class(self, key: str | None) -> bool:
        return self.site.role(key) is None and any(one.id == key for one in self.site.contractors.classes)

    def deciders(self) -> list[Decider]:
        """What each who decides on a breach may do, in the order of the steps."""
        may: dict[str, list[str]] = {}
        for step in self.site.contractors.enforcement:
            if step.action:
                who = self.called(step.decided_by) if step.decided_by else ""
                may.setdefault(who, []).append(lower_first(step.action.rstrip(" .;")))
        return [Decider(who, tuple(do)) for who, do in may.items()]

    def watchers(self, bays: Iterable[Bay]) -> list[str]:
        """Who watches climbers in these bays, each once, in the middle of a sentence."""
        return list(dict.fromkeys(self.called(key) for key in dict.fromkeys(bay.watcher.role for bay in bays) if key))

    def phone_in_each(self, bays: Iterable[Bay]) -> bool:
        """Whether each of these bays has a telephone at a place where the area allows one."""
        phones = [bay.phone for bay in bays]
        return bool(phones) and all(phone.place and phone.area_allows is not False for phone in phones)
