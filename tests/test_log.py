"""log.yaml: what happened, one line an entry, each checked by its kind and against the ids of the profile."""

import shutil
from datetime import date

import pytest
from support import AS_OF, SITES, run

from docgen.checked import Assessed, Refused
from docgen.pipeline import check_site
from docgen.site.log import KINDS, Drill, Inspection, mark_of

HEAD = "log: 1\nentries:\n"
GOOD = """\
  - {kind: inspection, on: 2026-06-09, by: R. Kent, part: D-1, result: pass, serial: D1-20417}
  - {kind: drill, on: 2026-09-02, by: D. Sorensen, method: M2, shift: night, bay: B1, vehicle: tanker, contact: 3.5 min, ground: 8.0 min}
  - {kind: hold, on: 2026-10-05, by: A. Petrie, state: "on", reason: Request of counsel}
"""


def site_with(folder, entries):
    """A copy of the full demo with a log."""
    site = folder / "site"
    shutil.copytree(SITES / "harrow-ridge", site)
    (site / "log.yaml").write_text(entries, encoding="utf-8")
    return check_site(site, AS_OF)


def problems(folder, entries):
    """line:column path: message of each problem, all in the log."""
    checked = site_with(folder, entries)
    assert isinstance(checked, Refused)
    assert {p.file.rsplit("/", 1)[-1] for p in checked.problems} == {"log.yaml"}
    assert all(p.hint for p in checked.problems)
    return [f"{p.line}:{p.column} {p.path}: {p.message}" for p in checked.problems]


def test_entries_are_records(tmp_path):
    """Each entry is a record of its kind, with its day, its figures in SI and its mark."""
    checked = site_with(tmp_path, HEAD + GOOD)
    assert isinstance(checked, Assessed)
    first, drill, hold = checked.log.entries
    assert isinstance(first, Inspection)
    assert (first.part, first.on, first.result, first.by) == ("D-1", date(2026, 6, 9), "pass", "R. Kent")
    assert isinstance(drill, Drill)
    assert (drill.contact.si, drill.ground.si) == (210.0, 480.0)
    assert (hold.kind, hold.state) == ("hold", "on")
    assert len({e.mark for e in checked.log.entries}) == 3


def test_a_site_without_a_log_has_an_empty_one():
    """A first site has a profile only."""
    assert check_site(SITES / "sable-point", AS_OF).log.entries == ()


WRONG = [  # an entry, what is told of it
    ("{kind: inspection, on: 2026-06-09, by: R. Kent, part: D-9, result: pass}", "nothing under equipment has the id 'D-9'"),
    ("{kind: inspection, on: 2026-06-31, by: R. Kent, part: D-1, result: pass}", "2026-06-31 is not a date"),
    ("{kind: inspection, on: 2026-06-09, by: R. Kent, part: D-1}", "lacks 'result'"),
    ("{kind: inspection, on: 2026-06-09, by: R. Kent, part: D-1, result: good}", "'good' is not one of the values allowed here"),
    (
        "{kind: inspection, on: 2026-06-09, by: R. Kent, part: D-1, result: pass, serail: X}",
        "unknown key 'serail'; did you mean 'serial'?",
    ),
    ("{kind: inspecton, on: 2026-06-09, by: R. Kent}", "'inspecton' is not one of the values allowed here"),
    ("{on: 2026-06-09, by: R. Kent}", "lacks 'kind'"),
    ("{kind: drill, on: 2026-09-02, by: X, method: M2, shift: night, bay: B1, vehicle: tanker, ground: 8}", "8 has no unit"),
    ("inspection of D-1", "a group of keys is wanted here, not text"),
]


@pytest.mark.parametrize(("entry", "told"), WRONG, ids=[w[1] for w in WRONG])
def test_a_wrong_entry_is_told_in_its_place(tmp_path, entry, told):
    """File, line, column, what is wrong and what would be right, as in a profile."""
    (line,) = problems(tmp_path, f"{HEAD}  - {entry}\n")
    assert line.startswith("3:")
    assert told in line


def test_one_line_an_entry(tmp_path):
    """An entry over two lines, and two entries on one, are told: lines are what two people's entries are merged by."""
    two = "  - kind: hold\n    on: 2026-10-05\n    by: A. Petrie\n    state: 'on'\n    reason: Counsel\n"
    assert problems(tmp_path, HEAD + two) == ["3:5 entries[0]: this entry does not stand on one line of its own"]


@pytest.mark.parametrize(
    ("text", "told"), [("entries: []\n", "lacks 'log'"), ("log: 2\nentries: []\n", "'2' is not what must stand here")]
)
def test_the_format_is_numbered(tmp_path, text, told):
    """A log says its format, and another one is refused."""
    (line,) = problems(tmp_path, text)
    assert told in line


def test_a_correction_takes_an_entry_back(tmp_path):
    """The entry that it names by its mark no longer counts; the line stays where it is."""
    raw = {"kind": "inspection", "on": "2026-06-09", "by": "R. Kent", "part": "D-1", "result": "pass", "serial": "D1-20417"}
    wrong = f"  - {{kind: correction, on: 2026-06-10, by: R. Kent, entry: '{mark_of(raw)}', reason: Wrong serial number}}\n"
    log = site_with(tmp_path, HEAD + GOOD + wrong).log
    assert len(log.entries) == 4
    assert [e.kind for e in log.standing] == ["drill", "hold"]
    assert list(log.of(Inspection)) == []
    assert [d.ground.text for d in log.of(Drill, until=date(2026, 9, 2))] == ["8.0 min"]
    assert list(log.of(Drill, until=date(2026, 9, 1))) == []


