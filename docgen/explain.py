"""What a name means: a finding, a calculation, a question of law, a citation, a profile field; and how a site's number came out."""

from __future__ import annotations

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
from docgen.codes import Answer, LawAlone, load, question, questions
from docgen.codes.needed import ever_needed
from docgen.codes.survey import SECTORS, counted, due_for_reading
from docgen.engineering.model import RescueRow, Value, Working
from docgen.errors import Refusal
from docgen.fields import fields, named, near, sections
from docgen.findings import RULES
from docgen.findings.basis import basis_of
from docgen.findings.model import Assessment
from docgen.findings.rule import Rule
from docgen.frozen import frozen
from docgen.guide import field_text, group_text, several_text, told
from docgen.site import Quantity
from docgen.words import basis_text, findings_words, meaning, words

__all__ = ["explain"]

WIDTH = 80


@frozen
class _Asked:
    """What is asked about, of which site and case, on which day, and the language of the answer."""

    name: str
    checked: Assessed | None
    case: str | None
    on: date
    language: str
    review: bool = False

    def said(self, key: str, **values: object) -> str:
        """A text of the words of the language, its places filled."""
        return str(words(self.language)["explain"][key]).format(**values)

    def row(self, key: str, text: str, indent: int = 0) -> str:
        """A label and what stands beside it."""
        return _row(" " * indent + self.said(key), text)

    @property
    def code(self) -> LawAlone:
        return self.checked.code if self.checked is not None else load("US", "general-industry", self.on)


def explain(name: str, checked: Assessed | None, case: str | None, on: date, language: str = "en", review: bool = False) -> str:
    """Text about a name, at most 80 wide. Refusal, naming what comes near, for a name that nothing has.

    `review` asks for the answers of law in the order in which they are due for reading.
    """
    asked = _Asked(name.strip(), checked, case, on, language, review)
    for find in (_lists, _section, _finding, _calculation, _question, _citation, _field):
        text = find(asked)
        if text:
            return text
    if close := near(asked.name, _names()):
        raise Refusal("nothing-called-so-but-near", asked=asked.name, near=close)
    raise Refusal("nothing-called-so", asked=asked.name)


def _names() -> list[str]:
    parts = [n.split(".") for n in catalogue()]
    known = [*(r.name for r in RULES), *questions(), *(p[1] for p in parts), *sorted({p[0] for p in parts})]
    return [*known, *(field.name for field in fields())]


def _fill(text: str, indent: int = 0) -> str:
    return textwrap.fill(" ".join(text.split()), WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent)


def _row(label: str, text: str) -> str:
    return textwrap.fill(f"{label:<10} {' '.join(text.split())}", WIDTH, subsequent_indent=" " * 11)


# --- lists --------------------------------------------------------------------------------------------------------------


def _lists(asked: _Asked) -> str:
    match asked.name:
        case "findings":
            return _all_findings(asked)
        case "fields":
            return told(None, "text", asked.on, asked.language)
        case "codes":
            return _all_codes(asked)
        case "elements":
            return _all_elements(asked)
        case "calculations":
            return "\n".join(_row(f"{n.split('.')[1]:<28}", meaning("formulas", n, asked.language)) for n in catalogue()) + "\n"
        case _:
            return ""


def _all_findings(asked: _Asked) -> str:
    head = {key: asked.said(key) for key in ("finding", "severity", "stops", "rests_on")}
    lines = [f"{head['finding']:<34} {head['severity']:<9} {head['stops']:<8} {head['rests_on']}"]
    for rule in RULES:
        basis = basis_of(rule, asked.code, None)
        said = "" if basis.basis == "none" else f" ({basis.basis})"
        lines.append(f"{rule.name:<34} {rule.severity:<9} {rule.stops:<8} {basis_text(basis, asked.language)}{said}")
    return "\n".join([*lines, asked.said("findings_end", n=len(RULES), name=asked.code.name, sector=asked.code.sector)]) + "\n"


STATES = (("answered", 8), ("inherited", 9), ("advised", 7), ("silent", 6), ("unread", 6))
BESIDE = ("beside", 6)
GRADES = (("official", 8), ("publisher", 9), ("copy", 5), ("secondary", 9), ("memory", 6))


def _all_codes(asked: _Asked) -> str:
    """Every set and sector: the questions that papers need by state, and the answers by what was seen of the words."""
    if asked.review:
        return _review(asked)
    heads = " ".join(f"{asked.said(key):>{wide}}" for key, wide in (*STATES, BESIDE))
    graded = " ".join(f"{asked.said(key):>{wide}}" for key, wide in GRADES)
    lines = [f"{asked.said('set'):<18} {asked.said('sector'):<16} {heads} | {graded}"]
    for count in counted(asked.on):
        if count.kind == "standard":
            continue
        if count.told:
            lines.append(f"{count.code:<18} {count.sector:<16} {count.told[:60]}")
            continue
        states = " ".join(f"{count.states[key]:>{wide}}" for key, wide in STATES) + f" {count.beside:>{BESIDE[1]}}"
        grades = " ".join(f"{count.grades[key]:>{wide}}" for key, wide in GRADES)
        lines.append(f"{count.code:<18} {count.sector:<16} {states} | {grades}")
    return "\n".join([*lines, asked.said("codes_end", n=len(ever_needed()))]) + "\n"


