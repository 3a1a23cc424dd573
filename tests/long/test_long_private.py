"""No figure of the private file in any output: demos with and without texts that tell weights, every type, every document.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_private.py
Last run: 2026-11-25, 7 passed in 160 s (on a machine with other work)
"""

import pytest
from test_private import HOSTILE, TYPES, nothing_leaks


@pytest.mark.parametrize(
    ("demo", "edits"),
    [("harrow-ridge", ()), ("harrow-ridge", HOSTILE), ("cormorant-quay", ()), *(("harrow-ridge", (edit,)) for edit in HOSTILE)],
)
def test_no_weight_in_any_type(tmp_path, demo, edits):
    """Each demo, and each text that tells a weight alone and all of them together."""
    nothing_leaks(tmp_path, demo, edits, TYPES)
