"""Writers: one numbered tree to Markdown, HTML, DOCX and PDF. Each is imported when it is first used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from docgen.write.base import Rendered

if TYPE_CHECKING:
    from collections.abc import Callable

    from docgen.compose.document import Document

__all__ = ["WRITERS", "Rendered", "ending_of"]


def _writer(name: str) -> Callable[[Document], Rendered]:
    def render(doc: Document) -> Rendered:
        from importlib import import_module

        written: Rendered = import_module(f"docgen.write.{name}").render(doc)
        return written

    render.__name__ = f"render_{name}"
    render.__doc__ = f"Writes one document; see docgen.write.{name}.render."
    return render


def _enlarged(doc: Document) -> Rendered:
    """Writes a document as a PDF on the next larger sheet; see docgen.write.pdf.render."""
    return WRITERS["pdf"](doc.enlarged)


def ending_of(name: str) -> str:
    """The ending of a file's name for which there is a writer.

    >>> ending_of("documents/bay-sign.B1.large.pdf"), ending_of("plan.en.pdf")
    ('large.pdf', 'pdf')
    """
    return next(end for end in sorted(WRITERS, key=len, reverse=True) if name.endswith(f".{end}"))


#: Ending of a file -> function from a Document to a Rendered. Raises WriteError; "pdf" PdfUnavailable where typst is missing.
WRITERS = {"md": _writer("md"), "html": _writer("html"), "docx": _writer("docx"), "pdf": _writer("pdf"), "large.pdf": _enlarged}
