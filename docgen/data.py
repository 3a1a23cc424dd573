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
from typing import TYPE_CHECKING, Any, NoReturn, TypeAlias

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from docgen.errors import DataError, DocgenError
from docgen.resources import PACKAGE, data_folder
from docgen.shapes import Fault, Key, Keyed, Value, shape

if TYPE_CHECKING:
    from yaml import SafeLoader as _Quickest
else:
    _Quickest = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

__all__ = ["Blocks", "Value", "blocks", "files", "load", "pattern", "read", "wrong"]

_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]*)")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_WORDS: Mapping[str, Value] = MappingProxyType({"true": True, "false": False, "null": None})
_PLAIN_VALUE = "write the plain value"
_MOST_FAULTS = 20


Mark: TypeAlias = "yaml.error.Mark | yaml._yaml.Mark"
Place: TypeAlias = tuple[int, int]  # line and column, from 1


def _placed(mark: Mark | None, above: int) -> Place:
    return (mark.line + above + 1, mark.column + 1) if mark else (above + 1, 1)


class _Wrong(Exception):
    """A fault at an event of the text that is being read; `twice`: its key stood there before."""

    def __init__(self, event: Event, told: str, twice: bool = False):
        super().__init__(told)
        self.event, self.twice = event, twice


def _scalar(event: ScalarEvent) -> Value:
    text: str = event.value
    if event.tag is not None:
        raise _Wrong(event, f"the tag {event.tag} is not read here; {_PLAIN_VALUE}")
    if not event.implicit[0]:
        return text
    if "0" <= text[:1] <= "9" or text[:1] == "-":
        try:
            return int(text) if _INTEGER.fullmatch(text) else date.fromisoformat(text) if _DAY.fullmatch(text) else text
        except ValueError as error:
            raise _Wrong(event, f"'{text}' cannot be read: {error}; put it in quotes if it is text") from None
    return _WORDS.get(text, text)


def _key(event: Event, key: Value, holder: dict[Key, Value]) -> Key:
    if not isinstance(event, ScalarEvent):
        raise _Wrong(event, "a key must be one word or text")
    if not isinstance(key, str | date):
        raise _Wrong(event, f"the key {event.value} must be text; put it in quotes")
    if key in holder:
        raise _Wrong(event, f"the key '{event.value}' stands twice", twice=True)
    return key


def _built(following: Callable[[], Event]) -> Value:
    """The one document of a text from its events, which costs half of what nodes do. Raises _Wrong."""
    root: list[Value] = []
    holder: list[Value] | dict[Key, Value] = root
    outer: list[list[Value] | dict[Key, Value]] = []
    key: Key | None = None
    while True:
        event = following()
        value: Value
        if isinstance(event, ScalarEvent):
            value = _scalar(event)
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            if event.tag is not None:
                raise _Wrong(event, f"the tag {event.tag} is not read here; {_PLAIN_VALUE}")
            value = {} if isinstance(event, MappingStartEvent) else []
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            holder = outer.pop()
            continue
        elif isinstance(event, StreamEndEvent):
            return root[0] if root else None
        elif isinstance(event, AliasEvent):
            raise _Wrong(event, f"an alias puts one value in two places; {_PLAIN_VALUE} each time")
        elif isinstance(event, DocumentStartEvent) and root:
            raise _Wrong(event, "a second document begins here; keep one in a file")
        else:
            continue
        if isinstance(holder, list):
            holder.append(value)
        elif key is None:
            key = _key(event, value, holder)
            continue
        else:
            holder[key] = value
            key = None
        if isinstance(value, dict | list):
            outer.append(holder)
            holder = value


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise DataError(f"{path}: is not UTF-8 text; save it as UTF-8") from None
    except OSError as fault:
        raise DataError(
            f"{path}: cannot be read ({fault.strerror or fault}); put the file back, or install docgen again"
        ) from None