def _review(asked: _Asked) -> str:
    """The answers in the order in which they are due for reading: what nobody read first, then the oldest reading."""
    rows = due_for_reading(asked.on)
    lines = [f"{asked.said('read'):<10} {asked.said('grade'):<9} {asked.said('set'):<18} {asked.said('question')}"]
    for row in rows:
        sectors = "" if len(row.sectors) == len(SECTORS) else f" ({', '.join(row.sectors)})"
        lines.append(f"{row.read or '-':<10} {row.grade:<9} {row.code:<18} {row.key}{sectors}: {row.citation}")
        lines += [f"{'':<21}{asked.said('amended')} {a.on}: {a.by}" for a in row.amended]
        lines += [f"{'':<21}{asked.said('expected')} {day or asked.said('undated')}" for day in row.expected]
    later = sum(row.later for row in rows)
    return (
        "\n".join([*lines, asked.said("review_end", n=len(rows), later=later, never=sum(row.read is None for row in rows))])
        + "\n"
    )


def _all_elements(asked: _Asked) -> str:
    """The published lists; for a site those that apply, and each merged element with its clauses or what is missing."""
    from docgen.codes.lists import element_lists, merged_elements

    checked = asked.checked
    if checked is None:
        lists = element_lists()
        head = {key: asked.said(key) for key in ("list", "document", "items", "basis", "force", "citation")}
        lines = [
            f"{head['list']:<22} {head['document']:<9} {head['items']:>5} {head['basis']:<7} {head['force']:<14} {head['citation']}"
        ]
        lines += [f"{a.id:<22} {a.document:<9} {len(a.elements):>5} {a.basis:<7} {a.force:<14} {a.citation}" for a in lists]
        items = sum(len(a.elements) for a in lists)
        return "\n".join([*lines, asked.said("lists_end", lists=len(lists), items=items, merged=len(merged_elements()))]) + "\n"
    from docgen.compose import all_bodies
    from docgen.compose.elements import applying, met

    written = all_bodies(checked.site, checked.code, checked.assessed)
    language = next(lang for by in written.values() for lang in by)
    found = met(checked.site, checked.assessed, {name: by[language] for name, by in written.items()}, language)
    lines = [asked.row("applies", f"{a.id}: {a.title}, {a.citation}") for a in applying(checked.site)]
    lines.append("")
    for m in found.values():
        lines.append(
            _row(m.id, f"{m.name}: " + (", ".join(m.clauses) if m.met else asked.said("not_met", missing=", ".join(m.missing))))
        )
    lines.append(f"{checked.source.file}: {asked.said('met', n=sum(m.met for m in found.values()), all=len(found))}")
    return "\n".join(lines) + "\n"


# --- findings -----------------------------------------------------------------------------------------------------------


def _finding(asked: _Asked) -> str:
    rule = next((r for r in RULES if r.name == asked.name), None)
    if rule is None:
        return ""
    sentences = findings_words(asked.language)[rule.name]
    basis = basis_of(rule, asked.code, None)
    rests_on = basis_text(basis, asked.language)
    if basis.basis != "none":
        rests_on += f" ({asked.said('of_basis', basis=basis.basis)})"
    lines = [
        f"{rule.name}: {sentences['title']}", "",
        asked.row("severity", rule.severity), asked.row("stops", rule.stops), asked.row("documents", ", ".join(rule.documents)),
        asked.row("rests_on", rests_on), asked.row("accepted", asked.said("acceptable" if rule.acceptable else "never")), "",
        _fill(sentences["why"]), "", _fill(_doc(rule)), "",
        asked.row("message", sentences["message"]), asked.row("do", sentences["action"]),
    ]  # fmt: skip
    if asked.checked is not None:
        hits = [f for f in asked.checked.assessed.findings if f.name == rule.name]
        told = asked.said("found", n=len(hits)) if hits else asked.said("not_found")
        lines += ["", f"{asked.checked.source.file}: {told}"]
        lines += [f"  {asked.said('line', n=f.line)}: {f.path}" for f in hits]
    return "\n".join(lines) + "\n"


def _doc(rule: Rule) -> str:
    return (rule.function.__doc__ or "").strip()


# --- calculations -------------------------------------------------------------------------------------------------------


