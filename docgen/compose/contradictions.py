"""Finished bodies held against each other: figures, telephone numbers, duties, names of places and roles, language versions.

A figure that the profile, the calculation or the law supplied while a clause was written is traced and needs no second look.
What is left is written out by hand: in a template of the user's own, or in a translation.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from typing import TYPE_CHECKING

from docgen.findings import RULES
from docgen.findings.basis import basis_of_practice
from docgen.findings.common import worded
from docgen.findings.model import Finding, Phrase, Value
from docgen.site import Node, Site, walk
from docgen.text.said import Fact, Said, duties_in, facts_of, has_subjects, names_in, phones_in, phones_of, said_in
from docgen.trade.practice import practice

if TYPE_CHECKING:
    from docgen.codes.law import Law
    from docgen.compose.pieces import Body
    from docgen.records import Clause

__all__ = ["contradictions"]

NAME = "documents-contradict"
SAME = 0.02
MPH = 0.44704  # m/s, exact: 1,609.344 m in 3,600 s (NIST SP 811)
TRACED = re.compile(
    r"^(-?[\d.]+(?:e[-+]?\d+)?) (mass|length|time|speed|angle|force|temperature|voltage|stress|second_moment|section_modulus) ~"
)
FIGURE = re.compile(
    r"\d[\s\u00a0-]?(?:lb|pound|kg|kilo|ft|feet|foot|in\b|inch|m\b|cm|min|s\b|sec|h\b|hour|mph|km/h|deg|°)", re.IGNORECASE
)
SENTENCE = re.compile(r"(?<=[.;:])\s+|\n+|\|")
NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
GROUPED = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?")
KIND = {"user-limit": "mass", "tie-off": "length", "wind": "speed", "gust": "speed", "line-angle": "angle"}
LAW = {
    "user-limit": ("user_mass_condition",), "tie-off": ("trigger_height", "trigger_height_vehicles"), "line-angle": ("line_angle_max",),
    "rescue-contact": ("rescue_time_max",), "rescue-ground": ("rescue_time_max",),
}  # fmt: skip

Bodies = Mapping[str, Mapping[str, "Body"]]


def contradictions(bodies: Bodies, site: Site, code: Law) -> tuple[Finding, ...]:
    """Every contradiction between documents, and between language versions of one, each once, as a must-fix finding.

    `bodies`: document -> language -> body. A finding names both places.
    """
    rule = next(r for r in RULES if r.name == NAME)
    found: dict[tuple[object, ...], Finding] = {}
    for path, documents, values in _all(bodies, site, code):
        key = (path, *values.values())
        if key not in found:
            found[key] = Finding(
                name=NAME, severity=rule.severity, stops=rule.stops, documents=tuple(sorted(documents)), path=path,
                line=site.line(path), values=values, basis=basis_of_practice(),
            )  # fmt: skip
    return tuple(found.values())


def _all(bodies: Bodies, site: Site, code: Law) -> Iterator[tuple[str, set[str], Mapping[str, Value]]]:
    flat = [body for versions in bodies.values() for body in versions.values()]
    own = _own_texts(site)
    yield from _figures(flat, site, code)
    yield from _phones(flat, site, own, code)
    yield from _duties(flat)
    yield from _names(flat, site, own)
    for versions in bodies.values():
        yield from _versions(list(versions.values()))


def _place(body: Body, clause: Clause | None) -> Phrase:
    if clause is None:
        return worded("place", document=body.document, language=body.language)
    return worded("place-clause", document=body.document, language=body.language, clause=clause.id.partition(".")[2])


def _own_texts(site: Site) -> str:
    """All text of the profile in one, in small letters: what stands there is checked where it stands."""
    texts = []
    for f in fields(site):
        value = getattr(site, f.name)
        for node in value if isinstance(value, tuple) else (value,):
            if isinstance(node, Node):
                texts += [v for _, v in walk(node) if isinstance(v, str)]
    return "\n".join(texts).casefold()


# --- figures ----------------------------------------------------------------------------------------------------------


def _figures(flat: list[Body], site: Site, code: Law) -> Iterator[tuple[str, set[str], Mapping[str, Value]]]:
    facts = facts_of(site)
    for body in flat:
        if not has_subjects(body.language):
            continue
        for clause in body.clauses:
            sentences = [t for t in SENTENCE.split(clause.text) if FIGURE.search(t)] if FIGURE.search(clause.text) else ()
            for said in (s for t in sentences for s in said_in(t, facts, body.language)):
                if _accounted(said, clause, code):
                    continue
                fact = facts[said.subject]
                other, documents = _where_said(fact, flat, body)
                values: Mapping[str, Value] = {
                    "one": said.words,
                    "place": _place(body, clause),
                    "other": fact.values[0].text,
                    "elsewhere": other,
                }
                yield fact.path, {body.document, *documents}, values


def _accounted(said: Said, clause: Clause, code: Law) -> bool:
    """Whether the figure was supplied while the clause was written: by a traced quantity, a text of the profile, or the law."""
    if any(_near(value, said.si) for value in _of_law(said.subject, clause, code)):
        return True
    kind = KIND.get(said.subject, "time")
    for _, read in clause.inputs:
        traced = TRACED.match(read)
        if traced and traced[2] == kind and (_near(float(traced[1]), said.si) or _whole(kind, float(traced[1]) - said.si)):
            return True
        if traced is None and said.figure in read.replace("\u00a0", " "):
            return True
    for cite in clause.cites:
        source, _, key = cite.partition(":")
        value = practice(key).value if source == "practice" else code.ask(key).value
        if isinstance(value, float) and _near(value, said.si):
            return True
    return False


def _of_law(subject: str, clause: Clause, code: Law) -> Iterator[float]:
    """The law's own figures on a subject, for a clause that names the paragraph beside them."""
    for key in LAW.get(subject, ()):
        answer = code.ask(key)
        if isinstance(answer.value, float) and answer.citation and answer.citation in clause.text:
            yield answer.value


