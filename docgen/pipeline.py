"""The whole way of one site on one screen: read, check, build, assess, compose, write."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.assess import assess, with_findings
from docgen.assess.find_screens import found_in
from docgen.assess.fit import fit_limits, public_masses
from docgen.assess.governing import owner_sets
from docgen.check import check
from docgen.checked import Checked
from docgen.codes import load
from docgen.errors import CodeError, DocgenError, UsageError
from docgen.private import Facts, Guard, guard_for, leaks_in
from docgen.read import Mark, Problem, Source, read_profile
from docgen.records import read_records
from docgen.site import Site, build

if TYPE_CHECKING:
    from docgen.codes import Code
    from docgen.compose.compose import Body
    from docgen.control.approve import Request, Taken
    from docgen.control.changes import Changes
    from docgen.records import Issued
    from docgen.write.folder import Written

__all__ = [
    "approve_site",
    "check_site",
    "compare_site",
    "compared_site",
    "hold_site",
    "issue_site",
    "papers_of",
    "register_papers",
    "render_site",
    "show_site",
    "site_folder",
]

Bodies = Mapping[str, Mapping[str, "Body"]]


def check_site(path: Path, as_of: date, extra_roots: Iterable[Path] = ()) -> Checked:
    """Read, check and assess one profile. Problems are results; only an unreadable file raises.

    `extra_roots` are folders with sets of law that are searched before the built-in ones.
    """
    source = read_profile(path)
    guard = guard_for(site_folder(path), _tells_a_weight)
    guard.learn(source.data)
    problems = guard.clean(check(source)) + guard.problems
    if not problems:
        source, withheld = guard.withhold(source, _withheld_text)
        problems = source.problems
    if problems:
        return Checked(source, as_of, problems)
    site = build(source)
    try:
        code = load(site.site.jurisdiction, site.site.sector, as_of, extra_roots)
    except CodeError as error:
        return Checked(source, as_of, (_wrong_law(site, source, "site.jurisdiction", error),))
    try:
        owner_sets(site, code)
    except CodeError as error:
        return Checked(source, as_of, (_wrong_law(site, source, "codes.owner", error),))
    records = read_records(site_folder(path), site.site.id).until(as_of)
    return Checked(
        source, as_of, (), site, code, assess(site, code, as_of, _facts(guard, site, code, withheld), records.posted()), records
    )


def _tells_a_weight(text: str) -> bool:
    return bool(found_in(text, "weight"))


def _withheld_text() -> str:
    from docgen.words import words

    return words("en")["phrases"]["withheld"]


def _facts(guard: Guard, site: Site, code: Code, withheld: tuple[Mark, ...]) -> Facts:
    """Yes and no out of the private file; its figures go no further than this."""
    passes = {u.id: u.fit.result == "pass" for u in site.people.users}
    facts = guard.facts(passes, *fit_limits(site, code))
    if not withheld:
        return facts
    return replace(facts, withheld=tuple(path for path, mark in site.source_lines.items() if mark in withheld))


def site_folder(path: Path) -> Path:
    """The folder that a site's profile and records lie in, from what the user named."""
    path = Path(path)
    return path if path.is_dir() else path.parent


def _wrong_law(site: Site, source: Source, at: str, error: CodeError) -> Problem:
    mark = site.source_lines[at]
    return Problem(source.file, mark.line, mark.column, at, str(error), "")


def compared_site(checked: Checked, wanted: tuple[str, ...] = ()) -> tuple[Checked, Bodies]:
    """Compose the bodies of the documents (or those wanted, and the plan and notice) and hold them against each other.

    Gives back the site with the contradictions among its findings, and the bodies: document -> language -> Body.
    """
    from docgen.compose import all_bodies
    from docgen.compose.contradictions import contradictions

    _without_problems(checked)
    names = (*wanted, "fall-protection-plan", "contractor-notice") if wanted else ()
    bodies = all_bodies(checked.site, checked.code, checked.assessed, wanted=names)
    found = contradictions(bodies, checked.site, checked.assessed.strict)
    known = {f.path for f in checked.assessed.findings if f.name == "documents-contradict"}
    more = tuple(f for f in found if f.path not in known)
    return replace(checked, assessed=with_findings(checked.site, checked.assessed, more)), bodies


