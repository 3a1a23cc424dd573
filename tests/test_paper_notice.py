"""The contractor notice: one page at both sizes, who may climb first, each class and bay, and nothing that no field says."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache

import pytest
from acceptance import rows, smallest_type
from plain import read
from pypdf import PdfReader
from support import AS_OF, CLIMBING, CONDITIONS, as_if_open, compared, composed, demo, overridden, with_changes

from docgen import papers as library
from docgen.codes import load
from docgen.compose.lengths import most_words, words_of
from docgen.control.issue import refusals
from docgen.papers import Budget
from docgen.pipeline import compared_site
from docgen.write.fit import overflow
from docgen.write.md import render as as_markdown
from docgen.write.pdf import render

NOTICE = "contractor-notice"
CLEAN = ("harrow-ridge", "pellan-creek")
CLOSED = {"by": "terminal-manager", "on": "2026-10-02", "reason": "The rail is being replaced"}
HEADINGS = [
    "Who may climb",
    "When you arrive",
    "In the bay",
    "If someone falls",
    "Stop and ask",
    "If a rule is broken",
    "Other duties",
]


def notice(changes=None, site="harrow-ridge"):
    """The notice of a demo with something changed."""
    checked = demo(site) if changes is None else with_changes(demo(site), changes)
    return composed(checked, ("md",), wanted=(NOTICE,))[NOTICE]


@cache
def plain(site="harrow-ridge"):
    """The notice of a demo as it is."""
    return notice(site=site)


def text(paper):
    """All its words in one line."""
    return " ".join(paper.document.markdown.replace("\u00a0", " ").replace("\u2011", "-").split())


@pytest.mark.parametrize(("site", "most"), [("harrow-ridge", 350), ("pellan-creek", 410)])
def test_the_words_of_the_body_are_within_the_budget(site, most):
    """350 words, 410 where a class may climb: panel and clauses, without title, headings and strip."""
    assert sum(words_of(c.text) for c in plain(site).body.clauses) <= most


@pytest.mark.parametrize("site", CLEAN)
def test_the_acceptance_of_the_notice_holds(site):
    """Pages, type, grade, lengths of sentences, verbs, and what must not stand there."""
    (row,) = [r for r in rows(site) if r.name == NOTICE]
    assert row.pages == 1
    assert row.faults == ()


@pytest.mark.parametrize(("site", "usual", "large"), [("harrow-ridge", 12, 18), ("pellan-creek", 11, 16)])
def test_one_text_on_two_sheets(site, usual, large):
    """One page on the sheet in hand and on the sheet that hangs, of the same text and mark; the type is at least that of the budget."""
    document = plain(site).document
    assert (document.smallest_pt, document.large[1]) == (usual, large)
    assert document.enlarged.tree is document.tree
    assert document.enlarged.mark == document.mark != ""
    for sheet, least in ((document, usual), (document.enlarged, large)):
        made = render(sheet)
        assert made.pages == 1
        size = smallest_type(made.data)
        assert size is None or size >= least


@pytest.mark.parametrize("site", CLEAN)
def test_seven_headings_in_the_order_of_the_reader(site):
    """Who may climb, what a driver does, the bay, a fall, stop and ask, broken rule, other duties; the site's name above."""
    document = plain(site).document
    assert re.findall(r"^## ([^{\n]+?) \{", document.markdown, re.MULTILINE) == HEADINGS
    assert document.markdown.startswith(f"# {demo(site).site.site.name}: rules for climbing on vehicles\n")


def test_who_may_climb_is_said_first_and_the_ban_stays():
    """With and without a class that may climb, the ban on all others stands in the same clause, rescuers excepted (P4)."""
    for paper in (plain(), notice(CLIMBING)):
        first = next(c.text for c in paper.body.clauses if c.id.endswith(".conditions"))
        assert "Nobody else may, except rescuers in a rescue." in first
        assert "Truck driver" in first
    assert "Truck driver or visitor: do not climb." in text(notice(CLIMBING))


def test_a_class_that_may_climb_stands_with_bay_conditions_and_limits():
    """Class, bay, each condition with who checks, and both limits (P3): the technician may in one bay and in no other."""
    said = text(notice(CLIMBING))
    assert "A service technician of a listed firm may climb in the Truck bay only." in said
    assert "Service technician: sign the gate card first." in said
    assert "checks training and language, the competent person harness and fit." in said
    assert "Every box on the gate card needs initials." in said
    assert "at least 130 lb without tools and less than 310 lb with clothing, harness and tools." in said
    other = text(notice(CLIMBING | {"contractors.classes[service].bays": ["B2"]}))
    assert "may climb in the Rail spur only." in other
    assert "may climb in the Truck bay only." not in other
    assert "Your firm's own rescuers must be here." in text(notice(CLIMBING | {"contractors.classes[service].rescuers": "own"}))


