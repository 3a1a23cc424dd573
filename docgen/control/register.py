"""The clause register of the notice for counsel, and the list to walk with when copies are replaced."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from datetime import date
from typing import Any

from docgen import units
from docgen.codes import LawAlone
from docgen.compose.digest import DIGEST_FORMAT, canonical_text
from docgen.compose.document import Document
from docgen.compose.frame import approver, holds
from docgen.compose.standing import in_scope, standing
from docgen.control.changes import Texts
from docgen.control.page import paper
from docgen.control.say import control_words, role_title, shown
from docgen.control.tell import document_title
from docgen.findings.common import read_at
from docgen.happened import Happened
from docgen.records import Clause, Issued, Records, Text
from docgen.site import Posting, Site
from docgen.words import words

__all__ = ["clause_register", "posting_list"]


def clause_register(body: Text, site: Site, code: LawAlone, records: Records, file: str, day: date, language: str) -> Document:
    """Each clause with its text, the fields and sources it rests on, the revision since which it reads so, and its approvals.

    `body` is the text looked at; `file` the name of the profile as the lines are cited; `language` that of the register.
    """
    t = control_words(language)
    since = _since(body, records)
    rows = [
        {
            "id": clause.id,
            "text": _plain(clause.text),
            "fields": [_field(path, value, site, file, language) for path, value in clause.inputs],
            "cites": [_source(key, code, t) for key in clause.cites],
            "since": t["since"].format(n=since[clause.id]) if clause.id in since else t["not_issued"],
            "approved": list(_approved(clause, body, records, language)),
        }
        for clause in body.clauses
    ]
    held = records.in_force(body.document, body.language)
    state = t["in_force"].format(n=held.revision, day=held.on) if held is not None and holds(held, body) else t["not_issued"]
    values = {"clauses": rows, "state": state, "digest": body.digest}
    return paper("clause-register", t["register_title"], values, site, code, day, language)


def _plain(text: str) -> str:
    """The words of a clause, without attribute lists and escapes."""
    text = re.sub(r'!!! \w+ "([^"]*)"', r"\1:", re.sub(r"\{:[^{}]*\}", "", text))
    return canonical_text(re.sub(r"\\(?=[^\w\s])", "", text).replace("**", "").replace("*", ""))


def _field(path: str, value: str, site: Site, file: str, language: str) -> str:
    line = site.line(path)
    said = f"{path} = {shown(value, language)}"
    return f"{said} ({file}:{line})" if line else said


def _source(key: str, code: LawAlone, t: Mapping[str, Any]) -> str:
    kind, _, name = key.partition(":")
    if kind != "law":
        return f"{name} ({kind})"
    answer = code.ask(name)
    return answer.citation if answer.state != "silent" else f"{name}: {t['silent']}"


def _since(body: Text, records: Records) -> dict[str, int]:
    """Clause id -> the first revision since which it has read as it reads now, without a break up to the newest.

    Against a revision that was digested in another way the words alone are compared.
    """
    found: dict[str, int] = {}
    for revision in records.issued:
        if revision.text(body.document, body.language) is None:
            continue
        old = {
            c.id: c
            for text in records.texts_of(revision)
            if (text.document, text.language) == (body.document, body.language)
            for c in text.clauses
        }
        by_digest = revision.digest_format == DIGEST_FORMAT
        for clause in body.clauses:
            before = old.get(clause.id)
            if before is not None and _reads_alike(before, clause, by_digest):
                found.setdefault(clause.id, revision.revision)
            else:
                found.pop(clause.id, None)
    return found


def _reads_alike(one: Clause, other: Clause, by_digest: bool) -> bool:
    return one.digest == other.digest if by_digest else canonical_text(one.text) == canonical_text(other.text)


def _approved(clause: Clause, body: Text, records: Records, language: str) -> Iterator[str]:
    for approval in records.unwithdrawn:
        covers = approval.document == body.document and approval.text(body.language) is not None
        if not covers or clause.id not in in_scope(approval.scope, body):
            continue
        lapses = standing(approval, {body.language: body}).lapses
        if not any(x.language == body.language and x.clause in ("", clause.id) for x in lapses):
            yield f"{approver(approval, language)}, {role_title(approval.role, language)}, {approval.on.isoformat()} ({approval.id})"


def posting_list(
    happened: Happened,
    code: LawAlone,
    records: Records,
    texts: Texts,
    day: date,
    language: str,
    everything: bool = False,
    only: Collection[str] | None = None,
) -> Document:
    """Places whose copy is not the revision in force (or, with `everything`, all places), with room for who, when, witness and photo.

    `only` are the ids of the places that are looked at, all where it is None.
    """
    t = control_words(language)
    site, rows = happened.site, []
    for posting in site.posting:
        document, of = posting.paper, posting.language or ""
        if only is not None and posting.id not in only:
            continue
        held = records.in_force(document, of)
        hanging = happened.hangs(posting.id)
        revision = hanging.revision if hanging is not None else None
        if held is not None and revision == held.revision and not everything:
            continue
        rows.append(
            {
                "id": posting.id,
                "place": posting.place or "–",
                "document": document_title(document, language) if document else "–",
                "language": of or "–",
                "served": _served(site, posting, code, language),
                "hang": _hang(held, document, of, texts.get(document, {}).get(of), t),
                "hangs": t["revision"].format(n=revision) if revision is not None else t["revision_unknown"],
            }
        )
    return paper("posting-list", t["posting_title"], {"postings": rows}, site, code, day, language)


def _served(site: Site, posting: Posting, code: LawAlone, language: str) -> str:
    """From where the paper of a place can be read, as a clause in words; empty where its type is not known."""
    served = read_at(site, posting)
    if served is None:
        return ""
    distance = units.show(served.distance, "length", site.site.units or code.units, toward="down")
    light = words(language)["values"]["light-good" if served.lit else "light-dim"]
    return str(control_words(language)["served"]).format(type=f"{served.size:g}", distance=distance, light=light)


def _hang(held: Issued | None, document: str, of: str, now: Text | None, t: Mapping[str, Any]) -> str:
    """What is to be hung at a place: the revision in force; nothing yet where the text has moved on and is not issued."""
    text = held.text(document, of) if held is not None else None
    if held is None or text is None:
        return str(t["nothing_issued"])
    if now is not None and not holds(held, now):
        return str(t["text_moved"])
    return str(t["hang"]).format(n=held.revision, day=held.on, digest=text.digest[:12])
