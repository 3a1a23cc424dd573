"""The plan as an inspector and counsel read it with fresh eyes: promises, the order of hands at a vehicle, evidence, whose people are whose."""

from __future__ import annotations

import pytest
from support import CLIMBING
from test_paper_plan import CLOSED, FULL, clauses, clauses_raw, flat, plan


def lines(clause):
    """The steps of a clause, in order, without their numbers."""
    return [flat(line).partition(". ")[2] for line in clause.splitlines() if line[:1].isdigit()]


@pytest.mark.parametrize("site", FULL)
def test_no_control_on_a_ladder_is_promised_to_protect(site):
    """A cage, or a device that nobody names, is told as what is there, with what it cannot do; a guardrail is told alone."""
    told = clauses(site=site)
    assert "protects" not in told["sheet.B1"] + told["sheet.B2"] + told["climb"]
    assert "The control there is the cage; a cage might not stop a fall." in told["sheet.B1"]
    assert (
        "The control there is a device with a shorter stopping distance, D-3; it too might not stop a fall in time."
        in told["sheet.B2"]
    )
    gangway = {
        "bays[B1].ladder.control": "gangway",
        "bays[B1].crossings": [{"kind": "ladder", "to": "the deck", "attached": True, "how": "Hook on at the top"}],
    }
    assert "The control there is the guardrail of the gangway." in clauses(gangway, site)["sheet.B1"]


def test_the_track_is_protected_before_anyone_is_at_the_car():
    """Derail and blue signal come first, the hand brake is set from the ground, and they are taken away last by whoever set them."""
    raw = clauses_raw("harrow-ridge")
    first = lines(raw["vehicle-control.B2"])[0]
    order = [first.index(words) for words in ("lock the derail", "blue signal", "hand brake", "Chock")]
    assert order == sorted(order)
    assert "from the ground" in first
    last = lines(raw["release.B2"])[-2]
    order = [last.index(words) for words in ("chocks away", "Release the brake", "blue signal", "Unlock the derail")]
    assert order == sorted(order)
    assert last.startswith("Shift supervisor: ")


@pytest.mark.parametrize("site", FULL)
@pytest.mark.parametrize("bay", ["B1", "B2"])
def test_the_release_undoes_the_steps_in_the_reverse_order(site, bay):
    """What was connected is disconnected before the word of release; the last step is the one after which the vehicle may move."""
    steps = lines(clauses_raw(site)[f"release.{bay}"])
    word = next(n for n, step in enumerate(steps) if "released." in step)
    assert steps[-1].endswith("Only now may the vehicle move.")
    assert sum("Only now" in step for step in steps) == 1
    undone = {"harrow-ridge": "disconnect the grounding cable", "pellan-creek": "raise the spout and unlock it"}[site]
    assert [n for n, step in enumerate(steps) if undone in step] == ([] if (site, bay) == ("pellan-creek", "B2") else [word - 1])


def test_no_vehicle_moves_before_the_signal():
    """A signal is given to whoever then releases the brake; where the one who released the vehicle does that too, it comes last and names no driver."""
    raw = clauses_raw("harrow-ridge")
    assert "Ground attendant: take the chocks away. Signal to the Truck driver." in lines(raw["release.B1"])
    assert lines(raw["release.B2"])[-1] == "Ground attendant: signal. Only now may the vehicle move."
    own = clauses({"bays[B1].control.steps[1].undone_by": "shift-supervisor"})["release.B1"]
    assert "Ground attendant: signal to the Truck driver. " in own
    assert "signal. Only" not in clauses({"bays[B2].release.signs": "shift-supervisor"})["release.B2"]


def test_keys_go_back_to_whoever_locked_them():
    """The driver gets the keys that the driver locked; a key that the one who releases locked is unlocked, and is one key."""
    assert "Give back the keys to the Truck driver." in clauses()["release.B1"]
    assert "Unlock the key." in clauses(site="pellan-creek")["release.B2"]
    assert "keys" not in clauses(site="pellan-creek")["release.B2"]


@pytest.mark.parametrize("site", FULL)
def test_nobody_is_told_to_see_or_do_what_cannot_be_seen_or_done(site):
    """Whoever stands on the ground is told by the climber that lids are shut, and vents only by a valve at the ground; the attendant may stand where the line is hooked."""
    told = clauses(site=site)
    assert "reported the lids shut" in told["release.B1"]
    assert "say what is open" in told["come-down"]
    assert "before a lid" not in told["vehicle-control.B1"]
    assert "Vent" not in told["vehicle-control.B2"]
    assert "nobody is inside but climber and attendant" in told["before-start"]
    assert "cab" not in told["classes"].split()


def test_nobody_is_up_while_product_flows():
    """From the field alone: who connects, who starts, who closes, in turn; bays with the same steps are told together, a bay without them not at all."""
    told = clauses()["flow"]
    assert told.startswith("Truck bay and Rail spur: nobody is up while product flows.")
    order = [told.index(words) for words in ("come down.", "Shift supervisor: start the pump", "Climber: attach again")]
    assert order == sorted(order)
    assert "flow" not in clauses({"bays[B1].flow": None, "bays[B2].flow": None})
    assert clauses({"bays[B1].flow": None})["flow"].startswith("Rail spur: ")
    assert clauses(site="pellan-creek")["flow"].startswith("Hopper bay: ")


