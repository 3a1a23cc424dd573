"""The texts of one site that a document may print, gathered once and kept with the site's own check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from functools import cached_property

from docgen.site import Node, Site, walk

__all__ = ["SiteTexts", "Texts"]

NOT_PRINTED = ("path", "given", "source_lines", "accepted", "events", "logs", "handling")
SHORT = 6  # a text below this length is an id, a language or a number


class Texts(tuple[tuple[str, str], ...]):
    """(path, text) pairs, with all of them in one small-letter piece for a quick look."""

    @cached_property
    def whole(self) -> str:
        """All texts in small letters, a line each."""
        return "\n".join(self.folded)

    @cached_property
    def folded(self) -> tuple[str, ...]:
        """Each text in small letters."""
        return tuple(text.casefold() for _, text in self)


class SiteTexts:
    """The texts of a site by section."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._kept: dict[tuple[str, ...], Texts] = {}

    def of(self, sections: tuple[str, ...] = ()) -> Texts:
        """Texts of the named sections of the profile, of every printed one where none is named."""
        if sections not in self._kept:
            self._kept[sections] = Texts(self._gather(sections))
        return self._kept[sections]

    def _gather(self, sections: tuple[str, ...]) -> Iterator[tuple[str, str]]:
        for name in sections or tuple(f.name for f in fields(self._site) if f.name not in NOT_PRINTED):
            value = getattr(self._site, name)
            for node in value if isinstance(value, tuple) else (value,):
                if isinstance(node, Node):
                    yield from ((p, v) for p, v in walk(node) if isinstance(v, str) and len(v) >= SHORT)
