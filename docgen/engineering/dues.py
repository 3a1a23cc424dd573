"""What falls due: inspections, training, practical exercises, drills, contacts, the review of the document, licences."""

from __future__ import annotations

from datetime import date

from docgen.calc import dates
from docgen.engineering.model import Due, Duty
from docgen.engineering.sheet import Sheet
from docgen.site import Site
from docgen.trade.practice import practice
from docgen.units import Interval

__all__ = ["all_dues"]


def _due(path: str, what: Duty, key: str, last: date | None, interval: Interval | None) -> Due:
    sheet, due = Sheet(path), None
    if interval is not None and last is not None:
        due = sheet.run(dates.due_date, last=last, months=interval.months, days=interval.days)
    text = interval.text if interval is not None else None
    return Due(path=path, what=what, id=key, last=last, interval=text, due=due, steps=tuple(sheet.steps))


def all_dues(site: Site) -> tuple[Due, ...]:
    """All due dates, soonest first; what was never done stands at the head."""
    dues = [
        _due(f"{p.path}.inspection", "inspection", p.id, p.inspection.last, p.inspection.interval)
        for p in site.equipment if p.inspection.interval is not None
    ]  # fmt: skip
    if site.training.refresher is not None:
        for user in site.people.users:
            last = max((r.on for r in site.training.records if r.person == user.id and r.on is not None), default=None)
            dues.append(_due(f"{user.path}", "training", user.id, last, site.training.refresher))
    for rescuer in site.people.rescuers:
        dues.append(
            _due(rescuer.path, "rescue-practical", rescuer.id, rescuer.last_practical, practice("practical_interval").interval)
        )
    if site.rescue.methods:
        last = max((d.on for d in site.rescue.drills if d.on is not None), default=None)
        dues.append(
            _due("rescue.drills", "drill", "site", last, site.rescue.drill_interval or practice("drill_interval").interval)
        )
    for contact in site.emergency.contacts:
        dues.append(
            _due(contact.path, "contact-test", contact.role, contact.tested_on, practice("contact_test_interval").interval)
        )
    if site.document.review_interval is not None:
        number = site.document.number or site.site.id
        dues.append(
            _due("document.last_review", "document-review", number, site.document.last_review, site.document.review_interval)
        )
    for reviewer in site.reviewers:
        if reviewer.expires is not None:
            dues.append(Due(path=f"{reviewer.path}.expires", what="licence", id=reviewer.id, due=reviewer.expires))
    return tuple(sorted(dues, key=lambda d: (d.due or date.min, d.what, d.id)))
