"""The plan as counsel, an inspector, a program manager and an editor read it: what it must not say again, and what it must not leave out.

What the legal file tells of the same is held there.
"""

from __future__ import annotations

import re

import pytest
from support import CLIMBING, composed, demo, legal_file, load, with_changes
from test_paper_plan import CLOSED, FULL, THIN, clauses, clauses_raw, flat, plan

TAPE = {"how": "measured", "tolerance": "0.1 ft", "by": "safety-manager", "on": "2026-08-18"}
#: The ladder stands 6 ft off the rail, which hangs higher: no height of it is kept, and the bay stays open.
WRITTEN = [
    {"object": met, "drop": "4 ft", "text": "Smooth and padded", "by": "T. Maran", "on": "2026-08-24"}
    for met in ("flank", "ladder-top")
]
NO_HEIGHT = {
    "bays[B1].ladder.offset": {"value": "6 ft", **TAPE},
    "bays[B1].rail.underside.value": "31 ft",
    "tasks[load].struck": WRITTEN,
}


def sentences(text):
    """The sentences of a clause, without the marks of a list."""
    return [s for s in re.split(r"(?<=[.?!])\s+", text) if s]


# --- who and what is bound ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", FULL)
def test_only_work_off_the_ground_is_banned(site):
    """Coupling a hose with both feet on the ground is no climbing; no sentence bans whatever is not listed."""
    told = clauses(site=site)
    assert told["unlisted"].endswith("Work with both feet on the ground is not climbing.")
    assert not re.search(
        r"(?i)\b(?:every|any) (?:task|vehicle|bay)[^.]* not listed[^.]* prohibited", flat(plan(site=site).markdown)
    )


def test_the_rules_are_a_condition_of_entry():
    """A plan of the site binds nobody else's people by itself: keeping it is the condition of entry, and the contract of a firm is named only where it says so."""
    told = clauses()
    assert (
        told["persons"]
        == "Keeping its rules is the condition of entry for the site's own crew, contractors, drivers and visitors."
    )
    assert "binds everyone" not in flat(plan().markdown)
    contract = "A firm is listed only after its contract makes these rules a condition of entry."
    assert contract not in told["entry"]
    firm = {"contractors.firms": [{"name": "Pump Service Co. (invented)", "entry_clause": True}]}
    assert contract in clauses({**CLIMBING, **firm})["entry"]


@pytest.mark.parametrize("site", [*FULL, *THIN])
def test_the_site_takes_no_role_of_an_employer_upon_itself(site):
    """Nothing in the plan says who creates, exposes, controls or corrects."""
    assert not re.search(r"(?i)\b(?:exposing|controlling|creating|correcting) employer|\bhost\b|CPL 2", plan(site=site).markdown)


def test_what_is_told_to_contractors_says_to_whom():
    """Sentences that say "you" follow one that says who is told; what the site gives stands in the words of its field, as no promise."""
    entry = clauses()["entry"]
    assert entry.startswith("Whoever comes to work here is told this: Report to the gate operator")
    assert "The gate operator tells you of changes when you sign in." in entry
    assert "promises" not in entry
    assert "The Safety manager is the escort." in entry
    assert "escort" not in clauses({"contractors.escort": None})["entry"]


def test_the_rail_statement_prints_the_limit_in_force():
    """A rail designed for two on which one may climb: the statement to other employers says one, as the notice does."""
    told = clauses()["rail-statement"]
    assert "for 7,200 lbf (32.02 kN) and 2 people. That is for all people together, with a safety factor of 2 " in told
    assert "At most 2" not in told
    assert told.count("At most one person may be attached to it.") == len(demo("harrow-ridge").site.systems) == 2
    assert demo("harrow-ridge").site.systems[1].anchorage.designed_for_users == 2


# --- the ladder, the line, the device -----------------------------------------------------------------------------------


def test_the_danger_on_the_ladder_stands_in_the_body():
    """Below the red mark attachment is no protection: the rule for the climb says so, the sheet names the control there and says what the mark is."""
    told = clauses()
    assert "With your feet below the red mark the device might not stop you in time." in told["climb"]
    assert "The red mark is at 9.7 ft (2.96 m) on the post beside the mounting ladder." in told["sheet.B1"]
    assert "The control there is the cage; a cage might not stop a fall." in told["sheet.B1"]
    assert "Below it the device might not keep you off the hose tray." in told["sheet.B1"]


