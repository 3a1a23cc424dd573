"""What a clause rests on: every profile field and calculated step that was read while it was being written."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import TypeVar, cast

from docgen.compose.digest import canonical
from docgen.site import KEY_OF_FIELD, Node, Quantity, Role, Site

__all__ = ["Trace"]


T = TypeVar("T")

OF_ITS_PART = ("held_by", "phone")  # of a role: what it is for decides whether such a change is administrative
PLAIN = frozenset({str, int, bool, float, type(None)})  # no record, and none in it
TOLD_OTHERWISE = (Quantity, Role, Site)  # of which a read of one field says something of another
EVIDENCE = ("by", "on")  # of a quantity: not in its canonical text, so noted where they are read


@dataclass(slots=True)
class Trace:
    """What is read while one clause is being written; outside a clause nothing is noted, but in `all` and `told`, where it is a paper or frame that has none."""

    writing: bool = False
    all: dict[tuple[str, str], object] | None = None
    told: dict[str, None] = field(default_factory=dict)
    reads: dict[tuple[str, str], object] = field(default_factory=dict)
    cites: dict[str, None] = field(default_factory=dict)
    known: dict[Hashable, object] = field(default_factory=dict)

    def once(self, key: Hashable, make: Callable[[], T]) -> T:
        """What was made for this clause before under the key, and all that it reads noted with it; made now if it was not."""
        if key not in self.known:
            self.known[key] = make()
        return cast(T, self.known[key])

    def read(self, owner: Node, name: str, value: object) -> None:
        """Note a field read of `owner`; records and lists of records are noted when their own fields are read."""
        if name in ("path", "given") or callable(value):
            return
        if self.writing:
            _note(self.reads, owner, name, value)
        if self.all is not None:
            _note(self.all, owner, name, value)

    def outside(self) -> frozenset[str]:
        """Paths of all fields that were read since `all` was set, inside clauses and outside."""
        return frozenset(_path(owner, name) for owner, name in self.all or {})

    def note(self, path: str, value: object) -> None:
        """Note something that is no field: what is said elsewhere in the document, for one."""
        if self.writing:
            self.reads[path, ""] = value

    def cite(self, key: str) -> None:
        """Note a source that the clause being written names."""
        if self.writing:
            self.cites[key] = None
        elif self.all is not None:
            self.told[key] = None

    def open(self) -> None:
        """A clause begins."""
        self.writing, self.reads, self.cites, self.known = True, {}, {}, {}

    def close(self) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
        """The clause ends: its inputs (path, canonical value), sorted, and its sources in the order of their naming."""
        self.writing = False
        inputs = {_path(owner, name): canonical(value) for (owner, name), value in self.reads.items()}
        return tuple(sorted(inputs.items())), tuple(self.cites)


def _note(reads: dict[tuple[str, str], object], owner: Node, name: str, value: object) -> None:
    if value.__class__ in PLAIN and not isinstance(owner, TOLD_OTHERWISE):  # nearly all that is read
        reads[owner.path, name] = value
    elif isinstance(owner, Quantity):
        reads[(owner.path, name) if name in EVIDENCE else (owner.path, "")] = value if name in EVIDENCE else owner
    elif isinstance(value, Node):
        if isinstance(value, Quantity):
            reads[value.path, ""] = value
    elif isinstance(owner, Role) and name in OF_ITS_PART:
        reads[owner.path, name] = value
        reads[owner.path, "part"] = owner.part
    elif name == "country" and isinstance(owner, Site):
        reads[owner.site.path, "jurisdiction"] = owner.site.jurisdiction
    elif not (isinstance(value, tuple) and value and isinstance(value[0], Node)):
        reads[owner.path, name] = value


def _path(owner: str, name: str) -> str:
    return f"{owner}.{KEY_OF_FIELD.get(name, name)}".lstrip(".") if name else owner
