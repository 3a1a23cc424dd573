"""Pages of the papers as they come out: no heading at the foot of a page, no word cut, no row of a table alone, no page half empty but the last.

What is read is the PDF itself: its structure tree (ISO 32000-1, 14.7) tells headings, tables and rows with the page of each piece of text, by
pikepdf; where the text of a page ends is read by pypdf.
"""

import io
from functools import cache

import pytest
from support import composed, demo

from docgen.papers import outline
from docgen.papers import papers as library
from docgen.write import widths
from docgen.write.pdf import CUT, render, source

CLEAN = ("harrow-ridge", "pellan-creek")
HEADINGS = {"/H1", "/H2", "/H3", "/H4"}
WHOLE = 8  # rows of a table that is not split
LEAST = 3  # rows that a longer one leaves on a page
FOOT = 8.6  # pt: what is printed no larger and stands outside the text is a foot

pikepdf = pytest.importorskip("pikepdf")
pypdf = pytest.importorskip("pypdf")


@cache
def documents(site):
    """Every paper of a demo that is written as a PDF, with its PDF."""
    names = tuple(o.name for o in library() if o.written and o.apart is None)
    made = composed(demo(site), ("pdf",), wanted=names)
    return {name: (p.document, render(p.document).data) for name, p in made.items() if "pdf" in outline(name).types}


def blocks(data):
    """The structure elements of a PDF in their order: kind, page of its first text, page of its last, and its children."""
    with pikepdf.open(io.BytesIO(data)) as opened:
        places = {page.obj.objgen: n for n, page in enumerate(opened.pages)}

        def read(node, page):
            page = places.get(node["/Pg"].objgen, page) if "/Pg" in node else page
            kids = node.get("/K", [])
            kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
            children, seen = [], []
            for kid in kids:
                if isinstance(kid, pikepdf.Dictionary) and kid.get("/Type") != "/MCR" and "/S" in kid:
                    child = read(kid, page)
                    children.append(child)
                    seen += [p for p in child[1:3] if p is not None]
                elif isinstance(kid, pikepdf.Dictionary) and "/Pg" in kid:
                    seen.append(places[kid["/Pg"].objgen])
                elif page is not None:
                    seen.append(page)
            return (str(node["/S"]), min(seen, default=None), max(seen, default=None), children)

        root = opened.Root["/StructTreeRoot"]
        top = root["/K"]
        return [read(node, None) for node in (list(top) if isinstance(top, pikepdf.Array) else [top])]


def walk(found):
    """Every element, depth first, with those that follow it under the same one."""
    for n, element in enumerate(found):
        yield element, found[n + 1 :]
        yield from walk(element[3])


def rows_of(table):
    """The body rows of a table, each with its page."""
    for element, _ in walk(table[3]):
        if element[0] == "/TR" and not any(
            kind == "/TH" and not any(c[0] == "/TD" for c in element[3]) for kind, *_ in element[3]
        ):
            yield element


PAPERS = [
    (site, name) for site in CLEAN for name in (o.name for o in library() if o.written and o.apart is None and "pdf" in o.types)
]


def of_kind(site, name):
    """The papers of one kind at a demo: one, or one a bay."""
    return [(n, doc, data) for n, (doc, data) in documents(site).items() if n.partition(".")[0] == name]


@pytest.mark.parametrize(("site", "name"), PAPERS)
def test_no_heading_is_left_at_the_foot_of_a_page(site, name):
    """What follows a heading begins on its page."""
    for paper, _, data in of_kind(site, name):
        stranded = [
            (head[1] + 1, after[0][0]) for head, after in walk(blocks(data))
            if head[0] in HEADINGS and after and after[0][1] is not None and head[2] != after[0][1]
        ]  # fmt: skip
        assert stranded == [], paper


@pytest.mark.parametrize(("site", "name"), PAPERS)
def test_no_word_is_cut(site, name):
    """No place is marked in the source of a paper of the site at which a word would have to break; papers for experts may hold long ids."""
    if outline(name).circle != "site":
        pytest.skip("a paper for experts")
    for paper, doc, _ in of_kind(site, name):
        assert CUT not in source(doc, doc.type_pt), paper


@pytest.mark.parametrize(("site", "name"), PAPERS)
def test_no_row_of_a_table_stands_alone(site, name):
    """A table of up to eight rows stands on one page; a longer one leaves at least three rows on each."""
    for paper, _, data in of_kind(site, name):
        for element, _ in walk(blocks(data)):
            if element[0] != "/Table":
                continue
            at = [row[1] for row in rows_of(element) if row[1] is not None]
            each = {page: at.count(page) for page in at}
            if len(at) <= WHOLE:
                assert len(each) <= 1, (paper, each)
            else:
                assert len(each) <= 1 or min(each.values()) >= LEAST, (paper, each)


@pytest.mark.parametrize(("site", "name"), PAPERS)
def test_no_page_is_half_empty_but_the_last(site, name):
    """Text reaches below the middle of each page but the last; a page before a drawing, which is to scale and is not cut, may end higher."""
    for paper, doc, data in of_kind(site, name):
        sheet = widths.page(doc)
        middle = sheet.bottom + (sheet.height - sheet.top - sheet.bottom) / 2
        found = []
        drawn = {element[1] for element, _ in walk(blocks(data)) if element[0] == "/Figure"}
        for number, page in enumerate(pypdf.PdfReader(io.BytesIO(data)).pages[:-1], 1):
            lowest = [sheet.height]

            def note(text, cm, tm, _font, _size, lowest=lowest, edge=sheet.bottom):
                height = cm[5] + tm[5] * cm[3]
                if text.strip() and height > edge:
                    lowest.append(height)

            page.extract_text(visitor_text=note)
            if min(lowest) > middle and number not in drawn:
                found.append((number, round(min(lowest))))
        assert found == [], paper


def test_the_reader_of_pages_sees_faults():
    """A made-up heading without its text, a row alone and a table of four that is split are seen for what they are."""
    row = ("/TR", 1, 1, [("/TD", 1, 1, [])])
    later = ("/TR", 2, 2, [("/TD", 2, 2, [])])
    head = ("/TR", 1, 1, [("/TH", 1, 1, [])])
    table = ("/Table", 1, 2, [("/THead", 1, 1, [head]), ("/TBody", 1, 2, [row, row, row, later])])
    assert [r[1] for r in rows_of(table)] == [1, 1, 1, 2]
    assert [(h[0], after[0][1]) for h, after in walk([("/H2", 0, 0, []), ("/P", 1, 1, [])]) if h[0] in HEADINGS and after] == [
        ("/H2", 1)
    ]
