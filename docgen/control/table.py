"""A table of a spreadsheet, saved as text: comma, semicolon or tab between the cells (RFC 4180), each cell with its place in the file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from docgen.errors import Refusal
from docgen.frozen import frozen

__all__ = ["Cell", "Table", "read_table", "read_text"]

MOST = 1_048_576  # bytes, as of a log
SEPARATORS = ",;\t"
#: How a workbook begins (a zip archive, or the older format), which somebody gave another name.
WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")


@frozen
class Cell:
    """What stands in a cell, without the blanks around it, and where it begins: line and column of the file, from 1."""

    text: str
    line: int
    column: int


@frozen
class Table:
    """The cells of the head, and the rows below it; a row without a word in it is left out."""

    file: str
    head: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]


def read_text(path: Path) -> str:
    """The text of a file with plain line ends. Refusal where it cannot be read or is no text in UTF-8."""
    try:
        if not path.is_file():
            raise Refusal("table-no-file", file=str(path))
        with path.open("rb") as stream:
            raw = stream.read(MOST + 1)
    except OSError as error:
        raise Refusal("table-unreadable", file=str(path), reason=error.strerror or str(error)) from error
    if len(raw) > MOST:
        raise Refusal("table-too-large", file=str(path))
    if raw.startswith(WORKBOOKS):
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


def read_table(path: Path) -> Table:
    """Read a table. Refusal where `read_text` refuses, and for one that has no head, or a quotation mark without its end."""
    text = read_text(path)
    rows = [row for row in _rows(text, str(path)) if any(cell.text for cell in row)]
    if not rows:
        raise Refusal("table-empty", file=str(path))
    return Table(str(path), tuple(rows[0]), tuple(tuple(row) for row in rows[1:]))


def _rows(text: str, file: str) -> Iterator[list[Cell]]:
    separator = _separator(text)
    at, line, start = 0, 1, 0  # start: where the line begins
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
        row.append(Cell(" ".join(cell.split()), *place))
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
