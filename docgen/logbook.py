"""The log of a site, log.yaml beside the profile: read strictly, each entry checked by its kind, its ids against the profile."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from docgen.check import EntriesSchema, Ids, Schema, check, declared, measured
from docgen.frozen import frozen
from docgen.read import Mark, Problem, Source, left_out, read_profile, read_text
from docgen.site.forms import FORMS
from docgen.site.log import KINDS, mark_of
from docgen.site.retired import COLLECTIONS
from docgen.site.schema import entry_schema

__all__ = ["NAME", "Logbook", "appended", "figures_of", "log_form", "read_log", "read_log_text", "said_of", "scalar"]

FIRST = "'log: 1'"  # how it begins
NAME = "log.yaml"
NEAR = re.compile(r"\.?log\.ya?ml(?:\.txt)?", re.IGNORECASE)  # names that are taken for it
HEAD = "log: 1\nentries:"
LAST = re.compile(r"(?m)^( *)- ")
EMPTY = re.compile(r"(?m)^entries:[ ]*\[[ ]*\]")
PLAIN = re.compile(r"[A-Za-z](?:[A-Za-z0-9 ._/()-]*[A-Za-z0-9._/()])?|[0-9]+(?:\.[0-9]+)? [A-Za-z]+")
NOT_TEXT = ("on", "off", "yes", "no", "true", "false", "null", "y", "n")
ENTRY = re.compile(r"entries\[\d+\]")
NAMES = "write the mark of that entry; with its line number in this place you are told the mark"
AGAIN = "enter again, on a line of its own, what it took back"
LIFT = "end the hold by name and reason"
ONE_LINE = "write each entry on a line of its own, in braces"


@frozen
class Logbook:
    """What was read: the problems, and the source where there are none, with the mark of each entry."""

    problems: tuple[Problem, ...] = ()
    source: Source | None = None
    marks: tuple[str, ...] = ()


def read_log(folder: Path, profile: Source, frozen_with: Path | None = None, ids: Ids | None = None) -> Logbook:
    """The log of a site folder; an empty one where there is no file. Its ids are those of the profile, which has no problems (`ids`, where somebody has them).

    `frozen_with` is the folder of the newest revision: the log must begin with the one that lies there. Those entries were
    checked when it was issued, and may speak of what has left the profile since.
    """
    path = folder / NAME
    if path.is_file():
        return _read(read_profile(path, FIRST), profile, frozen_with, ids)
    if (wrong := left_out(path, NEAR)) is not None:
        return Logbook((wrong,))
    if frozen_with is not None:
        before, missing = _frozen(frozen_with)
        if missing is not None or before:
            return Logbook((missing or _gone(path, frozen_with),))
    return Logbook()


def read_log_text(text: str, folder: Path, profile: Source, frozen_with: Path | None = None) -> Logbook:
    """The same of a text that is not yet in the file."""
    return _read(read_text(text, str(folder / NAME), FIRST), profile, frozen_with)


def _read(source: Source, profile: Source, frozen_with: Path | None, ids: Ids | None = None) -> Logbook:
    before, missing = _frozen(frozen_with) if frozen_with is not None else ([], None)
    entries = _entries(source)
    found = {
        *check(
            source, schema=log_form(entries, len(before)), elsewhere=_known(profile, declared(profile) if ids is None else ids)
        ),
        *_spread(source),
        *_of_nothing(source, entries),
    }
    if frozen_with is not None:
        found |= {missing} if missing is not None else set(_rewritten(source, entries, before, frozen_with))
    if found:
        return Logbook(tuple(sorted(found)))
    return Logbook((), source, tuple(mark_of(entry) for entry in entries))


def figures_of(source: Source) -> dict[str, tuple[str, str]]:
    """Path -> kind and words of each figure with a unit that the entries of a log hold."""
    return measured(source, schema=log_form(_entries(source), 0))


def appended(text: str, entry: Mapping[str, Any]) -> str:
    """The text of a log with one more entry at its end, on a line of its own; an empty text is a log without entries."""
    line = scalar(entry)
    end = "\r\n" if "\r\n" in text else "\n"
    head = text.rstrip()
    if not head:
        return f"{HEAD}\n  - {line}\n"
    begun = LAST.findall(head)
    if not begun:
        head = EMPTY.sub("entries:", head)
    indent = begun[-1] if begun else "  "
    return f"{head}{end}{indent}- {line}{end}"


def scalar(value: Any) -> str:
    """A value on one line of YAML that any reader takes for just this."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return f"[{', '.join(scalar(v) for v in value)}]"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {scalar(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, int | float) or (PLAIN.fullmatch(value) and value.casefold() not in NOT_TEXT):
        return str(value)
    return json.dumps(value, ensure_ascii=False)


