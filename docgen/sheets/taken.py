"""A table that was filled in, taken into a site: what of the profile would change, or which entries would come to the log.

    made = taken(profile, KINDS["equipment"], read_table(path), "en")     # nothing is written
    made.faults, made.difference
    write(made)                                                           # one step, or nothing

All or none. A cell is a change only where it says something else than what would be written into it: an empty one keeps what is there, a row
that was taken away takes nothing away, and a sign says that a value goes. What is true of one piece alone is not carried to another site.
"""

from __future__ import annotations

import copy
import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from docgen.check import check, nearest, undecided
from docgen.control.edit import Entry, at_path, edited, lost_comments, with_rows
from docgen.control.log import Given as Entered
from docgen.control.safe import replace_file
from docgen.control.table import Fault, Table
from docgen.errors import RecordError, Refusal, Value
from docgen.frozen import frozen
from docgen.profile import Profile
from docgen.read import Problem, read_text
from docgen.sheets.columns import Column, columns_of, leaves, may_be_unknown, pruned, put
from docgen.sheets.given import CLEARED, Given, Row, column_of, evidence_of, given, same, typed
from docgen.sheets.kinds import ABOUT, MARK, ROW, SITE, Item, Kind, Place, entry_rows, items_of, profile_text
from docgen.site.build import slots_of
from docgen.site.equipment import Part
from docgen.site.place import Holder
from docgen.unknown import WORD, without_unknown

__all__ = ["Entries", "Note", "Taken", "entries_of", "taken", "write"]

FREE = ("quantity", "whole", "number", "flag", "date", "interval")  # kinds of cell that hold no words of somebody


@frozen
class Note:
    """Something to be told that stops nothing: its name among the words, and what is put in."""

    name: str
    values: Mapping[str, Value]


@frozen
class Taken:
    """What a table makes of a profile: both texts, the ids that come and that change, how many rows are as they were."""

    file: Path
    old: str
    new: str
    added: tuple[str, ...]
    changed: tuple[str, ...]
    same: int
    notes: tuple[Note, ...]
    faults: tuple[Fault, ...]

    @property
    def difference(self) -> str:
        """The lines that change, as a unified difference."""
        name = self.file.name
        lines = difflib.unified_diff(self.old.splitlines(), self.new.splitlines(), name, name, lineterm="", n=1)
        return "".join(f"{line}\n" for line in lines)


@frozen
class Entries:
    """The rows of a table of entries: those that are new, how many are in the log already, and what is told."""

    given: tuple[Entered, ...]
    same: int
    notes: tuple[Note, ...]
    faults: tuple[Fault, ...]


def write(made: Taken) -> None:
    """Put the new text into the profile in one step. RecordError where somebody has written to it meanwhile."""
    try:
        replace_file(made.file, made.old.encode("utf-8"), made.new.encode("utf-8"))
    except FileExistsError:
        raise RecordError("profile-moved", file=str(made.file)) from None


# entries of the log


def entries_of(profile: Profile, kind: Kind, table: Table, language: str) -> Entries:
    """The rows that are new entries. A row with a mark is on file: it is never changed. One that says only of what it is, is not filled in."""
    told = given(table, kind, language)
    known = entry_rows(profile, kind)
    by_mark = {row[MARK]: row for row in known}
    fields = [path for path in told.columns if path not in (SITE, MARK, ABOUT)]
    faults, new = list(told.faults), []
    on_file = left = 0
    for row in told.rows:
        if (other := row.cells.get(SITE, "")) not in ("", _site(profile)):
            faults.append(Fault(row.at(SITE), Refusal("sheet-entry-of-another-site", site=other)))
            continue
        cells = {path: row.cells[path] for path in fields if path in row.cells}
        if mark := row.cells.get(MARK, ""):
            held = by_mark.get(mark)
            if held is None:
                faults.append(Fault(row.at(MARK), Refusal("sheet-no-such-mark", mark=mark)))
                continue
            wrong = [p for p, text in cells.items() if not same(told.columns[p], text, held.get(p, ""))]
            faults += [Fault(row.at(p), Refusal("sheet-entry-changed", mark=mark, held=held.get(p, "-"))) for p in wrong]
            on_file += not wrong
        elif set(cells) <= {kind.of}:
            left += 1
        elif any(all(same(told.columns[p], cells.get(p, ""), held.get(p, "")) for p in fields) for held in known):
            on_file += 1
        else:
            new.append(Entered(kind.kind, cells, {p: row.at(p) for p in cells}, row.place))
    notes = [Note("open", {"n": left})] if left else []
    return Entries(tuple(new), on_file, (*_hidden(table), *notes), tuple(faults))


