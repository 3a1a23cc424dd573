"""Anchorage demand, deflection of a rail, and the horizontal lifeline as a line of two straight segments."""

import math

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import counts, not_negative, positive
from docgen.frozen import frozen

__all__ = [
    "Lifeline",
    "bending_moment_midspan",
    "bending_stress",
    "cantilever_deflection",
    "elastic_stretch",
    "engineered_load",
    "lifeline_angle",
    "lifeline_sag",
    "lifeline_tension",
    "midspan_deflection",
    "prescriptive_load",
    "solve_lifeline",
]

_BEAM = "standard beam formula (Euler-Bernoulli), checked by integration in the tests; memory"
_CP2 = "OpenStax College Physics 2e (2022)"

_P = ("P", "force", "arrest load on the rail")
_E = ("E", "stress", "elastic modulus")
_I = ("I", "second_moment", "second moment of area")
_T = ("T", "force", "tension of the line")
_span = ("l", "length", "span between the end anchorages")


@frozen
class Lifeline:
    """A loaded horizontal lifeline at rest: sag [m], angle below the horizontal [rad], tension [N], line length [m]."""

    sag: float
    angle: float
    tension: float
    length: float


@formula(
    symbol="R",
    text="R = n R_1",
    where={
        "users": ("n", "count", "users attached to the anchorage"),
        "per_user": ("R_1", "force", "strength that the rule asks per attached user"),
    },
    gives="force",
    cite="product of the terms, figure of the rule in force; derived",
    meaning="anchorage strength by the fixed figure of the rule",
)
def prescriptive_load(users: int, per_user: float) -> float:
    """Anchorage strength by a fixed figure per attached user (29 CFR 1926.502(d)(15); 1910.140(c)(13)).

    R = n R_1

    Parameters
    ----------
    users : int
        Users attached to the anchorage, 1 or more [-]
    per_user : float
        Strength that the rule in force asks per attached user [N]

    Returns
    -------
    float
        Required strength [N]

    Notes
    -----
    US rules multiply by the users. Others do not: Queensland asks 15 kN for one and 21 kN for two; take such figures
    from the rule itself with one user, never by a ratio.

    Examples
    --------
    >>> round(prescriptive_load(2, 5000 * 4.4482216152605) / 4.4482216152605)
    10000

    References
    ----------
    - US OSHA, 29 CFR 1926.502, 59 FR 40672 (1994), (d)(15); basis: memory (read as quoted in a letter of 18 Feb 1999).
    - Queensland, Work Health and Safety Regulation 2011, consolidated, s 306I(2); basis: read.
    """
    counts(1, users=users)
    positive(per_user=per_user)
    return users * per_user


@formula(
    symbol="R",
    text="R = k MAF n",
    where={
        "arrest_force": ("MAF", "force", "maximum arrest force of the device (its peak)"),
        "users": ("n", "count", "users attached to the anchorage"),
        "factor": ("k", "ratio", "safety factor on force"),
    },
    gives="force",
    cite="product of the terms, factor of the rule in force; derived",
    meaning="anchorage strength by a safety factor on the maximum arrest force",
)
def engineered_load(arrest_force: float, users: int, factor: float = 2) -> float:
    """Anchorage strength by a safety factor on the maximum arrest force (29 CFR 1926.502(d)(15)(i)).

    R = k MAF n

    Parameters
    ----------
    arrest_force : float
        Maximum arrest force of the device, its peak [N]
    users : int
        Users attached to the anchorage, 1 or more [-]
    factor : float
        Safety factor on force, 1 or more [-]

    Returns
    -------
    float
        Required strength [N]

    Notes
    -----
    As part of a complete system under the supervision of a qualified person, who alone may show a smaller load for
    several users. The factor goes on force, not on energy, and on the peak, not on an average.

    Examples
    --------
    1,800 lbf with a factor of 2: 3,600 lbf in print. Matches.

    >>> round(engineered_load(1800 * 4.4482216152605, 1) / 4.4482216152605)
    3600

    References
    ----------
    - US OSHA, 29 CFR 1926.502, 59 FR 40672 (1994), (d)(15)(i); basis: memory.
    - US OSHA, standard interpretation on the safety factor, 9 Feb 1995, whole letter; basis: read.
    - Structural engineer, forum thread on anchorage design, undated; basis: read.
    """
    counts(1, users=users)
    positive(arrest_force=arrest_force, factor=factor)
    if factor < 1:
        raise CalcError(f"safety factor is {factor:.6g}; it must be 1 or more")
    return factor * arrest_force * users


