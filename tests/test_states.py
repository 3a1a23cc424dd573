"""The state of each bay and paper: what closes a bay, in which order, with which reasons; what a closed bay prints, and what it stops."""

from __future__ import annotations

import json
import re

import pytest
from control_site import FIRST, approve_all, happened, issue, new_site, swap
from support import AS_OF, SITES, demo, markdown, run, with_changes

from docgen.compose import compose_all
from docgen.findings import RULES, SUBJECT, SUBJECTS
from docgen.findings.model import Reason
from docgen.findings.states import OTHERWISE, bays_of
from docgen.findings.states import SUBJECTS as CLOSES
from docgen.pipeline import check_site, compared_site, stated
from docgen.portfolio.row import of_site
from docgen.report import as_text, bay_lines, json_object, waits_on
from docgen.words import words

CLOSED = {"by": "terminal-manager", "on": "2026-10-02", "reason": "The rail is being replaced"}
#: What is changed in the clean demo -> state and reasons of the truck bay, and of the rail spur.
STATES = [
    ("nothing", {}, ("open", ()), ("open", ())),
    ("decided", {"bays[B1].closed": CLOSED}, ("closed-by-decision", ("decided",)), ("open", ())),
    ("a fact of the bay is missing", {"bays[B1].phone": None}, ("closed-by-finding", ("facts",)), ("open", ())),
    ("a fact that a paper prints is missing", {"bays[B1].tag_place": None}, ("open", ()), ("open", ())),
    ("the fall is too long", {"equipment[D-1].arrest_distance": "75 in"}, ("closed-by-finding", ("fall-distance",)), ("open", ())),
    ("another ring than the one of the cases", {"systems[S1].attachment": "sternal"}, ("closed-by-finding", ("fall-distance",)), ("open", ())),
    ("hoses hang on the rail", {"systems[S1].fall_protection_only": False}, ("closed-by-finding", ("danger",)), ("open", ())),
    ("no paper says that the parts fit", {"systems[S1].compatibility.stated_by": None}, ("closed-by-finding", ("facts",)), ("open", ())),
    ("an inspection is overdue", {"equipment[D-1].inspection.interval": "1 month"}, ("closed-today", ("inspection-overdue",)), ("open", ())),
    ("no method", {"rescue.methods": []}, ("closed-by-finding", ("no-rescue",)), ("closed-by-finding", ("no-rescue",))),
    (
        "decided before found before today: one state, all reasons",
        {"bays[B1].closed": CLOSED, "bays[B1].phone": None, "equipment[D-1].inspection.interval": "1 month"},
        ("closed-by-decision", ("decided", "facts", "inspection-overdue")),
        ("open", ()),
    ),
    (
        "found before today",
        {"bays[B1].phone": None, "equipment[D-1].inspection.interval": "1 month"},
        ("closed-by-finding", ("facts", "inspection-overdue")),
        ("open", ()),
    ),
    (
        "every task prohibited",
        {
            "tasks[load].permission": "prohibited", "tasks[load].reason": "Bottom loading is fitted",
            **{f"shifts[{s}].climbers_at_once": 1 for s in ("day", "evening", "night")},
        },
        ("closed-by-decision", ("decided",)),
        ("open", ()),
    ),
    ("a text of the notice stops its issue and closes nothing", {"contractors.enforcement": []}, ("open", ()), ("open", ())),
]  # fmt: skip


def bays(changes):
    """State and reasons of each bay of the clean demo with something changed."""
    checked = with_changes(demo("harrow-ridge"), changes)
    return [(b.state, tuple(r.reason for r in b.reasons)) for b in checked.assessed.bays]


@pytest.mark.parametrize(("changes", "first", "second"), [s[1:] for s in STATES], ids=[s[0] for s in STATES])
def test_state_of_a_bay(changes, first, second):
    """One state, the first that holds; every reason."""
    assert bays(changes) == [first, second]


def test_each_subject_and_each_exception_is_known():
    """Every subject of findings says why it closes a bay or that it closes none; exceptions name findings that there are."""
    assert set(CLOSES) == {subject.__name__.rpartition(".")[2] for subject in SUBJECTS} | {"second"}
    assert set(OTHERWISE) <= {rule.name for rule in RULES}
    assert set(SUBJECT) == {rule.name for rule in RULES}


def test_each_reason_has_its_sentence():
    """The fixed reasons stand in the words, one short sentence each."""
    said = words("en")["terms"]
    for reason in Reason.__args__:
        assert said[f"closed-{reason}"].endswith(".")
        assert len(said[f"closed-{reason}"].split()) <= 8


@pytest.mark.parametrize(
    ("path", "found"),
    [
        ("bays[B1].rail", ("B1",)), ("tasks[sample]", ("B2",)), ("vehicles[tanker].deck", ("B1",)), ("vehicles[flatbed]", ("B1",)),
        ("systems[S2].parts", ("B2",)), ("equipment[D-1]", ("B1",)), ("equipment[H-A]", ("B1", "B2")), ("equipment[K-1].reach", ("B1", "B2")),
        ("rescue.methods[M2]", ("B1", "B2")), ("limits.margin", ("B1", "B2")), ("equipment[C-3]", ("B1", "B2")), ("equipment[D-3].line_length", ("B2",)),
    ],
)  # fmt: skip
def test_bays_of_a_place(path, found):
    """A place belongs to the bays that use it, and to all where it belongs to none."""
    assert bays_of(demo("harrow-ridge").site, path) == found


