"""A part, a person or a vehicle is replaced: the profile keeps its comments, the old one its past, and findings ask for what must be new.

Expected by hand: what is true of one piece only (label, papers, measures) is not true of the next one. The whole story runs through the
command line on the full demo.
"""

import re
from datetime import date

import pytest
from control_site import FIRST, LATER, happened, new_site, refused, swap
from support import SITES

from docgen.check import referred
from docgen.cli import main
from docgen.control.replace import replaced
from docgen.errors import Refusal
from docgen.pipeline import check_site
from docgen.read import read_text

DAY = date(2026, 11, 10)
SMALL = """# head of the file
profile: 2
site: {id: small, name: Small, jurisdiction: US-KS, sector: general-industry}
document: {effective: 2026-11-01, number: S-1}
equipment:
  # the device of the bay
  - id: D-1  # hung in spring
    kind: srd
    # read by J. Whitlow
    capacity:
      min: 130 lb  # label
      # the upper one is on the back
      max: "310 lb"  # a text: '#5'
    manual: "Manual #7"   # with a hash
    label_photo: photos/d-1.jpg
    # last of the device
  - {id: H-1, kind: harness, name: Harness}  # the other one
systems:
  - {id: S1, bay: B1, parts: [D-1], harnesses: [H-1]}  # names D-1
bays:
  - {id: B1, name: Bay}
# end
"""


def names(site, day=LATER):
    return [f.name for f in check_site(site, day).assessed.findings]


def made(tmp_path, text, *given, **more):
    file = tmp_path / "profile.yaml"
    file.write_bytes(text.encode("utf-8"))
    return replaced(file, *given, DAY, **more)


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_every_comment_and_every_other_line_stays(newline, tmp_path):
    """Comments inside and beside what becomes unknown stay; the file is the same but for the lines of the device and of its references."""
    text = SMALL.replace("\n", newline)
    new = made(tmp_path, text, "D-1", "D-2", reason="Line worn: #3").new
    comments = re.compile(r"(?<=\s)#[^\r\n]*|^#[^\r\n]*", re.MULTILINE)
    kept = comments.findall(re.sub(r"\"[^\"]*\"|'#5'", "", new))
    assert sorted(c for c in comments.findall(re.sub(r"\"[^\"]*\"|'#5'", "", text))) == sorted(c for c in kept if c != "#3")
    assert new.replace("\r\n", "").count("\r") == 0
    assert ("\r\n" in new) == (newline == "\r\n")
    data = read_text(new).data
    assert data["equipment"][0] == {
        "id": "D-2",
        "kind": "srd",
        "capacity": "unknown",
        "manual": "unknown",
        "label_photo": "unknown",
    }
    assert data["equipment"][1] == {"id": "H-1", "kind": "harness", "name": "Harness"}
    assert data["systems"] == [{"id": "S1", "bay": "B1", "parts": ["D-2"], "harnesses": ["H-1"]}]
    assert data["retired"] == [
        {"id": "D-1", "of": "part", "on": "2026-11-10", "by": "D-2", "label_photo": "photos/d-1.jpg", "manual": "Manual #7", "reason": "Line worn: #3"}
    ]  # fmt: skip


@pytest.mark.parametrize("before", ["", "retired: []\n", "retired:\n  - {id: X-9, of: part, on: 2026-01-02}  # first\n# after\n"])
def test_the_list_of_what_is_retired_grows(before, tmp_path):
    """The row is added to an empty list, to one that is there, or makes the list."""
    data = read_text(made(tmp_path, SMALL + before, "H-1", "H-2").new).data
    assert [r["id"] for r in data["retired"]] == ([*(["X-9"] if "X-9" in before else []), "H-1"])


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("D-7", "D-2", r"has the id 'D-7'; there is: D-1"),
        ("S1", "S9", r"that can be replaced"),
        ("D-1", "h-1", r"the id 'h-1' is or was that of something else"),
        ("D-1", "x-9", r"the id 'x-9' is or was"),
        ("D-1", "D 2", r"'D 2' is no id"),
    ],
)
def test_wrong_ids_are_refused(old, new, message, tmp_path):
    """An id that is not there, is taken, was used before, or is none: one sentence, and nothing written."""
    text = SMALL + "retired:\n  - {id: X-9, of: part, on: 2026-01-02}\n"
    with refused(Refusal, match=message):
        made(tmp_path, text, old, new)
    assert (tmp_path / "profile.yaml").read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    ("old", "of"),
    [("R-1", "part"), ("H-A", "part"), ("K-1", "part"), ("tanker", "vehicle"), ("U-03", "climber"), ("RS-2", "rescuer")],
)
def test_each_kind_is_read_back(old, of, tmp_path):
    """Of each kind one of the full demo: the profile is read, the old id is used nowhere but in its history."""
    site = new_site(tmp_path)
    change = replaced(site / "profile.yaml", old, "NEW-7", DAY)
    assert change.of == of
    (site / "profile.yaml").write_text(change.new, encoding="utf-8")
    checked = check_site(site, LATER)
    assert checked.problems == ()
    assert [r.id for r in checked.site.retired] == [old]
    assert not [at for at, value, _ in referred(read_text(change.new)) if value == old and not at.startswith("retired")]
    texts = change.new.splitlines()
    assert all(re.search(rf"\b{old}\b", texts[line - 1]) for line in change.still_named(old))


