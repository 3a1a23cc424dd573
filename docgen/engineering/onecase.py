"""One case: heights, offset, swing, clearance and the inverse, nominal and in the worst corner of the stated tolerances.

Corners. Clearance: deck low, rail low, lower level high, offset and D-ring high. Angle and swing: deck high, rail low, offset
and D-ring high. A missing height, offset or arrest distance leaves a case uncomputed; it never counts as a pass.
"""

from __future__ import annotations

from typing import Any

from docgen.calc import CalcError, arrest, clearance, swing
from docgen.engineering.model import Assumed, Case, computed
from docgen.engineering.sheet import Sheet
from docgen.site import Bay, Obstruction, Part, Protrusion, Quantity, Side, Site, Task, Vehicle
from docgen.trade.practice import practice

__all__ = ["one_case"]

ALONG = ("front", "rear")  # their edges are measured along the vehicle, where the trolley follows
KINDS = {"swing_speed": "speed", "line_angle": "angle", "line_angle_worst": "angle", "angle_limit": "angle"}


def one_case(site: Site, bay: Bay, vehicle: Vehicle, task: Task, posture: str, side: Side, system: str) -> Case:
    """The case, or a bare one where its figures contradict each other (a deck above the rail, say): not computed."""
    work = _Work(site, bay, vehicle, task, posture, side, system)
    try:
        work.compute()
    except CalcError:
        return _Work(site, bay, vehicle, task, posture, side, system).case()
    return work.case()


