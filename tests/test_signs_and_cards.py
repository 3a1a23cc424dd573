"""Layouts of what hangs or is carried, the symbols on it, and the band of a draft.

Outside checks: contrast by the formula of WCAG 2.2 (relative luminance), the kinds of safety signs by ISO 3864, numbers of ISO 7010 (a
list of its own below; their basis is told apart), pages and type read from the PDFs by pypdf.
"""

import dataclasses
import io
import math
import re
import xml.etree.ElementTree as ET

import pytest
from test_tree import tree
from test_write import _luminance, document, part, pdf, sample

from docgen.compose.symbols import COLOURS, FIELD, SYMBOLS, drawn
from docgen.errors import TemplateError
from docgen.resources import data_folder
from docgen.trade.legible import reading_distance, symbol_distance
from docgen.write import WRITERS
from docgen.write.base import PANEL_COLOURS
from docgen.write.emf import emf
from docgen.write.pdf import faces, source
from docgen.write.svg import symbol_svg

LINES = (
    "One person at a time.",
    "Stay behind the yellow line.",
    "Wind or ice? Come down.",
    "Tell the shift lead.",
    "Nobody rides on a load.",
)


def sign(lines, **changes):
    """A sign of some lines, each with a symbol."""
    text = '# Sign\n\n!!! warning "WARNING"\n    ![an edge](symbol:drop-edge) You can fall here.\n\n'
    text += "".join(f"![picture](symbol:storm) {LINES[i % len(LINES)]}\n\n" for i in range(lines))
    return document(text, **{"layout": "sign", "contents": False, "smallest_pt": 28.0, "most_pages": 1, **changes})


CARD = """# Card

The yard is shut. {: .band }

SOMEBODY HANGS {: .alarm }

1. ![listen](symbol:listen) Call out.
2. ![line](symbol:method-lower-ground) Lower the line.

- ![edge](symbol:walkway) Stay on the walkway.
- ![stop](symbol:red-stop) Press the stop.

---
{: .cut }

- one
- two
{: .checklist }

Kept in the red box. {: .foot }

## Side two {: #two .unnumbered .newpage }

Down again.
"""


def card(**changes):
    """A card of two sides."""
    return document(
        CARD, **{"layout": "card", "paper": "half-letter", "contents": False, "smallest_pt": 12.0, "most_pages": 2, **changes}
    )


def pages(data):
    """The pages of a PDF as pypdf reads them."""
    return pytest.importorskip("pypdf").PdfReader(io.BytesIO(data)).pages


def body_type(data):
    """The type most used on the pages of a PDF, heads and feet (8 pt or less) aside."""
    sizes = {}
    for page in pages(data):

        def note(text, _cm, _tm, _font, size):
            if size > 8.5:
                sizes[round(size, 1)] = sizes.get(round(size, 1), 0) + len(text.strip())

        page.extract_text(visitor_text=note)
    return max(sizes, key=sizes.get)


def symbols(data):
    """Heights in points of the pictures of a PDF, as its structure tree has them, without the code in its foot."""
    found = []

    def walk(node):
        node = node.get_object()
        if isinstance(node, list):
            for part in node:
                walk(part)
        elif hasattr(node, "get"):
            if node.get("/S") == "/Figure" and not str(node.get("/Alt", "")).startswith("Code of this paper"):
                box = node["/A"][0].get_object()["/BBox"]
                found.append(float(box[3]) - float(box[1]))
            if "/K" in node:
                walk(node["/K"])

    walk(pytest.importorskip("pypdf").PdfReader(io.BytesIO(data)).trailer["/Root"]["/StructTreeRoot"])
    return found


def laid(doc, face):
    """Pages of a sign that is set in type and symbols of a size, as the type-setter counts them."""
    typst = pytest.importorskip("typst")
    inputs = {"size": f"{face.size:g}", "symbol": f"{face.symbol:g}"}
    fonts = str(data_folder("templates") / "look" / "fonts")
    made = typst.compile(source(doc, face).encode(), format="pdf", font_paths=[fonts], sys_inputs=inputs)
    return len(pages(made))


# layouts


