"""Freezes a revision: the text of each document, what it rests on and who approved it, in a folder that never changes.

`issued/rev-NNN` comes into being in one step or not at all, and only if nobody else has just made that number. The revision
before is superseded by the record of this one; its own folder is left as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import cast

from docgen import __version__
from docgen.checked import Assessed
from docgen.compose import compose_all
from docgen.compose.digest import DIGEST_FORMAT
from docgen.compose.frame import copies, file_stem, state_of, stopping
from docgen.compose.lengths import longest
from docgen.compose.pieces import Body
from docgen.compose.standing import given, older_than, own_needed, resting_on, standing
from docgen.control import digests
from docgen.control.approve import named_as
from docgen.control.safe import lock, new_folder
from docgen.control.say import clause_names, role_title
from docgen.control.sign import Signer
from docgen.control.stored import CHECK, PROFILE, stored_site
from docgen.errors import RecordError, Refusal
from docgen.filing import as_bytes
from docgen.findings.model import Severity
from docgen.logbook import NAME
from docgen.papers import found, outline, papers
from docgen.records import (
    CLAUSES,
    RECORD,
    SIGNATURE,
    Approval,
    Counts,
    Digests,
    Issued,
    IssuedText,
    IssuedTexts,
    Records,
    Text,
    kept_bytes,
    sha256,
)
from docgen.signs import name_key
from docgen.site import RolePart, Site
from docgen.site.log import NumberTried
from docgen.words import finding_text, words

__all__ = ["choose", "contents_of", "draft", "issue", "refusals"]

Bodies = Mapping[str, Mapping[str, Body]]  # document -> language -> body


def refusals(checked: Assessed, bodies: Bodies, chosen: tuple[str, ...], language: str) -> tuple[Refusal, ...]:
    """Every reason why these documents cannot be issued. Empty: they can."""
    found = dict.fromkeys(
        r for name in chosen for r in (*_stops(name, checked, language), *_unapproved(name, checked, bodies, language))
    )
    return (*found, *_untried(checked), *_too_long(checked, bodies, chosen))


def _too_long(checked: Assessed, bodies: Bodies, chosen: tuple[str, ...]) -> Iterator[Refusal]:
    """Papers that hang or are carried and do not fit their pages, on each sheet; nothing where no PDF can be made. A record form goes on to the next page.

    They are measured as they would be issued: without the lines that say which approval has lapsed, and why.
    """
    from docgen.write.fit import overflow
    from docgen.write.pdf import PdfUnavailable

    sheets = tuple(name for name in chosen if outline(name).layout != "report" and outline(name).circle == "site")
    if not sheets:
        return
    kept = tuple(a for a in checked.records.approvals if a.document in bodies and standing(a, bodies[a.document]).stands)
    made = compose_all(
        checked.site,
        checked.code,
        checked.assessed,
        checked.happened,
        (),
        wanted=sheets,
        records=replace(checked.records, approvals=kept),
        bodies=bodies,
        look=checked.look,
    )
    for document, body in made:
        try:
            found = overflow(document) if document.name in sheets else ()
        except PdfUnavailable:
            return
        for sheet in found:
            yield Refusal(
                "longer-than-its-page", document=document.name, language=body.language, pages=sheet.pages, sheet=sheet.sheet, most=sheet.most,
                over=sheet.over, longest=longest(body),
            )  # fmt: skip


def _untried(checked: Assessed) -> Iterator[Refusal]:
    """Alarm numbers that are new since the last issue, or now those of another post, and that nobody is on record as having tried since.

    The public number is confirmed on the non-emergency line and never dialled.
    """
    if not checked.records.issued:
        return
    last = checked.records.issued[-1]
    _, before = stored_site(checked.records, last)
    old = set(before.alarm_numbers())
    posts, numbers = {post for post, _ in old}, {number for _, number in old}
    moved = set(checked.site.alarm_numbers()) - old
    for number in sorted({number for post, number in moved if post in posts or number not in numbers}):
        tried = (
            n
            for n in checked.happened.of(NumberTried)
            if n.number == number and n.on is not None and n.on >= last.on and not _prepared(n, checked.site)
        )
        public = checked.site.emergency.is_public(number)
        if not any(not public or n.how == "confirmed" for n in tried):
            if public:
                yield Refusal("public-number-unconfirmed", number=number, revision=last.revision, on=last.on)
            else:
                yield Refusal("alarm-number-untried", number=number, revision=last.revision, on=last.on)


def _prepared(tried: NumberTried, site: Site) -> bool:
    """Whether whoever tried a number is the one who prepared the papers in which it is new."""
    role = site.role(site.document.prepared_by)
    holder = role.on(tried.on) if role is not None and tried.on is not None else None
    return holder is not None and tried.by is not None and name_key(tried.by) in map(name_key, holder.names)


def _stops(name: str, checked: Assessed, language: str) -> Iterator[Refusal]:
    for f in stopping(name, checked.assessed):
        place = f"{checked.source.file}:{f.line}" if f.line else checked.source.file
        message = finding_text(f, "message", language, checked.assessed.system)
        yield Refusal("stopped-by-finding", document=name, finding=f.name, place=place, message=message)


def _unapproved(name: str, checked: Assessed, bodies: Bodies, language: str) -> Iterator[Refusal]:
    own = ((name, role) for role in own_needed(outline(name), checked.site))
    for paper, role in (*own, *resting_on(name, checked.site)):
        title = role_title(role, language)
        for of, body in bodies[paper].items():
            found = given(paper, role, of, {of: body}, checked.records)
            standing = found.standing
            if standing is None:
                yield Refusal("approval-missing", document=paper, language=of, title=title, role=role)
            elif not standing.stands:
                clauses = clause_names(standing.lapses, language)
                yield Refusal(
                    "approval-lapsed", document=paper, language=of, title=title, id=standing.approval.id, clauses=clauses
                )
            elif found.uncovered:
                sections = tuple(dict.fromkeys(c.section or c.id for c in body.clauses if c.id in found.uncovered))
                yield Refusal("approval-partial", document=paper, language=of, title=title, role=role, sections=sections)
            elif wrong := next((s.approval for s in found.rests if _by_nobody_named(s.approval, checked)), None):
                yield Refusal(
                    "approval-by-another", document=paper, language=of, title=title, id=wrong.id, by=wrong.by, on=wrong.on
                )
            elif paper != name and older_than(
                name, of, bodies[name][of].digest, standing.approval, checked.records, checked.site
            ):
                yield Refusal("approval-older", document=paper, language=of, title=title, id=standing.approval.id, rests=name)


def _by_nobody_named(approval: Approval, checked: Assessed) -> bool:
    """Whether a record bears a name that the profile does not name for its part on its day: `approve` takes none, so somebody wrote in it.

    What an earlier revision froze rests on the profile of then.
    """
    if any(approval.id in r.approvals for r in checked.records.issued):
        return False
    return named_as(approval.by, cast(RolePart, approval.role), approval.on, checked.site) is None


def choose(checked: Assessed, bodies: Bodies, wanted: tuple[str, ...]) -> tuple[str, ...]:
    """The documents to issue: those wanted, or all whose text is not the one in force. RecordError when there is none."""
    known = tuple(name for o in papers() if o.bound for name in copies(o, checked.site, checked.assessed))
    if unknown := [w for w in wanted if w not in known]:
        there = found(unknown[0])
        if there is not None and there.digest and not there.written:
            raise Refusal("paper-not-written", document=unknown[0])
        raise Refusal("document-unknown", document=unknown[0], known=known)

    def new(name: str) -> bool:
        own = {language: {name: body} for language, body in bodies[name].items()}
        return any(state_of(name, lang, texts, checked.assessed, checked.records) != "issued" for lang, texts in own.items())

    chosen = tuple(name for name in known if (not wanted or name in wanted) and new(name))
    if not chosen:
        last = next(
            r for r in reversed(checked.records.issued) if checked.records.withdrawal_of(r.revision) is None
        )  # all texts are in force
        name = "nothing-to-issue-of-these" if wanted else "nothing-to-issue"
        raise RecordError(name, revision=last.revision, on=last.on)
    return chosen


def draft(
    checked: Assessed, bodies: Bodies, chosen: tuple[str, ...], types: tuple[str, ...], on: date, reason: str | None,
    issued_by: str | None, newest: Records, language: str,
) -> Issued:  # fmt: skip
    """The record of the revision to be made, but for the digests of its files.

    `newest` are all records, later ones included: a revision is never dated before another. `language` is that of the reason
    where none is given.
    """
    last = newest.issued[-1] if newest.issued else None
    if last is not None:
        for before in newest.issued:
            if on < before.on and newest.withdrawal_of(before.revision) is None:
                raise RecordError("dated-before-the-last", revision=before.revision, last=before.on, on=on)
    severities = [f.severity for f in checked.assessed.findings]

    def count(severity: Severity) -> int:
        return severities.count(severity)

    return Issued(
        site=checked.site.site.id, site_name=checked.site.site.name, number=checked.site.document.number,
        revision=last.revision + 1 if last else 1, on=on, issued_by=issued_by, reason=reason or _reason(checked, bodies, chosen, language),
        supersedes=last.revision if last else None, program=__version__, jurisdiction=checked.site.site.jurisdiction,
        digest_format=DIGEST_FORMAT,
        digests=Digests(
            profile=sha256(checked.source.whole.encode("utf-8")), schemas=digests.schema_digests(), codes=digests.codes_digest(),
            templates=digests.templates_digest(),
        ),
        findings=Counts(count("must-fix"), count("fix-soon"), count("advice")),
        approvals=tuple(sorted(set(_approvals(checked, bodies, chosen)))), texts=tuple(_texts(checked, bodies, chosen, types)),
        files={}, before=newest.before(),
    )  # fmt: skip


def _approvals(checked: Assessed, bodies: Bodies, chosen: tuple[str, ...]) -> Iterator[str]:
    """Ids of the approvals that stand for what is issued, needed or given beyond that."""
    for name in chosen:
        own = [*own_needed(outline(name), checked.site), *(a.role for a in checked.records.unwithdrawn)]
        for paper, role in dict.fromkeys([*((name, role) for role in own), *resting_on(name, checked.site)]):
            for language, body in bodies[paper].items():
                yield from (s.approval.id for s in given(paper, role, language, {language: body}, checked.records).rests)


def _texts(checked: Assessed, bodies: Bodies, chosen: tuple[str, ...], types: tuple[str, ...]) -> Iterator[IssuedText]:
    languages = tuple(dict.fromkeys(lang for name in chosen for lang in bodies[name]))
    for name in chosen:
        for language, body in bodies[name].items():
            stem = file_stem(name, language, languages)
            before = checked.records.newest(name, language)
            yield IssuedText(
                name, language, outline(name).at(checked.code).title_in(language), body.digest,
                tuple(f"documents/{stem}.{end}" for end in _endings(name, types)), before.revision if before else None,
            )  # fmt: skip


def _endings(name: str, types: tuple[str, ...]) -> tuple[str, ...]:
    """Endings of the files of a paper: of the types asked for, and of its first own type where it has none of these, so that each text issued is kept as a file."""
    shown = outline(name)
    return shown.endings(types) or shown.endings(shown.types[:1])


def _reason(checked: Assessed, bodies: Bodies, chosen: tuple[str, ...], language: str) -> str:
    texts, records = words(language)["stamp"], checked.records
    held = [(name, of) for name in chosen for of in bodies[name]]
    if all(records.newest(*key) is None for key in held):
        return str(texts["first_issue"])
    gone = {w.name for key in held if (w := records.withdrawn(*key)) is not None}
    again = ", ".join(str(int(name.partition("-")[2])) for name in sorted(gone))
    return str(texts["issued_again"].format(n=again) if gone else texts["text_changed"])


def contents_of(
    made: Issued, checked: Assessed, bodies: Bodies, types: tuple[str, ...], check_json: bytes, signer: Signer | None = None
) -> dict[str, bytes]:
    """Every file of the revision's folder by name, the record, its signature where there is a signer, and the list of digests last."""
    from docgen.write import WRITERS, ending_of

    records = checked.records
    after = replace(records, issued=(*records.issued, made))
    chosen = tuple(dict.fromkeys(t.document for t in made.texts))
    texts = tuple(_plain(body) for name in chosen for _, body in sorted(bodies[name].items()))
    contents: dict[str, bytes] = {
        PROFILE: checked.source.whole.encode("utf-8"), CHECK: check_json, CLAUSES: as_bytes(IssuedTexts(texts)),
    }  # fmt: skip
    log = Path(checked.source.file).parent / NAME
    if log.is_file():
        contents[NAME] = kept_bytes(log)
    documents = compose_all(
        checked.site,
        checked.code,
        checked.assessed,
        checked.happened,
        types,
        wanted=chosen,
        records=after,
        bodies=bodies,
        look=checked.look,
    )
    by_name = {(d.name, b.language): d for d, b in documents}
    for text in made.texts:
        for name in text.names:
            contents[name] = WRITERS[ending_of(name)](by_name[text.document, text.language]).data
    for approval in records.approvals:
        if approval.id in made.approvals:
            contents[f"approved/{approval.id}.json"] = kept_bytes(records.approval_file(f"{approval.id}.json"))
            if approval.evidence:
                page = _evidence(records.approval_file(approval.evidence), approval.evidence_sha256)
                contents[f"approved/{approval.evidence}"] = page
    files = {name: sha256(data) for name, data in sorted(contents.items())}
    signed_with = signer.fingerprint if signer is not None else None
    contents[RECORD] = as_bytes(replace(made, files=files, signed_with=signed_with))
    if signer is not None:
        contents[f"{RECORD}{SIGNATURE}"] = signer.signature(contents[RECORD])
    contents[digests.SUMS] = digests.sums(contents)
    return contents


def _plain(body: Body) -> Text:
    """What a record keeps of a body."""
    return Text(body.document, body.language, body.digest, body.headings, body.clauses)


def _evidence(path: Path, digest: str | None) -> bytes:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise RecordError("signed-page-unreadable", file=str(path), reason=error.strerror or str(error)) from error
    if sha256(data) != digest:
        raise RecordError("signed-page-changed", file=str(path))
    return data


def issue(issued: Issued, contents: Mapping[str, bytes], folder: Path, held: bool = False) -> Path:
    """Make the folder of the revision. RecordError if somebody else has made it meanwhile; then nothing is written."""
    target = Records(folder).revision_folder(issued.revision)
    try:
        new_folder(target, contents)
    except FileExistsError:
        raise RecordError("revision-taken", revision=issued.revision, folder=str(target)) from None
    if held:
        lock(target)
    return target
