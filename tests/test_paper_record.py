"""Engineering record and legal file: what a checker needs is there, our results cannot be copied, and nothing grows past its pages."""

import io
import re
import zipfile

import pytest
from support import compared, composed, demo, legal_file, markdown, papers, with_changes

from docgen import units
from docgen.compose.helpers import CORNERS_OF
from docgen.compose.number import contents_of
from docgen.papers import outline
from docgen.write.docx import render as as_docx
from docgen.write.pdf import render

CLEAN = ("harrow-ridge", "pellan-creek")


@pytest.mark.slow
@pytest.mark.parametrize("site", CLEAN)
def test_pages(site):
    """Both stay within the pages of their index."""
    assert render(papers(site)["engineering-record"].document).pages <= outline("engineering-record").budget.pages
    assert render(legal_file(demo(site), compared(site)[1])).pages <= outline("legal-file").budget.pages


def governing(checked):
    """What the working of each column of results belongs to -> its steps, in the order of the record."""
    found = [
        (f"Case {case.id}", (*case.working, *(s for s in case.corner if s.what in {c for what in case.governs for c in CORNERS_OF[what]})))
        for case in checked.assessed.cases if case.governs
    ]  # fmt: skip
    names = {bay.id: bay.name for bay in checked.site.bays}
    return dict(found + [(f"{names[f.bay]}, for information", f.working) for f in checked.assessed.further if f.working])


def results_of(text):
    """Column of the tables of results -> number of the line -> what is printed."""
    found = {}
    for table in text[text.index("{: #results }") :].split("\n\n"):
        if table.startswith("| No. |"):
            head, _, *rows = ([cell.strip() for cell in row.split("|")[1:-1]] for row in table.strip().split("\n"))
            for at, name in enumerate(head[1:], 1):
                found[name] = {int(row[0]): row[at] for row in rows if row[at]}
    return found


@pytest.mark.parametrize("site", CLEAN)
def test_working_has_a_column_for_the_hand_and_results_stand_at_the_end(site):
    """Each line of working has an empty cell "by hand", its formula by number and its values; every line has its result in one table after all
    working, and none before."""
    text = papers(site)["engineering-record"].document.markdown
    working, _ = text[text.index("{: #working }") :].split("{: #results }")
    rows = re.findall(r"^\| (\d+) \| (?:\*\*[^*]+\*\* )?F\d+, [^|]+ \| [^|]+\s=\s[^|]+ \| \u00a0+ \|$", working, re.MULTILINE)
    steps = governing(demo(site))
    assert [int(n) for n in rows] == [n for named in steps.values() for n in range(1, len(named) + 1)]
    assert {name: sorted(found) for name, found in results_of(text).items()} == {
        name: list(range(1, len(named) + 1)) for name, named in steps.items()
    }
    assert len(rows) > 100
    assert "Results by" not in working


@pytest.mark.parametrize("site", CLEAN)
def test_each_formula_stands_once_with_its_number_and_its_source(site):
    """A line names its formula by number: the table before all working has that formula under it, and the list of sources names each number once."""
    text = papers(site)["engineering-record"].document.markdown
    table = dict(re.findall(r"^\| F(\d+) \| [^|]+ \| `(.+)` \|$", text, re.MULTILINE))
    assert list(map(int, table)) == list(range(1, len(table) + 1))
    assert len(set(table.values())) == len(table)
    assert text.index("| F1 |") < text.index("{: #working }")
    named = iter(re.findall(r"^\| \d+ \| (?:\*\*[^*]+\*\* )?F(\d+), ", text, re.MULTILINE))
    for steps in governing(demo(site)).values():
        for step in steps:
            assert table[next(named)].replace("\u00a0", " ") == step.formula
    sourced = []
    for said in re.findall(r"^- F([\d, to and]+): ", text, re.MULTILINE):
        for part in re.split(r", | and ", said):
            first, _, last = part.partition(" to ")
            sourced += range(int(first), int(last or first) + 1)
    assert sorted(sourced) == list(range(1, len(table) + 1))


