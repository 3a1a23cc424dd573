"""Bay sign, closure sheet and climb card: what each holds and must not, budgets of pages, words and type, absent and false fields, states of a bay.

Type and pages are read from the PDFs by pypdf; sentences and grade by tests/plain.py.
"""

import io
import re
import shutil
import subprocess

import pytest
from plain import read, sentences_of
from support import AS_OF, as_if_open, composed, demo, log_of, logged, with_changes
from test_signs_and_cards import body_type, symbols

from docgen.compose.symbols import SYMBOLS
from docgen.trade.legible import symbol_distance
from docgen.write import WRITERS

CLEAN = ("harrow-ridge", "pellan-creek")
SIGN, SHEET, CARD = "bay-sign", "closure-sheet", "climb-card"
CLOSED = {"by": "terminal-manager", "on": "2026-10-02", "reason": "The rail is being replaced"}
#: Names of people, law, clause numbers, days and words of our own that no paper of a bay may bear.
NEVER = [
    r"\bCFR\b",
    r"\d{4}-\d{2}-\d{2}",
    r"T\. Maran",
    r"Oduya",
    r"\bfinding",
    r"\bprofile\b",
    r"^\d+\.\d+ ",
    r"\bNone\b",
    r"\bD-1\b",
    r"\bsafe\b",
    r"\bensure",
]


def made(checked, paper, bay):
    """The document of one paper of a bay."""
    return composed(checked, ("pdf",), wanted=(paper,))[f"{paper}.{bay}"].document


def altered(changes, paper=SIGN, bay="B1", site="harrow-ridge"):
    """The text of a paper of a demo with fields changed."""
    return made(with_changes(demo(site), changes), paper, bay).markdown


def papers_of(checked, paper):
    """Names of the papers of one kind."""
    return sorted(name for name in composed(checked, ("pdf",), wanted=(paper,)) if name.startswith(paper))


def rows_of(document):
    """The lines of a sign: symbol and words."""
    return [(e.get("symbol"), " ".join("".join(e.itertext()).split())) for e in document.tree.iter("p")]


def text_of(data):
    """The words of a PDF."""
    return " ".join(
        " ".join(page.extract_text() for page in pytest.importorskip("pypdf").PdfReader(io.BytesIO(data)).pages).split()
    )


# budgets


@pytest.mark.parametrize("site", CLEAN)
@pytest.mark.parametrize("bay", ["B1", "B2"])
def test_bay_sign_keeps_its_budget(site, bay):
    """Six to eight lines, a symbol each, at most 70 words, sentences of at most 8, grade 4; one page in 28 pt, and in 40 pt on the larger sheet."""
    document = made(demo(site), SIGN, bay)
    rows = rows_of(document)
    assert 6 <= len(rows) <= 8
    assert all(symbol for symbol, _ in rows)
    assert len({symbol for symbol, _ in rows}) == len(rows)
    found = read(document.markdown)
    assert sum(found.lengths) <= 70
    assert found.longest <= 8
    assert found.grade <= 4
    for ending, least in (("pdf", 28.0), ("large.pdf", 40.0)):
        written = WRITERS[ending](document)
        assert written.pages == 1
        assert written.notes == ()
        assert body_type(written.data) >= least
    assert not [p for p in NEVER if re.search(p, document.markdown, re.MULTILINE)]


@pytest.mark.parametrize("site", CLEAN)
@pytest.mark.parametrize("bay", ["B1", "B2"])
@pytest.mark.parametrize(("ending", "feet"), [("pdf", 4.5), ("large.pdf", 7.0)])
def test_symbols_of_a_sign_are_told_from_where_it_is_read(site, bay, ending, feet):
    """P85: eight symbols of one height, told in good light from 4.5 ft on the usual sheet and from 7.0 ft on the larger (factor 60, ISO 3864-1 from memory)."""
    heights = symbols(WRITERS[ending](made(demo(site), SIGN, bay)).data)
    assert len(heights) == len(rows_of(made(demo(site), SIGN, bay)))
    assert max(heights) - min(heights) < 0.1
    assert min(heights) / 72 * 60 / 12 >= feet
    assert symbol_distance(min(heights), lit=True) == pytest.approx(min(heights) / 72 * 60 * 0.0254)
    assert symbol_distance(min(heights), lit=False) == pytest.approx(min(heights) / 72 * 30 * 0.0254)


