"""Body first, frame second: the clauses of a document with their digest, and then the pages around them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from docgen import units
from docgen.codes import Code
from docgen.compose.digest import sealed, text_digest
from docgen.compose.document import Document
from docgen.compose.drawing import Drawing
from docgen.compose.environment import Collector, TracingSandbox, environment
from docgen.compose.escape import Markup, escape
from docgen.compose.helpers import Helpers, filters, held_together
from docgen.compose.lawful import Lawful
from docgen.compose.number import number
from docgen.compose.outline import Outline
from docgen.compose.tree import parse
from docgen.engineering.model import Working
from docgen.errors import TemplateError
from docgen.findings.model import Assessment
from docgen.frozen import frozen
from docgen.records import Text
from docgen.site import Quantity, Site
from docgen.trade.practice import practice
from docgen.words import fallback_text, finding_text, meaning, spelled, usual_text, words

__all__ = ["Body", "Frame", "compose_body", "compose_document"]


@frozen
class Body(Text):
    """A text as it is composed: with its Markdown, the sources that it cites, and its drawings."""

    markdown: str
    cited: Mapping[str, Any] = field(compare=False)
    figures: Mapping[str, Drawing] = field(compare=False, default_factory=dict)


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around a body: the stamp with its reasons, the digests of all documents, the state of each review.

    `state` is draft, for-approval or issued; an issued document has no stamp and no reasons.
    """

    state: str
    stamp: str
    reasons: tuple[str, ...]
    revision: str
    reviews: tuple[Mapping[str, Any], ...]
    digests: Mapping[str, str]
    history: tuple[Mapping[str, Any], ...] = ()
    files: tuple[Mapping[str, Any], ...] = ()
    elements: Mapping[str, Any] = field(default_factory=dict)  # of the element index: plan, rescue, notice -> Index


def compose_body(
    outline: Outline, language: str, site: Site, code: Code, assessed: Assessment, own: tuple[Path, ...] = ()
) -> Body:
    """Render the sections in order. A section that has nothing to say for this site is left out."""
    env = environment(own, code.spelling)
    collector = _collector(env, outline, language, site, code, assessed)
    parts, sections = [], {}
    for stem in outline.sections:
        before = len(collector.clauses)
        parts.append(_render(env, outline.template(stem, language)))
        sections.update((clause.id, stem) for clause in collector.clauses[before:])
    markdown = _tidy("\n\n".join(p.strip() for p in parts if p.strip()))
    clauses = tuple(sealed(clause, outline.name, language, sections[clause.id]) for clause in collector.clauses)
    return Body(
        document=outline.name,
        language=language,
        digest=text_digest(outline.name, language, clauses, markdown),
        clauses=clauses,
        markdown=markdown,
        cited=dict(collector.cited),
        figures=dict(collector.figures),
    )


def compose_document(
    outline: Outline,
    body: Body,
    frame: Frame,
    site: Site,
    code: Code,
    assessed: Assessment,
    as_of: date,
    own: tuple[Path, ...] = (),
) -> Document:
    """Put the frame around the body, parse the whole once, and number it."""
    env = environment(own, code.spelling)
    language = body.language
    collector = _collector(env, outline, language, site, code, assessed)
    env.globals["frame"] = frame
    env.globals["body"] = body
    title = outline.title[language]
    front = [_render(env, outline.template(stem, language)) for stem in outline.front]
    back = [_render(env, outline.template(stem, language)) for stem in outline.back]
    pieces = [f"# {escape(title)}", *front, body.markdown, *back]
    markdown = _tidy("\n\n".join(p.strip() for p in pieces if p.strip())) + "\n"
    labels = words(language, code.spelling)["labels"]
    return Document(
        name=outline.name, title=title, language=_full_language(language, site), site_name=site.site.name,
        number=site.document.number or "", revision=frame.revision, stamp=frame.stamp, date=as_of,
        paper=site.document.paper or code.paper, layout=outline.layout, contents=outline.contents, body_pt=outline.body_pt,
        markdown=markdown, tree=number(parse(markdown), labels), labels=labels, figures={**body.figures, **collector.figures},
    )  # fmt: skip


def _full_language(language: str, site: Site) -> str:
    """`en` at a site in the United States is en-US, so that spelling and hyphenation follow the place."""
    return language if "-" in language else f"{language}-{site.site.jurisdiction[:2]}"


