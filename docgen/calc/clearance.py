"""Fall clearance under an overhead device: required, available, margin, in three references that must agree."""

from collections.abc import Sequence

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative
from docgen.limits import over

__all__ = [
    "allowed_swing",
    "arrest_distance",
    "available_below_anchorage",
    "available_below_d_ring",
    "available_below_surface",
    "clearance_margin",
    "governing_arrest_distance",
    "hang_d_ring_height",
    "hang_d_ring_highest",
    "hang_d_ring_lowest",
    "hang_feet_height",
    "height_above_d_ring",
    "line_bears_on_edge",
    "posture_addition",
    "required_below_anchorage",
    "required_below_d_ring",
    "required_below_surface",
]

_SUM = "sum of the terms, own derivation; derived"
_DERIVED = "geometry, own derivation; derived"

_AD = ("AD", "length", "arrest distance, lock-up included")
_HS = ("HS", "length", "harness stretch and D-ring shift")
_P = ("P", "length", "posture addition")
_SW = ("SW", "length", "swing drop")
_SD = ("SD", "length", "deflection of rail, structure and connector under the arrest load")
_SF = ("SF", "length", "safety margin")
_H = ("H_dr", "length", "height of the back D-ring above the surface, standing")
_R = ("R_ws", "length", "required clearance below the walking surface")


@formula(
    symbol="AD",
    text="AD = s_lock + DD",
    where={
        "lock_distance": ("s_lock", "length", "fall before the brake acts"),
        "deceleration": ("DD", "length", "deceleration distance of the device"),
    },
    gives="length",
    cite="ANSI/ASSP Z359.14 (2021), definition; memory",
    meaning="arrest distance from the start of the fall to the stop",
)
def arrest_distance(lock_distance: float, deceleration: float) -> float:
    """Arrest distance of a self-retracting device: lock-up and braking together (ANSI/ASSP Z359.14).

    AD = s_lock + DD

    Parameters
    ----------
    lock_distance : float
        Fall before the brake acts [m]
    deceleration : float
        Deceleration distance of the device [m]

    Returns
    -------
    float
        Arrest distance [m]

    Notes
    -----
    Use the figure on the label of the device where there is one: it already includes lock-up. The OSHA deceleration
    distance starts after activation and leaves out free fall and stretch of the line; adding free fall to a labelled
    arrest distance counts it twice.

    Examples
    --------
    EN 360 test, as summarised in print: 0.6 m set drop and at most 1.4 m deployment make 2.0 m. Matches.

    >>> arrest_distance(0.6, 1.4)
    2.0

    References
    ----------
    - ANSI/ASSP, Z359.14 Safety requirements for self-retracting devices, 2021, definitions; basis: memory.
    - EN 360:2002, dynamic performance, in a published summary; basis: read (summary), memory (standard).
    """
    not_negative(lock_distance=lock_distance, deceleration=deceleration)
    return lock_distance + deceleration


@formula(
    symbol="AD",
    text="AD = max(AD_i)",
    where={"distances": ("AD_i", "length", "arrest distance at each stated condition")},
    gives="length",
    cite="common practice, no published source",
    meaning="arrest distance that governs over all stated conditions",
)
def governing_arrest_distance(distances: Sequence[float]) -> tuple[float, int]:
    """Arrest distance that governs where a device states several, as ambient, wet, hot and cold (common practice).

    AD = max(AD_i)

    Parameters
    ----------
    distances : Sequence[float]
        Arrest distance at each stated condition [m]

    Returns
    -------
    tuple[float, int]
        The largest distance [m] and its position in `distances` [-]; of equal distances the first one

    Notes
    -----
    The cold figure can be twice the ambient one, which matters at unheated bays. An empty list raises CalcError.

    Examples
    --------
    User instructions print 16, 17, 17 and 34 in and take 34 in. Matches.

    >>> longest, position = governing_arrest_distance([16 * 0.0254, 17 * 0.0254, 17 * 0.0254, 34 * 0.0254])
    >>> round(longest / 0.0254, 6), position
    (34.0, 3)

    References
    ----------
    - User instructions for self-retracting devices (makers not named): common practice, no published source; basis:
      read.
    """
    if not distances:
        raise CalcError("no arrest distance is given; give at least one from the label of the device")
    for number, distance in enumerate(distances, 1):
        not_negative(**{f"arrest_distance_{number}": distance})
    longest = max(distances)
    return longest, list(distances).index(longest)


