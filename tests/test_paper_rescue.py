"""Rescue procedure and rescue card: budgets, the first three lines, one decision table, what falls away, and the page where no rescue is planned."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date
from functools import cache
from itertools import pairwise

import plain
import pytest
from pypdf import PdfReader
from support import composed, demo, papers, with_changes

from docgen.compose import compose_all
from docgen.engineering.gear import before_each
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


def lines_of(page):
    """What a page of a PDF says, each piece with the height of its line [pt]."""
    found = []

    def seen(text, cm, tm, _font, _size):
        if text.strip():
            found.append((tm[5] * cm[3] + cm[5], text.strip()))

    page.extract_text(visitor_text=seen)
    return found


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
        assert site.shifts[0].chain.caller.lower() in said.lower()
        assert site.emergency.radio.word in said


def rows(markdown):
    """Letter of each row of the decision table with the methods that it names."""
    found = re.findall(r"^(?:\| |!\[[^\]]*\]\(symbol:[a-z-]+\) )?\*\*([A-E]|Wind)\*\* (.*)$", markdown, re.MULTILINE)
    return {
        letter: re.findall(r"(?:Method|then|for) (\d)", text.split(" | ")[1] if " | " in text else text) for letter, text in found
    }


@pytest.mark.parametrize("name", DEMOS)
def test_card_and_procedure_have_the_same_rows(name):
    """The same letters in the same order with the same methods: both are made of the same data."""
    page = rows(papers(name)[PROCEDURE].document.markdown)
    assert list(page) == ["A", "Wind", "B", "C", "D", "E"]
    for bay, card in cards(name).items():
        asked = [letter for letter in page if letter != "Wind" or demo(name).site.bay(bay).setting != "indoor"]
        assert rows(card.markdown) == {letter: page[letter] for letter in asked}
        assert list(rows(card.markdown)) == asked
        assert "Ask in order." in card.markdown.partition("**A**")[0]


def test_the_questions_of_two_in_the_morning():
    """From the card alone: alarm words and number in the upper half, row E in the upper three fifths; each of the twelve once (papers.md 6)."""
    text = cards("harrow-ridge")["B1"].markdown.replace("\u00a0", " ")
    for answer in (
        "SUSPENDED WORKER", "call 911", "Anything else, unsure? Method 2.", "Press red stop (ladder foot) unless A.", "No answer? Shift supervisor, who leads.",
        "**Anchor** | north plate", "**Kit** | red cabinet", "**Back ring** | up to 17.4 ft", "**Set down** | ladder foot",
        "Gate operator calls, meets ambulance.", "Never cut the line or lift with arm, crane, forks.",
    ):  # fmt: skip
        assert text.count(answer) == 1, answer
    reader = PdfReader(io.BytesIO(pdf.render(cards("harrow-ridge")["B1"]).data))
    heights = []

    def seen(said, cm, tm, _font, _size):
        if "WORKER" in said or "911" in said or "Anything" in said:
            heights.append(tm[5] * cm[3] + cm[5])

    reader.pages[0].extract_text(visitor_text=seen)
    assert heights
    page = float(reader.pages[0].mediabox.height)
    assert heights[0] > heights[1] > page / 2
    assert min(heights) > page * 0.4  # row E: the rows that it must not be asked before stand over it


def test_the_attendant_is_told_to_stay_in_one_sentence():
    """A comma before the step of the attendant only where upwind stands between commas."""
    said = {site: papers(site)[PROCEDURE].document.markdown for site in ("harrow-ridge", "pellan-creek")}
    assert "Stay in sight, upwind, until your step." in said["harrow-ridge"]
    assert "Stay in sight until your step." in said["pellan-creek"]


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
    assert "red stop" not in card + page
    assert "Stop loading and all vehicles." in card
    assert "Enter only when the fire service says so." in card
    assert "opens the gate" not in page
    assert "Call back:" not in page


def test_a_night_with_its_own_chain():
    """Another caller at night stands beside that of the other shifts, on both papers and in the first lines."""
    page, card = text_of({"shifts[2].chain": NIGHT})
    assert "Day and Evening: The gate operator calls" in page
    assert "Night: The attendant calls" in page
    assert "Day and Evening: Gate operator calls" in card
    assert "Night: Attendant calls" in card
    assert "from the bay phone in sight of the person" not in page.partition("Night:")[0]


def test_a_rescuer_goes_up_only_where_there_is_an_anchor():
    """Row B sends Rescuer 1 up where an anchor holds a fall; else the method brings first aid and nobody goes up."""
    page, _ = text_of({})
    assert "Method 3: platform beside the person, first aid from it. Do not unhook. Wait for Method 4." in page
    assert "Go up only inside guardrail." in text_of({})[1]
    up, card = text_of({"bays[B1].rescue_anchors[RA-1].fall_arrest": True, "bays[B2].rescue_anchors[RA-2].fall_arrest": True})
    assert "Rescuer 1: attach, go up, give first aid there. Both stay attached. Wait for Method 4." in up
    assert "Rescuer 1: go up attached, give first aid. Wait for Method 4." in card
    assert "Go up attached or inside guardrail, never to the person's rail." in card


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


@pytest.mark.parametrize("name", ["", "Harrow Ridge Terminal and Northern Transfer Yard"], ids=["heading of one line", "of two"])
def test_the_band_on_a_closed_bay_covers_no_word(name):
    """It stands as high on page 1 as on every later one, above all other words of the page but the stamp."""
    changes = {"bays[B1].closed": CLOSED} | ({"site.name": name} if name else {})
    paper = composed(with_changes(demo("harrow-ridge"), changes))[PROCEDURE].document
    heights = []
    for page in PdfReader(io.BytesIO(pdf.render(paper).data)).pages:
        lines = lines_of(page)
        (band,) = {high for high, text in lines if text.startswith("Bay closed")}
        heights.append(round(band, 1))
        above = [text for high, text in lines if high > band - 8 and not text.startswith("Bay closed")]
        assert all("reasons" in text or "NOT FOR POSTING" in text for text in above), above
    assert len(set(heights)) == 1


def test_who_watches_is_the_attendant_of_the_shift_where_no_bay_says_so():
    """The first row names the post that the rest of the page calls the attendant; a blank stands there only where no shift has one either."""
    (page,) = text_of({"bays[B1].watcher": None, "bays[B2].watcher": None}, wanted=(PROCEDURE,))
    assert "| Attendant | Press the red stop" in page
    assert "| Attendant | Stop loading" in papers("thornmere")[PROCEDURE].document.markdown
    assert "who watches" not in papers("thornmere")[PROCEDURE].document.markdown
    posts = {f"shifts[{shift}].posts[2].part": "other" for shift in ("day", "evening", "night")}
    (page,) = text_of({"bays[B1].watcher": None, "bays[B2].watcher": None} | posts, wanted=(PROCEDURE,))
    assert "| **who watches**{: .blank } |" in page


def test_the_address_is_on_the_card_where_whoever_stands_at_it_calls():
    """Whoever watches reads it there as caller or backup; any other caller reads it from page 1 of the procedure, where it stands always."""
    (page,) = text_of({}, wanted=(PROCEDURE,))
    assert "2200 Spur Road, east gate" in page
    assert "Address" not in cards("harrow-ridge")["B1"].markdown
    for post in ("caller", "backup"):
        (card,) = text_of({f"shifts[night].chain.{post}": "Ground attendant"}, wanted=("rescue-card.B1",))
        assert "| **Address** | 2200 Spur Road, east gate |" in card


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


# --- what stood wrong on these papers once, and what is drawn -------------------------------------------------------------------


def first_minute(page):
    """Post -> what it does in the first minute."""
    block = page.partition("| Who | What to do |")[2].partition("\n\n")[0]
    return {row[0].strip(): row[1].strip() for row in (line.strip("| ").split(" | ") for line in block.split("\n")[2:])}


@pytest.mark.parametrize("name", DEMOS)
def test_one_post_calls_and_one_stands_in(name):
    """P16: the alarm chain gives each act to one post: one calls at once, one only if nobody answers; nobody else is told to call."""
    page = papers(name)[PROCEDURE].document.markdown.replace("\u00a0", " ")
    chain, acts = demo(name).site.shifts[0].chain, first_minute(page)
    assert [post for post, does in acts.items() if re.search(r"(?<!words, )\bcall 911", does, re.IGNORECASE)] == [chain.caller]
    assert [post for post, does in acts.items() if "If nobody repeats the words, call 911" in does] == [chain.backup]
    assert [post for post, does in acts.items() if "Lead the ambulance" in does] == [chain.guide]
    assert [post for post, does in acts.items() if "Take charge of the rescue" in does] == [chain.leader]
    assert "called at once" not in page


def test_a_chain_without_a_leader_is_a_must_fix_and_a_blank():
    """P12: who leads comes from the chain of the shift, never from the id of a role; missing, it stops issue and is blank on both papers."""
    checked = with_changes(demo("harrow-ridge"), {f"shifts[{n}].chain.leader": None for n in range(3)})
    stops = [f for f in checked.assessed.findings if f.name == "chain-incomplete"]
    assert stops
    assert all(f.severity == "must-fix" and f.stops == "issue" for f in stops)
    assert "Take charge of the rescue" not in composed(checked, ("md",))[PROCEDURE].document.markdown
    renamed, _ = text_of(
        {"shifts[0].chain.leader": "Rescuer 2", "shifts[1].chain.leader": "Rescuer 2", "shifts[2].chain.leader": "Rescuer 2"}
    )
    assert "Take charge of the rescue" in first_minute(renamed)["Rescuer 2"]


@pytest.mark.parametrize("name", DEMOS)
def test_one_table_decides(name):
    """P17: one table of the whole set says which method is started; no list of scenarios beside it."""
    texts = {key: paper.document.markdown for key, paper in papers(name).items()}
    assert [key for key, text in texts.items() if "| Ask | Start |" in text] == [PROCEDURE]
    page = texts[PROCEDURE]
    assert page.count("| Ask | Start |") == 1
    assert not [s.what for s in demo(name).site.rescue.scenarios if s.what in page]


@pytest.mark.parametrize("name", DEMOS)
def test_whoever_undoes_a_hook_from_a_platform_goes_up_before(name):
    """P18: the one who releases the hook by hand from a platform has a step that takes him there."""
    for method in demo(name).site.rescue.methods:
        if method.kind == "platform":
            for step in (s for s in method.steps if "release" in s.does):
                ups = [s for s in method.steps[: method.steps.index(step) + 1] if "go up" in s.text.lower()]
                assert set(step.who) <= {who for s in ups for who in s.who}


def test_nothing_is_done_meanwhile_with_a_step_that_is_not_listed():
    """The first listed step is at the same time as nothing; a later one only as the one listed before it."""
    page, _ = text_of({})
    methods = re.findall(r"^Do this:\n.*\n\n((?:1\. .*\n)+)", page, re.MULTILINE)
    assert len(methods) == 3
    assert not [steps for steps in methods if steps.startswith("1. Meanwhile")]
    assert "1. Meanwhile, Rescuer 2: with K-2 hook the guide rope and the lower block" in methods[1]


@pytest.mark.parametrize("name", DEMOS)
def test_nothing_is_done_meanwhile_with_a_step_that_it_needs(name):
    """A step called meanwhile waits for none of those listed since the last one that is not."""
    page = papers(name)[PROCEDURE].document.markdown
    listed = re.findall(r"^Do this:\n.*\n\n((?:1\. .*\n)+)", page, re.MULTILINE)
    for method, steps in zip((m for m in demo(name).site.rescue.methods if m.kind != "outside"), listed, strict=True):
        lines, before, together = steps.splitlines(), before_each(method.steps), []
        for line, step in zip(lines, method.steps[len(method.steps) - len(lines) :], strict=True):
            assert step.text.partition(";")[0].lower()[:20] in line.lower()
            if not line.startswith("1. Meanwhile"):
                together = []
            assert not set(together) & before[step.id], line
            together.append(step.id)
    assert "1. Rescuer 1: pull the top block" in page


def test_targets_are_no_rules_and_estimates_are_called_so():
    """P54, P63: the minutes are targets; while a time is from no drill the page says that they are estimates."""
    page, card = text_of({})
    assert "within 4 min of the fall" in page
    assert "These are targets, not rules." in page
    assert not re.search(r"\bmust\b[^.]*\d+ min\b", page)
    assert "The times of the methods are estimates until a drill has shown them." in page
    steps = {
        f"rescue.methods[{m.id}].steps[{s.id}].time.worst": {"value": f"{s.time.worst.si / 60:g} min", "how": "drill"}
        for m in demo("harrow-ridge").site.rescue.methods for s in m.steps
    }  # fmt: skip
    drilled, _ = text_of(steps)
    assert "estimates" not in drilled
    assert "target" not in card


def test_practice_is_a_rule_of_the_site_for_its_rescuers():
    """P60, P61, P62: no law is cited for it, no bystander is barred, no lock is claimed, and no last date stands there."""
    page, _ = text_of({})
    assert "Rescuers: start only a method that you have practiced with its kit. This is a rule of the site." in page
    assert not re.search(r"Only people who|1903|140\(c\)|under lock", page)
    assert "It takes the hardest vehicle and each shift in turn." in page
    assert not re.search(r"\b20\d\d-\d\d-\d\d\b", page.partition("Signatures")[0])


def test_care_says_what_the_fields_say():
    """P73: the call says that a worker hangs in a harness; straps and defibrillator come from their fields; no oxygen, no upright care."""
    page, _ = text_of({"rescue.aed.place": "Indigo shelf"})
    assert "A worker hangs in a harness after a fall / lies hurt on the vehicle." in page
    assert "send for the AED (indigo shelf)" in page
    assert "Step into the straps." in page
    assert "Do not let the person sit up." in page
    assert "Tell the ambulance crew how long the person hung" in page
    assert page.count("xygen") == page.count("only at oxygen 19.5")  # what the meter shows, and no care
    bare, _ = text_of({"rescue.relief_straps": False, "rescue.aed": None})
    assert "straps" not in bare
    assert "AED" not in bare


@pytest.mark.parametrize("name", ["thornmere", "wattle-bend"])
def test_a_thin_site_has_blanks_and_not_fewer_lines(name):
    """P75: what is missing on the rescue papers of a thin site is a boxed blank in its line."""
    page = papers(name)[PROCEDURE].document.markdown
    assert "{: .blank }" in page
    for clause in ("calls", "chain", "place", "order", "landing", "position"):
        assert f"#c.{clause}" in page


@pytest.mark.parametrize("name", [*DEMOS, "cormorant-quay", "sable-point", "thornmere"])
def test_no_talk_of_the_program(name):
    """P77: no name of a field, case, finding or record, and no long digest, on procedure or card."""
    for key, paper in papers(name).items():
        if key == PROCEDURE or key.startswith("rescue-card."):
            text = re.sub(r"\{:[^}]*\}|\]\([^)]*\)", "", paper.document.markdown)
            assert not re.search(
                r"\b\w+\[\w|\bload\.\w|\bA-0\d{3}\b|\b[0-9a-f]{13,}\b|profile|docgen|finding|computed|not met", text
            ), key


def test_the_red_stop_is_told_with_its_place():
    """On the card that of its bay; on the procedure one place for all bays, or each with its bay; nobody goes to danger for it."""
    page, card = text_of({"bays[B2].red_stop.place": "Switch post"})
    assert "Press red stop (ladder foot) unless A." in card
    assert "Press the red stop (Truck bay: ladder foot; Rail spur: switch post) unless row A." in page
    same, _ = text_of({})
    assert "Press the red stop (ladder foot) unless row A." in same
    assert "on your way" not in same


def test_where_the_rail_is_bent_the_method_that_hangs_on_nothing_is_started():
    """The first that stands on its own; where none is, nothing is named."""
    bent = "Rail or frame bent? Attach nothing."
    _, card = text_of({})
    assert f"{bent} Method 3. Never cut the line or lift with arm, crane, forks. Go up only inside guardrail." in card
    for change in (
        {"rescue.methods[M3].kind": "raise-and-lower"},
        {"rescue.methods[M3].rescue_anchors": ["RA-1"]},
        {"rescue.methods[M3].rows": ["B", "C"]},
    ):
        assert f"{bent} Never cut the line or" in text_of(change)[1]
    page, _ = text_of({"rescue.fails": []})
    assert "Is the rail or the frame bent? Attach nothing to it. Use Method 3; in wind wait for Method 4." in page


def test_feet_that_reach_what_lies_below_have_no_figure():
    """A bay that is short: its lowest feet are at or below what lies there, and neither paper prints a height for them."""
    page, card = text_of({"equipment[D-1].arrest_distance.value": "160 in"})
    assert "| **Back ring** | up to 17.4 ft above slab; feet may touch down, up to 12.0 ft |" in card
    (row,) = [line for line in page.split("\n") if line.startswith("| Truck bay | Tank trailer | 17.4 ft")]
    assert row == "| Truck bay | Tank trailer | 17.4 ft | may touch down | 12.0 ft | may touch down |"
    for name in (*DEMOS, "cormorant-quay", "sable-point", "thornmere"):
        for key, paper in papers(name).items():
            if key == PROCEDURE or key.startswith("rescue-card."):
                assert not re.search(r"(?<![\w-])-\d[\d.]* ?(?:ft|m)\b", paper.document.markdown.replace("\u00a0", " ")), key


def test_one_rule_says_what_is_a_rescue_gap():
    """A shift without a leader is no gap of the bay: every paper leaves the rescue; without a method every paper takes it away."""
    part = composed(with_changes(demo("harrow-ridge"), {"shifts[2].chain": {"caller": "Gate operator", "backup": "Shift supervisor", "guide": "Gate operator"}}), ("md",))  # fmt: skip
    none = composed(with_changes(demo("harrow-ridge"), NO_METHOD), ("md",))
    for made, gap in ((part, False), (none, True)):
        texts = {key: paper.document.markdown for key, paper in made.items()}
        assert ("Rescuers may still go up." in texts["closure-sheet.B1"]) is not gap
        assert ("Rescuers may still go up." in texts["contractor-notice"]) is not gap
        assert ("no rescue is planned" in texts["rescue-card.B1"]) is gap
        for key in ("fall-protection-plan", "contractor-notice", "index", "worksheet"):
            assert ("o rescue is ready." in texts[key]) is gap, key
            assert ("part of the rescue is missing." in texts[key]) is not gap, key
        assert ("except rescuers" in texts["worksheet"]) is not gap


def drawings(markdown):
    """The drawings of a text by the words that stand for them."""
    return re.findall(r"!\[([^\]]*)\]\(symbol:([a-z-]+)\)", markdown)


def test_each_method_is_drawn_as_its_fields_say():
    """By its kind, by how many and, where a line is attached, from where; row B has the picture of its first aid; a kind that nobody told has none."""
    page, card = text_of({})
    assert [name for _, name in drawings(page)] == [
        "method-back-helped",
        "method-raise-ground",
        "method-platform",
        "method-outside",
    ]
    assert [name for _, name in drawings(card)] == [
        "go-away",
        "wind",
        "hurt",
        "caught",
        "method-back-helped",
        "method-raise-ground",
    ]
    assert drawings(page)[1][0] == "Method 2: Raise with the rescue kit, release and lower"
    assert dict(drawings(card))["Method 2: Raise with the rescue kit, release and lower"] == "method-raise-ground"
    for change, name in (
        ({"rescue.methods[M2].attach_from": "vehicle"}, "method-raise-vehicle"), ({"rescue.methods[M2].attach_from": None}, "method-raise-alone"),
        ({"rescue.methods[M2].kind": "lower"}, "method-lower-ground"), ({"rescue.methods[M2].kind": "ladder"}, "method-ladder"),
        ({"rescue.methods[M2].persons": 1}, "method-raise-ground-one"), ({"rescue.methods[M2].kind": "platform", "rescue.methods[M2].persons": 1}, "method-platform-one"),
    ):  # fmt: skip
        assert drawings(text_of(change)[0])[1][1] == name
    assert [name for _, name in drawings(text_of({"rescue.methods[M2].kind": None})[0])] == [
        "method-back-helped",
        "method-platform",
        "method-outside",
    ]


def test_no_two_rows_below_each_other_bear_one_picture():
    """Row C tells what differs where B starts the same method, and its own method where it is another; a later row says nothing twice."""
    _, other = text_of({"rescue.methods[M3].rows": ["B", "E"]})
    assert "caught" not in [name for _, name in drawings(other)]
    for change in ({}, {"rescue.methods[M3].rows": ["B", "C", "D", "E"]}, {"rescue.methods[M2].rows": ["D", "E"]}):
        names = [name for _, name in drawings(text_of(change)[1])]
        assert all(above != below for above, below in pairwise(names)), names


def test_the_card_says_once_what_its_heights_stand_over():
    """In the site's short words, else in its long ones as far as the comma; where neither is given it says nothing of it."""
    assert text_of({})[1].count("above slab") == 1
    long = text_of({"bays[B1].heights_over": None})[1]
    assert "| **Back ring** | up to 17.4 ft above top of the concrete slab at the bay drain; feet hang 5.0 to 12.0 ft |" in long
    bare = text_of({"bays[B1].heights_over": None, "bays[B1].heights_from": None})[1]
    assert "| **Back ring** | up to 17.4 ft; feet hang" in bare


