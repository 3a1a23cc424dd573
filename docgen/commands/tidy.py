"""tidy: a profile put right where only its form is amiss; shown first, written on request."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from docgen.commands.options import Parser, takes_site
from docgen.commands.outcome import CLEAN

if TYPE_CHECKING:
    pass

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "tidy": ("docgen tidy site_profiles/harrow-ridge", "Exit 0: shown, written, or nothing to tidy; 2: no text that can be read, or wrong use."),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    tidy = commands.add_parser(
        "tidy",
        help="quotation marks, spaces, tabs, decimal commas and spellings of units in a profile put right; what it says stays, and the log is left alone",
    )
    takes_site(tidy)
    tidy.add_argument("--yes", action="store_true", help="write it (default: show the difference and write nothing)")
    tidy.set_defaults(run=_tidy)


def _tidy(options: argparse.Namespace) -> int:
    from docgen.profile import read_site
    from docgen.tidy import tidied_file, write

    made = tidied_file(options.profile)
    sys.stdout.write(read_site(options.profile, log=False).guard.veiled(made.difference))
    lines = "1 line" if made.changed == 1 else f"{made.changed} lines"
    if not made.changed:
        print(f"{made.file}: there is nothing to tidy")
    elif options.yes:
        write(made)
        print(f"{made.file}: {lines} tidied")
    else:
        print(f"{made.file}: {lines} to tidy; nothing was written, --yes writes it")
    if made.left:
        print(f"docgen check {options.profile} lists what is left to you")
    return CLEAN
