"""The client's look: hostile files are refused with their place, colours are held to their contrast, every type shows it, and no text depends on it.

Contrast by the definition of relative luminance in WCAG 2.2 (worked out a second time here); PNG are made with zlib by the PNG specification.
"""

import io
import json
import re
import shutil
import struct
import tomllib
import zipfile
import zlib
from colorsys import rgb_to_hls
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from control_site import FIRST, issue
from docx import Document as Word
from docx.shared import RGBColor
from hypothesis import given
from hypothesis import strategies as st
from outside import docx_faults, html_faults
from support import AS_OF, ROOT, SITES, demo
from test_write import W, document, part, pdf, sample

from docgen.checked import Assessed, Refused
from docgen.compose import all_bodies, compose_all
from docgen.compose.symbols import SYMBOLS
from docgen.look import NONE, Logo, Look
from docgen.look.colours import contrast, nearest_dark
from docgen.look.files import Unfit
from docgen.look.png import clean_png
from docgen.look.svg import clean_svg
from docgen.look.word import clean_base
from docgen.pipeline import check_site, render_site
from docgen.write import WRITERS
from docgen.write.base import PANEL_COLOURS
from docgen.write.docx_client import DECIDED
from docgen.write.logo import logo_svg

DEMO = "teal-harbor"
OWN = SITES / DEMO / "look"
GIVEN = 'look: {letterhead: [Teal Harbor Seed LLC, "4 Wharf Street, Teal Harbor, Washington", Pier office], logo: look/logo.svg, accent: "#0B6266", heading: "#123F4A", docx: look/base.docx}'


def svg(inside="", head='viewBox="0 0 40 20"', before=""):
    """A drawing around some elements."""
    return (
        f'{before}<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {head}>\n'
        f'<rect width="40" height="20" fill="#123456"/>\n{inside}\n</svg>'
    )


