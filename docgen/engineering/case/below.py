"""Stage 3, below: the highest thing that a person who falls on that side can meet. Elevations in m above the datum of the bay."""

from __future__ import annotations

from docgen.engineering.case.heights import Deck
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage
from docgen.engineering.spread import Spread
from docgen.frozen import frozen
from docgen.limits import at_least, under
from docgen.site import Bay, Obstruction, Protrusion, Side, Vehicle

__all__ = ["Below", "Level", "below", "things"]


@frozen
class Level:
    """A surface or thing below: elevation, what it is, and its profile path. `moves`: it rises and sinks with the deck."""

    top: Spread
    what: str
    path: str
    moves: bool


@frozen
class Below:
    """What a person who falls on that side can meet first: all that counts, and the highest as the figures stand."""

    levels: tuple[Level, ...]

    @property
    def highest(self) -> Level:
        """The highest as the figures stand; of equal ones the first."""
        return max(self.levels, key=lambda level: level.top.nominal)


def below(
    bay: Bay, vehicle: Vehicle, side: Side | None, deck: Stage[Deck], offsets: Stage[Offsets], notes: Notes
) -> Stage[Below]:
    """The surface below that side, and each protrusion there; one whose position is not known counts as in the path.

    `side` is None where the profile lists no side of the vehicle. Without the deck nothing counts as above it, without the
    offset nothing counts as too far out.
    """
    if side is None:
        return Stage(None, (f"{vehicle.path}.sides",))
    base = notes.measured(side.lower.height)
    if base is None or side.lower.height is None:
        return Stage(None, (f"{side.path}.lower.height",))
    edge = side.edge.si if side.edge is not None else 0.0
    zone = None if offsets.value is None else max(offsets.value.worst, edge) + trade_figure("landing_width", notes.system)
    levels = [Level(top=base, what=side.lower.what or "", path=side.lower.height.path, moves=side.lower.moves_with == "vehicle")]
    for thing in things(bay, vehicle):
        if thing.side not in (None, side.side) or thing.top is None:
            continue
        if deck.value is not None and at_least(thing.top.si, deck.value.elevation.nominal):
            continue
        near, top = notes.measured(thing.from_), notes.measured(thing.top)
        if top is not None and (near is None or zone is None or under(near.low, zone)):
            levels.append(Level(top=top, what=thing.what, path=thing.top.path, moves=isinstance(thing, Protrusion)))
    return Stage(Below(levels=tuple(levels)))


def things(bay: Bay, vehicle: Vehicle) -> tuple[Protrusion | Obstruction, ...]:
    """Everything that stands out from the vehicle or stands fixed in the bay."""
    return (*vehicle.protrusions, *bay.obstructions)
