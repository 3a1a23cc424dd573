"""Letter to the fire service and change slip: what stands on them and from where, what they never claim, and what they do without facts."""

from __future__ import annotations

import copy
import re
from datetime import date
from io import BytesIO

import pytest
from acceptance import rows
from office import run_office
from outside import docx_faults, html_faults
from support import composed, demo, log_of, logged, papers, with_changes
from test_paper_forms import too_small
from test_site_page import page_of
from write.same_words import docx_blocks, html_blocks, pdf_gaps, plain, tree_blocks

from docgen.compose import compose_all
from docgen.papers import outline
from docgen.pipeline import check_site
from docgen.write import WRITERS, widths
from docgen.write.fit import overflow
from docgen.write.pdf import render

PAPERS = ("fire-service-letter", "change-slip")
CLEAN = ("harrow-ridge", "pellan-creek")
DAY = date(2026, 11, 1)
SHUT = {"by": "terminal-manager", "on": "2026-10-20", "reason": "The rail is being replaced"}


def made(site="harrow-ridge", changes=None, steps=(), day=DAY, wanted=PAPERS):
    """Both papers of a demo, with something changed."""
    checked = demo(site)
    if changes or steps or day != DAY:
        checked = with_changes(checked, changes or {}, day, log=logged(log_of(site), steps))
    return {name: paper for name, paper in composed(checked, ("pdf",), wanted=wanted).items() if name != "index"}


def text(paper):
    """All its words in one line."""
    return " ".join(paper.document.markdown.replace("\u00a0", " ").replace("\u2011", "-").split())


def letter(*given, **values):
    return text(made(*given, **values, wanted=PAPERS[:1])[PAPERS[0]])


def slip(*given, **values):
    return text(made(*given, **values, wanted=PAPERS[1:])[PAPERS[1]])


def add(kind, **fields):
    return {"add": {"kind": kind, "by": "L. Brandt", **fields}}


# --- both ---------------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("site", CLEAN)
def test_the_acceptance_of_both_holds(site):
    """Pages, type, lengths of sentences, and what must and must not stand there."""
    found = {r.name: r for r in rows(site)}
    for name in PAPERS:
        assert found[name].faults == (), name


@pytest.mark.parametrize("site", [*CLEAN, "sable-point", "cormorant-quay", "thornmere"])
def test_they_are_written_in_every_state_and_keep_their_pages(site):
    """Thin and failing sites have them too; the part to send back is the second page."""
    for name, paper in made(site).items():
        assert render(paper.document).pages <= outline(name).budget.pages, name


def more_bays(site, count):
    """A clean demo with so many bays: its second one again, each with a system and tasks of its own."""
    data = demo(site).source.data
    bays, systems, tasks = (copy.deepcopy(data[name]) for name in ("bays", "systems", "tasks"))
    model, hung, done = bays[1], systems[1], [task for task in tasks if task["bay"] == bays[1]["id"]]
    for number in range(3, count + 1):
        own = f"B{number}"
        anchors = [{**anchor, "id": f"{anchor['id']}-{own}"} for anchor in model["rescue_anchors"]]
        bays.append({**model, "id": own, "name": f"North spur {number}", "rescue_anchors": anchors})
        systems.append({**hung, "id": f"S-{own}", "bay": own})
        tasks += [{**task, "id": f"{task['id']}-{own}", "bay": own} for task in done]
    return {"bays": bays, "systems": systems, "tasks": tasks}


@pytest.mark.parametrize("site", CLEAN)
@pytest.mark.parametrize("count", [2, 3, 5])
def test_a_letter_of_many_bays_has_a_page_more_and_its_answer_on_the_last(site, count):
    """The facts of each bay take a page; what the officer sends back is the last page, whole, and the letter says so; nothing is cut."""
    pypdf = pytest.importorskip("pypdf")
    paper = made(site, more_bays(site, count), wanted=PAPERS[:1])[PAPERS[0]]
    rendered = render(paper.document)
    assert (rendered.pages, rendered.notes) == (2 if count == 2 else 3, ())
    assert overflow(paper.document) == ()
    pages = [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(rendered.data)).pages]
    assert "Please fill in the last page and send it back." in pages[0]
    assert all(("Your answer" in page and "Fire service, station" in page) == (page is pages[-1]) for page in pages)
    for bay in more_bays(site, count)["bays"]:
        assert bay["name"] in text(paper)


