"""Inspection sheets, incident sheet and out-of-service tag: what they must hold and must not, in every state of a site.

Heights of lines for the hand are 0.3 in (a choice of this project, no published source).
"""

from __future__ import annotations

import re
from datetime import date
from functools import cache

import pytest
from acceptance import rows
from outside import docx_faults
from support import ALL_DEMOS, ROOT, composed, demo, log_of, logged, with_changes

from docgen.compose.inspecting import run
from docgen.papers import outline
from docgen.trade.inspected import groups, groups_of, origin
from docgen.write import WRITERS
from docgen.write.pdf import render
from docgen.write.widths import table_type

CLEAN = ("harrow-ridge", "pellan-creek")
FORMS = ("inspection-sheet", "incident-sheet", "out-of-service-tag")
#: em of the type of a row of one line of text: line height and twice the padding of look.typ
ROW = {"form": 0.96 + 2 * 0.75, "signature": 0.96 + 2 * 0.5}
DAY = date(2026, 11, 1)


@cache
def forms(site):
    """The papers of this file of a demo as it is, by name."""
    return {name: paper for name, paper in composed(demo(site), ("md",), wanted=FORMS).items() if name != "index"}


def changed(changes, *names, site="harrow-ridge", steps=(), day=DAY):
    """Some papers of a demo with something changed in profile or log."""
    checked = with_changes(demo(site), changes, day, log=logged(log_of(site), steps))
    return {n: p for n, p in composed(checked, ("md",), wanted=names or FORMS).items() if n != "index"}


def text(paper):
    """All its words in one line."""
    return " ".join(paper.document.markdown.replace("\u00a0", " ").replace("\u2011", "-").split())


def table(paper, first):
    """The rows of the table whose head begins with some words, as lists of cells."""
    lines = paper.document.markdown.replace("\u00a0", " ").replace("\u2011", "-").split("\n")
    at = next(n for n, line in enumerate(lines) if line.startswith(f"| {first}"))
    found = []
    for line in lines[at + 2 :]:
        if not line.startswith("|"):
            break
        found.append([cell.strip() for cell in line.strip("|").split("|")])
    return found


# --- all ------------------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("site", ALL_DEMOS)
def test_they_are_written_in_every_state_and_keep_their_pages(site):
    """Thin and failing sites too; a sheet for each group of which there is a part or an anchor, and one incident sheet and tag."""
    found = forms(site)
    kinds = [p.kind for p in demo(site).site.equipment]
    anchors = ["rescue-anchor" for bay in demo(site).site.bays if bay.rescue_anchors]
    assert set(found) == {
        *(f"inspection-sheet.{g}" for g in groups_of([*kinds, *anchors])),
        "incident-sheet",
        "out-of-service-tag",
    }
    for name, paper in found.items():
        assert render(paper.document).pages <= outline(name).budget.pages, name


@pytest.mark.slow
@pytest.mark.parametrize("site", CLEAN)
def test_the_acceptance_of_the_forms_holds(site):
    """Type, lengths of sentences, grade, and what must and must not stand there."""
    mine = [row for row in rows(site) if row.name.partition(".")[0] in FORMS]
    assert len(mine) == len(forms(site))
    assert [(row.name, row.faults) for row in mine if row.faults] == []


@pytest.mark.parametrize("site", CLEAN)
def test_a_line_for_the_hand_is_high_enough(site):
    """0.3 in: every row of a table to write in."""
    for name, paper in forms(site).items():
        for element in paper.document.tree.iter("table"):
            kind = next((k for k in ROW if k in element.get("class", "").split()), None)
            assert kind is None or round(paper.document.type_pt * table_type(paper.document) * ROW[kind] / 72, 2) >= 0.3, name


@pytest.mark.parametrize("site", CLEAN)
def test_in_a_docx_each_place_to_write_is_a_control(site, tmp_path):
    """openxml-audit finds nothing; the day and the next day are fields for a day, boxes are check boxes."""
    for name, paper in forms(site).items():
        if "docx" not in outline(name).types:
            continue
        data = WRITERS["docx"](paper.document).data
        assert docx_faults(data, tmp_path) == [], name


