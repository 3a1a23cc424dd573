"""What falls due: the list says what the findings say, on every day; a calendar reads what is written for it."""

import csv
import io
import json
import shutil
from dataclasses import replace
from datetime import date, timedelta

import pytest
from icalendar import Calendar
from support import AS_OF, SITES, demo, run, with_changes

from docgen.cli import main
from docgen.codes.model import Amendment
from docgen.codes.survey import Due as Reading
from docgen.due import FORMATS, Row, rows_of

YEARS = timedelta(days=3650)
#: Duty -> the findings that tell it as overdue or never done.
TOLD_BY = {
    "inspection": {"inspection-overdue"},
    "training": {"refresher-overdue"},
    "rescue-practical": {"rescuer-practical-overdue"},
    "drill": {"drill-overdue"},
    "contact-test": {"contact-stale"},
    "document-review": {"review-overdue"},
    "kit-check": {"kit-check-stale"},
    "posting-check": {"posting-check-stale"},
    "law-comparison": {"citations-stale"},
    "licence": {"licence-expired"},
}


def rows(name: str, day: date = AS_OF, within: timedelta = YEARS) -> list[Row]:
    return list(rows_of(demo(name, day), within, "en"))


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek", "cormorant-quay"])
@pytest.mark.parametrize("days", [0, 75, 150, 220, 300, 420, 800])
def test_the_list_and_the_findings_tell_the_same(site, days):
    """A duty stands among the overdue exactly where a finding of today says so."""
    day = AS_OF + timedelta(days=days)
    checked = demo(site, day)
    found = {f.name for f in (*checked.assessed.findings, *checked.assessed.accepted)}
    overdue = {r.what for r in rows(site, day) if r.state == "overdue"}
    for what, names in TOLD_BY.items():
        assert (what in overdue) == bool(names & found), (what, names & found)


def test_nothing_is_listed_that_has_no_day():
    """Each row stands for a day of the profile, the log or the law, or for something never done that has an interval."""
    for site in ("harrow-ridge", "pellan-creek", "cormorant-quay"):
        for row in rows(site):
            assert (row.due is not None) or (row.state == "never" and row.interval), row
            assert row.state != "coming" or row.due >= AS_OF


def test_what_is_written_by_hand_is_listed():
    """The end of service of a part, an acceptance, an open finding and a recommendation each have a row of their own; what was done has none."""
    days = {r.what: (r.which, r.due) for r in rows("cormorant-quay")}
    assert days["end-of-service"] == (("H-1",), date(2026, 6, 30))
    changed = with_changes(demo("harrow-ridge"), {
        "equipment[D-1].retire_by": "2027-01-05",
        "accepted": [{"finding": "swing-into-flat", "reason": "Foam ordered", "by": "safety-manager", "until": "2026-12-01"}],
        "handling": [
            {"finding": "lighting-unstated", "at": "bays[B1]", "owner": "safety-manager", "due": "2026-12-15"},
            {"finding": "posting-unlit", "owner": "safety-manager", "due": "2026-12-16", "closed_on": "2026-10-20", "evidence": "Photo"},
        ],
    })  # fmt: skip
    found = {r.what: (r.which, r.due) for r in rows_of(changed, YEARS, "en")}
    assert found["end-of-service"] == (("D-1",), date(2027, 1, 5))
    assert found["acceptance"] == (("swing-into-flat",), date(2026, 12, 1))
    assert found["open-finding"] == (("lighting-unstated (bays[B1])",), date(2026, 12, 15))
    assert [r.which for r in rows("pellan-creek") if r.what == "recommendation"] == [("A second light at the kit",)]


