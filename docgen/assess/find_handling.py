"""Findings on findings: who sees to an open one, until when, what protects people meanwhile, and whether it is closed."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.find_common import said_none, terms
from docgen.assess.practice import practice
from docgen.assess.view import Hit, View
from docgen.site import Handling

__all__ = [
    "handling_closed_open",
    "handling_incomplete",
    "handling_overdue",
    "handling_pointless",
    "handling_unknown",
    "open_without_interim",
]


def _rules() -> dict:
    from docgen.assess.findings import RULES

    return {r.name: r for r in RULES if r.function.__module__ != __name__}


def _known(view: View) -> Iterator[tuple[Handling, bool]]:
    """Entries that name a finding, and whether it stands today at the place that the entry names."""
    rules = _rules() if view.site.handling else {}
    for entry in view.site.handling:
        if (rule := rules.get(entry.finding)) is not None:
            yield entry, any(entry.at is None or hit.path.startswith(entry.at) for hit in rule.function(view))


def _closed(view: View, entry: Handling) -> bool:
    return entry.closed_on is not None and entry.closed_on <= view.as_of


def open_without_interim(view: View) -> Iterator[Hit]:
    """What it looks at: must-fix findings that have been known for more than 30 days and from which nothing protects
    people meanwhile.

    Why: to know and to do nothing is what counts as wilful. On the thirtieth day it is not yet over. Example: opened
    2026-09-01, no interim protection on 2026-11-01. Reference: OSHA policy on voluntary self-audits, 65 FR 46498 (2000).
    """
    rules, interval = _rules(), practice("finding_open_interval").interval
    for entry, stands in _known(view):
        overdue = entry.opened is not None and interval.after(entry.opened) < view.as_of
        if stands and overdue and rules[entry.finding].severity == "must-fix" and said_none(entry.interim_protection):
            yield Hit(
                f"{entry.path}.interim_protection",
                {"finding": entry.finding, "opened": entry.opened, "days": (view.as_of - entry.opened).days},
            )


def handling_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: the day by which a finding was to be mended.

    Why: a date that passes unseen is worth nothing. On the day itself it is not over. Example: due 2026-10-01, still open.
    Reference: document control; common practice.
    """
    for entry, stands in _known(view):
        if stands and entry.due is not None and entry.due < view.as_of:
            yield Hit(f"{entry.path}.due", {"finding": entry.finding, "due": entry.due, "owner": _owner(view, entry)})


def _owner(view: View, entry: Handling) -> str:
    role = view.site.role(entry.owner)
    return role.title if role else "nobody named"


def handling_closed_open(view: View) -> Iterator[Hit]:
    """What it looks at: findings entered as closed that still stand.

    Why: a record says that it is mended, and it is not. Example: closed on 2026-10-01, found again on 2026-11-01.
    Reference: document control; common practice.
    """
    for entry, stands in _known(view):
        if stands and _closed(view, entry):
            yield Hit(f"{entry.path}.closed_on", {"finding": entry.finding, "on": entry.closed_on})


def handling_pointless(view: View) -> Iterator[Hit]:
    """What it looks at: open entries that match no finding of that day.

    Why: what is mended is closed with its proof, or the name of the place is wrong. Example: an entry at a bay that is
    mended. Reference: document control.
    """
    for entry, stands in _known(view):
        if not stands and entry.closed_on is None:
            yield Hit(entry.path, {"finding": entry.finding, "at": entry.at or "any place"})


def handling_incomplete(view: View) -> Iterator[Hit]:
    """What it looks at: entries without owner or due day, and closed ones without evidence.

    Why: what nobody owns is not mended. Example: owner left out. Reference: document control; common practice.
    """
    for entry, _ in _known(view):
        wanted = ("evidence",) if entry.closed_on is not None else ("owner", "due")
        lacking = [n for n in wanted if getattr(entry, n) is None]
        if lacking:
            yield Hit(entry.path, {"finding": entry.finding, "lacking": terms(lacking)})


def handling_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: entries for a finding that does not exist.

    Why: a slip of the pen takes care of nothing. Example: clearence-short. Reference: document control.
    """
    rules = _rules() if view.site.handling else {}
    for entry in view.site.handling:
        if entry.finding not in rules:
            yield Hit(f"{entry.path}.finding", {"finding": entry.finding})
