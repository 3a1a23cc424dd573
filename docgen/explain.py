"""What a name means: a finding, a calculation, a question of law, a citation, a profile field; and how a site's number came out."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterator
from datetime import date
from difflib import get_close_matches
from typing import Any, NamedTuple

from docgen import units
from docgen.calc.catalogue import catalogue, valid_for
from docgen.calc.formula import KINDS, Calculation
from docgen.checked import Assessed
from docgen.codes import Answer, Code, known, load, question, questions
from docgen.engineering.model import RescueRow, Value, Working
from docgen.errors import UsageError
from docgen.findings import RULES
from docgen.findings.basis import basis_of
from docgen.findings.model import Assessment
from docgen.findings.rule import Rule
from docgen.resources import schema_text
from docgen.site import Quantity
from docgen.words import findings_words, meaning

__all__ = ["explain"]

WIDTH = 80
LANGUAGE = "en"


def explain(name: str, checked: Assessed | None, case: str | None, on: date) -> str:
    """Text about a name, at most 80 wide. UsageError, naming what comes near, for a name that nothing has."""
    asked = name.strip()
    for find in (_lists, _finding, _calculation, _question, _citation, _field):
        text = find(asked, checked, case, on)
        if text:
            return text
    near = get_close_matches(asked, _names(), n=4, cutoff=0.5)
    offer = f"; near it: {', '.join(near)}" if near else ""
    raise UsageError(f"nothing is called '{asked}'{offer}; 'docgen explain findings' and 'docgen explain codes' list names")


def _names() -> list[str]:
    parts = [n.split(".") for n in catalogue()]
    return [*(r.name for r in RULES), *questions(), *(p[1] for p in parts), *sorted({p[0] for p in parts})]


def _fill(text: str, indent: int = 0) -> str:
    return textwrap.fill(" ".join(text.split()), WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent)


def _row(label: str, text: str) -> str:
    return textwrap.fill(f"{label:<10} {' '.join(text.split())}", WIDTH, subsequent_indent=" " * 11)


def _code(checked: Assessed | None, on: date) -> Code:
    return checked.code if checked is not None else load("US", "general-industry", on)


# --- lists --------------------------------------------------------------------------------------------------------------


def _lists(name: str, checked: Assessed | None, case: str | None, on: date) -> str:
    if name == "findings":
        return _all_findings(_code(checked, on))
    if name == "codes":
        return _all_codes(on)
    if name == "elements":
        return _all_elements(checked)
    if name == "calculations":
        return "\n".join(_row(f"{n.split('.')[1]:<28}", meaning("formulas", n, LANGUAGE)) for n in catalogue()) + "\n"
    return ""


def _all_findings(code: Code) -> str:
    lines = [f"{'finding':<34} {'severity':<9} {'stops':<8} rests on"]
    for rule in RULES:
        basis = basis_of(rule, code, None)
        said = "" if basis.basis == "none" else f" ({basis.basis})"
        lines.append(f"{rule.name:<34} {rule.severity:<9} {rule.stops:<8} {basis.citation}{said}")
    return "\n".join([*lines, f"{len(RULES)} findings; basis for {code.name}, {code.sector}"]) + "\n"


def _all_codes(on: date) -> str:
    lines = [f"{'set':<22} {'sector':<18} {'answered':>8} {'inherited':>9} {'silent':>6} {'unread':>6} {'read':>5} {'memory':>6}"]
    for name in known():
        for sector in ("general-industry", "construction"):
            try:
                code = load(name, sector, on)
            except Exception as missing:  # a set may lack a sector, or not yet be in force on that day
                lines.append(f"{name:<22} {sector:<18} {str(missing)[:50]}")
                continue
            count = {"answered": 0, "inherited": 0, "silent": 0, "unread": 0, "read": 0, "memory": 0}
            for answer in code.answers():
                count[answer.state if answer.looked else "unread"] += 1
                if answer.state != "silent":
                    count[answer.basis] += 1
            lines.append(
                f"{name:<22} {sector:<18} {count['answered']:>8} {count['inherited']:>9} {count['silent']:>6} {count['unread']:>6} "
                f"{count['read']:>5} {count['memory']:>6}"
            )
    return "\n".join(lines) + "\n"


def _all_elements(checked: Assessed | None) -> str:
    """The published lists; for a site those that apply, and each merged element with its clauses or what is missing."""
    from docgen.codes.lists import element_lists, merged_elements

    if checked is None:
        lists = element_lists()
        lines = [f"{'list':<22} {'document':<9} {'items':>5} {'basis':<7} {'force':<14} citation"]
        lines += [f"{a.id:<22} {a.document:<9} {len(a.elements):>5} {a.basis:<7} {a.force:<14} {a.citation}" for a in lists]
        items = sum(len(a.elements) for a in lists)
        return "\n".join([*lines, f"{len(lists)} lists, {items} elements, {len(merged_elements())} merged"]) + "\n"
    from docgen.compose import all_bodies
    from docgen.compose.elements import applying, met

    written = all_bodies(checked.site, checked.code, checked.assessed)
    language = next(lang for by in written.values() for lang in by)
    found = met(checked.site, checked.assessed, {name: by[language] for name, by in written.items()}, language)
    lines = [_row("applies", f"{a.id}: {a.title}, {a.citation}") for a in applying(checked.site)]
    lines.append("")
    for m in found.values():
        lines.append(_row(m.id, f"{m.name}: " + (", ".join(m.clauses) if m.met else f"not met: {', '.join(m.missing)}")))
    lines.append(f"{checked.source.file}: {sum(m.met for m in found.values())} of {len(found)} met")
    return "\n".join(lines) + "\n"


# --- findings -----------------------------------------------------------------------------------------------------------


def _finding(name: str, checked: Assessed | None, case: str | None, on: date) -> str:
    rule = next((r for r in RULES if r.name == name), None)
    if rule is None:
        return ""
    words = findings_words("en")[name]
    basis = basis_of(rule, _code(checked, on), None)
    lines = [f"{name}: {words['title']}", ""]
    lines += [_row("severity", rule.severity), _row("stops", rule.stops), _row("documents", ", ".join(rule.documents))]
    lines += [_row("rests on", f"{basis.citation}" + ("" if basis.basis == "none" else f" (basis: {basis.basis})"))]
    lines += [
        _row(
            "accepted",
            "may be, with a name, a reason and an end date" if rule.acceptable else "never: mend it or prohibit the case",
        )
    ]
    lines += ["", _fill(words["why"]), "", _fill(_doc(rule)), "", _row("message", words["message"]), _row("do", words["action"])]
    if checked is not None:
        hits = [f for f in checked.assessed.findings if f.name == name]
        lines += ["", f"{checked.source.file}: " + (f"found {len(hits)} times" if hits else "not found")]
        lines += [f"  line {f.line}: {f.path}" for f in hits]
    return "\n".join(lines) + "\n"


def _doc(rule: Rule) -> str:
    return (rule.function.__doc__ or "").strip()


# --- calculations -------------------------------------------------------------------------------------------------------


def _calculation(name: str, checked: Assessed | None, case: str | None, on: date) -> str:
    # a clearance is nothing without its swing
    names = (name, "swing") if name == "clearance" else (name,)
    found = {n: f for n, f in catalogue().items() if {n, *n.split(".")} & set(names)}
    if not found:
        return ""
    if checked is not None:
        return _site_working(set(found), checked, case)
    return "\n".join(_function(f) for f in found.values())


def _function(function: Calculation[..., Any]) -> str:
    rule = function.formula
    lines = [f"{rule.name.split('.')[1]}: {meaning('formulas', rule.name, LANGUAGE)} [{KINDS[rule.gives]}]", f"    {rule.text}"]
    lines += [_row(f"    {t.symbol}", f"{meaning('terms', t.key, LANGUAGE)} [{KINDS[t.kind]}]") for _, t in rule.terms]
    valid = valid_for(function)
    if valid:
        lines.append(_row("    valid", valid))
    lines += [_row("    source", rule.cite), ""]
    return "\n".join(lines)


class _Worked(NamedTuple):
    """One record of a site with its working: what heads it, by which name it is asked for, whether it is shown unasked."""

    id: str
    head: str
    working: tuple[Working, ...]
    shown: bool
    corner: tuple[Working, ...] = ()
    missing: tuple[str, ...] = ()


def _worked(assessed: Assessment) -> Iterator[_Worked]:
    """Everything of a site that has a working: cases, load paths, further figures, rescue rows, due dates."""
    governing = any(c.governs for c in assessed.cases)
    for number, case in enumerate(assessed.cases):
        governs = f"; governs {', '.join(case.governs)}" if case.governs else ""
        head = f"case {case.id} ({case.permission}): {case.verdict}{governs}"
        shown = bool(case.governs) if governing else number == 0
        yield _Worked(case.id, head, case.working, shown, case.corner, case.missing)
    for chain in assessed.chains:
        yield _Worked(chain.system, f"load path of {chain.system}", chain.working, True, (), chain.unrated)
    for further in assessed.further:
        yield _Worked(further.id, f"further figures of {further.id}", further.working, True)
    slowest: dict[str, RescueRow] = {}
    for row in assessed.rescues:
        if row.ground is not None and (row.method not in slowest or _late(row) > _late(slowest[row.method])):
            slowest[row.method] = row
    for row in assessed.rescues:
        within = {True: "within the limits", False: "over a limit", None: "no limits to compare with"}[row.within]
        told = f"{within}; decided by {row.basis}" if row.contact is not None else "not computed"
        key = f"{row.bay}.{row.vehicle}.{row.method}.{row.shift}"
        yield _Worked(key, f"rescue {key}: {told}", row.working, slowest.get(row.method) is row, (), row.missing)
    for due in assessed.dues:
        yield _Worked(due.id, f"{due.what} of {due.id}, every {due.interval}", due.working, bool(due.working))


def _late(row: RescueRow) -> float:
    return row.ground.si if row.ground is not None else 0.0


def _site_working(names: set[str], checked: Assessed, asked: str | None) -> str:
    """The working of the records that use one of the formulas: the governing and slowest ones, or the one asked for."""
    records = list(_worked(checked.assessed))
    using = [r for r in records if names & {w.name for w in r.working}]
    if asked is not None:
        chosen = [r for r in using if r.id == asked] or [r for r in records if r.id == asked]
        if not chosen:
            near = get_close_matches(asked, [r.id for r in using or records], n=3, cutoff=0.3)
            raise UsageError(f"there is no case '{asked}'; near it: {', '.join(near) or 'none'}")
    else:
        chosen = [r for r in using if r.shown] or using[:1] or [r for r in records if r.shown][:1]
    system = checked.assessed.system
    lines: list[str] = []
    for one in chosen:
        lines.append(one.head)
        lines += list(_steps(one.working, names, system)) or ["  not computed: " + ", ".join(one.missing)]
        corner = list(_steps(one.corner, names, system))
        if corner:
            lines += ["", "  every stated tolerance the wrong way:", *corner]
        lines.append("")
    return "\n".join(lines)


def _steps(working: tuple[Working, ...], names: set[str], system: str) -> Iterator[str]:
    for step in working:
        if step.name not in names:
            continue
        about = f" ({step.what})" if step.what else ""
        yield _fill(meaning("formulas", step.name, LANGUAGE) + about, 2)
        yield f"      {step.formula}"
        yield _fill("; ".join(f"{i.symbol} = {_figure(i.value, system)}" for i in step.inputs), 6)
        yield f"      = {_figure(step.result, system)}"
        yield _fill(f"source: {step.source}", 6)


def _figure(value: Value, system: str) -> str:
    match value:
        case Quantity():
            return units.exact(value.si, value.kind, system)
        case bool():
            return "yes" if value else "no"
        case None:
            return "none"
        case _:
            return str(value)


# --- law ----------------------------------------------------------------------------------------------------------------


def _question(name: str, checked: Assessed | None, case: str | None, on: date) -> str:
    if name not in questions():
        return ""
    code = _code(checked, on)
    asked = question(name)
    return "\n".join([f"{name}: {asked.asks}", "", *_answer(code.ask(name), code)]) + "\n"


def _answer(answer: Answer, code: Code) -> list[str]:
    lines = [_row("asked of", f"{code.name}, {code.sector}, on {code.on}")]
    if answer.state == "silent":
        lines.append(_row("state", "the text says nothing" if answer.looked else "not looked at"))
        lines += [_row("fallback", answer.fallback)] if answer.fallback else []
    else:
        said = answer.text or answer.says or ", ".join(answer.value if isinstance(answer.value, tuple) else [str(answer.value)])
        lines += [
            _row("state", f"{answer.state} by {answer.jurisdiction}"),
            _row("says", said),
            _row("citation", answer.citation),
        ]
        lines += [_row("text", f"{answer.title}, {answer.body}, {answer.edition}"), _row("force", answer.force)]
        lines += [_row("basis", answer.basis), _row("effective", f"{answer.effective} ({answer.effective_basis})")]
    lines.append(_row("reviewed", f"{answer.last_review} by {answer.reviewed_by}"))
    if answer.note:
        lines.append(_row("note", answer.note))
    return lines


def _citation(name: str, checked: Assessed | None, case: str | None, on: date) -> str:
    if not any(c.isdigit() for c in name):
        return ""
    code = _code(checked, on)
    plain = _squeezed(name)
    hits = [a for a in code.answers() if a.state != "silent" and plain in _squeezed(a.citation)]
    return "\n\n".join("\n".join([a.key, *_answer(a, code)]) for a in hits) + ("\n" if hits else "")


def _squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text).lower()


# --- profile fields -----------------------------------------------------------------------------------------------------


def _field(name: str, checked: Assessed | None, case: str | None, on: date) -> str:
    schema = json.loads(schema_text("site_profile"))
    node: dict[str, Any] | None = schema
    for step in re.sub(r"\[[^\]]*\]", "", name).split("."):
        node = _resolved(schema, node)
        node = _resolved(schema, node.get("items", node)) if node and "properties" not in node else node
        node = (node or {}).get("properties", {}).get(step)
        if node is None:
            return ""
    whole = _resolved(schema, node)
    lines = [name, "", _fill(node.get("description") or whole.get("description", ""))]
    examples = node.get("examples") or whole.get("examples")
    if examples:
        lines.append(_row("example", json.dumps(examples[0], ensure_ascii=False)))
    if "enum" in whole:
        lines.append(_row("one of", ", ".join(map(str, whole["enum"]))))
    if checked is not None:
        lines += _where_used(name, checked)
    return "\n".join(lines) + "\n"


def _resolved(schema: dict[str, Any], node: dict[str, Any] | None) -> dict[str, Any]:
    node = node or {}
    while "$ref" in node:
        node = {**schema["$defs"][node["$ref"].rsplit("/", 1)[1]], **{k: v for k, v in node.items() if k != "$ref"}}
    return node


def _where_used(name: str, checked: Assessed) -> list[str]:
    bare = re.sub(r"\[[^\]]*\]", "", name)
    paths = [p for p in checked.site.source_lines if p == name or re.sub(r"\[[^\]]*\]", "", p) == bare]
    lines = [""] if paths else ["", f"{checked.source.file} does not give it"]
    for path in paths:
        cases = [c.id for c in checked.assessed.cases if path in c.inputs]
        used = f"; used by {', '.join(cases)}" if cases else ""
        lines.append(_fill(f"{checked.source.file}:{checked.site.line(path)} {path}{used}"))
    return lines