def test_law_that_was_amended_after_its_reading_is_listed(monkeypatch):
    """On the day of the amendment; not what was amended before it was read, nor what is expected without a day, nor the law of another sector."""
    day = date(2026, 10, 5)

    def answer(key, amended=(), expected=(), sectors=("general-industry",)):
        changes = tuple(Amendment(on=on, by="an order", what="a word") for on in amended)
        return Reading("US", key, sectors, key, "official", date(2026, 9, 1), changes, expected)

    answers = (
        answer("1910.28", [day]), answer("1910.29", [date(2026, 1, 1)]), answer("1910.30", expected=(None,)),
        answer("1926.502", [day], sectors=("construction",)), answer("1910.140", expected=(date(2027, 1, 1),)),
    )  # fmt: skip
    asked = []
    monkeypatch.setattr("docgen.due.due_for_reading", lambda on, codes: asked.append(set(codes)) or answers)
    found = [r for r in rows("harrow-ridge") if r.what == "law-reading"]
    assert [(r.which, r.due, r.state) for r in found] == [
        (("1910.28",), day, "overdue"),
        (("1910.140",), date(2027, 1, 1), "coming"),
    ]
    assert asked == [{"US"}]


def test_nobody_is_sent_to_dial_the_public_number():
    """It is confirmed on the non-emergency line, also where the profile does not say that it is the public one."""
    for site in ("harrow-ridge", "pellan-creek", "cormorant-quay"):
        for row in rows(site):
            if row.what == "contact-test" and "911" in row.todo:
                assert "non-emergency line" in row.todo
                assert "Call" not in row.todo
            elif row.what == "contact-test":
                public = [c.role for c in demo(site).site.emergency.contacts if c.number == "911"]
                assert not set(public) & set(row.which)


def test_the_span_is_kept():
    """The last day of the span is in it, the day after is not."""
    first = min(r.due for r in rows("harrow-ridge"))
    ahead = first - AS_OF
    assert [r.due for r in rows("harrow-ridge", within=ahead)][:1] == [first]
    assert not rows("harrow-ridge", within=ahead - timedelta(days=1))


def written(form: str, site: str = "cormorant-quay", day: date = AS_OF) -> str:
    checked = demo(site, day)
    named = {checked.site.site.id: checked.site.site.name}
    return FORMATS[form](rows_of(checked, YEARS, "en"), named, day, day + YEARS, "en")


def test_a_calendar_reads_it():
    """RFC 5545 by a known reader: a day for each row, lines of at most 75 octets that end in CRLF, identities that are unique."""
    text = written("ics")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert "\n" not in text.replace("\r\n", "")
    events = Calendar.from_ical(text).walk("VEVENT")
    assert len(events) == len(rows("cormorant-quay"))
    assert len({str(e["uid"]) for e in events}) == len(events)
    for event, row in zip(events, rows("cormorant-quay"), strict=True):
        assert event.decoded("dtstart") == (row.due if row.state == "coming" else AS_OF)
        assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)
        assert row.todo in str(event["summary"])


def test_an_entry_of_the_calendar_moves_and_is_not_doubled():
    """Read again after the duty was done, the same entry stands on its new day, with a higher sequence."""
    before, after = (
        Calendar.from_ical(written("ics", "harrow-ridge", day)).walk("VEVENT") for day in (AS_OF, AS_OF + timedelta(days=300))
    )
    was = {str(e["uid"]): e for e in before}
    later = {str(e["uid"]): e for e in after}
    assert was.keys() == later.keys()
    moved = [u for u in was if was[u].decoded("dtstart") != later[u].decoded("dtstart")]
    assert moved
    assert all(later[u]["sequence"] > was[u]["sequence"] for u in moved)


def test_an_alarm_rings_two_weeks_before():
    """Only for what is still ahead by as much."""
    for event, row in zip(Calendar.from_ical(written("ics")).walk("VEVENT"), rows("cormorant-quay"), strict=True):
        alarms = event.walk("VALARM")
        assert bool(alarms) == (row.state == "coming" and row.due - AS_OF >= timedelta(days=14))
        assert all(a.decoded("trigger") == timedelta(days=-14) for a in alarms)


def test_no_alarm_rings_in_the_past():
    """What falls due in less than two weeks stands in the calendar, and its alarm would have rung already."""
    day = date(2026, 12, 19)
    for later, rings in ((0, False), (-1, True)):
        on = day + timedelta(days=later)
        mine = [r for r in rows("harrow-ridge", on) if r.due == date(2027, 1, 1)]
        assert [r.state for r in mine] == ["coming"]
        text = FORMATS["ics"](mine, {"harrow-ridge": "x"}, on, on + YEARS, "en")
        assert [bool(e.walk("VALARM")) for e in Calendar.from_ical(text).walk("VEVENT")] == [rings]


