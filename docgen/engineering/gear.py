"""What the gear of a rescue method reaches and carries, and how many people its steps put on it.

The statement of a method and its steps must agree; where the steps say more, they count. A tool reaches as high as the place where the
rescuer stands, its own length and the reach of a hand come to.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from docgen.engineering.model import Case, MethodClosure, Tool, computed
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import Bay, Method, MethodStep, Part, Quantity, RescueAnchor, Site, Vehicle
from docgen.site.facts import HAULING, UNDOES
from docgen.trade.practice import practice

__all__ = [
    "RESCUERS",
    "Counts",
    "Gear",
    "before_each",
    "carried",
    "carrying",
    "counts",
    "falls_of_rope",
    "gear",
    "lowering_kit",
    "top_of",
]


#: Those in the list of posts of a step who are rescuers.
RESCUERS = ("rescuer-1", "rescuer-2", "rescuer-3", "rescuer-4")


@frozen
class Gear:
    """Heights at which the ring and the hook are worked in one case [m], the tools for both, and what closes the method."""

    ring: float | None
    hook: float | None
    tools: tuple[Tool, ...]
    closed: tuple[MethodClosure, ...]


def gear(site: Site, bay: Bay, vehicle: Vehicle | None, method: Method, case: Case, sheet: Sheet) -> Gear:
    """All of it for the case with the highest hang."""
    ring = case.hang_high.si if case.hang_high is not None else None
    hook = _hook(method, ring, sheet)
    tools = tuple(_tools(site, bay, vehicle, method, sheet))
    closed = [*_reach(method, ring, hook, sheet), *_rope(site, bay, method, hook, sheet), *_strength(site, method, sheet)]
    closed += ["tool-unstated"] if any(t.reach is None for t in tools) else []
    closed += ["tool-short"] if any(t.reach is not None and over(t.stated.si, t.reach.si) for t in tools) else []
    return Gear(ring, hook, tools, tuple(dict.fromkeys(closed)))


def _hook(method: Method, ring: float | None, sheet: Sheet) -> float | None:
    """Height at which the hook comes off: the highest hang, raised by the lift of a method that hauls."""
    if method.kind not in UNDOES or ring is None:
        return None
    lift = method.lift.needed if method.kind in HAULING else None
    return ring + (sheet.use(lift) if lift is not None else 0.0)


def _reach(method: Method, ring: float | None, hook: float | None, sheet: Sheet) -> Iterator[MethodClosure]:
    stated = method.attach_height
    if ring is not None and stated is not None and over(ring, sheet.use(stated)):
        yield "ring-high"
    stated = method.hook.reach
    if hook is not None and stated is not None and over(hook, sheet.use(stated)):
        yield "hook-high"


# --- the rope -----------------------------------------------------------------------------------------------------------


def _rope(site: Site, bay: Bay, method: Method, hook: float | None, sheet: Sheet) -> Iterator[MethodClosure]:
    kit = lowering_kit(site, method)
    if method.kind not in HAULING or kit is None:
        return
    top = top_of(bay, (a for a in bay.rescue_anchors if a.id in method.rescue_anchors))
    high = sheet.use(top) if top is not None else None
    if kit.reach is None:
        yield "kit-unmeasured"
    rope = method.lift.rope_at_top
    reaches = (
        sheet.use(kit.reach) if kit.reach is not None else None,
        sheet.use(rope) / falls_of_rope(method) if rope is not None else None,
    )
    if high is not None and any(r is not None and over(high, r) for r in reaches):
        yield "kit-short"
    if high is not None and hook is not None and over(hook, high):
        yield "lift-high"


def falls_of_rope(method: Method) -> float:
    """Lengths of rope between the blocks of the haul: at 4:1 a metre lowered takes 4 m of rope. 1 where no ratio is stated."""
    return float(method.lift.ratio.partition(":")[0]) if method.lift.ratio is not None else 1.0


def top_of(bay: Bay, anchors: Iterable[RescueAnchor]) -> Quantity | None:
    """Height from which a method lowers in a bay: of its anchors, the highest, where each says it; else the underside of the rail."""
    heights = [a.height for a in anchors]
    known = [h for h in heights if h is not None]
    return max(known, key=lambda q: q.si) if known and len(known) == len(heights) else bay.rail.underside


def _step_kit(site: Site, method: Method, step: str | None) -> Part | None:
    return next((site.part(s.kit) for s in method.steps if s.id == step and s.kit is not None), None)


def lowering_kit(site: Site, method: Method) -> Part | None:
    """The rope kit that lowers the person: of the step that does so, else of one that hauls, else the longest that the method takes."""
    named = [method.ground_step, *(s.id for s in method.steps if {"lower", "lift", "anchor"} & set(s.does))]
    kits = [k for k in (_step_kit(site, method, step) for step in named) if k is not None and k.kind == "rescue-kit"]
    listed = site.parts(method.kits, "rescue-kit")
    return next(iter(kits or sorted(listed, key=lambda k: -(k.reach.si if k.reach is not None else 0.0))), None)


# --- tools --------------------------------------------------------------------------------------------------------------


def _tools(site: Site, bay: Bay, vehicle: Vehicle | None, method: Method, sheet: Sheet) -> Iterator[Tool]:
    """For each height that a method states what its rescuer comes to there; none where he hangs at the rail himself."""
    if method.attach_from == "rail" or method.kind not in UNDOES:
        return
    stand, raised, unknown = _stand(site, vehicle, method, sheet)
    rope = lowering_kit(site, method) if method.kind in HAULING else None
    apart = {p.id for p in (raised, rope) if p is not None}
    hook = [p for p in (site.part(method.hook.tool),) if p is not None and p.id not in apart]
    steps = [s for s in method.steps if "attach" in s.does] or [s for s in method.steps if s.id == method.contact_step]
    attach = [p for s in steps if (p := site.part(s.kit)) is not None and p.id not in apart]
    for stated, part in ((method.attach_height, next(iter(attach or hook), None)), (method.hook.reach, next(iter(hook), None))):
        if stated is None:
            continue
        lacking = unknown if unknown is not None else f"{part.path}.reach" if part is not None and part.reach is None else None
        reach: float | None = None
        if lacking is None:
            length = sheet.use(part.reach) if part is not None and part.reach is not None else 0.0
            reach = stand + length + practice("hand_reach").si
        path = f"rescues[{bay.id}.{method.id}].{stated.path}"
        yield Tool(
            path=path, stated=stated, part=part.id if part is not None else None, stand=raised.id if raised is not None else None,
            reach=computed(path, reach, "length"), lacking=lacking,
        )  # fmt: skip


def _stand(site: Site, vehicle: Vehicle | None, method: Method, sheet: Sheet) -> tuple[float, Part | None, str | None]:
    """Height of the rescuer's feet [m], the platform or ladder that he stands on, and the path of what is not known of it."""
    if method.attach_from == "vehicle":
        deck = vehicle.deck if vehicle is not None else None
        if deck is None:
            return 0.0, None, f"{vehicle.path}.deck" if vehicle is not None else f"{method.path}.attach_from"
        return sheet.use(deck), None, None
    if (method.attach_from or method.kind) not in ("platform", "ladder"):
        return 0.0, None, None
    raised = next((p for p in site.parts(method.kits) if p.kind in ("platform", "ladder")), None)
    if raised is None or raised.reach is None:
        return 0.0, raised, f"{method.path}.kits" if raised is None else f"{raised.path}.reach"
    return sheet.use(raised.reach), raised, None


