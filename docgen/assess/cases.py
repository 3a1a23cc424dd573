"""Every bay, vehicle, task, posture and fall side that the profile lists, each computed on its own.

No single "site calculation" exists: the lowest deck governs clearance, the tallest governs angle, swing and rescue
height, the widest or worst-parked governs offset. Prohibited cases are computed too, so that the ban shows its reason.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from docgen.assess.model import Assumed, Case, computed
from docgen.assess.practice import practice
from docgen.assess.working import Sheet
from docgen.calc import CalcError, arrest, clearance, swing
from docgen.site import Bay, Length, LowerLevel, Obstruction, Part, Protrusion, Quantity, Side, Site, System, Task, Vehicle

__all__ = ["all_cases", "case_posture"]

ALONG = ("front", "rear")  # their edges are measured along the vehicle, where the trolley follows


def case_posture(postures: tuple[str, ...]) -> tuple[str, ...]:
    """Postures to compute: every kneeling or lying task is computed standing too, since people stand up."""
    listed = postures or ("standing",)
    return tuple(dict.fromkeys(("standing", *listed)))


def all_cases(site: Site, system: str) -> tuple[Case, ...]:
    """All cases in profile order, the governing one of each bay marked. `system` is us or si."""
    cases = []
    for task in site.tasks:
        bay, vehicle = site.bay(task.bay), site.vehicle(task.vehicle)
        if bay is None or vehicle is None:
            continue
        for posture in case_posture(task.postures):
            cases.extend(_case(site, bay, vehicle, task, posture, side, system) for side in _sides(vehicle))
    return tuple(_mark_governing(cases))


def _sides(vehicle: Vehicle) -> Iterator[Side]:
    open_sides = [s for s in vehicle.sides if s.stopped_by is None]
    if open_sides or vehicle.sides:
        yield from open_sides
    else:
        path = f"{vehicle.path}.sides"
        yield Side(path=path, given=False, side="any", lower=LowerLevel(path=path, given=False))


@dataclass
class _Lengths:
    """Collects what a case rests on, and what is missing or assumed."""

    sheet: Sheet
    system: str
    missing: list[str]
    assumed: list[Assumed]

    def need(self, quantity: Length | None, path: str) -> float | None:
        if quantity is None:
            self.missing.append(path)
            return None
        return self.sheet.use(quantity)

    def usual(self, quantity: Length | None, name: str) -> float:
        if quantity is not None:
            return self.sheet.use(quantity)
        figure = practice(name, self.system)
        value = computed(f"practice.{name}", figure.si, figure.kind)
        self.assumed.append(
            Assumed(path=f"practice.{name}", name=name, value=value, what=figure.what, source=figure.source, basis=figure.basis)
        )
        return figure.si


def _tolerance(*quantities: Quantity | None) -> float:
    return sum(q.tolerance for q in quantities if q is not None)


def _device(site: Site, system: System | None) -> tuple[Part, ...]:
    return site.parts(system.parts, "srd") if system else ()


def _longest_arrest(devices: tuple[Part, ...]) -> Quantity | None:
    stated = [d.arrest_distance for d in devices if d.arrest_distance is not None]
    return max(stated, key=lambda q: q.si) if devices and len(stated) == len(devices) else None


def _angle_limit(site: Site, devices: tuple[Part, ...], lengths: _Lengths) -> float:
    stated = [q for q in (site.limits.line_angle.value, *(d.angle_max for d in devices)) if q is not None]
    return lengths.sheet.use(min(stated, key=lambda q: q.si)) if stated else lengths.usual(None, "line_angle")


def _case(site: Site, bay: Bay, vehicle: Vehicle, task: Task, posture: str, side: Side, system: str) -> Case:
    """The case, or a bare one where its figures contradict each other: not computed, so never a pass."""
    try:
        return _compute(site, bay, vehicle, task, posture, side, system)
    except CalcError:
        key = f"{task.id}.{posture}.{side.side}"
        return Case(
            path=f"cases[{key}]", id=key, bay=bay.id, vehicle=vehicle.id, task=task.id, posture=posture, side=side.side,
            permission=task.permission,
        )  # fmt: skip


def _compute(site: Site, bay: Bay, vehicle: Vehicle, task: Task, posture: str, side: Side, system: str) -> Case:
    key = f"{task.id}.{posture}.{side.side}"
    path = f"cases[{key}]"
    sheet = Sheet(path)
    lengths = _Lengths(sheet, system, [], [])
    rig = site.system_of(bay.id)
    devices = _device(site, rig)
    rail = bay.rail

    def q(name: str, si: float | None, kind: str = "length") -> Quantity | None:
        return computed(f"{path}.{name}", si, kind)

    underside = lengths.need(rail.underside, f"{rail.path}.underside")
    hang = lengths.need(rail.hang, f"{rail.path}.hang")
    deck = lengths.need(vehicle.deck, f"{vehicle.path}.deck")
    ring_standing = lengths.usual(site.limits.d_ring.standing, "d_ring_standing")
    ring_given = getattr(site.limits.d_ring, posture)
    if posture == "standing":
        ring, addition = ring_standing, 0.0
    elif ring_given is not None:
        ring = sheet.use(ring_given)
        addition = clearance.posture_addition(d_ring_standing=ring_standing, d_ring_posture=ring)
    else:
        addition = lengths.usual(None, f"posture_{posture}")
        ring = ring_standing - addition

    reach = _reach(lengths, vehicle, task)
    rail_offset = lengths.need(rail.offset, f"{rail.path}.offset")
    parking = lengths.need(bay.parking.lateral, f"{bay.path}.parking.lateral")
    lag = lengths.usual(rail.lag, "trolley_lag")
    along = lag + (sheet.use(task.past_end_stop) if task.past_end_stop is not None else 0.0)

    case = Case(
        path=path, id=key, bay=bay.id, vehicle=vehicle.id, task=task.id, posture=posture, side=side.side,
        permission=task.permission, deck=q("deck", deck), ring=q("ring", ring), reach=q("reach", reach),
        rail_offset=q("rail_offset", rail_offset), parking=q("parking", parking), along=q("along", along),
        posture_addition=q("posture_addition", addition),
    )  # fmt: skip

    line_exit = None if underside is None or hang is None else underside - hang
    height = None if line_exit is None or deck is None else line_exit - deck - ring
    offset = across = None
    if None not in (reach, rail_offset, parking):
        across = sheet.run(swing.across_offset, rail_offset=abs(rail_offset), reach=reach, parking=parking)
        offset = sheet.run(swing.offset, across=across, along=along)
    offset_slack = _tolerance(rail.offset, task.reach, bay.parking.lateral)
    offset_worst = None if offset is None else swing.offset(across=across + offset_slack, along=along + _tolerance(rail.lag, task.past_end_stop))
    rail_slack = _tolerance(rail.underside, rail.hang)
    ring_slack = _tolerance(ring_given if ring_given is not None else site.limits.d_ring.standing)
    deck_slack = _tolerance(vehicle.deck)
    height_clear_worst = None if height is None else height - rail_slack + deck_slack - ring_slack
    height_swing_worst = None if height is None else height - rail_slack - deck_slack - ring_slack

    lower, lower_q, lower_what, lower_path, lower_slack = _lower_level(site, bay, vehicle, side, offset, lengths)
    arrest_q = _longest_arrest(devices)
    if arrest_q is None:
        unread = next((d for d in devices if d.arrest_distance is None), None)
        lengths.missing.append(f"{unread.path}.arrest_distance" if unread else f"{rig.path}.parts" if rig else bay.path)
    reach_down = None if arrest_q is None else sheet.use(arrest_q)
    stretch = lengths.usual(site.limits.stretch, "stretch")
    margin_term = lengths.usual(site.limits.margin, "margin")
    deflection = None if rail.deflection is None else sheet.use(rail.deflection)
    angle_limit = _angle_limit(site, devices, lengths)
    rule = None if site.limits.lateral.value is None else sheet.use(site.limits.lateral.value)

    case = replace(
        case, line_exit=q("line_exit", line_exit), height=q("height", height), height_worst=q("height_worst", height_swing_worst),
        across=q("across", across), offset=q("offset", offset), offset_worst=q("offset_worst", offset_worst),
        lower_level=q("lower_level", lower), lower_what=lower_what, lower_path=lower_path,
        arrest_distance=q("arrest_distance", reach_down), stretch=q("stretch", stretch), deflection=q("deflection", deflection),
        margin_term=q("margin_term", margin_term), angle_limit=q("angle_limit", angle_limit, "angle"),
    )  # fmt: skip

    drop = None
    if height is not None and height > 0 and offset is not None:
        drop = sheet.run(swing.swing_drop, height=height, offset=offset)
        speed = sheet.run(swing.swing_speed, drop=drop)
        angle = sheet.run(swing.line_angle, height=height, offset=offset)
        angle_worst = swing.line_angle(height=height_swing_worst, offset=offset_worst) if height_swing_worst > 0 else None
        case = replace(
            case, swing_drop=q("swing_drop", drop), swing_speed=q("swing_speed", speed, "speed"),
            line_angle=q("line_angle", angle, "angle"), line_angle_worst=q("line_angle_worst", angle_worst, "angle"),
        )  # fmt: skip

    available = None
    if deck is not None and lower is not None:
        available = sheet.run(clearance.available_below_surface, surface=deck, lower_level=lower)
        case = replace(
            case, available=q("available", available), available_worst=q("available_worst", available - deck_slack - lower_slack)
        )

    if drop is not None and reach_down is not None:
        terms = dict(arrest_distance=reach_down, stretch=stretch, posture=addition, deflection=deflection or 0.0, margin=margin_term)
        required = sheet.run(clearance.required_below_surface, swing=drop, **terms)
        edge = _no_noise(sheet.run(clearance.line_bears_on_edge, d_ring_height=ring, arrest_distance=reach_down, swing=drop))
        case = replace(case, required=q("required", required), edge=q("edge", edge), **_hanging(q, case, line_exit, ring_standing, terms))
        if available is not None:
            case = _margins(
                case, q, sheet, site, rail.offset_toward, available, required, terms, height, height_clear_worst,
                height_swing_worst, offset_worst, angle_limit, rule, along, reach, rail_offset, offset_slack, deck_slack + lower_slack,
            )  # fmt: skip

    if line_exit is not None and offset is not None:
        ground = swing.line_length(height=line_exit - ring_standing, offset=offset) if line_exit > ring_standing else None
        lowest = None if case.hang_low is None else line_exit - case.hang_low.si
        needs = [n for n in (ground if bay.hook_up.at_ground else None, lowest) if n is not None]
        case = replace(case, line_needed=q("line_needed", max(needs) if needs else None))
    case = replace(case, in_swing=_in_swing(bay, vehicle, side, case))
    return replace(
        case, missing=tuple(dict.fromkeys(lengths.missing)), assumed=tuple(lengths.assumed), inputs=tuple(sheet.inputs),
        working=tuple(sheet.steps),
    )  # fmt: skip


def _reach(lengths: _Lengths, vehicle: Vehicle, task: Task) -> float | None:
    """The task's own reach, and never less than any edge that nothing physical stops a person from getting to."""
    edges = [s.edge for s in vehicle.sides if s.stopped_by is None and s.side not in ALONG]
    wanted = [q for q in (task.reach, *edges) if q is not None]
    if not wanted:
        lengths.missing.append(f"{task.path}.reach")
        return None
    return lengths.sheet.use(max(wanted, key=lambda q: q.si))