def test_a_method_has_one_number_and_one_name():
    """On the procedure, under its drawing there and on the card, in the record's tables and under its timeline."""
    for site in DEMOS:
        made = papers(site)
        record, page = made["engineering-record"].document, made[PROCEDURE].document.markdown
        for n, method in enumerate(demo(site).site.rescue.methods, 1):
            said = f"{n}: {method.name}"
            assert f"#### Method {said} " in page
            assert f"| {said} |" in record.markdown
            assert f"| {method.id} |" not in record.markdown
            if method.kind != "outside":
                assert f"Timeline of Method {said};" in record.markdown
                assert f"Steps of Method {said}, by person;" in record.markdown
                assert any(drawing.alt.startswith(f"Timeline of Method {said} ") for drawing in record.figures.values())
            for card in cards(site).values():
                assert all(
                    words == f"Method {said}" for words, name in drawings(card.markdown) if words.startswith(f"Method {n}")
                )


def test_a_row_with_two_ways_has_no_drawing():
    """Where the row says for each bay or shift what is started, one drawing would show the wrong one to somebody."""
    _, card = text_of({"rescue.methods[M1].vehicles": ["tanker"]}, wanted=(PROCEDURE, "rescue-card.B2"))
    assert "method-back" not in [name for _, name in drawings(card)]


