"""Swing fall: offset, line angle, extra drop, speed, the arc, and the largest offset that a limit allows."""

import math

from docgen.calc import CalcError, G
from docgen.calc.formula import GRAVITY, formula
from docgen.calc.guard import finite, not_negative, positive
from docgen.limits import within

__all__ = [
    "across_offset",
    "arc_heights",
    "arc_reaches",
    "combined_speed",
    "largest_across",
    "largest_offset_for_angle",
    "largest_offset_for_drop",
    "line_angle",
    "line_length",
    "offset",
    "parking_allowance",
    "swing_drop",
    "swing_drop_at_angle",
    "swing_speed",
    "tension_at_bottom",
    "tension_at_speed",
]

_GEOMETRY = "geometry, own derivation; derived"
_PENDULUM = "OpenStax University Physics 1 (2016), 8.3; read"

_h = ("h", "length", "height of the line exit above the D-ring")
_x = ("x", "length", "horizontal offset of the D-ring from under the line exit")


@formula(
    symbol="x",
    text="x = sqrt(x_a^2 + x_l^2)",
    where={
        "across": ("x_a", "length", "offset across the rail"),
        "along": ("x_l", "length", "offset along the rail: trolley lag, and reach past an end stop"),
    },
    gives="length",
    cite=_GEOMETRY,
    meaning="horizontal offset of the D-ring from under the line exit",
)
def offset(across: float, along: float) -> float:
    """Horizontal offset of the D-ring from under the trolley (geometry, own derivation).

    x = sqrt(x_a^2 + x_l^2)

    Parameters
    ----------
    across : float
        Offset across the rail [m]
    along : float
        Offset along the rail: lag of the trolley, and reach past an end stop [m]

    Returns
    -------
    float
        Horizontal offset [m]

    Notes
    -----
    Along a rail with a free trolley only the lag counts; at an end stop the whole reach past it does. Both are
    magnitudes.

    Examples
    --------
    >>> offset(3.0, 4.0)
    5.0

    References
    ----------
    - Own derivation (Pythagoras); basis: derived.
    """
    not_negative(across=across, along=along)
    return math.hypot(across, along)


@formula(
    symbol="x_a",
    text="x_a = abs(r) + b + p",
    where={
        "rail_offset": ("r", "length", "distance of the rail from the centreline of the vehicle"),
        "reach": ("b", "length", "reach of the D-ring from the centreline"),
        "parking": ("p", "length", "sideways parking tolerance"),
    },
    gives="length",
    cite=_GEOMETRY,
    meaning="offset across the rail",
)
def across_offset(rail_offset: float, reach: float, parking: float) -> float:
    """Offset across the rail, worst side (geometry, own derivation).

    x_a = abs(r) + b + p

    Parameters
    ----------
    rail_offset : float
        Distance of the rail from the centreline of the vehicle, either sign [m]
    reach : float
        Reach of the D-ring from the centreline of the vehicle [m]
    parking : float
        Sideways parking tolerance [m]

    Returns
    -------
    float
        Offset across the rail [m]

    Notes
    -----
    Reach goes to every edge a person can get to, unless something physical stops them first.

    Examples
    --------
    >>> round(across_offset(-0.3, 1.0, 0.2), 6)
    1.5

    References
    ----------
    - Own derivation; basis: derived.
    """
    finite(rail_offset=rail_offset)
    not_negative(reach=reach, parking=parking)
    return abs(rail_offset) + reach + parking


@formula(
    symbol="L",
    text="L = sqrt(h^2 + x^2)",
    where={"height": _h, "offset": _x},
    gives="length",
    cite=_GEOMETRY,
    meaning="line from the exit to the D-ring",
)
def line_length(height: float, offset: float) -> float:
    """Line between exit and D-ring when the device locks (geometry, own derivation).

    L = sqrt(h^2 + x^2)

    Parameters
    ----------
    height : float
        Height of the line exit above the D-ring [m]
    offset : float
        Horizontal offset of the D-ring from under the line exit [m]

    Returns
    -------
    float
        Line length [m]

    Notes
    -----
    A straight, taut line. The height is above the D-ring, not above the floor.

    Examples
    --------
    7.5 ft above, 4.0 ft to the side (own figures): 8.5 ft.

    >>> line_length(7.5, 4.0)
    8.5

    References
    ----------
    - Own derivation (Pythagoras); basis: derived.
    """
    not_negative(height=height, offset=offset)
    return math.hypot(height, offset)


