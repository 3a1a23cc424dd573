"""A cell of a table, and how a text is kept from a spreadsheet that would run it, or make a number or a day of it.

A spreadsheet that opens a CSV takes what looks like a formula, a number or a day for one. `shielded` puts an apostrophe before such a text,
and the reader takes it away again.
"""

from __future__ import annotations

import re
from typing import Literal

from docgen.frozen import frozen

__all__ = ["Cell", "letters", "shielded", "unshielded"]

MONTH = r"(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
#: What a spreadsheet runs, or makes a number or a day of: serial numbers with a zero before them or like a fraction, a tag such as SEP-1.
TURNED = re.compile(
    r"[=+\-@].*|0[0-9]+|[0-9]{16,}|[0-9]+\.[0-9]*0|[0-9]+(\.[0-9]+)?[eE][+-]?[0-9]+|[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?"
    r"|[0-9]{1,2}[-/.][0-9]{1,4}([-/.][0-9]{1,4})?|[0-9]{4}[-/.][0-9]{1,2}([-/.][0-9]{1,2})?"
    rf"|{MONTH}[-/ .]?[0-9]{{1,4}}|[0-9]{{1,2}}[-/ .]?{MONTH}",
    re.IGNORECASE | re.DOTALL,
)
Of = Literal["text", "number", "day"]


@frozen
class Cell:
    """What stands in a cell, without the blanks around it, and where it begins: line and column of the file, from 1; of a workbook its row and column.

    `of` says what the cell of a workbook holds; a CSV has text alone.
    """

    text: str
    line: int
    column: int
    of: Of = "text"


def letters(column: int) -> str:
    """The letters of a column of a workbook.

    >>> letters(1), letters(28)
    ('A', 'AB')
    """
    shown = ""
    while column:
        column, rest = divmod(column - 1, 26)
        shown = chr(65 + rest) + shown
    return shown


def shielded(text: str) -> str:
    """A text as a CSV holds it, so that a spreadsheet leaves it alone.

    >>> shielded("=1+1"), shielded("00123"), shielded("D-1"), unshielded(shielded("'00123"))
    ("'=1+1", "'00123", 'D-1', "'00123")
    """
    return f"'{text}" if _turned(text) else text


def unshielded(text: str) -> str:
    """A text of a CSV as it was before it was shielded."""
    return text[1:] if text.startswith("'") and _turned(text[1:]) else text


def _turned(text: str) -> bool:
    return TURNED.fullmatch(text.lstrip("'")) is not None