@pytest.mark.parametrize("site", CLEAN)
def test_the_names_of_the_cases_are_told_in_words(site):
    """A case is called by the short name of its task: below the table each of these is told with the name that the plan prints."""
    checked = demo(site)
    text = papers(site)["engineering-record"].document.markdown
    named = re.findall(r'^The task (\S+) is "(.+)"\.$', text, re.MULTILINE)
    assert named == [(task.id, task.name.rstrip(".")) for task in checked.site.tasks]
    assert {case.id.split(".")[0] for case in checked.assessed.cases} <= {name for name, _ in named}


def test_symbols_stand_before_the_first_formula():
    """A reviewer meets each symbol before it is used."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown
    assert text.index("{: #symbols }") < text.index("sqrt(")


def test_what_the_site_papers_print():
    """Each figure unrounded and as printed, with the side to which it is rounded; a missing one keeps its row."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown.replace("\u00a0", " ")
    table = text[text.index("{: #prints }") : text.index("## For information")]
    assert "| Truck bay | red mark on the ladder | 9.696 ft (2.9551 m) | 9.7 ft (2.96 m) | up |" in table
    assert "| Truck bay | tank trailer: the same feet, lowest | 5.095 ft (1.5531 m) | 5.0 ft (1.52 m) | down |" in table
    thin = papers("sable-point")["engineering-record"].document.markdown
    assert "| Wash bay | limit of the weakest rated part | **not worked out**{: .flag } | not printed | |" in thin


@pytest.mark.parametrize("site", CLEAN)
def test_figures_of_the_site_papers_lie_on_their_strict_side(site):
    """Unrounded and as printed, in both units: a limit and a lowest height are never told as more than they are, a red mark and a highest height
    never as less, and what is called unrounded is right within its last digit (E15)."""
    checked = demo(site)
    names = {bay.id: bay.name for bay in checked.site.bays}
    expected = {}
    for bay, name in names.items():
        cases = [c for c in checked.assessed.cases if c.bay == bay and c.permission == "allowed"]
        expected[name, "limit of the weakest rated part"] = (checked.assessed.chain_of(bay).limit.si, -1)
        expected[name, "red mark on the ladder"] = (next(f for f in checked.assessed.further if f.bay == bay).climb_height.si, 1)
        for vehicle in {c.vehicle for c in cases}:
            called = checked.site.vehicle(vehicle).name
            of = [c for c in cases if c.vehicle == vehicle]
            for what, figure, sign in (
                ("back ring of a person who hangs, highest", "hang_high", 1), ("the same ring, lowest", "hang_low", -1),
                ("feet of a person who hangs, highest", "feet_high", 1), ("the same feet, lowest", "feet_low", -1),
            ):  # fmt: skip
                found = (max if sign > 0 else min)(getattr(c, figure).si for c in of)
                expected[name, f"{called[0].lower()}{called[1:]}: {what}"] = (found, sign)
    text = papers(site)["engineering-record"].document.markdown
    rows = [
        [c.strip() for c in line.split("|")[1:-1]]
        for line in text[text.index("{: #prints }") :].partition("\n## ")[0].splitlines()
    ]
    told = {(row[0], row[1].replace("\u00a0", " ")): row[2:] for row in rows if row and row[-1] in ("up", "down")}
    assert set(told) == set(expected)
    for key, (value, sign) in expected.items():
        exact, printed, side = told[key]
        assert side == ("up" if sign > 0 else "down"), key
        for cell in (exact, printed):
            kind = "mass" if "kg" in cell else "length"
            for figure, unit in re.findall(r"(-?[\d,.]+)\u00a0(\w+)", cell):
                read = units.parse(f"{figure.replace(',', '')} {unit}", kind).si
                digit = units.parse(f"1 {unit}", kind).si * 10.0 ** -len(figure.partition(".")[2])
                assert sign * (read - value) >= -1e-9, (key, cell, value)
                assert cell is printed or sign * (read - value) < digit + 1e-9, (key, cell, value)


RESULT = re.compile(r"(-?[\d,]+\.\d+)\u00a0(\S+) \((-?[\d,]+\.\d+)\u00a0(\S+)\)")


