"""One line of the register: what a person who keeps many sites asks of each, as plain data that goes into a file and through a wire."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from docgen.checked import Assessed, Refused
from docgen.due import rows_of
from docgen.findings.model import Finding
from docgen.report import state_of_bay
from docgen.words import words

if TYPE_CHECKING:
    from docgen.compose.pieces import Body

__all__ = ["Row", "of_fault", "of_problems", "of_site"]

#: Names of fields and plain values, the same of every site.
Row = dict[str, Any]
AHEAD = timedelta(days=60)
EMPTY: Row = {
    "site": None, "jurisdiction": None, "sector": None, "problems": [], "fault": None, "bays": [], "papers": {}, "must_fix": {}, "fix_soon": {}, "advice": {},
    "stops_issue": [], "cases": 0, "computed": 0, "overdue": 0, "next_due": None, "lapsed": [], "issued": None, "models": [],
}  # fmt: skip


def of_site(
    checked: Assessed, name: str, client: str | None, language: str, bodies: Mapping[str, Mapping[str, Body]] | None
) -> Row:
    """The line of a site. `bodies` are those of every paper with a digest where a revision or an approval is on record, else they may be left out."""
    from docgen.compose.states import papers_of

    site, found, said = checked.site, checked.assessed.findings, words(language, checked.code.spelling)["terms"]
    last = next((r for r in reversed(checked.records.issued)), None)
    dues = rows_of(checked, AHEAD, language)
    coming = [d.due for d in dues if d.due is not None and d.state == "coming"]
    papers = papers_of(site, checked.code, checked.assessed, checked.records, bodies)
    return EMPTY | {
        "name": name, "client": client, "site": site.site.id, "called": site.site.name or site.site.id, "jurisdiction": site.site.jurisdiction,
        "sector": site.site.sector,
        "bays": [
            {"id": b.bay, "name": b.name, "state": state_of_bay(checked, b, language), "why": " ".join(said[f"closed-{r.reason}"] for r in b.reasons)} for b in checked.assessed.bays
        ],
        "papers": _counted(p.state for p in papers),
        "must_fix": _names(found, "must-fix"), "fix_soon": _names(found, "fix-soon"), "advice": _names(found, "advice"),
        "stops_issue": sorted({f.name for f in found if f.severity == "must-fix" and f.stops == "issue"}),
        "cases": len(checked.assessed.cases), "computed": sum(c.margin is not None for c in checked.assessed.cases),
        "overdue": sum(d.state != "coming" for d in dues), "next_due": _iso(min(coming, default=None)),
        "lapsed": _lapsed(checked, bodies) if bodies is not None else [],
        "issued": {"revision": last.revision, "on": last.on.isoformat()} if last else None,
        "models": sorted({p.model for p in site.equipment if p.model}),
    }  # fmt: skip


def of_problems(refused: Refused, name: str, client: str | None) -> Row:
    """The line of a profile with problems: nothing is known of its site."""
    told = [f"{p.file}:{p.line}:{p.column}: {p.path + ': ' if p.path else ''}{p.message}" for p in refused.problems]
    return EMPTY | {"name": name, "client": client, "called": name, "problems": told}


def of_fault(name: str, client: str | None, fault: str) -> Row:
    """The line of a site that could not be read or written at all."""
    return EMPTY | {"name": name, "client": client, "called": name, "fault": fault}


def _lapsed(checked: Assessed, bodies: Mapping[str, Mapping[str, Body]]) -> list[str]:
    """Papers and parts whose newest approval has lapsed and was not given again."""
    from docgen.compose.standing import approval_of
    from docgen.records import Text

    found = []
    for document, role in dict.fromkeys((a.document, a.role) for a in checked.records.approvals):
        texts = {
            lang: Text(b.document, b.language, b.digest, b.headings, b.clauses) for lang, b in bodies.get(document, {}).items()
        }
        newest = [approval_of(document, role, lang, texts, checked.records) for lang in texts]
        if any(one is not None and not one.stands for one in newest):
            found.append(f"{document}: {role}")
    return found


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day is not None else None


def _counted(states: Iterable[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for state in states:
        found[state] = found.get(state, 0) + 1
    return dict(sorted(found.items()))


def _names(found: Iterable[Finding], severity: str) -> dict[str, int]:
    return _counted(f.name for f in found if f.severity == severity)
