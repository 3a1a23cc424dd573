"""One step from a profile file to a source that may be printed: read, withheld what tells a weight, checked against the schema."""

from __future__ import annotations

from pathlib import Path

from docgen.check import check
from docgen.frozen import frozen
from docgen.private import Guard, guard_for
from docgen.read import Mark, Problem, Source, read_profile
from docgen.text.screens import found_in
from docgen.words import words

__all__ = ["Profile", "read_site", "site_folder"]


@frozen
class Profile:
    """A source without a weight in it, its problems, the guard that holds the private figures, and the marks of the texts withheld."""

    folder: Path
    source: Source
    problems: tuple[Problem, ...]
    guard: Guard
    withheld: tuple[Mark, ...] = ()


def site_folder(path: Path) -> Path:
    """The folder that a site's profile and records lie in, from what the user named."""
    path = Path(path)
    return path if path.is_dir() else path.parent


def read_site(path: Path) -> Profile:
    """Read and check one profile. Problems are results; only an unreadable file raises ProfileUnreadable."""
    folder, source = site_folder(path), read_profile(path)
    guard = guard_for(folder, _tells_a_weight)
    guard.learn(source.data)
    problems = guard.clean(check(source)) + guard.problems
    if problems:
        return Profile(folder, source, problems, guard)
    source, withheld = guard.withhold(source, _instead)
    return Profile(folder, source, source.problems, guard, withheld)


def _tells_a_weight(text: str) -> bool:
    return bool(found_in(text, "weight"))


def _instead() -> str:
    text: str = words("en")["phrases"]["withheld"]
    return text
