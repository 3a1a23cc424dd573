"""The frozen values that a set of law hands out."""

import re
from collections.abc import Mapping
from dataclasses import field
from datetime import date
from functools import cache
from typing import Literal

from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.limits import at_least, within
from docgen.units import UNITS, Interval, parse, system_of

__all__ = [
    "Amendment",
    "Answer",
    "AnswerKind",
    "Basis",
    "Bound",
    "DayBasis",
    "Expected",
    "Expression",
    "Force",
    "Grade",
    "Mistake",
    "Question",
    "Reading",
    "Source",
    "State",
    "Value",
]

# The closed lists of schemas/code.schema.json. A rule that stands beside the law has a force and a basis of its own:
# `none` where nobody read a text, and whose rule it is.
AnswerKind = Literal[
    "length", "mass", "force", "time", "angle", "ratio", "count", "interval", "text", "flag", "list", "choice", "clock"
]
Bound = Literal["maximum", "minimum", "threshold", "neither"]
State = Literal["answered", "inherited", "silent"]
Basis = Literal["read", "memory", "none"]
Grade = Literal["official", "publisher", "copy", "secondary", "given", "memory", "none"]
DayBasis = Literal["read", "memory", "edition", "none"]
Force = Literal[
    "", "mandatory", "via-national-law", "case-law", "policy", "guidance", "non-mandatory", "voluntary", "industry",
    "local", "owner", "insurer", "site-rule",
]  # fmt: skip
#: Emergency numbers, one or a choice of several.
NUMBERS = re.compile(r"[0-9]{2,4}(?: or [0-9]{2,4})*")
Value = float | int | bool | str | tuple[str, ...] | Interval | None


@frozen
class Question:
    """One entry of questions.yaml: what may be asked, of what kind the answer is, and which way a limit goes.

    An `optional` one was put after the first sets were written; a set that does not take it up was not looked at. `stops`: while
    it is unread nothing is issued that needs it. `when`: facts of a site that make it matter there (all of all, one of any).
    `outer`: the figure beyond which an answer from a profile is not taken where the set names none, by the bound; empty for none.
    """

    key: str
    asks: str
    group: str
    kind: AnswerKind
    bound: Bound = "neither"
    at_limit: Literal["inside", "outside"] = "inside"
    options: tuple[str, ...] = ()
    fallbacks: tuple[str, ...] = ()
    optional: bool = False
    stops: bool = False
    when: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    outer: str = ""

    def matters(self, facts: frozenset[str]) -> bool:
        """Whether a site with these facts needs an answer."""
        every, some = self.when.get("all", ()), self.when.get("any", ())
        return facts.issuperset(every) and (not some or not facts.isdisjoint(some))


@frozen
class Source:
    """A text of law, policy or guidance: who issued it, which edition, how it is cited, and an identifier that outlives its page."""

    id: str
    title: str
    body: str
    edition: str
    url: str
    form: str
    cite: tuple[tuple[str, str], ...]
    force: Force
    jurisdiction: str
    effective: date | None
    effective_basis: DayBasis
    dated: date | None = None
    stable: str = ""
    note: str = ""


@frozen
class Reading:
    """When a place in a text was read, and in which copy: whose it is, of which state of the text, and what was seen of the words.

    `grade` is official, publisher, copy or secondary: that of the copy, and secondary too where only a summary of the words was seen; given
    where counsel or a named person read it for the site.
    `paragraph` is false where the words were read and the number of the paragraph is recalled.
    """

    on: date
    copy: str
    grade: Grade
    state: str
    url: str
    of: Literal["words", "quotation", "summary"]
    paragraph: bool


@frozen
class Amendment:
    """A change of a paragraph: the day on which it takes effect, what made it, and what it changed."""

    on: date
    by: str
    what: str


@frozen
class Expected:
    """A change announced and not yet entered as in force: from when (None: no day is named), what it will say, where announced."""

    effective: date | None
    text: str
    citation: str
    announced: date | None
    note: str


