"""The fall-protection plan as site people get it: its budget, its sheets and steps, what must not stand on it, and its states."""

from __future__ import annotations

import re

import pytest
from acceptance import citations, of_law, rows
from support import CLIMBING, composed, demo, with_changes

from docgen.compose import all_bodies
from docgen.papers import outline
from docgen.pipeline import stated
from docgen.write import widths
from docgen.write.pdf import render

PLAN = "fall-protection-plan"
FULL = ("harrow-ridge", "pellan-creek")  # federal US in feet, and Alberta in metres; two open bays each
THIN = ("sable-point", "thornmere", "cormorant-quay")
CLOSED = {"by": "terminal-manager", "on": "2026-10-02", "reason": "The rail is being replaced"}
SECTIONS = (
    "Rule and scope", "Who may climb, on what, where", "The bays", "Before anyone climbs", "Climb, work, come down, stop",
    "People, duties, training", "Contractors, drivers and visitors", "Inspect, tag, store", "Rescue and emergency", "After an incident",
    "Change, review, other papers", "Local codes", "Words", "Signatures and licensed review", "Revision history",
)  # fmt: skip
#: What has no place on a paper of the crew.
NEVER = re.compile(
    r"\b(?:finding|counsel|profile|computed|not met|ensures?|guarantees?|safe|serial|should|shall|and/or|host|exposing)\b|[0-9a-f]{16}",
    re.IGNORECASE,
)


def plan(changes=None, site="harrow-ridge"):
    """The plan of a demo, with changes."""
    checked = demo(site) if changes is None else with_changes(demo(site), changes)
    return composed(checked, wanted=(PLAN,))[PLAN].document


def flat(text):
    """A text with plain blanks."""
    return " ".join(text.replace("\u00a0", " ").split())


def clauses(changes=None, site="harrow-ridge"):
    """Clause id without the paper -> its text."""
    checked = demo(site) if changes is None else with_changes(demo(site), changes)
    body = all_bodies(checked.site, checked.code, checked.assessed, (), (PLAN,))[PLAN]["en"]
    return {c.id.partition(".")[2]: flat(c.text) for c in body.clauses}


def headings(document):
    """The headings of the second order."""
    return tuple(re.findall(r"^## (.+?) \{:", document.markdown, flags=re.MULTILINE))


@pytest.mark.parametrize("site", FULL)
def test_the_budget_is_kept(site):
    """At most 12 pages and 5,000 words for two bays, grade 8, 15 words a sentence in the mean and 30 in one that is not the law's, a verb in each: all of acceptance.yaml."""
    pytest.importorskip("typst")
    (row,) = (row for row in rows(site) if row.name == PLAN)
    assert row.faults == ()
    assert row.pages <= outline(PLAN).budget.pages == 12
    assert row.words <= outline(PLAN).budget.words == 5000


def test_only_a_sentence_of_the_law_may_be_longer():
    """A sentence with the citation of an answer of the site's law in brackets is one of the law; with other brackets it is ours."""
    law = citations(demo("pellan-creek").code)
    assert of_law("The employer must train everyone (AR 191/2021, s. 141(1)-(3)).", law)
    assert not of_law("The employer must train everyone (29 CFR 1910.30(a)(1)).", law)
    assert not of_law("Climb to 3.26 m (10.7 ft) only.", law)


def sizes(data):
    """Sizes of the type of a PDF [pt] between its heads and feet, of all but the hints in blanks, which are in italics, and the marks of texts, in letters of one width."""
    io, pypdf = pytest.importorskip("io"), pytest.importorskip("pypdf")
    sheet, found = widths.page(plan()), set()

    def note(text, cm, tm, font, size):
        height = cm[5] + tm[5] * cm[3]
        other = re.search("Italic|Mono", str((font or {}).get("/BaseFont")))
        if text.strip() and not other and sheet.bottom < height < sheet.height - sheet.top:
            found.add(round(size * abs(tm[3] * cm[3]), 2))

    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        page.extract_text(visitor_text=note)
    return found


