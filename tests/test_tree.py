"""The Markdown tree and its numbers, against CommonMark (read by markdown-it-py) and tables of right and wrong notation."""

import datetime
import re
import string
from xml.etree import ElementTree

import pytest

from docgen.compose.document import LABELS, Document
from docgen.compose.number import contents_of, number, slug
from docgen.compose.tree import parse, words
from docgen.errors import TemplateError

WORDS = {
    "page": "Page {page} of {pages}",
    "contents": "Contents",
    "table": "Table {n}",
    "continued": "{table}, continued",
    "figure": "Figure {n}",
    "section": "section {n}",
    "clause": "clause {n}",
    "appendix": "Appendix {n}",
    "edition": "{number}, revision {revision}",
    "blank": "to be filled in by hand",
    "alert": "safety alert symbol",
    "skip": "Skip to the text",
    "days": "date, day",
    "code": "code {text}",
    "no_glyph": "no font has {signs}",
    "too_long": "longer than one page: {pages}",
}


def tree(body):
    """Numbered tree of a body below one title."""
    return number(parse(f"# Title\n\n{body}"), WORDS)


def shape(body):
    """The tree of a body as one line of XML, without the title."""
    root = parse(f"# Title\n\n{body}")
    return "".join(ElementTree.tostring(child, encoding="unicode") for child in root[1:])


SHAPES = {
    "paragraph with classes on its last line": ("Text\n{: .lead }", '<p class="lead">Text</p>'),
    "paragraph with classes at its end": ("Text {: .small }", '<p class="small">Text</p>'),
    "blank and flag": (
        "**name**{: .blank } *check*{: .flag }.",
        "<p><blank>name</blank> <flag>check</flag>.</p>",
    ),
    "line break": ("one  \ntwo\nthree", "<p>one<br />two three</p>"),
    "nested list with blocks": (
        "- a\n\n    second\n\n- b\n    1. c",
        "<ul><li><p>a</p><p>second</p></li><li><p>b</p><ol><li>c</li></ol></li></ul>",
    ),
    "ordered list that does not begin with 1": ("3. c\n4. d", '<ol start="3"><li>c</li><li>d</li></ol>'),
    "checklist, directly after": ("- a\n- b\n{: .checklist }", '<ul class="checklist"><li>a</li><li>b</li></ul>'),
    "checklist, after a blank line": ("- a\n\n{: .checklist }", '<ul class="checklist"><li>a</li></ul>'),
    "table": (
        "| A | B |\n|---|--:|\n| x \\| y | `p|q` |",
        '<table><thead><tr><th scope="col">A</th><th class="right" scope="col">B</th></tr></thead>'
        '<tbody><tr><td>x | y</td><td class="right"><code>p|q</code></td></tr></tbody></table>',
    ),
    "caption gives id and classes to the table": (
        "Cap {: #t .caption .wide }\n\n| A |\n|---|\n| x |",
        '<table id="t" class="wide"><caption>Cap</caption><thead><tr><th scope="col">A</th></tr></thead>'
        "<tbody><tr><td>x</td></tr></tbody></table>",
    ),
    "key and value without a header row": (
        "About {: .caption .silent .keyvalue }\n\n| | |\n|---|---|\n| k | v |",
        '<table class="keyvalue"><caption class="silent">About</caption>'
        '<tbody><tr><th scope="row">k</th><td>v</td></tr></tbody></table>',
    ),
    "definition": ("Term {: #d }\n:   Meaning\n    goes on", '<dl><dt id="d">Term</dt><dd>Meaning goes on</dd></dl>'),
    "box": (
        '!!! danger "DANGER"\n    Text\n\n    - item',
        '<box kind="danger"><title>DANGER</title><p>Text</p><ul><li>item</li></ul></box>',
    ),
    "box without a title": ('!!! note ""\n    Text', '<box kind="note"><p>Text</p></box>'),
    "quotation and rule": ("> said\n\n---", "<blockquote><p>said</p></blockquote><hr />"),
    "raw HTML is text": ("<b>x</b> &copy; <!-- y -->", "<p>&lt;b&gt;x&lt;/b&gt; &amp;copy; &lt;!-- y --&gt;</p>"),
    "code keeps its signs": ("`a <b> & \\* {: .x }`", "<p><code>a &lt;b&gt; &amp; \\* {: .x }</code></p>"),
    "reference links are text": ("[a][b] [c]\n\n[b]: http://x.example", "<p>[a][b] [c]</p><p>[b]: http://x.example</p>"),
    "underlines are text": ("Word\n====", "<p>Word ====</p>"),
    "links": (
        "[a](plan.html) [b](tel:+1555) [c](mailto:a@b.example)",
        '<p><a href="plan.html">a</a> <a href="tel:+1555">b</a> <a href="mailto:a@b.example">c</a></p>',
    ),
    "odd spaces and control signs": ("a\x07\u2028b  c\u202ed\r\ne", "<p>a b cd e</p>"),
}


