"""The writers: valid files, the same words, numbers and bytes. Checked by general tools, not by ourselves.

Outside checks: html5lib 1.1 (HTML Living Standard parse errors), openxml-audit (ISO/IEC 29500 rules), qpdf, pikepdf
(ISO 32000 syntax, structure tree), pypdf (text), LibreOffice (numbers and pages of a DOCX), fontTools (font metrics),
the contrast formula of WCAG 2.2.
"""

import dataclasses
import datetime
import hashlib
import io
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from office import office
from outside import docx_faults
from test_tree import HOSTILE, WORDS, escaped
from write.same_words import docx_blocks, html_blocks, pdf_gaps, plain, tree_blocks

from docgen.compose import lettering
from docgen.compose.document import Document
from docgen.compose.number import number
from docgen.compose.tree import BOXES, parse, words
from docgen.errors import WriteError
from docgen.resources import data_folder
from docgen.text.glyphs import without_glyph
from docgen.write import WRITERS, widths
from docgen.write.base import PANEL_COLOURS, Writer
from docgen.write.docx_base import open_base
from docgen.write.docx_body import DocxWriter
from docgen.write.html import HtmlWriter
from docgen.write.pdf import PdfUnavailable, PdfWriter

HERE = Path(__file__).parent / "write"
W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"


def document(markdown, **changes):
    """A document of the test words around some Markdown."""
    given = {
        "name": "sample", "title": "Sample & test", "language": "en-US", "site_name": "Brackwater <store>",
        "number": "RK-004", "revision": "3", "stamp": "DRAFT - NOT FOR POSTING",
        "date": datetime.date(2026, 3, 1), "paper": "letter",
        "layout": "report", "contents": True, "markdown": markdown, "tree": number(parse(markdown), WORDS),
        "labels": WORDS,
    }  # fmt: skip
    return Document(**{**given, **changes})


def sample(kind, **changes):
    """One of the two invented samples: a long plan on racking, or a notice of one page."""
    name = {"report": "racking_plan", "poster": "yard_notice"}[kind]
    return document((HERE / f"{name}.md").read_text(encoding="utf-8"), layout=kind, **changes)


KINDS = ("report", "poster")
PAPERS = ("letter", "a4")


def pdf(doc):
    """A PDF, or the test is skipped where typst is missing."""
    pytest.importorskip("typst")
    return WRITERS["pdf"](doc)


