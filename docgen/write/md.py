"""Markdown: the final text as it is, with plain line ends and one at the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from docgen.write.base import Rendered

if TYPE_CHECKING:
    from docgen.compose.document import Document

__all__ = ["render"]


def render(doc: Document) -> Rendered:
    """UTF-8 bytes of the document's Markdown; a draft of what hangs begins with its band."""
    text = doc.markdown.replace("\r\n", "\n").replace("\r", "\n").strip("\n")
    if doc.layout == "poster" and doc.banner:  # what hangs says first that it may not hang yet
        text = f"**{doc.banner}**\n\n{text}"
    return Rendered((text + "\n").encode("utf-8"))
