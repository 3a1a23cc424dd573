"""Words of one language: labels and terms of the documents, sentences of the findings. Data in templates/words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from string import Formatter
from typing import Any, Literal

from docgen import units
from docgen.codes.folder import Fallback
from docgen.errors import Refusal, TemplateError, Word
from docgen.errors import Value as Refused
from docgen.findings.model import Basis, Figure, Finding, Phrase, Terms, Usual, Value
from docgen.resources import data_folder

__all__ = [
    "basis_text",
    "fallback_text",
    "figure_text",
    "finding_text",
    "findings_words",
    "languages",
    "meaning",
    "refusal_text",
    "refusal_words",
    "spelled",
    "spelling_table",
    "usual_text",
    "words",
]


_NO_WAY = 0.003  # m: a length that prints as 0.0 ft


def _parse(text: str) -> dict[str, Any]:
    import yaml

    found: dict[str, Any] = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    return found


@cache
def languages() -> tuple[str, ...]:
    """Languages that have a words file."""
    return tuple(sorted(p.stem for p in (data_folder("templates") / "words").glob("*.yaml") if "." not in p.stem))


@cache
def words(language: str, spelling: str = "us") -> Mapping[str, Any]:
    """Labels, terms and stamp texts, in a spelling. TemplateError names the languages there are."""
    if language not in languages():
        raise TemplateError(f"there are no words for the language '{language}'; there are: {', '.join(languages())}")
    found = _words_file(language)
    return {key: _spell(value, language, spelling) for key, value in found.items() if key != "spelling"}


@cache
def _words_file(language: str) -> Mapping[str, Any]:
    return _parse((data_folder("templates") / "words" / f"{language}.yaml").read_text(encoding="utf-8"))


def _spell(value: Any, language: str, spelling: str) -> Any:
    if isinstance(value, str):
        return spelled(value, language, spelling)
    return {key: _spell(inner, language, spelling) for key, inner in value.items()} if isinstance(value, dict) else value


def spelling_table(language: str, spelling: str) -> Mapping[str, str]:
    """Words of the language that a spelling writes otherwise, in small letters -> as it writes them."""
    table: Mapping[str, str] = _words_file(language).get("spelling", {}).get(spelling, {})
    return table


@cache
def _variants(language: str, spelling: str) -> tuple[re.Pattern[str], Mapping[str, str]] | None:
    table = spelling_table(language, spelling)
    if not table:
        return None
    longest = sorted(table, key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, longest))})\b", re.IGNORECASE), table


def spelled(text: str, language: str, spelling: str) -> str:
    """Our own text with the words that a country writes otherwise put in its way; never for text of a profile or of a law.

    >>> spelled("Center of the bay; license number", "en", "gb")
    'Centre of the bay; licence number'
    """
    found = _variants(language, spelling)
    if found is None:
        return text
    pattern, table = found

    def one(match: re.Match[str]) -> str:
        right = table[match[0].lower()]
        return right[:1].upper() + right[1:] if match[0][:1].isupper() else right

    return pattern.sub(one, text)


class FindingsWords(Mapping[str, Mapping[str, str]]):
    """Title, message, action and why of every finding; an entry is parsed when it is asked for, since a check needs few."""

    def __init__(self, text: str) -> None:
        starts = [(m[1], m.start(), m.end()) for m in re.finditer(r"^  ([a-z0-9-]+):\n", text, re.MULTILINE)]
        ends = [*(start for _, start, _ in starts[1:]), len(text)]
        self._text = {name: text[begin:end] for (name, _, begin), end in zip(starts, ends, strict=True)}
        self._parsed: dict[str, Mapping[str, str]] = {}

    def __getitem__(self, name: str) -> Mapping[str, str]:
        if name not in self._parsed:
            self._parsed[name] = _parse(self._text[name])
        return self._parsed[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._text)

    def __len__(self) -> int:
        return len(self._text)


@cache
def findings_words(language: str) -> FindingsWords:
    """The sentences of all findings in a language."""
    path = data_folder("templates") / "words" / "findings" / f"{language}.yaml"
    return FindingsWords(path.read_text(encoding="utf-8"))


@cache
def _refusals(language: str) -> Mapping[str, Mapping[str, str]]:
    return _parse((data_folder("templates") / "words" / "refusals" / f"{language}.yaml").read_text(encoding="utf-8"))


def refusal_words(language: str) -> Mapping[str, str]:
    """Pieces of the sentences of refusals."""
    return _refusals(language)["words"]


def refusal_text(refusal: Refusal, language: str) -> str:
    """The sentence of a refusal with its values in it."""
    entries = _refusals(language)

    def said(value: Refused) -> str:
        if isinstance(value, Word):
            return entries["words"][value]
        return ", ".join(value) if isinstance(value, tuple) else str(value)

    return entries["sentences"][refusal.name].format(**{key: said(value) for key, value in refusal.values.items()})


def figure_text(value: Value, system: str, language: str = "en", spelling: str = "us") -> str:
    """A value of a finding as it is printed. A way out that comes to nothing is told in a word."""
    if isinstance(value, Phrase):
        said = {name: figure_text(inner, system, language, spelling) for name, inner in value.values}
        return str(words(language)["values"][value.key]).format(**said)
    if isinstance(value, Usual):
        return usual_text(value.name, system, language)
    if isinstance(value, Terms):
        return ", ".join(_term(key, language, spelling) for key in value.keys)
    if isinstance(value, Figure):
        if value.toward == "way":
            return (
                units.show(value.si, value.kind, system, toward="down")
                if value.si > _NO_WAY
                else words(language)["report"]["no_way"]
            )
        return units.show(value.si, value.kind, system, toward=value.toward)
    if isinstance(value, date):
        return value.isoformat()
    return str(value)


def _term(key: str, language: str, spelling: str) -> str:
    """A field or value of the profile as a reader says it; a path, an id or a name of the site's own stays as it is."""
    entries = words(language, spelling)
    for section in ("fields", "terms", "approvals"):
        if key in entries[section]:
            return str(entries[section][key])
    return key


