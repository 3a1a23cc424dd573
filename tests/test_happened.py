"""What the log says: it changes no body, it closes for the day, it begins as it was frozen, and it is written one whole line at a time."""

import shutil
from datetime import date, timedelta

import pytest
from control_site import FIRST, LATER, approve_all, happened, issue
from support import AS_OF, SITES, demo, log_of, logged, run, with_changes

from docgen.checked import Assessed, Refused
from docgen.compose import all_bodies, compose_all
from docgen.happened import Happened
from docgen.logbook import appended
from docgen.pipeline import check_site
from docgen.read import read_text
from docgen.records import read_records
from docgen.site.log import KINDS
from docgen.site.schema import entry_schema

TWO = ("harrow-ridge", "pellan-creek")
THREE = (*TWO, "thornmere")


def samples(site) -> dict[str, dict]:
    """An entry of each kind for a demo with every field that it may have, as bad or as new as it can be."""
    bay, method, vehicle, system = site.bays[0].id, site.rescue.methods[-1].id, site.tasks[0].vehicle, site.systems[0]
    user, rescuer, contact = site.people.users[0].id, site.people.rescuers[0].id, site.emergency.contacts[0]
    shift, kit, place, role = site.shifts[0].id, site.rescue.kit_places[0].kit, site.posting[0].id, site.roles[0].id
    device = next(p.id for p in site.equipment if p.kind == "srd")
    return {
        "inspection": {"part": device, "result": "fail", "serial": "X-1"},
        "test": {"what": "radio", "bay": bay, "result": "fail", "level": "3 lx"},
        "training": {"person": user, "course": "Another course", "language": "es", "practical": False},
        "contact": {"contact": contact.role, "number": "555-0199", "answered": False},
        "number-tried": {"number": contact.number, "how": "dialled"},
        "kit": {"kit": kit, "whole": False},
        "posting": {"place": place, "document": "contractor-notice", "language": "en", "revision": 9, "what": "hung", "witness": "X. Second", "photo": "x.jpg", "foot_mark": "58b09853fc00"},
        "review": {"what": "site-rule", "rule": site.site_rules[-1].id, "result": "Other figures found"},
        "commissioning": {"system": system.id, "report": "CR-9"},
        "closure": {"bay": bay, "shift": shift, "reason": "The hook does not lock"},
        "opened": {"bay": bay, "shift": shift, "second": "X. Second"},
        "fit": {"person": rescuer, "result": "not-yet", "lower": "199 lb", "upper": "200 lb", "role": role},
        "arrest": {"bay": bay, "parts": [device], "persons": [user]},
        "cleared": {"part": device, "page": "page 30"},
        "tagged": {"part": device, "reason": "Label gone"},
        "drill": {"method": method, "shift": shift, "bay": bay, "vehicle": vehicle, "contact": "30 min", "ground": "60 min", "pair": "RS-9 and RS-8",
                  "dummy": "Dummy", "light": "Night", "result": "The pole was fetched late"},
        "climb-looked-at": {"bay": bay, "seen": "Unhooked on the walkway"},
        "breach": {"bay": bay, "class": "own", "persons": [user], "text": "Unhooked", "step": 2, "done": "Recorded"},
        "near-miss": {"bay": bay, "persons": [user], "text": "A driver stepped onto the ladder"},
        "change": {"bay": bay, "persons": [user], "text": "The hook locks to the left"},
        "recommendation": {"text": "A gate at the ladder", "finding": "lighting-unstated", "at": f"bays[{bay}]", "owner": role, "due": "2026-12-01", "interim": "No work after dark"},
        "done": {"entry": "3f9a12bc", "evidence": "Photograph"},
        "certificate": {"what": "Operator card", "of": "P-1", "until": "2026-10-01"},
        "letter": {"about": "response-time", "of": "Another service"},
        "visit": {"of": "Another service", "what": "Walked to the bays"},
        "photo": {"what": "Label", "file": "label.jpg"},
        "contract-seen": {"firm": "Tank Wash Co.", "sentence": "The rules at the gate are a condition of entry"},
        "unknown-vehicle": {"what": "Lowboy", "bay": bay, "visits": 40, "deck": "3.2 ft"},
        "cards": {"month": "2026-10", "climbs": 99, "filled": 1},
        "hold": {"state": "on", "reason": "Request of counsel"},
        "correction": {"entry": "3f9a12bc", "reason": "Wrong part"},
    }  # fmt: skip