def part(data, name):
    """One parsed part of a DOCX."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return ElementTree.fromstring(archive.read(name))


# valid files


@pytest.mark.parametrize("kind", KINDS)
def test_html_has_no_parse_error(kind):
    """The page parses without any error, with language, title, landmarks and nothing loaded from elsewhere."""
    html5lib = pytest.importorskip("html5lib")
    data = WRITERS["html"](sample(kind)).data
    parser = html5lib.HTMLParser(namespaceHTMLElements=False)
    page = parser.parse(io.BytesIO(data), transport_encoding="utf-8")
    assert parser.errors == []
    assert page.get("lang") == "en-US"
    assert page.find(".//title").text == "Sample & test"
    assert [e.tag for e in page.find("body")] == ["a", "header", "main", "footer"]
    assert (page.find(".//nav") is not None) == (kind == "report")
    assert all(cell.get("scope") in ("col", "row") for cell in page.iter("th"))
    loaded = [e for e in page.iter() if e.tag in ("link", "script", "img", "iframe", "object")]
    assert loaded == []
    assert b"url(" not in data
    assert b"@import" not in data
    ids = [e.get("id") for e in page.iter() if isinstance(e.tag, str) and e.get("id")]
    assert len(ids) == len(set(ids))
    aims = [e.get("href")[1:] for e in page.iter("a") if e.get("href").startswith("#")]
    assert set(aims) <= set(ids)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("paper", PAPERS)
def test_docx_passes_the_open_xml_rules(kind, paper, tmp_path):
    """openxml-audit finds nothing; python-docx opens the file."""
    audit = pytest.importorskip("openxml_audit")
    path = tmp_path / "file.docx"
    path.write_bytes(WRITERS["docx"](sample(kind, paper=paper)).data)
    result = audit.OpenXmlValidator().validate(path)
    assert [str(error) for error in result.errors] == []
    docx = pytest.importorskip("docx")
    opened = docx.Document(str(path))
    assert opened.core_properties.author == "Brackwater <store>"
    assert opened.core_properties.created.replace(tzinfo=None) == datetime.datetime(2026, 3, 1)
    assert round(opened.sections[0].page_width.mm) == {"letter": 216, "a4": 210}[paper]


@pytest.mark.parametrize("kind", KINDS)
def test_pdf_syntax_and_marks(kind, tmp_path):
    """qpdf finds no error; the file is tagged, says PDF/UA-1, has language and title, and embeds every font."""
    path = tmp_path / "file.pdf"
    path.write_bytes(pdf(sample(kind)).data)
    if shutil.which("qpdf"):
        subprocess.run(["qpdf", "--check", str(path)], check=True, capture_output=True)
    pikepdf = pytest.importorskip("pikepdf")
    with pikepdf.open(path) as file:
        root = file.Root
        assert bool(root.MarkInfo.Marked)
        assert str(root.Lang) == "en-US"
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        with file.open_metadata() as meta:
            assert meta["pdfuaid:part"] == "1"
            assert meta["dc:title"] == "Sample & test"
        assert str(file.docinfo.CreationDate).startswith("D:20260301")
        for sheet in file.pages:
            for font in sheet.Resources.get("/Font", {}).values():
                inner = font.DescendantFonts[0] if "/DescendantFonts" in font else font
                assert any(key in inner.FontDescriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))


def _tags(node, found):
    """The tags of a structure tree; no cell spans rows or columns, since what holds rows together over a page end is taken out of it."""
    kids = node.get("/K", [])
    if "/S" in node:
        told = [told for told in node.get("/A", []) if hasattr(told, "keys")]
        assert not any("/RowSpan" in each or each.get("/ColSpan", 1) != 1 for each in told)
        found.append(str(node.S))
    for kid in kids if type(kids).__name__ == "Array" or _is_array(kids) else [kids]:
        if hasattr(kid, "keys"):
            _tags(kid, found)
    return found


def _is_array(value):
    import pikepdf

    return isinstance(value, pikepdf.Array)


def test_pdf_structure_matches_the_source():
    """The structure tree has the tables, headers, cells, headings and lists of the source, no more and no fewer."""
    pikepdf = pytest.importorskip("pikepdf")
    doc = sample("report")
    data = pdf(doc).data
    with pikepdf.open(io.BytesIO(data)) as file:
        tags = _tags(file.Root.StructTreeRoot, [])
    tree = doc.tree
    pairs = [cell for each in tree.iter("table") if each.find("thead") is None for row in each.iter("tr") for cell in row[::2]]
    heads = [
        cell for head in tree.iter("thead") for cell in head.iter("th")
    ] + pairs  # of a table without a head, the first of each pair
    cells = [
        cell
        for each in tree.iter("table")
        for cell in (*each.iter("td"), *each.iter("th"))
        if not any(cell is head for head in heads)
    ]
    assert tags.count("/Table") == len(list(tree.iter("table")))
    assert tags.count("/TH") == len(heads)
    assert tags.count("/TD") == len(cells)
    headings = {f"/H{level}": len(list(tree.iter(f"h{level}"))) for level in (1, 2, 3)}
    assert {tag: tags.count(tag) for tag in headings} == headings
    items = [item for name in ("ul", "ol") for each in tree.iter(name) for item in each]
    assert tags.count("/LBody") >= len(items)


# the same words, numbers and bytes


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_words_in_all_types(kind):
    """Letters and digits are the same, block by block, in Markdown tree, HTML, DOCX and PDF."""
    doc = sample(kind, stamp="", contents=False)
    blocks = tree_blocks(doc.tree)
    assert html_blocks(WRITERS["html"](doc).data) == blocks
    assert docx_blocks(WRITERS["docx"](doc).data) == blocks
    labels = {plain(e.get("data-number")) for e in doc.tree.iter() if e.get("data-number")}
    heads = {plain("".join("".join(cell.itertext()) for cell in head.iter("th"))) for head in doc.tree.iter("thead")}
    marker = re.compile(r"[0-9]{1,2}|[a-z]|[ivx]{1,4}|")
    strange = [
        gap for gap in pdf_gaps(pdf(doc).data, blocks, widths.page(doc))
        if gap[1] not in labels | heads and not marker.fullmatch(gap[1])
    ]  # fmt: skip
    assert strange == []


def test_markdown_is_the_text_as_it_is():
    """Plain line ends, one at the end, nothing else changed; a reference reads as the heading or caption that it leads to."""
    assert WRITERS["md"](document("# T\r\n\r\nText\n\n\n")).data == b"# T\n\nText\n"
    told = "# T\n\n## Where to stand {: #a }\n\nSee [](#a) and [](#b).\n\nReach *far* {: #b .caption }\n\n| A |\n| :-- |\n| 1 |\n"
    assert "See [Where to stand](#a) and [Reach far](#b)." in WRITERS["md"](document(told)).data.decode()


LOOKS = [(kind, paper) for kind in KINDS for paper in PAPERS]


@pytest.mark.parametrize("type_", ["md", "html", "docx", "pdf"])
def test_two_runs_give_the_same_bytes(type_, tmp_path):
    """The same document gives the same bytes twice in this process and once more in another with another hash seed."""
    render = pdf if type_ == "pdf" else WRITERS[type_]
    first = [hashlib.sha256(render(sample(kind, paper=paper)).data).hexdigest() for kind, paper in LOOKS]
    again = [hashlib.sha256(render(sample(kind, paper=paper)).data).hexdigest() for kind, paper in LOOKS]
    code = (
        "import hashlib, sys; sys.path[:0] = sys.argv[2:]\n"
        "from test_write import LOOKS, WRITERS, sample\n"
        "print(*[hashlib.sha256(WRITERS[sys.argv[1]](sample(k, paper=p)).data).hexdigest() for k, p in LOOKS])"
    )
    here = Path(__file__).parent
    other = subprocess.run([sys.executable, "-c", code, type_, str(here), str(here.parent)], check=True, text=True,
                           capture_output=True, cwd=tmp_path, env={"PYTHONHASHSEED": "7", "PATH": ""})  # fmt: skip
    assert first == again == other.stdout.split()


def _number_texts(data):
    """What Word prints before each numbered heading and clause, by the numbering part alone (ISO/IEC 29500-1, 17.9)."""
    numbering, styles, body = (part(data, f"word/{name}.xml") for name in ("numbering", "styles", "document"))
    levels = {}
    for abstract in numbering.iter(f"{W}abstractNum"):
        for level in abstract.iter(f"{W}lvl"):
            key = (abstract.get(f"{W}abstractNumId"), int(level.get(f"{W}ilvl")))
            levels[key] = (level.find(f"{W}numFmt").get(f"{W}val"), level.find(f"{W}lvlText").get(f"{W}val"))
    chains = {num.get(f"{W}numId"): num.find(f"{W}abstractNumId").get(f"{W}val") for num in numbering.iter(f"{W}num")}

    def own(properties):
        found = properties.find(f"{W}numPr") if properties is not None else None
        if found is None:
            return None
        level = found.find(f"{W}ilvl")
        return found.find(f"{W}numId").get(f"{W}val"), int(level.get(f"{W}val")) if level is not None else 0

    of_style = {style.get(f"{W}styleId"): own(style.find(f"{W}pPr")) for style in styles.iter(f"{W}style")}
    counters = {}
    shown = []
    for para in body.iter(f"{W}p"):
        properties = para.find(f"{W}pPr")
        name = properties.find(f"{W}pStyle").get(f"{W}val")
        if name not in ("Heading1", "Heading2", "Clause"):
            continue
        chain, level = own(properties) or of_style[name]
        if chain == "0":
            continue
        abstract = chains[chain]
        counts = counters.setdefault(abstract, [0] * 9)
        counts[level] += 1
        counts[level + 1 :] = [0] * (8 - level)

        def figure(match, abstract=abstract, counts=counts):
            at = int(match.group(1)) - 1
            return chr(64 + counts[at]) if levels[abstract, at][0] == "upperLetter" else str(counts[at])

        shown.append(re.sub(r"%(\d)", figure, levels[abstract, level][1]).strip())
    return shown


@pytest.mark.parametrize("kind", KINDS)
def test_word_numbers_are_ours(kind):
    """Word's own numbering counts to the numbers that HTML and PDF print."""
    doc = sample(kind)
    ours = [e.get("data-number") for e in doc.tree if e.tag in ("h2", "h3", "p") and e.get("data-number")]
    assert _number_texts(WRITERS["docx"](doc).data) == ours


