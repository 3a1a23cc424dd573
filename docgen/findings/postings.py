"""Findings on what hangs on the site: where it hangs, its light, its proof, its state and its revision."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.findings.common import bays_in_use, listed, read_at, terms, worded
from docgen.findings.model import Value
from docgen.findings.rule import ALL, NOTICE, finding
from docgen.findings.view import Hit, View, down, near
from docgen.limits import over
from docgen.papers import found, papers
from docgen.trade.practice import practice

__all__ = [
    "paper_withdrawn",
    "posted_differs",
    "posting_bay_unstated",
    "posting_check_stale",
    "posting_draft",
    "posting_missing",
    "posting_revision_differs",
    "posting_too_small",
    "posting_unlit",
    "posting_unproven",
]


@finding("posting-missing", "fix-soon", documents=(NOTICE,))
def posting_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether each paper that must hang on the site hangs anywhere; of one for each bay, that of each bay in use.

    Why: a rule that nobody could read is not a rule. Example: an empty posting list; a rescue card of one bay only. Reference: common practice.
    """
    hung = {p.paper for p in view.site.posting}
    for outline in papers():
        if not outline.posted or not outline.written:
            continue
        for bay in bays_in_use(view) if outline.per == "bay" else (None,):
            name = outline.name if bay is None else f"{outline.name}.{bay.id}"
            if name not in hung:
                yield Hit("posting", {"paper": name})


@finding("posting-bay-unstated", "must-fix", documents=(NOTICE,))
def posting_bay_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: whether a posting of a paper that is one for each bay says of which bay, and one of the whole site does not.

    Why: the sign of another bay hangs there, and nobody can tell which revision is meant. Example: bay-sign without a bay. Reference: document control.
    """
    for posting in view.site.posting:
        outline = found(posting.document or "")
        if outline is not None and (outline.per == "bay") != (posting.bay is not None):
            yield Hit(f"{posting.path}.bay", {"posting": posting.id, "paper": outline.name})


@finding("posting-unlit", "fix-soon", documents=(NOTICE,))
def posting_unlit(view: View) -> Iterator[Hit]:
    """What it looks at: postings that cannot be read in the dark, where a night shift climbs.

    Why: half the drivers come at night. Example: GATE-1 without a lamp. Reference: common practice.
    """
    if any(s.climbing and s.night for s in view.site.shifts):
        for posting in view.site.posting:
            if posting.lit_at_night is not True:
                yield Hit(f"{posting.path}.lit_at_night", {"posting": posting.id, "place": posting.place or posting.id})


@finding("posting-too-small", "fix-soon", documents=(NOTICE,))
def posting_too_small(view: View) -> Iterator[Hit]:
    """What it looks at: from where a paper must be read against the distance that its smallest type serves in the light there.

    Why: a rule that cannot be read from where people stand is not posted. Exactly at the distance it can be read. Example: a rescue procedure of 12 pt, to be
    read from 4.0 ft. Reference: ANSI Z535.2, letter heights.
    """
    for posting in view.site.posting:
        served = read_at(view.site, posting)
        if served is not None and posting.read_from is not None and over(posting.read_from.si, served.distance):
            yield Hit(f"{posting.path}.read_from", {
                "posting": posting.id, "place": posting.place or posting.id, "paper": posting.paper, "read_from": near(posting.read_from),
                "type": f"{served.size:g}", "served": down(served.distance, "length"), "light": worded("light-good") if served.lit else worded("light-dim"),
            })  # fmt: skip


@finding("posting-unproven", "fix-soon", documents=(NOTICE,))
def posting_unproven(view: View) -> Iterator[Hit]:
    """What it looks at: copies that hang, without revision, witness or photograph.

    Why: nobody can show later what was posted. A place where nothing hangs yet is not counted. Example: GATE-2 without a
    photograph. Reference: common practice of counsel, no published source.
    """
    for posting in view.site.posting:
        hanging = view.happened.hangs(posting.id)
        outline = found(posting.document or "")
        asked = ("revision", "witness", "photo") if outline is None or outline.digest else ("witness", "photo")
        lacking = [n for n in asked if getattr(hanging, n, None) is None]
        if hanging is not None and lacking:
            yield Hit(hanging.path, {"posting": posting.id, "on": hanging.on, "lacking": terms(lacking)})


@finding("posting-check-stale", "fix-soon", documents=(NOTICE,), stops="use")
def posting_check_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when someone last saw that a copy still hangs there and can be read.

    Why: paper fades, falls and is covered. Exactly at the interval is not stale. Example: posted in February, not looked at
    since. Reference: common practice, 3 months.
    """
    interval = practice("posting_check_interval").interval
    for posting in view.site.posting:
        hanging = view.happened.hangs(posting.id)
        if hanging is not None and interval.after(hanging.seen) < view.as_of:
            yield Hit(posting.path, {"posting": posting.id, "last": hanging.seen, "interval": interval.text})