def test_what_is_wrong_in_a_closed_bay_stops_nothing():
    """A fall that is too long stops the issue until the bay is closed, and then it is still listed as what to mend."""
    faulty = {"equipment[D-1].arrest_distance": "75 in", "bays[B1].phone": None}
    open_ = with_changes(demo("harrow-ridge"), faulty)
    assert {"clearance-short", "bay-facts-missing"} <= {f.name for f in open_.assessed.findings}
    closed = with_changes(demo("harrow-ridge"), {**faulty, "bays[B1].closed": CLOSED})
    assert [f.name for f in closed.assessed.findings if f.severity == "must-fix"] == []
    (bay,) = (b for b in closed.assessed.bays if b.bay == "B1")
    assert {"clearance-short", "bay-facts-missing"} <= {name for r in bay.reasons for name in r.findings}


def test_papers_say_what_is_closed():
    """Plan, notice and rescue procedure print the closure; plan and notice permit and limit nothing there, and the rescue stays whole."""
    before = markdown(demo("harrow-ridge"))
    after = markdown(with_changes(demo("harrow-ridge"), {"bays[B1].closed": CLOSED}))
    assert "The Truck bay is closed.\nNobody may climb there, except rescuers in a rescue." in after["contractor-notice"]
    assert "Truck bay: climb only on the tank trailer." in before["contractor-notice"]
    assert "Truck bay: climb" not in after["contractor-notice"]
    plan = after["fall-protection-plan"]
    assert "the rail is being replaced." in plan
    assert "Open the fill lid in the manhole cover" in before["fall-protection-plan"]
    assert "| Open the fill lid in the manhole cover" not in plan
    sheet = plan[plan.index("{: #limits-B1") : plan.index("{: #limits-B2")]
    assert not re.search(r"\d+(\.\d+)? ?(ft|lb)", sheet.replace("\u00a0", " "))
    assert "Nobody may climb there, except rescuers in a rescue." in sheet
    rescue = after["rescue-procedure"]
    assert "Bay closed: Truck bay. Nobody may climb there, except rescuers in a rescue." in rescue
    for name in ("contractor-notice", "fall-protection-plan", "rescue-procedure"):
        for line in after[name].splitlines():
            assert "Truck bay" not in line or " may " not in line or "obody may" in line, line
    rows = [line for line in before["rescue-procedure"].splitlines() if line.startswith("| Truck bay | Tank trailer")]
    assert rows
    assert all(row in rescue for row in rows)


def test_states_of_papers():
    """A paper that something stops is a draft with its findings; one that nothing stops is for approval."""
    clean = {p.name: p for p in stated(demo("harrow-ridge")).papers}
    assert {p.state for p in clean.values()} == {"for-approval"}
    faulty = {p.name: p for p in stated(with_changes(demo("harrow-ridge"), {"contractors.enforcement": []})).papers}
    assert (faulty["contractor-notice"].state, faulty["contractor-notice"].names) == ("draft", ("no-enforcement",))
    assert faulty["rescue-procedure"].state == "for-approval"


def test_issued_and_superseded(site):
    """What was issued is issued while its text holds; a paper on record in a language that the site gave up is superseded."""
    code, out, _ = run("check", str(site), "--as-of", "2026-11-02", "--format", "json")
    assert code == 0
    assert {(p["name"], p["state"], p["revision"]) for p in json.loads(out)["papers"]} >= {("contractor-notice", "issued", 1)}
    profile = site / "profile.yaml"
    profile.write_text(
        profile.read_text(encoding="utf-8").replace(
            "appeal: Appeal to the safety manager", "appeal: Appeal to the safety manager in writing"
        )
    )
    code, out, _ = run("check", str(site), "--as-of", "2026-11-02", "--format", "json")
    notice = next(p for p in json.loads(out)["papers"] if p["name"] == "contractor-notice")
    assert (notice["state"], notice["revision"], notice["reasons"][0]["reason"]) == ("for-approval", 1, "differs")


def test_what_no_paper_prints_is_counted():
    """A value given for a paper that does not print it yet is listed by its path, and goes from the list when a paper reads it."""
    listed = stated(demo("harrow-ridge")).unprinted
    assert "site.gate.opens[0].by" in listed
    assert "rescue.practice.dummy" not in listed  # the drill record prints it
    closed = stated(with_changes(demo("harrow-ridge"), {"bays[B1].closed": CLOSED})).unprinted
    assert not [path for path in closed if path.startswith("bays[B1].closed")]
    out = run("check", str(SITES / "harrow-ridge"), "--as-of", AS_OF.isoformat(), "--compare")[1]
    assert f"Given values that stand on no paper: {len(listed)}." in " ".join(out.split())


