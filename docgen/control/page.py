"""Papers of document control (change brief, clause register, posting list, contents of a record) as documents for the writers.

Their templates lie in `templates/control/<language>/` and see plain values only.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from docgen.codes import LawAlone
from docgen.compose.composition import filled
from docgen.compose.document import Document
from docgen.compose.escape import Markup, escape
from docgen.compose.number import number
from docgen.compose.tree import parse
from docgen.control.say import control_words
from docgen.site import Site
from docgen.words import words

__all__ = ["paper"]


def paper(name: str, title: str, values: Mapping[str, object], site: Site, code: LawAlone, day: date, language: str) -> Document:
    """One paper in a language: its template filled with plain values (text, whole numbers, lists and mappings of these), parsed and numbered."""
    text = filled(f"control/{language}/{name}.md", name, {**values, "day": day, "t": control_words(language), "blank": _blank})
    markdown = f"# {escape(title)}\n\n{text.strip()}\n"
    labels = words(language)["labels"]
    return Document(
        name=name, title=title, language=language if "-" in language else f"{language}-{site.country}",
        site_name=site.site.name, number="", revision="", stamp="", date=day, paper=site.document.paper or code.paper,
        layout="report", contents=False, body_pt=9.5, markdown=markdown, tree=number(parse(markdown), labels), labels=labels,
    )  # fmt: skip


def _blank(what: str) -> Markup:
    return Markup(f"**{escape(what)}**{{: .blank }}")
