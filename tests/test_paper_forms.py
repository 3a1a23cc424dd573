"""Training outline, training record, drill record and hazard certificate: their budgets, what is filled in, and what never stands on them."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from acceptance import rows
from support import compared, composed, demo, log_of, logged, papers, with_changes
from test_paper_sheets import ROW

from docgen import papers as library
from docgen.compose.forms import ROWS
from docgen.control.issue import refusals
from docgen.papers import Budget, outline
from docgen.words import words
from docgen.write.pdf import render, source
from docgen.write.widths import CELL_PAD, columns, page, table_type, text_width

FORMS = ("training-outline", "training-record", "drill-record", "hazard-certificate")
CLEAN = ("harrow-ridge", "pellan-creek")
DAY = date(2026, 11, 1)
SHUT = {"by": "terminal-manager", "on": "2026-10-20", "reason": "The rail is being replaced"}
ALL_SHUT = {"bays[B1].closed": SHUT, "bays[B2].closed": SHUT}


def forms(site="harrow-ridge", changes=None, steps=(), day=DAY, wanted=FORMS):
    """The forms of a demo, with something changed."""
    checked = demo(site)
    if changes or steps or day != DAY:
        checked = with_changes(checked, changes or {}, day, log=logged(log_of(site), steps))
    return {name: made for name, made in composed(checked, ("pdf",), wanted=wanted).items() if name != "index"}


def text(paper):
    """All its words in one line."""
    return " ".join(paper.document.markdown.replace("\u00a0", " ").replace("\u2011", "-").split())


def told(name, *given, **values):
    """The words of one form."""
    return text(forms(*given, **values, wanted=(name,))[name])


# --- all four -----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("site", CLEAN)
def test_the_acceptance_of_the_forms_holds(site):
    """Pages, type, grade, lengths of sentences, verbs, and what must and must not stand there."""
    found = {r.name: r for r in rows(site)}
    for name in FORMS:
        assert found[name].faults == (), name
        assert found[name].pages <= outline(name).budget.pages, name


@pytest.mark.parametrize("site", ["sable-point", "thornmere", "cormorant-quay", "harrow-ridge"])
def test_forms_are_written_in_every_state(site):
    """Thin, failing and closed sites have them too, on no more pages."""
    for name, paper in forms(site, ALL_SHUT if site == "harrow-ridge" else None).items():
        assert render(paper.document).pages <= outline(name).budget.pages, name


def too_small(document, least):
    """The tables of a form that are set smaller than so many points, and those whose rows to write in are lower than 0.3 in, by their classes."""
    small, low = [], []
    for table in document.tree.iter("table"):
        classes = table.get("class", "").split()
        size = document.type_pt * table_type(document)
        scale = columns(table, page(document).text_width / size, size).scale
        small += [classes] if size * scale < least - 0.01 else []
        kind = next((k for k in ROW if k in classes), None)
        low += [classes] if kind is not None and round(size * scale * ROW[kind] / 72, 2) < 0.3 else []
    return small, low


@pytest.mark.parametrize("site", [*CLEAN, "sable-point"])
def test_lines_for_the_hand(site):
    """A row to write in is 0.3 in high at the type of the paper, and no table is set smaller than the budget says."""
    for name, paper in forms(site).items():
        small, low = too_small(paper.document, outline(name).budget.smallest_pt)
        assert name == "training-outline" or not small, (name, small)  # the mark of the text stands in letters of one width
        assert not low, (name, low)


def test_no_weight_on_any_form():
    """Not of a person: the two limits stand on outline and record, and the dummy as the site names it on the drill record alone."""
    for site in (*CLEAN, "cormorant-quay"):
        limits = demo(site).site.limits
        for name, paper in forms(site).items():
            said = text(paper).replace(demo(site).site.rescue.practice.dummy or "-", "")
            found = set(re.findall(r"[\d.]+ (?:lb|kg)\b", said))
            allowed = {q.text for q in (limits.lower.value, limits.upper.value) if q} if name.startswith("training") else set()
            assert found <= allowed, (site, name)
            assert "Nobody writes a weight." in said or not name.startswith("training")


@pytest.mark.parametrize("name", ["training-outline", "training-record"])
def test_limits_are_told_with_what_they_count(name):
    """The lowest without tools and the highest with them, as the plan says them; a missing one is a line for the hand."""
    assert "A climber must weigh at least 130 lb without tools and less than 310 lb with clothing, harness and tools." in told(
        name
    )
    assert "at least 59 kg without tools and not more than 140 kg with" in told(name, "pellan-creek")
    assert "**lower limit, without tools**{: .blank } and less than 310 lb" in told(name, changes={"limits.lower": None})


@pytest.mark.parametrize("name", ["training-outline", "hazard-certificate"])
def test_forms_with_a_digest_know_no_log_and_no_day(name):
    """An entry of the log, or another day, moves neither."""
    entry = {"add": {"kind": "drill", "on": "2026-10-30", "by": "D. Sorensen", "method": "M3", "shift": "night", "bay": "B2",
                     "vehicle": "tank-car", "contact": "3.0 min", "ground": "6.0 min"}}  # fmt: skip
    was = forms(wanted=(name,))[name].body.digest
    assert forms(steps=(entry,), day=date(2027, 5, 1), wanted=(name,))[name].body.digest == was


# --- training outline and record ----------------------------------------------------------------------------------------


def test_the_outline_holds_its_parts_in_order():
    """Have ready, six numbered parts, show me, ask me; each numbered part says what to show and has three questions or more."""
    body = papers("harrow-ridge")["training-outline"].body
    heads = re.findall(r"^## (.*?) \{", body.markdown, re.MULTILINE)
    assert heads == ["Have ready", "Falls here", "Our rules", "Inspect and put on", "Attach, climb, come down", "Stop and alarm",
                     "Hanging and rescue", "Show me", "Ask me"]  # fmt: skip
    for part in re.split(r"^## ", body.markdown, flags=re.MULTILINE)[2:8]:
        assert "Trainer: " in part
        assert len(re.findall(r"^- \*\*", part, re.MULTILINE)) >= 3, part


@pytest.mark.parametrize("site", CLEAN)
def test_each_topic_of_the_site_is_covered_by_a_part(site):
    """No topic of the profile is left out, and none is told twice."""
    said = told("training-outline", site)
    terms = [words("en", demo(site).code.spelling)["terms"][key] for key in demo(site).site.training.topics]
    assert terms
    assert [said.count(f"covers {term}.") for term in terms] == [1] * len(terms)


def test_what_the_site_does_first_and_wears_is_asked():
    """Static, venting and a lock of the site by who does it; helmet, shoes and gloves; each only from its field."""
    said = told("training-outline")
    assert (
        "Ground attendant: check the vehicle against the plan. Ground attendant: connect the grounding cable. "
        "Shift supervisor: test the air before each climb, with the gas meter at the ladder foot."
    ) in said
    assert "Everyone who climbs must wear this: shoes with a firm heel and an oil-proof sole, gloves." in said
    gas = [
        {"step": "test the air in the pit with the gas meter", "by": "attendant"},
        {"step": "hang the lockout tag and sign the permit", "by": "shift-supervisor"},
    ]
    changed = told("training-outline", changes={"bays[B1].energy": gas, "site.protective_wear": []})
    assert (
        "Ground attendant: test the air in the pit with the gas meter. Shift supervisor: hang the lockout tag and sign the permit."
        in changed
    )
    assert "What else is worn?" not in changed


def test_a_wet_deck_is_told_where_the_site_says_what_to_do():
    """The same order on plan, outline and climb card, in the bay of which it is told, and nothing where no field says it."""
    order = {"bays[B2].hazards.wet_deck": "Have the deck swept dry before you step on it"}
    said = told("training-outline", changes=order)
    assert "The deck in the Rail spur is wet. What do you do?** Have the deck swept dry before you step on it." in said
    plan = told("fall-protection-plan", changes=order)
    assert "Rail spur, on a wet or slippery deck: have the deck swept dry before you step on it." in plan
    assert "Truck bay, on a wet" not in plan
    assert "On a wet deck: have the deck swept dry before you step on it." in told("climb-card.B2", changes=order)
    assert "wet deck" not in told("climb-card.B1", changes=order)
    assert "is wet" not in told("training-outline")


def test_outline_and_other_papers_say_the_same():
    """Who may climb, and the bystander's alarm line, word for word as on the notice."""
    for site in CLEAN:
        outline_, notice = told("training-outline", site), text(papers(site)["contractor-notice"])
        for pattern in (r"climbers on the .*? except rescuers in a rescue\.", r"Tell the attendant\. .*?, then 555-\d{4}\."):
            found = re.search(pattern, notice, re.IGNORECASE)[0]
            assert found in outline_, (site, pattern)