def _fail(path: Path, faults: Iterable[tuple[Place, str]]) -> NoReturn:
    lines = [f"{path}:{line}:{column}: {told}" for (line, column), told in sorted(set(faults))]
    more = [f"and {len(lines) - _MOST_FAULTS} more"] if len(lines) > _MOST_FAULTS else []
    raise DataError("\n".join([*lines[:_MOST_FAULTS], *more]))


class _Part:
    """A text of a file and its data; `above` lines of the file stand before it."""

    def __init__(self, path: Path, above: int, text: str, value: Value):
        self.path, self.above, self.text, self.value = path, above, text, value

    def place(self, fault: Fault) -> Place:
        """Where the steps of a fault lead to, as far as they can be followed. Reads the text again, which only a fault costs."""
        node = yaml.compose(self.text, _Quickest)
        mark = node.start_mark if node else None
        for count, step in enumerate(fault.steps, 1):
            if isinstance(node, yaml.MappingNode):
                text = step.isoformat() if isinstance(step, date) else step
                pair = next((pair for pair in node.value if pair[0].value == text), None)
                if pair is None:
                    break
                node = pair[1]
                mark = pair[0].start_mark if fault.at_key and count == len(fault.steps) else node.start_mark
            elif isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
                node = node.value[step]
                mark = node.start_mark
        return _placed(mark, self.above)

    def fail(self, faults: Iterable[Fault]) -> NoReturn:
        """Raise DataError with every fault at its place."""
        _fail(self.path, ((self.place(fault), f"{_named(fault)}{fault.told}") for fault in faults))


def _named(fault: Fault) -> str:
    """The way to a fault as a reader says it: `stretch: value: `; a key that is at fault names itself."""
    steps = fault.steps[:-1] if fault.at_key else fault.steps
    return "".join(f"entry {step + 1}: " if isinstance(step, int) else f"{step}: " for step in steps)


def _parsed(path: Path, text: str, above: int = 0) -> _Part:
    try:
        parser = _Quickest(text)
        try:
            return _Part(path, above, text, _built(parser.get_event))
        finally:
            parser.dispose()
    except _Wrong as fault:
        mark = fault.event.start_mark
        told = f"{fault}{_first(text, mark, above)}; join the two or remove one" if fault.twice else str(fault)
        _fail(path, [(_placed(mark, above), told)])
    except yaml.MarkedYAMLError as error:
        _fail(
            path, [(_placed(error.problem_mark or error.context_mark, above), f"is not YAML: {error.problem or error.context}")]
        )
    except yaml.YAMLError as error:  # a character that YAML does not allow
        at = getattr(error, "position", 0)
        place = (text.count("\n", 0, at) + above + 1, at - text.rfind("\n", 0, at))
        _fail(path, [(place, f"is not YAML: {str(error).splitlines()[0]}")])


def _first(text: str, second: Mark | None, above: int) -> str:
    """In which line a key stood before, where it is another line than that of the second."""
    waiting = [yaml.compose(text, _Quickest)]
    while waiting:
        node = waiting.pop()
        if isinstance(node, yaml.MappingNode):
            keys = [key for key, _ in node.value]
            here = next((key for key in keys if second is not None and key.start_mark.index == second.index), None)
            if here is not None and second is not None:
                line = next(key for key in keys if key.value == here.value).start_mark.line
                return f" (first in line {line + above + 1})" if line != second.line else ""
            waiting += [each for pair in node.value for each in pair]
        elif isinstance(node, yaml.SequenceNode):
            waiting += node.value
    return ""


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
    fault = Fault(steps, told)
    line, column = _parsed(path, _text(path)).place(fault)
    return DataError(f"{path}:{line}:{column}: {_named(fault)}{told}")


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


_KEY = re.compile(r"([A-Za-z0-9_][A-Za-z0-9_.-]*):(?= |$)", re.MULTILINE)
_STARTS = {indent: re.compile(rf"\n {{0,{indent}}}(?=[^\s#])") for indent in (0, 2)}  # a line break in front is found quickly


_Block: TypeAlias = tuple[int, str]  # how many lines of the file stand above an entry, and its text


