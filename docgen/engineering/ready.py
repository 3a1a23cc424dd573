"""Whether a method of rescue can be carried out in a bay: its anchor there, the steps that it needs, and its gear (`gear.py`).

What is lacking closes the method in that bay; the bay itself closes where no other method serves in its place (findings decide that).
The rule for the anchor is the figure of practice for each person on it, or a factor on the load where a qualified person designed it for
that load, whichever he can show; a rescuer's own fall protection on it adds the strength of a fall-arrest anchorage.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal

from docgen.calc import rescue
from docgen.engineering.demands import per_user
from docgen.engineering.gear import RESCUERS, Gear, before_each, gear
from docgen.engineering.loads import assumed_peak
from docgen.engineering.model import Case, MethodClosure, MissingStep
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import Bay, Method, MethodStep, Quantity, RescueAnchor, Site, Vehicle
from docgen.site.facts import HAULING, NONE_WORDS, UNDOES
from docgen.trade.practice import practice, practice_beside

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = ["BELOW", "METERED", "STOPPED", "Anchor", "Ready", "classed", "ready", "stop_at", "unlifted"]

#: Dangers that a meter lifts, and those that a stop ends: a rescue waits for that step.
METERED, STOPPED = ("fire", "gas", "spill"), ("live-wire", "moving", "loose-solids")
#: Kinds of method that bear a person from below.
BELOW = ("platform", "ladder")
#: What a step does that brings nobody into the bay, and what is done in it by whoever does it.
BEFORE, WITHIN = {"alarm", "stop", "call", "meter", "fetch"}, {"anchor", "attach", "lift", "release", "lower"}


@frozen
class Anchor:
    """What a method hangs from in one bay. `strength` is the weaker where the anchor of the bay and the method both state one."""

    names: tuple[str, ...] = ()
    strength: Quantity | None = None
    need: float | None = None
    closed: tuple[MethodClosure, ...] = ()


@frozen
class Ready:
    """What a method lacks in one bay, its anchor there and its gear."""

    anchor: Anchor
    missing: tuple[MissingStep, ...]
    gear: Gear
    closed: tuple[MethodClosure, ...]


def ready(site: Site, law: Law, bay: Bay, vehicle: Vehicle | None, method: Method, case: Case, sheet: Sheet) -> Ready:
    """All of it for the case with the highest hang."""
    if method.kind == "outside":
        called = any("call" in s.does for s in method.steps)
        return Ready(Anchor(), () if called else ("call",), Gear(None, None, (), ()), () if called else ("steps-missing",))
    anchor = _anchor(site, law, bay, method, sheet)
    missing = tuple(_missing(method, bay))
    held = gear(site, bay, vehicle, method, case, sheet)
    closed: list[MethodClosure] = [*anchor.closed]
    if method.kind in UNDOES and not method.kits:
        closed.append("kit-missing")
    if missing:
        closed.append("steps-missing")
    return Ready(anchor, missing, held, (*closed, *held.closed))


# --- the anchor ---------------------------------------------------------------------------------------------------------


def _anchor(site: Site, law: Law, bay: Bay, method: Method, sheet: Sheet) -> Anchor:
    if method.kind not in HAULING and not method.rescue_anchors and not method.tied:
        return Anchor()
    here = tuple(a for a in bay.rescue_anchors if a.id in method.rescue_anchors)
    strengths = [a.strength for a in here if a.strength is not None]
    none_here = _untold(method) or (not here and (bool(method.rescue_anchors) or _said_none(site, bay, method)))
    if none_here or len(strengths) < len(here):
        return Anchor(names=tuple(a.id for a in here), closed=("anchor-missing",))
    if method.anchor_strength is not None:
        strengths.append(method.anchor_strength)
    strength = min(strengths, key=lambda q: q.si, default=None)
    if strength is None:
        return Anchor(closed=("anchor-missing",))
    need = _need(site, law, here, method, strength, sheet)
    return Anchor(
        tuple(a.id for a in here), strength, need, tuple(_too_weak(here, method, sheet.use(strength), need)),
    )  # fmt: skip


def _untold(method: Method) -> bool:
    """Whether a method that hauls does not say what its line hangs from."""
    return method.kind in HAULING and (method.anchor is None or method.anchor.strip().casefold().rstrip(".") in NONE_WORDS)


def _said_none(site: Site, bay: Bay, method: Method) -> bool:
    """Whether the profile says with an empty list that there is no anchor: it is an answer, and no pass."""
    asked = (f"{method.path}.rescue_anchors", f"{bay.path}.rescue_anchors")
    return any(path in site.answered for path in asked) and not bay.rescue_anchors


def _too_weak(here: tuple[RescueAnchor, ...], method: Method, strength: float, need: float | None) -> Iterator[MethodClosure]:
    if need is None or over(need, strength):
        yield "anchor-weak"
    if any(a.persons is not None and method.load_persons + method.tied > a.persons for a in here):
        yield "anchor-persons"
    if method.tied and not (here and all(a.fall_arrest for a in here)):
        yield "anchor-not-for-arrest"


def _need(site: Site, law: Law, here: tuple[RescueAnchor, ...], method: Method, strength: Quantity, sheet: Sheet) -> float:
    """Strength asked for, never below the load worked out; where a rescuer's own protection hangs there, that of a fall-arrest anchorage too."""
    loads = (sheet.use(a.load) for a in here if a.load is not None)
    return max((_asked(site, law, here, method, strength, sheet), *loads))


