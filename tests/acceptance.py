"""Every paper of a site against its budget: pages, words, grade, lengths of sentences, smallest type, and what must and must not stand on it.

    .venv/bin/python tests/acceptance.py                 the clean demos: a line a paper, and below it what is not kept
    .venv/bin/python tests/acceptance.py harrow-ridge    one demo

Pages, words and type are those of index.yaml; the rest stands in acceptance.yaml. Pages are counted in the PDF, type sizes are read from it
without heads and feet, and where acceptance.yaml says `signed` without the tables that are signed.
"""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from math import floor
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

import yaml
from plain import Read, read
from pypdf import PdfReader
from support import composed, demo

from docgen.codes import LawAlone
from docgen.compose.classes import class_climbs
from docgen.compose.document import HANGING, Document
from docgen.compose.tree import words
from docgen.papers import outline, papers
from docgen.write.pdf import render

__all__ = ["CLEAN", "Row", "citations", "of_law", "rows", "smallest_type"]

CLEAN = ("harrow-ridge", "pellan-creek")
FOOT = 8.0  # pt: what is printed no larger stands in a head, a foot, the band of a draft, the line "continued" of a table or a drawing
RULES: Mapping[str, Mapping[str, Any]] = yaml.safe_load(Path(__file__).with_suffix(".yaml").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Row:
    """One paper as it came out; `faults` say what is not kept."""

    name: str
    pages: int | None
    read: Read
    words: int
    smallest: float | None
    faults: tuple[str, ...]


def signed(document: Document) -> str:
    """The words of the tables that are signed, where the word for what to write in a blank is small."""
    forms = (table for table in document.tree.iter("table") if {"form", "signature"} & set(table.get("class", "").split()))
    return " ".join(words(table) for table in forms)


def smallest_type(data: bytes, aside: str = "") -> float | None:
    """The smallest type on the pages of a PDF [pt], rounded down to a tenth, without heads, feet, drawings, formulas and the words `aside`.

    Formulas and marks are in a face of its own, which is cut larger and therefore set smaller than the words beside it.
    """
    used, aside = set[float](), " ".join(aside.split())

    def note(text: str, cm: list[float], tm: list[float], font: Mapping[str, Any] | None, size: float) -> None:
        said = " ".join(text.split())
        if said and said not in aside and "Mono" not in str((font or {}).get("/BaseFont", "")):
            used.add(floor(size * abs(tm[3] * cm[3]) * 10 + 0.01) / 10)

    for page in PdfReader(io.BytesIO(data)).pages:
        page.extract_text(visitor_text=note)
    return min((size for size in used if size > FOOT), default=None)


def citations(code: LawAlone) -> frozenset[str]:
    """Citations of all that the law of a site answers."""
    return frozenset(answer.citation for answer in code.answers() if answer.citation)


def of_law(sentence: str, cited: Iterable[str]) -> bool:
    """Whether a sentence is one of the law: it bears a citation of it in brackets."""
    flat = " ".join(sentence.replace("\u00a0", " ").split())
    return any(f"({citation}" in flat for citation in cited)


@cache
def rows(site: str) -> tuple[Row, ...]:
    """Every paper that is written of a demo, in their order."""
    names = tuple(o.name for o in papers() if o.written)
    made = composed(demo(site), ("pdf",), wanted=names)
    climbs = class_climbs(demo(site).site, {state.bay: state for state in demo(site).assessed.planned})
    law = citations(demo(site).code)
    shown = (paper.document for name, paper in made.items() if name != "index")
    return tuple(row for one in shown for row in (_row(one, climbs, law), *([_larger(one)] if one.large else [])))


def _larger(document: Document) -> Row:
    """The same paper on its larger sheet, of which only pages and type are another matter."""
    sheet, found = document.enlarged, read(document.markdown)
    made = render(sheet)
    smallest, faults = smallest_type(made.data), []
    if made.pages > (sheet.most_pages or 1):
        faults.append(f"{made.pages} pages, at most {sheet.most_pages or 1}")
    if smallest is None or smallest < sheet.type_pt:
        faults.append(f"{smallest} pt, at least {sheet.type_pt:g}")
    return Row(f"{document.name}.large", made.pages, found, found.words, smallest, tuple(faults))


def _row(document: Document, climbs: bool, law: frozenset[str]) -> Row:
    shown, found = outline(document.name), read(document.markdown)
    data, pages, smallest = b"", None, None
    if "pdf" in shown.types:
        made = render(document)
        data, pages = made.data, made.pages
        smallest = smallest_type(data, signed(document) if RULES.get(shown.name, {}).get("signed") else "")
    rule = RULES.get(shown.name, {})
    count = found.words
    if rule.get("words_of") == "sentences":
        count = sum(found.lengths)
    elif document.layout in HANGING:  # its title is not printed
        count -= len(document.title.split())
    return Row(document.name, pages, found, count, smallest, tuple(_faults(document, climbs, law, found, pages, count, smallest)))


def _faults(
    document: Document, climbs: bool, law: frozenset[str], found: Read, pages: int | None, count: int, smallest: float | None
) -> Iterator[str]:
    shown = outline(document.name)
    budget, rule = shown.budget.at(climbs) if shown.budget else None, RULES.get(shown.name, {})
    if budget is not None:
        if pages is not None and pages > budget.pages:
            yield f"{pages} pages, at most {budget.pages}"
        if budget.words is not None and count > budget.words:
            yield f"{count} words, at most {budget.words}"
        least = rule.get("tables", budget.smallest_pt)
        if smallest is not None and smallest < least:
            yield f"{smallest:g} pt, at least {least:g}"
    for what, is_ in (("grade", round(found.grade, 1)), ("mean", round(found.mean, 1)), ("longest", found.longest)):
        if what == "longest" and "longest_of_law" in rule:
            continue
        if what in rule and is_ > rule[what]:
            yield f"{what} {is_}, at most {rule[what]}"
    if "longest_of_law" in rule:
        for sentence, length in zip(found.sentences, found.lengths, strict=True):
            most = rule["longest_of_law" if of_law(sentence, law) else "longest"]
            if length > most:
                yield f"{length} words, at most {most}: {sentence}"
    if rule.get("verbs"):
        yield from (f"no verb: {sentence}" for sentence in found.verbless)
    text = document.markdown
    never = (*(RULES["all"]["never"] if shown.circle == "site" else ()), *rule.get("never", ()))
    yield from (f"must not stand there: {m[0]}" for pattern in never if (m := re.search(pattern, text)) is not None)
    yield from (f"must stand there: {pattern}" for pattern in rule.get("has", ()) if re.search(pattern, text) is None)


def main(sites: list[str]) -> int:
    bad = 0
    for site in sites or CLEAN:
        print(f"{site}\n  {'paper':<26} pages  words  sentences  mean  longest  grade  type  checks")
        for row in rows(site):
            pages, smallest = row.pages if row.pages is not None else "-", f"{row.smallest:g}" if row.smallest else "-"
            print(
                f"  {row.name:<26} {pages:>5}  {row.words:>5}  {len(row.read.sentences):>9}  {row.read.mean:>4.1f}  {row.read.longest:>7}"
                f"  {row.read.grade:>5.1f}  {smallest:>4}  {'kept' if not row.faults else f'{len(row.faults)} not kept'}"
            )
            print(*(f"      {fault}" for fault in row.faults), sep="\n") if row.faults else None
            bad += bool(row.faults)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
