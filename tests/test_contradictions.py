"""Contradictions between documents, language versions and the profile: all are caught, and our own texts hold none.

What counts as the same figure is arithmetic; that contradictions are evidence is common practice of counsel, no published source.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import replace

import pytest
from support import ALL_DEMOS, AS_OF, SITES, demo, overridden, run
from support import compared as compared_demo
from test_findings import clean, view_of

from docgen.compose import all_bodies
from docgen.compose.contradictions import contradictions
from docgen.pipeline import compared_site
from docgen.site import build
from docgen.text.said import duties_in, facts_of, names_in, phones_in, said_in
from docgen.words import finding_text


def harrow():
    return demo("harrow-ridge")


def compared(own=(), checked=None):
    """Messages of all contradictions with a folder of templates of one's own."""
    checked = checked or harrow()
    bodies = all_bodies(checked.site, checked.code, checked.assessed, tuple(own))
    found = contradictions(bodies, checked.site, checked.assessed.binding)
    return found, [finding_text(f, "message", "en", checked.assessed.system) for f in found]


@pytest.mark.parametrize("name", ALL_DEMOS)
def test_our_own_texts_do_not_contradict(name):
    """Every demo composes without one contradiction: what is caught below is what was planted."""
    checked, bodies = compared_demo(name)
    assert len(bodies) >= 4
    assert contradictions(bodies, checked.site, checked.assessed.binding) == ()


RULES_OF_NOTICE = "## Rules {{: #rules }}\n\n{{% clause 'users' %}}\n{}\n{{% endclause %}}\n"