@pytest.mark.parametrize("site", [*CLEAN, "sable-point"])
def test_lines_for_the_hand(site):
    """A row to write in is 0.3 in high, and no table is set smaller than the budget says."""
    for name, paper in made(site).items():
        assert too_small(paper.document, outline(name).budget.smallest_pt) == ([], []), name


@pytest.mark.parametrize("site", CLEAN)
def test_all_types_say_the_same_and_are_sound(site, tmp_path):
    """The words of the tree in HTML, DOCX and PDF; no error of HTML and Open XML; LibreOffice sets the DOCX on as many pages."""
    pypdf = pytest.importorskip("pypdf")
    for name, paper in made(site).items():
        document = paper.document
        blocks = tree_blocks(document.tree)
        word = WRITERS["docx"](document).data
        assert docx_faults(word, tmp_path) == [], name
        assert set(docx_blocks(word)) <= set(blocks) | {plain(document.title)}, name
        pdf_gaps(render(document).data, blocks, widths.page(document))
        if "html" in outline(name).types:
            html = WRITERS["html"](document).data
            assert html_faults(html) == [], name
            assert html_blocks(html) == blocks, name
        (tmp_path / f"{name}.docx").write_bytes(word)
    run_office(tmp_path, "--convert-to", "pdf", "--outdir", str(tmp_path), *(str(tmp_path / f"{name}.docx") for name in PAPERS))
    for name in PAPERS:
        pages = len(pypdf.PdfReader(BytesIO((tmp_path / f"{name}.pdf").read_bytes())).pages)
        assert pages == outline(name).budget.pages, name


def test_no_approval_rests_on_them_and_they_bear_their_day():
    """A sheet of a day has no digest: what is on file comes from the log, and the foot has the day."""
    for name, paper in made().items():
        assert not outline(name).digest
        assert paper.body.digest == ""
        assert paper.document.mark == ""
        assert "2026-11-01" in paper.document.revision


def test_the_site_page_links_both():
    """Among the records and forms, by title, each file that is written."""
    checked = demo("harrow-ridge")
    pairs = compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("html", "docx", "pdf"), wanted=PAPERS)
    told = next(document.markdown for document, _ in pairs if document.name == "index")
    for name in PAPERS:
        assert f"| {outline(name).title_in('en')} |" in told
        for kind in outline(name).types:
            assert f"({name}.{kind})" in told
    assert "fire-service-letter" not in page_of(checked)  # only what is written with it


# --- letter: where, what, how high ----------------------------------------------------------------------------------------


def test_where_the_site_is_and_how_one_gets_in():
    """Address, the words of the caller, gate and who opens it, way in, who meets the ambulance, hours of the shifts, call back."""
    said = letter()
    assert "2200 Spur Road, Alder Flat, Nebraska" in said
    assert '"Harrow Ridge Terminal, 2200 Spur Road, east gate". Call us back: 555-0150' in said
    assert "East gate on Spur Road. Gate operator on duty: open the gate and wait there." in said
    assert "then the paved lane to the bays. Gate operator meets you there." in said
    assert "Day 06:00-14:00, evening 14:00-22:00, night 22:00-06:00" in said


def test_a_gate_that_opens_otherwise_at_night_says_so():
    """Shifts on which the gate opens in the same way stand together; a shift without climbing is not told."""
    opens = [
        {"shift": "day", "how": "Open the gate and wait there", "by": "gate"},
        {"shift": "evening", "how": "Open the gate and wait there", "by": "gate"},
        {"shift": "night", "how": "Open it from the control room", "by": "shift-supervisor"},
    ]
    said = letter(changes={"site.gate.opens": opens})
    assert "Day and Evening: Gate operator on duty: open the gate and wait there." in said
    assert "Night: Shift supervisor: open it from the control room." in said
    by_day = letter(changes={"site.gate.opens": opens, "shifts[night].climbing": False})
    assert "East gate on Spur Road. Gate operator on duty: open the gate and wait there." in by_day
    assert "control room. |" not in by_day


