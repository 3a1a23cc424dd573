"""Which edition of a standard is the current one, for the mark on a part. Data in editions.yaml."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import cast

from docgen.data import load

__all__ = ["current_edition"]

_MARK = re.compile(r"\b(Z359\.\d+|EN \d{3,5})\s*[-:]\s*((?:19|20)\d{2})\b")


@cache
def _table() -> dict[str, int]:
    return cast("dict[str, int]", load(Path(__file__).parent / "editions.yaml", "editions"))


def current_edition(mark: str | None) -> str | None:
    """The current edition such as `Z359.14-2021` if the mark names an older one; None if it is current or unknown.

    >>> current_edition("ANSI/ASSP Z359.14-2014")
    'Z359.14-2021'
    """
    for number, year in _MARK.findall(mark or ""):
        newest = _table().get(number)
        if newest is not None and int(year) < newest:
            return f"{number}{':' if number.startswith('EN') else '-'}{newest}"
    return None
