"""The body of a DOCX: WordprocessingML written as text, one method an element. Word numbers headings, clauses and lists."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING
from zlib import crc32

from docgen.compose.drawing import POINT
from docgen.compose.number import contents_of
from docgen.write.base import ALERT, PANEL_COLOURS, Writer, has_class, split_label
from docgen.write.widths import columns, page, stays_whole, table_type, text_width

if TYPE_CHECKING:
    from collections.abc import Iterable
    from xml.etree.ElementTree import Element

    from docgen.compose.document import Document
    from docgen.compose.drawing import Drawing

__all__ = ["BOLD", "FIRST_LIST", "TAB", "DocxWriter", "escape", "field", "run"]

TABLE_STYLES = {"form": "TableForm", "signature": "TableForm", "keyvalue": "TableRules", "plain": "TablePlain"}
ROW_HEIGHT = {"form": 2.4, "signature": 2.6}  # em of table type
PARAGRAPH_STYLE = re.compile(r"(<w:pStyle [^>]*/>)(?!<w:keepNext/>)")
WHOLE_ROW = 1500  # letters; a longer row may go over a page end
BLANK_PAD = 14  # no-break spaces before the words of a blank, to write on
HEADINGS, APPENDICES, BULLETS, FIRST_LIST = 1, 2, 3, 4  # numbering instances; each ordered list gets its own
FILL = "ECEFF2"
TAB = "<w:r><w:tab/></w:r>"
BOLD = "<w:b/><w:bCs/>"
FIXED = '<w:rFonts w:ascii="Courier New" w:hAnsi="Courier New" w:eastAsia="Courier New" w:cs="Courier New"/>'


def escape(text: str) -> str:
    """Text for XML content and for double-quoted attributes."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def run(text: str, properties: str = "") -> str:
    """One run; `properties` is the inside of `w:rPr`."""
    space = ' xml:space="preserve"' if text[:1] == " " or text[-1:] == " " or "  " in text else ""
    return f"<w:r>{f'<w:rPr>{properties}</w:rPr>' if properties else ''}<w:t{space}>{escape(text)}</w:t></w:r>"


def field(code: str, result: str, properties: str = "") -> str:
    """A complex field with its last result."""
    mark = f"<w:rPr>{properties}</w:rPr>" if properties else ""
    return (
        f'<w:r>{mark}<w:fldChar w:fldCharType="begin"/></w:r><w:r>{mark}<w:instrText xml:space="preserve"> {code} '
        f'</w:instrText></w:r><w:r>{mark}<w:fldChar w:fldCharType="separate"/></w:r>{run(result, properties)}'
        f'<w:r>{mark}<w:fldChar w:fldCharType="end"/></w:r>'
    )


