"""PDF by typst: tagged as PDF/UA-1, fonts of our own, the same bytes every time.

The body is typst source whose text stands in string literals only, so no character of a profile can become markup.
"""

from __future__ import annotations

import itertools
import json
import math
import re
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple, cast

from docgen.compose.document import HANGING
from docgen.compose.number import contents_at
from docgen.errors import WriteError
from docgen.text.glyphs import without_glyph
from docgen.trade.legible import reading_distance, symbol_distance
from docgen.write.base import ALERT, LARGE_SYMBOL, PANEL_COLOURS, SYMBOL, Rendered, Writer, has_class, look_text, split_label
from docgen.write.logo import LOW, TALL, WIDE, logo_svg
from docgen.write.paper_code import code_svg
from docgen.write.pdf_tags import mended
from docgen.write.svg import svg, symbol_svg
from docgen.write.widths import (
    BAND_PT,
    CODE_EDGE,
    CODE_QUIET,
    FIRST_ROWS,
    LAST_ROWS,
    MODULE,
    TICK,
    code_side,
    columns,
    page,
    soften,
    stays_whole,
    table_type,
    text_width,
)

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Self
    from xml.etree.ElementTree import Element

    import typst

    from docgen.compose.document import Document

__all__ = ["Face", "PdfUnavailable", "PdfWriter", "faces", "fewest_pages", "render", "source"]

SPLIT_FROM = 1100  # letters; a box or cell with more may go over a page end, a shorter one never does
POSTER_STEPS = (3.0, 2.0, 1.0, 0.5, 0.0)  # points above the least body size that a poster tries, largest first
LARGEST = {
    "sign": 2.5,
    "card": 1.5,
    "poster": 2.0,
}  # times the smallest type that a sign, a card or a poster under one huge word may be set in
LAST = "\n#block(height: 0.1em, above: 0pt, below: 0pt)\n"  # between the last line of a sign and its foot
SYMBOL_STEP = 2.0  # points by which the largest symbols of a sign are looked for
ACROSS, INSET = 2, 10.0  # pieces beside each other on a sheet that is cut apart, and the edge around the text of each [pt]
CUT = "\u200b"  # where a word would have to break
BLANK_PAD = 14  # no-break spaces before the words of a blank, to write on
CELL_PAD = 4  # the same in a table
WHOLE_LIST = 6  # items of a list that is not split over two pages
NUMBER_ROOM = 3.6  # em of body type from the margin to the words of a heading or clause
TYPE_STEP = {"sign": 1.0, "card": 0.5, "poster": 0.5}  # points by which the largest type is looked for
FIRST_TRY = {"sign": 8, "card": 2, "poster": 8}  # steps above the smallest that are tried first
#: Tries after which the type-setter is made to forget what it laid out: it does so as it exports, with what is ten exports old. At each try it
#: would cost a fifth of the time of all PDFs, never a quarter more memory.
FORGET = 4
_TRIES = itertools.count(1)
FACES = {"huge": 4.0, "alarm": 1.8}  # times the body type
BESIDE_WORD = 3.0  # em that a symbol is high under the huge word of a sign: two or three lines stand beside it
SYMBOL_GAP = 0.6  # em between a symbol and its words
KINDS = ("form", "signature", "keyvalue", "plain")


class PdfUnavailable(WriteError):
    """typst is not installed, so no PDF can be written."""