@pytest.mark.parametrize("lacking", [*CONDITIONS, "firms"])
def test_a_class_with_a_condition_missing_stands_under_the_ban(lacking):
    """What is absent or false makes no permission: neither class nor weight is printed (P3)."""
    key = "contractors.firms" if lacking == "firms" else f"contractors.classes[service].{lacking}"
    said = text(notice(CLIMBING | {key: None}))
    assert "Truck driver, visitor or service technician: do not climb." in said
    assert "of a listed firm" not in said
    assert not re.search(r"\d\s*(lb|kg)\b", said)
    if CONDITIONS.get(lacking) is True:
        assert "of a listed firm" not in text(notice(CLIMBING | {key: False}))


def test_a_class_whose_bay_is_shut_may_not_climb():
    """A permission for a bay falls with the bay."""
    said = text(notice(CLIMBING | {"bays[B1].closed": CLOSED}))
    assert "service technician: do not climb." in said
    assert "of a listed firm" not in said


@pytest.mark.parametrize(("changes", "gone"), [
    ({"contractors.refusal_right": False}, "Stop or refuse work"), ({"contractors.refusal_right": None}, "Stop or refuse work"),
    ({"contractors.report_no_penalty": False}, "Nobody is punished"), ({"contractors.report_no_penalty": None}, "Nobody is punished"),
    ({"contractors.applies_to_own_crew": False}, "our crew"), ({"contractors.applies_to_own_crew": None}, "our crew"),
    ({"contractors.own_crew": None}, "under its work rules"), ({"contractors.appeal": None}, "Appeal"),
    ({"contractors.enforcement": []}, "If a rule is broken"), ({"contractors.tell_us": None}, "what hazards you bring"),
    ({"contractors.classes[driver].conditions": []}, "stay in the driver room"), ({"contractors.classes[visitor].conditions": []}, "the escort"),
    ({"emergency.second": None}, "555-0150"),
])  # fmt: skip
def test_what_no_field_says_does_not_stand_there(changes, gone):
    """Each promise and rule comes from its own field: absent or false, and the words are gone (P15, P91)."""
    assert gone in text(plain())
    said = text(notice(changes))
    assert "Be attached at the back ring" in said  # the notice of open bays, not that of closed ones
    assert gone not in said


@pytest.mark.parametrize(
    "lacking",
    ["limits.weather", "limits.weather.wind", "limits.weather.gust", "limits.weather.ice", "limits.weather.lightning_wait"],
)
def test_without_its_weather_a_site_is_closed(lacking):
    """A limit of the weather that is not said closes the bays: the notice says so and has no rule of the weather."""
    said = text(notice({lacking: None}))
    assert "DO NOT CLIMB" in said.upper()
    assert "Be attached" not in said
    assert "thunder" not in said


def test_the_first_word_on_changes_and_lent_gear_are_promised_nowhere():
    """What the plan says of the site's own part, and who starts a rescue, is no business of the notice (P15)."""
    said = text(plain())
    for promise in ("hear of changes", "supplies", "rescuers on shift", "penalty", "In your language", "keeps it current"):
        assert promise not in said


def test_the_ring_of_attachment_follows_the_profile():
    """A front ring is called so (P31)."""
    front = {"systems[S1].attachment": "sternal", "systems[S2].attachment": "sternal", "equipment[H-A].attachment": "sternal"}
    assert "Be attached at the back ring before you leave the ground" in text(plain())
    said = text(notice(front))
    assert "back ring" not in said
    assert "front ring" in said or "Be attached" not in said


@pytest.mark.parametrize("late", [("B1",), ("B1", "B2")])
def test_nobody_is_told_to_attach_on_the_ground_where_they_cannot(late):
    """Such a bay is closed by hook-up-late, so the clause is looked at as if it were open: it would contradict the plan (P31)."""
    checked = with_changes(demo("harrow-ridge"), {f"bays[{bay}].hook_up.at_ground": False for bay in late})
    assert {f.name for f in checked.assessed.findings if f.severity == "must-fix"} == {"hook-up-late"}
    said = text(composed(as_if_open(checked), ("md",), wanted=(NOTICE,))[NOTICE])
    assert "Only climbers on the supervisor's list may climb." in said
    assert "before you leave the ground" not in said


