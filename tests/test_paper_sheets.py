"""Survey, shift and status sheet and the worksheet: their budgets, what stands first on them, and what never does.

Budgets are those of each index.yaml and of acceptance.yaml; heights of lines for the hand are 0.3 in, on the survey sheet 0.4 in
(a choice of this project, no published source).
"""

import re
import shutil
from dataclasses import replace
from datetime import date

import pytest
from plain import read
from support import ALL_DEMOS, composed, demo, log_of, logged, with_changes

from docgen.compose import compose_all
from docgen.compose.today import SOON
from docgen.compose.worklist import LIMIT
from docgen.findings.states import CLIMBED_BY
from docgen.papers import outline
from docgen.pipeline import check_site
from docgen.write.pdf import render
from docgen.write.widths import table_type

SHEETS = ("survey-sheet", "shift-sheet", "worksheet", "status-sheet")
CLEAN = ("harrow-ridge", "pellan-creek")
#: em of the type of a row of one line of text: line height and twice the padding of look.typ
ROW = {"form": 0.96 + 2 * 0.75, "signature": 0.96 + 2 * 0.5}


def sheets(checked, *names):
    return {
        name: paper.document for name, paper in composed(checked, ("pdf",), wanted=names or SHEETS).items() if name != "index"
    }


def spaced(text):
    """A text with one blank for any run of blanks and places to write."""
    return re.sub(r"[ \u00a0]+", " ", text.replace("\\", "").replace("\u2011", "-").replace("\u2212", "-"))


def harrow_with(changes=None, steps=(), day=date(2026, 11, 1)):
    checked = demo("harrow-ridge")
    return with_changes(checked, changes or {}, day, log=logged(log_of("harrow-ridge"), steps))


@pytest.mark.slow
@pytest.mark.parametrize("site", ALL_DEMOS)
def test_no_sheet_is_longer_than_its_budget(site):
    """Thin and failing sites too: the worksheet gives way in lines, the shift sheet in reasons."""
    for name, document in sheets(demo(site)).items():
        several = (
            name.startswith("survey-sheet") and document.markdown.count("Deck, empty") > 1
        )  # half a side more for a second vehicle
        assert render(document).pages <= outline(name).budget.pages + several, name
        if document.large:  # for the shift board, in the type that is read there
            assert (render(document.enlarged).pages, document.enlarged.type_pt) == (1, 14), name


@pytest.mark.parametrize("site", CLEAN)
def test_type_and_lines_for_the_hand(site):
    """Type by the budget, in tables too; a row to write in is high enough for a gloved hand."""
    for name, document in sheets(demo(site)).items():
        shown = outline(name)
        tables = [e.get("class", "").split() for e in document.tree.iter("table")]
        for classes in tables:
            size = document.type_pt * table_type(document, "wide" in classes)
            assert size >= shown.budget.smallest_pt - 0.01, (name, classes)
            kind = next((k for k in ROW if k in classes), None)
            least = 0.4 if shown.name == "survey-sheet" else 0.3
            assert kind is None or round(size * ROW[kind] / 72, 2) >= least, (name, classes)
        assert document.type_pt >= shown.budget.smallest_pt


@pytest.mark.parametrize("site", [*CLEAN, "sable-point", "cormorant-quay"])
def test_sentences_of_the_sheets(site):
    """Mean 15 and longest 25 on forms, longest 35 on the status sheet; no sheet gives an order to climb."""
    for name, document in sheets(demo(site)).items():
        found = read(document.markdown)
        if name != "worksheet":  # the actions of findings stand there as they are
            assert found.longest <= (35 if name == "status-sheet" else 25), (name, max(found.sentences, key=len))
        assert not re.search(r"\bclimb (up|onto|on the)\b", document.markdown), name
        assert not re.search(r"\d (lb|kg)\b", document.markdown), name
        assert "must-fix" not in document.markdown, name


