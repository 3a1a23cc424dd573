"""Redlines: accepting every change gives the new text and rejecting every change the old one, whoever does it.

Outside checks: an accept and reject of a few lines over lxml, LibreOffice's own accept and reject, openxml-audit (ISO/IEC
29500), html5lib (HTML Living Standard).
"""

import datetime
import io
import random
import re
import shutil
import zipfile
from pathlib import Path

import html5lib
import pytest
from control_site import FIRST, LATER, exchange, issue, refused, swap
from lxml import etree
from office import run_office
from outside import docx_faults
from test_write import document

from docgen.compose import compose_all
from docgen.control.align import align, alike, split_words
from docgen.control.redline import redline_docx
from docgen.control.redline_html import redline_html
from docgen.errors import RecordError
from docgen.pipeline import check_site, compared_site
from docgen.revisions import compare_site, papers_of
from docgen.words import words
from docgen.write import WRITERS

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
DAY = datetime.date(2026, 11, 12)

OLD = """# Yard rule

## Before you climb {: #before }

Report to the gate and take the briefing.
{: #c.report .clause }

You must not climb in wind above 25 mph.
{: #c.wind .clause }

- one rope
- two hooks
- three slings

1. stop
2. call
3. wait

| Part | Limit |
| :-- | --: |
| rail | 500 lb |
| trolley | 400 lb |
| hook | 310 lb |

See [](#before) and [the law](https://example.org/law).

!!! warning "WARNING"
    A fall can kill you.

    Keep **attached** at all times.

## Afterwards {: #after }

Come down the ladder.
{: #c.down .clause }
"""
CASES = {
    "same": [],
    "words": [("25 mph", "20 mph"), ("gate and take", "office, sign in and take")],
    "paragraph added": [("Come down", "Close the lid first.\n{: #c.lid .clause }\n\nCome down")],
    "paragraph removed": [("Report to the gate and take the briefing.\n{: #c.report .clause }\n\n", "")],
    "last paragraph changed": [("Come down the ladder.", "Wait for the word of the supervisor, then leave.")],
    "list": [("- two hooks\n", ""), ("2. call\n3. wait", "2. call the control room\n3. wait\n4. report")],
    "list gone": [("1. stop\n2. call\n3. wait\n\n", "")],
    "list new": [("| Part |", "1. first\n2. second\n\n| Part |")],
    "row": [("| trolley | 400 lb |\n", ""), ("| hook | 310 lb |", "| hook | 300 lb |\n| strap | 100 lb |")],
    "column": [("| Part | Limit |\n| :-- | --: |\n| rail | 500 lb |\n| trolley | 400 lb |\n| hook | 310 lb |",
                "| Part | Limit | Note |\n| :-- | --: | :-- |\n| rail | 500 lb | a |\n| trolley | 400 lb | b |\n| hook | 310 lb | c |")],
    "table gone": [("| Part | Limit |\n| :-- | --: |\n| rail | 500 lb |\n| trolley | 400 lb |\n| hook | 310 lb |\n\n", "")],
    "heading": [("## Afterwards", "## When it is over"), ("## Before you climb", "## First {: #first }\n\nNew.\n{: #c.new .clause }\n\n## Before you climb")],
    "box": [("Keep **attached** at all times.", "Stay **attached**.\n\n    Ask first."), ("A fall can kill you.", "A fall may kill you.")],
    "box gone": [('!!! warning "WARNING"\n    A fall can kill you.\n\n    Keep **attached** at all times.\n\n', "")],
    "bold": [("**attached**", "attached"), ("Keep", "**Keep**")],
    "link": [("https://example.org/law", "https://example.org/act"), ("[the law]", "[the act]")],
    "everything": [(OLD[OLD.index("## Before"):], "## Other {: #other }\n\nAll is new.\n{: #c.x .clause }\n")],
    "signs": [("Come down the ladder.", "Come < down & the \"ladder\" – 5 \u00b0C \u2192 \u4e2d.")],
}  # fmt: skip


def changed(pairs):
    text = OLD
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new)
    return text


def word(markdown):
    return WRITERS["docx"](document(markdown)).data


def root(data):
    return etree.fromstring(zipfile.ZipFile(io.BytesIO(data)).read("word/document.xml"))


def settle(tree, keep, drop):
    """Accept (keep ins, drop del) or reject (the other way round) every change, after ISO/IEC 29500-1, 17.13.5."""
    for mark in list(tree.iter(f"{W}{drop}")):
        parent = mark.getparent()
        if parent.tag == f"{W}rPr":  # the mark of a paragraph: here a whole paragraph always
            paragraph = parent.getparent().getparent()
            if paragraph.getparent() is not None:
                paragraph.getparent().remove(paragraph)
        elif parent.tag == f"{W}trPr":
            parent.getparent().getparent().remove(parent.getparent())
        else:
            parent.remove(mark)
    for table in [t for t in tree.iter(f"{W}tbl") if t.find(f"{W}tr") is None]:
        table.getparent().remove(table)
    return tree


