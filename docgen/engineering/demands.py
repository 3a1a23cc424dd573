"""The strength that is asked of an anchorage, a connector or a line, and who asks it.

The largest of three: the law in force; the standard marked on the part; where neither names a figure, that of the trade. It is never less than the
peak of one arrest that the part bears. Forces in N.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from docgen.engineering.loads import asked_by, peak_force, persons
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import Part, Quantity, Site, System
from docgen.trade.editions import Asked, strength_asked

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = [
    "Demand",
    "Whose",
    "anchorage_demands",
    "anchorage_factor",
    "anchorage_needed",
    "figure_beside",
    "joint_demand",
    "line_demand",
    "per_user",
]

Whose = Literal["law", "standard", "practice", "peak"]
TEXTILE = ("webbing", "synthetic rope")


@frozen
class Demand:
    """The least strength. `question` is that of the law where `whose` is law, `standard` the number of the standard that asks."""

    si: float
    whose: Whose
    question: str = ""
    standard: str = ""


#: Field of a connector -> the question of the law, and the figure of the trade.
JOINTS: dict[str, tuple[str, str]] = {
    "tensile": ("connector_tensile_min", "connector_tensile"),
    "proof": ("connector_proof_load", "connector_proof"),
    "gate_proof": ("connector_gate_load", "connector_gate"),
}


def figure_beside(law: Law, question: str, beside: Quantity | None) -> float | None:
    """The figure of the law in SI, None where it has none; where it prints two, that in the unit of the figure beside it."""
    held = law.held_to(question)
    return None if held is None else held.figure if beside is None else held.figure_in(beside.unit)


def _largest(
    site: Site, law: Law, question: str, usual: str, marked: tuple[float, str] | None, peak: float, beside: Quantity | None = None
) -> Demand:
    """The first of equal ones: law, standard, practice, peak. `beside`: the strength that is held against it."""
    figure = figure_beside(law, question, beside)
    asked = [] if figure is None else [Demand(figure, "law", question)]
    if marked is not None:
        asked.append(Demand(marked[0], "standard", standard=marked[1]))
    if not asked:
        asked.append(Demand(asked_by(site, law, usual), "practice"))
    largest = asked[0]
    for one in (*asked[1:], Demand(peak, "peak")):
        if over(one.si, largest.si):
            largest = one
    return largest


def _peak_on(site: Site, law: Law, part: Part) -> float:
    """The highest peak of one arrest that the part bears; 0 for a part of no system."""
    bearing = (s for s in site.systems if any(p.id == part.id for p in (*site.belonging(s), *site.arresting(s))))
    return max((peak_force(site, system, law) for system in bearing), default=0.0)


def joint_demand(site: Site, law: Law, part: Part, name: Literal["tensile", "proof", "gate_proof"]) -> Demand:
    """What a connector, hook or swivel must hold, by the name of its field."""
    question, usual = JOINTS[name]
    marked, own = strength_asked(part.standard, part.kind, name), getattr(part, name)
    return _largest(site, law, question, usual, marked, _peak_on(site, law, part), own)


def line_demand(site: Site, law: Law, part: Part) -> Demand:
    """What the line of a device or a lanyard must hold: less where the device keeps the free fall short, or where nobody says how long it is."""
    own: Asked = "line_textile" if part.line_material in TEXTILE else "line"
    marked = strength_asked(part.standard, part.kind, own) or strength_asked(part.standard, part.kind, "line")
    fall = part.free_fall or part.free_fall_max
    condition = figure_beside(law, "srd_free_fall_condition", fall)
    short = asked_by(site, law, "line_of_device_fall") if condition is None else condition
    if part.kind == "srd" and (fall is None or not over(fall.si, short)):
        question, usual = "srd_strength_min", "line_of_device"
    else:
        other = part.kind == "srd" and law.figure("srd_other_strength_min") is not None
        question, usual = "srd_other_strength_min" if other else "line_strength_min", "line_other"
    return _largest(site, law, question, usual, marked, _peak_on(site, law, part), part.line_strength)


def anchorage_factor(site: Site, law: Law) -> Demand:
    """The factor of a designed anchorage on the peak: a bare number."""
    figure = law.figure("anchorage_factor")
    return (
        Demand(asked_by(site, law, "anchorage_factor"), "practice")
        if figure is None
        else Demand(figure, "law", "anchorage_factor")
    )


def per_user(site: Site, law: Law, peak: float, beside: Quantity | None = None) -> Demand:
    """The strength of an anchorage for each person who hangs on it. `beside`: the strength that is held against it."""
    return _largest(site, law, "anchorage_per_user", "anchorage_per_user", None, peak, beside)


def anchorage_demands(
    site: Site, law: Law, system: System, users: int | None = None, beside: Quantity | None = None
) -> tuple[Demand | None, Demand | None]:
    """What the anchorage of a system must show for its users: by factor, and by the figure for each person. None where that way is not its own.

    A design goes by the factor. Where the law names a figure for each person and no factor beside it, the design must show that too.
    """
    count, peak = users or persons(system), peak_force(site, system, law)
    factored = each = None
    if system.anchorage.basis == "engineered":
        factor = anchorage_factor(site, law)
        factored = Demand(max(factor.si, 1.0) * peak * count, factor.whose, factor.question)
    no_other_way = law.figure("anchorage_per_user") is not None and law.figure("anchorage_factor") is None
    if system.anchorage.basis == "rated-per-user" or (factored is not None and no_other_way):
        one = per_user(site, law, peak, beside or system.anchorage.design_load_all_users)
        each = Demand(one.si * count, one.whose, one.question)
    return factored, each


def anchorage_needed(
    site: Site, law: Law, system: System, users: int | None = None, beside: Quantity | None = None
) -> Demand | None:
    """The larger of the two; None where the anchorage says neither that it was designed nor that it is rated."""
    found = [d for d in anchorage_demands(site, law, system, users, beside) if d is not None]
    return max(found, key=lambda d: d.si, default=None)
