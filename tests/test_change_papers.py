"""What people read of a change: the brief, the redline, the posting list, the first lines of `changes`, the history of revisions.

Expected by hand, as a careful manager would write it: see each test. Pages are counted by pypdf and by LibreOffice, printed words read by pdftotext.
"""

import copy
import dataclasses
import io
import re
import shutil
import subprocess
import zipfile
from datetime import date
from pathlib import Path

import pytest
import yaml
from control_site import DEVICE, FIRST, LATER, approve_all, exchange, issue, new_site, swap
from office import office
from pypdf import PdfReader
from support import CLIMBING, PlainDumper, demo, with_changes
from support import changed as data_with
from test_redline import W, root, word

from docgen.cli import main
from docgen.compose.standing import standing
from docgen.control.align import edits, split_words
from docgen.control.approve import Request, approve
from docgen.control.brief import change_brief
from docgen.control.changes import compare
from docgen.control.fields import FieldChange, field_changes
from docgen.control.plain import as_lines, plain
from docgen.control.redline import redline_docx
from docgen.control.said import named, new_words
from docgen.control.say import control_words
from docgen.control.tell import as_summary, as_text, hung_anew
from docgen.happened import Happened
from docgen.pipeline import check_site, compared_site
from docgen.read import read_profile, read_text
from docgen.revisions import compare_site, papers_of, state_of
from docgen.site import Log, Site, slots_of
from docgen.write import WRITERS

FIGURE = re.compile(r"(?<![\w.])\d+(?:[.,]\d+)*(?:\s(?:ft|in|m|lb|kg|lbf|kN|mph|min)\b)?")
CLASS = (
    ("{id: service, name: Service technician, may_climb: false,",
     "{id: service, name: Service technician, may_climb: true, bays: [B1], training_checked_at_gate: true, fit_attested: true, "
     "harness_checked: true, sign_on: Sign the gate card, harness_fits: competent-person, supervised_by: shift-supervisor, rescuers: site, "
     "language_by: gate,"),
    ("  harnesses: none\n", "  harnesses: own\n"),
    ("  check_in: Report", "  firms: [{name: Vale Tank Service (invented), contract: C-11}]\n  check_in: Report"),
)  # fmt: skip


def changed(issued, folder, *pairs):
    site = Path(shutil.copytree(issued, folder / "site"))
    swap(site, *pairs)
    checked, _ = compared_site(check_site(site, LATER))
    return checked, compare_site(checked)


def brief(checked, changes):
    return change_brief(changes, checked.site, checked.code, "en")


# tokens


@pytest.mark.parametrize(
    ("old", "new", "shown"),
    [
        ("Limit is 6.5 ft (1.98 m).", "Limit is 7.0 ft (2.13 m).", "Limit is[- 6.5 ft (1.98 m)][+ 7.0 ft (2.13 m)]."),
        ("by R. M. Oduya today", "by M. Castellan today", "by [-R. M. Oduya ][+M. Castellan ]today"),
        ("call 555-0150 now", "call 555-0199 now", "call [-555-0150 ][+555-0199 ]now"),
        ("on 2026-11-01 at noon", "on 2026-11-12 at noon", "on [-2026-11-01 ][+2026-11-12 ]at noon"),
        ("1 person at a time in it", "2 people at a time in it", "[-1 person ][+2 people ]at a time in it"),
        ("6.5 ft", "7.0 ft", "[-6.5 ft][+7.0 ft]"),
        (
            "It stays. Only our own trained crew may climb: no driver.",
            "It stays. A technician may go up once the gate has checked training.",
            "It stays.[- Only our own trained crew may climb: no driver.][+ A technician may go up once the gate has checked training.]",
        ),
        ("Call 020 7946 0101 at once.", "Call 020 7946 0177 at once.", "Call [-020 7946 0101 ][+020 7946 0177 ]at once."),
        (
            "Call 02 9999\u00a00101 at once.",
            "Call 02 9998\u00a00101 at once.",
            "Call [-02 9999\u00a00101 ][+02 9998\u00a00101 ]at once.",
        ),
        ("Call 1800 555 010 now.", "Call 1800 556 010 now.", "Call [-1800 555 010 ][+1800 556 010 ]now."),
        ("Call 01.55.50.01.01 now.", "Call 01.55.51.01.01 now.", "Call [-01.55.50.01.01 ][+01.55.51.01.01 ]now."),
        ("Call 5550 0150 now.", "Call 5550 0177 now.", "Call [-5550 0150 ][+5550 0177 ]now."),
        ("29 CFR 1910.140(c)(8) holds", "29 CFR 1910.140(c)(9) holds", "29 CFR [-1910.140(c)(8) ][+1910.140(c)(9) ]holds"),
    ],
)
def test_whole_tokens_are_struck_and_set(old, new, shown):
    """A number with its unit, a name with initials, a telephone number, a day, a citation; a mostly new sentence as a whole."""
    one, other = split_words(old), split_words(new)
    said = "".join(
        "".join(other[e.j1 : e.j2]) if e.how == "equal" else f"[-{''.join(one[e.i1 : e.i2])}][+{''.join(other[e.j1 : e.j2])}]"
        for e in edits(one, other, str, str)
    )
    assert said == shown


