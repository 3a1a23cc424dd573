"""Pages of the papers as they come out: no heading at the foot of a page, no word cut, no row of a table alone, no page half empty but the last.

What is read is the PDF itself: its structure tree (ISO 32000-1, 14.7) tells headings, tables and rows with the page of each piece of text, by
pikepdf; where the text of a page ends is read by pypdf.
"""

import dataclasses
import io
from functools import cache

import pytest
from support import composed, demo

from docgen.compose.lengths import words_of
from docgen.compose.number import contents_of, number
from docgen.compose.tree import ONE_LINE, parse
from docgen.papers import outline
from docgen.papers import papers as library
from docgen.write import widths
from docgen.write.pdf import CUT, Face, render, source

CLEAN = ("harrow-ridge", "pellan-creek")
HEADINGS = {"/H1", "/H2", "/H3", "/H4"}
WHOLE = 8  # rows of a table that is not split
LEAST = 3  # rows that a longer one leaves on a page
AROUND = 30  # pt: space above a heading, and below the last line of a table
GROUPS = {"/Document", "/Part", "/Sect", "/Div", "/NonStruct"}  # hold blocks and are none
LEADS = {"/P", "/Caption", "/Strong", "/Span"}  # stand over a drawing or a table and go with it

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


@pytest.mark.parametrize(("site", "name"), [(site, name) for site, name in PAPERS if outline(name).layout == "report"])
def test_a_heading_keeps_two_lines_of_what_follows(site, name):
    """Where one line stands under a heading, what follows that line in the section begins on the same page."""
    for paper, _, data in of_kind(site, name):
        pages = [marked(page) for page in pypdf.PdfReader(io.BytesIO(data)).pages]
        found = marks(data)
        alone = []
        for (head, at), (kind, first), (after, then) in zip(found, found[1:], found[2:], strict=False):
            if (
                head not in ("/H2", "/H3")
                or kind not in ("/P", "/NonStruct", "/Div")
                or after in HEADINGS
                or not (at and first and then)
            ):
                continue
            text = "".join(pages[page].get(mark, ("", 0))[0] for page, mark in first)
            if len(text) <= ONE_LINE and then[0][0] != at[-1][0]:
                alone.append((at[-1][0] + 1, text))
        assert alone == [], paper


def test_the_number_of_a_table_stands_over_its_head_on_each_later_page():
    """A table that goes on to more pages is named there, and nowhere twice."""
    pytest.importorskip("typst")
    rows = "\n".join(f"| row {n} | words |" for n in range(120))
    text = f"# Title\n\nMany rows {{: .caption }}\n\n| A | B |\n| :-- | :-- |\n{rows}\n\nFew rows {{: .caption }}\n\n| A | B |\n| :-- | :-- |\n| one | two |\n"
    read = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(render(made(text)).data)).pages]
    assert len(read) > 2
    assert ["Table 1, continued" in page for page in read] == [False, *["row " in page for page in read[1:]]]
    assert not any("Table 2, continued" in page for page in read)


@pytest.mark.parametrize(("site", "name"), [(site, name) for site, name in PAPERS if outline(name).circle == "site"])
def test_no_word_is_cut(site, name):
    """No place is marked in the source of a paper of the site at which a word would have to break; papers for experts may hold long ids."""
    for paper, doc, _ in of_kind(site, name):
        assert CUT not in source(doc, Face(doc.type_pt)), paper


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


def marked(page):
    """Marked content of a page -> its text, and the height of its lowest line [pt]."""
    found, open_ = {}, []

    def mark(operator, operands, _cm, _tm):
        if operator in (b"BDC", b"BMC"):
            said = operands[1] if operator == b"BDC" and len(operands) > 1 else None
            open_.append(said.get("/MCID") if isinstance(said, dict) else None)
        elif operator == b"EMC" and open_:
            open_.pop()

    def note(text, cm, tm, _font, _size):
        key = next((mark for mark in reversed(open_) if mark is not None), None)
        if text.strip() and key is not None:
            was = found.get(key, ("", 1e6))
            found[key] = (was[0] + text, min(was[1], cm[5] + tm[5] * cm[3]))

    page.extract_text(visitor_operand_before=mark, visitor_text=note)
    return found


def marks(data):
    """Each structure element that is a block -> kind, page of its first text, marks on that page; in their order."""
    with pikepdf.open(io.BytesIO(data)) as opened:
        places = {page.obj.objgen: n for n, page in enumerate(opened.pages)}

        def content(node, page):
            page = places.get(node["/Pg"].objgen, page) if "/Pg" in node else page
            kids = node.get("/K", [])
            for kid in list(kids) if isinstance(kids, pikepdf.Array) else [kids]:
                if isinstance(kid, pikepdf.Dictionary) and kid.get("/Type") != "/MCR" and "/S" in kid:
                    yield from content(kid, page)
                elif isinstance(kid, pikepdf.Dictionary):
                    yield places[kid["/Pg"].objgen] if "/Pg" in kid else page, int(kid["/MCID"]) if "/MCID" in kid else None
                else:
                    yield page, int(kid)

        def top(node):
            kids = node.get("/K", [])
            for kid in list(kids) if isinstance(kids, pikepdf.Array) else [kids]:
                if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                    if str(kid["/S"]) in GROUPS:
                        yield from top(kid)
                    else:
                        yield str(kid["/S"]), list(content(kid, None))

        return list(top(opened.Root["/StructTreeRoot"]))


