"""What published lists ask for: the data is whole, and the index tells the truth about the demo sites."""

import random
import re
from pathlib import Path

import pytest
import yaml
from support import compared, composed, demo, legal_file, overridden, papers, with_changes

from docgen.codes import lists
from docgen.codes.lists import ElementList, element_lists, element_words, listed_papers, merged_elements, said
from docgen.compose import all_bodies
from docgen.compose.elements import applying, indexes, lacking, met, places_of, reached
from docgen.compose.number import number, places
from docgen.compose.tree import parse, words
from docgen.errors import CodeError
from docgen.explain import explain
from docgen.site.schema import profile_schema
from docgen.words import words as of_language

TABLE = yaml.safe_load((Path(__file__).parent / "elements.yaml").read_text(encoding="utf-8"))
READ = yaml.safe_load((Path(__file__).parent / "element_items.yaml").read_text(encoding="utf-8"))
FULL = ("harrow-ridge", "pellan-creek")  # federal US, and Alberta in SI units
SCHEMA = profile_schema()
#: Elements that fall away with a state of all bays, from what the state means for the papers, not from what the program writes.
#: Every bay shut: no site paper gives a permission, a limit, a distance or a step of work. So the sheets of the bays are gone (P02 edges and
#: what lies below, P18 who stays out while one is up, P25 where the rail protects nobody), why work is not done in another way (P05), the steps
#: of attaching and climbing (P08), both limits of a climber (P17, P24), the weather (P23), the word to start and the release (P30).
#: The engineering record keeps its figures (P06, P07, P27); inspection, training and rescue go on.
#: The closed notice stands for the notice, so each element told there is gone, and so is what a rail may carry (C03). What the gate
#: reads out (C10), what is told on leaving (C15) and the promise to tell of changes (C16) stand on gate card and plan.
NOTICE = {f"C{n:02}" for n in range(1, 18)} - {"C10", "C15", "C16"}
SHUT = {"P02", "P05", "P08", "P17", "P18", "P23", "P24", "P25", "P30", *NOTICE}
#: Shut because in each bay a fact is missing without which nobody may climb: of the plan only "No plan yet", local codes with the law that
#: was applied (P26) and signatures are left. The engineering record has what it can work out (P06, P07, P27); what other papers leave to
#: the plan goes with it: the scene that is kept (R17), telling on leaving and of changes (C15, C16).
THIN = ({m for m in merged_elements() if m[0] == "P"} - {"P06", "P07", "P26", "P27"}) | {"R17", *NOTICE, "C15", "C16"}
GONE = {"open": set(), "shut": SHUT, "thin": THIN}
#: A rescue gap in each bay: "No rescue is planned" stands for the pages that every element of a rescue rests on.
RESCUE = {m for m in merged_elements() if m[0] == "R"}

# How many items each list has: counted in the text, or in the copy or memory that its `basis` and `note` tell of. A part of an item
# that other clauses meet, or none, is an item of its own.
ITEMS = {
    "em-2014-plan": 18, "em-2014-rescue": 17, "em-2014-emergency": 16, "em-2014-notice": 20, "em-2024-plan": 4,
    "usace-guide-2012": 9, "don-guide-program": 13, "don-guide-plan": 10, "don-guide-rescue": 7,
    "us-502k": 12, "us-app-e": 14, "us-132d": 5, "us-app-c": 8, "us-140c21": 1, "us-app-c-rescue": 3, "us-1910-30": 7, "us-shib": 12,
    "us-z359-2": 10, "us-z359-2-rescue": 7, "us-host": 14, "us-1910-27": 5, "us-host-standards": 12, "us-cpl": 4, "us-posting": 3,
    "us-signs": 3, "us-language": 4, "us-wa-work-plan": 13, "us-ca-1671-1": 10, "us-or-rescue": 14,
    "ca-bc-11-3": 1, "ca-bc-g11-3": 4, "ca-bc-template": 6, "ca-bc-32": 9, "ca-bc-safe-work-plan": 13, "ca-ab-140": 8, "ca-ab-141": 11,
    "ca-12-06": 9, "ca-ccohs-plan": 10, "ca-ccohs-rescue": 3, "ca-qc-312": 4, "ca-on-chart": 16,
    "gb-rescue": 2, "gb-rescue-advice": 9, "gb-contractors": 7, "au-rescue": 13,
}  # fmt: skip

