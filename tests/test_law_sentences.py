"""The paper says what the law says, and no more: no duty of law is worded in a template, and none stands beside a citation whose text
does not lay it down. The reader's word for each sentence is in codes/cited.yaml."""

from __future__ import annotations

import re
from functools import cache

import cited
import pytest
from support import composed, demo, with_changes

from docgen.codes import known, load, question, questions
from docgen.codes.folder import find
from docgen.codes.needed import ever_needed
from docgen.codes.survey import SECTORS
from docgen.errors import CodeError
from docgen.resources import data_folder

LAWS = tuple(cited.laws())
IDS = [f"{law.code}-{law.sector}" for law in LAWS]
EVERY = tuple(
    load(code, sector, day)
    for code in known()
    for sector in SECTORS
    for day in sorted({cited.DAY, *find(code).days} if find(code) else {cited.DAY})
)
MUST = re.compile(
    r"\b(?:must|shall|has to|have to|required|forbidden|may not|prohibited)\b|\b(?:nobody|no one|no [a-z]+|only [a-z ]+) may\b",
    re.IGNORECASE,
)
BINDS = re.compile(r"\b(?:must|shall|has to|have to|forbidden|prohibited)\b|\b(?:nobody|no one) may\b", re.IGNORECASE)
#: What a citation looks like. A template may hold none: it comes with its answer.
CITATION = re.compile(
    r"\bCFR\b|\bWAC\b|\bCCR\b|\bOAR\b|\bORS\b|\bRCW\b|\bSOR/|\bAR [0-9]+/|\bB\.C\. Reg|\bR\.R\.O\.|\bS\.A\. |\bS\.I\. |\bSI [0-9]{4}/|\bO\. Reg|\bCQLR\b|\bCode [0-9]|§ ?[0-9]"
    r"|\bss?\. ?[0-9]|\breg(?:s|ulations?)?\.? [0-9]+|\bsections? [0-9]+|\b(?:Act|Regulations?|Code|Order) (?:of )?(?:19|20)[0-9]{2}\b|\b(?:ANSI|EN|CSA|AS/NZS) [A-Z]?[0-9]"
)
#: Speaking of the law in a template's own words. That the law is silent may be said.
BY_LAW = re.compile(r"\bby law\b|\b[Tt]he law (?:requires|demands|asks|lets|allows|permits|forbids|bans|obliges|gives (?!no))")
FIGURE = re.compile(r"(?<![\w(])[0-9][0-9.,]* ?(?:ft|in|m|cm|mm|kN|N|lb|lbf|kg|h|hours?|days?|months?|years?|minutes?)\b")
MEASURED = ("length", "mass", "force", "time", "angle", "ratio", "count", "interval", "clock")


@pytest.mark.parametrize("path", sorted(data_folder("templates").rglob("*.md")), ids=lambda p: "/".join(p.parts[-3:]))
def test_no_template_holds_a_citation_or_a_duty_of_law(path):
    """Citations come with their answers; and where a template prints one beside words of its own, these words lay down no duty."""
    text = path.read_text(encoding="utf-8")
    assert CITATION.findall(text) == []
    own = re.sub(r"\{[{%].*?[%}]\}", "", text, flags=re.DOTALL)
    assert [m[0] for m in BY_LAW.finditer(own)] == []
    lines = text.splitlines()
    for n, line in enumerate(lines):
        for sentence in re.split(r"(?<=[.:;])\s", line):
            if re.search(r"\b(?:ref|cite)\('", sentence):
                before = sentence if sentence.strip()[:3] != "{{ " else f"{lines[n - 1]} {sentence}"
                assert not MUST.search(before), before
        if (
            "law_line(" in line or "law_or(" in line
        ) and "{% macro" not in line:  # nothing of a template's own stands before the sentence of the law
            lead = re.sub(r"\{%.*?%\}", "", line.partition("{{ law_")[0])
            assert lead.strip(" -") == "", line