def _calculation(asked: _Asked) -> str:
    # a clearance is nothing without its swing
    names = (asked.name, "swing") if asked.name == "clearance" else (asked.name,)
    found = {n: f for n, f in catalogue().items() if {n, *n.split(".")} & set(names)}
    if not found:
        return ""
    if asked.checked is not None:
        return _site_working(asked, set(found), asked.checked)
    return "\n".join(_function(asked, f) for f in found.values())


def _function(asked: _Asked, function: Calculation[..., Any]) -> str:
    rule, language = function.formula, asked.language
    lines = [f"{rule.name.split('.')[1]}: {meaning('formulas', rule.name, language)} [{KINDS[rule.gives]}]", f"    {rule.text}"]
    lines += [_row(f"    {t.symbol}", f"{meaning('terms', t.key, language)} [{KINDS[t.kind]}]") for _, t in rule.terms]
    valid = valid_for(function)
    if valid:
        lines.append(asked.row("valid", valid, 4))
    lines += [asked.row("source", rule.cite, 4), ""]
    return "\n".join(lines)


class _Worked(NamedTuple):
    """One record of a site with its working: what heads it, by which name it is asked for, whether it is shown unasked."""

    id: str
    head: str
    working: tuple[Working, ...]
    shown: bool
    corner: tuple[Working, ...] = ()
    missing: tuple[str, ...] = ()


def _worked(asked: _Asked, assessed: Assessment) -> Iterator[_Worked]:
    """Everything of a site that has a working: cases, load paths, further figures, rescue rows, due dates."""
    governing = any(c.governs for c in assessed.cases)
    for number, case in enumerate(assessed.cases):
        governs = f"; {asked.said('governs', what=', '.join(case.governs))}" if case.governs else ""
        head = f"{asked.said('case', id=case.id)} ({case.permission}): {case.verdict}{governs}"
        shown = bool(case.governs) if governing else number == 0
        yield _Worked(case.id, head, case.working, shown, case.corner, case.missing)
    for chain in assessed.chains:
        yield _Worked(chain.system, asked.said("load_path", id=chain.system), chain.working, True, (), chain.unrated)
    for further in assessed.further:
        yield _Worked(further.id, asked.said("further", id=further.id), further.working, True)
    slowest: dict[str, RescueRow] = {}
    for row in assessed.rescues:
        if row.ground is not None and (row.method not in slowest or _late(row) > _late(slowest[row.method])):
            slowest[row.method] = row
    for row in assessed.rescues:
        key = f"{row.bay}.{row.vehicle}.{row.method}.{row.shift}"
        told = _outcome(asked, row)
        yield _Worked(key, asked.said("rescue", id=key, told=told), row.working, slowest.get(row.method) is row, (), row.missing)
    for due in assessed.dues:
        head = asked.said("due", what=words(asked.language)["terms"][due.what], id=due.id, interval=due.interval)
        yield _Worked(due.id, head, due.working, bool(due.working))


def _outcome(asked: _Asked, row: RescueRow) -> str:
    """Whether a rescue row keeps its limits, and what decides it."""
    if row.contact is None:
        return asked.said("no_result")
    key = "no_limits" if row.within is None else "within" if row.within else "over"
    return asked.said(key)


def _late(row: RescueRow) -> float:
    return row.ground.si if row.ground is not None else 0.0


def _site_working(asked: _Asked, names: set[str], checked: Assessed) -> str:
    """The working of the records that use one of the formulas: the governing and slowest ones, or the one asked for."""
    records, case = list(_worked(asked, checked.assessed)), asked.case
    using = [r for r in records if names & {w.name for w in r.working}]
    if case is not None:
        chosen = [r for r in using if r.id == case] or [r for r in records if r.id == case]
        if not chosen:
            near = get_close_matches(case, [r.id for r in using or records], n=3, cutoff=0.3)
            if near:
                raise Refusal("case-unknown-but-near", case=case, near=tuple(near))
            raise Refusal("case-unknown", case=case)
    else:
        chosen = [r for r in using if r.shown] or using[:1] or [r for r in records if r.shown][:1]
    system = checked.assessed.system
    lines: list[str] = []
    for one in chosen:
        lines.append(one.head)
        lines += list(_steps(asked, one.working, names, system)) or [
            f"  {asked.said('not_computed', missing=', '.join(one.missing))}"
        ]
        corner = list(_steps(asked, one.corner, names, system))
        if corner:
            lines += ["", f"  {asked.said('corner')}", *corner]
        lines.append("")
    return "\n".join(lines)


def _steps(asked: _Asked, working: tuple[Working, ...], names: set[str], system: str) -> Iterator[str]:
    for step in working:
        if step.name not in names:
            continue
        about = f" ({step.what})" if step.what else ""
        yield _fill(meaning("formulas", step.name, asked.language) + about, 2)
        yield f"      {step.formula}"
        yield _fill("; ".join(f"{i.symbol} = {_figure(asked, i.value, system)}" for i in step.inputs), 6)
        yield f"      = {_figure(asked, step.result, system, step.toward)}"
        yield _fill(f"{asked.said('source')}: {step.source}", 6)


