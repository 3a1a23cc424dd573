"""The structure tree of a finished PDF, mended where the type-setter cannot be told what a cell is.

typst has no header cells of rows (they stand behind a switch that its Python package does not offer), and knows no way to hold rows together but an
empty cell over several of them (`pdf._held`). Each structure element is one line of the file; what is exchanged here is as long as what stood there,
so that the offsets of all objects stay true. Source: ISO 32000-1, 14.8.4.3.4 and 14.8.5.7 (TR, TH and TD; Scope, Headers, ColSpan and RowSpan), from memory.
"""

from __future__ import annotations

import re

from docgen.errors import WriteError

__all__ = ["mended"]

_ELEMENT = re.compile(rb"(?<=[\r\n])(\d+) 0 obj\n<</Type/StructElem/S/(Table|THead|TBody|TFoot|TR|TH|TD)\b[^\r\n]*")
_KIDS = re.compile(rb"/K\[([^\]]*)\]")
_NO_HEADERS, _ROW, _ONE = b"/Headers[]", b"/Scope/Row", b"/ColSpan 1"


def mended(data: bytes) -> bytes:
    """The same file with tables that a reader by voice can follow; as long as before.

    The empty cells that hold rows together are taken out of their rows, and what spans their column no longer does. Of a table without a head each
    first cell of a pair is the header of its row. Raises WriteError for a file whose cells are written otherwise than docgen knows.
    """
    found = {int(m[1]): (m.start(), m.group(), m[2]) for m in _ELEMENT.finditer(data)}
    if not any(kind == b"TR" for _, _, kind in found.values()):
        if re.search(rb"/S\s*/TR\b", data):
            raise WriteError("the cells of a PDF cannot be read; this release of typst is not known to docgen")
        return data
    lines = {number: line for number, (_, line, _) in found.items()}
    kinds = {number: kind for number, (_, _, kind) in found.items()}
    for number, line in tuple(lines.items()):
        if kinds[number] == b"TR":
            lines[number] = _without_held(line, lines)
    for number, kind in kinds.items():
        if kind == b"Table":
            rows = [
                row for part in _kids(lines[number]) for row in (part, *_kids(lines.get(part, b""))) if kinds.get(row) == b"TR"
            ]
            cells = [_kids(lines[row]) for row in rows]
            headless = not any(kinds[cell] == b"TH" for row in cells for cell in row)
            for row in cells:
                for index, cell in enumerate(row):
                    lines[cell] = lines[cell].replace(b"/ColSpan 2", _ONE)
                    if headless:
                        lines[cell] = _of_pair(lines[cell], index % 2 == 0)
    whole = bytearray(data)
    for number, (start, line, _) in found.items():
        if len(lines[number]) != len(line):
            raise WriteError("the cells of a PDF cannot be mended; this release of typst is not known to docgen")
        whole[start : start + len(line)] = lines[number]
    return bytes(whole)


def _kids(line: bytes) -> list[int]:
    kids = _KIDS.search(line)
    return [int(number) for number in re.findall(rb"(\d+) 0 R", kids[1])] if kids else []


def _without_held(line: bytes, lines: dict[int, bytes]) -> bytes:
    """A row without the empty cells that span several rows."""
    for cell in _kids(line):
        if b"/RowSpan " in lines[cell] and lines[cell].endswith(b"/K[]>>"):
            gone = b"%d 0 R" % cell
            line = re.sub(rb"(?<=[\[ ])" + gone, b" " * len(gone), line)
    return line


def _of_pair(cell: bytes, names: bool) -> bytes:
    """A cell of a table without a head: what names the one after it, or what is named; the list of its headers, which is empty, makes room."""
    if cell.count(_NO_HEADERS) != 1:
        raise WriteError("the cells of a PDF cannot be read; this release of typst is not known to docgen")
    return cell.replace(b"/S/TD/", b"/S/TH/", 1).replace(_NO_HEADERS, _ROW) if names else cell.replace(_NO_HEADERS, _ONE)
