"""Withdrawal: a revision or an approval is taken out of force by a record of its own; and which revisions a version of the program wrote.

Expected states and texts stand in the tests; ISO 9001:2015, 7.5.3.2 (control of changes, prevention of unintended use of what is out of date).
"""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
from control_site import FIRST, LATER, approve_all, happened, issue, refused, swap
from outside import schema_faults

from docgen import __version__
from docgen.cli import main
from docgen.compose.frame import frame_for
from docgen.control.sealed import whole
from docgen.errors import RecordError, Refusal
from docgen.pipeline import check_site, compared_site, render_site, stated
from docgen.records import read_records
from docgen.revisions import compare_site, withdraw_site, written_by

HUNG = {"kind": "posting", "document": "contractor-notice", "language": "en", "what": "hung", "by": "Gate operator"}


@pytest.fixture(scope="module")
def ahead(approved, tmp_path_factory):
    """R8: a site whose first revision bears a day months ahead by a slip of the pen; to be copied."""
    site = Path(shutil.copytree(approved, tmp_path_factory.mktemp("ahead") / "site"))
    made, against = issue(site, date(2027, 6, 1), types=("md",))
    assert (against, made.revision) == ((), 1)
    return site


def test_a_slip_in_the_date_is_taken_back(ahead, tmp_path, capsys, monkeypatch):
    """After the withdrawal the same text is issued with the right day, as revision 2; the record of revision 1 lies as it lay."""
    monkeypatch.setattr("docgen.commands.outcome.today", lambda: LATER)
    site = Path(shutil.copytree(ahead, tmp_path / "site"))
    before = {p: p.read_bytes() for p in (site / "issued").rglob("*") if p.is_file()}
    with refused(RecordError, match="cannot be dated 2026-11-12"):
        issue(site, LATER, types=("md",))
    words = ["--by", "r. oduya", "--reason", "Dated\t2027 by  mistake".replace("\t", " "), "--on", "2026-11-12"]
    assert main(["withdraw", str(site), "rev-001", *words]) == 0
    said = capsys.readouterr().out
    assert said.startswith("W-0001: rev-001 withdrawn by R. Oduya on 2026-11-12: Dated 2027 by mistake\n")
    assert "the log says of no place that a copy hangs there; look at each" in said
    record = json.loads((site / "withdrawn/W-0001.json").read_text(encoding="utf-8"))
    assert schema_faults("withdrawal_record", record) == []
    assert (record["name"], record["reason"], record["places"]) == ("rev-001", "Dated 2027 by mistake", [])
    made, against = issue(site, LATER, types=("md",))
    assert (against, made.revision, made.on, made.reason) == ((), 2, LATER, "Issued again, since revision 1 was withdrawn")
    assert {p: p.read_bytes() for p in before} == before
    records = read_records(site, "harrow-ridge")
    whole(records)
    assert records.in_force("contractor-notice", "en").revision == 2
    assert records.withdrawn("contractor-notice", "en") is None
    plan = (site / "issued/rev-002/documents/fall-protection-plan.md").read_text(encoding="utf-8")
    assert "| 1 | 2027-06-01 | First issue. Withdrawn on 2026-11-12: Dated 2027 by mistake |" in plan
    render_site(check_site(site, date(2027, 6, 2)), tmp_path, ("md",), ("fall-protection-plan",))  # after the day of the slip
    assert (tmp_path / "harrow-ridge/fall-protection-plan.md").read_text(encoding="utf-8") == plan
    assert main(["withdraw", str(site), "1", *words]) == 2
    assert "rev-001 has been withdrawn already" in capsys.readouterr().err


