"""What falls due at one site or at many: what is to be done, by when, as text, CSV, JSON or a calendar (RFC 5545).

No interval is made up here: a row stands for a day that the profile, the log or the law gives, or that the assessment counted from them.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Any, Literal
from uuid import NAMESPACE_URL, uuid5

from docgen.checked import Assessed
from docgen.codes.folder import folder
from docgen.codes.survey import due_for_reading
from docgen.engineering.dues import decided_dues, due_together, in_order
from docgen.engineering.model import Due, Duty
from docgen.frozen import frozen
from docgen.words import words

__all__ = ["FORMATS", "Row", "rows_of"]

ALARM = timedelta(days=14)
State = Literal["never", "overdue", "coming"]
FIELDS = ("site", "what", "which", "last", "interval", "due", "state", "todo")


@frozen
class Row:
    """What one duty of a site asks for by a day. `site` is its id, `which` the ids of the things; `due` is None where it was never done."""

    site: str
    name: str
    what: Duty
    which: tuple[str, ...]
    last: date | None
    interval: str | None
    due: date | None
    state: State
    todo: str


def rows_of(checked: Assessed, within: timedelta, language: str) -> tuple[Row, ...]:
    """What is overdue, was never done, or falls due from the day of the check until that span after it: soonest first."""
    day, site = checked.as_of, checked.site
    last = day + within
    dues = in_order((*checked.assessed.dues, *decided_dues(site), *_law(checked)))
    wanted = [d for d in dues if d.due is None or d.due <= last]
    names = {r.id: r.name or r.id for r in site.reviewers}
    found = []
    for public, group in _apart(checked, wanted):
        for row in due_together(group, names):
            state: State = "never" if row.due is None else "overdue" if row.due < day else "coming"
            todo = _todo(checked, row.what, row.ids, public, language)
            found.append(
                Row(site.site.id, site.site.name or site.site.id, row.what, row.ids, row.last, row.interval, row.due, state, todo)
            )
    return tuple(sorted(found, key=lambda r: (r.due or date.min, r.what, r.which)))


def _apart(checked: Assessed, dues: list[Due]) -> Iterator[tuple[bool, list[Due]]]:
    """The confirmation of the public emergency number apart from everything else: nobody calls that one to try it."""
    emergency = checked.site.emergency
    public = {c.role for c in emergency.contacts if emergency.is_public(c.number)}
    asked = [d for d in dues if d.what == "contact-test" and d.id in public]
    yield True, asked
    yield False, [d for d in dues if d not in asked]


def _todo(checked: Assessed, what: Duty, which: tuple[str, ...], public: bool, language: str) -> str:
    said = words(language, checked.code.spelling)["due"]
    if public:
        emergency = checked.site.emergency
        numbers = dict.fromkeys(c.number or "" for c in emergency.contacts if c.role in which)
        line = f" {emergency.public.non_emergency}" if emergency.public.non_emergency else ""
        return str(said["contact-confirm"].format(number=", ".join(numbers), line=line))
    return str(said[what].format(which=", ".join(which)))


def _law(checked: Assessed) -> Iterator[Due]:
    """Answers of the law of the place that were amended, or are to be, after they were read; due on the day of the amendment."""
    mine = {link.code for link in folder(checked.code.code, ())}
    for answer in due_for_reading(checked.as_of, mine):
        if answer.later and checked.code.sector in answer.sectors:
            days = [a.on for a in answer.amended if answer.read is None or a.on > answer.read]
            days += [day for day in answer.expected if day is not None]
            if days:
                yield Due(path="codes", what="law-reading", id=answer.citation, last=answer.read, due=min(days))


def as_text(rows: Iterable[Row], sites: Mapping[str, str], day: date, last: date, language: str) -> str:
    """A block a site: what is overdue first, then what was never done and what comes; at the end of each a line of counts."""
    said, rows = words(language)["due"], list(rows)
    lines: list[str] = []
    for site, name in sites.items():
        mine = [r for r in rows if r.site == site]
        lines += [name, ""]
        for state in ("overdue", "never", "coming"):
            group = [r for r in mine if r.state == state]
            if group:
                lines.append(f"{said[state]} ({len(group)})")
            for row in group:
                when = "" if row.due is None else said["since" if state == "overdue" else "by"].format(day=row.due)
                lines.append(f"  {row.todo}{f', {when}' if when else ''}")
        if not mine:
            lines.append(said["nothing"].format(day=last))
        counts = {s: sum(r.state == s for r in mine) for s in ("overdue", "never", "coming")}
        lines += [said["count"].format(site=site, day=last, **counts), ""]
    return "\n".join(lines)


def as_csv(rows: Iterable[Row], sites: Mapping[str, str], day: date, last: date, language: str) -> str:
    """A line a row (RFC 4180), days as 2026-11-01; several ids in one field with semicolons. A leading sign of a formula is made text."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(FIELDS)
    for row in rows:
        table.writerow([_plain(text) for text in _cells(row).values()])
    return out.getvalue()


