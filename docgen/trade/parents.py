"""What a part of one kind can be part of. Data in parents.yaml."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import cast

from docgen.data import load

__all__ = ["can_be_part_of"]


@cache
def _table() -> dict[str, list[str]]:
    return cast("dict[str, list[str]]", load(Path(__file__).parent / "parents.yaml", "parents"))


def can_be_part_of(kind: str, whole: str) -> bool:
    """Whether a part of `kind` can be part of one of the kind `whole`; a kind that the table lacks is not judged.

    >>> can_be_part_of("end-stop", "rail"), can_be_part_of("hook", "connector"), can_be_part_of("ladder", "rail")
    (True, False, True)
    """
    return kind not in _table() or whole in _table()[kind]
