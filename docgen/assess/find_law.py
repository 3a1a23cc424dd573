"""Findings on the law in force: site rules against it, its silence, whose law it is, how fresh citations are."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from docgen.assess.find_common import law_figure, law_text, over
from docgen.assess.practice import practice
from docgen.assess.view import Hit, View, near
from docgen.codes.answers import question
from docgen.units import Interval

__all__ = [
    "citations_stale",
    "citations_unverified",
    "law_silent",
    "licence_elsewhere",
    "licence_expired",
    "local_rule_unverified",
    "review_scope_missing",
    "site_rule_below_law",
    "site_rule_weaker",
    "state_plan_mismatch",
    "state_unstated",
    "vehicle_tops_unstated",
]

ASKED = (
    "rescue_time_max",
    "clearance_margin_min",
    "line_angle_max",
    "inspection_periodic_interval",
    "training_refresher_interval",
    "trigger_height_vehicles",
)
RULED = {"refresher": "training_refresher_interval", "inspection": "inspection_periodic_interval"}


def site_rule_weaker(view: View) -> Iterator[Hit]:
    """What it looks at: a tie-off rule that begins above the general trigger height.

    Why: it invites the question which one governs. On vehicle tops that height is not asserted, so counsel decides.
    Example: "over 6 ft" against 4 ft. Reference: 29 CFR 1910.28(b)(1)(i); the rolling-stock policy of 1996.
    """
    if law_figure(view, "trigger_height_vehicles") is not None:
        return
    general = law_figure(view, "trigger_height")
    for rule in view.site.site_rules:
        if rule.subject == "tie-off" and rule.height is not None and general is not None and over(rule.height.si, general):
            yield Hit(
                f"{rule.path}.height", {"rule": rule.id, "height": near(rule.height), "law": law_text(view, "trigger_height")}
            )


def site_rule_below_law(view: View) -> Iterator[Hit]:
    """What it looks at: site rules against a figure that the law prints for the same thing.

    Why: a rule may be stricter, never weaker. Example: tie-off over 6 ft where the text prints 4 ft for vehicle tops;
    inspection once a year where it prints twice. Reference: the jurisdiction's own rule.
    """
    height = law_figure(view, "trigger_height_vehicles")
    for rule in view.site.site_rules:
        if rule.subject == "tie-off" and rule.height is not None and height is not None and over(rule.height.si, height):
            yield Hit(
                f"{rule.path}.height",
                {"rule": rule.id, "own": near(rule.height), "law": law_text(view, "trigger_height_vehicles")},
            )
        key = RULED.get(rule.subject or "")
        law = view.code.ask(key).value if key else None
        if isinstance(law, Interval) and rule.interval is not None and _longer(rule.interval, law):
            yield Hit(f"{rule.path}.interval", {"rule": rule.id, "own": rule.interval.text, "law": law.text})


def _longer(one: Interval, other: Interval) -> bool:
    start = date(2001, 1, 1)
    return one.after(start) > other.after(start)


def law_silent(view: View) -> Iterator[Hit]:
    """What it looks at: the questions on which this paper prints a figure and the law prints none.

    Why: the paper must say whose it is. Example: no minutes for rescue, no refresher interval in the federal text.
    Reference: the texts looked through.
    """
    silent = [a for a in map(view.code.ask, ASKED) if a.state == "silent"]
    if silent and view.allowed:
        asked = "; ".join(f"{question(a.key).asks} ({a.fallback})" for a in silent)
        yield Hit("site.jurisdiction", {"questions": asked})


def state_plan_mismatch(view: View) -> Iterator[Hit]:
    """What it looks at: a state with a plan of its own, answered here by federal law.

    Why: the state's rules govern and may be stricter. Example: site in such a state, federal code set. Reference:
    OSHA's list of state plans (memory).
    """
    if view.code.state_plan:
        yield Hit("site.jurisdiction", {"state": view.site.site.jurisdiction, "code": view.code.code})


def state_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: a federal jurisdiction without the state.

    Why: a state plan may govern, and licences are given by states. Example: US. Reference: OSHA's list of state plans
    (memory).
    """
    if view.site.site.jurisdiction == "US":
        yield Hit("site.jurisdiction")


def citations_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when the law was last compared with its current text.

    Why: dead citations get printed on. Exactly at the interval is not stale. Example: unverified since 2024-09.
    Reference: common practice, 12 months.
    """
    verified, interval = view.site.codes.verified_on, practice("citation_check_interval").interval
    if verified is not None and interval.after(verified) < view.as_of:
        yield Hit("codes.verified_on", {"on": verified, "interval": interval.text})


def citations_unverified(view: View) -> Iterator[Hit]:
    """What it looks at: whether anyone compared the law with its current text.

    Why: this tool's data was read by nobody here. Example: verified_on left out. Reference: common practice.
    """
    if view.site.codes.verified_on is None or view.site.codes.verified_by is None:
        yield Hit("codes.verified_on")


def local_rule_unverified(view: View) -> Iterator[Hit]:
    """What it looks at: local rules without a day of comparison.

    Why: nobody else keeps them current. Example: a municipal rule, verified_on left out. Reference: common practice.
    """
    for rule in view.site.codes.local:
        if rule.verified_on is None:
            yield Hit(f"{rule.path}.verified_on", {"rule": rule.id, "citation": rule.citation})


def vehicle_tops_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: what counsel says on work on vehicle tops where the law leaves it open.

    Why: the plan must state its basis. Example: bays inside a structure, no word on feasibility. Reference: the
    rolling-stock policy of 1996; preamble of 2016.
    """
    vehicles = {v.id for v in view.site.vehicles if v.kind != "machine"}
    on_top = any(t.vehicle in vehicles for t in view.site.tasks if t.permission == "allowed")
    if on_top and view.site.codes.vehicle_tops is None and view.code.ask("trigger_height_vehicles").state == "silent":
        yield Hit("codes.vehicle_tops")


def licence_expired(view: View) -> Iterator[Hit]:
    """What it looks at: the end of each reviewer's licence.

    Why: a seal after it is worth nothing. On the last day it still holds. Example: expired 2026-06-30. Reference:
    state practice acts (memory).
    """
    for reviewer in view.site.reviewers:
        if reviewer.expires is not None and reviewer.expires < view.as_of:
            yield Hit(f"{reviewer.path}.expires", {"role": reviewer.role, "on": reviewer.expires})


def licence_elsewhere(view: View) -> Iterator[Hit]:
    """What it looks at: where each reviewer is licensed against where the site is.

    Why: licences end at the border. Example: licence of one state, site in another. Reference: state practice acts
    (memory).
    """
    here = view.site.site.jurisdiction
    for reviewer in view.site.reviewers:
        if reviewer.licence is not None and reviewer.jurisdiction is not None and "-" in here and reviewer.jurisdiction != here:
            yield Hit(
                f"{reviewer.path}.jurisdiction",
                {"role": reviewer.role, "licensed": reviewer.jurisdiction, "site": here},
            )


def review_scope_missing(view: View) -> Iterator[Hit]:
    """What it looks at: what each reviewer reviews.

    Why: a seal without scope covers everything or nothing. Example: scope left out. Reference: state practice acts
    (memory).
    """
    for reviewer in view.site.reviewers:
        if reviewer.scope is None:
            yield Hit(f"{reviewer.path}.scope", {"role": reviewer.role})
