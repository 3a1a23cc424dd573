"""Engineering record and legal file: what a checker needs is there, our results cannot be copied, and nothing grows past its pages."""

import re

import pytest
from support import compared, demo, legal_file, papers

from docgen import units
from docgen.compose.helpers import CORNERS_OF
from docgen.papers import outline
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


def test_symbols_stand_before_the_first_formula():
    """A reviewer meets each symbol before it is used."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown
    assert text.index("{: #symbols }") < text.index("sqrt(")


def test_what_the_site_papers_print():
    """Each figure unrounded and as printed, with the side to which it is rounded; a missing one keeps its row."""
    text = papers("harrow-ridge")["engineering-record"].document.markdown.replace("\u00a0", " ")
    table = text[text.index("{: #prints }") : text.index("## For information")]
    assert "| Truck bay | red mark on the ladder | 9.696 ft (2.9554 m) | 9.7 ft (2.96 m) | up |" in table
    assert "| Truck bay | tank trailer: the same feet, lowest | 5.095 ft (1.5529 m) | 5.0 ft (1.52 m) | down |" in table
    thin = papers("sable-point")["engineering-record"].document.markdown
    assert "| Wash bay | limit of the weakest rated part | **not worked out**{: .flag } | not printed | |" in thin


RESULT = re.compile(r"(-?[\d,]+\.\d+)\u00a0(\S+) \((-?[\d,]+\.\d+)\u00a0(\S+)\)")


@pytest.mark.parametrize("site", CLEAN)
def test_each_result_lies_on_its_strict_side_in_both_units(site):
    """Each result as printed is never past the figure toward the happy side: a need is rounded up, what there is down, and the second unit is
    the printed first one converted to the same side; exact factors of NIST SP 811. Read from the rendered table."""
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
            assert sign * (first - step.result.si) >= -1e-9, (name, n, printed[n], step.result.si)
            assert sign * (second - first) >= -1e-9, (name, n, printed[n])
            seen[step.toward] += 1
    assert min(seen.values()) > 20, seen
