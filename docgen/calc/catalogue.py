"""Every calculation by name, for explaining one and for the checks that hold over all of them."""

from collections.abc import Callable
from importlib import import_module

__all__ = ["MODULES", "catalogue"]

MODULES = (
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


def catalogue() -> dict[str, Callable]:
    """Public calculations by `module.function`, sorted; each has `.formula` and a docstring with its source."""
    found: dict[str, Callable] = {}
    for module in MODULES:
        home = import_module(f"docgen.calc.{module}")
        for name in home.__all__:
            if hasattr(getattr(home, name), "formula"):
                found[f"{module}.{name}"] = getattr(home, name)
    return dict(sorted(found.items()))