@formula(
    symbol="SD",
    text="SD = P l^3 / (48 E I)",
    where={"load": _P, "span": ("l", "length", "span of the rail"), "modulus": _E, "second_moment": _I},
    gives="length",
    cite=_BEAM,
    meaning="deflection at midspan of a simply supported rail",
)
def midspan_deflection(load: float, span: float, modulus: float, second_moment: float) -> float:
    """Elastic deflection of a simply supported rail under a load at midspan (Euler-Bernoulli beam).

    SD = P l^3 / (48 E I)

    Parameters
    ----------
    load : float
        Arrest load on the rail [N]
    span : float
        Span of the rail [m]
    modulus : float
        Elastic modulus [N/m^2]
    second_moment : float
        Second moment of area [m^4]

    Returns
    -------
    float
        Deflection [m]

    Notes
    -----
    At the arrest peak, not at body weight. Supports and structure give way as well: add their part. The designer's
    figure goes before this one.

    Examples
    --------
    >>> round(midspan_deflection(8000.0, 6.0, 200e9, 8e-6), 6)
    0.0225

    References
    ----------
    - Euler-Bernoulli beam, any handbook of structural mechanics; basis: memory, checked by integration.
    """
    not_negative(load=load, span=span)
    positive(modulus=modulus, second_moment=second_moment)
    return load * span**3 / (48.0 * modulus * second_moment)


@formula(
    symbol="SD",
    text="SD = P a^3 / (3 E I)",
    where={"load": _P, "length": ("a", "length", "length of the cantilever"), "modulus": _E, "second_moment": _I},
    gives="length",
    cite=_BEAM,
    meaning="deflection at the end of a cantilever rail",
)
def cantilever_deflection(load: float, length: float, modulus: float, second_moment: float) -> float:
    """Elastic deflection at the free end of a cantilever rail (Euler-Bernoulli beam).

    SD = P a^3 / (3 E I)

    Parameters
    ----------
    load : float
        Arrest load on the rail [N]
    length : float
        Length of the cantilever [m]
    modulus : float
        Elastic modulus [N/m^2]
    second_moment : float
        Second moment of area [m^4]

    Returns
    -------
    float
        Deflection [m]

    Notes
    -----
    Rigid support assumed; the turning of a real support adds to it.

    Examples
    --------
    >>> round(cantilever_deflection(8000.0, 1.5, 200e9, 8e-6), 6)
    0.005625

    References
    ----------
    - Euler-Bernoulli beam, any handbook of structural mechanics; basis: memory, checked by integration.
    """
    not_negative(load=load, length=length)
    positive(modulus=modulus, second_moment=second_moment)
    return load * length**3 / (3.0 * modulus * second_moment)


@formula(
    symbol="M",
    text="M = P l / 4",
    where={"load": _P, "span": ("l", "length", "span of the rail")},
    gives="moment",
    cite=_BEAM,
    meaning="bending moment at midspan of a simply supported rail",
)
def bending_moment_midspan(load: float, span: float) -> float:
    """Bending moment of a simply supported rail under a load at midspan (Euler-Bernoulli beam).

    M = P l / 4

    Parameters
    ----------
    load : float
        Arrest load on the rail [N]
    span : float
        Span of the rail [m]

    Returns
    -------
    float
        Bending moment [N m]

    Notes
    -----
    An engineer's check; the plan quotes the engineer.

    Examples
    --------
    >>> bending_moment_midspan(8000.0, 6.0)
    12000.0

    References
    ----------
    - Statics of a simply supported beam, any handbook of structural mechanics; basis: memory.
    """
    not_negative(load=load, span=span)
    return load * span / 4.0


@formula(
    symbol="sigma",
    text="sigma = M / S_x",
    where={
        "moment": ("M", "moment", "bending moment"),
        "section_modulus": ("S_x", "section_modulus", "elastic section modulus"),
    },
    gives="stress",
    cite=_BEAM,
    meaning="bending stress",
)
def bending_stress(moment: float, section_modulus: float) -> float:
    """Elastic bending stress (Euler-Bernoulli beam).

    sigma = M / S_x

    Parameters
    ----------
    moment : float
        Bending moment [N m]
    section_modulus : float
        Elastic section modulus [m^3]

    Returns
    -------
    float
        Stress [N/m^2]

    Notes
    -----
    An engineer's check; lateral buckling, flange bending under the trolley and connections are not in it.

    Examples
    --------
    >>> round(bending_stress(12000.0, 1e-4) / 1e6, 6)
    120.0

    References
    ----------
    - Euler-Bernoulli beam, any handbook of structural mechanics; basis: memory.
    """
    not_negative(moment=moment)
    positive(section_modulus=section_modulus)
    return moment / section_modulus


