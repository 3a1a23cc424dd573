"""A DOCX with real tracked changes out of two DOCX files of the same document: accepting all gives the new, rejecting all the old.

Blocks are aligned first (paragraphs by style and text, tables row by row), and words inside the blocks that belong together.
Contents list, header, footer, stamp and bookmarks are those of the new file and carry no marks; the numbering stays Word's own.
The kinds of mark and their places are those of ISO/IEC 29500-1, 17.13.5 (revisions).
"""

from __future__ import annotations

import copy
import hashlib
import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Literal

from docgen.control.align import align, alike, edits, split_words
from docgen.control.numbers import Counted, Numbering, Shown
from docgen.errors import RecordError, Word
from docgen.frozen import frozen
from docgen.write.docx import pack

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

__all__ = ["redline_docx"]

MAIN = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
W = f"{{{MAIN}}}"
R = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
RELS = "{http://schemas.openxmlformats.org/package/2006/relationships}"
SPACE = "{http://www.w3.org/XML/1998/namespace}space"
DOC_ID = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}docPr"
FIRST_ID = 900_000
NUMBER_STYLE, NOTE_STYLE = "RedlineNumber", "RedlineNote"
GAP = "80"  # twentieths of a point
AFTER_SPACING = tuple(
    f"{W}{n}" for n in ("w", "kern", "position", "sz", "szCs", "highlight", "u", "effect", "bdr", "shd", "vertAlign", "lang")
)  # ISO/IEC 29500-1, 17.3.2.28
OWN_LISTS = 4  # numbering instances from here on belong to one list each


@frozen
class Piece:
    """Something inside a paragraph that is kept or exchanged as a whole: a word, a tab, a field, a picture."""

    key: tuple[str, ...]
    text: str | None
    look: bytes
    link: str
    parts: tuple[Element, ...]


class _Package:
    """The parts of a DOCX and what the relationships of its body lead to."""

    def __init__(self, data: bytes, name: Literal["older-file", "newer-file"]) -> None:
        from lxml import etree

        try:
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                self.parts: dict[str, bytes] = {i.filename: archive.read(i) for i in archive.infolist()}
            self.document = etree.fromstring(self.parts["word/document.xml"])
            self.rels = etree.fromstring(self.parts["word/_rels/document.xml.rels"])
            self.numbering = etree.fromstring(self.parts["word/numbering.xml"])
            self.styles = etree.fromstring(self.parts["word/styles.xml"])
        except (zipfile.BadZipFile, KeyError, etree.XMLSyntaxError) as error:
            raise RecordError("not-our-document", file=Word(name), reason=str(error)) from error
        self.targets = {_given(r, "Id"): _given(r, "Target") for r in self.rels}
        body = self.document.find(f"{W}body")
        if body is None:
            raise RecordError("not-our-document", file=Word(name), reason="body")
        self.body: Element = body
        self.counted = dict(Numbering(self.styles, self.numbering).counted(body))

    def picture(self, name: str) -> str:
        """SHA-256 of the picture behind a relationship."""
        return hashlib.sha256(self.parts.get(f"word/{self.targets.get(name)}", b"")).hexdigest()


def redline_docx(old: bytes, new: bytes, author: str, day: date, first: Sequence[str] = ()) -> bytes:
    """The new file with every difference to the old one as a tracked change of that author on that day.

    `first` are the paragraphs of a page before it, the title first; they are no change. Numbers of clauses, headings and steps are text
    in it (style RedlineNumber): a clause keeps the number that it had. RecordError if a file is none of ours.
    """
    return _Redline(_Package(old, "older-file"), _Package(new, "newer-file"), author, day).result(first)


