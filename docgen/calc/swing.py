"""Swing fall: offset, line angle, extra drop, speed, the arc, and the largest offset that a limit allows."""

import math

from docgen.calc import CalcError, G
from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative, positive
from docgen.limits import over

__all__ = [
    "across_offset",
    "contact_drop",
    "largest_across",
    "largest_offset_for_angle",
    "largest_offset_for_drop",
    "line_angle",
    "line_length",
    "offset",
    "parking_allowance",
    "speed_after_rise",
    "swing_drop",
    "swing_speed",
]

_GEOMETRY = "geometry, own derivation; derived"
_PENDULUM = "OpenStax University Physics 1 (2016), 8.3; read"


@formula("x = sqrt(x_a^2 + x_l^2)", gives="length", toward="up", cite=_GEOMETRY)
def offset(across: float, along: float) -> float:
    """Horizontal offset of the D-ring from under the trolley.

    Along a rail with a free trolley only the lag counts; at an end stop the whole reach past it does. Both are
    magnitudes.

    Example:

    >>> offset(3.0, 4.0)
    5.0

    Source: Own derivation (Pythagoras); basis: derived.
    """
    not_negative(across=across, along=along)
    return math.hypot(across, along)


@formula("x_a = abs(r) + b + p", gives="length", toward="up", cite=_GEOMETRY)
def across_offset(rail_offset: float, reach: float, parking: float) -> float:
    """Offset across the rail, worst side.

    Reach goes to every edge a person can get to, unless something physical stops them first.

    Example:

    >>> round(across_offset(-0.3, 1.0, 0.2), 6)
    1.5

    Source: Own derivation; basis: derived.
    """
    finite(rail_offset=rail_offset)
    not_negative(reach=reach, parking=parking)
    return abs(rail_offset) + reach + parking


@formula("L = sqrt(h^2 + x^2)", gives="length", toward="up", cite=_GEOMETRY)
def line_length(height: float, offset: float) -> float:
    """Line between exit and D-ring when the device locks.

    A straight, taut line. The height is above the D-ring, not above the floor.

    Example: 7.5 ft above, 4.0 ft to the side (own figures): 8.5 ft.

    >>> line_length(7.5, 4.0)
    8.5

    Source: Own derivation (Pythagoras); basis: derived.
    """
    not_negative(height=height, offset=offset)
    return math.hypot(height, offset)


@formula("theta = atan2(x, h)", gives="angle", toward="up", cite=_GEOMETRY)
def line_angle(height: float, offset: float) -> float:
    """Angle of the line from the vertical.

    The height is above zero. A limit of 30 degrees is common practice without a published source, and is no clearance
    check. A height of zero or less raises CalcError: the exit is not above the D-ring, so the device is not used
    overhead.

    Example: 3.5 ft above, 4.0 ft to the side (own figures): 49 degrees.

    >>> round(math.degrees(line_angle(3.5, 4.0)))
    49

    Source: Own derivation; basis: derived. The 30 degree limit: common practice, no published source.
    """
    positive(height=height)
    not_negative(offset=offset)
    return math.atan2(offset, height)


@formula("SW = sqrt(h^2 + x^2) - h", gives="length", toward="up", cite=_GEOMETRY)
def swing_drop(height: float, offset: float) -> float:
    """Extra drop of a swing from the offset to the lowest point.

    Height above the D-ring, not above the floor: the floor height understates the drop. At a height of zero the drop
    equals the offset. Taut line, no payout during the swing. The swing speed equals that of a straight fall through
    it.

    Example: A printed chart gives 8 ft at 5 ft height and 12 ft offset, in whole feet. Matches.

    >>> round(swing_drop(5.0 * 0.3048, 12.0 * 0.3048) / 0.3048, 6)
    8.0

    Sources:
    - US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.B; basis: memory.
    - Chart in user instructions (makers not named): common practice, no published source; basis: read.
    """
    length = line_length(height, offset)
    # x (x / (L + h)) is the same as L - h without the loss of digits when the offset is small.
    return offset * (offset / (length + height)) if length > 0 else 0.0


@formula("v = sqrt(2 g SW)", gives="speed", toward="up", cite=_PENDULUM)
def swing_speed(drop: float, g: float = G) -> float:
    """Speed at the lowest point of a swing from rest, without losses.

    Upper bound for a swing from rest on a line of fixed length. Textbooks round g to 9.8, tables to 32 ft/s^2.

    Example: 1.0 m pendulum from 30 degrees: 1.62 m/s in print. Matches.

    >>> round(swing_speed(1.0 - math.cos(math.radians(30)), g=9.8), 2)
    1.62

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 8.3, example on the simple pendulum;
    basis: read.
    """
    not_negative(drop=drop)
    positive(g=g)
    return math.sqrt(2.0 * g * drop)