def literal(text: str) -> str:
    """A typst string literal."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", " ") + '"'


class Here(NamedTuple):
    """What holds at one place of the body."""

    limit: float  # em that a word may be wide before it must break
    pad: int = BLANK_PAD  # no-break spaces before the words of a blank


class Face(NamedTuple):
    """In what a sheet is set: its body type and the height of its symbols, in points; None where symbols follow the type."""

    size: float
    symbol: float | None = None


class PdfWriter(Writer[Here]):
    """typst source of the body, block by block."""

    def __init__(self, doc: Document, face: Face | None = None) -> None:
        most = face.size if face else (doc.type_pt + (POSTER_STEPS[0] if doc.layout == "poster" else 0))
        self.room = (page(doc).text_width if doc.up == 1 else page(doc).text_width / ACROSS - 2 * INSET) / most
        self.symbol = (face.symbol / most if face and face.symbol else SYMBOL) + SYMBOL_GAP  # em
        super().__init__(doc, Here(self.room))
        self.targets = {link.get("href", "")[1:] for link in doc.tree.iter("a") if link.get("href", "").startswith("#")}

    def literal(self, text: str) -> str:
        """A string literal; the sign `;` would end it, so one at the start of the text gets another before it."""
        said = "#" + literal(soften(text, self.place.limit))
        return said + ";" if text.startswith(";") else said

    def body(self) -> str:
        """The whole tree, with the contents list before the first numbered section, or the second."""
        if self.doc.layout == "sign":
            return self._lines()
        if self.doc.up > 1:
            return self._pieces()
        parts: list[str] = []
        held: list[str] | None = None  # what stands on one page
        clause: str | None = None  # the number of the one before a list
        contents = contents_at(self.doc.tree) if self.doc.contents and self.doc.layout == "report" else None
        for element in self.doc.tree:
            if element.tag == "h2" and has_class(element, "together"):
                held = held or []
            elif element.tag == "h2" and held is not None:
                parts.append(_together(held))
                held = None
            if element is contents:
                parts.append(f"#toc({literal(self.doc.labels['contents'])})")
            written = self.block(element)
            if self.doc.layout == "report":
                clause = clause if element.tag in ("ul", "ol") else element.get("data-number") if element.tag == "p" else None
                if clause and element.tag in ("ul", "ol"):  # under the words of its clause, not left of them
                    whole = str(len(element) <= WHOLE_LIST).lower()
                    written = f"#under({_number_room(clause):.2f}em, {whole}, [{written}])"
            (parts if held is None else held).append(written)
        if held is not None:
            parts.append(_together(held))
        return "\n".join(part for part in parts if part)

    def _pieces(self) -> str:
        """Each side of what is cut apart, as often as it stands on a sheet, so that front and back of every piece belong together."""
        sides: list[list[str]] = [[]]
        for element in self.doc.tree:
            if has_class(element, "newpage") and any(sides[-1]):
                sides.append([])
            sides[-1].append(self.block(element).replace("#pagebreak(weak: true)", ""))
        shown = (", ".join([f"[{chr(10).join(part for part in side if part)}]"] * self.doc.up) for side in sides)
        return "\n#pagebreak()\n".join(f"#pieces({ACROSS}, {INSET:g}pt, {side})" for side in shown)

    def _lines(self) -> str:
        """The lines of a sign, what room is left between them, and a hair line between two with symbols; under a huge word they may stand closer."""
        shown = [(part, element) for element in self.doc.tree if (part := self.block(element))]
        tight = ", tight: true" if any(has_class(element, "huge") for element in self.doc.tree.iter("p")) else ""
        ends = [
            f"\n#row-end({'true' if above.get('symbol') and below.get('symbol') else 'false'}{tight})\n"
            for (_, above), (_, below) in pairwise(shown)
        ]
        return "".join(part + end for (part, _), end in zip(shown, (*ends, LAST), strict=False))

    def _label(self, element: Element) -> str:
        name = element.get("id")
        return f" #label({literal(name)})" if name is not None and name in self.targets else ""

    def title(self, element: Element) -> str:
        """The title; a sign or card names itself in its foot."""
        if self.doc.layout in HANGING:
            return ""
        return f'#hd(1, "", 0pt, [{self.inline(element)}])'

    def heading(self, element: Element) -> str:
        """A heading with its number before it."""
        level = int(element.get("data-level", element.tag[1]))
        number = element.get("data-number", "")
        width = max(text_width(number, True) + 0.7, NUMBER_ROOM / (1.25 if level == 2 else 1.1))
        start = "#pagebreak(weak: true)\n" if has_class(element, "newpage") else ""
        shown = level - 1 if self.doc.layout in HANGING else level  # no level may be left out
        return f"{start}#hd({shown}, {literal(number)}, {width:.2f}em, [{self.inline(element)}]){self._label(element)}"

    def paragraph(self, element: Element) -> str:
        """A paragraph, or a clause with its number in the margin."""
        text = f"[{self._faced(element)._told(element)}]"
        if not element.attrib:
            return f"\n#par({text})\n"
        number = element.get("data-number")
        if number:
            width = _number_room(number)
            text = f"#cl({literal(number)}, {width:.2f}em, {text})"
        elif element.get("id") in self.targets:
            text = f"#block({text})"
        else:  # a paragraph also where it is all that a block holds, so that a reader by voice does not run on into the next
            text = text[1:-1] if element.get("symbol") else f"#par({text})"
        raised = has_class(element, "band") and bool(self.doc.bands) and self.doc.layout == "card"
        if raised:  # the head of each page has its room; no block holds it, or it would stand above that block and cover the heading there
            sheet = page(self.doc)
            text = f"#raised-band({sheet.width - 2 * sheet.side:g}pt, {BAND_PT:g}pt, [{text}])"
        for name in () if raised else ("lead", "small", "nobreak", "huge", "alarm", "band", "foot"):
            if has_class(element, name) and not (name == "nobreak" and element.get("symbol")):  # words beside a symbol never part
                text = f"#{self._named(name)}([{text}])"
        if element.get("keep") and not raised:
            text = f"#keep([{text}])"
        return f"\n{text}{self._label(element)}\n"

    def _named(self, name: str) -> str:
        """The function of look.typ for a class of a paragraph."""
        return {"nobreak": "whole", "small": "tiny" if self.doc.layout == "sign" else "small"}.get(name, name)

    def _faced(self, element: Element) -> Self:
        """This writer in the room that larger type leaves to a word."""
        times = next((times for name, times in FACES.items() if has_class(element, name)), 1.0)
        return self if times == 1 else self.at(self.place._replace(limit=self.place.limit / times))

    def _told(self, element: Element) -> str:
        """The words of a paragraph or item, its symbol left of them."""
        drawn = has_class(element, "drawing")
        room = LARGE_SYMBOL + SYMBOL_GAP if drawn else self.symbol
        beside = self.place._replace(limit=self.place.limit - room) if element.get("symbol") else self.place
        words = self.at(beside).inline(element)
        if (name := element.get("symbol")) is None:
            return words
        large = f", side: {LARGE_SYMBOL}em" if drawn else ""
        return f"#sym({literal(symbol_svg(name))}, {literal(element.get('alt', ''))}, [{words}]{large})"

    def _content(self, element: Element) -> str:
        """Inline content, or blocks; lists stay close to the words before them."""
        if not any(child.tag in self.BLOCKS for child in element):
            return self._told(element)
        parts = [self.block(child) for child in element]
        return "\n".join(
            [
                part.strip("\n") if child.tag != "p" or index == 0 else part
                for index, (child, part) in enumerate(zip(element, parts, strict=True))
            ]
        )

    def _items(self, element: Element) -> str:
        inner = self._inset()
        return ", ".join([f"[{inner._content(item)}]" for item in element])

    def _inset(self) -> Self:
        """This writer inside a list or box."""
        return self.at(self.place._replace(limit=self.place.limit - 2))

    def bullets(self, element: Element) -> str:
        """A list with bullets or with boxes to tick; where each item has a symbol, that is its bullet."""
        if all(item.get("symbol") or any(child.get("symbol") for child in item[:1]) for item in element):
            return f"#list(marker: none, indent: 0pt, body-indent: 0pt, {self._items(element)})"
        return f"#{'checks' if has_class(element, 'checklist') else 'list'}({self._items(element)})"

    def steps(self, element: Element) -> str:
        """A numbered list."""
        start = element.get("start")
        return f"#enum({f'start: {int(start)}, ' if start else ''}{self._items(element)})"

    def definitions(self, element: Element) -> str:
        """Terms with their meanings."""
        items: list[str] = []
        terms: list[str] = []
        text: list[str] = []

        def close() -> None:
            if terms:
                joint = '#" / "'
                items.append(f"terms.item([{joint.join(terms)}], [{chr(10).join(text)}])")
            terms.clear()
            text.clear()

        for child in element:
            if child.tag == "dt":
                if text:
                    close()
                terms.append(self.inline(child) + self._label(child))
            else:
                text.append("\n" + self._content(child) + "\n" if text else self._content(child))
        close()
        return f"#terms({', '.join(items)})"

    def rule(self, element: Element) -> str:
        """A line across the page."""
        return "#cut()" if has_class(element, "cut") else "#rule()"

    def quotation(self, element: Element) -> str:
        """Quoted paragraphs."""
        return "#quote(block: true, [" + "\n".join([self.block(child) for child in element]) + "])"

    def box(self, element: Element) -> str:
        """A signal panel, a note or a draft."""
        kind = element.get("kind", "")
        word = "none"
        parts = []
        inner = self._inset()
        for child in element:
            if child.tag == "title":
                word = f"[{inner.inline(child)}]"
            else:
                parts.append(inner.block(child))
        split = "true" if sum(map(len, element.itertext())) > SPLIT_FROM else "false"
        body = "[" + "\n".join(parts) + "]"
        look = PANEL_COLOURS.get(kind)
        if look is None:
            return f"#framed({'true' if kind == 'draft' else 'false'}, {split}, {word}, {body})"
        big = "1.5em"
        shapes = "alert" if look.alert else "()"
        return f'#panel(rgb("{look.text}"), rgb("{look.ground}"), {shapes}, {split}, {big}, {word}, {body})'

    def table(self, element: Element) -> str:
        """A call of `tb` of look.typ, the caption inside it."""
        factor = table_type(self.doc, has_class(element, "wide"))
        room = self.room / factor
        widths = columns(element, room, page(self.doc).text_width / room)
        kind = next((name for name in KINDS if has_class(element, name)), "rules")
        places = [Here(share * room / widths.scale - 1.1, CELL_PAD) for share in widths.shares]
        rows = [(row, part.tag == "thead") for part in element if part.tag != "caption" for row in part]
        whole = stays_whole(element)
        held = {} if whole else _held(rows)
        cells: list[str] = []
        caption, heads = element.find("caption"), sum(header for _, header in rows)
        number = caption.get("data-number", "") if caption is not None else ""
        goes_on = ""  # of a table with a number that may go on to a page more
        if number and not whole and heads == 1 and self.doc.layout == "report":
            goes_on = f"{literal(number)}, {literal(self.doc.labels['continued'].replace('{table}', number))}"
        for index, (row, header) in enumerate(rows):
            line = [self.at(place)._cell(cell) for cell, place in zip(row, places, strict=True)]
            if kind in ("form", "signature") and not header:
                line = [_held_open(cell, text) for cell, text in zip(row, line, strict=True)]
            if held and (header or held.get(index) == []):  # no empty cell of one row stands in the column without width
                line[-1] = f"table.cell(colspan: 2, {line[-1].removeprefix('table.cell(').removesuffix(')')})"
            if goes_on and header:
                line[0] = f"[#goes-on({goes_on}){line[0].removeprefix('[')}"
            elif goes_on and index == heads:
                line[0] = line[0].replace("[", f"[#begins({literal(number)})", 1)
            line += held.get(index, [])
            cells.extend([f"table.header({', '.join(line)})"] if header else line)
        settings = {
            "kind": f'"{kind}"',
            "dense": str(self.doc.landscape).lower(),
            "close": str(self.doc.layout == "card").lower(),
            "whole": str(whole).lower(),
            "lead": str(_lead(rows) + bool(held)),
            "size": f"{factor * widths.scale:.4f}em",
            "head": str(any(header for _, header in rows)).lower(),
            "cols": "(" + ", ".join([*(f"{share * 100:.2f}fr" for share in widths.shares), *(["0pt"] if held else [])]) + ",)",
            "align": "(" + ", ".join([*(cell.get("class", "left") for cell in rows[-1][0]), *(["left"] if held else [])]) + ",)",
        }
        if caption is not None and number:
            words = self.at(self.place._replace(pad=CELL_PAD)).inline(caption)
            settings["caption"] = f"capno({literal(number)}, [{words}])"
            if self.doc.layout in HANGING:
                settings["caption-size"] = "1em"
        said = ", ".join(f"{name}: {value}" for name, value in settings.items())
        lines = ",\n".join(cells)
        return f"#tb({said}, \n{lines}\n){self._label(element)}"

    def figure(self, element: Element) -> str:
        """A drawing with its caption."""
        caption, drawing = element[0], self.doc.figures[element.get("name", "")]
        text = f"[#capno({literal(caption.get('data-number', ''))}, [{self.inline(caption)}])]"
        return f"#fig({drawing.width:.3f}mm, {literal(svg(drawing))}, {literal(drawing.alt)}, {text}){self._label(element)}"

    def _cell(self, cell: Element) -> str:
        text = self.inline(cell)
        if cell.tag == "th":
            text = f"#strong([{text}])" if text else ""
        elif len(text) > SPLIT_FROM:
            return f"table.cell(breakable: true, [{text}])"
        return f"[{text}]"

    def strong(self, element: Element) -> str:
        """Bold words."""
        return f"#strong([{self.inline(element)}])"

    def emphasis(self, element: Element) -> str:
        """Words in italics."""
        return f"#emph([{self.inline(element)}])"

    def code(self, element: Element) -> str:
        """Letters of one width."""
        return f"#raw({literal(soften(element.text or '', self.place.limit / 1.1))})"

    def link(self, element: Element) -> str:
        """A link to a label or an address."""
        target = element.get("href", "")
        aim = f"label({literal(target[1:])})" if target.startswith("#") else literal(target)
        return f"#link({aim}, [{self.inline(element)}])"

    def line_break(self, element: Element) -> str:
        """A line break."""
        return "#linebreak()"

    def blank(self, element: Element) -> str:
        """A blank to write on."""
        return f"#blank({literal(chr(0xA0) * self.place.pad)}, [{self.inline(element)}])"

    def flag(self, element: Element) -> str:
        """Words that catch the eye."""
        return f"#flag([{self.inline(element)}])"


def _number_room(number: str) -> float:
    """How far the words of a clause stand from the margin, in em."""
    return max(text_width(number, True) + 0.7, NUMBER_ROOM)


def _together(parts: list[str]) -> str:
    return "#together([" + "\n".join(part for part in parts if part) + "])"


def _held(rows: list[tuple[Element, bool]]) -> dict[int, list[str]]:
    """Cells of a last column without width that hold the first rows of a table together, and the last, by the row that each begins in.

    The type-setter knows no other way to keep rows on one page: those that a cell which may not be split spans go over a page end together.
    """
    heads = sum(header for _, header in rows)
    n = len(rows) - heads
    if n < FIRST_ROWS + LAST_ROWS:
        return {}
    groups = ((FIRST_ROWS, False), (n - FIRST_ROWS - LAST_ROWS, True), (LAST_ROWS, False))
    found: dict[int, list[str]] = {}
    at = heads
    for count, breaks in groups:
        if count:
            found[at] = [f"table.cell(rowspan: {count}, breakable: {str(breaks).lower()}, inset: 0pt)[]"] if count > 1 else []
        at += count
    return found


def _lead(rows: list[tuple[Element, bool]]) -> int:
    """How many cells, as the table is written (a head is one), make up the head and its first rows."""
    heads = sum(header for _, header in rows)
    return heads + len(rows[-1][0]) * min(FIRST_ROWS, len(rows) - heads)


def source(doc: Document, face: Face | None = None) -> str:
    """The whole typst source of a document; the sizes of body type and symbols come as inputs, and are known here where words must fit them."""
    sheet = page(doc)
    parts = doc.language.split("-")
    region = next((part for part in parts[1:] if len(part) == 2 and part.isalpha()), "")
    pieces = ", ".join(
        f'("{name}",)' if name else literal(str(value)) for name, value in split_label(doc.labels["page"], page=0, pages=0)
    )
    settings = {
        "title": literal(doc.title),
        "author": literal(doc.site_name),
        "date": f"datetime(year: {doc.date.year}, month: {doc.date.month}, day: {doc.date.day})",
        "lang": literal(parts[0].lower()),
        "region": literal(region) if region else "none",
        "layout": literal(doc.layout),
        "width": f"{sheet.width:.3f}pt",
        "height": f"{sheet.height:.3f}pt",
        "side": f"{sheet.side:.1f}pt",
        "top": f"{sheet.top:.1f}pt",
        "bottom": f"{sheet.bottom:.1f}pt",
        "site": literal(doc.site_name),
        "imprint": literal(doc.imprint),
        "stamp": literal(doc.banner),
        "mark": literal(doc.mark),
        "code": literal(code_svg(doc)),
        "code-alt": literal(doc.code_alt),
        "code-side": f"{code_side(doc):.3f}pt",
        "code-quiet": f"{CODE_QUIET * MODULE:.3f}pt",
        "code-edge": f"{CODE_EDGE - CODE_QUIET * MODULE:.3f}pt",
        "footer": f"({pieces},)",
        "bands": f"({''.join(literal(line) + ', ' for line in doc.bands)})",
        "band-size": f"{BAND_PT:g}pt",
        **_look(doc),
    }
    shapes = ", ".join("(" + ", ".join(f"({x}, {y})" for x, y in shape) + ")" for shape in ALERT)
    config = ", ".join(f"{key}: {value}" for key, value in settings.items())
    return f"{look_text('look.typ')}\n#let alert = ({shapes})\n#show: setup.with(({config}))\n{PdfWriter(doc, face).body()}\n"


def _look(doc: Document) -> dict[str, str]:
    """The client's look as settings of the page."""
    look = doc.dressed
    wide, high = look.logo.fitted(WIDE, TALL if doc.lettered else LOW) if look.logo else (0.0, 0.0)
    return {
        "firm": literal(doc.firm),
        "lettered": str(doc.lettered).lower(),
        "letterhead": f"({''.join(literal(line) + ', ' for line in look.lines)})",
        "logo": literal(logo_svg(look.logo)) if look.logo else "none",
        "logo-width": f"{wide:.2f}pt",
        "logo-height": f"{high:.2f}pt",
        "accent": f'rgb("{look.accent}")' if look.accent else "ink",
        "coloured": str(look.accent is not None).lower(),
        "heading": f'rgb("{look.heading}")' if look.heading else "none",
    }


