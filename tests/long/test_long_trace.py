"""Every field of two demos changed once: no clause moves without a changed input.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_trace.py
Last run: 2026-11-25, 2 passed in 2096 s (on a machine with much other work)
"""

import pytest
from test_trace import DEMOS
from tracing import Experiment, named


@pytest.mark.parametrize("name", DEMOS)
def test_every_field(name):
    """The whole of what `test_trace.py` does a seeded part of; a field is left out only where no other value would be right."""
    experiment = Experiment(name)
    unexplained = {named(leaf): experiment.unexplained(leaf) for leaf in experiment.leaves}
    assert {field: clauses for field, clauses in unexplained.items() if clauses} == {}
    left_out = [field for field, clauses in unexplained.items() if clauses is None]
    assert [field for field in left_out if not field.endswith(".id")] == []
    assert experiment.moved > len(unexplained)
