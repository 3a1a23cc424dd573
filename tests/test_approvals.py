"""Who approves what: what a paper prints as needed is what the issue asks for, by people whom the profile names, whole and on the day.

The table of who approves which paper is that of the design, section 8 (practice of document control; ISO 9001:2015, 7.5.3).
"""

import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from control_site import FIRST, LATER, approve, approve_all, happened, issue, new_site, refused, swap
from support import SITES

from docgen.cli import main
from docgen.compose import compose_all
from docgen.compose.standing import in_scope, own_needed, resting_on, scope_of, standing
from docgen.control import issue as control
from docgen.control.approve import Request, drafted
from docgen.control.approve import approve as record
from docgen.control.say import role_title
from docgen.errors import RecordError, Refusal
from docgen.papers import outline, papers
from docgen.pipeline import check_site, compared_site
from docgen.profile import read_site
from docgen.records import read_records
from docgen.revisions import register_papers
from docgen.site import build
from docgen.words import words

RECORD = {"document": "engineering-record", "role": "qualified-person", "by": "T. Maran"}
NOTICE = {"document": "contractor-notice", "role": "issuing-authority", "by": "R. Oduya"}

# paper -> own approvals and those of other papers on which it rests, with what each covers where nobody names a scope
ASKED = {
    "engineering-record": {("engineering-record", "qualified-person", "document")},
    "fall-protection-plan": {
        ("fall-protection-plan", "issuing-authority", "document"), ("fall-protection-plan", "rescue-lead", "rescue"),
        ("engineering-record", "qualified-person", "document"),
    },
    "contractor-notice": {("contractor-notice", "issuing-authority", "document")},
    "rescue-procedure": {("rescue-procedure", "issuing-authority", "document"), ("rescue-procedure", "rescue-lead", "document")},
    "rescue-card": {("rescue-procedure", "issuing-authority", "document"), ("rescue-procedure", "rescue-lead", "document")},
    "bay-sign": {("contractor-notice", "issuing-authority", "document")},
    "climb-card": {("fall-protection-plan", "issuing-authority", "document")},
}  # fmt: skip


@pytest.mark.parametrize(("paper", "due"), ASKED.items(), ids=ASKED)
def test_each_paper_is_approved_by_those_who_answer_for_it(paper, due):
    """Qualified person: the record; rescue lead: procedure, cards and the rescue section of the plan; issuing authority: every site paper."""
    site = build(read_site(SITES / "harrow-ridge").source)
    found = {(paper, part, ",".join(scope_of(paper, part))) for part in own_needed(outline(paper), site)}
    found |= {(other, part, ",".join(scope_of(other, part))) for other, part in resting_on(paper, site)}
    assert found == due


@pytest.mark.parametrize(
    "asked",
    [
        "[qualified-person, issuing-authority, rescue-lead]",
        "[management, rescue-lead, counsel]",
        "[qualified-person, issuing-authority, rescue-lead, safety-manager]",
        None,
    ],
)
def test_what_the_plan_prints_as_needed_is_what_the_issue_asks(asked, tmp_path):
    """The parts that the plan prints are those that the refusals of an unapproved issue name, but for counsel, kept off the papers."""
    site = new_site(tmp_path)
    swap(
        site,
        (
            "  approvals_needed: [qualified-person, issuing-authority, rescue-lead]\n",
            f"  approvals_needed: {asked}\n" if asked else "",
        ),
    )
    checked, bodies = compared_site(check_site(site, FIRST))
    clause = next(c for c in bodies["fall-protection-plan"]["en"].clauses if c.id.endswith(".preparation"))
    printed = re.search(r"needs these approvals: ([^.]*)\.", clause.text)[1].split(", ")
    known = tuple(bodies)
    due = {r.values["title"] for r in control.refusals(checked, bodies, known, "en") if r.name == "approval-missing"}
    assert set(printed) == due - {words("en")["approvals"]["counsel"]}
    assert {role_title(part, "en") for part in re.findall("[a-z-]+", asked or "")} <= due
    assert len(set(printed)) == len(printed)
    assert any(path == "document.approvals_needed" for path, _ in clause.inputs) or asked is None


