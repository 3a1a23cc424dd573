"""The one-page change brief for the crew talk: who may do what now, the new words by reader, what is to be done, lines to sign."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from docgen.codes import LawAlone
from docgen.compose.document import Document
from docgen.control.changes import Changes, ClauseChange, Tell
from docgen.control.kinds import Who
from docgen.control.page import paper
from docgen.control.plain import plain
from docgen.control.said import new_words, units
from docgen.control.say import control_words, label, role_title
from docgen.control.tell import document_title, hanging, told, when
from docgen.frozen import frozen
from docgen.papers import found, outline
from docgen.records import Text
from docgen.site import Site

__all__ = ["change_brief"]

ACROSS, LEAST = 4, 4  # cells in a row to sign; cells for a reader whose people the profile does not name
READERS: tuple[Who, ...] = ("users", "rescuers", "supervisors", "gate", "carriers", "contractors")
#: Whom a word of the table of consequences means among those who sign; all others are told by other means than the talk.
SIGNS: Mapping[str, tuple[Who, ...]] = {"crew": ("users", "rescuers"), "person": ("users",), **{r: (r,) for r in READERS}}
LINES, WIDE = 47, 104  # lines of a page, and signs in a line, at the size of type of the brief


@frozen
class Reader:
    """One kind of reader: the name, who they are, and what they are told to do."""

    name: Who
    title: str
    names: tuple[str, ...]
    do: tuple[str, ...]


def change_brief(changes: Changes, site: Site, code: LawAlone, language: str) -> Document:
    """One page. New words stand whole; what finds no room is counted, with the papers to read."""
    t = control_words(language)
    said = plain(changes, language)
    readers = _readers(changes, t, language)
    hang = [hanging(r, changes, language) for r in changes.replace]
    lapsed = ", ".join(
        dict.fromkeys(
            f"{document_title(s.approval.document, language)} ({role_title(s.approval.role, language)})"
            for s, _ in changes.approvals
            if not s.stands
        )
    )
    signed = t["brief"]["signed"].format(list=lapsed) if lapsed else ""
    rows = _rows(readers)
    fixed = [*said.permissions, *said.others, *(d for r in readers for d in r.do), *hang, signed]
    room = LINES - 5 - sum(map(_height, fixed)) - 2 * len(readers) - 2 * len(rows)
    told_words, left = _fitting(changes, room, language)
    values = {
        "site_name": site.site.name, "old": label(changes.old.number, language), "new": label(changes.new.number, language),
        "forbidden": list(said.forbidden), "bans_gone": list(said.bans_gone), "allowed": list(said.allowed), "others": list(said.others),
        "readers": [
            {"title": _titled(r, t), "do": list(r.do), "words": [w for who, w in told_words if who == r.name]} for r in readers
        ],
        "more": t["brief"]["more"].format(n=left[0], papers=", ".join(left[1])) if left[0] else "",
        "hang": hang, "signed": signed, "rows": rows, "nothing": changes.none and not changes.kinds,
    }  # fmt: skip
    return paper("change-brief", t["brief_title"], values, site, code, changes.as_of, language)


def _height(text: str) -> int:
    return math.ceil(len(text) / WIDE) if text else 0


def _titled(reader: Reader, t: Mapping[str, Any]) -> str:
    return str(t["brief"]["names"]).format(who=reader.title, names=", ".join(reader.names)) if reader.names else reader.title


def _readers(changes: Changes, t: Mapping[str, Any], language: str) -> list[Reader]:
    """Everyone who is concerned: whom the kinds of change tell, and whose paper says something else now."""
    does: dict[Who, list[Tell]] = {}
    for row in changes.tell:
        for name in SIGNS.get(row.who, ()):
            does.setdefault(name, []).append(row)
    for clause in _worded(changes):
        for name in _of(clause.document):
            does.setdefault(name, [])
    found_ = []
    for name in (n for n in READERS if n in does):
        rows = does[name]
        names = tuple(dict.fromkeys(n for row in rows if row.who in (name, "person") for n in row.names)) or told(name, changes)
        do = []
        for row in rows:
            due = [when(d, language) for d in changes.deadlines if d.kind == row.kind]
            do.append(f"{row.how[language]}{f' ({due[0]})' if due else ''}".strip())
        found_.append(Reader(name, str(t["readers"][name]), names, tuple(dict.fromkeys(do))))
    return found_


def _worded(changes: Changes) -> list[ClauseChange]:
    """The clauses that say something else in a paper of the site, the shortest paper first."""
    said = [c for c in changes.clauses if c.how != "input" and _of(c.document)]
    return sorted(said, key=lambda c: _first(c.document))


def _of(document: str) -> tuple[Who, ...]:
    there = found(document)
    return there.told if there is not None and there.circle == "site" else ()


def _first(document: str) -> tuple[float, int]:
    shown = outline(document)
    return (shown.budget.words or math.inf if shown.budget else math.inf), shown.order


def _fitting(changes: Changes, room: int, language: str) -> tuple[list[tuple[Who, str]], tuple[int, list[str]]]:
    """(reader, new words) as far as there is room, and how many changes are left, in which papers. What was told once is not told again."""
    t, shown, known = control_words(language), [], set()
    left, papers = 0, []
    for clause in _worded(changes):
        title, reader = document_title(clause.document, language), _of(clause.document)[0]
        lines = [w for w in _new(clause, changes, t) if w not in known]
        if not lines:
            continue
        line = f"{title}: {' '.join(w if w[-1:] in '.!?' else f'{w}.' for w in lines)}"
        if _height(line) > room:
            left += 1
            papers.append(title)
            continue
        room -= _height(line)
        known.update(lines)
        shown.append((reader, line))
    return shown, (left, list(dict.fromkeys(papers)))


def _new(clause: ClauseChange, changes: Changes, t: Mapping[str, Any]) -> Iterable[str]:
    """What the clause says now, whole; of one that is gone, that it is said no longer."""
    before = _raw(changes.old.texts.get(clause.document, {}).get(clause.language), clause.id)
    if clause.how == "removed":
        return [t["brief"]["gone"].format(text=" ".join(units(before)))]
    now = _raw(changes.new.texts.get(clause.document, {}).get(clause.language), clause.id)
    return new_words(units(before), now)


def _raw(text: Text | None, key: str) -> str:
    return next((c.text for c in text.clauses if c.id == key), "") if text is not None else ""


def _rows(readers: Iterable[Reader]) -> list[list[str]]:
    """Rows to sign, each begun by the kind of reader: the names of those who are to hear it, or room for names."""
    rows = []
    for reader in readers:
        codes = reader.names if reader.name in ("users", "rescuers") else ()
        names = list(codes) or [""] * LEAST
        for at in range(0, len(names), ACROSS):
            cells = names[at : at + ACROSS]
            rows.append([reader.title if at == 0 else "", *cells, *[""] * (ACROSS - len(cells))])
    return rows
