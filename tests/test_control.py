"""Documents under control: what an approval refuses, states of papers, records that are damaged, holds, registers, hand edits.

Outside checks: hashlib (and nothing of ours) re-verifies a record; the JSON Schemas of the records. The story of two revisions is told in
test_story.py, what lapses in test_lapses.py, what follows from a change in test_consequences.py, alarm numbers in test_alarm_numbers.py.
"""

import dataclasses
import hashlib
import json
import re
import shutil
import stat
import threading
from datetime import date
from pathlib import Path

import pytest
from composed_once import composed_once
from control_site import (
    DEVICE,
    FIRST,
    LAST,
    LATER,
    TYPES,
    approve,
    approve_all,
    happened,
    issue,
    new_site,
    prepare,
    refused,
    swap,
)
from outside import schema_faults
from support import ROOT, demo

from docgen.check import check
from docgen.cli import main
from docgen.compose import compose_all
from docgen.control.approve import Request, drafted
from docgen.control.approve import approve as record
from docgen.control.digests import verify
from docgen.control.tell import apart, as_text
from docgen.errors import RecordError, Refusal
from docgen.pipeline import check_site, compared_site, render_site
from docgen.records import read_records
from docgen.revisions import compare_site, register_papers, show_site
from docgen.words import refusal_text


@pytest.fixture(scope="module", autouse=True)
def _composed_once():
    """The texts of the site are composed once for each state of its profile."""
    with composed_once():
        yield


#: Who signs the notice: enough where any paper will do.
NOTICE_SIGNED = (("contractor-notice", "counsel"), ("contractor-notice", "issuing-authority"))
#: Papers that are issued in each type: one with drawings and tables, one on a sheet.
FROZEN = ("engineering-record", "contractor-notice")

# what changed


def test_nothing_changed_is_said(issued):
    """An unchanged site says so and has nothing to replace."""
    changes = compare_site(check_site(issued, LATER))
    assert changes.none
    assert not changes.replace
    assert "Nothing has changed." in as_text(changes, "en")


# states


def test_draft_for_approval_issued(site, tmp_path):
    """Draft while a finding stops it, for approval when none does, no stamp when issued, and for approval again after a change."""

    def papers(day):
        checked, bodies = compared_site(check_site(site, day))
        made = compose_all(
            checked.site, checked.code, checked.assessed, checked.happened, ("md",),
            wanted=("fall-protection-plan", "engineering-record", "worksheet"), records=checked.records, bodies=bodies,
        )  # fmt: skip
        return {d.name: d for d, _ in made}

    def plan(day):
        return papers(day)["fall-protection-plan"]

    assert plan(FIRST).stamp == ""
    assert plan(date(2026, 10, 31)).stamp == "FOR APPROVAL - NOT FOR POSTING"  # the day before the issue
    swap(site, DEVICE[0])
    made = papers(LATER)
    assert made["fall-protection-plan"].stamp == "FOR APPROVAL - NOT FOR POSTING"
    assert "Revision 1 is in force; this text differs from it" in made["worksheet"].markdown
    assert (
        "It rests on the approval of the engineering record by the qualified person, and none that stands"
        in made["worksheet"].markdown
    )
    told = {name: "\n".join(re.findall(r"lapsed: content changed since: [^|]*", made[name].markdown)) for name in made}
    assert "Engineering record Table 3" in told["engineering-record"]
    assert "Plan section 3.1" in told["fall-protection-plan"]
    assert not any(re.search(r"[a-z]+-[a-z-]+\.", text) for text in told.values())  # places that a reader finds, no ids
    swap(site, DEVICE[0][::-1], ("      deflection: {value: 0.1 ft, how: design, by: qualified-person, on: 2025-03-04}\n", ""))
    assert plan(LATER).stamp == "DRAFT - NOT FOR POSTING"


