"""One step from a profile file to a source that may be printed: read, withheld what tells a weight, checked against the schema."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from docgen.check import check_with_ids, measured, undecided
from docgen.errors import ProfileUnreadable
from docgen.frozen import frozen
from docgen.inherit import with_inherited
from docgen.logbook import Logbook, figures_of, read_log
from docgen.older import format_problem
from docgen.private import Guard, Screens, guard_for
from docgen.read import Mark, Problem, Source, read_profile
from docgen.records import newest_revision
from docgen.site import Log, build_log
from docgen.text.screens import found_in_any, screen_languages
from docgen.units import UnitProblem, parse
from docgen.unknown import NotKnown, without_unknown
from docgen.words import languages, words

__all__ = ["SCREENS", "Profile", "masses", "read_site", "site_beside", "site_folder", "sites_under"]

MOST_DEEP = 4
#: What a command writes beside a profile, or what another program keeps there: no site is looked for in it.
PASSED_BY = ("approvals", "issued", "papers", "withdrawn")


@frozen
class Profile:
    """A source without a weight in it, its problems, the guard that holds the private figures, and the marks of the texts withheld.

    `not_known` are the values said to be not known, which the source no longer has; `log` is what happened, `log_withheld` the
    marks of the texts withheld in it.
    """

    folder: Path
    source: Source
    problems: tuple[Problem, ...]
    guard: Guard
    withheld: tuple[Mark, ...] = ()
    not_known: tuple[NotKnown, ...] = ()
    log: Log = Log()
    log_withheld: tuple[Mark, ...] = ()


def site_folder(path: Path) -> Path:
    """The folder that a site's profile and records lie in, from what the user named."""
    path = Path(path)
    return path if path.is_dir() else path.parent


def site_beside(folder: Path, key: str) -> Path | None:
    """The first other site, by name, of the folder in which a site lies that has this id: by default the papers of both lie in one place."""
    own = Path(folder).resolve()
    with os.scandir(own.parent) as entries:
        names = sorted(e.name for e in entries if e.is_dir())
    for profile in (own.parent / name / "profile.yaml" for name in names if name != own.name):
        try:
            if not profile.is_file() or key.casefold().encode() not in profile.read_bytes().lower():
                continue
            data = read_profile(profile).data
        except (OSError, ProfileUnreadable):  # it is no site that papers come from
            continue
        site = data.get("site") if isinstance(data, dict) else None
        if isinstance(site, dict) and str(site.get("id")).casefold() == key.casefold():
            return profile.parent
    return None


def sites_under(path: Path) -> tuple[Path, ...]:
    """The sites that a path stands for: itself, or of a folder without a profile those folders below it that hold one, by name.

    They are looked for at most four deep; links are not followed, and what lies in a site, or was written by a command, is none of them.
    """
    path = Path(path)
    if not path.is_dir() or (path / "profile.yaml").exists():
        return (path,)
    return tuple(_below(path, 0)) or (path,)


def _below(folder: Path, deep: int) -> Iterator[Path]:
    if (folder / "profile.yaml").is_file():
        yield folder
        return
    if deep == MOST_DEEP:
        return
    with os.scandir(folder) as entries:
        names = sorted(e.name for e in entries if e.is_dir(follow_symlinks=False))
    for name in names:
        if not name.startswith(".") and name not in PASSED_BY:
            yield from _below(folder / name, deep + 1)


def read_site(path: Path, log: bool = True, change: Callable[[Source], Source] | None = None) -> Profile:
    """Read and check one profile (as `change` makes it, where that is given), and with `log` its log. Problems are results; only an unreadable file raises ProfileUnreadable."""
    folder = site_folder(path)
    source = with_inherited(read_profile(path))
    source, not_known = without_unknown(source if change is None else change(source))
    guard = guard_for(folder, SCREENS)
    if (older := format_problem(source, languages()[0])) is not None:
        return Profile(folder, source, guard.clean((older,)), guard)
    limits = measured(source) if guard.holds else {}
    guard.learn(masses(limits))
    wrong, ids = check_with_ids(source)
    problems = guard.clean((*wrong, *undecided(source, ((n.path, n.mark) for n in not_known)))) + guard.problems
    problems += tuple(_unwritten(source)) if not problems else ()
    if problems:
        return Profile(folder, source, problems, guard)
    book = read_log(folder, source, newest_revision(folder), ids) if log else Logbook()
    source, withheld = guard.withhold(source, lambda: _instead(source), limits)
    problems = (*source.problems, *guard.clean(book.problems))
    if book.source is None:
        return Profile(folder, source, problems, guard, withheld, not_known)
    told, hidden = guard.withhold(book.source, lambda: _instead(source), figures_of(book.source) if guard.holds else {})
    return Profile(folder, source, (*problems, *told.problems), guard, withheld, not_known, build_log(told, book.marks), hidden)


def _unwritten(source: Source) -> Iterator[Problem]:
    """The languages of the papers that docgen does not write."""
    for number, language in enumerate(((source.data or {}).get("document") or {}).get("languages") or ()):
        if language not in languages():
            path = f"document.languages[{number}]"
            mark, said = source.marks[path], words(languages()[0])["report"]["languages"]
            values = {"language": language, "known": ", ".join(languages())}
            yield Problem(
                source.file_of(mark),
                mark.line,
                mark.column,
                path,
                said["message"].format(**values),
                said["hint"].format(**values),
            )


def masses(figures: Mapping[str, tuple[str, str]]) -> Iterator[float]:
    """The masses among the figures of a profile, in kg; what cannot be read is told elsewhere."""
    for kind, written in figures.values():
        if kind == "mass":
            try:
                yield parse(written, kind).si
            except UnitProblem:
                continue


def _screened(kind: str) -> Callable[[str], bool]:
    return lambda text: bool(found_in_any(text, kind, screen_languages(languages())))


#: What the words of a text say of somebody's weight, by the screens of the trade.
SCREENS = Screens(_screened("weight"), _screened("of-a-person"), _screened("weighing"))


def _instead(source: Source) -> str:
    """What stands for a text that was withheld, in the first language of the documents for which there are words."""
    asked = ((source.data or {}).get("document") or {}).get("languages") or ()
    language = next((each for each in asked if each in languages()), languages()[0])
    return str(words(language)["phrases"]["withheld"])
