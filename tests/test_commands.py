"""The command line as people expect it: help, examples that run, what is near a slip, completion, quiet and without colour."""

import argparse
import io
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlparse
from urllib.request import url2pathname

import pytest
from support import AS_OF, ROOT, SITES, run

from docgen.cli import MANUAL, command_line, main

COMMANDS = next(a for a in command_line()._actions if isinstance(a, argparse._SubParsersAction)).choices


def test_alone_it_prints_its_help(capsys):
    """`docgen` without a word is no error: it says what there is."""
    with pytest.raises(SystemExit) as end:
        main([])
    assert end.value.code == 0
    out = capsys.readouterr().out
    assert all(name in out for name in COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_has_a_sentence_an_example_and_exit_codes(name, capsys):
    """Its help says them."""
    with pytest.raises(SystemExit) as end:
        main([name, "--help"])
    assert end.value.code == 0
    said = " ".join(capsys.readouterr().out.split())
    assert re.search(rf"[A-Z][^.]+\..*Example: docgen {name}\b.* Exit 0: .*2: ", said), said
    assert set(MANUAL) == set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_example_stands_on_a_line_of_its_own(name, capsys, monkeypatch):
    """However narrow the terminal, so that it can be copied as it stands."""
    monkeypatch.setenv("COLUMNS", "40")
    with pytest.raises(SystemExit):
        main([name, "--help"])
    assert f"Example: {MANUAL[name][0]}" in capsys.readouterr().out.splitlines()


#: What each example rests on, and the exit code with which it ends.
NEEDS = {
    "approve": "demo",
    "issue": "approved",
    "withdraw": "issued",
    "changes": "issued",
    "register": "issued",
    "show": "issued",
    "hold": "issued",
}
ENDS = {"due": 1, "portfolio": 1}
#: What is typed meanwhile.
TYPED = {"start": "Alder Bend\nKansas\n"}


@pytest.mark.parametrize("name", MANUAL)
def test_each_example_runs(name, tmp_path, monkeypatch, request):
    """Word for word, beside the demo sites; where it needs records, on the demo with its approvals or issued."""
    shutil.copytree(SITES, tmp_path / "site_profiles")
    state = NEEDS.get(name, "demo")
    if state != "demo":
        shutil.rmtree(tmp_path / "site_profiles/harrow-ridge")
        shutil.copytree(request.getfixturevalue(state), tmp_path / "site_profiles/harrow-ridge")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.StringIO(TYPED.get(name, "")))
    code, out, err = run(*shlex.split(MANUAL[name][0])[1:])
    assert code == ENDS.get(name, 0), (out, err)
    assert out


@pytest.mark.parametrize(("arguments", "said"), [
    (["chek", "x"], "there is no command 'chek'; did you mean 'check'?"),
    (["xyzzy"], "there is no command 'xyzzy'; there are: "),
    (["check", "x", "--sevrity", "advice"], "check does not take '--sevrity'; did you mean '--severity'?"),
    (["check", "x", "--as", "2026-11-01"], "check does not take '--as'; did you mean '--as-of'?"),
    (["render", "x", "--type=md"], "render does not take '--type'; did you mean '--types'?"),
    (["hold", "on", "x"], "there is no state 'x'; there are: on, off"),
    (["check", "x", "--severity", "fixsoon"], "there is no level 'fixsoon'; did you mean 'fix-soon'?"),
    (["explain", "x", "y", "z"], "explain does not take 'z'; docgen explain --help lists what it takes"),
], ids=" ".join)  # fmt: skip
def test_a_slip_gets_what_is_near(arguments, said, capsys):
    """Of commands, options and fixed words; nothing is abbreviated in silence."""
    with pytest.raises(SystemExit) as end:
        main(arguments)
    assert end.value.code == 2
    assert said in " ".join(capsys.readouterr().err.split())


def test_a_misspelt_paper_gets_what_is_near():
    """The name of a paper too."""
    code, _, err = run("render", str(SITES / "harrow-ridge"), "--documents", "rescue-cart")
    assert (code, "did you mean 'rescue-card'?" in err) == (2, True)


DAY = ("--as-of", "2026-11-01")


def test_many_sites_are_summed_up():
    """A folder of sites, or several: what is closed and why, what stops the issue, the counts; the exit code is the worst."""
    code, out, _ = run("check", str(SITES), *DAY)
    assert code == 1
    assert len(re.findall(r"must fix, ", out)) == len([p for p in SITES.iterdir() if p.is_dir()])
    assert re.search(r"Hopper wash bay: closed by what was found\.", out)
    assert "Stops the issue, begin with: " in out
    assert re.search(r"cormorant-quay.*\b6 of 8 cases computed", out)
    code, out, _ = run("check", str(SITES / "harrow-ridge"), str(SITES / "pellan-creek"), *DAY)
    assert code == 0
    assert out.count("0 must fix") == 2


def test_a_site_that_cannot_be_read_stops_no_other(tmp_path):
    """It is named on the other stream, and the exit code tells it."""
    code, out, err = run("check", str(tmp_path / "gone"), str(SITES / "harrow-ridge"), *DAY)
    assert (code, "0 must fix" in out, "gone" in err) == (2, True, True)


def test_many_sites_as_json():
    """One object that holds the object of each."""
    import json

    code, out, _ = run("check", str(SITES / "harrow-ridge"), str(SITES / "pellan-creek"), *DAY, "--format", "json")
    told = json.loads(out)
    assert code == 0
    assert [s["bays"] != [] for s in told["sites"]] == [True, True]


