"""The climb up the ladder: a place of its own, off to the side of the rail, where the trolley lags as well. Lengths in m, angles in rad."""

from __future__ import annotations

import math

from docgen.calc import swing
from docgen.engineering import along, levels
from docgen.engineering.along import Measure
from docgen.engineering.model import Struck, computed
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import Spread, fixed
from docgen.frozen import frozen
from docgen.limits import at_least, under
from docgen.site import Bay, Protrusion, Side, SideName, Site, Vehicle
from docgen.site.obstacle import Obstacle, across, upright
from docgen.trade.practice import practice

__all__ = ["LADDER", "Foot", "Ladder", "aside", "foot", "ladder", "struck"]

#: What an entry of the qualified person calls the side of the vehicle as it is met off the top of the ladder.
LADDER = "ladder-top"

#: The other side of a vehicle that may also stand the other way round.
OPPOSITE: dict[SideName, SideName] = {"left": "right", "right": "left", "front": "rear", "rear": "front"}


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
    height = _height(site, bay, _climbed(site, bay), measure)
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


def struck(site: Site, bay: Bay, on_ladder: Ladder, measure: Measure, sheet: Sheet) -> tuple[Struck, ...]:
    """What a climber who falls off the top of the ladder meets, one for each vehicle that is climbed on in the bay: its side, or the ladder on it.

    The feet are as high as the deck, on which a ladder ends: on any step below, the line is longer and the swing drops less. Offset, height and ring are each at
    their worst end, the lag of the trolley once; of the way along, only what the ladder lies past the rail counts besides, since the trolley runs up to there.
    Nothing says how far the vehicle is cut back behind the ladder, so that it is met at the whole drop. None of a vehicle whose deck or line exit is not
    stated, or over whose ladder the line exit is not above the D-ring as the figures stand.
    """
    found = []
    for vehicle in _climbed(site, bay):
        height = _height(site, bay, (vehicle,), measure)
        if height is None or not height.nominal > 0:
            continue
        own = Sheet(f"{sheet.path}.struck[{vehicle.id}]")
        drop = own.run_for(vehicle.id, swing.swing_drop, height=max(height.low, 0.0), offset=on_ladder.offset_worst)
        speed = own.run_for(vehicle.id, swing.swing_speed, drop=drop)
        sheet.take(own)
        found.append(
            Struck(
                path=own.path,
                thing=f"{bay.ladder.path}.offset",
                object=LADDER,
                what=None,
                flat=True,
                measured=True,
                vehicle=vehicle.id,
                drop=computed(f"{own.path}.drop", drop, "length"),
                speed=computed(f"{own.path}.speed", speed, "speed"),
                steps=tuple(own.steps),
            )
        )
    return tuple(found)


def _climbed(site: Site, bay: Bay) -> tuple[Vehicle, ...]:
    """The vehicles that are climbed on in a bay."""
    used = {t.vehicle for t in site.tasks if t.bay == bay.id and t.permission == "allowed"}
    return tuple(v for v in site.vehicles if v.id in used)


def _height(site: Site, bay: Bay, vehicles: tuple[Vehicle, ...], measure: Measure) -> Spread | None:
    """Height of the line exit above the D-ring of a person who stands on the highest deck of these: the tallest of the crew at its low end."""
    decks = [deck for v in vehicles if (deck := levels.deck_elevation(v, measure)) is not None]
    line_exit = levels.exit_elevation(bay.rail, measure)
    if not decks or line_exit is None:
        return None
    standing = measure(site.limits.d_ring.standing, "crew") or fixed(practice("d_ring_standing").si)
    ring = levels.over_the_crew(site.limits, standing, measure)
    heights = [line_exit - deck - ring for deck in decks]
    return Spread(nominal=min(h.nominal for h in heights), low=min(h.low for h in heights), high=min(h.high for h in heights))


# --- what a climber meets below -----------------------------------------------------------------------------------------


