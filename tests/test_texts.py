"""Text is text: names print once and right in every type, a Markdown file is inert in another viewer, and texts that look alike are alike.

The other viewer is markdown-it-py, a parser of CommonMark; HTML is read by html5lib, DOCX and PDF by their text alone.
"""

import html
import io
import re
import zipfile
from dataclasses import replace

import pytest
from support import SITES, changed, composed, demo, run, with_changes

from docgen.check import check
from docgen.cli import main
from docgen.compose.escape import escape
from docgen.compose.tree import words
from docgen.read import read_profile, read_text
from docgen.signs import misread, unseen
from docgen.text.glyphs import signs_of_font, without_glyph
from docgen.write import WRITERS

NAME = 'O\'Brien & "Sons" <Ltd>'
#: Fields of the full demo that hold names, in lists, sentences, tables, headings and drawings.
NAMED = (
    "site.name", "vehicles[tanker].name", "contractors.classes[driver].name", "roles[safety-manager].title", "tasks[load].name",
    "bays[B1].name", "bays[B1].obstructions[arm].what", "rescue.methods[M1].name",
)  # fmt: skip
ENTITY = re.compile(r"&(?:amp|lt|gt|quot|apos|#\d+|#x[0-9a-fA-F]+);")
VIEWER = "commonmark"


def viewer():
    return pytest.importorskip("markdown_it").MarkdownIt(VIEWER)


def text_of(kind: str, data: bytes) -> str:
    """The words that a reader of the file sees, runs of spaces made one."""
    if kind == "md":
        said = html.unescape(re.sub(r"<[^>]*>", "", viewer().render(data.decode("utf-8"))))
    elif kind == "html":
        page = pytest.importorskip("html5lib").parse(data.decode("utf-8"), namespaceHTMLElements=False)
        said = "".join(page.find("body").itertext())
    elif kind == "docx":
        part = zipfile.ZipFile(io.BytesIO(data)).read("word/document.xml").decode("utf-8")
        said = html.unescape(re.sub(r"<[^>]*>", "", part.replace("</w:p>", " ")))
    else:
        said = "".join(page.extract_text() for page in pytest.importorskip("pypdf").PdfReader(io.BytesIO(data)).pages)
    return re.sub(r"\s+", " ", said.replace("\u00a0", " ").replace("\u00ad", "").replace("\u200b", ""))


@pytest.fixture(scope="module")
def named():
    """The papers of the full demo, every name of NAMED the same strange one."""
    return composed(with_changes(demo("harrow-ridge"), dict.fromkeys(NAMED, NAME)))


@pytest.mark.parametrize("kind", ["md", "html", "docx", "pdf"])
def test_names_print_once_and_right(named, kind):
    """A name with the five signs of HTML stands in every type as the profile has it, and nowhere as an entity."""
    if kind == "pdf":
        pytest.importorskip("typst")
    seen = 0
    for name in ("fall-protection-plan", "contractor-notice", "rescue-procedure"):
        document = named[name].document
        said = text_of(kind, WRITERS[kind](document).data)
        assert not ENTITY.search(said), (name, ENTITY.search(said))
        assert "\\<" not in said
        expected = words(document.tree)
        assert NAME in expected or NAME[0].lower() + NAME[1:] in expected, name
        squeezed = said.replace(" ", "")  # lines of a PDF break where they like
        assert NAME.replace(" ", "") in squeezed or (NAME[0].lower() + NAME[1:]).replace(" ", "") in squeezed, name
        seen += squeezed.count(NAME[1:].replace(" ", ""))
    assert seen >= len(NAMED)


def test_a_list_of_names_is_not_escaped_twice():
    """`Driver's mate` before others in the list of those who may not climb (the notice printed `Driver&#39;s mate`)."""
    after = composed(with_changes(demo("harrow-ridge"), {"contractors.classes[driver].name": "Driver's mate"}))
    assert "river's mate" in after["contractor-notice"].document.markdown
    assert not any(ENTITY.search(paper.document.markdown) for paper in after.values())