@pytest.mark.parametrize("name", SHAPES)
def test_notation(name):
    """Each allowed construct gives exactly this tree."""
    body, expected = SHAPES[name]
    assert shape(body) == expected


ERRORS = {
    "Text": "one '# Title'",
    "## First\n\n# Title": "one '# Title'",
    "# One\n\n# Two": "one '# Title'",
    "# T\n\n##### Deep": "heading #####",
    "# T\n\n    code": "indented code",
    "# T\n\nText {: .loud }": "'.loud' is not allowed on 'p'",
    "# T\n\nText {: onclick=x }": "attribute 'onclick=x'",
    "# T\n\n**a**{: #x .flag }": "id is not allowed on 'strong'",
    "# T\n\nText {: .wide }": "'.wide' needs '.caption'",
    "# T\n\na {: .x } b": "attribute list where none can stand",
    "# T\n\n> Text {: .clause }": "cannot stand inside 'blockquote'",
    "# T\n\n1. a\n2. b\n{: .checklist }": "belongs to a list with '-'",
    "# T\n\nText\n\n{: .lead }": "directly after a list",
    "# T\n\n[a](javascript:x)": "'javascript:x' is not allowed",
    "# T\n\n[a](java\\script:x)": "is not allowed",
    "# T\n\n[a](data:text/html,x)": "is not allowed",
    "# T\n\n[a](../other.html)": "is not allowed",
    "# T\n\n[a](other.exe)": "is not allowed",
    '# T\n\n[a](https://x.example "t")': "attribute 'title'",
    "# T\n\n[](https://x.example)": "has no text",
    "# T\n\n| a | b |\n|---|---|\n| x | y | z |": "has 3 cells, its header has 2",
    "# T\n\n| a | b |\n| x | y |": "table that cannot be read",
    "# T\n\nCap {: .caption }\n\nText": "directly before its table",
    "# T\n\nCap {: .caption }": "directly before its table",
    "# T\n\n{: .caption }\n\n| a |\n|---|\n| x |": "directly after a list",
    '# T\n\n!!! peril "PERIL"\n    x': "'!!! peril' is unknown",
    "# T\n\n!!! warning\n    x": "needs its signal word",
    '# T\n\n!!! warning ""\n    x': "needs its signal word",
    '# T\n\n!!! note "N"\n\nx': "holds no text",
    '# T\n\n!!! note "N"\n    ## H': "not allowed inside 'box'",
    "# T\n\n- a\n\n    | a |\n    |---|\n    | x |": "not allowed inside 'li'",
    "# T\n\nWords alone {: .drawing }": "needs a symbol at the start",
}


@pytest.mark.parametrize("source", ERRORS)
def test_refused(source):
    """What is not allowed is a TemplateError that names it."""
    with pytest.raises(TemplateError) as caught:
        parse(source)
    assert ERRORS[source] in str(caught.value)


