"""Sealed records: what was altered, exchanged, added or taken away is named by the next record; signatures that a public tool verifies; modes.

Outside checks: hashlib for every digest, `ssh-keygen -Y verify` for signatures, the system for the rights of files.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from control_site import FIRST, LATER, approve, issue, new_site, prepare, refused

from docgen.cli import main
from docgen.control import issue as control
from docgen.control.sealed import broken, whole
from docgen.control.sign import NAMESPACE, Signer
from docgen.errors import RecordError, Refusal
from docgen.pipeline import check_site
from docgen.records import read_records
from docgen.revisions import withdraw_site

FAR = "2030-01-01"  # no day of these records lies after it


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def edit(path, **values):
    """Change a record by hand, its form kept."""
    data = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps(data | values, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def mend(folder):
    """The list of digests of a revision written again, as whoever alters it would."""
    files = sorted(p for p in folder.rglob("*") if p.is_file() and p.name != "SHA256SUMS")
    lines = [f"{digest(p)}  {p.relative_to(folder).as_posix()}\n" for p in files]
    (folder / "SHA256SUMS").write_text("".join(lines), encoding="utf-8")


def mend_record(folder):
    """The digests in the record of a revision and its list written again."""
    named = json.loads((folder / "record.json").read_text(encoding="utf-8"))["files"]
    edit(folder / "record.json", files={name: digest(folder / name) for name in named})
    mend(folder)


@pytest.fixture(scope="module")
def sealed(issued, tmp_path_factory):
    """An issued site with two approvals after the issue, one with a signed page; to be copied."""
    site = Path(shutil.copytree(issued, tmp_path_factory.mktemp("sealed") / "site"))
    page = site.parent / "page.pdf"
    page.write_bytes(b"%PDF-1.7 signed page")
    approve(site, LATER, document="contractor-notice", role="counsel", by="A. Petrie", evidence=page)
    approve(site, LATER, document="contractor-notice", role="issuing-authority", by="R. Oduya")
    return site


@pytest.fixture
def site(sealed, tmp_path):
    """A copy to alter."""
    return Path(shutil.copytree(sealed, tmp_path / "site"))


def byte_changed(site):
    page = site / "issued/rev-001/documents/contractor-notice.md"
    page.write_bytes(page.read_bytes().replace(b"climb", b"climd", 1))
    mend(site / "issued/rev-001")


def file_added(site):
    (site / "issued/rev-001/documents/more.md").write_text("x", encoding="utf-8")
    mend(site / "issued/rev-001")


def reason_changed(site):
    edit(site / "issued/rev-001/record.json", reason="Another reason")
    mend(site / "issued/rev-001")


def frozen_exchanged(site):
    edit(site / "issued/rev-001/approved/A-0003.json", by="B. Petrie")
    mend_record(site / "issued/rev-001")


def both_exchanged(site):
    edit(site / "approvals/A-0003.json", by="B. Petrie")
    edit(site / "issued/rev-001/approved/A-0003.json", by="B. Petrie")
    mend_record(site / "issued/rev-001")


def copied_by_hand(site):
    shutil.copy(site / "approvals/A-0010.json", site / "approvals/A-0011.json")
    edit(site / "approvals/A-0011.json", id="A-0011", by="R. Oduya")


ALTERED = {
    "a name in an approval": (lambda s: edit(s / "approvals/A-0003.json", by="B. Petrie"), "approvals/A-0003.json", "differs"),
    "a day in an approval": (lambda s: edit(s / "approvals/A-0001.json", on="2026-09-01"), "approvals/A-0001.json", "differs"),
    "the last approval that a revision names": (
        lambda s: [(s / f"approvals/A-{n:04d}.json").unlink() for n in (8, 9, 10)], "approvals/A-0008.json", "missing",
    ),
    "the last revision": (lambda s: shutil.rmtree(s / "issued/rev-001"), "issued/rev-001/record.json", "missing"),
    "one byte of a paper, its list mended": (byte_changed, "issued/rev-001/documents/contractor-notice.md", "differs"),
    "one byte of a paper, list and record mended": (
        lambda s: (byte_changed(s), mend_record(s / "issued/rev-001")), "issued/rev-001/record.json", "differs",
    ),
    "a file more, the list mended": (file_added, "issued/rev-001/documents/more.md", "added"),
    "a file less": (lambda s: (s / "issued/rev-001/check.json").unlink(), "issued/rev-001/check.json", "missing"),
    "the reason of a revision": (reason_changed, "issued/rev-001/record.json", "differs"),
    "a frozen approval": (frozen_exchanged, "approvals/A-0003.json", "differs"),
    "an approval and its frozen copy": (both_exchanged, "issued/rev-001/record.json", "differs"),
    "an approval copied by hand": (copied_by_hand, "approvals/A-0011.json", "unchained"),
    "the signed page": (lambda s: next(s.glob("approvals/evidence/*")).write_bytes(b"%PDF other"), "approvals/evidence/", "differs"),
    "no signed page": (lambda s: next(s.glob("approvals/evidence/*")).unlink(), "approvals/evidence/", "missing"),
}  # fmt: skip


@pytest.mark.parametrize(("alter", "file", "how"), ALTERED.values(), ids=ALTERED)
def test_what_was_altered_is_named(alter, file, how, site):
    """Each alteration is named by file and kind, whatever else was mended to hide it."""
    assert tuple(broken(read_records(site, "harrow-ridge"))) == ()
    alter(site)
    found = {b.file.relative_to(site).as_posix(): b.how for b in broken(read_records(site, "harrow-ridge"))}
    assert any(name.startswith(file) and found[name] == how for name in found), found
    with refused(RecordError, match=r"a record is never edited: put it back from a copy"):
        whole(read_records(site, "harrow-ridge"))


PLACES = ("approvals/A-0011.json", "issued/rev-001/documents/more.md", "issued/rev-001/record.json", "issued/rev-001/SHA256SUMS",
          "issued/rev-001/documents/contractor-notice.md", "withdrawn/W-0001.json")  # fmt: skip


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
@pytest.mark.parametrize("name", PLACES)
def test_a_pipe_among_the_records_keeps_nobody_waiting(name, site):
    """A pipe in the place of a record, or more than there was: one message that names it, and no wait for a writer."""
    (site / name).unlink(missing_ok=True)
    (site / name).parent.mkdir(exist_ok=True)
    os.mkfifo(site / name)
    done = subprocess.run(
        [sys.executable, "-m", "docgen.cli", "check", str(site), "--as-of", "2026-11-16"],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert f"{site}/{name}: this is a folder or a pipe, and no file" in done.stderr


COMMANDS = (
    ("check", "--as-of"), ("render", "--types", "md", "--into", "{out}", "--as-of"), ("changes", "--as-of"), ("register", "--into", "{out}", "--on"),
    ("show", "--into", "{out}", "--on"), ("issue", "--on"), ("hold", "on", "--by", "A. Petrie", "--reason", "Claim", "--on"),
    ("approve", "--document", "contractor-notice", "--role", "counsel", "--by", "A. Petrie", "--on"),
    ("withdraw", "1", "--by", "R. Oduya", "--reason", "Wrong", "--on"),
)  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS, ids=[c[0] for c in COMMANDS])
def test_every_command_looks(command, site, tmp_path, capsys):
    """No command goes on over an altered record: one message that names the file, exit 2, nothing printed as a result, nothing written."""
    edit(site / "approvals/A-0003.json", by="B. Petrie")
    before = {p: p.read_bytes() for p in site.rglob("*") if p.is_file()}
    name, *rest = (word.format(out=tmp_path / "out") for word in command)
    place = (rest[0],) if name in ("hold", "withdraw") else ()
    assert main([name, str(site), *place, *rest[len(place) :], "2026-11-16"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert f"{site}/approvals/A-0003.json is not what was recorded (known by {site}/" in said.err
    assert {p: p.read_bytes() for p in site.rglob("*") if p.is_file()} == before
    assert not (tmp_path / "out").exists()


def test_the_newest_record_can_go_unseen(site):
    """What no later record names is not missed: the last approval, as DEVELOPERS.md says. The next record seals it."""
    kept = (site / "approvals/A-0010.json").read_bytes()
    (site / "approvals/A-0010.json").unlink()
    assert tuple(broken(read_records(site, "harrow-ridge"))) == ()
    (site / "approvals/A-0010.json").write_bytes(kept)
    approve(site, LATER, document="contractor-notice", role="issuing-authority", by="R. Oduya")
    (site / "approvals/A-0010.json").unlink()
    (site / "approvals/A-0011.json").rename(site / "approvals/A-0010.json")
    edit(site / "approvals/A-0010.json", id="A-0010")
    assert {b.how for b in broken(read_records(site, "harrow-ridge"))} == {"differs", "unchained"}


def test_nothing_is_issued_over_an_altered_approval(approved, tmp_path):
    """An approval that was altered before the first issue is named by the one after it, and no revision freezes it."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    edit(site / "approvals/A-0003.json", by="B. Petrie")
    with refused(RecordError, match=r"A-0003\.json is not what was recorded \(known by .*A-0004\.json\)"):
        issue(site, FIRST, types=("md",))
    assert not (site / "issued").exists()


