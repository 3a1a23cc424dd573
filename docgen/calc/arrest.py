"""The fall and its arrest: lock-up, speed and time, force and energy, braking distance, anchorage below the D-ring."""

import math

from docgen.calc import CalcError, G
from docgen.calc.formula import formula
from docgen.calc.guard import not_negative, positive

__all__ = [
    "arrest_distance_lower_bound",
    "average_force",
    "average_from_peak",
    "braking_distance",
    "deceleration",
    "energy",
    "fall_distance",
    "fall_speed",
    "fall_speed_after",
    "fall_time",
    "free_fall_below_anchor",
    "lock_distance",
    "lock_time",
    "net_force",
    "peak_force_spring",
    "person_mass",
    "rigid_test_force",
    "slack_fall",
    "slide_friction",
    "slide_speed",
    "two_slope_energy",
    "two_slope_force",
]

_UP1 = "OpenStax University Physics 1 (2016)"
_CP2 = "OpenStax College Physics 2e (2022)"


@formula("s_lock = v_lock^2 / (2 g cos(theta)^2)", gives="length", cite=f"{_UP1}, 3.5; read. Angle: own derivation; derived")
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


@formula("t_lock = v_lock / g", gives="time", cite=f"{_UP1}, 3.5; read")
def lock_time(lock_speed: float, g: float = G) -> float:
    """Time of the fall until the device locks, vertical line.

    Sudden fall from rest.

    Example:

    >>> round(lock_time(4.5 * 0.3048), 2)
    0.14

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 3.5; basis: read.
    """
    not_negative(lock_speed=lock_speed)
    positive(g=g)
    return lock_speed / g