# numbers of clauses

CLAUSES = "# T\n\n## One {: #one }\n\nFirst clause of it.\n{: #c.a .clause }\n\nSecond clause, of 6.5 ft.\n{: #c.b .clause }\n\n## Two {: #two }\n\nThird clause here.\n{: #c.c .clause }\n"


def shown_numbers(data):
    """(number, how) of each paragraph that bears one: '' stays, ins, del."""
    found = []
    for style in root(data).iter(f"{W}rStyle"):
        if style.get(f"{W}val") == "RedlineNumber":
            run = style.getparent().getparent()
            mark = run.getparent().tag.removeprefix(W)
            found.append((run.findtext(f"{W}t") or run.findtext(f"{W}delText"), mark if mark in ("ins", "del") else ""))
    return found


def test_an_inserted_clause_renumbers_no_other():
    """Two clauses and a section come in: those that stay keep their numbers, the new ones are 1.1A, 1.1B, 1A and 1A.1."""
    new = CLAUSES.replace(
        "Second clause",
        "Nobody stands on the lid.\n{: #c.n .clause }\n\nA rope hangs ready there.\n{: #c.m .clause }\n\nSecond clause",
    ).replace("## Two", "## Between {: #mid }\n\nSomething entirely other.\n{: #c.o .clause }\n\n## Two")
    data = redline_docx(word(CLAUSES), word(new), "A", LATER)
    assert shown_numbers(data) == [
        ("1", ""), ("1.1", ""), ("1.1A", "ins"), ("1.1B", "ins"), ("1.2", ""), ("1A", "ins"), ("1A.1", "ins"), ("2", ""), ("2.1", "")
    ]  # fmt: skip
    back = redline_docx(word(new), word(CLAUSES), "A", LATER)
    assert [n for n, how in shown_numbers(back) if how == "del"] == ["1.2", "1.3", "2", "2.1"]


def test_what_is_edited_next_is_tracked_too():
    """A word processor goes on tracking in a redline: its settings say so once, of a text that says so already as well."""
    for before in (CLAUSES, CLAUSES.replace("6.5 ft", "7.0 ft")):
        data = redline_docx(word(before), word(CLAUSES), "A", LATER)
        with zipfile.ZipFile(io.BytesIO(data)) as parts:
            assert parts.read("word/settings.xml").count(b"<w:trackRevisions") == 1
        with zipfile.ZipFile(io.BytesIO(redline_docx(word(before), data, "A", LATER))) as parts:
            assert parts.read("word/settings.xml").count(b"<w:trackRevisions") == 1


# black and white


def figures(text):
    return {" ".join(f.split()) for f in FIGURE.findall(" ".join(text.split()))}


