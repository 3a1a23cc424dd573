"""Figures, telephone numbers, duties, places and roles written out in text, held against what the profile says.

Shared by the check of the site's own text and by the comparison of finished documents. What words mean lies in
templates/words/findings/subjects.<language>.yaml.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TypedDict, cast

from docgen import units
from docgen.data import load, pattern
from docgen.frozen import frozen
from docgen.resources import data_folder
from docgen.site import Quantity, Site

__all__ = [
    "PHONE",
    "Fact",
    "Said",
    "digits",
    "drops_in",
    "duties_in",
    "facts_of",
    "has_subjects",
    "lengths_in",
    "names_in",
    "phones_in",
    "phones_of",
    "said_in",
]

PHONE = re.compile(
    r"(?<![\w.-])(?:\+?\d{1,3}[-. ])?(?:\(\d{3}\) ?|\d{3}[-. ])?\d{3}[-.]\d{4}(?![\w-])(?!\s(?:ft|m|lb|lbf|kN|kg|deg|ksi|MPa)\b)"
)
# a figure with decimals and a unit is none: 911.0000 in^4, 1,270.0000 mm
LIKE_PHONE = re.compile(
    r"(?<![\d,])\d{3}[-.]\d{4}(?![\w-])(?![ \u00a0\u202f]?(?:in|cm|mm|ft|m|kN|N|lbf?|kg|ksi|MPa|GPa|h|min|s|deg)\b)"
)
LAST_WORD = re.compile(r"(?<![^\W\d_])([^\W\d_]+)[ \u00a0]$")
WORD = re.compile(r"[^\W_]+")
SAME = 0.02  # relative: law and labels round 1.22 m to 1.2 m
NUMBER = r"\d[\d,]*(?:\.\d+)?"
UNIT = {
    "mass": r"(?:lbs?|pounds?|kg|kilograms?)",
    "length": r"(?:ft|feet|foot|inches|in|m|cm)",
    "time": r"(?:min|minutes?|s|sec|seconds?|h|hours?)",
    "speed": r"(?:mph|km/h|m/s|ft/s)",
    "angle": r"(?:deg|degrees?|°)",
}
SPELLED = {
    "pound": "lb", "pounds": "lb", "kilogram": "kg", "kilograms": "kg", "minute": "min", "minutes": "min", "second": "s",
    "seconds": "s", "hour": "h", "hours": "h",
}  # fmt: skip


@frozen
class Fact:
    """What the profile says on one subject: every figure that is right, the first one to be shown."""

    path: str
    values: tuple[Quantity, ...]


@frozen
class Said:
    """A figure in a text: the subject, the words, the figure as written, its SI value."""

    subject: str
    words: str
    figure: str
    si: float


@frozen
class _Subject:
    key: str
    kind: str
    before: str
    after: str
    stems: tuple[str, ...]


class _Row(TypedDict):
    subject: str
    kind: str
    before: str
    after: str
    stems: list[str]


class _Phone(TypedDict):
    words: str
    short: str


class _Data(TypedDict):
    subjects: list[_Row]
    phone: _Phone
    duties: dict[str, list[str]]
    conditions: list[str]
    places: list[str]
    which: list[str]
    roles: list[str]


@cache
def _data(language: str) -> _Data:
    return cast("_Data", load(_file(language), "subjects"))


def _file(language: str) -> Path:
    return data_folder("templates") / "words" / "findings" / f"subjects.{language}.yaml"


def has_subjects(language: str) -> bool:
    """Whether the words of a language are known here; without them only numbers are compared."""
    return _file(language).is_file()


@cache
def _subjects(language: str) -> tuple[_Subject, ...]:
    return tuple(
        _Subject(r["subject"], r["kind"], r["before"], r["after"], tuple(r["stems"])) for r in _data(language)["subjects"]
    )


@cache
def _unit(kind: str) -> re.Pattern[str]:
    return re.compile(rf"\d[\s\u00a0-]?{UNIT[kind]}(?![\w/])", re.IGNORECASE)


@cache
def _any_stem(language: str) -> re.Pattern[str]:
    return re.compile("|".join(sorted({re.escape(stem) for s in _subjects(language) for stem in s.stems})), re.IGNORECASE)


@cache
def _compiled(subject: _Subject, language: str) -> re.Pattern[str]:
    figure = rf"(?<![\w.])(?P<figure>{NUMBER})[\s\u00a0-]?(?P<unit>{UNIT[subject.kind]})(?![\w/])"
    return pattern(f"{subject.before}{figure}{subject.after}", _file(language), subject.before or subject.after)


def facts_of(site: Site) -> Mapping[str, Fact]:
    """The figures of the profile by subject; a subject on which it says nothing is left out."""
    limits, weather, rescue = site.limits, site.limits.weather, site.rescue
    tie_off = tuple(r.height for r in site.site_rules if r.subject == "tie-off")
    rows = {
        "user-limit": ("limits.upper.value", (limits.upper.value, limits.lower.value)),
        "tie-off": (next((f"{r.path}.height" for r in site.site_rules if r.subject == "tie-off"), ""), tie_off),
        "wind": ("limits.weather.wind", (weather.wind,)),
        "gust": ("limits.weather.gust", (weather.gust,)),
        "lightning": ("limits.weather.lightning_wait", (weather.lightning_wait,)),
        "line-angle": ("limits.line_angle.value", (limits.line_angle.value,)),
        "rescue-contact": ("rescue.contact_limit.value", (rescue.contact_limit.value,)),
        "rescue-ground": ("rescue.ground_limit.value", (rescue.ground_limit.value,)),
    }
    known = {key: (path, tuple(v for v in values if v is not None)) for key, (path, values) in rows.items()}
    return {key: Fact(path, values) for key, (path, values) in known.items() if values}


def said_in(text: str, facts: Mapping[str, Fact], language: str) -> Iterator[Said]:
    """Every figure in the text that speaks of a subject and is none of the profile's."""
    if not _any_stem(language).search(text):
        return
    low = text.casefold()
    seen: set[tuple[str, int]] = set()
    for subject in _subjects(language):
        fact = facts.get(subject.key)
        if fact is None or not _unit(subject.kind).search(text) or not any(stem in low for stem in subject.stems):
            continue
        for match in _compiled(subject, language).finditer(text):
            place = (subject.key, match.start("figure"))
            si = _si(match["figure"], match["unit"], subject.kind)
            if place in seen or si is None or any(_same(si, q.si) or _rounded(match, si, q) for q in fact.values):
                continue
            seen.add(place)
            yield Said(subject.key, " ".join(match[0].split()), f"{match['figure']} {match['unit']}", si)