def test_every_site_paper_is_approved_or_says_that_it_is_not():
    """No paper of the site that is issued goes without the issuing authority, but for those whose index names another or nobody."""
    without = {
        o.name for o in papers() if o.bound and o.circle == "site" and not any(a.part == "issuing-authority" for a in o.approvals)
    }
    assert without == set()


# scopes


def test_left_out_a_scope_is_what_the_part_approves(unapproved):
    """The rescue lead approves the rescue section of the plan and the whole procedure, without naming either."""
    given = {"role": "rescue-lead", "by": "D. Sorensen", "on": FIRST}
    assert drafted(Request("fall-protection-plan", **given), *unapproved, "en").scope == ("rescue",)
    assert drafted(Request("rescue-procedure", **given), *unapproved, "en").scope == ("document",)


def test_an_approval_of_a_part_of_a_paper_is_none_of_the_whole(approved, tmp_path):
    """What nobody approved is named; two approvals that cover the paper together suffice, and both are on the record of the revision."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    for file in (site / "approvals").glob("A-*"):
        file.unlink()
    first = approve(site, FIRST, scope=("inputs", "load-path"), **RECORD)
    checked, bodies = compared_site(check_site(site, FIRST))
    body = bodies["engineering-record"]["en"]
    (partial,) = [r for r in control.refusals(checked, bodies, ("engineering-record",), "en") if r.name.startswith("approval")]
    assert partial.name == "approval-partial"
    rest = tuple(dict.fromkeys(c.section for c in body.clauses if c.section not in ("inputs", "load-path")))
    assert partial.values["sections"] == rest
    second = approve(site, FIRST, scope=rest, **RECORD)
    assert {c.id for c in body.clauses} == {*in_scope(first.approval.scope, body), *in_scope(second.approval.scope, body)}
    made, against = issue(site, FIRST, types=("md",), wanted=("engineering-record",))
    assert (against, made.approvals) == ((), ("A-0001", "A-0002"))


def test_a_paper_says_that_its_approval_is_partial(tmp_path):
    """With an approval of one section on record the paper is for approval, and names the part that it still needs."""
    from docgen.compose.frame import frame_for

    site = new_site(tmp_path)
    approve(site, FIRST, scope=("inputs",), **RECORD)
    checked, bodies = compared_site(check_site(site, FIRST))
    texts = {name: versions["en"] for name, versions in bodies.items()}
    frame = frame_for("engineering-record", "en", checked.site, checked.assessed, texts, checked.records)
    assert any(r == "No approval bound to this text is on record: qualified person." for r in frame.reasons)
    plan = frame_for("fall-protection-plan", "en", checked.site, checked.assessed, texts, checked.records)
    assert any("rests on the approval of the engineering record by the qualified person" in r for r in plan.reasons)


def test_no_issued_paper_tells_of_counsel(approved, tmp_path):
    """P23: counsel approved notice and plan, both are on the record of the revision, and no paper says that advice was asked for or given."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    by = approve(site, FIRST, document="fall-protection-plan", role="counsel", by="A. Petrie").approval.id
    made, against = issue(site, FIRST, types=("md",), wanted=("contractor-notice", "fall-protection-plan", "rescue-procedure"))
    assert against == ()
    assert {"A-0003", by} <= {*made.approvals}
    for page in (site / "issued/rev-001/documents").glob("*.md"):
        text = page.read_text(encoding="utf-8")
        assert not re.search(r"Petrie|[Cc]ounsel|A-0003|" + by, text), page.name
    plan = (site / "issued/rev-001/documents/fall-protection-plan.md").read_text(encoding="utf-8")
    assert "| 1 | 2026-11-01 | First issue | R. Oduya, issuing authority (A-0002)" in plan