@cache
def _fonts() -> typst.Fonts:
    import typst

    from docgen.resources import data_folder

    folder = data_folder("templates") / "look" / "fonts"
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(folder)])
    if "Liberation Sans" not in fonts.families():
        raise WriteError(f"{folder}: the font Liberation Sans is missing; install docgen again")
    return fonts


def _failure(doc: Document, error: Exception) -> WriteError:
    return WriteError(f"{doc.name} ({doc.language}): the PDF cannot be written: {_said(error)}")


def _said(error: Exception) -> str:
    return " ".join(str(getattr(error, "message", error)).split())


def _shown(text: str) -> str:
    """The source with each sign that our font lacks as its number, which can be read where the sign cannot."""
    return text.translate({ord(sign): f"[{_number(sign)}]" for sign in without_glyph(text)})


def _number(sign: str) -> str:
    return f"U+{ord(sign):04X}"


def _pages(data: bytes) -> int:
    """Pages of a PDF, from the count in the root of its page tree (asking typst would lay the document out again)."""
    root = re.search(rb"/Type\s*/Catalog\b[^>]*?/Pages\s+(\d+) 0 R", data)
    tree = root and re.search(rb"[\r\n]" + root.group(1) + rb" 0 obj(.*?)endobj", data, re.DOTALL)
    count = tree and re.search(rb"/Count\s+(\d+)", tree.group(1))
    if not count:
        raise WriteError("the pages of a PDF cannot be counted; this release of typst is not known to docgen")
    return int(count.group(1))