@formula(
    symbol="h",
    text="h = z_anc - z_ws - H",
    where={
        "line_exit": ("z_anc", "length", "elevation of the line exit"),
        "surface": ("z_ws", "length", "elevation of the walking surface"),
        "d_ring_height": ("H", "length", "height of the D-ring above the surface in the working posture"),
    },
    gives="length",
    cite=_DERIVED,
    meaning="height of the line exit above the D-ring; negative means that the device is below it",
)
def height_above_d_ring(line_exit: float, surface: float, d_ring_height: float) -> float:
    """Height of the line exit above the D-ring in the working posture (geometry, own derivation).

    h = z_anc - z_ws - H

    Parameters
    ----------
    line_exit : float
        Elevation of the line exit above the site datum [m]
    surface : float
        Elevation of the walking surface above the site datum [m]
    d_ring_height : float
        Height of the D-ring above the surface in the working posture [m]

    Returns
    -------
    float
        Height; negative when the device is below the D-ring [m]

    Notes
    -----
    Not the height above the floor: using that understates the swing. A kneeling or lying user has a lower D-ring and a
    larger height.

    Examples
    --------
    Line exit at 24.0 ft, walkway at 11.5 ft, D-ring at 5.0 ft (own figures): 7.5 ft.

    >>> foot = 0.3048
    >>> round(height_above_d_ring(24.0 * foot, 11.5 * foot, 5.0 * foot) / foot, 9)
    7.5

    References
    ----------
    - Own derivation; basis: derived.
    """
    finite(line_exit=line_exit, surface=surface)
    not_negative(d_ring_height=d_ring_height)
    return line_exit - surface - d_ring_height


@formula(
    symbol="P",
    text="P = H_dr - H_posture",
    where={
        "d_ring_standing": _H,
        "d_ring_posture": ("H_posture", "length", "height of the back D-ring above the surface in the working posture"),
    },
    gives="length",
    cite=_DERIVED,
    meaning="posture addition",
)
def posture_addition(d_ring_standing: float, d_ring_posture: float) -> float:
    """Addition for kneeling, crouching or lying: line already paid out before the fall (own derivation).

    P = H_dr - H_posture

    Parameters
    ----------
    d_ring_standing : float
        Height of the back D-ring above the surface, standing [m]
    d_ring_posture : float
        Height of the back D-ring above the surface in the working posture [m]

    Returns
    -------
    float
        Posture addition [m]

    Notes
    -----
    After the arrest the feet hang the full standing height below the D-ring, whatever the posture was. Where nothing is
    measured the trade adds 3 ft for kneeling and 5 ft for lying. A posture higher than standing raises CalcError.

    Examples
    --------
    D-ring 5.0 ft standing, 3.0 ft kneeling (own figures): 2.0 ft.

    >>> round(posture_addition(5.0 * 0.3048, 3.0 * 0.3048) / 0.3048, 6)
    2.0

    References
    ----------
    - Own derivation, checked against D-ring and foot elevations before and after the fall; basis: derived.
    - 3 ft and 5 ft: user instructions (makers not named), common practice, no published source; basis: read.
    """
    not_negative(d_ring_standing=d_ring_standing, d_ring_posture=d_ring_posture)
    if over(d_ring_posture, d_ring_standing):
        raise CalcError(
            f"the D-ring is at {d_ring_posture:.6g} m in the working posture and {d_ring_standing:.6g} m standing; "
            "both are measured from the walking surface, and the posture must not be the higher one"
        )
    return max(0.0, d_ring_standing - d_ring_posture)


