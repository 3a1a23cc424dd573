"""The only place that knows where templates, schemas and demo sites lie: in the installed package first, in the checkout second."""

from functools import cache
from pathlib import Path

from docgen.errors import DocgenError

__all__ = ["data_folder", "schema_text"]

PACKAGE = Path(__file__).resolve().parent


@cache
def data_folder(name: str, package: Path = PACKAGE) -> Path:
    """Folder `templates`, `schemas` or `site_profiles`. Raises DocgenError naming both places looked at when it is in neither."""
    places = (package / "data" / name, package.parent / name)
    for place in places:
        if place.is_dir():
            return place
    raise DocgenError(f"the folder '{name}' is neither in the installed package nor in the checkout; install docgen again")


def schema_text(name: str) -> str:
    """Text of `schemas/<name>.schema.json`."""
    return (data_folder("schemas") / f"{name}.schema.json").read_text(encoding="utf-8")