def _hidden(table: Table) -> list[Note]:
    return [Note("hidden", {"what": table.hidden})] if table.hidden else []


def _site(profile: Profile) -> str:
    return str(profile.source.data["site"]["id"]) if profile.source.data else ""


# items of the profile


def taken(profile: Profile, kind: Kind, table: Table, language: str, moved: bool = False) -> Taken:
    """What a table would make of the profile, which has no problems. `moved`: pieces of another site came here with all that is known of them.

    Refusal where the profile would not be read back as meant, or a comment of it would be lost.
    """
    return _Taking(profile, kind, given(table, kind, language), language, moved).taken(table)


class _Taking:
    """One table, row by row."""

    def __init__(self, profile: Profile, kind: Kind, told: Given, language: str, moved: bool) -> None:
        self.profile, self.kind, self.told, self.moved = profile, kind, told, moved
        self.source, shown = profile_text(profile, language)
        self.raw = {item.path: item for item in items_of(kind, self.source.data)}
        self.items = {item.key: item for item in items_of(kind, shown.data)}
        self.columns = {p.row: {c.path: c for c in columns_of(p.record, told.columns)} for p in kind.places}
        self.faults, self.notes = list(told.faults), list[Note]()
        self.entries: list[Entry] = []
        self.new: dict[str, list[dict[str, Any]]] = {}
        self.rows: dict[str, Row] = {}  # path in the new file -> row
        self.met: dict[tuple[str, str, str, int], str] = {}
        self.added: list[str] = []
        self.changed: list[str] = []
        self.same = 0

    def taken(self, table: Table) -> Taken:
        for row in self.told.rows:
            self._row(row)
        if absent := tuple(_called(item) for item in self.items.values() if item.key not in self.met):
            self.notes.append(Note("absent", {"ids": absent}))
        old = self.source.text
        new = old
        if not self.faults and (self.entries or self.new):
            new = edited(old, self.entries) if self.entries else old
            for path, rows in self.new.items():
                new = with_rows(new, path, rows, self._after(path))
            self.faults += self._read_back(new)
        return Taken(
            Path(self.source.file),
            old,
            old if self.faults else new,
            tuple(self.added),
            tuple(self.changed),
            self.same,
            (*_hidden(table), *self.notes),
            tuple(sorted(self.faults, key=_where)),
        )

    def _after(self, path: str) -> tuple[str, ...]:
        return next(p.after for p in self.kind.places if path == p.path or path.startswith(f"{p.path}["))

    # one row

    def _row(self, row: Row) -> None:
        place = self._place(row)
        if place is None:
            return
        named = row.cells.get("id", "")
        if not named:
            self._wrong(row, "", "sheet-row-without-id")
            return
        name = row.cells.get("name", "") if place.record is Holder else ""
        if place.record is Holder and not name:
            self._wrong(row, "name", "sheet-holder-without-name")
            return
        number = sum(1 for key in self.met if key[:3] == (place.row, named, name)) if place.record is Holder else 0
        key = (place.row, named, name, number)
        if key in self.met:
            self._wrong(row, "id", "sheet-row-twice", id=named, place=self.met[key])
            return
        self.met[key] = row.place
        strange = [p for p in row.cells if p not in self.columns[place.row] and p not in (SITE, ROW, ABOUT, "id")]
        for path in strange:
            self._wrong(row, path, "sheet-not-of-row", kind=place.row, column=path)
        if strange:
            return
        item = self.items.get(key)
        cells = self._carried(row, place, item)
        if cells is None:
            return
        if item is None:
            self._come(row, place, named, cells)
        else:
            self._stay(row, item, cells)

    def _wrong(self, row: Row, path: str, name: str, **values: Value) -> None:
        self.faults.append(Fault(row.at(path), Refusal(name, **values)))

    def _place(self, row: Row) -> Place | None:
        if len(self.kind.places) == 1:
            return self.kind.places[0]
        known = [p.row for p in self.kind.places]
        what = row.cells.get(ROW, "").casefold()
        if what not in known:
            self._wrong(row, ROW, "sheet-row-of-no-kind", given=what or "-", known=tuple(known))
            return None
        return self.kind.places[known.index(what)]

    def _carried(self, row: Row, place: Place, item: Item | None) -> dict[str, str] | None:
        """The cells of a row as they hold here. A row of another site brings what is true of its model; None where it can bring nothing."""
        cells = {p: t for p, t in row.cells.items() if p in self.columns[place.row]}
        other = row.cells.get(SITE, "")
        if other in ("", _site(self.profile)):
            return cells
        if place.record is not Part:
            self._wrong(row, SITE, "sheet-row-of-another-site", site=other)
            return None
        if item is not None:
            ours, theirs = item.held.get("model"), cells.get("model")
            if self.moved or theirs is None or ours != theirs:
                self._wrong(row, "id", "sheet-id-of-another-site", id=item.id, site=other)
                return None
            return {p: t for p, t in cells.items() if self.columns[place.row][p].of_the_model}
        if self.moved:
            return cells
        kept, left = {}, []
        for path, text in cells.items():
            column = self.columns[place.row][path]
            if column.of_the_model or path == "id" or text in (CLEARED, WORD):
                kept[path] = text
                continue
            left.append(path)
            if may_be_unknown(column):
                kept[path] = WORD
        if left:
            self.notes.append(Note("piece", {"id": row.cells["id"], "site": other, "columns": tuple(left)}))
        return kept

    def _come(self, row: Row, place: Place, named: str, cells: Mapping[str, str]) -> None:
        """A new item."""
        path = place.path
        if place.record is Holder:
            roles = [str(r.get("id")) for r in (self.source.data or {}).get("roles", ()) if isinstance(r, dict)]
            if named not in roles:
                near = nearest(named, roles)
                self._wrong(row, "id", "sheet-no-role", role=named, known=(near,) if near else tuple(roles[:12]))
                return
            path = f"roles[{roles.index(named)}].holders"
        made: dict[str, Any] = {}
        for at, column in self.columns[place.row].items():
            if (text := cells.get(at, "")) and text != CLEARED and self._said(row, column, text):
                put(made, column.steps, typed(column, text))
        _tidied(made)
        held = at_path(self.source.data, path)
        rows = self.new.setdefault(path, [])
        before = len(held) if isinstance(held, list) else 0
        self.rows[f"{path}[{before + len(rows)}]"] = row
        order = [slot.key for slot in slots_of(place.record)]
        rows.append(dict(sorted(made.items(), key=lambda pair: order.index(pair[0]))))
        self.added.append(_named(place, named, cells))

    def _stay(self, row: Row, item: Item, cells: Mapping[str, str]) -> None:
        """An item that is there: what its row says otherwise."""
        self.rows[item.path] = row
        held = self.raw[item.path].held
        made = copy.deepcopy(dict(held))
        shown = dict(leaves(item.place.record, item.held))
        columns = self.columns[item.place.row]
        turned, kept = [], []
        if not self._same_piece(row, item, cells, shown):
            return
        for at, column in columns.items():
            was, text = shown.get(at, ""), cells.get(at, "")
            if not text and was and at in self.told.headed and row.cells.get(SITE, "") in ("", _site(self.profile)):
                kept.append(at)
            if not text or same(column, text, was):
                continue
            if text == CLEARED:
                if was:
                    put(made, column.steps, None)
                    turned.append(at)
            elif self._said(row, column, text):
                put(made, column.steps, typed(column, text))
                turned.append(at)
                rest = [p for p in evidence_of(at, columns) if shown.get(p) and cells.get(p, shown[p]) == shown[p]]
                if was and rest and column.kind == "quantity":
                    self.notes.append(Note("evidence", {"id": _called(item), "column": at, "kept": tuple(rest)}))
        _tidied(made)
        if kept:
            self.notes.append(Note("kept", {"id": _called(item), "columns": tuple(kept)}))
        if turned:
            self.changed.append(_called(item))
            self.entries.append(Entry(item.path, held, made, tuple(slot.key for slot in slots_of(item.place.record))))
        else:
            self.same += 1

    def _same_piece(self, row: Row, item: Item, cells: Mapping[str, str], shown: Mapping[str, str]) -> bool:
        """Whether a row speaks of the part that has its id: another serial number, or another kind, is another part."""
        if item.place.record is not Part:
            return True
        told = True
        for path, name in (("serial", "sheet-other-piece"), ("kind", "sheet-other-kind")):
            was, now = shown.get(path, ""), cells.get(path, "")
            pool = path == "serial" and shown.get("count", "1") != "1"
            if was and now and now != CLEARED and WORD not in (was, now) and not pool and not same(_text(path, item), now, was):
                self._wrong(row, path, name, id=item.id, held=was, given=now)
                told = False
        return told

    def _said(self, row: Row, column: Column, text: str) -> bool:
        """Whether words may stand in the profile: they tell nobody's weight."""
        if column.kind not in FREE and self.profile.guard.told_in(text, free=True):
            self._wrong(row, column.path, "sheet-tells-weight")
            return False
        return True

    # the whole

    def _read_back(self, new: str) -> Iterator[Fault]:
        """What is wrong with the new text, each at its cell. Refusal for a text that says something else than was meant, or lost a comment."""
        source = read_text(new, self.source.file)
        meant = copy.deepcopy(self.source.data)
        for entry in self.entries:
            held = at_path(meant, entry.path)
            held.clear()
            held.update(entry.new)
        for path, rows in self.new.items():
            _append(meant, path, rows)
        lost = lost_comments(self.source.text, new)
        if source.data != _as_read(meant) or lost:
            why = lost[0] if lost else next((p.message for p in source.problems), "")
            raise Refusal("sheet-unreadable", file=self.source.file, message=why)
        read, not_known = without_unknown(source)
        problems = (*check(read), *undecided(read, ((n.path, n.mark) for n in not_known)))
        for problem in self.profile.guard.clean(problems):
            yield Fault(self._place_of(problem), Refusal("sheet-cell-wrong", message=problem.message, hint=problem.hint))

    def _place_of(self, problem: Problem) -> str:
        """The cell that a problem speaks of."""
        at = max(
            (p for p in self.rows if problem.path == p or problem.path.startswith((f"{p}.", f"{p}["))), key=len, default=None
        )
        if at is None:
            return f"{problem.file}:{problem.line}:{problem.column}"
        row = self.rows[at]
        return row.at(column_of(problem.path[len(at) :], self.told.columns))


