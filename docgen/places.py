"""Names of countries, states and provinces as people write them, and their codes: those of the law data, and what places.yaml adds."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import cast

from docgen.data import blocks, load

__all__ = ["place_names", "places_meant"]


@cache
def place_names() -> Mapping[str, tuple[str, ...]]:
    """Code -> the names of the place, the usual one first."""
    here = Path(__file__).parent
    found: dict[str, tuple[str, ...]] = {}
    for index in sorted((here / "codes").glob("*/index.yaml")):
        parts = cast("Mapping[str, str]", blocks(index, "code/index").get("subdivisions", {}))
        found |= {code: (name.removeprefix("the "),) for code, name in parts.items()}
    for code, names in cast("Mapping[str, list[str]]", load(here / "places.yaml", "places")).items():
        found[code] = (*found.get(code, ()), *names)
    return found


def _plain(text: str) -> str:
    """Small letters and digits of a name, without accents."""
    return "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if c.isalnum())


def places_meant(text: str) -> tuple[tuple[str, str], ...]:
    """Codes and names of the places that a text may mean: a name, a code in small letters, or a code with a name behind or before it.

    >>> places_meant("Ohio"), places_meant("us-mo"), places_meant("US-OHIO"), places_meant("Ontario, Canada"), places_meant("Atlantis")
    ((('US-OH', 'Ohio'),), (('US-MO', 'Missouri'),), (('US-OH', 'Ohio'),), (('CA-ON', 'Ontario'),), ())
    """
    names = place_names()
    plain = text.strip().upper().replace("_", "-").replace(" ", "-")
    if plain in names:
        return ((plain, names[plain][0]),)
    parts = [_plain(part) for part in re.split(r"[-,/()]", text) if part.strip()]
    whole = _plain(text)
    found = [code for code, called in names.items() if whole in map(_plain, called)]
    if not found and len(parts) > 1:  # with the country that it lies in, in one order or the other
        ways = [parts[0], parts[-1]]
        found = [
            code
            for code, called in names.items()
            if "-" in code and {code.partition("-")[2].casefold(), *map(_plain, called)} & set(ways) and _of(code) & set(ways)
        ]
    return tuple((code, names[code][0]) for code in sorted(found))


def _of(code: str) -> set[str]:
    """What the country of a code is called."""
    country = code.partition("-")[0]
    return {country.casefold(), *map(_plain, place_names()[country])}
