"""Along the rail: the places that work reaches, and how far they lie past its last hanger. All lengths in m, along the rail from its first end.

A vehicle stands with its front at `bays.parking.along.front`, give or take `bays.parking.along.off`. People go from the beginning of the walk to its
end, to each hatch, and over an open end of the vehicle as far as its edge. What is not stated leaves the figure out; facts.py asks for it.
"""

from __future__ import annotations

from typing import Protocol

from docgen.calc import along
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import Of, Spread, fixed, spread
from docgen.frozen import frozen
from docgen.site import Bay, Quantity, Vehicle

__all__ = ["Measure", "Measures", "Reached", "ladder_past", "reached", "work_past"]


class Measure(Protocol):
    """What gives a figure of the profile with its ends; None where the profile does not give it."""

    def __call__(self, quantity: Quantity | None, of: Of = "length") -> Spread | None:
        """The figure at each end."""


class Measures:
    """A measure that notes what it was asked for on a sheet. `system` is us or si."""

    def __init__(self, sheet: Sheet, system: str) -> None:
        self._sheet, self._system = sheet, system

    def __call__(self, quantity: Quantity | None, of: Of = "length") -> Spread | None:
        """A figure with its ends, noted as an input."""
        if quantity is None:
            return None
        self._sheet.use(quantity)
        return spread(quantity, of, self._system)[0]


@frozen
class Reached:
    """The first and the last place that a person can get to, on a vehicle from its front or along the rail from its first end."""

    first: Spread
    last: Spread


def reached(vehicle: Vehicle, measure: Measure) -> Reached | None:
    """Walk, hatches and open ends of a vehicle; None where the walk is not stated. Nobody gets beyond the ends of the vehicle."""
    begins, ends = measure(vehicle.walk.from_), measure(vehicle.walk.to)
    if begins is None or ends is None:
        return None
    hatches = [found for h in vehicle.hatches if (found := measure(h.at)) is not None]
    first = _least(begins, *hatches) - _open_end(vehicle, "front", measure)
    last = _most(ends, *hatches) + _open_end(vehicle, "rear", measure)
    length = measure(vehicle.length)
    return Reached(first=_most(first, fixed(0.0)), last=_most(last if length is None else _least(last, length), fixed(0.0)))


def work_past(bay: Bay, vehicle: Vehicle, measure: Measure, sheet: Sheet | None = None) -> Spread | None:
    """How far work on a vehicle reaches past the rail; None where a figure for it is not stated. `sheet` takes the working."""
    stands = bay.parking.along
    front, where, length = measure(stands.front), reached(vehicle, measure), measure(vehicle.length)
    if front is None or where is None or (stands.either_way and (length is None or length.nominal < 0)):
        return None
    places = Reached(first=front + where.first, last=front + where.last)
    if stands.either_way and length is not None:
        turned = Reached(first=front + length - where.last, last=front + length - where.first)
        places = Reached(first=_least(places.first, turned.first), last=_most(places.last, turned.last))
    if sheet is not None:
        for name, at in (("first", where.first.nominal), ("last", where.last.nominal)):
            sheet.run_for(f"{vehicle.id}.{name}", along.place, front=front.nominal, on_vehicle=at)
            if stands.either_way and length is not None:
                sheet.run_for(
                    f"{vehicle.id}.{name}",
                    along.place_turned,
                    front=front.nominal,
                    vehicle_length=length.nominal,
                    on_vehicle=at,
                )
    off = measure(stands.off, "bound")
    return None if off is None else _past(bay, places, off, measure, sheet or Sheet(bay.path), vehicle.id)


def ladder_past(bay: Bay, measure: Measure) -> Spread | None:
    """How far the ladder lies past the rail; None where its place or that of the hangers is not stated. The ladder of a vehicle stands off with it."""
    at = measure(bay.ladder.at)
    off = fixed(0.0) if bay.ladder.owner == "site" else measure(bay.parking.along.off, "bound")
    if at is None or off is None:
        return None
    return _past(bay, Reached(first=at, last=at), off, measure, Sheet(bay.path), "")


def _past(bay: Bay, places: Reached, off: Spread, measure: Measure, sheet: Sheet, what: str) -> Spread | None:
    """How far places lie past the first or the last hanger, whichever is more; none where a hanger is not stated or an allowance is below zero."""
    first, last = measure(bay.rail.hangers.first), measure(bay.rail.hangers.last)
    if first is None or last is None or off.nominal < 0:
        return None
    return Spread(
        nominal=sheet.run_for(
            what,
            along.past_end,
            lowest_place=places.first.nominal,
            highest_place=places.last.nominal,
            parking_along=off.nominal,
            first_hanger=first.nominal,
            last_hanger=last.nominal,
        ),
        low=along.past_end(places.first.high, places.last.low, max(off.low, 0.0), first.low, last.high),
        high=along.past_end(places.first.low, places.last.high, off.high, first.high, last.low),
    )


def _open_end(vehicle: Vehicle, name: str, measure: Measure) -> Spread:
    """How far it is from the last place of work to an end over which a person can fall; nothing where the end is closed or not measured."""
    edge = next((s.edge for s in vehicle.sides if s.side == name and not s.stopped_by), None)
    return measure(edge) or fixed(0.0)


def _least(*spreads: Spread) -> Spread:
    """The least of several figures, end by end."""
    return Spread(nominal=min(s.nominal for s in spreads), low=min(s.low for s in spreads), high=min(s.high for s in spreads))


def _most(*spreads: Spread) -> Spread:
    """The most of several figures, end by end."""
    return Spread(nominal=max(s.nominal for s in spreads), low=max(s.low for s in spreads), high=max(s.high for s in spreads))