def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width=4, height=3, kind=2, depth=8, rows=None, extra=(), after=b"", head=None, interlaced=0):
    """A PNG of one colour; `rows` in the place of its pixels, `extra` chunks before them."""
    channels = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[kind]
    rows = (b"\0" + b"\x30" * ((width * channels * depth + 7) // 8)) * height if rows is None else rows
    head = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, interlaced) if head is None else head
    parts = [(b"IHDR", head), *extra, (b"IDAT", zlib.compress(rows)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*each) for each in parts) + after


def looked(folder, text, **files):
    """What a check says of the demo with another look: the text in the place of its own, and files by their name in the folder `look`."""
    site = Path(shutil.copytree(SITES / DEMO, folder / "site"))
    profile = site / "profile.yaml"
    told = profile.read_text(encoding="utf-8")
    assert GIVEN in told
    profile.write_text(told.replace(GIVEN, text), encoding="utf-8")
    for name, data in files.items():
        (site / "look" / name.replace("__", ".")).write_bytes(data)
    return check_site(site, AS_OF)


def only(checked):
    """The one problem of a refused profile."""
    assert isinstance(checked, Refused)
    (problem,) = checked.problems
    return problem


# drawings

BOMB = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>\n'
HOSTILE = [
    ("script", svg("<script>fetch('x')</script>"), "holds 'script' in line 3"),
    ("script in a silent part", svg("<defs><script/></defs>"), "holds 'script' in line 3"),
    ("script of another kind", svg('<x:script xmlns:x="urn:x"/>'), "holds 'script'"),
    ("onload", svg(head='viewBox="0 0 40 20" onload="x()"'), r"an event handler \('onload'\) in line 1"),
    ("onclick", svg('<g onClick="x()"/>'), r"an event handler \('onClick'\)"),
    ("file", svg('<image xlink:href="file:///etc/passwd"/>'), "holds 'image'"),
    ("http", svg('<use xlink:href="http://example.org/a.svg#b"/>'), "holds 'use'"),
    ("link", svg('<a href="javascript:x()"><rect width="3" height="3"/></a>'), "holds 'a'"),
    ("reference on a shape", svg('<path d="M0 0h3v3z" xlink:href="http://example.org/"/>'), r"a reference \('href'\)"),
    ("reference in a silent part", svg('<defs><linearGradient xlink:href="http://example.org/"/></defs>'), r"a reference \('href'\)"),
    ("base", svg('<g xml:base="http://example.org/"/>'), "a base for references"),
    ("foreign object", svg("<foreignObject><p>x</p></foreignObject>"), "holds 'foreignObject'"),
    ("style", svg("<style>@import url(http://example.org/a.css);</style>"), "holds 'style'"),
    ("style sheet", svg(before='<?xml-stylesheet href="http://example.org/a.css"?>'), "a link to a style sheet in line 1"),
    ("url in a style", svg('<rect width="3" height="3" style="fill:url(http://example.org/#a)"/>'), "a reference in 'style'"),
    ("url in an attribute", svg('<rect width="3" height="3" filter="url(#a)"/>'), "a reference in 'filter'"),
    ("entities", BOMB + svg("<title>&b;</title>"), r"a document type \(DOCTYPE\) in line 1"),
    ("animation", svg('<rect width="3" height="3"><animate attributeName="x"/></rect>'), "holds 'animate'"),
    ("letters", svg('<text x="1" y="9">Firm</text>'), "holds 'text' in line 3"),
    ("gradient", svg("<linearGradient/>"), "holds 'linearGradient'"),
    ("see-through", svg('<rect width="3" height="3" opacity=".5"/>'), "holds 'opacity: .5'"),
    ("see-through by style", svg('<g style="fill-opacity:0.2"/>'), "holds 'fill-opacity: 0.2'"),
    ("a million dashes", svg('<path d="M0 0h40" stroke="#000" stroke-dasharray=".00001"/>'), "holds 'stroke-dasharray"),
    ("too many", svg("<g/>" * 3000), "too many elements"),
    ("too deep", svg("<g>" * 60 + "</g>" * 60), "too many elements"),
    ("too many pieces", svg(f'<path d="M0 0{"h1 h-1" * 15000}"/>'), "too many lines"),
    ("huge number", svg('<rect width="1e300" height="3"/>'), "the number 1e300"),
    ("huge sheet", svg(head='width="1e99" height="1e99"'), "the number 1e99"),
    ("no size", svg(head=""), "does not say how wide and high it is"),
    ("a needle", svg(head='viewBox="0 0 4000 1"'), "more than 12 times as long"),
    ("outside", svg('<rect x="900" width="9" height="9"/>'), "draws outside of its viewBox"),
    ("path data", svg('<path d="M0 0 L 4 banana"/>'), "path data that cannot be read"),
    ("a colour", svg('<rect width="3" height="3" fill="papaya"/>'), "the colour 'papaya'"),
    ("nothing", '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>', "draws nothing"),
    ("no SVG", "<html><svg/></html>", "is no SVG, whatever its name says"),
    ("no XML", "GIF89a", "is no SVG that can be read"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "says"), [row[1:] for row in HOSTILE], ids=[row[0] for row in HOSTILE])
def test_a_hostile_drawing_is_refused_by_name(text, says):
    """What acts, fetches, is huge or looks another way elsewhere is named with its line; nothing of it is drawn."""
    with pytest.raises(Unfit, match=says) as told:
        clean_svg(text.encode(), "look/logo.svg")
    assert told.value.hint


def test_the_message_stands_at_the_line_of_the_profile(tmp_path):
    """The place is that of the value in the profile; what in the file is not allowed is in the message."""
    problem = only(looked(tmp_path, "look: {logo: look/bad.svg}", bad__svg=svg("<script/>").encode()))
    line = (SITES / DEMO / "profile.yaml").read_text(encoding="utf-8").splitlines()[problem.line - 1]
    assert (problem.path, line[problem.column - 1 - len("look: {logo: ") :].startswith("look: {")) == ("document.look.logo", True)
    assert problem.message == "'look/bad.svg' holds 'script' in line 3"


def test_what_is_left_of_a_drawing_is_shapes_alone():
    """Notes of a drawing program, comments, titles and ids are not in what is drawn again; colours from styles are."""
    noisy = svg(
        '<!-- by E. Xample --><metadata><secret xmlns="urn:x">path of a disk</secret></metadata><g id="a" class="b">'
        '<path d="M1 1h4v4z" style="fill:#abcdef;stroke:none;-note:x" data-x="y"/></g><defs><linearGradient id="unused"/></defs>'
    )
    art = clean_svg(noisy.encode(), "logo.svg")
    drawn = logo_svg(Logo(art.width, art.height, art=art))
    assert set(re.findall(r"[a-zA-Z-]+(?==)", drawn)) == {"xmlns", "width", "height", "viewBox", "d", "fill"}
    assert re.findall(r'fill="([^"]+)"', drawn) == ["#123456", "#abcdef"]
    assert (art.width, art.height) == (1000.0, 500.0)


@pytest.mark.parametrize("turn", [0, 30, 77])
@pytest.mark.parametrize("flags", ["0 0", "0 1", "1 0", "1 1"])
def test_points_of_an_arc_lie_on_its_circle(turn, flags):
    """Each end of a curve that stands for an arc is as far from the center as the radius, within a thousandth."""
    ((start, pieces, _),) = clean_svg(svg(f'<path d="M20 5A8 8 {turn} {flags} 24 13"/>').encode(), "x.svg").shapes[1].runs
    points = [start, *(end for *_, end in pieces)]
    assert points[-1] == pytest.approx((600, 325))
    middles = [
        tuple((a[i] + 3 * b[i] + 3 * c[i] + d[i]) / 8 for i in (0, 1)) for a, (b, c, d) in zip(points, pieces, strict=False)
    ]
    (x1, y1), (x2, y2) = points[0], points[-1]
    centers = [
        ((x1 + x2) / 2 + side * (y2 - y1) * h, (y1 + y2) / 2 - side * (x2 - x1) * h)
        for side in (1, -1)
        for h in [(200**2 - ((x2 - x1) ** 2 + (y2 - y1) ** 2) / 4) ** 0.5 / ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5]
    ]
    off = [max(abs(((x - cx) ** 2 + (y - cy) ** 2) ** 0.5 - 200) for x, y in (*points, *middles)) for cx, cy in centers]
    assert min(off) < 0.2


# pictures


def test_a_picture_keeps_its_pixels_and_nothing_else():
    """Text, places, times, moving pictures and what stands behind the end are dropped; the packed pixels stay as they are."""
    noisy = png(extra=[(b"tEXt", b"Author\0E. Xample"), (b"eXIf", b"II*\0place"), (b"acTL", bytes(8))], after=b"PK\3\4 hidden")
    clean, width, height = clean_png(noisy, "a.png")
    assert (clean, width, height) == (png(), 4, 3)


def test_an_interlaced_picture_and_one_with_a_palette_are_taken():
    """Every kind that a PNG may have."""
    rows = b"".join(
        (b"\0" + b"\x01" * wide) * high
        for wide, high in ((1, 1), (0, 1), (1, 0), (1, 1), (2, 1), (2, 2), (4, 1))
        if wide and high
    )
    assert clean_png(png(kind=0, rows=rows, interlaced=1), "a.png")[1:] == (4, 3)
    palette = [(b"PLTE", bytes(12)), (b"tRNS", b"\0")]
    assert clean_png(png(kind=3, extra=palette), "a.png")[0] == png(kind=3, extra=palette)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (png(rows=bytes(40_000_000)), "not of the size that it says"),
        (png(width=4000, height=4000, rows=b""), "has 4000 by 4000 pixels"),
        (png(width=100_000, height=1, rows=b""), "has 100000 by 1 pixels"),
        (png(rows=b"\0"), "not of the size that it says"),
        (png(rows=(b"\x09" + bytes(12)) * 3), "a row is not coded as one"),
        (png(head=bytes(13)), "its head is none"),
        (png(extra=[(b"EVIL", b"x")]), "a part that no PNG has"),
        (png(kind=3), "a part is missing"),
        (png()[:-5], "it ends too early"),
        (png().replace(b"IDAT", b"IDAT", 1)[:-20] + b"\0" * 20, "damaged PNG"),
        (b"\x89PNG\r\n\x1a\n" + chunk(b"IEND", b""), "does not begin and end as one"),
        (b"<svg/>", "is no PNG"),
    ],
    ids=["bomb", "large", "long", "short", "filter", "head", "chunk", "palette", "cut", "sum", "empty", "other"],
)  # fmt: skip
def test_a_hostile_picture_is_refused(data, says):
    """A picture that unpacks to more than it says, is too large, or is damaged."""
    with pytest.raises(Unfit, match=says):
        clean_png(data, "a.png")


