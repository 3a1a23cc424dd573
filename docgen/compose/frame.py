"""The frame of a document: stamp, reasons, revisions, and the state of each review. Never part of a digest.

A document goes from draft (a finding stops its issue) to for-approval (fit to be signed) to issued (the revision in force
holds exactly this text). No profile field moves it, and a document that was issued is not stamped again by what happens later.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from docgen.compose.digest import DIGEST_FORMAT
from docgen.compose.outline import Outline, outline, outlines
from docgen.compose.pieces import Body, Frame
from docgen.compose.standing import Standing, approval_of, needed_for
from docgen.findings import RULES, states
from docgen.findings.model import Assessment, Finding
from docgen.records import NONE, Issued, Records, Text
from docgen.site import Site
from docgen.words import words

__all__ = ["SITE_PAGE", "file_stem", "frame_for", "holds", "state_of", "stopping"]

SITE_PAGE = "index"
STATES = ("draft", "for-approval", "issued")


def stopping(document: str, assessed: Assessment) -> tuple[Finding, ...]:
    """Must-fix findings that stop the issue of a document; one that no finding ever names is stopped by all."""
    return states.stopping(document, assessed.findings, any(document in rule.documents for rule in RULES))


def state_of(document: str, language: str, bodies: Mapping[str, Body], assessed: Assessment, records: Records) -> str:
    """draft, for-approval or issued; the site page is as far as the least of the documents beside it."""
    if document == SITE_PAGE:
        others = [state_of(name, language, bodies, assessed, records) for name in bodies if name != SITE_PAGE]
        return min(others, key=STATES.index, default="draft")
    issued = records.in_force(document, language)
    held = issued is not None and holds(issued, bodies[document])
    return states.paper_state(document, language, stopping(document, assessed), issued, held).state


def holds(issued: Issued, text: Text) -> bool:
    """Whether a revision holds exactly this text."""
    held = issued.text(text.document, text.language)
    return held is not None and issued.digest_format == DIGEST_FORMAT and held.digest == text.digest


def frame_for(
    document: str, language: str, languages: tuple[str, ...], site: Site, assessed: Assessment, bodies: Mapping[str, Body],
    types: tuple[str, ...], records: Records = NONE,
) -> Frame:  # fmt: skip
    """The frame as the records have it: the stamp with every reason for it, revisions, and each review."""
    texts = words(language)["stamp"]
    state = state_of(document, language, bodies, assessed, records)
    stamps = {"draft": texts["draft"], "for-approval": texts["for_approval"], "issued": ""}
    issued = records.in_force(document, language)
    reviews = _reviews(document, language, site, bodies, records)
    if state == "issued" and issued is not None:
        revision = texts["revision"].format(n=issued.revision, day=issued.on.isoformat())
    elif issued is not None:
        revision = texts["after_revision"].format(n=issued.revision)
    else:
        revision = texts["no_revision"]
    return Frame(
        state=state, stamp=stamps[state],
        reasons=() if state == "issued" else _reasons(document, language, site, assessed, reviews, issued),
        revision=revision, reviews=reviews, digests={name: body.digest for name, body in bodies.items()},
        history=_history(document, language, records),
        files=tuple(
            _files(o, language, languages, types, stamps[state_of(o.name, language, bodies, assessed, records)] or texts["issued"])
            for o in outlines() if o.name in bodies and o.types != ("html",)
        ),
    )  # fmt: skip


def file_stem(document: str, language: str, languages: tuple[str, ...]) -> str:
    """`<document>`, or `<document>.<language>` at a site with several languages."""
    return f"{document}.{language}" if len(languages) > 1 else document


def _files(o: Outline, language: str, languages: tuple[str, ...], types: tuple[str, ...], stamp: str) -> Mapping[str, Any]:
    names = [f"{file_stem(o.name, language, languages)}.{t}" for t in types if t in o.types]
    return {"title": o.title_in(language), "stamp": stamp, "names": names}


def _reasons(
    document: str, language: str, site: Site, assessed: Assessment, reviews: tuple[Mapping[str, Any], ...], issued: Issued | None
) -> tuple[str, ...]:
    texts, titles = words(language)["stamp"], words(language)["approvals"]
    reasons = []
    if stops := stopping(document, assessed):
        reasons.append(texts["reason_findings"].format(n=len(stops)) if len(stops) != 1 else texts["reason_finding"])
    needed = needed_for(outline(document), site) if document != SITE_PAGE else ()
    given = {r["role"]: r for r in reversed(reviews)}
    missing = [role for role in needed if given.get(role, {"approval": None})["approval"] is None]
    if missing:
        reasons.append(texts["reason_approvals"].format(roles=", ".join(titles.get(role, role) for role in missing)))
    for review in reviews:
        if review["status"] == "lapsed":
            reasons.append(texts["reason_lapsed"].format(
                id=review["approval"].id, role=titles.get(review["role"], review["role"]), clauses=", ".join(review["changed"])
            ))  # fmt: skip
    if issued is None:
        reasons.append(texts["reason_not_issued"])
    else:
        key = "reason_changed" if issued.digest_format == DIGEST_FORMAT else "reason_method"
        reasons.append(texts[key].format(n=issued.revision))
    return tuple(reasons)


def _reviews(
    document: str, language: str, site: Site, bodies: Mapping[str, Body], records: Records
) -> tuple[Mapping[str, Any], ...]:
    """One entry for each reviewer named and each approval needed. `changed` names clauses that made an approval lapse."""
    if document == SITE_PAGE:
        return ()
    shown = outline(document)
    needed = needed_for(shown, site)
    mine = [r for r in site.reviewers if shown.approvers is None or r.part in shown.approvers or r.part in needed]
    roles = [r.part for r in mine]
    rows: list[tuple[str, Any, Standing | None]] = []
    texts = {language: bodies[document]}
    for reviewer in mine:
        by = reviewer.name if roles.count(reviewer.part) > 1 else None
        rows.append((reviewer.part, reviewer, approval_of(document, reviewer.part, language, texts, records, by)))
    others = dict.fromkeys([*needed, *(a.role for a in records.approvals if a.document == document)])
    rows += [(role, None, approval_of(document, role, language, texts, records)) for role in others if role not in roles]
    method = words(language)["changes"]["lapse"]["method"]
    return tuple(_review(role, reviewer, found, method) for role, reviewer, found in rows)


def _review(role: str, reviewer: Any, found: Standing | None, method: str) -> Mapping[str, Any]:
    if found is None:
        return {"role": role, "reviewer": reviewer, "status": "not-reviewed", "approval": None, "changed": ()}
    changed = tuple(dict.fromkeys(method if x.what == "method" else x.clause or found.approval.document for x in found.lapses))
    status = "reviewed" if found.stands else "lapsed"
    return {"role": role, "reviewer": reviewer, "status": status, "approval": found.approval, "changed": changed}


def _history(document: str, language: str, records: Records) -> tuple[Mapping[str, Any], ...]:
    titles = words(language)["approvals"]
    by_id = {a.id: a for a in records.approvals}
    rows = []
    for issued in records.issued:
        if issued.text(document, language) is None:
            continue
        names = [
            f"{by_id[i].by}, {titles.get(by_id[i].role, by_id[i].role)} ({i})"
            for i in issued.approvals if i in by_id and by_id[i].document == document and by_id[i].text(language) is not None
        ]  # fmt: skip
        rows.append(
            {"revision": issued.revision, "date": issued.on, "change": issued.reason, "approved": "; ".join(names) or "–"}
        )
    return tuple(rows)
