"""The rows of the legal file: what the law answers at this site, where it was searched in vain, and what nobody read.

How a text was read is told by the number of a copy and of a day; these stand in a table of their own. A reading that is later than the
day of the paper is printed as such, since nobody could rest on it by then.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from docgen.codes import Answer, question
from docgen.codes.answers import questions
from docgen.codes.needed import needed
from docgen.codes.site_facts import site_facts
from docgen.compose.lawful import Lawful

__all__ = ["Legal"]


@dataclass(frozen=True, slots=True)
class LawRow:
    """One answer: what is asked, what the text says, where it stands and whose it is, its force, how it was read."""

    about: str
    asks: str
    says: str
    citation: str
    force: str
    read: str


@dataclass(frozen=True, slots=True)
class CopyRow:
    """One copy in which texts were read on a day: its number, whose it is, the state of the text that it shows, what was seen of the words."""

    n: int
    copy: str
    state: str
    grade: str
    day: str


class Legal:
    """The functions on the law for one sheet. `as_of` is the day of the paper."""

    def __init__(self, lawful: Lawful, as_of: date, words: Mapping[str, Any]) -> None:
        self.lawful, self.as_of = lawful, as_of
        self.terms, self.phrases = words["terms"], words["phrases"]
        self.copies: dict[tuple[str, str, str, date], int] = {}

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function."""
        return {
            name: getattr(self, name)
            for name in ("law_rows", "silent_rows", "unread_rows", "advised_rows", "recalled_rows", "later_readings", "copy_rows")
        }

    def law_rows(self) -> list[LawRow]:
        """What the law answers to the questions that matter at this site, in the order of the fixed list; definitions left out."""
        return [self._row(answer) for answer in self._mattering() if not answer.silent]

    def silent_rows(self) -> list[LawRow]:
        """The questions on which the texts were searched and say nothing: where and when, and what stands instead."""
        return [self._row(answer) for answer in self._mattering() if answer.silent and answer.looked]

    def unread_rows(self) -> list[LawRow]:
        """The questions that a paper needs and on which nobody has read the law, with the advice that stands beside it."""
        answers = (self.lawful.law_alone(key) for key in needed(self._facts()))
        return [self._row(answer) for answer in answers if answer.law_unread]

    def advised_rows(self) -> list[LawRow]:
        """The questions that a paper needs and on which what was read is an authority's advice, the law being silent or unread."""
        answers = (self.lawful.law_alone(key) for key in needed(self._facts()))
        return [self._row(answer) for answer in answers if answer.advised and not answer.unread]

    def recalled_rows(self) -> list[Answer]:
        """The answers to the questions that matter here whose text nobody read: they stand in this file from memory."""
        return [a for a in self._mattering() if not a.silent and a.unread]

    def later_readings(self) -> bool:
        """Whether a text on a question that matters here was read or searched after the day of the paper."""
        days = (a.read.on if a.read is not None else a.looked_on for a in self._mattering())
        return any(day is not None and day > self.as_of for day in days)

    def copy_rows(self) -> list[CopyRow]:
        """The copies of the rows asked for so far, by their numbers."""
        return [
            CopyRow(n, copy, state, self.terms[f"grade-{grade}"], self._on("read_on", day))
            for (copy, state, grade, day), n in self.copies.items()
        ]

    def _facts(self) -> frozenset[str]:
        return site_facts(self.lawful.site, self.lawful.code)

    def _mattering(self) -> list[Answer]:
        facts = self._facts()
        asked = (key for key in questions() if question(key).group != "definitions" and question(key).matters(facts))
        return [self.lawful.law_alone(key) for key in asked]

    def _row(self, answer: Answer) -> LawRow:
        ask = question(answer.key)
        if answer.silent:
            says, where = str(self.phrases[f"instead_{answer.fallback}"]), self._searched(answer)
        else:
            says, where = self._says(answer), answer.citation
            if self.lawful.of_another(answer):
                where += f"; {self.lawful.law_words('inherited_mark')}"
            elif answer.beside:
                where += f"; {self.terms[answer.force]}"
        return LawRow(self.terms[f"theme-{ask.group}"], ask.asks, says, where, self._force(answer), self._read(answer))

    def _searched(self, answer: Answer) -> str:
        """The texts that were searched, and how far: a note names the sections, since a search of one is none of the whole text."""
        if not answer.looked_in:
            return "–"
        return str(self.phrases["searched_within"]).format(texts="; ".join(answer.looked_in), limit=answer.note.rstrip("."))

    def _force(self, answer: Answer) -> str:
        """How far it binds; of what no authority says, also whether the law was read."""
        force = str(self.terms[answer.force or "none"])
        if not answer.beside or answer.given_by:
            return force
        return f"{force}; {self.terms['law-unread' if answer.looked_on is None else 'law-silent']}"

    def _says(self, answer: Answer) -> str:
        """What the text says, with its figure; an answer without words of its own is its figure, behind what was asked."""
        ask, value = question(answer.key), self.lawful.wording.answer(answer)
        if not answer.says:
            said = f"{ask.asks}: {value}."
        elif ask.kind in ("text", "flag", "list", "choice") or _holds(answer.says, value):
            said = answer.says
        else:
            said = f"{answer.says.rstrip('.')}: {value}."
        if answer.alternative:
            instead = self.lawful.law_alone(answer.alternative)
            said += " " + self.phrases["or_instead"].format(citation=instead.citation)
        if answer.starts:
            said += " " + self.phrases["clock_starts"].format(starts=answer.starts)
        if answer.written:
            said += " " + self.phrases["clock_written"].format(written=answer.written)
        if answer.key in self.lawful.code.stricter:
            said += " " + self.lawful.stricter(answer.key)
        return said

    def _read(self, answer: Answer) -> str:
        """The day and the number of the copy, and what of the words was seen; or that nobody read it."""
        if answer.silent:
            return self._on("searched_on", answer.looked_on) if answer.looked_on else str(self.phrases["not_read"])
        read = answer.read
        if read is None:
            return self.lawful.law_words("to_be_verified")
        if answer.given_by:
            return "; ".join(p for p in (self._on("read_on_by", read.on, name=answer.given_by), read.copy) if p)
        copy = self.copies.setdefault((read.copy, read.state, read.grade, read.on), len(self.copies) + 1)
        parts = [str(self.phrases["in_copy"]).format(n=copy)]
        parts += [] if read.of == "words" else [self.terms[f"read-{read.of}"]]
        parts += [] if read.paragraph else [str(self.phrases["paragraph_recalled"])]
        return "; ".join(parts)

    def _on(self, phrase: str, day: date, **values: object) -> str:
        told = str(self.phrases[phrase]).format(day=day, **values)
        return told if day <= self.as_of else f"{told}, {self.phrases['after_this']}"


def _holds(text: str, figure: str) -> bool:
    """Whether a text says a figure, in its first unit, already."""
    return figure.partition(" (")[0] in text
