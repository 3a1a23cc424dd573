"""Findings on the law in force: whose law it is, site rules and local rules against it, its silence, how fresh citations are, who signs by licence."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from docgen.codes.answers import question
from docgen.codes.binding import Voice
from docgen.codes.folder import part_name
from docgen.codes.given import ungiven
from docgen.codes.model import Answer
from docgen.codes.needed import unread
from docgen.codes.site_facts import lowest_trigger
from docgen.engineering.loads import persons
from docgen.engineering.model import computed
from docgen.findings.basis import basis_of_answer
from docgen.findings.common import intervals_over, law_text, parts_in_use, slack_falls, systems_in_use, terms, whose, worded
from docgen.findings.model import Value
from docgen.findings.rule import ALL, NOTICE, PLAN, RECORD, RESCUE, finding
from docgen.findings.view import Hit, View, down, near, up
from docgen.limits import over
from docgen.site import Quantity
from docgen.trade.practice import practice
from docgen.units import Interval

__all__ = [
    "advice_exceeded",
    "citations_stale",
    "citations_unverified",
    "figure_not_of_law",
    "law_answer_unusable",
    "law_later",
    "law_unread",
    "law_unread_core",
    "licence_elsewhere",
    "licence_expired",
    "licence_unstated",
    "local_rule_unmatched",
    "local_rule_unverified",
    "review_scope_missing",
    "rules_conflict",
    "site_rule_below_law",
    "site_rule_weaker",
    "state_plan_mismatch",
    "state_unstated",
    "vehicle_tops_unstated",
]

# Intervals of the profile that a rule may bind: path, question.
INTERVALS = (
    ("training.refresher", "training_refresher_interval"),
    ("rescue.drill_interval", "rescue_drill_interval"),
    ("document.review_interval", "plan_review_interval"),
)
SEALING = ("engineer", "counsel")
ASKED = (
    "rescue_time_max",
    "clearance_margin_min",
    "line_angle_max",
    "inspection_periodic_interval",
    "training_refresher_interval",
    "trigger_height_vehicles",
)


@finding("state-plan-mismatch", "must-fix", documents=ALL, basis="law:regional_plans")
def state_plan_mismatch(view: View) -> Iterator[Hit]:
    """What it looks at: a state with a plan of its own, answered here by federal law.

    Why: the state's rules govern and may be stricter. Example: site in such a state, federal code set. Reference:
    OSHA's list of state plans (memory).
    """
    if view.law.state_plan:
        yield Hit("site.jurisdiction", {"state": view.site.site.jurisdiction, "code": view.binding.code})


@finding("state-unstated", "fix-soon", documents=ALL)
def state_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: a federal jurisdiction without the state.

    Why: a state plan may govern, and licences are given by states. Example: US. Reference: OSHA's list of state plans
    (memory).
    """
    if view.site.site.jurisdiction == "US":
        yield Hit("site.jurisdiction")


def _place(view: View, path: str) -> str:
    """The field of a site rule that holds its figure."""
    rule = next(r for r in view.site.site_rules if r.path == path)
    name = "value" if rule.value is not None else "interval" if rule.interval is not None else "height"
    return f"{path}.{name}"


def _shown(view: View, voice: Voice) -> Value:
    rule = next(r for r in view.site.site_rules if r.path == voice.path)
    return near(rule.height) if rule.value is None and rule.interval is None and rule.height is not None else voice.text


def _longer(one: Interval, other: Interval) -> bool:
    start = date(2001, 1, 1)
    return one.after(start) > other.after(start)


def _said(voice: Voice) -> dict[str, Value]:
    """Who says it and what: the law, or the citation of another rule."""
    return {"whose": worded("the-law") if voice.whose == "law" else voice.citation, "law": voice.text}


@finding("site-rule-below-law", "must-fix", documents=(PLAN, NOTICE))
def site_rule_below_law(view: View) -> Iterator[Hit]:
    """What it looks at: site rules, and the intervals that the site keeps, against what the law, a local rule or an owner asks
    for the same thing.

    Why: a rule may be stricter, never weaker. Example: tie-off over 6 ft where the text prints 4 ft for vehicle tops;
    inspection once a year where it prints twice. Reference: the jurisdiction's own rule, the local rule, the contract.
    """
    for found in view.binding.governs():
        for voice, binding in found.weaker():
            yield Hit(_place(view, voice.path), {"rule": voice.id, "own": _shown(view, voice), **_said(binding)})
    for path, key in INTERVALS:
        section, name = path.split(".")
        own = getattr(getattr(view.site, section), name)
        held = view.binding.held_to(key)
        if own is not None and held is not None and isinstance(held.value, Interval) and _longer(own, held.value):
            yield Hit(path, {"rule": path, "own": own.text, "law": held.text, **whose(view, key, held)})


