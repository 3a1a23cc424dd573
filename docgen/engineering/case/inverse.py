"""Stage 7, inverse: the largest offset that still passes, and what it leaves for parking. All lengths in m."""

from __future__ import annotations

from docgen.calc import clearance, swing
from docgen.engineering.case.heights import Heights
from docgen.engineering.case.need import Available, Margin
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.case.terms import Allowances, Terms
from docgen.engineering.model import LargestBy
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.site import BayRail

__all__ = ["Inverse", "inverse"]


@frozen
class Inverse:
    """Largest offsets of the D-ring from under the line exit: by each limit, by all (`largest`, and `by` which), after tolerances.

    `left` and `right` are how far a vehicle may stand off its mark to that side, after tolerances.
    """

    by_clearance: float
    by_angle: float
    largest: float
    by: LargestBy
    largest_worst: float
    left: float
    right: float


def inverse(rail: BayRail, given: Allowances, margin: Stage[Margin], notes: Notes) -> Stage[Inverse]:
    """Which offset of the D-ring still passes, by which limit, and what that leaves for parking on each side."""
    if margin.value is None:
        return lacking(margin)
    have, swing_, terms = margin.value.available, margin.value.need.swing, margin.value.need.terms
    room, height = _allowed_swing(terms, have.nominal, notes.sheet), swing_.heights.height
    by_clearance = notes.sheet.run(swing.largest_offset_for_drop, height=height, drop=room) if room > 0 else 0.0
    by_angle = notes.sheet.run(swing.largest_offset_for_angle, height=height, angle=given.angle_limit)
    bounds: list[tuple[LargestBy, float]] = [("clearance", by_clearance), ("angle", by_angle)]
    if given.largest_by_rule is not None:
        bounds.append(("site-rule", given.largest_by_rule))
    by, largest = min(bounds, key=lambda bound: bound[1])
    worst = _largest_worst(swing_.heights, terms, given, have, notes.corner)
    left, right = _parking(rail, swing_.offsets, worst, notes.corner)
    return Stage(
        Inverse(
            by_clearance=by_clearance,
            by_angle=by_angle,
            largest=largest,
            by=by,
            largest_worst=worst,
            left=left,
            right=right,
        )
    )


def _largest_worst(heights: Heights, terms: Terms, given: Allowances, have: Available, corner: Sheet) -> float:
    """The smallest of the largest offsets, each in the corner that governs it."""
    room, low, high = _allowed_swing(terms, have.worst, corner), heights.low_deck, heights.worst
    by_clearance = corner.run(swing.largest_offset_for_drop, height=low, drop=room) if room > 0 and low > 0 else 0.0
    by_angle = corner.run(swing.largest_offset_for_angle, height=high, angle=given.angle_limit) if high > 0 else 0.0
    rule = () if given.largest_by_rule is None else (given.largest_by_rule,)
    return min(by_clearance, by_angle, *rule)


def _parking(rail: BayRail, offsets: Offsets, largest: float, corner: Sheet) -> tuple[float, float]:
    """What the largest offset leaves for parking toward the left and toward the right."""
    along = offsets.along
    across = corner.run(swing.largest_across, largest_offset=largest, along=along) if largest > along else 0.0
    left, right = (-1.0, 1.0) if rail.offset_toward == "left" else (1.0, -1.0)

    def allowance(sign: float) -> float:
        return corner.run(
            swing.parking_allowance,
            largest_across=across,
            reach=offsets.reach,
            rail_offset=offsets.rail_offset * sign + offsets.slack,
        )

    return allowance(left), allowance(right)


def _allowed_swing(terms: Terms, available: float, sheet: Sheet) -> float:
    return sheet.run(
        clearance.allowed_swing,
        available=available,
        arrest_distance=terms.arrest_distance,
        stretch=terms.stretch,
        posture=terms.posture,
        deflection=terms.deflection,
        margin=terms.margin,
    )
