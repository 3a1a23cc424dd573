"""Elevations that the cases and the ladder share, each with its ends: line exit, deck, D-ring over the crew. All lengths in m."""

from __future__ import annotations

from docgen.engineering.along import Measure
from docgen.engineering.spread import Of, Spread
from docgen.site import BayRail, Limits, Vehicle

__all__ = ["deck_elevation", "deck_kind", "exit_elevation", "over_the_crew"]

OF_ROAD = ("tank-trailer", "flatbed", "van-trailer", "straight-truck", "other", None)


def deck_kind(vehicle: Vehicle) -> Of:
    """How a deck is measured: vehicles of the road differ and spring, a railcar or a machine is as it was measured."""
    return "deck" if vehicle.kind in OF_ROAD else "length"


def exit_elevation(rail: BayRail, measure: Measure) -> Spread | None:
    """Underside of the rail less the hang of trolley and device; None where one of them is not stated."""
    underside, hang = measure(rail.underside), measure(rail.line_exit_below_rail)
    return None if underside is None or hang is None else underside - hang.not_below_zero()


def deck_elevation(vehicle: Vehicle, measure: Measure) -> Spread | None:
    """The deck of a vehicle, its range from empty to loaded included; None where it is not stated."""
    elevation = measure(vehicle.deck, deck_kind(vehicle))
    for end in (vehicle.deck_range.empty, vehicle.deck_range.loaded) if elevation is not None else ():
        seen = measure(end)
        elevation = elevation if seen is None or elevation is None else elevation.wider(seen)
    return elevation


def over_the_crew(limits: Limits, standing: Spread, measure: Measure) -> Spread:
    """The standing D-ring from the shortest to the tallest of the crew."""
    found = standing.not_below_zero()
    for end in (limits.stature.shortest, limits.stature.tallest):
        seen = measure(end)
        found = found if seen is None else found.wider(seen)
    return found
