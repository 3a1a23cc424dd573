"""Findings on the document itself: who prepares, approves and reviews it, where it hangs, what is open."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from docgen.assess.find_common import overdue, terms
from docgen.assess.practice import practice
from docgen.assess.view import Hit, View

__all__ = [
    "acceptance_lapsed",
    "acceptance_pointless",
    "acceptance_refused",
    "acceptance_unknown",
    "approval_role_unknown",
    "crew_review_undated",
    "event_open",
    "no_copy_at_work",
    "notice_no_authority",
    "posting_missing",
    "posting_unlit",
    "preparer_is_approver",
    "record_in_future",
    "retention_unstated",
    "review_interval_missing",
    "review_never",
    "review_overdue",
]

AUTHORITY = "issuing-authority"
USUAL = ("qualified-person", AUTHORITY, "rescue-lead")


def _needed(view: View) -> tuple[str, ...]:
    return view.site.document.approvals_needed or USUAL


def preparer_is_approver(view: View) -> Iterator[Hit]:
    """What it looks at: whether the one who prepared the document also approves it.

    Why: nobody sees his own slip. Example: the safety manager prepares and issues. Reference: common practice;
    document control.
    """
    role = view.site.role(view.site.document.prepared_by)
    if role is None:
        return
    approving = {r.id for r in view.site.roles if r.id in _needed(view) or (r.issues_notice and AUTHORITY in _needed(view))}
    holders = {r.holder for r in view.site.roles if r.id in approving and r.holder is not None}
    if role.id in approving or (role.holder is not None and role.holder in holders):
        yield Hit("document.prepared_by", {"role": role.title})


def approval_role_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: needed approvals that no role and no reviewer can give.

    Why: the document could never be issued. Example: approvals_needed names legal, and nobody has that role.
    Reference: document control.
    """
    known = {r.id for r in view.site.roles} | {r.role for r in view.site.reviewers} | {AUTHORITY}
    for role in view.site.document.approvals_needed:
        if role not in known:
            yield Hit("document.approvals_needed", {"role": terms((role,))})


def review_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: the last full review and its interval.

    Why: sites drift away from their paper. On the due day nothing is overdue. Example: due 2026-02-01. Reference:
    common practice, once a year.
    """
    for due in overdue(view, "document review"):
        yield Hit("document.last_review", {"last": due.last, "interval": due.interval, "due": due.due})


def review_never(view: View) -> Iterator[Hit]:
    """What it looks at: a review interval without any review.

    Why: the interval counts from nowhere. Example: 12 months, last_review left out. Reference: common practice.
    """
    document = view.site.document
    if document.review_interval is not None and document.last_review is None:
        yield Hit("document.last_review", {"interval": document.review_interval.text})


def review_interval_missing(view: View) -> Iterator[Hit]:
    """What it looks at: how often the document is reviewed when nothing changes.

    Why: nothing can fall due. Example: left out. Reference: common practice, once a year.
    """
    if view.site.document.review_interval is None:
        yield Hit("document.review_interval")


def no_copy_at_work(view: View) -> Iterator[Hit]:
    """What it looks at: where a worker finds the plan during the shift.

    Why: a plan in the office helps nobody on the deck. Example: kept_at left out. Reference: common practice; some
    laws ask for a copy at the workplace.
    """
    if view.site.document.kept_at is None:
        yield Hit("document.kept_at")


def crew_review_undated(view: View) -> Iterator[Hit]:
    """What it looks at: when the crew last went through the plan.

    Why: what was never read is not known. Example: crew_review left out. Reference: common practice; some laws ask for
    it before work begins.
    """
    if view.site.document.crew_review is None:
        yield Hit("document.crew_review")


def retention_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how long issued versions and records are kept.

    Why: counsel sets it before someone clears the shelf. Example: left out. Reference: common practice of counsel.
    """
    if view.site.document.retention is None:
        yield Hit("document.retention")


def notice_no_authority(view: View) -> Iterator[Hit]:
    """What it looks at: whose signature puts the notice in force.

    Why: a notice of nobody binds nobody. Example: no role with issues_notice: true. Reference: document control.
    """
    if not any(r.issues_notice for r in view.site.roles):
        yield Hit("roles")