# Letters of 29 CFR 1926.502(k) and of Alberta OHS Code 140(2) (both read, see the lists): nothing left out, nothing added.
LETTERS = {
    "us-502k": [f"k{n}" for n in range(1, 11)],
    "ca-ab-140": ["2a", "2b", "2c", "2d", "2e", "2f", "3", "4"],
    "ca-12-06": ["1a", "1b", "2a", "2b", "2c", "2d", "2e", "2f", "3"],
    "us-wa-work-plan": ["1", *"abcdefghi"],
}


def bodies_of(name):
    """The English bodies of a demo by document."""
    return {document: versions["en"] for document, versions in compared(name)[1].items()}


def places_in(bodies):
    """Clause id -> its place in words, of all papers with a digest."""
    return {key: place for body in bodies.values() for key, place in places_of(body, "en").items()}


def standing(name):
    """Every merged element at a demo, by id."""
    checked = demo(name)
    return met(checked.site, checked.assessed, bodies_of(name), "en")


def standing_with(checked, changes):
    """Every merged element at a site with changes, by id."""
    site = with_changes(checked, changes)
    bodies = all_bodies(site.site, site.code, site.assessed)
    return met(site.site, site.assessed, {document: versions["en"] for document, versions in bodies.items()}, "en")


@pytest.fixture(scope="module")
def harrow():
    return demo("harrow-ridge")


def test_the_merged_elements_are_all_there():
    """28 elements of a plan, 24 of a rescue procedure, 17 of a notice, each named and explained."""
    letters = [key[0] for key in merged_elements()]
    assert {letter: letters.count(letter) for letter in "PRC"} == {"P": 28, "R": 24, "C": 17}
    texts = element_words("en")
    assert set(texts["merged"]) == set(merged_elements())
    own = {need for a in element_lists() for e in a.elements for need in e.needs}
    assert set(texts["needs"]) == own | {need for m in merged_elements().values() for need in m.needs}


def test_every_item_of_every_list_is_there():
    """Each list has its items, none twice, and each is tied to merged elements of the same document."""
    assert {a.id: len(a.elements) for a in element_lists()} == ITEMS
    for asked in element_lists():
        for element in asked.elements:
            assert element.merged, (asked.id, element.key)
            assert all(merged_elements()[key].document == asked.document for key in element.merged)
            assert element.basis in ("read", "memory")
            assert element.says, (asked.id, element.key)
    for name, letters in LETTERS.items():
        asked = next(a for a in element_lists() if a.id == name)
        assert list(dict.fromkeys(re.sub(r"-\d$", "", e.key) for e in asked.elements)) == letters


def test_every_merged_element_is_asked_for_by_a_list():
    """No merged element is our own invention: at least one published list asks for it."""
    assert {key for a in element_lists() for e in a.elements for key in e.merged} == set(merged_elements())


def test_forces_and_documents_are_of_the_vocabulary():
    """Force and basis are words that the law data knows and that the documents can print."""
    terms = of_language("en")["terms"]
    for asked in element_lists():
        assert asked.force in terms, asked.id
        assert asked.basis in terms
        assert asked.document in listed_papers()


def test_a_missing_text_of_another_language_is_an_error():
    """There is no silent fall back to English."""
    asked = element_lists()[0]
    with pytest.raises(CodeError, match="no words for the language 'xx'"):
        said(asked, asked.elements[0], "xx")


APPLIES = [
    # a list of a country applies in its parts, a federal Canadian one only to federal work, an owner's only where it is named
    ("us-132d", "US-NE", "general-industry", (), True),
    ("us-132d", "US-NE", "construction", (), False),
    ("us-502k", "US-NE", "general-industry", (), False),
    ("us-502k", "US-NE", "construction", (), True),
    ("us-wa-work-plan", "US-WA", "general-industry", (), True),
    ("us-wa-work-plan", "US-OR", "general-industry", (), False),
    ("ca-ab-140", "CA-AB", "general-industry", (), True),
    ("ca-12-06", "CA", "general-industry", (), True),
    ("ca-12-06", "CA-AB", "general-industry", (), False),
    ("ca-ccohs-plan", "CA-QC", "general-industry", (), True),
    ("ca-qc-312", "CA-QC", "construction", (), True),
    ("gb-rescue", "GB-ENG", "general-industry", (), True),
    ("au-rescue", "AU-QLD", "general-industry", (), True),
    ("em-2014-plan", "US-NE", "general-industry", (), False),
    ("em-2014-plan", "DE", "general-industry", ("EM-385-1-1-2014",), True),
    ("em-2014-plan", "US", "general-industry", ("EM-385-1-1-2024",), False),
]


