"""Climbing up under an overhead device: from which height on an arrest still ends above the ground."""

import math

from docgen.calc import CalcError
from docgen.calc.clearance import required_below_surface
from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative
from docgen.calc.swing import swing_drop

__all__ = ["climb_margin", "protected_height", "unprotected_climb"]

_OWN = "clearance and swing solved for the height, own derivation; derived"

_common = {
    "line_exit": ("z_anc", "length", "elevation of the line exit"),
    "d_ring_standing": ("H_dr", "length", "height of the back D-ring above the feet"),
    "lower_level": ("z_low", "length", "elevation of the ground or of the highest thing in the fall path"),
    "arrest_distance": ("AD", "length", "arrest distance, lock-up included"),
    "stretch": ("HS", "length", "harness stretch and D-ring shift"),
    "deflection": ("SD", "length", "deflection of rail, structure and connector under the arrest load"),
    "margin": ("SF", "length", "safety margin"),
    "offset": ("x", "length", "horizontal offset of the climber from under the line exit"),
}


@formula(
    symbol="M",
    text="M = z - z_low - AD - HS - SD - SF - (sqrt((z_anc - z - H_dr)^2 + x^2) - (z_anc - z - H_dr))",
    where={"feet_height": ("z", "length", "elevation of the climber's feet"), **_common},
    gives="length",
    cite=_OWN,
    meaning="clearance left over on the way up; negative means that the arrest ends below the limit",
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
    """Clearance left over with the feet at a height on the way up (clearance and swing, own derivation).

    M = z - z_low - AD - HS - SD - SF - SW, with SW at the height z_anc - z - H_dr and the offset x

    Parameters
    ----------
    feet_height : float
        Elevation of the climber's feet above the site datum [m]
    line_exit : float
        Elevation of the line exit above the site datum [m]
    d_ring_standing : float
        Height of the back D-ring above the feet [m]
    lower_level : float
        Elevation of the ground, or of the highest thing in the fall path, above the site datum [m]
    arrest_distance : float
        Arrest distance on the label, lock-up included [m]
    stretch : float
        Harness stretch and D-ring shift [m]
    deflection : float
        Deflection of rail, structure and connector under the arrest load [m]
    margin : float
        Safety margin [m]
    offset : float
        Horizontal offset of the climber from under the line exit [m]

    Returns
    -------
    float
        Margin; negative means short [m]

    Notes
    -----
    Grows with the height of the feet as long as the line exit is above the D-ring; a D-ring above the line exit raises
    CalcError. The rungs themselves are in the path of a climber who falls: they are not covered.

    Examples
    --------
    Feet 2.0 m up, straight under the exit; 1.07 + 0.3 + 0.6 m needed (own figures).

    >>> round(climb_margin(2.0, 7.3, 1.5, 0.0, 1.07, 0.3, 0.0, 0.6), 2)
    0.03

    References
    ----------
    - Own derivation; basis: derived.
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
    symbol="z_min",
    text="z_min = z_anc - H_dr - sqrt((z_anc - H_dr - z_low - AD - HS - SD - SF)^2 - x^2)",
    where=_common,
    gives="length",
    cite=_OWN,
    meaning="lowest elevation of the feet at which an arrest still ends in time",
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
    """Lowest elevation of the feet at which an arrest still ends in time (clearance and swing, own derivation).

    z_min = z_anc - H_dr - sqrt((z_anc - H_dr - z_low - AD - HS - SD - SF)^2 - x^2)

    Parameters
    ----------
    line_exit : float
        Elevation of the line exit above the site datum [m]
    d_ring_standing : float
        Height of the back D-ring above the feet [m]
    lower_level : float
        Elevation of the ground, or of the highest thing in the fall path, above the site datum [m]
    arrest_distance : float
        Arrest distance on the label, lock-up included [m]
    stretch : float
        Harness stretch and D-ring shift [m]
    deflection : float
        Deflection of rail, structure and connector under the arrest load [m]
    margin : float
        Safety margin; zero asks when the feet just touch [m]
    offset : float
        Horizontal offset of the climber from under the line exit [m]

    Returns
    -------
    float | None
        Elevation of the feet [m]; None where no height under the line exit is enough

    Notes
    -----
    The climb below this height needs another means: a short climb, a platform, a ladder system. Say so in the plan:
    being attached is not being protected. The height is zero of the margin, which grows with the height of the feet.

    Examples
    --------
    Straight under the exit it is simply the sum of the terms (own figures).

    >>> round(protected_height(7.3, 1.5, 0.0, 1.07, 0.3, 0.0, 0.6), 2)
    1.97

    References
    ----------
    - Own derivation, checked by a root finder on the margin; basis: derived.
    """
    finite(line_exit=line_exit, lower_level=lower_level)
    not_negative(d_ring_standing=d_ring_standing, offset=offset)
    needed = required_below_surface(arrest_distance, stretch, 0.0, 0.0, deflection, margin)
    highest = line_exit - d_ring_standing
    hanging = highest - lower_level - needed
    if hanging < offset:
        return None
    return highest - math.sqrt((hanging - offset) * (hanging + offset))


@formula(
    symbol="c",
    text="c = max(0, z_min - z_low)",
    where={
        "protected_height": ("z_min", "length", "lowest elevation of the feet at which an arrest still ends in time"),
        "lower_level": ("z_low", "length", "elevation of the ground"),
    },
    gives="length",
    cite=_OWN,
    meaning="height climbed without protection although attached",
)
def unprotected_climb(protected_height: float, lower_level: float) -> float:
    """Height climbed without protection although attached (own derivation).

    c = max(0, z_min - z_low)

    Parameters
    ----------
    protected_height : float
        Lowest elevation of the feet at which an arrest still ends in time, above the site datum [m]
    lower_level : float
        Elevation of the ground above the site datum [m]

    Returns
    -------
    float
        Height climbed without protection [m]

    Notes
    -----
    Compare it with the height from which the rule in force asks for protection.

    Examples
    --------
    >>> round(unprotected_climb(1.97, 0.0), 2)
    1.97

    References
    ----------
    - Own derivation; basis: derived.
    """
    finite(protected_height=protected_height, lower_level=lower_level)
    return max(0.0, protected_height - lower_level)
