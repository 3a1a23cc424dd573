"""The clause register of the notice for counsel, and the list to walk with when copies are replaced."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from docgen.codes import Code
from docgen.compose.document import Document
from docgen.compose.pieces import Body
from docgen.compose.standing import in_scope, standing
from docgen.compose.trace import Clause, clause_digest
from docgen.control.page import paper
from docgen.control.say import shown
from docgen.records import Records, issued_clauses
from docgen.site import Site
from docgen.words import words

__all__ = ["clause_register", "posting_list"]

NOTICE = "contractor-notice"


def clause_register(body: Body, site: Site, code: Code, records: Records, file: str, day: date) -> Document:
    """Each clause with its text, the fields and sources it rests on, the revision since which it reads so, and its approvals.

    `body` is the text looked at; `file` the name of the profile as the lines are cited.
    """
    t = words("en")["changes"]
    since = _since(body, records)
    rows = []
    for clause in body.clauses:
        rows.append({
            "id": clause.id,
            "text": _plain(clause.text),
            "fields": [_field(path, value, site, file) for path, value in clause.inputs],
            "cites": [_source(key, code) for key in clause.cites],
            "since": t["since"].format(n=since[clause.id]) if clause.id in since else t["not_issued"],
            "approved": _approved(clause, body, records),
        })  # fmt: skip
    held = records.in_force(body.document, body.language)
    same = held is not None and held.text(body.document, body.language).digest == body.digest
    state = t["in_force"].format(n=held.revision, day=held.on.isoformat()) if same else t["not_issued"]
    values = {"clauses": rows, "state": state, "digest": body.digest}
    return paper("clause-register", t["register_title"], values, site, code, day)


def _plain(text: str) -> str:
    """The words of a clause, without attribute lists and escapes."""
    text = re.sub(r'!!! \w+ "([^"]*)"', r"\1:", re.sub(r"\{:[^{}]*\}", "", text))
    return " ".join(re.sub(r"\\(?=[^\w\s])", "", text).replace("**", "").replace("*", "").split())


def _field(path: str, value: str, site: Site, file: str) -> str:
    line = site.line(path)
    return f"{path} = {shown(value)} ({file}:{line})" if line else f"{path} = {shown(value)}"


def _source(key: str, code: Code) -> str:
    kind, _, name = key.partition(":")
    if kind != "law":
        return f"{name} ({kind})"
    answer = code.ask(name)
    return answer.citation if answer.state != "silent" else f"{name}: {words('en')['changes']['silent']}"


def _since(body: Body, records: Records) -> dict[str, int]:
    """Clause id -> the first revision since which it has read as it reads now, without a break up to the newest."""
    found: dict[str, int] = {}
    for revision in records.issued:
        if revision.text(body.document, body.language) is None:
            continue
        sealed = {c.id: c.digest for c in issued_clauses(revision) if (c.document, c.language) == (body.document, body.language)}
        for clause in body.clauses:
            if sealed.get(clause.id) == clause_digest(body.document, body.language, clause):
                found.setdefault(clause.id, revision.revision)
            else:
                found.pop(clause.id, None)
    return found


def _approved(clause: Clause, body: Body, records: Records) -> list[str]:
    titles = words("en")["approvals"]
    found = []
    for approval in records.approvals:
        if (
            approval.document != body.document
            or body.language not in approval.texts
            or clause.id not in in_scope(approval.scope, body)
        ):
            continue
        lapses = [
            x
            for x in standing(approval, {body.language: body}).lapses
            if x.language == body.language and x.clause in ("", clause.id)
        ]
        if not lapses:
            found.append(f"{approval.by}, {titles.get(approval.role, approval.role)}, {approval.on.isoformat()} ({approval.id})")
    return found


def posting_list(
    site: Site, code: Code, records: Records, bodies: Mapping[str, Mapping[str, Body]], day: date, everything: bool = False
) -> Document:
    """Places whose copy is not the revision in force (or, with `everything`, all places), with room for who, when, witness and photo."""
    t = words("en")["changes"]
    rows = []
    for posting in site.posting:
        held = records.in_force(posting.document or "", posting.language or "")
        right = held is not None and posting.revision == held.revision
        if right and not everything:
            continue
        body = bodies.get(posting.document or "", {}).get(posting.language or "")
        hang = t["nothing_issued"]
        if held is not None:
            hang = t["hang"].format(
                n=held.revision, day=held.on.isoformat(), digest=held.text(posting.document, posting.language).digest[:12]
            )
            if body is not None and body.digest != held.text(posting.document, posting.language).digest:
                hang += f"; {t['text_moved']}"
        rows.append({
            "id": posting.id, "place": posting.place or "–", "document": t["documents"].get(posting.document, posting.document or "–"),
            "language": posting.language or "–", "hang": hang,
            "hangs": t["revision"].format(n=posting.revision) if posting.revision is not None else t["revision_unknown"],
        })  # fmt: skip
    return paper("posting-list", t["posting_title"], {"postings": rows}, site, code, day)
