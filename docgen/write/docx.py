"""DOCX: the base file with one document's body, header, footer and properties put in; the same bytes every time.

python-docx opens the base, holds its parts and relationships and sets properties and styles. The body is spliced in as
XML (`docx_body.py`): cell by cell through its objects a plan takes a second. The archive is written here, since the
library stamps each member with the clock.
"""

from __future__ import annotations

from datetime import datetime, time
from typing import TYPE_CHECKING, NamedTuple

from docgen.errors import WriteError
from docgen.write.base import Rendered, split_label
from docgen.write.docx_base import open_base
from docgen.write.docx_body import BAND, DocxWriter, picture, pinned
from docgen.write.docx_client import dressed, has_own_header
from docgen.write.docx_xml import (
    BOLD,
    COMPATIBILITY,
    IGNORABLE,
    NAMESPACES,
    NONE,
    TAB,
    Xml,
    cell,
    el,
    field,
    joined,
    paragraph,
    run,
)
from docgen.write.emf import emf, logo_emf
from docgen.write.logo import LOW, TALL, WIDE
from docgen.write.paper_code import code_png
from docgen.write.widths import BAND_PT, bands_height, code_side, page, text_width

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from docx.document import Document as Word
    from docx.opc.part import Part
    from docx.oxml.xmlchemy import BaseOxmlElement
    from lxml.etree import _Element

    from docgen.compose.document import Document
    from docgen.write.docx_base import Base

__all__ = ["pack", "parts", "render"]

EMF, PNG = "image/x-emf", "image/png"
LOGO, LOGO_ID = (
    "rLogo",
    9001,
)  # the relationship and the number of the picture, beyond those of the body; one more on the first page
POINTS = 72 / 25.4  # in a millimetre
LINE_PT = 7.5  # type of a line of the letterhead
TIGHT = el("w:spacing", before=0, after=0, line=204, lineRule="auto")
CODE = "rCode"  # the relationship of a footer to the picture of the code
LINE = el("w:pBdr", el("w:bottom", val="single", sz=5, space=4, color="8D99A5"))
GROUND = el("w:shd", val="clear", color="auto", fill="DEDEDE")
DARK = joined([BOLD, el("w:color", val="000000")])
LIGHT = joined([BOLD, el("w:color", val="FFFFFF"), el("w:sz", val=round(BAND_PT * 2)), el("w:szCs", val=round(BAND_PT * 2))])
SMALL = joined([el("w:color", val="000000"), el("w:sz", val=14), el("w:szCs", val=14)])


class Picture(NamedTuple):
    """A logo as the body's writer takes a drawing: its sides [mm], name and alternative text."""

    width: float
    height: float
    name: str
    alt: str


def _logo(doc: Document, number: int = LOGO_ID) -> tuple[Xml, float]:
    """The run that shows the logo, and its width [pt]."""
    look = doc.dressed
    if look.logo is None:
        return NONE, 0.0
    wide, high = look.logo.fitted(WIDE, TALL if doc.lettered else LOW)
    shown = Picture(wide / POINTS, high / POINTS, LOGO, doc.firm)
    return picture(LOGO, number, shown, 1.0), wide


def _row(cells: Iterable[tuple[float, Xml, Xml]], line: Xml, style: str, after: int = 0) -> Xml:
    """A row of a header: width [pt], paragraphs and look of each cell; a table needs a paragraph behind it, which takes no room."""
    told = [(round(width * 20), content, look) for width, content, look in cells]
    none = el("w:tblCellMar", *(el(f"w:{side}", w=0, type="dxa") for side in ("top", "left", "bottom", "right")))
    row = el("w:tr", el("w:trPr", el("w:cantSplit")), *(cell(width, content, look) for width, content, look in told))
    size = el("w:tblW", w=sum(width for width, _, _ in told), type="dxa")
    table = el(
        "w:tbl",
        el("w:tblPr", size, line, el("w:tblLayout", type="fixed"), none),
        el("w:tblGrid", *(el("w:gridCol", w=width) for width, _, _ in told)),
        row,
    )
    thin = joined([el("w:spacing", before=0, after=after, line=20, lineRule="exact"), el("w:rPr", el("w:sz", val=2))])
    return joined([table, paragraph(style, NONE, thin)])


