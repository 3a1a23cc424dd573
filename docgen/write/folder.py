"""Puts the documents of one site into its folder: all of them are made first, then moved into place one by one."""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from docgen import __version__
from docgen.errors import Refusal, WriteError
from docgen.papers import outline
from docgen.write.edits import differences

if TYPE_CHECKING:
    from docgen.checked import Assessed
    from docgen.compose.document import Document
    from docgen.compose.pieces import Body
    from docgen.write.base import Rendered

__all__ = ["TYPES", "Made", "Written", "place_papers", "possible", "write_all"]

TYPES = ("md", "html", "docx", "pdf")
NOTHING: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Written:
    """`files` are the paths written, in order; `notes` are one-line remarks for the user, those of our own by name; `documents` are what was written.

    `changed` are those of the files that were not there before as they are now.
    """

    folder: Path
    files: tuple[Path, ...]
    notes: tuple[str | Refusal, ...]
    documents: tuple[Document, ...] = ()
    changed: tuple[Path, ...] = ()


class Made:
    """What was written of each document, so that one that is as it was is not written a second time."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str, str], tuple[str, Rendered]] = {}

    def rendered(self, document: Document, kind: str) -> Rendered:
        """The file of a type, of a document; as it was written before where the document is the same."""
        from docgen.write import WRITERS

        key = (document.name, document.language, kind)
        before = self._kept.get(key)
        if before is None or before[0] != document.print:
            before = self._kept[key] = (document.print, WRITERS[kind](document))
        return before[1]


def possible(types: tuple[str, ...]) -> tuple[str, ...]:
    """The types that can be written on this machine: PDF needs its library."""
    return tuple(t for t in types if t != "pdf" or importlib.util.find_spec("typst") is not None)


def write_all(
    documents: tuple[tuple[Document, Body], ...],
    checked: Assessed,
    into: Path,
    types: tuple[str, ...],
    there: Mapping[str, str] = NOTHING,
    made: Made | None = None,
) -> Written:
    """Write `into/<site id>/<document>[.<language>].<type>`, index.html and build.json; `<document>` bears the bay or kind that it is about.

    A paper that is kept apart goes into `into/<site id>.<ending>/`, with a build.json of its own. A file that somebody changed after
    docgen wrote it is kept as `<name>.edited.<type>` and said in the notes. `there` are prints of documents by name and language: one whose
    files of that print lie in the folder is not written again; `made` is what this process wrote of them before. Refusal if a folder cannot be written.
    """
    made = made or Made()
    folders: dict[str, list[tuple[Document, Body]]] = {"": []}
    for document, body in documents:
        folders.setdefault(outline(document.name).apart or "", []).append((document, body))
    written = [
        _write_folder(tuple(own), checked, into / ".".join(filter(None, (checked.site.site.id, apart))), types, there, made)
        for apart, own in folders.items()
    ]
    files, notes = (f for w in written for f in w.files), (n for w in written for n in w.notes)
    changed = tuple(path for w in written for path in w.changed)
    return Written(written[0].folder, tuple(files), tuple(notes), tuple(document for document, _ in documents), changed)


def _write_folder(
    documents: tuple[tuple[Document, Body], ...],
    checked: Assessed,
    folder: Path,
    types: tuple[str, ...],
    there: Mapping[str, str],
    made: Made,
) -> Written:
    from docgen.compose.frame import file_stem
    from docgen.write.pdf import PdfUnavailable

    languages = tuple(dict.fromkeys(b.language for _, b in documents))
    contents: dict[str, bytes] = {}
    notes: list[str | Refusal] = []
    old = _old_build(folder)
    for document, body in documents:
        shown = outline(document.name)
        stem = file_stem(document.name, body.language, languages)
        same = there.get(f"{document.name} {document.language}") == document.print
        for kind in shown.endings(shown.types if shown.circle == "page" else types):
            if same and _as_written(folder / f"{stem}.{kind}", old):
                continue
            try:
                rendered = made.rendered(document, kind)
            except PdfUnavailable as missing:
                if str(missing) not in notes:
                    notes.append(str(missing))
                continue
            contents[f"{stem}.{kind}"] = rendered.data
            notes.extend(f"{stem}.{kind}: {note}" for note in rendered.notes)
    # what an earlier render of other documents or types left here is still ours
    kept = {name: digest for name, digest in old.items() if name not in contents and (folder / name).is_file()}
    contents["build.json"] = _build_record(documents, checked, contents, kept)
    before, name = _old_name(folder), checked.site.site.name
    if before is not None and name is not None and before != name:  # two sites of one id, or one site that got another name
        notes.append(Refusal("folder-of-another-name", folder=folder.name, before=before, name=name))
    return _place(folder, contents, old, notes, checked.happened.held is not None)


def place_papers(folder: Path, contents: dict[str, bytes], held: bool = False) -> Written:
    """Put other papers into a folder under the same care for hand edits; their digests are kept in its build.json."""
    old = _old_build(folder)
    kept = {name: digest for name, digest in old.items() if name not in contents and (folder / name).is_file()}
    files = dict(sorted((kept | {name: hashlib.sha256(data).hexdigest() for name, data in contents.items()}).items()))
    record = json.dumps({"schema_version": 1, "program": __version__, "files": files}, indent=2, ensure_ascii=False) + "\n"
    return _place(folder, {**contents, "build.json": record.encode("utf-8")}, old, [], held)


def _build_record(
    documents: tuple[tuple[Document, Body], ...], checked: Assessed, contents: dict[str, bytes], kept: dict[str, str]
) -> bytes:
    record = {
        "schema_version": 1,
        "program": __version__,
        "site": checked.site.site.id,
        "name": checked.site.site.name,
        "as_of": checked.as_of.isoformat(),
        "profile_sha256": hashlib.sha256(checked.source.whole.encode("utf-8")).hexdigest(),
        **_look_record(checked),
        "documents": [
            {"document": d.name, "language": b.language, "digest": b.digest or None, "clauses": len(b.clauses)}
            for d, b in documents
        ],
        "files": dict(sorted((kept | {name: hashlib.sha256(data).hexdigest() for name, data in contents.items()}).items())),
    }
    return (json.dumps(record, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def _look_record(checked: Assessed) -> dict[str, object]:
    """The digest of each file of the client's look, so that another one is seen where the profile is the same."""
    files = checked.look.files or {}
    return {"look_sha256": {name: hashlib.sha256(data).hexdigest() for name, data in sorted(files.items())}} if files else {}