def _lower_level(site, bay, vehicle, side, offset, lengths):
    """The highest surface or protrusion below that side: (height, quantity, what, path, tolerance)."""
    base = side.lower.height
    if base is None:
        lengths.missing.append(f"{side.path}.lower.height" if side.given else f"{vehicle.path}.sides")
        return None, None, side.lower.what, None, 0.0
    candidates = [(base, side.lower.what or "")]
    deck = vehicle.deck.si if vehicle.deck else None
    edge = side.edge.si if side.edge is not None else 0.0
    zone = None if offset is None else max(offset, edge) + practice("landing_width", lengths.system).si
    for thing in (*vehicle.protrusions, *bay.obstructions):
        if thing.side not in (None, side.side) or thing.top is None or (deck is not None and thing.top.si >= deck):
            continue
        start = thing.from_.si if thing.from_ is not None else None
        if start is None or zone is None or start < zone:
            candidates.append((thing.top, thing.what))
    top, what = max(candidates, key=lambda c: c[0].si)
    worst = max(c[0].si + c[0].tolerance for c in candidates)
    return lengths.sheet.use(top), top, what, top.path, worst - top.si


def _hanging(q, case: Case, line_exit: float, ring_standing: float, terms: dict[str, float]) -> dict[str, Quantity | None]:
    """Range of the hanging D-ring and feet: lowest after the full arrest, highest after lock-up only."""
    line = swing.line_length(height=case.height.si, offset=case.offset.si)
    lock = arrest.lock_distance(practice("lock_speed").si)
    low = clearance.hang_d_ring_lowest(line_exit, line, terms["arrest_distance"], terms["deflection"])
    high = clearance.hang_d_ring_highest(line_exit, line, min(lock, terms["arrest_distance"]))
    return {
        "hang_low": q("hang_low", low),
        "hang_high": q("hang_high", high),
        "feet_low": q("feet_low", clearance.hang_feet_height(low, ring_standing, terms["stretch"])),
        "feet_high": q("feet_high", clearance.hang_feet_height(high, ring_standing, 0.0)),
    }


