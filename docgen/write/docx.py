"""DOCX: WordprocessingML in a small package of our own; the same bytes every time.

The parts lie in `templates/look/docx`; sizes in them stand as `@half 1.1@` (half points), `@em 0.5@` (twentieths of a
point of body type) and `@tem 0.5@` (the same of table type).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from docgen.write.base import Rendered, look_text, split_label
from docgen.write.docx_body import BOLD, FIRST_LIST, TAB, DocxWriter, escape, field, run
from docgen.write.emf import emf
from docgen.write.widths import page, table_type, text_width

if TYPE_CHECKING:
    from collections.abc import Mapping

    from docgen.compose.document import Document

__all__ = ["DocxWriter", "pack", "parts", "render"]

NAMESPACES = (
    'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" '
    'xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office" '
    'xmlns:w10="urn:schemas-microsoft-com:office:word"'
)
DECLARATION = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
IMAGE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/image"
HYPERLINK = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/hyperlink"
WATERMARK = (
    '<w:r><w:rPr><w:noProof/></w:rPr><w:pict><v:shapetype id="_x0000_t136" coordsize="21600,21600" '
    'o:spt="136" adj="10800" path="m@7,l@8,m@5,21600l@6,21600e"><v:formulas><v:f eqn="sum #0 0 10800"/>'
    '<v:f eqn="prod #0 2 1"/>'
    '<v:f eqn="sum 21600 0 @1"/><v:f eqn="sum 0 0 @2"/><v:f eqn="sum 21600 0 @3"/><v:f eqn="if @0 @3 0"/>'
    '<v:f eqn="if @0 21600 @1"/><v:f eqn="if @0 0 @2"/><v:f eqn="if @0 @4 21600"/></v:formulas>'
    '<v:path textpathok="t" o:connecttype="rect"/><v:textpath on="t" fitshape="t"/></v:shapetype>'
    '<v:shape id="stampmark" o:spid="_x0000_s2049" type="#_x0000_t136" alt="" style="position:absolute;margin-left:0;'
    "margin-top:0;width:{width:.0f}pt;height:{height:.0f}pt;rotation:308;z-index:-251658752;"
    "mso-position-horizontal:center;"
    'mso-position-horizontal-relative:margin;mso-position-vertical:center;mso-position-vertical-relative:margin" '
    'o:allowincell="f" fillcolor="#ececec" stroked="f"><v:textpath style="font-family:&quot;Arial&quot;;font-size:1pt;'
    'font-weight:bold" string="{stamp}"/></v:shape></w:pict></w:r>'
)
LINE = '<w:pBdr><w:bottom w:val="single" w:sz="5" w:space="4" w:color="8D99A5"/></w:pBdr>'
DARK = f'{BOLD}<w:color w:val="000000"/>'


def _header(doc: Document) -> str:
    sheet = page(doc)
    stamp = run(doc.stamp, DARK) if doc.stamp else ""
    mark = ""
    if doc.stamp:
        long = 0.78 * (sheet.width**2 + sheet.height**2) ** 0.5
        high = min(90.0, long / max(text_width(doc.stamp, True), 1.0)) * 0.65
        wide = min(long, text_width(doc.stamp, True) * 90.0)
        mark = WATERMARK.format(width=wide, height=high, stamp=escape(doc.stamp))
    para = '<w:p><w:pPr><w:pStyle w:val="Header"/>{}</w:pPr>{}</w:p>'
    if doc.layout == "poster":
        return para.format("", mark + run(doc.site_name, BOLD) + TAB + stamp)
    edition = run(doc.edition) if doc.edition else ""
    return para.format("", mark + run(doc.site_name, BOLD) + TAB + edition) + para.format(LINE, run(doc.title) + TAB + stamp)


def _footer(doc: Document) -> str:
    codes = {"page": "PAGE", "pages": "NUMPAGES"}
    count = "".join(
        [
            field(codes[name], value) if name else run(value)
            for name, value in split_label(doc.labels["page"], page="1", pages="1")
        ]
    )
    edition = run(doc.edition) if doc.edition else ""
    return f'<w:p><w:pPr><w:pStyle w:val="Footer"/></w:pPr>{edition}{TAB}{count}</w:p>'


def _sized(text: str, doc: Document, names: Mapping[str, str]) -> str:
    """A part with its names and sizes put in."""
    for name, value in names.items():
        text = text.replace(f"@{name}@", value)
    unit = {"half": doc.body_pt * 2, "em": doc.body_pt * 20, "tem": doc.body_pt * 20 * table_type(doc)}
    return re.sub(r"@(half|em|tem) ([\d.]+)@", lambda m: str(round(float(m.group(2)) * unit[m.group(1)])), text)


def _style_names(doc: Document) -> dict[str, str]:
    report = doc.layout == "report"
    sheet = page(doc)
    return {
        "lang": escape(doc.language),
        "width": str(round(sheet.text_width * 20)),
        "line": "269" if report else "233",
        "title before": "0",
        "title after": "0.8" if report else "0.2",
        "title size": "2.1" if report else "1.45",
        "rule space": "5" if report else "2",
        "title side": "left" if report else "center",
        "rule": "8" if report else "6",
        "h1 before": "1.7" if report else "0.25",
        "h1 after": "0.6" if report else "0.08",
        "h1 size": "1.35" if report else "1.04",
        "after": "0.55" if report else "0.08",
        "table": f"{table_type(doc):g}",
        "panel": "1.5" if report else "1.6",
    }


def parts(doc: Document) -> dict[str, str | bytes]:
    """All parts of the package by name, in the order in which they are packed. `word/document.xml` holds the body."""
    writer = DocxWriter(doc)
    body = writer.body()
    sheet = page(doc)
    section = (
        '<w:sectPr><w:headerReference w:type="default" r:id="rId6"/><w:footerReference w:type="default" r:id="rId7"/>'
        f'<w:pgSz w:w="{round(sheet.width * 20)}" w:h="{round(sheet.height * 20)}"/>'
        f'<w:pgMar w:top="{round(sheet.top * 20)}" w:right="{round(sheet.side * 20)}" '
        f'w:bottom="{round(sheet.bottom * 20)}" '
        f'w:left="{round(sheet.side * 20)}" w:header="{round(sheet.head * 20)}" w:footer="{round(sheet.foot * 20)}" '
        'w:gutter="0"/></w:sectPr>'
    )
    links = "".join(
        [
            f'<Relationship Id="{name}" Type="{HYPERLINK}" Target="{escape(target)}" TargetMode="External"/>'
            for target, name in writer.links.items()
        ]
    )
    lists = "".join(
        [
            f'<w:num w:numId="{FIRST_LIST + index}"><w:abstractNumId w:val="2"/><w:lvlOverride w:ilvl="{level}">'
            f'<w:startOverride w:val="{start}"/></w:lvlOverride></w:num>'
            for index, (level, start) in enumerate(writer.lists)
        ]
    )
    links += "".join([f'<Relationship Id="{name}" Type="{IMAGE}" Target="media/{name}.emf"/>' for name in writer.pictures])
    appendix = escape(doc.labels["appendix"].replace("{n}", "%1")) + "\u2003"
    names = {
        "title": escape(doc.title),
        "edition": escape(doc.edition),
        "site": escape(doc.site_name),
        "lang": escape(doc.language),
        "date": f"{doc.date.isoformat()}T00:00:00Z",
    }
    look = {
        name: look_text("docx", f"{name}.xml").rstrip("\n")
        for name in (
            "content_types",
            "rels",
            "core",
            "app",
            "document_rels",
            "styles",
            "numbering",
            "settings",
            "font_table",
            "theme",
        )
    }
    return {
        "[Content_Types].xml": look["content_types"],
        "_rels/.rels": look["rels"],
        "docProps/app.xml": look["app"],
        "docProps/core.xml": _sized(look["core"], doc, names),
        "word/document.xml": f"{DECLARATION}<w:document {NAMESPACES}><w:body>\n{body}\n{section}</w:body></w:document>",
        "word/_rels/document.xml.rels": look["document_rels"].replace("@links@", links),
        "word/styles.xml": _sized(look["styles"], doc, _style_names(doc)),
        "word/numbering.xml": _sized(look["numbering"], doc, {"appendix": appendix, "lists": lists}),
        "word/settings.xml": _sized(look["settings"], doc, {"lang": escape(doc.language)}),
        "word/fontTable.xml": look["font_table"],
        "word/theme/theme1.xml": look["theme"],
        "word/header1.xml": f"{DECLARATION}<w:hdr {NAMESPACES}>{_header(doc)}</w:hdr>",
        "word/footer1.xml": f"{DECLARATION}<w:ftr {NAMESPACES}>{_footer(doc)}</w:ftr>",
        **{f"word/media/{name}.emf": emf(drawing) for name, drawing in writer.pictures.items()},
    }


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
    """DOCX bytes. Pages are not known: Word lays them out."""
    return Rendered(pack(parts(doc)))