@finding("advice-exceeded", "fix-soon", documents=(PLAN, RESCUE, RECORD))
def advice_exceeded(view: View) -> Iterator[Hit]:
    """What it looks at: intervals of inspection, free falls, deceleration distances, arrest forces, strengths, limits of rescue and rules of
    the site against what an authority, a standard or an industry body only advises.

    Why: advice is no law and is not called so; whoever leaves it should say why. Of an interval only for the kinds of parts of which the
    advice speaks. Example: harnesses looked over once a year, HSE guidance INDG367 advises 6 months. Reference: the advice itself.
    """
    for key, path, what, value in _measured(view):
        advice = view.binding.advice(key)
        if advice is not None and advice.figure is not None:
            most = advice.bound != "minimum"
            if over(value.si, advice.figure) if most else over(advice.figure, value.si):
                shown = up(value) if most else down(value)
                yield _advised(path, what, shown, advice, advice.text, least=not most)
    advice = view.binding.advice("inspection_periodic_interval")
    if advice is not None:
        for part, interval, longest in intervals_over(view, advice):
            what = worded("interval-of", part=part.id)
            yield _advised(f"{part.inspection.path}.interval", what, interval.text, advice, longest.text)
    for found in view.binding.governs():
        for voice, adviser in found.below_advice():
            what = worded("rule-of", rule=voice.id)
            yield _advised(_place(view, voice.path), what, _shown(view, voice), adviser.answer, adviser.text)
    for path, key in INTERVALS:
        section, name = path.split(".")
        own, advice = getattr(getattr(view.site, section), name), view.binding.advice(key)
        if own is not None and advice is not None and isinstance(advice.value, Interval) and _longer(own, advice.value):
            yield _advised(path, worded("rule-of", rule=path), own.text, advice, advice.text)


def _advised(path: str, what: Value, value: Value, advice: Answer, limit: str, least: bool = False) -> Hit:
    told = worded("advises-least", limit=limit) if least else worded("advises-most", limit=limit)
    return Hit(path, {"what": what, "value": value, "source": advice.citation, "told": told}, basis=basis_of_answer(advice))


def _measured(view: View) -> Iterator[tuple[str, str, Value, Quantity]]:
    """What the site measures that advice may speak of: the question, the path, what it is, and the figure."""
    for part in parts_in_use(view, "srd", "lanyard"):
        told = (
            ("free_fall_max", "free_fall", worded("free-fall-of", part=part.id)),
            ("deceleration_distance_max", "deceleration_distance", worded("deceleration-distance-of", part=part.id)),
            ("arrest_force_max", "arrest_force_peak", worded("arrest-force-peak-of", part=part.id)),
        )
        for key, name, what in told:
            if (value := getattr(part, name)) is not None:
                yield key, f"{part.path}.{name}", what, value
    for bay, slack, part, fall in slack_falls(view):
        what = worded("fall-with-slack", part=part.id, bay=bay.name)
        yield "free_fall_max", slack.path, what, computed(slack.path, fall, "length")
    for system in systems_in_use(view):
        load = system.anchorage.design_load_all_users
        if load is not None and system.anchorage.basis == "rated-per-user":
            path, users = f"{system.anchorage.path}.design_load_all_users", persons(system)
            yield "anchorage_per_user", path, worded("strength-each", system=system.id), computed(path, load.si / users, "force")
    for limit in (view.site.rescue.contact_limit, view.site.rescue.ground_limit):
        if limit.value is not None:
            yield "rescue_time_max", f"{limit.path}.value", worded("rescue-limit"), limit.value


@finding("site-rule-weaker", "fix-soon", documents=(PLAN, NOTICE), basis="law:trigger_height")
def site_rule_weaker(view: View) -> Iterator[Hit]:
    """What it looks at: a tie-off rule that begins above the general trigger height, or above the lower one of a permanent work area.

    Why: it invites the question which one governs. On vehicle tops that height is not asserted, so counsel decides.
    Example: "over 6 ft" against 4 ft. Reference: 29 CFR 1910.28(b)(1)(i); the rolling-stock policy of 1996.
    """
    law = view.law
    if not law.ask("trigger_height_vehicles").silent:
        return
    lowest = lowest_trigger(law)
    if lowest is None or lowest.figure is None:
        return
    for rule in view.site.site_rules:
        if rule.subject == "tie-off" and rule.height is not None and over(rule.height.si, lowest.figure):
            yield Hit(f"{rule.path}.height", {"rule": rule.id, "height": near(rule.height), "law": law_text(view, lowest.key)})