@pytest.mark.parametrize(
    "entry",
    ["{id: RS-6, shifts: [night], methods: [M1, M2, M3]}", "{id: RS-6, shifts: [night]}", "id: RS-6\n      shifts: [night]",
     "id: RS-6\n      shifts: [night]\n      methods:\n        - M1  # by rope\n        - M2"],
)  # fmt: skip
def test_a_new_rescuer_has_practised_nothing(entry, tmp_path):
    """Whatever was said of the old one: the new one stands with an empty list, which no paper and no finding takes for all."""
    site = new_site(tmp_path)
    path = site / "profile.yaml"
    text = path.read_text(encoding="utf-8")
    (line,) = [x for x in text.splitlines() if re.search(r"- \{?id: RS-6\b", x)]
    path.write_text(text.replace(line, f"    - {entry}"), encoding="utf-8")
    assert check_site(site, LATER).problems == ()
    change = replaced(path, "RS-6", "RS-7", DAY)
    path.write_text(change.new, encoding="utf-8")
    checked = check_site(site, LATER)
    (new,) = [r for r in checked.site.people.rescuers if r.id == "RS-7"]
    assert (new.methods, checked.site.practised(new, "M1")) == ((), False)
    assert [a.rpartition(".")[2] for a in change.asked if "rescuers" in a] == ["methods"]
    found = [f for f in checked.assessed.findings if f.name == "holder-not-rescuer" and f.severity == "must-fix"]
    assert [f.path for f in found] == ["shifts[night].posts[4].person"]


def test_what_a_rescuer_has_practised_is_not_unknown(tmp_path):
    """The word would leave the list out, and a list left out means all: it is refused at its line."""
    site = new_site(tmp_path)
    path = site / "profile.yaml"
    text = path.read_text(encoding="utf-8")
    (line,) = [x for x in text.splitlines() if re.search(r"- \{?id: RS-6\b", x)]
    path.write_text(text.replace(line, "    - {id: RS-6, shifts: [night], methods: unknown}"), encoding="utf-8")
    (problem,) = check_site(site, LATER).problems
    assert problem.message == "'methods' cannot be unknown: it says what somebody decided"


def test_a_device_through_the_command_line(tmp_path, capsys):
    """Preview writes nothing; the command shows the difference; bay closed and findings asked; each finding goes when its fact is there."""
    site = new_site(tmp_path)
    before = (site / "profile.yaml").read_text(encoding="utf-8")
    given = ["replace", str(site), "D-1", "--by", "D-9", "--on", "2026-11-10"]
    assert main([*given, "--preview"]) == 0
    assert (site / "profile.yaml").read_text(encoding="utf-8") == before
    assert main(given) == 0
    said = capsys.readouterr().out
    assert "-    serial: D1-20417" in said
    assert "+    serial: unknown" in said
    assert "inspection before the first use" in said
    checked = check_site(site, LATER)
    found = {f.name for f in checked.assessed.findings if f.severity == "must-fix"}
    asked = {
        "critical-input-missing",
        "inspection-never",
        "replaced-untrained",
        "compatibility-unstated",
        "replacement-undocumented",
    }
    assert asked <= found
    assert {b.bay: b.state for b in checked.assessed.bays} == {"B1": "closed-by-finding", "B2": "open"}
    swap(
        site,
        ("    serial: unknown\n", "    serial: D3-1\n"),
        ("    label_photo: unknown\n", "    label_photo: photos/D-9.jpg\n"),
        ("    manual: unknown\n", "    manual: Device manual rev 8\n"),
    )
    assert "replacement-undocumented" not in names(site)
    happened(site, kind="inspection", on=DAY, by="J. Whitlow", part="D-9", result="pass", serial="D3-1")
    assert "inspection-never" not in names(site)
    for user in range(1, 7):
        assert "replaced-untrained" in names(site)
        happened(
            site,
            kind="training",
            on=DAY,
            by="D. Sorensen",
            person=f"U-0{user}",
            course="Device D-9",
            language="en",
            practical=True,
        )
    assert "replaced-untrained" not in names(site)


