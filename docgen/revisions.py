"""What is done with the records of one site: approve, issue, compare, register, show, hold, enter what happened.

`language` is that of the sentences and papers made here; the documents of the site come in the languages of its profile.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from docgen.checked import Assessed, Refused
from docgen.errors import RecordError, Refusal
from docgen.papers import outline, papers
from docgen.pipeline import check_site, compared_site, guard_of, no_weight_in, render_site, stated, whole_records
from docgen.profile import Profile, site_folder
from docgen.records import read_records
from docgen.site import build

if TYPE_CHECKING:
    from docgen.compose.document import Document
    from docgen.compose.states import Bodies
    from docgen.control.approve import Request, Taken
    from docgen.control.changes import Changes, State
    from docgen.control.log import Fault, Given, Prepared
    from docgen.control.replace import Replaced
    from docgen.control.show import Past
    from docgen.control.stored import Found
    from docgen.control.withdraw import Taken as Withdrawn
    from docgen.control.written import Written as WrittenBy
    from docgen.records import Issued, Records
    from docgen.write.folder import Written

__all__ = [
    "approve_site",
    "compare_site",
    "hold_site",
    "issue_site",
    "log_site",
    "papers_of",
    "register_papers",
    "replace_in_site",
    "scans_of",
    "show_site",
    "state_of",
    "to_hang",
    "withdraw_site",
    "withdrawn_papers",
    "written_by",
]


def _possible_day(checked: Assessed) -> None:
    """Refusal where nothing can have been done on the day of the check, since the site had not begun."""
    from docgen.control.judge import wrong_day

    if (wrong := wrong_day(checked.as_of, checked.site, checked.log, checked.as_of)) is not None:
        raise wrong


def approve_site(checked: Assessed, path: Path, request: Request, language: str, key: Path | None = None) -> Taken:
    """Record one approval in the site folder, bound to the text as it is on the day of the approval; signed where a key is given."""
    from docgen.control.approve import drafted, recorded
    from docgen.control.untold import untold
    from docgen.filing import as_bytes

    untold(
        guard_of(checked), by=request.by, note=request.note, entered_by=request.entered_by, licence=request.licence, jurisdiction=request.jurisdiction,
        scope=request.scope, role=request.role, document=request.document, digest=request.digest,
    )  # fmt: skip
    _possible_day(checked)
    checked, bodies = compared_site(checked)
    approval = drafted(request, checked, bodies, language)
    no_weight_in({"approval": as_bytes(approval).decode("utf-8")}, checked)
    return recorded(approval, request.evidence, site_folder(path), key)


def issue_site(
    checked: Assessed,
    path: Path,
    types: tuple[str, ...],
    language: str,
    wanted: tuple[str, ...] = (),
    reason: str | None = None,
    by: str | None = None,
    key: Path | None = None,
) -> tuple[Issued | None, tuple[Refusal, ...]]:
    """Issue what has changed (or the documents wanted) as the next revision on the day of the check; signed where a key is given.

    Gives back the revision, or None and every reason against it.
    """
    from docgen.control import issue
    from docgen.control.sign import Signer
    from docgen.control.untold import frozen_tells, untold
    from docgen.report import as_json
    from docgen.write.folder import possible

    folder, guard = site_folder(path), guard_of(checked)
    untold(guard, reason=reason, by=by, document=wanted)
    _possible_day(checked)
    signer = Signer(key) if key is not None else None
    checked, bodies = compared_site(checked)
    # one reading for what is refused and for the number: whoever issued meanwhile has left nothing to issue, or has taken the number
    newest = whole_records(folder, checked.site.site.id)
    checked = stated(replace(checked, records=newest.until(checked.as_of)), bodies)
    chosen = issue.choose(checked, bodies, wanted)
    against = (*issue.refusals(checked, bodies, chosen, language), *frozen_tells(checked, guard))
    if against:
        return None, against
    reason = reason or _what_changed(checked, bodies, chosen, language)
    made = issue.draft(checked, bodies, chosen, possible(types), checked.as_of, reason, by, newest, language)
    contents = issue.contents_of(made, checked, bodies, possible(types), as_json(checked, language).encode("utf-8"), signer)
    no_weight_in(
        {name: data.decode("utf-8") for name, data in contents.items() if name.endswith((".md", ".json", ".yaml"))}, checked
    )
    issue.issue(made, contents, folder, held=checked.happened.held is not None)
    return made, ()


def log_site(
    profile: Profile, given: Sequence[Given], today: date, corrects: str | None = None, reason: str | None = None
) -> Prepared:
    """Entries for the log of a site, checked on the day on which they are entered; `docgen.control.log.write` writes them.

    `corrects` names an entry that the first one replaces, for a reason. Refusal where profile or log have problems.
    """
    from docgen.control.log import prepare

    if profile.problems:
        raise Refusal("profile-has-problems")
    records = read_records(profile.folder, build(profile.source).site.id)
    return prepare(profile, given, today, records, corrects, reason)


def scans_of(profile: Profile, path: Path, common: Mapping[str, str]) -> tuple[list[Given], list[Fault]] | None:
    """The scans of a walk along the papers that hang, as entries for `log_site`; None where the file is a table.

    Refusal where the profile has problems of its own, or the file cannot be read.
    """
    from docgen.control.scans import scanned

    if profile.problems:
        raise Refusal("profile-has-problems")
    site = build(profile.source)
    return scanned(path, site, read_records(profile.folder, site.site.id), common)


def _what_changed(checked: Assessed, bodies: Bodies, chosen: tuple[str, ...], language: str) -> str | None:
    """What changed since the newest revision, for the history; None where these papers are new or no older text can be read."""
    from docgen.control.changes import compare, issued_state
    from docgen.control.plain import in_short

    if all(checked.records.in_force(name, of) is None for name in chosen for of in bodies[name]):
        return None
    try:
        old = issued_state(checked.records, None)
    except RecordError:
        return None
    new = state_of(checked, bodies)
    return in_short(compare(old, new, checked.as_of), language)


def to_hang(checked: Assessed, made: Issued, language: str) -> tuple[str, ...]:
    """Where the papers of a new revision hang: what to take down there and what to hang, a line a paper."""
    from docgen.control.tell import hung_anew

    return hung_anew(made, checked.happened, language)


def compare_site(checked: Assessed, since: int | None = None, to: int | None = None) -> Changes:
    """Compare the profile (or revision `to`) with revision `since`, by default the newest one."""
    from docgen.control.changes import compare, issued_state

    checked, bodies = compared_site(checked)
    old = issued_state(checked.records, since)
    if to is not None:
        return compare(old, issued_state(checked.records, to), checked.as_of)
    new = state_of(checked, bodies)
    return compare(old, new, checked.as_of)


def state_of(checked: Assessed, bodies: Bodies) -> State:
    """A site as it is today, to be compared with another state of it."""
    from docgen.control.changes import current

    shut = frozenset(state.bay for state in checked.assessed.planned if state.shut)  # what the papers of today close
    return current(checked.source, checked.site, checked.happened, bodies, checked.records, _found(checked), shut)


def _found(checked: Assessed, language: str | None = None) -> tuple[Found, ...]:
    """The findings of today as a report would store them; their sentences only where a language is given."""
    from docgen.control.stored import Found
    from docgen.words import finding_text

    system = checked.assessed.system
    return tuple(
        Found(f.severity, f.name, f.path, f.line, finding_text(f, "message", language, system) if language else "")
        for f in checked.assessed.findings
    )


def papers_of(
    checked: Assessed, changes: Changes, types: tuple[str, ...], redline: bool, by: str | None, language: str
) -> dict[str, bytes]:
    """Files that go with a comparison: the change brief, the comparison itself, the posting list of what is issued, redlines if wanted."""
    from docgen.control.brief import change_brief
    from docgen.control.redlines import redlines
    from docgen.control.register import posting_list
    from docgen.control.tell import FORMATS
    from docgen.control.untold import untold
    from docgen.write import WRITERS

    untold(guard_of(checked), author=by)
    site, code, new = checked.site, checked.code, changes.new
    contents = {
        f"changes.{end}": FORMATS[name](changes, language).encode("utf-8") for end, name in (("txt", "all"), ("json", "json"))
    }
    papers = [change_brief(changes, site, code, language)]
    if places := [r.posting for r in changes.replace if r.hang is not None]:  # what is not issued yet is hung nowhere
        papers.append(posting_list(new.happened, code, new.records, new.texts, changes.as_of, language, only=places))
    for paper in papers:
        contents.update({f"{paper.name}.{t}": WRITERS[t](paper).data for t in types if t in ("docx", "pdf")})
    if redline:
        today = _documents(checked, changes, types) if new.revision is None else None
        contents.update(redlines(changes, today, by, language))
    return contents


def _documents(checked: Assessed, changes: Changes, types: tuple[str, ...]) -> dict[tuple[str, str], Document]:
    """The documents of today whose words differ."""
    from docgen.compose import compose_all

    wanted = tuple(dict.fromkeys(document for document, _ in changes.texts_changed))
    if not wanted:
        return {}
    made = compose_all(
        checked.site, checked.code, checked.assessed, checked.happened, types, wanted=wanted, records=checked.records
    )
    return {(d.name, b.language): d for d, b in made}


def register_papers(checked: Assessed, types: tuple[str, ...], language: str) -> dict[str, bytes]:
    """The clause register of each paper that hangs on the site, in each language, and the posting list of all places."""
    from docgen.control.register import clause_register, posting_list
    from docgen.write import WRITERS

    checked, bodies = compared_site(checked)
    site, code, day = checked.site, checked.code, checked.as_of
    made = {}
    for name, versions in bodies.items():
        for of, body in versions.items() if outline(name).posted else ():
            stem = f"clause-register.{name}.{of}" if len(versions) > 1 else f"clause-register.{name}"
            made[stem] = clause_register(body, site, code, checked.records, checked.source.file, day, language)
    made["posting-list"] = posting_list(checked.happened, code, checked.records, bodies, day, language, everything=True)
    return {f"{stem}.{t}": WRITERS[t](paper).data for stem, paper in made.items() for t in types if t != "md"}


def show_site(path: Path, on: date, into: Path, language: str) -> Path:
    """Gather what was in force on a day in a new folder below `into`, and give that folder back."""
    from docgen.control.safe import new_folder
    from docgen.control.show import destination, gather

    today = check_site(path, on)
    if isinstance(today, Refused):
        raise Refusal("profile-has-problems")
    contents = gather(today.happened, today.code, today.records, on, _past(today, today.records, language), language)
    target = destination(into, today.site.site.id, on)
    try:
        new_folder(target, contents)
    except FileExistsError:
        raise Refusal("folder-is-there", folder=str(target)) from None
    return target


def _past(today: Assessed, records: Records, language: str) -> Past:
    """The findings of the newest revision as they were stored, and the revisions whose profile is not read any more."""
    from docgen.control.show import Past
    from docgen.control.stored import stored_findings, stored_site

    unread = []
    for revision in records.issued:
        try:
            stored_site(records, revision)
        except RecordError as error:
            if error.name != "profile-of-another-form":
                raise
            unread.append(revision.revision)
    last = records.issued[-1] if records.issued else None
    findings = stored_findings(records, last) if last else _found(today, language)
    return Past(tuple(unread), findings, last)


def withdraw_site(
    checked: Assessed, path: Path, name: str, by: str, reason: str, key: Path | None = None, today: date | None = None
) -> Withdrawn:
    """Take a revision or an approval out of force on the day of the check, `today` or an earlier one; signed where a key is given."""
    from docgen.control.untold import untold
    from docgen.control.withdraw import Taken, drafted, recorded
    from docgen.filing import as_bytes

    untold(guard_of(checked), by=by, reason=reason)
    folder = site_folder(path)
    _possible_day(checked)
    records = whole_records(folder, checked.site.site.id)
    made, places = drafted(name, by, checked.as_of, reason, checked, records, today or checked.as_of)
    no_weight_in({"withdrawal": as_bytes(made).decode("utf-8")}, checked)
    made, file, digest = recorded(made, folder, key)
    return Taken(made, file, digest, places)


def withdrawn_papers(path: Path, taken: Withdrawn, into: Path, types: tuple[str, ...], language: str) -> tuple[Written, ...]:
    """After a revision was withdrawn: the list of the places with its copies, and the sheets of the bays that are closed now, below `into`."""
    from docgen.control.withdraw import withdrawal_paper
    from docgen.write import WRITERS
    from docgen.write.folder import place_papers

    today = check_site(path, taken.withdrawal.on)
    if isinstance(today, Refused):
        raise Refusal("profile-has-problems")
    records = whole_records(site_folder(path), today.site.site.id)
    revision = next(r for r in records.issued if records.withdrawal_of(r.revision) == taken.withdrawal)
    page = withdrawal_paper(taken.withdrawal, revision, taken.places, today.site, today.code, today.as_of, language)
    contents = {f"withdrawal.{t}": WRITERS[t](page).data for t in types if t != "md"}
    listed = place_papers(into / today.site.site.id / "withdrawal", contents, today.happened.held is not None)
    sheets = tuple(o.name for o in papers() if o.bays == "closed" and o.written)
    return listed, render_site(today, into, types, sheets)


def written_by(path: Path, version: str, on: date) -> tuple[WrittenBy, ...]:
    """The revisions of a site that a version of the program wrote, up to a day, and where their papers hang."""
    from docgen.control.written import written_by as found

    today = check_site(path, on)
    if isinstance(today, Refused):
        raise Refusal("profile-has-problems")
    return found(today.records, today.happened, version)


def replace_in_site(
    checked: Assessed, path: Path, old: str, new: str, name: str | None, reason: str | None, preview: bool
) -> Replaced:
    """Replace a part, a person or a vehicle in the profile on the day of the check; with `preview` nothing is written."""
    from docgen.control.replace import replaced, write
    from docgen.control.untold import untold

    untold(guard_of(checked), by=new, name=name, reason=reason)
    _possible_day(checked)
    path = Path(path)
    file = path / "profile.yaml" if path.is_dir() else path
    made = replaced(file, old, new, checked.as_of, name, reason)
    if not preview:
        write(made)
    return made


def hold_site(checked: Assessed, path: Path, state: Literal["on", "off"], by: str, reason: str) -> Path:
    """Put the records of a site on hold, or lift the hold, on the day of the check; gives back the log that holds the entry."""
    from docgen.control.hold import set_hold
    from docgen.control.untold import untold

    untold(guard_of(checked), by=by, reason=reason)
    _possible_day(checked)
    return set_hold(site_folder(path), checked.source, checked.happened, state, by, checked.as_of, reason)