@pytest.mark.parametrize("site", CLEAN)
def test_the_heights_are_those_of_the_procedure(site):
    """Each row of ring and feet, word for word; never another rounding."""
    pattern = re.compile(r"^\| [^|]+ \| [^|]+ \| [\d.]+\s(?:ft|m) \|.*$", re.MULTILINE)
    procedure = pattern.findall(papers(site)["rescue-procedure"].document.markdown)
    mine = pattern.findall(made(site)["fire-service-letter"].document.markdown)
    assert procedure
    assert mine == procedure


def test_what_is_dangerous_at_each_bay():
    """Product, dangers, area class and overhead line, by bay, and live parts where there are any."""
    said = letter()
    assert said.count("Gasoline and diesel fuel, liquid with vapor above it") == 2
    assert "| **Dangers** | Fire, gas, spill, moving vehicles | Fire, gas, spill, moving vehicles |" in said
    assert said.count("Overhead line: none |") == 2
    line = {"distance": "32 ft", "voltage": "12.5 kV"}
    near = letter(
        changes={
            "bays[B1].electrical.overhead_lines": "One line along the east fence",
            "bays[B1].electrical.line": line,
            "bays[B1].electrical.energised": "Heater terminals at 6 ft",
        }
    )
    assert "Overhead line: 12.5 kV, 32 ft away. Live parts: heater terminals at 6 ft |" in near
    assert near.count("Overhead line: none |") == 1
    unknown = letter(changes={"bays[B1].electrical": None})
    assert "**overhead lines, or none**{: .blank" in unknown


def test_anchors_say_what_they_hold_and_are_for():
    """Strength as written and people; an anchor holds a fall only where its field says so; a bay without one says none."""
    said = letter()
    assert "RA-1, north plate, holds 3600 lbf, 2 people, not for fall arrest" in said.replace(",600", "600")
    assert "not for fall arrest" not in letter(
        changes={f"bays[{b}].rescue_anchors[{a}].fall_arrest": True for b, a in (("B1", "RA-1"), ("B2", "RA-2"))}
    )
    bare = letter(changes={"bays[B1].rescue_anchors": [], "bays[B2].rescue_anchors": []})
    assert "| **Rescue anchors** | none | none |" in bare


def test_what_must_not_be_done_is_that_of_the_procedure():
    """Line, crane, rail, a bent frame: as in the procedure."""
    said, procedure = letter(), text(papers("harrow-ridge")["rescue-procedure"])
    assert "Do not cut the line. Do not lift with arm, crane, forks or by hand." in procedure
    assert "**Please do not** cut the line, and do not lift with arm, crane, forks or by hand." in said
    for same in ("do not attach to the rail that holds the person.", "attach nothing to it"):
        assert same in said.lower()
        assert same in procedure.lower()


# --- letter: what the site does itself, and where it waits ----------------------------------------------------------------


def test_own_methods_are_named_with_the_targets():
    """By number and name, as they are called in the procedure; a method that cannot be counted on in a bay is not told of it."""
    said = letter()
    assert (
        "- Method 1: help the person back to the walkway; - Method 2: raise with the rescue kit, release and lower; "
        "- Method 3: rolling platform under the person." in said
    )
    assert "within 4 min of the fall and to have the person on the ground within 9 min." in said
    assert "The shift supervisor leads and tells you what is done" in said
    assert "Method 4" not in said
    only = letter(changes={"rescue.methods[M2].rescue_anchors": ["RA-1"]})
    assert "- Method 2: raise with the rescue kit, release and lower (in the Truck bay only);" in only


