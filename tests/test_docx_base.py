"""The base file of a DOCX: found styles, a client's own file, and text that cannot become XML."""

import ast
import dataclasses
import hashlib
import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from docx import Document as Word
from docx.shared import Pt
from test_tree import HOSTILE, WORDS
from test_write import W, document, part, sample

from docgen.compose.drawing import Drawing, rectangle
from docgen.compose.number import number
from docgen.compose.tree import parse
from docgen.errors import WriteError
from docgen.resources import data_folder
from docgen.write import WRITERS, docx, docx_body, docx_xml
from docgen.write.docx_base import BASE, STYLES, fitted, open_base

CONTENT = (data_folder("templates") / "look" / BASE).read_bytes()
OWN = Path("client/base.docx")


def saved(word):
    """Bytes of a file that python-docx holds."""
    buffer = io.BytesIO()
    word.save(buffer)
    return buffer.getvalue()


def rewritten(change):
    """The base file with the text of its parts changed by `change(name, text)`."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(CONTENT)) as source, zipfile.ZipFile(buffer, "w") as target:
        for name in source.namelist():
            target.writestr(name, change(name, source.read(name).decode("utf-8")))
    return buffer.getvalue()


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind, names in STYLES.items() for name in names])
def test_a_missing_style_is_named(kind, name):
    """A base file without one of the styles is refused by a message that says which, and of what kind."""
    word = Word(io.BytesIO(CONTENT))
    style = word.styles[name]
    style.element.getparent().remove(style.element)
    with pytest.raises(WriteError, match=rf"client/base\.docx: the {kind.lower()} style '{name}' is missing; add"):
        fitted(sample("report"), OWN, saved(word))


def test_a_style_of_another_kind_is_not_it():
    """A character style called Table Rules is no table style."""
    data = rewritten(lambda _, text: text.replace('w:type="table" w:customStyle="1" w:styleId="TableRules"',
                                                  'w:type="character" w:customStyle="1" w:styleId="TableRules"'))  # fmt: skip
    with pytest.raises(WriteError, match="table style 'Table Rules' is missing"):
        fitted(sample("report"), OWN, data)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('<w:pPr><w:numPr><w:numId w:val="3"/></w:numPr></w:pPr>', "", "'Bulleted List' has no numbering"),
        ('<w:numPr><w:numId w:val="2"/></w:numPr>', '<w:numPr><w:numId w:val="77"/></w:numPr>', "'Numbered Appendices' names the numbering 77"),
    ],
)  # fmt: skip
def test_a_list_style_needs_its_levels(old, new, said):
    """A list style without a numbering, or with one that is not there, is named."""
    with pytest.raises(WriteError, match=said):
        fitted(sample("report"), OWN, rewritten(lambda name, text: text.replace(old, new) if name == "word/styles.xml" else text))


@pytest.mark.parametrize(
    "data", [b"", b"PK", b"no archive", rewritten(lambda name, text: text if name != "word/styles.xml" else "<w:")]
)
def test_what_is_no_base_is_one_message(data):
    """A file that is no DOCX, or a broken one, is one message."""
    with pytest.raises(WriteError, match="is no DOCX that can be a base"):
        fitted(sample("report"), OWN, data)


def test_a_clients_base_keeps_its_look(monkeypatch):
    """Styles that have other ids, other colors and a line in the header come through; sizes follow the body type."""
    word = Word(io.BytesIO(CONTENT))
    word.sections[0].header.paragraphs[0].add_run("Kestrel Bulk Terminals")
    word.styles["Title"].font.size = Pt(30)
    client = saved(word)
    renamed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(client)) as source, zipfile.ZipFile(renamed, "w") as target:
        for name in source.namelist():
            target.writestr(name, source.read(name).replace(b'"TableText"', b'"ClientCell"'))
    monkeypatch.setattr(docx, "open_base", lambda doc: fitted(doc, OWN, renamed.getvalue()))
    data = WRITERS["docx"](dataclasses.replace(sample("report"), body_pt=20.0)).data
    opened = Word(io.BytesIO(data))
    assert opened.styles["Title"].font.size == Pt(60)
    assert [p.text for p in opened.sections[0].header.paragraphs][:2] == [
        "Kestrel Bulk Terminals",
        "DRAFT - NOT FOR POSTING",
    ]
    used = {s.get(f"{W}val") for s in part(data, "word/document.xml").iter(f"{W}pStyle")}
    assert "ClientCell" in used
    assert "TableText" not in used


def test_sizes_are_those_of_the_document():
    """10 pt is the base file's own; 9.5 pt and a poster are scaled, header and footer stay."""

    def half_points(doc):
        styles = open_base(doc).word.styles
        return [styles[name].font.size.pt for name in ("Title", "Heading 1", "Heading 2", "Table Text", "Header")]

    assert half_points(sample("report")) == [21, 13.5, 11, 9, 8]
    assert half_points(dataclasses.replace(sample("report"), body_pt=20.0)) == [42, 27, 22, 18, 8]
    assert half_points(sample("poster")) == [17.5, 12.5, 13, 12, 8]


