"""The climb up the ladder: a place of its own, off to the side of the rail, where the trolley lags as well. Lengths in m, angles in rad."""

from __future__ import annotations

import math

from docgen.calc import swing
from docgen.engineering import along
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.site import Bay, Quantity, Site
from docgen.trade.practice import practice

__all__ = ["Ladder", "ladder"]


@frozen
class Ladder:
    """Offset of the D-ring of a climber from under the trolley; `angle` of the line at the top of the ladder, standing on the highest deck.

    `*_worst` after every stated tolerance. The angles are None where a height is not stated or the line exit is not above the D-ring; a worst
    one alone is None where the tolerances bring it there.
    """

    offset: float
    offset_worst: float
    angle: float | None
    angle_worst: float | None


def ladder(site: Site, bay: Bay, sheet: Sheet) -> Ladder | None:
    """The ladder of a bay; None where its distance from the rail is not stated. One that belongs to the vehicle stands off as the vehicle does."""
    place, rail = bay.ladder, bay.rail
    parked = bay.parking.lateral if place.owner != "site" else None
    lag = place.trolley_lag or rail.trolley_lag
    if place.offset is None or any(q is not None and q.si < 0 for q in (place.offset, parked, lag)):
        return None
    past = along.ladder_past(bay)
    across = _used(sheet, place.offset) + _used(sheet, parked)
    behind = (_used(sheet, lag) if lag is not None else practice("trolley_lag").si or 0.0) + (
        past.nominal if past is not None else 0.0
    )
    slack = _slack(lag) + (past.worst - past.nominal if past is not None else 0.0)
    offset = sheet.run(swing.offset, across=across, along=behind)
    worst = sheet.run_for("worst", swing.offset, across=across + _slack(place.offset) + _slack(parked), along=behind + slack)
    angle = angle_worst = None
    height = _height(site, bay)
    if height is not None and height[0] > 0:
        angle = sheet.run(swing.line_angle, height=height[0], offset=offset)
        angle_worst = swing.line_angle(height[1], worst) if height[1] > 0 else math.pi / 2
    return Ladder(offset=offset, offset_worst=worst, angle=angle, angle_worst=angle_worst)


def _height(site: Site, bay: Bay) -> tuple[float, float] | None:
    """Height of the line exit above the D-ring of a person who stands on the highest deck of the bay: nominal, and after tolerances."""
    used = {t.vehicle for t in site.tasks if t.bay == bay.id and t.permission == "allowed"}
    decks = [v.deck for v in site.vehicles if v.id in used and v.deck is not None]
    underside, hang, standing = bay.rail.underside, bay.rail.line_exit_below_rail, site.limits.d_ring.standing
    if not decks or underside is None or hang is None:
        return None
    ring = (practice("d_ring_standing").si or 0.0) if standing is None else standing.si
    deck, deck_worst = max(d.si for d in decks), max(d.si + d.tolerance for d in decks)
    exit_, low = underside.si - hang.si, underside.tolerance + hang.tolerance
    return exit_ - deck - ring, exit_ - low - deck_worst - ring - _slack(standing)


def _used(sheet: Sheet, quantity: Quantity | None) -> float:
    return 0.0 if quantity is None else sheet.use(quantity)


def _slack(quantity: Quantity | None) -> float:
    return 0.0 if quantity is None else quantity.tolerance