@finding("vehicle-tops-unstated", "fix-soon", documents=(PLAN,), basis="law:vehicle_tops_position")
def vehicle_tops_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: what counsel says on work on vehicle tops where the law leaves it open.

    Why: the plan must state its basis. Example: bays inside a structure, no word on feasibility. Reference: the
    rolling-stock policy of 1996; preamble of 2016.
    """
    vehicles = {v.id for v in view.site.vehicles if v.kind != "machine"}
    on_top = any(t.vehicle in vehicles for t in view.site.tasks if t.permission == "allowed")
    if on_top and view.site.codes.vehicle_tops is None and view.law.ask("trigger_height_vehicles").state == "silent":
        yield Hit("codes.vehicle_tops")


@finding("citations-stale", "fix-soon", documents=(PLAN,))
def citations_stale(view: View) -> Iterator[Hit]:
    """What it looks at: when the law was last compared with its current text.

    Why: dead citations get printed on. Exactly at the interval is not stale. Example: unverified since 2024-09.
    Reference: common practice, 12 months.
    """
    review, interval = view.happened.review_of("law"), practice("citation_check_interval").interval
    if review is not None and review.on is not None and interval.after(review.on) < view.as_of:
        yield Hit(review.path, {"on": review.on, "interval": interval.text})


@finding("citations-unverified", "fix-soon", documents=(PLAN,))
def citations_unverified(view: View) -> Iterator[Hit]:
    """What it looks at: whether anyone compared the law with its current text.

    Why: this tool's data was read by nobody here. Example: no review of the law in the log. Reference: common practice.
    """
    if view.happened.review_of("law") is None:
        yield Hit("codes")


@finding("local-rule-unverified", "fix-soon", documents=(PLAN,))
def local_rule_unverified(view: View) -> Iterator[Hit]:
    """What it looks at: local rules without a day of comparison.

    Why: nobody else keeps them current. Example: a municipal rule, verified_on left out. Reference: common practice.
    """
    for rule in view.site.codes.local:
        if rule.verified_on is None:
            yield Hit(f"{rule.path}.verified_on", {"rule": rule.id, "citation": rule.citation})


@finding("local-rule-unmatched", "must-fix", documents=(PLAN,))
def local_rule_unmatched(view: View) -> Iterator[Hit]:
    """What it looks at: rules that name a question, or give a figure, and cannot be held against the law.

    Why: the strictest rule cannot be found while one of them is not understood. Example: question arrest_force, which nobody
    may ask; value 4 ft for a force. Reference: the list of questions.
    """
    for one in view.binding.unmatched:
        told = worded(f"rule-{one.reason}", question=one.question, given=one.given, told=one.told)
        yield Hit(one.path, {"rule": one.id, "detail": told})


@finding("rules-conflict", "must-fix", documents=(PLAN,))
def rules_conflict(view: View) -> Iterator[Hit]:
    """What it looks at: rules on one question of which one cannot be met together with another.

    Why: the plan must not choose in silence; someone has to settle it with those who made them. Example: an owner asks for
    a guardrail of exactly 36 in, the law prints 42 in. Reference: the rules themselves.
    """
    for found in view.binding.governs():
        if found.against is not None:
            one, other = found.strictest, found.against
            path = next((v.path for v in (other, one) if v.whose not in ("law", "advice", "read-by")), "codes.local")
            yield Hit(
                path if path.startswith(("codes.local", "site_rules")) else "codes.owner",
                {"question": found.asks, "one": one.citation, "said": one.text, "other": other.citation, "against": other.text},
            )


@finding("licence-expired", "must-fix", documents=(PLAN,))
def licence_expired(view: View) -> Iterator[Hit]:
    """What it looks at: the end of each reviewer's licence.

    Why: a seal after it is worth nothing. On the last day it still holds. Example: expired 2026-06-30. Reference:
    state practice acts (memory).
    """
    for reviewer in view.site.reviewers:
        if reviewer.expires is not None and reviewer.expires < view.as_of:
            yield Hit(f"{reviewer.path}.expires", {"role": terms((reviewer.part,)), "on": reviewer.expires})


@finding("licence-elsewhere", "must-fix", documents=(PLAN,))
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
                {"role": terms((reviewer.part,)), "licensed": part_name(reviewer.jurisdiction), "site": part_name(here)},
            )


@finding("licence-unstated", "fix-soon", documents=(PLAN,))
def licence_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: licence number, place and end of the reviewers who seal or sign by licence.

    Why: whether the licence holds here cannot be looked up. Example: an engineer without a discipline. Reference: state
    practice acts (memory).
    """
    for reviewer in view.site.reviewers:
        if reviewer.part in SEALING or reviewer.seal:
            wanted = ("licence", "jurisdiction", "expires", *(("discipline",) if reviewer.part == "engineer" else ()))
            lacking = [n for n in wanted if getattr(reviewer, n) is None]
            if lacking:
                yield Hit(reviewer.path, {"role": terms((reviewer.part,)), "lacking": terms(lacking)})