HOSTILE = (
    "A | B *c* <script>{{7*7}}</script>",
    "{: #x .clause } {#y}",
    "# not a heading",
    "1. not a list",
    "- not a list",
    "> not quoted",
    ":   not a definition",
    '!!! warning "NOT A BOX"',
    "[not](https://a.link.example) ![not](x) [not][1]",
    "**not strong** __not__ `not code` ~~x~~",
    "\\ \\\\ \\* C:\\new\\table",
    '#import "x" $ @ref <label> // -- --- ... \'q\' "q" #"s"',
    "<!-- x --> <?php ?> &lt; &#60; &copy;",
    "| a | b |",
    "http://plain.example/a_b_c?d=1&e=2#f",
    "%PDF ]]> </w:t> \x02klzzwxh:0000\x03 wzxhzdk:0",
    string.punctuation,
)


def escaped(text):
    """A backslash before every ASCII punctuation sign."""
    return re.sub(f"([{re.escape(string.punctuation)}])", r"\\\1", text)


@pytest.mark.parametrize("text", HOSTILE)
def test_escapes_print_literally(text):
    """A backslash before ASCII punctuation prints that sign (CommonMark 0.31, 2.4), in every kind of block."""
    printed = " ".join(text.replace("\x02", "").replace("\x03", "").split())
    text = escaped(text)
    body = (
        f"## {text}\n\n{text}\n\n- {text}\n\n> {text}\n\n| {text} | x |\n|---|---|\n| {text} | **{text}** |\n\n"
        f'!!! note "{text}"\n    {text}\n'
    )
    root = parse(f"# {text}\n\n{body}")
    seen = [words(element) for tag in ("h1", "h2", "p", "li", "th", "td", "title") for element in root.iter(tag)]
    assert [text for text in seen if text != "x"] == [printed] * 10


COMMON = (
    "plain *emphasis* and **strong** words",
    "*em **nested** end* and **strong *nested* end**",
    "snake_case_word and 2*3*4",
    "`code` and ``co`de``",
    "[text *em*](https://a.example/x_y?a=1&b=2)",
    "a\\*b\\_c \\[d\\]",
    "line one  \nline two",
    "- a\n- b\n- c",
    "1. a\n2. b",
    "> quoted *words*",
    "*a*b **c**d",
)


@pytest.mark.parametrize("source", COMMON)
def test_against_commonmark(source):
    """What both notations have means the same as in CommonMark, as markdown-it-py 4 reads it."""
    library = pytest.importorskip("markdown_it").MarkdownIt("commonmark")
    theirs = library.render(source).replace("\n", "")
    assert shape(source) == theirs


NUMBERS = """
## One {: #one }

Clause a
{: #a .clause }

Clause b
{: #b .clause }

### Part {: #part }

Clause c
{: #c .clause }

Plain

#### Minor

Clause d
{: #d .clause }

## Aside {: #aside .unnumbered }

### Under it

## Two

#### Minor directly

Cap {: #t1 .caption }

| A |
|---|
| x |

Silent {: #t2 .caption .silent }

| A |
|---|
| x |

!!! note "Inside"
    Cap {: #t3 .caption }

    | A |
    |---|
    | x |

Term {: #term }
:   Meaning

## Form {: #form .appendix }

Clause e
{: #e .clause }

### Part e

Clause f
{: #f .clause }

## List {: #list .appendix }

See [](#one), [](#part), [](#a), [](#c), [](#d), [](#form), [](#e), [](#f), [](#t1), [](#t3), [](#aside), [](#term), [own](#t2).
"""


