"""Fall clearance under an overhead device: required, available, margin, in three references that must agree."""

from collections.abc import Sequence

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative
from docgen.limits import over

__all__ = [
    "allowed_swing",
    "available_below_surface",
    "clearance_margin",
    "governing_arrest_distance",
    "hang_d_ring_height",
    "hang_d_ring_highest",
    "hang_d_ring_lowest",
    "hang_feet_highest",
    "hang_feet_lowest",
    "height_above_d_ring",
    "kept_margin",
    "least_kept_margin",
    "line_bears_on_edge",
    "posture_addition",
    "required_below_surface",
]


_SUM = "sum of the terms, own derivation; derived"
_DERIVED = "geometry, own derivation; derived"


@formula("AD = max(AD_i)", gives="length", toward="up", cite="common practice, no published source")
def governing_arrest_distance(distances: Sequence[float]) -> tuple[float, int]:
    """Arrest distance that governs where a device states several, as ambient, wet, hot and cold.

    Gives the largest distance and its position in `distances`; of equal distances the first one. The cold figure can
    be twice the ambient one, which matters at unheated bays. An empty list raises CalcError.

    Example: User instructions print 16, 17, 17 and 34 in and take 34 in. Matches.

    >>> longest, position = governing_arrest_distance([16 * 0.0254, 17 * 0.0254, 17 * 0.0254, 34 * 0.0254])
    >>> round(longest / 0.0254, 6), position
    (34.0, 3)

    Source: User instructions for self-retracting devices (makers not named): common practice, no published source;
    basis: read.
    """
    if not distances:
        raise CalcError("no arrest distance is given; give at least one from the label of the device")
    for number, distance in enumerate(distances, 1):
        not_negative(**{f"arrest_distance_{number}": distance})
    longest = max(distances)
    return longest, list(distances).index(longest)


@formula("h = z_anc - z_ws - H", gives="length", toward="down", cite=_DERIVED)
def height_above_d_ring(line_exit: float, surface: float, d_ring_height: float) -> float:
    """Height of the line exit above the D-ring in the working posture.

    Gives the height; negative when the device is below the D-ring. Not the height above the floor: using that understates
    the swing. A kneeling or lying user has a lower D-ring and a larger height.

    Example: Line exit at 24.0 ft, walkway at 11.5 ft, D-ring at 5.0 ft (own figures): 7.5 ft.

    >>> foot = 0.3048
    >>> round(height_above_d_ring(24.0 * foot, 11.5 * foot, 5.0 * foot) / foot, 9)
    7.5

    Source: Own derivation; basis: derived.
    """
    finite(line_exit=line_exit, surface=surface)
    not_negative(d_ring_height=d_ring_height)
    return line_exit - surface - d_ring_height


@formula("P = H_dr - H_posture", gives="length", toward="up", cite=_DERIVED)
def posture_addition(d_ring_standing: float, d_ring_posture: float) -> float:
    """Addition for kneeling, crouching or lying: line already paid out before the fall.

    After the arrest the feet hang the full standing height below the D-ring, whatever the posture was. Where nothing
    is measured the trade adds 3 ft for kneeling and 5 ft for lying. A posture higher than standing raises CalcError.

    Example: D-ring 5.0 ft standing, 3.0 ft kneeling (own figures): 2.0 ft.

    >>> round(posture_addition(5.0 * 0.3048, 3.0 * 0.3048) / 0.3048, 6)
    2.0

    Sources:
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


@formula("R_ws = AD + HS + P + SW + SD + SF", gives="length", toward="up", cite=_SUM)
def required_below_surface(
    arrest_distance: float, stretch: float, posture: float, swing: float, deflection: float, margin: float
) -> float:
    """Clearance required below the walking surface under an overhead device.

    For a vertical line at rest, a device at or above the D-ring and no edge in the way. A margin of 3 ft in one
    published table already holds the stretch, a margin of 1.5 ft in another does not: never take a margin from one
    table and terms from another. Deflection at the arrest peak counts, not at body weight.

    Example: User instructions print 5 ft for a 24 in device, standing, with a 3 ft margin that holds the stretch.
    Matches.

    >>> foot = 0.3048
    >>> round(required_below_surface(2 * foot, 0, 0, 0, 0, 3 * foot) / foot, 6)
    5.0

    Source: US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.A and III.B; basis:
    memory (terms read as reported).
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