@formula(
    symbol="R_ws",
    text="R_ws = AD + HS + P + SW + SD + SF",
    where={"arrest_distance": _AD, "stretch": _HS, "posture": _P, "swing": _SW, "deflection": _SD, "margin": _SF},
    gives="length",
    cite=_SUM,
    meaning="required clearance below the walking surface",
)
def required_below_surface(
    arrest_distance: float, stretch: float, posture: float, swing: float, deflection: float, margin: float
) -> float:
    """Clearance required below the walking surface under an overhead device (OSHA Technical Manual V-4, terms).

    R_ws = AD + HS + P + SW + SD + SF

    Parameters
    ----------
    arrest_distance : float
        Arrest distance on the label, lock-up included [m]
    stretch : float
        Harness stretch and D-ring shift [m]
    posture : float
        Posture addition [m]
    swing : float
        Swing drop [m]
    deflection : float
        Deflection of rail, structure and connector under the arrest load [m]
    margin : float
        Safety margin [m]

    Returns
    -------
    float
        Required clearance below the walking surface [m]

    Notes
    -----
    For a vertical line at rest, a device at or above the D-ring and no edge in the way. A margin of 3 ft in one
    published table already holds the stretch, a margin of 1.5 ft in another does not: never take a margin from one
    table and terms from another. Deflection at the arrest peak counts, not at body weight.

    Examples
    --------
    User instructions print 5 ft for a 24 in device, standing, with a 3 ft margin that holds the stretch. Matches.

    >>> foot = 0.3048
    >>> round(required_below_surface(2 * foot, 0, 0, 0, 0, 3 * foot) / foot, 6)
    5.0

    References
    ----------
    - US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.A and III.B; basis: memory
      (terms read as reported).
    """
    not_negative(
        arrest_distance=arrest_distance,
        stretch=stretch,
        posture=posture,
        swing=swing,
        deflection=deflection,
        margin=margin,
    )
    return arrest_distance + stretch + posture + swing + deflection + margin


@formula(
    symbol="R_dr",
    text="R_dr = R_ws + H_dr",
    where={"required_below_surface": _R, "d_ring_standing": _H},
    gives="length",
    cite=_DERIVED,
    meaning="required clearance below the standing D-ring",
)
def required_below_d_ring(required_below_surface: float, d_ring_standing: float) -> float:
    """The same required clearance, measured from the D-ring of a standing person (own derivation).

    R_dr = R_ws + H_dr

    Parameters
    ----------
    required_below_surface : float
        Required clearance below the walking surface [m]
    d_ring_standing : float
        Height of the back D-ring above the surface, standing [m]

    Returns
    -------
    float
        Required clearance below the standing D-ring [m]

    Notes
    -----
    The standing height, also for kneeling work: the posture addition already carries the difference. Handouts that
    add a whole body height of 6 ft here hide about 1 ft of margin.

    Examples
    --------
    Instructions for a 54 in device print 12.5 ft: 4.5 + 1.5 + 5.0 + 1.5. Matches.

    >>> foot = 0.3048
    >>> below_surface = required_below_surface(4.5 * foot, 1.5 * foot, 0, 0, 0, 1.5 * foot)
    >>> round(required_below_d_ring(below_surface, 5 * foot) / foot, 6)
    12.5

    References
    ----------
    - Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    not_negative(required_below_surface=required_below_surface, d_ring_standing=d_ring_standing)
    return required_below_surface + d_ring_standing


@formula(
    symbol="R_anc",
    text="R_anc = R_ws + H_dr + h",
    where={
        "required_below_surface": _R,
        "d_ring_standing": _H,
        "height_above_d_ring_standing": ("h", "length", "height of the anchorage above the standing D-ring"),
    },
    gives="length",
    cite=_DERIVED,
    meaning="required clearance below the anchorage",
)
def required_below_anchorage(required_below_surface: float, d_ring_standing: float, height_above_d_ring_standing: float) -> float:
    """The same required clearance, measured from the line exit or anchorage (own derivation).

    R_anc = R_ws + H_dr + h

    Parameters
    ----------
    required_below_surface : float
        Required clearance below the walking surface [m]
    d_ring_standing : float
        Height of the back D-ring above the surface, standing [m]
    height_above_d_ring_standing : float
        Height of the line exit above the standing D-ring; negative if it lies below [m]

    Returns
    -------
    float
        Required clearance below the line exit [m]

    Notes
    -----
    Taken from the line exit of the device, not from the underside of the rail.

    Examples
    --------
    Line exit 24.0 ft, surface 11.5 ft, D-ring 5.0 ft, 7.5 ft required below the surface (own figures): 20.0 ft.

    >>> foot = 0.3048
    >>> round(required_below_anchorage(7.5 * foot, 5.0 * foot, 7.5 * foot) / foot, 6)
    20.0

    References
    ----------
    - Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    not_negative(required_below_surface=required_below_surface, d_ring_standing=d_ring_standing)
    finite(height_above_d_ring_standing=height_above_d_ring_standing)
    return required_below_surface + d_ring_standing + height_above_d_ring_standing


