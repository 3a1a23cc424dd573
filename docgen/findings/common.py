"""What several finding functions share: names for sentences, figures of the law."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from typing import TYPE_CHECKING

from docgen.calc import arrest
from docgen.engineering.demands import TEXTILE, Demand, figure_beside
from docgen.engineering.gear import counts
from docgen.engineering.model import Case, Duty
from docgen.findings.model import Phrase, Terms, Value
from docgen.findings.view import View, up
from docgen.frozen import frozen
from docgen.papers import found
from docgen.site import Bay, Method, Part, Posting, Quantity, RescueAnchor, RolePart, Site, System, Vehicle
from docgen.site.contractors import conditions_given
from docgen.text.screens import found_in_any
from docgen.trade.legible import reading_distance
from docgen.units import Interval

if TYPE_CHECKING:
    from docgen.codes.model import Answer

__all__ = [
    "INSPECTED",
    "SIDES",
    "Overdue",
    "Served",
    "asked",
    "bays_in_use",
    "below",
    "case_names",
    "grouped",
    "held",
    "intervals_over",
    "latest",
    "law_figure",
    "law_text",
    "least_first",
    "listed",
    "minutes",
    "most_first",
    "on_rail",
    "overdue",
    "parts_in_use",
    "parts_relied_on",
    "read_at",
    "rescue_anchors_in_use",
    "said_none",
    "slack_falls",
    "systems_in_use",
    "task_path",
    "terms",
    "vehicles_in_use",
    "whose",
    "worded",
]

#: The kinds of parts that somebody looks over at intervals.
INSPECTED = ("rail", "trolley", "connector", "srd", "lanyard", "harness", "rescue-kit", "platform", "ladder", "rescue-anchor")
START = date(2001, 1, 1)

#: The edges of a vehicle of which each must be told.
SIDES = ("left", "right", "front", "rear")


def least_first(quantity: Quantity | None) -> float:
    """A rank by size; what was not computed stands last."""
    return math.inf if quantity is None else quantity.si


def most_first(quantity: Quantity | None) -> float:
    """A rank by size, the largest first; what was not computed stands last."""
    return math.inf if quantity is None else -quantity.si


def listed(items: Iterable[object]) -> str:
    """Each item once, in order, with commas."""
    return ", ".join(dict.fromkeys(str(i) for i in items))


def terms(keys: Iterable[str]) -> Terms:
    """Names of fields or values, once each, in order, told in words when the message is written."""
    return Terms(tuple(dict.fromkeys(keys)))


def worded(key: str, **values: Value) -> Phrase:
    """A value said in words, with what stands in its places."""
    return Phrase(key, tuple(values.items()))


def on_rail(view: View, method: Method) -> int:
    """How many hang on the rail in a method at least, by its steps and by how it says that its rescuers are kept from falling."""
    tied = bool(found_in_any(method.rescuer_tie_off, "on-rail", view.languages))
    return counts(view.site, method, tied).load_on_rail


def minutes(seconds: float) -> str:
    """A bare figure in minutes for a sum that is written out, rounded up to a tenth."""
    return f"{-(-round(seconds / 6, 6) // 1) / 10:.1f}"


def said_none(text: str | None) -> bool:
    """Whether a text field is absent or says in a word that there is nothing."""
    return text is None or text.strip().casefold().rstrip(".") in ("", "none", "no", "nothing", "n/a")


def held(view: View, part: RolePart, name: str | None, day: date | None) -> bool:
    """Whether a name is that of a holder of the part on that day, which is not ahead: a role speaks with its holder, a name for itself."""
    if name is None or day is None or view.ahead(day):
        return False
    role = view.site.role(name)
    if role is not None:
        return part in role.part and role.on(day) is not None
    holders = (r.on(day) for r in view.site.roles_of(part))
    return any(h is not None and name in h.names for h in holders)


def law_figure(view: View, key: str, beside: Quantity | None = None) -> float | None:
    """The figure in SI units to which the site is held, by the law in force or a stricter rule; None where nobody does more than advise.

    `beside`: what is held against it; a law that prints two units is taken in that one's.
    """
    return figure_beside(view.binding, key, beside)


def law_text(view: View, key: str) -> str:
    """The same figure as the law prints it, the binding unit first; units are not converted. A stricter rule than the law names itself."""
    answer = view.binding.held_to(key) or view.binding.ask(key)
    return f"{answer.text} ({answer.citation})" if answer.source != view.law.ask(key).source else answer.text


def whose(view: View, key: str, held: Answer) -> dict[str, Value]:
    """Who asks it of the site: the law, or the citation of whoever's rule it is."""
    return {"whose": worded("the-law") if held.citation == view.law.ask(key).citation else held.citation}


def intervals_over(view: View, answer: Answer) -> Iterator[tuple[Part, Interval, Interval]]:
    """The parts in use that are inspected less often than an answer says of their kind: the part, its interval, and the longest."""
    for part in parts_in_use(view, *INSPECTED):
        own, longest = part.inspection.interval, _longest(answer, part)
        if own is not None and isinstance(longest, Interval) and own.after(START) > longest.after(START):
            yield part, own, longest


def _longest(answer: Answer, part: Part) -> object:
    """The interval that an answer names for a part; one of `textile-` and its kind is for a line of webbing or rope alone."""
    if not answer.covers:
        return answer.value
    return answer.covers.get(part.kind) or (answer.covers.get(f"textile-{part.kind}") if part.line_material in TEXTILE else None)