def test_a_print_without_colour_shows_no_braid(tmp_path):
    """Every figure that can be read in the print is one of the old text or one of the new: read from the DOCX and from the PDF that
    LibreOffice prints of it. Cells that hold one figure alone are the hard case."""
    old = CLAUSES + "\n| Part | Limit | Height |\n| :-- | --: | --: |\n| rail | 30 | 6.5 ft |\n| hook | 310 lb | 2.13 m |\n"
    new = old.replace("6.5 ft", "7.0 ft").replace("| 30 |", "| 36 |").replace("310 lb", "295 lb").replace("2.13 m", "1.98 m")
    data = redline_docx(word(old), word(new), "A", LATER)
    known = figures(re.sub(r"[|#]", " ", old)) | figures(re.sub(r"[|#]", " ", new))
    tree = root(data)
    for mark in tree.iter(f"{W}del"):  # each stretch that is struck, and each that is set, is whole figures
        assert figures("".join(mark.itertext())) <= known
    pdf = tmp_path / "redline.pdf"
    pdf.write_bytes(office(data, "pdf", tmp_path))
    if not shutil.which("pdftotext"):
        pytest.skip("pdftotext is not installed")
    printed = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    seen = figures(printed)
    assert {"30", "36", "310 lb", "295 lb", "6.5 ft", "7.0 ft", "1.98 m", "2.13 m"} <= seen
    numbers = {"1", "1.1", "1.2", "2", "2.1", "2026-11-12", "2026", "11", "12", "11.5", "3"}  # of clauses, days and pages
    assert not {f for f in seen if f not in known and f not in numbers and " " in f}
    assert not {"3036", "310295", "6.57.0"} & {f.replace(" ", "") for f in seen}


# author and first page


def test_the_author_is_who_says_so(approved, tmp_path):
    """Given with --author, else the program: nobody who holds a role is put there by default. The first page tells what changed in words."""
    site = Path(shutil.copytree(approved, tmp_path / "approved"))
    assert issue(site, FIRST, types=("md", "docx"))[1] == ()
    checked, changes = changed(site, tmp_path, *CLASS)
    for given, author in ((None, "docgen"), ("A. Petrie", "A. Petrie")):
        papers = papers_of(checked, changes, ("docx",), True, given, "en")
        tree = root(papers["contractor-notice.redline.docx"])
        assert {m.get(f"{W}author") for m in tree.iter(f"{W}ins", f"{W}del")} == {author}
    notes = [
        "".join(p.itertext())
        for p in tree.iter(f"{W}p")
        if (s := p.find(f"{W}pPr/{W}pStyle")) is not None and s.get(f"{W}val") == "RedlineNote"
    ]
    assert notes[0] == "Notice: changes from revision 1 to the profile"
    assert any(n.startswith("A service technician may now climb, only in the Truck bay") for n in notes)
    assert not re.search(r"contractor-notice\.|classes\[|_", " ".join(notes))


# brief


def new_profile(issued, folder, change):
    site = Path(shutil.copytree(issued, folder / "site", dirs_exist_ok=True))
    data = data_with(read_profile(site).data, change)
    (site / "profile.yaml").write_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8")
    checked, _ = compared_site(check_site(site, LATER))
    return checked, compare_site(checked)


def words_of(checked, changes):
    return brief(checked, changes).markdown.replace("\\", "")


def test_the_brief_of_a_class_that_may_climb(issued, tmp_path):
    """Permission first, the new rule of the notice whole, nothing of the old one, a row to sign for each kind of reader."""
    checked, changes = changed(issued, tmp_path, *CLASS)
    text = words_of(checked, changes)
    said = plain(changes, "en")
    assert said.allowed == (
        "A service technician may now climb, only in the Truck bay, and only under the conditions on the notice and the gate card.",
    )
    assert (
        "Two groups may climb. Climbers on the supervisor's list may climb in both bays. A service technician of a listed firm may climb in the Truck bay only."
        in text
    )
    assert "Only climbers on the supervisor's list" not in text
    assert text.index("A service technician may now climb") < text.index("Two groups may climb")
    assert not re.search(r"classes\[|equipment\[|…|→", text)
    for reader in ("Climbers", "Supervisors", "Gate", "Drivers and contractors", "Contractors who climb"):
        assert f"| {reader} |" in text.partition("## Who was told")[2], reader


def test_the_brief_tells_nothing_as_gone_that_stands_on_another_page(issued, tmp_path):
    """The duty of a technician moves to the second page of the gate card, which is signed by whoever looks at it."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    data = data_with(read_profile(site).data, CLIMBING)
    (site / "profile.yaml").write_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8")
    checked, _ = compared_site(check_site(site, LATER))
    text = words_of(checked, compare_site(checked))
    assert "Work from your own lift" in text
    assert "no longer said" not in text


def test_the_brief_tells_what_is_said_to_nobody_any_more(issued, tmp_path):
    """The duty of a class that is gone is told as gone, though another class has the same."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    data = copy.deepcopy(read_profile(site).data)
    driver = next(one for one in data["contractors"]["classes"] if one["id"] == "driver")
    visitor = next(one for one in data["contractors"]["classes"] if one["id"] == "visitor")
    driver["conditions"] = visitor["conditions"]
    data["contractors"]["classes"].remove(visitor)
    (site / "profile.yaml").write_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8")
    checked, _ = compared_site(check_site(site, LATER))
    assert re.search("no longer said: Visitor: [^:]*escort", words_of(checked, compare_site(checked)))