@pytest.mark.parametrize("site", FULL)
def test_the_danger_on_the_ladder_stands_on_the_climb_card(site):
    """The card of each bay with a red mark says it before the steps of the climb; on a ladder without a mark it speaks of none."""
    cards = composed(demo(site), ("md",), wanted=("climb-card",))
    for bay in demo(site).site.bays:
        card = flat(cards[f"climb-card.{bay.id}"].document.markdown)
        assert bay.ladder.mark_on
        assert "Keep three points of contact. Below the red mark the device might not stop you. " in card
    without = composed(with_changes(demo("harrow-ridge"), NO_HEIGHT), ("md",), wanted=("climb-card",))
    assert "red mark" not in without["climb-card.B1"].document.markdown


def test_a_ladder_on_which_no_height_is_kept_is_told():
    """An open bay whose ladder stands so far off the rail that no height helps: the sheet says that, and gives no mark; with no mark in any open bay the rule for the climb speaks of none."""
    assert [state.state for state in with_changes(demo("harrow-ridge"), NO_HEIGHT).assessed.planned] == ["open", "open"]
    told = clauses(NO_HEIGHT)
    assert (
        "At no height on the ladder can the device keep you off the parked loading arm. The control there is the cage;"
        in told["sheet.B1"]
    )
    assert "red mark" not in told["sheet.B1"]
    assert "below the red mark" in told["climb"]
    assert "red mark" not in clauses({**NO_HEIGHT, "bays[B2].closed": CLOSED})["climb"]


def test_sentences_about_two_vehicles_do_not_run_together():
    """Two vehicles in one bay: the edges of the second begin a sentence of their own."""
    data = demo("harrow-ridge").source.data
    second = {**next(v for v in data["vehicles"] if v["id"] == "tanker"), "id": "tanker-2", "name": "Short tank trailer"}
    work = {**next(t for t in data["tasks"] if t["id"] == "load"), "id": "load-2", "vehicle": "tanker-2"}
    methods = [{**m, "vehicles": [*m["vehicles"], "tanker-2"]} for m in data["rescue"]["methods"]]
    told = clauses({"vehicles": [*data["vehicles"], second], "tasks": [*data["tasks"], work], "rescue.methods": methods})[
        "sheet.B1"
    ]
    assert " fill lid is opened. Short tank trailer: left and right open, hose tray at " in told


@pytest.mark.parametrize("site", FULL)
def test_a_device_that_stays_locked_and_a_trolley_that_stays_back_have_a_rule(site):
    """The cards shorten rules of the plan and add none: what the climb card says of a stuck device and trolley stands in the plan."""
    work = clauses(site=site)["work"]
    assert "If it stays back, stop and pull it; do not lean." in work
    assert "If the device stays locked, sit down, stay attached and call the Ground attendant." in work
    for name, paper in composed(demo(site), ("md",), wanted=("climb-card",)).items():
        if name.startswith("climb-card"):
            assert "The device stays locked? Sit down, stay attached, call the" in flat(paper.document.markdown)
            assert "Pull it, never lean." in flat(paper.document.markdown)


@pytest.mark.parametrize("site", FULL)
def test_no_limit_is_a_distance_that_nobody_can_see(site):
    """No distance "on the level" or from a point under the trolley is a rule for the climber."""
    assert not re.search(r"measured on the level|point under the trolley|reach outside", flat(plan(site=site).markdown))


@pytest.mark.parametrize("site", FULL)
def test_figures_of_common_practice_are_no_duty(site):
    """How straps sit is the maker's; the figures of common practice say so and stand under no "must"."""
    told = clauses(site=site)
    harness = [s for key in ("harness", "wear", "straps") for s in sentences(told[key])]
    chest = next(s for s in harness if "below the shoulders" in s)
    legs = next(s for s in harness if "of webbing" in s)
    assert chest.startswith("Where the maker gives no figure, common practice puts the chest strap about ")
    assert legs.startswith("It leaves at least ")
    assert "must" not in (chest + legs).split()
    assert any("as the maker's instructions say" in s for s in harness)


