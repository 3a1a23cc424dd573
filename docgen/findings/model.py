"""A finding and its values, and the assessment: the numbers with everything that was found wrong with them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from docgen.engineering.model import Numbers
from docgen.frozen import frozen
from docgen.site import Handling, record

if TYPE_CHECKING:
    from docgen.codes.binding import BindingRules, Governs

__all__ = ["Assessment", "Basis", "Figure", "Finding", "Terms"]


@frozen
class Figure:
    """A number in a message: SI value, kind, and the unfavourable way to round it (up, down, nearest)."""

    si: float
    kind: str
    toward: str


@frozen
class Terms:
    """Names of profile fields or values in a message; the words of each language say them as a reader does."""

    keys: tuple[str, ...]


@frozen
class Basis:
    """What a finding rests on. `kind` is law, standard, practice or site-rule; `basis` is read, memory or none."""

    kind: str
    citation: str
    basis: str


@frozen
class Finding:
    """One fault at one place. `values` are typed; the words files hold the sentences."""

    name: str
    severity: str
    stops: str
    documents: tuple[str, ...]
    path: str
    line: int | None
    values: Mapping[str, Figure | Terms | date | int | str]
    basis: Basis
    handled: Handling | None = None


@record
class Assessment(Numbers):
    """The numbers, and everything found wrong on one day.

    `binding` is the law with everything else that binds the site, `rulings` the questions on which more than the law speaks.
    """

    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...]
    rulings: tuple[Governs, ...]
    binding: BindingRules
