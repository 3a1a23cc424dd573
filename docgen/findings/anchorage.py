"""Findings on what the rail hangs from, who stands behind it, and what else is done with it."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.calc.anchorage import side_load
from docgen.engineering.along import Measures
from docgen.engineering.chains import rated, shown
from docgen.engineering.demands import Demand, anchorage_demands, anchorage_factor, anchorage_needed, per_user
from docgen.engineering.ladder import ladder
from docgen.engineering.loads import assumed_peak, corner_angle, peak_force, persons, stated_peak
from docgen.engineering.sheet import Sheet
from docgen.findings.basis import basis_of_demand
from docgen.findings.common import asked, bays_in_use, law_figure, law_text, systems_in_use, terms, worded
from docgen.findings.model import Basis, Value
from docgen.findings.rule import NOTICE, PLAN, RECORD, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import over
from docgen.site import Bay, Part, Quantity, System
from docgen.trade.practice import practice

__all__ = [
    "anchorage_basis_missing",
    "anchorage_design_low",
    "anchorage_factor_low",
    "anchorage_load_missing",
    "anchorage_rated_low",
    "anchorage_unsupervised",
    "compatibility_unstated",
    "end_stop_unproved",
    "end_stop_weak",
    "frame_load_low",
    "harness_attachment",
    "other_use_of_rail",
    "side_load_low",
    "side_load_silent",
    "side_load_untold",
    "structure_unchecked",
]


@finding("anchorage-basis-missing", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_per_user")
def anchorage_basis_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether the anchorage is designed or carries the full rated strength.

    Why: one of the two must be proven. Example: neither stated. Reference: 29 CFR 1910.140(c)(13) (memory).
    """
    for system in systems_in_use(view):
        if system.anchorage.basis is None:
            yield Hit(f"{system.anchorage.path}.basis", {"system": system.id})


def _need(view: View, system: System, users: int | None = None, beside: Quantity | None = None) -> Demand | None:
    return anchorage_needed(view.site, view.binding, system, users, beside)


def _basis(view: View, demand: Demand) -> Basis:
    return basis_of_demand(demand, view.binding, view.site.country)


