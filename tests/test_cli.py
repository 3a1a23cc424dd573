"""The commands as a user meets them: exit codes, one clear message for each mistake, never a trace, never a lost file."""

import gc
import re
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta

import pytest
from outside import schema_faults
from support import AS_OF, DEMOS, ROOT, SITES, demo
from support import run as here

from docgen import __version__
from docgen import papers as library
from docgen.cli import main
from docgen.report import as_text, json_object
from docgen.units import UNITS, parse


def run(*arguments, cwd=ROOT):
    """A fresh process, as a user starts it."""
    return subprocess.run(
        [sys.executable, "-m", "docgen.cli", *arguments], capture_output=True, text=True, encoding="utf-8", cwd=cwd, check=False
    )


def test_clean_demo_exits_0():
    """The full demo has no problem and no must-fix finding."""
    result = run("check", "site_profiles/harrow-ridge", "--as-of", "2026-11-01")
    assert result.returncode == 0, result.stdout + result.stderr
    assert "0 must fix" in result.stdout


@pytest.mark.parametrize("day", [date(2026, 10, 1) + timedelta(days=n) for n in range(0, 92, 7)] + [date(2026, 12, 31)])
def test_full_demo_stays_clean(day):
    """From the first of October to the end of December nothing in the full demo must be fixed."""
    found = [f for f in demo("harrow-ridge", day).assessed.findings if f.severity == "must-fix"]
    assert not found, [f.name for f in found]


def test_faulty_demo_exits_1_without_a_trace():
    """The faulty demo gives findings, each with its line."""
    result = run("check", "site_profiles/cormorant-quay", "--as-of", "2026-11-01")
    assert result.returncode == 1
    assert "Traceback" not in result.stdout + result.stderr
    assert "MUST FIX" in result.stdout
    assert "profile.yaml:" in result.stdout


@pytest.mark.parametrize("name", DEMOS)
def test_json_follows_its_schema(name):
    """check --format json is what schemas/check_result.schema.json says, for every demo."""
    assert schema_faults("check_result", json_object(demo(name))) == []


#: Side to which each figure of the JSON is rounded: a need up, what there is and a limit down; the lower limit of a chain is one from below.
SIDES = {
    "cases": {
        "height": -1, "offset": 1, "swing_drop": 1, "swing_speed": 1, "line_angle": 1, "required": 1, "available": -1, "margin": -1,
        "margin_worst": -1, "largest_offset": -1,
    },
    "chains": {"limit": -1, "lower_limit": 1},
    "rescue": {"contact": 1, "contact_limit": -1, "ground": 1, "ground_limit": -1},
}  # fmt: skip


def test_json_rounds_to_the_unfavorable_side():
    """A need is never printed below, a length available and a capacity never above what was computed, in either unit (E15, E16)."""
    seen = set()
    for name in DEMOS:
        told = json_object(demo(name))
        for of, sides in SIDES.items():
            for entry in told[of]:
                assert {key for key, value in entry.items() if isinstance(value, dict)} <= {*sides, "lower_level"}
                for key, sign in sides.items():
                    if (quantity := entry[key]) is None:
                        continue
                    figures = re.findall(r"(-?[\d.,]+)\s?([^\s()]+)", quantity["text"].replace("°", " deg"))
                    assert figures, quantity
                    for figure, unit in figures:
                        printed = parse(f"{figure.replace(',', '')} {unit}", UNITS[unit].kind).si
                        assert sign * (printed - quantity["si"]) >= -2e-9, (entry, key)
                        seen.add((of, key, round(abs(printed - quantity["si"]), 6) > 0, unit))
    rounded = {(of, key) for of, key, moved, _ in seen if moved}
    assert rounded >= {("cases", key) for key in SIDES["cases"]} | {("chains", key) for key in SIDES["chains"]}


