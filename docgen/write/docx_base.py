"""The base file of a DOCX: styles, lists, header, footer, theme and fonts, found by their names and fitted to one document.

`templates/look/base.docx` is a report of 10 pt on Letter. For another size of body type its sizes are scaled; a poster's
styles differ by `POSTER`, those of a card by `CARD`, of a working paper by `WORKING`.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, cast

from docgen.errors import WriteError
from docgen.write.widths import page, table_type

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from docx.document import Document as Word
    from docx.enum.style import WD_STYLE_TYPE
    from docx.styles.style import ParagraphStyle
    from lxml.etree import _Element as Node

    from docgen.compose.document import Document

__all__ = ["BASE", "Base", "open_base"]

BASE = "base.docx"
PARAGRAPH, CHARACTER, TABLE, LIST = "PARAGRAPH", "CHARACTER", "TABLE", "LIST"
#: Every style that the writer uses, by kind, under the name that a word processor shows.
STYLES: Mapping[str, tuple[str, ...]] = {
    PARAGRAPH: (
        "Title", "Heading 1", "Heading 1 Plain", "Heading 2", "Heading 2 Plain", "Heading 3", "Heading 4", "Body Text",
        "Lead Text", "Small Text", "Clause", "Definition", "List Bullet", "List Number", "List Continue", "List Check", "Quote",
        "Rule", "Caption", "Table Text", "Table Heading", "Table Gap", "Panel Word", "Box Title", "Header", "Footer",
        "TOC Heading", "toc 1", "toc 2",
    ),
    CHARACTER: ("Hyperlink", "Code Text", "Blank", "Flag"),
    TABLE: ("Table Rules", "Table Form", "Table Plain", "Table Panel", "Table Note", "Table Draft"),
    LIST: ("Numbered Headings", "Numbered Appendices", "Bulleted List", "Numbered Steps"),
}  # fmt: skip
SINGLE = 240  # a line in single spacing [240ths of it]
FIXED = frozenset({"Header", "Footer"})  # of one size whatever the body's is
OF_TABLES = frozenset({"Table Text"})  # of the size of table type, as the table styles' margins are


@dataclass(frozen=True)
class Look:
    """How a paragraph style of a poster or card differs from the base file's: type and space in em of body type, the line above it."""

    size: float | None = None
    before: float | None = None
    after: float | None = None
    centered: bool = False
    rule: tuple[int, int] | None = None  # its weight [eighths of a point] and its distance [pt]


_HEADING = Look(size=1.04, before=0.25, after=0.08, rule=(6, 2))
#: A poster is one page that is read at a distance of two steps: larger type, less space, so that two lines more would fit.
POSTER: Mapping[str, Look] = {
    "Title": Look(size=1.45, after=0.2, centered=True),
    "Heading 1": _HEADING,
    "Heading 1 Plain": _HEADING,
    "Body Text": Look(after=0.08),
    "Lead Text": Look(size=1.12),
    "Panel Word": Look(size=1.6),
}
_SUBHEAD = Look(before=0.8, after=0.3)
#: What is carried in a hand, such as a procedure: the lines and spaces of its PDF, so that its pages are those of the PDF.
CARD: Mapping[str, Look] = {
    "Heading 1": Look(size=1.5, before=0.7, after=0.25, rule=(8, 3)),
    "Heading 1 Plain": Look(size=1.5, before=0.7, after=0.25, rule=(8, 3)),
    "Heading 2": _SUBHEAD,
    "Heading 2 Plain": _SUBHEAD,
    "Heading 3": _SUBHEAD,
    "Body Text": Look(after=0.22),
    "List Bullet": Look(after=0.16),
    "List Number": Look(after=0.16),
}
#: A working paper, which lies across: the spaces of its PDF, and a list of contents that stays on the first page in one column.
WORKING: Mapping[str, Look] = {
    "Heading 1": Look(before=1.4, after=0.45),
    "Heading 1 Plain": Look(before=1.4, after=0.45),
    "Body Text": Look(after=0.4),
    "List Bullet": Look(after=0.14),
    "List Number": Look(after=0.14),
    "TOC Heading": Look(before=0.6, after=0.2),
    "toc 1": Look(before=0.04),
    "toc 2": Look(before=0.0),
}
#: Layout -> how its styles differ, and its line spacing [240ths of a line].
LOOKS: Mapping[str, tuple[Mapping[str, Look], int]] = {"poster": (POSTER, 226), "card": (CARD, 262), "across": (WORKING, 266)}
#: Line spacing where the text of page 1 bears a line on a closed bay, which the PDF has in the head: the same words on the page [240ths of a line].
BANDED = 254


