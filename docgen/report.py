"""Problems and findings as text for a terminal or as JSON. Decides nothing: one function a format."""

from __future__ import annotations

import hashlib
import json
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from docgen import units
from docgen.checked import Assessed, Checked, Refused
from docgen.engineering.model import Case, Chain, RescueRow
from docgen.findings.facts import documents_of
from docgen.findings.model import LOG, BayState, Finding
from docgen.findings.rule import SEVERITIES
from docgen.findings.states import PaperState, Waits, waits_for
from docgen.frozen import frozen
from docgen.site import Quantity
from docgen.site.facts import Fact
from docgen.words import basis_text, fact_who, fact_why, figures_of, finding_text, words

__all__ = [
    "ALL",
    "REPORTERS",
    "Choice",
    "as_json",
    "as_text",
    "bay_lines",
    "json_object",
    "json_of_many",
    "state_of_bay",
    "summary",
    "unprinted_lines",
    "waits_on",
]

WIDTH = 80
CROWDED = 12  # entries; above that, what need not be done before the issue takes one line each
MANY = 6  # lines named behind a file
FIRST = 3  # findings named at a bay
LINES = 5  # facts told in the text; the JSON object has all
STOPS = ("issue", "use", "nothing")
COLOURS = {"must-fix": "1;31", "fix-soon": "1;33", "advice": "1;36"}
BOLD = "1"


@frozen
class Choice:
    """What of the findings is shown: `only` these names, at least this `severity`; `colour` as an aid on a terminal.

    `more` is the command that shows one severity in full, with {severity} and {file}; nothing is said of it where it is empty.
    """

    only: tuple[str, ...] = ()
    severity: str | None = None
    colour: bool = False
    more: str = ""

    def takes(self, finding: Finding) -> bool:
        """Whether a finding is shown."""
        grave = self.severity is None or SEVERITIES.index(finding.severity) <= SEVERITIES.index(self.severity)
        return grave and (not self.only or finding.name in self.only)

    @property
    def filters(self) -> bool:
        """Whether anything may be left out."""
        return bool(self.only) or self.severity is not None


ALL = Choice()


def as_text(checked: Checked, language: str = "en", choice: Choice = ALL) -> str:
    """Grouped by severity, what stops the issue first, the same finding at several places once; at most 80 wide.

    Where there is much to do, what need not be done before the issue takes one line each. Ends in one line of counts.
    """
    if not isinstance(checked, Assessed):
        return _problems_text(checked, language)
    terms = words(language)["report"]
    findings = checked.assessed.findings
    shown = [f for f in findings if choice.takes(f)]
    groups = {s: _groups([f for f in shown if f.severity == s]) for s in SEVERITIES}
    crowded = not choice.filters and sum(len(g) for g in groups.values()) > CROWDED
    lines: list[str] = [] if choice.filters else list(_bays(checked, language))
    lines += [terms["first"], ""] if crowded else []
    for severity, entries in groups.items():
        if not entries:
            continue
        count = sum(len(e) for e in entries)
        lines += [_paint(f"{terms[severity]} ({count})", COLOURS[severity], choice), ""]
        if crowded and severity != "must-fix" and groups["must-fix"]:
            lines += _short_lines(checked, entries, severity, language, choice)
        else:
            lines += [line for entry in entries for line in _entry_lines(checked, entry, language, terms, choice)]
    if choice.filters:
        lines.append(terms["filtered"].format(shown=len(shown), all=len(findings)))
    else:
        lines += [*_to_find_out(checked, language), *_unprinted(checked, language)]
    return "\n".join([*lines, *_not_known(checked, terms), _counts(checked, terms)]) + "\n"