def entry(kind, more, on="2026-10-30"):
    return {"kind": kind, "on": on, "by": "X. Writer", **more}


def digests(checked: Assessed) -> dict:
    """Every body of a site: digest, words, and what each clause rests on."""
    bodies = all_bodies(checked.site, checked.code, checked.assessed)
    return {
        (b.document, b.language): (b.digest, b.markdown, tuple(c.inputs for c in b.clauses))
        for d in bodies.values()
        for b in d.values()
    }


ALL = ("kind", "on", "by", "note")


def rewritten(source, given, others):
    """The log with every entry of some kinds saying something else in each of its fields, and with one more of each that has them all."""
    steps = []
    for kind, more in given.items():
        for old in (e for e in source.data["entries"] if e["kind"] == kind):
            new = {**more, "on": "2026-10-29", "by": "X. Writer", "note": "Another note"}
            for field, value in old.items():
                if field != "kind" and new[field] == value:
                    new[field] = others(field, value)
            assert all(new[field] != value for field, value in old.items() if field != "kind"), old
            steps.append({"set": old, "to": new})
    return logged(source, [*steps, *({"add": entry(kind, more)} for kind, more in given.items())])


def batched(items, size):
    items = list(items)
    return [items[n : n + size] for n in range(0, len(items), size)]


def other_value(site):
    """A value that a field may have beside the one that it has: another id of the same kind, or another word of the list."""
    ids = {
        "part": site.equipment, "person": (*site.people.users, *site.people.rescuers), "kit": site.equipment, "place": site.posting,
        "rule": site.site_rules, "system": site.systems, "bay": site.bays, "shift": site.shifts, "role": site.roles,
        "method": site.rescue.methods, "vehicle": site.vehicles,
    }  # fmt: skip
    words = {
        "what": ("radio", "telephone", "law", "plan"), "result": ("pass", "fail"), "answered": (True, False), "whole": (True, False),
        "practical": (True, False), "about": ("agreement", "other"), "how": ("dialled", "confirmed"), "language": ("en", "es"),
        "state": ("on", "off"), "contact": [c.role for c in site.emergency.contacts], "number": ("555-0199", "555-0198"), "upper": ("311 lb", "312 lb"),
    }  # fmt: skip

    def other(field, value):
        known = words.get(field) or [r.id for r in ids.get(field, ())]
        return next((v for v in known if v != value), f"{value}9")

    return other


@pytest.mark.parametrize("name", THREE)
def test_no_field_of_the_log_and_no_day_changes_a_body(name):
    """Every field of every entry changed and one of each kind added, eight kinds at a time; all kinds; no log at all; another day: the same bytes and inputs."""
    checked, source = demo(name), log_of(name)
    before, seen = digests(checked), {f.name for f in checked.assessed.findings}
    assert before
    given = samples(checked.site)
    assert set(given) == set(KINDS)
    for kind, more in given.items():
        assert {*ALL, *more} == set(entry_schema(kind)["properties"]), kind
    for kinds in batched(given, 8):
        some = {kind: given[kind] for kind in kinds}
        changed = with_changes(checked, {}, log=rewritten(source, some, other_value(checked.site)))
        assert len(changed.log.entries) == len(checked.log.entries) + len(some)
        assert digests(changed) == before, kinds
    every = with_changes(checked, {}, log=logged(source, [{"add": entry(k, m)} for k, m in given.items()]))
    assert {f.name for f in every.assessed.findings} > seen
    assert digests(every) == before
    assert digests(with_changes(checked, {}, log=logged(source, [{"drop": {}}]))) == before
    assert digests(with_changes(checked, {}, as_of=AS_OF + timedelta(days=200))) == before


@pytest.mark.parametrize("name", TWO)
def test_what_the_log_shows_never_stops_an_issue(name):
    """Whatever happened, and if nothing did: the papers that may be issued are the same."""
    checked, source = demo(name), log_of(name)
    for steps in ([{"add": entry(k, m)} for k, m in samples(checked.site).items()], [{"drop": {}}]):
        found = with_changes(checked, {}, log=logged(source, steps)).assessed.findings
        assert found
        assert [f.name for f in found if f.stops == "issue"] == []


# --- closed today -------------------------------------------------------------------------------------------------------


def sheet(checked, name):
    """A sheet of the day as text."""
    made = compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("md",), (), (name,))
    return next(d.markdown for d, _ in made if d.name == name)