def test_cab_steps_are_no_climb_and_rules_have_an_actor():
    """A driver may get into the cab (P13); each duty of vehicle control names who does it (P30)."""
    said = text(plain())
    assert "Cab steps are not climbing." in said
    assert "Truck driver: set the brake and lock the keys in the lockbox. Then stay in the driver room." in said
    assert "Do not move a vehicle or touch brakes until the supervisor releases it and the attendant signals." in said
    assert "Only rescuers may go up." in said  # nobody is ordered up by it (P33)
    assert "stay outside the painted box and rope" in said  # each bay's own marks (P32)


def test_the_alarm_line_names_who_where_and_which_numbers():
    """Attendant, bay phone, emergency number, second number, in this order (P33); closed for want of a number, the one of the law of the place."""
    line = "Tell the attendant. You see none? Go to the bay phone. Call 911, then 555-0150."
    assert line in text(plain())
    said = text(notice({"bays[B1].phone.area_allows": False, "emergency.public.number": None}))
    assert "Go out of the bay. Call 911, then 555-0150." in said
    assert "bay phone" not in said


def test_nobody_orders_a_ladder_of_penalties():
    """Who decides may do something; no step is fixed and none follows from an injury (P34, P38)."""
    said = text(plain())
    assert (
        "The supervisor may correct the person or send them away for the day and tell the employer. The terminal manager may end their access."
        in said
    )
    assert "blank" in next(
        c.text for c in notice({"contractors.enforcement[1].decided_by": None}).body.clauses if c.id.endswith(".steps")
    )


@pytest.mark.parametrize(("why", "changes", "words"), [
    ("decided", {"bays[B2].closed": CLOSED}, "The Rail spur is closed. Nobody may climb there, except rescuers in a rescue."),
    ("found", {"bays[B2].phone": None}, "The Rail spur is closed. Nobody may climb there, except rescuers in a rescue."),
    ("gap", {"bays[B2].phone": None, "vehicles[tank-car].name": "Tank railcar", "rescue.methods[M2].vehicles": ["tanker"], "rescue.methods[M3].vehicles": ["tanker"],
             "rescue.methods[M4].vehicles": ["tanker"], "rescue.methods[M1].vehicles": ["tanker"]}, "The Rail spur is closed. Nobody may climb there."),
])  # fmt: skip
def test_a_bay_that_is_shut_prints_no_permission_and_no_limit(why, changes, words):
    """Closed by decision or by a finding: its clause says so, rescuers excepted but in a rescue gap; nothing else of it stands there."""
    said = text(notice(changes))
    assert words in said
    assert "tank railcar" not in said
    assert "rope" not in said
    assert "Truck bay: climb only on the tank trailer." in said


@pytest.mark.parametrize(
    "changes", [{"bays[B1].closed": CLOSED, "bays[B2].closed": CLOSED}, {"rescue.methods": []}], ids=["decided", "gap"]
)
def test_the_closure_notice_takes_the_place_of_the_rules(changes):
    """With no open bay the page says that nobody climbs, why, where to call and whom to ask, and no rule of an open bay."""
    paper = notice(changes)
    said = text(paper)
    assert "DO NOT CLIMB" in said
    assert "## " not in paper.document.markdown
    for bay in ("The Truck bay is closed.", "The Rail spur is closed."):
        assert bay in said
    assert ("Rescuers may still go up." in said) == ("rescue.methods" not in changes)
    assert ("No rescue is ready." in said) == ("rescue.methods" in changes)
    assert "Call 911, then 555-0150." in said
    assert "Ask the terminal manager, 555-0140." in said
    assert not re.search(r"\bmay climb\b(?<!Nobody may climb)|lb\b|ft\b|mph", said)
    assert render(paper.document).pages == render(paper.document.enlarged).pages == 1


@pytest.mark.parametrize("site", ["sable-point", "cormorant-quay", "thornmere"])
def test_thin_and_failing_demos_print_the_closure_notice(site):
    """No permission over a failed calculation, and a reason in words (P5, P91)."""
    paper = plain(site)
    said = text(paper)
    assert f"Nobody may climb at {demo(site).site.site.name}." in said
    assert "Facts are missing." in said
    assert " lb" not in said
    assert "may climb in" not in said
    assert render(paper.document).pages == 1