def test_a_sign_takes_the_largest_type_that_fits():
    """The type shrinks as lines are added, never below the smallest; past that the sign runs over and says so."""
    found = [(written.pages, body_type(written.data), written.notes) for written in (pdf(sign(n)) for n in (2, 4, 5, 6, 14))]
    sizes = [size for count, size, _ in found if count == 1]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] > sizes[-1] >= 28.0
    assert found[-1][:2] == (2, 28.0)
    assert found[-1][2] == ("longer than one page: 2",)


def test_larger_type_is_worth_no_page_more():
    """A card that one page holds in its smallest type grows on that page, though it may have two: the second would hold what was left over."""
    text = "# Card\n\n" + "\n\n".join(f"Do step {n} and then look at the line." for n in range(8))
    written = pdf(document(text, layout="card", paper="half-letter", contents=False, smallest_pt=12.0, most_pages=2))
    assert written.pages == 1
    assert body_type(written.data) > 12.0


def test_the_review_block_stands_with_the_rest():
    """Where no rescue is planned the procedure is one page, with the block of the licensed reviewer on it."""
    from support import composed, demo

    written = pdf(composed(demo("sable-point"), ("pdf",), wanted=("rescue-procedure",))["rescue-procedure"].document)
    (page,) = pages(written.data)
    assert "Licensed review" in page.extract_text()


@pytest.mark.parametrize(("paper", "least"), [("letter", 28.0), ("tabloid", 40.0)])
@pytest.mark.parametrize("lines", [2, 4])
def test_one_step_more_does_not_fit(paper, least, lines):
    """Type and symbols are the last that fit: with the next ones the sign has two pages, and before them they only grow."""
    doc = sign(lines, paper=paper, smallest_pt=least)
    written = pdf(doc)
    assert written.pages == 1
    (height,) = {round(h, 1) for h in symbols(written.data)}
    steps = faces(doc)
    assert list(steps) == sorted(steps)
    at = next(i for i, face in enumerate(steps) if round(face.symbol, 1) == height)
    assert steps[at].size == body_type(written.data) >= least
    assert laid(doc, steps[at]) == 1
    assert laid(doc, steps[at + 1]) == 2


def test_symbols_and_words_of_a_sign_serve_one_distance():
    """With room enough neither is larger than the other asks: within a point of the type, both are told from as far."""
    doc = sign(1, smallest_pt=28.0)
    written = pdf(doc)
    (height,) = {round(h, 1) for h in symbols(written.data)}
    size = body_type(written.data)
    assert size > 28
    assert reading_distance(size, lit=True) <= symbol_distance(height, lit=True) <= reading_distance(size + 1.1, lit=True)


def test_under_one_huge_word_the_type_grows():
    """A sheet that is told by its word gives it all the room: with the next size as the smallest it has two pages; its symbol follows the type."""
    text = "# Shut\n\nSTAY OFF\n{: .huge }\n\n![off](symbol:no-climbing) The yard is shut.\n\n" + "Leave this sheet up.\n\n" * 4
    given = {"layout": "sign", "contents": False, "most_pages": 1}
    written = pdf(document(text, **given, smallest_pt=28.0))
    size = body_type(written.data)
    assert (written.pages, size > 28) == (1, True)
    assert symbols(written.data) == [pytest.approx(3 * size, abs=0.2)]
    assert pdf(document(text, **given, smallest_pt=size + 1)).pages == 2


def test_lines_of_a_sign_are_told_apart():
    """Between two lines with symbols stands a rule; there is none beside a line without."""
    assert source(sign(4)).count("#row-end(true)") == 3
    assert "#row-end(true)" not in source(
        document("# S\n\nOne.\n\nTwo.\n", layout="sign", contents=False, smallest_pt=28.0, most_pages=1)
    )


def test_neither_title_nor_header():
    """A sign or card prints its lines alone; what it is stands in its foot, and HTML keeps the title for whoever does not see the page."""
    text = " ".join(pages(pdf(sign(3)).data)[0].extract_text().split())
    assert "Brackwater <store>, RK-004, Sample & test, 3" in text
    assert text.count("Sample & test") == 1
    assert not re.search(r"\bSign\b", text)
    assert b"<h1>Sign</h1>" in WRITERS["html"](sign(3)).data
    both = pages(pdf(card()).data)
    assert len(both) == 2
    assert "Side two" in both[1].extract_text()


