"""A profile of 0.1.0: one answer on one screen, out of a table that is held against both formats."""

import re
from pathlib import Path

import pytest
from support import run

from docgen.older import format_problem, moved
from docgen.profile import read_site
from docgen.read import read_text
from docgen.site.forms import FORMS
from docgen.site.log import KINDS
from docgen.site.schema import entry_schema, profile_schema

HERE = Path(__file__).resolve().parent
FROZEN = HERE / "frozen" / "harrow-ridge-0.1.0"
# every field of the schema of 0.1.0 by its path, a list marked []; taken from that version once
OLD = (HERE / "frozen" / "fields-0.1.0.txt").read_text(encoding="utf-8").split()
SCREEN = (45, 80)  # lines, columns: own choice
COMMANDS = (
    ("check",), ("render", "--into", "{into}"), ("changes",), ("register", "--into", "{into}"), ("issue", "--by", "x"),
    ("approve", "--role", "rescue-lead", "--document", "rescue-procedure", "--by", "x"), ("hold", "on", "--by", "x", "--reason", "x"),
)  # fmt: skip


def names(schema):
    """Every field of a schema by its path, a list marked []."""
    forms = schema.get("$defs", {})
    found = []

    def whole(node):
        while "$ref" in node:
            node = {**forms[node["$ref"].rsplit("/", 1)[1]], **{k: v for k, v in node.items() if k != "$ref"}}
        return node

    def walk(node, at):
        node = whole(node)
        if node.get("type") == "array":
            at += "[]"
            inner = whole(node["items"])
        else:
            inner = node
        found.extend([at] if at else [])
        if inner.get("type") == "object":
            for key, each in inner["properties"].items():
                walk(each, f"{at}.{key}".lstrip("."))

    walk(schema, "")
    return found


NOW = names(profile_schema())
LOG = {
    f"log.{name}"
    for kind in KINDS
    for name in (kind, *(f"{kind}.{each}" for each in names(entry_schema(kind) | {"$defs": FORMS})))
}


def test_each_old_name_was_one():
    """What the table calls an old name was a field of 0.1.0, and stands in one row."""
    was = [name for row in moved() for name in row.was]
    assert [name for name in was if name not in OLD] == []
    assert sorted(was) == sorted(set(was))


def test_each_new_name_is_one():
    """Where the table sends a fact there is a field today, in the profile or in an entry of the log; what went to the log names the log."""
    now = [(row.group, name) for row in moved() for name in row.now]
    assert [name for _, name in now if name not in {*NOW, *LOG}] == []
    assert [(group, name) for group, name in now if (group == "log") is not name.startswith("log.")] == []


def test_no_field_of_0_1_0_is_lost():
    """Each field of 0.1.0 that is none today is in the table, by its own name or by that of its section: docgen/older.yaml, a row each."""
    was = {name for row in moved() for name in row.was}
    lost = [name for name in OLD if name not in NOW]

    def told(name):
        parts = name.split(".")
        above = {".".join(parts[: n + 1]) for n in range(len(parts))}
        below = [each for each in OLD if each.startswith(f"{name}.")]
        return bool(above & was) or (bool(below) and all(told(each) for each in below))

    assert [name for name in lost if not told(name)] == []


def test_what_stands_where_it_did_is_in_no_row():
    """A name that is a field today, in the same form, is not called moved."""
    assert [name for row in moved() for name in row.was if name in NOW] == []


@pytest.mark.parametrize("command", COMMANDS, ids=lambda each: each[0])
def test_one_screen(command, tmp_path):
    """Whatever is asked of the frozen site: one problem, on one screen, and nothing is written into its folder."""
    before = sorted((p, p.stat().st_mtime_ns) for p in FROZEN.rglob("*"))
    asked = [part.format(into=tmp_path / "out") for part in command]
    code, out, _ = run(asked[0], str(FROZEN), *asked[1:])
    assert code == 1
    lines = out.splitlines()
    assert "a profile of docgen 0.1.0" in lines[0]
    assert len(lines) <= SCREEN[0]
    assert max(len(line) for line in lines[1:-1]) <= SCREEN[1]
    assert "unknown key" not in out
    assert "bays[].rail.hang -> bays[].rail.line_exit_below_rail (line 57)" in out
    assert sorted((p, p.stat().st_mtime_ns) for p in FROZEN.rglob("*")) == before
    assert not (tmp_path / "out").exists()


def test_what_is_told_is_in_the_file():
    """Only names that the file has are told, with the line where each is met first."""
    (problem,) = read_site(FROZEN).problems
    text = (FROZEN / "profile.yaml").read_text(encoding="utf-8").splitlines()
    rows = re.findall(r"(?m)^ {2}(\S[^>]*?) *(?:->|\(line)(?:.|\n {6})*?\(line (\d+)\)", problem.hint)
    assert len(rows) > 10
    for was, line in rows:
        keys = [name.rsplit(".", 1)[-1] for name in was.split(", ")]
        told = text[int(line) - 1]
        assert any(told.lstrip().startswith("- ") if key.endswith("[]") else f"{key}:" in told for key in keys), (was, line)
    assert (problem.line, problem.column) == (1, 1)


HEAD = "site: {id: yard, name: Yard, jurisdiction: US-KS}\n"


def test_what_is_of_0_1_0():
    """Old names without a number: of 0.1.0. A number, or no old name: not; then the checker speaks."""
    assert format_problem(read_text(HEAD + "limits: {user: {max: 310 lb}}\n"), "en") is not None
    assert format_problem(read_text("profile: 2\n" + HEAD + "limits: {user: {max: 310 lb}}\n"), "en") is None
    assert format_problem(read_text(HEAD + "limits: {upper: {value: 310 lb}}\n"), "en") is None
    assert format_problem(read_text("site: [\n"), "en") is None
    wild = "document: {retention: [a]}\nbays: [x, {rail: 3}, {control: [1]}]\nlimits: {user: 3}\nequipment: {users_max: 1}\n"
    assert format_problem(read_text(wild), "en") is None


def test_the_number_stands_first():
    """A number below other keys is one problem at its place."""
    problem = format_problem(read_text(HEAD + "profile: 2\n"), "en")
    assert (problem.line, problem.column, problem.path) == (2, 1, "profile")
    assert problem.hint == "write 'profile: 2' above everything else"