def test_office_numbers_are_ours(tmp_path):
    """LibreOffice, turning the DOCX into text, prints the same numbers before the same words."""
    doc = sample("report", contents=False)
    text = office(WRITERS["docx"](doc).data, "txt:Text (encoded):UTF8", tmp_path).decode("utf-8-sig")
    lines = [" ".join(line.split()) for line in text.splitlines()]
    at = 0
    for element in doc.tree:
        label = element.get("data-number")
        if label and element.tag in ("h2", "h3", "p"):
            start = f"{label} {words(element)}"[:50]
            at = next((i for i in range(at, len(lines)) if lines[i].startswith(start)), None)
            assert at is not None, f"LibreOffice does not print '{start}'"


def test_what_is_signed_is_a_content_control():
    """ECMA-376 part 1, 17.5.2: structured document tags with an id of their own, around runs inside a paragraph."""
    text = (
        "# A sheet\n\n## Signed\n\nReview {: .caption .form }\n\n| | |\n| :-- | :-- |\n| Name | A. Weir |\n| Date | **date**{: .blank } |\n\n"
        "Issue {: .caption .signature .silent }\n\n| By | Signature |\n| :-- | :-- |\n| gate | |\n\n"
        "A line to fill in: **who**{: .blank }\n\n| Part | Limit |\n| :-- | --: |\n| rail | **limit**{: .blank } |\n"
    )
    body = part(WRITERS["docx"](document(text, contents=False)).data, "word/document.xml")
    controls = [c for p in body.iter(f"{W}p") for c in p.findall(f"{W}sdt")]
    assert len(controls) == len(list(body.iter(f"{W}sdt")))
    assert [c.find(f"{W}sdtPr/{W}alias").get(f"{W}val") for c in controls] == ["date", "gate: Signature"]
    assert len({c.find(f"{W}sdtPr/{W}id").get(f"{W}val") for c in controls}) == 2
    assert all(c.find(f"{W}sdtContent/{W}r") is not None for c in controls)


