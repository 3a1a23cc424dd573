"""The properties of the suite with ten times as many cases (conftest.py): reader, calculations, drawings.

Run by hand: .venv/bin/python -m pytest tests/long/test_long_properties.py
Last run: 2026-11-25, 19 passed in 183 s (on a machine with other work)
"""

import test_calc_properties
import test_figures
import test_read
from hypothesis import settings

PROPERTIES = {
    name: test
    for module in (test_read, test_calc_properties, test_figures)
    for name, test in vars(module).items()
    if name.startswith("test_") and hasattr(test, "hypothesis")
}
globals().update(PROPERTIES)


def test_this_is_the_long_run():
    """The profile is the long one, and every module with properties gave some."""
    assert settings.default.max_examples == 1000
    assert len(PROPERTIES) >= 15
