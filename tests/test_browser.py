"""The pages in a real browser: axe-core finds nothing, nothing is wider than a telephone, and the site page works from disk without a mouse."""

import io
from pathlib import Path

import pytest
from browser import axe_faults, opened
from support import compared

from docgen.pipeline import render_site

#: Two demos of which every paper is looked at; and those of which the site page is, with faults and with hardly anything known.
WHOLE = ("harrow-ridge", "pellan-creek")
PAGES = (*WHOLE, "cormorant-quay", "thornmere", "sable-point")
NARROW, WIDE = 360, 1200


@pytest.fixture(scope="module")
def folders(tmp_path_factory) -> dict[str, Path]:
    """The first demo as it is rendered, every type; of the others the pages."""
    into = tmp_path_factory.mktemp("out")
    made = {}
    for site in PAGES:
        checked, bodies = compared(site)
        types = ("md", "html", "docx", "pdf") if site == PAGES[0] else ("html",)
        made[site] = render_site(checked, into, types, bodies=bodies).folder
    return made


@pytest.fixture(scope="module")
def shown():
    """One page of a browser for all tests of this file, and what it asked for."""
    with opened() as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.asked = asked
        yield page


def at(page, width: int, path: Path) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(path.as_uri())


@pytest.mark.parametrize("site", WHOLE)
def test_axe_finds_nothing_on_any_paper(shown, folders, site):
    """Every page of a demo on a telephone, where blocks begin to scroll."""
    found = {}
    pages = sorted(p for p in folders[site].glob("*.html") if p.name != "index.html")
    assert len(pages) > 10
    for path in pages:
        at(shown, NARROW, path)
        found[path.name] = axe_faults(shown)
    assert {name: faults for name, faults in found.items() if faults} == {}


def test_nothing_is_wider_than_a_telephone(shown, folders):
    """On no page of any of these demos does the whole page move sideways; tables and drawings do so in a block of their own."""
    wide = {}
    for path in sorted(path for folder in folders.values() for path in folder.glob("*.html")):
        at(shown, NARROW, path)
        wide[f"{path.parent.name}/{path.name}"] = shown.evaluate("document.documentElement.scrollWidth")
    assert {name: width for name, width in wide.items() if width > NARROW} == {}


def test_axe_sees_what_is_wrong(shown, tmp_path):
    """Were a picture without words or a pale line there, axe-core would say so."""
    path = tmp_path / "wrong.html"
    path.write_text(
        '<!DOCTYPE html><html lang="en"><title>Wrong</title><main><h1>Wrong</h1><img src="x.png"><p style="color:#bbb">Pale</p></main>',
        encoding="utf-8",
    )
    at(shown, NARROW, path)
    assert {name for name, _ in axe_faults(shown)} == {"image-alt", "color-contrast"}


@pytest.mark.parametrize("width", [NARROW, WIDE])
@pytest.mark.parametrize("site", PAGES)
def test_axe_finds_nothing_on_the_site_page(shown, folders, site, width):
    """With every fold open, on a telephone and on a desk, of clean, thin and failing sites."""
    at(shown, width, folders[site] / "index.html")
    shown.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
    assert axe_faults(shown) == []
    assert shown.evaluate("document.documentElement.scrollWidth") <= width


def test_one_clicks_through_the_site_page(shown, folders):
    """The links at its head lead to their sections, each fold opens and closes, each paper opens and the way back leads to the page."""
    at(shown, WIDE, folders[PAGES[0]] / "index.html")
    for link in shown.locator("nav.contents a").all():
        link.click()
        target = shown.url.partition("#")[2]
        assert shown.locator(f"[id='{target}']").text_content() == link.text_content()
        assert shown.evaluate("name => document.getElementById(name).getBoundingClientRect().top", target) < 800
    folds = shown.locator("details")
    assert folds.count() >= 8
    for fold in folds.all():
        opened_first = fold.evaluate("fold => fold.open")
        fold.locator("summary").click()
        assert fold.evaluate("fold => fold.open") is not opened_first
        inner = fold.locator("table, figure, li").first
        assert inner.is_visible() is not opened_first
        if opened_first:
            fold.locator("summary").click()
    names = [link.get_attribute("href") for link in shown.locator("section a[href$='.html']").all()]
    pages = list(dict.fromkeys(names))
    assert len(pages) > 10
    for name in pages:
        shown.locator(f"a[href='{name}']").first.click()
        assert shown.url.endswith(f"/{name}")
        assert shown.locator("h1").count() == 1
        shown.go_back()
    with shown.expect_download() as taken:
        shown.locator("a[href='fall-protection-plan.docx']").click()
    assert taken.value.suggested_filename == "fall-protection-plan.docx"


def test_the_keyboard_is_enough(shown, folders):
    """The first stop is the link to the text; every link, fold and block that scrolls is a stop, and the enter key opens a fold."""
    at(shown, NARROW, folders[PAGES[0]] / "index.html")
    shown.keyboard.press("Tab")
    assert shown.evaluate("document.activeElement.className") == "skip"
    shown.keyboard.press("Enter")
    assert shown.url.endswith("#_text")
    stops = set()
    for _ in range(shown.locator("a, summary, [tabindex]").count() + 5):
        shown.keyboard.press("Tab")
        stops.add(shown.evaluate("document.activeElement.tagName"))
        if shown.evaluate("document.activeElement.tagName === 'SUMMARY' && !document.activeElement.parentElement.open"):
            shown.keyboard.press("Enter")
            assert shown.evaluate("document.activeElement.parentElement.open")
    assert {"A", "SUMMARY", "DIV"} <= stops
    assert shown.locator("details:not([open])").count() == 0


def test_the_site_page_prints_with_all_that_is_folded(shown, folders):
    """Printed as it is opened, folds closed: every block of every fold is on paper, on the sheet of the place."""
    pypdf = pytest.importorskip("pypdf")
    at(shown, WIDE, folders[PAGES[0]] / "index.html")
    closed = shown.locator("details:not([open])")
    assert closed.count() >= 4
    hidden = [cell for fold in closed.all() for cell in fold.locator("td, li > p, li li, figcaption").all_text_contents()]
    pages = pypdf.PdfReader(io.BytesIO(shown.pdf(prefer_css_page_size=True))).pages
    printed = "".join("".join(page.extract_text() for page in pages).split())
    assert [cell for cell in hidden if "".join(cell.split()) not in printed] == []
    assert [round(float(side)) for side in pages[0].mediabox[2:]] == [612, 792]


def test_nothing_is_asked_of_a_network(shown, folders):
    """The page is one file: opened from disk it asks for nothing but itself."""
    del shown.asked[:]
    page = folders["cormorant-quay"] / "index.html"
    at(shown, WIDE, page)
    assert shown.asked == [page.as_uri()]
