"""docgen start: a site begins with few answers; what is not known stays unknown, and nothing that was typed is lost."""

from __future__ import annotations

import io
import re
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from support import AS_OF, PlainLoader, run, table

from docgen.beginning import ANSWERS, Beginning, begin, jurisdiction_of, next_steps, questions
from docgen.checked import Assessed
from docgen.errors import Refusal
from docgen.pipeline import check_site
from docgen.private import guard_for
from docgen.read import read_profile
from docgen.units import UnitProblem
from docgen.unknown import without_unknown

HERE = Path(__file__).parent / "start"
CASES = table(HERE / "answers.yaml")
GOOD = {case["name"]: case for case in CASES}
FEET = GOOD["all in feet, by name"]["answers"]
DAY = ("--as-of", "2026-11-01")


def given(value: Any) -> str | tuple[str, ...]:
    return tuple(map(str, value)) if isinstance(value, list) else str(value)


def begun(answers: dict[str, Any], take: bool = False) -> Beginning:
    """A site with these answers; with `take` each is held against the reader of profiles, as the command does."""
    new = Beginning(AS_OF, "en", "bare")
    for question in questions("en"):
        if question.key in answers:
            value = given(answers[question.key])
            if take:
                new.take(question.key, value)
            else:
                new.answers[question.key] = value
    return new


def at(data: Any, path: str) -> Any:
    for key, index in re.findall(r"([^.\[\]]+)|\[(\d+)\]", path):
        data = data[int(index)] if index else data[key]
    return data


def holds(there: Any, due: Any) -> bool:
    """Whether all of `due` stands there; of a record more may."""
    if isinstance(due, dict):
        return all(holds(there[key], value) for key, value in due.items())
    return there == due


def test_at_most_fifteen_questions():
    """Each says why it is asked and what others answer, in feet and in metres."""
    asked = questions("en")
    assert len(asked) <= 15
    assert all(q.asks and q.why and q.us and q.si for q in asked)
    assert [q.key for q in asked if q.us != q.si] == ["rail", "decks", "arrest"]


@pytest.mark.parametrize("system", ["us", "si"])
def test_what_others_answer_is_an_answer(system):
    """The typical answers together are a site, in both systems of units."""
    new = Beginning(AS_OF, "en")
    for question in questions("en"):
        new.take(question.key, question.typical(system))
    assert len(new.draft()["bays"]) == 2


@pytest.mark.parametrize("name", GOOD)
def test_answers_make_a_site(name, tmp_path):
    """Its profile, log and private file are read without a problem; what was answered stands in it, and all else is unknown."""
    case = GOOD[name]
    checked = begin(begun(case["answers"]), tmp_path)
    data = yaml.load((tmp_path / "profile.yaml").read_text(encoding="utf-8"), PlainLoader)
    for path, due in case["holds"].items():
        assert holds(at(data, path), due), (path, at(data, path))
    # every field that the site is asked for is a line of the file
    lines = {n.path for n in checked.not_known}
    assert lines
    for fact in checked.view.facts:
        for path in fact.paths:
            plain = _as_written(data, path)
            assert any(line == plain or line.startswith(f"{plain}.") for line in lines), path
    # nothing in the files is private, and no comment tells a weight
    assert not {"private-in-comment", "weight-told", "text-withheld"} & {f.name for f in checked.assessed.findings}
    assert guard_for(tmp_path).problems == ()
    assert "private.yaml" in (tmp_path / ".gitignore").read_text(encoding="utf-8").split()
    schema = (tmp_path / "profile.yaml").read_text(encoding="utf-8").partition("\n")[0].partition("$schema=")[2]
    assert (tmp_path / schema).is_file()


def _as_written(data: Any, path: str) -> str:
    """A path with the number of an entry in the place of its id."""
    plain, here = "", data
    for key, name in re.findall(r"([^.\[\]]+)(?:\[([^\]]*)\])?", path):
        plain += f".{key}" if plain else key
        here = here.get(key) if isinstance(here, dict) else None
        if name and isinstance(here, list):
            number = next((n for n, e in enumerate(here) if name in (e.get("id"), e.get("side"))), None)
            number = int(name) if number is None else number
            plain, here = f"{plain}[{number}]", here[number]
    return plain


