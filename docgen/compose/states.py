"""How far each paper is, and which fields of the profile no paper prints: both told from finished bodies."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from docgen.codes import LawAlone
from docgen.compose.document import Document
from docgen.compose.frame import copies, holds, stopping
from docgen.compose.pieces import Body
from docgen.findings.model import Assessment
from docgen.findings.states import PaperState, paper_state
from docgen.papers import papers
from docgen.records import Records
from docgen.site import Node, Quantity, Site, slots_of

__all__ = ["papers_of", "unprinted", "wanted_fields"]

Bodies = Mapping[str, Mapping[str, Body]]


def papers_of(
    site: Site, code: LawAlone, assessed: Assessment, records: Records, bodies: Bodies | None
) -> tuple[PaperState, ...]:
    """Every paper with a digest in every language, in their order; then what is on record and no longer composed.

    `bodies` may be left out where no revision was issued.
    """
    languages = site.document.languages or code.languages[:1]
    states = []
    for outline in papers():
        for name in copies(outline, site, assessed) if outline.bound else ():
            bay = name.partition(".")[2] if outline.per == "bay" else None
            for language in languages:
                issued = records.in_force(name, language)
                held = issued is not None and bodies is not None and holds(issued, bodies[name][language])
                state = paper_state(
                    name, language, stopping(name, assessed), issued, held, withdrawn=_withdrawn(records, name, language)
                )
                states.append(dataclasses.replace(state, bay=bay))
    known = {(s.name, s.language) for s in states}
    for name, language in dict.fromkeys((*records.posted(), *records.out_of_force())):
        if (name, language) not in known:
            gone = _withdrawn(records, name, language)
            held_by = records.in_force(name, language)
            states.append(paper_state(name, language, (), held_by, False, composed=False, withdrawn=gone))
    return tuple(states)


def _withdrawn(records: Records, name: str, language: str) -> int | None:
    found = records.newest(name, language)
    return found.revision if found is not None and records.withdrawal_of(found.revision) is not None else None


def wanted_fields(site: Site) -> dict[str, None]:
    """Paths of the values given for fields that some paper is to print, in the order of the profile."""
    return dict.fromkeys(_given(site, site.answered, False))


def unprinted(site: Site, bodies: Bodies, documents: Iterable[Document] = ()) -> tuple[str, ...]:
    """Paths of those that no clause of any body has read, and no frame or sheet of the finished papers."""
    read = {path for by in bodies.values() for body in by.values() for clause in body.clauses for path, _ in clause.inputs}
    read.update(*(document.reads for document in documents))
    day = site.document.effective
    for role in site.roles:  # who holds a role is read off its holders
        holder = role.on(day) if day is not None else None
        if holder is not None and f"{role.path}.holders" in read:
            read.update((f"{holder.path}.name", f"{holder.path}.from"))
    return tuple(path for path in wanted_fields(site) if path not in read)


def _given(node: Node, answered: frozenset[str], wanted: bool) -> Iterator[str]:
    cls: Any = node.__class__
    said = {f.name: f.metadata["says"] for f in dataclasses.fields(node) if "says" in f.metadata}
    for slot in slots_of(cls):
        value, ours = getattr(node, slot.name), wanted or bool(said[slot.name].papers)
        at = f"{node.path}.{slot.key}".lstrip(".")
        if slot.what == "record":
            for inner in value if slot.many else (value,):
                if inner:
                    yield from _given(inner, answered, ours)
        elif ours and at in answered:
            yield value.path if isinstance(value, Quantity) else at