@pytest.mark.parametrize("site", FULL)
def test_anyone_may_stop_the_work(site):
    """The stop is nobody's privilege: the plan gives it to anyone, notice and cards to whoever reads them, and none names a person in charge whom nothing defines."""
    assert clauses(site=site)["stop"].startswith("Anyone may stop the work or refuse it")
    assert "person in charge" not in flat(plan(site=site).markdown).lower()
    papers = composed(demo(site), ("md",), wanted=("contractor-notice", "climb-card", "rescue-procedure"))
    told = {name: flat(paper.document.markdown) for name, paper in papers.items()}
    assert " Stop or refuse work you think is dangerous." in told["contractor-notice"]
    assert not re.search(r"\w+: stop or refuse", told["contractor-notice"])
    for name, text in told.items():
        if name.startswith("climb-card"):
            assert "You see danger? Refuse work." in text
        if name != "index":
            assert "person in charge" not in text.lower(), name


# --- the order of the day -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", FULL)
def test_steps_stand_in_the_order_in_which_they_are_done(site):
    """Vehicle, weather, rescuers, parts, harness, hook, ladder, work, down, release: each clause of that, once, in this order."""
    keys = [key.partition(".")[0] for key in clauses(site=site)]
    wanted = [
        "vehicle-control",
        "look",
        "weather",
        "before-start",
        "before",
        "harness",
        "hook-up",
        "climb",
        "work",
        "come-down",
        "release",
    ]
    places = [keys.index(key) for key in wanted]
    assert places == sorted(places)


@pytest.mark.parametrize("site", FULL)
def test_the_vehicle_is_held_and_released_by_named_posts(site):
    """Each bay: brake and chocks before, the vehicle checked against the table; at the end all are down, then the words, then chocks, then the brake, which alone lets it move."""
    told = clauses_raw(site)
    for bay in demo(site).site.bays:
        held = told[f"vehicle-control.{bay.id}"].lower()
        assert held.index("brake") < held.index("chock") < held.index("check the vehicle against")
        let = told[f"release.{bay.id}"]
        assert let.index("all are down") < let.index('released."') < let.index("hocks away") < let.index("elease the brake")
        assert let.rstrip().endswith("Only now may the vehicle move.")


def test_what_is_looked_at_before_use_is_listed():
    """The look before the climb names the parts of the harness and the parts above it, and the attendant looks a second time."""
    told = clauses()
    for part in ("strap", "stitch", "buckle", "label", "ring", "hook", "line", "device", "trolley"):
        assert re.search(rf"\b{part}\b", told["before"]), part
    assert "Ground attendant: look at the harness when the climber wears it." in told["wear"] + told["straps"]


def test_what_takes_a_part_out_is_complete():
    """A shown load indicator and a line that slid over an edge take a part out too; where it goes and who clears it is said."""
    told = clauses()["removal"]
    for why in (
        "stopped a fall",
        "load indicator",
        "slid over an edge",
        "failed an inspection",
        "past its date",
        "no readable label",
    ):
        assert why in told, why
    assert "take it to the tag locker in the control room" in told
    assert "the Competent person for fall equipment or the maker has found it fit for use" in told


def test_where_the_meter_is_kept_stands_on_the_sheet():
    """A bay with a meter names it and its place; a bay without one says nothing of it."""
    told = clauses()["sheet.B1"]
    assert "Gas meter, four gases: control room, charger 1. Its limits: oxygen 19.5 to 23.5 %, vapor under 10 % LEL." in told
    assert "limits: " not in clauses({"bays[B1].meter.limit": None})["sheet.B1"]
    assert "meter" not in clauses(site="pellan-creek")["sheet.B1"]


# --- law ----------------------------------------------------------------------------------------------------------------


def test_a_citation_stands_only_where_it_is_about_that():
    """Powered trucks that board a vehicle are not what holds this vehicle; training law carries its own items only; a rule on reports of injury carries no near miss."""
    told = clauses()
    everything = flat(plan().markdown)
    assert "178(k)(1)" not in everything
    assert set(re.findall(r"1910\.30\([a-d]\)(?:\(\d\))?", told["training"])) == {"1910.30(a)(1)", "1910.30(d)"}
    (cited,) = (s for s in sentences(told["reporting"]) if "1904.35" in s)
    assert "injury or illness" in cited
    assert "near miss" not in cited
    assert "near miss" not in told["reporting"]


