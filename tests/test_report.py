"""The text of `docgen check`: 80 wide, grouped, most important first, colour only as an aid; and what filters show."""

from __future__ import annotations

import io
import json
import re

import pytest
from support import AS_OF, ROOT, SITES, demo, papers, table, with_changes
from support import run as run_command

from docgen.cli import main
from docgen.findings.rule import SEVERITIES
from docgen.report import ALL, Choice, as_json, as_text
from docgen.words import finding_text

PAINT = re.compile(r"\x1b\[[\d;]*m")


def run(*arguments: str) -> tuple[int, str, str]:
    return run_command(*arguments, "--as-of", AS_OF.isoformat())


NAMES = ("harrow-ridge", "sable-point", "cormorant-quay")


@pytest.mark.parametrize("choice", [ALL, Choice(colour=True), Choice(severity="advice"), Choice(severity="must-fix")])
@pytest.mark.parametrize("name", NAMES)
def test_no_line_is_wider_than_80(name, choice):
    """Every line fits a terminal 80 wide, but for the last one and for a path that is longer by itself."""
    for line in PAINT.sub("", as_text(demo(name), "en", choice)).splitlines():
        assert len(line) <= 80 or "profile.yaml" in line, line


@pytest.mark.parametrize("name", NAMES)
def test_every_finding_is_there(name):
    """Grouping leaves no finding out: every name stands there, with the number of places."""
    text = as_text(demo(name))
    for finding in demo(name).assessed.findings:
        assert re.search(rf"^  {re.escape(finding.name)}\b", text, re.MULTILINE), finding.name
    for name_ in {f.name for f in demo(name).assessed.findings}:
        count = sum(1 for f in demo(name).assessed.findings if f.name == name_)
        assert count == 1 or f"{name_} ({count})" in text


def test_the_same_finding_at_four_parts_is_told_once():
    """The parts are listed in one entry, with their lines, and the way out names them all."""
    text = as_text(demo("sable-point"))
    entry = text[text.index("inspection-never (4)") :].split("\n\n")[0]
    assert "Never inspected: RAIL, TROLLEY, SRD, HARNESS." in entry
    assert "Tag RAIL, TROLLEY, SRD, HARNESS out" in " ".join(entry.split())
    assert len(re.findall(r"\d+", entry.splitlines()[0].partition("profile.yaml:")[2])) == 4


@pytest.mark.parametrize("name", NAMES)
def test_what_is_told_once_drops_no_figure(name):
    """Hits of a finding are listed under its title alone only where message and action have no more to tell of each than what it is."""
    sentences = table(ROOT / "templates/words/findings/en.yaml")["findings"]
    texts = {}
    for finding in demo(name).assessed.findings:
        message = finding_text(finding, "message", "en", demo(name).assessed.system, demo(name).code.spelling)
        if finding.name not in texts:
            shown = as_text(demo(name), "en", Choice(only=(finding.name,)))
            texts[finding.name] = " ".join(shown.split())
        if " ".join(message.split()) not in texts[finding.name]:
            told = set(re.findall(r"{(\w+)}", sentences[finding.name]["message"])) - set(
                re.findall(r"{(\w+)}", sentences[finding.name]["action"])
            )
            assert len(told) <= 1, (finding.name, message)


def test_both_figures_of_a_posted_limit_are_told_at_each_system():
    """The one that is posted and the one it was tested for, though they are the same at both."""
    text = " ".join(as_text(demo("cormorant-quay"), "en", Choice(only=("posted-limit-over-condition",))).split())
    assert text.count("The posted limit of 400 lb (181.4 kg) is above 310 lb (140 kg)") == 2


def test_json_says_which_methods_are_closed_and_who_does_what():
    """Each rescue row of the JSON has its closures and its schedule, post by post, with the seconds from the fall."""
    closed = with_changes(demo("harrow-ridge"), {"equipment[K-1].reach": "25 ft"})
    rows = json.loads(as_json(closed))["rescue"]
    assert {tuple(r["closed"]) for r in rows if r["method"] == "M2"} == {("kit-short",)}
    assert {tuple(r["closed"]) for r in rows if r["method"] != "M2"} == {()}
    attach = next(t for r in rows if (r["method"], r["shift"]) == ("M2", "day") for t in r["turns"] if t["step"] == "attach")
    assert (attach["post"], attach["person"], attach["start"]["si"], attach["finish"]["si"]) == ("Rescuer 2", "RS-2", 120, 210)


def test_most_important_first():
    """Severities in order; within must-fix what stops the issue stands before what closes a part or a person."""
    text = as_text(demo("cormorant-quay"))
    assert text.index("MUST FIX") < text.index("FIX SOON") < text.index("ADVICE")
    must = text[text.index("MUST FIX") : text.index("FIX SOON")]
    stops = {f.name: f.stops for f in demo("cormorant-quay").assessed.findings if f.severity == "must-fix"}
    order = [("issue", "use", "nothing").index(stops[n]) for n in re.findall(r"^  ([a-z-]+)", must, re.MULTILINE)]
    assert order == sorted(order)