def _split(path: Path, text: str, above: int, indent: int) -> dict[str, _Block]:
    """A text cut at the keys with that indentation. Raises DataError for a line that belongs to none, and for a second key."""
    text = f"\n{text}"
    found: dict[str, _Block] = {}
    starts = [*_STARTS[indent].finditer(text)]
    line, at = above, 1
    for start, following in zip(starts, [*starts[1:], None], strict=True):
        begin = start.start() + 1
        line, at = line + text.count("\n", at, begin), begin
        place = line + 1, start.end() - begin + 1
        key = _KEY.match(text, start.end())
        if key is None or place[1] != indent + 1:
            right = f"write 'key:' {'at the margin' if indent == 0 else 'after two blanks'}"
            _fail(path, [(place, f"here must stand a comment or a key; {right}")])
        if key[1] in found:
            told = f"the key '{key[1]}' stands twice (first in line {found[key[1]][0] + 1}); join the two or remove one"
            _fail(path, [(place, told)])
        found[key[1]] = line, text[begin : following.start() + 1 if following else len(text)]
    return found


class Blocks(Mapping[str, Any]):
    """A file as a read-only mapping of key to value, each entry parsed and checked when it is asked for.

    A set of law is some 120 kB and a check asks a few dozen questions: cutting is cheap, parsing is not. Keys are looked at on
    opening: one that stands twice, is unknown or is missing is an error at once. With `under` the entries are those of that key.
    Raises DataError with file, line and column.
    """

    def __init__(self, path: Path, schema: str, under: str = ""):
        self.path = path
        self._shape, node = shape(schema)
        text = _text(path)
        self._blocks = _split(path, text, 0, 0)
        self._keyed = Keyed(self._shape, self._shape.resolve(node))
        self._names()
        if under:
            above, inner = self._blocks[under]
            head, _, rest = inner.partition("\n")
            if head.removeprefix(f"{under}:").partition("#")[0].strip():
                _fail(path, [((above + 1, len(under) + 2), f"write the entries of '{under}' in lines of their own")])
            self._blocks = _split(path, rest, above + 1, 2)
            self._keyed = Keyed(self._shape, self._shape.resolve(self._keyed.node(under)))
            self._names()
        self._values: dict[str, Value] = {}

    def _names(self) -> None:
        faults = self._keyed.names(self._blocks)
        if faults:
            _fail(self.path, (((self.line(str(f.steps[0])) if f.steps else 1, 1), f.told) for f in faults))

    def __getitem__(self, key: str) -> Any:
        if key not in self._values:
            above, text = self._blocks[key]
            part = _parsed(self.path, text, above)
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
        return self._blocks[key][0] + 1


@cache
def blocks(path: Path, schema: str, under: str = "") -> Blocks:
    """The entries of a file, cut once in a process."""
    return Blocks(path, schema, under)


#: Which schema describes which file, by the end of its path; the first that fits.
_SCHEMAS = (
    ("trade/practice.yaml", "practice"),
    ("trade/classes.yaml", "classes"),
    ("trade/editions.yaml", "editions"),
    ("trade/parents.yaml", "parents"),
    ("trade/inspected.yaml", "inspected"),
    ("control/consequences.yaml", "consequences"),
    ("docgen/older.yaml", "older"),
    ("docgen/field_uses.yaml", "field_uses"),
    ("docgen/places.yaml", "places"),
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
    ("codes/*/sources.yaml", "code/sources"),
    ("codes/*/copies.yaml", "code/copies"),
    ("codes/*/mistakes.yaml", "code/mistakes"),
    ("codes/*/index.yaml", "code/index"),
    ("templates/*/index.yaml", "document"),
    ("templates/words/findings/screen.*.yaml", "screen"),
    ("templates/words/findings/subjects.*.yaml", "subjects"),
    ("templates/words/findings/*.yaml", "findings"),
    ("templates/words/calculations.*.yaml", "calculations"),
    ("templates/words/practice/*.yaml", "usual"),
    ("templates/words/refusals/*.yaml", "refusals"),
    ("templates/words/start/*.yaml", "start"),
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