# --- inspection sheet -----------------------------------------------------------------------------------------------------


def test_every_kind_of_part_has_a_sheet_and_a_row():
    """The groups hold each kind of a profile once, and each kind has something to look at."""
    from typing import get_args

    from docgen.site.people import LookedOver

    held = [kind for one in groups() for kind in one.kinds]
    assert sorted(held) == sorted(get_args(LookedOver))
    for one in groups():
        assert {kind for row in one.rows for kind in row.kinds} == set(one.kinds), one.name


def test_rows_of_maker_and_site_come_first_and_common_practice_is_marked():
    """The row of the manual with its page, then those of practice, each with the letter of its source, which the foot spells out."""
    sheet = forms("harrow-ridge")["inspection-sheet.harness"]
    rows_ = table(sheet, "| Look at | Out of service if |")
    looked = [cell for row in rows_ for cell in (row[1], row[4])]
    assert [cell for row in rows_ for cell in (row[0], row[3])] == [str(n) for n in range(1, 9)]
    assert looked[0] == "Stitches at the back ring (Harness manual rev 3, page 16)"
    assert all(re.search(r"\([CP]\)$", one) for one in looked[1:])
    assert len(looked) == 1 + 7
    device = [row[0] for row in table(forms("harrow-ridge")["inspection-sheet.device"], "Self-retracting device: look at")]
    assert device[:2] == ["Number on the part", "The line pulled out to its end (Device manual rev 7, page 18)"]
    assert "C: 29 CFR 1910 Subpart I Appendix C, which binds nobody, as other texts report it." in text(sheet)
    assert "P: common practice, no published source." in text(sheet)


def test_abroad_no_text_of_another_country_is_named():
    """Outside the United States all rows of ours are common practice."""
    for name, paper in forms("pellan-creek").items():
        if name.startswith("inspection-sheet"):
            assert "CFR" not in text(paper)
            assert "(C)" not in text(paper), name
    assert origin("C", "CA") == origin("P")
    assert origin("C", "US").letter == "C"


def test_a_row_of_the_site_stands_on_the_sheet_of_its_kind_alone():
    """A new row of the site: on the sheet of its kind, before all others, and on no other; without words for what takes the part out the instruction governs."""
    row = [{"kind": "trolley", "look_at": "The brake shoe"}]
    found = changed({"inspection.rows": row}, "inspection-sheet")
    holding = [name for name, paper in found.items() if "The brake shoe" in text(paper)]
    assert holding == ["inspection-sheet.trolley"]
    first = table(found["inspection-sheet.trolley"], "Trolley: look at")[1]
    assert first[:2] == ["The brake shoe", "see the instruction"]


def test_the_head_says_interval_manual_and_days_of_each_part():
    """Numbers, intervals and manuals of the profile, days of the log; a part of another has the manual of the whole."""
    known = table(forms("harrow-ridge")["inspection-sheet.device"], "Part, serial number")
    assert known == [
        ["D-1 (D1-20417)", "6 months", "Device manual rev 7", "2026-08-03", "2027-02-03"],
        ["D-2 (D2-20418), D-3 (D3-20419)", "6 months", "Device manual rev 7", "2026-08-04", "2027-02-04"],
        ["HK-1, HK-2", "6 months", "Device manual rev 7", "2026-08-06", "2027-02-06"],
    ]


def test_what_is_not_known_is_asked_of_the_maker():
    """No interval and no manual: the sheet says so; a thin site has no day on record."""
    known = table(forms("sable-point")["inspection-sheet.device"], "Part, serial number")
    assert known == [["SRD", "not known: ask the maker", "not known: ask the maker", "no record", "not known"]]


