"""The quick test of a file against its schema, held against the library: the same answer for every demo, every log and a thousand files altered at random."""

import copy
import random

import pytest
from support import SITES

from docgen.check import Schema, compiled
from docgen.fits import fitting
from docgen.logbook import log_form
from docgen.read import read_profile

DEMOS = sorted(p.parent.name for p in SITES.glob("*/profile.yaml"))
ODD = (
    None,
    True,
    False,
    0,
    1,
    1.0,
    2.5,
    -3,
    "",
    "x",
    "12 ft",
    "12",
    "unknown",
    "2026-13-40",
    "2026-02-03",
    [],
    [1, 1],
    [True, 1],
    ["a", "a"],
    {},
    {"value": "12 ft"},
    {"en": "a"},
)


def places(value, at=()):
    """Every place in some data."""
    yield at
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, each in inner:
        yield from places(each, (*at, key))


def altered(data, chance):
    """The data with one thing changed: an odd value, something gone, a key too many, an entry twice."""
    data = copy.deepcopy(data)
    *way, last = chance.choice([p for p in places(data) if p])
    owner = data
    for step in way:
        owner = owner[step]
    match chance.randrange(4):
        case 0:
            owner[last] = chance.choice(ODD)
        case 1:
            del owner[last]
        case 2 if isinstance(owner, dict):
            owner[chance.choice(["odd", "id", "value", "en", "x y", ""])] = chance.choice(ODD)
        case 2 | 3 if isinstance(owner, list):
            owner.append(copy.deepcopy(owner[last]))
        case _:
            owner[last] = [owner[last]]
    return data


def agree(schema, data):
    """Whether it fits, where both say the same."""
    wrong = next(iter(schema.validator.iter_errors(data)), None)
    assert schema.fits(data) is (wrong is None), wrong
    return wrong is None


@pytest.mark.parametrize("name", DEMOS)
def test_a_profile_altered_at_random(name):
    """The library and the quick test agree; what is right is seen to be right, so that the library is not asked."""
    data, schema, chance = read_profile(SITES / name).data, compiled("site_profile"), random.Random(name)
    assert agree(schema, data) or name in ("sable-point", "cormorant-quay")
    seen = {agree(schema, altered(data, chance)) for _ in range(6)}
    sections = [key for key in data if isinstance(data[key], list | dict)]
    one = Schema({**schema.written, "required": []})  # a section alone is quicker to look at
    for _ in range(60):
        key = chance.choice(sections)
        seen.add(agree(one, altered({key: data[key]}, chance)))
    assert seen == {True, False}


@pytest.mark.parametrize("name", ["harrow-ridge", "pellan-creek"])
def test_a_log_altered_at_random(name):
    """The same of a log, each entry by its kind."""
    data, chance, seen = read_profile(SITES / name / "log.yaml").data, random.Random(name), set()
    for n in range(80):
        at = chance.randrange(len(data["entries"]))
        one = {"log": 1, "entries": data["entries"][at : at + 2]}
        new = altered(one, chance) if n else one
        entries = new.get("entries")
        schema = log_form(entries if isinstance(entries, list) else [], chance.randrange(2))
        seen.add(agree(schema, new))
    assert seen == {True, False}


#: Schemas of one keyword or two, with values on either side of each.
WORDS = [
    ({"type": ["integer", "null"]}, (1, 1.0, 1.5, True, None, "1")), ({"type": "number"}, (1, 1.5, True, "1")),
    ({"enum": [1, True, "a", None]}, (1, 1.0, True, "a", "b", None, False)), ({"const": [1]}, ([1], [True], [1, 2], 1)),
    ({"const": 0}, (0, False, 0.0)), ({"minimum": 1, "maximum": 2}, (0, 1, 2, 3, True, "0")), ({"exclusiveMinimum": 1, "exclusiveMaximum": 2}, (1, 1.5, 2)),
    ({"minLength": 1, "maxLength": 2}, ("", "a", "abc", 1)), ({"pattern": "^a"}, ("a", "ba", 1)), ({"format": "date"}, ("2026-01-02", "2026-02-31", 3)),
    ({"required": ["a"]}, ({}, {"a": 1}, [])), ({"minProperties": 1, "maxProperties": 1}, ({}, {"a": 1}, {"a": 1, "b": 1}, [])),
    ({"propertyNames": {"pattern": "^a"}}, ({"a": 1}, {"b": 1})), ({"properties": {"a": False}, "additionalProperties": {"type": "string"}}, ({"a": 1}, {"b": "x"}, {"b": 1})),
    ({"properties": {"a": True}, "additionalProperties": False}, ({"a": 1}, {"b": 1})),
    ({"items": {"type": "string"}, "minItems": 1, "maxItems": 2}, ([], ["a"], ["a", 1], ["a"] * 3, "a")),
    ({"prefixItems": [{"type": "string"}], "items": False}, ([], ["a"], [1], ["a", "b"])), ({"prefixItems": [{"type": "string"}]}, (["a", 2], [2])),
    ({"uniqueItems": True}, ([1, True], [1, 1.0], [{}, {}], ["a", "a"], ["a", "b"], [[1], [1]])),
    ({"allOf": [{"type": "string"}, {"minLength": 2}]}, ("a", "ab", 1)), ({"anyOf": [{"type": "string"}, {"minimum": 2}]}, ("a", 1, 2)),
    ({"oneOf": [{"type": "integer"}, {"minimum": 2}]}, (1, 1.5, 2, 2.5)), ({"not": {"required": ["a"]}}, ({}, {"a": 1})),
    ({"if": {"required": ["a"]}, "then": {"required": ["b"]}, "else": {"maxProperties": 1}}, ({"a": 1}, {"a": 1, "b": 1}, {"c": 1}, {"c": 1, "d": 1})),
    ({"$ref": "#/$defs/tree", "$defs": {"tree": {"items": {"$ref": "#/$defs/tree"}, "type": "array"}}}, ([], [[]], [[[1]]], 1)),
]  # fmt: skip


@pytest.mark.parametrize(("root", "values"), WORDS, ids=[" ".join(root) for root, _ in WORDS])
def test_each_keyword(root, values):
    """JSON Schema 2020-12, keyword by keyword; each test has values that fit and values that do not."""
    schema = Schema(root)
    assert {agree(schema, value) for value in values} == {True, False}


def test_what_it_does_not_know_it_leaves_to_the_library():
    """A keyword or a format without a quick test is no reason to say that all is well."""
    for root in ({"multipleOf": 2}, {"properties": {"a": {"contains": {}}}}, {"format": "email"}, {"patternProperties": {}}):
        assert not fitting(root, lambda _: {}, {})({"a": 1})
        assert next(Schema(root).validator.iter_errors({"a": 1}), None) is None
    assert fitting({"properties": {"a": {"contains": {}}}}, lambda _: {}, {})({"b": 1})
    assert Schema({"multipleOf": 2}).errors(3)
    assert not Schema({"multipleOf": 2}).errors(4)