# people


@pytest.fixture(scope="module")
def unapproved(tmp_path_factory):
    """The full demo without records, composed once: what was checked, and its texts."""
    return compared_site(check_site(new_site(tmp_path_factory.mktemp("unapproved")), FIRST))


@pytest.mark.parametrize("by", ["R. Oduya", " R.  Oduya ", "r. oduya", "R. ODUYA", "R.\u00a0Oduya"])
def test_white_space_and_capitals_make_nobody_else(by, unapproved):
    """The record bears the name as the profile writes it."""
    assert drafted(Request(on=FIRST, **NOTICE | {"by": by}), *unapproved, "en").by == "R. Oduya"


@pytest.mark.parametrize(
    ("by", "message"),
    [
        ("R.Oduya", "does not name 'R.Oduya' for the part issuing-authority; if R. Oduya is meant, write the name so"),
        ("R Oduya", "if R. Oduya is meant, write the name so"),
        (
            "Nobody Special",
            "the profile does not name Nobody Special for the part issuing-authority on 2026-11-01; it names: R. Oduya",
        ),
        ("Oduya", "does not name Oduya"),
        ("T. Maran", "does not name T. Maran"),
    ],
)
def test_another_spelling_is_told_and_another_person_refused(by, message, unapproved):
    """P8: neither anybody nor a name written otherwise is taken for the issuing authority."""
    with refused(RecordError, match=re.escape(message)):
        drafted(Request(on=FIRST, **NOTICE | {"by": by}), *unapproved, "en")


DELEGATE = (
    "holders: [{name: R. Oduya, from: 2025-01-06}], phone",
    "holders: [{name: R. Oduya, from: 2025-01-06}], delegates: [{name: K. Farrow, from: 2026-11-01, to: 2026-11-05}], phone",
)


def test_a_delegate_approves_in_the_days_named(tmp_path):
    """A delegate is taken on the first and last day named, for the holder; neither before nor after, nor once the holder left."""
    site = new_site(tmp_path)
    swap(site, DELEGATE)
    read = compared_site(check_site(site, FIRST))

    def taken(day, by="K. Farrow"):
        return drafted(Request(on=day, **NOTICE | {"by": by}), *read, "en")

    for day in (date(2026, 11, 1), date(2026, 11, 5)):
        assert (taken(day).by, taken(day).delegate_of) == ("K. Farrow", "R. Oduya")
    assert taken(FIRST, "R. Oduya").delegate_of is None
    for day in (date(2026, 10, 31), date(2026, 11, 6)):
        with refused(RecordError, match="does not name K. Farrow"):
            taken(day)
    swap(site, ("{name: R. Oduya, from: 2025-01-06}", "{name: R. Oduya, from: 2025-01-06, to: 2026-11-02}"))
    read = compared_site(check_site(site, FIRST))
    with refused(RecordError, match="names nobody for the part issuing-authority on 2026-11-03"):
        taken(date(2026, 11, 3))


