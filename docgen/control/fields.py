"""What changed between two profiles, field by field, with the lines; list items are matched by what names them.

This is the one place of control that walks a profile as it is written: a change is told in the words of the profile, evidence
and tolerance included. Whatever is asked of a field by its meaning is asked of the typed `Site`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from docgen.frozen import frozen
from docgen.read import Mark, Source, join

__all__ = ["FieldChange", "How", "field_changes"]

NAMED_BY = ("id", "side", "kit", "role", "party")
How = Literal["added", "removed", "changed"]
Leaf = tuple[str, str, int | None, str]  # named path, value as text, line, the file that it was taken over from


@frozen
class FieldChange:
    """One leaf of the profile. `old` or `new` is None where it was added or removed; `line` is in the newer file, else `old_line`;
    `origin` is the file of `line` where the value was taken over.

    `path` names list items by their id; the value of a measured thing carries the path of the thing itself.
    """

    path: str
    old: str | None
    new: str | None
    line: int | None
    old_line: int | None
    origin: str = ""

    @property
    def how(self) -> How:
        """Whether it was added, removed or changed."""
        return "added" if self.old is None else "removed" if self.new is None else "changed"


def _names(items: list[object]) -> list[str]:
    """A name for each item of a list: what names it, if that is unique in the list, else its place."""
    own = [_own_name(item) for item in items]
    return [f"{name[1]}" if name is not None and own.count(name) == 1 else str(index) for index, name in enumerate(own)]


def _own_name(item: object) -> tuple[str, str] | None:
    """(key, text) of the first key that names an item."""
    if not isinstance(item, dict):
        return None
    return next(((key, item[key]) for key in NAMED_BY if isinstance(item.get(key), str)), None)


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ", ".join(_text(v) for v in value)
    return str(value)


def _leaves(data: object, marks: Mapping[str, Mark], at: str, path: str) -> Iterator[Leaf]:
    mark = marks.get(at)
    line = (mark.key_line or mark.line) if mark else None
    if isinstance(data, dict):
        for key, value in data.items():
            measured = key == "value" and not isinstance(value, dict | list)
            inner = path if measured else f"{path}.{key}".lstrip(".")
            yield from _leaves(value, marks, join(at, key), inner)
    elif isinstance(data, list) and any(isinstance(item, dict) for item in data):
        for index, (name, item) in enumerate(zip(_names(data), data, strict=True)):
            yield from _leaves(item, marks, join(at, index), f"{path}[{name}]")
    else:
        yield path, _text(data), line, mark.file if mark else ""


def field_changes(old: Source, new: Source) -> tuple[FieldChange, ...]:
    """Every leaf that differs, in the order of the newer profile, then what was removed."""
    before = {path: (text, line) for path, text, line, _ in _leaves(old.data or {}, old.marks, "", "")}
    after = {path: (text, line, file) for path, text, line, file in _leaves(new.data or {}, new.marks, "", "")}
    changes = []
    for path, (text, line, file) in after.items():
        was = before.get(path)
        if was is None or was[0] != text:
            changes.append(FieldChange(path, was[0] if was else None, text, line, was[1] if was else None, file))
    changes += [FieldChange(path, text, None, None, line) for path, (text, line) in before.items() if path not in after]
    return tuple(changes)