#: What another viewer of Markdown would run, open or show as something else.
ACTIVE = (
    "<script>alert(1)</script> see <b>this</b>", "<https://example.org/a> or <me@example.org>", "<img src=x onerror=alert(1)>",
    "<style>p {display: none}</style>", "<!-- not shown -->", "<?php x ?> <![CDATA[ x ]]>", "&lt;b&gt; &#60;i&#62; &amp;lt; &copy;",
    "[x](http://example.org) ![y](http://example.org/z.png) [z]", "```text``` ~~~ `code`", "*a* _b_ **c** __d__", "<div", "a\\<b>c</b>",
)  # fmt: skip


def swapped(value, text):
    """Every prose of a profile, lists and groups included, put in place of by one text."""
    if isinstance(value, dict):
        return {key: swapped(inner, text) for key, inner in value.items()}
    if isinstance(value, list):
        return [swapped(inner, text) for inner in value]
    return text if isinstance(value, str) and len(value.split()) >= 3 and not any(c.isdigit() for c in value) else value


def inert(markdown: str) -> None:
    """No element of HTML, no picture, and no link but those inside the papers."""
    waiting = list(viewer().parse(markdown))
    while waiting:
        token = waiting.pop()
        waiting += token.children or ()
        assert token.type not in ("html_block", "html_inline"), token.content
        if token.type == "image":
            assert token.attrs["src"].startswith(("figure:", "symbol:")), token.attrs  # neither is fetched from anywhere
        if token.type == "link_open":
            assert not re.match(r"[a-z]+:|//|www\.", str(token.attrs["href"]), re.IGNORECASE), token.attrs


@pytest.mark.parametrize("text", ACTIVE)
def test_markdown_is_inert_elsewhere(text):
    """The Markdown file of every paper shows the site's text in a CommonMark viewer as it is, and nothing of it is active."""
    whole = demo("harrow-ridge")
    data = swapped(whole.source.data, text)
    for name, paper in composed(
        with_changes(whole, {key: data[key] for key in ("rescue", "contractors", "site_rules", "inspection")})
    ).items():
        inert(paper.document.markdown)
        assert name != "fall-protection-plan" or text.rstrip(".") in re.sub(
            r"\s+", " ", text_of("md", paper.document.markdown.encode("utf-8"))
        )


@pytest.mark.parametrize("text", ACTIVE)
def test_an_escaped_text_is_that_text_elsewhere(text):
    """What `escape` gives reads in a CommonMark viewer as the text that went in."""
    inert(str(escape(text)))
    assert html.unescape(re.sub(r"<[^>]*>", "", viewer().render(str(escape(text))))).strip() == text


#: A text, the column of its sign in `a: <text>`, and the sign as a user is told it.
REFUSED = [
    ("left\u200eright", 8, "U+200E"), ("left\u200fright", 8, "U+200F"), ("a\u061cb", 5, "U+061C"), ("har\u00adness", 7, "U+00AD"),
    ("a\u200cb", 5, "U+200C"), ("a\u200db", 5, "U+200D"), ("x\U000e0041", 5, "U+E0041"), ("\u3164", 4, "U+3164"), ("\u2800", 4, "U+2800"),
    ("a\u115fb", 5, "U+115F"), ("a\u2063b", 5, "U+2063"), ("a\ufe0fb", 5, "U+FE0F"), ("a\ue000b", 5, "U+E000"), ("\u0301\u0302", 4, "U+0301"),
    ("Bay \u0301", 8, "U+0301"), ("M. Ok\u0430for", 9, "U+0430"), ("\u0410. Petrie", 4, "U+0410"), ("Tank \u0391", 9, "U+0391"), ("\u0420etrie", 4, "U+0420"),
    ("P\u0395trie", 5, "U+0395"), ("Tank\u03bfr", 8, "U+03BF"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "column", "sign"), REFUSED)
def test_signs_that_mislead_are_refused_with_their_place(text, column, sign):
    """What nobody sees, a mark with no letter, a letter of another alphabet in a Latin word: line, column and code point."""
    problems = read_text(f"first: one\na: {text}\n").problems
    told = [(p.line, p.column) for p in problems if sign in p.message]
    assert told == [(2, column)]
    assert len(problems) == 1


@pytest.mark.parametrize("text", [text for text, *_ in REFUSED])
def test_they_are_refused_when_written_as_a_number_too(text):
    """An escape in double quotes gets nothing past the reader."""
    escaped = "".join(c if c.isascii() else f"\\U{ord(c):08X}" for c in text)
    (problem,) = read_text(f'a: "{escaped}"\n').problems
    assert (problem.line, problem.path) == (1, "a")


