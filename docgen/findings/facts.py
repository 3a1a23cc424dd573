"""Findings on what nobody has found out yet: the lines that `docgen.site.facts` makes from the declarations, counted for bay and paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from docgen.findings.common import bays_in_use, terms
from docgen.findings.model import Value
from docgen.findings.rule import ALL, NOTICE, PLAN, RESCUE, finding
from docgen.findings.view import Hit, View
from docgen.site.facts import Fact

__all__ = ["bay_facts_missing", "documents_of", "paper_facts_missing"]

FIRST = 3  # sentences in a message; the list has them all
#: Number of a paper in the declarations -> the documents of this version that hold its content.
PAPERS: dict[int | str, tuple[str, ...]] = {1: (PLAN,), 2: (PLAN,), 4: (NOTICE,), 6: (RESCUE,), "all": ALL, "digest": ALL}


def documents_of(facts: Iterable[Fact]) -> tuple[str, ...]:
    """The documents of this version that need these facts."""
    named = {document for fact in facts for paper in fact.papers for document in PAPERS.get(paper, ())}
    return tuple(d for d in ALL if d in named)


def _told(facts: list[Fact]) -> dict[str, Value]:
    sentences = [s for fact in facts for s in fact.sentences]
    return {"count": len(sentences), "first": " ".join(sentences[:FIRST])}


@finding("bay-facts-missing", "must-fix", documents=ALL)
def bay_facts_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the facts without which nobody may climb in a bay.

    Why: what is not known about a bay is decided by the fall. A bay closed by decision asks for nothing. Example: nobody
    wrote down where a person without a radio calls from. Reference: the choice of this program, no published source.
    """
    for bay in bays_in_use(view):
        facts = [f for f in view.facts if f.need == "A" and bay.id in f.bays]
        if facts:
            yield Hit(bay.path, {"bay": bay.name, **_told(facts)}, documents_of(facts))


@finding("paper-facts-missing", "must-fix", documents=ALL)
def paper_facts_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the facts that a paper prints beside those that close a bay.

    Why: a paper with holes is filled in by guessing. "None" is an answer. Example: no place for parts that are out of
    service. Reference: the choice of this program, no published source.
    """
    for document in ALL:
        facts = [f for f in view.facts if f.need == "B" and document in documents_of((f,))]
        if facts:
            yield Hit("document", {"document": terms((document,)), **_told(facts)}, (document,))
