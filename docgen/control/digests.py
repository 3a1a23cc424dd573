"""Digests of what a revision rests on, and folders of a record with a list of digests that other tools can check."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Literal

from docgen.errors import RecordError
from docgen.frozen import frozen
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
    """A file of a record folder that is not as recorded."""

    name: str
    how: Literal["missing", "differs", "added"]


def verify(folder: Path) -> tuple[Differs, ...]:
    """What is wrong with a record folder: a file changed, missing or added. Empty when everything is as recorded.

    RecordError where there is no list of digests, or one that cannot be read.
    """
    path = Path(folder) / SUMS
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise RecordError("sums-unreadable", file=str(path), reason=getattr(error, "strerror", None) or str(error)) from error
    wrong: list[Differs] = []
    listed = set()
    for count, line in enumerate(lines, 1):
        digest, gap, name = line.partition("  ")
        if len(digest) != 64 or not gap or not name or ".." in Path(name).parts or Path(name).is_absolute():
            raise RecordError("sums-line", file=str(path), line=count)
        listed.add(name)
        file = Path(folder) / name
        if not file.is_file():
            wrong.append(Differs(name, "missing"))
        elif hashlib.sha256(file.read_bytes()).hexdigest() != digest:
            wrong.append(Differs(name, "differs"))
    present = {p.relative_to(folder).as_posix() for p in Path(folder).rglob("*") if p.is_file()}
    wrong += [Differs(name, "added") for name in sorted(present - listed - {SUMS})]
    return tuple(wrong)
