"""A site as version 0.1.0 left it: two revisions and their approvals, frozen as a case that later programs are held against."""

import hashlib
import json
from pathlib import Path

import pytest

FROZEN = Path(__file__).parent / "frozen" / "harrow-ridge-0.1.0"


@pytest.mark.parametrize("revision", ["rev-001", "rev-002"])
def test_sums(revision):
    """Nothing in a frozen revision was touched since it was made: sha256sum -c, in a few lines."""
    folder = FROZEN / "issued" / revision
    for line in (folder / "SHA256SUMS").read_text(encoding="utf-8").splitlines():
        wanted, name = line.split("  ", 1)
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == wanted, name


def test_chain():
    """The second revision names the digest of the first one's record, and what was approved lies beside each."""
    first, second = (FROZEN / "issued" / r / "record.json" for r in ("rev-001", "rev-002"))
    record = json.loads(second.read_text(encoding="utf-8"))
    assert record["digests"]["previous_record"] == hashlib.sha256(first.read_bytes()).hexdigest()
    assert [len(list((FROZEN / "issued" / r / "approved").iterdir())) for r in ("rev-001", "rev-002")] == [6, 4]