def test_the_card_of_a_closed_bay_stays_on_one_side():
    """The band takes a line of its own, and the card still fits at its smallest type."""
    made = composed(with_changes(demo("harrow-ridge"), {"bays[B1].closed": CLOSED}), ("pdf",), wanted=("rescue-card",))
    assert pdf.render(made["rescue-card.B1"].document).pages == 1


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("paper", [PROCEDURE, "fall-protection-plan"])
def test_steps_are_counted_without_a_gap(name, paper):
    """In Markdown a list is numbered 1, 2, 3, or 1 throughout: a step that a bay has not leaves no gap."""
    lists = re.findall(r"(?:^\d+\. .*\n)+", papers(name)[paper].document.markdown + "\n", re.MULTILINE)
    assert lists
    for one in lists:
        numbers = [int(line.partition(".")[0]) for line in one.splitlines()]
        assert numbers in ([1] * len(numbers), list(range(1, len(numbers) + 1))), one


# --- what readers stumbled over when they saw the pages ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", DEMOS)
def test_wind_takes_only_the_platform_and_nobody_pulls_in_row_c(name):
    """Wind is asked before the rows that it changes, on both papers, and takes the platform only; no row then goes on to it."""
    lines = papers(name)[PROCEDURE].document.markdown.split("\n")
    wind = next(n for n, line in enumerate(lines) if line.startswith("| **Wind**"))
    assert wind < next(n for n, line in enumerate(lines) if line.startswith("| **B**"))
    assert "No platform: instead of Method 3 wait for Method 4. Ask on." in lines[wind]
    assert "| **Next** | Method 3, or in wind 4, if this fails" in papers(name)[PROCEDURE].document.markdown
    for bay, card in cards(name).items():
        inside = demo(name).site.bay(bay).setting == "indoor"
        said = [line for line in card.markdown.split("\n") if "**Wind**" in line]
        assert len(said) == (0 if inside else 1)
        assert inside or said[0].endswith("? No Method 3: wait for 4.")
        assert inside or card.markdown.index("**A**") < card.markdown.index("**Wind**") < card.markdown.index("**B**")


