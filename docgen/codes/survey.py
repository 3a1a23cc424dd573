"""How far the law of each place is known: what was answered and read of the questions that papers need, and what is due for reading."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator
from datetime import date

from docgen.codes.answers import questions
from docgen.codes.code import load
from docgen.codes.folder import known
from docgen.codes.model import Amendment, Answer, Grade
from docgen.codes.needed import ever_needed
from docgen.errors import CodeError
from docgen.frozen import frozen

__all__ = ["SECTORS", "Count", "Due", "counted", "due_for_reading"]

SECTORS = ("general-industry", "construction")
NEVER = date.min


@frozen
class Count:
    """One place and sector: the questions that some paper needs, by state and by what was seen of the words; `told` where it has no law.

    `advised`: an authority advises, and the law is silent or unread. `beside`: of the unread, those on which somebody who is no authority
    advises.
    """

    code: str
    sector: str
    kind: str
    needed: int
    states: Counter[str]  # answered, inherited, advised, silent, unread
    grades: Counter[str]  # official, publisher, copy, secondary, memory
    told: str = ""
    beside: int = 0


@frozen
class Due:
    """An answer, and what makes it due for reading: when it was last read, in what grade, and the amendments known."""

    code: str
    key: str
    sectors: tuple[str, ...]
    citation: str
    grade: Grade
    read: date | None
    amended: tuple[Amendment, ...]
    expected: tuple[date | None, ...]

    @property
    def later(self) -> bool:
        """Whether an amendment took effect, or is to, after the text was read."""
        return any(self.read is None or a.on > self.read for a in self.amended) or bool(self.expected)


def counted(on: date) -> Iterator[Count]:
    """Every set and sector on a day, in the order of the codes."""
    keys = ever_needed()
    for code in known():
        for sector in SECTORS:
            kind = ""
            try:
                law = load(code, sector, on)
                kind = law.kind
                answers = [law.ask(key) for key in keys]
            except CodeError as missing:  # a set may lack a sector, or not yet be in force on that day
                yield Count(code, sector, kind, len(keys), Counter(), Counter(), str(missing))
                continue
            states = Counter(_state(a) if kind == "law" else "unread" if a.unread else a.state for a in answers)
            grades: Counter[str] = Counter(a.grade for a in answers if not a.silent)
            beside = sum(a.law_unread and a.beside for a in answers)
            yield Count(code, sector, kind, len(keys), states, grades, beside=beside if kind == "law" else 0)


def _state(answer: Answer) -> str:
    """How far the law is known on a question: answered, inherited, advised by an authority, silent, unread."""
    if answer.law_unread:
        return "unread"
    return "advised" if answer.advised else "silent" if answer.beside else answer.state


def due_for_reading(on: date, codes: Collection[str] | None = None) -> tuple[Due, ...]:
    """Every answer of a set's own and every silence that was searched, one line for both sectors: never read first, then the oldest reading.

    `codes` are the sets asked, all when left out.
    """
    found: dict[tuple[object, ...], Due] = {}
    for code in known() if codes is None else sorted(codes):
        for sector in SECTORS:
            try:
                law = load(code, sector, on)
                answers = [a for a in map(law.ask, questions()) if _own(a, law.code)]
            except CodeError:
                continue
            for answer in answers:
                due = _due(code, answer)
                key = (code, due.key, due.citation, due.grade, due.read)
                other = found.get(key)
                found[key] = _due(code, answer, (*other.sectors, sector) if other else (sector,))
    return tuple(sorted(found.values(), key=lambda d: (d.read or NEVER, d.code, d.key)))


def _own(answer: Answer, code: str) -> bool:
    """Whether an answer is the set's own and somebody wrote it down; what nobody looked at has nothing to be read again."""
    return answer.jurisdiction == code and (not answer.silent or answer.looked)


def _due(code: str, answer: Answer, sectors: tuple[str, ...] = ()) -> Due:
    citation = answer.citation or "; ".join(answer.looked_in)
    read = answer.read.on if answer.read is not None else answer.looked_on
    return Due(
        code, answer.key, sectors, citation, answer.grade, read, answer.amended_by, tuple(e.effective for e in answer.expected)
    )