def test_three_schema_faults_are_all_listed(tmp_path):
    """A file with three faults lists all three with file, line and column, and writes nothing."""
    text = (SITES / "harrow-ridge" / "profile.yaml").read_text(encoding="utf-8")
    text = text.replace("line_exit_below_rail: {value: 1.0 ft,", "line_exit_below_rails: {value: 1.0 ft,", 1).replace(
        "length: 62 ft", "length: 62", 1
    )
    text = text.replace("permission: prohibited", "permission: forbidden", 1)
    (tmp_path / "profile.yaml").write_text(text, encoding="utf-8")
    result = run("render", str(tmp_path), "--into", str(tmp_path / "out"), "--as-of", "2026-11-01")
    assert result.returncode == 1
    lines = [line for line in result.stdout.splitlines() if "profile.yaml:" in line and line.count(":") >= 4]
    assert len(lines) == 3, result.stdout
    assert "did you mean 'line_exit_below_rail'?" in result.stdout
    assert "62 has no unit" in result.stdout
    assert "prohibited" in result.stdout
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(("arguments", "words"), [
    (["check", "nowhere"], "nowhere"), (["check", "schemas"], "profile.yaml"), (["check", "site_profiles/harrow-ridge", "--as-of", "1.11.2026"], "2026-11-01"),
    (["render", "site_profiles/harrow-ridge", "--into", "x", "--types", "odt"], "docx"), (["due"], "SITE"), (["due", "site_profiles/harrow-ridge", "--within", "soon"], "60d"),
])  # fmt: skip
def test_wrong_use_exits_2_with_one_message(arguments, words):
    """A wrong path, day or option is said in one message that tells what would be right."""
    result = run(*arguments)
    assert result.returncode == 2
    assert words in result.stderr
    assert "Traceback" not in result.stderr