@formula("A_ws = z_ws - z_low", gives="length", toward="down", cite=_DERIVED)
def available_below_surface(surface: float, lower_level: float) -> float:
    """Clearance available below the walking surface.

    Gives the available clearance; negative where an obstruction in the path stands above the surface. To the nearest
    obstruction, not to the floor: fittings, catwalk rails, a coupler, a fender, the edge of a dock.

    Example: Walkway at 11.5 ft over a fender at 4.5 ft (own figures): 7.0 ft.

    >>> round(available_below_surface(11.5 * 0.3048, 4.5 * 0.3048) / 0.3048, 6)
    7.0

    Source: US OSHA, 29 CFR 1926.502, 59 FR 40672 (1994), (d)(16)(iii): no contact with a lower level; basis: memory.
    """
    finite(surface=surface, lower_level=lower_level)
    return surface - lower_level


@formula("M = A - R", gives="length", toward="down", cite=_SUM, available="available_in_reference")
def clearance_margin(available: float, required: float) -> float:
    """Clearance left over, both figures in the same reference.

    The same from the surface, from the D-ring and from the anchorage, whatever the datum: a cheap test of the data.

    Example:

    >>> round(clearance_margin(7.0, 7.5), 6)
    -0.5

    Source: US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.A; basis: memory.
    """
    finite(available=available, required=required)
    return available - required


@formula("SF_kept = SF + M", gives="length", toward="down", cite=_DERIVED)
def kept_margin(margin: float, left_over: float) -> float:
    """What stays of a margin once the tolerances have taken their part.

    Less than the margin in force where the clearance left over is negative. Below zero the person strikes.

    Example: Margin 3.0 ft, short of it by 0.5 ft after tolerances (own figures): 2.5 ft are kept.

    >>> round(kept_margin(3.0 * 0.3048, -0.5 * 0.3048) / 0.3048, 6)
    2.5

    Source: Own derivation; basis: derived.
    """
    not_negative(margin=margin)
    finite(left_over=left_over)
    return margin + left_over


@formula(
    "SF_least = max(K_1, min(K_2, SF - K_1))",
    gives="length",
    toward="up",
    cite="own choice; common practice, no published source",
)
def least_kept_margin(margin: float, least: float, enough: float) -> float:
    """What must stay of a margin after tolerances: all but `least` of it, no more than `enough`, never under `least`.

    An own choice of how to split a margin between tolerances and what nobody measured.

    Example: Margin 3.0 ft: 2.0 ft must be kept. Margin 2.0 ft: 1.0 ft (own figures).

    >>> least_kept_margin(3.0, 1.0, 2.0), least_kept_margin(2.0, 1.0, 2.0), least_kept_margin(5.0, 1.0, 2.0)
    (2.0, 1.0, 2.0)

    Source: Own choice: common practice, no published source.
    """
    not_negative(margin=margin, least=least, enough=enough)
    return max(least, min(enough, margin - least))


@formula("s_allow = A_ws - (AD + HS + P + SD + SF)", gives="length", toward="down", cite=_DERIVED)
def allowed_swing(
    available: float, arrest_distance: float, stretch: float, posture: float, deflection: float, margin: float
) -> float:
    """Swing drop that the available clearance leaves room for.

    Gives the allowed swing drop; negative means that even a fall without swing is too long. A negative result is not an
    offset of zero that would pass: nothing passes.

    Example: 11.5 ft available; 3.5 + 1.0 + 2.0 ft used (own figures): 5.0 ft are left for the swing.

    >>> foot = 0.3048
    >>> round(allowed_swing(11.5 * foot, 3.5 * foot, 1.0 * foot, 0, 0, 2.0 * foot) / foot, 6)
    5.0

    Source: Own derivation; basis: derived.
    """
    finite(available=available)
    return available - required_below_surface(arrest_distance, stretch, posture, 0.0, deflection, margin)


@formula("z_hang = z_anc - (L + L_out)", gives="length", cite=_DERIVED, extra="paid_out")
def hang_d_ring_height(line_exit: float, line_length_at_lock: float, extra: float) -> float:
    """Elevation of the D-ring once the person hangs at rest under the line exit.

    The line length in the working position holds the swing; lock-up and braking are the extra. Clearance uses the
    lowest hang, reach and lowering use the highest one.

    Example: Line exit 24.0 ft, line 8.5 ft, arrest distance 3.5 ft (own figures): the ring hangs at 12.0 ft.

    >>> foot = 0.3048
    >>> round(hang_d_ring_height(24.0 * foot, 8.5 * foot, 3.5 * foot) / foot, 6)
    12.0

    Source: Own derivation; basis: derived.
    """
    finite(line_exit=line_exit)
    not_negative(line_length_at_lock=line_length_at_lock, extra=extra)
    return line_exit - (line_length_at_lock + extra)


