"""From the site and the law to numbers, cases and findings. `assess` is the way in; it prints nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING

from docgen.assess.cases import all_cases
from docgen.assess.chains import all_chains
from docgen.assess.dues import all_dues
from docgen.assess.findings import RULES, SEVERITIES, find
from docgen.assess.further import all_further
from docgen.assess.governing import Governed
from docgen.assess.model import Assessment, Finding
from docgen.assess.rescues import all_rescues
from docgen.assess.view import View
from docgen.private import NONE, Facts
from docgen.site import Handling, Site

if TYPE_CHECKING:
    from docgen.codes import Code

__all__ = ["assess", "with_findings"]


def assess(
    site: Site, code: Code, as_of: date, private: Facts = NONE, in_force: Mapping[tuple[str, str], tuple[int, date]] | None = None
) -> Assessment:
    """Compute all cases, chains, rescue rows and due dates, then look for everything that is wrong on that day.

    What is compared with the law is compared with the strictest rule that binds the site. CodeError for an owner's
    requirement that does not exist. `in_force`: (document, language) -> revision issued and its day, out of the records.
    """
    code = Governed(code, site)
    system = site.site.units or code.units
    cases = all_cases(site, system)
    rescues = all_rescues(site, cases)
    view = View(site, code, as_of, system, cases, all_chains(site), rescues, all_dues(site), private, in_force or {})
    findings, accepted = _live_with(view, find(view))
    return Assessment(
        path="assessment", as_of=as_of, system=system, cases=cases, chains=view.chains, rescues=rescues, dues=view.dues, further=all_further(site, code, cases), rulings=code.governs(), strict=code,
        findings=findings, accepted=accepted, by_id=MappingProxyType({c.id: c for c in cases}),
    )  # fmt: skip


def _live_with(view: View, findings: tuple[Finding, ...]) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Split off the findings that the profile accepts with a name, a reason and an end date still ahead."""
    acceptable = {r.name for r in RULES if r.acceptable}
    open_, accepted = [], []
    for finding in findings:
        taken = finding.name in acceptable and any(
            a.finding == finding.name
            and (a.at is None or finding.path.startswith(a.at))
            and a.until is not None
            and a.until >= view.as_of
            for a in view.site.accepted
        )
        (accepted if taken else open_).append(finding)
    return _owned(view.site, open_), tuple(accepted)


def _owned(site: Site, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Each finding with the open entry that says who sees to it, the one for its place before the one for any place."""
    entries = sorted((e for e in site.handling if e.closed_on is None), key=lambda e: -len(e.at or ""))
    if not entries:
        return tuple(findings)

    def entry(finding: Finding) -> Handling | None:
        return next((e for e in entries if e.finding == finding.name and finding.path.startswith(e.at or "")), None)

    return tuple(replace(f, handled=entry(f)) for f in findings)


def with_findings(site: Site, assessed: Assessment, more: tuple[Finding, ...]) -> Assessment:
    """The assessment with findings that only finished documents show, in their place among the others."""
    if not more:
        return assessed
    order = {rule.name: n for n, rule in enumerate(RULES)}
    merged = [*assessed.findings, *_owned(site, more)]
    merged.sort(key=lambda f: (SEVERITIES.index(f.severity), order[f.name], f.line or 0))
    return replace(assessed, findings=tuple(merged))
