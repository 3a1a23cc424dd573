"""docgen log: what happened is entered once it was checked, as one line an entry, all or none; two people's entries merge by lines."""

import json
import shutil
import subprocess
from datetime import date

import pytest
from control_site import FIRST, LATER, happened
from support import SITES, needs, run

from docgen.compose import compose_all
from docgen.compose.digest import short_digest
from docgen.control.log import given_here, prepare, write
from docgen.control.table import read_table
from docgen.errors import RecordError, Refusal
from docgen.pipeline import check_site, compared_site
from docgen.profile import read_site
from docgen.read import read_profile
from docgen.records import NONE, read_records
from docgen.site.log import KINDS, mark_of
from docgen.text.paper_code import PaperCode

DAY = ("--as-of", "2026-11-12")
KIT = ("kit", "kit=K-1", "whole=true", "--by", "D. Sorensen")


@pytest.fixture
def folder(tmp_path):
    """A copy of the full demo without records."""
    return shutil.copytree(SITES / "harrow-ridge", tmp_path / "site")


def text_of(folder):
    return (folder / "log.yaml").read_text(encoding="utf-8")


def entered(folder, *words):
    """What the command says of an entry that must be refused: its lines; nothing is written."""
    before = text_of(folder)
    code, said, wrong = run("log", str(folder), *words, *(() if "--as-of" in words else DAY))
    assert code == 1, said + wrong
    assert text_of(folder) == before
    assert said.splitlines()[-1].startswith("nothing was entered: ")
    return said.splitlines()[:-1]


def test_an_entry_is_one_line_at_the_end(folder):
    """Comments, order and every byte before it stay; the entry is read back, and what it closes is told."""
    before = text_of(folder)
    code, said, _ = run(
        "log", str(folder), "tagged", "part=D-1", "reason=Load indicator: shown", "--by", "J. Whitlow", "--on", "2026-11-03", *DAY
    )
    assert code == 0
    line = '- {kind: tagged, on: 2026-11-03, by: J. Whitlow, part: D-1, reason: "Load indicator: shown"}'
    assert text_of(folder) == f"{before}  {line}\n"
    assert said.splitlines()[0] == line
    assert "Truck bay: closed today. A part is tagged." in said
    entry = check_site(folder, LATER).log.entries[-1]
    assert (entry.kind, entry.on, entry.part, entry.reason) == ("tagged", date(2026, 11, 3), "D-1", "Load indicator: shown")


def test_a_site_without_a_log_gets_one(tmp_path):
    """The first entry makes the file; figures, lists, whole numbers and truth values stand as the format wants them."""
    site = shutil.copytree(SITES / "harrow-ridge", tmp_path / "site")
    (site / "log.yaml").unlink()
    for words in (
        (
            "drill",
            "method=M2",
            "shift=day",
            "bay=B2",
            "vehicle=tank-car",
            "contact=3.1 min",
            "ground=5.6 min",
            "--by",
            "D. Sorensen",
        ),
        ("arrest", "bay=B1", "parts=D-1, H-A", "persons=U-01;U-02", "--by", "L. Brandt"),
        ("cards", "month=2026-10", "climbs=84", "filled=80", "--by", "L. Brandt"),
        KIT,
    ):
        assert run("log", str(site), *words, *DAY)[0] == 0
    assert text_of(site) == (
        "log: 1\nentries:\n"
        "  - {kind: drill, on: 2026-11-12, by: D. Sorensen, method: M2, shift: day, bay: B2, vehicle: tank-car, contact: 3.1 min, ground: 5.6 min}\n"
        "  - {kind: arrest, on: 2026-11-12, by: L. Brandt, bay: B1, parts: [D-1, H-A], persons: [U-01, U-02]}\n"
        '  - {kind: cards, on: 2026-11-12, by: L. Brandt, month: "2026-10", climbs: 84, filled: 80}\n'
        "  - {kind: kit, on: 2026-11-12, by: D. Sorensen, kit: K-1, whole: true}\n"
    )


def test_words_may_stand_around_options(folder):
    """Fields before and after an option are one entry."""
    before = text_of(folder)
    code, _, _ = run(
        "log", "--as-of", "2026-11-12", str(folder), "--by", "D. Sorensen", "kit", "kit=K-1", "--on", "2026-11-03", "whole=true"
    )
    assert code == 0
    assert text_of(folder) == before + "  - {kind: kit, on: 2026-11-03, by: D. Sorensen, kit: K-1, whole: true}\n"


def test_line_ends_stay_as_they_are(folder):
    """A log with the line ends of another system keeps them."""
    log = folder / "log.yaml"
    log.write_bytes(log.read_bytes().replace(b"\n", b"\r\n"))
    assert run("log", str(folder), *KIT, *DAY)[0] == 0
    assert log.read_bytes().count(b"\n") == log.read_bytes().count(b"\r\n") == len(text_of(folder).splitlines())


