"""Rescue procedure and rescue card: budgets, the first three lines, one decision table, what falls away, and the page where no rescue is planned."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date
from functools import cache

import plain
import pytest
from pypdf import PdfReader
from support import composed, demo, papers, with_changes

from docgen.compose import compose_all
from docgen.papers import outline
from docgen.write import WRITERS, pdf
from docgen.write.html import css_string

PICTURE = re.compile(r"!\[[^\]]*\]\(symbol:[a-z-]+\) ")
PROCEDURE, DEMOS = "rescue-procedure", ("harrow-ridge", "pellan-creek")
SILENT = re.compile(r"^.*\n\{: [^}]*\.silent[^}]*\}$|^.*\{: [^}]*\.silent[^}]*\}$", re.MULTILINE)
NIGHT = {"caller": "Ground attendant", "backup": "Shift supervisor", "guide": "Rescuer 2", "leader": "Ground attendant"}
CLOSED = {"by": "terminal-manager", "on": "2026-10-20", "reason": "The rail is being replaced"}
NO_METHOD = {"rescue.methods": []}


def cards(name):
    """The rescue cards of a demo by bay."""
    return {key.partition(".")[2]: paper.document for key, paper in papers(name).items() if key.startswith("rescue-card.")}


def visible(markdown):
    """The text without captions that are not shown."""
    return SILENT.sub("", markdown)


def text_of(changes, site="harrow-ridge", wanted=(PROCEDURE, "rescue-card.B1")):
    """Markdown of procedure and one card of a demo that was changed, with plain spaces."""
    made = composed(with_changes(demo(site), changes), ("md",))
    return [made[name].document.markdown.replace("\u00a0", " ").replace("\u2011", "-") for name in wanted]


@cache
def sizes(name, paper):
    """Pages and the sizes of type in a PDF, without the foot."""
    reader = PdfReader(io.BytesIO(pdf.render(papers(name)[paper].document).data))
    found = set()

    def seen(text, _cm, tm, _font, size):
        if text.strip():
            found.add(round(size * abs(tm[3]), 1))

    for page in reader.pages:
        page.extract_text(visitor_text=seen)
    return len(reader.pages), found


@pytest.mark.parametrize("name", DEMOS)
def test_the_procedure_keeps_its_budget(name):
    """At most 5 pages, 1,900 words, 12 pt; mean sentence of 12 words, the longest 25, grade 6 (papers.md 1 and 4)."""
    markdown = visible(papers(name)[PROCEDURE].document.markdown)
    read, budget = plain.read(markdown), outline(PROCEDURE).budget
    assert read.words <= budget.words == 1900
    assert read.mean <= 12
    assert read.longest <= 25
    assert read.grade <= 6
    pages, _ = sizes(name, PROCEDURE)
    assert pages <= budget.pages == 5
    assert papers(name)[PROCEDURE].document.type_pt >= 12


@pytest.mark.parametrize("name", DEMOS)
def test_the_card_keeps_its_budget(name):
    """One side, 170 words, sentences of 13 words, grade 4; body 20 pt, alarm words and number 36 pt."""
    for bay, card in cards(name).items():
        shown = visible(card.markdown).partition("\n")[2]  # the title does not stand on a card
        read = plain.read("# x\n" + shown)
        assert read.words - 1 <= 170, bay
        assert read.longest <= 13
        assert read.grade <= 4
        pages, found = sizes(name, f"rescue-card.{bay}")
        assert pages == 1
        assert card.type_pt >= 20
        assert max(found) >= 36, found


@pytest.mark.parametrize("name", DEMOS)
def test_the_first_three_lines_have_the_number_and_who_dials_it(name):
    """Emergency number and caller stand in the first three lines of text, on procedure and card."""
    site = demo(name).site
    for document in (papers(name)[PROCEDURE].document, *cards(name).values()):
        lines = [x for x in document.markdown.split("\n")[1:] if x.strip() and not x.startswith(("{:", "#"))][:3]
        said = " ".join(lines)
        assert site.emergency.public.number in said
        assert site.shifts[0].chain.caller.lower() in said
        assert site.emergency.radio.word in said


def rows(markdown):
    """Letter of each row of the decision table with the methods that it names."""
    found = re.findall(r"^(?:\| |!\[[^\]]*\]\(symbol:[a-z-]+\) )?\*\*([A-E]|Wind)\*\* (.*)$", markdown, re.MULTILINE)
    return {letter: re.findall(r"Method (\d)", text.split(" | ")[1] if " | " in text else text) for letter, text in found}


@pytest.mark.parametrize("name", DEMOS)
def test_card_and_procedure_have_the_same_rows(name):
    """The same letters in the same order with the same methods: both are made of the same data."""
    page = rows(papers(name)[PROCEDURE].document.markdown)
    assert list(page) == ["A", "B", "C", "D", "E", "Wind"]
    for card in cards(name).values():
        assert rows(card.markdown) == page


def test_the_questions_of_two_in_the_morning():
    """From the card alone: alarm words, number and row E in the upper half; each of the twelve once (papers.md 6)."""
    text = cards("harrow-ridge")["B1"].markdown.replace("\u00a0", " ")
    for answer in (
        "SUSPENDED WORKER", "call 911", "Anything else, or not sure? Method 2.", "Press the red stop (ladder foot).", "No answer? The shift supervisor calls.",
        "**Leads** | shift supervisor", "**Anchor** | north plate", "**Kit** | red cabinet", "**Back ring** | up to 17.4 ft", "**Set down** | ladder foot",
        "**Guide** | gate operator", "Do not cut the line",
    ):  # fmt: skip
        assert text.count(answer) == 1, answer
    reader = PdfReader(io.BytesIO(pdf.render(cards("harrow-ridge")["B1"]).data))
    heights = []

    def seen(said, cm, tm, _font, _size):
        if "WORKER" in said or "911" in said or "Anything" in said:
            heights.append(tm[5] * cm[3] + cm[5])

    reader.pages[0].extract_text(visitor_text=seen)
    assert heights
    assert min(heights) > float(reader.pages[0].mediabox.height) / 2


@pytest.mark.parametrize("name", DEMOS)
def test_what_must_not_stand_on_them(name):
    """No citation, element, finding or name on the procedure but those who sign; no minutes on the card but in D and E; no other bay."""
    text = papers(name)[PROCEDURE].document.markdown
    assert not re.search(r"CFR|\bs\. \d|finding|element|not met|serial", text, re.IGNORECASE)
    assert "RS-1" not in text
    bays = {bay.id: bay.name for bay in demo(name).site.bays}
    for key, card in cards(name).items():
        timed = [line[:5] for line in re.sub(PICTURE, "", card.markdown).split("\n") if re.search(r"\d.min\b", line)]
        assert timed == ["**D**", "**E**"]
        assert not [other for bay, other in bays.items() if bay != key and other in card.markdown]
        assert "because" not in card.markdown


def test_absent_and_false_fields_promise_nothing():
    """No straps, no defibrillator, no red stop, no meter, no gate that opens: no word of them."""
    page, card = text_of({
        "rescue.relief_straps": False, "rescue.aed": None, "bays[B1].red_stop.place": "none", "bays[B1].meter": None, "bays[B2].meter": None,
        "site.gate.opens": None, "emergency.callback": None, "rescue.self_rescue": None,
    })  # fmt: skip
    assert "traps" not in page
    assert "AED" not in page
    assert "red stop" not in card
    assert "Stop loading and all vehicles." in card
    assert "Wait for the fire service." in card
    assert "opens the gate" not in page
    assert "Call back:" not in page


def test_a_night_with_its_own_chain():
    """Another caller at night stands beside that of the other shifts, on both papers and in the first lines."""
    page, card = text_of({"shifts[2].chain": NIGHT})
    for text in (page, card):
        assert "Day and Evening: The gate operator calls" in text
        assert "Night: The attendant calls" in text
    assert "from the bay phone in sight of the person" not in page.partition("Night:")[0]


def test_a_rescuer_goes_up_only_where_there_is_an_anchor():
    """Row B sends Rescuer 1 up where an anchor holds a fall; else the method brings first aid and nobody goes up."""
    page, _ = text_of({})
    assert "Nobody goes up unattached." in page
    up, card = text_of({"bays[B1].rescue_anchors[RA-1].fall_arrest": True, "bays[B2].rescue_anchors[RA-2].fall_arrest": True})
    assert "Rescuer 1: attach, go up, give first aid there. Both stay attached. Then Method 3." in up
    assert "Rescuer 1: go up attached, give first aid. Then Method 3." in card


def test_a_method_closed_in_one_bay_is_started_in_the_other_only():
    """Without an anchor in the rail spur Method 2 is none there: row E says for each bay what is started."""
    page, card = text_of({"bays[B2].rescue_anchors": []}, wanted=(PROCEDURE, "rescue-card.B2"))
    row = next(line for line in page.split("\n") if line.startswith("| **E**"))
    assert "Truck bay: Method 2." in row
    assert "Rail spur: Method 3." in row
    assert "Method 2" not in next(line for line in card.split("\n") if "**E**" in line)


def test_a_bay_closed_by_decision_keeps_card_and_pages():
    """Card and pages stay whole under the band: a closure never takes the rescue away."""
    page, card = text_of({"bays[B1].closed": CLOSED})
    assert "Bay closed: Truck bay. Nobody may climb there, except rescuers in a rescue.\n{: #c.closed .band }" in page
    assert card.split("\n")[2] == "Bay closed"
    assert rows(card) == rows(cards("harrow-ridge")["B1"].markdown)


@pytest.mark.parametrize("closed", [("B1",), ("B1", "B2")], ids=len)
def test_a_closed_bay_stands_at_the_head_of_each_page(closed):
    """In the text of page 1 and at the head of every later one, in PDF, DOCX and the printed HTML; the pages stay within the budget."""
    paper = composed(with_changes(demo("harrow-ridge"), {f"bays[{bay}].closed": CLOSED for bay in closed}))[PROCEDURE].document
    said = {1: "Bay closed: Truck bay", 2: "Bays closed: Truck bay and Rail spur"}
    lines = [f"{said[len(closed)]}. Nobody may climb there, except rescuers in a rescue."]
    assert paper.bands == tuple(lines)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf.render(paper).data)).pages]
    assert 1 < len(pages) <= outline(PROCEDURE).budget.pages
    assert [[page.count(line) for line in lines] for page in pages] == [[1] * len(lines)] * len(pages)
    with zipfile.ZipFile(io.BytesIO(WRITERS["docx"](paper).data)) as package:
        heads = {name: package.read(name).decode() for name in package.namelist() if re.match(r"word/header\d*\.xml", name)}
        assert "<w:titlePg" in package.read("word/document.xml").decode()
    assert sorted(sum(line in head for line in lines) for head in heads.values())[-2:] == [0, len(lines)]
    page = WRITERS["html"](paper).data.decode()
    assert all(page.count(line) == 1 for line in lines)
    assert all(css_string(line) in page.partition("@page :first")[0] for line in lines)
    assert composed(demo("harrow-ridge"), ("md",))[PROCEDURE].document.bands == ()


def test_a_gap_of_the_whole_bay_is_said_and_nothing_else():
    """No method at all: the page that says what whoever finds a person does; codes and the licensed review stay."""
    page, card = text_of(NO_METHOD)
    for text in (page, card):
        assert "no rescue is planned" in text
        assert "Go to the bay phone" in text
        assert "bring a platform or ladder under the feet and hold it" in text
        assert "except rescuers" not in text
        assert not re.search(r"Method \d", text)
    assert "This local code is applied here: Alder Flat municipal code" in page
    assert "Licensed review" in page
    off, _ = text_of({**NO_METHOD, "rescue.no_plan_step_4": {"off": True, "by": "rescue-lead", "reason": "No platform"}})
    assert "bring a platform" not in off


def test_a_gap_of_one_shift_replaces_nothing():
    """Nobody leads at night: the papers stay, and say for that shift that no rescue is ready."""
    page, card = text_of({"shifts[2].chain": {"caller": "Gate operator", "backup": "Shift supervisor", "guide": "Gate operator"}})
    for text in (page, card):
        assert "Night shift: no rescue is ready. Nobody climbs." in text
        assert "no rescue is planned" not in text


@pytest.mark.parametrize("name", ["sable-point", "thornmere", "cormorant-quay"])
def test_codes_and_review_stand_in_every_state(name):
    """The line on local codes and the block for the licensed review, also on thin and faulty sites."""
    text = papers(name)[PROCEDURE].document.markdown
    assert re.search("[Nn]o local code is applied here yet|local codes? (is|are) applied here: .+\\. The authority", text)
    assert "Licensed review" in text


def test_no_entry_and_no_day_moves_the_papers():
    """Both bear a digest: another day changes neither."""
    checked = demo("harrow-ridge", date(2026, 12, 1))
    later = {d.name: b for d, b in compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("md",))}
    for key in (PROCEDURE, "rescue-card.B1"):
        assert later[key].digest == papers("harrow-ridge")[key].body.digest