@finding("review-scope-missing", "fix-soon", documents=(PLAN,))
def review_scope_missing(view: View) -> Iterator[Hit]:
    """What it looks at: what each reviewer reviews.

    Why: a seal without scope covers everything or nothing. Example: scope left out. Reference: state practice acts
    (memory).
    """
    for reviewer in view.site.reviewers:
        if reviewer.scope is None:
            yield Hit(f"{reviewer.path}.scope", {"role": terms((reviewer.part,))})


@finding("law-later", "fix-soon", documents=ALL)
def law_later(view: View) -> Iterator[Hit]:
    """What it looks at: answers of the law that are others today than on the day for which the papers are written.

    Why: the papers print the law of that day. Example: written for 2026-01-01, a paragraph amended from 2026-07-01 on.
    Reference: document control.
    """
    if view.as_of <= view.law.on:
        return
    changed: dict[date, list[str]] = {}
    for key, since in view.law.changed_until(view.as_of):
        changed.setdefault(since, []).append(question(key).asks)
    for since, asked in sorted(changed.items()):
        yield Hit("document.effective", {"questions": "; ".join(asked), "effective": view.law.on, "since": since})


@finding("figure-not-of-law", "advice", documents=ALL)
def figure_not_of_law(view: View) -> Iterator[Hit]:
    """What it looks at: the questions on which this paper prints a figure and the law prints none.

    Why: the paper must say whose it is. Example: no minutes for rescue, no refresher interval in the federal text.
    Reference: the texts looked through.
    """
    silent = [a for a in map(view.law.ask, ASKED) if a.state == "silent" and a.looked]
    if silent and view.allowed:
        asked = "; ".join(f"{question(a.key).asks} ({a.fallback})" for a in silent)
        yield Hit("site.jurisdiction", {"questions": asked})


@finding("law-unread-core", "must-fix", documents=ALL)
def law_unread_core(view: View) -> Iterator[Hit]:
    """What it looks at: the questions on the duty itself, strength, attachment, rescue, training and reporting that the papers of this
    site need, and whose text nobody has read for the law used.

    Why: a paper that is signed over such a gap promises what nobody has looked up. Example: a province whose rule on rescue is known
    from memory only. Reference: the set's own marks; the way out is codes.answers.
    """
    yield from _unread(view, stops=True)


@finding("law-unread", "fix-soon", documents=ALL)
def law_unread(view: View) -> Iterator[Hit]:
    """What it looks at: the other questions that the papers of this site need and whose text nobody has read.

    Why: what is recalled may have been changed, and not having looked is not silence. Example: the rule on inspection intervals is
    known from memory. Reference: the set's own marks; the way out is codes.answers.
    """
    yield from _unread(view, stops=False)


def _unread(view: View, stops: bool) -> Iterator[Hit]:
    found = [a for a in unread(view.site, view.law) if question(a.key).stops is stops]
    if found:
        asked = "; ".join(f"{question(a.key).asks} ({a.key}{'' if a.silent else ': ' + a.citation})" for a in found)
        yield Hit("site.jurisdiction", {"n": len(found), "name": view.law.name, "questions": asked})


@finding("law-answer-unusable", "must-fix", documents=ALL)
def law_answer_unusable(view: View) -> Iterator[Hit]:
    """What it looks at: answers of law in the profile that cannot be taken.

    Why: whoever looked it up believes that it counts. Example: a figure of 8 kN for a length. Reference: the list of questions.
    """
    for one in ungiven(view.site, view.law, view.as_of):
        told = worded(f"answer-{one.reason}", told=one.told)
        yield Hit(one.path, {"question": one.question, "detail": told})