BY = {"L": ("--by", "L. Brandt"), "W": ("--by", "J. Whitlow"), "S": ("--by", "D. Sorensen")}
REFUSED = [  # words of an entry, the place, what is told of it
    (("inspecton", *BY["W"]), "docgen log inspecton", "there is no kind of entry 'inspecton'; did you mean 'inspection'?"),
    (("hold", "state=on", "reason=Claim", *BY["L"]), "docgen log hold", "docgen hold SITE on"),
    (("inspection", "part=D-9", "result=pass", *BY["W"]), "part", "nothing under equipment has the id 'D-9'"),
    (("inspection", "part=D-1", "result=pass", "serail=X", *BY["W"]), "serail", "unknown key 'serail'; did you mean 'serial'?"),
    (("inspection", "part=D-1", *BY["W"]), "docgen log inspection", "lacks 'result'"),
    (("inspection", "part=D-1", "result=good", *BY["W"]), "result", "'good' is not one of the values allowed here; allowed: pass, fail"),
    (("kit", "kit=K-1", "whole=yes", *BY["S"]), "whole", "true or false is wanted here"),
    (("kit", "kit=K-1", "whole=true", *BY["S"], "--on", "2026-11-13"), "on", "2026-11-13 has not come: today is 2026-11-12"),
    (("kit", "kit=K-1", "whole=true", *BY["S"], "--on", "2006-11-03"), "on", "2006-11-03 is before this site began: the oldest day on file is 2023-10-15 (profile line "),
    (("kit", "kit=K-1", "whole=true", *BY["S"], "--on", "1926-11-03"), "on", "before the data of the law of US-NE begin"),
    (("kit", "kit=K-1", "whole=true", *BY["S"], "on=2026-11-31"), "on", "2026-11-31 is not a date"),
    (("kit", "kit=D-1", "whole=true", *BY["S"]), "kit", "D-1 is no rescue kit; the kits are K-1, K-2, P-1"),
    (("kit", "kit=K-1", "whole=true", "--by", "rescue-lead"), "by", "'rescue-lead' is a role and not a person; Rescue lead on 2026-11-12 was D. Sorensen"),
    (("kit", "kit=K-1", "whole=true", "--by", "Rescue lead"), "by", "write D. Sorensen"),
    (("kit", "kit=K-1", "whole=true", "--by", "shift-supervisor"), "by", "'shift-supervisor' is the id of a role"),
    (("kit", "kit=K-1", "whole=true", "--by", "D.Sorensen"), "by", "the profile writes this name D. Sorensen, not 'D.Sorensen'"),
    (("inspection", "part=D-1", "result=pass", *BY["W"]), "docgen log inspection", "the serial number of D-1 was not given"),
    (("inspection", "part=D-1", "result=pass", "serial=D1-9", *BY["W"]), "serial", "with the serial number D1-20417, not D1-9"),
    (("inspection", "part=D-1", "result=pass", "serial=D1-20417", *BY["L"]), "by", "L. Brandt did not hold the part on 2026-11-12: Competent person for fall equipment was J. Whitlow"),
    (("inspection", "part=D-1", "result=pass", "serial=D1-20417", "--by", "Shift supervisor"), "by", "Shift supervisor did not hold the part"),
    (("inspection", "part=D-1", "result=pass", "serial=D1-20417", "--by", "A. Petrie"), "by", "A. Petrie did not hold the part"),
    (("cleared", "part=D-1", "page=page 30", *BY["S"]), "by", "D. Sorensen did not hold the part on 2026-11-12: Competent person for fall equipment was J. Whitlow"),
    (("cleared", "part=D-1", "page=page 30", *BY["W"], "--on", "2025-01-05"), "by", "nobody held the part Competent person"),
    (("fit", "person=U-01", "result=pass", "upper=310 lb", "role=safety-manager", *BY["S"]), "role", "Safety manager was L. Brandt"),
    (("opened", "bay=B1", "second=L. Brandt", *BY["L"]), "second", "two people open a bay again"),
    (("training", "person=U-01", "course=rescue-practical", *BY["S"]), "person", "U-01 is no rescuer; the rescuers are RS-1"),
    (("drill", "method=M2", "shift=day", "bay=B2", "vehicle=tank-car", "contact=9 min", "ground=5 min", *BY["S"]), "contact", "cannot come after"),
    (("contact", "contact=Ambulance and fire", "number=911", "answered=true", *BY["L"]), "number", "911 is the public emergency number, which is never dialled to try it"),
    (("contact", "contact=Rescue led", "number=555-0143", "answered=true", *BY["L"]), "contact", "did you mean 'Rescue lead'?"),
    (("contact", "contact=Rescue lead", "number=555-0199", "answered=true", *BY["L"]), "number", "the number of Rescue lead in the profile is 555-0143, not 555-0199"),
    (("number-tried", "number=911", "how=dialled", *BY["L"]), "how", "confirmed on the non-emergency line"),
    (("number-tried", "number=555-0199", "how=dialled", *BY["L"]), "number", "no alarm number of the profile is 555-0199"),
    (("posting", "place=GATE-1", "document=rescue-card", "what=hung", *BY["L"]), "document", "at GATE-1 hangs the contractor-notice"),
    (("posting", "place=GATE-1", "document=contractor-notice", "what=hung", "revision=1", *BY["L"]), "revision", "no revision 1 of the contractor-notice was ever issued; there are: none"),
    (("breach", "class=drivers", "text=Stepped up", *BY["L"]), "class", "did you mean 'driver'?"),
    (("contract-seen", "firm=Tank Wash", "sentence=Rules", *BY["L"]), "firm", "the site has no firm 'Tank Wash'"),
    (("unknown-vehicle", "what=Tank railcar", *BY["L"]), "what", "Tank railcar stands in the table of vehicles"),
    (("cards", "month=2026-12", "climbs=3", "filled=3", *BY["L"]), "month", "the month 2026-12 is not over on 2026-11-12"),
    (("certificate", "what=Card", "of=P-1", "until=2026-11-01", *BY["L"]), "until", "'until' is 2026-11-01, which is before the day of the entry"),
    (("recommendation", "text=A gate", "due=2026-11-01", *BY["L"]), "due", "before the day of the entry"),
    (("recommendation", "text=A gate", "finding=lighting-unstatd", *BY["L"]), "finding", "did you mean 'lighting-unstated'?"),
    (("correction", "entry=deadbeef", "reason=Wrong", *BY["L"]), "entry", "no entry above has the mark 'deadbeef'"),
    (("test", "what=radio", "result=pass", "--by", "Shift supervisor", "--on", "2026-10-31"), "docgen log test", "the same entry stands on file already (line "),
    (("near-miss", "text=He weighs 287 lb", *BY["L"]), "text", "tells what a person weighs"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "place", "told"), REFUSED, ids=[f"{r[0][0]} {n}" for n, r in enumerate(REFUSED)])