@pytest.mark.parametrize("site", CLEAN)
def test_each_result_lies_on_its_strict_side_in_both_units(site):
    """Each result as printed is never past the figure toward the happy side: a need is rounded up, what there is down, and the second unit is
    the figure itself in that unit, within its last digit, and not what was rounded in the first; exact factors of NIST SP 811. Read from the rendered
    table."""
    text = papers(site)["engineering-record"].document.markdown
    results = results_of(text)
    seen = {"up": 0, "down": 0}
    for name, steps in governing(demo(site)).items():
        printed = results[name]
        assert set(printed) == set(range(1, len(steps) + 1))
        for n, step in enumerate(steps, 1):
            found = RESULT.fullmatch(printed[n])
            if found is None or step.toward not in ("up", "down"):
                continue
            first, second = (
                units.parse(f"{f.replace(',', '')} {u}", step.result.kind).si
                for f, u in ((found[1], found[2]), (found[3], found[4]))
            )
            sign = 1 if step.toward == "up" else -1
            for read, text, unit in ((first, found[1], found[2]), (second, found[3], found[4])):
                digit = units.parse(f"1 {unit}", step.result.kind).si * 10.0 ** -len(text.partition(".")[2])
                assert -1e-9 <= sign * (read - step.result.si) < digit + 1e-9, (name, n, printed[n], step.result.si)
            seen[step.toward] += 1
    assert min(seen.values()) > 20, seen


@pytest.mark.parametrize("site", CLEAN)
def test_every_symbol_of_a_formula_is_in_the_legend(site):
    """A reviewer finds each name that a formula takes in, under its own symbol, before the first formula (b is the reach)."""
    text = papers(site)["engineering-record"].document.markdown.replace("\u00a0", " ")
    legend = set(re.findall(r"\| `([^`]+)` \|", text[text.index("{: #symbols }") : text.index("{: #inputs }")]))
    known = {"abs", "sqrt", "max", "min", "atan2", "tan", "sin", "cos", "g"}
    for formula in re.findall(r"^\| F\d+ \| [^|]+ \| `(.+)` \|$", text, re.MULTILINE):
        taken = set(re.findall(r"[A-Za-z]\w*", formula.partition(" = ")[2])) - known
        assert taken <= legend, (formula, taken - legend)
    assert "| `b` | reach of the D-ring" in text


@pytest.mark.parametrize("site", CLEAN)
def test_each_input_has_its_source_and_two_cells_for_the_checker(site):
    """Value, tolerance and where it comes from stand in each row, and two cells are left empty; every number of evidence is told below the table."""
    text = papers(site)["engineering-record"].document.markdown
    table, _, below = text[text.index("{: #inputs }") : text.index("{: #load-path }")].partition("Where these figures come from")
    rows = re.findall(r"^\| [^|]+ \| [^|]*\d[^|]* \| [^|]+ \| E(\d+) \| \u00a0+ \| \u00a0+ \|$", table, re.MULTILINE)
    assert len(rows) == table.count("\n| ") - 2 > 40
    told = re.findall(r"^- E(\d+): \S", below, re.MULTILINE)
    assert list(map(int, told)) == sorted({int(n) for n in rows}) == list(range(1, len(told) + 1))


@pytest.mark.parametrize("site", CLEAN)
def test_parts_are_numbered_for_the_whole_section_or_not_at_all(site):
    """In a section with parts no clause stands before the first part, so that the contents begin at 1."""
    text = papers(site)["engineering-record"].document.markdown
    for section in re.split(r"^## ", text, flags=re.MULTILINE)[1:]:
        before, part, _ = section.partition("\n### ")
        assert not part or ".clause }" not in before, section[:40]


@pytest.mark.parametrize("site", CLEAN)
def test_the_statement_of_the_reviewer_stands_before_what_was_reviewed(site):
    """Scope, sections, licence, signature and seal stand before the first symbol, once; what is not named was not reviewed; nobody is said to have reviewed before."""
    text = papers(site)["engineering-record"].document.markdown
    before = text[: text.index("{: #symbols }")]
    statement = before[before.index("## Reviewer's statement") :]
    assert "I did not review what is not named there." in statement
    assert "| Status | not reviewed |" in statement
    assert "| Sections reviewed | Load path, All cases and Structure and ground |" in statement
    assert "| Wet signature, seal | |" in statement
    assert text.count("| Wet signature, seal | |") == 1
    assert "Revision history" not in text  # none before the first issue


RECORD = "engineering-record"


def statement_of(reviewers):
    """The statement of the record of the full demo with these reviewers."""
    text = markdown(with_changes(demo("harrow-ridge"), {"reviewers": reviewers}))[RECORD]
    return text[text.index("## Reviewer's statement") : text.index("{: #symbols }")]