@pytest.mark.parametrize(
    ("site", "bay", "changes", "symbol"),
    [
        ("harrow-ridge", "B1", {}, "tank-vehicle-one"),
        ("harrow-ridge", "B2", {}, "tank-car-one"),
        ("harrow-ridge", "B2", {"bays[B2].product.state": None}, "railcar-one"),
        ("harrow-ridge", "B2", {"bays[B2].product.state": "dry bulk"}, "railcar-one"),
        ("pellan-creek", "B1", {}, "hopper-vehicle-one"),
        ("pellan-creek", "B1", {"bays[B1].product.state": "liquid"}, "tank-vehicle-one"),
        ("pellan-creek", "B2", {}, "machine-one"),
        ("harrow-ridge", "B1", {"vehicles[tanker].kind": "other"}, "vehicle-one"),
    ],
)
def test_the_picture_of_a_vehicle_is_of_its_kind(site, bay, changes, symbol):
    """Whoever cannot read is not shown a truck at a railcar, nor a box car where it is a tank; who may be up there stands on it, beside the
    words that say so, and a scale beside the limits, which say what is weighed with the climber."""
    checked = with_changes(demo(site), changes) if changes else demo(site)
    vehicle, limits = rows_of(made(checked, SIGN, bay))[2:4]
    assert vehicle[0] == symbol
    assert vehicle[1].endswith("One\u00a0climber\u00a0only.") or vehicle[1].endswith("One climber only.")
    assert limits[0] == "weighed"
    assert re.search(r"without tools\. (Under|Maximum) \d+\W(lb|kg) with clothing, harness, tools\.$", limits[1])


@pytest.mark.parametrize("vehicle", ["tank-vehicle", "tank-car", "hopper-vehicle", "railcar", "machine", "vehicle"])
def test_who_stands_on_the_vehicle_is_as_many_as_may(vehicle):
    """None where the number is not told, else one or two, with their feet on top of it and heads inside the frame."""
    for ending, people in (("", 0), ("-one", 1), ("-two", 2)):
        shapes = [s for s in SYMBOLS[vehicle + ending].shapes if s.part == "climber"]
        assert len([s for s in shapes if s.filled]) == people
        assert all(y > 4 for s in shapes for _, y in s.points)


@pytest.mark.parametrize("site", CLEAN)
@pytest.mark.parametrize("bay", ["B1", "B2"])
def test_climb_card_keeps_its_budget(site, bay):
    """Two sides in 12 pt or more, at most 240 words, 14 boxes, a first step and five more or one for each of sideways limit and wet deck, a first reason and four more, three indoors; every sentence has a verb."""
    document = made(demo(site), CARD, bay)
    found = read(document.markdown)
    boxes, reasons = [len(e) for e in document.tree.iter("ul")]
    (steps,) = [len(e) for e in document.tree.iter("ol")]
    assert boxes <= 14
    assert 5 <= steps <= 7
    assert reasons == 3 + (demo(site).site.bay(bay).setting != "indoor")
    assert found.words - len(document.title.split()) <= 240
    assert found.longest <= 13
    assert found.grade <= 4
    assert found.verbless == ()
    written = WRITERS["pdf"](document)
    assert written.pages == 2
    assert body_type(written.data) >= 12
    assert not [p for p in NEVER if re.search(p, document.markdown, re.MULTILINE)]