def test_a_new_inspection_moves_the_day_of_its_part_alone():
    """An entry of the log: its part stands with its own days, and no paper with a digest moves."""
    entry = {"kind": "inspection", "on": "2026-10-30", "by": "J. Whitlow", "part": "D-1", "result": "pass"}
    found = changed({}, "inspection-sheet", "incident-sheet", "out-of-service-tag", steps=[{"add": entry}])
    known = table(found["inspection-sheet.device"], "Part, serial number")
    assert ["D-1 (D1-20417)", "6 months", "Device manual rev 7", "2026-10-30", "2027-04-30"] in known
    for name in ("incident-sheet", "out-of-service-tag"):
        assert found[name].body.digest == forms("harrow-ridge")[name].body.digest


def listed(paper):
    """The rows of the table with a row for each part."""
    return table(paper, "Number | Maker, model |")


def test_each_harness_has_a_row_with_its_number_and_its_days():
    """A run of serials is eight numbers; maker, days of making and of retirement stand there where the label gave them, else there is room to write."""
    rows_ = listed(forms("harrow-ridge")["inspection-sheet.harness"])
    assert [row[0] for row in rows_] == [f"H-0{n}" for n in range(1, 9)]
    assert {tuple(row[1:5]) for row in rows_} == {("", "", "2025-04-02", "")}
    assert all(row[5:] == [""] * 9 for row in rows_)  # eight checks and the result
    label = {"maker": "Larch Fall Gear, model 40", "made": "2024-11", "retire_by": "2034-11-30"}
    given = changed({f"equipment[H-A].{key}": value for key, value in label.items()}, "inspection-sheet")
    assert listed(given["inspection-sheet.harness"])[0][:5] == [
        "H-01",
        "Larch Fall Gear, model 40",
        "2024-11",
        "2025-04-02",
        "2034-11-30",
    ]
    number = table(forms("harrow-ridge")["inspection-sheet.trolley"], "Trolley: look at")[0]
    assert number[2:] == ["□ T1-3301", "□ T2-3302"]


@pytest.mark.parametrize("site", CLEAN)
def test_nine_harnesses_stand_on_one_side(site):
    """Nine rows and no smaller type; a pool without a run of numbers has a row for each all the same; a thin site has rows to write in."""
    nine = {"equipment[H-A].count": 9, "equipment[H-A].serial": "H-01 to H-09"}
    sheet = changed(nine, "inspection-sheet", site=site)["inspection-sheet.harness"]
    assert [row[0] for row in listed(sheet)] == [f"H-0{n}" for n in range(1, 10)]
    assert render(sheet.document).pages == 1
    unnumbered = changed({**nine, "equipment[H-A].serial": "See the list"}, "inspection-sheet", site=site)
    assert [row[0] for row in listed(unnumbered["inspection-sheet.harness"])] == [""] * 9
    assert len(listed(forms("sable-point")["inspection-sheet.harness"])) == 6


def test_a_pool_that_no_sheet_has_room_for_takes_several():
    """More than a sheet has rows: nine empty rows, how many parts there are, and no check is lost."""
    sheet = changed({"equipment[H-A].count": 40}, "inspection-sheet")["inspection-sheet.harness"]
    assert [row[0] for row in listed(sheet)] == [""] * 9
    assert "There are 40 of them: take one sheet for each 9." in text(sheet)
    assert len(table(sheet, "| Look at | Out of service if |")) == 4
    assert render(sheet.document).pages == 1


@pytest.mark.parametrize(("serial", "count", "numbers"), [
    ("H-08 to H-10", 3, ["H-08", "H-09", "H-10"]), ("7-9", 3, ["7", "8", "9"]),
    ("H-01 to H-08", 9, [""] * 9), ("H-01 to G-03", 3, [""] * 3), ("see list", 2, ["", ""]), (None, 1, [""]),
])  # fmt: skip
def test_a_run_of_serials_is_taken_apart_only_where_it_counts_out(serial, count, numbers):
    """A run that does not give the count of the pool gives no number: a wrong one would be ticked."""
    assert run(serial, count) == numbers


def test_where_many_kinds_stand_together_each_part_has_its_box():
    """Ground gear: a row a kind with a box for each part, and how many it stands for."""
    looked = table(forms("harrow-ridge")["inspection-sheet.ground"], "Kind")
    assert [row[0] for row in looked] == [
        "Tagline", "Chocks", "Lockbox", "Gauge", "Wind meter", "Red stop", "Bay phone", "Defibrillator",
    ]  # fmt: skip
    assert looked[1][3] == "□ CH-1, all 8"