def test_unknown_is_no_answer(tmp_path):
    """The lines that read unknown mend nothing: without them the same is found."""
    new = begun(FEET)
    checked = begin(new, tmp_path)
    source, _ = without_unknown(read_profile(tmp_path / "profile.yaml"))
    bare = _without_empty(source.data)
    (tmp_path / "profile.yaml").write_text(yaml.safe_dump(bare, allow_unicode=True, sort_keys=False), encoding="utf-8")
    again = check_site(tmp_path, AS_OF)
    assert isinstance(again, Assessed), again.problems

    def stopping(of: Any) -> set[tuple[str, str]]:
        return {(f.name, f.path) for f in of.assessed.findings if f.severity == "must-fix"}

    assert stopping(again) - stopping(checked) == set()


def _without_empty(value: Any) -> Any:
    if isinstance(value, dict):
        kept = {k: _without_empty(v) for k, v in value.items()}
        return {k: v for k, v in kept.items() if v != {}}
    return [_without_empty(v) for v in value] if isinstance(value, list) else value


@pytest.mark.parametrize("row", table(HERE / "wrong.yaml"), ids=lambda row: f"{row['key']} {row['given']}")
def test_a_wrong_answer_is_told_and_changes_nothing(row):
    """It says what is wrong and what would be right; the answers stay as they were."""
    keys = [q.key for q in questions("en")]
    new = begun({k: v for k, v in FEET.items() if keys.index(k) < keys.index(row["key"])})
    before = dict(new.answers)
    with pytest.raises(UnitProblem) as told:
        new.take(row["key"], str(row["given"]))
    assert row["says"] in told.value.message
    assert row["right"] in told.value.hint
    assert new.answers == before


@pytest.mark.parametrize(
    ("said", "may"), [("drivers", ["driver"]), ("Firms", ["firm"]), ("both", ["driver", "firm"]), ("no", [])]
)
def test_only_those_climb_of_whom_it_was_said(said, may):
    """A yes for one class of others is none for another."""
    new = begun({**FEET, "contractors": said}, take=True)
    classes = new.draft()["contractors"]["classes"]
    assert {one["id"] for one in classes} == {"driver", "firm"}
    assert [one["id"] for one in classes if one["may_climb"]] == may


@pytest.mark.parametrize(("address", "code"), [
    ("US-KS", "US-KS"), ("Ontario", "CA-ON"), ("9 Mill Road, Elora, ON N0B 1S0, Canada", "CA-ON"), ("1 Pier, Sacramento, CA 95814", "US-CA"),
    ("1 Pier, Ontario, California", "US-CA"), ("7 Dock Lane, Perth, WA 6000, Australia", "AU-WA"), ("7 Dock Lane, Yakima, WA, USA", "US-WA"),
    ("2 Kai Street, Napier, New Zealand", "NZ"), ("3 Quay, Leith, Scotland", "GB"), ("4 Strand, Cork, Republic of Ireland", "IE"),
    ("1 Mall, Washington, DC 20001", "US-DC"), ("Georgia", "US-GA"), ("6 Rue du Port, Rimouski, QC  G5L 1A1", "CA-QC"),
    ("1 Main Street, Reno, NV 89501-1234, United States of America", "US-NV"), ("Northern Territory", "AU-NT"), ("US", "US"),
])  # fmt: skip
def test_an_address_tells_the_law(address, code):
    """The state, province or country at its end."""
    assert jurisdiction_of(address) == code


@pytest.mark.parametrize(
    ("address", "number"), [("Kansas", "911"), ("Ontario", "911"), ("England", "999"), ("Queensland", "000"), ("Ireland", "112")]
)
def test_the_public_number_is_that_of_the_law(address, number):
    """It is taken from what the law says, and from nowhere else."""
    new = begun({"address": address})
    assert new.public_number == number
    assert number in new.law.ask("public_emergency_number").says_plain


