"""The three documents: complete, traced, bound to a digest, readable by each reader, and harmless with hostile text."""

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import get_args

import pytest
from support import CLIMBING, DEMOS, SITES, compared, composed, demo, judge, legal_file, overridden, papers, with_changes

from docgen.codes import questions
from docgen.errors import TemplateError
from docgen.papers import outline, outlines
from docgen.papers import papers as papers_of_the_library
from docgen.read import Source
from docgen.resources import data_folder
from docgen.site import RolePart, build


@pytest.fixture(scope="module")
def harrow():
    return demo("harrow-ridge")


@pytest.fixture(scope="module")
def documents():
    return papers("harrow-ridge")


@pytest.mark.parametrize("name", DEMOS)
def test_every_demo_composes(name):
    """Each demo gives all documents, with no unfilled place and no Python value in the text."""
    for document, body in papers(name).values():
        assert not re.search(r"\bNone\b(?!\.)|\bTrue\b|\bFalse\b|<docgen|\{\{|\}\}|\{%", document.markdown), document.name
        assert body.clauses or not outline(document.name).digest


def test_every_clause_about_a_record_is_traced(documents):
    """A clause about one record rests on at least one field of the profile or step of the calculation."""
    for document, body in documents.values():
        for clause in body.clauses:
            if clause.id.count(".") > 1:
                assert clause.inputs, f"{document.name}: {clause.id} rests on nothing"


def test_ids_are_stable_and_not_positional(harrow, documents):
    """A vehicle put in front of the others leaves the ids of the old clauses as they were."""
    before = {c.id for _, b in documents.values() for c in b.clauses}
    data = harrow.source.data
    vehicle = {
        "id": "aaa",
        "name": "Box van",
        "deck": "4.0 ft",
        "sides": [{"side": "rear", "edge": "4.0 ft", "lower": {"what": "slab", "height": "0 ft"}}],
    }
    source = replace(harrow.source, data={**data, "vehicles": [vehicle, *data["vehicles"]]})
    site = build(source)
    after = {c.id for _, b in composed(judge(source, site, harrow.code)).values() for c in b.clauses}
    assert before <= after


@pytest.mark.parametrize(("change", "moved", "still"), [
    ({"bays[B1].rail.underside": "27.5 ft"}, {"fall-protection-plan"}, {"contractor-notice"}),
    ({"emergency.contacts": [{"role": "Control room", "number": "555-0150", "hours": "24 hours"}, {"role": "Yard", "number": "555-0199"}]},
     {"rescue-procedure"}, {"fall-protection-plan", "contractor-notice"}),
    ({"emergency.second.number": "555-0199"}, {"fall-protection-plan", "contractor-notice", "gate-card"}, {"engineering-record"}),
    ({"rescue.methods[M2].name": "Raise and lower"}, {"rescue-procedure", "fall-protection-plan"}, {"contractor-notice"}),
    ({"limits.upper.value": "300 lb"}, {"fall-protection-plan"}, {"contractor-notice"}),
    ({"contractors.appeal": "Ask the manager again"}, {"fall-protection-plan", "contractor-notice"}, {"rescue-procedure"}),
])  # fmt: skip
def test_digest_moves_with_what_a_document_says(harrow, documents, change, moved, still):
    """A change moves the digest of the documents that rest on it, and of no other."""
    after = composed(with_changes(harrow, change))
    for name in moved:
        assert after[name][1].digest != documents[name][1].digest, name
    for name in still:
        assert after[name][1].digest == documents[name][1].digest, name


def said(after, document, clause):
    """The text of one clause of the documents composed."""
    return next(c.text for c in after[document][1].clauses if c.id == f"{document}.{clause}")


def test_limits_without_and_with_tools(harrow):
    """Both limits in the words of their own; the figure as written, the other unit rounded to the strict side: 59 kg are 130.07 lb, 140 kg 308.6 lb."""
    up = dict(CLIMBING)  # without a class that may climb the notice prints no weight
    after = composed(with_changes(harrow, up | {"limits.lower.value": "59 kg", "limits.upper.value": "140 kg"}))
    words = "at least 59 kg (131 lb) without tools and less than 140 kg (308 lb) with clothing, harness and tools"
    for document, clause, wanted in (
        ("contractor-notice", "limits", re.sub(r" \(.*? lb\)", "", words)), ("fall-protection-plan", "user-limit", words)
    ):  # fmt: skip
        heard = said(after, document, clause).replace("\u00a0", " ").replace("not more than", "less than")
        assert wanted in heard, clause
    closed = composed(with_changes(harrow, up | {"limits.lower.value": None, "limits.upper.value": "140 kg"}))[
        "contractor-notice"
    ]
    assert "DO NOT CLIMB" in closed.document.markdown  # a limit that is missing closes the bays
    assert "140 kg" not in closed.document.markdown.replace("\u00a0", " ")


