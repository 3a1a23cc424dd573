"""The site page: a word for each bay that permits no more than the papers do, times and posts of the rescue, every file, every finding."""

import re
from datetime import date

import pytest
from support import ALL_DEMOS, compared, demo, log_of, logged, papers, with_changes
from test_paper_sheets import HUNG, without

from docgen.compose import compose_all
from docgen.findings.states import CLIMBED_BY
from docgen.pipeline import check_site, render_site
from docgen.site import Log
from docgen.units import show
from docgen.words import finding_text

WORDS = ("OPEN", "NOT YET", "CLOSED")
PANEL = re.compile(r"^### (.+?)\n\n!\[[^]]*\]\(symbol:state-(\w+)\) \*\*([A-Z ]+)\*\*", re.MULTILINE)
SYMBOLS = {"open": "OPEN", "waiting": "NOT YET", "closed": "CLOSED"}


def page_of(checked, records=None, wanted=("worksheet",)) -> str:
    made = compose_all(checked.site, checked.code, checked.assessed, checked.happened, ("html",), wanted=wanted, records=records)
    return next(document.markdown for document, _ in made if document.name == "index")


def panels(text: str) -> dict[str, str]:
    """Bay by name -> the word beside its symbol; symbol and word say the same."""
    found = PANEL.findall(text)
    assert all(SYMBOLS[symbol] == word for _, symbol, word in found)
    return {name: word for name, _, word in found}


def section(text: str, name: str) -> str:
    """A section of the page by the id of its heading."""
    return re.split(r"^## ", text[text.index(f"{{: #{name} ") :], maxsplit=1, flags=re.MULTILINE)[0]


def test_a_bay_is_open_only_where_its_papers_are_in_force_and_hang(issued):
    """With one of the three papers not in force, or none hung by the log, no bay is open; with all of that each is."""
    kept, checked = check_site(issued, date(2026, 11, 1)).records, demo("harrow-ridge")
    hung = with_changes(checked, {}, log=logged(log_of("harrow-ridge"), (HUNG,)))
    for missing in CLIMBED_BY:
        assert set(panels(page_of(hung, without(kept, (missing,)))).values()) == {"NOT YET"}
    assert set(panels(page_of(checked, kept)).values()) == {"NOT YET"}
    assert "Its papers hang nowhere by the log." in page_of(checked, kept)
    assert panels(page_of(hung, kept)) == {"Truck bay": "OPEN", "Rail spur": "OPEN"}


@pytest.mark.parametrize("site", ALL_DEMOS)
def test_every_bay_has_its_word_and_its_reasons(site):
    """A bay is closed on the page exactly where the check says so, and each reason of the check stands there."""
    checked, text = compared(site)[0], papers(site)["index"].document.markdown
    found, climb = panels(text), section(text, "climb")
    states = {state.name: state for state in checked.assessed.bays}
    assert found.keys() == states.keys()
    assert {name for name, word in found.items() if word == "CLOSED"} == {name for name, state in states.items() if state.shut}
    for name, state in states.items():
        own = re.split("^### ", climb[climb.index(f"### {name}") + 4 :], flags=re.MULTILINE)[0]
        assert len(re.findall("^- ", own, re.MULTILINE)) >= len(state.reasons)


def test_a_bay_that_is_closed_for_the_day_says_what_stands_behind_it():
    """A part that is tagged: the bay is closed today, and the page says why in words of the finding."""
    tagged = {"add": {"kind": "tagged", "on": "2026-10-30", "by": "J. Whitlow", "part": "D-1", "reason": "Line frayed"}}
    checked = with_changes(demo("harrow-ridge"), {}, log=logged(log_of("harrow-ridge"), (tagged,)))
    text = page_of(checked)
    assert panels(text) == {"Truck bay": "CLOSED", "Rail spur": "NOT YET"}
    climb = section(text, "climb")
    assert "Nobody climbs here today." in climb
    assert "- A part is tagged." in climb


@pytest.mark.parametrize("site", ["harrow-ridge", "pellan-creek"])
def test_minutes_are_those_of_the_vehicle_that_takes_longest(site):
    """For each bay and shift, each method of the calculation that is kept: the longest times, rounded up, and as many posts as have a turn."""
    checked, text = demo(site), section(papers(site)["index"].document.markdown, "rescue")
    system = checked.assessed.system
    for bay in checked.site.bays:
        own = re.split("^### ", text[text.index(f"### {bay.name}") + 4 :], flags=re.MULTILINE)[0]
        rows = [
            row
            for row in checked.assessed.rescues
            if row.bay == bay.id and row.kind != "outside" and row.within and not row.closed
        ]
        assert rows
        for method in {row.method for row in rows}:
            for shift in (s for s in checked.site.shifts if s.climbing):
                mine = [row for row in rows if (row.method, row.shift) == (method, shift.id)]
                last = max(mine, key=lambda row: row.ground.si)
                contact = max(row.contact.si for row in mine)
                times = [show(si, "time", system, toward="up").replace("\u00a0", " ") for si in (contact, last.ground.si)]
                number = next(n for n, m in enumerate(checked.site.rescue.methods, 1) if m.id == method)
                line = next(x for x in own.split("\n") if f"Method {number}:" in x and (shift.name or shift.id) in x)
                cells = [cell.strip().replace("\u00a0", " ") for cell in line.strip("|").split(" | ")]
                assert cells[2:4] == times, line
                assert cells[4].startswith(f"{len({turn.post for turn in last.turns})}: "), line