def test_commissioning_of_the_old_part_is_no_first_inspection(tmp_path):
    """The system was commissioned in 2025 with D-1; D-9 came in 2026 and has no inspection."""
    site = new_site(tmp_path)
    log = site / "log.yaml"
    log.write_text(
        "".join(line for line in log.read_text(encoding="utf-8").splitlines(True) if "part: D-1," not in line), encoding="utf-8"
    )
    assert "inspection-never" not in names(site)
    assert main(["replace", str(site), "D-1", "--by", "D-9", "--on", "2026-11-10"]) == 0
    assert "inspection-never" in names(site)


@pytest.mark.parametrize(("field", "value"), [("serial", "D1-20417"), ("label_photo", "photos/D-1-label.jpg")])
def test_evidence_of_the_old_part_is_a_must_fix(field, value, tmp_path):
    """Serial number or photograph of D-1 entered for D-9."""
    site = new_site(tmp_path)
    assert main(["replace", str(site), "D-1", "--by", "D-9", "--on", "2026-11-10"]) == 0
    assert "evidence-carried" not in names(site)
    swap(site, (f"    {field}: unknown\n", f"    {field}: {value}\n"))
    found = [f for f in check_site(site, LATER).assessed.findings if f.name == "evidence-carried"]
    assert [(f.path, f.severity, f.stops) for f in found] == [(f"equipment[D-9].{field}", "must-fix", "issue")]


def test_a_swap_under_the_same_id_keeps_no_evidence(site):
    """Only the serial number is changed after an issue: photograph, day of first use, dated label figure and an inspection that names no
    serial number are those of the old piece (use.md U11)."""
    log = site / "log.yaml"
    log.write_text(log.read_text(encoding="utf-8"), encoding="utf-8")
    swap(site, ("    serial: D1-20417\n", "    serial: D1-99999\n"))
    found = {f.path for f in check_site(site, LATER).assessed.findings if f.name == "evidence-carried"}
    assert found == {f"equipment[D-1].{name}" for name in ("arrest_distance", "in_service", "label_photo")}
    swap(
        site,
        (
            "value: 30 in, how: label, by: competent-person, on: 2026-06-09",
            "value: 30 in, how: label, by: competent-person, on: 2026-11-10",
        ),
        (
            "    in_service: 2025-03-20\n    label_photo: photos/D-1-label.jpg\n",
            "    in_service: 2026-11-10\n    label_photo: photos/D-1b.jpg\n",
        ),
    )
    assert "evidence-carried" not in names(site)


def test_an_id_is_not_used_again(tmp_path):
    """A retired id that is listed again is a must-fix: the log would mix two pasts."""
    site = new_site(tmp_path)
    path = site / "profile.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "\nretired:\n  - {id: D-1, of: part, on: 2026-11-10}\n", encoding="utf-8")
    assert [f.path for f in check_site(site, FIRST).assessed.findings if f.name == "retired-in-use"] == ["retired[D-1].id"]


def test_what_happened_to_the_old_one_stays_in_the_log(tmp_path):
    """Entries that name the retired part, also one written later, are read; one of an id that never was is not."""
    site = new_site(tmp_path)
    assert main(["replace", str(site), "D-1", "--by", "D-9", "--on", "2026-11-10"]) == 0
    happened(site, kind="inspection", on=DAY, by="J. Whitlow", part="D-1", result="fail", serial="D1-20417")
    assert check_site(site, LATER).problems == ()
    happened(site, kind="inspection", on=DAY, by="J. Whitlow", part="D-8", result="fail")
    assert "D-8" in check_site(site, LATER).problems[0].message


def test_somebody_else_wrote_meanwhile(tmp_path):
    """The file changed between reading and writing: refused, and the other's text stays."""
    from docgen.control.replace import write
    from docgen.errors import RecordError

    site = new_site(tmp_path)
    change = replaced(site / "profile.yaml", "D-1", "D-9", DAY)
    swap(site, ("serial: T1-3301", "serial: T1-3302"))
    with refused(RecordError, match="somebody else"):
        write(change)
    assert "T1-3302" in (site / "profile.yaml").read_text(encoding="utf-8")


def test_demos_have_replaced_nothing():
    """The full demo has no such list: its findings are none of a replacement."""
    assert not any(
        "retired:" in (SITES / name / "profile.yaml").read_text(encoding="utf-8") for name in ("harrow-ridge", "pellan-creek")
    )