# places


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("../other/logo.svg", "does not name a file inside the folder of the site"), ("/etc/logo.svg", "does not name a file inside"),
        ("look/../../logo.svg", "does not name a file inside"), ("look//logo.svg", "does not name a file inside"),
        ("'look\\logo.svg'", "does not name a file inside"), ("'http://example.org/logo.svg'", "does not name a file inside"),
        (".hidden/logo.svg", "does not name a file inside"), ("look/linked.svg", "is or lies behind a link"), ("behind/logo.svg", "is or lies behind a link"),
        ("look/folder.svg", "is no file|cannot be read"), ("look/none.svg", "there is no file"), ("look/empty.svg", "is empty"),
        ("look/large.svg", "has more than 512 KiB"), ("profile.yaml", "is no PNG and no SVG"),
    ],
)  # fmt: skip
def test_a_file_lies_in_the_folder_of_the_site(tmp_path, name, says):
    """No path leads outside, no link is followed, and what is no file or too large is refused, at the line of the profile."""
    site = Path(shutil.copytree(SITES / DEMO, tmp_path / "site"))
    profile = site / "profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8").replace(GIVEN, f"look: {{logo: {name}}}"), encoding="utf-8")
    (site / "look" / "linked.svg").symlink_to(OWN / "logo.svg")
    (site / "behind").symlink_to(OWN)
    (site / "look" / "folder.svg").mkdir()
    (site / "look" / "empty.svg").write_bytes(b"")
    (site / "look" / "large.svg").write_bytes(b" " * 600_000)
    problem = only(check_site(site, AS_OF))
    assert re.search(says, problem.message)
    assert (problem.path, problem.line) == ("document.look.logo", 5)
    assert problem.hint


