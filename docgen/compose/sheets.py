"""Functions for papers without a digest: the lists of law held against all papers, the register of sources, what hangs and happened.

They read finished bodies and the records, which no body may see.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING, Any

from docgen.codes import Answer, question
from docgen.compose.contexts import Bound, SheetContext
from docgen.compose.elements import Index, indexes, places_of
from docgen.compose.environment import Collector
from docgen.compose.escape import Markup, escape
from docgen.compose.forms import Forms
from docgen.compose.glance import Glance
from docgen.compose.helpers import lower_first
from docgen.compose.inspecting import Inspecting
from docgen.compose.lawful import Lawful, natural, source_row
from docgen.compose.said import said
from docgen.compose.screening import ScreenRow, screen_rows
from docgen.compose.today import Today
from docgen.compose.worklist import Worklist
from docgen.papers import Outline

if TYPE_CHECKING:
    from docgen.records import Clause

__all__ = ["Sheets"]

FIRST = 14  # words by which a reader of the register knows a clause
#: Sections of inputs that are results of the calculation and no part of the profile.
RECKONED = ("cases", "chains", "rescues")
#: Fields that only say which bay, role or law is meant.
NAMES = frozenset(
    {("bays", "id"), ("bays", "name"), ("bays", "state"), ("codes", "owner"), ("equipment", "id"), ("roles", "id"), ("roles", "part"), ("roles", "title"), ("shifts", "id"), ("shifts", "name"),
     ("site", "jurisdiction"), ("site", "sector"), ("systems", "bay"), ("tasks", "bay")}
)  # fmt: skip
HEADED = re.compile(r"^## .*\{: #([\w.-]+)", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One source: what it is, how far it was checked, and the clauses or sections that print it (`used`), by paper and number.

    `n` numbers the titles in order of first use, since many citations have one title.
    """

    n: int
    citation: str
    title: str
    grade: str
    days: str
    used: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClauseRow:
    """One clause of the register: where it stands, how it begins, and what it rests on.

    Of a paper that is one for each bay `words` has one text where it begins alike on each, else one for each bay, behind the bay's name.
    `rests_on` has the law, local code, rule of the site or practice; `fields` those of the profile that its words come from, section and
    field in words; `reckoned` says whether a result of the engineering record is among them; `fixed` is why a clause stands there whose words no field gives.
    """

    where: str
    words: tuple[str, ...]
    rests_on: tuple[str, ...]
    fields: tuple[str, ...]
    reckoned: bool
    fixed: str | None


@dataclass(frozen=True, slots=True)
class ClauseTable:
    """The clauses of one kind of paper."""

    outline: Outline
    rows: tuple[ClauseRow, ...]


@dataclass(frozen=True, slots=True)
class OpenItems:
    """The items of one published list that the papers do not meet: the paper, the list and its force, and of each item key, what is asked, what is lacking."""

    paper: str
    citation: str
    force: str
    rows: tuple[tuple[str, str, tuple[str, ...]], ...]

    @property
    def alike(self) -> list[tuple[tuple[str, ...], list[tuple[str, str]]]]:
        """What is lacking, with the items that follow each other and lack the same."""
        return [(lacks, [row[:2] for row in rows]) for lacks, rows in groupby(self.rows, itemgetter(2))]