def _si(figure: str, unit: str, kind: str) -> float | None:
    try:
        return units.parse(f"{figure} {SPELLED.get(unit.casefold(), unit)}", kind).si
    except units.UnitProblem:
        return None


def lengths_in(text: str) -> Iterator[tuple[str, float]]:
    """Each length written in a text as the width of an opening, a hole, a port or a lid, with the words and its SI value in m: the figure
    after the noun, or before it."""
    for written in _openings():
        yield from _lengths(written, text)


@cache
def _openings() -> tuple[re.Pattern[str], ...]:
    noun, figure = (
        r"(?:opening|hole|port|gap|lid)s?\b",
        rf"(?P<figure>{NUMBER})[\s\u00a0-]?(?P<unit>{UNIT['length']}|inch|mm)(?![\w/])",
    )
    return tuple(
        re.compile(one, re.IGNORECASE)
        for one in (rf"{noun}[^.;,\d]{{0,20}}{figure}", rf"(?<![\d.]){figure}[^.;,\d]{{0,20}}\b{noun}")
    )


def drops_in(text: str) -> Iterator[tuple[str, float]]:
    """Each height of an edge, a deck or a fall written in a text, with the words and its SI value in m."""
    return _lengths(_drops(), text)


def _lengths(written: re.Pattern[str], text: str) -> Iterator[tuple[str, float]]:
    for match in written.finditer(text):
        si = _si(match["figure"], match["unit"], "length")
        if si is not None:
            yield " ".join(match[0].split()), si


@cache
def _drops() -> re.Pattern[str]:
    figure = rf"(?P<figure>{NUMBER})[\s\u00a0-]?(?P<unit>{UNIT['length']})(?![\w/])"
    return re.compile(rf"\b(?:edge|deck|drop|fall|height)s?\b[^.;,\d]{{0,30}}{figure}", re.IGNORECASE)


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= SAME * max(abs(one), abs(other))