@pytest.mark.parametrize("site", FULL)
def test_body_and_tables_have_their_type(site, monkeypatch):
    """The body is set in 11 points, tables in 10, and nothing but heads, feet and the hints of blanks is smaller; a table set smaller is seen."""
    pytest.importorskip("typst")
    document = plan(site=site)
    assert document.type_pt == outline(PLAN).budget.smallest_pt == 11
    found = sizes(render(document).data)
    assert {10.0, 11.0} <= found
    assert min(found) == 10.0
    monkeypatch.setattr("docgen.write.pdf.table_type", lambda *_: 0.9)
    assert min(sizes(render(document).data)) == 9.9


@pytest.mark.parametrize("site", FULL)
def test_the_sections_stand_in_order(site):
    """Sections 1 to 13, then the signatures and the licensed review; no contents list and no digest at the head."""
    document = plan(site=site)
    assert headings(document) == SECTIONS
    head = document.markdown[: document.markdown.index("## Rule and scope")]
    assert not re.search(r"[0-9a-f]{12}", head)
    assert "Copies" in head


@pytest.mark.parametrize("site", [*FULL, *THIN])
def test_what_must_not_stand_there(site):
    """No serial number, digest, case, symbol, promise or word of the trade of counsel; nobody of the roster."""
    checked, text = demo(site), plan(site=site).markdown
    ours = re.sub(r"[^.\n]*\((?:29 CFR|AR |S\.A\.)[^\n]*", "", text)  # the sentences of the law are held by their own tests
    assert not NEVER.search(ours), NEVER.search(ours)
    for part in checked.site.equipment:
        assert part.serial is None or part.serial not in text
    for person in (*checked.site.people.users, *checked.site.people.rescuers):
        assert not re.search(rf"\b{re.escape(person.id)}\b", text)
    for case in checked.assessed.cases:
        assert case.id not in text
    assert not re.search(r"\b[xhb] = ", text)


@pytest.mark.parametrize("site", FULL)
def test_a_bay_sheet_is_one_page(site):
    """Each open bay has a picture and at most ten rows, and both stand on one page."""
    pypdf, io = pytest.importorskip("pypdf"), pytest.importorskip("io")
    pytest.importorskip("typst")
    checked, document = demo(site), plan(site=site)
    pages = [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(render(document).data)).pages]
    for number, bay in enumerate(checked.site.bays, 1):
        rows = [
            line.split(" | ")[0].lstrip("| ")
            for line in clauses_raw(site)[f"sheet.{bay.id}"].splitlines()
            if line.startswith("| ")
        ]
        assert [row for row in rows[1:] if row not in ("", ":--")] == [label for label in LABELS if label in rows]
        assert 0 < sum(row in LABELS for row in rows) <= 10
        (page,) = (p for p in pages if f"{bay.name}: the bay seen toward" in p)
        assert f"Figure {number}" in page
        for label in ("Climber", "Parking", "Ladder", "Edges", "Signals"):
            assert label in page


LABELS = ("Climber", "Sideways", "Parking", "Ladder", "Attach", "Edges", "No protection", "Area", "Others", "Signals")


def test_the_sheet_says_what_the_bay_is():
    """Both limits, climbers at once, the red mark with its control, edges with what is below, phone and red stop, from the profile of the truck bay."""
    sheet = clauses()["sheet.B1"]
    for words in (
        "Minimum 130 lb without tools. Under 310 lb with clothing, harness, tools.",
        "One climber may be up at a time", "The red mark is at 9.7 ft (2.96 m) on the post beside the mounting ladder",
        "The control there is the cage; a cage might not stop a fall.", "left and right open, hose tray at 2.2 ft (0.67 m)", "front closed by fixed hoop rail",
        "The bay phone is here: wall of the driver room", "The red stop is here: ladder foot", "The weakest part is the self-retracting device",
    ):  # fmt: skip
        assert words in sheet, words
    assert "Sideways" not in sheet


