"""A walk along the papers that hang: the codes in their feet, as a telephone reads them, one a line, each made into an entry.

    HR-FP-01 CONTRACTOR-NOTICE EN REV 2 58B0 9853 FC00; GATE-1; 2026-11-03; J. Whitlow
    HR-FP-01 BAY-SIGN.B1 EN REV 2 1F36 B7A2 9C4A

Behind the code stand, if they are needed, the id of the place, the day, and who looked. A place may be left out where the paper hangs at
one place alone. Tabs or commas do as semicolons do; an empty line says nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from docgen.control.judge import marks_of
from docgen.control.log import Fault, Given, fields_of
from docgen.control.table import is_workbook, read_text
from docgen.errors import Refusal
from docgen.papers import found, papers
from docgen.records import Records
from docgen.signs import misread, unseen
from docgen.site import Site
from docgen.text.paper_code import PaperCode, read_code

__all__ = ["KIND", "scanned"]

KIND = "posting"
BEHIND = ("place", "on", "by")


def scanned(path: Path, site: Site, records: Records, common: Mapping[str, str]) -> tuple[list[Given], list[Fault]] | None:
    """The scans of a file as entries, and what is wrong with lines; None where the file is a table, with fields of the entry in its first line.

    `common` stands in for what a line leaves out. Refusal where the file cannot be read or holds nothing.
    """
    if is_workbook(path):
        return None
    text = read_text(path)
    lines = [(number, line) for number, line in enumerate(text.split("\n"), 1) if line.strip()]
    if not lines:
        raise Refusal("scans-empty", file=str(path))
    if _heads(lines[0][1]):
        return None
    given: list[Given] = []
    faults: list[Fault] = []
    for number, line in lines:
        one = _line(line, f"{path}:{number}", site, records, common)
        if isinstance(one, Given):
            given.append(one)
        else:
            faults += one
    return given, faults


def _heads(line: str) -> bool:
    """Whether a line is the head of a table: one of its cells is a field of the entry."""
    fields = {"kind", *(name for name, _, _ in fields_of(KIND))}
    return any(cell.strip(' "').casefold() in fields for cell in re.split("[;,\t]", line))


def _line(line: str, where: str, site: Site, records: Records, common: Mapping[str, str]) -> Given | list[Fault]:
    """One scan as an entry, or each thing that is wrong with it."""
    start = len(line) - len(line.lstrip())
    at = f"{where}:{start + 1}"
    if (sign := unseen(line.replace("\t", " "))) is not None:
        return [Fault(at, Refusal("table-cell-unseen", sign=f"U+{ord(sign):04X}"))]
    read = read_code(line[start:])
    if read is None:
        return [Fault(at, Refusal("scan-without-code"))]
    code, length = read
    cells = list(_cells(line, start + length, where))
    words, places = dict(common), dict.fromkeys(common, at)
    faults = [Fault(place, Refusal("scan-cells", words=text)) for text, place in cells[len(BEHIND) :]]
    for name, (text, place) in zip(BEHIND, cells, strict=False):
        if (taken := misread(text)) is not None:
            faults.append(Fault(place, Refusal("table-cell-misread", message=taken[1], hint=taken[2])))
        if text:
            words[name], places[name] = text, place
    hung = _hung(code, words.get("place"), site, records)
    if isinstance(hung, Refusal):
        return [Fault(places["place"] if hung.name == "scan-other-paper" else at, hung), *faults]
    if faults:
        return faults
    words |= {"place": hung, "document": code.paper.partition(".")[0], "language": code.language, "what": "seen"}
    if code.revision is not None:
        words["revision"] = str(code.revision)
    if code.mark:
        words["foot_mark"] = code.mark
    elif "note" not in words:
        words["note"] = code.text
    return Given(KIND, words, {name: places.get(name, at) for name in words}, at)


def _cells(line: str, end: int, where: str) -> Iterator[tuple[str, str]]:
    """What stands behind the code, each with its place; of commas the later ones belong to a name."""
    between = next((sign for sign in ";\t," if sign in line[end:]), ";")
    cells = line[end:].split(between, len(BEHIND) if between == "," else -1)
    at = end + len(cells[0]) + 1
    for cell in cells[1:]:
        yield " ".join(cell.split()), f"{where}:{at + 1 + len(cell) - len(cell.lstrip())}"
        at += len(cell) + 1


def _hung(code: PaperCode, place: str | None, site: Site, records: Records) -> str | Refusal:
    """The id of the place at which the paper hangs, or why its code is none of this site."""
    number = " ".join((site.document.number or "").split())
    if number.casefold() != code.number.casefold():
        return Refusal("scan-of-another-site", number=number or "-", given=code.number or "-")
    outline = found(code.paper)
    if outline is None or not outline.hangs:
        return Refusal("scan-without-paper", paper=code.paper, known=tuple(o.name for o in papers() if o.hangs))
    paper = _named(code.paper, site)
    if code.revision is not None:
        marks = marks_of(paper, code.language, records)
        if marks.get(code.revision) != code.mark:
            known = tuple(f"{n} ({mark})" for n, mark in marks.items()) or ("-",)
            return Refusal("scan-without-revision", paper=paper, revision=code.revision, mark=code.mark, known=known)
    fits = [p.id for p in site.posting if p.paper.casefold() == paper.casefold() and p.language in (None, code.language)]
    if place is not None:
        there = next((p for p in site.posting if p.id.casefold() == place.casefold()), None)
        if there is not None and there.id not in fits:
            return Refusal("scan-other-paper", place=there.id, document=there.paper or "-", given=f"{paper} ({code.language})")
        return place if there is None else there.id
    if len(fits) != 1:
        name = "scan-which-place" if fits else "scan-without-place"
        return Refusal(name, paper=paper, language=code.language, known=tuple(fits))
    return fits[0]


def _named(paper: str, site: Site) -> str:
    """The name of a paper with its bay as the site writes it; a code has capitals only."""
    name, _, of = paper.partition(".")
    bay = next((b.id for b in site.bays if b.id.casefold() == of.casefold()), of)
    return f"{name}.{bay}" if of else name