def test_the_brief_tells_a_new_number_to_everyone_whom_it_concerns(issued, tmp_path):
    """The new alarm number stands in what everyone is told and in what climbers are told, though both papers say it in one sentence."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    profile = site / "profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8").replace("555-0150", "555-0199"), encoding="utf-8")
    checked, _ = compared_site(check_site(site, LATER))
    changes = compare_site(checked)
    told = words_of(checked, changes).replace("\u2011", "-").partition("What it means for you")[2]
    everyone, _, others = told.partition("**Climbers**")
    assert "then 555-0199" in everyone
    assert "then 555-0199" in others
    assert "555-0150" not in told.replace("was 555-0150", "")


def test_the_brief_of_a_device(issued, tmp_path):
    """Figures whole and new, the bay closed until the papers are issued, no serial that nobody on the crew needs left unexplained by a path."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    exchange(site)
    checked, _ = compared_site(check_site(site, LATER))
    text = words_of(checked, compare_site(checked))
    assert "arrest distance was 30 in, is now 36 in" in text
    assert "feet hang 4.5 to 12.0 ft." in text
    assert "5.0 to 12.0 ft" not in text
    assert "the bay stays closed until the documents are issued again" in text
    assert "equipment[" not in text


#: What no sentence for people may hold: a field path, a key of two words, a word of the format with a hyphen that no dictionary has.
FIELD_LANGUAGE = re.compile(r"\b[a-z]\w*_\w+|\b[a-z]{2,}\.[a-z]{2,}|\w\[|\]\.|\btrue\b|\bfalse\b")


def leaves(data, path=""):
    """(path as `changes` names it, value) of every leaf of a profile."""
    source = read_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), "profile.yaml")
    empty = read_text("{}", "profile.yaml")
    return [(c.path, c.new) for c in field_changes(empty, source)]


def enum_values():
    """Field without places -> the words of the format that it may hold."""
    found = {}

    def below(cls, at):
        for slot in slots_of(cls):
            path = f"{at}.{slot.key}".lstrip(".")
            if slot.what == "record":
                below(slot.arg, path)
            elif slot.what == "text" and isinstance(slot.arg, tuple):
                found[path] = slot.arg

    below(Site, "")
    return found


@pytest.mark.parametrize("name", ["harrow-ridge", "pellan-creek"])
def test_no_kind_of_change_is_told_in_words_of_the_format(name, issued):
    """Each field of a demo, changed, come and gone, one by one: no path, no key, no word that only the format has, and always a sentence."""
    checked = check_site(issued, LATER)
    base, site = compare_site(checked), demo(name).site
    state = dataclasses.replace(base.new, site=site)
    values, quiet = enum_values(), 0
    for path, value in leaves(demo(name).source.data):
        field = re.sub(r"\[[^]]*\]", "", path)
        other = next((v for v in values.get(field, ()) if v != value), {"true": "false", "false": "true"}.get(value, "9 ft"))
        for old, new in ((value, other), (None, value), (value, None)):
            change = FieldChange(path, old, new, 1, 1)
            lines = plain(dataclasses.replace(base, old=state, new=state, fields=(change,), clauses=()), "en").others
            quiet += not lines
            text = " ".join(lines)
            assert not FIELD_LANGUAGE.search(text.replace(value, "")), (path, text)
            if field in values:
                words = control_words("en")["plain"]["values"].get(field, {})
                rest = text.partition(": ")[2]
                for ours in words.values():
                    rest = rest.replace(ours, "")
                assert not set(re.findall(r"[a-z-]+", rest)) & {value, other}, (path, text)
    assert quiet


