"""Stage 7, inverse: the largest offset that still passes, and what it leaves for parking. All lengths in m."""

from __future__ import annotations

from docgen.calc import clearance, swing
from docgen.engineering.case.below import Level
from docgen.engineering.case.heights import height_at
from docgen.engineering.case.need import Margin, corner_of, least_over, room_over
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.case.swing import STEEP
from docgen.engineering.case.terms import Allowances, Terms
from docgen.engineering.model import LargestBy
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import End
from docgen.frozen import frozen
from docgen.limits import at_least, under
from docgen.site import BayRail

__all__ = ["Inverse", "inverse"]


@frozen
class Inverse:
    """Largest offsets of the D-ring from under the line exit: by each limit, by all (`largest`, and `by` which), after tolerances (`largest_worst`, and `worst_by` which).

    `left` and `right` are how far a vehicle may stand off its mark to that side, after tolerances.
    """

    by_clearance: float
    by_angle: float
    largest: float
    by: LargestBy
    largest_worst: float
    worst_by: LargestBy
    left: float
    right: float


def inverse(rail: BayRail, given: Allowances, margin: Stage[Margin], notes: Notes) -> Stage[Inverse]:
    """Which offset of the D-ring still passes, by which limit, and what that leaves for parking on each side."""
    if margin.value is None:
        return lacking(margin)
    have, swing_, terms = margin.value.available, margin.value.need.swing, margin.value.need.terms
    posture, height = swing_.heights.ring.at("nominal", "nominal").addition, swing_.heights.height
    by_clearance = _by_clearance(terms, terms.margin, have.nominal, posture, height, "nominal", notes.sheet, "")
    by_angle = notes.sheet.run(swing.largest_offset_for_angle, height=height, angle=given.angle_limit)
    bounds: list[tuple[LargestBy, float]] = [("clearance", by_clearance), ("angle", by_angle)]
    if given.largest_by_rule is not None:
        bounds.append(("site-rule", given.largest_by_rule))
    by, largest = min(bounds, key=lambda bound: bound[1])
    worst_by, worst = min(_largest_worst(margin.value, given, notes.corner), (by, largest), key=lambda bound: bound[1])
    left, right = _parking(rail, swing_.offsets, worst, notes.corner)
    return Stage(
        Inverse(
            by_clearance=by_clearance,
            by_angle=by_angle,
            largest=largest,
            by=by,
            largest_worst=worst,
            worst_by=worst_by,
            left=left,
            right=right,
        )
    )


def _largest_worst(margin: Margin, given: Allowances, corner: Sheet) -> tuple[LargestBy, float]:
    """The smallest of the largest offsets, each in the corner that governs it, and which; zero where one brings the line exit down to the D-ring."""
    swing_, levels = margin.need.swing, margin.available.below.levels
    if not swing_.steep > 0:
        return "angle", 0.0
    by_clearance = _over(least_over(levels, lambda level: _over(level, margin, Sheet(""))), margin, corner)
    steep = height_at(swing_.heights, STEEP, corner, "largest")
    by_angle = corner.run_for("largest", swing.largest_offset_for_angle, height=steep, angle=given.angle_limit)
    bounds: list[tuple[LargestBy, float]] = [("clearance", by_clearance), ("angle", by_angle)]
    if given.largest_by_rule is not None:
        bounds.append(("site-rule", given.largest_by_rule))
    return min(bounds, key=lambda bound: bound[1])


def _to_keep(margin: Margin) -> float:
    """What an offset must leave of the margin after tolerances: all of it; where the figures as they stand leave all, tolerances use a
    part and enough is kept, what is kept now, so that no offset larger than today's passes."""
    whole, worst = margin.need.terms.margin, margin.worst
    part = worst is not None and at_least(worst.kept, margin.least) and under(worst.kept, whole)
    return worst.kept if worst is not None and part and at_least(margin.nominal, 0.0) else whole


def _over(level: Level, margin: Margin, sheet: Sheet) -> float:
    """The largest offset over one thing below, in its corner."""
    heights, ends, (deck, top) = margin.need.swing.heights, corner_of(level), room_over(margin.available, level)
    posture = heights.ring.at(ends.standing, ends.posture).addition
    height = height_at(heights, ends, sheet, "largest")
    return _by_clearance(margin.need.terms, _to_keep(margin), deck - top, posture, height, "high", sheet, "largest")


def _by_clearance(
    terms: Terms, margin: float, available: float, posture: float, height: float, end: End, sheet: Sheet, what: str
) -> float:
    room = sheet.run_for(
        what,
        clearance.allowed_swing,
        available=available,
        arrest_distance=terms.arrest_distance.at(end),
        stretch=terms.stretch.at(end),
        posture=posture,
        deflection=terms.deflection.at(end),
        margin=margin,
    )
    return sheet.run_for(what, swing.largest_offset_for_drop, height=height, drop=room) if room > 0 else 0.0


def _parking(rail: BayRail, offsets: Offsets, largest: float, corner: Sheet) -> tuple[float, float]:
    """What the largest offset leaves for parking toward the left and toward the right. A rail offset to a side that is not said counts against both."""
    along = offsets.along.high
    across = corner.run_for("largest", swing.largest_across, largest_offset=largest, along=along) if largest > along else 0.0
    away = {"left": offsets.rail_offset.high, "right": offsets.rail_offset.high}
    if rail.offset_toward is not None:
        away[rail.offset_toward] = -offsets.least_toward

    def allowance(side: str) -> float:
        return corner.run_for(
            "largest", swing.parking_allowance, largest_across=across, reach=offsets.reach.high, rail_offset=away[side]
        )

    return allowance("left"), allowance("right")