def test_who_holds_the_vehicle_still(harrow):
    """A step of which the profile does not say who does it closes the bay in the plan; the notice tells a driver the driver's own steps and none of the crew's."""
    step = {"do": "Set the parking brake", "kind": "brake", "by": "driver", "undone_by": "shift-supervisor"}
    nobody = {"do": "chock the wheels", "kind": "chocks"}
    after = composed(with_changes(harrow, {"bays[B1].control.steps": [step, nobody], "bays[B2].control": None}))
    ids = {c.id for c in after["fall-protection-plan"][1].clauses}
    assert (
        not {"fall-protection-plan.vehicle-control.B1", "fall-protection-plan.vehicle-control.B2"} & ids
    )  # a step that nobody does closes its bay
    assert "DO NOT CLIMB" in after["contractor-notice"].document.markdown
    keys = {"do": "lock the keys away", "kind": "lockbox", "by": "driver", "undone_by": "shift-supervisor"}
    chocks = nobody | {"by": "attendant", "undone_by": "attendant"}
    after = composed(with_changes(harrow, {"bays[B1].control.steps": [step, chocks, keys]}))
    assert "Truck driver: set the parking brake and lock the keys away.\nThen stay in the driver room." in said(
        after, "contractor-notice", "held-still"
    )
    assert "chock" not in after["contractor-notice"].document.markdown


def test_digest_does_not_move_with_the_day(harrow, documents):
    """The day of the run is in the frame only."""
    later = with_changes(harrow, {}, date(2026, 12, 1))
    for name, (_, body) in composed(later).items():
        assert body.digest == documents[name][1].digest


def test_nothing_is_issued_without_records(documents, harrow):
    """No profile field lifts the stamp: a draft while a stopping finding stands, for approval without one; the front page says why."""
    for name, (document, _) in documents.items():
        assert document.stamp == ("FOR APPROVAL - NOT FOR POSTING" if outline(name).digest else "")
    for name, (document, _) in papers("sable-point").items():
        assert document.stamp == ("DRAFT - NOT FOR POSTING" if outline(name).digest else "")
    assert "No approval bound to this text is on record" in documents["worksheet"][0].markdown
    assert "This text has not been issued." in documents["worksheet"][0].markdown
    for name in ("fall-protection-plan", "contractor-notice", "rescue-procedure"):
        assert re.search(r"\d reasons?\b.*: see worksheet", documents[name][0].banner), name


@pytest.mark.parametrize(
    ("site", "page"),
    [("cormorant-quay", "index"), ("harrow-ridge", "index"), ("harrow-ridge", "worksheet"), ("sable-point", "index")],
)
def test_the_count_on_the_stamp_is_that_of_the_reasons(site, page):
    """P90: a stamp counts as many reasons as are told of its paper: on the site page of every paper, on the worksheet of what is no draft."""
    composed = papers(site)
    rows = [
        line for line in composed[page].document.markdown.splitlines() if line.startswith("- ") and "has not been issued" in line
    ]
    for name, called in (
        ("fall-protection-plan", "fall-protection plan"),
        ("contractor-notice", "contractor notice"),
        ("rescue-procedure", "rescue procedure"),
    ):
        told = int(re.search(r"(\d+) reasons?: see worksheet", composed[name].document.banner)[1])
        (row,) = (line for line in rows if called in line.partition(": ")[0].lower())
        assert len(re.findall(r"[.](?: |$)", row)) == told, row


@pytest.mark.parametrize(("site", "told"), [("cormorant-quay", True), ("harrow-ridge", False)])
def test_the_worksheet_of_drafts_says_where_the_reasons_are_told_by_paper(site, told):
    """P90: whoever comes from the stamp of a draft is told what it counts; where nothing is a draft the worksheet itself tells them."""
    sheet = papers(site)["worksheet"].document.markdown
    assert ("The stamp of a draft counts its reasons; the site page tells them by paper." in sheet) == told


