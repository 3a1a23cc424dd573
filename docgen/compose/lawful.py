"""What templates print of the law beside its figures: silence told apart, duties in words, a source as the register prints it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from docgen.codes import Answer, Duty
from docgen.codes.site_facts import site_facts
from docgen.compose.contexts import BodyContext
from docgen.compose.environment import Collector
from docgen.compose.escape import Markup, escape
from docgen.compose.reading import traced, tracing
from docgen.engineering.model import Working
from docgen.site import LocalRule, SiteRule
from docgen.trade.practice import HOME, Practice, practice
from docgen.words import usual_text

__all__ = ["Lawful", "natural", "source_row"]

OF_HOME = re.compile(r"\b(?:CFR|OSHA|ANSI|WAC)\b")


@dataclass(frozen=True, slots=True)
class DutyRow:
    """One duty as printed."""

    theme: str
    who: str
    text: str
    citations: str
    force: str


class Lawful:
    """The functions on the law of one composition, in one language. A clause that asks the law rests on what chose that law."""

    def __init__(self, context: BodyContext, words: Mapping[str, Any], collector: Collector) -> None:
        self.code, self.rules, self.rulings = context.law, context.binding, context.rulings
        self.site = traced(context.site, collector.trace)
        self.wording = self.code.words(context.language)
        self.system, self.language, self.words, self.collector = context.numbers.system, context.language, words, collector
        self.terms = words["terms"]

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function that asks the law; in a body it may be called inside a clause only."""
        names = (
            "law_alone", "binding", "cite", "usual", "silence", "deference", "law_words", "law_says", "memory_note", "not_looked_lines",
            "duty_rows", "source_here",
        )  # fmt: skip
        return {name: tracing(getattr(self, name), self.collector.trace) for name in names}

    def _place(self) -> tuple[str, str]:
        """What the set of law was chosen by."""
        return self.site.site.jurisdiction, self.site.site.sector

    def _laid_over(self) -> tuple[str, ...]:
        """The sets that are laid over the law here."""
        return self.site.codes.owner

    def _named(self, answer: Answer) -> Answer:
        """Note an answer among the sources of the document."""
        if not answer.silent:
            self.collector.cited.setdefault(answer.citation, answer)
        return answer

    # --- answers ------------------------------------------------------------------------------------------------------------

    def law_alone(self, key: str) -> Answer:
        """What the law answers, whatever else binds the site."""
        self._place()
        self.collector.trace.cite(f"law:{key}")
        return self._named(self.code.ask(key))

    def binding(self, key: str) -> Answer:
        """The strictest answer of all that binds the site."""
        self._place()
        self.collector.trace.cite(f"law:{key}")
        speaking = {voice.path for voice in self.rules.voices(key)}
        for local in self.site.codes.local:
            if local.path in speaking:
                self._said(local)
        for rule in self.site.site_rules:
            if rule.path in speaking:
                self._said(rule)
        self._laid_over()
        return self._named(self.rules.ask(key))

    def _said(self, rule: LocalRule | SiteRule) -> tuple[object, ...]:
        """What makes a rule of the profile speak on a question, and what it says there."""
        names = ("question", "value", "interval", "bound", "citation", "kind", "subject", "height")
        return tuple(getattr(rule, name, None) for name in names)

    def cite(self, key: str) -> Markup:
        """The citation of what the law answers."""
        return escape(self.law_alone(key).citation)

    def usual(self, name: str) -> Practice:
        """A figure of the trade."""
        figure = practice(name, self.system, self.site.country)
        self.collector.trace.cite(f"practice:{name}")
        self.collector.cited.setdefault(figure.source, figure)
        return figure

    # --- wording ------------------------------------------------------------------------------------------------------------

    def law_words(self, name: str) -> str:
        """A general sentence of the law's wording, by name."""
        self._place()
        return self.wording.general(name)

    def law_says(self, answer: Answer) -> str:
        """The value of an answer in words."""
        self._place()
        return self.wording.answer(answer)

    def silence(self, key: str) -> str:
        """That the text says nothing, or that nobody has looked; and who answers instead."""
        answer = self.code.ask(key)
        self.collector.trace.cite(f"law:{key}")
        told = self.law_words("silent" if answer.looked else "not_looked")
        return f"{told} {self.words['phrases'][f'instead_{answer.fallback}']}"

    def deference(self) -> str:
        """To what these documents give way."""
        return self.law_words("convenience")

    def memory_note(self) -> str:
        """What it means that a citation is marked as from memory."""
        return self.law_words("memory")

    def not_looked_lines(self) -> list[str]:
        """One sentence on how much of the law was not looked through; none where all of it was."""
        self._place()
        answers = self.code.answers()
        open_ = sum(1 for a in answers if a.silent and not a.looked)
        text = self.words["phrases"]["unlooked"]
        return [text.format(name=self.code.name, n=open_, all=len(answers))] if open_ else []

    def source_here(self, step: Working) -> str:
        """The source of a step of arithmetic; abroad a body of the home country is not named."""
        return self.terms["none"] if self.site.country != HOME and OF_HOME.search(step.source) else step.source

    def duty_rows(self, document: str) -> list[DutyRow]:
        """The duties that the law lays on a site like this one and that belong in a document, in the order of their themes."""
        self._place()
        owed = [d for d in self.code.duties(site_facts(self.site, self.code)) if document in d.documents]
        return [self._duty(duty, document) for duty in owed]

    def _duty(self, duty: Duty, document: str) -> DutyRow:
        for answer in duty.answers:
            self.collector.trace.cite(f"law:{answer.key}")
            self.collector.cited.setdefault(answer.citation, answer)
        force = f"{self.terms[duty.force]}; {self.terms[f'basis-{duty.basis}']}"
        who = self.terms.get(duty.who, duty.who)
        return DutyRow(
            self.terms[f"theme-{duty.theme}"], who, self.wording.duty(duty, document), "; ".join(duty.citations), force
        )


def source_row(entry: Answer | Practice | LocalRule, terms: Mapping[str, str], language: str) -> tuple[str, str, str]:
    """What a source is, its basis and force, and the days since when it holds and on which it was last looked at."""
    if not isinstance(entry, Answer | Practice):
        checked = "–" if entry.verified_on is None else f"–; {entry.verified_on.isoformat()}"
        return ", ".join(part for part in (entry.authority, entry.text) if part), terms[entry.kind], checked
    if isinstance(entry, Practice):
        basis = f"{terms[f'basis-{entry.basis}']}; {terms['practice']}"
        return usual_text(entry.name, entry.system, language), basis, "–"
    title = ", ".join(dict.fromkeys(str(part) for part in (entry.title, entry.body, entry.edition) if part))
    basis = f"{terms[f'basis-{entry.basis}']}; {terms.get(entry.force, entry.force)}"
    days = f"{entry.effective.isoformat()} ({terms[f'day-{entry.effective_basis}']}); {entry.last_review.isoformat()}"
    return title, basis, days


def natural(text: str) -> list[tuple[int, int, str]]:
    """What puts citations in order: numbers by their size, all else by letters."""
    return list(_keys(text))


def _keys(text: str) -> Iterator[tuple[int, int, str]]:
    for part in re.split(r"(\d+)", text):
        if part:
            yield (0, int(part), "") if part.isdigit() else (1, 0, part.lower())