def test_red_stop_refusal_alarm_words_and_other_languages():
    """What each red stop stops; the right to stop and refuse; the words said aloud on the channel; who reads out, and how understanding is shown."""
    said = told("training-outline")
    assert "**What does the red stop do?** Truck bay, ladder foot: it stops the loading pump and arm valve." in said
    assert "**A step looks dangerous?** You may refuse it. Tell the shift supervisor. Nobody is punished for it." in said
    assert 'Each person says "practice" and the alarm words aloud on Channel 4.' in said
    assert (
        "The gate operator reads it out in Spanish. Another language? The person answers in that language and shows each step"
        in said
    )
    assert "Each person shows all eight alone, and again what was wrong or missing." in said
    assert "hang a dummy on an anchor of its own" in said
    assert "The targets are 4 min to first touch, 9 min to the ground." in said
    bare = told(
        "training-outline",
        changes={"contractors.refusal_right": None, "contractors.interpreter": None, "bays[B1].red_stop": None},
    )
    assert "**A step looks dangerous?** **right to stop and refuse work**{: .blank }" in bare
    assert "reads it out" not in bare
    assert "red stop" not in bare


def test_closed_bays_are_not_trained_by_climbing():
    """While all bays are closed nobody climbs, for training either: no permission, no part on climbing, and the demonstrations say so."""
    said = told("training-outline", changes=ALL_SHUT)
    assert "All bays are closed. Nobody climbs for training, except rescuers in a rescue." in said
    assert "may climb" not in said
    assert "Attach, climb, come down" not in said
    for paper in (said, told("training-record", changes=ALL_SHUT)):
        assert paper.count("Not while all bays are closed: ") == 3