def test_the_sheet_says_what_its_figures_rest_on():
    """A cover, a grate, a closed side and padding stand on the sheet as a condition of the climb; so do slack and the place along the rail. Without them none of it stands there."""
    sheet = clauses()["sheet.B1"]
    for words in (
        "This keeps you out of a hatch: the manhole cover stays bolted; only its 10 in fill lid", "front closed by fixed hoop rail",
        "A fall beside the trolley swings you against the side of the vehicle, at up to 8.3 ft/s (2.53 m/s).",
        "This must stay as it is for that: the shell beside walkway and ladder", "covered with foam of 4 in",
        "Do not climb when one of these is missing, open or loose.", "at most 1.0 ft (0.30 m) before or behind it", "at most 0.5 ft (0.15 m) of slack",
        "A caller there sees whoever hangs.", "watches from here: on the ground in sight of the climber",
    ):  # fmt: skip
        assert words in sheet, words
    spur = clauses()["sheet.B2"]
    assert "Whoever falls into an open hatch can fall to the bottom of the car at 5.5 ft (1.68 m)." in spur
    assert "missing, open or loose" not in spur
    assert "This keeps you out of a hatch: bar grate locked in the hatch." in clauses(site="pellan-creek")["sheet.B1"]
    bare = {f"vehicles[tanker].hatches[{n}].stopped_by": None for n in (0, 1)} | {"tasks[load].struck": []}
    told = clauses(bare).get("sheet.B1", "")
    assert "keeps you out of a hatch" not in told
    assert "must stay as it is" not in told


def test_the_limit_of_a_task_in_the_cold_is_told():
    """A task that is not done in a cold in which the site still climbs stands beside the weather; one with the limit of the site does not."""
    told = clauses(site="pellan-creek")["weather"]
    assert "Below -10 °C (14 °F) this task must not be done: wash out the hatch rims and check the seals." in told
    assert told.count("this task must not be done") == 1
    assert "this task" not in clauses()["weather"]


@pytest.mark.parametrize("site", FULL)
def test_what_people_need_is_printed(site):
    """No value that the crew needs is given and printed by no paper; who holds a role, and what a sheet or a frame prints, count as printed."""
    left = stated(demo(site)).unprinted
    needed = re.compile(
        r"hatches\[\d\]\.(?:stopped_by\.what)|sides\[\w+\]\.stopped_by\.what|parking\.along|line\.slack|phone\.|watcher\.|undone_by|temperature_min"
        r"|holders\[\d\]\.name|document\.effective|red_stop|marked_area"
    )
    assert [path for path in left if needed.search(path)] == []
    assert "equipment[D-1].model" in left  # for the inspection sheet, which is not written yet


def test_a_sideways_limit_prints_only_with_its_field():
    """A limit narrower than the deck stands on the sheet and in the rule for the work, with what marks it; without the field neither does."""
    told = clauses({"bays[B1].sideways": {"limit": "2.0 ft", "marker": "Edge of the walkway"}})
    assert "Stay within 2.0 ft" in told["sheet.B1"]
    assert "edge of the walkway" in told["sheet.B1"]
    assert "come down and tell the Shift supervisor" in told["work"]
    assert "Stay within" not in clauses()["work"]


@pytest.mark.parametrize("site", FULL)
def test_each_step_has_an_actor(site):
    """In the lists of steps each begins with a post, or the sentence before the list names who is addressed."""
    posts = {r.title for r in demo(site).site.roles} | {k.name for k in demo(site).site.contractors.classes} | {"Climber"}
    seen = 0
    for key, text in clauses_raw(site).items():
        for line in text.splitlines():
            step = re.match(r"\d+\. (.+)", line)
            if step and key.partition(".")[0] in ("vehicle-control", "hook-up", "release"):
                assert any(step[1].startswith(f"{post}: ") for post in posts), (key, line)
                seen += 1
        if key == "harness":
            assert text.startswith("Climber, put the harness on in this order:")
    assert seen > 15


def clauses_raw(site):
    """The same with line breaks."""
    checked = demo(site)
    body = all_bodies(checked.site, checked.code, checked.assessed, (), (PLAN,))[PLAN]["en"]
    return {c.id.partition(".")[2]: c.text for c in body.clauses}