def _letterhead(doc: Document, style: str) -> Xml:
    """Logo, site and lines of the client at the head of the first page of a report."""
    look, width = doc.dressed, page(doc).text_width
    logo, wide = _logo(doc)
    room = max((text_width(line, index == 0) for index, line in enumerate(look.lines)), default=0.0) * LINE_PT * 1.06 + 6
    bold = joined([BOLD, el("w:color", val=(look.accent or "#15202B")[1:].upper())])
    type_pt = [el("w:sz", val=round(LINE_PT * 2)), el("w:szCs", val=round(LINE_PT * 2))]
    said = [
        paragraph(style, run(line, joined([*([bold] if index == 0 else []), *type_pt])), joined([TIGHT, el("w:jc", val="right")]))
        for index, line in enumerate(look.lines)
    ] or [paragraph(style, run(doc.title), el("w:jc", val="right"))]
    room = room if look.lines else width * 0.45
    low = el("w:vAlign", val="bottom")
    cells = [(wide + 8.0, paragraph(style, logo), low)] if logo else []
    site = paragraph(style, run(doc.site_name, BOLD))
    cells += [(width - room - (wide + 8.0 if logo else 0.0), site, low), (room, joined(said), low)]
    colour = (look.accent or "#8D99A5")[1:].upper()
    line = el("w:tblBorders", el("w:bottom", val="single", sz=8 if look.accent else 5, space=0, color=colour))
    return joined([_band(doc, style), _row(cells, line, style, after=80)])


def _alone(doc: Document) -> bool:
    """Whether the logo stands in the head of each page without a letterhead. A report on the client's base file has the header of that."""
    return doc.dressed.logo is not None and not doc.lettered and not (doc.layout == "report" and doc.dressed.base)


def _beside(doc: Document, style: str, first: bool) -> Xml:
    """The logo beside the band of a draft, so that it needs no height of its own."""
    logo, wide = _logo(doc, LOGO_ID + first)
    band = _band(doc, style) or paragraph(style, NONE)
    low = el("w:vAlign", val="center")
    return _row([(wide + 6.0, paragraph(style, logo), low), (page(doc).text_width - wide - 6.0, band, low)], NONE, style)


def _header(doc: Document, style: str, first: bool = False) -> Xml:
    band = _beside(doc, style, first) if _alone(doc) else _band(doc, style)
    if doc.layout != "report":
        return band
    return joined([band, paragraph(style, joined([run(doc.site_name, BOLD), TAB, run(doc.title)]), LINE)])


def _bands(doc: Document, style: str) -> Xml:
    """The lines on closed bays, white on dark grey."""
    return joined([paragraph(style, run(line, LIGHT), joined([BAND, el("w:jc", val="center")])) for line in doc.bands])


def _band(doc: Document, style: str, room: int = 0) -> Xml:
    """The grey band of a draft; `room` is left free at its right end [twentieths of a point]."""
    if not doc.banner:
        return NONE
    return paragraph(
        style, run(doc.banner, DARK), joined([GROUND, el("w:ind", right=room) if room else NONE, el("w:jc", val="center")])
    )


def _footer(doc: Document, style: str) -> Xml:
    codes = {"page": "PAGE", "pages": "NUMPAGES"}
    count = [
        field(codes[name], value) if name else run(value) for name, value in split_label(doc.labels["page"], page="1", pages="1")
    ]
    mark = joined([run("\u2003"), run(doc.mark, SMALL)]) if doc.mark else NONE
    code = pinned(CODE, doc) if doc.code else NONE
    room = round(code_side(doc) * 20)
    width = round(page(doc).text_width * 20)
    ends = (
        el("w:tabs", el("w:tab", val="clear", pos=width), el("w:tab", val="right", pos=width - room)),
        el("w:ind", right=room),
    )
    line = joined([code, run(doc.imprint), TAB, *count, mark])
    return joined([paragraph(style, line, joined(ends) if doc.code else NONE), _band(doc, style, room)])