# --- worksheet ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", ALL_DEMOS)
def test_worksheet_lines(site):
    """At most so many lines, numbered through; what closes a bay comes before what does not, in each section; the rest is counted."""
    text = sheets(demo(site), "worksheet")["worksheet"].markdown
    numbers = [int(n) for n in re.findall(r"^(?:\| )?(\d+)(?:\. | \| )", text, re.MULTILINE)]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) <= LIMIT <= 40
    for line in text.splitlines():
        cells = line.split(" | ")
        if line.startswith("| ") and cells[0][2:].isdigit():
            assert "." not in cells[2].strip(" |\u00a0"), line  # the field stands last, by its short name
            assert not re.match(r"[a-z_]+\.", cells[1])


def test_worksheet_of_a_thin_site():
    """Outline in order; every paper named; the closed bay with its reasons; the counts are told and never as must-fix."""
    text = sheets(demo("sable-point"), "worksheet")["worksheet"].markdown
    heads = re.findall(r"^## (.*?) \{", text, re.MULTILINE)
    assert heads[:3] == ["Why these papers are drafts", "Where nobody may climb", "Get these at the bay"]
    assert heads[-1] == "What you get then"
    assert "These papers are drafts: fall-protection plan, " in text
    assert re.search(r"\d+ lines close a bay; \d+ more are needed before anyone signs\.", text)
    assert "Nobody may climb in the Wash bay. " in text  # no rescue is ready there either
    assert "The fall distance is not proved." in text
    assert re.search(r"And \d+ more lines are listed by the check\.", text)
    assert "we can say whether" not in text  # lines that open the bay are left out here
    assert (
        "When every line here and in the check is done, the check is run again, and the papers can go" in text
    )  # the lines here are not all


def test_worksheet_says_what_one_gets():
    """Where every line that opens the bay is there, it says with which lines the fall can be worked out, and only then."""
    text = sheets(demo("thornmere"), "worksheet")["worksheet"].markdown
    assert re.search(r"With lines [\d, to and]+ we can say whether a person in the Powder bay would hit the ground\.", text)


def test_worksheet_of_a_clean_site():
    """Nothing to find out and nowhere closed: these sections are absent, and what is waited for stands once."""
    text = sheets(demo("harrow-ridge"), "worksheet")["worksheet"].markdown
    assert "Where nobody may climb" not in text
    assert "Get these" not in text
    assert "Decide" not in text
    assert "No approval bound to this text is on record: " in text
    assert "No fact is missing." in text


def test_worksheet_counts_a_single_missing_fact():
    """One fact of one bay away: one line, that bay alone closed, and the other not named."""
    text = sheets(harrow_with({"bays[B2].phone": None}), "worksheet")["worksheet"].markdown
    assert "1 line closes a bay." in text
    assert "Nobody may climb in the Rail spur" in text
    assert "Truck bay" not in text
    assert "Line 1 must be done before it opens." in text


def test_worksheet_of_a_bay_closed_by_decision():
    """Who closed it, when and why."""
    shut = {"by": "terminal-manager", "on": "2026-10-02", "reason": "The rail is being replaced"}
    text = sheets(harrow_with({"bays[B2].closed": shut}), "worksheet")["worksheet"].markdown
    assert "The terminal manager (R. Oduya) closed it on 2026-10-02: the rail is being replaced." in text


# --- status sheet -------------------------------------------------------------------------------------------------------


def test_status_of_an_open_day():
    """The day and each bay first; nothing due in 30 days is said, with the next."""
    text = sheets(demo("harrow-ridge"), "status-sheet")["status-sheet"].markdown
    first = text[: text.index("## From the log")]
    for bay in ("Truck bay", "Rail spur"):
        assert f"On 1 November 2026 nothing on record closes the {bay}, but no revision of the fall-protection plan" in first
    assert "Nothing falls due in the next 30 days." in first
    assert "The next is the check of rescue kit K-1, K-2 and P-1, due by 1 January 2027." in first
    assert text.index("## For auditor and insurer") > text.index("## From the log")
    assert "2 of 2 rescuers of the day shift practiced in the last 12 months." in text
    assert "Nobody on the evening shift has drilled Method 1, 2 or 3 on record." in text


def told_of(records, steps=(), sheet="status-sheet"):
    """A sheet of the demo with these records, and these steps on its log."""
    checked = harrow_with(steps=steps)
    given = (checked.site, checked.code, checked.assessed, checked.happened)
    return next(d.markdown for d, _ in compose_all(*given, ("pdf",), wanted=(sheet,), records=records) if d.name == sheet)


