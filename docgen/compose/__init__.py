"""From the assessment to finished documents, one Markdown text and one numbered tree each."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from docgen.assess.model import Assessment
    from docgen.codes import Code
    from docgen.compose.compose import Body
    from docgen.compose.document import Document
    from docgen.site import Site

__all__ = ["compose_all"]


def compose_all(
    site: Site,
    code: Code,
    assessed: Assessment,
    as_of: date,
    types: tuple[str, ...],
    own: tuple[Path, ...] = (),
    wanted: tuple[str, ...] = (),
) -> tuple[tuple[Document, Body], ...]:
    """Every document (or those named in `wanted`, and the site page) in every language of the profile.

    All bodies come first, since a frame may name another document's digest. `types` are the file types that will be
    written; the site page lists the files by name.
    """
    from docgen.compose.compose import compose_body, compose_document
    from docgen.compose.frame import frame_for
    from docgen.compose.outline import outlines

    done = []
    chosen = tuple(o for o in outlines() if not wanted or o.name in wanted or o.name == "index")
    needed = {o.name for o in chosen} | {"fall-protection-plan"}
    languages = site.document.languages or code.languages[:1]
    for language in languages:
        bodies = {o.name: compose_body(o, language, site, code, assessed, own) for o in outlines() if o.name in needed}
        for o in chosen:
            frame = frame_for(o.name, language, languages, site, assessed, bodies, types)
            done.append((compose_document(o, bodies[o.name], frame, site, code, assessed, as_of, own), bodies[o.name]))
    return tuple(done)
