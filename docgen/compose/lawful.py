"""What templates print of the law beside its figures: silence told apart, duties in words, the register of what was cited."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from docgen.codes import Answer, Code, Duty
from docgen.codes.site_facts import site_facts
from docgen.compose.environment import Collector
from docgen.compose.escape import Markup, escape
from docgen.engineering.model import Working
from docgen.findings.model import Assessment
from docgen.site import LocalRule, Site
from docgen.trade.practice import HOME, Practice
from docgen.words import usual_text

__all__ = ["Lawful"]

OF_HOME = re.compile(r"\b(?:CFR|OSHA|ANSI|WAC)\b")


@dataclass(frozen=True, slots=True)
class DutyRow:
    """One duty as printed."""

    theme: str
    who: str
    text: str
    citations: str
    force: str


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """One row of the register: `used` holds cross references to the clauses in which the citation stands."""

    citation: str
    title: str
    basis: str
    days: str
    used: Markup


class Lawful:
    """The functions on the law of one composition, in one language."""

    def __init__(self, code: Code, language: str) -> None:
        self.code, self.language = code, language
        self.wording = code.words(language)

    def bind(self, site: Site, assessed: Assessment, words: Mapping[str, Any], collector: Collector) -> None:
        """The site, the words and the collector that the functions work with."""
        self.site, self.assessed, self.words, self.collector = site, assessed, words, collector
        self.terms = words["terms"]

    def functions(self) -> dict[str, Any]:
        """Name in the templates -> function."""
        names = ("silence", "deference", "memory_note", "not_looked_lines", "duty_rows", "register_rows", "source_here")
        return {name: getattr(self, name) for name in names}

    def silence(self, key: str) -> str:
        """That the text says nothing, or that nobody has looked; and who answers instead."""
        answer = self.code.ask(key)
        self.collector.trace.cite(f"law:{key}")
        told = self.wording.general("silent" if answer.looked else "not_looked")
        return f"{told} {self.words['phrases'][f'instead_{answer.fallback}']}"

    def deference(self) -> str:
        """To what these documents give way."""
        return self.wording.general("convenience")

    def memory_note(self) -> str:
        """What it means that a citation is marked as from memory."""
        return self.wording.general("memory")

    def not_looked_lines(self) -> list[str]:
        """One sentence on how much of the law was not looked through; none where all of it was."""
        answers = self.code.answers()
        open_ = sum(1 for a in answers if a.silent and not a.looked)
        text = self.words["phrases"]["unlooked"]
        return [text.format(name=self.code.name, n=open_, all=len(answers))] if open_ else []

    def source_here(self, step: Working) -> str:
        """The source of a step of arithmetic; abroad a body of the home country is not named."""
        return self.terms["none"] if self.site.country != HOME and OF_HOME.search(step.source) else step.source

    def duty_rows(self, document: str) -> list[DutyRow]:
        """The duties that the law lays on a site like this one and that belong in a document, in the order of their themes."""
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

    def register_rows(self) -> list[RegisterRow]:
        """Every source that a clause before this one cites, by citation, with the clauses in which it stands."""
        found: dict[str, Answer | Practice | LocalRule] = dict(self.collector.cited)
        for ruling in self.assessed.rulings:
            for voice in ruling.voices:
                if voice.whose != "site-rule":
                    found.setdefault(voice.citation, voice.answer)
        found.update((rule.citation, rule) for rule in self.site.codes.local)
        known = {c: e for c, e in found.items() if not (isinstance(e, Answer) and e.force == "site-rule")}
        rows = [(citation, entry, self._used(citation)) for citation, entry in known.items()]
        return [self._row(*row) for row in sorted(rows, key=lambda row: _natural(row[0])) if row[2]]

    def _used(self, citation: str) -> Markup:
        """Cross references to the clauses that print this citation and no longer one that begins with it."""
        whole = re.compile(re.escape(str(escape(citation))) + r"(?![\w(]|\.\d)")
        prefix = len(self.collector.document) + 1
        anchors = [clause.id[prefix:] for clause in self.collector.clauses if whole.search(clause.text)]
        return Markup(", ".join(f"[](#c.{anchor})" for anchor in anchors))

    def _row(self, citation: str, entry: Answer | Practice | LocalRule, used: Markup) -> RegisterRow:
        terms = self.terms
        if isinstance(entry, LocalRule):
            checked = "–" if entry.verified_on is None else f"–; {entry.verified_on.isoformat()}"
            title = ", ".join(part for part in (entry.authority, entry.text) if part)
            return RegisterRow(citation, title, terms[entry.kind], checked, used)
        if isinstance(entry, Practice):
            return RegisterRow(
                citation,
                usual_text(entry.name, entry.system, self.language),
                f"{terms[f'basis-{entry.basis}']}; {terms['practice']}",
                "–",
                used,
            )
        title = ", ".join(dict.fromkeys(str(part) for part in (entry.title, entry.body, entry.edition) if part))
        basis = f"{terms[f'basis-{entry.basis}']}; {terms.get(entry.force, entry.force)}"
        days = f"{entry.effective.isoformat()} ({terms[f'day-{entry.effective_basis}']}); {entry.last_review.isoformat()}"
        return RegisterRow(citation, title, basis, days, used)


def _natural(text: str) -> list[tuple[int, int, str]]:
    return list(_keys(text))


def _keys(text: str) -> Iterator[tuple[int, int, str]]:
    for part in re.split(r"(\d+)", text):
        if part:
            yield (0, int(part), "") if part.isdigit() else (1, 0, part.lower())