def test_numbers():
    """Sections, parts, clauses, appendices and tables are numbered in one pass, and references read those numbers."""
    root = tree(NUMBERS)
    marks = [(e.get("data-number"), words(e)) for e in root if e.get("data-number")]
    assert marks == [
        ("1", "One"), ("1.1", "Clause a"), ("1.2", "Clause b"), ("1.3", "Part"), ("1.3.1", "Clause c"),
        ("1.3.2", "Clause d"), ("2", "Two"), ("Appendix A", "Form"), ("A.1", "Clause e"), ("A.2", "Part e"),
        ("A.2.1", "Clause f"), ("Appendix B", "List"),
    ]  # fmt: skip
    assert [c.get("data-number") for c in root.iter("caption")] == ["Table 1", None, "Table 2"]
    assert words(root[-1]) == (
        "See section 1, section 1.3, clause 1.1, clause 1.3.1, clause 1.3.2, Appendix A, clause A.1, clause A.2.1, "
        "Table 1, Table 2, Aside, Term, own."
    )
    assert [e.get("data-level") for e in root.iter("h4")] == ["4", "3"]
    assert contents_of(root) == [
        (1, "1", "One", "one"), (2, "1.3", "Part", "part"), (1, "", "Aside", "aside"), (2, "", "Under it", "under-it"),
        (1, "2", "Two", "two"), (1, "Appendix A", "Form", "form"), (2, "A.2", "Part e", "part-e"),
        (1, "Appendix B", "List", "list"),
    ]  # fmt: skip


NUMBER_ERRORS = {
    "## A {: #x }\n\n## B {: #x }": "the id 'x' is used twice",
    "[](#nowhere)": "'#nowhere' leads nowhere",
    "[text](#nowhere)": "'#nowhere' leads nowhere",
    "Plain {: #p }\n\n[](#p)": "has no number",
    "Cap {: #t .caption .silent }\n\n| A |\n|---|\n| x |\n\n[](#t)": "has no number",
    "### Part": "### needs a ## above it",
    "#### Minor": "#### needs a ## above it",
    "Text {: .clause }": "a clause needs a numbered ##",
    "## A {: .unnumbered }\n\nText {: .clause }": "a clause needs a numbered ##",
    "## A {: .unnumbered .appendix }": "cannot be both",
    "## A {: .appendix }\n\n## B": "cannot follow an appendix",
}


@pytest.mark.parametrize("body", NUMBER_ERRORS)
def test_number_errors(body):
    """A reference that leads nowhere, an id used twice, a number without a place: a TemplateError that names it."""
    with pytest.raises(TemplateError) as caught:
        tree(body)
    assert NUMBER_ERRORS[body] in str(caught.value)


def test_slugs_are_stable_and_unique():
    """Headings without an id get one from their words; equal words get a count, and a given id is never taken."""
    root = tree("## Für alle\n\n## Für alle\n\n## 2 Ways\n\n## 漢字\n\n## Given {: #fur-alle-3 }\n\n## Für alle")
    assert [e.get("id") for e in root.iter("h2")] == [
        "fur-alle", "fur-alle-2", "part-2-ways", "part", "fur-alle-3", "fur-alle-4",
    ]  # fmt: skip
    assert slug("A & B") == "a-b"


def test_document_checks_its_labels():
    """A label that is missing or lacks its field is named; sizes and edition have their defaults."""
    root = tree("Text")
    given = {
        "name": "plan", "title": "T", "language": "en-US", "site_name": "S", "number": "P-1", "revision": "2",
        "stamp": "", "date": datetime.date(2026, 1, 2), "paper": "a4", "layout": "report", "contents": False,
        "markdown": "# Title\n", "tree": root,
    }  # fmt: skip
    assert set(WORDS) == set(LABELS)
    doc = Document(**given, labels=WORDS)
    assert (doc.type_pt, doc.edition) == (10.0, "P-1, revision 2")
    assert Document(**{**given, "layout": "poster"}, labels=WORDS).type_pt == 12.0
    for key, value in (("page", "Page"), ("contents", None)):
        broken = {k: v for k, v in {**WORDS, key: value}.items() if v is not None}
        with pytest.raises(TemplateError, match=key):
            Document(**given, labels=broken)
    for key, value in (("paper", "a9"), ("layout", "leaflet")):
        with pytest.raises(TemplateError, match=value):
            Document(**{**given, key: value}, labels=WORDS)
