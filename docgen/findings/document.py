"""Findings on the document itself: who prepares, approves and reviews it, where it is kept and how long."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.findings.common import overdue, terms
from docgen.findings.rule import ALL, NOTICE, PLAN, finding
from docgen.findings.view import Hit, View
from docgen.signs import name_key

__all__ = [
    "approval_role_unknown",
    "crew_review_undated",
    "no_copy_at_work",
    "notice_no_authority",
    "preparer_is_approver",
    "retention_unstated",
    "review_interval_missing",
    "review_never",
    "review_overdue",
]


@finding("notice-no-authority", "must-fix", documents=(NOTICE,))
def notice_no_authority(view: View) -> Iterator[Hit]:
    """What it looks at: whose signature puts the notice in force.

    Why: a notice of nobody binds nobody. Example: no role with the part issuing-authority. Reference: document control.
    """
    if not view.site.roles_of("issuing-authority"):
        yield Hit("roles")


@finding("approval-role-unknown", "must-fix", documents=ALL)
def approval_role_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: needed approvals whose part no role and no reviewer has.

    Why: the document could never be issued. Example: approvals_needed names counsel, and nobody is counsel. Reference:
    document control.
    """
    for part in view.site.document.approvals_needed:
        if not view.site.roles_of(part) and not any(r.part == part for r in view.site.reviewers):
            yield Hit("document.approvals_needed", {"role": terms((part,))})


@finding("preparer-is-approver", "fix-soon", documents=ALL)
def preparer_is_approver(view: View) -> Iterator[Hit]:
    """What it looks at: whether the one who prepared the document also approves it.

    Why: nobody sees his own slip. Example: the safety manager prepares and issues. Reference: common practice;
    document control.
    """
    role = view.site.role(view.site.document.prepared_by)
    if role is None:
        return
    approving = [r for part in view.site.document.approvals for r in view.site.roles_of(part)]
    held = {name_key(r.held_by) for r in approving if r.held_by is not None}
    if role.id in {r.id for r in approving} or (role.held_by is not None and name_key(role.held_by) in held):
        yield Hit("document.prepared_by", {"role": role.title})


@finding("review-overdue", "fix-soon", documents=(PLAN,))
def review_overdue(view: View) -> Iterator[Hit]:
    """What it looks at: the last full review and its interval.

    Why: sites drift away from their paper. On the due day nothing is overdue. Example: due 2026-02-01. Reference:
    common practice, once a year.
    """
    for due in overdue(view, "document-review"):
        yield Hit(due.path, {"last": due.last, "interval": due.interval, "due": due.due})


@finding("review-never", "fix-soon", documents=(PLAN,))
def review_never(view: View) -> Iterator[Hit]:
    """What it looks at: a review interval without any review.

    Why: the interval counts from nowhere. Example: 12 months, no review of the plan in the log. Reference: common practice.
    """
    document = view.site.document
    if document.review_interval is not None and view.happened.review_of("plan") is None:
        yield Hit("document.review_interval", {"interval": document.review_interval.text})


@finding("review-interval-missing", "fix-soon", documents=(PLAN,))
def review_interval_missing(view: View) -> Iterator[Hit]:
    """What it looks at: how often the document is reviewed when nothing changes.

    Why: nothing can fall due. Example: left out. Reference: common practice, once a year.
    """
    if view.site.document.review_interval is None:
        yield Hit("document.review_interval")


@finding("no-copy-at-work", "fix-soon", documents=(PLAN,))
def no_copy_at_work(view: View) -> Iterator[Hit]:
    """What it looks at: where a worker finds the plan during the shift.

    Why: a plan in the office helps nobody on the deck. Example: kept_at left out. Reference: common practice; some
    laws ask for a copy at the workplace.
    """
    if view.site.document.kept_at is None:
        yield Hit("document.kept_at")


@finding("crew-review-undated", "fix-soon", documents=(PLAN,))
def crew_review_undated(view: View) -> Iterator[Hit]:
    """What it looks at: when the crew last went through the plan.

    Why: what was never read is not known. Example: no review with the crew in the log. Reference: common practice; some laws ask for
    it before work begins.
    """
    if view.happened.review_of("crew") is None:
        yield Hit("document")


@finding("retention-unstated", "advice", documents=(PLAN,))
def retention_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how long issued versions and records are kept.

    Why: counsel sets it before someone clears the shelf. Example: left out. Reference: common practice of counsel.
    """
    if not view.site.document.retention:
        yield Hit("document.retention")
