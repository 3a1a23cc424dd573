"""Words of one language: labels and terms of the documents, sentences of the findings. Data in templates/words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from string import Formatter
from typing import Any, Literal, cast

from docgen import units
from docgen.codes.folder import Fallback
from docgen.data import Blocks, blocks, load, wrong
from docgen.errors import DataError, Refusal, TemplateError, Word
from docgen.errors import Value as Refused
from docgen.findings.facts import documents_of
from docgen.findings.model import Basis, Figure, Finding, Phrase, Terms, Usual, Value
from docgen.papers import found
from docgen.resources import data_folder
from docgen.site.facts import Fact

__all__ = [
    "WordMissing",
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


class WordMissing(DataError, KeyError):
    """A key that a file of words lacks; a KeyError too, so that a template may ask whether it is there."""

    def __str__(self) -> str:
        return str(self.args[0])


class _Section(dict[str, Any]):
    """A section of a file of words; to ask for a key that it lacks is an error that names file and line."""

    def __init__(self, entries: Mapping[str, Any], path: Path, steps: tuple[str, ...] = ()):
        super().__init__(entries)
        self._path, self._steps = path, steps

    def __missing__(self, key: str) -> Any:
        raise WordMissing(str(wrong(self._path, self._steps, f"the key '{key}' is missing; add it")))


def _file(name: str) -> Path:
    return data_folder("templates") / "words" / f"{name}.yaml"


def _sections(name: str, schema: str) -> Mapping[str, _Section]:
    """A file of words with sections of texts."""
    path = _file(name)
    sections = cast("Mapping[str, Mapping[str, Any]]", load(path, schema))
    return {key: _Section(section, path, (key,)) for key, section in sections.items()}


@cache
def languages() -> tuple[str, ...]:
    """Languages that have a words file."""
    return tuple(sorted(p.stem for p in (data_folder("templates") / "words").glob("*.yaml") if "." not in p.stem))


@cache
def words(language: str, spelling: str = "us") -> Mapping[str, Any]:
    """Labels, terms and stamp texts, in a spelling. TemplateError names the languages there are."""
    if language not in languages():
        raise TemplateError(f"there are no words for the language '{language}'; there are: {', '.join(languages())}")
    found = {key: value for key, value in _words_file(language).items() if key != "spelling"}
    return _spell(found, language, spelling)  # type: ignore[no-any-return]


@cache
def _words_file(language: str) -> Mapping[str, Any]:
    return cast("Mapping[str, Any]", load(_file(language), "words"))


def _spell(value: Any, language: str, spelling: str, steps: tuple[str, ...] = ()) -> Any:
    if isinstance(value, str):
        return spelled(value, language, spelling)
    if not isinstance(value, dict):
        return value
    entries = {key: _spell(inner, language, spelling, (*steps, key)) for key, inner in value.items()}
    return _Section(entries, _file(language), steps)


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


@cache
def findings_words(language: str) -> Blocks:
    """Title, message, action and why of every finding; an entry is parsed when it is asked for, since a check needs few."""
    return blocks(_file(f"findings/{language}"), "findings", under="findings")


def _sentence(finding: str, part: str, language: str) -> str:
    sentences = findings_words(language)
    if finding not in sentences:
        what = f"the finding '{finding}' has no sentences; add title, message, action and why"
        raise wrong(sentences.path, ("findings",), what)
    return cast("Mapping[str, str]", sentences[finding]).get(part, "")


@cache
def _refusals(language: str) -> Mapping[str, Mapping[str, str]]:
    return _sections(f"refusals/{language}", "refusals")


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

    sentence = entries["sentences"][refusal.name]
    values = {key: said(value) for key, value in refusal.values.items()}
    try:
        return str(sentence.format(**values))
    except (KeyError, IndexError, ValueError) as error:
        told = f"the braces cannot be filled ({error}); there are: {', '.join(sorted(values)) or 'none'}"
        raise wrong(_file(f"refusals/{language}"), ("sentences", refusal.name), told) from None


def fact_who(fact: Fact, language: str) -> str:
    """Who knows a fact that is asked for."""
    return str(words(language)["report"]["who"][fact.station])


def fact_why(fact: Fact, language: str) -> str:
    """What holds until a fact is known: the bay is closed, or the papers named stay drafts."""
    terms, documents = words(language)["report"], documents_of((fact,))
    why = terms["closes"] if fact.need == "A" else terms["drafts"] if documents else terms["later"]
    return str(why.format(documents=", ".join(_term(d, language, "us") for d in documents)))


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
        if value.text and len(set(units.ways(value.kind))) > 1:
            return units.show_as_written(units.Amount(value.si, value.kind, value.text, value.unit), value.toward)
        return units.show(value.si, value.kind, system, toward=value.toward)
    if isinstance(value, date):
        return value.isoformat()
    return str(value)


def _term(key: str, language: str, spelling: str) -> str:
    """A field or value of the profile as a reader says it; a path, an id or a name of the site's own stays as it is."""
    entries = words(language, spelling)
    if (paper := found(key)) is not None:
        return paper.called_in(language)
    for section in ("fields", "terms", "approvals"):
        if key in entries[section]:
            return str(entries[section][key])
    return key


