"""Anchorage demand, side load, deflection of a rail, and the horizontal lifeline as a line of two straight segments."""

import math

from docgen.calc import CalcError, G
from docgen.calc.formula import formula
from docgen.calc.guard import counts, not_negative, positive
from docgen.frozen import frozen

__all__ = [
    "Lifeline",
    "bending_stress",
    "deflection_at_load",
    "elastic_stretch",
    "engineered_load",
    "lifeline_angle",
    "lifeline_sag",
    "lifeline_tension",
    "midspan_deflection",
    "prescriptive_load",
    "second_load",
    "side_load",
    "solve_lifeline",
]


_BEAM = "standard beam formula (Euler-Bernoulli), checked by integration in the tests; memory"
_CP2 = "OpenStax College Physics 2e (2022)"


@frozen
class Lifeline:
    """A loaded horizontal lifeline at rest: sag [m], angle below the horizontal [rad], tension [N], line length [m]."""

    sag: float
    angle: float
    tension: float
    length: float


@formula("R = n R_1", gives="force", toward="up", cite="product of the terms, figure of the rule in force; derived")
def prescriptive_load(users: int, per_user: float) -> float:
    """Anchorage strength by a fixed figure per attached user.

    US rules multiply by the users. Others do not: Queensland asks 15 kN for one and 21 kN for two; take such figures
    from the rule itself with one user, never by a ratio.

    Example:

    >>> round(prescriptive_load(2, 5000 * 4.4482216152605) / 4.4482216152605)
    10000

    Sources:
    - US OSHA, 29 CFR 1926.502, 59 FR 40672 (1994), (d)(15); basis: memory (read as quoted in a letter of 18 Feb
      1999).
    - US OSHA, 29 CFR 1910.140, 81 FR 82494 (18 Nov 2016), (c)(13); basis: memory.
    - Queensland, Work Health and Safety Regulation 2011, consolidated, s 306I(2); basis: read.
    """
    counts(1, users=users)
    positive(per_user=per_user)
    return users * per_user


@formula("R = k MAF n", gives="force", toward="up", cite="product of the terms, factor of the rule in force; derived")
def engineered_load(arrest_force: float, users: int, factor: float = 2) -> float:
    """Anchorage strength by a safety factor on the maximum arrest force.

    The factor is 1 or more. As part of a complete system under the supervision of a qualified person, who alone may
    show a smaller load for several users. The factor goes on force, not on energy, and on the peak, not on an
    average.

    Example: 1,800 lbf with a factor of 2: 3,600 lbf in print. Matches.

    >>> round(engineered_load(1800 * 4.4482216152605, 1) / 4.4482216152605)
    3600

    Sources:
    - US OSHA, 29 CFR 1926.502, 59 FR 40672 (1994), (d)(15)(i); basis: memory.
    - US OSHA, standard interpretation on the safety factor, 9 Feb 1995, whole letter; basis: read.
    - Structural engineer, forum thread on anchorage design, undated; basis: read.
    """
    counts(1, users=users)
    positive(arrest_force=arrest_force, factor=factor)
    if factor < 1:
        raise CalcError(f"safety factor is {factor:.6g}; it must be 1 or more")
    return factor * arrest_force * users


@formula("S = MAF sin(theta)", gives="force", toward="up", cite="resolution of a force, own derivation; derived")
def side_load(arrest_force: float, line_angle: float) -> float:
    """Force across or along the rail when a line is stopped at an angle from the vertical.

    The angle is from 0 to a right angle. It acts on rail, trolley, end stop and frame. The peak of the device is taken at
    the angle at which the fall starts; during the swing the angle gets smaller.

    Example: 1,800 lbf at 24.1 degrees (own figures): 735 lbf.

    >>> round(side_load(1800 * 4.4482216152605, math.radians(24.1)) / 4.4482216152605)
    735

    Sources:
    - OpenStax, College Physics 2e, 2022 (web version), section 4.5, components of a tension; basis: read.
    - Own derivation; basis: derived.
    """
    not_negative(arrest_force=arrest_force, line_angle=line_angle)
    if line_angle > math.pi / 2:
        raise CalcError(f"line angle is {math.degrees(line_angle):.6g} degrees from the vertical; it must be at most 90 degrees")
    return arrest_force * math.sin(line_angle)


