"""The fall and its arrest: lock-up, speed and time, force and energy, braking distance, anchorage below the D-ring."""

import math

from docgen.calc import CalcError, G
from docgen.calc.formula import formula
from docgen.calc.guard import not_negative, positive

__all__ = [
    "arrest_distance_lower_bound",
    "braking_distance",
    "lock_distance",
    "slack_fall",
    "slide_friction",
    "slide_speed",
]


_UP1 = "OpenStax University Physics 1 (2016)"
_CP2 = "OpenStax College Physics 2e (2022)"


@formula(
    "s_lock = v_lock^2 / (2 g cos(theta)^2)",
    gives="length",
    toward="up",
    cite=f"{_UP1}, 3.5; read. Angle: own derivation; derived",
)
def lock_distance(lock_speed: float, line_angle: float = 0.0, g: float = G) -> float:
    """Fall until the line is fast enough to lock the device.

    The line angle is less than a right angle. Exact for a vertical line; at an angle slightly high (4 percent at 45
    degrees), because the angle shrinks during the fall. Sudden fall only: someone who sinks slowly may never lock the
    device. 4.5 ft/s is a common lock speed without a published source; the labelled arrest distance already includes
    this distance.

    Example: 4.00 m/s corresponds to 0.82 m in print. Matches. 4.5 ft/s gives 0.315 ft.

    >>> round(lock_distance(4.0, g=9.8), 2), round(lock_distance(4.5 * 0.3048) / 0.3048, 3)
    (0.82, 0.315)

    Sources:
    - OpenStax, University Physics Volume 1, 2016 (web version), section 3.5, diver problem (a); basis: read.
    - Angled line: own derivation, checked by numerical integration; basis: derived.
    """
    not_negative(lock_speed=lock_speed, line_angle=line_angle)
    positive(g=g)
    if line_angle >= math.pi / 2:
        raise CalcError(
            f"line angle is {math.degrees(line_angle):.6g} degrees from the vertical; it must be less than 90 degrees"
        )
    return (lock_speed / math.cos(line_angle)) ** 2 / (2.0 * g)


@formula("d = m g h_ff / (F - m g)", gives="length", toward="up", cite=f"{_CP2}, 7.8; read")
def braking_distance(mass: float, free_fall: float, force: float, g: float = G) -> float:
    """Braking distance at a constant force.

    The force is above the weight. A force at or below the weight never stops the fall and raises CalcError.

    Example: 310 lb, 6 ft, 900 lbf: 3.15 ft by own derivation, inside the 3.5 ft of the US rules.

    >>> round(braking_distance(310 * 0.45359237, 6 * 0.3048, 900 * 4.4482216152605) / 0.3048, 2)
    3.15

    Source: OpenStax, College Physics 2e, 2022 (web version), section 7.8; basis: read (energy balance), derived
    (solved for d).
    """
    positive(mass=mass, force=force, g=g)
    not_negative(free_fall=free_fall)
    weight = mass * g
    if force <= weight:
        raise CalcError(f"braking force is {force:.6g} N; it must be above the weight of {weight:.6g} N")
    return weight * free_fall / (force - weight)


@formula("h = h_ff + e", gives="length", toward="up", cite="geometry, own derivation; derived")
def slack_fall(free_fall: float, slack: float) -> float:
    """Free fall of a person whose line has slack: the slack runs out before the device can feel the fall.

    Straight under the device every length of slack is a length of free fall; off to the side it is a little less.

    Example:

    >>> slack_fall(0.5, 1.0)
    1.5

    Source: Own derivation; basis: derived.
    """
    not_negative(free_fall=free_fall, slack=slack)
    return free_fall + slack


@formula("v = sqrt(2 g l_slide sin(beta))", gives="speed", toward="up", cite=f"{_UP1}, 5.5 and 3.5; read")
def slide_speed(slide: float, slope: float, g: float = G) -> float:
    """Speed at the end of a slide from rest down a slope without friction: no slide of that length ends faster.

    The slope is from zero to a right angle. Where this is below the speed at which the device locks, the line runs out unlocked
    all the way to the edge.

    Example: 0.4572 m (1.5 ft) at 20 degrees: 1.75 m/s (own figures); straight down it is a free fall.

    >>> round(slide_speed(0.4572, math.radians(20)), 2), round(slide_speed(98.0, math.pi / 2, g=9.8), 1)
    (1.75, 43.8)

    Source: OpenStax, University Physics Volume 1, 2016 (web version), sections 5.5 (incline) and 3.5; basis: read.
    """
    not_negative(slide=slide, slope=slope)
    positive(g=g)
    _at_most_right(slope)
    return math.sqrt(2.0 * g * slide * math.sin(slope))


@formula("mu = tan(beta) - v_lock^2 / (2 g l_slide cos(beta))", gives="ratio", cite=f"{_UP1}, 6.2 and 3.5; read")
def slide_friction(slide: float, slope: float, lock_speed: float, g: float = G) -> float:
    """Coefficient of friction from which on a slide from rest ends at the edge without the device having locked.

    The slide is longer than zero, the slope less than a right angle. Up to the tangent of the slope a person slides at all;
    between the two the slide is too slow. Zero or less: it is too slow at any friction.

    Example: 1.5 ft at 20 degrees, lock at 4.5 ft/s (own figures): 0.14, so any surface from wet steel to dry rubber slides slowly.

    >>> round(slide_friction(0.4572, math.radians(20), 4.5 * 0.3048), 2)
    0.14

    Source: OpenStax, University Physics Volume 1, 2016 (web version), sections 6.2 (friction on an incline) and 3.5; basis: read.
    """
    not_negative(slope=slope, lock_speed=lock_speed)
    positive(slide=slide, g=g)
    _at_most_right(slope)
    return math.tan(slope) - lock_speed * lock_speed / (2.0 * g * slide * math.cos(slope))


@formula(
    "AD_min = s_lock + m g s_lock / (F - m g)", gives="length", toward="down", cite="energy balance, own derivation; derived"
)
def arrest_distance_lower_bound(lock_distance: float, mass: float, force: float, g: float = G) -> float:
    """Shortest arrest distance that physics allows at a constant brake force.

    The force is above the weight. To test a figure read from a label, never to replace one: pawl, line stretch and
    harness make the real one longer.

    Example: 310 lb, 0.315 ft to lock-up, 1,350 lbf (own figures): 0.41 ft.

    >>> foot, pound, lbf = 0.3048, 0.45359237, 4.4482216152605
    >>> round(arrest_distance_lower_bound(0.315 * foot, 310 * pound, 1350 * lbf) / foot, 2)
    0.41

    Source: Own derivation; basis: derived.
    """
    return lock_distance + braking_distance(mass, lock_distance, force, g)


def _at_most_right(slope: float) -> None:
    if slope > math.pi / 2:
        raise CalcError(f"slope is {math.degrees(slope):.6g} degrees; it must be at most 90 degrees")