@cache
def _usual(language: str) -> Mapping[str, str | Mapping[str, str]]:
    path = _file(f"practice/{language}")
    if not path.is_file():
        raise TemplateError(
            f"there are no words for the figures of the trade in '{language}'; add words/practice/{language}.yaml"
        )
    return _Section(cast("Mapping[str, Any]", load(path, "usual")), path)


def usual_text(name: str, system: str, language: str) -> str:
    """What a figure of the trade is. TemplateError for a language without a file, DataError for one that does not say it."""
    said = _usual(language)[name]
    return said if isinstance(said, str) else said[system]


def basis_text(basis: Basis, language: str) -> str:
    """What a finding rests on: the text cited, or in words what stands in for one."""
    return str(words(language)["basis"][basis.said]) if basis.said else basis.citation


def fallback_text(fallback: Fallback, language: str) -> str:
    """Whose law stands in for that of a part without a set of its own, and what is known of that part."""
    said = words(language)["stands_in"]
    text = said["used"].format(asked=fallback.called, name=fallback.name)
    if fallback.own_plan:
        text += said["own_plan"].format(asked=fallback.called)
    if (known := fallback.known) is not None:
        text += said["known"].format(says=known.says, citation=known.citation, basis=known.basis)
    return str(text)


OWN_WORDS = {"question", "questions"}  # values in words of our own list of questions, not of the profile


def figures_of(name: str, part: str, language: str) -> frozenset[str]:
    """The values that a sentence of a finding tells."""
    return frozenset(value for _, value, _, _ in Formatter().parse(_sentence(name, part, language)) if value is not None)


def finding_text(finding: Finding, part: str, language: str, system: str, spelling: str = "us") -> str:
    """One sentence of a finding (`title`, `message`, `action` or `why`) with this site's numbers in it."""
    template = spelled(_sentence(finding.name, part, language), language, spelling)
    try:
        names = figures_of(finding.name, part, language)
        if unknown := names - finding.values.keys():
            known = ", ".join(sorted(finding.values)) or "none"
            raise ValueError(f"there is no value '{sorted(unknown)[0]}'; there are: {known}")
        values = {n: figure_text(finding.values[n], system, language, spelling) for n in names}
        values |= {n: spelled(values[n], language, spelling) for n in names & OWN_WORDS}
        return template.format(**values)
    except ValueError as error:
        at = ("findings", finding.name, part)
        raise wrong(findings_words(language).path, at, f"the braces cannot be filled: {error}") from None


@cache
def _calculations(language: str) -> Mapping[str, Mapping[str, str]]:
    path = _file(f"calculations.{language}")
    if not path.is_file():
        raise TemplateError(f"templates/words/{path.name} does not exist; it says what each calculation means")
    return _sections(f"calculations.{language}", "calculations")


def meaning(kind: Literal["formulas", "terms"], key: str, language: str) -> str:
    """What a calculation computes, or what a symbol put into it stands for.

    TemplateError for a language without such a file, DataError where it does not say it.
    """
    return str(_calculations(language)[kind][key])
