"""Findings on what hangs on the site: proof of posting, its state, its revision, its length, private numbers on it."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.find_common import terms
from docgen.assess.practice import practice
from docgen.assess.view import Hit, View
from docgen.site import walk

__all__ = [
    "contact_private",
    "notice_text_long",
    "posted_differs",
    "posting_check_stale",
    "posting_revision_differs",
    "posting_unproven",
]


def posting_unproven(view: View) -> Iterator[Hit]:
    """What it looks at: copies that hang, without revision, name, witness or photograph.

    Why: nobody can show later what was posted. A place where nothing hangs yet is not counted. Example: GATE-2 without a
    photograph. Reference: common practice of counsel, no published source.
    """
    for posting in view.site.posting:
        lacking = [n for n in ("revision", "posted_by", "witness", "photo") if getattr(posting, n) is None]
        if posting.posted_on is not None and lacking:
            yield Hit(posting.path, {"posting": posting.id, "on": posting.posted_on, "lacking": terms(lacking)})


def posting_check_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when someone last saw that a copy still hangs there and can be read.

    Why: paper fades, falls and is covered. Exactly at the interval is not stale. Example: posted in February, not looked at
    since. Reference: common practice, 3 months.
    """
    interval = practice("posting_check_interval").interval
    for posting in view.site.posting:
        seen = max((d for d in (posting.posted_on, posting.last_checked) if d is not None), default=None)
        if posting.posted_on is not None and interval.after(seen) < view.as_of:
            yield Hit(f"{posting.path}.last_checked", {"posting": posting.id, "last": seen, "interval": interval.text})


def posting_revision_differs(view: View) -> Iterator[Hit]:
    """What it looks at: the revisions of one document that hang on the site at one time.

    Why: two readers follow two rules. Example: revision 7 at the gate, 6 at the bay. Reference: document control.
    """
    newest: dict[str, int] = {}
    for posting in view.site.posting:
        if posting.document is not None and posting.revision is not None:
            newest[posting.document] = max(posting.revision, newest.get(posting.document, 0))
    for posting in view.site.posting:
        if posting.revision is not None and posting.revision < newest.get(posting.document or "", 0):
            values = {"posting": posting.id, "revision": posting.revision, "newest": newest[posting.document]}
            yield Hit(f"{posting.path}.revision", values)


def posted_differs(view: View) -> Iterator[Hit]:
    """What it looks at: the revision that hangs at a place against the one that is in force by the records.

    Why: the old rule is the one that people read. Example: revision 2 issued, revision 1 at the gate. Reference: document
    control.
    """
    for posting in view.site.posting:
        held = view.in_force.get((posting.document or "", posting.language or ""))
        if held is not None and posting.revision is not None and posting.revision != held[0]:
            values = {"posting": posting.id, "revision": posting.revision, "current": held[0], "on": held[1]}
            yield Hit(f"{posting.path}.revision", values)


def contact_private(view: View) -> Iterator[Hit]:
    """What it looks at: private numbers among those that posted copies print.

    Why: a person's own number hangs at the gate and outlives the job. Example: the rescue lead's own telephone.
    Reference: common practice, no published source.
    """
    for contact in view.site.emergency.contacts:
        if contact.private:
            yield Hit(f"{contact.path}.private", {"contact": contact.role})


def notice_text_long(view: View) -> Iterator[Hit]:
    """What it looks at: how many words of its own the site puts into the notice.

    Why: a driver gives it a minute. Exactly as many as usual is not too long. Example: 412 words. Reference: common
    practice, 250 words on a page.
    """
    most = int(practice("notice_words").si)
    contractors = view.site.contractors
    texts = [t for p, t in walk(contractors) if isinstance(t, str) and " " in t and not p.endswith(".record")]
    texts += [r.text for r in view.site.site_rules]
    words = sum(len(t.split()) for t in texts)
    if words > most:
        yield Hit("contractors", {"words": words, "most": most})