class _Redline:
    def __init__(self, old: _Package, new: _Package, author: str, day: date) -> None:
        self.old, self.new = old, new
        self.author, self.day = author, f"{day.isoformat()}T00:00:00Z"
        self.count = FIRST_ID
        self.lists: dict[str, str] = {}
        self.gone_lists: list[Element] = []
        self.added: dict[str, bytes] = {}
        self.numbers: list[tuple[Element, Counted | None, Counted | None]] = []
        self.memory: dict[Element, tuple[Piece, ...]] = {}

    def result(self, first: Sequence[str]) -> bytes:
        from lxml import etree

        body = self.new.body
        section = body.find(f"{W}sectPr")
        merged = self.blocks(_blocks(self.old.body, contents=False), _blocks(body, contents=True))
        for child in list(body):
            body.remove(child)
        body.extend([*_front(first), *merged])
        if section is not None:
            body.append(section)
        self._renumber()
        self._number()
        content = dict(self.new.parts)
        content["word/styles.xml"] = _with_styles(content["word/styles.xml"])
        content["word/document.xml"] = etree.tostring(self.new.document, xml_declaration=True, encoding="UTF-8", standalone=True)
        content["word/_rels/document.xml.rels"] = etree.tostring(
            self.new.rels, xml_declaration=True, encoding="UTF-8", standalone=True
        )
        content["word/numbering.xml"] = etree.tostring(
            self.new.numbering, xml_declaration=True, encoding="UTF-8", standalone=True
        )
        settings = content["word/settings.xml"].decode("utf-8")
        if "<w:trackRevisions" not in settings:
            settings = re.sub(r"(<w:zoom[^>]*/>)", r"\1<w:trackRevisions/>", settings, count=1)
        content["word/settings.xml"] = settings.encode("utf-8")
        return pack({**content, **self.added})

    # blocks

    def blocks(self, old: list[Element], new: list[Element]) -> list[Element]:
        """The blocks of both, in the new order, with what went marked where it was."""
        merged = []
        for one, other in align(old, new, self.key, self.near):
            if one is not None and other is not None:
                merged.append(self.changed(one, other))
            elif one is not None:
                merged.append(self.removed(one))
            elif other is not None:
                merged.append(other if other.tag == f"{W}sdt" else self.inserted(other))
        return merged

    def key(self, block: Element) -> tuple[str, ...]:
        if block.tag == f"{W}p":
            return (_style(block), *(k for piece in self.pieces(block) for k in piece.key))
        return (block.tag, *(k for p in block.iter(f"{W}p") for k in self.key(p)))

    def near(self, one: Element, other: Element) -> float:
        if one.tag != other.tag or one.tag == f"{W}sdt":
            return 0.0
        if one.tag == f"{W}p":
            if _style(one) != _style(other):
                return 0.0
            words, others = ([p.key for p in self.pieces(x)] for x in (one, other))
            return 1.0 if words == others else alike(words, others)
        if self.pairs_of_rows(one, other) is None:
            return 0.0
        # the cells decide, and a table that keeps its head row and style keeps its identity
        return max(alike(_words(one), _words(other)), 0.6 if _words(_rows(one)[0]) == _words(_rows(other)[0]) else 0.0)

    def changed(self, one: Element, other: Element) -> Element:
        if one.tag == f"{W}p":
            return self.paragraph(one, other)
        pairs = self.pairs_of_rows(one, other)
        table = copy.deepcopy(other)
        for row in _rows(table):
            table.remove(row)
        for before, after in pairs or ():
            if before is not None and after is not None:
                table.append(self.row(before, after))
            elif before is not None:
                table.append(self.removed_row(before))
            elif after is not None:
                table.append(self.inserted_row(after))
        return table

    def removed(self, block: Element) -> Element:
        return self._whole(block, "del")

    def inserted(self, block: Element) -> Element:
        return self._whole(block, "ins")

    def _whole(self, block: Element, how: str) -> Element:
        if block.tag == f"{W}p":
            return self._mark_paragraph(block, how)
        table = copy.deepcopy(block)
        for row, own in zip(_rows(table), _rows(block), strict=True):
            table.replace(row, self._mark_row(own, how))
        return table

    # rows

    def pairs_of_rows(self, one: Element, other: Element) -> list[tuple[Element | None, Element | None]] | None:
        """Rows that belong together; None where the tables have nothing in common that could be kept."""

        def key(row: Element) -> tuple[int | str, ...]:
            return (len(_cells(row)), *self._row_key(row))

        aligned = align(_rows(one), _rows(other), key, self._row_near)
        pairs = list(aligned)
        return pairs if any(a is not None and b is not None for a, b in pairs) else None

    def _row_key(self, row: Element) -> tuple[str, ...]:
        return tuple(k for p in row.iter(f"{W}p") for k in self.key(p))

    def _row_near(self, one: Element, other: Element) -> float:
        cells, others = _cells(one), _cells(other)
        if len(cells) != len(others) or not all(self._cells_pair(a, b) for a, b in zip(cells, others, strict=True)):
            return 0.0
        if len(cells) > 1 and _words(cells[0]) and _words(cells[0]) == _words(others[0]):
            return 0.9  # a row is known by its first cell
        return alike(_words(one), _words(other))

    def _cells_pair(self, one: Element, other: Element) -> bool:
        """Whether the last blocks of two cells belong together: the last paragraph mark of a cell cannot go."""
        before, after = _blocks(one), _blocks(other)
        if len(before) == len(after) == 1 and before[0].tag == after[0].tag == f"{W}p":
            return _style(before[0]) == _style(after[0])
        last = None
        for last in align(before, after, self.key, self.near):  # noqa: B007  # only the last pair counts
            pass
        return last is not None and last[0] is not None and last[1] is not None

    def row(self, one: Element, other: Element) -> Element:
        row = copy.deepcopy(other)
        for cell, before, after in zip(_cells(row), _cells(one), _cells(other), strict=True):
            old, new = _blocks(before), _blocks(after)
            for block in _blocks(cell):
                cell.remove(block)
            if len(old) == len(new) == 1 and old[0].tag == new[0].tag == f"{W}p":
                cell.append(self.paragraph(old[0], new[0]))
            else:
                cell.extend(self.blocks(old, new))
        return row

    def removed_row(self, row: Element) -> Element:
        return self._mark_row(row, "del")

    def inserted_row(self, row: Element) -> Element:
        return self._mark_row(row, "ins")

    def _mark_row(self, original: Element, how: str) -> Element:
        from lxml import etree

        row = copy.deepcopy(original)
        properties = row.find(f"{W}trPr")
        if properties is None:
            properties = etree.Element(f"{W}trPr")
            row.insert(0, properties)
        properties.append(self._note(how))
        for cell, own in zip(_cells(row), _cells(original), strict=True):
            for block, source in zip(_blocks(cell), _blocks(own), strict=True):
                if block.tag == f"{W}p":
                    cell.replace(block, self._mark_paragraph(source, how))
                else:
                    for inner, row_of in zip(_rows(block), _rows(source), strict=True):
                        block.replace(inner, self._mark_row(row_of, how))
        return row

    # paragraphs

    def paragraph(self, one: Element, other: Element) -> Element:
        """The new paragraph with words marked; unchanged where nothing differs."""
        self._same_list(one, other)
        before, after = self.pieces(one), self.pieces(other)
        steps = edits(before, after, lambda p: p.key, lambda p: p.text or "")
        numbers = self.old.counted.get(one), self.new.counted.get(other)
        if all(edit.how == "equal" for edit in steps):
            same = copy.deepcopy(other)
            self.numbers.append((same, *numbers))
            return same
        paragraph = _hollow(other)
        self.numbers.append((paragraph, *numbers))
        starts, ends = (copy.deepcopy(list(other.iter(f"{W}{n}"))) for n in ("bookmarkStart", "bookmarkEnd"))
        paragraph.extend(starts)
        for edit in steps:
            gone, come = before[edit.i1 : edit.i2], after[edit.j1 : edit.j2]
            if edit.how == "equal":
                paragraph.extend(_runs(come, links=True))
                continue
            if gone:
                struck = _runs(self._own(gone), links=False)
                paragraph.append(self._wrapped("del", _spaced(struck) if come and not _parted(gone, come) else struck))
            if come:
                paragraph.extend(self._inserted_runs(come))
        paragraph.extend(ends)
        return paragraph

    def _mark_paragraph(self, paragraph: Element, how: str) -> Element:
        """All of a paragraph marked, its paragraph mark too."""
        from lxml import etree

        side = self.old if how == "del" else self.new
        pieces = self._pieces_of(paragraph, side)
        marked = _hollow(paragraph)
        number = side.counted.get(paragraph)
        self.numbers.append((marked, number, None) if how == "del" else (marked, None, number))
        if how == "ins":
            marked.extend(copy.deepcopy(list(paragraph.iter(f"{W}bookmarkStart"))))
        if pieces:
            if how == "del":
                marked.append(self._wrapped("del", _runs(self._own(pieces), links=False)))
            else:
                marked.extend(self._inserted_runs(pieces))
        if how == "ins":
            marked.extend(copy.deepcopy(list(paragraph.iter(f"{W}bookmarkEnd"))))
        properties = marked.find(f"{W}pPr")
        if properties is None:
            properties = etree.Element(f"{W}pPr")
            marked.insert(0, properties)
        look = properties.find(f"{W}rPr")
        if look is None:
            look = etree.SubElement(properties, f"{W}rPr")
        look.insert(0, self._note(how))
        if how == "del":
            self.gone_lists += [n for n in properties.iter(f"{W}numId") if int(_given(n, f"{W}val")) >= OWN_LISTS]
        return marked

    def _inserted_runs(self, pieces: Iterable[Piece]) -> list[Element]:
        """Runs marked as inserted; inside a link the mark lies within it."""
        found = []
        for run in _runs(pieces, links=True):
            if run.tag == f"{W}hyperlink":
                inner = list(run)
                for child in inner:
                    run.remove(child)
                run.append(self._wrapped("ins", inner))
                found.append(run)
            elif found and found[-1].tag == f"{W}ins":
                found[-1].append(run)
            else:
                found.append(self._wrapped("ins", [run]))
        return found

    def _note(self, how: str) -> Element:
        from lxml import etree

        self.count += 1
        return etree.Element(f"{W}{how}", {f"{W}id": str(self.count), f"{W}author": self.author, f"{W}date": self.day})

    def _wrapped(self, how: str, runs: Iterable[Element]) -> Element:
        note = self._note(how)
        for run in runs:
            if how == "del":
                for text in list(run.iter(f"{W}t")):
                    text.tag = f"{W}delText"
                for code in list(run.iter(f"{W}instrText")):
                    code.tag = f"{W}delInstrText"
            note.append(run)
        return note

    def _own(self, pieces: Iterable[Piece]) -> list[Piece]:
        """Pieces of the old file made fit for the new package: pictures come along under names of their own."""
        from lxml import etree

        kept = []
        for piece in pieces:
            parts = tuple(copy.deepcopy(part) for part in piece.parts)
            for part in parts:
                for blip in part.iter("{http://schemas.openxmlformats.org/drawingml/2006/main}blip"):
                    target = self.old.targets[_given(blip, f"{R}embed")]
                    ending = target.rpartition(".")[2]
                    name = f"rGone{len(self.added) + 1}"
                    self.added[f"word/media/{name}.{ending}"] = self.old.parts[f"word/{target}"]
                    kind = f"{R[1:-1]}/image"
                    etree.SubElement(self.new.rels, f"{RELS}Relationship", Id=name, Type=kind, Target=f"media/{name}.{ending}")
                    blip.set(f"{R}embed", name)
                    for known in part.iter(DOC_ID):
                        known.set("id", str(FIRST_ID + len(self.added)))
            kept.append(Piece(piece.key, piece.text, piece.look, piece.link, parts))
        return kept

    # numbers

    def _number(self) -> None:
        """Write the numbers as text, each of the older text where there is one, and stop the reader's program from counting."""
        shown = Shown({new.chain: old.chain for _, old, new in self.numbers if old is not None and new is not None})
        order = {paragraph: (old, new) for paragraph, old, new in self.numbers}
        for paragraph in self.new.body.iter(f"{W}p"):
            old, new = order.get(paragraph, (None, None))
            if old is not None:
                self._label(paragraph, shown.kept(old), "del" if new is None and _marked(paragraph, "del") else "")
            elif new is not None:
                self._label(paragraph, shown.added(new), "ins" if _marked(paragraph, "ins") else "")
        for level in self.new.numbering.iter(f"{W}lvl"):
            kind, form = level.find(f"{W}numFmt"), level.find(f"{W}lvlText")
            if kind is not None and form is not None and kind.get(f"{W}val") not in ("bullet", "none"):
                kind.set(f"{W}val", "none")
                form.set(f"{W}val", "")

    def _label(self, paragraph: Element, label: str, how: str) -> None:
        from lxml import etree

        look = paragraph.find(f"{W}pPr/{W}rPr")
        bold = look is not None and look.find(f"{W}b") is not None
        run = etree.Element(f"{W}r")
        properties = etree.SubElement(run, f"{W}rPr")
        etree.SubElement(properties, f"{W}rStyle", {f"{W}val": NUMBER_STYLE})
        if bold:
            etree.SubElement(properties, f"{W}b")
        etree.SubElement(run, f"{W}t").text = label
        etree.SubElement(run, f"{W}tab")
        properties_of = paragraph.find(f"{W}pPr")
        paragraph.insert(0 if properties_of is None else 1, self._wrapped(how, [run]) if how else run)

    # lists

    def _same_list(self, one: Element, other: Element) -> None:
        old, new = _list(one), _list(other)
        if old and new and int(old) >= OWN_LISTS and int(new) >= OWN_LISTS:
            self.lists.setdefault(old, new)

    def _renumber(self) -> None:
        """What went out of a list stays in that list, or in a list of its own where all of it went."""
        numbers = {_given(n, f"{W}numId"): n for n in self.old.numbering.findall(f"{W}num")}
        free = max((int(_given(n, f"{W}numId")) for n in self.new.numbering.findall(f"{W}num")), default=OWN_LISTS) + 1
        for mark in self.gone_lists:
            old = _given(mark, f"{W}val")
            if old not in self.lists:
                definition = copy.deepcopy(numbers[old])
                definition.set(f"{W}numId", str(free))
                self.new.numbering.append(definition)
                self.lists[old] = str(free)
                free += 1
            mark.set(f"{W}val", self.lists[old])

    # pieces

    def pieces(self, paragraph: Element) -> tuple[Piece, ...]:
        found = self.memory.get(paragraph)
        if found is None:
            root = paragraph.getroottree().getroot()
            found = self.memory[paragraph] = self._pieces_of(paragraph, self.old if root is self.old.document else self.new)
        return found

    def _pieces_of(self, paragraph: Element, package: _Package) -> tuple[Piece, ...]:
        found: list[Piece] = []
        field: list[Element] = []
        depth = 0
        for run, link in _runs_in(paragraph, package):
            look = run.find(f"{W}rPr")
            style = _canonical(look)
            for part in run:
                if part.tag == f"{W}rPr":
                    continue
                if part.tag == f"{W}fldChar" and part.get(f"{W}fldCharType") == "begin":
                    depth += 1
                if depth:
                    field.append(_single(run, part))
                    if part.tag == f"{W}fldChar" and part.get(f"{W}fldCharType") == "end":
                        depth -= 1
                        if not depth:
                            said = tuple(t.text or "" for r in field for t in r.iter(f"{W}instrText", f"{W}t"))
                            found.append(Piece(("field", *said, link), None, style, link, tuple(field)))
                            field = []
                elif part.tag == f"{W}t":
                    for word in split_words(part.text or ""):
                        found.append(Piece((word, style.decode("utf-8"), link), word, style, link, (_single(run, part),)))
                else:
                    found.append(Piece((part.tag, self._what(part, package), link), None, style, link, (_single(run, part),)))
        return tuple(found)

    def _what(self, part: Element, package: _Package) -> str:
        pictures = [
            package.picture(_given(b, f"{R}embed"))
            for b in part.iter("{http://schemas.openxmlformats.org/drawingml/2006/main}blip")
        ]
        if pictures:
            return " ".join(pictures)
        if part.tag == f"{W}pict":  # a symbol is the same in another size of type
            return " ".join(f"{shape.get('alt')} {shape.get('path')}" for shape in part)
        return _canonical(part).decode("utf-8")