def _held_open(cell: Element, text: str) -> str:
    """The text of a cell to write or tick in: a line high where there are no words in it, since a box alone has no height."""
    said = "".join(cell.itertext())
    alone = text == "[]" or (TICK in said and not said.strip(f" \u00a0{TICK}"))
    return text.replace("[", "[#strut", 1) if alone else text


def render(doc: Document) -> Rendered:
    """PDF/UA-1 bytes and the number of pages. Poster and card take the largest type that fits their pages, a card no page more than in its smallest.

    A sign takes what serves farthest, its type never below the smallest: symbols need more height than words for one distance.
    A sign that no font has is printed as its number, which the notes say. Raises PdfUnavailable where typst is not installed, WriteError
    where the text cannot be set.
    """
    (data, pages), missing = _shown_as(doc, lambda make: _set(doc, make))
    notes = []
    if missing:
        signs = ", ".join(f"{sign} ({_number(sign)})" for sign in missing)
        notes.append(doc.labels["no_glyph"].replace("{signs}", signs))
    if doc.layout != "report" and pages > _most(doc) + doc.spare_pages:
        notes.append(doc.labels["too_long"].replace("{pages}", str(pages)))
    return Rendered(data, pages, tuple(notes))


def fewest_pages(doc: Document) -> int:
    """The pages in the smallest type that the document may have, which are more than it may have where it does not fit; raises as `render` does."""

    try:
        import typst
    except ImportError:
        raise PdfUnavailable("no PDF: typst is not installed; install docgen with the extra 'pdf'") from None
    hanging = doc.layout in HANGING
    face = faces(doc)[0] if hanging else Face(doc.type_pt + (POSTER_STEPS[-1] if doc.layout == "poster" else 0.0))
    try:
        return Layout(_shown(source(doc, face if hanging else None)), face).pages()
    except typst.TypstError as error:
        raise _failure(doc, error) from None