@formula(
    symbol="T",
    text="T = F / (2 sin(theta))",
    where={
        "load": ("F", "force", "load at the middle of the line"),
        "sag_angle": ("theta", "angle", "angle of the line below the horizontal"),
    },
    gives="force",
    cite="29 CFR 1926 Subpart M Appendix C (1994), II(h); read in reproductions",
    meaning="tension of a horizontal lifeline loaded in the middle",
)
def lifeline_tension(load: float, sag_angle: float) -> float:
    """Tension of a symmetric horizontal lifeline (29 CFR 1926 Subpart M Appendix C; OpenStax, College Physics 2e, 4.5).

    T = F / (2 sin(theta))

    Parameters
    ----------
    load : float
        Load at the middle of the line [N]
    sag_angle : float
        Angle of the line below the horizontal, above zero, at most a right angle [rad]

    Returns
    -------
    float
        Tension [N]

    Notes
    -----
    A tight line multiplies the load: about twice at 15 degrees, more than fifteen times below 2 degrees. A rigid rail
    does not.

    Examples
    --------
    15 degrees: about 2 to 1 in the appendix. Matches.

    >>> round(lifeline_tension(1.0, math.radians(15)), 2)
    1.93

    References
    ----------
    - US OSHA, 29 CFR 1926 Subpart M Appendix C, 59 FR 40672 (9 Aug 1994), II(h); basis: read (in reproductions).
    - OpenStax, College Physics 2e, 2022 (web version), section 4.5, tightrope; basis: read.
    """
    not_negative(load=load)
    positive(sag_angle=sag_angle)
    if sag_angle > math.pi / 2:
        raise CalcError(f"sag angle is {math.degrees(sag_angle):.6g} degrees; it must be at most 90 degrees")
    return load / (2.0 * math.sin(sag_angle))


@formula(
    symbol="dL",
    text="dL = T L / (A E)",
    where={
        "tension": _T,
        "length": ("L", "length", "length without load"),
        "area": ("A", "area", "cross-section of the line"),
        "modulus": _E,
    },
    gives="length",
    cite=f"{_CP2}, 5.3; read",
    meaning="elastic stretch of a line",
)
def elastic_stretch(tension: float, length: float, area: float, modulus: float) -> float:
    """Elastic stretch of a line (OpenStax, College Physics 2e, 5.3).

    dL = T L / (A E)

    Parameters
    ----------
    tension : float
        Tension of the line [N]
    length : float
        Length without load [m]
    area : float
        Cross-section of the line [m^2]
    modulus : float
        Elastic modulus [N/m^2]

    Returns
    -------
    float
        Stretch [m]

    Notes
    -----
    Stretch of a line is not deceleration distance in the US rules, but it is clearance. Ropes are stiffer after use and
    are not linear: take the maker's modulus.

    Examples
    --------
    65 kg on 35 m of 8 mm rope at 5 GPa: 9 cm in print. Matches.

    >>> round(elastic_stretch(65 * 9.8, 35.0, math.pi * 0.004**2, 5e9), 2)
    0.09

    References
    ----------
    - OpenStax, College Physics 2e, 2022 (web version), section 5.3, mountain-climber problem (a); basis: read.
    """
    not_negative(tension=tension, length=length)
    positive(area=area, modulus=modulus)
    return tension * length / (area * modulus)


