"""`unknown` is a value everywhere in a profile: it computes nothing, and a wrong form is a problem in its place."""

from datetime import date

import pytest
from support import AS_OF, SITES

from docgen.check import check
from docgen.pipeline import check_site
from docgen.read import read_text
from docgen.unknown import without_unknown

TEXT = """
bays:
  - id: B1
    name: Truck bay
    rail: {underside: 25 ft, line_exit_below_rail: unknown}
    parking: {unknown: {asked: rail maker, on: 2026-10-02}}
people: {users: [unknown, {id: U-1}]}
site: {id: unknown-yard, name: Unknown Yard}
"""


def test_taken_out_wherever_it_stands():
    """A key, a whole section and an entry of a list go; a text that only holds the word stays."""
    source, found = without_unknown(read_text(TEXT))
    assert source.problems == ()
    assert source.data == {
        "bays": [{"id": "B1", "name": "Truck bay", "rail": {"underside": "25 ft"}}],
        "people": {"users": [{"id": "U-1"}]},
        "site": {"id": "unknown-yard", "name": "Unknown Yard"},
    }
    assert source.marks["people.users[0].id"].line == 7
    assert "people.users[1].id" not in source.marks
    assert [(n.path, n.mark.line, n.asked, n.on) for n in found] == [
        ("bays[0].rail.line_exit_below_rail", 5, None, None),
        ("bays[0].parking", 6, "rail maker", date(2026, 10, 2)),
        ("people.users[0]", 7, None, None),
    ]


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("{unknown: {asked: maker, when: 2026-10-02}}", "beside 'unknown' stand only asked and on"),
        ("{unknown: {asked: maker}, tolerance: 0.1 ft}", "beside 'unknown' stand only asked and on"),
        ("{unknown: maker}", "beside 'unknown' stand only asked and on"),
        ("{unknown: {asked: [a, b]}}", "'asked' names whom we asked, as text"),
        ("{unknown: {asked: maker, on: 2026-02-30}}", "'on' is a day, such as 2026-10-02"),
    ],
)
def test_a_wrong_form_is_a_problem_in_its_place(value, message):
    """File, line, column, what is wrong and what would be right."""
    source, _ = without_unknown(read_text(f"rail:\n  slope: {value}\n"))
    (problem,) = source.problems
    assert (problem.line, problem.column, problem.path, problem.message) == (2, 10, "rail.slope", message)
    assert "asked" in problem.hint


def test_what_the_format_needs_cannot_be_unknown():
    """A key without which the record is none is asked for at its place; it is not called missing where it stands."""
    text = "profile: 2\nsite: {id: yard, name: unknown, jurisdiction: US-KS}\ndocument: {effective: 2026-11-01}\nroles:\n  - unknown\n  - {id: unknown, title: Manager}\n"
    source, _ = without_unknown(read_text(text))
    told = [(p.line, p.column, p.path, p.message) for p in check(source)]
    assert told == [
        (2, 24, "site.name", "'name' is needed here and cannot be unknown"),
        (6, 10, "roles[0].id", "'id' is needed here and cannot be unknown"),
    ]


def test_a_profile_without_the_word_is_left_as_it_is():
    """Nothing is copied where nothing is unknown."""
    source = read_text("site: {id: yard}\n")
    assert without_unknown(source) == (source, ())


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "    permission: prohibited\n",
            "    permission: unknown\n",
            "'permission' cannot be unknown: left out, it means allowed",
        ),
        (
            "    setting: canopy\n",
            "    setting: canopy\n    closed: {unknown: {asked: L. Brandt}}\n",
            "'closed' cannot be unknown: it says what somebody decided",
        ),
    ],
)
def test_what_means_something_when_left_out_cannot_be_unknown(tmp_path, old, new, message):
    """A default is no answer of somebody who says that he does not know: a prohibited task must not become an allowed one."""
    text = (SITES / "harrow-ridge" / "profile.yaml").read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "profile.yaml").write_text(text.replace(old, new, 1), encoding="utf-8")
    checked = check_site(tmp_path, AS_OF)
    assert [p.message for p in checked.problems] == [message]
    assert checked.problems[0].line == text[: text.index(old)].count("\n") + new.count("\n")
