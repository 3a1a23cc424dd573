"""The columns of a table: one for each thing that can be said of an item, out of the declarations of the profile and the log.

A column has a path below its item: `serial`, `capacity.max`, `arrest_distance.how` (evidence of a figure), `arrest_at.2.mass` (the second
entry of a list), `part_of.paper.es` (a text in one language), `part_of` (a whole section that is said to be not known).
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Collection, Iterator, Mapping
from typing import Any, Literal

from docgen.frozen import frozen
from docgen.site.build import Slot, slots_of
from docgen.site.declare import Says
from docgen.site.forms import FORMS
from docgen.site.models import of_the_model
from docgen.unknown import WORD

__all__ = ["EVIDENCE", "Column", "columns_of", "leaves", "may_be_unknown", "put", "shown_unknown"]

Must = Literal["must", "should", "may"]
#: What is known of a figure beside the figure.
EVIDENCE = ("how", "by", "on", "tolerance", "bound")
LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Z]{2})?")
INDEX = re.compile(r"[0-9]{1,2}")


@frozen
class Column:
    """One column. `kind` is text, whole, number, flag, date, interval, quantity, list or section; `arg` the kind of the figure.

    `words` are the only ones that may stand in it, `refers_to` the collections whose ids may; `default`: left out it means something.
    """

    path: str
    kind: str
    arg: str
    says: Says
    must: Must
    words: tuple[str, ...] = ()
    refers_to: tuple[str, ...] = ()
    default: bool = False

    @property
    def of_the_model(self) -> bool:
        """Whether what stands in it is true of every piece of the model."""
        return of_the_model(self.path)

    @property
    def steps(self) -> tuple[str | int, ...]:
        """The path as keys and places in lists, from 0."""
        return tuple(int(step) - 1 if INDEX.fullmatch(step) else step for step in self.path.split("."))


def columns_of(cls: type, there: Collection[str] = (), before: str = "") -> Iterator[Column]:
    """The columns of a kind of record in the order of its declaration; `there` are paths that some row has and not every table needs."""
    said: dict[str, tuple[Says, Any]] = {
        f.name: (f.metadata["says"], f.default) for f in dataclasses.fields(cls) if "says" in f.metadata
    }
    for slot in slots_of(cls):
        if slot.name not in said:
            continue
        says, default = said[slot.name]
        path = f"{before}{slot.key}"
        if slot.what == "record" and slot.many:
            least = 1 if says.need in ("A", "B") else 0
            for number in range(1, max(_numbers(there, path), default=least) + 1):
                yield from columns_of(slot.arg, there, f"{path}.{number}.")
        elif slot.what == "record":
            if path in there:
                yield Column(path, "section", "", says, "may")
            yield from columns_of(slot.arg, there, f"{path}.")
        else:
            yield from _leaf(slot, says, default, path, there)


def _leaf(slot: Slot, says: Says, default: Any, path: str, there: Collection[str]) -> Iterator[Column]:
    must: Must = "must" if says.required else "should" if says.need in ("A", "B") else "may"
    arg = slot.arg if isinstance(slot.arg, str) else ""
    words = slot.arg if isinstance(slot.arg, tuple) else ("true", "false") if slot.what == "flag" else ()
    refers = says.refers_to if isinstance(says.refers_to, tuple) else (says.refers_to,)
    kind = "list" if slot.many else slot.what
    means = not says.required and default not in (None, "", (), dataclasses.MISSING)
    yield Column(path, kind, arg, says, must, words, tuple(r for r in refers if r), means)
    if slot.what == "quantity":
        shown = {key for example in says.examples if isinstance(example, Mapping) for key in example}
        for key in EVIDENCE:
            if key in shown or f"{path}.{key}" in there:
                yield _evidence(path, key, arg)
    elif arg == "text" and not slot.many:
        for language in sorted(p.removeprefix(f"{path}.") for p in there if p.startswith(f"{path}.")):
            if LANGUAGE.fullmatch(language):
                yield Column(f"{path}.{language}", "text", "text", says, "may")


def _evidence(path: str, key: str, arg: str) -> Column:
    form = FORMS[arg]["properties"][key]
    says = Says(form["description"], tuple(form["examples"]))
    kind = {"on": "date", "tolerance": "quantity"}.get(key, "text")
    words = tuple(FORMS[key]["enum"]) if key in ("how", "bound") else ()
    return Column(f"{path}.{key}", kind, arg if key == "tolerance" else "", says, "may", words)


def _numbers(there: Collection[str], path: str) -> list[int]:
    begin = f"{path}."
    found = (p.removeprefix(begin).partition(".")[0] for p in there if p.startswith(begin))
    return [int(n) for n in found if INDEX.fullmatch(n) and int(n)]


def may_be_unknown(column: Column) -> bool:
    """Whether a value can be said to be not known: not what the format asks for, nor what means something when it is left out."""
    return column.must != "must" and not column.default and not column.says.decided


# items as they stand in the file


def leaves(cls: type, data: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, str]]:
    """Each thing that is said of an item: the path of its column, and what stands in the cell."""
    for slot in slots_of(cls):
        if slot.key not in data:
            continue
        value, path = data[slot.key], f"{before}{slot.key}"
        if _is_unknown(value):
            yield path, shown_unknown(value)
        elif slot.what == "record" and slot.many:
            for number, item in enumerate(value, 1):
                if isinstance(item, Mapping) and not _is_unknown(item):
                    yield from leaves(slot.arg, item, f"{path}.{number}.")
        elif slot.what == "record":
            yield from leaves(slot.arg, value, f"{path}.")
        elif isinstance(value, Mapping):
            for key, inner in value.items():
                yield path if key == "value" else f"{path}.{key}", shown_unknown(inner) if _is_unknown(inner) else _shown(inner)
        elif isinstance(value, list):
            yield path, "; ".join(map(_shown, value))
        else:
            yield path, _shown(value)


def _shown(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _is_unknown(value: Any) -> bool:
    return value == WORD or (isinstance(value, Mapping) and WORD in value)


def shown_unknown(value: Any) -> str:
    """`unknown`, with whom was asked and on which day."""
    told = value[WORD] if isinstance(value, Mapping) else None
    more = [f"{key}: {told[key]}" for key in ("asked", "on") if key in told] if isinstance(told, Mapping) else []
    return "; ".join([WORD, *more])


def put(data: dict[str, Any], steps: tuple[str | int, ...], value: Any) -> None:
    """Put a value at its place below an item, None to take it out; what has nothing in it any more goes too."""
    key, *rest = steps
    held = data.get(key) if isinstance(key, str) else None
    if not isinstance(key, str):
        raise TypeError("an item is a group of keys")
    if not rest:
        if value is None:
            data.pop(key, None)
        elif isinstance(held, dict) and "value" in held and not _is_unknown(value):
            held["value"] = value
        else:
            data[key] = value
        return
    if isinstance(rest[0], int):
        items = held if isinstance(held, list) else []
        items += [{} for _ in range(rest[0] + 1 - len(items))]
        if not isinstance(items[rest[0]], dict) or _is_unknown(items[rest[0]]):
            items[rest[0]] = {}
        put(items[rest[0]], tuple(rest[1:]), value)
        data[key] = items
        return
    inner = held if isinstance(held, dict) and not _is_unknown(held) else {"value": held} if rest[0] in EVIDENCE and held else {}
    put(inner, tuple(rest), value)
    if inner.keys() - {"value"} or (inner and rest[0] not in EVIDENCE):
        data[key] = inner
    elif "value" in inner:
        data[key] = inner["value"]  # a figure of which nothing else is known stands alone
    else:
        data.pop(key, None)


def pruned(items: list[Any]) -> list[Any]:
    """The entries of a list that say something."""
    return [item for item in items if item != {}]
