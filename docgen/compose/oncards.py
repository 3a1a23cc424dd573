"""What a sign or card of one bay says of it: how many rescuers must answer, the ring, what is looked at, the weather in three words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from docgen.compose.helpers import Helpers, lower_first
from docgen.compose.reading import tracing
from docgen.site import Bay, ControlStep

__all__ = ["OnCards"]

OWN_LOCK = "own-lock"


@dataclass(frozen=True, slots=True)
class Deeds:
    """Who does something (empty: nobody is named), and what, in order."""

    who: str
    did: tuple[str, ...]


class OnCards:
    """The functions of one composition for the papers of a bay that hang or are carried there."""

    def __init__(self, helpers: Helpers) -> None:
        self.helpers, self.site, self.numbers = helpers, helpers.site, helpers.numbers

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function that reads the site; in a body it may be called inside a clause only."""
        names = (
            "answering",
            "ring_here",
            "looked_at",
            "own_lock",
            "other_steps",
            "weather_words",
            "red_mark",
            "sealed_kit",
            "device_has_tag",
            "made_harmless",
        )
        return {name: tracing(getattr(self, name), self.helpers.collector.trace) for name in names}

    def answering(self, bay: Bay) -> int | None:
        """How many rescuers the methods that are ready in a bay need at most; None where none is ready."""
        rows = (r for r in self.numbers.rescues if r.bay == bay.id and not r.closed and r.kind != "outside")
        return max((r.persons_needed for r in rows if r.persons_needed), default=None)

    def ring_here(self, bay: Bay) -> str | None:
        """The ring to which the device is hooked in a bay, in words; None where its harnesses or systems differ or do not say."""
        used = [system for system in self.site.systems if system.bay == bay.id]
        harnesses = (self.site.part(key) for system in used for key in system.harnesses)
        stated = {system.attachment for system in used} | {p.attachment for p in harnesses if p is not None}
        known = {ring for ring in stated if ring is not None}
        return str(self.helpers.words["terms"][f"ring-{known.pop()}"]) if len(known) == 1 else None

    def looked_at(self, bay: Bay) -> list[str]:
        """What holds the vehicle and can be looked at, by its words, each once in the order of the steps."""
        kinds = (s.kind for s in bay.control.steps if s.kind not in (None, "other", OWN_LOCK))
        return [self.helpers.phrase(f"seen_{kind}") for kind in dict.fromkeys(kinds)]

    def own_lock(self, bay: Bay) -> bool:
        """Whether climbers hang a lock of their own."""
        return any(step.kind == OWN_LOCK for step in bay.control.steps)

    def other_steps(self, bay: Bay) -> list[ControlStep]:
        """Steps of vehicle control of no known kind, which are told in the words of the site."""
        return [step for step in bay.control.steps if step.kind in (None, "other")]

    def made_harmless(self, bay: Bay) -> list[Deeds]:
        """Who makes energy and product harmless, and how, in the order of the steps; what one role does in turn is told together."""
        turns = groupby(((step.by or "", step.step) for step in bay.energy), key=lambda deed: deed[0])
        return [Deeds(who, tuple(lower_first(what.rstrip(" .;")) for _, what in deeds if what)) for who, deeds in turns]

    def weather_words(self, bay: Bay) -> list[str]:
        """The kinds of weather that come on during a climb and stop it, in a word each; empty inside a building, or where the site decides none."""
        if not self.helpers.outdoors((bay,)):
            return []
        weather = self.site.limits.weather
        kinds = (("thunder", weather.lightning_wait), ("ice", weather.ice), ("strong_wind", weather.wind or weather.gust))
        return [self.helpers.phrase(f"weather_{kind}") for kind, given in kinds if given]

    def red_mark(self, bay: Bay) -> bool:
        """Whether there is a height on the ladder of a bay below which the device might not stop a climber, and what it is marked on."""
        return bool(bay.ladder.mark_on) and any(
            f.bay == bay.id and f.climb_foot and not f.climb_never for f in self.numbers.further
        )

    def device_has_tag(self, bay: Bay) -> bool:
        """Whether each device of a bay is inspected after an interval, so that a tag tells until when it is in date."""
        system = self.site.system_of(bay.id)
        parts = [self.site.part(key) for key in system.parts] if system is not None else []
        devices = [p for p in parts if p is not None and p.kind == "srd"]
        return bool(devices) and all(p.inspection.interval is not None for p in devices)

    def sealed_kit(self) -> bool:
        """Whether a rescue kit bears a seal."""
        return any(place.sealed for place in self.site.rescue.kit_places)
