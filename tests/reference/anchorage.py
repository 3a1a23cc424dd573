"""Rails and horizontal lifelines: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

import math

from docgen.calc import CalcError
from docgen.calc.guard import not_negative, positive
from docgen.frozen import frozen

__all__ = ["cantilever_deflection", "elastic_stretch", "lifeline_angle", "lifeline_sag", "lifeline_tension", "solve_lifeline"]


def cantilever_deflection(load: float, length: float, modulus: float, second_moment: float) -> float:
    """Elastic deflection at the free end of a cantilever rail.

    Rigid support assumed; the turning of a real support adds to it.

    Example:

    >>> round(cantilever_deflection(8000.0, 1.5, 200e9, 8e-6), 6)
    0.005625

    Source: Euler-Bernoulli beam, any handbook of structural mechanics; basis: memory, checked by integration.
    """
    not_negative(load=load, length=length)
    positive(modulus=modulus, second_moment=second_moment)
    return load * length**3 / (3.0 * modulus * second_moment)


@frozen
class Lifeline:
    """A loaded horizontal lifeline at rest: sag [m], angle below the horizontal [rad], tension [N], line length [m]."""

    sag: float
    angle: float
    tension: float
    length: float


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


def lifeline_angle(line_length: float, span: float) -> float:
    """Angle below the horizontal of a line pulled into two straight segments.

    The line is at least as long as the span, and the span is above zero. Weight of the line left out.

    Example:

    >>> round(math.degrees(lifeline_angle(10.0, 8.0)), 2)
    36.87

    Source: Own derivation; basis: derived.
    """
    return math.atan2(lifeline_sag(line_length, span), span / 2.0)


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