# colours


def luminance(colour):
    """Relative luminance by WCAG 2.2, a second time."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    return sum(
        w * (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
        for w, c in zip((0.2126, 0.7152, 0.0722), parts, strict=True)
    )


def test_a_colour_too_light_is_told_with_its_ratio_and_one_that_passes(tmp_path):
    """The message says how much there is, how much is needed, and which colour near it would do."""
    problem = only(looked(tmp_path, 'look: {heading: "#E08A00"}'))
    assert problem.message == "#E08A00 on white has a contrast of 2.69:1; text needs 4.5:1"
    near = re.search(r"#[0-9a-f]{6}", problem.hint)[0]
    assert 1.05 / (luminance(near) + 0.05) >= 4.5
    assert isinstance(looked(tmp_path / "again", f'look: {{heading: "{near}"}}'), Assessed)


@given(st.integers(0, 0xFFFFFF))
def test_the_colour_offered_passes_and_is_of_the_same_hue(number):
    """For any colour: it passes, is the one given where that passes, and differs from it in lightness alone as far as whole steps let it."""
    colour = f"#{number:06x}"
    near = nearest_dark(colour)
    assert contrast(colour) == pytest.approx(1.05 / (luminance(colour) + 0.05))
    assert contrast(near) >= 4.5
    if contrast(colour) >= 4.5:
        assert near == colour
    given_, found = ([int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in (colour, near))
    assert all(b <= a for a, b in zip(given_, found, strict=True))
    if max(found) - min(found) > 40:
        a, b = rgb_to_hls(*given_)[0], rgb_to_hls(*found)[0]
        assert min(abs(a - b), 1 - abs(a - b)) < 0.02


@pytest.mark.parametrize("written", ["red", "'#12345'", "'rgb(1,2,3)'", '"#12345g"'])
def test_a_colour_is_written_in_one_way(tmp_path, written):
    """Anything but #RRGGBB is a problem of the schema."""
    problem = only(looked(tmp_path, f"look: {{accent: {written}}}"))
    assert problem.path == "document.look.accent"


def test_a_letterhead_has_three_lines(tmp_path):
    """The fourth is told."""
    problem = only(looked(tmp_path, "look: {letterhead: [One firm, two streets, three towns, four offices]}"))
    assert problem.message == "a letterhead has at most 3 lines"


