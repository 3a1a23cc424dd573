"""Answers of law that counsel or a named person looked up, entered in the profile (`codes.answers`).

Where nobody read the law for the set, or an authority only advises, such an answer stands before the set's own. Where the set read what
binds, its own sentence stays: an answer may add a stricter figure, which binds beside it as read by whoever read it, and nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from types import MappingProxyType
from typing import Literal

from docgen.codes.answers import question, questions, read_value
from docgen.codes.code import LawAlone
from docgen.codes.folder import HOME, find, known
from docgen.codes.model import Answer, Question, Reading
from docgen.data import blocks
from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import LawAnswer, RolePart, Site
from docgen.units import KINDS, Interval, parse

__all__ = ["Reason", "Ungiven", "asks_all", "given", "named_items", "negations", "ungiven", "with_given"]


Reason = Literal[
    "unknown", "unreadable", "twice", "braces", "later", "nobody", "not-counsel", "no-copy", "no-figure", "items", "negates", "outer",
    "looser", "other", "weaker",
]  # fmt: skip
#: Who may answer what the papers rest on, beside the reviewers of the profile.
CORE: tuple[RolePart, ...] = ("counsel", "qualified-person")
START = date(2001, 1, 1)


@frozen
class Ungiven:
    """An answer of the profile that cannot be taken: where it stands, its question, and why.

    `unknown` and `unreadable`: `told` is the error; `twice`: the question has an answer already; `braces`: its text holds braces;
    `later`: it is dated after the day of the check; `nobody`: no role and no reviewer bears that name; `not-counsel`: the question is one
    that the papers rest on, and whoever answers is neither counsel nor a qualified person nor a reviewer; `no-copy`: such a question needs
    the copy that was read; `no-figure`: its text does not say its figure; `items`: an item that no law names there; `negates`: its text
    takes away what the papers rest on (`told` are the words); `outer`: its figure lies beyond the outer bound (`told`) for sites whose law
    was not read; `looser`, `other`, `weaker`: it leaves more room than what was read for the set, says another thing, or binds less
    (`told` is what was read).
    """

    path: str
    question: str
    reason: Reason
    told: str = ""


def with_given(law: LawAlone, site: Site, as_of: date) -> LawAlone:
    """The law with the answers of the profile, as far as they can be taken on a day; the law itself where none can."""
    before: dict[str, Answer] = {}
    stricter: dict[str, Answer] = {}
    for taken in _taken(site, law, as_of):
        if isinstance(taken, Answer):
            own = law.own(taken.key)
            if own is None or not _governs(own):
                before[taken.key] = taken
            elif _way(taken, own) < 0:
                stricter[taken.key] = taken
    return law.before(MappingProxyType(before), MappingProxyType(stricter)) if before or stricter else law


def _governs(own: Answer) -> bool:
    """Whether the set's own answer is law that was read."""
    return not own.silent and not own.unread and own.limits


def ungiven(site: Site, law: LawAlone, as_of: date) -> tuple[Ungiven, ...]:
    """The answers of the profile that cannot be taken, in their order."""
    return tuple(taken for taken in _taken(site, law, as_of) if isinstance(taken, Ungiven))


def _taken(site: Site, law: LawAlone, as_of: date) -> Iterator[Answer | Ungiven]:
    """Each answer of the profile in its order, or why it cannot be taken."""
    names, trusted = _names(site), _names(site, CORE)
    seen: set[str] = set()
    for entry in site.codes.answers:
        if entry.question in seen:
            yield Ungiven(f"{entry.path}.question", entry.question, "twice")
            continue
        seen.add(entry.question)
        answer = given(entry, law)
        if isinstance(answer, Answer):
            own = law.own(answer.key)
            fault = _fault(entry, answer, names, as_of) or _core(entry, answer, trusted)
            yield fault or _against(entry, answer, own) or _beyond(entry, answer, own) or answer
        else:
            yield answer


def _names(site: Site, parts: tuple[RolePart, ...] = ()) -> tuple[str, ...]:
    """Everyone whom the profile names as a reviewer or as the holder of a role: of any, or of one with one of these parts."""
    roles = (role for role in site.roles if not parts or not set(parts).isdisjoint(role.part))
    held = (name for role in roles for holder in role.holders for name in holder.names)
    return tuple(name for name in (*held, *(r.name for r in site.reviewers)) if name)