def test_text_begins_with_the_bays():
    """The first lines of a check: each bay, open, not yet by its papers or closed, in which way, why, and where to begin."""
    first = run("check", str(SITES / "sable-point"), "--as-of", AS_OF.isoformat())[1].splitlines()[0]
    assert first.startswith("Wash bay: closed by what was found.")
    told = run("check", str(SITES / "harrow-ridge"), "--as-of", AS_OF.isoformat())[1]
    assert " ".join(told.split()).startswith(
        "Truck bay: not yet. Nothing that was found closes it, but no revision of its papers is in force: nobody climbs by them. Rail spur: not yet."
    )


def hang_a_sign(site):
    """The log says that the sign of the truck bay hangs."""
    happened(
        site,
        kind="posting",
        on=FIRST,
        by="L. Brandt",
        place="SIGN-1",
        document="bay-sign",
        language="en",
        what="hung",
        revision=1,
    )


def test_check_says_of_a_bay_what_register_and_site_page_say(tmp_path):
    """Not yet without a revision in force; not yet where its papers hang nowhere by the log; open once they do: in text, JSON and the register."""
    site = new_site(tmp_path)

    def said():
        checked = check_site(site, FIRST)
        row = of_site(checked, "a", None, "en", None)
        told = [" ".join(line.split()) for line in bay_lines(checked, checked.assessed.bays, "en")]
        states = [b["state"] for b in json_object(checked)["bays"]]
        assert states == [b["state"] for b in row["bays"]]
        assert [b["waits_for"] for b in json_object(checked)["bays"]] == [waits_on(checked, b) for b in checked.assessed.bays]
        return states, " ".join(told)

    states, told = said()
    assert states == ["waiting", "waiting"]
    assert "Truck bay: not yet. Nothing that was found closes it, but no revision of its papers is in force" in told
    approve_all(site, FIRST)
    issue(site, FIRST, ("md",))
    states, told = said()
    assert states == ["waiting", "waiting"]
    assert "Truck bay: not yet. Nothing that was found closes it, but by the log its papers hang nowhere" in told
    hang_a_sign(site)
    states, told = said()
    assert states == ["open", "waiting"]
    assert told.startswith("Truck bay: open. Rail spur: not yet.")


def test_papers_that_are_older_than_the_facts_are_told(tmp_path):
    """After a device with a longer arrest distance: check names the revision that hangs, page and sheets the papers that changed; a comment in
    the profile moves no paper, and check sends to `docgen changes` all the same, since it composes none."""
    site = new_site(tmp_path)
    approve_all(site, FIRST)
    issue(site, FIRST, ("md",))
    hang_a_sign(site)

    def said():
        checked, bodies = compared_site(check_site(site, FIRST))
        wanted = ("status-sheet", "shift-sheet")
        made = compose_all(
            checked.site,
            checked.code,
            checked.assessed,
            checked.happened,
            ("md",),
            wanted=(*wanted, "index"),
            records=checked.records,
            bodies=bodies,
        )
        return (
            " ".join(as_text(checked).split()),
            {d.name: " ".join(d.markdown.split()) for d, _ in made},
            json_object(checked)["changed_since"],
        )

    told, sheets, since = said()
    assert (since, "has changed since" in told) == (None, False)
    assert "Truck bay: open." in told
    assert not [name for name, text in sheets.items() if "older than" in text]
    profile = site / "profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    told, sheets, since = said()
    assert since == 1
    assert "The profile has changed since revision 1: what hangs tells the older facts." in told
    assert not [name for name, text in sheets.items() if "older than" in text]
    swap(site, ("arrest_distance: {value: 30 in", "arrest_distance: {value: 32 in"))
    _, sheets, _ = said()
    assert "What hangs is older than the facts on this page: the fall-protection plan" in sheets["index"]
    assert "is open by papers that are older than the facts of today" in sheets["status-sheet"]
    assert "What hangs is older than this sheet: the fall-protection plan" in sheets["shift-sheet"]


def test_the_site_page_shows_the_bays():
    """Each bay with its state and its reasons; without a revision in force nobody climbs in a bay that nothing closes."""
    page = markdown(with_changes(demo("harrow-ridge"), {"bays[B1].phone": None}))["index"]
    truck, rail = page[page.index("### Truck bay") :].split("### Rail spur")[:2]
    assert "**CLOSED**" in truck
    assert "Nobody climbs here until this is put right.\n\n- Facts are missing." in truck
    assert "**NOT YET**" in rail
    assert "Nothing that was found closes it." in rail


def test_a_figure_read_after_the_day_of_the_papers_closes_no_bay_on_them():
    """A label that was read on 10 November, in papers written for 1 November: the papers know no day of a check, so the bay stays open on them.

    On a check before that day the figure is from the future, and stops the issue.
    """
    label = {"value": "30 in", "how": "label", "by": "competent-person", "on": "2026-11-10"}
    changed = with_changes(demo("harrow-ridge"), {"equipment[D-1].arrest_distance": label})
    assert [state.state for state in changed.assessed.planned] == ["open", "open"]
    assert "measured-in-future" in {f.name for f in changed.assessed.findings}
    assert changed.assessed.bays[0].state == "closed-by-finding"
