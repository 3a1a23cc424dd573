"""From the site and the law to numbers, cases and findings. `assess` is the way in; it prints nothing."""

from __future__ import annotations

from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING

from docgen.assess.cases import all_cases
from docgen.assess.chains import all_chains
from docgen.assess.dues import all_dues
from docgen.assess.findings import RULES, find
from docgen.assess.further import all_further
from docgen.assess.model import Assessment, Finding
from docgen.assess.rescues import all_rescues
from docgen.assess.view import View
from docgen.site import Site

if TYPE_CHECKING:
    from docgen.codes import Code

__all__ = ["assess"]


def assess(site: Site, code: Code, as_of: date) -> Assessment:
    """Compute all cases, chains, rescue rows and due dates, then look for everything that is wrong on that day."""
    system = site.site.units or code.units
    cases = all_cases(site, system)
    rescues = all_rescues(site, cases)
    view = View(site, code, as_of, system, cases, all_chains(site), rescues, all_dues(site))
    findings, accepted = _live_with(view, find(view))
    return Assessment(
        path="assessment", as_of=as_of, system=system, cases=cases, chains=view.chains, rescues=rescues, dues=view.dues, further=all_further(site, code, cases),
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
    return tuple(open_), tuple(accepted)
