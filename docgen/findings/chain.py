"""Findings on the chain of ratings and on who may hang on it at once."""

from __future__ import annotations

import math
from collections.abc import Iterator

from docgen.calc.anchorage import second_load
from docgen.calc.capacity import least_spacing
from docgen.engineering.chains import EACH, RATED_KINDS
from docgen.engineering.loads import kept_of_two, peak_force, second_case, widest
from docgen.engineering.model import Case, Chain
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import spread
from docgen.findings.common import bays_in_use, case_names, listed, most_first, on_rail, systems_in_use, terms
from docgen.findings.model import Value
from docgen.findings.rule import NOTICE, PLAN, RECORD, RESCUE, SRD, finding
from docgen.findings.tolerances import margin_record
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import no_noise, over, same_figure, under
from docgen.site import Part, System
from docgen.trade.practice import practice

__all__ = [
    "device_missing",
    "fit_differs_from_private",
    "fit_lapsed",
    "fit_limit_unstated",
    "harness_missing",
    "harness_pool_short",
    "load_path_incomplete",
    "load_path_unrated",
    "lower_limit_missing",
    "lower_limit_weak",
    "part_in_two_systems",
    "posted_limit_at_condition",
    "posted_limit_missing",
    "posted_limit_over_condition",
    "private_user_unknown",
    "rating_missing",
    "rescuer_on_rail",
    "second_case_missing",
    "second_clearance_short",
    "second_load_low",
    "shift_users_over",
    "trolleys_differ",
    "user_not_cleared",
    "users_over_parts",
    "users_over_rail",
    "users_over_rule",
    "users_over_span",
    "users_too_close",
    "users_unstated",
    "weakest_link",
]

#: What the number of users can be bounded by that is counted from the parts.
COUNTED = tuple(name for name, _ in EACH)


def _chains(view: View) -> Iterator[tuple[Chain, str]]:
    """Chains of the systems in use, with the path of each system."""
    for system in systems_in_use(view):
        for chain in view.chains:
            if chain.system == system.id:
                yield chain, system.path


@finding("load-path-incomplete", "must-fix", documents=(PLAN, RECORD))
def load_path_incomplete(view: View) -> Iterator[Hit]:
    """What it looks at: whether each link of the load path is there, from the ground to the person.

    Why: nobody knows what a link holds that nobody named, so the chain has no limit. A link that this system truly has not is said
    so, with the reason. Example: rail, trolley and device, and no hanger. Reference: common practice, no published source.
    """
    for chain, path in _chains(view):
        links = [f"link-{link}" for link in chain.lacking if link not in ("srd", "harness")]
        if links:
            yield Hit(f"{path}.parts", {"system": chain.system, "links": terms(links)})


@finding("device-missing", "must-fix", documents=(PLAN, RECORD))
def device_missing(view: View) -> Iterator[Hit]:
    """What it looks at: systems without a self-retracting device.

    Why: nothing stops the fall that the plan computes. A spare in store is none. Example: rail, trolley and connector, and no srd. Reference:
    common practice.
    """
    for chain, path in _chains(view):
        if "srd" in chain.lacking:
            yield Hit(f"{path}.parts", {"system": chain.system})


@finding("harness-missing", "must-fix", documents=(PLAN, RECORD))
def harness_missing(view: View) -> Iterator[Hit]:
    """What it looks at: systems without a harness.

    Why: the pool's weakest harness is part of the chain. Example: harnesses left out of the system. Reference: common
    practice.
    """
    for chain, path in _chains(view):
        if "harness" in chain.lacking:
            yield Hit(f"{path}.harnesses", {"system": chain.system})


def _unrated(view: View) -> Iterator[tuple[Chain, Part]]:
    for chain, _ in _chains(view):
        for part in view.site.parts(chain.unrated):
            yield chain, part


@finding("rating-missing", "must-fix", documents=(PLAN, RECORD))
def rating_missing(view: View) -> Iterator[Hit]:
    """What it looks at: parts that bear one person alone and have no upper rating.

    Why: the chain is as strong as its weakest rated part. Example: a trolley without a user rating. Reference: 29 CFR
    1910.140(d) (memory); common practice.
    """
    for chain, part in _unrated(view):
        if part.kind in RATED_KINDS:
            yield Hit(f"{part.path}.capacity.max", {"part": part.id, "system": chain.system})


