"""The paper says what the law says, and no more: no duty of law is worded in a template, and none stands beside a citation whose text
does not lay it down. The reader's word for each sentence is in codes/cited.yaml."""

from __future__ import annotations

import re
from functools import cache

import cited
import pytest
import yaml
from support import composed, demo, markdown, with_changes

from docgen.codes import known, load, question, questions
from docgen.codes.folder import find
from docgen.codes.needed import ever_needed
from docgen.codes.survey import SECTORS
from docgen.errors import CodeError
from docgen.findings import RULES
from docgen.resources import data_folder
from docgen.words import finding_text

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
    answers = [a for a in map(law.ask, questions()) if not a.silent]
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


# --- what a finding says of the law ---------------------------------------------------------------------------------------

#: Speaking of what the law asks or lets pass, in the words of a finding.
LAW_SAYS = re.compile(
    r"\b(?:the|a|no) law(?:'s)? (?:asks?|allows?|lets|demands?|requires?|forbids?|bans?|limits?|ties|names?|binds?|prints?|speaks|gives|figure|interval|trigger|limit)\b"
    r"|\bof label and law\b|\bby law\b|\b(?:un|il)lawful\b|\billegal\b|\blaw's\b|\b(?:legal|statutory) (?:duty|limit|maximum|minimum)\b",
    re.IGNORECASE,
)
#: The findings that may: each asks what binds, or says only that the law is silent, open or unread.
OF_LAW = {
    "deceleration-over", "deceleration-unstated", "figure-not-of-law", "free-fall-over", "posted-limit-at-condition", "site-rule-weaker",
}  # fmt: skip
ADVISED = ("GB", "CA-QC", "NZ", "AU", "AU-NSW", "CA-MB", "IE")
LONG = {
    "equipment[H-A].inspection.interval": "36 months",
    "equipment[D-1].inspection.interval": "36 months",
    "equipment[D-1].free_fall": "2.5 m",
    "equipment[D-1].free_fall_max": None,
    "equipment[D-1].arrest_force_peak": "9 kN",
    "equipment[D-1].deceleration_distance": "2 m",
    "rescue.contact_limit.value": "25 min",
    "rescue.ground_limit.value": "25 min",
    "training.refresher": "60 months",
    "site_rules[SR-2].interval": "60 months",
}


def test_the_words_of_a_finding_speak_of_the_law_only_where_it_asks_what_binds():
    """Title, message, action and reason of every finding; who is quoted in a message (`{whose}`) is worked out from what binds."""
    words = yaml.safe_load((data_folder("templates") / "words" / "findings" / "en.yaml").read_text(encoding="utf-8"))["findings"]
    assert set(words) == {rule.name for rule in RULES}
    speaking = {name for name, said in words.items() if any(LAW_SAYS.search(text) for text in said.values())}
    assert speaking == OF_LAW


@pytest.mark.parametrize("place", ADVISED)
def test_advice_is_never_called_the_law(place):
    """With every figure beyond what is advised: what a message calls the law binds there, and what only advises is named as advice."""
    checked = with_changes(demo("harrow-ridge"), LONG | {"site.jurisdiction": place})
    spelled = checked.code.spelling
    found = {f.name: [] for f in checked.assessed.findings}
    for f in checked.assessed.findings:
        found[f.name].append(f)
        said = " ".join(finding_text(f, part, "en", "si", spelled) for part in ("title", "message", "action"))
        rule = next(rule for rule in RULES if rule.name == f.name)
        kind, _, key = rule.basis.partition(":")
        if LAW_SAYS.search(said) and kind == "law" and f.name != "figure-not-of-law":
            answer = checked.assessed.binding.held_to(key)
            assert answer is not None, (f.name, said)
        if kind == "law" and not checked.code.ask(key).silent and not checked.code.ask(key).limits:
            assert f.basis.kind != "law", (f.name, f.basis)
    for name, key in (
        ("inspection-interval-over-law", "inspection_periodic_interval"),
        ("rescue-limit-over-law", "rescue_time_max"),
    ):
        assert (name in found) <= (checked.assessed.binding.held_to(key) is not None), (place, name)
    advised = [key for key in ("inspection_periodic_interval", "rescue_time_max", "free_fall_max", "arrest_force_max")
               if checked.assessed.binding.advice(key) is not None]  # fmt: skip
    hits = found.get("advice-exceeded", [])
    assert (hits != []) is (advised != []), (place, advised)
    for f in hits:
        assert f.severity == "fix-soon"
        assert f.basis.kind in ("advice", "standard")
        assert f.values["source"] in {checked.code.ask(key).citation for key in advised}


@pytest.mark.parametrize("law", LAWS, ids=IDS)
def test_what_is_no_law_leaves_the_law_unread(law):
    """What a standard, a supplier, a training body or the trade press says answers no question of law, unless the law was searched for it."""
    for key in ever_needed():
        answer = law.ask(key)
        if answer.beside:
            assert answer.law_unread is (answer.looked_on is None), (law.code, key)
            assert answer.looked_on is None or answer.looked_in, (law.code, key)
        body = f"{answer.body} {answer.title}".casefold()
        if re.search(r"industry body|training body|trade (?:article|report|press)|supplier|utility|water services", body):
            assert answer.beside, (law.code, key, answer.body)
        if not answer.silent and answer.grade == "official" and answer.beside:
            assert answer.force == "voluntary", (law.code, key)


def test_model_law_says_no_must_and_never_that_it_binds():
    """A provision of the model stands in a state as model law whose own provision was not found; must is for what the state enacted."""
    words = yaml.safe_load((data_folder("templates") / "words" / "en.yaml").read_text(encoding="utf-8"))["terms"]
    assert "binding" not in words["via-national-law"]
    for place in ("AU-NSW", "AU-QLD", "AU-SA"):
        plan = papers_of(place, "general-industry")["fall-protection-plan"][0].markdown.replace("\u00a0", " ")
        law = load(place, "general-industry", cited.DAY)
        answer = law.ask("rescue_duty")
        assert (answer.force, answer.state) == ("via-national-law", "inherited")
        assert f"({answer.citation}; model law; the state's own provision was not found)." in plan
        assert not re.search(r"\bmust\b[^.]*model law; the state", plan)


def test_a_rule_on_powered_trucks_is_not_printed_where_none_is_used():
    """29 CFR 1910.178(k) stands in the section on powered industrial trucks (P22); California's rule on sidings binds everyone there."""
    plans = {
        place: markdown(with_changes(demo("harrow-ridge"), {"site.jurisdiction": place}))["fall-protection-plan"]
        for place in ("US-NE", "US-CA")
    }
    assert "powered industrial trucks" not in plans["US-NE"]
    assert "1910.176(f)" in plans["US-NE"].replace("\u00a0", " ")
    assert "employer must have railcars chocked" in plans["US-CA"]


def test_each_answer_that_a_paper_may_print_has_its_sentence():
    """A question of law that a paper asks at some site has a sentence for it in every set that answers it, or the paper cannot be written."""
    lacking = {
        f"{answer.jurisdiction} {answer.sector} {key}"
        for law in LAWS
        for key in ever_needed()
        if not (answer := law.ask(key)).silent and not answer.says_plain
    }
    assert lacking == set()
