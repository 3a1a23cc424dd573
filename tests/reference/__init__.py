"""Formulas that check others: they stand in no paper of a site, and the product does not know them."""

from collections.abc import Callable
from importlib import import_module
from typing import Any

MODULES = ("anchorage", "arrest", "capacity", "clearance", "climb", "dates", "lanyard", "population", "rescue", "swing")


def reference() -> dict[str, Callable[..., Any]]:
    """Each formula by `module.function`, as in the catalogue of the product."""
    homes = {module: import_module(f"reference.{module}") for module in MODULES}
    return {f"{module}.{name}": getattr(home, name) for module, home in homes.items() for name in home.__all__}