def _margins(
    case, q, sheet, site, toward, available, required, terms, height, height_clear_worst, height_swing_worst, offset_worst,
    angle_limit, rule, along, reach, rail_offset, offset_slack, drop_slack,
):  # fmt: skip
    margin = _no_noise(sheet.run(clearance.clearance_margin, available=available, required=required))
    worst_required = worst_margin = None
    if height_clear_worst > 0:
        worst_required = clearance.required_below_surface(swing=swing.swing_drop(height=height_clear_worst, offset=offset_worst), **terms)
        worst_margin = _no_noise(clearance.clearance_margin(available=available - drop_slack, required=worst_required))
    spare = sheet.run(clearance.allowed_swing, available=available, **{k: v for k, v in terms.items()})
    by_clearance = sheet.run(swing.largest_offset_for_drop, height=height, drop=spare) if spare > 0 else 0.0
    by_angle = sheet.run(swing.largest_offset_for_angle, height=height, angle=angle_limit)
    limits = {"clearance": by_clearance, "angle": by_angle}
    if rule is not None:
        limits["site-rule"] = rule
    largest_by = min(limits, key=lambda k: limits[k])
    spare_worst = clearance.allowed_swing(available=available - drop_slack, **terms)
    worst = [
        swing.largest_offset_for_drop(height=height_clear_worst, drop=spare_worst) if spare_worst > 0 and height_clear_worst > 0 else 0.0,
        swing.largest_offset_for_angle(height=height_swing_worst, angle=angle_limit) if height_swing_worst > 0 else 0.0,
        *([rule] if rule is not None else []),
    ]
    largest_worst = min(worst)
    across = swing.largest_across(largest_offset=largest_worst, along=along) if largest_worst > along else 0.0
    sign = -1.0 if toward == "left" else 1.0
    slack = offset_slack - (site.bay(case.bay).parking.lateral.tolerance)
    left = swing.parking_allowance(across, reach, sign * rail_offset) - slack
    right = swing.parking_allowance(across, reach, -sign * rail_offset) - slack
    shorter = terms["arrest_distance"] + margin
    return replace(
        case, margin=q("margin", margin), margin_worst=q("margin_worst", worst_margin), required_worst=q("required_worst", worst_required),
        largest_offset=q("largest_offset", limits[largest_by]), largest_offset_by=largest_by,
        largest_by_clearance=q("largest_by_clearance", by_clearance), largest_by_angle=q("largest_by_angle", by_angle),
        largest_by_rule=q("largest_by_rule", rule), largest_worst=q("largest_worst", largest_worst),
        allowance_left=q("allowance_left", left), allowance_right=q("allowance_right", right),
        arrest_way_out=q("arrest_way_out", shorter if margin < 0 and shorter > 0 else None),
    )  # fmt: skip


