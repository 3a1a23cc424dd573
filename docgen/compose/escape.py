"""Profile text made harmless in Markdown: it prints literally, and no sign is escaped that need not be."""

from __future__ import annotations

import re

from markupsafe import Markup

__all__ = ["Markup", "escape"]

#: `<` and what looks like an entity mean nothing to our own parser, and do to another viewer of the Markdown file.
ALWAYS = re.compile(r"([\\`*_\[\]{}|<]|&(?=#?\w+;))")
AT_START = re.compile(r" ?(?:(?P<mark>[#>:=~]|!!!|[-+](?=\s|$)|---)|(?P<number>\d+)(?P<dot>[.)])(?=\s|$))")


def escape(text: str) -> Markup:
    r"""Text in one line that prints literally wherever it stands in a paragraph or table cell.

    >>> print(escape("A | B *c* <script>"))
    A \| B \*c\* \<script>
    >>> print(escape("Fish & Sons, R&D"), escape("&lt;b&gt;"))
    Fish & Sons, R&D \&lt;b\&gt;
    >>> print(escape("1. first"), escape("18 ft 6 in (5.64 m)"), escape("# x"))
    1\. first 18 ft 6 in (5.64 m) \# x
    """
    text = ALWAYS.sub(r"\\\1", re.sub(r"[ \t\r\n\f\v\u2028\u2029\u0085]+", " ", text))
    if match := AT_START.match(text):
        at = match.start("dot") if match["number"] else match.start("mark")
        text = f"{text[:at]}\\{text[at:]}"
    return Markup(text)
