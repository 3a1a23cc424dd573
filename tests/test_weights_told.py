"""Sixty ways to write one weight of the private file: none of them stands in an output, a log or a record, and no command takes one.

That exact weights identify people indirectly: 29 CFR 1913.10(b)(2) (read). The forms are those of a keyboard, a word processor and a
chat; the figures are the exact pound of 0.45359237 kg.
"""

from __future__ import annotations

import json
import os
import re
import shutil
from pathlib import Path

import pytest
from control_site import FIRST, new_site
from support import AS_OF, run
from test_private import texts_of

from docgen.control.comments import comments_of
from docgen.errors import Refusal
from docgen.pipeline import check_site, guard_of
from docgen.profile import read_site
from docgen.revisions import issue_site
from docgen.signs import misread, unseen
from docgen.weighed import figures

POUND = 0.45359237
WEIGHT, KG = 187.3, 187.3 * POUND  # 84.958 kg: no limit or rating of the demo lies near it
FORMS = (
    "187.3 lb", "187.30 lb", "187.300 lb", "187.3lb", "187.3 lbs", "187.3 lbs.", "187.3 LB", "187.3-lb", "187.3 (lb)", "187.3 pounds", "187.3 #",
    "187.3 lbm", "187.3 lbf", "187.3-pounder", "lb 187.3", "lbs: 187.3", "lb=187.3", "187,3 lb", "187·3 lb", "187‧3 lb", "187.3\u00a0lb", "187.3\u2002lb",
    "187.3&nbsp;lb", "187.3&#160;lb", "187.3\u2013lb", "187.3\u2010lb", "187.3\u2212lb", "**187.3** lb", "`187.3` lb", "<b>187.3</b> lb", "187\\.3 lb",
    "１８７.３ lb", "１８７．３ lb", "١٨٧٫٣ lb", "1 8 7 . 3 lb", "187 3/10 lb", "187 and 3/10 lb", "187½ lb", "187⅓ lb", "187 lb", "188 lb", "187 to 188 lb", "190 lb",
    "185 lb", "187 lb 5 oz", "2997 oz", "84.958 kg", "84.96 kg", "84.9 kg", "85.0 kg", "85 kg", "84 kilos", "84.96 kilogrammes", "84,96 kg", "84960 g", "833 N",
    "13 st 5 lb", "13 st 5", "13.4 stone", "one hundred eighty-seven pounds", "a hundred and eighty-seven point three lb", "one eighty-seven lb",
    "eighty-five kilos", "weight 187.3", "weight 187", "187.3", "weighs in at 187",
)  # fmt: skip
#: What stands near a weight and is none.
OTHERS = (
    "310 lb", "The limit is 310 lb (140.6 kg)", "130 lb", "1,800 lbf", "187 ft", "187.3 ft", "call 555-0187", "page 187", "187", "bay 84 and 85", "D1-18730",
    "on 2026-11-01", "8 kN", "84 in", "187 days", "two people", "one hundred", "187.3 mm", "84.96 %", "25 ft 6 in",
)  # fmt: skip


@pytest.fixture(scope="module")
def site(tmp_path_factory) -> Path:
    """The full demo, with a weight in the private file that nobody has written anywhere else."""
    site = new_site(tmp_path_factory.mktemp("told"))
    keep(site)
    return site


def keep(site: Path) -> None:
    (site / "private.yaml").write_text(
        f"people:\n  U-01: {{weight: {WEIGHT} lb, with_tools: {WEIGHT} lb, on: 2026-09-02}}\n", encoding="utf-8"
    )


@pytest.fixture(scope="module")
def guard(site):
    return guard_of(check_site(site, AS_OF))


def test_there_are_sixty_forms():
    """Sixty different ones, at least."""
    assert len(set(FORMS)) >= 60


@pytest.mark.parametrize("form", FORMS)
def test_a_form_is_known_wherever_it_is_typed(form, guard):
    """In a text of its own, after the code of a user, and in the middle of a sentence."""
    assert guard.told_in(form, free=True)
    assert guard.told_in(f"U-01 is {form}")
    assert guard.told_in(f"Seen at the gate: he has {form}, as of the scale")