@finding("load-path-unrated", "must-fix", documents=(PLAN, RECORD))
def load_path_unrated(view: View) -> Iterator[Hit]:
    """What it looks at: parts of frame, rail and connection that have no rating, and no paper that makes them part of one that has.

    Why: the chain is as strong as its weakest rated part. Example: a splice of which nothing is said. Reference: common practice, no
    published source.
    """
    for chain, part in _unrated(view):
        if part.kind not in RATED_KINDS:
            yield Hit(part.path, {"part": part.id, "kind": terms((part.kind,)), "system": chain.system})


@finding("trolleys-differ", "must-fix", documents=(PLAN, RECORD))
def trolleys_differ(view: View) -> Iterator[Hit]:
    """What it looks at: the number of trolleys that a system states against those among its parts.

    Why: a trolley that nobody listed is rated by nobody, and inspected by nobody. A spare is not counted. Example: two stated, T-1 alone listed.
    Reference: common practice, no published source.
    """
    for chain, path in _chains(view):
        stated = _system(view, path).trolleys
        if stated is not None and stated != chain.count("trolleys"):
            yield Hit(f"{path}.trolleys", {"system": chain.system, "stated": stated, "counted": chain.count("trolleys")})


@finding("weakest-link", "must-fix", documents=(PLAN, RECORD, NOTICE))
def weakest_link(view: View) -> Iterator[Hit]:
    """What it looks at: the posted limit against the weakest rated part.

    Why: nobody may be told more than the chain bears. Example: posted 420 lb, device 310 lb. Reference: 29 CFR
    1910.140(d) (memory); labels.
    """
    posted = view.site.limits.upper.value
    for chain, _ in _chains(view):
        if posted is not None and chain.limit is not None and over(posted.si, chain.limit.si):
            yield Hit(
                posted.path,
                {
                    "posted": near(posted),
                    "limit": down(chain.limit),
                    "part": chain.governing or NOT_STATED,
                    "system": chain.system,
                },
            )