def without(records, names):
    """The records of one revision as if it did not hold these papers."""
    (revision,) = records.issued
    return replace(records, issued=(replace(revision, texts=tuple(t for t in revision.texts if t.document not in names)),))


HUNG = {
    "add": {
        "kind": "posting",
        "on": "2026-10-21",
        "by": "L. Brandt",
        "place": "GATE-1",
        "document": "contractor-notice",
        "revision": 1,
    }
}


def test_a_bay_is_open_only_where_its_papers_are_in_force_and_hang(issued):
    """A finding closes nothing, and still nobody climbs: each of the three papers must be in force, and some paper must hang by the log. Only
    then status and shift sheet say that the bay is open; before, the shift sheet leaves its state for the hand."""
    row = re.compile(r"\| State today \| ?([^|]*?) ?\| ?([^|]*?) ?\|")
    kept = check_site(issued, date(2026, 11, 1)).records
    for missing in (CLIMBED_BY, *((name,) for name in CLIMBED_BY)):
        records = without(kept, missing)
        text = told_of(records, (HUNG,))
        assert " is open" not in text
        assert f"no revision of the {paper_names(missing)} is in force: nobody climbs by these papers yet." in text
        shift = told_of(records, (HUNG,), "shift-sheet")
        assert "No revision is in force: nobody climbs by these papers yet." in shift
        assert row.search(spaced(shift)).groups() == ("", "")
    records = kept
    for steps, open_ in (((), False), ((HUNG,), True)):
        text, shift = told_of(records, steps), told_of(records, steps, "shift-sheet")
        assert ("On 1 November 2026 the Truck bay is open." in text) is open_
        assert ("the Truck bay, but its papers hang nowhere by the log" in text) is not open_
        assert ("The papers of the Truck bay hang nowhere by the log" in shift) is not open_
        assert row.search(spaced(shift)).groups() == (("Open: □ yes □ no",) * 2 if open_ else ("", ""))


def paper_names(names):
    called = [outline(name).called_in("en") for name in names]
    return called[0] if len(called) == 1 else f"{', '.join(called[:-1])} and {called[-1]}"


def test_status_of_a_day_on_which_all_is_closed():
    """A tag, an arrest and an overdue inspection: each bay closed today with its reason in words, and what is behind it."""
    steps = [
        {"add": {"kind": "tagged", "on": "2026-10-30", "by": "J. Whitlow", "part": "D-1", "reason": "Load indicator shown"}},
        {"add": {"kind": "closure", "on": "2026-10-31", "by": "Shift supervisor", "bay": "B2", "reason": "Ice on the walk"}},
    ]
    text = sheets(harrow_with(steps=steps), "status-sheet")["status-sheet"].markdown
    assert "The Truck bay is closed today: a part is tagged." in text
    assert "The Rail spur is closed today: " in text
    assert " is open" not in text
    assert "D-1 is out of use since 2026-10-30. It is tagged: load indicator shown." in text
    assert not re.search(r"closed-by|tagged-in", text)


def test_status_counts_thirty_days():
    """Exactly 30 days ahead is listed, 31 days are not; the day after it is overdue."""
    due = date(2027, 2, 3)
    for day, said in (
        (due - SOON, "The inspection of D-1 is due by 3 February 2027."),
        (date(2027, 2, 4), "The inspection of D-1 was due by 3 February 2027."),
    ):
        assert said in sheets(harrow_with(day=day), "status-sheet")["status-sheet"].markdown
    before = sheets(harrow_with(day=date(2027, 1, 3)), "status-sheet")["status-sheet"].markdown
    assert "inspection of D-1 is due" not in before


