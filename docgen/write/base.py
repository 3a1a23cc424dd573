"""What every writer shares: the result, the walk over the tree, and the look of panels."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, ClassVar, Generic, Self, TypeVar

from docgen.errors import WriteError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from docgen.compose.document import Document

__all__ = [
    "ALERT",
    "LARGE_SYMBOL",
    "PANEL_COLOURS",
    "SYMBOL",
    "Panel",
    "Rendered",
    "Writer",
    "has_class",
    "look_text",
    "split_label",
]

#: Safety alert triangle with its mark cut out: three closed polygons on a field 100 wide and 88 high, even-odd rule.
ALERT = (
    ((50, 0), (100, 88), (0, 88)),
    ((43, 28), (57, 28), (54, 60), (46, 60)),
    ((44.5, 66), (55.5, 66), (55.5, 77), (44.5, 77)),
)


@dataclass(frozen=True)
class Panel:
    """Signal word panel: text and ground as #RRGGBB; `alert`: the triangle stands before the word."""

    text: str
    ground: str
    alert: bool


#: Side of a symbol before words, and of one that a paragraph of class `drawing` shows [em].
SYMBOL, LARGE_SYMBOL = 2.1, 4.5

#: Ground and letters by EM 385-1-1 (2014) 08.A.06 (read); screen codes are stand-ins with 7:1 or more (WCAG 2.2).
PANEL_COLOURS = {
    "danger": Panel("#FFFFFF", "#A6192E", True),
    "warning": Panel("#000000", "#FF8200", True),
    "caution": Panel("#000000", "#FFD100", True),
    "notice": Panel("#FFFFFF", "#003087", False),
    "safety": Panel("#FFFFFF", "#00632F", False),
}


@dataclass(frozen=True)
class Rendered:
    """One written file: its bytes, its pages where the type has pages that are known, and notes for the user."""

    data: bytes
    pages: int | None = None
    notes: tuple[str, ...] = ()


#: What a writer must know of the place that it writes at: type, room, depth of lists. None for HTML, where it is all the same.
Place = TypeVar("Place")
Value = TypeVar("Value")


class Writer(Generic[Place]):
    """Walks the tree with one method an element; an element without a method is a WriteError.

    A subclass defines every method named in BLOCKS and SPANS. Each takes the element and returns the piece of output.
    What lies inside an element is written by the same writer `at` another place.
    """

    BLOCKS: ClassVar[dict[str, str]] = {
        "h1": "title",
        "h2": "heading",
        "h3": "heading",
        "h4": "heading",
        "p": "paragraph",
        "ul": "bullets",
        "ol": "steps",
        "table": "table",
        "figure": "figure",
        "dl": "definitions",
        "hr": "rule",
        "blockquote": "quotation",
        "box": "box",
    }
    SPANS: ClassVar[dict[str, str]] = {
        "strong": "strong",
        "em": "emphasis",
        "code": "code",
        "a": "link",
        "br": "line_break",
        "blank": "blank",
        "flag": "flag",
    }

    def __init__(self, doc: Document, place: Place) -> None:
        self.doc = doc
        self.place = place

    def at(self, place: Place) -> Self:
        """This writer at another place. What it gathers on its way it gathers for both."""
        other = object.__new__(type(self))
        other.__dict__.update(self.__dict__)
        other.place = place
        return other

    def literal(self, text: str) -> str:
        """Text as the output type writes it."""
        raise WriteError(f"{type(self).__name__} cannot write text")

    def block(self, element: Element) -> str:
        """One block."""
        try:
            name = self.BLOCKS[element.tag]
        except KeyError:
            raise WriteError(f"{self.doc.name}: no writer knows the block '{element.tag}'") from None
        written: str = getattr(self, name)(element)
        return written

    def inline(self, element: Element) -> str:
        """The inline content of an element, without the element itself."""
        parts = [self.literal(unparted(element.text))] if element.text else []
        for child in element:
            try:
                name = self.SPANS[child.tag]
            except KeyError:
                raise WriteError(f"{self.doc.name}: no writer knows '{child.tag}' inside '{element.tag}'") from None
            parts.append(getattr(self, name)(child))
            if child.tail:
                parts.append(self.literal(unparted(child.tail)))
        return "".join(parts)


_PARTED = re.compile(
    r"(\b[A-Z]\.) (?=[A-Z][a-z])"  # an initial and its name
    r"|(\d) (?=(?:CFR|FR|U\.S\.C\.) )|((?:CFR|\bFR|U\.S\.C\.)) (?=\d)"
    r"|(\b[sc]\.) (?=[A-Z]?-?\d)"
    r"|(\brev|\b[Ss]ections?|\b[Mm]ethods?|\bTables?|\bFigures?|\bpages?|\bPart) (?=\d)"
)


def unparted(text: str) -> str:
    """Text in which no line ends inside a name, a citation, a revision or a reference with its number: their blanks do not break."""
    return _PARTED.sub(lambda found: found[0][:-1] + "\u00a0", text)


def has_class(element: Element, name: str) -> bool:
    """True when `name` is one of the element's classes."""
    value = element.attrib.get("class")
    return value is not None and name in value.split(" ")


@cache
def look_text(*names: str) -> str:
    """Text of a file below `templates/look`, read once. Raises WriteError when it cannot be read."""
    from docgen.resources import data_folder

    path = data_folder("templates").joinpath("look", *names)
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise WriteError(f"{path}: cannot be read ({error.strerror}); install docgen again") from None


def split_label(label: str, **values: Value) -> list[tuple[str, Value | str]]:
    """A label cut at its fields: ("", "text") for plain pieces, (name, values[name]) for fields; others stay text."""
    pieces: list[tuple[str, Value | str]] = []
    for piece in re.split(r"(\{[a-z]+\})", label):
        if piece[1:-1] in values and piece.startswith("{"):
            pieces.append((piece[1:-1], values[piece[1:-1]]))
        elif piece:
            pieces.append(("", piece))
    return pieces