@pytest.mark.parametrize(("figure", "citation"), [
    ("1,800 lbf (8 kN)", "29 CFR 1910.140(d)(1)(i)"), ("6 ft (1.8 m)", "29 CFR 1910.140(d)(2)(ii)"),
    ("3.5 ft (1.1 m)", "29 CFR 1910.140(d)(1)(ii)"), ("5,000 lbf (22.2 kN)", "29 CFR 1910.140(c)(13)(i)"),
    ("3,600 lbf (16 kN)", "29 CFR 1910.140(c)(8)"), ("310 lb (140 kg)", "29 CFR 1910.140(d)(1)(v)"),
])  # fmt: skip
def test_the_law_is_cited_with_its_figures(documents, figure, citation):
    """Plan or record print the figures of 29 CFR 1910.140 (81 FR 82999 and 84 FR 68797, read in a copy) with paragraph, the legal file the grade."""
    texts = (documents[name][0].markdown for name in ("fall-protection-plan", "engineering-record"))
    assert any(figure in row and citation in row for text in texts for row in text.splitlines())
    text = legal_file(demo("harrow-ridge"), compared("harrow-ridge")[1]).markdown
    references = text[text.index("## Citation register") : text.index("## Element index")]
    assert re.search(re.escape(citation) + r"[^|]*\| [^|]+\| copy of the text; mandatory", references)


def test_general_industry_never_cites_construction(documents):
    """A general-industry site cites 1910, not 1926 (OSHA's division of 29 CFR, read)."""
    for document, _ in documents.values():
        assert not re.search(r"(?<![\d.])1926\b", document.markdown), document.name


def test_limit_is_worded_as_the_law_has_it(documents):
    """At 310 lb the federal note says less than (29 CFR 1910.140(d)(1), from memory): never 'up to 310 lb' or 'not more than'."""
    climbing = composed(with_changes(demo("harrow-ridge"), CLIMBING))
    for text in (documents["fall-protection-plan"][0].markdown, climbing["contractor-notice"].document.markdown):
        assert re.search(r"less than 310 lb( \(140\.6 kg\))? with clothing", text.replace("\u00a0", " "))
        assert "not more than 310 lb" not in text.replace("\u00a0", " ")


def test_a_notice_under_which_nobody_may_climb_prints_no_weight(documents):
    """A least or greatest weight binds nobody who reads it, and is left off the gate; the climbers' own paper has it."""
    assert not re.search(r"\d\s*(lb|kg)\b", documents["contractor-notice"][0].markdown)


def test_trade_facts_are_printed(documents):
    """Leg webbing 3 in past the buckle, chest strap about 6 in below the shoulder; relief straps are no rescue (common practice)."""
    plan, rescue = (documents[n][0].markdown for n in ("fall-protection-plan", "rescue-procedure"))
    assert "at least 3 in of webbing past the buckle" in plan
    assert "about 6 in below the shoulders" in plan
    assert "Relief straps" in plan
    assert "Straps are not a rescue." in rescue


def test_refresher_is_a_site_rule(documents):
    """The yearly refresher is the site's own rule; federal text states triggers and no interval (29 CFR 1910.30(c), from memory)."""
    text = documents["fall-protection-plan"][0].markdown
    assert "As a rule of this site, they are also trained again every 12 months." in text
    assert "The law states no interval." in text


def test_the_notice_promises_nothing(documents, harrow):
    """No serial number, no minutes, no rescuer and no person's name on the posted notice."""
    text = documents["contractor-notice"][0].markdown
    for part in harrow.site.equipment:
        assert part.serial is None or part.serial not in text
    assert not re.search(r"\d\s*min\b", text)
    for role in harrow.site.roles:
        assert role.held_by is None or role.held_by not in text
    for person in (*harrow.site.people.users, *harrow.site.people.rescuers):
        assert person.id not in text


def test_low_deck_is_shown_as_prohibited(documents):
    """The flatbed that the device cannot protect is banned in the plan and no vehicle of the notice, with its numbers in the engineering record."""
    plan, notice = (documents[n][0].markdown.replace("\u00a0", " ") for n in ("fall-protection-plan", "contractor-notice"))
    record = documents["engineering-record"][0].markdown.replace("\u00a0", " ")
    assert "This is prohibited in the Truck bay: tarping and strapping loads on flatbeds (flatbed trailer)." in plan
    assert "The deck is too low for the device to stop a fall before the slab." in plan
    assert re.search(r"\| strap\.standing\.left, right, rear \| prohibited \|.*\| 6\.8 ft \| 4\.8 ft \|", record)
    assert "Truck bay: climb only on the tank trailer." in notice
    assert "flatbed" not in notice


