"""Words that counsel looks for in finished papers: each kind of them, and every place where one stands.

The lists are those that the site's own texts are held against; here they are held against the clauses as composed, fixed sentences too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from docgen.compose.said import said
from docgen.text.screens import found_in

if TYPE_CHECKING:
    from docgen.compose.pieces import Body

__all__ = ["ScreenRow", "screen_rows"]

#: Kinds in the order in which counsel reads them; True of those that only count on what hangs at the gate.
KINDS = {
    "promise": False, "waiver": False, "approval": False, "rescue-promise": True, "law-number": True, "permissive": True,
    "vague": False, "minutes": False,
}  # fmt: skip
AT_THE_GATE = ("contractor-notice", "gate-card")
OWN_CREW = "contractors.own_crew"


@dataclass(frozen=True, slots=True)
class ScreenRow:
    """One kind of words, and (place, the words there) of each clause in which they stand."""

    kind: str
    found: tuple[tuple[str, tuple[str, ...]], ...]


def screen_rows(bodies: Iterable[Body], places: Mapping[str, str], language: str) -> list[ScreenRow]:
    """A row for each kind, also where nothing was found, and one for what is said of the site's own crew; `places` by id of a clause."""
    bodies = tuple(bodies)
    rows = [ScreenRow(kind, _caught(bodies, kind, places, language)) for kind in KINDS]
    crew = (
        (places[clause.id], ())
        for body in bodies
        for clause in body.clauses
        if any(path.startswith(OWN_CREW) for path, _ in clause.inputs)
    )
    return [*rows, ScreenRow("own-crew", tuple(dict.fromkeys(crew)))]


def _caught(
    bodies: Iterable[Body], kind: str, places: Mapping[str, str], language: str
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Each place with its words, once each without case: cards of several bays say the same at one place."""
    found: dict[str, dict[str, str]] = {}
    for body in bodies:
        if KINDS[kind] and body.document not in AT_THE_GATE:
            continue
        for clause in body.clauses:
            for caught in found_in(said(clause.text), kind, language):
                found.setdefault(places[clause.id], {}).setdefault(caught.text.casefold(), caught.text)
    return tuple((place, tuple(words.values())) for place, words in found.items())
