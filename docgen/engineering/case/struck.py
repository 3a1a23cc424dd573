"""What the swinging body can meet on its way, and at what speed: things in the bay, parts of the vehicle, its own flank. Lengths in m.

The D-ring swings from where a fall can begin, through the whole arc, to the mirror of that place about the trolley; the body reaches from
the feet to the head and half a body to either side. Every figure is taken at the end of its tolerance that is worse. Where the trolley
lags, the part of the swing along the rail counts as run out when something is met, since nothing says where along the rail it stands.
A block gives no clearance: the sum of the case lets the person swing on to under the rail.
"""

from __future__ import annotations

import math

from docgen.calc import swing as arithmetic
from docgen.engineering.case.below import things
from docgen.engineering.case.frame import Frame, Reached, ends, frame, places, toward
from docgen.engineering.case.hanging import FEET_LOW
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.stage import Stage
from docgen.engineering.case.swing import Swing
from docgen.engineering.case.terms import Terms
from docgen.engineering.model import Struck, computed
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.limits import over, under
from docgen.site import Bay, Obstruction, Protrusion, Quantity, Side, Vehicle
from docgen.site.obstacle import upright

__all__ = ["FLANK", "fouled", "struck"]

#: What an entry of the qualified person calls the side of the vehicle itself.
FLANK = "flank"


@frozen
class _Fall:
    """What every contact of one case shares. `steep`: the least height of the line exit above the D-ring. `start`: the highest
    D-ring as a fall begins. `lowest_exit`, `tallest` (height of the line exit above the D-ring) and `extra` (line run out in the arrest)
    bound how low it comes; `above` and `under` are how far the body reaches over and under it."""

    frame: Frame
    along: float
    steep: float
    start: float
    lowest_exit: float
    tallest: float
    extra: float
    above: float
    under: float


def struck(
    bay: Bay, vehicle: Vehicle, side: Side | None, swing: Stage[Swing], terms: Stage[Terms], notes: Notes
) -> tuple[Struck, ...]:
    """Everything that is met, the flank of that side first; nothing where the swing cannot be computed. Without an arrest distance
    nobody knows how low the body comes, and nothing counts as too low to be met."""
    if swing.value is None:
        return ()
    fall = _fall(bay, swing.value, terms.value, notes)
    flank = _flank(vehicle, side, fall, notes)
    return (flank, *(met for thing in things(bay, vehicle) if (met := _thing(thing, fall, notes)) is not None))


def fouled(bay: Bay, vehicle: Vehicle, swing: Stage[Swing], terms: Stage[Terms], notes: Notes) -> tuple[str, ...]:
    """The profile paths of the things over the head that the line itself can lie against, between the line exit and the D-ring.

    Over its lowest point a thing meets the line no farther out than the line is there, as wide as the swing at the D-ring and nothing at the exit.
    """
    if swing.value is None or not swing.value.steep > 0:
        return ()
    fall, highest = _fall(bay, swing.value, terms.value, notes), swing.value.heights.line_exit.elevation.high
    found = []
    for thing in things(bay, vehicle):
        lowest_point, _ = upright(thing)
        moves, bottom = isinstance(thing, Protrusion), -math.inf if lowest_point is None else ends(lowest_point, notes)[0]
        if under(bottom, fall.start + fall.above) or not under(bottom, highest):
            continue
        hang = fall.frame.trolley(moves)
        widest = fall.frame.starts(moves) + max(abs(end) for end in hang)
        out = widest * min(1.0, (highest - bottom) / fall.steep)
        if any(not over(max(place.low - hang.high, hang.low - place.high, 0.0), out) for place in places(thing, notes)):
            found.append(thing.path)
    return tuple(found)


def _fall(bay: Bay, swing: Swing, terms: Terms | None, notes: Notes) -> _Fall:
    heights, offsets = swing.heights, swing.offsets
    return _Fall(
        frame=frame(bay, offsets, notes),
        along=offsets.along.high,
        steep=max(swing.steep, 0.0),
        start=heights.deck.elevation.high + heights.ring.at("high", "high").in_posture,
        lowest_exit=heights.line_exit.elevation.low,
        tallest=max(heights.at(FEET_LOW), 0.0),
        extra=math.inf if terms is None else terms.arrest_distance.high + terms.deflection.high,
        above=trade_figure("head_above_ring", notes.system),
        under=heights.ring.standing.high + (0.0 if terms is None else terms.stretch.high),
    )


