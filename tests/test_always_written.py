"""What `check` accepts, every other command takes: a draft is always written, and what cannot be is a problem with its place.

`altered.py` alters the demos at random from a seed and tries every command on each; tests/long tries some thousands.
"""

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from altered import altered, tried, tried_in_turn
from control_site import FIRST, issue
from support import AS_OF, SITES, demo, run

from docgen.calc import CalcError
from docgen.compose.assembly import compose_body
from docgen.engineering import sheet
from docgen.pipeline import check_site

DAY = ("--as-of", "2026-11-01")
TRIED = 30


def site_with(folder, demo, *pairs):
    """A copy of a demo, each first text of a pair replaced by the second once."""
    site = Path(shutil.copytree(SITES / demo, folder / demo))
    path = site / "profile.yaml"
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")
    return site


def place_of(site, words):
    """Line and column, from 1, of the first occurrence of words in the profile."""
    text = (site / "profile.yaml").read_text(encoding="utf-8")
    before = text[: text.index(words)]
    return before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1


IMPOSSIBLE = [
    ("harrow-ridge", ("capacity: {max: 500 lb}", "capacity: {max: 0 lb}"), "0 lb}", "more than 0"),
    ("harrow-ridge", ("capacity: {min: 130 lb, max: 310 lb}", "capacity: {min: 130 lb, max: 0 lb}"), "0 lb}\n", "more than 0"),
    ("harrow-ridge", ("upper: {value: 310 lb}", "upper: {value: 0.0 lb}"), "0.0 lb", "more than 0"),
    ("harrow-ridge", ("lower: {value: 130 lb}", "lower: {value: 0 kg}"), "0 kg", "more than 0"),
    ("harrow-ridge", ("- {side: right, edge: {value: 1.5 ft,", "- {side: left, edge: {value: 1.51 ft,"), "left, edge: {value: 1.51 ft", "two entries"),
    ("harrow-ridge", ('ratio: "4:1"', 'ratio: "0:1"'), '"0:1"', "not written as it should be"),
    ("harrow-ridge", ('ratio: "4:1"', 'ratio: "4 to 1"'), '"4 to 1"', "not written as it should be"),
    ("pellan-creek", ("worst: 0.5 min", "worst: 0 min"), "0 min}", "more than 0"),
    ("harrow-ridge", ("watch: {how: continuous, by: Ground attendant at the bay}", "watch: {how: radio, by: Gate operator, interval: 0 min, confirm: 1 min}"),
     "0 min, confirm", "more than 0"),
]  # fmt: skip


@pytest.mark.parametrize(("demo", "change", "at", "said"), IMPOSSIBLE)
def test_what_cannot_be_is_a_problem_with_its_place(tmp_path, demo, change, at, said):
    """A rating or a limit of nothing, two sides of one name: one problem at line and column of the value, exit 1, nothing written."""
    site = site_with(tmp_path, demo, change)
    (problem,) = check_site(site, AS_OF).problems
    assert (problem.line, problem.column) == place_of(site, at)
    assert said in problem.message
    assert problem.hint
    code, out, err = run("render", str(site), "--into", str(tmp_path / "out"), *DAY)
    assert code == 1
    assert f"profile.yaml:{problem.line}:{problem.column}" in out
    assert "internal fault" not in err
    assert not (tmp_path / "out").exists()


def test_negative_ratings_are_told_as_out_of_range(tmp_path):
    """A figure below zero is no rating either."""
    site = site_with(tmp_path, "harrow-ridge", ("upper: {value: 310 lb}", "upper: {value: -310 lb}"))
    (problem,) = check_site(site, AS_OF).problems
    assert problem.path == "limits.upper.value"


WRITTEN = {
    "an employer's name": ("harrow-ridge", ("id: U-01, employer: own", "id: U-01, employer: Carrier A"), 0),
    "an edge beyond the rail": ("harrow-ridge", ("{side: left, edge: {value: 1.5 ft", "{side: left, edge: {value: 20 ft"), 1),
    "an edge wider than the vehicle": ("cormorant-quay", ("edge: 2.0 ft", "edge: 7.5 ft"), 1),
    "a reach wider than the vehicle": ("sable-point", ("reach_from_centreline: 2 ft", "reach_from_centreline: 10 ft"), 1),
    "a stretch of 30 m": ("ballinroe", ("stretch: {value: 0.35 m", "stretch: {value: 30 m"), 1),
    "a margin of 30 m": ("thornmere", ("margin: {value: 0.80 m", "margin: {value: 30 m"), 1),
    "a posted limit that clothing and tools alone reach": ("harrow-ridge", ("upper: {value: 310 lb}", "upper: {value: 20 lb}"), 1),
    "a sign that no font has": ("harrow-ridge", ("storage: Harnesses", "storage: 漢 harnesses"), 1),
}  # fmt: skip


