"""Stage 3, below: the highest thing that a person who falls on that side can meet. Elevations in m above the datum of the bay."""

from __future__ import annotations

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

    `side` is None where the profile lists no side of the vehicle. Without the deck nothing counts as above it, without the
    offset nothing counts as too far out.
    """
    if side is None:
        return Stage(None, (f"{vehicle.path}.sides",))
    base = side.lower.height
    if base is None:
        return Stage(None, (side.lower_at,))
    edge = side.edge.si if side.edge is not None else 0.0
    zone = None if offsets.value is None else max(offsets.value.worst, edge) + trade_figure("landing_width", system)
    candidates = [(base, side.lower.what or "")]
    for thing in things(bay, vehicle):
        outside = side.side == "hatch" and thing.side is None  # what stands outside is not met inside a tank
        if outside or thing.side not in (None, side.side) or thing.top is None:
            continue
        if deck.value is not None and at_least(thing.top.si, deck.value.elevation):
            continue
        if thing.from_ is None or zone is None or under(thing.from_.si - thing.from_.tolerance, zone):
            candidates.append((thing.top, thing.what))
    top, what = max(candidates, key=lambda c: c[0].si)
    highest = max(c[0].si + c[0].tolerance for c in candidates)
    return Stage(Below(elevation=notes.sheet.use(top), slack=highest - top.si, what=what, path=top.path))


def things(bay: Bay, vehicle: Vehicle) -> tuple[Protrusion | Obstruction, ...]:
    """Everything that stands out from the vehicle or stands fixed in the bay."""
    return (*vehicle.protrusions, *bay.obstructions)