def _marked(paragraph: Element, how: str) -> bool:
    """Whether the whole paragraph goes or comes."""
    return paragraph.find(f"{W}pPr/{W}rPr/{W}{how}") is not None


def _front(lines: Sequence[str]) -> list[Element]:
    """The page before the text: a title, and paragraphs; no mark of change is on it."""
    from lxml import etree

    found = []
    for at, line in enumerate(lines):
        paragraph = etree.Element(f"{W}p")
        properties = etree.SubElement(paragraph, f"{W}pPr")
        etree.SubElement(properties, f"{W}pStyle", {f"{W}val": NOTE_STYLE})
        run = etree.SubElement(paragraph, f"{W}r")
        if at == 0:
            etree.SubElement(etree.SubElement(run, f"{W}rPr"), f"{W}b")
        text = etree.SubElement(run, f"{W}t")
        text.text = line
        text.set(SPACE, "preserve")
        if at == len(lines) - 1:
            etree.SubElement(etree.SubElement(paragraph, f"{W}r"), f"{W}br", {f"{W}type": "page"})
        found.append(paragraph)
    return found


def _with_styles(data: bytes) -> bytes:
    """The styles with those of the numbers and of the first page."""
    own = (
        f'<w:style w:type="character" w:customStyle="1" w:styleId="{NUMBER_STYLE}"><w:name w:val="Redline Number"/></w:style>'
        f'<w:style w:type="paragraph" w:customStyle="1" w:styleId="{NOTE_STYLE}"><w:name w:val="Redline Note"/><w:basedOn w:val="Normal"/>'
        '<w:pPr><w:spacing w:before="0" w:after="120"/></w:pPr><w:rPr><w:sz w:val="22"/><w:szCs w:val="22"/></w:rPr></w:style>'
    )
    return data.replace(b"</w:styles>", own.encode("ascii") + b"</w:styles>")