def test_outside_help_is_no_plan_alone():
    """Where no method of the site can be counted on, the letter says that nobody climbs, and names none."""
    assert "Help from outside is no plan alone." in letter()
    outside = [m for m in demo("harrow-ridge").source.data["rescue"]["methods"] if m["kind"] == "outside"]
    said = letter(changes={"rescue.methods": outside})
    assert "Help from outside is no plan alone." in said
    assert "Truck bay: no rescue of our own is planned. Nobody may climb there." in said
    assert "start one of these methods" not in said
    assert "wait for you in these cases" not in said


def test_it_says_where_the_site_waits():
    """Dangers until the meter lifts them, breathing protection, rows B and C, wind: each only from its field."""
    said = letter()
    assert (
        "- fire, gas, spill or moving vehicles, until the shift supervisor lets them go in (they wait upwind: at the east gate "
        "or the control room);" in said
    )
    assert "- a place where breathing protection against gasoline vapor is needed;" in said
    assert "- a person who is hurt or ill on the vehicle and does not hang (we give first aid there);" in said
    assert "- a person who is caught or pressed (we take the weight and hold);" in said
    assert "- wind of 25 mph or more, where only Method 3 would do;" in said
    calm = letter(
        changes={"rescue.methods[M3].wind_max": None, "rescue.protection": [], "bays[B1].dangers": [], "bays[B2].dangers": []}
    )
    assert "- wind of" not in calm
    assert "breathing protection against" not in calm
    assert "lets them go in" not in calm
    assert "| **Dangers** | none known | none known |" in calm
    held = letter(changes={"rescue.methods[M3].rows": ["E"]})
    assert "caught or pressed;" in held  # no method takes the weight


# --- letter: what it does not claim, and the file -------------------------------------------------------------------------


def test_it_claims_no_agreement():
    """It says so, and no sentence says that they agreed, will come, or are able to."""
    for site in (*CLEAN, "cormorant-quay"):
        said = letter(site)
        assert "Nothing in this letter says that you have agreed to anything." in said
        assert not re.search(r"\byou (will|agreed|can|are able)\b", said), site


def test_what_is_on_file_comes_from_the_log():
    """The last letter on each matter and the last visit, of that agency alone; on another day it is another letter."""
    assert "We have this on file: your letter of 2026-02-20 on your coming and your reach; your visit of 2026-04-14." in letter()
    newer = (
        add("letter", on="2026-10-02", about="response-time", of="Alder Flat fire department"),
        add("letter", on="2026-10-03", about="agreement", of="Another county"),
    )
    said = letter(steps=newer)
    assert "your letter of 2026-02-20 on your coming and your reach, your letter of 2026-10-02 on your time; your visit" in said
    assert "2026-10-03" not in said
    assert "We have no letter and no visit of yours on file." in letter(
        steps=({"drop": {"kind": "letter"}}, {"drop": {"kind": "visit"}})
    )
    assert "We have this on file: your visit of 2026-04-14." in letter(steps=({"drop": {"kind": "letter"}},))
    assert "| 1 October 2026 |" in letter(day=date(2026, 10, 1))


def test_it_says_of_which_procedure_it_is(issued):
    """A procedure that is not in force may change; of one in force the revision stands there."""
    assert "Our rescue procedure is not issued yet: these facts may change, and we then write again." in letter()
    checked, kept = demo("harrow-ridge"), check_site(issued, DAY).records
    pairs = compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("pdf",), wanted=PAPERS[:1], records=kept)
    said = next(" ".join(d.markdown.split()) for d, _ in pairs if d.name == PAPERS[0])
    assert "This letter follows revision 1 of our rescue procedure." in said
    moved = with_changes(checked, {"rescue.wait_at": "At the west fence"})
    pairs = compose_all(moved.site, moved.code, moved.assessed, moved.happened, ("pdf",), wanted=PAPERS[:1], records=kept)
    said = next(" ".join(d.markdown.split()) for d, _ in pairs if d.name == PAPERS[0])
    assert "Our rescue procedure is being changed after revision 1: these facts may change" in said


