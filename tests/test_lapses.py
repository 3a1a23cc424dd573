"""What lapses and what stands when something changes: by scope, by person in time, by what is administrative."""

import copy
import shutil
from datetime import date
from pathlib import Path

import pytest
import yaml
from composed_once import composed_once
from control_site import (
    DEVICE,
    FIRST,
    LATER,
    SIGNERS,
    approve_all,
    new_site,
    swap,
)
from support import PlainDumper

from docgen.compose.standing import in_scope, standing
from docgen.control.approve import Request
from docgen.control.approve import approve as record
from docgen.pipeline import check_site, compared_site
from docgen.read import read_profile
from docgen.revisions import compare_site


@pytest.fixture(scope="module", autouse=True)
def _composed_once():
    """The texts of the site are composed once for each state of its profile."""
    with composed_once():
        yield


def test_a_phone_number_leaves_the_calculations_approved(site):
    """An engineer's approval of the calculations stands when a phone number changes; whoever approved the whole plan approves again."""
    swap(
        site, *[("number: 555-0150", "number: 555-0199")] * 2
    )  # the control room among the contacts, and the second number of the alarm
    changes = compare_site(check_site(site, LATER))
    state = {(s.approval.document, s.approval.role): s.stands for s, _ in changes.approvals}
    assert state["engineering-record", "qualified-person"]
    assert not state["contractor-notice", "counsel"]


def test_another_notice_at_a_gate_leaves_the_rescue_procedure_approved(site):
    """Its text says where it hangs itself, and rests on no posting of another paper."""
    before = "posting:\n"
    swap(
        site,
        (
            before,
            before
            + "  - {id: GATE-9, place: North gate, document: contractor-notice, language: en, kept_by: shift-supervisor}\n",
        ),
    )
    state = {(s.approval.document, s.approval.role): s.stands for s, _ in compare_site(check_site(site, LATER)).approvals}
    assert state["rescue-procedure", "rescue-lead"]
    assert not state["fall-protection-plan", "issuing-authority"]


def test_counsel_stands_when_a_rail_height_changes(site):
    """The notice carries no rail height, so counsel's approval stands when one changes, and the engineer's does not."""
    swap(site, ("underside: {value: 27.0 ft", "underside: {value: 27.2 ft"))
    state = {(s.approval.document, s.approval.role): s.stands for s, _ in compare_site(check_site(site, LATER)).approvals}
    assert state["contractor-notice", "counsel"]
    assert not state["engineering-record", "qualified-person"]


ALTERED = (
    ("number: 555-0150", "number: 555-0199"),
    DEVICE[0],
    ("name: Truck driver", "name: Truck crew"),
    ("wind: 25 mph", "wind: 20 mph"),
)


@pytest.fixture(scope="module")
def altered(issued, tmp_path_factory):
    """The issued site with its texts of the day, and the plan after each of several changes, composed once."""
    site = Path(shutil.copytree(issued, tmp_path_factory.mktemp("altered") / "site"))
    checked, before = compared_site(check_site(site, FIRST))
    after = []
    for pair in ALTERED:
        shutil.copy(issued / "profile.yaml", site / "profile.yaml")
        swap(site, pair)
        after.append(compared_site(check_site(site, FIRST))[1]["fall-protection-plan"])
    return checked, before, after


@pytest.mark.parametrize(
    "scope", [("document",), ("contractors",), ("fall-protection-plan.sheet.B1",), ("sheet",), ("bays", "stop")]
)
def test_an_approval_lapses_exactly_with_its_scope(scope, altered, tmp_path):
    """For each of several changes: lapsed if and only if text or inputs of a clause in scope differ, compared here clause by clause."""
    checked, before, after = altered
    asked = Request("fall-protection-plan", "competent-person", "J. Whitlow", FIRST, scope)
    taken = record(asked, checked, before, tmp_path, "en").approval
    old = before["fall-protection-plan"]["en"]
    for pair, texts in zip(ALTERED, after, strict=True):
        one, other = (
            {c.id: (" ".join(c.text.split()), c.inputs) for c in b.clauses if c.id in in_scope(scope, b)}
            for b in (old, texts["en"])
        )
        assert standing(taken, texts).stands == (one == other), pair