def test_classes_of_a_card():
    """Alarm words are at least 1.8 times the body and bold; the foot is small and ends the page; the band is white on dark grey, 7:1 or more."""
    import pypdf

    seen = {}

    def note(text, _cm, tm, font, size):
        if text.strip():
            seen.setdefault(text.strip(), (size, tm[5], (font or {}).get("/BaseFont", "")))

    page = pypdf.PdfReader(io.BytesIO(pdf(card(stamp="")).data)).pages[0]
    page.extract_text(visitor_text=note)
    body = seen["Call out."]
    alarm = next(v for k, v in seen.items() if "HANGS" in k)
    foot = next(v for k, v in seen.items() if "red box" in k)
    assert alarm[0] >= 1.8 * body[0] - 0.01
    assert "Bold" in alarm[2]
    assert foot[0] < body[0]
    assert foot[1] == min(y for size, y, _ in seen.values() if size > 8)
    html = WRITERS["html"](card()).data.decode()
    assert '<p class="alarm">' in html
    assert '<hr class="cut">' in html
    light, dark = _luminance("#FFFFFF"), _luminance("#333333")
    assert (light + 0.05) / (dark + 0.05) >= 7


def test_the_same_text_on_a_larger_sheet():
    """What is to hang larger too is written as a second PDF, of the larger sheet, in type of at least its own smallest; a poster alike."""
    for doc in (sign(4, large=("tabloid", 40.0)), sample("poster", large=("tabloid", 18.0))):
        small, large = pdf(doc), WRITERS["large.pdf"](doc)
        assert (small.pages, large.pages) == (1, 1)
        assert [round(float(v)) for v in pages(large.data)[0].mediabox[2:]] == [792, 1224]
        assert body_type(large.data) >= doc.large[1] > body_type(small.data) - 12
        assert "".join(pages(small.data)[0].extract_text().split()) == "".join(pages(large.data)[0].extract_text().split())
    with pytest.raises(TemplateError, match="no larger sheet"):
        WRITERS["large.pdf"](sign(4))


# the band of a draft


@pytest.mark.parametrize("kind", ["report", "poster", "sign", "card"])
def test_a_draft_bears_a_band_and_nothing_across(kind):
    """The stamp stands at head and foot of every page with its count, and no word of a page is set aslant."""
    given = {"note": "3 reasons: see worksheet"}
    doc = {"sign": lambda: sign(3, **given), "card": lambda: card(**given)}.get(kind, lambda: sample(kind, **given))()
    turned = []
    for page in pages(pdf(doc).data):
        assert page.extract_text().count("DRAFT - NOT FOR POSTING. 3 reasons: see worksheet") == 2
        page.extract_text(
            visitor_text=lambda text, cm, tm, _f, _s: (
                turned.append(text) if text.strip() and (abs(tm[1]) > 1e-6 or abs(cm[1]) > 1e-6) else None
            )
        )
    assert turned == []
    docx = WRITERS["docx"](doc).data
    for name in ("header1", "footer1"):
        assert "DRAFT - NOT FOR POSTING. 3 reasons: see worksheet" in "".join(part(docx, f"word/{name}.xml").itertext())
    bare = dataclasses.replace(doc, stamp="")
    assert not any("DRAFT" in page.extract_text() for page in pages(pdf(bare).data))


def test_the_mark_stands_in_the_last_foot_only():
    """The short digest stands once in a PDF, on its last page."""
    found = [
        "mark 58b0 9853 fc00" in page.extract_text() for page in pages(pdf(sample("report", mark="mark 58b0 9853 fc00")).data)
    ]
    assert found[-1]
    assert sum(found) == 1


def test_a_draft_takes_as_much_room_as_an_issued_text():
    """The band has room of its own, so that no line moves when a text is issued."""
    draft, issued = pdf(sign(4, note="9 reasons")), pdf(sign(4, stamp=""))
    assert body_type(draft.data) == body_type(issued.data)