TO_FILL = """# A sheet

Harness H-1: □ fits □ does not fit

- Gate shut
- Brake set
{: .checklist }

Log {: .caption .form .silent }

| Name | Day | Seen | Name | Day |
| :-- | :-- | :-- | :-- | :-- |
| A. Weir | | □ yes □ no | | |
| | | \u00a0\u00a0\u00a0\u00a0 | B. Holt | |

Facts {: .caption .form .silent }

| | |
| :-- | :-- |
| Date | |
| Where | |
"""
W14 = "{http://schemas.microsoft.com/office/word/2010/wordml}"


def _controls(data):
    """(name, kind) of each content control, in order; the placeholder stands where text is typed, and a name of its own on each."""
    found = []
    for control in part(data, "word/document.xml").iter(f"{W}sdt"):
        known = control.find(f"{W}sdtPr")
        kinds = [k for k in ("text", "date") if known.find(f"{W}{k}") is not None]
        kinds += ["tick"] if known.find(f"{W14}checkbox") is not None else []
        assert len(kinds) == 1
        assert (known.find(f"{W}showingPlcHdr") is None) == (kinds == ["tick"])
        found.append((known.find(f"{W}alias").get(f"{W}val"), kinds[0]))
    return found


def test_each_place_for_the_hand_is_a_control_that_says_what_belongs_there():
    """Text, day or tick, named after the row and the column; of columns that are repeated by the nearest head of a row."""
    data = WRITERS["docx"](document(TO_FILL, contents=False)).data
    assert _controls(data) == [
        ("fits", "tick"), ("does not fit", "tick"), ("Gate shut", "tick"), ("Brake set", "tick"),
        ("A. Weir: Day", "date"), ("yes", "tick"), ("no", "tick"), ("Name 1", "text"), ("Day 1", "date"),
        ("Name 2", "text"), ("Day 2", "date"), ("Seen 2", "text"), ("B. Holt: Day", "date"),
        ("Date", "date"), ("Where", "text"),
    ]  # fmt: skip
    controls = list(part(data, "word/document.xml").iter(f"{W}sdt"))
    assert len({c.find(f"{W}sdtPr/{W}tag").get(f"{W}val") for c in controls}) == len(controls)