@frozen
class Answer:
    """What a jurisdiction says to one question on one day.

    `state` is answered, inherited (the law of a parent answers) or silent. `value` is a float in m, kg, N, s or rad, a
    float for a ratio, an int for a count, a bool, a text (of a clock: how long, as written), a tuple of item names, an item name
    (choice) or an `Interval`; None when silent. `text` is the figure as the law prints it, the binding unit first: `1,800 lbf (8 kN)`.
    `says` is what the text says, for counsel; `says_plain` the same in one sentence for the papers of a site, `{}` for the figure.
    `inclusive` says whether exactly-at is inside. `citation` is composed from its parts; when silent it is empty,
    `looked_in` names the texts searched, `looked_on` the day, and `fallback` what usually stands in. `looked` is false when nobody
    looked, so that the text may well say something; so is it where the silence is only recalled. `read` is None for what nobody read.
    `given_by` is who looked it up, where the profile has the answer. `starts` is the event, and whose knowledge of it, that starts the clock of a report; `written` when a written one follows.
    `effective_basis` is read, memory, or edition: the day that the copy bears, since when it stands so not being known.
    `looked_on` and `looked_in` of an answer that is no law: the day on which the law was searched for it and found silent, and where.
    `only_where`: facts of a site (`vocabulary.yaml`) without which the text does not bind there, so that no paper of the site prints it.
    `covers`: the kinds of parts of which an interval speaks, each with its own; empty where it speaks of all.
    """

    key: str
    state: State
    kind: AnswerKind
    value: Value
    text: str
    bound: Bound
    inclusive: bool
    unit: str
    also: str
    says: str
    says_plain: str
    citation: str
    source: str
    title: str
    body: str
    edition: str
    url: str
    stable: str
    force: Force
    basis: Basis
    read: Reading | None
    effective: date
    effective_basis: DayBasis
    note: str
    jurisdiction: str
    sector: str
    fallback: str = ""
    fallbacks: tuple[str, ...] = ()
    looked_in: tuple[str, ...] = ()
    looked_on: date | None = None
    looked: bool = True
    alternative: str = ""
    starts: str = ""
    written: str = ""
    given_by: str = ""
    covers: Mapping[str, Interval] = field(default_factory=dict)
    amended_by: tuple[Amendment, ...] = ()
    expected: tuple[Expected, ...] = ()
    only_where: tuple[str, ...] = ()

    @property
    def grade(self) -> Grade:
        """What was seen of the words: official, publisher, copy, secondary; memory where nobody read them, none where no text speaks."""
        if self.read is not None:
            return self.read.grade
        return "none" if self.silent or self.basis == "none" else "memory"

    @property
    def unread(self) -> bool:
        """Whether nobody read the text for this: what it says is recalled, or nobody looked."""
        return not self.looked if self.silent else self.basis == "memory"

    @property
    def number(self) -> str | None:
        """The telephone number that the answer gives, one or a choice of several; None where it gives none or nobody read it."""
        said = None if self.silent or self.unread else self.value
        return said if isinstance(said, str) and NUMBERS.fullmatch(said) else None

    @property
    def silent(self) -> bool:
        """Whether the text says nothing."""
        return self.state == "silent"

    @property
    def binding(self) -> bool:
        """Whether it is law, and not only model law, policy, guidance or a voluntary standard."""
        return self.force in ("mandatory", "case-law")

    @property
    def limits(self) -> bool:
        """Whether a site is held to it as to law: what binds, and model law, which a state enacts under its own number."""
        return self.binding or self.force == "via-national-law"

    @property
    def advised(self) -> bool:
        """Whether an authority advises it: its policy, its guidance, a note that calls itself non-mandatory."""
        return not self.silent and self.force in ("policy", "guidance", "non-mandatory")

    @property
    def beside(self) -> bool:
        """Whether it comes from nobody who makes or applies law: a voluntary standard, an industry body, a supplier, a training body."""
        return not self.silent and self.force in ("voluntary", "industry")

    @property
    def law_unread(self) -> bool:
        """Of a set of law: whether nobody read what the law says on this, whatever stands beside it."""
        return self.unread or (self.beside and self.looked_on is None)

    @property
    def figure(self) -> float | None:
        """The value where it is a number, in SI; None where the text is silent or answers in words."""
        return None if isinstance(self.value, bool) or not isinstance(self.value, int | float) else float(self.value)

    def figure_in(self, unit: str) -> float | None:
        """The figure in SI as it is held against one written in `unit`: where the text prints two, that of the same system of units.

        "5,000 pounds (22.2 kN)" asks 22.2 kN of a part that is marked in kN, which is 10 lbf less.
        """
        if not self.also or unit not in UNITS or self.figure is None:
            return self.figure
        other = parse(self.also, UNITS[unit].kind)
        return other.si if system_of(other.unit) == system_of(unit) != system_of(self.unit) else self.figure

    def holds(self, measured: float) -> bool:
        """Whether a measured figure (in the unit of `value`) keeps the limit, or has reached the threshold.

        Exactly-at counts as the text has it. Raises ValueError for an answer that is silent or bounds nothing.
        """
        limit = self.figure
        if self.bound == "neither" or limit is None:
            raise ValueError(f"{self.key} bounds nothing")
        keeps = within if self.bound == "maximum" else at_least
        return keeps(measured, limit, self.inclusive)