def test_a_first_profile_reads_as_next_steps():
    """Must-fix in full, the rest in one line each, and how to see it in full; no field name with an underscore in a message list."""
    text = as_text(demo("sable-point"), "en", Choice(more="show {severity} of {file}"))
    assert text.split("\n\n")[1] == "What to do next, most important first:"
    assert "show fix-soon of" in text
    assert "In full" not in as_text(demo("sable-point"))  # a caller that gives no command is told of none
    assert len(text.splitlines()) < 250
    assert "brake_set" not in text
    assert "parking brake set, wheels chocked, keys handed over" in " ".join(text.split())
    soon = text[text.index("FIX SOON") : text.index("ADVICE")]
    assert "Do:" not in soon


def test_a_way_out_that_comes_to_nothing_is_told_in_a_word():
    """No "0.0 ft means none": what is not there is called none."""
    text = " ".join(as_text(demo("sable-point")).split())
    assert "(reach, rail offset, parking, lag) none (no figure passes)." in text
    assert "0.0 ft (0.00 m)" not in text


@pytest.mark.parametrize("severity", SEVERITIES)
def test_severity_shows_that_much_and_worse(severity):
    """--severity shows findings at least that severe, in full, and says how many of all are shown."""
    text = as_text(demo("sable-point"), "en", Choice(severity=severity))
    shown = [f for f in demo("sable-point").assessed.findings if SEVERITIES.index(f.severity) <= SEVERITIES.index(severity)]
    assert f"Shown: {len(shown)} of {len(demo('sable-point').assessed.findings)} findings." in text
    assert text.count("Do:") >= len({f.name for f in shown})


def test_only_shows_those_names():
    """--only shows the findings named and no other, as text and as JSON; the counts are those of the site."""
    code, out, _ = run("check", "site_profiles/cormorant-quay", "--only", "clearance-short,lone-work")
    assert code == 1
    assert set(re.findall(r"^  ([a-z-]+)\b", out, re.MULTILINE)) == {"clearance-short", "lone-work"}
    _, out, _ = run("check", "site_profiles/cormorant-quay", "--only", "lone-work", "--format", "json")
    assert {f["name"] for f in json.loads(out)["findings"]} == {"lone-work"}


def test_exit_code_is_that_of_the_site():
    """A filter hides nothing from the exit code."""
    assert run("check", "site_profiles/cormorant-quay", "--only", "retention-unstated")[0] == 1
    assert run("check", "site_profiles/harrow-ridge", "--only", "clearance-short")[0] == 0


@pytest.mark.parametrize(("name", "hint"), [("clearence-short", "did you mean 'clearance-short'?"), ("qqqq", "explain findings")])
def test_unknown_name(name, hint):
    """A name that does not exist is refused with the nearest one."""
    code, _, err = run("check", "site_profiles/harrow-ridge", "--only", name)
    assert code == 2
    assert hint in err


def test_colour_only_on_a_terminal(monkeypatch):
    """Colour never reaches a file or a pipe, and NO_COLOR (no-color.org) switches it off on a terminal."""

    class Terminal(io.StringIO):
        def isatty(self):
            return True

    def painted(stream: io.StringIO) -> bool:
        monkeypatch.setattr("sys.stdout", stream)
        assert main(["check", "site_profiles/sable-point", "--as-of", AS_OF.isoformat()]) == 1
        return PAINT.search(stream.getvalue()) is not None

    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert not painted(io.StringIO())
    assert painted(Terminal())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not painted(Terminal())
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not painted(Terminal())


@pytest.mark.parametrize("name", NAMES)
def test_colour_is_an_aid_only(name):
    """Without its colours the text is the same, word for word."""
    assert PAINT.sub("", as_text(demo(name), "en", Choice(colour=True))) == as_text(demo(name))
    assert "\x1b[" not in as_json(demo(name), "en", Choice(colour=True))


def test_compare_is_offered():
    """check --compare holds the documents against each other too; the clean demo stays clean."""
    assert run("check", "site_profiles/harrow-ridge", "--compare")[0] == 0


def test_root_is_where_the_demos_are():
    """The paths above are those of the checkout."""
    assert (ROOT / "site_profiles" / "harrow-ridge" / "profile.yaml").is_file()


@pytest.mark.parametrize("name", ["harrow-ridge", "pellan-creek"])
def test_a_level_below_reads_the_same_in_json_and_on_paper(name):
    """What is below a case is rounded in JSON as the plan rounds it: a hose tray of 2.2 ft is 0.67 m for both readers, and not 0.68 m for one (E16)."""
    plan = papers(name)["fall-protection-plan"].document.markdown.replace("\u00a0", " ")
    cases = json.loads(run("check", str(SITES / name), "--format", "json")[1])["cases"]
    told = {
        case["lower_level"]["text"] for case in cases if case["permission"] == "allowed" and case["side"] in ("left", "right")
    }
    assert told
    assert {text for text in told if f" at {text}" not in plan} == set()