# What an own template says, and what the message must name: both texts and both places.
PLANTED = [
    ("Nobody over 350 lb with clothing may climb.", ["350 lb", "310 lb", "contractor-notice", "limits.upper.value"]),
    ("Nobody above 140 kg with clothing and 350 pounds in all may climb.", ["350 pounds", "limits.upper.value"]),
    ("Be attached above 4 ft.", ["4 ft", "0 ft", "site_rules[SR-1].height"]),
    ("In doubt call 555-0199.", ["555-0199", "emergency.contacts"]),
    ("In doubt dial 112.", ["112", "emergency.contacts"]),
    ("Work stops in wind over 40 mph.", ["40 mph", "25 mph", "limits.weather.wind"]),
    ("Work stops when gusts reach 50 mph.", ["50 mph", "35 mph", "limits.weather.gust"]),
    ("Wait 10 minutes after the last thunder.", ["10 minutes", "30 min", "limits.weather.lightning_wait"]),
    ("The line must stay within 45 degrees from the vertical.", ["45 degrees", "30 deg", "limits.line_angle.value"]),
    ("Come in by the north gate.", ["north gate", "east gate", "site.access_point"]),
    ("The shift manager decides.", ["shift manager", "Shift supervisor", "roles[shift-supervisor].title"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "named"), PLANTED, ids=[p[0] for p in PLANTED])
def test_planted_contradiction_is_caught(tmp_path, text, named):
    """A template of one's own that says something else than the profile is caught, with both places in the message."""
    found, messages = compared([overridden(tmp_path, "contractor-notice", "rules", RULES_OF_NOTICE.format(text))])
    assert len(messages) == 1, messages
    for words in named:
        assert words in messages[0], messages[0]
    assert found[0].severity == "must-fix"
    assert found[0].stops == "issue"
    assert "contractor-notice" in found[0].documents


AGREEING = [
    "Nobody over 310 lb (140.6 kg) with clothing may climb.", "In doubt call 555-0142.", "Dial 911.", "Work stops in wind over 25 mph.",
    "Wait 30 minutes after the last thunder.", "Come in by the east gate.", "The shift supervisor decides.", "The trolley bears 500 lb.",
    "Be attached before you leave the ground.",
]  # fmt: skip


@pytest.mark.parametrize("text", AGREEING)
def test_what_agrees_is_left_alone(tmp_path, text):
    """The same figures, numbers and names written out by hand are no contradiction."""
    assert compared([overridden(tmp_path, "contractor-notice", "rules", RULES_OF_NOTICE.format(text))])[1] == []


def test_traced_figures_are_not_looked_at(tmp_path):
    """A figure that the profile supplied is right by construction, also where the words look like a limit."""
    text = "A person over {{ site.part('H-A').capacity.max|have }} with clothing must not use the harness."
    assert compared([overridden(tmp_path, "contractor-notice", "rules", RULES_OF_NOTICE.format(text))])[1] == []


def test_duties_against_each_other(tmp_path):
    """What one document forbids another may not order or allow; a condition in the sentence makes another sentence of it."""
    overridden(tmp_path, "contractor-notice", "rules", RULES_OF_NOTICE.format("Drivers must not enter the painted box."))
    overridden(
        tmp_path,
        "rescue-procedure",
        "codes",
        "## Codes {: #codes }\n\n{% clause 'purpose' %}\nDrivers may enter the painted box.\n{% endclause %}\n",
    )
    _, messages = compared([tmp_path])
    assert len(messages) == 1
    assert "may enter the painted box" in messages[0]
    assert "must not enter the painted box" in messages[0]
    assert "contractor-notice" in messages[0]
    assert "rescue-procedure" in messages[0]


def test_language_versions_are_compared():
    """The same clause with another figure in another language is caught, and so is a clause that one version lacks."""
    checked = harrow()
    bodies = all_bodies(checked.site, checked.code, checked.assessed, wanted=("contractor-notice",))
    english = bodies["contractor-notice"]["en"]
    target = next(c for c in english.clauses if "25\u00a0mph" in c.text or "25 mph" in c.text)
    translated = replace(english, language="es", clauses=tuple(
        replace(c, text=re.sub(r"25(.)mph", r"20\1mph", c.text)) if c.id == target.id else c for c in english.clauses[:-1]
    ))  # fmt: skip
    found = contradictions({"contractor-notice": {"en": english, "es": translated}}, checked.site, checked.assessed.binding)
    messages = [finding_text(f, "message", "en", "us") for f in found]
    assert any("25" in m and "20" in m and target.id.partition(".")[2] in m for m in messages)
    assert any(english.clauses[-1].id.partition(".")[2] in m and "nothing" in m for m in messages)
    assert len(messages) == 2


def test_thousands_and_decimals_are_the_same_in_every_language():
    """1,800 and 1800 are one number; 1,5 and 1.5 are one number (ISO 80000-1: either sign may be the decimal sign; from memory)."""
    assert versions_of("1,800 lbf and 1.5 m", "1800 lbf y 1,5 m") == []
    (message,) = versions_of("2 of 10", "2 of 11")
    assert "10" in message
    assert "11" in message


def versions_of(english: str, spanish: str) -> list[str]:
    """What is found when one clause of the notice says these two things in two languages."""
    checked, bodies = compared_demo("harrow-ridge")
    body = bodies["contractor-notice"]["en"]
    one, other = (
        replace(body, language=language, clauses=(replace(body.clauses[0], text=text, inputs=()),))
        for language, text in (("en", english), ("es", spanish))
    )
    found = contradictions({"contractor-notice": {"en": one, "es": other}}, checked.site, checked.assessed.binding)
    return [finding_text(f, "message", "en", "us") for f in found]


def test_render_reports_and_exits_1(tmp_path):
    """render says the contradiction with both places and exits 1; the draft is written and counts it as a reason."""
    site = tmp_path / "site"
    shutil.copytree(SITES / "harrow-ridge", site)
    profile = site / "profile.yaml"
    text = profile.read_text(encoding="utf-8")
    profile.write_text(re.sub(r"  appeal: .*", "  appeal: Appeals go to the terminal manager, 555-0199", text), encoding="utf-8")
    code, out, _ = run("render", str(site), "--into", str(tmp_path / "out"), "--types", "md", "--as-of", AS_OF.isoformat())
    assert code == 1
    assert "documents-contradict" in out
    assert "555-0199" in out
    assert "emergency.contacts" in out
    plan = next((tmp_path / "out").rglob("fall-protection-plan.md")).read_text(encoding="utf-8")
    assert "DRAFT - NOT FOR POSTING" in plan
    sheet = next((tmp_path / "out").rglob("worksheet.md")).read_text(encoding="utf-8")
    assert (
        'Two places say two things. The profile under contractors, appeal says "555-0199"; the profile under emergency, contacts says "no such number".'
        in sheet
    )


def test_comparison_is_part_of_the_assessment():
    """compared_site gives the same findings back for a site that does not contradict itself."""
    checked, bodies = compared_site(harrow())
    assert checked.assessed.findings == harrow().assessed.findings
    assert "contractor-notice" in bodies


# text, what is said on which subject
SAID = [
    ("The limit for a person is 300 lb", [("user-limit", "300 lb")]), ("A person of up to 136 kg may climb", [("user-limit", "136 kg")]),
    ("Limit: 310 lb, body and clothing", []), ("Gusts over 40 mph; wind over 25 mph", [("gust", "40 mph")]),
    ("wind 25 mph, gust 35 mph", []), ("After lightning wait 15 min", [("lightning", "15 min")]), ("The tank holds 300 lb of foam", []),
]  # fmt: skip


@pytest.mark.parametrize(("text", "said"), SAID, ids=[s[0] for s in SAID])
def test_figures_in_words(text, said):
    """A figure is understood by what stands around it."""
    assert [(s.subject, s.figure) for s in said_in(text, facts_of(build(clean())), "en")] == said


def test_numbers_duties_and_names():
    """Telephone numbers, duties and names are read as people write them; serial numbers and dates are none of them."""
    known = frozenset({"5550102", "911"})
    assert list(phones_in("555-0102, (316) 555-0199, T1-3301, 2026-08-18, 000-00000, dial 112", known, "en")) == [
        "(316) 555-0199",
        "112",
    ]
    assert list(duties_in("Users must not climb the flatbed. Drivers must not climb the flatbed unless told.", "en")) == [
        ("must_not", "climb the flatbed")
    ]
    assert list(names_in("the North gate, a gate, the shift manager", "en")) == [
        ("place", "north", "gate"),
        ("role", "shift", "manager"),
    ]


def test_a_weight_is_not_repeated_as_a_contradiction():
    """A text that tells a weight is told by its own finding and is not quoted by this one."""
    from support import changed, find

    data = changed(clean().data, {"inspection.storage": "Limit of the user who weighs 287 lb: none"})
    told = [finding_text(f, "message", "en", "us") for f in find(view_of(data, AS_OF)) if f.name == "documents-contradict"]
    assert told == []


@pytest.mark.parametrize("figure", ["911.0000 in^4", "1,270.0000 mm", "8,270.0000\u00a0in^3", "270.0000 kN"])
def test_a_figure_with_decimals_is_no_telephone_number(figure):
    """A second moment of 911 in^4 once stopped a paper as an unknown number; a number with dots still is one."""
    known = frozenset({"5550141"})
    assert list(phones_in(f"The beam has {figure}.", known, "en")) == []
    assert list(phones_in("Call 555.0199 at once.", known, "en")) == ["555.0199"]
