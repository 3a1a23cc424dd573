"""One frame of coordinates across a bay: 0 is the center line of a correctly parked vehicle, left is negative. All lengths in m.

What is fixed in the bay stands still in it. What belongs to the vehicle moves with it, as far to either side as it may be parked; seen
from the vehicle it is the rail that moves. The trolley hangs under the rail. A person may fall from anywhere within the reach, and the
D-ring swings from there through the whole arc to its mirror about the trolley.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from docgen.engineering.case.notes import Notes
from docgen.engineering.case.offsets import Offsets
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import Bay, BayRail, Obstruction, Protrusion, Quantity, SideName

__all__ = ["EVERYWHERE", "Frame", "Reached", "Span", "ends", "frame", "places", "rail_at", "toward"]


class Span(NamedTuple):
    """From `low` to `high` across the bay; either may be infinite."""

    low: float
    high: float

    def wider(self, by: float) -> Span:
        """The same with so much more on either side."""
        return Span(self.low - by, self.high + by)

    def gap(self, place: float) -> float:
        """How far a place lies outside; zero within."""
        return max(self.low - place, place - self.high, 0.0)


EVERYWHERE = Span(-math.inf, math.inf)


class Reached(NamedTuple):
    """A swing about one place of the trolley that comes to a thing: how far the D-ring starts from under the trolley, and how far it
    still is from there when it comes to the thing."""

    start: float
    contact: float


@frozen
class Frame:
    """`rail`: where the trolley can hang. `parked`: how far to either side a vehicle may stand off. `reach`: how far from the center
    line of the vehicle the D-ring can be when a fall begins, to either side."""

    rail: Span
    parked: float
    reach: float

    def trolley(self, moves: bool) -> Span:
        """Where the trolley can hang, seen from the bay, or from a vehicle that may stand off."""
        return self.rail.wider(self.parked) if moves else self.rail

    def starts(self, moves: bool) -> float:
        """How far to either side a swing can start, seen from the bay or from the vehicle."""
        return self.reach if moves else self.reach + self.parked

    def swept(self, moves: bool) -> Span:
        """Everywhere the D-ring can come: from each start to its mirror about the trolley."""
        start, hang = self.starts(moves), self.trolley(moves)
        return Span(min(-start, 2 * hang.low - start), max(start, 2 * hang.high + start))

    def reached(self, place: Span, moves: bool) -> Iterator[Reached]:
        """The widest swing about each end of where the trolley can hang, if it comes to that place.

        No place between the ends is worse: toward an end the swing grows at least as fast as the way to the place.
        """
        start = self.starts(moves)
        for hang in self.trolley(moves):
            amplitude, contact = start + abs(hang), place.gap(hang)
            if not over(contact, amplitude):
                yield Reached(start=amplitude, contact=min(contact, amplitude))


def toward(side: SideName | None) -> tuple[int, ...]:
    """The signs of the side on which something lies; both where it is not across the vehicle, or not said."""
    return (-1,) if side == "left" else (1,) if side == "right" else (-1, 1)


def rail_at(rail: BayRail, low: float, high: float) -> Span:
    """Where the rail is, of which the distance from the center line lies between two figures.

    To both sides where no side is said, and where the figure is negative, since nobody knows then which side was meant.
    """
    negative = rail.offset is not None and rail.offset.si < 0
    signs = (-1, 1) if negative else toward(rail.offset_toward)
    signed = [sign * end for sign in signs for end in (low, high)]
    return Span(min(signed), max(signed))


def frame(bay: Bay, offsets: Offsets, notes: Notes) -> Frame:
    """The frame of one case, each figure at the end of its tolerance that makes the swing wider."""
    return Frame(rail=rail_at(bay.rail, *ends(bay.rail.offset, notes)), parked=offsets.parking.high, reach=offsets.reach.high)


def ends(quantity: Quantity | None, notes: Notes) -> tuple[float, float]:
    """The least and the most that tolerances let a figure be; zero for one that is not given."""
    found = notes.measured(quantity)
    return (0.0, 0.0) if found is None else (found.low, found.high)


def places(thing: Obstruction | Protrusion, notes: Notes) -> tuple[Span, ...]:
    """Where a thing stands across, seen from what carries it: the bay or the vehicle; everywhere where its near side is not measured.

    A thing of the front, the rear, a hatch or a gap may lie on either side of the center line; one whose far side is not measured
    reaches as far out as one likes.
    """
    if thing.from_ is None:
        return (EVERYWHERE,)
    found = (*ends(thing.from_, notes), *((math.inf,) if thing.to is None else ends(thing.to, notes)))
    near, far = min(found), max(found)
    return tuple(Span(min(sign * near, sign * far), max(sign * near, sign * far)) for sign in toward(thing.side))
