"""Stage 3, below: the highest thing that a person who falls on that side can meet. Elevations in m above the datum of the bay."""

from __future__ import annotations

from docgen.engineering.case.frame import ends, frame, places, toward
from docgen.engineering.case.heights import Deck
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage
from docgen.engineering.spread import Spread
from docgen.frozen import frozen
from docgen.limits import at_least, under
from docgen.site import Bay, Obstruction, Protrusion, Side, Vehicle
from docgen.site.obstacle import upright

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

    A thing that stands up beside the deck counts as one that is as high as the deck: whoever falls comes down along it, and a taller
    one is never better than a shorter one. What begins above the deck is none to come down on; the swing looks at it (`struck`).
    `side` is None where the profile lists no side of the vehicle. Without the deck nothing counts as above it, without the
    offset nothing counts as too far out.
    """
    if side is None:
        return Stage(None, (f"{vehicle.path}.sides",))
    base = notes.measured(side.lower.height)
    if base is None or side.lower.height is None:
        return Stage(None, (side.lower_at,))
    surface = None if deck.value is None else deck.value.elevation
    levels = [Level(top=base, what=side.lower.what or "", path=side.lower.height.path, moves=side.lower.moves_with == "vehicle")]
    for thing in things(bay, vehicle):
        lowest, highest = upright(thing)
        top, bottom = notes.measured(highest), notes.measured(lowest)
        outside = side.side == "hatch" and thing.side is None  # what stands outside is not met inside a tank
        if outside or thing.side not in (None, side.side) or highest is None or top is None:
            continue
        if surface is not None and bottom is not None and at_least(bottom.low, surface.high):
            continue
        if offsets.value is None or _under_the_fall(thing, side, bay, offsets.value, notes):
            levels.append(
                Level(
                    top=top if surface is None else top.no_higher(surface),
                    what=thing.what,
                    path=highest.path,
                    moves=isinstance(thing, Protrusion),
                )
            )
    return Stage(Below(levels=tuple(levels)))


def _under_the_fall(thing: Protrusion | Obstruction, side: Side, bay: Bay, offsets: Offsets, notes: Notes) -> bool:
    """Whether a person who falls on that side can come down on the thing.

    Outward that goes a landing width beyond wherever the D-ring can come on that side, and no less far than beyond the offset across or
    the edge. The lag adds nothing across; beyond an end of the vehicle, where nobody says whether a thing is measured across or along,
    it counts.
    """
    swept = frame(bay, offsets, notes).swept(moves=isinstance(thing, Protrusion))
    edge = ends(side.edge, notes)[1]
    offset = offsets.across_worst if side.side in ("left", "right") else offsets.worst
    zone = max(offset, edge, *(sign * (swept.low if sign < 0 else swept.high) for sign in toward(side.side)))
    zone += trade_figure("landing_width", notes.system)
    return any(under(place.gap(0.0), zone) for place in places(thing, notes))


def things(bay: Bay, vehicle: Vehicle) -> tuple[Protrusion | Obstruction, ...]:
    """Everything that stands out from the vehicle or stands fixed in the bay."""
    return (*vehicle.protrusions, *bay.obstructions)
