"""Stage 2, offsets: how far to the side of the line exit the D-ring can be. All lengths in m."""

from __future__ import annotations

from docgen.calc import swing
from docgen.engineering import along
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.stage import Stage
from docgen.engineering.spread import Spread, fixed
from docgen.frozen import frozen
from docgen.site import Bay, Quantity, SideName, Task, Vehicle

__all__ = ["ALONG", "Distances", "Offsets", "distances", "offsets"]

ALONG: tuple[SideName, ...] = ("front", "rear")  # their edges are measured along the vehicle, where the trolley follows


@frozen
class Distances:
    """What adds up to the offset, each as the profile gives it or None; `along` is the lag of the trolley and any reach past the end of the rail."""

    reach: Spread | None
    rail_offset: Spread | None
    parking: Spread | None
    along: Spread
    missing: tuple[str, ...]


@frozen
class Offsets:
    """Offset of the D-ring from under the line exit: across the rail, in all, and the most and the least that can occur.

    `rail_offset` is a distance, whichever side it is to; `least_toward` how far toward the side that it is said to be on the rail is at
    least, below zero where its tolerance brings it beyond the middle.
    """

    reach: Spread
    rail_offset: Spread
    least_toward: float
    parking: Spread
    along: Spread
    across: float
    offset: float
    across_worst: float
    worst: float
    least: float


def distances(bay: Bay, vehicle: Vehicle, task: Task, notes: Notes) -> Distances:
    """Reach, rail offset, parking tolerance and lag; what is missing among them is named."""
    reach = _reach(vehicle, task, notes)
    rail_offset = notes.measured(bay.rail.offset)
    parking = notes.measured(bay.parking.lateral, "bound")
    lag = notes.usual(bay.rail.trolley_lag, "trolley_lag", "length").not_below_zero()
    past = _past(bay, vehicle, task, notes)
    paths = (
        (reach, f"{task.path}.reach_from_centreline"),
        (rail_offset, f"{bay.rail.path}.offset"),
        (parking, f"{bay.path}.parking.lateral"),
    )
    return Distances(
        reach=reach,
        rail_offset=None if rail_offset is None else _distance(rail_offset),
        parking=None if parking is None else parking.not_below_zero(),
        along=lag + past,
        missing=tuple(path for value, path in paths if value is None),
    )


def offsets(given: Distances, notes: Notes) -> Stage[Offsets]:
    """The offset: as the figures stand, with every tolerance added, and the least that a person on the deck can have."""
    if given.reach is None or given.rail_offset is None or given.parking is None:
        return Stage(None, given.missing)
    reach, rail, parking, along = given.reach, given.rail_offset, given.parking, given.along
    across = notes.sheet.run(swing.across_offset, rail_offset=rail.nominal, reach=reach.nominal, parking=parking.nominal)
    offset = notes.sheet.run(swing.offset, across=across, along=along.nominal)
    across_worst = notes.corner.run_for(
        "offset", swing.across_offset, rail_offset=rail.high, reach=reach.high, parking=parking.high
    )
    worst = notes.corner.run_for("offset", swing.offset, across=across_worst, along=along.high)
    return Stage(
        Offsets(
            reach=reach,
            rail_offset=rail,
            least_toward=2.0 * rail.nominal - rail.high,
            parking=parking,
            along=along,
            across=across,
            offset=offset,
            across_worst=across_worst,
            worst=worst,
            least=max(0.0, rail.low - reach.high - parking.high),
        )
    )


def _past(bay: Bay, vehicle: Vehicle, task: Task, notes: Notes) -> Spread:
    """Reach past the end of the rail: what the task states and what the places give, the larger of the two."""
    stated = (notes.measured(task.past_end_stop) or fixed(0.0)).not_below_zero()
    given = along.work_past(bay, vehicle, notes.measured)
    return stated if given is None else _farther(stated, given)


def _distance(signed: Spread) -> Spread:
    """A distance to either side as one: how far, not to which side."""
    ends = (abs(signed.low), abs(signed.high))
    low = 0.0 if signed.low <= 0.0 <= signed.high else min(ends)
    return Spread(nominal=abs(signed.nominal), low=low, high=max(ends))


def _reach(vehicle: Vehicle, task: Task, notes: Notes) -> Spread | None:
    """The task's own reach, and never less than any edge that nothing physical stops a person from getting to."""
    edges = [s.edge for s in vehicle.sides if not s.stopped_by and s.side not in ALONG]
    widest: Spread | None = None
    quantities: list[Quantity | None] = [task.reach_from_centreline, *edges]
    for found in map(notes.measured, quantities):
        if found is not None:
            known = found.not_below_zero()
            widest = known if widest is None else _farther(widest, known)
    return widest


def _farther(one: Spread, other: Spread) -> Spread:
    """The farther of two, end by end."""
    return Spread(nominal=max(one.nominal, other.nominal), low=max(one.low, other.low), high=max(one.high, other.high))