def closed(*steps, day=AS_OF):
    """(bay, reason) of everything that the log of the full demo closes once it is changed."""
    checked = with_changes(demo("harrow-ridge"), {}, as_of=day, log=logged(log_of("harrow-ridge"), steps))
    return [(b.bay, r.reason) for b in checked.assessed.bays for r in b.reasons if b.state == "closed-today"]


SLOW = {"set": {"kind": "drill", "shift": "day"}, "to": {"ground": "10 min"}}
SLOW_TOO = {
    "add": entry(
        "drill",
        {"method": "M3", "shift": "day", "bay": "B2", "vehicle": "tank-car", "contact": "3 min", "ground": "9.5 min"},
        "2026-10-05",
    )
}
SHUT = {"add": entry("closure", {"bay": "B2", "shift": "night", "reason": "Ice on the rail"})}
LOAD_PATH = ("F-1", "ST-1", "HG-1", "SP-1", "R-1", "ES-1", "ES-2", "T-1", "C-1", "D-1", "HK-1")
TODAY = [  # steps, what is closed, steps that open it again
    ([{"add": entry("tagged", {"part": "D-2", "reason": "Label gone"})}], [("B2", "tagged")],
     [{"add": entry("cleared", {"part": "D-2", "page": "page 30"})}]),
    ([{"add": entry("arrest", {"bay": "B1", "parts": ["D-1"]})}], [("B1", "stopped-fall")],
     [{"add": entry("cleared", {"part": p, "page": "page 30"})} for p in LOAD_PATH]),
    ([{"set": {"kind": "inspection", "part": "T-2"}, "to": {"result": "fail"}}], [("B2", "tagged")],
     [{"add": entry("inspection", {"part": "T-2", "result": "pass"})}]),
    ([{"set": {"kind": "inspection", "part": "D-1"}, "to": {"on": "2026-04-30"}}], [("B1", "inspection-overdue")],
     [{"add": entry("inspection", {"part": "D-1", "result": "pass"})}]),
    ([{"set": {"kind": "kit", "kit": "K-1"}, "to": {"whole": False}}], [("B1", "kit"), ("B2", "kit")],
     [{"add": entry("kit", {"kit": "K-1", "whole": True})}]),
    ([SLOW, SLOW_TOO], [("B2", "practice-slow")],
     [{"add": entry("drill", {"method": "M3", "shift": "day", "bay": "B2", "vehicle": "tank-car", "contact": "3 min", "ground": "9 min"})}]),
    ([SHUT], [("B2", "decided")], [{"add": entry("opened", {"bay": "B2", "second": "L. Brandt"})}]),
    ([{"set": {"kind": "contact", "contact": "Control room"}, "to": {"on": "2026-04-30"}}],
     [("B1", "check-overdue"), ("B2", "check-overdue")],
     [{"add": entry("contact", {"contact": "Control room", "number": "555-0150", "answered": True})}]),
]  # fmt: skip


@pytest.mark.parametrize(("steps", "wanted", "again"), TODAY, ids=[f"{t[1][0][1]} {n}" for n, t in enumerate(TODAY)])
def test_closed_today_until_it_is_mended(steps, wanted, again):
    """Each way in which the log closes a bay, and the entry that opens it again; a correction does the same."""
    assert closed() == []
    assert closed(*steps) == wanted
    assert closed(*steps, *again) == []
    if "add" in steps[0]:
        assert closed(*steps, {"correct": {"kind": steps[0]["add"]["kind"]}}) == []


def test_an_entry_closes_the_bays_that_it_speaks_of():
    """The state of a bay follows the part, kit or drill of an entry: the other bay stays open."""
    for steps, wanted, reason in (
        ([{"add": entry("tagged", {"part": "D-2", "reason": "Label gone"})}], ("open", "closed-today"), "tagged"),
        ([{"add": entry("arrest", {"bay": "B1", "parts": ["D-1"]})}], ("closed-today", "open"), "stopped-fall"),
        ([{"set": {"kind": "inspection", "part": "T-2"}, "to": {"result": "fail"}}], ("open", "closed-today"), "tagged"),
        ([{"set": {"kind": "kit", "kit": "K-1"}, "to": {"whole": False}}], ("closed-today", "closed-today"), "kit"),
        ([{"add": entry("tagged", {"part": "HK-2", "reason": "Gate does not lock"})}], ("open", "closed-today"), "tagged"),
        ([{"set": {"kind": "inspection", "part": "ES-3"}, "to": {"result": "fail"}}], ("open", "closed-today"), "tagged"),
        ([{"set": {"kind": "inspection", "part": "F-1"}, "to": {"result": "fail"}}], ("closed-today", "open"), "tagged"),
        ([{"add": entry("tagged", {"part": "K-2", "reason": "Pole bent"})}], ("closed-today", "closed-today"), "tagged"),
        ([SLOW, SLOW_TOO], ("open", "closed-today"), "practice-slow"),
    ):
        bays = with_changes(demo("harrow-ridge"), {}, log=logged(log_of("harrow-ridge"), steps)).assessed.bays
        assert tuple(b.state for b in bays) == wanted, steps
        assert {r.reason for b in bays for r in b.reasons} == {reason}, steps


