"""Freezes a revision: the text of each document, what it rests on and who approved it, in a folder that never changes.

`issued/rev-NNN` comes into being in one step or not at all, and only if nobody else has just made that number. The revision
before is superseded by the record of this one; its own folder is left as it is.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from docgen import __version__
from docgen.checked import Assessed
from docgen.compose import compose_all
from docgen.compose.frame import SITE_PAGE, file_stem, state_of, stopping
from docgen.compose.outline import outline, outlines
from docgen.compose.pieces import Body
from docgen.compose.standing import approval_of, needed_for
from docgen.compose.trace import clause_digest
from docgen.control import digests
from docgen.control.safe import lock, new_folder
from docgen.control.say import clause_names
from docgen.errors import RecordError, UsageError
from docgen.frozen import frozen
from docgen.records import Issued, IssuedText, Records, sha256
from docgen.words import finding_text, words

__all__ = ["Draft", "contents_of", "draft", "issue", "refusals"]


@frozen
class Draft:
    """A revision on its way: its record as it will read, and the approvals that it rests on."""

    issued: Issued
    approvals: tuple[str, ...]


def refusals(
    checked: Assessed, bodies: Mapping[str, Mapping[str, Body]], chosen: tuple[str, ...]
) -> tuple[str, ...]:  # fmt: skip
    """Every reason why these documents cannot be issued, each in one line that says what to do. Empty: they can."""
    site, records = checked.site, checked.records
    titles = words("en")["approvals"]
    found = []
    for name in chosen:
        for f in stopping(name, checked.assessed):
            where = f"{checked.source.file}:{f.line}" if f.line else checked.source.file
            found.append(f"{name}: {f.name} ({where}) stops it: {finding_text(f, 'message', 'en', checked.assessed.system)}")
        for role in needed_for(outline(name), site):
            said = titles.get(role, role)
            for language, body in bodies[name].items():
                standing = approval_of(name, role, language, {language: body}, records)
                what = f"{name} ({language})"
                if standing is None:
                    found.append(
                        f"{what}: no approval by the {said}; record it with docgen approve --document {name} --role {role}"
                    )
                elif not standing.stands:
                    found.append(
                        f"{what}: the approval {standing.approval.id} by the {said} has lapsed: {clause_names(standing.lapses)}; "
                        f"have it approved again"
                    )
    return tuple(dict.fromkeys(found))


def choose(
    checked: Assessed, bodies: Mapping[str, Mapping[str, Body]], wanted: tuple[str, ...]
) -> tuple[str, ...]:  # fmt: skip
    """The documents to issue: those wanted, or all whose text is not the one in force. RecordError when there is none."""
    known = [o.name for o in outlines() if o.name != SITE_PAGE]
    if unknown := [w for w in wanted if w not in known]:
        raise UsageError(f"there is no document '{unknown[0]}'; --document takes one of {', '.join(known)}")

    def new(name: str) -> bool:
        own = {language: {name: body} for language, body in bodies[name].items()}
        return any(state_of(name, lang, texts, checked.assessed, checked.records) != "issued" for lang, texts in own.items())

    chosen = tuple(name for name in known if (not wanted or name in wanted) and new(name))
    if not chosen:
        last = checked.records.issued[-1] if checked.records.issued else None
        raise RecordError(
            f"nothing to issue: {'these documents are' if wanted else 'every document is'} in force as written"
            + (f" (last issue: revision {last.revision} of {last.on.isoformat()})" if last else "")
        )
    return chosen


def draft(
    checked: Assessed, bodies: Mapping[str, Mapping[str, Body]], chosen: tuple[str, ...], types: tuple[str, ...], on: date,
    reason: str | None, issued_by: str | None, newest: Records,
) -> Draft:  # fmt: skip
    """The record of the revision to be made. `newest` are all records, later ones included: a revision is never dated before another."""
    last = newest.issued[-1] if newest.issued else None
    if last is not None and on < last.on:
        raise RecordError(
            f"revision {last.revision} was issued on {last.on.isoformat()}; a later one cannot be dated {on.isoformat()}"
        )
    approvals = []
    for name in chosen:
        roles = dict.fromkeys([*needed_for(outline(name), checked.site), *(a.role for a in checked.records.approvals)])
        for role in roles:
            for language, body in bodies[name].items():
                standing = approval_of(name, role, language, {language: body}, checked.records)
                if standing is not None and standing.stands:
                    approvals.append(standing.approval.id)
    languages = tuple(dict.fromkeys(lang for name in chosen for lang in bodies[name]))
    texts = tuple(
        IssuedText(
            name, language, outline(name).title[language], bodies[name][language].digest,
            tuple(f"documents/{file_stem(name, language, languages)}.{t}" for t in types if t in outline(name).types),
        )
        for name in chosen for language in bodies[name]
    )  # fmt: skip
    severities = [f.severity for f in checked.assessed.findings]
    issued = Issued(
        revision=last.revision + 1 if last else 1,
        on=on,
        supersedes=last.revision if last else None,
        reason=reason or _reason(checked, chosen),
        issued_by=issued_by,
        program=__version__,
        texts=texts,
        approvals=tuple(sorted(set(approvals))),
        digests={
            "profile": sha256(checked.source.text.encode("utf-8")),
            "schemas": dict(digests.schema_digests()),
            "codes": digests.codes_digest(),
            "templates": digests.templates_digest(),
            "previous_record": sha256((last.folder / "record.json").read_bytes()) if last and last.folder else None,
        },
        findings={s.replace("-", "_"): severities.count(s) for s in ("must-fix", "fix-soon", "advice")},
    )
    return Draft(issued, issued.approvals)


def _reason(checked: Assessed, chosen: tuple[str, ...]) -> str:
    texts = words("en")["stamp"]
    first = all(
        checked.records.in_force(name, lang) is None for name in chosen for lang in checked.site.document.languages or ("en",)
    )
    return texts["first_issue"] if first else texts["text_changed"]


def contents_of(
    made: Draft, checked: Assessed, bodies: Mapping[str, Mapping[str, Body]], types: tuple[str, ...], check_json: bytes
) -> dict[str, bytes]:  # fmt: skip
    """Every file of the revision's folder by name, the record and the list of digests last."""
    from docgen.write import WRITERS

    records = checked.records
    issued = made.issued
    after = Records(records.folder, (*records.issued, issued), records.approvals, records.holds)
    chosen = tuple(dict.fromkeys(t.document for t in issued.texts))
    contents: dict[str, bytes] = {
        "profile.yaml": checked.source.text.encode("utf-8"),
        "check.json": check_json,
        "clauses.json": _json({"schema_version": 1, "clauses": [row for name in chosen for row in _clauses(name, bodies[name])]}),
    }
    documents = compose_all(
        checked.site, checked.code, checked.assessed, issued.on, types, wanted=chosen, records=after, bodies=bodies
    )
    by_name = {(d.name, b.language): d for d, b in documents}
    for text in issued.texts:
        for name in text.names:
            contents[name] = WRITERS[name.rpartition(".")[2]](by_name[text.document, text.language]).data
    for key in made.approvals:
        contents[f"approved/{key}.json"] = (records.folder / "approvals" / f"{key}.json").read_bytes()
        approval = next(a for a in records.approvals if a.id == key)
        if approval.evidence:
            contents[f"approved/{approval.evidence}"] = _evidence(
                records.folder / "approvals" / approval.evidence, approval.evidence_sha256
            )
    contents["record.json"] = _json(_record(issued, checked, records, contents))
    contents[digests.SUMS] = digests.sums(contents)
    return contents


