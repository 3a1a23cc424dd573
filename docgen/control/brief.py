"""The one-page change brief for the crew talk, with lines to sign."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from docgen.codes import Code
from docgen.compose.document import Document
from docgen.control.changes import Changes, ClauseChange
from docgen.control.page import paper
from docgen.control.tell import apart, replace_text, tell_text, when
from docgen.site import Site
from docgen.words import words

__all__ = ["change_brief"]

MOST_FIELDS, MOST_CLAUSES, MOST_LAPSED, LEAST_ROWS, ACROSS = 3, 5, 6, 3, 4
FOR_THE_CREW = ("contractor-notice", "rescue-procedure", "fall-protection-plan")
LONG = 110


def change_brief(changes: Changes, site: Site, code: Code) -> Document:
    """What changes, what the documents say now, who does what, and who heard it. Long lists are cut and say so."""
    t = words("en")["changes"]
    kinds = []
    for seen in changes.kinds:
        fields = [f"{f.path}: {f.old or t['none']} → {f.new or t['none']}" for f in seen.fields if f.new != f.old]
        more = f" (+{len(fields) - MOST_FIELDS})" if len(fields) > MOST_FIELDS else ""
        due = "; ".join(f"{when(d)}: {d.what}" for d in changes.deadlines if d.kind == seen.kind.name)
        kinds.append({"title": seen.kind.row["title"]["en"], "fields": "; ".join(fields[:MOST_FIELDS]) + more, "by": due or "–"})
    told = sorted(
        (c for c in changes.clauses if c.how != "input" and c.document in FOR_THE_CREW),
        key=lambda c: FOR_THE_CREW.index(c.document),
    )
    titles = {o: text for o, text in t["documents"].items()}
    clauses = [f"{titles.get(c.document, c.document)}, {c.id.partition('.')[2]}: {_said(c, t)}" for c in told]
    lapsed = [
        f"{titles.get(s.approval.document, s.approval.document)}, {words('en')['approvals'].get(s.approval.role, s.approval.role)} ({s.approval.id})"
        for s, _ in changes.approvals if not s.stands
    ]  # fmt: skip
    names = list(
        dict.fromkeys(n for x in changes.tell if x.who in ("users", "rescuers", "crew", "person", "supervisors") for n in x.names)
    )
    rows = max(LEAST_ROWS, -(-len(names) // ACROSS))
    names += [""] * (ACROSS * rows - len(names))
    values = {
        "site_name": site.site.name, "old": changes.old.label, "new": changes.new.label, "kinds": kinds,
        "clauses": [c if len(c) <= LONG else c[: LONG - 1] + "…" for c in clauses[:MOST_CLAUSES]],
        "more": max(0, len(clauses) - MOST_CLAUSES), "tell": list(dict.fromkeys(tell_text(x) for x in changes.tell)),
        "replace": [replace_text(r) for r in changes.replace], "lapsed": lapsed[:MOST_LAPSED],
        "rows": [names[ACROSS * i : ACROSS * (i + 1)] for i in range(rows)],
    }  # fmt: skip
    return paper("change-brief", t["brief_title"], values, site, code, changes.as_of)


def _said(change: ClauseChange, t: Mapping[str, Any]) -> str:
    if change.how != "text":
        return f"{t['how'][change.how]}: {change.new}" if change.new else t["how"][change.how]
    return " → ".join(apart(change.old, change.new))
