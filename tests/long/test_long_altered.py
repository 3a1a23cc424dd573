"""Demos altered at random: 1,500 of them through every command, a part as DOCX and PDF too, and 60 of the full demo after its first issue.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_altered.py
Last run: 2026-11-26, 698 passed (numbers 10000 to 10598 and 10750 to 10848, by `python tests/altered.py FIRST COUNT`; the rest has not run yet: the
machine was busy)
"""

import shutil
from pathlib import Path

import pytest
from altered import altered, tried, tried_in_turn
from control_site import FIRST, issue


@pytest.fixture(scope="module")
def in_words(approved, tmp_path_factory):
    """The full demo issued as DOCX too, since redlines are made from that."""
    site = Path(shutil.copytree(approved, tmp_path_factory.mktemp("first") / "site"))
    assert issue(site, FIRST, types=("md", "docx"))[1] == ()
    return site


@pytest.mark.parametrize("number", range(10_000, 11_500))
def test_altered_demo(number, tmp_path):
    """`check` has problems with their places, or every paper is written and every command answers."""
    tried_in_turn(number, tmp_path)


@pytest.mark.parametrize("number", range(20_000, 20_060))
def test_altered_after_issue(number, in_words, tmp_path):
    """What `check` accepts is compared with the first revision, redlines and all."""
    tried(altered(number, ("harrow-ridge",)), tmp_path, ("md", "html", "docx"), base=in_words)