def test_what_hangs_is_taken_down_and_the_bays_are_closed(site, tmp_path, capsys):
    """A wrong revision that hangs: nothing is in force, each place is listed, every bay is closed, and the sheets for it are written."""
    happened(site, place="GATE-1", revision=1, on=date(2026, 11, 2), **HUNG)
    happened(site, place="BAY-1", on=date(2026, 11, 2), **HUNG)  # the log does not say which revision
    out = tmp_path / "out"
    given = ["--by", "T. Maran", "--reason", "Wrong limit", "--on", "2026-11-12", "--into", str(out)]
    assert main(["withdraw", str(site), "1", *given]) == 0
    said = capsys.readouterr().out
    assert "take down: GATE-1, East gate window: contractor-notice (en), revision 1\n" in said
    assert "take down: BAY-1, Ladder of the truck bay: contractor-notice (en), which revision is not recorded\n" in said
    names = {p.name for p in (out / "harrow-ridge").rglob("*")}
    assert {"withdrawal.html", "closure-sheet.B1.html", "closure-sheet.B2.html"} <= names
    listed = (out / "harrow-ridge/withdrawal/withdrawal.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert "Out of force since 2026-11-12: revision 1, withdrawn by T. Maran (W-0001). Reason: Wrong limit" in listed
    assert "GATE-1: East gate window" in listed
    assert "Its papers were withdrawn." in (out / "harrow-ridge/closure-sheet.B1.html").read_text(encoding="utf-8")
    checked = check_site(site, LATER)
    assert {b.state for b in checked.assessed.bays} == {"closed-today"}
    found = [f for f in checked.assessed.findings if f.name == "paper-withdrawn"]
    assert len(found) == len(checked.records.issued[0].texts)
    papers = {p.name: p for p in stated(checked).papers}
    assert (papers["contractor-notice"].state, papers["contractor-notice"].why, papers["contractor-notice"].revision) == (
        "withdrawn", "withdrawn", 1,
    )  # fmt: skip
    checked, bodies = compared_site(checked)
    frame = frame_for(
        "contractor-notice", "en", checked.site, checked.assessed, {n: v["en"] for n, v in bodies.items()}, checked.records
    )
    assert frame.state == "for-approval"
    assert (
        "Revision 1 was withdrawn on 2026-11-12 by T. Maran: Wrong limit. Nothing is in force until this text is issued."
        in frame.reasons
    )
    assert main(["check", str(site), "--as-of", "2026-11-11"]) == main(
        ["check", str(site), "--as-of", "2026-11-03"]
    )  # before that day it was in force
    assert check_site(site, date(2026, 11, 11)).records.in_force("contractor-notice", "en") is not None


def test_the_revision_before_stays_superseded(story, tmp_path):
    """Revision 2 withdrawn: of its papers nothing is in force; what it did not hold stays at revision 1; revision 1 cannot be withdrawn for the rest."""
    site = Path(shutil.copytree(story["site"], tmp_path / "site"))
    withdraw_site(check_site(site, LATER), site, "2", "R. Oduya", "Wrong device")
    records = read_records(site, "harrow-ridge")
    assert records.in_force("fall-protection-plan", "en") is None
    assert records.withdrawn("fall-protection-plan", "en").name == "rev-002"
    assert records.in_force("contractor-notice", "en").revision == 1
    assert set(records.posted()) == {
        k for k in ((t.document, t.language) for t in records.issued[0].texts) if records.issued[1].text(*k) is None
    }
    made, against = issue(site, LATER, types=("md",))
    assert (against, made.revision) == ((), 3)
    with refused(RecordError, match="nothing of revision 2 is in force|rev-002 has been withdrawn already"):
        withdraw_site(check_site(site, LATER), site, "2", "R. Oduya", "Again")


def test_changes_hangs_nothing_that_was_withdrawn(site, capsys):
    """Nothing changed, and yet all is out of force: it is said first, each copy comes down, none goes up, and a wanting approval is named."""
    happened(site, place="GATE-1", revision=1, on=date(2026, 11, 2), **HUNG)
    happened(site, place="BAY-1", on=date(2026, 11, 2), **HUNG)  # the log does not say which revision
    assert compare_site(check_site(site, LATER)).replace == ()
    withdraw_site(check_site(site, LATER), site, "1", "R. Oduya", "Wrong limit")
    withdraw_site(check_site(site, LATER), site, "A-0005", "R. Oduya", "Signed unread")
    changes = compare_site(check_site(site, LATER))
    assert changes.none
    assert {(r.posting, r.revision, r.hang) for r in changes.replace} == {("GATE-1", 1, None), ("BAY-1", None, None)}
    assert main(["changes", str(site), "--as-of", LATER.isoformat()]) == 0
    said = capsys.readouterr().out
    gone = "Revision 1 was withdrawn on 2026-11-12 by R. Oduya: Wrong limit. Nothing of it is in force until its papers are issued again."
    assert said.splitlines()[1:3] == [gone, "Nothing has changed."]
    assert "hang revision 1" not in said
    assert "APPROVALS NEVER GIVEN" in said
    assert main(["changes", str(site), "--as-of", LATER.isoformat(), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert schema_faults("changes", told) == []
    assert [w["name"] for w in told["withdrawn"]] == ["rev-001"]


def test_an_approval_is_withdrawn(approved, tmp_path):
    """An approval that nothing in force rests on is void; one that something rests on is not withdrawn alone."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    withdraw_site(check_site(site, FIRST), site, "A-0006", "R. Oduya", "Signed unread")
    _, against = issue(site, FIRST, types=("md",))
    assert {(r.name, r.values["document"], r.values["title"]) for r in against} == {
        ("approval-missing", "rescue-procedure", "issuing authority")
    }
    with refused(RecordError, match="A-0006 has been withdrawn already"):
        withdraw_site(check_site(site, FIRST), site, "A-0006", "R. Oduya", "Again")


def test_what_was_superseded_is_not_withdrawn(approved, tmp_path):
    """A revision of which a later one holds every paper: nothing of it is in force, and nothing is recorded."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    assert issue(site, FIRST, types=("md",), wanted=("contractor-notice",))[1] == ()
    swap(site, ("name: Truck driver", "name: Truck crew"))
    approve_all(site, FIRST, only=(("contractor-notice", "counsel"), ("contractor-notice", "issuing-authority")))
    assert issue(site, FIRST, types=("md",), wanted=("contractor-notice",))[1] == ()
    with refused(RecordError, match="^nothing of revision 1 is in force any more: it was superseded"):
        withdraw_site(check_site(site, FIRST), site, "1", "R. Oduya", "Wrong")
    assert not (site / "withdrawn").exists()


def test_two_withdrawals_at_once_get_no_one_number(issued, tmp_path, monkeypatch):
    """Whoever comes second is told, and the first record stays as it is."""
    from docgen.control import withdraw

    site = Path(shutil.copytree(issued, tmp_path / "site"))
    made, _ = withdraw.drafted(
        "1", "R. Oduya", LATER, "Wrong", check_site(site, LATER), read_records(site, "harrow-ridge"), LATER
    )
    early = read_records(site, "harrow-ridge")
    first = withdraw.recorded(made, site)[1]
    kept = first.read_bytes()
    monkeypatch.setattr(withdraw, "read_records", lambda *_: early)
    with refused(RecordError, match="somebody else has just withdrawn something"):
        withdraw.recorded(made, site)
    assert [p.read_bytes() for p in (site / "withdrawn").iterdir()] == [kept]


WRONG = [
    ("A-0003", "R. Oduya", "Wrong", RecordError, "revision 1 is in force and rests on A-0003"),
    ("A-0099", "R. Oduya", "Wrong", Refusal, "there is no approval A-0099; there are: A-0001"),
    ("9", "R. Oduya", "Wrong", RecordError, "there is no revision 9"),
    ("plan", "R. Oduya", "Wrong", Refusal, "'plan' is neither a revision"),
    (
        "1",
        "Nobody Special",
        "Wrong",
        RecordError,
        "the profile does not name Nobody Special for any role on 2026-11-12; it names: R. Oduya",
    ),
    ("1", "R. Oduya", "  ", Refusal, "by name and for a reason"),
]


@pytest.mark.parametrize(("name", "by", "reason", "kind", "message"), WRONG, ids=[w[-1] for w in WRONG])
def test_what_a_withdrawal_refuses(name, by, reason, kind, message, issued):
    """Each wrong withdrawal is one message, and nothing is recorded."""
    with refused(kind, match=message):
        withdraw_site(check_site(issued, LATER), issued, name, by, reason)
    assert not (issued / "withdrawn").exists()


@pytest.mark.parametrize("name", ["1", "A-0003"])
def test_nothing_is_withdrawn_before_the_day_that_it_bears(name, issued, approved, capsys):
    """Nobody takes back on 31 October what was signed on 1 November: a slip of the pen there could never be taken back itself."""
    site = issued if name == "1" else approved
    words = ["withdraw", str(site), name, "--by", "R. Oduya", "--reason", "Wrong", "--on", "2026-10-31"]
    assert main(words) == 2
    said = capsys.readouterr().err
    assert "is of 2026-11-01, and nothing is withdrawn before that day; got 2026-10-31" in said
    assert not (site / "withdrawn").exists()


# a fault of the program itself


def test_the_revisions_of_a_version_are_named(issued, ahead, tmp_path, capsys):
    """register --program names the revisions that a version wrote, at several sites, with their places; a site that cannot be read stops no other."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    happened(site, place="GATE-1", revision=1, on=date(2026, 11, 2), **HUNG)
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / "profile.yaml").write_text("profile: 2\n", encoding="utf-8")
    sites = [str(site), str(broken), str(ahead)]
    assert main(["register", *sites, "--program", __version__, "--on", "2027-06-02"]) == 2
    said = capsys.readouterr()
    assert f"{site}: revision 1 of 2026-11-01, issued\n" in said.out
    assert f"{ahead}: revision 1 of 2027-06-01, issued\n" in said.out
    assert "  in force: fall-protection-plan (en)\n" in said.out
    assert "  hangs: GATE-1, East gate window: contractor-notice (en), revision 1\n" in said.out
    assert said.out.endswith(f"2 revisions written by docgen {__version__}\n")
    assert str(broken) in said.err
    assert main(["register", str(site), "--program", "0.0.1", "--on", "2027-06-02"]) == 0
    assert capsys.readouterr().out == "0 revisions written by docgen 0.0.1\n"
    assert main(["register", str(site), "--program", __version__, "--on", "2027-06-02", "--format", "json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)["revisions"]
    assert (told["site"], told["revision"], told["state"], [p["id"] for p in told["places"]]) == (
        "harrow-ridge",
        1,
        "issued",
        ["GATE-1"],
    )
    assert main(["register", str(site)]) == 2
    assert "give --into DIR, or --program VERSION" in capsys.readouterr().err
    withdraw_site(check_site(site, date(2027, 6, 2)), site, "1", "R. Oduya", "Fault in the program")
    assert [(w.state, w.in_force) for w in written_by(site, __version__, date(2027, 6, 2))] == [("withdrawn", ())]