def test_a_signed_review_still_states_its_scope_and_sections(site):
    """Who approved is not said to have reviewed more than was reviewed; the scope of somebody else is printed for nobody."""

    def blocks(day=FIRST):
        checked, bodies = compared_site(check_site(site, day))
        made = compose_all(
            checked.site, checked.code, checked.assessed, checked.happened, ("md",),
            wanted=("fall-protection-plan", "engineering-record"), records=checked.records, bodies=bodies,
        )  # fmt: skip
        return {
            d.name: d.markdown[d.markdown.index("Licensed review: ") :].partition("Wet signature")[0]
            for d, _ in made
            if "Licensed review: " in d.markdown
        }

    checked, bodies = compared_site(check_site(site, FIRST))
    made = compose_all(
        checked.site, checked.code, checked.assessed, checked.happened, ("md",),
        wanted=("rescue-procedure", "legal-file"), records=checked.records, bodies=bodies,
    )  # fmt: skip
    for document, _ in made:
        assert not re.search(r"\| document \||: document \|", document.markdown), document.name
    for name, block in blocks().items():
        assert "| Name | T. Maran |" in block
        assert "| Status | reviewed |" in block
        assert "Engineering record: Anchorage, chain of ratings and calculations |" in block
        assert ("| Sections reviewed | Load path, All cases and Structure and ground |" in block) == (
            name == "engineering-record"
        )
    signed = blocks()
    was = 'scope: "Anchorage, chain of ratings and calculations", papers: [engineering-record, fall-protection-plan], sections: [Load path,'
    assert was in (site / "profile.yaml").read_text(encoding="utf-8")
    swap(site, (was, was.replace('"Anchorage, ', '"All, ').replace("[Load path,", "[Ladders, Load path,")))
    assert blocks() == signed  # nobody signed the wider scope
    swap(site, ("qualified-person, name: T. Maran, licence", "qualified-person, name: Q. Fresh, licence"))
    for block in blocks().values():
        if "| Name | T. Maran |" in block:
            assert "Anchorage, chain of ratings and calculations" in block
            assert "Ladders" not in block
        else:
            assert "| Name | Q. Fresh |" in block
            assert "| Status | not reviewed |" in block


def test_a_review_states_the_scope_that_was_named_for_its_paper(site):
    """One person with two entries signs each paper with the scope of its entry, and none with that of another paper."""
    own = "reviewers:\n  - {id: RV-1, part: qualified-person, name: T. Maran, licence: NE-00000 (invented), jurisdiction: US-NE, discipline: structural, expires: 2027-12-31, "
    plan = "scope: Words of the plan, papers: [fall-protection-plan], sections: [Work], seal: true}"
    swap(site, ("papers: [engineering-record, fall-protection-plan],", "papers: [engineering-record],"))
    swap(site, ("reviewers:\n", own.replace("RV-1", "RV-0") + plan + "\n"))
    read = compared_site(check_site(site, FIRST))

    def stated(document):
        made = drafted(Request(document, "qualified-person", "T. Maran", FIRST), *read, "en")
        return made.reviewed, made.reviewed_sections

    assert stated("fall-protection-plan") == ("Words of the plan", ("Work",))
    assert stated("engineering-record")[0] == "Anchorage, chain of ratings and calculations"
    swap(site, ("papers: [engineering-record],", "papers: [fall-protection-plan],"))
    read = compared_site(check_site(site, FIRST))
    assert stated("engineering-record") == (None, ())


def test_an_issued_text_is_not_stamped_by_the_calendar(issued):
    """Years later inspections and training are overdue; the issued text stays as issued."""
    day = date(2029, 1, 1)
    checked = check_site(issued, day)
    assert any(f.stops == "use" for f in checked.assessed.findings)
    made = compose_all(
        checked.site,
        checked.code,
        checked.assessed,
        checked.happened,
        ("md",),
        wanted=("contractor-notice",),
        records=checked.records,
    )
    assert next(d for d, _ in made if d.name == "contractor-notice").stamp == ""


def test_a_draft_cannot_be_approved(tmp_path):
    """A document with a finding that stops its issue is refused, with the finding and its line."""
    site = new_site(tmp_path)
    swap(site, ("      deflection: {value: 0.1 ft, how: design, by: qualified-person, on: 2025-03-04}\n", ""))
    with refused(RecordError, match=r"deflection-unknown .*profile\.yaml:\d+"):
        approve(site, FIRST, document="fall-protection-plan", role="issuing-authority", by="R. Oduya")
    assert not (site / "approvals").exists()
    revision, against = issue(site, FIRST)
    assert revision is None
    assert ("stopped-by-finding", "deflection-unknown") in {(r.name, r.values.get("finding")) for r in against}