def render_site(
    checked: Checked, into: Path, types: tuple[str, ...], wanted: tuple[str, ...] = (), bodies: Bodies | None = None
) -> Written:
    """Write every document (or those wanted) in every language, drafts despite findings.

    `bodies` are those of `compared_site`, composed here where they are left out. DocgenError if the profile has problems,
    or if a weight of the private file would be printed.
    """
    from docgen.compose import compose_all
    from docgen.write.folder import possible, write_all

    if bodies is None:
        checked, bodies = compared_site(checked, wanted)
    documents = compose_all(
        checked.site,
        checked.code,
        checked.assessed,
        checked.as_of,
        possible(types),
        wanted=wanted,
        records=checked.records,
        bodies=bodies,
    )
    _no_weight_in({d.name: d.markdown for d, _ in documents}, checked)
    return write_all(documents, checked, into, types)


def _no_weight_in(texts: Mapping[str, str], checked: Checked) -> None:
    """The last look before anything is written: no weight of the private file in any text, whatever wrote it there."""
    guard = guard_for(site_folder(Path(checked.source.file)))
    guard.learn([checked.source.data, list(public_masses(checked.code))])
    if leaks := leaks_in(texts, guard):
        raise DocgenError(
            f"{', '.join(leaks)}: a weight of the private file would be printed; nothing was written. Take it out of the templates"
        )


def approve_site(checked: Checked, path: Path, request: Request) -> Taken:
    """Record one approval in the site folder, bound to the text as it is on the day of the approval."""
    from docgen.control.approve import approve

    checked, bodies = compared_site(checked)
    return approve(request, checked, bodies, site_folder(path))


def issue_site(
    checked: Checked,
    path: Path,
    types: tuple[str, ...],
    wanted: tuple[str, ...] = (),
    reason: str | None = None,
    by: str | None = None,
) -> tuple[Issued | None, tuple[str, ...]]:
    """Issue what has changed (or the documents wanted) as the next revision on the day of the check.

    Gives back the revision, or None and every reason against it.
    """
    from docgen.control import issue
    from docgen.report import as_json
    from docgen.write.folder import possible

    folder = site_folder(path)
    checked, bodies = compared_site(checked)
    chosen = issue.choose(checked, bodies, wanted)
    against = issue.refusals(checked, bodies, chosen)
    if against:
        return None, against
    newest = read_records(folder, checked.site.site.id)
    made = issue.draft(checked, bodies, chosen, possible(types), checked.as_of, reason, by, newest)
    contents = issue.contents_of(made, checked, bodies, possible(types), as_json(checked).encode("utf-8"))
    _no_weight_in(
        {name: data.decode("utf-8") for name, data in contents.items() if name.endswith((".md", ".json", ".yaml"))}, checked
    )
    issue.issue(made.issued, contents, folder, held=newest.held is not None)
    return made.issued, ()


def compare_site(checked: Checked, path: Path, since: int | None = None, to: int | None = None) -> Changes:
    """Compare the profile (or revision `to`) with revision `since`, by default the newest one."""
    from docgen.control.changes import compare, current, issued_state

    checked, bodies = compared_site(checked)
    old = issued_state(checked.records, since)
    if to is not None:
        return compare(old, issued_state(checked.records, to), checked.as_of)
    findings = tuple((f.name, f.path, f.line) for f in checked.assessed.findings)
    return compare(old, current(checked.source, checked.site, bodies, checked.records, findings), checked.as_of)


