"""log: what happened, entered once it was checked."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.commands.options import Parser, as_day, as_words, takes_site
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, ahead, as_of, refused, tell_problems
from docgen.errors import Refusal, UsageError

if TYPE_CHECKING:
    from datetime import date

    from docgen.control.log import Fault, Given, Prepared
    from docgen.profile import Profile

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "log": ("docgen log site_profiles/harrow-ridge inspection part=D-1 result=pass serial=D1-20417 --by 'J. Whitlow' --on 2026-11-03", "Exit 0: entered, or shown before it is; 1: something is wrong with it and nothing was entered; 2: wrong use."),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    log = commands.add_parser(
        "log",
        help="enter what happened: inspection, training, drill, call, kit check, posting, event",
        description="Enters what happened into log.yaml, one line an entry, once all of it was checked against the site.",
    )
    takes_site(log)
    log.add_argument(
        "words",
        metavar="KIND FIELD=VALUE",
        nargs="*",
        type=as_words,
        help="what happened, and its fields; without them the kinds are listed, without fields those of the kind",
    )
    log.add_argument("--by", metavar="NAME", type=as_words, help="who did it: the person, not the role")
    log.add_argument("--note", metavar="TEXT", type=as_words, help="what else is worth keeping")
    log.add_argument("--on", metavar="DATE", type=as_day, help="the day on which it happened (default: the day of --as-of)")
    log.add_argument("--corrects", metavar="MARK", type=as_words, help="mark or line number of the entry that this one replaces")
    log.add_argument("--reason", metavar="TEXT", type=as_words, help="with --corrects: what was wrong with that entry")
    log.add_argument(
        "--from",
        dest="table",
        metavar="FILE",
        type=Path,
        help="a table (CSV or XLSX): fields in its first line, an entry a line, all or none; with the kind posting also the codes of a walk, one a line: CODE; PLACE; DAY; NAME",
    )
    log.add_argument("--yes", action="store_true", help="with --from: enter them; without it they are only shown")
    log.add_argument("--as-of", metavar="DATE", type=as_day, default=None, help="the day on which it is entered (default: today)")
    log.add_argument("--format", choices=("text", "json"), default="text", help="how results are printed (default: text)")
    log.set_defaults(run=_log)


def _log(options: argparse.Namespace) -> int:
    from docgen.checked import Refused
    from docgen.control.log import given_here
    from docgen.profile import read_site
    from docgen.revisions import log_site

    kind, fields = _kind_and_fields(options.words)
    if options.table is None and (kind is None or not (fields or options.by or options.corrects)):
        return _log_help(kind)
    if options.table is not None and options.corrects is not None:
        raise UsageError("--corrects goes with one entry; a row of a table takes one back by the kind correction")
    if (options.corrects is None) != (options.reason is None):
        raise UsageError("--corrects and --reason go together: which entry is replaced, and what was wrong with it")
    if options.yes and options.table is None:
        raise UsageError("--yes goes with --from: one entry is written at once")
    if now := ahead(options):
        raise Refusal("log-entered-ahead", on=options.as_of, today=now)
    day = as_of(options)
    profile = read_site(options.profile)
    if profile.problems:
        return tell_problems(Refused(profile.source, day, profile.problems))
    on = options.on or (day if options.table is None else None)
    common = {"on": on.isoformat() if on else None, "by": options.by, "note": options.note}
    shared = {name: text for name, text in common.items() if text is not None and name not in dict(fields)}
    if options.table is not None:
        given, faults = _given(options, profile, kind, {**shared, **dict(fields)}, day)
    else:
        given, faults = [given_here(kind or "", [*fields, *shared.items()], f"docgen log {kind}")], []
    prepared = log_site(profile, given if not faults else (), day, options.corrects, options.reason)
    faults = [*faults, *prepared.faults]
    preview = options.table is not None and not options.yes
    moved = [] if faults or preview else _entered(prepared, options.profile, day)
    wrong = [(f.place, refused(f.why)) for f in faults]
    _tell_log(options.format, str(prepared.target), () if wrong else prepared.lines, wrong, preview, moved)
    return FOUND if wrong else CLEAN


def _given(
    options: argparse.Namespace, profile: Profile, kind: str | None, common: dict[str, str], day: date
) -> tuple[list[Given], list[Fault]]:
    """The entries of a file: rows of a table, or the scans of a walk, which are of the day of entering where nothing else is said."""
    from docgen.control.log import tabled
    from docgen.control.scans import KIND
    from docgen.revisions import scans_of

    if kind == KIND:
        scans = scans_of(profile, options.table, {"on": day.isoformat(), **common})
        if scans is not None:
            return scans
    return tabled(options.table, kind, common)


def _entered(prepared: Prepared, path: Path, day: date) -> list[str]:
    """Write the entries; what they changed for the bays: each whose state is another, in the words of check."""
    from docgen.checked import Assessed
    from docgen.control.log import write
    from docgen.pipeline import check_site
    from docgen.report import bay_lines, waits_on

    before = check_site(path, day)
    write(prepared)
    after = check_site(path, day)
    if not (isinstance(before, Assessed) and isinstance(after, Assessed)):
        return []
    was, now = (
        {b.bay: (b.state, b.reasons, waits_on(each, b, LANGUAGE)) for b in each.assessed.bays} for each in (before, after)
    )
    bays = tuple(b for b in after.assessed.bays if was.get(b.bay) != now[b.bay])
    return list(bay_lines(after, bays, LANGUAGE))


def _kind_and_fields(given: list[str]) -> tuple[str | None, list[tuple[str, str]]]:
    """The kind, which has no equals sign, and the fields with their words."""
    kinds = [word for word in given if "=" not in word]
    if len(kinds) > 1:
        raise UsageError(f"'{kinds[1]}' is no FIELD=VALUE; put a value of several words in quotation marks: note=\"two words\"")
    fields = [(name.strip(), text.strip()) for name, _, text in (word.partition("=") for word in given if "=" in word)]
    return (kinds[0] if kinds else None), fields


def _log_help(kind: str | None) -> int:
    """The kinds of entry, or the fields of one, as the schema says them."""
    from docgen.control.log import fields_of, kinds_of

    if kind is None:
        for name, what in kinds_of():
            print(f"{name}: {what}")
        raise UsageError(
            "say what happened: docgen log SITE KIND FIELD=VALUE ...; docgen log SITE KIND lists the fields of a kind"
        )
    try:
        told = fields_of(kind)
    except Refusal as refusal:
        raise UsageError(refused(refusal)) from None
    for name, needed, what in told:
        print(f"{name}{'' if needed else ' (may be left out)'}: {what}")
    raise UsageError("say what happened: FIELD=VALUE for each field above; by, on and note are options too (--by, --on, --note)")


def _tell_log(
    form: str, file: str, lines: tuple[str, ...], wrong: list[tuple[str, str]], preview: bool, moved: list[str]
) -> None:
    import json

    written = not wrong and not preview
    if form == "json":
        problems = [{"place": place, "message": text} for place, text in wrong]
        print(
            json.dumps(
                {
                    "schema_version": 1,
                    "log": file,
                    "written": written,
                    "entries": list(lines),
                    "problems": problems,
                    "bays": moved,
                },
                indent=2,
                ensure_ascii=False,
            )
        )
        return
    for place, text in wrong:
        print(f"{place}: {text}")
    for line in lines:
        print(line)
    count = len(wrong or lines)
    many = "entry" if count == 1 else "entries"
    if wrong:
        print(f"nothing was entered: {count} {'thing' if count == 1 else 'things'} to put right")
    elif preview:
        print(f"{count} {many} for {file}; nothing is entered yet: give --yes")
    else:
        print(f"{count} {many} in {file}")
    for line in moved:
        print(line)