def _no_noise(length: float) -> float:
    """Zero for a length of less than a nanometre: a rounding of the machine must not turn "exactly enough" into short."""
    return 0.0 if abs(length) < 1e-9 else length


def _in_swing(bay: Bay, vehicle: Vehicle, side: Side, case: Case) -> tuple[str, ...]:
    """Paths of the things that the swinging body can meet, over the whole arc from +x to -x, feet to head."""
    if case.hang_low is None or case.offset is None:
        return ()
    below_ring = case.ring.si + case.posture_addition.si + case.stretch.si
    half = practice("half_body").si
    head = practice("head_above_ring").si
    line = swing.line_length(height=case.height.si, offset=case.offset_worst.si)
    extra = case.line_exit.si - case.hang_low.si - line
    found = []
    for thing in (*vehicle.protrusions, *bay.obstructions):
        if (case.lower_path or "").startswith(f"{thing.path}."):
            continue
        near, far = _across_interval(thing)
        reach = case.offset_worst.si + half
        if near is not None and near > reach:
            continue
        inner = max((near or 0.0) - half, 0.0)
        outer = min(far + half if far is not None else reach, case.offset_worst.si)
        lowest, highest = swing.arc_heights(
            anchor_height=case.line_exit.si, line_at_lock=line, extra=max(extra, 0.0), near=min(inner, outer), far=outer
        )
        bottom = thing.bottom.si - thing.bottom.tolerance if thing.bottom is not None else float("-inf")
        top = thing.top.si + thing.top.tolerance if thing.top is not None else float("inf")
        if bottom < highest + head and top > lowest - below_ring:
            found.append(thing.path)
    return tuple(found)


