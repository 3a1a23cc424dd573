"""Redlines of every document whose words differ between two states, as DOCX with tracked changes and as HTML."""

from __future__ import annotations

from collections.abc import Mapping

from docgen.compose.document import Document
from docgen.control.changes import Changes, State
from docgen.control.redline import redline_docx
from docgen.control.redline_html import redline_html
from docgen.errors import RecordError
from docgen.words import words

__all__ = ["redlines"]


def redlines(changes: Changes, today: Mapping[tuple[str, str], Document] | None, author: str) -> dict[str, bytes]:
    """File name -> content. `today` holds the documents of the profile where that is the newer state.

    Author and day of each mark are those of the newer revision's record, or the author given and the day of the comparison.
    """
    from docgen.write import WRITERS

    newer = changes.new.revision
    author = (newer.issued_by if newer else None) or author
    day = newer.on if newer else changes.as_of
    found = {}
    for document, language in changes.texts_changed:
        before = {t: _stored(changes.old, document, language, t) for t in ("docx", "md")}
        if None in before.values():
            continue  # the document is new: there is nothing to mark
        if today is not None:
            after = {t: WRITERS[t](today[document, language]).data for t in ("docx", "md")}
        else:
            after = {t: _stored(changes.new, document, language, t) for t in ("docx", "md")}
            if None in after.values():
                continue
        languages = {lang for d, lang in changes.new.revisions if d == document} | {
            lang for d, lang in changes.texts_changed if d == document
        }
        stem = f"{document}.redline" if len(languages) == 1 else f"{document}.{language}.redline"
        t = words("en")
        title = t["changes"]["redline_title"].format(
            title=t["changes"]["documents"].get(document, document), old=changes.old.label, new=changes.new.label
        )
        found[f"{stem}.docx"] = redline_docx(before["docx"], after["docx"], author, day)
        found[f"{stem}.html"] = redline_html(
            before["md"].decode("utf-8"), after["md"].decode("utf-8"), title, language, t["labels"]
        )
    return found


def _stored(state: State, document: str, language: str, kind: str) -> bytes | None:
    """A file of the revision in force in a state; None where the document was not issued by then."""
    number = state.revisions.get((document, language))
    if number is None:
        return None
    revision = state.records.revision(number)
    name = next((n for n in revision.text(document, language).names if n.endswith(f".{kind}")), None)
    if name is None:
        raise RecordError(f"revision {number} holds no {kind} of {document} ({language}), so no redline can be made from it")
    path = revision.folder / name
    try:
        return path.read_bytes()
    except OSError as error:
        raise RecordError(
            f"{path}: the record cannot be read ({error.strerror or error}); put the file back from a copy"
        ) from error
