"""Whoever did something on a day stands by that name for good: a later holder rewrites no past act, and nobody's work is given to a blank."""

import dataclasses
import re
import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest
from control_site import LATER, issue
from support import AS_OF, SITES, demo, log_of, logged, with_changes

from docgen.check import referred
from docgen.checked import Assessed
from docgen.compose import all_bodies, compose_all
from docgen.compose.frame import frame_for
from docgen.compose.standing import standing
from docgen.control.approve import Request, drafted
from docgen.findings.people import PRINTED
from docgen.papers import papers as library
from docgen.pipeline import check_site, compared_site
from docgen.read import join, read_profile
from docgen.resources import data_folder
from docgen.site import acts
from docgen.site.place import Formerly

CLEAN = ("harrow-ridge", "pellan-creek")
NEW = "Q. Newcomer"
DAY = re.compile(r"\b20\d\d-\d\d-\d\d\b")
ROLES = [(name, role.id) for name in CLEAN for role in demo(name).site.roles if role.holders]


@cache
def digests(name):
    return digests_of(demo(name))


def digests_of(checked):
    bodies = all_bodies(checked.site, checked.code, checked.assessed)
    return {(b.document, b.language): (b.digest, b.markdown) for d in bodies.values() for b in d.values()}


def papers(checked):
    """Every paper that is written, the legal file and those without a digest too, as text."""
    names = tuple(o.name for o in library() if o.written)
    made = compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("md",), (), names)
    return {document.name: document.markdown for document, _ in made}


@cache
def papers_before(name):
    return papers(demo(name))


def succeeded(name, role, first):
    """A demo in which a role passes to another person on a day; whoever held it before stays on the list until the day before."""
    checked = demo(name)
    raw = next(r for r in checked.source.data["roles"] if r["id"] == role)
    old = {**raw["holders"][-1], "to": (first - timedelta(days=1)).isoformat()}
    new = {"name": NEW, "from": first.isoformat(), "accepted_on": first.isoformat()}
    return with_changes(checked, {f"roles[{role}].holders": [*raw["holders"][:-1], old, new]})


@pytest.mark.parametrize(("name", "role"), ROLES)
def test_a_later_holder_moves_no_body(name, role):
    """A successor from a day after the one for which the papers are written, the predecessor with a last day: the same bytes and digests."""
    effective = demo(name).site.document.effective
    assert digests_of(succeeded(name, role, effective + timedelta(days=10))) == digests(name)


@pytest.mark.parametrize(("name", "role"), ROLES)
def test_a_successor_takes_over_no_past_act(name, role):
    """From the day of the papers on the successor stands where the duty is told; every line with a past day says what it said."""
    checked = demo(name)
    effective, old = checked.site.document.effective, checked.site.role(role).held_by
    before, after = papers_before(name), papers(succeeded(name, role, effective))
    past = [line for text in before.values() for line in text.splitlines() if old in line and _past(line, effective)]
    now = {line for text in after.values() for line in text.splitlines()}
    assert [line for line in past if line not in now] == []
    assert [line for line in now if NEW in line and _past(line, effective)] == []
    if any(a.role == role for a in acts(checked.site)):
        assert past


def renamed(name, role, until):
    """A demo in which whoever holds a role now bears another name, and the old one up to a day."""
    checked = demo(name)
    raw = next(r for r in checked.source.data["roles"] if r["id"] == role)
    last = raw["holders"][-1]
    new = {**last, "name": NEW, "formerly": [{"name": last["name"], "until": until.isoformat()}]}
    return with_changes(checked, {f"roles[{role}].holders": [*raw["holders"][:-1], new]})


@pytest.mark.parametrize(("name", "role"), ROLES)
def test_another_name_of_a_holder_moves_no_past_act(name, role):
    """Called otherwise from the day of the papers on: duties print the new name, every line with a past day what it said, and no input by
    which a past act is digested moves.
    """
    checked = demo(name)
    effective, old = checked.site.document.effective, checked.site.role(role).held_by
    called = renamed(name, role, effective - timedelta(days=1))
    assert called.site.role(role).held_by == NEW
    before, after = papers_before(name), papers(called)
    now = {line for text in after.values() for line in text.splitlines()}
    past = [line for text in before.values() for line in text.splitlines() if old in line and _past(line, effective)]
    assert [line for line in past if line not in now] == []
    assert [line for line in now if NEW in line and _past(line, effective)] == []
    deeds = [_deeds(c) for c in (checked, called)]
    assert deeds[0] == deeds[1]
    if any(a.role == role for a in acts(checked.site)):
        assert past