class DocxWriter(Writer):
    """WordprocessingML of the body, block by block. `links` and `lists` hold what the other parts need afterwards."""

    def __init__(self, doc: Document) -> None:
        super().__init__(doc)
        sheet = page(doc)
        self.em = doc.body_pt * 20  # twentieths of a point
        self.width = round(sheet.text_width * 20)
        self.links: dict[str, str] = {}
        self.pictures: dict[str, Drawing] = {}  # relationship -> drawing
        self.lists: list[tuple[int, int]] = []  # (level, start) of each ordered list
        self.bookmarks: dict[str, str] = {}
        self.count = 0
        self.bold = self.italic = False
        self.style = self.face = self.size = ""
        self.to_fill = False  # in a cell of a form, where a blank is a field
        self.controls = 0
        self.depth = 0  # lists around this place, and of these
        self.kinds = {"ul": 0, "ol": 0}  # the bulleted and the numbered ones
        self.base = ""  # paragraph style of plain paragraphs here, "" for body text
        targets = {link.get("href", "")[1:] for link in doc.tree.iter("a") if link.get("href", "").startswith("#")}
        self.toc = doc.contents and doc.layout == "report"
        listed = {name for _, _, _, name in contents_of(doc.tree)} if self.toc else set()
        for element in doc.tree.iter():
            name = element.attrib.get("id")
            if name in targets or name in listed:
                self._name_bookmark(name, "_Toc" if name in listed else "_Ref")

    def _name_bookmark(self, name: str, prefix: str) -> None:
        code = crc32(name.encode("utf-8"))
        while (mark := f"{prefix}{code:010d}") in self.bookmarks.values():
            code += 1
        self.bookmarks[name] = mark

    # text

    def properties(self) -> str:
        """Inside of `w:rPr` for text at this place, in schema order."""
        parts = ""
        if self.style:
            parts = f'<w:rStyle w:val="{self.style}"/>{self.face}'
        if self.bold:
            parts += "<w:b/><w:bCs/>"
        if self.italic:
            parts += "<w:i/><w:iCs/>"
        return parts + self.size

    def literal(self, text: str) -> str:
        return run(text, self.properties())

    def strong(self, element: Element) -> str:
        before, self.bold = self.bold, True
        text = self.inline(element)
        self.bold = before
        return text

    def emphasis(self, element: Element) -> str:
        before, self.italic = self.italic, True
        text = self.inline(element)
        self.italic = before
        return text

    def _styled(self, element: Element, style: str, pad: str = "", direct: str = "") -> str:
        """Text in a character style; `direct` repeats its size on the run, as not every reader heeds the style's."""
        before = (self.style, self.size)
        self.style, self.size = style, direct or self.size
        text = (self.literal(pad) if pad else "") + self.inline(element)
        self.style, self.size = before
        return text

    def code(self, element: Element) -> str:
        before, self.face = self.face, FIXED
        text = self._styled(element, "CodeText")
        self.face = before
        return text

    def blank(self, element: Element) -> str:
        in_table = self.base == "TableText"
        size = round(self.doc.body_pt * 2 * 0.8 * (table_type(self.doc) if in_table else 1))
        pad = "\u00a0" * (4 if in_table else BLANK_PAD)
        words = self._styled(element, "Blank", pad, f'<w:sz w:val="{size}"/><w:szCs w:val="{size}"/>')
        return self._control("".join(element.itertext()), words) if self.to_fill else words

    def _control(self, name: str, runs: str) -> str:
        """A plain-text content control around the runs that stand in it until somebody types."""
        self.controls += 1
        return (
            f'<w:sdt><w:sdtPr><w:alias w:val="{escape(name[:64])}"/><w:tag w:val="fill-{self.controls}"/>'
            f'<w:id w:val="{self.controls}"/><w:showingPlcHdr/><w:text/></w:sdtPr><w:sdtContent>{runs}</w:sdtContent></w:sdt>'
        )

    def flag(self, element: Element) -> str:
        return self._styled(element, "Flag")

    def line_break(self, element: Element) -> str:
        return "<w:r><w:br/></w:r>"

    def link(self, element: Element) -> str:
        target = element.get("href", "")
        if target.startswith("#"):
            mark = self.bookmarks[target[1:]]
            return f'<w:hyperlink w:anchor="{mark}" w:history="1">{self.inline(element)}</w:hyperlink>'
        name = self.links.setdefault(target, f"rLink{len(self.links) + 1}")
        return f'<w:hyperlink r:id="{name}" w:history="1">{self._styled(element, "Hyperlink")}</w:hyperlink>'

    # paragraphs

    def para(self, style: str, runs: str, extra: str = "") -> str:
        """One paragraph; `extra` goes after the style inside `w:pPr`, in schema order."""
        return f'<w:p><w:pPr><w:pStyle w:val="{style}"/>{extra}</w:pPr>{runs}</w:p>'

    def marked(self, element: Element, runs: str) -> str:
        """Runs inside the bookmark of the element, where something leads to it."""
        mark = self.bookmarks.get(element.get("id", ""))
        if mark is None:
            return runs
        self.count += 1
        return f'<w:bookmarkStart w:id="{self.count}" w:name="{mark}"/>{runs}<w:bookmarkEnd w:id="{self.count}"/>'

    def body(self) -> str:
        """All blocks, with the contents list before the first numbered section."""
        pieces = []
        contents = self.toc
        for element in self.doc.tree:
            if contents and element.tag == "h2" and not has_class(element, "unnumbered"):
                pieces.append(self.contents())
                contents = False
            pieces.append(self.block(element))
        return "\n".join(pieces)

    def contents(self) -> str:
        """Contents field with its entries; page numbers come when a reader updates it: only Word knows its pages."""
        entries = []
        for level, number, text, name in contents_of(self.doc.tree):
            # a tab only where the number ends before the tab stop, else it would jump to the right edge
            gap = TAB if text_width(number, True) < 2.2 else run("\u2003")
            label = run(number) + gap if number else ""
            entries.append(
                (
                    level,
                    f'<w:hyperlink w:anchor="{self.bookmarks[name]}" w:history="1">{label}{run(text)}</w:hyperlink>',
                )
            )
        begin = (
            '<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText xml:space="preserve">'
            ' TOC \\o "1-2" \\h \\z \\u '
            '</w:instrText></w:r><w:r><w:fldChar w:fldCharType="separate"/></w:r>'
        )
        end = '<w:r><w:fldChar w:fldCharType="end"/></w:r>'
        lines = [
            self.para(f"TOC{level}", (begin if index == 0 else "") + text + (end if index == len(entries) - 1 else ""))
            for index, (level, text) in enumerate(entries)
        ]
        return (
            '<w:sdt><w:sdtPr><w:docPartObj><w:docPartGallery w:val="Table of Contents"/>'
            "<w:docPartUnique/></w:docPartObj>"
            f"</w:sdtPr><w:sdtContent>{self.para('TOCHeading', run(self.doc.labels['contents']))}"
            + "\n".join(lines)
            + "</w:sdtContent></w:sdt>"
        )

    def title(self, element: Element) -> str:
        return self.para("Title", self.inline(element))

    def heading(self, element: Element) -> str:
        extra = "<w:pageBreakBefore/>" if has_class(element, "newpage") else ""
        level = int(element.tag[1]) - 1
        number = element.get("data-number")
        style = f"Heading{level}"
        if level < 3 and number is None:
            style += "Plain"  # a style of its own: numbering switched off by numId 0 fails strict readers
        elif level < 3 and (not number[0].isdigit() or has_class(element, "appendix")):
            extra += self._numbering(level - 1, APPENDICES)
        return self.para(style, self.marked(element, self.inline(element)), extra)

    def _clause(self, element: Element) -> str:
        number = element.get("data-number", "")
        chain = HEADINGS if number[0].isdigit() else APPENDICES
        return f'<w:numPr><w:ilvl w:val="{number.count(".")}"/><w:numId w:val="{chain}"/></w:numPr>'

    def paragraph(self, element: Element) -> str:
        style = self.base or "BodyText"
        extra = "<w:keepNext/>" if element.get("keep") else ""
        extra += "<w:keepLines/>" if has_class(element, "nobreak") else ""
        if element.get("data-number"):
            # the paragraph mark's type is the number's
            style, extra = "Clause", f"{extra}{self._clause(element)}<w:rPr>{BOLD}</w:rPr>"
        elif has_class(element, "lead"):
            style = "Lead"
        elif has_class(element, "small"):
            style = "Small"
        return self.para(style, self.marked(element, self.inline(element)), extra)

    def rule(self, element: Element) -> str:
        return self.para("Rule", "")

    def quotation(self, element: Element) -> str:
        before, self.base = self.base, "Quote"
        text = "\n".join([self.block(child) for child in element])
        self.base = before
        return text

    def _indent(self, left: float, hanging: float = 0) -> str:
        hang = f' w:hanging="{round(hanging * self.em)}"' if hanging else ' w:firstLine="0"'
        return f'<w:ind w:left="{round(left * self.em)}"{hang}/>'

    def _list(self, element: Element, style: str, numbering: str, left: float, before: str = "") -> str:
        """Paragraphs of a list: each item's first paragraph carries the sign, the rest is indented under its words."""
        pieces = []
        for item in element:
            blocks = list(item) if any(child.tag in self.BLOCKS for child in item) else [item]
            for index, block in enumerate(blocks):
                if block.tag not in ("p", "li"):
                    if index == 0:
                        pieces.append(self.para(style, before, numbering))
                    pieces.append(self.block(block))
                elif index == 0:
                    pieces.append(self.para(style, before + self.inline(block), numbering))
                else:
                    pieces.append(self.para("ListContinue", self.inline(block), self._indent(left)))
        return "\n".join(pieces)

    def bullets(self, element: Element) -> str:
        if not has_class(element, "checklist"):
            return self._nested(element, "ListBullet", BULLETS)
        left = 0.3 + 1.5 * (self.depth + 1)
        size = round(self.doc.body_pt * 2 * 0.85)
        look = f'<w:rStyle w:val="TickBox"/><w:sz w:val="{size}"/><w:szCs w:val="{size}"/>'
        tick = run("\u00a0" * 4, look) + TAB
        self.depth += 1
        self.kinds["ul"] += 1
        text = self._list(element, "ListCheck", self._indent(left, 1.5), left, tick)
        self.kinds["ul"] -= 1
        self.depth -= 1
        return text

    def steps(self, element: Element) -> str:
        self.lists.append((min(self.kinds["ol"], 8), int(element.get("start", "1"))))
        return self._nested(element, "ListNumber", FIRST_LIST + len(self.lists) - 1)

    def _nested(self, element: Element, style: str, chain: int) -> str:
        """A list whose signs follow its depth among lists of its kind, its indent the depth among all."""
        level = min(self.kinds[element.tag], 8)
        left = 0.3 + 1.5 * (self.depth + 1)
        hanging = 1.1 if element.tag == "ul" else 1.5
        numbering = self._numbering(level, chain) + (self._indent(left, hanging) if level != self.depth else "")
        self.depth += 1
        self.kinds[element.tag] += 1
        text = self._list(element, style, numbering, left)
        self.kinds[element.tag] -= 1
        self.depth -= 1
        return text

    def _numbering(self, level: int, chain: int) -> str:
        return f'<w:numPr><w:ilvl w:val="{level}"/><w:numId w:val="{chain}"/></w:numPr>'

    def definitions(self, element: Element) -> str:
        pieces: list[str] = []
        head = ""
        for child in element:
            if child.tag == "dt":
                joint = self.literal(" / ") if head else ""
                self.bold = True
                head += joint + self.marked(child, self.inline(child))
                self.bold = False
                continue
            blocks = list(child) if any(part.tag in self.BLOCKS for part in child) else [child]
            for block in blocks:
                plain = block.tag in ("p", "dd")
                gap = self.literal("\u2003") if head else ""
                if head or plain:
                    text = head + gap + (self.inline(block) if plain else "")
                    pieces.append(self.para("Definition" if head else "ListContinue", text, "" if head else self._indent(1.3)))
                if not plain:
                    pieces.append(self.block(block))
                head = ""
        if head:
            pieces.append(self.para("Definition", head))
        return "\n".join(pieces)

    # tables and boxes

    def _gap(self) -> str:
        return self.para("TableGap", "")

    def table(self, element: Element) -> str:
        factor = table_type(self.doc, has_class(element, "wide"))
        type_em = self.em * factor
        kind = next((name for name in ("form", "signature", "keyvalue", "plain") if has_class(element, name)), "rules")
        widths = columns(element, self.width / type_em)
        size = round(self.doc.body_pt * factor * widths.scale * 2)
        usual = round(self.doc.body_pt * table_type(self.doc) * 2)
        grid = _whole(widths.shares, self.width)
        before = (self.base, self.size, self.depth)
        self.base, self.depth = "TableText", 0
        self.size = "" if size == usual else f'<w:sz w:val="{size}"/><w:szCs w:val="{size}"/>'
        head, name = "", ""
        rows: list[str] = []
        headed = False
        heads = ["".join(cell.itertext()).strip() for cell in element.findall("thead/tr[last()]/*")]
        for part in element:
            if part.tag == "caption":
                name = "".join(part.itertext())
                if part.get("data-number"):
                    head = self._caption(element, part)
                continue
            headed = headed or part.tag == "thead"
            for row in part:
                rows.append(self._row(row, grid, kind, part.tag == "thead", factor, heads))
        if not head and element.get("id") in self.bookmarks:
            rows[0] = rows[0].replace("</w:pPr>", "</w:pPr>" + self.marked(element, ""), 1)
        self.base, self.size, self.depth = before
        if stays_whole(element):
            rows[:-1] = [PARAGRAPH_STYLE.sub(r"\1<w:keepNext/>", row) for row in rows[:-1]]
        first_row = headed and kind in ("rules", "form", "signature")
        description = f'<w:tblCaption w:val="{escape(name)}"/>' if name else ""
        return (
            f'{head}<w:tbl><w:tblPr><w:tblStyle w:val="{TABLE_STYLES.get(kind, "TableRules")}"/>'
            f'<w:tblW w:w="{self.width}" w:type="dxa"/><w:tblLayout w:type="fixed"/>'
            f"{_look(first_row)}{description}</w:tblPr><w:tblGrid>"
            + "".join([f'<w:gridCol w:w="{width}"/>' for width in grid])
            + "</w:tblGrid>\n"
            + "\n".join(rows)
            + f"</w:tbl>{self._gap()}"
        )

    def _caption(self, target: Element, caption: Element, label: str = "table", sequence: str = "Table") -> str:
        base, self.base = self.base, ""
        size, self.size = self.size, ""
        count = re.search(r"\d+", caption.get("data-number", ""))
        words = "".join(
            [
                field(f"SEQ {sequence} \\* ARABIC", value, BOLD) if name else run(value, BOLD)
                for name, value in split_label(self.doc.labels[label], n=count.group(0) if count else "")
            ]
        )
        # a table's caption stands above it and keeps with it, a figure's stands below
        look = '<w:keepNext w:val="0"/><w:spacing w:before="0" w:after="240"/>' if label == "figure" else ""
        text = self.para("Caption", self.marked(target, words) + run("\u2002") + self.inline(caption), look)
        self.base, self.size = base, size
        return text

    def figure(self, element: Element) -> str:
        """The picture in a paragraph of its own, kept with its caption below."""
        drawing = self.doc.figures[element.get("name")]
        name = f"rFigure{len(self.pictures) + 1}"
        self.pictures[name] = drawing
        scale = min(1.0, self.width / 20 / (drawing.width / POINT))
        look = '<w:keepNext/><w:spacing w:before="120" w:after="60" w:line="240" w:lineRule="auto"/>'
        picture = _picture(name, len(self.pictures), drawing, scale)
        return self.para("BodyText", picture, look) + self._caption(element, element[0], "figure", "Figure")

    def _row(self, row: Element, grid: Iterable[int], kind: str, header: bool, factor: float, heads: list[str]) -> str:
        flags = "" if sum(map(len, row.itertext())) > WHOLE_ROW else "<w:cantSplit/>"
        if kind in ROW_HEIGHT and not header:
            flags += f'<w:trHeight w:val="{round(ROW_HEIGHT[kind] * self.em * factor)}" w:hRule="atLeast"/>'
        if header:
            flags += "<w:tblHeader/>"
        cells = []
        fields = kind in ROW_HEIGHT and not header
        for place, (cell, width) in enumerate(zip(row, grid, strict=True)):
            fill = ""
            if cell.get("scope") == "row" and kind == "keyvalue":
                fill = f'<w:shd w:val="clear" w:color="auto" w:fill="{FILL}"/>'
            if kind == "signature" and not header:
                fill += '<w:vAlign w:val="center"/>'
            style = "TableHeading" if cell.tag == "th" and header else "TableText"
            self.bold = cell.tag == "th" and not header
            side = cell.get("class", "left")
            jc = f'<w:jc w:val="{side}"/>' if side != "left" else ""
            self.to_fill = fields
            words = self.inline(cell)
            if fields and not words and cell.tag == "td":
                words = self._control(heads[place] if place < len(heads) else "", run("\u00a0" * 4))
            self.to_fill = False
            cells.append(f'<w:tc><w:tcPr><w:tcW w:w="{width}" w:type="dxa"/>{fill}</w:tcPr>{self.para(style, words, jc)}</w:tc>')
            self.bold = False
        return f"<w:tr>{f'<w:trPr>{flags}</w:trPr>' if flags else ''}{''.join(cells)}</w:tr>"

    def box(self, element: Element) -> str:
        kind = element.get("kind", "")
        look = PANEL_COLOURS.get(kind)
        before = (self.width, self.depth)
        full = self.width
        pad = round(0.9 * self.em)
        self.width, self.depth = full - 2 * pad, 0
        word, blocks = "", []
        for child in element:
            if child.tag == "title":
                self.size = f'<w:color w:val="{look.text[1:]}"/>' if look else ""
                word = self.inline(child)
                self.size = ""
            else:
                blocks.append(self.block(child))
        self.width, self.depth = before
        whole = "" if sum(map(len, element.itertext())) > WHOLE_ROW else "<w:trPr><w:cantSplit/></w:trPr>"
        margins = f'<w:tblCellMar><w:left w:w="{pad}" w:type="dxa"/><w:right w:w="{pad}" w:type="dxa"/></w:tblCellMar>'
        style = "TablePanel" if look else "TableDraft" if kind == "draft" else "TableNote"
        rows = ""
        if look and word:
            sign = self._alert(look.text) if look.alert else ""
            rows = (
                "<w:tr><w:trPr><w:cantSplit/></w:trPr><w:tc><w:tcPr>"
                f'<w:tcW w:w="{full}" w:type="dxa"/>'
                f'<w:shd w:val="clear" w:color="auto" w:fill="{look.ground[1:]}"/></w:tcPr>'
                f"{self.para('PanelWord', sign + word)}</w:tc></w:tr>"
            )
        elif word:
            blocks.insert(0, self.para("BoxTitle", word))
        air = round(0.5 * self.em)
        inner = f'<w:tcMar><w:top w:w="{air}" w:type="dxa"/><w:bottom w:w="{air // 5}" w:type="dxa"/></w:tcMar>'
        rows += (
            f'<w:tr>{whole}<w:tc><w:tcPr><w:tcW w:w="{full}" w:type="dxa"/>{inner if look else ""}</w:tcPr>'
            + "\n".join(blocks)
            + "</w:tc></w:tr>"
        )
        return (
            f'<w:tbl><w:tblPr><w:tblStyle w:val="{style}"/><w:tblW w:w="{full}" w:type="dxa"/>'
            f'<w:tblLayout w:type="fixed"/>{margins}{_look(False)}</w:tblPr>'
            f'<w:tblGrid><w:gridCol w:w="{full}"/></w:tblGrid>{rows}'
            f"</w:tbl>{self._gap()}"
        )

    def _alert(self, colour: str) -> str:
        """The safety alert triangle as a drawn shape in the line."""
        path = " ".join("m" + "l".join(f"{round(x * 10)},{round(y * 10)}" for x, y in shape) + "x" for shape in ALERT)
        height = self.doc.body_pt * 1.5 * 0.95
        return (
            f'<w:r><w:pict><v:shape alt="{escape(self.doc.labels["alert"])}" '
            f'style="width:{height * 100 / 88:.1f}pt;height:{height:.1f}pt" coordsize="1000,880" path="{path} e" '
            f'fillcolor="{colour}" stroked="f"/></w:pict></w:r>{run(" ")}'
        )


