"""The swing: what the body meets on its way, how hard, and what the qualified person wrote on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from docgen.engineering.case.struck import FLANK
from docgen.engineering.ladder import LADDER
from docgen.engineering.model import Case, Struck
from docgen.findings.common import case_names, held, listed, most_first, task_path, terms, worded
from docgen.findings.model import Figure, Value
from docgen.findings.rule import NOTICE, PLAN, RECORD, finding
from docgen.findings.view import Hit, View, down, near, up
from docgen.limits import over
from docgen.site import Obstruction, Protrusion, Quantity, Task
from docgen.site import Struck as Entry
from docgen.trade.practice import practice

__all__ = [
    "Fault",
    "distance_signed",
    "line_fouled",
    "obstruction_unmeasured",
    "struck_entry_idle",
    "swing_into",
    "swing_into_flat",
    "swing_into_flat_light",
    "swing_into_flat_written",
    "swing_into_lightly",
    "swing_too_hard",
]

#: Why no entry holds.
Fault = Literal["by-nobody", "by-other", "ahead", "for-less"]


class _Met(NamedTuple):
    """One thing, or the flank, with the cases that meet it and what it means in each, the longest drop first."""

    struck: Struck
    case: Case
    cases: list[Case]


def _met(view: View, key: Callable[[Case, Struck], object], which: Callable[[Struck], bool]) -> Iterator[_Met]:
    """What the cases of allowed tasks meet, and the climb to them, together where the key is the same."""
    groups: dict[object, list[tuple[Struck, Case]]] = {}
    for case in view.allowed:
        for struck in (*case.struck, *_off_the_ladder(view, case)):
            if which(struck):
                groups.setdefault(key(case, struck), []).append((struck, case))
    for group in groups.values():
        ranked = sorted(group, key=lambda pair: most_first(pair[0].drop))
        struck, worst = ranked[0]
        yield _Met(struck, worst, [case for _, case in ranked])


def _off_the_ladder(view: View, case: Case) -> Iterator[Struck]:
    """What whoever climbs up to the work of a case meets who falls off the top of the ladder."""
    further = next((f for f in view.further if f.bay == case.bay), None)
    yield from (struck for struck in (() if further is None else further.struck) if struck.vehicle == case.vehicle)


def _by_thing(case: Case, struck: Struck) -> object:
    return struck.thing, case.bay


def _by_task(case: Case, struck: Struck) -> object:
    """The flank is one object on all sides, since one entry speaks of it; off the ladder it is another."""
    return case.task, struck.object


def _projects(struck: Struck) -> bool:
    return struck.measured and not struck.flat


def _flat(struck: Struck) -> bool:
    return struck.measured and struck.flat


def _light(view: View) -> float:
    return practice("swing_drop_light", view.system).si


def _most(view: View) -> float:
    return practice("swing_drop_most", view.system).si


def _name(struck: Struck) -> Value:
    if struck.what is not None:
        return struck.what
    return worded("flank-at-ladder") if struck.object == LADDER else worded("flank")


def _values(view: View, met: _Met) -> dict[str, Value]:
    return case_names(view, met.cases) | {
        "thing": _name(met.struck),
        "object": met.struck.object,
        "drop": up(met.struck.drop),
        "speed": up(met.struck.speed),
    }


def _hit(view: View, met: _Met, values: dict[str, Value]) -> Hit:
    """At the thing itself or the distance of the ladder, or at the task where it is the vehicle's flank; of the bay of that task, whoever else uses the vehicle."""
    task = task_path(view, met.case)
    return Hit(task if met.struck.object == FLANK else met.struck.thing, values, about=task)


@finding("swing-into", "must-fix", documents=(PLAN, RECORD))
def swing_into(view: View) -> Iterator[Hit]:
    """What it looks at: columns, arms and parts that stick out in the whole arc of the body, feet to head, against the light drop.

    Why: it hits them at speed, on a small place. Example: a drop of 1.8 ft gives about 10.8 ft/s into a post. Reference: own choice;
    common practice, no published source; energy conservation.
    """
    for met in _met(view, _by_thing, _projects):
        if over(met.struck.drop.si, _light(view)):
            yield _hit(view, met, _values(view, met) | {"limit": down(_light(view)), "offset": up(met.case.offset_worst)})