def _parsed(doc: Document, pieces: Xml) -> BaseOxmlElement:
    """A body element around some XML that uses the namespaces of the package's roots."""
    from docx.oxml import parse_xml
    from lxml.etree import XMLSyntaxError

    spaces = {f"xmlns:{prefix}": uri for prefix, uri in NAMESPACES.items()}
    try:
        return parse_xml(el("w:body", pieces, **spaces))
    except XMLSyntaxError as error:
        raise WriteError(f"{doc.name} ({doc.language}): the DOCX cannot be written ({error})") from None


def _put(where: BaseOxmlElement, *elements: _Element) -> None:
    """Paragraphs at the end of a header or footer; an empty paragraph that the base has there makes room for them."""
    for child in list(where):
        if not list(child.iter("{*}r")):
            where.remove(child)
    where.extend(elements)


def _properties(word: Word, doc: Document) -> None:
    known = word.core_properties
    known.title, known.subject, known.author = doc.title[:255], doc.edition[:255], doc.site_name[:255]
    known.last_modified_by, known.revision, known.language = doc.site_name[:255], 1, doc.language
    known.created = known.modified = datetime.combine(doc.date, time.min)


def _page_setup(word: Word, doc: Document) -> None:
    from docx.enum.section import WD_ORIENT
    from docx.shared import Twips

    def twips(points: float) -> Twips:
        return Twips(round(points * 20))

    sheet, section = page(doc), word.sections[-1]
    if doc.landscape:
        section.orientation = WD_ORIENT.LANDSCAPE
    section.page_width, section.page_height = twips(sheet.width), twips(sheet.height)
    top = sheet.top
    if doc.layout == "card":  # a head that bears lines on closed bays makes its own room, and the first page has them in its text
        top -= bands_height(doc, sheet.text_width)
    section.top_margin, section.bottom_margin = twips(top), twips(sheet.bottom)
    section.left_margin = section.right_margin = twips(sheet.side)
    section.header_distance, section.footer_distance = twips(sheet.head), twips(sheet.foot)


def _lists(base: Base, lists: Iterable[tuple[int, int]]) -> Xml:
    """A numbering instance for each ordered list, which starts at its own number."""
    return joined(
        [
            el(
                "w:num",
                el("w:abstractNumId", val=base.steps),
                el("w:lvlOverride", el("w:startOverride", val=start), ilvl=level),
                numId=base.free + index,
            )
            for index, (level, start) in enumerate(lists)
        ]
    )


def _filled(doc: Document) -> Word:
    """The base file with everything of the document in it."""
    from docx.opc.constants import RELATIONSHIP_TYPE
    from docx.opc.packuri import PackURI
    from docx.opc.part import Part

    base = dressed(open_base(doc), doc)
    word, part = base.word, base.word.part
    writer = DocxWriter(doc, base)
    body = _parsed(doc, writer.body())
    body.append(word.element.body[-1])
    word.element.replace(word.element.body, body)
    for target, name in writer.links.items():
        part.load_rel(RELATIONSHIP_TYPE.HYPERLINK, target, name, is_external=True)
    for name, drawing in writer.pictures.items():
        picture = Part(PackURI(f"/word/media/{name}.emf"), EMF, emf(drawing), part.package)
        part.load_rel(RELATIONSHIP_TYPE.IMAGE, picture, name)
    part.numbering_part.element.extend(_parsed(doc, _lists(base, writer.lists)))
    _page_setup(word, doc)
    edges = word.sections[-1]
    header, footer = base.styles["Header"], base.styles["Footer"]
    look = doc.dressed
    lettered = doc.lettered and not (look.base and has_own_header(word))
    code = Part(PackURI("/word/media/code.png"), PNG, code_png(doc), part.package) if doc.code else None
    if doc.bands or lettered:  # the first page has the bands in its text
        edges.different_first_page_header_footer = True
    if edges.different_first_page_header_footer:
        _put(
            edges.first_page_header._element,
            *_parsed(doc, _letterhead(doc, header) if lettered else _header(doc, header, first=True)),
        )
        _put(edges.first_page_footer._element, *_parsed(doc, _footer(doc, footer)))
        if code is not None:
            edges.first_page_footer.part.load_rel(RELATIONSHIP_TYPE.IMAGE, code, CODE)
    if look.logo is not None and (lettered or _alone(doc)):
        first = [edges.first_page_header.part] if edges.different_first_page_header_footer else []
        _show(doc, first if lettered else [edges.header.part, *first])
    _put(edges.header._element, *_parsed(doc, joined([_header(doc, header), _bands(doc, header)])))
    _put(edges.footer._element, *_parsed(doc, _footer(doc, footer)))
    if code is not None:
        edges.footer.part.load_rel(RELATIONSHIP_TYPE.IMAGE, code, CODE)
    _properties(word, doc)
    return word


