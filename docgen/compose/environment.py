"""The strict sandbox in which templates run: undefined names are errors, output is escaped, reads are traced."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import FileSystemBytecodeCache, FileSystemLoader, StrictUndefined, nodes
from jinja2.ext import Extension
from jinja2.sandbox import ImmutableSandboxedEnvironment

from docgen import __version__
from docgen.compose.escape import Markup, escape
from docgen.compose.trace import Trace
from docgen.errors import TemplateError
from docgen.records import Clause
from docgen.resources import data_folder
from docgen.site import Node, Quantity
from docgen.units import Interval
from docgen.words import languages, spelled

__all__ = ["ClauseTag", "Collector", "TracingSandbox", "environment"]

# an attribute list of the block itself; one that touches the word before it belongs to that word
MARKS = re.compile(r"\s\{:([^{}\n]*)\}\s*$")


class Collector:
    """What one composition gathers: the clauses in order, what was cited in order of first mention, and the drawings."""

    def __init__(self, document: str, show: Callable[[Quantity], str]) -> None:
        self.document = document
        self.show = show
        self.trace = Trace()
        self.clauses: list[Clause] = []
        self.cited: dict[str, Any] = {}
        self.figures: dict[str, Any] = {}
        self.depth = 0


class TracingSandbox(ImmutableSandboxedEnvironment):
    """Records every field of a model record that a template reads; refuses None in the output."""

    collector: Collector

    def getattr(self, obj: Any, attribute: str) -> Any:
        if not isinstance(obj, Node):
            return super().getattr(obj, attribute)
        if attribute.startswith("_") or not hasattr(obj, attribute):
            return super().getattr(obj, attribute)
        value = getattr(obj, attribute)
        self.collector.trace.read(obj, attribute, value)
        return value

    def getitem(self, obj: Any, argument: Any) -> Any:
        if isinstance(obj, Node):
            return self.getattr(obj, argument)
        return super().getitem(obj, argument)

    def print_value(self, value: Any) -> Any:
        """Every value that a template prints comes through here: escaped unless it is Markdown of our own."""
        match value:
            case Markup():
                return value
            case StrictUndefined():
                return value
            case None:
                raise TemplateError(f"{self.collector.document}: a template prints a value that the profile does not give")
            case Quantity():
                return escape(self.collector.show(value))
            case date():
                return Markup(value.isoformat())
            case Interval():
                return escape(value.text)
            case bool():
                raise TemplateError(f"{self.collector.document}: a template prints {value}; it must say it in words")
            case str() | int() | float():
                return escape(str(value))
            case _:
                raise TemplateError(f"{self.collector.document}: a template prints a {type(value).__name__}, not a value")


class ClauseTag(Extension):
    """`{% clause 'key' %}...{% endclause %}`, or `{% clause 'key', entity %}` for a clause about one record."""

    tags = {"clause"}  # noqa: RUF012  # the name and form that Jinja asks for

    def parse(self, parser):
        line = next(parser.stream).lineno
        arguments = [parser.parse_expression()]
        arguments.append(parser.parse_expression() if parser.stream.skip_if("comma") else nodes.Const(None))
        body = parser.parse_statements(("name:endclause",), drop_needle=True)
        return nodes.CallBlock(self.call_method("_clause", arguments), [], [], body).set_lineno(line)

    def _clause(self, key: str, entity: Any, caller: Callable[[], str]) -> str:
        collector: Collector = self.environment.collector
        anchor = key if entity is None else f"{key}.{entity.id if isinstance(entity, Node) else entity}"
        if collector.depth:
            raise TemplateError(f"{collector.document}: the clause '{key}' lies inside another clause")
        collector.trace.open()
        collector.depth += 1
        text = str(caller()).strip()
        collector.depth -= 1
        inputs, cites = collector.trace.close()
        if not text:
            return Markup("")
        clause = Clause(f"{collector.document}.{anchor}", text, inputs, cites)
        if any(c.id == clause.id for c in collector.clauses):
            raise TemplateError(f"{collector.document}: the clause id '{clause.id}' is used twice")
        collector.clauses.append(clause)
        return Markup(f"\n\n{_anchored(text, f'c.{anchor}', collector.document)}\n\n")


def _anchored(text: str, anchor: str, document: str) -> str:
    """The text with the clause id on its first block: a paragraph (numbered, unless it has classes of its own), or a caption."""
    first, gap, rest = text.partition("\n\n")
    if first.startswith("!!! "):
        return text
    if first.startswith(("|", "- ", "#", "> ", "1. ", "![")):
        raise TemplateError(f"{document}: the clause '{anchor}' must begin with a sentence or a caption")
    if marks := MARKS.search(first):
        first = f"{first[: marks.start()]}\n{{: #{anchor} {marks[1].strip()} }}"
    else:
        first = f"{first}\n{{: #{anchor} .clause }}"
    return f"{first}{gap}{rest}"


def _cache_folder() -> Path | None:
    """A per-user folder for compiled templates, or None where none can be written."""
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    folder = Path(base) / "docgen" / __version__
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


class _Spelled(FileSystemLoader):
    """Our own templates in the spelling of the country; a user's stay as they are, and so does what stands in expressions."""

    def __init__(self, own_templates: tuple[Path, ...], spelling: str) -> None:
        self.home = str(data_folder("templates"))
        super().__init__([*own_templates, self.home], encoding="utf-8")
        self.spelling = spelling

    def get_source(self, environment: Any, template: str) -> tuple[str, str, Callable[[], bool]]:
        source, filename, uptodate = super().get_source(environment, template)
        language = template.split("/")[1] if template.count("/") > 1 else "en"
        if filename.startswith(self.home) and language in languages():
            source = _respell(source, language, self.spelling)
        return source, filename, uptodate


EXPRESSION = re.compile(r"(\{\{.*?\}\}|\{%.*?%\})", re.DOTALL)
LITERAL = re.compile(r"'[^'\n]* [^'\n]*'|\"[^\"\n]* [^\"\n]*\"")  # a text of several words, which is no name


def _respell(source: str, language: str, spelling: str) -> str:
    parts = EXPRESSION.split(source)
    for place, part in enumerate(parts):
        if place % 2:
            parts[place] = LITERAL.sub(lambda found: spelled(found[0], language, spelling), part)
        else:
            parts[place] = spelled(part, language, spelling)
    return "".join(parts)


@cache
def environment(own_templates: tuple[Path, ...] = (), spelling: str = "us") -> TracingSandbox:
    """The sandbox. A user's template folders are searched before ours and may override one file."""
    folder = _cache_folder()
    env = TracingSandbox(
        loader=_Spelled(own_templates, spelling),
        undefined=StrictUndefined, autoescape=True, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
        auto_reload=False, extensions=[ClauseTag], bytecode_cache=FileSystemBytecodeCache(str(folder), f"__jinja2_{spelling}_%s.cache") if folder else None,
    )  # fmt: skip
    env.finalize = env.print_value
    allowed = {
        "length",
        "first",
        "last",
        "selectattr",
        "rejectattr",
        "map",
        "unique",
        "list",
        "sort",
        "groupby",
        "batch",
        "default",
    }
    env.filters = {name: f for name, f in env.filters.items() if name in allowed}
    return env
