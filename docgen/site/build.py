"""From a checked source to the records of the profile, and every leaf of them."""

from __future__ import annotations

import dataclasses
import sys
import typing
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, Literal

from docgen import units
from docgen.read import Mark, Source
from docgen.site.declare import Node, Quantity, Rounds, Spoken, record
from docgen.site.log import KINDS, Entry, Log, mark_of
from docgen.site.people import Shift
from docgen.site.profile import Site

__all__ = ["KEY_OF_FIELD", "Slot", "build", "build_log", "leaves", "slots_of", "walk"]

KEY_OF_FIELD = {"from_": "from", "class_": "class", "permission_": "permission", "held_by": "holders"}
NAMED_BY = ("id", "side", "kit")
PLAIN = {"str": "text", "int": "whole", "float": "number", "bool": "flag", "date": "date", "units.Interval": "interval"}


@record
class Slot:
    """How one field is filled: `what` is text, whole, number, flag, date, interval, quantity or record; `arg` the kind of text or of
    quantity, the values allowed, or the record; `many`: a list of these; `toward`: how a quantity is rounded in print."""

    name: str
    key: str
    what: str
    arg: Any
    many: bool
    optional: bool
    toward: Rounds = ""


@cache
def slots_of(cls: type[Any]) -> tuple[Slot, ...]:
    """Read off the annotations as text, which is far quicker than having the library evaluate them."""
    found = []
    for f in dataclasses.fields(cls):
        if "says" not in f.metadata:
            continue
        written = str(f.type)
        hint = written.removesuffix(" | None")
        many = hint.startswith("tuple[")
        hint = hint.removeprefix("tuple[").removesuffix(", ...]")
        home = vars(sys.modules[next(c for c in cls.__mro__ if f.name in vars(c).get("__annotations__", ())).__module__])
        what, arg = (PLAIN[hint], None) if hint in PLAIN else _named(home[hint])
        found.append(
            Slot(
                name=f.name,
                key=KEY_OF_FIELD.get(f.name, f.name),
                what=what,
                arg=arg,
                many=many,
                optional=many or written != hint,
                toward=f.metadata["says"].toward,
            )
        )
    return tuple(found)


def _named(named: Any) -> tuple[str, Any]:
    if typing.get_origin(named) is Literal:
        return "text", typing.get_args(named)
    if typing.get_origin(named) is Annotated:
        base, kind = typing.get_args(named)
        return ("quantity" if base is Quantity else "text"), kind
    return "record", named


class _Builder:
    def __init__(self, marks: Mapping[str, Mark]) -> None:
        self.source_marks = marks
        self.marks: dict[str, Mark] = {}
        self.answered: set[str] = set()

    def note(self, at: str, path: str) -> None:
        if (mark := self.source_marks.get(at)) is not None:
            self.marks[path] = mark

    def record(self, cls: type, data: Any, at: str, path: str) -> Any:
        given = isinstance(data, dict)
        data = data if given else {}
        values: dict[str, Any] = {}
        for slot in slots_of(cls):
            inner_at = f"{at}.{slot.key}" if at else slot.key
            inner_path = f"{path}.{slot.key}" if path else slot.key
            if slot.key not in data:
                if slot.what == "record" and not slot.many:
                    values[slot.name] = self.record(slot.arg, None, inner_at, inner_path)
                continue
            self.note(inner_at, inner_path)
            self.answered.add(inner_path)
            raw = data[slot.key]
            fill = self.many if slot.many else self.one
            values[slot.name] = fill(slot, raw, inner_at, inner_path)
        return cls(path=path, given=given, **values)

    def many(self, slot: Slot, raw: list[Any], at: str, path: str) -> tuple[Any, ...]:
        items = []
        for index, item in enumerate(raw):
            name = next((str(item[k]) for k in NAMED_BY if isinstance(item, dict) and k in item), str(index))
            item_at, item_path = f"{at}[{index}]", f"{path}[{name}]"
            self.note(item_at, item_path)
            items.append(self.one(slot, item, item_at, item_path))
        return tuple(items)

    def one(self, slot: Slot, raw: Any, at: str, path: str) -> Any:
        match slot.what:
            case "record":
                return self.record(slot.arg, raw, at, path)
            case "quantity":
                return self.quantity(raw, slot, at, path)
            case "date":
                return units.parse_date(raw)
            case "interval":
                return units.parse_interval(raw)
            case "number":
                return float(raw)
            case "text" if isinstance(raw, dict):
                return Spoken(raw)
            case _:
                return raw

    def quantity(self, raw: Any, slot: Slot, at: str, path: str) -> Quantity:
        kind = slot.arg
        evidence = raw if isinstance(raw, dict) else {"value": raw}
        amount = units.parse(evidence["value"], kind)
        tolerance = units.parse(evidence["tolerance"], kind).si if "tolerance" in evidence else 0.0
        if tolerance and kind == "temperature":
            tolerance -= units.parse(f"0 {units.parse(evidence['tolerance'], kind).unit}", kind).si
        for key in evidence:
            self.note(f"{at}.{key}", f"{path}.{key}")
        return Quantity(
            path=path, si=amount.si, kind=kind, text=amount.text, unit=amount.unit, tolerance=tolerance, tolerance_stated="tolerance" in evidence, toward=slot.toward,
            how=evidence.get("how"), bound=evidence.get("bound"), by=evidence.get("by"), on=units.parse_date(evidence["on"]) if "on" in evidence else None,
        )  # fmt: skip