def given(entry: LawAnswer, law: LawAlone) -> Answer | Ungiven:
    """One answer of the profile in the form of the law's own; it says who read it, when and in which copy."""
    try:
        ask = question(entry.question)
    except CodeError as error:
        return Ungiven(f"{entry.path}.question", entry.question, "unknown", str(error))
    said, by, on = entry.text or "", entry.by or "", entry.on or law.on  # the profile's schema requires them
    try:
        value, text, unit = read_value(ask, _raw(ask, entry))
    except ValueError as error:
        return Ungiven(f"{entry.path}.value" if entry.value else entry.path, ask.key, "unreadable", str(error))
    return replace(
        law.blank(ask.key), state="answered", value=value, text=text, unit=unit, says=said, says_plain=said,
        citation=entry.citation or "", source=f"given-{ask.key}", title=entry.citation or "", body=by, force=entry.force or "mandatory", basis="read",
        read=Reading(on, entry.copy or "", "given", "", "", "words", True), effective=on, effective_basis="none",
        note="", fallback="", looked=True, given_by=by,
    )  # fmt: skip


def _fault(entry: LawAnswer, answer: Answer, names: tuple[str, ...], as_of: date) -> Ungiven | None:
    """What is wrong with an answer in itself: its text, its day, who read it, in what, and what it names."""
    ask = question(answer.key)
    if "{" in answer.says or "}" in answer.says:
        return Ungiven(f"{entry.path}.text", ask.key, "braces")
    if entry.on is not None and entry.on > as_of:
        return Ungiven(f"{entry.path}.on", ask.key, "later", as_of.isoformat())
    if not _by_one_of(answer, names):
        return Ungiven(f"{entry.path}.by", ask.key, "nobody", answer.given_by)
    if ask.stops and not entry.copy:
        return Ungiven(entry.path, ask.key, "no-copy")
    if ask.kind in SAID and entry.value is not None and not _says_figure(answer.says, entry.value):
        return Ungiven(f"{entry.path}.text", ask.key, "no-figure", entry.value)
    if ask.kind == "list" and (strange := sorted(set(_items(answer)) - named_items(ask.key))):
        return Ungiven(f"{entry.path}.value", ask.key, "items", strange[0] or "; ")
    return None


def _by_one_of(answer: Answer, names: tuple[str, ...]) -> bool:
    """Whether one of these names read it, alone or with what the person is behind a comma."""
    return any(answer.given_by == name or answer.given_by.startswith(f"{name}, ") for name in names)


def _core(entry: LawAnswer, answer: Answer, trusted: tuple[str, ...]) -> Ungiven | None:
    """What is wrong with an answer to a question that the papers rest on: who gives it, and whether it takes a duty away."""
    if not question(answer.key).stops:
        return None
    if not _by_one_of(answer, trusted):
        return Ungiven(f"{entry.path}.by", answer.key, "not-counsel", answer.given_by)
    found = next((match for pattern in negations() if (match := pattern.search(answer.says))), None)
    return None if found is None else Ungiven(f"{entry.path}.text", answer.key, "negates", found[0])


@cache
def negations() -> tuple[re.Pattern[str], ...]:
    """The words that take a duty away."""
    return tuple(re.compile(text, re.IGNORECASE) for text in blocks(HOME / "vocabulary.yaml", "code/vocabulary")["negations"])


def _beyond(entry: LawAnswer, answer: Answer, own: Answer | None) -> Ungiven | None:
    """Where the set read no law, a figure beyond the outer bound of the question."""
    ask = question(answer.key)
    if not ask.outer or answer.figure is None or (own is not None and _governs(own)):
        return None
    outer = parse(ask.outer, ask.kind).si if ask.kind in KINDS else float(ask.outer)
    way = -1.0 if ask.bound == "minimum" else 1.0
    return Ungiven(f"{entry.path}.value", ask.key, "outer", ask.outer) if over(way * answer.figure, way * outer) else None


