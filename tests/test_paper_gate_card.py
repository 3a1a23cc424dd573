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
        "You must not climb.", "lock the keys in the lockbox.", "Stay in the cab or driver room.",
        "Drive only when the supervisor hands you the keys and the attendant signals.", "Ask the gate operator, 555-0144.",
        "Someone fell? Tell the attendant. You see no attendant? Go to the bay phone. Call 911, then 555-0150.",
    ):  # fmt: skip
        assert line in said
    assert read(plain().document.markdown).longest <= 13


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
    assert "Service technician: climb only after all have signed page 2." in said
    assert "Service technician, Truck bay: each box needs initials." in said
    assert "at least 130 lb without tools and less than 310 lb with clothing, harness and tools, never a figure" in said
    for box in ("Training card seen | gate operator", "Follows the language | gate operator", "Harness looked over | competent person",
                "Harness fits the device | competent person", "Rescuers are on shift | supervisor", "May climb in the Truck bay | supervisor"):  # fmt: skip
        assert box in said
    assert render(paper.document).pages == 2
    assert "Site test" not in said
    assert "Site test: hook on, pull test" in text(
        card(CLIMBING | {"training.induction_test": "Hook on, pull test and come down"})
    )


@pytest.mark.parametrize("lacking", [*CONDITIONS, "firms"])
def test_with_a_condition_missing_only_the_ban_is_printed(lacking):
    """A class of which something is absent has neither line nor page."""
    key = "contractors.firms" if lacking == "firms" else f"contractors.classes[service].{lacking}"
    paper = card(CLIMBING | {key: None})
    assert "page 2" not in text(paper)
    assert "initials" not in text(paper)
    assert "You must not climb." in text(paper)


@pytest.mark.parametrize(("changes", "gone"), [
    ({"contractors.interpreter": None}, "in Spanish"), ({"contractors.classes[driver].conditions": []}, "Stay in the cab"),
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
    assert "Stay in the cab" in said or "stay in the cab" in said
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
    assert "I received these rules in my language, and my questions were answered." in text(plain())
