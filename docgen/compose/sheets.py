"""Functions for papers without a digest: the lists of law held against all papers, the register of sources, what hangs and happened.

They read finished bodies and the records, which no body may see.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from docgen.codes import Answer
from docgen.compose.contexts import Bound, SheetContext
from docgen.compose.elements import Index, indexes, places_of
from docgen.compose.environment import Collector
from docgen.compose.escape import Markup, escape
from docgen.compose.lawful import Lawful, natural, source_row
from docgen.compose.today import Today
from docgen.compose.worklist import Worklist
from docgen.papers import Outline
from docgen.records import Clause

__all__ = ["Sheets"]

RECORD = re.compile(r"(.*\]|\w+)\.(.+)")
WORKED = re.compile(r"(cases|rescues)\[[^\]]*\]\.(.+)")  # a figure that the program works out: its kind of row, its name there
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
    """One clause of the register: where it stands, what it rests on of law and practice, and the fields of the profile that it reads.

    Of a paper that is one for each bay: the fields that the clause reads on each of them, and in `own`, bay by bay, those that it does not.
    """

    key: str
    where: str
    sources: tuple[str, ...]
    fields: tuple[str, ...]
    own: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class ClauseTable:
    """The clauses of one kind of paper; `bays` are those that have one each, none for a paper of the whole site."""

    outline: Outline
    bays: tuple[str, ...]
    rows: tuple[ClauseRow, ...]


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
        own = {name: getattr(self, name) for name in ("element_indexes", "citations", "clause_tables", "concerned", "worklist")}
        return {**own, **Today(self.context, self.words).functions()}

    def _places(self) -> Mapping[str, str]:
        """Clause id -> where it stands in words, of all papers with a digest."""
        return {key: place for body in self.bodies.values() for key, place in places_of(body, self.inner.language).items()}

    def element_indexes(self) -> Mapping[str, Index]:
        """What the published lists ask of each paper, by the paper's name in the middle of a sentence."""
        from docgen.codes.lists import listed_papers
        from docgen.papers import outline

        found = indexes(self.inner.site, self.context.assessed, self.bodies, self.inner.language)
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
        rows, places, numbers = [], self._places(), dict[str, int]()
        for citation, entry in sorted(found.items(), key=lambda item: natural(item[0])):
            used = tuple(dict.fromkeys(self._used(citation, places)))
            if used and not (isinstance(entry, Answer) and entry.force == "site-rule"):
                title, grade, days = source_row(entry, self.words["terms"], self.inner.language)
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
        shown, places = papers[0].outline, self._places()
        found: dict[str, list[tuple[str, Clause]]] = {}
        for paper in papers:
            bay = paper.body.document.partition(".")[2]
            for clause in paper.body.clauses:
                found.setdefault(clause.id.removeprefix(f"{paper.body.document}."), []).append((bay, clause))
        rows = []
        for key, clauses in found.items():
            reads = [dict.fromkeys(path for path, _ in clause.inputs) for _, clause in clauses]
            everywhere = [path for path in reads[0] if all(path in other for other in reads)]
            rest = (
                (bay, _by_record(path for path in read if path not in everywhere))
                for (bay, _), read in zip(clauses, reads, strict=True)
            )
            sources = tuple(dict.fromkeys(source for _, clause in clauses for source in clause.cites))
            own = tuple((bay, fields) for bay, fields in rest if fields)
            rows.append(ClauseRow(key, places[clauses[0][1].id], sources, _by_record(everywhere), own))
        bays = (paper.body.document.partition(".")[2] for paper in papers)
        return ClauseTable(shown, tuple(bay for bay in bays if bay), tuple(rows))

    def worklist(self) -> Worklist:
        """The lines of the worksheet."""
        return Worklist(self.context, self.words, self.inner.law.spelling)

    def concerned(self, documents: tuple[str, ...]) -> tuple[str, ...]:
        """Papers that a finding names, each by its name before the number of a clause."""
        from docgen.papers import outline

        return tuple(outline(name).short_in(self.inner.language) for name in documents)


def _short(keys: Iterable[str]) -> list[str]:
    """Ids in their order, those that differ in the last part only told together: `load.kneeling.left/rear`."""
    found: dict[str, list[str]] = {}
    for key in keys:
        first, dot, last = key.rpartition(".")
        found.setdefault(first + dot, []).append(last)
    return [name for first, lasts in found.items() for name in ([f"{first}{'/'.join(lasts)}"] if first else lasts)]


def _by_record(paths: Iterable[str]) -> tuple[str, ...]:
    """Paths with those of one record together, and records of which the same is read: `bays[B1, B2]: name, rail.offset`.

    Of what is worked out only the figures are told, not each case or row: `cases: feet_high`; an id by which a record was found is no fact.
    """
    found: dict[str, list[str]] = {}
    for path in paths:
        if (worked := WORKED.match(path)) is not None:
            if worked[2] not in (told := found.setdefault(worked[1], [])):
                told.append(worked[2])
            continue
        match = RECORD.match(path)
        if match and match[2] == "id":
            continue
        found.setdefault(match[1] if match else path, []).extend([match[2]] if match else [])
    alike: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for record, read in found.items():
        kind, _, key = record.rstrip("]").rpartition("[")
        alike.setdefault((kind or key, tuple(read)), []).append(key if kind else "")
    inside: dict[tuple[str, str, str], list[str]] = {}
    for (kind, fields), keys in alike.items():
        of = f"[{', '.join(_short(keys))}]" if any(keys) else ""
        outer = RECORD.match(kind) if "[" in kind else None
        name, rest = (outer[1].rstrip("]"), f"].{outer[2]}") if outer else (kind, "")
        first, _, key = name.rpartition("[") if outer else (name, "", "")
        inside.setdefault((first, f"{rest}{of}", ", ".join(fields)), []).append(key)
    said = []
    for (kind, rest, names), keys in inside.items():
        of = f"[{', '.join(_short(keys))}" if any(keys) else ""
        said.append(f"{kind}{of}{rest}: {names}" if names else f"{kind}{of}{rest}")
    return tuple(said)
