"""docgen sheet: a table of a site goes out as CSV or XLSX and comes back; what nobody changed changes nothing, what is wrong is told at its cell.

Expected by hand. Workbooks of other programs are made here with openpyxl or zipfile, cell by cell.
"""

import copy
import csv
import io
import json
import random
import re
import shutil
import sys
import zipfile
from datetime import date, datetime
from pathlib import Path

import pytest
from support import SITES, run

from docgen.control.cells import shielded, unshielded
from docgen.control.table import read_table
from docgen.control.workbook import Head, workbook_bytes
from docgen.errors import Refusal
from docgen.profile import read_site
from docgen.read import read_text
from docgen.sheets.columns import columns_of
from docgen.sheets.kinds import KINDS, entry_rows, sheet_of
from docgen.sheets.taken import entries_of, taken
from docgen.sheets.written import as_csv, as_workbook, beside, column_name, title_of
from docgen.words import words

openpyxl = pytest.importorskip("openpyxl")
DEMOS = ("harrow-ridge", "pellan-creek", "sable-point")
DAY = ("--as-of", "2026-11-12")


@pytest.fixture
def folder(tmp_path):
    """A copy of the thin demo."""
    return shutil.copytree(SITES / "sable-point", tmp_path / "site")


@pytest.fixture(scope="module")
def sites():
    """Each demo, read once."""
    return {name: read_site(SITES / name) for name in DEMOS}


def written(sheet, tmp_path):
    """The sheet as both kinds of file, read again."""
    for name, data in (("t.csv", as_csv(sheet, "en", file=True).encode("utf-8")), ("t.xlsx", as_workbook(sheet, "en", {}))):
        path = tmp_path / name
        path.write_bytes(data)
        yield read_table(path, title_of(sheet.kind, "en"), beside("en"))


def text_of(folder, name="profile.yaml"):
    return (folder / name).read_bytes().decode("utf-8")


def given(folder, kind, text, *more):
    """A CSV read back: exit code, and the lines that are said, places without folders."""
    path = folder.parent / "t.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    code, out, err = run("sheet", str(folder), kind, "--from", str(path), *DAY, *more)
    assert err == ""
    return code, out.replace(f"{folder.parent}/", "").replace(f"{folder}/", "")


def book(path, rows, title="Equipment"):
    """A workbook of one sheet, as somebody types it."""
    made = openpyxl.Workbook()
    made.active.title = title
    for row in rows:
        made.active.append(row)
    made.save(path)
    return made


# --- out and in again -------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("kind", KINDS)
def test_what_nobody_changed_changes_nothing(demo, kind, sites, tmp_path):
    """Of each kind of table, as CSV and as XLSX: every row is as it was, nothing is told."""
    sheet = sheet_of(sites[demo], KINDS[kind], "en")
    for table in written(sheet, tmp_path):
        assert len(table.rows) == len(sheet.rows)
        if KINDS[kind].entry is None:
            made = taken(sites[demo], KINDS[kind], table, "en")
            assert (made.new, made.faults, made.notes, made.same) == (made.old, (), (), len(sheet.rows))
        else:
            told = entries_of(sites[demo], KINDS[kind], table, "en")
            known = len(entry_rows(sites[demo], KINDS[kind]))
            assert (told.given, told.faults, told.same) == ((), (), known)
            assert [n.values["n"] for n in told.notes] == ([len(sheet.rows) - known] if len(sheet.rows) > known else [])


@pytest.mark.parametrize("demo", ["harrow-ridge", "pellan-creek"])
@pytest.mark.parametrize("kind", ["equipment", "people"])
def test_a_profile_is_built_anew_out_of_its_tables(kind, demo, sites, tmp_path):
    """Without its equipment, or its people, the profile gets every one of them back, value for value."""
    site = shutil.copytree(SITES / demo, tmp_path / "site")
    text = text_of(site)
    if kind == "equipment":
        bare = re.sub(r"(?m)^equipment:\n(?:[ #].*\n|\n)*", "", text)
    else:
        bare = re.sub(r"(?m)^  (users|rescuers):\n(?:    .*\n)*", "", text)
        bare = re.sub(r", holders: \[[^\]]*\]", "", bare)
    assert len(bare) < len(text) - 500
    (site / "profile.yaml").write_text(bare, encoding="utf-8")
    table = next(written(sheet_of(sites[demo], KINDS[kind], "en"), tmp_path))
    made = taken(read_site(site, log=False), KINDS[kind], table, "en")
    assert made.faults == ()
    assert read_text(made.new).data == read_text(text).data


def test_a_workbook_holds_text_lists_and_what_each_column_is(sites, tmp_path):
    """Every cell is a text, the head stays in sight, fixed words and ids are offered, and the page beside it has a line for each column."""
    sheet = sheet_of(sites["harrow-ridge"], KINDS["equipment"], "en")
    path = tmp_path / "t.xlsx"
    path.write_bytes(as_workbook(sheet, "en", {"roles": ("gate", "trainer")}))
    made = openpyxl.load_workbook(path)
    assert made.sheetnames == ["Equipment", "What each column is", "Fixed words"]
    front = made["Equipment"]
    assert front.freeze_panes == "C2"
    cells = [c for row in front.iter_rows() for c in row if c.value is not None]
    assert {(c.data_type, c.number_format, c.quotePrefix) for c in cells} == {("s", "@", True)}
    paths = [c.path for c in sheet.columns]
    offered = {str(rule.sqref).partition("2:")[0]: rule.formula1 for rule in front.data_validations.dataValidation}
    letter = openpyxl.utils.get_column_letter
    for name, first in (("kind", "structure"), ("line_material", "wire rope"), ("spare", "true"), ("inspection.by", "gate")):
        column = re.search(r"\$([A-Z]+)\$2", offered[letter(paths.index(name) + 1)])[1]
        assert made["Fixed words"][f"{column}2"].value == first
    guide = [[c.value for c in row] for row in made["What each column is"].iter_rows()]
    assert [row[0] for row in guide][-len(paths) :] == [c.value for c in front[1]]
    assert next(row[3] for row in guide if row[0] == "kind of item (kind)") == "must"
    assert all(front.column_dimensions[letter(n)].width <= 38 for n in range(1, len(paths) + 1))