def test_after_a_fall_the_sheets_say_what_the_plan_says():
    """Harness and connector are not used again, the device goes to the maker, the qualified person looks at rail, trolley and frame; nothing before it
    is released, the competent person alone clears none, and each sheet has a line for whoever signs beside the inspector."""
    said = {name: text(paper) for name, paper in forms("harrow-ridge").items()}
    for name in ("harness", "connector"):
        assert (
            "It is never used again, and is destroyed once the terminal manager releases it." in said[f"inspection-sheet.{name}"]
        )
        assert "| After a fall: saw it destroyed | Number:" in said[f"inspection-sheet.{name}"]
    assert "It goes to the maker, with swivel and hook, once the terminal manager releases it." in said["inspection-sheet.device"]
    assert "| After a fall: back from the maker | Paper no.:" in said["inspection-sheet.device"]
    for name in ("rail", "trolley", "structure"):
        assert re.search(
            r"The qualified person looks at .* before anyone attaches\. Leave all as it is until",
            said[f"inspection-sheet.{name}"],
        ), name
        assert "| After a fall: the qualified person too |" in said[f"inspection-sheet.{name}"]
    for name in ("structure", "rail", "trolley", "connector", "device", "harness"):
        assert "The competent person alone never clears it." in said[f"inspection-sheet.{name}"], name
    for name in ("ladder", "rescue", "ground"):
        assert "stopped a fall" not in said[f"inspection-sheet.{name}"], name


def test_a_fixed_part_that_fails_closes_the_bay():
    """What stays in its place is tagged there and the bay is closed; what can be carried goes to the place for tagged parts; a sheet of both says both."""
    said = {name.partition(".")[2]: text(paper) for name, paper in forms("harrow-ridge").items() if "." in name}
    locker = "**A part fails?** Tag it and put it in the tag locker in the control room."
    shut = "Close the bay: hang the closure sheet and tell the supervisor. Tag the part where it stands."
    for name, fixed in (
        ("structure", "Structure or foundation"), ("rail", "Rail, rail hanger, rail splice or end stop"), ("trolley", "Trolley"),
    ):  # fmt: skip
        assert f"**{fixed} fails?** {shut}" in said[name], name
        assert locker not in said[name], name
        assert (
            "Look from the ground, from a platform, or by written permit of the qualified person with another anchor."
            in said[name]
        )
    for name in ("connector", "device"):
        assert locker in said[name]
        assert "Nobody attaches there until another one hangs in its place and was inspected." in said[name]
        assert shut not in said[name]
    for name in ("rescue", "ground"):
        assert locker in said[name]
        assert shut in said[name]
    assert "Tell the rescue lead at once: nobody climbs until a rescue is ready without it." in said["rescue"]
    assert locker in said["harness"]
    assert "**place for tagged parts**{: .blank }" in forms("sable-point")["inspection-sheet.device"].document.markdown


def test_whoever_inspects_a_part_signs_for_it():
    """Frame and footings by the qualified person, as the profile says; kits and anchors by two; each has a line, and frames name their drawing."""

    def signs(name):
        return [row[0] for row in table(forms("harrow-ridge")[f"inspection-sheet.{name}"], "Who signs")]

    assert signs("structure") == ["Qualified person for the rail systems", "After a fall: the qualified person too"]
    assert signs("rescue") == ["Competent person for fall equipment", "Qualified person for the rail systems"]
    assert signs("ground") == ["Competent person for fall equipment"]
    known = table(forms("harrow-ridge")["inspection-sheet.structure"], "Part, serial number")
    assert {row[2] for row in known} == {"HR-S-101 rev B", "HR-S-102 rev B", "HR-S-100 rev A, sheet 1"}


