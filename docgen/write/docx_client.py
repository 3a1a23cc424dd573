"""A client's own base file for the reports: its title, headings and body text, its header and footer; all else is docgen's own.

Our styles that its file does not decide are copied into it, with the lists. They stand on a style of their own instead of its "Normal", so that panels,
tables and forms keep their look, in the letters of its body. Its settings, fields of data and texts are left behind.
"""

from __future__ import annotations

import copy
import io
from dataclasses import replace
from typing import TYPE_CHECKING

from docgen.errors import WriteError

if TYPE_CHECKING:
    from docx.document import Document as Word
    from lxml.etree import _Element as Node

    from docgen.compose.document import Document
    from docgen.look import Look
    from docgen.write.docx_base import Base

__all__ = ["DECIDED", "dressed", "has_own_header"]

#: Styles that a base file may decide, under the name that a word processor shows. Ours stands in where it lacks one.
DECIDED = (
    "Title",
    "Heading 1",
    "Heading 2",
    "Heading 3",
    "Heading 4",
    "Body Text",
    "Quote",
    "Caption",
    "TOC Heading",
    "Hyperlink",
)
UNNUMBERED = {"Heading 1 Plain": "Heading 1", "Heading 2 Plain": "Heading 2"}
OURS = "Report Text"  # what our styles stand on in another's file
KEPT = ("styles", "settings", "theme", "header", "footer")  # parts that the body's part leads to
SPARE = ("fontTable", "theme")  # taken from ours where there is none
WHOLE = ("officeDocument", "core-properties")  # parts that the package leads to
PAGE = ("headerReference", "footerReference", "pgSz", "pgMar", "titlePg")  # of the description of its last page
TITLED = ("Title", "Heading 1", "Heading 1 Plain", "Heading 2", "Heading 2 Plain", "Heading 3", "Heading 4")


def _w(name: str) -> str:
    from docx.oxml.ns import qn

    return str(qn(f"w:{name}"))


def dressed(base: Base, doc: Document) -> Base:
    """Our base file in the client's colours, or for a report the client's own with what is ours put in. WriteError where that cannot be opened."""
    look = doc.dressed
    if look.base is not None and doc.layout == "report":
        return _grafted(base, look.base)
    if look.accent or look.heading:
        _painted(base, look)
    return base


def _drop(node: Node) -> None:
    parent = node.getparent()
    if parent is not None:
        parent.remove(node)


def _kind(name: str) -> str:
    return name.rpartition("/")[2]


def _painted(base: Base, look: Look) -> None:
    """The client's colours on the titles and headings of our own base file, and on the line over a heading."""
    from docx.shared import RGBColor

    for name in TITLED:
        style = base.word.styles[name]
        if look.heading:
            style.font.color.rgb = RGBColor.from_string(look.heading[1:].upper())
        if look.accent:
            for line in style.element.findall(f"{_w('pPr')}/{_w('pBdr')}/{_w('top')}"):
                line.set(_w("color"), look.accent[1:].upper())


def has_own_header(word: Word) -> bool:
    """Whether the header of a base file says or shows something: it is then the letterhead."""
    section = word.sections[-1]
    heads = [section.header] + ([section.first_page_header] if section.different_first_page_header_footer else [])
    return any(
        any(True for _ in head._element.iter(_w("t"), _w("drawing"), _w("pict")))
        for head in heads
        if not head.is_linked_to_previous
    )


def _grafted(base: Base, content: bytes) -> Base:
    """The client's file with our styles and lists put in, in the place of our own. WriteError where it cannot be opened."""
    from docx import Document as opened

    try:
        theirs = opened(io.BytesIO(content))
    except (KeyError, ValueError, OSError) as error:
        raise WriteError(f"the base file of the look cannot be opened ({error}); save it as DOCX again") from None
    _emptied(theirs)
    _settings(theirs, base.word)
    ids = _Styles(theirs, base).all()
    _lists(theirs, base.word, ids)
    return replace(base, word=theirs, styles={name: ids[own] for name, own in base.styles.items()})