#: Field taken away or set false -> what then no longer stands in the plan.
FALLS = [
    ({"contractors.refusal_right": False}, "refuse it"),
    ({"contractors.report_no_penalty": False}, "punishes nobody"),
    ({"contractors.harnesses": None}, "lends no fall equipment"),
    ({"contractors.applies_to_own_crew": False}, "crew under its work rules"),
    ({"contractors.changes": None}, "tells you of changes"),
    ({"contractors.duties_of_site": None}, "supplies the equipment and has it inspected"),
    ({"contractors.appeal": None}, "Appeal to the safety manager"),
    ({"limits.weather.ice": None}, "on ice or snow"),
    ({"limits.weather.lightning_wait": None}, "Thunder"),
    ({"bays[B1].red_stop": "none", "bays[B2].red_stop": "none"}, "red stop is here"),
    ({"bays[B1].electrical.devices_suitable": False, "bays[B2].electrical.devices_suitable": False}, "that are marked for it"),
    ({"site.protective_wear": []}, "must wear this"),
    ({"emergency.released_by": None}, "releases it or, if no authority comes, the Terminal manager does"),
    ({"inspection.oversight": None}, "looks at a climb in each bay"),
    ({"training.refresher": None}, "rule of this site, they are also trained"),
    ({"document.consultation": None}, "talked over"),
    ({"rescue.relief_straps": None}, "no such words"),
]


@pytest.mark.parametrize(("change", "words"), FALLS, ids=[next(iter(c)) for c, _ in FALLS])
def test_a_field_that_is_absent_or_false_is_no_promise(change, words):
    """What the profile does not say, the plan does not say either; where the profile says it, it stands there."""
    assert words == "no such words" or words in flat(plan().markdown)
    assert words not in flat(plan(change).markdown)


def test_a_class_that_may_climb_is_told_with_bay_and_conditions():
    """Bay, conditions and who checks; who else may not climb is still said, and rescuers are excepted; in a bay that is not listed the class may not."""
    told = clauses(CLIMBING)
    assert "Two groups may climb." in told["who"]
    assert "A service technician of a listed firm may climb in the Truck bay only" in told["who"]
    assert told["who"].count("Nobody else may climb, except rescuers in a rescue.") == 1
    assert "Rail spur" not in told["who"]
    row = next(row for row in told["classes"].split(" | ") if row.startswith("Work from your own lift"))
    for words in ("Training is checked at the gate", "says in private that they meet both limits", "harness is checked", "Sign the gate card",
                  "Gate operator on duty checks the language", "Their employer supervises them; the Shift supervisor may stop the work.", "rescuers of the site",
                  "The Competent person for fall equipment sees that it fits the device."):  # fmt: skip
        assert words in row, words
    none = clauses()
    assert "Only climbers on the list of the Shift supervisor may climb." in none["who"]
    assert "Nobody else may climb, except rescuers in a rescue." in none["who"]
    shut = clauses({**CLIMBING, "bays[B1].closed": CLOSED})
    assert "service technician" not in shut["who"]
    assert "Service technician | no |" in shut["classes"]


#: State of the truck bay -> changes that give it, and words of its reason.
SHUT = {
    "closed-by-decision": ({"bays[B1].closed": CLOSED}, "for this reason: the rail is being replaced"),
    "closed-by-finding": ({"equipment[D-1].arrest_distance.value": "90 in"}, "The fall distance is not proved."),
    "facts": ({"bays[B1].phone": None}, "Facts are missing."),
}


@pytest.mark.parametrize("state", SHUT)
def test_a_closed_bay_is_half_a_page_with_its_reason(state):
    """Closed by decision, by a figure or for want of a fact: the reason in words, who may not climb, and no permission, limit or step of that bay."""
    changes, reason = SHUT[state]
    told, text = clauses(changes), plan(changes).markdown
    assert "The Truck bay is closed." in told["closed.B1"]
    assert "Nobody may climb there" in told["closed.B1"]
    assert reason in told["closed.B1"]
    assert not re.search(r"\d (?:ft|in|lb|m|kg)\b", told["closed.B1"])
    assert {key for key in told if key.endswith(".B1")} == {"closed.B1"}
    assert "sheet.B2" in told
    assert "Truck bay" not in told["tasks"]
    assert "Truck bay" not in told["rail-statement"]
    assert "Closed means closed to work." in told["closed-means"]
    assert headings(plan(changes)) == SECTIONS
    assert "Truck bay: the bay seen" not in text