def test_a_wrong_entry_is_refused_with_what_would_be_right(folder, words, place, told):
    """One line: the field, what is wrong, what would be right; the log stays as it is."""
    said = entered(folder, *words)
    assert len(said) == 1, said
    assert said[0].startswith(f"{place}: "), said[0]
    assert told in said[0]


@pytest.mark.parametrize(
    ("by", "code"),
    [("T. Maran", 0), ("K. Farrow", 0), ("Lift Inspections of Alder Flat", 0), ("P. Lind", 1), ("V. Quist", 0), ("W. Ames", 1)],
)
def test_an_inspection_is_entered_by_whoever_may_inspect(by, code, folder):
    """Those who inspect or judge, whoever stands in for them, and a firm that the profile does not know; nobody whom it knows for another part."""
    profile = folder / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    named = {"K. Farrow": "J. Whitlow, from: 2025-01-06, accepted_on: 2026-01-12}]", "P. Lind": "R. Oduya, from: 2025-01-06}]"}
    for name, holder in named.items():
        assert holder in text
        text = text.replace(holder, f"{holder}, delegates: [{{name: {name}, from: 2026-11-01, to: 2026-11-30}}]")
    engineer = "reviewers:\n  - {id: RV-8, part: engineer, name: V. Quist}\n  - {id: RV-9, part: trainer, name: W. Ames}\n"
    profile.write_text(text.replace("reviewers:\n", engineer), encoding="utf-8")
    assert run("log", str(folder), "inspection", "part=D-1", "result=pass", "serial=D1-20417", "--by", by, *DAY)[0] == code


def test_nothing_is_corrected_before_it_was_entered(folder):
    """The day of a correction is that of the entry or later."""
    entry = next(e for e in read_profile(folder / "log.yaml").data["entries"] if e["on"] == "2026-10-31")
    words = ("correction", f"entry={mark_of(entry)}", "reason=Wrong", *BY["L"])
    (said,) = entered(folder, *words, "--on", "2026-10-30")
    assert said.startswith("on: an entry of 2026-10-31 cannot have been corrected on 2026-10-30")
    assert run("log", str(folder), *words, "--on", "2026-10-31", *DAY)[0] == 0


def test_a_weight_is_not_said_again(folder):
    """What tells a weight is refused without its figure, from words and from a table."""
    (folder / "private.yaml").write_text("people:\n  U-01: {weight: 187.3 lb, with_tools: 199 lb}\n", encoding="utf-8")
    for words in (
        ("near-miss", "text=U-01 had 187.3 lb on the rail", *BY["L"]),
        ("fit", "person=U-01", "result=187.3 lb", "upper=310 lb", *BY["L"]),
    ):
        assert "187" not in " ".join(entered(folder, *words))
    table = folder / "t.csv"
    table.write_text("kind,by,on,text\nnear-miss,L. Brandt,2026-11-03,He had 187 lb\n", encoding="utf-8")
    (said,) = entered(folder, "--from", str(table), "--yes")
    assert said.startswith(f"{table}:2:32: ")
    assert "187" not in said


def test_arguments_hold_no_sign_that_nobody_sees(folder):
    """A control character in a field, and one in an option, is wrong use."""
    before = text_of(folder)
    for words in (
        ("kit", "kit=K-1", "whole=true", "note=a\x1bb", *BY["S"]),
        (*KIT, "--note", "a\u200db"),
        ("kit", *BY["S"], "kit=K-1\x07", "whole=true"),
    ):
        with pytest.raises(SystemExit) as seen:
            run("log", str(folder), *words, *DAY)
        assert seen.value.code == 2
    assert text_of(folder) == before


def test_a_day_ahead_names_its_option(folder):
    """The day on which something is entered, and on which a hold begins, has come."""
    for words, option in (
        (("log", str(folder), *KIT, "--as-of", "2199-01-01"), "--as-of names it"),
        (("hold", str(folder), "on", "--by", "A. Petrie", "--reason", "Claim", "--on", "2199-01-01"), "--on names it"),
    ):
        code, _, wrong = run(*words)
        assert code == 2
        assert option in wrong
        assert "2199-01-01" in wrong


def test_what_can_be_entered_is_listed(folder):
    """Without a kind the kinds, without fields those of the kind, each with its sentence; wrong use all the same."""
    code, said, wrong = run("log", str(folder), *DAY)
    assert code == 2
    assert [line.split(": ")[0] for line in said.splitlines()] == [k for k in KINDS if k != "hold"]
    code, said, wrong = run("log", str(folder), "kit", *DAY)
    assert code == 2
    assert "docgen log" in wrong or "FIELD=VALUE" in wrong
    assert "kit: The kit, by its id under equipment. Example: K-1." in said
    assert "whole: True when seal and contents are whole. Example: true." in said
    for words in (("kit", "K-1"), (*KIT, "--yes"), (*KIT, "--corrects", "3"), (*KIT, "kit=K-2")):
        assert run("log", str(folder), *words, *DAY)[0] == 2