# base files

BASE = (OWN / "base.docx").read_bytes()
RELATION = '<Relationship Id="rId9" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{}" Target="{}"{}/></Relationships>'


def based(changes=(), more=()):
    """The sample base with texts of parts replaced, and parts added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(BASE)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            text = old.read(name).decode()
            for at, before, after in changes:
                assert at != name or before in text
                text = text.replace(before, after) if at == name else text
            new.writestr(name, text)
        for name, data in more:
            new.writestr(name, data)
    return out.getvalue()


def linked(kind, target, mode=""):
    return based([("word/_rels/document.xml.rels", "</Relationships>", RELATION.format(kind, target, mode))])


HEADER = "word/header1.xml"
OUTSIDE = ' TargetMode="External"'


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (based(more=[("word/vbaProject.bin", b"x")]), "holds a macro"),
        (based([("[Content_Types].xml", "wordprocessingml.document.main", "ms-word.document.macroEnabled.main")]), "holds a macro"),
        (based([("[Content_Types].xml", "document.main+xml", "template.main+xml")]), "a template or another kind of file"),
        (linked("attachedTemplate", "file:///srv/a.dotm", OUTSIDE), "links to something outside of it"),
        (linked("hyperlink", "http://example.org/", OUTSIDE), r"outside of it \(hyperlink: http://example.org/\)"),
        (linked("image", "http://example.org/a.png", OUTSIDE), "links to something outside"),
        (linked("oleObject", "embeddings/a.bin"), "holds an embedded object"),
        (linked("aFChunk", "a.html"), "holds an embedded file"),
        (linked("control", "a.xml"), "holds an active control"),
        (based([(HEADER, "<w:tab/>", '<w:fldChar w:fldCharType="begin"/><w:instrText>INCLUDE</w:instrText><w:instrText>TEXT "c:/a"</w:instrText><w:fldChar w:fldCharType="end"/>')]), "the field INCLUDETEXT"),
        (based([(HEADER, "<w:p>", '<w:p><w:fldSimple w:instr="DDEAUTO x"/>')]), "the field DDEAUTO"),
        (based([(HEADER, "<w:p>", "<w:p><w:r><w:object/></w:r>")]), "an embedded object in its header"),
        (based([("word/styles.xml", "<w:styles", '<!DOCTYPE x [<!ENTITY a "b">]><w:styles')]), "a document type"),
        (based(more=[("word/media/big.bin", bytes(9_000_000))]), "unpacks to more than"),
        (based(more=[("../evil.xml", b"<a/>")]), "a part that lies outside"),
        (based(more=[("WORD/styles.xml", b"<a/>")]), "one of them twice"),
        (based([("word/styles.xml", "</w:styles>", "")]), "is damaged"),
        (BASE[:900], "is no DOCX that can be read"),
        (based([("word/document.xml", "</w:sectPr>", "</w:sectPr><w:p/>")]), None),
    ],
    ids=["macro", "macro type", "template", "linked template", "link", "picture outside", "object", "chunk", "control", "field", "simple field",
         "object in header", "entities", "bomb", "outside", "twice", "damaged", "cut", "page not last"],
)  # fmt: skip
def test_a_hostile_base_is_refused(data, says):
    """Macros, links to the outside, objects, fields that fetch, bombs and damage; a harmless one is taken."""
    if says is None:
        clean_base(data, "b.docx")
        return
    with pytest.raises(Unfit, match=says):
        clean_base(data, "b.docx")


def bare():
    """A base with the styles that each file has, and no other."""
    return based(
        [("word/styles.xml", f'w:val="{name}', f'w:val="firm {name}') for name in ("Title", "heading", "Body Text", "caption")]
    )


@pytest.mark.parametrize("base", [BASE, bare(), None], ids=["own styles", "without ours", "of python-docx"])
def test_a_report_on_a_base_file(tmp_path, base):
    """The base decides title, headings, body text and header; what it lacks is ours by name; numbers, panels and tables are ours; the file is sound."""
    if base is None:
        out = io.BytesIO()
        Word().save(out)
        base = out.getvalue()
        clean_base(base, "b.docx")
    doc = sample("report", look=Look(base=base, lines=("Firm",)))
    data = WRITERS["docx"](doc).data
    assert docx_faults(data, tmp_path) == []
    assert WRITERS["docx"](doc).data == data
    word, theirs = Word(io.BytesIO(data)), Word(io.BytesIO(base))
    used = {p.style.name for p in word.paragraphs}
    styles = {s.name: s for s in word.styles}
    for name in ("Title", "Heading 1", "Body Text"):
        assert name in used
        if name in {s.name for s in theirs.styles}:
            assert styles[name].font.size == theirs.styles[name].font.size
            assert styles[name].font.name == theirs.styles[name].font.name
    plain = Word(io.BytesIO(WRITERS["docx"](sample("report")).data))
    assert [p.text for p in word.paragraphs] == [p.text for p in plain.paragraphs]
    numbered = word.styles["Heading 1"].element.find(".//{*}numId")
    assert numbered is not None
    heads = "".join(t.text or "" for s in word.sections for h in (s.first_page_header, s.header) for t in h._element.iter("{*}t"))
    assert ("Firm" in heads) == ("4 Wharf Street" not in heads)
    assert "DRAFT" in heads


def test_the_draft_stands_on_the_first_page_of_a_base_with_another_first_header(tmp_path):
    """A base whose first page has a header of its own does not hide the stamp there."""
    first = based([("word/document.xml", "</w:sectPr>", "<w:titlePg/></w:sectPr>")])
    word = Word(io.BytesIO(WRITERS["docx"](sample("report", look=Look(base=first))).data))
    section = word.sections[-1]
    assert section.different_first_page_header_footer
    for piece in (section.first_page_header, section.header, section.first_page_footer, section.footer):
        assert "DRAFT - NOT FOR POSTING" in "".join(t.text or "" for t in piece._element.iter("{*}t"))


# what the papers show

SIGNALS = "# Rules\n\n" + "".join(f'!!! {kind} "{kind.upper()}"\n    Keep off.\n\n' for kind in PANEL_COLOURS) + (
    "![no climbing](symbol:no-climbing) Do not climb.\n\n## Part {: #a }\n\n!!! note \"Note\"\n    Words.\n\nA **blank**{: .blank } and **flag**{: .flag }.\n"
)  # fmt: skip


@cache
def full(logo="svg"):
    """A look with all but a base file."""
    art = clean_svg((OWN / "logo.svg").read_bytes(), "logo.svg")
    shown = Logo(art.width, art.height, art=art) if logo == "svg" else Logo(4, 3, png=png())
    return Look(lines=("Firm & Sons", "1 Road <North>"), logo=shown, accent="#0b6266", heading="#7a2e0e")


def signals(layout, look):
    """A paper of a layout with every panel, a symbol, a note, a blank and a flag."""
    text = SIGNALS.replace("no-climbing", next(iter(SYMBOLS)))
    return document(text, layout=layout, contents=False, look=look, smallest_pt=12.0, most_pages=2)


def colours_in(data):
    """Every colour that the pages of a PDF paint with."""
    import pikepdf

    with pikepdf.open(io.BytesIO(data)) as opened:
        return {
            tuple(round(float(x), 3) for x in operands if not isinstance(x, pikepdf.Name))
            for page in opened.pages
            for operands, operator in pikepdf.parse_content_stream(page)
            if str(operator) in ("rg", "RG", "scn", "SCN", "sc", "SC", "g", "G", "k", "K")
        }


@pytest.mark.parametrize("layout", ["report", "poster", "card", "sign"])
def test_signals_are_never_recoloured(layout):
    """Panels, symbols, notes, flags and stamps have the same colours with a look and without, in each type; a sign is the same byte by byte."""
    plain, dressed = signals(layout, NONE), signals(layout, full("png"))
    html, worn = (WRITERS["html"](doc).data.decode() for doc in (plain, dressed))
    for found in (
        r"\.box\.\w+ \.word \{[^}]*\}",
        r'<svg class="symbol".*?</svg>',
        r"mark\.flag \{[^}]*\}",
        r"header \.stamp \{[^}]*\}",
    ):
        pattern = re.compile(found, re.DOTALL)
        assert pattern.findall(worn) == pattern.findall(html) != []
    added = worn.split("</style>")[0].removeprefix(html.split("</style>")[0])
    assert not re.search(r"\.(box|word|symbol|flag|stamp|blank|band)\b", added)
    shades, kept = ([
        (e.tag, e.get("{*}fill"), sorted(e.attrib.items()))
        for e in part(WRITERS["docx"](doc).data, "word/document.xml").iter()
        if e.tag.endswith(("}shd", "}color", "}tblBorders"))
    ] for doc in (plain, dressed))  # fmt: skip
    assert shades == kept
    before, after = (colours_in(pdf(doc).data) for doc in (plain, dressed))
    ours = {tuple(round(int(c[i : i + 2], 16) / 255, 3) for i in (1, 3, 5)) for c in ("#0b6266", "#7a2e0e")}
    assert after - before <= ours
    panels = {tuple(round(int(p.ground[i : i + 2], 16) / 255, 3) for i in (1, 3, 5)) for p in PANEL_COLOURS.values()}
    assert panels <= after | {c * 3 for c in after if len(c) == 1}
    if layout == "sign":
        assert all(WRITERS[kind](plain).data == WRITERS[kind](dressed).data for kind in ("html", "pdf", "docx"))


def test_a_base_file_does_not_recolour_signals():
    """A base that has styles called as our panels and tables are, in its own colours, does not have them used."""
    word = Word(io.BytesIO(BASE))
    for name in ("Panel Word", "Box Title", "Table Text"):
        style = word.styles.add_style(name, 1)
        style.font.color.rgb = RGBColor(0, 0xFF, 0)
    out = io.BytesIO()
    word.save(out)
    doc = signals("report", Look(base=out.getvalue()))
    made = Word(io.BytesIO(WRITERS["docx"](doc).data))
    used = {style.get(f"{W}val") for style in made.element.body.iter("{*}pStyle")}
    green = {s.style_id for s in made.styles if s.type == 1 and str(s.font.color.rgb) == "00FF00"}
    assert green
    assert not green & used
    assert not set(DECIDED) & {"Panel Word", "Box Title", "Table Text", "Flag", "Blank", "Header", "Footer"}


@pytest.mark.parametrize("logo", ["svg", "png"])
@pytest.mark.parametrize("layout", ["report", "poster", "card"])
def test_each_type_shows_the_look(tmp_path, layout, logo):
    """Logo, lines and colours stand in HTML, DOCX and PDF; files are sound and the same each time."""
    pypdf = pytest.importorskip("pypdf")
    doc = signals(layout, full(logo))
    page, word, paper = (WRITERS[kind](doc).data for kind in ("html", "docx", "pdf"))
    assert [page, word, paper] == [WRITERS[kind](doc).data for kind in ("html", "docx", "pdf")]
    assert html_faults(page) == []
    assert docx_faults(word, tmp_path) == []
    kind = "svg+xml" if logo == "svg" else "png"
    assert f'<img src="data:image/{kind};base64,'.encode() in page
    assert b'alt="Firm &amp; Sons"' in page
    assert b"1 Road &lt;North&gt;" in page
    assert b"h1, h2, h3, h4, h3.minor { color: #7a2e0e; }" in page
    with zipfile.ZipFile(io.BytesIO(word)) as archive:
        names = archive.namelist()
        heads = [archive.read(n).decode() for n in names if re.fullmatch(r"word/header\d+\.xml", n)]
        assert f"word/media/logo.{'emf' if logo == 'svg' else 'png'}" in names
        if logo == "png":
            assert archive.read("word/media/logo.png") == png()
        assert '<w:color w:val="7A2E0E"/>' in archive.read("word/styles.xml").decode()
    assert sum("r:embed" in head for head in heads) == 1
    text = pypdf.PdfReader(io.BytesIO(paper)).pages[0].extract_text()
    assert ("1 Road <North>" in text) == (layout == "report") == any("1 Road &lt;North&gt;" in head for head in heads)
    assert {(0.478, 0.18, 0.055), *([(0.043, 0.384, 0.4)] if layout != "card" else [])} <= colours_in(
        paper
    )  # a card has no rules


# the demo


@pytest.fixture(scope="module")
def bodies():
    checked = demo(DEMO)
    return all_bodies(checked.site, checked.code, checked.assessed)


def test_no_text_and_no_digest_depends_on_the_look(tmp_path, bodies):
    """With the look taken out, every body has the same digest, and every text the same words."""
    site = Path(shutil.copytree(SITES / DEMO, tmp_path / "plain"))
    profile = site / "profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8").replace(GIVEN + ", ", ""), encoding="utf-8")
    plain = check_site(site, AS_OF)
    assert isinstance(plain, Assessed)
    assert (bool(plain.look), bool(demo(DEMO).look)) == (False, True)
    other = all_bodies(plain.site, plain.code, plain.assessed)
    assert {n: {k: b.digest for k, b in v.items()} for n, v in other.items()} == {
        n: {k: b.digest for k, b in v.items()} for n, v in bodies.items()
    }


def test_pages_are_as_many_with_a_look():
    """No paper of a full demo has a page more in the PDF for it, draft or not."""
    checked = demo("pellan-creek")
    wanted = ("fall-protection-plan", "contractor-notice", "rescue-procedure", "training-outline")
    made = compose_all(checked.site, checked.code, checked.assessed, checked.happened, (), wanted=wanted, look=full())
    documents = [d for d, _ in made if d.name in wanted]
    assert len(documents) == len(wanted)
    for doc in documents:
        assert pdf(doc).pages == pdf(replace(doc, look=NONE)).pages


def test_the_files_of_a_look_are_in_the_build(tmp_path):
    """Another logo under the same name is another build, though the profile is the same; nothing of it is kept where there is no look."""
    digests = []
    for number, data in enumerate(((OWN / "logo.svg").read_bytes(), svg().encode())):
        site = Path(shutil.copytree(SITES / DEMO, tmp_path / str(number)))
        (site / "look" / "logo.svg").write_bytes(data)
        checked = check_site(site, AS_OF)
        written = render_site(checked, tmp_path / f"out{number}", ("html",), ("contractor-notice",))
        digests.append(json.loads((written.folder / "build.json").read_text(encoding="utf-8")))
    first, second = digests
    assert first["profile_sha256"] == second["profile_sha256"]
    assert first["look_sha256"].keys() == {"look/logo.svg", "look/base.docx"}
    assert first["look_sha256"]["look/logo.svg"] != second["look_sha256"]["look/logo.svg"]
    assert first["documents"] == second["documents"]
    plain = render_site(check_site(SITES / "sable-point", AS_OF), tmp_path / "plain", ("html",), ("contractor-notice",))
    assert "look_sha256" not in json.loads((plain.folder / "build.json").read_text(encoding="utf-8"))


def test_approvals_stand_when_a_look_comes(approved, tmp_path):
    """A site that was approved without a look is issued with one, and the copies of the revision show it."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    shutil.copytree(OWN, site / "look")
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    assert text.count("\ndocument:\n") == 1
    profile.write_text(text.replace("\ndocument:\n", f"\ndocument:\n  {GIVEN}\n"), encoding="utf-8")
    revision, against = issue(site, FIRST, types=("html",))
    assert not against
    assert revision is not None
    page = (site / "issued" / "rev-001" / "documents" / "contractor-notice.html").read_text(encoding="utf-8")
    assert '<img src="data:image/svg+xml;base64,' in page
    assert isinstance(check_site(site, FIRST), Assessed)  # the frozen profile is read without the files of its look


def test_nothing_of_a_client_is_in_the_package():
    """What a wheel takes in holds no picture and no DOCX but our own base; a look lies in it as a demo alone, an invented firm's."""
    wheel = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert (wheel["packages"], set(wheel["force-include"])) == (["docgen"], {"templates", "schemas", "site_profiles"})
    files = [p for folder in ("docgen", "templates", "schemas") for p in (ROOT / folder).rglob("*") if p.is_file()]
    assert [p.name for p in files if p.suffix in (".docx", ".png", ".svg", ".jpg")] == ["base.docx"]
    own = {p.read_bytes() for p in OWN.iterdir()}
    assert not any(p.read_bytes() in own for p in files if p.suffix != ".pyc")
