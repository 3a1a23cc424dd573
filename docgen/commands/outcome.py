"""How a command ends and what it says then: the day, the site as it was read, problems, refusals, notes."""

from __future__ import annotations

import argparse
import os
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from docgen.errors import DataError, DocgenError, Refusal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from docgen.checked import Assessed, Checked, Refused
    from docgen.write.folder import Written

__all__ = [
    "CLEAN",
    "FOUND",
    "INSTEAD",
    "LANGUAGE",
    "WRONG",
    "ahead",
    "as_of",
    "by_the_clock",
    "checked_site",
    "colours",
    "each",
    "not_ahead",
    "noted",
    "read_site",
    "refused",
    "skipped",
    "tell_problems",
    "today",
]

CLEAN, FOUND, WRONG = 0, 1, 2
LANGUAGE = "en"  # of what is said at the terminal and of the papers of document control
#: What to type instead, by the name of what was refused; added to the sentence of the refusal.
INSTEAD = {
    "approval-partial": "record it with docgen approve --document {document} --role {role} --scope",
    "approval-missing": "record it with docgen approve --document {document} --role {role}",
    "approver-unnamed": "give --by",
    "digest-unclear": "give them with --digest",
    "day-ahead": "--on names it",
    "day-before-law": "{option} names it",
    "evidence-kind": "give another file with --evidence",
    "folder-is-there": "name another folder with --into",
    "folder-of-yours-is-there": "name another folder with --into",
    "folder-not-writable": "--into names it",
    "hold-needs-name-and-reason": "give --by and --reason",
    "log-correction-without-reason": "give --reason",
    "log-entered-ahead": "--as-of names it",
    "key-unreadable": "--sign names it",
    "licence-incomplete": "give --jurisdiction and --expires",
    "licence-needed": "give --licence, --jurisdiction and --expires, or put them in the profile",
    "nothing-called-so": "docgen explain findings, fields, codes, calculations and elements list names",
    "nothing-called-so-but-near": "docgen explain findings, fields, codes, calculations and elements list names",
    "nothing-issued-yet": "docgen issue makes the first one",
    "option-tells-weight": "--{option} holds it",
    "profile-has-problems": "docgen check lists them",
    "withdrawal-needs-name-and-reason": "give --by and --reason",
}


def today() -> date:
    """The day by the clock, which is read here and nowhere else."""
    return date.today()


def by_the_clock() -> date:
    """The day by the clock, whatever day was asked for."""
    return today()


def as_of(options: argparse.Namespace) -> date:
    """The day asked for, or today."""
    return options.as_of or today()


def ahead(options: argparse.Namespace) -> date | None:
    """Today, where the day asked for lies ahead of it."""
    now = today()
    return now if options.as_of is not None and options.as_of > now else None


def not_ahead(options: argparse.Namespace) -> None:
    """What is approved, issued or withdrawn has happened: never on a day ahead."""
    if now := ahead(options):
        raise Refusal("day-ahead", on=options.as_of, today=now)


def checked_site(options: argparse.Namespace, path: Path | None = None) -> Checked:
    """The site as it is on the day asked for; a day before the law data begin is told as one of the option that gave it."""
    from docgen.checked import Assessed
    from docgen.pipeline import check_site

    checked = check_site(path or options.profile, as_of(options))
    if options.as_of is not None and isinstance(checked, Assessed) and not checked.code.knows(options.as_of):
        begun = checked.code.begins()
        raise Refusal("day-before-law", on=options.as_of, place=checked.code.code, begun=begun or "-", option=options.day_option)
    return checked


def each(options: argparse.Namespace) -> Iterator[tuple[Checked | None, bool]]:
    """Each site named, or in a folder named, once, checked, and whether it is the only one; of many, None for one that cannot be read, which is told."""
    from docgen.profile import sites_under

    named: dict[Path, Path] = {}
    for site in (site for path in options.profiles for site in sites_under(path)):
        named.setdefault((site / "profile.yaml" if site.is_dir() else site).resolve(), site)
    paths = [*named.values()]
    for path in paths:
        try:
            yield checked_site(options, path), len(paths) == 1
        except DocgenError as error:
            if len(paths) == 1:
                raise
            skipped(path, error)
            yield None, False


def skipped(path: Path, error: DocgenError) -> int:
    """A site that cannot be read is told, and stops no other."""
    said = refused(error) if isinstance(error, Refusal) else str(error)
    print(f"docgen: {said if said.startswith(str(path)) else f'{path}: {said}'}", file=sys.stderr)
    return WRONG


def read_site(options: argparse.Namespace) -> Assessed | None:
    """The site, or None after its problems were printed."""
    from docgen.checked import Assessed

    checked = checked_site(options)
    if isinstance(checked, Assessed):
        return checked
    tell_problems(checked)
    return None


def tell_problems(refused: Refused) -> int:
    """Print the problems that keep anything from being recorded."""
    from docgen.report import REPORTERS

    sys.stdout.write(REPORTERS["text"](refused, LANGUAGE))
    print("docgen: nothing was recorded; put the problems right first", file=sys.stderr)
    return FOUND


def noted(written: Written) -> list[str]:
    """The remarks on what was written, in words."""
    from docgen.words import refusal_text

    return [refusal_text(n, LANGUAGE) if isinstance(n, Refusal) else n for n in written.notes]


def refused(refusal: Refusal) -> str:
    """The sentence of a refusal, and what to type instead where that helps."""
    from docgen.words import refusal_text

    try:
        said = refusal_text(refusal, LANGUAGE)
    except DataError as error:  # the words that would tell it are damaged themselves
        return f"{refusal}\n{error}"
    instead = INSTEAD.get(refusal.name)
    return said if instead is None else f"{said}; {instead.format(**refusal.values)}"


def colours(options: argparse.Namespace) -> bool:
    """Colour is for a terminal only, and not where --no-color or NO_COLOR says so (no-color.org) or the terminal has none."""
    return not options.no_color and sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
