"""One pass over the parsed tree: numbers of sections, clauses, appendices, tables and figures; text of cross references.

Sections (`h2`) count 1, 2; parts (`h3`) and clauses that stand directly under a section share one count 1.1, 1.2;
clauses under a part count 1.1.1. Appendices count A, B and inside A.1, A.1.1. Under an unnumbered section nothing is
numbered and a clause is an error. Tables with a printed caption count 1, 2 through the whole document, figures likewise.
"""

from __future__ import annotations

import copy
import re
import unicodedata
from collections.abc import Mapping
from typing import TYPE_CHECKING

from docgen.compose.tree import words
from docgen.errors import TemplateError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

__all__ = ["contents_at", "contents_of", "number", "places", "slug"]

HEADINGS = ("h2", "h3", "h4")


def slug(text: str) -> str:
    """Identifier out of a heading: lower-case ASCII letters and digits joined by hyphens; "part" if none is left."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode("ascii").lower()
    name = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    if not name:
        return "part"
    return name if name[0].isalpha() else f"part-{name}"


def number(root: Element, labels: Mapping[str, str]) -> Element:
    """Numbers the tree in place and returns it.

    Sets `data-number` on `h2`, `h3`, clause paragraphs ("4.1.2", "Appendix B") and printed captions ("Table 3", "Figure 2"),
    `data-level` on `h4` (3, or 4 below a part), an id on every heading, and the text of every empty `[](#id)`.
    `labels` are those of `LABELS`. Raises TemplateError for an id used twice, a reference to an id that is missing or
    has no number, and a heading or clause that has nothing above it to be numbered under.
    """
    known = _identifiers(root)
    names = _count(root, labels)
    _name_headings(root, known)
    _resolve(root, known, names)
    return root


def contents_at(tree: Element) -> Element | None:
    """The section before which the list of contents stands: the first with a number, or the second, whichever comes earlier; None without one."""
    heads = [element for element in tree if element.tag == "h2"]
    return next((head for n, head in enumerate(heads) if n == 1 or "unnumbered" not in head.get("class", "").split()), None)


def contents_of(root: Element) -> list[tuple[int, str, str, str]]:
    """Contents of a numbered tree: (level 1 or 2, number or "", text, id) for each `h2` and `h3`."""
    return [
        (int(child.tag[1]) - 1, child.get("data-number", ""), words(child), child.get("id", ""))
        for child in root
        if child.tag in ("h2", "h3")
    ]


def _identifiers(root: Element) -> dict[str, Element]:
    known: dict[str, Element] = {}
    for element in root.iter():
        name = element.attrib.get("id")
        if name is None:
            continue
        if name in known:
            raise TemplateError(f'the id \'{name}\' is used twice: "{words(known[name])[:40]}" and "{words(element)[:40]}"')
        known[name] = element
    return known


def _name_headings(root: Element, known: dict[str, Element]) -> None:
    for element in root:
        if element.tag in HEADINGS and "id" not in element.attrib:
            stem = name = slug(words(element))
            count = 1
            while name in known:
                count += 1
                name = f"{stem}-{count}"
            element.set("id", name)
            known[name] = element


def _letters(count: int) -> str:
    """1 -> A, 26 -> Z, 27 -> AA (as word processors count)."""
    return chr(ord("A") + (count - 1) % 26) * ((count - 1) // 26 + 1)


def places(root: Element, labels: Mapping[str, str]) -> dict[str, str]:
    """Id of each numbered element -> how another paper names the place: `4.2` for a clause, `Table 3` for a table."""
    own = copy.deepcopy(root)
    known = _identifiers(own)
    _name_headings(own, known)
    names = _count(own, labels)
    return {
        name: element.get("data-number", "") if element.tag == "p" else names[element]
        for name, element in known.items()
        if element in names
    }


class _Count:
    """Counts what is numbered, block by block; `names` holds what a cross reference to each element reads."""

    def __init__(self, labels: Mapping[str, str]) -> None:
        self.labels = labels
        self.names: dict[Element, str] = {}
        self.sections = self.appendices = self.second = self.third = self.tables = self.figures = 0
        self.top: str | None = None  # number of the section above, "" when it has none, None before the first section
        self.part = False

    def mark(self, element: Element, value: str, label: str) -> None:
        """A number on the element itself."""
        element.set("data-number", value)
        self.names[element] = self.labels[label].replace("{n}", value)

    def section(self, element: Element) -> None:
        """A section, numbered, lettered or neither."""
        self.second = self.third = 0
        self.part = False
        classes = element.get("class", "").split()
        if "unnumbered" in classes and "appendix" in classes:
            raise TemplateError(f'"{words(element)[:60]}" cannot be both .unnumbered and .appendix')
        if "unnumbered" in classes:
            self.top = ""
        elif "appendix" in classes:
            self.appendices += 1
            self.top = _letters(self.appendices)
            self.names[element] = self.labels["appendix"].replace("{n}", self.top)
            element.set("data-number", self.names[element])
        elif self.appendices:
            raise TemplateError(f'"{words(element)[:60]}": a numbered section cannot follow an appendix')
        else:
            self.sections += 1
            self.top = str(self.sections)
            self.mark(element, self.top, "section")

    def heading(self, element: Element) -> None:
        """A part of a section, or a minor heading."""
        if self.top is None:
            raise TemplateError(f'"{words(element)[:60]}": {"#" * int(element.tag[1])} needs a ## above it')
        if element.tag == "h4":
            element.set("data-level", "4" if self.part else "3")
            return
        self.part, self.third = True, 0
        if self.top:
            self.second += 1
            self.mark(element, f"{self.top}.{self.second}", "section")

    def clause(self, element: Element) -> None:
        """A numbered clause, under its section or under a part of it."""
        if not self.top:
            raise TemplateError(f'"{words(element)[:60]}": a clause needs a numbered ## above it')
        if self.part:
            self.third += 1
            self.mark(element, f"{self.top}.{self.second}.{self.third}", "clause")
        else:
            self.second += 1
            self.mark(element, f"{self.top}.{self.second}", "clause")

    def figure(self, element: Element) -> None:
        """A drawing: its number stands in its caption."""
        self.figures += 1
        self.names[element] = self.labels["figure"].replace("{n}", str(self.figures))
        element[0].set("data-number", self.names[element])

    def tables_in(self, element: Element) -> None:
        """Tables with a printed caption, alone or in a box."""
        for table in element.iter("table"):
            caption = table.find("caption")
            if caption is not None and caption.get("class") != "silent":
                self.tables += 1
                self.names[table] = self.labels["table"].replace("{n}", str(self.tables))
                caption.set("data-number", self.names[table])


def _count(root: Element, labels: Mapping[str, str]) -> dict[Element, str]:
    """Numbers every element and returns what a cross reference to it reads."""
    count = _Count(labels)
    for element in root:
        tag = element.tag
        if tag == "h2":
            count.section(element)
        elif tag in ("h3", "h4"):
            count.heading(element)
        elif tag == "p" and "clause" in element.get("class", "").split():
            count.clause(element)
        elif tag == "figure":
            count.figure(element)
        elif tag in ("table", "box"):
            count.tables_in(element)
    return count.names


def _resolve(root: Element, known: dict[str, Element], names: dict[Element, str]) -> None:
    for link in root.iter("a"):
        target = link.get("href", "")
        if not target.startswith("#"):
            continue
        aim = known.get(target[1:])
        if aim is None:
            raise TemplateError(
                f"the reference to '{target}' leads nowhere; no heading, clause, table, figure or term has that id"
            )
        if link.text or len(link):
            continue
        text = names.get(aim) or (words(aim) if aim.tag in (*HEADINGS, "dt") else "")
        if not text:
            raise TemplateError(f"the reference to '{target}' has no text of its own, and '{aim.tag}' there has no number")
        link.text = text