@formula(
    symbol="f",
    text="f = sqrt((L / 2)^2 - (l / 2)^2)",
    where={"line_length": ("L", "length", "length of the loaded line"), "span": _span},
    gives="length",
    cite="geometry, own derivation; derived",
    meaning="sag of a horizontal lifeline loaded in the middle",
)
def lifeline_sag(line_length: float, span: float) -> float:
    """Sag of a line pulled into two straight segments by a load in the middle (geometry, own derivation).

    f = sqrt((L / 2)^2 - (l / 2)^2)

    Parameters
    ----------
    line_length : float
        Length of the loaded line, at least the span [m]
    span : float
        Span between the end anchorages, above zero [m]

    Returns
    -------
    float
        Sag [m]

    Notes
    -----
    Weight of the line left out. A line shorter than the span raises CalcError. The sag is part of the clearance needed.

    Examples
    --------
    >>> lifeline_sag(10.0, 8.0)
    3.0

    References
    ----------
    - Own derivation (Pythagoras); basis: derived.
    """
    positive(line_length=line_length, span=span)
    if line_length < span:
        raise CalcError(f"line length is {line_length:.6g} m; it must be at least the span of {span:.6g} m")
    return math.sqrt((line_length - span) * (line_length + span)) / 2.0


@formula(
    symbol="theta",
    text="theta = acos(l / L)",
    where={"line_length": ("L", "length", "length of the loaded line"), "span": _span},
    gives="angle",
    cite="geometry, own derivation; derived",
    meaning="angle of a horizontal lifeline below the horizontal",
)
def lifeline_angle(line_length: float, span: float) -> float:
    """Angle below the horizontal of a line pulled into two straight segments (geometry, own derivation).

    theta = acos(l / L)

    Parameters
    ----------
    line_length : float
        Length of the loaded line, at least the span [m]
    span : float
        Span between the end anchorages, above zero [m]

    Returns
    -------
    float
        Angle below the horizontal [rad]

    Notes
    -----
    Weight of the line left out.

    Examples
    --------
    >>> round(math.degrees(lifeline_angle(10.0, 8.0)), 2)
    36.87

    References
    ----------
    - Own derivation; basis: derived.
    """
    return math.atan2(lifeline_sag(line_length, span), span / 2.0)


@formula(
    symbol="f",
    text="f = l tan(theta) / 2, with theta solving l / cos(theta) = L_0 (1 + F / (2 A E sin(theta)))",
    where={
        "load": ("F", "force", "load at the middle of the line"),
        "span": _span,
        "unstretched_length": ("L_0", "length", "length of the line without load"),
        "area": ("A", "area", "cross-section of the line"),
        "modulus": _E,
    },
    gives="length",
    cite="equilibrium, geometry and Hooke's law, own derivation; derived",
    meaning="sag of an elastic horizontal lifeline loaded in the middle",
)
def solve_lifeline(load: float, span: float, unstretched_length: float, area: float, modulus: float) -> Lifeline:
    """Sag, angle and tension of an elastic horizontal lifeline loaded in the middle (own derivation).

    l / cos(theta) = L_0 (1 + F / (2 A E sin(theta))), then T = F / (2 sin(theta)) and f = l tan(theta) / 2

    Parameters
    ----------
    load : float
        Load at the middle of the line, above zero [N]
    span : float
        Span between the end anchorages [m]
    unstretched_length : float
        Length of the line without load; shorter than the span means pretension [m]
    area : float
        Cross-section of the line [m^2]
    modulus : float
        Elastic modulus [N/m^2]

    Returns
    -------
    Lifeline
        Sag [m], angle below the horizontal [rad], tension [N] and loaded length [m]

    Notes
    -----
    A static load on two straight segments, without an energy absorber in the line: explanation, not design. A
    horizontal lifeline is designed by a qualified person. The equation has exactly one root between 0 and 90 degrees;
    it is halved down to the last digit.

    Examples
    --------
    10 m span, just taut, 8 mm steel line, 6 kN (own figures): its tension is 4.7 times the load.

    >>> line = solve_lifeline(6000.0, 10.0, 10.0, math.pi * 0.004**2, 100e9)
    >>> round(line.sag, 3), round(math.degrees(line.angle), 2), round(line.tension / 6000.0, 2)
    (0.532, 6.07, 4.73)

    References
    ----------
    - Own derivation, checked by a root finder on geometry and Hooke's law; basis: derived.
    """
    positive(load=load, span=span, unstretched_length=unstretched_length, area=area, modulus=modulus)
    low, high = 0.0, math.pi / 2
    while (angle := (low + high) / 2) not in (low, high):
        stretched = unstretched_length * (1.0 + load / (2.0 * math.sin(angle) * area * modulus))
        if span / math.cos(angle) < stretched:
            low = angle
        else:
            high = angle
    return Lifeline(span * math.tan(angle) / 2.0, angle, lifeline_tension(load, angle), span / math.cos(angle))