def test_results_as_data(folder):
    """--format json: what was entered, or what is wrong, with its place."""
    code, said, _ = run("log", str(folder), *KIT, "--format", "json", *DAY)
    told = json.loads(said)
    assert (code, told["written"], told["problems"]) == (0, True, [])
    assert told["entries"] == ["- {kind: kit, on: 2026-11-12, by: D. Sorensen, kit: K-1, whole: true}"]
    code, said, _ = run("log", str(folder), "kit", "kit=K-9", "whole=true", *BY["S"], "--format", "json", *DAY)
    told = json.loads(said)
    assert (code, told["written"], told["entries"]) == (1, False, [])
    assert [p["place"] for p in told["problems"]] == ["kit"]


# --- corrections ----------------------------------------------------------------------------------------------------------------------


def test_an_entry_is_replaced_by_mark_or_line(folder):
    """The entry that is named no longer counts, the new one does; both are added in one step, nothing is changed."""
    before = text_of(folder)
    wrong = next(e for e in check_site(folder, LATER).log.entries if e.kind == "kit" and e.kit == "K-1")
    line = next(n for n, text in enumerate(before.splitlines(), 1) if "kind: kit" in text and "K-1" in text)
    words = ("kit", "kit=K-1", "whole=false", *BY["S"], "--on", "2026-10-01", "--reason", "Seal was broken", *DAY)
    code, _, _ = run("log", str(folder), *words, "--corrects", str(line))
    assert code == 0
    assert text_of(folder) == before + (
        f'  - {{kind: correction, on: 2026-10-01, by: D. Sorensen, entry: "{wrong.mark}", reason: Seal was broken}}\n'
        "  - {kind: kit, on: 2026-10-01, by: D. Sorensen, kit: K-1, whole: false}\n"
    ).replace(f'"{wrong.mark}"', wrong.mark if wrong.mark[0].isalpha() else f'"{wrong.mark}"')
    checked = check_site(folder, LATER)
    assert checked.happened.kit_of("K-1").whole is False
    assert wrong.mark not in {e.mark for e in checked.log.standing}
    for named in (wrong.mark, str(line)):
        assert "was taken back already" in " ".join(entered(folder, *words, "--corrects", named))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((*KIT, "--corrects", "9999", "--reason", "Wrong"), "no entry of the log has the mark '9999'"),
        ((*KIT, "--corrects", "5", "--reason", "Wrong"), "is of the kind commissioning"),
        ((*KIT, "--corrects", "5", "--reason", " "), "taken back for a reason"),
        ((*KIT, "--corrects", "5"), "--corrects and --reason go together"),
    ],
)
def test_a_replacement_names_an_entry_and_a_reason(folder, words, told):
    """Wrong use, and nothing is written."""
    before = text_of(folder)
    code, _, wrong = run("log", str(folder), *words, *DAY)
    assert code == 2
    assert told in wrong
    assert text_of(folder) == before


def test_done_names_an_entry_by_its_line(folder):
    """What is closed is named by its line, and its mark is written."""
    assert run("log", str(folder), "recommendation", "text=A gate at the ladder", *BY["L"], *DAY)[0] == 0
    opened = check_site(folder, LATER).log.entries[-1]
    line = len(text_of(folder).splitlines())
    assert run("log", str(folder), "done", f"entry={line}", "evidence=Photograph", *BY["L"], *DAY)[0] == 0
    assert check_site(folder, LATER).log.entries[-1].entry == opened.mark


def test_a_hold_is_not_taken_back(folder):
    """A hold ends by name and reason, not by a correction of its entry."""
    assert run("hold", str(folder), "on", "--by", "A. Petrie", "--reason", "Claim", "--on", "2026-11-12")[0] == 0
    (said,) = entered(folder, "correction", f"entry={len(text_of(folder).splitlines())}", "reason=Not needed", *BY["L"])
    assert "is a hold, and a hold is not taken back; end the hold by name and reason" in said


# --- tables ---------------------------------------------------------------------------------------------------------------------------

KITS = 'kind,on,by,kit,whole,note\nkit,2026-11-03,D. Sorensen,K-1,true,\n\nkit,2026-11-03,D. Sorensen,K-2,TRUE,"Pole, ""new"" rope"\n'
LINES = (
    "  - {kind: kit, on: 2026-11-03, by: D. Sorensen, kit: K-1, whole: true}\n"
    '  - {kind: kit, on: 2026-11-03, by: D. Sorensen, note: "Pole, \\"new\\" rope", kit: K-2, whole: true}\n'
)