@pytest.mark.parametrize("site", FULL)
def test_who_inspects_a_part_is_the_one_whom_its_field_names(site):
    """Structure, footings and rescue anchors are inspected by the qualified person where the site says so, and by the inspector where it does not."""
    words = "every 12 months, Qualified person for the rail systems: structure, foundation and rescue anchor"
    told = clauses(site=site)["register"]
    assert words in told
    assert "unless a line names another" in told
    less = {f"equipment[{part}].inspection.by": None for part in ("ST-1", "ST-2", "F-1", "F-2", "RP-1", "RP-2")}
    bare = clauses(less, site)["register"]
    assert "Qualified" not in bare
    assert "names another" not in bare
    assert "structure, rail" in bare


@pytest.mark.parametrize("site", FULL)
def test_an_area_says_who_determined_it(site):
    """No area class is a claim without the paper that says so; nothing is said where nobody named it."""
    told = clauses({"bays[B1].electrical.determined": "Drawing E-9 of 2026-01-12"}, site)["sheet.B1"]
    assert "Drawing E-9 of 2026-01-12." in told
    assert "Area classification" not in told


def test_the_release_of_a_step_that_nothing_undoes_is_not_told():
    """Without a word on how it is undone, a step against energy is not told at the release."""
    energy = [{"step": "vent the tank", "by": "attendant"}]
    assert "vent" not in clauses({"bays[B1].energy": energy})["release.B1"]


def test_a_railcar_is_held_by_the_law_on_spur_tracks():
    """The rule on derails is cited, not the one on powered trucks; without a derail neither is."""
    told = flat(plan().markdown)
    assert "29 CFR 1910.176(f)" in told
    assert "powered industrial trucks" not in told
    steps = [{"do": "set the hand brake", "kind": "brake", "by": "shift-supervisor", "undone_by": "shift-supervisor"}]
    assert "1910.176(f)" not in clauses({"bays[B2].control.steps": steps}).get("vehicle-control.B2", "")


def test_no_other_ring_is_opened_where_the_back_ring_is_the_rule():
    """The law that also lets the front ring be used is cited, not quoted, where the crew is hooked on at the back."""
    told = clauses()
    assert "front of the chest" not in flat(plan().markdown)
    assert "to nothing else (29 CFR 1910.140(c)(22))" in told["hook-up"]


def test_evidence_is_held_for_the_authority_and_from_nobody():
    """Nothing is held back from an inspector, and nothing is both left as it is and locked away."""
    told = clauses()["preserve"]
    assert "Nothing is taken away before the authority releases it or, if no authority comes, the Terminal manager does." in told
    assert "or, if" not in clauses({"emergency.released_by": None})["preserve"]
    removal = clauses()["removal"]
    assert "Unless it stopped a fall, tag it at once" in removal
    assert "it is destroyed, but never while an inquiry is open" in removal
    assert told.index("does. Then tag") < told.index("lock it away")
    assert "leader of the inquiry agrees" not in told


def test_rescue_is_allowed_as_its_procedure_says():
    """Never allowed beyond what the procedure allows: there rescuers wait for the word where fire or gas is."""
    for told in (clauses()["closed-means"], clauses({"bays[B1].closed": CLOSED})["closed.B1"]):
        assert told.endswith("Rescue is always allowed, by the rescue procedure.")


def test_a_part_that_stopped_a_fall_does_not_come_back_by_a_look():
    """Two cases, a fall and any other fault: found fit stands in the second only, after the first."""
    told = clauses(site="pellan-creek")["removal"]
    assert told.index("After a fall harness and connector are not used again") < told.index(
        "After any other fault a part comes back only when"
    )
    assert told.count("fit for use") == 1


def test_the_people_of_a_firm_stay_its_people():
    """The employer supervises; the supervisor of the site may stop the work. Who is listed is told as a condition, no claim."""
    told = clauses(site="pellan-creek")
    assert "Their employer supervises them; the Shift supervisor may stop the work." in told["classes"]
    assert "A firm is listed only after its contract makes these rules a condition of entry." in told["entry"]
    assert "how you rescue" not in told["entry"]
    assert "none of their people may attach" in told["rail-statement"]
    assert "may attach to a rail without it" not in clauses()["rail-statement"]
    assert "may attach to a rail without it" in clauses(CLIMBING)["rail-statement"]


def test_one_sentence_on_punishment_speaks_for_this_site():
    """It answers for no other employer, and stands once; with every bay shut it stands with the reports."""
    told = flat(plan().markdown)
    assert told.count("this site punishes nobody for that or for a report in good faith") == 1
    assert "obody is punished" not in told
    shut = {"bays[B1].closed": CLOSED, "bays[B2].closed": CLOSED}
    assert "This site punishes nobody for a report in good faith." in clauses(shut)["reporting"]
    assert "punishes nobody for a report" in clauses({"contractors.refusal_right": False})["stop"]


