"""The fall and its arrest: lock-up, speed and time, force and energy, braking distance, anchorage below the D-ring."""

import math

from docgen.calc import CalcError, G
from docgen.calc.formula import GRAVITY, formula
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
    "two_slope_energy",
    "two_slope_force",
]

_UP1 = "OpenStax University Physics 1 (2016)"
_CP2 = "OpenStax College Physics 2e (2022)"

_m = ("m", "mass", "user with clothing, equipment and tools")
_h_ff = ("h_ff", "length", "free fall before the brake acts")
_d = ("d", "length", "braking distance")
_v_0 = ("v_0", "speed", "speed at the start")


@formula(
    symbol="s_lock",
    text="s_lock = v_lock^2 / (2 g cos(theta)^2)",
    where={
        "lock_speed": ("v_lock", "speed", "line speed at which the device locks"),
        "line_angle": ("theta", "angle", "angle of the line from the vertical"),
        "g": GRAVITY,
    },
    gives="length",
    cite=f"{_UP1}, 3.5; read. Angle: own derivation; derived",
    meaning="fall before the brake acts",
)
def lock_distance(lock_speed: float, line_angle: float = 0.0, g: float = G) -> float:
    """Fall until the line is fast enough to lock the device (OpenStax, University Physics 1, 3.5; angle: derived).

    s_lock = v_lock^2 / (2 g cos(theta)^2)

    Parameters
    ----------
    lock_speed : float
        Line speed at which the device locks [m/s]
    line_angle : float
        Angle of the line from the vertical, less than a right angle [rad]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Fall until lock-up [m]

    Notes
    -----
    Exact for a vertical line; at an angle slightly high (4 percent at 45 degrees), because the angle shrinks during the
    fall. Sudden fall only: someone who sinks slowly may never lock the device. 4.5 ft/s is a common lock speed
    without a published source; the labelled arrest distance already includes this distance.

    Examples
    --------
    4.00 m/s corresponds to 0.82 m in print. Matches. 4.5 ft/s gives 0.315 ft.

    >>> round(lock_distance(4.0, g=9.8), 2), round(lock_distance(4.5 * 0.3048) / 0.3048, 3)
    (0.82, 0.315)

    References
    ----------
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


@formula(
    symbol="t_lock",
    text="t_lock = v_lock / g",
    where={"lock_speed": ("v_lock", "speed", "line speed at which the device locks"), "g": GRAVITY},
    gives="time",
    cite=f"{_UP1}, 3.5; read",
    meaning="time until the brake acts",
)
def lock_time(lock_speed: float, g: float = G) -> float:
    """Time of the fall until the device locks, vertical line (OpenStax, University Physics 1, 3.5).

    t_lock = v_lock / g

    Parameters
    ----------
    lock_speed : float
        Line speed at which the device locks [m/s]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Time [s]

    Notes
    -----
    Sudden fall from rest.

    Examples
    --------
    >>> round(lock_time(4.5 * 0.3048), 2)
    0.14

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 3.5; basis: read.
    """
    not_negative(lock_speed=lock_speed)
    positive(g=g)
    return lock_speed / g


@formula(
    symbol="v",
    text="v = sqrt(v_0^2 + 2 g s)",
    where={"distance": ("s", "length", "height fallen"), "initial_speed": _v_0, "g": GRAVITY},
    gives="speed",
    cite=f"{_UP1}, 3.5; read",
    meaning="speed after a fall",
)
def fall_speed(distance: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Speed after falling a height, air resistance left out (OpenStax, University Physics 1, 3.5).

    v = sqrt(v_0^2 + 2 g s)

    Parameters
    ----------
    distance : float
        Height fallen [m]
    initial_speed : float
        Speed at the start [m/s]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Speed [m/s]

    Notes
    -----
    Squares are added, not speeds.

    Examples
    --------
    98 m from 4.9 m/s: 44.1 m/s in print. Matches.

    >>> round(fall_speed(98.0, 4.9, g=9.8), 1)
    44.1

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 3.5, free fall of a ball; basis: read.
    """
    not_negative(distance=distance, initial_speed=initial_speed)
    positive(g=g)
    return math.sqrt(initial_speed * initial_speed + 2.0 * g * distance)


