"""A set of law for one place, one sector and one day: what it says and how that is worded."""

from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from docgen.codes import answers
from docgen.codes.folder import HOME, Folder, Place, forget_folders, place
from docgen.codes.model import Answer, Expression, Mistake, Source
from docgen.codes.words import Words
from docgen.data import blocks
from docgen.errors import CodeError

__all__ = ["LawAlone", "facts", "forget", "load"]

Entry = Mapping[str, Any]  # one entry of a data file


@cache
def facts() -> tuple[str, ...]:
    """The closed list of site facts on which it hangs whether a question matters."""
    return tuple(blocks(HOME / "vocabulary.yaml", "code/vocabulary")["facts"])


def load(jurisdiction: str, sector: str, on: date, extra_roots: Iterable[Path] = ()) -> "LawAlone":
    """The law of a jurisdiction (ISO 3166-2, or 3166-1 for a country) for a sector on a day.

    A part of a country without a folder of its own gets the country's set, and `fallback` says so. `extra_roots` are
    folders that are searched before the built-in one. Raises CodeError, naming what exists, for an unknown jurisdiction
    or a sector that the set does not know.
    """
    return _load(jurisdiction, sector, on, tuple(extra_roots))


@cache
def _load(jurisdiction: str, sector: str, on: date, extra_roots: tuple[Path, ...]) -> "LawAlone":
    found = place(jurisdiction, extra_roots)
    sectors = found.chain[0].index["sectors"]
    if sector not in sectors:
        raise CodeError(f"{jurisdiction} has no sector '{sector}'; it has {', '.join(sectors)}")
    return LawAlone(found, sector, on, extra_roots)


def forget() -> None:
    """Read every set of law anew when it is asked next: files of an extra root may be others than before."""
    _load.cache_clear()
    forget_folders()
    blocks.cache_clear()


