"""The body of a DOCX, one method an element. Word numbers headings, clauses and lists."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple, Protocol
from zlib import crc32

from docgen.compose.document import HANGING
from docgen.compose.drawing import POINT
from docgen.compose.number import contents_at, contents_of
from docgen.compose.symbols import SYMBOLS, drawn
from docgen.compose.tree import words
from docgen.write.base import ALERT, LARGE_SYMBOL, PANEL_COLOURS, SYMBOL, Writer, has_class, split_label
from docgen.write.docx_xml import BOLD, LINE_BREAK, NONE, TAB, Xml, cell, el, escape, field, joined, paragraph, run
from docgen.write.widths import (
    CODE_EDGE,
    CODE_QUIET,
    FIRST_ROWS,
    LAST_ROWS,
    MODULE,
    TICK,
    TICK_SIZE,
    code_side,
    columns,
    page,
    stays_whole,
    table_type,
    text_width,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from xml.etree.ElementTree import Element

    from docgen.compose.document import Document
    from docgen.compose.drawing import Drawing
    from docgen.write.base import Panel
    from docgen.write.docx_base import Base

__all__ = ["BAND", "DocxWriter", "Here", "picture", "pinned"]

TABLE_STYLES = {
    "form": "Table Form",
    "signature": "Table Form",
    "keyvalue": "Table Rules",
    "plain": "Table Plain",
    "rules": "Table Rules",
}
ROW_HEIGHT = {"form": 2.4, "signature": 2.6}  # em of table type
CARRIED = (0.22, 0.36)  # em of table type above and below the words of a cell in a paper that is carried
DENSE = (0.06, 0.13)  # the same in a paper that lies across
CELL_SIDE = 0.5  # em left and right of them
POSTER_ROW = 2.0  # the same on a poster and across a working paper, where height is scarce
WHOLE_ROW = 1500  # letters; a longer row may go over a page end
BLANK_PAD = 14  # no-break spaces before the words of a blank, to write on
CELL_PAD = 4  # the same in a table
CLAUSE_ROOM = 3.6  # em from the margin to the words of a clause, as the base file's numbering sets them
LETTERS = 1.15  # em that a line of our letters is high in single spacing
NAME = 64  # signs that a word processor shows of the name of a field
TICKED = "\u25a0"
FACE = "Arial"
DAY_FORM = "yyyy-MM-dd"
DEEPEST = 8  # levels of a list below the first
FILL = "ECEFF2"
FIXED = el("w:rFonts", ascii="Courier New", hAnsi="Courier New", eastAsia="Courier New", cs="Courier New")
ITALIC = joined([el("w:i"), el("w:iCs")])
BAND = el("w:shd", val="clear", color="auto", fill="333333")
CUT = el("w:pBdr", el("w:bottom", val="dashed", sz=8, space=1, color="000000"))
#: Class of a paragraph of a sign or card -> its type as a share of the body's, and its color.
FACES = {"huge": (4.0, NONE), "alarm": (1.8, NONE), "band": (1.0, el("w:color", val="FFFFFF")), "foot": (0.8, NONE)}
KEEP_NEXT, KEEP_LINES, NEW_PAGE = el("w:keepNext"), el("w:keepLines"), el("w:pageBreakBefore")
WHOLE, HEADER_ROW = el("w:cantSplit"), el("w:tblHeader")
DRAWING = "http://schemas.openxmlformats.org/drawingml/2006"
CODE_ID = 100_000  # of the picture in the foot, above those of the body
MILLIMETRE, EMU = 36000, 12700  # EMU in a millimetre and in a point


class Pictured(Protocol):
    """What a picture says of itself: its sides [mm], its name, and what stands for it where nobody sees it."""

    @property
    def width(self) -> float: ...
    @property
    def height(self) -> float: ...
    @property
    def name(self) -> str: ...
    @property
    def alt(self) -> str: ...


class Here(NamedTuple):
    """What holds at one place of the body."""

    width: int  # of a line [twentieths of a point]
    base: str = "Body Text"  # style of plain paragraphs
    bold: bool = False
    italic: bool = False
    style: str = ""  # character style by name
    face: Xml = NONE  # run property of its own
    size: Xml = NONE  # size or colour beside the style's
    depth: int = 0  # lists around this place, and of these
    bullets: int = 0  # the bulleted and
    steps: int = 0  # the numbered ones
    under: float = 0.0  # em from the margin to the words of the clause that a list belongs to
    to_fill: bool = False  # in a cell of a form, where a blank is a field
    named: str = ""  # what a screen calls a field of this cell


class DocxWriter(Writer[Here]):
    """WordprocessingML of the body, block by block.

    What the other parts of the package need stands in `links` (target -> relationship), `pictures` (relationship ->
    drawing) and `lists` (level and start of each ordered list) afterwards.
    """

    def __init__(self, doc: Document, base: Base) -> None:
        super().__init__(doc, Here(round(page(doc).text_width * 20)))
        self.base = base
        self.em = doc.type_pt * 20  # twentieths of a point
        self.links: dict[str, str] = {}
        self.pictures: dict[str, Drawing] = {}
        self.lists: list[tuple[int, int]] = []
        self.bookmarks: dict[str, str] = {}
        self.marks: list[str] = []
        self.fields: list[str] = []
        self.days = frozenset(name.strip().casefold() for name in doc.labels["days"].split(","))
        targets = {link.get("href", "")[1:] for link in doc.tree.iter("a") if link.get("href", "").startswith("#")}
        # a table before a page break has no gap below it: at the foot of a full page that would stand on a page of its own
        self.last_of_page = {above for above, below in pairwise(doc.tree) if self._new_page(below)}
        self.toc = doc.contents and doc.layout == "report"
        listed = {name for _, _, _, name in contents_of(doc.tree)} if self.toc else set()
        for element in doc.tree.iter():
            name = element.attrib.get("id")
            if name is not None and (name in targets or name in listed):
                self._name_bookmark(name, "_Toc" if name in listed else "_Ref")

    def _name_bookmark(self, name: str, prefix: str) -> None:
        code = crc32(name.encode("utf-8"))
        while (mark := f"{prefix}{code:010d}") in self.bookmarks.values():
            code += 1
        self.bookmarks[name] = mark

    # text

    def properties(self) -> Xml:
        """Inside of `w:rPr` for text at this place, in schema order."""
        here = self.place
        parts = [el("w:rStyle", val=self.base.styles[here.style]), here.face] if here.style else []
        if here.bold:
            parts.append(BOLD)
        if here.italic:
            parts.append(ITALIC)
        return joined([*parts, here.size])

    def literal(self, text: str) -> Xml:
        """A run in the look of this place; each box to tick in it is a check box of its own, called by the words behind it."""
        if TICK not in text:
            return run(text, self.properties())
        before, *behind = text.split(TICK)
        pieces = [run(before, self.properties())] if before else []
        for told in behind:
            pieces.append(self._tick(told.strip(" \u00a0") or self.place.named))
            pieces.append(run(told, self.properties()) if told else NONE)
        return joined(pieces)

    def inline(self, element: Element) -> Xml:
        """Runs of the inline content."""
        return Xml(super().inline(element))

    def block(self, element: Element) -> Xml:
        """One block."""
        return Xml(super().block(element))

    def strong(self, element: Element) -> Xml:
        """Bold runs."""
        return self.at(self.place._replace(bold=True)).inline(element)

    def emphasis(self, element: Element) -> Xml:
        """Italic runs."""
        return self.at(self.place._replace(italic=True)).inline(element)

    def code(self, element: Element) -> Xml:
        """Runs in letters of one width."""
        return self.at(self.place._replace(face=FIXED, style="Code Text")).inline(element)

    def blank(self, element: Element) -> Xml:
        """A framed blank with what belongs in it; a content control in a form.

        Its size stands on the run too, as not every reader heeds the style's.
        """
        in_table = self.place.base == "Table Text"
        size = _size(self.doc.type_pt * 2 * 0.8 * (table_type(self.doc) if in_table else 1))
        inner = self.at(self.place._replace(style="Blank", size=size))
        asked = "".join(element.itertext())
        told = joined([inner.literal("\u00a0" * (CELL_PAD if in_table else BLANK_PAD)), inner.inline(element)])
        return self._control(asked, asked, told) if self.place.to_fill else told

    def _control(self, name: str, asked: str, runs: Xml) -> Xml:
        """A content control for text, or for a day where that is asked: the runs stand in it until somebody types."""
        kind = el("w:text")
        if asked.strip().casefold() in self.days:
            form = [el("w:dateFormat", val=DAY_FORM), el("w:lid", val=self.doc.language)]
            kind = el("w:date", *form, el("w:storeMappedDataAs", val="dateTime"), el("w:calendar", val="gregorian"))
        return self._field(name, joined([el("w:showingPlcHdr"), kind]), runs)

    def _tick(self, name: str, times: float = TICK_SIZE) -> Xml:
        """A check box: an empty square in print, a full one where somebody ticked it on the screen."""
        here = self.at(self.place._replace(size=_size(self.doc.type_pt * self._scale() * 2 * times)))
        states = [
            el(f"w14:{state}State", val=f"{ord(sign):04X}", font=FACE)
            for state, sign in (("checked", TICKED), ("unchecked", TICK))
        ]
        return self._field(name, el("w14:checkbox", el("w14:checked", val=0), *states), run(TICK, here.properties()))

    def _as_high(self, element: Element) -> Xml:
        """A line with boxes to tick in it is as high as one of words alone, as in the PDF: they are larger than the words, and a form is full."""
        if TICK not in "".join(element.itertext()) and not has_class(element, "checklist"):
            return NONE
        line = self.base.table_line if self.place.base == "Table Text" else self.base.body_line
        return el("w:spacing", line=round(self.em * self._scale() * LETTERS * line / 240), lineRule="exact")

    def _scale(self) -> float:
        """Type of this place as a share of the body's."""
        return table_type(self.doc) if self.place.base == "Table Text" else 1.0

    def _field(self, name: str, kind: Xml, runs: Xml) -> Xml:
        """A content control of a kind around runs, with a name for whoever does not see where it stands."""
        self.fields.append(name)
        count = len(self.fields)
        known = [el("w:alias", val=name[:NAME].rstrip()), el("w:tag", val=f"fill-{count}"), el("w:id", val=count)]
        return el("w:sdt", el("w:sdtPr", *known, kind), el("w:sdtContent", runs))

    def flag(self, element: Element) -> Xml:
        """Runs that catch the eye."""
        return self.at(self.place._replace(style="Flag")).inline(element)

    def line_break(self, element: Element) -> Xml:
        """A line break."""
        return LINE_BREAK

    def link(self, element: Element) -> Xml:
        """A link to a bookmark or through a relationship."""
        target = element.get("href", "")
        if target.startswith("#"):
            return el("w:hyperlink", self.inline(element), anchor=self.bookmarks[target[1:]], history=1)
        name = self.links.setdefault(target, f"rLink{len(self.links) + 1}")
        runs = self.at(self.place._replace(style="Hyperlink")).inline(element)
        return el("w:hyperlink", runs, **{"r:id": name}, history=1)

    # paragraphs

    def para(self, style: str, runs: Xml, extra: Xml = NONE) -> Xml:
        """One paragraph by its style's name; `extra` goes after the style inside `w:pPr`, in schema order."""
        return paragraph(self.base.styles[style], runs, extra)

    def marked(self, element: Element, runs: Xml) -> Xml:
        """Runs inside the bookmark of the element, where something leads to it."""
        mark = self.bookmarks.get(element.get("id", ""))
        if mark is None:
            return runs
        self.marks.append(mark)
        count = len(self.marks)
        return joined([el("w:bookmarkStart", id=count, name=mark), runs, el("w:bookmarkEnd", id=count)])

    def body(self) -> Xml:
        """All blocks, with the contents list before the first numbered section, or the second."""
        pieces = []
        contents = contents_at(self.doc.tree) if self.toc else None
        clause = False  # whether the last block that is no list has a clause's number
        for element in self.doc.tree:
            if element is contents:
                pieces.append(self.contents())
            listed = element.tag in ("ul", "ol")
            if not listed:
                clause = element.tag == "p" and element.get("data-number") is not None
            under = CLAUSE_ROOM if listed and clause and self.doc.layout == "report" else 0.0
            pieces.append((self.at(self.place._replace(under=under)) if under else self).block(element))
        return joined(pieces, "\n")

    def contents(self) -> Xml:
        """The list of headings, each with a field for the page of its heading, which the reader's program fills in on opening.

        A field for the whole list would be shorter, but in it some programs print no page at all.
        """
        lines = []
        for level, number, text, name in contents_of(self.doc.tree):
            # a tab only where the number ends before the tab stop, else it would jump to the right edge
            gap = TAB if text_width(number, True) < 2.2 else run("\u2003")
            label = joined([run(number), gap]) if number else NONE
            mark = self.bookmarks[name]
            entry = el("w:hyperlink", label, run(text), TAB, _page_of(mark), anchor=mark, history=1)
            lines.append(self.para(f"toc {level}", entry))
        gallery = el("w:docPartObj", el("w:docPartGallery", val="Table of Contents"), el("w:docPartUnique"))
        title = self.para("TOC Heading", run(self.doc.labels["contents"]))
        return el("w:sdt", el("w:sdtPr", gallery), el("w:sdtContent", title, joined(lines, "\n")))

    def title(self, element: Element) -> Xml:
        """The document's title; what is carried names itself in its foot, as in the PDF."""
        return NONE if self.doc.layout in HANGING else self.para("Title", self.inline(element))

    def _new_page(self, element: Element) -> bool:
        """Whether a heading begins a page."""
        return element.tag in ("h2", "h3", "h4") and (has_class(element, "newpage") or self._begins_together(element))

    def _begins_together(self, element: Element) -> bool:
        """Whether it is the first heading of what stands on one page."""
        sections = [h for h in self.doc.tree if h.tag == "h2"]
        return any(
            h is element and has_class(h, "together") and not (at and has_class(sections[at - 1], "together"))
            for at, h in enumerate(sections)
        )

    def heading(self, element: Element) -> Xml:
        """A heading; its number is Word's."""
        extra = NEW_PAGE if self._new_page(element) else NONE
        level = int(element.tag[1]) - 1
        number = element.get("data-number")
        style = f"Heading {level}"
        if level < 3 and number is None:
            style += " Plain"  # a style of its own: numbering switched off by numId 0 fails strict readers
        elif level < 3 and number and (not number[0].isdigit() or has_class(element, "appendix")):
            extra = joined([extra, _numbering(level - 1, self.base.lists["Numbered Appendices"])])
        return self.para(style, self.marked(element, self.inline(element)), extra)

    def _clause(self, number: str) -> Xml:
        chain = "Numbered Headings" if number[0].isdigit() else "Numbered Appendices"
        return _numbering(number.count("."), self.base.lists[chain])

    def paragraph(self, element: Element) -> Xml:
        """A paragraph; a clause's number is Word's."""
        style = self.place.base
        extra = [KEEP_NEXT] if element.get("keep") else []
        if has_class(element, "nobreak"):
            extra.append(KEEP_LINES)
        if number := element.get("data-number"):
            # the paragraph mark's type is the number's
            style = "Clause"
            extra += [self._clause(number), el("w:rPr", BOLD)]
        elif has_class(element, "lead"):
            style = "Lead Text"
        elif has_class(element, "small"):
            style = "Small Text"
        elif has_class(element, "band"):
            extra += [BAND, el("w:jc", val="center")]
        return self.para(style, self.marked(element, self._faced(element)._told(element)), joined(extra))

    def _faced(self, element: Element) -> DocxWriter:
        """This writer with the type of a paragraph of a sign or card."""
        for name, (times, look) in FACES.items():
            if has_class(element, name):
                return self.at(self.place._replace(bold=times >= 1, size=joined([look, _size(self.doc.type_pt * 2 * times)])))
        return self

    def _told(self, element: Element) -> Xml:
        """Runs of a paragraph or item, its symbol before them."""
        words = self.inline(element)
        if (name := element.get("symbol")) is None:
            return words
        drawing = drawn(
            SYMBOLS[name],
            element.get("alt", ""),
            self.doc.type_pt * (LARGE_SYMBOL if has_class(element, "drawing") else SYMBOL) * POINT,
        )
        key = f"rFigure{len(self.pictures) + 1}"
        self.pictures[key] = drawing
        return joined([picture(key, len(self.pictures), drawing, 1.0), run("\u2002"), words])

    def rule(self, element: Element) -> Xml:
        """A line across the page."""
        return self.para("Rule", NONE, CUT if has_class(element, "cut") else NONE)

    def quotation(self, element: Element) -> Xml:
        """Quoted paragraphs."""
        inner = self.at(self.place._replace(base="Quote"))
        return joined([inner.block(child) for child in element], "\n")

    def _indent(self, left: float, hanging: float = 0) -> Xml:
        start = {"hanging": round(hanging * self.em)} if hanging else {"firstLine": 0}
        return el("w:ind", left=round(left * self.em), **start)

    def _list(
        self, element: Element, style: str, numbering: Xml, left: float, sign: Callable[[Element], Xml] = lambda _: NONE
    ) -> Xml:
        """Paragraphs of a list: each item's first paragraph carries the sign, the rest is indented under its words."""
        pieces = []
        for item in element:
            blocks = list(item) if any(child.tag in self.BLOCKS for child in item) else [item]
            before = sign(item)
            for index, block in enumerate(blocks):
                if block.tag not in ("p", "li"):
                    if index == 0:
                        pieces.append(self.para(style, before, numbering))
                    pieces.append(self.block(block))
                elif index == 0:
                    pieces.append(self.para(style, joined([before, self._told(block)]), numbering))
                else:
                    pieces.append(self.para("List Continue", self.inline(block), self._indent(left)))
        return joined(pieces, "\n")

    def bullets(self, element: Element) -> Xml:
        """A list with bullets, or one with boxes to tick."""
        if not has_class(element, "checklist"):
            return self._nested(element, "List Bullet", self.base.lists["Bulleted List"])
        here = self.place
        left = 0.3 + 1.5 * (here.depth + 1)
        inner = self.at(here._replace(depth=here.depth + 1, bullets=here.bullets + 1))
        return inner._list(
            element,
            "List Check",
            joined([self._as_high(element), self._indent(left, 1.5)]),
            left,
            lambda item: joined([self._tick(words(item)), TAB]),
        )

    def steps(self, element: Element) -> Xml:
        """An ordered list with a numbering instance of its own."""
        self.lists.append((min(self.place.steps, DEEPEST), int(element.get("start", "1"))))
        return self._nested(element, "List Number", self.base.free + len(self.lists) - 1)

    def _nested(self, element: Element, style: str, chain: int) -> Xml:
        """A list whose signs follow its depth among lists of its kind, its indent the depth among all."""
        here = self.place
        bulleted = element.tag == "ul"
        level = min(here.bullets if bulleted else here.steps, DEEPEST)
        left = here.under + 0.3 + 1.5 * (here.depth + 1)
        numbering = _numbering(level, chain)
        if level != here.depth or here.under:
            numbering = joined([numbering, self._indent(left, 1.1 if bulleted else 1.5)])
        inner = here._replace(depth=here.depth + 1, bullets=here.bullets + bulleted, steps=here.steps + (not bulleted))
        return self.at(inner)._list(element, style, numbering, left)

    def definitions(self, element: Element) -> Xml:
        """Terms with their meanings, the first line of each beside its term."""
        pieces: list[Xml] = []
        head = NONE
        for child in element:
            if child.tag == "dt":
                term = self.marked(child, self.at(self.place._replace(bold=True)).inline(child))
                head = joined([head, self.literal(" / "), term]) if head else term
                continue
            blocks = list(child) if any(part.tag in self.BLOCKS for part in child) else [child]
            for block in blocks:
                pieces.extend(self._meaning(head, block))
                head = NONE
        if head:
            pieces.append(self.para("Definition", head))
        return joined(pieces, "\n")

    def _meaning(self, head: Xml, block: Element) -> Iterable[Xml]:
        """One block of a meaning; `head` is the term where it is the first."""
        plain = block.tag in ("p", "dd")
        words = self.inline(block) if plain else NONE
        if head:
            yield self.para("Definition", joined([head, self.literal("\u2003"), words]))
        elif plain:
            yield self.para("List Continue", words, self._indent(1.3))
        if not plain:
            yield self.block(block)

    # tables and boxes

    def _gap(self, last: bool = False) -> Xml:
        """The room under a table. Behind the last of a document a paragraph must stand, and takes no room that could begin a page."""
        return self.para("Table Gap", NONE, el("w:spacing", before=0, after=0, line=20, lineRule="exact") if last else NONE)

    def table(self, element: Element) -> Xml:
        """A table with its caption above it."""
        width = self.place.width
        factor = table_type(self.doc, has_class(element, "wide"))
        kind = next((name for name in TABLE_STYLES if has_class(element, name)), "rules")
        widths = columns(element, width / (self.em * factor), self.em * factor / 20)
        size = round(self.doc.type_pt * factor * widths.scale * 2)
        usual = round(self.doc.type_pt * table_type(self.doc) * 2)
        grid = _whole(widths.shares, width)
        caption = element.find("caption")
        printed = caption is not None and caption.get("data-number") is not None
        head = self._caption(element, caption) if caption is not None and printed else NONE
        inner = self.at(self.place._replace(base="Table Text", depth=0, size=NONE if size == usual else _size(size)))
        rows = inner._rows(element, grid, kind, factor, marked=not printed)
        name = None if caption is None else "".join(caption.itertext()) or None
        look = [
            el("w:tblStyle", val=self.base.styles[TABLE_STYLES[kind]]),
            el("w:tblW", w=width, type="dxa"),
            el("w:tblLayout", type="fixed"),
            self._air(factor * widths.scale) if kind == "rules" else NONE,
            _look(first_row=element.find("thead") is not None and kind in ("rules", "form", "signature")),
            el("w:tblCaption", val=name) if name else NONE,
        ]
        columns_ = el("w:tblGrid", *[el("w:gridCol", w=each) for each in grid])
        body = el("w:tbl", el("w:tblPr", *look), columns_, Xml("\n"), joined(rows, "\n"))
        return joined([head, body, NONE if element in self.last_of_page else self._gap(element is self.doc.tree[-1])])

    def _air(self, factor: float) -> Xml:
        """Air of the cells in the tables of a working paper or a card, as the PDF has it; of another paper as the base file has it."""
        air = DENSE if self.doc.landscape else CARRIED if self.doc.layout == "card" else None
        if air is None:
            return NONE
        above, below, beside = (round(share * self.em * factor) for share in (*air, CELL_SIDE))
        sides = (("top", above), ("left", beside), ("bottom", below), ("right", beside))
        return el("w:tblCellMar", *[el(f"w:{side}", w=width, type="dxa") for side, width in sides])

    def _caption(self, target: Element, caption: Element, label: str = "table", sequence: str = "Table") -> Xml:
        count = re.search(r"\d+", caption.get("data-number", ""))
        words = joined(
            [
                field(f"SEQ {sequence} \\* ARABIC", value, BOLD) if name else run(value, BOLD)
                for name, value in split_label(self.doc.labels[label], n=count.group(0) if count else "")
            ]
        )
        # a table's caption stands above it and keeps with it, a figure's stands below
        below = joined([el("w:keepNext", val=0), el("w:spacing", before=0, after=240)])
        text = joined([self.marked(target, words), run("\u2002"), self.inline(caption)])
        return self.para("Caption", text, below if label == "figure" else NONE)

    def figure(self, element: Element) -> Xml:
        """The picture in a paragraph of its own, kept with its caption below."""
        drawing = self.doc.figures[element.get("name", "")]
        name = f"rFigure{len(self.pictures) + 1}"
        self.pictures[name] = drawing
        scale = min(1.0, self.place.width / 20 / (drawing.width / POINT))
        look = joined([KEEP_NEXT, el("w:spacing", before=120, after=60, line=240, lineRule="auto")])
        shown = self.para("Body Text", picture(name, len(self.pictures), drawing, scale), look)
        return joined([shown, self._caption(element, element[0], "figure", "Figure")])

    def _rows(self, table: Element, grid: list[int], kind: str, factor: float, marked: bool) -> list[Xml]:
        """All rows; `marked`: the table's bookmark stands in its first cell, as it has no caption."""
        parts = [(row, part.tag == "thead") for part in table if part.tag != "caption" for row in part]
        heads = ["".join(cell.itertext()).strip() for cell in table.findall("thead/tr[last()]/*")]
        whole = stays_whole(table)
        heads_above = sum(header for _, header in parts)
        one = sum(not header for _, header in parts) == 1
        rows = []
        for index, (row, header) in enumerate(parts):
            mark = self.marked(table, NONE) if marked and index == 0 else NONE
            together = whole or index < heads_above + FIRST_ROWS - 1 or index >= len(parts) - LAST_ROWS
            keep = KEEP_NEXT if index < len(parts) - 1 and together else NONE
            cells = (
                self._head_cells(row, grid, keep, mark)
                if header
                else self._cells(row, grid, kind, keep, mark, heads, None if one else index)
            )
            rows.append(el("w:tr", self._row_look(row, kind, header, factor), *cells))
        return rows

    def _row_look(self, row: Element, kind: str, header: bool, factor: float) -> Xml:
        flags = [] if sum(map(len, row.itertext())) > WHOLE_ROW else [WHOLE]
        if header:
            flags.append(HEADER_ROW)
        elif kind in ROW_HEIGHT:
            height = POSTER_ROW if self.doc.layout == "poster" or self.doc.landscape else ROW_HEIGHT[kind]
            flags.append(el("w:trHeight", val=round(height * self.em * factor), hRule="atLeast"))
        return el("w:trPr", *flags) if flags else NONE

    def _head_cells(self, row: Element, grid: list[int], keep: Xml, mark: Xml) -> list[Xml]:
        style = {"th": "Table Heading"}
        return [
            cell(width, self.para(style.get(one.tag, "Table Text"), joined([mark if place == 0 else NONE, self.inline(one)]),
                                  joined([keep, _side(one)])))
            for place, (one, width) in enumerate(zip(row, grid, strict=True))
        ]  # fmt: skip

    def _cells(
        self, row: Element, grid: list[int], kind: str, keep: Xml, mark: Xml, heads: list[str], number: int | None
    ) -> list[Xml]:
        fields = kind in ROW_HEIGHT
        cells = []
        for place, (one, width) in enumerate(zip(row, grid, strict=True)):
            look = []
            if one.get("scope") == "row" and kind == "keyvalue":
                look.append(el("w:shd", val="clear", color="auto", fill=FILL))
            if kind == "signature":
                look.append(el("w:vAlign", val="center"))
            name, asked = _field_name(row, place, heads, number) if fields else ("", "")
            inner = self.at(self.place._replace(to_fill=fields, named=name, bold=self.place.bold or one.tag == "th"))
            written = inner.inline(one)
            if fields and one.tag == "td" and not words(one).strip("\u00a0 "):
                written = self._control(name, asked, written or run("\u00a0" * CELL_PAD))
            text = self.para(
                "Table Text", joined([mark if place == 0 else NONE, written]), joined([keep, inner._as_high(one), _side(one)])
            )
            cells.append(cell(width, text, joined(look)))
        return cells

    def box(self, element: Element) -> Xml:
        """A signal panel, a note or a draft: a table of one column."""
        kind = element.get("kind", "")
        panel = PANEL_COLOURS.get(kind)
        full, pad = self.place.width, round(0.9 * self.em)
        inner = self.at(self.place._replace(width=full - 2 * pad, depth=0))
        word, blocks = NONE, []
        for child in element:
            if child.tag == "title":
                colour = el("w:color", val=panel.text[1:]) if panel else NONE
                word = inner.at(inner.place._replace(size=colour)).inline(child)
            else:
                blocks.append(inner.block(child))
        rows = []
        if panel and word:
            rows.append(self._panel_row(panel, word, full))
        elif word:
            blocks.insert(0, self.para("Box Title", word))
        whole = NONE if sum(map(len, element.itertext())) > WHOLE_ROW else el("w:trPr", WHOLE)
        air = round(0.5 * self.em)
        margins = el("w:tcMar", el("w:top", w=air, type="dxa"), el("w:bottom", w=air // 5, type="dxa"))
        rows.append(el("w:tr", whole, cell(full, joined(blocks, "\n"), margins if panel else NONE)))
        look = [
            el(
                "w:tblStyle", val=self.base.styles["Table Panel" if panel else "Table Draft" if kind == "draft" else "Table Note"]
            ),
            el("w:tblW", w=full, type="dxa"),
            el("w:tblLayout", type="fixed"),
            el("w:tblCellMar", el("w:left", w=pad, type="dxa"), el("w:right", w=pad, type="dxa")),
            _look(first_row=False),
        ]
        grid = el("w:tblGrid", el("w:gridCol", w=full))
        return joined([el("w:tbl", el("w:tblPr", *look), grid, *rows), self._gap()])

    def _panel_row(self, panel: Panel, word: Xml, width: int) -> Xml:
        """The row of the signal word."""
        sign = self._alert(panel.text) if panel.alert else NONE
        ground = el("w:shd", val="clear", color="auto", fill=panel.ground[1:])
        return el("w:tr", el("w:trPr", WHOLE), cell(width, self.para("Panel Word", joined([sign, word])), ground))

    def _alert(self, colour: str) -> Xml:
        """The safety alert triangle as a drawn shape in the line."""
        path = " ".join("m" + "l".join(f"{round(x * 10)},{round(y * 10)}" for x, y in shape) + "x" for shape in ALERT)
        height = self.doc.type_pt * 1.5 * 0.95
        shape = el(
            "v:shape",
            alt=self.doc.labels["alert"],
            style=f"width:{height * 100 / 88:.1f}pt;height:{height:.1f}pt",
            coordsize="1000,880",
            path=f"{path} e",
            fillcolor=colour,
            stroked="f",
        )
        return joined([el("w:r", el("w:pict", shape)), run(" ")])


def _field_name(row: Element, place: int, heads: list[str], number: int | None) -> tuple[str, str]:
    """What a field in a cell is called, and the last part of it, which says what kind of answer belongs there.

    The words at the head of its row, which in a table that repeats its columns are the nearest on its left, and of its column; where no
    words stand at the head of the row the number of the row, None in a table of one.
    """
    own = [words(one).strip("\u00a0 ") for one in row]
    head = heads[place] if place < len(heads) else ""
    begins = [at for at in range(place + 1) if at == 0 or (heads and heads[0] and heads[at] == heads[0])]
    if begin := own[begins[-1]] if begins[-1] < place else "":
        return (f"{begin[: NAME - len(head) - 2].rstrip()}: {head}", head) if head else (begin, begin)
    return " ".join([*([head] if head else []), *([str(number)] if number is not None else [])]), head


def _size(half_points: float) -> Xml:
    return joined([el("w:sz", val=round(half_points)), el("w:szCs", val=round(half_points))])


def _numbering(level: int, chain: int) -> Xml:
    return el("w:numPr", el("w:ilvl", val=level), el("w:numId", val=chain))


def _side(one: Element) -> Xml:
    side = one.get("class", "left")
    return NONE if side == "left" else el("w:jc", val=side)


def _page_of(bookmark: str) -> Xml:
    """A field for the number of the page on which a bookmark stands, marked to be worked out on opening."""
    code = el("w:instrText", escape(f" PAGEREF {bookmark} "), **{"xml:space": "preserve"})
    begin = el("w:fldChar", fldCharType="begin", dirty="true")
    marks = (el("w:fldChar", fldCharType=kind) for kind in ("separate", "end"))
    separate, end = (el("w:r", mark) for mark in marks)
    return joined([el("w:r", begin), el("w:r", code), separate, end])


def picture(name: str, count: int, drawing: Pictured, scale: float) -> Xml:
    """An inline picture with its alternative text."""
    wide, high = (round(side * scale * MILLIMETRE) for side in (drawing.width, drawing.height))
    known: dict[str, object] = {"id": count, "name": drawing.name, "descr": drawing.alt}
    inline = el(
        "wp:inline",
        el("wp:extent", cx=wide, cy=high),
        el("wp:docPr", **known),
        *_graphic(name, known, wide, high),
        **{"xmlns:wp": f"{DRAWING}/wordprocessingDrawing"},
        distT=0,
        distB=0,
        distL=0,
        distR=0,
    )
    return el("w:r", el("w:rPr", el("w:noProof")), el("w:drawing", inline))


def _graphic(name: str, known: Mapping[str, object], wide: int, high: int) -> tuple[Xml, Xml]:
    """The picture of a relationship in its size, with the lock that keeps its sides in proportion."""
    main = f"{DRAWING}/main"
    picture = el(
        "pic:pic",
        el("pic:nvPicPr", el("pic:cNvPr", **known), el("pic:cNvPicPr")),
        el("pic:blipFill", el("a:blip", **{"r:embed": name}), el("a:stretch", el("a:fillRect"))),
        el(
            "pic:spPr",
            el("a:xfrm", el("a:off", x=0, y=0), el("a:ext", cx=wide, cy=high)),
            el("a:prstGeom", el("a:avLst"), prst="rect"),
        ),
        **{"xmlns:pic": f"{DRAWING}/picture"},
    )
    locks = el("a:graphicFrameLocks", **{"xmlns:a": main}, noChangeAspect=1)
    return (
        el("wp:cNvGraphicFramePr", locks),
        el("a:graphic", el("a:graphicData", picture, uri=f"{DRAWING}/picture"), **{"xmlns:a": main}),
    )


def pinned(name: str, doc: Document) -> Xml:
    """The code of a paper that hangs at its place on the sheet, in the lower right corner, where no line moves for it."""
    sheet, side = page(doc), code_side(doc)
    wide = round(side * EMU)
    known: dict[str, object] = {"id": CODE_ID, "name": "code", "descr": doc.code_alt}
    places = (
        ("wp:positionH", sheet.width - sheet.side + CODE_QUIET * MODULE - side),
        ("wp:positionV", sheet.height - CODE_EDGE + CODE_QUIET * MODULE - side),
    )
    anchor = el(
        "wp:anchor",
        el("wp:simplePos", x=0, y=0),
        *(el(tag, el("wp:posOffset", Xml(str(round(at * EMU)))), relativeFrom="page") for tag, at in places),
        el("wp:extent", cx=wide, cy=wide),
        el("wp:effectExtent", l=0, t=0, r=0, b=0),
        el("wp:wrapNone"),
        el("wp:docPr", **known),
        *_graphic(name, known, wide, wide),
        **{"xmlns:wp": f"{DRAWING}/wordprocessingDrawing"},
        distT=0,
        distB=0,
        distL=0,
        distR=0,
        simplePos=0,
        relativeHeight=1,
        behindDoc=0,
        locked=1,
        layoutInCell=1,
        allowOverlap=1,
    )
    return el("w:r", el("w:rPr", el("w:noProof")), el("w:drawing", anchor))


def _look(first_row: bool) -> Xml:
    """Which parts of its style a table uses: the first row's or none."""
    return el(
        "w:tblLook",
        val="0620" if first_row else "0600",
        firstRow=int(first_row),
        lastRow=0,
        firstColumn=0,
        lastColumn=0,
        noHBand=1,
        noVBand=1,
    )


def _whole(shares: Iterable[float], total: int) -> list[int]:
    """Shares as whole numbers that add up to the total."""
    edges, done = [0], 0.0
    for share in shares:
        done += share
        edges.append(round(done * total))
    return [right - left for left, right in pairwise(edges)]
