"""What the site page shows beside what every sheet of a day has: what stands behind a closure, and papers and findings in groups."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import PurePath
from typing import Any

from docgen.compose.contexts import SheetContext
from docgen.findings.model import BayState, Finding
from docgen.findings.states import bays_of
from docgen.papers import outline
from docgen.words import finding_text

__all__ = ["Glance"]

#: So many things that close a bay are told beside it; the rest is counted.
TOLD = 5
SEVERITIES = ("must-fix", "fix-soon", "advice")


class Glance:
    """The functions of the site page."""

    def __init__(self, context: SheetContext) -> None:
        self.context, self.site, self.assessed = context, context.inner.site, context.assessed

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function."""
        return {
            name: getattr(self, name)
            for name in (
                "closing",
                "to_do",
                "stopped",
                "files_in",
                "papers_by_state",
                "waiting_papers",
                "found_by_severity",
                "line_of",
            )
        }

    def closing(self, state: BayState) -> tuple[list[str], int]:
        """What was found that closes a bay, by title, each once: the first few, and how many more there are."""
        names = {name for reason in state.reasons for name in reason.findings}
        found = [
            f for f in self.assessed.findings
            if f.name in names and f.stops != "nothing" and (not (at := bays_of(self.site, f.about or f.path)) or state.bay in at)
        ]  # fmt: skip
        titles = list(dict.fromkeys(self._said(f, "title") for f in found))
        return titles[:TOLD], len(titles) - len(titles[:TOLD])

    def to_do(self, found: Iterable[Finding]) -> list[str]:
        """What to do about findings of one name, each sentence once."""
        return list(dict.fromkeys(self._said(f, "action") for f in found))

    def stopped(self, found: Iterable[Finding]) -> list[str]:
        """The papers whose issue findings stop, by their names in the middle of a sentence."""
        names = dict.fromkeys(name for f in found for name in f.documents)
        return [outline(name).called_in(self.context.inner.language) for name in names]

    def line_of(self, finding: Finding) -> str:
        """File and line where somebody who mends it looks, as `check` tells them; empty where there is none."""
        return f"{PurePath(finding.file).name}:{finding.line}" if finding.line else ""

    def _said(self, finding: Finding, part: str) -> str:
        inner = self.context.inner
        return finding_text(finding, part, inner.language, inner.numbers.system, inner.law.spelling)

    def files_in(self, circle: str, posted: bool = False) -> list[Mapping[str, Any]]:
        """The papers written with this page that are for one circle of readers; of the papers of the site those that hang there, or the others."""
        return [row for row in self.context.frame.files if row["circle"] == circle and row["posted"] == posted]

    def papers_by_state(self, files: Iterable[Mapping[str, Any]]) -> dict[str, int]:
        """How many papers there are in each state, of those that are approved and issued."""
        states = [row["state"] for row in files]
        return {state: states.count(state) for state in ("draft", "for-approval", "issued") if state in states}

    def waiting_papers(self) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
        """Papers that are not issued, by their names in the middle of a sentence, with the reasons; those with the same ones together."""
        found: dict[tuple[str, ...], dict[str, None]] = {}
        for paper in self.context.papers:
            if paper.frame.reasons:
                found.setdefault(paper.frame.reasons, {})[paper.outline.called_in(self.context.inner.language)] = None
        return [(tuple(names), reasons) for reasons, names in found.items()]

    def found_by_severity(self) -> list[tuple[str, int, list[list[Finding]]]]:
        """The open findings by severity, the gravest first, with their number; those of one name together. A severity without one is left out."""
        groups: dict[str, dict[str, list[Finding]]] = {severity: {} for severity in SEVERITIES}
        for finding in self.assessed.findings:
            groups[finding.severity].setdefault(finding.name, []).append(finding)
        return [(severity, sum(map(len, kinds.values())), list(kinds.values())) for severity, kinds in groups.items() if kinds]
