"""The canonical form of what is digested, and the digests of clauses and texts: the one place where their form is decided.

An approval and a revision hold the number of this form. Whoever changes what any function here gives for the same input
raises `DIGEST_FORMAT`: then what was approved before is told as digested in another way, and not as changed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any

from docgen.records import Clause
from docgen.site import Quantity
from docgen.units import Interval

__all__ = [
    "DIGEST_FORMAT",
    "canonical",
    "canonical_text",
    "clause_digest",
    "headings",
    "headings_digest",
    "sealed",
    "short_digest",
    "text_digest",
]

#: Part of everything that is digested.
DIGEST_FORMAT = 2


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


def short_digest(digest: str) -> str:
    """The first twelve signs of a digest in fours.

    >>> short_digest("58b09853fc00aa")
    '58b0 9853 fc00'
    """
    return " ".join(digest[at : at + 4] for at in range(0, 12, 4))


def canonical_text(text: str) -> str:
    """The words of a text without the way its lines are broken.

    >>> canonical_text("Stop every\\n  vehicle. ")
    'Stop every vehicle.'
    """
    return " ".join(text.split())


def _row(document: str, language: str, clause: Clause) -> list[object]:
    return [document, language, clause.id, canonical_text(clause.text), [list(i) for i in clause.inputs]]


def _hashed(*parts: object) -> str:
    text = json.dumps([DIGEST_FORMAT, *parts], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def clause_digest(document: str, language: str, clause: Clause) -> str:
    """SHA-256 of one clause: form number, document, language, id, canonical text and its traced inputs, as 64 hex digits."""
    return _hashed(*_row(document, language, clause))


def text_digest(document: str, language: str, clauses: Iterable[Clause], heads: list[str]) -> str:
    """SHA-256 of a whole text: form number, the rows of all clauses as `clause_digest` has them, and `headings`."""
    return _hashed([_row(document, language, c) for c in clauses], heads)


def headings_digest(heads: list[str]) -> str:
    """SHA-256 of `headings`: form number and the lines."""
    return _hashed(heads)


def headings(markdown: str, *above: str) -> list[str]:
    """The lines that stand outside of the clauses: what is printed over the text, and the headings in it."""
    return [*above, *(line for line in markdown.splitlines() if line.startswith("#"))]


def sealed(clause: Clause, document: str, language: str, section: str) -> Clause:
    """A clause with its section and its digest."""
    return replace(clause, section=section, digest=clause_digest(document, language, clause))