@pytest.mark.parametrize("altered", [{"by": "Z. Stranger"}, {"on": "2024-11-01"}], ids=["name", "day"])
def test_nothing_is_issued_on_the_word_of_one_whom_nobody_named(altered, approved, tmp_path):
    """The newest approval, whose digest no later record holds: with another name, or a day on which nobody held the part, it carries no issue."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    last = max(site.glob("approvals/A-*.json"))
    edit(last, **altered)
    revision, against = issue(site, FIRST, types=("md",))
    assert revision is None
    assert [(r.name, r.values["id"]) for r in against] == [("approval-by-another", last.stem)]


def test_approve_prints_its_digest_and_the_next_record_keeps_it(tmp_path, capsys):
    """The digest that approve prints is that of the file (hashlib), and the next approval holds it."""
    site = new_site(tmp_path)
    given = ["approve", str(site), "--on", "2026-11-01", "--document", "contractor-notice"]
    for number, (role, by) in enumerate((("counsel", "A. Petrie"), ("issuing-authority", "R. Oduya")), 1):
        assert main([*given, "--role", role, "--by", by]) == 0
        assert f"digest of this record {digest(site / f'approvals/A-000{number}.json')}" in capsys.readouterr().out
    second = json.loads((site / "approvals/A-0002.json").read_text(encoding="utf-8"))
    assert second["before"] == {"approvals/A-0001.json": digest(site / "approvals/A-0001.json")}


# signatures

SIGNING = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not on this machine")


@pytest.fixture(scope="module")
def key(tmp_path_factory):
    """A key of the test's own, and the list of signers that a stranger would be given."""
    folder = tmp_path_factory.mktemp("key")
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "test", "-f", str(folder / "key")], check=True)
    public = (folder / "key.pub").read_text(encoding="utf-8").split()
    (folder / "allowed").write_text(f"clerk@site.test {public[0]} {public[1]}\n", encoding="utf-8")
    return folder / "key"