def test_digest_on_the_signed_page(issued, site):
    """The digest printed on the page that was signed is accepted while the text is the same and refused afterwards."""
    printed = re.search(
        r"Issuing authority, R\. Oduya \|[^`]*`([0-9a-f]{12})`",
        (issued / "issued/rev-001/documents/fall-protection-plan.md").read_text(),
    )[1]
    given = {"document": "fall-protection-plan", "role": "issuing-authority", "by": "R. Oduya", "digest": printed}
    assert approve(site, LATER, **given).approval.text("en").digest.startswith(printed)
    swap(site, DEVICE[0])
    with refused(RecordError, match="is not the text of today"):
        approve(site, LATER, **given)


WRONG = [
    ({"role": "janitor"}, Refusal, "the profile knows no part 'janitor'"),
    ({"document": "novel"}, Refusal, "no document 'novel'"),
    ({"document": "index"}, Refusal, "no document 'index'"),
    ({"scope": ("weather.B9",)}, Refusal, "is no clause or section"),
    ({"by": "  "}, Refusal, "the name of the person who approved is missing"),
    ({"role": "terminal-manager"}, Refusal, "the profile knows no part 'terminal-manager'"),
    (
        {"by": "N. Obody"},
        RecordError,
        "the profile does not name N. Obody for the part qualified-person on 2026-11-01; it names: T. Maran",
    ),
    ({"licence": "XX-1"}, RecordError, "the profile gives T. Maran the licence"),
    ({"jurisdiction": "US-KS"}, RecordError, "licensed in US-KS and the site lies in US-NE"),
    ({"expires": date(2026, 10, 31)}, RecordError, "ended on 2026-10-31"),
    ({"role": "engineer"}, Refusal, "knows no part 'engineer'"),
    ({"digest": "zz"}, Refusal, "at least 8 of the digits printed"),
    ({"evidence": Path("nowhere.pdf")}, Refusal, "cannot be read"),
    ({"evidence": Path("nowhere.exe")}, Refusal, "scan or photo"),
]


@pytest.fixture(scope="module")
def unapproved(tmp_path_factory):
    """The full demo without records, and its texts, composed once."""
    site = new_site(tmp_path_factory.mktemp("unapproved"))
    return site, *compared_site(check_site(site, FIRST))


@pytest.mark.parametrize(("given", "kind", "message"), WRONG, ids=[m for *_, m in WRONG])
def test_what_an_approval_refuses(given, kind, message, unapproved):
    """Each wrong approval is refused with one clear message, and nothing is recorded."""
    site, checked, bodies = unapproved
    right = {"document": "fall-protection-plan", "role": "qualified-person", "by": "T. Maran", "on": FIRST}
    with refused(kind, match=re.escape(message)):
        record(Request(**(right | given)), checked, bodies, site, "en")
    assert not list(site.glob("approvals/*.json"))


def test_another_one_than_the_licensed_reviewer_is_refused(tmp_path):
    """Whoever holds the role but is not the reviewer whose licence the profile gives is refused, with that reviewer's name."""
    site = new_site(tmp_path)
    swap(site, ("part: qualified-person, name: T. Maran", "part: qualified-person, name: I. Vance"))
    with refused(RecordError, match="T. Maran is not the qualified-person of the profile .*I. Vance"):
        approve(site, FIRST, document="fall-protection-plan", role="qualified-person", by="T. Maran")


NEXT = (
    "holders: [{name: D. Sorensen, from: 2025-01-06, accepted_on: 2025-01-06}], phone: 555-0143",
    "holders: [{name: D. Sorensen, from: 2025-01-06, to: 2026-11-11, accepted_on: 2025-01-06}, "
    "{name: K. Aas, from: 2026-11-12, accepted_on: 2026-11-12}], phone: 555-0143",
)