def test_there_is_a_way_out_where_no_method_works():
    """Procedure and card go on to help from outside, by its number; where it is no method, to the fire service."""
    page, card = text_of({})
    assert "| **Nothing** works? | Talk to the person. Wait for Method 4. |" in page
    for text in (page, card):
        assert "Method 3, then 4 (fire department)." in text  # by its name too: page 1 and the card are read alone
    for change in ({"rescue.methods[M3].rows": ["B", "C"]}, {"rescue.methods[M2].rows": []}):
        assert all("Method 4 (fire department)." in next(x for x in text.split("\n") if "**E**" in x) for text in text_of(change))
    alone, bare = text_of({"rescue.methods[M3].next.method": "M2", "rescue.methods[M4]": None})
    assert "Wait for the fire service. |" in alone
    assert "then 4" not in alone + bare


def test_what_the_meter_shows_stands_beside_the_step_that_reads_it():
    """Each wording once; with the bay where they differ; in row A where no step reads it at once; without the field no word of it."""
    page, _ = text_of({})
    assert page.count("19.5 to 23.5 %") == 1
    assert "say if rescuers may go in\\: only at oxygen 19.5 to 23.5 %" in first_minute(page)["Shift supervisor"]
    other, _ = text_of({"bays[B2].meter.limit": "Zero on each of four"})
    assert "only at Truck bay: oxygen 19.5 to 23.5 %, vapor under 10 % LEL; Rail spur: zero on each of four." in other
    late, _ = text_of({"rescue.methods[M1].steps[meter].text": "Read the meter alone"})
    assert re.search(r"says so \(meter\\?: oxygen 19\.5", late)
    none, _ = text_of({"bays[B1].meter.limit": None, "bays[B2].meter.limit": None})
    assert "only at" not in none