def test_a_shift_without_a_rescue_says_so():
    """No post of the night shift is held: nobody climbs then, and no time of that shift is printed."""
    without_night = {"shifts[night].posts": []}
    checked = with_changes(demo("harrow-ridge"), {"shifts[night].chain.caller": None} | without_night)
    rescue = section(page_of(checked), "rescue")
    assert "**No rescue is ready**{: .flag } on the night shift. Nobody climbs then." in rescue


def test_every_file_of_the_folder_is_linked_and_is_there(tmp_path):
    """What is linked exists, and of what is written nothing is left out but the page itself and the record of the render."""
    pytest.importorskip("typst", reason="typst is not installed")
    checked, bodies = compared("thornmere")
    written = render_site(checked, tmp_path, ("md", "html", "docx", "pdf"), bodies=bodies)
    linked = re.findall(r'href="([^"#]+)"', (written.folder / "index.html").read_text(encoding="utf-8"))
    assert len(linked) == len(set(linked)) > 30
    assert set(linked) == {path.name for path in written.folder.iterdir()} - {"index.html", "build.json"}


@pytest.mark.parametrize("site", ALL_DEMOS)
def test_every_finding_is_there_with_what_to_do(site):
    """Each open finding in its own words, with its line and its name; as many as the headings count."""
    checked = compared(site)[0]
    text = section(papers(site)["index"].document.markdown, "findings")
    plain = re.sub(r"\\(.)", r"\1", text)
    inner = (checked.assessed.system, checked.code.spelling)
    for finding in checked.assessed.findings:
        for part in ("title", "message", "action"):
            assert finding_text(finding, part, "en", *inner) in plain, (finding.name, part)
        if finding.line:  # the page leads to the line of the profile or the log, as `check` does
            assert f"{finding_text(finding, 'message', 'en', *inner)} ({finding.file}:{finding.line})" in plain, finding.name
        assert f"`{finding.name}`" in text
    counts = [int(n) for n in re.findall(r"^### [A-Z][a-z ]+: (\d+) ", text, re.MULTILINE)]
    assert sum(counts) == len(checked.assessed.findings)


def test_what_is_overdue_and_due_soon_comes_first():
    """Every day of the next thirty, and all that is past, stands before the list of all days."""
    checked = demo("cormorant-quay")
    due = section(papers("cormorant-quay")["index"].document.markdown, "due")
    head = due[: due.index("### All days")]
    soon = {d.due for d in checked.assessed.dues if d.due is not None and (d.due - checked.as_of).days <= 30}
    assert soon
    for day in soon:
        assert f"{day.day} {day:%B %Y}." in head
    assert head.count("Overdue") == len(re.findall("was due by", head)) > 3


def test_the_state_of_each_paper_is_told(issued):
    """Drafts, papers for approval and papers in force with their revision; the count at the head is that of the rows."""
    text = section(papers("cormorant-quay")["index"].document.markdown, "papers")
    assert f"Drafts, not for posting: {text.count('| draft |')}\n" in text
    text = section(papers("harrow-ridge")["index"].document.markdown, "papers")
    assert f"For approval, not for posting: {text.count('| for approval |')}\n" in text
    checked = check_site(issued, date(2026, 11, 1))
    given = (checked.site, checked.code, checked.assessed, checked.happened)
    made = compose_all(*given, ("html",), records=checked.records)
    text = section(next(document.markdown for document, _ in made if document.name == "index"), "papers")
    in_force = text.count("| **in force**, revision 1 |")
    assert f"In force: {in_force}\n" in text
    assert in_force > 10
    assert "Why papers are not in force" not in text
    moved = with_changes(checked, {"equipment[D-1].arrest_distance.value": "36 in"})
    text = section(page_of(moved, checked.records, wanted=("engineering-record",)), "papers")
    assert re.search(r"\| Engineering record \| (draft|for approval); revision 1 is in force \|", text)


def test_what_was_never_done_is_not_left_out_of_what_is_due():
    """Without a log nothing is on record, and the page says of each thing that it was never done, not that nothing is overdue."""
    bare = with_changes(demo("harrow-ridge"), {}, log=Log())
    never = [d for d in bare.assessed.dues if d.due is None]
    head = section(page_of(bare), "due").partition("### All days")[0]
    assert never
    assert "Nothing is overdue" not in head
    assert head.count("Never done") > 1