def said(holder):
    """The words of a paragraph or cell, without the number that a redline writes before them."""
    return "".join(
        t.text or ""
        for t in holder.iter(f"{W}t", f"{W}delText")
        if (look := t.getparent().find(f"{W}rPr/{W}rStyle")) is None or look.get(f"{W}val") != "RedlineNumber"
    )


def lines(tree):
    """(style, text) of every paragraph outside the contents list and the page before the text."""
    found = []
    for p in tree.iter(f"{W}p"):
        if not any(a.tag == f"{W}sdt" for a in p.iterancestors()):
            style = p.find(f"{W}pPr/{W}pStyle")
            if style is None or style.get(f"{W}val") != "RedlineNote":
                found.append((style.get(f"{W}val") if style is not None else "", said(p)))
    return found


def rows(tree):
    """The words of every cell, by table and row."""
    return [[[said(c) for c in r.findall(f"{W}tc")] for r in t.findall(f"{W}tr")] for t in tree.iter(f"{W}tbl")]


def both_ways(old, new, data):
    """Accepting gives the new, rejecting the old: paragraphs with style, and cells."""
    for keep, drop, wanted in (("ins", "del", new), ("del", "ins", old)):
        got = settle(root(data), keep, drop)
        assert lines(got) == lines(root(wanted)), keep
        assert rows(got) == rows(root(wanted)), keep


@pytest.mark.parametrize("name", CASES)
def test_both_ways(name, tmp_path):
    """Each kind of edit, in both directions; the file follows ISO/IEC 29500 and every mark has an id of its own."""
    old, new = word(OLD), word(changed(CASES[name]))
    for one, other in ((old, new), (new, old)):
        data = redline_docx(one, other, "A. Petrie", DAY)
        both_ways(one, other, data)
        tree = root(data)
        ids = [m.get(f"{W}id") for m in tree.iter(f"{W}ins", f"{W}del", f"{W}bookmarkStart")]
        assert len(ids) == len(set(ids))
        marks = list(tree.iter(f"{W}ins", f"{W}del"))
        assert bool(marks) == (name != "same")
        assert {(m.get(f"{W}author"), m.get(f"{W}date")) for m in marks} <= {("A. Petrie", "2026-11-12T00:00:00Z")}
        assert not [t for d in tree.iter(f"{W}del") for t in d.iter(f"{W}t", f"{W}instrText")]
        assert docx_faults(data, tmp_path) == []


def test_only_the_words_are_marked():
    """A changed figure marks that figure with its unit alone, not its sentence."""
    data = redline_docx(word(OLD), word(changed([("25 mph", "20 mph")])), "A", DAY)
    tree = root(data)
    assert ["".join(x.itertext()).strip() for x in tree.iter(f"{W}del")] == ["25 mph"]
    assert ["".join(x.itertext()).strip() for x in tree.iter(f"{W}ins")] == ["20 mph"]


def test_contents_header_and_stamp_are_not_compared():
    """Another stamp, another revision and another contents list leave no mark."""
    new = OLD.replace("## Afterwards", "## Later")
    data = redline_docx(
        WRITERS["docx"](document(OLD)).data, WRITERS["docx"](document(new, stamp="", revision="4")).data, "A", DAY
    )
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for part in ("word/header1.xml", "word/footer1.xml"):
            assert not re.search(rb"<w:(ins|del)[ >]", archive.read(part))
        assert b"DRAFT" not in archive.read("word/header1.xml")
    contents = next(root(data).iter(f"{W}sdt"))
    assert not list(contents.iter(f"{W}ins", f"{W}del"))
    assert "Later" in "".join(contents.itertext())


def test_numbering_is_untouched():
    """Lists keep their instances: what is left of a list stays one list, and a removed list has one of its own."""
    with zipfile.ZipFile(io.BytesIO(redline_docx(word(OLD), word(changed(CASES["list gone"])), "A", DAY))) as archive:
        numbers = etree.fromstring(archive.read("word/numbering.xml"))
    known = {n.get(f"{W}numId") for n in numbers.findall(f"{W}num")}
    data = redline_docx(word(OLD), word(changed(CASES["list"])), "A", DAY)
    used = {n.get(f"{W}val") for n in root(data).iter(f"{W}numId")}
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        known_now = {n.get(f"{W}numId") for n in etree.fromstring(archive.read("word/numbering.xml")).findall(f"{W}num")}
    assert used <= known_now | {"0"}
    assert len(known) > 3
    ordered = [
        p.find(f"{W}pPr/{W}numPr/{W}numId").get(f"{W}val")
        for p in root(data).iter(f"{W}p")
        if p.find(f"{W}pPr/{W}pStyle") is not None and p.find(f"{W}pPr/{W}pStyle").get(f"{W}val") == "ListNumber"
    ]
    assert len(set(ordered)) == 1


