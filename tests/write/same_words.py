"""The same words in every file type: block by block, letters and digits only, NFKC.

Left out, as they belong to the page and not to the text: number labels, contents, headers, footers, stamp,
alternative text. Readers here are general ones (html5lib, ElementTree on the package, pypdf) and share no code with
the writers.
"""

import io
import unicodedata
import zipfile
from xml.etree import ElementTree

__all__ = ["docx_blocks", "html_blocks", "pdf_gaps", "plain", "tree_blocks"]

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
LEAVES = {"h1", "h2", "h3", "h4", "p", "td", "th", "title", "caption", "figcaption", "li", "dd", "dt"}
HOLDERS = {"p", "ul", "ol", "table", "dl", "li", "box", "div", "blockquote"}


def plain(text):
    """Letters and digits of a text after NFKC."""
    return "".join(c for c in unicodedata.normalize("NFKC", text) if c.isalnum())


def _walk(element, skip):
    """Leaf blocks in order; a term is joined to the first block of its meaning, as it is printed in one line."""
    blocks = []
    term = []

    def visit(node):
        if skip(node):
            return
        if node.tag in LEAVES and not any(child.tag in HOLDERS for child in node):
            text = plain("".join(_text(node, skip)))
            if node.tag == "dt":
                term.append(text)
                return
            blocks.append("".join(term) + text)
            term.clear()
            return
        for child in node:
            visit(child)

    visit(element)
    return [block for block in blocks if block]


def _text(node, skip):
    if not skip(node):
        yield node.text or ""
        for child in node:
            yield from _text(child, skip)
            yield child.tail or ""


def tree_blocks(root):
    """Blocks of the parsed tree."""
    return _walk(root, lambda node: node.tag == "caption" and node.get("class") == "silent")


def html_blocks(data):
    """Blocks of `main` in an HTML file."""
    import html5lib

    page = html5lib.parse(data, namespaceHTMLElements=False)
    return _walk(page.find(".//main"), lambda node: node.tag == "nav" or node.get("class") == "number")


def docx_blocks(data):
    """Paragraphs of the document part, without the contents list and caption numbers."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        body = ElementTree.fromstring(archive.read("word/document.xml")).find(f"{W}body")
    for holder in body.iter():
        for child in [c for c in holder if c.tag == f"{W}sdt" and c.find(f".//{W}p") is not None]:
            holder.remove(child)
    blocks = []
    for para in body.iter(f"{W}p"):
        text = "".join(t.text or "" for t in para.iter(f"{W}t"))
        style = para.find(f"{W}pPr/{W}pStyle")
        if style is not None and style.get(f"{W}val") == "Caption":
            text = text.split("\u2002", 1)[1]
        blocks.append(plain(text))
    return [block for block in blocks if block]


def pdf_gaps(data, blocks, page):
    """What stands between the blocks, in order, in the text of a PDF without stamp: (block before, text between).

    Header and footer are left out by their place on the page. Raises AssertionError for a block that is missing or
    out of order.
    """
    import pypdf

    pieces = []
    reader = pypdf.PdfReader(io.BytesIO(data))
    for sheet in reader.pages:

        def keep(text, cm, tm, _font, _size):
            height = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            if page.bottom - 2 < height < page.height - page.top + 2:
                pieces.append(text)

        sheet.extract_text(visitor_text=keep)
    stream = plain("".join(pieces))
    at = 0
    gaps = []
    for index, block in enumerate(blocks):
        found = stream.find(block, at)
        assert found >= 0, f"block {index} is missing in the PDF: {block[:60]} (after {stream[at : at + 60]})"
        gaps.append((blocks[index - 1] if index else "", stream[at:found]))
        at = found + len(block)
    gaps.append((blocks[-1], stream[at:]))
    return gaps