@pytest.mark.parametrize("form", ["comma", "semicolon", "tab", "mark of Windows"])
def test_a_table_is_shown_then_entered(folder, tmp_path, form):
    """Without --yes nothing is written; with it every row is, in one step. Separators and line ends of the usual programs are read."""
    table, before = tmp_path / "kits.csv", text_of(folder)
    sep = {"semicolon": ";", "tab": "\t"}.get(form, ",")
    text = KITS.replace(",", sep).replace(f'"Pole{sep} ', '"Pole, ')
    raw = text.encode("utf-8")
    table.write_bytes(b"\xef\xbb\xbf" + raw.replace(b"\n", b"\r\n") if form == "mark of Windows" else raw)
    code, said, _ = run("log", str(folder), "--from", str(table), *DAY)
    assert code == 0
    assert said.splitlines()[:2] == [line.strip() for line in LINES.splitlines()]
    assert f"2 entries for {folder / 'log.yaml'}; nothing is entered yet: give --yes" in said
    assert text_of(folder) == before
    code, said, _ = run("log", str(folder), "--from", str(table), "--yes", *DAY)
    assert code == 0
    assert text_of(folder) == before + LINES
    twice = entered(folder, "--from", str(table), "--yes")
    assert len(twice) == 2
    assert "stands on file already" in twice[0]


def test_kind_and_common_fields_may_stand_outside_the_table(folder, tmp_path):
    """What is the same for every row is given once; a cell goes before it."""
    table, before = tmp_path / "kits.csv", text_of(folder)
    table.write_text("kit,whole,by\nK-1,true,\nK-2,true,L. Brandt\n", encoding="utf-8")
    assert (
        run("log", str(folder), "kit", "--from", str(table), "--by", "D. Sorensen", "--on", "2026-11-03", "--yes", *DAY)[0] == 0
    )
    assert (
        text_of(folder)
        == before + LINES.splitlines(keepends=True)[0] + "  - {kind: kit, on: 2026-11-03, by: L. Brandt, kit: K-2, whole: true}\n"
    )


def test_one_wrong_cell_keeps_every_row_out(folder, tmp_path):
    """Each wrong cell is told with file, line and column, that of a text of several lines too; nothing is written, --yes or not."""
    table = tmp_path / "t.csv"
    table.write_text(
        "kind,on,by,kit,whole,note\n"
        'kit,2026-11-03,D. Sorensen,K-1,true,"two\nlines"\n'
        "kit,2026-11-03,D. Sorensen,K-9,yes,\n"
        "kitt,2026-11-03,D. Sorensen,K-1,true,\n"
        "kit,3.11.2026,D. Sorensen,K-1,,\n",
        encoding="utf-8",
    )
    said = entered(folder, "--from", str(table), "--yes")
    assert [line.split(": ")[0].rsplit("/", 1)[-1] for line in said] == ["t.csv:5:1"]
    table.write_text(table.read_text(encoding="utf-8").replace("kitt", "kit"), encoding="utf-8")
    said = entered(folder, "--from", str(table), "--yes")
    assert [line.split(": ")[0].rsplit("/", 1)[-1] for line in said] == ["t.csv:4:28", "t.csv:4:32", "t.csv:6:1", "t.csv:6:5"]
    assert "nothing under equipment has the id 'K-9'" in said[0]
    assert "lacks 'whole'" in said[2]


