"""Every figure of the cases of 10,000 random sites against a second implementation that tries every end of every figure (`reference.cases`).

Run by hand: .venv/bin/python -m pytest tests/long/test_long_corners.py
Last run: 2026-11-26, 20 passed in 134 s (10,000 sites)
"""

import pytest
import test_corners


@pytest.mark.parametrize("seed", range(101, 121))
def test_many_random_sites(seed):
    """500 sites of each of twenty seeds, none of them a seed of the usual run: nothing on which the two do not agree."""
    verdicts, wrong = test_corners.disagreements(seed, 500)
    assert wrong == []
    assert sum(verdicts.values()) > 500
