"""Redlines of every document whose words differ between two states, as DOCX with tracked changes and as HTML."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from docgen.compose.document import Document
from docgen.control.changes import Changes, State
from docgen.control.plain import as_lines
from docgen.control.redline import redline_docx
from docgen.control.redline_html import redline_html
from docgen.control.say import control_words, label
from docgen.control.tell import document_title
from docgen.errors import RecordError
from docgen.papers import outline
from docgen.records import kept_bytes
from docgen.words import words

__all__ = ["redlines"]

PROGRAM = "docgen"
Today = Mapping[tuple[str, str], Document]  # (document, language) -> document


def redlines(changes: Changes, today: Today | None, author: str | None, language: str) -> dict[str, bytes]:
    """File name -> content. `today` holds the documents of the profile where that is the newer state.

    Each mark bears the author given, or the name of the program: nobody is its author without having said so. Its day is that of the newer
    revision, or of the comparison; `language` is that of the first page. A document that is new or gone has no redline: there is
    nothing to mark. Nor has a sign or card, which is kept as the sheet that hangs (HTML, PDF) and replaced whole.
    """
    newer = changes.new.revision
    day = newer.on if newer else changes.as_of
    found = {}
    for document, of in changes.texts_changed:
        if not {"md", "docx"} <= {*outline(document).types}:
            continue
        before = _stored(changes.old, document, of)
        after = _written(today[document, of]) if today is not None else _stored(changes.new, document, of)
        if before is None or after is None:
            continue
        stem = f"{document}.redline" if len(_languages(changes, document)) == 1 else f"{document}.{of}.redline"
        first = _first_page(changes, document, language)
        found[f"{stem}.docx"] = redline_docx(before[0], after[0], author or PROGRAM, day, first)
        found[f"{stem}.html"] = redline_html(
            before[1].decode("utf-8"), after[1].decode("utf-8"), first[0], of, words(of)["labels"], first[1:]
        )
    return found


def _first_page(changes: Changes, document: str, language: str) -> list[str]:
    """What the reader must know before the text: what changed in plain words, how to read the marks and the numbers."""
    t = control_words(language)["redline"]
    old, new = (label(state.number, language) for state in (changes.old, changes.new))
    title = t["title"].format(title=document_title(document, language), old=old, new=new)
    return [title, t["changed"], *as_lines(changes, language), t["marks"], t["numbers"].format(old=old)]


def _languages(changes: Changes, document: str) -> set[str]:
    return {lang for d, lang in (*changes.new.revisions, *changes.texts_changed) if d == document}


def _written(document: Document) -> tuple[bytes, bytes]:
    """DOCX and text of a document as an issue would keep them: the text without the band of a draft, which no revision in force has."""
    from docgen.write import WRITERS

    return WRITERS["docx"](document).data, WRITERS["md"](replace(document, stamp="")).data


def _stored(state: State, document: str, language: str) -> tuple[bytes, bytes] | None:
    """DOCX and Markdown of the revision in force in a state; None where the document was not issued by then."""
    number = state.revisions.get((document, language))
    revision = state.records.revision(number) if number is not None else None
    text = revision.text(document, language) if revision is not None else None
    if revision is None or text is None:
        return None
    folder = state.records.revision_folder(revision.revision)
    files = {name.rpartition(".")[2]: folder / name for name in text.names}
    for kind in ("docx", "md"):
        if kind not in files:
            raise RecordError("file-not-issued", revision=revision.revision, kind=kind, document=document, language=language)
    return kept_bytes(files["docx"]), kept_bytes(files["md"])