@formula(
    symbol="A_ws",
    text="A_ws = z_ws - z_low",
    where={
        "surface": ("z_ws", "length", "elevation of the walking surface"),
        "lower_level": ("z_low", "length", "elevation of the highest thing in the fall path"),
    },
    gives="length",
    cite=_DERIVED,
    meaning="available clearance below the walking surface",
)
def available_below_surface(surface: float, lower_level: float) -> float:
    """Clearance available below the walking surface (29 CFR 1926.502(d)(16)(iii): no contact with a lower level).

    A_ws = z_ws - z_low

    Parameters
    ----------
    surface : float
        Elevation of the walking surface above the site datum [m]
    lower_level : float
        Elevation of the highest surface or obstruction in the fall and swing path above the same datum [m]

    Returns
    -------
    float
        Available clearance; negative where an obstruction in the path stands above the surface [m]

    Notes
    -----
    To the nearest obstruction, not to the floor: fittings, catwalk rails, a coupler, a fender, the edge of a dock.

    Examples
    --------
    Walkway at 11.5 ft over a fender at 4.5 ft (own figures): 7.0 ft.

    >>> round(available_below_surface(11.5 * 0.3048, 4.5 * 0.3048) / 0.3048, 6)
    7.0

    References
    ----------
    - US OSHA, 29 CFR 1926.502, 59 FR 40672 (1994), (d)(16)(iii); basis: memory.
    """
    finite(surface=surface, lower_level=lower_level)
    return surface - lower_level


@formula(
    symbol="A_dr",
    text="A_dr = z_ws + H_dr - z_low",
    where={
        "surface": ("z_ws", "length", "elevation of the walking surface"),
        "lower_level": ("z_low", "length", "elevation of the highest thing in the fall path"),
        "d_ring_standing": _H,
    },
    gives="length",
    cite=_DERIVED,
    meaning="available clearance below the standing D-ring",
)
def available_below_d_ring(surface: float, lower_level: float, d_ring_standing: float) -> float:
    """The same available clearance, measured from the D-ring of a standing person (own derivation).

    A_dr = z_ws + H_dr - z_low

    Parameters
    ----------
    surface : float
        Elevation of the walking surface above the site datum [m]
    lower_level : float
        Elevation of the highest surface or obstruction in the path above the same datum [m]
    d_ring_standing : float
        Height of the back D-ring above the surface, standing [m]

    Returns
    -------
    float
        Available clearance below the standing D-ring [m]

    Notes
    -----
    Compare it only with a requirement in the same reference.

    Examples
    --------
    >>> round(available_below_d_ring(11.5 * 0.3048, 4.5 * 0.3048, 5.0 * 0.3048) / 0.3048, 6)
    12.0

    References
    ----------
    - Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    not_negative(d_ring_standing=d_ring_standing)
    return available_below_surface(surface, lower_level) + d_ring_standing


@formula(
    symbol="A_anc",
    text="A_anc = z_anc - z_low",
    where={
        "line_exit": ("z_anc", "length", "elevation of the line exit"),
        "lower_level": ("z_low", "length", "elevation of the highest thing in the fall path"),
    },
    gives="length",
    cite=_DERIVED,
    meaning="available clearance below the anchorage",
)
def available_below_anchorage(line_exit: float, lower_level: float) -> float:
    """The same available clearance, measured from the line exit (own derivation).

    A_anc = z_anc - z_low

    Parameters
    ----------
    line_exit : float
        Elevation of the line exit above the site datum [m]
    lower_level : float
        Elevation of the highest surface or obstruction in the path above the same datum [m]

    Returns
    -------
    float
        Available clearance below the line exit [m]

    Notes
    -----
    Compare it only with a requirement in the same reference.

    Examples
    --------
    >>> round(available_below_anchorage(24.0 * 0.3048, 4.5 * 0.3048) / 0.3048, 6)
    19.5

    References
    ----------
    - Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    finite(line_exit=line_exit, lower_level=lower_level)
    return line_exit - lower_level