def test_a_drill_over_the_target_closes_its_method_alone():
    """Where another method serves the same rows and whoever is unconscious, the bay stays open: status and shift sheet name the method, the
    vehicle and the shift on which nobody counts on it, and no other; the paper of the check says the same.
    """
    assert closed(SLOW) == []
    checked = with_changes(demo("harrow-ridge"), {}, log=logged(log_of("harrow-ridge"), [SLOW]))
    found = {f.name for f in checked.assessed.findings}
    assert "drill-over-target" in found
    assert "drill-leaves-gap" not in found
    said = (
        "nobody counts on a method whose last drill was over the target: Method 2: Raise with the rescue kit, release and lower."
    )
    for name in ("status-sheet", "shift-sheet"):
        text = sheet(checked, name)
        assert text.count(said) == 1, name
        assert f"or the tank railcar on the day shift {said}" in text
        assert said not in sheet(demo("harrow-ridge"), name)
    shut = with_changes(demo("harrow-ridge"), {}, log=logged(log_of("harrow-ridge"), [SLOW, SLOW_TOO]))
    assert said not in sheet(shut, "status-sheet")  # the bay is closed, and that says it
    assert "Rail spur, Tank railcar, Day: with M2, M3 closed by a drill over the target, the rows B, C, E" in sheet(
        shut, "status-sheet"
    )


def test_an_opening_of_another_shift_opens_nothing():
    """A bay closed for the night stays closed when the day opens; one closed for all shifts too."""
    assert closed(SHUT, {"add": entry("opened", {"bay": "B2", "shift": "day", "second": "L. Brandt"})}) == [("B2", "decided")]
    assert closed(SHUT, {"add": entry("opened", {"bay": "B1", "second": "L. Brandt"})}) == [("B2", "decided")]


def test_a_log_is_read_as_of_a_day():
    """Entries after the day do not count; what hangs is what was hung last and not taken down."""
    paper = {"place": "GATE-1", "document": "contractor-notice", "language": "en", "revision": 1}
    steps = [
        {"add": entry("posting", {**paper, "what": "hung"}, "2026-09-01")},
        {"add": entry("posting", {**paper, "what": "seen", "witness": "X. Second"}, "2026-09-10")},
        {"add": entry("posting", {**paper, "revision": 2, "what": "hung"}, "2026-09-20")},
        {"add": entry("posting", {**paper, "what": "taken-down"}, "2026-09-30")},
    ]
    site, log = demo("harrow-ridge").site, logged(log_of("harrow-ridge"), steps)
    seen = {}
    for day in (date(2026, 8, 31), date(2026, 9, 1), date(2026, 9, 15), date(2026, 9, 25), date(2026, 9, 30)):
        hanging = Happened(site, log, day).hangs("GATE-1")
        seen[day.day] = None if hanging is None else (hanging.revision, hanging.on.day, hanging.seen.day, hanging.witness)
    assert seen == {31: None, 1: (1, 1, 1, None), 15: (1, 1, 10, "X. Second"), 25: (2, 20, 20, None), 30: None}


# --- the file -----------------------------------------------------------------------------------------------------------


def edited(site, old, new):
    """Problems of a site once a text of its log is another: line and message."""
    log = site / "log.yaml"
    text = log.read_text(encoding="utf-8")
    assert old in text
    log.write_text(text.replace(old, new, 1), encoding="utf-8")
    checked = check_site(site, LATER)
    return [(p.file.rsplit("/", 1)[-1], p.line, p.message) for p in checked.problems]