def test_a_method_is_prepared_only_by_a_rescuer_who_is_free():
    """Where each method takes both rescuers nobody is free and the column is gone; whoever the first method leaves free is named in it."""
    page, _ = text_of({})
    assert "Prepare" not in page
    steps = demo("harrow-ridge").site.shifts[0].posts[4].steps
    alone, _ = text_of({
        "rescue.methods[M1].steps[down].who": ["rescuer-1"],
        **{f"shifts[{n}].posts[4].steps": [s for s in steps if not s.startswith("M1.")] for n in range(3)},
    })  # fmt: skip
    assert "| Ask | Start | Prepare |" in alone
    assert [line.split(" | ")[2] for line in alone.split("\n") if line.startswith("| **D**")] == ["Rescuer 2: Method 2 |"]


@pytest.mark.parametrize("name", DEMOS)
def test_fire_is_asked_wherever_a_danger_is(name):
    """A vehicle may burn in each bay that has any danger."""
    for document in (papers(name)[PROCEDURE].document, *cards(name).values()):
        assert re.search(r"\*\*A\*\* Fire\b", document.markdown)


@pytest.mark.parametrize("name", DEMOS)
def test_nobody_is_sent_to_a_lid_that_nobody_can_reach(name):
    """Both rescuers of the rope method stay on the ground: rescuers do not wait until somebody has closed a lid."""
    assert "lids are closed" not in papers(name)[PROCEDURE].document.markdown