def _tidy(markdown: str) -> str:
    return re.sub(r"\n{3,}", "\n\n", re.sub(r"[ \t]+$", "", markdown, flags=re.MULTILINE)).strip()


def _render(env: TracingSandbox, name: str) -> str:
    import jinja2

    try:
        return env.get_template(name).render()
    except jinja2.UndefinedError as error:
        raise TemplateError(f"{name}: {error.message}") from error
    except jinja2.TemplateSyntaxError as error:
        raise TemplateError(f"{error.filename or name}:{error.lineno}: {error.message}") from error
    except jinja2.TemplateNotFound as error:
        raise TemplateError(f"the template '{error.name}' does not exist") from error


def _collector(env: TracingSandbox, outline: Outline, language: str, site: Site, code: Code, assessed: Assessment) -> Collector:
    """Set the sandbox up for one document: globals, filters and a fresh collector."""
    system = assessed.system
    spelling = code.spelling
    wording = words(language, spelling)
    terms = wording["terms"]

    def shown(quantity: Quantity, toward: str = "nearest") -> str:
        if quantity.text:
            amount = units.Amount(quantity.si, quantity.kind, quantity.text, quantity.unit)
            return held_together(units.show_as_written(amount, toward))
        return held_together(units.show(quantity.si, quantity.kind, system, toward=toward))

    def rounded(toward: str, both: bool = True) -> Callable[[Quantity], str]:
        def filter_(quantity: Quantity) -> str:
            return held_together(units.show(quantity.si, quantity.kind, system, toward=toward, both=both))

        return filter_

    collector = Collector(outline.name, shown)
    env.collector = collector

    def term(key: str) -> str:
        if key not in terms:
            raise TemplateError(f"{outline.name} ({language}): the words have no term '{key}'")
        return terms[key]

    def law_alone(key: str) -> Any:
        answer = code.ask(key)
        collector.trace.cite(f"law:{key}")
        if answer.state != "silent":
            collector.cited.setdefault(answer.citation, answer)
        return answer

    def binding(key: str) -> Any:
        answer = assessed.binding.ask(key)
        collector.trace.cite(f"law:{key}")
        if not answer.silent:
            collector.cited.setdefault(answer.citation, answer)
        return answer

    def usual(name: str) -> Any:
        figure = practice(name, system, site.country)
        collector.trace.cite(f"practice:{name}")
        collector.cited.setdefault(figure.source, figure)
        return figure

    def listed(values: Any, last: str | None = None) -> Markup:
        """`a, b and c`; every value is escaped on its own."""
        texts = [v if isinstance(v, Markup) else escape(str(v)) for v in values]
        joint = term("and") if last is None else last
        if len(texts) < 2:
            return Markup("".join(texts))
        return Markup(", ".join(texts[:-1]) + (", " if joint == "," else f" {joint} ") + texts[-1])

    helpers = Helpers(site, assessed, wording, collector, Lawful(code, language))
    env.globals.update(
        site=site, code=code, assessed=assessed, document=outline, language=language, system=system, law_alone=law_alone, binding=binding, usual=usual, term=term,
        cite=lambda key: escape(law_alone(key).citation), finding_text=lambda f, part: finding_text(f, part, language, system, spelling),
        meaning=lambda step: _meaning(step, language, collector),
        **helpers.functions(),
    )  # fmt: skip
    env.filters.update(
        need=rounded("up"), have=rounded("down"), near=rounded("nearest"), need_only=rounded("up", both=False),
        have_only=rounded("down", both=False), term=term, listed=listed, written=shown,
        sentence=_sentence, count=len, usual_meaning=lambda name: usual_text(name, system, language),
        stood_in=lambda fallback: fallback_text(fallback, language), **filters(system, wording), spelled=lambda text: spelled(text, language, spelling),
    )  # fmt: skip
    env.tests["contains"] = lambda values, item: item in values
    return collector


def _meaning(step: Working, language: str, collector: Collector) -> str:
    """What a step of a working computes, in the document's language; a clause that says it rests on it."""
    text = meaning("formulas", step.name, language)
    collector.trace.read(step, "meaning", text)
    return text


def _sentence(text: str) -> Markup:
    """Text of the site as a sentence: first letter raised, one full stop at the end."""
    text = " ".join(text.split()).rstrip(".")
    return Markup(escape(text[:1].upper() + text[1:]) + ("" if text.endswith(("!", "?")) else "."))