def slack_falls(view: View) -> Iterator[tuple[Bay, Quantity, Part, float]]:
    """The bays whose line has slack, with the slack, each device that stops a fall there, and the fall into it in m."""
    for bay in bays_in_use(view):
        slack, system = bay.hook_up.line.slack, view.site.system_of(bay.id)
        if slack is None or slack.si < 0 or system is None:
            continue
        for part in view.site.arresting(system):
            own = part.free_fall.si if part.free_fall is not None else 0.0
            yield bay, slack, part, arrest.slack_fall(max(own, 0.0), slack.si)


def asked(view: View, demand: Demand) -> Value:
    """A strength asked for: as the law prints it where the law asks, else a figure."""
    return law_text(view, demand.question) if demand.whose == "law" else up(demand.si, "force")


def case_names(view: View, cases: list[Case]) -> dict[str, Value]:
    """The names that a sentence about one or more cases of one task needs."""
    first = cases[0]
    return {
        "vehicle": view.vehicles[first.vehicle].name,
        "bay": view.bays[first.bay].name,
        "task": first.task,
        "posture": listed(c.posture for c in cases),
        "side": listed(c.side for c in cases),
        "case": first.id,
    }


def task_path(view: View, case: Case) -> str:
    """Model path of the task of a case."""
    return next(t.path for t in view.site.tasks if t.id == case.task)


def grouped(cases: Iterable[Case], key: Callable[[Case], object], rank: Callable[[Case], float]) -> list[list[Case]]:
    """Cases in groups, each sorted so that the one with the lowest rank stands first."""
    groups: dict[object, list[Case]] = {}
    for case in cases:
        groups.setdefault(key(case), []).append(case)
    return [sorted(group, key=rank) for group in groups.values()]


def bays_in_use(view: View) -> tuple[Bay, ...]:
    """Bays in which some task is allowed, in profile order."""
    used = {t.bay for t in view.site.tasks if t.permission == "allowed"}
    return tuple(b for b in view.site.bays if b.id in used)


def vehicles_in_use(view: View) -> tuple[Vehicle, ...]:
    """Vehicles on which some task is allowed, in profile order."""
    used = {t.vehicle for t in view.site.tasks if t.permission == "allowed"}
    return tuple(v for v in view.site.vehicles if v.id in used)


def systems_in_use(view: View) -> tuple[System, ...]:
    """Systems of the bays in use."""
    used = {b.id for b in bays_in_use(view)}
    return tuple(s for s in view.site.systems if s.bay in used)


def parts_in_use(view: View, *kinds: str) -> tuple[Part, ...]:
    """Parts of the listed kinds (all when none is named) that a system in use or a method names or the site lends, in profile order.

    The anchor of a method counts as a part that the method names; the device that protects on the ladder of a bay as one of its system.
    """
    named = {k for s in systems_in_use(view) for k in (*s.parts, *s.harnesses)} | {
        k for m in view.site.rescue.methods for k in m.kits
    }
    named |= {d.id for b in bays_in_use(view) if (d := view.site.ladder_device(b)) is not None}
    named |= set(view.site.contractors.loaned_harnesses) | {a.part for _, a in rescue_anchors_in_use(view) if a.part is not None}
    return tuple(p for p in view.site.equipment if p.id in named and (not kinds or p.kind in kinds))


def rescue_anchors_in_use(view: View) -> tuple[tuple[Bay, RescueAnchor], ...]:
    """The anchors that a method of the site uses in the bays in use, each with its bay, in profile order."""
    used = {key for m in view.site.rescue.methods for key in m.rescue_anchors}
    return tuple((bay, anchor) for bay in bays_in_use(view) for anchor in bay.rescue_anchors if anchor.id in used)


def parts_relied_on(view: View) -> tuple[Part, ...]:
    """Parts in use, whatever is part of one of them, and end stops: what is inspected, tagged or bears a fall, in profile order."""
    used = {p.id for p in parts_in_use(view)} | {p.id for s in view.site.systems for p in view.site.belonging(s)}
    return tuple(p for p in view.site.equipment if not used.isdisjoint(view.site.within(p.id)))


@frozen
class Overdue:
    """What fell due and was not done: where it stands, whose it is, when it was last done, how often it is, and the day it was due."""

    path: str
    id: str
    last: date
    interval: str
    due: date


def overdue(view: View, what: Duty) -> list[Overdue]:
    """What of one kind fell due before the day of the check; on the day itself nothing is overdue."""
    return [
        Overdue(d.path, d.id, d.last, d.interval, d.due)
        for d in view.dues
        if d.what == what and d.last is not None and d.interval is not None and d.due is not None and d.due < view.as_of
    ]


def latest(days: Iterable[date | None]) -> date | None:
    """The last of some days, or None."""
    return max((d for d in days if d is not None), default=None)


def below(path: str, at: str | None) -> bool:
    """Whether a model path is the place named, or lies below it; every path where no place is named.

    >>> below("bays[B1].rail.line_exit_below_rail", "bays[B1].rail"), below("bays[B1].rail_length", "bays[B1].rail")
    (True, False)
    """
    return not at or path == at or path.startswith((f"{at}.", f"{at}["))


@frozen
class Served:
    """From where a posted paper can be read: its smallest type in points, whether the light is good, and the distance in m."""

    size: float
    lit: bool
    distance: float


def read_at(site: Site, posting: Posting) -> Served | None:
    """From where what hangs at a place can be read; None where no paper is named or the paper has no budget.

    It is the larger sheet of a paper that has one. The light is dim where people climb at night and nobody has seen that it can be read then.
    """
    outline = found(posting.document or "")
    if outline is None or outline.budget is None:
        return None
    budget = outline.budget.at(any(conditions_given(one, site.contractors) for one in site.contractors.classes))
    size = budget.smallest_pt if outline.large is None else budget.large_pt or outline.large
    lit = posting.lit_at_night is True or not any(s.climbing and s.night for s in site.shifts)
    return Served(size, lit, reading_distance(size, lit))