# notation


def test_a_symbol_is_read_at_the_start():
    """Name and words stand on the paragraph or item; a rule may be one to cut along."""
    root = tree("![an edge](symbol:drop-edge) You can fall.\n\n- ![call](symbol:listen) Call **now**.\n\n---\n{: .cut }\n")
    paragraph, items, rule = root[1], root[2], root[3]
    assert (paragraph.get("symbol"), paragraph.get("alt"), paragraph.text) == ("drop-edge", "an edge", "You can fall.")
    assert (items[0].get("symbol"), items[0].text, items[0][0].text) == ("listen", "Call ", "now")
    assert rule.get("class") == "cut"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Stay ![an edge](symbol:drop-edge) here.", "at the start"),
        ("![](symbol:drop-edge) Stay.", "needs its words"),
        ("| a |\n|---|\n| ![an edge](symbol:drop-edge) x |", "at the start"),
    ],
)
def test_a_symbol_elsewhere_is_refused(text, told):
    """Within a sentence or a table, or without words, a symbol is an error that says where it belongs."""
    with pytest.raises(TemplateError, match=told):
        tree(text)


def test_an_unknown_symbol_is_named():
    """The error lists the symbols that there are."""
    with pytest.raises(TemplateError, match=r"no symbol 'nothing'; there are: .*storm"):
        document("# T\n\n![x](symbol:nothing) Text.\n")


def test_symbols_reach_every_type():
    """PDF and HTML draw each symbol once for each use, DOCX has a picture of it; its words are its alternative text."""
    doc = card()
    uses = [(e.get("symbol"), e.get("alt")) for e in doc.tree.iter() if e.get("symbol")]
    html = WRITERS["html"](doc).data.decode()
    assert re.findall(r'data-name="([a-z-]+)" aria-label="([^"]*)"', html) == uses
    docx = part(WRITERS["docx"](doc).data, "word/document.xml")
    assert [
        e.get("descr") for e in docx.iter("{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}docPr")
    ] == [a for _, a in uses]
    alternatives = re.findall(rb"/Alt\s*\(([^)]*)\)", pytest.importorskip("pikepdf") and _unpacked(pdf(doc).data))
    assert [a.decode() for a in alternatives] == [a for _, a in uses]


def _unpacked(data):
    import pikepdf

    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as opened:
        opened.save(out, object_stream_mode=pikepdf.ObjectStreamMode.disable, compress_streams=False)
    return out.getvalue()


# symbols

#: ISO 7010 numbers by meaning, with how each is known. None was compared with the standard itself.
NUMBERS = {
    "general-must": ("M001", "read"), "read-instructions": ("M002", "read"), "first-aid": ("E003", "read"), "emergency-phone": ("E004", "read"),
    "general-warning": ("W001", "memory"), "drop-edge": ("W008", "memory"), "electricity": ("W012", "memory"), "overhead-load": ("W015", "memory"),
    "no-access": ("P004", "memory"), "helmet": ("M014", "memory"), "harness": ("M018", "memory"), "aed": ("E010", "memory"), "stretcher": ("E013", "memory"),
    "flammable": ("W021", "memory"), "no-smoking": ("P002", "memory"), "no-climbing": ("P009", "memory"), "no-phone": ("P013", "memory"),
    "forbidden": ("P001", "memory"),
}  # fmt: skip
KINDS = {"W": "warning", "P": "forbidden", "M": "must", "E": "help"}


def _ratio(one, other):
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_numbers_of_the_standard():
    """A symbol with a number has the ground of its letter, and its basis is said; pictures of our own have none."""
    assert {s.name: (s.number, s.basis) for s in SYMBOLS.values() if s.number} == NUMBERS
    for symbol in SYMBOLS.values():
        assert symbol.kind == (KINDS[symbol.number[0]] if symbol.number else "picture")
        assert (symbol.basis == "own") == (symbol.number is None)


#: What stands on what in each kind of sign.
PAIRS = {
    "warning": ("black", "yellow"),
    "forbidden": ("red", "white"),
    "must": ("white", "blue"),
    "help": ("white", "green"),
    "picture": ("black", "white"),
}