def test_every_column_has_the_trade_s_name():
    """No two columns of a kind of record are called alike, so that a heading without its path is found too; no name is idle."""
    found = set()
    for kind in KINDS.values():
        for record in (*(p.record for p in kind.places), *filter(None, (kind.entry,))):
            names = [column_name(c.path, "en").casefold() for c in columns_of(record, {"formerly.1.name"})]
            assert len(names) == len(set(names)), names
            found |= {re.sub(r"\.[0-9]+", "", c.path) for c in columns_of(record, {"formerly.1.name", "part_of"})}
    known = {n for n in words("en")["sheets"]["columns"] if not n.startswith("evidence.")}
    assert known - found - {"site", "row", "mark", "about", "edge_use"} == set()


def test_what_is_typed_survives(tmp_path):
    """Texts with quotation marks, line breaks, separators, other alphabets, leading zeros and what a spreadsheet would run, in both kinds of file and in the profile."""
    random.seed(160)
    parts = ['"', "'", ";", ",", "\t", "\n", "=", "+", "-", "@", "00123", "1/2", "SEP-1", "1E5", " ", "é", "漢", "Ω", "°F", "#", ": ", "{", "_x0041_", "cmd|' /C calc'!A0", "D-1", "x"]  # fmt: skip
    texts = ["=cmd", "@sum", "-1", "+1 555-0143", "'=1", "''00123", "00123", "3-12", "2024-03", "_x000D_", "null", "true", "1.0"]
    texts += ["".join(random.choice(parts) for _ in range(random.randint(1, 8))) for _ in range(100)]
    texts = [t for t in texts if t.strip(" \n\t")]
    assert [unshielded(shielded(t)) for t in texts] == texts
    for first in ("=1", "@x", "+1", "-1", "2026-11-01", "4-May", "06:00", "7.0", "SEP-1", "3/4"):
        assert shielded(first).startswith("'")
    folded = [" ".join(t.split()) for t in texts]
    stream = io.StringIO()
    csv.writer(stream).writerows([["id", "name"], *([f"X-{n}", shielded(t)] for n, t in enumerate(texts))])
    (tmp_path / "t.csv").write_text(stream.getvalue(), encoding="utf-8", newline="")
    rows = [[f"X-{n}", t] for n, t in enumerate(texts)]
    (tmp_path / "t.xlsx").write_bytes(workbook_bytes("T", [Head("id", 9, True), Head("name", 9, False)], rows, [], "W"))
    for name in ("t.csv", "t.xlsx"):
        assert [row[1].text for row in read_table(tmp_path / name).rows] == folded
    site = shutil.copytree(SITES / "sable-point", tmp_path / "site")
    stream = io.StringIO()
    said = [t for t in folded if t not in ("-", "unknown")]
    csv.writer(stream).writerows(
        [["id", "kind", "name", "serial"], *([f"X-{n}", "tagline", shielded(t), shielded(t)] for n, t in enumerate(said))]
    )
    code, out = given(site, "equipment", stream.getvalue(), "--yes")
    assert code == 0, out
    parts = read_site(site).source.data["equipment"][4:]
    assert [(p["name"], p["serial"]) for p in parts] == [(t, t) for t in said]
    for table in written(sheet_of(read_site(site), KINDS["equipment"], "en"), tmp_path):
        made = taken(read_site(site), KINDS["equipment"], table, "en")
        assert (made.changed, made.faults) == ((), ())


# --- what changes -----------------------------------------------------------------------------------------------------------------------

HEAD = (
    "id,kind,capacity.min,capacity.max,capacity.max.how,arrest_distance,arrest_distance.how,line_length,serial,unsuitable_for\n"
)
CHANGES = [
    ("SRD,,,,,,,,00123,\n", {"- SRD": ", line_length: 30 ft}", "+": ', serial: "00123"'}),
    ("SRD,,,,,40 in,,,,\n", {"-": "arrest_distance: {value: 42 in, how: label}", "+": "arrest_distance: {value: 40 in, how: label}"}),
    ("SRD,,,,,,-,,,\n", {"-": "arrest_distance: {value: 42 in, how: label}", "+": "arrest_distance: 42 in"}),
    ("SRD,,,,,,,-,,\n", {"-": ", line_length: 30 ft", "+": "arrest_distance: {value: 42 in, how: label}}"}),
    ("SRD,,,,,,,unknown,,\n", {"-": "line_length: 30 ft", "+": "line_length: unknown"}),
    ('SRD,,,,,,,"unknown; asked: maker; on: 2026-11-03",,\n', {"+": "line_length: {unknown: {asked: maker, on: 2026-11-03}}"}),
    ("HARNESS,,-,,,,,,,\n", {"-": "capacity: {min: 130 lb, max: 310 lb}", "+": "capacity: {max: 310 lb}"}),
    ("HARNESS,,,,label,,,,,\n", {"+": "capacity: {min: 130 lb, max: {value: 310 lb, how: label}}"}),
    ("RAIL,,,400 lb,,,,,,caustic; acid\n", {"+": "capacity: {max: 400 lb}", "+ ": "unsuitable_for: [caustic, acid]"}),
    ("D-9,srd,,310 lb,,,,,00123,\n", {"+": '- {id: D-9, kind: srd, serial: "00123", capacity: {max: 310 lb}}'}),
]  # fmt: skip