class Sheets:
    """The functions of one sheet. `before` are the sections of it that are written so far, `collector` what they cite."""

    def __init__(
        self, context: SheetContext, lawful: Lawful, words: Mapping[str, Any], collector: Collector, before: Sequence[str]
    ) -> None:
        self.context, self.inner, self.words, self.lawful = context, context.inner, words, lawful
        self.collector, self.before = collector, before
        self.bodies = {paper.body.document: paper.body for paper in context.papers}

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function."""
        own = {
            name: getattr(self, name)
            for name in (
                "element_indexes",
                "citations",
                "clause_tables",
                "concerned",
                "open_items",
                "paper_of_bay",
                "screen_rows",
                "worklist",
            )
        }
        own |= Today(self.context, self.words).functions()
        return {
            **own,
            **Forms(self.context).functions(),
            **Inspecting(self.context, self.words).functions(),
            **Glance(self.context).functions(),
        }

    @cached_property
    def _places(self) -> Mapping[str, str]:
        """Clause id -> where it stands in words, of all papers with a digest."""
        return {key: place for body in self.bodies.values() for key, place in places_of(body, self.inner.language).items()}

    def element_indexes(self) -> Mapping[str, Index]:
        """What the published lists ask of each paper, by the paper's name in the middle of a sentence."""
        from docgen.codes.lists import listed_papers
        from docgen.papers import outline

        found = indexes(self.inner.site, self.context.assessed, self.bodies, self.inner.language, self._places)
        return {outline(listed_papers()[word]).called_in(self.inner.language): index for word, index in found.items()}

    def citations(self) -> list[SourceRow]:
        """Every source that a clause, or a section of this sheet before this one, prints: by citation, with all places where it stands."""
        found: dict[str, Any] = dict(self.collector.cited)
        for body in self.bodies.values():
            found.update({key: entry for key, entry in body.cited.items() if key not in found})
        for ruling in self.inner.rulings:
            for voice in ruling.voices:
                if voice.whose != "site-rule":
                    found.setdefault(voice.citation, voice.answer)
        found.update((rule.citation, rule) for rule in self.inner.site.codes.local)
        rows, places, numbers = [], self._places, dict[str, int]()
        for citation, entry in sorted(found.items(), key=lambda item: natural(item[0])):
            used = tuple(dict.fromkeys(self._used(citation, places)))
            if used and not (isinstance(entry, Answer) and entry.force == "site-rule"):
                title, grade, days = source_row(entry, self.words, self.inner.language, self.context.assessed.as_of)
                if isinstance(entry, Answer) and self.lawful.of_another(entry):
                    grade += f"; {self.lawful.law_words('inherited_mark')}"
                n = numbers.setdefault(title, len(numbers) + 1)
                rows.append(SourceRow(n, citation, title, grade, days, used))
        return rows

    def _used(self, citation: str, places: Mapping[str, str]) -> Iterator[str]:
        """The places that print this citation and no longer one that begins with it."""
        whole = re.compile(re.escape(str(escape(citation))) + r"(?![\w(]|\.\d)")
        for body in self.bodies.values():
            yield from (places[clause.id] for clause in body.clauses if whole.search(clause.text))
        short = escape(self.inner.document.short_in(self.inner.language))
        for section in self.before:
            if whole.search(section) and (head := HEADED.search(section)):
                yield Markup(f"{short} [](#{head[1]})")

    def clause_tables(self) -> list[ClauseTable]:
        """The clause register of the papers that hang on the site; those that are one for each bay stand together."""
        kinds: dict[str, list[Bound]] = {}
        for paper in self.context.papers:
            if paper.outline.posted:
                kinds.setdefault(paper.outline.name, []).append(paper)
        return [self._clause_table(papers) for papers in kinds.values()]

    def _clause_table(self, papers: list[Bound]) -> ClauseTable:
        """One register; a clause that prints nothing at this site is left out."""
        places = self._places
        found: dict[str, list[tuple[str, Clause, str]]] = {}
        for paper in papers:
            bay = self.inner.site.bay(paper.body.document.partition(".")[2])
            for clause in paper.body.clauses:
                if begins := _begins(clause.text):
                    key = clause.id.removeprefix(f"{paper.body.document}.")
                    found.setdefault(key, []).append((bay.name if bay else "", clause, begins))
        rows = []
        for key, clauses in found.items():
            alike = tuple(dict.fromkeys(begins for _, _, begins in clauses))
            words = alike if len(alike) == 1 else tuple(_at_bay(bay, begins) for bay, _, begins in clauses)
            rests = dict.fromkeys(said for _, clause, _ in clauses for said in self._rests_on(clause))
            read = dict.fromkeys(_field(path) for _, clause, _ in clauses for path, _ in clause.inputs)
            told = sorted(one for one in read if one[0] and one not in NAMES)
            fields = tuple(
                f"{section} ({', '.join(field for _, field in some)})" for section, some in groupby(told, itemgetter(0))
            )
            rows.append(
                ClauseRow(
                    places[clauses[0][1].id],
                    words,
                    tuple(rests),
                    fields,
                    ("", "") in read,
                    (papers[0].outline.fixed or {}).get(key),
                )
            )
        return ClauseTable(papers[0].outline, tuple(rows))

    def _rests_on(self, clause: Clause) -> Iterator[str]:
        """Citations of what a clause rests on; of a question on which the law is silent, that it is."""
        seen = set[str]()
        for key in clause.cites:
            kind, _, name = key.partition(":")
            answer = self.inner.law.ask(name) if kind == "law" else None
            said = self.words["terms"]["practice"] if answer is None else answer.citation
            if answer is not None and answer.silent:
                said = str(self.words["phrases"]["law_silent_on"]).format(asks=lower_first(question(name).asks))
            if said not in seen:
                seen.add(said)
                yield said
        paths = {path.partition(".")[0] if path.startswith("site_rules[") else path for path, _ in clause.inputs}
        rules = {rule.path: rule.id for rule in self.inner.site.site_rules}
        yield from (f"{self.words['terms']['site-rule']} {rules[path]}" for path in rules if path in paths)
        yield from (one.citation for one in self.inner.site.codes.local if any(path.startswith(one.path) for path in paths))

    def open_items(self) -> list[OpenItems]:
        """Every list that applies here with the items that the papers do not meet; those that bind come first."""
        from docgen.codes.lists import listed_papers
        from docgen.papers import outline

        language = self.inner.language
        short = {o.called_in(language): o.short_in(language) for o in map(outline, listed_papers().values())}
        found = [
            OpenItems(short[name], group.list.citation, group.list.force, rows)
            for name, index in self.element_indexes().items()
            for group in index.lists
            if (rows := tuple((row.key, row.says, row.missing or row.see) for row in group.rows if row.lacks))
        ]
        return sorted(found, key=lambda item: item.force != "mandatory")

    def screen_rows(self) -> list[ScreenRow]:
        """What counsel looks for in the words of every paper that people of the site or others read, and where it stands."""
        bodies = [paper.body for paper in self.context.papers if paper.outline.circle != "working"]
        return screen_rows(bodies, self._places, self.inner.language)

    def paper_of_bay(self, paper: Bound) -> str:
        """The title of a paper, as the law of the place calls it, with the name of the bay that it is for."""
        _, _, key = paper.body.document.partition(".")
        title, bay = paper.outline.at(self.inner.law).title_in(self.inner.language), self.inner.site.bay(key)
        return f"{title}, {bay.name}" if bay else f"{title}, {key}" if key else title

    def worklist(self) -> Worklist:
        """The lines of the worksheet."""
        return Worklist(self.context, self.words, self.inner.law.spelling)

    def concerned(self, documents: tuple[str, ...]) -> tuple[str, ...]:
        """Papers that a finding names, each by its name before the number of a clause."""
        from docgen.papers import outline

        return tuple(outline(name).short_in(self.inner.language) for name in documents)


def _at_bay(bay: str, begins: str) -> str:
    """The first words of a clause of one bay behind the name of the bay, unless they begin with it."""
    said = begins.removesuffix(".")
    return said if not bay or said.startswith(bay) else f"{bay}: {said}"


def _field(path: str) -> tuple[str, str]:
    """Section and field of a profile path in words; both empty for a result of the calculation.

    >>> _field("bays[B1].marked_area.name"), _field("contractors.classes[service].bays"), _field("chains[B1].users")
    (('bays', 'marked area'), ('contractors', 'classes'), ('', ''))
    """
    section, _, rest = re.sub(r"\[[^\]]*\]", "", path).partition(".")
    return ("", "") if section in RECKONED else (section.replace("_", " "), rest.partition(".")[0].replace("_", " "))


def _begins(text: str) -> str:
    """The first words of a clause; empty for a clause that prints nothing."""
    words = said(text).split()
    return " ".join(words[:FIRST]) + (" …" if len(words) > FIRST else "")
