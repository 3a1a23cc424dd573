"""Page sizes, type sizes of tables, and the one function that gives all writers the column widths.

Widths are in em of the type in use, estimated from the letters' advance widths.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from docgen.compose.lettering import text_width

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from docgen.compose.document import Document

__all__ = [
    "BAND_PT",
    "CELL_PAD",
    "CODE_EDGE",
    "CODE_QUIET",
    "FIRST_ROWS",
    "LAST_ROWS",
    "MODULE",
    "TICK",
    "TICK_SIZE",
    "Columns",
    "Page",
    "bands_height",
    "code_side",
    "columns",
    "page",
    "soften",
    "stays_whole",
    "table_type",
    "text_width",
]  # fmt: skip

CELL_PAD = 0.5  # em, left and right of each cell's text
SIGNATURE_PT = 129.6  # least width that a hand needs for a signature, 1.8 in (own)
TO_WRITE_IN = 8.0  # em, least width of a column whose cells are all empty in a table to be filled in by hand
SHORT = 12.0  # em, cells up to this width are kept on one line where that leaves room for the others
BOX = "\u00a0" * 6  # what the frame of a blank and the room in it add to its words
TICK, TICK_SIZE = "\u25a1", 1.5  # a box to tick, larger than the words beside it
CODE = 0.66  # em, a letter of code, which are all of one width, with room for the way a browser rounds
TABLE_POINTS = 10.0  # under a larger body no table is set smaller, but for a wide one
WHOLE_ROWS, WHOLE_ALONE = 8, 11
FIRST_ROWS, LAST_ROWS = 3, 3  # of a table that may be split, on the page where it begins and where it ends
SMALLEST = 0.75  # type of a table is never made smaller than this share of its own size
# a line may end at a space or after a hyphen, except before a digit (so that "SRL-07" stays whole)
WORD = re.compile(r"(?:[^ \-]|-(?=\d))+-*|-+")
MILLIMETRE = 72 / 25.4
MODULE = (
    0.3 * MILLIMETRE
)  # pt, of a two-dimensional code: 7 dots of a printer of 600 dpi; a telephone reads it from a hand away (own)
CODE_QUIET = 4  # modules that stay white around it (ISO/IEC 18004)
CODE_EDGE = 12.0  # pt, what printers leave white at the edge of a sheet (from memory: 1/6 in)
BAND_PT = 12.0  # type of a line on a closed bay at the head of a page
TOP_EDGE = 25.0  # pt, the least margin at the head of a sheet with a code in its foot
BAND_LINE = 14.0  # pt, one line of it
BAND_GAP = 9.0  # pt, above and below its words, and to the next


@dataclass(frozen=True)
class Page:
    """Paper, margins, and how far header and footer stand from the edge [pt]."""

    width: float
    height: float
    side: float
    top: float
    bottom: float
    head: float
    foot: float

    @property
    def text_width(self) -> float:
        """Width of a line of text [pt]."""
        return self.width - 2 * self.side


PAPER = {
    "letter": (612.0, 792.0),
    "tabloid": (792.0, 1224.0),
    "half-letter": (396.0, 612.0),
    "a4": (210 * MILLIMETRE, 297 * MILLIMETRE),
    "a3": (297 * MILLIMETRE, 420 * MILLIMETRE),
    "a5": (148 * MILLIMETRE, 210 * MILLIMETRE),
}


def page(doc: Document) -> Page:
    """Paper and margins of a document; whatever hangs or is carried has narrow ones, in which there is room for a band and the foot."""
    sheet = _plain_page(doc)
    if doc.symbol is None:
        return sheet
    low = max(0.0, CODE_EDGE + code_side(doc) - CODE_QUIET * MODULE - sheet.bottom)  # the text goes up, and stays as high
    return replace(sheet, top=sheet.top - min(low, sheet.top - TOP_EDGE), bottom=sheet.bottom + low)


def code_side(doc: Document) -> float:
    """How wide and high the two-dimensional code of a paper that hangs is with what stays white around it [pt]; 0 where there is none."""
    return 0.0 if doc.symbol is None else (doc.symbol.symbol_size(border=0)[0] + 2 * CODE_QUIET) * MODULE


def _plain_page(doc: Document) -> Page:
    width, height = PAPER[doc.paper][::-1] if doc.landscape else PAPER[doc.paper]
    if doc.layout in ("poster", "sign"):
        return Page(width, height, side=36.0, top=27.0, bottom=39.0, head=10.0, foot=10.0)
    if doc.layout == "card":
        return Page(width, height, side=26.0, top=27.0 + bands_height(doc, width - 2 * 26.0), bottom=39.0, head=10.0, foot=10.0)
    if doc.landscape:
        return Page(width, height, side=48.0, top=56.0, bottom=48.0, head=22.0, foot=18.0)
    return Page(width, height, side=62.0, top=68.0, bottom=56.0, head=36.0, foot=28.0)


def bands_height(doc: Document, width: float) -> float:
    """Room at the head of a page for the lines on closed bays [pt]."""
    return sum(BAND_LINE * math.ceil(text_width(line, True) * BAND_PT / (width - 2 * BAND_PT)) + BAND_GAP for line in doc.bands)


def table_type(doc: Document, wide: bool = False) -> float:
    """Size of a table's type as a share of the body's; the working papers, which lie across, have the wide ones too in type to be read at a desk. On what hangs or is carried nothing is made smaller than the body, but for what is written by hand on a sign."""
    if doc.layout == "sign":
        return 0.5 if wide else 1.0
    if doc.layout not in ("report", "screen"):
        return 1.0
    if wide:
        return 0.9 if doc.landscape else 0.8
    return max(0.9, min(TABLE_POINTS / doc.type_pt, 1 - 1 / doc.type_pt))


def stays_whole(table: Element) -> bool:
    """Whether a table is short enough to be kept on one page, so that no row or two is stranded at a page's foot.

    One with a head is kept whole up to WHOLE_ROWS rows, since the head is repeated where it goes on; one without up to WHOLE_ALONE.
    """
    rows = [row for part in table if part.tag == "tbody" for row in part]
    headed = any(True for part in table if part.tag == "thead" for _ in part)
    return len(rows) <= (WHOLE_ROWS if headed else WHOLE_ALONE) and sum(map(len, table.itertext())) <= 1700


@dataclass(frozen=True)
class Columns:
    """Column widths of one table: shares (sum 1), and `scale` <= 1 by which its type must shrink for its words."""

    shares: tuple[float, ...]
    scale: float


def _lines(cell: Element) -> list[str]:
    if len(cell) == 0:
        return [cell.text or ""]
    if cell.find(".//br") is None and cell.find(".//blank") is None:
        return ["".join(cell.itertext())]
    parts: list[str] = []
    for node in cell.iter():
        parts.append("\n" if node.tag == "br" else BOX + (node.text or "") if node.tag == "blank" else node.text or "")
        if node is not cell:
            parts.append(node.tail or "")
    return "".join(parts).split("\n")


def _wide(text: str, bold: bool) -> float:
    """Width of a line of a cell [em]."""
    ticks = text.count(TICK)
    return text_width(text, bold) + (ticks * (TICK_SIZE - 1) * text_width(TICK, bold) if ticks else 0.0)


def _measure(table: Element, em: float) -> tuple[list[float], list[float], list[float], list[float]]:
    """For each column: longest word, longest cell, the same without the header, root mean square of widths [em]."""
    rows = [row for part in table if part.tag in ("thead", "tbody") for row in part]
    count = len(rows[0])
    least, most, inner, square = [0.0] * count, [0.0] * count, [0.0] * count, [0.0] * count
    for row in rows:
        for index, cell in enumerate(row):
            bold = cell.tag == "th"
            total = 0.0
            letter = CODE if cell.find("code") is not None else 0.0
            for line in _lines(cell):
                width = max(_wide(line, bold), letter * len(line))
                if width > least[index]:
                    longest = max((max(_wide(word, bold), letter * len(word)) for word in WORD.findall(line)), default=0.0)
                    if longest > least[index]:
                        least[index] = longest
                if width > most[index]:
                    most[index] = width
                if width > inner[index] and cell.get("scope") != "col":
                    inner[index] = width
                total += width
            square[index] += total * total
    if not {"form", "signature"}.isdisjoint(table.get("class", "").split()):
        if all(row[-1].find(".//blank") is not None for row in rows if row[-1].get("scope") != "col"):
            least[-1] = max(least[-1], TO_WRITE_IN)
        for index in range(count):
            if not inner[index]:
                least[index] = max(least[index], TO_WRITE_IN)
                most[index] = max(most[index], 1.5 * TO_WRITE_IN)
                square[index] = max(square[index], len(rows) * (1.25 * TO_WRITE_IN) ** 2)
    if "signed" in table.get("class", "").split():
        least[-1] = max(least[-1], SIGNATURE_PT / em)  # and the padding, which is room too
        most[-1] = max(most[-1], least[-1])
    return least, most, inner, [(value / len(rows)) ** 0.5 for value in square]


def columns(table: Element, room: float, em: float) -> Columns:
    """Column widths by content in a table `room` em wide, an em of its type being `em` points.

    No column is narrower than its longest unbreakable word, and short cells stay on one line where they can. When all
    cells fit on one line, the rest is spread in proportion; otherwise columns share what is left by the root mean
    square of their cells' widths, so that rows stay low.
    """
    least, most, inner, weight = _measure(table, em)
    pad = 2 * CELL_PAD + 0.15  # a little over, because the estimate knows no kerning nor inline styles
    cap = room * 0.6
    least = [min(value, cap) + pad for value in least]
    most = [max(value + pad, low) for value, low in zip(most, least, strict=True)]
    needed = sum(least)
    if needed >= room:
        kept = least[-1] if "signed" in table.get("class", "").split() else 0.0  # a hand does not shrink with the type
        scale = (room - kept) / (needed - kept)
        return Columns(
            (*(value * scale / room for value in least[:-1]), (kept or least[-1] * scale) / room), max(SMALLEST, scale)
        )
    inner = [max(value + pad, low) for value, low in zip(inner, least, strict=True)]
    # short cells ("12 weeks") stay on one line while the wordy columns still have room
    for index in sorted(range(len(inner)), key=lambda i: (inner[i], i)):
        if inner[index] <= SHORT and sum(least) - least[index] + inner[index] <= room * 0.85:
            least[index] = inner[index]
    if sum(most) <= room:
        spare = (room - sum(most)) / sum(most)
        return Columns(tuple(value * (1 + spare) / room for value in most), 1.0)
    return Columns(_share(least, most, [max(value, 0.5) for value in weight], room), 1.0)


def _share(least: Sequence[float], most: Sequence[float], weight: Sequence[float], room: float) -> tuple[float, ...]:
    """Widths as shares of `room`, by weight, each between its least and its most."""
    width = [0.0] * len(least)
    free = set(range(len(least)))
    left = room
    while free:
        total = sum(weight[i] for i in free)
        want = {i: left * weight[i] / total for i in free}
        short = [i for i in sorted(free) if want[i] < least[i]]
        over = [i for i in sorted(free) if want[i] > most[i]]
        # settle first the side that is further out: fixing it moves the others the right way
        lack = sum(least[i] - want[i] for i in short)
        excess = sum(want[i] - most[i] for i in over)
        fixed = short if lack >= excess else over
        if not fixed:
            for i in free:
                width[i] = want[i]
            break
        for i in fixed:
            width[i] = least[i] if lack >= excess else most[i]
            left -= width[i]
            free.discard(i)
    total = sum(width)
    return tuple(value / total for value in width)


def soften(text: str, room: float) -> str:
    """Text in which a word clearly wider than `room` em may break: at a no-break space first, else zero-width spaces are put into it.

    >>> soften("E.\\u00a0Lindgren", 4.0)
    'E. Lindgren'
    """
    if len(text) < room:
        return text
    pieces = []
    for word in text.split(" "):
        if len(word) > room and text_width(word) > room * 1.05:
            parts = word.split("\u00a0")
            if len(parts) > 1 and all(parts):
                word = " ".join(soften(part, room) for part in parts)
            else:
                step = max(1, int(room * 1.4))
                word = "\u200b".join(word[i : i + step] for i in range(0, len(word), step))
        pieces.append(word)
    return " ".join(pieces)