@pytest.mark.parametrize(("row", "said"), CHANGES, ids=[row.strip() for row, _ in CHANGES])
def test_one_cell_changes_one_value(row, said, folder):
    """Shown first as a difference, written with --yes; every other line stays as it is."""
    before = text_of(folder)
    code, out = given(folder, "equipment", HEAD + row)
    assert (code, text_of(folder)) == (0, before)
    assert "nothing is written yet; with --yes it goes into site/profile.yaml" in out
    assert given(folder, "equipment", HEAD + row, "--yes")[0] == 0
    old, new = before.splitlines(), text_of(folder).splitlines()
    lines = [line for line in new if line not in old]
    assert len(lines) == 1
    for sign, words_of in said.items():
        assert words_of in ("\n".join(line for line in old if line not in new) if sign.startswith("-") else lines[0])
    assert given(folder, "equipment", HEAD + row)[1].endswith("there is nothing to write\n")
    assert not read_site(folder).problems


BLOCK = """
equipment:
  # the device
  - id: SRD  # hung in spring
    kind: srd
    capacity:
      min: 130 lb  # label
      # the upper one
      max: 310 lb
    manual: |
      Manual of the
      device
    # last of the device
  - {id: RAIL, kind: rail, rated_users: 1}  # north
  - {id: TROLLEY, kind: trolley}
  - {id: HARNESS, kind: harness}
systems:"""


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_comments_order_and_line_ends_stay(newline, folder):
    """In an entry on lines of its own, values are put in their place by the order of the declaration; what would lose a comment is refused."""
    text = re.sub(r"\nequipment:\n(?:  .*\n)*systems:", lambda _: BLOCK, text_of(folder))
    (folder / "profile.yaml").write_bytes(text.replace("\n", newline).encode("utf-8"))
    head = "id,kind,class,capacity.min,capacity.max,serial,line_length,manual\n"
    row = "SRD,srd,Class 1,120 lb,,S-1,30 ft,Manual of the device\nRAIL,rail,,,,R-7,,\n"
    code, out = given(folder, "equipment", head + row, "--yes")
    assert code == 0, out
    wanted = (
        BLOCK.replace("min: 130 lb", "min: 120 lb")
        .replace("    kind: srd\n", "    kind: srd\n    serial: S-1\n    class: Class 1\n")
        .replace("      max: 310 lb\n", "      max: 310 lb\n    line_length: 30 ft\n")
        .replace("kind: rail, rated", "kind: rail, serial: R-7, rated")
    )
    assert text_of(folder) == text.replace(BLOCK, wanted).replace("\n", newline)
    before = text_of(folder)
    path = folder.parent / "u.csv"
    path.write_text("id,capacity.min\nSRD,-\n", encoding="utf-8")
    code, _, err = run("sheet", str(folder), "equipment", "--from", str(path), "--yes", *DAY)
    assert (code, text_of(folder)) == (2, before)
    assert "would not be read back as meant (# label); nothing was written" in err


def test_what_is_left_out_takes_nothing_away(folder):
    """Rows that are gone, columns that are gone and cells that are empty; each but the columns is told."""
    before = text_of(folder)
    code, out = given(folder, "equipment", "id,kind,class,line_length\nSRD,srd,,\nRAIL,rail,,\n", "--yes")
    assert (code, text_of(folder)) == (0, before)
    assert "SRD: empty cells keep what is there (class, line_length); - takes it out" in out
    assert "in no row, so they stay as they are: TROLLEY, HARNESS; docgen replace" in out
    assert "0 come, 0 change, 2 are as they were" in out


def test_a_new_figure_with_the_old_evidence_is_told(sites):
    """Who read the old figure off did not read the new one."""
    site = sites["harrow-ridge"]
    text = "id,arrest_distance\nD-1,31 in\n"
    path = Path(site.folder)
    code, out, _ = run("sheet", str(path), "equipment", "--from", str(write_to(text)), *DAY)
    assert code == 0
    assert (
        "D-1: 'arrest_distance' is another figure now, and arrest_distance.how, arrest_distance.by, arrest_distance.on are still"
        in out
    )


def write_to(text, name="t.csv", *, folder=[]):  # noqa: B006
    """A file of a test without a folder of its own."""
    import tempfile

    if not folder:
        folder.append(Path(tempfile.mkdtemp()))
    path = folder[0] / name
    path.write_text(text, encoding="utf-8")
    return path


def test_people_come_where_nobody_was(folder):
    """A section that is not there is made; a holder goes to its role, a rescuer behind the climbers."""
    text = "row,id,name,from,shifts,methods\nclimber,U-01,,,,\nrescuer,RS-1,,,,\nholder,manager,K. Farrow,2027-01-01,,\n"
    code, out = given(folder, "people", text, "--yes")
    assert code == 0, out
    data = read_site(folder).source.data
    assert data["people"] == {"users": [{"id": "U-01"}], "rescuers": [{"id": "RS-1"}]}
    assert data["roles"][0]["holders"] == [
        {"name": "P. Lindqvist", "from": "2025-01-06"},
        {"name": "K. Farrow", "from": "2027-01-01"},
    ]
    assert "3 come, 0 change, 0 are as they were" in out
    assert "in no row, so they stay as they are: P. Lindqvist (manager); " in out


# --- what is wrong ----------------------------------------------------------------------------------------------------------------------

