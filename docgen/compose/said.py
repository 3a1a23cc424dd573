"""The words of a clause as a reader sees them."""

from __future__ import annotations

import re

__all__ = ["said"]


def said(text: str) -> str:
    """The visible words of the Markdown of a clause, one space apart: no marks, pictures, attribute lists or captions that no page shows.

    >>> said("![a](b.svg) Stop **now**.\\n{: #c.stop }")
    'Stop now .'
    """
    text = re.sub(r"^[^\n]+\n?\{:[^{}]*\.silent[^{}]*\}\s*$", "", text, flags=re.MULTILINE)
    plain = re.sub(r"!\[[^\]]*\]\([^)]*\)|\{:[^{}]*\}|!!! \w+|^[|: -]+$|^\s*(?:[-#]+|\d+\.)\s", " ", text, flags=re.MULTILINE)
    plain = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", plain)
    return " ".join(re.sub(r"\\(?=[^\w\s])", "", re.sub(r"[*|`\"]", " ", plain)).split())
