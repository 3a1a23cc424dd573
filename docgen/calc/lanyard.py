"""Lanyards of fixed length: free fall, total fall, and clearance in two references."""

from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative

__all__ = [
    "free_fall",
    "required_below_surface",
]

_OTM = "OSHA Technical Manual V-4 (2016), III.A; memory"


@formula("FF = max(0, LL - a)", gives="length", toward="up", cite="OSHA Technical Manual V-4 (2016), III.A, example 4; memory")
def free_fall(lanyard_length: float, anchor_above_d_ring: float) -> float:
    """Free fall on a lanyard of fixed length.

    A 6 ft lanyard tied 5 ft below the D-ring gives 11 ft, beyond every limit.

    Example: 6 ft lanyard, anchorage 4 ft above: 2 ft (result of the manual's example recalled, inputs read). Matches.

    >>> free_fall(6.0, 4.0), free_fall(6.0, -5.0)
    (2.0, 11.0)

    Source: US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.A, example 4; basis:
    memory.
    """
    not_negative(lanyard_length=lanyard_length)
    finite(anchor_above_d_ring=anchor_above_d_ring)
    return max(0.0, lanyard_length - anchor_above_d_ring)


@formula(
    "R_ws = FF + DD + HS + SF + SD + SW", gives="length", toward="up", cite=_OTM, free_fall="lanyard_fall", deflection="line_sag"
)
def required_below_surface(
    free_fall: float,
    deceleration: float,
    stretch: float,
    margin: float,
    deflection: float = 0.0,
    swing: float = 0.0,
) -> float:
    """Clearance required below the walking surface on a lanyard, standing.

    Standing user. The same margin as from the anchorage as long as the lanyard is not taut at the start.

    Example: 6 ft lanyard at D-ring height, 3.5 ft, 1 ft and 3 ft (own figures): 13.5 ft.

    >>> required_below_surface(free_fall(6.0, 0.0), 3.5, 1.0, 3.0)
    13.5

    Source: US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.A; basis: memory.
    """
    not_negative(
        free_fall=free_fall,
        deceleration=deceleration,
        stretch=stretch,
        margin=margin,
        deflection=deflection,
        swing=swing,
    )
    return free_fall + deceleration + stretch + margin + deflection + swing