@pytest.mark.parametrize("seed", range(12))
def test_random_edits(seed):
    """Blocks dropped, doubled, swapped and words exchanged at random: both ways hold."""
    pick = random.Random(seed)
    blocks = [
        f"Sentence number {n} about the {w} and its {v}.\n{{: #c.s{n} .clause }}"
        for n, (w, v) in enumerate(
            (pick.choice(("rail", "hook", "ladder", "deck")), pick.choice(("limit", "mark", "label"))) for _ in range(25)
        )
    ]
    blocks += ["| A | B |\n| :-- | :-- |\n" + "\n".join(f"| r{n} | {pick.randint(1, 9)} |" for n in range(4))]
    other = [b for b in blocks if pick.random() > 0.2]
    for _ in range(3):
        i, j = pick.randrange(len(other)), pick.randrange(len(other))
        other[i], other[j] = other[j], other[i]
    other = [b.replace("rail", "beam") if pick.random() > 0.5 else b.replace("| r2 |", "| r9 |") for b in other]
    head = "# T\n\n## S {: #s }\n\nFirst.\n{: #c.first .clause }\n\n"
    old, new = (word(head + "\n\n".join(x) + "\n\nEnd.\n{: #c.end .clause }\n") for x in (blocks, other))
    both_ways(old, new, redline_docx(old, new, "A", DAY))


def test_a_filled_field_is_a_change_of_words(tmp_path):
    """A content control of a signature block: its prompt goes and the name comes, or the other way round."""
    form = "\n\nReview {{: .caption .form }}\n\n| | |\n| :-- | :-- |\n| Name | {} |\n| Date | **date**{{: .blank }} |\n"
    old, new = word(OLD + form.format("**name**{: .blank }")), word(OLD + form.format("A. Weir"))
    for one, other in ((old, new), (new, old)):
        data = redline_docx(one, other, "A. Petrie", DAY)
        both_ways(one, other, data)
        assert docx_faults(data, tmp_path) == []
        marks = ["".join(x.itertext()).strip("\xa0") for x in root(data).iter(f"{W}ins", f"{W}del")]
        assert sorted(filter(None, marks)) == ["A.\u00a0Weir", "name"]


def test_same_bytes():
    """The same two files, author and day give the same bytes."""
    old, new = word(OLD), word(changed(CASES["row"]))
    assert redline_docx(old, new, "A", DAY) == redline_docx(old, new, "A", DAY)


@pytest.mark.parametrize("data", [b"", b"PK", b"plain text"])
def test_what_is_no_docx_is_one_message(data):
    """A file that is none of ours is a RecordError that says which."""
    with refused(RecordError, match="the older file"):
        redline_docx(data, word(OLD), "A", DAY)


def test_align_keeps_everything_in_order():
    """Every item of both sequences comes out once, in its own order, and equal ones are paired."""
    pick = random.Random(7)
    for _ in range(200):
        old, new = ([pick.choice("abcdef") + pick.choice("xy") for _ in range(pick.randint(0, 9))] for _ in range(2))
        pairs = list(align(old, new, lambda x: x, lambda a, b: alike(a, b)))
        assert [a for a, _ in pairs if a is not None] == old
        assert [b for _, b in pairs if b is not None] == new


def test_split_words_lose_nothing():
    """The pieces together are the text."""
    for text in ("", " a  b ", "7.1 ft (2.16 m)", "Ünïcode–dash, 5\u00a0°C"):
        assert "".join(split_words(text)) == text


# HTML


def plain_lines(markdown):
    """The words of a text as HTML of nothing but itself shows them."""
    page = redline_html(markdown, markdown, "Redline", "en", words("en")["labels"]).decode("utf-8")
    assert "<ins>" not in page
    return strip(page)


def strip(page):
    body = page.partition("<main")[2].partition(">")[2]
    body = re.sub(r'<span class="number">.*?</span> ', "", body)
    found = [" ".join(re.sub(r"<[^>]*>", "", x).split()) for x in re.split(r"</(?:p|h\d|td|th|tr)>", body)]
    return [x for x in found if x]


@pytest.mark.parametrize("name", CASES)
def test_html_both_ways(name):
    """Without `del` the page reads as the new text, without `ins` as the old; it is valid HTML."""
    new = changed(CASES[name])
    page = redline_html(OLD, new, "Redline", "en-US", words("en")["labels"]).decode("utf-8")
    parser = html5lib.HTMLParser(strict=True)
    parser.parse(page)
    assert strip(re.sub(r"<del>.*?</del>", "", page)) == plain_lines(new)
    assert strip(re.sub(r"<ins>.*?</ins>", "", page)) == plain_lines(OLD)
    assert ("<ins>" in page or "<del>" in page) == (name not in ("same", "bold"))