# --- what it carries ----------------------------------------------------------------------------------------------------


def _strength(site: Site, method: Method, sheet: Sheet) -> Iterator[MethodClosure]:
    posted = site.limits.upper.value
    for kit in site.parts(method.kits):
        most = kit.capacity.max
        if posted is not None and most is not None and over(carried(method, kit) * sheet.use(posted), sheet.use(most)):
            yield "kit-weak"
    if any(kit.capacity.max is None for kit in carrying(site, method)):
        yield "kit-unrated"


def carrying(site: Site, method: Method) -> tuple[Part, ...]:
    """The kits that carry the person: that of the step to the ground, else all of the method."""
    kit = _step_kit(site, method, method.ground_step)
    return (kit,) if kit is not None else site.parts(method.kits)


def carried(method: Method, kit: Part) -> int:
    """How many people hang or stand on a kit: as stated, or more where the steps put more on a platform."""
    return max(method.load_persons, _on_platform(method, kit) if kit.kind == "platform" else 0)


def _on_platform(method: Method, kit: Part) -> int:
    """The person, and each rescuer of a step that uses the platform from the first contact on."""
    contact = method.contact_step
    before = before_each(method.steps)
    there = [s for s in method.steps if s.kit == kit.id and contact is not None and (s.id == contact or contact in before[s.id])]
    return 1 + len(_rescuers(there)) if there else 0


def _rescuers(steps: Iterable[MethodStep]) -> set[str]:
    return {who for step in steps for who in step.who if who in RESCUERS}


@frozen
class Counts:
    """How many people a method takes and bears, field by field as the profile states them."""

    persons: int
    load_persons: int
    load_on_rail: int


def counts(site: Site, method: Method, tied: bool = False) -> Counts:
    """What the steps of a method of the site say at least: rescuers, people on its platform, people on the rail.

    `tied`: it is said that rescuers are tied to the rail, so that one is at least.
    """
    platforms = [_on_platform(method, kit) for kit in site.parts(method.kits, "platform")] if method.kind == "platform" else []
    at_rail = [s for s in method.steps if {"attach", "release"} & set(s.does)] if method.attach_from == "rail" else []
    hangs = method.kind in (*UNDOES, "assisted", "self")
    return Counts(
        persons=len(_rescuers(method.steps)), load_persons=max(platforms, default=0), load_on_rail=hangs + max(len(_rescuers(at_rail)), int(tied)),
    )  # fmt: skip


def before_each(steps: Iterable[MethodStep]) -> dict[str, set[str]]:
    """For each step all that it waits for by the plan, near or far."""
    after = {s.id: set(s.after) for s in steps}
    before = {}
    for step in after:
        seen: set[str] = set()
        waiting = list(after[step])
        while waiting:
            one = waiting.pop()
            if one not in seen:
                seen.add(one)
                waiting += after.get(one, ())
        before[step] = seen
    return before
