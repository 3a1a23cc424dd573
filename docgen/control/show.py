"""What was in force on a day, gathered in one folder: documents, approvals, postings, training, inspections, open findings.

Everything comes from the records and from the log, of which an entry counts where it is dated on or before that day. Each row says
where it was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from docgen.codes import LawAlone
from docgen.compose.frame import approver
from docgen.compose.standing import standing
from docgen.control import digests
from docgen.control.changes import texts_in_force
from docgen.control.page import paper
from docgen.control.say import cell, control_words, label, role_title
from docgen.control.stored import Found
from docgen.errors import RecordError, Word
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.logbook import NAME
from docgen.records import Issued, Records, kept_bytes, sha256
from docgen.site.log import Arrest, Training

__all__ = ["Past", "destination", "gather"]

Rows = list[list[str]]


@frozen
class Past:
    """What was read of the past: revisions whose profile is not read any more, and findings.

    `findings` are those of the newest revision as it was issued (`findings_of`), or of today's profile where nothing was issued.
    """

    unread: tuple[int, ...]
    findings: tuple[Found, ...]
    findings_of: Issued | None


def gather(happened: Happened, code: LawAlone, records: Records, on: date, past: Past, language: str) -> dict[str, bytes]:
    """Every file of the folder by name, the list of digests last.

    `happened` and `records` are those up to that day. RecordError if a record is not what it was when it was made.
    """
    from docgen.write import WRITERS

    contents = {**_revision_files(records), **_approval_files(records), **_withdrawal_files(records)}
    t = control_words(language)
    site = happened.site
    parts: Mapping[str, Rows] = {
        "revisions": [_revision(r) for r in records.issued],
        "withdrawals": [[w.id, w.name, w.on.isoformat(), w.by, w.reason] for w in records.withdrawals],
        "postings": _postings(happened, t),
        "training": _training(happened),
        "inspections": _inspections(happened),
        "drills": _drills(happened),
        "events": _events(happened, t),
        "findings": [_finding(f, t) for f in past.findings],
        "holds": [[h.mark, h.state or "", *_cells((h.on, h.by, h.reason)), _read(happened, h.path)] for h in happened.holds],
    }
    values: dict[str, object] = {
        "site_name": site.site.name, "on": on, "nothing": not records.issued, "documents": _documents(records),
        "approvals": _approvals(records, t, language), "files": [*sorted(contents), "contents.md", "index.html"],
        "unread": ", ".join(label(number, language) for number in past.unread),
        "parts": [_part(name, rows, t, past.findings_of) for name, rows in parts.items()],
    }  # fmt: skip
    page = paper("in-force", f"{t['record_title']}: {on.isoformat()}", values, site, code, on, language)
    contents["contents.md"] = WRITERS["md"](page).data
    contents["index.html"] = WRITERS["html"](page).data
    contents[digests.SUMS] = digests.sums(contents)
    return contents


def _revision_files(records: Records) -> dict[str, bytes]:
    """Every file of the revisions in force, each held against its own list of digests first."""
    found = {}
    for number in sorted({number for number, _ in records.posted().values()}):
        folder = records.revision_folder(number)
        for wrong in digests.verify(folder):
            raise RecordError("record-changed", file=str(folder / wrong.name), what=Word(wrong.how))
        for path in sorted(p for p in folder.rglob("*") if p.is_file()):
            found[f"revisions/{folder.name}/{path.relative_to(folder).as_posix()}"] = kept_bytes(path)
    return found


def _approval_files(records: Records) -> dict[str, bytes]:
    found = {}
    for approval in records.approvals:
        found[f"approvals/{approval.id}.json"] = kept_bytes(records.approval_file(f"{approval.id}.json"))
        if approval.evidence:
            path = records.approval_file(approval.evidence)
            page = kept_bytes(path)
            if sha256(page) != approval.evidence_sha256:
                raise RecordError("signed-page-changed", file=str(path))
            found[f"approvals/{approval.evidence}"] = page
    return found


def _withdrawal_files(records: Records) -> dict[str, bytes]:
    return {f"withdrawn/{w.id}.json": kept_bytes(records.withdrawal_file(w.id)) for w in records.withdrawals}


def _part(name: str, rows: Rows, t: Mapping[str, Any], findings_of: Issued | None) -> dict[str, object]:
    title = t["parts"][name]["title"]
    if name == "findings" and findings_of is not None:
        title = t["findings_of"].format(n=findings_of.revision, day=findings_of.on)
    return {"id": name, "title": title, "columns": t["parts"][name]["columns"], "rows": rows}


def _documents(records: Records) -> list[dict[str, object]]:
    rows = []
    for (document, language), (number, day) in sorted(records.posted().items()):
        revision = records.revision(number)
        text = revision.text(document, language) if revision else None
        if text is not None:
            folder = records.revision_folder(number).name
            rows.append(
                {
                    "title": text.title,
                    "language": language,
                    "revision": number,
                    "on": day.isoformat(),
                    "digest": text.digest[:16],
                    "files": ", ".join(f"revisions/{folder}/{name}" for name in text.names),
                }
            )
    return rows


def _revision(r: Issued) -> list[str]:
    titles = ", ".join(dict.fromkeys(t.title for t in r.texts))
    return [str(r.revision), r.on.isoformat(), titles, r.reason, cell(r.issued_by)]


def _approvals(records: Records, t: Mapping[str, Any], language: str) -> list[dict[str, str]]:
    texts, _ = texts_in_force(records)
    rows = []
    for a in records.approvals:
        own = texts.get(a.document)
        gone = a not in records.unwithdrawn
        stood = (
            t["answers"]["withdrawn"]
            if gone
            else "–"
            if own is None
            else t["answers"]["stood" if standing(a, own).stands else "lapsed"]
        )
        licence = t["licence"].format(number=a.licence, place=a.jurisdiction, day=a.expires) if a.licence else "–"
        rows.append(
            {
                "id": a.id,
                "document": a.document,
                "role": role_title(a.role, language),
                "by": approver(a, language),
                "licence": licence,
                "on": a.on.isoformat(),
                "scope": ", ".join(a.scope),
                "stood": stood,
            }
        )
    return rows


def _finding(f: Found, t: Mapping[str, Any]) -> list[str]:
    return [f.severity, f.name, t["path_line"].format(path=f.path, line=f.line) if f.line else f.path, f.message]


def _read(happened: Happened, path: str) -> str:
    """Where a row was read: the file and line of its entry."""
    return f"{NAME}:{happened.line(path) or 0}"


def _postings(happened: Happened, t: Mapping[str, Any]) -> Rows:
    """Each place with the copy that hung there on that day, or with nothing."""
    rows = []
    for posting in happened.site.posting:
        h = happened.hangs(posting.id)
        if h is None:
            told: tuple[object, ...] = (posting.place, posting.document, posting.language, t["answers"]["not_recorded"])
            rows.append([posting.id, *_cells((*told, None, None, None, None, None)), "–"])
        else:
            revision = str(h.revision) if h.revision is not None else t["answers"]["not_recorded"]
            told = (posting.place, h.document, h.language, revision, h.on, h.by, h.witness, h.photo, h.seen)
            rows.append([posting.id, *_cells(told), _read(happened, h.path)])
    return rows


def _training(happened: Happened) -> Rows:
    held = sorted(happened.of(Training), key=lambda r: (r.person, r.on or date.min, r.course or ""))
    return [[r.person, *_cells((r.course, r.on, r.by, r.language)), _read(happened, r.path)] for r in held]


def _inspections(happened: Happened) -> Rows:
    rows = []
    for part in happened.site.equipment:
        if (look := happened.inspection_of(part.id)) is not None:
            result = "pass" if look.passed else "fail"
            told = (part.name or part.kind, part.serial, look.on, result, look.by)
            rows.append([part.id, *_cells(told), _read(happened, look.path)])
    return rows


def _drills(happened: Happened) -> Rows:
    rows = []
    for d in happened.drills_of():
        times = [q.text if q is not None else None for q in (d.contact, d.ground)]
        rows.append([d.mark, *_cells((d.on, d.method, d.shift, *times)), _read(happened, d.path)])
    return rows


def _events(happened: Happened, t: Mapping[str, Any]) -> Rows:
    rows = []
    for e in happened.events:
        done = happened.done(e)
        closed = done.on if done is not None else t["answers"]["open"]
        told = e.note if isinstance(e, Arrest) else e.text
        rows.append([e.mark, *_cells((e.kind, e.on, closed, told)), _read(happened, e.path)])
    return rows


def _cells(values: Iterable[object]) -> list[str]:
    return [cell(value) for value in values]


def destination(into: Path, site: str, on: date) -> Path:
    """The folder that is made."""
    return Path(into) / f"{site}-in-force-{on.isoformat()}"
