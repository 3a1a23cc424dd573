"""The whole way of one site on one screen: read and check, build, engineer, find, compose, write."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from docgen.calc import CalcError
from docgen.check import measured
from docgen.checked import Assessed, Checked, Refused
from docgen.codes import load
from docgen.codes.binding import BindingRules
from docgen.codes.given import with_given
from docgen.engineering import engineered
from docgen.engineering.dues import all_dues
from docgen.engineering.fit import fit_limits, public_masses
from docgen.engineering.model import Numbers
from docgen.errors import CodeError, DocgenError
from docgen.findings import first, planned, settled
from docgen.findings.model import Finding
from docgen.findings.photos import photos_absent
from docgen.findings.swapped import swapped
from docgen.findings.view import HeldOnRecord, View
from docgen.happened import Happened
from docgen.look import read_look
from docgen.papers import papers
from docgen.private import NONE, Facts, Guard, guard_for, leaks_in
from docgen.profile import SCREENS, Profile, masses, read_site, site_folder
from docgen.read import Problem, Source, read_profile
from docgen.records import NONE as NO_RECORDS
from docgen.records import Records, read_records
from docgen.site import Log, Site, build
from docgen.units import parse

if TYPE_CHECKING:
    from docgen.codes import LawAlone
    from docgen.compose.document import Document
    from docgen.compose.pieces import Body
    from docgen.write.folder import Written

__all__ = [
    "Bodies",
    "check_site",
    "compared_site",
    "guard_of",
    "judged",
    "no_weight_in",
    "render_site",
    "stated",
    "whole_records",
]

Bodies = Mapping[str, Mapping[str, "Body"]]
NO_PRINTS: Mapping[str, str] = MappingProxyType({})


def check_site(
    path: Path, as_of: date, extra_roots: Iterable[Path] = (), change: Callable[[Source], Source] | None = None
) -> Checked:
    """Read, check, engineer and judge one profile. Problems are results; only an unreadable file raises.

    `extra_roots` are folders with sets of law that are searched before the built-in ones; `change` gives another source in the place of what
    was read, to see what would follow.
    """
    profile = read_site(path, change=change)
    if profile.problems:
        return Refused(profile.source, as_of, profile.problems)
    look, wrong = read_look(profile.source, profile.folder)
    if wrong:
        return Refused(profile.source, as_of, wrong)
    site = build(profile.source)
    try:
        law_alone = load(site.site.jurisdiction, site.site.sector, site.document.effective or as_of, extra_roots)
        code = with_given(law_alone, site, as_of)
    except CodeError as error:
        return Refused(profile.source, as_of, (_wrong_law(site, profile, "site.jurisdiction", error),))
    try:
        law = BindingRules(code, site)
    except CodeError as error:
        return Refused(profile.source, as_of, (_wrong_law(site, profile, "codes.owner", error),))
    records = whole_records(profile.folder, site.site.id)
    happened = Happened(site, profile.log, as_of)
    try:
        facts = _facts(profile, happened, code)
        checked = judged(
            profile.source, site, law, as_of, facts, records.until(as_of), happened, _held(records.until(as_of), profile.source)
        )
    except CalcError as error:
        return Refused(profile.source, as_of, (_impossible(site, profile, error),))
    return replace(checked, not_known=profile.not_known, look=look)


def whole_records(folder: Path, site: str) -> Records:
    """All records of a site. RecordError where one is damaged or missing, or a file on record is not as it was recorded."""
    records = read_records(folder, site)
    if records.issued or records.approvals or records.withdrawals:
        from docgen.control.sealed import whole

        whole(records)
    return records


def judged(
    source: Source,
    site: Site,
    law: BindingRules,
    as_of: date,
    facts: Facts = NONE,
    records: Records = NO_RECORDS,
    happened: Happened | None = None,
    held: tuple[HeldOnRecord, ...] = (),
) -> Assessed:
    """Engineer and judge a site that was read: its numbers, then what is wrong with them and with what happened, on that day.

    `held` is who held which role by the newest revision, where the profile is another since.
    """
    numbers = engineered(site, law)
    happened = happened or Happened(site, Log(), as_of)
    view = replace(
        _view(law, numbers, facts, records, happened), held_on_record=held, swapped=swapped(source, records), photo_absent=photos_absent(source.file, site)
    )  # fmt: skip
    found = first(view)
    if_open: tuple[Finding, ...] = ()
    plan = Happened(site, Log(), site.document.effective or as_of)
    plan_open: View | None = None
    if any(bay.closed for bay in site.bays):
        opened = site.as_if_open()
        numbers_open = engineered(opened, law)
        seen_open = _view(law, numbers_open, facts, records, replace(happened, site=opened))
        if_open = first(replace(seen_open, swapped=view.swapped, photo_absent=view.photo_absent))
        plan_open = replace(_view(law, numbers_open, NONE, NO_RECORDS, replace(plan, site=opened)), for_papers=True)
    states = planned(replace(_view(law, numbers, NONE, NO_RECORDS, plan), for_papers=True), plan_open)
    assessed = settled(view, numbers, found, if_open=if_open, planned=states)
    return Assessed(source, as_of, site, law.law, assessed, records, view, found, if_open=if_open)


def _view(law: BindingRules, numbers: Numbers, facts: Facts, records: Records, happened: Happened) -> View:
    """What the findings look at: a rescue in a bay that is closed is worked out for its pages, and nothing is found in it."""
    site = happened.site
    rescues = tuple(row for row in numbers.rescues if not site.closed(row.bay))
    return View(
        site, law, happened.as_of, numbers.system, numbers.cases, numbers.chains, rescues, numbers.further, happened, all_dues(happened),
        facts, records.posted(), withdrawn=_out_of_force(records),
    )  # fmt: skip


def _out_of_force(records: Records) -> dict[tuple[str, str], tuple[int, date]]:
    """(document, language) -> the revision that was withdrawn, and the day."""
    newest = {key: records.newest(*key) for key in records.out_of_force()}
    return {key: (newest[key].revision, gone.on) for key, gone in records.out_of_force().items()}  # type: ignore[union-attr]


def _facts(profile: Profile, happened: Happened, code: LawAlone) -> Facts:
    """Yes and no out of the private file; its figures go no further than this."""
    site = happened.site
    passes = {u.id: (fit := happened.fit_of(u.id)) is not None and fit.result == "pass" for u in site.people.users}
    facts = profile.guard.facts(passes, *fit_limits(site, code))
    told = ((site.source_lines, profile.withheld), (happened.log.source_lines, profile.log_withheld))
    withheld = tuple(path for lines, marks in told if marks for path, mark in lines.items() if mark in marks)
    return replace(facts, withheld=withheld) if withheld else facts


def _held(records: Records, source: Source) -> tuple[HeldOnRecord, ...]:
    """Who held each role by the newest revision, and from when to when as far as it knew; nothing where the profile is the one it froze.

    A profile on record that cannot be read says nothing here: what is damaged is told when the records are looked at.
    """
    if not records.issued:
        return ()
    last = records.issued[-1]
    path = records.revision_folder(last.revision) / "profile.yaml"
    if not path.is_file() or path.read_bytes() == source.whole.encode("utf-8"):
        return ()
    before = read_profile(path)
    if before.problems or not isinstance(before.data, dict):
        return ()
    found = []
    for role in before.data.get("roles") or ():
        for holder in role.get("holders") or ():
            begun, ended = holder["from"], holder.get("to")
            day = min(last.on, date.fromisoformat(ended)) if ended else last.on
            if date.fromisoformat(begun) > day:
                continue
            first, parts = date.fromisoformat(begun), tuple(role.get("part") or ())
            known = ((f["name"], min(day, date.fromisoformat(f["until"]))) for f in holder.get("formerly") or () if "until" in f)
            found += [HeldOnRecord(last.revision, role["id"], name, until) for name, until in known if first <= until]
            found.append(HeldOnRecord(last.revision, role["id"], holder["name"], day, first, parts))
    return tuple(found)


def _wrong_law(site: Site, profile: Profile, at: str, error: CodeError) -> Problem:
    mark = site.source_lines[at]
    return Problem(profile.source.file_of(mark), mark.line, mark.column, at, str(error), "")


def _impossible(site: Site, profile: Profile, error: CalcError) -> Problem:
    """The figure read last before a calculation refused what it was given; the top of the file where none was noted."""
    at = next((path for path in reversed(error.inputs) if path in site.source_lines), "")
    mark = site.source_lines.get(at)
    line, column = (mark.line, mark.column) if mark else (1, 1)
    return Problem(
        profile.source.file_of(mark) if mark else profile.source.file, line, column, at, str(error), ", ".join(error.inputs[-4:])
    )


def compared_site(checked: Assessed, wanted: tuple[str, ...] = (), own: tuple[Path, ...] = ()) -> tuple[Assessed, Bodies]:
    """Compose the bodies of the papers (or those wanted, and all that the site reads) and hold them against each other; `own` are templates before ours.

    Gives back the site with the contradictions among its findings, and the bodies: document -> language -> Body.
    """
    from docgen.compose import all_bodies
    from docgen.compose.contradictions import contradictions
    from docgen.compose.lengths import too_long

    names = (*wanted, *(o.name for o in papers() if o.circle == "site")) if wanted else ()
    bodies = all_bodies(checked.site, checked.code, checked.assessed, own, names)
    shown = contradictions(bodies, checked.site, checked.assessed.binding)
    if not any(f.name == "paper-too-long" for f in checked.found):
        shown += too_long(bodies, checked.site, checked.assessed.planned)
    assessed = settled(
        checked.view,
        checked.assessed,
        checked.found,
        shown,
        composed=not wanted,
        if_open=checked.if_open,
        planned=checked.assessed.planned,
    )
    return replace(checked, assessed=assessed), bodies


def stated(checked: Assessed, bodies: Bodies | None = None, documents: tuple[Document, ...] = ()) -> Assessed:
    """With the state of each paper, and the fields that are given and that no paper prints.

    `bodies` are those of every document. Where they are left out they are composed, if anything hangs on them: a revision in force, or
    a field that some paper is to print. `documents` are papers that were composed before; only those that are not among them are composed here.
    """
    from docgen.compose import all_bodies, compose_all
    from docgen.compose.states import papers_of, unprinted, wanted_fields

    if bodies is None and (checked.records.issued or wanted_fields(checked.site)):
        bodies = all_bodies(checked.site, checked.code, checked.assessed)
    if bodies is not None and unprinted(checked.site, bodies, documents):
        there = {document.name.partition(".")[0] for document in documents}
        every = tuple(o.name for o in papers() if o.written and o.name not in there)
        if every:
            made = compose_all(
                checked.site,
                checked.code,
                checked.assessed,
                checked.happened,
                (),
                wanted=every,
                records=checked.records,
                bodies=bodies,
            )
            documents = (*documents, *(document for document, _ in made))
    return replace(
        checked,
        papers=papers_of(checked.site, checked.code, checked.assessed, checked.records, bodies),
        unprinted=unprinted(checked.site, bodies, documents) if bodies is not None else (),
    )


def render_site(
    checked: Assessed,
    into: Path,
    types: tuple[str, ...],
    wanted: tuple[str, ...] = (),
    bodies: Bodies | None = None,
    there: Mapping[str, str] = NO_PRINTS,
) -> Written:
    """Write every paper (or those wanted) in every language, drafts despite findings.

    `bodies` are those of `compared_site`, composed here where they are left out; `there` are prints of what lies there and need not be written again
    (`write_all`). DocgenError if a weight of the private file would be printed.
    """
    from docgen.compose import compose_all
    from docgen.write.folder import possible, write_all

    if bodies is None:
        checked, bodies = compared_site(checked, wanted)
    documents = compose_all(
        checked.site,
        checked.code,
        checked.assessed,
        checked.happened,
        possible(types),
        wanted=wanted,
        records=checked.records,
        bodies=bodies,
        look=checked.look,
    )
    no_weight_in({d.name: d.markdown for d, _ in documents}, checked)
    return write_all(documents, checked, into, types, there)


def guard_of(checked: Assessed) -> Guard:
    """The private figures of a site once more, with all that is printed as a limit or a rating: for what was typed for a record."""
    guard = guard_for(site_folder(Path(checked.source.file)), SCREENS)
    if guard.holds:
        guard.learn((*masses(measured(checked.source)), *(parse(text, "mass").si for text in public_masses(checked.code))))
    return guard


def no_weight_in(texts: Mapping[str, str], checked: Assessed) -> None:
    """The last look before anything is written: no weight of the private file in any text, whatever wrote it there."""
    if leaks := leaks_in(texts, guard_of(checked)):
        raise DocgenError(
            f"{', '.join(leaks)}: a weight of the private file would be printed; nothing was written. Take it out of the templates"
        )