def _entries(source: Source) -> list[Any]:
    entries = source.data.get("entries") if isinstance(source.data, dict) else None
    return entries if isinstance(entries, list) else []


def _frozen(folder: Path) -> tuple[list[Any], Problem | None]:
    """The entries frozen with a revision; and what is wrong where they cannot be read, so that nothing can be held against them."""
    path = folder / NAME
    if path.is_file():
        source = read_profile(path)
        if not source.problems and isinstance(source.data, dict) and isinstance(source.data.get("entries"), list | None):
            return _entries(source), None
    elif not _was_frozen(folder):
        return [], None
    told = f"the log that was frozen with {folder.name} cannot be read, so nobody can see whether this one begins with it"
    return [], Problem(str(path), 1, 1, "", told, "put the file back from a copy; a record is never edited")


def _was_frozen(folder: Path) -> bool:
    """Whether the record of a revision lists a log; a record that cannot be read is told when the records are read."""
    try:
        files = json.loads((folder / "record.json").read_bytes())["files"]
    except (OSError, ValueError, LookupError, TypeError):
        return False
    return isinstance(files, dict) and NAME in files


def _gone(path: Path, frozen_with: Path) -> Problem:
    return Problem(str(path), 1, 1, "", f"the log is gone that was frozen with {frozen_with.name}", _back(frozen_with))


def _back(frozen_with: Path) -> str:
    return f"put the lines of issued/{frozen_with.name}/{NAME} back as they were; what was wrong is taken back by a correction"


def _rewritten(source: Source, entries: list[Any], before: list[Any], frozen_with: Path) -> Iterator[Problem]:
    """Every place at which the log does not begin with the one that was frozen: what was altered, is gone, was put in between or moved."""
    now, then = [mark_of(e) for e in entries], [mark_of(e) for e in before]
    with_it, at, old = frozen_with.name, 0, 0
    while old < len(then):
        named = f"entry {old + 1} ({said_of(before[old])})"
        if at < len(now) and now[at] == then[old]:
            at, old = at + 1, old + 1
        elif at < len(now) and now[at] not in then and then[old] in now[at:]:
            told = f"this entry is new and stands among those that were frozen with {with_it}"
            yield _at(source, at, told, f"move its line below the others, to the end of {NAME}")
            at += 1
        elif at < len(now) and now[at] not in then:
            told = f"{named} is not as it was frozen with {with_it}{_differing(before[old], entries[at])}"
            yield _at(source, at, told, _back(frozen_with))
            at, old = at + 1, old + 1
        elif then[old] not in now[at:]:
            yield _at(source, at, f"{named} was frozen with {with_it} and is gone", _back(frozen_with))
            old += 1
        else:
            yield _at(source, at, f"{named} does not stand where it was frozen with {with_it}", _back(frozen_with))
            return


def _at(source: Source, at: int, message: str, hint: str) -> Problem:
    """A problem of an entry; of the list where there are not so many."""
    mark = source.marks.get(f"entries[{at}]") or source.marks.get("entries") or Mark(1, 1, 1, 1)
    return Problem(source.file_of(mark), mark.line, mark.column, f"entries[{at}]", message, hint)


def said_of(entry: Any) -> str:
    """An entry in a few words, for somebody who looks for it: what it is, its day, who wrote it, and its mark.

    >>> said_of({"kind": "kit", "on": "2026-10-01", "by": "D. Sorensen", "kit": "K-1", "whole": True})
    "kit of 2026-10-01 by D. Sorensen, mark 'fdda41fd'"
    """
    if not isinstance(entry, dict):
        return "no group of keys"
    return (
        f"{entry.get('kind', 'no kind')} of {entry.get('on', 'no day')} by {entry.get('by', 'nobody')}, mark '{mark_of(entry)}'"
    )


def _differing(old: Any, new: Any) -> str:
    """Which keys of an entry say something else, in the order of the old one."""
    if not (isinstance(old, dict) and isinstance(new, dict)):
        return ""
    keys = [key for key in dict.fromkeys((*old, *new)) if old.get(key) != new.get(key)]
    return f": {', '.join(keys)}"


