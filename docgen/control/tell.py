"""A comparison as text for a terminal or as JSON (`schemas/changes.schema.json`). Decides nothing."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from docgen.compose.frame import approver
from docgen.compose.standing import Standing
from docgen.control.changes import Changes, Deadline, Tell
from docgen.control.fields import FieldChange
from docgen.control.kinds import Seen
from docgen.control.plain import plain
from docgen.control.say import control_words, label, lapse_text, role_title, shown
from docgen.happened import Happened
from docgen.papers import found
from docgen.records import Issued

__all__ = [
    "FORMATS",
    "apart",
    "as_json",
    "as_summary",
    "as_text",
    "document_title",
    "hanging",
    "hung_anew",
    "json_object",
    "lines_of",
    "tell_text",
    "when",
]  # fmt: skip

WIDTH = 100
LONG = 160


def when(deadline: Deadline, language: str) -> str:
    """A deadline in words: `before use`, `at once`, `by 2026-11-08`."""
    texts = control_words(language)
    if deadline.when.startswith("before-"):
        said = texts["before"].format(what=texts["moments"][deadline.when.removeprefix("before-")])
    elif deadline.when == "hours":
        said = texts["hours"].format(n=deadline.count)
    elif deadline.when == "days":
        said = texts["days"].format(day=deadline.on, n=deadline.count)
    else:
        said = texts["moments"][deadline.when]
    return str(said)


def document_title(document: str, language: str) -> str:
    """The name of a document before the number of a clause, with the bay or kind where there is one for each."""
    of = document.partition(".")[2]
    there = found(document)
    short = there.short_in(language) if there else document
    return f"{short} {of}" if there and of else short


def _title(role: str, language: str) -> str:
    """Whose approval, in words; the table of consequences knows a few more than the approvals."""
    return str(control_words(language)["roles"].get(role) or role_title(role, language))


def as_summary(changes: Changes, language: str) -> str:
    """What has to be done: whom to tell, what to take down and hang, by when, whose approval lapsed; and how much more there is."""
    t = control_words(language)
    lines = _head(changes, t, language)
    if _quiet(changes):
        return "\n".join(lines) + "\n"
    body = [line for key, rows in _to_do(changes, t, language) for line in _section(t[key], rows)]
    if not body and not changes.withdrawn:
        body = ["", t["no_one_to_tell"]]
    rest = t["rest"].format(
        fields=len(changes.fields), clauses=len(changes.clauses), stands=sum(s.stands for s, _ in changes.approvals)
    )
    return "\n".join([*lines, *body, "", rest]) + "\n"


def as_text(changes: Changes, language: str) -> str:
    """The same, and behind it everything else: fields, what they amount to, clauses, reasons of each lapse. One heading each."""
    t = control_words(language)
    lines = _head(changes, t, language)
    if _quiet(changes):
        return "\n".join(lines) + "\n"
    sections: tuple[tuple[str, Iterable[str]], ...] = (
        *_to_do(changes, t, language),
        ("stands", (_approval(s, lang, language) for s, lang in changes.approvals if s.stands)),
        ("fields", (_field(c, changes, t) for c in changes.fields)),
        ("kinds", (_kind(seen, t, language) for seen in changes.kinds)),
        ("clauses", _clause_lines(changes, t, language)),
        ("why", (x for s, lang in changes.approvals if not s.stands for x in _lapsed(s, lang, t, language))),
    )
    return "\n".join([*lines, *(line for key, rows in sections for line in _section(t[key], rows))]) + "\n"


def _head(changes: Changes, t: Mapping[str, Any], language: str) -> list[str]:
    old, new = label(changes.old.number, language), label(changes.new.number, language)
    lines = [t["heading"].format(site=changes.site, old=old, new=new, day=changes.as_of)]
    lines += [] if changes.comparable else [t["not_comparable"]]
    for gone in changes.withdrawn:
        number = int(gone.name.partition("-")[2])
        lines.append(
            t["withdrawn_since"].format(label=_upper(label(number, language)), day=gone.on, by=gone.by, reason=gone.reason)
        )
    return [*lines, t["nothing"]] if changes.none and not changes.kinds else lines


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _quiet(changes: Changes) -> bool:
    """Whether there is nothing to tell: nothing has changed, nothing was withdrawn, and no approval is wanting."""
    return changes.none and not (changes.kinds or changes.withdrawn or changes.missing)


def _to_do(changes: Changes, t: Mapping[str, Any], language: str) -> tuple[tuple[str, Iterable[str]], ...]:
    return (
        ("may", plain(changes, language).permissions),
        ("tell", (tell_text(x, language) for x in changes.tell)),
        ("replace", hanging(changes, language)),
        ("deadlines", (f"{when(d, language)}: {d.what[language]}" for d in changes.deadlines)),
        ("lapsed", (_approval(s, lang, language) for s, lang in changes.approvals if not s.stands)),
        ("missing", (f"{document_title(m.document, language)}: {_title(m.role, language)}" for m in changes.missing)),
    )


def lines_of(changes: Changes, language: str) -> dict[str, list[str]]:
    """Whom to tell, and what by when, a line each: of changes that nobody has made yet."""
    return {
        "tell": list(dict.fromkeys(tell_text(x, language) for x in changes.tell)),
        "by": list(dict.fromkeys(f"{when(d, language)}: {d.what[language]}" for d in changes.deadlines)),
    }


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


def _field(change: FieldChange, changes: Changes, t: Mapping[str, Any]) -> str:
    source = changes.new.source if change.line else changes.old.source
    file = change.origin or source.file
    place = f"{file}:{change.line or change.old_line}"
    return f"{change.path}: {_short(change.old, t)} -> {_short(change.new, t)}  ({place})"


def _short(value: str | None, t: Mapping[str, Any]) -> str:
    return str(t["none"]) if value is None else _cut(value)


def _cut(value: str) -> str:
    return value if len(value) <= LONG else value[: LONG - 1] + "…"


def _kind(seen: Seen, t: Mapping[str, Any], language: str) -> str:
    return f"{seen.kind.title[language]}. {t['rests_on']}: {seen.kind.source}."


def _clause_lines(changes: Changes, t: Mapping[str, Any], language: str) -> Iterable[str]:
    for c in changes.clauses:
        yield f"{c.id} ({c.language}): {t['how'][c.how]}"
        if c.how == "text":
            old, new = apart(c.old, c.new)
            yield f"  {old} -> {new}"
        for path, old, new in c.inputs[:3]:
            yield f"  {path}: {_cut(shown(old, language))} -> {_cut(shown(new, language))}"


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
        return ("… " if begin else "") + _cut(piece) + (" …" if end > 3 else "")

    return cut(one), cut(other)


def _plain(text: str) -> str:
    """Markdown of a clause without the signs of tables and attribute lists."""
    text = re.sub(r"\{:[^{}]*\}|\|(?: :?-+:? \|)+", " ", text)
    return " ".join(re.sub(r"(?<!\\)(?:\| )*\|", "·", re.sub(r"\\(?=[^\w\s])", "", text)).split())


def _approval(standing: Standing, of: str, language: str) -> str:
    a = standing.approval
    return f"{a.id} {_title(a.role, language)} ({approver(a, language)}, {a.on.isoformat()}): {a.document} ({of}), {', '.join(a.scope)}"


def _lapsed(standing: Standing, of: str, t: Mapping[str, Any], language: str) -> Iterable[str]:
    yield f"{_approval(standing, of, language)}: {t['because']}"
    for lapse in standing.lapses:
        yield f"  {lapse_text(lapse, language)}"


def tell_text(tell: Tell, language: str) -> str:
    """Who, which people, how."""
    names = f" ({', '.join(tell.names)})" if tell.names else ""
    return f"{control_words(language)['who'][tell.who]}{names}: {tell.how[language]}"


def hanging(changes: Changes, language: str, short: bool = False) -> list[str]:
    """What is to be taken down where, and what is to hang: a revision only where there is one.

    A line for each paper; `short`: a line for all papers of which the same is to be done.
    """
    t = control_words(language)["hanging"]
    todo: dict[tuple[str, str], list[str]] = {}
    for r in changes.replace:
        down = t["down"].format(n=r.revision) if r.revision is not None else t["down-unrecorded"]
        up = t["nothing-comes"] if r.gone else t["up"].format(n=r.hang) if r.hang is not None else t["up-when-issued"]
        paper = document_title(r.document, language)
        todo.setdefault(("" if short else paper, t["do"].format(down=down, up=up)), []).append(f"{r.place} ({r.posting})")
    if not short:
        return [t["line"].format(paper=paper, do=do, places=", ".join(held)) for (paper, do), held in todo.items()]
    lines = []
    for (_, do), held in todo.items():
        papers: dict[str, list[str]] = {}
        for r in (r for r in changes.replace if f"{r.place} ({r.posting})" in held):
            papers.setdefault(document_title(r.document, language), []).append(r.posting)
        said = ", ".join(t["at"].format(paper=paper, places=", ".join(ids)) for paper, ids in papers.items())
        lines.append(t["short"].format(do=do, papers=said))
    return lines


def hung_anew(made: Issued, happened: Happened, language: str) -> tuple[str, ...]:
    """The places of the papers of a new revision, with what to take down there and what to hang: a line for each place."""
    t = control_words(language)["hanging"]
    texts = {(text.document, text.language) for text in made.texts}
    lines = []
    for row in happened.site.posting:
        if (row.paper, row.language or "") in texts:
            hangs = happened.hangs(row.id)
            down = t["down"].format(n=hangs.revision) if hangs and hangs.revision is not None else t["down-unrecorded"]
            up = t["up"].format(n=made.revision)
            first = hangs is None and made.revision == 1  # nothing of ours can hang there yet
            do = up if first else t["do"].format(down=down, up=up)
            place = f"{row.place or row.id} ({row.id})"
            lines.append(t["line"].format(paper=document_title(row.paper, language), do=do, places=place))
    return tuple(lines)


def as_json(changes: Changes, language: str) -> str:
    """One object, two-space indented; sentences in it are in the language."""
    return json.dumps(json_object(changes, language), indent=2, ensure_ascii=False) + "\n"


def json_object(changes: Changes, language: str) -> dict[str, Any]:
    """Plain data."""
    return {
        "schema_version": 1,
        "site": changes.site,
        "as_of": changes.as_of.isoformat(),
        "since": changes.old.number,
        "to": changes.new.number,
        "comparable": changes.comparable,
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
        "missing": [{"document": m.document, "language": m.language, "role": m.role} for m in changes.missing],
        "kinds": [
            {
                "kind": s.kind.name, "title": s.kind.title[language], "fields": [c.path for c in s.fields],
                "documents": [d.document for d in s.kind.documents], "tell": [x.who for x in s.kind.tell],
                "lapses": list(s.lapses), "post": list(s.post), "source": s.kind.source,
            }
            for s in changes.kinds
        ],
        "tell": [{"who": x.who, "names": list(x.names), "how": x.how[language], "kind": x.kind} for x in changes.tell],
        "replace": [
            {"posting": r.posting, "place": r.place, "document": r.document, "language": r.language, "revision": r.revision, "line": r.line,
                "hang": r.hang, "gone": r.gone}
            for r in changes.replace
        ],
        "withdrawn": [{"id": w.id, "name": w.name, "on": w.on.isoformat(), "by": w.by, "reason": w.reason} for w in changes.withdrawn],
        "deadlines": [
            {"kind": d.kind, "what": d.what[language], "when": d.when, "count": d.count, "on": d.on.isoformat() if d.on else None}
            for d in changes.deadlines
        ],
    }  # fmt: skip


#: How `changes` prints: the text that says first what to do, all of it, and data.
FORMATS: Mapping[str, Callable[[Changes, str], str]] = {"text": as_summary, "all": as_text, "json": as_json}