def test_a_gap_of_the_rescue_is_told():
    """Without a method nobody hangs a dummy as if a rescue were there."""
    said = told("training-outline", changes={"rescue.methods": []})
    assert "Truck bay: no rescue is planned. Nobody may climb there." in said
    assert "hang a dummy" not in said


def test_outline_and_record_name_the_same_eight():
    """What the record ticks is what the outline asks for, in the same words; there is a column for each."""
    for site in CLEAN:
        both = [re.findall(r"^1\. (.*)$", forms(site)[n].document.markdown, re.MULTILINE) for n in FORMS[:2]]
        assert both[0] == both[1]
        assert len(both[0]) == 8
    assert "| Person | 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8 | Fit | OK | Again | Signature |" in told("training-record")


def test_a_trainer_who_is_missing_is_a_line():
    """Without a trainer both have room for one, and the outline is a draft that asks for it."""
    roles = [{**r, "part": ["other"]} if r["id"] == "trainer" else r for r in demo("harrow-ridge").source.data["roles"]]
    made = forms(changes={"roles": roles})
    assert "| Signature | | :-- | :-- | :-- | | | | |" in text(made["training-record"])
    assert "**trainer**{: .blank" in made["training-outline"].document.markdown
    assert made["training-outline"].document.stamp.startswith("DRAFT")


def people(paper):
    """The first cells of the table of people."""
    return [cell.strip() for cell in re.findall(r"^\| ?(\S*?|\u00a0+) \| □ \|", paper.document.markdown, re.MULTILINE)]


def test_the_record_begins_with_those_whose_training_falls_due():
    """Trained on 2026-03-10 to 12 for 12 months: on 2026-11-01 twelve empty rows, on 2027-02-10 the ids of those due in 30 days, at most twelve rows."""
    assert people(forms(wanted=("training-record",))["training-record"]) == [""] * ROWS
    due = people(forms(day=date(2027, 2, 10), wanted=("training-record",))["training-record"])
    assert due[:5] == ["U-01", "U-02", "U-03", "U-04", "U-05"]
    assert len(due) == ROWS


def test_a_live_person_and_the_test_of_the_site():
    """How long a live person hangs comes from its field; without it nobody hangs. The test of the site only where a class may climb."""
    for name in ("training-outline", "drill-record"):
        assert "A live person hangs only on a second line, for 5 min at most, with the trainer and a first-aider beside." in told(
            name
        )
        assert "hang no live person." in told(name, changes={"training.live_person": None})
    assert "do the test of the site too: hook on, pull test, climb to the deck and come down." in told(
        "training-record", "pellan-creek"
    )
    assert "test of the site" not in told("training-record")


# --- drill record -------------------------------------------------------------------------------------------------------


def case(**values):
    """Bay, vehicle, shift and method of the drill record of the demo, its pair, dummy and light."""
    said = told("drill-record", **values)
    rows_ = (
        r"\| Bay, vehicle \| (.*?) \| Method \| (.*?) \|",
        r"\| Shift, light \| (.*?) \| Pair \| (.*?) \|",
        r"\| Dummy \| (.*?) \|",
    )
    (place, method), (shift, pair), (dummy,) = (re.search(row, said).groups() for row in rows_)
    bay, vehicle = place.split(", ")
    shift, _, light = shift.partition(", ")
    return [bay, vehicle.capitalize(), shift, method, pair, dummy, light.capitalize()]