def test_quiet_prints_what_must_be_acted_on(tmp_path):
    """The line of counts of a check; nothing of a render that went well."""
    code, out, _ = run("check", str(SITES / "harrow-ridge"), *DAY, "--quiet")
    assert (code, len(out.splitlines())) == (0, 1)
    code, out, _ = run(
        "render",
        str(SITES / "harrow-ridge"),
        "--into",
        str(tmp_path),
        "--types",
        "md",
        "--documents",
        "bay-sign",
        *DAY,
        "--quiet",
    )
    assert (code, out) == (0, "")


def test_papers_go_beside_the_site(tmp_path):
    """Without --into: into the folder papers, beside the folder of the site and never in it."""
    site = shutil.copytree(SITES / "harrow-ridge", tmp_path / "clients" / "harrow-ridge")
    before = {p for p in site.rglob("*")}
    code, out, _ = run("render", str(site), "--types", "html", "--documents", "bay-sign", *DAY)
    assert code == 0
    assert (tmp_path / "clients/papers/harrow-ridge/bay-sign.B1.html").is_file()
    assert "papers" in out
    assert {p for p in site.rglob("*")} == before


def test_a_demo_is_copied_and_clean(tmp_path):
    """Each is listed; a copy outside the program's folder is read and names a schema that is there; a folder of one's own is left as it is."""
    code, out, _ = run("demo")
    assert code == 0
    assert {line.partition(":")[0] for line in out.splitlines()} == {
        p.name for p in SITES.iterdir() if (p / "profile.yaml").is_file()
    }
    assert run("demo", "harrow-ridge", "--into", str(tmp_path))[0] == 0
    first = (tmp_path / "harrow-ridge/profile.yaml").read_text(encoding="utf-8").partition("\n")[0]
    assert Path(url2pathname(urlparse(first.partition("$schema=")[2]).path)).is_file()
    assert run("check", str(tmp_path / "harrow-ridge"), *DAY)[0] == 0
    (tmp_path / "harrow-ridge/profile.yaml").write_text("mine\n", encoding="utf-8")
    code, _, err = run("demo", "harrow-ridge", "--into", str(tmp_path))
    assert (code, "--into" in err) == (2, True)
    assert (tmp_path / "harrow-ridge/profile.yaml").read_text(encoding="utf-8") == "mine\n"
    code, _, err = run("demo", "harow-ridge")
    assert (code, "did you mean 'harrow-ridge'?" in err) == (2, True)


@pytest.mark.parametrize("off", ["option", "variable"])
def test_no_colour_where_none_is_wanted(off, monkeypatch):
    """--no-color and NO_COLOR (no-color.org) both do it on a terminal."""
    from docgen.commands.outcome import colours

    monkeypatch.setattr(sys, "stdout", type("Terminal", (), {"isatty": lambda self: True})())
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    plain = command_line().parse_args(["check", "x"])
    assert colours(plain)
    if off == "variable":
        monkeypatch.setenv("NO_COLOR", "1")
        assert not colours(plain)
    else:
        assert not colours(command_line().parse_args(["check", "x", "--no-color"]))


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("docgen ch", {"check", "changes"}), ("docgen check --sev", {"--severity"}), ("docgen check --severity m", {"must-fix"})],
)
def test_a_shell_completes(typed, offered, tmp_path):
    """What a shell that read the completion is told for a word that was begun."""
    told = tmp_path / "told"
    env = {
        **os.environ,
        "_ARGCOMPLETE": "1",
        "_ARGCOMPLETE_STDOUT_FILENAME": str(told),
        "COMP_LINE": typed,
        "COMP_POINT": str(len(typed)),
        "_ARGCOMPLETE_IFS": "\n",
    }
    subprocess.run([sys.executable, "-m", "docgen"], env=env, cwd=ROOT, check=False, capture_output=True)
    assert {w.strip() for w in told.read_text(encoding="utf-8").split("\n") if w.strip()} == offered


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_what_a_shell_reads(shell):
    """It names the command; a bash reads it without a word."""
    code, out, _ = run("completion", shell)
    assert (code, "docgen" in out) == (0, True)
    if shell == "bash" and shutil.which("bash"):
        result = subprocess.run(["bash", "-n"], input=out, text=True, capture_output=True, check=False)
        assert (result.returncode, result.stderr) == (0, "")


def test_render_names_the_check_that_tells_what_it_found(tmp_path):
    """What only the finished papers show is told by check --compare, and render says so; of the rest the plain check tells all."""
    site = shutil.copytree(SITES / "harrow-ridge", tmp_path / "site")
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    short = "check_in: Report to the gate operator for the briefing"
    for written, flags in (
        (text.replace(short, f"{short} at once and wait there for the word"), ["--compare"]),
        (text.replace("      end_stops: true\n", "      end_stops: false\n", 1), []),
    ):
        assert written != text
        profile.write_text(written, encoding="utf-8")
        code, out, _ = run(
            "render",
            str(site),
            "--into",
            str(tmp_path / "out"),
            "--as-of",
            "2026-11-01",
            "--types",
            "md",
            "--documents",
            "contractor-notice",
        )
        (line,) = [line for line in out.splitlines() if "must-fix finding" in line]
        assert line.endswith(f"run {' '.join(['docgen', 'check', str(site), *flags])} to read them")
        told = run("check", str(site), "--as-of", "2026-11-01", "--quiet", *flags)
        assert told[0] == code == 1
        assert f"{line.split()[0]} must fix" in told[1]


def test_a_site_that_is_not_there_is_named_once():
    """Of several sites one that cannot be read is told with its name once, and stops no other."""
    code, out, err = run("check", str(SITES / "harrow-ridge"), "nowhere", "--as-of", AS_OF.isoformat())
    assert code == 2
    assert "Harrow Ridge Terminal" in out
    assert err == "docgen: nowhere: no such file; give a profile file, or a folder that holds profile.yaml\n"
