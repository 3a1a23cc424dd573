"""The two-dimensional code in the foot of what hangs: a reader that knows nothing of docgen reads it in every type, and no line moves for it.

The reader is zxing-cpp, a general one; how the code is made is checked a second time against ISO/IEC 18004 (quiet zone of 4 modules).
"""

import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from datetime import date
from xml.etree import ElementTree

import pytest
from support import papers

from docgen.papers import papers as outlines
from docgen.text.paper_code import PaperCode, read_code
from docgen.write import docx, html, pdf
from docgen.write.paper_code import code_png, code_svg
from docgen.write.widths import CODE_EDGE, CODE_QUIET, MODULE, PAPER, code_side, page

HANGING = {"contractor-notice", "bay-sign", "rescue-procedure", "rescue-card", "closure-sheet", "shift-sheet", "status-sheet"}
DPI, INCH = 200, 72
DEMOS = ("harrow-ridge", "pellan-creek", "sable-point")
needs_reader = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm of poppler-utils draws the pages")


def documents(site):
    """The papers of a demo by name, ready to be written."""
    return {name: paper.document for name, paper in papers(site).items()}


def made(site):
    """Those that bear a code."""
    return [document for document in documents(site).values() if document.code]


def pixels(page_data: bytes):
    """A page as grey pixels, out of the plain format that pdftoppm writes."""
    numpy = pytest.importorskip("numpy")
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+\d+\s", page_data)
    width, height = int(head[1]), int(head[2])
    return numpy.frombuffer(page_data[head.end() :], numpy.uint8).reshape(height, width)


def read(image) -> list[str]:
    """Each code in an image."""
    reader = pytest.importorskip("zxingcpp", reason="zxing-cpp reads the codes; install the test extra")
    return [found.text for found in reader.read_barcodes(image)]


def test_what_hangs_bears_a_code_and_nothing_else_does():
    """The table of papers says which hang; what everyone must read is among them."""
    assert {o.name for o in outlines() if o.hangs} == HANGING
    assert {o.name for o in outlines() if o.posted} <= HANGING
    for site in DEMOS:
        bearing = {d.name.partition(".")[0] for d in documents(site).values() if d.code}
        assert bearing == {d.name.partition(".")[0] for d in documents(site).values()} & HANGING
        assert bearing


@pytest.mark.parametrize("site", DEMOS)
def test_the_text_is_read_back(site):
    """Number, paper with bay, language, and draft with mark, or the day of a sheet; the words of the foot say the same."""
    for document in made(site):
        code, length = read_code(document.code)
        assert length == len(document.code)
        assert (code.number, code.paper, code.language) == (document.number.upper(), document.name.lower(), "en")
        assert code.revision is None
        if document.mark:
            assert document.mark.endswith(code.mark)
        else:
            assert code.day == document.date
            assert document.code.endswith(f"{document.date:%Y-%m-%d}")


@needs_reader
@pytest.mark.parametrize("site", DEMOS)
def test_a_general_reader_reads_every_page(site, tmp_path):
    """The last inch of each page of the PDF at 200 dpi, larger sheets too: it bears the code of its paper, and one only."""
    for document in made(site):
        for shown in (document, document.enlarged) if document.large else (document,):
            file = tmp_path / "page.pdf"
            file.write_bytes(pdf.render(shown).data)
            foot = ("-x", "0", "-y", str(round((page(shown).height - INCH) / INCH * DPI)), "-W", "4000", "-H", str(DPI))
            drawn = subprocess.run(
                ["pdftoppm", "-r", str(DPI), "-gray", *foot, str(file)], capture_output=True, check=True
            ).stdout
            starts = [m.start() for m in re.finditer(rb"P5\n\d+ \d+\n255\n", drawn)]
            assert starts
            for start, end in zip(starts, [*starts[1:], None], strict=True):
                assert read(pixels(drawn[start:end])) == [document.code], document.name


def squares(document):
    """The dark modules of the SVG, as rows of 0 and 1 with the quiet zone."""
    root = ElementTree.fromstring(code_svg(document))
    size = int(root.get("viewBox").split()[2])
    rows = [[0] * size for _ in range(size)]
    for x, y, wide in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", root[1].get("d")):
        for at in range(int(x), int(x) + int(wide)):
            rows[int(y)][at] = 1
    return rows


def test_svg_and_png_hold_the_same_modules():
    """What stands in page and PDF is what stands in the DOCX, with four white modules around it, and each is read."""
    numpy = pytest.importorskip("numpy")
    document = documents("harrow-ridge")["contractor-notice"]
    rows = squares(document)
    edge = CODE_QUIET
    assert CODE_QUIET >= 4
    assert not any(any(row) for row in (*rows[:edge], *rows[-edge:]))
    assert not any(any(row[:edge]) or any(row[-edge:]) for row in rows)
    assert any(rows[edge])
    image = numpy.kron(255 - 255 * numpy.array(rows, numpy.uint8), numpy.ones((6, 6), numpy.uint8))
    assert read(image) == [document.code]
    assert png_rows(code_png(document)) == rows