NEXT = (
    "holders: [{name: D. Sorensen, from: 2025-01-06, accepted_on: 2025-01-06}], phone: 555-0143",
    "holders: [{name: D. Sorensen, from: 2025-01-06, to: 2026-11-11, accepted_on: 2025-01-06}, "
    "{name: K. Aas, from: 2026-11-12, accepted_on: 2026-11-12}], phone: 555-0143",
)


def test_a_spare_is_an_input_of_no_paper_that_says_nothing_of_it(site):
    """A device on the shelf rests under the record, the register of parts and the certificate alone; what hangs and who signs for it is let be."""
    data = read_profile(site).data
    device = next(part for part in data["equipment"] if part["id"] == "D-1")
    data = {
        **data,
        "equipment": [*data["equipment"], {**copy.deepcopy(device), "id": "D-9", "serial": "D1-30009", "spare": True}],
    }
    (site / "profile.yaml").write_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8")
    moved = {c.document for c in compare_site(check_site(site, LATER)).clauses}
    assert moved == {"engineering-record", "fall-protection-plan", "hazard-certificate"}


def lapsed(site: Path, day: date) -> set[tuple[str, str]]:
    """(document, part) of the approvals that do not stand."""
    checked, bodies = compared_site(check_site(site, day))
    return {(a.document, a.role) for a in checked.records.approvals if not standing(a, bodies[a.document]).stands}


def test_a_later_holder_changes_no_text(site):
    """Whoever takes a role on after the day of the papers is in no body and in no sentence about a past act; nothing lapses."""
    before = compared_site(check_site(site, LATER))[1]
    swap(site, NEXT)
    swap(
        site,
        ("name: J. Whitlow, from: 2025-01-06, accepted_on", "name: J. Whitlow, from: 2025-01-06, to: 2026-11-02, accepted_on"),
    )
    after = compared_site(check_site(site, LATER))[1]
    assert {d: {lang: b.digest for lang, b in v.items()} for d, v in before.items()} == {
        d: {lang: b.digest for lang, b in v.items()} for d, v in after.items()
    }
    assert lapsed(site, LATER) == set()
    found = {f.path for f in check_site(site, LATER).assessed.findings if f.name == "holder-later"}
    assert found == {"roles[rescue-lead].holders", "roles[competent-person].holders"}


def test_another_day_that_selects_the_same_lapses_nothing(site):
    """The day of the papers is in no digest and no input: only the holders and the law that it selects are."""
    swap(site, ("effective: 2026-11-01", "effective: 2026-10-20"))
    assert lapsed(site, LATER) == set()
    swap(site, NEXT)
    assert lapsed(site, LATER) == set()
    swap(site, ("effective: 2026-10-20", "effective: 2026-11-12"))  # now the new rescue lead is selected
    assert lapsed(site, LATER) == {("fall-protection-plan", "issuing-authority")}  # the plan alone names who holds a role


def test_a_past_act_keeps_its_name(tmp_path):
    """What a role did is printed with the name of that day, whoever holds it on the day of the papers."""
    site = new_site(tmp_path)
    swap(
        site, ("effective: 2026-11-01", "effective: 2026-11-12"),
        ("holders: [{name: R. Oduya, from: 2025-01-06}]", "holders: [{name: R. Oduya, from: 2025-01-06, to: 2026-10-31}, {name: K. Aas, from: 2026-11-01}]"),
    )  # fmt: skip
    plan = compared_site(check_site(site, LATER))[1]["fall-protection-plan"]["en"]
    texts = {c.id: c.text for c in plan.clauses}
    assert "stated by the Terminal manager (R. Oduya) on 2026-01-12" in texts["fall-protection-plan.policy"]
    assert "K. Aas" in texts["fall-protection-plan.roles"]
    assert "R. Oduya" not in texts["fall-protection-plan.roles"]
    swap(site, ("{name: R. Oduya, from: 2025-01-06,", "{name: R. Oduya, from: 2026-01-13,"))
    checked = check_site(site, LATER)
    plan = compared_site(checked)[1]["fall-protection-plan"]["en"]
    texts = {c.id: c.text for c in plan.clauses}
    assert "stated by the Terminal manager on 2026-01-12" in texts["fall-protection-plan.policy"]
    assert "past-act-unnamed" in {f.name for f in checked.assessed.findings}


