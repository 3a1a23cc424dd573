"""demo and completion: to try things on, and for the shell."""

from __future__ import annotations

import argparse
from pathlib import Path

from docgen.commands.options import Parser, as_words, near
from docgen.commands.outcome import CLEAN
from docgen.errors import UsageError

__all__ = ["MANUAL", "add"]

#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {
    "demo": ("docgen demo harrow-ridge --into out", "Exit 0: copied or listed; 2: no such demo, or its folder is there already."),
    "completion": ("docgen completion bash", "Put what it prints where the shell reads it at its start. Exit 0: printed; 2: wrong use."),
}  # fmt: skip


def add(commands: argparse._SubParsersAction[Parser]) -> None:
    """The command line of it."""
    copy = commands.add_parser(
        "demo", help="copy a demo site of an invented place to try things on; without a name they are listed"
    )
    copy.add_argument("name", metavar="NAME", type=as_words, nargs="?", help="such as harrow-ridge")
    copy.add_argument(
        "--into", metavar="DIR", type=Path, default=Path(), help="folder in which its folder is made (default: here)"
    )
    copy.set_defaults(run=_demo)

    completion = commands.add_parser("completion", help="what a shell reads so that it completes commands and options")
    completion.add_argument("shell", metavar="SHELL", choices=("bash", "zsh", "fish"), help="bash, zsh or fish")
    completion.set_defaults(run=_completion)


def _demo(options: argparse.Namespace) -> int:
    from docgen.demos import copy_demo, demos

    there = demos()
    if options.name is None:
        for name, what in there.items():
            print(f"{name}: {what}")
        return CLEAN
    if options.name not in there:
        raise UsageError(f"there is no demo '{options.name}'; {near(options.name, there) or 'docgen demo lists them'}")
    folder = copy_demo(options.name, options.into)
    print(f"{folder}: an invented place, to try things on")
    print(f"docgen check {folder} --as-of 2026-11-01 is the day for which it is kept")
    return CLEAN


def _completion(options: argparse.Namespace) -> int:
    import argcomplete

    print(argcomplete.shellcode(["docgen"], shell=options.shell))  # type: ignore[attr-defined]
    return CLEAN