def test_status_for_the_auditor():
    """Recommendation with owner, day, interim and end; near misses by month, breaches by class; a hold; all from the log."""
    steps = [
        {
            "add": {
                "kind": "recommendation",
                "on": "2026-10-10",
                "by": "L. Brandt",
                "text": "A gate at the ladder",
                "owner": "safety-manager",
                "due": "2026-12-01",
                "interim": "No work there after dark",
            }
        },
        {
            "add": {
                "kind": "near-miss",
                "on": "2026-10-12",
                "by": "L. Brandt",
                "bay": "B1",
                "text": "A driver stepped onto the ladder",
            }
        },
        {
            "add": {
                "kind": "breach",
                "on": "2026-10-13",
                "by": "L. Brandt",
                "bay": "B1",
                "class": "driver",
                "text": "A driver climbed",
                "step": 1,
            }
        },
        {
            "add": {
                "kind": "hold",
                "on": "2026-10-20",
                "by": "L. Brandt",
                "state": "on",
                "reason": "Request of counsel of 2026-10-19",
            }
        },
    ]
    text = sheets(harrow_with(steps=steps), "status-sheet")["status-sheet"].markdown
    assert "| A gate at the ladder | Safety manager | 2026-12-01 | No work there after dark | open |" in text
    assert "1 near miss was entered in 2026-10." in text
    assert "Truck driver: 1 breach was entered in the last 12 months." in text
    assert "A hold stands since 2026-10-20" in text
    assert "Request of counsel" not in text


# --- shift sheet --------------------------------------------------------------------------------------------------------


def test_shift_sheet_boxes():
    """The model sentences, a box for each post that the schedule needs, who does what of the chain, and the day on which it is void."""
    text = sheets(demo("harrow-ridge"), "shift-sheet")["shift-sheet"].markdown
    assert "Supervisor: fill each box before you open the bay." in text
    assert "An empty box keeps the bay closed." in text
    assert "Nobody has two steps in the same minute." in text
    assert "A post is absent? Climber 2 drops first. The shift supervisor closes the bay." in text
    assert (
        "**This sheet is void when the shift ends**, or after 1 January 2027, when the check of rescue kit K-1, K-2 and P-1 is due."
        in text
    )
    told = spaced(text)
    for post in ("Rescuer 1", "Rescuer 2", "Shift supervisor (backup, leads)", "Gate operator (caller, guide)", "First-aider", "Radio tried",
                 "Seal whole: K-1, K-2", "In its place: P-1"):  # fmt: skip
        assert f"| {post} | |" in told
    assert "Something here is new? Stop. Tell the safety manager" in text
    assert not re.search(r"\b(U|RS)-\d", text)  # names by hand


def test_the_sheets_name_what_they_point_to_and_spell_as_the_country_does():
    """Table 1 is that of the plan; what comes after "then" follows lines that are done; a Canadian sheet has practised beside licence."""
    checked = demo("pellan-creek")
    assert checked.site.country == "CA"
    told = sheets(checked, "shift-sheet", "status-sheet", "worksheet")
    assert "Each vehicle (plan, Table 1): deck mark, ladder side, lids, brake, chocks, keys" in told["shift-sheet"].markdown
    assert told["shift-sheet"].markdown.count("closes the bay.") == 1  # the same on both shifts: told once
    assert "practiced" not in told["status-sheet"].markdown
    assert " practised in the last 12 months." in told["status-sheet"].markdown
    assert "What comes next" in told["worksheet"].markdown
    assert "What you get then" not in told["worksheet"].markdown


@pytest.mark.parametrize("name", ["status-sheet", "index"])
def test_what_is_next_is_the_first_day_of_the_table(name):
    """Where nothing falls due in 30 days, the next that is told is the first row of the table of days below it."""
    for site in ("harrow-ridge", "pellan-creek"):
        text = composed(demo(site), ("pdf", "html"), wanted=("status-sheet",))[name].document.markdown
        table = text[text.index("| What | Which |") :].split("\n\n")[0]
        days = re.findall(r"\d{4}-\d\d-\d\d", "\n".join(row.split("|")[-2] for row in table.splitlines() if row.startswith("| ")))
        assert days == sorted(days)
        soonest = date.fromisoformat(days[0])
        assert f", due by {soonest.day} {soonest:%B %Y}." in text[: text.index("| What | Which |")]


def test_what_a_shift_rests_on_voids_its_sheet():
    """The end of service of a part voids the sheet like an inspection, since the bay is closed on the day after."""
    text = sheets(harrow_with({"equipment[D-2].retire_by": "2026-11-20"}), "shift-sheet")["shift-sheet"].markdown
    assert "or after 20 November 2026, when the end of service of D-2 is due." in text


