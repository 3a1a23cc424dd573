"""due: what is overdue, was never done, or falls due soon."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.commands.options import SITES, Parser, as_day, as_span
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, WRONG, as_of, each

if TYPE_CHECKING:
    from docgen.due import Row

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "due": ("docgen due site_profiles --within 60d --as-of 2026-11-01", "Exit 0: nothing is overdue; 1: something is overdue or was never done, or a profile has problems; 2: wrong use."),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    due = commands.add_parser("due", help="what is overdue, was never done, or falls due soon; of one site or of many")
    due.add_argument("profiles", metavar="SITE", type=Path, nargs="+", help=SITES)
    due.add_argument("--within", metavar="SPAN", type=as_span, default="60d", help="how far ahead: 60d, 8w, or 2m (default: 60d)")
    due.add_argument("--as-of", metavar="DATE", type=as_day, default=None, help="the day to judge by (default: today)")
    due.add_argument(
        "--format", choices=("text", "csv", "json", "ics"), default="text", help="text, csv, json, or ics for a calendar"
    )
    due.set_defaults(run=_due)


def _due(options: argparse.Namespace) -> int:
    from docgen.checked import Assessed
    from docgen.due import FORMATS, rows_of
    from docgen.report import REPORTERS

    code = CLEAN
    sites: dict[str, str] = {}
    files: dict[str, str] = {}
    rows: list[Row] = []
    for checked, _ in each(options):
        if checked is None:
            code = WRONG
            continue
        if not isinstance(checked, Assessed):
            print(REPORTERS["text"](checked, LANGUAGE), end="", file=sys.stderr)
            code = max(code, FOUND)
            continue
        key, file = checked.site.site.id, checked.source.file
        if key in sites:
            print(f"docgen: {file}: the id '{key}' is that of {files[key]} too; give each site an id of its own", file=sys.stderr)
            code = WRONG
            continue
        sites[key], files[key] = checked.site.site.name or key, file
        rows += rows_of(checked, options.within, LANGUAGE)
    if options.quiet:
        rows = [r for r in rows if r.state != "coming"]
    day = as_of(options)
    sys.stdout.write(FORMATS[options.format](rows, sites, day, day + options.within, LANGUAGE))
    return max(code, FOUND if any(r.state != "coming" for r in rows) else CLEAN)
