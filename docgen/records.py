"""What a site has on record: issued revisions, approvals and holds, read from the site folder as frozen values.

    <site>/issued/rev-001/record.json      one folder a revision, never changed after it is made
    <site>/approvals/A-0001.json           one file an approval, never changed
    <site>/holds/H-0001.json               one file each time a hold begins or ends

Names that begin with a dot are work in progress of another process and are not looked at. A record that cannot be
understood is a RecordError that names the file: a record is never guessed.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import field
from datetime import date
from pathlib import Path
from typing import Any

from docgen.errors import RecordError
from docgen.frozen import frozen

__all__ = [
    "NONE",
    "Approval",
    "Hold",
    "Issued",
    "IssuedText",
    "Records",
    "SealedClause",
    "issued_clauses",
    "read_records",
    "sha256",
]

REVISION = re.compile(r"rev-(\d{3,})")
APPROVAL = re.compile(r"A-(\d{4,})\.json")
HOLD = re.compile(r"H-(\d{4,})\.json")
DIGEST = re.compile(r"[0-9a-f]{64}")


@frozen
class SealedClause:
    """One clause as it was recorded: its digest, its text or (in an approval) the text's SHA-256, the paths it rests on.

    `inputs` are (path, canonical value); `cites`, `document` and `section` are empty in an approval.
    """

    id: str
    language: str
    digest: str
    text: str
    inputs: tuple[tuple[str, str], ...]
    cites: tuple[str, ...] = ()
    document: str = ""
    section: str = ""


@frozen
class IssuedText:
    """One document in one language as a revision holds it. `names` are its files below the revision's folder."""

    document: str
    language: str
    title: str
    digest: str
    names: tuple[str, ...]


@frozen
class Approval:
    """One approval. `scope` is what was named (`document`, section names, clause ids); `clauses` what that was on the day.

    `texts` is the digest of the whole document by language; `entered_by` typed it in; `evidence` is the kept file of the
    signed page, with its SHA-256. It is a record of a signature on paper, not an electronic signature.
    """

    id: str
    document: str
    role: str
    by: str
    on: date
    scope: tuple[str, ...]
    texts: Mapping[str, str]
    clauses: tuple[SealedClause, ...]
    licence: str | None = None
    jurisdiction: str | None = None
    expires: date | None = None
    entered_by: str | None = None
    evidence: str | None = None
    evidence_sha256: str | None = None
    note: str | None = None


@frozen
class Issued:
    """One issued revision. `folder` is None for the one that is just being made."""

    revision: int
    on: date
    supersedes: int | None
    reason: str
    issued_by: str | None
    program: str
    texts: tuple[IssuedText, ...]
    approvals: tuple[str, ...]
    digests: Mapping[str, Any]
    findings: Mapping[str, int]
    folder: Path | None = field(default=None, compare=False)

    def text(self, document: str, language: str) -> IssuedText | None:
        return next((t for t in self.texts if (t.document, t.language) == (document, language)), None)


@frozen
class Hold:
    """From `on` nothing on record may be deleted or overwritten (`state` on), or may again (off)."""

    id: str
    state: str
    by: str
    on: date
    reason: str


@frozen
class Records:
    """All records of one site up to one day, oldest first. `folder` is the site folder."""

    folder: Path | None = field(default=None, compare=False)
    issued: tuple[Issued, ...] = ()
    approvals: tuple[Approval, ...] = ()
    holds: tuple[Hold, ...] = ()

    def until(self, day: date) -> Records:
        """What was on record at the end of that day."""
        return Records(
            self.folder,
            tuple(r for r in self.issued if r.on <= day),
            tuple(a for a in self.approvals if a.on <= day),
            tuple(h for h in self.holds if h.on <= day),
        )

    def in_force(self, document: str, language: str) -> Issued | None:
        """The newest revision that holds this document in this language."""
        return next((r for r in reversed(self.issued) if r.text(document, language) is not None), None)

    def revision(self, number: int) -> Issued | None:
        return next((r for r in self.issued if r.revision == number), None)

    def posted(self) -> dict[tuple[str, str], tuple[int, date]]:
        """(document, language) -> (revision in force, its day)."""
        return {(t.document, t.language): (r.revision, r.on) for r in self.issued for t in r.texts}

    @property
    def held(self) -> Hold | None:
        """The hold that stands, if one does."""
        return self.holds[-1] if self.holds and self.holds[-1].state == "on" else None


NONE = Records()


def sha256(data: bytes) -> str:
    """64 hex digits."""
    return hashlib.sha256(data).hexdigest()


class _Data:
    """A JSON object of a record file, read with the type that is due; a RecordError names file, key and what is wrong."""

    def __init__(self, file: str, data: Any, at: str = "") -> None:
        self.file, self.at = file, at
        if not isinstance(data, dict):
            self.wrong(at or "the file", "is no object")
        self.data = data

    def wrong(self, what: str, why: str) -> None:
        raise RecordError(
            f"{self.file}: {what} {why}; a record is never edited: put the file back from a copy, or move the whole record away"
        )

    def get(self, key: str, kind: type | tuple[type, ...], need: bool = True) -> Any:
        where = f"{self.at}.{key}".lstrip(".")
        value = self.data.get(key)
        if value is None:
            if need:
                self.wrong(f"'{where}'", "is missing")
            return None
        if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
            self.wrong(f"'{where}'", f"is a {type(value).__name__}")
        return value

    def text(self, key: str, need: bool = True) -> Any:
        return self.get(key, str, need)

    def day(self, key: str, need: bool = True) -> date | None:
        value = self.text(key, need)
        if value is None:
            return None
        try:
            return date.fromisoformat(value)
        except ValueError:
            return self.wrong(f"'{key}'", f"is no day ('{value}')")

    def digest(self, key: str, need: bool = True) -> Any:
        value = self.text(key, need)
        if value is not None and not DIGEST.fullmatch(value):
            self.wrong(f"'{self.at}.{key}'".replace("'.", "'"), "is no SHA-256 digest")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        values = self.get(key, list)
        if not all(isinstance(v, str) for v in values):
            self.wrong(f"'{key}'", "holds something that is not text")
        return tuple(values)

    def pairs(self, key: str) -> tuple[tuple[str, str], ...]:
        values = self.get(key, dict)
        if not all(isinstance(v, str) for v in values.values()):
            self.wrong(f"'{self.at}.{key}'", "holds something that is not text")
        return tuple(sorted(values.items()))

    def each(self, key: str) -> list[_Data]:
        return [
            _Data(self.file, row, f"{self.at}{'.' if self.at else ''}{key}[{i}]") for i, row in enumerate(self.get(key, list))
        ]