@formula(
    symbol="M",
    text="M = A - R",
    where={
        "available": ("A", "length", "available clearance"),
        "required": ("R", "length", "required clearance"),
    },
    gives="length",
    cite=_SUM,
    meaning="clearance left over; negative means short",
)
def clearance_margin(available: float, required: float) -> float:
    """Clearance left over, both figures in the same reference (OSHA Technical Manual V-4, III.A).

    M = A - R

    Parameters
    ----------
    available : float
        Available clearance [m]
    required : float
        Required clearance in the same reference [m]

    Returns
    -------
    float
        Margin; negative means short [m]

    Notes
    -----
    The same from the surface, from the D-ring and from the anchorage, whatever the datum: a cheap test of the data.

    Examples
    --------
    >>> round(clearance_margin(7.0, 7.5), 6)
    -0.5

    References
    ----------
    - US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.A; basis: memory.
    """
    finite(available=available, required=required)
    return available - required


@formula(
    symbol="s_allow",
    text="s_allow = A_ws - (AD + HS + P + SD + SF)",
    where={
        "available": ("A_ws", "length", "available clearance below the walking surface"),
        "arrest_distance": _AD,
        "stretch": _HS,
        "posture": _P,
        "deflection": _SD,
        "margin": _SF,
    },
    gives="length",
    cite=_DERIVED,
    meaning="swing drop that the clearance leaves room for",
)
def allowed_swing(
    available: float, arrest_distance: float, stretch: float, posture: float, deflection: float, margin: float
) -> float:
    """Swing drop that the available clearance leaves room for (own derivation from the sum of the requirement).

    s_allow = A_ws - (AD + HS + P + SD + SF)

    Parameters
    ----------
    available : float
        Available clearance below the walking surface [m]
    arrest_distance : float
        Arrest distance on the label, lock-up included [m]
    stretch : float
        Harness stretch and D-ring shift [m]
    posture : float
        Posture addition [m]
    deflection : float
        Deflection of rail, structure and connector under the arrest load [m]
    margin : float
        Safety margin [m]

    Returns
    -------
    float
        Allowed swing drop; negative means that even a fall without swing is too long [m]

    Notes
    -----
    A negative result is not an offset of zero that would pass: nothing passes.

    Examples
    --------
    11.5 ft available; 3.5 + 1.0 + 2.0 ft used (own figures): 5.0 ft are left for the swing.

    >>> foot = 0.3048
    >>> round(allowed_swing(11.5 * foot, 3.5 * foot, 1.0 * foot, 0, 0, 2.0 * foot) / foot, 6)
    5.0

    References
    ----------
    - Own derivation; basis: derived.
    """
    finite(available=available)
    return available - required_below_surface(arrest_distance, stretch, posture, 0.0, deflection, margin)