@pytest.mark.parametrize(("name", "place", "sector", "owner", "expected"), APPLIES)
def test_where_a_list_applies(name, place, sector, owner, expected):
    """Place, sector and the owner's sets decide (scope of each text as its entry states it)."""
    asked: ElementList = next(a for a in element_lists() if a.id == name)
    assert asked.applies(place, sector, owner) is expected


def test_no_list_crosses_a_border():
    """Outside an owner's set no list of one country applies in another."""
    for place in ("US-NE", "CA-ON", "GB", "IE", "NZ", "AU-QLD", "DE"):
        for sector in ("general-industry", "construction"):
            for asked in element_lists():
                if asked.applies(place, sector, ()):
                    assert {where.split("-")[0] for where in (*asked.places, *asked.only)} == {place.split("-")[0]}


@pytest.mark.parametrize("site", FULL)
def test_a_full_demo_meets_every_element(site):
    """All 69 merged elements are met by clauses of the demo's documents."""
    found = standing(site)
    assert {key: m.missing for key, m in found.items() if not m.met} == {}
    assert len(found) == 69
    assert all(m.clauses for m in found.values())


def test_what_is_met_is_met_with_content_of_the_site(harrow):
    """The clauses named for an element have read every profile field that the element needs: no phrase alone meets it."""
    clauses = {c.id: c for body in bodies_of("harrow-ridge").values() for c in body.clauses}
    texts = standing("harrow-ridge")
    for key, element in merged_elements().items():
        read = {path for c in texts[key].clauses for path, value in clauses[c].inputs if value not in ("-", "[]")}
        for need in element.needs:
            paths = [path for path, value in reached(harrow.site, need) if value is not None] if need[0] != "=" else []
            assert_read(paths, need, read, key)


def assert_read(paths, need, read, *what):
    """Of the values that a need means each was read by the clauses; where any one will do, at least one."""
    seen = [any(r == path or r.startswith((f"{path}.", f"{path}[")) for r in read) for path in paths]
    assert not paths or (any(seen) if "[any" in need else all(seen)), (*what, need, paths, seen)


@pytest.mark.parametrize("site", FULL)
def test_what_an_item_needs_is_read_by_its_own_clauses(site):
    """The clauses of an item, of whichever list, stand in the papers and have read every profile field that the item needs."""
    checked = demo(site)
    clauses = [c for body in bodies_of(site).values() for c in body.clauses]
    for asked, element, need in items():
        told = [[c for c in clauses if c.id == one or (one.endswith(".*") and c.id.startswith(one[:-1]))] for one in element.at]
        assert all(told), (asked, element.key, element.at)
        read = {path for hits in told for c in hits for path, value in c.inputs if value not in ("-", "[]")}
        assert_read([path for path, value in reached(checked.site, need) if value is not None], need, read, asked, element.key)


def needs():
    """(element, need) of everything that an element asks of the profile, `=` for computed values aside."""
    return [(key, need) for key, element in merged_elements().items() for need in element.needs if not need.startswith("=")]


def is_missed(checked, key, need):
    """Without what a need names the element is not met, and the index says what is missing."""
    paths = [p for p, _ in reached(checked.site, need)] if "[any" not in need else [re.sub(r"\[any.*", "", need)]
    data = with_changes(checked, dict.fromkeys(paths))
    assert need in [n for n, _ in lacking(merged_elements()[key], data.site, data.assessed)], (key, need, paths)


