"""Word lists against which the site's own text is held: data in templates/words/findings/screen.<language>.yaml.

Each entry has a kind, a pattern, the words to write instead, and stems: lowercase pieces of text one of which is in
every match, so that a pattern is compiled only where it can match at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from docgen.frozen import frozen
from docgen.resources import data_folder
from docgen.text.site_texts import Texts

__all__ = ["Screened", "found_in", "screen_kinds", "screen_languages", "screened"]


@frozen
class Screened:
    """Words of the site's text that a screen caught, and what to write instead."""

    text: str
    instead: str


@frozen
class _Entry:
    pattern: str
    instead: str
    stems: tuple[str, ...]


@cache
def _entries(language: str) -> dict[str, tuple[_Entry, ...]]:
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    path = data_folder("templates") / "words" / "findings" / f"screen.{language}.yaml"
    rows = yaml.load(path.read_text(encoding="utf-8"), Loader=loader)["screens"]
    kinds: dict[str, list[_Entry]] = {}
    for row in rows:
        kinds.setdefault(row["kind"], []).append(_Entry(row["pattern"], row["instead"], tuple(row["stems"])))
    return {kind: tuple(entries) for kind, entries in kinds.items()}


def screen_languages(languages: tuple[str, ...]) -> tuple[str, ...]:
    """English, and those of the languages that have a screen of their own."""
    folder = data_folder("templates") / "words" / "findings"
    return ("en", *(x for x in languages if x != "en" and (folder / f"screen.{x}.yaml").is_file()))


def screen_kinds(language: str = "en") -> tuple[str, ...]:
    """The kinds of screens there are."""
    return tuple(_entries(language))


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


def found_in(text: str | None, kind: str, language: str = "en") -> tuple[Screened, ...]:
    """Everything in `text` that the screen of that kind catches, once each, in the order of the text."""
    return _caught(text, _entries(language)[kind]) if text else ()


def _caught(text: str, entries: tuple[_Entry, ...]) -> tuple[Screened, ...]:
    low = text.casefold()
    hits = [
        (match.start(), Screened(match[0], entry.instead))
        for entry in entries
        if any(stem in low for stem in entry.stems)
        for match in _compiled(entry.pattern).finditer(text)
    ]
    return tuple(dict.fromkeys(hit for _, hit in sorted(hits, key=lambda h: h[0])))


def screened(texts: Texts, kind: str, language: str = "en") -> Iterator[tuple[str, Screened]]:
    """(path, what was caught) over many texts. An entry none of whose stems occurs anywhere costs one pass."""
    live = tuple(e for e in _entries(language)[kind] if any(stem in texts.whole for stem in e.stems))
    if live:
        for path, text in texts:
            for caught in _caught(text, live):
                yield path, caught