def _rounded(match: re.Match[str], si: float, given: Quantity) -> bool:
    """Whether a figure is the one given in the units of the other system, rounded to its last place: 40 km/h are 24 mph on the strict side."""
    unit = SPELLED.get(match["unit"].casefold(), match["unit"])
    if (
        not given.unit
        or units.system_of(unit) == units.system_of(given.unit)
        or "both" in (units.system_of(unit), units.system_of(given.unit))
    ):
        return False
    figure = match["figure"].replace(",", "")
    step = 10.0 ** -len(figure.partition(".")[2])
    one, more = (units.parse(f"{value:.6f} {unit}", given.kind).si for value in (float(figure), float(figure) + step))
    return abs(si - given.si) < abs(more - one)


def digits(number: str) -> str:
    """The figures of a telephone number alone."""
    return re.sub(r"\D", "", number)


def phones_of(site: Site) -> frozenset[str]:
    """Every telephone number that the profile gives as one, as digits."""
    numbers = [c.number for c in site.emergency.contacts] + [r.phone for r in site.roles] + [site.rescue.external.phone]
    call = site.emergency
    numbers += [call.public.number, call.public.non_emergency, call.second.number, call.callback, call.report.number]
    return frozenset(digits(n) for n in numbers if n)


def phones_in(text: str, known: frozenset[str], language: str) -> Iterator[str]:
    """Telephone numbers in the text that the profile does not give, as written."""
    for like in LIKE_PHONE.finditer(text):
        match = next((m for m in PHONE.finditer(text, max(0, like.start() - 12)) if m.end() >= like.end()), None)
        if match is None or match.end() != like.end() or _is_citation(text, match, language):
            continue
        if not _known(digits(match[0]), known):
            yield match[0]
    if has_subjects(language) and any(len(k) == 3 for k in known):
        for match in _short(language).finditer(text):
            if match[2] not in known:
                yield match[2]


def _is_citation(text: str, match: re.Match[str], language: str) -> bool:
    """Whether it ends like a year, as numbers of decrees do, and no word of telephoning stands in front of it."""
    if not re.search(r"-(?:19|20)\d\d$", match[0]):
        return False
    before = text[max(0, match.start() - 40) : match.start()]
    return not (has_subjects(language) and _calling(language).search(before))


@cache
def _calling(language: str) -> re.Pattern[str]:
    return pattern(_data(language)["phone"]["words"], _file(language))


@cache
def _short(language: str) -> re.Pattern[str]:
    written = _data(language)["phone"]["short"]
    return pattern(written + r"(?![\w-]|\.\d)", _file(language), written)


def _known(number: str, known: frozenset[str]) -> bool:
    return any(number == k or (len(k) >= 7 and number.endswith(k)) or (len(number) >= 7 and k.endswith(number)) for k in known)


def duties_in(text: str, language: str) -> Iterator[tuple[str, str]]:
    """(must, must_not or may, what) of every duty that a sentence states without a condition in it."""
    pattern, kinds = _duty(language)
    for match in pattern.finditer(text):
        sentence = text[max(text.rfind(stop, 0, match.start()) for stop in (". ", "; ", ": ", "| ", "\n")) + 1 : match.end()]
        what = " ".join(WORD.findall(match[2].casefold()))
        if what.count(" ") >= 2 and not _conditions(language).search(sentence):
            yield kinds[match[1].casefold()], what


@cache
def _conditions(language: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, _data(language)['conditions']))})\b", re.IGNORECASE)


@cache
def _duty(language: str) -> tuple[re.Pattern[str], Mapping[str, str]]:
    kinds = {phrase: kind for kind, phrases in _data(language)["duties"].items() for phrase in phrases}
    longest = "|".join(re.escape(p) for p in sorted(kinds, key=len, reverse=True))
    return re.compile(rf"\b({longest})\s+([^.;:!?,()|\n]+)", re.IGNORECASE), kinds


def names_in(text: str, language: str) -> Iterator[tuple[str, str, str]]:
    """(place or role, first word, noun) of each name such as `north gate` or `shift supervisor`, in small letters."""
    data = _data(language)
    low = text.casefold()
    for match in _names(language).finditer(low):
        before = LAST_WORD.search(low, max(0, match.start() - 24), match.start())
        if before is None:
            continue
        first, noun = before[1], match[1]
        if noun in data["places"]:
            if first in data["which"]:
                yield "place", first, noun
        else:
            yield "role", first, noun


@cache
def _names(language: str) -> re.Pattern[str]:
    return re.compile(rf"\b({'|'.join(re.escape(n) for n in (*_data(language)['places'], *_data(language)['roles']))})\b")