def test_where_every_bay_is_closed_nothing_is_permitted():
    """With all facts there and each bay closed by decision the plan keeps its other sections, and permits and limits nothing."""
    changes = {"bays[B1].closed": CLOSED, "bays[B2].closed": CLOSED}
    told, text = clauses(changes), flat(plan(changes).markdown)
    assert told["who"] == "Every bay is closed. Nobody may climb, except rescuers in a rescue."
    assert not {"user-limit", "work", "climb", "weather", "rail-statement"} & set(told)
    assert headings(plan(changes)) == tuple(
        h for h in SECTIONS if h not in ("Before anyone climbs", "Climb, work, come down, stop")
    )
    assert not re.search(
        r"may climb(?! there,|, except)", text.replace("Nobody may climb", "").replace("| May climb", "").replace(SECTIONS[1], "")
    )
    assert not re.search(r"\d ?(?:lb|mph)\b", text)


def test_a_rescue_gap_excepts_no_rescuer():
    """Where no rescue is planned for a bay, nobody is told that rescuers may go up, and rescue is not called ready."""
    told = clauses(
        {
            "rescue.methods[M2].vehicles": ["tank-car"],
            "rescue.methods[M3].vehicles": ["tank-car"],
            "rescue.methods[M1].vehicles": ["tank-car"],
        }
    )
    assert "No rescue is ready." in told["closed.B1"]
    assert "except rescuers" not in told["closed.B1"]
    assert "Rescue is always allowed" not in told["closed.B1"]


@pytest.mark.parametrize("site", THIN)
def test_without_facts_there_is_no_plan_yet(site):
    """Two pages: that there is no plan yet, each bay with its reasons, local codes, and signatures with the licensed review; no permission and no figure."""
    pytest.importorskip("typst")
    document, told = plan(site=site), clauses(site=site)
    assert headings(document)[:2] == ("No plan yet", "Local codes")
    assert render(document).pages == 2
    assert "has no plan yet, because facts are missing" in told["no-plan"]
    for bay in demo(site).site.bays:
        assert f"The {bay.name} is closed. Nobody may climb there" in told[f"closed.{bay.id}"]
    body = flat(document.markdown[document.markdown.index("## No plan yet") : document.markdown.index("## Local codes")])
    assert not re.search(r"\d (?:ft|in|lb|m|kg|kN)\b", body)
    assert "may climb" not in body.replace("Nobody may climb", "")
    assert "Licensed review" in document.markdown
    assert "authority having jurisdiction" in told["authority"]


@pytest.mark.parametrize(
    "changes", [{}, {"bays[B1].closed": CLOSED}, {"codes.local": None}, {"limits.lower": None}, {"reviewers": None}]
)
def test_local_codes_and_the_licensed_review_stand_in_every_state(changes):
    """Section 12 and the block for a licensed reviewer are there whatever the site has: open, closed, thin, without a local code, without a reviewer."""
    document, told = plan(changes), clauses(changes)
    assert "Local codes" in headings(document)
    assert "licensed professional decides" in told["authority"]
    assert "Licensed review" in document.markdown
    assert "| Wet signature, seal | |" in document.markdown
    if "codes.local" in changes:
        assert "nothing is applied yet" in told["local-codes"]


def test_a_draft_has_boxed_blanks_and_a_count():
    """A fact that is asked for and not given is a blank that says what belongs there; the band gives the number of reasons only."""
    document = plan({"people.list": None, "site.new_thing_to": None, "bays[B1].energy": None})
    for what in (
        "role that keeps the list",
        "role that is told of new things",
        "static, lockout, permit, gas test, pressure vented",
    ):
        assert re.search(rf"\*\*{what}[^*]*\*\*{{: .blank }}", document.markdown), what
    band = document.markdown[: document.markdown.index("Control data")]
    assert re.search(r"\d+ reasons?: see worksheet\.", band)
    assert len(band.split()) < 20


def test_names_stand_in_one_table():
    """Who holds a role is named in the table of roles and with past acts, and nowhere else in the body."""
    names = [r.held_by for r in demo("harrow-ridge").site.roles if r.held_by]
    acts = ("roles", "policy", "hazard-assessment", "rail-statement")
    for key, text in clauses().items():
        if key not in acts:
            assert not [name for name in names if name in text], key