def test_a_box_to_tick_is_a_square_that_the_papers_font_has():
    """Empty in print; ticked it is full: both states are signs of the shipped font, as the text in the box is."""
    controls = part(WRITERS["docx"](document(TO_FILL, contents=False)).data, "word/document.xml").iter(f"{W}sdt")
    boxes = [(c, c.find(f"{W}sdtPr/{W14}checkbox")) for c in controls if c.find(f"{W}sdtPr/{W14}checkbox") is not None]
    for control, box in boxes:
        signs = [chr(int(box.find(f"{W14}{state}State").get(f"{W14}val"), 16)) for state in ("unchecked", "checked")]
        assert without_glyph("".join(signs)) == ()
        assert "".join(t.text for t in control.iter(f"{W}t")) == signs[0]
        assert box.find(f"{W14}checked").get(f"{W14}val") == "0"


def test_a_form_passes_the_open_xml_rules_and_names_what_older_programs_pass_by(tmp_path):
    """openxml-audit finds nothing; the namespace of the check boxes is declared at the root and ignorable (ECMA-376 part 3, 7.2)."""
    data = WRITERS["docx"](document(TO_FILL, contents=False)).data
    assert docx_faults(data, tmp_path) == []
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        head = archive.read("word/document.xml").partition(b"<w:body")[0].decode()
    assert f'xmlns:w14="{W14[1:-1]}"' in head
    root = part(data, "word/document.xml")
    assert "w14" in root.get("{http://schemas.openxmlformats.org/markup-compatibility/2006}Ignorable").split()


def test_office_prints_a_form_with_its_lines_and_boxes(tmp_path):
    """What LibreOffice sets of the form has every box, no words of a placeholder, and the borders of the cells to write in."""
    pypdf = pytest.importorskip("pypdf")
    pdf_data = office(WRITERS["docx"](document(TO_FILL, contents=False)).data, "pdf", tmp_path)
    page_ = pypdf.PdfReader(io.BytesIO(pdf_data)).pages[0]
    text = page_.extract_text()
    assert text.count("□") == 6
    assert "click" not in text.casefold()
    assert len(re.findall(rb"\b(?:l|re)\b", page_.get_contents().get_data())) >= 20


def test_ordered_lists_begin_anew():
    """Each ordered list has a numbering instance of its own that starts at its own first number."""
    doc = document("# T\n\n1. a\n2. b\n    1. c\n\nText\n\n1. d\n\nText\n\n5. e\n")
    data = WRITERS["docx"](doc).data
    used = [p.find(f"{W}pPr/{W}numPr/{W}numId").get(f"{W}val") for p in part(data, "word/document.xml").iter(f"{W}p")
            if p.find(f"{W}pPr/{W}pStyle").get(f"{W}val") == "ListNumber"]  # fmt: skip
    assert used == ["5", "5", "6", "7", "8"]
    starts = [start.get(f"{W}val") for start in part(data, "word/numbering.xml").iter(f"{W}startOverride")]
    assert starts == ["1", "1", "1", "5"]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_prints_literally(text):
    """Text that looks like markup of any of the types comes out as it went in, in a paragraph, a cell and a heading."""
    text = "".join(c for c in text if c >= " ")
    mark = escaped(text)
    doc = document(f"# {mark}\n\n{mark}\n\n| a | b |\n|---|---|\n| {mark} | x |\n", stamp="", title=text, site_name=text,
                   number=text, contents=False)  # fmt: skip
    wanted = " ".join(text.split())
    html5lib = pytest.importorskip("html5lib")
    page = html5lib.parse(WRITERS["html"](doc).data, namespaceHTMLElements=False)
    main = page.find(".//main")
    shown = [main.find("h1"), main.find("p"), main.find(".//td")]
    assert [" ".join("".join(e.itertext()).split()) for e in shown] == [wanted] * 3
    assert page.find(".//title").text.split() == text.split()
    paras = [" ".join("".join(t.text for t in p.iter(f"{W}t")).split())
             for p in part(WRITERS["docx"](doc).data, "word/document.xml").iter(f"{W}p")]  # fmt: skip
    assert paras.count(wanted) == 3
    reader = pytest.importorskip("pypdf").PdfReader(io.BytesIO(pdf(doc).data))
    seen = "".join(sheet.extract_text() for sheet in reader.pages)
    squeezed = re.sub(r"\s", "", seen)
    assert squeezed.count(re.sub(r"\s", "", wanted)) >= 3
    assert reader.metadata.title == text


