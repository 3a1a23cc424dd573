"""The demo sites give exactly the accepted texts; a change is read and accepted with tests/golden/accept.py --write."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "golden"))

from accept import GOLDEN, SITES, fresh


@pytest.mark.parametrize("site", SITES)
def test_golden(site):
    """Markdown of every document and the JSON of the check, line by line."""
    texts = fresh(site)
    accepted = {p.name: p.read_text(encoding="utf-8") for p in sorted((GOLDEN / site).iterdir())}
    assert set(texts) == set(accepted)
    for name in texts:
        assert texts[name].splitlines() == accepted[name].splitlines(), f"{site}/{name}: see tests/golden/accept.py"