def test_a_delegate_bears_the_part_of_the_holder_on_no_page(approved, tmp_path):
    """Whoever approved in another's place is printed so wherever a part stands beside the name."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    swap(site, DELEGATE)
    lead = "holders: [{name: D. Sorensen, from: 2025-01-06, accepted_on: 2025-01-06}]"
    swap(site, (lead, f"{lead}, delegates: [{{name: K. Farrow, from: 2026-11-01, to: 2026-11-05}}]"))
    for document, role in (
        ("rescue-procedure", "rescue-lead"),
        ("fall-protection-plan", "rescue-lead"),
        ("contractor-notice", "issuing-authority"),
    ):
        assert approve(site, FIRST, document=document, role=role, by="K. Farrow").approval.delegate_of is not None
    checked, bodies = compared_site(check_site(site, FIRST))
    made = compose_all(
        checked.site, checked.code, checked.assessed, checked.happened, ("md",),
        wanted=("rescue-procedure", "fall-protection-plan", "legal-file"), records=checked.records, bodies=bodies,
    )  # fmt: skip
    for document, _ in made:
        printed = document.markdown
        assert ("K. Farrow for D. Sorensen" in printed) == (document.name != "index"), document.name
        assert not re.search("K\\. Farrow(?! for )", printed.replace("by K. Farrow", "")), document.name
    assert main(["issue", str(site), "--on", FIRST.isoformat(), "--types", "md", "--quiet"]) == 0
    assert main(["show", str(site), "--on", "2026-11-03", "--into", str(tmp_path / "then"), "--quiet"]) == 0
    day = date(2026, 11, 3)
    register = (
        register_papers(check_site(site, day), ("html",), "en")["clause-register.contractor-notice.html"]
        .decode("utf-8")
        .replace("\u00a0", " ")
    )
    contents = next((tmp_path / "then").rglob("contents.md")).read_text(encoding="utf-8")
    for page in (register, contents):
        assert "K. Farrow for R. Oduya" in page
        assert not re.search("K\\. Farrow(?! for )", page)


def test_a_delegate_needs_the_licence_too(tmp_path):
    """Nobody approves under the licence of another."""
    site = new_site(tmp_path)
    old = "holders: [{name: T. Maran, from: 2025-01-06, accepted_on: 2025-01-06}]"
    swap(site, (old, f"{old}, delegates: [{{name: K. Farrow, from: 2026-11-01, to: 2026-11-30}}]"))
    with refused(RecordError, match="K. Farrow is not the qualified-person of the profile"):
        approve(site, FIRST, **RECORD | {"by": "K. Farrow"})


UNNUMBERED = {
    "counsel": (
        "licence: NE-B-0000 (invented), ", {"document": "contractor-notice", "role": "counsel", "by": "A. Petrie"},
        "approves under a licence: its number, place and last day are missing",
    ),
    "qualified person": ("licence: NE-00000 (invented), ", RECORD, "is a draft .*The licence number of that person"),
}  # fmt: skip


@pytest.mark.parametrize(("lacking", "given", "message"), UNNUMBERED.values(), ids=UNNUMBERED)
def test_a_licensed_reviewer_never_approves_without_a_number(lacking, given, message, tmp_path):
    """U15: where the profile asks for a seal or for counsel and gives no number, none is recorded without one."""
    site = new_site(tmp_path)
    swap(site, (lacking, ""))
    with refused(Refusal, match=f"(?s){message}"):
        approve(site, FIRST, **given)
    assert not (site / "approvals").exists()


@pytest.mark.parametrize("command", [
    ("approve", "--document", "contractor-notice", "--role", "counsel", "--by", "A. Petrie"), ("issue",),
    ("withdraw", "1", "--by", "R. Oduya", "--reason", "Wrong"),
])  # fmt: skip
def test_nothing_is_recorded_on_a_day_ahead(command, tmp_path, capsys, monkeypatch):
    """R8, U15: a day after today is refused by its own message, which names the option; today itself is taken."""
    monkeypatch.setattr("docgen.commands.outcome.today", lambda: date(2026, 11, 1))
    site = new_site(tmp_path)
    name, *rest = command
    place = rest[:1] if name == "withdraw" else []
    assert main([name, str(site), *rest, "--on", "2026-11-02"]) == 2
    said = capsys.readouterr().err
    assert "2026-11-02 is a day ahead (today is 2026-11-01)" in said
    assert "--on names it" in said
    assert not (site / "approvals").exists()
    main([name, str(site), *place, *rest[len(place) :], "--on", "2026-11-01"])
    assert "a day ahead" not in capsys.readouterr().err


@pytest.mark.parametrize("command", [
    ("approve", "--document", "contractor-notice", "--role", "counsel", "--by", "A. Petrie"), ("issue",),
    ("withdraw", "A-0004", "--by", "A. Petrie", "--reason", "Wrong"), ("hold", "on", "--by", "A. Petrie", "--reason", "Claim"),
    ("replace", "D-1", "--by", "D-9"),
], ids=lambda c: c[0])  # fmt: skip
def test_nothing_is_recorded_before_the_site_began(command, approved, tmp_path, capsys):
    """The oldest day on file is 2023-10-15: of a reviewer, who has no first day, too nothing is taken that bears an older one."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    before = {p: p.read_bytes() for p in site.rglob("*") if p.is_file()}
    name, *rest = command
    assert main([name, str(site), *rest, "--on", "2023-10-14"]) == 2
    assert "2023-10-14 is before this site began: the oldest day on file is 2023-10-15" in capsys.readouterr().err
    assert {p: p.read_bytes() for p in site.rglob("*") if p.is_file()} == before