def _across_interval(thing: Obstruction | Protrusion) -> tuple[float | None, float | None]:
    near = None if thing.from_ is None else thing.from_.si - thing.from_.tolerance
    far = None if thing.to is None else thing.to.si + thing.to.tolerance
    return near, far


def _mark_governing(cases: list[Case]) -> Iterator[Case]:
    """Name in each bay the allowed case that governs clearance, angle, swing and rescue height."""
    ranks = {
        "clearance": lambda c: None if c.margin is None else -(c.margin_worst or c.margin).si,
        "angle": lambda c: None if c.line_angle is None else c.line_angle.si,
        "swing": lambda c: None if c.swing_speed is None else c.swing_speed.si,
        "rescue-height": lambda c: None if c.hang_high is None else c.hang_high.si,
    }
    governs: dict[str, list[str]] = {}
    for bay in dict.fromkeys(c.bay for c in cases):
        for what, rank in ranks.items():
            ranked = [(rank(c), c.id) for c in cases if c.bay == bay and c.permission == "allowed" and rank(c) is not None]
            if ranked:
                best = max(r for r, _ in ranked)
                governs.setdefault(next(i for r, i in ranked if r == best), []).append(what)
    for case in cases:
        yield replace(case, governs=tuple(governs.get(case.id, ())))
