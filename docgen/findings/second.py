"""Findings about findings: what is done about them, until when, and which of them the profile accepts. They run once, after the others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from docgen.findings.common import below, said_none, terms
from docgen.findings.model import Finding
from docgen.findings.rule import ALL, PLAN, Rule, finding
from docgen.findings.view import Hit, View
from docgen.frozen import frozen
from docgen.site import Handling
from docgen.trade.practice import practice

__all__ = [
    "First",
    "acceptance_lapsed",
    "acceptance_pointless",
    "acceptance_refused",
    "acceptance_unknown",
    "handling_closed_open",
    "handling_incomplete",
    "handling_overdue",
    "handling_pointless",
    "handling_unknown",
    "open_without_interim",
]

OF_PAPERS = ("documents-contradict", "paper-too-long")  # shown in part by finished papers only


@frozen
class First:
    """What stands when the second stage looks, and the rules by name: those of the first stage, and all. `composed`: all papers were compared."""

    found: tuple[Finding, ...]
    subjects: Mapping[str, Rule]
    rules: Mapping[str, Rule]
    composed: bool

    def stands(self, name: str, at: str | None) -> bool:
        """Whether a finding of that name stands at a place, or anywhere where none is named."""
        return any(f.name == name and below(f.path, at) for f in self.found)

    def judged(self, name: str) -> bool:
        """Whether this run could have seen every finding of that name."""
        return self.composed or name not in OF_PAPERS


@finding("acceptance-lapsed", "fix-soon", documents=ALL, acceptable=False)
def acceptance_lapsed(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: acceptances whose end date has passed.

    Why: the finding is open again, and someone said it would not be. On the last day it still holds. Example: until
    2026-06-30. Reference: document control.
    """
    for accepted in view.site.accepted:
        if accepted.until is not None and accepted.until < view.as_of:
            yield Hit(accepted.path, {"finding": accepted.finding, "until": accepted.until, "by": accepted.by or ""})


@finding("acceptance-unknown", "fix-soon", documents=ALL, acceptable=False)
def acceptance_unknown(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: acceptances of a finding that does not exist.

    Why: a slip of the pen accepts nothing. Example: clearence-tolerance. Reference: document control.
    """
    for accepted in view.site.accepted:
        if accepted.finding not in first.rules:
            yield Hit(f"{accepted.path}.finding", {"finding": accepted.finding})


@finding("acceptance-refused", "fix-soon", documents=ALL, acceptable=False)
def acceptance_refused(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: acceptances of findings on physics, law, ratings or rescue.

    Why: those are mended or prohibited. Example: clearance-short. Reference: document control.
    """
    for accepted in view.site.accepted:
        rule = first.rules.get(accepted.finding)
        if rule is not None and not rule.acceptable:
            yield Hit(f"{accepted.path}.finding", {"finding": accepted.finding})


@finding("acceptance-pointless", "fix-soon", documents=ALL, acceptable=False)
def acceptance_pointless(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: acceptances that match no finding of that day.

    Why: what is mended needs no acceptance any more. Example: lighting-unstated at a bay that now has a figure.
    Reference: document control.
    """
    for accepted in view.site.accepted:
        rule = first.subjects.get(accepted.finding)
        looked = rule is not None and rule.acceptable and first.judged(accepted.finding)
        if looked and not first.stands(accepted.finding, accepted.at):
            yield Hit(accepted.path, {"finding": accepted.finding, "at": accepted.at or terms(["any-place"])})


def _known(view: View, first: First) -> Iterator[tuple[Handling, bool]]:
    """Entries that name a finding of the first stage, and whether it stands today at the place that the entry names."""
    for entry in view.site.handling:
        if entry.finding in first.subjects:
            yield entry, first.stands(entry.finding, entry.at)


@finding("open-without-interim", "must-fix", documents=(PLAN,), stops="use")
def open_without_interim(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: must-fix findings that have been known for more than 30 days and from which nothing protects
    people meanwhile.

    Why: to know and to do nothing is what counts as wilful. On the thirtieth day it is not yet over. Example: opened
    2026-09-01, no interim protection on 2026-11-01. Reference: OSHA policy on voluntary self-audits, 65 FR 46498 (2000).
    """
    interval = practice("finding_open_interval").interval
    for entry, stands in _known(view, first):
        if entry.opened is None or not interval.after(entry.opened) < view.as_of:
            continue
        if stands and first.rules[entry.finding].severity == "must-fix" and said_none(entry.interim_protection):
            yield Hit(
                f"{entry.path}.interim_protection",
                {"finding": entry.finding, "opened": entry.opened, "days": (view.as_of - entry.opened).days},
            )


@finding("handling-overdue", "fix-soon", documents=(PLAN,), acceptable=False)
def handling_overdue(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: the day by which a finding was to be mended.

    Why: a date that passes unseen is worth nothing. On the day itself it is not over. Example: due 2026-10-01, still open.
    Reference: document control; common practice.
    """
    for entry, stands in _known(view, first):
        if stands and entry.due is not None and entry.due < view.as_of:
            role = view.site.role(entry.owner)
            yield Hit(
                f"{entry.path}.due",
                {"finding": entry.finding, "due": entry.due, "owner": role.title if role else terms(["nobody-named"])},
            )


@finding("handling-closed-open", "fix-soon", documents=(PLAN,), acceptable=False)
def handling_closed_open(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: findings entered as closed that still stand.

    Why: a record says that it is mended, and it is not. Example: closed on 2026-10-01, found again on 2026-11-01.
    Reference: document control; common practice.
    """
    for entry, stands in _known(view, first):
        if stands and entry.closed_on is not None and entry.closed_on <= view.as_of:
            yield Hit(f"{entry.path}.closed_on", {"finding": entry.finding, "on": entry.closed_on})


@finding("handling-pointless", "fix-soon", documents=(PLAN,), acceptable=False)
def handling_pointless(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: open entries that match no finding of that day.

    Why: what is mended is closed with its proof, or the name of the place is wrong. Example: an entry at a bay that is
    mended. What finished papers alone show is judged where papers were compared. Reference: document control.
    """
    for entry, stands in _known(view, first):
        if not stands and entry.closed_on is None and first.judged(entry.finding):
            yield Hit(entry.path, {"finding": entry.finding, "at": entry.at or terms(["any-place"])})


@finding("handling-incomplete", "fix-soon", documents=(PLAN,), acceptable=False)
def handling_incomplete(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: entries without owner or due day, and closed ones without evidence.

    Why: what nobody owns is not mended. Example: owner left out. Reference: document control; common practice.
    """
    for entry, _ in _known(view, first):
        wanted = ("evidence",) if entry.closed_on is not None else ("owner", "due")
        lacking = [n for n in wanted if getattr(entry, n) is None]
        if lacking:
            yield Hit(entry.path, {"finding": entry.finding, "lacking": terms(lacking)})


@finding("handling-unknown", "fix-soon", documents=(PLAN,), acceptable=False)
def handling_unknown(view: View, first: First) -> Iterator[Hit]:
    """What it looks at: entries for a finding that does not exist.

    Why: a slip of the pen takes care of nothing. Example: clearence-short. Reference: document control.
    """
    for entry in view.site.handling:
        if entry.finding not in first.rules:
            yield Hit(f"{entry.path}.finding", {"finding": entry.finding})