FAULTS = [
    ("equipment", "id,kind\nSRD,\n,harness\n", "t.csv:3:1: this row has no id; write the tag or code of the item"),
    ("equipment", "id,kind\nSRD,srd\nSRD,srd\n", "t.csv:3:1: SRD stands in two rows, first at t.csv:2:1; keep one"),
    ("equipment", "id,kynd\nSRD,srd\n", "t.csv:1:4: no column is called 'kynd'; did you mean 'kind'?"),
    ("equipment", "id,my remarks\nSRD,old\n", "t.csv:1:4: no column is called 'my remarks'; take it out, or head it as docgen sheet writes it"),
    ("equipment", "id,kind,kind of item (kind)\nSRD,srd,srd\n", "t.csv:1:9: a column further left is of 'kind' too; keep one"),
    ("equipment", "id,kind\nSRD,srd,more\n", "t.csv:2:9: 'more' stands below no heading; name the field in the first line, or empty the cell"),
    ("equipment", "id,kind\nSRD,harness\n", "t.csv:2:5: SRD is of the kind srd, and this row says harness; give another item an id of its own"),
    ("equipment", "id,kind,line_length\nD-2,srd,30\n", "t.csv:2:9: 30 has no unit; write it as  line_length: 30 ft  or  line_length: 30 m"),
    ("equipment", "id,kind,in_service\nD-2,srd,11/03/2026\n", "t.csv:2:9: '11/03/2026' is not a date; write 2026-11-03 for November 3, or 2026-03-11 for March 11"),
    ("equipment", "id,kind,count\nD-2,srd,8.5\n", "t.csv:2:9: a whole number is wanted here, not text; "),
    ("equipment", "id,kind,edge_rated\nD-2,srd,yes\n", "t.csv:2:9: true or false is wanted here, not text; "),
    ("equipment", "id,line_material\nSRD,rope of wire\n", "t.csv:2:5: 'rope of wire' is not one of the values allowed here; allowed: wire rope, webbing, synthetic rope"),
    ("equipment", "id,kind\nD-2,\n", "t.csv:2:1: entry 5 of 'equipment' lacks 'kind'; add 'kind': What the item is"),
    ("equipment", "id,kind\nD 2,srd\n", "t.csv:2:1: 'D 2' is no id; an id has letters, digits and hyphens only, the first no hyphen; write it like B1 or safety-manager"),
    ("equipment", "id,kind\nsrd,srd\n", "t.csv:2:1: "),
    ("equipment", "id,part_of.part,part_of.paper\nSRD,R-9,Manual\n", "t.csv:2:5: nothing under equipment has the id 'R-9'"),
    ("equipment", "id,spare\nSRD,unknown\n", "t.csv:2:5: 'spare' cannot be unknown: left out, it means false; "),
    ("equipment", "id,name\nSRD,De\u200bvice\n", "t.csv:2:5: this cell holds the sign U+200B, which nobody sees; type the text again"),
    ("equipment", "id,name\nSRD,\"two\nlines and a D\u0435vice\"\n", "t.csv:2:5: in 'D\u0435vice' the letter U+0435 is no Latin one and looks like one; type the words again in one alphabet"),
    ("people", "row,id\nfireman,F-1\n", "t.csv:2:1: 'fireman' does not say what the row is; write one of: climber, rescuer, holder"),
    ("people", "row,id,methods\nclimber,U-1,M1\n", "t.csv:2:13: a row of the kind climber has no 'methods'; empty the cell"),
    ("people", "row,id,name,from\nholder,boss,K. Farrow,2026-01-01\n", "t.csv:2:8: no role has the id 'boss'; there is: manager"),
    ("people", "row,id,from\nholder,manager,2026-01-01\n", "t.csv:2:1: this row is of somebody who holds a role and has no name; write the name"),
    ("people", "row,id,name\nholder,manager,K. Farrow\n", "t.csv:2:1: entry 2 of 'holders' lacks 'from'; "),
    ("people", "site,row,id\nother,climber,U-1\n", "t.csv:2:1: this row is of the site other, and people are not carried from one site to another; enter who is here"),
    ("inspections", "part,on,by,result\nSRD,2026-11-03,J. Doe,passed\n", "t.csv:2:23: 'passed' is not one of the values allowed here; did you mean 'pass'? allowed: pass, fail"),
    ("inspections", "part,result\nSRD,pass\n", "t.csv:2:1: entry 1 of 'entries' lacks 'by'; "),
    ("inspections", "part,on,by,result\nD-7,2026-11-03,J. Doe,pass\n", "t.csv:2:1: nothing under equipment has the id 'D-7'"),
    ("inspections", "part,on,by,result\nSRD,2026-12-03,J. Doe,pass\n", "t.csv:2:5: "),
    ("inspections", "site,part,on,by,result\nother,SRD,2026-11-03,J. Doe,pass\n", "t.csv:2:1: this row is of the site other; what happened there is no entry of this log"),
    ("inspections", "mark,part\n3f9a12bc,SRD\n", "t.csv:2:1: no entry that stands has the mark '3f9a12bc'; a new entry has none"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "text", "said"), FAULTS, ids=[f"{k} {t.splitlines()[-1]}" for k, t, _ in FAULTS])
def test_what_is_wrong_is_told_at_its_cell(kind, text, said, folder):
    """File, line and column, what is wrong and what would be right; nothing is written, --yes or not."""
    before = text_of(folder)
    code, out = given(folder, kind, text, "--yes")
    assert (code, text_of(folder), (folder / "log.yaml").exists()) == (1, before, False)
    *first, last = out.splitlines()
    assert first[0].startswith(said), first
    assert last == f"nothing was written; to put right: {len(first)}"


def test_all_or_none(folder):
    """One wrong cell keeps the right rows out, and each wrong cell is told."""
    before = text_of(folder)
    code, out = given(folder, "equipment", "id,kind,line_length,serial\nD-2,srd,30 ft,1\nD-3,srd,30,2\nD-4,srdd,,3\n", "--yes")
    assert (code, text_of(folder)) == (1, before)
    assert [line.split(": ")[0] for line in out.splitlines()] == ["t.csv:3:9", "t.csv:4:5", "nothing was written; to put right"]


def test_what_a_person_weighs_is_not_taken(folder):
    """Nothing of it is repeated; a limit that happens to be the same figure is a limit."""
    (folder / "private.yaml").write_text("people:\n  U-01: {weight: 178 lb, with_tools: 190 lb}\n", encoding="utf-8")
    text = "id,name,capacity.max\nHARNESS,Harness of the man of 178 lb,310 lb\n"
    code, out = given(folder, "equipment", text, "--yes")
    assert (code, out.splitlines()[0]) == (1, "t.csv:2:9: this tells what a person weighs, which no profile holds; take it out")
    assert "178" not in out


