"""Body first, frame second: the clauses of a document with their digest, and then the pages around them. A sheet is one piece."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from docgen.codes import LawAlone
from docgen.compose.classes import class_climbs
from docgen.compose.composition import Composition
from docgen.compose.contexts import BodyContext, Bound, FrameContext, SheetContext
from docgen.compose.digest import headings, headings_digest, sealed, short_digest, text_digest
from docgen.compose.document import Document, sheet_of
from docgen.compose.environment import without_marks
from docgen.compose.escape import escape
from docgen.compose.frame import titled
from docgen.compose.number import number
from docgen.compose.pieces import Body, Frame
from docgen.compose.tree import parse
from docgen.errors import TemplateError
from docgen.findings.model import Assessment
from docgen.happened import Happened
from docgen.papers import Outline, outline
from docgen.site import Site
from docgen.text.paper_code import PaperCode

__all__ = ["compose_body", "compose_document", "compose_sheet"]


def compose_body(
    document: str, language: str, site: Site, code: LawAlone, assessed: Assessment, own: tuple[Path, ...] = ()
) -> Body:
    """Render the sections in order. A section of which only headings are left has nothing to say here and is left out.

    `document` is the name of a paper with a digest, of one bay or kind where there is one for each.
    """
    shown = outline(document)
    if not shown.bound:
        raise TemplateError(f"{document} is written without a digest or not at all; it has no body")
    composition = Composition(BodyContext.of(document, language, site, code, assessed), own)
    collector = composition.collector
    parts: list[str] = []
    sections: dict[str, str] = {}
    for stem in shown.sections:
        before = len(collector.clauses)
        text = without_marks(composition.render(stem), shown.template(stem, language)).strip()
        sections.update((clause.id, stem) for clause in collector.clauses[before:])
        if _says(text):
            parts.append(text)
    markdown = _tidy("\n\n".join(parts))
    heads = headings(markdown, *_above(composition.inner.document, composition.inner))
    clauses = tuple(sealed(clause, document, language, sections[clause.id]) for clause in collector.clauses)
    return Body(
        document=document, language=language, digest=text_digest(document, language, clauses, heads),
        headings=headings_digest(heads), clauses=clauses,
        markdown=markdown, cited=dict(collector.cited), figures=dict(collector.figures),
    )  # fmt: skip


def compose_document(
    body: Body, frame: Frame, site: Site, code: LawAlone, assessed: Assessment, as_of: date, own: tuple[Path, ...] = ()
) -> Document:
    """Put the frame around the body, parse the whole once, and number it."""
    shown = outline(body.document)
    inner = BodyContext.of(body.document, body.language, site, code, assessed)
    composition = Composition(FrameContext(inner, assessed, body, frame), own)
    composition.collector.trace.all = {}
    front = [composition.render(stem) for stem in shown.front]
    back = [composition.render(stem) for stem in shown.back]
    day = site.document.effective or as_of  # a paper that is approved is of the day for which it was written
    return _finished(composition, frame, [*front, body.markdown, *back], day, body)


def compose_sheet(
    document: str, language: str, frame: Frame, papers: tuple[Bound, ...], site: Site, code: LawAlone, assessed: Assessment,
    happened: Happened, own: tuple[Path, ...] = (),
) -> Document:  # fmt: skip
    """A paper without a digest: its sections see the findings, the records and what happened up to the day; `papers` are those with a digest."""
    inner = BodyContext.of(document, language, site, code, assessed)
    composition = Composition(SheetContext(inner, assessed, frame, papers, happened), own)
    composition.collector.trace.all = {}
    sections = [composition.render(stem) for stem in outline(document).sections]
    return _finished(composition, frame, [text for text in sections if _says(text)], happened.as_of)


def _finished(composition: Composition, frame: Frame, pieces: list[str], as_of: date, body: Body | None = None) -> Document:
    inner, labels = composition.inner, composition.words["labels"]
    shown, site, language = inner.document, inner.site, inner.language
    title = _title(shown, inner)
    place = site.document.paper or inner.law.paper
    budget = shown.budget.at(class_climbs(site, inner.planned)) if shown.budget else None
    texts = composition.words["stamp"]
    count = len(frame.reasons)
    markdown = _tidy("\n\n".join(p.strip() for p in (f"# {escape(_above(shown, inner)[0])}", *pieces) if p.strip())) + "\n"
    return Document(
        name=inner.name, title=title, language=_full_language(language, site), site_name=site.site.name,
        number=site.document.number or "", revision=frame.revision, stamp=frame.stamp, date=as_of,
        paper=sheet_of(place, shown.size), large=None if shown.large is None else (sheet_of(place, "large"), (budget and budget.large_pt) or shown.large), landscape=shown.landscape, layout=shown.layout,
        contents=shown.contents, body_pt=shown.body_pt, markdown=markdown, tree=number(parse(markdown), labels), labels=labels,
        figures={**(body.figures if body else {}), **composition.collector.figures},
        note=texts["see_one" if count == 1 else "see"].format(n=count) if count else "",
        mark=texts["mark"].format(mark=short_digest(body.digest)) if body else "", code=_code(inner, frame, as_of, body) if shown.hangs else "",
        most_pages=budget.pages if budget else None, spare_pages=shown.budget.spare(len(site.bays)) if shown.budget else 0, smallest_pt=budget.smallest_pt if budget else None,
        reads=composition.collector.trace.outside(), cites=frozenset(composition.collector.trace.told), up=shown.up,
    )  # fmt: skip


def _code(inner: BodyContext, frame: Frame, as_of: date, body: Body | None) -> str:
    """The text of the code in the foot: an issued text has its revision, a draft none, a sheet of a day that day."""
    number, paper, language = inner.site.document.number or "", inner.name, inner.language
    if body is None:
        return PaperCode(number, paper, language, day=as_of).text
    revision = frame.in_force if frame.state == "issued" else None
    return PaperCode(number, paper, language, revision, short_digest(body.digest)).text


def _title(shown: Outline, inner: BodyContext) -> str:
    return titled(shown, inner.name, inner.language, inner.site, inner.law)


def _above(shown: Outline, inner: BodyContext) -> tuple[str, ...]:
    """What stands over and under each page of a paper, which is approved with it: its heading, and the name of the site."""
    name = inner.site.site.name
    return shown.heading_in(inner.language, name) if shown.heading else _title(shown, inner), name


def _says(text: str) -> bool:
    """Whether a section holds more than headings."""
    return any(not line.startswith("#") for line in text.split("\n") if line.strip())


def _full_language(language: str, site: Site) -> str:
    """`en` at a site in the United States is en-US, so that spelling and hyphenation follow the place."""
    return language if "-" in language else f"{language}-{site.site.jurisdiction[:2]}"


def _tidy(markdown: str) -> str:
    return re.sub(r"\n{3,}", "\n\n", re.sub(r"[ \t]+$", "", markdown, flags=re.MULTILINE)).strip()