@formula(
    symbol="v",
    text="v = v_0 + g t",
    where={"time": ("t", "time", "time of the fall"), "initial_speed": _v_0, "g": GRAVITY},
    gives="speed",
    cite=f"{_UP1}, 3.5; read",
    meaning="speed after a time",
)
def fall_speed_after(time: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Speed after falling for a time, air resistance left out (OpenStax, University Physics 1, 3.5).

    v = v_0 + g t

    Parameters
    ----------
    time : float
        Time of the fall [s]
    initial_speed : float
        Speed at the start [m/s]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Speed [m/s]

    Notes
    -----
    A printed university table uses 32 ft/s^2 and whole feet.

    Examples
    --------
    0.5 s: 16 ft/s in print. Matches.

    >>> round(fall_speed_after(0.5) / 0.3048)
    16

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 3.5; basis: read.
    - Virginia Tech EHS, table of fall forces, undated, as reproduced by a search-and-rescue group; basis: read.
    """
    not_negative(time=time, initial_speed=initial_speed)
    positive(g=g)
    return initial_speed + g * time


@formula(
    symbol="t",
    text="t = (sqrt(v_0^2 + 2 g s) - v_0) / g",
    where={"distance": ("s", "length", "height fallen"), "initial_speed": _v_0, "g": GRAVITY},
    gives="time",
    cite=f"{_UP1}, 3.5; read",
    meaning="time of a fall",
)
def fall_time(distance: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Time to fall a height, air resistance left out (OpenStax, University Physics 1, 3.5).

    t = (sqrt(v_0^2 + 2 g s) - v_0) / g

    Parameters
    ----------
    distance : float
        Height fallen [m]
    initial_speed : float
        Speed at the start [m/s]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Time [s]

    Notes
    -----
    From rest it is sqrt(2 s / g).

    Examples
    --------
    30.0 m: 2.47 s in print. Matches.

    >>> round(fall_time(30.0, g=9.8), 2)
    2.47

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 3.5, check your understanding; basis: read.
    """
    return (fall_speed(distance, initial_speed, g) - initial_speed) / g


@formula(
    symbol="s",
    text="s = v_0 t + g t^2 / 2",
    where={"time": ("t", "time", "time of the fall"), "initial_speed": _v_0, "g": GRAVITY},
    gives="length",
    cite=f"{_UP1}, 3.5; read",
    meaning="height fallen in a time",
)
def fall_distance(time: float, initial_speed: float = 0.0, g: float = G) -> float:
    """Height fallen in a time, air resistance left out (OpenStax, University Physics 1, 3.5).

    s = v_0 t + g t^2 / 2

    Parameters
    ----------
    time : float
        Time of the fall [s]
    initial_speed : float
        Speed at the start [m/s]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Height fallen [m]

    Notes
    -----
    Good to a few metres; air resistance matters far beyond any arrested fall.

    Examples
    --------
    1.8 s from 1.4 m/s: 18.4 m in print. Matches.

    >>> round(fall_distance(1.8, 1.4, g=9.8), 1)
    18.4

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 3.5, rescue-helicopter problem; basis: read.
    """
    not_negative(time=time, initial_speed=initial_speed)
    positive(g=g)
    return initial_speed * time + g * time * time / 2.0


@formula(
    symbol="E",
    text="E = m g (h_ff + d)",
    where={"mass": _m, "free_fall": _h_ff, "braking": _d, "g": GRAVITY},
    gives="energy",
    cite=f"{_CP2}, 7.8; read",
    meaning="energy to be absorbed",
)
def energy(mass: float, free_fall: float, braking: float, g: float = G) -> float:
    """Energy that the arrest has to absorb (OpenStax, College Physics 2e, 7.8, work and energy of a stop).

    E = m g (h_ff + d)

    Parameters
    ----------
    mass : float
        User with clothing, equipment and tools [kg]
    free_fall : float
        Free fall before the brake acts [m]
    braking : float
        Braking distance [m]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Energy [J]

    Notes
    -----
    The weight keeps working during the braking. The US factor of two for anchorages goes on force, not on energy.

    Examples
    --------
    >>> energy(100.0, 1.0, 0.5, g=10.0)
    1500.0

    References
    ----------
    - OpenStax, College Physics 2e, 2022 (web version), section 7.8, jump problem; basis: read.
    """
    positive(mass=mass, g=g)
    not_negative(free_fall=free_fall, braking=braking)
    return mass * g * (free_fall + braking)


@formula(
    symbol="F_avg",
    text="F_avg = m g (1 + h_ff / d)",
    where={"mass": _m, "free_fall": _h_ff, "braking": _d, "g": GRAVITY},
    gives="force",
    cite=f"{_CP2}, 7.8; read",
    meaning="average force on the person, weight included",
)
def average_force(mass: float, free_fall: float, braking: float, g: float = G) -> float:
    """Average force on the person during the stop, weight included (OpenStax, College Physics 2e, 7.8).

    F_avg = m g (1 + h_ff / d)

    Parameters
    ----------
    mass : float
        User with clothing, equipment and tools [kg]
    free_fall : float
        Free fall before the brake acts [m]
    braking : float
        Braking distance, above zero [m]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Average force [N]

    Notes
    -----
    Rigid body, constant force; an explanation, never a substitute for the tested figures of the device. An average is
    not the peak that rules limit. The short form m g h_ff / d leaves out one body weight.

    Examples
    --------
    80 kg, 0.6 m, stop in 0.300 m: 2.35 kN in print. Matches.

    >>> round(average_force(80.0, 0.6, 0.3, g=9.8))
    2352

    References
    ----------
    - OpenStax, College Physics 2e, 2022 (web version), section 7.8, jump problem (b); basis: read.
    """
    positive(mass=mass, braking=braking, g=g)
    not_negative(free_fall=free_fall)
    return mass * g * (1.0 + free_fall / braking)


@formula(
    symbol="d",
    text="d = m g h_ff / (F - m g)",
    where={
        "mass": _m,
        "free_fall": _h_ff,
        "force": ("F", "force", "average braking force on the person, weight included"),
        "g": GRAVITY,
    },
    gives="length",
    cite=f"{_CP2}, 7.8; read",
    meaning="braking distance at constant force",
)
def braking_distance(mass: float, free_fall: float, force: float, g: float = G) -> float:
    """Braking distance at a constant force (energy balance of OpenStax, College Physics 2e, 7.8).

    d = m g h_ff / (F - m g)

    Parameters
    ----------
    mass : float
        User with clothing, equipment and tools [kg]
    free_fall : float
        Free fall before the brake acts [m]
    force : float
        Average braking force on the person, weight included; above the weight [N]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Braking distance [m]

    Notes
    -----
    A force at or below the weight never stops the fall and raises CalcError.

    Examples
    --------
    310 lb, 6 ft, 900 lbf: 3.15 ft by own derivation, inside the 3.5 ft of the US rules.

    >>> round(braking_distance(310 * 0.45359237, 6 * 0.3048, 900 * 4.4482216152605) / 0.3048, 2)
    3.15

    References
    ----------
    - OpenStax, College Physics 2e, 2022 (web version), section 7.8; basis: read (energy balance), derived (solved for
      d).
    """
    positive(mass=mass, force=force, g=g)
    not_negative(free_fall=free_fall)
    weight = mass * g
    if force <= weight:
        raise CalcError(f"braking force is {force:.6g} N; it must be above the weight of {weight:.6g} N")
    return weight * free_fall / (force - weight)


@formula(
    symbol="F_net",
    text="F_net = m v^2 / (2 d)",
    where={"mass": _m, "speed": ("v", "speed", "speed when the brake acts"), "braking": _d},
    gives="force",
    cite=f"{_UP1}, 9 challenge problem; read",
    meaning="net braking force, weight not included",
)
def net_force(mass: float, speed: float, braking: float) -> float:
    """Net force of a stop from its speed, weight not included (OpenStax, University Physics 1, chapter 9).

    F_net = m v^2 / (2 d)

    Parameters
    ----------
    mass : float
        User with clothing, equipment and tools [kg]
    speed : float
        Speed when the brake acts [m/s]
    braking : float
        Braking distance, above zero [m]

    Returns
    -------
    float
        Net force [N]

    Notes
    -----
    The force on the person is this plus the weight; say which one is printed.

    Examples
    --------
    65 kg at 9.0 m/s over 0.50 m: 5265 N in print. Matches.

    >>> net_force(65.0, 9.0, 0.5)
    5265.0

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), chapter 9, challenge problem (c); basis: read.
    """
    positive(mass=mass, braking=braking)
    not_negative(speed=speed)
    return mass * speed * speed / (2.0 * braking)


@formula(
    symbol="a",
    text="a = g h_ff / d",
    where={"free_fall": _h_ff, "braking": _d, "g": GRAVITY},
    gives="acceleration",
    cite=f"{_CP2}, 2.5; read",
    meaning="average deceleration of the stop",
)
def deceleration(free_fall: float, braking: float, g: float = G) -> float:
    """Average deceleration of a stop after a free fall (OpenStax, College Physics 2e, 2.5).

    a = g h_ff / d

    Parameters
    ----------
    free_fall : float
        Free fall before the brake acts [m]
    braking : float
        Braking distance, above zero [m]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Deceleration [m/s^2]

    Notes
    -----
    Of the motion; what the person feels is one g more.

    Examples
    --------
    3.0 m fall, stop in 2.0 cm: 15 x 10^2 m/s^2 in print, to two figures. Matches.

    >>> round(deceleration(3.0, 0.02, g=9.8))
    1470

    References
    ----------
    - OpenStax, College Physics 2e, 2022 (web version), section 2.5, squirrel problem (b); basis: read.
    """
    positive(braking=braking, g=g)
    not_negative(free_fall=free_fall)
    return g * free_fall / braking


@formula(
    symbol="F_peak",
    text="F_peak = m g + sqrt((m g)^2 + 2 k m g h_ff)",
    where={
        "mass": _m,
        "free_fall": _h_ff,
        "stiffness": ("k", "stiffness", "stiffness of the line"),
        "g": GRAVITY,
    },
    gives="force",
    cite="energy balance of a linear spring, own derivation; derived",
    meaning="peak force of a linear elastic line",
)
def peak_force_spring(mass: float, free_fall: float, stiffness: float, g: float = G) -> float:
    """Peak force of a fall into a linear elastic line without absorber (energy balance, own derivation).

    F_peak = m g + sqrt((m g)^2 + 2 k m g h_ff)

    Parameters
    ----------
    mass : float
        User with clothing, equipment and tools [kg]
    free_fall : float
        Free fall before the line is taut [m]
    stiffness : float
        Stiffness of the line [N/m]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Peak force [N]

    Notes
    -----
    Even without free fall the peak is twice the weight. No damping.

    Examples
    --------
    >>> round(peak_force_spring(100.0, 0.0, 5000.0) / (100.0 * G), 6)
    2.0

    References
    ----------
    - Own derivation, checked by symbolic solution of the energy balance; basis: derived.
    """
    positive(mass=mass, stiffness=stiffness, g=g)
    not_negative(free_fall=free_fall)
    weight = mass * g
    return weight + math.sqrt(weight * weight + 2.0 * stiffness * weight * free_fall)


@formula(
    symbol="F_avg",
    text="F_avg = q F_max",
    where={
        "peak": ("F_max", "force", "maximum arrest force"),
        "ratio": ("q", "ratio", "measured average over maximum"),
    },
    gives="force",
    cite="Carrion et al., IJERPH 17(20):7647 (2020), abstract; read",
    meaning="average force estimated from the peak",
)
def average_from_peak(peak: float, ratio: float = 0.875) -> float:
    """Average force estimated from the peak of an energy-absorbing lanyard (Carrion et al. 2020).

    F_avg = q F_max

    Parameters
    ----------
    peak : float
        Maximum arrest force [N]
    ratio : float
        Measured average over maximum, from above 0 to 1 [-]

    Returns
    -------
    float
        Average force [N]

    Notes
    -----
    Measured in 20 drops of 100 kg, worst-case fall, lanyards only; an estimate for explaining. Never the other way
    round: the anchorage sees the peak.

    Examples
    --------
    >>> average_from_peak(6000.0)
    5250.0

    References
    ----------
    - Carrion, Saez, Pomares, Gonzalez, Int. J. Environ. Res. Public Health 17(20):7647, 2020, abstract; basis: read.
    """
    positive(peak=peak, ratio=ratio)
    if ratio > 1:
        raise CalcError(f"ratio is {ratio:.6g}; it must be at most 1, since an average cannot exceed the peak")
    return peak * ratio


@formula(
    symbol="F_test",
    text="F_test = k F_body",
    where={
        "body_force": ("F_body", "force", "limit on a person"),
        "factor": ("k", "ratio", "rigid test weight against a person"),
    },
    gives="force",
    cite="29 CFR 1926 Subpart M Appendix C (1994), I(d); memory",
    meaning="limit recorded with a rigid test weight",
)
def rigid_test_force(body_force: float, factor: float) -> float:
    """Force limit of a test with a rigid weight from the limit on a person (29 CFR 1926 Subpart M Appendix C).

    F_test = k F_body

    Parameters
    ----------
    body_force : float
        Limit on a person [N]
    factor : float
        Rigid weight against a person, 1 or more [-]

    Returns
    -------
    float
        Limit recorded in the test [N]

    Notes
    -----
    The factor 1.4 is our division of the two limits printed in the appendix. Peak forces from methods that filter
    differently cannot be compared.

    Examples
    --------
    1,800 lbf becomes 2,520 lbf in the appendix. Matches.

    >>> round(rigid_test_force(1800 * 4.4482216152605, 1.4) / 4.4482216152605)
    2520

    References
    ----------
    - US OSHA, 29 CFR 1926 Subpart M Appendix C, 59 FR 40672 (9 Aug 1994), I(d); basis: memory (read as quoted).
    """
    positive(body_force=body_force)
    _at_least_one(factor)
    return body_force * factor


@formula(
    symbol="m_person",
    text="m_person = k m_rigid",
    where={
        "rigid_mass": ("m_rigid", "mass", "rigid test mass"),
        "factor": ("k", "ratio", "person against rigid test mass"),
    },
    gives="mass",
    cite="29 CFR 1926 Subpart M Appendix C (1994), I(d); memory",
    meaning="person that a rigid test mass stands for",
)
def person_mass(rigid_mass: float, factor: float) -> float:
    """Mass of the person that a rigid test mass stands for (29 CFR 1926 Subpart M Appendix C).

    m_person = k m_rigid

    Parameters
    ----------
    rigid_mass : float
        Rigid test mass [kg]
    factor : float
        Person against rigid mass, 1 or more [-]

    Returns
    -------
    float
        Mass of the person [kg]

    Notes
    -----
    Three generations of test stand for the same 310 lb person: 220 lb with 1.4, 282 lb with 1.1, 310 lb with 1.0.

    Examples
    --------
    282 lb with 1.1: 310 lb in print. Matches to the pound.

    >>> round(person_mass(282.0, 1.1))
    310

    References
    ----------
    - US OSHA, 29 CFR 1926 Subpart M Appendix C, 59 FR 40672 (9 Aug 1994), I(d); basis: memory.
    - Former Z359 committee member, question-and-answer page on regulatory history, undated; basis: read.
    """
    positive(rigid_mass=rigid_mass)
    _at_least_one(factor)
    return rigid_mass * factor


_stretch = ("x", "length", "stretch of the line")
_knee = ("x_1", "length", "stretch at which the stiffness changes")
_k1 = ("k_1", "stiffness", "stiffness up to the knee")
_k2 = ("k_2", "stiffness", "stiffness beyond the knee")


@formula(
    symbol="T",
    text="T = k_1 min(x, x_1) + k_2 max(0, x - x_1)",
    where={"stretch": _stretch, "knee": _knee, "first_stiffness": _k1, "second_stiffness": _k2},
    gives="force",
    cite=f"{_UP1}, 7.1; read",
    meaning="tension of a line with two stiffnesses",
)
def two_slope_force(stretch: float, knee: float, first_stiffness: float, second_stiffness: float) -> float:
    """Tension of an elastic line whose stiffness changes at a knee (OpenStax, University Physics 1, 7.1).

    T = k_1 min(x, x_1) + k_2 max(0, x - x_1)

    Parameters
    ----------
    stretch : float
        Stretch of the line [m]
    knee : float
        Stretch at which the stiffness changes [m]
    first_stiffness : float
        Stiffness up to the knee [N/m]
    second_stiffness : float
        Stiffness beyond the knee [N/m]

    Returns
    -------
    float
        Tension [N]

    Notes
    -----
    A simple model of a line with an absorber that starts to open.

    Examples
    --------
    16.7 m on 204 N/m to 4.88 m and 111 N/m beyond: 2.32 kN in print, 2.31 kN by exact arithmetic. Matches within the
    last digit of the source.

    >>> round(two_slope_force(16.7, 4.88, 204.0, 111.0), 2)
    2307.54

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 7.1, bungee-cord problem (a); basis: read.
    """
    not_negative(stretch=stretch, knee=knee, first_stiffness=first_stiffness, second_stiffness=second_stiffness)
    return first_stiffness * min(stretch, knee) + second_stiffness * max(0.0, stretch - knee)


@formula(
    symbol="E",
    text="E = k_1 min(x, x_1)^2 / 2 + k_1 x_1 max(0, x - x_1) + k_2 max(0, x - x_1)^2 / 2",
    where={"stretch": _stretch, "knee": _knee, "first_stiffness": _k1, "second_stiffness": _k2},
    gives="energy",
    cite=f"{_UP1}, 7.1; read",
    meaning="energy stored in a line with two stiffnesses",
)
def two_slope_energy(stretch: float, knee: float, first_stiffness: float, second_stiffness: float) -> float:
    """Energy stored in an elastic line whose stiffness changes at a knee (OpenStax, University Physics 1, 7.1).

    E = k_1 min(x, x_1)^2 / 2 + k_1 x_1 max(0, x - x_1) + k_2 max(0, x - x_1)^2 / 2

    Parameters
    ----------
    stretch : float
        Stretch of the line [m]
    knee : float
        Stretch at which the stiffness changes [m]
    first_stiffness : float
        Stiffness up to the knee [N/m]
    second_stiffness : float
        Stiffness beyond the knee [N/m]

    Returns
    -------
    float
        Energy [J]

    Notes
    -----
    The area under the tension; no losses.

    Examples
    --------
    Same cord as for the tension: 22.0 kJ in print. Matches.

    >>> round(two_slope_energy(16.7, 4.88, 204.0, 111.0) / 1000, 1)
    22.0

    References
    ----------
    - OpenStax, University Physics Volume 1, 2016 (web version), section 7.1, bungee-cord problem (b); basis: read.
    """
    not_negative(stretch=stretch, knee=knee, first_stiffness=first_stiffness, second_stiffness=second_stiffness)
    first, beyond = min(stretch, knee), max(0.0, stretch - knee)
    return first_stiffness * (first * first / 2.0 + knee * beyond) + second_stiffness * beyond * beyond / 2.0


@formula(
    symbol="AD_min",
    text="AD_min = s_lock + m g s_lock / (F - m g)",
    where={
        "lock_distance": ("s_lock", "length", "fall before the brake acts"),
        "mass": _m,
        "force": ("F", "force", "average braking force on the person, weight included"),
        "g": GRAVITY,
    },
    gives="length",
    cite="energy balance, own derivation; derived",
    meaning="lower bound of the arrest distance",
)
def arrest_distance_lower_bound(lock_distance: float, mass: float, force: float, g: float = G) -> float:
    """Shortest arrest distance that physics allows at a constant brake force (energy balance, own derivation).

    AD_min = s_lock + m g s_lock / (F - m g)

    Parameters
    ----------
    lock_distance : float
        Fall before the brake acts [m]
    mass : float
        User with clothing, equipment and tools [kg]
    force : float
        Average braking force on the person, weight included; above the weight [N]
    g : float
        Acceleration of free fall [m/s^2]

    Returns
    -------
    float
        Lower bound of the arrest distance [m]

    Notes
    -----
    To test a figure read from a label, never to replace one: pawl, line stretch and harness make the real one longer.

    Examples
    --------
    310 lb, 0.315 ft to lock-up, 1,350 lbf (own figures): 0.41 ft.

    >>> foot, pound, lbf = 0.3048, 0.45359237, 4.4482216152605
    >>> round(arrest_distance_lower_bound(0.315 * foot, 310 * pound, 1350 * lbf) / foot, 2)
    0.41

    References
    ----------
    - Own derivation; basis: derived.
    """
    return lock_distance + braking_distance(mass, lock_distance, force, g)


@formula(
    symbol="FF",
    text="FF = b + s_lock to 2 b + s_lock",
    where={
        "depth": ("b", "length", "depth of the anchorage below the D-ring"),
        "lock_distance": ("s_lock", "length", "fall before the brake acts"),
    },
    gives="length",
    cite="own derivation; derived",
    meaning="free fall of a self-retracting device anchored below the D-ring",
)
def free_fall_below_anchor(depth: float, lock_distance: float) -> tuple[float, float]:
    """Bounds of the free fall with a self-retracting device anchored below the D-ring (own derivation).

    b + s_lock <= FF <= 2 b + s_lock

    Parameters
    ----------
    depth : float
        Depth of the anchorage below the D-ring [m]
    lock_distance : float
        Fall before the brake acts [m]

    Returns
    -------
    tuple[float, float]
        Lower and upper bound of the free fall [m]

    Notes
    -----
    Lower if the slack is fully retracted on the way down, upper if not at all: use the upper. A device for overhead use
    only must not be anchored below the D-ring.

    Examples
    --------
    Anchorage 5 ft below, 0.3 ft to lock-up (own figures).

    >>> low, high = free_fall_below_anchor(5.0, 0.3)
    >>> round(low, 6), round(high, 6)
    (5.3, 10.3)

    References
    ----------
    - Own derivation; basis: derived.
    """
    not_negative(depth=depth, lock_distance=lock_distance)
    return depth + lock_distance, 2.0 * depth + lock_distance


def _at_least_one(factor: float) -> None:
    positive(factor=factor)
    if factor < 1:
        raise CalcError(f"factor is {factor:.6g}; it must be 1 or more, since a rigid mass hits harder than a person")