def test_shift_sheet_says_only_what_is_given():
    """Nobody named to tell, no cover, no wind limit: the lines that rest on them are absent or name the supervisor."""
    shifts = {f"shifts[{s}].cover": None for s in ("day", "evening", "night")}
    text = sheets(harrow_with({"site.new_thing_to": None, "limits.weather.wind": None, **shifts}), "shift-sheet")[
        "shift-sheet"
    ].markdown
    assert "A post is absent" not in text
    assert "Tell the supervisor" in text
    assert "| Wind |" in text  # a reading has its box; no limit is made up for it
    assert "Wind, " not in text


@pytest.mark.parametrize(
    ("site", "limits"),
    [
        (
            "harrow-ridge",
            [
                "Wind, under 25 mph",
                "Gust, under 35 mph",
                "Thunder: wait 30 min",
                "Nobody climbs on ice or snow",
                "From -20 °F to 105 °F",
            ],
        ),
        (
            "pellan-creek",
            [
                "Wind, under 40 km/h",
                "Gust, under 55 km/h",
                "Thunder: wait 30 min",
                "Nobody climbs on ice or snow",
                "From -28 °C to 38 °C",
            ],
        ),
        ("sable-point", ["Wind", "Gust", "Thunder", "Ice, snow", "Temperature"]),
    ],
)
def test_each_condition_stands_with_its_limit_and_a_box(site, limits):
    """Limits as the profile writes them, each with room for the reading; a wind at its limit closes, as plan and notice say; without a limit the condition stands alone; the light is looked at too."""
    text = spaced(sheets(demo(site), "shift-sheet")["shift-sheet"].markdown)
    for said in (*limits, "Light on ladder, deck"):
        assert f"| {said} | |" in text, said
    assert "A reading outside its limit closes it." in text


def test_the_gas_meter_has_its_limit_where_a_bay_has_one():
    """The site's own limit, in the row of the bay; where no bay has a meter there is no row."""

    def told(changes):
        return spaced(sheets(harrow_with(changes), "shift-sheet")["shift-sheet"].markdown)

    assert "| Gas meter: oxygen 19.5 to 23.5 %, vapor under 10 % LEL | | |" in told({})
    assert "Gas meter" not in told({"bays[B1].meter": None, "bays[B2].meter": None})
    assert "LEL | | none |" in told({"bays[B2].meter": None})


def test_what_is_read_or_issued_before_a_climb_has_a_line():
    """Lockout, permit and gas test are lines of the bay that asks for them, for the hand, and absent where none does; the sheet keeps its page.

    Where every bay has a gas meter, its row takes the reading, with the limit of the site. The demo tests the air in both bays.
    """
    none = {f"bays[{bay}].energy": [] for bay in ("B1", "B2")}
    plain = sheets(harrow_with(none), "shift-sheet")["shift-sheet"].markdown
    boxes = ("Lock number", "Permit number", "Gas reading")
    assert not any(box in plain for box in boxes)
    steps = [
        {"step": "test the air in the tank", "by": "shift-supervisor", "kind": "gas-test"},
        {"step": "sign the permit", "by": "shift-supervisor", "kind": "permit"},
        {"step": "lock the pump off", "by": "attendant", "kind": "lockout"},
    ]

    unmetered = {"bays[B1].meter": None, "bays[B2].meter": None}

    def told(metered=False, **bays):
        changes = none | {f"bays[{bay}].energy": given for bay, given in bays.items()}
        sheet = sheets(harrow_with(changes if metered else changes | unmetered), "shift-sheet")["shift-sheet"]
        assert render(sheet).pages == 1
        return [one for box in boxes for one in re.findall(rf"\| ({box}[^|]*?) \| \|", spaced(sheet.markdown))]

    assert told(B1=steps, B2=steps) == list(boxes)
    assert told(metered=True, B1=steps, B2=steps) == list(boxes[:2])
    assert told(B2=steps[:1]) == ["Gas reading (Rail spur)"]
    assert told(B1=steps[1:2], B2=steps[1:2]) == ["Permit number"]
    assert told(B1=[{**steps[0], "kind": None}]) == []
    assert "Gas meter: oxygen " in sheets(demo("harrow-ridge"), "shift-sheet")["shift-sheet"].markdown