@formula(
    symbol="z_hang",
    text="z_hang = z_anc - (L + e)",
    where={
        "line_exit": ("z_anc", "length", "elevation of the line exit"),
        "line_length_at_lock": ("L", "length", "line from the exit to the D-ring before the fall"),
        "extra": ("e", "length", "line paid out in the fall, and drop of the line exit"),
    },
    gives="length",
    cite=_DERIVED,
    meaning="elevation of the D-ring of the person hanging under the line exit",
)
def hang_d_ring_height(line_exit: float, line_length_at_lock: float, extra: float) -> float:
    """Elevation of the D-ring once the person hangs at rest under the line exit (own derivation).

    z_hang = z_anc - (L + e)

    Parameters
    ----------
    line_exit : float
        Elevation of the line exit above the site datum [m]
    line_length_at_lock : float
        Line from the exit to the D-ring in the working position, offset included [m]
    extra : float
        Line paid out from the start of the fall to the stop, and drop of the line exit [m]

    Returns
    -------
    float
        Elevation of the D-ring above the site datum [m]

    Notes
    -----
    The line length in the working position holds the swing; lock-up and braking are the extra. Clearance uses the
    lowest hang, reach and lowering use the highest one.

    Examples
    --------
    Line exit 24.0 ft, line 8.5 ft, arrest distance 3.5 ft (own figures): the ring hangs at 12.0 ft.

    >>> foot = 0.3048
    >>> round(hang_d_ring_height(24.0 * foot, 8.5 * foot, 3.5 * foot) / foot, 6)
    12.0

    References
    ----------
    - Own derivation; basis: derived.
    """
    finite(line_exit=line_exit)
    not_negative(line_length_at_lock=line_length_at_lock, extra=extra)
    return line_exit - (line_length_at_lock + extra)


@formula(
    symbol="z_hang_low",
    text="z_hang_low = z_anc - (L + AD + SD)",
    where={
        "line_exit": ("z_anc", "length", "elevation of the line exit"),
        "line_length_at_lock": ("L", "length", "line from the exit to the D-ring before the fall"),
        "arrest_distance": _AD,
        "deflection": _SD,
    },
    gives="length",
    cite=_DERIVED,
    meaning="lowest elevation of the D-ring of the hanging person",
)
def hang_d_ring_lowest(line_exit: float, line_length_at_lock: float, arrest_distance: float, deflection: float = 0.0) -> float:
    """Lowest elevation of the D-ring of the hanging person: the whole arrest distance is used (own derivation).

    z_hang_low = z_anc - (L + AD + SD)

    Parameters
    ----------
    line_exit : float
        Elevation of the line exit above the site datum [m]
    line_length_at_lock : float
        Line from the exit to the D-ring in the working position, offset included [m]
    arrest_distance : float
        Arrest distance on the label, lock-up included [m]
    deflection : float
        Deflection of rail, structure and connector under the arrest load [m]

    Returns
    -------
    float
        Lowest elevation of the D-ring above the site datum [m]

    Notes
    -----
    For clearance. A rescuer who counts on it will find most people hanging higher.

    Examples
    --------
    Line exit 24.0 ft, 3.5 ft above the D-ring, 4.0 ft to the side, arrest distance 3.5 ft (own figures): 15.2 ft.

    >>> foot = 0.3048
    >>> round(hang_d_ring_lowest(24.0 * foot, (3.5**2 + 4.0**2) ** 0.5 * foot, 3.5 * foot) / foot, 1)
    15.2

    References
    ----------
    - Own derivation; basis: derived.
    """
    not_negative(arrest_distance=arrest_distance, deflection=deflection)
    return hang_d_ring_height(line_exit, line_length_at_lock, arrest_distance + deflection)


