"""Which fields are administrative: their change lapses the issuing authority's approval alone.

A field is declared so beside its sentence. Of a role it depends on what the role is for: who answers for the figures, the equipment,
the rescue and the training is never a matter of the office, nor is a telephone by which help may be called.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Collection, Iterator
from functools import cache

from docgen.site.build import slots_of
from docgen.site.place import RolePart
from docgen.site.profile import Site

__all__ = ["administrative"]

PLACE = re.compile(r"\[[^]]*\]")
ANSWERING: frozenset[RolePart] = frozenset({"qualified-person", "competent-person", "rescue-lead", "trainer"})
CALLED: frozenset[RolePart] = ANSWERING | {"supervisor", "attendant", "gate-operator", "control-room", "rescuer", "first-aider"}
#: Fields of a role -> the parts of which they are not administrative.
EXCEPT = {"roles.holders": ANSWERING, "roles.phone": CALLED}


def administrative(path: str, parts: Collection[str] | None) -> bool:
    """Whether the field at a path of the profile is administrative; `parts` are those of its role, None where they are not known.

    >>> administrative("document.kept_at", None), administrative("roles[gm].holders", ["management"])
    (True, True)
    >>> administrative("roles[cp].holders", ["competent-person"]), administrative("bays[B1].name", None)
    (False, False)
    """
    field = PLACE.sub("", path)
    if field not in _declared():
        return False
    kept = EXCEPT.get(field)
    return kept is None or (parts is not None and not kept.intersection(parts))


@cache
def _declared() -> frozenset[str]:
    return frozenset(_fields(Site, ""))


def _fields(cls: type, at: str) -> Iterator[str]:
    said = {f.name: f.metadata["says"] for f in dataclasses.fields(cls) if "says" in f.metadata}
    for slot in slots_of(cls):
        path = f"{at}.{slot.key}".lstrip(".")
        if said[slot.name].administrative:
            yield path
        if slot.what == "record":
            yield from _fields(slot.arg, path)
