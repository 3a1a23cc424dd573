"""changes: what moved since an issue, and what follows."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from docgen.commands.options import DONE, Parser, as_words, takes_site_and_day
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, noted, read_site
from docgen.errors import UsageError

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "changes": ("docgen changes site_profiles/harrow-ridge --into out --as-of 2026-11-12", DONE),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    changes = commands.add_parser(
        "changes", help="what changed since an issue, which approvals lapse, whom to tell, what to replace, by when"
    )
    takes_site_and_day(changes)
    changes.add_argument("--since", metavar="REVISION", type=int, help="compare with this revision (default: the newest)")
    changes.add_argument("--to", metavar="REVISION", type=int, help="compare this revision instead of the profile of today")
    changes.add_argument(
        "--into", metavar="DIR", type=Path, help="write the change brief, the posting list and the comparison there as well"
    )
    changes.add_argument(
        "--redline", action="store_true", help="with --into: every changed document as DOCX with tracked changes, and as HTML"
    )
    changes.add_argument("--author", metavar="NAME", type=as_words, help="author of the tracked changes (default: docgen)")
    changes.add_argument(
        "--all",
        action="store_true",
        help="print everything: fields, clauses, reasons, approvals that stand (default: what to do)",
    )
    changes.set_defaults(run=_changes)


def _changes(options: argparse.Namespace) -> int:
    from docgen.control.tell import FORMATS
    from docgen.revisions import compare_site, papers_of
    from docgen.write.folder import place_papers, possible

    if options.redline and options.into is None:
        raise UsageError("--redline writes files: give --into DIR as well")
    checked = read_site(options)
    if checked is None:
        return FOUND
    changes = compare_site(checked, options.since, options.to)
    sys.stdout.write(FORMATS["all" if options.all and options.format == "text" else options.format](changes, LANGUAGE))
    if options.format == "text" and not options.all and not changes.none:
        print(f"docgen changes {options.profile} --all lists them")
    if options.into is not None:
        papers = papers_of(checked, changes, possible(("docx", "pdf")), options.redline, options.author, LANGUAGE)
        written = place_papers(options.into / checked.site.site.id / "changes", papers, checked.happened.held is not None)
        for line in (*written.files, *(f"note: {n}" for n in noted(written))):
            print(line, file=sys.stderr if options.format == "json" else sys.stdout)
    return CLEAN
