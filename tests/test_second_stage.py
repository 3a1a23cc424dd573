"""Findings about findings: one consistent report, whoever found the first ones, and each finding function runs once."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest
from support import AS_OF, changed, demo, judge

import docgen.findings
from docgen.codes import load
from docgen.compose import all_bodies
from docgen.compose.contradictions import contradictions
from docgen.findings import FIRST, SECOND, settled
from docgen.findings.basis import basis_of_practice
from docgen.findings.model import Finding
from docgen.findings.second import First
from docgen.pipeline import compared_site
from docgen.site import build

ABOUT = {rule.name for rule in SECOND}


def a_finding() -> Finding:
    """Some finding, to be put at a place."""
    return demo("cormorant-quay").assessed.findings[0]


@cache
def harrow():
    return demo("harrow-ridge")


def site_with(changes: dict[str, object]):
    """The clean demo with some of its profile changed."""
    checked = harrow()
    source = replace(checked.source, data=changed(checked.source.data, changes))
    return judge(source, build(source), load("US-NE", "general-industry", AS_OF))


def contradiction(checked) -> tuple[Finding, ...]:
    """What comparing shows when the notice says another figure in another language."""
    english = all_bodies(checked.site, checked.code, checked.assessed, wanted=("contractor-notice",))["contractor-notice"]["en"]
    target = next(c for c in english.clauses if "25\u00a0mph" in c.text or "25 mph" in c.text)
    clauses = tuple(replace(c, text=re.sub(r"25(.)mph", r"20\1mph", c.text)) if c.id == target.id else c for c in english.clauses)
    versions = {"contractor-notice": {"en": english, "es": replace(english, language="es", clauses=clauses)}}
    found = contradictions(versions, checked.site, checked.assessed.binding)
    assert [f.path for f in found] == ["document.languages"]
    return found


SEEN_TO = {
    "handling": [{"finding": "documents-contradict", "owner": "safety-manager", "due": "2026-12-01", "at": "document.languages"}]
}


def test_a_contradiction_that_is_seen_to_is_reported_once():
    """The finding stands with the entry of who sees to it; nothing says that the entry matches nothing."""
    checked = site_with(SEEN_TO)
    assessed = settled(checked.view, checked.assessed, checked.found, contradiction(checked), composed=True)
    (found,) = [f for f in assessed.findings if f.name == "documents-contradict"]
    assert found.handled is not None
    assert found.handled.owner == "safety-manager"
    assert not {f.name for f in assessed.findings} & ABOUT


def test_what_only_papers_show_is_not_judged_without_papers():
    """A plain check, or a comparison of some papers only, cannot know that no paper contradicts another."""
    checked = site_with(SEEN_TO)
    assert not {f.name for f in checked.assessed.findings} & ABOUT
    some, _ = compared_site(checked, ("contractor-notice",))
    assert not {f.name for f in some.assessed.findings} & ABOUT


def test_an_entry_that_matches_nothing_is_told_after_all_papers_were_compared():
    """Where all papers were compared and agree, the entry is one too many."""
    whole, _ = compared_site(site_with(SEEN_TO))
    assert {f.name for f in whole.assessed.findings} & ABOUT == {"handling-pointless"}


def of_papers(name: str, path: str) -> Finding:
    """A finding of an acceptable kind, as finished papers might show it."""
    rule = next(r for r in FIRST if r.name == name)
    assert rule.acceptable
    return Finding(name, rule.severity, rule.stops, rule.documents, path, None, {}, basis_of_practice())


def test_an_accepted_finding_of_papers_is_not_pointless():
    """An acceptance of what only finished papers show sets it aside and is not told to match nothing."""
    accepted = {
        "finding": "lighting-unstated",
        "at": "document",
        "by": "safety-manager",
        "reason": "Told to the crew",
        "until": "2027-01-01",
    }
    checked = site_with({"accepted": [accepted]})
    shown = (of_papers("lighting-unstated", "document"),)
    assessed = settled(checked.view, checked.assessed, checked.found, shown, composed=True)
    assert [f.name for f in assessed.accepted] == ["lighting-unstated"]
    assert not {f.name for f in assessed.findings} & (ABOUT | {"lighting-unstated"})


def test_a_second_contradiction_at_the_same_place_stands_too():
    """Two different contradictions at one place are two findings; the same one, found twice, is one."""
    checked = site_with({"contractors.check_in": "Report at the gate. The limit is 350 lb. The limit is 290 lb."})
    found = [f for f in checked.found if f.name == "documents-contradict"]
    one, other = found
    papers = (replace(one, values={**one.values, "one": "a third figure"}), other)
    assessed = settled(checked.view, checked.assessed, checked.found, papers, composed=True)
    told = [f.values["one"] for f in assessed.findings if f.name == "documents-contradict"]
    assert sorted(told) == sorted([one.values["one"], other.values["one"], "a third figure"])


def counted(rules, calls: Counter[str]):
    """The same rules, each of which counts its calls."""

    def counting(rule):
        def function(*given):
            calls[rule.name] += 1
            return rule.function(*given)

        return replace(rule, function=function)

    return tuple(counting(rule) for rule in rules)


@pytest.mark.parametrize("changes", [{}, SEEN_TO], ids=["plain", "with entries"])
def test_each_finding_runs_once(changes, monkeypatch):
    """A check asks each finding function once, however many entries speak about findings; comparing asks the second stage again only."""
    first, second = Counter(), Counter()
    monkeypatch.setattr(docgen.findings, "FIRST", counted(FIRST, first))
    monkeypatch.setattr(docgen.findings, "SECOND", counted(SECOND, second))
    checked = site_with(changes)
    assert first == {rule.name: 1 for rule in FIRST}
    assert second == {rule.name: 1 for rule in SECOND}
    compared_site(checked)
    assert first == {rule.name: 1 for rule in FIRST}
    assert second == {rule.name: 2 for rule in SECOND}


def test_a_place_ends_where_its_name_ends():
    """An entry for a place speaks of it and of what lies below it, not of another field whose name begins alike."""
    first = First(found=(replace(a_finding(), path="bays[B-1].rail_length"),), subjects={}, rules={}, composed=True)
    assert not first.stands(a_finding().name, "bays[B-1].rail")
    assert not first.stands(a_finding().name, "bays[B-1].rail_len")
    assert first.stands(a_finding().name, "bays[B-1].rail_length")
    assert first.stands(a_finding().name, "bays[B-1]")
    assert first.stands(a_finding().name, None)
