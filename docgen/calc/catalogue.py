"""Every calculation by name, for explaining one and for the checks that hold over all of them."""

import inspect
from importlib import import_module
from typing import Any

from docgen.calc.formula import Calculation

__all__ = ["MODULES", "catalogue", "valid_for"]

MODULES = (
    "along",
    "anchorage",
    "arrest",
    "capacity",
    "clearance",
    "climb",
    "dates",
    "lanyard",
    "population",
    "rescue",
    "swing",
)


def catalogue() -> dict[str, Calculation[..., Any]]:
    """Public calculations by `module.function`, sorted; each has `.formula` and a docstring with its source."""
    found: dict[str, Calculation[..., Any]] = {}
    for module in MODULES:
        home = import_module(f"docgen.calc.{module}")
        for name in home.__all__:
            if hasattr(getattr(home, name), "formula"):
                found[f"{module}.{name}"] = getattr(home, name)
    return dict(sorted(found.items()))


def valid_for(function: Calculation[..., Any]) -> str:
    """What a docstring says of the range in which a formula holds and of when it raises: all between the units and the example."""
    paragraphs = (inspect.getdoc(function) or "").split("\n\n")
    units = 3 if function.formula.terms else 2
    said = []
    for paragraph in paragraphs[units:]:
        if paragraph.startswith(("Example:", "Source")):
            break
        said.append(" ".join(paragraph.split()))
    return " ".join(said)