def test_another_name_lapses_no_approval_of_a_past_act():
    """The safety manager measured much and prepared the record: called otherwise, the plan alone moves, and none of its past acts."""
    checked = demo("harrow-ridge")
    called = renamed("harrow-ridge", "safety-manager", checked.site.document.effective - timedelta(days=1))
    after = digests_of(called)
    assert {document for (document, _), was in digests("harrow-ridge").items() if after[document, "en"][0] != was[0]} == {
        "fall-protection-plan"
    }
    with_names = with_changes(
        checked,
        {
            "roles[safety-manager].holders": [
                {"name": NEW, "from": "2025-01-06", "formerly": [{"name": "L. Brandt"}]},
            ]
        },
    )
    assert digests_of(with_names)["engineering-record", "en"] != digests("harrow-ridge")["engineering-record", "en"]  # misspelled


def test_a_name_holds_to_its_last_day():
    """Two earlier names: each act bears the one of its day, the last day included; a day after all of them the present one."""
    checked = renamed("harrow-ridge", "safety-manager", date(2026, 3, 31))
    holder = dataclasses.replace(
        checked.site.role("safety-manager").holders[0],
        formerly=(
            Formerly(path="", name="B", until=date(2026, 3, 31)),
            Formerly(path="", name="A", until=date(2025, 12, 31)),
            Formerly(path="", name="Typo"),
        ),
    )
    days = [date(2025, 12, 31), date(2026, 1, 1), date(2026, 3, 31), date(2026, 4, 1)]
    assert [holder.called_on(day) for day in days] == ["A", "B", "B", NEW]


def test_whoever_is_called_otherwise_is_the_same_person(site):
    """The qualified person, who is also the licensed reviewer: approvals under the old name stand, and the new one approves; the record has
    the name of its day, whichever was typed.
    """
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    old = "holders: [{name: T. Maran, from: 2025-01-06, accepted_on: 2025-01-06}]"
    assert old in text
    new = "holders: [{name: T. Oak, from: 2025-01-06, accepted_on: 2025-01-06, formerly: [{name: T. Maran, until: 2026-11-05}]}]"
    for reviewer in ("name: T. Maran, licence", "name: T. Oak, licence"):  # the line of the reviewer may follow or not
        profile.write_text(text.replace(old, new).replace("name: T. Maran, licence", reviewer), encoding="utf-8")
        checked, bodies = compared_site(check_site(site, LATER))
        assert [f.name for f in checked.assessed.findings if f.name in ("holder-rewritten", "allowance-unlicensed")] == []
        given = next(a for a in checked.records.approvals if a.document == "engineering-record")
        assert (given.by, standing(given, bodies["engineering-record"]).stands) == ("T. Maran", True)
        frame = frame_for(
            "fall-protection-plan",
            "en",
            checked.site,
            checked.assessed,
            {n: by["en"] for n, by in bodies.items()},
            checked.records,
        )
        (row,) = (r for r in frame.licensed if r["paper"] == "engineering-record")
        assert (row["status"], row["approval"].by) == ("reviewed", "T. Maran")
        for by in ("T. Oak", "T. Maran"):
            request = Request("engineering-record", "qualified-person", by, LATER)
            assert drafted(request, checked, bodies, "en").by == "T. Oak"
            early = Request("engineering-record", "qualified-person", by, date(2026, 11, 5))
            assert drafted(early, checked, bodies, "en").by == "T. Maran"


def _deeds(checked):
    """Every input of a clause that is a holder of a past day."""
    bodies = all_bodies(checked.site, checked.code, checked.assessed)
    return sorted(
        {(p, v) for by in bodies.values() for b in by.values() for c in b.clauses for p, v in c.inputs if ".holders." in p}
    )


def _past(line, effective):
    return any(date.fromisoformat(day) < effective for day in DAY.findall(line))