@pytest.mark.parametrize("site", ["cormorant-quay", "thornmere", "sable-point"])
def test_closure_sheet_keeps_its_budget(site):
    """One page each; the word in 110 pt or more, the rest in 28, larger on the larger sheet; sentences of at most 8 words; the symbol of do not climb; no figure but a telephone number."""
    checked = demo(site)
    names = papers_of(checked, SHEET)
    assert names == [f"{SHEET}.{s.bay}" for s in checked.assessed.bays if s.shut]
    for name in names:
        document = made(checked, SHEET, name.partition(".")[2])
        for ending, least in (("pdf", 28.0), ("large.pdf", 40.0)):
            written = WRITERS[ending](document)
            assert written.pages == 1, name
            body = body_type(written.data)
            assert body >= least
            assert body * 4 >= 110
        assert "no-climbing" in [symbol for symbol, _ in rows_of(document)]
        said = [s for _, text in rows_of(document) for s in sentences_of(text)]
        assert max(len(s.split()) for s in said) <= 8 or said[-1].startswith("Hang this over")
        number = checked.code.ask("public_emergency_number").number
        assert f"Call {number}." in said
        assert not re.search(r"\d", " ".join(said).replace(phone(checked, document), "").replace(f"Call {number}.", ""))
        assert re.search(r"DO NOT CLIMB", document.markdown)
        assert not re.search(r"\bmay climb\b", document.markdown)


def phone(checked, document):
    """The telephone number that a closure sheet prints, empty where it prints none."""
    numbers = [r.phone for r in checked.site.roles if r.phone]
    return next((n for n in numbers if n.replace("-", "\u2011") in document.markdown), "").replace("-", "\u2011")


# what the sign says, and what it does not


def test_words_of_the_sign():
    """The lines of the truck bay, whole."""
    assert [text for _, text in rows_of(made(demo("harrow-ridge"), SIGN, "B1"))] == [
        "You can fall and die here.",
        "Listed climbers and rescuers only. Truck driver: do not climb.",
        "Tank trailer only. One climber only.",
        "Minimum 130 lb without tools. Under 310 lb with clothing, harness, tools.",
        "Attach and detach on the ground.",
        "Others: outside the painted box.",
        "Thunder, ice, strong wind? Come down.",
        "Someone fell? Tell the attendant. You see none? Go to the bay phone. Call 911, then 555\u20110150.",
    ]
    assert "Come\u00a0down." in made(demo("harrow-ridge"), SIGN, "B1").markdown  # no line ends between the two


def test_the_alarm_line_is_that_of_the_notice():
    """Word for word."""
    papers = composed(demo("harrow-ridge"), ("pdf",), wanted=(SIGN, "contractor-notice", "gate-card"))
    line = "Tell the attendant. You see none? Go to the bay phone. Call 911, then 555\u20110150."
    for name in (f"{SIGN}.B1", f"{SIGN}.B2", "contractor-notice", "gate-card"):
        assert line in " ".join(papers[name].document.markdown.split()), name


#: Change -> what the sign then says, and what it does not.
FALSE = [
    ({"bays[B1].hook_up.at_ground": False}, "", "Attach and detach"),
    ({"bays[B1].hook_up.at_ground": None}, "", "Attach and detach"),
    ({"limits.weather.ice": None}, "Thunder, strong wind?", ", ice"),
    ({"limits.weather": None}, "", "Come down"),
    ({"emergency.second": None}, "Call 911.", "555"),
    ({"limits.upper.value": "309 lb"}, "Maximum 309 lb with clothing, harness, tools.", "Under 309"),
    ({"bays[B1].watcher.role": "rescue-lead"}, "Tell the rescue lead.", "attendant"),
]


@pytest.mark.parametrize(("changes", "says", "never"), FALSE, ids=[next(iter(c)) + str(i) for i, (c, _, _) in enumerate(FALSE)])
def test_what_no_field_says_stands_on_no_sign(changes, says, never):
    """An absent or false field is neither a rule nor a promise."""
    checked = as_if_open(with_changes(demo("harrow-ridge"), changes))  # some of it closes the bay
    text = " ".join(made(checked, SIGN, "B1").markdown.split())
    assert says in text
    assert never not in text