@formula(
    symbol="theta",
    text="theta = atan2(x, h)",
    where={"height": _h, "offset": _x},
    gives="angle",
    cite=_GEOMETRY,
    meaning="angle of the line from the vertical",
)
def line_angle(height: float, offset: float) -> float:
    """Angle of the line from the vertical (geometry, own derivation).

    theta = atan2(x, h)

    Parameters
    ----------
    height : float
        Height of the line exit above the D-ring, above zero [m]
    offset : float
        Horizontal offset of the D-ring from under the line exit [m]

    Returns
    -------
    float
        Angle from the vertical [rad]

    Notes
    -----
    A limit of 30 degrees is common practice without a published source, and is no clearance check. A height of zero or
    less raises CalcError: the exit is not above the D-ring, so the device is not used overhead.

    Examples
    --------
    3.5 ft above, 4.0 ft to the side (own figures): 49 degrees.

    >>> round(math.degrees(line_angle(3.5, 4.0)))
    49

    References
    ----------
    - Own derivation; basis: derived. The 30 degree limit: common practice, no published source.
    """
    positive(height=height)
    not_negative(offset=offset)
    return math.atan2(offset, height)


@formula(
    symbol="SW",
    text="SW = sqrt(h^2 + x^2) - h",
    where={"height": _h, "offset": _x},
    gives="length",
    cite=_GEOMETRY,
    meaning="swing drop",
)
def swing_drop(height: float, offset: float) -> float:
    """Extra drop of a swing from the offset to the lowest point (OSHA Technical Manual V-4, III.B, swing fall).

    SW = sqrt(h^2 + x^2) - h

    Parameters
    ----------
    height : float
        Height of the line exit above the D-ring [m]
    offset : float
        Horizontal offset of the D-ring from under the line exit [m]

    Returns
    -------
    float
        Swing drop [m]

    Notes
    -----
    Height above the D-ring, not above the floor: the floor height understates the drop. At a height of zero the drop
    equals the offset. Taut line, no payout during the swing. The swing speed equals that of a straight fall through it.

    Examples
    --------
    A printed chart gives 8 ft at 5 ft height and 12 ft offset, in whole feet. Matches.

    >>> round(swing_drop(5.0 * 0.3048, 12.0 * 0.3048) / 0.3048, 6)
    8.0

    References
    ----------
    - US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.B; basis: memory.
    - Chart in user instructions (makers not named): common practice, no published source; basis: read.
    """
    length = line_length(height, offset)
    # x (x / (L + h)) is the same as L - h without the loss of digits when the offset is small.
    return offset * (offset / (length + height)) if length > 0 else 0.0


@formula(
    symbol="SW",
    text="SW = L (1 - cos(theta))",
    where={
        "line_length": ("L", "length", "line from the exit to the D-ring"),
        "angle": ("theta", "angle", "angle of the line from the vertical"),
    },
    gives="length",
    cite=_PENDULUM,
    meaning="swing drop",
)
def swing_drop_at_angle(line_length: float, angle: float) -> float:
    """Swing drop from line length and angle instead of height and offset (OpenStax, University Physics 1, 8.3).

    SW = L (1 - cos(theta))

    Parameters
    ----------
    line_length : float
        Line from the exit to the D-ring [m]
    angle : float
        Angle of the line from the vertical, at most a right angle [rad]

    Returns
    -------
    float
        Swing drop [m]

    Notes
    -----
    The same drop as from height and offset. An angle beyond a right angle raises CalcError: the line would be slack.

    Examples
    --------
    A 1.0 m pendulum released at 30 degrees drops 0.134 m.

    >>> round(swing_drop_at_angle(1.0, math.radians(30)), 4)
    0.134

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 8.3, simple pendulum; basis: read.
    """
    not_negative(line_length=line_length, angle=angle)
    _at_most_right_angle(angle)
    return line_length * 2.0 * math.sin(angle / 2.0) ** 2


