"""One composition: a body, a frame or a sheet of one document in one language, with an environment and a collector of its own.

Nothing in here outlives a document, and no two documents share any of it; so any number may be composed at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache, wraps
from pathlib import Path
from typing import Any

import jinja2

from docgen import units
from docgen.compose.contexts import BodyContext, FrameContext, SheetContext
from docgen.compose.environment import Collector, TracingSandbox
from docgen.compose.escape import Markup, escape
from docgen.compose.helpers import Helpers, blank, filters, flag, held_together, rests_on_units
from docgen.compose.lawful import Lawful
from docgen.compose.legal import Legal
from docgen.compose.library import Library
from docgen.compose.oncards import OnCards
from docgen.compose.onsite import OnSite
from docgen.compose.rescuing import Rescuing
from docgen.compose.sheets import Sheets
from docgen.errors import TemplateError
from docgen.findings.model import Finding
from docgen.site import Quantity
from docgen.words import finding_text, spelled, spelling_table, usual_text, words

__all__ = ["Composition", "filled"]

SPELLINGS = ("us", "ca", "gb")
LATER = ("frame", "body", "assessed", "findings", "as_of", "papers", "happened")  # what a body is composed without


class Composition:
    """The templates of one body, one frame or one sheet, with all that they may ask."""

    def __init__(self, context: BodyContext | FrameContext | SheetContext, own: tuple[Path, ...] = ()) -> None:
        self.context = context
        self.inner = context if isinstance(context, BodyContext) else context.inner
        self.is_body = context is self.inner
        self.language, self.system = self.inner.language, self.inner.numbers.system
        self.spelling = self.inner.law.spelling
        self.words = words(self.language, self.spelling)
        self.section, self.before = "", list[str]()
        self.collector = Collector(self.inner.name, self._shown, self.is_body, self._rests_on_spelling)
        self.names = self._names()
        self.environment = TracingSandbox(self.collector, Library(self.spelling, own), self._filters())

    def render(self, stem: str) -> str:
        """One section by its file stem. TemplateError, naming the file, for a mistake in it."""
        self.section = self.inner.document.template(stem, self.language)
        self.before.append(_rendered(self.environment, self.section, self.names, LATER if self.is_body else ()))
        return self.before[-1]

    # --- names and filters ------------------------------------------------------------------------------------------------

    def _names(self) -> Mapping[str, Any]:
        lawful = Lawful(self.inner, self.words, self.collector)
        helpers = Helpers(self.inner.site, self.inner.numbers, self.words, self.collector, self.language, self.inner.planned)
        onsite, oncards = OnSite(helpers), OnCards(helpers)
        rescuing = Rescuing(
            self.inner.site, self.inner.numbers, self.inner.planned, self.words, self.collector, lawful.public_number
        )
        reading = {
            **lawful.functions(), **helpers.functions(), **onsite.functions(), **oncards.functions(), **rescuing.functions(),
        }  # fmt: skip
        if self.is_body:
            reading = {name: self._inside(name, function) for name, function in reading.items()}
        else:
            reading["finding_text"] = self._finding_text
        if isinstance(self.context, SheetContext):
            reading |= Legal(lawful, self.context.assessed.as_of, self.words).functions()
            reading |= Sheets(self.context, lawful, self.words, self.collector, self.before).functions()
        return {**self.context.names(), **reading, "blank": blank, "flag": flag, "term": self._term}

    def _inside(self, name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        """The function, refused outside a clause: what it reads would be in no trace."""

        @wraps(function)
        def called(*places: Any, **values: Any) -> Any:
            if not self.collector.trace.writing:
                raise TemplateError(f"{self.section}: {name}() reads the site and is called outside a clause; call it inside one")
            return function(*places, **values)

        return called

    def _filters(self) -> Mapping[str, Callable[..., Any]]:
        return {
            **filters(self.words, self.collector.trace),
            "need": self._rounded("up"), "have": self._rounded("down"), "near": self._rounded("nearest"),
            "as_written": self._as_written, "need_only": self._rounded("up", both=False), "have_only": self._rounded("down", both=False), "written": self._shown,
            "exact": self._exact, "figure_shown": self._figure, "term": self._term, "listed": self._listed, "sentence": _sentence,
            "count": len, "usual_meaning": self._usual_meaning, "spelled": lambda text: spelled(text, self.language, self.spelling),
        }  # fmt: skip

    def _term(self, key: str) -> str:
        try:
            text: str = self.words["terms"][key]
        except KeyError:
            raise TemplateError(f"{self.section} ({self.language}): the words have no term '{key}'") from None
        return text

    def _listed(self, values: Iterable[object], last: str | None = None) -> Markup:
        """`a, b and c`; every value is escaped on its own."""
        texts = [v if isinstance(v, Markup) else escape(str(v)) for v in values]
        joint = self._term("and") if last is None else last
        if len(texts) < 2:
            return Markup("".join(texts))
        # one text out of many: text + Markup would put the signs of HTML into names, and this is Markdown
        between = f"{joint} " if joint in (",", ";") else ", "
        return Markup(f"{between.join(texts[:-1])}{between if joint in (',', ';') else f' {joint} '}{texts[-1]}")

    def _finding_text(self, finding: Finding, part: str) -> str:
        return finding_text(finding, part, self.language, self.system, self.spelling)

    # --- figures and spelling, and what they rest on ------------------------------------------------------------------------

    def _rests_on_spelling(self, text: str) -> None:
        """A clause with a word in it that another country writes otherwise rests on the country."""
        if _varying(self.language).search(text.lower()):
            self.collector.trace.read(self.inner.site, "country", self.inner.site.country)

    def _shown(self, quantity: Quantity) -> str:
        """A quantity as the profile writes it, in brackets in the other units, rounded to the side that its field declares; a calculated one in the units of the site."""
        if not quantity.text:
            return self._rounded("nearest")(quantity)
        if not quantity.toward and len(set(units.ways(quantity.kind))) > 1:
            raise TemplateError(
                f"{self.section}: {quantity.path} is printed in two units, and its field does not declare toward which side it is rounded"
            )
        amount = units.Amount(quantity.si, quantity.kind, quantity.text, quantity.unit)
        return held_together(units.show_as_written(amount, quantity.toward or "nearest"))

    def _as_written(self, quantity: Quantity) -> str:
        """A figure of the site as its profile writes it, and nothing besides; for what is read in passing."""
        return self._shown(quantity).partition(" (")[0]

    def _rounded(self, toward: str, both: bool = True) -> Callable[[Quantity], str]:
        def filter_(quantity: Quantity) -> str:
            if both and quantity.text and len(set(units.ways(quantity.kind))) > 1:  # a figure of the site stays as it was written
                if {toward, quantity.toward} == {"up", "down"}:
                    raise TemplateError(
                        f"{self.section}: {quantity.path} is printed rounded {toward}, and its field declares {quantity.toward}"
                    )
                return self._shown(quantity)
            rests_on_units(self.inner.site, self.collector.trace)
            return held_together(units.show(quantity.si, quantity.kind, self.system, toward=toward, both=both))

        return filter_

    def _exact(self, quantity: Quantity | None, toward: str = "nearest") -> str:
        """A calculated figure to all its digits; what a step could not find is said to be not computed."""
        if quantity is None:
            return str(self.words["phrases"]["not_computed"])
        rests_on_units(self.inner.site, self.collector.trace)
        return held_together(units.exact(quantity.si, quantity.kind, self.system, toward=toward))

    def _usual_meaning(self, name: str) -> str:
        rests_on_units(self.inner.site, self.collector.trace)
        return usual_text(name, self.system, self.language)

    def _figure(self, figure: Any) -> str:
        rests_on_units(self.inner.site, self.collector.trace)
        return held_together(units.show(figure.si, figure.kind, self.system, toward="nearest"))


def filled(template: str, document: str, values: Mapping[str, Any]) -> str:
    """A paper of our own, beside the documents: its template filled with plain values; it sees nothing else."""
    sandbox = TracingSandbox(Collector(document, str, is_body=False), Library("us"), {})
    return _rendered(sandbox, template, values, ())


def _rendered(sandbox: TracingSandbox, name: str, names: Mapping[str, Any], later: tuple[str, ...]) -> str:
    try:
        return sandbox.get_template(name).render(names)
    except jinja2.UndefinedError as error:
        found = re.match(r"'(\w+)' is undefined", error.message or "")
        told = "; a body is composed without it, since its text is approved as it stands" if found and found[1] in later else ""
        raise TemplateError(f"{name}: {error.message}{told}") from error
    except jinja2.TemplateSyntaxError as error:
        raise TemplateError(f"{error.filename or name}:{error.lineno}: {error.message}") from error
    except jinja2.TemplateNotFound as error:
        raise TemplateError(f"the template '{error.name}' does not exist") from error


@cache
def _varying(language: str) -> re.Pattern[str]:
    """Words of the language that are written otherwise in one of its countries."""
    tables = [spelling_table(language, spelling) for spelling in SPELLINGS]
    known = {word for table in tables for pair in table.items() for word in pair}
    return re.compile(rf"\b(?:{'|'.join(sorted(map(re.escape, known), key=len, reverse=True)) or '(?!)'})\b")


def _sentence(text: str) -> Markup:
    """Text of the site as a sentence: first letter raised, one full stop at the end."""
    text = " ".join(text.split()).rstrip(".")
    return Markup(escape(text[:1].upper() + text[1:]) + ("" if text.endswith(("!", "?")) else "."))
