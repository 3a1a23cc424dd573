"""A finding and its values, and the assessment: the numbers with everything that was found wrong with them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date
from typing import TYPE_CHECKING, Literal

from docgen.codes.model import Basis as Read
from docgen.engineering.model import Due, Numbers
from docgen.frozen import frozen
from docgen.site import Handling, Node, record

if TYPE_CHECKING:
    from docgen.codes.binding import BindingRules, Governs

__all__ = [
    "Assessment",
    "Basis",
    "BasisKind",
    "BayClosure",
    "BayReason",
    "BayState",
    "Figure",
    "Finding",
    "Phrase",
    "Reason",
    "Severity",
    "Stops",
    "Terms",
    "Toward",
    "Usual",
    "Value",
]


PROFILE, LOG = "profile.yaml", "log.yaml"

Severity = Literal["must-fix", "fix-soon", "advice"]
Stops = Literal["issue", "use", "nothing"]


Toward = Literal["up", "down", "nearest", "way"]


@frozen
class Figure:
    """A number in a message: SI value, kind, and the unfavourable way to round it; `way`: a way out, told in a word where nothing is left.

    `text` and `unit` are those of a figure that the profile writes; it is printed as it is written.
    """

    si: float
    kind: str
    toward: Toward
    text: str = ""
    unit: str = ""


@frozen
class Terms:
    """Names of profile fields or values in a message; the words of each language say them as a reader does."""

    keys: tuple[str, ...]


@frozen
class Usual:
    """What a figure of the trade is, by its name in trade/practice.yaml."""

    name: str


@frozen
class Phrase:
    """A value that is said in words: a key into `values` of the words files, with what stands in its places."""

    key: str
    values: tuple[tuple[str, Value], ...] = ()


Value = Figure | Terms | Usual | Phrase | date | int | str
BasisKind = Literal["law", "standard", "advice", "practice", "site-rule"]
BasisSaid = Literal["", "practice", "figure-not-of-law", "site-rule"]


@frozen
class Basis:
    """What a finding rests on: a text that is cited, or, without a citation, what the words of each language say under `said`."""

    kind: BasisKind
    citation: str
    basis: Read
    said: BasisSaid = ""


@frozen
class Finding:
    """One fault at one place. `values` are typed; the words files hold the sentences."""

    name: str
    severity: Severity
    stops: Stops
    documents: tuple[str, ...]
    path: str
    line: int | None
    values: Mapping[str, Value]
    basis: Basis
    handled: Handling | None = None
    about: str = ""
    origin: str = ""

    @property
    def file(self) -> str:
        """The file in which path and line are: an entry of the log has a path of its own form, `log[mark]`; `origin` is one taken over from."""
        return LOG if self.path.startswith("log[") else self.origin or PROFILE


BayClosure = Literal["open", "closed-by-decision", "closed-by-finding", "closed-today"]
#: The fixed reasons of a closure sheet; each is a sentence in the words of each language.
Reason = Literal[
    "decided", "fall-distance", "part-strength", "anchorage-strength", "no-rescue", "facts", "danger", "inspection-overdue",
    "tagged", "stopped-fall", "practice-slow", "kit", "check-overdue", "withdrawn",
]  # fmt: skip


@record
class BayReason(Node):
    """One reason for a closure, and the names of the findings behind it."""

    reason: Reason = "facts"
    findings: tuple[str, ...] = ()


@record
class BayState(Node):
    """Whether people may climb in a bay, and why not."""

    bay: str = ""
    name: str = ""
    state: BayClosure = "open"
    reasons: tuple[BayReason, ...] = ()

    @property
    def shut(self) -> bool:
        """Whether nobody may climb there, whichever way it was closed."""
        return self.state != "open"

    @property
    def rescue_lacks(self) -> bool:
        """Whether something of the rescue is among the reasons. It is a rescue gap only where no shift has a rescue for any vehicle:
        that is decided in one place, `rescue_gap` of the composition, for all papers."""
        return any(r.reason == "no-rescue" for r in self.reasons)


@record
class Assessment(Numbers):
    """The numbers, what falls due, and everything found wrong on one day.

    `binding` is the law with everything else that binds the site, `rulings` the questions on which more than the law speaks,
    `bays` the state of each bay on the day, `planned` the state for which papers with a digest are composed: by the profile and the law
    of the day for which they are composed, and nothing that happened.
    """

    as_of: date = field(kw_only=True)
    dues: tuple[Due, ...] = field(kw_only=True)
    findings: tuple[Finding, ...] = field(kw_only=True)
    accepted: tuple[Finding, ...] = field(kw_only=True)
    rulings: tuple[Governs, ...] = field(kw_only=True)
    binding: BindingRules = field(kw_only=True)
    bays: tuple[BayState, ...] = field(kw_only=True)
    planned: tuple[BayState, ...] = field(kw_only=True)
