"""The kinds of table, and what of a site stands in each: where its items lie, what they are called by, and the rows that are known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from docgen.check import measured
from docgen.frozen import frozen
from docgen.profile import Profile
from docgen.read import Source, read_profile
from docgen.sheets.columns import Column, columns_of, leaves, may_be_unknown
from docgen.site.build import slots_of
from docgen.site.declare import Quantity, Says
from docgen.site.equipment import Part
from docgen.site.log import Inspection, Training
from docgen.site.people import Rescuer, User
from docgen.site.place import Holder
from docgen.unknown import WORD
from docgen.words import words

__all__ = [
    "KINDS",
    "LOGGED",
    "SITE",
    "Item",
    "Kind",
    "Place",
    "Sheet",
    "columns_for",
    "entry_rows",
    "items_of",
    "models_cell",
    "profile_text",
    "sheet_of",
]

SITE, ROW, MARK, ABOUT = "site", "row", "mark", "about"
#: The columns that are no field: of which site a row is, what it is of, the mark of an entry, and what only helps whoever fills it in.
ADDED = (SITE, ROW, MARK, ABOUT)


@frozen
class Place:
    """Where items of one kind of record lie in the profile; a holder lies below its role. `after`: the keys behind which the list stands."""

    row: str
    record: type
    path: str
    after: tuple[str, ...] = ()


@frozen
class Kind:
    """One kind of table: items of the profile, or entries of the log with the field that says of what they are."""

    name: str
    places: tuple[Place, ...] = ()
    entry: type | None = None
    kind: str = ""
    of: str = ""


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("equipment", (Place("", Part, "equipment"),)),
        Kind(
            "people",
            (
                Place("climber", User, "people.users"),
                Place("rescuer", Rescuer, "people.rescuers", ("users",)),
                Place("holder", Holder, "roles", ("id", "title", "part")),
            ),
        ),
        Kind("training", entry=Training, kind="training", of="person"),
        Kind("inspections", entry=Inspection, kind="inspection", of="part"),
    )
}
LOGGED = tuple(name for name, kind in KINDS.items() if kind.entry is not None)


@frozen
class Item:
    """An item of the profile: what names it, its path, and what it holds; `number` tells holders of one name in one role apart."""

    place: Place
    id: str
    path: str
    held: Mapping[str, Any]
    number: int = 0

    @property
    def key(self) -> tuple[str, str, str, int]:
        """What a row of a table must say to be this one."""
        return self.place.row, self.id, _name(self.place, self.held.get("name")), self.number


@frozen
class Sheet:
    """A table as it is written: its columns and its rows, each a text by the path of its column."""

    kind: Kind
    columns: tuple[Column, ...]
    rows: tuple[Mapping[str, str], ...]


def _name(place: Place, name: Any) -> str:
    return " ".join(str(name or "").split()) if place.record is Holder else ""


def profile_text(profile: Profile, language: str) -> tuple[Source, Source]:
    """The profile as it is written, with what is said to be not known: as it is, and with the texts withheld that tell a weight."""
    source = read_profile(Path(profile.source.file))
    figures = measured(source) if profile.guard.holds else {}
    shown, _ = profile.guard.withhold(source, lambda: str(words(language)["phrases"]["withheld"]), figures)
    return source, shown


def items_of(kind: Kind, data: Any) -> Iterator[Item]:
    """The items of a profile in the order of the table."""
    for place in kind.places:
        if place.record is not Holder:
            yield from _items(place, place.path, _list(data, place.path))
            continue
        for index, role in enumerate(_list(data, place.path)):
            if isinstance(role, dict):
                yield from _items(place, f"roles[{index}].holders", role.get("holders") or (), str(role.get("id", "")))


def _items(place: Place, path: str, found: Any, role: str = "") -> Iterator[Item]:
    seen: dict[str, int] = {}
    for index, held in enumerate(found if isinstance(found, list) else ()):
        if isinstance(held, dict) and WORD not in held:
            name = _name(place, held.get("name"))
            number = seen[name] = seen.get(name, -1) + 1
            yield Item(place, role or str(held.get("id", "")), f"{path}[{index}]", held, number if role else 0)


def _list(data: Any, path: str) -> Any:
    for step in path.split("."):
        data = data.get(step) if isinstance(data, dict) else None
    return data if isinstance(data, list) else ()


def columns_for(kind: Kind, there: Iterable[str], language: str) -> tuple[Column, ...]:
    """The columns of a kind of table; `there` are the paths that rows or headings have."""
    there = frozenset(there)
    told: dict[str, Column] = {}
    if kind.entry is None:
        told[SITE] = _added(SITE, language)
        if len(kind.places) > 1:
            told[ROW] = _added(ROW, language, tuple(p.row for p in kind.places))
            told["id"] = _added("id", language)
        for place in kind.places:
            for column in columns_of(place.record, there):
                told.setdefault(column.path, column)
        return tuple(told.values())
    every = {c.path: c for c in columns_of(kind.entry, there)}
    first = (kind.of, ABOUT, "on", "by")
    told = {SITE: _added(SITE, language), MARK: _added(MARK, language)}
    for path in (*first, *(p for p in every if p not in first)):
        told[path] = every.get(path) or _added(path, language)
    return tuple(told.values())


def _added(path: str, language: str, allowed: tuple[str, ...] = ()) -> Column:
    text = words(language)["sheets"]["added"][path]
    return Column(
        path,
        "added" if path != "id" else "text",
        "",
        Says(text["what"], (text["example"],)),
        "must" if path in (ROW, "id") else "may",
        allowed,
    )


# what is known


def sheet_of(profile: Profile, kind: Kind, language: str, models: bool = False) -> Sheet:
    """The table of a site, filled with what is known; with `models` of a table of equipment only what is true of every piece of a model."""
    site = str(profile.source.data["site"]["id"]) if profile.source.data else ""
    if kind.entry is not None:
        rows = [*entry_rows(profile, kind), *_open(profile, kind)]
        return Sheet(kind, columns_for(kind, (), language), tuple({SITE: site, **row} for row in rows))
    _, shown = profile_text(profile, language)
    rows = []
    for item in items_of(kind, shown.data):
        row = dict(leaves(item.place.record, item.held))
        rows.append({SITE: site, **({ROW: item.place.row} if len(kind.places) > 1 else {}), **row, "id": item.id})
    columns = columns_for(kind, {path for row in rows for path in row}, language)
    if models:
        rows = [{c.path: models_cell(c, row.get(c.path, "")) for c in columns} for row in rows]
    return Sheet(kind, columns, tuple(rows))


def models_cell(column: Column, text: str) -> str:
    """What stands in a cell where only the model is told: what is true of one piece or of its place is not known of another."""
    if not text or column.of_the_model or column.path in ("id", SITE):
        return text
    return WORD if may_be_unknown(column) else ""


def entry_rows(profile: Profile, kind: Kind) -> list[dict[str, str]]:
    """The entries of the log that stand, each with its mark."""
    if kind.entry is None:
        return []
    about = _about(profile, kind)
    rows = []
    for entry in profile.log.standing:
        if isinstance(entry, kind.entry):
            row = {slot.key: _said(getattr(entry, slot.name)) for slot in slots_of(kind.entry)}
            rows.append({MARK: entry.mark, ABOUT: about.get(row[kind.of], ""), **{k: v for k, v in row.items() if v}})
    return rows


def _open(profile: Profile, kind: Kind) -> list[dict[str, str]]:
    """One more row for each thing or person, to be filled in; one that is left as it is says nothing."""
    return [{kind.of: name, ABOUT: what} for name, what in _about(profile, kind).items()]


def _about(profile: Profile, kind: Kind) -> dict[str, str]:
    """What helps to know who or what an id stands for; a person is told by code alone."""
    data = profile.source.data or {}
    found: dict[str, str] = {}
    for item in items_of(KINDS["equipment" if kind.of == "part" else "people"], data):
        if item.place.record is Part:
            found[item.id] = ", ".join(str(item.held[k]) for k in ("kind", "name") if item.held.get(k))
        elif item.place.record is not Holder:
            found[item.id] = "; ".join([item.place.row, *map(str, item.held.get("shifts", ()))])
    return found


def _said(value: Any) -> str:
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return "; ".join(map(str, value))
    return "" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