def _whole(kind: str, difference: float) -> bool:
    """Whether a speed differs by less than the whole mile an hour to which the other system rounds it down."""
    return kind == "speed" and 0 <= difference < MPH


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= SAME * max(abs(one), abs(other))


def _where_said(fact: Fact, flat: list[Body], but: Body) -> tuple[Phrase | str, set[str]]:
    """Where the right figure is printed: a clause of another document that read it, and the profile."""
    for body in flat:
        for clause in body.clauses:
            if body is not but and any(path.startswith(fact.path) for path, _ in clause.inputs):
                return worded("place-from", place=_place(body, clause), field=fact.path), {body.document}
    return fact.path, set()


# --- telephone numbers, duties, names ---------------------------------------------------------------------------------


def _phones(flat: list[Body], site: Site, own: str, code: Law) -> Iterator[tuple[str, set[str], Mapping[str, Value]]]:
    known, by_law = phones_of(site), code.ask("report_to").says_plain
    for body in flat:
        if not known:
            return
        for number in dict.fromkeys(phones_in(body.markdown, known, body.language)):
            if len(number) > 3 and (number.casefold() in own or number in by_law):
                continue
            clause = next((c for c in body.clauses if number in c.text), None)
            values: Mapping[str, Value] = {
                "one": number,
                "place": _place(body, clause),
                "other": worded("no-such-number"),
                "elsewhere": "emergency.contacts",
            }
            yield "emergency.contacts", {body.document}, values


AGAINST = {"must": ("must_not",), "may": ("must_not",), "must_not": ("must", "may")}


def _duties(flat: list[Body]) -> Iterator[tuple[str, set[str], Mapping[str, Value]]]:
    said: dict[tuple[str, str, str], tuple[Body, Clause]] = {}
    for body in flat:
        for clause in body.clauses if has_subjects(body.language) else ():
            for kind, what in duties_in(clause.text, body.language):
                for opposite in AGAINST[kind]:
                    if (other := said.get((body.language, opposite, what))) is not None:
                        values = {
                            "one": worded(f"duty-{kind}", what=what), "place": _place(body, clause),
                            "other": worded(f"duty-{opposite}", what=what), "elsewhere": _place(*other),
                        }  # fmt: skip
                        yield "document", {body.document, other[0].document}, values
                said.setdefault((body.language, kind, what), (body, clause))


def _names(flat: list[Body], site: Site, own: str) -> Iterator[tuple[str, set[str], Mapping[str, Value]]]:
    titles = {r.title.casefold(): r for r in site.roles}
    for body in flat:
        if not has_subjects(body.language):
            continue
        places = {(first, noun) for kind, first, noun in names_in(own, body.language) if kind == "place"}
        for clause in body.clauses:
            for kind, first, noun in names_in(clause.text, body.language):
                phrase = f"{first} {noun}"
                if phrase in own:
                    continue
                if kind == "place":
                    others = sorted(f for f, n in places if n == noun)
                    if others:
                        at = "site.access_point" if noun in (site.site.access_point or "").casefold() else "site"
                        yield at, {body.document}, {
                            "one": phrase, "place": _place(body, clause), "other": f"{others[0]} {noun}", "elsewhere": at,
                        }  # fmt: skip
                else:
                    role = next((r for title, r in titles.items() if title.split()[0] == first and len(title.split()) > 1), None)
                    if role is not None and any(True for k, _, _ in names_in(role.title, body.language) if k == "role"):
                        yield f"{role.path}.title", {body.document}, {
                            "one": phrase, "place": _place(body, clause), "other": role.title, "elsewhere": f"{role.path}.title",
                        }  # fmt: skip


# --- language versions ------------------------------------------------------------------------------------------------


def _numbers(text: str) -> Counter[str]:
    return Counter(
        (n.replace(",", "") if GROUPED.fullmatch(n) else n.replace(",", ".")) for n in NUMBER.findall(text.replace("\u00a0", " "))
    )


def _versions(versions: list[Body]) -> Iterator[tuple[str, set[str], Mapping[str, Value]]]:
    """The same clause in two languages: the same figures, however often, and no clause in one language only."""
    if len(versions) < 2:
        return
    first = versions[0]
    ours = {c.id: c for c in first.clauses}
    for body in versions[1:]:
        theirs = {c.id: c for c in body.clauses}
        for key in dict.fromkeys((*ours, *theirs)):
            one, other = ours.get(key), theirs.get(key)
            if one is None or other is None:
                here, there = (first, body) if other is None else (body, first)
                values: Mapping[str, Value] = {
                    "one": worded("this-clause"),
                    "place": _place(here, one or other),
                    "other": worded("nothing"),
                    "elsewhere": _place(there, None),
                }
                yield "document.languages", {first.document}, values
                continue
            mine, yours = _numbers(one.text), _numbers(other.text)
            if mine != yours:
                values = {
                    "one": _few(mine - yours), "place": _place(first, one), "other": _few(yours - mine), "elsewhere": _place(body, other),
                }  # fmt: skip
                yield "document.languages", {first.document}, values


def _few(numbers: Iterable[str]) -> Phrase | str:
    return ", ".join(list(numbers)[:4]) or worded("no-such-figure")