def summary(checked: Checked, language: str = "en", choice: Choice = ALL) -> str:
    """One site among many: which bays are closed or wait, and why, what stops the issue first, and the counts; of a refused profile its problems."""
    if not isinstance(checked, Assessed):
        return _problems_text(checked, language) + "\n"
    terms, site = words(language)["report"], checked.site.site
    lines = [_paint(site.name or site.id, BOLD, choice)]
    lines += [
        f"  {line}"
        for line in bay_lines(checked, (b for b in checked.assessed.bays if b.shut or waits_on(checked, b, language)), language)
    ]
    stopping = [f for f in checked.assessed.findings if f.severity == "must-fix" and f.stops == "issue"]
    if names := list(dict.fromkeys(f.name for f in stopping)):
        lines += _wrapped(terms["stopped"].format(names=", ".join(names[:FIRST]), n=len(names)), "  ")
    return "\n".join([*lines, f"  {_counts(checked, terms)}", "", ""])


def _bays(checked: Assessed, language: str) -> Iterator[str]:
    """What `bay_lines` says of every bay; then an empty line."""
    yield from bay_lines(checked, checked.assessed.bays, language)
    if (n := changed_since(checked)) is not None and not all(bay.shut for bay in checked.assessed.bays):
        yield from _wrapped(words(language)["report"]["changed_since"].format(n=n, file=checked.source.file), "")
    if checked.assessed.bays:
        yield ""


def changed_since(checked: Assessed) -> int | None:
    """The newest revision in force, where the profile is no longer the one that it was made from; None where it is, or nothing is issued."""
    newest = next((r for r in reversed(checked.records.issued) if checked.records.withdrawal_of(r.revision) is None), None)
    if newest is None or newest.digests.profile == hashlib.sha256(checked.source.whole.encode("utf-8")).hexdigest():
        return None
    return newest.revision


def waits_on(checked: Assessed, bay: BayState, language: str = "en") -> Waits | None:
    """What a bay still waits for that is not closed, as `waits_for` has it; None of a closed one."""
    return None if bay.shut else waits_for(checked.site, checked.happened, checked.records, bay.bay, language)


def state_of_bay(checked: Assessed, bay: BayState, language: str = "en") -> str:
    """The state of a bay by findings, log and papers together: `waiting` where nothing that was found closes it and it waits for its papers."""
    return "waiting" if waits_on(checked, bay, language) else bay.state


def bay_lines(checked: Assessed, bays: Iterable[BayState], language: str) -> Iterator[str]:
    """A bay: open, not yet by its papers, or closed, in which way, why, and where to begin."""
    said, terms = words(language, checked.code.spelling)["terms"], words(language)["report"]
    for bay in bays:
        if waits := waits_on(checked, bay, language):
            yield from _wrapped(f"{bay.name}: {terms[f'waits_{waits}']}", "")
            continue
        reasons = " ".join(said[f"closed-{r.reason}"] for r in bay.reasons)
        yield from _wrapped(f"{bay.name}: {said[f'bay-{bay.state}']}.{' ' if reasons else ''}{reasons}", "")
        if names := list(dict.fromkeys(name for r in bay.reasons for name in r.findings)):
            key = "opens" if bay.state == "closed-by-decision" else "begin"
            yield from _wrapped(terms[key].format(names=", ".join(names[:FIRST]), n=len(names)), "    ")


def _to_find_out(checked: Assessed, language: str) -> Iterator[str]:
    """How many facts are asked for, and the first lines of the list, those that close a bay before the others; then an empty line."""
    facts, terms = checked.view.facts, words(language)["report"]
    if not facts:
        return
    closing = sum(1 for f in facts if f.need == "A")
    yield from _wrapped(terms["facts"].format(n=len(facts), closing=closing), "")
    for fact in facts[:LINES]:
        told = _fact(fact, language)
        where = f"{', '.join(fact.places)}: " if fact.places else ""
        how = f" ({'; '.join(told['how'])})" if told["how"] else ""
        yield from _wrapped(f"{where}{' '.join(fact.sentences)} {told['who']}{how}", "  - ")
    if len(facts) > LINES:
        yield f"  {terms['facts_more'].format(n=len(facts) - LINES)}"
    yield ""


def unprinted_lines(checked: Assessed, language: str) -> tuple[str, ...]:
    """One sentence on what is given and printed by no paper of this version; none where every value is printed."""
    n = len(checked.unprinted)
    return (str(words(language)["report"]["unprinted"].format(n=n)),) if n else ()