@formula("F_2 = MAF + m g", gives="force", toward="up", cite="sum of the loads, own derivation; derived")
def second_load(arrest_force: float, mass: float, g: float = G) -> float:
    """Load on one span of a rail when one person hangs and another is stopped in the same span.

    The hanging person counts with the weight alone. Two arrests at the same moment are the anchorage's case, not this one.

    Example: A peak of 6 kN and a person of 100 kg (own figures): 7.0 kN.

    >>> round(second_load(6000.0, 100.0, g=10.0))
    7000

    Source: Own derivation (statics of two loads on one rail); basis: derived.
    """
    not_negative(arrest_force=arrest_force)
    positive(mass=mass, g=g)
    return arrest_force + mass * g


@formula("SD = SD_1 P / P_1", gives="length", toward="up", cite="Hooke's law, proportion; derived")
def deflection_at_load(stated_deflection: float, stated_load: float, load: float) -> float:
    """Deflection of an elastic rail brought from the load of the design to another one.

    Elastic rail and supports: deflection grows with the load. Not beyond yield, and not for a rail that lies loose.

    Example: 0.1 ft at 900 lbf is 0.2 ft at 1,800 lbf.

    >>> deflection_at_load(0.1, 900.0, 1800.0)
    0.2

    Source: Own derivation (proportion); basis: derived.
    """
    not_negative(stated_deflection=stated_deflection, load=load)
    positive(stated_load=stated_load)
    return stated_deflection * load / stated_load


@formula("SD = P l^3 / (48 E I)", gives="length", toward="up", cite=_BEAM)
def midspan_deflection(load: float, span: float, modulus: float, second_moment: float) -> float:
    """Elastic deflection of a simply supported rail under a load at midspan.

    At the arrest peak, not at body weight. Supports and structure give way as well: add their part. The designer's
    figure goes before this one.

    Example:

    >>> round(midspan_deflection(8000.0, 6.0, 200e9, 8e-6), 6)
    0.0225

    Source: Euler-Bernoulli beam, any handbook of structural mechanics; basis: memory, checked by integration.
    """
    not_negative(load=load, span=span)
    positive(modulus=modulus, second_moment=second_moment)
    return load * span**3 / (48.0 * modulus * second_moment)


@formula("sigma = P l / (4 S_x)", gives="stress", toward="up", cite=_BEAM)
def bending_stress(load: float, span: float, section_modulus: float) -> float:
    """Elastic bending stress of a simply supported rail under a load at midspan.

    An engineer's check; lateral buckling, flange bending under the trolley and connections are not in it.

    Example: 8 kN on 6 m: 12 kN m, 120 MPa.

    >>> round(bending_stress(8000.0, 6.0, 1e-4) / 1e6, 6)
    120.0

    Source: Euler-Bernoulli beam, any handbook of structural mechanics; basis: memory.
    """
    not_negative(load=load, span=span)
    positive(section_modulus=section_modulus)
    return load * span / (4.0 * section_modulus)


@formula(
    "T = F / (2 sin(theta))",
    gives="force",
    toward="up",
    cite="29 CFR 1926 Subpart M Appendix C (1994), II(h); read in reproductions",
    load="middle_load",
)
def lifeline_tension(load: float, sag_angle: float) -> float:
    """Tension of a symmetric horizontal lifeline.

    The angle is above zero and at most a right angle. A tight line multiplies the load: about twice at 15 degrees,
    more than fifteen times below 2 degrees. A rigid rail does not.

    Example: 15 degrees: about 2 to 1 in the appendix. Matches.

    >>> round(lifeline_tension(1.0, math.radians(15)), 2)
    1.93

    Sources:
    - US OSHA, 29 CFR 1926 Subpart M Appendix C, 59 FR 40672 (9 Aug 1994), II(h); basis: read (in reproductions).
    - OpenStax, College Physics 2e, 2022 (web version), section 4.5, tightrope; basis: read.
    """
    not_negative(load=load)
    positive(sag_angle=sag_angle)
    if sag_angle > math.pi / 2:
        raise CalcError(f"sag angle is {math.degrees(sag_angle):.6g} degrees; it must be at most 90 degrees")
    return load / (2.0 * math.sin(sag_angle))