def followed(name: str, signed: str = "") -> tuple[str, str]:
    """The change of the profile by which K. Aas follows somebody on 2026-10-01; what was done before keeps its name."""
    new = ", accepted_on: 2026-10-01" if signed else ""
    old = f"name: {name}, from: 2025-01-06{signed}}}]"
    return old, f"name: {name}, from: 2025-01-06, to: 2026-09-30{signed}}}, {{name: K. Aas, from: 2026-10-01{new}}}]"


AUTHORITY_ALONE = {
    "issuing authority": followed("R. Oduya"),
    "safety manager": followed("L. Brandt"),
    "place of the copies": ("kept_at: ", "kept_at: Mess room and "),
}
OTHERS_TOO = {
    "competent person": (followed("J. Whitlow", ", accepted_on: 2026-01-12"), ("fall-protection-plan", "rescue-lead")),
    "rescue lead": (followed("D. Sorensen", ", accepted_on: 2025-01-06"), ("fall-protection-plan", "rescue-lead")),
}


@pytest.fixture(scope="module")
def read_whole(tmp_path_factory):
    """The full demo with approvals of whole texts by every part, the qualified person's and the rescue lead's too."""
    site = new_site(tmp_path_factory.mktemp("whole"))
    checked, bodies = compared_site(check_site(site, FIRST))
    for document, role, by, _ in SIGNERS:
        record(Request(document, role, by, FIRST, ("document",)), checked, bodies, site, "en")
    return site


@pytest.mark.parametrize("change", AUTHORITY_ALONE.values(), ids=AUTHORITY_ALONE)
def test_an_administrative_change_lapses_the_issuing_authority_alone(change, read_whole, tmp_path):
    """Names of posts and places of copies: counsel, the qualified person and the rescue lead need not read again."""
    site = Path(shutil.copytree(read_whole, tmp_path / "site"))
    swap(site, change)
    found = lapsed(site, FIRST)
    assert {role for _, role in found} == {"issuing-authority"}


def test_the_telephone_of_whoever_is_called_is_no_matter_of_the_office(tmp_path):
    """The safety manager answers calls for help on the day shift: where the procedure prints that number, the rescue lead reads it again."""
    site = new_site(tmp_path)
    path = site / "profile.yaml"
    gate = "{post: Gate operator, part: gate-operator, person: gate,"
    swap(site, (gate, gate.replace("person: gate", "person: safety-manager")))
    approve_all(site, FIRST)
    path.write_text(path.read_text(encoding="utf-8").replace("555-0141", "555-0177"), encoding="utf-8")
    assert {("rescue-procedure", "rescue-lead"), ("rescue-procedure", "issuing-authority")} <= lapsed(site, LATER)


@pytest.mark.parametrize(("change", "other"), OTHERS_TOO.values(), ids=OTHERS_TOO)
def test_who_answers_for_the_work_is_not_administrative(change, other, read_whole, tmp_path):
    """Another qualified person, competent person, rescue lead or trainer lapses every approval of a clause that names the role."""
    site = Path(shutil.copytree(read_whole, tmp_path / "site"))
    swap(site, change)
    assert other in lapsed(site, FIRST)


def test_an_administrative_change_excuses_no_other(read_whole, tmp_path):
    """A clause in which a name of a post and something else changed lapses for everyone."""
    site = Path(shutil.copytree(read_whole, tmp_path / "site"))
    swap(site, followed("L. Brandt"), ("Keeps figures and records; compares", "Keeps records; compares"))
    assert ("fall-protection-plan", "rescue-lead") in lapsed(site, FIRST)
