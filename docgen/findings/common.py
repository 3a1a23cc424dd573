"""What several finding functions share: names for sentences, figures of the law."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from docgen.codes.binding import law_of
from docgen.engineering.model import Case, Due
from docgen.findings.model import Terms
from docgen.findings.view import View
from docgen.site import Bay, Part, System, Vehicle

__all__ = [
    "bays_in_use",
    "case_names",
    "grouped",
    "latest",
    "law_figure",
    "law_text",
    "listed",
    "minutes",
    "overdue",
    "parts_in_use",
    "said_none",
    "systems_in_use",
    "task_path",
    "terms",
    "vehicles_in_use",
]


def listed(items: Iterable[object]) -> str:
    """Each item once, in order, with commas."""
    return ", ".join(dict.fromkeys(str(i) for i in items))


def terms(keys: Iterable[str]) -> Terms:
    """Names of fields or values, once each, in order, told in words when the message is written."""
    return Terms(tuple(dict.fromkeys(keys)))


def minutes(seconds: float) -> str:
    """A bare figure in minutes for a sum that is written out, rounded up to a tenth."""
    return f"{-(-round(seconds / 6, 6) // 1) / 10:.1f}"


def said_none(text: str | None) -> bool:
    """Whether a text field is absent or says in a word that there is nothing."""
    return text is None or text.strip().casefold().rstrip(".") in ("", "none", "no", "nothing", "n/a")


def law_figure(view: View, key: str) -> float | None:
    """The figure that the law in force gives in SI units, or None where its text is silent."""
    answer = view.code.ask(key)
    if answer.state == "silent" or isinstance(answer.value, bool) or not isinstance(answer.value, int | float):
        return None
    return float(answer.value)


def law_text(view: View, key: str) -> str:
    """The same figure as the law prints it, the binding unit first; units are not converted. A stricter rule than the law names itself."""
    answer = view.code.ask(key)
    return f"{answer.text} ({answer.citation})" if answer.source != law_of(view.code).ask(key).source else answer.text


def case_names(view: View, cases: list[Case]) -> dict[str, str]:
    """The names that a sentence about one or more cases of one task needs."""
    first = cases[0]
    return {
        "vehicle": view.site.vehicle(first.vehicle).name,
        "bay": view.site.bay(first.bay).name,
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
    """Parts of the listed kinds (all when none is named) that a system or method names or the site lends, in profile order."""
    named = {k for s in view.site.systems for k in (*s.parts, *s.harnesses)} | {
        k for m in view.site.rescue.methods for k in m.kits
    }
    named |= set(view.site.contractors.loaned_harnesses)
    return tuple(p for p in view.site.equipment if p.id in named and (not kinds or p.kind in kinds))


def overdue(view: View, what: str) -> list[Due]:
    """Due dates of one kind that lie before the day of the check; on the day itself nothing is overdue."""
    return [d for d in view.dues if d.what == what and d.due is not None and d.due < view.as_of]


def latest(days: Iterable[date | None]) -> date | None:
    """The last of some days, or None."""
    return max((d for d in days if d is not None), default=None)