def posting_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether the notice hangs anywhere.

    Why: a rule that nobody could read is not a rule. Example: an empty posting list. Reference: common practice.
    """
    if not any(p.document == "contractor-notice" for p in view.site.posting):
        yield Hit("posting")


def posting_unlit(view: View) -> Iterator[Hit]:
    """What it looks at: postings that cannot be read in the dark, where a night shift climbs.

    Why: half the drivers come at night. Example: GATE-1 without a lamp. Reference: common practice.
    """
    if any(s.climbing and s.night for s in view.site.shifts):
        for posting in view.site.posting:
            if posting.lit_at_night is not True:
                yield Hit(f"{posting.path}.lit_at_night", {"posting": posting.id, "place": posting.place or posting.id})


def event_open(view: View) -> Iterator[Hit]:
    """What it looks at: events that are not closed.

    Why: knowledge without action is the worst kind of record. Example: near miss of 2026-01-20, open. Reference:
    common practice, 30 days.
    """
    interval = practice("event_open_interval").interval
    for event in view.site.events:
        if event.on is not None and event.closed_on is None and interval.after(event.on) < view.as_of:
            yield Hit(f"{event.path}.closed_on", {"event": event.id, "on": event.on, "interval": interval.text})


def _dated(view: View) -> Iterator[tuple[str, date | None]]:
    site = view.site
    for part in site.equipment:
        yield f"{part.inspection.path}.last", part.inspection.last
    for record in site.training.records:
        yield f"{record.path}.on", record.on
    for rescuer in site.people.rescuers:
        yield f"{rescuer.path}.last_practical", rescuer.last_practical
    for user in site.people.users:
        yield f"{user.fit.path}.on", user.fit.on
    for drill in site.rescue.drills:
        yield f"{drill.path}.on", drill.on
    for place in site.rescue.kit_places:
        yield f"{place.path}.last_check", place.last_check
    for contact in site.emergency.contacts:
        yield f"{contact.path}.tested_on", contact.tested_on
    for bay in site.bays:
        yield f"{bay.survey.path}.on", bay.survey.on
    yield "document.last_review", site.document.last_review
    yield "codes.verified_on", site.codes.verified_on


def record_in_future(view: View) -> Iterator[Hit]:
    """What it looks at: records dated after the day of the check.

    Why: nothing was inspected or drilled tomorrow. Example: inspection of 2062-08-03. Reference: common practice.
    """
    for path, day in _dated(view):
        if day is not None and day > view.as_of:
            yield Hit(path, {"on": day, "today": view.as_of})


def acceptance_lapsed(view: View) -> Iterator[Hit]:
    """What it looks at: acceptances whose end date has passed.

    Why: the finding is open again, and someone said it would not be. On the last day it still holds. Example: until
    2026-06-30. Reference: document control.
    """
    for accepted in view.site.accepted:
        if accepted.until is not None and accepted.until < view.as_of:
            yield Hit(accepted.path, {"finding": accepted.finding, "until": accepted.until, "by": accepted.by or ""})


def _rules() -> dict[str, bool]:
    from docgen.assess.findings import RULES

    return {r.name: r.acceptable for r in RULES}


def acceptance_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: acceptances of a finding that does not exist.

    Why: a slip of the pen accepts nothing. Example: clearence-tolerance. Reference: document control.
    """
    for accepted in view.site.accepted:
        if accepted.finding not in _rules():
            yield Hit(f"{accepted.path}.finding", {"finding": accepted.finding})


def acceptance_refused(view: View) -> Iterator[Hit]:
    """What it looks at: acceptances of findings on physics, law, ratings or rescue.

    Why: those are mended or prohibited. Example: clearance-short. Reference: document control.
    """
    for accepted in view.site.accepted:
        if _rules().get(accepted.finding) is False:
            yield Hit(f"{accepted.path}.finding", {"finding": accepted.finding})


def acceptance_pointless(view: View) -> Iterator[Hit]:
    """What it looks at: acceptances that match no finding of that day.

    Why: what is mended needs no acceptance any more. Example: lighting-unstated at a bay that now has a figure.
    Reference: document control.
    """
    if not view.site.accepted:
        return
    from docgen.assess.findings import RULES

    functions = {r.name: r.function for r in RULES if r.acceptable}
    for accepted in view.site.accepted:
        if accepted.finding not in functions or accepted.finding == "acceptance-pointless":
            continue
        if not any(accepted.at is None or hit.path.startswith(accepted.at) for hit in functions[accepted.finding](view)):
            yield Hit(accepted.path, {"finding": accepted.finding, "at": accepted.at or "any place"})
