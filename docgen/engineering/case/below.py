"""Stage 3, below: the highest thing that a person who falls on that side can meet. Elevations in m above the datum of the bay."""

from __future__ import annotations

import math

from docgen.engineering.case.frame import ends, frame, places, toward
from docgen.engineering.case.heights import Deck
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage
from docgen.frozen import frozen
from docgen.limits import at_least, under
from docgen.site import Bay, Obstruction, Protrusion, Side, Vehicle

__all__ = ["Below", "below", "things"]


@frozen
class Below:
    """The lower level: elevation, how much higher tolerances may bring it, what it is, and its profile path."""

    elevation: float
    slack: float
    what: str
    path: str


def below(
    bay: Bay, vehicle: Vehicle, side: Side | None, deck: Stage[Deck], offsets: Stage[Offsets], system: str, notes: Notes
) -> Stage[Below]:
    """The highest surface or protrusion below that side; one whose position is not known counts as in the path.

    A thing that stands up beside the deck counts as one that is as high as the deck: whoever falls comes down along it, and a taller
    one is never better than a shorter one. What begins above the deck is none to come down on; the swing looks at it (`struck`).
    `side` is None where the profile lists no side of the vehicle. Without the deck nothing counts as above it, without the
    offset nothing counts as too far out.
    """
    if side is None:
        return Stage(None, (f"{vehicle.path}.sides",))
    base = side.lower.height
    if base is None:
        return Stage(None, (f"{side.path}.lower.height",))
    surface = math.inf if deck.value is None else deck.value.elevation
    candidates = [(base.si, base, side.lower.what or "")]
    for thing in things(bay, vehicle):
        if thing.side not in (None, side.side) or thing.top is None:
            continue
        if thing.bottom is not None and at_least(ends(thing.bottom)[0], surface):
            continue
        if offsets.value is None or _under_the_fall(thing, side, bay, offsets.value, system):
            candidates.append((min(thing.top.si, surface), thing.top, thing.what))
    elevation, top, what = max(candidates, key=lambda c: c[0])
    highest = max(level + quantity.tolerance for level, quantity, _ in candidates)
    notes.sheet.use(top)
    return Stage(Below(elevation=elevation, slack=highest - elevation, what=what, path=top.path))


def _under_the_fall(thing: Protrusion | Obstruction, side: Side, bay: Bay, offsets: Offsets, system: str) -> bool:
    """Whether a person who falls on that side can come down on the thing.

    Outward that goes a landing width beyond wherever the D-ring can come on that side, and no less far than beyond the offset or the
    edge, since nobody knows which way a falling person turns.
    """
    moves = isinstance(thing, Protrusion)
    swept = frame(bay, offsets).swept(moves)
    edge = side.edge.si if side.edge is not None else 0.0
    zone = max(offsets.worst, edge, *(sign * (swept.low if sign < 0 else swept.high) for sign in toward(side.side)))
    zone += trade_figure("landing_width", system)
    return any(under(place.gap(0.0), zone) for place in places(thing))


def things(bay: Bay, vehicle: Vehicle) -> tuple[Protrusion | Obstruction, ...]:
    """Everything that stands out from the vehicle or stands fixed in the bay."""
    return (*vehicle.protrusions, *bay.obstructions)
