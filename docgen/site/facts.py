"""What the profile does not say yet and somebody must find out: one line a declared field, in the order of one walk round the bay.

The list is made from the declarations (`need`, `when`, `station`, sentence, `read_off`, `papers`) and from nothing else. A bay
that is closed by decision and a task that is not allowed ask for nothing of their own. An empty list is an answer, and so is the
word none in a record that is asked for as a whole.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any, get_args

from docgen.frozen import frozen
from docgen.limits import over
from docgen.site.bays import Bay, LadderPlace, SameRail
from docgen.site.build import Slot, slots_of
from docgen.site.contractors import ContractorClass
from docgen.site.declare import Need, Node, Says, Station
from docgen.site.equipment import BEARING, Direction, EdgeUse, Part, System
from docgen.site.law import LocalRule, Reviewer
from docgen.site.people import Shift
from docgen.site.place import Role
from docgen.site.profile import Site
from docgen.site.rescue import Method
from docgen.site.vehicles import Side, Task, Vehicle

__all__ = ["CONDITIONS", "HAULING", "NONE_WORDS", "STATIONS", "UNDOES", "Fact", "missing_facts"]

STATIONS: tuple[Station, ...] = get_args(Station)[1:]
NONE_WORDS = ("none", "no", "nothing", "does not apply")
#: Walked to one by one; whoever is asked elsewhere is asked once for all of a section.
WALKED: tuple[Station, ...] = ("gate", "parking", "ladder", "deck", "rail", "rescue", "signals", "way-off")
#: Parts that one named person holds, whatever the shift.
#: Parts that are held by name.
NAMED: frozenset[str] = frozenset(
    {"competent-person", "qualified-person", "rescue-lead", "trainer", "issuing-authority", "safety-manager", "management"}
)
#: kg: the mass up to which a tested system is taken to meet the limits, 29 CFR 1910.140(d)(1) (memory); a label says no more of a heavier user.
TESTED_MASS = 310 * 0.45359237
HAULING, UNDOES = ("raise-and-lower", "lower"), ("raise-and-lower", "lower", "platform", "ladder")


@frozen
class Fact:
    """One line: the declared fields, where they are missing (paths; names of bays, vehicles and parts) and what is asked of whom.

    What is found on the walk stands alone; what is asked of one who knows stands in one line for each section. `bays` are the ids of the bays that it concerns, all of those in use where it is about the whole site; `sentences` say what is
    asked, of the field as a whole or of the parts of it that are not there; `read_off` where each is found.
    """

    fields: tuple[str, ...]
    need: Need
    station: Station
    paths: tuple[str, ...]
    places: tuple[str, ...]
    bays: tuple[str, ...]
    sentences: tuple[str, ...]
    read_off: tuple[str, ...]
    papers: tuple[int | str, ...]


@frozen
class _Lack:
    """One place where a field is missing, with the records that it lies in, the outermost first."""

    field: str
    path: str
    owners: tuple[Node, ...]
    said: Says
    parts: tuple[Says, ...]


def missing_facts(site: Site) -> tuple[Fact, ...]:
    """Every fact that is asked for and not given: those that close a bay first, each kind in walking order."""
    in_use = tuple(b.id for b in site.bays if _bay_in_use(site, b))
    lines: dict[tuple[str, ...], list[_Lack]] = {}
    for lack in _lacks(site, site, "", ()):
        said = lack.said
        about = lack.field if said.station in WALKED else lack.field.split(".")[0]
        lines.setdefault((said.need, said.station, about), []).append(lack)
    facts = [_fact(site, group, in_use) for group in lines.values()]
    return tuple(sorted(facts, key=lambda f: (f.need, STATIONS.index(f.station))))


def _fact(site: Site, group: list[_Lack], in_use: tuple[str, ...]) -> Fact:
    fields = tuple(dict.fromkeys(lack.field for lack in group))
    asked: list[Says] = []
    read_off: list[str] = []
    for field in fields:
        mine = [lack for lack in group if lack.field == field]
        parts = tuple({p.sentence: p for lack in mine for p in lack.parts}.values())
        whole = (mine[0].said,) if any(not lack.parts for lack in mine) else parts
        asked += whole
        read_off += [s.read_off for s in (*whole, *_below(whole[0], field)) if s.read_off]
    bays = dict.fromkeys(b for lack in group for b in _bays_of(site, lack.owners, in_use))
    return Fact(
        fields=fields, need=group[0].said.need, station=group[0].said.station, paths=tuple(lack.path for lack in group),
        places=tuple(dict.fromkeys(name for lack in group if (name := _place(lack.owners)))), bays=tuple(b for b in in_use if b in bays),
        sentences=tuple(s.asked for s in asked), read_off=tuple(dict.fromkeys(read_off)),
        papers=tuple(dict.fromkeys(p for lack in group for p in lack.said.papers)),
    )  # fmt: skip


def _below(said: Says, field: str) -> tuple[Says, ...]:
    """The parts of a field that is a record: they say where it is read off where the whole does not."""
    if said.read_off:
        return ()
    cls: Any = Site
    slot: Slot | None = None
    for step in field.split("."):
        slot = next(s for s in slots_of(cls) if s.key == step)
        cls = slot.arg if slot.what == "record" else cls
    return tuple(_said(cls).values()) if slot is not None and slot.what == "record" else ()


def _lacks(site: Site, node: Node, field: str, owners: tuple[Node, ...]) -> Iterator[_Lack]:
    said = _said(_class(node))
    inside = (*owners, node)
    for slot in _slots(node):
        about, value = said[slot.name], getattr(node, slot.name)
        at, name = f"{node.path}.{slot.key}".lstrip("."), f"{field}.{slot.key}".lstrip(".")
        if about.need in ("A", "B"):
            if _asked(site, inside, about):
                yield from _lack(site, slot, about, value, at, name, inside)
        elif slot.what == "record":
            for inner in value if slot.many else (value,):
                if not _stands(site, inner, inside):
                    continue
                yield from _lacks(site, inner, name, inside)


def _lack(site: Site, slot: Slot, about: Says, value: Any, at: str, name: str, inside: tuple[Node, ...]) -> Iterator[_Lack]:
    """The field is not there, or a part of it that is asked for."""
    if slot.what != "record":
        if (value is None or value == ()) and at not in site.answered:
            yield _Lack(name, at, inside, about, ())
        return
    entries = value if slot.many else (value,)
    if not any(entries):
        if not (slot.many and at in site.answered):
            yield _Lack(name, at, inside, about, ())
        return
    for entry in entries:
        if parts := tuple(_open_parts(site, entry, inside)):
            yield _Lack(name, entry.path, inside, about, parts)


def _open_parts(site: Site, entry: Node, inside: tuple[Node, ...]) -> Iterator[Says]:
    said = _said(_class(entry))
    values = [getattr(entry, s.name) for s in _slots(entry)]
    if any(isinstance(v, str) and v.strip().casefold().rstrip(".") in NONE_WORDS for v in values):
        return
    for slot in _slots(entry):
        about, value = said[slot.name], getattr(entry, slot.name)
        if about.need == "o" or about.required or not _asked(site, (*inside, entry), about):
            continue
        missing = not value if isinstance(value, Node) else value is None or value == ()
        if missing and f"{entry.path}.{slot.key}" not in site.answered:
            yield about


@cache
def _said(cls: type[Any]) -> Mapping[str, Says]:
    return {f.name: f.metadata["says"] for f in dataclasses.fields(cls) if "says" in f.metadata}


def _slots(node: Node) -> tuple[Slot, ...]:
    return slots_of(_class(node))


def _class(node: Node) -> Any:
    return node.__class__


# --- for whom a fact is asked -------------------------------------------------------------------------------------------


def _bay_in_use(site: Site, bay: Bay) -> bool:
    return any(t.bay == bay.id and t.permission == "allowed" for t in site.tasks)


def _stands(site: Site, node: Node, inside: tuple[Node, ...]) -> bool:
    """Whether anything is asked of a record: one that no allowed task needs is left alone."""
    match node:
        case Bay():
            return _bay_in_use(site, node)
        case Task():
            return node.permission == "allowed"
        case Vehicle():
            return any(t.vehicle == node.id and t.permission == "allowed" for t in site.tasks)
        case Part():
            return bool(_bays_of_part(site, node))
        case System():
            return any(b.id == node.bay and _bay_in_use(site, b) for b in site.bays)
        case Shift():
            return node.climbing
        case ContractorClass():
            return node.may_climb
    return True


def _bays_of_part(site: Site, part: Part) -> tuple[str, ...]:
    """The bays in use in whose load path a part hangs; every bay in use for what a rescue takes, and for what bears a fall and belongs to nothing."""
    in_use = [b.id for b in site.bays if _bay_in_use(site, b)]
    if any(part.id in m.kits for m in site.rescue.methods):
        return tuple(in_use)
    found = {s.bay for s in site.systems if part.id in (*s.parts, *s.harnesses)}
    if not found and part.kind in BEARING and not part.part_of and not part.spare:
        return tuple(in_use)  # it bears a fall somewhere, and nothing says where
    return tuple(b for b in in_use if b in found)


def _bays_of(site: Site, owners: tuple[Node, ...], in_use: tuple[str, ...]) -> tuple[str, ...]:
    """The bays that a fact about the innermost of these records concerns."""
    for owner in owners[1:2]:
        match owner:
            case Bay():
                return (owner.id,)
            case Task() | System():
                return (owner.bay,)
            case Vehicle():
                return tuple(dict.fromkeys(t.bay for t in site.tasks if t.vehicle == owner.id and t.permission == "allowed"))
            case Part():
                return _bays_of_part(site, owner)
    return in_use


def _place(owners: tuple[Node, ...]) -> str:
    """What the innermost named record is called: bay, vehicle, part, method."""
    for owner in reversed(owners):
        for key in ("name", "side", "place", "id"):
            named = getattr(owner, key, None)
            if isinstance(named, str) and named and not isinstance(owner, Side):
                return named
    return ""


def _asked(site: Site, inside: tuple[Node, ...], about: Says) -> bool:
    return not about.when or CONDITIONS[about.when](site, inside)


def _within(inside: tuple[Node, ...], kind: type) -> Any:
    return next(n for n in reversed(inside) if isinstance(n, kind))


def _outdoors(site: Site, inside: tuple[Node, ...]) -> bool:
    owner = next(n for n in reversed(inside) if isinstance(n, Bay | Task))
    bay = site.bay(owner.bay) if isinstance(owner, Task) else owner
    return bay is None or bay.setting != "indoor"


def _unrated(site: Site, inside: tuple[Node, ...]) -> bool:
    part: Part = _within(inside, Part)
    hangs = part.kind in BEARING or any(part.id in s.parts for s in site.systems)
    ratings = (part.capacity.max, part.rated_users, part.tensile, part.proof, part.line_strength, part.design_load)
    return hangs and all(rating is None for rating in ratings)


def _above_usual(site: Site, inside: tuple[Node, ...]) -> bool:
    part, limit = _within(inside, Part), site.limits.upper.value
    return part.kind == "srd" and limit is not None and over(limit.si, TESTED_MASS)


def _two_at_once(site: Site, inside: tuple[Node, ...]) -> bool:
    return (_within(inside, System).climbers_at_once or 1) > 1


def _side_load_untold(site: Site, inside: tuple[Node, ...]) -> bool:
    direction: Direction = _within(inside, Direction)
    return direction.load is None and not direction.silent


def _edge_differs(site: Site, inside: tuple[Node, ...]) -> bool:
    edge: EdgeUse = _within(inside, EdgeUse)
    return not edge.same


def _edge_rated(site: Site, inside: tuple[Node, ...]) -> bool:
    part: Part = _within(inside, Part)
    return part.edge_rated is True or _edge_differs(site, inside)


def _method(*kinds: str) -> Callable[[Site, tuple[Node, ...]], bool]:
    return lambda site, inside: _within(inside, Method).kind in kinds


def _anchored(site: Site, inside: tuple[Node, ...]) -> bool:
    method: Method = _within(inside, Method)
    told = method.anchor is not None and method.anchor.strip().casefold().rstrip(".") not in NONE_WORDS
    return method.kind != "outside" and (told or bool(method.rescue_anchors))


def _same_rail(site: Site, inside: tuple[Node, ...]) -> bool:
    rail: SameRail = _within(inside, SameRail)
    return bool(rail.allowed)


def _reviews_figures(site: Site, inside: tuple[Node, ...]) -> bool:
    reviewer: Reviewer = _within(inside, Reviewer)
    return reviewer.part != "counsel"


#: Name in `when` -> whether the fact is asked; it gets the site and the records that the field lies in, the outermost first.
CONDITIONS: Mapping[str, Callable[[Site, tuple[Node, ...]], bool]] = {
    "above-310": _above_usual,
    "shorter-device": lambda site, inside: _within(inside, LadderPlace).control == "shorter-device",
    "class-climbs": lambda site, inside: any(c.may_climb for c in site.contractors.classes),
    "danger": lambda site, inside: bool({"fire", "gas", "spill"} & set(_within(inside, Bay).dangers)),
    "device": lambda site, inside: _within(inside, Part).kind == "srd",
    "edge-differs": _edge_differs,
    "edge-rated": _edge_rated,
    "found": lambda site, inside: False,  # asked for by the finding that says what must be written
    "hauling": _method(*HAULING),
    "holder-named": lambda site, inside: bool(set(_within(inside, Role).part) & NAMED),
    "hook-undone": _method(*UNDOES),
    "local-code": lambda site, inside: _within(inside, LocalRule).kind == "local",
    "open-side": lambda site, inside: not _within(inside, Side).stopped_by,
    "outdoors": _outdoors,
    "own-crew-counts": lambda site, inside: bool(site.contractors.applies_to_own_crew),
    "own-method": lambda site, inside: _within(inside, Method).kind != "outside",
    "platform": _method("platform", "ladder"),
    "rescue-anchor": _anchored,
    "releases": lambda site, inside: any(b.release.by == _within(inside, Role).id for b in site.bays),
    "reviews-figures": _reviews_figures,
    "same-rail": _same_rail,
    "several-languages": lambda site, inside: len(site.document.languages) > 1,
    "side-load-untold": _side_load_untold,
    "two-at-once": _two_at_once,
    "unrated": _unrated,
}