class _Work:
    """A case while it is being computed. `values` become the quantities of the `Case`; lengths in m, angles in rad."""

    def __init__(self, site: Site, bay: Bay, vehicle: Vehicle, task: Task, posture: str, side: Side, system: str) -> None:
        self.site, self.bay, self.vehicle, self.task = site, bay, vehicle, task
        self.posture, self.side, self.system = posture, side, system
        self.id = f"{task.id}.{posture}.{side.side}"
        self.path = f"cases[{self.id}]"
        self.sheet = Sheet(self.path)
        self.corner = Sheet(f"{self.path}.corner")
        self.missing: list[str] = []
        self.assumed: list[Assumed] = []
        self.values: dict[str, float | None] = {}
        self.facts: dict[str, Any] = {}
        rig = site.system_of(bay.id)
        self.rig = rig
        self.devices: tuple[Part, ...] = site.parts(rig.parts, "srd") if rig else ()

    def case(self) -> Case:
        quantities = {n: computed(f"{self.path}.{n}", si, KINDS.get(n, "length")) for n, si in self.values.items()}
        return Case(
            path=self.path, id=self.id, bay=self.bay.id, vehicle=self.vehicle.id, task=self.task.id, posture=self.posture,
            side=self.side.side, permission=self.task.permission, missing=tuple(dict.fromkeys(self.missing)),
            assumed=tuple(self.assumed), inputs=tuple(self.sheet.inputs), steps=tuple(self.sheet.steps),
            corner_steps=tuple(self.corner.steps), **quantities, **self.facts,
        )  # fmt: skip

    # --- inputs ---------------------------------------------------------------------------------------------------------

    def need(self, quantity: Quantity | None, path: str) -> float | None:
        """A measured input; noted as missing where the profile does not give it."""
        if quantity is None:
            self.missing.append(path)
            return None
        return self.sheet.use(quantity)

    def usual(self, quantity: Quantity | None, name: str) -> float:
        """An input that practice stands in for; noted as assumed where the profile does not give it."""
        if quantity is not None:
            return self.sheet.use(quantity)
        figure = practice(name, self.system, self.site.country)
        value = computed(f"practice.{name}", figure.si, figure.kind)
        self.assumed.append(
            Assumed(path=f"practice.{name}", name=name, value=value, source=figure.source, basis=figure.basis)
        )
        return figure.si

    def compute(self) -> None:
        self.heights()
        self.offsets()
        self.lower_level()
        self.terms()
        values = self.values
        if None not in (values["height"], values["offset"]) and values["height"] > 0:
            self.swing()
        if None not in (values["deck"], values["lower_level"]):
            self.available()
        if "swing_drop" in values and values["arrest_distance"] is not None:
            self.required()
            self.hanging()
            if "available" in values:
                self.margins()
                self.largest()
        self.line()
        self.facts["in_swing"] = self.in_swing()

    def heights(self) -> None:
        rail, limits, values = self.bay.rail, self.site.limits.d_ring, self.values
        underside = self.need(rail.underside, f"{rail.path}.underside")
        hang = self.need(rail.hang, f"{rail.path}.hang")
        deck = self.need(self.vehicle.deck, f"{self.vehicle.path}.deck")
        standing = self.standing = self.usual(limits.standing, "d_ring_standing")
        given = getattr(limits, self.posture)
        if self.posture == "standing":
            ring, addition = standing, 0.0
        elif given is not None:
            ring = self.sheet.use(given)
            addition = self.sheet.run(clearance.posture_addition, d_ring_standing=standing, d_ring_posture=ring)
        else:
            addition = self.usual(None, f"posture_{self.posture}")
            ring = standing - addition
        line_exit = None if None in (underside, hang) else underside - hang
        height = None
        if None not in (line_exit, deck):
            height = self.sheet.run(clearance.height_above_d_ring, line_exit=line_exit, surface=deck, d_ring_height=ring)
        self.rail_slack = _tolerance(rail.underside, rail.hang)
        self.deck_slack = _tolerance(self.vehicle.deck)
        ring_slack = _tolerance(given if given is not None else limits.standing)
        self.height_low_deck = None if height is None else height - self.rail_slack + self.deck_slack - ring_slack
        height_worst = None if height is None else height - self.rail_slack - self.deck_slack - ring_slack
        values.update(
            deck=deck, ring=ring, posture_addition=addition, line_exit=line_exit, height=height, height_worst=height_worst
        )

    def offsets(self) -> None:
        rail, task, values = self.bay.rail, self.task, self.values
        reach = self.reach()
        rail_offset = self.need(rail.offset, f"{rail.path}.offset")
        parking = self.need(self.bay.parking.lateral, f"{self.bay.path}.parking.lateral")
        along = self.usual(rail.lag, "trolley_lag") + (
            self.sheet.use(task.past_end_stop) if task.past_end_stop is not None else 0.0
        )
        self.fixed_slack = _tolerance(rail.offset, reach)
        values.update(reach=None if reach is None else reach.si, rail_offset=rail_offset, parking=parking, along=along)
        values.update(across=None, offset=None, offset_worst=None)
        if None not in (reach, rail_offset, parking):
            across = self.sheet.run(swing.across_offset, rail_offset=abs(rail_offset), reach=reach.si, parking=parking)
            slack = self.fixed_slack + _tolerance(self.bay.parking.lateral)
            worst = self.corner.run(swing.offset, across=across + slack, along=along + _tolerance(rail.lag, task.past_end_stop))
            values.update(across=across, offset=self.sheet.run(swing.offset, across=across, along=along), offset_worst=worst)

    def reach(self) -> Quantity | None:
        """The task's own reach, and never less than any edge that nothing physical stops a person from getting to."""
        edges = [s.edge for s in self.vehicle.sides if s.stopped_by is None and s.side not in ALONG]
        wanted = [q for q in (self.task.reach, *edges) if q is not None]
        if not wanted:
            self.missing.append(f"{self.task.path}.reach")
            return None
        widest = max(wanted, key=lambda q: q.si)
        self.sheet.use(widest)
        return widest

    def lower_level(self) -> None:
        """The highest surface or protrusion below that side; one whose position is not known counts as in the path."""
        side, base = self.side, self.side.lower.height
        self.facts["lower_what"] = side.lower.what
        self.lower_slack = 0.0
        if base is None:
            self.missing.append(f"{side.path}.lower.height" if side.given else f"{self.vehicle.path}.sides")
            self.values["lower_level"] = None
            return
        deck = self.values["deck"]
        offset = self.values["offset_worst"]
        edge = side.edge.si if side.edge is not None else 0.0
        zone = None if offset is None else max(offset, edge) + practice("landing_width", self.system).si
        candidates = [(base, side.lower.what or "")]
        for thing in (*self.vehicle.protrusions, *self.bay.obstructions):
            if thing.side not in (None, side.side) or thing.top is None or (deck is not None and thing.top.si >= deck):
                continue
            if thing.from_ is None or zone is None or thing.from_.si - thing.from_.tolerance < zone:
                candidates.append((thing.top, thing.what))
        top, what = max(candidates, key=lambda c: c[0].si)
        self.lower_slack = max(c[0].si + c[0].tolerance for c in candidates) - top.si
        self.values["lower_level"] = self.sheet.use(top)
        self.facts.update(lower_what=what, lower_path=top.path)

    def terms(self) -> None:
        limits, rail, values = self.site.limits, self.bay.rail, self.values
        unread = next((d for d in self.devices if d.arrest_distance is None), None)
        longest = None
        if unread is not None or not self.devices:
            path = f"{unread.path}.arrest_distance" if unread else f"{self.rig.path}.parts" if self.rig else self.bay.path
            self.missing.append(path)
        else:
            longest = max((d.arrest_distance for d in self.devices), key=lambda q: q.si)
        angles = [q for q in (limits.line_angle.value, *(d.angle_max for d in self.devices)) if q is not None]
        values.update(
            arrest_distance=None if longest is None else self.sheet.use(longest),
            stretch=self.usual(limits.stretch, "stretch"),
            margin_term=self.usual(limits.margin, "margin"),
            deflection=None if rail.deflection is None else self.sheet.use(rail.deflection),
            angle_limit=self.usual(min(angles, key=lambda q: q.si, default=None), "line_angle"),
            largest_by_rule=None if limits.lateral.value is None else self.sheet.use(limits.lateral.value),
        )

    # --- results --------------------------------------------------------------------------------------------------------

    def swing(self) -> None:
        values, height, offset = self.values, self.values["height"], self.values["offset"]
        drop = self.sheet.run(swing.swing_drop, height=height, offset=offset)
        worst = values["height_worst"]
        values.update(
            swing_drop=drop,
            swing_speed=self.sheet.run(swing.swing_speed, drop=drop),
            line_angle=self.sheet.run(swing.line_angle, height=height, offset=offset),
            line_angle_worst=self.corner.run(swing.line_angle, height=worst, offset=values["offset_worst"])
            if worst > 0
            else None,
        )

    def available(self) -> None:
        values = self.values
        have = self.sheet.run(clearance.available_below_surface, surface=values["deck"], lower_level=values["lower_level"])
        values.update(available=have, available_worst=have - self.deck_slack - self.lower_slack)

    def sum_terms(self) -> dict[str, float]:
        """The terms of the need besides the swing. A deflection that is not stated is left out, and the verdict says so."""
        values = self.values
        return {
            "arrest_distance": values["arrest_distance"], "stretch": values["stretch"], "posture": values["posture_addition"],
            "deflection": values["deflection"] or 0.0, "margin": values["margin_term"],
        }  # fmt: skip

    def required(self) -> None:
        values, drop = self.values, self.values["swing_drop"]
        values["required"] = self.sheet.run(clearance.required_below_surface, swing=drop, **self.sum_terms())
        edge = self.sheet.run(
            clearance.line_bears_on_edge, d_ring_height=values["ring"], arrest_distance=values["arrest_distance"], swing=drop
        )
        values["edge"] = _no_noise(edge)

    def hanging(self) -> None:
        """Range of the hanging D-ring and feet: lowest after the full arrest, highest after lock-up only."""
        values, terms, line_exit = self.values, self.sum_terms(), self.values["line_exit"]
        run = self.sheet.run
        line = run(swing.line_length, height=values["height"], offset=values["offset"])
        lock = min(run(arrest.lock_distance, lock_speed=practice("lock_speed").si, line_angle=0.0), terms["arrest_distance"])
        low = run(
            clearance.hang_d_ring_lowest, line_exit=line_exit, line_length_at_lock=line, arrest_distance=terms["arrest_distance"],
            deflection=terms["deflection"],
        )  # fmt: skip
        high = run(clearance.hang_d_ring_highest, line_exit=line_exit, line_length_at_lock=line, lock_distance=lock)
        values.update(
            hang_low=low,
            hang_high=high,
            feet_low=run(clearance.hang_feet_height, d_ring_height=low, d_ring_standing=self.standing, stretch=terms["stretch"]),
            feet_high=clearance.hang_feet_height(high, self.standing, 0.0),
        )

    def margins(self) -> None:
        values, height = self.values, self.height_low_deck
        margin = _no_noise(self.sheet.run(clearance.clearance_margin, available=values["available"], required=values["required"]))
        values.update(margin=margin, margin_worst=None, required_worst=None)
        if height > 0:
            run = self.corner.run
            drop = run(swing.swing_drop, height=height, offset=values["offset_worst"])
            required = run(clearance.required_below_surface, swing=drop, **self.sum_terms())
            worst = _no_noise(run(clearance.clearance_margin, available=values["available_worst"], required=required))
            values.update(required_worst=required, margin_worst=worst)
        shorter = values["arrest_distance"] + margin
        values["arrest_way_out"] = shorter if margin < 0 and shorter > 0 else None

    def largest(self) -> None:
        """The inverse: which D-ring offset still passes, by which limit, and what that leaves for parking on each side."""
        values, terms, limit, rule = self.values, self.sum_terms(), self.values["angle_limit"], self.values["largest_by_rule"]
        spare = self.sheet.run(clearance.allowed_swing, available=values["available"], **terms)
        by_clearance = self.sheet.run(swing.largest_offset_for_drop, height=values["height"], drop=spare) if spare > 0 else 0.0
        by_angle = self.sheet.run(swing.largest_offset_for_angle, height=values["height"], angle=limit)
        bounds = {"clearance": by_clearance, "angle": by_angle} | ({} if rule is None else {"site-rule": rule})
        by = min(bounds, key=lambda k: bounds[k])
        self.facts["largest_offset_by"] = by

        run = self.corner.run
        spare_worst = run(clearance.allowed_swing, available=values["available_worst"], **terms)
        low, high = self.height_low_deck, values["height_worst"]
        worst = [
            run(swing.largest_offset_for_drop, height=low, drop=spare_worst) if spare_worst > 0 and low > 0 else 0.0,
            run(swing.largest_offset_for_angle, height=high, angle=limit) if high > 0 else 0.0,
        ]
        largest_worst = min(worst if rule is None else [*worst, rule])
        along = values["along"]
        across = run(swing.largest_across, largest_offset=largest_worst, along=along) if largest_worst > along else 0.0
        toward_left = self.bay.rail.offset_toward == "left"
        left, right = (values["rail_offset"] * sign for sign in ((-1.0, 1.0) if toward_left else (1.0, -1.0)))
        values.update(
            largest_offset=bounds[by], largest_by_clearance=by_clearance, largest_by_angle=by_angle, largest_worst=largest_worst,
            allowance_left=run(swing.parking_allowance, largest_across=across, reach=values["reach"], rail_offset=left + self.fixed_slack),
            allowance_right=run(swing.parking_allowance, largest_across=across, reach=values["reach"], rail_offset=right + self.fixed_slack),
        )  # fmt: skip

    def line(self) -> None:
        """The longest line that the case asks for: hook-up at the ground, or the lowest hang."""
        values, line_exit = self.values, self.values["line_exit"]
        if line_exit is None or values["offset"] is None:
            return
        needs = []
        if self.bay.hook_up.at_ground and line_exit > self.standing:
            needs.append(swing.line_length(height=line_exit - self.standing, offset=values["offset"]))
        if "hang_low" in values:
            needs.append(line_exit - values["hang_low"])
        values["line_needed"] = max(needs, default=None)

    def in_swing(self) -> tuple[str, ...]:
        """Paths of the things that the swinging body can meet, over the whole arc from +x to -x, feet to head."""
        values = self.values
        if "hang_low" not in values:
            return ()
        offset, line_exit = values["offset_worst"], values["line_exit"]
        half, head = practice("half_body").si, practice("head_above_ring").si
        below_ring = self.standing + values["stretch"]
        line = swing.line_length(height=values["height"], offset=offset)
        extra = max(line_exit - values["hang_low"] - line, 0.0)
        found = []
        for thing in (*self.vehicle.protrusions, *self.bay.obstructions):
            if (self.facts.get("lower_path") or "").startswith(f"{thing.path}."):
                continue
            near, far = _across(thing)
            if near is not None and near > offset + half:
                continue
            outer = offset if far is None else min(far + half, offset)
            inner = min(max((near or 0.0) - half, 0.0), outer)
            lowest, highest = swing.arc_heights(anchor_height=line_exit, line_at_lock=line, extra=extra, near=inner, far=outer)
            bottom = thing.bottom.si - thing.bottom.tolerance if thing.bottom is not None else float("-inf")
            top = thing.top.si + thing.top.tolerance if thing.top is not None else float("inf")
            if bottom < highest + head and top > lowest - below_ring:
                found.append(thing.path)
        return tuple(found)


def _tolerance(*quantities: Quantity | None) -> float:
    return sum(q.tolerance for q in quantities if q is not None)


def _no_noise(length: float) -> float:
    """Zero for a length of less than a nanometre: a rounding of the machine must not turn "exactly enough" into short."""
    return 0.0 if abs(length) < 1e-9 else length


def _across(thing: Obstruction | Protrusion) -> tuple[float | None, float | None]:
    """Nearest and farthest distance across from the center line, tolerances taken the wrong way."""
    near = None if thing.from_ is None else thing.from_.si - thing.from_.tolerance
    far = None if thing.to is None else thing.to.si + thing.to.tolerance
    return near, far
