"""What a clause rests on: every profile field and calculated step that was read while it was being written."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from docgen.site import KEY_OF_FIELD, Node, Quantity
from docgen.units import Interval

__all__ = ["Clause", "Trace", "canonical", "clause_digest", "digest"]


@dataclass(frozen=True, slots=True)
class Clause:
    """One clause of a body. `inputs` are (path, canonical value), sorted; `cites` are the sources it names."""

    id: str
    text: str
    inputs: tuple[tuple[str, str], ...]
    cites: tuple[str, ...]


@dataclass(slots=True)
class Trace:
    """Reads of the clause being written; a stack, because a clause may call a macro that opens another scope."""

    reads: list[dict[str, str]] = field(default_factory=list)
    cites: list[list[str]] = field(default_factory=list)

    def read(self, owner: Node, name: str, value: Any) -> None:
        """Note a field read of `owner`; records and lists of records are noted when their own fields are read."""
        if not self.reads or name in ("path", "given") or (isinstance(value, Node) and not isinstance(value, Quantity)):
            return
        if callable(value) or (isinstance(value, tuple) and value and isinstance(value[0], Node)):
            return
        if isinstance(owner, Quantity):
            self.reads[-1][owner.path] = canonical(owner)
            return
        path = value.path if isinstance(value, Quantity) else f"{owner.path}.{KEY_OF_FIELD.get(name, name)}".lstrip(".")
        self.reads[-1][path] = canonical(value)

    def cite(self, key: str) -> None:
        if self.cites and key not in self.cites[-1]:
            self.cites[-1].append(key)

    def open(self) -> None:
        self.reads.append({})
        self.cites.append([])

    def close(self) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
        reads, cites = self.reads.pop(), self.cites.pop()
        return tuple(sorted(reads.items())), tuple(cites)


def canonical(value: Any) -> str:
    """One text for one value, the same on every machine and day.

    >>> canonical(None), canonical(True), canonical((1, "a"))
    ('-', 'true', '[1; a]')
    """
    match value:
        case None:
            return "-"
        case bool():
            return "true" if value else "false"
        case Quantity():
            return f"{value.si:.9g} {value.kind} ~{value.tolerance:.9g} {value.how or ''} {value.text}".strip()
        case date():
            return value.isoformat()
        case Interval():
            return value.text
        case float():
            return f"{value:.9g}"
        case tuple() | list():
            return "[" + "; ".join(canonical(v) for v in value) + "]"
        case dict():
            return "{" + "; ".join(f"{k}: {canonical(v)}" for k, v in sorted(value.items())) + "}"
        case _:
            return str(value)


def digest(document: str, language: str, clauses: tuple[Clause, ...], markdown: str) -> str:
    """SHA-256 of canonical (document, language, clause id, text), the traced inputs and the headings, as 64 hex digits."""
    rows = [[document, language, c.id, " ".join(c.text.split()), [list(i) for i in c.inputs]] for c in clauses]
    headings = [line for line in markdown.splitlines() if line.startswith("#")]
    text = json.dumps([rows, headings], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def clause_digest(document: str, language: str, clause: Clause) -> str:
    """SHA-256 of one clause: canonical (document, language, id, text) and its traced inputs, as 64 hex digits."""
    row = [document, language, clause.id, " ".join(clause.text.split()), [list(i) for i in clause.inputs]]
    text = json.dumps(row, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