def verified(key, file):
    """Whether the public tool takes the signature beside a file."""
    words = ("-Y", "verify", "-f", key.parent / "allowed", "-I", "clerk@site.test", "-n", NAMESPACE, "-s", f"{file}.sig")
    return (
        subprocess.run(["ssh-keygen", *map(str, words)], input=file.read_bytes(), capture_output=True, check=False).returncode
        == 0
    )


@SIGNING
def test_signed_records_are_verified_by_a_public_tool(approved, key, tmp_path, capsys):
    """approve, issue and withdraw with --sign leave a signature each that ssh-keygen verifies; an altered record is refused by it."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    sign = ["--sign", str(key), "--on", "2026-11-01"]
    assert main(["approve", str(site), "--document", "contractor-notice", "--role", "counsel", "--by", "A. Petrie", *sign]) == 0
    print_of_key = subprocess.run(
        ["ssh-keygen", "-l", "-f", str(key)], capture_output=True, text=True, check=True
    ).stdout.split()[1]
    assert f"signed with {print_of_key}" in capsys.readouterr().out
    assert main(["issue", str(site), "--types", "md", *sign]) == 0
    assert main(["withdraw", str(site), "1", "--by", "R. Oduya", "--reason", "Wrong day", *sign]) == 0
    files = [site / name for name in ("approvals/A-0009.json", "issued/rev-001/record.json", "withdrawn/W-0001.json")]
    for file in files:
        assert json.loads(file.read_text(encoding="utf-8"))["signed_with"] == print_of_key
        assert verified(key, file)
    whole(read_records(site, "harrow-ridge"))
    kept = files[2].read_bytes()
    edit(files[2], by="A. Petrie")  # the newest record: no later one names it, the signature does
    assert not verified(key, files[2])
    assert [(b.file, b.how) for b in broken(read_records(site, "harrow-ridge"))] == [(files[2], "unsigned")]
    with refused(RecordError, match=r"W-0001\.json is not what was signed \(known by .*W-0001\.json\.sig\)"):
        check_site(site, FIRST)
    other = tmp_path / "other"  # signed again by somebody else, under the fingerprint of the first
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(other)], check=True)
    files[2].with_name("W-0001.json.sig").write_bytes(Signer(other).signature(files[2].read_bytes()))
    assert [(b.file, b.how) for b in broken(read_records(site, "harrow-ridge"))] == [(files[2], "unsigned")]
    files[2].write_bytes(kept)
    files[2].with_name("W-0001.json.sig").write_bytes(Signer(key).signature(kept))
    files[1].with_name("record.json.sig").unlink()
    mend(files[1].parent)
    assert [(b.file.name, b.how) for b in broken(read_records(site, "harrow-ridge"))] == [("record.json.sig", "missing")]


@SIGNING
def test_what_is_no_key_signs_nothing(approved, tmp_path):
    """A file that is no key, or is not there: one refusal, and nothing is recorded."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    (tmp_path / "no key").write_text("nothing", encoding="utf-8")
    from docgen.control.approve import recorded

    approval = read_records(site, "harrow-ridge").approvals[0]
    for file in (tmp_path / "no key", tmp_path / "absent", tmp_path):
        with refused(Refusal, match="no key to sign with"):
            recorded(approval, None, site, file)
    assert len(list(site.glob("approvals/A-*"))) == 8