# what a change asks for


def asked_after(site: Path, day: date) -> set[tuple[str, str]]:
    """(paper, part) of the approvals that the next issue asks for."""
    checked, bodies = compared_site(check_site(site, day))
    chosen = control.choose(checked, bodies, ())
    titles = {title: part for part, title in words("en")["approvals"].items()}
    against = control.refusals(checked, bodies, chosen, "en")
    return {(r.values["document"], titles[r.values["title"]]) for r in against if r.name.startswith("approval-")}


def test_an_office_telephone_number_asks_for_one_signature(tmp_path):
    """The number of the safety office, printed on the notice: the issuing authority alone signs again, counsel of the same clause does not."""
    site = new_site(tmp_path)
    swap(
        site, ("ask: shift-supervisor", "ask: safety-manager"), ("name: Truck driver", "name: Driver")
    )  # the notice has no word to spare
    checked, bodies = compared_site(check_site(site, FIRST))
    for role, by in (("counsel", "A. Petrie"), ("issuing-authority", "R. Oduya")):
        record(Request("contractor-notice", role, by, FIRST), checked, bodies, site, "en")
    swap(site, ("phone: 555-0141", "phone: 555-0149"))
    checked, bodies = compared_site(check_site(site, FIRST))
    assert "555\u20110149" in bodies["contractor-notice"]["en"].markdown
    state = {a.role: standing(a, bodies["contractor-notice"]).stands for a in checked.records.approvals}
    assert state == {"counsel": True, "issuing-authority": False}
    against = control.refusals(checked, bodies, ("contractor-notice",), "en")
    assert [(r.name, r.values["title"]) for r in against] == [("approval-lapsed", "issuing authority")]


def test_an_alarm_number_asks_for_two_and_for_a_try_by_another(site):
    """The number of the control room: issuing authority and rescue lead sign again, the engineer does not, and another person than the
    one who prepared the papers tried it.
    """
    swap(site, *[("number: 555-0150", "number: 555-0199")] * 2)
    parts = {part for _, part in asked_after(site, LATER)}
    assert {"issuing-authority", "rescue-lead"} <= parts
    assert "qualified-person" not in parts
    approve_all(site, LATER)

    def untried():
        return [r.name for r in issue(site, LATER, types=("md",))[1]]

    assert untried() == ["alarm-number-untried"]
    happened(site, kind="number-tried", on=LATER, by="L. Brandt", number="555-0199", how="dialled")  # who prepared the papers
    assert untried() == ["alarm-number-untried"]
    happened(site, kind="number-tried", on=LATER, by="K. Farrow", number="555-0199", how="dialled")
    assert untried() == []


def test_an_approval_without_a_change_stands(site):
    """Nothing lapses by itself: all approvals of an unchanged site stand on a later day."""
    _, bodies = compared_site(check_site(site, LATER))
    assert all(standing(a, bodies[a.document]).stands for a in read_records(site, "harrow-ridge").approvals)
