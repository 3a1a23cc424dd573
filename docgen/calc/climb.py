"""Climbing up under an overhead device: from which height on an arrest still ends above the ground."""

import math

from docgen.calc import CalcError
from docgen.calc.clearance import required_below_surface
from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative
from docgen.calc.swing import swing_drop

__all__ = ["climb_margin", "protected_height", "unprotected_climb"]

_OWN = "clearance and swing solved for the height, own derivation; derived"


@formula(
    "M = z - z_low - AD - HS - SD - SF - (sqrt((z_anc - z - H_dr)^2 + x^2) - (z_anc - z - H_dr))",
    gives="length",
    toward="down",
    cite=_OWN,
)
def climb_margin(
    feet_height: float,
    line_exit: float,
    d_ring_standing: float,
    lower_level: float,
    arrest_distance: float,
    stretch: float,
    deflection: float,
    margin: float,
    offset: float = 0.0,
) -> float:
    """Clearance left over with the feet at a height on the way up.

    Gives the margin; negative means short. It grows with the height of the feet as long as the line exit is above the
    D-ring; a D-ring above the line exit raises CalcError. The rungs themselves are in the path of a climber who
    falls: they are not covered.

    Example: Feet 2.0 m up, straight under the exit; 1.07 + 0.3 + 0.6 m needed (own figures).

    >>> round(climb_margin(2.0, 7.3, 1.5, 0.0, 1.07, 0.3, 0.0, 0.6), 2)
    0.03

    Source: Own derivation; basis: derived.
    """
    finite(feet_height=feet_height, line_exit=line_exit, lower_level=lower_level)
    not_negative(d_ring_standing=d_ring_standing)
    height = line_exit - feet_height - d_ring_standing
    if height < 0:
        raise CalcError(f"the D-ring is {-height:.6g} m above the line exit; the line exit must be above the D-ring")
    drop = swing_drop(height, offset)
    needed = required_below_surface(arrest_distance, stretch, 0.0, drop, deflection, margin)
    return feet_height - lower_level - needed


@formula(
    "z_min = z_anc - H_dr - sqrt((z_anc - H_dr - z_low - AD - HS - SD - SF)^2 - x^2)", gives="length", toward="up", cite=_OWN
)
def protected_height(
    line_exit: float,
    d_ring_standing: float,
    lower_level: float,
    arrest_distance: float,
    stretch: float,
    deflection: float,
    margin: float,
    offset: float = 0.0,
) -> float | None:
    """Lowest elevation of the feet at which an arrest still ends in time.

    Gives the elevation of the feet; None where no height under the line exit is enough. A margin of zero asks when the
    feet just touch. The climb below this height needs another means: a short climb, a platform, a ladder system. Say
    so in the plan: being attached is not being protected. The height is zero of the margin, which grows with the
    height of the feet.

    Example: Straight under the exit it is simply the sum of the terms (own figures).

    >>> round(protected_height(7.3, 1.5, 0.0, 1.07, 0.3, 0.0, 0.6), 2)
    1.97

    Source: Own derivation, checked by a root finder on the margin; basis: derived.
    """
    finite(line_exit=line_exit, lower_level=lower_level)
    not_negative(d_ring_standing=d_ring_standing, offset=offset)
    needed = required_below_surface(arrest_distance, stretch, 0.0, 0.0, deflection, margin)
    highest = line_exit - d_ring_standing
    hanging = highest - lower_level - needed
    if hanging < offset:
        return None
    return highest - math.sqrt((hanging - offset) * (hanging + offset))


@formula("c = max(0, z_min - z_low)", gives="length", toward="up", cite=_OWN, lower_level="ground_level")
def unprotected_climb(protected_height: float, lower_level: float) -> float:
    """Height climbed without protection although attached.

    Compare it with the height from which the rule in force asks for protection.

    Example:

    >>> round(unprotected_climb(1.97, 0.0), 2)
    1.97

    Source: Own derivation; basis: derived.
    """
    finite(protected_height=protected_height, lower_level=lower_level)
    return max(0.0, protected_height - lower_level)
