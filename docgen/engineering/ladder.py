"""The climb up the ladder: a place of its own, off to the side of the rail, where the trolley lags as well. Lengths in m, angles in rad."""

from __future__ import annotations

import math

from docgen.calc import swing
from docgen.engineering import along, levels
from docgen.engineering.along import Measure
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import Spread, fixed
from docgen.frozen import frozen
from docgen.site import Bay, Site
from docgen.trade.practice import practice

__all__ = ["Ladder", "aside", "ladder"]


@frozen
class Ladder:
    """Offset of the D-ring of a climber from under the trolley; `angle` of the line at the top of the ladder, standing on the highest deck.

    `*_worst` after every tolerance. The angles are None where a height is not stated or the line exit is not above the D-ring; a worst one
    is a right angle where the tolerances bring it there.
    """

    offset: float
    offset_worst: float
    angle: float | None
    angle_worst: float | None


def ladder(site: Site, bay: Bay, measure: Measure, sheet: Sheet) -> Ladder | None:
    """The ladder of a bay; None where its distance from the rail is not stated. One that belongs to the vehicle stands off as the vehicle does."""
    place = aside(bay, measure)
    if place is None:
        return None
    across, behind = place
    offset = sheet.run(swing.offset, across=across.nominal, along=behind.nominal)
    worst = sheet.run_for("worst", swing.offset, across=across.high, along=behind.high)
    angle = angle_worst = None
    height = _height(site, bay, measure)
    if height is not None and height.nominal > 0:
        angle = sheet.run(swing.line_angle, height=height.nominal, offset=offset)
        above = height.low > 0
        angle_worst = sheet.run_for("worst", swing.line_angle, height=height.low, offset=worst) if above else math.pi / 2
    return Ladder(offset=offset, offset_worst=worst, angle=angle, angle_worst=angle_worst)


def aside(bay: Bay, measure: Measure) -> tuple[Spread, Spread] | None:
    """How far across and along the ladder of a bay is from under the trolley; None where its distance from the rail is not stated."""
    place = bay.ladder
    beside = measure(place.offset)
    parked = fixed(0.0) if place.owner == "site" else measure(bay.parking.lateral, "bound") or fixed(0.0)
    lag = measure(place.trolley_lag or bay.rail.trolley_lag) or fixed(practice("trolley_lag").si)
    if beside is None or min(beside.nominal, parked.nominal, lag.nominal) < 0:
        return None
    past = along.ladder_past(bay, measure) or fixed(0.0)
    return beside + parked, lag + past


def _height(site: Site, bay: Bay, measure: Measure) -> Spread | None:
    """Height of the line exit above the D-ring of a person who stands on the highest deck of the bay: the tallest of the crew at its low end."""
    used = {t.vehicle for t in site.tasks if t.bay == bay.id and t.permission == "allowed"}
    decks = [deck for v in site.vehicles if v.id in used and (deck := levels.deck_elevation(v, measure)) is not None]
    line_exit = levels.exit_elevation(bay.rail, measure)
    if not decks or line_exit is None:
        return None
    standing = measure(site.limits.d_ring.standing, "crew") or fixed(practice("d_ring_standing").si)
    ring = levels.over_the_crew(site.limits, standing, measure)
    heights = [line_exit - deck - ring for deck in decks]
    return Spread(nominal=min(h.nominal for h in heights), low=min(h.low for h in heights), high=min(h.high for h in heights))