@cache
def _usual(language: str) -> Mapping[str, str | Mapping[str, str]]:
    path = data_folder("templates") / "words" / "practice" / f"{language}.yaml"
    if not path.is_file():
        raise TemplateError(
            f"there are no words for the figures of the trade in '{language}'; add words/practice/{language}.yaml"
        )
    return _parse(path.read_text(encoding="utf-8"))


def usual_text(name: str, system: str, language: str) -> str:
    """What a figure of the trade is. TemplateError for a language that does not say it."""
    said = _usual(language).get(name)
    if said is None:
        raise TemplateError(f"words/practice/{language}.yaml does not say what '{name}' is; add it")
    return said if isinstance(said, str) else said[system]


def basis_text(basis: Basis, language: str) -> str:
    """What a finding rests on: the text cited, or in words what stands in for one."""
    return str(words(language)["basis"][basis.said]) if basis.said else basis.citation


def fallback_text(fallback: Fallback, language: str) -> str:
    """Whose law stands in for that of a part without a set of its own, and what is known of that part."""
    said = words(language)["stands_in"]
    text = said["used"].format(asked=fallback.asked, name=fallback.name, code=fallback.code)
    if fallback.own_plan:
        text += said["own_plan"].format(asked=fallback.asked)
    if (known := fallback.known) is not None:
        text += said["known"].format(says=known.says, citation=known.citation, basis=known.basis)
    return str(text)


OWN_WORDS = {"question", "questions"}  # values in words of our own list of questions, not of the profile


def finding_text(finding: Finding, part: str, language: str, system: str, spelling: str = "us") -> str:
    """One sentence of a finding (`title`, `message`, `action` or `why`) with this site's numbers in it."""
    template = spelled(findings_words(language)[finding.name].get(part, ""), language, spelling)
    names = {name for _, name, _, _ in Formatter().parse(template) if name}
    values = {n: figure_text(finding.values[n], system, language, spelling) for n in names}
    values |= {n: spelled(values[n], language, spelling) for n in names & OWN_WORDS}
    return template.format(**values)


@cache
def _calculations(language: str) -> Mapping[str, Mapping[str, str]]:
    path = data_folder("templates") / "words" / f"calculations.{language}.yaml"
    if not path.is_file():
        raise TemplateError(f"templates/words/{path.name} does not exist; it says what each calculation means")
    return _parse(path.read_text(encoding="utf-8"))


def meaning(kind: Literal["formulas", "terms"], key: str, language: str) -> str:
    """What a calculation computes, or what a symbol put into it stands for. TemplateError where a language does not say it."""
    try:
        return _calculations(language)[kind][key]
    except KeyError:
        raise TemplateError(
            f"templates/words/calculations.{language}.yaml: {kind}: '{key}' is missing; say what it means"
        ) from None