def _figure(asked: _Asked, value: Value, system: str, toward: str = "nearest") -> str:
    match value:
        case Quantity():
            return units.exact(value.si, value.kind, system, toward=toward)
        case bool():
            return asked.said("yes" if value else "no")
        case None:
            return asked.said("none")
        case _:
            return str(value)


# --- law ----------------------------------------------------------------------------------------------------------------


def _question(asked: _Asked) -> str:
    if asked.name not in questions():
        return ""
    return "\n".join([f"{asked.name}: {question(asked.name).asks}", "", *_answer(asked, asked.code.ask(asked.name))]) + "\n"


def _answer(asked: _Asked, answer: Answer) -> list[str]:
    code = asked.code
    lines = [asked.row("asked_of", asked.said("set_on", name=code.name, sector=code.sector, day=code.on))]
    if answer.silent:
        lines.append(asked.row("state", asked.said("silent_text" if answer.looked else "not_looked")))
        lines += [asked.row("fallback", answer.fallback)] if answer.fallback else []
    else:
        said = answer.text or answer.says or ", ".join(answer.value if isinstance(answer.value, tuple) else [str(answer.value)])
        lines += [
            asked.row("state", asked.said("answered_by", state=answer.state, place=answer.jurisdiction)),
            asked.row("says", said), asked.row("citation", answer.citation),
            asked.row("text", f"{answer.title}, {answer.body}, {answer.edition}"), asked.row("force", answer.force),
            asked.row("basis", answer.basis), asked.row("effective", f"{answer.effective} ({answer.effective_basis})"),
        ]  # fmt: skip
    lines.append(asked.row("read", _read_as(asked, answer)))
    lines += [asked.row("amended", f"{a.on}: {a.by}" + (f" ({a.what})" if a.what else "")) for a in answer.amended_by]
    if answer.note:
        lines.append(asked.row("note", answer.note))
    return lines


def _read_as(asked: _Asked, answer: Answer) -> str:
    """How a text was read: the day, the copy and its grade; or that nobody read it."""
    if answer.silent:
        return asked.said("searched", day=answer.looked_on) if answer.looked_on else asked.said("nobody")
    read = answer.read
    if read is None:
        return asked.said("nobody")
    parts = [asked.said("read_in", day=read.on, copy=read.copy or answer.given_by, grade=read.grade), read.state, read.url]
    parts += [] if read.of == "words" else [asked.said(f"of_{read.of}")]
    parts += [] if read.paragraph else [asked.said("paragraph_recalled")]
    return "; ".join(part for part in parts if part)


def _citation(asked: _Asked) -> str:
    if not any(c.isdigit() for c in asked.name):
        return ""
    plain = _squeezed(asked.name)
    hits = [a for a in asked.code.answers() if not a.silent and plain in _squeezed(a.citation)]
    return "\n\n".join("\n".join([a.key, *_answer(asked, a)]) for a in hits) + ("\n" if hits else "")


def _squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text).lower()


# --- profile fields -----------------------------------------------------------------------------------------------------


def _section(asked: _Asked) -> str:
    """A section of the profile, before a family of calculations that is called like it; of a site the calculations are asked for."""
    section = next((field for field in sections() if field.name == asked.name), None)
    if section is None or asked.checked is not None:
        return ""
    calculations = [n.split(".")[1] for n in catalogue() if n.split(".")[0] == asked.name]
    more = words(asked.language)["guide"]["calculations"].format(names=", ".join(calculations))
    return group_text(section, asked.language) + (f"{_fill(more)}\n" if calculations else "")


def _field(asked: _Asked) -> str:
    """A field by its path or by a short name; several that may be meant are listed."""
    found = named(asked.name)
    if len(found) != 1:
        return several_text(asked.name, found, asked.language) if found else ""
    text = field_text(found[0], asked.language)
    if asked.checked is not None and not found[0].group:
        text += "\n".join(_where_used(asked, found[0].name, asked.checked)) + "\n"
    return text


def _where_used(asked: _Asked, bare: str, checked: Assessed) -> list[str]:
    paths = [p for p in checked.site.source_lines if p == asked.name or re.sub(r"\[[^\]]*\]", "", p) == bare]
    lines = [""] if paths else ["", asked.said("not_given", file=checked.source.file)]
    for path in paths:
        cases = [c.id for c in checked.assessed.cases if path in c.inputs]
        used = f"; {asked.said('used_by', cases=', '.join(cases))}" if cases else ""
        lines.append(_fill(f"{checked.source.file}:{checked.site.line(path)} {path}{used}"))
    return lines
