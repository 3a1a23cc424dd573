"""What changed between two profiles, field by field, with the lines; list items are matched by what names them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from docgen.frozen import frozen
from docgen.read import Mark, Source, join

__all__ = ["FieldChange", "field_changes", "record_at"]

NAMED_BY = ("id", "side", "kit", "role", "party")


@frozen
class FieldChange:
    """One leaf of the profile. `old` or `new` is None where it was added or removed; `line` is in the newer file, else `old_line`.

    `path` names list items by their id; the value of a measured thing carries the path of the thing itself.
    """

    path: str
    old: str | None
    new: str | None
    line: int | None
    old_line: int | None

    @property
    def how(self) -> str:
        return "added" if self.old is None else "removed" if self.new is None else "changed"


def _names(items: list[Any]) -> list[str]:
    """A name for each item of a list: what names it, if that is unique in the list, else its place."""
    names = []
    for index, item in enumerate(items):
        key = next((k for k in NAMED_BY if isinstance(item, dict) and isinstance(item.get(k), str)), None)
        own = item[key] if key else None
        same = sum(1 for other in items if isinstance(other, dict) and key and other.get(key) == own)
        names.append(own if own is not None and same == 1 else str(index))
    return names


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ", ".join(_text(v) for v in value)
    return str(value)


def _leaves(data: Any, marks: Mapping[str, Mark], at: str, path: str) -> Iterator[tuple[str, str, int | None]]:
    """(named path, value as text, line) of every leaf."""
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
        yield path, _text(data), line


def field_changes(old: Source, new: Source) -> tuple[FieldChange, ...]:
    """Every leaf that differs, in the order of the newer profile, then what was removed."""
    before = {path: (text, line) for path, text, line in _leaves(old.data or {}, old.marks, "", "")}
    after = {path: (text, line) for path, text, line in _leaves(new.data or {}, new.marks, "", "")}
    changes = []
    for path, (text, line) in after.items():
        was = before.get(path)
        if was is None or was[0] != text:
            changes.append(FieldChange(path, was[0] if was else None, text, line, was[1] if was else None))
    changes += [FieldChange(path, text, None, None, line) for path, (text, line) in before.items() if path not in after]
    return tuple(changes)


def record_at(data: Any, section: str, name: str) -> Mapping[str, Any]:
    """The record of a list that is named so, or an empty one."""
    items = (data or {}).get(section)
    if not isinstance(items, list):
        return {}
    return next((item for item, own in zip(items, _names(items), strict=True) if own == name and isinstance(item, dict)), {})
