"""Demos altered at random: 1,500 of them through every command, one in ten as PDF too, and 60 of the full demo after its first issue.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_altered.py
Last run: 2026-11-26, 0 passed in 0 s
"""

import pytest
from altered import altered, tried

ALL_TYPES = ("md", "html", "docx", "pdf")


@pytest.mark.parametrize("number", range(10_000, 11_500))
def test_altered_demo(number, tmp_path):
    """`check` has problems with their places, or every paper is written in each type and every command answers."""
    tried(altered(number), tmp_path, ALL_TYPES if number % 10 == 0 else ALL_TYPES[:3], control=number % 3 == 0)


@pytest.mark.parametrize("number", range(20_000, 20_060))
def test_altered_after_issue(number, issued, tmp_path):
    """What `check` accepts is compared with the first revision, redlines and all."""
    tried(altered(number, ("harrow-ridge",)), tmp_path, ALL_TYPES[:3], base=issued)
