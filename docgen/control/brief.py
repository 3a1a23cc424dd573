"""The one-page change brief for the crew talk, with lines to sign."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from docgen.codes import LawAlone
from docgen.compose.document import Document
from docgen.control.changes import Changes, ClauseChange
from docgen.control.page import paper
from docgen.control.say import control_words, label, role_title
from docgen.control.tell import apart, document_title, replace_text, tell_text, when
from docgen.papers import found, outline
from docgen.site import Site

__all__ = ["change_brief"]

MOST_FIELDS, MOST_CLAUSES, MOST_LAPSED, LEAST_ROWS, ACROSS = 3, 5, 6, 3, 4
AT_THE_TALK = ("users", "rescuers", "crew", "person", "supervisors")
LONG = 110


def change_brief(changes: Changes, site: Site, code: LawAlone, language: str) -> Document:
    """What changes, what the documents say now, who does what, and who heard it. Long lists are cut and say so."""
    t = control_words(language)
    told = sorted(
        (c for c in changes.clauses if c.how != "input" and _for_the_crew(c.document)), key=lambda c: _first(c.document)
    )
    clauses = [f"{document_title(c.document, language)}, {c.id.partition('.')[2]}: {_said(c, t)}" for c in told]
    lapsed = [
        f"{document_title(s.approval.document, language)}, {role_title(s.approval.role, language)} ({s.approval.id})"
        for s, _ in changes.approvals
        if not s.stands
    ]
    values = {
        "site_name": site.site.name, "old": label(changes.old.number, language), "new": label(changes.new.number, language),
        "kinds": _kinds(changes, t, language),
        "clauses": [c if len(c) <= LONG else c[: LONG - 1] + "…" for c in clauses[:MOST_CLAUSES]],
        "more": max(0, len(clauses) - MOST_CLAUSES), "tell": list(dict.fromkeys(tell_text(x, language) for x in changes.tell)),
        "replace": [replace_text(r, language) for r in changes.replace], "lapsed": lapsed[:MOST_LAPSED], "rows": _rows(changes),
    }  # fmt: skip
    return paper("change-brief", t["brief_title"], values, site, code, changes.as_of, language)


def _for_the_crew(document: str) -> bool:
    there = found(document)
    return there is not None and there.circle == "site"


def _first(document: str) -> tuple[bool, int, int]:
    """What everyone reads comes first, then the shorter paper: the talk has room for a few clauses."""
    shown = outline(document)
    return not shown.posted, shown.budget.pages if shown.budget else 0, shown.order


def _kinds(changes: Changes, t: Mapping[str, Any], language: str) -> list[dict[str, str]]:
    rows = []
    for seen in changes.kinds:
        fields = [f"{f.path}: {f.old or t['none']} → {f.new or t['none']}" for f in seen.fields if f.new != f.old]
        more = f" (+{len(fields) - MOST_FIELDS})" if len(fields) > MOST_FIELDS else ""
        due = "; ".join(f"{when(d, language)}: {d.what[language]}" for d in changes.deadlines if d.kind == seen.kind.name)
        rows.append({"title": seen.kind.title[language], "fields": "; ".join(fields[:MOST_FIELDS]) + more, "by": due or "–"})
    return rows


def _rows(changes: Changes) -> list[list[str]]:
    """The names of those who are to hear it, in rows to sign; no fewer rows than a small crew needs."""
    names = list(dict.fromkeys(n for x in changes.tell if x.who in AT_THE_TALK for n in x.names))
    rows = max(LEAST_ROWS, -(-len(names) // ACROSS))
    names += [""] * (ACROSS * rows - len(names))
    return [names[ACROSS * i : ACROSS * (i + 1)] for i in range(rows)]


def _said(change: ClauseChange, t: Mapping[str, Any]) -> str:
    if change.how != "text":
        return f"{t['how'][change.how]}: {change.new}" if change.new else str(t["how"][change.how])
    return " → ".join(apart(change.old, change.new))
