"""Findings on the device and its line: length, hook-up, free fall, forces, strengths, allowances too small."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.calc import G, arrest
from docgen.engineering.case.label import above_tested, for_mass
from docgen.engineering.demands import Demand, line_demand
from docgen.engineering.loads import assumed_peak
from docgen.findings.basis import basis_of_demand
from docgen.findings.common import (
    asked,
    bays_in_use,
    case_names,
    grouped,
    law_figure,
    law_text,
    listed,
    most_first,
    parts_in_use,
    slack_falls,
    terms,
    worded,
)
from docgen.findings.model import Basis, Value
from docgen.findings.rule import NOTICE, PLAN, RECORD, SRD, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import over, under, within
from docgen.site import Part, Quantity
from docgen.site.facts import TESTED_MASS
from docgen.trade.classes import class_limits, editions_of
from docgen.trade.practice import practice

__all__ = [
    "arrest_distance_below_fall",
    "arrest_distance_implausible",
    "arrest_force_below_weight",
    "arrest_force_over",
    "arrest_force_reversed",
    "arrest_force_unstated",
    "arrest_mass_untested",
    "class_edge_differs",
    "class_limit_over",
    "class_limits_unknown",
    "class_missing",
    "class_unknown",
    "deceleration_over",
    "deceleration_over_arrest",
    "deceleration_unstated",
    "edge_distance_short",
    "edge_use_missing",
    "free_fall_over",
    "free_fall_unstated",
    "hook_up_late",
    "line_length_unstated",
    "line_slack_over",
    "line_strength_low",
    "line_too_short",
    "strength_unstated",
]


@finding("line-too-short", "must-fix", documents=(PLAN, RECORD))
def line_too_short(view: View) -> Iterator[Hit]:
    """What it looks at: the longest line that a case needs, ground hook-up included, against the line of each device there is, that on the ladder among them.

    Why: the line runs out before the arrest. Example: 19.0 + 3.5 = 22.5 ft needed, line 20 ft. Reference: common
    practice, no published source.
    """
    needed = [c for c in view.allowed if c.line_needed is not None]
    for cases in grouped(needed, lambda c: c.bay, lambda c: most_first(c.line_needed)):
        system = view.site.system_of(cases[0].bay)
        for device in view.site.arresting(system) if system else ():
            needs = cases[0].line_needed
            if device.line_length is not None and needs is not None and over(needs.si, device.line_length.si):
                values = case_names(view, cases[:1]) | {
                    "part": device.id,
                    "need": up(needs),
                    "have": down(device.line_length),
                }
                yield Hit(f"{device.path}.line_length", values)


@finding("line-length-unstated", "fix-soon", documents=(PLAN, RECORD))
def line_length_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: devices without a line length.

    Why: whether the line reaches the ground cannot be computed. Example: a label photo that was not read. Reference:
    common practice, no published source.
    """
    for device in parts_in_use(view, "srd"):
        if device.line_length is None:
            yield Hit(f"{device.path}.line_length", {"part": device.id})


@finding("hook-up-late", "must-fix", documents=(PLAN, RECORD, NOTICE))
def hook_up_late(view: View) -> Iterator[Hit]:
    """What it looks at: whether people connect with both feet on the ground.

    Why: otherwise the climb itself is unprotected. Example: no tagline, so 11.5 ft of ladder are climbed unattached.
    Reference: common practice, no published source.
    """
    for bay in bays_in_use(view):
        if bay.hook_up.at_ground is not True:
            decks = [
                v.deck
                for t in view.site.tasks
                if t.bay == bay.id and t.permission == "allowed" and (v := view.site.vehicle(t.vehicle))
            ]
            high = max((d.si for d in decks if d is not None), default=0.0)
            yield Hit(f"{bay.hook_up.path}.at_ground", {"bay": bay.name, "deck": up(high, "length")})


