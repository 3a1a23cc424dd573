"""The pictures of the README: `python tests/pictures.py` makes them again from the demo site as it stands.

Beside them lies, for each, the digest of the text that it shows: the Typst source of a paper, the SVG of a drawing, the HTML of the site
page. A test compares those and makes no picture, for other machines draw other bytes of the same text. Needs pdftoppm and Chromium.
"""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from browser import opened
from support import papers

from docgen.compose.document import Document
from docgen.write import WRITERS
from docgen.write.pdf import source
from docgen.write.svg import svg

__all__ = ["FOLDER", "LARGEST", "PICTURES", "RECORD", "SITE", "digests", "recorded"]

SITE = "harrow-ridge"
FOLDER = Path(__file__).resolve().parent / "pictures"
RECORD = FOLDER / "pictures.json"
LARGEST = 150_000  # bytes of one picture
SIGNS = 16  # of a digest
CASE = "elevation.load.kneeling.left"
WIDTH, HEIGHT = 1100, 640  # of the window in which the site page is shown [px]


class Picture(NamedTuple):
    """A paper, what of it is digested, and how it is drawn into a file."""

    paper: str
    text: Callable[[Document], str]
    draw: Callable[[Document, Path], None]


def case(document: Document) -> str:
    """The drawing of one case as a file of its own, on white, since a reader's page may be dark."""
    return svg(document.figures[CASE], document.title).replace("<svg ", '<svg style="background: #fff" ', 1)


def html(document: Document) -> str:
    """The page as it is written."""
    return WRITERS["html"](document).data.decode("utf-8")


def by_page(dots: int) -> Callable[[Document, Path], None]:
    """Draws the first page of a paper, at so many dots an inch."""

    def draw(document: Document, target: Path) -> None:
        with tempfile.TemporaryDirectory() as folder:
            pdf = Path(folder) / "paper.pdf"
            pdf.write_bytes(WRITERS["pdf"](document).data)
            page = ["pdftoppm", "-png", "-singlefile", "-r", str(dots), str(pdf), str(target.with_suffix(""))]
            subprocess.run(page, check=True)

    return draw


def by_drawing(document: Document, target: Path) -> None:
    """Writes the drawing of the case."""
    target.write_text(case(document) + "\n", encoding="utf-8")


def by_window(document: Document, target: Path) -> None:
    """What a browser shows of a page before anybody scrolls."""
    with tempfile.TemporaryDirectory() as folder, opened() as page:
        shown = Path(folder) / "index.html"
        shown.write_text(html(document), encoding="utf-8")
        page.set_viewport_size({"width": WIDTH, "height": HEIGHT})
        page.goto(shown.as_uri())
        page.screenshot(path=str(target))


PICTURES = {
    "contractor-notice.png": Picture("contractor-notice", source, by_page(64)),
    "rescue-card.png": Picture("rescue-card.B1", source, by_page(64)),
    "fall.svg": Picture("index", case, by_drawing),
    "site-page.png": Picture("index", html, by_window),
}


def document_of(picture: Picture) -> Document:
    """The paper as the demo has it."""
    return papers(SITE)[picture.paper].document


def digests() -> dict[str, str]:
    """File -> digest of the text that it should show."""
    return {
        name: hashlib.sha256(picture.text(document_of(picture)).encode("utf-8")).hexdigest()[:SIGNS]
        for name, picture in PICTURES.items()
    }


def recorded() -> dict[str, str]:
    """File -> digest of the text that it shows."""
    return json.loads(RECORD.read_text(encoding="utf-8"))


def main() -> int:
    """Makes the pictures whose text is another; exit 1 where one is too large."""
    FOLDER.mkdir(exist_ok=True)
    before = recorded() if RECORD.is_file() else {}
    now = digests()
    for name, picture in PICTURES.items():
        target = FOLDER / name
        if before.get(name) == now[name] and target.is_file():
            print(f"{name}: shows what stands")
            continue
        picture.draw(document_of(picture), target)
        print(f"{name}: made, {target.stat().st_size:,} bytes")
        if target.stat().st_size > LARGEST:
            print(f"{name}: larger than {LARGEST:,} bytes", file=sys.stderr)
            return 1
    RECORD.write_text(json.dumps(now, indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
