"""The one-page change brief for the crew talk: who may do what now, the new words by reader, what is to be done, lines to sign."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from docgen.codes import LawAlone
from docgen.compose.document import Document
from docgen.control.changes import Changes, ClauseChange, State, Tell, people_of
from docgen.control.kinds import Who
from docgen.control.page import paper
from docgen.control.plain import plain
from docgen.control.said import named, new_words, units
from docgen.control.say import control_words, label, role_title
from docgen.control.tell import document_title, hanging, when
from docgen.frozen import frozen
from docgen.papers import found, outline
from docgen.site import Site

__all__ = ["change_brief"]

ACROSS = 6  # cells in a row to sign, after the kind of reader
READERS: tuple[Who, ...] = ("users", "rescuers", "supervisors", "gate", "carriers", "contractors")
QUOTE = '"'
EVERYONE, MANY = "everyone", 3  # a paper for so many kinds of reader is told to all
#: Whom a word of the table of consequences means among those who sign; all others are told by other means than the talk.
SIGNS: Mapping[str, tuple[Who, ...]] = {"crew": ("users", "rescuers"), "person": ("users",), **{r: (r,) for r in READERS}}
#: Lines of a page and signs in a line at the size of type of the brief; what a heading and a row to sign take of them.
LINES, WIDE, HEADING, ROW = 50, 106, 3, 2


@frozen
class Reader:
    """One kind of reader: the name, who they are, and what they are told to do."""

    name: str
    title: str
    names: tuple[str, ...]
    do: tuple[str, ...] = ()


def change_brief(changes: Changes, site: Site, code: LawAlone, language: str) -> Document:
    """One page. New words stand whole; what finds no room is counted, with the papers to read."""
    t = control_words(language)
    said = plain(changes, language)
    readers = _readers(changes, t, language)
    due = list(
        dict.fromkeys(t["brief"]["due"].format(when=_upper(when(d, language)), what=d.what[language]) for d in changes.deadlines)
    )
    hang = hanging(changes, language, short=True)
    lapsed = ", ".join(
        dict.fromkeys(
            f"{document_title(s.approval.document, language)} ({role_title(s.approval.role, language)})"
            for s, _ in changes.approvals
            if not s.stands
        )
    )
    signed = t["brief"]["signed"].format(list=lapsed) if lapsed else ""
    rows = _rows(readers)
    heads = 2 + sum(map(bool, (said.permissions or said.others, due or hang or signed)))
    fixed = [
        *said.permissions,
        *due,
        *(f"{r.title} {', '.join((*r.names, *r.do))}" for r in readers),
        *hang,
        signed,
    ]
    room = LINES - 4 - HEADING * heads - sum(map(_height, fixed)) - ROW * (len(rows) + 2) - 2
    others = _first_of(said.others, room)
    room -= sum(map(_height, others))
    shown, left, papers = _fitting(changes, room, t, language)
    left += len(said.others) - len(others)
    values = {
        "site_name": site.site.name, "old": label(changes.old.number, language), "new": label(changes.new.number, language),
        "forbidden": list(said.forbidden), "bans_gone": list(said.bans_gone), "allowed": list(said.allowed), "others": others,
        "readers": [
            {"title": r.title, "names": ", ".join(r.names), "do": ". ".join(r.do), "words": [w for who, w in shown if who == r.name]}
            for r in (Reader(EVERYONE, str(t["readers"][EVERYONE]), ()), *readers)
        ],
        "more": t["brief"]["more"].format(n=left, papers=", ".join(papers) or str(t["brief"]["papers"])) if left else "",
        "due": due, "hang": hang, "signed": signed, "rows": rows, "nothing": changes.none and not changes.kinds,
    }  # fmt: skip
    return paper("change-brief", t["brief_title"], values, site, code, changes.as_of, language)


def _height(text: str) -> int:
    return math.ceil(len(text) / WIDE) if text else 0


def _first_of(lines: Iterable[str], room: int) -> list[str]:
    """As many lines from the first as there is room for; half of it is kept for the words of the papers."""
    kept: list[str] = []
    for line in lines:
        if sum(map(_height, kept)) + _height(line) > max(room // 2, 1):
            break
        kept.append(line)
    return kept


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _readers(changes: Changes, t: Mapping[str, Any], language: str) -> list[Reader]:
    """Everyone who is concerned: whom the kinds of change tell, and whose paper says something else now."""
    does: dict[Who, list[Tell]] = {}
    for row in changes.tell:
        for name in SIGNS.get(row.who, ()):
            does.setdefault(name, []).append(row)
    for clause in _worded(changes):
        for name in _of(clause.document):
            does.setdefault(name, [])
    if "users" in does and any(c.may_climb for c in changes.new.site.contractors.classes):
        does.setdefault("contractors", [])
    found_ = []
    for name in (n for n in READERS if n in does):
        rows = does[name]
        own = tuple(dict.fromkeys(n for row in rows if row.who in (name, "person") for n in row.names))
        climbing = tuple(c.name for c in changes.new.site.contractors.classes if c.may_climb)
        names = climbing if name == "contractors" else own or people_of(name, changes)
        do = tuple(dict.fromkeys(_upper(row.how[language]) for row in rows))
        found_.append(Reader(name, str(t["readers"][name]), names, do))
    return found_


def _worded(changes: Changes) -> list[ClauseChange]:
    """The clauses that say something else in a paper of the site: what hangs first, then the shorter paper."""
    said = [c for c in changes.clauses if c.how != "input" and _of(c.document)]
    return sorted(said, key=lambda c: _first(c.document))


def _of(document: str) -> tuple[Who, ...]:
    there = found(document)
    return there.told if there is not None and there.circle == "site" else ()


def _first(document: str) -> tuple[bool, float, int]:
    shown = outline(document)
    return not shown.posted, (shown.budget.words or math.inf if shown.budget else math.inf), shown.order


def _fitting(changes: Changes, room: int, t: Mapping[str, Any], language: str) -> tuple[list[tuple[str, str]], int, list[str]]:
    """(reader, new words) as far as there is room, how many clauses are left, and in which papers. What a reader was told once, alone or with everyone, is not told again."""
    shown: list[tuple[str, str]] = []
    known: dict[str, set[str]] = {}
    left, papers = 0, []
    for clause in _worded(changes):
        title, told = document_title(clause.document, language), _of(clause.document)
        reader = EVERYONE if len(told) >= MANY else told[0]
        heard = known.get(EVERYONE, set()) | known.get(reader, set())
        lines = [w for w in _new(clause, changes, t) if w not in heard]
        if set(units(_raw(changes.old, clause))).issuperset(lines):  # nothing is left of what is new in it
            continue
        line = f"{title}: {' '.join(w if w.rstrip(QUOTE)[-1:] in '.!?' else f'{w}.' for w in lines)}"
        if _height(line) > room:
            left += 1
            papers.append(title)
            continue
        room -= _height(line)
        known.setdefault(reader, set()).update(lines)
        shown.append((reader, line))
    return shown, left, list(dict.fromkeys(papers))


def _new(clause: ClauseChange, changes: Changes, t: Mapping[str, Any]) -> Iterable[str]:
    """What the clause says now, whole; of one that is gone, what of it the paper says no longer, to nobody or not to the same reader."""
    before = _raw(changes.old, clause)
    if clause.how == "removed":
        gone = [unit for unit in units(before) if not _still_said(unit, clause, changes)]
        return [t["brief"]["gone"].format(text=" ".join(gone))] if gone else []
    return new_words(before, _raw(changes.new, clause))


def _still_said(unit: str, clause: ClauseChange, changes: Changes) -> bool:
    """Whether one clause of the new paper says it to its end, to the same reader where it has one: `Visitor: stay with the escort.`

    "Do not climb." is not said by "Do not climb in thunder.": a ban that became narrower is told as gone.
    """
    text = changes.new.texts.get(clause.document, {}).get(clause.language)
    *reader, what = (re.escape(part.strip(" .").casefold()) for part in unit.split(": ", 1))
    wanted = [rf"(?<!\w){who}(?!\w)" for who in reader] + [rf"(?<!\w){what}(?=\s*(?:[.;:!?]|$))"]
    now = (" ".join(units(c.text)).casefold() for c in text.clauses) if text is not None else ()
    return any(all(re.search(one, said) for one in wanted) for said in now)


def _raw(state: State, clause: ClauseChange) -> str:
    """The clause in a state, its references with words; "" where it was or is not there."""
    text = state.texts.get(clause.document, {}).get(clause.language)
    clauses = {c.id: c.text for c in text.clauses} if text is not None else {}
    return named(clauses.get(clause.id, ""), {key.removeprefix(f"{clause.document}."): text for key, text in clauses.items()})


def _rows(readers: Iterable[Reader]) -> list[list[str]]:
    """Rows to sign: for climbers and rescuers their codes, each in a cell; two other kinds of reader share a row, with room for names."""
    rows, others = [], []
    for reader in readers:
        if reader.name not in ("users", "rescuers") or not reader.names:
            others.append(reader.title)
            continue
        for at in range(0, len(reader.names), ACROSS):
            cells = reader.names[at : at + ACROSS]
            rows.append([reader.title if at == 0 else "", *cells, *[""] * (ACROSS - len(cells))])
    for at in range(0, len(others), 2):
        first, second = (*others[at : at + 2], "")[:2]
        rows.append([first, "", "", second, *[""] * (ACROSS - 3)])
    return rows