@pytest.mark.parametrize(
    ("raw", "place", "told"),
    [
        (b"", "", "holds nothing"),
        (b"kind,on,by\n", "", "no row stands below the head"),
        (b"on,by,kit,whole\n2026-11-03,D. Sorensen,K-1,true\n", "", "no column says the kind"),
        (b"kind,on,on\nkit,2026-11-03,2026-11-03\n", ":1:9", "the column 'on' stands there twice"),
        (b"kind,note\nkit,\"open\n", ":2:5", "the quotation mark has no end"),
        (b"kind,note\nkit,\"a\"b\n", ":2:8", "a quotation mark within a text is written twice"),
        (b"kind,note\nkit,caf\xe9\n", ":2:8", "not UTF-8 text"),
        ("kind,note\n".encode("utf-16"), ":1:1", "not UTF-8 text"),
        (b"PK\x03\x04rest", "", "the workbook cannot be opened"),
        (None, "", "there is no such file"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_told(folder, tmp_path, raw, place, told):
    """Where in the file, what is wrong, what would be right."""
    table = tmp_path / "t.csv"
    if raw is not None:
        table.write_bytes(raw)
    before = text_of(folder)
    code, _, wrong = run("log", str(folder), "--from", str(table), "--yes", *DAY)
    assert code == 2
    assert f"{table}{place}: " in wrong
    assert told in wrong
    assert text_of(folder) == before


def test_a_cell_outside_and_a_cell_with_an_unseen_sign_are_told(folder, tmp_path):
    """A value below no heading, a sign that nobody sees, a letter of another alphabet, and a row of another kind than the one given."""
    table = tmp_path / "t.csv"
    table.write_text("kind,by,kit,whole\nkit,D. Sor\u200densen,K-1,true,more\ntest,D. S\u043erensen,K-1,true\n", encoding="utf-8")
    said = entered(folder, "kit", "--from", str(table), "--on", "2026-11-03", "--yes")
    assert [line.split(": ")[0].rsplit("/", 1)[-1] for line in said] == ["t.csv:2:5", "t.csv:2:27", "t.csv:3:6", "t.csv:3:1"]
    assert [
        word in line
        for line, word in zip(said, ("U+200D", "'more' stands below no heading", "U+043E", "of the kind 'test'"), strict=True)
    ] == [True] * 4


def test_hundreds_of_rows_are_entered_together(folder, tmp_path):
    """As many entries as a large site has in a year are checked together."""
    table = tmp_path / "t.csv"
    rows = "".join(f"test,2026-11-03,D. Sorensen,radio,pass,Round {n}\n" for n in range(300))
    table.write_text("kind,on,by,what,result,note\n" + rows, encoding="utf-8")
    assert len(read_table(table).rows) == 300
    before = len(text_of(folder).splitlines())
    assert run("log", str(folder), "--from", str(table), "--yes", *DAY)[0] == 0
    assert len(text_of(folder).splitlines()) == before + 300


# --- two people -----------------------------------------------------------------------------------------------------------------------


def test_what_somebody_else_wrote_meanwhile_is_not_lost(folder):
    """The file is put in place in one step, and only on top of what was read."""
    given = [given_here("kit", [("on", "2026-11-03"), ("by", "D. Sorensen"), ("kit", "K-1"), ("whole", "true")], "here")]
    prepared = prepare(read_site(folder), given, LATER, NONE)
    assert prepared.faults == ()
    assert run("log", str(folder), "kit", "kit=K-2", "whole=true", *BY["S"], *DAY)[0] == 0
    kept = text_of(folder)
    with pytest.raises(RecordError) as seen:
        write(prepared)
    assert seen.value.name == "log-moved"
    assert text_of(folder) == kept
    assert [p.name for p in folder.iterdir() if p.name.startswith(".new-")] == []


def test_a_field_given_twice(folder):
    """One value a field."""
    with pytest.raises(Refusal) as seen:
        given_here("kit", [("kit", "K-1"), ("kit", "K-2")], "here")
    assert seen.value.name == "log-field-twice"


BASES = [
    "",
    "log: 1\nentries: []\n",
    "log: 1\nentries:\n  - {kind: kit, on: 2026-10-01, by: L. Brandt, kit: K-1, whole: true}\n",
    None,
]


@needs("git")
@pytest.mark.parametrize("base", BASES, ids=["no file", "no entry", "one entry", "the demo"])
def test_two_people_s_entries_merge_by_lines(folder, tmp_path, base):
    """Each adds entries to a copy; merged by lines, the file is read and holds the entries of both once."""
    start = text_of(folder) if base is None else base
    copies = []
    for name, kits in (("mine", ("K-1", "P-1")), ("theirs", ("K-2",))):
        site = shutil.copytree(folder, tmp_path / name)
        log = site / "log.yaml"
        log.write_text(start, encoding="utf-8") if start else log.unlink()
        for kit in kits:
            assert run("log", str(site), "kit", f"kit={kit}", "whole=true", "--by", "D. Sorensen", *DAY)[0] == 0
        copies.append(log)
    ancestor = tmp_path / "base.yaml"
    ancestor.write_text(start, encoding="utf-8")
    merged = subprocess.run(
        ["git", "merge-file", "--union", "-p", str(copies[0]), str(ancestor), str(copies[1])], capture_output=True, check=False
    )
    (folder / "log.yaml").write_bytes(merged.stdout)
    checked = check_site(folder, LATER)
    assert not getattr(checked, "problems", ())
    before = start.count("\n  - ")
    assert [e.kit for e in checked.log.entries[-3:]] == ["K-1", "P-1", "K-2"]
    assert len(checked.log.entries) == before + 3


def test_the_log_of_a_checkout_is_merged_by_lines():
    """What a checkout says of logs is what the README tells every site to say."""
    root = SITES.parent
    assert "log.yaml merge=union" in (root / ".gitattributes").read_text(encoding="utf-8").splitlines()
    assert "log.yaml merge=union" in (root / "README.md").read_text(encoding="utf-8")


# --- the beginning that was frozen ----------------------------------------------------------------------------------------------------


def beginnings(site, change):
    """Line and message of each problem of an issued site once the lines of its log were changed."""
    log = site / "log.yaml"
    lines = log.read_text(encoding="utf-8").splitlines(keepends=True)
    change(lines)
    log.write_text("".join(lines), encoding="utf-8")
    return [(p.line, p.message, p.hint) for p in check_site(site, LATER).problems]


FIRST_ENTRY = "entry 1 (commissioning of 2025-03-18 by T. Maran, mark 'cb6eafac')"


def test_an_altered_old_entry_is_named(site):
    """What it says is told, and which of its fields is another."""

    def change(lines):
        lines[4] = lines[4].replace("HR-T-07", "HR-T-09")

    ((line, message, hint),) = beginnings(site, change)
    assert (line, message) == (5, f"{FIRST_ENTRY} is not as it was frozen with rev-001: report")
    assert "put the lines of issued/rev-001/log.yaml back" in hint


def test_each_removed_old_entry_is_named(site):
    """Two are gone, and two are told; the entries behind them are where they were."""

    def change(lines):
        del lines[4]
        del lines[6]

    (one, other) = beginnings(site, change)
    assert one[1] == f"{FIRST_ENTRY} was frozen with rev-001 and is gone"
    assert other[1].startswith("entry 4 (letter of 2026-02-20 by L. Brandt, mark '")
    assert other[1].endswith("was frozen with rev-001 and is gone")


def test_a_new_entry_among_the_old_ones_is_moved_and_not_lost(site):
    """As a merge may leave it: the new line is told, and where it belongs; moved there nothing is wrong."""
    new = "  - {kind: kit, on: 2026-11-05, by: D. Sorensen, kit: K-1, whole: true}\n"
    ((line, message, hint),) = beginnings(site, lambda lines: lines.insert(10, new))
    assert (line, message) == (11, "this entry is new and stands among those that were frozen with rev-001")
    assert hint == "move its line below the others, to the end of log.yaml"
    assert beginnings(site, lambda lines: lines.append(lines.pop(10))) == []


def test_old_entries_in_another_order_are_told(site):
    """Their order is part of what was frozen."""

    def change(lines):
        lines[4], lines[5] = lines[5], lines[4]

    ((line, message, _),) = beginnings(site, change)
    assert (line, message) == (5, f"{FIRST_ENTRY} does not stand where it was frozen with rev-001")


@pytest.mark.parametrize("how", ["gone", "damaged", "not a log"])
def test_a_frozen_log_that_cannot_be_read_is_no_free_pass(site, how):
    """Without it nobody can see whether the log begins as it was frozen: told at its place, whatever the log says now."""
    frozen = site / "issued/rev-001/log.yaml"
    frozen.chmod(0o644)
    if how == "gone":
        frozen.unlink()
    else:
        frozen.write_text({"damaged": "log: 1\nentries: [\n", "not a log": "log: 1\nentries: none\n"}[how], encoding="utf-8")
    checked = check_site(site, LATER)
    told = [(p.file.rsplit("/", 2)[-2:], p.message) for p in checked.problems]
    assert (
        ["rev-001", "log.yaml"],
        "the log that was frozen with rev-001 cannot be read, so nobody can see whether this one begins with it",
    ) in told


def test_entries_after_an_issue_are_entered(site):
    """The command adds behind what was frozen, and a paper that hangs is one that was issued."""
    words = ("posting", "place=GATE-1", "document=contractor-notice", "language=en", "what=hung", *BY["L"])
    assert run("log", str(site), *words, "revision=1", *DAY)[0] == 0
    assert "there are: 1" in " ".join(entered(site, *words, "revision=2"))
    assert "has the mark " in " ".join(entered(site, *words, "revision=1", "foot_mark=0000 0000 0000"))
    assert "could not hang on 2026-10-30" in " ".join(entered(site, *words, "revision=1", "--on", "2026-10-30"))
    happened(site, kind="kit", on=FIRST, by="D. Sorensen", kit="K-1", whole=True)
    assert not getattr(check_site(site, LATER), "problems", ())


def test_what_a_bay_waits_for_is_told_when_it_comes_and_goes(site):
    """A paper that hangs opens what waited for it, and one that is taken down makes it wait again: the entry says so of that bay alone."""
    words = ("posting", "place=SIGN-1", "document=bay-sign", "revision=1", *BY["L"], *DAY)
    code, out, _ = run("log", str(site), *words, "what=hung")
    assert (code, "Truck bay: open." in out, "Rail spur" in out) == (0, True, False)
    code, out, _ = run("log", str(site), *words, "what=taken-down")
    assert (code, "Truck bay: not yet." in out, "Rail spur" in out) == (0, True, False)


# --- the walk along what hangs -------------------------------------------------------------------------------------------------------


def code_of(site, document, day=LATER):
    """What the foot of a paper says today, as the code holds it."""
    checked, bodies = compared_site(check_site(site, day), (document,))
    made = compose_all(
        checked.site,
        checked.code,
        checked.assessed,
        checked.happened,
        (),
        wanted=(document.partition(".")[0],),
        records=checked.records,
        bodies=bodies,
    )
    return next(doc.code for doc, _ in made if doc.name == document)


def walked(site, tmp_path, *lines, options=("--by", "L. Brandt")):
    """What the command says of a walk with these scans; without --yes, so that nothing is written."""
    scans = tmp_path / "scans.txt"
    scans.write_text("\n".join(lines) + "\n", encoding="utf-8")
    before = text_of(site)
    code, said, wrong = run("log", str(site), "posting", "--from", str(scans), *options, *DAY)
    assert text_of(site) == before
    return code, [line.removeprefix(f"{scans}:") for line in (said + wrong).splitlines()]


def test_a_walk_is_shown_then_entered(site, tmp_path):
    """Each scan is what was seen hanging, with place, day and name where the line gives them; it is shown, and entered with --yes."""
    notice, sign, card = (code_of(site, name) for name in ("contractor-notice", "bay-sign.B1", "rescue-card.B2"))
    assert " CONTRACTOR-NOTICE EN REV 1 " in notice
    lines = (f"{notice}; GATE-1; 2026-11-10; J. Whitlow", "", sign, f"  {card.lower()}\tcard-2", f"{notice},BAY-1,,Whitlow, J.")
    code, said = walked(site, tmp_path, *lines)
    assert code == 0
    assert said[-1].startswith("4 entries for ")
    marks = ["".join(one.split()[-3:]).lower() for one in (notice, sign, card)]
    shown = [f"{m[:4]} {m[4:8]} {m[8:]}" for m in marks]
    assert said[0].replace('"', "") == (  # a mark that could be read as a figure stands in quotes
        f"- {{kind: posting, on: 2026-11-10, by: J. Whitlow, place: GATE-1, document: contractor-notice, language: en, revision: 1, foot_mark: {shown[0]}, what: seen}}"
    )
    assert "place: SIGN-1, document: bay-sign, language: en, revision: 1" in said[1]
    assert "on: 2026-11-12, by: L. Brandt, place: CARD-2, document: rescue-card" in said[2]
    assert 'by: "Whitlow, J."' in said[3] or "by: Whitlow, J." in said[3]
    assert run("log", str(site), "posting", "--from", str(tmp_path / "scans.txt"), "--by", "L. Brandt", "--yes", *DAY)[0] == 0
    checked = check_site(site, LATER)
    assert {p: checked.happened.hangs(p).revision for p in ("GATE-1", "SIGN-1", "CARD-2", "BAY-1")} == dict.fromkeys(
        ("GATE-1", "SIGN-1", "CARD-2", "BAY-1"), 1
    )
    assert checked.happened.hangs("SIGN-1").foot_mark == shown[1]


def test_an_old_revision_and_a_draft_are_found_with_their_place(story, tmp_path):
    """What hangs and is not in force is a finding at its place once the walk is entered; what is in force is none."""
    folder = shutil.copytree(story["site"], tmp_path / "site")
    first, second = read_records(folder, "harrow-ridge").issued
    marks = {(r.revision, t.document): short_digest(t.digest) for r in (first, second) for t in r.texts}
    scans = tmp_path / "scans.txt"
    lines = (
        PaperCode("HR-FP-01", "rescue-card.B1", "en", 1, marks[1, "rescue-card.B1"]).text,
        PaperCode("HR-FP-01", "rescue-procedure", "en", 2, marks[2, "rescue-procedure"]).text,
        PaperCode("HR-FP-01", "bay-sign.B1", "en", 1, marks[1, "bay-sign.B1"]).text,
        PaperCode("HR-FP-01", "contractor-notice", "en", None, "0123 4567 89ab").text + "; BAY-2",
    )
    scans.write_text("\n".join(lines), encoding="utf-8")
    assert run("log", str(folder), "posting", "--from", str(scans), "--by", "L. Brandt", "--yes", *DAY)[0] == 0
    found = {f.name: f.values for f in check_site(folder, LATER).assessed.findings}
    assert (found["posted-differs"]["posting"], found["posted-differs"]["revision"], found["posted-differs"]["current"]) == (
        "CARD-1",
        1,
        2,
    )
    assert (found["posting-draft"]["posting"], found["posting-draft"]["mark"]) == ("BAY-2", "0123 4567 89ab")


NOTICE_CODE = "HR-FP-01 CONTRACTOR-NOTICE EN REV 1 0000 0000 0000"
SCANS = (
    ("beer", "1:1: no code of a paper begins here; a line is the text of the code as the telephone shows it"),
    ("   HR-FP-01 CONTRACTOR-NOTICE EN REV 1", "1:4: no code of a paper begins here"),
    ("HR-FP-01 SHIFT-SHEET EN 2026-02-30", "1:1: no code of a paper begins here"),
    (
        NOTICE_CODE,
        "1:1: the contractor-notice of this site was never issued as revision 1 with the mark 0000 0000 0000; issued: 1 (",
    ),
    (
        "HR-FP-01 CONTRACTOR-NOTICE EN REV 7 0000 0000 0000",
        "1:1: the contractor-notice of this site was never issued as revision 7",
    ),
    (
        "XX-9 CONTRACTOR-NOTICE EN REV 1 0000 0000 0000",
        "1:1: the papers of this site have the number HR-FP-01, and this one has XX-9",
    ),
    ("CONTRACTOR-NOTICE EN REV 1 0000 0000 0000", "1:1: the papers of this site have the number HR-FP-01, and this one has -"),
    (
        "HR-FP-01 CONTRACTOR-NOTE EN DRAFT 0000 0000 0000",
        "1:1: no paper is called contractor-note; the papers are contractor-notice, bay-sign",
    ),
    ("HR-FP-01 TRAINING-RECORD EN 2026-11-01", "1:1: no paper is called training-record"),
    (
        "HR-FP-01 CLOSURE-SHEET.B1 EN 2026-11-01",
        "1:1: the profile has no place for the closure-sheet.B1 (en); add one under posting",
    ),
    ("{notice}", "1:1: the contractor-notice hangs at several places: GATE-1, BAY-1, BAY-2; write after the code"),
    ("{notice}; SIGN-1", "1:{after}: at SIGN-1 hangs the bay-sign.B1 by the profile, and this is the contractor-notice (en)"),
    ("{notice}; GATE-7", "1:{after}: "),
    ("{notice}; GATE-1; 1.11.2026", "1:{day}: "),
    ("{notice}; GATE-1; 2027-01-01", "1:{day}: "),
    ("{notice}; GATE-1; 2026-11-10; L. Brandt; more", "1:{more}: behind the code stand at most three things"),
    ("{notice}; GATE\u200b-1", "1:1: this cell holds the sign U+200B, which nobody sees"),
)


@pytest.mark.parametrize(("line", "said"), SCANS, ids=[str(n) for n in range(len(SCANS))])
def test_a_scan_that_is_wrong_is_told_at_its_place(site, tmp_path, line, said):
    """One clear message with line and column; nothing of the file is entered, the good line before it neither."""
    notice = code_of(site, "contractor-notice")
    n = len(notice)
    told = said.replace("{after}", str(n + 3)).replace("{day}", str(n + 11)).replace("{more}", str(n + 34))
    sign = code_of(site, "bay-sign.B1")
    code, lines = walked(site, tmp_path, sign, line.replace("{notice}", notice))
    assert code == 1
    assert lines[0].startswith(told.replace("1:", "2:", 1)), lines
    assert lines[-1] == "nothing was entered: 1 thing to put right"


def test_a_table_of_postings_is_still_a_table(site, tmp_path):
    """A file with the fields of the entry in its first line is read as a table, one of scans is not, and an empty one is refused."""
    rows = ("place,document,language,revision,what,on,by", "GATE-1,contractor-notice,en,1,hung,2026-11-10,L. Brandt")
    code, said = walked(site, tmp_path, *rows, options=())
    assert (code, said[-1].split(" ")[0]) == (0, "1")
    assert walked(site, tmp_path, "", options=())[0] == 2