def test_each_reviewer_stands_with_what_was_reviewed():
    """A line a scope; one without a licence signs for a scope too; one who reviews another paper stands here for nothing."""
    first = {
        "id": "R1",
        "part": "qualified-person",
        "name": "T. Maran",
        "scope": "Sums",
        "papers": [RECORD],
        "sections": ["All cases"],
    }
    licence = {"licence": "NE-1 (invented)", "jurisdiction": "US-NE", "expires": "2027-12-31"}
    other = {
        "id": "R2",
        "part": "qualified-person",
        "name": "B. Stone",
        "scope": "Ground",
        "papers": [RECORD],
        "sections": ["Structure"],
    }
    elsewhere = {**other, "id": "R3", "name": "C. Plan", "papers": ["fall-protection-plan"]}
    text = statement_of([first | licence, other | licence, elsewhere | licence])
    assert text.count("| Wet signature, seal | |") == 2
    assert "Engineering record: Sums |\n| Sections reviewed | All cases |" in text
    assert "Engineering record: Ground |\n| Sections reviewed | Structure |" in text
    assert "C. Plan" not in text
    assert "| Qualified person, T. Maran | Sums: All cases | not reviewed |" in statement_of([first])


@pytest.mark.slow
@pytest.mark.parametrize("names", [("T. Maran", "B. Stone"), ("T. Maran",)])
def test_the_first_page_is_not_left_empty_for_a_long_statement(names):
    """The list of contents fills the first page; the statement begins on the second, also where two stand in it or one without a licence."""
    licence = {"licence": "NE-1 (invented)", "jurisdiction": "US-NE", "expires": "2027-12-31"} if len(names) > 1 else {}
    reviewers = [
        {"id": f"R{n}", "part": "qualified-person", "name": name, "scope": "Sums", "papers": [RECORD], "sections": ["All cases"]}
        | licence
        for n, name in enumerate(names)
    ]
    checked = with_changes(demo("harrow-ridge"), {"reviewers": reviewers})
    data = render(composed(checked, ("pdf",))[RECORD].document).data
    first, second = (
        " ".join(p.extract_text().split()) for p in pytest.importorskip("pypdf").PdfReader(io.BytesIO(data)).pages[:2]
    )
    assert "Our results" in first
    assert "T. Maran" not in first
    assert "T. Maran" in second


def test_a_mark_is_read_only_by_whoever_reviewed():
    """A block that nobody has signed names the mark that is to be read, and does not say that it was."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown
    assert "| Status | not reviewed |" in text
    assert "| Mark of the text | `" in text
    assert "Mark read" not in text


def test_a_deceleration_distance_that_is_not_stated_is_judged_by_the_arrest_distance():
    """The whole arrest distance is never shorter than its part: 30 in against 3.5 ft holds, 43 in is left to the maker."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown.replace("\u00a0", " ")
    assert "its whole arrest distance of 30 in (0.77 m) is not more than 3.5 ft (1.1 m), so that limit holds." in text
    changed = with_changes(demo("harrow-ridge"), {"equipment[D-1].arrest_distance": "43 in"})
    said = markdown(changed)["engineering-record"].replace("\u00a0", " ")
    assert "No deceleration distance is stated for D-1, and its arrest distance of 43 in" in said


