"""Lanyards: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

from docgen.calc.guard import not_negative

__all__ = ["required_below_anchorage", "total_fall_distance"]


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
