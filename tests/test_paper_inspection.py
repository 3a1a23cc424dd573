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
from support import ALL_DEMOS, composed, demo, log_of, logged, with_changes

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
    looked = [row[0] for row in table(sheet, "Harness: look at")]
    assert looked[:2] == ["Number on the part", "Stitches at the back ring (Harness manual rev 3, page 16)"]
    assert all(re.search(r"\([CP]\)$", one) for one in looked[2:])
    assert len(looked) == 2 + 7
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
        ["D-2 (D2-20418)", "6 months", "Device manual rev 7", "2026-08-04", "2027-02-04"],
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


def test_each_of_a_pool_has_a_column():
    """Eight harnesses, eight columns, with room for the number of each; where one serial is known it is ticked."""
    head = next(
        line for line in forms("harrow-ridge")["inspection-sheet.harness"].document.markdown.split("\n") if "look at |" in line
    )
    assert head.count("/8 |") == 8
    number = table(forms("harrow-ridge")["inspection-sheet.trolley"], "Trolley: look at")[0]
    assert number[2:] == ["□ T1-3301", "□ T2-3302"]


def test_a_pool_that_no_sheet_has_room_for_stands_as_one():
    """More than a sheet has columns: one column, and no row is lost."""
    found = changed({"equipment[H-A].count": 40}, "inspection-sheet")
    head = next(line for line in found["inspection-sheet.harness"].document.markdown.split("\n") if "look at |" in line)
    assert "H\u2011A |" in head
    assert len(table(found["inspection-sheet.harness"], "Harness: look at")) == 9


def test_where_many_kinds_stand_together_each_part_has_its_box():
    """Ground gear: a row a kind with a box for each part, and how many it stands for."""
    looked = table(forms("harrow-ridge")["inspection-sheet.ground"], "Kind")
    assert [row[0] for row in looked] == [
        "Tagline", "Chocks", "Lockbox", "Gauge", "Wind meter", "Red stop", "Bay phone", "Defibrillator",
    ]  # fmt: skip
    assert looked[1][3] == "□ CH-1, all 8"


def test_after_a_fall_the_sheets_say_what_the_plan_says():
    """Harness and connector are not used again, the device goes to the maker, the qualified person looks at rail, trolley and frame."""
    said = {name: text(paper) for name, paper in forms("harrow-ridge").items()}
    assert "After a fall the harness is not used again." in said["inspection-sheet.harness"]
    assert "After a fall the connector is not used again." in said["inspection-sheet.connector"]
    assert "After a fall the device goes to the maker." in said["inspection-sheet.device"]
    for name in ("rail", "trolley", "structure"):
        assert re.search(r"the qualified person looks at .* before anyone attaches", said[f"inspection-sheet.{name}"]), name


# --- incident sheet -------------------------------------------------------------------------------------------------------


def test_the_clocks_are_those_of_the_place_with_what_starts_them():
    """The sentence of the law as the plan has it, and the event from which the time counts, with the citation on both."""
    said = text(forms("harrow-ridge")["incident-sheet"])
    assert (
        "within 8 h of learning of it, a work-related death that comes within 30 days of the incident (29 CFR 1904.39(a)(1), (b)(6)-(8))."
        in said
    )
    assert (
        "The clock starts when the employer or an agent of it learns of the death, or learns that it came from work (29 CFR 1904.39"
        in said
    )
    assert "is not on this sheet" not in said


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
    assert kept["Device"] == "D-1 and D-2"
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
    assert back.count("never cleared") == 4
    sizes = []
    pages[0].extract_text(
        visitor_text=lambda said, cm, tm, _font, size: sizes.append(abs(tm[3] or 1) * size) if "USE" in said else None
    )
    assert min(sizes) >= 40


def test_a_harness_that_stopped_a_fall_is_never_cleared():
    """Reasons to tick, what becomes of the part, and the rule of harness and connector."""
    said = text(forms("harrow-ridge")["out-of-service-tag"])
    for reason in ("damaged", "load indicator shown", "stopped a fall", "over an edge", "overdue", "label gone"):
        assert f"□ {reason}" in said
    assert "A harness or connector that stopped a fall is never cleared." in said
    assert "Only the competent person takes this tag off." in said


def test_the_place_for_tagged_parts_is_named_where_it_is_one():
    """One place for all bays is printed; two, or none, leave the line to the hand, and the bay is closed all the same."""
    said = text(forms("harrow-ridge")["out-of-service-tag"])
    assert "Put the part in the tag locker in the control room. If it cannot be moved, close the bay." in said
    two = text(changed({"bays[B2].tag_place": "Cage at the spur"}, "out-of-service-tag")["out-of-service-tag"])
    assert "Put the part" not in two
    assert "If the part cannot be moved, close the bay." in two
    assert "Put where" in two
