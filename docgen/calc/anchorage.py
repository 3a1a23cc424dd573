"""Anchorage demand, side load, deflection of a rail, and the horizontal lifeline as a line of two straight segments."""

import math

from docgen.calc import CalcError, G
from docgen.calc.formula import formula
from docgen.calc.guard import counts, not_negative, positive

__all__ = [
    "bending_stress",
    "deflection_at_load",
    "engineered_load",
    "midspan_deflection",
    "prescriptive_load",
    "second_load",
    "side_load",
]


_BEAM = "Euler-Bernoulli beam, load at midspan, moment integrated twice: own derivation; derived"
_CP2 = "OpenStax College Physics 2e (2022)"


@formula("R_anc = n R_1", gives="force", toward="up", cite="product of the terms, figure of the rule in force; derived")
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


@formula("R_anc = k MAF n", gives="force", toward="up", cite="product of the terms, factor of the rule in force; derived")
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


@formula("SD = SD_1 F_rail / F_rail_1", gives="length", toward="up", cite="Hooke's law, proportion; derived")
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


@formula("SD = F_rail l^3 / (48 E I)", gives="length", toward="up", cite=_BEAM)
def midspan_deflection(load: float, span: float, modulus: float, second_moment: float) -> float:
    """Elastic deflection of a simply supported rail under a load at midspan.

    At the arrest peak, not at body weight. Supports and structure give way as well: add their part. The designer's
    figure goes before this one.

    Example:

    >>> round(midspan_deflection(8000.0, 6.0, 200e9, 8e-6), 6)
    0.0225

    Source: Own derivation (E I y'' = P x / 2 from a support to midspan, where the slope is zero; integrated twice); basis: derived.
    """
    not_negative(load=load, span=span)
    positive(modulus=modulus, second_moment=second_moment)
    return load * span**3 / (48.0 * modulus * second_moment)


@formula("sigma = F_rail l / (4 S_x)", gives="stress", toward="up", cite=_BEAM)
def bending_stress(load: float, span: float, section_modulus: float) -> float:
    """Elastic bending stress of a simply supported rail under a load at midspan.

    An engineer's check; lateral buckling, flange bending under the trolley and connections are not in it.

    Example: 8 kN on 6 m: 12 kN m, 120 MPa.

    >>> round(bending_stress(8000.0, 6.0, 1e-4) / 1e6, 6)
    120.0

    Source: Own derivation (the largest moment, P/2 on l/2, over the section modulus); basis: derived.
    """
    not_negative(load=load, span=span)
    positive(section_modulus=section_modulus)
    return load * span / (4.0 * section_modulus)
