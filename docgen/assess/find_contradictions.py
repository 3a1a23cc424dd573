"""The finding on contradictions, as far as the site's own text alone shows them; finished documents are compared after composing."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.contradict import facts_of, phones_in, phones_of, said_in
from docgen.assess.find_screens import found_in
from docgen.assess.find_words import site_texts
from docgen.assess.view import Hit, View

__all__ = ["documents_contradict"]

NUMBERED = ("equipment", "systems", "codes", "reviewers", "posting", "logs", "handling", "document")


def documents_contradict(view: View) -> Iterator[Hit]:
    """What it looks at: limits, heights, times and telephone numbers written out in text against the profile, and after
    composing the finished documents and language versions against each other.

    Why: two papers that say two things are evidence, and someone follows the wrong one. Example: the check-in text says
    350 lb, limits.user.max is 310 lb. Reference: common practice of counsel, no published source.
    """
    facts, phones = facts_of(view.site), phones_of(view.site)
    for path, text in site_texts(view):
        if not any(c.isdigit() for c in text) or path.startswith(NUMBERED) or found_in(text, "weight"):
            continue
        for said in said_in(text, facts):
            fact = facts[said.subject]
            values = {"one": said.words, "place": path, "other": fact.values[0].text, "elsewhere": fact.path}
            yield Hit(path, values)
        if path.endswith((".number", ".phone")):
            continue
        for number in phones_in(text, phones):
            yield Hit(path, {"one": number, "place": path, "other": "no such number", "elsewhere": "emergency.contacts"})