def test_who_holds_a_part_on_the_day_may_approve(tmp_path):
    """An approval is taken from the one whom the profile names for the part on that day, and from nobody before or after."""
    site = new_site(tmp_path)
    swap(site, NEXT)
    given = {"document": "rescue-procedure", "role": "rescue-lead"}
    assert approve(site, date(2026, 11, 11), by="D. Sorensen", **given).approval.by == "D. Sorensen"
    with refused(RecordError, match="does not name D. Sorensen for the part rescue-lead on 2026-11-12; it names: K. Aas"):
        approve(site, LATER, by="D. Sorensen", **given)
    with refused(RecordError, match="does not name K. Aas .* on 2026-11-11"):
        approve(site, date(2026, 11, 11), by="K. Aas", **given)
    assert approve(site, LATER, by="K. Aas", **given).approval.by == "K. Aas"
    swap(site, ("part: [rescue-lead], holders", "part: [other], holders"))
    with refused(RecordError, match="names nobody for the part rescue-lead on 2026-11-12, so K. Aas cannot approve"):
        approve(site, LATER, by="K. Aas", **given)


def test_a_licence_is_valid_on_its_last_day(tmp_path):
    """A licence that ends on the day of the approval is valid on it."""
    site = new_site(tmp_path)
    approve(site, FIRST, document="fall-protection-plan", role="qualified-person", by="T. Maran", expires=FIRST)
    assert read_records(site, "harrow-ridge").approvals[0].expires == FIRST


def test_evidence_is_kept_and_travels(approved, tmp_path):
    """The signed page is kept under its digest, lies in the issued revision, and a changed page is refused."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    page = tmp_path / "signed.pdf"
    page.write_bytes(b"%PDF-1.7 signed page")
    digest = hashlib.sha256(page.read_bytes()).hexdigest()
    taken = approve(site, FIRST, document="contractor-notice", role="issuing-authority", by="R. Oduya", evidence=page)
    kept = site / "approvals" / "evidence" / f"{digest[:16]}.pdf"
    assert kept.read_bytes() == page.read_bytes()
    issue(site, FIRST, types=("md",), wanted=("contractor-notice",))
    assert (site / "issued/rev-001/approved/evidence" / kept.name).read_bytes() == page.read_bytes()
    assert taken.approval.id in json.loads((site / "issued/rev-001/record.json").read_text(encoding="utf-8"))["approvals"]
    kept.write_bytes(b"other")
    with refused(RecordError, match="is not what was recorded"):
        show_site(site, LATER, tmp_path / "out", "en")


# records


def test_records_follow_their_schemas(story):
    """Every approval and every revision is what its published schema says."""
    site = story["site"]
    approvals = sorted(site.glob("approvals/A-*.json"))
    assert len(approvals) == 12
    for path in approvals:
        assert schema_faults("approval_record", json.loads(path.read_text(encoding="utf-8"))) == []
    for path in sorted(site.glob("issued/rev-*/record.json")):
        assert schema_faults("issue_record", json.loads(path.read_text(encoding="utf-8"))) == []
        assert schema_faults("clauses_record", json.loads(path.with_name("clauses.json").read_text(encoding="utf-8"))) == []


def test_a_revision_verified_without_our_code(story):
    """hashlib alone confirms every digest of both revisions: files, list, profile, and the chain from record to record."""
    for number in (1, 2):
        folder = story["site"] / f"issued/rev-{number:03d}"
        record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
        files = {
            p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.rglob("*") if p.is_file()
        }
        listed = dict(line.split("  ", 1)[::-1] for line in (folder / "SHA256SUMS").read_text(encoding="utf-8").splitlines())
        assert {n: d for n, d in files.items() if n not in ("record.json", "SHA256SUMS")} == record["files"]
        assert {n: d for n, d in files.items() if n != "SHA256SUMS"} == listed
        assert record["digests"]["profile"] == files["profile.yaml"]
    assert {"issued/rev-001/record.json", "approvals/A-0012.json"} <= record["before"].keys()
    for name, digest in record["before"].items():
        assert hashlib.sha256((story["site"] / name).read_bytes()).hexdigest() == digest


def test_digest_of_a_text_by_hand(issued):
    """The digest of a clause in the record is SHA-256 of the canonical form that the design states, computed here."""
    texts = json.loads((issued / "issued/rev-001/clauses.json").read_text(encoding="utf-8"))["texts"]
    assert sum(len(text["clauses"]) for text in texts) > 100
    for text in texts:
        for clause in text["clauses"]:
            inputs = [[k, clause["inputs"][k]] for k in sorted(clause["inputs"])]
            row = [2, text["document"], text["language"], clause["id"], " ".join(clause["text"].split()), inputs]
            form = json.dumps(row, ensure_ascii=False, separators=(",", ":"))
            assert hashlib.sha256(form.encode("utf-8")).hexdigest() == clause["digest"]


def test_a_rendered_issue_is_the_frozen_one(approved, tmp_path):
    """Rendering an unchanged site on the day of issue gives the bytes that were frozen, in each type."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    assert issue(site, FIRST, wanted=FROZEN)[1] == ()
    render_site(check_site(site, FIRST), tmp_path, TYPES, FROZEN)
    frozen = sorted((site / "issued/rev-001/documents").iterdir())
    assert {p.name for p in frozen} >= {f"{name}.{ending}" for name in FROZEN for ending in TYPES}
    for path in frozen:
        assert (tmp_path / "harrow-ridge" / path.name).read_bytes() == path.read_bytes(), path.name


