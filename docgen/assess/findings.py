"""The only list of findings: name, function, severity, what it stops, documents concerned, what it rests on.

A finding function takes a `View` and yields `Hit`s. It prints nothing; its sentences lie in templates/words/<language>.yaml
under `findings.<name>` (title, message, action, why), with a place for each value the hit carries.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from docgen.assess import find_equipment as equipment
from docgen.assess import find_geometry as geometry
from docgen.assess import find_law as law_
from docgen.assess import find_people as people
from docgen.assess import find_rescue as rescue
from docgen.assess import find_words as words
from docgen.assess.model import Basis, Finding
from docgen.assess.view import Hit, View

__all__ = ["RULES", "SEVERITIES", "Rule", "find"]

SEVERITIES = ("must-fix", "fix-soon", "advice")
PLAN, NOTICE, RESCUE = "fall-protection-plan", "contractor-notice", "rescue-procedure"


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of the list. `rests_on` is `law:<question>`, `standard:<citation>|<basis>`, `practice` or `site-rule`."""

    name: str
    function: Callable[[View], Iterable[Hit]]
    severity: str
    stops: str
    documents: tuple[str, ...]
    rests_on: str
    acceptable: bool


def _must(name, function, documents, rests_on="practice", stops="issue", acceptable=False) -> Rule:
    return Rule(name, function, "must-fix", stops, documents, rests_on, acceptable)


def _soon(name, function, documents, rests_on="practice", stops="nothing", acceptable=True) -> Rule:
    return Rule(name, function, "fix-soon", stops, documents, rests_on, acceptable)


def _advice(name, function, documents, rests_on="practice", stops="nothing", acceptable=True) -> Rule:
    return Rule(name, function, "advice", stops, documents, rests_on, acceptable)


RULES: tuple[Rule, ...] = (
    _must("clearance-short", geometry.clearance_short, (PLAN, NOTICE), "law:no_contact_lower_level"),
    _soon("clearance-tolerance", geometry.clearance_tolerance, (PLAN,), "practice"),
)


def basis_of(rule: Rule, view: View) -> Basis:
    """The basis of a rule under the law in force; a silent question falls back to common practice, said so."""
    kind, _, rest = rule.rests_on.partition(":")
    if kind == "law":
        answer = view.code.ask(rest)
        if answer.state == "silent":
            return Basis("practice", "common practice; the law asked is silent", "none")
        return Basis("law", answer.citation, answer.basis)
    if kind == "standard":
        citation, _, basis = rest.partition("|")
        return Basis("standard", citation, basis or "memory")
    if kind == "site-rule":
        return Basis("site-rule", "rule of this site", "none")
    return Basis("practice", "common practice, no published source", "none")


def find(view: View, rules: tuple[Rule, ...] = RULES) -> tuple[Finding, ...]:
    """All findings, most severe first, then in list order, then by profile line."""
    found = []
    for order, rule in enumerate(rules):
        basis = None
        for hit in rule.function(view):
            basis = basis or basis_of(rule, view)
            finding = Finding(
                name=rule.name, severity=rule.severity, stops=rule.stops, documents=rule.documents, path=hit.path,
                line=view.site.line(hit.path), values=hit.values, basis=basis,
            )  # fmt: skip
            found.append((SEVERITIES.index(rule.severity), order, finding.line or 0, finding))
    found.sort(key=lambda row: row[:3])
    return tuple(row[3] for row in found)
