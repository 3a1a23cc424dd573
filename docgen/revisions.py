"""What is done with the records of one site: approve, issue, compare, register, show, hold."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.checked import Assessed, Refused
from docgen.errors import DocgenError, UsageError
from docgen.pipeline import check_site, compared_site, no_weight_in
from docgen.profile import site_folder
from docgen.records import read_records
from docgen.site import Site

if TYPE_CHECKING:
    from docgen.control.approve import Request, Taken
    from docgen.control.changes import Changes
    from docgen.records import Issued

__all__ = ["approve_site", "compare_site", "hold_site", "issue_site", "papers_of", "register_papers", "show_site"]


def approve_site(checked: Assessed, path: Path, request: Request) -> Taken:
    """Record one approval in the site folder, bound to the text as it is on the day of the approval."""
    from docgen.control.approve import approve

    checked, bodies = compared_site(checked)
    return approve(request, checked, bodies, site_folder(path))


def issue_site(
    checked: Assessed,
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
    no_weight_in(
        {name: data.decode("utf-8") for name, data in contents.items() if name.endswith((".md", ".json", ".yaml"))}, checked
    )
    issue.issue(made.issued, contents, folder, held=newest.held is not None)
    return made.issued, ()


def compare_site(checked: Assessed, path: Path, since: int | None = None, to: int | None = None) -> Changes:
    """Compare the profile (or revision `to`) with revision `since`, by default the newest one."""
    from docgen.control.changes import compare, current, issued_state

    checked, bodies = compared_site(checked)
    old = issued_state(checked.records, since)
    if to is not None:
        return compare(old, issued_state(checked.records, to), checked.as_of)
    findings = tuple((f.name, f.path, f.line) for f in checked.assessed.findings)
    return compare(old, current(checked.source, checked.site, bodies, checked.records, findings), checked.as_of)


def papers_of(checked: Assessed, changes: Changes, types: tuple[str, ...], redline: bool, by: str | None) -> dict[str, bytes]:
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


def register_papers(checked: Assessed, types: tuple[str, ...]) -> dict[str, bytes]:
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
    if isinstance(today, Refused):
        raise DocgenError("the profile has problems; put them right first (docgen check)")
    records = today.records
    profiles, findings = [], ()
    for revision in records.issued:
        then = check_site(revision.folder / "profile.yaml", on)
        if isinstance(then, Assessed):
            profiles.append((f"revision {revision.revision}", then.site))
        if revision is records.issued[-1]:
            findings = _finding_rows(then if isinstance(then, Assessed) else None, revision.folder / "check.json")
    if not records.issued:
        findings = _finding_rows(today, None)
    contents = gather(today.site, today.code, records, on, (*profiles, ("the profile", today.site)), findings)
    target = destination(into, today.site.site.id, on)
    try:
        new_folder(target, contents)
    except FileExistsError:
        raise UsageError(f"{target} is there already; a record is never overwritten: name another folder with --into") from None
    return target


def hold_site(path: Path, checked: Assessed, state: str, by: str, reason: str) -> Path:
    """Put the records of a site on hold, or lift the hold, on the day of the check."""
    from docgen.control.hold import set_hold

    folder = site_folder(path)
    records = read_records(folder, checked.site.site.id)
    return set_hold(folder, checked.site.site.id, records, state, by, checked.as_of, reason)


def _finding_rows(checked: Assessed | None, stored: Path | None) -> tuple[tuple[str, str, str, str], ...]:
    """(severity, name, where, message): by today's program where it still reads that profile, else as stored when it was issued."""
    import json

    from docgen.report import json_object

    rows = json_object(checked)["findings"] if checked is not None else json.loads(stored.read_text(encoding="utf-8"))["findings"]
    return tuple(
        (f["severity"], f["name"], f"{f['path']}, line {f['line']}" if f["line"] else f["path"], f["message"]) for f in rows
    )