@finding("posted-limit-missing", "must-fix", documents=(PLAN, RECORD, NOTICE))
def posted_limit_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the posted user limit.

    Why: every rated part carries one, and it must be told. Example: no limit, though the device is rated to 310 lb.
    Reference: labels; common practice.
    """
    if view.allowed and view.site.limits.upper.value is None:
        limits = [c.limit for c, _ in _chains(view) if c.limit is not None]
        if limits:
            yield Hit("limits.upper.value", {"limit": down(min(limits, key=lambda q: q.si))})


def _condition(view: View) -> tuple[float, bool, str] | None:
    answer = view.binding.held_to("user_mass_condition")
    return None if answer is None or answer.figure is None else (answer.figure, answer.inclusive, answer.text)


@finding("posted-limit-over-condition", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:user_mass_condition")
def posted_limit_over_condition(view: View) -> Iterator[Hit]:
    """What it looks at: a posted limit above the mass up to which a tested system is taken to comply, without a
    basis on record.

    Why: above it each system needs proof of its own. Example: posted 400 lb and no paper from the maker. Reference: 29
    CFR 1910.140(d), note (memory).
    """
    posted, condition = view.site.limits.upper.value, _condition(view)
    for system in systems_in_use(view):
        if posted is not None and condition is not None and over(posted.si, condition[0]) and system.above_310_basis is None:
            yield Hit(
                f"{system.path}.above_310_basis",
                {"posted": near(posted), "condition": condition[2], "system": system.id},
            )


@finding("posted-limit-at-condition", "advice", documents=(PLAN, RECORD, NOTICE), basis="law:user_mass_condition")
def posted_limit_at_condition(view: View) -> Iterator[Hit]:
    """What it looks at: a posted limit exactly at the law's figure where the text says "less than".

    Why: one pound apart in words. Example: posted 310 lb, text "less than 310 lb". Reference: 29 CFR 1910.140(d), note
    (memory).
    """
    posted, condition = view.site.limits.upper.value, _condition(view)
    if posted is None or condition is None or condition[1]:
        return
    if same_figure(posted.si, condition[0]) and any(s.above_310_basis is None for s in systems_in_use(view)):
        yield Hit(posted.path, {"posted": near(posted), "condition": condition[2]})


@finding("lower-limit-weak", "must-fix", documents=(PLAN, RECORD, NOTICE), basis=SRD)
def lower_limit_weak(view: View) -> Iterator[Hit]:
    """What it looks at: the posted lower limit against the highest device minimum.

    Why: below it locking is not proven. Example: device minimum 130 lb, posted lower limit 100 lb. Reference:
    ANSI/ASSP Z359.14-2021, scope (memory); labels.
    """
    posted = view.site.limits.lower.value
    for chain, _ in _chains(view):
        if posted is not None and chain.lower_limit is not None and over(chain.lower_limit.si, posted.si):
            values: dict[str, Value] = {
                "posted": near(posted),
                "limit": up(chain.lower_limit),
                "part": chain.lower_governing or NOT_STATED,
                "system": chain.system,
            }
            yield Hit(posted.path, values)


@finding("lower-limit-missing", "must-fix", documents=(PLAN, RECORD, NOTICE), basis=SRD)
def lower_limit_missing(view: View) -> Iterator[Hit]:
    """What it looks at: a device with a lower limit, and none posted.

    Why: a light user may not make the device lock. Example: device 130 to 310 lb, only 310 lb posted. Reference:
    ANSI/ASSP Z359.14-2021, scope (memory); labels.
    """
    floors = [c for c, _ in _chains(view) if c.lower_limit is not None]
    if floors and view.site.limits.lower.value is None:
        worst = min(floors, key=lambda c: most_first(c.lower_limit))
        yield Hit("limits.lower.value", {"limit": up(worst.lower_limit), "part": worst.lower_governing or NOT_STATED})


@finding("user-not-cleared", "must-fix", documents=(PLAN, RECORD), stops="use")
def user_not_cleared(view: View) -> Iterator[Hit]:
    """What it looks at: people on the list of users without a pass against the posted limit.

    Why: keep off until checked. Never a weight and never a count. Example: U-07 has no pass on record. Reference:
    labels; common practice.
    """
    for user in view.site.people.users:
        fit = view.happened.fit_of(user.id)
        if fit is None or fit.result != "pass":
            yield Hit(user.path, {"user": user.id})


def _limits_now(view: View) -> float | None:
    limits = [c.limit.si for c, _ in _chains(view) if c.limit is not None]
    if view.site.limits.upper.value is not None:
        limits.append(view.site.limits.upper.value.si)
    return min(limits, default=None)


@finding("fit-lapsed", "must-fix", documents=(PLAN, RECORD), stops="use")
def fit_lapsed(view: View) -> Iterator[Hit]:
    """What it looks at: the limits against which each person was checked.

    Why: a pass against a wider limit proves nothing now. Example: checked against 420 lb, the limit is now 310 lb.
    Reference: common practice, no published source.
    """
    high, low = _limits_now(view), view.site.limits.lower.value
    for user in view.site.people.users:
        fit = view.happened.fit_of(user.id)
        if fit is None or fit.result != "pass":
            continue
        if high is not None and fit.upper is not None and over(fit.upper.si, high):
            yield Hit(fit.path, {"user": user.id, "checked": near(fit.upper), "limit": down(high, "mass")})
        elif low is not None and fit.lower is not None and over(low.si, fit.lower.si):
            yield Hit(fit.path, {"user": user.id, "checked": near(fit.lower), "limit": up(low)})


@finding("fit-limit-unstated", "fix-soon", documents=(PLAN, RECORD))
def fit_limit_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: passes that do not say against which lower limit, where the site has one.

    Why: nobody can tell when they lapse. Example: upper: 310 lb, and no lower. Reference: common practice, no
    published source.
    """
    for user in view.site.people.users:
        fit = view.happened.fit_of(user.id)
        if fit is not None and fit.result == "pass" and fit.lower is None and view.site.limits.lower.value is not None:
            yield Hit(fit.path, {"user": user.id})


@finding("fit-differs-from-private", "must-fix", documents=(PLAN, RECORD), stops="use")
def fit_differs_from_private(view: View) -> Iterator[Hit]:
    """What it looks at: the passes on record against the private file and the limit of the chain, as one yes or no.

    Why: a pass that the scale does not bear out lets someone climb whom the chain is not rated for. Whom it concerns is not
    told, since in a small crew that would tell a weight. Example: the limit fell and a pass was not taken back. Reference:
    labels; 29 CFR 1910.140(d), note (memory).
    """
    if view.private.agrees is False:
        yield Hit("people.users")