def _emptied(word: Word) -> None:
    """Leaves of a file its page, its styles, its theme, and what stands in header and footer."""
    body = word.element.body
    page = body.findall(_w("sectPr"))[-1]
    first = page.find(_w("titlePg")) is not None
    for node in list(page):
        even = node.get(_w("type")) == "even" or (node.get(_w("type")) == "first" and not first)
        if node.tag not in [_w(name) for name in PAGE] or even:
            page.remove(node)
    for node in list(body):
        if node is not page:
            body.remove(node)
    used = {value for node in page for key, value in node.attrib.items() if key.endswith("}id")}
    rels = word.part.rels
    for name, rel in list(rels.items()):
        kind = _kind(rel.reltype)
        if kind not in KEPT or (kind in ("header", "footer") and name not in used):
            del rels[name]
    for name, rel in list(word.part.package.rels.items()):
        if _kind(rel.reltype) not in WHOLE:
            del word.part.package.rels[name]
    for rel in rels.values():
        if _kind(rel.reltype) in ("header", "footer"):
            for tag in ("dataBinding", "numPr"):
                for node in list(rel.target_part.element.iter(_w(tag))):
                    _drop(node)


def _settings(theirs: Word, ours: Word) -> None:
    element = theirs.settings.element
    for node in list(element):
        element.remove(node)
    element.extend(copy.deepcopy(list(ours.settings.element)))


def _lists(theirs: Word, ours: Word, ids: dict[str, str]) -> None:
    """Our lists in their file, its own being gone, and the parts that each file must have."""
    from docx.opc.constants import RELATIONSHIP_TYPE

    part = ours.part.numbering_part
    for tag in ("styleLink", "pStyle"):
        for node in part.element.iter(_w(tag)):
            node.set(_w("val"), ids[node.get(_w("val"), "")])
    theirs.part.relate_to(part, RELATIONSHIP_TYPE.NUMBERING)
    there = {_kind(rel.reltype) for rel in theirs.part.rels.values()}
    for rel in ours.part.rels.values():
        if _kind(rel.reltype) in SPARE and _kind(rel.reltype) not in there:
            theirs.part.relate_to(rel.target_part, rel.reltype)