SAID = (*KINDS, "interval", "ratio", "count", "clock")


def _says_figure(text: str, value: str) -> bool:
    """Whether a value stands in the text, its number with its unit; a time in words stands there as it is."""
    found = re.match(r"([0-9][0-9.,]*)\s*(.*)", value)
    if found is None:
        return value in text
    number, unit = found[1].replace(",", ""), found[2].strip()
    end = rf"\s?{re.escape(unit)}(?![a-z])" if unit else r"(?![0-9]|\.[0-9])"
    return re.search(rf"(?<![0-9.]){re.escape(number)}{end}", re.sub(r"(?<=[0-9]),(?=[0-9])", "", text)) is not None


def _items(answer: Answer) -> tuple[str, ...]:
    return answer.value if isinstance(answer.value, tuple) else ()


def asks_all(site: Site) -> bool:
    """Whether an answer of the profile is held against every set of law: a list, whose items may be those that any of them names."""
    lists = {key for key in questions() if question(key).kind == "list"} if site.codes.answers else set()
    return any(entry.question in lists for entry in site.codes.answers)


def named_items(key: str) -> frozenset[str]:
    """Every item that some set of law names in answer to a question."""
    found: set[str] = set()
    for code in known():
        home = find(code)
        taken = home.timelines(key) if home is not None else None
        for days in taken[1].values() if taken is not None else ():
            for entry in days.values():
                listed = entry.get("value")
                found.update(listed if isinstance(listed, list) else ())
    return frozenset(found)


def _against(entry: LawAnswer, answer: Answer, own: Answer | None) -> Ungiven | None:
    """Where an answer leaves more room than what was read for the set, says another thing, or binds less.

    Against law that was read only a figure can be stricter; anything else must be the same. Against an authority's advice a figure may not
    be looser, and words must bind; what it states as its policy no words replace. What no authority says, or nobody read, is no measure.
    """
    if own is None or own.silent or own.unread or own.beside:
        return None
    told = own.citation if own.kind == "text" else f"{own.text} ({own.citation})"
    at = f"{entry.path}.value"
    if own.limits and not answer.binding:
        return Ungiven(f"{entry.path}.force", answer.key, "weaker", told)
    if own.kind in SAID and own.kind != "clock":
        return Ungiven(at, answer.key, "looser", told) if _way(answer, own) > 0 else None
    if own.kind == "text" and (own.limits or own.force == "policy" or not answer.binding):
        return Ungiven(f"{entry.path}.text", answer.key, "other", told)
    if own.limits and _same_value(answer) != _same_value(own):
        return Ungiven(f"{entry.path}.text" if own.kind == "flag" else at, answer.key, "other", told)
    return None


def _same_value(answer: Answer) -> object:
    return frozenset(answer.value) if isinstance(answer.value, tuple) else answer.value


def _way(answer: Answer, own: Answer) -> int:
    """Whether a figure leaves more room than another (1), less (-1), or as much (0); a figure that bounds nothing is the same or looser."""
    one, other = _size(answer), _size(own)
    if one is None or other is None:
        return 0
    if own.bound == "neither":
        return int(over(one, other) or over(other, one))
    way = -1.0 if own.bound == "minimum" else 1.0
    return int(over(way * one, way * other)) - int(over(way * other, way * one))


def _size(answer: Answer) -> float | None:
    """A number that orders the figures of one question; intervals by the day on which they end."""
    if isinstance(answer.value, Interval):
        return float(answer.value.after(START).toordinal() - START.toordinal())
    return answer.figure


def _raw(ask: Question, entry: LawAnswer) -> object:
    """What an entry gives as the value: its figure, or the text itself where the question asks for words."""
    if ask.kind == "text":
        return entry.text
    if entry.value is None:
        raise ValueError(f"{ask.key} is a {ask.kind}; write its value")
    if ask.kind == "flag":
        if entry.value not in ("yes", "no"):
            raise ValueError(f"'{entry.value}' is no yes and no no; write value: 'yes' or 'no'")
        return entry.value == "yes"
    return entry.value.split("; ") if ask.kind == "list" else entry.value
