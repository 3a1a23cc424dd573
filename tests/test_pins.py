"""No clause, no finding's sentence and no digest of a demo moves unseen; pins are renewed with tests/pins/pin.py --write."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "pins"))

from pin import ALL, PINS, digests, texts

from docgen.papers import outlines

NAMES = {o.name for o in outlines()}


def _pinned(name: str) -> list[str]:
    return (PINS / name).read_text(encoding="utf-8").splitlines()


def _known() -> set[str]:
    """The documents that have pins, whatever bay they are of; one that was added since has none until pin.py is run."""
    return {line.split()[1].partition(".")[0] for line in _pinned("digests.txt")}


def _of_the_known(lines: list[str], known: set[str]) -> list[str]:
    """The lines of those documents, and of the findings: a document that was added moves nothing that was there."""
    return [line for line in lines if line.split(" ")[2].partition(".")[0] not in NAMES - known]


@pytest.mark.parametrize("site", ALL)
def test_texts(site):
    """Every clause of every document, and every finding, says what was pinned."""
    assert _of_the_known(texts(site), _known()) == _pinned(f"{site}.txt")


@pytest.mark.parametrize("site", ALL)
def test_digests(site):
    """A digest moves only with the format number of digests, or with the text: clients' approvals hang on it."""
    known = _known()
    now = [line for line in digests(site) if line.split()[1].partition(".")[0] in known]
    assert now == [line for line in _pinned("digests.txt") if line.startswith(f"{site} ")]


def test_every_document_of_ours_is_pinned():
    """The documents that ship have pins, and a line of a document that is none of them is left out of the comparison, and no other."""
    assert _known() >= {"fall-protection-plan", "contractor-notice", "rescue-procedure", "engineering-record"}
    lines = ["aa en contractor-notice.who", "bb en contractor-notice (whole)", "cc fit-lapsed people.users[U-01].fit"]
    assert _of_the_known(lines, {"contractor-notice"}) == lines
    assert _of_the_known(lines, {"rescue-procedure"}) == lines[2:]
