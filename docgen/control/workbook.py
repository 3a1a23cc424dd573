"""A workbook (XLSX, ISO/IEC 29500) as a table: one sheet of it, values only. Nothing in it is run, fetched or worked out.

What could act is refused before anything is opened; a formula is told at its cell, and its value is not taken. Reading and writing take
openpyxl, which the extra `sheets` brings.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
import zlib
from collections.abc import Collection, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from xml.parsers import expat

from docgen.control.cells import Cell, letters, shielded, unshielded
from docgen.errors import Refusal, Word
from docgen.frozen import frozen

__all__ = ["Head", "read_workbook", "workbook_bytes"]

MOST_PARTS, MOST_WHOLE = 300, 8_000_000
MOST_ROWS, MOST_COLUMNS, MOST_STRETCH = 20_000, 400, 50_000
DIGITS = 15  # of a figure, since a spreadsheet keeps no more
#: What a part or a relationship is called that runs or fetches something, and the word for it.
ACTIVE = (
    ("vbaproject", "a-macro"), ("vbadata", "a-macro"), ("macrosheet", "a-macro"), ("macroenabled", "a-macro"), ("activex", "a-control"), ("ctrlprop", "a-control"),
    ("externallink", "another-workbook"), ("connections", "a-data-source"), ("querytable", "a-data-source"), ("oleobject", "an-object"), ("embeddings", "an-object"),
    ("customui", "a-macro"), ("webextension", "a-control"),
)  # fmt: skip
#: A link that somebody clicks on; nothing follows it here.
CLICKED = "hyperlink"
SPREAD = ("mergeCell", "hyperlink")  # of which the library makes every cell
STRETCH = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7}):\$?([A-Z]{1,3})\$?([0-9]{1,7})")
ZEROS = re.compile(r"0{2,15}")  # the format that shows 123 as 00123
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
Told = tuple[Cell | str, Refusal]


def _library() -> Any:
    try:
        import openpyxl  # type: ignore[import-untyped]
    except ImportError:
        raise Refusal("sheets-not-installed") from None
    return openpyxl


# reading


def read_workbook(
    raw: bytes, file: str, wanted: str, beside: Collection[str]
) -> tuple[str, list[list[Cell]], list[Told], tuple[str, ...]]:
    """The name of the sheet that is read, its rows, what of it cannot be taken, and what of it nobody sees.

    Refusal for a file that is no workbook, is damaged or too large, or that holds what acts; and where it is not clear which sheet is meant.
    """
    openpyxl = _library()
    _harmless(raw, file)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions, which nobody reads here
            book = openpyxl.load_workbook(io.BytesIO(raw), data_only=False, keep_vba=False, keep_links=False, rich_text=False)
    except Refusal:
        raise
    except Exception as error:  # the library ends in many ways on a file that another program damaged
        raise Refusal("table-workbook-damaged", file=file, reason=type(error).__name__) from None
    sheet = _chosen(book, file, wanted, beside)
    return sheet.title, *_cells(sheet, file)


def _harmless(raw: bytes, file: str) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            members = archive.infolist()
            names = {m.filename for m in members}
            if "xl/workbook.xml" not in names:
                raise Refusal("table-workbook-none", file=file)
            if len(members) > MOST_PARTS or sum(m.file_size for m in members) > MOST_WHOLE:
                raise Refusal("table-workbook-unpacked", file=file, most=f"{MOST_WHOLE // 1_000_000} MB")
            for member in members:
                _told(member.filename, file)
                if member.filename.endswith((".xml", ".rels")):
                    _look_at(archive.read(member), file)  # reads no more than the size that was counted
    except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, OSError, ValueError) as error:
        raise Refusal("table-workbook-damaged", file=file, reason=type(error).__name__) from None


def _told(name: str, file: str) -> None:
    plain = name.lower()
    if (found := next((word for part, word in ACTIVE if part in plain), None)) is not None:
        raise Refusal("table-workbook-active", file=file, what=Word(found))


def _look_at(content: bytes, file: str) -> None:
    """One part: no document type, which could make text without end, and no relationship to something outside."""
    parser = expat.ParserCreate(namespace_separator=" ")

    def no_type(*_: object) -> None:
        raise Refusal("table-workbook-damaged", file=file, reason="DOCTYPE")

    def start(tag: str, given: dict[str, str]) -> None:
        local = tag.rpartition(" ")[2]
        if local == "Relationship":
            kind = given.get("Type", "").rpartition("/")[2]
            if given.get("TargetMode", "").lower() == "external" and kind.lower() != CLICKED:
                raise Refusal("table-workbook-active", file=file, what=Word("another-workbook"))
            _told(kind, file)
        elif local in ("Override", "Default"):
            _told(given.get("ContentType", ""), file)
        elif local in SPREAD and ":" in (ref := given.get("ref", "")) and not _small(ref):
            raise Refusal("table-workbook-far", file=file, cell=ref[:40], rows=MOST_ROWS, columns=MOST_COLUMNS)

    parser.StartDoctypeDeclHandler, parser.StartElementHandler = no_type, start
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        raise Refusal("table-workbook-damaged", file=file, reason=str(error)) from None


def _small(ref: str) -> bool:
    """Whether a stretch of cells is no larger than a table; the library makes each cell of it."""
    match = STRETCH.fullmatch(ref)
    if match is None:
        return False
    left, top, right, bottom = (_number(each) if each.isalpha() else int(each) for each in match.groups())
    return (abs(right - left) + 1) * (abs(bottom - top) + 1) <= MOST_STRETCH


def _number(letters_of: str) -> int:
    """The number of a column by its letters."""
    found = 0
    for letter in letters_of:
        found = found * 26 + ord(letter) - 64
    return found


def _chosen(book: Any, file: str, wanted: str, beside: Collection[str]) -> Any:
    own = {name.casefold() for name in beside}
    sheets = [s for s in book.worksheets if s.sheet_state == "visible" and s.title.casefold() not in own]
    named = [s for s in sheets if wanted and s.title.casefold() == wanted.casefold()]
    filled = named or [s for s in sheets if any(c.value is not None for c in s._cells.values())]
    if len(filled) > 1:
        raise Refusal("table-workbook-sheets", file=file, known=tuple(s.title for s in filled))
    if not filled:
        raise Refusal("table-empty", file=file)
    return filled[0]


def _cells(sheet: Any, file: str) -> tuple[list[list[Cell]], list[Told], tuple[str, ...]]:
    rows: dict[int, list[Cell]] = {}
    told: list[Told] = []
    for (row, column), cell in sorted(sheet._cells.items()):
        if cell.value is None:
            continue
        if row > MOST_ROWS or column > MOST_COLUMNS:
            raise Refusal("table-workbook-far", file=file, cell=cell.coordinate, rows=MOST_ROWS, columns=MOST_COLUMNS)
        made = _cell(cell, row, column)
        if isinstance(made, Refusal):
            told.append((Cell(" ", row, column), made))
            continue
        rows.setdefault(row, []).append(made)
    for merged in sheet.merged_cells.ranges:
        told.append((f"{file}: sheet {sheet.title}, cells {merged.coord}", Refusal("table-cell-merged")))
    unseen = [str(n) for n, d in sorted(sheet.row_dimensions.items()) if d.hidden and n in rows]
    taken = {cell.column for cells in rows.values() for cell in cells}
    for dimension in sheet.column_dimensions.values():
        if dimension.hidden:
            unseen += [letters(n) for n in range(dimension.min or 0, (dimension.max or 0) + 1) if n in taken]
    return [rows[n] for n in sorted(rows)], told, tuple(unseen)


def _cell(cell: Any, row: int, column: int) -> Cell | Refusal:
    value = cell.value
    if cell.data_type == "f":
        return Refusal("table-cell-formula")
    if cell.data_type == "e":
        return Refusal("table-cell-error", words=str(value))
    if isinstance(value, bool):
        return Cell("true" if value else "false", row, column)
    if isinstance(value, int | float):
        if abs(value) >= 10**DIGITS:
            return Refusal("table-cell-digits", digits=DIGITS)
        shown = str(value) if isinstance(value, int) else _figure(value)
        if shown.isdigit() and ZEROS.fullmatch(str(cell.number_format)):
            shown = shown.zfill(len(cell.number_format))
        return Cell(shown, row, column, "number")
    if isinstance(value, datetime):
        midnight = value.time() == time()
        return Cell(value.date().isoformat() if midnight else value.isoformat(" ", "minutes"), row, column, "day")
    if isinstance(value, date):
        return Cell(value.isoformat(), row, column, "day")
    if isinstance(value, time | timedelta):
        return Cell(str(value), row, column, "day")
    text = ESCAPED.sub(lambda m: chr(int(m[1], 16)), str(value))
    return Cell(unshielded(" ".join(text.split())), row, column)


def _figure(value: float) -> str:
    """A figure in the digits that a spreadsheet keeps, without an exponent; 1.0 is a whole number."""
    shown = format(Decimal(f"{value:.{DIGITS}g}"), "f")
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


# writing


@frozen
class Head:
    """The head of a column: its words, how wide it is, whether it must be filled, and the words that may stand in it (none: any)."""

    words: str
    width: int
    must: bool
    allowed: tuple[str, ...] = ()


def workbook_bytes(
    title: str, heads: Sequence[Head], rows: Sequence[Sequence[str]], pages: Sequence[tuple[str, Sequence[Sequence[str]], tuple[int, ...]]], lists: str
) -> bytes:  # fmt: skip
    """A workbook of text: a sheet with a head that stays in sight, pages that explain it (title, rows, widths), and the lists of fixed words.

    Every cell is text and stays it when somebody edits it: no serial number loses its zeros, nothing is run.
    """
    openpyxl = _library()
    from openpyxl.styles import Alignment, Font, PatternFill  # type: ignore[import-untyped]
    from openpyxl.utils import get_column_letter  # type: ignore[import-untyped]
    from openpyxl.worksheet.datavalidation import DataValidation  # type: ignore[import-untyped]

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    bold, grey, must = Font(bold=True), PatternFill("solid", fgColor="E6E6E6"), PatternFill("solid", fgColor="FFE699")
    wrapped = Alignment(wrap_text=True, vertical="top")
    last = len(rows) + 500
    for number, head in enumerate(heads, 1):
        letter = get_column_letter(number)
        cell = _text_cell(sheet, 1, number, head.words)
        cell.font, cell.fill, cell.alignment = bold, must if head.must else grey, wrapped
        sheet.column_dimensions[letter].width = head.width
        sheet.column_dimensions[letter].number_format = "@"  # what is typed below is text too
    for down, row in enumerate(rows, 2):
        for across, text in enumerate(row, 1):
            _text_cell(sheet, down, across, text).alignment = wrapped
    sheet.freeze_panes = "C2"
    for name, page, widths in pages:
        beside = book.create_sheet(name)
        for down, row in enumerate(page, 1):
            for across, text in enumerate(row, 1):
                cell = _text_cell(beside, down, across, text)
                cell.alignment = wrapped if widths else Alignment(vertical="top")
        for across, width in enumerate(widths, 1):
            beside.column_dimensions[get_column_letter(across)].width = width
    with_words = [(n, h) for n, h in enumerate(heads, 1) if h.allowed]
    if with_words:
        words = book.create_sheet(lists)
        for across, (number, head) in enumerate(with_words, 1):
            letter = get_column_letter(across)
            _text_cell(words, 1, across, head.words).font = bold
            words.column_dimensions[letter].width = 24
            for down, text in enumerate(head.allowed, 2):
                _text_cell(words, down, across, text)
            rule = DataValidation("list", formula1=f"'{lists}'!${letter}$2:${letter}${len(head.allowed) + 1}", allow_blank=True)
            rule.errorStyle, rule.showErrorMessage = "warning", True
            column = get_column_letter(number)
            rule.add(f"{column}2:{column}{last}")
            sheet.add_data_validation(rule)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _text_cell(sheet: Any, row: int, column: int, text: str) -> Any:
    """A cell that holds a text, whatever it looks like."""
    cell = sheet.cell(row, column)
    cell.number_format = "@"
    if text:
        shown = shielded(text) if text.startswith("'") else text
        cell.value = ESCAPED.sub(lambda m: f"_x005F{m[0]}", shown)
        cell.data_type = "s"
        cell.quotePrefix = True
    return cell
