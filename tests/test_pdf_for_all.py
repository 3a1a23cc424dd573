"""Who hears a PDF is told what one sees on it: an independent checker, the order of reading, and nothing printed that no voice says."""

from __future__ import annotations

import importlib.util
import json
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

import pytest
from support import composed, demo
from test_write import pdf
from write.same_words import plain, tree_blocks

from docgen.papers import outline, papers

pikepdf = pytest.importorskip("pikepdf")

#: Two clean ones, a thin one, one full of faults, and one with a logo and a letterhead.
SITES = ("harrow-ridge", "pellan-creek", "sable-point", "cormorant-quay", "teal-harbor")
WRITTEN = tuple(paper.name for paper in papers() if paper.written and "pdf" in paper.types)
#: Running head and foot are no part of the text (ISO 14289-1, 7.8), and a head of a table is one once; the checker takes those on a paper of one or two
#: pages for prose that is lost. `test_nothing_printed_is_unsaid` asks what that rule is about, of every word.
OURS = "TAG-002"


@cache
def files(site):
    """Each paper of a demo that is written as PDF, the larger sheets too: name -> document and bytes."""
    found = {}
    for name, paper in composed(demo(site), ("pdf",), wanted=WRITTEN).items():
        if "pdf" in outline(name).types:
            found[name] = paper.document
            if paper.document.large:
                found[f"{name}.large"] = paper.document.enlarged
    return {name: (document, pdf(document).data) for name, document in found.items()}


def put(site, folder: Path) -> list[str]:
    """The files in a folder; the path of each."""
    for name, (_, data) in files(site).items():
        (folder / f"{name}.pdf").write_bytes(data)
    return sorted(str(path) for path in folder.glob("*.pdf"))


@pytest.mark.parametrize("site", SITES)
def test_an_independent_checker_finds_no_error(site, tmp_path):
    """outloud (PDF/UA-1 by ISO 14289-1, and the meaning of tags) finds no error on any paper; the program runs apart, since its libraries warn."""
    if importlib.util.find_spec("outloud") is None:
        pytest.skip("outloud is not installed")
    report = tmp_path / "report.json"
    ask = "from outloud.cli import main; main()"
    paths = put(site, tmp_path)
    subprocess.run(
        [sys.executable, "-c", ask, "--json", str(report), "--quiet", "--fail-on", "never", "--skip", OURS, *paths],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    results = json.loads(report.read_text(encoding="utf-8"))["results"]
    assert len(results) == len(paths) > 20
    assert not [(result["path"], result["error"]) for result in results if result["error"]]
    faults = [
        (Path(result["path"]).name, fault["rule"], fault["message"], fault.get("page"))
        for result in results for fault in result["findings"] if fault["severity"] == "error"
    ]  # fmt: skip
    assert faults == []
    ran = {rule["rule"] for result in results for rule in result["rules"] if rule["status"] == "ran"}
    assert {"DOC-012", "TAG-001", "TAG-003", "TBL-001", "TBL-002", "TBL-004", "FIG-001", "HDG-001", "LST-001"} <= ran


@cache
def heard(site):
    """What a reader by voice meets of each paper: its marked text in the order of the structure tree, and each alternative text; by the model of outloud."""
    model = pytest.importorskip("outloud.model")
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        for path in put(site, Path(folder)):
            document = model.Document(path)
            found[Path(path).stem] = list(_spoken(document, document.struct_root, None))
            document.close()
    return found


def _spoken(document, node, page):
    """Pairs of whether it is an alternative text, and the text; what an alternative text stands for is not read."""
    if "/Alt" in node:
        yield True, str(node.Alt)
        return
    kids = node.get("/K", [])
    page = document.page_index.get(node.Pg.objgen, page) if "/Pg" in node else page
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, int):
            yield False, document.content(page).mcid_text.get((None, kid)) or ""
        elif "/MCID" in kid:
            there = document.page_index.get(kid.Pg.objgen, page) if "/Pg" in kid else page
            yield False, document.content(there).mcid_text.get((None, int(kid.MCID))) or ""
        elif "/S" in kid or kid.get("/Type") == "/StructTreeRoot":
            yield from _spoken(document, kid, page)


@pytest.mark.parametrize("site", SITES)
def test_the_order_of_reading_is_that_of_the_text(site):
    """Every block of the text is found in the structure tree after the one before it."""
    for name, said in heard(site).items():
        document, _ = files(site)[name]
        stream, at = plain("".join(text for alternative, text in said if not alternative)), 0
        blocks = tree_blocks(document.tree)
        for block in blocks[1:] if document.layout in ("sign", "card") else blocks:
            found = stream.find(block, at)
            assert found >= 0, f"{name}: {block[:60]} (after {stream[at : at + 60]})"
            at = found + len(block)


@pytest.mark.parametrize("site", SITES)
def test_nothing_printed_is_unsaid(site):
    """Each word on a page, in head and foot and in drawings too, is text in the structure tree or alternative text; page numbers aside."""
    if not shutil.which("pdftotext"):
        pytest.skip("poppler is not installed")
    for name, said in heard(site).items():
        _, data = files(site)[name]
        told = subprocess.run(["pdftotext", "-", "-"], input=data, check=True, capture_output=True, timeout=60).stdout
        voiced = plain("".join(text for _, text in said))  # one string, since a word that is broken over lines is one
        silent = {word for word in map(plain, told.decode("utf-8").split()) if not word.isdigit() and word not in voiced}
        assert silent <= {"continued"}, name  # over the head of a table that goes on, which is an artifact there


@pytest.mark.parametrize("site", SITES)
def test_drawings_say_their_figures(site):
    """What is lettered in a drawing stands in its alternative text, whole: places, heights, distances, what they are called."""
    for name, (document, _) in files(site).items():
        for figure, drawing in document.figures.items():
            said = plain(drawing.alt)
            lettered = [text for item in drawing.items if (text := getattr(item, "text", None))]
            assert lettered, (name, figure)
            assert not [text for text in lettered if plain(text) not in said], (name, figure)
