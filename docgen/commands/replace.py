"""replace: a part, a person or a vehicle leaves and another comes."""

from __future__ import annotations

import argparse
import sys

from docgen.commands.options import DONE, Parser, as_words, takes_day, takes_site
from docgen.commands.outcome import CLEAN, FOUND, LANGUAGE, read_site

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "replace": ("docgen replace site_profiles/harrow-ridge D-1 --by D-9 --reason 'Retired' --on 2026-11-12", DONE),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    replace = commands.add_parser(
        "replace", help="a part, a person or a vehicle is replaced: new id, old one retired, evidence asked for"
    )
    takes_site(replace)
    replace.add_argument("id", metavar="ID", type=as_words, help="the id of what leaves, such as D-1, tanker, U-03 or RS-2")
    replace.add_argument(
        "--by", required=True, metavar="ID", type=as_words, help="the id of what takes its place; it was never used before"
    )
    replace.add_argument("--name", metavar="NAME", type=as_words, help="what the new one is called (default: as the old one)")
    replace.add_argument("--reason", metavar="TEXT", type=as_words, help="why the old one leaves")
    replace.add_argument("--preview", action="store_true", help="show what would change and write nothing")
    takes_day(replace, "the day on which the old one leaves")
    replace.set_defaults(run=_replace)


def _replace(options: argparse.Namespace) -> int:
    from docgen.control.say import control_words
    from docgen.pipeline import guard_of
    from docgen.revisions import replace_in_site

    checked = read_site(options)
    if checked is None:
        return FOUND
    made = replace_in_site(checked, options.profile, options.id, options.by, options.name, options.reason, options.preview)
    words = control_words(LANGUAGE)["replaced"]
    sys.stdout.write(guard_of(checked).veiled(made.difference))
    print(words["preview" if options.preview else "done"].format(old=options.id, new=options.by, file=made.file))
    print(words["asked"].format(new=options.by, n=len(made.asked)))
    for line in words["due"][made.of]:
        print(f"  - {line}")
    if lines := made.still_named(options.id):
        print(words["named"].format(old=options.id, lines=", ".join(map(str, lines))))
    print(f"docgen check {options.profile} --as-of {checked.as_of} lists what is missing, and docgen changes what follows")
    return CLEAN