@pytest.mark.parametrize("name", DEMOS)
def test_who_leads_is_called_by_one_name(name):
    """Where one post leads on every shift the procedure calls it by its name."""
    text = papers(name)[PROCEDURE].document.markdown
    assert "the one who leads" not in text
    assert "Before rescuers go in, the shift supervisor looks" in text


HOLDS = "Do not pull. Method 3 to step 3 only: take the weight and hold. Wait for Method 4."


def test_who_is_caught_is_never_lifted_or_unhooked():
    """Row C ends at the step that bears the person, which says so; a method without one, or from above, does not answer it."""
    page, card = text_of({})
    assert HOLDS in page
    assert "Never pull. Method 3 to step 3. Hold for 4." in card
    third = re.findall(r"^Do this:\n.*\n\n((?:1\. .*\n)+)", page, re.MULTILINE)[2].splitlines()[2]
    assert third.endswith("until it bears the person. In row C hold here.")
    for change in (
        {"rescue.methods[M3].steps[support].does": ["attach", "release"]}, {"rescue.methods[M3].kind": "raise-and-lower"},
        {"rescue.methods[M3].contact_step": "ground"}, {"rescue.methods[M3].rows": ["B", "E"], "rescue.methods[M2].rows": ["B", "C", "E"]},
    ):  # fmt: skip
        page, card = text_of(change)
        assert "Do not pull. Talk to the person. Wait for Method 4." in page
        assert "Never pull. Talk. Wait for Method 4." in card
        assert "In row C hold here." not in page
        assert "**Rows B, C" not in page