OF_ANOTHER = [  # a field within a thing, its value, what is told: never as if it were the thing's own
    ("roles[rescue-lead].delegates[0].name", "K. Farrow", "Rescue lead: delegate who may approve is now K. Farrow."),
    ("bays[B1].marked_area.name", "roped area", "Truck bay: name of the marked area is now roped area."),
    ("bays[B1].product.name", "Lime", "Truck bay: product is now Lime."),
    ("equipment[D-1].edge_use.arrest_distance", "60 in", "Self-retracting device with edge-tested line D-1: arrest distance over an edge is now 60 in."),
    ("systems[S1].anchorage.ground.licence", "NE-1", "System S1: license of whoever stated the ground is now NE-1."),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "told"), OF_ANOTHER, ids=[row[0] for row in OF_ANOTHER])
def test_what_lies_within_a_thing_is_not_told_as_its_own(path, value, told, issued):
    """A delegate is no new holder, the name of a marked area none of its bay: history and brief would say what is not so."""
    changes = dataclasses.replace(
        compare_site(check_site(issued, LATER)), fields=(FieldChange(path, None, value, 1, 1),), clauses=()
    )
    assert plain(changes, "en").others == (told,)


def test_what_contractors_wear_is_told_in_words(issued, tmp_path):
    """The brief of a class that may climb says whose harness it wears, and nothing in the language of the profile."""
    checked, changes = changed(issued, tmp_path, *CLASS)
    assert "Contractors: harness that they wear was none, is now their own" in words_of(checked, changes)
    assert not FIELD_LANGUAGE.search(" ".join(as_lines(changes, "en")))


def test_what_came_and_what_went_is_told_once(issued, tmp_path):
    """A rescuer who leaves and one who comes: by code, with the methods by name and no word of fields."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    path = site / "profile.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"\bRS-6\b", "RS-7", text), encoding="utf-8")
    lines = plain(compare_site(check_site(site, LATER)), "en").others
    assert "Rescuer RS-7 is new." in lines
    assert "Rescuer RS-6 is no longer there." in lines
    assert not FIELD_LANGUAGE.search(" ".join(lines))


GONE = re.compile(r"  - id: flatbed\n(?:    .*\n|      .*\n)+")


def test_a_vehicle_that_goes_is_not_new_or_different(issued, tmp_path):
    """Its ban goes with it: both are told, before anything else, and no survey is asked for."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    path = site / "profile.yaml"
    text = GONE.sub("", path.read_text(encoding="utf-8"), count=1)
    start = text.index("  - id: strap\n")
    text = text[:start] + text[text.index("\nequipment:", start) + 1 :]
    path.write_text(text.replace("equipment:\n", "\nequipment:\n", 1), encoding="utf-8")
    checked = check_site(site, LATER)
    assert checked.problems == ()
    changes = compare_site(checked)
    said = plain(changes, "en")
    assert said.forbidden == ("Flatbed trailer is not in the papers any more: nobody may climb on it.",)
    assert len(said.bans_gone) == 1
    assert "Tarping and strapping loads on flatbeds" in said.bans_gone[0]
    assert {"vehicle-gone", "ban-gone"} <= {s.kind.name for s in changes.kinds}
    assert "geometry" not in {s.kind.name for s in changes.kinds}
    text = words_of(checked, changes)
    assert "surveyed" not in text
    assert "new or different" not in text
    told = [*said.forbidden, *said.bans_gone]
    assert list(as_lines(changes, "en"))[:2] == told
    summary = " ".join(as_summary(changes, "en").split())
    assert [summary.count(line) for line in told] == [1, 1]
    assert summary.index("WHO MAY DO WHAT") < summary.index(told[0]) < summary.index(told[1]) < summary.index("WHOM TO TELL")


def test_contractors_who_climb_are_told_what_climbers_are(issued, tmp_path):
    """Where the device of a bay changes, a class that may climb is told as the crew is: to be trained again before the next climb."""
    _, changes = changed(issued, tmp_path, *CLASS, DEVICE[0])
    told = {(t.who, t.names) for t in changes.tell if t.kind == "device-other"}
    assert {("users", ("U-01", "U-02", "U-03", "U-04", "U-05", "U-06")), ("contractors", ("Service technician",))} <= told
    assert "Contractors who climb (Service technician): Retraining before the next climb." in words_of(_, changes).replace(
        "*", ""
    )


