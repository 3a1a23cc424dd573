"""Findings on the site's own text where it reaches a document: promises, waivers, weights, mistakes about the law, length, contradictions."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator

from docgen.findings.common import listed, worded
from docgen.findings.rule import ALL, NOTICE, finding
from docgen.findings.view import Hit, View
from docgen.papers import outline
from docgen.site import walk
from docgen.text.glyphs import without_glyph
from docgen.text.said import facts_of, has_subjects, phones_in, phones_of, said_in
from docgen.text.screens import found_in_any, screened
from docgen.trade.practice import practice

__all__ = [
    "common_mistake",
    "documents_contradict",
    "law_number_in_notice",
    "notice_text_long",
    "paper_too_long",
    "permissive_verb",
    "promise_words",
    "regulator_approval",
    "rescue_promise",
    "sign_without_glyph",
    "sign_without_glyph_in_log",
    "vague_words",
    "waiver",
    "weight_in_log",
    "weight_in_text",
]

OF_NOTICE = ("contractors", "site_rules")
NUMBERED = ("equipment", "systems", "codes", "reviewers", "posting", "logs", "handling", "document")


def _caught(view: View, kind: str, sections: tuple[str, ...] = ()) -> Iterator[Hit]:
    for language in view.languages:
        for path, caught in screened(view.texts.of(sections), kind, language):
            yield Hit(path, {"words": caught.text, "instead": caught.instead})


@finding("promise-words", "must-fix", documents=ALL)
def promise_words(view: View) -> Iterator[Hit]:
    """What it looks at: words that promise a result.

    Why: counsel reads them as an undertaking that the site must keep. Example: "ensures your safety". Reference:
    common practice of counsel; Restatement (Second) of Torts 324A (memory).
    """
    yield from _caught(view, "promise")


@finding("vague-words", "fix-soon", documents=ALL)
def vague_words(view: View) -> Iterator[Hit]:
    """What it looks at: words that say more, or less, than is enforced.

    Why: nobody can act on them or check them. Example: "work safely". Reference: common practice of counsel.
    """
    yield from _caught(view, "vague")


@finding("permissive-verb", "fix-soon", documents=(NOTICE,))
def permissive_verb(view: View) -> Iterator[Hit]:
    """What it looks at: should, shall, try to in texts of the notice.

    Why: a condition of entry is a must or a must not. Example: "drivers should stay in the cab". Reference: common
    practice of counsel.
    """
    yield from _caught(view, "permissive", OF_NOTICE)


@finding("waiver", "must-fix", documents=ALL)
def waiver(view: View) -> Iterator[Hit]:
    """What it looks at: waivers, own-risk clauses and indemnities.

    Why: void in many states, and they read badly in court. Example: "enter at your own risk". Reference: N.Y. GBL
    398-e and Iowa Code 325B.1 on motor carrier contracts (read).
    """
    yield from _caught(view, "waiver")


@finding("regulator-approval", "must-fix", documents=ALL)
def regulator_approval(view: View) -> Iterator[Hit]:
    """What it looks at: claims that an authority approved or certified something here.

    Why: it does not; the claim is untrue. Example: "OSHA approved rail". Reference: OSHA's own statements (memory).
    """
    yield from _caught(view, "approval")


@finding("rescue-promise", "must-fix", documents=(NOTICE,))
def rescue_promise(view: View) -> Iterator[Hit]:
    """What it looks at: minutes or rescuers promised where contractors read it.

    Why: the notice promises more than the plan proves. Example: "we rescue you within 6 minutes". Reference:
    Restatement (Second) of Torts 324A (memory).
    """
    yield from _caught(view, "rescue-promise", OF_NOTICE)


@finding("law-number-in-notice", "advice", documents=(NOTICE,))
def law_number_in_notice(view: View) -> Iterator[Hit]:
    """What it looks at: numbers of laws in texts of the notice.

    Why: drivers need the rule; the plan carries the citation. Example: "as 29 CFR 1910.140 demands". Reference: common
    practice of counsel.
    """
    yield from _caught(view, "law-number", OF_NOTICE)


@finding("weight-in-text", "must-fix", documents=ALL)
def weight_in_text(view: View) -> Iterator[Hit]:
    """What it looks at: a body weight, or a word that points to a person, in any text.

    Why: it names someone in a small crew. The message does not repeat it, and no document prints the text. Example: a
    person's weight in a note.
    Reference: 29 CFR 1913.10(b)(2).
    """
    for path in view.private.withheld:
        if not path.startswith("log["):
            yield Hit(path)
    for language in view.languages:
        for path, _ in screened(view.texts.of(), "weight", language):
            yield Hit(path)


@finding("weight-in-log", "must-fix", documents=ALL, stops="nothing")
def weight_in_log(view: View) -> Iterator[Hit]:
    """What it looks at: a body weight in a text of the log.

    Why: it names someone in a small crew. The message does not repeat it, and no paper prints the text. Example: a weight in
    the note of a fit check. Reference: 29 CFR 1913.10(b)(2).
    """
    for path in view.private.withheld:
        if path.startswith("log["):
            yield Hit(path)


def _joined(texts: tuple[str, ...]) -> tuple[str, list[int]]:
    """All texts in one, in small letters, and where each begins in it."""
    starts, at = [], 0
    lowered = [text.lower() for text in texts]
    for low in lowered:
        starts.append(at)
        at += len(low) + 1
    return "\n".join(lowered), starts


@finding("sign-without-glyph", "must-fix", documents=ALL)
def sign_without_glyph(view: View) -> Iterator[Hit]:
    """What it looks at: signs in any text of the profile that the fonts of the papers do not have.

    Why: the sign is missing on paper, or looks otherwise on each machine. Example: a picture of a helmet in a name. Accents,
    dashes, fractions, signs of degree and Greek letters are there. Reference: common practice, no published source.
    """
    yield from _unprinted((path, value) for path, value in view.leaves)


@finding("sign-without-glyph-in-log", "must-fix", documents=ALL, stops="nothing")
def sign_without_glyph_in_log(view: View) -> Iterator[Hit]:
    """What it looks at: the same in the log, which the sheets of the day print.

    Why: the sign is missing on paper, or looks otherwise on each machine. Example: a name in letters that the font lacks.
    Reference: common practice, no published source.
    """
    yield from _unprinted((entry.path, value) for entry in view.happened.log.standing for _, value in walk(entry))


def _unprinted(texts: Iterable[tuple[str, object]]) -> Iterator[Hit]:
    for path, text in texts:
        if isinstance(text, str) and (signs := without_glyph(text)):
            yield Hit(path, {"signs": ", ".join(f"{sign} (U+{ord(sign):04X})" for sign in signs)})


@finding("common-mistake", "must-fix", documents=ALL)
def common_mistake(view: View) -> Iterator[Hit]:
    """What it looks at: known mistakes about the law in force, sentence by sentence.

    Why: they end up in court or in a citation. Example: "OSHA demands retraining every year". Reference: the mistakes
    listed for the jurisdiction.
    """
    texts = [(path, text) for path, text in view.texts.of() if " " in text]
    whole, starts = _joined(tuple(text for _, text in texts))
    for mistake in view.law.mistakes():
        places = mistake.places_in(whole)
        near = range(len(texts)) if places is None else sorted({bisect_right(starts, at) - 1 for at in places})
        for path, text in (texts[n] for n in near):
            for sentence in mistake.find(text) if mistake.may_be_in(text) else ():
                if any(found_in_any(sentence, kind, view.languages) for kind in ("approval", "waiver")):
                    continue  # told by name already
                yield Hit(path, {"says": mistake.says, "instead": mistake.instead, "sentence": sentence})


@finding("notice-text-long", "advice", documents=(NOTICE,))
def notice_text_long(view: View) -> Iterator[Hit]:
    """What it looks at: how many words of its own the site puts into the notice.

    Why: a driver gives it a minute. Exactly as many as usual is not too long. Example: 412 words. Reference: common
    practice, 250 words on a page.
    """
    most = int(practice("notice_words").si)
    contractors = view.site.contractors
    texts = [t for p, t in walk(contractors) if isinstance(t, str) and " " in t and not p.endswith(".record")]
    texts += [r.text for r in view.site.site_rules]
    words = sum(len(t.split()) for t in texts)
    if words > most:
        yield Hit("contractors", {"words": words, "most": most})


@finding("paper-too-long", "must-fix", documents=(NOTICE,))
def paper_too_long(view: View) -> Iterator[Hit]:
    """What it looks at: the words of each finished paper on one sheet against what the sheet takes, and before composing the site's own
    texts that the notice prints whole.

    Why: type that shrinks, or a second page, is not read at a gate. Exactly as many as the sheet takes is not too long. Example: 372
    words where 350 fit. Reference: a choice of this project, by a trial sheet of 349 words at 12 pt on letter and A4.
    """
    budget = outline(NOTICE).budget
    contractors = view.site.contractors
    most = budget.at(any(one.may_climb for one in contractors.classes)).words if budget else None
    texts = {f"{contractors.path}.{name}": getattr(contractors, name) for name in ("hazards", "check_in", "appeal")}
    texts |= {f"{one.path}.conditions": " ".join(one.conditions) for one in contractors.classes}
    texts |= {f"{step.path}.action": step.action for step in contractors.enforcement}
    counted = sorted(((len((text or "").split()), path) for path, text in texts.items()), key=lambda row: (-row[0], row[1]))
    words = sum(count for count, _ in counted)
    if most is not None and words > most:
        longest = listed(f"{path} ({count})" for count, path in counted[:3])
        yield Hit("contractors", {"paper": NOTICE, "words": words, "most": most, "over": words - most, "longest": longest})


@finding("documents-contradict", "must-fix", documents=ALL)
def documents_contradict(view: View) -> Iterator[Hit]:
    """What it looks at: limits, heights, times and telephone numbers written out in text against the profile, and after
    composing the finished documents and language versions against each other.

    Why: two papers that say two things are evidence, and someone follows the wrong one. Example: the check-in text says
    350 lb, limits.upper.value is 310 lb. Reference: common practice of counsel, no published source.
    """
    facts, phones = facts_of(view.site), phones_of(view.site)
    spoken = tuple(language for language in view.languages if has_subjects(language))
    for path, text in view.texts.of():
        if not any(c.isdigit() for c in text) or path.startswith(NUMBERED) or found_in_any(text, "weight", view.languages):
            continue
        for said in dict.fromkeys(s for language in spoken for s in said_in(text, facts, language)):
            fact = facts[said.subject]
            values = {"one": said.words, "place": path, "other": fact.values[0].text, "elsewhere": fact.path}
            yield Hit(path, values)
        if path.endswith((".number", ".phone")):
            continue
        for number in dict.fromkeys(n for language in spoken for n in phones_in(text, phones, language)):
            yield Hit(path, {"one": number, "place": path, "other": worded("no-such-number"), "elsewhere": "emergency.contacts"})
