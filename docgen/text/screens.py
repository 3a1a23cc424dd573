"""Word lists against which the site's own text is held: data in templates/words/findings/screen.<language>.yaml.

Each entry has a kind, a pattern, the words to write instead, and stems: lowercase pieces of text one of which is in
every match, so that a pattern is compiled only where it can match at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import TypedDict, cast

from docgen.data import load, pattern, wrong
from docgen.frozen import frozen
from docgen.resources import data_folder
from docgen.text.site_texts import Texts

__all__ = ["Screened", "found_in", "found_in_any", "screen_kinds", "screen_languages", "screened"]


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


class _Row(TypedDict):
    kind: str
    pattern: str
    instead: str
    stems: list[str]


def _file(language: str) -> Path:
    return data_folder("templates") / "words" / "findings" / f"screen.{language}.yaml"


@cache
def _entries(language: str) -> dict[str, tuple[_Entry, ...]]:
    kinds: dict[str, list[_Entry]] = {}
    for row in cast("list[_Row]", load(_file(language), "screen")["screens"]):
        kinds.setdefault(row["kind"], []).append(_Entry(row["pattern"], row["instead"], tuple(row["stems"])))
    return {kind: tuple(entries) for kind, entries in kinds.items()}


def screen_languages(languages: tuple[str, ...]) -> tuple[str, ...]:
    """English, and those of the languages that have a screen of their own."""
    return ("en", *(x for x in languages if x != "en" and _file(x).is_file()))


def screen_kinds(language: str) -> tuple[str, ...]:
    """The kinds of screens there are."""
    return tuple(_entries(language))


def _of(kind: str, language: str) -> tuple[_Entry, ...]:
    found = _entries(language).get(kind)
    if found is None:
        raise wrong(_file(language), ("screens",), f"no entry is of the kind '{kind}'; add its words")
    return found


@cache
def _compiled(expression: str, language: str) -> re.Pattern[str]:
    return pattern(expression, _file(language))


def found_in(text: str | None, kind: str, language: str) -> tuple[Screened, ...]:
    """Everything in `text` that the screen of that kind catches, once each, in the order of the text."""
    return _caught(text, _of(kind, language), language) if text else ()


def found_in_any(text: str | None, kind: str, languages: Iterable[str]) -> tuple[Screened, ...]:
    """The same by the screens of several languages, one after the other."""
    return tuple(dict.fromkeys(caught for language in languages for caught in found_in(text, kind, language)))


def _caught(text: str, entries: tuple[_Entry, ...], language: str) -> tuple[Screened, ...]:
    return _caught_in(text, text.casefold(), entries, language)


def _caught_in(text: str, low: str, entries: tuple[_Entry, ...], language: str) -> tuple[Screened, ...]:
    """`low` is the text in small letters."""
    hits = [
        (match.start(), Screened(match[0], entry.instead))
        for entry in entries
        if any(stem in low for stem in entry.stems)
        for match in _compiled(entry.pattern, language).finditer(text)
    ]
    return tuple(dict.fromkeys(hit for _, hit in sorted(hits, key=lambda h: h[0])))


def screened(texts: Texts, kind: str, language: str) -> Iterator[tuple[str, Screened]]:
    """(path, what was caught) over many texts. An entry none of whose stems occurs anywhere costs one pass."""
    live = tuple(e for e in _of(kind, language) if any(stem in texts.whole for stem in e.stems))
    stems = tuple(dict.fromkeys(stem for entry in live for stem in entry.stems if stem in texts.whole))
    for (path, text), low in zip(texts, texts.folded, strict=True):
        if any(stem in low for stem in stems):
            for caught in _caught_in(text, low, live, language):
                yield path, caught