def drilled(method, shift, on, bay="B2", vehicle="tank-car"):
    return {"add": {"kind": "drill", "on": on, "by": "D. Sorensen", "method": method, "shift": shift, "bay": bay, "vehicle": vehicle,
                    "contact": "3.0 min", "ground": "6.0 min"}}  # fmt: skip


def test_the_case_is_the_hardest_that_was_practised_longest_ago():
    """Never practised before practised, whoever does not answer before whoever does, then the longest way down, then the dark; the vehicle is the hardest."""
    assert case() == [
        "Rail spur",
        "Tank railcar",
        "Night",
        "3: rolling platform under the person",
        "RS-5 and RS-6",
        "Dummy of 310 lb",
        "In the dark",
    ]
    later = [drilled("M3", shift, "2026-10-01") for shift in ("day", "evening", "night")]
    assert case(steps=later)[2:4] == [
        "Evening",
        "2: raise with the rescue kit, release and lower",
    ]  # by day and night it was practised
    later += [drilled("M2", "evening", "2026-10-02")]
    assert case(steps=later)[3].startswith("1: ")
    later += [drilled("M1", shift, "2026-10-03") for shift in ("day", "evening", "night")]
    assert case(steps=later)[2:4] == ["Day", "2: raise with the rescue kit, release and lower"]  # of 2026-09-22, the oldest
    assert "It was last practiced on 22 September 2026." in told("drill-record", steps=later)
    assert "It was never practiced on record." in told("drill-record")


def test_a_closed_method_and_a_closed_bay_are_no_first_case():
    """A method that is closed is not practised as if it were ready; a bay that is closed gives way to one that is open."""
    assert case(changes={"bays[B2].closed": SHUT})[0] == "Truck bay"
    said = told("drill-record", changes={"rescue.methods": []})
    assert '**Fall:** the call "hangs" | | | |' in said
    assert "This case" not in said


def test_the_clock_holds_the_planned_steps():
    """Fall, alarm, emergency call, first touch, hook and ground, with the times of the plan as they are worked out and the targets of the site."""
    site = demo("harrow-ridge")
    row = next(r for r in site.assessed.rescues if (r.bay, r.method, r.shift) == ("B2", "M3", "night"))
    said = told("drill-record")
    order = [
        said.index(f"**{what}") for what in ("Fall:", "Alarm:", "Emergency call", "First touch:", "Hook moved:", "On the ground:")
    ]
    assert order == sorted(order)
    for timing in row.timings:
        assert f"| {timing.finish.si / 60:.1f} min |" in said, timing.id
    assert re.search(r"\*\*First touch:\*\* [^|]*\| 3\.5 min \| 4 min \|", said)
    assert re.search(r"\*\*On the ground:\*\* [^|]*\| 6\.9 min \| 9 min \|", said)


def test_over_the_target_as_the_procedure_says():
    """The same rule as in the rescue procedure, and no cause or blame."""
    said = told("drill-record")
    assert "The method is closed for this vehicle on this shift: mend it and run it again today." in said
    assert "Nobody climbs on this shift until a run is within it." in said
    assert "The rescue lead and the supervisor open it again in the log." in said
    assert "| Rescue lead, signature | Rescuers, signatures | Opened again, signatures |" in said
    assert "nobody may climb on that shift until a run is within it" in text(papers("harrow-ridge")["rescue-procedure"])
    assert not re.search(r"\b(blame|fault of|cause)\b", told("drill-record"))


@pytest.mark.parametrize("site", [*CLEAN, "sable-point"])
def test_a_drill_hurts_nobody(site):
    """The dummy is hung or raised and never dropped; no emergency number is dialed; the bay is closed meanwhile; "stop" ends it; kit back at the end."""
    said = told("drill-record", site)
    assert "Hang it on an anchor of its own or raise it from below; never drop it into the device." in said
    assert not re.search(r"dummy drops|drop the dummy", said)
    assert "The dummy has the mass of the upper limit or more." in said
    assert "**Before:** close the bay: nobody climbs while kit and rescuers are in the drill." in said
    assert 'Say "practice" first on the radio, and dial no emergency number.' in said
    assert "**Emergency call**, spoken and not dial" in said
    assert 'The word "stop" ends the drill at once.' in said
    assert "The kit is whole and back in its place □ yes." in said
    assert ("Tell the control room." in said) is (site == "harrow-ridge")


# --- hazard certificate -------------------------------------------------------------------------------------------------


