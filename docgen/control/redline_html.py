"""A redline of two Markdown texts of one document as an HTML page: what went is in `del`, what came in `ins`.

Taking out every `del` leaves the words of the new text, taking out every `ins` those of the old. Numbers of headings and
clauses are shown and not compared.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from docgen.compose.number import number
from docgen.compose.tree import INLINE, parse, words
from docgen.control.align import align, alike, edits, split_words
from docgen.control.numbers import Counted, Shown
from docgen.frozen import frozen
from docgen.write.base import look_text

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

__all__ = ["Line", "lines_of", "redline_html"]

STYLE = """
ins { color: #0b5d1e; background: #e5f5e8; text-decoration: underline; }
del { color: #9b1c1c; background: #fbe9e9; text-decoration: line-through; }
del + ins { margin-left: 0.3em; }
.number { color: #3d4852; }
"""


@frozen
class Line:
    """One block of text, or one row of a table with its cells. `kind` is the HTML element, `mark` the number before it."""

    kind: str
    mark: str
    cells: tuple[str, ...]


def redline_html(old: str, new: str, title: str, language: str, labels: Mapping[str, str], first: Sequence[str] = ()) -> bytes:
    """A whole HTML5 page of UTF-8 bytes; `first` are the paragraphs before the text. TemplateError where a text is no Markdown of docgen."""
    before, after = (list(lines_of(number(parse(text), labels))) for text in (old, new))
    parts = []
    shown = Shown()
    table = False
    for one, other in align(before, after, lambda x: (x.kind, x.cells), _near):
        row = _newest(one, other).kind == "tr"
        if row and not table:
            parts.append("<table><tbody>")
        if table and not row:
            parts.append("</tbody></table>")
        table = row
        parts.append(_shown(one, other, _mark(one, other, shown)))
    if table:
        parts.append("</tbody></table>")
    return f"""<!DOCTYPE html>
<html lang="{_escape(language)}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{_escape(title)}</title>
<style>
{look_text("page.css").strip()}
{STYLE.strip()}
</style>
</head>
<body class="report">
<header class="sheet">
<p class="edition">{_escape(title)}</p>
{"".join(f"<p>{_escape(line)}</p>" for line in first)}
</header>
<main class="sheet">
{chr(10).join(parts)}
</main>
</body>
</html>
""".encode()


def _escape(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def _near(one: Line, other: Line) -> float:
    if one.kind != other.kind or len(one.cells) != len(other.cells):
        return 0.0
    if len(one.cells) > 1 and one.cells[0] and one.cells[0] == other.cells[0]:
        return 0.9
    return alike(split_words(" ".join(one.cells)), split_words(" ".join(other.cells)))


def lines_of(element: Iterable[Element]) -> Iterator[Line]:
    """The blocks of a parsed text, and the rows of its tables, in order."""
    for child in element:
        if child.tag in ("h1", "h2", "h3", "h4", "p"):
            yield Line(child.tag, child.get("data-number", ""), (words(child),))
        elif child.tag in ("ul", "ol"):
            for count, item in enumerate(child, int(child.get("start", "1"))):
                yield from _holder(item, "li", f"{count}." if child.tag == "ol" else "–")
        elif child.tag == "dl":
            for part in child:
                yield from _holder(part, "dt" if part.tag == "dt" else "dd", "")
        elif child.tag == "table":
            for part in child:
                if part.tag == "caption":
                    yield Line("caption", part.get("data-number", ""), (words(part),))
                    continue
                for row in part:
                    yield Line("tr", "th" if part.tag == "thead" else "", tuple(words(cell) for cell in row))
        elif child.tag == "figure":
            yield Line("figure", child[0].get("data-number", ""), (words(child[0]),))
        elif child.tag == "box":
            title = child.find("title")
            if title is not None:
                yield Line("h4", "", (words(title),))
            yield from lines_of([x for x in child if x.tag != "title"])
        elif child.tag == "blockquote":
            yield from lines_of(child)
        elif child.tag == "hr":
            yield Line("hr", "", ("",))


def _holder(item: Element, kind: str, mark: str) -> Iterator[Line]:
    if any(child.tag not in INLINE for child in item):
        for line in lines_of(item):
            yield Line(kind if line.kind == "p" else line.kind, mark or line.mark, line.cells)
            mark = ""
    else:
        yield Line(kind, mark, (words(item),))


TAGS = {"li": "p", "dt": "p", "dd": "p", "caption": "p", "figure": "p"}


def _newest(one: Line | None, other: Line | None) -> Line:
    """The line of a pair that the page shows: the newer one where there is one."""
    line = other if other is not None else one
    if line is None:
        raise ValueError("a pair of two lines that are none")
    return line


def _mark(one: Line | None, other: Line | None, shown: Shown) -> str:
    """The number before a line: the one it had; of a new line the number before it with a letter."""
    old, new = (_counted(line) for line in (one, other))
    if old is not None:
        return shown.kept(old)
    if one is None and new is not None:
        return shown.added(new)
    return _newest(one, other).mark


def _counted(line: Line | None) -> Counted | None:
    """The number of a heading or clause; none of what a list or a table counts for itself."""
    if line is None or line.kind not in ("h2", "h3", "h4", "p") or not re.fullmatch(r"\d+(\.\d+)*", line.mark):
        return None
    parts = tuple(line.mark.split("."))
    return Counted("text", parts, ".".join(f"%{n}" for n in range(1, len(parts) + 1)))


def _shown(one: Line | None, other: Line | None, label: str) -> str:
    line = _newest(one, other)
    if line.kind == "hr":
        return "<hr>"
    if line.kind == "tr":
        cell = "th" if line.mark == "th" else "td"
        before = one.cells if one else ("",) * len(line.cells)
        after = other.cells if other else ("",) * len(line.cells)
        return "<tr>" + "".join(f"<{cell}>{_marked(a, b)}</{cell}>" for a, b in zip(before, after, strict=True)) + "</tr>"
    tag = TAGS.get(line.kind, line.kind)
    mark = f'<span class="number">{_escape(label)}</span> ' if label else ""
    return f'<{tag} class="{line.kind}">{mark}{_marked(one.cells[0] if one else "", other.cells[0] if other else "")}</{tag}>'


def _marked(old: str, new: str) -> str:
    """Tokens with marks."""
    if old == new:
        return _escape(new)
    before, after = split_words(old), split_words(new)
    parts = []
    for edit in edits(before, after, str, str):
        if edit.how == "equal":
            parts.append(_escape("".join(after[edit.j1 : edit.j2])))
            continue
        if edit.i2 > edit.i1:
            parts.append(f"<del>{_escape(''.join(before[edit.i1 : edit.i2]))}</del>")
        if edit.j2 > edit.j1:
            parts.append(f"<ins>{_escape(''.join(after[edit.j1 : edit.j2]))}</ins>")
    return "".join(parts)