WORDS_OUT = re.compile(
    r"\b(ensures?|guarantees?|safe|safely|fully protected|state of the art|best practice|hold harmless|at your own risk|approved by OSHA|"
    r"shall|should|will try)\b", re.IGNORECASE,
)  # fmt: skip


def test_tone_of_our_templates():
    """Duties are must and must not; promise words and waivers do not occur in our own templates."""
    for path in sorted(data_folder("templates").rglob("*.md")):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            assert not WORDS_OUT.search(line), f"{path.name}:{number}: {line}"


def test_templates_do_no_sums():
    """Arithmetic on figures is the work of calc; a template may compare, never add or multiply quantities."""
    for path in sorted(data_folder("templates").rglob("*.md")):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"\.si\s*[-+*/]|[-+*/]\s*\w+\.si\b", text), path.name


HOSTILE = "A | B *c* <script>{{7*7}}"


def test_hostile_name_prints_literally(harrow):
    """Text of the profile is text, whatever signs it holds."""
    from docgen.compose.tree import words as words_of

    for document, body in composed(with_changes(harrow, {"site.name": HOSTILE})).values():
        if body.clauses:
            assert HOSTILE in f"{words_of(document.tree)} {document.imprint}" or document.layout == "card", (
                document.name
            )  # the foot of a sign names the site, a card does not


def test_signs_of_names_in_a_list_print_literally(harrow):
    """In a list of names no sign turns into an entity of HTML: `Driver's crew & <own>` stays so, first or last."""
    from docgen.compose.tree import words as words_of

    names = ("Loader's arm & <new>", 'Column "E" & more')
    changes = {f"bays[B1].obstructions[{key}].what": name for key, name in zip(("column-e", "arm"), names, strict=True)}
    told = words_of(composed(with_changes(harrow, changes))["engineering-record"].document.tree)
    assert f"feet to head: {names[0]} and {names[1]}." in told
    for paper in composed(with_changes(harrow, changes)).values():
        assert not re.search(r"&(amp|lt|gt|#39|#34|quot);", words_of(paper.document.tree)), paper.document.name


LOOKS_LIKE_MARKS = ("# heading", "- item", "1. item", "> quote", ": meaning", "!!! note", "{: .blank }", "{% raw %}", "a\\b",
                    "`x`", "[x](y)", "---")  # fmt: skip


@pytest.mark.parametrize("text", LOOKS_LIKE_MARKS)
def test_marks_of_markdown_print_literally(harrow, text):
    """A value that looks like Markdown, like an attribute list or like a template is printed as it is."""
    from docgen.compose.tree import words as words_of

    changes = {
        "contractors.appeal": text,
        "tasks[load].name": text,
        "roles[gate].title": text,
        "rescue.special[0].action": text,
    }
    for document, _ in composed(with_changes(harrow, changes)).values():
        if document.name in ("fall-protection-plan", "rescue-procedure"):
            assert text.strip(".") in words_of(document.tree)


def test_a_firm_and_a_language_without_a_word_of_ours(harrow):
    """The schema takes any firm as employer and any language code; the status sheet prints those that we have no word for as written."""
    user = harrow.site.people.users[0].id
    changes = {f"people.users[{user}].employer": "Carrier A", f"people.users[{user}].languages": ["pt-BR", "es"]}
    sheet = composed(with_changes(harrow, changes))["status-sheet"][0].markdown
    row = next(line for line in sheet.splitlines() if line.startswith(f"| {user} |"))
    assert "| Carrier A |" in row
    assert "| pt-BR and Spanish |" in row


def test_a_template_mistake_is_named(tmp_path, harrow):
    """An overriding template that reads what does not exist gives one sentence with its name."""
    own = overridden(tmp_path, "fall-protection-plan", "scope", "## Scope\n\n{{ site.site.nam }}\n")
    with pytest.raises(TemplateError, match=r"plan/en/scope\.md: .*nam"):
        composed(harrow, own=(own,))


