"""Records that a named person approved a document or a part of it, bound to the digest of what that part said.

It is a record and no electronic signature: the wet signature and the seal stay on the paper, of which a copy may be kept.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from docgen import __version__
from docgen.checked import Assessed
from docgen.compose.compose import Body
from docgen.compose.frame import SITE_PAGE, stopping
from docgen.compose.outline import outlines
from docgen.compose.standing import AUTHORITY, USUAL, WHOLE, check_scope, in_scope
from docgen.compose.trace import clause_digest
from docgen.control.safe import new_file
from docgen.errors import RecordError, UsageError
from docgen.findings.model import Finding
from docgen.frozen import frozen
from docgen.records import sha256
from docgen.site import Site
from docgen.words import finding_text

__all__ = ["NOT_A_SIGNATURE", "Request", "Taken", "approve"]

NOT_A_SIGNATURE = (
    "This is a record that a person approved, not an electronic signature. "
    "The wet signature, and the seal where one is required, stay on the paper."
)
LARGEST = 20 * 1024 * 1024
ENDINGS = (".pdf", ".jpg", ".jpeg", ".png", ".tif", ".tiff")


@frozen
class Request:
    """What was typed in. `scope` is ("document",) or names of sections and clauses; `digest` the one printed on the page signed."""

    document: str
    role: str
    by: str
    on: date
    scope: tuple[str, ...] = (WHOLE,)
    licence: str | None = None
    jurisdiction: str | None = None
    expires: date | None = None
    entered_by: str | None = None
    evidence: Path | None = None
    note: str | None = None
    digest: str | None = None


@frozen
class Taken:
    """The record that was made: its id, file, document, role, texts by language, and the clauses it covers."""

    id: str
    file: Path
    document: str
    role: str
    texts: Mapping[str, str]
    clauses: tuple[str, ...]


def approve(request: Request, checked: Assessed, bodies: Mapping[str, Mapping[str, Body]], folder: Path) -> Taken:
    """Append one approval to `folder/approvals`. UsageError or RecordError says what stands against it.

    `bodies` are all texts of the site on the day of the approval, document -> language -> Body.
    """
    site = checked.site
    texts = _texts(request.document, bodies)
    role = _role(request.role, site)
    by = request.by.strip()
    if not by:
        raise UsageError("--by needs the name of the person who approved")
    if stops := stopping(request.document, checked.assessed):
        raise RecordError(
            f"{request.document} is a draft and cannot be approved: {len(stops)} must-fix finding{'s' if len(stops) != 1 else ''} "
            f"stop{'s' if len(stops) == 1 else ''} its issue\n" + "\n".join(_line(f, checked) for f in stops)
        )
    if request.digest is not None:
        _digest_read(request, texts)
    for body in texts.values():
        check_scope(request.scope, body)
    licence, jurisdiction, expires = _licence(request, role, by, site)
    record: dict[str, Any] = {
        "schema_version": 1,
        "site": site.site.id,
        "id": "",
        "document": request.document,
        "role": role,
        "by": by,
        "on": request.on.isoformat(),
        "scope": list(request.scope),
        "licence": licence,
        "jurisdiction": jurisdiction,
        "expires": expires.isoformat() if expires else None,
        "entered_by": request.entered_by,
        "evidence": None,
        "evidence_sha256": None,
        "note": request.note,
        "program": __version__,
        "what": NOT_A_SIGNATURE,
        "profile_sha256": sha256(checked.source.text.encode("utf-8")),
        "texts": {language: body.digest for language, body in sorted(texts.items())},
        "clauses": [row for language, body in sorted(texts.items()) for row in _sealed(request.scope, body, language)],
    }
    if request.evidence is not None:
        record["evidence"], record["evidence_sha256"] = _keep(request.evidence, folder)
    return _append(record, folder)


def _append(record: dict[str, Any], folder: Path) -> Taken:
    number = sum(1 for p in (folder / "approvals").glob("A-*.json")) + 1
    for count in range(number, number + 1000):
        record["id"] = f"A-{count:04d}"
        target = folder / "approvals" / f"{record['id']}.json"
        try:
            new_file(target, (json.dumps(record, indent=1, ensure_ascii=False) + "\n").encode("utf-8"))
        except FileExistsError:
            continue  # somebody else has just taken this number
        ids = tuple(dict.fromkeys(c["id"] for c in record["clauses"]))
        return Taken(record["id"], target, record["document"], record["role"], record["texts"], ids)
    raise RecordError(f"{folder / 'approvals'}: no number is free")


def _texts(document: str, bodies: Mapping[str, Mapping[str, Body]]) -> Mapping[str, Body]:
    papers = [o for o in outlines() if o.name != SITE_PAGE]
    if any(o.name == document and o.approvers == () for o in papers):
        raise UsageError(
            f"{document} is issued without an approval of its own (its index.yaml names no approvers): nothing is to be recorded"
        )
    known = [o.name for o in papers if o.approvers != ()]
    if document not in known:
        raise UsageError(f"there is no document '{document}' to approve; there are: {', '.join(known)}")
    return bodies[document]


def _role(role: str, site: Site) -> str:
    """The role as approvals name it; whoever issues the notice is the issuing authority."""
    held = site.role(role)
    asked = site.document.approvals_needed or USUAL
    if held is not None and held.issues_notice and role not in asked:
        return AUTHORITY
    known = dict.fromkeys([*asked, *(r.id for r in site.roles), *(r.role for r in site.reviewers), AUTHORITY])
    if role not in known:
        raise UsageError(f"the profile knows no role '{role}'; it knows: {', '.join(known)}")
    return role


def _digest_read(request: Request, texts: Mapping[str, Body]) -> None:
    if len(request.digest) < 8 or not re.fullmatch(r"[0-9a-f]+", request.digest):
        raise UsageError(f"--digest takes at least 8 of the digits printed on the page that was signed; got '{request.digest}'")
    if not any(body.digest.startswith(request.digest) for body in texts.values()):
        now = ", ".join(f"{language} {body.digest[:16]}" for language, body in texts.items())
        raise RecordError(
            f"the text that was signed ({request.digest}) is not the text of today ({now}); print {request.document} again and have that read"
        )


def _licence(request: Request, role: str, by: str, site: Site) -> tuple[str | None, str | None, date | None]:
    """Licence number, jurisdiction and expiry, checked against the site and the day."""
    named = [r for r in site.reviewers if r.role == role]
    reviewer = next((r for r in named if r.name == by), None)
    licensed = any(r.licence for r in named) or role == "engineer"
    if request.licence and reviewer and reviewer.licence and reviewer.licence != request.licence:
        raise RecordError(f"the profile gives {by} the licence {reviewer.licence}, not {request.licence}; put one of them right")
    number = request.licence or (reviewer.licence if reviewer else None)
    where = request.jurisdiction or (reviewer.jurisdiction if reviewer else None)
    until = request.expires or (reviewer.expires if reviewer else None)
    if licensed and named and reviewer is None:
        names = ", ".join(r.name or r.id for r in named)
        raise RecordError(f"{by} is not the {role} of the profile ({names}); name the reviewer there first, with the licence")
    if not number:
        if licensed:
            raise UsageError(
                f"the {role} approves under a licence: give --licence, --jurisdiction and --expires, or put them in the profile"
            )
        return None, None, None
    if not where or until is None:
        raise UsageError(f"a licence needs its place and its last day: give {'--expires' if where else '--jurisdiction'} as well")
    here = site.site.jurisdiction
    if where != here and ("-" in here or where.partition("-")[0] != here):
        raise RecordError(f"{by} is licensed in {where} and the site lies in {here}; somebody licensed there has to approve")
    if until < request.on:
        raise RecordError(
            f"the licence {number} of {by} ended on {until.isoformat()}, before the approval of {request.on.isoformat()}"
        )
    return number, where, until


def _sealed(scope: tuple[str, ...], body: Body, language: str) -> list[dict[str, Any]]:
    ids = set(in_scope(scope, body))
    return [
        {
            "id": c.id,
            "language": language,
            "digest": clause_digest(body.document, language, c),
            "text_sha256": sha256(" ".join(c.text.split()).encode("utf-8")),
            "inputs": dict(c.inputs),
        }
        for c in body.clauses
        if c.id in ids
    ]


def _keep(evidence: Path, folder: Path) -> tuple[str, str]:
    """Copy the signed page beside the approvals under the name of its content."""
    ending = evidence.suffix.lower()
    if ending not in ENDINGS:
        raise UsageError(f"--evidence takes the scan or photo of the signed page ({', '.join(ENDINGS)}); got '{evidence.name}'")
    try:
        with evidence.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except OSError as error:
        raise UsageError(f"{evidence}: cannot be read ({error.strerror or error})") from error
    if len(data) > LARGEST or not data:
        raise UsageError(f"{evidence}: is {'empty' if not data else 'larger than 20 MiB'}; give the scan of the signed page")
    digest = sha256(data)
    name = f"evidence/{digest[:16]}{ending}"
    target = folder / "approvals" / name
    try:
        new_file(target, data)
    except FileExistsError:
        if sha256(target.read_bytes()) != digest:
            raise RecordError(f"{target}: is not what its name says; put it back from a copy") from None
    return name, digest


def _line(finding: Finding, checked: Assessed) -> str:
    where = f"{checked.source.file}:{finding.line}" if finding.line else checked.source.file
    return f"  {finding.name}  {where}: {finding_text(finding, 'message', 'en', checked.assessed.system)}"
