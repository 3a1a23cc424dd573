"""The gate card: one half goes along, one stays; a page of boxes only for a class that may climb; never a waiver."""

from __future__ import annotations

import re
from functools import cache

import pytest
from acceptance import rows
from plain import read
from support import CLIMBING, CONDITIONS, composed, demo, with_changes
from test_paper_notice import CLOSED, NOTICE

from docgen.compose.lengths import words_of
from docgen.write.pdf import render

CARD = "gate-card"


def card(changes=None, site="harrow-ridge"):
    """The gate card of a demo with something changed."""
    checked = demo(site) if changes is None else with_changes(demo(site), changes)
    return composed(checked, ("md",), wanted=(CARD,))[CARD]


@cache
def plain(site="harrow-ridge"):
    """The gate card of a demo as it is."""
    return card(site=site)


def text(paper):
    """All its words in one line."""
    return " ".join(paper.document.markdown.replace("\u00a0", " ").replace("\u2011", "-").split())


def halves(paper):
    """Words of the half that goes along and of the half that stays."""
    stays = sum(words_of(c.text) for c in paper.body.clauses if c.section == "stays")
    return sum(words_of(c.text) for c in paper.body.clauses if c.section == "keep"), stays


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek"])
def test_the_acceptance_of_the_card_holds(site):
    """Pages, type, lengths of sentences, verbs; at most 120 words a half."""
    (row,) = [r for r in rows(site) if r.name == CARD]
    assert row.faults == ()
    assert row.pages == (2 if site == "pellan-creek" else 1)
    assert max(halves(plain(site))) <= 120


def test_the_driver_reads_what_a_driver_must_know():
    """May I climb, where do I stay, what of my keys, when may I drive, someone falls, whom do I ask: each in sentences of at most 13 words."""
    said = text(plain())
    for line in (
        "You must not climb.", "lock the keys in the lockbox.", "Then stay in the driver room.",
        "Drive only when the supervisor hands you the keys and the attendant signals.", "Ask the gate operator, 555-0144.",
        "Someone fell? Tell the attendant. You see none? Go to the bay phone. Call 911, then 555-0150.",
    ):  # fmt: skip
        assert line in said
    assert read(plain().document.markdown).longest <= 13


@pytest.mark.parametrize(
    ("site", "said"),
    [
        ("harrow-ridge", "Pida que le lean las reglas en español."),
        ("pellan-creek", "Demandez qu'on vous lise les règles en français."),
    ],
)
def test_who_reads_no_english_is_told_in_their_language_that_the_rules_are_read(site, said):
    """In the language of the reader, where we have the words of it; and what climbing is not stands on the card that a driver keeps."""
    whole = text(plain(site)).replace("’", "'")
    assert said in whole
    assert "Cab steps are not climbing." in whole
    none = text(card({"contractors.interpreter.languages": ["en"]}))
    assert "Pida" not in none


def test_card_and_notice_give_the_alarm_line_word_for_word():
    """One wording: the line of the card is that of the notice."""
    made = composed(demo("harrow-ridge"), ("md",), wanted=(CARD, NOTICE))
    lines = [re.search(r"Tell the attendant\..*?555.0150\.", made[name].document.markdown)[0] for name in (CARD, NOTICE)]
    assert lines[0] == lines[1]


def test_no_page_of_boxes_where_nobody_of_a_firm_may_climb():
    """The boxes stand on a page of their own, with bay, limits and who looks; without a class that may climb there is none."""
    assert "initials" not in text(plain())
    paper = card(CLIMBING)
    said = text(paper)
    assert "Service technician: climb only with page 2, signed this shift." in said
    assert "Service technician, Truck bay: each box needs initials." in said
    assert (
        "at least 130 lb without tools and less than 310 lb with clothing, harness and tools (ask in private, write yes or no, write no figure)"
        in said
    )
    assert "Carry this page. It holds for one shift." in said
    assert "| Date, shift, valid until | |" in said
    for box in ("Training card seen | gate operator", "Understands the language spoken here | gate operator", "Harness looked over | competent person",
                "Harness fits the device | competent person", "Rescuers are on shift | supervisor", "May climb in the Truck bay | supervisor"):  # fmt: skip
        assert box in said
    assert render(paper.document).pages == 2
    assert "Site test" not in said


def test_the_boxes_name_the_person_and_put_the_climb_of_the_site_test_last():
    """The page says whose it is; the test, which is itself a climb, follows harness, limits and rescuers, under the eye of whoever supervises."""
    said = text(card(CLIMBING | {"training.induction_test": "Hook on, pull test and come down"}))
    page = said[said.index("Before you climb") :]
    assert "| Name, firm, vehicle | |" in page
    order = [
        page.index(box)
        for box in (
            "Until they sign, climb for the site test only.", "Harness fits the device", "Is at least", "Rescuers are on shift",
            "Last, site test under the supervisor's eye, rescuers on shift: hook on, pull test and come down | competent person",
            "May climb in the Truck bay", "Signed by",
        )
    ]  # fmt: skip
    assert order == sorted(order)
    assert "site test" not in text(card(CLIMBING))


