"""sheet: tables of equipment, people, training and inspections, out to be filled in and in again."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from docgen.commands.options import Parser, takes_site_and_day
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, ahead, as_of, refused, tell_problems
from docgen.errors import Refusal, UsageError

if TYPE_CHECKING:
    from docgen.control.table import Fault
    from docgen.profile import Profile
    from docgen.sheets.kinds import Kind
    from docgen.sheets.taken import Note

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "sheet": ("docgen sheet site_profiles/harrow-ridge people", "Exit 0: written, or shown before it is; 1: something in the table or the profile is wrong and nothing was written; 2: wrong use."),
}  # fmt: skip
TABLES = ("equipment", "people", "training", "inspections")


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    sheet = commands.add_parser(
        "sheet",
        help="a table to fill in, CSV or XLSX: equipment, people, training, inspections; and back again",
        description="Writes a table to fill in, CSV or XLSX, with what is known of equipment, people, training or inspections, and reads it back.",
    )
    takes_site_and_day(sheet)
    kinds = "equipment, people (climbers, rescuers, holders of roles), training, or inspections"
    sheet.add_argument("kind", metavar="KIND", choices=TABLES, help=kinds)
    sheet.add_argument(
        "--into",
        metavar="FILE",
        type=Path,
        help="write the table, filled with what is known, into this file, .csv or .xlsx (default: print it as CSV)",
    )
    sheet.add_argument(
        "--from",
        dest="table",
        metavar="FILE",
        type=Path,
        help="read it back, CSV or XLSX, and show what would change; all or none",
    )
    sheet.add_argument("--yes", action="store_true", help="with --from: write it; without it nothing is written")
    sheet.add_argument(
        "--models",
        action="store_true",
        help="equipment for another site: what is true of the model; serial numbers, days and who read them are unknown",
    )
    sheet.add_argument(
        "--moved",
        action="store_true",
        help="with --from a table of another site: the pieces themselves came, with what is known of them",
    )
    sheet.set_defaults(run=_sheet)


def _sheet(options: argparse.Namespace) -> int:
    from docgen.checked import Refused
    from docgen.profile import read_site
    from docgen.sheets.kinds import KINDS

    _fitting(options)
    profile = read_site(options.profile)
    if profile.problems:
        return tell_problems(Refused(profile.source, as_of(options), profile.problems))
    kind = KINDS[options.kind]
    if options.table is None:
        return _out(options, profile, kind)
    return _entries(options, profile, kind) if kind.entry is not None else _items(options, profile, kind)


def _fitting(options: argparse.Namespace) -> None:
    """Options that go together."""
    if options.table is not None and options.into is not None:
        raise UsageError("--into writes a table and --from reads one; give one of them")
    if options.yes and options.table is None:
        raise UsageError("--yes goes with --from: it writes what the table says")
    if options.models and (options.kind != "equipment" or options.table is not None):
        raise UsageError("--models goes with the kind equipment and writes a table; without --from")
    if options.moved and (options.kind != "equipment" or options.table is None):
        raise UsageError("--moved goes with the kind equipment and --from: pieces that came from another site")
    if options.into is not None and options.into.suffix.lower() not in (".csv", ".xlsx"):
        raise UsageError(f"--into takes a file that ends in .csv or .xlsx; got '{options.into}'")
    if now := ahead(options):
        raise Refusal("log-entered-ahead", on=options.as_of, today=now)


def _out(options: argparse.Namespace, profile: Profile, kind: Kind) -> int:
    """The table, filled with what is known."""
    from docgen.check import declared
    from docgen.control.safe import new_file
    from docgen.sheets.kinds import sheet_of
    from docgen.sheets.written import as_csv, as_workbook

    sheet = sheet_of(profile, kind, LANGUAGE, options.models)
    if options.into is None:
        sys.stdout.write(as_csv(sheet, LANGUAGE, file=False))
        return CLEAN
    if options.into.suffix.lower() == ".csv":
        data = as_csv(sheet, LANGUAGE, file=True).encode("utf-8")
    else:
        data = as_workbook(sheet, LANGUAGE, {name: tuple(ids) for name, ids in declared(profile.source).items()})
    try:
        new_file(options.into, data)
    except FileExistsError:
        raise Refusal("file-is-there", file=str(options.into)) from None
    print(f"{len(sheet.rows)} row{'s' if len(sheet.rows) != 1 else ''} in {options.into}")
    return CLEAN


def _items(options: argparse.Namespace, profile: Profile, kind: Kind) -> int:
    """Items of the profile out of a table."""
    from docgen.sheets.taken import taken, write

    made = taken(profile, kind, _read(options, kind), LANGUAGE, options.moved)
    turned = bool(made.added or made.changed)
    written = options.yes and turned and not made.faults
    if written:
        write(made)
    counts = {"added": list(made.added), "changed": list(made.changed), "same": made.same}
    _tell(options, str(made.file), "count", counts, profile.guard.veiled(made.difference), made.notes, made.faults, written)
    if written and options.format == "text" and not options.quiet:
        print(f"docgen check {options.profile} lists what is missing, and docgen changes what follows")
    return FOUND if made.faults else CLEAN


def _entries(options: argparse.Namespace, profile: Profile, kind: Kind) -> int:
    """Entries of the log out of a table."""
    from docgen.control.log import write
    from docgen.logbook import NAME
    from docgen.revisions import log_site
    from docgen.sheets.taken import entries_of

    told = entries_of(profile, kind, _read(options, kind), LANGUAGE)
    faults, written = list(told.faults), False
    lines: tuple[str, ...] = ()
    if told.given and not faults:
        prepared = log_site(profile, told.given, as_of(options))
        faults, lines = list(prepared.faults), prepared.lines
        written = options.yes and not faults
        if written:
            write(prepared)
    counts = {"new": list(lines), "same": told.same}
    shown = "".join(f"{line}\n" for line in lines) if not faults else ""
    _tell(options, str(profile.folder / NAME), "entries", counts, shown, told.notes, faults, written)
    return FOUND if faults else CLEAN


def _read(options: argparse.Namespace, kind: Kind) -> Any:
    from docgen.control.table import read_table
    from docgen.sheets.written import beside, title_of

    table = read_table(options.table, title_of(kind, LANGUAGE), beside(LANGUAGE))
    if not table.rows:
        raise Refusal("table-without-rows", file=str(options.table))
    return table


def _tell(
    options: argparse.Namespace,
    file: str,
    count: str,
    counts: Mapping[str, Any],
    shown: str,
    notes: Sequence[Note],
    faults: Sequence[Fault],
    written: bool,
) -> None:
    """What is wrong; or what would change, or changed, and what is worth knowing of it."""
    from docgen.words import words

    t = words(LANGUAGE)["sheets"]["told"]
    remarks = [t[n.name].format(**{k: ", ".join(v) if isinstance(v, tuple) else v for k, v in n.values.items()}) for n in notes]
    wrong = [(f.place, refused(f.why)) for f in faults]
    if options.format == "json":
        told = {
            "schema_version": 1,
            "file": file,
            "written": written,
            **counts,
            "difference" if count == "count" else "lines": shown,
            "notes": remarks,
            "problems": [{"place": place, "message": text} for place, text in wrong],
        }
        print(json.dumps(told, indent=2, ensure_ascii=False))
        return
    for place, text in wrong:
        print(f"{place}: {text}")
    if wrong:
        print(t["wrong"].format(n=len(wrong)))
        return
    sys.stdout.write(shown)
    if not options.quiet:
        for line in remarks:
            print(line)
        print(t[count].format(**{k: len(v) if isinstance(v, list) else v for k, v in counts.items()}))
    print(t["done" if written else "preview" if shown else "nothing"].format(file=file))