@pytest.mark.parametrize(
    "text", ["187 for U-01", "U-01: one hundred eighty-seven", "One eighty-seven is what U-01 had", "U\u201101 (187)"]
)
def test_a_code_and_a_figure_tell_it_whatever_stands_first(text, guard):
    """In a text typed for a record: before the code or behind it, in words or in digits, and with no unit; no bare figure beside another code."""
    assert guard.told_in(text, free=True)
    assert not guard.told_in(text.replace("01", "02"), free=True)


@pytest.mark.parametrize("other", OTHERS)
def test_other_figures_are_left_alone(other, guard):
    """Limits, lengths, numbers of pages and telephones tell nothing, with a weight of the file beside them."""
    assert not guard.told_in(f"Posted here: {other}")


def test_a_figure_is_what_rounds_to_it():
    """By hand: 13 st 5 lb are 187 lb; 187 lb are 84.822 kg; what rounds or is cut to 187 lb lies between 186 and 188."""
    told = figures("187 lb")[0]
    assert told.value == pytest.approx(84.822, abs=0.001)
    assert (told.low, told.high) == (pytest.approx(186 * POUND), pytest.approx(188 * POUND))
    assert figures("13 st 5 lb")[0].value == pytest.approx(84.822, abs=0.001)
    assert figures("833 N")[0].value == pytest.approx(84.943, abs=0.001)


def test_a_text_that_is_a_figure_is_no_limit(tmp_path):
    """Only where the schema asks for a mass does a figure count as a limit; a text that is nothing but a weight tells one."""
    site = new_site(tmp_path)
    keep(site)
    swap_in(site, "storage: Harnesses hang in the ready room", f"storage: {WEIGHT} lb on the ready room scale")
    profile = read_site(site)
    assert profile.withheld
    assert not {p for p in profile.problems}
    (site / "profile.yaml").unlink()
    shutil.copy(new_site(tmp_path / "again") / "profile.yaml", site / "profile.yaml")
    swap_in(site, "storage: Harnesses hang in the ready room", 'storage: "187.3 lb"')
    assert "187" not in run("check", str(site), "--as-of", AS_OF.isoformat())[1]


def swap_in(site: Path, old: str, new: str) -> None:
    path = site / "profile.yaml"
    text = path.read_text(encoding="utf-8")
    start = text.index(old)
    end = text.index("\n", start)
    path.write_text(text[:start] + new + text[end:], encoding="utf-8")


SAID = ("U-01 weighs {}", "{}", "Taken with {} on the line")
DAY = ("--on", "2026-11-01")
COUNSEL = ("--document", "contractor-notice", "--role", "counsel")
#: Command, its other words, and the option that holds the text.
TYPED = [
    ("approve", (*COUNSEL, "--by", "A. Petrie", *DAY), "--note"),
    ("approve", (*COUNSEL, "--by", "A. Petrie", *DAY), "--entered-by"),
    ("approve", (*COUNSEL, "--by", "A. Petrie", *DAY), "--licence"),
    ("approve", (*COUNSEL, "--by", "A. Petrie", *DAY), "--jurisdiction"),
    ("approve", (*COUNSEL, "--by", "A. Petrie", *DAY), "--scope"),
    ("approve", (*COUNSEL, *DAY), "--by"),
    ("issue", DAY, "--reason"),
    ("issue", DAY, "--by"),
    ("withdraw", ("1", "--by", "R. Oduya", *DAY), "--reason"),
    ("withdraw", ("1", "--reason", "Wrong", *DAY), "--by"),
    ("hold", ("on", "--by", "A. Petrie", *DAY), "--reason"),
    ("hold", ("on", "--reason", "Claim", *DAY), "--by"),
    ("replace", ("D-1", "--by", "D-3", *DAY), "--reason"),
    ("replace", ("D-1", "--by", "D-3", *DAY), "--name"),
    ("log", ("meeting", "--by", "L. Brandt", "--as-of", "2026-11-01"), "--note"),
    ("log", ("meeting", "--as-of", "2026-11-01"), "--by"),
    ("log", ("meeting", "--by", "L. Brandt", "--corrects", "5", "--as-of", "2026-11-01"), "--reason"),
    ("log", ("near-miss", "--by", "L. Brandt", "--as-of", "2026-11-01"), "text="),
]  # fmt: skip


def state_of(site: Path) -> dict[str, bytes]:
    return {str(p.relative_to(site)): p.read_bytes() for p in sorted(site.rglob("*")) if p.is_file()}


