"""The suite itself: its marks name tests that exist, nothing in it waits on a clock, and it looks at no private name of the program."""

import ast
import re
from pathlib import Path

import pytest
from conftest import ALL, LONG, SLOW

HERE = Path(__file__).resolve().parent
FILES = sorted(p for p in HERE.rglob("*.py") if "bench" not in p.parts)
TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in FILES}


def functions_of(tree: ast.Module) -> dict[str, ast.FunctionDef]:
    return {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")}


@pytest.mark.parametrize("name", SLOW)
def test_what_is_called_slow_exists(name):
    """A test that was renamed does not fall back into the fast part unseen."""
    assert SLOW[name] == ALL or SLOW[name] <= set(functions_of(TREES[HERE / name]))


@pytest.mark.parametrize("path", [p for p in FILES if p.name.startswith("test_")], ids=lambda p: p.name)
def test_every_test_says_what_it_holds(path):
    """Each test has a sentence, and asserts something, itself or through a function of the tests."""
    for name, node in functions_of(TREES[path]).items():
        assert ast.get_docstring(node), name
        body = node.body[1:]
        assert any(isinstance(inner, (ast.Assert, ast.Call)) for statement in body for inner in ast.walk(statement)), name


def private(tree: ast.Module) -> set[str]:
    """Names with a leading underscore that a file of the tests takes from the program."""
    modules: set[str] = set()
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "docgen":
            found |= {alias.name for alias in node.names if alias.name.startswith("_") and not alias.name.startswith("__")}
            modules |= {alias.asname or alias.name for alias in node.names if alias.name.islower()}
        if (
            isinstance(node, ast.Attribute)
            and isinstance(node.value, ast.Name)
            and node.value.id in modules
            and re.match("_[^_]", node.attr)
        ):
            found.add(f"{node.value.id}.{node.attr}")
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "setattr":
            found |= {a.value for a in node.args if isinstance(a, ast.Constant) and re.match("_[^_]", str(a.value))}
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_only_public_names_are_looked_at(path):
    """What the program may rename at will is none of the tests' business."""
    assert private(TREES[path]) == set()


def test_a_private_name_is_seen():
    """The look finds an import, a read and a replacement."""
    code = "from docgen.report import _row\nfrom docgen import read\nread._LOADER\nmonkeypatch.setattr(read, '_OTHER', 1)\n"
    assert private(ast.parse(code)) == {"_row", "read._LOADER", "_OTHER"}


CLOCKS = {"time", "timeit", "perf_counter", "monotonic", "process_time"}


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_nothing_is_timed(path):
    """Speed depends on the machine and its load: it is measured in tests/bench, by hand, as ratios."""
    imported = {
        alias.name for node in ast.walk(TREES[path]) if isinstance(node, (ast.Import, ast.ImportFrom)) for alias in node.names
    } | {node.module for node in ast.walk(TREES[path]) if isinstance(node, ast.ImportFrom)}
    assert not imported & CLOCKS


@pytest.mark.parametrize("path", sorted(LONG.glob("test_*.py")), ids=lambda p: p.name)
def test_a_long_experiment_is_dated(path):
    """The head of each long experiment says when it last ran and how it came out."""
    assert re.search(r"Last run: 20\d\d-\d\d-\d\d, \d+ passed", ast.get_docstring(TREES[path]))