@pytest.mark.parametrize(("deck", "taken"), [("27 ft", False), ("324 in", False), ("26 ft 11 in", True)])
def test_a_deck_as_high_as_the_rail_is_a_slip(deck, taken):
    """Nobody stands at the rail that is over them: just at it is told as above it is, in any unit."""
    new = begun({"address": "Kansas", "bays": "Pit", "vehicles": "tank trailer", "rail": "27 ft"})
    if taken:
        new.take("decks", deck)
    else:
        with pytest.raises(UnitProblem, match="is not below the rail over Pit"):
            new.take("decks", deck)


def test_the_next_steps_speak_of_what_must_be_fixed(tmp_path):
    """What may wait is in none of them."""
    seen = []
    next_steps(begin(begun(FEET), tmp_path), lambda finding: seen.append(finding) or finding.name)
    assert seen
    assert {f.severity for f in seen} == {"must-fix"}


def test_the_next_steps_open_bays_first(tmp_path):
    """Five at most, and none that opens no bay before one that does."""
    checked = begin(begun(FEET), tmp_path)
    steps = next_steps(checked, lambda finding: finding.name)
    assert [s.who for s in steps] == ["walk", "labels", "engineer", "rescue-lead", "decide"]
    opens = [bool(s.closing) for s in steps]
    assert opens == sorted(opens, reverse=True)


# --- at the terminal -----------------------------------------------------------------------------------------------------


class Typed(io.StringIO):
    """What is typed; Ctrl-C at its end."""

    def readline(self, *_: Any) -> str:
        line = super().readline()
        if not line:
            raise KeyboardInterrupt
        return line


