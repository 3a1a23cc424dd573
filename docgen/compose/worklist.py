"""The lines of the worksheet: what is put right, found out on a walk, asked and decided, numbered through, those that open a bay first.

A line is a kind of finding that stops an issue, or a fact that is asked for. Both are cut together, so that a line that opens a bay never
gives way to one that does not.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from docgen.compose.contexts import SheetContext
from docgen.findings.facts import documents_of
from docgen.findings.model import BayState, Finding, Phrase, Terms, Value
from docgen.site import Node, Site
from docgen.site.facts import STATIONS, WALKED, missing_facts
from docgen.words import figure_text, finding_text

__all__ = ["LIMIT", "OpenBay", "Waiting", "WorkLine", "Worklist"]

LIMIT = 26
#: What these findings count is listed fact by fact.
COUNTED = ("bay-facts-missing", "paper-facts-missing")
DECIDED = "decide"
#: What this finding looks at lies in two places, and both are told.
IN_TWO_PLACES = "documents-contradict"
PUBLIC_NUMBER = ("emergency.public", "emergency.public.number")
TOLD = 3  # pairs of places that one line tells
#: Where the figures of a fall are found.
MEASURED = ("parking", "ladder", "deck", "rail", "labels")
#: Sections of the sheet in their order: what is put right, walked to, asked, decided.
MENDED, WALK, ASKED, CHOSEN = range(4)
PLACE = re.compile(r"(\w+)\[([^\]]*)\]")
STEP = re.compile(r"[^.\[\]]+\[[^\]]*\]|[^.]+")


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One line: where, what is to be put right or found out, how, the field or place in the profile; `n` is its number on the sheet.

    `closes` are the ids of the bays that stay closed until it is done, `papers` the papers that stay drafts. `station` is empty for what is put right.
    """

    n: int
    where: tuple[str, ...]
    what: tuple[str, ...]
    how: tuple[str, ...]
    field: str
    closes: tuple[str, ...]
    papers: tuple[str, ...]
    station: str = ""


@dataclass(frozen=True, slots=True)
class OpenBay:
    """One bay that is closed by decision or by what was found: the numbers of the lines that open it, and of those with figures of a fall."""

    state: BayState
    lines: tuple[int, ...]
    figures: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Waiting:
    """Papers that wait for the same things: their names, and the reasons."""

    titles: tuple[str, ...]
    reasons: tuple[str, ...]