def test_every_paper_as_text_is_the_frozen_one(issued, tmp_path):
    """The same of every paper of the revision, as Markdown."""
    render_site(check_site(issued, FIRST), tmp_path, ("md",))
    frozen = sorted((issued / "issued/rev-001/documents").glob("*.md"))
    assert len(frozen) == 4
    for path in frozen:
        assert (tmp_path / "harrow-ridge" / path.name).read_bytes() == path.read_bytes(), path.name


DAMAGE = [
    ("approvals/A-0002.json", lambda p: p.unlink(), "the one before it is missing"),
    ("approvals/A-0003.json", lambda p: p.write_text("{", encoding="utf-8"), "the record is damaged"),
    ("approvals/A-0003.json", lambda p: p.write_text("[]", encoding="utf-8"), "is no object"),
    ("approvals/A-0001.json", lambda p: edit(p, by=None), "'by' is missing"),
    ("approvals/A-0001.json", lambda p: edit(p, on="soon"), "'on' is no day"),
    (
        "approvals/A-0001.json",
        lambda p: edit(p, schema_version=9),
        "made by another version of this program: format 9; this program reads format 2",
    ),
    ("approvals/A-0001.json", lambda p: edit(p, id="A-0009"), "is A-0009 in a file or folder named A-0001.json"),
    ("issued/rev-001/record.json", lambda p: p.unlink(), "cannot be read"),
    ("issued/rev-001/record.json", lambda p: edit(p, revision=2), "is 2 in a file or folder named rev-001"),
    ("issued/rev-001/record.json", lambda p: edit(p, site="other"), "belongs to the site 'other'"),
    ("issued/rev-001/record.json", lambda p: edit(p, texts=[{}]), "is missing"),
]


def edit(path, **values):
    data = json.loads(path.read_text(encoding="utf-8"))
    data.update(values)
    path.write_text(json.dumps(data), encoding="utf-8")


@pytest.mark.parametrize(("name", "damage", "message"), DAMAGE, ids=[f"{n}: {m}" for n, _, m in DAMAGE])
def test_a_damaged_record_is_one_clear_message(name, damage, message, site, capsys):
    """A record that is damaged, missing or not ours stops every command with its path and what is wrong, never a trace."""
    damage(site / name)
    assert main(["check", str(site), "--as-of", "2026-11-12"]) == 2
    said = capsys.readouterr().err
    assert message in said
    assert "internal fault" not in said
    assert str(site) in said


def test_work_in_progress_is_not_a_record(site):
    """What a killed process leaves behind begins with a dot and is not looked at."""
    (site / "issued/.new-abc").mkdir()
    (site / "approvals/.new-xyz").write_text("half", encoding="utf-8")
    assert len(read_records(site, "harrow-ridge").issued) == 1


