"""Stage 5, swing: drop, speed and line angle of a fall from the offset, as the figures stand and at the steepest line."""

from __future__ import annotations

from dataclasses import replace

from docgen.calc import swing as arithmetic
from docgen.engineering.case.heights import Ends, Heights, height_at
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.frozen import frozen

__all__ = ["STEEP", "Swing", "swing"]


#: The steepest line and the longest swing: rail low, deck high, ring high.
STEEP = Ends(line_exit="low", deck="high", standing="high", posture="high")


@frozen
class Swing:
    """The fall from those heights and offsets: drop in m, speed under the line exit in m/s, line angle from the vertical in rad.

    `steep` is the height of the line exit above the D-ring where tolerances make the line steepest. The figures there are None where
    they bring the line exit down to the D-ring.
    """

    heights: Heights
    offsets: Offsets
    drop: float
    speed: float
    angle: float
    steep: float
    drop_worst: float | None = None
    speed_worst: float | None = None
    angle_worst: float | None = None


def swing(heights: Stage[Heights], offsets: Stage[Offsets], notes: Notes) -> Stage[Swing]:
    """The swing; barred where the line exit is not above the D-ring."""
    if heights.value is None or offsets.value is None:
        return lacking(heights, offsets)
    height, offset = heights.value.height, offsets.value.offset
    if not height > 0:
        return Stage(None, barred="not-overhead")
    drop = notes.sheet.run(arithmetic.swing_drop, height=height, offset=offset)
    found = Swing(
        heights=heights.value,
        offsets=offsets.value,
        drop=drop,
        speed=notes.sheet.run(arithmetic.swing_speed, drop=drop),
        angle=notes.sheet.run(arithmetic.line_angle, height=height, offset=offset),
        steep=heights.value.at(STEEP),
    )
    return Stage(_steepest(found, notes))


def _steepest(found: Swing, notes: Notes) -> Swing:
    """The same with its figures where tolerances make the line steepest."""
    if not found.steep > 0:
        return found
    run, known = notes.corner.run_for, found.heights
    height_at(known, STEEP, notes.corner, "angle")
    drop = run("angle", arithmetic.swing_drop, height=found.steep, offset=found.offsets.worst)
    return replace(
        found,
        drop_worst=drop,
        speed_worst=run("angle", arithmetic.swing_speed, drop=drop),
        angle_worst=run("angle", arithmetic.line_angle, height=found.steep, offset=found.offsets.worst),
    )
