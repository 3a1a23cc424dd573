"""A DOCX has the pages of its PDF, a report within one: whoever prints the one finds the same thing on the same page of the other."""

from __future__ import annotations

from io import BytesIO

import pytest
from docx import Document as Word
from office import run_office
from support import composed, demo, with_changes
from support import papers as papers_of
from test_write import document as sample

from docgen.papers import papers
from docgen.write import docx, pdf, widths
from docgen.write.pdf import LARGEST

pypdf = pytest.importorskip("pypdf")

FOOT = 39.0  # pt, the least margin at the foot of a paper that is written in both types
NUMBER = 5  # signs of the number before a heading
WRITTEN = tuple(paper.name for paper in papers() if paper.written and {"docx", "pdf"} <= set(paper.types))


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek"])
def test_a_docx_has_the_pages_of_its_pdf(site, tmp_path):
    """Every paper of two demos that is written in both types, set by LibreOffice in one call; no page ends with a heading."""
    pages, most, headings = {}, {}, {}
    for name, paper in composed(demo(site), ("docx", "pdf"), wanted=WRITTEN).items():
        if name.partition(".")[0] not in WRITTEN:  # the site page, which goes with every render
            continue
        pages[name] = pdf.render(paper.document).pages
        most[name] = 1 if paper.document.layout == "report" else 0
        headings[name] = {squeezed("".join(h.itertext())) for h in paper.document.tree if h.tag in ("h2", "h3", "h4")}
        (tmp_path / f"{name}.docx").write_bytes(docx.render(paper.document).data)
    assert {"fall-protection-plan", "engineering-record", "rescue-procedure", "legal-file"} <= set(pages)
    run_office(tmp_path, "--convert-to", "pdf", "--outdir", str(tmp_path), *(str(tmp_path / f"{name}.docx") for name in pages))
    set_by_office = {name: pypdf.PdfReader(BytesIO((tmp_path / f"{name}.pdf").read_bytes())).pages for name in pages}
    found = {name: len(sheets) for name, sheets in set_by_office.items()}
    for name, sheets in set_by_office.items():  # a page with nothing but its head and foot is an empty one
        words = [{word for word in sheet.extract_text().split() if not word.isdigit()} for sheet in sheets]
        foot = set.intersection(*words) if len(words) > 1 else set()
        assert all(told - foot - {"mark"} for told in words), name
        for sheet in sheets:
            last = squeezed(above_the_foot(sheet))
            assert not any(last.endswith(head) and len(last) - len(head) <= NUMBER for head in headings[name]), (name, last)
    assert not {name: (count, found[name]) for name, count in pages.items() if abs(found[name] - count) > most[name]}


@pytest.mark.parametrize(("site", "bay"), [("harrow-ridge", "B1"), ("harrow-ridge", "B2"), ("pellan-creek", "B2")])
def test_a_closed_bay_adds_no_page_to_a_docx(site, bay, tmp_path):
    """The line on the closed bay at the head of each page has room there: the procedure has its pages, none of them with a few lines alone."""
    shut = with_changes(
        demo(site),
        {
            f"bays[{bay}].closed": {
                "by": "terminal-manager" if site == "harrow-ridge" else "yard-manager",
                "on": "2026-10-02",
                "reason": "The rail is being replaced",
            }
        },
    )
    document = composed(shut, ("docx", "pdf"), wanted=("rescue-procedure",))["rescue-procedure"].document
    assert document.bands
    (tmp_path / "paper.docx").write_bytes(docx.render(document).data)
    run_office(tmp_path, "--convert-to", "pdf", "--outdir", str(tmp_path), str(tmp_path / "paper.docx"))
    sheets = pypdf.PdfReader(BytesIO((tmp_path / "paper.pdf").read_bytes())).pages
    assert len(sheets) == pdf.render(document).pages == 5
    assert all(document.bands[0] in " ".join(sheet.extract_text().split()) for sheet in sheets)


def squeezed(text):
    return "".join(text.split())


def above_the_foot(sheet):
    """The last line of text on a page, by its place on it; head and foot stand in the margins."""
    lines = {}

    def seen(text, _, matrix, *rest):
        if text.strip() and FOOT < matrix[5] < float(sheet.mediabox.height) - FOOT:
            lines[round(matrix[5])] = lines.get(round(matrix[5]), "") + text

    sheet.extract_text(visitor_text=seen)
    return lines[min(lines)] if lines else ""


def signed(site):
    """Each table to be signed of a site's papers, with its paper."""
    for name, paper in papers_of(site).items():
        for table in paper.document.tree.iter("table"):
            heads = ["".join(cell.itertext()) for cell in table.findall("thead/tr/*")]
            if "signed" in table.get("class", "").split() or any("signature" in head.lower() for head in heads):
                yield name, paper.document, table, heads


@pytest.mark.parametrize("site", ["harrow-ridge", "cormorant-quay", "thornmere"])
def test_a_hand_has_room_to_sign(site):
    """The last column of what is signed is empty and 1.8 in wide in DOCX and PDF, also in the largest type of what is carried."""
    found = list(signed(site))
    assert {"fall-protection-plan", "engineering-record", "rescue-procedure", "contractor-notice"} <= {name for name, *_ in found}
    for name, document, table, heads in found:
        where = (name, heads)
        assert "signed" in table.get("class", "").split(), where
        assert "ignature" in heads[-1], where
        assert not any("".join(row[-1].itertext()).strip() for row in table.findall("tbody/tr")), where
        wide = widths.page(document).text_width
        for times in (1.0, LARGEST.get(document.layout, 1.0)):
            em = document.type_pt * widths.table_type(document, "wide" in table.get("class", "")) * times
            assert widths.columns(table, wide / em, em).shares[-1] * wide >= widths.SIGNATURE_PT, (*where, em)


def test_no_prompt_stands_where_a_seal_goes():
    """The block of a licensed reviewer leaves the cell for signature and seal empty."""
    for name in ("fall-protection-plan", "engineering-record"):
        assert "| Wet signature, seal | |" in papers_of("harrow-ridge")[name].document.markdown


def test_a_table_that_is_split_keeps_three_rows_on_either_page():
    """In Word as in a PDF: the first three rows stay with the head and the last three together; between them it may be split."""
    lines = "\n".join(f"| {n} | {'words ' * 20}|" for n in range(1, 17))
    made = sample(f"# Paper\n\nRoles {{: .caption }}\n\n| No. | What |\n| --: | :-- |\n{lines}\n")
    (table,) = Word(BytesIO(docx.render(made).data)).tables
    kept = [all(p.paragraph_format.keep_with_next for cell in row.cells for p in cell.paragraphs) for row in table.rows]
    assert kept == [True, True, True, *[False] * 11, True, True, False]