def test_an_anchor_that_is_a_part_stands_there_once():
    """Anchors for rescuers that the list of equipment holds have one column, not one as part and one as place."""
    head = next(
        line
        for line in forms("harrow-ridge")["inspection-sheet.rescue"].document.markdown.split("\n")
        if line.startswith("| Rescue anchor")
    )
    assert head.replace("\u2011", "-") == "| Rescue anchor: look at | Out of service if | RP-1 | RP-2 |"


# --- incident sheet -------------------------------------------------------------------------------------------------------


def test_the_clocks_are_those_of_the_place_with_what_starts_them():
    """The sentence of the law as the plan has it, and the event from which the time counts, with the citation on both."""
    said = text(forms("harrow-ridge")["incident-sheet"])
    assert (
        "within 8 h of learning of it, a work-related death that comes within 30 days of the incident (29 CFR 1904.39(a)(1), (b)(6)-(8))."
        in said
    )
    assert "The clock starts when the employer or an agent of it learns of the death, or learns that it came from work." in said
    assert "is not on this sheet" not in said


def test_who_reports_and_where_to():
    """The role of the site, each employer its own; the number and the web form from the law of the place, or the number from the profile."""
    said = text(forms("harrow-ridge")["incident-sheet"])
    assert "For this site the safety manager reports. Each employer reports its own people, unless a line names another:" in said
    assert "1-800-321-6742 or by OSHA's web form" in said
    assert "reports, by telephone to 555-0102." in text(forms("pellan-creek")["incident-sheet"])
    ontario = text(changed({"site.jurisdiction": "CA-ON"}, "incident-sheet", site="pellan-creek")["incident-sheet"])
    assert "1-877-202-0008, day and night" in ontario
    bare = changed({"emergency.report": None}, "incident-sheet")["incident-sheet"]
    assert "**who reports to the authority**{: .blank }" in bare.document.markdown


@pytest.mark.parametrize("site", ALL_DEMOS)
def test_the_rescue_comes_first(site):
    """The sheet begins with the person: rescue, call, care; then the closure and the scene, before anyone is told or a clock is read."""
    said = text(forms(site)["incident-sheet"])
    order = [said.index(words) for words in (
        "Rescue first", "- Call ", "Stay with the person.", "hang the closure sheet", "Leave the scene, rescue card and kit as they are.",
        "## First hour", "## Clocks", "## Keep", "Take photographs before anything is moved", "## Do not",
    )]  # fmt: skip
    assert order == sorted(order)
    assert "Lay the person flat and give normal first aid." in text(forms("harrow-ridge")["incident-sheet"])


def test_what_starts_a_clock_is_a_clause():
    """Of every set of law: the words after "The clock starts when" hold a verb, so that they tell a moment."""
    verbs = re.compile(
        r"\b(is|are|becomes|learns|knows|known|dies|results|happens|causes|has been|comes to know|receives|suffers|occurred)\b"
    )
    found = [found for file in (ROOT / "docgen/codes").glob("*/*.yaml")
             for found in re.findall(r"starts: \"?(.*?)(?:\"|, written|, *\n|,$)", file.read_text(encoding="utf-8"))]  # fmt: skip
    assert len(found) > 20
    assert [words for words in found if not verbs.search(words)] == []


def test_only_law_that_was_read_of_the_place_stands_there():
    """A state with a plan of its own that nobody read: no time of another law, and whom to call instead."""
    said = text(changed({"site.jurisdiction": "US-NV"}, "incident-sheet")["incident-sheet"])
    assert "The reporting time of this place is not on this sheet. Call the safety manager and counsel now." in said
    assert "8 h" not in said
    assert "The clock starts" not in said


def test_it_asks_for_facts_only():
    """No cause, blame or opinion; parts and vehicle wait for whoever the site names."""
    said = text(forms("harrow-ridge")["incident-sheet"])
    assert "Write what you saw, not why it happened." in said
    assert "Send nothing away until the terminal manager releases it." in said
    assert "Tell the safety manager to set the hold." in said
    assert not re.search(r"\bblame|\bat fault\b|\bthe cause\b", said)