def _unprinted(checked: Assessed, language: str) -> Iterator[str]:
    """That sentence; then an empty line."""
    for line in unprinted_lines(checked, language):
        yield from _wrapped(line, "")
        yield ""


def _fact(fact: Fact, language: str) -> dict[str, Any]:
    """A fact that is asked for, in words."""
    return {
        "fields": list(fact.fields),
        "need": fact.need,
        "bays": list(fact.bays),
        "paths": list(fact.paths),
        "places": list(fact.places),
        "fact": list(fact.sentences),
        "why": fact_why(fact, language),
        "who": fact_who(fact, language),
        "how": list(fact.read_off),
        "documents": list(documents_of((fact,))),
    }


def _not_known(checked: Assessed, terms: Mapping[str, Any]) -> Iterator[str]:
    """One line a value that the profile says is not known, with whom was asked and when; then an empty one."""
    if not checked.not_known:
        return
    yield terms["not_known"].format(n=len(checked.not_known))
    for one in checked.not_known:
        asked = terms["asked"].format(whom=one.asked) if one.asked else ""
        on = terms["asked_on"].format(day=one.on.isoformat()) if one.on else ""
        yield f"  {Path(checked.source.file_of(one.mark)).name}:{one.mark.line} {one.path}{asked}{on}"
    yield ""


def _short_lines(checked: Assessed, entries: list[list[Finding]], severity: str, language: str, choice: Choice) -> list[str]:
    """One line an entry, and how to see more of them."""
    wide = max(len(_counted(e)) for e in entries)
    told = []
    if choice.more:
        more = words(language)["report"]["rest"].format(command=choice.more.format(severity=severity, file=checked.source.file))
        told = textwrap.wrap(
            more, WIDTH, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False, break_long_words=False
        )
    return [*(_short_line(checked, e, wide, language) for e in entries), *told, ""]


def _counts(checked: Assessed, terms: Mapping[str, Any]) -> str:
    """The last line: how many findings of each severity, how many accepted, how many cases on which day."""
    findings, accepted = checked.assessed.findings, checked.assessed.accepted
    counts = ", ".join(f"{sum(1 for f in findings if f.severity == s)} {terms['short'][s]}" for s in SEVERITIES)
    taken = f"; {len(accepted)} {terms['accepted']}" if accepted else ""
    cases, done = checked.assessed.cases, sum(1 for c in checked.assessed.cases if c.margin is not None)
    key = "cases_some" if done != len(cases) else "cases_one" if done == 1 else "cases"
    told = terms[key].format(n=len(cases), done=done, day=checked.as_of)
    return f"{checked.source.file}: {counts}{taken}. {told}"


def _groups(findings: list[Finding]) -> list[list[Finding]]:
    """Findings of one severity by name, what stops the issue before what closes a part, and that before the rest."""
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(finding.name, []).append(finding)
    return sorted(groups.values(), key=lambda g: STOPS.index(g[0].stops))


def _problems_text(checked: Refused, language: str) -> str:
    lines = []
    for p in checked.problems:
        lines.append(f"{p.file}:{p.line}:{p.column}: {p.path + ': ' if p.path else ''}{p.message}")
        for part in p.hint.splitlines():
            lead = "    " + part[: len(part) - len(part.lstrip())]
            lines.append(textwrap.fill(part.lstrip(), WIDTH, initial_indent=lead, subsequent_indent=lead))
    count = len(checked.problems)
    said = words(language)["report"]["problem" if count == 1 else "problems"]
    lines.append(f"{checked.source.file}: {said.format(n=count)}")
    return "\n".join(lines) + "\n"


def _paint(text: str, code: str, choice: Choice) -> str:
    return f"\x1b[{code}m{text}\x1b[0m" if choice.colour else text


def _where(checked: Assessed, entry: list[Finding]) -> str:
    """File and lines of an entry; a long list of lines is cut."""
    file = LOG if entry[0].file == LOG else Path(entry[0].origin or checked.source.file).name
    numbers = list(dict.fromkeys(f.line for f in entry if f.line and f.origin == entry[0].origin))
    if not numbers:
        return file
    shown = ", ".join(str(n) for n in numbers[:MANY])
    return f"{file}:{shown}{', ...' if len(numbers) > MANY else ''}"


