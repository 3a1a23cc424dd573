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


@pytest.mark.parametrize("site", CLEAN)
def test_working_has_a_column_for_the_hand_and_results_stand_at_the_end(site):
    """Each line of working has an empty cell "by hand"; every line has its result in one table after all working, and none before."""
    text = papers(site)["engineering-record"].document.markdown
    working, results = text[text.index("{: #working }") :].split("{: #results }")
    rows = re.findall(r"^\| (\d+) \| .* \| \u00a0+ \|$", working, re.MULTILINE)
    answers = re.findall(r"\| (\d+) \| [^|]+(?= \|)", results)
    assert sorted(rows) == sorted(answers)
    assert len(rows) > 100
    assert "| Ours |" not in working


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
    checked = demo(site)
    text = papers(site)["engineering-record"].document.markdown
    results = text[text.index("{: #results }") :]
    seen = {"up": 0, "down": 0}
    for case in (c for c in checked.assessed.cases if c.governs):
        table = results[results.index(f"Results of case {case.id},") :].split("\n\n")[1]
        printed = {int(n): said for n, said in re.findall(r"\| (\d+) \| ([^|]+?) (?=\|)", table)}
        steps = (*case.working, *(s for s in case.corner if s.what in {c for what in case.governs for c in CORNERS_OF[what]}))
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
            assert sign * (first - step.result.si) >= -1e-9, (case.id, n, printed[n], step.result.si)
            assert sign * (second - first) >= -1e-9, (case.id, n, printed[n])
            seen[step.toward] += 1
    assert min(seen.values()) > 20, seen