@finding("swing-too-hard", "must-fix", documents=(PLAN, RECORD))
def swing_too_hard(view: View) -> Iterator[Hit]:
    """What it looks at: the drop of the swing into a flat face against the most that any entry may tolerate.

    Why: nothing written makes it bearable. Example: a drop of 4.2 ft is a fall of 4.2 ft against a wall. Reference: own choice; 4 ft
    (1.2 m) stands in consensus standards (memory).
    """
    for met in _met(view, _by_task, _flat):
        if over(met.struck.drop.si, _most(view)):
            yield _hit(view, met, _values(view, met) | {"limit": down(_most(view))})


def _between(view: View) -> Iterator[tuple[_Met, Task]]:
    """Flat faces met at a drop that the qualified person may call tolerable."""
    tasks = {task.id: task for task in view.site.tasks}
    for met in _met(view, _by_task, _flat):
        if over(met.struck.drop.si, _light(view)) and not over(met.struck.drop.si, _most(view)):
            yield met, tasks[met.case.task]


def _named(entry: Entry, struck: Struck) -> bool:
    return str(entry.object).casefold() == struck.object.casefold()


def _fault(view: View, entry: Entry, drop: Quantity) -> Fault | None:
    """Why an entry on that object does not hold for this drop; None where it does."""
    if view.ahead(entry.on):
        return "ahead"
    if not held(view, "qualified-person", entry.by, entry.on):
        return "by-other"
    if entry.drop is None or over(drop.si, entry.drop.si):
        return "for-less"
    return None


def _standing(view: View, task: Task, struck: Struck) -> tuple[Entry | None, Fault]:
    """The entry that holds; else None and why the last one on that object does not."""
    why: Fault = "by-nobody"
    for entry in task.struck:
        if _named(entry, struck):
            fault = _fault(view, entry, struck.drop)
            if fault is None:
                return entry, why
            why = fault
    return None, why


@finding("swing-into-flat", "must-fix", documents=(PLAN, RECORD))
def swing_into_flat(view: View) -> Iterator[Hit]:
    """What it looks at: flat faces, the vehicle's own flank among them, met at more than the light drop, and what was written on them.

    Why: whether it is tolerable is for the qualified person to say. Example: a drop of 1.4 ft into the flank, and nobody wrote that
    its rail is padded. Reference: own choice; common practice, no published source.
    """
    for met, task in _between(view):
        entry, why = _standing(view, task, met.struck)
        if entry is None:
            yield _hit(view, met, _values(view, met) | {"limit": down(_light(view)), "entry": worded(f"struck-{why}")})


@finding("swing-into-flat-written", "advice", documents=(PLAN, RECORD))
def swing_into_flat_written(view: View) -> Iterator[Hit]:
    """What it looks at: flat faces on which the qualified person of that day wrote, for this drop or a longer one.

    Why: it is tolerated, not gone. Example: padded, for a drop of 1.5 ft. Reference: own choice; common practice, no published source.
    """
    for met, task in _between(view):
        entry, _ = _standing(view, task, met.struck)
        if entry is not None:
            said: dict[str, Value] = {"by": entry.by or "", "text": entry.text or "", "written": near(entry.drop)}
            yield _hit(view, met, _values(view, met) | said)


@finding("swing-into-lightly", "fix-soon", documents=(PLAN, RECORD))
def swing_into_lightly(view: View) -> Iterator[Hit]:
    """What it looks at: parts that stick out and are met at no more than the light drop.

    Why: a corner hurts where a wall does not. Example: a post met after 0.6 ft of drop. Reference: own choice; common practice, no
    published source.
    """
    for met in _met(view, _by_thing, _projects):
        if not over(met.struck.drop.si, _light(view)):
            yield _hit(view, met, _values(view, met))


@finding("swing-into-flat-light", "advice", documents=(PLAN, RECORD))
def swing_into_flat_light(view: View) -> Iterator[Hit]:
    """What it looks at: flat faces met at no more than the light drop, the hardest of each bay.

    Why: the person meets them all the same. Example: 0.9 ft of drop into the flank. Reference: own choice; common practice, no
    published source.
    """
    for met in _met(view, lambda case, struck: (case.bay, struck.object), _flat):
        if not over(met.struck.drop.si, _light(view)):
            yield _hit(view, met, _values(view, met))