def _show(doc: Document, heads: Iterable[Part]) -> None:
    """The logo as a part of the package that these headers lead to."""
    from docx.opc.constants import RELATIONSHIP_TYPE
    from docx.opc.packuri import PackURI
    from docx.opc.part import Part

    logo = doc.dressed.logo
    if logo is None:
        return
    name, kind, data = ("png", PNG, logo.png) if logo.art is None else ("emf", EMF, logo_emf(logo.art))
    shown = None
    for head in heads:
        shown = shown or Part(PackURI(f"/word/media/logo.{name}"), kind, data, head.package)
        head.load_rel(RELATIONSHIP_TYPE.IMAGE, shown, LOGO)


def _declared(root: BaseOxmlElement) -> bytes:
    """The body's part with every namespace declared at its root, and those named there that an older program passes by."""
    from lxml import etree

    named = {**{prefix: NAMESPACES[prefix] for prefix in IGNORABLE}, "mc": COMPATIBILITY}
    kept = [prefix for prefix in (*root.nsmap, *named) if prefix is not None]
    etree.cleanup_namespaces(root, top_nsmap=named, keep_ns_prefixes=kept)  # children moved to a new root take ten times as long
    key = f"{{{COMPATIBILITY}}}Ignorable"
    root.set(key, " ".join(dict.fromkeys([*(root.get(key) or "").split(), *IGNORABLE])))
    data: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    return data


def _content_types(members: Iterable[Part]) -> str:
    """The list of what each part is; pictures and relationships go by their ending, whether or not there is one."""
    kinds = [
        el("Default", Extension=ending, ContentType=kind)
        for ending, kind in (
            ("rels", "application/vnd.openxmlformats-package.relationships+xml"),
            ("emf", EMF),
            *([("png", PNG)] if any(part.content_type == PNG for part in members) else []),
            ("xml", "application/xml"),
        )
    ]
    kinds += [
        el("Override", PartName=part.partname, ContentType=part.content_type)
        for part in members
        if part.content_type not in (EMF, PNG)
    ]
    types = el("Types", *kinds, xmlns="http://schemas.openxmlformats.org/package/2006/content-types")
    return f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n{types}'


def parts(doc: Document) -> dict[str, str | bytes]:
    """All parts of the package by name, in the order in which they are packed. `word/document.xml` holds the body."""
    main = _filled(doc).part
    package = main.package
    members = list(package.iter_parts())
    content: dict[str, str | bytes] = {"[Content_Types].xml": _content_types(members), "_rels/.rels": package.rels.xml}
    for part in members:
        content[part.partname.membername] = _declared(main.element) if part is main else part.blob
        if len(part.rels):
            content[part.partname.rels_uri[1:]] = part.rels.xml
    return content


def pack(content: Mapping[str, str | bytes]) -> bytes:
    """A zip archive of the parts, in their order, with fixed times and attributes."""
    import io
    import zipfile

    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for name, text in content.items():
            info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 0
            info.external_attr = 0
            archive.writestr(info, text.encode("utf-8") if isinstance(text, str) else text)
    return buffer.getvalue()


def render(doc: Document) -> Rendered:
    """DOCX bytes. Pages are not known: Word lays them out. Raises WriteError for a base file that lacks a style."""
    return Rendered(pack(parts(doc)))
