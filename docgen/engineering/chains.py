"""The load path of each system: whether it is whole, the weakest rated part, the lowest mass it is proven for, and how many at once.

A link that is not there, or a part of it without a rating, leaves the limit uncomputed: it never counts as a pass.
"""

from __future__ import annotations

import re
from dataclasses import replace

from docgen.calc import capacity
from docgen.engineering.model import Chain, Counted, Link
from docgen.engineering.sheet import Sheet
from docgen.site import Part, Quantity, Site, System
from docgen.site.bays import RailStop
from docgen.site.equipment import PartKind

__all__ = ["EACH", "ENDS", "LINKS", "RATED_KINDS", "all_chains", "chain_parts", "end_stops", "names_paper", "rated", "shown"]

#: Kinds of part that bear one person and carry the mass up to which they do.
RATED_KINDS = ("trolley", "srd", "lanyard", "harness")
#: The links of a load path from the ground to the person, and the kinds of part that can be each.
LINKS: tuple[tuple[Link, tuple[PartKind, ...]], ...] = (
    ("foundation", ("foundation", "host-structure")),
    ("structure", ("structure",)),
    ("hanger", ("hanger",)),
    ("splice", ("splice",)),
    ("end-stop", ("end-stop",)),
    ("rail", ("rail",)),
    ("trolley", ("trolley",)),
    ("connector", ("connector",)),
    ("srd", ("srd",)),
    ("hook", ("hook", "swivel")),
    ("harness", ("harness",)),
)
#: What each person has one of, as it is counted, and the kind of part that it is.
EACH: tuple[tuple[str, PartKind], ...] = (
    ("trolleys", "trolley"), ("connectors", "connector"), ("devices", "srd"), ("lanyards", "lanyard"), ("swivels", "swivel"),
    ("hooks", "hook"), ("harnesses", "harness"),
)  # fmt: skip
#: Of these only the ones that the system itself names.
NAMED = ("trolley", "srd", "harness")
ENDS = 2  # a rail has two, and each has its stop


def chain_parts(site: Site, system: System) -> tuple[Part, ...]:
    """The parts in the load path, harness pools last."""
    return (*site.parts(system.parts), *site.parts(system.harnesses))


def end_stops(site: Site, system: System) -> int:
    """How many end stops are shown: those that the bay lists with a part or with words on what they rest on, or those among the parts."""
    bay = site.bay(system.bay)
    told = sum(1 for s in bay.rail.stops if s.part is not None or s.basis is not None) if bay is not None else 0
    return max(told, _count(tuple(p for p in site.load_path(system) if p.kind == "end-stop")))


def names_paper(text: str | None) -> bool:
    """Whether words name a paper that can be looked up: its number, its page, its day or a rating has a figure in it."""
    return text is not None and re.search(r"\d", text) is not None


def shown(stop: RailStop) -> bool:
    """Whether the words on what a stop rests on name a paper."""
    return names_paper(stop.basis)


def rated(site: Site, part: Part) -> bool:
    """Whether a part has a rating of its own, or a paper says that it is part of one that has.

    What bears one person alone is rated in mass; anything else in mass, persons or force. A part of itself is not rated.
    """
    seen: set[str] = set()
    whole: Part | None = part
    while whole is not None and whole.id not in seen:
        if whole.capacity.max is not None:
            return True
        forces = (whole.design_load, whole.tensile, whole.proof, whole.line_strength)
        if whole.kind not in RATED_KINDS and (whole.rated_users is not None or any(f is not None for f in forces)):
            return True
        seen.add(whole.id)
        whole = site.part(whole.part_of.part) if whole.part_of.paper is not None else None
    return False


def all_chains(site: Site) -> tuple[Chain, ...]:
    """One chain a system, in profile order."""
    return tuple(_chain(site, system) for system in site.systems)