@formula(
    symbol="z_hang_high",
    text="z_hang_high = z_anc - (L + s_lock)",
    where={
        "line_exit": ("z_anc", "length", "elevation of the line exit"),
        "line_length_at_lock": ("L", "length", "line from the exit to the D-ring before the fall"),
        "lock_distance": ("s_lock", "length", "fall before the brake acts"),
    },
    gives="length",
    cite=_DERIVED,
    meaning="highest plausible elevation of the D-ring of the hanging person",
)
def hang_d_ring_highest(line_exit: float, line_length_at_lock: float, lock_distance: float = 0.0) -> float:
    """Highest plausible elevation of the D-ring of the hanging person: lock-up only, no braking (own derivation).

    z_hang_high = z_anc - (L + s_lock)

    Parameters
    ----------
    line_exit : float
        Elevation of the line exit above the site datum [m]
    line_length_at_lock : float
        Line from the exit to the D-ring in the working position, offset included [m]
    lock_distance : float
        Fall before the brake acts; zero is the most pessimistic for reach [m]

    Returns
    -------
    float
        Highest plausible elevation of the D-ring above the site datum [m]

    Notes
    -----
    For reach, lowering distance and the rescue card: a light person who slips may stop almost at once.

    Examples
    --------
    >>> foot = 0.3048
    >>> round(hang_d_ring_highest(24.0 * foot, 8.5 * foot, 0.315 * foot) / foot, 3)
    15.185

    References
    ----------
    - Own derivation; basis: derived.
    """
    not_negative(lock_distance=lock_distance)
    return hang_d_ring_height(line_exit, line_length_at_lock, lock_distance)


@formula(
    symbol="z_feet",
    text="z_feet = z_hang - H_dr - HS",
    where={
        "d_ring_height": ("z_hang", "length", "elevation of the D-ring of the hanging person"),
        "d_ring_standing": _H,
        "stretch": _HS,
    },
    gives="length",
    cite=_DERIVED,
    meaning="elevation of the feet of the hanging person",
)
def hang_feet_height(d_ring_height: float, d_ring_standing: float, stretch: float) -> float:
    """Elevation of the feet of the hanging person (own derivation).

    z_feet = z_hang - H_dr - HS

    Parameters
    ----------
    d_ring_height : float
        Elevation of the D-ring of the hanging person above the site datum [m]
    d_ring_standing : float
        Height of the back D-ring above the soles, standing [m]
    stretch : float
        Harness stretch and D-ring shift [m]

    Returns
    -------
    float
        Elevation of the feet above the site datum [m]

    Notes
    -----
    For the highest plausible feet give a stretch of zero.

    Examples
    --------
    Ring at 12.0 ft, D-ring height 5.0 ft, shift 1.0 ft (own figures): the feet are at 6.0 ft.

    >>> foot = 0.3048
    >>> round(hang_feet_height(12.0 * foot, 5.0 * foot, 1.0 * foot) / foot, 6)
    6.0

    References
    ----------
    - Own derivation; basis: derived.
    """
    finite(d_ring_height=d_ring_height)
    not_negative(d_ring_standing=d_ring_standing, stretch=stretch)
    return d_ring_height - d_ring_standing - stretch


@formula(
    symbol="b_edge",
    text="b_edge = H - AD - SW",
    where={
        "d_ring_height": ("H", "length", "height of the D-ring above the surface"),
        "arrest_distance": _AD,
        "swing": _SW,
    },
    gives="length",
    cite=_DERIVED,
    meaning="height of the D-ring above the edge after the fall; negative means that the line bears on the edge",
)
def line_bears_on_edge(d_ring_height: float, arrest_distance: float, swing: float) -> float:
    """How far the D-ring stays above the edge of the surface after the fall (own derivation).

    b_edge = H - AD - SW

    Parameters
    ----------
    d_ring_height : float
        Height of the D-ring above the walking surface before the fall [m]
    arrest_distance : float
        Arrest distance on the label, lock-up included [m]
    swing : float
        Swing drop [m]

    Returns
    -------
    float
        Height left above the edge; negative means that the line can bear on the edge [m]

    Notes
    -----
    Negative: an edge-rated device or a guarded edge is needed. Give the posture's D-ring height, which is lower when
    kneeling. The path of the line beside a neighbouring part is not covered.

    Examples
    --------
    D-ring 5.0 ft, arrest distance 3.5 ft, swing drop 1.82 ft (own figures): the line bears by 0.32 ft.

    >>> foot = 0.3048
    >>> round(line_bears_on_edge(5.0 * foot, 3.5 * foot, 1.82 * foot) / foot, 2)
    -0.32

    References
    ----------
    - Own derivation; basis: derived.
    """
    not_negative(d_ring_height=d_ring_height, arrest_distance=arrest_distance, swing=swing)
    return d_ring_height - arrest_distance - swing