@pytest.mark.parametrize("large", [False, True], ids=["in hand", "hung"])
@pytest.mark.parametrize("site", ["sable-point", "cormorant-quay", "thornmere"])
def test_a_closure_notice_fills_its_page_and_the_call_for_help_is_large(site, large):
    """It grows as far as its sheet goes; what to do for a person who hangs is as large as the words on the ban, in DOCX and HTML too."""
    document = plain(site).document
    document = document.enlarged if large else document
    sizes, heights = {}, []

    def seen(said, cm, tm, _font, size):
        if said.strip():
            heights.append((tm[5] * cm[3] + cm[5], said))
            sizes.setdefault(said.strip().split()[0], size * abs(tm[3] * cm[3]))

    (page,) = PdfReader(io.BytesIO(render(document).data)).pages
    page.extract_text(visitor_text=seen)
    assert sizes["Facts"] >= document.type_pt
    assert sizes["If"] == pytest.approx(sizes["Nobody"])
    assert sizes["If"] >= 1.8 * document.type_pt
    foot = 0.12 * float(page.mediabox.height)
    assert min(height for height, _ in heights if height > foot) < 0.25 * float(page.mediabox.height)
    assert "Call" in text(plain(site)).partition("If you find a person hanging")[2].partition(".alarm")[0]


def test_a_draft_says_so_first_and_has_no_line_of_review():
    """The band stands above the title and first in the Markdown; counsel and law numbers stand nowhere on it (P23)."""
    paper = plain()
    assert as_markdown(paper.document).data.decode().startswith("**FOR APPROVAL - NOT FOR POSTING. 2 reasons: see worksheet**\n")
    assert not re.search(r"[Cc]ounsel|CFR|\breview|\bmin\b", paper.document.markdown)
    assert len(re.findall(r"^\| :--", paper.document.markdown, re.MULTILINE)) == 1


def test_every_sentence_reads_as_a_sentence():
    """Grade, lengths and verbs, with a class that may climb and with one bay closed."""
    for paper in (notice(CLIMBING), notice({"bays[B2].closed": CLOSED})):
        found = read(paper.document.markdown)
        assert found.verbless == ()
        assert found.longest <= 25
        assert found.mean <= 12
        assert found.grade <= 6


LONG = "## Who may climb\n\n{{% clause 'long' %}}\n{}\n{{% endclause %}}\n"


def test_a_notice_of_too_many_words_is_found_with_its_longest_texts():
    """By the words of the finished text: 351 of 350, and where they stand."""
    checked = with_changes(
        demo("harrow-ridge"),
        {"contractors.check_in": "Report to the gate operator for the briefing at once and wait there for the word"},
    )
    assessed, bodies = compared_site(checked, (NOTICE,))
    count = sum(words_of(c.text) for c in bodies[NOTICE]["en"].clauses)
    (found,) = [f for f in assessed.assessed.findings if f.name == "paper-too-long"]
    assert (found.values["words"], found.values["most"], found.values["over"]) == (count, 350, count - 350)
    assert found.documents == (NOTICE,)
    assert re.match(r"held-still \(\d+\), ", found.values["longest"])
    assert not [f for f in compared_site(demo("harrow-ridge"), (NOTICE,))[0].assessed.findings if f.name == "paper-too-long"]


def test_a_notice_longer_than_its_page_is_measured_on_both_sheets(tmp_path):
    """At the smallest type it takes two pages: so many words are too many, and without them it fits."""
    own = overridden(tmp_path, NOTICE, "rules", LONG.format(" ".join(["Nobody may climb on this vehicle today."] * 150)))
    document = composed(demo("harrow-ridge"), ("pdf",), own=(own,), wanted=(NOTICE,))[NOTICE].document
    found = overflow(document)
    assert [(o.sheet, o.pages, o.most) for o in found] == [("letter", 2, 1), ("tabloid", 2, 1)]
    assert all(o.over > 0 for o in found)
    assert overflow(plain().document) == ()


@pytest.mark.parametrize("site", [*CLEAN, "cormorant-quay", "sable-point"])
def test_no_clause_has_more_words_than_its_source_has_pieces(site):
    """What is not parsed because its source is short enough is short enough: the quick count is never below the words, in any clause of any paper."""
    clauses = [clause.text for versions in compared(site)[1].values() for body in versions.values() for clause in body.clauses]
    assert len(clauses) > 50
    assert not [text for text in clauses if words_of(text) > most_words(text)]
    assert words_of("A | b|c") <= most_words("A | b|c")
    assert most_words("one two\u00a0three") == 3


