"""What falls due on a day: inspections, training, practical exercises, drills, contacts, the review of the document, licences."""

from __future__ import annotations

from datetime import date

from docgen.calc import dates
from docgen.engineering.model import Due, Duty
from docgen.engineering.sheet import Sheet
from docgen.happened import Happened
from docgen.trade.practice import practice
from docgen.units import Interval

__all__ = ["all_dues"]


def _due(path: str, what: Duty, key: str, last: date | None, interval: Interval | None) -> Due:
    sheet, due = Sheet(path), None
    if interval is not None and last is not None:
        due = sheet.run(dates.due_date, last=last, months=interval.months, days=interval.days)
    text = interval.text if interval is not None else None
    return Due(path=path, what=what, id=key, last=last, interval=text, due=due, steps=tuple(sheet.steps))


def all_dues(happened: Happened) -> tuple[Due, ...]:
    """All due dates, soonest first; what was never done stands at the head. The interval is the profile's, the last day the log's."""
    site = happened.site
    dues = []
    for part in site.equipment:
        if part.inspection.interval is not None:
            look = happened.inspection_of(part.id)
            last = look.on if look is not None else None
            dues.append(_due(f"{part.inspection.path}.interval", "inspection", part.id, last, part.inspection.interval))
    if site.training.refresher is not None:
        for user in site.people.users:
            held = happened.training_of(user.id)
            dues.append(_due(user.path, "training", user.id, held.on if held else None, site.training.refresher))
    for rescuer in site.people.rescuers:
        done, interval = happened.practical_of(rescuer.id), practice("practical_interval").interval
        dues.append(_due(rescuer.path, "rescue-practical", rescuer.id, done.on if done else None, interval))
    if site.rescue.methods:
        drills = happened.drills_of()
        interval = site.rescue.drill_interval or practice("drill_interval").interval
        dues.append(_due("rescue.drill_interval", "drill", "site", drills[-1].on if drills else None, interval))
    for contact in site.emergency.contacts:
        interval = practice("contact_test_interval").interval
        dues.append(_due(contact.path, "contact-test", contact.role, happened.called(contact), interval))
    if site.document.review_interval is not None:
        number, review = site.document.number or site.site.id, happened.review_of("plan")
        interval, last = site.document.review_interval, review.on if review is not None else None
        dues.append(_due("document.review_interval", "document-review", number, last, interval))
    for reviewer in site.reviewers:
        if reviewer.expires is not None:
            dues.append(Due(path=f"{reviewer.path}.expires", what="licence", id=reviewer.id, due=reviewer.expires))
    return tuple(sorted(dues, key=lambda d: (d.due or date.min, d.what, d.id)))
