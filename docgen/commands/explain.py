"""explain: what a name means, and how this site's number came out."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from docgen.commands.options import Parser, as_day
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, as_of, checked_site
from docgen.errors import UsageError

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "explain": ("docgen explain clearance-short", "Exit 0: explained; 1: profile problems; 2: nothing is called so."),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    explain = commands.add_parser("explain", help="what a finding, calculation, question of law, citation or profile field is")
    explain.add_argument(
        "name",
        metavar="NAME",
        help="such as clearance-short, clearance, arrest_force_max; findings, codes, calculations and elements list them",
    )
    explain.add_argument("profile", metavar="PROFILE", type=Path, nargs="?", help="a profile: how this site's number came out")
    explain.add_argument("--case", metavar="CASE", help="one case, as check names it, instead of the governing ones")
    explain.add_argument("--as-of", metavar="DATE", type=as_day, default=None, help="the day to judge by (default: today)")
    explain.add_argument(
        "--review", action="store_true", help="with codes: the answers of law as they are due for reading, oldest first"
    )
    explain.set_defaults(run=_explain)


def _explain(options: argparse.Namespace) -> int:
    from docgen.checked import Refused
    from docgen.explain import explain
    from docgen.report import REPORTERS

    assessed = None
    if options.profile is not None:
        checked = checked_site(options)
        if isinstance(checked, Refused):
            sys.stdout.write(REPORTERS["text"](checked, LANGUAGE))
            return FOUND
        assessed = checked
    elif options.case is not None:
        raise UsageError("--case needs a profile: docgen explain clearance PROFILE --case CASE")
    if options.review and options.name != "codes":
        raise UsageError("--review goes with codes: docgen explain codes --review")
    sys.stdout.write(explain(options.name, assessed, options.case, as_of(options), review=options.review))
    return CLEAN