@finding("private-user-unknown", "fix-soon", documents=(PLAN, RECORD))
def private_user_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: codes in the private file that no user of the profile has.

    Why: an entry under a wrong code checks nobody. The code itself is not repeated: somebody may have written a name. Example: U-10 in
    the file, U-01 in the profile. Reference: common practice, no published source.
    """
    for line in view.private.unknown:
        yield Hit("people.users", {"line": line})


def _system(view: View, path: str) -> System:
    return next(s for s in view.site.systems if s.path == path)


def _by(chain: Chain) -> Value:
    """What sets the number of users."""
    return NOT_STATED if chain.users_by is None else terms((chain.users_by,))


@finding("users-over-rail", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:anchorage_per_user")
def users_over_rail(view: View) -> Iterator[Hit]:
    """What it looks at: planned users at once against rail, structure and anchorage.

    Why: the load adds up. Example: rated for 1, planned 2. Reference: 29 CFR 1910.140(c)(13) (memory).
    """
    for chain, path in _chains(view):
        system = _system(view, path)
        planned, users = system.climbers_at_once, chain.users
        if users is None or planned is None or chain.users_by in COUNTED:  # of what is counted another finding speaks
            continue
        if planned > users:
            yield Hit(
                f"{path}.climbers_at_once",
                {"planned": planned, "users": users, "by": _by(chain), "system": system.id},
            )


@finding("users-over-parts", "must-fix", documents=(PLAN, RECORD, NOTICE))
def users_over_parts(view: View) -> Iterator[Hit]:
    """What it looks at: planned users at once against what each of them has one of among the parts of the system: trolley, connector, device, hook, harness.

    Why: two people on one device are held by none. Counted, never declared; spares are not among them, and what is part of another part is counted by
    its own record. Example: two planned, two devices, one connector. Reference: common practice, no published source.
    """
    for chain, path in _chains(view):
        system = _system(view, path)
        for one in chain.counted:
            count = one.count * (system.rated_users_per_trolley if one.what == "trolleys" else 1)
            if system.climbers_at_once is not None and count < system.climbers_at_once:
                values: dict[str, Value] = {
                    "planned": system.climbers_at_once,
                    "by": terms((one.what,)),
                    "users": count,
                    "system": system.id,
                }
                yield Hit(f"{path}.climbers_at_once", values)


@finding("users-over-rule", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="site-rule")
def users_over_rule(view: View) -> Iterator[Hit]:
    """What it looks at: planned users at once against the rules of the site on how many may be on a rail: the figure of a rule, or one where its subject is one user.

    Why: plan and notice print the rule, and the crew would read two numbers. Exactly as many as the rule lets through is enough. Example: two planned in S2,
    "One person on each rail at a time". Reference: the rule itself.
    """
    for system in systems_in_use(view):
        planned = system.climbers_at_once
        for rule, most in _rules_on_users(view):
            if planned is not None and over(planned, most):
                yield Hit(
                    f"{system.path}.climbers_at_once", {"system": system.id, "planned": planned, "rule": rule, "users": int(most)}
                )


def _rules_on_users(view: View) -> Iterator[tuple[str, float]]:
    """Id and number of each rule beside the law that says how many may be on one anchorage."""
    told = {v.id: v for v in view.binding.voices("anchorage_users_max") if v.whose not in ("law", "owner")}
    yield from ((v.id, v.answer.figure) for v in told.values() if v.answer.figure is not None)
    yield from ((r.id, 1.0) for r in view.site.site_rules if r.subject == "one-user" and r.id not in told)


#: Parts that are with one person at a time.
CARRIED = ("trolley", "connector", "srd", "lanyard", "swivel", "hook")


@finding("part-in-two-systems", "must-fix", documents=(PLAN, RECORD))
def part_in_two_systems(view: View) -> Iterator[Hit]:
    """What it looks at: trolleys, connectors, devices and lanyards that more systems name than there are of them.

    Why: one item holds one person in one bay; in the other nothing stops a fall, or another item hangs there that nobody rated. A record with a count stands
    for so many. Example: D-1 in S1 and in S2. Reference: common practice, no published source.
    """
    for part in view.site.equipment:
        named = [s for s in systems_in_use(view) if part.id in s.parts]
        if part.kind in CARRIED and len(named) > (part.count or 1):
            values: dict[str, Value] = {
                "part": part.id,
                "kind": terms((part.kind,)),
                "systems": listed(s.id for s in named),
                "count": part.count or 1,
            }
            yield Hit(f"{named[-1].path}.parts", values)


@finding("harness-pool-short", "must-fix", documents=(PLAN, RECORD))
def harness_pool_short(view: View) -> Iterator[Hit]:
    """What it looks at: the harnesses of each pool that serves several systems against the people who may be up in their bays at once on a shift.

    Why: the last one up has none, or climbs in one that nobody rated. As many as people is enough. Example: one harness for two bays, two up at once.
    Reference: common practice, no published source.
    """
    pools = [p for p in view.site.equipment if p.kind == "harness"]
    for shift in view.site.shifts:
        for pool in pools:
            served = [s for s in systems_in_use(view) if pool.id in s.harnesses]
            planned = sum(s.climbers_at_once or 1 for s in served)
            planned = min(planned, shift.climbers_at_once or planned)
            lent = {key for s in served for key in s.harnesses}
            there = sum(p.count or 1 for p in pools if p.id in lent and not p.spare)
            if shift.climbing and len(served) > 1 and planned > there:
                values: dict[str, Value] = {
                    "pool": pool.id,
                    "systems": listed(s.id for s in served),
                    "shift": shift.name or shift.id,
                    "planned": planned,
                    "users": there,
                }
                yield Hit(f"{shift.path}.climbers_at_once", values)


def _shared(view: View) -> Iterator[System]:
    """Systems on which two or more people may be attached at once."""
    yield from (s for s in systems_in_use(view) if (s.climbers_at_once or 1) > 1)


@finding("users-too-close", "must-fix", documents=(PLAN, RECORD, NOTICE))
def users_too_close(view: View) -> Iterator[Hit]:
    """What it looks at: what keeps two people on one rail apart: fixed stops between the spans, or a distance of their trolleys; neither parts those who share a trolley.

    Why: two people in one swing zone strike each other, and one who falls pulls at the other's rail. Exactly the distance is enough. Example: offsets of 4 ft each and
    no distance stated; 10 ft are needed. Reference: geometry, own derivation.
    """
    trolleys = {chain.system: chain.count("trolleys") for chain, _ in _chains(view)}
    for system in _shared(view):
        bay, reach = view.bays.get(system.bay), widest(system, view.cases)
        on_one = system.rated_users_per_trolley > 1 and trolleys[system.id] < (system.climbers_at_once or 1)
        if bay is None or (bay.rail.span_stops is True and not on_one):
            continue
        half = practice("half_body").si
        need = None if reach is None else least_spacing(reach.si, reach.si, 2 * half)
        apart = 0.0 if on_one else None if system.spacing is None else spread(system.spacing, "bound", view.system)[0].low
        if apart is None or need is None or under(apart, need):
            have = NOT_STATED if apart is None else down(apart, "length")
            yield Hit(f"{system.path}.spacing", {"system": system.id, "bay": bay.name, "have": have, "need": up(need, "length")})


@finding("second-case-missing", "must-fix", documents=(PLAN, RECORD))
def second_case_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the load case of one who hangs and one who falls, with its load and the deflection under it.

    Why: the rail is bent already when the second falls, and the clearance is smaller. Example: two users, one deflection without a
    load. Reference: common practice, no published source.
    """
    for system in _shared(view):
        if second_case(system) is None:
            yield Hit(f"{system.path}.load_cases", {"system": system.id, "users": system.climbers_at_once or 1})


