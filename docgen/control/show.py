"""What was in force on a day, gathered in one folder: documents, approvals, postings, training, inspections, open findings.

Everything comes from the records and from the profiles in them; an entry of today's profile counts where it is dated on or
before that day. Each row says where it was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from docgen.codes import LawAlone
from docgen.compose.standing import standing
from docgen.control import digests
from docgen.control.changes import texts_in_force
from docgen.control.page import paper
from docgen.control.say import cell, control_words, label, role_title
from docgen.control.stored import Found
from docgen.errors import RecordError, Word
from docgen.frozen import frozen
from docgen.records import Issued, Records, kept_bytes, sha256
from docgen.site import Site

__all__ = ["Past", "destination", "gather"]

Rows = list[list[str]]
Read = tuple[str, Site]  # where it was read, in words, and the profile


@frozen
class Past:
    """What was read of the past: (revision or None for today's profile, profile), newest last; revisions whose profile is not read.

    `findings` are those of the newest revision as it was issued (`findings_of`), or of today's profile where nothing was issued.
    """

    profiles: tuple[tuple[int | None, Site], ...]
    unread: tuple[int, ...]
    findings: tuple[Found, ...]
    findings_of: Issued | None


def gather(site: Site, code: LawAlone, records: Records, on: date, past: Past, language: str) -> dict[str, bytes]:
    """Every file of the folder by name, the list of digests last.

    `records` are those up to that day. RecordError if a record is not what it was when it was made.
    """
    from docgen.write import WRITERS

    contents = {**_revision_files(records), **_approval_files(records), **_hold_files(records)}
    t = control_words(language)
    profiles = tuple((label(number, language), profile) for number, profile in past.profiles)
    parts: Mapping[str, Rows] = {
        "revisions": [_revision(r) for r in records.issued],
        "postings": _postings(profiles, on, t),
        "training": _training(profiles, on),
        "inspections": _inspections(profiles, on),
        "drills": _drills(profiles, on),
        "events": _events(profiles, on, t),
        "findings": [_finding(f, t) for f in past.findings],
        "holds": [[h.id, h.state, h.on.isoformat(), h.by, h.reason] for h in records.holds],
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


def _hold_files(records: Records) -> dict[str, bytes]:
    return {f"holds/{h.id}.json": kept_bytes(records.folder / "holds" / f"{h.id}.json") for h in records.holds}


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
        stood = "–" if own is None else t["answers"]["stood" if standing(a, own).stands else "lapsed"]
        licence = t["licence"].format(number=a.licence, place=a.jurisdiction, day=a.expires) if a.licence else "–"
        rows.append(
            {
                "id": a.id,
                "document": a.document,
                "role": role_title(a.role, language),
                "by": a.by,
                "licence": licence,
                "on": a.on.isoformat(),
                "scope": ", ".join(a.scope),
                "stood": stood,
            }
        )
    return rows


def _finding(f: Found, t: Mapping[str, Any]) -> list[str]:
    return [f.severity, f.name, t["path_line"].format(path=f.path, line=f.line) if f.line else f.path, f.message]


def _postings(profiles: tuple[Read, ...], on: date, t: Mapping[str, Any]) -> Rows:
    """Each place with the copy that hung there on that day: the last one hung by then, else what is known of the place."""
    found: dict[str, tuple[date, list[str]]] = {}
    last = profiles[-1][0]
    for read, site in profiles:
        for p in site.posting:
            if p.posted_on is not None and p.posted_on > on:
                continue
            if p.posted_on is None and read == last and len(profiles) > 1:
                continue  # what today's profile says without a day says nothing about that day
            seen = p.last_checked if p.last_checked is not None and p.last_checked <= on else None
            revision = str(p.revision) if p.revision is not None else t["answers"]["not_recorded"]
            told = (p.place, p.document, p.language, revision, p.posted_on, p.posted_by, p.witness, p.photo, seen)
            row = [p.id, *_cells(told), read]
            if p.id not in found or (p.posted_on or date.min) >= found[p.id][0]:
                found[p.id] = (p.posted_on or date.min, row)
    return [row for _, row in found.values()]


def _training(profiles: tuple[Read, ...], on: date) -> Rows:
    found: dict[tuple[str, date, str], list[str]] = {}
    for read, site in profiles:
        for r in site.training.records:
            if r.on is not None and r.on <= on:
                row = [r.person, *_cells((r.course, r.on, r.trainer, r.language)), read]
                found.setdefault((r.person, r.on, r.course or ""), row)
    return [found[key] for key in sorted(found)]


def _inspections(profiles: tuple[Read, ...], on: date) -> Rows:
    found: dict[str, tuple[date, list[str]]] = {}
    for read, site in profiles:
        for part in site.equipment:
            i = part.inspection
            if i.last is None or i.last > on or (part.id in found and found[part.id][0] >= i.last):
                continue
            found[part.id] = (i.last, [part.id, *_cells((part.name or part.kind, part.serial, i.last, i.result, i.by)), read])
    return [found[key][1] for key in sorted(found)]


def _drills(profiles: tuple[Read, ...], on: date) -> Rows:
    found: dict[str, list[str]] = {}
    for read, site in profiles:
        for d in site.rescue.drills:
            if d.on is not None and d.on <= on:
                times = [q.text if q is not None else None for q in (d.contact, d.ground)]
                found.setdefault(d.id, [d.id, *_cells((d.on, d.method, d.shift, *times)), read])
    return [found[key] for key in sorted(found)]


def _events(profiles: tuple[Read, ...], on: date, t: Mapping[str, Any]) -> Rows:
    found: dict[str, list[str]] = {}
    for read, site in profiles:
        for e in site.events:
            if e.on is not None and e.on <= on:
                closed = e.closed_on if e.closed_on is not None and e.closed_on <= on else t["answers"]["open"]
                found[e.id] = [e.id, *_cells((e.kind, e.on, closed, e.text)), read]
    return [found[key] for key in sorted(found)]


def _cells(values: Iterable[object]) -> list[str]:
    return [cell(value) for value in values]


def destination(into: Path, site: str, on: date) -> Path:
    """The folder that is made."""
    return Path(into) / f"{site}-in-force-{on.isoformat()}"