@finding("line-fouled", "must-fix", documents=(PLAN, RECORD))
def line_fouled(view: View) -> Iterator[Hit]:
    """What it looks at: things over the heads of those at work, between line exit and D-ring, against how far out the line can be there.

    Why: a line that lies against a pipe or a beam does not run straight up: it bends and may be cut, the trolley does not follow, and no figure
    of the case holds. Beyond the reach of the line nothing is met. Example: a pipe at 20 ft over the walkway, the rail at 27 ft. Reference: common practice, no
    published source; geometry.
    """
    met: dict[tuple[str, str], list[Case]] = {}
    for case in view.allowed:
        for path in case.fouled:
            met.setdefault((path, case.bay), []).append(case)
    for (path, bay), cases in met.items():
        known = (*view.bays[bay].obstructions, *view.vehicles[cases[0].vehicle].protrusions)
        thing = next(t for t in known if t.path == path)
        bottom = min((q for q in (thing.bottom, thing.top) if q is not None), key=lambda q: q.si)
        values = case_names(view, cases[:1]) | {"thing": thing.what, "bottom": near(bottom)}
        yield Hit(path, values, about=task_path(view, cases[0]))


@finding("obstruction-unmeasured", "must-fix", documents=(PLAN, RECORD))
def obstruction_unmeasured(view: View) -> Iterator[Hit]:
    """What it looks at: things beside the vehicle without a measured place.

    Why: unmeasured counts as in the path. Example: a parked loading arm with a height and no distance. Reference:
    common practice, no published source.
    """
    for met in _met(view, _by_thing, lambda struck: not struck.measured):
        thing = _thing(view, met)
        lacking = [n for n, q in (("from", thing.from_), ("bottom", thing.bottom), ("top", thing.top)) if q is None]
        yield Hit(
            thing.path,
            case_names(view, met.cases) | {"thing": thing.what, "lacking": terms(lacking)},
            about=task_path(view, met.case),
        )


def _thing(view: View, met: _Met) -> Obstruction | Protrusion:
    known: tuple[Obstruction | Protrusion, ...] = (
        *view.bays[met.case.bay].obstructions,
        *view.vehicles[met.case.vehicle].protrusions,
    )
    return next(thing for thing in known if thing.path == met.struck.thing)


@finding("struck-entry-idle", "fix-soon", documents=(PLAN, RECORD))
def struck_entry_idle(view: View) -> Iterator[Hit]:
    """What it looks at: entries of the qualified person on an object that is no flat face in the swing of that task, once all its cases are worked out.

    Why: somebody believes that it mends something. Example: an entry on a lamp post, which is not flat. Reference: common practice, no
    published source.
    """
    for task in view.site.tasks:
        cases = [c for c in view.allowed if c.task == task.id]
        if any(c.margin is None for c in cases):  # what a swing meets is not known where it is not worked out
            continue
        met = [s for c in cases for s in (*c.struck, *_off_the_ladder(view, c)) if _flat(s)]
        for entry in task.struck:
            if task.permission == "allowed" and not any(_named(entry, struck) for struck in met):
                objects = listed(sorted(s.object for s in met)) if met else worded("nothing")
                yield Hit(entry.path, {"object": entry.object, "task": task.id, "objects": objects})


@finding("distance-signed", "must-fix", documents=(PLAN, RECORD, NOTICE))
def distance_signed(view: View) -> Iterator[Hit]:
    """What it looks at: distances from the center line that are negative although the side stands beside them.

    Why: nobody knows which side is meant, so that both are reckoned with. Example: offset -0.5 ft toward right. Reference: common
    practice, no published source.
    """
    for bay in view.site.bays:
        yield from _signed(bay.rail.offset, "offset_toward")
        for thing in bay.obstructions:
            for quantity in (thing.from_, thing.to):
                yield from _signed(quantity, "side")
    for vehicle in view.site.vehicles:
        for protrusion in vehicle.protrusions:
            for quantity in (protrusion.from_, protrusion.to):
                yield from _signed(quantity, "side")


def _signed(quantity: Quantity | None, says: str) -> Iterator[Hit]:
    if quantity is not None and quantity.si < 0:
        yield Hit(quantity.path, {"distance": Figure(quantity.si, "length", "nearest"), "field": says})