def _evidence(path: Path, digest: str | None) -> bytes:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise RecordError(
            f"{path}: the signed page cannot be read ({error.strerror or error}); put it back from a copy"
        ) from error
    if sha256(data) != digest:
        raise RecordError(f"{path}: the signed page is not the one that was recorded; put it back from a copy")
    return data


def _record(issued: Issued, checked: Assessed, records: Records, contents: Mapping[str, bytes]) -> dict[str, Any]:
    def before(text: IssuedText) -> int | None:
        old = records.in_force(text.document, text.language)
        return old.revision if old else None

    return {
        "schema_version": 1,
        "site": checked.site.site.id,
        "site_name": checked.site.site.name,
        "number": checked.site.document.number,
        "revision": issued.revision,
        "issued_on": issued.on.isoformat(),
        "issued_by": issued.issued_by,
        "reason": issued.reason,
        "supersedes": issued.supersedes,
        "program": issued.program,
        "jurisdiction": checked.site.site.jurisdiction,
        "digests": issued.digests,
        "findings": issued.findings,
        "approvals": list(issued.approvals),
        "documents": [
            {
                "document": t.document, "language": t.language, "title": t.title, "digest": t.digest, "files": list(t.names),
                "supersedes": before(t),
            }
            for t in issued.texts
        ],
        "files": {name: sha256(data) for name, data in sorted(contents.items())},
    }  # fmt: skip


def _clauses(document: str, texts: Mapping[str, Body]) -> list[dict[str, Any]]:
    return [
        {
            "document": document, "id": c.id, "language": language, "digest": clause_digest(document, language, c), "text": c.text,
            "inputs": dict(c.inputs), "cites": list(c.cites), "section": body.sections.get(c.id, ""),
        }
        for language, body in sorted(texts.items()) for c in body.clauses
    ]  # fmt: skip


def _json(data: Any) -> bytes:
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def issue(issued: Issued, contents: Mapping[str, bytes], folder: Path, held: bool = False) -> Path:
    """Make the folder of the revision. RecordError if somebody else has made it meanwhile; then nothing is written."""
    target = folder / "issued" / f"rev-{issued.revision:03d}"
    try:
        new_folder(target, contents)
    except FileExistsError:
        raise RecordError(
            f"revision {issued.revision} has been issued by somebody else meanwhile ({target}); look at it, then issue again"
        ) from None
    if held:
        lock(target)
    return target