def test_a_weight_in_the_profile_is_not_written_into_a_table(folder, tmp_path):
    """What gives a weight is withheld, and read back it stays as it stands, beside a change of the same row."""
    told = "Harness of the man of 178 lb"
    text = text_of(folder).replace("kind: harness,", f"kind: harness, name: {told},")
    (folder / "profile.yaml").write_text(text, encoding="utf-8")
    (folder / "private.yaml").write_text("people:\n  U-01: {weight: 178 lb, with_tools: 190 lb}\n", encoding="utf-8")
    out = run("sheet", str(folder), "equipment")[1]
    assert "178" not in out
    assert given(folder, "equipment", out)[1].endswith("there is nothing to write\n")
    shown = next(row for row in csv.DictReader(io.StringIO(out)) if row["tag or code (id)"] == "HARNESS")
    code, out = given(folder, "equipment", f'id,name,serial\nHARNESS,"{shown["name"]}",H-1\n', "--yes")
    assert (code, text_of(folder)) == (0, text.replace(f"name: {told},", f"name: {told}, serial: H-1,")), out


# --- spreadsheets' habits ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "raw",
    [
        "\ufeffid,kind,line_length,count\r\nD-2,srd,24.5 ft,8\r\n".encode(),
        b"id;kind;line_length;count\nD-2;srd;24,5 ft;8\n",
        b"sep=;\r\nid;kind;line_length;count\r\nD-2;srd;24,5 ft;8\r\n",
        b"id\tkind\tworking length of the line [ft]\tnumber alike\nD-2\tsrd\t24.5\t8.0\n",
        b"id,kind,line_length (ft),count,,,\nD-2,srd,24.5,8,,,\n,,,,,,\n,,\n\n",
        b'"tag or code (id)","KIND OF ITEM","Working length of the line, ft",Number alike\n"D-2","srd","24.5","8"\n',
    ],
    ids=[
        "BOM and CRLF",
        "semicolons and decimal comma",
        "sep=",
        "tabs, unit in the head, 8.0",
        "empty ends",
        "names without path",
    ],
)
def test_habits_of_csv_are_read_kindly(raw, folder):
    """Each says the same."""
    code, out = given(folder, "equipment", raw, "--yes")
    assert code == 0, out
    assert read_site(folder).source.data["equipment"][-1] == {"id": "D-2", "kind": "srd", "count": 8, "line_length": "24.5 ft"}


def test_a_comma_that_may_part_thousands_is_not_guessed(folder):
    """1,200 with semicolons between the cells is 1200, as any profile reads it, and 1,2 is told apart from it."""
    text = "id;kind;line_strength;tensile\nD-2;connector;1,200 lbf;1,2 kN\n"
    assert given(folder, "equipment", text, "--yes")[0] == 0
    part = read_site(folder).source.data["equipment"][-1]
    assert (part["line_strength"], part["tensile"]) == ("1,200 lbf", "1.2 kN")


def test_cells_of_a_workbook(folder):
    """Days as days, numbers as numbers, a zero that only the format shows, a truth value, a row that nobody sees."""
    path = folder.parent / "t.xlsx"
    made = book(path, [
        ["id", "kind", "line_length [ft]", "count", "in_service", "retire_by", "edge_rated", "serial", "angle_max"],
        ["D-2", "srd", 24.5, 8.0, date(2026, 11, 1), datetime(2036, 11, 1), True, 123, "30°"],
        ["D-3", "srd", 25, 1, None, None, False, "=cmd", None],
    ])  # fmt: skip
    front = made.active
    front["H2"].number_format = "00000"
    front["H3"].data_type = "s"
    front.row_dimensions[3].hidden = True
    front.column_dimensions["I"].hidden = True
    front.cell(40, 12).value = " "
    made.save(path)
    code, out, _ = run("sheet", str(folder), "equipment", "--from", str(path), "--yes", *DAY)
    assert code == 0, out
    assert "rows or columns that nobody sees were read too: 3, I" in out
    assert read_site(folder).source.data["equipment"][-2:] == [
        {"id": "D-2", "kind": "srd", "count": 8, "serial": "00123", "line_length": "24.5 ft", "edge_rated": True, "angle_max": "30°", "in_service": "2026-11-01", "retire_by": "2036-11-01"},
        {"id": "D-3", "kind": "srd", "count": 1, "serial": "=cmd", "line_length": "25 ft", "edge_rated": False},
    ]  # fmt: skip


WRONG_CELLS = [
    ("=1+1", "this cell holds a formula, and what it works out is not taken; write the value"),
    ("#REF!", "this cell shows the error #REF!; write the value"),
    (
        date(2026, 12, 3),
        "the spreadsheet has made a day of what was typed here (2026-12-03); make the cell a text and type it again",
    ),
    (1234567890123456789, "a spreadsheet keeps 15 digits of a number, and this has more; make the cell a text and type it again"),
]


@pytest.mark.parametrize(("value", "said"), WRONG_CELLS, ids=[str(v) for v, _ in WRONG_CELLS])
def test_cells_of_a_workbook_that_are_not_taken(value, said, folder):
    """Told with sheet, row and column as a person finds them."""
    path = folder.parent / "t.xlsx"
    book(path, [["id", "serial"], ["SRD", value]])
    before = text_of(folder)
    code, out, _ = run("sheet", str(folder), "equipment", "--from", str(path), "--yes", *DAY)
    assert (code, text_of(folder)) == (1, before)
    assert out.splitlines()[0] == f"{path}: sheet Equipment, row 2, column 'serial': {said}"


def test_merged_cells_and_cells_below_no_heading(folder):
    """Both are told where they stand."""
    path = folder.parent / "t.xlsx"
    made = book(path, [["id", "kind", None], ["SRD", "srd", "more"]])
    made.active.merge_cells("A3:B4")
    made.save(path)
    _, out, _ = run("sheet", str(folder), "equipment", "--from", str(path), *DAY)
    assert out.splitlines()[:2] == [
        f"{path}: sheet Equipment, row 2, column C: 'more' stands below no heading; name the field in the first line, or empty the cell",
        f"{path}: sheet Equipment, cells A3:B4: these cells are merged into one; part them, and write in each what it holds",
    ]