@formula(
    symbol="v",
    text="v = sqrt(2 g SW)",
    where={"drop": ("SW", "length", "swing drop"), "g": GRAVITY},
    gives="speed",
    cite=_PENDULUM,
    meaning="speed under the line exit",
)
def swing_speed(drop: float, g: float = G) -> float:
    """Speed at the lowest point of a swing from rest, without losses (OpenStax, University Physics 1, 8.3).

    v = sqrt(2 g SW)

    Parameters
    ----------
    drop : float
        Swing drop [m]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Speed [m/s]

    Notes
    -----
    Upper bound for a swing from rest on a line of fixed length. Textbooks round g to 9.8, tables to 32 ft/s^2.

    Examples
    --------
    1.0 m pendulum from 30 degrees: 1.62 m/s in print. Matches.

    >>> round(swing_speed(swing_drop_at_angle(1.0, math.radians(30)), g=9.8), 2)
    1.62

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 8.3, example on the simple pendulum; basis:
      read.
    """
    not_negative(drop=drop)
    positive(g=g)
    return math.sqrt(2.0 * g * drop)


@formula(
    symbol="v_comb",
    text="v_comb = sqrt(v_0^2 + 2 g SW)",
    where={
        "initial_speed": ("v_0", "speed", "speed when the line locks"),
        "drop": ("SW", "length", "swing drop"),
        "g": GRAVITY,
    },
    gives="speed",
    cite="OpenStax College Physics 2e (2022), 7.3; read",
    meaning="upper bound of the speed under the line exit",
)
def combined_speed(initial_speed: float, drop: float, g: float = G) -> float:
    """Speed at the lowest point if the speed at lock-up is not absorbed (OpenStax, College Physics 2e, 7.3).

    v_comb = sqrt(v_0^2 + 2 g SW)

    Parameters
    ----------
    initial_speed : float
        Speed when the line locks [m/s]
    drop : float
        Swing drop [m]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Speed, upper bound [m/s]

    Notes
    -----
    Squares are added, not speeds.

    Examples
    --------
    5.0 m/s and a drop of 20 m: 20.4 m/s in print. Matches.

    >>> round(combined_speed(5.0, 20.0, g=9.8), 1)
    20.4

    References
    ----------
    - OpenStax, College Physics 2e, 2022 (web version), section 7.3, roller-coaster example, part (b); basis: read.
    """
    not_negative(initial_speed=initial_speed, drop=drop)
    positive(g=g)
    return math.sqrt(initial_speed * initial_speed + 2.0 * g * drop)


@formula(
    symbol="x_max",
    text="x_max = sqrt(s^2 + 2 h s)",
    where={"height": _h, "drop": ("s", "length", "swing drop that may not be exceeded")},
    gives="length",
    cite=_GEOMETRY,
    meaning="largest offset that the clearance allows",
)
def largest_offset_for_drop(height: float, drop: float) -> float:
    """Largest offset whose swing drop stays within a limit (inverse of the swing drop, own derivation).

    x_max = sqrt(s^2 + 2 h s)

    Parameters
    ----------
    height : float
        Height of the line exit above the D-ring [m]
    drop : float
        Swing drop that may not be exceeded; may come out negative [m]

    Returns
    -------
    float
        Largest offset; zero for a drop of zero or less [m]

    Notes
    -----
    Zero for a negative drop is not an offset that passes: then nothing passes, see the sign of the allowed swing.

    Examples
    --------
    7.5 ft above, 5.0 ft of swing allowed (own figures): 10.0 ft.

    >>> largest_offset_for_drop(7.5, 5.0)
    10.0

    References
    ----------
    - Own derivation, checked by solving the swing drop for the offset; basis: derived.
    """
    not_negative(height=height)
    finite(drop=drop)
    return math.sqrt(drop * drop + 2.0 * height * drop) if drop > 0 else 0.0


