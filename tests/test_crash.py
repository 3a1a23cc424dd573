"""A process killed at any point of issuing, approving or rendering leaves the old state or the new one, and loses nothing.

Each point is a real death: the process forks, and the child ends at its n-th call to the system with half of what it was
about to write on the disk. No clean-up of ours runs. From ISO/IEC/IEEE 29119-4 no more than the idea of fault injection.
"""

import dataclasses
import hashlib
import os
import shutil
import tempfile
from pathlib import Path

import pytest
from control_site import FIRST, TYPES, prepare, refused
from support import demo, papers

from docgen.compose.digest import clause_digest
from docgen.compose.number import number
from docgen.compose.tree import parse
from docgen.control import issue as control
from docgen.control.approve import Request, approve
from docgen.control.digests import verify
from docgen.errors import RecordError
from docgen.pipeline import check_site, compared_site
from docgen.records import read_records
from docgen.revisions import approve_site
from docgen.write.folder import write_all

DEAD = 77
CALLS = ("open", "mkdir", "link", "rename", "replace", "unlink", "chmod", "fsync", "close")

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")


class Torn:
    """A stream that dies at its turn after half of the data."""

    def __init__(self, stream, turn):
        self.stream, self.turn = stream, turn

    def write(self, data):
        if self.turn():
            self.stream.write(data[: len(data) // 2])
            self.stream.flush()
            os._exit(DEAD)
        return self.stream.write(data)

    def __getattr__(self, name):
        return getattr(self.stream, name)

    def __enter__(self):
        return self

    def __exit__(self, *what):
        return self.stream.__exit__(*what)


def die_at(point, action):
    """Run an action in a child that dies at its `point`-th call; the exit code, and how many calls there were if it lived."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reader)
            count = [0]

            def turn():
                count[0] += 1
                return count[0] == point

            def deadly(real):
                def call(*given, **named):
                    if turn():
                        os._exit(DEAD)
                    return real(*given, **named)

                return call

            real_fdopen, real_exit = os.fdopen, os._exit
            for name in CALLS:
                setattr(os, name, deadly(getattr(os, name)))
            os.fdopen = lambda *given, **named: Torn(real_fdopen(*given, **named), turn)
            action()
            os.write(writer, str(count[0]).encode())
            real_exit(0)
        except BaseException as error:  # the child must never come back into pytest
            os.write(writer, repr(error).encode()[:2000])
            os._exit(1)
    os.close(writer)
    said = b""
    while piece := os.read(reader, 4096):
        said += piece
    os.close(reader)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status), said.decode()


def calls_of(action):
    """How many calls an action makes."""
    code, said = die_at(0, action)
    assert code == 0, said
    return int(said)


def state(folder):
    """Every file that counts (not begun with a dot) with its digest."""
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(folder.rglob("*")) if p.is_file() and not any(part.startswith(".") for part in p.relative_to(folder).parts)
    }  # fmt: skip


def killed_while_issuing(site, issued, contents, empty):
    """At every call of an issue: no revision at all, or the whole of it; and the next try makes it. How many calls there were."""
    before = state(site)
    points = calls_of(lambda: control.issue(issued, contents, empty))
    made = 0
    for point in range(1, points + 1):
        with tempfile.TemporaryDirectory(dir=empty) as copy:
            folder = Path(copy)
            for name in before:
                target = folder / name
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes((site / name).read_bytes())
            code, said = die_at(point, lambda folder=folder: control.issue(issued, contents, folder))
            assert code == DEAD, said
            after = state(folder)
            assert {k: v for k, v in after.items() if not k.startswith("issued/")} == before
            records = read_records(folder, "harrow-ridge")
            if records.issued:
                made += 1
                assert verify(folder / "issued/rev-001") == ()
                assert len(after) == len(before) + len(contents)
            else:
                assert after == before
                control.issue(issued, contents, folder)
                assert verify(folder / "issued/rev-001") == ()
    assert 0 < made < points  # it died before the one step that counts and after it
    return points


def killed_while_rendering(old, new, checked, tmp_path):
    """At every call of a render over older files, one of them edited by hand: each file is the old or the new one, the edit is kept.

    `old` and `new` are (document, body) pairs with other text. How many calls there were.
    """

    def fresh(name):
        folder = tmp_path / name
        write_all(old, checked, folder, TYPES)
        (folder / "harrow-ridge" / "contractor-notice.md").write_bytes(b"written by hand\n")
        return folder

    start = fresh("start")
    before = state(start)
    write_all(new, checked, fresh("end"), TYPES)
    after = state(tmp_path / "end")
    assert {name for name in before if before[name] == after[name]} == set()
    count = Path(shutil.copytree(start, tmp_path / "count"))
    points = calls_of(lambda: write_all(new, checked, count, TYPES))
    hand = hashlib.sha256(b"written by hand\n").hexdigest()
    for point in range(1, points + 1):
        folder = Path(shutil.copytree(start, tmp_path / f"at-{point}"))
        code, said = die_at(point, lambda folder=folder: write_all(new, checked, folder, TYPES))
        assert code == DEAD, said
        found = state(folder)
        assert hand in found.values()
        for name, digest in found.items():
            assert digest in (before.get(name), after.get(name)), name
        assert set(before) <= set(found)
        shutil.rmtree(folder)
    return points


def one_clause(text):
    """Plan and notice of the demo cut down to one clause each: the same files by the same way, in no time."""
    pairs = []
    for name in ("fall-protection-plan", "contractor-notice"):
        document, body = papers("harrow-ridge")[name]
        clause = dataclasses.replace(body.clauses[0], text=text)
        markdown = f"# {document.title}\n\n## Only {{: #only }}\n\n{text}\n{{: #c.only .clause }}\n"
        tree = number(parse(markdown), document.labels)
        pairs.append((dataclasses.replace(document, markdown=markdown, tree=tree, figures={}),
                      dataclasses.replace(body, markdown=markdown, clauses=(clause,), digest=clause_digest(name, "en", clause))))  # fmt: skip
    return tuple(pairs)


def test_killed_while_issuing(approved, tmp_path):
    """At every call of the issue of one document of one page: no revision, or all of it (every document: tests/long)."""
    revision, contents = prepare(approved, "L. Brandt", wanted=("contractor-notice",))
    assert {"profile.yaml", "record.json", "SHA256SUMS", "documents/contractor-notice.md"} <= set(contents)
    assert killed_while_issuing(approved, revision, contents, tmp_path) >= 40


def test_killed_while_approving(approved, tmp_path):
    """At every call of an approval with its evidence: not recorded, or recorded whole; and the next try records it."""
    page = tmp_path / "page.pdf"
    page.write_bytes(b"%PDF-1.7 signed")
    checked, bodies = compared_site(check_site(approved, FIRST))
    request = Request("contractor-notice", "issuing-authority", "R. Oduya", FIRST, evidence=page)
    points = calls_of(lambda: approve(request, checked, bodies, tmp_path / "count", "en"))
    assert points >= 12
    for point in range(1, points + 1):
        folder = tmp_path / f"at-{point}"
        code, said = die_at(point, lambda folder=folder: approve(request, checked, bodies, folder, "en"))
        assert code == DEAD, said
        found = read_records(folder, "harrow-ridge").approvals
        assert len(found) in (0, 1)
        approve(request, checked, bodies, folder, "en")
        again = read_records(folder, "harrow-ridge").approvals
        assert len(again) == len(found) + 1
        kept = folder / "approvals" / again[-1].evidence
        assert hashlib.sha256(kept.read_bytes()).hexdigest() == again[-1].evidence_sha256


def test_killed_while_rendering(tmp_path):
    """At every call of a render of two documents of one clause each, in three types (every document: tests/long)."""
    points = killed_while_rendering(one_clause("Hook on."), one_clause("Hook on first."), demo("harrow-ridge"), tmp_path)
    assert points >= 30


def test_a_full_disk_is_one_message(approved, tmp_path, monkeypatch):
    """When the system refuses to write, nothing is recorded and the message names the place."""
    issued, contents = prepare(approved, "L. Brandt", wanted=("contractor-notice",))
    site = Path(shutil.copytree(approved, tmp_path / "site"))

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with refused(RecordError, match="No space left on device"):
        control.issue(issued, contents, site)
    assert list((site / "issued").iterdir()) == []
    with refused(RecordError, match="nothing was recorded"):
        approve_site(check_site(site, FIRST), site, Request("contractor-notice", "counsel", "A. Petrie", FIRST), "en")