def test_symbols_and_panels_have_the_contrast_of_signs():
    """Each color against what it stands on, and each panel's word on its ground, is 7:1 or more."""
    for symbol in SYMBOLS.values():
        ink, ground = PAIRS[symbol.kind]
        assert {ink, ground} <= {shape.colour for shape in symbol.shapes}
        assert _ratio(COLOURS[ink], COLOURS[ground]) >= 7, symbol.name
    for kind, panel in PANEL_COLOURS.items():
        assert _ratio(panel.text, panel.ground) >= 7, kind


@pytest.mark.parametrize("name", sorted(SYMBOLS))
def test_a_symbol_stands_in_its_field(name):
    """No line leaves the field, the picture fills it, and the SVG is well formed."""
    symbol = SYMBOLS[name]
    for shape in symbol.shapes:
        assert len(shape.points) >= (3 if shape.filled else 2)
        for x, y in shape.points:
            reach = max(abs(x - FIELD / 2), abs(y - FIELD / 2)) + shape.width / 2
            assert reach <= FIELD / 2 + 0.01, (name, x, y)
    xs = [x for s in symbol.shapes for x, _ in s.points]
    assert max(xs) - min(xs) >= 85
    ET.fromstring(symbol_svg(name))
    assert emf(drawn(symbol, "x", 20.0))[40:44] == b" EMF"


@pytest.mark.parametrize("name", sorted(SYMBOLS))
def test_a_symbol_keeps_its_meaning_without_color(name):
    """In black, white and grey every shape still stands out from the one under it, and no two symbols are the same."""
    drawing = drawn(SYMBOLS[name], "x", 20.0)
    assert {item.fill or item.ink for item in drawing.items} >= {"black"} or any(
        item.ink == 0.0 and item.width for item in drawing.items
    )
    assert {"white", "grey", 1.0} & {item.fill or item.ink for item in drawing.items}
    assert sum(drawn(s, "x", 20.0).items == drawing.items for s in SYMBOLS.values()) == 1


def test_a_prohibition_is_told_by_its_bar():
    """The bar of a prohibition runs from the upper left to the lower right at 45 degrees, on top of the picture."""
    for symbol in SYMBOLS.values():
        if symbol.kind == "forbidden":
            (x1, y1), (x2, y2) = symbol.shapes[-1].points
            assert math.isclose(math.degrees(math.atan2(y2 - y1, x2 - x1)), 45)
            assert symbol.shapes[-1].colour == "red"


# --- what the drawings of methods show --------------------------------------------------------------------------------------


def shown(name):
    """What each part of a picture covers, by part: left, top, right and low end."""
    parts = {}
    for shape in SYMBOLS[name].shapes:
        if shape.part:
            parts.setdefault(shape.part, []).extend(shape.points)
    return {
        part: (min(x for x, _ in at), min(y for _, y in at), max(x for x, _ in at), max(y for _, y in at))
        for part, at in parts.items()
    }


def rescuers(name):
    """How many rescuers a picture shows."""
    return len([part for part in shown(name) if part.startswith("rescuer")])


@pytest.mark.parametrize("name", [n for n in SYMBOLS if n.startswith(("method-raise", "method-lower"))])
def test_a_line_from_overhead_is_drawn_as_one(name):
    """The anchor is above who hangs, the rope goes from it down to the ring, who attaches from the ground does so with a pole that reaches the ring; as many as the method has."""
    there = shown(name)
    assert there["anchor"][3] < there["hung"][1]
    assert there["rope"][1] <= there["anchor"][3]
    ring = min(SYMBOLS[name].shapes, key=lambda s: (s.part != "hung", s.points[0][1])).points[0]
    ends = [p for s in SYMBOLS[name].shapes if s.part == "rope" for p in s.points]
    assert min(math.dist(ring, p) for p in ends) < 2
    if "-ground" in name:
        assert min(math.dist(ring, p) for s in SYMBOLS[name].shapes if s.part == "pole" for p in s.points) < 5
    else:
        assert "pole" not in there
    assert rescuers(name) == (0 if "alone" in name else 1 if name.endswith("-one") else 2)


