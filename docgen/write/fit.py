"""Whether a paper that hangs or is carried fits the pages that it may take, and by how much it does not."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import TYPE_CHECKING

from docgen.compose.tree import words
from docgen.frozen import frozen
from docgen.write.pdf import fewest_pages

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from docgen.compose.document import Document

__all__ = ["Overflow", "overflow"]

TEXT = ("p", "ul", "ol", "box")


@frozen
class Overflow:
    """A paper on a sheet that it does not fit at its smallest type: the sheet, the pages, the most that it may have, and words too many.

    The words are those of the last paragraphs without which it fits, so up to one paragraph more than need go.
    """

    sheet: str
    pages: int
    most: int
    over: int


def overflow(document: Document) -> tuple[Overflow, ...]:
    """Each sheet of the document that does not hold it; nothing for a report. PdfUnavailable where nothing can be measured."""
    if document.layout == "report" or document.most_pages is None:
        return ()
    sheets = (document, document.enlarged) if document.large else (document,)
    return tuple(found for sheet in sheets if (found := _on(sheet, (sheet.most_pages or 1) + sheet.spare_pages)) is not None)


def _on(document: Document, most: int) -> Overflow | None:
    pages = fewest_pages(document)
    if pages <= most:
        return None
    blocks = [element for element in document.tree if element.tag in TEXT]
    low, high = 0, len(blocks)  # so many of the last ones are too few to take away, and so many are enough
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _fits(document, blocks[-middle:], most) else (middle, high)
    return Overflow(document.paper, pages, most, sum(len(words(element).split()) for element in blocks[-high:]))


def _fits(document: Document, without: list[Element], most: int) -> bool:
    gone = {id(element) for element in without}
    tree = copy.copy(document.tree)
    tree[:] = [element for element in document.tree if id(element) not in gone]
    return fewest_pages(replace(document, tree=tree)) <= most
