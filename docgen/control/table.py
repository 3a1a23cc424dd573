"""A table that somebody filled in: CSV (RFC 4180; comma, semicolon or tab between the cells) or a workbook, each cell with its place in the file."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from pathlib import Path

from docgen.control.cells import Cell, letters, unshielded
from docgen.errors import Refusal
from docgen.frozen import frozen
from docgen.signs import misread, unseen

__all__ = ["Fault", "Table", "fault_of_cell", "is_workbook", "read_table", "read_text"]

MOST = 1_048_576  # bytes, as of a log
SEPARATORS = ",;\t"
#: How a workbook begins: a zip archive, or the older format, which a file with a password has too.
ZIP, OLDER = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
SEP = re.compile(r"sep=(.)\n", re.IGNORECASE)  # the first line in which a spreadsheet says what stands between the cells


@frozen
class Fault:
    """What is wrong with something that was given, and the place at which it was given."""

    place: str
    why: Refusal


@frozen
class Table:
    """The cells of the head, and the rows below it; a row without a word in it is left out.

    `sheet` is that of a workbook. `faults` are cells that cannot be taken as they are, `hidden` the rows and columns that nobody sees
    and that were read too.
    """

    file: str
    head: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]
    sheet: str | None = None
    faults: tuple[Fault, ...] = ()
    hidden: tuple[str, ...] = ()
    separator: str = ""

    def place(self, cell: Cell) -> str:
        """Where a cell stands, as a person finds it."""
        if self.sheet is None:
            return f"{self.file}:{cell.line}:{cell.column}"
        name = next((c.text for c in self.head if c.column == cell.column and c.text), "")
        column = f"'{name}'" if name else letters(cell.column)
        return f"{self.file}: sheet {self.sheet}, row {cell.line}, column {column}"

    def place_of_row(self, row: tuple[Cell, ...]) -> str:
        """Where a row stands."""
        if self.sheet is None:
            return self.place(row[0])
        return f"{self.file}: sheet {self.sheet}, row {row[0].line}"


def fault_of_cell(table: Table, cell: Cell) -> Fault | None:
    """A sign in a cell that nobody sees, or that is taken for another one."""
    if (sign := unseen(cell.text)) is not None:
        return Fault(table.place(cell), Refusal("table-cell-unseen", sign=f"U+{ord(sign):04X}"))
    if (taken := misread(cell.text)) is not None:
        return Fault(table.place(cell), Refusal("table-cell-misread", message=taken[1], hint=taken[2]))
    return None


def is_workbook(path: Path) -> bool:
    """Whether a file begins as a workbook does, whatever it is called."""
    try:
        with path.open("rb") as stream:
            return stream.read(len(ZIP)) in (ZIP, OLDER)
    except OSError:
        return False


def _read(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise Refusal("table-no-file", file=str(path))
        with path.open("rb") as stream:
            raw = stream.read(MOST + 1)
    except OSError as error:
        raise Refusal("table-unreadable", file=str(path), reason=error.strerror or str(error)) from error
    if len(raw) > MOST:
        raise Refusal("table-too-large", file=str(path))
    return raw


def read_text(path: Path) -> str:
    """The text of a file with plain line ends. Refusal where it cannot be read or is no text in UTF-8."""
    return _decoded(_read(path), path)


def _decoded(raw: bytes, path: Path) -> str:
    if raw.startswith((ZIP, OLDER)):
        raise Refusal("table-workbook", file=str(path))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - raw.rfind(b"\n", 0, error.start)
        raise Refusal("table-no-text", file=f"{path}:{line}:{column}") from error
    if "\0" in text:
        raise Refusal("table-no-text", file=f"{path}:1:1")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def read_table(path: Path, sheet: str = "", beside: Collection[str] = ()) -> Table:
    """Read a table. Refusal where the file cannot be read, for one that has no head, or a quotation mark without its end.

    Of a workbook the sheet of that name is read; where it has none of that name, its only one that is not named in `beside`.
    """
    raw = _read(path)
    if raw.startswith(OLDER):
        raise Refusal("table-workbook-older", file=str(path))
    if raw.startswith(ZIP):
        from docgen.control.workbook import read_workbook

        name, cells, faults, hidden = read_workbook(raw, str(path), sheet, beside)
        table = _table(str(path), cells, name, hidden, "")
        places = [Fault(table.place(cell) if isinstance(cell, Cell) else cell, why) for cell, why in faults]
        return Table(table.file, table.head, table.rows, name, tuple(places), hidden)
    text = _decoded(raw, path)
    begun = SEP.match(text)
    separator = begun[1] if begun else _separator(text)
    return _table(str(path), list(_rows(text, str(path), separator, begun.end() if begun else 0)), None, (), separator)


def _table(file: str, cells: list[list[Cell]], sheet: str | None, hidden: tuple[str, ...], separator: str) -> Table:
    rows = [row for row in cells if any(cell.text for cell in row)]
    if not rows:
        raise Refusal("table-empty", file=file)
    return Table(file, tuple(rows[0]), tuple(tuple(row) for row in rows[1:]), sheet, (), hidden, separator)


def _rows(text: str, file: str, separator: str, at: int) -> Iterator[list[Cell]]:
    line, start = text.count("\n", 0, at) + 1, at  # start: where the line begins
    row: list[Cell] = []
    while at < len(text):
        place = line, at - start + 1
        if text[at] == '"':
            words = []
            while True:
                end = text.find('"', at + 1)
                if end < 0:
                    raise Refusal("table-quote-open", file=f"{file}:{place[0]}:{place[1]}")
                words.append(text[at + 1 : end])
                at = end + 1
                if text[at : at + 1] != '"':
                    break
            cell = '"'.join(words)
            if breaks := cell.count("\n"):
                line, start = line + breaks, text.rfind("\n", 0, at) + 1
            if text[at : at + 1] not in (separator, "\n", ""):
                raise Refusal("table-quote-within", file=f"{file}:{line}:{at - start + 1}")
        else:
            end = next((n for n in range(at, len(text)) if text[n] in (separator, "\n")), len(text))
            cell, at = text[at:end], end
        row.append(Cell(unshielded(" ".join(cell.split())), *place))
        if text[at : at + 1] == "\n" or at >= len(text):
            yield row
            row = []
            line, start = line + 1, at + 1
        elif at + 1 == len(text):
            row.append(Cell("", line, at - start + 2))
            yield row
        at += 1


def _separator(text: str) -> str:
    """The sign between the cells: the one that stands most often in the head outside of quotation marks."""
    head = "".join(text.split("\n", 1)[0].split('"')[::2])
    return max(SEPARATORS, key=head.count)
