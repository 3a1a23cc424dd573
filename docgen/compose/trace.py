"""What a clause rests on: every profile field and calculated step that was read while it was being written."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from docgen.compose.digest import canonical
from docgen.site import KEY_OF_FIELD, Node, Quantity

__all__ = ["Trace"]


@dataclass(slots=True)
class Trace:
    """Reads of the clause being written; a stack, because a clause may call a macro that opens another scope."""

    reads: list[dict[str, str]] = field(default_factory=list)
    cites: list[list[str]] = field(default_factory=list)

    def read(self, owner: Node, name: str, value: Any) -> None:
        """Note a field read of `owner`; records and lists of records are noted when their own fields are read."""
        if not self.reads or name in ("path", "given") or (isinstance(value, Node) and not isinstance(value, Quantity)):
            return
        if callable(value) or (isinstance(value, tuple) and value and isinstance(value[0], Node)):
            return
        if isinstance(owner, Quantity):
            self.reads[-1][owner.path] = canonical(owner)
            return
        path = value.path if isinstance(value, Quantity) else f"{owner.path}.{KEY_OF_FIELD.get(name, name)}".lstrip(".")
        self.reads[-1][path] = canonical(value)

    def cite(self, key: str) -> None:
        if self.cites and key not in self.cites[-1]:
            self.cites[-1].append(key)

    def open(self) -> None:
        self.reads.append({})
        self.cites.append([])

    def close(self) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
        reads, cites = self.reads.pop(), self.cites.pop()
        return tuple(sorted(reads.items())), tuple(cites)
