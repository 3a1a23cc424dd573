"""Along the rail: where a place on a parked vehicle lies under it, and how far work reaches past its last support."""

from docgen.calc.formula import formula
from docgen.calc.guard import finite, not_negative

__all__ = ["past_end", "place", "place_turned"]

_GEOMETRY = "geometry, own derivation; derived"


@formula("s = s_f + s_v", gives="length", cite=_GEOMETRY)
def place(front: float, on_vehicle: float) -> float:
    """Place along the rail of a place on a vehicle, both measured the same way: from the first end, from the front.

    The front may stand before the first end of the rail: it is then below zero.

    Example:

    >>> place(8.0, 6.0), place(-1.5, 6.0)
    (14.0, 4.5)

    Source: Own derivation; basis: derived.
    """
    finite(front=front)
    not_negative(on_vehicle=on_vehicle)
    return front + on_vehicle


@formula("s = s_f + L_v - s_v", gives="length", cite=_GEOMETRY)
def place_turned(front: float, vehicle_length: float, on_vehicle: float) -> float:
    """The same for a vehicle that stands the other way round, its rear where the front is otherwise.

    A place beyond the length of the vehicle is as wrong here as there; it is not looked for.

    Example: 6 m behind the front of 42 m is 36 m from the rear.

    >>> place_turned(8.0, 42.0, 6.0)
    44.0

    Source: Own derivation; basis: derived.
    """
    finite(front=front)
    not_negative(vehicle_length=vehicle_length, on_vehicle=on_vehicle)
    return front + vehicle_length - on_vehicle


@formula("x_past = max(0, h_1 - (s_low - q), (s_high + q) - h_2)", gives="length", toward="up", cite=_GEOMETRY)
def past_end(lowest_place: float, highest_place: float, parking_along: float, first_hanger: float, last_hanger: float) -> float:
    """How far work reaches past the first or the last hanger of the rail, whichever is more; zero where all of it lies between.

    The rail beyond its last hanger is a cantilever and not counted on. A vehicle may stand off its place both ways.

    Example: Work from 14.0 to 49.5, parked 1.0 off, hangers at 1.0 and 50.0 (own figures).

    >>> past_end(14.0, 49.5, 1.0, 1.0, 50.0), past_end(14.0, 49.5, 1.0, 1.0, 61.0)
    (0.5, 0.0)

    Source: Own derivation; basis: derived.
    """
    finite(lowest_place=lowest_place, highest_place=highest_place, first_hanger=first_hanger, last_hanger=last_hanger)
    not_negative(parking_along=parking_along)
    return max(0.0, first_hanger - (lowest_place - parking_along), highest_place + parking_along - last_hanger)