def test_tables_hold_the_rows():
    """CSV and JSON say what the rows say; a text that a sheet would take for a formula is text."""
    table = list(csv.DictReader(io.StringIO(written("csv"))))
    told = json.loads(written("json"))
    assert [r["todo"] for r in table] == [r["todo"] for r in told["due"]] == [r.todo for r in rows("cormorant-quay")]
    assert [r["due"] or None for r in table] == [r["due"] for r in told["due"]]
    checked = with_changes(
        demo("harrow-ridge"), {"emergency.contacts": [{"role": "=Rescue lead", "number": "555-0143", "hours": "24 hours"}]}
    )
    named = {"harrow-ridge": "x"}
    said = FORMATS["csv"](rows_of(checked, YEARS, "en"), named, AS_OF, AS_OF + YEARS, "en")
    assert "=Rescue lead" in said
    assert not any(cell.startswith("=") for line in csv.reader(io.StringIO(said)) for cell in line)


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t"])
def test_no_cell_of_the_table_is_a_formula(sign):
    """A text that begins like a formula, or with a tab, is made text in CSV; common practice, no published source."""
    row = replace(rows("harrow-ridge")[0], todo=f"{sign}SUM(A1)")
    said = FORMATS["csv"]([row], {"harrow-ridge": "x"}, AS_OF, AS_OF + YEARS, "en")
    (line,) = csv.DictReader(io.StringIO(said, newline=""))
    assert line["todo"] == f"'{sign}SUM(A1)"


def test_the_command(tmp_path):
    """One site or many; exit 1 where something is overdue; a site that cannot be read is told and stops no other."""
    day = ("--as-of", "2026-11-01")
    code, out, _ = run("due", str(SITES / "harrow-ridge"), *day)
    assert (code, "Nothing is overdue" in out) == (0, True)
    code, out, _ = run("due", str(SITES), *day)
    assert code == 1
    assert "Harrow Ridge Terminal" in out
    assert "cormorant-quay: 11 overdue" in out
    code, out, err = run("due", str(SITES / "harrow-ridge"), str(tmp_path / "none"), *day)
    assert (code, "Harrow Ridge Terminal" in out, "none" in err) == (2, True, True)
    (tmp_path / "profile.yaml").write_text("profile: 2\nsite: {id: x}\n", encoding="utf-8")
    code, out, err = run("due", str(SITES / "harrow-ridge"), str(tmp_path), *day)
    assert (code, "Harrow Ridge Terminal" in out, "profile.yaml:" in err) == (1, True, True)
    code, out, _ = run("due", str(SITES / "pellan-creek"), *day, "--quiet")
    assert (code, "second light" in out) == (0, False)


def test_a_site_counts_once(tmp_path):
    """However often it is named; of another site with the same id that is told, since rows and calendar go by it."""
    day = ("--as-of", "2026-11-01", "--within", "120d")
    once = run("due", str(SITES / "harrow-ridge"), *day)
    assert once[0] == 0
    assert run("due", str(SITES / "harrow-ridge"), str(SITES / "harrow-ridge/profile.yaml"), *day) == once
    copy = shutil.copytree(SITES / "harrow-ridge", tmp_path / "copy")
    code, out, err = run("due", str(SITES / "harrow-ridge"), str(copy), *day)
    assert (code, out) == (2, once[1])
    assert f"{copy / 'profile.yaml'}: the id 'harrow-ridge' is that of {SITES / 'harrow-ridge/profile.yaml'} too" in err


def test_days_are_those_that_a_profile_may_name(capsys):
    """Every other one is told as wrong use, and no span from the last of them leaves the calendar."""
    assert run("due", str(SITES / "harrow-ridge"), "--as-of", "2199-12-31", "--within", "9999m")[0] == 1
    for day in ("2200-01-01", "9999-12-31", "1899-12-31"):
        with pytest.raises(SystemExit) as end:
            main(["due", str(SITES / "harrow-ridge"), "--as-of", day])
        assert (end.value.code, f"{day} lies outside the years 1900 to 2199" in capsys.readouterr().err) == (2, True)
