"""Findings on what the logs show: vehicles that nobody computed, cards not filled in, breaches, rules never looked at."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.find_common import listed, terms
from docgen.assess.practice import practice
from docgen.assess.view import Hit, View

__all__ = [
    "breach_without_step",
    "cards_missing",
    "enforcement_uneven",
    "event_persons_unstated",
    "site_rule_unproven",
    "vehicle_unknown",
]

RETRAINED = ("near-miss", "breach", "arrested-fall", "change")


def vehicle_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: kinds of vehicle in the gate log that the profile does not hold.

    Why: what is not computed is not allowed on, and the driver does not know. Example: three visits by a lowboy with a
    3.2 ft deck. Reference: common practice, no published source.
    """
    for seen in view.site.logs.unknown_vehicles:
        yield Hit(seen.path, {"what": seen.what, "visits": seen.visits or "some"})


def cards_missing(view: View) -> Iterator[Hit]:
    """What it looks at: climbs in the log against pre-use cards, month by month.

    Why: equipment is looked over before first use in each work shift, and the cards are the proof. As many as climbs is
    enough. Example: 14 climbs, 9 cards. Reference: 29 CFR 1910.140(c)(18) (memory).
    """
    for month in view.site.logs.cards:
        if month.climbs is not None and (month.filled or 0) < month.climbs:
            yield Hit(month.path, {"month": month.month, "climbs": month.climbs, "filled": month.filled or 0})


def breach_without_step(view: View) -> Iterator[Hit]:
    """What it looks at: breaches on record without the step of the rule that followed.

    Why: a rule is enforced when the record shows it. Example: BR-26-02, contractor, no step. Reference: the four elements
    of the misconduct defense (memory).
    """
    for event in view.site.events:
        if event.kind == "breach" and event.step is None:
            yield Hit(f"{event.path}.step", {"event": event.id, "on": event.on or "an unknown day"})


def enforcement_uneven(view: View) -> Iterator[Hit]:
    """What it looks at: steps after breaches by the own crew against those after breaches by contractors.

    Why: the same breach, and only the driver is sent away, is evidence against the site. Example: contractors 4 steps,
    own crew none. Reference: the four elements of the misconduct defense (memory).
    """
    breaches = [e for e in view.site.events if e.kind == "breach" and e.on is not None and e.on <= view.as_of]
    own = [e for e in breaches if e.party == "own"]
    others = [e for e in breaches if e.party == "contractor" and e.step is not None]
    if own and others and not any(e.step is not None for e in own):
        yield Hit("events", {"own": listed(e.id for e in own), "contractors": listed(e.id for e in others)})


def event_persons_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: events that call for training and name nobody.

    Why: whether the people concerned were trained again cannot be looked up. Example: a near miss without persons.
    Reference: 29 CFR 1910.30(c) (memory).
    """
    for event in view.site.events:
        if event.kind in RETRAINED and not event.persons and event.retrained_on is None and event.party != "contractor":
            yield Hit(f"{event.path}.persons", {"event": event.id, "kind": terms((event.kind,))})


def site_rule_unproven(view: View) -> Iterator[Hit]:
    """What it looks at: when each rule of the site was last seen to be kept.

    Why: a rule that is stricter than the law and not kept counts against the site. Exactly at the interval it is still
    proven. Example: tie-off at any height, no check logged for a year. Reference: common practice of counsel, 12 months.
    """
    interval = practice("rule_check_interval").interval
    for rule in view.site.site_rules:
        if rule.checked_on is None or interval.after(rule.checked_on) < view.as_of:
            last = rule.checked_on.isoformat() if rule.checked_on else "never"
            yield Hit(f"{rule.path}.checked_on", {"rule": rule.id, "last": last, "interval": interval.text})
