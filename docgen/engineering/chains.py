"""The load path of each system: the weakest rated part, the lowest mass it is proven for, and how many at once."""

from __future__ import annotations

from docgen.calc import capacity
from docgen.engineering.model import Chain, computed
from docgen.engineering.sheet import Sheet
from docgen.site import Part, Site, System

__all__ = ["RATED_KINDS", "all_chains", "chain_parts"]

RATED_KINDS = ("trolley", "srd", "lanyard", "harness")


def chain_parts(site: Site, system: System) -> tuple[Part, ...]:
    """The parts in the load path, harness pools last."""
    return (*site.parts(system.parts), *site.parts(system.harnesses))


def all_chains(site: Site) -> tuple[Chain, ...]:
    """One chain a system, in profile order."""
    return tuple(_chain(site, system) for system in site.systems)


def _chain(site: Site, system: System) -> Chain:
    path = f"chains[{system.id}]"
    sheet = Sheet(path)
    parts = chain_parts(site, system)
    unrated = [p.id for p in parts if p.kind in RATED_KINDS and p.capacity.max is None]
    for kind in ("srd", "harness"):
        if not any(p.kind == kind for p in parts):
            unrated.append(kind)
    rated = [(p, p.capacity.max) for p in parts if p.capacity.max is not None]
    limit: float | None = None
    lower: float | None = None
    governing = lower_governing = None
    if rated and not unrated:
        limit, index = sheet.run(capacity.chain_limit, limits=[sheet.use(q) for _, q in rated])
        governing = rated[index][0].id
    floors = [(p, p.capacity.min) for p in parts if p.capacity.min is not None]
    if floors:
        lower, index = sheet.run(capacity.lower_limit, minimums=[sheet.use(q) for _, q in floors])
        lower_governing = floors[index][0].id
    users, users_by = _users(site, system, sheet)
    return Chain(
        path=path, system=system.id, bay=system.bay, limit=computed(f"{path}.limit", limit, "mass"), governing=governing,
        lower_limit=computed(f"{path}.lower_limit", lower, "mass"), lower_governing=lower_governing, users=users,
        users_by=users_by, unrated=tuple(unrated), inputs=tuple(sheet.inputs), working=sheet.working(),
    )  # fmt: skip


def _users(site: Site, system: System, sheet: Sheet) -> tuple[int | None, str | None]:
    """Persons who may be attached at once, and what sets that: the lowest of rail, structure, anchorage and trolleys."""
    bounds = {p.id: p.rated_users for p in site.parts(system.parts) if p.rated_users is not None}
    if system.anchorage.designed_for_users is not None:
        bounds["anchorage"] = system.anchorage.designed_for_users
    if not bounds:
        return None, None
    if system.trolleys is not None:
        bounds["trolleys"] = sheet.run(
            capacity.users_allowed, rail_users=min(bounds.values()), trolleys=system.trolleys, users_per_trolley=system.rated_users_per_trolley
        )  # fmt: skip
    by = min(bounds, key=lambda k: bounds[k])
    return bounds[by], by
