"""What the profile says that a role did on a day: to be printed with the name that held the role then, never with today's."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from datetime import date
from functools import cache
from typing import Any

from docgen.frozen import frozen
from docgen.site.build import slots_of
from docgen.site.declare import Node, Quantity
from docgen.site.profile import Site

__all__ = ["Act", "acts"]


@frozen
class Act:
    """One deed: where it stands, the role by its id, and the day."""

    path: str
    role: str
    on: date


def acts(site: Site) -> Iterator[Act]:
    """Every field that names a role beside the day on which it acted, and every measure with a role and a day, in field order.

    `checked_by` goes with `checked_on`, and any other with `on` or `last` of the same record.
    """
    known = {role.id for role in site.roles}
    for act in _below(site):
        if act.role in known:
            yield act


def _below(node: Node) -> Iterator[Act]:
    kind: Any = type(node)
    for name, names_role in _fields(kind):
        value = getattr(node, name)
        if isinstance(value, Quantity):
            if value.by is not None and value.on is not None:
                yield Act(f"{value.path}.by", value.by, value.on)
        elif isinstance(value, Node):
            yield from _below(value)
        elif isinstance(value, tuple):
            for item in value:
                if isinstance(item, Node):
                    yield from _below(item)
        elif names_role and isinstance(value, str):
            days = [s.name for s in slots_of(kind) if s.what == "date"]
            wanted = (f"{name.removesuffix('_by')}_on", "on", "last")
            day = next((getattr(node, d) for d in wanted if d in days), None)
            if day is not None:
                yield Act(f"{node.path}.{name}", value, day)


@cache
def _fields(kind: type[Any]) -> tuple[tuple[str, bool], ...]:
    """The fields of a record, and whether each names a role."""
    said = ((f.name, f.metadata["says"]) for f in dataclasses.fields(kind) if "says" in f.metadata)
    return tuple((name, says.refers_to == "roles") for name, says in said)