class Expression:
    """A regular expression, letters' case aside, compiled when it is first searched for: most never are."""

    def __init__(self, text: str):
        self.pattern = text

    def search(self, text: str) -> re.Match[str] | None:
        """The first place in a text where the expression holds."""
        return _compiled(self.pattern).search(text)

    def may_match(self, lowered: str) -> bool:
        """False only where no match is possible, because none of the words it needs stands in the lowered text."""
        needed = _needed(self.pattern)
        return not needed or any(word in lowered for word in needed)


_OPTIONAL = re.compile(r"\([^()]*\)\?|\[[^\]]*\]\??|\w\?")
_OPEN = re.compile(r"\\[dwsDWS]|(?<!\\)\.")


@cache
def _needed(pattern: str) -> tuple[str, ...]:
    """Words of which every match holds at least one; empty where that cannot be told from the pattern."""
    if _OPEN.search(pattern):
        return ()
    return tuple(re.findall(r"[a-z0-9]+", re.sub(r"\\.", " ", _OPTIONAL.sub(" ", pattern.lower()))))


@cache
def _compiled(text: str) -> re.Pattern[str]:
    try:
        return re.compile(text, re.IGNORECASE)
    except re.error as error:
        raise CodeError(f"'{text}' in a mistakes.yaml is no regular expression: {error}; mend it") from None


@frozen
class Mistake:
    """A common mistake about the law: what is right, how a sentence that makes it is known, what to write instead."""

    id: str
    says: str
    instead: str
    see: tuple[str, ...]
    patterns: tuple[tuple[Expression, ...], ...]
    unless: tuple[Expression, ...]

    def find(self, text: str) -> tuple[str, ...]:
        """The sentences of `text` that make this mistake, spaces normalised."""
        return tuple(sentence for sentence in _sentences(text) if self._in(sentence))

    def may_be_in(self, text: str) -> bool:
        """Whether some row of patterns is found somewhere in a text: cheaper than taking it apart into sentences."""
        lowered = text.lower()
        return any(all(p.may_match(lowered) for p in row) and all(p.search(text) for p in row) for row in self.patterns)

    def places_in(self, lowered: str) -> list[int] | None:
        """Where in a text in small letters a row may begin to match: the places of its rarest words; None for anywhere."""
        places: list[int] = []
        for row in self.patterns:
            needed = [words for words in (_needed(p.pattern) for p in row) if words]
            if not needed:
                return None
            rarest = min(needed, key=lambda words: sum(map(lowered.count, words)))
            for word in rarest:
                at = lowered.find(word)
                while at >= 0:
                    places.append(at)
                    at = lowered.find(word, at + 1)
        return places

    def _in(self, sentence: str) -> bool:
        if any(pattern.search(sentence) for pattern in self.unless):
            return False
        return any(all(pattern.search(sentence) for pattern in row) for row in self.patterns)


def _sentences(text: str) -> list[str]:
    """Sentences and table cells: split where a block ends and at . ! ? ; |, not inside figures or `P.E.`."""
    parts = re.split(r"(?<=[!?;])\s+|(?<=[^.\s][^.\s]\.)\s+(?=[A-Z0-9\"'(])|\n\s*\n|\n\s*(?=[-*#>|\d])|\|", text)
    return [" ".join(part.split()) for part in parts if part and part.strip()]