def _head(checked: Assessed, entry: list[Finding], choice: Choice) -> str:
    """Name on the left, place on the right."""
    name, where = entry[0].name, _where(checked, entry)
    count = f" ({len(entry)})" if len(entry) > 1 else ""
    gap = max(WIDTH - 2 - len(name) - len(count) - len(where), 2)
    return f"  {_paint(name, BOLD, choice)}{count}{' ' * gap}{where}"


def _counted(entry: list[Finding]) -> str:
    return f"{entry[0].name} ({len(entry)})" if len(entry) > 1 else entry[0].name


def _short_line(checked: Assessed, entry: list[Finding], wide: int, language: str) -> str:
    title = finding_text(entry[0], "title", language, checked.assessed.system, checked.code.spelling)
    return f"  {_counted(entry):{wide}}  {textwrap.shorten(title, WIDTH - 4 - wide, placeholder='...')}"


def _entry_lines(checked: Assessed, entry: list[Finding], language: str, terms: Mapping[str, str], choice: Choice) -> list[str]:
    """A finding, or the same finding at several places told once: the places listed, or a message each; then what to do."""

    def said(finding: Finding, part: str) -> str:
        return finding_text(finding, part, language, checked.assessed.system, checked.code.spelling)

    lines = [_head(checked, entry, choice)]
    together = _together(entry, language)
    if len(entry) == 1:
        lines += _wrapped(said(entry[0], "message"), "    ")
    elif together is not None:
        lines += _wrapped(f"{said(entry[0], 'title')}: {', '.join(together.values())}.", "    ")
        entry = [replace(entry[0], values={**entry[0].values, **together})]
    else:
        for finding in entry:
            lines += _wrapped(said(finding, "message"), "    - ")
    for action in dict.fromkeys(said(f, "action") for f in entry):
        lines += _wrapped(action, f"    {terms['do']} ")
    return [*lines, ""]


def _wrapped(text: str, lead: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead), break_on_hyphens=False)


def _together(entry: list[Finding], language: str) -> dict[str, str] | None:
    """The one value in which several hits of a finding differ, all of them listed; None where they differ in more, or where the message tells more than it."""
    keys = [k for k in entry[0].values if len({f.values.get(k) for f in entry}) > 1]
    if len(entry) < 2 or len(keys) != 1 or not all(isinstance(f.values.get(keys[0]), str) for f in entry):
        return None
    if figures_of(entry[0].name, "message", language) - figures_of(entry[0].name, "action", language) - {keys[0]}:
        return None  # its title alone would drop what it tells of each
    return {keys[0]: ", ".join(dict.fromkeys(str(f.values[keys[0]]) for f in entry))}


def as_json(checked: Checked, language: str = "en", choice: Choice = ALL) -> str:
    """The JSON object of `json_object`, two-space indented."""
    return json.dumps(json_object(checked, language, choice), indent=2, ensure_ascii=False) + "\n"


def json_of_many(checked: Iterable[Checked], language: str = "en", choice: Choice = ALL) -> str:
    """The objects of several sites in one, two-space indented."""
    told = {"schema_version": 1, "sites": [json_object(c, language, choice) for c in checked]}
    return json.dumps(told, indent=2, ensure_ascii=False) + "\n"