def _picture(name: str, count: int, drawing: Drawing, scale: float) -> str:
    """An inline picture with its alternative text."""
    main = "http://schemas.openxmlformats.org/drawingml/2006"
    wide, high = (round(side * scale * 36000) for side in (drawing.width, drawing.height))
    known = f'id="{count}" name="{escape(drawing.name)}" descr="{escape(drawing.alt)}"'
    return (
        f'<w:r><w:rPr><w:noProof/></w:rPr><w:drawing><wp:inline xmlns:wp="{main}/wordprocessingDrawing" distT="0" distB="0" '
        f'distL="0" distR="0"><wp:extent cx="{wide}" cy="{high}"/><wp:docPr {known}/><wp:cNvGraphicFramePr>'
        f'<a:graphicFrameLocks xmlns:a="{main}/main" noChangeAspect="1"/></wp:cNvGraphicFramePr>'
        f'<a:graphic xmlns:a="{main}/main"><a:graphicData uri="{main}/picture"><pic:pic xmlns:pic="{main}/picture">'
        f'<pic:nvPicPr><pic:cNvPr {known}/><pic:cNvPicPr/></pic:nvPicPr><pic:blipFill><a:blip r:embed="{name}"/><a:stretch>'
        f'<a:fillRect/></a:stretch></pic:blipFill><pic:spPr><a:xfrm><a:off x="0" y="0"/><a:ext cx="{wide}" cy="{high}"/></a:xfrm>'
        '<a:prstGeom prst="rect"><a:avLst/></a:prstGeom></pic:spPr></pic:pic></a:graphicData></a:graphic></wp:inline>'
        "</w:drawing></w:r>"
    )


def _look(first_row: bool) -> str:
    """Which parts of its style a table uses: the first row's or none."""
    return (
        f'<w:tblLook w:val="{"0620" if first_row else "0600"}" w:firstRow="{int(first_row)}" w:lastRow="0" '
        'w:firstColumn="0" w:lastColumn="0" w:noHBand="1" w:noVBand="1"/>'
    )


def _whole(shares: Iterable[float], total: int) -> list[int]:
    """Shares as whole numbers that add up to the total."""
    edges, done = [0], 0.0
    for share in shares:
        done += share
        edges.append(round(done * total))
    return [right - left for left, right in pairwise(edges)]
