"""Finished bodies against the words that their sheet takes: a paper that hangs or is carried has one page or two, and no more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from docgen.compose.classes import class_climbs
from docgen.compose.tree import parse, words
from docgen.findings import RULES
from docgen.findings.basis import basis_of_practice
from docgen.findings.common import listed
from docgen.findings.model import BayState, Finding
from docgen.papers import outline
from docgen.site import Site

if TYPE_CHECKING:
    from docgen.compose.pieces import Body

__all__ = ["longest", "most_words", "too_long", "words_of"]

NAME = "paper-too-long"
SHOWN = 3


def words_of(text: str) -> int:
    """The visible words of a clause, as they are cut at blanks: a caption that is not printed is none of them, nor is the band of a closed bay."""
    tree = parse(f"# x\n\n{text}")
    bands = [words(line) for line in tree.iter("p") if "band" in line.get("class", "").split()]
    unprinted = [caption for caption in tree.iter("caption") if caption.get("class") == "silent"]
    apart = [*bands, *(words(caption) for caption in unprinted)]
    return len(words(tree).split()) - 1 - sum(len(text.split()) for text in apart)


def most_words(text: str) -> int:
    """A number of words that `words_of` never passes, without a parse: pieces of the source between blanks and cell borders."""
    return len(text.replace("|", " ").split())


def longest(body: Body) -> tuple[str, ...]:
    """The longest clauses of a body with their words, the longest first."""
    counted = sorted(((words_of(c.text), c.id.partition(".")[2]) for c in body.clauses), key=lambda row: (-row[0], row[1]))
    return tuple(f"{name} ({count})" for count, name in counted[:SHOWN])


def too_long(bodies: Mapping[str, Mapping[str, Body]], site: Site, planned: Iterable[BayState]) -> tuple[Finding, ...]:
    """A must-fix finding for each paper on one sheet whose words are more than its budget, with its longest clauses.

    What the closure of a bay adds is not counted: closing one must never hold back the papers that say so.
    """
    rule, states = next(r for r in RULES if r.name == NAME), {state.bay: state for state in planned}
    return tuple(
        Finding(
            name=NAME, severity=rule.severity, stops=rule.stops, documents=(name.partition(".")[0],), path="contractors", line=site.line("contractors"),
            values={"paper": name, "words": count, "most": most, "over": count - most, "longest": listed(longest(body))},
            basis=basis_of_practice(),
        )
        for name, body, count, most in _over(bodies, class_climbs(site, states), {state.bay for state in states.values() if state.shut})
    )  # fmt: skip


def _over(bodies: Mapping[str, Mapping[str, Body]], climbs: bool, shut: set[str]) -> Iterator[tuple[str, Body, int, int]]:
    for name, versions in bodies.items():
        shown = outline(name)
        most = shown.budget.at(climbs).words if shown.budget is not None and shown.layout != "report" else None
        if most is None:
            continue
        for body in versions.values():
            clauses = body.clauses if "." in name else [c for c in body.clauses if c.id.rpartition(".")[2] not in shut]
            if sum(most_words(clause.text) for clause in clauses) <= most:
                continue
            count = sum(words_of(clause.text) for clause in clauses)
            if count > most:
                yield name, body, count, most