@formula("v = sqrt(v_0^2 + 2 g s)", gives="speed", cite=f"{_UP1}, 3.5; read")
def fall_speed(distance: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Speed after falling a height, air resistance left out.

    Squares are added, not speeds.

    Example: 98 m from 4.9 m/s: 44.1 m/s in print. Matches.

    >>> round(fall_speed(98.0, 4.9, g=9.8), 1)
    44.1

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 3.5, free fall of a ball; basis: read.
    """
    not_negative(distance=distance, initial_speed=initial_speed)
    positive(g=g)
    return math.sqrt(initial_speed * initial_speed + 2.0 * g * distance)


@formula("v = v_0 + g t", gives="speed", cite=f"{_UP1}, 3.5; read")
def fall_speed_after(time: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Speed after falling for a time, air resistance left out.

    A printed university table uses 32 ft/s^2 and whole feet.

    Example: 0.5 s: 16 ft/s in print. Matches.

    >>> round(fall_speed_after(0.5) / 0.3048)
    16

    Sources:
    - OpenStax, University Physics Volume 1, 2016 (web version), section 3.5; basis: read.
    - Virginia Tech EHS, table of fall forces, undated, as reproduced by a search-and-rescue group; basis: read.
    """
    not_negative(time=time, initial_speed=initial_speed)
    positive(g=g)
    return initial_speed + g * time


@formula("t = (sqrt(v_0^2 + 2 g s) - v_0) / g", gives="time", cite=f"{_UP1}, 3.5; read")
def fall_time(distance: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Time to fall a height, air resistance left out.

    From rest it is sqrt(2 s / g).

    Example: 30.0 m: 2.47 s in print. Matches.

    >>> round(fall_time(30.0, g=9.8), 2)
    2.47

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 3.5, check your understanding; basis:
    read.
    """
    return (fall_speed(distance, initial_speed, g) - initial_speed) / g


@formula("s = v_0 t + g t^2 / 2", gives="length", cite=f"{_UP1}, 3.5; read")
def fall_distance(time: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Height fallen in a time, air resistance left out.

    Good to a few metres; air resistance matters far beyond any arrested fall.

    Example: 1.8 s from 1.4 m/s: 18.4 m in print. Matches.

    >>> round(fall_distance(1.8, 1.4, g=9.8), 1)
    18.4

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 3.5, rescue-helicopter problem; basis:
    read.
    """
    not_negative(time=time, initial_speed=initial_speed)
    positive(g=g)
    return initial_speed * time + g * time * time / 2.0


@formula("E = m g (h_ff + d)", gives="energy", cite=f"{_CP2}, 7.8; read")
def energy(mass: float, free_fall: float, braking: float, g: float = G) -> float:
    """Energy that the arrest has to absorb.

    The weight keeps working during the braking. The US factor of two for anchorages goes on force, not on energy.

    Example:

    >>> energy(100.0, 1.0, 0.5, g=10.0)
    1500.0

    Source: OpenStax, College Physics 2e, 2022 (web version), section 7.8, jump problem; basis: read.
    """
    positive(mass=mass, g=g)
    not_negative(free_fall=free_fall, braking=braking)
    return mass * g * (free_fall + braking)


@formula("F_avg = m g (1 + h_ff / d)", gives="force", cite=f"{_CP2}, 7.8; read")
def average_force(mass: float, free_fall: float, braking: float, g: float = G) -> float:
    """Average force on the person during the stop, weight included.

    The braking distance is above zero. Rigid body, constant force; an explanation, never a substitute for the tested
    figures of the device. An average is not the peak that rules limit. The short form m g h_ff / d leaves out one
    body weight.

    Example: 80 kg, 0.6 m, stop in 0.300 m: 2.35 kN in print. Matches.

    >>> round(average_force(80.0, 0.6, 0.3, g=9.8))
    2352

    Source: OpenStax, College Physics 2e, 2022 (web version), section 7.8, jump problem (b); basis: read.
    """
    positive(mass=mass, braking=braking, g=g)
    not_negative(free_fall=free_fall)
    return mass * g * (1.0 + free_fall / braking)


@formula("d = m g h_ff / (F - m g)", gives="length", cite=f"{_CP2}, 7.8; read")
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


@formula("F_net = m v^2 / (2 d)", gives="force", cite=f"{_UP1}, 9 challenge problem; read")
def net_force(mass: float, speed: float, braking: float) -> float:
    """Net force of a stop from its speed, weight not included.

    The braking distance is above zero. The force on the person is this plus the weight; say which one is printed.

    Example: 65 kg at 9.0 m/s over 0.50 m: 5265 N in print. Matches.

    >>> net_force(65.0, 9.0, 0.5)
    5265.0

    Source: OpenStax, University Physics Volume 1, 2016 (web version), chapter 9, challenge problem (c); basis: read.
    """
    positive(mass=mass, braking=braking)
    not_negative(speed=speed)
    return mass * speed * speed / (2.0 * braking)


@formula("a = g h_ff / d", gives="acceleration", cite=f"{_CP2}, 2.5; read")
def deceleration(free_fall: float, braking: float, g: float = G) -> float:
    """Average deceleration of a stop after a free fall.

    The braking distance is above zero. Of the motion; what the person feels is one g more.

    Example: 3.0 m fall, stop in 2.0 cm: 15 x 10^2 m/s^2 in print, to two figures. Matches.

    >>> round(deceleration(3.0, 0.02, g=9.8))
    1470

    Source: OpenStax, College Physics 2e, 2022 (web version), section 2.5, squirrel problem (b); basis: read.
    """
    positive(braking=braking, g=g)
    not_negative(free_fall=free_fall)
    return g * free_fall / braking


@formula(
    "F_peak = m g + sqrt((m g)^2 + 2 k m g h_ff)",
    gives="force",
    cite="energy balance of a linear spring, own derivation; derived",
)
def peak_force_spring(mass: float, free_fall: float, stiffness: float, g: float = G) -> float:
    """Peak force of a fall into a linear elastic line without absorber.

    The free fall is the fall before the line is taut. Even without free fall the peak is twice the weight. No
    damping.

    Example:

    >>> round(peak_force_spring(100.0, 0.0, 5000.0) / (100.0 * G), 6)
    2.0

    Source: Own derivation, checked by symbolic solution of the energy balance; basis: derived.
    """
    positive(mass=mass, stiffness=stiffness, g=g)
    not_negative(free_fall=free_fall)
    weight = mass * g
    return weight + math.sqrt(weight * weight + 2.0 * stiffness * weight * free_fall)


@formula("F_avg = q F_max", gives="force", cite="Carrion et al., IJERPH 17(20):7647 (2020), abstract; read")
def average_from_peak(peak: float, ratio: float = 0.875) -> float:
    """Average force estimated from the peak of an energy-absorbing lanyard.

    Measured in 20 drops of 100 kg, worst-case fall, lanyards only; an estimate for explaining. Never the other way
    round: the anchorage sees the peak.

    Example:

    >>> average_from_peak(6000.0)
    5250.0

    Source: Carrion, Saez, Pomares, Gonzalez, Int. J. Environ. Res. Public Health 17(20):7647, 2020, abstract; basis:
    read.
    """
    positive(peak=peak, ratio=ratio)
    if ratio > 1:
        raise CalcError(f"ratio is {ratio:.6g}; it must be at most 1, since an average cannot exceed the peak")
    return peak * ratio


@formula(
    "F_test = k F_body", gives="force", cite="29 CFR 1926 Subpart M Appendix C (1994), I(d); memory", factor="rigid_force_factor"
)
def rigid_test_force(body_force: float, factor: float) -> float:
    """Force limit of a test with a rigid weight from the limit on a person.

    The factor is 1 or more. The factor 1.4 is our division of the two limits printed in the appendix. Peak forces
    from methods that filter differently cannot be compared.

    Example: 1,800 lbf becomes 2,520 lbf in the appendix. Matches.

    >>> round(rigid_test_force(1800 * 4.4482216152605, 1.4) / 4.4482216152605)
    2520

    Source: US OSHA, 29 CFR 1926 Subpart M Appendix C, 59 FR 40672 (9 Aug 1994), I(d); basis: memory (read as quoted).
    """
    positive(body_force=body_force)
    _at_least_one(factor)
    return body_force * factor


@formula(
    "m_person = k m_rigid", gives="mass", cite="29 CFR 1926 Subpart M Appendix C (1994), I(d); memory", factor="rigid_mass_factor"
)
def person_mass(rigid_mass: float, factor: float) -> float:
    """Mass of the person that a rigid test mass stands for.

    The factor is 1 or more. Three generations of test stand for the same 310 lb person: 220 lb with 1.4, 282 lb with
    1.1, 310 lb with 1.0.

    Example: 282 lb with 1.1: 310 lb in print. Matches to the pound.

    >>> round(person_mass(282.0, 1.1))
    310

    Sources:
    - US OSHA, 29 CFR 1926 Subpart M Appendix C, 59 FR 40672 (9 Aug 1994), I(d); basis: memory.
    - Former Z359 committee member, question-and-answer page on regulatory history, undated; basis: read.
    """
    positive(rigid_mass=rigid_mass)
    _at_least_one(factor)
    return rigid_mass * factor


@formula("T = k_1 min(x, x_1) + k_2 max(0, x - x_1)", gives="force", cite=f"{_UP1}, 7.1; read", stretch="line_stretch")
def two_slope_force(stretch: float, knee: float, first_stiffness: float, second_stiffness: float) -> float:
    """Tension of an elastic line whose stiffness changes at a knee.

    A simple model of a line with an absorber that starts to open.

    Example: 16.7 m on 204 N/m to 4.88 m and 111 N/m beyond: 2.32 kN in print, 2.31 kN by exact arithmetic. Matches
    within the last digit of the source.

    >>> round(two_slope_force(16.7, 4.88, 204.0, 111.0), 2)
    2307.54

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 7.1, bungee-cord problem (a); basis:
    read.
    """
    not_negative(stretch=stretch, knee=knee, first_stiffness=first_stiffness, second_stiffness=second_stiffness)
    return first_stiffness * min(stretch, knee) + second_stiffness * max(0.0, stretch - knee)


@formula(
    "E = k_1 min(x, x_1)^2 / 2 + k_1 x_1 max(0, x - x_1) + k_2 max(0, x - x_1)^2 / 2",
    gives="energy",
    cite=f"{_UP1}, 7.1; read",
    stretch="line_stretch",
)
def two_slope_energy(stretch: float, knee: float, first_stiffness: float, second_stiffness: float) -> float:
    """Energy stored in an elastic line whose stiffness changes at a knee.

    The area under the tension; no losses.

    Example: Same cord as for the tension: 22.0 kJ in print. Matches.

    >>> round(two_slope_energy(16.7, 4.88, 204.0, 111.0) / 1000, 1)
    22.0

    Source: OpenStax, University Physics Volume 1, 2016 (web version), section 7.1, bungee-cord problem (b); basis:
    read.
    """
    not_negative(stretch=stretch, knee=knee, first_stiffness=first_stiffness, second_stiffness=second_stiffness)
    first, beyond = min(stretch, knee), max(0.0, stretch - knee)
    return first_stiffness * (first * first / 2.0 + knee * beyond) + second_stiffness * beyond * beyond / 2.0


@formula("h = h_ff + e", gives="length", cite="geometry, own derivation; derived")
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


@formula("v = sqrt(2 g s sin(beta))", gives="speed", cite=f"{_UP1}, 5.5 and 3.5; read")
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


@formula("mu = tan(beta) - v_lock^2 / (2 g s cos(beta))", gives="ratio", cite=f"{_UP1}, 6.2 and 3.5; read")
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


@formula("AD_min = s_lock + m g s_lock / (F - m g)", gives="length", cite="energy balance, own derivation; derived")
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


@formula("FF = b + s_lock to 2 b + s_lock", gives="length", cite="own derivation; derived")
def free_fall_below_anchor(depth: float, lock_distance: float) -> tuple[float, float]:
    """Bounds of the free fall with a self-retracting device anchored below the D-ring.

    Gives the lower and the upper bound of the free fall. Lower if the slack is fully retracted on the way down, upper if not
    at all: use the upper. A device for overhead use only must not be anchored below the D-ring.

    Example: Anchorage 5 ft below, 0.3 ft to lock-up (own figures).

    >>> low, high = free_fall_below_anchor(5.0, 0.3)
    >>> round(low, 6), round(high, 6)
    (5.3, 10.3)

    Source: Own derivation; basis: derived.
    """
    not_negative(depth=depth, lock_distance=lock_distance)
    return depth + lock_distance, 2.0 * depth + lock_distance


def _at_most_right(slope: float) -> None:
    if slope > math.pi / 2:
        raise CalcError(f"slope is {math.degrees(slope):.6g} degrees; it must be at most 90 degrees")


def _at_least_one(factor: float) -> None:
    positive(factor=factor)
    if factor < 1:
        raise CalcError(f"factor is {factor:.6g}; it must be 1 or more, since a rigid mass hits harder than a person")