def build(source: Source) -> Site:
    """Turn a checked source into the model. The source must have no problems; units and dates are parsed here."""
    builder = _Builder(source.marks)
    site: Site = builder.record(Site, source.data, "", "")
    day = site.document.effective
    held = (h.called_on(day) if day is not None and (h := r.on(day)) is not None else None for r in site.roles)
    roles = tuple(
        role if called is None else dataclasses.replace(role, held_by=called)
        for role, called in zip(site.roles, held, strict=True)
    )
    marks, answered = MappingProxyType(builder.marks), frozenset(builder.answered)
    shifts = tuple(_with_steps(site, shift, answered) for shift in site.shifts)
    return dataclasses.replace(site, roles=roles, shifts=shifts, source_lines=marks, answered=answered).with_closures()


#: Who does a step -> the part of the post that it stands on; rescuers are counted through in the order of the posts.
POSTED = {
    "attendant": "attendant",
    "supervisor": "supervisor",
    "gate": "gate-operator",
    "first-aider": "first-aider",
    "control-room": "control-room",
}


def _with_steps(site: Site, shift: Shift, answered: frozenset[str]) -> Shift:
    """A shift of which no post says its steps: each takes those that `who` gives it. Where two posts could be meant, none is."""
    if any(f"{shift.path}.posts[{n}].steps" in answered for n in range(len(shift.posts))):
        return shift
    rescuers = [p.path for p in shift.posts if p.part == "rescuer"]

    def post_of(who: str) -> str | None:
        if who.startswith("rescuer-"):
            number = int(who.removeprefix("rescuer-")) - 1
            return rescuers[number] if number < len(rescuers) else None
        meant = [p.path for p in shift.posts if p.part is not None and p.part == POSTED.get(who)]
        return meant[0] if len(meant) == 1 else None

    does: dict[str, list[str]] = {}
    for method in site.rescue.methods:
        for step in method.steps if not method.shifts or shift.id in method.shifts else ():
            for post in filter(None, map(post_of, step.who)):
                does.setdefault(post, []).append(f"{method.id}.{step.id}")
    posts = tuple(dataclasses.replace(p, steps=tuple(does.get(p.path, ()))) for p in shift.posts)
    return dataclasses.replace(shift, posts=posts)


def build_log(source: Source, marks: Sequence[str] = ()) -> Log:
    """Turn a checked log into its entries. The source must have no problems.

    `marks` are those of the entries as they were written, where a text of theirs is withheld.
    """
    builder = _Builder(source.marks)
    entries = []
    for index, raw in enumerate((source.data or {}).get("entries", ())):
        mark = marks[index] if marks else mark_of(raw)
        at, path = f"entries[{index}]", f"log[{mark}]"
        builder.note(at, path)
        entry: Entry = builder.record(KINDS[raw["kind"]], raw, at, path)
        entries.append(dataclasses.replace(entry, mark=mark, kind=raw["kind"]))
    return Log(entries=tuple(entries), source_lines=MappingProxyType(builder.marks))


def walk(node: Node) -> Iterator[tuple[str, Any]]:
    """Every leaf of a record with its path, in field order."""
    cls: Any = node.__class__
    for slot in slots_of(cls):
        value = getattr(node, slot.name)
        if value is None:
            continue
        if isinstance(value, Quantity):
            yield value.path, value
        elif isinstance(value, Node):
            yield from walk(value)
        elif isinstance(value, tuple):
            for item in value:
                if isinstance(item, Node):
                    yield from walk(item)
                else:
                    yield from _leaf(node, slot.name, item)
        else:
            yield from _leaf(node, slot.name, value)


def leaves(node: Node) -> tuple[tuple[str, Any], ...]:
    """What `walk` gives, in one piece: for a whole site, which is walked through by many."""
    return tuple(walk(node))


def _leaf(node: Node, name: str, value: Any) -> Iterator[tuple[str, Any]]:
    """A value with its path; a text in several languages in each of them."""
    path = f"{node.path}.{KEY_OF_FIELD.get(name, name)}".lstrip(".")
    for each in value.versions.values() if isinstance(value, Spoken) else (value,):
        yield path, each