class Worklist:
    """All lines of one worksheet. `left_out` counts those for which there is no room, `closing` those that keep a bay closed, `others` the rest."""

    def __init__(self, context: SheetContext, words: Mapping[str, Any], spelling: str) -> None:
        self.context, self.site, self.words, self.spelling = context, context.inner.site, words, spelling
        self.language = context.inner.language
        every = [*self._found(), *self._facts()]
        kept = sorted(every, key=lambda line: not line.closes)[:LIMIT]
        self.left_out = len(every) - len(kept)
        self.closing = sum(1 for line in every if line.closes)
        self.closing_left_out = self.closing - sum(1 for line in kept if line.closes)
        self.others = len(every) - self.closing
        chosen = {id(line) for line in kept}
        numbered = [replace(line, n=n) for n, line in enumerate((x for x in self._in_order(every) if id(x) in chosen), 1)]
        self.lines = tuple(numbered)

    def _in_order(self, every: Iterable[WorkLine]) -> list[WorkLine]:
        def rank(line: WorkLine) -> tuple[int, ...]:
            place, station = _section(line.station), STATIONS.index(line.station) if line.station else 0
            return (place, station, not line.closes) if place == ASKED else (place, not line.closes, station)

        return sorted(every, key=rank)

    @property
    def mend(self) -> tuple[WorkLine, ...]:
        """What is put right, that which opens a bay first."""
        return tuple(line for line in self.lines if not line.station)

    @property
    def walk(self) -> tuple[WorkLine, ...]:
        """What is found at the bays, in walking order."""
        return tuple(line for line in self.lines if line.station in WALKED)

    @property
    def ask(self) -> tuple[WorkLine, ...]:
        """What others know, by whom it is asked."""
        return tuple(line for line in self.lines if _section(line.station) == ASKED)

    @property
    def decide(self) -> tuple[WorkLine, ...]:
        """What the site decides."""
        return tuple(line for line in self.lines if line.station == DECIDED)

    @property
    def shut(self) -> tuple[OpenBay, ...]:
        """The bays that are closed whatever the day brings."""
        return tuple(
            OpenBay(
                state, tuple(x.n for x in self.lines if state.bay in x.closes),
                tuple(x.n for x in self.lines if x.station in MEASURED and state.bay in x.closes),
            )
            for state in self.context.assessed.planned if state.shut
        )  # fmt: skip

    @property
    def drafts(self) -> tuple[str, ...]:
        """Names of the papers whose issue is stopped by what is listed here."""
        names = (p.outline.called_in(self.language) for p in self.context.papers if p.frame.state == "draft")
        return tuple(dict.fromkeys(names))

    @property
    def waiting(self) -> tuple[Waiting, ...]:
        """Every paper whose issue nothing stops and that is not issued; those with the same reasons together."""
        found: dict[tuple[str, ...], list[str]] = {}
        for paper in self.context.papers:
            if paper.frame.reasons and paper.frame.state != "draft":
                found.setdefault(paper.frame.reasons, []).append(paper.outline.called_in(self.language))
        return tuple(Waiting(tuple(dict.fromkeys(titles)), reasons) for reasons, titles in found.items())

    # --- lines ----------------------------------------------------------------------------------------------------------

    def _found(self) -> Iterator[WorkLine]:
        """One line a kind of finding that stops an issue."""
        closing: dict[str, list[str]] = {}
        for state in self.context.assessed.planned:
            for reason in state.reasons:
                for name in reason.findings:
                    closing.setdefault(name, []).append(state.bay)
        stops = (f for f in self.context.assessed.findings if f.stops == "issue" and f.severity == "must-fix")
        kinds: dict[str, list[Finding]] = {}
        for finding in stops:
            if finding.name not in COUNTED:
                kinds.setdefault(finding.name, []).append(finding)
        for name, found in kinds.items():
            first, papers = found[0], (paper for f in found for paper in f.documents)
            where = dict.fromkeys(place for f in found if (place := _place(self.site, f.about or f.path)))
            what = (self._said(first, "title"), *(self._both_places(found) if name == IN_TWO_PLACES else ()))
            yield WorkLine(
                0, tuple(where), what, (self._said(first, "action"),), first.path,
                tuple(dict.fromkeys(closing.get(name, ()))), tuple(dict.fromkeys(papers)),
            )  # fmt: skip

    def _both_places(self, found: list[Finding]) -> Iterator[str]:
        """What stands in either place, for the first few; a place is a paper, or a part of the profile in plain words."""
        phrases = self.words["phrases"]
        for finding in found[:TOLD]:
            said = {key: self._value(finding.values[key]) for key in ("one", "other")}
            place, elsewhere = (self._spot(finding.values[key]) for key in ("place", "elsewhere"))
            yield phrases["two_places"].format(place=place, elsewhere=elsewhere, **said)
        if len(found) > TOLD:
            yield phrases["more_places"].format(n=len(found) - TOLD)

    def _spot(self, place: Value) -> str:
        if isinstance(place, Phrase):
            inside = dict(place.values)
            paper = inside.get("document")
            return (
                self._spot(inside["place"])
                if paper is None
                else self.words["phrases"]["the_paper"].format(paper=self._value(Terms((str(paper),))))
            )
        steps = [step for step in STEP.findall(str(place)) if step != "value"]
        said = [text for step in steps for text in (step.partition("[")[0].replace("_", " "), _place(self.site, step)) if text]
        return str(self.words["phrases"]["the_profile"].format(part=", ".join(said)))

    def _value(self, value: Value) -> str:
        return figure_text(value, self.context.inner.numbers.system, self.language, self.spelling)

    def _facts(self) -> Iterator[WorkLine]:
        for fact in missing_facts(self.site):
            closes = fact.bays if fact.need == "A" else ()
            how = (*fact.read_off, *(self._number_of_law() if not set(PUBLIC_NUMBER).isdisjoint(fact.fields) else ()))
            yield WorkLine(
                0, fact.places, fact.sentences, how, ", ".join(fact.fields), closes, documents_of((fact,)), fact.station
            )

    def _number_of_law(self) -> Iterator[str]:
        """The number that the papers print meanwhile, and where it was read."""
        answer = self.context.inner.law.ask("public_emergency_number")
        if answer.number:
            yield self.words["phrases"]["number_of_law"].format(number=answer.number, citation=answer.citation)

    def _said(self, finding: Finding, part: str) -> str:
        return finding_text(finding, part, self.language, self.context.inner.numbers.system, self.spelling)


def _section(station: str) -> int:
    return MENDED if not station else WALK if station in WALKED else CHOSEN if station == DECIDED else ASKED


def _place(site: Site, path: str) -> str:
    """What a reader calls the record in which a finding lies; empty for one about the whole site."""
    match = PLACE.match(path)
    if match is None:
        return ""
    section, key = match[1], match[2]
    match section:
        case "bays":
            record: Node | None = site.bay(key)
        case "vehicles":
            record = site.vehicle(key)
        case "tasks":
            record = next((t for t in site.tasks if t.id == key), None)
        case _:
            record = None
    return str(getattr(record, "name", "") or key)
