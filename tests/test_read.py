"""The reader: what YAML is accepted, what is refused and where, hostile files, places of values."""

import json
import pickle
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from docgen import read
from docgen.errors import ProfileUnreadable
from docgen.read import Mark, Problem, join, read_profile, read_text
from docgen.signs import misread, unseen

FOLDER = Path(__file__).resolve().parent / "profiles" / "read" / "yaml"
CASES = sorted(path.stem for path in FOLDER.glob("*.yaml"))


def lines(problems):
    return "".join(f"{each.line}:{each.column} {each.path}: {each.message}; {each.hint}\n" for each in problems)


@pytest.mark.parametrize("case", CASES)
def test_problems_of_a_file(case):
    """Each file of the table gives exactly the problems written beside it, none where the text beside it is empty."""
    source = read_profile(FOLDER / f"{case}.yaml")
    assert lines(source.problems) == (FOLDER / f"{case}.txt").read_text(encoding="utf-8")
    assert all(each.file == str(FOLDER / f"{case}.yaml") for each in source.problems)


@pytest.mark.parametrize("case", CASES)
def test_the_parser_in_python_finds_the_same(case, monkeypatch):
    """Where PyYAML comes without its C part, the same lines and paths are reported."""
    text = (FOLDER / f"{case}.yaml").read_bytes().decode("utf-8")
    quick = read_text(text)
    monkeypatch.setattr(read, "QUICKEST_LOADER", yaml.SafeLoader)
    plain = read_text(text)
    assert plain.data == quick.data
    assert [(each.line, each.path) for each in plain.problems] == [(each.line, each.path) for each in quick.problems]


def test_values_keep_what_was_written():
    """Only true, false, null and decimal numbers resolve; quantities, dates, telephone numbers stay text."""
    assert read_profile(FOLDER / "plain-text.yaml").data == {
        "a": "25 ft", "b": "18 ft 6 in", "c": "6 min", "d": "2026-11-01", "e": "555-0102", "f": "22:00-06:00",
        "g": "1910.140(c)", "h": "yes", "i": "no entry", "j": "3B", "k": "-20 °F",
    }  # fmt: skip
    data = read_profile(FOLDER / "plain-numbers.yaml").data
    assert data == {"a": [12, -3, 3.5, 0, 0.5, -0.25], "b": [True, False, None]}
    assert [type(each) for each in data["a"]] == [int, int, float, int, float, float]
    assert read_profile(FOLDER / "block-text.yaml").data == {"a": "one\ntwo\n", "b": "three four\n"}


def test_marks_name_value_and_key():
    """A value has the place where it begins and that of its key; an entry of a list has its own place twice."""
    marks = read_text("\ufeffa:\n  b: 25 ft\nc: [x, {d: e}]\n").marks
    assert marks == {
        "": Mark(1, 1, 1, 1), "a": Mark(2, 3, 1, 1), "a.b": Mark(2, 6, 2, 3), "c": Mark(3, 4, 3, 1),
        "c[0]": Mark(3, 5, 3, 5), "c[1]": Mark(3, 8, 3, 8), "c[1].d": Mark(3, 12, 3, 9),
    }  # fmt: skip


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_lines_are_counted_alike_for_all_line_ends(newline):
    """Files from any system give the same lines."""
    text = newline.join(["# one", "", "a: 1", "b: x\u2028y", "a: 2"])
    assert [(each.line, each.column) for each in read_text(text).problems] == [(4, 5), (5, 1)]


def test_paths():
    """Paths are joined by points and indexes; a key that could be misread is put in brackets; a long one is cut."""
    assert join(join(join(join("", "bays"), 0), "rail"), "height") == "bays[0].rail.height"
    assert join("a", "b.c") == "a['b.c']"
    assert len(join("", "x" * 1000)) < 60