def _old_build(folder: Path) -> dict[str, str]:
    """File -> digest of what was written there before; nothing is known where that record is missing or not readable."""
    path = folder / "build.json"
    try:
        files = json.loads(path.read_text(encoding="utf-8"))["files"] if path.is_file() else {}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}
    return {name: digest for name, digest in files.items() if isinstance(digest, str)} if isinstance(files, dict) else {}


def _old_name(folder: Path) -> str | None:
    """The name of the site whose papers lie in the folder; None where nobody knows."""
    path = folder / "build.json"
    try:  # a pipe would keep us waiting for whoever writes into it
        name = json.loads(path.read_text(encoding="utf-8")).get("name") if path.is_file() else None
    except (OSError, ValueError, AttributeError, RecursionError):
        return None
    return name if isinstance(name, str) else None


def _as_written(target: Path, old: Mapping[str, str]) -> bool:
    """Whether a file is there just as it was written: one that somebody edited is not."""
    return target.name in old and target.is_file() and hashlib.sha256(target.read_bytes()).hexdigest() == old[target.name]


def _place(
    folder: Path, contents: dict[str, bytes], old: dict[str, str], notes: list[str | Refusal], held: bool = False
) -> Written:
    changed = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in contents.items():
            target = folder / name
            if target.is_file() and not target.is_symlink() and target.read_bytes() == data:
                continue
            known = None if held and name != "index.html" else old.get(name)  # a hold keeps papers; the site page is none
            if _edited(target, known, data):
                notes.append(_keep(target, data, by_hand=_edited(target, old.get(name), data)))
            _write(target, data)
            changed.append(target)
    except OSError as error:
        raise Refusal("folder-not-writable", folder=str(folder), reason=error.strerror or str(error)) from error
    return Written(folder, tuple(folder / name for name in contents), tuple(notes), changed=tuple(changed))


def _edited(target: Path, known: str | None, data: bytes) -> bool:
    """True if the file there is neither what docgen wrote last nor what it is about to write."""
    if not target.is_file() or target.name == "build.json":
        return False
    current = target.read_bytes()
    return current != data and hashlib.sha256(current).hexdigest() != known


def _keep(target: Path, data: bytes, by_hand: bool) -> Refusal:
    """Set a file aside under a free name and say so; what was changed by hand is listed beside it."""
    if not by_hand:  # a hold: nothing that was written is overwritten
        kept = _free_name(target, "kept")
        _aside(target, kept)
        return Refusal("kept-on-hold", file=target.name, kept=kept.name)
    kept = _free_name(target, "edited")
    listed = differences(target.read_bytes(), data, target.suffix[1:])
    _aside(target, kept)
    if not listed:
        return Refusal("kept-edited", file=target.name, kept=kept.name)
    listing = kept.with_name(f"{kept.name}.differences.txt")
    _write(listing, ("\n".join(listed) + "\n").encode("utf-8"))
    if len(listed) == 1:
        return Refusal("kept-edited-one-line", file=target.name, kept=kept.name, listing=listing.name)
    return Refusal("kept-edited-lines", file=target.name, kept=kept.name, count=len(listed), listing=listing.name)


def _aside(target: Path, kept: Path) -> None:
    """Give a file a second name, so that at no point it has none; renamed where the system knows no links."""
    try:
        os.link(target, kept)
    except OSError:
        target.rename(kept)


def _free_name(target: Path, word: str) -> Path:
    for count in range(1, 10000):
        suffix = word if count == 1 else f"{word}-{count}"
        candidate = target.with_name(f"{target.stem}.{suffix}{target.suffix}")
        if not candidate.exists():
            return candidate
    raise WriteError(f"too many kept copies of {target.name}; move them elsewhere")


def _write(target: Path, data: bytes) -> None:
    """Atomic: a crash leaves the old file or the new one. Who may read it is for the umask to say."""
    name = target.parent / f".{target.name}.{secrets.token_hex(8)}"
    try:
        with os.fdopen(os.open(name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(name, target)
    except BaseException:
        name.unlink(missing_ok=True)
        raise