def test_unwritable_folder(tmp_path):
    """A place that cannot be written is said, with what to do."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    result = run(
        "render", "site_profiles/sable-point", "--into", str(tmp_path / "file"), "--as-of", "2026-11-01", "--types", "md"
    )
    assert result.returncode == 2
    assert "--into" in result.stderr


def test_unknown_jurisdiction_is_a_problem_with_its_line(tmp_path):
    """A country without a set of law is a problem of the profile, at its line."""
    text = (SITES / "sable-point" / "profile.yaml").read_text(encoding="utf-8").replace("US-MO", "ZZ")
    (tmp_path / "profile.yaml").write_text(text, encoding="utf-8")
    result = run("check", str(tmp_path / "profile.yaml"))
    assert result.returncode == 1
    assert "site.jurisdiction" in result.stdout


def test_text_report_is_at_most_80_wide():
    """Lines of text fit a terminal 80 wide, but for a path longer than that."""
    for name in DEMOS:
        for line in as_text(demo(name)).splitlines():
            assert len(line) <= 80 or "profile.yaml" in line, line


@pytest.fixture(scope="module")
def rendered(tmp_path_factory):
    """Two renders of the full demo into two folders."""
    folders = []
    for n in range(2):
        into = tmp_path_factory.mktemp(f"render{n}")
        assert main(["render", str(SITES / "harrow-ridge"), "--into", str(into), "--as-of", AS_OF.isoformat()]) == 0
        folders.append(into / "harrow-ridge")
    return folders


def test_render_writes_every_file(rendered):
    """Three documents in four types, the site page and the build record; no path and no time in any of them."""
    names = {p.name for p in rendered[0].iterdir()}
    pytest.importorskip("typst", reason="typst is not installed")
    for stem in ("fall-protection-plan", "contractor-notice", "rescue-procedure"):
        assert {f"{stem}.{t}" for t in ("md", "html", "docx", "pdf")} <= names
    assert {"index.html", "build.json"} <= names
    for path in rendered[0].iterdir():
        assert str(rendered[0]).encode() not in path.read_bytes(), path.name


def test_two_renders_are_the_same_bytes(rendered):
    """Same profile and same day: same bytes, in all types."""
    for path in sorted(rendered[0].iterdir()):
        assert path.read_bytes() == (rendered[1] / path.name).read_bytes(), path.name


def test_a_site_page_changed_by_hand_is_kept(tmp_path, capsys):
    """The site page is under the same care as the papers; unchanged it is replaced without a word."""
    arguments = ["render", str(SITES / "sable-point"), "--into", str(tmp_path), "--as-of", "2026-11-01", "--types", "html"]
    main(arguments)
    target = tmp_path / "sable-point" / "index.html"
    main([*arguments[:5], "2026-11-02", *arguments[6:]])
    assert not list(target.parent.glob("index.edited*"))
    target.write_text("changed by hand\n", encoding="utf-8")
    capsys.readouterr()
    main(arguments)
    assert "index.edited.html" in capsys.readouterr().out
    assert (target.parent / "index.edited.html").read_text(encoding="utf-8") == "changed by hand\n"
    assert target.read_text(encoding="utf-8") != "changed by hand\n"


def test_the_package_is_a_command():
    """`python -m docgen` is the command."""
    result = subprocess.run([sys.executable, "-m", "docgen", "--version"], capture_output=True, text=True, check=False)
    assert (result.returncode, result.stdout.strip().endswith(__version__)) == (0, True)


def test_a_command_leaves_the_collector_as_it_was():
    """Whoever calls `main` in a process of their own still has their memory collected afterwards."""
    for wanted in (True, False):
        (gc.enable if wanted else gc.disable)()
        try:
            assert here("check", str(SITES / "sable-point"), "--as-of", "2026-11-01")[0] == 1
            assert gc.isenabled() is wanted
        finally:
            gc.enable()


def test_hand_edits_are_kept(tmp_path, capsys):
    """A file that somebody changed is kept under another name and named; an unchanged one is simply replaced."""
    arguments = ["render", str(SITES / "sable-point"), "--into", str(tmp_path), "--as-of", "2026-11-01", "--types", "md"]
    main(arguments)
    target = tmp_path / "sable-point" / "contractor-notice.md"
    fresh = target.read_text(encoding="utf-8")
    target.write_text("changed by hand\n", encoding="utf-8")
    capsys.readouterr()
    main(arguments)
    assert "contractor-notice.edited.md" in capsys.readouterr().out
    assert (tmp_path / "sable-point" / "contractor-notice.edited.md").read_text(encoding="utf-8") == "changed by hand\n"
    assert target.read_text(encoding="utf-8") == fresh
    main(arguments)
    assert "edited" not in capsys.readouterr().out


def test_a_partial_render_forgets_nothing(tmp_path, capsys):
    """Rendering one document, then all again, keeps no copy of a file that nobody changed."""
    common = [str(SITES / "sable-point"), "--into", str(tmp_path), "--as-of", "2026-11-01", "--types", "md"]
    main(["render", *common])
    main(["render", *common, "--documents", "contractor-notice"])
    capsys.readouterr()
    main(["render", *common])
    assert "edited" not in capsys.readouterr().out
    assert not list(tmp_path.rglob("*.edited*"))


def test_unknown_document_is_named():
    """A document that does not exist is refused with the names of those that do."""
    result = run("render", "site_profiles/sable-point", "--into", "x", "--documents", "poster")
    assert result.returncode == 2
    assert "contractor-notice" in result.stderr


DAY = ("--as-of", AS_OF.isoformat())


def test_a_paper_that_is_not_written_yet_says_so(tmp_path, monkeypatch):
    """The whole set is known by name; what this version does not write (an index without sections) is told plainly and nothing is written."""
    known = tuple(replace(o, sections=()) if o.name == "training-outline" else o for o in library.outlines())
    monkeypatch.setattr(library, "outlines", lambda: known)
    code, _, err = here("render", str(SITES / "sable-point"), "--into", str(tmp_path), "--documents", "training-outline", *DAY)
    assert code == 2
    assert "this version does not write the training outline yet" in err
    assert not list(tmp_path.iterdir())


def test_the_legal_file_lies_apart_and_on_request(tmp_path):
    """Nothing of counsel lies in the folder of the site or is linked there; it is written where it is named or with --all."""
    common = (str(SITES / "sable-point"), "--into", str(tmp_path), "--types", "md", *DAY)
    here("render", *common)
    assert not (tmp_path / "sable-point.counsel").exists()
    here("render", *common, "--documents", "legal-file")
    assert {p.name for p in (tmp_path / "sable-point.counsel").iterdir()} == {"legal-file.md", "build.json"}
    code, _, err = here("render", *common, "--documents", "legal-file", "--all")
    assert (code, "not both" in err) == (2, True)
    here("render", *common, "--all")
    for path in (tmp_path / "sable-point").iterdir():
        assert "legal-file" not in path.name
        assert "legal-file" not in path.read_text(encoding="utf-8"), path.name
        assert "counsel/" not in path.read_text(encoding="utf-8"), path.name