def test_own_template_overrides_one_file(tmp_path, harrow):
    """A folder of the user's is searched first; every other file stays ours."""
    text = "## Scope {: #scope }\n\n{% clause 'place' %}\nOnly {{ site.site.name }}.\n{% endclause %}\n"
    plan = composed(harrow, own=(overridden(tmp_path, "fall-protection-plan", "scope", text),))[
        "fall-protection-plan"
    ].document.markdown
    assert "Only Harrow Ridge Terminal." in plan
    assert "## Who may climb, on what, where" in plan


def test_outlines_name_existing_sections():
    """Every section that an index.yaml names exists in every language of its title."""
    for paper in outlines():
        for language in paper.title:
            for stem in (*paper.front, *paper.sections, *paper.back):
                assert (data_folder("templates") / paper.template(stem, language)).is_file(), f"{paper.name}: {stem}"


def test_absent_sections_disappear():
    """A site without shifts, site rules or reviewers has no empty tables about them."""
    plan = papers("sable-point")["fall-protection-plan"].document.markdown
    assert "Shifts" not in plan
    assert "Rules of this site\n" not in plan
    assert "{: .blank }" in plan


def test_sources_read_from_the_site_folder_only():
    """The demo profiles lie where the README says."""
    assert {p.name for p in SITES.iterdir()} >= set(DEMOS)
    assert isinstance(demo("harrow-ridge").source, Source)


ASKED = re.compile(r"\b(?:law_alone|law_line|law_or|binding|ref|silence|cite)\('([a-z_0-9]+)'")


@pytest.mark.parametrize("paper", [o for o in outlines() if o.written], ids=lambda o: o.name)
def test_an_index_names_the_questions_of_law_that_its_paper_asks(paper):
    """The questions that a paper needs stand in its index: those that its templates and the macros they call ask, and no other.

    A paper that prints whole lists of the law, the legal file and the engineering record, may need others besides.
    """
    texts = [p.read_text(encoding="utf-8") for p in (data_folder("templates") / paper.name).glob("*/*.md")]
    asked = {key for text in texts for key in ASKED.findall(text)}
    macros = (data_folder("templates") / "parts/en/macros.md").read_text(encoding="utf-8")
    if any(re.search(r"\b(?:limit\((?:true)?\)|upper_short\(\))", text) for text in texts):
        asked.add("user_mass_condition")
    if any("report()" in text for text in texts):
        asked |= set(ASKED.findall(macros))
        asked -= {"user_mass_condition"} - set(paper.questions)
    if any(re.search(r"\b(?:alarm_line|phone_line|emergency_number|no_rescue|who_calls)\(", text) for text in texts):
        asked.add("public_emergency_number")
    assert not set(paper.questions) & set(paper.also)
    named = {*paper.questions, *paper.also}
    assert asked <= named, asked - named
    assert named == asked or any(re.search(r"\b(?:law_rows|law_limits)\(", text) for text in texts), named - asked


def test_the_library_is_whole():
    """23 papers; every question, paper and part that an index names exists, and a paper that another rests on has a digest."""
    assert len(papers_of_the_library()) == 23
    names = {o.name: o for o in papers_of_the_library()}
    for paper in names.values():
        assert set(paper.questions) <= set(questions()), paper.name
        assert set(paper.findings_of) <= set(names), paper.name
        for asked in paper.approvals:
            assert asked.paper is None or names[asked.paper].digest
            assert set(asked.sections) <= set(paper.sections), paper.name
            assert asked.part in get_args(RolePart), (paper.name, asked.part)
        assert paper.digest or not paper.approvals
        assert paper.budget is not None


def test_the_other_unit_of_a_limit_lies_on_the_strict_side(harrow):
    """25 mph are 40.2 km/h, -20 \u00b0F are -28.9 \u00b0C, 105 \u00b0F are 40.6 \u00b0C, 0.1 ft are 0.03048 m (NIST SP 811 factors): nobody may do more by the bracket."""
    after = composed(with_changes(harrow, {"bays[B2].parking.lateral": "0.1 ft"}))
    weather = said(after, "fall-protection-plan", "weather").replace("\u00a0", " ")
    for limit in ("25 mph (40 km/h)", "35 mph (56 km/h)", "-20 \u00b0F (-28 \u00b0C)", "105 \u00b0F (40 \u00b0C)"):
        assert limit in weather, limit
    assert "0.1 ft (0.03 m)" in said(after, "fall-protection-plan", "sheet.B2").replace("\u00a0", " ")
    metric = composed(with_changes(harrow, {"limits.weather.wind": "40 km/h"}))
    assert "40 km/h (24 mph)" in said(metric, "fall-protection-plan", "weather").replace("\u00a0", " ")
    assert "wind of 40 km/h or more, or gusts of 35 mph or more" in said(metric, "contractor-notice", "weather").replace(
        "\u00a0", " "
    )


