"""fields: the field guide of the profile and the log, at the terminal, as JSON, as a page or as a paper."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.commands.options import Parser, as_day
from docgen.commands.outcome import CLEAN, LANGUAGE, as_of, noted
from docgen.errors import UsageError

if TYPE_CHECKING:
    pass

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "fields": ("docgen fields bays", "Exit 0: told or written; 2: no such section, or the folder cannot be written."),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    command = commands.add_parser("fields", help="the field guide: every field of a section, or the list of sections")
    command.add_argument(
        "section",
        metavar="SECTION",
        nargs="?",
        help="such as bays, equipment.capacity or log.inspection (default: list sections)",
    )
    command.add_argument("--format", choices=("text", "html", "json"), default="text", help="text, html or json (default: text)")
    command.add_argument("--into", metavar="DIR", type=Path, help="write the guide there as a paper: HTML and PDF")
    command.add_argument(
        "--as-of", metavar="DATE", type=as_day, default=None, help="the day in the paper's metadata (default: today)"
    )
    command.add_argument("--paper", choices=("letter", "a4"), default="letter", help="sheet of the PDF (default: letter)")
    command.set_defaults(run=_fields)


def _fields(options: argparse.Namespace) -> int:
    from docgen.guide import guide, told

    if options.into is None:
        sys.stdout.write(told(options.section, options.format, as_of(options), LANGUAGE))
        return CLEAN
    if options.format != "text":
        raise UsageError("--into writes HTML and PDF; leave --format out")
    from docgen.write import WRITERS
    from docgen.write.folder import place_papers, possible

    paper = guide(options.section, as_of(options), LANGUAGE, options.paper)
    stem = paper.name if options.section is None else f"{paper.name}.{options.section.strip().casefold()}"
    written = place_papers(options.into, {f"{stem}.{kind}": WRITERS[kind](paper).data for kind in possible(("html", "pdf"))})
    for line in (*written.files, *(f"note: {note}" for note in noted(written))):
        print(line)
    return CLEAN