def png_rows(data: bytes):
    """One pixel of each module of a PNG of one bit."""
    import struct
    import zlib

    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    at, body, width, kind = 8, b"", 0, b""
    while at < len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        chunk = data[at + 8 : at + 8 + length]
        if kind == b"IHDR":
            width, _, depth, colours = struct.unpack(">IIBB", chunk[:10])
            assert (depth, colours) in ((1, 0), (1, 3))
        body += chunk if kind == b"IDAT" else b""
        at += 12 + length
    raw, step = zlib.decompress(body), 1 + (width + 7) // 8
    lines = [raw[n : n + step] for n in range(0, len(raw), step)]
    above = bytes(step - 1)
    for n, line in enumerate(lines):  # filters of PNG: none, and the difference to the line above
        assert line[0] in (0, 2)
        above = line[1:] if line[0] == 0 else bytes((a + b) % 256 for a, b in zip(line[1:], above, strict=True))
        lines[n] = bytes([0]) + above
    scale = 12
    return [
        [1 - (line[1 + x // 8] >> (7 - x % 8) & 1) for x in range(scale // 2, width, scale)]
        for line in lines[scale // 2 :: scale]
    ]


def test_page_and_docx_say_what_the_code_says():
    """Whoever does not see it hears its text; in the DOCX each footer has it, pinned to the sheet."""
    document = documents("harrow-ridge")["rescue-procedure"]
    page_text = html.render(document).data.decode("utf-8")
    assert f'aria-label="Code of this paper: {document.code}"' in page_text
    with zipfile.ZipFile(io.BytesIO(docx.render(document).data)) as package:
        feet = [package.read(name).decode("utf-8") for name in package.namelist() if re.fullmatch(r"word/footer\d+\.xml", name)]
        assert package.read("word/media/code.png") == code_png(document)
    told = [foot for foot in feet if f'descr="Code of this paper: {document.code}"' in foot and "wp:anchor" in foot]
    assert told
    assert len(told) == sum("Rescue procedure" in foot for foot in feet)


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek"])
def test_no_line_moves_for_it(site):
    """The text has the room that it had without the code, the code is off the edge of the sheet and beside the foot."""
    assert MODULE * 25.4 / 72 >= 0.3 - 1e-9
    for document in made(site):
        with_it, without = page(document), page(replace(document, code=""))
        assert with_it.top + with_it.bottom <= without.top + without.bottom + 1e-6
        assert code_side(document) - CODE_QUIET * MODULE + CODE_EDGE <= with_it.bottom + 1e-6
        assert code_side(document) == pytest.approx(37 * MODULE)


def test_a_long_name_takes_more_modules_and_is_read():
    """Number and bay of 60 letters, small and large, with an accent: the code grows and still says all of it."""
    numpy = pytest.importorskip("numpy")
    document = documents("harrow-ridge")["contractor-notice"]
    text = PaperCode(
        "Werk Süd / Verladung 7, Ordner HR-FP-01 (Anlagen)",
        "bay-sign.North-Truck-Bay-With-A-Long-Name",
        "en",
        12,
        "58b0 9853 fc00",
    ).text
    long = replace(document, code=text)
    assert code_side(long) > code_side(document)
    image = numpy.kron(255 - 255 * numpy.array(squares(long), numpy.uint8), numpy.ones((6, 6), numpy.uint8))
    assert read(image) == [text]
    assert page(long).bottom >= CODE_EDGE + code_side(long) - CODE_QUIET * MODULE - 1e-6
    assert page(long).bottom < PAPER["letter"][1]


TEXTS = (
    (PaperCode("HR-FP-01", "bay-sign.B1", "en", 2, "58b0 9853 fc00"), "HR-FP-01 BAY-SIGN.B1 EN REV 2 58B0 9853 FC00"),
    (
        PaperCode("HR-FP-01", "contractor-notice", "en", None, "58b0 9853 fc00"),
        "HR-FP-01 CONTRACTOR-NOTICE EN DRAFT 58B0 9853 FC00",
    ),
    (PaperCode("", "closure-sheet.B1", "fr", day=date(2026, 11, 1)), "CLOSURE-SHEET.B1 FR 2026-11-01"),
    (PaperCode("FP  7 REV 3", "shift-sheet", "en", day=date(2026, 11, 1)), "FP 7 REV 3 SHIFT-SHEET EN 2026-11-01"),
)


@pytest.mark.parametrize(("code", "text"), TEXTS, ids=[text for _, text in TEXTS])
def test_text_and_back(code, text):
    """What is written is what is read, in any letters."""
    assert code.text == text
    read_back, length = read_code(text.lower())
    assert (read_back.text, length) == (text, len(text))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "HR-FP-01",
        "HR-FP-01 BAY-SIGN.B1 EN REV 2",
        "BAY-SIGN EN REV 0 58B0 9853 FC00",
        "BAY-SIGN EN DRAFT 58B0 9853 FC0G",
        "BAY-SIGN EN 2026-13-01",
        "BAY-SIGN EN DRAFT 58B0 9853 FC00 77",
    ],
)
def test_what_is_no_code(text):
    """Half a code is none: nothing is guessed."""
    assert read_code(text) is None
