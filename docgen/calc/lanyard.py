"""Lanyards of fixed length: free fall, total fall, and clearance in two references."""

from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative

__all__ = ["free_fall", "required_below_anchorage", "required_below_surface", "total_fall_distance"]

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
    "TFD = FF + DD + VE + HS",
    gives="length",
    toward="up",
    cite="trade safety magazine, five-term method, undated; read",
    free_fall="lanyard_fall",
)
def total_fall_distance(free_fall: float, deceleration: float, elongation: float, stretch: float) -> float:
    """Total fall from its start to the stop, without margin.

    Not limited as such by OSHA: free fall and deceleration are, and no contact below. Stretch of the line is not
    deceleration distance (OSHA letter of 9 Feb 1995), but it is clearance.

    Example: 4 + 3 + 3 + 1 ft, and 1 ft margin: 12 ft in print. Matches.

    >>> total_fall_distance(4.0, 3.0, 3.0, 1.0) + 1.0
    12.0

    Sources:
    - Trade how-to article on the five-term method, undated; basis: read.
    - US OSHA, standard interpretation on total fall distance, 9 Feb 1995, whole letter; basis: read.
    """
    not_negative(free_fall=free_fall, deceleration=deceleration, elongation=elongation, stretch=stretch)
    return free_fall + deceleration + elongation + stretch


@formula("R_anc = LL + DD + HS + H_dr + SF + SD + SW", gives="length", toward="up", cite=_OTM, deflection="line_sag")
def required_below_anchorage(
    lanyard_length: float,
    deceleration: float,
    stretch: float,
    d_ring_standing: float,
    margin: float,
    deflection: float = 0.0,
    swing: float = 0.0,
) -> float:
    """Clearance required below the anchorage of a lanyard.

    The deceleration distance is at most what the label of the absorber gives. Does not depend on the height of the
    anchorage, which changes only the free fall. Body heights of 6 ft in trade figures hold 5 ft of D-ring height and
    1 ft of shift.

    Example: A safety association prints 18.5 ft: 6 + 3.5 + 6 + 3. Matches.

    >>> required_below_anchorage(6.0, 3.5, 1.0, 5.0, 3.0)
    18.5

    Sources:
    - US OSHA, Technical Manual, Section V, Chapter 4, TED 01-00-015 (14 Apr 2016), III.A; basis: memory.
    - Safety supply association, article on the fall distance calculation, 28 Oct 2010; basis: read.
    """
    not_negative(
        lanyard_length=lanyard_length,
        deceleration=deceleration,
        stretch=stretch,
        d_ring_standing=d_ring_standing,
        margin=margin,
        deflection=deflection,
        swing=swing,
    )
    return lanyard_length + deceleration + stretch + d_ring_standing + margin + deflection + swing


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