# the page


@pytest.mark.parametrize("paper", PAPERS)
def test_poster_is_one_page(paper, tmp_path):
    """The notice fills one page in the PDF, and the DOCX is one page in LibreOffice."""
    pypdf = pytest.importorskip("pypdf")
    doc = sample("poster", paper=paper)
    written = pdf(doc)
    assert (written.pages, written.notes) == (1, ())
    assert len(pypdf.PdfReader(io.BytesIO(written.data)).pages) == 1
    assert len(pypdf.PdfReader(io.BytesIO(office(WRITERS["docx"](doc).data, "pdf", tmp_path))).pages) == 1


def _type_size(data):
    """Most used type size in a PDF [pt]."""
    import pypdf

    sizes = {}
    for sheet in pypdf.PdfReader(io.BytesIO(data)).pages:

        def note(text, _cm, _tm, _font, size):
            sizes[round(size, 1)] = sizes.get(round(size, 1), 0) + len(text.strip())

        sheet.extract_text(visitor_text=note)
    return max(sizes, key=sizes.get)


def test_poster_takes_the_largest_type_that_fits():
    """As a notice grows its type shrinks from 15 to 12 pt; past that it runs over, says so and is still written."""
    line = "Nobody walks under a lifted load, and nobody lifts a load over a walkway while somebody is on it today."
    found = []
    for lines in range(5, 30):
        written = pdf(document("# Notice\n\n" + f"{line}\n\n" * lines, layout="poster"))
        assert written.notes == (() if written.pages == 1 else (f"longer than one page: {written.pages}",))
        found.append((_type_size(written.data), written.pages))
    sizes = [size for size, pages in found if pages == 1]
    assert sizes == sorted(sizes, reverse=True)
    assert {15.0, 14.0, 13.0, 12.0} <= set(sizes) <= {15.0, 14.0, 13.0, 12.5, 12.0}
    assert found[len(sizes) :] == [(12.0, 2)] * (len(found) - len(sizes))
    assert len(sizes) < len(found)


def test_report_pages_are_counted():
    """The page count given is that of the file, and the long sample is long."""
    pypdf = pytest.importorskip("pypdf")
    written = pdf(sample("report"))
    assert written.pages == len(pypdf.PdfReader(io.BytesIO(written.data)).pages) >= 12


def test_header_rows_repeat():
    """Every header row is marked to repeat in DOCX (w:tblHeader), and stands on each page of the PDF's long table."""
    doc = sample("report", stamp="")
    body = part(WRITERS["docx"](doc).data, "word/document.xml")
    marked = [row for row in body.iter(f"{W}tr") if row.find(f"{W}trPr/{W}tblHeader") is not None]
    assert len(marked) == len(list(doc.tree.iter("thead")))
    reader = pytest.importorskip("pypdf").PdfReader(io.BytesIO(pdf(doc).data))
    pages = [plain(sheet.extract_text()) for sheet in reader.pages]
    rows = [i for i, page in enumerate(pages) if re.search(r"[A-H]\d\d2026", page)]
    assert len(rows) >= 3
    assert all("BayLastseenSeenby" in pages[i] for i in rows)


def test_stamp_stands_on_every_page():
    """A stamp is in the header of each page of PDF and DOCX; without one there is no word of it, and never a watermark."""
    pypdf = pytest.importorskip("pypdf")
    pages = pypdf.PdfReader(io.BytesIO(pdf(sample("report")).data)).pages
    assert all("DRAFT - NOT FOR POSTING" in sheet.extract_text() for sheet in pages)
    stamped = ElementTree.tostring(part(WRITERS["docx"](sample("report")).data, "word/header1.xml"))
    assert b"DRAFT - NOT FOR POSTING" in stamped
    assert b"textpath" not in stamped
    bare = sample("report", stamp="")
    assert not any("DRAFT" in sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(pdf(bare).data)).pages)
    header = ElementTree.tostring(part(WRITERS["docx"](bare).data, "word/header1.xml"))
    assert b"textpath" not in header
    assert b"DRAFT" not in header
    assert b'class="stamp"' not in WRITERS["html"](bare).data


