"""Writers: one numbered tree to Markdown, HTML, DOCX and PDF. Each is imported when it is first used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from docgen.write.base import Rendered

if TYPE_CHECKING:
    from collections.abc import Callable

    from docgen.compose.document import Document

__all__ = ["WRITERS", "Rendered"]


def _writer(name: str) -> Callable[[Document], Rendered]:
    def render(doc: Document) -> Rendered:
        from importlib import import_module

        written: Rendered = import_module(f"docgen.write.{name}").render(doc)
        return written

    render.__name__ = f"render_{name}"
    render.__doc__ = f"Writes one document; see docgen.write.{name}.render."
    return render


#: File type -> function from a Document to a Rendered. Raises WriteError; "pdf" PdfUnavailable where typst is missing.
WRITERS = {"md": _writer("md"), "html": _writer("html"), "docx": _writer("docx"), "pdf": _writer("pdf")}