@pytest.mark.parametrize("site", ["sable-point", "cormorant-quay"])
def test_a_letter_with_a_fact_missing_is_not_sent(site):
    """Each missing fact is a box, and the first line says not to send it; a whole one says nothing of it."""
    said = letter(site)
    assert "**Do not send this yet**{: .flag }" in said
    assert "{: .blank" in said
    for whole in CLEAN:
        assert "Do not send" not in letter(whole)
        assert "{: .blank" not in letter(whole)


def test_the_answer_asks_what_the_site_must_know():
    """Whether, from where, how fast at worst, how high, with what, trained, when not, visit and drill, the line for confirming, whom to tell."""
    said = letter()
    answer = said[said.index("## Your answer") :]
    assert re.findall(r"\| (\d) \| ", answer) == [str(n) for n in range(1, 10)]
    for asked in ("Do you come when a person hangs here? From where?", "at the worst hour? We have 9 min.", "How high do you reach",
                  "What do you bring?", "Have you trained", "In which case do you not go in, or not lift?", "show you the bays and drill",
                  "not the emergency number, do we confirm our number and words? We have 555-0100.", "Whom do we tell"):  # fmt: skip
        assert asked in answer, asked
    assert "| Fire service, station | Name, rank | Day | Signature |" in answer
    assert "send this page to the rescue lead of Harrow Ridge Terminal LLC, 2200 Spur Road, Alder Flat, Nebraska." in answer
    for entered in (
        "docgen log SITE letter",
        "line 1 is about agreement",
        "line 2 response-time",
        "lines 3 to 5 capability",
        "docgen log SITE visit",
    ):
        assert entered in answer, entered
    bare = letter(changes={"rescue.external.arrival": None, "rescue.brigade": None, "emergency.public.non_emergency": None})
    assert "We have 9 min" not in bare
    assert "our number and words? |" in bare


def test_who_sends_it():
    """The rescue lead, with name and number; without one the safety manager; without both a box."""
    assert "Harrow Ridge Terminal LLC, rescue lead D. Sorensen, 555-0143" in letter()
    roles = [dict(r) for r in demo("harrow-ridge").source.data["roles"]]
    none = [{**r, "part": ["other"]} if r["id"] == "rescue-lead" else r for r in roles]
    assert "Harrow Ridge Terminal LLC, safety manager L. Brandt, 555-0141" in letter(changes={"roles": none})
    neither = [{**r, "part": ["other"]} if r["id"] in ("rescue-lead", "safety-manager") else r for r in roles]
    assert "**who sends this, and a number**{: .blank" in letter(changes={"roles": neither})


def test_no_climber_no_weight_and_no_private_number():
    """Nothing of people by number, no weight, no number that is a person's own."""
    contacts = [{"role": "Manager at home", "number": "555-0199", "private": True}]
    said = letter(changes={"emergency.contacts": contacts + demo("harrow-ridge").source.data["emergency"]["contacts"]})
    assert not re.search(r"\b(U|RS)-\d", said)
    assert not re.search(r"\d (lb|kg)\b", said)
    assert "555-0199" not in said


def test_a_closed_bay_keeps_its_rescue():
    """A bay that is closed to work is told with its heights; the letter permits nothing."""
    said = letter(changes={"bays[B2].closed": SHUT})
    assert "| Rail spur | Tank railcar |" in said
    assert "may climb" not in said


# --- change slip ----------------------------------------------------------------------------------------------------------


def test_the_slip_stops_and_says_who_is_told():
    """The role of the profile with its number, the supervisor where nobody answers; where the profile names none, the supervisor."""
    said = slip()
    assert "**Stop. Nobody climbs on it or with it until this slip is answered.**" in said
    assert (
        "Tell the safety manager, 555-0141, and hand over this slip. Nobody answers? Hand it to the shift supervisor; it stays stopped."
        in said
    )
    alone = slip(changes={"site.new_thing_to": "shift-supervisor"})
    assert "Tell the shift supervisor, 555-0142, and hand over this slip." in alone
    assert "Nobody answers?" not in alone
    assert "Tell the shift supervisor, and hand over this slip." in slip(changes={"site.new_thing_to": None})
    assert "Tell the supervisor, and hand over this slip." in slip("sable-point")


