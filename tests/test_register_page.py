"""The register of many sites in a real browser: axe-core finds nothing, and search, choices, headings and folds of 1,000 lines do what they say."""

import pytest
from browser import axe_faults, opened
from registered import SHOWN, lines
from support import AS_OF

from docgen.portfolio.register import as_page, climb

NARROW, WIDE = 360, 1200
MANY = 1000


@pytest.fixture(scope="module")
def page():
    """One page of a browser for this module."""
    with opened() as one:
        yield one


@pytest.fixture(scope="module")
def rows():
    return lines(MANY)


@pytest.fixture(scope="module")
def folder(rows, tmp_path_factory):
    """The whole register, and one of its first lines and the last."""
    into = tmp_path_factory.mktemp("register")
    for name, some in (("all", rows), ("few", [*rows[:12], rows[-1]])):
        (into / f"{name}.html").write_text(as_page(some, AS_OF, "en", into), encoding="utf-8")
    return into


def at(page, path, width=WIDE):
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(path.as_uri())


def shown(page):
    """The first words of each line that is shown, in order: the name of its site in the folder."""
    page.wait_for_function("document.querySelector('tbody').getAttribute('aria-busy') === 'false'")
    return page.evaluate(
        "[...document.querySelectorAll('tbody tr')].filter(r => !r.hidden).map(r => r.querySelector('small').textContent)"
    )


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_axe_finds_nothing(page, folder, width):
    """With every line opened, on a telephone and on a desk, and after a sort and a search; the page itself never moves sideways."""
    at(page, folder / "few.html", width)
    assert axe_faults(page) == []
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
    page.locator("thead button").first.click()
    page.fill("#search", "ridge")
    assert axe_faults(page) == []
    page.fill("#search", "no such site")
    assert page.locator("#none").is_visible()
    assert axe_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_search_and_choices(page, folder, rows):
    """Lines that hold every word, of the client, place and state chosen; how many there are is said; all come back."""
    at(page, folder / "all.html")
    assert len(shown(page)) == MANY
    assert page.locator("#count").text_content() == f"{MANY} of {MANY} sites"
    page.fill("#search", "Clearance-tolerance SRD")
    assert shown(page) == [r["name"] for r in rows if _holds(r, "clearance-tolerance") and _holds(r, "srd")]
    page.fill("#search", "")
    page.select_option("#client", "client-07")
    mine = [r for r in rows if r["client"] == "client-07"]
    assert shown(page) == [r["name"] for r in mine]
    page.select_option("#climb", "closed")
    assert shown(page) == [r["name"] for r in mine if climb(r) == "closed"]
    place = rows[SHOWN.index("thornmere")]["jurisdiction"]
    page.select_option("#place", place)
    here = [r["name"] for r in mine if climb(r) == "closed" and r["jurisdiction"] == place]
    assert shown(page) == here
    assert 0 < len(here) < len(mine)
    for choice in ("client", "climb", "place"):
        page.select_option(f"#{choice}", "")
    assert len(shown(page)) == MANY
    page.fill("#search", "ridge")
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.locator("tbody tr:visible").count() == sum(_holds(r, "ridge") for r in rows) > 100  # all at once, for the printer
    page.emulate_media(media="screen")
    assert {climb(r) for r in rows} >= {"closed", "unknown"}


def _holds(row, word):
    words = [row["called"], row["name"], row["site"] or "", *row["models"], *row["must_fix"], *row["fix_soon"]]
    return word in " ".join(words).casefold()


def test_headings_sort(page, folder, rows):
    """A number as a number, a name as a name, twice for the other way; the heading says which; equals keep their order."""
    at(page, folder / "all.html")
    heads = page.locator("thead button")
    names = [b.get_attribute("data-by") for b in heads.all()]
    must = heads.nth(names.index("must"))
    must.click()
    count = {r["name"]: sum(r["must_fix"].values()) for r in rows}
    up = sorted((r["name"] for r in rows), key=lambda name: count[name])
    assert shown(page) == up
    assert page.locator("thead th").nth(names.index("must")).get_attribute("aria-sort") == "ascending"
    must.click()
    assert [count[name] for name in shown(page)] == sorted(count.values(), reverse=True)
    heads.nth(0).click()
    assert shown(page) == [r["name"] for r in sorted(rows, key=lambda r: r["called"].casefold())]
    assert page.locator("thead th[aria-sort='ascending']").count() == 1


def test_a_line_opens(page, folder, rows):
    """By the keyboard too: its bays with why, what must be fixed, and of a site that could not be read the reason."""
    at(page, folder / "few.html")
    fold = page.locator("tbody details").first
    fold.locator("summary").focus()
    page.keyboard.press("Enter")
    told = fold.locator("li").all_text_contents()
    assert told[0].startswith(rows[0]["bays"][0]["name"])
    assert f"Papers: {rows[0]['papers']['for-approval']} for approval" in told
    last = page.locator("tbody details").last
    last.locator("summary").click()
    assert last.locator("li").all_text_contents() == ["log.yaml:3:1: the file cannot be read"]
