"""A browser that the tests drive: headless Chromium with axe-core in its pages. Started once for many pages, for a start costs a second."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

__all__ = ["axe_faults", "opened"]

PROGRAMS = ("chromium", "chromium-browser", "google-chrome")


@contextmanager
def opened(offline: bool = True) -> Iterator[Any]:
    """One empty page of a browser, without a network unless it is to reach a server of this machine; skips with a reason where the browser or its driver is not there."""
    driver = pytest.importorskip("playwright.sync_api", reason="the driver of the browser (playwright) is not installed")
    program = next((path for name in PROGRAMS if (path := shutil.which(name))), None)
    if program is None:
        pytest.skip("no Chromium on this machine")
    with driver.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=program, args=["--no-sandbox"])
        try:
            yield browser.new_page(offline=offline)
        finally:
            browser.close()


def axe_faults(page: Any) -> list[tuple[str, str]]:
    """What axe-core finds on the page that is shown, all its rules asked: name of the rule and the first place."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core (axe-playwright-python) is not installed")
    found = axe.Axe().run(page).response["violations"]
    return [(fault["id"], fault["nodes"][0]["html"]) for fault in found]