def test_the_clock_is_in_no_byte(tmp_path):
    """Another day, another zone and another SOURCE_DATE_EPOCH give the same bytes: all dates are the document's."""
    code = (
        "import hashlib, sys, time; sys.path[:0] = sys.argv[1:]\n"
        "time.localtime = lambda *a: time.gmtime(86400 * 365 * 40); time.time = lambda: 86400.0 * 365 * 40\n"
        "from test_write import WRITERS, sample\n"
        "print(hashlib.sha256(WRITERS['docx'](sample('report')).data).hexdigest())"
    )
    here = Path(__file__).parent
    environment = {**os.environ, "SOURCE_DATE_EPOCH": "946684800", "TZ": "Asia/Tokyo"}
    other = subprocess.run([sys.executable, "-c", code, str(here), str(here.parent)], check=True, text=True, capture_output=True,
                           cwd=tmp_path, env=environment)  # fmt: skip
    data = WRITERS["docx"](sample("report")).data
    assert other.stdout.strip() == hashlib.sha256(data).hexdigest()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


# text that cannot become XML

MODULES = (docx, docx_body)


@pytest.mark.parametrize("module", MODULES)
def test_xml_is_made_in_one_place(module):
    """No string of the other modules holds an angle bracket, so that no words reach the XML but through its functions."""
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    texts = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    assert len(texts) > 50
    found = [f"line {node.lineno}: {node.value[:40]}" for node in texts if "<" in node.value]
    assert [each for each in found if "<?xml version" not in each] == []


def test_what_makes_xml_escapes_what_it_is_given():
    """Each function that takes words gives back XML in which they are only words."""
    evil = "<w:p/>&amp;\"'>]]>"
    from lxml import etree

    spaces = {f"xmlns:{prefix}": uri for prefix, uri in docx_xml.NAMESPACES.items()}
    made = [
        docx_xml.el("w:t", docx_xml.escape(evil), val=evil),
        docx_xml.run(evil),
        docx_xml.paragraph(evil, docx_xml.run(evil)),
        docx_xml.field(evil, evil),
    ]
    for piece in made:
        root = etree.fromstring(docx_xml.el("w:body", piece, **spaces))
        assert {etree.QName(node).localname for node in root.iter()} <= {
            "body",
            "t",
            "r",
            "p",
            "pPr",
            "pStyle",
            "fldChar",
            "instrText",
        }
        assert any(evil in (node.text or "") for node in root.iter())


@pytest.mark.parametrize("text", [*HOSTILE, '"/><w:p/>', "]]>&lt;", "' onload='", "&#60;", "%1 %2 {page}"])
def test_hostile_text_in_every_field(text):
    """Title, site, number, stamp, labels, captions, links and drawings: what is read back is what was given."""
    text = "".join(c for c in text if c >= " ")
    labels = {key: f"{value} {text}" for key, value in WORDS.items()}
    tree = number(parse("# T\n\n## One {: #one }\n\nCap {: #t .caption }\n\n| a | b |\n|---|---|\n| x | [y](https://example.org) |\n\n"
                        "![Cap](figure:d)\n\n## Two {: .appendix }\n\nText.\n"), labels)  # fmt: skip
    for cell in tree.iter("td"):
        cell.text = text
    for link in tree.iter("a"):
        link.set("href", f"https://example.org/{text}")
    drawing = Drawing(text, 50.0, 20.0, (rectangle(0, 0, 10, 10, width=0.2),), text)
    doc = document("# T\n", title=text, site_name=text, number=text, revision=text, stamp=text, language="en-US", labels=labels,
                   tree=tree, figures={"d": drawing})  # fmt: skip
    data = WRITERS["docx"](doc).data
    opened = Word(io.BytesIO(data))
    known = opened.core_properties
    assert (known.title, known.author) == (text[:255], text[:255])
    header = opened.sections[0].header
    assert [p.text for p in header.paragraphs] == [text, f"{text}\t{text}"]
    assert opened.sections[0].footer.paragraphs[-1].text == text
    body = opened.element.body
    assert {node.get("descr") for node in body.iter("{*}docPr")} == {text}
    assert "".join(t.text or "" for t in next(body.iter(f"{W}tc")).getparent().getnext().iter(f"{W}t")).startswith(text)
    assert f"https://example.org/{text}" in {rel.target_ref for rel in opened.part.rels.values()}
    levels = [node.get(f"{W}val") for node in opened.part.numbering_part.element.iter(f"{W}lvlText")]
    assert any(text in level for level in levels)