def test_a_sideways_limit_is_told_by_what_marks_it():
    """It stands on the sign of its bay only, by what the climber sees or feels, and without its figure."""
    given = {"bays[B1].sideways": {"limit": {"value": "1.4 ft"}, "marker": "Edge of the walkway"}}
    checked = with_changes(demo("harrow-ridge"), given)
    text = made(checked, SIGN, "B1").markdown
    assert "Stay inside the edge of the walkway." in text
    assert "1.4" not in text
    assert "Stay inside" not in made(checked, SIGN, "B2").markdown
    assert "Stay inside the edge of the walkway." in made(checked, CARD, "B1").markdown


def test_a_class_that_may_climb_does_not_lift_the_ban_on_the_others():
    """At the bay of the class its people are named with their condition, and all others are still told not to climb; at the other bay nothing changes."""
    site = demo("pellan-creek")
    texts = [" ".join(made(site, SIGN, bay).markdown.split()) for bay in ("B1", "B2")]
    able = [c for c in site.site.contractors.classes if c.may_climb]
    assert able
    for bay, text in zip(("B1", "B2"), texts, strict=True):
        named = [c for c in able if bay in c.bays]
        assert all(f"rescuers, {c.name.lower()} with signed card." in text for c in named)
        assert ("with signed card" in text) == bool(named)
        assert "do not climb." in text


def test_no_figure_differs_from_the_limits():
    """The limits stand as the profile writes them, in the unit of the site alone."""
    for site, low, high in (("harrow-ridge", "130\u00a0lb", "310\u00a0lb"), ("pellan-creek", "59\u00a0kg", "140\u00a0kg")):
        for bay in ("B1", "B2"):
            text = made(demo(site), SIGN, bay).markdown
            assert re.findall(r"\d+\u00a0(?:lb|kg)", text) == [low, high]


# sign form


def test_panels_by_the_form_of_the_place():
    """In the United States the word stands on its color; where the law names the other form, or none, only symbols and plates do."""
    ansi, iso = made(demo("harrow-ridge"), SIGN, "B1"), made(demo("pellan-creek"), SIGN, "B1")
    assert [e.get("kind") for e in ansi.tree.iter("box")] == ["warning"]
    assert list(iso.tree.iter("box")) == []
    assert rows_of(iso)[0] == ("drop-edge", "You can fall and die here.")
    shut = made(with_changes(demo("harrow-ridge"), {"bays[B1].closed": CLOSED}), SHEET, "B1")
    assert [e.get("kind") for e in shut.tree.iter("box")] == ["danger"]
    assert list(made(demo("thornmere"), SHEET, "B1").tree.iter("box")) == []


# climb card


def test_the_words_of_a_fall_do_not_part():
    """No line of the card ends between "Do not" and what must not be done, and the alarm words are told as what others say."""
    text = made(demo("harrow-ridge"), CARD, "B1").markdown
    assert "Do\u00a0not\u00a0detach." in text
    assert re.search(r"Others say on Channel 4:\n[^\n]*\n\nSUSPENDED WORKER, Truck bay", text)


def test_parts_of_the_card_are_those_of_the_bay():
    """Derail and blue signal stand on the card of the rail spur only, the lockbox on that of the truck bay only."""
    truck, rail = (made(demo("harrow-ridge"), CARD, bay).markdown for bay in ("B1", "B2"))
    assert "I looked at brake, chocks and lockbox." in truck
    assert "I looked at derail, blue signal, brake and chocks." in rail
    assert "painted box" in truck
    assert "painted box" not in rail


#: Change -> what the climb card then does not say, and what it says instead.
CARD_FALSE = [
    ({"rescue.relief_straps": False}, "Step into the straps", "Do not detach."),
    ({"contractors.refusal_right": False}, "Refuse work", ""),
    ({"site.new_thing_to": None}, "Something is new", ""),
    ({"site.protective_wear": []}, "I wear", ""),
    ({"bays[B1].energy": []}, "I saw", ""),
    ({"limits.weather": None}, "thunder", ""),
    ({"bays[B1].ladder.mark_on": None}, "red mark", "Keep three points of contact."),
    ({"bays[B1].wind_meter": None}, "read the wind", "The attendant is here and tried the radio."),
    ({"rescue.kit_places": None}, "seal", "answered."),
]


