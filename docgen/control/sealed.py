"""Whether what is on record is as it was recorded: each revision against its own record, each record against those that came after it.

A record holds the digests of the newest records that lay there when it was made (`before`), so that one that is altered, exchanged or
taken away is noticed by the next. What no later record names (the newest approval, revision or withdrawal) can be altered or taken away
without a trace in the folder: its digest is printed when it is made, to be kept elsewhere, and a signature shows an alteration. The
newest records are therefore held against their signatures, where they have one and a program is there that can tell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Literal

from docgen.control.digests import SUMS, verify
from docgen.control.sign import fits
from docgen.errors import RecordError, Word
from docgen.frozen import frozen
from docgen.records import RECORD, SIGNATURE, Approval, Issued, Records, Withdrawal, kept_bytes, sha256

__all__ = ["Broken", "broken", "whole"]

APPROVED = "approved/"


@frozen
class Broken:
    """A file that is not as it was recorded, and the file by which that is known."""

    file: Path
    how: Literal["missing", "differs", "added", "unchained", "unsigned"]
    by: Path


def whole(records: Records) -> None:
    """RecordError that names every file that is not as it was recorded."""
    found = tuple({b.file: b for b in broken(records)}.values())
    if not found:
        return
    first, others = found[0], tuple(str(b.file) for b in found[1:])
    if others:
        raise RecordError("records-altered", file=str(first.file), what=Word(first.how), by=str(first.by), others=others)
    raise RecordError("record-altered", file=str(first.file), what=Word(first.how), by=str(first.by))


def broken(records: Records) -> Iterator[Broken]:
    """Every file that is not as it was recorded, by whatever tells it; a file may come more than once. `records` are all of the site."""
    for revision in records.issued:
        yield from _revision(revision, records)
    named = {name for record, _, _ in _records(records) for name in record.before}
    for record, file, earlier in _records(records):
        yield from _chained(record.before, file, earlier, records.folder)
        if record.signed_with is not None:
            newest = file.relative_to(records.folder).as_posix() not in named
            yield from _signed(record.signed_with, file, newest)
    for approval in records.approvals:
        if approval.evidence is not None:
            yield from _same(records.approval_file(approval.evidence), approval.evidence_sha256 or "", _file(approval, records))


def _file(record: Approval | Issued | Withdrawal, records: Records) -> Path:
    if isinstance(record, Issued):
        return records.revision_folder(record.revision) / RECORD
    return records.approval_file(f"{record.id}.json") if isinstance(record, Approval) else records.withdrawal_file(record.id)


def _records(records: Records) -> Iterator[tuple[Approval | Issued | Withdrawal, Path, Path | None]]:
    """Every record with its file, and the file of the one before it of its kind."""
    for kind in (records.issued, records.approvals, records.withdrawals):
        earlier = None
        for record in kind:
            file = _file(record, records)
            yield record, file, earlier
            earlier = file


def _revision(revision: Issued, records: Records) -> Iterator[Broken]:
    """A folder against its list of digests and its record, and what it froze of the approvals against the approvals."""
    folder = records.revision_folder(revision.revision)
    for wrong in verify(folder):
        yield Broken(folder / wrong.name, wrong.how, folder / (SUMS if wrong.by == SUMS else RECORD))
    for name, digest in revision.files.items():
        if name.startswith(APPROVED):
            yield from _same(records.approval_file(name.removeprefix(APPROVED)), digest, folder / name)


def _signed(key: str, file: Path, newest: bool) -> Iterator[Broken]:
    """The signature beside a record; what it says, of the newest alone: the others are held by those after them."""
    signature = file.with_name(file.name + SIGNATURE)
    if not signature.is_file():
        yield Broken(signature, "missing", file)
    elif newest and not fits(key, kept_bytes(file), signature):
        yield Broken(file, "unsigned", signature)


def _chained(before: Mapping[str, str], file: Path, earlier: Path | None, folder: Path) -> Iterator[Broken]:
    """The records that were the newest when one was made, the one before it of its kind among them."""
    if earlier is not None and earlier.relative_to(folder).as_posix() not in before:
        yield Broken(file, "unchained", earlier)
    for name, digest in before.items():
        yield from _same(folder / name, digest, file)


def _same(file: Path, digest: str, by: Path) -> Iterator[Broken]:
    if not file.is_file():
        yield Broken(file, "missing", by)
    elif sha256(kept_bytes(file)) != digest:
        yield Broken(file, "differs", by)
