"""Along the rail: the places that work reaches, and how far they lie past its last hanger. All lengths in m, along the rail from its first end.

A vehicle stands with its front at `bays.parking.along.front`, give or take `bays.parking.along.off`. People go from the beginning of the walk to its
end, to each hatch, and over an open end of the vehicle as far as its edge. What is not stated leaves the figure out; facts.py asks for it.
"""

from __future__ import annotations

from docgen.calc import along
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.site import Bay, Quantity, Vehicle

__all__ = ["Past", "Reached", "ladder_past", "reached", "work_past"]


@frozen
class Reached:
    """The part of a vehicle, from its front, that a person can get to: nominal, and with every stated tolerance outward."""

    low: float
    high: float
    low_worst: float
    high_worst: float


@frozen
class Past:
    """How far a place lies past the first or last hanger: as stated, and with every stated tolerance the wrong way; zero where it does not."""

    nominal: float
    worst: float


def reached(vehicle: Vehicle, sheet: Sheet) -> Reached | None:
    """Walk, hatches and open ends of a vehicle; None where the walk is not stated. Nobody gets beyond the ends of the vehicle."""
    walk = vehicle.walk
    if walk.from_ is None or walk.to is None:
        return None
    hatches = [h.at for h in vehicle.hatches if h.at is not None]
    low, high = min((walk.from_, *hatches), key=_low), max((walk.to, *hatches), key=_high)
    front, rear = _open_end(vehicle, "front"), _open_end(vehicle, "rear")
    for figure in (low, high, front, rear):
        if figure is not None:
            sheet.use(figure)
    ends = (0.0, float("inf"), float("inf"))
    if vehicle.length is not None:
        length = sheet.use(vehicle.length)
        ends = (0.0, length, length + vehicle.length.tolerance)
    return Reached(
        low=max(low.si - _si(front), ends[0]),
        high=min(high.si + _si(rear), ends[1]),
        low_worst=max(_low(low) - _si(front) - _slack(front), ends[0]),
        high_worst=min(_high(high) + _si(rear) + _slack(rear), ends[2]),
    )


def work_past(bay: Bay, vehicle: Vehicle, sheet: Sheet, steps: bool = False) -> Past | None:
    """How far work on a vehicle reaches past the rail; None where a figure for it is not stated. `steps`: the working is kept."""
    parking, hangers = bay.parking, bay.rail.hangers
    if parking.along.front is None or parking.along.off is None or hangers.first is None or hangers.last is None:
        return None
    if _lowest(parking.along.off, vehicle.length) < 0:
        return None
    where = reached(vehicle, sheet)
    if where is None or (parking.along.either_way and vehicle.length is None):
        return None
    for figure in (parking.along.front, parking.along.off, hangers.first, hangers.last):
        sheet.use(figure)
    front, length = parking.along.front, vehicle.length
    nominal = _on_rail(front.si, 0.0, where.low, where.high, 0.0)
    worst = _on_rail(front.si, front.tolerance, where.low_worst, where.high_worst, 0.0)
    if parking.along.either_way and length is not None:
        nominal = _widest(nominal, _on_rail(front.si, 0.0, where.low, where.high, length.si))
        worst = _widest(
            worst, _on_rail(front.si, front.tolerance + length.tolerance, where.low_worst, where.high_worst, length.si)
        )
    if steps:
        for name, at in (("low", where.low), ("high", where.high)):
            sheet.run_for(f"{vehicle.id}.{name}", along.place, front=front.si, on_vehicle=at)
            if parking.along.either_way and length is not None:
                sheet.run_for(f"{vehicle.id}.{name}", along.place_turned, front=front.si, vehicle_length=length.si, on_vehicle=at)
    return _past(bay, nominal, worst, sheet if steps else Sheet(sheet.path), vehicle.id)


def ladder_past(bay: Bay) -> Past | None:
    """How far the ladder lies past the rail; None where its place or that of the hangers is not stated. The ladder of a vehicle stands where it stands."""
    ladder, hangers = bay.ladder, bay.rail.hangers
    if ladder.at is None or hangers.first is None or hangers.last is None:
        return None
    return _past(
        bay, (ladder.at.si, ladder.at.si), (_low(ladder.at), _high(ladder.at)), Sheet(bay.path), "", ladder.owner != "site"
    )


def _past(
    bay: Bay, nominal: tuple[float, float], worst: tuple[float, float], sheet: Sheet, what: str, parked: bool = True
) -> Past | None:
    hangers, off = bay.rail.hangers, bay.parking.along.off
    if hangers.first is None or hangers.last is None or (parked and off is None) or _lowest(off) < 0:
        return None
    aside, slack = (off.si, off.tolerance) if parked and off is not None else (0.0, 0.0)
    return Past(
        nominal=sheet.run_for(
            what,
            along.past_end,
            lowest_place=nominal[0],
            highest_place=nominal[1],
            parking_along=aside,
            first_hanger=hangers.first.si,
            last_hanger=hangers.last.si,
        ),
        worst=along.past_end(worst[0], worst[1], aside + slack, _high(hangers.first), _low(hangers.last)),
    )


def _on_rail(front: float, slack: float, low: float, high: float, turned: float) -> tuple[float, float]:
    """The lowest and the highest place along the rail; `turned` is the length of a vehicle that stands the other way round, else zero."""
    if turned:
        low, high = turned - high, turned - low
    return front + low - slack, front + high + slack


def _widest(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    return min(one[0], other[0]), max(one[1], other[1])


def _open_end(vehicle: Vehicle, name: str) -> Quantity | None:
    """How far it is from the last place of work to an end over which a person can fall."""
    return next((s.edge for s in vehicle.sides if s.side == name and s.stopped_by is None), None)


def _si(quantity: Quantity | None) -> float:
    return 0.0 if quantity is None else quantity.si


def _slack(quantity: Quantity | None) -> float:
    return 0.0 if quantity is None else quantity.tolerance


def _lowest(*quantities: Quantity | None) -> float:
    """The least of some figures: one below zero means nothing (`length-below-zero`) and nothing is computed from it."""
    return min((q.si for q in quantities if q is not None), default=0.0)


def _low(quantity: Quantity) -> float:
    return quantity.si - quantity.tolerance


def _high(quantity: Quantity) -> float:
    return quantity.si + quantity.tolerance