def test_a_notice_longer_than_its_page_is_not_issued(monkeypatch):
    """Where the smallest type that the notice may have does not fit, the issue is refused with the sheet, the words too many and the longest clauses (U12)."""
    checked, bodies = compared("harrow-ridge")
    large = tuple(replace(o, budget=Budget(1, 30.0, words=350)) if o.name == NOTICE else o for o in library.outlines())
    monkeypatch.setattr(library, "outlines", lambda: large)
    told = [r for r in refusals(checked, bodies, (NOTICE,), "en") if r.name == "longer-than-its-page"]
    assert [(r.values["document"], r.values["sheet"], r.values["most"]) for r in told] == [(NOTICE, "letter", 1)]
    assert all(r.values["pages"] > 1 and r.values["over"] > 0 for r in told)
    assert all("held-still (" in str(r.values["longest"]) for r in told), [r.values for r in told]


# what counsel found on the notice, each told by its line of that list


def test_title_names_the_site_and_what_it_is_about():
    """P25: the site that speaks and the subject, on the page and in Markdown, and nothing of "these bays"."""
    for site in CLEAN:
        title = plain(site).document.markdown.partition("\n")[0]
        assert title == f"# {demo(site).site.site.name}: rules for climbing on vehicles"
    renamed = notice({"site.name": "Mill Basin Terminal (invented)"})
    assert renamed.document.markdown.startswith("# Mill Basin Terminal (invented): rules for climbing on vehicles\n")


def test_climb_means_the_same_on_notice_and_plan():
    """P13, P26: one wording of what climbing is, cab steps left out of it on both; must is no condition of being on the site."""
    papers = composed(demo("harrow-ridge"), ("md",), wanted=(NOTICE, "fall-protection-plan"))
    said = {name: text(paper) for name, paper in papers.items()}
    meaning = re.search(r"To climb is to (go up onto [^.]*\. Cab steps are not climbing\.)", said[NOTICE])
    assert meaning
    assert f"climb : {meaning[1]}" in said["fall-protection-plan"]
    assert "condition of being on site" not in said[NOTICE]


def test_who_starts_what_is_said_and_no_proof_is_asked_of_those_who_may_not_climb():
    """P27: nobody may climb before the one who gives the word says so; no proof of training is asked without saying of what and by whom."""
    for paper in (plain(), notice(CLIMBING)):
        said = text(paper)
        assert "Climber: climb only when the supervisor says so." in said
        assert not re.search(r"[Pp]roof|Start only", said)
    assert "Climber: climb only when the terminal manager or the supervisor says so." in text(
        notice({"bays[B1].release.by": "terminal-manager"})
    )


def test_weights_stand_there_only_for_those_who_may_climb():
    """P28: both limits where a class may climb, none where only the own crew may."""
    assert not re.search(r"\d\s*(lb|kg)\b|weigh", text(plain()))
    limits = re.findall(r"\d+ (?:lb|kg)", text(notice(CLIMBING)))
    assert limits == ["130 lb", "310 lb"]
    assert re.findall(r"\d+ (?:lb|kg)", text(plain("pellan-creek"))) == ["59 kg", "140 kg"]


def test_articles_are_kept():
    """P29: of a vehicle by whatever name, and of the people who may not climb."""
    assert "Truck bay: climb only on the tank trailer." in text(plain())
    assert "Truck bay: climb only on the acid trailer." in text(notice({"vehicles[tanker].name": "Acid trailer"}))
    for one in re.findall(r"climb only on (\w+)", text(plain()) + text(plain("pellan-creek"))):
        assert one == "the"


def test_wind_and_gusts_each_say_from_what_on():
    """P32: each limit says that it holds from there on; the marks of each bay are its own."""
    said = text(plain())
    assert "thunder, lightning, ice, snow, wind of 25 mph or more, or gusts of 35 mph or more." in said
    assert "wind of 40 km/h or more, or gusts of 55 km/h or more." in text(plain("pellan-creek"))
    assert "stay outside the yellow line and rope" in text(notice({"bays[B1].marked_area.name": "Yellow line"}))