def test_every_cell_is_as_wide_as_its_column():
    """In DOCX every row has a cell for each grid column, and the columns add up to the text width."""
    doc = sample("report")
    total = round(widths.page(doc).text_width * 20)
    for table in part(WRITERS["docx"](doc).data, "word/document.xml").iter(f"{W}tbl"):
        grid = [int(column.get(f"{W}w")) for column in table.find(f"{W}tblGrid")]
        assert sum(grid) == total
        for row in table.findall(f"{W}tr"):
            assert [int(cell.find(f"{W}tcPr/{W}tcW").get(f"{W}w")) for cell in row.findall(f"{W}tc")] == grid


# widths


def test_advance_widths_are_those_of_the_font():
    """The widths of ASCII are those in the shipped font files, read by fontTools."""
    ttlib = pytest.importorskip("fontTools.ttLib")
    folder = data_folder("templates") / "look" / "fonts"
    for face, table in (("Regular", lettering.REGULAR), ("Bold", lettering.BOLD)):
        font = ttlib.TTFont(folder / f"LiberationSans-{face}.ttf")
        scale = 1000 / font["head"].unitsPerEm
        names = font.getBestCmap()
        assert table == tuple(round(font["hmtx"][names[code]][0] * scale) for code in range(32, 127))
    assert "SIL OPEN FONT LICENSE Version 1.1" in (folder / "OFL.txt").read_text(encoding="utf-8")


TABLES = {
    "all fits": "| Name | Use |\n|---|---|\n| a | b |",
    "one long column": f"| No. | What |\n|---|---|\n| 12 months | {'many words here ' * 40}|",
    "long words": f"| A | B | C |\n|---|---|---|\n| incomprehensibilities | {'word ' * 60}| {'other ' * 60}|",
    "to be signed": "T {: .caption .silent .signature }\n\n| Role | Signature | Date |\n|---|---|---|\n| Shift lead | | |",
}


@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("room", [40.0, 52.0, 60.0])
def test_no_column_is_narrower_than_its_longest_word(name, room):
    """Shares add up to one, and no word is wider than its column less the padding."""
    table = parse(f"# T\n\n{TABLES[name]}").find("table")
    columns = widths.columns(table, room, 10.0)
    assert sum(columns.shares) == pytest.approx(1)
    assert columns.scale == 1
    for row in table.iter("tr"):
        for cell, share in zip(row, columns.shares, strict=True):
            longest = max((widths.text_width(word, cell.tag == "th") for word in words(cell).split()), default=0)
            assert longest + 2 * widths.CELL_PAD <= share * room + 1e-9


def test_columns_share_by_content():
    """Short cells stay on one line, the wordy column gets the rest, a table too narrow for its words shrinks its type."""
    shares = widths.columns(parse(f"# T\n\n{TABLES['one long column']}").find("table"), 50, 10.0).shares
    assert shares[0] * 50 >= widths.text_width("12 months") + 1
    assert shares[1] > 0.8
    empty = widths.columns(parse(f"# T\n\n{TABLES['to be signed']}").find("table"), 50, 10.0).shares
    assert min(empty[1:]) * 50 >= 8
    names = [f"column{i}" for i in range(15)]
    crowded = parse("# T\n\n|" + "|".join(names) + "|\n|" + "---|" * 15 + "\n|" + "x|" * 15).find("table")
    assert widths.SMALLEST <= widths.columns(crowded, 50, 10.0).scale < 1


def test_long_words_may_break():
    """A word wider than its room gets places to break, others are left alone."""
    assert widths.soften("short words only", 20) == "short words only"
    soft = widths.soften("see " + "x" * 64, 20)
    assert soft.replace("\u200b", "") == "see " + "x" * 64
    assert max(map(len, soft.split("\u200b"))) < 40


# the walk


def docx_writer(doc):
    return DocxWriter(doc, open_base(doc))


@pytest.mark.parametrize("writer", [HtmlWriter, docx_writer, PdfWriter])
def test_unknown_elements_are_errors(writer):
    """Each writer has a method of its own for every element; what it does not know is a WriteError that names it."""
    made = writer(document("# T\n\nText\n"))
    for name in (*Writer.BLOCKS.values(), *Writer.SPANS.values()):
        assert name in vars(type(made))
    with pytest.raises(WriteError, match="'video'"):
        made.block(ElementTree.Element("video"))
    para = ElementTree.Element("p")
    ElementTree.SubElement(para, "sup")
    with pytest.raises(WriteError, match="'sup'"):
        made.block(para)