def test_a_revision_is_never_dated_before_the_last(site):
    """A later revision with an earlier date is refused."""
    swap(site, ("name: Truck driver", "name: Truck crew"))
    earlier = date(2026, 10, 20)
    approve_all(site, earlier, only=NOTICE_SIGNED)
    with refused(RecordError, match="cannot be dated 2026-10-20"):
        issue(site, earlier, types=("md",), wanted=("contractor-notice",))


def test_two_revisions_of_one_day(site):
    """The day of the last revision is no earlier day: a second revision may bear it."""
    swap(site, ("name: Truck driver", "name: Truck crew"))
    approve_all(site, FIRST, only=NOTICE_SIGNED)
    second, against = issue(site, FIRST, types=("md",), wanted=("contractor-notice",))
    assert not against
    assert second is not None
    assert (second.revision, second.on) == (2, FIRST)


def test_the_comparison_shows_both_texts_of_a_clause_where_the_text_changed(story):
    """`old -> new` stands below each clause whose text changed, and below no other."""
    changes = story["changes"]
    lines = as_text(changes, "en").splitlines()
    hows = {c.how for c in changes.clauses}
    assert {"text"} < hows
    for c in changes.clauses:
        at = next(n for n, line in enumerate(lines) if line.strip().startswith(f"{c.id} ({c.language}): "))
        between = "{} -> {}".format(*apart(c.old, c.new))
        below = " ".join(" ".join(lines[at + 1 : at + 8]).split())
        assert (" ".join(between.split()) in below) == (c.how == "text"), c.id


