"""Loads the YAML files of our own, and nothing else does: `load` a whole file, `blocks` one whose entries are read when asked for.

A key that stands twice, a key that the file's JSON Schema does not know and a value of a wrong type are errors that name file, line
and column, what is wrong and what would be right. Plain text is true, false, null, a whole number or a day such as 2026-03-02 where
it looks like one, and text otherwise: what versions of YAML read differently (yes, 12:30, 1e3, 0.5) stays text.

    rows = load(HERE / "practice.yaml", "practice")
    python -m docgen.data              checks every file, regular expressions too
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple, NoReturn

import yaml
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from docgen.errors import DataError, DocgenError
from docgen.resources import PACKAGE, data_folder
from docgen.shapes import Fault, Key, Keyed, Value, shape

if TYPE_CHECKING:
    from yaml import SafeLoader as _Quickest
else:
    _Quickest = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

__all__ = ["Blocks", "Value", "blocks", "files", "load", "pattern", "read", "wrong"]

_TAG = "tag:yaml.org,2002:"
_TEXT = f"{_TAG}str"
_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]*)")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_WORDS = MappingProxyType({"true": f"{_TAG}bool", "false": f"{_TAG}bool", "null": f"{_TAG}null"})
_SCALARS: Mapping[str, Callable[[str], Value]] = MappingProxyType(
    {
        _TEXT: str,
        f"{_TAG}bool": lambda text: text == "true",
        f"{_TAG}null": lambda text: None,
        f"{_TAG}int": int,
        f"{_TAG}timestamp": date.fromisoformat,
    }
)
_MOST_FAULTS = 20


class _Loader(_Quickest):
    """The composer of the C parser, with few plain scalars that are not text."""

    def resolve(self, kind: type[Node], value: str | None, implicit: tuple[bool, bool] | bool) -> str:
        if kind is not ScalarNode:
            return f"{_TAG}map" if kind is MappingNode else f"{_TAG}seq"
        if value is None or implicit is True or implicit is False or not implicit[0]:
            return _TEXT
        if "0" <= value[:1] <= "9" or value[:1] == "-":
            if _INTEGER.fullmatch(value):
                return f"{_TAG}int"
            return f"{_TAG}timestamp" if _DAY.fullmatch(value) else _TEXT
        return _WORDS.get(value, _TEXT)

    def descend_resolver(self, parent: Node | None, index: object) -> None:
        """No tag hangs on a path here."""

    def ascend_resolver(self) -> None:
        """As above."""


class _Place(NamedTuple):
    """Line and column, from 1."""

    line: int
    column: int


class _Wrong(Exception):
    """A fault at a place of the text that is being read."""

    def __init__(self, node: Node, told: str):
        super().__init__(told)
        self.place = _Place(node.start_mark.line + 1, node.start_mark.column + 1)


class _Reader:
    """From the nodes of one text to plain data; `above` lines of the file stand before it."""

    def __init__(self, above: int) -> None:
        self._above = above
        self._seen: set[int] = set()

    def value(self, node: Node) -> Value:
        if isinstance(node, ScalarNode):
            return self._scalar(node)
        if id(node) in self._seen:
            raise _Wrong(node, "stands in two places by an alias; write it out each time")
        self._seen.add(id(node))
        if isinstance(node, MappingNode) and node.tag == f"{_TAG}map":
            return self._mapping(node)
        if isinstance(node, SequenceNode) and node.tag == f"{_TAG}seq":
            return [self.value(each) for each in node.value]
        raise _Wrong(node, f"the tag {node.tag} is not read here; write the plain value")

    def _scalar(self, node: ScalarNode) -> Value:
        make = _SCALARS.get(node.tag)
        if make is str:
            return str(node.value)
        if make is None:
            raise _Wrong(node, f"the tag {node.tag} is not read here; write the plain value")
        try:
            return make(node.value)
        except ValueError as error:
            raise _Wrong(node, f"'{node.value}' cannot be read: {error}; put it in quotes if it is text") from None

    def _mapping(self, node: MappingNode) -> dict[Key, Value]:
        found: dict[Key, Value] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, ScalarNode):
                raise _Wrong(key_node, "a key must be one word or text")
            key = key_node.value if key_node.tag == _TEXT else self._scalar(key_node)
            if type(key) is not str and not isinstance(key, date):
                raise _Wrong(key_node, f"the key {key_node.value} must be text; put it in quotes")
            if key in found:
                first = next(k for k, _ in node.value if k.value == key_node.value).start_mark.line + 1
                where = "" if first == key_node.start_mark.line + 1 else f" (first in line {first + self._above})"
                raise _Wrong(key_node, f"the key '{key_node.value}' stands twice{where}; join the two or remove one")
            found[key] = self.value(value_node)
        return found


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise DataError(f"{path}: is not UTF-8 text; save it as UTF-8") from None
    except OSError as fault:
        raise DataError(
            f"{path}: cannot be read ({fault.strerror or fault}); put the file back, or install docgen again"
        ) from None


def _fail(path: Path, faults: Iterable[tuple[_Place, str]]) -> NoReturn:
    lines = [f"{path}:{at.line}:{at.column}: {told}" for at, told in sorted(set(faults))]
    more = [f"and {len(lines) - _MOST_FAULTS} more"] if len(lines) > _MOST_FAULTS else []
    raise DataError("\n".join([*lines[:_MOST_FAULTS], *more]))


class _Part(NamedTuple):
    """A text of a file as nodes and data; `above` lines of the file stand before it."""

    path: Path
    above: int
    node: Node | None
    value: Value

    def place(self, fault: Fault) -> _Place:
        """Where the steps of a fault lead to, as far as they can be followed."""
        node, mark = self.node, self.node.start_mark if self.node else None
        for count, step in enumerate(fault.steps, 1):
            if isinstance(node, MappingNode):
                text = step.isoformat() if isinstance(step, date) else step
                pair = next((pair for pair in node.value if pair[0].value == text), None)
                if pair is None:
                    break
                node = pair[1]
                mark = pair[0].start_mark if fault.at_key and count == len(fault.steps) else node.start_mark
            elif isinstance(node, SequenceNode) and isinstance(step, int) and step < len(node.value):
                node = node.value[step]
                mark = node.start_mark
        return _Place(self.above + (mark.line if mark else 0) + 1, (mark.column if mark else 0) + 1)

    def fail(self, faults: Iterable[Fault]) -> NoReturn:
        """Raise DataError with every fault at its place."""
        _fail(self.path, ((self.place(fault), f"{_named(fault)}{fault.told}") for fault in faults))


def _named(fault: Fault) -> str:
    """The way to a fault as a reader says it: `stretch: value: `; a key that is at fault names itself."""
    steps = fault.steps[:-1] if fault.at_key else fault.steps
    return "".join(f"entry {step + 1}: " if isinstance(step, int) else f"{step}: " for step in steps)


def _parsed(path: Path, text: str, above: int = 0) -> _Part:
    try:
        loader = _Loader(text)
        try:
            node = loader.get_single_node()
        finally:
            loader.dispose()
        return _Part(path, above, node, _Reader(above).value(node) if node is not None else None)
    except _Wrong as fault:
        place = _Place(fault.place.line + above, fault.place.column)
        _fail(path, [(place, str(fault))])
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = _Place((mark.line if mark else 0) + above + 1, (mark.column if mark else 0) + 1)
        _fail(path, [(place, f"is not YAML: {error.problem or error.context}")])
    except yaml.YAMLError as error:  # a character that YAML does not allow
        at = getattr(error, "position", 0)
        place = _Place(text.count("\n", 0, at) + above + 1, at - text.rfind("\n", 0, at))
        _fail(path, [(place, f"is not YAML: {str(error).splitlines()[0]}")])
    except RecursionError:
        _fail(path, [(_Place(above + 1, 1), "is nested too deep to be read; look for a bracket that is never closed")])


def read(path: Path) -> Value:
    """A whole file that no schema describes, such as a table of a test: keys once, plain types. Raises DataError."""
    return _parsed(path, _text(path)).value


def load(path: Path, schema: str, thorough: bool = False) -> dict[Key, Value]:
    """A whole file, held against `schemas/<schema>.schema.json` (`code/answers`: a definition in it).

    A `thorough` load compiles regular expressions too. Raises DataError with every fault, one a line.
    """
    part = _parsed(path, _text(path))
    found, node = shape(schema, thorough)
    if not isinstance(part.value, dict):
        part.fail([Fault((), "must be a mapping: begin each entry with 'key:'")])
    if faults := found.check(node)(part.value):
        part.fail(faults)
    return part.value


def wrong(path: Path, steps: tuple[Key | int, ...], told: str) -> DataError:
    """An error at a place of a file that was loaded, for what no schema can say. `told`: what is wrong and what would be right."""
    part, fault = _parsed(path, _text(path)), Fault(steps, told)
    place = part.place(fault)
    return DataError(f"{path}:{place.line}:{place.column}: {_named(fault)}{told}")


def pattern(text: str, path: Path, written: str = "") -> re.Pattern[str]:
    """A regular expression out of a file, without regard to case. Raises DataError that names the line on which it stands.

    `written` is the part of the expression that stands in the file, where it is not the whole.
    """
    try:
        return re.compile(text, re.IGNORECASE)
    except re.error as error:
        lines = _text(path).splitlines()
        line = next((count for count, each in enumerate(lines, 1) if (written or text) in each), 1)
        raise DataError(f"{path}:{line}: '{written or text}' is no regular expression: {error}; mend it") from None


_AT_MARGIN = re.compile(r"^(?:([A-Za-z0-9_][A-Za-z0-9_.-]*):(?=[ \n]|$)|[^\s#])", re.MULTILINE)
_INSIDE = re.compile(r"^(?:  (?:([A-Za-z0-9_][A-Za-z0-9_.-]*):(?=[ \n]|$)|[^\s#])| ?[^\s#])", re.MULTILINE)


class _Block(NamedTuple):
    """An entry as text, and how many lines of the file stand above it."""

    above: int
    text: str


def _split(path: Path, text: str, above: int, keys: re.Pattern[str], right: str) -> dict[str, _Block]:
    """A text cut at its keys. Raises DataError for a line that belongs to none, and for a key that stands twice."""
    found: dict[str, _Block] = {}
    starts = [*keys.finditer(text)]
    line, at = above, 0
    for match, following in zip(starts, [*starts[1:], None], strict=True):
        line, at = line + text.count("\n", at, match.start()), match.start()
        place = _Place(line + 1, 1 + len(match[0]) - len(match[0].lstrip()))
        if match[1] is None:
            _fail(path, [(place, f"here must stand a comment or a key; {right}")])
        if match[1] in found:
            first = found[match[1]].above + 1
            _fail(path, [(place, f"the key '{match[1]}' stands twice (first in line {first}); join the two or remove one")])
        found[match[1]] = _Block(line, text[at : following.start() if following else len(text)])
    return found


class Blocks(Mapping[str, Value]):
    """A file as a read-only mapping of key to value, each entry parsed and checked when it is asked for.

    A set of law is some 120 kB and a check asks a few dozen questions: cutting is cheap, parsing is not. Keys are looked at on
    opening: one that stands twice, is unknown or is missing is an error at once. With `under` the entries are those of that key.
    Raises DataError with file, line and column.
    """

    def __init__(self, path: Path, schema: str, under: str = ""):
        self.path = path
        self._shape, node = shape(schema)
        text = _text(path)
        self._blocks = _split(path, text, 0, _AT_MARGIN, "write 'key:' at the margin")
        self._keyed = Keyed(self._shape, self._shape.resolve(node))
        self._names()
        if under:
            inner = self._blocks[under]
            head, _, rest = inner.text.partition("\n")
            if head.removeprefix(f"{under}:").partition("#")[0].strip():
                _fail(path, [(_Place(inner.above + 1, len(under) + 2), f"write the entries of '{under}' in lines of their own")])
            self._blocks = _split(path, rest, inner.above + 1, _INSIDE, "write 'key:' after two blanks")
            self._keyed = Keyed(self._shape, self._shape.resolve(self._keyed.node(under)))
            self._names()
        self._values: dict[str, Value] = {}

    def _names(self) -> None:
        faults = self._keyed.names(self._blocks)
        if faults:
            _fail(self.path, ((_Place(self.line(str(f.steps[0])) if f.steps else 1, 1), f.told) for f in faults))

    def __getitem__(self, key: str) -> Value:
        if key not in self._values:
            block = self._blocks[key]
            part = _parsed(self.path, block.text, block.above)
            if not isinstance(part.value, dict) or [*part.value] != [key]:
                part.fail([Fault((), f"after '{key}:' stands what does not belong to it; look at the indentation")])
            value = part.value[key]
            if faults := self._keyed.child(key)(value):
                part.fail(fault.below(key) for fault in faults)
            self._values[key] = value
        return self._values[key]

    def __contains__(self, key: object) -> bool:
        return key in self._blocks

    def __iter__(self) -> Iterator[str]:
        return iter(self._blocks)

    def __len__(self) -> int:
        return len(self._blocks)

    def line(self, key: str) -> int:
        """The line, from 1, on which the entry of `key` begins."""
        return self._blocks[key].above + 1


@cache
def blocks(path: Path, schema: str, under: str = "") -> Blocks:
    """The entries of a file, cut once in a process."""
    return Blocks(path, schema, under)


#: Which schema describes which file, by the end of its path; the first that fits.
_SCHEMAS = (
    ("trade/practice.yaml", "practice"),
    ("trade/classes.yaml", "classes"),
    ("trade/editions.yaml", "editions"),
    ("control/consequences.yaml", "consequences"),
    ("codes/questions.yaml", "code/questions"),
    ("codes/vocabulary.yaml", "code/vocabulary"),
    ("codes/elements/merged.yaml", "elements/merged"),
    ("codes/elements/words/*.yaml", "elements/words"),
    ("codes/elements/*.yaml", "elements/lists"),
    ("codes/*/words/*.yaml", "code/words"),
    ("codes/*/limits.yaml", "code/answers"),
    ("codes/*/rules.yaml", "code/answers"),
    ("codes/*/definitions.yaml", "code/answers"),
    ("codes/*/not_looked.yaml", "code/not_looked"),
    ("codes/*/duties.yaml", "code/duties"),
    ("codes/*/sources.yaml", "code/sources"),
    ("codes/*/mistakes.yaml", "code/mistakes"),
    ("codes/*/index.yaml", "code/index"),
    ("templates/*/index.yaml", "document"),
    ("templates/words/findings/screen.*.yaml", "screen"),
    ("templates/words/findings/subjects.*.yaml", "subjects"),
    ("templates/words/findings/*.yaml", "findings"),
    ("templates/words/calculations.*.yaml", "sentences"),
    ("templates/words/*/*.yaml", "sentences"),
    ("templates/words/*.yaml", "words"),
)


def files() -> Iterator[tuple[Path, str]]:
    """Every YAML file of ours and its schema. DataError for a file that has none."""
    roots = (PACKAGE, data_folder("templates"))
    for path in sorted({path for root in roots for path in root.rglob("*.yaml")}):
        schema = next((name for end, name in _SCHEMAS if path.match(end)), None)
        if schema is None:
            raise DataError(f"{path}: no schema describes this file; add it to docgen/data.py and a schema to schemas/")
        yield path, schema


def _check_all() -> int:
    told, count = [], 0
    for path, schema in files():
        count += 1
        try:
            load(path, schema, thorough=True)
        except DocgenError as error:
            told.append(str(error))
    print("\n".join(told) if told else f"{count} files keep their schemas")
    return 1 if told else 0


if __name__ == "__main__":
    sys.exit(_check_all())