def test_shift_sheet_of_a_closed_day():
    """A bay that is closed names its reason and no climber; its vehicles are not ticked off."""
    steps = [{"add": {"kind": "closure", "on": "2026-10-31", "by": "Shift supervisor", "bay": "B2", "reason": "Ice on the walk"}}]
    text = sheets(harrow_with(steps=steps), "shift-sheet")["shift-sheet"].markdown
    rows = {
        line.split(" | ")[0].strip("| "): line.strip("| ").split(" | ")[1:] for line in text.splitlines() if line.startswith("| ")
    }
    assert rows["State today"][0] == ""  # nothing is issued: left for the hand
    assert rows["State today"][1].startswith("Closed: ")
    assert "| Climber | | nobody |" in re.sub(r" +", " ", text)


def test_shifts_that_differ_are_named():
    """Another cover on one shift: each is said for its shift; a post that calls on some shifts only is not called the caller."""
    changes = {
        "shifts[night].cover": {"drops_first": "Climber 1", "closes": "shift-supervisor"},
        "shifts[night].chain.caller": "Control room",
    }
    text = sheets(harrow_with(changes), "shift-sheet")["shift-sheet"].markdown
    assert "A post is absent? Day and Evening: Climber 2 drops first." in text
    assert "Night: Climber 1 drops first." in text
    assert "Gate operator (guide)" in text
    assert "| Control room | |" in spaced(text)


# --- survey sheet -------------------------------------------------------------------------------------------------------


def test_survey_sheet_words_and_boxes():
    """The model sentences and the datum first; known figures filled in; only vehicles that are climbed; labels to photograph."""
    text = sheets(demo("harrow-ridge"), "survey-sheet")["survey-sheet.B1"].markdown
    head = text[: text.index("| Truck bay |")]
    assert "Do not climb to measure." in head
    assert "write both readings" in head  # a low deck is the worse one for angle and swing, a high one for clearance
    assert "smaller reading" not in text
    assert "Nobody tests the device with his own weight." in head
    assert "top of the concrete slab at the bay drain" in head
    assert "A guess opens no bay." in head
    assert "| Rail underside, lowest place | 27.0\u00a0ft |" in text
    assert "Flatbed" not in text
    assert "Hatches 1 and 2, width" in text
    assert re.search(r"Photograph these labels.*D-1", text)


def test_the_survey_of_an_indoor_bay_asks_for_no_wind_meter():
    """A hall without a meter that it does not need: phone, red stop and kit stand as known; outdoors the meter is asked for, and a bay without one is open."""
    known = {key: spaced(sheet.markdown) for key, sheet in sheets(demo("pellan-creek"), "survey-sheet").items()}
    assert "| Kit, phone, red stop, wind meter | known |" in known["survey-sheet.B1"]
    assert "| Kit, phone, red stop | known |" in known["survey-sheet.B2"]
    bare = sheets(harrow_with({"bays[B1].wind_meter": None}), "survey-sheet")["survey-sheet.B1"].markdown
    assert "| Kit, phone, red stop, wind meter | |" in spaced(bare)


def test_survey_sheet_of_a_thin_site():
    """What is not known is an empty box, also the sides that nobody spoke of; the datum is asked for where it is missing."""
    checked = demo("sable-point")
    text = sheets(checked, "survey-sheet")["survey-sheet.W1"].markdown
    assert "Front edge" in text
    assert "Rear edge" in text
    assert "| Line exit below the rail | 1\u00a0ft |" in text
    assert "| Slack of the line at hook-up | |" in re.sub(r" +", " ", text)
    bare = with_changes(checked, {"bays[W1].heights_from": None})
    assert "{: .blank }" in sheets(bare, "survey-sheet")["survey-sheet.W1"].markdown


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
def test_sheets_bear_their_day_and_no_mark():
    """A paper without digest bears its day, and its foot no mark."""
    for name, document in sheets(demo("harrow-ridge")).items():
        assert document.revision == "as of 2026-11-01", name
        assert document.stamp == ""