@frozen
class Foot:
    """The highest thing that a climber who falls off the ladder can meet: its elevation at the high end, and what it is."""

    top: float
    what: str


def foot(site: Site, bay: Bay, measure: Measure) -> Foot | None:
    """The highest thing below on the side of the ladder, of every vehicle that is climbed on in the bay; None where the profile gives none of them.

    A side that the profile does not tell, or that is closed but for the ladder, has at least the highest thing that the vehicle has on any other. A ladder whose side is
    not told may be on each. What rises with the deck is taken at its high end; what stands up beside the deck counts as high as the deck, as in a case.
    """
    found = [low for v in _climbed(site, bay) for low in (*_surfaces(bay, v, measure), *_things(bay, v, measure))]
    return max(found, key=lambda low: low.top, default=None)


def _sides(bay: Bay) -> tuple[SideName, ...]:
    """The sides of the vehicle on which the ladder may be; all where none is told."""
    side = bay.ladder.side
    if side is None or side not in OPPOSITE:
        return tuple(OPPOSITE)
    turned = bay.ladder.owner != "vehicle" and bay.parking.along.either_way is not False
    return (side, OPPOSITE[side]) if turned else (side,)


def _heave(vehicle: Vehicle, measure: Measure) -> float:
    """How far a vehicle, and all that rises with it, may stand above its deck as stated."""
    deck = levels.deck_elevation(vehicle, measure)
    return 0.0 if deck is None else deck.high - deck.nominal


def _surfaces(bay: Bay, vehicle: Vehicle, measure: Measure) -> list[Foot]:
    def top(side: Side) -> Foot | None:
        height = measure(side.lower.height)
        moved = _heave(vehicle, measure) if side.lower.moves_with == "vehicle" else 0.0
        return None if height is None else Foot(top=height.high + moved, what=side.lower.what or "")

    outside = [(side, low) for side in vehicle.sides if side.side in OPPOSITE and (low := top(side)) is not None]
    here = {side.side: low for side, low in outside}
    wanted = _sides(bay)
    return [here[s] for s in wanted] if all(s in here for s in wanted) else [low for _, low in outside]


def _things(bay: Bay, vehicle: Vehicle, measure: Measure) -> list[Foot]:
    """What stands out from the vehicle or stands in the bay, no farther out than a climber can come down."""
    deck = levels.deck_elevation(vehicle, measure)
    found = []
    for thing in (*vehicle.protrusions, *bay.obstructions):
        (lowest, highest), (near, _) = upright(thing), across(thing)
        top, bottom, nearest = measure(highest), measure(lowest), measure(near)
        above = deck is not None and bottom is not None and at_least(bottom.low, deck.high)
        if top is None or above or thing.side not in (None, *_sides(bay)):
            continue
        if nearest is None or under(nearest.low, _zone(bay, thing, measure)):
            moved = _heave(vehicle, measure) if isinstance(thing, Protrusion) else 0.0
            capped = top.high + moved if deck is None else min(top.high + moved, deck.high)
            found.append(Foot(top=capped, what=thing.what))
    return found


def _zone(bay: Bay, thing: Obstacle, measure: Measure) -> float:
    """How far from the center line a climber can come down toward a thing: a landing width beyond the ladder. Everywhere where the ladder is not told across.

    The ladder of a vehicle stands off with it, and so does what stands out from it: seen from each other the one and the other may be off.
    """
    place, rail = aside(bay, measure), measure(bay.rail.offset)
    if place is None or rail is None or bay.ladder.side not in ("left", "right"):
        return math.inf
    off = measure(bay.parking.lateral, "bound") if bay.ladder.owner == "site" and isinstance(thing, Protrusion) else None
    told = thing.side == bay.ladder.side and bay.rail.offset_toward is not None and rail.low >= 0
    out = max(abs(rail.low), abs(rail.high))
    if told:
        out = rail.high if bay.rail.offset_toward == thing.side else -rail.low
    return out + place[0].high + (0.0 if off is None else off.high) + practice("landing_width").si