def test_each_clock_has_its_own_paragraph():
    """A death within 8 hours is paragraph (a)(1), a stay in hospital, an amputation or an eye within 24 hours is (a)(2)."""
    death, grave, way = (s for s in sentences(clauses()["report"]) if "1904.39" in s)
    assert "within 8 h" in death
    assert "1904.39(a)(1)" in death
    assert "Within 24 h" in grave
    assert "1904.39(a)(2)" in grave
    assert "1904.39(a)(3)" in way


@pytest.mark.parametrize("place", ["GB", "IE", "AU-NSW", "CA-ON", "CA-QC", "NZ"])
def test_each_place_has_a_clock_for_a_death(place):
    """No law set leaves out whom a death is reported to: the clause is never simply absent."""
    law = load(place, "general-industry", demo("harrow-ridge").site.document.effective)
    for question in ("report_fatality_within", "report_serious_within"):
        assert law.own(question).state == "answered", question


def test_the_limit_of_the_law_is_printed_as_less_than_and_needs_no_mending():
    """A limit at the figure of the law prints as "less than", and the advice on it asks for nothing."""
    assert "less than 310 lb (140.6 kg)" in clauses()["user-limit"]
    (finding,) = (f for f in demo("harrow-ridge").assessed.findings if f.name == "posted-limit-at-condition")
    assert finding.severity == "advice"


def test_the_position_of_the_authority_is_said_in_the_legal_file():
    """What the memorandum on vehicle tops says stands in the legal file, with its day; the plan cites no preamble."""
    filed = flat(legal_file(demo("harrow-ridge")).markdown)
    assert "OSHA's enforcement policy of 1996: falls from rolling stock" in filed
    assert "OSHA memorandum of Oct. 18, 1996" in filed
    assert "29 CFR 1910.140(c)(8)" in filed
    assert "82494" not in plan().markdown


def test_no_decision_on_building_projects_is_said_of_a_yard():
    """A decision on the owner of a construction project stands on no paper of a yard in general industry."""
    assert "SCC 28" not in flat(legal_file(demo("pellan-creek")).markdown)
    assert "SCC 28" not in plan(site="pellan-creek").markdown


# --- words of the page --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("site", [*FULL, *THIN])
def test_the_plan_does_not_talk_of_the_program_that_wrote_it(site):
    """No word on sets of law and questions of a tool; the page says once, at its head, that a program drafted it."""
    text = flat(plan(site=site).markdown)
    assert not re.search(r"set of its own|\bthis tool\b|docgen|\bquestions?\b|\bcodes/", text)
    assert text.count("computer program") == 1
    assert text.count("Citations are printed for convenience") == 1


@pytest.mark.parametrize("site", FULL)
def test_one_term_for_one_thing(site):
    """The climber is no user or operator, the attendant no watcher; nothing of the engineer's words is left."""
    text = re.sub(r"\{:[^}]*\}", "", flat(plan(site=site).markdown))
    ours = [s for s in sentences(text) if "CFR" not in s and "AR 191" not in s]
    for term in (
        r"\busers?\b",
        r"(?<!Gate )(?<!gate )\boperators?\b",
        r"\bwatcher\b",
        r"\bperson in charge\b",
        r"\bgoverning\b",
        r"\bcorner\b",
        r"\bdatum\b",
    ):
        assert not [s for s in ours if re.search(term, s)], term


def test_nobody_is_said_to_have_read_what_nobody_read():
    """A block that nobody has signed gives the mark of the text and says that it is not reviewed, not that its mark was read."""
    text = plan().markdown
    assert "| not reviewed |" in text
    assert "Mark read" not in text
    assert "| Role, name | Status | Mark | Date | Signature |" in text


def test_conditions_begin_with_a_capital_and_lists_end_clean():
    """A row of the classes is a sentence, and no cell ends in a stray mark or holds two blanks in a row."""
    rows = [line for line in clauses_raw("harrow-ridge")["classes"].splitlines() if line.startswith("| ")][2:]
    assert rows
    for row in rows:
        assert re.fullmatch(r"[A-Z].*\.", row.strip("| ").split(" | ")[2].strip()), row
    assert not re.search(r"; (?:\||$)|;\s*\.", plan().markdown, flags=re.MULTILINE)


def test_a_draft_of_a_thin_site_names_no_role_that_it_has_not():
    """A site whose supervisor has another id, and one without: no id and no blank for the one who leads stands there as a fact."""
    for site in THIN:
        assert not re.search(r"\bshift-supervisor\b|\bterminal-manager\b", plan(site=site).markdown)
