"""Findings on the site's own text wherever it reaches a document: promises, waivers, approvals, weights, mistakes about the law."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.find_screens import screened
from docgen.assess.view import Hit, View
from docgen.site import Node, Quantity, walk

__all__ = [
    "common_mistake", "law_number_in_notice", "permissive_verb", "promise_words", "regulator_approval", "rescue_promise", "vague_words",
    "waiver", "weight_in_text",
]  # fmt: skip

NOT_PRINTED = ("accepted", "events")
NOTICE = ("contractors", "site_rules")
SHORT = 12  # a text below this length is a name, an id, a language or a number; the shortest screened word group is longer


def _texts(view: View, sections: tuple[str, ...] | None = None) -> tuple[tuple[str, str], ...]:
    """(path, text) of every text of the profile that a document may print, or of the named sections."""
    names = sections or tuple(f for f in view.site.__slots__ if f not in ("path", "given", "source_lines", *NOT_PRINTED))
    found = []
    for name in names:
        value = getattr(view.site, name)
        nodes = value if isinstance(value, tuple) else (value,)
        for node in nodes:
            if isinstance(node, Node):
                found += [(p, v) for p, v in walk(node) if isinstance(v, str) and not isinstance(v, Quantity) and len(v) >= SHORT]
    return tuple(found)


def _caught(view: View, kind: str, sections: tuple[str, ...] | None = None) -> Iterator[Hit]:
    for path, caught in screened(_texts(view, sections), kind):
        yield Hit(path, {"words": caught.text, "instead": caught.instead})


def promise_words(view: View) -> Iterator[Hit]:
    """What it looks at: words that promise a result. Why: counsel reads them as an undertaking that the site must keep.

    Example: "ensures your safety". Reference: common practice of counsel; Restatement (Second) of Torts 324A (memory).
    """
    yield from _caught(view, "promise")


def vague_words(view: View) -> Iterator[Hit]:
    """What it looks at: words that say more, or less, than is enforced. Why: nobody can act on them or check them.

    Example: "work safely". Reference: common practice of counsel.
    """
    yield from _caught(view, "vague")


def permissive_verb(view: View) -> Iterator[Hit]:
    """What it looks at: should, shall, try to in texts of the notice. Why: a condition of entry is a must or a must not.

    Example: "drivers should stay in the cab". Reference: common practice of counsel.
    """
    yield from _caught(view, "permissive", NOTICE)


def waiver(view: View) -> Iterator[Hit]:
    """What it looks at: waivers, own-risk clauses and indemnities. Why: void in many states, and they read badly in court.

    Example: "enter at your own risk". Reference: N.Y. GBL 398-e and Iowa Code 325B.1 on motor carrier contracts (read).
    """
    yield from _caught(view, "waiver")


def regulator_approval(view: View) -> Iterator[Hit]:
    """What it looks at: claims that an authority approved or certified something here. Why: it does not; the claim is untrue.

    Example: "OSHA approved rail". Reference: OSHA's own statements (memory).
    """
    yield from _caught(view, "approval")


def rescue_promise(view: View) -> Iterator[Hit]:
    """What it looks at: minutes or rescuers promised where contractors read it. Why: the notice promises more than the plan proves.

    Example: "we rescue you within 6 minutes". Reference: Restatement (Second) of Torts 324A (memory).
    """
    yield from _caught(view, "rescue-promise", NOTICE)


def law_number_in_notice(view: View) -> Iterator[Hit]:
    """What it looks at: numbers of laws in texts of the notice. Why: drivers need the rule; the plan carries the citation.

    Example: "as 29 CFR 1910.140 demands". Reference: common practice of counsel.
    """
    yield from _caught(view, "law-number", NOTICE)


def weight_in_text(view: View) -> Iterator[Hit]:
    """What it looks at: a body weight, or a word that points to a person, in any text. Why: it names someone in a small crew.

    The message does not repeat it. Example: a person's weight in a note. Reference: 29 CFR 1913.10(b)(2).
    """
    for path, _ in screened(_texts(view), "weight"):
        yield Hit(path)


def common_mistake(view: View) -> Iterator[Hit]:
    """What it looks at: known mistakes about the law in force, sentence by sentence. Why: they end up in court or in a citation.

    Example: "OSHA demands retraining every year". Reference: the mistakes listed for the jurisdiction.
    """
    texts = _texts(view)
    if texts:
        for mistake in view.code.mistakes():
            for path, text in texts:
                for sentence in mistake.find(text):
                    yield Hit(path, {"says": mistake.says, "instead": mistake.instead, "sentence": sentence})
