"""Two that issue at the same moment, by the real path: one revision, and the other is told that nothing is left or that the number is taken.

Each race is two processes forked from this one with the texts composed already, let go at one moment. From ISO 9001, 7.5.3, no more than that
a revision is identified: no text is issued twice.
"""

import os
import random
import shutil
from pathlib import Path

import pytest
from control_site import FIRST, approve_all, new_site

from docgen import revisions
from docgen.control.digests import verify
from docgen.control.sealed import whole
from docgen.errors import RecordError
from docgen.pipeline import check_site, compared_site
from docgen.records import read_records
from docgen.revisions import issue_site

RACES, TOLD = 200, {"nothing-to-issue-of-these": 3, "revision-taken": 4, "dated-before-the-last": 5}

#: So late that the other has made its revision: whoever read the records before must see what came since.
LATE = 1

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")


def racer(gate, checked, site, delay):
    """A process that waits at the gate, then issues the notice; it ends with 0, or with the number of what it was told."""
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        os.read(gate, 1)
        for _ in range(delay):
            pass
        while delay == LATE and not (site / "issued/rev-001").exists():
            pass
        try:
            made, _ = issue_site(checked, site, ("md",), "en", ("contractor-notice",), by=str(os.getpid()))
            code = 0 if made is not None else 2
        except RecordError as error:
            code = TOLD.get(error.name, 6)
    finally:
        os._exit(code)


def test_two_hundred_races(approved, tmp_path, monkeypatch):
    """In each race one makes revision 1, and the other is refused: never two revisions of one text, never a mixed one."""
    checked = check_site(approved, FIRST)
    composed = compared_site(checked)
    monkeypatch.setattr(
        revisions, "compared_site", lambda *_: composed
    )  # composed before: what races is reading, deciding and writing
    monkeypatch.setattr(revisions, "stated", lambda checked, bodies: checked)
    monkeypatch.setattr("docgen.write.fit.overflow", lambda _: ())  # sets type, which takes longer than all the rest
    warm = Path(shutil.copytree(approved, tmp_path / "warm"))
    assert issue_site(checked, warm, ("md",), "en", ("contractor-notice",))[0].revision == 1
    told = []
    chance = random.Random(14)
    for number in range(RACES):
        site = tmp_path / str(number)
        site.mkdir()
        shutil.copy(approved / "profile.yaml", site)
        shutil.copytree(approved / "approvals", site / "approvals")
        gate, opener = os.pipe()
        racers = [racer(gate, checked, site, delay) for delay in (0, chance.choice((0, 0, 2_000, 50_000, LATE)))]
        os.write(opener, b"go")
        codes = sorted(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in racers)
        os.close(gate)
        os.close(opener)
        assert codes[0] == 0, codes
        assert codes[1] in (TOLD["nothing-to-issue-of-these"], TOLD["revision-taken"]), codes
        assert [p.name for p in (site / "issued").iterdir()] == ["rev-001"]
        told.append(codes[1])
        if number % 20 == 0:
            assert verify(site / "issued/rev-001") == ()
            whole(read_records(site, "harrow-ridge"))
        shutil.rmtree(site)
    assert set(told) == {3, 4}  # told by the records, and at the number


def test_what_was_issued_meanwhile_leaves_nothing(tmp_path):
    """Whoever read the records before somebody else issued is refused by the records as they are when the number is taken."""
    site = new_site(tmp_path)
    approve_all(site, FIRST)
    early = check_site(site, FIRST)  # read while nothing was issued
    assert issue_site(check_site(site, FIRST), site, ("md",), "en")[0].revision == 1
    with pytest.raises(RecordError) as seen:
        issue_site(early, site, ("md",), "en")
    assert seen.value.name == "nothing-to-issue"
    assert [p.name for p in Path(site / "issued").iterdir()] == ["rev-001"]