@dataclass(frozen=True)
class Base:
    """A base file, opened and fitted: style ids by name, numbering instances by list style, and the first free instance."""

    word: Word
    styles: Mapping[str, str]
    lists: Mapping[str, int]
    steps: str  # the definition that each ordered list makes an instance of
    free: int
    body_line: int  # spacing of the lines of text and of tables [240ths of a line]
    table_line: int


@cache
def _content() -> tuple[Path, bytes]:
    from docgen.resources import data_folder

    path = data_folder("templates") / "look" / BASE
    try:
        return path, path.read_bytes()
    except OSError as error:
        raise WriteError(f"{path}: cannot be read ({error.strerror}); install docgen again") from None


def open_base(doc: Document) -> Base:
    """The base file for one document. Raises WriteError for a file that is no DOCX or lacks a style, which it names."""
    return fitted(doc, *_content())


def fitted(doc: Document, path: Path, content: bytes) -> Base:
    """As `open_base`, for the content of any base file; `path` is for messages."""
    import zipfile

    from docx import Document as open_word
    from lxml.etree import XMLSyntaxError

    try:
        word = open_word(io.BytesIO(content))
    except (zipfile.BadZipFile, KeyError, ValueError, XMLSyntaxError) as error:
        raise WriteError(f"{path}: is no DOCX that can be a base ({error}); save it as DOCX again") from None
    styles = _styles(word, path)
    lists = {name: _instance(word, name, path) for name in STYLES[LIST]}
    numbering = word.part.numbering_part.element
    instances = {int(_value(num, "numId")): num for num in numbering.iterchildren(_w("num"))}
    for name, number in lists.items():
        if number not in instances:
            raise WriteError(
                f"{path}: the list style '{name}' names the numbering {number}, which is not there; define its levels"
            )
    steps = instances[lists["Numbered Steps"]].find(_w("abstractNumId"))
    table_line = _line(word.styles["Table Text"].element)
    base = Base(word, styles, lists, _value(steps, "val"), max(instances) + 1, SINGLE, table_line)
    _fit(base, doc)
    return replace(base, body_line=_line(word.styles.element.find(f"{_w('docDefaults')}/{_w('pPrDefault')}")))


@cache
def _w(name: str) -> str:
    from docx.oxml.ns import qn

    return str(qn(f"w:{name}"))


def _value(node: Node | None, name: str) -> str:
    return "" if node is None else str(node.get(_w(name), ""))


def _kind(style_type: WD_STYLE_TYPE) -> str:
    return style_type.name


def _styles(word: Word, path: Path) -> dict[str, str]:
    """Ids of all styles in use, by name."""
    found = {(_kind(style.type), str(style.name)): style.style_id for style in word.styles}
    for kind, names in STYLES.items():
        for name in names:
            if (kind, name) not in found:
                there = f"the {kind.lower()} style '{name}'"
                raise WriteError(f"{path}: {there} is missing; add a style of that name, or take docgen's own base file")
    return {name: found[kind, name] for kind, names in STYLES.items() for name in names}


def _instance(word: Word, name: str, path: Path) -> int:
    """Numbering instance that a list style leads to."""
    found = word.styles[name].element.find(f"{_w('pPr')}/{_w('numPr')}/{_w('numId')}")
    if found is None or not _value(found, "val").isdecimal():
        raise WriteError(f"{path}: the list style '{name}' has no numbering; define its levels")
    return int(_value(found, "val"))


def _fit(base: Base, doc: Document) -> None:
    """Language, widths and sizes of the base file for this document."""
    word = base.word
    styles = word.styles.element
    _speak(base, doc)
    scale = doc.type_pt * 2 / _half_points(styles.find(f"{_w('docDefaults')}/{_w('rPrDefault')}"))
    of_tables = doc.type_pt * table_type(doc) * 2 / _half_points(word.styles["Table Text"].element)
    if (scale, of_tables) != (1, 1):
        for style in word.styles:
            if style.name not in FIXED:
                tabular = _kind(style.type) == TABLE or style.name in OF_TABLES
                _scale(style.element, of_tables if tabular else scale)
        for size in styles.findall(f"{_w('docDefaults')}//{_w('sz')}") + styles.findall(f"{_w('docDefaults')}//{_w('szCs')}"):
            _times(size, "val", scale)
        _scale(word.part.numbering_part.element, scale)
    layout = "across" if doc.landscape and doc.layout == "report" else doc.layout  # a poster that lies across is a poster
    if layout in LOOKS:
        look, line = LOOKS[layout]
        _look(base, doc, look, BANDED if doc.bands else line)
    width = round(page(doc).text_width * 20)
    for tab in styles.iter(_w("tab")):
        if _value(tab, "val") == "right":
            tab.set(_w("pos"), str(width))