@finding("second-load-low", "must-fix", documents=(PLAN, RECORD))
def second_load_low(view: View) -> Iterator[Hit]:
    """What it looks at: the load of that case against the peak of one arrest and the weight of one who hangs.

    Why: a deflection under a smaller load says nothing. Example: 1,800 lbf peak and 310 lb are 2,110 lbf; the case has 1,800.
    Reference: statics, own derivation.
    """
    limit = view.site.limits.upper.value
    for system in _shared(view):
        case, force = second_case(system), peak_force(view.site, system, view.binding)
        if case is None or case.load is None or limit is None:
            continue
        need = second_load(force, limit.si)
        if over(need, case.load.si):
            yield Hit(case.load.path, {"system": system.id, "load": down(case.load), "need": up(need, "force")})


@finding("second-clearance-short", "must-fix", documents=(PLAN, RECORD))
def second_clearance_short(view: View) -> Iterator[Hit]:
    """What it looks at: the clearance of every allowed case with the rail bent by one who hangs and one who falls: as the figures stand, and what is kept
    of the margin in the worst corner of all tolerances.

    Why: the second person strikes what is below. What holds for one holds for two: the whole margin, or as much as must be kept where a record of the
    qualified person covers it. Example: of 2.0 ft all is kept with 0.2 ft to spare, and the rail bends 0.5 ft more. Reference: the no-contact rule of the law in force; arithmetic.
    """
    for system in _shared(view):
        case = second_case(system)
        if case is None or case.deflection is None:
            continue
        deflection = spread(case.deflection, "bound", view.system)[0].high
        short = [(_short_of_two(view, c, deflection), c) for c in view.allowed if c.bay == system.bay]
        most, worst = max(short, key=lambda pair: pair[0], default=(0.0, None))
        if worst is not None and over(most, 0.0):
            values = case_names(view, [worst]) | {
                "system": system.id,
                "deflection": up(deflection, "length"),
                "short": up(most, "length"),
            }
            yield Hit(case.deflection.path, values)


