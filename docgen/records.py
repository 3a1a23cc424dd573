"""What a site has on record: issued revisions and approvals, read from the site folder as frozen values.

    <site>/issued/rev-001/record.json      one folder a revision, never changed after it is made
    <site>/issued/rev-001/clauses.json     its texts, clause by clause
    <site>/approvals/A-0001.json           one file an approval, never changed
    <site>/withdrawn/W-0001.json           one file for what was taken out of force, never changed
    <file>.sig                             beside a record that says that it is signed: its SSH signature

The classes here are the only declaration of these files: writer, reader and JSON Schema come from them (`docgen.filing`).
Names that begin with a dot are work in progress of another process and are not looked at. A record that cannot be
understood is a RecordError that names the file: a record is never guessed.

Annotations are values here and not text (no `from __future__ import annotations`): the reader and the writer need them, and
evaluating them from text would cost a check of a site with records more than reading the records does.
"""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import field
from datetime import date
from pathlib import Path
from typing import Annotated, ClassVar, Literal, TypeVar

from docgen.errors import RecordError
from docgen.filing import Is, Pairs, Texts, from_bytes
from docgen.frozen import frozen

__all__ = [
    "NONE",
    "RECORD_FILES",
    "Approval",
    "Clause",
    "Counts",
    "Digests",
    "Issued",
    "IssuedText",
    "IssuedTexts",
    "Records",
    "Text",
    "Withdrawal",
    "kept_bytes",
    "newest_revision",
    "no_pipe",
    "read_records",
    "revision_name",
    "sha256",
]

REVISION = re.compile(r"rev-(\d{3,})")
APPROVAL = re.compile(r"A-(\d{4,})\.json")
WITHDRAWAL = re.compile(r"W-(\d{4,})\.json")
SIGNATURE = ".sig"
RECORD, CLAUSES = "record.json", "clauses.json"

SHA256 = r"[0-9a-f]{64}"
DOCUMENT = r"[a-z][a-z-]*(?:\.[A-Za-z0-9][A-Za-z0-9-]*)?"  # a paper, with the bay or kind of part where there is one for each
Name = Annotated[str, Is(least=1)]
Digest = Annotated[str, Is(form=SHA256)]
ApprovalId = Annotated[str, Is(form=r"A-[0-9]{4,}")]
Before = Annotated[
    Mapping[str, Digest],
    Is(
        "SHA-256 of the newest record of each kind that lay there when this one was made, by its path, so that none can be exchanged or taken away unseen."
    ),
]
SignedWith = Annotated[
    str | None,
    Is(
        "Fingerprint of the key with which this file is signed; the signature lies beside it, with .sig at its end.",
        form=r"SHA256:[A-Za-z0-9+/]{43}",
    ),
]
DigestFormat = Annotated[int, Is("Number of the way in which the digests of texts and clauses were made.", least=1)]


@frozen
class Clause:
    """One clause of a text, the same as composed, approved and issued.

    `inputs` are (path, canonical value), sorted; `cites` the sources it names; `section` as the outline of the document names
    it; `digest` covers text and inputs. The last two are set when the text is whole (`docgen.compose.digest.sealed`).
    """

    id: Annotated[str, Is("Id of the clause: the document and its anchor.", least=1)]
    text: Annotated[str, Is("The words, as Markdown.")]
    inputs: Annotated[Pairs, Is("Every field and calculated step that the clause read, with its value.")]
    cites: Annotated[Texts, Is("What it rests on of law, standards and practice.")]
    section: Annotated[str, Is("The section it stands in.")] = ""
    digest: Annotated[str, Is("SHA-256 of the canonical text and the inputs.", form=SHA256)] = ""


@frozen
class Text:
    """One document in one language, clause by clause. In an approval the clauses are those in its scope; the digest is the whole text's."""

    document: Annotated[str, Is("The document.", form=DOCUMENT)]
    language: Annotated[str, Is("Its language.", least=2)]
    digest: Annotated[str, Is("Digest of the whole text and what it rests on.", form=SHA256)]
    headings: Annotated[str, Is("Digest of its headings alone.", form=SHA256)]
    clauses: Annotated[tuple[Clause, ...], Is("Its clauses, in order.")]


@frozen
class IssuedText:
    """One document in one language as a revision holds it. `names` are its files below the revision's folder."""

    document: Annotated[str, Is("The document.", form=DOCUMENT)]
    language: Annotated[str, Is("Its language.", least=2)]
    title: Annotated[str, Is("Its title.", least=1)]
    digest: Annotated[str, Is("Digest of its text and what that rests on.", form=SHA256)]
    names: Annotated[tuple[Annotated[str, Is(form="documents/.+")], ...], Is("Its files in the folder of the revision.", least=1)]
    supersedes: Annotated[int | None, Is("The revision in which this document stood before.", least=1)] = None


