"""The two-dimensional code of a paper that hangs, as SVG for page and PDF and as PNG for a word processor: black on white, its quiet zone included."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING
from xml.sax.saxutils import quoteattr

from docgen.write.widths import CODE_QUIET, code_side

if TYPE_CHECKING:
    from docgen.compose.document import Document

__all__ = ["code_png", "code_svg"]

PNG_SCALE = 12  # pixels a module: 1,016 dpi at the size that is printed


def code_svg(doc: Document, alt: str = "") -> str:
    """SVG text of one path. With `alt` it stands in a page and that is its name for whoever does not see it; without, it is a file."""
    if doc.symbol is None:
        return ""
    size = len(doc.symbol.matrix) + 2 * CODE_QUIET
    runs = []
    for y, row in enumerate(doc.symbol.matrix, CODE_QUIET):
        start = 0
        for x in range(1, len(row) + 1):
            if x == len(row) or row[x] != row[start]:
                if row[start]:
                    runs.append(f"M{start + CODE_QUIET} {y}h{x - start}v1h-{x - start}z")
                start = x
    side = f"{code_side(doc):.2f}pt"
    label = f"aria-label={quoteattr(alt)}" if alt else 'aria-hidden="true"'
    return (
        f'<svg class="code" xmlns="http://www.w3.org/2000/svg" width="{side}" height="{side}" viewBox="0 0 {size} {size}" role="img" {label} '
        f'shape-rendering="crispEdges"><path d="M0 0h{size}v{size}h-{size}z" fill="#fff"/><path d="{"".join(runs)}" fill="#000"/></svg>'
    )


def code_png(doc: Document) -> bytes:
    """PNG of two colours; the same bytes every time."""
    if doc.symbol is None:
        return b""
    buffer = io.BytesIO()
    doc.symbol.save(buffer, kind="png", scale=PNG_SCALE, border=CODE_QUIET)
    return buffer.getvalue()