def _shown_as(
    doc: Document, do: Callable[[Callable[[Face | None], str]], tuple[bytes, int]]
) -> tuple[tuple[bytes, int], tuple[str, ...]]:
    """What is set of the text, with signs that no font has as their numbers, and these signs."""
    try:
        import typst
    except ImportError:
        raise PdfUnavailable("no PDF: typst is not installed; install docgen with the extra 'pdf'") from None
    try:
        return do(lambda face: source(doc, face)), ()
    except typst.TypstError as error:
        if "could not be displayed" not in _said(error):
            raise _failure(doc, error) from None
        try:
            return do(lambda face: _shown(source(doc, face))), without_glyph(source(doc))
        except typst.TypstError as again:
            raise _failure(doc, again) from None


def _set(doc: Document, make: Callable[[Face | None], str]) -> tuple[bytes, int]:
    """The PDF and its pages. TypstError where it cannot be set, WriteError where the type-setter has doubts."""
    if not _grows(doc):
        text = make(None)
        if doc.layout != "poster":
            return Layout(text, Face(doc.type_pt)).exported(doc)
        large, small = 0, len(POSTER_STEPS) - 1  # among these is the largest that fits; the smallest is taken though it does not
        set_at: dict[int, Layout] = {}
        while large < small:
            middle = (large + small) // 2
            set_at[middle] = Layout(text, Face(doc.type_pt + POSTER_STEPS[middle]))
            large, small = (large, middle) if set_at[middle].pages() <= _most(doc) else (middle + 1, small)
        return (set_at.get(large) or Layout(text, Face(doc.type_pt + POSTER_STEPS[large]))).exported(doc)
    tried = faces(doc)
    best = Layout(make(tried[0]), tried[0])
    least = best.pages()
    most = min(least, _most(doc))  # larger type is worth no page more, which would hold what was left over
    low, high = 0, len(tried) if least <= most else 1  # the last that fits, and the first that does not
    while high - low > 1:  # from small on, since most have little room to grow in: each try is a whole layout
        middle = (low + high) // 2 if high < len(tried) else min(max(2 * low, FIRST_TRY[doc.layout]), high - 1)
        text = make(tried[middle])
        found = None if CUT in text else Layout(text, tried[middle])
        if found is not None and found.pages() <= most:
            best, low = found, middle
        else:
            high = middle
    return best.exported(doc)