def needed(number, data, doc, pages):
    """What the block that begins page `number` takes [pt]: a drawing or table that is not split, with its heading, lead and caption, or a section that stands on one page.

    0 where it is none of these: then it could have begun on the page before.
    """
    sheet, lowest, section = widths.page(doc), None, False
    together = {"".join(h.itertext()).strip() for h in doc.tree.iter("h2") if "together" in h.get("class", "").split()}
    for kind, places in marks(data):
        here = [mark for page, mark in places if page == number]
        if not here and lowest is None:
            continue
        text, low = "", sheet.height
        for mark in here:
            said, height = pages[number].get(mark, ("", sheet.height))
            text, low = text + said, min(low, height)
        if kind in HEADINGS:
            whole = any(" ".join(text.split()).endswith(title) for title in together)
            if section and not whole:
                break
            section = whole
        lowest = min(lowest or sheet.height, low)
        if section:
            continue
        if kind in ("/Figure", "/Table"):
            return sheet.height - sheet.top - lowest + AROUND if {page for page, _ in places} == {number} else 0
        if kind not in HEADINGS and kind not in LEADS:
            return 0
    return sheet.height - sheet.top - lowest + AROUND if section else 0


@pytest.mark.parametrize(("site", "name"), PAPERS)
def test_no_page_is_half_empty_but_the_last(site, name):
    """Text reaches below the middle of each page but the last, unless the page that follows begins with a drawing, a table that is not split or the signatures, for which there was no room."""
    for paper, doc, data in of_kind(site, name):
        sheet = widths.page(doc)
        room = sheet.height - sheet.top - sheet.bottom
        pages = [marked(page) for page in pypdf.PdfReader(io.BytesIO(data)).pages]
        found = []
        for place, page in enumerate(pages[:-1]):
            lowest = min((height for _, height in page.values()), default=sheet.height)
            left = lowest - sheet.bottom
            if left > room / 2 and needed(place + 1, data, doc, pages) <= left:
                found.append((place + 1, round(lowest)))
        assert found == [], paper


def made(markdown):
    """A report of the site with a text of ours in place of its own."""
    base = documents("harrow-ridge")["fall-protection-plan"][0]
    tree = number(parse(markdown), base.labels)
    return dataclasses.replace(base, markdown=markdown, tree=tree, figures={})


@pytest.mark.parametrize("before", range(10, 46, 3))
def test_the_last_rows_go_over_together(before):
    """Wherever a long table meets the end of a page, at least three rows stand on either side of it."""
    pytest.importorskip("typst")
    lines = "\n\n".join(f"Line {n}." for n in range(before))
    rows = "\n".join(f"| row {n} | words |" for n in range(12))
    data = render(made(f"# Title\n\n{lines}\n\n| A | B |\n| :-- | :-- |\n{rows}\n\nEnd.\n")).data
    (table,) = (element for element, _ in walk(blocks(data)) if element[0] == "/Table")
    at = [row[1] for row in rows_of(table)]
    assert len(at) == 12
    assert len(set(at)) == 1 or min(at.count(page) for page in at) >= LEAST


def test_what_stands_together_goes_over_whole_and_is_never_cut():
    """Sections that stand on one page go to the next where there is no room; longer ones than a page run over it with all their words."""
    pytest.importorskip("typst")
    lines = "\n\n".join(f"Line {n}." for n in range(20))
    text = f"# Title\n\n{lines}\n\n## Signed {{: #signed .unnumbered .together }}\n\n"
    for count, pages in ((15, {1}), (70, None)):
        data = render(made(text + "\n\n".join(f"Word {n}." for n in range(count)) + "\n")).data
        read = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages]
        on = {number for number, page in enumerate(read) for n in range(count) if f"Word {n}." in page}
        assert sum(f"Word {n}." in page for page in read for n in range(count)) == count
        assert pages is None or on == pages, on


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


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek"])
def test_the_contents_of_a_wide_paper_stand_on_its_first_page(site):
    """The list of the engineering record is not torn over two pages: every heading in it is read on page 1."""
    document = next(
        p.document for name, p in composed(demo(site), ("pdf",), wanted=("engineering-record",)).items() if name != "index"
    )
    first = " ".join(pypdf.PdfReader(io.BytesIO(render(document).data)).pages[0].extract_text().split())
    heads = [text for _, _, text, _ in contents_of(document.tree)]
    assert len(heads) > 15
    assert [text for text in heads if text.replace("\u00a0", " ") not in first] == []


def test_words_are_counted_that_somebody_sees():
    """A caption that is not printed, an id and the words behind a drawing are no words of a sheet; a printed caption is."""
    table = "| Who | What |\n| :-- | :-- |\n| You | Stop |\n"
    assert words_of("Stop here. {: #c.a }".replace(" {", "\n{")) == 2
    assert words_of(f"Not seen at all {{: .caption .silent }}\n\n{table}") == 4
    assert words_of(f"Seen by all {{: .caption }}\n\n{table}") == 7


@pytest.mark.parametrize(("site", "name"), [("harrow-ridge", "Brandt"), ("pellan-creek", "Lindgren")])
def test_the_name_of_who_signs_is_not_cut(site, name):
    """A name too wide for its cell goes on at its no-break space, and in the middle of no word."""
    text = pypdf.PdfReader(io.BytesIO(documents(site)["hazard-certificate"][1])).pages[0].extract_text()
    assert name in text
