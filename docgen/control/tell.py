"""A comparison as text for a terminal or as JSON (`schemas/changes.schema.json`). Decides nothing."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from docgen.compose.standing import Standing
from docgen.control.changes import Changes, Deadline, Replace, Tell
from docgen.control.say import lapse_text, shown
from docgen.words import words

__all__ = ["FORMATS", "apart", "as_json", "as_text", "replace_text", "tell_text", "when"]

WIDTH = 100
LONG = 160


def when(deadline: Deadline) -> str:
    """A deadline in words: `before use`, `at once`, `by 2026-11-08`."""
    texts = words("en")["changes"]
    if deadline.when.startswith("before-"):
        return texts["before"].format(what=texts["moments"][deadline.when.removeprefix("before-")])
    if deadline.when == "hours":
        return texts["hours"].format(n=deadline.count)
    if deadline.when == "days":
        return texts["days"].format(day=deadline.on.isoformat(), n=deadline.count)
    return texts["moments"][deadline.when]


def _title(role: str) -> str:
    return words("en")["changes"]["roles"].get(role) or words("en")["approvals"].get(role, role)


def as_text(changes: Changes) -> str:
    """Fields, clauses, approvals, people, postings, deadlines: one heading each, in that order."""
    t = words("en")["changes"]
    lines = [t["heading"].format(site=changes.site, old=changes.old.label, new=changes.new.label, day=changes.as_of)]
    if changes.none and not changes.kinds:
        return "\n".join([*lines, t["nothing"]]) + "\n"
    lines += _section(t["fields"], (_field(c, changes) for c in changes.fields))
    lines += _section(t["kinds"], (_kind(seen, t) for seen in changes.kinds))
    lines += _section(t["clauses"], _clause_lines(changes, t))
    lines += _section(t["lapsed"], (x for s, lang in changes.approvals if not s.stands for x in _lapsed(s, lang, t)))
    lines += _section(t["stands"], (_approval(s, lang) for s, lang in changes.approvals if s.stands))
    lines += _section(t["missing"], (f"{d} ({lang}): {_title(role)}" for d, lang, role in changes.missing))
    lines += _section(t["tell"], (tell_text(x) for x in changes.tell))
    lines += _section(t["replace"], (replace_text(r) for r in changes.replace))
    lines += _section(t["deadlines"], (f"{when(d)}: {d.what}" for d in changes.deadlines))
    return "\n".join(lines) + "\n"


def _section(title: str, rows: Iterable[str]) -> list[str]:
    rows = list(rows)
    if not rows:
        return []
    heads = list(dict.fromkeys(row for row in rows if not row.startswith("  ")))
    if not any(row.startswith("  ") for row in rows):
        rows = heads  # one line said twice is said once
    lines = ["", f"{title} ({len(heads)})", ""]
    for row in rows:
        deep = "    " if row.startswith("  ") else "  "
        lines.append(
            textwrap.fill(row.strip(), WIDTH, initial_indent=deep, subsequent_indent=deep + "    ", break_long_words=False)
        )
    return lines


def _field(change: Any, changes: Changes) -> str:
    file = changes.new.source.file if change.line else changes.old.source.file
    place = f"{file}:{change.line or change.old_line}"
    return f"{change.path}: {_short(change.old)} -> {_short(change.new)}  ({place})"


def _short(value: str | None) -> str:
    if value is None:
        return "none"
    return value if len(value) <= LONG else value[: LONG - 1] + "…"


def _kind(seen: Any, t: Mapping[str, Any]) -> str:
    lapses = ", ".join(_title(r) for r in seen.lapses) or t["no_one"]
    return f"{seen.kind.row['title']['en']}. {t['by_practice']}: {lapses}. {t['rests_on']}: {seen.kind.row['source']}."


def _clause_lines(changes: Changes, t: Mapping[str, Any]) -> Iterable[str]:
    for c in changes.clauses:
        yield f"{c.id} ({c.language}): {t['how'][c.how]}"
        if c.how == "text":
            old, new = apart(c.old, c.new)
            yield f"  {old} -> {new}"
        for path, old, new in c.inputs[:3]:
            yield f"  {path}: {_short(shown(old))} -> {_short(shown(new))}"


def apart(old: str, new: str) -> tuple[str, str]:
    """The part of two texts in which they differ, with a few words around."""
    one, other = (_plain(text).split(" ") for text in (old, new))
    start = 0
    while start < min(len(one), len(other)) and one[start] == other[start]:
        start += 1
    end = 0
    while end < min(len(one), len(other)) - start and one[-1 - end] == other[-1 - end]:
        end += 1
    begin = max(0, start - 3)

    def cut(parts: list[str]) -> str:
        piece = " ".join(parts[begin : len(parts) - max(0, end - 3)])
        return ("… " if begin else "") + _short(piece) + (" …" if end > 3 else "")

    return cut(one), cut(other)


def _plain(text: str) -> str:
    """Markdown of a clause without the signs of tables and attribute lists."""
    text = re.sub(r"\{:[^{}]*\}|\|(?: :?-+:? \|)+", " ", text)
    return " ".join(re.sub(r"(?<!\\)(?:\| )*\|", "·", re.sub(r"\\(?=[^\w\s])", "", text)).split())


def _approval(standing: Standing, language: str) -> str:
    a = standing.approval
    return f"{a.id} {_title(a.role)} ({a.by}, {a.on.isoformat()}): {a.document} ({language}), {', '.join(a.scope)}"


def _lapsed(standing: Standing, language: str, t: Mapping[str, Any]) -> Iterable[str]:
    yield f"{_approval(standing, language)}: {t['because']}"
    for lapse in standing.lapses:
        yield f"  {lapse_text(lapse)}"


def tell_text(tell: Tell) -> str:
    """Who, which people, how."""
    t = words("en")["changes"]
    names = f" ({', '.join(tell.names)})" if tell.names else ""
    return f"{t['who'][tell.who]}{names}: {tell.how}"


def replace_text(r: Replace) -> str:
    """Place, document, and which revision hangs there."""
    t = words("en")["changes"]
    revision = t["revision"].format(n=r.revision) if r.revision is not None else t["revision_unknown"]
    return f"{r.posting}, {r.place}: {r.document} ({r.language}), {revision}"


def as_json(changes: Changes) -> str:
    """One object, two-space indented."""
    return json.dumps(json_object(changes), indent=2, ensure_ascii=False) + "\n"


def json_object(changes: Changes) -> dict[str, Any]:
    """Plain data."""
    return {
        "schema_version": 1,
        "site": changes.site,
        "as_of": changes.as_of.isoformat(),
        "since": changes.old.revision.revision if changes.old.revision else None,
        "to": changes.new.revision.revision if changes.new.revision else None,
        "fields": [{"path": c.path, "old": c.old, "new": c.new, "line": c.line, "old_line": c.old_line} for c in changes.fields],
        "unclassified": [c.path for c in changes.other],
        "clauses": [
            {
                "document": c.document, "language": c.language, "id": c.id, "how": c.how, "old": c.old, "new": c.new,
                "inputs": [{"path": p, "old": o, "new": n} for p, o, n in c.inputs],
            }
            for c in changes.clauses
        ],
        "approvals": [
            {
                "id": s.approval.id, "document": s.approval.document, "language": language, "role": s.approval.role, "by": s.approval.by,
                "stands": s.stands,
                "why": [
                    {"clause": x.clause, "what": x.what, "inputs": [{"path": p, "old": o, "new": n} for p, o, n in x.inputs]}
                    for x in s.lapses
                ],
            }
            for s, language in changes.approvals
        ],
        "missing": [{"document": d, "language": lang, "role": role} for d, lang, role in changes.missing],
        "kinds": [
            {
                "kind": s.kind.name, "title": s.kind.row["title"]["en"], "fields": [c.path for c in s.fields],
                "documents": [d["document"] for d in s.kind.row["documents"]], "tell": [x["who"] for x in s.kind.row["tell"]],
                "lapses": list(s.lapses), "post": list(s.post), "source": s.kind.row["source"],
            }
            for s in changes.kinds
        ],
        "tell": [{"who": x.who, "names": list(x.names), "how": x.how, "kind": x.kind} for x in changes.tell],
        "replace": [
            {"posting": r.posting, "place": r.place, "document": r.document, "language": r.language, "revision": r.revision, "line": r.line}
            for r in changes.replace
        ],
        "deadlines": [
            {"kind": d.kind, "what": d.what, "when": d.when, "count": d.count, "on": d.on.isoformat() if d.on else None}
            for d in changes.deadlines
        ],
    }  # fmt: skip


FORMATS: Mapping[str, Callable[[Changes], str]] = {"text": as_text, "json": as_json}