@pytest.mark.parametrize(("command", "words", "option"), TYPED, ids=[f"{c} {o}" for c, _, o in TYPED])
def test_no_command_takes_a_weight(command, words, option, site):
    """A text that tells a weight is refused by its option, repeated nowhere, and nothing is written; several forms for each option."""
    before = state_of(site)
    number = TYPED.index((command, words, option))
    for form in (FORMS[number * 3 % len(FORMS)],):
        text = SAID[number % len(SAID)].format(form)
        given = (f"{option}{text}",) if option.endswith("=") else (option, text)
        code, out, err = run(command, str(site), *words, *given)
        said = out + err
        assert code != 0, (form, said)
        assert "tells what a person weighs" in said or "looks like" in said, (
            form,
            said,
        )  # signs that look like others are refused first
        assert not re.search(r"187|84[.,]9|188|190", said.replace(str(site), "")), said
        if not option.endswith("=") and command != "log" and "looks like" not in said:
            assert f"{option} holds it" in said
    assert state_of(site) == before


def test_a_reason_of_a_correction_is_refused_as_the_reason(site):
    """The one fault names the option, before any entry is made of it."""
    code, out, err = run(
        "log",
        str(site),
        "meeting",
        "--by",
        "L. Brandt",
        "--corrects",
        "5",
        "--reason",
        "U-01 weighs 187.3 lb",
        "--as-of",
        "2026-11-01",
    )
    told = [line for line in (out + err).splitlines() if "tells what a person weighs" in line]
    assert code == 1
    assert len(told) == 1
    assert told[0].startswith("reason")