def test_an_own_lock_has_a_box_only_where_climbers_hang_one():
    """From the step of vehicle control of that kind, and from nothing else."""
    lock = {"do": "hang an own lock on the lockbox", "kind": "own-lock", "by": "attendant", "undone_by": "attendant"}
    kept = [
        {"do": "set the brake", "kind": "brake", "by": "driver", "undone_by": "driver"},
        {"do": "chock the wheels", "kind": "chocks", "by": "attendant", "undone_by": "attendant"},
        {"do": "lock the keys in the lockbox", "kind": "lockbox", "by": "driver", "undone_by": "shift-supervisor"},
    ]
    assert "Own lock" not in text(card(CLIMBING))
    assert "Own lock is on in the Truck bay | supervisor" in text(card(CLIMBING | {"bays[B1].control.steps": [*kept, lock]}))


@pytest.mark.parametrize("name", [CARD, NOTICE])
def test_what_a_driver_does_outside_the_cab_is_said_before_the_driver_is_sent_there(name):
    """A step against energy by a class of contractors stands with its other steps; what keeps the class away follows as the next thing."""
    step = {"step": "connect the grounding cable", "by": "driver"}

    def said(changes):
        return text(composed(with_changes(demo("harrow-ridge"), changes), ("md",), wanted=(name,))[name])

    told = (
        "Truck driver: set the brake, lock the keys in the lockbox and connect the grounding cable. Then stay in the driver room."
    )
    assert told in said({"bays[B1].energy": [step]})
    assert "grounding cable" not in said({"bays[B1].energy": [step | {"by": "attendant"}]})
    assert "grounding cable" not in said({"bays[B1].energy": [step], "bays[B1].closed": CLOSED})


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek"])
def test_in_the_demos_nobody_who_is_kept_away_makes_the_product_harmless(site):
    """No step of a bay is done by a class that stays in the cab, but what is done before."""
    read_site = demo(site).site
    away = {one.id for one in read_site.contractors.classes if any(c.startswith("stay") for c in one.conditions)}
    assert away
    assert not away & {step.by for bay in read_site.bays for step in bay.energy}


def test_card_and_notice_agree_on_when_a_driver_may_drive():
    """Both ask for the supervisor and for the attendant's signal; without one who signals neither does."""
    made = composed(demo("harrow-ridge"), ("md",), wanted=(CARD, NOTICE))
    assert "Drive only when the supervisor hands you the keys and the attendant signals." in text(made[CARD])
    assert "until the supervisor releases it and the attendant signals." in text(made[NOTICE])
    silent = {"bays[B1].release.signs": None, "bays[B2].release.signs": None}
    made = composed(with_changes(demo("harrow-ridge"), silent), ("md",), wanted=(CARD, NOTICE))
    assert not [name for name in (CARD, NOTICE) if "signals" in text(made[name])]


def test_the_half_that_goes_along_tells_what_to_say():
    """The alarm words and the bay, where the profile gives words and a bay is open."""
    assert 'Say "SUSPENDED WORKER" and the bay.' in text(plain())
    assert "and the bay." not in text(card({"emergency.radio.word": None}))
    assert "and the bay." not in text(card({"bays[B1].closed": CLOSED, "bays[B2].closed": CLOSED}))


@pytest.mark.parametrize("lacking", [*CONDITIONS, "firms"])
def test_with_a_condition_missing_only_the_ban_is_printed(lacking):
    """A class of which something is absent has neither line nor page."""
    key = "contractors.firms" if lacking == "firms" else f"contractors.classes[service].{lacking}"
    paper = card(CLIMBING | {key: None})
    assert "page 2" not in text(paper)
    assert "initials" not in text(paper)
    assert "You must not climb." in text(paper)


@pytest.mark.parametrize(("changes", "gone"), [
    ({"contractors.interpreter": None}, "Pida que"), ({"contractors.classes[driver].conditions": []}, "stay in the driver room"),
    ({"contractors.start": None}, "Start work"), ({"bays[B1].control.steps": []}, "hands you the keys"),
    ({"bays[B1].release.signs": None, "bays[B2].release.signs": None}, "attendant signals"), ({"emergency.second": None}, "555-0150"),
])  # fmt: skip
def test_what_no_field_says_does_not_stand_there(changes, gone):
    """Each line comes from its own field."""
    assert gone in text(plain())
    assert gone not in text(card(changes))


def test_with_all_bays_closed_the_card_is_a_ban():
    """No step at a vehicle, no drive, no area: the ban, where to stay, whom to ask and where to call."""
    said = text(card({"bays[B1].closed": CLOSED, "bays[B2].closed": CLOSED}))
    assert "You must not climb. {: #c.climb .alarm } All bays are closed." in said
    assert "Stay in the cab" in said or "stay in the driver room" in said
    for gone in ("lockbox", "Drive only", "painted box", "Start work"):
        assert gone not in said
    assert "Call 911, then 555-0150." in said


@pytest.mark.parametrize("site", ["sable-point", "cormorant-quay", "thornmere"])
def test_thin_and_failing_demos_have_a_card_with_the_ban(site):
    """One page, the ban, no permission; the class that may climb at a closed site has no boxes."""
    paper = plain(site)
    assert "You must not climb." in text(paper)
    assert "page 2" not in text(paper)
    assert render(paper.document).pages == 1


def test_nobody_signs_a_waiver():
    """The receipt says that the rules were received, and gives up nothing."""
    for paper in (plain(), card(CLIMBING)):
        assert not re.search(r"waive|at your own risk|hold harmless|liab|release from", text(paper), re.IGNORECASE)
    assert "I read or heard these rules in the language named here. My questions were answered." in text(plain())