def test_one_watcher_has_one_bay():
    """One climber up in all bays is told as that; with two at once the sentence is gone."""
    words = "Only one climber may be up on this site."
    assert words in clauses()["shifts"]
    more = {f"shifts[{shift}].climbers_at_once": 2 for shift in ("day", "evening", "night")}
    assert words not in clauses(more)["shifts"]
    assert "If another post stays empty or no climber is left, the Shift supervisor closes the bay." in clauses()["shifts"]


@pytest.mark.parametrize("site", FULL)
def test_what_the_figures_rest_on_is_part_of_the_plan(site):
    """Anchors and clearance are asked of the plan by law: the record that has them is part of it; who answers for the text wrote no program."""
    told = clauses(site=site)["preparation"]
    assert (
        "The engineering record (anchors, clearance, forces) and the rescue procedure are parts of this plan, kept with it."
        in told
    )
    assert "answers for the text of this plan" in told
    assert "prepared" not in told


def test_terms_of_a_policy_stand_in_no_site_paper():
    """A condition of an insurer is applied and told to counsel; the crew reads the local codes alone."""
    told = clauses(site="pellan-creek")
    assert "policy" not in told["local-codes"]
    assert "by-law 2019-44" in told["local-codes"]
    only = {"codes.local": [{"id": "i", "kind": "insurer", "citation": "Condition 9", "text": "Gates are locked"}]}
    assert "nothing is applied yet" in clauses(only)["local-codes"]
    assert "named above" not in clauses(only)["authority"]


def test_a_guardrail_was_weighed():
    """Where the law puts it first, the plan says why there is none."""
    told = clauses(site="pellan-creek")["alternatives"]
    assert "Behind a guardrail" in told
    assert "folding rail" in told


def test_an_area_is_entered_with_what_is_marked_for_it():
    """A rule, no claim that everything here is suitable."""
    assert "Bring in only devices, radios and rescue kits that are marked for it." in clauses()["sheet.B1"]
    assert "suitable" not in clauses()["sheet.B1"]


@pytest.mark.parametrize("site", FULL)
def test_the_swing_is_told_to_those_who_climb(site):
    """The sheet of each bay says what a swing meets and how fast, at the most of all its tasks; the general rule stands where nothing is measured."""
    told = clauses(site=site)
    most = {
        "harrow-ridge": ("8.3 ft/s (2.53 m/s)", "7.0 ft/s (2.14 m/s)"),
        "pellan-creek": ("2.31 m/s (7.6 ft/s)", "1.82 m/s (6.0 ft/s)"),
    }
    for bay, speed in zip(("B1", "B2"), most[site], strict=True):
        assert f"A fall beside the trolley swings you against the side of the vehicle, at up to {speed}." in told[f"sheet.{bay}"]
    assert "swings you" not in told["work"]


def test_the_plan_points_to_the_certification_and_certifies_nothing():
    """Where the law asks for a certifier, the plan says that the sheet counts only when signed (P42); the sheet has the line to sign."""
    told = clauses()["hazard-assessment"]
    assert "Hazard assessment: L. Brandt assessed these areas on 2026-08-21" in told
    assert "(29 CFR 1910.132(d)(2)) is a sheet of its own, and counts only when L. Brandt has signed it" in told
    assert "certified" not in flat(plan().markdown)
    assert "counts only when" not in clauses(site="pellan-creek")["hazard-assessment"]
    assert "Record of the hazard assessment: E. Lindgren" in clauses(site="pellan-creek")["hazard-assessment"]


def test_signals_of_a_rescue_and_a_practical_test_are_topics():
    """Both stand in the list of what is trained where the site says that they are, and not otherwise (P74)."""
    told = clauses()["training"]
    assert "the words and hand signs of alarm and rescue" in told
    assert "a practical test" in told
    less = clauses({"training.topics": ["fall-hazards"]})["training"]
    assert "hand signs" not in less
    assert "practical test" not in less


@pytest.mark.parametrize(
    ("place", "act", "scene"),
    [
        ("GB", "RIDDOR 2013", "section 20(2)(e)"),
        ("AU-NSW", "Work Health and Safety Act 2011 (NSW), sections 35 and 38", "section 39"),
        ("CA-ON", "R.S.O. 1990, c. O.1, s. 51(1)", "s. 51(2)"),
        ("CA-AB", "c. O-2.2, s. 33(1)", "s. 33)"),
    ],
)
def test_each_place_is_told_what_must_be_reported(place, act, scene):
    """Death, grave injury, dangerous occurrence and the scene: each with the provision of the place, none left away (P52); three say by what way too."""
    told = clauses({"site.jurisdiction": place}, "pellan-creek")["report"]
    assert told.count(" - ") == (5 if place in ("GB", "AU-NSW", "CA-ON") else 4)
    assert act in told
    assert scene in told