def _where(fault: Fault) -> tuple[int, ...]:
    """The figures of a place, by which faults stand in the order of the file."""
    return tuple(map(int, re.findall(r"[0-9]+", fault.place)))


def _text(path: str, item: Item) -> Column:
    return next(c for c in columns_of(item.place.record) if c.path == path)


def _named(place: Place, named: str, cells: Mapping[str, str]) -> str:
    return f"{cells.get('name', '')} ({named})" if place.record is Holder else named


def _called(item: Item) -> str:
    """What an item is called where it is told."""
    return f"{item.held.get('name', '')} ({item.id})" if item.place.record is Holder else item.id


def _tidied(made: dict[str, Any]) -> None:
    """Lists without the entries that say nothing, and none that is empty by that."""
    for key, value in list(made.items()):
        if isinstance(value, list) and {} in value:
            made[key] = pruned(value)
            if not made[key]:
                del made[key]


def _as_read(value: Any) -> Any:
    """Data as a reader of the file gives them: a day is text there."""
    if isinstance(value, Mapping):
        return {key: _as_read(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_as_read(inner) for inner in value]
    return value.isoformat() if isinstance(value, date) else value


def _append(data: Any, path: str, rows: Sequence[Mapping[str, Any]]) -> None:
    """Put rows at the end of a list of the data; what is not there is made."""
    parent, _, key = path.rpartition(".")
    above = at_path(data, parent) if parent else data
    if not isinstance(above, dict):
        above = data[parent] = {}
    held = above.get(key)
    above[key] = [*(held if isinstance(held, list) else ()), *rows]
