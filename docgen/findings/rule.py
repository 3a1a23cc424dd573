"""What makes a function a finding: the decorator holds its name, severity, what it stops, the papers it concerns and its basis.

A finding function takes a `View` and yields `Hit`s. It prints nothing; its sentences lie in the words of each language,
templates/words/findings/<language>.yaml, under `findings.<name>` (title, message, action, why), with a place for each
value the hit carries.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from types import ModuleType
from typing import TypeVar

from docgen.findings.model import Severity, Stops
from docgen.findings.view import Hit
from docgen.frozen import frozen

__all__ = ["ALL", "NOTICE", "PLAN", "POWER", "RECORD", "RESCUE", "SEVERITIES", "SRD", "Rule", "finding", "registered"]

SEVERITIES: tuple[Severity, ...] = ("must-fix", "fix-soon", "advice")
PLAN, NOTICE, RESCUE, RECORD = "fall-protection-plan", "contractor-notice", "rescue-procedure", "engineering-record"
ALL = (PLAN, NOTICE, RESCUE)
SRD, POWER = "standard:ANSI/ASSP Z359.14-2021|memory", "standard:29 CFR 1910.333(c)(3)|memory"

F = TypeVar("F", bound=Callable[..., Iterable[Hit]])


@frozen
class Rule:
    """One finding. `basis` is `law:<question>`, `standard:<citation>|<basis>`, `practice` or `site-rule`; `acceptable`: a named
    person may accept it until a day."""

    name: str
    function: Callable[..., Iterable[Hit]]
    severity: Severity
    stops: Stops
    documents: tuple[str, ...]
    basis: str
    acceptable: bool


_REGISTERED: dict[str, list[Rule]] = {}


def finding(
    name: str,
    severity: Severity,
    *,
    documents: tuple[str, ...],
    basis: str = "practice",
    stops: Stops | None = None,
    acceptable: bool | None = None,
) -> Callable[[F], F]:
    """Make a function a finding of its module. Left out: a must-fix stops the issue and cannot be accepted, the others neither."""
    must = severity == "must-fix"

    def register(function: F) -> F:
        rule = Rule(
            name,
            function,
            severity,
            stops or ("issue" if must else "nothing"),
            documents,
            basis,
            not must if acceptable is None else acceptable,
        )
        _REGISTERED.setdefault(function.__module__, []).append(rule)
        return function

    return register


def registered(module: ModuleType) -> tuple[Rule, ...]:
    """The findings of a module, in the order in which they stand there."""
    return tuple(_REGISTERED.get(module.__name__, ()))