@formula("dL = T L / (A E)", gives="length", toward="up", cite=f"{_CP2}, 5.3; read", length="unloaded_length")
def elastic_stretch(tension: float, length: float, area: float, modulus: float) -> float:
    """Elastic stretch of a line.

    Stretch of a line is not deceleration distance in the US rules, but it is clearance. Ropes are stiffer after use
    and are not linear: take the maker's modulus.

    Example: 65 kg on 35 m of 8 mm rope at 5 GPa: 9 cm in print. Matches.

    >>> round(elastic_stretch(65 * 9.8, 35.0, math.pi * 0.004**2, 5e9), 2)
    0.09

    Source: OpenStax, College Physics 2e, 2022 (web version), section 5.3, mountain-climber problem (a); basis: read.
    """
    not_negative(tension=tension, length=length)
    positive(area=area, modulus=modulus)
    return tension * length / (area * modulus)


@formula(
    "f = sqrt((L / 2)^2 - (l / 2)^2)",
    gives="length",
    toward="up",
    cite="geometry, own derivation; derived",
    line_length="loaded_length",
    span="line_span",
)
def lifeline_sag(line_length: float, span: float) -> float:
    """Sag of a line pulled into two straight segments by a load in the middle.

    The line is at least as long as the span, and the span is above zero. Weight of the line left out. A line shorter
    than the span raises CalcError. The sag is part of the clearance needed.

    Example:

    >>> lifeline_sag(10.0, 8.0)
    3.0

    Source: Own derivation (Pythagoras); basis: derived.
    """
    positive(line_length=line_length, span=span)
    if line_length < span:
        raise CalcError(f"line length is {line_length:.6g} m; it must be at least the span of {span:.6g} m")
    return math.sqrt((line_length - span) * (line_length + span)) / 2.0


@formula(
    "theta = acos(l / L)", gives="angle", cite="geometry, own derivation; derived", line_length="loaded_length", span="line_span"
)
def lifeline_angle(line_length: float, span: float) -> float:
    """Angle below the horizontal of a line pulled into two straight segments.

    The line is at least as long as the span, and the span is above zero. Weight of the line left out.

    Example:

    >>> round(math.degrees(lifeline_angle(10.0, 8.0)), 2)
    36.87

    Source: Own derivation; basis: derived.
    """
    return math.atan2(lifeline_sag(line_length, span), span / 2.0)


@formula(
    "f = l tan(theta) / 2, with theta solving l / cos(theta) = L_0 (1 + F / (2 A E sin(theta)))",
    gives="length",
    toward="up",
    cite="equilibrium, geometry and Hooke's law, own derivation; derived",
    load="middle_load",
    span="line_span",
)
def solve_lifeline(load: float, span: float, unstretched_length: float, area: float, modulus: float) -> Lifeline:
    """Sag, angle and tension of an elastic horizontal lifeline loaded in the middle.

    Gives sag, angle below the horizontal, tension and loaded length. The load is above zero. A static load on two
    straight segments, without an energy absorber in the line: explanation, not design. A horizontal lifeline is
    designed by a qualified person. The equation has exactly one root between 0 and 90 degrees; it is halved down to
    the last digit.

    Example: 10 m span, just taut, 8 mm steel line, 6 kN (own figures): its tension is 4.7 times the load.

    >>> line = solve_lifeline(6000.0, 10.0, 10.0, math.pi * 0.004**2, 100e9)
    >>> round(line.sag, 3), round(math.degrees(line.angle), 2), round(line.tension / 6000.0, 2)
    (0.532, 6.07, 4.73)

    Source: Own derivation, checked by a root finder on geometry and Hooke's law; basis: derived.
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