@finding("anchorage-load-missing", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_per_user")
def anchorage_load_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the load for which the anchorage was designed or rated.

    Why: without it nothing is proven. Example: basis engineered, no design load. Reference: 29 CFR 1910.140(c)(13)
    (memory).
    """
    for system in systems_in_use(view):
        need = _need(view, system)
        if need is not None and system.anchorage.design_load_all_users is None:
            yield Hit(
                f"{system.anchorage.path}.design_load_all_users",
                {"system": system.id, "need": up(need.si, "force")},
                basis=_basis(view, need),
            )


def _force_text(view: View, system: System) -> Value:
    stated = stated_peak(view.site, system)
    if stated is None and law_figure(view, "arrest_force_max") is not None:
        return law_text(view, "arrest_force_max")
    return near(assumed_peak(view.site, view.binding), "force") if stated is None else near(stated)


@finding("anchorage-design-low", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_factor")
def anchorage_design_low(view: View) -> Iterator[Hit]:
    """What it looks at: design load against factor x arrest force x users.

    Why: that is what the text asks of a design, and the trade where the law in force names no factor. Example: 2 users x 1,800 lbf x 2 = 7,200 lbf;
    the design says 3,600. Reference: 29 CFR 1910.140(c)(13)(ii) (memory).
    """
    for system in systems_in_use(view):
        load, (need, _) = system.anchorage.design_load_all_users, anchorage_demands(view.site, view.binding, system)
        if load is not None and need is not None and over(need.si, load.si):
            values = {
                "system": system.id,
                "load": down(load),
                "need": up(need.si, "force"),
                "users": persons(system),
                "factor": f"{anchorage_factor(view.site, view.binding).si:g}",
                "force": _force_text(view, system),
            }
            yield Hit(f"{system.anchorage.path}.design_load_all_users", values, basis=_basis(view, need))


@finding("anchorage-rated-low", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_per_user")
def anchorage_rated_low(view: View) -> Iterator[Hit]:
    """What it looks at: rated strength against the figure for each person attached; a design too, where the law names no factor beside it.

    Why: it is per person, not per anchor. Where the law names none, that of the trade stands. Example: 5,000 lbf for two users. Reference: 29 CFR
    1910.140(c)(13)(i) (memory).
    """
    for system in systems_in_use(view):
        load, (_, need) = system.anchorage.design_load_all_users, anchorage_demands(view.site, view.binding, system)
        if load is not None and need is not None and over(need.si, load.si):
            each = per_user(view.site, view.binding, peak_force(view.site, system, view.binding), load)
            values = {
                "system": system.id,
                "load": down(load),
                "need": up(need.si, "force"),
                "users": persons(system),
                "each": asked(view, each),
            }
            yield Hit(f"{system.anchorage.path}.design_load_all_users", values, basis=_basis(view, need))


@finding("anchorage-factor-low", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_factor")
def anchorage_factor_low(view: View) -> Iterator[Hit]:
    """What it looks at: the factor of the design against the law's, or against that of the trade where the law names none.

    Why: a lower one leaves no room for what nobody reckoned with. Example: factor 1.5. Reference: 29 CFR 1910.140(c)(13)(ii)
    (memory).
    """
    least = anchorage_factor(view.site, view.binding)
    for system in systems_in_use(view):
        factor = system.anchorage.design_factor
        if system.anchorage.basis == "engineered" and factor is not None and over(least.si, factor):
            values: dict[str, Value] = {"system": system.id, "factor": f"{factor:g}", "least": f"{least.si:g}"}
            yield Hit(f"{system.anchorage.path}.design_factor", values, basis=_basis(view, least))


@finding("anchorage-unsupervised", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_supervision")
def anchorage_unsupervised(view: View) -> Iterator[Hit]:
    """What it looks at: a named and qualified person behind design, installation and use.

    Why: the text asks for all three. Example: engineered, supervised_by left out, or a trainer. Reference: 29 CFR
    1910.140(c)(13)(ii) (memory).
    """
    for system in systems_in_use(view):
        role = view.site.role(system.anchorage.supervised_by)
        named = (
            role is not None and role.held_by is not None and "qualified-person" in role.part and role.qualification is not None
        )
        if system.anchorage.basis == "engineered" and not named:
            yield Hit(f"{system.anchorage.path}.supervised_by", {"system": system.id})


@finding("structure-unchecked", "must-fix", documents=(PLAN, RECORD))
def structure_unchecked(view: View) -> Iterator[Hit]:
    """What it looks at: who checked the frame and foundation, and when; a day that lies ahead is none.

    Why: a rated rail on an unchecked frame proves nothing. Example: rail rated, canopy frame not. Reference: common
    practice, no published source.
    """
    for system in systems_in_use(view):
        on = system.anchorage.structure_checked_on
        if system.anchorage.structure_checked_by is None or on is None or view.ahead(on):
            yield Hit(f"{system.anchorage.path}.structure_checked_by", {"system": system.id})


#: Parts from the ground to the trolley: they hold what the anchorage must hold.
FRAME = ("foundation", "host-structure", "base-plate", "structure", "bracket-bolts", "hanger", "splice", "rail", "trolley")


@finding("frame-load-low", "must-fix", documents=(PLAN, RECORD), basis="law:anchorage_per_user")
def frame_load_low(view: View) -> Iterator[Hit]:
    """What it looks at: the design load of each part from the ground to the trolley against the strength asked of the anchorage.

    Why: the anchorage is as strong as the weakest part that it hangs by. Exactly as strong is enough. Example: 3,600 lbf asked, splice 2,000
    lbf. Reference: 29 CFR 1910.140(c)(13) (memory).
    """
    for system in systems_in_use(view):
        for part in view.site.load_path(system):
            need, load = _need(view, system, _borne(system, part), part.design_load), part.design_load
            if part.kind in FRAME and load is not None and need is not None and over(need.si, load.si):
                values = {"system": system.id, "part": part.id, "load": down(load), "need": up(need.si, "force")}
                yield Hit(f"{part.path}.design_load", values, basis=_basis(view, need))


def _borne(system: System, part: Part) -> int | None:
    """For how many people a part must be strong: a trolley for those on it, anything else for all."""
    return system.rated_users_per_trolley if part.kind == "trolley" else None


def _angles(view: View, system: System, device: Part) -> list[tuple[Part, Quantity]]:
    """The maker's line angles that speak of this device: its own, and those of the trolleys."""
    parts = (device, *view.site.parts(system.parts, "trolley"))
    return [(p, p.line_angle.max) for p in parts if p.line_angle.max is not None]


@finding("side-load-untold", "must-fix", documents=(PLAN, RECORD))
def side_load_untold(view: View) -> Iterator[Hit]:
    """What it looks at: the maker's largest line angle for this rail and trolley against the steepest line, at work or on the ladder, after tolerances.

    Why: a line at an angle pulls sideways at rail, trolley and frame, and they are tested for so much of it. Exactly at the angle holds. Example: line at
    24 degrees, and no angle in the manual. Reference: the manual; common practice.
    """
    for system in systems_in_use(view):
        corner = _steepest(view, system)
        for device in view.site.parts(system.parts, "srd") if corner is not None else ():
            stated = _angles(view, system, device)
            values: dict[str, Value] = {"system": system.id, "angle": up(corner)}
            if not stated:
                yield Hit(f"{device.path}.line_angle", values | {"limit": NOT_STATED, "part": device.id})
            for part, limit in stated:
                if corner is not None and over(corner.si, limit.si):
                    yield Hit(f"{part.line_angle.path}.max", values | {"limit": down(limit), "part": part.id})


def _steepest(view: View, system: System) -> Quantity | None:
    """The steepest line of a system, at work or on the ladder, after tolerances."""
    bay = view.bays.get(system.bay)
    sheet = Sheet(system.path)
    climb = None if bay is None else ladder(view.site, bay, Measures(sheet, view.system), sheet)
    return corner_angle(system, view.cases, climb)


def _sideways(view: View, system: System) -> tuple[Quantity, float] | None:
    """The steepest line, and the force that it pulls sideways; None where it is not known."""
    corner, force = _steepest(view, system), peak_force(view.site, system, view.binding)
    return None if corner is None else (corner, side_load(force, corner.si))


@finding("side-load-low", "must-fix", documents=(PLAN, RECORD))
def side_load_low(view: View) -> Iterator[Hit]:
    """What it looks at: the angle and the sideways load that the structural record states, against the steepest line and its pull.

    Why: the frame was designed for less. Exactly as much is enough; where both are stated, both must be. Example: 735 lbf sideways, the record states 500 lbf. Reference:
    statics; common practice.
    """
    for system in systems_in_use(view):
        found, stated = _sideways(view, system), system.anchorage.direction
        if found is None:
            continue
        values = {"system": system.id, "angle": up(found[0]), "side": up(found[1], "force")}
        if stated.angle is not None and over(found[0].si, stated.angle.si):
            yield Hit(f"{stated.path}.angle", values | {"stated": down(stated.angle)})
        if stated.load is not None and over(found[1], stated.load.si):
            yield Hit(f"{stated.path}.load", values | {"stated": down(stated.load)})


@finding("side-load-silent", "fix-soon", documents=(PLAN, RECORD))
def side_load_silent(view: View) -> Iterator[Hit]:
    """What it looks at: structural records that say nothing of the angle of the load, or that nobody has read for it.

    Why: the sideways pull goes into the frame, and its engineer must say whether it was reckoned with. Example: silent: true. Reference: common practice, no
    published source.
    """
    for system in systems_in_use(view):
        found, stated = _sideways(view, system), system.anchorage.direction
        if found is not None and stated.angle is None and stated.load is None:
            record = worded("record-silent") if stated.silent else worded("record-unread")
            values: dict[str, Value] = {
                "system": system.id,
                "record": record,
                "angle": up(found[0]),
                "side": up(found[1], "force"),
            }
            yield Hit(stated.path, values)


@finding("end-stop-unproved", "must-fix", documents=(PLAN, RECORD))
def end_stop_unproved(view: View) -> Iterator[Hit]:
    """What it looks at: what each end stop within reach of the work rests on: its rating, or the words that it is part of the tested rail.

    Why: a person who falls near the end pulls the trolley against the stop. Reach is lag, reach and half a body; a vehicle whose place
    along the rail nobody can tell counts as near. Words without a page, a figure or a day are no paper. Example: a stop that was seen in place. Reference: common practice, no
    published source.
    """
    for bay in bays_in_use(view):
        for stop in bay.rail.stops:
            part = view.site.part(stop.part)
            if not shown(stop) and (part is None or not rated(view.site, part)):
                yield Hit(stop.path, {"bay": bay.name, "end": stop.at, "near": _near_stop(view, bay)})


def _near_stop(view: View, bay: Bay) -> Value:
    """How near to a stop the work counts as being at it: lag, reach and half a body, of the widest case."""
    reaches = [c.along.si + c.reach.si for c in view.allowed if c.bay == bay.id and c.along is not None and c.reach is not None]
    return up(max(reaches) + practice("half_body").si if reaches else None, "length")


@finding("end-stop-weak", "must-fix", documents=(PLAN, RECORD))
def end_stop_weak(view: View) -> Iterator[Hit]:
    """What it looks at: the design load of an end stop against the sideways pull of the steepest line.

    Why: the pull drives the trolley against the stop. Exactly as strong is enough. Example: 735 lbf sideways, stop 500 lbf. Reference: statics; common practice.
    """
    for system in systems_in_use(view):
        found = _sideways(view, system)
        for part in view.site.load_path(system):
            load = part.design_load
            if part.kind == "end-stop" and found is not None and load is not None and over(found[1], load.si):
                values = {
                    "part": part.id,
                    "system": system.id,
                    "load": down(load),
                    "angle": up(found[0]),
                    "side": up(found[1], "force"),
                }
                yield Hit(f"{part.path}.design_load", values)


@finding("compatibility-unstated", "must-fix", documents=(PLAN, RECORD), basis="law:compatibility")
def compatibility_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: a paper that says that these parts go together.

    Why: a connector may roll out, a trolley may jam. Example: trolley and device of different makers, nothing in
    writing. Reference: 29 CFR 1910.140(c)(19) (memory).
    """
    for system in systems_in_use(view):
        if system.compatibility.stated_by is None:
            yield Hit(f"{system.compatibility.path}.stated_by", {"system": system.id})


@finding("other-use-of-rail", "must-fix", documents=(PLAN, RECORD, NOTICE), basis="law:exclusive_use")
def other_use_of_rail(view: View) -> Iterator[Hit]:
    """What it looks at: whether anything else hangs on the system.

    Why: it may serve fall protection only. Example: product hoses lifted with the trolley. Reference: 29 CFR
    1910.140(c)(16) (memory).
    """
    for system in systems_in_use(view):
        if system.fall_protection_only is False:
            yield Hit(f"{system.path}.fall_protection_only", {"system": system.id})


@finding("harness-attachment", "must-fix", documents=(PLAN, RECORD), basis="law:harness_attachment")
def harness_attachment(view: View) -> Iterator[Hit]:
    """What it looks at: the D-ring that is used against the back one that every case here computes.

    Why: the body turns otherwise. Example: the card says front ring, the plan computes the back. Reference: 29 CFR
    1910.140(c)(22) (memory).
    """
    for system in systems_in_use(view):
        if system.attachment not in (None, "dorsal"):
            yield Hit(f"{system.path}.attachment", {"at": system.id, "ring": terms((system.attachment,))})
        for harness in view.site.parts(system.harnesses):
            if harness.attachment not in (None, "dorsal"):
                yield Hit(f"{harness.path}.attachment", {"at": harness.id, "ring": terms((harness.attachment,))})