def test_figures_for_information_lie_on_their_strict_side():
    """A fall until the device locks is never told shorter than it is, a bound below which no arrest can stay never longer."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown.replace("\u00a0", " ")
    further = demo("harrow-ridge").assessed.further[0]
    lock = float(re.search(r"does so after ([\d.]+) ft", text)[1]) * 0.3048
    least = float(re.search(r"no arrest can be shorter than ([\d.]+) ft", text)[1]) * 0.3048
    assert 0 <= lock - further.lock_distance.si < 0.001 * 0.3048
    assert 0 <= further.least_arrest.si - least < 0.001 * 0.3048


@pytest.mark.parametrize("site", CLEAN)
def test_one_figure_reads_the_same_where_it_is_told_and_among_the_results(site):
    """The lock-up distance and the least arrest stand in words with the same digits, in both units, as in the table of our results."""
    text = papers(site)["engineering-record"].document.markdown
    results = {cell for column in results_of(text).values() for cell in column.values()}
    told = re.findall(r"(?:does so after|arrest can be\sshorter than) ([\d.]+\u00a0\S+ \([^)]+\))", text)
    assert len(told) == 2 * len(demo(site).site.bays)
    assert set(told) <= results


@pytest.mark.parametrize("site", CLEAN)
def test_the_clause_register_tells_each_kind_of_paper_once(site):
    """Papers that are one for each bay share their rows: each clause stands once, and words that differ are told after the names of the bays."""
    text = legal_file(demo(site), compared(site)[1]).markdown
    part = text[text.index("## Clause register") : text.index("{: #findings")].replace("\u00a0", " ")
    assert re.findall(r"^(.+?)\s\{: [^}]*caption", part, re.MULTILINE) == ["Clauses of the papers that hang on the site"]
    rows = re.findall(r"^\| (Bay sign|Rescue card|Notice)[^|]* \| (.*) \| (.*) \|$", part, re.MULTILINE)
    assert len({(where, words) for where, words, _ in rows}) == len(rows) > 20
    vehicles = [words for where, words, _ in rows if where == "Bay sign" and "One climber only" in words]
    bays = [b.name for b in demo(site).site.bays]
    assert len(vehicles) == 1
    assert [told.split(": ")[0] for told in vehicles[0].split("; ")] == bays
    attach = [words for where, words, _ in rows if where == "Bay sign" and "Attach and detach" in words]
    assert attach == ["Attach and detach on the ground."]


def test_no_formula_of_the_record_rests_on_memory():
    """Memory is no source for a figure that a checker signs; the two beam formulas follow from the moment, integrated twice."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown
    sources = text[text.index("{: #method }") : text.index("## All cases")]
    assert "Euler-Bernoulli beam" in sources
    assert [line for line in sources.splitlines() if "beam" in line and "memory" in line] == []


def test_a_figure_to_all_its_digits_is_not_converted_from_a_rounded_one():
    """By hand: 6.18303 m is 20.28553 ft; whoever works in meters finds 6.1831, not the 6.1832 of 20.286 ft."""
    assert units.exact(6.18303, "length", "us", toward="up") == "20.286 ft (6.1831 m)"
    assert units.exact(4.28512, "length", "us", toward="down") == "14.058 ft (4.2851 m)"
    assert units.exact(0.1322, "length", "si", toward="down") == "0.1322 m (0.433 ft)"


@pytest.mark.parametrize("site", CLEAN)
def test_contents_have_pages_in_word_too(site):
    """Each heading of the contents has a field for its page, and the bookmark that it asks for stands at a heading."""
    _, bodies = compared(site)
    for document in (papers(site)["engineering-record"].document, legal_file(demo(site), bodies)):
        with zipfile.ZipFile(io.BytesIO(as_docx(document).data)) as packed:
            xml = packed.read("word/document.xml").decode()
        asked = re.findall(r" PAGEREF (\S+) ", xml)
        assert len(asked) == len(contents_of(document.tree)) > 8
        assert set(asked) <= set(re.findall(r'<w:bookmarkStart [^>]*w:name="([^"]+)"', xml))


def test_the_law_is_compared_by_a_person_or_by_nobody():
    """The legal file keeps apart when the data was read and when a person of the site compared it, and says what the authority's own position is."""
    text = legal_file(demo("harrow-ridge"), compared("harrow-ridge")[1]).markdown.replace("\u00a0", " ")
    assert "that is no comparison by a person of this site." in text
    assert "The log says that L. Brandt last compared the citations with the current text on 2026-09-10; it does not say" in text
    assert (
        "The authority has a position of its own.\nBy its 1996 policy OSHA may cite falls off vehicle tops inside or beside a structure"
        in text
    )


TALK = re.compile(
    r"\b(this tool|set of its own|docgen|the profile|finding|not met|privileged|compliant|fit to be signed)\b|\b[0-9a-f]{64}\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("site", CLEAN)
def test_no_signed_paper_talks_about_the_program(site):
    """What is signed or hangs on the site holds no word on the tool, its data or its findings, and no whole digest."""
    signed = {name: paper.document for name, paper in papers(site).items() if outline(name.partition(".")[0]).digest}
    assert len(signed) > 8
    for name, document in signed.items():
        assert not TALK.search(document.markdown), (name, TALK.search(document.markdown))