def test_without_a_role_that_releases_there_is_a_blank():
    """The one who releases parts and vehicle is a field of the profile; without it the draft asks for it."""
    found = changed({"emergency.released_by": None}, "incident-sheet")["incident-sheet"]
    assert "**who releases parts and vehicle**{: .blank }" in found.document.markdown


def test_the_parts_of_the_site_stand_ready_with_their_numbers():
    """What is kept after a fall, by kind, with the numbers painted on them; a spare is not among them."""
    kept = {row[0]: row[1] for row in table(forms("harrow-ridge")["incident-sheet"], "Part | Number")}
    assert kept["Device"] == "D-1, D-2 and D-3"
    assert kept["Connector"] == "C-1 and C-2"
    assert kept["Stop"] == "ES-1, ES-2, ES-3 and ES-4"


def test_a_changed_number_moves_the_sheet_and_its_approval():
    """The public number is an input of it."""
    found = changed({"emergency.public.number": "112"}, "incident-sheet")["incident-sheet"]
    assert found.body.digest != forms("harrow-ridge")["incident-sheet"].body.digest
    assert "Call 112." in text(found)


# --- out-of-service tag ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("site", "danger"), [("harrow-ridge", True), ("pellan-creek", False)])
def test_the_tag_has_the_form_of_the_place(site, danger):
    """DANGER where law that was read gives a danger tag; elsewhere the form of a ban, without a signal word."""
    tag = forms(site)["out-of-service-tag"].document
    assert ('!!! danger "DANGER"' in tag.markdown) is danger
    assert "DO NOT USE" in tag.markdown
    assert any(p.get("symbol") == "forbidden" for p in tag.tree.iter("p"))


def test_four_tags_stand_on_a_sheet_front_and_back():
    """Two pages; on each the same piece four times, its word in type of 40 pt or more (5 ft in good light)."""
    pypdf = pytest.importorskip("pypdf")
    import io

    document = forms("harrow-ridge")["out-of-service-tag"].document
    pages = pypdf.PdfReader(io.BytesIO(render(document).data)).pages
    assert len(pages) == 2
    front, back = (page.extract_text() for page in pages)
    assert front.count("USE") == 4
    assert back.count("After a fall") == 4
    sizes = []
    pages[0].extract_text(
        visitor_text=lambda said, cm, tm, _font, size: sizes.append(abs(tm[3] or 1) * size) if "USE" in said else None
    )
    assert min(sizes) >= 40


@pytest.mark.parametrize("site", [*CLEAN, "sable-point"])
def test_a_part_that_stopped_a_fall_is_never_cleared_by_one_alone(site):
    """Reasons to tick; without a fall three ways; after a fall it is kept until it is released, each kind of part has its own end, and two sign."""
    said = text(forms(site)["out-of-service-tag"])
    for reason in ("damaged", "no lock", "label gone", "overdue", "over edge", "indicator shown", "stopped a fall"):
        assert f"□ {reason}" in said
    assert "**No fall:** □ destroyed □ to the maker □ cleared" in said
    after = said[said.index("**After a fall** both sign.") :]
    assert "cleared" not in after
    assert re.search(r"Keep it until .*? releases it\. The competent person alone never clears it\.", after)
    ends = ("harness, connector: destroyed", "device: sent to the maker", "rail, trolley, stop, frame: looked at")
    assert [after.index(end) for end in ends] == sorted(after.index(end) for end in ends)
    assert re.search(r"\| Page of manual \| +\| \| Competent person \| +\| \| Qualified person \|", after)
    assert "Leave this tag on. Tell the" in said


def test_the_place_for_tagged_parts_is_named_where_it_is_one():
    """One place for all bays is printed; two, or none, leave the line to the hand, and the bay is closed all the same."""
    said = text(forms("harrow-ridge")["out-of-service-tag"])
    assert "Put the part in the tag locker in the control room. If it cannot be moved, close the bay." in said
    two = text(changed({"bays[B2].tag_place": "Cage at the spur"}, "out-of-service-tag")["out-of-service-tag"])
    assert "Put the part" not in two
    assert "If the part cannot be moved, close the bay." in two
    assert "Part, from where" in two
