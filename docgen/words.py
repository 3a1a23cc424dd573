"""Words of one language: labels and terms of the documents, sentences of the findings. Data in templates/words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache
from string import Formatter
from typing import Any

from docgen import units
from docgen.assess.model import Figure, Finding
from docgen.errors import TemplateError
from docgen.resources import data_folder

__all__ = ["figure_text", "finding_text", "findings_words", "languages", "words"]


def _load(path) -> dict[str, Any]:
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load(path.read_text(encoding="utf-8"), Loader=loader)


@cache
def languages() -> tuple[str, ...]:
    """Languages that have a words file."""
    return tuple(sorted(p.stem for p in (data_folder("templates") / "words").glob("*.yaml")))


@cache
def words(language: str) -> Mapping[str, Any]:
    """Labels, terms and stamp texts. TemplateError names the languages there are."""
    if language not in languages():
        raise TemplateError(f"there are no words for the language '{language}'; there are: {', '.join(languages())}")
    return _load(data_folder("templates") / "words" / f"{language}.yaml")


@cache
def findings_words(language: str) -> Mapping[str, Mapping[str, str]]:
    """Title, message, action and why of every finding."""
    return _load(data_folder("templates") / "words" / "findings" / f"{language}.yaml")["findings"]


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