def test_another_bay_of_a_class_lapses_what_counsel_approved(tmp_path):
    """From one bay to the other: notice, bay signs and plan say something else, and counsel's approval of the notice lapses by the clause that says where."""
    site = new_site(tmp_path)
    swap(site, *CLASS, (" conditions: [work from your own lift]", ""))
    checked, before = compared_site(check_site(site, FIRST))
    given = approve(Request("contractor-notice", "counsel", "A. Petrie", FIRST), checked, before, site, "en").approval
    swap(site, ("may_climb: true, bays: [B1]", "may_climb: true, bays: [B2]"))
    after = compared_site(check_site(site, FIRST))[1]
    lapses = standing(given, after["contractor-notice"]).lapses
    assert {lapse.clause for lapse in lapses if lapse.what == "text"} >= {"contractor-notice.conditions"}
    moved = {name for name in before if before[name]["en"].digest != after[name]["en"].digest}
    assert {"contractor-notice", "bay-sign.B1", "bay-sign.B2", "fall-protection-plan"} <= moved


def test_a_new_authority_signs_the_notice_again(issued, tmp_path):
    """Another holder of the part that issues: the notice is signed again; nobody is told that a licence changed."""
    checked, changes = changed(
        issued, tmp_path,
        ("holders: [{name: R. Oduya, from: 2025-01-06}]", "holders: [{name: R. Oduya, from: 2025-01-06, to: 2026-11-09}, {name: M. Castellan, from: 2026-11-10}]"),
    )  # fmt: skip
    assert [s.kind.name for s in changes.kinds] == ["authority"]
    assert "the new holder has signed every copy of the notice that hangs" in words_of(checked, changes)


@pytest.mark.parametrize(
    "pairs", [CLASS, (*CLASS, ("name: Tank trailer", "name: Tank trailer with two lids"), ("phone: 555-0140", "phone: 555-0149"))]
)
def test_the_brief_is_one_page(pairs, issued, tmp_path):
    """In PDF and as LibreOffice prints the DOCX, also where more changed than is told here; what is left is counted."""
    checked, changes = changed(issued, tmp_path, *pairs)
    paper = brief(checked, changes)
    assert re.search(r"More changed \(\d+\) than is told here: read the new [A-Z]", paper.markdown)
    assert len(PdfReader(io.BytesIO(WRITERS["pdf"](paper).data)).pages) == 1
    assert len(PdfReader(io.BytesIO(office(WRITERS["docx"](paper).data, "pdf", tmp_path))).pages) == 1


# changes, posting, history


def test_changes_prints_first_what_to_do(issued, tmp_path, capsys):
    """Whom to tell, what to take down and hang, by when, which approvals lapsed; fields and clauses only with --all."""
    _, changes = changed(issued, tmp_path, *CLASS)
    first = [
        line.partition(" (")[0]
        for line in as_summary(changes, "en").splitlines()
        if line.isupper() or re.match(r"^[A-Z ,]+ \(\d+\)$", line)
    ]
    assert first == [
        "WHO MAY DO WHAT",
        "WHOM TO TELL OR RETRAIN",
        "WHAT TO TAKE DOWN AND HANG",
        "BY WHEN",
        "APPROVALS THAT LAPSED, TO BE GIVEN AGAIN",
    ]
    everything = as_text(changes, "en")
    assert everything.index("WHOM TO TELL") < everything.index("FIELDS OF THE PROFILE")
    site = tmp_path / "site"
    assert main(["changes", str(site), "--as-of", LATER.isoformat()]) == 0
    short = capsys.readouterr().out
    assert "contractors.classes[" not in short
    assert main(["changes", str(site), "--as-of", LATER.isoformat(), "--all"]) == 0
    assert "contractors.classes[service].bays: none -> B1" in capsys.readouterr().out