OPENED = [
    ("[" * 100_000, f"values are nested more than {read.MAX_DEPTH} deep"),
    ("{a: " * 100_000, f"values are nested more than {read.MAX_DEPTH} deep"),
    ("- " * 100_000, f"values are nested more than {read.MAX_DEPTH} deep"),
    ("".join(" " * depth + "k:\n" for depth in range(600)), f"values are nested more than {read.MAX_DEPTH} deep"),
    ("k: [" + "1," * 200_000 + "]", "the file holds more than 100,000 values"),
    ("k: [" + "yes," * 200_000 + "]", "100 problems found so far; reading stops here"),
    ("k: x\x07\n" * 10_000, "100 problems found so far; reading stops here"),
    ("k: v\n" * 10_000, "100 problems found so far; reading stops here"),
    ("x" * 1_048_577, "the file is larger than 1 MiB"),
    ("a: 1\nb: \0", "this is not a text file"),
]


@pytest.mark.parametrize("loader", ["CSafeLoader", "SafeLoader"])
@pytest.mark.parametrize(("text", "message"), OPENED, ids=lambda each: each[:12])
def test_hostile_text_ends_in_a_problem(text, message, loader, monkeypatch):
    """Depth, number and size are limited; a recursion limit is never met; the data is not given out."""
    monkeypatch.setattr(read, "QUICKEST_LOADER", getattr(yaml, loader, yaml.SafeLoader))
    source = read_text(text)
    assert message in [each.message for each in source.problems]
    assert len(source.problems) <= read.MAX_PROBLEMS + 1
    assert source.data is None


def test_depth_of_forty_is_the_last_that_is_read():
    """Forty groups one in another are read, forty-one are not."""
    nest = "a: " + "[" * (read.MAX_DEPTH - 1) + "x" + "]" * (read.MAX_DEPTH - 1)
    assert read_text(nest).problems == ()
    assert read_text(nest.replace("[x]", "[[x]]")).problems


def test_alias_bomb_is_never_opened_out():
    """Nine aliases on nine levels are nine times nine problems and no value."""
    text = "a: &a [x]\n" + "".join(
        f"{chr(98 + level)}: &{chr(98 + level)} [{', '.join(['*' + chr(97 + level)] * 9)}]\n" for level in range(9)
    )
    source = read_text(text)
    assert sum("alias" in each.message for each in source.problems) == 81
    assert source.data["j"] == [None] * 9


BYTES = [
    (b"a: caf\xe9\n", 1, 7, "this is not UTF-8 text"),
    ("a: 1\nb: 25 ft\n".encode("utf-16"), 1, 1, "this is text in UTF-16, not in UTF-8"),
    (b"\x89PNG\r\n\x1a\n\x00\x00", 1, 1, "this is a picture (PNG), and no profile"),
    (b"PK\x03\x04\x00\x00", 1, 1, "this is a packed file (ZIP), and no profile"),
    (b"a: 1\n\x00\x01\xe9\xff\n", 1, 1, "this is no plain text, and no profile"),
    (b"PK\x03\x04\x14\x00 word/document.xml \x00", 1, 1, "this is a document of a word processor (DOCX), and no profile"),
    (b"PK\x03\x04\x14\x00\xff xl/workbook.xml \x00", 1, 1, "this is a workbook of a spreadsheet (XLSX), and no profile"),
    (b"%PDF-1.7\n\xe2\xe3", 1, 1, "this is a PDF, and no profile"),
    (b"{\\rtf1\\ansi profile}", 1, 1, "this is a document of a word processor (RTF), and no profile"),
    (b"<!DOCTYPE html>\n<p>profile: 2", 1, 1, "this is a web page (HTML), and no profile"),
    (b"a: 1\n\x00", 2, 1, "this is not a text file"),
    (b"a: 1\n" * 300_000, 1, 1, "the file is larger than 1 MiB"),
]


@pytest.mark.parametrize(("raw", "line", "column", "message"), BYTES, ids=lambda each: str(each)[:16])
def test_files_that_are_no_profile(raw, line, column, message, tmp_path):
    """Bytes that are no text, no UTF-8 or too many give one problem with its place."""
    path = tmp_path / "profile.yaml"
    path.write_bytes(raw)
    (problem,) = read_profile(path).problems
    assert (problem.line, problem.column, problem.message) == (line, column, message)