def papers_of(checked: Checked, changes: Changes, types: tuple[str, ...], redline: bool, by: str | None) -> dict[str, bytes]:
    """Files that go with a comparison: the change brief, the comparison itself, the posting list, and redlines if wanted."""
    from docgen.compose import compose_all
    from docgen.control.brief import change_brief
    from docgen.control.redlines import redlines
    from docgen.control.register import posting_list
    from docgen.control.tell import FORMATS
    from docgen.write import WRITERS

    site, code = checked.site, checked.code
    contents = {"changes.txt": FORMATS["text"](changes).encode("utf-8"), "changes.json": FORMATS["json"](changes).encode("utf-8")}
    papers = (change_brief(changes, site, code), posting_list(site, code, changes.new.records, changes.new.texts, changes.as_of))
    for paper in papers:
        contents.update({f"{paper.name}.{t}": WRITERS[t](paper).data for t in types if t in ("docx", "pdf")})
    if redline:
        texts = None
        if changes.new.revision is None:
            wanted = tuple(dict.fromkeys(document for document, _ in changes.texts_changed))
            made = (
                compose_all(site, code, checked.assessed, checked.as_of, types, wanted=wanted, records=checked.records)
                if wanted
                else ()
            )
            texts = {(d.name, b.language): d for d, b in made}
        contents.update(redlines(changes, texts, by or _preparer(site)))
    return contents


def _preparer(site: Site) -> str:
    role = site.role(site.document.prepared_by)
    return (role.holder or role.title) if role else site.site.name


def register_papers(checked: Checked, types: tuple[str, ...]) -> dict[str, bytes]:
    """The clause register of the notice in each language, and the posting list of all places."""
    from docgen.control.register import clause_register, posting_list
    from docgen.write import WRITERS

    checked, bodies = compared_site(checked)
    site, code, day = checked.site, checked.code, checked.as_of
    papers = {}
    for language, body in bodies["contractor-notice"].items():
        suffix = f".{language}" if len(bodies["contractor-notice"]) > 1 else ""
        papers[f"clause-register{suffix}"] = clause_register(body, site, code, checked.records, checked.source.file, day)
    papers["posting-list"] = posting_list(site, code, checked.records, bodies, day, everything=True)
    return {f"{stem}.{t}": WRITERS[t](paper).data for stem, paper in papers.items() for t in types if t != "md"}


def show_site(path: Path, on: date, into: Path) -> Path:
    """Gather what was in force on a day in a new folder below `into`, and give that folder back."""
    from docgen.control.safe import new_folder
    from docgen.control.show import destination, gather

    today = check_site(path, on)
    _without_problems(today)
    records = today.records
    profiles, findings = [], ()
    for revision in records.issued:
        then = check_site(revision.folder / "profile.yaml", on)
        if not then.problems:
            profiles.append((f"revision {revision.revision}", then.site))
        if revision is records.issued[-1]:
            findings = _finding_rows(then if not then.problems else None, revision.folder / "check.json")
    if not records.issued:
        findings = _finding_rows(today, None)
    contents = gather(today.site, today.code, records, on, (*profiles, ("the profile", today.site)), findings)
    target = destination(into, today.site.site.id, on)
    try:
        new_folder(target, contents)
    except FileExistsError:
        raise UsageError(f"{target} is there already; a record is never overwritten: name another folder with --into") from None
    return target


def hold_site(path: Path, checked: Checked, state: str, by: str, reason: str) -> Path:
    """Put the records of a site on hold, or lift the hold, on the day of the check."""
    from docgen.control.hold import set_hold

    _without_problems(checked)
    folder = site_folder(path)
    records = read_records(folder, checked.site.site.id)
    return set_hold(folder, checked.site.site.id, records, state, by, checked.as_of, reason)


def _finding_rows(checked: Checked | None, stored: Path | None) -> tuple[tuple[str, str, str, str], ...]:
    """(severity, name, where, message): by today's program where it still reads that profile, else as stored when it was issued."""
    import json

    from docgen.report import json_object

    rows = json_object(checked)["findings"] if checked is not None else json.loads(stored.read_text(encoding="utf-8"))["findings"]
    return tuple(
        (f["severity"], f["name"], f"{f['path']}, line {f['line']}" if f["line"] else f["path"], f["message"]) for f in rows
    )


def _without_problems(checked: Checked) -> None:
    if checked.problems:
        raise DocgenError("the profile has problems; put them right first (docgen check)")
