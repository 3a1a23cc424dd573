"""Figures beside the cases, for information: anchorage demand, lock-up, energy, the climb up the ladder, user mass.

None of them decides whether a case passes; each keeps its working, so that an engineer can repeat it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from docgen.calc import CalcError, anchorage, arrest, capacity, climb, lanyard, population
from docgen.engineering import along, bending, ladder, levels
from docgen.engineering.demands import anchorage_demands, anchorage_factor, per_user
from docgen.engineering.loads import corner_angle, kept_of_two, peak_force, persons, second_case, stated_peak, widest
from docgen.engineering.model import Case, Further, Working, computed
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import fixed
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import Bay, Part, Quantity, Site, System
from docgen.trade.practice import practice

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = ["all_further", "mass_shares", "slide_way"]


def all_further(site: Site, law: Law, cases: tuple[Case, ...]) -> tuple[Further, ...]:
    """One record a system, in profile order."""
    return tuple(_further(site, law, system, cases) for system in site.systems)


def _further(site: Site, law: Law, system: System, cases: tuple[Case, ...]) -> Further:
    path = f"further[{system.id}]"
    sheet = Sheet(path)
    devices = site.parts(system.parts, "srd")
    lanyards = site.parts(system.parts, "lanyard")
    needed, by = _anchorage(site, law, system, devices, sheet)
    bay, measure = site.bay(system.bay), along.Measures(sheet, site.site.units or law.units)
    on_ladder = ladder.ladder(site, bay, measure, sheet) if bay is not None else None
    angle = corner_angle(system, cases, on_ladder) if devices else None
    side = _side_load(site, law, system, angle, sheet)
    shared = _two_users(site, law, system, cases, measure, sheet)
    lock = sheet.run(arrest.lock_distance, lock_speed=_usual("lock_speed"), line_angle=0.0) if devices else None
    least = _least_arrest(site, devices, lock, sheet)
    fall, need = _lanyard(law, system, lanyards, cases, sheet)
    met = ladder.struck(site, bay, on_ladder, measure, sheet) if bay is not None and on_ladder is not None else ()
    climb = _climb(site, system, cases, on_ladder, measure, sheet)
    _rail(site, law, system, devices, sheet)
    _along(site, system, measure, sheet)
    _slide(site, system, sheet)
    return Further(
        path=path, id=system.id, bay=system.bay, anchorage_by=by, lanyards=tuple(p.id for p in lanyards),
        anchorage_needed=computed(f"{path}.anchorage_needed", needed, "force"),
        side_angle=computed(f"{path}.side_angle", None if angle is None else angle.si, "angle"),
        side_load=computed(f"{path}.side_load", side, "force"), second_load=computed(f"{path}.second_load", shared.load, "force"),
        spacing=computed(f"{path}.spacing", shared.spacing, "length"),
        second_kept=computed(f"{path}.second_kept", shared.kept, "length"),
        lock_distance=computed(f"{path}.lock_distance", lock, "length"),
        least_arrest=computed(f"{path}.least_arrest", least, "length"), climb_height=computed(f"{path}.climb_height", climb.height, "length"),
        climb_foot=computed(f"{path}.climb_foot", climb.foot, "length"), climb_what=climb.what, climb_never=climb.never, struck=met,
        lanyard_fall=computed(f"{path}.lanyard_fall", fall, "length"), lanyard_need=computed(f"{path}.lanyard_need", need, "length"),
        inputs=tuple(sheet.inputs), working=sheet.working(),
    )  # fmt: skip


def _usual(name: str) -> float:
    """A measure of the trade, in SI."""
    figure = practice(name)
    if figure.si is None:
        raise TypeError(f"{name} is an interval of the calendar; a calculation takes measures")
    return figure.si


def _anchorage(site: Site, law: Law, system: System, devices: tuple[Part, ...], sheet: Sheet) -> tuple[float | None, str | None]:
    """Strength that the anchorage must show: so much for each person, or a factor on the peak arrest force."""
    if not devices:
        return None, None
    factored, each = anchorage_demands(site, law, system)
    if each is not None and (factored is None or over(each.si, factored.si)):
        one = per_user(site, law, _peak(site, law, system, sheet)).si
        return sheet.run(anchorage.prescriptive_load, users=persons(system), per_user=one), "rated-per-user"
    if factored is not None:
        factor, force = anchorage_factor(site, law).si, _peak(site, law, system, sheet)
        return sheet.run(anchorage.engineered_load, arrest_force=force, users=persons(system), factor=factor), "engineered"
    return None, None


def _peak(site: Site, law: Law, system: System, sheet: Sheet) -> float:
    """The peak of one arrest, noted as an input where the labels state it."""
    stated = stated_peak(site, system)
    return peak_force(site, system, law) if stated is None else sheet.use(stated)


def _side_load(site: Site, law: Law, system: System, angle: Quantity | None, sheet: Sheet) -> float | None:
    """The peak of one arrest across or along the rail at the steepest line."""
    force = _peak(site, law, system, sheet) if angle is not None else None
    if force is None or angle is None:
        return None
    return sheet.run(anchorage.side_load, arrest_force=force, line_angle=angle.si)


@frozen
class _Shared:
    """Of two people on one rail: load in N, least spacing of the trolleys in m, and what is kept of the margin when one hangs and one falls."""

    load: float | None = None
    spacing: float | None = None
    kept: float | None = None


def _two_users(site: Site, law: Law, system: System, cases: tuple[Case, ...], measure: along.Measures, sheet: Sheet) -> _Shared:
    """Nothing where only one person may be attached."""
    if (system.climbers_at_once or 1) < 2:
        return _Shared()
    force, limit, reach = _peak(site, law, system, sheet), site.limits.upper.value, widest(system, cases)
    load = None if limit is None else sheet.run(anchorage.second_load, arrest_force=force, mass=sheet.use(limit))
    spacing = None
    if reach is not None:
        gap = 2 * _usual("half_body")
        spacing = sheet.run(capacity.least_spacing, reach_one=reach.si, reach_two=reach.si, gap=gap)
    return _Shared(load, spacing, _second_kept(system, cases, measure, sheet))


def _second_kept(system: System, cases: tuple[Case, ...], measure: along.Measures, sheet: Sheet) -> float | None:
    """The least that the allowed cases keep of the margin after tolerances, the rail bent by one who hangs and one who falls; None where one of them is not known."""
    worked = second_case(system)
    allowed = [c for c in cases if c.bay == system.bay and c.permission == "allowed"]
    bent = None if worked is None else measure(worked.deflection, "bound")
    if bent is None:
        return None
    kept = [(kept_of_two(c, bent.high, Sheet(sheet.path)), c) for c in allowed]
    known = [(least, c) for least, c in kept if least is not None]
    if not known or len(known) < len(kept):
        return None
    return kept_of_two(min(known, key=lambda pair: pair[0])[1], bent.high, sheet)


def _least_arrest(site: Site, devices: tuple[Part, ...], lock: float | None, sheet: Sheet) -> float | None:
    """Shortest arrest distance that physics allows at the stated average force and the posted limit."""
    forces = [d.arrest_force_average for d in devices if d.arrest_force_average is not None]
    if not forces or site.limits.upper.value is None or not lock:
        return None
    force, mass = max(sheet.use(q) for q in forces), sheet.use(site.limits.upper.value)
    try:
        return sheet.run(arrest.arrest_distance_lower_bound, lock_distance=lock, mass=mass, force=force)
    except CalcError:
        return None


def _lanyard(
    law: Law, system: System, lanyards: tuple[Part, ...], cases: tuple[Case, ...], sheet: Sheet
) -> tuple[float | None, float | None]:
    """Free fall and need below the surface of the longest lanyard at the lowest tie-off that a case has: for a reviewer, not a pass."""
    known = [(c.height, c) for c in cases if c.bay == system.bay and c.permission == "allowed" and c.height is not None]
    lengths = [(p.line_length, p) for p in lanyards if p.line_length is not None]
    if not known or not lengths:
        return None, None
    length, long = max(lengths, key=lambda pair: pair[0].si)
    height, lowest = min(known, key=lambda pair: pair[0].si)
    fall = sheet.run(lanyard.free_fall, lanyard_length=sheet.use(length), anchor_above_d_ring=height.si)
    stated = long.deceleration_distance
    slowing = sheet.use(stated) if stated is not None else law.figure("deceleration_distance_max")
    if slowing is None or lowest.stretch is None or lowest.margin_term is None:
        return fall, None
    need = sheet.run(
        lanyard.required_below_surface, free_fall=fall, deceleration=slowing, stretch=lowest.stretch.si, margin=lowest.margin_term.si,
        deflection=_si(lowest.deflection), swing=_si(lowest.swing_drop),
    )  # fmt: skip
    return fall, need


def _si(quantity: Quantity | None) -> float:
    return quantity.si if quantity is not None else 0.0


@frozen
class _Climb:
    """Of the climb, in m above the datum: below which height of the feet an arrest does not end in time, and above what; `never`: at no height it does."""

    height: float | None = None
    foot: float | None = None
    what: str = ""
    never: bool = False


def _climb(
    site: Site, system: System, cases: tuple[Case, ...], on_ladder: ladder.Ladder | None, measure: along.Measure, sheet: Sheet
) -> _Climb:
    """Elevation of the feet on the ladder below which an arrest does not end above the highest thing below with the margin kept, each figure at its worst end.

    The climber is the tallest of the crew, as far off the rail as the ladder stands, or as the widest case where that is not stated; a
    slack line makes the arrest longer.
    """
    known = [c for c in cases if c.bay == system.bay and c.permission == "allowed" and c.required is not None]
    bay = site.bay(system.bay)
    line_exit = None if bay is None else levels.exit_elevation(bay.rail, measure)
    offset = _most(c.offset_worst for c in known) if on_ladder is None else on_ladder.offset_worst
    longest = _most(c.arrest_distance_worst for c in known)
    below = None if bay is None else ladder.foot(site, bay, measure)
    if bay is None or line_exit is None or offset is None or longest is None or below is None:
        return _Climb()
    standing = measure(site.limits.d_ring.standing, "crew") or fixed(_usual("d_ring_standing"))
    slack = measure(bay.hook_up.line.slack)
    if slack is not None and slack.nominal >= 0:
        longest = sheet.run_for("worst", climb.arrest_with_slack, arrest_distance=longest, slack=slack.high)
    try:
        height = sheet.run_for(
            "worst", climb.protected_height, line_exit=line_exit.low, d_ring_standing=levels.over_the_crew(site.limits, standing, measure).high,
            lower_level=below.top, arrest_distance=longest, stretch=_most(c.stretch_worst for c in known) or 0.0,
            deflection=_most(c.deflection_worst for c in known) or 0.0, margin=_most(c.margin_term for c in known) or 0.0, offset=offset,
        )  # fmt: skip
    except CalcError:
        return _Climb()
    return _Climb(height=height, foot=below.top, what=below.what, never=height is None)


def _most(quantities: Iterable[Quantity | None]) -> float | None:
    """The largest of those that were computed; None of none."""
    return max((q.si for q in quantities if q is not None), default=None)


def _rail(site: Site, law: Law, system: System, devices: tuple[Part, ...], sheet: Sheet) -> None:
    """Bending of the rail under the falls that one span can see at a time, where the profile gives its section."""
    bay = site.bay(system.bay)
    peak = bending.stated_peak(site.arresting(system)) or practice("peak_unstated").si
    if bay is not None and devices:
        bending.bending(bay.rail, bending.users_in_span(system, bay.rail), peak, sheet)


def _along(site: Site, system: System, measure: along.Measures, sheet: Sheet) -> None:
    """Where the work on each vehicle of the bay lies under the rail."""
    bay = site.bay(system.bay)
    used = {t.vehicle for t in site.tasks if t.bay == system.bay and t.permission == "allowed"}
    for vehicle in site.vehicles:
        if bay is not None and vehicle.id in used:
            along.work_past(bay, vehicle, measure, sheet)


def _slide(site: Site, system: System, sheet: Sheet) -> None:
    """Speed and friction of a slide over a sloping top to its farthest open edge."""
    bay = site.bay(system.bay)
    way = slide_way(site, bay) if bay is not None else None
    if bay is not None and bay.hazards.slope is not None and 0 < bay.hazards.slope.si < math.pi / 2 and way is not None:
        slope = sheet.use(bay.hazards.slope)
        sheet.run(arrest.slide_speed, slide=sheet.use(way), slope=slope)
        sheet.run(arrest.slide_friction, slide=sheet.use(way), slope=slope, lock_speed=_usual("lock_speed"))


def slide_way(site: Site, bay: Bay) -> Quantity | None:
    """The longest way from the centreline to an open edge of a vehicle that is climbed on in a bay: a slide has that long to gain speed."""
    used = {t.vehicle for t in site.tasks if t.bay == bay.id and t.permission == "allowed"}
    edges = [s.edge for v in site.vehicles if v.id in used for s in v.sides if not s.stopped_by and s.side in ("left", "right")]
    return max((e for e in edges if e is not None and e.si > 0), key=lambda e: e.si, default=None)


def mass_shares(site: Site, path: str = "mass") -> tuple[tuple[str, float, Working], ...]:
    """For each published population its share above the body mass that the posted limit admits: an estimate by a model.

    (name of the population in practice.yaml, share from 0 to 1, working). Empty without a posted limit, and where clothing, harness and
    tools alone reach it.
    """
    if site.limits.upper.value is None:
        return ()
    sheet = Sheet(path)
    threshold = sheet.use(site.limits.upper.value) - _usual("mass_allowance")
    if threshold <= 0:
        return ()
    spread = _usual("mass_spread")
    found = []
    for name in ("mass_us_men", "mass_us_women", "mass_us_male_drivers"):
        share = sheet.run(population.share_over, threshold=threshold, mean=_usual(name), cv=spread)
        found.append((name, share, sheet.working()[-1]))
    return tuple(found)