@frozen
class Approval:
    """One approval. `scope` is what was named (`document`, section names, clause ids); `texts` what that was on the day.

    `entered_by` typed it in; `evidence` is the kept file of the signed page, with its SHA-256. It is a record of a signature
    on paper, not an electronic signature.
    """

    FORMAT: ClassVar[int] = 2

    site: Annotated[str, Is("Id of the site.", least=1)]
    id: Annotated[str, Is("Number of the record, counted from 1 without a gap.", form=r"A-[0-9]{4,}")]
    document: Annotated[str, Is("The document that was approved.", form=DOCUMENT)]
    role: Annotated[str, Is("The part in which the person approved.", least=1)]
    by: Annotated[str, Is("The person who approved.", least=1)]
    on: Annotated[date, Is("The day of the approval.")]
    scope: Annotated[tuple[Name, ...], Is("What was named: document, sections or clause ids.", least=1)]
    licence: Annotated[str | None, Is("Number of the licence.")]
    jurisdiction: Annotated[str | None, Is("Where the licence is valid.")]
    expires: Annotated[date | None, Is("Last day of the licence.")]
    entered_by: Annotated[str | None, Is("Who typed the record in.")]
    evidence: Annotated[
        str | None, Is("The kept copy of the signed page, below approvals.", form=r"evidence/[0-9a-f]{16}\.[a-z]+")
    ]
    evidence_sha256: Annotated[str | None, Is("Digest of that copy.", form=SHA256)]
    note: Annotated[str | None, Is("A condition or remark of the person.")]
    program: Annotated[str, Is("Version of docgen.")]
    what: Annotated[str, Is("What this record is and is not.")]
    profile_sha256: Annotated[str, Is("Digest of the profile on that day.", form=SHA256)]
    digest_format: DigestFormat
    texts: Annotated[tuple[Text, ...], Is("The text in each language, with the clauses in scope.", least=1)]
    delegate_of: Annotated[str | None, Is("The holder of the part for whom a delegate approved.", least=1)] = None
    reviewed: Annotated[str | None, Is("What the profile said on that day that the person reviews.", least=1)] = None
    reviewed_sections: Annotated[tuple[Name, ...], Is("The sections that it named then.")] = ()
    before: Before = field(default_factory=dict)
    signed_with: SignedWith = None

    def text(self, language: str) -> Text | None:
        """What was approved in a language."""
        return next((t for t in self.texts if t.language == language), None)


@frozen
class Digests:
    """What a revision rests on, by digest."""

    profile: Annotated[str, Is("Of profile.yaml beside this record.", form=SHA256)]
    schemas: Annotated[Mapping[str, Digest], Is("Of each schema.")]
    codes: Annotated[str, Is("Of the data of law and standards.", form=SHA256)]
    templates: Annotated[str, Is("Of templates, words and styles.", form=SHA256)]


@frozen
class Counts:
    """How many findings were open."""

    must_fix: Annotated[int, Is(least=0)]
    fix_soon: Annotated[int, Is(least=0)]
    advice: Annotated[int, Is(least=0)]


@frozen
class Issued:
    """One issued revision. `files` is empty for the one that is just being made."""

    FORMAT: ClassVar[int] = 2

    site: Annotated[str, Is("Id of the site.", least=1)]
    site_name: Annotated[str, Is("Name of the site on that day.", least=1)]
    number: Annotated[str | None, Is("Number of the document.")]
    revision: Annotated[int, Is("Counted from 1 without a gap.", least=1)]
    on: Annotated[date, Is("The day of issue.")]
    issued_by: Annotated[str | None, Is("Who issued it.")]
    reason: Annotated[str, Is("Why, as the revision history prints it.", least=1)]
    supersedes: Annotated[int | None, Is("The revision before.", least=1)]
    program: Annotated[str, Is("Version of docgen.")]
    jurisdiction: Annotated[str, Is("The law used.", least=1)]
    digest_format: DigestFormat
    digests: Annotated[Digests, Is("What it rests on.")]
    findings: Annotated[Counts, Is("How many findings were open; check.json beside this record holds them.")]
    approvals: Annotated[tuple[ApprovalId, ...], Is("The approvals it rests on.")]
    texts: Annotated[tuple[IssuedText, ...], Is("What was issued.", least=1)]
    files: Annotated[Mapping[str, Digest], Is("SHA-256 of every other file of the folder.")]
    before: Before = field(default_factory=dict)
    signed_with: SignedWith = None

    def text(self, document: str, language: str) -> IssuedText | None:
        """What it holds of a document in a language."""
        return next((t for t in self.texts if (t.document, t.language) == (document, language)), None)