def _asked(site: Site, law: Law, here: tuple[RescueAnchor, ...], method: Method, strength: Quantity, sheet: Sheet) -> float:
    system = site.site.units or law.units
    own = practice_beside("rescue_anchor", strength.unit, system, site.country)
    each = max(own.si, law.figure("anchorage_for_rescue_min") or 0.0)
    tied, per_tied = method.tied, _arrest(site, law) if method.tied else 0.0
    fixed = sheet.run(rescue.anchor_load, persons=method.load_persons, per_person=each, tied=tied, per_tied=per_tied)
    posted = site.limits.upper.value
    if posted is None:
        return fixed
    hanging = sheet.run(rescue.hanging_load, persons=method.load_persons, mass=sheet.use(posted))
    designed = [sheet.use(a.load) for a in here if a.load is not None and _by_qualified(site, a)]
    whole = bool(here) and len(designed) == len(here) and not tied and not any(over(hanging, load) for load in designed)
    if not whole:
        return fixed
    factor = practice("rescue_anchor_factor", system, site.country).si
    by_design = sheet.run(rescue.anchor_load_designed, all_persons=max(designed), factor=factor)
    law_asks = (law.figure("anchorage_for_rescue_min") or 0.0) * method.load_persons
    return max(min(by_design, fixed), law_asks)


def _arrest(site: Site, law: Law) -> float:
    """Strength of a fall-arrest anchorage for one person: the law's figure, or its factor on its greatest arrest force, or that of the trade."""
    fixed, factor = law.figure("anchorage_per_user"), law.figure("anchorage_factor")
    if fixed is None and factor is not None:
        return factor * assumed_peak(site, law)
    return per_user(site, law, 0.0).si if fixed is None else fixed


def _by_qualified(site: Site, anchor: RescueAnchor) -> bool:
    """Whether whoever worked out the load held the part of a qualified person on the day of that figure."""
    load = anchor.load
    if load is None or load.on is None:
        return False
    names = {n for n in (anchor.by, load.by) if n is not None}
    holders = ((role.id, role.on(load.on)) for role in site.roles_of("qualified-person"))
    return any(names & {key, *holder.names} for key, holder in holders if holder is not None)


# --- steps --------------------------------------------------------------------------------------------------------------


def _missing(method: Method, bay: Bay) -> Iterator[MissingStep]:
    """What the steps of a method do not do, or do in the wrong order."""
    before = before_each(method.steps)

    def doing(deed: str) -> tuple[str, ...]:
        return tuple(s.id for s in method.steps if deed in s.does)

    def follows(late: str, early: str) -> bool:
        return all(any(e == one or e in before[one] for e in doing(early)) for one in doing(late))

    hauls, undoes = method.kind in HAULING, method.kind in UNDOES
    if hauls and not doing("anchor"):
        yield "anchor"
    if hauls and not doing("lift"):
        yield "lift"
    elif hauls and doing("anchor") and not follows("lift", "anchor"):
        yield "lift-before-anchor"
    if undoes and not doing("release"):
        yield "release"
    elif hauls and doing("lift") and not follows("release", "lift"):
        yield "release-before-lift"
    if unlifted(method, bay, "meter"):
        yield "meter"
    if unlifted(method, bay, "stop"):
        yield "stop"


def classed(bay: Bay) -> bool:
    """Whether a bay lies in an area that is classed as hazardous."""
    said = bay.electrical.classified
    return said is not None and said.strip().casefold().rstrip(".") not in NONE_WORDS


def unlifted(method: Method, bay: Bay, deed: Literal["meter", "stop"]) -> tuple[str, ...]:
    """The steps inside a bay with dangers that do not wait for what lifts or ends these; all of them where no step does it.

    Inside are first contact, whatever is done on the person or the anchor, and each step of a rescuer, with a kit or of nobody by name, but
    for those that say that they only give the alarm, stop, call, read the meter or fetch.
    """
    lifts = METERED if deed == "meter" else STOPPED
    if method.kind == "self" and not any(w in RESCUERS for s in method.steps for w in s.who):
        return ()  # whoever hangs is in the bay already
    if not set(bay.dangers) & set(lifts) and not (deed == "meter" and classed(bay)):
        return ()
    before, done = before_each(method.steps), {s.id for s in method.steps if deed in s.does}
    return tuple(s.id for s in method.steps if (s.id == method.contact_step or _inside(s)) and not before[s.id] & done)


def stop_at(method: Method) -> MethodStep | None:
    """The step after which a method holds a person who is caught or lies hurt, and goes no further: first contact, by what stands below.

    None where it comes from above, or lifts, undoes a hook or lowers before that step or with it.
    """
    held = next((s for s in method.steps if s.id == method.contact_step), None)
    if method.kind not in BELOW or held is None:
        return None
    before = before_each(method.steps)[held.id]
    listed = method.steps[: method.steps.index(held) + 1]
    moves = any({"lift", "release", "lower"} & set(s.does) for s in (*listed, *(s for s in method.steps if s.id in before)))
    return None if moves else held


def _inside(step: MethodStep) -> bool:
    if step.does and set(step.does) <= BEFORE:
        return False
    return bool(set(step.does) & WITHIN) or step.kit is not None or not step.who or any(w in RESCUERS for w in step.who)