@pytest.mark.parametrize("form", FORMS[:3])
def test_no_author_of_tracked_changes_tells_a_weight(form, approved, tmp_path):
    """The author stands in every mark of a redline: a weight there is refused by its option, and no file is written."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    keep(site)
    _, against = issue_site(check_site(site, FIRST), site, ("md", "docx"), "en")
    assert against == ()
    swap_in(site, "appeal: Appeal to the safety manager", "appeal: Appeal to the terminal manager")
    into = tmp_path / "out"
    code, out, err = run(
        "changes", str(site), "--into", str(into), "--redline", "--author", f"U-01 {form}", "--as-of", "2026-11-02"
    )
    assert code == 2, (code, out, err)
    assert "--author holds it" in out + err
    assert "187" not in (out + err).replace(str(site), "")
    assert not into.exists()


def test_no_cell_of_a_table_takes_a_weight(site, tmp_path):
    """Every form in a row of its own: each is a fault at its cell, and nothing is entered."""
    table = tmp_path / "entries.csv"
    forms = [form for form in FORMS if misread(form) is None and unseen(form) is None]  # the others are refused for their signs
    rows = [f'near-miss,2026-10-0{1 + n % 9},L. Brandt,"Slip of U-01, {form}"' for n, form in enumerate(forms)]
    table.write_text("kind,on,by,text\n" + "\n".join(rows) + "\n", encoding="utf-8")
    before = (site / "log.yaml").read_bytes()
    code, out, err = run("log", str(site), "--from", str(table), "--yes", "--as-of", "2026-11-01")
    assert code == 1, err
    lines = {int(m[1]) for m in re.finditer(r"entries\.csv:(\d+):\d+: ", out)}
    assert lines == set(range(2, len(forms) + 2))
    assert "187.3" not in out + err
    assert (site / "log.yaml").read_bytes() == before


def test_no_form_reaches_an_output(tmp_path):
    """All forms in texts of profile and log, a field each as far as fields go: what is printed and written holds none of them."""
    site = new_site(tmp_path)
    keep(site)
    log = site / "log.yaml"
    told = [json.dumps(f"U-01 {form}", ensure_ascii=False) for form in FORMS if misread(form) is None and unseen(form) is None]
    assert len(told) > 60
    entries = "".join(f"  - {{kind: near-miss, on: 2026-10-30, by: L. Brandt, text: {text}}}\n" for text in told)
    log.write_text(log.read_text(encoding="utf-8") + entries, encoding="utf-8")
    swap_in(site, "storage: Harnesses hang", f"storage: {told[0]}")
    swap_in(site, "appeal: Appeal to the safety manager", f"appeal: {told[40]}")
    code, out, err = run("render", str(site), "--into", str(tmp_path / "out"), "--types", "md,html", "--as-of", "2026-11-01")
    assert code == 1, err
    said = run("check", str(site), "--format", "json", "--as-of", "2026-11-01")[1]
    assert said.count("weight-in-log") == len(told)
    texts = {**texts_of(tmp_path / "out"), "said": out + err + said}
    assert [
        n for n, text in texts.items() if re.search(r"187[.,]3|84[.,]9[56]|84960|U-01 (?:is )?(?:\d|one|a hundred|eighty)", text)
    ] == []


@pytest.mark.parametrize("form", [f for f in FORMS if misread(f) is None and unseen(f) is None][::20])
def test_no_difference_repeats_a_weight(form, tmp_path):
    """What replace, tidy and a table would change in the profile is shown line by line, without a line that tells a weight."""
    site = new_site(tmp_path)
    keep(site)
    text = (site / "profile.yaml").read_text(encoding="utf-8")
    told = json.dumps(f"Manual for U-01, {form}", ensure_ascii=False)
    text = text.replace("manual: Device manual rev 7", f"manual: {told}", 1).replace("standard: ANSI", "standard:  ANSI")
    (site / "profile.yaml").write_text(
        text.replace("arrest_distance: {value: 30 in", "arrest_distance: {value: 30in", 1), encoding="utf-8"
    )
    table = tmp_path / "equipment.csv"
    day = ("--as-of", "2026-11-01")
    assert run("sheet", str(site), "equipment", "--into", str(table), *day)[0] == 0
    cells = table.read_text(encoding="utf-8-sig")
    table.write_text(cells.replace("Device manual rev 7", "Device manual rev 8"), encoding="utf-8-sig")
    shown = [
        run("replace", str(site), "D-1", "--by", "D-9", "--reason", "Worn", "--preview", "--on", "2026-11-01"),
        run("tidy", str(site)),
        run("sheet", str(site), "equipment", "--from", str(table), *day),
    ]
    for code, out, err in shown:
        assert code == 0, (out, err)
        assert re.search("^[+-] ", out, re.MULTILINE)
        assert form not in out
        assert json.dumps(form, ensure_ascii=False)[1:-1] not in out
    assert "is not repeated here" in shown[0][1]


def test_no_line_that_is_tidied_repeats_a_weight(tmp_path):
    """Quotation marks that are put straight round a text that tells a weight: the line is counted and not shown."""
    site = new_site(tmp_path)
    keep(site)
    swap_in(site, "manual: Device manual rev 7", "manual: \u201cManual for U-01, 187.3 lb\u201d")
    code, out, err = run("tidy", str(site))
    assert (code, err) == (0, "")
    assert out.count("is not repeated here") == 2  # as it is and as it would be
    assert "187" not in out.replace(str(site), "")


def test_a_comment_that_tells_a_weight_is_refused_at_issue(approved, tmp_path):
    """With the private file and without it; the message says where and what to do, and no approval lapses by taking it out."""
    for number, (comment, private) in enumerate((("# U-01 weighs 187.3 lb", False), ("# the big one: 84.96 kg", True))):
        site = Path(shutil.copytree(approved, tmp_path / str(number)))
        if private:
            keep(site)
        for name in ("profile.yaml", "log.yaml"):
            path = site / name
            clean = path.read_text(encoding="utf-8")
            path.write_text(f"{clean}{comment}\n", encoding="utf-8")
            revision, against = issue_site(check_site(site, FIRST), site, ("md",), "en")
            assert revision is None
            told = [r for r in against if r.name == "comment-tells-weight"]
            assert [r.values["place"] for r in told] == [f"{path}:{clean.count(chr(10)) + 1}:1"]
            assert len(against) == 1
            path.write_text(clean, encoding="utf-8")
    assert issue_site(check_site(site, FIRST), site, ("md",), "en")[1] == ()


def test_a_weight_in_the_log_is_refused_at_issue(approved, tmp_path):
    """It is told as a finding before, stops no paper, and stays out of every record."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    log = site / "log.yaml"
    log.write_text(
        log.read_text(encoding="utf-8")
        + "  - {kind: near-miss, on: 2026-10-30, by: L. Brandt, text: U-06 weighs 412 lb and slipped}\n",
        encoding="utf-8",
    )
    line = len(log.read_text(encoding="utf-8").splitlines())
    revision, against = issue_site(check_site(site, FIRST), site, ("md",), "en")
    assert revision is None
    assert [(r.name, str(r.values["place"]).rpartition(":")[0]) for r in against] == [("log-text-tells-weight", f"{log}:{line}")]