def test_the_title_is_that_of_the_place():
    """A certification where the law names it so, with the text of law; elsewhere a record. Foot, site page and paper say the same."""
    us, ca = (forms(site, wanted=("hazard-certificate",))["hazard-certificate"].document for site in CLEAN)
    assert us.title == "Certification of hazard assessment"
    assert us.markdown.startswith("# Certification of hazard assessment (29\u00a0CFR\u00a01910.132(d)(2))")
    assert ca.title == "Record of fall-hazard assessment"
    assert ca.markdown.startswith("# Record of fall-hazard assessment\n")
    for site, title in zip(CLEAN, (us.title, ca.title), strict=True):
        assert title in papers(site)["index"].document.markdown


def test_the_certificate_holds_what_it_must():
    """Scope with the number of the other certificate, workplace, days, who certifies with the title of that day, and room to sign."""
    said = told("hazard-certificate")
    assert "Scope: fall hazards. Other hazards: certificate HA-2026-07." in said
    assert "Workplace: Harrow Ridge Terminal, 2200 Spur Road, Alder Flat, Nebraska." in said
    assert "I certify that the hazard assessment of these areas was done on 2026-08-21: truck bay and rail spur." in said
    assert "| L. Brandt | Safety manager | | |" in said
    assert "with its deck at up to 12.3 ft" in said
    assert "The assessment must be done again when the work, the vehicles or the bays change." in said
    assert "I certify" not in told("hazard-certificate", "pellan-creek")


def test_the_title_of_the_certifier_is_that_of_the_day():
    """Whoever holds the role later changes nothing; a certifier who held no role then has room for a title."""
    held = [{"name": "L. Brandt", "from": "2025-01-06", "to": "2026-09-30"}, {"name": "N. Successor", "from": "2026-10-01"}]
    assert "| L. Brandt | Safety manager | | |" in told("hazard-certificate", changes={"roles[safety-manager].holders": held})
    assert "| Q. Outside | | | |" in told("hazard-certificate", changes={"inspection.hazard_assessment.by": "Q. Outside"})


def test_what_the_certificate_lacks_is_a_line():
    """No certifier, no day, no areas: boxes and empty cells, and the paper is a draft."""
    paper = forms(changes={"inspection.hazard_assessment": None}, wanted=("hazard-certificate",))["hazard-certificate"]
    assert "**areas assessed**{: .blank" in paper.document.markdown
    assert "**number of the certificate**{: .blank" in paper.document.markdown
    assert "| Name | Title | Date | Signature | | :-- | :-- | :-- | :-- | | | | | |" in text(paper)
    assert paper.document.stamp.startswith("DRAFT")
    assert "Other hazards: none." in told("hazard-certificate", changes={"inspection.hazard_assessment.other": "none"})


def test_a_closed_bay_has_no_means_but_that_nobody_climbs():
    """No rail is named as the means in a bay that is closed."""
    said = told("hazard-certificate", changes={"bays[B2].closed": SHUT})
    row = re.search(r"\| Rail spur \| (.*?) \|", said)[1]
    assert row == "A fall from a vehicle. The bay is closed. Nobody may climb there, except rescuers in a rescue."


# --- how they are set ---------------------------------------------------------------------------------------------------


def test_a_box_to_tick_stands_inside_its_cell():
    """A cell with nothing but a box is a line high in the PDF, and its column has room for the box, which is larger than the type."""
    document = forms(wanted=("training-record",))["training-record"].document
    assert source(document).count('[#strut#"□"]') == ROWS * 11
    (table,) = (t for t in document.tree.iter("table") if "□" in "".join(t.itertext()))
    room = page(document).text_width / document.type_pt
    found = columns(table, room, document.type_pt)
    assert found.shares[1] * room / found.scale >= 1.5 * text_width("□") + 2 * CELL_PAD


def test_a_form_takes_the_largest_type_that_fits_its_pages():
    """A poster of two pages grows as one of one page does: with room for more pages the type is larger."""
    document = forms(wanted=("training-outline",))["training-outline"].document
    assert render(document).pages == 2
    assert render(replace(document, most_pages=9)).pages > 2


def test_a_form_that_goes_on_to_another_page_stops_no_issue(monkeypatch):
    """What hangs must fit its page; a form with more to say has one page more."""
    checked, bodies = compared("harrow-ridge")
    small = Budget(1, 12.0)
    known = tuple(replace(o, budget=small) if o.name == "training-outline" else o for o in library.outlines())
    monkeypatch.setattr(library, "outlines", lambda: known)
    names = {r.name for r in refusals(checked, bodies, ("training-outline",), "en")}
    assert "longer-than-its-page" not in names
