"""Climbing up under an overhead device: from which height on an arrest still ends above the ground."""

import math

from docgen.calc.clearance import required_below_surface
from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative

__all__ = [
    "arrest_with_slack",
    "protected_height",
]

_OWN = "clearance and swing solved for the height, own derivation; derived"


@formula(
    "AD = AD_label + e", gives="length", toward="up", cite="geometry, own derivation; derived", arrest_distance="label_distance"
)
def arrest_with_slack(arrest_distance: float, slack: float) -> float:
    """Arrest distance of a climber whose line has slack: the slack runs out before the device begins.

    A label tells the distance of a tight line. Only as long as the free fall stays within what the device allows.

    Example:

    >>> arrest_with_slack(2.5, 0.5)
    3.0

    Source: Own derivation; basis: derived.
    """
    not_negative(arrest_distance=arrest_distance, slack=slack)
    return arrest_distance + slack


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