class Layout:
    """One text in type and symbols of a size. What is laid out to count its pages is remembered for the export, which costs as much again."""

    def __init__(self, text: str, face: Face) -> None:
        import typst

        inputs = {"size": f"{face.size:g}"} | ({"symbol": f"{face.symbol:g}"} if face.symbol else {})
        self._text = text.encode("utf-8")
        self._compiler = typst.Compiler(self._text, font_paths=_fonts(), sys_inputs=inputs)

    def pages(self) -> int:
        """The pages that it takes, which `look.typ` writes down."""
        import typst

        found = int(json.loads(self._compiler.query("<pages>", field="value", one=True)))
        if next(_TRIES) % FORGET == 0:
            typst.compile(b"", format="svg", font_paths=_fonts())
        return found

    def exported(self, doc: Document) -> tuple[bytes, int]:
        """The PDF and its pages. TypstError where it cannot be written, WriteError where the type-setter has doubts."""
        data, warnings = self._compiler.compile_with_warnings(self._text, format="pdf", pdf_standards=["ua-1"])
        if warnings:
            raise _failure(doc, warnings[0])
        pdf = cast("bytes", data)  # in one piece, since no file was named to write to
        return mended(pdf), _pages(pdf)


def faces(doc: Document) -> tuple[Face, ...]:
    """In what a sheet that hangs or is carried may be set, the smallest first.

    A sign with symbols on its lines grows in its symbols until they serve as far as its smallest type, then in both; what is told by one huge word, on a
    sign or a poster, or is carried, grows in its type.
    """
    least, most = doc.type_pt, doc.type_pt * LARGEST[doc.layout]
    worded = _worded(doc)
    if doc.layout != "sign" or worded:
        step = TYPE_STEP[doc.layout]
        sizes = (least + i * step for i in range(round((most - least) / step)))
        return tuple(Face(size, BESIDE_WORD * size if worded and doc.layout == "sign" else None) for size in sizes)
    even = reading_distance(1.0, lit=True) / symbol_distance(1.0, lit=True)
    symbols = (SYMBOL * least + i * SYMBOL_STEP for i in range(round((even * most - SYMBOL * least) / SYMBOL_STEP)))
    return tuple(Face(max(least, math.floor(symbol / even)), symbol) for symbol in symbols)


def _worded(doc: Document) -> bool:
    """Whether a text stands under one huge word."""
    return any(has_class(element, "huge") for element in doc.tree.iter("p"))


def _grows(doc: Document) -> bool:
    """Whether a sheet is set as large as it fits: what hangs or is carried, and a poster that says little under one huge word."""
    return doc.layout in HANGING or (doc.layout == "poster" and _worded(doc))


def _most(doc: Document) -> int:
    """The pages that a sheet which hangs or is carried may take."""
    return doc.most_pages or 1
