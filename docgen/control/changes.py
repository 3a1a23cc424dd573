"""What has changed since a revision: fields, clauses, approvals that lapse, who must be told, what hangs and is no longer right.

Two states are compared, each a profile with its texts and the records of its day; either may be a revision that was issued.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from docgen.compose.frame import SITE_PAGE
from docgen.compose.outline import outline, outlines
from docgen.compose.pieces import Body
from docgen.compose.standing import Standing, approval_of, needed_for
from docgen.compose.trace import Clause
from docgen.control import digests
from docgen.control.fields import FieldChange, field_changes, record_at
from docgen.control.kinds import Seen, kinds_of
from docgen.errors import RecordError
from docgen.frozen import frozen
from docgen.read import Source, read_text
from docgen.records import Issued, Records, issued_clauses
from docgen.site import Site

__all__ = ["Changes", "ClauseChange", "Deadline", "Replace", "State", "Tell", "compare", "current", "issued_state"]

NOTICE = "contractor-notice"


@frozen
class State:
    """One side of a comparison. `texts` is document -> language -> Body; `site` is None for a revision.

    `revisions` is (document, language) -> number; `codes` the digest of the data of law; `findings` are (name, path, line).
    """

    label: str
    source: Source
    texts: Mapping[str, Mapping[str, Body]]
    records: Records
    revisions: Mapping[tuple[str, str], int]
    codes: str
    findings: tuple[tuple[str, str, int | None], ...] = ()
    site: Site | None = None
    revision: Issued | None = None


@frozen
class ClauseChange:
    """One clause that differs. `how` is added, removed, text, or input where only what it rests on changed."""

    document: str
    language: str
    id: str
    how: str
    old: str
    new: str
    inputs: tuple[tuple[str, str, str], ...] = ()


@frozen
class Tell:
    """Somebody to retrain or tell: who in plain words, the people that the profile names, how, and for which change."""

    who: str
    names: tuple[str, ...]
    how: str
    kind: str


@frozen
class Replace:
    """A paper that hangs and is no longer what is in force or about to be."""

    posting: str
    place: str
    document: str
    language: str
    revision: int | None
    line: int | None


@frozen
class Deadline:
    """What has to be done by when. `when` is before-<something>, at once, same-day, days or hours; `on` the last day where there is one."""

    kind: str
    what: str
    when: str
    count: int | None
    on: date | None


@frozen
class Changes:
    """Everything that `docgen changes` reports."""

    site: str
    old: State
    new: State
    as_of: date
    fields: tuple[FieldChange, ...]
    other: tuple[FieldChange, ...]
    clauses: tuple[ClauseChange, ...]
    approvals: tuple[tuple[Standing, str], ...]
    missing: tuple[tuple[str, str, str], ...]
    kinds: tuple[Seen, ...]
    tell: tuple[Tell, ...]
    replace: tuple[Replace, ...]
    deadlines: tuple[Deadline, ...]

    @property
    def none(self) -> bool:
        return not (self.fields or self.clauses)

    @property
    def texts_changed(self) -> tuple[tuple[str, str], ...]:
        """(document, language) whose words differ, in document order."""
        return tuple(dict.fromkeys((c.document, c.language) for c in self.clauses if c.how != "input"))


def current(
    source: Source, site: Site, texts: Mapping[str, Mapping[str, Body]], records: Records, findings: tuple[tuple[str, str, int | None], ...]
) -> State:  # fmt: skip
    """The profile as it lies there today."""
    return State("the profile", source, texts, records, {}, digests.codes_digest(), findings, site)


def issued_state(records: Records, number: int | None) -> State:
    """What was in force once revision `number` was issued; None is the newest. RecordError where there is none."""
    if not records.issued:
        raise RecordError(
            "no revision has been issued yet, so there is nothing to compare with; docgen issue makes the first one"
        )
    revision = records.revision(number) if number is not None else records.issued[-1]
    if revision is None:
        raise RecordError(f"there is no revision {number}; there are 1 to {records.issued[-1].revision}")
    until = Records(
        records.folder, tuple(r for r in records.issued if r.revision <= revision.revision),
        tuple(a for a in records.approvals if a.on <= revision.on), records.holds,
    )  # fmt: skip
    texts: dict[str, dict[str, Body]] = {}
    revisions = {}
    for (document, language), (held, _) in until.posted().items():
        issued = until.revision(held)
        texts.setdefault(document, {})[language] = _body(issued, document, language)
        revisions[document, language] = held
    path = revision.folder / "profile.yaml"
    try:
        source = read_text(path.read_text(encoding="utf-8"), str(path))
    except OSError as error:
        raise RecordError(
            f"{path}: the record cannot be read ({error.strerror or error}); put the file back from a copy"
        ) from error
    if source.problems or source.data is None:
        raise RecordError(f"{path}: the record is damaged; put the file back from a copy")
    label = f"revision {revision.revision}"
    return State(
        label, source, texts, until, revisions, str(revision.digests.get("codes", "")), _findings(revision), None, revision
    )


def _findings(revision: Issued) -> tuple[tuple[str, str, int | None], ...]:
    import json

    path = revision.folder / "check.json"
    try:
        rows = json.loads(path.read_text(encoding="utf-8"))["findings"]
        return tuple((f["name"], f["path"], f["line"]) for f in rows)
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise RecordError(f"{path}: the record is damaged ({error}); put the file back from a copy") from error


def _body(issued: Issued, document: str, language: str) -> Body:
    """A body without its Markdown, as far as a record needs it."""
    sealed = [c for c in issued_clauses(issued) if (c.document, c.language) == (document, language)]
    clauses = tuple(Clause(c.id, c.text, c.inputs, c.cites) for c in sealed)
    digest = issued.text(document, language).digest
    return Body(document, language, "", clauses, digest, {}, {}, {c.id: c.section for c in sealed})


def compare(old: State, new: State, as_of: date) -> Changes:
    """Every difference between two states and what follows from it on that day."""
    fields = field_changes(old.source, new.source)
    clauses = _clause_changes(old, new)
    notice = any(c.document == NOTICE and c.how != "input" for c in clauses)
    extra = _beside_the_profile(old, new)
    kinds, other = kinds_of((*fields, *extra), old.source.data, new.source.data, notice)
    approvals, missing = _approvals(new)
    return Changes(
        site=str(new.source.data["site"]["id"]), old=old, new=new, as_of=as_of, fields=fields, other=other, clauses=clauses,
        approvals=approvals, missing=missing, kinds=kinds, tell=_tell(kinds, new.source.data),
        replace=_replace(clauses, old, new), deadlines=_deadlines(kinds, as_of),
    )  # fmt: skip


def _beside_the_profile(old: State, new: State) -> tuple[FieldChange, ...]:
    """Changes that no field shows: other data of law in the program, inspections that are overdue since."""
    found = []
    if new.revision is None and old.codes and old.codes != new.codes:
        found.append(FieldChange("program.codes", old.codes[:12], new.codes[:12], None, None))
    known = {(name, path) for name, path, _ in old.findings}
    for name, path, line in new.findings:
        if name.startswith("inspection-") and (name, path) not in known:
            found.append(FieldChange(f"finding.{name} {path}", None, name, line, None))
    return tuple(found)


def _clause_changes(old: State, new: State) -> tuple[ClauseChange, ...]:
    found = []
    order = [o.name for o in outlines()]
    for document in sorted({*old.texts, *new.texts}, key=lambda d: (order.index(d) if d in order else 99, d)):
        if document not in new.texts:
            continue
        for language in sorted({*old.texts.get(document, {}), *new.texts[document]}):
            before = {c.id: c for c in _clauses(old, document, language)}
            after = {c.id: c for c in _clauses(new, document, language)}
            for key in dict.fromkeys([*after, *before]):
                one, other = before.get(key), after.get(key)
                change = _one_clause(document, language, key, one, other)
                if change is not None:
                    found.append(change)
    return tuple(found)


def _clauses(state: State, document: str, language: str) -> tuple[Clause, ...]:
    body = state.texts.get(document, {}).get(language)
    return body.clauses if body else ()


def _one_clause(document: str, language: str, key: str, one: Clause | None, other: Clause | None) -> ClauseChange | None:
    before, after = (dict(c.inputs) if c else {} for c in (one, other))
    inputs = tuple(
        (p, before.get(p, "-"), after.get(p, "-")) for p in sorted(before.keys() | after.keys()) if before.get(p) != after.get(p)
    )
    texts = tuple(" ".join(c.text.split()) if c else "" for c in (one, other))
    if one is None or other is None:
        return ClauseChange(document, language, key, "added" if one is None else "removed", *texts)
    if texts[0] != texts[1]:
        return ClauseChange(document, language, key, "text", *texts, inputs)
    if inputs:
        return ClauseChange(document, language, key, "input", *texts, inputs)
    return None


def _approvals(new: State) -> tuple[tuple[tuple[Standing, str], ...], tuple[tuple[str, str, str], ...]]:
    """The newest approval of each document, role and language with its state; and (document, language, role) never given."""
    found: dict[tuple[str, str], Standing] = {}
    missing = []
    for document, texts in new.texts.items():
        if document == SITE_PAGE:
            continue
        given = dict.fromkeys(a.role for a in new.records.approvals if a.document == document)
        needed = needed_for(outline(document), new.site) if new.site else ()
        for language, body in sorted(texts.items()):
            for role in dict.fromkeys([*needed, *given]):
                standing = approval_of(document, role, language, {language: body}, new.records)
                if standing is None:
                    missing.append((document, language, role))
                else:
                    found[standing.approval.id, language] = standing
    order = sorted(found.items(), key=lambda item: item[0])
    return tuple((standing, language) for (_, language), standing in order), tuple(missing)


def _people(who: str, seen: Seen, data: Mapping[str, Any]) -> tuple[str, ...]:
    """The people whom a word of the table means, as the profile names them."""
    people = data.get("people") or {}
    roles = {r["id"]: r for r in data.get("roles") or [] if isinstance(r, dict)}

    def titles(*ids: Any) -> tuple[str, ...]:
        found = [roles[i] for i in dict.fromkeys(ids) if i in roles]
        return tuple(f"{r['title']} ({r['holder']})" if r.get("holder") else r["title"] for r in found)

    match who:
        case "users":
            return tuple(u["id"] for u in people.get("users") or [])
        case "rescuers":
            return tuple(r["id"] for r in people.get("rescuers") or [])
        case "crew":
            return tuple(p["id"] for key in ("users", "rescuers") for p in people.get(key) or [])
        case "supervisors":
            return titles(*(s.get("supervisor") for s in data.get("shifts") or []))
        case "owner":
            return titles((data.get("document") or {}).get("owner"))
        case "gate":
            return titles("gate")
        case "counsel":
            return tuple(r.get("name") or r["id"] for r in data.get("reviewers") or [] if r.get("role") == "counsel")
        case "carriers" | "contractors":
            return tuple(c["name"] for c in (data.get("contractors") or {}).get("classes") or [])
        case "person":
            return _involved(seen, data)
    return ()


def _involved(seen: Seen, data: Mapping[str, Any]) -> tuple[str, ...]:
    found: list[str] = []
    for change in seen.fields:
        section, _, rest = change.path.partition("[")
        name = rest.partition("]")[0]
        if section == "people.users":
            found.append(name)
        elif section == "events":
            found += record_at(data, "events", name).get("persons") or []
    return tuple(dict.fromkeys(found))


def _tell(kinds: tuple[Seen, ...], data: Mapping[str, Any]) -> tuple[Tell, ...]:
    return tuple(
        Tell(row["who"], _people(row["who"], seen, data), row["how"]["en"], seen.kind.name)
        for seen in kinds
        for row in seen.kind.row["tell"]
    )


def _replace(clauses: tuple[ClauseChange, ...], old: State, new: State) -> tuple[Replace, ...]:
    """Postings of a document whose words differ, or that hold another revision than the one in force."""
    changed = {(c.document, c.language) for c in clauses if c.how != "input"}
    found = []
    items = new.source.data.get("posting")
    for index, row in enumerate(items if isinstance(items, list) else []):
        key = (row.get("document"), row.get("language"))
        force = old.revisions.get(key)
        stale = force is not None and row.get("revision") is not None and row["revision"] != force
        if key in changed or stale:
            mark = new.source.marks.get(f"posting[{index}]")
            found.append(
                Replace(
                    row["id"],
                    row.get("place") or row["id"],
                    key[0],
                    key[1] or "",
                    row.get("revision"),
                    mark.line if mark else None,
                )
            )
    return tuple(found)


def _deadlines(kinds: tuple[Seen, ...], as_of: date) -> tuple[Deadline, ...]:
    found = []
    for seen in kinds:
        for row in seen.kind.row["by"]:
            what = row["what"]["en"]
            if "before" in row:
                found.append(Deadline(seen.kind.name, what, f"before-{row['before']}", None, None))
            elif "at" in row:
                found.append(Deadline(seen.kind.name, what, row["at"], None, as_of))
            elif "hours" in row:
                found.append(Deadline(seen.kind.name, what, "hours", row["hours"], None))
            else:
                found.append(Deadline(seen.kind.name, what, "days", row["days"], as_of + timedelta(days=row["days"])))
    return tuple(found)