def test_what_was_typed_is_kept(tmp_path, monkeypatch):
    """After Ctrl-C the same command goes on where it was, and asks again for a wrong answer; the papers lie beside the site."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", Typed("Weir Mill\nOntario\nPit bay\nhopper truck\n?\n25\n"))
    code, out, err = run("start", *DAY)
    assert (code, "stopped" in err) == (2, True)
    assert "25 has no unit; write 25 ft or 25 m" in out
    assert not Path("weir-mill/profile.yaml").exists()
    kept = yaml.load(Path("weir-mill", ANSWERS).read_text(encoding="utf-8"), PlainLoader)
    assert kept == {"site": "Weir Mill", "address": "Ontario", "bays": "Pit bay", "vehicles": "hopper truck", "work": "unknown"}
    monkeypatch.setattr(sys, "stdin", io.StringIO("8 m\n"))
    code, out, err = run("start", "weir-mill", *DAY, "--types", "md")
    assert (code, err) == (0, "")
    assert "answered already in weir-mill: 5\n" in out
    assert "\n1/15" not in out
    assert "underside: 8 m" in Path("weir-mill/profile.yaml").read_text(encoding="utf-8")
    assert re.search(r"  1\. .*\n(?:.*\n)*  2\. ", out)
    assert {p.name for p in Path("papers/weir-mill").glob("*.md")} == {
        "worksheet.md", "fall-protection-plan.md", "contractor-notice.md", "rescue-procedure.md"
    }  # fmt: skip
    assert not list(Path("weir-mill").glob("*.md"))
    # nothing is written over
    before = {p: p.read_bytes() for p in Path("weir-mill").rglob("*") if p.is_file()}
    code, _, err = run("start", "weir-mill", *DAY)
    assert (code, "is not written over; change it by hand" in err) == (2, True)
    assert {p: p.read_bytes() for p in Path("weir-mill").rglob("*") if p.is_file()} == before


@pytest.mark.parametrize(("text", "said"), [
    ("site: X\nadress: Kansas\n", "a.yaml:2:1: 'adress' is no question; near it: 'address'"),
    ("site: X\naddress: Kansas\nrail: 25\n", "a.yaml:3:7: rail: 25 has no unit; write 25 ft or 25 m"),
    ("address: Kansas\nbays: {a: b}\n", "a.yaml:2:7: an answer is text or a list of texts"),
    ("address: Kansas\nmeasured: 2026-13-01\n", "a.yaml:2:11: measured: 2026-13-01 is not a date: there is no month 13"),
    ("site: X\n", "'address' is not answered"),
    ("- a\n", "a.yaml:1:1: the file is not a set of keys"),
    ("site: [x\n", "a.yaml:1:"),
    ("", "a.yaml:1:1: the file is empty; begin with a key and its value, such as 'site: ...'\n"),
    ("address: Kansas\ndecks: 12 ft\n", "a.yaml:2:8: decks: no vehicle is named whose surface this is; name it under vehicles, or leave this out\n"),
    ("site: a\0b\n", "a.yaml:1:8: this is not a text file; give a text in YAML that begins with 'site: ...'\n"),
])  # fmt: skip
def test_a_file_of_answers_is_told_by_line(text, said, tmp_path, monkeypatch):
    """All that is wrong, with file, line and column; then nothing is written."""
    monkeypatch.chdir(tmp_path)
    Path("a.yaml").write_text(text, encoding="utf-8")
    code, out, err = run("start", "new", "--answers", "a.yaml", *DAY)
    assert (code, out) == (2, "")
    assert said in err
    assert not Path("new").exists()


def test_what_lies_in_the_folder_stays(tmp_path):
    """Files that were there are kept; a list of what version control leaves out gets the private file as one line more."""
    (tmp_path / ".gitignore").write_text("*.bak\n", encoding="utf-8")
    (tmp_path / "log.yaml").write_text("log: 1\nentries: []  # mine\n", encoding="utf-8")
    begin(begun({"address": "Kansas"}), tmp_path)
    assert (tmp_path / ".gitignore").read_text(encoding="utf-8") == "*.bak\nprivate.yaml\n"
    assert "# mine" in (tmp_path / "log.yaml").read_text(encoding="utf-8")
    with pytest.raises(Refusal, match="profile-is-there"):
        begin(begun({"address": "Ontario"}), tmp_path)
    assert check_site(tmp_path, AS_OF).site.site.jurisdiction == "US-KS"


def test_the_day_is_that_of_the_command(tmp_path):
    """The papers are written for it."""
    new = Beginning(date(2026, 12, 24), "en", "x")
    new.answers["address"] = "Kansas"
    assert begin(new, tmp_path).site.document.effective == date(2026, 12, 24)


def test_answers_that_were_typed_are_not_lost_to_a_file(tmp_path, monkeypatch):
    """A file of answers that does not give one that is kept is refused, with the place of that one; one that gives them all goes on."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", Typed("Weir Mill\nOntario\nPit bay\n?\n"))
    assert run("start", "mill", *DAY)[0] == 2
    before = Path("mill", ANSWERS).read_bytes()
    Path("a.yaml").write_text("site: Weir Mill\naddress: Ontario\nbays: North bay\n", encoding="utf-8")
    code, out, err = run("start", "mill", "--answers", "a.yaml", *DAY)
    assert (code, out, Path("mill", ANSWERS).read_bytes()) == (2, "", before)
    assert f"mill/{ANSWERS}:4:7: bays: a.yaml does not give this answer, and it would be lost" in err
    assert "site:" not in err
    assert not Path("mill/profile.yaml").exists()
    Path("a.yaml").write_text("site: Weir Mill\naddress: Ontario\nbays: Pit bay\nrail: 8 m\n", encoding="utf-8")
    assert run("start", "mill", "--answers", "a.yaml", *DAY, "--types", "md")[0] == 0