INSPECTED = {"kind": "inspection", "on": "2026-06-09", "by": "R. Kent", "part": "D-1", "result": "pass", "serial": "D1-20417"}
BACK = "  - {{kind: {kind}, on: 2026-06-10, by: R. Kent, entry: '{mark}', {more}}}\n"


def back(mark, kind="correction", more="reason: Wrong serial number"):
    return BACK.format(kind=kind, mark=mark, more=more)


def test_what_is_entered_again_after_a_correction_counts(tmp_path):
    """A correction takes back what stands above it; the same words below it are a new entry."""
    log = site_with(tmp_path, HEAD + GOOD + back(mark_of(INSPECTED)) + GOOD.splitlines(keepends=True)[0]).log
    assert [e.kind for e in log.standing] == ["drill", "hold", "inspection"]


@pytest.mark.parametrize(
    ("entry", "told", "hint"),
    [
        (back("deadbeef"), "no entry above has the mark 'deadbeef'", "write the mark of that entry"),
        (back("deadbeef", "done", "evidence: Photograph"), "no entry above has the mark 'deadbeef'", "write the mark of that entry"),
        (back("3"), "no entry above has the mark '3'", f"the entry on line 3 has the mark '{mark_of(INSPECTED)}'"),
        (back("line 3"), "no entry above has the mark 'line 3'", f"the entry on line 3 has the mark '{mark_of(INSPECTED)}'"),
    ],
)  # fmt: skip
def test_nothing_is_not_corrected(tmp_path, entry, told, hint):
    """What takes back or closes an entry names one that stands above it; its line gets the mark."""
    checked = site_with(tmp_path, HEAD + GOOD + entry)
    assert isinstance(checked, Refused)
    (problem,) = checked.problems
    assert (problem.line, problem.path, problem.message) == (6, "entries[3].entry", told)
    assert hint in problem.hint


def test_a_correction_is_not_corrected(tmp_path):
    """What was taken back by mistake is entered again."""
    first = {
        "kind": "correction",
        "on": "2026-06-10",
        "by": "R. Kent",
        "entry": mark_of(INSPECTED),
        "reason": "Wrong serial number",
    }
    (line,) = problems(tmp_path, HEAD + GOOD + back(mark_of(INSPECTED)) + back(mark_of(first)))
    assert line.endswith("is a correction, and a correction is not taken back")


def test_the_mark_does_not_hang_on_the_order_of_keys():
    """The same entry written in another order has the same mark, another entry another one."""
    assert (
        mark_of({"kind": "kit", "kit": "K-1"}) == mark_of({"kit": "K-1", "kind": "kit"}) != mark_of({"kind": "kit", "kit": "K-2"})
    )


def test_a_weight_in_the_log_is_not_repeated(tmp_path):
    """The screen for weights covers the log's problems too."""
    entry = "  - {kind: fit, on: 2026-06-09, by: X, person: U-01, result: 'weighs 287 lb', upper: 310 lb}\n"
    (line,) = problems(tmp_path, HEAD + entry)
    assert "287" not in line


def test_each_kind_has_a_sentence():
    """No kind of entry without a sentence in the schema, and none has room for a body weight."""
    assert all((cls.__doc__ or "").strip().endswith(".") for cls in KINDS.values())
    assert not [k for k, cls in KINDS.items() if any("weight" in n or "body" in n for n in cls.__annotations__)]


def test_check_tells_what_is_said_to_be_not_known(tmp_path):
    """Values said to be not known are listed with their line, whom was asked and when."""
    site = tmp_path / "site"
    shutil.copytree(SITES / "harrow-ridge", site)
    text = (site / "profile.yaml").read_text(encoding="utf-8")
    at = text.index("      line_exit_below_rail:")
    end = text.index("\n", at)
    changed = text[:at] + "      line_exit_below_rail: {unknown: {asked: rail maker, on: 2026-10-02}}" + text[end:]
    (site / "profile.yaml").write_text(changed, encoding="utf-8")
    code, out, _ = run("check", str(site), "--as-of", "2026-11-01")
    assert code == 1
    assert "SAID TO BE NOT KNOWN (1)" in out
    assert "bays[0].rail.line_exit_below_rail; asked: rail maker, on 2026-10-02" in out


@pytest.mark.parametrize(("text", "says"), [
    ("", "the file is empty"), ("# nothing yet\n", "the file is empty"), ("- a\n", "the file is not a set of keys"), ("%PDF-1.7\n", "and no text in YAML"),
])  # fmt: skip
def test_a_log_with_nothing_in_it_is_told_how_a_log_begins(text, says, tmp_path):
    """And not how a profile begins."""
    folder = shutil.copytree(SITES / "harrow-ridge", tmp_path / "site")
    (folder / "log.yaml").write_text(text, encoding="utf-8")
    (problem,) = check_site(folder, AS_OF).problems
    assert problem.file.endswith("log.yaml")
    assert (says in problem.message, "'log: 1'" in problem.hint, "name:" in problem.hint) == (True, True, False)
