"""Digests of what a revision rests on, and folders of a record with a list of digests that other tools can check."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Literal

from docgen.errors import RecordError
from docgen.frozen import frozen
from docgen.records import RECORD, SIGNATURE, kept_bytes, no_pipe
from docgen.resources import data_folder

__all__ = ["SUMS", "Differs", "codes_digest", "folder_digest", "schema_digests", "sums", "templates_digest", "verify"]

#: Name of the list: one line a file, `<64 hex digits>  <path>`, the form that `sha256sum --check` reads.
SUMS = "SHA256SUMS"


def folder_digest(folder: Path, ends: tuple[str, ...]) -> str:
    """SHA-256 over (path, SHA-256 of the content) of all files below a folder with one of these endings, sorted by path."""
    whole = hashlib.sha256()
    for path in sorted(p for p in folder.rglob("*") if p.suffix in ends and p.is_file()):
        whole.update(f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.relative_to(folder).as_posix()}\n".encode())
    return whole.hexdigest()


@cache
def codes_digest() -> str:
    """Of the data of law and standards that the program carries."""
    return folder_digest(Path(__file__).resolve().parent.parent / "codes", (".yaml",))


@cache
def templates_digest() -> str:
    """Of the templates, words and styles."""
    return folder_digest(data_folder("templates"), (".md", ".yaml", ".css", ".xml", ".typ"))


@cache
def schema_digests() -> Mapping[str, str]:
    """Schema -> SHA-256 of its file."""
    files = sorted(data_folder("schemas").glob("*.schema.json"))
    return {p.name.removesuffix(".schema.json"): hashlib.sha256(p.read_bytes()).hexdigest() for p in files}


def sums(contents: Mapping[str, bytes]) -> bytes:
    """The list of digests of some files, by path."""
    return "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in sorted(contents.items())).encode("utf-8")


@frozen
class Differs:
    """A file of a record folder that is not as recorded; `by` is the file that says so."""

    name: str
    how: Literal["missing", "differs", "added"]
    by: str


def verify(folder: Path) -> tuple[Differs, ...]:
    """What is wrong with a record folder: a file changed, missing or added, by its list of digests or, in a revision, by its record.

    Empty when everything is as recorded. RecordError where there is no list of digests, or one that cannot be read.
    """
    folder = Path(folder)
    listed = _listed(folder / SUMS)
    present = {p.relative_to(folder).as_posix(): p for p in folder.rglob("*") if p.is_symlink() or not p.is_dir()}
    found = {name: hashlib.sha256(kept_bytes(path)).hexdigest() for name, path in sorted(present.items()) if name != SUMS}
    wrong = {d.name: d for d in _differences(found, listed, SUMS)}
    if (record := _recorded(folder / RECORD)) is not None:
        beside = {RECORD, f"{RECORD}{SIGNATURE}"}
        wrong |= {d.name: d for d in _differences({n: d for n, d in found.items() if n not in beside}, record, RECORD)}
    order = ("missing", "differs", "added")
    return tuple(sorted(wrong.values(), key=lambda d: (order.index(d.how) // 2, d.name)))


def _differences(found: Mapping[str, str], due: Mapping[str, str], by: str) -> Iterator[Differs]:
    for name in sorted(due):
        if name not in found:
            yield Differs(name, "missing", by)
        elif found[name] != due[name]:
            yield Differs(name, "differs", by)
    yield from (Differs(name, "added", by) for name in sorted(found.keys() - due.keys()))


def _listed(path: Path) -> dict[str, str]:
    no_pipe(path)
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise RecordError("sums-unreadable", file=str(path), reason=getattr(error, "strerror", None) or str(error)) from error
    listed = {}
    for count, line in enumerate(lines, 1):
        digest, gap, name = line.partition("  ")
        if len(digest) != 64 or not gap or not name or ".." in Path(name).parts or Path(name).is_absolute():
            raise RecordError("sums-line", file=str(path), line=count)
        listed[name] = digest
    return listed


def _recorded(path: Path) -> Mapping[str, str] | None:
    """The digests that the record of a revision holds, of whatever format it is; None where there is none."""
    if not path.is_file():
        return None
    try:
        files = json.loads(kept_bytes(path).decode("utf-8"))["files"]
        return {str(name): str(digest) for name, digest in files.items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise RecordError("record-damaged", file=str(path), reason=str(error)) from error