def changed(path, parts):
    """A workbook in which parts stand beside those of a plain one, or in their place."""
    book(path, [["id"], ["SRD"]])
    with zipfile.ZipFile(path) as old:
        held = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name, data in {**held, **parts}.items():
            new.writestr(name, data)


RELATION = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r9" Type="http://x/externalLinkPath" Target="file:///a.xlsx" TargetMode="External"/></Relationships>'
NO_TABLE = [
    ({"xl/vbaProject.bin": b"x"}, "the workbook holds a macro; nothing of it is read"),
    ({"xl/macrosheets/sheet1.xml": b"<x/>"}, "the workbook holds a macro"),
    ({"xl/externalLinks/externalLink1.xml": b"<x/>"}, "the workbook holds a link to another file"),
    ({"xl/worksheets/_rels/sheet1.xml.rels": RELATION.encode()}, "the workbook holds a link to another file"),
    ({"xl/connections.xml": b"<x/>"}, "the workbook holds a link to a data source"),
    ({"xl/embeddings/oleObject1.bin": b"x"}, "the workbook holds an embedded object"),
    ({"xl/media/zeros.bin": bytes(9_000_000)}, "the workbook unpacks to more than 8 MB"),
    ({"xl/more.xml": b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'}, "the workbook cannot be opened (DOCTYPE)"),
    ({"xl/worksheets/sheet1.xml": b"<worksheet"}, "the workbook cannot be opened"),
    ({"xl/worksheets/sheet1.xml": b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData/><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells></worksheet>'}, "something stands in the cell A1:XFD1048576; a table has at most 20000 rows"),
    ({"xl/worksheets/sheet1.xml": b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="900000"><c r="A900000"><v>1</v></c></row></sheetData></worksheet>'}, "something stands in the cell A900000"),
    ({"xl/worksheets/sheet1.xml": b"<worksheet/>"}, ""),
    ({"xl/workbook.xml": b"<x/>"}, "holds nothing"),
]  # fmt: skip


@pytest.mark.parametrize(("parts", "said"), NO_TABLE, ids=[next(iter(p)) + f" {n}" for n, (p, _) in enumerate(NO_TABLE)])
def test_a_workbook_that_acts_or_bursts_is_not_opened(parts, said, folder):
    """One message, and nothing is read."""
    path = folder.parent / "t.xlsx"
    changed(path, parts)
    code, out, err = run("sheet", str(folder), "equipment", "--from", str(path), "--yes", *DAY)
    assert (code, out) == (2, "")
    assert said in err
    assert "internal fault" not in err


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"\xd0\xcf\x11\xe0rest", "is a workbook of an older format, or one with a password"),
        (b"PK\x03\x04rest", "the workbook cannot be opened (BadZipFile)"),
        (b"", "holds nothing"),
        (None, "there is no such file; give a table as XLSX, or as CSV"),
    ],
)
def test_what_is_no_table_is_told(raw, said, folder):
    """Whatever the file is called."""
    path = folder.parent / "t.xlsx"
    if raw is not None:
        path.write_bytes(raw)
    code, _, err = run("sheet", str(folder), "equipment", "--from", str(path), *DAY)
    assert (code, said in err) == (2, True), err


def test_which_sheet_is_read(folder):
    """The one of that name, or the only one that holds something and explains nothing; of several nobody guesses."""
    path = folder.parent / "t.xlsx"
    made = book(path, [["id"], ["SRD"]], "Mine")
    made.create_sheet("Fixed words")["A1"] = "x"
    made.create_sheet("Empty")
    made.save(path)
    assert run("sheet", str(folder), "equipment", "--from", str(path), *DAY)[0] == 0
    made.create_sheet("Other")["A1"] = "x"
    made.save(path)
    code, _, err = run("sheet", str(folder), "equipment", "--from", str(path), *DAY)
    assert (code, "several sheets hold something: Mine, Other; leave one of them" in err) == (2, True)
    made["Other"].title = "equipment"
    made["equipment"]["A1"] = "id"
    made["equipment"]["A2"] = "D-7"
    made.save(path)
    code, out, _ = run("sheet", str(folder), "equipment", "--from", str(path), *DAY)
    assert f"{path}: sheet equipment, row 2: entry 5 of 'equipment' lacks 'kind'" in out


# --- the log ----------------------------------------------------------------------------------------------------------------------------


def test_inspections_that_are_filled_in_become_entries(tmp_path):
    """The rows of the table that have something come to the log by the rules of docgen log; an old one is never changed; twice is once."""
    site = shutil.copytree(SITES / "harrow-ridge", tmp_path / "site")
    before = text_of(site, "log.yaml")
    sheet = sheet_of(read_site(site), KINDS["inspections"], "en")
    row = next(n for n, r in enumerate(sheet.rows) if r["part"] == "D-1" and "mark" not in r)
    rows = [dict(r) for r in sheet.rows]
    rows[row] |= {"on": "2026-11-03", "by": "J. Whitlow", "result": "pass", "serial": "D1-20417"}
    filled = as_csv(type(sheet)(sheet.kind, sheet.columns, tuple(rows)), "en", file=True)
    code, out = given(site, "inspections", filled, "--yes")
    assert code == 0, out
    line = "- {kind: inspection, on: 2026-11-03, by: J. Whitlow, part: D-1, result: pass, serial: D1-20417}"
    assert out.splitlines()[0] == line
    assert text_of(site, "log.yaml") == f"{before}  {line}\n"
    assert given(site, "inspections", filled, "--yes")[1].splitlines()[-2:] == [
        "new entries: 0; in the log already: 39",
        "there is nothing to write",
    ]
    rows[0] |= {"result": "fail"}
    code, out = given(site, "inspections", as_csv(type(sheet)(sheet.kind, sheet.columns, tuple(rows)), "en", file=True), "--yes")
    mark = rows[0]["mark"]
    assert code == 1
    assert f"the entry '{mark}' is in the log and says pass here; an entry is never changed: docgen log --corrects {mark}" in out
    rows[0] |= {"result": "pass"}
    rows[row] |= {"serial": "D1-99999"}
    code, out = given(site, "inspections", as_csv(type(sheet)(sheet.kind, sheet.columns, tuple(rows)), "en", file=True), "--yes")
    assert (code, "D1-20417" in out) == (1, True)


def test_the_log_takes_a_workbook_too(tmp_path):
    """docgen log --from: the same entries as from the same cells in a CSV, and faults at sheet, row and column."""
    site, path = SITES / "harrow-ridge", tmp_path / "kits.xlsx"
    text = tmp_path / "kits.csv"
    text.write_text("kit,whole,on\nK-1,true,2026-11-03\nK-2,true,2026-11-03\n", encoding="utf-8")
    by = ("--by", "D. Sorensen", *DAY)
    book(path, [["kit", "whole", "on"], ["K-1", True, date(2026, 11, 3)], ["K-2", "true", "2026-11-03"]], "Sheet1")
    code, out, _ = run("log", str(site), "kit", "--from", str(path), *by)
    assert (code, len(out.splitlines())) == (0, 3)
    assert run("log", str(site), "kit", "--from", str(text), *by)[1] == out
    book(path, [["kit", "whole", "on", "note"], ["K-9", True, date(2026, 11, 3), date(2026, 12, 3)]], "Sheet1")
    code, out, _ = run("log", str(site), "kit", "--from", str(path), *by)
    assert code == 1
    assert out.startswith(f"{path}: sheet Sheet1, row 2, column 'note': the spreadsheet has made a day of what was typed here")
    book(path, [["kit", "whole", "on"], ["K-9", True, date(2026, 11, 3)]], "Sheet1")
    out = run("log", str(site), "kit", "--from", str(path), *by)[1]
    assert out.startswith(f"{path}: sheet Sheet1, row 2, column 'kit': nothing under equipment has the id 'K-9'")
    book(path, [["place", "document", "what", "on"], ["GATE-EN", "contractor-notice", "seen", "=TODAY()"]], "Sheet1")
    out = run("log", str(site), "posting", "--from", str(path), *by)[1]
    assert out.startswith(f"{path}: sheet Sheet1, row 2, column 'on': this cell holds a formula")


# --- from one site to another -----------------------------------------------------------------------------------------------------------


def carried(tmp_path, *options, ids=("D-1",), rename=None, model=None):
    """Rows of harrow-ridge, out of its table as it is written, for the thin demo."""
    path = tmp_path / "e.csv"
    path.unlink(missing_ok=True)
    assert run("sheet", str(SITES / "harrow-ridge"), "equipment", "--into", str(path), *options)[0] == 0
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    kept = [rows[0], *(row for row in rows if row[1] in ids)]
    for row in kept[1:]:
        row[1] = rename or row[1]
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(kept)
    return path


RATED = {"kind": "srd", "class": "Class 2", "capacity": {"min": "130 lb", "max": "310 lb"}, "arrest_force_peak": "1800 lbf", "line_length": "30 ft", "manual": "Device manual rev 7", "model": "srd-edge-30"}  # fmt: skip
OF_THE_PIECE = {"serial", "in_service", "label_photo", "free_fall"}


@pytest.mark.parametrize("options", [("--models",), ()], ids=["--models", "as it is"])
def test_a_model_is_carried_and_its_piece_is_not(options, folder, tmp_path):
    """Ratings come; serial number, label, days and who read them off are not known at the other site, and that is told."""
    path = carried(tmp_path, *options)
    code, out, err = run("sheet", str(folder), "equipment", "--from", str(path), "--yes", *DAY)
    assert code == 0, out + err
    data = read_text(text_of(folder)).data["equipment"][-1]
    assert {key: data[key] for key in RATED} == RATED
    assert {key for key, value in data.items() if value == "unknown"} == OF_THE_PIECE
    assert data["arrest_distance"] == {"value": "30 in", "how": "label", "by": "unknown", "on": "unknown"}
    assert data["line_angle"] == {"max": "30 deg", "rail": "unknown", "page": "page 11"}
    assert ("D-1 comes from the site harrow-ridge: what is true of that piece" in out) == (not options)
    assert "D1-20417" not in text_of(folder)
    assert not read_site(folder).problems
    assert {row["part"] for row in entry_rows(read_site(folder), KINDS["inspections"])} == set()


def test_a_piece_that_moved_keeps_what_is_known_of_it(folder, tmp_path):
    """With --moved it brings its serial number and evidence."""
    text = carried(tmp_path).read_text(encoding="utf-8-sig").replace(",R-1,", ",RAIL,")
    (tmp_path / "e.csv").write_text(text, encoding="utf-8")
    code, out, err = run("sheet", str(folder), "equipment", "--from", str(tmp_path / "e.csv"), "--moved", "--yes", *DAY)
    assert code == 0, out + err
    data = read_text(text_of(folder)).data["equipment"][-1]
    assert (data["serial"], data["arrest_distance"]["on"], data["in_service"]) == ("D1-20417", "2026-06-09", "2025-03-20")


def test_an_id_of_another_site_never_writes_over_a_part(folder, tmp_path):
    """The same id is another part; only a part of the same model takes the figures of the model, and keeps what is its own."""
    path = carried(tmp_path, rename="SRD")
    before = text_of(folder)
    code, out, _ = run("sheet", str(folder), "equipment", "--from", str(path), "--yes", *DAY)
    assert (code, text_of(folder)) == (1, before)
    assert "SRD is an item of this site, and the row is of the site harrow-ridge; give the row an id that is free here" in out
    assert given(folder, "equipment", "id,model,serial,manual\nSRD,srd-edge-30,S-7,Device manual rev 6\n", "--yes")[0] == 0
    code, out, _ = run("sheet", str(folder), "equipment", "--from", str(path), "--yes", *DAY)
    assert code == 0, out
    part = next(p for p in read_site(folder).source.data["equipment"] if p["id"] == "SRD")
    assert (part["serial"], part["manual"], part["arrest_distance"]["value"], "in_service" in part) == (
        "S-7",
        "Device manual rev 7",
        "30 in",
        False,
    )
    code, out, _ = run("sheet", str(folder), "equipment", "--from", str(path), "--moved", "--yes", *DAY)
    assert (code, "SRD is an item of this site" in out) == (1, True)


def test_another_serial_number_is_another_piece(folder):
    """The evidence of a piece does not pass to the next one in silence; a pool may grow."""
    assert given(folder, "equipment", "id,serial,count\nSRD,S-7,\nHARNESS,H-01 to H-08,8\n", "--yes")[0] == 0
    code, out = given(folder, "equipment", "id,serial\nSRD,S-8\n", "--yes")
    assert (code, out.splitlines()[0]) == (
        1,
        "t.csv:2:5: SRD is the piece with the serial number S-7, and this row says S-8. Another piece gets an id of its own "
        "(docgen replace SRD --by NEW); a number that was misread is put right in profile.yaml",
    )
    assert given(folder, "equipment", "id,serial,count\nHARNESS,H-01 to H-10,10\n", "--yes")[0] == 0


# --- the command ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("equipment", "--into", "t.ods"), "--into takes a file that ends in .csv or .xlsx; got 't.ods'"),
        (("equipment", "--into", "t.csv", "--from", "u.csv"), "--into writes a table and --from reads one"),
        (("equipment", "--yes"), "--yes goes with --from"),
        (("people", "--models"), "--models goes with the kind equipment"),
        (("people", "--from", "t.csv", "--moved"), "--moved goes with the kind equipment"),
    ],
)
def test_options_that_do_not_go_together(options, said, folder):
    """One sentence each."""
    code, _, err = run("sheet", str(folder), *options)
    assert (code, said in err) == (2, True), err


def test_a_file_is_never_written_over(folder, tmp_path):
    """A table that somebody filled in is worth more than a new one."""
    path = tmp_path / "t.csv"
    assert run("sheet", str(folder), "equipment", "--into", str(path))[1] == f"4 rows in {path}\n"
    held = path.read_bytes()
    assert held.startswith("\ufeffof site".encode())
    assert held.count(b"\r\n") == 5
    code, _, err = run("sheet", str(folder), "people", "--into", str(path))
    assert (code, "is there already; nothing was written" in err, path.read_bytes()) == (2, True, held)


def test_without_the_library_csv_works(folder, tmp_path, monkeypatch):
    """XLSX says what to install, in both directions and for the log."""
    book(tmp_path / "t.xlsx", [["id"], ["SRD"]])
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    for words_of in (
        ("sheet", "equipment", "--into", "u.xlsx"),
        ("sheet", "equipment", "--from", "t.xlsx"),
        ("log", "kit", "--from", "t.xlsx"),
    ):
        code, _, err = run(words_of[0], str(folder), words_of[1], words_of[2], str(tmp_path / words_of[3]))
        assert (code, "pip install 'docgen[sheets]'. CSV works without it" in err) == (2, True), err
    assert run("sheet", str(folder), "equipment", "--into", str(tmp_path / "t.csv"))[0] == 0
    assert run("sheet", str(folder), "equipment", "--from", str(tmp_path / "t.csv"))[0] == 0


def test_as_json(folder):
    """One object: what comes and changes, the difference, notes and problems."""
    code, out = given(folder, "equipment", "id,kind\nD-2,srd\n", "--format", "json")
    told = json.loads(out)
    assert (code, told["added"], told["changed"], told["written"], told["problems"]) == (0, ["D-2"], [], False, [])
    assert "+  - {id: D-2, kind: srd}" in told["difference"]
    code, out = given(folder, "equipment", "id,kind\nD-2,srdd\n", "--format", "json")
    assert (code, json.loads(out)["problems"][0]["place"]) == (1, "t.csv:2:5")


def test_what_somebody_else_wrote_meanwhile_is_not_lost(folder, tmp_path):
    """The file is put in place in one step, and only on top of what was read."""
    from docgen.sheets.taken import write

    path = tmp_path / "t.csv"
    path.write_text("id,serial\nSRD,S-1\n", encoding="utf-8")
    made = taken(read_site(folder), KINDS["equipment"], read_table(path), "en")
    (folder / "profile.yaml").write_text(text_of(folder) + "# mine\n", encoding="utf-8")
    with pytest.raises(Refusal) as seen:
        write(made)
    assert seen.value.name == "profile-moved"
    assert text_of(folder).endswith("# mine\n")


def test_a_profile_with_problems_is_told_first(folder):
    """Nothing is read or written over a profile that cannot be read."""
    (folder / "profile.yaml").write_text(text_of(folder).replace("kind: srd", "kind: srdd"), encoding="utf-8")
    code, out, err = run("sheet", str(folder), "equipment")
    assert (code, "srdd" in out, "nothing was recorded" in err) == (1, True, True)


def test_entries_keep_their_data_when_copied():
    """The table's own rows are frozen: a reader of one is not changed by another."""
    site = read_site(SITES / "sable-point")
    held = copy.deepcopy(site.source.data)
    sheet_of(site, KINDS["equipment"], "en", models=True)
    assert site.source.data == held


@pytest.mark.parametrize("text", ["id,serial\n", "site,SRD,srd,S-1\n", "hello\n"])
def test_a_table_without_a_row_is_told(folder, text):
    """A head alone, a row without a head, or something else altogether is no table that says that nothing changes."""
    path = folder.parent / "t.csv"
    path.write_text(text, encoding="utf-8")
    code, out, err = run("sheet", str(folder), "equipment", "--from", str(path), *DAY)
    assert (code, out, "t.csv: no row stands below the head" in err) == (2, "", True)
