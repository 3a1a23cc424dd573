"""After the arrest: where the person hangs, and how much line that takes. All lengths in m."""

from __future__ import annotations

from docgen.calc import arrest, clearance, swing
from docgen.engineering import ladder
from docgen.engineering.case.heights import Ends, LineExit, Ring, height_at
from docgen.engineering.case.need import Need
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.model import Corner
from docgen.frozen import frozen
from docgen.site import Bay

__all__ = ["Hanging", "hanging", "line_needed"]


#: The lowest D-ring, the lowest feet, the highest D-ring, the highest feet, and the longest line.
RING_LOW = Ends(line_exit="low", deck="low", standing="low", posture="low")
FEET_LOW = Ends(line_exit="low", deck="low", standing="high", posture="low")
RING_HIGH = Ends(line_exit="high", deck="high", standing="high", posture="high")
FEET_HIGH = Ends(line_exit="high", deck="high", standing="low", posture="high")
LINE = Ends(line_exit="high", deck="low", standing="low", posture="low")


@frozen
class Hanging:
    """Elevation of D-ring and feet of the hanging person after the full arrest, as the figures stand; and the lowest and highest that
    can occur: lowest after the full arrest from the largest offset, highest after lock-up only from the least one."""

    need: Need
    ring: float
    feet: float
    low: float
    high: float
    feet_low: float
    feet_high: float


def hanging(need: Stage[Need], notes: Notes) -> Stage[Hanging]:
    """Range of the hanging D-ring and feet; none where tolerances bring the line exit down to the D-ring."""
    if need.value is None:
        return lacking(need)
    if not need.value.swing.steep > 0:
        return Stage(None, barred="not-overhead")
    heights, terms = need.value.swing.heights, need.value.terms
    run = notes.sheet.run
    line = run(swing.line_length, height=heights.height, offset=need.value.swing.offsets.offset)
    ring = run(
        clearance.hang_d_ring_lowest,
        line_exit=heights.line_exit.elevation.nominal,
        line_length_at_lock=line,
        arrest_distance=terms.arrest_distance.nominal,
        deflection=terms.deflection.nominal,
    )
    feet = run(
        clearance.hang_feet_lowest,
        d_ring_height=ring,
        d_ring_standing=heights.ring.standing.nominal,
        stretch=terms.stretch.nominal,
    )
    corner = _Corners(need.value, notes)
    return Stage(
        Hanging(
            need=need.value,
            ring=ring,
            feet=feet,
            low=corner.lowest("hang-low", RING_LOW),
            high=corner.highest("hang-high", RING_HIGH),
            feet_low=corner.feet_lowest("feet-low", FEET_LOW),
            feet_high=corner.feet_highest("feet-high", FEET_HIGH),
        )
    )


class _Corners:
    """The elevations at the combinations of ends that govern them, written down."""

    def __init__(self, need: Need, notes: Notes) -> None:
        self._heights, self._offsets, self._terms = need.swing.heights, need.swing.offsets, need.terms
        self._sheet, self._run = notes.corner, notes.corner.run_for

    def _line(self, what: Corner, ends: Ends, offset: float) -> float:
        return self._run(what, swing.line_length, height=height_at(self._heights, ends, self._sheet, what), offset=offset)

    def lowest(self, what: Corner, ends: Ends) -> float:
        """The D-ring after the full arrest from the largest offset."""
        return self._run(
            what,
            clearance.hang_d_ring_lowest,
            line_exit=self._heights.line_exit.elevation.at(ends.line_exit),
            line_length_at_lock=self._line(what, ends, self._offsets.worst),
            arrest_distance=self._terms.arrest_distance.high,
            deflection=self._terms.deflection.high,
        )

    def highest(self, what: Corner, ends: Ends) -> float:
        """The D-ring after lock-up only, from the least offset that can occur."""
        lock = self._run(what, arrest.lock_distance, lock_speed=trade_figure("lock_speed"), line_angle=0.0)
        return self._run(
            what,
            clearance.hang_d_ring_highest,
            line_exit=self._heights.line_exit.elevation.at(ends.line_exit),
            line_length_at_lock=self._line(what, ends, self._offsets.least),
            lock_distance=min(lock, self._terms.arrest_distance.low),
        )

    def feet_lowest(self, what: Corner, ends: Ends) -> float:
        """The feet below the lowest D-ring."""
        return self._run(
            what,
            clearance.hang_feet_lowest,
            d_ring_height=self.lowest(what, ends),
            d_ring_standing=self._heights.ring.at(ends.standing, ends.posture).standing,
            stretch=self._terms.stretch.high,
        )

    def feet_highest(self, what: Corner, ends: Ends) -> float:
        """The feet below the highest D-ring."""
        standing = self._heights.ring.at(ends.standing, ends.posture).standing
        return self._run(what, clearance.hang_feet_highest, d_ring_height=self.highest(what, ends), d_ring_standing=standing)


def line_needed(
    bay: Bay, exit_: Stage[LineExit], ring: Ring, offsets: Stage[Offsets], hang: Stage[Hanging], notes: Notes
) -> float | None:
    """The longest line that the case can ask for: hook-up at the ground, or the lowest hang, from the work or from the ladder, whichever is
    farther from under the trolley. None where neither is known."""
    if exit_.value is None or offsets.value is None:
        return None
    highest, needs, offset = exit_.value.elevation.high, [], _farthest(bay, offsets.value, notes)
    if bay.hook_up.at_ground and highest > ring.standing.low:
        height = notes.corner.run_for(
            "line", clearance.height_above_d_ring, line_exit=highest, surface=0.0, d_ring_height=ring.standing.low
        )
        needs.append(notes.corner.run_for("line", swing.line_length, height=height, offset=offset))
    if hang.value is not None:
        heights, terms = hang.value.need.swing.heights, hang.value.need.terms
        line = notes.corner.run_for(
            "line", swing.line_length, height=height_at(heights, LINE, notes.corner, "line"), offset=offset
        )
        needs.append(line + terms.arrest_distance.high + terms.deflection.high)
    return max(needs, default=None)


def _farthest(bay: Bay, offsets: Offsets, notes: Notes) -> float:
    """How far from under the trolley a person on the line can be, at work or at the ladder, after tolerances."""
    place = ladder.aside(bay, notes.measured)
    if place is None:
        return offsets.worst
    across, along = place
    at_ladder = swing.offset(across.high, along.high)
    if at_ladder > offsets.worst:
        notes.corner.run_for("line", swing.offset, across=across.high, along=along.high)
    return max(offsets.worst, at_ladder)