class LawAlone:
    """What `load` gives. Nothing in it changes; answers are worked out once and kept."""

    def __init__(self, found: Place, sector: str, on: date, extra_roots: tuple[Path, ...] = ()):
        self.extra_roots = extra_roots
        self._chain: tuple[Folder, ...] = found.chain
        self._sharing: tuple[Folder, ...] = found.sharing
        self._answers: dict[tuple[str, date], tuple[Answer | None, date | None]] = {}
        self._found = found
        self._before: Mapping[str, Answer] = {}
        self._under: LawAlone | None = None
        self.stricter: Mapping[str, Answer] = {}
        self.jurisdiction = found.asked
        self.code = found.chain[0].code
        self.sector = sector
        self.on = on
        self.fallback = found.fallback
        self.state_plan = found.regional_plan
        index = found.chain[0].index
        self.name: str = index["name"]
        self.kind: str = index["kind"]
        self.units: str = index["units"]
        self.languages: tuple[str, ...] = tuple(index["languages"])
        self.authority: str = (found.fallback.authority if found.fallback else "") or index["authority"]
        self.authority_short: str = index["authority_short"]

    @property
    def inherits(self) -> bool:
        """Whether the law of a parent answers where this set does not."""
        return len(self._chain) > 1

    @property
    def paper(self) -> str:
        """The sheet that is usual there, `letter` or `a4`. Raises CodeError when neither the set nor a parent says."""
        return self._said("paper", ("letter", "a4"))

    @property
    def spelling(self) -> str:
        """The spelling of English there, `us`, `ca` or `gb`. Raises CodeError when neither the set nor a parent says."""
        return self._said("spelling", ("us", "ca", "gb"))

    def _said(self, field: str, choices: tuple[str, ...]) -> str:
        said = self.index(field)
        if said is None:
            raise CodeError(
                f"{self._chain[0].path.name}/index.yaml names no {field}; add '{field}:' and one of {', '.join(choices)}"
            )
        return str(said)

    def ask(self, key: str, on: date | None = None) -> Answer:
        """The answer to a question of the fixed list, on the day of the set or on another.

        Before the first day recorded the question counts as not looked at. Raises CodeError for a question that is not in
        the list, or that has no answer at all: a gap in the data, which is not silence.
        """
        day = on or self.on
        answer, first = self._look(key, day)
        if answer:
            return answer
        if first and self.kind == "law":  # what held before the first day recorded, nobody looked at
            return answers.not_looked_answer(self._chain[0], answers.question(key), self.sector, _vocabulary("before"))
        told = "leaves it unanswered; answer it, enter it as silent with the day on which it was searched, or list it as not looked at"
        if first:
            told = f"answers it from {first} on; on {day} it was not in force"
        raise CodeError(f"'{key}': {self.code} ({self.sector}) {told}")

    def knows(self, day: date) -> bool:
        """Whether anybody has looked at what held on a day: whether any question has an answer of law on it."""
        return any(self.ask(key, day).looked for key in answers.questions())

    def begins(self) -> date | None:
        """The first day of which the data know anything; None where they hold no answer with a day."""
        firsts = (self._look(key, date.min)[1] for key in answers.questions())
        return min((day for day in firsts if day is not None), default=None)

    def figure(self, key: str) -> float | None:
        """The figure in SI to which a site is held; None where the text is silent or only advises. Raises CodeError as `ask`."""
        held = self.held_to(key)
        return None if held is None else held.figure

    def held_to(self, key: str) -> Answer | None:
        """The answer to which a site is held; None where the text is silent or only advises. Raises CodeError as `ask`."""
        answer = self.ask(key)
        return None if answer.silent or not (answer.limits or self.kind == "standard") else answer

    def before(self, given: Mapping[str, Answer], stricter: Mapping[str, Answer] | None = None) -> "LawAlone":
        """The same law with answers that stand before its own, and with stricter ones that bind beside its own, by question."""
        other = LawAlone(self._found, self.sector, self.on, self.extra_roots)
        other._before = given
        other.stricter = stricter or {}
        other._under = self
        return other

    def own(self, key: str) -> Answer | None:
        """What the set itself answers, whatever stands before it; None where it has no answer on its day."""
        return self._under._look(key, self.on)[0] if self._under is not None else self._look(key, self.on)[0]

    def blank(self, key: str) -> Answer:
        """The answer of one who has looked into nothing, for an answer from elsewhere to be made of."""
        return answers.not_looked_answer(self._chain[0], answers.question(key), self.sector, "")

    def _look(self, key: str, on: date) -> tuple[Answer | None, date | None]:
        """The answer in force, kept; or None and the first day on which there is one, if there ever is."""
        if (key, on) not in self._answers:
            self._answers[key, on] = self._work_out(key, on)
        return self._answers[key, on]

    def _work_out(self, key: str, on: date) -> tuple[Answer | None, date | None]:
        if key in self._before:
            return self._before[key], None
        ask = answers.question(key)
        days: list[date] = []
        for link in self._chain:
            why = link.not_looked(key, self.sector)
            if why:
                return answers.not_looked_answer(link, ask, self.sector, why), None
            taken = link.timelines(key)
            if not taken:
                continue
            where, timelines = taken
            entry = answers.in_force(timelines, self.sector, on)
            if entry:
                day, sector, fields = entry
                line = answers.Line(link, ask, where, timelines, sector, day, fields)
                if fields.get("silent"):
                    return answers.silent_answer(line), None
                return answers.value_answer(line, own=link is self._chain[0]), None
            days += [day for name in (self.sector, "all") for day in timelines.get(name, {}) if isinstance(day, date)]
        if ask.optional:
            return answers.not_looked_answer(self._chain[0], ask, self.sector, _vocabulary("later")), None
        return None, min(days, default=None)

    def changed_until(self, day: date) -> tuple[tuple[str, date], ...]:
        """The questions whose answer is another on a later day than on the day of the set, each with the day since which it is so."""
        found: list[tuple[str, date]] = []
        if not any(self.on < d <= day for link in self._chain for d in link.days):
            return ()
        for key in answers.questions():
            days = {d for link in self._chain for d in self._days(link, key) if self.on < d <= day}
            if days:
                then, now = self._look(key, self.on)[0], self._look(key, day)[0]
                if now is not None and (then is None or _says(then) != _says(now)):
                    found.append((key, max(days)))
        return tuple(found)

    def _days(self, link: Folder, key: str) -> Iterable[date]:
        taken = link.timelines(key)
        if taken is not None:
            for name in (self.sector, "all"):
                yield from (d for d in taken[1].get(name, {}) if isinstance(d, date))

    def unanswered(self) -> tuple[str, ...]:
        """The questions that have no answer on the day of the set, and are not silent either."""
        return tuple(key for key in answers.questions() if not self._look(key, self.on)[0])

    def answers(self) -> tuple[Answer, ...]:
        """The answer to every question, in the order of the fixed list; raises CodeError at the first gap."""
        return tuple(self.ask(key) for key in answers.questions())

    def words(self, language: str) -> Words:
        """The wording in a language. Raises CodeError, naming the languages there are, when there is none in it."""
        known = sorted({name for link in self._sharing for name in link.languages})
        if language not in known:
            missing = f"{self._chain[0].path.name}/words/{language}.yaml"
            raise CodeError(f"{self.code} has no wording in '{language}'; it has {', '.join(known)}; add {missing}")
        plain = {"authority": self.authority, "authority_short": self.authority_short, "name": self.name}
        return Words(self._sharing, language, self.ask, plain)

    def sources(self) -> tuple[Source, ...]:
        """Every text that this set and its parents rest on, by jurisdiction nearest first, then by id."""
        return tuple(answers.source_of(link, id) for link in self._chain for id in sorted(link.file("sources.yaml")))

    def mistakes(self) -> tuple[Mistake, ...]:
        """The common mistakes about this law that concern the sector."""
        found: dict[str, Entry] = {}
        for link in reversed(self._sharing):
            found.update(link.file("mistakes.yaml"))
        here = self.sector
        ours = ((id, entry) for id, entry in found.items() if entry and here in entry.get("sectors", [here]))
        return tuple(_mistake(id, entry) for id, entry in ours)

    def index(self, field: str) -> Any:
        """A field of index.yaml, from this set or the nearest parent that has it; None when none has."""
        return next((link.index[field] for link in self._chain if link.index.get(field) is not None), None)


def _vocabulary(name: str) -> str:
    return str(blocks(HOME / "vocabulary.yaml", "code/vocabulary")[name])


def _says(answer: Answer) -> tuple[object, ...]:
    """What makes an answer another one to a reader."""
    return answer.state, answer.value, answer.text, answer.says, answer.citation, answer.force, answer.inclusive


def _mistake(id: str, entry: Entry) -> Mistake:
    rows = tuple(tuple(Expression(one) for one in row) for row in entry["patterns"])
    unless = tuple(Expression(one) for one in entry.get("unless", ()))
    return Mistake(id, entry["says"], entry["instead"], tuple(entry["see"]), rows, unless)