def _given(element: Element, name: str) -> str:
    """An attribute without which the file is none of ours."""
    value = element.get(name)
    if value is None:
        raise RecordError("not-our-document", file=str(element.tag).rpartition("}")[2], reason=name.rpartition("}")[2])
    return value


def _add_text(run: Element, text: str, instead: bool = False) -> None:
    """Put words into the text of a run, behind those that stand there or instead of them."""
    for holder in run.findall(f"{W}t")[:1]:
        holder.text = text if instead else (holder.text or "") + text


def _blocks(parent: Element, contents: bool = True) -> list[Element]:
    """Paragraphs and tables directly inside; the contents list is in it or not."""
    names = {f"{W}p", f"{W}tbl"} | ({f"{W}sdt"} if contents else set())
    return [child for child in parent if child.tag in names]


def _rows(table: Element) -> list[Element]:
    return table.findall(f"{W}tr")


def _cells(row: Element) -> list[Element]:
    return row.findall(f"{W}tc")


def _style(paragraph: Element) -> str:
    style = paragraph.find(f"{W}pPr/{W}pStyle")
    return _given(style, f"{W}val") if style is not None else ""


def _list(paragraph: Element) -> str | None:
    number = paragraph.find(f"{W}pPr/{W}numPr/{W}numId")
    return number.get(f"{W}val") if number is not None else None


