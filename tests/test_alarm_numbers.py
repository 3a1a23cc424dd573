"""Alarm numbers: one that is new since the last issue, or that of another post now, is issued once another person tried it."""

from datetime import date

import pytest
from composed_once import composed_once
from control_site import LATER, approve_all, happened, issue, swap
from support import ROOT, table

from docgen.cli import main
from docgen.findings.rescue_gear import EMERGENCY_NUMBERS, SHORT


@pytest.fixture(scope="module", autouse=True)
def _composed_once():
    """The texts of the site are composed once for each state of its profile."""
    with composed_once():
        yield


def test_a_changed_alarm_number_is_issued_once_it_was_tried(site):
    """An alarm number that is new since the last issue stops the next one until the log says that somebody tried it."""
    swap(site, *[("number: 555-0150", "number: 555-0199")] * 2)
    approve_all(site, LATER)
    _, against = issue(site, LATER, types=("md",))
    assert [(r.name, r.values["number"]) for r in against] == [("alarm-number-untried", "555-0199")]
    happened(site, kind="number-tried", on=LATER, by="K. Farrow", number="555-0199", how="dialled")
    revision, against = issue(site, LATER, types=("md",))
    assert (revision.revision, against) == (2, ())


def test_the_number_for_calling_back_is_tried(site, capsys):
    """Whoever calls for help tells it to the dispatcher: where it is new, another person than the preparer calls it first."""
    swap(site, ("callback: 555-0150", "callback: 555-0198"))
    approve_all(site, LATER)
    assert [(r.name, r.values["number"]) for r in issue(site, LATER, types=("md",))[1]] == [("alarm-number-untried", "555-0198")]
    happened(site, kind="number-tried", on=LATER, by="L. Brandt", number="555-0198", how="dialled")
    assert [r.name for r in issue(site, LATER, types=("md",))[1]] == ["alarm-number-untried"]
    words = ["number-tried", "--by", "K. Farrow", "number=555-0198", "how=dialled", "--as-of", LATER.isoformat()]
    assert main(["log", str(site), *words]) == 0
    assert issue(site, LATER, types=("md",))[1] == ()
    capsys.readouterr()


def test_a_number_tried_before_the_last_issue_is_tried_again(site):
    """What was dialled under the old papers shows nothing of the new ones."""
    happened(site, kind="number-tried", on=date(2026, 10, 30), by="K. Farrow", number="555-0199", how="dialled")
    swap(site, *[("number: 555-0150", "number: 555-0199")] * 2)
    approve_all(site, LATER)
    assert [r.name for r in issue(site, LATER, types=("md",))[1]] == ["alarm-number-untried"]


def test_alarm_numbers_that_changed_places_are_tried(site):
    """Two numbers that were swapped are each dialled again: whoever calls reaches somebody else."""
    swap(site, ("Control room, number: 555-0150", "Control room, number: 555-0143"))
    swap(site, ("Rescue lead, number: 555-0143", "Rescue lead, number: 555-0150"), ("phone: 555-0143", "phone: 555-0150"))
    swap(site, ("second: {number: 555-0150", "second: {number: 555-0143"))
    approve_all(site, LATER)
    _, against = issue(site, LATER, types=("md",))
    assert [(r.name, r.values["number"]) for r in against] == [("alarm-number-untried", n) for n in ("555-0143", "555-0150")]


def test_the_public_number_is_confirmed_and_never_dialled(site):
    """A public number that changed is confirmed on the non-emergency line; a test call does not count."""
    swap(
        site, ('public: {number: "911"', 'public: {number: "912"'), ('Ambulance and fire, number: "911"', 'Ambulance and fire, number: "912"'),
        ("wind: 25 mph", "wind: 20 mph"),
    )  # fmt: skip
    approve_all(site, LATER)
    happened(site, kind="number-tried", on=LATER, by="K. Farrow", number="912", how="dialled")
    assert [r.name for r in issue(site, LATER, types=("md",))[1]] == ["public-number-unconfirmed"]
    happened(site, kind="number-tried", on=LATER, by="K. Farrow", number="912", how="confirmed")
    assert issue(site, LATER, types=("md",))[1] == ()


@pytest.mark.parametrize(("number", "code"), [("555-0144", 0), ("555-0140", 1)], ids=["gate", "office"])
def test_a_number_that_is_dialled_from_the_bay_can_be_entered_as_tried(number, code, site, capsys):
    """The gate, which calls for help, is reached by the bay phone where the radio is dead; the terminal manager is called by nobody then."""
    words = ["number-tried", "--by", "K. Farrow", f"number={number}", "how=dialled"]
    assert main(["log", str(site), *words, "--as-of", LATER.isoformat()]) == code
    assert number in capsys.readouterr().out


def test_every_number_that_a_set_of_law_names_is_known():
    """The numbers that a finding takes for public ones are those that the sets name, and the two of ITU-T E.161.1 (from memory)."""
    named = set()
    for index in (ROOT / "docgen/codes").glob("*/rules.yaml"):
        for lines in (table(index).get("public_emergency_number") or {}).values():
            for answer in lines.values():
                named |= (
                    set(SHORT.findall(answer["says_plain"])) if isinstance(answer, dict) and "says_plain" in answer else set()
                )
    assert {"000", "111", "911", "999"} <= named
    assert named | {"112", "911"} == set(EMERGENCY_NUMBERS)