def test_the_slip_asks_and_is_answered():
    """What, where, since when, day, a name only for whoever likes; what was done, the entry of the log, and whether work goes on."""
    said = slip()
    for asked in ("What is new?", "Where: bay, place", "Since when", "Day, time", "Name, if you like", "What was done", "Log entry, day", "Work goes on",
                  "Told the finder"):  # fmt: skip
        assert f"| {asked} |" in said, asked
    assert said.index("Name, if you like") < said.index("Whoever answers") < said.index("What was done")
    assert "Does the plan not cover it? Then it stays stopped until changed papers are issued." in said


@pytest.mark.parametrize("site", CLEAN)
def test_plan_card_training_and_shift_sheet_send_to_the_same_role(site):
    """Who is told of something new is one role on each paper that says it, and the shift sheet names the slip."""
    role = demo(site).site.role(demo(site).site.site.new_thing_to)
    assert role is not None
    title = role.title.lower()
    assert f"stop and tell the {title}." in text(papers(site)["fall-protection-plan"]).lower()
    assert f"something is new? tell the {title}." in text(papers(site)["climb-card.B1"]).lower()
    assert f"stop. tell the {title}." in text(papers(site)["training-outline"]).lower()
    assert f"something here is new? stop. tell the {title}, by change slip" in text(papers(site)["shift-sheet"]).lower()
    assert f"tell the {title}, {role.phone}" in slip(site).lower()


# --- what is looked at before a climb stands where its reader is -----------------------------------------------------------


STEPS = {
    "static": "connect the bonding cable",
    "gas-test": "test the air in the tank",
    "lockout": "lock the pump off",
    "permit": "sign the permit",
    "vent": "vent the tank",
}


@pytest.mark.parametrize("site", CLEAN)
def test_each_step_against_energy_stands_on_plan_card_and_training(site):
    """Static, gas test, lockout, permit and vent: by who does it, in the words of the site, on the three papers, in that bay alone."""
    steps = [{"step": said, "by": "shift-supervisor", "kind": kind} for kind, said in STEPS.items()]
    found = {
        name: text(paper)
        for name, paper in made(
            site, {"bays[B1].energy": steps}, wanted=("fall-protection-plan", "climb-card", "training-outline", "shift-sheet")
        ).items()
    }
    for said in STEPS.values():
        for name in ("fall-protection-plan", "climb-card.B1", "training-outline"):
            assert said in found[name].lower(), (name, said)
        assert said not in found["climb-card.B2"].lower(), said
    for box in ("Gas ", "Lock number", "Permit number"):
        assert box in found["shift-sheet"], box


@pytest.mark.parametrize("site", CLEAN)
def test_what_is_worn_and_looked_at_stands_where_it_is_needed(site):
    """Helmet and shoes on plan, card and training; the check of the vehicle on plan, card, training and shift sheet; a climb looked at on sheet and status."""
    known = papers(site)
    plan, card, course, shift = (
        text(known[name]) for name in ("fall-protection-plan", "climb-card.B1", "training-outline", "shift-sheet")
    )
    for wear in ("helmet", "shoes"):
        assert all(wear in said.lower() for said in (plan, card, course)), wear
    gauge = {v.gauge.by for v in demo(site).site.vehicles if v.gauge.by}
    for key in gauge:
        title = demo(site).site.role(key).title
        assert re.search(rf"{title}: check the vehicle against ", plan)
        assert f"{title}: check the vehicle against the plan." in course
    assert "The plan covers the vehicle." in card
    assert "Each vehicle (plan, Table 1): " in shift
    assert "One climb looked at by the shift supervisor: bay, time, seen" in shift
    status = text(known["status-sheet"])
    assert re.search(r"(\d+|No) climbs? (was|were) looked at in the last 12 months\.", status)
