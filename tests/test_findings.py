"""Every finding against its table in tests/findings: where it fires, where it does not, and what it says, word for word.

A table changes the clean demo (harrow-ridge) at paths such as `equipment[D-1].arrest_distance`; null removes. `log` changes its log by
steps (see `support.logged`); an entry stands as `log[kind what day]` in `at`. `law` puts a
figure in place of what the law in force says, or makes it recalled, silent or unlooked; `private` are the answers of the private file; `in_force` is what the records hold, `withdrawn` what they took out of force. Sources of the figures stand in the tables.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest
from support import AS_OF, SITES, assess, changed, find, log_of, logged, spoken, table

from docgen.codes import load, question
from docgen.codes.binding import BindingRules
from docgen.codes.given import with_given
from docgen.engineering.cases import all_cases
from docgen.engineering.chains import all_chains
from docgen.engineering.dues import all_dues
from docgen.engineering.further import all_further
from docgen.engineering.rescues import all_rescues
from docgen.findings import RULES
from docgen.findings.photos import photos_absent
from docgen.findings.rule import SEVERITIES
from docgen.findings.view import HeldOnRecord, View
from docgen.happened import Happened
from docgen.papers import outlines
from docgen.private import Facts
from docgen.read import Source, read_profile
from docgen.site import Log, build
from docgen.site.schema import profile_schema
from docgen.text.screens import found_in, screen_kinds
from docgen.units import parse, parse_interval
from docgen.words import finding_text, findings_words

TABLES = sorted((Path(__file__).parent / "findings").glob("*.yaml"))
RULE = {rule.name: rule for rule in RULES}


@cache
def clean() -> Source:
    return read_profile(SITES / "harrow-ridge")


class Law:
    """The law in force with some answers put in place of its own."""

    def __init__(self, code, said: dict[str, str]):
        self._code, self._said = code, said

    def __getattr__(self, name):
        return getattr(self._code, name)

    def ask(self, key, on=None):
        answer = self._code.ask(key, on)
        if key not in self._said or answer.given_by:
            return answer
        text = self._said[key]
        if text == "recalled":
            return replace(answer, read=None, basis="memory")
        if text in ("silent", "unlooked"):
            return replace(self._code.blank(key), looked=text == "silent")
        force, _, text = text.rpartition(": ")  # such as `guidance: 15 min`; what names none binds
        value = parse_interval(text) if answer.kind == "interval" else parse(text, answer.kind).si
        return replace(
            answer, state="answered", text=text, value=value, citation="a text made for this test", force=force or "mandatory"
        )


def view_of(data: dict, day: date, law: dict[str, str] | None = None, log: Log | None = None) -> View:
    source = Source("profile.yaml", "", data, clean().marks, ())
    site = build(source)
    code = with_given(load(site.site.jurisdiction, site.site.sector, site.document.effective or day), site, day)
    code = BindingRules(Law(code, law) if law else code, site)
    system = site.site.units or code.units
    cases = all_cases(site, system)
    happened = Happened(site, logged(log_of("harrow-ridge")) if log is None else log, day)
    return View(
        site, code, day, system, cases, all_chains(site), all_rescues(site, code, cases), all_further(site, code, cases),
        happened, all_dues(happened), photo_absent=photos_absent(clean().file, site),
    )  # fmt: skip


def run(name: str, case: dict) -> tuple:
    day = date.fromisoformat(case.get("day", AS_OF.isoformat()))
    log = logged(log_of("harrow-ridge"), case.get("log", ()))
    view = view_of(changed(clean().data, case["change"]), day, case.get("law"), log)
    written = {spoken(log, entry.path): entry.path for entry in log.entries}
    facts = {
        key: tuple(written.get(item, item) for item in v) if isinstance(v, list) else v
        for key, v in case.get("private", {}).items()
    }
    held, gone = (
        {tuple(key.split(" ")): (row["revision"], date.fromisoformat(row["on"])) for key, row in case.get(of, {}).items()}
        for of in ("in_force", "withdrawn")
    )
    before = tuple(
        HeldOnRecord(**{k: date.fromisoformat(v) if k in ("on", "since") else v for k, v in row.items()})
        for row in case.get("held", ())
    )
    facts_held = {"in_force": held, "withdrawn": gone, "held_on_record": before}
    return find(replace(view, private=Facts(**facts), **facts_held), name), view.system, log


CASES = [
    pytest.param(table(path)["finding"], case, id=f"{path.stem}: {case['says']}")
    for path in TABLES
    for case in table(path)["cases"]
]


@pytest.mark.parametrize(("name", "case"), CASES)
def test_finding(name, case):
    """It stands at exactly the paths listed, and its message is the one in the table."""
    found, system, log = run(name, case)
    assert [spoken(log, f.path) for f in found] == case["at"]
    if found:
        assert finding_text(found[0], "message", "en", system) == case["message"]
        for finding in found:
            for part in ("title", "action", "why"):
                assert "{" not in finding_text(finding, part, "en", system)


def test_severities_are_those_agreed():
    """Severity, what it stops and whether it can be accepted, for every finding, against the table written a second time."""
    agreed = table(Path(__file__).parent / "severities.yaml")
    assert agreed == {rule.name: f"{rule.severity}, {rule.stops}{', acceptable' if rule.acceptable else ''}" for rule in RULES}


def test_nothing_that_bears_a_fall_can_be_accepted():
    """A must-fix on physics, law, rating or rescue is mended, prohibited or closed; nobody signs it away."""
    assert [rule.name for rule in RULES if rule.severity == "must-fix" and rule.acceptable] == []


@cache
def schema() -> dict:
    return profile_schema()


def _at(path: str) -> dict:
    """The part of the profile schema that describes a path."""
    node = schema()
    for step in re.findall(r"[^.\[\]]+(?=\[|\.|$)|\[[^\]]*\]", path):
        node = _resolved(node["items"] if step.startswith("[") else _resolved(node)["properties"][step])
    return _resolved(node)


def _resolved(node: dict) -> dict:
    while "$ref" in node:
        node = schema()["$defs"][node["$ref"].rpartition("/")[2]]
    return node


def _keys_known(node: dict, value: object) -> None:
    node = _resolved(node)
    if isinstance(value, dict):
        options = [o for o in map(_resolved, node.get("anyOf", node.get("oneOf", [node]))) if "properties" in o]
        for key, inner in value.items():
            assert key in options[0]["properties"], key
            _keys_known(options[0]["properties"][key], inner)
    elif isinstance(value, list):
        for item in value:
            _keys_known(node["items"], item)
    elif "enum" in node and value is not None:
        assert value in node["enum"]


@pytest.mark.parametrize("path", TABLES, ids=lambda p: p.stem)
def test_table(path):
    """A table names a finding, changes only fields that the schema knows, and tries both sides."""
    name, cases = table(path)["finding"], table(path)["cases"]
    assert path.stem == name
    assert any(c["at"] for c in cases)
    assert any(not c["at"] for c in cases)
    for case in cases:
        assert set(case) <= {"says", "change", "log", "day", "law", "private", "in_force", "held", "withdrawn", "at", "message"}
        assert bool(case["at"]) == ("message" in case)
        for where, value in case["change"].items():
            _keys_known(_at(where), value)


def test_names_words_and_tables_agree():
    """Every finding has a row, a table and four sentences, and nothing else has."""
    names = [rule.name for rule in RULES]
    assert len(names) == len(set(names))
    assert sorted(names) == sorted(path.stem for path in TABLES)
    assert sorted(names) == sorted(findings_words("en"))
    for entry in findings_words("en").values():
        assert list(entry) == ["title", "message", "action", "why"]
        assert all(entry.values())


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.name)
def test_row(rule):
    """Severity, stop, documents and basis come from the closed lists; the function says what, why, example, reference."""
    assert rule.severity in SEVERITIES
    assert rule.stops in ("issue", "use", "nothing")
    assert rule.stops != "issue" or rule.severity == "must-fix"
    assert rule.documents
    assert set(rule.documents) <= {o.name for o in outlines()}
    kind, _, rest = rule.basis.partition(":")
    assert kind in ("law", "standard", "practice", "site-rule")
    if kind == "law":
        question(rest)
    assert rule.severity != "must-fix" or not rule.acceptable
    assert rule.function.__name__ == rule.name.replace("-", "_")
    doc = " ".join(rule.function.__doc__.split())
    for label in ("What it looks at: ", "Why: ", "Example: ", "Reference: "):
        assert label in doc, label


def days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def test_clean_demo_is_clean():
    """The demo without faults has nothing to mend on any of the next sixty days, only six pieces of advice."""
    view = view_of(clean().data, AS_OF)
    for day in days(AS_OF, date(2026, 12, 31)):
        happened = replace(view.happened, as_of=day)
        law = BindingRules(load("US-NE", "general-industry", day), view.site)
        found = find(replace(view, as_of=day, binding=law, happened=happened, dues=all_dues(happened)))
        assert [f.name for f in found] == [
            "swing-into-flat-written", "swing-into-flat-written", "swing-into-flat-light", "swing-into-flat-light",
            "posted-limit-at-condition", "figure-not-of-law",
        ], day  # fmt: skip


def faults(name: str) -> set[tuple[str, str, int]]:
    """(finding, file, line) of every `# fault:` comment of a demo."""
    found = set()
    for file in ("profile.yaml", "log.yaml"):
        lines = (SITES / name / file).read_text(encoding="utf-8").splitlines()
        marked = ((number, line.partition("# fault:")[2]) for number, line in enumerate(lines, 1) if "# fault:" in line)
        found |= {(fault.strip(), file, number) for number, text in marked for fault in text.split(",")}
    return found


@cache
def faulty():
    source = read_profile(SITES / "cormorant-quay")
    site = build(source)
    return assess(site, load(site.site.jurisdiction, site.site.sector, AS_OF), AS_OF, logged(log_of("cormorant-quay")))


def test_planted_faults_are_found():
    """Every fault planted in cormorant-quay is found, on its line; there are at least thirty-five kinds of them."""
    planted = faults("cormorant-quay")
    assert len({name for name, _, _ in planted}) >= 35
    assert planted <= {(f.name, f.file, f.line) for f in faulty().findings}


def test_nothing_is_found_that_was_not_planted():
    """No must-fix or fix-soon finding of cormorant-quay stands on a line without its mark."""
    found = {(f.name, f.file, f.line) for f in faulty().findings if f.severity != "advice"}
    assert found <= faults("cormorant-quay")


def test_most_severe_first():
    """Findings are sorted by severity, then by the list, then by line."""
    order = {rule.name: n for n, rule in enumerate(RULES)}
    keys = [(SEVERITIES.index(f.severity), order[f.name], f.line or 0) for f in faulty().findings]
    assert keys == sorted(keys)


def test_a_weight_is_never_repeated():
    """A finding on a body weight in the text does not carry the figure or the words."""
    data = changed(clean().data, {"inspection.storage": "Harness 4 is for the user who weighs 287 lb"})
    (finding,) = find(view_of(data, AS_OF), "weight-in-text")
    told = " ".join(finding_text(finding, part, "en", "us") for part in ("title", "message", "action", "why"))
    assert "287" not in told
    assert "287" not in str(finding.values)


def test_physics_cannot_be_accepted_and_light_can():
    """An acceptance in force takes a fix-soon finding off the list, never one on clearance."""
    data = changed(
        clean().data,
        {
            "equipment[D-1].arrest_distance": "75 in",
            "document.kept_at": None,
            "accepted": [
                {"finding": "clearance-short", "reason": "no time", "by": "L. Brandt", "until": "2026-12-01"},
                {"finding": "no-copy-at-work", "reason": "boxes on order", "by": "L. Brandt", "until": "2026-12-01"},
            ],
        },
    )
    site = build(Source("profile.yaml", "", data, clean().marks, ()))
    assessed = assess(site, load("US-NE", "general-industry", AS_OF), AS_OF)
    assert "clearance-short" in {f.name for f in assessed.findings}
    assert "no-copy-at-work" not in {f.name for f in assessed.findings}
    assert [f.name for f in assessed.accepted] == ["no-copy-at-work"]


# kind, sentence, what is caught ("" for nothing). Common practice of counsel, no published source.
SENTENCES = (
    ("promise", "The site ensures your safety", "ensures"),
    ("promise", "We guarantee a rescue", "guarantee"),
    ("promise", "Trained rescuers will reach you", "Trained rescuers will reach"),
    ("promise", "A state-of-the-art rail", "state-of-the-art"),
    ("promise", "Zero accidents since spring", "Zero accidents"),
    ("promise", "The inspector measures the line", ""),
    ("vague", "Work safely at all times", "safely"),
    ("vague", "The safety manager decides", ""),
    ("vague", "The safe working load is marked", ""),
    ("vague", "Supervised by the shift supervisor", ""),
    ("vague", "Use suitable equipment", "suitable"),
    ("permissive", "Drivers should wait", "should"),
    ("permissive", "Drivers must wait", ""),
    ("waiver", "You waive all claims", "waive"),
    ("waiver", "The firm assumes all risks", "assumes all risks"),
    ("waiver", "The site is not liable for losses", "not liable"),
    ("waiver", "The wave of trucks at noon", ""),
    ("approval", "An OSHA-approved device", "OSHA-approved"),
    ("approval", "Certified by the state", "Certified by the state"),
    ("approval", "Approved by the safety manager", ""),
    ("rescue-promise", "We rescue you within 6 minutes", "rescue you within 6 minutes"),
    ("rescue-promise", "The rescue procedure is started by radio", ""),
    ("law-number", "As 29 CFR 1910.140 says", "29 CFR 1910.140"),
    ("law-number", "Since 1910 a mill stood here", ""),
    ("weight", "He weighs about 280 lb", "weighs about 280"),
    ("weight", "The heaviest user", "heaviest"),
    ("weight", "She is about 187.3 lb", "She is about 187.3 lb"),
    ("weight", "The hook is 12 lb, the pole has 4 kg", ""),
    ("weight", "His BMI is 31", "BMI is 31"),
    ("weight", "The limit is 310 lb", ""),
    ("weight", "The driver's own weight was 231", "driver's own weight was 231"),
    ("weight", "Take the person's weight and lower by 2 ft", ""),
    ("of-a-person", "This one is his", "his"),
    ("of-a-person", "The shipment rests there", ""),
    ("minutes", "Not back in 1 min: E", "Not back in 1 min"),
    ("minutes", "Say it in a minute or in 12 minibuses", ""),
    ("weighing", "The scale says so", "scale"),
    ("weighing", "The sling is there", ""),
    ("casualty", "Keep the person upright", "Keep the person upright"),
    ("casualty", "Do not lay the person flat", "Do not lay"),
    ("casualty", "Lay the person flat", ""),
    ("straps", "Stand in the relief straps", "relief straps"),
    ("straps", "Strap the load down", ""),
    ("reporting", "An injury on the deck", "injury"),
    ("reporting", "Refusal to climb", "Refusal"),
    ("reporting", "Reporting a defect", "Reporting"),
    ("reporting", "Failure to report a defect", ""),
    ("reporting", "Refuses to attach", ""),
    ("reporting", "A climb without being attached", ""),
    ("on-rail", "The rescuer is tied to the rail", "is tied to the rail"),
    ("on-rail", "Each rescuer hooks a lanyard to the same rail", "hooks a lanyard to the same rail"),
    ("on-rail", "The rescuer is not tied to the rail", ""),
    ("on-rail", "The rescuer stays on the platform behind its guardrail, tied to the guardrail", ""),
    ("not-physical", "A yellow line painted on the walkway", "line"),
    ("not-physical", "Users know that they must not go there", "know"),
    ("not-physical", "Stay behind the cone", "cone"),
    ("not-physical", "none", "none"),
    ("not-physical", "Not known.", "Not known"),
    ("not-physical", "Nothing fixed", "Nothing fixed"),
    ("not-physical", "Fixed hoop rail in line with the end of the walkway", ""),
    ("not-physical", "No gap: the rail runs round the open end of the walkway", ""),
    ("not-stiff", "Net over the opening", "Net"),
    ("not-stiff", "A yellow chain", "A yellow chain"),
    ("not-stiff", "Steel lid with a chain and a padlock", ""),
    ("not-stiff", "Wall of the tank", ""),
    ("sloped", "Curved top of the tank", "Curved"),
    ("sloped", "Walkway grating along the tank crown", ""),
    ("opening", "Open the manlid and gauge", "manlid"),
    ("opening", "Open the valve on the side", ""),
    ("cover-opened", "Locked lid, opened while loading", "opened while"),
    ("cover-opened", "Bar grate, lifted out to sample", "lifted out to sample"),
    ("cover-opened", "Grate folded away for washing", "folded away for"),
    ("cover-opened", "Bolts taken out only while gauging", "taken out only while"),
    ("cover-opened", "The cover stays bolted; only the fill opening in it is opened", ""),
    ("in-cab", "Drivers stay in the cab", "stay in the cab"),
    ("in-cab", "Drivers never leave the cab", "never leave the cab"),
    ("in-cab", "Drivers set the brake of the cab", ""),
    ("in-cab-sometimes", "Stay in the cab while somebody is up", "while"),
    ("in-cab-sometimes", "Stay in the cab", ""),
    ("severe-use", "Salt spray from the quay", "Salt"),
    ("severe-use", "Dry store, used weekly", ""),
)


@pytest.mark.parametrize(("kind", "sentence", "caught"), SENTENCES, ids=[s[1] for s in SENTENCES])
def test_screen(kind, sentence, caught):
    """The word lists catch what counsel strikes out and leave the plain sentence alone."""
    assert "".join(c.text for c in found_in(sentence, kind, "en")[:1]) == caught


def test_every_screen_is_tried_on_both_sides():
    """Each kind of screen has a sentence that it catches and one that it leaves."""
    for kind in screen_kinds("en"):
        assert {bool(caught) for k, _, caught in SENTENCES if k == kind} == {True, False}, kind


# Figures so far off that some arithmetic refuses them; nothing may be raised, and nothing may pass.
STRANGE = (
    {"bays[B1].rail.underside": "-5 ft"},
    {"vehicles[tanker].deck": "200 ft"},
    {"bays[B1].parking.lateral": "-9 ft"},
    {"limits.stretch": "-3 ft"},
    {"limits.line_angle.value": "0 deg", "equipment[D-1].angle_max": "0 deg"},
    {"limits.d_ring.standing": "0 ft"},
    {"equipment[D-1].arrest_distance": "-2 ft"},
    {"bays[B1].rail.trolley_lag": "-4 ft"},
    {"bays[B1].rail.deflection": "-1 ft"},
    {"vehicles[tanker].sides[left].lower.height": "40 ft"},
    {"rescue.methods[M2].steps[alarm].after": ["lower"]},
)


@pytest.mark.parametrize("change", STRANGE, ids=lambda c: next(iter(c)) + " " + str(next(iter(c.values()))))
def test_strange_figures_raise_nothing_and_pass_nowhere(change):
    """A figure that no arithmetic takes becomes a finding that stops the issue."""
    data = changed(clean().data, change)
    site = build(Source("profile.yaml", "", data, clean().marks, ()))
    assessed = assess(site, load("US-NE", "general-industry", AS_OF), AS_OF)
    assert any(f.severity == "must-fix" and f.stops == "issue" for f in assessed.findings)
