"""Marks for the whole suite, and sites that were approved and issued once.

Every test is `fast` but for those named here. `pytest -m fast` is for while one works; the rest is for before one hands over.
What takes minutes lies in tests/long and runs only when it is asked for by name: see tests/long/README in each file's head.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from control_site import Story, issued_site, story_site

LONG = Path(__file__).resolve().parent / "long"

# File -> tests that open the office suite, kill processes, write every type of the full demo, or try a case a hundred times.
SLOW: dict[str, frozenset[str]] = {
    "test_calc_independent.py": frozenset({"test_symbols_of_energy"}),
    "test_check.py": frozenset({"test_thousands_of_wrong_references_stay_bounded", "test_a_hundred_problems_are_enough"}),
}
