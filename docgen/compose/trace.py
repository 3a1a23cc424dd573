"""What a clause rests on: every profile field and calculated step that was read while it was being written."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from datetime import date

from docgen.site import KEY_OF_FIELD, Node, Quantity, Site
from docgen.units import Interval

__all__ = ["Clause", "Trace", "canonical", "clause_digest", "digest"]


EVIDENCE = ("by", "on")  # of a quantity: not in its canonical text, so noted where they are read


@dataclass(frozen=True, slots=True)
class Clause:
    """One clause of a body. `inputs` are (path, canonical value), sorted; `cites` are the sources it names."""

    id: str
    text: str
    inputs: tuple[tuple[str, str], ...]
    cites: tuple[str, ...]


@dataclass(slots=True)
class Trace:
    """What is read while one clause is being written; outside a clause nothing is noted."""

    writing: bool = False
    reads: dict[tuple[str, str], object] = field(default_factory=dict)
    cites: dict[str, None] = field(default_factory=dict)

    def read(self, owner: Node, name: str, value: object) -> None:
        """Note a field read of `owner`; records and lists of records are noted when their own fields are read."""
        if not self.writing or name in ("path", "given") or callable(value):
            return
        if isinstance(owner, Quantity):
            self.reads[(owner.path, name) if name in EVIDENCE else (owner.path, "")] = value if name in EVIDENCE else owner
        elif isinstance(value, Node):
            if isinstance(value, Quantity):
                self.reads[value.path, ""] = value
        elif name == "country" and isinstance(owner, Site):
            self.reads[owner.site.path, "jurisdiction"] = owner.site.jurisdiction
        elif not (isinstance(value, tuple) and value and isinstance(value[0], Node)):
            self.reads[owner.path, name] = value

    def note(self, path: str, value: object) -> None:
        """Note something that is no field: what is said elsewhere in the document, for one."""
        if self.writing:
            self.reads[path, ""] = value

    def cite(self, key: str) -> None:
        """Note a source that the clause being written names."""
        if self.writing:
            self.cites[key] = None

    def open(self) -> None:
        """A clause begins."""
        self.writing, self.reads, self.cites = True, {}, {}

    def close(self) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
        """The clause ends: its inputs (path, canonical value), sorted, and its sources in the order of their naming."""
        self.writing = False
        inputs = {_path(owner, name): canonical(value) for (owner, name), value in self.reads.items()}
        return tuple(sorted(inputs.items())), tuple(self.cites)


def _path(owner: str, name: str) -> str:
    return f"{owner}.{KEY_OF_FIELD.get(name, name)}".lstrip(".") if name else owner


def canonical(value: object) -> str:
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
