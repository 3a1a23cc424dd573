"""What a finding rests on: the law in force, a standard, a rule of the site, or common practice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from docgen.engineering.demands import Demand
from docgen.findings.model import Basis, BasisKind
from docgen.findings.rule import Rule

if TYPE_CHECKING:
    from docgen.codes.law import Law
    from docgen.codes.model import Answer

__all__ = ["basis_of", "basis_of_answer", "basis_of_demand", "basis_of_practice"]

OF_US = ("ANSI", "29 CFR")  # outside that country such a finding rests on common practice
# What kind of basis a rule is that stands beside the law, by whose it is.
KIND_OF: dict[str, BasisKind] = {
    "site-rule": "site-rule", "voluntary": "standard", "owner": "standard", "insurer": "standard", "policy": "advice", "guidance": "advice",
    "non-mandatory": "advice", "industry": "advice",
}  # fmt: skip


def basis_of(rule: Rule, law: Law, country: str | None) -> Basis:
    """The basis of a rule under the law in force; a silent question falls back to common practice, said so.

    `country` is that of the site, or None where no site is asked about.
    """
    kind, _, rest = rule.basis.partition(":")
    if kind == "law":
        answer = law.held_to(rest) or law.ask(rest)
        if answer.state == "silent":
            return Basis("practice", "", "none", "figure-not-of-law")
        return basis_of_answer(answer)
    if kind == "standard" and not (country not in (None, "US") and rest.startswith(OF_US)):
        citation, _, basis = rest.partition("|")
        return Basis("standard", citation, "read" if basis == "read" else "memory")
    if kind == "site-rule":
        return Basis("site-rule", "", "none", "site-rule")
    return basis_of_practice()


def basis_of_answer(answer: Answer) -> Basis:
    """What a fault rests on that goes by one answer: law, a standard, or the advice of whoever gives it."""
    return Basis(KIND_OF.get(answer.force, "law"), answer.citation, answer.basis)


def basis_of_demand(demand: Demand, law: Law, country: str) -> Basis:
    """What the strength asked rests on: the law only where it is the law that asks."""
    match demand.whose:
        case "law":
            return basis_of_answer(law.held_to(demand.question) or law.ask(demand.question))
        case "standard" if country == "US" or not demand.standard.startswith("Z359"):
            return Basis("standard", demand.standard, "memory")
        case "practice":
            return Basis("practice", "", "none", "figure-not-of-law")
        case _:
            return basis_of_practice()


def basis_of_practice() -> Basis:
    """What a finding rests on that no text asks for."""
    return Basis("practice", "", "none", "practice")
