"""WordprocessingML as text: the one place where words become XML.

Pieces are of the type `Xml`, which `escape`, `el` and the functions below make; the other modules of the writer hold no
angle bracket. Strings, because a plan has some 35,000 elements: in one run its body took 30 ms so, and the same tree
190 ms through lxml elements and 310 ms through `lxml.builder` (2 cores, November 2026).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NewType

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "BOLD",
    "COMPATIBILITY",
    "IGNORABLE",
    "LINE_BREAK",
    "NAMESPACES",
    "NONE",
    "TAB",
    "Xml",
    "cell",
    "el",
    "escape",
    "field",
    "joined",
    "paragraph",
    "run",
]

Xml = NewType("Xml", str)

NONE = Xml("")
TAB = Xml("<w:r><w:tab/></w:r>")
LINE_BREAK = Xml("<w:r><w:br/></w:r>")
BOLD = Xml("<w:b/><w:bCs/>")

#: Declared at the root of the body, the header and the footer; other namespaces are declared where they are used.
NAMESPACES = {
    "w": "http://schemas.openxmlformats.org/wordprocessingml/2006/main",
    "r": "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    "v": "urn:schemas-microsoft-com:vml",
    "o": "urn:schemas-microsoft-com:office:office",
    "w10": "urn:schemas-microsoft-com:office:word",
    "w14": "http://schemas.microsoft.com/office/word/2010/wordml",
}
#: Of these the ones that a program may pass by which does not know them.
IGNORABLE = ("w14",)
COMPATIBILITY = "http://schemas.openxmlformats.org/markup-compatibility/2006"


def escape(text: str) -> Xml:
    """Text for XML content and for double-quoted attributes."""
    return Xml(text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;"))


def joined(pieces: Iterable[Xml], between: str = "") -> Xml:
    """Pieces one after another; only blanks and line ends go between them."""
    return Xml(between.join(pieces))


def el(tag: str, /, *inside: Xml, **attributes: object) -> Xml:
    """An element. Attributes of a `w:` element are `w:` attributes and likewise of `w14:`, unless their name says another prefix; None is left out.

    >>> el("w:jc", val="right")
    '<w:jc w:val="right"/>'
    >>> el("a:blip", **{"r:embed": 'a"b'})
    '<a:blip r:embed="a&quot;b"/>'
    """
    prefix = f"{tag.partition(':')[0]}:" if tag.startswith(("w:", "w14:")) else ""
    said = "".join(
        [
            f' {key if ":" in key else prefix + key}="{value if type(value) is int else escape(str(value))}"'
            for key, value in attributes.items()
            if value is not None
        ]
    )
    return Xml(f"<{tag}{said}>{''.join(inside)}</{tag}>" if inside else f"<{tag}{said}/>")


def run(text: str, properties: Xml = NONE) -> Xml:
    """One run; `properties` is the inside of `w:rPr`."""
    space = ' xml:space="preserve"' if text[:1] == " " or text[-1:] == " " or "  " in text else ""
    return Xml(f"<w:r>{f'<w:rPr>{properties}</w:rPr>' if properties else ''}<w:t{space}>{escape(text)}</w:t></w:r>")


def paragraph(style: str, runs: Xml, properties: Xml = NONE) -> Xml:
    """One paragraph by the id of its style; `properties` goes after the style inside `w:pPr`, in schema order."""
    return Xml(f'<w:p><w:pPr><w:pStyle w:val="{escape(style)}"/>{properties}</w:pPr>{runs}</w:p>')


def cell(width: int, content: Xml, properties: Xml = NONE) -> Xml:
    """One cell [twentieths of a point]; `properties` goes after the width inside `w:tcPr`, in schema order."""
    return Xml(f'<w:tc><w:tcPr><w:tcW w:w="{width:d}" w:type="dxa"/>{properties}</w:tcPr>{content}</w:tc>')


def field(code: str, result: str, properties: Xml = NONE) -> Xml:
    """A complex field with its last result."""
    look = el("w:rPr", properties) if properties else NONE

    def mark(kind: str) -> Xml:
        return el("w:r", look, el("w:fldChar", fldCharType=kind))

    text = el("w:instrText", escape(f" {code} "), **{"xml:space": "preserve"})
    return joined([mark("begin"), el("w:r", look, text), mark("separate"), run(result, properties), mark("end")])
