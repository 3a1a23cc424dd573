"""What falls due on a day: inspections, training, practical exercises, drills, contacts, the review of the document, last days."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from docgen.calc import dates
from docgen.engineering.model import Due, Duty
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.happened import Happened
from docgen.site import Site
from docgen.site.log import Certificate, Recommendation
from docgen.trade.practice import practice
from docgen.units import Interval

__all__ = ["DueTogether", "all_dues", "decided_dues", "due_together", "in_order"]


@frozen
class DueTogether:
    """Things of one kind that were last done on one day and are due on one day; `due` is None where they were never done."""

    what: Duty
    ids: tuple[str, ...]
    last: date | None
    interval: str | None
    due: date | None


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
    for place in site.rescue.kit_places:
        seen, interval = happened.kit_of(place.kit), practice("kit_check_interval").interval
        dues.append(_due(place.path, "kit-check", place.kit, seen.on if seen else None, interval))
    for posting in site.posting:
        if (hanging := happened.hangs(posting.id)) is not None:
            dues.append(
                _due(posting.path, "posting-check", posting.id, hanging.seen, practice("posting_check_interval").interval)
            )
    compared = happened.review_of("law")
    interval = practice("citation_check_interval").interval
    dues.append(_due("codes", "law-comparison", "site", compared.on if compared else None, interval))
    for part in site.equipment:
        if part.retire_by is not None:
            dues.append(Due(path=f"{part.path}.retire_by", what="end-of-service", id=part.id, due=part.retire_by))
    return in_order((*dues, *_of_the_log(happened)))


def _of_the_log(happened: Happened) -> Iterator[Due]:
    """The last day of the newest certificate of each kind, and what was recommended and is not done."""
    newest = {((c.what or "").casefold(), (c.of or "").casefold()): c for c in happened.of(Certificate)}
    for card in newest.values():
        if card.until is not None:
            yield Due(path=card.path, what="certificate", id=f"{card.what} ({card.of})", last=card.on, due=card.until)
    for wish in happened.of(Recommendation):
        if wish.due is not None and happened.done(wish) is None:
            yield Due(path=wish.path, what="recommendation", id=wish.text or wish.finding or "", due=wish.due)


def decided_dues(site: Site) -> Iterator[Due]:
    """The days on which an acceptance ends and by which an open finding is to be mended: for the office, on no paper."""
    for taken in site.accepted:
        if taken.until is not None:
            yield Due(path=f"{taken.path}.until", what="acceptance", id=_found(taken.finding, taken.at), due=taken.until)
    for open_one in site.handling:
        if open_one.due is not None and open_one.closed_on is None:
            yield Due(
                path=f"{open_one.path}.due", what="open-finding", id=_found(open_one.finding, open_one.at), due=open_one.due
            )


def _found(name: str, at: str | None) -> str:
    return f"{name} ({at})" if at else name


def in_order(dues: Iterable[Due]) -> tuple[Due, ...]:
    """Soonest first; what was never done stands at the head."""
    return tuple(sorted(dues, key=lambda d: (d.due or date.min, d.what, d.id)))


def due_together(dues: Iterable[Due], names: Mapping[str, str]) -> list[DueTogether]:
    """Equal rows of due dates as one, in the order of the first of each; `names`: id of the holder of a licence -> name."""
    found: dict[tuple[Duty, date | None, str | None, date | None], list[str]] = {}
    for due in dues:
        name = names.get(due.id, due.id) if due.what == "licence" else due.id
        found.setdefault((due.what, due.last, due.interval, due.due), []).append(name)
    return [DueTogether(what, tuple(ids), last, interval, day) for (what, last, interval, day), ids in found.items()]