@pytest.mark.parametrize(("changes", "never", "says"), CARD_FALSE, ids=[next(iter(c[0])) for c in CARD_FALSE])
def test_what_no_field_says_stands_on_no_card(changes, never, says):
    """A check of something that the site does not have is no box, and a right that it does not give no line."""
    checked = with_changes(demo("harrow-ridge"), changes)
    if f"{CARD}.B1" not in papers_of(checked, CARD):
        assert f"{SHEET}.B1" in papers_of(checked, SHEET)
        return
    text = " ".join(made(checked, CARD, "B1").markdown.split())
    assert never not in text
    assert says in text


def test_a_device_without_interval_is_looked_over():
    """Where nobody states how often the device is inspected there is no tag to be in date."""
    text = altered({"equipment[D-1].inspection": None}, CARD)
    assert "tag is in date" not in text
    assert "I looked over the device by the maker's instruction." in text


def test_a_missing_fact_is_a_box_to_fill():
    """Words of the alarm that nobody gave are a marked blank, not a guess."""
    checked = with_changes(demo("harrow-ridge"), {"emergency.radio.word": None})
    names = papers_of(checked, CARD)
    if names:
        assert "**words of the alarm**{: .blank }" in made(checked, CARD, "B1").markdown
    else:
        assert papers_of(checked, SHEET)


# states


STATES = [
    ("decided", {"bays[B1].closed": CLOSED}, "The site has closed this bay.", True),
    ("a fact is missing", {"bays[B1].phone": None}, "Facts are missing.", True),
    ("the fall is too long", {"equipment[D-1].arrest_distance": "75 in"}, "The fall distance is not proved.", True),
    ("no method", {"rescue.methods": []}, "No rescue is ready.", False),
]


@pytest.mark.parametrize(("changes", "reason", "rescue"), [s[1:] for s in STATES], ids=[s[0] for s in STATES])
def test_a_bay_closed_by_the_profile(changes, reason, rescue):
    """No sign and no card, but a sheet with its reason in fixed words; rescue goes on unless none is ready; only a new issue opens the bay."""
    checked = with_changes(demo("harrow-ridge"), changes)
    assert f"{SIGN}.B1" not in papers_of(checked, SIGN)
    assert f"{CARD}.B1" not in papers_of(checked, CARD)
    text = " ".join(made(checked, SHEET, "B1").markdown.split())
    assert reason in text
    assert ("Rescuers may still go up." in text) == rescue
    assert "Leave this sheet up until a new issue." in text
    assert "Open again" not in text
    assert "Ask the terminal manager, 555\u20110140." in text
    if len(papers_of(checked, SIGN)) == 1:
        assert papers_of(checked, SIGN) == [f"{SIGN}.B2"]
        assert papers_of(checked, SHEET) == [f"{SHEET}.B1"]


def test_a_bay_closed_for_the_day():
    """Sign and card stay as they are, to the digest; the sheet hangs over them, and says who opens again."""
    before = composed(demo("harrow-ridge"), ("pdf",), wanted=(SIGN, CARD))
    log = logged(log_of("harrow-ridge"), [{"drop": {"kind": "inspection", "part": "D-1"}}])
    checked = with_changes(demo("harrow-ridge"), {}, log=log)
    assert [s.state for s in checked.assessed.bays] == ["closed-today", "open"]
    after = composed(checked, ("pdf",), wanted=(SIGN, CARD))
    assert {n: p.body.digest for n, p in before.items()} == {n: p.body.digest for n, p in after.items()}
    text = " ".join(made(checked, SHEET, "B1").markdown.split())
    assert "Open again: competent person or rescue lead" in text
    assert "Leave this sheet up. " in text
    assert "new issue" not in text
    assert "Rescuers may still go up." in text
    assert AS_OF.isoformat() in made(checked, SHEET, "B1").revision


