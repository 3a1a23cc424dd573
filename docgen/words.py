"""Words of one language: labels and terms of the documents, sentences of the findings. Data in templates/words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from string import Formatter
from typing import Any

from docgen import units
from docgen.assess.model import Figure, Finding
from docgen.errors import TemplateError
from docgen.resources import data_folder

__all__ = ["figure_text", "finding_text", "findings_words", "languages", "words"]


def _parse(text: str) -> dict[str, Any]:
    import yaml

    return yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))


@cache
def languages() -> tuple[str, ...]:
    """Languages that have a words file."""
    return tuple(sorted(p.stem for p in (data_folder("templates") / "words").glob("*.yaml")))


@cache
def words(language: str) -> Mapping[str, Any]:
    """Labels, terms and stamp texts. TemplateError names the languages there are."""
    if language not in languages():
        raise TemplateError(f"there are no words for the language '{language}'; there are: {', '.join(languages())}")
    return _parse((data_folder("templates") / "words" / f"{language}.yaml").read_text(encoding="utf-8"))


class FindingsWords(Mapping):
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


def figure_text(value: Figure | date | int | str, system: str) -> str:
    """A value of a finding as it is printed."""
    if isinstance(value, Figure):
        return units.show(value.si, value.kind, system, toward=value.toward)
    if isinstance(value, date):
        return value.isoformat()
    return str(value)


def finding_text(finding: Finding, part: str, language: str, system: str) -> str:
    """One sentence of a finding (`title`, `message`, `action` or `why`) with this site's numbers in it."""
    template = findings_words(language)[finding.name].get(part, "")
    names = {name for _, name, _, _ in Formatter().parse(template) if name}
    return template.format(**{n: figure_text(finding.values[n], system) for n in names})
