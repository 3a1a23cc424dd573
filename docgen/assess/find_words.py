"""Findings on the site's own text where it reaches a document: promises, waivers, weights, mistakes about the law."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import fields
from functools import lru_cache
from typing import TYPE_CHECKING

from docgen.assess.find_screens import found_in, screen_languages, screened
from docgen.assess.view import Hit, View
from docgen.site import Node, Site, walk

if TYPE_CHECKING:
    from docgen.codes import Code, Mistake

__all__ = [
    "common_mistake",
    "law_number_in_notice",
    "permissive_verb",
    "promise_words",
    "regulator_approval",
    "rescue_promise",
    "site_texts",
    "vague_words",
    "waiver",
    "weight_in_text",
]

NOT_PRINTED = ("path", "given", "source_lines", "accepted", "events", "logs", "handling")
NOTICE = ("contractors", "site_rules")
SHORT = 6  # a text below this length is an id, a language or a number


_LAST: list[tuple[Site | None, dict[tuple[str, ...], tuple[tuple[str, str], ...]]]] = [(None, {})]


def _texts(view: View, sections: tuple[str, ...] = ()) -> tuple[tuple[str, str], ...]:
    """(path, text) of every text that a document may print, or of the named sections; kept for one site."""
    site, kept = _LAST[0]
    if site is not view.site:
        kept = {}
        _LAST[0] = (view.site, kept)
    if sections not in kept:
        kept[sections] = tuple(_gather(view.site, sections))
    return kept[sections]


def site_texts(view: View) -> tuple[tuple[str, str], ...]:
    """(path, text) of every text of the site that a document may print."""
    return _texts(view)


def _gather(site: Site, sections: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for name in sections or tuple(f.name for f in fields(site) if f.name not in NOT_PRINTED):
        value = getattr(site, name)
        for node in value if isinstance(value, tuple) else (value,):
            if isinstance(node, Node):
                yield from ((p, v) for p, v in walk(node) if isinstance(v, str) and len(v) >= SHORT)


def _caught(view: View, kind: str, sections: tuple[str, ...] = ()) -> Iterator[Hit]:
    for language in screen_languages(view.site.document.languages):
        for path, caught in screened(_texts(view, sections), kind, language):
            yield Hit(path, {"words": caught.text, "instead": caught.instead})


def promise_words(view: View) -> Iterator[Hit]:
    """What it looks at: words that promise a result.

    Why: counsel reads them as an undertaking that the site must keep. Example: "ensures your safety". Reference:
    common practice of counsel; Restatement (Second) of Torts 324A (memory).
    """
    yield from _caught(view, "promise")


def vague_words(view: View) -> Iterator[Hit]:
    """What it looks at: words that say more, or less, than is enforced.

    Why: nobody can act on them or check them. Example: "work safely". Reference: common practice of counsel.
    """
    yield from _caught(view, "vague")


def permissive_verb(view: View) -> Iterator[Hit]:
    """What it looks at: should, shall, try to in texts of the notice.

    Why: a condition of entry is a must or a must not. Example: "drivers should stay in the cab". Reference: common
    practice of counsel.
    """
    yield from _caught(view, "permissive", NOTICE)


def waiver(view: View) -> Iterator[Hit]:
    """What it looks at: waivers, own-risk clauses and indemnities.

    Why: void in many states, and they read badly in court. Example: "enter at your own risk". Reference: N.Y. GBL
    398-e and Iowa Code 325B.1 on motor carrier contracts (read).
    """
    yield from _caught(view, "waiver")


def regulator_approval(view: View) -> Iterator[Hit]:
    """What it looks at: claims that an authority approved or certified something here.

    Why: it does not; the claim is untrue. Example: "OSHA approved rail". Reference: OSHA's own statements (memory).
    """
    yield from _caught(view, "approval")


def rescue_promise(view: View) -> Iterator[Hit]:
    """What it looks at: minutes or rescuers promised where contractors read it.

    Why: the notice promises more than the plan proves. Example: "we rescue you within 6 minutes". Reference:
    Restatement (Second) of Torts 324A (memory).
    """
    yield from _caught(view, "rescue-promise", NOTICE)


def law_number_in_notice(view: View) -> Iterator[Hit]:
    """What it looks at: numbers of laws in texts of the notice.

    Why: drivers need the rule; the plan carries the citation. Example: "as 29 CFR 1910.140 demands". Reference: common
    practice of counsel.
    """
    yield from _caught(view, "law-number", NOTICE)


def weight_in_text(view: View) -> Iterator[Hit]:
    """What it looks at: a body weight, or a word that points to a person, in any text.

    Why: it names someone in a small crew. The message does not repeat it, and no document prints the text. Example: a
    person's weight in a note.
    Reference: 29 CFR 1913.10(b)(2).
    """
    for path in view.private.withheld:
        yield Hit(path)
    for language in screen_languages(view.site.document.languages):
        for path, _ in screened(_texts(view), "weight", language):
            yield Hit(path)


def common_mistake(view: View) -> Iterator[Hit]:
    """What it looks at: known mistakes about the law in force, sentence by sentence.

    Why: they end up in court or in a citation. Example: "OSHA demands retraining every year". Reference: the mistakes
    listed for the jurisdiction.
    """
    texts = [(path, text) for path, text in _texts(view) if " " in text]
    whole, starts = _joined(tuple(text for _, text in texts))
    for mistake in _mistakes(view.code):
        places = mistake.places_in(whole)
        near = range(len(texts)) if places is None else sorted({bisect_right(starts, at) - 1 for at in places})
        for path, text in (texts[n] for n in near):
            for sentence in mistake.find(text) if mistake.may_be_in(text) else ():
                if found_in(sentence, "approval") or found_in(sentence, "waiver"):
                    continue  # told by name already
                yield Hit(path, {"says": mistake.says, "instead": mistake.instead, "sentence": sentence})


@lru_cache(maxsize=2)
def _joined(texts: tuple[str, ...]) -> tuple[str, list[int]]:
    """All texts in one, in small letters, and where each begins in it."""
    starts, at = [], 0
    lowered = [text.lower() for text in texts]
    for low in lowered:
        starts.append(at)
        at += len(low) + 1
    return "\n".join(lowered), starts


@lru_cache(maxsize=8)
def _mistakes(code: Code) -> tuple[Mistake, ...]:
    return code.mistakes()
