"""start: a new site out of a few questions."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.commands.options import Parser, as_day
from docgen.commands.outcome import CLEAN, LANGUAGE, WRONG, as_of, noted
from docgen.errors import Refusal, UsageError

if TYPE_CHECKING:
    from docgen.beginning import Beginning, Question
    from docgen.checked import Assessed

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "start": (
        "docgen start out/alder-bend --as-of 2026-11-01",
        "Exit 0: written; 2: refused, or wrong use. What was answered is kept in DIR/start-answers.yaml, and the same command goes on there.",
    ),
}
#: The first papers: what is still to be found out, the boxes for it, and the three drafts.
PAPERS = ("worksheet", "survey-sheet", "fall-protection-plan", "contractor-notice", "rescue-procedure", "index")


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    start = commands.add_parser(
        "start", help="begin a new site: at most 15 questions, then its profile, its first papers and what to do next"
    )
    start.add_argument(
        "folder", metavar="DIR", type=Path, nargs="?", help="the folder of the site (default: one called after it, here)"
    )
    start.add_argument(
        "--answers",
        metavar="FILE",
        type=Path,
        help="take the answers from a YAML file, a line for each; what is not in it counts as not known",
    )
    start.add_argument(
        "--types", metavar="LIST", default="md,html,docx,pdf", help="comma-separated: md, html, docx, pdf (default: all)"
    )
    start.add_argument(
        "--as-of", metavar="DATE", type=as_day, default=None, help="the day of the first profile, as 2026-11-01 (default: today)"
    )
    start.set_defaults(run=_start)


def _start(options: argparse.Namespace) -> int:
    from docgen.beginning import ANSWERS, Beginning, questions
    from docgen.commands.options import types_of

    types = types_of(options.types)
    begun = Beginning(as_of(options), LANGUAGE, options.folder.resolve().name if options.folder else "")
    asked = questions(LANGUAGE)
    folder: Path | None = options.folder
    if folder is not None:
        _free(folder)
    if options.answers is not None:
        if not _read(options.answers, begun, asked):
            return WRONG
        if "address" not in begun.answers:
            raise UsageError(
                f"{options.answers}: 'address' is not answered, and the place says whose law binds; write at least  address: Kansas"
            )
        folder = folder or Path(begun.id)
        _free(folder)
        if not _kept(folder, begun, asked, options.answers):
            return WRONG
        begun.save(_made(folder) / ANSWERS)
    else:
        folder = _ask(begun, asked, folder)
    return _write(begun, folder, types, options)


def _free(folder: Path) -> None:
    """A profile that is there is never written over."""
    if (folder / "profile.yaml").exists():
        raise Refusal("profile-is-there", file=str(folder / "profile.yaml"), folder=str(folder))
    if folder.exists() and not folder.is_dir():
        raise UsageError(f"{folder}: is a file; name a folder in which the site is to lie")


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refusal("site-not-writable", folder=str(folder), reason=error.strerror or type(error).__name__) from None
    return folder


def _kept(folder: Path, begun: Beginning, asked: tuple[Question, ...], given: Path) -> bool:
    """Whether no answer that was typed before is lost to those of a file; False after those that would be were told."""
    from docgen.beginning import ANSWERS, answers_of, nobody_knows

    kept = folder / ANSWERS
    if not kept.exists():
        return True
    before, problems, marks = answers_of(kept, [q.key for q in asked])
    told = [f"{p.file}:{p.line}:{p.column}: {p.message}" + (f"; {p.hint}" if p.hint else "") for p in problems]
    for key, answer in before.items():
        if not nobody_knows(answer) and begun.answers.get(key) != answer:
            told.append(
                f"{kept}:{marks[key].line}:{marks[key].column}: {key}: {given} does not give this answer, and it would be lost"
            )
    for line in told:
        print(line, file=sys.stderr)
    if told:
        print(
            f"docgen: nothing was written; docgen start {folder} goes on with the answers kept there, or take {kept} away",
            file=sys.stderr,
        )
    return not told


def _read(path: Path, begun: Beginning, asked: tuple[Question, ...]) -> bool:
    """Take every answer of a file; False after what is wrong with it was told."""
    from docgen.beginning import answers_of
    from docgen.units import UnitProblem

    if not path.is_file():
        what = "is no file" if path.exists() else "there is no such file"
        raise UsageError(f"{path}: {what}; give one with a line for each answer, such as  site: Alder Bend Terminal")
    given, problems, marks = answers_of(path, [q.key for q in asked])
    told = [f"{p.file}:{p.line}:{p.column}: {p.message}" + (f"; {p.hint}" if p.hint else "") for p in problems]
    for question in asked if not told else ():
        if question.key in given:
            try:
                begun.take(question.key, given[question.key])
            except UnitProblem as wrong:
                mark = marks[question.key]
                told.append(f"{path}:{mark.line}:{mark.column}: {question.key}: {wrong}")
    for line in told:
        print(line, file=sys.stderr)
    if told:
        print("docgen: nothing was written; put the answers right first", file=sys.stderr)
    return not told


def _ask(begun: Beginning, asked: tuple[Question, ...], folder: Path | None) -> Path:
    """Ask what is not answered yet; each answer is kept as soon as it is given."""
    from docgen.beginning import ANSWERS
    from docgen.units import UnitProblem

    going_on = _resumed(begun, asked, folder)
    print(
        f"{len(asked)} questions at most. Where you do not know, type ? or nothing. Ctrl-C stops; the same command goes on there."
    )
    if going_on:
        print(f"answered already in {folder}: {len(begun.answers)}")
    ended = False
    for number, question in enumerate(asked, 1):
        if question.key in begun.answers or begun.skipped(question.key):
            continue
        print(f"\n{number}/{len(asked)}  {question.asks}\n      {question.why}\n      Such as: {question.typical(begun.units)}")
        while True:
            line = "" if ended else _line()
            if line is None:
                if question.key == "address" or _terminal():
                    raise UsageError(
                        f"the answers ended at question {number}; what was answered is kept, and the same command goes on there"
                    )
                ended, line = True, ""
            try:
                begun.take(question.key, line.strip())
            except UnitProblem as wrong:
                if ended:
                    raise UsageError(f"{question.key}: {wrong}") from None
                print(f"      {wrong.message}; {wrong.hint}")
                continue
            break
        if folder is None:
            folder = Path(begun.id)
            _free(folder)
            if _resumed(begun, asked, folder):
                print(f"answered already in {folder}: {len(begun.answers)}")
        begun.folder = begun.folder or folder.resolve().name
        begun.save(_made(folder) / ANSWERS)
    assert folder is not None
    return folder


def _line() -> str | None:
    """One line of what is typed or read; None at its end."""
    print("> ", end="", flush=True)
    line = sys.stdin.readline()
    if not _terminal():
        print(line.rstrip("\n"))
    return line if line else None


def _terminal() -> bool:
    return sys.stdin.isatty()


def _resumed(begun: Beginning, asked: tuple[Question, ...], folder: Path | None) -> bool:
    """Take the answers kept in the folder, where there are any."""
    from docgen.beginning import ANSWERS

    if folder is None or not (folder / ANSWERS).is_file():
        return False
    if not _read(folder / ANSWERS, begun, asked):
        raise UsageError(f"{folder / ANSWERS}: put these answers right, or delete the file to begin anew")
    return bool(begun.answers)


def _write(begun: Beginning, folder: Path, types: tuple[str, ...], options: argparse.Namespace) -> int:
    """The files of the site, its first papers, and what to do next."""
    from docgen.beginning import begin
    from docgen.pipeline import compared_site, render_site
    from docgen.profile import site_beside

    wished, there = begun.id, site_beside(_made(folder), begun.id)
    while site_beside(folder, begun.id) is not None:
        begun.taken = (*begun.taken, begun.id)
    checked = begin(begun, folder)
    into = folder.resolve().parent / "papers"
    checked, bodies = compared_site(checked, PAPERS)
    try:
        written = render_site(checked, into, types, PAPERS, bodies)
    except Refusal as refusal:
        if refusal.name != "folder-not-writable":
            raise
        raise Refusal(
            "start-without-papers", site=str(folder), folder=refusal.values["folder"], reason=refusal.values["reason"]
        ) from None
    if not options.quiet:
        print(
            f"\n{folder}/profile.yaml: {begun.name}; law of {checked.code.name}, in {'feet' if begun.units == 'us' else 'metres'}"
        )
        print(f"  {sum(1 for _ in checked.not_known)} lines read unknown; each says above it what it is and where it is read off")
        print(
            f"{written.folder}: {', '.join(sorted({p.name.partition('.')[0] for p in written.files}))}; open index.html or the worksheet first"
        )
        for note in noted(written):
            print(f"note: {note}")
    if there is not None:
        print(
            f"note: {there} has the id '{wished}' already, and the papers of both would lie in one folder; this site is '{begun.id}'"
        )
    _steps(checked, {p.name for p in written.files}, folder)
    print(f"\nFill in profile.yaml, then: docgen check {folder}")
    return CLEAN


def _steps(checked: Assessed, papers: set[str], folder: Path) -> None:
    """The five most important next steps; the sheets for the walk by name where they are among the papers written."""
    import textwrap

    from docgen.beginning import next_steps, said
    from docgen.words import finding_text

    words = said(LANGUAGE)["steps"]
    named = [f"survey-sheet.{bay.id}" for bay in checked.site.bays]
    there = [sheet for sheet in named if any(paper.startswith(f"{sheet}.") for paper in papers)]
    sheets = ", ".join(there) or words["no-sheets"].format(folder=folder)
    print("\nWhat to do next, most important first:")
    told = next_steps(checked, lambda finding: finding_text(finding, "action", LANGUAGE, checked.assessed.system))
    for n, step in enumerate(told, 1):
        text = f"{words[step.who].format(sheets=sheets)} {words['counts'].format(closing=step.closing, drafts=step.drafts, first=step.first)}"
        print(textwrap.fill(text, 100, initial_indent=f"  {n}. ", subsequent_indent="     "))