def _chain(site: Site, system: System) -> Chain:
    path = f"chains[{system.id}]"
    sheet = Sheet(path)
    parts = site.load_path(system)
    missing = _missing(site, system, parts)
    bare = [p.id for p in parts if not rated(site, p)]
    unrated = tuple(key for key in bare if site.within(key)[-1] not in bare or _whole(site, key))
    with_mass = [(p, p.capacity.max) for p in parts if p.capacity.max is not None]
    limit: Quantity | None = None
    lower: Quantity | None = None
    governing = lower_governing = None
    if with_mass and not unrated and not missing:
        _, index = sheet.run(capacity.chain_limit, limits=[sheet.use(q) for _, q in with_mass])
        limit, governing = with_mass[index][1], with_mass[index][0].id
    floors = [(p, p.capacity.min) for p in parts if p.capacity.min is not None]
    if floors:
        _, index = sheet.run(capacity.lower_limit, minimums=[sheet.use(q) for _, q in floors])
        lower, lower_governing = floors[index][1], floors[index][0].id
    counts = counted(site, system, parts)
    users, users_by = _users(site, system, sheet, counts)
    return Chain(
        path=path, system=system.id, bay=system.bay, limit=_as_written(f"{path}.limit", limit), governing=governing,
        lower_limit=_as_written(f"{path}.lower_limit", lower), lower_governing=lower_governing, users=users,
        users_by=users_by, counted=counts, lacking=missing, unrated=unrated,
        inputs=tuple(sheet.inputs), working=sheet.working(),
    )  # fmt: skip


def _as_written(path: str, rating: Quantity | None) -> Quantity | None:
    """The rating that governs, as its label writes it, so that one limit is never printed with two figures."""
    return None if rating is None else replace(rating, path=path, how="calculated")


def _whole(site: Site, key: str) -> bool:
    """Whether a part is asked for its own rating: it is part of nothing, or of something that is part of it in turn."""
    part = site.part(key)
    last = site.part(site.within(key)[-1])
    return part is None or last is None or part is last or last.part_of.part is not None


def _missing(site: Site, system: System, parts: tuple[Part, ...]) -> tuple[Link, ...]:
    """The links that nothing in the profile is, and of which the system does not say that there is none."""
    there = {p.kind for p in parts if p.kind not in ("harness", "end-stop")}
    there |= {"harness"} if _of(site, system, "harness") else set()
    there |= {"end-stop"} if end_stops(site, system) >= ENDS else set()
    without = {w.kind for w in system.without}
    return tuple(link for link, kinds in LINKS if link not in without and there.isdisjoint(kinds))


def _of(site: Site, system: System, kind: PartKind) -> tuple[Part, ...]:
    """The parts of one kind that the system itself names; a spare is none of them."""
    return tuple(p for p in chain_parts(site, system) if p.kind == kind and not p.spare)


def _count(parts: tuple[Part, ...]) -> int:
    """How many items these records stand for."""
    return sum(p.count or 1 for p in parts)


def counted(site: Site, system: System, parts: tuple[Part, ...]) -> tuple[Counted, ...]:
    """How many there are of each link that is with one person at a time, the links that the load path has.

    What is part of another one is counted by its own record: a hook of two devices stands for two where it says so.
    """
    there = [
        (name, _count(_of(site, system, kind) if kind in NAMED else tuple(p for p in parts if p.kind == kind)))
        for name, kind in EACH
    ]
    return tuple(Counted(path=f"chains[{system.id}].counted[{name}]", what=name, count=count) for name, count in there if count)


def _users(site: Site, system: System, sheet: Sheet, counts: tuple[Counted, ...]) -> tuple[int | None, str | None]:
    """Persons who may be attached at once, and what sets that: the lowest of rail, structure, anchorage and the parts counted."""
    bounds = {p.id: p.rated_users for p in site.parts(system.parts) if p.rated_users is not None}
    if system.anchorage.designed_for_users is not None:
        bounds["anchorage"] = system.anchorage.designed_for_users
    if not bounds:
        return None, None
    rail = min(bounds.values())
    for one in counts:
        bounds[one.what] = one.count
        if one.what == "trolleys":
            bounds[one.what] = sheet.run(
                capacity.users_allowed, rail_users=rail, trolleys=one.count, users_per_trolley=system.rated_users_per_trolley
            )  # fmt: skip
    by = min(bounds, key=lambda k: bounds[k])
    return bounds[by], by
