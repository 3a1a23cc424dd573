"""Puts the documents of one site into its folder: all of them are made first, then moved into place one by one."""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from docgen import __version__
from docgen.errors import WriteError

if TYPE_CHECKING:
    from docgen.compose.compose import Body
    from docgen.compose.document import Document

__all__ = ["TYPES", "Written", "possible", "write_all"]

TYPES = ("md", "html", "docx", "pdf")


@dataclass(frozen=True, slots=True)
class Written:
    """`files` are the paths written, in order; `notes` are one-line remarks for the user."""

    folder: Path
    files: tuple[Path, ...]
    notes: tuple[str, ...]


def possible(types: tuple[str, ...]) -> tuple[str, ...]:
    """The types that can be written on this machine: PDF needs its library."""
    return tuple(t for t in types if t != "pdf" or importlib.util.find_spec("typst") is not None)


def write_all(documents: tuple[tuple[Document, Body], ...], checked: Any, into: Path, types: tuple[str, ...]) -> Written:
    """Write `into/<site id>/<document>[.<language>].<type>`, index.html and build.json.

    A file that somebody changed after docgen wrote it is kept as `<name>.edited.<type>` and said in the notes.
    Raises WriteError if the folder cannot be written.
    """
    from docgen.compose.frame import file_stem
    from docgen.compose.outline import outline
    from docgen.write import WRITERS
    from docgen.write.pdf import PdfUnavailable

    folder = into / checked.site.site.id
    languages = tuple(dict.fromkeys(b.language for _, b in documents))
    contents: dict[str, bytes] = {}
    notes: list[str] = []
    for document, body in documents:
        stem = file_stem(document.name, body.language, languages)
        for kind in outline(document.name).types:
            if kind not in types and document.name != "index":
                continue
            try:
                rendered = WRITERS[kind](document)
            except PdfUnavailable as missing:
                if str(missing) not in notes:
                    notes.append(str(missing))
                continue
            contents[f"{stem}.{kind}"] = rendered.data
            notes.extend(f"{stem}.{kind}: {note}" for note in rendered.notes)
    old = _old_build(folder)
    # what an earlier render of other documents or types left here is still ours
    kept = {name: digest for name, digest in old.items() if name not in contents and (folder / name).is_file()}
    contents["build.json"] = _build_record(documents, checked, contents, kept)
    return _place(folder, contents, old, notes)


def _build_record(documents, checked, contents: dict[str, bytes], kept: dict[str, str]) -> bytes:
    record = {
        "schema_version": 1,
        "program": __version__,
        "site": checked.site.site.id,
        "as_of": checked.as_of.isoformat(),
        "profile_sha256": hashlib.sha256(checked.source.text.encode("utf-8")).hexdigest(),
        "documents": [
            {"document": d.name, "language": b.language, "digest": b.digest, "clauses": len(b.clauses)} for d, b in documents
        ],
        "files": dict(sorted((kept | {name: hashlib.sha256(data).hexdigest() for name, data in contents.items()}).items())),
    }
    return (json.dumps(record, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def _old_build(folder: Path) -> dict[str, str]:
    try:
        return json.loads((folder / "build.json").read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError):
        return {}


def _place(folder: Path, contents: dict[str, bytes], old: dict[str, str], notes: list[str]) -> Written:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in contents.items():
            target = folder / name
            if _edited(target, old.get(name), data):
                kept = _free_name(target)
                target.rename(kept)
                notes.append(f"{name} was changed by hand since it was written; it is kept as {kept.name}")
            _write(target, data)
    except OSError as error:
        raise WriteError(f"cannot write into {folder}: {error.strerror or error}; choose another folder with --into") from error
    return Written(folder, tuple(folder / name for name in contents), tuple(notes))


def _edited(target: Path, known: str | None, data: bytes) -> bool:
    """True if the file there is neither what docgen wrote last nor what it is about to write."""
    if not target.exists() or target.name in ("build.json", "index.html"):
        return False
    current = target.read_bytes()
    return current != data and hashlib.sha256(current).hexdigest() != known


def _free_name(target: Path) -> Path:
    for count in range(1, 10000):
        suffix = "edited" if count == 1 else f"edited-{count}"
        candidate = target.with_name(f"{target.stem}.{suffix}{target.suffix}")
        if not candidate.exists():
            return candidate
    raise WriteError(f"too many kept copies of {target.name}; move them elsewhere")


def _write(target: Path, data: bytes) -> None:
    """Atomic: a crash leaves the old file or the new one."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, 0o644)
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