@frozen
class IssuedTexts:
    """The texts of a revision, clause by clause."""

    FORMAT: ClassVar[int] = 2

    texts: Annotated[tuple[Text, ...], Is("Each document in each language.", least=1)]


@frozen
class Withdrawal:
    """A revision or an approval taken out of force: by whom, on which day, why. What it names is never edited and its number never used again."""

    FORMAT: ClassVar[int] = 2

    site: Annotated[str, Is("Id of the site.", least=1)]
    id: Annotated[str, Is("Number of the record, counted from 1 without a gap.", form=r"W-[0-9]{4,}")]
    what: Annotated[Literal["revision", "approval"], Is("What is taken out of force.")]
    name: Annotated[str, Is("The revision or the approval.", form=r"rev-[0-9]{3,}|A-[0-9]{4,}")]
    by: Annotated[str, Is("The person who withdrew it.", least=1)]
    on: Annotated[date, Is("The day of the withdrawal.")]
    reason: Annotated[str, Is("Why.", least=1)]
    places: Annotated[Texts, Is("Ids of the places where a copy is to be taken down.")]
    program: Annotated[str, Is("Version of docgen.")]
    before: Before = field(default_factory=dict)
    signed_with: SignedWith = None


#: Name of the schema -> record, title and what the file is. `tests/record_schemas.py --write` writes the files of schemas/.
RECORD_FILES: Mapping[str, tuple[type, str, str]] = {
    "approval_record": (
        Approval,
        "approvals/A-NNNN.json",
        "One approval as docgen approve records it; never changed afterwards. It is a record and not an electronic signature.",
    ),
    "issue_record": (
        Issued,
        "issued/rev-NNN/record.json",
        "One issued revision: what it holds and what it rests on. Never changed afterwards; a later record supersedes it.",
    ),
    "clauses_record": (IssuedTexts, "issued/rev-NNN/clauses.json", "The texts of an issued revision, clause by clause."),
    "withdrawal_record": (
        Withdrawal,
        "withdrawn/W-NNNN.json",
        "One revision or approval taken out of force. The record of it stays where it is and as it is.",
    ),
}


@frozen
class Records:
    """All records of one site up to one day, oldest first. `folder` is the site folder; `approvals` are all, also those withdrawn."""

    folder: Path = field(default=Path(), compare=False)
    issued: tuple[Issued, ...] = ()
    approvals: tuple[Approval, ...] = ()
    withdrawals: tuple[Withdrawal, ...] = ()

    def until(self, day: date) -> "Records":
        """What was on record at the end of that day; what was withdrawn by then too, be it dated ahead."""
        withdrawals = tuple(w for w in self.withdrawals if w.on <= day)
        gone = {w.name for w in withdrawals}
        return Records(
            self.folder,
            tuple(r for r in self.issued if r.on <= day or revision_name(r.revision) in gone),
            tuple(a for a in self.approvals if a.on <= day or a.id in gone),
            withdrawals,
        )

    @property
    def unwithdrawn(self) -> tuple[Approval, ...]:
        """The approvals that nobody has withdrawn."""
        gone = {w.name for w in self.withdrawals if w.what == "approval"}
        return tuple(a for a in self.approvals if a.id not in gone)

    def withdrawal_of(self, revision: int) -> Withdrawal | None:
        """By which record a revision was withdrawn; None where it was not."""
        name = revision_name(revision)
        return next((w for w in self.withdrawals if w.what == "revision" and w.name == name), None)

    def newest(self, document: str, language: str) -> Issued | None:
        """The newest revision that holds this document in this language, in force or withdrawn."""
        return next((r for r in reversed(self.issued) if r.text(document, language) is not None), None)

    def in_force(self, document: str, language: str) -> Issued | None:
        """The newest revision that holds this document in this language; None where that was withdrawn: the one before stays superseded."""
        found = self.newest(document, language)
        return found if found is not None and self.withdrawal_of(found.revision) is None else None

    def withdrawn(self, document: str, language: str) -> Withdrawal | None:
        """By which record this document is out of force in this language; None where a revision is in force or none was issued."""
        found = self.newest(document, language)
        return self.withdrawal_of(found.revision) if found is not None else None

    def revision(self, number: int) -> Issued | None:
        """A revision by its number."""
        return next((r for r in self.issued if r.revision == number), None)

    def posted(self) -> dict[tuple[str, str], tuple[int, date]]:
        """(document, language) -> (revision in force, its day)."""
        newest = {(t.document, t.language): (r.revision, r.on) for r in self.issued for t in r.texts}
        return {key: found for key, found in newest.items() if self.withdrawal_of(found[0]) is None}

    def out_of_force(self) -> dict[tuple[str, str], Withdrawal]:
        """(document, language) -> by which record its newest revision was withdrawn."""
        held = {(t.document, t.language): None for r in self.issued for t in r.texts}
        return {key: gone for key in held if (gone := self.withdrawn(*key)) is not None}

    def revision_folder(self, number: int) -> Path:
        """Where a revision lies, or will lie."""
        return self.folder / "issued" / revision_name(number)

    def approval_file(self, name: str) -> Path:
        """Where an approval (`A-0001.json`) or the kept file of a signed page lies."""
        return self.folder / "approvals" / name

    def withdrawal_file(self, name: str) -> Path:
        """Where the record of a withdrawal (`W-0001`) lies."""
        return self.folder / "withdrawn" / f"{name}.json"

    def before(self) -> dict[str, str]:
        """SHA-256 of the newest record of each kind as it lies there, by its path in the site folder. RecordError where one cannot be read."""
        paths = [
            *(self.revision_folder(r.revision) / RECORD for r in self.issued[-1:]),
            *(self.approval_file(f"{a.id}.json") for a in self.approvals[-1:]),
            *(self.withdrawal_file(w.id) for w in self.withdrawals[-1:]),
        ]
        return {path.relative_to(self.folder).as_posix(): sha256(kept_bytes(path)) for path in paths}

    def texts_of(self, revision: Issued) -> tuple[Text, ...]:
        """The texts of a revision, clause by clause. RecordError where the file is damaged."""
        path = self.revision_folder(revision.revision) / CLAUSES
        return from_bytes(IssuedTexts, kept_bytes(path), str(path)).texts


