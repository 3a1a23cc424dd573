"""Which questions of law the papers of a site need, and which of these nobody has read."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from docgen.codes.answers import question, questions
from docgen.codes.site_facts import site_facts
from docgen.papers import outlines
from docgen.site import Site

if TYPE_CHECKING:
    from docgen.codes.law import Law
    from docgen.codes.model import Answer

__all__ = ["ever_needed", "needed", "unread"]


@cache
def _asked() -> frozenset[str]:
    """The questions that stand in the index of a paper that this version writes."""
    return frozenset(key for outline in outlines() if outline.written for key in outline.questions)


def ever_needed() -> tuple[str, ...]:
    """The questions that some paper needs at some site, in the order of the fixed list."""
    return tuple(key for key in questions() if key in _asked())


def needed(facts: frozenset[str]) -> tuple[str, ...]:
    """The questions that the papers of a site with these facts need, in the order of the fixed list."""
    return tuple(key for key in ever_needed() if question(key).matters(facts))


def unread(site: Site, law: Law) -> tuple[Answer, ...]:
    """The answers that the papers of a site need and on which nobody read the law: recalled, not looked for, or answered by no law."""
    return tuple(answer for key in needed(site_facts(site, law)) if (answer := law.ask(key)).law_unread)