def _thing(thing: Obstruction | Protrusion, fall: _Fall, notes: Notes) -> Struck | None:
    """What one thing means: the hardest way to meet it, or None where the body passes by, over or under it."""
    moves, half = isinstance(thing, Protrusion), trade_figure("half_body", notes.system)
    met = [
        r
        for place in places(thing, notes)
        for r in fall.frame.reached(place.wider(half), moves)
        if _as_high(thing, fall, r, notes)
    ]
    if not met:
        return None
    sheet = Sheet(f"{notes.sheet.path}.struck[{thing.id}]")
    worst = max(met, key=lambda r: r.start**2 - r.contact**2)
    drop, speed = _contact(worst.start, worst.contact, fall, sheet)
    return Struck(
        path=sheet.path,
        thing=thing.path,
        object=thing.id,
        what=thing.what,
        flat=thing.flat is True,
        measured=None not in (thing.from_, thing.bottom, thing.top),
        drop=computed(f"{sheet.path}.drop", drop, "length"),
        speed=computed(f"{sheet.path}.speed", speed, "speed"),
        steps=tuple(sheet.steps),
    )


def _as_high(thing: Obstruction | Protrusion, fall: _Fall, at: Reached, notes: Notes) -> bool:
    """Whether the body is as high as the thing where it comes to it: between the feet at their lowest and the head as the fall began."""
    lowest_point, highest_point = upright(thing)
    bottom = -math.inf if lowest_point is None else ends(lowest_point, notes)[0]
    top = math.inf if highest_point is None else ends(highest_point, notes)[1]
    length = math.hypot(fall.tallest, at.start, fall.along) + fall.extra
    lowest = -math.inf if math.isinf(length) else fall.lowest_exit - math.sqrt((length - at.contact) * (length + at.contact))
    return under(bottom, fall.start + fall.above) and over(top, lowest - fall.under)


def _contact(start: float, contact: float, fall: _Fall, sheet: Sheet) -> tuple[float, float]:
    """Drop and speed at which something is met: the speed of the whole swing, less what the height above its lowest point takes."""
    offset = sheet.run(arithmetic.offset, across=start, along=fall.along)
    whole = sheet.run(arithmetic.swing_drop, height=fall.steep, offset=offset)
    drop = sheet.run(arithmetic.contact_drop, height=fall.steep, offset=offset, contact=contact)
    lowest = sheet.run(arithmetic.swing_speed, drop=whole)
    return drop, sheet.run(arithmetic.speed_after_rise, initial_speed=lowest, rise=max(whole - drop, 0.0))


def _flank(vehicle: Vehicle, side: Side | None, fall: _Fall, notes: Notes) -> Struck:
    """The side of the vehicle itself. Nothing says how far it is cut back under the deck, so that it is met at the whole drop at worst."""
    sheet = Sheet(f"{notes.sheet.path}.struck[{FLANK}]")
    widest = max(abs(end) for end in fall.frame.trolley(moves=True)) + fall.frame.reach
    drop, speed = _contact(widest, 0.0, fall, sheet)
    free, blocked, edge_drop, edge_speed = _up_to_the_edge(side, fall, sheet, notes)

    def length(name: str, si: float | None) -> Quantity | None:
        return computed(f"{sheet.path}.{name}", si, "length")

    return Struck(
        path=sheet.path,
        thing=vehicle.path if side is None else side.path,
        object=FLANK,
        what=None,
        flat=True,
        measured=True,
        drop=computed(f"{sheet.path}.drop", drop, "length"),
        speed=computed(f"{sheet.path}.speed", speed, "speed"),
        free=length("free", free),
        blocked=length("blocked", blocked),
        edge_drop=length("edge_drop", edge_drop),
        edge_speed=computed(f"{sheet.path}.edge_speed", edge_speed, "speed"),
        steps=tuple(sheet.steps),
    )


def _up_to_the_edge(
    side: Side | None, fall: _Fall, sheet: Sheet, notes: Notes
) -> tuple[float | None, float | None, float | None, float | None]:
    """Of the swing across: what is run before the D-ring is back over the edge, what is blocked from there to under the rail, and drop
    and speed so far. None where the edge does not lie across the vehicle or is not measured."""
    if side is None or side.edge is None or side.side not in ("left", "right"):
        return None, None, None, None
    (sign,) = toward(side.side)
    aside = min(sign * end for end in fall.frame.rail) - fall.frame.parked
    start = max(0.0, fall.frame.reach - aside)
    blocked = min(start, max(0.0, ends(side.edge, notes)[0] - aside))
    drop, speed = _contact(start, blocked, fall, sheet)
    return start - blocked, blocked, drop, speed
