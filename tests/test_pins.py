"""No clause, no finding's sentence and no digest of a demo moves unseen; pins are renewed with tests/pins/pin.py --write."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "pins"))

from pin import ALL, PINS, digests, texts


def _pinned(name: str) -> list[str]:
    return (PINS / name).read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize("site", ALL)
def test_texts(site):
    """Every clause of every document, and every finding, says what was pinned."""
    assert texts(site) == _pinned(f"{site}.txt")


@pytest.mark.parametrize("site", ALL)
def test_digests(site):
    """A digest moves only with the format number of digests, or with the text: clients' approvals hang on it."""
    assert digests(site) == [line for line in _pinned("digests.txt") if line.startswith(f"{site} ")]
