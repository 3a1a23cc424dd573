"""The log of a site, log.yaml beside the profile: read strictly, each entry checked by its kind, its ids against the profile."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from docgen.check import check, declared
from docgen.frozen import frozen
from docgen.read import Problem, Source, read_profile
from docgen.site import Log, build_log
from docgen.site.forms import FORMS
from docgen.site.log import KINDS
from docgen.site.schema import entry_schema

__all__ = ["NAME", "Logbook", "read_log"]

NAME = "log.yaml"
ENTRY = re.compile(r"entries\[\d+\]")
ONE_LINE = "write each entry on a line of its own, in braces"


@frozen
class Logbook:
    """What was read: the problems, and the entries where there are none."""

    problems: tuple[Problem, ...] = ()
    log: Log = Log()


def read_log(folder: Path, profile: Source) -> Logbook:
    """The log of a site folder; an empty one where there is no file. Its ids are those of the profile, which has no problems."""
    path = folder / NAME
    if not path.is_file():
        return Logbook()
    source = read_profile(path)
    problems = tuple(sorted({*check(source, schema=_schema(source), elsewhere=declared(profile)), *_spread(source)}))
    return Logbook(problems) if problems else Logbook((), build_log(source))


def _schema(source: Source) -> dict[str, Any]:
    """A schema for just these entries, each by its kind: a fault is then told as one of that kind."""
    data = source.data if isinstance(source.data, dict) else {}
    entries = data.get("entries")
    kinds = [e.get("kind") if isinstance(e, dict) else None for e in (entries if isinstance(entries, list) else ())]
    return {
        "type": "object",
        "required": ["log", "entries"],
        "additionalProperties": False,
        "properties": {
            "log": {"description": "The number of the format of the log.", "examples": [1], "const": 1},
            "entries": {
                "description": "What happened, one line an entry.",
                "type": "array",
                "prefixItems": [entry_schema(k) if isinstance(k, str) and k in KINDS else _without_kind() for k in kinds],
            },
        },
        "$defs": FORMS,
    }


def _without_kind() -> dict[str, Any]:
    kind = {"description": "What kind of entry it is.", "examples": ["inspection"], "enum": list(KINDS)}
    return {"type": "object", "required": ["kind"], "properties": {"kind": kind}}


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
                Problem(source.file, mark.line, mark.column, at, "this entry does not stand on one line of its own", ONE_LINE)
            )
        before = last
    return found
