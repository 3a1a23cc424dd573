"""Stage 5, swing: drop, speed and line angle of a fall from the offset."""

from __future__ import annotations

from docgen.calc import swing as arithmetic
from docgen.engineering.case.heights import Heights
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.frozen import frozen

__all__ = ["Swing", "swing"]


@frozen
class Swing:
    """The fall from those heights and offsets: drop in m, speed under the line exit in m/s, line angle from the vertical in rad.

    `angle_worst` is the angle after the stated tolerances; None where they bring the line exit down to the D-ring.
    """

    heights: Heights
    offsets: Offsets
    drop: float
    speed: float
    angle: float
    angle_worst: float | None


def swing(heights: Stage[Heights], offsets: Stage[Offsets], notes: Notes) -> Stage[Swing]:
    """The swing; barred where the line exit is not above the D-ring."""
    if heights.value is None or offsets.value is None:
        return lacking(heights, offsets)
    height, offset = heights.value.height, offsets.value.offset
    if not height > 0:
        return Stage(None, barred="not-overhead")
    drop = notes.sheet.run(arithmetic.swing_drop, height=height, offset=offset)
    return Stage(
        Swing(
            heights=heights.value,
            offsets=offsets.value,
            drop=drop,
            speed=notes.sheet.run(arithmetic.swing_speed, drop=drop),
            angle=notes.sheet.run(arithmetic.line_angle, height=height, offset=offset),
            angle_worst=_angle_worst(heights.value, offsets.value, notes),
        )
    )


def _angle_worst(heights: Heights, offsets: Offsets, notes: Notes) -> float | None:
    if not heights.worst > 0:
        return None
    return notes.corner.run(arithmetic.line_angle, height=heights.worst, offset=offsets.worst)
