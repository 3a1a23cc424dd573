"""Clearance in other references: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

from docgen.calc.clearance import available_below_surface
from docgen.calc.guard import finite, not_negative

__all__ = [
    "arrest_distance",
    "available_below_anchorage",
    "available_below_d_ring",
    "required_below_anchorage",
    "required_below_d_ring",
]


def arrest_distance(lock_distance: float, deceleration: float) -> float:
    """Arrest distance of a self-retracting device: lock-up and braking together.

    Use the figure on the label of the device where there is one: it already includes lock-up. The OSHA deceleration
    distance starts after activation and leaves out free fall and stretch of the line; adding free fall to a labelled
    arrest distance counts it twice.

    Example: EN 360 test, as summarised in print: 0.6 m set drop and at most 1.4 m deployment make 2.0 m. Matches.

    >>> arrest_distance(0.6, 1.4)
    2.0

    Sources:
    - ANSI/ASSP, Z359.14 Safety requirements for self-retracting devices, 2021, definitions; basis: memory.
    - EN 360:2002, dynamic performance, in a published summary; basis: read (summary), memory (standard).
    """
    not_negative(lock_distance=lock_distance, deceleration=deceleration)
    return lock_distance + deceleration


def required_below_d_ring(required_below_surface: float, d_ring_standing: float) -> float:
    """The same required clearance, measured from the D-ring of a standing person.

    The standing height, also for kneeling work: the posture addition already carries the difference. Handouts that
    add a whole body height of 6 ft here hide about 1 ft of margin.

    Example: Instructions for a 54 in device print 12.5 ft: 4.5 + 1.5 + 5.0 + 1.5. Matches.

    >>> foot = 0.3048
    >>> from docgen.calc.clearance import required_below_surface as need
    >>> below_surface = need(4.5 * foot, 1.5 * foot, 0, 0, 0, 1.5 * foot)
    >>> round(required_below_d_ring(below_surface, 5 * foot) / foot, 6)
    12.5

    Source: Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    not_negative(required_below_surface=required_below_surface, d_ring_standing=d_ring_standing)
    return required_below_surface + d_ring_standing


def required_below_anchorage(required_below_surface: float, d_ring_standing: float, height_above_d_ring_standing: float) -> float:
    """The same required clearance, measured from the line exit or anchorage.

    Taken from the line exit of the device, not from the underside of the rail.

    Example: Line exit 24.0 ft, surface 11.5 ft, D-ring 5.0 ft, 7.5 ft required below the surface (own figures): 20.0
    ft.

    >>> foot = 0.3048
    >>> round(required_below_anchorage(7.5 * foot, 5.0 * foot, 7.5 * foot) / foot, 6)
    20.0

    Source: Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    not_negative(required_below_surface=required_below_surface, d_ring_standing=d_ring_standing)
    finite(height_above_d_ring_standing=height_above_d_ring_standing)
    return required_below_surface + d_ring_standing + height_above_d_ring_standing


def available_below_d_ring(surface: float, lower_level: float, d_ring_standing: float) -> float:
    """The same available clearance, measured from the D-ring of a standing person.

    Compare it only with a requirement in the same reference.

    Example:

    >>> round(available_below_d_ring(11.5 * 0.3048, 4.5 * 0.3048, 5.0 * 0.3048) / 0.3048, 6)
    12.0

    Source: Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    not_negative(d_ring_standing=d_ring_standing)
    return available_below_surface(surface, lower_level) + d_ring_standing


def available_below_anchorage(line_exit: float, lower_level: float) -> float:
    """The same available clearance, measured from the line exit.

    Compare it only with a requirement in the same reference.

    Example:

    >>> round(available_below_anchorage(24.0 * 0.3048, 4.5 * 0.3048) / 0.3048, 6)
    19.5

    Source: Own derivation, checked by the identity of the margin in three references; basis: derived.
    """
    finite(line_exit=line_exit, lower_level=lower_level)
    return line_exit - lower_level