def test_without_the_tool_nothing_is_signed(approved, tmp_path, monkeypatch):
    """A machine without the tool: one refusal that says so."""
    from docgen.control.sign import Signer

    (tmp_path / "key").write_text("x", encoding="utf-8")
    monkeypatch.setenv("PATH", str(tmp_path))
    with refused(Refusal, match="a signature is made with ssh-keygen, which is not on this machine"):
        Signer(tmp_path / "key")


# rights


@pytest.mark.parametrize(("mask", "file", "folder"), [(0o077, 0o600, 0o700), (0o027, 0o640, 0o750), (0o002, 0o664, 0o775)])
def test_records_respect_the_umask(mask, file, folder, approved, tmp_path):
    """Approvals, evidence, revisions and what a hold adds to the log have the rights that the user's umask leaves."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    page = tmp_path / "page.pdf"
    page.write_bytes(b"%PDF-1.7 signed")
    made, contents = prepare(site, "L. Brandt", wanted=("contractor-notice",))
    before = set(site.rglob("*"))
    old = os.umask(mask)
    try:
        approve(site, FIRST, document="contractor-notice", role="counsel", by="A. Petrie", evidence=page)
        control.issue(made, contents, site)
        withdraw_site(check_site(site, FIRST), site, "A-0009", "R. Oduya", "Typed twice")
    finally:
        os.umask(old)
    new = set(site.rglob("*")) - before
    assert {p.name for p in new} >= {"A-0009.json", "record.json", "W-0001.json", "rev-001", "documents", "evidence"}
    for path in new:
        assert path.stat().st_mode & 0o777 == (folder if path.is_dir() else file), path
