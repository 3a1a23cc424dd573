"""The command line. Exit 0 clean; 1 profile problems or must-fix findings; 2 wrong use or an internal fault."""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys

from docgen import __version__
from docgen.commands import (
    approve,
    changes,
    check,
    demo,
    due,
    explain,
    fields,
    log,
    portfolio,
    register,
    render,
    replace,
    sheet,
    start,
    tidy,
)
from docgen.commands.options import Parser, as_words, near
from docgen.commands.outcome import CLEAN, WRONG, refused
from docgen.errors import DocgenError, Refusal

__all__ = ["MANUAL", "command_line", "main"]

#: In the order in which help lists them.
COMMANDS = (start, demo, check, render, fields, explain, tidy, sheet, log, due, changes, approve, replace, register, portfolio)
#: Command -> an example that runs on the demo sites, and its exit codes.
MANUAL = {name: told for module in COMMANDS for name, told in module.MANUAL.items()}


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return the exit code; nothing but results goes to standard output."""
    for stream in (sys.stdout, sys.stderr):  # a path may hold bytes that are no text, and a terminal may lack a sign
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    options = _parsed(arguments)
    if vars(options).get("format", "text") != "text" and isinstance(sys.stdout, io.TextIOWrapper):
        # JSON (RFC 8259), calendar (RFC 5545) and table are UTF-8 with the line ends that they have, whatever letters a terminal knows
        sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace", newline="\n")
    collecting = gc.isenabled()
    gc.disable()  # a command keeps what it makes: collecting would cost a quarter of a check
    try:
        code: int = options.run(options)
        return code
    except Refusal as refusal:
        print(f"docgen: {refused(refusal)}", file=sys.stderr)
        return WRONG
    except DocgenError as error:
        print(f"docgen: {error}", file=sys.stderr)
        return WRONG
    except BrokenPipeError:
        return WRONG
    except KeyboardInterrupt:
        print("docgen: stopped", file=sys.stderr)
        return WRONG
    except Exception as error:
        if options.trace:
            raise
        kind = type(error).__name__
        print(f"docgen: internal fault ({kind}: {error}); run again with --trace to see where, and report it", file=sys.stderr)
        return WRONG
    finally:
        if collecting:  # whoever calls this from a process of their own has it as it was
            gc.enable()


def _parsed(arguments: list[str] | None) -> argparse.Namespace:
    """The command line as it is read: the words of an entry of the log may stand before and after its options."""
    parser = command_line()
    if os.environ.get("_ARGCOMPLETE"):  # a shell asks for what may follow
        import argcomplete

        argcomplete.autocomplete(parser, always_complete_options=False)
    options, rest = parser.parse_known_args(arguments)
    if options.command is None:
        parser.print_help()
        parser.exit(CLEAN)
    if rest:
        if "words" not in options or any(word.startswith("-") for word in rest):
            used = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction)).choices[options.command]
            strange = next((word for word in rest if word.startswith("-")), rest[0]).partition("=")[0]
            options_there = [text for action in used._actions for text in action.option_strings]
            hint = near(strange, options_there) if strange.startswith("-") else ""
            used.error(
                f"{options.command} does not take '{strange}'; {hint or f'docgen {options.command} --help lists what it takes'}"
            )
        options.words = [*options.words, *(_word_of(parser, word) for word in rest)]
    return options


def _word_of(parser: argparse.ArgumentParser, text: str) -> str:
    try:
        return as_words(text)
    except argparse.ArgumentTypeError as error:
        parser.error(str(error))


def command_line() -> argparse.ArgumentParser:
    """The commands and what each takes."""
    parser = Parser(
        prog="docgen",
        description="Checks a site profile, does the engineering, and writes the fall-protection plan, the contractor notice and the rescue procedure.",
    )
    parser.add_argument("--version", action="version", version=f"docgen {__version__}")
    parser.add_argument("--trace", action="store_true", help="show the full trace of an internal fault")
    parser.set_defaults(day_option="--as-of")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    for module in COMMANDS:
        module.add(commands)
    for name, command in commands.choices.items():
        command.add_argument("--quiet", action="store_true", help="print only what must be acted on")
        command.add_argument("--no-color", action="store_true", help="no colour, also on a terminal (NO_COLOR does the same)")
        example, codes = MANUAL[name]
        command.description = (
            command.description or str(next(a.help for a in commands._choices_actions if a.dest == name)).capitalize() + "."
        )
        command.epilog = f"Example: {example}\n{codes}"
    return parser


if __name__ == "__main__":
    sys.exit(main())
