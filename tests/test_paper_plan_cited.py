"""What counsel can cite of the plan: each paragraph by a number, places and laws by their names, who reports, what a rail's load rests on."""

from __future__ import annotations

import re

import pytest
from support import all_markdown, compared, composed, demo, papers
from test_codes import code_of
from test_paper_plan import FULL, clauses

from docgen.codes.folder import find, known, part_name
from docgen.write.base import unparted
from docgen.write.pdf import source

PLACES = ("harrow-ridge", "pellan-creek", "cormorant-quay", "thornmere", "teal-harbor", "sorrel-point")
CODE_OF_PLACE = re.compile(r"\b(?:US|CA|AU|GB|NZ|IE|EU)-[A-Z]{2,3}\b")


@pytest.mark.parametrize("site", PLACES)
def test_a_place_and_its_sector_stand_by_their_names(site):
    """No paper of any circle has the code of a place; general industry is a name of the law of the United States alone."""
    checked, bodies = compared(site)
    for name, text in all_markdown(checked, bodies).items():
        assert not CODE_OF_PLACE.search(text), (name, CODE_OF_PLACE.search(text))
        if checked.site.country != "US":
            assert "general industry" not in text, name


def test_each_part_of_a_country_has_a_name():
    """Those that have a set are called as it is; the rest as their country calls them; what nobody names keeps its code."""
    assert (part_name("US-NE"), part_name("CA-AB"), part_name("US-WA"), part_name("GB-SCT")) == (
        "Nebraska",
        "Alberta",
        "Washington State",
        "GB-SCT",
    )
    for code in known():
        for part, name in find(code).index.get("subdivisions", {}).items():
            assert name
            assert name != part
            if own := find(part):
                assert name == own.index["name"]


@pytest.mark.parametrize(("asked", "state"), [("US-NE", False), ("US-MI", True), ("US-NY", True), ("US", True)])
def test_the_authority_is_the_one_of_the_place(asked, state):
    """A state agency is named only where there may be one; New York's plan covers public employers only (memory)."""
    told = code_of(jurisdiction=asked).authority
    assert told.startswith("the Occupational Safety and Health Administration (OSHA)")
    assert ("state agency" in told) is state


@pytest.mark.parametrize("site", FULL)
def test_each_paragraph_of_a_numbered_section_has_a_number(site):
    """Only what leads to a table or stands in a list has none of its own."""
    numbered, bare = False, []
    for element in papers(site)["fall-protection-plan"].document.tree:
        if element.tag == "h2":
            numbered = element.get("data-number") is not None
        elif numbered and element.tag == "p" and element.get("data-number") is None:
            bare.append("".join(element.itertext()))
    assert not bare


@pytest.mark.parametrize("site", FULL)
def test_a_list_stands_under_the_words_of_its_clause(site):
    """In print it is as far in as the words of the clause; one of few items is not split over two pages, a longer one may be."""
    document = papers(site)["fall-protection-plan"].document
    lists = [element for element in document.tree if element.tag in ("ul", "ol")]
    said = re.findall(r"#under\((\d\.\d\d)em, (true|false), \[", source(document))
    assert len(said) == len(lists) > 8
    assert {room for room, _ in said} == {"3.60"}
    assert [whole == "true" for _, whole in said] == [len(element) <= 6 for element in lists]


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("told by R. Oduya on", "told by R.\u00a0Oduya on"), ("manual rev 7 and", "manual rev\u00a07 and"), ("see section 2 now", "see section\u00a02 now"),
        ("(29 CFR 1910.140(c)(22))", "(29\u00a0CFR\u00a01910.140(c)(22))"), ("84 FR 68797", "84\u00a0FR\u00a068797"), ("29 U.S.C. 654(b)", "29\u00a0U.S.C.\u00a0654(b)"),
        ("S.A. 2020, c. O-2.2, s. 33(1)", "S.A. 2020, c.\u00a0O-2.2, s.\u00a033(1)"), ("Method 3, not 2", "Method\u00a03, not 2"),
        ("Class A. The rest", "Class A.\u00a0The rest"), ("a section of 2 m", "a section of 2 m"), ("Part of it", "Part of it"),
    ],
)  # fmt: skip
def test_no_line_ends_inside_a_name_or_citation(text, kept):
    """An initial, the pieces of a citation, a revision and a reference stay with what follows; other words part as they may."""
    assert unparted(text) == kept


def test_who_reports_and_where_is_told_from_the_field():
    """The reporter and the number of the profile; the place of the report by the law where it has a sentence for it."""
    told = clauses()["report"]
    assert "For this site the Safety manager reports. Each employer" in told
    assert "1-800-321-6742" in told
    assert "the Safety coordinator reports, by telephone to 555\u20110102." in clauses(site="pellan-creek")["report"]
    assert "For this site" not in clauses({"emergency.report": None})["report"]


def test_the_load_of_a_rail_is_told_with_what_it_rests_on():
    """Factor and drawing; each from its field, and no bracket where no paper is named."""
    told = clauses()["rail-statement"]
    assert "with a safety factor of 2 (HR-S-101 rev B). At most one person" in told
    assert told.endswith("Who signed stands at the end of the plan.")
    bare = {f"systems[{s}].anchorage.{f}": None for s in ("S1", "S2") for f in ("design_factor", "drawing")}
    assert "all users together" not in clauses(bare)["rail-statement"]


def test_the_list_of_firms_the_crews_rules_and_the_posted_procedure_are_told():
    """Where the list of firms is; under which rules the own crew's breaches count; and the rescue procedure where it hangs."""
    told = clauses(site="pellan-creek")
    assert "The list of firms is here: binder at the west gate (Gate operator)." in told["entry"]
    assert (
        "for contractors, and for the site's own crew under its work rules of 2024 (who decides, record)" in told["enforcement"]
    )
    assert "Rescue procedure and rescue card (Rescue lead): door of the red cabinet" in told["posting"]
    assert "list of firms" not in clauses({"contractors.firm_list": None}, "pellan-creek")["entry"]
    assert "own crew" not in clauses({"contractors.applies_to_own_crew": False})["enforcement"]


@pytest.mark.parametrize(("site", "checked"), [("harrow-ridge", False), ("pellan-creek", True)])
def test_the_table_of_classes_names_checkers_only_where_there_are_any(site, checked):
    """Its head says who checks only where a class may climb."""
    assert ("and who checks" in papers(site)["fall-protection-plan"].document.markdown) is checked


def test_a_device_that_nobody_names_is_a_blank():
    """A draft asks which device protects on the ladder."""
    assert "which device" in clauses({"bays[B2].ladder.device": None})["sheet.B2"]
    assert (
        composed(demo("harrow-ridge"), ("md",), wanted=("fall-protection-plan",))["fall-protection-plan"].document.markdown.count(
            "D-3"
        )
        == 1
    )
