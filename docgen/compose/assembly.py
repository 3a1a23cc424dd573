"""Body first, frame second: the clauses of a document with their digest, and then the pages around them."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from docgen.codes import LawAlone
from docgen.compose.composition import Composition
from docgen.compose.contexts import BodyContext, FrameContext
from docgen.compose.digest import headings_digest, sealed, text_digest
from docgen.compose.document import Document
from docgen.compose.environment import without_marks
from docgen.compose.escape import escape
from docgen.compose.number import number
from docgen.compose.outline import Outline
from docgen.compose.pieces import Body, Frame
from docgen.compose.tree import parse
from docgen.findings.model import Assessment
from docgen.site import Site

__all__ = ["compose_body", "compose_document"]


def compose_body(
    outline: Outline, language: str, site: Site, code: LawAlone, assessed: Assessment, own: tuple[Path, ...] = ()
) -> Body:
    """Render the sections in order. A section of which only headings are left has nothing to say here and is left out."""
    composition = Composition(BodyContext.of(outline, language, site, code, assessed), own)
    collector = composition.collector
    parts: list[str] = []
    sections: dict[str, str] = {}
    for stem in outline.sections:
        before = len(collector.clauses)
        text = without_marks(composition.render(stem), outline.template(stem, language)).strip()
        sections.update((clause.id, stem) for clause in collector.clauses[before:])
        if any(not line.startswith("#") for line in text.split("\n") if line.strip()):
            parts.append(text)
    markdown = _tidy("\n\n".join(parts))
    clauses = tuple(sealed(clause, outline.name, language, sections[clause.id]) for clause in collector.clauses)
    return Body(
        document=outline.name, language=language, digest=text_digest(outline.name, language, clauses, markdown),
        headings=headings_digest(markdown), clauses=clauses,
        markdown=markdown, cited=dict(collector.cited), figures=dict(collector.figures),
    )  # fmt: skip


def compose_document(
    outline: Outline,
    body: Body,
    frame: Frame,
    site: Site,
    code: LawAlone,
    assessed: Assessment,
    as_of: date,
    own: tuple[Path, ...] = (),
) -> Document:
    """Put the frame around the body, parse the whole once, and number it."""
    language = body.language
    inner = BodyContext.of(outline, language, site, code, assessed)
    composition = Composition(FrameContext(inner, assessed, body, frame), own)
    title = outline.title_in(language)
    front = [composition.render(stem) for stem in outline.front]
    back = [composition.render(stem) for stem in outline.back]
    pieces = [f"# {escape(title)}", *front, body.markdown, *back]
    markdown = _tidy("\n\n".join(p.strip() for p in pieces if p.strip())) + "\n"
    labels = composition.words["labels"]
    return Document(
        name=outline.name, title=title, language=_full_language(language, site), site_name=site.site.name,
        number=site.document.number or "", revision=frame.revision, stamp=frame.stamp, date=as_of,
        paper=site.document.paper or code.paper, layout=outline.layout, contents=outline.contents, body_pt=outline.body_pt,
        markdown=markdown, tree=number(parse(markdown), labels), labels=labels,
        figures={**body.figures, **composition.collector.figures},
    )  # fmt: skip


def _full_language(language: str, site: Site) -> str:
    """`en` at a site in the United States is en-US, so that spelling and hyphenation follow the place."""
    return language if "-" in language else f"{language}-{site.site.jurisdiction[:2]}"


def _tidy(markdown: str) -> str:
    return re.sub(r"\n{3,}", "\n\n", re.sub(r"[ \t]+$", "", markdown, flags=re.MULTILINE)).strip()