@formula(
    symbol="x_max",
    text="x_max = h tan(theta)",
    where={"height": _h, "angle": ("theta", "angle", "angle limit from the vertical")},
    gives="length",
    cite=_GEOMETRY,
    meaning="largest offset that the angle limit allows",
)
def largest_offset_for_angle(height: float, angle: float) -> float:
    """Largest offset whose line angle stays within a limit (geometry, own derivation).

    x_max = h tan(theta)

    Parameters
    ----------
    height : float
        Height of the line exit above the D-ring [m]
    angle : float
        Angle limit from the vertical, less than a right angle [rad]

    Returns
    -------
    float
        Largest offset [m]

    Notes
    -----
    An angle limit alone is no clearance check: 30 degrees at 20 ft height is 11.5 ft of offset and 3.1 ft of drop.

    Examples
    --------
    3.5 ft above, 30 degrees (own figures): 2.02 ft.

    >>> round(largest_offset_for_angle(3.5, math.radians(30)), 2)
    2.02

    References
    ----------
    - Own derivation; basis: derived. The 30 degree limit: common practice, no published source.
    """
    not_negative(height=height, angle=angle)
    if angle >= math.pi / 2:
        raise CalcError(f"angle limit is {math.degrees(angle):.6g} degrees; it must be less than 90 degrees")
    return height * math.tan(angle)


@formula(
    symbol="x_a_max",
    text="x_a_max = sqrt(max(0, x_max^2 - x_l^2))",
    where={
        "largest_offset": ("x_max", "length", "largest offset that passes"),
        "along": ("x_l", "length", "offset along the rail"),
    },
    gives="length",
    cite=_GEOMETRY,
    meaning="largest offset across the rail",
)
def largest_across(largest_offset: float, along: float) -> float:
    """Offset across the rail that is left once the offset along it is taken (geometry, own derivation).

    x_a_max = sqrt(max(0, x_max^2 - x_l^2))

    Parameters
    ----------
    largest_offset : float
        Largest offset that passes [m]
    along : float
        Offset along the rail [m]

    Returns
    -------
    float
        Largest offset across the rail; zero where the lag alone uses everything up [m]

    Notes
    -----
    Inverse of the offset from across and along.

    Examples
    --------
    >>> largest_across(5.0, 4.0), largest_across(3.0, 4.0)
    (3.0, 0.0)

    References
    ----------
    - Own derivation (Pythagoras); basis: derived.
    """
    not_negative(largest_offset=largest_offset, along=along)
    return math.sqrt(max(0.0, (largest_offset - along) * (largest_offset + along)))


@formula(
    symbol="p_max",
    text="p_max = x_a_max - b - r",
    where={
        "largest_across": ("x_a_max", "length", "largest offset across the rail"),
        "reach": ("b", "length", "reach of the D-ring from the centreline towards this side"),
        "rail_offset": ("r", "length", "distance of the rail from the centreline, away from this side"),
    },
    gives="length",
    cite=_GEOMETRY,
    meaning="parking allowance towards this side; zero or less means not allowed",
)
def parking_allowance(largest_across: float, reach: float, rail_offset: float) -> float:
    """How far a vehicle may stand off its mark towards one side (geometry, own derivation).

    p_max = x_a_max - b - r

    Parameters
    ----------
    largest_across : float
        Largest offset across the rail that passes [m]
    reach : float
        Reach of the D-ring from the centreline of the vehicle towards this side [m]
    rail_offset : float
        Distance of the rail from the centreline: positive away from this side, negative towards it [m]

    Returns
    -------
    float
        Allowance towards this side; zero or less means not allowed [m]

    Notes
    -----
    Signed per side: the same rail offset goes in with the other sign for the other side. Round down before painting.

    Examples
    --------
    >>> round(parking_allowance(4.0, 3.0, 0.5), 6), round(parking_allowance(4.0, 3.0, -0.5), 6)
    (0.5, 1.5)

    References
    ----------
    - Own derivation; basis: derived.
    """
    not_negative(largest_across=largest_across, reach=reach)
    finite(rail_offset=rail_offset)
    return largest_across - reach - rail_offset