def test_the_log_begins_as_it_was_frozen(site):
    """What was on file at the last issue may not be changed, moved or taken out; what came since may be corrected by hand."""
    assert (site / "issued/rev-001/log.yaml").read_bytes() == (site / "log.yaml").read_bytes()
    happened(site, kind="kit", on=date(2026, 11, 5), by="D. Sorensen", kit="K-1", whole=True)
    assert edited(site, "by: D. Sorensen, kit: K-1, whole: true}\n", "by: D. Sorensen, kit: K-1, whole: true}\n") == []
    first = next(line for line in (site / "log.yaml").read_text(encoding="utf-8").splitlines() if line.startswith("  - "))
    ((file, line, message),) = edited(site, f"{first}\n", "")
    assert (file, message) == (
        "log.yaml",
        "entry 1 (commissioning of 2025-03-18 by T. Maran, mark 'cb6eafac') was frozen with rev-001 and is gone",
    )
    assert line == 5
    (site / "log.yaml").unlink()
    (problem,) = check_site(site, LATER).problems
    assert problem.message == "the log is gone that was frozen with rev-001"


def test_what_has_left_the_profile_may_stand_in_the_frozen_part(site):
    """A part that was exchanged keeps its history; a new entry about what the profile does not know is a mistake."""
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    for old in ("{id: SR-3, ", "SR-3"):
        text = text.replace(old, old.replace("SR-3", "SR-9"))
    profile.write_text(text, encoding="utf-8")
    assert isinstance(check_site(site, LATER), Assessed)
    happened(site, kind="review", on=date(2026, 11, 5), by="L. Brandt", what="site-rule", rule="SR-3")
    checked = check_site(site, LATER)
    assert isinstance(checked, Refused)
    assert ["nothing under site_rules has the id 'SR-3'" in p.message for p in checked.problems] == [True]


def test_a_second_revision_freezes_the_longer_log(site):
    """Each revision holds the log of its day, as a file on its list of digests."""
    happened(site, kind="kit", on=date(2026, 11, 5), by="D. Sorensen", kit="K-1", whole=True)
    profile = site / "profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8").replace("wind: 25 mph", "wind: 20 mph"), encoding="utf-8")
    approve_all(site, LATER)
    assert not issue(site, LATER, types=("md",))[1]
    assert "log.yaml" in read_records(site, "harrow-ridge").issued[-1].files
    assert (site / "issued/rev-002/log.yaml").read_bytes() == (site / "log.yaml").read_bytes()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "log: 1\nentries: []\n",
        "log: 1\nentries:\n",
        "log: 1\nentries:\n    - {kind: x}\n",
        "# c\nlog: 1\nentries:\n  - {kind: x}\n# end\n\n",
    ],
)
def test_an_entry_is_appended_as_one_line(text):
    """To an empty log, to one without entries and behind the last one; what stands there is kept."""
    odd = {
        "kind": "hold",
        "on": date(2026, 11, 3),
        "state": "on",
        "by": "A: B #1",
        "reason": 'He said "no", twice',
        "n": 3,
        "yes": True,
    }
    new = appended(text, odd)
    source = read_text(new)
    assert source.problems == ()
    before = read_text(text).data if text else None
    entries = (before or {}).get("entries") or []
    assert source.data["entries"] == [*entries, {**odd, "on": "2026-11-03", "n": 3}]
    assert [line for line in text.splitlines() if line.startswith("#")] == [
        line for line in new.splitlines() if line.startswith("#")
    ]


def test_a_hold_is_an_entry(tmp_path):
    """`docgen hold` adds one line and changes no other; a site without a log gets one; twice on is refused."""
    for name in ("harrow-ridge", "sable-point"):
        site = tmp_path / name
        shutil.copytree(SITES / name, site)
        log = site / "log.yaml"
        before = log.read_text(encoding="utf-8") if log.is_file() else ""
        code, said, _ = run("hold", str(site), "on", "--by", "A. Petrie", "--reason", "Claim: ladder #2", "--on", "2026-11-12")
        assert code == 0
        after = log.read_text(encoding="utf-8")
        assert after.startswith(before)
        assert (
            after.splitlines()[-1] == '  - {kind: hold, on: 2026-11-12, by: A. Petrie, state: "on", reason: "Claim: ladder #2"}'
        )
        assert f"{log}: hold on since 2026-11-12 by A. Petrie" in said
        assert run("hold", str(site), "on", "--by", "A. Petrie", "--reason", "Claim", "--on", "2026-11-13")[0] == 2
        assert log.read_text(encoding="utf-8") == after
        assert check_site(site, LATER).happened.held.reason == "Claim: ladder #2"
        assert check_site(site, FIRST).happened.held is None