def test_nothing_is_hung_that_is_not_issued(issued, tmp_path):
    """Before the issue there is no list of copies to hang; after it the places of the papers that changed, with the revision that exists."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    exchange(site)
    checked, _ = compared_site(check_site(site, LATER))
    changes = compare_site(checked)
    assert changes.replace
    assert all(r.hang is None for r in changes.replace)
    assert not any(name.startswith("posting-list") for name in papers_of(checked, changes, ("docx",), False, None, "en"))
    lapsed = tuple({(s.approval.document, s.approval.role) for s, _ in changes.approvals if not s.stands})
    approve_all(site, LATER, only=lapsed)
    second, against = issue(site, LATER)
    assert not against
    again = compare_site(check_site(site, date(2026, 11, 13)), since=1, to=2)
    assert {r.hang for r in again.replace} == {2}
    assert {r.document for r in again.replace} <= {t.document for t in second.texts}
    told = hung_anew(second, check_site(site, LATER).happened, "en")
    assert told
    assert all("take down" in line and "hang revision 2" in line for line in told)
    first = check_site(issued, FIRST)
    told = hung_anew(first.records.issued[0], Happened(first.site, Log(), FIRST), "en")
    assert told
    assert not any("take down" in line for line in told)


def test_the_history_says_what_changed(story, issued, tmp_path):
    """A revision without a reason of its own says in words what changed, not only that the text did."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    exchange(site)
    lapsed = {(s.approval.document, s.approval.role) for s, _ in story["changes"].approvals if not s.stands}
    approve_all(site, LATER, only=tuple(lapsed))
    second, against = issue(site, LATER)
    assert not against
    assert "arrest distance was 30 in, is now 36 in" in second.reason
    assert as_lines(story["changes"], "en")[0] in second.reason


def test_work_in_a_bay_that_stays_closed_is_not_told_as_allowed():
    """A task that is permitted now in a bay which the papers close for what was found, before and after: nobody reads that it is allowed."""
    closed = {"systems[S2].anchorage.basis": None}
    states = []
    for more in ({"tasks[sample].permission": "prohibited"}, {}):
        checked, bodies = compared_site(with_changes(demo("harrow-ridge"), closed | more))
        states.append(state_of(checked, bodies))
    assert [state.shut for state in states] == [{"B2"}, {"B2"}]
    told = plain(compare(*states, FIRST), "en").permissions
    assert told
    assert not any("allowed now" in line for line in told), told


def test_a_redline_as_text_strikes_nothing_that_stayed(approved, tmp_path):
    """One number changed: nothing else is struck in the pages, the state of the paper and who signed it aside. References read alike on both sides."""
    site = Path(shutil.copytree(approved, tmp_path / "site"))
    issue(site, FIRST, types=("md", "docx"))
    profile = site / "profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8").replace("555-0150", "555-0199"), encoding="utf-8")
    assert main(["changes", str(site), "--as-of", "2026-11-12", "--into", str(tmp_path / "out"), "--redline"]) == 0
    pages = sorted((tmp_path / "out").rglob("*.redline.html"))
    assert {page.name.partition(".")[0] for page in pages} == {"contractor-notice", "fall-protection-plan", "rescue-procedure"}
    for page in pages:
        struck = {words.strip() for words in re.findall("<del>(.*?)</del>", page.read_text(encoding="utf-8"))}
        assert {words for words in struck if "555" in words} == {"555\u20110150"}
        assert not {
            words for words in struck if "555" not in words and not re.fullmatch(r"revision 1.*|reviewed|[0-9a-f]{12}", words)
        }, page


