"""What pyproject.toml declares is what is imported, no less and no more; the product needs nothing of the test extra."""

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
#: Declared in the test extra and run as programs, loaded by pytest, or read by mypy: no test imports them.
PROGRAMS = {"mypy", "pytest-xdist", "ruff", "lxml-stubs", "types-jsonschema", "types-markdown", "types-pyyaml"}


def plain(name: str) -> str:
    """A distribution's name as registries compare it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def declared(requirements: list[str]) -> set[str]:
    return {plain(re.match(r"[A-Za-z0-9._-]+", each).group()) for each in requirements}


REQUIRED = declared(PROJECT["dependencies"])
EXTRAS = {name: declared(requirements) for name, requirements in PROJECT["optional-dependencies"].items()}


def imports(text: str) -> set[str]:
    """Top-level names of all absolute imports in a module, those inside functions too."""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            found.add(node.module.partition(".")[0])
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "importorskip":
            found.add(node.args[0].value.partition(".")[0])
    return found


def distributions(folder: str) -> dict[str, set[str]]:
    """Distribution -> modules below the folder that import it. Tests import each other, the product imports no test."""
    own = {"docgen"}
    if folder == "tests":
        own |= {path.stem for path in (ROOT / "tests").rglob("*.py")} | {path.name for path in (ROOT / "tests").iterdir()}
    homes = packages_distributions()
    found: dict[str, set[str]] = {}
    for path in sorted((ROOT / folder).rglob("*.py")):
        for name in imports(path.read_text(encoding="utf-8")) - own - sys.stdlib_module_names:
            assert name in homes, f"{path} imports {name}, which no installed distribution brings"
            found.setdefault(plain(homes[name][0]), set()).add(str(path.relative_to(ROOT)))
    return found


def test_what_the_product_imports_is_declared():
    """Each distribution that docgen imports is required, or stands in an extra for users."""
    allowed = REQUIRED | {name for extra, names in EXTRAS.items() if extra != "test" for name in names}
    assert {name: where for name, where in distributions("docgen").items() if name not in allowed} == {}


def test_what_is_declared_is_imported_by_the_product():
    """Each required distribution, and each of an extra for users, is imported somewhere in docgen."""
    imported = distributions("docgen").keys()
    for extra, names in {"dependencies": REQUIRED, **EXTRAS}.items():
        if extra != "test":
            assert names - imported == set(), extra


def test_the_test_extra_is_what_the_tests_import():
    """Tests import what is declared, and the test extra holds nothing that no test uses or the product has already."""
    imported = distributions("tests").keys()
    known = REQUIRED.union(*EXTRAS.values())
    assert imported - known == set()
    assert EXTRAS["test"] - imported == PROGRAMS
    assert EXTRAS["test"] & REQUIRED == set()
