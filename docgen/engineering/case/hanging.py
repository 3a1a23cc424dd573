"""After the arrest: where the person hangs, how much line that takes, and what the swinging body can meet. All lengths in m."""

from __future__ import annotations

from docgen.calc import arrest, clearance, swing
from docgen.engineering.case.below import Below, things
from docgen.engineering.case.heights import LineExit, Ring
from docgen.engineering.case.need import Need
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.frozen import frozen
from docgen.limits import over, under
from docgen.site import Bay, Obstruction, Protrusion, Vehicle

__all__ = ["Hanging", "hanging", "in_swing", "line_needed"]


@frozen
class Hanging:
    """Elevation of D-ring and feet of the hanging person: lowest after the full arrest, highest after lock-up only."""

    need: Need
    low: float
    high: float
    feet_low: float
    feet_high: float


def hanging(need: Stage[Need], notes: Notes) -> Stage[Hanging]:
    """Range of the hanging D-ring and feet."""
    if need.value is None:
        return lacking(need)
    heights, offsets, terms = need.value.swing.heights, need.value.swing.offsets, need.value.terms
    run, line_exit, standing = notes.sheet.run, heights.line_exit.elevation, heights.ring.standing
    line = run(swing.line_length, height=heights.height, offset=offsets.offset)
    lock = min(run(arrest.lock_distance, lock_speed=trade_figure("lock_speed"), line_angle=0.0), terms.arrest_distance)
    low = run(
        clearance.hang_d_ring_lowest,
        line_exit=line_exit,
        line_length_at_lock=line,
        arrest_distance=terms.arrest_distance,
        deflection=terms.deflection,
    )
    high = run(clearance.hang_d_ring_highest, line_exit=line_exit, line_length_at_lock=line, lock_distance=lock)
    return Stage(
        Hanging(
            need=need.value,
            low=low,
            high=high,
            feet_low=run(clearance.hang_feet_height, d_ring_height=low, d_ring_standing=standing, stretch=terms.stretch),
            feet_high=run(clearance.hang_feet_height, d_ring_height=high, d_ring_standing=standing, stretch=0.0),
        )
    )


def line_needed(bay: Bay, exit_: Stage[LineExit], ring: Ring, offsets: Stage[Offsets], hang: Stage[Hanging]) -> float | None:
    """The longest line that the case asks for: hook-up at the ground, or the lowest hang. None where neither is known."""
    if exit_.value is None or offsets.value is None:
        return None
    line_exit = exit_.value.elevation
    needs = []
    if bay.hook_up.at_ground and line_exit > ring.standing:
        needs.append(swing.line_length(height=line_exit - ring.standing, offset=offsets.value.offset))
    if hang.value is not None:
        needs.append(line_exit - hang.value.low)
    return max(needs, default=None)


def in_swing(bay: Bay, vehicle: Vehicle, below: Stage[Below], hang: Stage[Hanging]) -> tuple[str, ...]:
    """Paths of the things that the swinging body can meet, over the whole arc from +x to -x, feet to head."""
    if hang.value is None:
        return ()
    heights, need = hang.value.need.swing.heights, hang.value.need
    offset, line_exit = need.swing.offsets.worst, heights.line_exit.elevation
    half, head = trade_figure("half_body"), trade_figure("head_above_ring")
    below_ring = heights.ring.standing + need.terms.stretch
    line = swing.line_length(height=heights.height, offset=offset)
    extra = max(line_exit - hang.value.low - line, 0.0)
    found = []
    for thing in things(bay, vehicle):
        if below.value is not None and below.value.path.startswith(f"{thing.path}."):
            continue
        near, far = _across(thing)
        if near is not None and over(near, offset + half):
            continue
        outer = offset if far is None else min(far + half, offset)
        inner = min(max((near or 0.0) - half, 0.0), outer)
        lowest, highest = swing.arc_heights(anchor_height=line_exit, line_at_lock=line, extra=extra, near=inner, far=outer)
        bottom = thing.bottom.si - thing.bottom.tolerance if thing.bottom is not None else float("-inf")
        top = thing.top.si + thing.top.tolerance if thing.top is not None else float("inf")
        if under(bottom, highest + head) and over(top, lowest - below_ring):
            found.append(thing.path)
    return tuple(found)


def _across(thing: Obstruction | Protrusion) -> tuple[float | None, float | None]:
    """Nearest and farthest distance across from the center line, tolerances taken the wrong way."""
    near = None if thing.from_ is None else thing.from_.si - thing.from_.tolerance
    far = None if thing.to is None else thing.to.si + thing.to.tolerance
    return near, far
