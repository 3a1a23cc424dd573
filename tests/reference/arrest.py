"""The fall and its arrest: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

import math

from docgen.calc import CalcError, G
from docgen.calc.guard import not_negative, positive

__all__ = [
    "average_force",
    "average_from_peak",
    "deceleration",
    "energy",
    "fall_distance",
    "fall_speed",
    "fall_speed_after",
    "fall_time",
    "free_fall_below_anchor",
    "lock_time",
    "net_force",
    "peak_force_spring",
    "person_mass",
    "rigid_test_force",
    "two_slope_energy",
    "two_slope_force",
]


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


def _at_least_one(factor: float) -> None:
    positive(factor=factor)
    if factor < 1:
        raise CalcError(f"factor is {factor:.6g}; it must be 1 or more, since a rigid mass hits harder than a person")