def test_duties_of_the_employer_are_no_more_than_said():
    """P35: the duties of an employer stay, and whatever is stricter is followed; nothing "counts" for another's people."""
    said = text(plain())
    assert "Your employer keeps its duties to you. Follow any stricter law, local code or maker's instruction." in said
    assert not re.search(r"\bit counts\b|own employer|only your employer", said)
    assert "for our crew, under its work rules" in said
    assert "for our crew" not in text(notice({"contractors.applies_to_own_crew": False}))


def test_what_must_not_be_covered_is_this_notice_and_nobody_promises_every_copy():
    """P36: the plan and where it is, then this notice; no role keeps copies current."""
    said = text(plain())
    assert "Plan HR-FP-01 is in the control room. Do not cover, change or remove this notice." in said
    assert not re.search(r"keeps? (it|them|this) (current|up to date)|remove it\b", said)
    assert "is in the gate house" in text(notice({"document.kept_at": "Gate house, second shelf"}))


def test_conditions_of_a_class_that_may_not_climb_bind_on_the_page():
    """P37: what the plan asks of drivers and visitors stands on the notice and on the half that they keep, in the same words."""
    papers = composed(demo("harrow-ridge"), ("md",), wanted=(NOTICE, "gate-card", "fall-protection-plan"))
    kept = [c for one in demo("harrow-ridge").site.contractors.classes for c in one.conditions]
    assert kept
    for name in (NOTICE, "gate-card", "fall-protection-plan"):
        paper = papers[name]
        for condition in kept:
            assert condition.rstrip(". ").casefold() in text(paper).casefold(), (name, condition)


def test_which_breach_costs_what_is_left_to_those_who_decide():
    """P38: who may do what after a breach is said, of each decider; no step is a must, and whoever ends the access is named."""
    said = text(plain())
    part = said.partition("If a rule is broken")[2].partition("Other duties")[0]
    assert re.findall(r"The ([a-z ]+?) may ", part) == ["supervisor", "terminal manager"]
    assert "may end their access" in part
    assert not re.search(r"\b(must|first|second|third|step|always)\b", part)
    other = text(notice({"contractors.enforcement[1].decided_by": "safety-manager"}))
    assert "The safety manager may" in other


def test_without_a_gate_nobody_there_checks_anything():
    """P4: who looks at training is the one whom the profile names, also where no role is the gate's."""
    gone = notice({"roles[gate].part": [], "contractors.classes[service].language_by": "shift-supervisor"}, "pellan-creek")
    said = text(gone)
    assert "The supervisor checks training and language" in said
    assert "gate operator checks" not in said


@pytest.mark.parametrize(
    ("place", "panel"),
    [("US", True), ("US-CA", True), ("US-OR", True), ("GB", False), ("IE", False), ("AU", False), ("NZ", False)],
)
def test_the_orange_panel_hangs_only_where_the_law_gives_that_form(place, panel):
    """P83: the word on orange in the United States; a triangle and no signal word where the law has the other form."""
    under = with_changes(demo("harrow-ridge"), {}, code=load(place, "general-industry", AS_OF))
    for paper, name in (("contractor-notice", NOTICE), ("bay-sign", "bay-sign.B1")):
        made = composed(under, ("md",), wanted=(paper,)).get(name)
        if made is None or "DO NOT CLIMB" in made.document.markdown:
            continue
        tree = made.document.tree
        assert bool(list(tree.iter("box"))) is panel, (place, name)
        assert ("WARNING" in made.document.markdown) is panel
        assert panel or next(e.get("symbol") for e in tree.iter("p") if e.get("symbol")) in ("general-warning", "drop-edge")
    assert composed(under, ("md",), wanted=(NOTICE,))[NOTICE].document.markdown.count("WARNING") == int(panel)


def test_nothing_is_said_for_a_site_by_default():
    """P91: without its field no word on penalties, on the own crew or on a second number stands on any paper that hangs, and the bays stay open."""
    silent = {
        "contractors.refusal_right": None, "contractors.report_no_penalty": None, "contractors.applies_to_own_crew": None, "contractors.own_crew": None,
        "emergency.second": None, "contractors.interpreter": None,
    }  # fmt: skip
    papers = composed(with_changes(demo("harrow-ridge"), silent), ("md",), wanted=(NOTICE, "bay-sign", "gate-card"))
    said = " ".join(text(papers[name]) for name in (NOTICE, "bay-sign.B1", "bay-sign.B2", "gate-card"))
    assert "Who may climb" in said
    before = " ".join(text(plain()).split())
    for word in ("punished", "our crew", "555-0150"):
        assert word in before
        assert word not in said
    assert "Spanish" not in said