def test_no_need_is_idle(harrow):
    """Each need counts; a seeded tenth of more than a hundred is tried here, all of them in tests/long."""
    assert len(needs()) > 100
    for key, need in random.Random(28).sample(needs(), len(needs()) // 10):
        is_missed(harrow, key, need)


@pytest.mark.parametrize("section", TABLE)
def test_deleting_a_section_unmeets_what_rests_on_it(harrow, section):
    """Without a section exactly the elements of the table are not met, and each says in words what is missing."""
    row = TABLE[section] if isinstance(TABLE[section], dict) else {"elements": TABLE[section]}
    without = dict.fromkeys([*row.get("also", ()), section])
    assert how_shut(with_changes(harrow, without)) == row.get("state", "open")
    changed = standing_with(harrow, without)
    expected = {*row["elements"], *GONE[row.get("state", "open")], *(RESCUE if row.get("gap") else ())}
    assert [key for key, m in changed.items() if not m.met] == [key for key in changed if key in expected]
    assert all(text for key in expected for text in changed[key].missing)


def how_shut(checked):
    """Whether some bay is open for the papers with a digest, none is, or none is because each lacks facts."""
    bays = checked.assessed.planned
    if any(not bay.shut for bay in bays):
        return "open"
    return "thin" if all(any(r.reason == "facts" for r in bay.reasons) for bay in bays) else "shut"


DECIDED = {"by": "safety-manager", "on": "2026-10-01", "reason": "The canopy is being painted"}
#: Changes -> what becomes of the bays, and what falls away besides: what was taken out, or a working that nothing asks for (where the site
#: closed every bay no case governs: the record has the figures of each case, and works none out).
STATES = {
    "one bay by decision": ({"bays[B2].closed": DECIDED}, "open", set()),
    "each bay by decision": ({"bays[B1].closed": DECIDED, "bays[B2].closed": DECIDED}, "shut", {"P27"}),
    "one by decision, one by a finding": ({"bays[B1].closed": DECIDED, "systems[S2].anchorage.basis": None}, "shut", {"P06"}),
    "each bay by a finding": ({"systems[S1].anchorage.basis": None, "systems[S2].anchorage.basis": None}, "shut", {"P06"}),
    "one lacks facts": ({"bays[B1].heights_from": None}, "open", {"P02"}),
    "each lacks facts": ({"bays[B1].heights_from": None, "bays[B2].heights_from": None}, "thin", {"P02"}),
}  # fmt: skip


@pytest.mark.parametrize("case", STATES)
def test_what_stands_in_each_state_of_the_bays(harrow, case):
    """Each state of the bays takes from the papers what it must, and leaves the rest: a closed bay is closed to work, never to rescue."""
    changes, state, own = STATES[case]
    assert how_shut(with_changes(harrow, changes)) == state
    lost = {key for key, m in standing_with(harrow, changes).items() if not m.met}
    assert lost == GONE[state] | own


def test_every_section_of_the_profile_is_in_the_table():
    """The table knows every section that the profile can have, except what a site cannot be without."""
    assert {s.split(".")[0].split("[")[0] for s in TABLE} == set(SCHEMA["properties"]) - {"profile", "portfolio", "accepted"}


@pytest.mark.parametrize(
    ("changes", "claimed"),
    [
        ({}, True),
        ({"rescue.prepared_on": None}, False),
        ({"rescue.prepared_on": "2026-11-02"}, False),  # a day after the plan took effect
        ({"document.effective": None}, False),
    ],
)
def test_a_procedure_is_said_to_come_before_the_work_only_by_its_day(harrow, changes, claimed):
    """R23 asks for a procedure made beforehand: the paper says so where its day and that of the plan show it, else only who wrote it."""
    site = with_changes(harrow, changes)
    body = all_bodies(site.site, site.code, site.assessed)["rescue-procedure"]["en"]
    text = next(c.text for c in body.clauses if c.id == "rescue-procedure.prepared")
    assert "The rescue lead wrote this procedure" in text
    assert ("before the work of plan HR-FP-01 began" in text) is claimed


@pytest.mark.parametrize("site", FULL)
def test_the_index_of_a_full_demo_is_complete(site):
    """Each list that applies is printed, item by item, each item with a clause or with what is missing, and its caption counts those."""
    checked, bodies = demo(site), compared(site)[1]
    text = legal_file(checked, bodies).markdown
    appendix = text[text.index("## Element index") : text.index("## Clause register")]
    found = indexes(checked.site, checked.assessed, bodies_of(site), "en", places_in(bodies_of(site)))
    wanted = applying(checked.site)
    assert wanted
    rows = [r for r in appendix.splitlines() if r.startswith("| ") and not r.startswith(("| :--", "| Element", "| Item"))]
    assert len(rows) == 69 + sum(1 + len(a.elements) for a in wanted)  # each list has a row of its own above its items
    assert all(len(r.split(" | ")[2].strip(" |")) > 3 for r in rows)
    open_ = [row for index in found.values() for group in index.lists for row in group.rows if row.lacks]
    assert appendix.count("**not met**") == len(open_) > 0
    binding = [r for i in found.values() for g in i.lists if g.list.force == "mandatory" for r in g.rows if r.lacks]
    assert binding == []
    below = text[text.index("## Findings and how handled") : text.index("## Review, approval and issue")]
    for index in found.values():
        for group in index.lists:
            for row in (
                row for row in group.rows if row.lacks
            ):  # each stands again with the findings, and marks its merged element
                (line,) = (line for line in below.splitlines() if f"| {group.list.citation}, " in line)
                assert re.search(rf"[|,;] {re.escape(row.key)} \({re.escape(row.says)}\)", line), row.key
    assert any(row.part for index in found.values() for row in index.merged)
    assert "{: .flag } list " in appendix
    assert "none not met" not in appendix
    pointing = {(a.citation, e.key) for a in wanted for e in a.elements if e.at}
    for index in found.values():
        for group in index.lists:
            # an open item has a clause that has not read what it must, or no clause at all
            for row in (row for row in group.rows if row.lacks):
                bare = row.missing == ("no clause of these papers",)
                assert row.missing
                assert bare is ((group.list.citation, row.key) not in pointing), row.key
    for index in found.values():
        for group in index.lists:
            told = ", ".join([f"{group.open} not met"] * bool(group.open) + [f"{group.weak} to be looked at"] * bool(group.weak))
            assert f"{len(group.rows)} item{'' if len(group.rows) == 1 else 's'}, {told or 'all met'}." in appendix


@pytest.mark.parametrize("site", FULL)
def test_each_pointer_of_a_list_is_to_a_clause_that_says_it(site):
    """Every item that is met points to the clauses of the table, no other, and their texts have the words read there."""
    checked, bodies = demo(site), bodies_of(site)
    texts = {c.id: " ".join(c.text.split()) for body in bodies.values() for c in body.clauses}
    where = places_in(bodies)
    seen = set()
    for word, index in indexes(checked.site, checked.assessed, bodies, "en", where).items():
        for group in index.lists:
            met_here = {row.key: row.where for row in group.rows if row.met}
            table = READ.get(group.list.id, {})
            assert set(table) == set(met_here), group.list.id
            for key, clauses in table.items():
                pointed = []
                for name, words_ in clauses.items():
                    full = name.replace("/", ".", 1) if "/" in name else f"{listed_papers()[word]}.{name}"
                    hits = [c for c in texts if c == full or (full.endswith(".*") and c.startswith(full[:-1]))]
                    hits = [c for c in hits if where[c] in met_here[key]]
                    assert hits, (group.list.id, key, name)
                    for clause in hits:
                        assert re.search(words_, texts[clause], re.IGNORECASE), (group.list.id, key, clause)
                    pointed += hits
                assert {where[c] for c in pointed} == set(met_here[key]), (group.list.id, key)
            seen.add(group.list.id)
    assert seen


def items():
    """(list, item, need) of every need of an item's own, `=` for computed values aside."""
    own = [(a.id, e, need) for a in element_lists() for e in a.elements if e.at for need in e.needs]
    return [row for row in own if not row[2].startswith("=")]


def test_no_need_of_an_item_is_idle(harrow):
    """Each need of an item counts; a seeded twentieth of them is tried here."""
    for name, element, need in random.Random(21).sample(items(), len(items()) // 20):
        path = re.split(" (?:=|!=|<=|has|says) ", need)[0]
        paths = [p for p, _ in reached(harrow.site, need)] if "[any" not in path else [re.sub(r"\[any.*", "", path)]
        data = with_changes(harrow, dict.fromkeys(paths))
        assert need in [n for n, _ in lacking(element, data.site, data.assessed)], (name, element.key, need)


COMPARED = [
    # a value of the profile, and whether an item that asks for it in figures, by choice or in words is met with it
    ("us-z359-2-rescue", "6", {"rescue.contact_limit.value": "6 min"}, True),
    ("us-z359-2-rescue", "6", {"rescue.contact_limit.value": "7 min"}, False),
    ("us-z359-2-rescue", "5", {"rescue.drill_interval": "1 year"}, True),
    ("us-z359-2-rescue", "5", {"rescue.drill_interval": "13 months"}, False),
    ("us-shib", "6", {"rescue.relief_straps": False}, False),
    ("us-1910-30", "a3i", {"training.topics": ["rescue"]}, False),
    ("us-shib", "9", {"rescue.casualty_care.position": None}, False),
    ("em-2014-plan", "21.B.03-3", {}, False),
    ("em-2014-plan", "21.B.03-3", {f"bays[{bay}].sideways.limit": "4 ft" for bay in ("B1", "B2")}, True),
    ("gb-rescue-advice", "2", {"rescue.methods[M3].wind_max": None}, False),
    ("us-shib", "8", {"bays[B2].watcher.role": None}, False),
    ("us-z359-2-rescue", "1", {"rescue.prepared_by": "safety-manager"}, False),
]


@pytest.mark.parametrize(("name", "key", "changes", "expected"), COMPARED)
def test_a_need_in_figures_or_words_is_held_against_the_value(harrow, name, key, changes, expected):
    """An item that asks for a figure, a choice or a word is met by a profile that gives it, and not by one that gives another."""
    element = next(e for a in element_lists() if a.id == name for e in a.elements if e.key == key)
    data = with_changes(harrow, changes)
    assert (not list(lacking(element, data.site, data.assessed))) is expected


def test_a_certification_is_claimed_only_where_the_paper_says_so(harrow):
    """In Oregon the law does not call the paper a certification, and the item that asks for the name is not met."""
    element = next(e for a in element_lists() if a.id == "us-132d" for e in a.elements if e.key == "d2-4")
    assert not list(lacking(element, harrow.site, harrow.assessed))
    data = with_changes(harrow, {"site.jurisdiction": "US-OR"})
    assert [need for need, _ in lacking(element, data.site, data.assessed)] == ["=certification"]


def test_an_item_of_several_clauses_is_not_met_without_one_of_them(tmp_path, harrow):
    """An own template without one clause of an item leaves the item open, and the index names the clause."""
    text = "## Work {: #work }\n\n{% clause 'heights' %}\nOnly {{ site.site.name }}.\n{% endclause %}\n"
    own = overridden(tmp_path, "fall-protection-plan", "work", text)
    bodies = {n: by["en"] for n, by in all_bodies(harrow.site, harrow.code, harrow.assessed, (own,)).items()}
    groups = indexes(harrow.site, harrow.assessed, bodies, "en", places_in(bodies))["plan"].lists
    rows = {r.key: r for g in groups if g.list.id == "us-132d" for r in g.rows}
    assert rows["d1"].missing == ("the clause fall-protection-plan.hazard-assessment is not in the document",)
    assert rows["d1"].where == ()


def test_the_index_stands_on_no_paper_of_the_site():
    """Codes of elements are for counsel: the legal file holds the index, and no paper that is written by default does."""
    for document, _ in papers("harrow-ridge").values():
        assert "Element index" not in document.markdown, document.name


def test_the_index_names_places_as_the_papers_number_them(harrow):
    """The index names the clauses of every paper by the numbers and table numbers that the paper itself carries."""
    documents = papers("harrow-ridge")
    for paper, of in (
        ("contractor-notice", "Notice"),
        ("fall-protection-plan", "Plan"),
        ("rescue-procedure", "Rescue procedure"),
    ):
        document, body = documents[paper]
        printed = places(parse(document.markdown), document.labels)
        for clause, where in places_of(body, "en").items():
            anchor = f"c.{clause.removeprefix(f'{paper}.')}"
            if anchor in printed:
                assert where == f"{of} {printed[anchor]}"
            else:
                assert re.fullmatch(rf"{of}( section [\d.]+)?", where), clause
    plan, notice, rescue = (
        places_of(documents[name][1], "en") for name in ("fall-protection-plan", "contractor-notice", "rescue-procedure")
    )
    assert plan["fall-protection-plan.sheet.B2"] == "Plan section 3.2"  # a clause without a number is named by its section
    assert rescue["rescue-procedure.steps.M1"] == "Rescue procedure section 2"
    assert notice["contractor-notice.hazards"] == "Notice"
    index = indexes(harrow.site, harrow.assessed, bodies_of("harrow-ridge"), "en", places_in(bodies_of("harrow-ridge")))["notice"]
    where = {row.key: row.where for row in index.merged}
    tree = number(parse(documents["contractor-notice"][0].markdown), documents["contractor-notice"][0].labels)
    printed = {e.get("id"): e.get("data-number") for e in tree.iter() if e.get("data-number")}
    assert where["C05"] == (f"Notice {printed['c.fall']}", f"Notice {printed['c.fall-keep']}")
    assert where["C01"] == ("Notice",)


def test_the_small_demo_says_what_is_missing():
    """A first profile leaves most elements open; each is listed with what the profile lacks, and nothing breaks."""
    found = standing("sable-point")
    open_ = [m for m in found.values() if not m.met]
    assert len(open_) > 50
    assert found["P26"].met
    text = legal_file(demo("sable-point"), compared("sable-point")[1]).markdown
    assert "not met**{: .flag } the policy of the management, who states the policy" in text
    assert found["P18"].missing == ("how people and things below are kept apart (W1)",)


def test_a_template_that_drops_a_clause_is_told(tmp_path, harrow):
    """An own template without the clause that meets an element leaves it open, and the index names the clause."""
    text = "## Scope {: #scope }\n\n{% clause 'place' %}\nOnly {{ site.site.name }}.\n{% endclause %}\n"
    own = overridden(tmp_path, "fall-protection-plan", "scope", text)
    bodies = {n: by["en"] for n, by in all_bodies(harrow.site, harrow.code, harrow.assessed, (own,)).items()}
    found = met(harrow.site, harrow.assessed, bodies, "en")
    assert found["P20"].missing == ("the clause fall-protection-plan.policy is not in the document",)


def test_explain_lists_the_elements(harrow):
    """`docgen explain elements` lists the lists; with a profile, what is met and what is missing."""
    text = explain("elements", None, None, harrow.as_of)
    assert all(a.id in text for a in element_lists())
    assert "45 lists, 400 elements, 69 merged" in text
    text = explain("elements", harrow, None, harrow.as_of)
    assert "69 of 69 met" in text
    small = demo("sable-point")
    text = explain("elements", small, None, small.as_of)
    assert "not met: " in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_a_wrong_tie_is_a_mistake_of_the_data(tmp_path, monkeypatch):
    """A list that is tied to no merged element is refused with file, list and item."""
    (tmp_path / "merged.yaml").write_text("P01: {clauses: [place], needs: [site.address]}\n", encoding="utf-8")
    (tmp_path / "own.yaml").write_text(
        "x:\n  document: plan\n  title: t\n  body: b\n  edition: e\n  citation: c\n  force: guidance\n  basis: read\n"
        "  applies: {places: [US]}\n  elements:\n    a: {says: s, merged: [P99]}\n", encoding="utf-8",
    )  # fmt: skip
    monkeypatch.setattr(lists, "ELEMENTS", tmp_path)
    for cached in (lists.merged_elements, lists.element_lists):
        cached.cache_clear()
    try:
        with pytest.raises(CodeError, match=r"own\.yaml: x: element 'a' is tied to P99"):
            lists.element_lists()
    finally:
        for cached in (lists.merged_elements, lists.element_lists):
            cached.cache_clear()


def test_texts_are_printed_as_text(harrow):
    """A profile that is full of marks breaks no table of the index."""
    changes = {"document.policy.statement": "A | b {: .x } **c**"}
    document = legal_file(with_changes(harrow, changes))
    assert words(document.tree)
    document = composed(with_changes(harrow, changes))["fall-protection-plan"][0]
    assert "A | b {: .x } **c**" in words(document.tree)