def json_object(checked: Checked, language: str = "en", choice: Choice = ALL) -> dict[str, Any]:
    """Plain data as schemas/check_result.schema.json describes it. What was not computed is null."""
    result: dict[str, Any] = {
        "schema_version": 1,
        "profile": checked.source.file,
        "as_of": checked.as_of.isoformat(),
        "jurisdiction": checked.site.site.jurisdiction if isinstance(checked, Assessed) else None,
        "problems": [
            {"file": p.file, "line": p.line, "column": p.column, "path": p.path, "message": p.message, "hint": p.hint}
            for p in checked.problems
        ],
    }  # fmt: skip
    if not isinstance(checked, Assessed):
        return (
            result
            | {"changed_since": None}
            | {key: [] for key in ("bays", "papers", "findings", "facts", "unprinted", "cases", "chains", "rescue", "due")}
        )
    assessed, system = checked.assessed, checked.assessed.system
    said = words(language, checked.code.spelling)["terms"]
    return result | {
        "changed_since": changed_since(checked),
        "bays": [
            {
                "id": b.bay, "state": state_of_bay(checked, b, language), "waits_for": waits_on(checked, b, language),
                "reasons": [
                    {"reason": r.reason, "text": said[f"closed-{r.reason}"], "findings": list(r.findings)} for r in b.reasons
                ],
            }
            for b in assessed.bays
        ],
        "papers": [_paper(p, language) for p in checked.papers],
        "facts": [_fact(f, language) for f in checked.view.facts],
        "unprinted": list(checked.unprinted),
        "findings": [_finding(f, language, system, checked.code.spelling) for f in assessed.findings if choice.takes(f)],
        "cases": [_case(c, system) for c in assessed.cases],
        "chains": [_chain(c, system) for c in assessed.chains],
        "rescue": [_rescue(r, system) for r in assessed.rescues],
        "due": [
            {"what": d.what, "id": d.id, "last": _date(d.last), "interval": d.interval, "due": _date(d.due)} for d in assessed.dues
        ],
    }  # fmt: skip


def _paper(paper: PaperState, language: str) -> dict[str, Any]:
    said = words(language)["report"]["papers"]
    reasons = (
        [{"reason": paper.why, "text": said[paper.why].format(n=paper.revision), "findings": list(paper.names)}]
        if paper.why
        else []
    )
    return {
        "name": paper.name, "language": paper.language, "bay": paper.bay, "state": paper.state, "revision": paper.revision, "reasons": reasons,
    }  # fmt: skip


def _date(day: Any) -> str | None:
    return day.isoformat() if day is not None else None


def _quantity(quantity: Quantity | None, system: str, toward: str) -> dict[str, Any] | None:
    if quantity is None:
        return None
    unit = {"length": "m", "mass": "kg", "force": "N", "time": "s", "angle": "rad", "speed": "m/s"}[quantity.kind]
    return {"si": round(quantity.si, 9), "unit": unit, "text": units.show(quantity.si, quantity.kind, system, toward=toward)}


def _finding(finding: Finding, language: str, system: str, spelling: str) -> dict[str, Any]:
    return {
        "name": finding.name, "severity": finding.severity, "stops": finding.stops, "documents": list(finding.documents),
        "file": finding.file, "path": finding.path, "line": finding.line, "message": finding_text(finding, "message", language, system, spelling),
        "action": finding_text(finding, "action", language, system, spelling),
        "basis": {"kind": finding.basis.kind, "citation": basis_text(finding.basis, language), "basis": finding.basis.basis},
        "handling": _handling(finding),
    }  # fmt: skip


def _handling(finding: Finding) -> dict[str, Any] | None:
    entry = finding.handled
    if entry is None:
        return None
    return {
        "owner": entry.owner,
        "opened": _date(entry.opened),
        "due": _date(entry.due),
        "interim_protection": entry.interim_protection,
    }


def _case(c: Case, system: str) -> dict[str, Any]:
    def q(quantity: Quantity | None, toward: str) -> dict[str, Any] | None:
        return _quantity(quantity, system, toward)

    return {
        "id": c.id, "bay": c.bay, "vehicle": c.vehicle, "task": c.task, "posture": c.posture, "side": c.side,
        "permission": c.permission, "height": q(c.height, "down"), "offset": q(c.offset, "up"), "swing_drop": q(c.swing_drop, "up"),
        "swing_speed": q(c.swing_speed, "up"), "line_angle": q(c.line_angle, "up"), "lower_level": q(c.lower_level, "nearest"),
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
        "closed": list(r.closed), "turns": [
            {
                "post": t.post, "person": t.person, "step": t.step, "start": _quantity(t.start, system, "up"),
                "finish": _quantity(t.finish, system, "up"),
            }
            for t in r.turns
        ],
    }  # fmt: skip


REPORTERS: Mapping[str, Callable[..., str]] = {"text": as_text, "json": as_json}
