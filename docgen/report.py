"""Problems and findings as text for a terminal or as JSON. Decides nothing: one function a format."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from docgen import units
from docgen.assess.model import Case, Chain, Finding, RescueRow
from docgen.site import Quantity
from docgen.words import finding_text, words

if TYPE_CHECKING:
    from docgen.checked import Checked

__all__ = ["REPORTERS", "as_json", "as_text", "json_object"]

WIDTH = 80


def as_text(checked: Checked, language: str = "en") -> str:
    """Grouped by severity, most severe first, at most 80 wide; ends in one line of counts."""
    if checked.problems:
        return _problems_text(checked)
    terms = words(language)["report"]
    lines: list[str] = []
    findings = checked.assessed.findings
    for severity in ("must-fix", "fix-soon", "advice"):
        group = [f for f in findings if f.severity == severity]
        if not group:
            continue
        lines += [f"{terms[severity]} ({len(group)})", ""]
        for finding in group:
            lines += _finding_lines(checked, finding, language, terms)
    counts = ", ".join(
        f"{sum(1 for f in findings if f.severity == s)} {terms['short'][s]}" for s in ("must-fix", "fix-soon", "advice")
    )
    accepted = f"; {len(checked.assessed.accepted)} {terms['accepted']}" if checked.assessed.accepted else ""
    lines.append(
        f"{checked.source.file}: {counts}{accepted}. {terms['cases'].format(n=len(checked.assessed.cases), day=checked.as_of)}"
    )
    return "\n".join(lines) + "\n"


def _problems_text(checked: Checked) -> str:
    lines = []
    for p in checked.problems:
        lines.append(f"{p.file}:{p.line}:{p.column}: {p.path + ': ' if p.path else ''}{p.message}")
        if p.hint:
            lines.append(textwrap.fill(p.hint, WIDTH, initial_indent="    ", subsequent_indent="    "))
    count = len(checked.problems)
    lines.append(f"{checked.source.file}: {count} problem{'s' if count != 1 else ''} to put right first")
    return "\n".join(lines) + "\n"


def _finding_lines(checked: Checked, finding: Finding, language: str, terms: Mapping[str, str]) -> list[str]:
    where = f"{checked.source.file}:{finding.line}" if finding.line else checked.source.file
    text = finding_text(finding, "message", language, checked.assessed.system)
    action = finding_text(finding, "action", language, checked.assessed.system)
    lines = [f"  {finding.name}  {where}"]
    lines.append(textwrap.fill(text, WIDTH, initial_indent="    ", subsequent_indent="    "))
    if action:
        lead = f"    {terms['do']} "
        lines.append(textwrap.fill(action, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead)))
    lines.append("")
    return lines


def as_json(checked: Checked, language: str = "en") -> str:
    """The JSON object of `json_object`, two-space indented."""
    return json.dumps(json_object(checked, language), indent=2, ensure_ascii=False) + "\n"


def json_object(checked: Checked, language: str = "en") -> dict[str, Any]:
    """Plain data as schemas/check_result.schema.json describes it. What was not computed is null."""
    assessed, site = checked.assessed, checked.site
    result: dict[str, Any] = {
        "schema_version": 1,
        "profile": checked.source.file,
        "as_of": checked.as_of.isoformat(),
        "jurisdiction": site.site.jurisdiction if site else None,
        "problems": [
            {"file": p.file, "line": p.line, "column": p.column, "path": p.path, "message": p.message, "hint": p.hint}
            for p in checked.problems
        ],
    }  # fmt: skip
    if assessed is None:
        return result | {"findings": [], "cases": [], "chains": [], "rescue": [], "due": []}
    system = assessed.system
    return result | {
        "findings": [_finding(f, language, system) for f in assessed.findings],
        "cases": [_case(c, system) for c in assessed.cases],
        "chains": [_chain(c, system) for c in assessed.chains],
        "rescue": [_rescue(r, system) for r in assessed.rescues],
        "due": [
            {"what": d.what, "id": d.id, "last": _date(d.last), "interval": d.interval, "due": _date(d.due)} for d in assessed.dues
        ],
    }  # fmt: skip


def _date(day: Any) -> str | None:
    return day.isoformat() if day is not None else None


def _quantity(quantity: Quantity | None, system: str, toward: str) -> dict[str, Any] | None:
    if quantity is None:
        return None
    unit = {"length": "m", "mass": "kg", "force": "N", "time": "s", "angle": "rad", "speed": "m/s"}[quantity.kind]
    return {"si": round(quantity.si, 9), "unit": unit, "text": units.show(quantity.si, quantity.kind, system, toward=toward)}


def _finding(finding: Finding, language: str, system: str) -> dict[str, Any]:
    return {
        "name": finding.name, "severity": finding.severity, "stops": finding.stops, "documents": list(finding.documents),
        "path": finding.path, "line": finding.line, "message": finding_text(finding, "message", language, system),
        "action": finding_text(finding, "action", language, system),
        "basis": {"kind": finding.basis.kind, "citation": finding.basis.citation, "basis": finding.basis.basis},
    }  # fmt: skip


def _case(c: Case, system: str) -> dict[str, Any]:
    def q(quantity: Quantity | None, toward: str) -> dict[str, Any] | None:
        return _quantity(quantity, system, toward)

    return {
        "id": c.id, "bay": c.bay, "vehicle": c.vehicle, "task": c.task, "posture": c.posture, "side": c.side,
        "permission": c.permission, "height": q(c.height, "down"), "offset": q(c.offset, "up"), "swing_drop": q(c.swing_drop, "up"),
        "swing_speed": q(c.swing_speed, "up"), "line_angle": q(c.line_angle, "up"), "lower_level": q(c.lower_level, "up"),
        "required": q(c.required, "up"), "available": q(c.available, "down"), "margin": q(c.margin, "down"),
        "margin_worst": q(c.margin_worst, "down"), "largest_offset": q(c.largest_offset, "down"),
        "largest_offset_by": c.largest_offset_by, "governs": list(c.governs),
    }  # fmt: skip


def _chain(c: Chain, system: str) -> dict[str, Any]:
    return {
        "system": c.system, "limit": _quantity(c.limit, system, "down"), "governing": c.governing,
        "lower_limit": _quantity(c.lower_limit, system, "up"), "users": c.users,
    }  # fmt: skip


def _rescue(r: RescueRow, system: str) -> dict[str, Any]:
    return {
        "case": r.case, "method": r.method, "shift": r.shift, "contact": _quantity(r.contact, system, "up"),
        "contact_limit": _quantity(r.contact_limit, system, "down"), "ground": _quantity(r.ground, system, "up"),
        "ground_limit": _quantity(r.ground_limit, system, "down"), "within": r.within, "critical_steps": list(r.critical_steps),
    }  # fmt: skip


REPORTERS: Mapping[str, Callable[[Checked, str], str]] = {"text": as_text, "json": as_json}
