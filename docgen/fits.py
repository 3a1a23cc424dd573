"""Whether data fit a JSON Schema, yes or no, quickly: most files do, and only one that does not needs the library that says where.

Exactly the answer of the library, for the keywords that the schemas of files by hand use; a schema with any other keyword has no quick answer.
`tests/test_fits.py` holds both against each other.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

__all__ = ["fitting"]

Test = Callable[[Any], bool]
Sub = Mapping[str, Any]

#: Keywords that say nothing about whether a value fits, some of them our own.
WORDS = frozenset({
    "$schema", "$comment", "$defs", "title", "description", "examples", "default", "decided", "need", "station", "read_off", "papers", "administrative", "known_as", "refers_to",
    "id_of", "unique_by", "least", "most",
})  # fmt: skip
KNOWN = WORDS | {
    "$ref", "type", "const", "enum", "minLength", "maxLength", "pattern", "format", "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "required", "properties",
    "additionalProperties", "propertyNames", "minProperties", "maxProperties", "items", "prefixItems", "minItems", "maxItems", "uniqueItems", "allOf", "anyOf", "oneOf", "not", "if",
    "then", "else",
}  # fmt: skip


class _NoTest(Exception):
    """A keyword or a format without a test here."""


def fitting(root: Sub, resolve: Callable[[str], object], formats: Mapping[str, Test]) -> Test:
    """The test of a schema. `resolve` gives the sub-schema of a `$ref`, `formats` the tests of texts by name.

    False says that data do not fit, or that they come to a keyword that has no test here.
    """
    compiler = _Compiler(resolve, formats)

    def fits(data: Any) -> bool:
        try:
            return compiler.test(root)(data)
        except _NoTest:
            return False

    return fits


class _Known(dict[str, Test]):
    """Key -> the test of its value, made when a file has the key."""

    def __init__(self, compiler: _Compiler, nodes: Sub, others: Test) -> None:
        super().__init__()
        self.compiler, self.nodes, self.others = compiler, nodes, others

    def __missing__(self, key: str) -> Test:
        found = self[key] = self.compiler.test(self.nodes[key]) if key in self.nodes else self.others
        return found


class _Compiler:
    def __init__(self, resolve: Callable[[str], object], formats: Mapping[str, Test]) -> None:
        self.resolve, self.formats = resolve, formats
        self.made: dict[int, Test] = {}  # by the identity of a sub-schema: those of a schema live as long as it
        self.references: dict[str, Test] = {}

    def test(self, node: object) -> Test:
        """The test of a sub-schema, made once. _NoTest where a keyword or a format has none here."""
        if not isinstance(node, Mapping):
            return _anything if node is not False else _nothing
        if id(node) not in self.made:
            if node.keys() - KNOWN:
                raise _NoTest
            found = [*self._value(node), *self._text(node), *self._group(node), *self._list(node), *self._logic(node)]
            self.made[id(node)] = _all_of(found)
        return self.made[id(node)]

    def _value(self, node: Sub) -> Iterator[Test]:
        if "type" in node:
            names = [node["type"]] if isinstance(node["type"], str) else node["type"]
            yield _either([_TYPES[name] for name in names])
        if "const" in node:
            yield _among([node["const"]])
        if "enum" in node:
            yield _among(node["enum"])
        if node.keys() & {"minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"}:
            yield _between(node.get("minimum"), node.get("maximum"), node.get("exclusiveMinimum"), node.get("exclusiveMaximum"))

    def _text(self, node: Sub) -> Iterator[Test]:
        least, most = node.get("minLength", 0), node.get("maxLength")
        if least or most is not None:
            yield lambda value: not isinstance(value, str) or (len(value) >= least and (most is None or len(value) <= most))
        if "pattern" in node:
            search = re.compile(node["pattern"]).search
            yield lambda value: not isinstance(value, str) or search(value) is not None
        if "format" in node:
            if node["format"] not in self.formats:
                raise _NoTest
            right = self.formats[node["format"]]
            yield lambda value: not isinstance(value, str) or right(value)

    def _group(self, node: Sub) -> Iterator[Test]:
        if "required" in node:
            wanted = dict.fromkeys(node["required"]).keys()
            yield lambda value: not isinstance(value, dict) or value.keys() >= wanted
        fewest, most = node.get("minProperties", 0), node.get("maxProperties")
        if fewest or most is not None:
            yield lambda value: not isinstance(value, dict) or (len(value) >= fewest and (most is None or len(value) <= most))
        if "propertyNames" in node:
            name = self.test(node["propertyNames"])
            yield lambda value: not isinstance(value, dict) or all(map(name, value))
        if "properties" in node or "additionalProperties" in node:
            known = _Known(self, node.get("properties", {}), self.test(node.get("additionalProperties", True)))

            def each(value: Any) -> bool:
                if not isinstance(value, dict):
                    return True
                return all([known[key](inner) for key, inner in value.items()])

            yield each

    def _list(self, node: Sub) -> Iterator[Test]:
        fewest, most = node.get("minItems", 0), node.get("maxItems")
        if fewest or most is not None:
            yield lambda value: not isinstance(value, list) or (len(value) >= fewest and (most is None or len(value) <= most))
        if node.get("uniqueItems"):
            yield lambda value: not isinstance(value, list) or _unlike(value)
        first = [self.test(inner) for inner in node.get("prefixItems", ())]
        if first or "items" in node:
            rest = self.test(node.get("items", True))

            def each(value: Any) -> bool:
                if not isinstance(value, list):
                    return True
                head = zip(first, value, strict=False)
                return all([test(inner) for test, inner in head]) and all(map(rest, value[len(first) :]))

            yield each

    def _logic(self, node: Sub) -> Iterator[Test]:
        if "$ref" in node:
            yield self._reference(node["$ref"])
        for inner in node.get("allOf", ()):
            yield self.test(inner)
        if "anyOf" in node:
            yield _either([self.test(inner) for inner in node["anyOf"]])
        if "oneOf" in node:
            forms = [self.test(inner) for inner in node["oneOf"]]
            yield lambda value: sum(form(value) for form in forms) == 1
        if "not" in node:
            banned = self.test(node["not"])
            yield lambda value: not banned(value)
        if "if" in node:
            asked, yes, no = self.test(node["if"]), self.test(node.get("then", True)), self.test(node.get("else", True))
            yield lambda value: yes(value) if asked(value) else no(value)

    def _reference(self, reference: str) -> Test:
        """The test of what a `$ref` names, looked up when it is asked: one may lead back to itself."""

        def followed(value: Any) -> bool:
            if reference not in self.references:
                self.references[reference] = self.test(self.resolve(reference))
            return self.references[reference](value)

        return followed


def _anything(value: Any) -> bool:
    return True


def _nothing(value: Any) -> bool:
    return False


def _all_of(tests: list[Test]) -> Test:
    asked = [test for test in tests if test is not _anything]
    match asked:
        case []:
            return _anything
        case [only]:
            return only
        case [one, two]:
            return lambda value: one(value) and two(value)
    return lambda value: all([test(value) for test in asked])


def _either(tests: list[Test]) -> Test:
    return tests[0] if len(tests) == 1 else lambda value: any(test(value) for test in tests)


def _among(allowed: list[Any]) -> Test:
    texts = {each for each in allowed if isinstance(each, str)}
    others = [each for each in allowed if not isinstance(each, str)]

    def among(value: Any) -> bool:
        if isinstance(value, str):
            return value in texts
        return any(_same(each, value) for each in others)

    return among


def _same(one: Any, other: Any) -> bool:
    """Whether two values are one for JSON: 1 and 1.0 are, 1 and true are not."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(value, other[key]) for key, value in one.items())
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return isinstance(one, bool) == isinstance(other, bool) and bool(one == other)


def _between(least: float | None, most: float | None, above: float | None, below: float | None) -> Test:
    def inside(value: Any) -> bool:
        if not _number(value):
            return True
        over = (least is None or value >= least) and (above is None or value > above)
        return over and (most is None or value <= most) and (below is None or value < below)

    return inside


def _unlike(values: list[Any]) -> bool:
    """Whether no two entries are the same."""
    if all(isinstance(each, str) for each in values):
        return len(set(values)) == len(values)
    return not any(_same(one, other) for n, one in enumerate(values) for other in values[:n])


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


_TYPES: Mapping[str, Test] = {
    "string": lambda value: isinstance(value, str),
    "object": lambda value: isinstance(value, dict),
    "array": lambda value: isinstance(value, list),
    "boolean": lambda value: isinstance(value, bool),
    "null": lambda value: value is None,
    "number": _number,
    "integer": lambda value: _number(value) and (isinstance(value, int) or value.is_integer()),
}
