r"""Markdown to one tree of allowed elements, shared by all writers.

Notation is CommonMark-like as python-markdown reads it, without raw HTML, images, footnotes, indented or fenced code,
reference links and underlined headings. What is allowed:

| notation | meaning |
| --- | --- |
| `# Title` | the title: exactly one, the first block |
| `## Section {: #id }` | numbered section 1, 2; classes `.unnumbered`, `.appendix` (lettered), `.newpage`, `.together`: all up to the next section without it stands on one page, if one can hold it |
| `### Part {: #id }` | numbered 1.1; class `.newpage` |
| of layout `screen` | a section of class `.parts` sets its parts side by side; a part of class `.fold` opens and closes, `.fold .unfolded` is open at first |
| `#### Minor heading` | not numbered |
| paragraph, then `{: #id .clause }` at its end or on a last line of its own | numbered clause (1.1 or 1.1.1) |
| other classes of a paragraph | `.lead` larger, `.small` smaller, `.nobreak` never split between pages |
| classes of a paragraph of a sign or card | `.huge` the word of a sign, four times the body, `.alarm` words to be seen first, 1.8 times the body, `.band` one line white on dark grey, `.foot` small, at the end of the page |
| `![words](symbol:name)` at the start of a paragraph or item | a symbol left of it; its words are for whoever does not see it; class `.drawing` sets it more than twice as large and keeps it with what follows |
| `- item`, `1. item` | lists; what belongs to an item is indented by four spaces (paragraphs, lists) |
| a list, then `{: .checklist }` on the next line or after a blank one | each item begins with a drawn box |
| pipe table | first row is the header; `:--`, `--:`, `:-:` align; a header row of empty cells is left out |
| paragraph before a table with `{: #id .caption }` | caption, numbered "Table n"; other classes are the table's |
| `.silent` beside `.caption` | the caption is not printed nor numbered; it stays the table's description |
| classes of a table | `.wide` smaller type, `.form` grid to write in, `.signature` tall rows, `.signed` a last column to sign in, `.plain` no rules |
| `.keyvalue` | the first column is the header |
| `Term`, next line `:   meaning` | definition; the term may end in `{: #id }` |
| `!!! warning "WARNING"`, text indented by four spaces | box: danger, warning, caution, notice, safety, note, draft |
| `> quoted`, `---` | quotation, rule; `{: .cut }` on the line after a rule makes it a dashed line to cut along |
| `![caption](figure:name)` alone, then `{: #id }` on the next line | a drawing of that name, numbered "Figure n" |
| `**strong**`, `*em*`, `` `code` ``, two blanks at a line's end | inline; the last is a line break |
| `**serial number**{: .blank }` | a blank to be filled in by hand, told what belongs there |
| `**check this**{: .flag }` | text that must catch the eye, in black and white too |
| `[text](https://...)`, `mailto:`, `tel:`, `#id`, or a html, docx, pdf, md file beside this one | links |
| `[](#id)` | cross reference; `number()` puts the text in |

A backslash before any ASCII punctuation prints that sign, in table cells too. An attribute list holds one `#id` and
classes of this table, nothing else. Anything else raises TemplateError with the words near it.

The tree: `document` holds blocks `h1 h2 h3 h4 p ul ol table figure dl hr blockquote box`; `li`, `dd` hold either inline
content or blocks; `table` holds `caption`? `thead`? `tbody`, these `tr`, these `th` (with `scope`) and `td`; `figure`
has `name` and holds `caption`; `p` and `li` may have `symbol` and `alt`; `box` has `kind` and holds `title`? and blocks; inline: `strong em code a br`, and `blank`, `flag`. Attributes: `id`,
`class`, `href`, `start`, `scope`, `kind`, `name`, `keep`, and from `number()` `data-number`, `data-level`. Cells carry class left,
center or right.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, SubElement

from docgen.errors import TemplateError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from markdown import Markdown

__all__ = ["BOXES", "INLINE", "PANELS", "TABLE_CLASSES", "parse", "words"]

PANELS = ("danger", "warning", "caution", "notice", "safety")
BOXES = (*PANELS, "note", "draft")
TABLE_CLASSES = frozenset({"wide", "signature", "form", "keyvalue", "plain", "signed"})
INLINE = frozenset({"strong", "em", "code", "a", "br", "blank", "flag"})

ITEM = frozenset({"p", "ul", "ol"})
CHILDREN = {
    "document": frozenset({"h1", "h2", "h3", "h4", "p", "ul", "ol", "table", "figure", "dl", "hr", "blockquote", "box"}),
    "li": ITEM,
    "dd": ITEM,
    "blockquote": ITEM,
    "box": frozenset({"p", "ul", "ol", "dl", "table"}),
}
CLASSES = {
    "h2": frozenset({"unnumbered", "appendix", "newpage", "together", "parts"}),
    "hr": frozenset({"cut"}),
    "p": frozenset(
        {"clause", "caption", "silent", "lead", "small", "nobreak", "checklist", "huge", "alarm", "band", "foot", "drawing"}
    )
    | TABLE_CLASSES,
    "h3": frozenset({"newpage", "fold", "unfolded"}),
    "li": frozenset({"checklist"}),
    "ul": frozenset({"checklist"}),
    "strong": frozenset({"blank", "flag"}),
    "em": frozenset({"blank", "flag"}),
}
ONE_LINE = 80  # letters of a paragraph that is one line of a report
WITH_ID = frozenset({"h2", "h3", "h4", "p", "dt", "figure"})
READABLE = {
    "pre": "indented code (four spaces before a paragraph)",
    "img": "image",
    "h5": "heading #####",
    "h6": "heading ######",
}

PUNCTUATION = "!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~"
UNUSED_INLINE = (
    "reference",
    "image_link",
    "image_reference",
    "short_reference",
    "short_image_ref",
    "autolink",
    "automail",
    "html",
    "entity",
)
LIST_AT_END = re.compile(r"(?:^|\s+)\{:([^{}\n]*)\}\s*$")
LIST_AT_START = re.compile(r"\{:([^{}\n]*)\}")
ESCAPED = re.compile("\x02(\\d+)\x03")
SPECIAL = re.compile(r"[\\`*_\[]|  \n")
TARGET = re.compile(
    r"(?:https?://[^\s/]|mailto:[^\s@]+@[^\s@]+$|tel:\+?[\d().-]+$|#[A-Za-z][\w:.-]*$"
    r"|[A-Za-z0-9][\w.-]*\.(?:html|docx|pdf|md)$)",
    re.IGNORECASE,
)
IDENTIFIER = re.compile(r"[A-Za-z][\w:.-]*")
FIGURE = re.compile(r"figure:([A-Za-z][\w.-]*)")
SYMBOL = re.compile(r"symbol:([a-z][a-z0-9-]*)")
FIGURE_LINE = re.compile(r"(?<!\\)!\[(?=[^\n]*\]\((?:figure|symbol):)")
FIGURE_MARK = "!\u200b"  # the library reads no link directly after an exclamation mark
# what XML 1.0 cannot hold, direction overrides that would show words in another order, and odd line ends
UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)
LINE_ENDS = re.compile("[\x85\u2028\u2029]")


def words(element: Element) -> str:
    """All text of an element, one space between blocks and at line breaks; no edge space."""
    parts: list[str] = []

    def gather(node: Element) -> None:
        block = node.tag not in INLINE or node.tag == "br"
        if block:
            parts.append(" ")
        parts.append(node.text or "")
        for child in node:
            gather(child)
            parts.append(child.tail or "")
        if block:
            parts.append(" ")

    gather(element)
    return " ".join(word for word in "".join(parts).split(" ") if word)


def _near(element: Element) -> str:
    text = ESCAPED.sub(lambda m: chr(int(m.group(1))), " ".join("".join(element.itertext()).replace(FIGURE_MARK, "!").split()))
    return f' (near "{text[:60]}")' if text else ""


def _engine() -> Markdown:
    """A python-markdown parser cut down to the allowed notation; it holds the text it reads, so each document gets its own."""
    from markdown import Markdown
    from markdown.extensions.admonition import AdmonitionProcessor
    from markdown.extensions.tables import TableProcessor
    from markdown.treeprocessors import Treeprocessor
    from markdown.util import AtomicString

    class Boxes(AdmonitionProcessor):
        """Boxes whose kind is listed and whose title is given: the library would make up an English one."""

        def get_class_and_title(self, match: re.Match[str]) -> tuple[str, str | None]:
            kind, title = match.group(1), match.group(2)
            if kind not in BOXES:
                raise TemplateError(f"box '!!! {kind}' is unknown; use one of {', '.join(BOXES)}")
            if title is None or (not title.strip() and kind in PANELS):
                raise TemplateError(f"box '!!! {kind}' needs its signal word or title in quotes")
            return kind, title.strip() or None

    class Tables(TableProcessor):
        """Tables whose rows all have as many cells as the header: the library would drop what is over."""

        def _build_row(self, row: str, parent: Element, align: Sequence[str | None]) -> None:
            cells = self._split_row(row)  # type: ignore[attr-defined]  # not among the stubs
            if len(cells) != len(align):
                raise TemplateError(f'table row "{row[:60]}" has {len(cells)} cells, its header has {len(align)}')
            tr = SubElement(parent, "tr")
            for text, side in zip(cells, align, strict=True):
                cell = SubElement(tr, "th" if parent.tag == "thead" else "td", {"class": side} if side else {})
                cell.text = text.strip(" ")

    class Plain(Treeprocessor):
        """Marks text without any special sign as finished, so that the inline patterns pass it by."""

        def run(self, root: Element) -> None:
            special = SPECIAL.search
            for element in root.iter():
                if element.text and not special(element.text):
                    element.text = AtomicString(element.text)
                if element.tail and not special(element.tail):
                    element.tail = AtomicString(element.tail)

    md = Markdown(extensions=["sane_lists", "def_list"])
    md.ESCAPED_CHARS = list(PUNCTUATION)
    blocks = md.parser.blockprocessors
    blocks.register(Boxes(md.parser), "admonition", 105)
    blocks.register(Tables(md.parser, {"use_align_attribute": False}), "table", 75)
    for name in ("setextheader", "reference"):
        blocks.deregister(name, strict=False)
    md.preprocessors.deregister("html_block", strict=False)
    for name in UNUSED_INLINE:
        md.inlinePatterns.deregister(name, strict=False)
    for name in ("prettify", "unescape"):
        md.treeprocessors.deregister(name, strict=False)
    md.treeprocessors.register(Plain(md), "plain", 21)
    return md


def parse(markdown: str) -> Element:
    """Tree of one document (see the module's text). Raises TemplateError for anything that is not allowed."""
    text = markdown.replace("\r\n", "\n").replace("\r", "\n")
    text = UNPRINTABLE.sub("", LINE_ENDS.sub(" ", text))
    text = FIGURE_LINE.sub(f"{FIGURE_MARK}[", text)
    md = _engine()
    lines = text.split("\n")
    for step in md.preprocessors:
        lines = step.run(lines)
    md.parser.parseDocument(lines)
    root: Element = md.parser.root
    for treatment in md.treeprocessors:
        changed = treatment.run(root)
        root = root if changed is None else changed
    root.tag = "document"
    _blocks(root)
    titles = [child for child in root if child.tag == "h1"]
    if len(titles) != 1 or root[0] is not titles[0]:
        raise TemplateError(
            f"a document begins with its one '# Title'; {len(titles)} found" + (_near(root[0]) if len(root) else "")
        )
    return root


def _finished(text: str | None, element: Element) -> str:
    """Text as it is printed: signs unescaped, line ends and runs of spaces made one space."""
    if not text:
        return ""
    if "{:" in text:
        raise TemplateError(f"attribute list where none can stand: '{text[text.index('{:') :][:40]}'{_near(element)}")
    if "\x02" in text:
        text = ESCAPED.sub(lambda m: chr(int(m.group(1))), text)
        if "\x02" in text or "\x03" in text:
            raise TemplateError(f"a placeholder was left in the text{_near(element)}")
    if "\n" in text:
        text = text.replace("\n", " ")
    while "  " in text:
        text = text.replace("  ", " ")
    return text


def _attributes(source: str, element: Element) -> tuple[str, list[str]]:
    """Identifier (may be empty) and classes out of the inside of `{: ... }`."""
    identifier, classes = "", []
    for token in source.split():
        if token[0] == "#" and IDENTIFIER.fullmatch(token[1:]) and not identifier:
            identifier = token[1:]
        elif token[0] == "." and len(token) > 1:
            classes.append(token[1:])
        else:
            raise TemplateError(f"attribute '{token}' is not allowed, only one #id and .classes{_near(element)}")
    return identifier, classes


def _set(element: Element, identifier: str, classes: list[str]) -> None:
    tag = element.tag
    for name in classes:
        if name not in CLASSES.get(tag, ()):
            raise TemplateError(f"class '.{name}' is not allowed on '{tag}'{_near(element)}")
    if identifier:
        if tag not in WITH_ID:
            raise TemplateError(f"'#{identifier}': an id is not allowed on '{tag}'{_near(element)}")
        element.set("id", identifier)
    if classes:
        element.set("class", " ".join(classes))


def _own_attributes(element: Element) -> None:
    """Takes the attribute list off the end of a block and sets it on the block."""
    last = element[-1] if len(element) else None
    text = element.text if last is None else last.tail
    if not text or "{:" not in text:
        return
    match = LIST_AT_END.search(text)
    if match is None or (last is not None and match.start() == 0 and match.group(0)[0] == "{"):
        return
    identifier, classes = _attributes(match.group(1), element)
    if last is None:
        element.text = text[: match.start()]
    else:
        last.tail = text[: match.start()]
    _set(element, identifier, classes)


def _inline(element: Element) -> None:
    """Finishes the inline content of one block or inline element."""
    element.text = _finished(element.text, element)
    for child in element:
        tag = child.tag
        if tag not in INLINE:
            raise TemplateError(f"{READABLE.get(tag, repr(tag))} is not allowed inside '{element.tag}'{_near(element)}")
        if child.tail and child.tail.startswith("{:"):
            match = LIST_AT_START.match(child.tail)
            if match:
                identifier, classes = _attributes(match.group(1), child)
                child.tail = child.tail[match.end() :]
                _set(child, identifier, classes)
        if tag == "code":
            child.text = (child.text or "").replace("\n", " ").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
        elif tag == "a":
            _link(child, element)
        elif list(child.attrib) not in ([], ["class"]):
            raise TemplateError(f"attribute '{next(iter(child.attrib))}' is not allowed on '{tag}'{_near(element)}")
        elif kind := child.attrib.pop("class", ""):
            if " " in kind or len(child):
                raise TemplateError(f"'.{kind}' marks plain words and stands alone{_near(element)}")
            child.tag = kind
        if tag != "code":
            _inline(child)
        tail = _finished(child.tail, element)
        child.tail = tail.lstrip(" ") if tag == "br" else tail


def _link(link: Element, parent: Element) -> None:
    for name in link.attrib:
        if name != "href":
            raise TemplateError(f"attribute '{name}' is not allowed on a link{_near(parent)}")
    target = ESCAPED.sub(lambda m: chr(int(m.group(1))), link.get("href", ""))
    if target.startswith("symbol:"):
        raise TemplateError(f"a symbol is '![words](symbol:name)' at the start of a paragraph or list item{_near(parent)}")
    if target.startswith("figure:"):
        raise TemplateError(f"a figure is '![caption](figure:name)' alone in its paragraph{_near(parent)}")
    if not TARGET.match(target):
        allowed = "http, https, mailto, tel, a file beside this one, or #id"
        raise TemplateError(f"link target '{target}' is not allowed; {allowed}{_near(parent)}")
    if any(child.tag == "a" for child in link.iter() if child is not link):
        raise TemplateError(f"a link inside a link{_near(parent)}")
    if not target.startswith("#") and not "".join(link.itertext()).strip():
        raise TemplateError(f"link to '{target}' has no text{_near(parent)}")
    link.set("href", target)


def _trim(element: Element) -> None:
    if element.text:
        element.text = element.text.lstrip(" ")
    if len(element):
        if element[-1].tail:
            element[-1].tail = element[-1].tail.rstrip(" ")
    elif element.text:
        element.text = element.text.rstrip(" ")


def _text_block(element: Element) -> None:
    """Finishes a block that holds inline content only."""
    _own_attributes(element)
    if element.tag in ("p", "li"):
        _symbol(element)
    start = element.text or ""
    if element.tag == "p" and start.startswith(("|", "!!!")):
        raise TemplateError(f"a {'table' if start[0] == '|' else 'box'} that cannot be read{_near(element)}")
    _inline(element)
    _trim(element)


def _symbol(element: Element) -> None:
    """Takes a symbol off the start of a paragraph or item and sets its name and its words on it."""
    if (element.text or "").strip(" ") != FIGURE_MARK or not len(element):
        return
    link = element[0]
    name = SYMBOL.fullmatch(ESCAPED.sub(lambda m: chr(int(m.group(1))), link.get("href", "")))
    if name is None or link.tag != "a" or len(link) or list(link.attrib) != ["href"]:
        return
    if not (alt := _finished(link.text, element).strip()):
        raise TemplateError(f"the symbol '{name[1]}' needs its words between its brackets{_near(element)}")
    element.set("symbol", name[1])
    element.set("alt", alt)
    element.text = (link.tail or "").lstrip()
    element.remove(link)


def _only_attributes(element: Element) -> bool:
    return element.tag == "p" and not len(element) and bool(LIST_AT_START.fullmatch((element.text or "").strip()))


def _blocks(parent: Element) -> None:
    """Finishes a block that holds blocks: checks each, joins captions and tables, wraps loose text."""
    parent.text = None
    caption: Element | None = None
    kept: list[Element] = []
    for element in list(parent):
        _allowed(element, parent)
        if _only_attributes(element):
            _late_attributes(element, kept[-1] if kept else None)
            continue
        if caption is not None and element.tag != "table":
            raise TemplateError(f"a caption stands directly before its table{_near(caption)}")
        if element.tag == "table":
            _table(element, caption)
            caption = None
        else:
            _block(element, parent, kept[-1] if kept else None)
        if element.tag == "p" and _has(element, "caption"):
            caption = element
        else:
            kept.append(element)
    if caption is not None:
        raise TemplateError(f"a caption stands directly before its table{_near(caption)}")
    parent[:] = kept


def _allowed(element: Element, parent: Element) -> None:
    """Holds that a block of this kind may stand here, and nothing loose after it."""
    if element.tag == "div":
        element.tag = "box"
    if element.tag not in CHILDREN[parent.tag]:
        name = READABLE.get(element.tag, repr(element.tag))
        raise TemplateError(f"{name} is not allowed inside '{parent.tag}'{_near(element)}")
    if element.tail and element.tail.strip():
        raise TemplateError(f"text outside any paragraph: '{element.tail.strip()[:40]}'")
    element.tail = None


def _block(element: Element, parent: Element, before: Element | None) -> None:
    """Finishes one block that is no table; `before` is the block that stands before it."""
    tag = element.tag
    if tag in ("ul", "ol") and before is not None and before.tag == "p" and "".join(before.itertext()).rstrip().endswith(":"):
        before.set("keep", "list")  # so does the one that leads to a list
    if tag == "p" and _is_figure(element):
        _figure(element, parent)
        if before is not None and before.tag == "p":
            before.set("keep", "figure")  # the sentence that leads to a drawing stays on its page
    elif tag == "p":
        _text_block(element)
        if not _has(element, "caption"):
            _paragraph(element, parent)
            if before is not None and before.tag in ("h2", "h3") and len(words(element)) <= ONE_LINE:
                element.set("keep", "heading")  # a heading with one line under it takes the next line along
    elif tag in ("h1", "h2", "h3", "h4"):
        _text_block(element)
        if not words(element):
            raise TemplateError(f"an empty heading '{'#' * int(tag[1])}'")
    elif tag in HOLDERS:
        HOLDERS[tag](element)


def _has(element: Element, name: str) -> bool:
    return name in element.get("class", "").split()


def _paragraph(element: Element, parent: Element) -> None:
    classes = element.get("class", "").split()
    stray = [name for name in classes if name in TABLE_CLASSES or name == "silent"]
    if stray:
        raise TemplateError(f"class '.{stray[0]}' needs '.caption' before it{_near(element)}")
    if "clause" in classes and parent.tag != "document":
        raise TemplateError(f"a clause cannot stand inside '{parent.tag}'{_near(element)}")
    if "drawing" in classes:
        if element.get("symbol") is None:
            raise TemplateError(f"class '.drawing' needs a symbol at the start of its paragraph{_near(element)}")
        element.set("keep", "drawing")
    if "checklist" in classes and parent.tag != "li":
        raise TemplateError(f"'.checklist' belongs to a list with '-'{_near(element)}")


def _is_figure(element: Element) -> bool:
    return element.text == FIGURE_MARK and len(element) > 0 and element[0].get("href", "").startswith("figure:")


def _figure(element: Element, parent: Element) -> None:
    """A paragraph that holds nothing but a drawing: its name, and its caption as a child."""
    link = element[0]
    name = FIGURE.fullmatch(ESCAPED.sub(lambda m: chr(int(m.group(1))), link.get("href", "")))
    if parent.tag != "document":
        raise TemplateError(f"a figure is not allowed inside '{parent.tag}'{_near(element)}")
    element.tag = "figure"
    _own_attributes(element)
    if len(element) > 1 or (link.tail and link.tail.strip()) or name is None or list(link.attrib) != ["href"]:
        raise TemplateError(f"a figure is '![caption](figure:name)' alone in its paragraph{_near(element)}")
    link.tag, link.text, link.tail = "caption", link.text, None
    link.attrib.clear()
    element.set("name", name.group(1))
    element.text = None
    _inline(link)
    _trim(link)
    if not words(link):
        raise TemplateError(f"the figure '{element.get('name')}' needs a caption between its brackets")


def _late_attributes(element: Element, before: Element | None) -> None:
    match = LIST_AT_START.fullmatch((element.text or "").strip())
    if match is None or before is None or before.tag not in ("ul", "hr"):
        raise TemplateError("an attribute list on its own belongs directly after a list with '-' or a rule" + _near(element))
    _set(before, *_attributes(match.group(1), element))


def _box(element: Element) -> None:
    kind = element.get("class", "").removeprefix("admonition ")
    element.attrib.clear()
    element.set("kind", kind)
    title = element[0] if len(element) and element[0].get("class") == "admonition-title" else None
    if title is not None:
        element.remove(title)
        title.attrib.clear()
        title.tag = "title"
        title.tail = None
        _text_block(title)
    _blocks(element)
    if not len(element):
        raise TemplateError(f"box '!!! {kind}' holds no text; indent its text by four spaces")
    if title is not None:
        element.insert(0, title)


def _item(element: Element) -> None:
    """`li` or `dd`: inline content only, or blocks only."""
    if not any(child.tag not in INLINE for child in element):
        _text_block(element)
        return
    first = Element("p")
    first.text = element.text
    rest = list(element)
    element.text = None
    while rest and rest[0].tag in INLINE:
        first.append(rest.pop(0))
    if (first.text and first.text.strip()) or len(first):
        rest.insert(0, first)
    element[:] = rest
    _blocks(element)


def _list(element: Element) -> None:
    for item in element:
        if item.tag != "li":
            raise TemplateError(f"'{item.tag}' is not allowed directly inside a list{_near(element)}")
        item.tail = None
        _item(item)
        for holder in (item, *item):
            if holder.tag in ("li", "p") and holder.attrib.get("class") == "checklist":
                del holder.attrib["class"]
                if element.tag != "ul":
                    raise TemplateError(f"'.checklist' belongs to a list with '-'{_near(element)}")
                element.set("class", "checklist")
    element.text = None


def _definitions(element: Element) -> None:
    for child in element:
        child.tail = None
        if child.tag == "dt":
            _text_block(child)
        elif child.tag == "dd":
            _item(child)
        else:
            raise TemplateError(f"'{child.tag}' is not allowed inside a definition list{_near(element)}")
    if not len(element) or element[0].tag != "dt":
        raise TemplateError(f"a definition needs its term on the line before ':'{_near(element)}")
    element.text = None


def _table(table: Element, caption: Element | None) -> None:
    classes: list[str] = []
    if caption is not None:
        classes = [name for name in caption.get("class", "").split() if name in TABLE_CLASSES]
        silent = _has(caption, "silent")
        stray = set(caption.get("class", "").split()) - TABLE_CLASSES - {"caption", "silent"}
        if stray:
            raise TemplateError(f"class '.{min(stray)}' cannot stand beside '.caption'{_near(caption)}")
        if not words(caption):
            raise TemplateError("a caption needs text; with '.silent' it is not printed but describes the table")
        if "id" in caption.attrib:
            table.set("id", caption.attrib["id"])
        caption.attrib.clear()
        if silent:
            caption.set("class", "silent")
        caption.tag = "caption"
    if classes:
        table.set("class", " ".join(classes))
    keyed = "keyvalue" in classes
    for part in table:
        part.text = part.tail = None
        for row in part:
            row.text = row.tail = None
            for index, cell in enumerate(row):
                cell.tail = None
                _text_block(cell)
                if cell.tag == "th":
                    cell.set("scope", "col")
                elif keyed and index == 0:
                    cell.tag = "th"
                    cell.set("scope", "row")
    table.text = None
    if not any(words(cell) for cell in table[0][0]):
        del table[0]
    if caption is not None:
        table.insert(0, caption)


HOLDERS: dict[str, Callable[[Element], None]] = {
    "ul": _list,
    "ol": _list,
    "dl": _definitions,
    "box": _box,
    "blockquote": _blocks,
}