def _plain(text: str) -> str:
    """What a sheet would take for a formula is kept as text."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t") else text


def _cells(row: Row) -> dict[str, str]:
    return {
        "site": row.site, "what": row.what, "which": "; ".join(row.which), "last": _iso(row.last), "interval": row.interval or "",
        "due": _iso(row.due), "state": row.state, "todo": row.todo,
    }  # fmt: skip


def _iso(day: date | None) -> str:
    return day.isoformat() if day is not None else ""


def as_json(rows: Iterable[Row], sites: Mapping[str, str], day: date, last: date, language: str) -> str:
    """One object: the day, the last day looked at, the sites by id and name, and the rows; what was never done has null."""
    told = [
        {**_cells(r), "which": list(r.which), "last": _iso(r.last) or None, "interval": r.interval, "due": _iso(r.due) or None}
        for r in rows
    ]
    result = {"schema_version": 1, "as_of": day.isoformat(), "until": last.isoformat(), "sites": dict(sites), "due": told}
    return json.dumps(result, indent=2, ensure_ascii=False) + "\n"


def as_calendar(rows: Iterable[Row], sites: Mapping[str, str], day: date, last: date, language: str) -> str:
    """A day of the calendar for each row (RFC 5545), with an alarm two weeks before; what is overdue or was never done stands on today.

    The identity of an entry holds its site, duty and things, so that a calendar that reads the list again moves it to its new day.
    """
    from icalendar import Alarm, Calendar, Event

    said = words(language)["due"]
    calendar = Calendar()
    calendar.add("prodid", "-//docgen//due//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", said["calendar"])
    for row in rows:
        event: Any = Event()
        on = row.due if row.due is not None and row.state == "coming" else day
        title = f"{row.name}: {_title(row, said)}"
        event.add("uid", f"{uuid5(NAMESPACE_URL, '|'.join((row.site, row.what, *row.which)))}@docgen.invalid")
        event.add("dtstamp", datetime(day.year, day.month, day.day, tzinfo=UTC))
        event.add("sequence", on.toordinal())
        event.add("dtstart", on)
        event.add("dtend", on + timedelta(days=1))
        event.add("summary", title)
        event.add("transp", "TRANSPARENT")
        if row.state == "coming" and on - ALARM >= day:
            alarm: Any = Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", said["alarm"].format(what=title))
            alarm.add("trigger", -ALARM)
            event.add_component(alarm)
        calendar.add_component(event)
    return str(calendar.to_ical().decode("utf-8"))


def _title(row: Row, said: Mapping[str, str]) -> str:
    if row.state == "never":
        return said["not_done"].format(what=row.todo)
    if row.state == "overdue":
        return said["was_due"].format(day=row.due, what=row.todo)
    return row.todo


FORMATS: Mapping[str, Callable[[Iterable[Row], Mapping[str, str], date, date, str], str]] = {
    "text": as_text, "csv": as_csv, "json": as_json, "ics": as_calendar,
}  # fmt: skip
