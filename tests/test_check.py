"""The checker: one fault gives one problem, at its line, in words that say what would be right."""

import json
import random
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from docgen.check import FORMATS, check
from docgen.read import MAX_PROBLEMS, read_profile, read_text

FOLDER = Path(__file__).resolve().parent / "profiles" / "read" / "schema"
SCHEMA = json.loads((FOLDER / "small.schema.json").read_text(encoding="utf-8"))
CASES = sorted(path.stem for path in FOLDER.glob("*.yaml"))
GOOD = (FOLDER / "good.yaml").read_text(encoding="utf-8")


def lines(problems):
    return "".join(f"{each.line}:{each.column} {each.path}: {each.message}; {each.hint}\n" for each in problems)


def test_the_schema_of_these_tests_is_a_schema():
    """JSON Schema 2020-12 accepts the small schema, our own keywords among it."""
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("case", CASES)
def test_problems_of_a_file(case):
    """Each file of the table gives exactly the problems written beside it, in the order of their places."""
    source = read_profile(FOLDER / f"{case}.yaml")
    assert lines(check(source, schema=SCHEMA)) == (FOLDER / f"{case}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("case", CASES)
def test_the_validator_agrees_which_files_are_faulty(case):
    """jsonschema on the schema as written, without our formats and ids, finds no fault where we find none."""
    source = read_profile(FOLDER / f"{case}.yaml")
    if not check(source, schema=SCHEMA):
        assert list(Draft202012Validator(SCHEMA).iter_errors(source.data)) == []
    elif case not in ("ids", "no-ids", "ids-unsure", "quantities", "no-cascade"):
        assert list(Draft202012Validator(SCHEMA).iter_errors(source.data)) != []


def of(schema, text):
    return lines(check(read_text(text), schema=schema))


def keyed(**rule):
    return {"properties": {"k": {"description": "A key.", **rule}}}


INNER = {"k": {"$ref": "#/$defs/n"}, "v": {"type": "string"}}
ENDLESS = {"properties": {"k": {"$ref": "#/$defs/n"}}, "$defs": {"n": {"properties": INNER}}}
KEYWORDS = [
    (keyed(exclusiveMinimum=0), "k: 0", "1:4 k: 0 is out of range; it must be more than 0; A key\n"),
    (keyed(exclusiveMaximum=1.5), "k: 1.50", "1:4 k: 1.50 is out of range; it must be less than 1.5; A key\n"),
    (keyed(multipleOf=5), "k: 7", "1:4 k: 7 is out of range; it must be a multiple of 5; A key\n"),
    (keyed(maxItems=1), "k: [a, b]", "1:1 k: 'k' has 2 entries; at most 1 allowed; A key\n"),
    (keyed(minProperties=1), "k: {}", "1:1 k: 'k' has no keys; at least 1 needed; A key\n"),
    (keyed(maxProperties=1), "k: {a: b, c: d}", "1:1 k: 'k' has 2 keys; at most 1 allowed; A key\n"),
    (keyed(propertyNames={"pattern": "^[a-z]+$"}), "k: {A1: b}",
     "1:5 k.A1: the key 'A1' is not written as it should be; A key\n"),
    (keyed(type=["integer", "null"]), "k: x", "1:4 k: a whole number or null is wanted here, not text; A key\n"),
    (keyed(type="integer"), "k: 1.5",
     "1:4 k: a whole number is wanted here, not the number 1.5; write a whole number\n"),
    (keyed(type="string"), "k: true", '1:4 k: text is wanted here, not true; put it in quotes: write it as  k: "true"\n'),
    (keyed(enum=[1, True, None]), "k: 2",
     "1:4 k: '2' is not one of the values allowed here; allowed: 1, true, null\n"),
    (keyed(enum=[["a", "b"], {"c": "d"}]), "k: e",
     "1:4 k: 'e' is not one of the values allowed here; allowed: [a, b], {c: d}\n"),
    (keyed(const="a"), "k: b", "1:4 k: 'b' is not what must stand here; write a\n"),
    (keyed(contains={"const": 1}), "k: [2]", "1:4 k: this does not meet the rule 'contains' of the schema; A key\n"),
    (keyed(**{"not": {"const": "b"}}), "k: b", "1:4 k: this value is not allowed here; A key\n"),
    ({"properties": {"k": False}}, "k: b", "1:1 k: 'k' is not allowed here; take it out\n"),
    ({"not": {"required": ["a", "b"]}}, "a: x\nb: z", "2:1 b: 'a' and 'b' may not stand together; keep one of them\n"),
    ({"not": {"anyOf": [{"required": ["a"]}, {"required": ["b"]}]}}, "b: z",
     "1:1 b: 'b' is not allowed here; take it out\n"),
    (keyed(anyOf=[{"type": "string", "format": "length"}, {"type": "array"}]), "k: 6 min",
     "1:4 k: 6 min is a time; a length is wanted; write 25 ft or 7.62 m\n"),
    (keyed(oneOf=[{"type": "string"}, {"minLength": 1}]), "k: x",
     "1:4 k: this fits more than one of the forms allowed here; A key\n"),
    (ENDLESS, "k: {k: {k: {v: 1}}}", '1:16 k.k.k.v: text is wanted here, not the number 1; put it in quotes: write it as  v: "1"\n'),
    ({"patternProperties": {"^x-": True}, "additionalProperties": False}, "x-a: 1\ny: 2",
     "2:1 y: unknown key 'y'; take it out\n"),
    ({"additionalProperties": {"type": "string"}}, "a: 1",
     '1:4 a: text is wanted here, not the number 1; put it in quotes: write it as  a: "1"\n'),
    (keyed(prefixItems=[{"type": "string"}], items=False), "k: [a, b]",
     "1:1 k: 'k' has 2 entries; at most 1 allowed; A key\n"),
    ({"if": {"required": ["a"]}, "then": {"required": ["b"]}, "else": {"required": ["c"]}}, "a: x",
     "1:1 b: the file lacks 'b', needed because 'a' is given; add 'b'\n"),
    ({"if": {"required": ["a"]}, "then": {"required": ["b"]}, "else": {"required": ["c"]}}, "x: z",
     "1:1 c: the file lacks 'c'; add 'c'\n"),
]  # fmt: skip


@pytest.mark.parametrize(("schema", "text", "expected"), KEYWORDS, ids=lambda each: str(each)[:20])
def test_each_keyword_has_its_sentence(schema, text, expected):
    """Every keyword says what is wrong and what would be right, in one problem."""
    assert of(schema, text) == expected


@pytest.mark.parametrize(
    ("name", "hint"),
    [("mass", "write 310 lb or 140 kg"), ("interval", "write 12 months or 30 days"),
     ("date", "write year-month-day, such as 2026-11-01")],
)  # fmt: skip
def test_a_wrong_type_where_a_format_is_wanted(name, hint):
    """What is neither text nor a number is told what kind is wanted, with an example where the schema has none."""
    (problem,) = check(read_text("k: true"), schema={"properties": {"k": {"type": "string", "format": name}}})
    article = "an" if name == "interval" else "a"
    assert (problem.message, problem.hint) == (f"{article} {name} is wanted here, not true", hint)


@pytest.mark.parametrize("name", FORMATS)
def test_formats_apply_to_text_only(name):
    """A format refuses text that it cannot read, with the words of units, and lets any other type pass."""
    (problem,) = check(read_text("k: nonsense"), schema=keyed(format=name))
    assert "'nonsense' is not a" in problem.message
    for value in ("true", "12", "[a]", "{a: b}", "null"):
        assert check(read_text(f"k: {value}"), schema=keyed(format=name)) == ()


def test_reading_problems_come_back_alone_when_there_is_no_data():
    """A file that cannot be read gives its reading problems, whatever the schema."""
    source = read_text("a: [")
    assert check(source, schema=SCHEMA) == source.problems != ()


def test_a_hundred_problems_are_enough():
    """More than a hundred problems are cut, and that is said; the reading of the data stays bounded."""
    found = check(read_text("bays: [" + "3, " * 20_000 + "]"), schema=SCHEMA)
    assert len(found) == MAX_PROBLEMS + 1
    assert found[-1].message == f"more than {MAX_PROBLEMS} problems; the rest is not listed"


def test_thousands_of_wrong_references_stay_bounded():
    """Names are compared with a limited number of others, so that a hostile file cannot make the checker crawl."""
    text = "equipment: [" + "".join(f"{{id: E{number}, kind: rope, length: 3 m}}, " for number in range(3000)) + "]\n"
    parts = ", ".join(f"F{number}" for number in range(3000))
    text += f"systems: [{{id: S, parts: [{parts}]}}]\nsite: {{id: KS, jurisdiction: US-KS}}"
    found = check(read_text(text), schema=SCHEMA)
    assert len(found) == MAX_PROBLEMS + 1
    assert found[0].message == "nothing under equipment or systems has the id 'F0'"


SPOILT = ["yes", "25", "{", "}", "[", "]", ": ", "- ", "\n", "\t", "'", '"', "&a ", "*a", "!!x ", "null", "1e3", "  ",
          "\x07", "\u2028", "|\n", "true", "3 ft", "#", "? "]  # fmt: skip


@pytest.mark.parametrize("seed", range(40))
def test_spoilt_files_give_problems_and_nothing_else(seed):
    """Whatever is cut from or put into a good file: no exception, places in the file, both sentences, in order."""
    chance = random.Random(seed)
    for _ in range(15):
        text = GOOD
        for _ in range(chance.randint(1, 5)):
            at = chance.randrange(len(text))
            text = text[:at] + chance.choice(SPOILT) + text[at + chance.choice([0, 0, 1, 3, 10]) :]
        found = check(read_text(text), schema=SCHEMA)
        assert all(each.line >= 1 and each.column >= 1 and each.message and each.hint for each in found)
        assert all(each.line <= text.count("\n") + 1 for each in found)
        assert list(found) == sorted(found)
        assert len({(each.line, each.column, each.path) for each in found}) == len(found)


def test_the_schema_of_the_project_is_found_by_name():
    """Without a schema of its own the check takes the project's; an empty profile lacks what that one requires."""
    found = check(read_text("nonsense: 1"))
    assert any(each.path == "nonsense" and each.message.startswith("unknown key") for each in found)
