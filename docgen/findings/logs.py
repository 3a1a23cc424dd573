"""Findings on what the log shows: vehicles that nobody computed, cards not filled in, rules never looked at, events left open, days that have not come."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from docgen.findings.common import worded
from docgen.findings.rule import ALL, NOTICE, PLAN, finding
from docgen.findings.survey import critical
from docgen.findings.view import NOT_STATED, Hit, View
from docgen.site import Quantity
from docgen.trade.practice import practice

__all__ = ["cards_missing", "closed_by_hand", "event_open", "record_in_future", "site_rule_unproven", "vehicle_unknown"]

#: Days of the profile on which something ends, falls due or begins to hold; any other is one on which something was done.
AHEAD = frozenset({"retire_by", "expires", "effective", "from", "to", "until", "due"})


@finding("vehicle-unknown", "fix-soon", documents=(PLAN, NOTICE))
def vehicle_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: kinds of vehicle in the gate log that the profile does not hold.

    Why: what is not computed is not allowed on, and the driver does not know. Example: three visits by a lowboy with a
    3.2 ft deck. Reference: common practice, no published source.
    """
    for seen in view.happened.unknown_vehicles:
        visits = worded("visit") if seen.visits == 1 else worded("visits", n=seen.visits or worded("some"))
        yield Hit(seen.path, {"what": seen.what or NOT_STATED, "visits": visits})


@finding("cards-missing", "fix-soon", documents=(PLAN,), basis="law:inspection_before_use")
def cards_missing(view: View) -> Iterator[Hit]:
    """What it looks at: climbs in the log against pre-use cards, month by month.

    Why: equipment is looked over before first use in each work shift, and the cards are the proof. As many as climbs is
    enough. Example: 14 climbs, 9 cards. Reference: 29 CFR 1910.140(c)(18) (memory).
    """
    for month in view.happened.cards:
        if month.climbs is not None and (month.filled or 0) < month.climbs:
            climbs = worded("climb") if month.climbs == 1 else worded("climbs", n=month.climbs)
            cards = worded("card") if month.filled == 1 else worded("cards", n=month.filled or 0)
            yield Hit(month.path, {"month": month.month or NOT_STATED, "climbs": climbs, "cards": cards})


@finding("site-rule-unproven", "fix-soon", documents=(PLAN, NOTICE))
def site_rule_unproven(view: View) -> Iterator[Hit]:
    """What it looks at: when each rule of the site was last seen to be kept.

    Why: a rule that is stricter than the law and not kept counts against the site. Exactly at the interval it is still
    proven. Example: tie-off at any height, no check logged for a year. Reference: common practice of counsel, 12 months.
    """
    interval = practice("rule_check_interval").interval
    for rule in view.site.site_rules:
        review = view.happened.review_of("site-rule", rule.id)
        seen = review.on if review is not None else None
        if seen is None or interval.after(seen) < view.as_of:
            last = seen.isoformat() if seen else "never"
            yield Hit(rule.path, {"rule": rule.id, "last": last, "interval": interval.text})


@finding("event-open", "fix-soon", documents=(PLAN,))
def event_open(view: View) -> Iterator[Hit]:
    """What it looks at: events that are not closed.

    Why: knowledge without action is the worst kind of record. Example: near miss of 2026-01-20, open. Reference:
    common practice, 30 days.
    """
    interval = practice("event_open_interval").interval
    for event in view.happened.events:
        if event.on is not None and interval.after(event.on) < view.as_of and view.happened.done(event) is None:
            yield Hit(event.path, {"event": event.mark, "on": event.on, "interval": interval.text})


@finding("closed-by-hand", "fix-soon", documents=(PLAN, NOTICE), stops="use")
def closed_by_hand(view: View) -> Iterator[Hit]:
    """What it looks at: bays that somebody closed for the day and that nobody opened again.

    Why: whoever closed it saw something; it opens with two names and not by time. Example: ice on the rail on the night
    shift. Reference: common practice, no published source.
    """
    for closure in view.happened.closures:
        bay, shift = view.bays[closure.bay], view.site.shift(closure.shift)
        values = {
            "bay": bay.name,
            "on": closure.on or NOT_STATED,
            "reason": closure.reason or NOT_STATED,
            "by": closure.by or NOT_STATED,
        }
        on_shift = worded("on-shift", shift=shift.name or shift.id) if shift is not None else worded("on-all-shifts")
        yield Hit(closure.path, {**values, "shift": on_shift}, about=bay.path)


def _dated(view: View) -> Iterator[tuple[str, date | None]]:
    later = max(view.happened.later, key=lambda e: e.on or date.min, default=None)  # one is enough: a past day has many behind it
    if later is not None:
        yield later.path, later.on
    told = {q.path for q in critical(view) if q is not None}  # measured-in-future
    for path, value in view.leaves:
        if isinstance(value, Quantity):
            if path not in told:
                yield f"{path}.on", value.on
        elif isinstance(value, date) and path.rpartition(".")[2] not in AHEAD:
            yield path, value


@finding("record-in-future", "fix-soon", documents=ALL)
def record_in_future(view: View) -> Iterator[Hit]:
    """What it looks at: the latest entry of the log, and each day of the profile on which something was done, if it lies after the day of the check.

    Why: nothing was inspected or drilled tomorrow. Example: inspection of 2062-08-03. Reference: common practice.
    """
    for path, day in _dated(view):
        if day is not None and day > view.as_of:
            yield Hit(path, {"on": day, "today": view.as_of})
