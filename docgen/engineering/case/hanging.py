"""After the arrest: where the person hangs, and how much line that takes. All lengths in m."""

from __future__ import annotations

from docgen.calc import arrest, clearance, swing
from docgen.engineering.case.heights import LineExit, Ring
from docgen.engineering.case.need import Need
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.frozen import frozen
from docgen.site import Bay

__all__ = ["Hanging", "hanging", "line_needed"]


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