@formula(
    symbol="in_arc",
    text="in_arc = y_min <= L + e",
    where={
        "line_at_lock": ("L", "length", "line from the exit to the D-ring before the fall"),
        "extra": ("e", "length", "most line paid out in the fall"),
        "near": ("y_1", "length", "one end of the interval across, from under the line exit"),
        "far": ("y_2", "length", "other end of the interval"),
    },
    gives="flag",
    cite=_GEOMETRY,
    meaning="whether the arc of the D-ring reaches an interval",
)
def arc_reaches(line_at_lock: float, extra: float, near: float, far: float) -> bool:
    """Whether the arc of the D-ring can reach an interval across the rail (geometry, own derivation).

    in_arc = y_min <= L + e, with y_min the smallest distance of the interval from under the line exit

    Parameters
    ----------
    line_at_lock : float
        Line from the exit to the D-ring in the working position [m]
    extra : float
        Most line paid out in the fall [m]
    near : float
        One end of the interval, measured across from under the line exit, either sign [m]
    far : float
        Other end of the interval [m]

    Returns
    -------
    bool
        Whether the arc reaches the interval [true or false]

    Notes
    -----
    Ask this before the heights of the arc.

    Examples
    --------
    >>> arc_reaches(2.0, 1.0, 2.5, 3.5), arc_reaches(2.0, 1.0, 3.5, 4.0)
    (True, False)

    References
    ----------
    - Own derivation; basis: derived.
    """
    not_negative(line_at_lock=line_at_lock, extra=extra)
    finite(near=near, far=far)
    return within(_nearest(near, far), line_at_lock + extra)


@formula(
    symbol="z_arc",
    text="z_arc = z_anc - sqrt((L + e)^2 - y_min^2) to z_anc - sqrt(max(0, L^2 - y_max^2))",
    where={
        "anchor_height": ("z_anc", "length", "elevation of the line exit"),
        "line_at_lock": ("L", "length", "line from the exit to the D-ring before the fall"),
        "extra": ("e", "length", "most line paid out in the fall"),
        "near": ("y_1", "length", "one end of the interval across, from under the line exit"),
        "far": ("y_2", "length", "other end of the interval"),
    },
    gives="length",
    cite=_GEOMETRY,
    meaning="lowest and highest elevation of the D-ring over an interval of the swing",
)
def arc_heights(anchor_height: float, line_at_lock: float, extra: float, near: float, far: float) -> tuple[float, float]:
    """Band of elevations that the D-ring can pass through over an interval across the rail (geometry, own derivation).

    z_low = z_anc - sqrt((L + e)^2 - y_min^2), z_high = z_anc - sqrt(max(0, L^2 - y_max^2)), with y_min and y_max the
    smallest and largest distance of the interval from under the line exit

    Parameters
    ----------
    anchor_height : float
        Elevation of the line exit above the site datum [m]
    line_at_lock : float
        Line from the exit to the D-ring in the working position [m]
    extra : float
        Most line paid out in the fall; zero for the arc of one fixed length [m]
    near : float
        One end of the interval, measured across from under the line exit, either sign [m]
    far : float
        Other end of the interval [m]

    Returns
    -------
    tuple[float, float]
        Lowest and highest elevation of the D-ring above the site datum [m]

    Notes
    -----
    The length grows from L to L + e somewhere in the swing, so the band covers both and all between. It does not stop
    at the offset where the swing began: give an interval clipped to the swing. The body hangs below the D-ring by its
    standing height and the head is above it: add both. An interval out of reach raises CalcError; see `arc_reaches`.

    Examples
    --------
    Line exit at 10 m, line 5 m, no payout; from straight below to 3 m aside.

    >>> arc_heights(10.0, 5.0, 0.0, 0.0, 3.0)
    (5.0, 6.0)

    References
    ----------
    - Own derivation (circle); basis: derived.
    """
    finite(anchor_height=anchor_height)
    if not arc_reaches(line_at_lock, extra, near, far):
        raise CalcError(
            f"the interval from {near:.6g} m to {far:.6g} m lies beyond the swing of {line_at_lock + extra:.6g} m; "
            "it must come within the line length of the point under the line exit"
        )
    longest, smallest, largest = line_at_lock + extra, _nearest(near, far), max(abs(near), abs(far))
    lowest = anchor_height - math.sqrt((longest - smallest) * (longest + smallest))
    highest = anchor_height - math.sqrt(max(0.0, (line_at_lock - largest) * (line_at_lock + largest)))
    return lowest, highest


