"""Holds data of ours against its JSON Schema: a few closures a schema, quick enough for every load.

The keywords of JSON Schema 2020-12 that our schemas use, and no others: one that is not known here is refused when the schema is
read. `format` is date (a value that YAML read as a day; any other text is no day and any day is no text), regex, or a kind of
quantity of `units`. Expressions and quantities are read by a thorough check only: whoever uses one reads it anyway.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from functools import cache
from types import MappingProxyType, NoneType
from typing import Any, NamedTuple, TypeAlias

from docgen.resources import schema_text
from docgen.units import KINDS, UnitProblem, parse, parse_interval

__all__ = ["Check", "Fault", "Key", "Keyed", "Node", "Shape", "Value", "shape"]

Key: TypeAlias = str | date
Value: TypeAlias = "str | int | bool | date | list[Value] | dict[Key, Value] | None"
Node: TypeAlias = Mapping[str, Any]  # a schema as JSON has it


class Fault(NamedTuple):
    """What is wrong and what would be right, at the end of some steps.

    `at_key`: with the key there and not with its value; `other_type`: the whole value is of another type than wanted.
    """

    steps: tuple[Key | int, ...]
    told: str
    at_key: bool = False
    other_type: bool = False

    def below(self, step: Key | int) -> Fault:
        """The same fault seen from one step further out."""
        return Fault((step, *self.steps), self.told, self.at_key)


Check: TypeAlias = Callable[[Value], "list[Fault] | None"]

_TYPES = MappingProxyType({"string": str, "integer": int, "boolean": bool, "null": NoneType, "object": dict, "array": list})
_NAMES = MappingProxyType(
    {
        str: "text",
        int: "a whole number",
        bool: "true or false",
        NoneType: "null",
        dict: "a mapping",
        list: "a list",
        date: "a day",
    }
)
_WORDS = frozenset({"$schema", "$id", "$defs", "title", "description", "examples", "$comment"})
_OBJECT = frozenset(
    {
        "properties", "patternProperties", "additionalProperties", "propertyNames", "required", "minProperties",
        "dependentRequired",
    }
)  # fmt: skip
_ARRAY = frozenset({"items", "minItems", "uniqueItems"})
_TEXT = frozenset({"minLength", "pattern", "format"})
_NUMBER = frozenset({"minimum", "maximum"})
_PLAIN_TEXT = _WORDS | {"type", "minLength", "pattern"}
_LOGIC = frozenset({"anyOf", "oneOf", "allOf", "not", "if", "then", "else", "$ref"})
_KNOWN = _WORDS | _OBJECT | _ARRAY | _TEXT | _NUMBER | _LOGIC | {"type", "enum", "const"}
_MOST_LISTED = 12


def _written(value: Value) -> str:
    return value.isoformat() if isinstance(value, date) else json.dumps(value) if type(value) is bool else str(value)


def _listed(values: Iterable[Value]) -> str:
    return ", ".join(map(_written, values))


def _short(value: Value) -> str:
    text = _written(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def _same(one: Value, other: Value) -> bool:
    return type(one) is type(other) and one == other


class Shape:
    """One definition of a schema made ready. `Shape(name, definition)` is a check of a whole value: faults, or None."""

    def __init__(self, name: str, root: Node, thorough: bool = False):
        self.name, self.root, self.thorough = name, root, thorough
        self._ready: dict[int, Check] = {}

    def resolve(self, node: Node) -> Node:
        """The node that a `$ref` which stands alone leads to."""
        while "$ref" in node and node.keys() <= _WORDS | {"$ref"}:
            node = self._named(node["$ref"])
        return node

    def _named(self, reference: str) -> Node:
        found: Any = self.root
        for step in reference.removeprefix("#/").split("/"):
            found = found[step]
        return found  # type: ignore[no-any-return]

    def check(self, node: Node | bool) -> Check:
        """The check of a sub-schema, compiled when it is first asked for. ValueError for a keyword that is not known here."""
        if isinstance(node, bool):
            return _anything if node else _nothing
        found = self._ready.get(id(node))
        if found is None:
            found = self._ready[id(node)] = self._compile(node)
        return found

    def _compile(self, node: Node) -> Check:
        if unknown := node.keys() - _KNOWN:
            raise ValueError(f"schema {self.name}: the keyword '{sorted(unknown)[0]}' is not known to the loader")
        if node.keys() == {"required"}:
            return _holds(node["required"])
        parts = [*self._plain(node), *self._logic(node)]
        if node.keys() & _OBJECT:
            parts.append(Keyed(self, node))
        if node.keys() & _ARRAY:
            parts.append(self._array(node))
        first = _type(node) if "type" in node else None
        if first is None:
            return _all(parts)
        if not parts:
            return first
        rest = _all(parts)
        if node["type"] == "string" and node.keys() <= _PLAIN_TEXT:
            return _quick_text(node, lambda value: first(value) or rest(value))
        return lambda value: first(value) or rest(value)

    def _plain(self, node: Node) -> Iterable[Check]:
        if "const" in node:
            yield _choice([node["const"]], node)
        if "enum" in node:
            yield _choice(node["enum"], node)
        if node.get("minLength"):
            yield lambda value: [Fault((), f"must not be empty{_hint(node)}")] if value == "" else None
        if "pattern" in node:
            yield _pattern(re.compile(node["pattern"]), node)
        if "format" in node and (found := _format(node["format"], self.thorough)):
            yield found
        if node.keys() & _NUMBER:
            yield _between(node.get("minimum"), node.get("maximum"), node)

    def _logic(self, node: Node) -> Iterable[Check]:
        if "$ref" in node:
            yield self._reference(node["$ref"])
        yield from (self.check(each) for each in node.get("allOf", ()))
        for keyword in ("anyOf", "oneOf"):
            if keyword in node:
                yield self._either(node[keyword], exactly=keyword == "oneOf")
        if "not" in node:
            yield self._never(node["not"])
        if "if" in node:
            yield self._when(node["if"], node.get("then", True), node.get("else", True))

    def _reference(self, reference: str) -> Check:
        known: list[Check] = []  # found when it is first followed, since a definition may lead back to itself

        def follow(value: Value) -> list[Fault] | None:
            if not known:
                known.append(self.check(self._named(reference)))
            return known[0](value)

        return follow

    def _either(self, nodes: list[Node], exactly: bool) -> Check:
        checks = [self.check(node) for node in nodes]

        def either(value: Value) -> list[Fault] | None:
            wrong, fitting = [], 0
            for check in checks:
                if faults := check(value):
                    wrong.append(faults)
                elif exactly:
                    fitting += 1
                else:
                    return None
            if fitting == 1:
                return None
            if fitting:
                return [Fault((), "is two things at once; see the schema")]
            meant = [faults for faults in wrong if not faults[0].other_type]
            if meant:  # the right kind of thing, with something wrong in it
                return min(meant, key=len)
            return [Fault((), ", or ".join(dict.fromkeys(fault.told for faults in wrong for fault in faults[:1])))]

        return either

    def _never(self, node: Node) -> Check:
        inner = self.check(node)
        names = sorted(_required(node))
        told = f"must not give {' or '.join(names)} beside the rest" if names else "is what it must not be"
        return lambda value: None if inner(value) else [Fault((), told)]

    def _when(self, condition: Node, then: Node | bool, otherwise: Node | bool) -> Check:
        test, yes, no = self.check(condition), self.check(then), self.check(otherwise)
        return lambda value: no(value) if test(value) else yes(value)

    def _array(self, node: Node) -> Check:
        item = self.check(node["items"]) if "items" in node else _anything
        least, unique = node.get("minItems", 0), node.get("uniqueItems", False)

        def array(value: Value) -> list[Fault] | None:
            if type(value) is not list:
                return None
            if len(value) < least:
                return [Fault((), f"must list at least {least}, not {len(value)}{_hint(node)}")]
            found = [fault.below(at) for at, each in enumerate(value) for fault in item(each) or ()]
            if unique and len({repr(each) for each in value}) < len(value):
                found += [Fault((at,), f"stands twice in the list: {_short(each)}; remove one") for at, each in _again(value)]
            return found or None

        return array


class Keyed:
    """What a schema says of a mapping, also where its values are not read yet: `names` looks at the keys alone."""

    def __init__(self, shape: Shape, node: Node):
        self._shape, self._node = shape, node
        self._known: Mapping[str, Node] = node.get("properties", {})
        patterns: Node = node.get("patternProperties", {})
        self._patterns = [(re.compile(pattern), shape.check(each)) for pattern, each in patterns.items()]
        self._children: dict[Key, Check] = {}
        self._rest = shape.check(node.get("additionalProperties", True))
        self._name = shape.check(node["propertyNames"]) if "propertyNames" in node else None
        self._required = dict.fromkeys(node.get("required", ()))
        self._least: int = node.get("minProperties", 0)
        self._together: Mapping[str, list[str]] = node.get("dependentRequired", {})
        self._fixed = self._rest is _nothing and not self._patterns and self._name is None

    def __call__(self, value: Value) -> list[Fault] | None:
        """The faults of a mapping; None where it has none."""
        if type(value) is not dict:
            return None
        found = self.names(value)
        ready = self._children.get
        for key, each in value.items():
            check = ready(key) or self.child(key)
            if check is not _nothing and (faults := check(each)):
                found += [fault.below(key) for fault in faults]
        return found or None

    def names(self, keys: Mapping[Any, object]) -> list[Fault]:
        """Faults that the keys alone show: unknown, badly formed, missing, too few."""
        there = keys.keys()
        found: list[Fault] = []
        if not (self._fixed and there <= self._known.keys()):
            found += [fault for key in there for fault in self._key(key)]
        if not there >= self._required.keys():
            found += [Fault((), f"the key '{key}' is missing{self._meaning(key)}") for key in self._required if key not in there]
        for key in self._together.keys() & there:
            found += [
                Fault((), f"gives '{key}' without '{other}'; add it") for other in self._together[key] if other not in there
            ]
        if len(there) < self._least:
            found.append(Fault((), f"must hold at least {self._least} of its keys{_hint(self._node)}"))
        return found

    def node(self, key: str) -> Node:
        """The sub-schema of a key that the schema names."""
        return self._known[key]

    def child(self, key: Key) -> Check:
        """The check of the value of a key."""
        if key in self._known and isinstance(key, str):
            found = self._children[key] = self._shape.check(self._known[key])
            return found
        if self._patterns:
            return next((check for pattern, check in self._patterns if pattern.search(_written(key))), self._rest)
        return self._rest

    def _key(self, key: Key) -> list[Fault] | tuple[()]:
        if self._rest is _nothing and self.child(key) is _nothing:
            return [Fault((key,), f"the key '{_short(key)}' is not known here{self._nearest(_written(key))}", at_key=True)]
        if self._name is not None:
            if faults := self._name(key):
                told = faults[0].told.removeprefix(f"'{_short(key)}' ")
                return [Fault((key,), f"the key '{_short(key)}' {told}", at_key=True)]
        elif type(key) is not str and not self._patterns:
            return [Fault((key,), f"the key {_written(key)} is read as a day; put it in quotes", at_key=True)]
        return ()

    def _nearest(self, key: str) -> str:
        from difflib import get_close_matches

        near = get_close_matches(key, list(self._known), 1)
        if near:
            return f"; did you mean '{near[0]}'?"
        return f"; there are {_listed(self._known)}" if 0 < len(self._known) <= _MOST_LISTED else ""

    def _meaning(self, key: str) -> str:
        node = self._shape.resolve(self._known.get(key, {}))
        said = self._known.get(key, {}).get("description") or node.get("description")
        return f"; add it: {_small(said)}" if said else "; add it"


def _all(checks: list[Check]) -> Check:
    if len(checks) == 1:
        return checks[0]
    ready = tuple(checks)

    def every(value: Value) -> list[Fault] | None:
        found: list[Fault] = []
        for check in ready:
            if faults := check(value):
                found += [fault for fault in faults if fault not in found]
        return found or None

    return every


def _holds(keys: list[str]) -> Check:
    """Some keys are there: the usual condition of an if, most often not met."""
    wanted = dict.fromkeys(keys).keys()
    faults = [Fault((), f"the key '{key}' is missing; add it") for key in keys]
    return lambda value: None if type(value) is not dict or value.keys() >= wanted else faults


def _anything(value: Value) -> None:
    return None


def _nothing(value: Value) -> list[Fault]:
    return [Fault((), "must not stand here")]


def _type(node: Node) -> Check:
    names = [node["type"]] if isinstance(node["type"], str) else node["type"]
    wanted = tuple(date if name == "string" and node.get("format") == "date" else _TYPES[name] for name in names)

    def told(kind: type) -> str:
        if node.get("format") in KINDS:
            measure = KINDS[node["format"]]
            return f"must be {measure.name} such as {measure.examples[0]}, not {_NAMES[kind]}"
        quotes = "; put it in quotes" if str in wanted and kind in (int, bool, date, NoneType) else _hint(node)
        return f"must be {' or '.join(_NAMES[each] for each in wanted)}{' such as 2026-03-02' * (date in wanted)}, not {_NAMES[kind]}{quotes}"

    return lambda value: None if type(value) in wanted else [Fault((), told(type(value)), other_type=True)]


def _choice(values: list[Value], node: Node) -> Check:
    plain = {value for value in values if isinstance(value, str)}

    def told(value: Value) -> str:
        return f"must be {'one of ' * (len(values) > 1)}{_listed(values)}, not {_short(value)}{_hint(node)}"

    def among(value: Value) -> list[Fault] | None:
        right = value in plain if type(value) is str else any(_same(value, each) for each in values)
        return None if right else [Fault((), told(value))]

    return among


def _quick_text(node: Node, slow: Check) -> Check:
    """Most values are texts that are right; only what is not goes the long way."""
    least = node.get("minLength", 0)
    search = re.compile(node.get("pattern", "")).search

    def text(value: Value) -> list[Fault] | None:
        if type(value) is str and len(value) >= least and search(value):
            return None
        return slow(value)

    return text


def _pattern(pattern: re.Pattern[str], node: Node) -> Check:
    search = pattern.search

    def matched(value: Value) -> list[Fault] | None:
        if type(value) is str:
            fits = search(value)
        elif isinstance(value, date):
            fits = search(value.isoformat())
        else:
            return None
        if fits:
            return None
        told = f"'{_short(value)}' is not of the form wanted here" if value else "must not be empty"
        return [Fault((), f"{told}{_hint(node) or f' ({pattern.pattern})'}")]

    return matched


def _format(name: str, thorough: bool) -> Check | None:
    if name == "regex" or name in KINDS or name == "interval":
        return None if not thorough else _regex if name == "regex" else _quantity(name)
    if name in ("date", "uri"):  # a day is told by its type, an address by its pattern
        return None
    raise ValueError(f"the format '{name}' is not known to the loader")


def _quantity(kind: str) -> Check:
    def measured(value: Value) -> list[Fault] | None:
        if type(value) is str:
            try:
                parse_interval(value) if kind == "interval" else parse(value, kind)
            except UnitProblem as problem:
                return [Fault((), str(problem))]
        return None

    return measured


def _regex(value: Value) -> list[Fault] | None:
    if type(value) is str:
        try:
            re.compile(value)
        except re.error as error:
            return [Fault((), f"is no regular expression: {error}")]
    return None


def _between(least: float | None, most: float | None, node: Node) -> Check:
    def inside(value: Value) -> list[Fault] | None:
        if type(value) is not int or ((least is None or value >= least) and (most is None or value <= most)):
            return None
        bounds = [f"at least {least}"] * (least is not None) + [f"at most {most}"] * (most is not None)
        return [Fault((), f"must be {' and '.join(bounds)}, not {value}{_hint(node)}")]

    return inside


def _required(node: Node) -> set[str]:
    """Every key that a schema asks for, in any of its branches."""
    found = set(node.get("required", ()))
    for each in node.get("anyOf", ()):
        found |= _required(each)
    return found


def _again(values: list[Value]) -> Iterable[tuple[int, Value]]:
    seen: set[str] = set()
    for at, value in enumerate(values):
        if repr(value) in seen:
            yield at, value
        seen.add(repr(value))


def _hint(node: Node) -> str:
    return f"; {_small(node['description'])}" if "description" in node else ""


def _small(text: str) -> str:
    """A description that goes on a sentence: without its stop, a first capital made small where the word is no name."""
    text = text.removesuffix(".")
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] == " " else text


@cache
def _root(name: str) -> Node:
    return json.loads(schema_text(name))  # type: ignore[no-any-return]


@cache
def _whole(name: str, thorough: bool) -> Shape:
    return Shape(name, _root(name), thorough)


@cache
def shape(name: str, thorough: bool = False) -> tuple[Shape, Node]:
    """A schema made ready and the definition in it: `practice` is the whole file, `code/answers` a definition in one."""
    stem, _, definition = name.partition("/")
    found = _whole(stem, thorough)
    return found, found.root["$defs"][definition] if definition else found.root
