"""The one loader of our own YAML: a second key, an unknown key and a wrong type are errors with their place, in every file."""

import ast
import json
import random
import re
import shutil
import subprocess
import sys
import typing
from datetime import date
from pathlib import Path

import jsonschema
import pytest
import yaml

import docgen
from docgen import data
from docgen import papers as outline
from docgen.control import kinds
from docgen.control.fields import How
from docgen.data import Blocks, files, load, read
from docgen.errors import DataError
from docgen.resources import data_folder, schema_text
from docgen.shapes import Shape, shape
from docgen.text import said, screens
from docgen.trade import classes, practice
from docgen.units import KINDS, UnitProblem, parse, parse_interval
from docgen.words import finding_text, findings_words, words

PACKAGE = Path(docgen.__file__).parent
FILES = list(files())
SCHEMAS = sorted({name for _, name in FILES})
NAMES = [str(path.relative_to(path.parents[3])) for path, _ in FILES]
EACH = pytest.mark.parametrize(("path", "schema"), FILES, ids=NAMES)
UNKNOWN = "no such key!"


def plain(value):
    """Data as JSON has it: days as text."""
    if isinstance(value, dict):
        return {plain(key): plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return value.isoformat() if isinstance(value, date) else value


def checker() -> jsonschema.FormatChecker:
    formats = jsonschema.FormatChecker(["date", "regex"])
    for kind in KINDS:
        formats.checks(kind, raises=UnitProblem)(lambda value, kind=kind: not isinstance(value, str) or bool(parse(value, kind)))
    formats.checks("interval", raises=UnitProblem)(lambda value: not isinstance(value, str) or bool(parse_interval(value)))
    return formats


def outside(schema: str) -> jsonschema.Draft202012Validator:
    """The known validator for a schema, or for a definition in one."""
    stem, _, definition = schema.partition("/")
    whole = json.loads(schema_text(stem))
    wanted = {"$schema": whole["$schema"], "$defs": whole["$defs"], "$ref": f"#/$defs/{definition}"} if definition else whole
    return jsonschema.Draft202012Validator(wanted, format_checker=checker())


def nodes(text: str):
    """Every mapping and every scalar value of a text, the outer first: (depth, node)."""
    waiting = [(0, yaml.compose(text, yaml.CSafeLoader))]
    for depth, node in waiting:
        yield depth, node
        if isinstance(node, yaml.MappingNode):
            waiting += [(depth + 1, value) for _, value in node.value]
        elif isinstance(node, yaml.SequenceNode):
            waiting += [(depth + 1, value) for value in node.value]


def with_key(text: str, mapping, key: str) -> tuple[str, int]:
    """The text with one more key before the first of a mapping, and its line."""
    mark = mapping.value[0][0].start_mark
    gap = ", " if mapping.flow_style else "\n" + " " * mark.column
    return f"{text[: mark.index]}{key}: x{gap}{text[mark.index :]}", mark.line + 1


def refusal(path: Path, text: str, schema: str, tmp_path: Path) -> str:
    """What the loader says of a changed text; empty where it takes it."""
    changed = tmp_path / path.name
    changed.write_text(text, encoding="utf-8")
    try:
        load(changed, schema)
    except DataError as error:
        return str(error).replace(f"{changed}:", "")
    return ""


# The files as they are


@EACH
def test_every_file_keeps_its_schema(path, schema):
    """Our own check and the known validator both take every file, regular expressions and quantities included."""
    content = load(path, schema, thorough=True)
    assert [f"{'/'.join(map(str, e.path))}: {e.message}" for e in outside(schema).iter_errors(plain(content))] == []


@pytest.mark.parametrize("name", sorted({name.partition("/")[0] for name in SCHEMAS}))
def test_every_schema_is_valid_and_wholly_understood(name):
    """Each is a JSON Schema of 2020-12, and the loader knows every keyword in it."""
    root = json.loads(schema_text(name))
    jsonschema.Draft202012Validator.check_schema(root)
    understood = Shape(name, root)

    def every(node):
        understood.check(node)
        for keyword in ("properties", "patternProperties", "$defs"):
            for each in node.get(keyword, {}).values():
                every(each)
        for keyword in ("items", "additionalProperties", "propertyNames", "if", "then", "else", "not"):
            if isinstance(node.get(keyword), dict):
                every(node[keyword])
        for keyword in ("anyOf", "oneOf", "allOf"):
            for each in node.get(keyword, ()):
                every(each)

    every(root)


def test_a_keyword_that_the_loader_does_not_know_is_refused():
    """A schema cannot ask for something that would be silently left out."""
    with pytest.raises(ValueError, match="the keyword 'maxLength' is not known"):
        Shape("own", {}).check({"type": "string", "maxLength": 3})
    with pytest.raises(ValueError, match="the format 'email' is not known"):
        Shape("own", {}).check({"type": "string", "format": "email"})


def test_nothing_else_loads_yaml():
    """PyYAML is used in read.py (profiles) and data.py (our own files) only; control/replace.py and control/comments.py ask it for places in a text, never for values."""
    users = set()
    for path in PACKAGE.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        imported = {
            name.split(".")[0]
            for node in ast.walk(ast.parse(text))
            if isinstance(node, ast.Import | ast.ImportFrom)
            for name in ([node.module or ""] if isinstance(node, ast.ImportFrom) else [alias.name for alias in node.names])
        }
        if imported & {"yaml", "ruamel"} or re.search(r"yaml\.load|SafeLoader", text):
            users.add(path.relative_to(PACKAGE).as_posix())
    assert users == {"read.py", "data.py", "control/replace.py", "control/edit.py", "control/comments.py"}


def test_the_command_checks_every_file():
    """`python -m docgen.data` is what a commit runs."""
    done = subprocess.run([sys.executable, "-m", "docgen.data"], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, f"{len(FILES)} files keep their schemas\n")


# What is wrong in them


@EACH
def test_a_second_key_is_an_error(path, schema, tmp_path):
    """The first key of a file appended again, and the first of each depth put in twice, are told with both places."""
    text = path.read_text(encoding="utf-8")
    first = yaml.compose(text, yaml.CSafeLoader).value[0][0]
    line = text.count("\n") + 1
    told = refusal(path, f"{text}{first.value}: x\n", schema, tmp_path)
    assert (
        told
        == f"{line}:1: the key '{first.value}' stands twice (first in line {first.start_mark.line + 1}); join the two or remove one"
    )
    depths = {}
    for depth, node in nodes(text):
        if isinstance(node, yaml.MappingNode):
            depths.setdefault(depth, node)
    for node in depths.values():
        key = node.value[0][0]
        raw = text[key.start_mark.index : key.end_mark.index]
        changed, line = with_key(text, node, raw)
        told = refusal(path, changed, schema, tmp_path)
        assert re.match(rf"{line if node.flow_style else line + 1}:\d+: the key '{re.escape(key.value)}' stands twice", told), (
            told
        )


@EACH
def test_an_unknown_key_is_an_error(path, schema, tmp_path):
    """A key put into the first mapping of each depth is refused with its place wherever the known validator refuses it."""
    text = path.read_text(encoding="utf-8")
    validator, refused, depths = outside(schema), 0, {}
    for depth, node in nodes(text):
        if isinstance(node, yaml.MappingNode):
            depths.setdefault(depth, node)
    for node in depths.values():
        changed, line = with_key(text, node, UNKNOWN)
        told = refusal(path, changed, schema, tmp_path)
        assert bool(told) is not validator.is_valid(plain(read(tmp_path / path.name))), told
        if told:
            assert re.search(rf"(?m)^{line}:\d+: .*the key '{re.escape(UNKNOWN)}' ", told), told
            refused += 1
    assert refused


@EACH
def test_a_wrong_type_is_an_error(path, schema, tmp_path):
    """A list in a list, put in place of the first texts and figures, is refused with its place where it cannot stand."""
    text = path.read_text(encoding="utf-8")
    validator, refused = outside(schema), 0
    scalars = [node for _, node in nodes(text) if isinstance(node, yaml.ScalarNode) and node.value]
    for node in scalars[:4]:
        begin, end = node.start_mark.index, node.end_mark.index
        broken = "\n" if text[end - 1] == "\n" else ""  # a text in block form ends with its line
        told = refusal(path, f"{text[:begin]}[[wrong]]{broken}{text[end:]}", schema, tmp_path)
        assert bool(told) is not validator.is_valid(plain(read(tmp_path / path.name))), told
        if told:
            line, column = node.start_mark.line + 1, node.start_mark.column + 1
            assert re.search(rf"(?m)^{line}:{column}: .*must be ", told), told
            refused += 1
    assert refused


ODD = ("x", "", " x", "5 ft", "-3 kg", 7, -1, 0, True, None, [], {}, ["a", "a"], [1], {"a": "b"}, "2026-02-30", "read")


def changed_once(content, dice: random.Random):
    """The data with one value put in, left out, named otherwise, or changed."""
    places = []

    def walk(value):
        if isinstance(value, dict | list):
            places.extend((value, key) for key in (value if isinstance(value, dict) else range(len(value))))
            for each in value.values() if isinstance(value, dict) else value:
                walk(each)

    walk(content)
    holder, key = dice.choice(places)
    act = dice.randrange(4)
    if act == 0:
        del holder[key]
    elif act == 1 and isinstance(holder, dict):
        holder[dice.choice(("Odd key", "odd", "odd-key", "X"))] = dice.choice(ODD)
    elif act == 2 and isinstance(holder, list):
        holder.append(dice.choice(ODD))
    else:
        holder[key] = dice.choice(ODD)


@pytest.mark.parametrize("schema", sorted({name for _, name in FILES}))
def test_the_loader_judges_as_the_known_validator(schema):
    """On data changed at random both say yes or both say no: the loader's check is light, not another one."""
    path = min((path for path, name in FILES if name == schema), key=lambda p: p.stat().st_size)
    found, node = shape(schema, thorough=True)
    validator, dice, seen = outside(schema), random.Random(schema), set()
    for _ in range(40 if path.stat().st_size < 20_000 else 10):
        content = read(path)
        changed_once(content, dice)
        faults, right = found.check(node)(content), validator.is_valid(plain(content))
        assert (not faults) is right, (faults, list(validator.iter_errors(plain(content))))
        seen.add(right)
    assert False in seen


TEXTS = [  # a text, the schema, what is said of it
    ("a: 1\n--- \nb: 2\n", "usual", r"2:1: a second document begins here; keep one in a file"),
    ("a: [x\n", "usual", r"2:1: is not YAML: "),
    ("a:\n\tb: x\n", "usual", r"2:1: is not YAML: "),
    ("a: x\x07\n", "usual", r"1:5: is not YAML: "),
    ("- a\n", "usual", r"1:1: must be a mapping"),
    ("", "usual", r"1:1: must be a mapping"),
    ("a: &b {c: x}\nd: *b\n", "usual", r"2:4: an alias puts one value in two places; write the plain value each time"),
    ("a: &b {c: *b}\n", "usual", r"1:11: an alias puts one value in two places"),
    ("a: !!set {b, c}\n", "usual", r"1:4: the tag tag:yaml.org,2002:set is not read here"),
    ("a: !!float 1\n", "usual", r"1:4: the tag tag:yaml.org,2002:float is not read here"),
    ("a: !own x\n", "usual", r"1:4: the tag !own is not read here"),
    ("? [a, b]\n: x\n", "usual", r"1:3: a key must be one word or text"),
    ("1: x\n", "usual", r"1:1: the key 1 must be text; put it in quotes"),
    ("true: x\n", "usual", r"1:1: the key true must be text; put it in quotes"),
    ("2026-03-02: x\n", "words", r"1:1: the key '2026-03-02' is not known here"),
    ("2026-02-30: x\n", "usual", r"1:1: '2026-02-30' cannot be read: day is out of range"),
    ("a: 2026-03-02\n", "usual", r"1:4: a: must be text, not a day; put it in quotes"),
    ("a: 7\n", "usual", r"1:4: a: must be text, not a whole number"),
    ("a:\n", "usual", r"1:3: a: must not be empty"),
    ("a: [[[[" + "[" * 3000 + "\n", "usual", r"1:\d+: is not YAML: exceeded maximum nesting depth"),
    (
        "note: n\nquestions:\n  all: [a]\nb: x\n",
        "code/not_looked",
        r"4:1: the key 'b' is not known here; there are note, questions",
    ),
    ("a: {of: a house}\n", "code/copies", r"1:4: a: the key 'grade' is missing; add it: what was seen of the words"),
    (
        "a: {grade: hearsay, of: b}\n",
        "code/copies",
        r"1:12: a: grade: must be one of official, publisher, copy, secondary, not hearsay",
    ),
    (
        "a: {all: {2017-01-17: {says: x, source: c, read: {in: d}}}}\n",
        "code/answers",
        r"1:50: a: all: 2017-01-17: read: the key 'on' is missing; add it: the day on which it was read",
    ),
    (
        "a: {all: {2017-01-17: {says: x, source: c, read: {on: 2026-01-01, in: d}, recalled: true}}}\n",
        "code/answers",
        r"1:23: a: all: 2017-01-17: is two things at once",
    ),
    ("a: {all: {2017-01-17: {says: x, source: c}}}\n", "code/answers", r"1:23: a: all: 2017-01-17: the key 'read' is missing"),
    (
        "EN 360: {years: [1899], kinds: [srd]}\n",
        "editions",
        r"1:\d+: EN 360: years: entry 1: must be at least 1900 and at most 2199, not 1899; a year",
    ),
    (
        "EN 360: {years: ['2023'], kinds: [srd]}\n",
        "editions",
        r"1:\d+: EN 360: years: entry 1: must be a whole number, not text; a year, such as 2021",
    ),
    (
        "EN360: {years: [2023], kinds: [srd]}\n",
        "editions",
        r"1:1: the key 'EN360' is not of the form wanted here; the number as marked",
    ),
]


@pytest.mark.parametrize(("text", "schema", "told"), TEXTS, ids=[repr(text)[:24] for text, _, _ in TEXTS])
def test_what_is_no_data_is_one_message(tmp_path, text, schema, told):
    """Whatever stands in a file, the error names file, line and column."""
    path = tmp_path / "own.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DataError, match=rf"own\.yaml:(?:{told})"):
        load(path, schema)


def test_a_file_that_cannot_be_read_is_one_message(tmp_path):
    """Missing, a folder, not UTF-8."""
    with pytest.raises(DataError, match=r"own\.yaml: cannot be read \(No such file"):
        load(tmp_path / "own.yaml", "usual")
    with pytest.raises(DataError, match=r"cannot be read \(Is a directory"):
        load(tmp_path, "usual")
    (tmp_path / "own.yaml").write_bytes(b"a: \xff\n")
    with pytest.raises(DataError, match=r"own\.yaml: is not UTF-8 text; save it as UTF-8"):
        load(tmp_path / "own.yaml", "usual")


def test_all_faults_are_told_at_once(tmp_path):
    """One a line in the order of the file, so that one run shows what a translation lacks."""
    path = tmp_path / "own.yaml"
    path.write_text("a: 1\nb: x\nc: 2\n", encoding="utf-8")
    with pytest.raises(DataError) as caught:
        load(path, "usual")
    assert [line.removeprefix(f"{path}:")[:4] for line in str(caught.value).splitlines()] == ["1:4:", "3:4:"]
    path.write_text("".join(f"k{n}: 1\n" for n in range(30)), encoding="utf-8")
    with pytest.raises(DataError, match=r"and 10 more$"):
        load(path, "usual")


def test_plain_text_stays_as_it_is_written(tmp_path):
    """What versions of YAML read differently is text here."""
    path = tmp_path / "own.yaml"
    plain_words = ["yes", "on", "~", "12:30", "0755", "1e3", "0.50", "0x1f", "1_000", "5.0 ft", "2026-3-2", "True", "NULL"]
    path.write_text("".join(f"k{n}: {text}\n" for n, text in enumerate(plain_words)), encoding="utf-8")
    assert [*load(path, "usual").values()] == plain_words
    path.write_text("[true, false, null, 0, -7, 2026-03-02, '7', \"true\"]\n", encoding="utf-8")
    assert read(path) == [True, False, None, 0, -7, date(2026, 3, 2), "7", "true"]


# Entry by entry

ENTRY = "title: t\n    message: m\n    action: a\n    why: w\n"
ENTRIES = [  # a file of sentences of findings, what is said on opening it or on asking for `one`
    (f"findings:\n  one:\n    {ENTRY}  one:\n    {ENTRY}", r"7:3: the key 'one' stands twice \(first in line 2\)"),
    (f"findings:\n  one:\n    {ENTRY}more: x\n", r"7:1: the key 'more' is not known here; there are findings"),
    (
        f"findings:\n  one:\n    {ENTRY}findings:\n  two:\n    {ENTRY}",
        r"7:1: the key 'findings' stands twice \(first in line 1\)",
    ),
    (
        f"findings:\n  one:\n    {ENTRY}'findings':\n  one: x\n",
        r"7:1: here must stand a comment or a key; write 'key:' at the margin",
    ),
    (f"findings:\n  one:\n    {ENTRY}  'one':\n    {ENTRY}", r"7:3: here must stand a comment or a key; write 'key:' after two"),
    (f"findings:\n one:\n    {ENTRY}", r"2:2: here must stand a comment or a key; write 'key:' after two blanks"),
    (f"findings:\n  One_two:\n    {ENTRY}", r"2:1: the key 'One_two' is not of the form wanted here"),
    (
        "findings: {one: {title: t, message: m, action: a, why: w}}\n",
        r"1:10: write the entries of 'findings' in lines of their own",
    ),
    ("other:\n  one: x\n", r"1:1: the key 'findings' is missing"),
    ("\ufefffindings:\n  one: x\n", r"1:1: here must stand a comment or a key"),
    (f"findings:\n  one:\n    {ENTRY}    title: u\n", r"7:5: the key 'title' stands twice \(first in line 3\)"),
    (f"findings:\n  one:\n    {ENTRY}    note: u\n", r"7:5: one: the key 'note' is not known here; there are title"),
    (
        "findings:\n  # as below\n  one:\n    title: t\n    message: m\n    why: w\n",
        r"4:5: one: the key 'action' is missing; add it",
    ),
    (
        "findings:\n  one:\n    title: t\n    message: [m]\n    action: a\n    why: w\n",
        r"4:14: one: message: must be text, not a list",
    ),
    ("findings:\n  one: {title: t}, {}\n", r"2:18: is not YAML: "),
]


@pytest.mark.parametrize(("text", "told"), ENTRIES, ids=[row[1][:30] for row in ENTRIES])
def test_entries_are_strict_without_being_parsed(tmp_path, text, told):
    """A file read entry by entry is no less strict: keys are looked at on opening, an entry when it is asked for."""
    path = tmp_path / "own.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DataError, match=rf"own\.yaml:{told}"):
        Blocks(path, "findings", under="findings")["one"]


def test_an_entry_is_parsed_when_it_is_asked_for(tmp_path):
    """What is wrong inside another entry is not looked at; lines of entries are known."""
    path = tmp_path / "own.yaml"
    path.write_text(f"# head\nfindings:\n  one:\n    {ENTRY}\n  # apart\n  two: [\n", encoding="utf-8")
    entries = Blocks(path, "findings", under="findings")
    assert entries["one"] == {"title": "t", "message": "m", "action": "a", "why": "w"}
    assert (list(entries), entries.line("one"), entries.line("two"), "three" in entries) == (["one", "two"], 3, 10, False)
    with pytest.raises(DataError, match=r"own\.yaml:1[01]:\d+: is not YAML"):
        entries["two"]
    with pytest.raises(KeyError):
        entries["three"]


# What the program makes of it


@pytest.fixture(scope="module")
def house(tmp_path_factory) -> Path:
    """A copy of the program with one of its sites."""
    home = tmp_path_factory.mktemp("house")
    for name in ("docgen", "templates", "schemas"):
        shutil.copytree(PACKAGE.parent / name, home / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(PACKAGE.parent / "site_profiles" / "sable-point", home / "sable-point")
    return home


STRETCH = "stretch: {value: 0.5 ft, kind: length, source: none, basis: none}\n"
DAMAGE = [  # file, what is done to its text, what the user is told
    ("docgen/trade/practice.yaml", lambda text: text + STRETCH, r"practice\.yaml:\d+:1: the key 'stretch' stands twice"),
    ("docgen/trade/practice.yaml", lambda text: text.replace("\nstretch:", "\nstrech:"), r"'strech' is not known here; did you mean 'stretch'"),
    ("docgen/trade/practice.yaml", lambda text: text.replace("  basis: none\n", "", 1), r"practice\.yaml:\d+:3: \w+: the key 'basis' is missing"),
    ("docgen/trade/practice.yaml", lambda text: text.replace("1.5 ft", "1.5 lb"), r"stretch: value: 1.5 lb is a mass; a length is wanted"),
    (
        "templates/words/findings/en.yaml", lambda text: f"{text}  clearance-short:\n    {ENTRY}",
        r"findings/en\.yaml:\d+:3: the key 'clearance-short' stands twice \(first in line \d+\)",
    ),
    ("templates/words/findings/en.yaml", lambda text: f"{text}more: x\n", r"findings/en\.yaml:\d+:1: the key 'more' is not known here"),
    (
        "templates/words/findings/en.yaml", lambda text: text.replace("  clearance-short:", "  clearance-shor:"),
        r"findings: the finding 'clearance-short' has no sentences; add title",
    ),
    ("templates/words/en.yaml", lambda text: re.sub(r"(?m)^  cases: .*\n", "", text), r"en\.yaml:\d+:3: report: the key 'cases' is missing"),
    ("docgen/codes/us/limits.yaml", lambda text: text.replace("basis: read", "basis: guess"), r"limits\.yaml:\d+:\d+: .*basis: must be one of"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "damage", "told"), DAMAGE, ids=[row[2][:40] for row in DAMAGE])
def test_a_damaged_file_stops_the_check_with_one_message(house, name, damage, told):
    """No figure is taken from it, and no internal fault is shown."""
    path = house / name
    text = path.read_text(encoding="utf-8")
    assert damage(text) != text
    path.write_text(damage(text), encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "docgen.cli", "check", "sable-point", "--as-of", "2026-11-01"],
            cwd=house, env={"PYTHONPATH": str(house)}, capture_output=True, text=True, check=False,
        )  # fmt: skip
    finally:
        path.write_text(text, encoding="utf-8")
    assert (done.returncode, done.stdout) == (2, "")
    assert re.search(told, done.stderr)
    assert "internal fault" not in done.stderr


def test_a_place_in_a_sentence_that_nothing_fills_is_told_with_its_line(monkeypatch, tmp_path):
    """Braces of a sentence that the finding has no value for."""
    from types import SimpleNamespace

    path = tmp_path / "en.yaml"
    for message, said_of_it in (("{where}", "there is no value 'where'; there are: bay"), ("{}", "''"), ("{bay", "expected '}'")):
        entry = ENTRY.replace("message: m", f"message: '{message}'")
        path.write_text(f"findings:\n  one:\n    {entry}", encoding="utf-8")
        monkeypatch.setattr("docgen.words.findings_words", lambda language: Blocks(path, "findings", under="findings"))
        with pytest.raises(
            DataError, match=rf"en\.yaml:4:14: findings: one: message: the braces cannot be filled: .*{re.escape(said_of_it)}"
        ):
            finding_text(SimpleNamespace(name="one", values={"bay": "B1"}), "message", "en", "us")


def test_a_word_that_is_missing_is_told_with_its_section():
    """Asked for outright it is an error with the place; a template may still ask whether it is there."""
    with pytest.raises(DataError, match=r"words/en\.yaml:\d+:\d+: phrases: the key 'no_such' is missing; add it"):
        words("en")["phrases"]["no_such"]
    assert words("en")["phrases"].get("no_such") is None
    assert "clearance-short" in findings_words("en")


def test_a_pattern_that_is_none_is_told_with_its_line(tmp_path):
    """Expressions are compiled where they are first used."""
    path = tmp_path / "own.yaml"
    path.write_text("a: x\nb: '(x'\n", encoding="utf-8")
    assert data.pattern("x+", path).search("aXXb")[0] == "XX"
    with pytest.raises(DataError, match=r"own\.yaml:2: '\(x' is no regular expression: missing \), unterminated"):
        data.pattern("(x[0-9]", path, written="(x")


ROWS = [
    (practice, "practice", "figure"),
    (classes, "classes", ""),
    (outline, "document", ""),
    (screens, "screen", ""),
    (said, "subjects", ""),
]


@pytest.mark.parametrize(("module", "schema", "definition"), ROWS, ids=[row[1] for row in ROWS])
def test_rows_are_typed_as_their_schema_says(module, schema, definition):
    """The keys that the program reads, required or not, are those of the schema."""
    row = next(c for name, c in vars(module).items() if typing.is_typeddict(c) and name == "_Row")
    node = json.loads(schema_text(schema))
    if definition:
        node = node["$defs"][definition]
    for step in ("additionalProperties", "screens", "subjects"):
        inner = node.get("properties", {}).get(step) or (node.get(step) if step == "additionalProperties" else None)
        if isinstance(inner, dict):
            node = inner.get("items", inner)
    hints = typing.get_type_hints(row, include_extras=True)
    assert hints.keys() == node["properties"].keys()
    assert {key for key, kind in hints.items() if typing.get_origin(kind) is not typing.NotRequired} == set(node["required"])


def test_every_figure_of_the_trade_is_said_in_every_language():
    """Neither a figure without words nor words without a figure."""
    names = list(load(practice.FILE, "practice"))
    for path in (data_folder("templates") / "words" / "practice").glob("*.yaml"):
        assert sorted(load(path, "usual")) == sorted(names), path.name


def test_the_table_of_consequences_is_typed_as_its_schema_says():
    """The closed lists of the schema are those of the program."""
    defined = json.loads(schema_text("consequences"))["$defs"]
    assert defined["who"]["enum"] == list(typing.get_args(kinds.Who))
    assert defined["deadline"]["properties"]["before"]["enum"] == list(typing.get_args(kinds.Moment))
    assert defined["deadline"]["properties"]["at"]["enum"] == list(typing.get_args(kinds.Promptly))
    assert defined["rule"]["properties"]["is"]["items"]["enum"] == list(typing.get_args(How))
    assert sorted(defined["rule"]["properties"]["test"]["enum"]) == sorted(kinds.TESTS)


def test_templates_are_found_where_they_are_installed():
    """Every folder of data has its files among those that are checked."""
    there = {path for path, _ in FILES}
    assert {*data_folder("templates").rglob("*.yaml"), *PACKAGE.rglob("*.yaml")} == there
    assert not [path for root in (PACKAGE, data_folder("templates")) for path in root.rglob("*.yml")]