@pytest.mark.parametrize(
    ("name", "count"), [("method-platform", 2), ("method-platform-one", 1), ("method-ladder", 2), ("method-ladder-one", 1)]
)
def test_what_is_put_under_the_feet_is_drawn_there(name, count):
    """Deck or ladder right under the feet of who hangs; on a platform the rescuers stand on its deck, inside its guardrail."""
    there = shown(name)
    feet, deck = there["hung"][3], there["deck"]
    assert 0 <= deck[1] - feet < 6
    assert deck[0] < there["hung"][0]
    assert there["hung"][2] < deck[2] + 8
    assert rescuers(name) == count
    if name.startswith("method-platform"):
        rail = there["guardrail"]
        for n in range(1, count + 1):
            person = there[f"rescuer-{n}"]
            assert rail[0] < person[0]
            assert person[2] < rail[2]
            assert person[1] < rail[1] < person[3] <= deck[1]


def test_the_other_drawings_show_what_the_row_is_about():
    """Back to the ladder: hands and a foot on it. Caught: between two things, and a cross over the pull. Hurt: lying, someone above, no rope. Outside: an engine."""
    back = shown("method-back-helped")
    assert back["ladder"][0] <= back["hung"][2] <= back["ladder"][2]
    assert (rescuers("method-back"), rescuers("method-back-helped")) == (0, 1)
    blocks = [s for s in SYMBOLS["caught"].shapes if s.part == "block" and len(s.points) == 5]
    left, right = (sorted(x for x, _ in b.points) for b in blocks)
    assert left[-1] < shown("caught")["hung"][2] < right[-1]
    assert left[-1] - shown("caught")["hung"][0] < 8
    assert right[0] - shown("caught")["hung"][2] < 8
    last = [s.part for s in SYMBOLS["caught"].shapes]
    assert last.index("cross") > last.index("pull")
    hurt = shown("hurt")["hung"]
    assert hurt[2] - hurt[0] > 3 * (hurt[3] - hurt[1])
    assert {"wheels", "ladder", "lamp"} <= set(shown("method-outside"))


def test_the_drawings_are_black_and_white_and_told_apart_when_small():
    """On a card a drawing is 0.58 in high: no stroke is under 0.8 pt there, no color is needed, and any two differ in a twentieth of the field or more."""
    names = [n for n in SYMBOLS if n in ("caught", "hurt") or n.startswith("method-")]
    for name in names:
        assert {s.colour for s in SYMBOLS[name].shapes} <= {"black", "white"}, name
        assert min(s.width for s in SYMBOLS[name].shapes if not s.filled) * 42 / FIELD >= 0.75, name
    rows = ("method-back-helped", "method-raise-ground", "method-platform", "method-ladder", "caught", "hurt", "method-outside")

    def grid(name):
        """Black or white at 50 x 50 places of the picture, in the order of drawing."""
        found = []
        for i in range(2500):
            x, y = i % 50 * 2 + 1, i // 50 * 2 + 1
            ink = False
            for s in SYMBOLS[name].shapes:
                if s.filled:
                    edges = list(zip(s.points, (*s.points[1:], s.points[0]), strict=True))
                    inside = (
                        sum((a[1] > y) != (b[1] > y) and x < (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]) + a[0] for a, b in edges)
                        % 2
                        == 1
                    )
                else:
                    inside = any(_apart((x, y), a, b) <= s.width / 2 for a, b in zip(s.points, s.points[1:], strict=False))
                if inside:
                    ink = s.colour != "white"
            found.append(ink)
        return found

    made = {name: grid(name) for name in rows}
    for i, one in enumerate(rows):
        for other in rows[i + 1 :]:
            assert sum(a != b for a, b in zip(made[one], made[other], strict=True)) > 125, (one, other)


def _apart(p, a, b):
    """How far a point is from a stretch of line."""
    long = math.dist(a, b)
    if not long:
        return math.dist(p, a)
    t = max(0.0, min(1.0, ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / long**2))
    return math.dist(p, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