def test_a_faint_person_is_asked_about_from_the_top():
    """Whoever hangs and turns pale may be caught too: the table decides again."""
    assert "Ask again from A now." in text_of({})[0]
    assert "Start row E now" not in text_of({})[0]


def test_nobody_goes_in_before_the_meter_is_read():
    """The card of a bay with a meter says so before row A, by whoever leads or by name; that of another bay only to wait."""
    assert "Enter only when told." in text_of({})[1].partition("**A**")[0]
    other = text_of({"bays[B1].meter.holder": "rescue-lead"})[1]
    assert "Enter only when rescue lead says so." in other.partition("**A**")[0]
    assert "Enter only" not in cards("pellan-creek")["B1"].markdown


def test_one_chain_stands_on_both_papers():
    """A dead radio leads to the one who calls, by number; whoever answers when help calls back is told, and named beside the number."""
    page, card = text_of({})
    assert "Radio dead? Use the bay phone: gate operator, 555-0144." in page
    assert "| **Radio dead?** | bay phone, 555-0144 |" in card
    assert "Tell the shift supervisor and the control room." in first_minute(page)["Gate operator"]
    assert "Other numbers: gate operator 555-0144; Control room 555-0150 (911 calls back there);" in page
    none = text_of({"roles[gate].phone": None, "emergency.callback": None})[0]
    assert "Use the bay phone." in none
    assert "calls back there" not in none


def test_wind_that_stops_a_method_is_told_of_its_bays():
    """Of two bays of which one is in a building only the other."""
    page = papers("pellan-creek")[PROCEDURE].document.markdown.replace("\u00a0", " ")
    assert "or when wind in the Hopper bay is 40 km/h or more." in page
    assert "or when wind is 25 mph or more." in text_of({})[0]


def test_a_thing_that_only_others_wear_is_no_order_to_them():
    """What only the fire department may wear keeps the rescuers out."""
    assert "Needs breathing protection against gasoline vapor? Only the fire department may go in." in text_of({})[0]