@formula("SW_c = sqrt(h^2 + x^2 - x_c^2) - h", gives="length", toward="up", cite=_GEOMETRY)
def contact_drop(height: float, offset: float, contact: float) -> float:
    """Drop of a swing up to where it is stopped, short of the lowest point.

    The contact is how far from under the line exit the D-ring still is when the body meets something; at zero it is the whole
    swing drop, at the offset nothing. A contact farther out than the offset raises CalcError: the swing does not go there.

    Example: 7.5 ft above, 10.0 ft to the side, stopped 3.5 ft from under the exit (own figures): 4.5 ft of the 5.0 ft.

    >>> contact_drop(7.5, 10.0, 3.5)
    4.5

    Source: Own derivation (circle); basis: derived.
    """
    not_negative(height=height, offset=offset, contact=contact)
    if over(contact, offset):
        raise CalcError(f"contact is {contact:.6g} m from under the line exit; it must be at most the offset of {offset:.6g} m")
    level = max(0.0, (offset - contact) * (offset + contact))
    # level / (L_c + h) is the same as L_c - h without the loss of digits when the drop is small.
    length = math.sqrt(height * height + level)
    return level / (length + height) if length > 0 else 0.0


@formula(
    "v = sqrt(v_0^2 - 2 g z_rise)",
    gives="speed",
    toward="up",
    cite="OpenStax College Physics 2e (2022), 7.3; read",
    initial_speed="speed_before_rise",
)
def speed_after_rise(initial_speed: float, rise: float, g: float = G) -> float:
    """Speed after a signed height: a rise slows, a negative rise (a drop) speeds up; air resistance left out.

    A rise that the speed cannot reach raises CalcError: the speed there would be imaginary. A rise that it just reaches gives
    zero, whatever the machine rounds away.

    Example: A toy car of 2.00 m/s coasts 0.180 m up a slope: 0.687 m/s in print. Matches.

    >>> round(speed_after_rise(2.0, 0.18, g=9.8), 3)
    0.687

    Source: OpenStax, College Physics 2e, 2022 (web version), section 7.3, problem of the toy car that coasts up a slope; basis: read.
    """
    not_negative(initial_speed=initial_speed)
    finite(rise=rise)
    positive(g=g)
    squared, taken = initial_speed * initial_speed, 2.0 * g * rise
    if over(taken, squared):
        raise CalcError(
            f"rise is {rise:.6g} m; from {initial_speed:.6g} m/s it must be at most {squared / (2.0 * g):.6g} m, "
            "else the speed there would be imaginary"
        )
    return math.sqrt(max(0.0, squared - taken))


@formula("x_max = sqrt(s_allow^2 + 2 h s_allow)", gives="length", toward="down", cite=_GEOMETRY, drop="drop_limit")
def largest_offset_for_drop(height: float, drop: float) -> float:
    """Largest offset whose swing drop stays within a limit.

    Gives the largest offset; zero for a drop of zero or less. The drop may come out negative. Zero for a negative drop is
    not an offset that passes: then nothing passes, see the sign of the allowed swing.

    Example: 7.5 ft above, 5.0 ft of swing allowed (own figures): 10.0 ft.

    >>> largest_offset_for_drop(7.5, 5.0)
    10.0

    Source: Own derivation, checked by solving the swing drop for the offset; basis: derived.
    """
    not_negative(height=height)
    finite(drop=drop)
    return math.sqrt(drop * drop + 2.0 * height * drop) if drop > 0 else 0.0


@formula("x_max = h tan(theta_max)", gives="length", toward="down", cite=_GEOMETRY, angle="angle_limit")
def largest_offset_for_angle(height: float, angle: float) -> float:
    """Largest offset whose line angle stays within a limit.

    The angle must be less than a right angle. An angle limit alone is no clearance check: 30 degrees at 20 ft height
    is 11.5 ft of offset and 3.1 ft of drop.

    Example: 3.5 ft above, 30 degrees (own figures): 2.02 ft.

    >>> round(largest_offset_for_angle(3.5, math.radians(30)), 2)
    2.02

    Source: Own derivation; basis: derived. The 30 degree limit: common practice, no published source.
    """
    not_negative(height=height, angle=angle)
    if angle >= math.pi / 2:
        raise CalcError(f"angle limit is {math.degrees(angle):.6g} degrees; it must be less than 90 degrees")
    return height * math.tan(angle)


@formula("x_a_max = sqrt(max(0, x_max^2 - x_l^2))", gives="length", toward="down", cite=_GEOMETRY)
def largest_across(largest_offset: float, along: float) -> float:
    """Offset across the rail that is left once the offset along it is taken.

    Gives the largest offset across the rail; zero where the lag alone uses everything up. Inverse of the offset from
    across and along.

    Example:

    >>> largest_across(5.0, 4.0), largest_across(3.0, 4.0)
    (3.0, 0.0)

    Source: Own derivation (Pythagoras); basis: derived.
    """
    not_negative(largest_offset=largest_offset, along=along)
    return math.sqrt(max(0.0, (largest_offset - along) * (largest_offset + along)))


@formula("p_max = x_a_max - b - r_side", gives="length", toward="down", cite=_GEOMETRY, rail_offset="rail_away")
def parking_allowance(largest_across: float, reach: float, rail_offset: float) -> float:
    """How far a vehicle may stand off its mark towards one side.

    Gives the allowance towards this side; zero or less means not allowed. Signed per side: the same rail offset goes in
    with the other sign for the other side. Round down before painting.

    Example:

    >>> round(parking_allowance(4.0, 3.0, 0.5), 6), round(parking_allowance(4.0, 3.0, -0.5), 6)
    (0.5, 1.5)

    Source: Own derivation; basis: derived.
    """
    not_negative(largest_across=largest_across, reach=reach)
    finite(rail_offset=rail_offset)
    return largest_across - reach - rail_offset