# real documents, and LibreOffice


@pytest.fixture(scope="module")
def real(approved, tmp_path_factory):
    """The three documents of the demo before and after a device was exchanged and a contractor class renamed."""
    site = Path(shutil.copytree(approved, tmp_path_factory.mktemp("redline") / "site"))
    assert issue(site, FIRST, types=("md", "docx"))[1] == ()
    exchange(site)
    swap(
        site,
        ("name: Truck driver", "name: Truck crew"),
        ("    - {id: visitor, name: Visitor, may_climb: false, conditions: [stay with the escort]}\n", ""),
    )
    checked, _ = compared_site(check_site(site, LATER))
    papers = papers_of(checked, compare_site(checked), ("docx",), True, None, "en")
    made = compose_all(
        checked.site, checked.code, checked.assessed, checked.happened, ("md", "html", "docx"), records=checked.records
    )
    new = {d.name: WRITERS["docx"](d).data for d, _ in made if d.name != "index"}
    old = {p.stem: p.read_bytes() for p in (site / "issued/rev-001/documents").glob("*.docx")}
    return {"papers": papers, "old": old, "new": new}


REAL = ("fall-protection-plan", "contractor-notice", "rescue-procedure", "engineering-record")


@pytest.mark.parametrize("name", REAL)
def test_real_documents_both_ways(real, name, tmp_path):
    """Every document of the demo, all tables and drawings included; the author is the program where nobody is given."""
    data = real["papers"][f"{name}.redline.docx"]
    both_ways(real["old"][name], real["new"][name], data)
    assert {m.get(f"{W}author") for m in root(data).iter(f"{W}ins", f"{W}del")} == {"docgen"}
    assert docx_faults(data, tmp_path) == []


MACRO = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Settle" script:language="StarBasic">
Sub Run(source, target, command)
  Dim hidden(0) As New com.sun.star.beans.PropertyValue
  hidden(0).Name = "Hidden" : hidden(0).Value = True
  doc = StarDesktop.loadComponentFromURL(source, "_blank", 0, hidden())
  helper = createUnoService("com.sun.star.frame.DispatchHelper")
  helper.executeDispatch(doc.CurrentController.Frame, command, "", 0, Array())
  Dim kind(0) As New com.sun.star.beans.PropertyValue
  kind(0).Name = "FilterName" : kind(0).Value = "MS Word 2007 XML"
  doc.storeToURL(target, kind())
  doc.close(True)
End Sub
</script:module>
"""
LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false" library:passwordprotected="false">
 <library:element library:name="Settle"/>
</library:library>
"""


@pytest.fixture(scope="module")
def office(tmp_path_factory):
    """LibreOffice with a macro that accepts or rejects all changes: (data, command) -> data."""
    folder = tmp_path_factory.mktemp("office")
    (folder / "empty.txt").write_text("x", encoding="utf-8")
    run_office(folder, "--convert-to", "docx", "--outdir", str(folder), str(folder / "empty.txt"))
    library = folder / "profile/user/basic/Standard"
    library.mkdir(parents=True, exist_ok=True)
    (library / "Settle.xba").write_text(MACRO, encoding="utf-8")
    (library / "script.xlb").write_text(LIBRARY, encoding="utf-8")

    def run(data, command):
        source, target = folder / "in.docx", folder / "out.docx"
        source.write_bytes(data)
        target.unlink(missing_ok=True)
        call = f'macro:///Standard.Settle.Run("file://{source}","file://{target}",".uno:{command}")'
        run_office(folder, "--norestore", call)
        if not target.exists():
            pytest.skip("this LibreOffice runs no macro of the user's profile")
        return target.read_bytes()

    return run


@pytest.mark.parametrize("name", REAL)
def test_libreoffice_accepts_and_rejects(real, office, name):
    """LibreOffice's accept-all gives the words of the new document, its reject-all those of the old, paragraph by paragraph."""
    data = real["papers"][f"{name}.redline.docx"]
    for command, wanted in (("AcceptAllTrackedChanges", real["new"][name]), ("RejectAllTrackedChanges", real["old"][name])):
        got = office(data, command)
        plain = office(wanted, "AcceptAllTrackedChanges")  # the same journey without changes
        assert [t for _, t in lines(root(got)) if t.strip()] == [t for _, t in lines(root(plain)) if t.strip()], command
        assert rows(root(got)) == rows(root(plain)), command


def test_a_redline_lies_beside_no_path(real):
    """The papers of a comparison have plain names."""
    assert {Path(n).name for n in real["papers"]} == set(real["papers"])
