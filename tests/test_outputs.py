"""The demo documents as files: valid by outside tools, the same words in every type, the notice on one page."""

import copy
import io
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from office import office
from outside import docx_faults, html_faults
from support import composed, demo, papers, with_changes
from test_documents import HOSTILE
from test_write import pdf
from write.same_words import docx_blocks, html_blocks, pdf_gaps, plain, tree_blocks

from docgen.compose.document import HANGING, Document
from docgen.papers import outline
from docgen.write import WRITERS, widths

NAMES = ("fall-protection-plan", "contractor-notice", "rescue-procedure")
SITES = ("harrow-ridge", "sable-point")


@pytest.fixture(scope="module")
def demos() -> dict[str, dict[str, Document]]:
    return {site: {name: paper.document for name, paper in papers(site).items()} for site in SITES}


@pytest.mark.parametrize("site", SITES)
@pytest.mark.parametrize("name", [*NAMES, "index"])
def test_html_parses_without_an_error(demos, site, name):
    """html5lib (the parsing rules of the HTML standard) finds no error."""
    assert html_faults(WRITERS["html"](demos[site][name]).data) == []


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek", "sable-point"])
def test_docx_passes_the_open_xml_rules(site, tmp_path):
    """openxml-audit (ECMA-376 as the SDK checks it) finds nothing in any paper that is written as a DOCX, forms too."""
    made = {name: paper.document for name, paper in papers(site).items() if "docx" in outline(name).types}
    assert len(made) > 10
    assert {name: faults for name, doc in made.items() if (faults := docx_faults(WRITERS["docx"](doc).data, tmp_path))} == {}


@pytest.mark.parametrize("site", SITES)
@pytest.mark.parametrize("name", NAMES)
def test_pdf_is_sound_and_tagged(demos, site, name, tmp_path):
    """qpdf finds no error; the file is tagged (ISO 14289-1 mark) and has a structure tree with headings and tables."""
    pikepdf = pytest.importorskip("pikepdf")
    path = tmp_path / "file.pdf"
    path.write_bytes(pdf(demos[site][name]).data)
    if shutil.which("qpdf"):
        subprocess.run(["qpdf", "--check", str(path)], check=True, capture_output=True)
    with pikepdf.open(path) as file:
        assert bool(file.Root.MarkInfo.Marked)
        assert "/StructTreeRoot" in file.Root
        assert str(file.Root.Lang) == "en-US"


TWO_LINES = 2 * 1.15 * 12  # pt: room for a reader whose letters are a little wider or whose lines are a little higher


def lowest(page, above: float) -> float:
    """Height of the lowest line of a PDF's page that stands above its bottom margin [pt]."""
    heights: list[float] = []

    def note(text, cm, tm, _font, _size):
        if text.strip():
            heights.append(tm[5] * cm[3] + cm[5])

    page.extract_text(visitor_text=note)
    return min(height for height in heights if height > above)


@pytest.mark.parametrize("site", SITES)
def test_notice_is_one_page(demos, site, tmp_path):
    """The notice is exactly one page, in PDF and in DOCX through LibreOffice, with body type of at least 12 pt and room for two lines more."""
    pypdf = pytest.importorskip("pypdf")
    notice = demos[site]["contractor-notice"]
    rendered = pdf(notice)
    assert rendered.pages == 1
    assert rendered.notes == ()
    assert notice.type_pt >= 12
    pages = pypdf.PdfReader(io.BytesIO(office(WRITERS["docx"](notice).data, "pdf", tmp_path))).pages
    assert len(pages) == 1
    assert lowest(pages[0], widths.page(notice).bottom) >= widths.page(notice).bottom + TWO_LINES


@pytest.mark.parametrize("site", SITES)
@pytest.mark.parametrize("name", NAMES)
def test_the_same_words_in_all_types(demos, site, name):
    """Letters and digits are the same, block by block, in the Markdown tree, HTML, DOCX and PDF (drawings aside: see test_figures)."""
    tree = copy.deepcopy(demos[site][name].tree)
    for parent in list(tree.iter()):
        for figure in parent.findall("figure"):
            parent.remove(figure)
    doc = replace(demos[site][name], stamp="", contents=False, tree=tree)
    blocks = tree_blocks(doc.tree)
    assert html_blocks(WRITERS["html"](doc).data) == blocks
    if doc.layout in HANGING:  # what hangs names itself in its foot
        assert blocks.pop(0) == plain(doc.title)
    assert docx_blocks(WRITERS["docx"](doc).data) == blocks
    labels = {plain(e.get("data-number")) for e in doc.tree.iter() if e.get("data-number")}
    heads = {plain("".join("".join(cell.itertext()) for cell in head.iter("th"))) for head in doc.tree.iter("thead")}
    marker = re.compile(r"[0-9]{1,2}|[a-z]|[ivx]{1,4}|")
    strange = [
        gap
        for gap in pdf_gaps(pdf(doc).data, blocks, widths.page(doc))
        if gap[1] not in labels | heads and not marker.fullmatch(gap[1])
    ]
    assert strange == []


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_name_prints_literally_in_every_type(name, tmp_path):
    """A site called `A | B *c* <script>{{7*7}}` is printed so, in Markdown, HTML, DOCX and PDF."""
    pypdf, docx = pytest.importorskip("pypdf"), pytest.importorskip("docx")
    doc = composed(with_changes(demo("harrow-ridge"), {"site.name": HOSTILE}))[name].document
    wanted = plain(HOSTILE)
    assert r"A \| B \*c\* \<script>\{\{7\*7\}\}" in doc.markdown
    html = WRITERS["html"](doc).data.decode("utf-8")
    assert "<script>" not in html
    assert "A | B *c* &lt;script&gt;{{7*7}}" in html
    (tmp_path / "file.docx").write_bytes(WRITERS["docx"](doc).data)
    opened = docx.Document(str(tmp_path / "file.docx"))
    texts = [p.text for p in opened.element.body.iter() if p.tag.endswith("}t")] + [
        t.text or "" for t in opened.element.body.iter()
    ]
    assert wanted in plain("".join(dict.fromkeys(texts))) or wanted in plain("".join(texts))
    pages = pypdf.PdfReader(io.BytesIO(pdf(doc).data)).pages
    assert wanted in plain("".join(page.extract_text() for page in pages))


def test_fonts_are_ours_and_free():
    """Every font file lies beside its licence (SIL Open Font License 1.1)."""
    from docgen.resources import data_folder

    folder = Path(data_folder("templates")) / "look" / "fonts"
    assert {p.suffix for p in folder.iterdir()} == {".ttf", ".txt"}
    assert "SIL OPEN FONT LICENSE Version 1.1" in next(folder.glob("*.txt")).read_text(encoding="utf-8")