def log_form(entries: list[Any], frozen: int) -> EntriesSchema:
    """A schema for just these entries, each by its kind: a fault is then told as one of that kind. The first `frozen` refer to nothing."""
    kinds = [e.get("kind") if isinstance(e, dict) else None for e in entries]
    return EntriesSchema(
        {
            "type": "object",
            "required": ["log", "entries"],
            "additionalProperties": False,
            "properties": {
                "log": {"description": "The number of the format of the log.", "examples": [1], "const": 1},
                "entries": {"description": "What happened, one line an entry.", "type": "array"},
            },
            "$defs": FORMS,
        },
        "entries",
        [_of_kind(k if isinstance(k, str) and k in KINDS else "", n < frozen) for n, k in enumerate(kinds)],
    )


@cache
def _of_kind(kind: str, frozen: bool) -> Schema:
    node = entry_schema(kind) if kind else _without_kind()
    return Schema({**(_unbound(node) if frozen else node), "$defs": FORMS})


def _unbound(node: Any) -> Any:
    """A schema without what ties ids to the profile."""
    if isinstance(node, dict):
        return {key: _unbound(inner) for key, inner in node.items() if key != "refers_to"}
    return [_unbound(inner) for inner in node] if isinstance(node, list) else node


def _without_kind() -> dict[str, Any]:
    kind = {"description": "What kind of entry it is.", "examples": ["inspection"], "enum": list(KINDS)}
    return {"type": "object", "required": ["kind"], "properties": {"kind": kind}}


def _of_nothing(source: Source, entries: list[Any]) -> Iterator[Problem]:
    """Entries that take back or close one that does not stand before them, and corrections of a correction.

    Nobody works out a mark by hand: where the line of the entry stands in its place, the mark is told.
    """
    before: dict[str, str] = {}  # mark -> kind
    on_line: dict[str, str] = {}  # line -> mark
    for at, entry in enumerate(entries):
        if not isinstance(entry, dict):
            continue
        path, named = f"entries[{at}].entry", str(entry.get("entry", ""))
        if entry.get("kind") in ("correction", "done") and named:
            mark = source.marks[path]
            if named not in before:
                line = named.removeprefix("line").strip()
                hint = f"the entry on line {line} has the mark '{on_line[line]}'" if line in on_line else NAMES
                yield Problem(source.file_of(mark), mark.line, mark.column, path, f"no entry above has the mark '{named}'", hint)
            elif before[named] == "hold" and entry["kind"] == "correction":
                yield Problem(
                    source.file,
                    mark.line,
                    mark.column,
                    path,
                    f"the entry '{named}' is a hold, and a hold is not taken back",
                    LIFT,
                )
            elif before[named] == "correction":
                told = f"the entry '{named}' is a correction, and a correction is not taken back"
                yield Problem(source.file_of(mark), mark.line, mark.column, path, told, AGAIN)
        before[mark_of(entry)] = str(entry.get("kind"))
        on_line[str(source.marks[f"entries[{at}]"].line)] = mark_of(entry)


def _known(profile: Source, ids: Ids) -> dict[str, list[str]]:
    """The ids of the profile by collection, those of what is retired among them: the past of a thing stays in the log."""
    found = {name: list(some) for name, some in ids.items()}
    rows = profile.data.get("retired", []) if isinstance(profile.data, dict) else []
    for row in rows if isinstance(rows, list) else []:
        if isinstance(row, dict) and row.get("of") in COLLECTIONS:
            found.setdefault(COLLECTIONS[row["of"]], []).append(str(row.get("id")))
    return found


def _spread(source: Source) -> list[Problem]:
    """Entries that do not stand each on a line of its own: by lines the entries of two editors are merged."""
    last_line: dict[str, int] = {}
    for path, mark in source.marks.items():
        if match := ENTRY.match(path):
            last_line[match[0]] = max(mark.line, last_line.get(match[0], 0))
    found, before = [], 0
    for at, last in last_line.items():
        mark = source.marks[at]
        if mark.line == before or last > mark.line:
            found.append(
                Problem(
                    source.file_of(mark), mark.line, mark.column, at, "this entry does not stand on one line of its own", ONE_LINE
                )
            )
        before = last
    return found