DANGLING = re.compile(r"[;,] *(?=\|)")


@pytest.mark.parametrize("name", DEMOS)
def test_no_cell_ends_with_a_sign_that_joins(name):
    """A semicolon or comma before the end of a cell promises a word that does not come."""
    for document, _ in papers(name).values():
        left = [line for line in document.markdown.splitlines() if line.startswith("|") and DANGLING.search(line)]
        assert not left, (document.name, left[:3])


@pytest.mark.parametrize(
    ("watch", "word"),
    [
        ({"how": "nobody"}, "nobody watches"),
        ({"how": "nobody", "by": "Ground attendant"}, "nobody watches"),
        ({"how": "continuous", "by": "Ground attendant"}, "Ground attendant"),
        ({"by": "Ground attendant"}, "Ground attendant"),
        ({}, "who watches"),
    ],
)
def test_who_watches_is_said_as_it_is(harrow, watch, word):
    """A shift in which nobody watches says so, in no word of another meaning; where nobody is named there is a blank."""
    after = composed(with_changes(harrow, {"shifts[0].watch": watch}))
    assert word.casefold() in said(after, "rescue-procedure", "watch").casefold()
    told = re.search(rf"Climbers are watched on Day.* in this way: .*{word[1:]}", said(after, "fall-protection-plan", "shifts"))
    assert bool(told) == (word != "Ground attendant")  # that the attendant watches is the duty of that post already


def test_a_way_across_says_what_the_profile_says(harrow):
    """A way on which climbers stay attached is told as the profile tells it; one that is not answered, or on which nobody is, closes the bay."""
    way = {"to": "the roof rack", "kind": "platform"}
    whole = {**way, "attached": True, "how": "Two hooks, one is always on"}
    after = composed(with_changes(harrow, {"bays[B1].crossings": [whole]}))
    text = said(after, "fall-protection-plan", "crossings.B1")
    assert "to the roof rack without coming down. Climbers stay attached all the time. Two hooks, one is always on." in text
    for less in (way, {**way, "attached": False}):
        after = composed(with_changes(harrow, {"bays[B1].crossings": [less]}))
        assert "The Truck bay is closed." in said(after, "fall-protection-plan", "closed.B1")
        assert "roof rack" not in after["fall-protection-plan"].document.markdown


def test_a_method_that_comes_too_late_says_so_at_its_steps(harrow):
    """The kit of M2 is half an hour away: whoever reads its steps reads that another method is to be used. 0.6 + 30 + 1.4 min by the steps of the profile."""
    after = composed(with_changes(harrow, {"rescue.methods[M2].steps[fetch].time.worst": "30 min"}))
    text = said(after, "rescue-procedure", "steps.M2").replace("\u00a0", " ")
    assert "Method 2 is too slow for the tank trailer in the Truck bay. Use another method there." in text
    assert "32" not in text
    assert "too slow" not in said(after, "rescue-procedure", "steps.M3")


def paragraphs(text: str) -> list[str]:
    """The blocks of a clause that are plain text."""
    plain = [b for b in re.split(r"\n\s*\n", text.strip()) if b.strip()]
    return ["" if re.match(r"\s*(?:[-*|:#>!]|\d+\.|\{:)", b) or "{: .caption" in b or "\n:   " in b else b for b in plain]


@pytest.mark.parametrize("name", ["harrow-ridge", "pellan-creek"])
def test_no_clause_is_split_by_a_line_that_says_nothing(name):
    """Where the law is silent its sentence is left out with its line: an empty line would put the rest of the clause outside its number."""
    for by_language in compared(name)[1].values():
        for body in by_language.values():
            for clause in body.clauses:
                blocks = paragraphs(clause.text)
                for above, below in pairwise(blocks):
                    said = re.sub(r"\n\{: [^}]*\}$", "", above.rstrip())
                    assert not (above and below and not said.endswith(":")), (clause.id, below[:60])
