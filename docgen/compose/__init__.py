"""From the assessment to finished documents, one Markdown text and one numbered tree each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from docgen.codes import LawAlone
    from docgen.compose.document import Document
    from docgen.compose.pieces import Body
    from docgen.findings.model import Assessment
    from docgen.records import Records
    from docgen.site import Site

__all__ = ["all_bodies", "compose_all"]

NOTICE = "contractor-notice"


def compose_all(
    site: Site,
    code: LawAlone,
    assessed: Assessment,
    as_of: date,
    types: tuple[str, ...],
    own: tuple[Path, ...] = (),
    wanted: tuple[str, ...] = (),
    records: Records | None = None,
    bodies: Mapping[str, Mapping[str, Body]] | None = None,
) -> tuple[tuple[Document, Body], ...]:
    """Every document (or those named in `wanted`, and the site page) in every language of the profile.

    All bodies come first, since a frame may name another document's digest. `types` are the file types that will be
    written; the site page lists the files by name. `records` are those that existed on the day.
    `bodies` are bodies composed before, document -> language -> Body; what is not among them is composed here.
    """
    from docgen.compose.assembly import compose_body, compose_document
    from docgen.compose.elements import indexes
    from docgen.compose.frame import frame_for
    from docgen.compose.outline import outlines
    from docgen.records import NONE

    done = []
    chosen = tuple(o for o in outlines() if not wanted or o.name in wanted or o.name == "index")
    needed = {o.name for o in chosen} | {"fall-protection-plan"}
    languages = site.document.languages or code.languages[:1]
    for language in languages:
        composed = {name: versions[language] for name, versions in (bodies or {}).items()}
        ready = {
            o.name: composed.get(o.name) or compose_body(o, language, site, code, assessed, own)
            for o in outlines()
            if o.name in needed
        }
        # the plan's element index speaks of the notice, whether or not the notice is wanted
        notice = {
            o.name: composed.get(o.name) or compose_body(o, language, site, code, assessed, own)
            for o in outlines()
            if o.name == NOTICE and o.name not in ready
        }
        for o in chosen:
            frame = frame_for(o.name, language, languages, site, assessed, ready, types, records or NONE)
            frame = replace(frame, elements=indexes(o.name, site, assessed, {**notice, **ready}, language))
            done.append((compose_document(o, ready[o.name], frame, site, code, assessed, as_of, own), ready[o.name]))
    return tuple(done)


def all_bodies(
    site: Site, code: LawAlone, assessed: Assessment, own: tuple[Path, ...] = (), wanted: tuple[str, ...] = ()
) -> dict[str, dict[str, Body]]:
    """The bodies alone: document -> language -> Body, of every document (or those wanted), without the site page."""
    from docgen.compose.assembly import compose_body
    from docgen.compose.frame import SITE_PAGE
    from docgen.compose.outline import outlines

    languages = site.document.languages or code.languages[:1]
    chosen = [o for o in outlines() if o.name != SITE_PAGE and (not wanted or o.name in wanted)]
    return {o.name: {lang: compose_body(o, lang, site, code, assessed, own) for lang in languages} for o in chosen}
