"""What is wrong. First every subject looks at the site and its numbers; then, once, the second stage looks at what was found.

found = first(view)                        what the profile and its numbers show
settled(view, numbers, found)              the second stage, acceptances, who sees to it; and what finished papers show, where
                                           papers were compared
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from docgen.engineering.model import Numbers
from docgen.findings import (
    allowances,
    along,
    anchorage,
    chain,
    contractors,
    device,
    document,
    drills,
    equipment,
    facts,
    geometry,
    law,
    logs,
    methods,
    people,
    place,
    postings,
    posts,
    proofs,
    rail,
    replaced,
    rescue,
    rescue_gear,
    roster,
    second,
    sense,
    structure,
    survey,
    swing,
    tolerances,
    wording,
)
from docgen.findings.basis import basis_of
from docgen.findings.common import below
from docgen.findings.model import Assessment, BayState, Finding
from docgen.findings.rule import SEVERITIES, Rule, registered
from docgen.findings.second import First
from docgen.findings.states import bay_states, reason_of
from docgen.findings.view import Hit, View
from docgen.site import Handling, Site

__all__ = ["FIRST", "RULES", "SECOND", "SUBJECTS", "about", "closing", "first", "planned", "settled"]

SUBJECTS = (
    survey, facts, sense, proofs, allowances, along, geometry, tolerances, swing, rail, device, chain, anchorage, structure, equipment, replaced, place, people, roster, posts, rescue, methods, drills,
    rescue_gear, contractors, wording, law,
    document, postings, logs,
)  # fmt: skip
FIRST = tuple(rule for subject in SUBJECTS for rule in registered(subject))
SECOND = registered(second)
RULES = FIRST + SECOND
#: Name of a finding -> its subject.
SUBJECT = {rule.name: rule.function.__module__.rpartition(".")[2] for rule in RULES}
_CLOSING = tuple(
    r
    for r in FIRST
    if r.severity == "must-fix" and r.stops == "issue" and reason_of(r.name, SUBJECT[r.name], "issue") is not None
)
_ORDER = {rule.name: n for n, rule in enumerate(RULES)}


def first(view: View, rules: Iterable[Rule] | None = None) -> tuple[Finding, ...]:
    """What the subjects (or these rules of theirs) find, most severe first, then in the order of the rules, then by profile line."""
    asked = FIRST if rules is None else rules
    return _sorted(found for rule in asked for found in _found(view, rule, rule.function(view)))


def closing(view: View) -> tuple[Finding, ...]:
    """What closes a bay until the profile changes: the must-fix findings of the first stage that can."""
    return first(view, _CLOSING)


def planned(view: View, if_open: View | None) -> tuple[BayState, ...]:
    """The state of each bay by the profile alone, on the day of the view; `if_open`: the same view as if no bay were closed by decision."""
    behind = closing(if_open) if if_open is not None else ()
    return bay_states(view.site, closing(view), behind, SUBJECT)


def _found(view: View, rule: Rule, hits: Iterable[Hit]) -> Iterable[Finding]:
    """Each hit of one rule once, with what it rests on."""
    seen, basis = set(), None
    for hit in hits:
        same = (hit.path, tuple(hit.values.items()))
        if same in seen:
            continue
        seen.add(same)
        basis = basis or basis_of(rule, view.binding, view.site.country)
        own = hit.basis or basis
        yield Finding(
            name=rule.name, severity=rule.severity, stops=rule.stops,
            documents=rule.documents if hit.documents is None else hit.documents, path=hit.path, line=view.line(hit.path), about=hit.about or hit.path,
            values=hit.values, basis=own, origin=view.origin(hit.path),
        )  # fmt: skip


def _sorted(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda f: (SEVERITIES.index(f.severity), _ORDER[f.name], f.origin, f.line or 0)))


def settled(
    view: View, numbers: Numbers, found: tuple[Finding, ...], of_papers: tuple[Finding, ...] = (), composed: bool = False,
    if_open: tuple[Finding, ...] = (), planned: tuple[BayState, ...] = (),
) -> Assessment:  # fmt: skip
    """The assessment: what was found, what finished papers show besides, and findings about all of these.

    What the papers show and the profile shows too stands once. `composed`: all papers were compared, so that whatever they can
    show is known. `if_open`: what would stand were no bay closed by decision; `planned`: the bays as papers are composed for them. A finding
    that the profile accepts by name and with an end date still ahead is set aside.
    """
    known = {_same(f) for f in found}
    stands = _sorted((*found, *(f for f in of_papers if _same(f) not in known)))
    open_, accepted = _accepted(view, _sorted((*stands, *about(view, stands, composed))))
    return Assessment(
        path="assessment", as_of=view.as_of, system=view.system, cases=numbers.cases, chains=numbers.chains, rescues=numbers.rescues,
        dues=view.dues, further=numbers.further, by_id=numbers.by_id, rulings=view.binding.governs(), binding=view.binding,
        findings=_owned(view.site, open_), accepted=accepted, bays=bay_states(view.site, open_, if_open, SUBJECT), planned=planned,
    )  # fmt: skip


def _same(finding: Finding) -> tuple[object, ...]:
    """What makes two findings one: the same fault at the same place with the same values."""
    return (finding.name, finding.path, tuple(finding.values.items()))


def about(view: View, stands: tuple[Finding, ...], composed: bool) -> tuple[Finding, ...]:
    """The second stage: findings about those that stand. `composed`: all finished papers were compared too."""
    whole = First(stands, {r.name: r for r in FIRST}, {r.name: r for r in RULES}, composed)
    return _sorted(f for rule in SECOND for f in _found(view, rule, rule.function(view, whole)))


def _accepted(view: View, findings: tuple[Finding, ...]) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Split off the findings that the profile accepts with a name, a reason and an end date still ahead."""
    acceptable = {r.name for r in RULES if r.acceptable}
    live = [a for a in view.site.accepted if a.until is not None and a.until >= view.as_of and a.finding in acceptable]
    taken = [any(a.finding == f.name and below(f.path, a.at) for a in live) for f in findings]
    return tuple(f for f, t in zip(findings, taken, strict=True) if not t), tuple(
        f for f, t in zip(findings, taken, strict=True) if t
    )


def _owned(site: Site, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Each finding with the open entry that says who sees to it, the one for its place before the one for any place."""
    entries = sorted((e for e in site.handling if e.closed_on is None), key=lambda e: -len(e.at or ""))
    if not entries:
        return findings

    def entry(finding: Finding) -> Handling | None:
        return next((e for e in entries if e.finding == finding.name and below(finding.path, e.at)), None)

    return tuple(replace(f, handled=entry(f)) for f in findings)
