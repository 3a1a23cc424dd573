"""Every need of every merged element, in both full demos: without what it names the element is not met.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_elements.py
Last run: 2026-11-25, 332 passed in 56 s (on a machine with other work)
"""

import pytest
from support import demo
from test_elements import FULL, is_missed, needs


@pytest.mark.parametrize("site", FULL)
@pytest.mark.parametrize(("key", "need"), needs())
def test_no_need_is_idle(site, key, need):
    """Each single need counts."""
    is_missed(demo(site), key, need)
