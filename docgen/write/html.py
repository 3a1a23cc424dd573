"""HTML: one page that needs nothing else, for a screen and, by its print styles, for paper."""

from __future__ import annotations

import re
from base64 import b64encode
from typing import TYPE_CHECKING

from docgen.compose.number import contents_at, contents_of
from docgen.compose.tree import words
from docgen.write.base import ALERT, PANEL_COLOURS, Rendered, Writer, has_class, look_text, split_label
from docgen.write.logo import logo_uri
from docgen.write.paper_code import code_svg
from docgen.write.svg import svg, symbol_svg
from docgen.write.widths import BAND_PT, columns, page, table_type

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from docgen.compose.document import Document

__all__ = ["HtmlWriter", "css_string", "render"]

#: A table of so many columns stands on a narrow screen as it is; on a page that is made for one, so many.
FEW, FEW_ON_SCREEN = 2, 3
ALERT_PATH = "".join("M" + "L".join(f"{x} {y}" for x, y in shape) + "Z" for shape in ALERT)


def escape(text: str) -> str:
    """Text for element content."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def attribute(text: str) -> str:
    """Text for a double-quoted attribute."""
    return escape(text).replace('"', "&quot;")


def css_string(text: str) -> str:
    """A CSS string literal; all but plain letters, digits and spaces are written as code points."""
    safe = "".join(c if c == " " or (c.isascii() and c.isalnum()) else f"\\{ord(c):x} " for c in text)
    return f'"{safe}"'


class HtmlWriter(Writer[None]):
    """HTML of the body, block by block."""

    def __init__(self, doc: Document) -> None:
        super().__init__(doc, None)
        self.width = page(doc).text_width
        self.hint = attribute(doc.labels["blank"])
        self.triangle = (
            f'<svg class="alert" role="img" aria-label="{attribute(doc.labels["alert"])}" viewBox="0 0 100 88">'
            f'<path d="{ALERT_PATH}"/></svg>'
        )

    def literal(self, text: str) -> str:
        """Text for element content."""
        return escape(text)

    def body(self) -> str:
        """The whole tree, with the contents list before the first numbered section, or the second."""
        if self.doc.layout == "screen":
            return self.screen()
        parts = []
        contents = contents_at(self.doc.tree) if self.doc.contents and self.doc.layout == "report" else None
        for element in self.doc.tree:
            if element is contents:
                parts.append(self.contents())
            parts.append(self.block(element))
        return "\n".join(parts)

    def screen(self) -> str:
        """The whole tree of a page for a browser: each section a landmark by its heading, its parts apart, those that fold opened by their heading."""
        blocks = list(self.doc.tree)
        first = next((i for i, block in enumerate(blocks) if block.tag == "h2"), len(blocks))
        parts = [self.block(block) for block in blocks[:first]]
        if self.doc.contents:
            parts.append(self.contents(deepest=1))
        for section in _split(blocks[first:], "h2"):
            head, *inner = _split(section, "h3")
            name = attribute(section[0].get("id", ""))
            beside = ' class="beside"' if has_class(section[0], "parts") else ""
            parts.append(f'<section aria-labelledby="{name}"{beside}>')
            parts += [self.block(block) for block in head]
            parts += ['<div class="parts">', *map(self._part, inner), "</div>"] if inner else []
            parts.append("</section>")
        return "\n".join(parts)

    def _part(self, blocks: list[Element]) -> str:
        heading, rest = blocks[0], "\n".join([self.block(block) for block in blocks[1:]])
        if not has_class(heading, "fold"):
            return f'<div class="part">\n{self.block(heading)}\n{rest}\n</div>'
        opened = " open" if has_class(heading, "unfolded") else ""
        return f"<details{opened}>\n<summary>{self.block(heading)}</summary>\n{rest}\n</details>"

    def contents(self, deepest: int = 2) -> str:
        """The contents list as navigation, down to a level of headings."""
        title = escape(self.doc.labels["contents"])
        lines = [
            f'<nav class="contents" aria-label="{attribute(self.doc.labels["contents"])}">',
            f"<p>{title}</p>",
            "<ul>",
        ]
        for level, number, text, name in contents_of(self.doc.tree):
            if level > deepest:
                continue
            label = f'<span class="number">{escape(number)}</span> ' if number else ""
            lines.append(f'<li class="level{level}"><a href="#{attribute(name)}">{label}{escape(text)}</a></li>')
        return "\n".join([*lines, "</ul>", "</nav>"])

    def _open(self, tag: str, element: Element, *classes: str) -> str:
        names = [*classes, *element.get("class", "").split()]
        name = element.get("id")
        return f"<{tag}" + (f' id="{attribute(name)}"' if name else "") + (f' class="{" ".join(names)}"' if names else "") + ">"

    def title(self, element: Element) -> str:
        """The title."""
        return f"<h1>{self.inline(element)}</h1>"

    def heading(self, element: Element) -> str:
        """A heading with its number before it."""
        tag, classes = element.tag, list[str]()
        if tag == "h4":
            tag, classes = "h" + element.get("data-level", "4"), ["minor"]
        number = element.get("data-number")
        label = f'<span class="number">{escape(number)}</span> ' if number else ""
        return f"{self._open(tag, element, *classes)}{label}{self.inline(element)}</{tag}>"

    def paragraph(self, element: Element) -> str:
        """A paragraph, or a clause with its number before it."""
        number = element.get("data-number")
        label = f'<span class="number">{escape(number)}</span> ' if number else ""
        return f"{self._open('p', element, *self._marked(element))}{label}{self._told(element)}</p>"

    def _marked(self, element: Element) -> tuple[str, ...]:
        return ("marked",) if element.get("symbol") else ()

    def _told(self, element: Element) -> str:
        """The words of a paragraph or item, its symbol left of them."""
        words = self.inline(element)
        if (name := element.get("symbol")) is None:
            return words
        return f"{symbol_svg(name, element.get('alt', ''))}<span>{words}</span>"

    def _content(self, element: Element) -> str:
        """Inline content, or blocks, of an item."""
        if any(child.tag in self.BLOCKS for child in element):
            return "\n".join([self.block(child) for child in element])
        return self._told(element)

    def _items(self, element: Element, opening: str) -> str:
        items = "\n".join([f"{self._open('li', item, *self._marked(item))}{self._content(item)}</li>" for item in element])
        return f"{opening}\n{items}\n</{element.tag}>"

    def bullets(self, element: Element) -> str:
        """A list with bullets or with boxes to tick."""
        return self._items(element, self._open("ul", element))

    def steps(self, element: Element) -> str:
        """A numbered list."""
        start = element.get("start")
        return self._items(element, f'<ol start="{int(start)}">' if start else "<ol>")

    def definitions(self, element: Element) -> str:
        """Terms with their meanings."""
        parts = ["<dl>"]
        previous = "dd"
        for child in element:
            if child.tag == "dt":
                parts.append(("</div>\n" if previous == "dd" and len(parts) > 1 else "") + ("<div>" if previous == "dd" else ""))
                parts.append(f"{self._open('dt', child)}{self.inline(child)}</dt>")
            else:
                parts.append(f" <dd>{self._content(child)}</dd>")
            previous = child.tag
        parts.append("</div>\n</dl>")
        return "".join(parts)

    def rule(self, element: Element) -> str:
        """A line across the page."""
        return '<hr class="cut">' if has_class(element, "cut") else "<hr>"

    def quotation(self, element: Element) -> str:
        """Quoted paragraphs."""
        return "<blockquote>\n" + "\n".join([self.block(child) for child in element]) + "\n</blockquote>"

    def box(self, element: Element) -> str:
        """A signal panel, a note or a draft."""
        kind = element.get("kind", "")
        parts = [f'<div class="box {kind}" role="note">']
        for child in element:
            if child.tag == "title":
                sign = self.triangle if kind in PANEL_COLOURS and PANEL_COLOURS[kind].alert else ""
                parts.append(f'<p class="word">{sign}<span>{self.inline(child)}</span></p>')
            else:
                parts.append(self.block(child))
        return "\n".join([*parts, "</div>"])

    def _scrolls(self, kind: str, name: str) -> str:
        """The opening of a block that scrolls on a narrow screen: the keyboard comes to it, and it is called as what stands in it."""
        label = f' role="group" aria-label="{attribute(name)}"' if name else ""
        return f'<div class="{kind} wide" tabindex="0"{label}'

    def table(self, element: Element) -> str:
        """A table with its caption, in a block that scrolls on a narrow screen where it has more than a few columns."""
        factor = table_type(self.doc, has_class(element, "wide"))
        widths = columns(element, self.width / (self.doc.type_pt * factor), self.doc.type_pt * factor)
        name = element.get("id")
        opening = "<table" + (f' id="{attribute(name)}"' if name else "")
        if element.get("class"):
            opening += f' class="{element.get("class")}"'
        head = said = ""
        for part in element:
            if part.tag == "caption":
                number, said = part.get("data-number"), words(part)
                if number is None:
                    opening += f' aria-label="{attribute("".join(part.itertext()))}"'
                else:
                    head = f'<caption><span class="number">{escape(number)}</span> {self.inline(part)}</caption>\n'
        size = f' style="font-size:{widths.scale:.2f}em"' if widths.scale < 1 else ""
        cols = "".join([f'<col style="width:{share * 100:.1f}%">' for share in widths.shares])
        few = FEW_ON_SCREEN if self.doc.layout == "screen" else FEW
        block = '<div class="table"' if len(widths.shares) <= few else self._scrolls("table", said)
        parts = [f"{block}{size}>{opening}>\n{head}<colgroup>{cols}</colgroup>"]
        for part in element:
            if part.tag == "caption":
                continue
            parts.append(f"<{part.tag}>")
            for row in part:
                parts.append("<tr>" + "".join([self._cell(cell) for cell in row]) + "</tr>")
            parts.append(f"</{part.tag}>")
        parts.append("</table></div>")
        return "\n".join(parts)

    def figure(self, element: Element) -> str:
        """A drawing with its caption."""
        caption = element[0]
        number = f'<span class="number">{escape(caption.get("data-number", ""))}</span> '
        said = "".join(caption.itertext())
        drawing = f"{self._scrolls('drawn', said)}>{svg(self.doc.figures[element.get('name', '')], said)}</div>"
        return f"{self._open('figure', element)}{drawing}\n<figcaption>{number}{self.inline(caption)}</figcaption></figure>"

    def _cell(self, cell: Element) -> str:
        side = cell.get("class")
        mark = f' class="{side}"' if side else ""
        if cell.tag == "th":
            return f'<th scope="{cell.get("scope", "col")}"{mark}>{self.inline(cell)}</th>'
        return f"<td{mark}>{self.inline(cell)}</td>"

    def strong(self, element: Element) -> str:
        """Bold words."""
        return f"<strong>{self.inline(element)}</strong>"

    def emphasis(self, element: Element) -> str:
        """Words in italics."""
        return f"<em>{self.inline(element)}</em>"

    def code(self, element: Element) -> str:
        """Letters of one width."""
        return f"<code>{escape(element.text or '')}</code>"

    def link(self, element: Element) -> str:
        """A link to a label or an address; one to a file beside this page, whose text is its type alone, is called by the file too."""
        target = element.get("href", "")
        beside = self.doc.layout == "screen" and not re.match(r"[a-z]+:|#", target, re.IGNORECASE)
        label = f' aria-label="{attribute(words(element))}: {attribute(target)}"' if beside else ""
        return f'<a href="{attribute(target)}"{label}>{self.inline(element)}</a>'

    def line_break(self, element: Element) -> str:
        """A line break."""
        return "<br>"

    def blank(self, element: Element) -> str:
        """A blank to write on."""
        return f'<span class="blank" title="{self.hint}">{self.inline(element)}</span>'

    def flag(self, element: Element) -> str:
        """Words that catch the eye."""
        return f'<mark class="flag">{self.inline(element)}</mark>'


def _split(blocks: list[Element], tag: str) -> list[list[Element]]:
    """Blocks in groups, each of which but the first begins with a heading of one level; the first is left out of sections, where nothing stands in it."""
    groups: list[list[Element]] = [[]]
    for block in blocks:
        if block.tag == tag:
            groups.append([])
        groups[-1].append(block)
    return groups[1:] if tag == "h2" else groups


def _print_styles(doc: Document) -> str:
    """Paper size, margins, and what stands in the margins of each printed page."""
    sheet = page(doc)
    footer = " ".join(
        css_string(str(value)) if not name else f"counter({value})"
        for name, value in split_label(doc.labels["page"], page="page", pages="pages")
    )
    report = doc.layout in ("report", "screen")
    band = 'font: bold 9pt Arial, "Liberation Sans", Helvetica, sans-serif; color: #000; background: #dedede; padding: 2pt 6pt;'
    face = 'font: 8pt Arial, "Liberation Sans", Helvetica, sans-serif; color: #3d4852;'
    heads = {
        "top-left": f"content: {css_string(doc.site_name)}; {face}",
        "top-right": f"content: {css_string(doc.title)}; {face}",
        "top-center": f"content: {css_string(doc.banner)}; {band}",
        "bottom-left": f"content: {css_string(doc.imprint)}; {face}",
        "bottom-center": f"content: {css_string(doc.banner)}; {band}",
        "bottom-right": f"content: {footer}{_drawn_code(doc)}; {face}",
    }
    if not report:
        del heads["top-left"], heads["top-right"]
    if not doc.stamp:
        del heads["top-center"], heads["bottom-center"]
    first = ""
    if doc.bands:  # the first page has them in its text
        usual = heads.get("top-center", "content: none;")
        first = f"@page :first {{ @top-center {{ {usual} }} }}\n"
        lines = ' "\\A" '.join(css_string(line) for line in (doc.banner, *doc.bands) if line)
        heads["top-center"] = (
            f"content: {lines}; white-space: pre-line; {band} font-size: {BAND_PT:g}pt; color: #fff; background: #333;"
        )
    boxes = "\n".join(f"  @{place} {{ {style} }}" for place, style in heads.items())
    return (
        f"@page {{\n  size: {sheet.width:.2f}pt {sheet.height:.2f}pt;\n"
        f"  margin: {sheet.top:.0f}pt {sheet.side:.0f}pt {sheet.bottom:.0f}pt;\n{boxes}\n}}\n{first}"
        f"@media print {{ body {{ font-size: {doc.type_pt:g}pt; }} }}\n"
    )


def _panel_styles() -> str:
    return "\n".join(
        f".box.{kind} .word {{ color: {panel.text}; background: {panel.ground}; }}" for kind, panel in PANEL_COLOURS.items()
    )


def _letterhead(doc: Document) -> str:
    """Logo and lines of the client at the head of the page; empty where there are none."""
    look = doc.dressed
    if not (look.logo or look.lines):
        return ""
    logo = f'<img src="{logo_uri(look.logo)}" alt="{attribute(doc.firm)}">' if look.logo else ""
    lines = "".join(f"<span>{escape(line)}</span>" for line in look.lines)
    return f'<div class="letterhead">{logo}' + (f"<p>{lines}</p>" if lines else "") + "</div>\n"


def _look_styles(doc: Document) -> str:
    """The colours of the client on headings and lines, and nothing else: panels, symbols and stamps keep theirs."""
    look, lines = doc.dressed, []
    if look.logo or look.lines:
        lines += [
            ".letterhead { flex-basis: 100%; display: flex; align-items: center; justify-content: space-between; gap: 1.5rem; padding-bottom: .5rem; border-bottom: 2px solid var(--line); break-inside: avoid; }",
            ".letterhead img { display: block; max-height: 3.2rem; max-width: 60%; }",
            ".letterhead p { margin-left: auto; text-align: right; line-height: 1.35; }",
            ".letterhead span { display: block; }",
            ".letterhead span:first-child { font-weight: bold; color: var(--ink); }",
        ]
    if look.accent:
        lines += [
            f"header.sheet, .letterhead, h2 {{ border-color: {look.accent}; }}",
            f".letterhead span:first-child {{ color: {look.accent}; }}",
        ]
    if look.heading:
        lines.append(f"h1, h2, h3, h4, h3.minor {{ color: {look.heading}; }}")
    return "".join(line + "\n" for line in lines)


def _drawn_code(doc: Document) -> str:
    """The code behind the number of a printed page, where no element of the page can stand."""
    if not doc.code:
        return ""
    return f' "\\a0 \\a0 " url("data:image/svg+xml;base64,{b64encode(code_svg(doc).encode("ascii")).decode("ascii")}")'


def _code(doc: Document) -> tuple[str, ...]:
    return (code_svg(doc, doc.code_alt),) if doc.code else ()


def render(doc: Document) -> Rendered:
    """A whole HTML5 page as UTF-8 bytes."""
    labels = doc.labels
    lines = (("site", doc.site_name), ("edition", doc.edition), ("stamp", doc.banner))
    ends = (("stamp", doc.banner), ("imprint", doc.imprint), ("mark", doc.mark))
    foot = "\n".join([*(f'<p class="{name}">{escape(line)}</p>' for name, line in ends if line), *_code(doc)])
    head = "\n".join(f'<p class="{name}">{escape(line)}</p>' for name, line in lines if line)
    text = f"""<!DOCTYPE html>
<html lang="{attribute(doc.language)}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(doc.title)}</title>
<meta name="author" content="{attribute(doc.site_name)}">
<meta name="dcterms.created" content="{doc.date.isoformat()}">
<style>
{look_text("page.css").strip()}
{_panel_styles()}
{_print_styles(doc).strip()}
{_look_styles(doc)}</style>
</head>
<body class="{doc.layout}">
<a class="skip" href="#_text">{escape(labels["skip"])}</a>
<header class="sheet">
{_letterhead(doc)}{head}
</header>
<main class="sheet" id="_text">
{HtmlWriter(doc).body()}
</main>
<footer class="sheet">
{foot}
</footer>
</body>
</html>
"""
    return Rendered(text.encode("utf-8"))
