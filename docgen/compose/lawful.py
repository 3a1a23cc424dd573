"""What templates print of the law: the sentence of an answer with its citation, silence told apart, a source as the register prints it.

No duty of law is worded in a template. `law_line` prints the sentence of the answer that it cites, so that nothing stands beside a
citation that its answer does not say; what the law is silent on, or nobody read, a template may say as a rule of the site only.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from docgen.codes import Answer, question
from docgen.codes.site_facts import site_facts
from docgen.compose.contexts import BodyContext
from docgen.compose.environment import Collector
from docgen.compose.escape import Markup, escape
from docgen.compose.reading import traced, tracing
from docgen.engineering.model import Working
from docgen.errors import TemplateError
from docgen.site import LocalRule, SiteRule
from docgen.trade.practice import HOME, Practice, practice
from docgen.words import usual_text

__all__ = ["Lawful", "natural", "source_row"]

LIMITS = (
    "arrest_force_max", "free_fall_max", "deceleration_distance_max", "line_angle_max", "offset_max", "srd_strength_min",
    "connector_tensile_min", "connector_proof_load", "anchorage_per_user", "anchorage_factor",
)  # fmt: skip
OF_HOME = re.compile(r"\b(?:CFR|OSHA|ANSI|WAC)\b")


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One figure of law that binds the system: what is limited, the figure as printed, and where it stands."""

    asks: str
    figure: str
    citation: str


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
            "law_alone", "binding", "cite", "ref", "law_line", "law_limits", "usual", "silence", "deference", "law_words", "inherits", "sector_name",
            "source_here", "read_here", "clock_starts", "public_number",
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
        return self._named(self._given(self.code.ask(key)))

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
        self._given(self.code.ask(key))
        return self._named(self.rules.ask(key))

    def public_number(self) -> str | None:
        """The emergency number: the site's own, else the one that was read in the law of the place; None where neither gives one."""
        return self.site.emergency.public.number or self.law_alone("public_emergency_number").number

    def _given(self, answer: Answer) -> Answer:
        """The answer, with the entry of the profile read that stands in its place or beside it."""
        if answer.given_by or answer.key in self.code.stricter:
            for entry in self.site.codes.answers:
                if entry.question == answer.key:
                    _ = (entry.text, entry.value, entry.citation, entry.force, entry.by, entry.on, entry.copy)
        return answer

    def _said(self, rule: LocalRule | SiteRule) -> tuple[object, ...]:
        """What makes a rule of the profile speak on a question, and what it says there."""
        names = ("question", "value", "interval", "bound", "citation", "kind", "subject", "height")
        return tuple(getattr(rule, name, None) for name in names)

    def cite(self, key: str) -> Markup:
        """The citation of what the law answers."""
        return escape(self.law_alone(key).citation)

    def ref(self, key: str) -> Markup:
        """The citation in brackets, with whose paragraph it is and how far it binds; nothing where nobody answers."""
        answer = self.law_alone(key)
        return escape("" if answer.silent else f" ({self.marked(answer)})")

    def law_line(self, key: str) -> Markup:
        """The sentence of an answer for the papers of a site, with its citation; nothing where the law is silent, nobody looked, or it is
        about something that this site does not have.

        Raises TemplateError for an answer that has no such sentence.
        """
        answer = self.law_alone(key)
        if answer.silent or (answer.only_where and not site_facts(self.site, self.code).issuperset(answer.only_where)):
            return escape("")
        if not answer.says_plain:
            told = f"gives '{key}' no sentence for the papers of a site; write says_plain beside {answer.citation}"
            raise TemplateError(f"the law of {answer.jurisdiction} ({answer.sector}) {told}")
        said = self._plain(answer).rstrip(".")
        line = f"{said} ({self.marked(answer)})."
        if answer.written:
            line += " " + self.words["phrases"]["clock_written"].format(written=answer.written)
        if key in self.code.stricter:
            line += f" {self.stricter(key)}"
        return escape(line)

    def stricter(self, key: str) -> str:
        """The stricter figure that a named person read, with where it stands; it binds beside the set's own sentence."""
        read = self.code.stricter[key]
        self._named(read)
        return str(self.words["phrases"]["stricter"]).format(figure=self.wording.limit(read), marked=self.marked(read))

    def _plain(self, answer: Answer) -> str:
        """The sentence for the papers of a site; what a person of the site wrote is taken as it stands."""
        if answer.given_by or "{}" not in answer.says_plain:
            return answer.says_plain
        return answer.says_plain.format(self.wording.answer(answer))

    def marked(self, answer: Answer) -> str:
        """A citation with whose paragraph it is where it is not the place's own, how far it binds, and that it was not read.

        How it was read, whole or in a report, with or without the number of the paragraph, stands in the legal file alone.
        """
        marks = [answer.citation]
        if self.of_another(answer):
            marks.append(self.law_words("inherited_mark"))
        elif not answer.binding:
            marks.append(self.terms[answer.force])
        if answer.given_by:
            marks.append(self.words["phrases"]["read_by"].format(name=answer.given_by))
        elif answer.unread:
            marks.append(self.law_words("to_be_verified"))
        return "; ".join(mark for mark in marks if mark)

    def of_another(self, answer: Answer) -> bool:
        """Whether an answer is the law of a parent, in a place that has law of its own; standards and guidance are nobody's."""
        fallback = self.code.fallback
        return (
            answer.limits
            and not answer.given_by
            and (answer.state == "inherited" or (fallback is not None and fallback.own_plan))
        )

    def read_here(self, key: str) -> bool:
        """Whether somebody read what the law of this very place says: not silent, not from memory, not of a parent."""
        answer = self.law_alone(key)
        return not answer.silent and not answer.unread and not self.of_another(answer)

    def clock_starts(self, key: str) -> Markup:
        """The event that starts the clock of a report, as a sentence that follows `law_line`; empty where the answer names none."""
        answer = self.law_alone(key)
        said = str(self.words["phrases"]["clock_starts"])
        return escape(said.format(starts=answer.starts) if answer.starts else "")

    def inherits(self) -> str:
        """What it means that a citation bears the mark of a parent; nothing where no answer can."""
        self._place()
        fallback = self.code.fallback
        if not self.code.inherits and (fallback is None or not fallback.own_plan):
            return ""
        return self.law_words("inherited")

    def sector_name(self) -> str:
        """The sector of the site in words; general industry is a name of one country's law, elsewhere it is what construction is not."""
        sector = self.site.site.sector
        abroad = self.site.country != HOME and sector == "general-industry"
        return str(self.terms["outside-construction" if abroad else sector])

    def law_limits(self) -> list[LimitRow]:
        """The figures of law that bind the system, by the strictest voice: those that are answered, in the order of the fixed list."""
        answers = (self.binding(key) for key in LIMITS)
        return [LimitRow(question(a.key).asks, a.text, self.marked(a)) for a in answers if not a.silent]

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
        """That the text says nothing, and who answers instead; nothing of the law where nobody has looked."""
        answer = self.law_alone(key)
        instead = str(self.words["phrases"][f"instead_{answer.fallback}"])
        return f"{self.law_words('silent')} {instead}" if answer.looked else instead

    def deference(self) -> str:
        """To what these documents give way."""
        return self.law_words("convenience")

    def source_here(self, step: Working) -> str:
        """The source of a step of arithmetic; abroad a body of the home country is not named."""
        return self.terms["none"] if self.site.country != HOME and OF_HOME.search(step.source) else step.source


