"""Answers of law that counsel or a named person looked up, entered in the profile (`codes.answers`): they stand before the set's own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import Literal

from docgen.codes.answers import question, read_value
from docgen.codes.code import LawAlone
from docgen.codes.folder import find, known
from docgen.codes.model import Answer, Question, Reading
from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import LawAnswer, Site
from docgen.units import KINDS

__all__ = ["Reason", "Ungiven", "given", "named_items", "ungiven", "with_given"]


Reason = Literal[
    "unknown", "unreadable", "twice", "braces", "later", "nobody", "no-copy", "no-figure", "items", "looser", "other", "weaker"
]


@frozen
class Ungiven:
    """An answer of the profile that cannot be taken: where it stands, its question, and why.

    `unknown` and `unreadable`: `told` is the error; `twice`: the question has an answer already; `braces`: its text holds braces;
    `later`: it is dated after the day of the check; `nobody`: no role and no reviewer bears that name; `no-copy`: a question that
    stops the issue needs the copy that was read; `no-figure`: its text does not say its figure; `items`: an item that no law names
    there; `looser`, `other`, `weaker`: it leaves more room than what was read for the set, says another thing, or binds less (`told`
    is what was read).
    """

    path: str
    question: str
    reason: Reason
    told: str = ""


def with_given(law: LawAlone, site: Site, as_of: date) -> LawAlone:
    """The law with the answers of the profile before its own, as far as they can be taken on a day; the law itself where none can."""
    found = {taken.key: taken for taken in _taken(site, law, as_of) if isinstance(taken, Answer)}
    return law.before(MappingProxyType(found)) if found else law


def ungiven(site: Site, law: LawAlone, as_of: date) -> tuple[Ungiven, ...]:
    """The answers of the profile that cannot be taken, in their order."""
    return tuple(taken for taken in _taken(site, law, as_of) if isinstance(taken, Ungiven))


def _taken(site: Site, law: LawAlone, as_of: date) -> Iterator[Answer | Ungiven]:
    """Each answer of the profile in its order, or why it cannot be taken."""
    names = _names(site)
    seen: set[str] = set()
    for entry in site.codes.answers:
        if entry.question in seen:
            yield Ungiven(f"{entry.path}.question", entry.question, "twice")
            continue
        seen.add(entry.question)
        answer = given(entry, law)
        if isinstance(answer, Answer):
            fault = _fault(entry, answer, names, as_of) or _against(entry, answer, law.own(answer.key))
            yield fault or answer
        else:
            yield answer


def _names(site: Site) -> tuple[str, ...]:
    """Everyone whom the profile names as the holder of a role or as a reviewer."""
    held = (holder.name for role in site.roles for holder in role.holders)
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
    if not any(answer.given_by == name or answer.given_by.startswith(f"{name}, ") for name in names):
        return Ungiven(f"{entry.path}.by", ask.key, "nobody", answer.given_by)
    if ask.stops and not entry.copy:
        return Ungiven(entry.path, ask.key, "no-copy")
    if ask.kind in SAID and entry.value is not None and not _says_figure(answer.says, entry.value):
        return Ungiven(f"{entry.path}.text", ask.key, "no-figure", entry.value)
    if ask.kind == "list" and (strange := sorted(set(_items(answer)) - named_items(ask.key))):
        return Ungiven(f"{entry.path}.value", ask.key, "items", strange[0] or "; ")
    return None


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
    """Where an answer leaves more room than what was read for the set, says another thing, or binds less."""
    if own is None or own.silent or own.unread:
        return None
    told = own.citation if own.kind == "text" else f"{own.text} ({own.citation})"
    at = f"{entry.path}.value"
    if own.binding and not answer.binding:
        return Ungiven(f"{entry.path}.force", answer.key, "weaker", told)
    if own.figure is not None and answer.figure is not None and own.bound != "neither":
        way = -1.0 if own.bound == "minimum" else 1.0
        return Ungiven(at, answer.key, "looser", told) if over(way * answer.figure, way * own.figure) else None
    if own.kind == "list":
        return None if set(_items(answer)) <= set(_items(own)) else Ungiven(at, answer.key, "looser", told)
    if own.kind in ("clock", "choice") and answer.value != own.value:
        return Ungiven(at, answer.key, "other", told)
    if own.binding and (own.kind == "text" or (own.value is True and answer.value is False)):
        return Ungiven(f"{entry.path}.text", answer.key, "other", told)
    return None


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