@formula(
    symbol="T",
    text="T = m g (3 - 2 cos(theta))",
    where={
        "mass": ("m", "mass", "user with clothing, equipment and tools"),
        "angle": ("theta", "angle", "angle of the line from the vertical at the start"),
        "g": GRAVITY,
    },
    gives="force",
    cite=_PENDULUM,
    meaning="line tension at the bottom of a swing",
)
def tension_at_bottom(mass: float, angle: float, g: float = G) -> float:
    """Line tension at the lowest point of a swing from rest (OpenStax, University Physics 1, 8.3, pendulum energy).

    T = m g (3 - 2 cos(theta))

    Parameters
    ----------
    mass : float
        User with clothing, equipment and tools [kg]
    angle : float
        Angle of the line from the vertical at the start, at most a right angle [rad]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Tension [N]

    Notes
    -----
    Line of fixed length; the peak of the arrest itself is not in it.

    Examples
    --------
    From horizontal the tension is three times the weight.

    >>> round(tension_at_bottom(100.0, math.pi / 2) / (100.0 * G), 6)
    3.0

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 8.3; basis: read (speed), derived (tension).
    """
    positive(mass=mass, g=g)
    not_negative(angle=angle)
    _at_most_right_angle(angle)
    return mass * g * (3.0 - 2.0 * math.cos(angle))


@formula(
    symbol="T",
    text="T = m (v^2 / L + g)",
    where={
        "mass": ("m", "mass", "user with clothing, equipment and tools"),
        "speed": ("v", "speed", "speed under the line exit"),
        "line_length": ("L", "length", "line from the exit to the D-ring"),
        "g": GRAVITY,
    },
    gives="force",
    cite="OpenStax College Physics 2e (2022), 6.2; read",
    meaning="line tension at the bottom of a swing",
)
def tension_at_speed(mass: float, speed: float, line_length: float, g: float = G) -> float:
    """Line tension at the lowest point of a swing from its speed (OpenStax, College Physics 2e, 6.2).

    T = m (v^2 / L + g)

    Parameters
    ----------
    mass : float
        User with clothing, equipment and tools [kg]
    speed : float
        Speed at the lowest point [m/s]
    line_length : float
        Line from the exit to the D-ring, above zero [m]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Tension [N]

    Notes
    -----
    Line of fixed length; the peak of the arrest itself is not in it.

    Examples
    --------
    18 kg on a 2.0 m swing at 9.0 m/s: 905 N in print. Matches.

    >>> round(tension_at_speed(18.0, 9.0, 2.0, g=9.8))
    905

    References
    ----------
    - OpenStax, College Physics 2e, 2022 (web version), section 6.2, playground-swing problem; basis: read.
    """
    positive(mass=mass, line_length=line_length, g=g)
    not_negative(speed=speed)
    return mass * (speed * speed / line_length + g)


def _at_most_right_angle(angle: float) -> None:
    if angle > math.pi / 2:
        raise CalcError(f"line angle is {math.degrees(angle):.6g} degrees from vertical; it must be at most 90 degrees")


def _nearest(near: float, far: float) -> float:
    """Smallest distance of the interval [near, far] from zero, in either order of its ends."""
    low, high = min(near, far), max(near, far)
    return max(low, -high, 0.0)