@pytest.mark.parametrize(("demo", "change", "code"), WRITTEN.values(), ids=WRITTEN)
def test_a_draft_is_always_written(tmp_path, demo, change, code):
    """Whatever the findings are, every paper is written in every type, and check, render and changes end with 0 or 1."""
    site = site_with(tmp_path, demo, change)
    assert run("check", str(site), "--compare", *DAY)[0] == code
    assert run("render", str(site), "--into", str(tmp_path / "out"), "--types", "md,html,docx", *DAY)[0] == code
    stems = {path.stem for path in (tmp_path / "out").rglob("*.md")}
    assert {"fall-protection-plan", "contractor-notice", "rescue-procedure", "engineering-record"} <= stems
    for end in ("html", "docx"):
        assert stems <= {path.stem for path in (tmp_path / "out").rglob(f"*.{end}")}


def test_a_step_that_was_not_computed_says_so():
    """A step of a working without a result prints `not computed` among the results, and no figure."""
    checked = demo("harrow-ridge")
    case = next(c for c in checked.assessed.cases if c.governs)
    bare = replace(case, steps=tuple(step._replace(result=None) for step in case.steps))
    cases = tuple(bare if c is case else c for c in checked.assessed.cases)
    assessed = replace(checked.assessed, cases=cases, by_id={c.id: c for c in cases})
    body = compose_body("engineering-record", "en", checked.site, checked.code, assessed)
    text = next(c.text for c in body.clauses if c.id == "engineering-record.results")
    assert text.count("not computed") == len(case.steps) > 0
    assert "None" not in text


def test_a_pdf_is_written_without_the_sign(tmp_path):
    """The finding names the sign with its line; the PDF prints its number, and render says so."""
    pytest.importorskip("typst")
    pypdf = pytest.importorskip("pypdf")
    site = site_with(tmp_path, "harrow-ridge", ("storage: Harnesses", "storage: 漢\u3042 harnesses"))
    line = place_of(site, "storage: 漢")[0]
    out = run("check", str(site), "--only", "sign-without-glyph", *DAY)[1]
    assert f"profile.yaml:{line}" in out
    assert "漢 (U+6F22), あ (U+3042)" in out
    code, out, err = run(
        "render", str(site), "--into", str(tmp_path), "--types", "pdf", "--documents", "fall-protection-plan", *DAY
    )
    assert (code, err) == (1, "")
    assert "note: fall-protection-plan.pdf: no font here has 漢 (U+6F22)" in out
    pages = pypdf.PdfReader(tmp_path / "harrow-ridge" / "fall-protection-plan.pdf").pages
    said = " ".join("".join(page.extract_text() for page in pages).split())
    assert re.search(r"\[U\+6F22\] ?\[U\+3042\] harnesses", said)


def test_a_calculation_that_refuses_is_a_problem_at_the_figure_read_last(tmp_path, monkeypatch):
    """Should a calculation refuse what no rule of the schema stops, check says so at the place of the figure, and nothing faults."""
    site = site_with(tmp_path, "harrow-ridge")
    usual = sheet.Sheet.run

    def refuses(self, function, **values):
        if function.__name__ == "chain_limit":
            raise_ = CalcError("limit 1 is 0; it must be a finite number above zero")
            function = _refusing(function, raise_)
        return usual(self, function, **values)

    monkeypatch.setattr(sheet.Sheet, "run", refuses)
    (problem,) = check_site(site, AS_OF).problems
    assert problem.message == "limit 1 is 0; it must be a finite number above zero"
    assert problem.path.startswith("equipment[")
    assert problem.line > 1


def _refusing(function, error):
    def called(**values):
        raise error

    called.formula, called.__name__ = function.formula, function.__name__
    return called


@pytest.mark.parametrize("number", range(TRIED))
def test_altered_demos(number, tmp_path):
    """A demo altered at random: `check` has problems with their places, or every paper is written and every command answers."""
    tried_in_turn(number, tmp_path)


def test_altered_after_issue(approved, tmp_path):
    """The full demo altered after its first issue: what `check` accepts is compared with it, redlines and all."""
    issued = Path(shutil.copytree(approved, tmp_path / "first"))
    assert issue(issued, FIRST, types=("md", "docx"))[1] == ()
    done = [tried(altered(number, ("harrow-ridge",)), tmp_path, ("md",), base=issued) for number in range(3000, 3004)]
    assert True in done


def test_some_of_them_are_accepted():
    """The suite does not only try what is refused; altered twice, a demo is altered the same way."""
    assert altered(7) == altered(7)
    assert len({altered(number).what for number in range(TRIED)}) == TRIED