@pytest.mark.parametrize("name", CLEAN)
def test_every_act_prints_the_holder_of_its_day(name):
    """Half the days of all acts lie in the time of another holder: each of them is found with the name of that time and no other."""
    checked = demo(name)
    days = sorted(a.on for a in acts(checked.site))
    turn = days[len(days) // 2]
    changes = {}
    for role in checked.source.data["roles"]:
        if role.get("holders"):
            first = role["holders"][0]
            until = (turn - timedelta(days=1)).isoformat()
            changes[f"roles[{role['id']}].holders"] = [
                {"name": f"Old {first['name']}", "from": "2020-01-01", "to": until}, {**first, "from": turn.isoformat()},
            ]  # fmt: skip
    text = papers(with_changes(checked, changes))
    lines = [line for t in text.values() for line in t.splitlines()]
    told = [line for line in lines if "Old " in line]
    assert told
    assert [line for line in told if not any(date.fromisoformat(d) < turn for d in DAY.findall(line))] == []


def test_a_closure_and_a_record_of_the_qualified_person_keep_their_names():
    """A bay closed by a role, and a struck face recorded by one, before the successor came: the name of that day."""
    checked = demo("harrow-ridge")
    raw = {r["id"]: r["holders"][0] for r in checked.source.data["roles"] if r.get("holders")}
    new = {"name": NEW, "from": "2026-10-20", "accepted_on": "2026-10-20"}
    n, struck = next((n, t["struck"][0]) for n, t in enumerate(checked.source.data["tasks"]) if t.get("struck"))
    tasks = [dict(t) for t in checked.source.data["tasks"]]
    tasks[n]["struck"] = [{**struck, "by": "qualified-person"}, *tasks[n]["struck"][1:]]
    changes = {
        "tasks": tasks,
        "bays[B2].closed": {"by": "terminal-manager", "on": "2026-10-02", "reason": "The rail is being replaced"},
        **{f"roles[{key}].holders": [{**raw[key], "to": "2026-10-19"}, new] for key in ("terminal-manager", "qualified-person")},
    }
    text = papers(with_changes(checked, changes))
    assert "The Terminal manager (R. Oduya) closed it on 2026-10-02" in text["fall-protection-plan"]
    assert "The terminal manager (R. Oduya) closed it on 2026-10-02" in text["status-sheet"]
    assert f"(T. Maran) wrote this on {struck['on']}" in text["engineering-record"]


def test_log_entries_keep_their_writer():
    """Whoever wrote an entry is printed as written there, whoever holds the role now."""
    checked = demo("harrow-ridge")
    log = logged(
        log_of("harrow-ridge"),
        [{"add": {"kind": "closure", "on": "2026-10-30", "by": "T. Maran", "bay": "B2", "reason": "Ice on the rail"}}],
    )
    effective = checked.site.document.effective
    raw = next(r for r in checked.source.data["roles"] if r["id"] == "qualified-person")
    holders = [
        {**raw["holders"][0], "to": "2026-10-31"},
        {"name": NEW, "from": effective.isoformat(), "accepted_on": effective.isoformat()},
    ]
    text = papers(with_changes(checked, {"roles[qualified-person].holders": holders}, log=log))
    lines = [line for t in text.values() for line in t.splitlines() if "Ice on the rail" in line]
    assert lines
    assert not [line for line in lines if NEW in line]


def values(data: object, at: str = "") -> Iterator[tuple[str, object]]:
    """Every value of a profile with its place."""
    rows = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in rows:
        yield from values(value, join(at, key))
    if not rows:
        yield at, data


def called_otherwise(folder: Path, site: Path) -> Path:
    """A copy of a site in which each role has another id, at every place of profile and log that names one."""
    target = Path(shutil.copytree(site, folder / site.name))
    source = read_profile(site)
    new = {role["id"]: f"post-{n}" for n, role in enumerate(source.data["roles"], 1)}
    places = [(at, value) for at, value, into in referred(source) if "roles" in into and value in new]
    places += [
        (at, value) for at, value in values(source.data) if at.endswith(".by") and value in new
    ]  # by whom a figure is known
    lines = source.text.splitlines(keepends=True)
    marks = [(source.marks[at], value) for at, value in (*((f"roles[{n}].id", key) for n, key in enumerate(new)), *places)]
    for mark, value in sorted(set(marks), reverse=True):
        line, at = lines[mark.line - 1], mark.column - 1
        at += line[at] == '"'
        assert line[at:].startswith(value), (line, value)
        lines[mark.line - 1] = line[:at] + new[value] + line[at + len(value) :]
    (target / "profile.yaml").write_text("".join(lines), encoding="utf-8")
    log = (target / "log.yaml").read_text(encoding="utf-8")
    told = re.sub(rf"\b(role|owner|by): ({'|'.join(new)})\b", lambda m: f"{m[1]}: {new[m[2]]}", log)
    (target / "log.yaml").write_text(told, encoding="utf-8")
    assert len(places) > 50
    return target


@pytest.mark.parametrize("name", CLEAN)
def test_no_id_of_a_role_is_magic(name, tmp_path):
    """U6: who is competent person, supervisor or gate is said by its part; under other ids every text and every finding stays."""
    before, after = demo(name), check_site(called_otherwise(tmp_path, SITES / name), AS_OF)
    assert after.problems == ()
    assert {key: text for key, (_, text) in digests_of(after).items()} == {key: text for key, (_, text) in digests(name).items()}
    assert [(f.name, f.severity) for f in after.assessed.findings] == [(f.name, f.severity) for f in before.assessed.findings]
    assert {role.id for role in after.site.roles}.isdisjoint(role.id for role in before.site.roles)


def test_parts_that_papers_print_are_those_that_are_asked_for():
    """Each part whose role a template names, and that no finding of its own asks for, is on the list; so is no other."""
    own = {"competent-person", "issuing-authority"}  # competent-person-missing, notice-no-authority
    only_if_there = {"gate-operator", "safety-manager"}  # printed where there is one
    found = set()
    for path in (data_folder("templates")).rglob("*.md"):
        found |= set(re.findall(r"(?:part_post|of_part|role_for)\('([a-z-]+)'", path.read_text(encoding="utf-8")))
    assert found - own - only_if_there == {part for parts in PRINTED.values() for part in parts}


@pytest.mark.parametrize(("document", "part"), [(paper, part) for paper, parts in PRINTED.items() for part in parts])
def test_no_paper_for_approval_gives_work_to_nobody(document, part):
    """Without a role of that part its papers stay drafts; with one they print no blank there."""
    checked = demo("harrow-ridge")
    roles = [{**r, "part": [p for p in r["part"] if p != part] or ["other"]} for r in checked.source.data["roles"]]
    found = with_changes(checked, {"roles": roles}).assessed.findings
    assert [(f.severity, f.stops, f.documents) for f in found if f.name == "part-unassigned"] == [
        ("must-fix", "issue", (document,))
    ]
    blank = f"**{part.replace('-', ' ')}**{{: .blank"
    assert [n for n, (_, text) in digests("harrow-ridge").items() if blank in text] == []


def test_an_overwritten_name_stops_the_issue(site):
    """After a revision: a holder whose name is exchanged in place is told, whoever else is added with the day is not; an issue is refused."""
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    profile.write_text(
        text.replace("holders: [{name: T. Maran, from: 2025-01-06", "holders: [{name: Q. Newcomer, from: 2025-01-06"),
        encoding="utf-8",
    )
    checked = check_site(site, LATER)
    assert isinstance(checked, Assessed)
    (found,) = (f for f in checked.assessed.findings if f.name == "holder-rewritten")
    assert (found.path, found.severity, found.stops) == ("roles[qualified-person].holders", "must-fix", "issue")
    assert "holder-rewritten" in " ".join(str(why) for why in issue(site, LATER)[1])
    kept = "holders: [{name: T. Maran, from: 2025-01-06, to: 2026-11-09, accepted_on: 2025-01-06}, {name: Q. Newcomer, from: 2026-11-10, accepted_on: 2026-11-10}]"
    profile.write_text(
        text.replace("holders: [{name: T. Maran, from: 2025-01-06, accepted_on: 2025-01-06}]", kept), encoding="utf-8"
    )
    assert "Newcomer" in profile.read_text(encoding="utf-8")
    assert [f.name for f in check_site(site, LATER).assessed.findings if f.name == "holder-rewritten"] == []
    profile.write_text(text, encoding="utf-8")
    assert [f.name for f in check_site(site, LATER).assessed.findings if f.name == "holder-rewritten"] == []
