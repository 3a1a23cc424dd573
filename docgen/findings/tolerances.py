"""Findings on what tolerances leave: of the margin, of the line angle, of the site's own limit; and on tolerances that are not told or too close."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.engineering.model import Case, Tolerance
from docgen.engineering.spread import default_of
from docgen.findings.common import case_names, grouped, held, least_first, most_first, task_path, terms, worded
from docgen.findings.model import Figure, Value
from docgen.findings.rule import NOTICE, PLAN, RECORD, finding
from docgen.findings.view import Hit, View, down, near, up
from docgen.limits import over, same_figure, under
from docgen.site import Quantity, Task
from docgen.site.vehicles import KeptMargin
from docgen.trade.practice import practice
from docgen.units import exact

__all__ = [
    "angle_over_after_tolerances",
    "clearance_tolerance",
    "margin_record",
    "margin_use_recorded",
    "margin_used_up",
    "offset_over_after_tolerances",
    "ring_at_device_after_tolerances",
    "tolerance_close",
    "tolerance_untold",
    "tolerance_zero",
]

#: A stated tolerance below this part of what practice takes asks who measured, and how: own choice.
CLOSE = 0.5


def _kept(view: View, cases: list[Case]) -> dict[str, Value]:
    worst = cases[0]
    return case_names(view, cases) | {
        "margin": down(worst.margin),
        "kept": down(worst.kept),
        "of": near(worst.margin_term),
        "least": up(worst.kept_least),
        "lower": worst.lower_what or worded("surface-below"),
        "largest": Figure(0.0 if worst.largest_worst is None else worst.largest_worst.si, "length", "way"),
    }


@finding("clearance-tolerance", "must-fix", documents=(PLAN, RECORD, NOTICE))
def clearance_tolerance(view: View) -> Iterator[Hit]:
    """What it looks at: what is kept of the margin in the worst corner of all tolerances.

    Why: less than that is no margin. Exactly the least is enough. Example: of 3.0 ft 1.9 ft are kept where 2.0 ft must be.
    Reference: own choice of the split; common practice, no published source.
    """
    tight = [c for c in view.allowed if c.verdict == "short-after-tolerances" and c.kept is not None]
    for cases in grouped(tight, lambda c: c.task, lambda c: least_first(c.kept)):
        yield Hit(task_path(view, cases[0]), _kept(view, cases))


@finding("ring-at-device-after-tolerances", "must-fix", documents=(PLAN, RECORD, NOTICE))
def ring_at_device_after_tolerances(view: View) -> Iterator[Hit]:
    """What it looks at: whether tolerances bring the line exit down to the D-ring.

    Why: nothing here computes a device that is not above the person. Example: half a foot above the ring, and a foot of tolerance.
    Reference: common practice; overhead arithmetic ends here.
    """
    low = [c for c in view.allowed if c.height is not None and over(c.height.si, 0.0)]
    for cases in grouped((c for c in low if c.line_angle is not None and c.line_angle_worst is None), lambda c: c.task, _height):
        yield Hit(task_path(view, cases[0]), case_names(view, cases) | {"height": down(cases[0].height)})


def _height(case: Case) -> float:
    return least_first(case.height)


def margin_record(view: View, case: Case, kept: float | None) -> KeptMargin | None:
    """The record of the qualified person of that day that covers this case: for its margin, and for no more than is kept [m]."""
    task = _task(view, case)
    return next((e for e in task.kept_margins if e.case == case.id and _covers(view, e, case, kept)), None)


def _entry(view: View, case: Case) -> KeptMargin | None:
    return margin_record(view, case, None if case.kept is None else case.kept.si)


def _task(view: View, case: Case) -> Task:
    return next(t for t in view.site.tasks if t.id == case.task)


def _covers(view: View, entry: KeptMargin, case: Case, kept: float | None) -> bool:
    if entry.keeps is None or entry.of is None or kept is None or case.margin_term is None:
        return False
    named = held(view, "qualified-person", entry.by, entry.on)
    return named and same_figure(entry.of.si, case.margin_term.si) and not over(entry.keeps.si, kept)


@finding("margin-used-up", "must-fix", documents=(PLAN, RECORD))
def margin_used_up(view: View) -> Iterator[Hit]:
    """What it looks at: cases in which tolerances use up a part of the margin, without a record of the qualified person of that day.

    Why: who set the margin must know what is left of it. An entry holds for its figure; where less is kept, it stands no more.
    Example: keeps 2.9 of 3.0 ft, and nothing under kept_margins. Reference: own choice; common practice, no published source.
    """
    for cases in grouped(_using(view, recorded=False), lambda c: c.task, lambda c: least_first(c.kept)):
        yield Hit(f"{task_path(view, cases[0])}.kept_margins", _kept(view, cases) | {"cases": ", ".join(c.id for c in cases)})


@finding("margin-use-recorded", "advice", documents=(PLAN, RECORD))
def margin_use_recorded(view: View) -> Iterator[Hit]:
    """What it looks at: the same cases with a record of the qualified person of that day.

    Why: the reader of a clearance sees what is left of its margin. Example: keeps 2.9 of 3.0 ft, recorded on 2026-08-20.
    Reference: own choice; common practice, no published source.
    """
    for case in _using(view, recorded=True):
        entry = _entry(view, case)
        if entry is not None and entry.on is not None:
            yield Hit(entry.path, _kept(view, [case]) | {"by": entry.by or "", "on": entry.on})


def _using(view: View, recorded: bool) -> list[Case]:
    using = [c for c in view.allowed if c.verdict == "keeps-less"]
    return [c for c in using if (_entry(view, c) is not None) is recorded]


def _allowance(case: Case) -> float:
    return min((q.si for q in (case.allowance_left, case.allowance_right) if q is not None), default=0.0)


@finding("angle-over-after-tolerances", "must-fix", documents=(PLAN, RECORD))
def angle_over_after_tolerances(view: View) -> Iterator[Hit]:
    """What it looks at: the line angle in the worst corner of all tolerances.

    Why: the limit may be passed unseen. Example: 29 degrees as the figures stand, 31 after tolerances. Reference: common practice,
    no published source.
    """
    steep = [
        c
        for c in view.allowed
        if c.line_angle is not None
        and c.angle_limit is not None
        and not over(c.line_angle.si, c.angle_limit.si)
        and c.line_angle_worst is not None
        and over(c.line_angle_worst.si, c.angle_limit.si)
    ]
    for cases in grouped(steep, lambda c: c.task, lambda c: most_first(c.line_angle_worst)):
        worst = cases[0]
        values: dict[str, Value] = {
            "angle": up(worst.line_angle),
            "worst": up(worst.line_angle_worst),
            "limit": down(worst.angle_limit),
            "allowed": Figure(max(_allowance(worst), 0.0), "length", "way"),
        }
        yield Hit(task_path(view, worst), case_names(view, cases) | values)


@finding("offset-over-after-tolerances", "fix-soon", documents=(PLAN, RECORD))
def offset_over_after_tolerances(view: View) -> Iterator[Hit]:
    """What it looks at: the offset with every tolerance added against the site's own sideways limit.

    Why: a limit that the parking box itself lets people pass is not kept. Example: 4.9 ft as the figures stand, 5.2 ft after
    tolerances, limit 5.0 ft. Reference: rule of the site.
    """
    wide = [
        c
        for c in view.allowed
        if c.offset is not None
        and c.offset_worst is not None
        and c.largest_by_rule is not None
        and not over(c.offset.si, c.largest_by_rule.si)
        and over(c.offset_worst.si, c.largest_by_rule.si)
    ]
    for cases in grouped(wide, lambda c: c.task, lambda c: most_first(c.offset_worst)):
        worst = cases[0]
        values: dict[str, Value] = {
            "offset": up(worst.offset),
            "worst": up(worst.offset_worst),
            "limit": down(worst.largest_by_rule),
            "allowed": Figure(max(_allowance(worst), 0.0), "length", "way"),
        }
        yield Hit(task_path(view, worst), case_names(view, cases) | values)


def _of_bay(view: View, bay: str) -> dict[str, Tolerance]:
    """The tolerances that went into the allowed cases of a bay, by the path of their figure."""
    cases = (c for c in view.allowed if c.bay == bay)
    return {t.path.removesuffix(".tolerance"): t for c in cases for t in c.tolerances}


@finding("tolerance-untold", "fix-soon", documents=(PLAN, RECORD))
def tolerance_untold(view: View) -> Iterator[Hit]:
    """What it looks at: measured lengths without a tolerance, for which one of practice was taken.

    Why: whoever measured knows better, and nothing here is exact. Example: deck 12.0 ft, and nobody said give or take what. A bound
    (a figure of a label, an allowance) has none. Reference: common practice, no published source.
    """
    zero = {figure.path for figure in _zeros(view)}
    for bay in view.site.bays:
        taken = {path: t for path, t in _of_bay(view, bay.id).items() if t.taken is not None and path not in zero}
        if taken:
            values: dict[str, Value] = {"bay": bay.name, "inputs": terms(taken)}
            yield Hit(bay.path, values)


def _zeros(view: View) -> list[Quantity]:
    """Lengths with a stated tolerance of nothing."""
    figures = (value for _, value in view.leaves if isinstance(value, Quantity))
    return [q for q in figures if q.kind == "length" and q.tolerance_stated and q.tolerance == 0.0]


@finding("tolerance-zero", "fix-soon", documents=(PLAN, RECORD))
def tolerance_zero(view: View) -> Iterator[Hit]:
    """What it looks at: lengths that were measured or have a usual tolerance, and whose stated tolerance is zero.

    Why: nobody measures exactly, whoever it was and however; the tolerance of practice is counted in its place, so that no case holds by the
    zero. Example: deck 12.0 ft, measured by the safety manager, give or take 0 ft. Reference: common practice, no published source.
    """
    counted = {t.path.removesuffix(".tolerance"): t for case in view.cases for t in case.tolerances}
    for figure in _zeros(view):
        known = counted.get(figure.path)
        usual = default_of(figure, "bound", view.system) if known is None else known.taken
        if usual is not None:
            yield Hit(
                f"{figure.path}.tolerance",
                {"input": figure.path, "usual": exact(practice(usual, view.system).si, "length", view.system)},
            )


@finding("tolerance-close", "fix-soon", documents=(PLAN, RECORD))
def tolerance_close(view: View) -> Iterator[Hit]:
    """What it looks at: stated tolerances below half of what practice takes, where it is not said how the figure was got, by whom and when.

    Why: a close tolerance is a claim about the measurement. At half it is not asked about. Example: deck 12.0 ft, give or take
    0.05 ft, and nothing else. Reference: own choice; common practice, no published source.
    """
    close = {}
    for bay in view.site.bays:
        for path, tolerance in _of_bay(view, bay.id).items():
            if tolerance.stated and tolerance.usual is not None:
                usual = practice(tolerance.usual, view.system).si
                if under(tolerance.value.si, CLOSE * usual):
                    close[path] = (tolerance, usual)
    figures = (value for _, value in view.leaves if isinstance(value, Quantity)) if close else ()
    for figure in figures:
        if figure.path in close and None in (figure.how, figure.by, figure.on):
            tolerance, usual = close[figure.path]
            yield Hit(
                tolerance.path,
                {
                    "input": figure.path,
                    "percent": int(100 * tolerance.value.si / usual),
                    "usual": exact(usual, "length", view.system),
                },
            )
