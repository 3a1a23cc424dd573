"""Stage 2, offsets: how far to the side of the line exit the D-ring can be. All lengths in m."""

from __future__ import annotations

from docgen.calc import swing
from docgen.engineering import along
from docgen.engineering.case.notes import Notes, tolerance
from docgen.engineering.case.stage import Stage
from docgen.frozen import frozen
from docgen.site import Bay, Quantity, SideName, Task, Vehicle

__all__ = ["ALONG", "Distances", "Offsets", "distances", "offsets"]

ALONG: tuple[SideName, ...] = ("front", "rear")  # their edges are measured along the vehicle, where the trolley follows


@frozen
class Distances:
    """What adds up to the offset, each as the profile gives it or None; `along` is the lag of the trolley and any reach past the end of the rail.

    `slack` is the tolerance of rail offset and reach together, `along_slack` that of lag and reach past the end.
    """

    reach: float | None
    rail_offset: float | None
    parking: float | None
    along: float
    along_slack: float
    slack: float
    missing: tuple[str, ...]


@frozen
class Offsets:
    """Offset of the D-ring from under the line exit: across the rail, in all, and after the stated tolerances."""

    reach: float
    rail_offset: float
    along: float
    slack: float
    across: float
    offset: float
    worst: float


def distances(bay: Bay, vehicle: Vehicle, task: Task, notes: Notes) -> Distances:
    """Reach, rail offset, parking tolerance and lag; what is missing among them is named."""
    widest = _reach(vehicle, task)
    reach = notes.measured(widest)
    rail_offset = notes.measured(bay.rail.offset)
    parking = notes.measured(bay.parking.lateral)
    lag = notes.usual(bay.rail.trolley_lag, "trolley_lag")
    past, past_worst = _past(bay, vehicle, task, notes)
    paths = (
        (reach, f"{task.path}.reach_from_centreline"),
        (rail_offset, f"{bay.rail.path}.offset"),
        (parking, f"{bay.path}.parking.lateral"),
    )
    return Distances(
        reach=reach,
        rail_offset=rail_offset,
        parking=parking,
        along=lag + past,
        along_slack=tolerance(bay.rail.trolley_lag) + past_worst - past,
        slack=tolerance(bay.rail.offset, widest),
        missing=tuple(path for value, path in paths if value is None),
    )


def offsets(bay: Bay, given: Distances, notes: Notes) -> Stage[Offsets]:
    """The offset, nominal and with every stated tolerance added."""
    if given.reach is None or given.rail_offset is None or given.parking is None:
        return Stage(None, given.missing)
    across = notes.sheet.run(swing.across_offset, rail_offset=abs(given.rail_offset), reach=given.reach, parking=given.parking)
    slack = given.slack + tolerance(bay.parking.lateral)
    worst = notes.corner.run(swing.offset, across=across + slack, along=given.along + given.along_slack)
    offset = notes.sheet.run(swing.offset, across=across, along=given.along)
    return Stage(
        Offsets(
            reach=given.reach,
            rail_offset=given.rail_offset,
            along=given.along,
            slack=given.slack,
            across=across,
            offset=offset,
            worst=worst,
        )
    )


def _past(bay: Bay, vehicle: Vehicle, task: Task, notes: Notes) -> tuple[float, float]:
    """Reach past the end of the rail, nominal and worst: what the task states and what the places give, the larger of the two."""
    stated = notes.measured(task.past_end_stop) or 0.0
    worst = stated + tolerance(task.past_end_stop)
    given = along.work_past(bay, vehicle, notes.sheet)
    return (stated, worst) if given is None else (max(stated, given.nominal), max(worst, given.worst))


def _reach(vehicle: Vehicle, task: Task) -> Quantity | None:
    """The task's own reach, and never less than any edge that nothing physical stops a person from getting to."""
    edges = [s.edge for s in vehicle.sides if s.stopped_by is None and s.side not in ALONG]
    wanted = [q for q in (task.reach_from_centreline, *edges) if q is not None]
    return max(wanted, key=lambda q: q.si, default=None)
