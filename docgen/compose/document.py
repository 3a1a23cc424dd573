"""What `compose` hands to the writers: one finished document, parsed and numbered, with all that a page needs."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import TYPE_CHECKING

from docgen.compose.symbols import SYMBOLS
from docgen.compose.tree import words
from docgen.errors import TemplateError
from docgen.look import NONE as PLAIN
from docgen.look import Look

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from segno import QRCode

    from docgen.compose.drawing import Drawing

__all__ = ["HANGING", "LABELS", "LAYOUTS", "PAPERS", "Document", "sheet_of"]

#: Words of the page itself, by key; a words file supplies the text. What stands in braces must occur in that text.
LABELS = {
    "page": ("{page}", "{pages}"),  # footer: "Page {page} of {pages}"
    "contents": (),  # title of the contents list
    "table": ("{n}",),  # caption and cross reference: "Table {n}"
    "continued": ("{table}",),  # over the head of a table on each later page: "Table 3, continued"
    "figure": ("{n}",),  # caption and cross reference: "Figure {n}"
    "section": ("{n}",),  # cross reference: "section {n}"
    "clause": ("{n}",),  # cross reference: "clause {n}"
    "appendix": ("{n}",),  # heading and cross reference: "Appendix {n}"
    "edition": ("{number}", "{revision}"),  # header: "{number}, revision {revision}"
    "blank": (),  # said of a marked blank by a screen: "to be filled in by hand"
    "days": (),  # what a place to fill in is called where a day belongs there, with commas between
    "code": ("{text}",),  # alternative text of the two-dimensional code: "code of this paper: {text}"
    "alert": (),  # alternative text of the safety alert triangle: "safety alert symbol"
    "skip": (),  # link for keyboard users: "Skip to the text"
    "no_glyph": ("{signs}",),  # note: "no font here has {signs}; the PDF prints the number instead"
    "too_long": ("{pages}",),  # note: "longer than one page at the smallest type: {pages} pages"
}

#: Sheet of the place -> the sheet of each size that a paper may ask for.
SHEETS = {
    "letter": {"usual": "letter", "large": "tabloid", "half": "half-letter"},
    "a4": {"usual": "a4", "large": "a3", "half": "a5"},
}
PAPERS = tuple(name for sizes in SHEETS.values() for name in sizes.values())
LAYOUTS = ("report", "poster", "sign", "card", "screen")
TYPE_PT = {"screen": 10.0, "report": 10.0, "poster": 12.0, "sign": 28.0, "card": 12.0}
CODE_VERSION = 3  # of a two-dimensional code: 29 modules a side, 61 capitals and digits with 15 % of correction (ISO/IEC 18004)
HANGING = ("sign", "card")  # no title and no header; the largest type that fits


def sheet_of(place: str, size: str) -> str:
    """The sheet of a size where the usual one is `place` (letter or a4)."""
    return SHEETS[place][size]


@dataclass(frozen=True)
class Document:
    """One document in one language, ready to write.

    name: file name stem; title, site_name, number, revision, stamp: printed as they are (stamp may be empty);
    language: BCP 47; date: goes into embedded metadata only; paper: one of `PAPERS`; landscape: on its long side; layout: one of `LAYOUTS`; contents:
    print a contents list (a report only); body_pt: size of body type in points, or None for the layout's (see `type_pt`);
    markdown: the final text; tree: `number(parse(markdown), labels)`; labels: every key of `LABELS`;
    figures: the drawings that the tree names, by name; note: what the band of a draft says after the stamp; mark: the short digest, for the
    end of the last foot; code: the text of the two-dimensional code in the foot of what hangs, empty where there is none; most_pages, smallest_pt: what a sheet that hangs or is carried may take, None where nobody says; spare_pages: how many more it may take where it does not fit those in its smallest type; reads, cites: paths of the fields that frame or sheet read and sources that it asked, where no clause tells them; large: sheet and smallest type of the second, larger PDF; up: so many of the same stand on one sheet of a PDF; look: that of the client's papers (see `dressed`). Raises TemplateError for a label, paper, layout or drawing that
    is missing or wrong.
    """

    name: str
    title: str
    language: str
    site_name: str
    number: str
    revision: str
    stamp: str
    date: datetime.date
    paper: str
    layout: str
    contents: bool
    markdown: str
    tree: Element
    labels: Mapping[str, str]
    body_pt: float | None = None
    landscape: bool = False
    figures: Mapping[str, Drawing] = field(default_factory=dict)
    note: str = ""
    mark: str = ""
    code: str = ""
    most_pages: int | None = None
    spare_pages: int = 0
    smallest_pt: float | None = None
    large: tuple[str, float] | None = None
    reads: frozenset[str] = frozenset()
    cites: frozenset[str] = frozenset()
    up: int = 1
    look: Look = PLAIN

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise TemplateError(f"{self.name}: paper '{self.paper}' is unknown; use one of {', '.join(PAPERS)}")
        if self.layout not in LAYOUTS:
            raise TemplateError(f"{self.name}: layout '{self.layout}' is unknown; use one of {', '.join(LAYOUTS)}")
        for key, holes in LABELS.items():
            text = self.labels.get(key)
            if text is None or any(hole not in text for hole in holes):
                holding = f" holding {' and '.join(holes)}" if holes else ""
                raise TemplateError(f"{self.name} ({self.language}): the words need a label '{key}'{holding}")
        for element in self.tree.iter("figure"):
            if element.get("name") not in self.figures:
                raise TemplateError(f"{self.name} ({self.language}): there is no drawing '{element.get('name')}'")
        for element in self.tree.iter():
            if (name := element.get("symbol")) is not None and name not in SYMBOLS:
                raise TemplateError(
                    f"{self.name} ({self.language}): there is no symbol '{name}'; there are: {', '.join(sorted(SYMBOLS))}"
                )

    @cached_property
    def print(self) -> str:
        """SHA-256 of all that a writer sees of it: two documents of one print are written as the same bytes."""
        from xml.etree.ElementTree import tostring

        seen = {
            f.name: getattr(self, f.name)
            for f in fields(self)
            if f.name not in ("tree", "figures", "labels", "reads", "cites", "look")
        }
        parts = (
            repr(sorted(seen.items())), tostring(self.tree, encoding="unicode"), repr(sorted(self.labels.items())), repr(sorted(self.figures.items())),
            repr(replace(self.look, files=None)),
        )  # fmt: skip
        return hashlib.sha256("\0".join(parts).encode("utf-8", "surrogatepass")).hexdigest()

    @property
    def type_pt(self) -> float:
        """Size of body type in points: the one given, of what hangs or is carried the smallest that it may have, else that of the layout."""
        least = self.smallest_pt if self.layout != "report" else None
        return self.body_pt or least or TYPE_PT[self.layout]

    @property
    def enlarged(self) -> Document:
        """The same document on the larger sheet that it is to have too."""
        if self.large is None:
            raise TemplateError(f"{self.name}: its index.yaml gives no larger sheet")
        paper, least = self.large
        return replace(self, paper=paper, smallest_pt=least, body_pt=None, large=None)

    @cached_property
    def symbol(self) -> QRCode | None:
        """The two-dimensional code of a paper that hangs, None of any other.

        Of 29 modules a side where its text has room there, with the most correction that fits; of more where it has none.
        """
        if not self.code:
            return None
        import segno

        for error in ("m", "l"):
            try:
                return segno.make_qr(self.code, error=error, version=CODE_VERSION)
            except segno.DataOverflowError:
                continue
        return segno.make_qr(self.code, error="m")

    @property
    def code_alt(self) -> str:
        """What is said of the code to whoever does not see it: its text."""
        return self.labels["code"].replace("{text}", self.code)

    @property
    def dressed(self) -> Look:
        """The client's look as far as this paper shows it: none on a sign, or on what is cut apart, where nothing stands beside the words."""
        return PLAIN if self.layout == "sign" or self.up > 1 else self.look

    @property
    def lettered(self) -> bool:
        """Whether the first page has the letterhead: an upright report has; elsewhere the logo alone stands in the head, where it takes no room from the words."""
        return self.layout == "report" and not self.landscape and bool(self.dressed.logo or self.dressed.lines)

    @property
    def firm(self) -> str:
        """Whose letterhead it is, which is also what stands for the logo where nobody sees it."""
        return self.look.lines[0] if self.look.lines else self.site_name

    @property
    def bands(self) -> tuple[str, ...]:
        """What the head of each page after the first says of a closed bay: the lines of class `band` of what hangs or is carried and has several pages."""
        if self.layout not in HANGING or (self.most_pages or 1) == 1:
            return ()
        return tuple(words(p) for p in self.tree.iter("p") if "band" in p.get("class", "").split())

    @property
    def banner(self) -> str:
        """The line of the grey band at head and foot of a draft; empty where there is no stamp."""
        return f"{self.stamp}. {self.note}" if self.stamp and self.note else self.stamp

    @property
    def imprint(self) -> str:
        """What the foot of each page says: number, paper, revision; on a sign or a sheet the site too, where its heading does not name it."""
        parts = (self.number, self.title, self.revision)
        head = self.tree.find("h1")
        named = self.layout == "sign" or (self.layout == "poster" and (head is None or self.site_name not in words(head)))
        return ", ".join(part for part in ((self.site_name, *parts) if named else parts) if part)

    @property
    def edition(self) -> str:
        """Document number and revision in one line; empty when both are empty."""
        if not (self.number or self.revision):
            return ""
        return self.labels["edition"].replace("{number}", self.number).replace("{revision}", self.revision)