@finding("posted-differs", "must-fix", documents=(NOTICE,), stops="use")
def posted_differs(view: View) -> Iterator[Hit]:
    """What it looks at: the revision that hangs at a place against the one that is in force by the records.

    Why: the old rule is the one that people read. Example: revision 2 issued, revision 1 at the gate. Reference: document
    control.
    """
    for posting in view.site.posting:
        held = view.in_force.get((posting.paper, posting.language or ""))
        hanging = view.happened.hangs(posting.id)
        if held is not None and hanging is not None and hanging.revision is not None and hanging.revision != held[0]:
            values: dict[str, Value] = {"posting": posting.id, "revision": hanging.revision, "current": held[0], "on": held[1]}
            yield Hit(hanging.path, values)


@finding("posting-draft", "must-fix", documents=(NOTICE,), stops="use")
def posting_draft(view: View) -> Iterator[Hit]:
    """What it looks at: copies that hang and were never issued: they bear a mark and no revision.

    Why: a draft is nobody's rule, and the one in force is not read. Example: a copy marked for approval at the ladder. Reference: document control.
    """
    for posting in view.site.posting:
        hanging = view.happened.hangs(posting.id)
        if hanging is not None and hanging.draft:
            yield Hit(
                hanging.path,
                {
                    "posting": posting.id,
                    "place": posting.place or posting.id,
                    "mark": hanging.foot_mark or "",
                    "on": hanging.seen,
                },
            )


@finding("paper-withdrawn", "must-fix", documents=ALL, stops="use")
def paper_withdrawn(view: View) -> Iterator[Hit]:
    """What it looks at: papers whose newest revision was withdrawn, so that none is in force.

    Why: nobody climbs by a paper that was taken back, and the one before it stays superseded. Example: revision 2 withdrawn, nothing
    issued since. Reference: document control.
    """
    for (name, language), (revision, on) in view.withdrawn.items():
        hanging = [
            p.id for p in view.site.posting if (p.paper, p.language) == (name, language) and view.happened.hangs(p.id) is not None
        ]
        bay = name.partition(".")[2]
        values: dict[str, Value] = {
            "paper": name, "revision": revision, "on": on, "places": listed(hanging) if hanging else worded("no-place"),
        }  # fmt: skip
        yield Hit(f"bays[{bay}]" if view.site.bay(bay) is not None else "document", values)


@finding("posting-revision-differs", "must-fix", documents=(NOTICE,), stops="use")
def posting_revision_differs(view: View) -> Iterator[Hit]:
    """What it looks at: the revisions of one document that hang on the site at one time.

    Why: two readers follow two rules. Example: revision 7 at the gate, 6 at the bay. Reference: document control.
    """
    newest: dict[tuple[str, str | None], int] = {}
    hangs = [
        ((h.document, posting.bay), h)
        for posting in view.site.posting
        if (h := view.happened.hangs(posting.id)) is not None and h.revision is not None
    ]
    for paper, hanging in hangs:
        newest[paper] = max(hanging.revision or 0, newest.get(paper, 0))
    for paper, hanging in hangs:
        current, revision = newest[paper], hanging.revision or 0
        if revision < current:
            values: dict[str, Value] = {"posting": hanging.place, "revision": revision, "newest": current}
            yield Hit(hanging.path, values)