def test_two_at_once_make_one_revision_each_number_once(approved, tmp_path):
    """Two that issue at the same moment: one makes revision 1, the other is told so; nothing is mixed."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    results, gate = [], threading.Barrier(2)
    import docgen.control.issue as control

    real = control.new_folder

    def together(target, contents):
        gate.wait(timeout=60)
        real(target, contents)

    control.new_folder = together
    lock = threading.Lock()

    def one(name):
        try:
            with lock:  # composing shares one sandbox per process; only the writing is at once
                prepared = prepare(site, name)
            control.issue(*prepared, site)
            results.append((name, "issued"))
        except RecordError as error:
            results.append((name, error.name))

    try:
        threads = [threading.Thread(target=one, args=(n,)) for n in ("first", "second")]
        [t.start() for t in threads]
        [t.join() for t in threads]
    finally:
        control.new_folder = real
    assert sorted(r == "issued" for _, r in results) == [False, True]
    assert "revision-taken" in [r for _, r in results]
    winner = next(n for n, r in results if r == "issued")
    assert json.loads((site / "issued/rev-001/record.json").read_text(encoding="utf-8"))["issued_by"] == winner
    assert [p.name for p in (site / "issued").iterdir()] == ["rev-001"]
    assert verify(site / "issued/rev-001") == ()


def test_two_approvals_at_once_get_two_numbers(tmp_path):
    """Approvals recorded at the same moment are numbered one after the other and none is lost."""
    from docgen.control.approve import recorded

    site = new_site(tmp_path)
    taken = approve(site, FIRST, document="contractor-notice", role="counsel", by="A. Petrie")
    threads = [
        threading.Thread(target=recorded, args=(dataclasses.replace(taken.approval, note=str(n)), None, site)) for n in range(8)
    ]
    [t.start() for t in threads]
    [t.join() for t in threads]
    records = read_records(site, "harrow-ridge").approvals
    assert len(records) == 9
    assert {a.note for a in records} == {None, *map(str, range(8))}


def test_verify_names_what_differs(story, tmp_path):
    """Changed, missing and added files are each named; a list of digests that is none is one clear error."""
    folder = Path(shutil.copytree(story["site"] / "issued/rev-001", tmp_path / "rev"))
    assert verify(folder) == ()
    (folder / "profile.yaml").write_text("site: {}\n", encoding="utf-8")
    (folder / "check.json").unlink()
    (folder / "more.txt").write_text("x", encoding="utf-8")
    assert [(w.name, w.how) for w in verify(folder)] == [
        ("check.json", "missing"),
        ("profile.yaml", "differs"),
        ("more.txt", "added"),
    ]
    (folder / "SHA256SUMS").write_text("nonsense\n", encoding="utf-8")
    with refused(RecordError, match="SHA256SUMS:1"):
        verify(folder)


# holds, registers, papers, hand edits


def test_a_hold(site, tmp_path, capsys):
    """A hold takes the right to write from every record; new records can be added; render overwrites nothing; it is lifted by name."""
    render_site(check_site(site, FIRST), tmp_path, ("md",), ("contractor-notice",))
    assert main(["hold", str(site), "on", "--by", "A. Petrie", "--reason", "Claim", "--on", "2026-11-12"]) == 0
    assert main(["hold", str(site), "on", "--by", "A. Petrie", "--reason", "Claim", "--on", "2026-11-12"]) == 2
    assert "on hold already" in capsys.readouterr().err
    files = [p for p in (site / "issued").rglob("*") if p.is_file()]
    assert files
    assert all(not p.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH) for p in files)
    assert not (site / "issued/rev-001").stat().st_mode & stat.S_IWUSR
    swap(site, ("name: Truck driver", "name: Truck crew"))
    notes = render_site(check_site(site, LATER), tmp_path, ("md",), ("contractor-notice",)).notes
    assert any("contractor-notice.md before is kept as contractor-notice.kept.md" in refusal_text(n, "en") for n in notes)
    assert "Truck driver" in (tmp_path / "harrow-ridge/contractor-notice.kept.md").read_text(encoding="utf-8")
    approve_all(site, LATER, only=NOTICE_SIGNED)
    assert issue(site, LATER, types=("md",), wanted=("contractor-notice",))[0].revision == 2
    assert not (site / "issued/rev-002").stat().st_mode & stat.S_IWUSR
    assert main(["hold", str(site), "off", "--by", "A. Petrie", "--reason", "Settled", "--on", "2026-11-16"]) == 0
    held = check_site(site, LAST).happened
    assert held.held is None
    assert [h.state for h in held.holds] == ["on", "off"]
    assert (site / "issued/rev-001/record.json").stat().st_mode & stat.S_IWUSR


def test_clause_register_lists_every_clause(story):
    """Each clause of the notice with its fields and lines, since which revision, and the approvals that cover it as it stands."""
    site = story["site"]
    checked, bodies = compared_site(check_site(site, LAST))
    from docgen.control.register import clause_register

    body = bodies["contractor-notice"]["en"]
    text = clause_register(body, checked.site, checked.code, checked.records, checked.source.file, LAST, "en").markdown
    for clause in body.clauses:
        assert f"| Clause | `{clause.id}` |" in text
    line = checked.site.line("limits.weather.wind")
    assert re.search(rf"limits\.weather\.wind = 25 mph \({re.escape(checked.source.file)}:{line}\)", text.replace("\\", ""))
    assert "Text: revision 1, in force since 2026-11-01." in text
    assert text.count("| Since | revision 1 |") == len(body.clauses)
    assert text.count("A. Petrie, counsel, 2026-11-01 (A-0003)") == len(body.clauses)
    papers = register_papers(check_site(site, LAST), ("html", "docx"), "en")
    hanging = ("contractor-notice", "bay-sign.B1", "bay-sign.B2", "rescue-card.B1", "rescue-card.B2")
    lists = ("posting-list", *(f"clause-register.{name}" for name in hanging))
    assert set(papers) == {f"{name}.{end}" for name in lists for end in ("html", "docx")}


def test_clause_register_after_a_change(site):
    """A clause that changed is not issued yet and approved by nobody; the others keep theirs."""
    swap(site, ("name: Truck driver", "name: Truck crew"))
    checked, bodies = compared_site(check_site(site, LATER))
    from docgen.control.register import clause_register

    text = clause_register(
        bodies["contractor-notice"]["en"], checked.site, checked.code, checked.records, "profile.yaml", LATER, "en"
    ).markdown
    changed_part = text.partition("| Clause | `contractor-notice.conditions` |")[2].partition("| Clause |")[0]
    assert "Text: not issued yet." in text
    assert "| Since | not issued yet |" in changed_part
    assert "nobody yet" in changed_part
    other = text.partition("| Clause | `contractor-notice.attached` |")[2].partition("| Clause |")[0]
    assert "(A-0003)" in other


NOTICE = {"kind": "posting", "document": "contractor-notice", "language": "en", "what": "hung"}


def test_posting_list_follows_the_records(site):
    """Places that hold the revision in force are left out; the others say what hangs and what to hang."""
    from docgen.control.register import posting_list

    happened(site, place="GATE-1", revision=1, on=date(2026, 11, 2), by="Gate operator", **NOTICE)
    checked, bodies = compared_site(check_site(site, LATER))
    text = posting_list(checked.happened, checked.code, checked.records, bodies, LATER, "en").markdown
    assert "GATE-1" not in text
    assert "BAY-1: Ladder of the truck bay" in text
    assert "revision 1 of 2026-11-01, digest" in text
    assert re.search(r"Rescue procedure, en; 12 pt, can be read from up to 2\.8\Wft \(0\.8\d\Wm\) in good light", text)


def test_a_posting_behind_the_records_is_found(story):
    """After revision 2 a place that still shows revision 1 is a finding, by the records alone; one that shows 2 is none."""
    for revision, wanted in ((1, 1), (2, 0)):
        site = story["site"].parent / f"posted-{revision}"
        shutil.copytree(story["site"], site)
        given = {"place": "CAB-1", "document": "rescue-procedure", "language": "en", "revision": revision, "what": "hung"}
        happened(site, kind="posting", on=date(2026, 11, 15), by="D. Sorensen", **given)
        found = [f.name for f in check_site(site, LAST).assessed.findings]
        assert found.count("posted-differs") == wanted


def test_hand_edits_are_listed(issued, tmp_path):
    """An output that somebody edited is kept, the new one is written, and the differences are listed line by line."""
    render_site(check_site(issued, FIRST), tmp_path, ("md", "html", "docx"), ("contractor-notice",))
    folder = tmp_path / "harrow-ridge"
    notice = folder / "contractor-notice.md"
    notice.write_text(
        notice.read_text(encoding="utf-8").replace("be up on this site.", "be up on this site and whistle."), encoding="utf-8"
    )
    from docx import Document as Docx

    word = Docx(str(folder / "contractor-notice.docx"))
    word.paragraphs[-1].add_run(" Added by hand.")
    word.save(str(folder / "contractor-notice.docx"))
    notes = render_site(check_site(issued, FIRST), tmp_path, ("md", "html", "docx"), ("contractor-notice",)).notes
    assert len(notes) == 2
    assert "whistle" in (folder / "contractor-notice.edited.md").read_text(encoding="utf-8")
    listed = (folder / "contractor-notice.edited.md.differences.txt").read_text(encoding="utf-8").splitlines()
    assert listed == ["- Only one climber may be up on this site and whistle.", "+ Only one climber may be up on this site."]
    listed = (folder / "contractor-notice.edited.docx.differences.txt").read_text(encoding="utf-8")
    assert "Added by hand." in listed
    assert "whistle" not in notice.read_text(encoding="utf-8")


def test_changes_between_two_revisions(story):
    """Revision 1 against revision 2, both frozen: the same clauses as before the issue, and the engineer's new approval stands."""
    checked = check_site(story["site"], LAST)
    changes = compare_site(checked, since=1, to=2)
    assert {c.id for c in changes.clauses} == {c.id for c in story["changes"].clauses}
    assert all(s.stands for s, _ in changes.approvals)
    with refused(RecordError, match="there is no revision 9"):
        compare_site(checked, since=9)


def test_without_an_issue_there_is_nothing_to_compare(tmp_path, capsys):
    """`changes` on a site never issued is one clear message."""
    assert main(["changes", str(new_site(tmp_path)), "--as-of", "2026-11-01"]) == 2
    assert "no revision has been issued yet" in capsys.readouterr().err


def test_demo_sites_have_no_records():
    """The demos in the checkout are untouched by the tests."""
    assert not list(ROOT.glob("site_profiles/*/issued"))
    assert check(demo("harrow-ridge").source) == ()