@pytest.mark.parametrize("law", LAWS, ids=IDS)
def test_every_answer_that_a_paper_needs_has_its_two_wordings(law):
    """`says` for the legal file and `says_plain` for the papers of a site; the plain one is one sentence of at most 30 words."""
    for key in ever_needed():
        answer = law.ask(key)
        if not answer.silent:
            assert answer.says, (key, answer.jurisdiction)
            assert answer.says_plain, (key, answer.jurisdiction)
            assert len(answer.says_plain.split()) <= 32, (key, answer.says_plain)
            assert len(re.findall(r"[.!?](?:\s|$)", answer.says_plain.rstrip("."))) == 0, (key, answer.says_plain)
            assert answer.says_plain.endswith("."), (key, answer.says_plain)


def test_only_what_binds_says_must_in_every_set_and_state():
    """The same of every set, standards too, and of every state of its text that is recorded."""
    for law in EVERY:
        for key in questions():
            try:
                answer = law.ask(key)
            except CodeError:  # not yet in force on that day
                continue
            if not answer.silent and not answer.binding:
                assert not BINDS.search(answer.says_plain), (law.code, key, answer.says_plain)


@pytest.mark.parametrize("law", LAWS, ids=IDS)
def test_only_what_binds_says_must(law):
    """Policy, guidance and voluntary standards advise; and a plain sentence that says must rests on a text that lays a duty down."""
    for key in ever_needed():
        answer = law.ask(key)
        if answer.silent:
            continue
        if not answer.binding:
            assert not MUST.search(answer.says_plain), (key, answer.force, answer.says_plain)
            assert not re.search(r"\bmust\b", answer.says), (key, answer.force, answer.says)


@pytest.mark.parametrize("law", LAWS, ids=IDS)
def test_figures_travel_with_their_law(law):
    """A sentence writes no figure of its own where the answer has one: the braces are its place."""
    for key in ever_needed():
        answer = law.ask(key)
        if not answer.silent and question(key).kind in MEASURED and "{}" in answer.says_plain:
            others = FIGURE.findall(answer.says_plain.replace("{}", ""))
            assert all(figure in answer.says or figure in answer.written for figure in others), (
                key,
                answer.says_plain,
                answer.says,
            )
        if not answer.silent and question(key).kind in ("length", "mass", "force", "time", "angle", "ratio", "interval"):
            assert "{}" in answer.says_plain, (key, answer.says_plain)


@cache
def papers_of(place: str, sector: str):
    """The papers of a demo with railcars, trucks and contractors, as it would be in another place."""
    return composed(with_changes(demo("harrow-ridge"), {"site.jurisdiction": place, "site.sector": sector}))


SENTENCE = re.compile(r"[^|\n]+")


@pytest.mark.parametrize("law", LAWS, ids=IDS)
def test_no_duty_stands_beside_a_citation_that_does_not_carry_it(law):
    """Wherever a site paper prints the citation of an answer, the sentence before it is that answer's own; must stands there only where it binds."""
    answers = [a for a in map(law.ask, ever_needed()) if not a.silent]
    words = law.words("en")
    lines = {a.citation: [] for a in answers}
    for a in answers:
        lines[a.citation].append(a.says_plain.format(words.answer(a)).rstrip("."))
    checked = 0
    for name, (document, _) in papers_of(law.code, law.sector).items():
        if name.partition(".")[0] not in ("fall-protection-plan", "rescue-procedure", "contractor-notice", "engineering-record"):
            continue
        for line in SENTENCE.findall(document.markdown.replace("\u00a0", " ")):
            for citation, own in lines.items():
                found = re.search(re.escape(f"({citation}") + r"[;)]", line)
                if found and MUST.search(line[: found.start()].rpartition(". ")[2]):
                    before = line[: found.start()].rstrip().lstrip("- ")
                    assert any(before.endswith(_plain(one)) for one in own), (name, line)
                    checked += 1
    assert checked or law.code not in ("US", "GB")


def _plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_every_sentence_of_law_was_read_by_a_reader():
    """codes/cited.yaml holds every sentence and citation that the papers print now, and a reader's reason why the text carries each.

    supports says how the reader knows: yes, the text was read again; as recorded, held against the reading that the law data records;
    recalled, nobody read it and the papers say so.
    """
    kept = cited.table()
    assert cited.differing(cited.printed(), kept) == []
    for key, row in kept.items():
        assert len(row["why"]) >= 12, key
        assert row["supports"] in (("recalled",) if row["read"] == "memory" else ("yes", "as recorded")), key
