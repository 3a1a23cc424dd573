"""Findings on words that stand where a proof is asked for and prove nothing."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.engineering.chains import names_paper
from docgen.findings.common import listed, parts_relied_on, said_none, systems_in_use
from docgen.findings.rule import PLAN, RECORD, finding
from docgen.findings.view import Hit, View

__all__ = ["page_without_manual", "paper_unnamed", "proof_says_nothing"]

#: Answers that name no paper, page or reason.
NOTHING = ("unknown", "tbd", "ok", "yes", "true", "see above", "later")


def _says_nothing(text: str) -> bool:
    plain = text.strip().casefold().rstrip(".")
    return said_none(text) or plain in NOTHING or not any(c.isalnum() for c in plain)


def _papers(view: View) -> Iterator[tuple[str, str | None]]:
    """Path and text of each field that names a document or a page of one."""
    for part in parts_relied_on(view):
        yield f"{part.part_of.path}.paper", part.part_of.paper
        yield f"{part.edge_use.path}.page", part.edge_use.page
        yield f"{part.line_angle.path}.page", part.line_angle.page
        yield f"{part.cold.path}.page", part.cold.page
    for system in systems_in_use(view):
        dated = system.compatibility.on is not None
        yield f"{system.compatibility.path}.stated_by", None if dated else system.compatibility.stated_by
        yield f"{system.path}.above_310_basis", system.above_310_basis
        yield from ((f"{left.path}.reason", left.reason) for left in system.without)


def _proofs(view: View) -> Iterator[tuple[str, str | None]]:
    """Path and text of each field that says what proves something."""
    yield from _papers(view)
    for system in systems_in_use(view):
        if system.compatibility.on is not None:
            yield f"{system.compatibility.path}.stated_by", system.compatibility.stated_by
        bay = view.site.bay(system.bay)
        if bay is not None:
            yield from ((f"{stop.path}.basis", stop.basis) for stop in bay.rail.stops)
    for task in view.site.tasks:
        if task.permission == "allowed":
            yield from ((f"{entry.path}.text", entry.text) for entry in task.struck)


@finding("proof-says-nothing", "must-fix", documents=(PLAN, RECORD))
def proof_says_nothing(view: View) -> Iterator[Hit]:
    """What it looks at: papers, pages and reasons on which a rating, an edge, an angle or a tolerated swing rests.

    Why: "none" is no page, and what rests on it is not proved. Example: part of R-1, paper: none. Reference: common practice, no published
    source.
    """
    for path, text in _proofs(view):
        if text is not None and _says_nothing(text):
            yield Hit(path, {"input": path, "text": text})


@finding("paper-unnamed", "must-fix", documents=(PLAN, RECORD))
def paper_unnamed(view: View) -> Iterator[Hit]:
    """What it looks at: papers and pages on which a rating, an edge, an angle or a link that there is none of rests: whether they can be looked up.

    Why: a paper without a number, a page or a day is none that anybody can open. Words that say nothing at all are told as such. Example: part of R-1, paper: see maker.
    Reference: common practice, no published source.
    """
    for path, text in _papers(view):
        if text is not None and not _says_nothing(text) and not names_paper(text):
            yield Hit(path, {"input": path, "text": text})


@finding("page-without-manual", "fix-soon", documents=(PLAN, RECORD))
def page_without_manual(view: View) -> Iterator[Hit]:
    """What it looks at: parts with a page for use over an edge, the line angle, the cold or what clears them after a fall, and without the manual that has the page.

    Why: a page of no paper can be looked up by nobody. Example: edge_use on page 22, manual left out. Reference: common practice, no published source.
    """
    for part in parts_relied_on(view):
        pages = (part.edge_use, part.line_angle, part.cold, part.after_arrest)
        told = [f"{about.path}.page" for about in pages if about.page is not None]
        if told and part.manual is None:
            yield Hit(f"{part.path}.manual", {"part": part.id, "inputs": listed(told)})