@pytest.mark.parametrize(("site", "by"), [("harrow-ridge", "terminal-manager"), ("pellan-creek", "yard-manager")])
@pytest.mark.parametrize("today", [False, True])
def test_a_closure_sheet_keeps_what_saves_lives_on_its_one_page(site, by, today):
    """Where it hangs over the bay sign it says what the sign says of a fall, and it never hangs over card, kit, phone or red stop; closed by decision or for
    the day, it is one page on both sizes, with all of that on it. Only a bay whose vehicles hold something has a tick for loading."""
    closed = {f"bays[{bay}].closed": CLOSED | {"by": by} for bay in ("B1", "B2")}
    log = logged(
        log_of(site),
        [{"drop": {"kind": "inspection", "part": part.id}} for part in demo(site).site.equipment if part.kind == "srd"],
    )
    checked = with_changes(demo(site), {}, log=log) if today else with_changes(demo(site), closed)
    for bay in ("B1", "B2"):
        document = made(checked, SHEET, bay)
        assert ("Open again" in document.markdown) is today
        for ending in ("pdf", "large.pdf"):
            written = WRITERS[ending](document)
            assert written.pages == 1
            assert written.notes == ()
            said = " ".join(text_of(written.data).split()).replace("\u2011", "-").replace("\u00a0", " ")
            second = demo(site).site.emergency.second.number
            assert f"Someone fell? Go to the bay phone. Call 911, then {second}." in said
            assert "never over rescue card, kit, phone or red stop." in said
        assert ("Loading off" in document.markdown) is ((site, bay) != ("pellan-creek", "B2"))


def test_an_open_site_has_no_closure_sheet():
    """Nothing is written for a bay that is open on the day."""
    assert papers_of(demo("harrow-ridge"), SHEET) == []


def test_nobody_to_ask():
    """Where the owner of the plan is not named the sheet says whom to ask all the same."""
    assert "Ask the person in charge here." in altered({"bays[B1].phone": None, "document.owner": None}, SHEET)


@pytest.mark.parametrize("site", ["sable-point", "thornmere", "wattle-bend", "ballinroe"])
def test_a_thin_site_has_sheets_and_no_sign(site):
    """No bay with all its facts: a closure sheet for each, no permission, limit or distance on any of these papers."""
    checked = demo(site)
    shut = [s.bay for s in checked.assessed.planned if s.shut]
    assert papers_of(checked, SIGN) == [f"{SIGN}.{s.bay}" for s in checked.assessed.planned if not s.shut]
    assert {f"{SHEET}.{bay}" for bay in shut} <= set(papers_of(checked, SHEET))
    for bay in shut:
        text = text_of(WRITERS["pdf"](made(checked, SHEET, bay)).data)
        assert "DO NOT" in text
        assert not re.search(r"\d\s?(?:ft|m|kg|lb|kN)\b", text)


WORD = re.compile(r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>')


def printed_over(pdf):
    """Pairs of words of a PDF of one page that lie on one another by more than a point, heights cut to those of small letters."""
    shown = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    words = []
    for left, top, right, bottom, word in WORD.findall(shown):
        cut = 0.3 * (float(bottom) - float(top))
        words.append((float(left), float(top) + cut, float(right), float(bottom) - cut, word))
    return [
        (a[4], b[4])
        for i, a in enumerate(words)
        for b in words[i + 1 :]
        if min(a[2], b[2]) - max(a[0], b[0]) > 1 and min(a[3], b[3]) - max(a[1], b[1]) > 1
    ]


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
@pytest.mark.parametrize("site", ["thornmere", "harrow-ridge"])
def test_no_word_of_a_card_is_printed_over_another(site, tmp_path):
    """Who meets the ambulance has a label of two words in a narrow column: it goes over two lines and not into the next cell."""
    guides = {f"shifts[{s.id}].chain.guide": "safety-manager" for s in demo(site).site.shifts if site == "harrow-ridge"}
    checked = as_if_open(with_changes(demo(site), guides)) if guides else demo(site)
    card = next(
        p.document for n, p in composed(checked, ("pdf",), wanted=("rescue-card",)).items() if n.startswith("rescue-card")
    )
    assert "**Meets ambulance**" in card.markdown
    file = tmp_path / "card.pdf"
    file.write_bytes(WRITERS["pdf"](card).data)
    assert printed_over(file) == []