def _line(node: Node | None) -> int:
    """Spacing of lines that a style or the defaults give [240ths of a line]; single where they give none, as a word processor takes it."""
    spacing = None if node is None else node.find(f"{_w('pPr')}/{_w('spacing')}")
    return int(_value(spacing, "line") or SINGLE)


def _half_points(node: Node | None) -> int:
    """Size of type that a style or the defaults give; 10 pt where they give none, as a word processor takes it."""
    size = None if node is None else node.find(f"{_w('rPr')}/{_w('sz')}")
    return int(_value(size, "val") or 20)


def _speak(base: Base, doc: Document) -> None:
    """The document's language where a word processor looks for it, and its word for an appendix."""
    for lang in base.word.styles.element.findall(f"{_w('docDefaults')}//{_w('lang')}"):
        for name in ("val", "eastAsia", "bidi"):
            lang.set(_w(name), doc.language)
    for lang in base.word.settings.element.iter(_w("themeFontLang")):
        lang.set(_w("val"), doc.language)
    numbering = base.word.part.numbering_part.element
    chain = str(base.lists["Numbered Appendices"])
    definition = next(
        _value(n.find(_w("abstractNumId")), "val") for n in numbering.iter(_w("num")) if _value(n, "numId") == chain
    )
    for abstract in numbering.iter(_w("abstractNum")):
        if _value(abstract, "abstractNumId") == definition:
            text = abstract.find(f"{_w('lvl')}/{_w('lvlText')}")
            text.set(_w("val"), doc.labels["appendix"].replace("{n}", "%1") + "\u2003")


#: Sizes that follow the body type: element, its attributes.
SIZES = {
    "sz": ("val",),
    "szCs": ("val",),
    "spacing": ("before", "after"),
    "ind": ("left", "right", "hanging", "firstLine"),
    "tab": ("pos",),
    "top": ("w",),
    "left": ("w",),
    "bottom": ("w",),
    "right": ("w",),
}


def _scale(root: Node, factor: float) -> None:
    """Multiply every size below an element; weights of lines stay."""
    for node in root.iter():
        for name in SIZES.get(str(node.tag).rpartition("}")[2], ()):
            _times(node, name, factor)
        if _value(node, "lineRule") in ("exact", "atLeast"):
            _times(node, "line", factor)


def _times(node: Node, name: str, factor: float) -> None:
    value = _value(node, name)
    if value:
        node.set(_w(name), str(round(int(value) * factor)))


def _look(base: Base, doc: Document, looks: Mapping[str, Look], line: int) -> None:
    """The styles of a poster, a card or a working paper."""
    from docx.enum.text import WD_ALIGN_PARAGRAPH
    from docx.shared import Pt

    spacing = base.word.styles.element.find(f"{_w('docDefaults')}/{_w('pPrDefault')}/{_w('pPr')}/{_w('spacing')}")
    if spacing is not None:
        spacing.set(_w("line"), str(line))
    for name, look in looks.items():
        style = cast("ParagraphStyle", base.word.styles[name])
        if look.size is not None:
            size = str(round(look.size * doc.type_pt * 2))
            for node in style.element.findall(f"{_w('rPr')}/{_w('sz')}") + style.element.findall(f"{_w('rPr')}/{_w('szCs')}"):
                node.set(_w("val"), size)
        if look.before is not None:
            style.paragraph_format.space_before = Pt(look.before * doc.type_pt)
        if look.after is not None:
            style.paragraph_format.space_after = Pt(look.after * doc.type_pt)
        if look.centered:
            style.paragraph_format.alignment = WD_ALIGN_PARAGRAPH.CENTER
        if look.rule is not None:
            for rule in style.element.findall(f"{_w('pPr')}/{_w('pBdr')}/{_w('top')}"):
                rule.set(_w("sz"), str(look.rule[0]))
                rule.set(_w("space"), str(look.rule[1]))
