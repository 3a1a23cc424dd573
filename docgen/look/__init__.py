"""The look that a client's papers have: letterhead, logo, colours, and a base file for DOCX. It says nothing of the work, and is in no digest.

The files are read once, held within limits and kept as what is safe to print: a PNG with nothing but its picture, an SVG as plain shapes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from docgen.frozen import frozen
from docgen.look.colours import LEAST, contrast, is_colour, nearest_dark
from docgen.look.files import Unfit, read_inside
from docgen.look.png import clean_png
from docgen.look.svg import Art, clean_svg
from docgen.read import Mark, Problem, Source

__all__ = ["MOST_LINES", "NONE", "Logo", "Look", "read_look"]

PATH = "document.look"
MOST_LINES = 3
MOST_LOGO, MOST_BASE = 512 * 1024, 2048 * 1024  # bytes
T = TypeVar("T")


@frozen
class Logo:
    """A logo that is safe to print, as the bytes of a PNG or as shapes; its sides in pixels or units of the drawing."""

    width: float
    height: float
    png: bytes | None = None
    art: Art | None = None

    def fitted(self, wide: float, high: float) -> tuple[float, float]:
        """Its width and height in a field of some width and height."""
        scale = min(wide / self.width, high / self.height)
        return self.width * scale, self.height * scale


@frozen
class Look:
    """What the profile says under `document.look`; false where it says nothing. `files`: name in the site's folder -> its bytes as they lie there."""

    lines: tuple[str, ...] = ()
    logo: Logo | None = None
    accent: str | None = None
    heading: str | None = None
    base: bytes | None = None
    files: Mapping[str, bytes] | None = None

    def __bool__(self) -> bool:
        return bool(self.lines or self.logo or self.accent or self.heading or self.base)


NONE = Look()


def read_look(source: Source, folder: Path) -> tuple[Look, tuple[Problem, ...]]:
    """The look of a checked profile, its files read from the folder of the site, and what is wrong with it, each at its line."""
    told = ((source.data or {}).get("document") or {}).get("look") or {}
    if not told:
        return NONE, ()
    reader = _Reader(source, folder, told)
    look = reader.look()
    return look, tuple(sorted(reader.problems))


class _Reader:
    def __init__(self, source: Source, folder: Path, told: Mapping[str, Any]) -> None:
        self.source, self.folder, self.told = source, folder, told
        self.problems: list[Problem] = []
        self.files: dict[str, bytes] = {}

    def look(self) -> Look:
        lines = tuple(self.told.get("letterhead") or ())
        if len(lines) > MOST_LINES:
            self.wrong(f"letterhead[{MOST_LINES}]", f"a letterhead has at most {MOST_LINES} lines", "put two of them into one")
        accent, heading = (self.colour(key) for key in ("accent", "heading"))
        logo = self.file("logo", self.logo)
        base = self.file("docx", self.base)
        return Look(lines[:MOST_LINES], logo, accent, heading, base, self.files or None)

    def wrong(self, key: str, message: str, hint: str) -> None:
        path = f"{PATH}.{key}"
        mark = self.source.marks.get(path, Mark(1, 1, 1, 1))
        self.problems.append(Problem(self.source.file_of(mark), mark.line, mark.column, path, message, hint))

    def colour(self, key: str) -> str | None:
        text = self.told.get(key)
        if text is None or not is_colour(text):  # what is none is told by the schema
            return None
        ratio = contrast(text)
        if ratio < LEAST:
            near = nearest_dark(text)
            shown = int(ratio * 100) / 100  # never rounded up to what would pass
            self.wrong(
                key,
                f"{text} on white has a contrast of {shown:.2f}:1; text needs {LEAST:g}:1",
                f'take a darker one: "{near}" has {int(contrast(near) * 100) / 100:.2f}:1',
            )
            return None
        return str(text).lower()

    def file(self, key: str, take: Callable[[str], T]) -> T | None:
        name = self.told.get(key)
        if name is None:
            return None
        try:
            return take(name)
        except Unfit as unfit:
            message, hint = unfit.message, unfit.hint
            if self.beside(key) != self.folder:
                message, hint = (re.sub("folder of the (site|profile)", "folder of the portfolio", t) for t in (message, hint))
            self.wrong(key, message, hint)
            return None

    def beside(self, key: str) -> Path:
        """The folder in which a file of the look lies: that of the file that names it."""
        mark = self.source.marks.get(f"{PATH}.{key}")
        return Path(mark.file).parent if mark is not None and mark.file else self.folder

    def logo(self, name: str) -> Logo:
        ending = name.rpartition(".")[2].lower()
        if ending not in ("png", "svg"):
            raise Unfit(f"'{name}' is no PNG and no SVG", "name a file that ends in .png or .svg")
        self.files[name] = data = read_inside(self.beside("logo"), name, MOST_LOGO)
        if ending == "png":
            png, width, height = clean_png(data, name)
            if not 1 / 12 <= width / height <= 12:
                raise Unfit(f"'{name}' is more than 12 times as long one way as the other", "cut the margins off")
            return Logo(width, height, png=png)
        art = clean_svg(data, name)
        return Logo(art.width, art.height, art=art)

    def base(self, name: str) -> bytes:
        from docgen.look.word import clean_base

        if not name.lower().endswith(".docx"):
            raise Unfit(f"'{name}' is no DOCX", "name a file that ends in .docx")
        self.files[name] = data = read_inside(self.beside("docx"), name, MOST_BASE)
        clean_base(data, name)
        return data
