"""Which issued revisions a version of the program wrote, and where their papers hang: for a fault in the program itself."""

from __future__ import annotations

from typing import Literal

from docgen.control.withdraw import Place, places_of
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.records import Issued, Records

__all__ = ["Written", "written_by"]


@frozen
class Written:
    """One revision, the (document, language) of it that are in force, and the places where its papers hang."""

    revision: Issued
    in_force: tuple[tuple[str, str], ...]
    state: Literal["issued", "superseded", "withdrawn"]
    places: tuple[Place, ...]


def written_by(records: Records, happened: Happened, version: str) -> tuple[Written, ...]:
    """The revisions that this version wrote, oldest first; those superseded and withdrawn too, since a copy may still hang."""
    found = []
    posted = records.posted()
    for revision in records.issued:
        if revision.program != version:
            continue
        held = tuple(
            (t.document, t.language) for t in revision.texts if posted.get((t.document, t.language), (0,))[0] == revision.revision
        )
        gone = records.withdrawal_of(revision.revision) is not None
        state: Literal["issued", "superseded", "withdrawn"] = "withdrawn" if gone else "issued" if held else "superseded"
        found.append(Written(revision, held, state, places_of(revision, happened)))
    return tuple(found)
