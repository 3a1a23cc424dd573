"""The data path has one direction: a package may import only what stands before it."""

import ast
import re
from pathlib import Path

import pytest

import docgen

ROOT = Path(docgen.__file__).parent
DEVELOPERS = ROOT.parent / "DEVELOPERS.md"
# Later may import earlier, never the other way round. DEVELOPERS.md prints this list, and a test compares.
ORDER = (
    ("days", "errors", "frozen", "limits"),
    ("resources", "signs", "slips", "units", "filing"),
    ("shapes", "weighed", "fits"),
    ("read", "data"),
    ("papers", "places"),
    ("check", "calc", "site", "private", "unknown"),
    ("trade", "text", "codes", "logbook", "happened", "look"),
    ("engineering",),
    ("records",),
    ("findings",),
    ("words",),
    ("older", "inherit"),
    ("checked", "profile", "fields"),
    ("compose",),
    ("write",),
    ("control",),
    ("guide", "tidy"),
    ("report", "explain", "due", "demos", "sheets"),
    ("pipeline",),
    ("revisions", "beginning", "preview"),
    ("portfolio",),
    ("commands",),
    ("cli",),
    ("__main__",),
)
LEVEL = {name: level for level, names in enumerate(ORDER) for name in names}
MODULES = sorted(p for p in ROOT.rglob("*.py") if "data" not in p.relative_to(ROOT).parts)
HEAVY = {
    "docx",
    "markdown",
    "jinja2",
    "typst",
    "rich",
    "icalendar",
    "openpyxl",
    "lxml",
    "jsonschema",
    "multiprocessing",
    "watchfiles",
}
LAZY = set(LEVEL) - {
    "compose",
    "write",
    "control",
    "explain",
    "due",
    "demos",
    "revisions",
    "beginning",
    "fields",
    "guide",
    "tidy",
}