NONE = Records()
R = TypeVar("R", Approval, Issued, Withdrawal)


def revision_name(number: int) -> str:
    """Name of the folder of a revision.

    >>> revision_name(7)
    'rev-007'
    """
    return f"rev-{number:03d}"


def sha256(data: bytes) -> str:
    """64 hex digits."""
    return hashlib.sha256(data).hexdigest()


def no_pipe(path: Path) -> None:
    """RecordError for a folder or a pipe in the place of a file: a pipe would keep us waiting for whoever writes into it."""
    if path.exists() and not path.is_file():
        raise RecordError("record-no-file", file=str(path))


def kept_bytes(path: Path) -> bytes:
    """A file of a record. RecordError where it cannot be read."""
    no_pipe(path)
    try:
        return path.read_bytes()
    except OSError as error:
        raise RecordError("record-unreadable", file=str(path), reason=error.strerror or str(error)) from error


def _load(cls: type[R], path: Path, site: str) -> R:
    """The record in a file; RecordError where it belongs to another site."""
    record = from_bytes(cls, kept_bytes(path), str(path))
    if record.site != site:
        raise RecordError("record-of-another-site", file=str(path), found=record.site, site=site)
    return record


def _numbered(folder: Path, pattern: re.Pattern[str]) -> list[tuple[int, Path]]:
    """Entries of a folder whose name is as the pattern says, by number; a gap is an error, other names are not looked at."""
    if not folder.is_dir():
        return []
    found = []
    for path in sorted(folder.iterdir()):
        if match := pattern.fullmatch(path.name):
            found.append((int(match[1]), path))
    found.sort()
    for place, (number, path) in enumerate(found, 1):
        if number != place:
            raise RecordError("record-gap", file=str(path), folder=folder.name)
    return found


def _named(record: Approval | Withdrawal, path: Path) -> None:
    if record.id != path.stem:
        raise RecordError("record-misnamed", file=str(path), key="id", found=record.id, name=path.name)


def read_records(folder: Path, site: str) -> Records:
    """All records of the site whose id is `site` in its folder. RecordError where one is damaged or missing."""
    folder = Path(folder)
    issued, approvals, withdrawals = [], [], []
    for number, path in _numbered(folder / "issued", REVISION):
        revision = _load(Issued, path / RECORD, site)
        if revision.revision != number:
            raise RecordError(
                "record-misnamed", file=str(path / RECORD), key="revision", found=str(revision.revision), name=path.name
            )
        issued.append(revision)
    for _, path in _numbered(folder / "approvals", APPROVAL):
        approval = _load(Approval, path, site)
        _named(approval, path)
        approvals.append(approval)
    for _, path in _numbered(folder / "withdrawn", WITHDRAWAL):
        withdrawal = _load(Withdrawal, path, site)
        _named(withdrawal, path)
        withdrawals.append(withdrawal)
    return Records(folder, tuple(issued), tuple(approvals), tuple(withdrawals))


def newest_revision(folder: Path) -> Path | None:
    """The folder of the newest revision of a site folder, without reading it."""
    found = _numbered(Path(folder) / "issued", REVISION)
    return found[-1][1] if found else None