@pytest.mark.parametrize("sign", ["\u0261", "\u01c0", "\u02bc", "\u2007", "\u2009", "\u200a", "\u2010", "\u2011"])
def test_signs_like_those_of_the_keyboard_are_told(sign):
    """A sign that looks like one of the keyboard makes two names of one."""
    (problem,) = read_text(f"a: Ba{sign}y\n").problems
    assert (problem.line, problem.path) == (1, "a")
    assert f"U+{ord(sign):04X}" in problem.message


@pytest.mark.parametrize(
    "path",
    [
        "bays[B2].name",
        "vehicles[tank-car].name",
        "rescue.methods[M3].name",
        "roles[gate].title",
        "shifts[night].name",
        "shifts[day].posts[1].post",
    ],
)
@pytest.mark.parametrize(
    "alter", [str, str.upper, lambda text: text.replace(" ", "\u00a0"), lambda text: text.replace("i", "\u0131")]
)
def test_two_names_that_look_alike_are_one(path, alter):
    """Two bays, vehicles, methods, roles, shifts or posts whose names a reader cannot tell apart are a problem at the second."""
    first = {
        "bays[B2].name": "Truck bay", "vehicles[tank-car].name": "Tank trailer", "rescue.methods[M3].name": "Help the person back to the walkway",
        "roles[gate].title": "Terminal manager", "shifts[night].name": "Evening", "shifts[day].posts[1].post": "Climber 1",
    }[path]  # fmt: skip
    source = read_profile(SITES / "harrow-ridge")
    found = check(replace(source, data=changed(source.data, {path: alter(first)})))
    assert [p.message.split(" is ")[0] for p in found if "two entries" in p.message] == [f"'{path.rpartition('.')[2]}'"]


FINE = (
    "O'Brien", "d’Alembert", "José Núñez", "Łucja Żółć", "Māori Whāmere", "Zoë Ångström", "Straße", "Ağca İnan ıslak", "30° – 5 kΩ — 3 μm ½ ≤ 4 µs",
    "« à côté »", "¿Qué? ¡No!", "“quoted” …", "Пётр Васильев", "Ελένη", "12\u00a0mm", "Đặng Thị Hà", "Cafe\u0301", "A/B-12, R&D + Δh, ρ = 7.8 kg", "Машина А, Tank 1", "ΑΒΓ Tank", "РОСТОР", "Ⅳ №5 ™ ©",
)  # fmt: skip


@pytest.mark.parametrize("text", FINE)
def test_no_false_alarm(text):
    """Accents, apostrophes, dashes, degree signs, units and words in another alphabet are text."""
    assert read_text(f"a: '{text.replace(chr(39), chr(39) * 2)}'\n").problems == ()
    assert unseen(text) is None
    assert misread(text) is None


def test_the_font_is_read_right():
    """The signs of each face are those that fontTools reads, and all faces have the same."""
    library = pytest.importorskip("fontTools.ttLib")
    from docgen.resources import data_folder

    for face in ("Regular", "Bold", "Italic", "BoldItalic"):
        font = library.TTFont(data_folder("templates") / "look" / "fonts" / f"LiberationSans-{face}.ttf")
        assert signs_of_font(face) == {chr(code) for code in font.getBestCmap()} == signs_of_font()
    assert without_glyph("漢 ✓ é 漢") == ("漢", "✓")


@pytest.mark.parametrize(
    ("by", "sign"),
    [
        ("A\n\x1b[31mB", "U+000A"),
        ("A. Pet\u202erie", "U+202E"),
        ("A\udcff", "U+DCFF"),
        ("A. P\u0435trie", "U+0435"),
        ("\x07", "U+0007"),
    ],
)
def test_a_name_on_the_command_line_is_held_to_the_same(by, sign, capsys):
    """`--by` and the other texts that a record keeps: one message with the sign, and exit 2 before anything is read."""
    for command in (
        ("approve", "nowhere", "--document", "x", "--role", "counsel", "--by", by),
        ("issue", "nowhere", "--reason", by),
    ):
        with pytest.raises(SystemExit) as ended:
            run(*command)
        assert ended.value.code == 2
    with pytest.raises(SystemExit):
        main(["hold", "nowhere", "on", "--by", "A. Petrie", "--reason", by])
    assert sign in capsys.readouterr().err
