"""The frame of a document: stamp, reasons, revisions, and the state of each review. Never part of a digest.

A document goes from draft (a finding stops its issue) to for-approval (fit to be signed) to issued (the revision in force
holds exactly this text). No profile field moves it, and a document that was issued is not stamped again by what happens later.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from docgen.codes import LawAlone
from docgen.compose.digest import DIGEST_FORMAT
from docgen.compose.elements import places_of
from docgen.compose.pieces import Body, Frame
from docgen.compose.standing import Standing, approval_of, given, older_than, own_needed, resting_on
from docgen.findings import RULES, states
from docgen.findings.model import Assessment, Finding
from docgen.frozen import frozen
from docgen.papers import Outline, outline, papers
from docgen.records import NONE, Approval, Issued, Records, Text
from docgen.site import Reviewer, Site
from docgen.trade.inspected import ANCHOR, group, groups_of
from docgen.words import spelled, words

__all__ = [
    "approver",
    "copies",
    "file_stem",
    "files_of",
    "frame_for",
    "holds",
    "reads",
    "sheet_frame",
    "state_of",
    "stopping",
    "titled",
]

UNREAD = ("law-unread", "law-unread-core")


def stopping(document: str, assessed: Assessment) -> tuple[Finding, ...]:
    """Must-fix findings that stop the issue of a document; one that no finding ever names is stopped by all.

    A finding on a paper stops those too that take its content over.
    """
    shown = outline(document)
    names = (shown.name, *shown.findings_of)
    return states.stopping(names, assessed.findings, any(name in rule.documents for rule in RULES for name in names))


def copies(shown: Outline, site: Site, assessed: Assessment) -> tuple[str, ...]:
    """Names of the papers that an outline gives at a site: one, or one for each bay or kind of part.

    Where only open or only closed bays have one, a paper with a digest goes by the profile alone, a sheet of a day by that day.
    """
    states = assessed.planned if shown.digest else assessed.bays
    bays = [s.bay for s in states if shown.bays == "all" or s.shut == (shown.bays == "closed")]
    kinds = [p.kind for p in site.equipment]
    anchors = [ANCHOR for bay in site.bays if bay.rescue_anchors]
    return shown.copies(bays, kinds, groups_of([*kinds, *anchors]))


def state_of(document: str, language: str, bodies: Mapping[str, Body], assessed: Assessment, records: Records) -> str:
    """draft, for-approval or issued."""
    issued = records.in_force(document, language)
    held = issued is not None and holds(issued, bodies[document])
    return states.paper_state(document, language, stopping(document, assessed), issued, held).state


def holds(issued: Issued, text: Text) -> bool:
    """Whether a revision holds exactly this text."""
    held = issued.text(text.document, text.language)
    return held is not None and issued.digest_format == DIGEST_FORMAT and held.digest == text.digest


def frame_for(
    document: str, language: str, site: Site, assessed: Assessment, bodies: Mapping[str, Body], records: Records = NONE
) -> Frame:
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
        reasons=() if state == "issued" else _reasons(document, language, site, assessed, bodies, records, reviews, issued),
        revision=revision, reviews=reviews, licensed=_licensed(document, language, site, bodies, records, reviews), digests={name: body.digest for name, body in bodies.items()},
        history=_history(document, language, records), in_force=None if issued is None else issued.revision,
    )  # fmt: skip


def sheet_frame(language: str, as_of: date, digests: Mapping[str, str], files: tuple[Mapping[str, Any], ...] = ()) -> Frame:
    """The frame of a paper without a digest: it bears its day, and neither stamp nor reviews."""
    day = words(language)["stamp"]["as_of"].format(day=as_of.isoformat())
    return Frame(state="sheet", stamp="", reasons=(), revision=day, reviews=(), digests=digests, files=files)


def file_stem(document: str, language: str, languages: tuple[str, ...]) -> str:
    """`<document>`, or `<document>.<language>` at a site with several languages."""
    return f"{document}.{language}" if len(languages) > 1 else document


def files_of(
    document: str, language: str, languages: tuple[str, ...], types: tuple[str, ...], frame: Frame, site: Site, code: LawAlone
) -> Mapping[str, Any]:
    """One line of the site page: title, how far the paper is, for whom it is, and its files, each by its type (`large`: the larger sheet) and name."""
    shown, stem = outline(document).at(code), file_stem(document, language, languages)
    files = [{"type": end.partition(".")[0], "name": f"{stem}.{end}"} for end in shown.endings(types)]
    title = titled(shown, document, language, site, code)
    return {
        "title": f"{title}, {document.partition('.')[2]}" if shown.per == "kind" else title, "state": frame.state, "in_force": frame.in_force,
        "circle": shown.circle, "posted": shown.posted, "files": files,
    }  # fmt: skip


def titled(shown: Outline, document: str, language: str, site: Site, code: LawAlone) -> str:
    """The title of a paper, with the name of the bay or group of parts that it is for."""
    title, of = shown.title_in(language), document.partition(".")[2]
    if shown.per == "bay" and (bay := site.bay(of)) is not None:
        return f"{title}, {bay.name}"
    if shown.per == "group":
        return f"{title}: {spelled(group(of).title[language], language, code.spelling)}"
    return title


def _reasons(
    document: str, language: str, site: Site, assessed: Assessment, bodies: Mapping[str, Body], records: Records,
    reviews: tuple[Mapping[str, Any], ...], issued: Issued | None,
) -> tuple[str, ...]:  # fmt: skip
    texts, titles = words(language)["stamp"], words(language)["approvals"]
    reasons = []
    if stops := stopping(document, assessed):
        reasons.append(texts["reason_findings"].format(n=len(stops)) if len(stops) != 1 else texts["reason_finding"])
    if unread := sum(_count(f) for f in assessed.findings if f.name in UNREAD):
        reasons.append(texts["reason_unread"].format(n=unread) if unread != 1 else texts["reason_unread_one"])
    mine = {language: bodies[document]}
    found = {role: given(document, role, language, mine, records) for role in own_needed(outline(document), site)}
    missing = [role for role, g in found.items() if g.standing is None or (g.standing.stands and not g.whole)]
    if missing:
        reasons.append(texts["reason_approvals"].format(roles=", ".join(titles.get(role, role) for role in missing)))
    for paper, part in resting_on(document, site):
        on_record = given(paper, part, language, {language: bodies[paper]}, records) if paper in bodies else None
        key = None
        if on_record is None or on_record.standing is None or not on_record.whole:
            key = "reason_rests"
        elif older_than(document, language, bodies[document].digest, on_record.standing.approval, records, site):
            key = "reason_older"
        if key is not None:
            reasons.append(texts[key].format(paper=outline(paper).called_in(language), role=titles.get(part, part)))
    for review in reviews:
        if review["status"] == "lapsed":
            reasons.append(texts["reason_lapsed"].format(
                id=review["approval"].id, role=titles.get(review["role"], review["role"]), clauses=", ".join(review["changed"])
            ))  # fmt: skip
    gone = records.withdrawn(document, language)
    if gone is not None:
        reasons.append(
            texts["reason_withdrawn"].format(n=_number(gone.name), day=gone.on.isoformat(), by=gone.by, reason=gone.reason)
        )
    elif issued is None:
        reasons.append(texts["reason_not_issued"])
    else:
        key = "reason_changed" if issued.digest_format == DIGEST_FORMAT else "reason_method"
        reasons.append(texts[key].format(n=issued.revision))
    return tuple(reasons)


def _count(finding: Finding) -> int:
    n = finding.values["n"]
    return n if isinstance(n, int) else 0


def _quiet() -> frozenset[str]:
    """Parts whose approval no paper of the site tells of: advice that counsel gave is for whoever asked for it."""
    return frozenset(a.part for o in papers() for a in o.approvals if a.quiet)


def _reviews(
    document: str, language: str, site: Site, bodies: Mapping[str, Body], records: Records
) -> tuple[Mapping[str, Any], ...]:
    """One entry for each reviewer named and each approval needed. `changed` says where what made an approval lapse stands."""
    shown = outline(document)
    needed = own_needed(shown, site)
    named = {a.part for a in shown.approvals if a.paper is None}
    mine = [r for r in site.reviewers if (r.part in named or r.part in needed) and reads(r, document)]
    roles = [r.part for r in mine]
    rows: list[tuple[str, Any, Standing | None]] = []
    texts = {language: bodies[document]}
    for reviewer in mine:
        by = _names(reviewer, site) if roles.count(reviewer.part) > 1 else None
        rows.append((reviewer.part, reviewer, approval_of(document, reviewer.part, language, texts, records, by)))
    others = dict.fromkeys([*needed, *(a.role for a in records.approvals if a.document == document)])
    rows += [(role, None, approval_of(document, role, language, texts, records)) for role in others if role not in roles]
    method = words(language)["changes"]["lapse"]["method"]
    quiet = _quiet()
    where = _Places(bodies, language)
    return tuple({"quiet": role in quiet, **_review(role, reviewer, found, method, where)} for role, reviewer, found in rows)


def reads(reviewer: Reviewer, document: str) -> bool:
    """Whether a reviewer reviews a paper: one who names papers reviews these and no other."""
    return not reviewer.papers or outline(document).name in reviewer.papers


def _names(reviewer: Reviewer, site: Site) -> tuple[str, ...] | None:
    """Every name under which a reviewer may have approved; None where the profile names nobody."""
    return site.names_of(reviewer.name) if reviewer.name is not None else None


def _licensed(
    document: str, language: str, site: Site, bodies: Mapping[str, Body], records: Records, reviews: tuple[Mapping[str, Any], ...]
) -> tuple[Mapping[str, Any], ...]:  # fmt: skip
    """Reviews by people with a licence, each with the paper that they read: this one, or one on which its figures rest."""
    rows = [
        {"paper": document, "title": outline(document).title_in(language), **r}
        for r in reviews
        if not r["quiet"] and getattr(r["approval"] or r["reviewer"], "licence", None)
    ]
    method, where = words(language)["changes"]["lapse"]["method"], _Places(bodies, language)
    for paper, part in resting_on(document, site):
        for reviewer in (r for r in site.reviewers if r.part == part and r.licence and reads(r, paper) and paper in bodies):
            found = approval_of(paper, part, language, {language: bodies[paper]}, records, _names(reviewer, site))
            rows.append(
                {
                    "paper": paper,
                    "title": outline(paper).title_in(language),
                    "quiet": False,
                    **_review(part, reviewer, found, method, where),
                }
            )
    return tuple(rows)


class _Places:
    """Where each clause of the bodies stands, in words; a paper is looked through when the first of its clauses is asked for."""

    def __init__(self, bodies: Mapping[str, Body], language: str) -> None:
        self.bodies, self.language = bodies, language
        self.known: dict[str, Mapping[str, str]] = {}

    def of(self, document: str, clause: str | None) -> str:
        """The place of a clause; the paper alone where it stands in it no more, or where no clause is meant."""
        if document not in self.known:
            self.known[document] = places_of(self.bodies[document], self.language) if document in self.bodies else {}
        return self.known[document].get(clause or "", outline(document).short_in(self.language))


@frozen
class _Stated:
    """Scope and sections as they stood when somebody approved: what the profile says today was signed by nobody."""

    scope: str | None
    sections: tuple[str, ...]


def _review(role: str, reviewer: Any, found: Standing | None, method: str, where: _Places) -> Mapping[str, Any]:
    """`states` has the scope and the sections that the block prints: those of the record, or before it those of the reviewer."""
    if found is None:
        return {
            "role": role, "reviewer": reviewer, "states": reviewer, "status": "not-reviewed", "approval": None, "changed": (),
        }  # fmt: skip
    approval = found.approval
    changed = tuple(dict.fromkeys(method if x.what == "method" else where.of(approval.document, x.clause) for x in found.lapses))
    states = _Stated(approval.reviewed, approval.reviewed_sections)
    status = "reviewed" if found.stands else "lapsed"
    return {"role": role, "reviewer": reviewer, "states": states, "status": status, "approval": approval, "changed": changed}


def _number(name: str) -> int:
    return int(name.partition("-")[2])


def approver(approval: Approval, language: str) -> str:
    """Who approved, and for whom where a delegate did: nobody bears a part that another had on that day."""
    if approval.delegate_of is None:
        return approval.by
    return str(words(language)["stamp"]["delegate"].format(by=approval.by, of=approval.delegate_of))


def _history(document: str, language: str, records: Records) -> tuple[Mapping[str, Any], ...]:
    titles, texts = words(language)["approvals"], words(language)["stamp"]
    quiet = _quiet()
    by_id = {a.id: a for a in records.approvals if a.role not in quiet}
    rows = []
    for issued in records.issued:
        if issued.text(document, language) is None:
            continue
        gone = records.withdrawal_of(issued.revision)
        change = (
            issued.reason
            if gone is None
            else texts["withdrawn"].format(change=issued.reason, day=gone.on.isoformat(), reason=gone.reason)
        )
        names = [
            f"{approver(by_id[i], language)}, {titles.get(by_id[i].role, by_id[i].role)} ({i})"
            for i in issued.approvals if i in by_id and by_id[i].document == document and by_id[i].text(language) is not None
        ]  # fmt: skip
        rows.append({"revision": issued.revision, "date": issued.on, "change": change, "approved": "; ".join(names) or "–"})
    return tuple(rows)