ODD = {
    "a folder": lambda p: p.mkdir(),
    "a link": lambda p: (p.with_name("kept").write_text("people: {}\n"), p.symlink_to(p.with_name("kept"))),
    "a broken link": lambda p: p.symlink_to(p.with_name("nowhere")),
    "a pipe": os.mkfifo,
    "private.yml": lambda p: p.with_name("private.yml").write_text("people: {}\n"),
    "Private.YAML.txt": lambda p: p.with_name("Private.YAML.txt").write_text("people: {}\n"),
    "private.csv": lambda p: p.with_name("private.csv").write_text("U-01;187.3\n"),
    "private.yaml.bak": lambda p: p.with_name("private.yaml.bak").write_text("people: {}\n"),
    "private-weights.yaml": lambda p: p.with_name("private-weights.yaml").write_text("people: {}\n"),
}  # fmt: skip


@pytest.mark.parametrize("made", ODD.values(), ids=ODD)
def test_what_stands_in_the_place_of_the_private_file(made, tmp_path):
    """A folder, a link, a pipe or a file with a name like it: one message at its place, and nothing is judged as if it were not there."""
    site = new_site(tmp_path)
    made(site / "private.yaml")
    code, out, err = run("check", str(site), "--as-of", AS_OF.isoformat())
    assert code == 1, err
    assert len(re.findall(r"private\.yaml:1:1: ", out)) == 1
    assert "187" not in out


def test_no_key_of_the_private_file_is_printed(tmp_path):
    """A name, a weight or a code that nobody has, before the colon: told by its line alone, on every paper too."""
    for number, key in enumerate(("John Q. Heavy", "187.3 lb", "JohnHeavy", "U-77")):
        site = new_site(tmp_path / str(number))
        (site / "private.yaml").write_text(
            f"people:\n  U-01: {{weight: 200 lb, with_tools: 210 lb}}\n  {key}: {{weight: 200 lb, with_tools: 210 lb}}\n",
            encoding="utf-8",
        )
        out = tmp_path / f"out{number}"
        said = "".join(run("check", str(site), "--as-of", AS_OF.isoformat(), "--format", form)[1] for form in ("text", "json"))
        _, printed, err = run("render", str(site), "--into", str(out), "--types", "md,html", "--as-of", AS_OF.isoformat())
        texts = {"said": said + printed + err, **(texts_of(out) if out.exists() else {})}
        assert [name for name, text in texts.items() if key in text] == []
        assert re.search(r"private\.yaml:3|line 3 of the private file", said)
        assert ("is no code of a user" in " ".join(said.split())) == (number < 2)


def test_a_refusal_repeats_nothing(site):
    """What stands against it is named by its option, and its values hold no word of the text."""
    from docgen.control.untold import untold

    guard = guard_of(check_site(site, AS_OF))
    with pytest.raises(Refusal) as seen:
        untold(guard, entered_by="U-01, 187.3 lb")
    assert seen.value.values == {"option": "entered-by"}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("# first\n", [("# first", 1, 1)]),
        ("a: é # x\nb: '😀 # no' # yes\n", [("# x", 1, 6), ("# yes", 2, 13)]),
        ("a: |\n  x # in\n  y\n# out\nb: 1", [("# out", 4, 1)]),
        ("k: >-\n  t\n\n# c\nm: 2\n", [("# c", 4, 1)]),
        ('a: "x\n  y # q" # z\n', [("# z", 2, 10)]),
        ("a:    # nothing\nb: [1, 2] # d\nc: x#y\n", [("# nothing", 1, 7), ("# d", 2, 11)]),
        ("\ufeffa: 1 # b\n", [("# b", 1, 7)]),
    ],
)
def test_comments_are_found_where_they_stand(text, found):
    """Each comment with its line and column, whatever signs come before it; a sign within a value begins none."""
    assert [(c.text, c.line, c.column) for c in comments_of(text)] == found