def part(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def imports(tree: ast.AST):
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module
            for alias in node.names:
                yield f"{node.module}.{alias.name}"
        elif isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_direction(path):
    """Every import of our own goes to the same part or to an earlier one (type-only imports included)."""
    own = part(path)
    if own == "__init__":
        return
    assert own in LEVEL, f"{own} has no place in the order"
    for name in imports(ast.parse(path.read_text(encoding="utf-8"))):
        pieces = name.split(".")
        if pieces[0] == "docgen" and len(pieces) > 1 and pieces[1] in LEVEL and pieces[1] != own:
            assert LEVEL[pieces[1]] < LEVEL[own], f"{path.relative_to(ROOT)} imports {name}"


def dotted(path: Path) -> str:
    """`docgen.calc.swing` of a module, `docgen.calc` of a package."""
    return ".".join(["docgen", *path.relative_to(ROOT).with_suffix("").parts]).removesuffix(".__init__")


NAMES = {dotted(path) for path in MODULES}


def reached(path: Path) -> set[str]:
    """Modules of our own that a module imports; `from package import module` means the module."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found |= {f"{node.module}.{a.name}" if f"{node.module}.{a.name}" in NAMES else node.module for a in node.names}
        elif isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
    return found & NAMES - {dotted(path)}


GRAPH = {dotted(path): reached(path) for path in MODULES}


def circles(graph: dict[str, set[str]]) -> list[list[str]]:
    """Groups of modules that reach one another, by Tarjan's algorithm."""
    index, low, stack, found = {}, {}, [], []

    def visit(name: str) -> None:
        index[name] = low[name] = len(index)
        stack.append(name)
        for other in sorted(graph[name]):
            if other not in index:
                visit(other)
                low[name] = min(low[name], low[other])
            elif other in stack:
                low[name] = min(low[name], index[other])
        if low[name] == index[name]:
            group = []
            while True:
                group.append(stack.pop())
                if group[-1] == name:
                    break
            if len(group) > 1:
                found.append(sorted(group))

    for name in graph:
        if name not in index:
            visit(name)
    return found


def test_no_circle():
    """No module reaches itself, inside a package either; imports inside functions and for types alone are counted."""
    assert circles(GRAPH) == []


def test_circles_are_seen():
    """The search itself finds a circle where there is one."""
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == [["a", "b", "c"]]


def test_order_is_written():
    """DEVELOPERS.md prints the order that this test holds."""
    assert " <- ".join(", ".join(names) for names in ORDER) in " ".join(DEVELOPERS.read_text(encoding="utf-8").split())


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_all_is_declared(path):
    """Every module says what it offers."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = [t.id for n in tree.body if isinstance(n, ast.Assign) for t in n.targets if isinstance(t, ast.Name)]
    assert "__all__" in names or not any(isinstance(n, ast.FunctionDef | ast.ClassDef) for n in tree.body)


@pytest.mark.parametrize("path", [p for p in MODULES if part(p) in LAZY], ids=lambda p: str(p.relative_to(ROOT)))
def test_heavy_imports_are_lazy(path):
    """What a check runs through imports no heavy library when it is loaded, not in a `try` or an `if` either."""
    assert not loaded_at_once(ast.parse(path.read_text(encoding="utf-8"))) & HEAVY


def loaded_at_once(tree: ast.AST) -> set[str]:
    """Top-level names of what is imported outside functions, but for types alone."""
    found: set[str] = set()
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Import | ast.ImportFrom):
            found |= {name.split(".")[0] for name in imports(node)}
        elif isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            found |= loaded_at_once(ast.Module(node.orelse, []))
        elif not isinstance(node, ast.FunctionDef | ast.Lambda):
            found |= loaded_at_once(node)
    return found


def test_what_is_loaded_at_once_is_seen():
    """An import in a `try`, an `if` or a class counts; one in a function or for types does not."""
    code = "import a\ntry:\n import b.c\nexcept E:\n from d import e\nif TYPE_CHECKING:\n import f\nelse:\n import g\nclass K:\n import h\ndef i():\n import j\n"
    assert loaded_at_once(ast.parse(code)) == set("abdgh")


#: Who imports by a name that is put together, and what: modules of its own folder.
BY_NAME = {"calc/catalogue.py": "docgen.calc.", "write/__init__.py": "docgen.write."}


def imported_by_name(tree: ast.AST) -> list[str]:
    """What is given to `import_module` or `__import__`, which the tests above cannot follow."""
    calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call)]
    return [ast.unparse(c.args[0]) for c in calls if ast.unparse(c.func).split(".")[-1] in ("import_module", "__import__")]


def test_imports_can_be_followed():
    """A module is imported by a statement, or by name out of the own folder where the writers and the calculations are listed."""
    found = {str(p.relative_to(ROOT)): imported_by_name(ast.parse(p.read_text(encoding="utf-8"))) for p in MODULES}
    assert {path for path, names in found.items() if names} == BY_NAME.keys()
    for path, start in BY_NAME.items():
        assert all(name.startswith(f"f'{start}{{") for name in found[path]), path


CLOCK = re.compile(
    r"\b(?:today|utcnow|now)$|\btime\.(?:time|time_ns|localtime|gmtime|ctime|strftime)$|\b(?:localtime|gmtime|time_ns)$"
)


def clock_reads(tree: ast.AST) -> list[str]:
    """Calls that give the day or the time of day, by whatever name their module was imported."""
    return [ast.unparse(n.func) for n in ast.walk(tree) if isinstance(n, ast.Call) and CLOCK.search(ast.unparse(n.func))]


def test_clock_is_read_in_one_place():
    """Only one module of the commands asks what day it is."""
    readers = {str(p.relative_to(ROOT)) for p in MODULES if clock_reads(ast.parse(p.read_text(encoding="utf-8")))}
    assert readers == {"commands/outcome.py"}


def test_a_read_of_the_clock_is_seen():
    """A class, a module and a module by another name are asked for the day; a length of time is not the day."""
    code = "date.today()\ndt.datetime.now(zone)\ntime.time()\nlocaltime()\ntime.monotonic()\nshift.time()\nknown()\n"
    assert clock_reads(ast.parse(code)) == ["date.today", "dt.datetime.now", "time.time", "localtime"]