def source_row(
    entry: Answer | Practice | LocalRule, words: Mapping[str, Mapping[str, str]], language: str, as_of: date
) -> tuple[str, str, str]:
    """What a source is, its basis and force, and the days since when it holds and on which it was last looked at, marked where that is after the paper."""
    terms = words["terms"]

    def looked(day: date) -> str:
        return day.isoformat() if day <= as_of else f"{day.isoformat()}, {words['phrases']['after_this']}"

    if not isinstance(entry, Answer | Practice):
        checked = "–" if entry.verified_on is None else f"–; {looked(entry.verified_on)}"
        return ", ".join(part for part in (entry.authority, entry.text) if part), terms[entry.kind], checked
    if isinstance(entry, Practice):
        basis = f"{terms[f'basis-{entry.basis}']}; {terms['practice']}"
        return usual_text(entry.name, entry.system, language), basis, "–"
    title = ", ".join(dict.fromkeys(str(part) for part in (entry.title, entry.body, entry.edition) if part))
    basis = f"{terms[f'grade-{entry.grade}']}; {terms.get(entry.force, entry.force)}"
    read = "–" if entry.read is None else looked(entry.read.on)
    days = f"{entry.effective.isoformat()} ({terms[f'day-{entry.effective_basis}']}); {read}"
    return title, basis, days


def natural(text: str) -> list[tuple[int, int, str]]:
    """What puts citations in order: numbers by their size, all else by letters."""
    return list(_keys(text))


def _keys(text: str) -> Iterator[tuple[int, int, str]]:
    for part in re.split(r"(\d+)", text):
        if part:
            yield (0, int(part), "") if part.isdigit() else (1, 0, part.lower())
