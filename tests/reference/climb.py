"""The climb: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

from docgen.calc import CalcError
from docgen.calc.clearance import required_below_surface
from docgen.calc.guard import finite, not_negative
from docgen.calc.swing import swing_drop

__all__ = ["climb_margin", "unprotected_climb"]


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
