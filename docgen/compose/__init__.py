"""From the assessment to finished papers, one Markdown text and one numbered tree each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.look import NONE as PLAIN
from docgen.look import Look
from docgen.papers import Outline, outline, outlines, papers

if TYPE_CHECKING:
    from docgen.codes import LawAlone
    from docgen.compose.document import Document
    from docgen.compose.pieces import Body
    from docgen.findings.model import Assessment
    from docgen.happened import Happened
    from docgen.records import Records
    from docgen.site import Site

__all__ = ["all_bodies", "chosen", "compose_all", "compose_each"]


def chosen(wanted: tuple[str, ...] = ()) -> tuple[Outline, ...]:
    """The papers to be written: those wanted, or all that this version writes but for those that are written on request only.

    Where there is one for each bay or kind, `wanted` names them all by the paper's name, or single ones: `bay-sign.B1`.
    """
    asked = {name.partition(".")[0] for name in wanted}
    return tuple(o for o in papers() if o.written and (o.name in asked if wanted else o.apart is None))


def _names(outline: Outline, site: Site, assessed: Assessment, wanted: Iterable[str]) -> Iterator[str]:
    """The papers of an outline at a site, or those of them that are wanted."""
    from docgen.compose.frame import copies

    some = set(wanted)
    return (name for name in copies(outline, site, assessed) if not some or outline.name in some or name in some)


def compose_all(
    site: Site,
    code: LawAlone,
    assessed: Assessment,
    happened: Happened,
    types: tuple[str, ...],
    own: tuple[Path, ...] = (),
    wanted: tuple[str, ...] = (),
    records: Records | None = None,
    bodies: Mapping[str, Mapping[str, Body]] | None = None,
    look: Look = PLAIN,
) -> tuple[tuple[Document, Body], ...]:
    """Every paper (or those named in `wanted`, and the site page) in every language of the profile: what `compose_each` gives, site pages last."""
    done = tuple(compose_each(site, code, assessed, happened, types, own, wanted, records, bodies, look))
    return tuple(sorted(done, key=lambda made: outline(made[0].name).circle == "page"))


def compose_each(
    site: Site,
    code: LawAlone,
    assessed: Assessment,
    happened: Happened,
    types: tuple[str, ...],
    own: tuple[Path, ...] = (),
    wanted: tuple[str, ...] = (),
    records: Records | None = None,
    bodies: Mapping[str, Mapping[str, Body]] | None = None,
    look: Look = PLAIN,
) -> Iterator[tuple[Document, Body]]:
    """Every paper (or those named in `wanted`, and the site page) in every language of the profile, one after the other as they are asked for.

    In each language the site page comes first. All bodies come before it, since a sheet may speak of any of them. `types` are the
    file types that will be written; the site page lists the files by name. `records` are those that existed on the day of `happened`.
    `bodies` are bodies composed before, document -> language -> Body; what is not among them is composed here.
    `look` is that of the client's papers; no text depends on it.
    """
    from docgen.compose.assembly import compose_body
    from docgen.compose.standing import resting_on
    from docgen.records import NONE

    todo = chosen(wanted)
    languages = site.document.languages or code.languages[:1]
    bound = [name for o in todo if o.bound for name in _names(o, site, assessed, wanted)]
    needed = dict.fromkeys([*bound, *(paper for name in bound for paper, _ in resting_on(name, site))])
    if any(not o.bound for o in todo):
        needed = dict.fromkeys(name for o in papers() if o.bound for name in _names(o, site, assessed, ()))
    for language in languages:
        given = {name: versions[language] for name, versions in (bodies or {}).items() if language in versions}
        ready = {name: given.get(name) or compose_body(name, language, site, code, assessed, own) for name in needed}
        names = [name for o in todo for name in _names(o, site, assessed, wanted)]
        done = _in_language(language, languages, names, ready, site, code, assessed, happened, types, own, records or NONE)
        yield from ((replace(document, look=look), body) for document, body in done) if look else done


def _in_language(
    language: str, languages: tuple[str, ...], names: list[str], ready: Mapping[str, Body], site: Site, code: LawAlone,
    assessed: Assessment, happened: Happened, types: tuple[str, ...], own: tuple[Path, ...], records: Records,
) -> Iterator[tuple[Document, Body]]:  # fmt: skip
    from docgen.compose.assembly import compose_document, compose_sheet
    from docgen.compose.contexts import Bound
    from docgen.compose.frame import files_of, frame_for, sheet_frame
    from docgen.compose.pieces import Body

    spoken = site.spoken(language)
    bound = {
        name: Bound(outline(name), body, frame_for(name, language, site, assessed, ready, records))
        for name, body in ready.items()
    }
    digests = {name: body.digest for name, body in ready.items()}
    sheet = sheet_frame(language, happened.as_of, digests)
    frames = {name: bound[name].frame if outline(name).bound else sheet for name in names}
    files = tuple(
        files_of(name, language, languages, types, frame, spoken, code)
        for name, frame in frames.items()
        if outline(name).apart is None
    )
    frame = sheet_frame(language, happened.as_of, digests, files)
    for o in outlines():
        if o.circle == "page":
            page = compose_sheet(o.name, language, frame, tuple(bound.values()), site, code, assessed, happened, own)
            yield page, Body.none(o.name, language)
    for name, frame in frames.items():
        if outline(name).bound:
            yield compose_document(ready[name], frame, site, code, assessed, happened.as_of, own), ready[name]
        else:
            made = compose_sheet(name, language, frame, tuple(bound.values()), site, code, assessed, happened, own)
            yield made, Body.none(name, language)


def all_bodies(
    site: Site, code: LawAlone, assessed: Assessment, own: tuple[Path, ...] = (), wanted: Iterable[str] = ()
) -> dict[str, dict[str, Body]]:
    """The bodies alone: document -> language -> Body, of every paper with a digest, or of those wanted."""
    from docgen.compose.assembly import compose_body

    languages = site.document.languages or code.languages[:1]
    names = [name for o in papers() if o.bound for name in _names(o, site, assessed, wanted)]
    return {name: {lang: compose_body(name, lang, site, code, assessed, own) for lang in languages} for name in names}
