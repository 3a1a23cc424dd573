"""The swing: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

import math

from docgen.calc import CalcError, G
from docgen.calc.guard import finite, not_negative, positive
from docgen.limits import within

__all__ = ["arc_heights", "arc_reaches", "combined_speed", "swing_drop_at_angle", "tension_at_bottom", "tension_at_speed"]


def combined_speed(initial_speed: float, drop: float, g: float = G) -> float:
    """Speed at the lowest point if the speed at lock-up is not absorbed.

    Squares are added, not speeds.

    Example: 5.0 m/s and a drop of 20 m: 20.4 m/s in print. Matches.

    >>> round(combined_speed(5.0, 20.0, g=9.8), 1)
    20.4

    Source: OpenStax, College Physics 2e, 2022 (web version), section 7.3, roller-coaster example, part (b); basis:
    read.
    """
    not_negative(initial_speed=initial_speed, drop=drop)
    positive(g=g)
    return math.sqrt(initial_speed * initial_speed + 2.0 * g * drop)


def swing_drop_at_angle(line_length: float, angle: float) -> float:
    """Swing drop from line length and angle instead of height and offset.

    The angle is at most a right angle. The same drop as from height and offset. An angle beyond a right angle raises
    CalcError: the line would be slack.

    Example: A 1.0 m pendulum released at 30 degrees drops 0.134 m.

    >>> round(swing_drop_at_angle(1.0, math.radians(30)), 4)
    0.134

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 8.3, simple pendulum; basis: read.
    """
    not_negative(line_length=line_length, angle=angle)
    _at_most_right_angle(angle)
    return line_length * 2.0 * math.sin(angle / 2.0) ** 2


def arc_heights(anchor_height: float, line_at_lock: float, extra: float, near: float, far: float) -> tuple[float, float]:
    """Band of elevations that the D-ring can pass through over an interval across the rail.

    Gives the lowest and highest elevation of the D-ring above the site datum. No line paid out stands for the arc of one
    fixed length. The length grows from L to L + e somewhere in the swing, so the band covers both and all between. It
    does not stop at the offset where the swing began: give an interval clipped to the swing. The body hangs below the
    D-ring by its standing height and the head is above it: add both. An interval out of reach raises CalcError; see
    `arc_reaches`.

    Example: Line exit at 10 m, line 5 m, no payout; from straight below to 3 m aside.

    >>> arc_heights(10.0, 5.0, 0.0, 0.0, 3.0)
    (5.0, 6.0)

    Source: Own derivation (circle); basis: derived.
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


def arc_reaches(line_at_lock: float, extra: float, near: float, far: float) -> bool:
    """Whether the arc of the D-ring can reach an interval across the rail.

    Ask this before the heights of the arc.

    Example:

    >>> arc_reaches(2.0, 1.0, 2.5, 3.5), arc_reaches(2.0, 1.0, 3.5, 4.0)
    (True, False)

    Source: Own derivation; basis: derived.
    """
    not_negative(line_at_lock=line_at_lock, extra=extra)
    finite(near=near, far=far)
    return within(_nearest(near, far), line_at_lock + extra)


def tension_at_bottom(mass: float, angle: float, g: float = G) -> float:
    """Line tension at the lowest point of a swing from rest.

    The angle is at most a right angle. Line of fixed length; the peak of the arrest itself is not in it.

    Example: From horizontal the tension is three times the weight.

    >>> round(tension_at_bottom(100.0, math.pi / 2) / (100.0 * G), 6)
    3.0

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 8.3; basis: read (speed), derived
    (tension).
    """
    positive(mass=mass, g=g)
    not_negative(angle=angle)
    _at_most_right_angle(angle)
    return mass * g * (3.0 - 2.0 * math.cos(angle))


def tension_at_speed(mass: float, speed: float, line_length: float, g: float = G) -> float:
    """Line tension at the lowest point of a swing from its speed.

    The line length is above zero. Line of fixed length; the peak of the arrest itself is not in it.

    Example: 18 kg on a 2.0 m swing at 9.0 m/s: 905 N in print. Matches.

    >>> round(tension_at_speed(18.0, 9.0, 2.0, g=9.8))
    905

    Source: OpenStax, College Physics 2e, 2022 (web version), section 6.2, playground-swing problem; basis: read.
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