def test_file_or_folder_as_the_user_gave_it(tmp_path, monkeypatch):
    """A folder means the profile.yaml in it; problems carry the path as given, relative if it was relative."""
    monkeypatch.chdir(tmp_path)
    site = Path("site")
    site.mkdir()
    (site / "profile.yaml").write_bytes(b"\xef\xbb\xbfa:\n")
    assert [each.file for each in read_profile(site).problems] == [str(Path("site", "profile.yaml"))]
    assert [each.file for each in read_profile(Path("site/profile.yaml")).problems] == [str(Path("site/profile.yaml"))]
    assert read_text("a:").problems[0].file == "profile.yaml"


@pytest.mark.parametrize("name", ["nowhere.yaml", "empty", "odd", "x\0y", "n" * 5000])
def test_what_cannot_be_opened_says_what_would_be_right(name, tmp_path):
    """A missing file, a folder without a profile, a folder in its place, an impossible name: one message."""
    (tmp_path / "empty").mkdir()
    (tmp_path / "odd" / "profile.yaml").mkdir(parents=True)
    with pytest.raises(ProfileUnreadable, match=r"; give (a profile file|this user)"):
        read_profile(tmp_path / name)


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    """Missing rights are said as such."""
    path = tmp_path / "profile.yaml"
    path.write_bytes(b"a: 1\n")

    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(ProfileUnreadable, match="may not be read; give this user the right to read it"):
        read_profile(path)


def test_a_parser_fault_without_a_place_is_a_problem(monkeypatch):
    """Whatever error PyYAML raises, marked or not, it becomes a problem."""

    def broken(self):
        raise yaml.YAMLError

    monkeypatch.setattr(getattr(yaml, "CSafeLoader", yaml.SafeLoader), "get_event", broken)
    assert [each.message for each in read_text("a: 1").problems] == ["this cannot be read as YAML"]


PLAIN = st.characters(exclude_categories=("C", "Z"), include_characters=" ")
TEXTS = st.text(PLAIN, max_size=12).filter(
    lambda text: unseen(text) is None and misread(text) is None
)  # test_texts.py tries those
KEYS = st.text(PLAIN, max_size=6).filter(lambda text: unseen(text) is None)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**14), 10**14) | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=20,
)


def places(value, path=""):
    yield path, value
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from places(inner, join(path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from places(inner, join(path, index))


@given(st.dictionaries(KEYS, VALUES, max_size=4))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_json_is_read_as_json_reads_it_and_every_mark_points_at_its_value(value):
    """JSON is YAML (YAML 1.2, section 1.3): the standard library and the reader agree, and each mark hits the value."""
    text = json.dumps(value, ensure_ascii=False, indent=1)
    source = read_text(text)
    assert source.problems == ()
    assert source.data == value
    rows = text.split("\n")
    for path, part in places(value):
        mark = source.marks[path]
        begins = {dict: "{", list: "["}.get(type(part)) or json.dumps(part, ensure_ascii=False)
        assert rows[mark.line - 1][mark.column - 1 :].startswith(begins)


@given(st.text(st.sampled_from("ab1:-?#&*!|>'\"%@`{}[],. \n\t~=<\x07\u2028\ufeff\ud800é°"), max_size=60) | st.text())
def test_any_text_gives_a_source(text):
    """Whatever the text: a mapping without problems, or problems with place, message and hint, in order."""
    source = read_text(text)
    assert source.problems or isinstance(source.data, dict)
    assert all(each.line >= 1 and each.column >= 1 and each.message and each.hint for each in source.problems)
    assert list(source.problems) == sorted(source.problems)


def test_a_source_travels_between_processes():
    """Sources can be sent to a worker and back; problems sort by file, line and column."""
    source = read_text("a: {b: 25 ft}\nc:\n")
    assert pickle.loads(pickle.dumps(source)) == source
    assert Problem("p", 2, 1, "", "m", "h") < Problem("p", 10, 1, "", "m", "h") < Problem("p", 10, 2, "", "m", "h")