def _load(path: Path, site: str) -> _Data:
    """The JSON object of a file; RecordError where it cannot be read or belongs to another site."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise RecordError(f"{path}: the record cannot be read ({error.strerror or error})") from error
    except ValueError as error:
        raise RecordError(f"{path}: the record is damaged ({error}); put the file back from a copy") from error
    row = _Data(str(path), data)
    if row.get("schema_version", int) != 1:
        row.wrong("'schema_version'", f"is {data['schema_version']}, and this program reads 1")
    if row.text("site") != site:
        raise RecordError(
            f"{path}: the record belongs to the site '{data['site']}', the profile is of '{site}'; keep one site in a folder"
        )
    return row


def _numbered(folder: Path, pattern: re.Pattern[str]) -> list[tuple[int, Path]]:
    """Entries of a folder whose name is as the pattern says, by number; other names are an error unless they begin with a dot."""
    if not folder.is_dir():
        return []
    found = []
    for path in sorted(folder.iterdir()):
        if match := pattern.fullmatch(path.name):
            found.append((int(match[1]), path))
    found.sort()
    for place, (number, path) in enumerate(found, 1):
        if number != place:
            raise RecordError(
                f"{path}: the one before it is missing ({folder.name} counts from 1 without a gap); put it back from a copy"
            )
    return found


def read_records(folder: Path, site: str) -> Records:
    """All records of the site whose id is `site` in its folder. RecordError where one is damaged or missing."""
    folder = Path(folder)
    issued = tuple(_issued(number, path, site) for number, path in _numbered(folder / "issued", REVISION))
    approvals = tuple(_approval(path, site) for _, path in _numbered(folder / "approvals", APPROVAL))
    holds = tuple(_hold(path, site) for _, path in _numbered(folder / "holds", HOLD))
    return Records(folder, issued, approvals, holds)


def _issued(number: int, folder: Path, site: str) -> Issued:
    path = folder / "record.json"
    row = _load(path, site)
    if row.get("revision", int) != number:
        row.wrong("'revision'", f"is {row.data['revision']} in a folder named {folder.name}")
    findings = row.get("findings", dict)
    return Issued(
        revision=number,
        on=row.day("issued_on"),
        supersedes=row.get("supersedes", int, need=False),
        reason=row.text("reason"),
        issued_by=row.text("issued_by", need=False),
        program=row.text("program"),
        texts=tuple(
            IssuedText(t.text("document"), t.text("language"), t.text("title"), t.digest("digest"), t.texts("files"))
            for t in row.each("documents")
        ),
        approvals=row.texts("approvals"),
        digests=row.get("digests", dict),
        findings=findings,
        folder=folder,
    )


def _approval(path: Path, site: str) -> Approval:
    row = _load(path, site)
    if row.text("id") != path.stem:
        row.wrong("'id'", f"is {row.data['id']} in a file named {path.name}")
    texts = row.get("texts", dict)
    clauses = [
        SealedClause(c.text("id"), c.text("language"), c.digest("digest"), c.digest("text_sha256"), c.pairs("inputs"))
        for c in row.each("clauses")
    ]
    return Approval(
        id=path.stem, document=row.text("document"), role=row.text("role"), by=row.text("by"), on=row.day("on"),
        scope=row.texts("scope"), texts=texts, clauses=tuple(clauses), licence=row.text("licence", False),
        jurisdiction=row.text("jurisdiction", False), expires=row.day("expires", False), entered_by=row.text("entered_by", False),
        evidence=row.text("evidence", False), evidence_sha256=row.digest("evidence_sha256", False), note=row.text("note", False),
    )  # fmt: skip


def _hold(path: Path, site: str) -> Hold:
    row = _load(path, site)
    state = row.text("state")
    if state not in ("on", "off"):
        row.wrong("'state'", f"is '{state}', neither on nor off")
    return Hold(path.stem, state, row.text("by"), row.day("on"), row.text("reason"))


def issued_clauses(revision: Issued) -> tuple[SealedClause, ...]:
    """Every clause of a revision, in document order, with full texts and inputs. RecordError where the file is damaged."""
    path = revision.folder / "clauses.json"
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise RecordError(f"{path}: the record cannot be read ({error.strerror or error})") from error
    except ValueError as error:
        raise RecordError(f"{path}: the record is damaged ({error}); put the file back from a copy") from error
    return tuple(
        SealedClause(
            c.text("id"), c.text("language"), c.digest("digest"), c.text("text"), c.pairs("inputs"), c.texts("cites"),
            c.text("document"), c.text("section"),
        )
        for c in _Data(str(path), data).each("clauses")
    )  # fmt: skip
