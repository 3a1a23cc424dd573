"""What commands take: days, spans, words, paths and lists as they are typed, and the options that several share."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from datetime import date, timedelta
from pathlib import Path
from typing import Any, NoReturn

from docgen.days import FIRST_YEAR, LAST_YEAR
from docgen.errors import UsageError
from docgen.signs import misread, unseen

__all__ = [
    "DONE",
    "LEVELS",
    "READ",
    "SITES",
    "Parser",
    "as_day",
    "as_span",
    "as_words",
    "listed",
    "near",
    "takes_day",
    "takes_day_and_format",
    "takes_key",
    "takes_site",
    "takes_site_and_day",
    "types_of",
]


SPANS = {"d": 1, "w": 7, "m": 31}  # a month ahead is looked at whole
LEVELS = ("must-fix", "fix-soon", "advice")
SITES = "a site folder, its profile file, or a folder of sites"
READ = "Exit 0: nothing must be fixed; 1: profile problems or must-fix findings; 2: wrong use."
DONE = "Exit 0: done; 1: profile problems; 2: refused, or wrong use."


def near(word: str, known: Iterable[str]) -> str:
    """The question after a word that stands close to what was typed; empty where none does."""
    from difflib import get_close_matches

    found = get_close_matches(word, list(known), 1)
    return f"did you mean '{found[0]}'?" if found else ""


class _Help(argparse.HelpFormatter):
    """Help in which an example keeps its line, however long, so that it can be copied."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        """Each line of a text by itself; one that begins with the word is not broken."""
        return "\n".join(
            line if line.startswith("Example: ") else super(_Help, self)._fill_text(line, width, indent)
            for line in text.splitlines()
        )


class Parser(argparse.ArgumentParser):
    """A parser that takes no sign that nobody sees, in no option of no command, and repeats none in its messages."""

    def __init__(self, **given: Any) -> None:
        super().__init__(**{"allow_abbrev": False, "formatter_class": _Help, **given})

    def _check_value(self, action: argparse.Action, value: object) -> None:
        """A word out of a fixed list; what is close to it is named."""
        if action.choices is not None and value not in action.choices:
            command = isinstance(action, argparse._SubParsersAction)
            what = "command" if command else str(action.metavar or action.dest).lower()
            known = [str(choice) for choice in action.choices]
            told = f"there is no {what} '{value}'; {near(str(value), known) or 'there are: ' + ', '.join(known)}"
            raise argparse.ArgumentError(None if command else action, told)

    def _add_action(self, action: argparse.Action) -> argparse.Action:  # type: ignore[override]
        """Every option and argument that takes a value looks at its signs; one that is added later does so too."""
        action = super()._add_action(action)
        if action.nargs != 0 and action.choices is None:
            action.type = _LOOKED_AT.get(action.type, action.type)
        return action

    def error(self, message: str) -> NoReturn:
        """The message with each sign that cannot be seen told by its number; then exit 2."""
        shown = "".join(c if c.isprintable() and unseen(c) is None else f"\\u{ord(c):04x}" for c in message)
        super().error(shown)


def takes_site(command: argparse.ArgumentParser) -> None:
    """One site."""
    command.add_argument("profile", metavar="SITE", type=Path, help="a site folder that holds profile.yaml, or its profile file")


def takes_key(command: argparse.ArgumentParser) -> None:
    """A key that signs what is left on record."""
    command.add_argument(
        "--sign", metavar="KEY", type=Path, help="sign the record with this SSH private key (ssh-keygen -Y verify checks it)"
    )


def takes_day(command: argparse.ArgumentParser, what: str) -> None:
    """The day of the deed, as `--on`; `what` is it in words."""
    command.set_defaults(day_option="--on")
    command.add_argument(
        "--on", dest="as_of", metavar="DATE", type=as_day, default=None, help=f"{what}, as 2026-11-01 (default: today)"
    )


def takes_site_and_day(command: argparse.ArgumentParser) -> None:
    """One site, the day to judge by, and how results are printed."""
    takes_site(command)
    takes_day_and_format(command)


def takes_day_and_format(command: argparse.ArgumentParser) -> None:
    """The day to judge by, and how results are printed."""
    command.add_argument(
        "--as-of", metavar="DATE", type=as_day, default=None, help="the day to judge by, as 2026-11-01 (default: today)"
    )
    command.add_argument("--format", choices=("text", "json"), default="text", help="how results are printed (default: text)")


def as_day(text: str) -> date:
    """A day as 2026-11-01, in the years that a profile may name."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is not a day; write it as 2026-11-01") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise argparse.ArgumentTypeError(f"{day} lies outside the years {FIRST_YEAR} to {LAST_YEAR}")
    return day


def as_span(text: str) -> timedelta:
    """A span as 60d, 8w or 2m; a month counts 31 days, so that it is looked at whole."""
    number, unit = text[:-1], text[-1:]
    if not (number.isascii() and number.isdigit() and len(number) <= 4 and unit in SPANS):
        raise argparse.ArgumentTypeError(f"'{text}' is no span; write days, weeks or months: 60d, 8w or 2m")
    return timedelta(days=int(number) * SPANS[unit])


def as_words(text: str) -> str:
    """A text that is kept in a record or printed: every sign of it can be seen, and none is taken for another."""
    if sign := unseen(text):
        raise argparse.ArgumentTypeError(
            f"sign {text.index(sign) + 1} is U+{ord(sign):04X}, which nobody sees; type the text again"
        )
    if taken := misread(text):
        raise argparse.ArgumentTypeError(f"{taken[1]}; {taken[2]}")
    return text


def path(text: str) -> Path:
    """A path as it is typed: bytes that are no text may stand in it, a sign that hides or moves what is printed may not."""
    for number, sign in enumerate(text, 1):
        if not "\ud800" <= sign <= "\udfff" and unseen(sign):
            raise argparse.ArgumentTypeError(
                f"sign {number} of the path is U+{ord(sign):04X}, which nobody sees; give the file or folder another name"
            )
    return Path(text)


#: How a value is read -> how it is read once its signs were looked at.
_LOOKED_AT: dict[object, Callable[[str], object]] = {None: as_words, Path: path}


def listed(text: str, option: str) -> tuple[str, ...]:
    """The names of a list with commas; `UsageError` names the option where it holds none."""
    names = tuple(t.strip() for t in text.split(",") if t.strip())
    if not names:
        raise UsageError(f"{option} takes a list separated by commas; got '{text}'")
    return names


def types_of(text: str) -> tuple[str, ...]:
    """The types of file asked for, in the order in which they are written."""
    from docgen.write.folder import TYPES

    wanted = [t.strip() for t in text.split(",") if t.strip()]
    unknown = [t for t in wanted if t not in TYPES]
    if unknown or not wanted:
        raise UsageError(f"--types takes a list out of {', '.join(TYPES)}; got '{text}'")
    return tuple(t for t in TYPES if t in wanted)
