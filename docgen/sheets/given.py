"""The cells of a table under the columns that they are of: each heading is found out, each cell made into what its column holds."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from docgen.check import nearest
from docgen.control.cells import Cell
from docgen.control.table import Fault, Table, fault_of_cell
from docgen.errors import Refusal
from docgen.frozen import frozen
from docgen.sheets.columns import EVIDENCE, INDEX, Column
from docgen.sheets.kinds import ABOUT, Kind, columns_for
from docgen.sheets.written import column_name
from docgen.units import UNITS, UnitProblem, parse, parse_date
from docgen.unknown import WORD

__all__ = ["CLEARED", "Given", "Row", "column_of", "evidence_of", "given", "same", "typed"]

CLEARED = "-"  # what takes a value out
BRACKETS = re.compile(r"[(\[]([^()\[\]]+)[)\]]")
WHOLE = re.compile(r"(-?[0-9]{1,9})(?:\.0+)?")
NUMBER = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,12})?")
FIGURE = re.compile(r"[+-]?[0-9][0-9.,]*")
COMMA = re.compile(r"([+-]?[0-9]+),([0-9]{1,2}|[0-9]{4,})(?![0-9,.])")  # three digits behind a comma may be thousands
ASKED = re.compile(rf"{WORD}(?:; ?asked: (?P<asked>[^;]+))?(?:; ?on: (?P<on>[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}))?")


@frozen
class Row:
    """One row: its place, and the text and the place of each cell that is filled, by the path of its column."""

    place: str
    cells: Mapping[str, str]
    places: Mapping[str, str]

    def at(self, path: str) -> str:
        """The place of a cell; that of the row where it is empty."""
        return self.places.get(path, self.place)


@frozen
class Given:
    """A table by its columns, of which `headed` are those that it has, and what is wrong with its headings and cells."""

    columns: Mapping[str, Column]
    headed: frozenset[str]
    rows: tuple[Row, ...]
    faults: tuple[Fault, ...]


def given(table: Table, kind: Kind, language: str) -> Given:
    """The rows of a table by the paths of its columns. A heading that is none of them is a fault where something stands below it."""
    named = [*_bracketed(table)]
    known = {c.path: c for c in columns_for(kind, named, language)}
    by_name = {column_name(path, language).casefold(): path for path in known}
    faults = list(table.faults)
    at: dict[int, tuple[str, str]] = {}  # place in a row -> path and unit
    for number, cell in enumerate(table.head):
        if not cell.text:
            continue
        found = _heading(cell.text, known, by_name)
        place = cell.column if table.sheet else number
        if found is None:
            filled = any(c.text for row in table.rows for n, c in enumerate(row) if (c.column if table.sheet else n) == place)
            faults += [Fault(table.place(cell), _no_column(cell.text, known, by_name))] if filled else []
            at[place] = ABOUT, ""
        elif found[0] in {path for path, _ in at.values()} - {ABOUT}:
            faults.append(Fault(table.place(cell), Refusal("table-column-twice-in", column=found[0])))
        else:
            at[place] = found
    rows = []
    for row in table.rows:
        cells: dict[str, str] = {}
        places: dict[str, str] = {}
        for number, cell in enumerate(row):
            if not cell.text:
                continue
            place = cell.column if table.sheet else number
            if place not in at:
                faults.append(Fault(table.place(cell), Refusal("table-cell-outside", words=cell.text)))
                continue
            path, unit = at[place]
            if path == ABOUT:
                continue
            if (fault := fault_of_cell(table, cell)) is not None:
                faults.append(fault)
                continue
            cells[path], places[path] = _with_unit(cell, known.get(path), unit, table), table.place(cell)
            if cell.of == "day" and path in known and known[path].kind != "date":
                faults.append(Fault(table.place(cell), Refusal("table-cell-made-day", words=cell.text)))
        if cells:
            rows.append(Row(table.place_of_row(row), cells, places))
    return Given(known, frozenset(path for path, _ in at.values()), tuple(rows), tuple(faults))


def _bracketed(table: Table) -> Iterator[str]:
    """What may be the path of a column, in brackets or alone."""
    for cell in table.head:
        for text in (cell.text, *BRACKETS.findall(cell.text)):
            if re.fullmatch(r"[a-z_]+(\.[A-Za-z0-9_-]+)*", text.strip()):
                yield text.strip()


def _heading(text: str, known: Mapping[str, Column], by_name: Mapping[str, str]) -> tuple[str, str] | None:
    """The path that a heading names, and the unit that it gives."""
    words = [text.strip(), *(each.strip() for each in BRACKETS.findall(text))]
    path = next((each for each in reversed(words) if each in known), None)
    rest = BRACKETS.sub(" ", text).strip()
    unit = next((each for each in words[1:] if each in UNITS and each != path), "")
    if path is None:
        for name in (rest, *(rest.rpartition(sign)[0].strip() for sign in (",", " ") if sign in rest)):
            if (path := name if name in known else by_name.get(name.casefold())) is not None:
                behind = rest[len(name) :].strip(" ,")
                unit = unit or (behind if behind in UNITS else "")
                if behind and behind != unit:
                    path = None
                    continue
                break
    return None if path is None else (path, unit)


def _no_column(text: str, known: Mapping[str, Column], by_name: Mapping[str, str]) -> Refusal:
    near = nearest(text, list(known)) or by_name.get(nearest(text.casefold(), list(by_name)) or "")
    return Refusal("sheet-no-column-but-near", column=text, near=near) if near else Refusal("sheet-no-column", column=text)


def _with_unit(cell: Cell, column: Column | None, unit: str, table: Table) -> str:
    """The text of a cell; a figure gets the unit of its heading, and a comma of decimals becomes a point where it cannot be another."""
    if column is None or column.kind != "quantity":
        return cell.text
    text = cell.text
    if table.separator == ";":
        text = COMMA.sub(r"\1.\2", text)
    return f"{text} {unit}" if unit and FIGURE.fullmatch(text) else text


def same(column: Column, text: str, shown: str) -> bool:
    """Whether a cell says what would be written into it."""
    if " ".join(text.split()) == " ".join(shown.split()):
        return True
    if not text or not shown or column.kind in ("text", "section", "added"):
        return False
    if column.kind == "quantity":
        try:
            return parse(text, column.arg).text == parse(shown, column.arg).text
        except UnitProblem:
            return False
    return bool(typed(column, text) == typed(column, shown))


def typed(column: Column, text: str) -> Any:
    """A text as what its column holds; as it is where it cannot be that, to be told against the schema."""
    if (asked := ASKED.fullmatch(text)) is not None:
        more = {key: _day(value.strip()) for key, value in asked.groupdict().items() if value}
        return {WORD: more} if more else WORD
    if column.kind == "date":
        return _day(text)
    if column.kind == "list":
        sign = ";" if ";" in text or not (column.refers_to or column.words or column.arg == "language") else ","
        return [part.strip() for part in text.split(sign) if part.strip()]
    if column.kind == "flag" and text.casefold() in ("true", "false"):
        return text.casefold() == "true"
    if column.kind == "whole" and (whole := WHOLE.fullmatch(text)) is not None:
        return int(whole[1])
    if column.kind == "number" and NUMBER.fullmatch(text):
        figure = Decimal(text)
        return int(figure) if figure == figure.to_integral_value() else float(figure)
    return " ".join(text.split())


def _day(text: str) -> date | str:
    """A day, where a text is one as the profile writes it."""
    try:
        return parse_date(text)
    except UnitProblem:
        return text


def column_of(path: str, columns: Mapping[str, Column]) -> str:
    """The column that speaks of a path of the file below an item: the nearest one, or none."""
    steps = re.findall(r"[^.\[\]]+", path)
    steps = [str(int(s) + 1) if INDEX.fullmatch(s) else s for s in steps]
    if steps and steps[-1] == "value":
        steps = steps[:-1]
    while steps:
        if (found := ".".join(steps)) in columns:
            return found
        steps = steps[:-1]
    return ""


def evidence_of(path: str, columns: Mapping[str, Column]) -> tuple[str, ...]:
    """The columns of what is known of a figure."""
    return tuple(f"{path}.{key}" for key in EVIDENCE if f"{path}.{key}" in columns)
