"""Markdown: the final text, its references with words, with plain line ends and one at the end."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from docgen.compose.escape import escape
from docgen.compose.number import HEADINGS
from docgen.compose.tree import words
from docgen.write.base import Rendered

if TYPE_CHECKING:
    from collections.abc import Callable

    from docgen.compose.document import Document

__all__ = ["render"]

EMPTY = re.compile(r"\[\]\(#([\w.-]+)\)")


def render(doc: Document) -> Rendered:
    """UTF-8 bytes of the document's Markdown; a draft of what hangs begins with its band."""
    text = doc.markdown.replace("\r\n", "\n").replace("\r", "\n").strip("\n")
    if doc.layout == "poster" and doc.banner:  # what hangs says first that it may not hang yet
        text = f"**{doc.banner}**\n\n{text}"
    return Rendered((EMPTY.sub(_named(doc), text) + "\n").encode("utf-8"))


def _named(doc: Document) -> Callable[[re.Match[str]], str]:
    """What an empty reference reads where nothing is numbered: the words of the heading or caption, else the number that it has elsewhere."""
    aims = {element.get("id"): element for element in doc.tree.iter() if element.get("id")}
    read = {link.get("href"): words(link) for link in doc.tree.iter("a")}

    def named(found: re.Match[str]) -> str:
        aim = aims[found[1]]
        told = next((each for each in (aim, *aim) if each.tag in (*HEADINGS, "caption")), None)
        text = read[f"#{found[1]}"] if told is None else words(told)
        return f"[{escape(text)}](#{found[1]})"

    return named
