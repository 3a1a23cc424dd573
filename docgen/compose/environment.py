"""The strict sandbox in which the templates of one document run: undefined names are errors, output is escaped, reads are traced.

Each composition makes its own; what they share is the code of our compiled templates (`library.py`) and nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

from jinja2 import BaseLoader, StrictUndefined, nodes, pass_context
from jinja2.ext import Extension
from jinja2.parser import Parser
from jinja2.runtime import Context
from jinja2.sandbox import ImmutableSandboxedEnvironment

from docgen.codes import Answer
from docgen.compose.drawing import Drawing
from docgen.compose.escape import Markup, escape
from docgen.compose.parsed import CLAUSE
from docgen.compose.trace import Trace
from docgen.errors import TemplateError
from docgen.records import Clause
from docgen.site import LocalRule, Node, Quantity
from docgen.trade.practice import Practice
from docgen.units import Interval

__all__ = ["Collector", "TracingSandbox", "without_marks"]

# an attribute list of the block itself; one that touches the word before it belongs to that word
MARKS = re.compile(r"\s\{:([^{}\n]*)\}\s*$")
FIGURE = re.compile(r"!\[(?:\\.|[^\]\\])*\]\((?!symbol:)")  # a symbol at the start of a sentence is none
BEGIN, END = "\x02", "\x03"  # around the text of a clause until its section is put together; no text of a profile holds them
BUILT_IN = (
    "length", "first", "last", "selectattr", "rejectattr", "map", "unique", "list", "sort", "groupby", "batch", "default",
)  # fmt: skip


class Collector:
    """What one composition gathers: the clauses in order, what was cited in order of first mention, and the drawings.

    `show` prints a quantity; `is_body` is False for a frame, which has no clauses; `written` sees the text of a clause while
    its trace is open.
    """

    def __init__(
        self,
        document: str,
        show: Callable[[Quantity], str],
        is_body: bool = True,
        written: Callable[[str], None] | None = None,
    ) -> None:
        self.document, self.show, self.is_body, self.written = document, show, is_body, written
        self.trace = Trace()
        self.clauses: list[Clause] = []
        self.cited: dict[str, Answer | Practice | LocalRule] = {}
        self.figures: dict[str, Drawing] = {}


class ClauseTag(Extension):
    """`{% clause 'key' %}...{% endclause %}`, or `{% clause 'key', entity %}` for a clause about one record."""

    tags = {"clause"}  # noqa: RUF012  # the name and form that Jinja asks for

    def parse(self, parser: Parser) -> nodes.CallBlock:
        line = next(parser.stream).lineno
        arguments = [parser.parse_expression()]
        arguments.append(parser.parse_expression() if parser.stream.skip_if("comma") else nodes.Const(None))
        body = parser.parse_statements(("name:endclause",), drop_needle=True)
        call = nodes.Call(nodes.EnvironmentAttribute(CLAUSE), arguments, [], None, None)
        clause = nodes.CallBlock(call, [], [], body)
        clause.set_lineno(line)
        return clause


class TracingSandbox(ImmutableSandboxedEnvironment):
    """Records every field of a model record that a template reads; refuses None in the output."""

    def __init__(self, collector: Collector, loader: BaseLoader, own_filters: Mapping[str, Callable[..., object]]) -> None:
        # not optimized: a folded constant would carry words of this composition into code that others run too
        super().__init__(
            loader=loader, undefined=StrictUndefined, finalize=self.print_value, autoescape=True, trim_blocks=True, lstrip_blocks=True,
            keep_trailing_newline=True, auto_reload=False, optimized=False, extensions=[ClauseTag],
        )  # fmt: skip
        self.collector = collector
        self.globals = {}
        self.filters = {name: self.filters[name] for name in BUILT_IN} | dict(own_filters)
        self.tests["contains"] = lambda values, item: item in values

    def getattr(self, obj: Any, attribute: str) -> Any:
        """A read of an attribute; one of a model record is traced."""
        if not isinstance(obj, Node) or attribute.startswith("_") or not hasattr(obj, attribute):
            return super().getattr(obj, attribute)
        value = getattr(obj, attribute)
        self.collector.trace.read(obj, attribute, value)
        return value

    def getitem(self, obj: Any, argument: Any) -> Any:
        """A read of an item; one of a model record is traced."""
        if isinstance(obj, Node):
            return self.getattr(obj, argument)
        return super().getitem(obj, argument)

    @pass_context
    def print_value(self, context: Context, value: object) -> object:
        """Every value that a template prints comes through here: escaped unless it is Markdown of our own."""
        match value:
            case Markup() | StrictUndefined():
                return value
            case None:
                raise TemplateError(f"{context.name}: a template prints a value that the profile does not give")
            case Quantity():
                return escape(self.collector.show(value))
            case date():
                return Markup(value.isoformat())
            case Interval():
                return escape(value.text)
            case bool():
                raise TemplateError(f"{context.name}: a template prints {value}; it must say it in words")
            case str() | int() | float():
                return escape(str(value))
            case _:
                raise TemplateError(f"{context.name}: a template prints a {type(value).__name__}, not a value")

    def kept(self, value: object, name: str) -> object:
        """What is set outside a clause and used inside one: a record or nothing, so that its fields are read inside."""
        if value is not None and (not isinstance(value, Node) or isinstance(value, Quantity)):
            raise TemplateError(
                f"{self.collector.document}: '{name}' is a value set outside a clause and used inside one; set it inside the clause, "
                f"where it is traced"
            )
        return value

    def kept_each(self, values: Iterable[object], name: str) -> Iterable[object]:
        """What a loop outside a clause runs over while a clause in it uses each: records."""
        found = values if isinstance(values, tuple | list) else list(values)
        for value in found:
            self.kept(value, name)
        return found

    def write_clause(self, key: str, entity: object, caller: Callable[[], str]) -> str:
        """One clause: its text, and what was read while it was written. An empty one is left out."""
        collector, trace = self.collector, self.collector.trace
        anchor = key if entity is None else f"{key}.{getattr(entity, 'id', entity)}"
        if not collector.is_body:
            raise TemplateError(
                f"{collector.document}: the clause '{key}' stands in a frame or in a paper without a digest; clauses belong to a body"
            )
        if trace.writing:
            raise TemplateError(f"{collector.document}: the clause '{key}' lies inside another clause")
        trace.open()
        text = str(caller()).strip()
        if collector.written is not None:
            collector.written(text)
        inputs, cites = trace.close()
        if not text:
            return Markup("")
        clause = Clause(f"{collector.document}.{anchor}", text, inputs, cites)
        if any(c.id == clause.id for c in collector.clauses):
            raise TemplateError(f"{collector.document}: the clause id '{clause.id}' is used twice")
        collector.clauses.append(clause)
        return Markup(f"\n\n{BEGIN}{_anchored(text, f'c.{anchor}', collector.document)}{END}\n\n")


def without_marks(text: str, place: str) -> str:
    """A rendered section of a body without the marks around its clauses. TemplateError for text outside of them.

    Only headings may stand outside a clause: whatever else is printed would be in no digest, and no approval would rest on it.
    """
    outside = re.sub(f"{BEGIN}.*?{END}", "", text, flags=re.DOTALL)
    if stray := next((line.strip() for line in outside.split("\n") if line.strip() and not line.startswith("#")), None):
        raise TemplateError(f"{place}: '{stray[:60]}' stands outside a clause of the body; put it into one")
    return text.replace(BEGIN, "").replace(END, "")


def _anchored(text: str, anchor: str, document: str) -> str:
    """The text with the clause id on its first block: a paragraph (numbered, unless it has classes of its own), or a caption."""
    first, gap, rest = text.partition("\n\n")
    if first.startswith("!!! "):
        return text
    if first.startswith(("|", "- ", "#", "> ", "1. ")) or FIGURE.match(first):
        raise TemplateError(f"{document}: the clause '{anchor}' must begin with a sentence or a caption")
    if marks := MARKS.search(first):
        first = f"{first[: marks.start()]}\n{{: #{anchor} {marks[1].strip()} }}"
    else:
        first = f"{first}\n{{: #{anchor} .clause }}"
    return f"{first}{gap}{rest}"