@formula("z_hang_low = z_anc - (L + AD + SD)", gives="length", toward="down", cite=_DERIVED)
def hang_d_ring_lowest(line_exit: float, line_length_at_lock: float, arrest_distance: float, deflection: float = 0.0) -> float:
    """Lowest elevation of the D-ring of the hanging person: the whole arrest distance is used.

    For clearance. A rescuer who counts on it will find most people hanging higher.

    Example: Line exit 24.0 ft, 3.5 ft above the D-ring, 4.0 ft to the side, arrest distance 3.5 ft (own figures):
    15.2 ft.

    >>> foot = 0.3048
    >>> round(hang_d_ring_lowest(24.0 * foot, (3.5**2 + 4.0**2) ** 0.5 * foot, 3.5 * foot) / foot, 1)
    15.2

    Source: Own derivation; basis: derived.
    """
    not_negative(arrest_distance=arrest_distance, deflection=deflection)
    return hang_d_ring_height(line_exit, line_length_at_lock, arrest_distance + deflection)


@formula("z_hang_high = z_anc - (L + s_lock)", gives="length", toward="up", cite=_DERIVED)
def hang_d_ring_highest(line_exit: float, line_length_at_lock: float, lock_distance: float = 0.0) -> float:
    """Highest plausible elevation of the D-ring of the hanging person: lock-up only, no braking.

    A lock-up of zero is the most pessimistic for reach. For reach, lowering distance and the rescue card: a light
    person who slips may stop almost at once.

    Example:

    >>> foot = 0.3048
    >>> round(hang_d_ring_highest(24.0 * foot, 8.5 * foot, 0.315 * foot) / foot, 3)
    15.185

    Source: Own derivation; basis: derived.
    """
    not_negative(lock_distance=lock_distance)
    return hang_d_ring_height(line_exit, line_length_at_lock, lock_distance)


@formula("z_feet_low = z_hang - H_dr - HS", gives="length", toward="down", cite=_DERIVED, d_ring_height="d_ring_hanging")
def hang_feet_lowest(d_ring_height: float, d_ring_standing: float, stretch: float) -> float:
    """Lowest elevation of the feet of the hanging person: the harness has stretched.

    For clearance. Give the lowest D-ring.

    Example: Ring at 12.0 ft, D-ring height 5.0 ft, shift 1.0 ft (own figures): the feet are at 6.0 ft.

    >>> foot = 0.3048
    >>> round(hang_feet_lowest(12.0 * foot, 5.0 * foot, 1.0 * foot) / foot, 6)
    6.0

    Source: Own derivation; basis: derived.
    """
    finite(d_ring_height=d_ring_height)
    not_negative(d_ring_standing=d_ring_standing, stretch=stretch)
    return d_ring_height - d_ring_standing - stretch


@formula("z_feet_high = z_hang - H_dr", gives="length", toward="up", cite=_DERIVED, d_ring_height="d_ring_hanging")
def hang_feet_highest(d_ring_height: float, d_ring_standing: float) -> float:
    """Highest plausible elevation of the feet of the hanging person: the harness has not stretched.

    For reach from below and for the rescue card. Give the highest D-ring.

    Example: Ring at 15.2 ft, D-ring height 5.0 ft (own figures): the feet are at 10.2 ft.

    >>> foot = 0.3048
    >>> round(hang_feet_highest(15.2 * foot, 5.0 * foot) / foot, 6)
    10.2

    Source: Own derivation; basis: derived.
    """
    finite(d_ring_height=d_ring_height)
    not_negative(d_ring_standing=d_ring_standing)
    return d_ring_height - d_ring_standing


@formula("b_edge = H - AD - SW - SD - z_edge", gives="length", toward="down", cite=_DERIVED)
def line_bears_on_edge(
    d_ring_height: float, arrest_distance: float, swing: float, deflection: float = 0.0, edge_height: float = 0.0
) -> float:
    """How far the D-ring stays above the edge of the surface after the fall.

    Gives the height left above the edge; negative means that the line can bear on the edge. Negative: an edge-rated
    device or a guarded edge is needed. Give the posture's D-ring height, which is lower when kneeling, and the height of the
    edge with coaming and handrail above the surface. The path of the line beside a neighbouring part is not covered.

    Example: D-ring 5.0 ft, arrest distance 3.5 ft, swing drop 1.82 ft (own figures): the line bears by 0.32 ft.

    >>> foot = 0.3048
    >>> round(line_bears_on_edge(5.0 * foot, 3.5 * foot, 1.82 * foot) / foot, 2)
    -0.32

    Source: Own derivation; basis: derived.
    """
    not_negative(d_ring_height=d_ring_height, arrest_distance=arrest_distance, swing=swing, deflection=deflection)
    finite(edge_height=edge_height)
    return d_ring_height - arrest_distance - swing - deflection - edge_height