def test_the_brief_tells_no_rest_of_what_was_said(issued, tmp_path):
    """What everyone was told leaves of the gate card only a question that stood there before, and of words to say a mark of quotation: neither is told."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    profile = site / "profile.yaml"
    profile.write_text(profile.read_text(encoding="utf-8").replace("555-0150", "555-0199"), encoding="utf-8")
    checked, _ = compared_site(check_site(site, LATER))
    told = words_of(checked, compare_site(checked)).replace("\u2011", "-")
    assert "Gate card" not in told
    assert "Rescue procedure: Call back: 555-0199.\n" in told
    assert "More changed (1) than is told here: read the new Rescue procedure.\n" in told


def test_the_brief_tells_a_question_with_its_answer(issued, tmp_path):
    """Another caller at night: who is called where nobody answers stands behind the question, though that question stood there before."""
    changes = new_profile(
        issued, tmp_path, {"shifts[night].chain.caller": "Shift supervisor", "shifts[night].chain.backup": "Gate operator"}
    )[1]
    text = next(c for c in changes.clauses if c.document == "rescue-card.B1" and "Night: Shift supervisor calls" in c.new)
    assert "No answer? Gate operator." in new_words(text.old, text.new)


def test_a_blank_in_the_brief_is_no_rest_of_a_sentence(issued, tmp_path):
    """The number to call back is gone: the line to fill in is told as one, and words under a heading of a table stand behind a colon."""
    told = words_of(*new_profile(issued, tmp_path, {"emergency.callback": None}))
    assert "Rescue procedure: ____ (number for calling back).\n" in told
    assert "Gate operator: What to do: Repeat the words. Call 911 and read the words below." in told


def test_another_title_of_a_post_is_told_with_its_holder(issued, tmp_path):
    """A post that is called otherwise and held by another from the same day: both are told, the old title too."""
    holders = [{"name": "K. Aas", "from": "2026-11-01"}]
    changes = new_profile(
        issued, tmp_path, {"roles[safety-manager].title": "Head of safety", "roles[safety-manager].holders": holders}
    )[1]
    assert (
        "Head of safety: title was Safety manager, is now Head of safety; holder was L. Brandt, is now K. Aas; "
        "holder since was 2025-01-06, is now 2026-11-01."
    ) in as_lines(changes, "en")


def test_the_brief_says_who_took_the_post(issued, tmp_path):
    """A rescuer who leaves: the post and the pair have another, and no paper is said to have new words, since none has."""
    other = {"shifts[night].posts[4].person": "RS-7", "shifts[night].pairs": [{"one": "RS-5", "other": "RS-7"}]}
    rescuer = {"id": "RS-7", "shifts": ["night"], "methods": ["M1", "M2", "M3"]}
    checked, changes = new_profile(issued, tmp_path, {"people.rescuers[RS-6]": None, "people.rescuers[RS-7]": rescuer, **other})
    assert changes.texts_changed == ()
    assert "Night shift: Rescuer 2 was RS-6, is now RS-7; one of a pair was RS-6, is now RS-7." in as_lines(changes, "en")
    assert "each practised in the methods" in words_of(checked, changes)
    _, changes = new_profile(issued, tmp_path / "role", {"shifts[night].posts[5].person": "rescue-lead"})
    assert "Night shift: Shift supervisor was Shift supervisor, is now Rescue lead." in as_lines(changes, "en")


def test_what_is_not_told_says_whether_papers_have_other_words(issued, tmp_path):
    """Of a field that has no words for people: papers have the new words only where some paper has."""
    field = FieldChange("shifts[night].cover.closes", "shift-supervisor", "rescue-lead", 1, 1)
    told = "Night shift: something changed that is not told here; {}."
    for number, rest in (
        ("555-0150", "the words of the issued papers stay as they are"),
        ("555-0199", "papers that print it have the new words"),
    ):
        _, changes = new_profile(issued, tmp_path / number, {"emergency.second.number": number})
        assert told.format(rest) in as_lines(dataclasses.replace(changes, fields=(field,)), "en")


def test_a_reference_in_the_brief_reads_as_the_table_it_points_to(issued, tmp_path):
    """`may climb in the bays of [](#c.tasks)` is told with the title of the table, a reference to a clause with its first words."""
    clauses = {
        "tasks": "What may be climbed {: .caption .wide }\n\n| Bay |\n|---|\n| A |",
        "rule": "Only one climber.\nNobody else.",
    }
    assert (
        named("Check it against [](#c.tasks) and [](#c.rule).", clauses)
        == 'Check it against "What may be climbed" and "Only one climber".'
    )
    checked, changes = new_profile(issued, tmp_path, dict(CLIMBING))
    who = tuple(clause for clause in changes.clauses if clause.id == "fall-protection-plan.who")
    told = words_of(checked, dataclasses.replace(changes, clauses=who, fields=()))
    assert 'may climb in the bays of "What may be climbed, for which task".' in told


def test_a_duty_that_became_narrower_is_told_as_gone(issued, tmp_path):
    """Visitors stayed with the escort; now a class whose name holds theirs does so in thunder: the duty as it stood is said to nobody."""
    site = Path(shutil.copytree(issued, tmp_path / "site"))
    data = copy.deepcopy(read_profile(site).data)
    classes = data["contractors"]["classes"]
    (driver,), (visitor,) = ([one for one in classes if one["id"] == key] for key in ("driver", "visitor"))
    driver["name"] = "Visitor with a truck"
    driver["conditions"] = [f"{one.rstrip('.')} in thunder" for one in visitor["conditions"]]
    classes.remove(visitor)
    (site / "profile.yaml").write_text(yaml.dump(data, Dumper=PlainDumper, sort_keys=False, allow_unicode=True), encoding="utf-8")
    checked, _ = compared_site(check_site(site, LATER))
    assert re.search("no longer said: Visitor: [^:]*escort", words_of(checked, compare_site(checked)))
