"""A table as a file: CSV, or a workbook with a page that says what each column is, and lists of the words that are fixed."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

from docgen.control.cells import shielded
from docgen.control.workbook import Head, workbook_bytes
from docgen.sheets.columns import Column, may_be_unknown
from docgen.sheets.kinds import ABOUT, MARK, ROW, SITE, Kind, Sheet
from docgen.unknown import WORD
from docgen.words import words

__all__ = ["as_csv", "as_workbook", "beside", "column_name", "heading", "title_of"]

NARROW, WIDE = 11, 38  # of a column, in signs
SIGN_OF_UTF8 = "\ufeff"  # by which a spreadsheet knows what the file is written in


def title_of(kind: Kind, language: str) -> str:
    """The name of the sheet that is filled in."""
    return str(words(language)["sheets"]["titles"][kind.name])


def beside(language: str) -> tuple[str, str]:
    """The names of the sheets that explain it, which nobody reads back."""
    t = words(language)["sheets"]
    return str(t["guide"]), str(t["lists"])


def heading(column: Column, language: str) -> str:
    """The trade's name of a column, with its path in brackets where it is another: `serial number (serial)`."""
    name = column_name(column.path, language)
    return column.path if name == column.path else f"{name} ({column.path})"


def column_name(path: str, language: str) -> str:
    """The trade's name of what stands in a column; of evidence that of its figure and what is known of it."""
    names: Mapping[str, str] = words(language)["sheets"]["columns"]
    steps = path.split(".")
    numbers = [step for step in steps if step.isdigit()]
    plain = ".".join(step for step in steps if not step.isdigit())
    if plain in names:
        return " ".join([names[plain], *numbers])
    before, _, last = path.rpartition(".")
    if before:
        return f"{column_name(before, language)}, {names.get(f'evidence.{last}', last)}"
    return plain.replace("_", " ")


def as_csv(sheet: Sheet, language: str, file: bool) -> str:
    """The table as CSV; as a `file` it begins with the sign of UTF-8 and its lines end as RFC 4180 has them."""
    stream = io.StringIO()
    out = csv.writer(stream, lineterminator="\r\n" if file else "\n")
    out.writerow([heading(c, language) for c in sheet.columns])
    out.writerows([[shielded(row.get(c.path, "")) for c in sheet.columns] for row in sheet.rows])
    return (SIGN_OF_UTF8 if file else "") + stream.getvalue()


def as_workbook(sheet: Sheet, language: str, ids: Mapping[str, tuple[str, ...]]) -> bytes:
    """The table as XLSX; `ids` are those of the site by collection, which are offered where one is asked for."""
    rows = [[row.get(c.path, "") for c in sheet.columns] for row in sheet.rows]
    heads = []
    for number, column in enumerate(sheet.columns):
        words_of = heading(column, language)
        longest = max([len(words_of) // 2, *(len(line) for row in rows for line in row[number].split("\n"))])
        heads.append(Head(words_of, min(max(longest + 2, NARROW), WIDE), column.must == "must", _offered(column, ids)))
    guide, lists = beside(language)
    return workbook_bytes(
        title_of(sheet.kind, language), heads, rows, [(guide, _guide(sheet, language), (34, 64, 30, 10, 40))], lists
    )


def _offered(column: Column, ids: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The words that a cell of the column may hold, where they are few and it holds one."""
    if column.kind == "list":
        return ()
    found = column.words or tuple(each for name in column.refers_to for each in ids.get(name, ()))
    if not found or column.path in (SITE, MARK, ABOUT, "id"):
        return ()
    return (*found, WORD) if column.path != ROW and may_be_unknown(column) else found


def _guide(sheet: Sheet, language: str) -> list[list[str]]:
    t: Mapping[str, Any] = words(language)["sheets"]
    page = [[str(line)] for line in (*t["rules"], *(t["rules_log"] if sheet.kind.entry is not None else t["rules_profile"]))]
    page += [[], [str(each) for each in t["guide_head"]]]
    for column in sheet.columns:
        example = next((str(e) for e in column.says.examples if not isinstance(e, Mapping | list)), "")
        if column.kind == "list" and column.says.examples and isinstance(column.says.examples[0], list):
            example = "; ".join(map(str, column.says.examples[0]))
        example = example.lower() if column.kind == "flag" else example
        allowed = "; ".join(column.words) if column.kind != "list" or column.words else ""
        page.append([heading(column, language), column.says.sentence, example, str(t["must"][column.must]), allowed])
    return page
