"""What was in force on a day, gathered in one folder: documents, approvals, postings, training, inspections, open findings.

Everything comes from the records and from the profiles in them; an entry of today's profile counts where it is dated on or
before that day. Each row says where it was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from docgen.codes import Code
from docgen.compose.standing import standing
from docgen.control import digests
from docgen.control.changes import issued_state
from docgen.control.page import paper
from docgen.errors import RecordError
from docgen.records import Issued, Records, sha256
from docgen.site import Site
from docgen.words import words

__all__ = ["destination", "gather"]

Named = tuple[str, Site]  # where it was read, and the profile


def gather(
    site: Site, code: Code, records: Records, on: date, profiles: tuple[Named, ...], findings: Iterable[tuple[str, str, str, str]]
) -> dict[str, bytes]:  # fmt: skip
    """Every file of the folder by name, the list of digests last.

    `records` are those up to that day; `profiles` the ones in the records and today's, newest last; `findings` rows of
    (severity, name, where, message) as of that day. RecordError if a record is not what it was when it was made.
    """
    contents: dict[str, bytes] = {}
    in_force = {number for number, _ in records.posted().values()}
    for revision in records.issued:
        if revision.revision not in in_force:
            continue
        if wrong := digests.verify(revision.folder):
            raise RecordError(f"{revision.folder}: {wrong[0]}; put it back from a copy before anything is shown from it")
        for path in sorted(p for p in revision.folder.rglob("*") if p.is_file()):
            contents[f"revisions/{revision.folder.name}/{path.relative_to(revision.folder).as_posix()}"] = path.read_bytes()
    for approval in records.approvals:
        contents[f"approvals/{approval.id}.json"] = (records.folder / "approvals" / f"{approval.id}.json").read_bytes()
        if approval.evidence:
            path = records.folder / "approvals" / approval.evidence
            if not path.is_file() or sha256(path.read_bytes()) != approval.evidence_sha256:
                raise RecordError(
                    f"{path}: the signed page of {approval.id} is missing or not the one recorded; put it back from a copy"
                )
            contents[f"approvals/{approval.evidence}"] = path.read_bytes()
    for hold in records.holds:
        contents[f"holds/{hold.id}.json"] = (records.folder / "holds" / f"{hold.id}.json").read_bytes()
    t = words("en")["changes"]
    values: dict[str, Any] = {
        "site_name": site.site.name, "on": on, "nothing": not records.issued, "documents": _documents(records),
        "approvals": _approvals(records), "files": [*sorted(contents), "contents.md", "index.html"],
        "parts": [
            _part("revisions", t, [_revision(r) for r in records.issued]),
            _part("postings", t, _postings(profiles, on)),
            _part("training", t, _training(profiles, on)),
            _part("inspections", t, _inspections(profiles, on)),
            _part("drills", t, _drills(profiles, on)),
            _part("events", t, _events(profiles, on)),
            _part("findings", t, [list(row) for row in findings]),
            _part("holds", t, [[h.id, h.state, h.on.isoformat(), h.by, h.reason] for h in records.holds]),
        ],
    }  # fmt: skip
    page = paper("in-force", f"{t['record_title']}: {on.isoformat()}", values, site, code, on)
    from docgen.write import WRITERS

    contents["contents.md"] = WRITERS["md"](page).data
    contents["index.html"] = WRITERS["html"](page).data
    contents[digests.SUMS] = digests.sums(contents)
    return contents


def _part(name: str, t: Mapping[str, Any], rows: list[list[str]]) -> dict[str, Any]:
    return {"id": name, "title": t["parts"][name]["title"], "columns": t["parts"][name]["columns"], "rows": rows}


def _documents(records: Records) -> list[dict[str, Any]]:
    rows = []
    for (document, language), (number, day) in sorted(records.posted().items()):
        revision = records.revision(number)
        text = revision.text(document, language)
        rows.append({
            "title": text.title, "language": language, "revision": number, "on": day.isoformat(), "digest": text.digest[:16],
            "files": ", ".join(f"revisions/{revision.folder.name}/{name}" for name in text.names),
        })  # fmt: skip
    return rows


def _revision(r: Issued) -> list[str]:
    return [str(r.revision), r.on.isoformat(), ", ".join(dict.fromkeys(t.title for t in r.texts)), r.reason, r.issued_by or "–"]


def _approvals(records: Records) -> list[dict[str, str]]:
    if not records.issued:
        texts: Mapping[str, Any] = {}
    else:
        texts = issued_state(records, None).texts
    titles = words("en")["approvals"]
    rows = []
    for a in records.approvals:
        bodies = texts.get(a.document)
        stood = "–" if bodies is None else "yes" if standing(a, bodies).stands else "no"
        licence = f"{a.licence}, {a.jurisdiction}, to {a.expires.isoformat()}" if a.licence else "–"
        rows.append({
            "id": a.id, "document": a.document, "role": titles.get(a.role, a.role), "by": a.by, "licence": licence,
            "on": a.on.isoformat(), "scope": ", ".join(a.scope), "stood": stood,
        })  # fmt: skip
    return rows


def _postings(profiles: tuple[Named, ...], on: date) -> list[list[str]]:
    """Each place with the copy that hung there on that day: the last one hung by then, else what is known of the place."""
    found: dict[str, tuple[date, list[str]]] = {}
    last = profiles[-1][0]
    for label, site in profiles:
        for p in site.posting:
            if p.posted_on is not None and p.posted_on > on:
                continue
            if p.posted_on is None and label == last and len(profiles) > 1:
                continue  # what today's profile says without a day says nothing about that day
            seen = p.last_checked if p.last_checked is not None and p.last_checked <= on else None
            row = [
                p.id, p.place or "–", p.document or "–", p.language or "–", str(p.revision) if p.revision is not None else "not recorded",
                _day(p.posted_on), p.posted_by or "–", p.witness or "–", p.photo or "–", _day(seen), label,
            ]  # fmt: skip
            if p.id not in found or (p.posted_on or date.min) >= found[p.id][0]:
                found[p.id] = (p.posted_on or date.min, row)
    return [row for _, row in found.values()]


def _training(profiles: tuple[Named, ...], on: date) -> list[list[str]]:
    found: dict[tuple[Any, ...], list[str]] = {}
    for label, site in profiles:
        for r in site.training.records:
            if r.on is not None and r.on <= on:
                row = [r.person, r.course or "–", _day(r.on), r.trainer or "–", r.language or "–", label]
                found.setdefault((r.person, r.course, r.on), row)
    return [found[key] for key in sorted(found, key=lambda k: (k[0], k[2], k[1] or ""))]


def _inspections(profiles: tuple[Named, ...], on: date) -> list[list[str]]:
    found: dict[str, tuple[date, list[str]]] = {}
    for label, site in profiles:
        for part in site.equipment:
            i = part.inspection
            if i.last is None or i.last > on or (part.id in found and found[part.id][0] >= i.last):
                continue
            row = [part.id, part.name or part.kind, part.serial or "–", _day(i.last), i.result or "–", i.by or "–", label]
            found[part.id] = (i.last, row)
    return [found[key][1] for key in sorted(found)]


def _drills(profiles: tuple[Named, ...], on: date) -> list[list[str]]:
    found: dict[str, list[str]] = {}
    for label, site in profiles:
        for d in site.rescue.drills:
            if d.on is not None and d.on <= on:
                times = [q.text if q is not None else "–" for q in (d.contact, d.ground)]
                found.setdefault(d.id, [d.id, _day(d.on), d.method or "–", d.shift or "–", *times, label])
    return [found[key] for key in sorted(found)]


def _events(profiles: tuple[Named, ...], on: date) -> list[list[str]]:
    found: dict[str, list[str]] = {}
    for label, site in profiles:
        for e in site.events:
            if e.on is not None and e.on <= on:
                closed = _day(e.closed_on) if e.closed_on is not None and e.closed_on <= on else "open"
                found[e.id] = [e.id, e.kind or "–", _day(e.on), closed, e.text or "–", label]
    return [found[key] for key in sorted(found)]


def _day(day: date | None) -> str:
    return day.isoformat() if day is not None else "–"


def destination(into: Path, site: str, on: date) -> Path:
    """The folder that is made."""
    return Path(into) / f"{site}-in-force-{on.isoformat()}"