@pytest.mark.parametrize("name", ["log.yaml", "private.yaml"])
def test_a_file_that_does_not_fit_is_told_with_its_place(name, tmp_path, monkeypatch):
    """A log or a private file that lies there and cannot be read: no profile is written beside it."""
    monkeypatch.chdir(tmp_path)
    Path("a.yaml").write_text("address: Kansas\n", encoding="utf-8")
    Path("mill").mkdir()
    Path("mill", name).write_text("mine\n", encoding="utf-8")
    code, out, err = run("start", "mill", "--answers", "a.yaml", *DAY)
    assert (code, out) == (2, "")
    assert f"mill/{name}:1:1: " in err
    assert "no profile was written" in err
    assert {p.name for p in Path("mill").iterdir()} == {name, ANSWERS}


def test_papers_that_cannot_be_written_are_told_with_the_way_on(tmp_path, monkeypatch):
    """The profile is there by then, and the message says how its papers are written; a folder of the site names no option that start has not."""
    monkeypatch.chdir(tmp_path)
    Path("a.yaml").write_text("address: Kansas\n", encoding="utf-8")
    Path("papers").write_text("a file\n", encoding="utf-8")
    code, _, err = run("start", "mill", "--answers", "a.yaml", *DAY, "--types", "md")
    assert (code, Path("mill/profile.yaml").exists()) == (2, True)
    assert "docgen render mill --into DIR writes them" in err
    code, _, err = run("start", "papers/mill", "--answers", "a.yaml", *DAY)
    assert (code, "--into" in err, "name another folder for the site" in err) == (2, False, True)


def test_the_first_step_names_sheets_that_are_there(tmp_path, monkeypatch):
    """A survey sheet that was not written is not named; what writes it is."""
    monkeypatch.chdir(tmp_path)
    Path("a.yaml").write_text("address: Kansas\n", encoding="utf-8")
    out = " ".join(run("start", "mill", "--answers", "a.yaml", *DAY, "--types", "md")[1].split())
    assert "survey-sheet.B1" not in out
    assert "docgen render mill --documents survey-sheet --types pdf writes" in out
    out = run("start", "kiln", "--answers", "a.yaml", *DAY, "--types", "docx")[1]
    assert "camera: survey-sheet.B1." in out
    assert Path("papers/kiln/survey-sheet.B1.docx").is_file()


def test_two_sites_of_one_name_keep_their_papers_apart(tmp_path, monkeypatch):
    """The second of two that lie side by side gets an id of its own and says so; where both were given one by hand, `render` tells it."""
    monkeypatch.chdir(tmp_path)
    Path("a.yaml").write_text("site: Weir Mill\naddress: Kansas\nbays: North bay\n", encoding="utf-8")
    said = run("start", "one", "--answers", "a.yaml", *DAY, "--types", "md")
    assert (said[0], "note:" in said[1]) == (0, False)
    before = {p: p.read_bytes() for p in Path("papers/weir-mill").iterdir()}
    code, out, _ = run("start", "two", "--answers", "a.yaml", *DAY, "--types", "md")
    assert (code, "one has the id 'weir-mill' already" in out) == (0, True)
    assert "  id: weir-mill-2\n" in Path("two/profile.yaml").read_text(encoding="utf-8")
    assert "papers/weir-mill-2: " in out
    assert {p: p.read_bytes() for p in Path("papers/weir-mill").iterdir()} == before
    drawn = ("--types", "md", "--documents", "contractor-notice", *DAY)
    assert "has the id" not in run("render", "one", *drawn)[1]
    text = Path("two/profile.yaml").read_text(encoding="utf-8")
    Path("two/profile.yaml").write_text(text.replace("id: weir-mill-2", "id: Weir-mill"), encoding="utf-8")
    assert "one has the id 'Weir-mill' too" in run("render", "two", *drawn)[1]
    assert "has the id" not in run("render", "two", "--into", "out", *drawn)[1]


def test_bytes_that_are_no_text_are_told_as_such():
    """What the terminal could not decode."""
    with pytest.raises(UnitProblem, match="no text in UTF-8"):
        begun({}).take("site", "Caf\udce9 yard")
