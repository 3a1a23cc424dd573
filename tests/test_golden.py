"""The demo sites give exactly the accepted texts; a change is read and accepted with tests/golden/accept.py."""

import sys
from pathlib import Path

import pytest
from accepting import settle

sys.path.insert(0, str(Path(__file__).parent / "golden"))

from accept import GOLDEN, SITES, fresh


@pytest.mark.parametrize("site", SITES)
def test_golden(site):
    """Markdown of every document named there and the JSON of the check, line by line."""
    texts = fresh(site)
    accepted = {p.name: p.read_text(encoding="utf-8") for p in sorted((GOLDEN / site).iterdir())}
    assert set(texts) == set(accepted)
    for name in texts:
        assert texts[name].splitlines() == accepted[name].splitlines(), f"{site}/{name}: see tests/golden/accept.py"


@pytest.mark.parametrize(
    ("arguments", "code", "written"),
    [([], 1, False), (["--write"], 1, False), (["--write", "--lines"], 1, False), (["--write", "--lines", "3"], 1, False),
     (["--write", "--lines", "2"], 0, True)],
)  # fmt: skip
def test_nothing_is_accepted_unread(arguments, code, written, capsys):
    """What differs is taken only by somebody who names the number of lines that differ; here one went and one came."""
    taken = []
    rows = [
        ("same", ["a"], ["a"], lambda: taken.append("same")),
        ("other", ["a", "b"], ["a", "c"], lambda: taken.append("other")),
    ]
    assert settle(arguments, "texts", rows) == code
    said = capsys.readouterr().out
    assert "-b\n+c\n1 texts differ in 2 lines\n" in said
    assert taken == (["other"] if written else [])
    assert ("nothing was written" in said) is (arguments != [] and not written)


def test_what_is_the_same_is_no_difference(capsys):
    """Nothing differs: exit code 0, and nothing is written."""
    assert settle(["--write", "--lines", "0"], "texts", [("same", ["a"], ["a"], lambda: 1 / 0)]) == 0
    assert capsys.readouterr().out == "0 texts differ\n"
