"""What has changed since a revision: fields, clauses, approvals that lapse, who must be told, what hangs and is no longer right.

Two states are compared, each a profile with its texts and the records of its day; either may be a revision that was issued.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from typing import Literal

from docgen.compose.digest import DIGEST_FORMAT, canonical_text
from docgen.compose.standing import Inputs, Standing, given, inputs_between, older_than, own_needed, resting_on
from docgen.control import digests
from docgen.control.fields import FieldChange, field_changes
from docgen.control.kinds import Said, Seen, Who, kinds_of
from docgen.control.stored import Found, stored_findings, stored_log, stored_shut, stored_site
from docgen.errors import RecordError
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.papers import outline, papers
from docgen.read import Source
from docgen.records import Clause, Issued, Records, Text, Withdrawal, revision_name
from docgen.site import Role, Site
from docgen.site.log import Arrest, Breach, Fit, Inspection, NearMiss, Tagged

__all__ = [
    "BESIDE",
    "Changes",
    "ClauseChange",
    "Deadline",
    "Missing",
    "Replace",
    "State",
    "Tell",
    "Texts",
    "compare",
    "current",
    "issued_state",
    "people_of",
]

#: Paths that stand for changes which no field shows: other data of law in the program, and findings that came up since.
LAW, FINDING = "program.codes", "finding"
BESIDE = (LAW, FINDING, "log.")
#: Kinds of entry of the log that ask something of people, and findings of the log that close something.
TOLD = (NearMiss, Breach, Arrest, Tagged, Fit, Inspection)
CLOSING = ("inspection-", "drill-over-target")

Texts = Mapping[str, Mapping[str, Text]]  # document -> language -> text


@frozen
class State:
    """One side of a comparison: the profile of today, or with `revision` what was in force once that was issued.

    `happened` is what the log says of it: of today, or as it was frozen with the revision. `shut` are the bays that its papers close, by decision or by a finding. `revisions` is (document, language) -> number; `codes` the digest of the data of law; `digest_format` how its clauses were digested.
    """

    source: Source
    site: Site
    happened: Happened
    texts: Texts
    records: Records
    revisions: Mapping[tuple[str, str], int]
    codes: str
    digest_format: int
    findings: tuple[Found, ...] = ()
    shut: frozenset[str] = frozenset()
    revision: Issued | None = None

    @property
    def number(self) -> int | None:
        """The revision, or None for the profile of today."""
        return self.revision.revision if self.revision else None


@frozen
class ClauseChange:
    """One clause that differs. `how` is added, removed, text, or input where only what it rests on changed."""

    document: str
    language: str
    id: str
    how: Literal["added", "removed", "text", "input"]
    old: str
    new: str
    inputs: Inputs = ()


@frozen
class Tell:
    """Somebody to retrain or tell: who, the people that the profile names, how, and for which change."""

    who: Who
    names: tuple[str, ...]
    how: Said
    kind: str


@frozen
class Replace:
    """A paper that hangs and is no longer what is in force or about to be.

    `revision` hangs there by the log, None where the log does not say; `hang` is the revision that comes in its place, None where it is
    not issued yet; `gone`: nothing comes in its place.
    """

    posting: str
    place: str
    document: str
    language: str
    revision: int | None
    line: int | None
    hang: int | None = None
    gone: bool = False


@frozen
class Deadline:
    """What has to be done by when. `when` is before-<something>, once, same-day, days or hours; `on` the last day where there is one."""

    kind: str
    what: Said
    when: str
    count: int | None
    on: date | None


@frozen
class Missing:
    """An approval that a document needs and that nobody has given."""

    document: str
    language: str
    role: str


@frozen
class Changes:
    """Everything that `docgen changes` reports. `comparable`: both states digest in one way, so that what clauses rest on can be compared."""

    site: str
    old: State
    new: State
    as_of: date
    comparable: bool
    fields: tuple[FieldChange, ...]
    other: tuple[FieldChange, ...]
    clauses: tuple[ClauseChange, ...]
    approvals: tuple[tuple[Standing, str], ...]
    missing: tuple[Missing, ...]
    kinds: tuple[Seen, ...]
    tell: tuple[Tell, ...]
    replace: tuple[Replace, ...]
    deadlines: tuple[Deadline, ...]

    @property
    def none(self) -> bool:
        """Whether neither a field nor a clause has changed."""
        return not (self.fields or self.clauses)

    @property
    def withdrawn(self) -> tuple[Withdrawal, ...]:
        """By which records revisions of the older state were withdrawn since: what they hold is in force no more."""
        numbers = sorted(set(self.old.revisions.values()))
        return tuple(w for n in numbers if (w := self.new.records.withdrawal_of(n)) is not None)

    @property
    def texts_changed(self) -> tuple[tuple[str, str], ...]:
        """(document, language) whose words differ, in document order."""
        return tuple(dict.fromkeys((c.document, c.language) for c in self.clauses if c.how != "input"))


def current(
    source: Source,
    site: Site,
    happened: Happened,
    texts: Texts,
    records: Records,
    findings: tuple[Found, ...],
    shut: Iterable[str],
) -> State:
    """The profile and the log as they lie there today."""
    return State(source, site, happened, texts, records, {}, digests.codes_digest(), DIGEST_FORMAT, findings, frozenset(shut))


def issued_state(records: Records, number: int | None) -> State:
    """What was in force once revision `number` was issued; None is the newest. RecordError where there is none."""
    if not records.issued:
        raise RecordError("nothing-issued-yet")
    revision = records.revision(number) if number is not None else records.issued[-1]
    if revision is None:
        raise RecordError("revision-unknown", revision=number or 0, last=records.issued[-1].revision)
    until = Records(
        records.folder,
        tuple(r for r in records.issued if r.revision <= revision.revision),
        tuple(a for a in records.approvals if a.on <= revision.on),
        tuple(w for w in records.withdrawals if w.on <= revision.on and w.name != revision_name(revision.revision)),
    )
    source, site = stored_site(records, revision)
    texts, revisions = texts_in_force(until)
    return State(
        source, site, Happened(site, stored_log(records, revision), revision.on), texts, until, revisions, revision.digests.codes, revision.digest_format, stored_findings(records, revision),
        stored_shut(records, revision), revision,
    )  # fmt: skip


def texts_in_force(records: Records) -> tuple[dict[str, dict[str, Text]], dict[tuple[str, str], int]]:
    """The newest issued text of each document and language, and the revision that holds it."""
    texts: dict[str, dict[str, Text]] = {}
    revisions: dict[tuple[str, str], int] = {}
    for revision in records.issued:
        for text in records.texts_of(revision):
            texts.setdefault(text.document, {})[text.language] = text
            revisions[text.document, text.language] = revision.revision
    return texts, revisions


def compare(old: State, new: State, as_of: date) -> Changes:
    """Every difference between two states and what follows from it on that day."""
    comparable = old.digest_format == new.digest_format
    fields = field_changes(old.source, new.source)
    clauses = tuple(_clause_changes(old.texts, new.texts, comparable))
    notices = {o.name for o in papers() if o.posted and any(a.part == "counsel" for a in o.approvals)}
    posted = any(c.document.partition(".")[0] in notices and c.how != "input" for c in clauses)
    kinds, other = kinds_of((*fields, *_beside_the_profile(old, new)), old.site, new.site, posted)
    approvals, missing = _approvals(new)
    return Changes(
        site=new.site.site.id, old=old, new=new, as_of=as_of, comparable=comparable, fields=fields, other=other, clauses=clauses,
        approvals=approvals, missing=missing, kinds=kinds, tell=_tell(kinds, new.happened, as_of), replace=_replace(clauses, old, new),
        deadlines=tuple(_deadlines(kinds, as_of)),
    )  # fmt: skip


def _beside_the_profile(old: State, new: State) -> Iterator[FieldChange]:
    """Changes that no field shows: other data of law in the program, which bays are closed or open since, what the log holds since, what fell due or was stopped since."""
    if new.revision is None and old.codes != new.codes:
        yield FieldChange(LAW, old.codes[:12], new.codes[:12], None, None)
    for bay in (b.id for b in new.site.bays if old.site.bay(b.id) is not None):
        was, now = ("shut" if bay in state.shut else None for state in (old, new))
        if was != now:
            yield FieldChange(f"{FINDING}.bay-shut bays[{bay}]", was, now, None, None)
    before = {e.mark for e in old.happened.log.entries}
    for kind in TOLD:
        for entry in new.happened.of(kind):
            passed = isinstance(entry, Inspection) and entry.result == "pass"
            if entry.mark not in before and not passed:
                result = entry.result if isinstance(entry, Fit | Inspection) else None
                line = new.happened.line(entry.path)
                yield FieldChange(f"log.{entry.kind}[{entry.mark}]", None, result or str(entry.on), line, None)
    known = {(f.name, f.path) for f in old.findings}
    for f in new.findings:
        if f.name.startswith(CLOSING) and (f.name, f.path) not in known:
            yield FieldChange(f"{FINDING}.{f.name} {f.path}", None, f.name, f.line, None)


def _clause_changes(old: Texts, new: Texts, comparable: bool) -> Iterator[ClauseChange]:
    order = [o.name for o in papers()]
    for document in sorted(new, key=lambda d: (order.index(d) if d in order else len(order), d)):
        before = old.get(document, {})
        for language in sorted({*before, *new[document]}):
            olds, news = _by_id(before.get(language)), _by_id(new[document].get(language))
            for key in dict.fromkeys([*news, *olds]):
                change = _one_clause(document, language, olds.get(key), news.get(key), comparable)
                if change is not None:
                    yield change


def _by_id(text: Text | None) -> dict[str, Clause]:
    return {c.id: c for c in text.clauses} if text else {}


def _one_clause(document: str, language: str, one: Clause | None, other: Clause | None, comparable: bool) -> ClauseChange | None:
    if one is None:
        return ClauseChange(document, language, other.id, "added", "", canonical_text(other.text)) if other else None
    before = canonical_text(one.text)
    if other is None:
        return ClauseChange(document, language, one.id, "removed", before, "")
    after = canonical_text(other.text)
    inputs = inputs_between(one, other) if comparable else ()
    if before == after and not inputs:
        return None
    return ClauseChange(document, language, one.id, "text" if before != after else "input", before, after, inputs)


def _approvals(new: State) -> tuple[tuple[tuple[Standing, str], ...], tuple[Missing, ...]]:
    """The newest approval of each document, role and language with its state; and those never given."""
    found: dict[tuple[str, str], Standing] = {}
    missing = []
    for document, texts in new.texts.items():
        roles = dict.fromkeys(a.role for a in new.records.unwithdrawn if a.document == document)
        needed = own_needed(outline(document), new.site) if new.revision is None else ()
        for language, text in sorted(texts.items()):
            for role in dict.fromkeys([*needed, *roles]):
                there = given(document, role, language, {language: text}, new.records)
                standing = there.standing
                if standing is None or (standing.stands and role in needed and not there.whole):
                    missing.append(Missing(document, language, role))
                if standing is not None:
                    found[standing.approval.id, language] = standing
            for paper, role in resting_on(document, new.site) if new.revision is None else ():
                base = new.texts.get(paper, {}).get(language)
                on_record = given(paper, role, language, {language: base}, new.records).standing if base is not None else None
                if (
                    on_record is not None
                    and on_record.stands
                    and older_than(document, language, text.digest, on_record.approval, new.records, new.site)
                ):
                    missing.append(Missing(paper, language, role))
    order = sorted(found.items(), key=lambda item: item[0])
    return tuple((standing, language) for (_, language), standing in order), tuple(dict.fromkeys(missing))


def _holders(roles: Iterable[Role | None], day: date) -> tuple[str, ...]:
    found = {role.title: role.on(day) for role in roles if role is not None}
    return tuple(f"{title} ({holder.called_on(day)})" if holder else title for title, holder in found.items())


def _people(who: Who, seen: Seen | None, happened: Happened, day: date) -> tuple[str, ...]:
    """The people whom a word of the table means, as the profile names them for that day."""
    site = happened.site
    users = tuple(u.id for u in site.people.users)
    rescuers = tuple(r.id for r in site.people.rescuers)
    match who:
        case "users":
            return users
        case "rescuers":
            return rescuers
        case "crew":
            return users + rescuers
        case "supervisors":
            return _holders((site.role(s.supervisor) for s in site.shifts), day)
        case "owner":
            return _holders((site.role(site.document.owner),), day)
        case "gate":
            return _holders(site.roles_of("gate-operator"), day)
        case "counsel":
            return site.named_for("counsel", day)
        case "carriers" | "contractors":
            return tuple(c.name for c in site.contractors.classes)
        case "fire-service":
            return tuple(name for name in (site.rescue.external.agency,) if name)
        case "person":
            return _involved(seen, happened) if seen is not None else ()
        case "consultant" | "insurer" | "regulator":
            return ()  # nobody whom a profile names


def _involved(seen: Seen, happened: Happened) -> tuple[str, ...]:
    concerned = {e.path: e.persons for e in happened.events} | {f.path: (f.person,) for f in happened.of(Fit)}
    found: list[str] = []
    for change in seen.fields:
        section, _, rest = change.path.partition("[")
        name = rest.partition("]")[0]
        if section == "people.users":
            found.append(name)
        elif section.startswith("log."):
            found += concerned.get(f"log[{name}]", ())
    return tuple(dict.fromkeys(found))


def _tell(kinds: tuple[Seen, ...], happened: Happened, day: date) -> tuple[Tell, ...]:
    """What the table says, and what climbers are told also to the classes of contractors who climb."""
    found = []
    climbing = tuple(c.name for c in happened.site.contractors.classes if c.may_climb)
    for seen in kinds:
        for row in seen.kind.tell:
            found.append(Tell(row.who, _people(row.who, seen, happened, day), row.how, seen.kind.name))
        users = next((row for row in seen.kind.tell if row.who in ("users", "crew")), None)
        if users is not None and climbing and not any(row.who == "contractors" for row in seen.kind.tell):
            found.append(Tell("contractors", climbing, users.how, seen.kind.name))
    return tuple(found)


def people_of(who: Who, changes: Changes) -> tuple[str, ...]:
    """The people whom a word of the table means on the day of the comparison; nobody for those involved in one change."""
    return _people(who, None, changes.new.happened, changes.as_of)


def _replace(clauses: tuple[ClauseChange, ...], old: State, new: State) -> tuple[Replace, ...]:
    """Postings of a paper whose words differ, or that hold another revision than the one in force, and those whose paper is gone.

    A paper that is new has no older copy to take down; what comes is the revision that holds its text, where it is issued. Of a revision
    that was withdrawn every copy comes down, and none is hung.
    """
    changed = {(c.document, c.language) for c in clauses if c.how != "input"}
    found = []
    for row in new.site.posting:
        document, language = row.paper, row.language or ""
        force = (new if new.revision is not None else old).revisions.get((document, language))
        hanging = new.happened.hangs(row.id)
        revision = hanging.revision if hanging is not None else None
        void = force is not None and new.records.withdrawal_of(force) is not None
        stale = hanging is not None and force is not None and (void or revision not in (None, force))
        if not ((document, language) in changed or stale):
            continue
        hang = None if void or ((document, language) in changed and new.revision is None) else force
        found.append(Replace(row.id, row.place or row.id, document, language, revision, new.site.line(row.path), hang))
    known = {row.id for row in new.site.posting}
    for row in old.site.posting:
        hanging = new.happened.hangs(row.id)
        if row.id not in known and (row.paper, row.language or "") in old.revisions:
            found.append(
                Replace(
                    row.id,
                    row.place or row.id,
                    row.paper,
                    row.language or "",
                    hanging.revision if hanging else None,
                    None,
                    gone=True,
                )
            )
    return tuple(found)


def _deadlines(kinds: tuple[Seen, ...], as_of: date) -> Iterator[Deadline]:
    for seen in kinds:
        for row in seen.kind.by:
            if row.before is not None:
                yield Deadline(seen.kind.name, row.what, f"before-{row.before}", None, None)
            elif row.at is not None:
                yield Deadline(seen.kind.name, row.what, row.at, None, as_of)
            elif row.hours is not None:
                yield Deadline(seen.kind.name, row.what, "hours", row.hours, None)
            elif row.days is not None:
                yield Deadline(seen.kind.name, row.what, "days", row.days, as_of + timedelta(days=row.days))