@finding("line-slack-over", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:free_fall_max")
def line_slack_over(view: View) -> Iterator[Hit]:
    """What it looks at: the slack of the line at hook-up and on the climb, with the free fall of the device, against what label and law allow.

    Why: the slack is fallen through before the device feels anything; what it was tested for then says nothing. Example: free fall 0.5
    ft, a loop of 2.0 ft over a valve, 2.0 ft allowed. Reference: the label; 29 CFR 1910.140(d)(2).
    """
    for bay, slack, part, fall in slack_falls(view):
        found = _free_fall_limit(view, part)
        if found is not None and over(fall, found[0]):
            values: dict[str, Value] = {
                "bay": bay.name,
                "part": part.id,
                "slack": up(slack),
                "fall": up(fall, "length"),
                "limit": found[1],
            }
            yield Hit(slack.path, values)


def _free_fall_limit(view: View, part: Part) -> tuple[float, Value] | None:
    """The lowest limit of label and of what binds on the free fall, and how it is told; None where neither gives one."""
    label, law = part.free_fall_max, law_figure(view, "free_fall_max", part.free_fall or part.free_fall_max)
    if label is not None and (law is None or within(label.si, law)):
        return label.si, down(label)
    return None if law is None else (law, law_text(view, "free_fall_max"))


@finding("arrest-distance-implausible", "must-fix", documents=(PLAN, RECORD), basis="practice")
def arrest_distance_implausible(view: View) -> Iterator[Hit]:
    """What it looks at: the label's arrest distance against the shortest that physics allows at the stated average force, or at the peak where no average is stated.

    Why: a shorter one cannot be; a clearance computed with it is too small. Example: 3 in where 4.9 in are needed.
    Reference: energy balance at constant force, own derivation.
    """
    limit = view.site.limits.upper.value
    for part in parts_in_use(view, "srd"):
        force = part.arrest_force_average or part.arrest_force_peak
        if part.arrest_distance is None or force is None or limit is None:
            continue
        lock = arrest.lock_distance(practice("lock_speed").si)
        if not over(force.si, limit.si * G):
            continue  # told by arrest-force-below-weight
        least = arrest.arrest_distance_lower_bound(lock, limit.si, force.si)
        if under(part.arrest_distance.si, least):
            values: dict[str, Value] = {
                "part": part.id,
                "stated": near(part.arrest_distance),
                "least": near(least, "length"),
                "force": near(force),
            }
            yield Hit(part.arrest_distance.path, values)


@finding("arrest-distance-below-fall", "must-fix", documents=(PLAN, RECORD))
def arrest_distance_below_fall(view: View) -> Iterator[Hit]:
    """What it looks at: the label's arrest distance against the fall before the device locks, with the deceleration distance where that is stated too; the one over an
    edge, at a higher mass and in the cold likewise.

    Why: it contains both, so one of them was misread, and the clearance rests on the arrest distance. Equal figures are possible. Example: arrest distance
    5 in, 0.5 ft of fall before the lock. Reference: definitions of the three; arithmetic.
    """
    for part in parts_in_use(view, "srd", "lanyard"):
        fall, braking = part.free_fall, part.deceleration_distance
        stated = (part.arrest_distance, part.edge_use.arrest_distance, part.cold.distance, *(a.distance for a in part.arrest_at))
        for whole in stated if fall is not None else ():
            least = 0.0 if fall is None else fall.si + (0.0 if braking is None else braking.si)
            if whole is not None and fall is not None and under(whole.si, least):
                alone = worded("fall-alone", fall=near(fall))
                told = alone if braking is None else worded("fall-and-braking", fall=near(fall), braking=near(braking))
                values: dict[str, Value] = {"part": part.id, "stated": near(whole), "told": told, "least": up(least, "length")}
                yield Hit(whole.path, values)


@finding("class-limit-over", "must-fix", documents=(PLAN, RECORD))
def class_limit_over(view: View) -> Iterator[Hit]:
    """What it looks at: the label's arrest distance and forces against the limits of the class marked on the device.

    Why: a device of that class cannot have such a label; the figure was misread or belongs to another device. Example:
    60 in on a class 2 device of the 2021 edition, which stops within 42 in. At the limit it passes. Reference: the standard marked.
    """
    for part in parts_in_use(view, "srd"):
        for limits in class_limits(part.standard, part.class_):
            for name, limit in (
                ("arrest_distance", limits.arrest_distance), ("arrest_force_peak", limits.peak_force),
                ("arrest_force_average", limits.average_force),
            ):  # fmt: skip
                stated: Quantity | None = getattr(part, name)
                if stated is not None and limit is not None and over(stated.si, limit):
                    values: dict[str, Value] = {"part": part.id, "what": terms((name,)), "stated": near(stated), "limit": near(limit, stated.kind),
                              "class": limits.name, "source": limits.source}  # fmt: skip
                    yield Hit(stated.path, values)


@finding("class-limits-unknown", "fix-soon", documents=(PLAN, RECORD))
def class_limits_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: devices whose mark gives no edition and class of which the limits are known here.

    Why: nothing compared the label with what such a device was tested to. Example: Z359.14 without a year; no standard; an edition newer than
    the table. Reference: the table of classes in classes.yaml.
    """
    for part in parts_in_use(view, "srd"):
        known = class_limits(part.standard, part.class_)
        asked = any(not edition.known for edition in editions_of(part.standard, part.class_))
        if not asked and all(limits.arrest_distance is None or limits.peak_force is None for limits in known):
            yield Hit(f"{part.path}.standard", _marked(part))


def _marked(part: Part) -> dict[str, Value]:
    return {"part": part.id, "standard": part.standard or NOT_STATED, "class": part.class_ or NOT_STATED}


@finding("class-missing", "must-fix", documents=(PLAN, RECORD))
def class_missing(view: View) -> Iterator[Hit]:
    """What it looks at: devices marked with an edition that has classes, and no class.

    Why: class and edition say how the device may be used. Example: marked Z359.14-2021, class left out. Reference: the standard
    marked.
    """
    for part in parts_in_use(view, "srd"):
        for edition in editions_of(part.standard, None) if part.class_ is None else ():
            yield Hit(f"{part.path}.class", {"part": part.id, "standard": edition.name, "classes": listed(edition.classes)})


@finding("class-unknown", "must-fix", documents=(PLAN, RECORD))
def class_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: a class that the edition on the mark does not have.

    Why: edition or class was read off another device. Example: class A on a mark of 2021, which has classes 1 and 2. Reference:
    the standard marked.
    """
    for part in parts_in_use(view, "srd"):
        for edition in editions_of(part.standard, part.class_) if part.class_ is not None else ():
            if not edition.known:
                values: dict[str, Value] = {"part": part.id, "class": part.class_ or NOT_STATED, "standard": edition.name,
                                            "classes": listed(edition.classes)}  # fmt: skip
                yield Hit(f"{part.path}.class", values)


@finding("class-edge-differs", "must-fix", documents=(PLAN, RECORD), basis=SRD)
def class_edge_differs(view: View) -> Iterator[Hit]:
    """What it looks at: the class of a device, or the type marked beside it, against what is said of its line on an edge.

    Why: the two exclude each other, and a line that was never tested on an edge may part there. Example: class 1 of 2021, tested
    without an edge, and edge_rated true. Reference: ANSI/ASSP Z359.14-2021, classes 1 and 2; Z359.14-2012 and -2014, type SRL-LE (memory).
    """
    for part in parts_in_use(view, "srd"):
        for limits in class_limits(part.standard, part.class_):
            if limits.edge is None or part.edge_rated is None or limits.edge is part.edge_rated:
                continue
            bare = worded("type-without-edge") if limits.by_type else worded("class-without-edge")
            label = worded("label-with-edge") if part.edge_rated else worded("label-without-edge")
            values: dict[str, Value] = {
                "part": part.id,
                "class": limits.name,
                "says": worded("class-with-edge") if limits.edge else bare,
                "label": label,
            }
            yield Hit(f"{part.path}.edge_rated", values)


@finding("edge-use-missing", "must-fix", documents=(PLAN, RECORD))
def edge_use_missing(view: View) -> Iterator[Hit]:
    """What it looks at: devices said to be tested on an edge, and nothing of what the maker says of that use.

    Why: over an edge the distance is another one, and the anchor must stand back. Example: edge_rated true, edge_use left out.
    Reference: the manual; common practice.
    """
    for part in parts_in_use(view, "srd"):
        if part.edge_rated is True and part.edge_use.same is not True and part.edge_use.arrest_distance is None:
            yield Hit(f"{part.path}.edge_use", {"part": part.id})


@finding("edge-distance-short", "must-fix", documents=(PLAN, RECORD))
def edge_distance_short(view: View) -> Iterator[Hit]:
    """What it looks at: the arrest distance over an edge against the one without.

    Why: an edge never stops a fall earlier; one of the two was misread. The same distance is no fault. Example: 60 in overhead, 30 in over
    an edge. Reference: common practice, no published source.
    """
    for part in parts_in_use(view, "srd"):
        edge, without = part.edge_use.arrest_distance, part.arrest_distance
        if edge is not None and without is not None and under(edge.si, without.si):
            yield Hit(f"{part.edge_use.path}.arrest_distance", {"part": part.id, "edge": near(edge), "without": near(without)})


@finding("arrest-mass-untested", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:user_mass_condition")
def arrest_mass_untested(view: View) -> Iterator[Hit]:
    """What it looks at: a posted limit above the mass up to which the label's arrest distance speaks, and no figure of the maker that covers it.

    Why: a heavier person falls further, and nothing is scaled. At the tested mass itself the label holds. Example: posted 360 lb, the
    label alone. Reference: 29 CFR 1910.140(d), note (memory); the manual.
    """
    posted = view.site.limits.upper.value
    if posted is None or not above_tested(view.site):
        return
    for part in parts_in_use(view, "srd"):
        if for_mass(view.site, part) is None:
            yield Hit(f"{part.path}.arrest_at", {"part": part.id, "posted": near(posted), "tested": near(TESTED_MASS, "mass")})


@finding("free-fall-over", "must-fix", documents=(PLAN, RECORD), basis="law:free_fall_max")
def free_fall_over(view: View) -> Iterator[Hit]:
    """What it looks at: the free fall as rigged against the label's and the law's limit.

    Why: force and distance grow with it. Example: a sling at the D-ring lets 2.6 ft of free fall through; the label
    allows 2.0 ft. Reference: 29 CFR 1910.140(d)(2); the label.
    """
    for part in parts_in_use(view, "srd", "lanyard"):
        found = _free_fall_limit(view, part)
        if found is not None and part.free_fall is not None and over(part.free_fall.si, found[0]):
            yield Hit(f"{part.path}.free_fall", {"part": part.id, "value": up(part.free_fall), "limit": found[1]})


@finding("free-fall-unstated", "fix-soon", documents=(PLAN, RECORD), basis="law:srd_free_fall_condition")
def free_fall_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: devices for which neither the free fall nor its limit is known.

    Why: the strength asked for hangs on it. Example: no figure, so it is open whether the lower strength suffices.
    Reference: 29 CFR 1910.140(c)(5) (memory).
    """
    for part in parts_in_use(view, "srd"):
        if part.free_fall is None and part.free_fall_max is None:
            yield Hit(f"{part.path}.free_fall", {"part": part.id})


@finding("deceleration-over", "must-fix", documents=(PLAN, RECORD), basis="law:deceleration_distance_max")
def deceleration_over(view: View) -> Iterator[Hit]:
    """What it looks at: a stated deceleration distance against the law.

    Why: beyond it the system does not comply. Example: 4.0 ft stated, 3.5 ft allowed. Reference: 29 CFR
    1910.140(d)(1)(ii) (memory).
    """
    for part in parts_in_use(view):
        law = law_figure(view, "deceleration_distance_max", part.deceleration_distance)
        if law is not None and part.deceleration_distance is not None and over(part.deceleration_distance.si, law):
            values: dict[str, Value] = {
                "part": part.id,
                "value": up(part.deceleration_distance),
                "limit": law_text(view, "deceleration_distance_max"),
            }
            yield Hit(f"{part.path}.deceleration_distance", values)


@finding("deceleration-unstated", "fix-soon", documents=(PLAN, RECORD), basis="law:deceleration_distance_max")
def deceleration_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: a labelled arrest distance above the law's deceleration distance, with nothing said about
    the latter.

    Why: the label counts lock-up too, so the two are not the same and neither passes nor fails alone. Example: label
    4.5 ft. Reference: 29 CFR 1910.140(d)(1)(ii) (memory).
    """
    for part in parts_in_use(view, "srd"):
        stated = part.arrest_distance
        law = law_figure(view, "deceleration_distance_max", stated)
        if law is not None and stated is not None and part.deceleration_distance is None and over(stated.si, law):
            yield Hit(
                f"{part.path}.arrest_distance",
                {"part": part.id, "value": up(stated), "limit": law_text(view, "deceleration_distance_max")},
            )


@finding("deceleration-over-arrest", "must-fix", documents=(PLAN, RECORD))
def deceleration_over_arrest(view: View) -> Iterator[Hit]:
    """What it looks at: a stated deceleration distance against the arrest distance on the label, which contains it.

    Why: one of the two was misread, and the clearance rests on the arrest distance. Equal figures are possible. Example: arrest distance 30 in,
    deceleration distance 41 in. Reference: definitions of the two; arithmetic.
    """
    for part in parts_in_use(view, "srd", "lanyard"):
        part_of_it, whole = part.deceleration_distance, part.arrest_distance
        if part_of_it is not None and whole is not None and over(part_of_it.si, whole.si):
            values: dict[str, Value] = {"part": part.id, "deceleration": near(part_of_it), "arrest": near(whole)}
            yield Hit(f"{part.path}.deceleration_distance", values)


def _most_force(view: View, beside: Quantity | None = None) -> tuple[float, Value, Basis | None]:
    """The highest peak on a person: the law's figure as it prints it, or that of the trade with what it rests on."""
    law = law_figure(view, "arrest_force_max", beside)
    if law is not None:
        return law, law_text(view, "arrest_force_max"), None
    usual = Demand(assumed_peak(view.site, view.binding), "practice")
    return usual.si, near(usual.si, "force"), basis_of_demand(usual, view.binding, view.site.country)


@finding("arrest-force-over", "must-fix", documents=(PLAN, RECORD), basis="law:arrest_force_max")
def arrest_force_over(view: View) -> Iterator[Hit]:
    """What it looks at: the peak force on the person against the law, or against the trade where the law names no figure.

    Why: it injures. Example: 2,000 lbf on the label, 1,800 lbf allowed. Reference: 29 CFR 1910.140(d)(1)(i) (memory).
    """
    for part in parts_in_use(view, "srd", "lanyard"):
        if part.arrest_force_peak is None:
            continue
        most, text, basis = _most_force(view, part.arrest_force_peak)
        if over(part.arrest_force_peak.si, most):
            values: dict[str, Value] = {"part": part.id, "value": up(part.arrest_force_peak), "limit": text}
            yield Hit(f"{part.path}.arrest_force_peak", values, basis=basis)


@finding("arrest-force-reversed", "must-fix", documents=(PLAN, RECORD))
def arrest_force_reversed(view: View) -> Iterator[Hit]:
    """What it looks at: the average arrest force against the peak.

    Why: an average is never above the peak; one of the two was misread, and the peak decides what anchorage and rail must hold.
    Equal figures are possible. Example: average 1,900 lbf, peak 1,000 lbf. Reference: arithmetic.
    """
    for part in parts_in_use(view, "srd", "lanyard"):
        average, peak = part.arrest_force_average, part.arrest_force_peak
        if average is not None and peak is not None and over(average.si, peak.si):
            yield Hit(f"{part.path}.arrest_force_average", {"part": part.id, "average": near(average), "peak": near(peak)})


@finding("arrest-force-below-weight", "must-fix", documents=(PLAN, RECORD))
def arrest_force_below_weight(view: View) -> Iterator[Hit]:
    """What it looks at: the average arrest force and the peak against the force with which a person at the posted limit hangs.

    Why: a force that is not above the weight stops no fall, so the figure was misread; anchorage, rail and side load are reckoned from it. Exactly the
    weight stops nothing either. Example: 180 lbf for 1,800 lbf, 310 lb posted. Reference: Newton's second law.
    """
    posted = view.site.limits.upper.value
    for part in parts_in_use(view, "srd", "lanyard") if posted is not None else ():
        for name in ("arrest_force_average", "arrest_force_peak"):
            stated: Quantity | None = getattr(part, name)
            if stated is not None and posted is not None and not over(stated.si, posted.si * G):
                values: dict[str, Value] = {
                    "part": part.id,
                    "what": terms((name,)),
                    "stated": near(stated),
                    "posted": near(posted),
                }
                yield Hit(stated.path, values | {"hangs": near(posted.si * G, "force")})


@finding("arrest-force-unstated", "fix-soon", documents=(PLAN, RECORD), basis="law:arrest_force_max")
def arrest_force_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: devices that state no peak force.

    Why: the law's maximum stands in for it, or that of the trade, never an average. Example: only an average of 1,350 lbf on the label.
    Reference: 29 CFR 1910.140(d)(1)(i) (memory).
    """
    _, text, basis = _most_force(view)
    for part in parts_in_use(view, "srd"):
        if part.arrest_force_peak is None:
            yield Hit(f"{part.path}.arrest_force_peak", {"part": part.id, "limit": text}, basis=basis)


@finding("line-strength-low", "must-fix", documents=(PLAN, RECORD), basis="law:srd_strength_min")
def line_strength_low(view: View) -> Iterator[Hit]:
    """What it looks at: the line's strength against the most that the law at this free fall and the marked standard ask.

    Why: the line may part. Where neither names a figure, that of the trade stands; never less than the peak. Example: free fall 2.6 ft, line
    3,600 lbf, 5,000 lbf needed. Reference: 29 CFR 1910.140(c)(4) and (5) (memory).
    """
    for part in parts_in_use(view, "srd", "lanyard"):
        need = line_demand(view.site, view.binding, part)
        if part.line_strength is not None and over(need.si, part.line_strength.si):
            values: dict[str, Value] = {"part": part.id, "have": down(part.line_strength), "need": asked(view, need)}
            yield Hit(f"{part.path}.line_strength", values, basis=basis_of_demand(need, view.binding, view.site.country))


@finding("strength-unstated", "fix-soon", documents=(PLAN, RECORD), basis="law:connector_tensile_min")
def strength_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: lines and connectors without a strength.

    Why: the law names one, and nobody can compare. Example: a carabiner with neither tensile strength nor proof load
    on record. Reference: 29 CFR 1910.140(c) (memory).
    """
    for part in parts_in_use(view, "srd", "lanyard", "connector"):
        wanted = ("tensile", "proof", "gate_proof", "self_locking") if part.kind == "connector" else ("line_strength",)
        lacking = [name for name in wanted if getattr(part, name) is None]
        if lacking:
            yield Hit(part.path, {"part": part.id, "lacking": terms(lacking)})