class _Styles:
    """Puts our styles into their file."""

    def __init__(self, theirs: Word, base: Base) -> None:
        self.word, self.base = theirs, base
        self.element = theirs.styles.element
        self.theirs = {(style.type.name, str(style.name)): style for style in theirs.styles if style.name}
        self.taken = {style.style_id for style in theirs.styles}
        self.names = {name.casefold() for _, name in self.theirs}
        self.ids: dict[str, str] = {}

    def all(self) -> dict[str, str]:
        """Id of each of our styles -> its id in their file."""
        ours = {style.style_id: (style.type.name, str(style.name), style.element) for style in self.base.word.styles}
        for style in self.theirs.values():  # their own numbers are gone, or would be ours of the same number
            for node in style.element.findall(f"{_w('pPr')}/{_w('numPr')}"):
                _drop(node)
        made: list[tuple[str, str, Node]] = []
        for own, (kind, name, element) in ours.items():
            found = self.theirs.get((kind, name))
            if element.get(_w("default")):
                self.ids[own] = self.default(kind) or ""
            elif found is not None and name in DECIDED:
                self.ids[own] = found.style_id
                self.numbered(name, element, found.element)
            else:
                source = self.theirs.get((kind, UNNUMBERED.get(name, "")))
                self.ids[own] = self.free(own)
                made.append((own, name, copy.deepcopy(source.element if source is not None else element)))
        self.ids["Normal"] = self.floor()
        for own, name, element in made:
            self.placed(own, name, element)
        return self.ids

    def default(self, kind: str) -> str | None:
        found = (
            s.style_id for (of, _), s in self.theirs.items() if of == kind and s.element.get(_w("default")) in ("1", "true", "on")
        )
        return next(found, None)

    def free(self, wanted: str) -> str:
        name = wanted
        while name in self.taken:
            name = f"x{name}"
        self.taken.add(name)
        return name

    def numbered(self, name: str, ours: Node, theirs: Node) -> None:
        """Their heading counts as ours does, so that a reference leads to its number, and stands on the page of what follows."""
        ours_pr, theirs_pr = ours.find(_w("pPr")), theirs.get_or_add_pPr()  # type: ignore[attr-defined]
        number = None if ours_pr is None else ours_pr.find(_w("numPr"))
        if number is not None:
            for node in theirs_pr.findall(_w("ind")):
                theirs_pr.remove(node)
            own = theirs_pr.get_or_add_numPr()
            for node in list(number):
                own.append(copy.deepcopy(node))
        if name.startswith("Heading"):
            from docx.enum.style import WD_STYLE_TYPE

            style = self.theirs[WD_STYLE_TYPE.PARAGRAPH.name, name]
            style.paragraph_format.keep_with_next = True

    def floor(self) -> str:
        """The style that ours stand on: our own defaults, in the letters of their body."""
        from docx.oxml import OxmlElement

        own = self.base.word.styles.element.find(_w("docDefaults"))
        style = OxmlElement("w:style", {_w("type"): "paragraph", _w("customStyle"): "1", _w("styleId"): self.free("ReportText")})
        name = OxmlElement("w:name", {_w("val"): self.called(OURS)})
        style.append(name)
        for inner in (f"{_w('pPrDefault')}/{_w('pPr')}", f"{_w('rPrDefault')}/{_w('rPr')}"):
            found = None if own is None else own.find(inner)
            if found is not None:
                style.append(copy.deepcopy(found))
        for spacing in style.iter(_w("spacing")):
            spacing.set(_w("before"), spacing.get(_w("before"), "0"))
        looks, fonts = style.find(_w("rPr")), self.letters()
        if looks is not None and fonts is not None:
            for node in looks.findall(_w("rFonts")):
                looks.remove(node)
            looks.insert(0, fonts)
        self.element.append(style)
        return str(style.get(_w("styleId")))

    def letters(self) -> Node | None:
        """The fonts of their body: of Body Text, else of the usual paragraph, else of all."""
        places = []
        for name in ("Body Text", "Normal"):
            if (style := self.theirs.get(("PARAGRAPH", name))) is not None:
                places.append(style.element.find(f"{_w('rPr')}/{_w('rFonts')}"))
        places.append(self.element.find(f"{_w('docDefaults')}/{_w('rPrDefault')}/{_w('rPr')}/{_w('rFonts')}"))
        return next((copy.deepcopy(place) for place in places if place is not None), None)

    def called(self, name: str) -> str:
        while name.casefold() in self.names:
            name = f"{name} (docgen)"
        self.names.add(name.casefold())
        return name

    def placed(self, own: str, name: str, element: Node) -> None:
        """One of our styles in their file, or one of theirs under our name and without its number."""
        element.set(_w("styleId"), self.ids[own])
        if name in UNNUMBERED:
            element.set(_w("customStyle"), "1")
            for node in [*element.findall(_w("link")), *element.findall(f"{_w('pPr')}/{_w('numPr')}")]:
                _drop(node)
        called = element.find(_w("name"))
        if called is not None and name.casefold() in self.names | {"heading 1 plain", "heading 2 plain"}:
            called.set(_w("val"), self.called(name))
        for tag in ("basedOn", "next", "link"):
            for node in element.findall(_w(tag)):
                told = self.ids.get(node.get(_w("val"), ""), node.get(_w("val"), ""))
                if told in self.taken:
                    node.set(_w("val"), told)
                else:
                    element.remove(node)
        self.element.append(element)
