"""Records that a named person approved a document or a part of it, bound to the digest of what that part said.

It is a record and no electronic signature: the wet signature and the seal stay on the paper, of which a copy may be kept.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from docgen import __version__
from docgen.checked import Assessed
from docgen.compose.digest import DIGEST_FORMAT
from docgen.compose.frame import reads, stopping
from docgen.compose.standing import check_scope, in_scope, scope_of
from docgen.control.safe import new_file
from docgen.control.say import control_words
from docgen.control.sign import Signer
from docgen.errors import RecordError, Refusal, Word
from docgen.filing import as_bytes
from docgen.findings.law import SEALING
from docgen.findings.model import Finding
from docgen.frozen import frozen
from docgen.papers import found, outline
from docgen.records import SIGNATURE, Approval, Text, read_records, sha256
from docgen.signs import alike, name_key
from docgen.site import Reviewer, RolePart, Site
from docgen.words import finding_text

__all__ = ["Request", "Taken", "approve", "drafted", "named_as", "recorded"]

LARGEST = 20 * 1024 * 1024
#: How a scan or a photo begins, whatever its name says -> the endings of such a file (ISO 32000, PNG, JPEG and TIFF 6.0, their first bytes; from memory).
BEGINS = {
    b"%PDF-": (".pdf",),
    b"\xff\xd8\xff": (".jpg", ".jpeg"),
    b"\x89PNG\r\n\x1a\n": (".png",),
    b"II*\0": (".tif", ".tiff"),
    b"MM\0*": (".tif", ".tiff"),
}
ENDINGS = tuple(dict.fromkeys(ending for endings in BEGINS.values() for ending in endings))
DIGITS = re.compile("[0-9a-f]{8,}")
TRIES = 1000
UNNUMBERED = ""


@frozen
class Request:
    """What was typed in. `scope` is ("document",) or names of sections and clauses, None for what the part approves of the paper;
    `digest` the one printed on the page signed.
    """

    document: str
    role: str
    by: str
    on: date
    scope: tuple[str, ...] | None = None
    licence: str | None = None
    jurisdiction: str | None = None
    expires: date | None = None
    entered_by: str | None = None
    evidence: Path | None = None
    note: str | None = None
    digest: str | None = None


@frozen
class Taken:
    """The record that was made, its file, the digest of that file, and the signature beside it where there is one."""

    approval: Approval
    file: Path
    digest: str
    signature: Path | None = None

    @property
    def clauses(self) -> tuple[str, ...]:
        """Ids of the clauses that it covers."""
        return tuple(dict.fromkeys(c.id for text in self.approval.texts for c in text.clauses))


def approve(
    request: Request,
    checked: Assessed,
    bodies: Mapping[str, Mapping[str, Text]],
    folder: Path,
    language: str,
    key: Path | None = None,
) -> Taken:
    """Append one approval to `folder/approvals`. Refusal or RecordError says what stands against it.

    `bodies` are all texts of the site on the day of the approval, document -> language -> text; `language` is that of the
    sentences in the record and in a refusal, `key` the private key of an SSH signature.
    """
    return recorded(drafted(request, checked, bodies, language), request.evidence, folder, key)


def drafted(request: Request, checked: Assessed, bodies: Mapping[str, Mapping[str, Text]], language: str) -> Approval:
    """The record as it will read, but for its number and the kept page. Nothing is written."""
    site = checked.site
    texts = _texts(request.document, bodies)
    part = _part(request.role, site)
    if not request.by.strip():
        raise Refusal("approver-unnamed")
    by, delegate_of = _named(request.by, part, request.on, site)
    if stops := stopping(request.document, checked.assessed):
        raise RecordError(
            "document-is-a-draft", document=request.document, count=len(stops),
            findings="\n".join(_line(f, checked, language) for f in stops),
        )  # fmt: skip
    if request.digest is not None:
        _digest_read(request.digest, request.document, texts)
    scope = request.scope or scope_of(request.document, part)
    for text in texts.values():
        check_scope(scope, text)
    licence, jurisdiction, expires = _licence(request, part, by, site)
    states = next((r for r in _reviewers(part, by, request.document, site) if reads(r, request.document)), None)
    return Approval(
        site=site.site.id, id=UNNUMBERED, document=request.document, role=part, by=by, on=request.on, scope=scope,
        licence=licence, jurisdiction=jurisdiction, expires=expires, entered_by=request.entered_by, evidence=None,
        evidence_sha256=None, note=request.note, program=__version__, what=control_words(language)["not_a_signature"],
        profile_sha256=sha256(checked.source.whole.encode("utf-8")), digest_format=DIGEST_FORMAT,
        texts=tuple(_in_scope(scope, text) for _, text in sorted(texts.items())), delegate_of=delegate_of,
        reviewed=states.scope if states else None, reviewed_sections=states.sections if states else (),
    )  # fmt: skip


def recorded(approval: Approval, evidence: Path | None, folder: Path, key: Path | None = None) -> Taken:
    """Keep the signed page, then write the record under the next free number with the digests of the newest records, and sign it."""
    signer = Signer(key) if key is not None else None
    if evidence is not None:
        name, digest = _keep(evidence, folder)
        approval = replace(approval, evidence=name, evidence_sha256=digest)
    for _ in range(TRIES):
        there = read_records(folder, approval.site)
        name = f"A-{len(there.approvals) + 1:04d}"
        made = replace(approval, id=name, before=there.before(), signed_with=signer.fingerprint if signer else None)
        target, data = there.approval_file(f"{name}.json"), as_bytes(made)
        signature = signer.signature(data) if signer else None
        try:
            new_file(target, data)
        except FileExistsError:
            continue  # somebody else has just taken this number
        return Taken(made, target, sha256(data), _beside(target, signature))
    raise RecordError("no-number-free", folder=str(folder / "approvals"))


def _beside(target: Path, signature: bytes | None) -> Path | None:
    """The signature of a record, put beside it."""
    if signature is None:
        return None
    file = target.with_name(target.name + SIGNATURE)
    new_file(file, signature)
    return file


def _texts(document: str, bodies: Mapping[str, Mapping[str, Text]]) -> Mapping[str, Text]:
    there = found(document)
    if there is not None and there.circle != "page":
        if not any(a.paper is None for a in there.approvals):
            raise Refusal("document-approved-by-nobody", document=document)
        if not there.written:
            raise Refusal("paper-not-written", document=document)
    if document not in bodies:
        known = tuple(name for name in bodies if any(a.paper is None for a in outline(name).approvals))
        raise Refusal("document-unknown", document=document, known=known)
    return bodies[document]


def _part(asked: str, site: Site) -> RolePart:
    """The part in which somebody approves: one that the site asks for, or that a role or a reviewer of it has."""
    parts = (*site.document.approvals, *(p for r in site.roles for p in r.part), *(r.part for r in site.reviewers))
    known = dict.fromkeys(parts)
    found = next((part for part in known if part == asked), None)
    if found is None:
        raise Refusal("role-unknown", role=asked, known=tuple(known))
    return found


def _named(by: str, part: RolePart, on: date, site: Site) -> tuple[str, str | None]:
    """The name as the profile writes it, and for whom a delegate approves.

    An approval is taken only from a person whom the profile names for that part on that day, or from a delegate of that person.
    White space and capitals make nobody else, and neither does a name that the same person bore before or since: the record has that of the
    day. Another spelling is told, and not taken for the name.
    """
    delegates = site.delegates_for(part, on)
    same = named_as(by, part, on, site)
    if same is not None:
        return same, None if same in site.named_for(part, on) else delegates[same]
    known = _known(part, on, site)
    by = by.strip()
    if not known:
        raise RecordError("nobody-named", by=by, role=part, on=on)
    near = next((name for name in known if name_key(name) == name_key(by)), None)
    if near is not None:
        raise RecordError("approver-spelled-otherwise", by=by, role=part, known=near)
    raise RecordError("approver-not-named", by=by, role=part, on=on, known=known)


def named_as(by: str, part: RolePart, on: date, site: Site) -> str | None:
    """The name by which the profile knows somebody for a part on that day, as one who has it or as a delegate; None where it names nobody so."""
    called = site.called_on(by, on)
    return next((name for name in _known(part, on, site) if alike(name) == alike(called)), None)


def _known(part: RolePart, on: date, site: Site) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*site.named_for(part, on), *site.delegates_for(part, on))))


def _digest_read(digest: str, document: str, texts: Mapping[str, Text]) -> None:
    if not DIGITS.fullmatch(digest):
        raise Refusal("digest-unclear", digest=digest)
    if not any(text.digest.startswith(digest) for text in texts.values()):
        now = tuple(f"{language} {text.digest[:16]}" for language, text in texts.items())
        raise RecordError("digest-of-another-text", digest=digest, now=now, document=document)


def _reviewers(role: RolePart, by: str, document: str, site: Site) -> tuple[Reviewer, ...]:
    """The entries of the profile for a person who approves in a part: first those that name the paper, then those that name none."""
    own = (r for r in site.reviewers if r.part == role and r.name in site.names_of(by))
    return tuple(sorted(own, key=lambda r: (not reads(r, document), not r.papers)))


def _licence(request: Request, role: RolePart, by: str, site: Site) -> tuple[str | None, str | None, date | None]:
    """Licence number, jurisdiction and expiry, checked against the site and the day."""
    named = [r for r in site.reviewers if r.part == role]
    reviewer = next(iter(_reviewers(role, by, request.document, site)), None)
    licensed = any(r.licence or r.seal or r.part in SEALING for r in named) or role == "engineer"
    if request.licence and reviewer and reviewer.licence and reviewer.licence != request.licence:
        raise RecordError("licence-differs", by=by, known=reviewer.licence, given=request.licence)
    number = request.licence or (reviewer.licence if reviewer else None)
    where = request.jurisdiction or (reviewer.jurisdiction if reviewer else None)
    until = request.expires or (reviewer.expires if reviewer else None)
    if licensed and named and reviewer is None:
        raise RecordError("reviewer-differs", by=by, role=role, known=tuple(r.name or r.id for r in named))
    if not number:
        if licensed:
            raise Refusal("licence-needed", role=role)
        return None, None, None
    if not where or until is None:
        raise Refusal("licence-incomplete", missing=Word("expires" if where else "jurisdiction"))
    here = site.site.jurisdiction
    if where != here and ("-" in here or where.partition("-")[0] != here):
        raise RecordError("licence-elsewhere", by=by, place=where, site=here)
    if until < request.on:
        raise RecordError("licence-ended", licence=number, by=by, expires=until, on=request.on)
    return number, where, until


def _in_scope(scope: tuple[str, ...], text: Text) -> Text:
    ids = set(in_scope(scope, text))
    return Text(text.document, text.language, text.digest, text.headings, tuple(c for c in text.clauses if c.id in ids))


def _keep(evidence: Path, folder: Path) -> tuple[str, str]:
    """Copy the signed page beside the approvals under the name of its content."""
    ending = evidence.suffix.lower()
    if ending not in ENDINGS:
        raise Refusal("evidence-kind", kinds=ENDINGS, file=evidence.name)
    data = _regular(evidence)
    if not data:
        raise Refusal("evidence-empty", file=str(evidence))
    if len(data) > LARGEST:
        raise Refusal("evidence-too-large", file=str(evidence))
    kinds = next((endings for begins, endings in BEGINS.items() if data.startswith(begins)), ())
    if ending not in kinds:
        raise Refusal("evidence-of-another-kind", file=str(evidence), ending=ending)
    digest = sha256(data)
    name = f"evidence/{digest[:16]}{ending}"
    target = folder / "approvals" / name
    try:
        new_file(target, data)
    except FileExistsError:
        if sha256(target.read_bytes()) != digest:
            raise RecordError("evidence-replaced", file=str(target)) from None
    return name, digest


def _regular(file: Path) -> bytes:
    """The bytes of a file, one more than may be kept at most. Refusal for a link, a pipe or a folder: a pipe would keep us waiting, and a
    link shows another file than the one that was looked at.
    """
    how = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        with os.fdopen(os.open(file, how), "rb") as stream:
            if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode) or file.is_symlink():
                raise Refusal("evidence-no-file", file=str(file))
            return stream.read(LARGEST + 1)
    except OSError as error:
        if file.is_symlink() or (file.exists() and not file.is_file()):
            raise Refusal("evidence-no-file", file=str(file)) from error
        raise Refusal("evidence-unreadable", file=str(file), reason=error.strerror or str(error)) from error


def _line(finding: Finding, checked: Assessed, language: str) -> str:
    where = f"{checked.source.file}:{finding.line}" if finding.line else checked.source.file
    return f"  {finding.name}  {where}: {finding_text(finding, 'message', language, checked.assessed.system)}"