def _words(block: Element) -> list[str]:
    return [w for t in block.iter(f"{W}t") for w in split_words(t.text or "")]


def _canonical(element: Element | None) -> bytes:
    from lxml import etree

    return b"" if element is None else etree.tostring(element, method="c14n")


def _hollow(paragraph: Element) -> Element:
    """A paragraph of the same properties without content."""
    from lxml import etree

    empty = etree.Element(f"{W}p")
    properties = paragraph.find(f"{W}pPr")
    if properties is not None:
        empty.append(copy.deepcopy(properties))
    return empty


def _single(run: Element, part: Element) -> Element:
    """A run with one part of another run in it, in the same look."""
    from lxml import etree

    single = etree.Element(f"{W}r")
    look = run.find(f"{W}rPr")
    if look is not None:
        single.append(copy.deepcopy(look))
    single.append(copy.deepcopy(part))
    return single


def _runs_in(paragraph: Element, package: _Package) -> Iterable[tuple[Element, str]]:
    """Every run with the link it lies in ("" for none): `#anchor` or the target outside; a field to fill in counts by its words."""
    for child in paragraph:
        if child.tag == f"{W}r":
            yield child, ""
        elif child.tag == f"{W}sdt":
            for run in child.findall(f"{W}sdtContent/{W}r"):
                yield run, ""
        elif child.tag == f"{W}hyperlink":
            anchor = child.get(f"{W}anchor")
            link = f"#{anchor}" if anchor else f"{_given(child, f'{R}id')} {package.targets.get(_given(child, f'{R}id'))}"
            for run in child.findall(f"{W}r"):
                yield run, link


