"""The story of two revisions: a device is exchanged, what lapses is approved again, and what was in force before can be shown; also by the commands.

Outside check: hashlib (and nothing of ours) re-verifies what is shown.
"""

import hashlib
import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from composed_once import composed_once
from control_site import (
    LATER,
    SIGNERS,
    exchange,
)

from docgen.cli import main
from docgen.control.say import shown
from docgen.records import read_records
from docgen.revisions import show_site


@pytest.fixture(scope="module", autouse=True)
def _composed_once():
    """The texts of the site are composed once for each state of its profile."""
    with composed_once():
        yield


def test_the_story_names_the_clauses(story):
    """The clauses that print or rest on the arrest distance, and no clause of the notice, are named as changed."""
    ids = {c.id for c in story["changes"].clauses}
    assert {
        "engineering-record.chain.S1",
        "engineering-record.cases",
        "engineering-record.devices",
        "fall-protection-plan.sheet.B1",
        "rescue-procedure.heights",
    } <= ids
    assert not [i for i in ids if i.startswith("contractor-notice.")]
    assert "engineering-record.chain.S2" not in ids


def test_the_story_lapses_the_engineer_and_not_counsel(story):
    """The approval of the calculations lapses, with the clause and the value; counsel's stands, since the notice is the same."""
    by_role = {(s.approval.document, s.approval.role): s for s, _ in story["changes"].approvals}
    engineer = by_role["engineering-record", "qualified-person"]
    assert not engineer.stands
    assert any(
        (p, shown(o, "en"), shown(n, "en")) == ("equipment[D-1].arrest_distance", "30 in", "36 in")
        for x in engineer.lapses
        for p, o, n in x.inputs
    )
    assert by_role["contractor-notice", "counsel"].stands
    assert by_role["contractor-notice", "issuing-authority"].stands


def test_the_story_says_whom_to_retrain_and_what_to_replace(story):
    """All users and all rescuers of the profile by name, and where rescue procedure and rescue card, which print the height of the ring, hang."""
    told = {x.who: x.names for x in story["changes"].tell}
    assert told["users"] == ("U-01", "U-02", "U-03", "U-04", "U-05", "U-06")
    assert told["rescuers"] == ("RS-1", "RS-2", "RS-3", "RS-4", "RS-5", "RS-6")
    assert [r.posting for r in story["changes"].replace] == ["CAB-1", "CARD-1"]


def test_the_story_refuses_before_approval(story):
    """Nothing is issued while lapsed approvals are not given again, and each is named."""
    revision, against = story["refused"]
    assert revision is None
    assert len(against) == 4
    assert {r.name for r in against} == {"approval-lapsed"}


def test_the_story_issues_what_changed(story):
    """Revision 2 holds the documents whose text changed and supersedes revision 1; the notice stays at revision 1."""
    assert story["against"] == ()
    second = story["second"]
    assert (second.revision, second.supersedes, second.on) == (2, 1, LATER)
    assert {t.document for t in second.texts} == {
        "fall-protection-plan",
        "rescue-procedure",
        "rescue-card.B1",
        "engineering-record",
        "training-outline",
    }
    records = read_records(story["site"], "harrow-ridge")
    assert records.in_force("contractor-notice", "en").revision == 1
    assert records.in_force("fall-protection-plan", "en").revision == 2
    plan = (story["site"] / "issued/rev-002/documents/fall-protection-plan.md").read_text(encoding="utf-8")
    assert "revision 2, issued 2026-11-12" in plan
    assert "DRAFT" not in plan
    assert "FOR APPROVAL" not in plan
    assert re.search(r"\| 2 \| 2026-11-12 \| Device D-1 replaced \| .*R\. Oduya, issuing authority \(A-0010\)", plan)
    record = (story["site"] / "issued/rev-002/documents/engineering-record.md").read_text(encoding="utf-8")
    assert re.search(r"\| 2 \| 2026-11-12 \| Device D-1 replaced \| .*T\. Maran, qualified person \(A-0009\)", record)
    assert re.search(r"\| 1 \| 2026-11-01 \| First issue \|", plan)


def test_the_story_shows_revision_1_as_of_its_day(story, tmp_path):
    """What was in force before the change can be gathered afterwards, with digests that hashlib alone confirms."""
    folder = show_site(story["site"], date(2026, 11, 5), tmp_path, "en")
    plan = folder / "revisions/rev-001/documents/fall-protection-plan.md"
    assert plan.read_bytes() == (story["site"] / "issued/rev-001/documents/fall-protection-plan.md").read_bytes()
    assert not (folder / "revisions/rev-002").exists()
    assert not (folder / "approvals/A-0009.json").exists()
    lines = (folder / "SHA256SUMS").read_text(encoding="utf-8").splitlines()
    listed = {name: digest for digest, name in (line.split("  ", 1) for line in lines)}
    present = {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.rglob("*") if p.is_file()
    }
    del present["SHA256SUMS"]
    assert listed == present
    page = (folder / "contents.md").read_text(encoding="utf-8")
    for part in (
        "Fall-protection plan | en | 1 | 2026-11-01",
        "| GATE-1 |",
        "| U-01 |",
        "| D-1 |",
        "| 2026-09-22 | M2 |",
        "posted-limit-at-condition",
    ):
        assert part in page, part


def test_the_story_from_the_command_line(approved, tmp_path, capsys):
    """The same story by the commands as README tells it, with their exit codes; the last approval is given by command, the others are on record."""
    site, out = Path(shutil.copytree(approved, tmp_path / "site")), tmp_path / "out"
    (site / "approvals" / f"A-{len(SIGNERS):04d}.json").unlink()
    name = str(site)

    def run(*arguments):
        code = main(list(arguments))
        return code, capsys.readouterr().out

    assert run("issue", name, "--on", "2026-11-01")[0] == 1
    for document, role, by, scope in SIGNERS[-1:]:
        code, said = run(
            "approve", name, "--document", document, "--role", role, "--by", by, "--scope", ",".join(scope), "--on", "2026-11-01"
        )
        assert code == 0
        assert "not an electronic signature" in said
    code, said = run("issue", name, "--on", "2026-11-01", "--types", "md,html,docx")
    assert (code, said.splitlines()[0]) == (0, "revision 1 of 2026-11-01: First issue")
    assert run("issue", name, "--on", "2026-11-01")[0] == 2  # nothing to issue
    exchange(site)
    code, said = run("changes", name, "--as-of", "2026-11-12", "--into", str(out), "--redline", "--all")
    assert code == 0
    assert (
        "A-0001 qualified person (T. Maran, 2026-11-01)"
        in said.partition("APPROVALS THAT LAPSED")[2].partition("APPROVALS THAT STAND")[0]
    )
    assert "A-0003 counsel" in said.partition("APPROVALS THAT STAND")[2]
    assert {"change-brief.docx", "fall-protection-plan.redline.docx", "rescue-procedure.redline.html"} <= {
        p.name for p in (out / "harrow-ridge" / "changes").iterdir()
    }
    assert run("register", name, "--on", "2026-11-12", "--into", str(out))[0] == 0
    assert run("show", name, "--on", "2026-11-05", "--into", str(out))[0] == 0
    record = str(out / "harrow-ridge-in-force-2026-11-05")
    assert run("check", "--record", record)[0] == 0
    assert run("show", name, "--on", "2026-11-05", "--into", str(out))[0] == 2  # never over what is there
    (Path(record) / "contents.md").write_text("changed", encoding="utf-8")
    code, said = run("check", "--record", record)
    assert code == 1
    assert "contents.md: is not what was recorded" in said