def _short_of_two(view: View, case: Case, deflection: float) -> float:
    """How much a case lacks with the rail bent so far [m], as it stands or in its worst corner, whichever is more; below zero where it lacks nothing."""
    if case.margin is None or case.margin_term is None or case.kept_least is None:
        return -math.inf  # not computed for one either, and told
    bent = max(0.0, deflection - (0.0 if case.deflection is None else case.deflection.si))
    kept = kept_of_two(case, deflection, Sheet(case.path))
    least = case.margin_term if margin_record(view, case, kept) is None else case.kept_least
    lacking = -math.inf if kept is None else no_noise(least.si - kept)
    return max(no_noise(bent - case.margin.si), lacking)


@finding("users-unstated", "fix-soon", documents=(PLAN, RECORD, NOTICE))
def users_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: systems that do not say how many may be attached at once, or whose parts do not.

    Why: one cannot compare. Example: a rail without a number of users. Reference: 29 CFR 1910.140(c)(13) (memory).
    """
    for chain, path in _chains(view):
        system = _system(view, path)
        if chain.users is None or system.climbers_at_once is None:
            yield Hit(f"{path}.climbers_at_once", {"system": system.id})


@finding("shift-users-over", "must-fix", documents=(PLAN, RECORD, NOTICE))
def shift_users_over(view: View) -> Iterator[Hit]:
    """What it looks at: people up at once on a shift against all bays together.

    Why: the roster must not plan more than the rails. A bay that is closed by decision counts as it does when it is open, so that
    closing it asks for no other roster. Example: three up on the night shift, two rails for one each. Reference: common practice.
    """
    work = {t.bay for t in view.site.tasks if t.permission in ("allowed", "closed")}
    systems = [s for s in view.site.systems if s.bay in work]
    planned = [s.climbers_at_once for s in systems if s.climbers_at_once is not None]
    if not planned or len(planned) < len(systems):
        return
    for shift in view.site.shifts:
        if shift.climbing and shift.climbers_at_once is not None and shift.climbers_at_once > sum(planned):
            yield Hit(
                f"{shift.path}.climbers_at_once",
                {"shift": shift.name or shift.id, "planned": shift.climbers_at_once, "users": sum(planned)},
            )


@finding("users-over-span", "must-fix", documents=(PLAN, RECORD, NOTICE))
def users_over_span(view: View) -> Iterator[Hit]:
    """What it looks at: users at once against the rating of one span.

    Why: trolleys can meet in one span, unless fixed stops keep them apart. Example: span limit 1, two users on the rail. Reference: common practice, no
    published source.
    """
    for bay in bays_in_use(view):
        system, limit = view.site.system_of(bay.id), bay.rail.rated_users_per_span
        if bay.rail.span_stops is True and limit is not None:
            limit *= bay.rail.spans or 1
        if system is not None and limit is not None and system.climbers_at_once is not None and system.climbers_at_once > limit:
            yield Hit(
                f"{bay.rail.path}.rated_users_per_span", {"bay": bay.name, "planned": system.climbers_at_once, "users": limit}
            )


@finding("rescuer-on-rail", "must-fix", documents=(RESCUE,), basis="law:anchorage_per_user")
def rescuer_on_rail(view: View) -> Iterator[Hit]:
    """What it looks at: casualty, rescuer and everyone else still attached against the rail's rating.

    Why: rescue loads it too. Example: during M2 the rail carries 2 and is rated for 1. Reference: 29 CFR
    1910.140(c)(13) (memory).
    """
    seen = {(r.method, r.bay) for r in view.rescues}
    for method in view.site.rescue.methods:
        for chain, path in _chains(view):
            system = _system(view, path)
            if method.load_on_rail is None or chain.users is None or (method.id, chain.bay) not in seen:
                continue
            load = max(method.load_on_rail, on_rail(view, method)) + (system.climbers_at_once or 1) - 1
            if load > chain.users:
                values: dict[str, Value] = {
                    "method": method.name,
                    "load": load,
                    "users": chain.users,
                    "by": _by(chain),
                    "system": chain.system,
                }
                yield Hit(f"{method.path}.load_on_rail", values)