def _parted(gone: Sequence[Piece], come: Sequence[Piece]) -> bool:
    """Whether a blank stands between what is struck and what is set."""
    return (gone[-1].text or "").isspace() or (come[0].text or "").isspace()


def _spaced(runs: list[Element]) -> list[Element]:
    """Runs with a gap behind their last sign that is no text: what is set next does not run into them."""
    from lxml import etree

    last = runs[-1]
    text = last.find(f"{W}t")
    if text is None or not text.text:
        return runs
    sign = text.text[-1]
    end = copy.deepcopy(last)
    _add_text(end, sign, instead=True)
    look = end.find(f"{W}rPr")
    if look is None:
        look = etree.Element(f"{W}rPr")
        end.insert(0, look)
    gap = etree.Element(f"{W}spacing", {f"{W}val": GAP})
    after = [n for n in look if n.tag in AFTER_SPACING]
    look.insert(look.index(after[0]) if after else len(look), gap)
    _add_text(last, text.text[:-1], instead=True)
    return [*runs[:-1], *([last] if text.text else []), end]


def _runs(pieces: Iterable[Piece], links: bool) -> list[Element]:
    """Runs of some pieces, words of one look joined; inside their links or, for what was removed, without."""
    from lxml import etree

    found: list[tuple[str, Element]] = []
    last: Piece | None = None
    for piece in pieces:
        if (
            last is not None
            and piece.text is not None
            and last.text is not None
            and (piece.look, piece.link) == (last.look, last.link)
        ):
            _add_text(found[-1][1], piece.text)
        else:
            for part in piece.parts:
                run = copy.deepcopy(part)
                if piece.text is not None:
                    _add_text(run, piece.text, instead=True)
                found.append((piece.link, run))
        last = piece
    result: list[Element] = []
    current = ""
    for link, run in found:
        for text in run.iter(f"{W}t"):
            text.set(SPACE, "preserve")
        if not links or not link:
            result.append(run)
        elif result and link == current and result[-1].tag == f"{W}hyperlink":
            result[-1].append(run)
        else:
            where = {f"{W}anchor": link[1:]} if link.startswith("#") else {f"{R}id": link.partition(" ")[0]}
            holder = etree.Element(f"{W}hyperlink", {**where, f"{W}history": "1"})
            holder.append(run)
            result.append(holder)
        current = link
    return result