def test_every_box_is_written():
    """Each kind of box prints its title and text in every type; hazard panels carry the drawn triangle, others none."""
    body = "\n\n".join(f'!!! {kind} "{kind.upper()}"\n    Text of {kind}.' for kind in BOXES)
    doc = document(f"# T\n\n{body}\n", stamp="", contents=False)
    page = WRITERS["html"](doc).data.decode("utf-8")
    assert page.count("<svg") == 3
    body = part(WRITERS["docx"](doc).data, "word/document.xml")
    assert len(list(body.iter("{urn:schemas-microsoft-com:vml}shape"))) == 3
    assert tree_blocks(doc.tree) == html_blocks(page.encode()) == docx_blocks(WRITERS["docx"](doc).data)
    assert all(gap == "" for _, gap in pdf_gaps(pdf(doc).data, tree_blocks(doc.tree), widths.page(doc)))


def _luminance(colour):
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


#: Ratios worked out by the WCAG 2.2 formula for these grounds, independent of the program.
RATIOS = {"danger": 7.50, "warning": 8.45, "caution": 14.37, "notice": 11.85, "safety": 7.43}


def test_panels_have_contrast():
    """Signal words stand out from their ground by 7:1 or more (WCAG 2.2, 1.4.6)."""
    for kind, panel in PANEL_COLOURS.items():
        light, dark = sorted((_luminance(panel.text), _luminance(panel.ground)), reverse=True)
        ratio = (light + 0.05) / (dark + 0.05)
        assert ratio == pytest.approx(RATIOS[kind], abs=0.01)
        assert ratio >= 7


# what can go wrong


def test_pdf_without_typst(monkeypatch):
    """Where typst is not installed a PdfUnavailable says what to install."""
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(PdfUnavailable, match="typst"):
        WRITERS["pdf"](sample("poster"))


def test_sign_without_a_font():
    """A sign that no shipped font has is printed as its code point, instead of an empty box on the page."""
    assert pdf(document("# T\n\nName: 漢字\n")).data == pdf(document("# T\n\nName: [U+6F22][U+5B57]\n")).data


def test_empty_fields_leave_no_trace():
    """Without number, revision and stamp every type is still written, with nothing printed for them."""
    doc = dataclasses.replace(sample("poster"), number="", revision="", stamp="")
    assert doc.edition == ""
    assert b"revision" not in WRITERS["html"](doc).data.split(b"<main")[1]
    assert WRITERS["docx"](doc).data
    assert pdf(doc).pages == 1


# room to write, and no page for a gap alone


FORM = (
    "# T\n\n## A {: #a }\n\nSigned by {: .caption .form }\n\n| Role | Mark | Date | Signature |\n| :-- | :-- | :-- | :-- |\n"
    "| Issuing authority of the whole terminal | `0cc72c462ee5` | **date**{: .blank } | **signature**{: .blank } |\n"
)


def test_a_blank_has_room_for_its_words_and_a_hand():
    """A column of blanks is as wide as the word in its frame, and the last, for the signature, as one that is all empty."""
    table = next(document(FORM).tree.iter("table"))
    room = 34.0
    shares = widths.columns(table, room, 10.0)
    date, signature = (share * room / shares.scale for share in shares.shares[-2:])
    assert date >= widths.text_width("date") + widths.text_width(widths.BOX)
    assert signature >= widths.TO_WRITE_IN


def test_no_gap_stands_between_a_table_and_a_page_break():
    """Under a table that fills its page a gap would stand on an empty page before the next."""
    body = part(
        WRITERS["docx"](
            document(f"{FORM}\n## B {{: #b .newpage }}\n\nText.\n\n{FORM[5:].replace('#a', '#c')}\n## D {{: #d }}\n\nText.\n")
        ).data,
        "word/document.xml",
    )
    blocks = list(body.find(f"{W}body"))
    after = [blocks[i + 1] for i, block in enumerate(blocks) if block.tag == f"{W}tbl"]
    texts = ["".join(t.text or "" for t in block.iter(f"{W}t")) for block in after]
    assert texts == ["B", ""]
