"""What would follow if a value were another one, at one site or at many; no file is touched.

equipment[D-1].arrest_distance=54 in          the part of that id
equipment[kind=srd].arrest_distance=54 in     each part of that kind
vehicles[*].deck=13.2 ft                      each vehicle
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import replace
from datetime import date
from typing import Any

from docgen.checked import Assessed
from docgen.errors import DocgenError, Refusal, UsageError
from docgen.findings.model import Finding
from docgen.frozen import frozen
from docgen.pipeline import check_site, compared_site
from docgen.portfolio.sites import Spot
from docgen.read import Source, read_text
from docgen.report import state_of_bay
from docgen.revisions import state_of
from docgen.unknown import WORD
from docgen.words import refusal_text

__all__ = ["EMPTY", "Ask", "Change", "change_of", "changed", "what_if"]

_STEP = re.compile(r"([A-Za-z_]\w*)((?:\[[^\[\]]+\])*)(?:\.|$)")


@frozen
class Change:
    """One value that would be another: its path, step by step, and the value; `text` as it was typed."""

    text: str
    steps: tuple[str, ...]
    value: Any


@frozen
class Ask:
    """A site, a day, and what would be otherwise."""

    spot: Spot
    as_of: date
    language: str
    changes: tuple[Change, ...]


Answer = dict[str, Any]
EMPTY: Answer = {
    "places": [], "problems": [], "fault": None, "cases": [], "appear": [], "vanish": [], "bays": [], "papers": [], "lapse": [], "tell": [], "by": [],
}  # fmt: skip


def change_of(text: str) -> Change:
    """What `PATH=VALUE` asks for. UsageError where it is none."""
    path, sign, written = text.partition("=")
    while path.count("[") > path.count("]") and sign:  # an equals sign within brackets
        more, sign, written = written.partition("=")
        path = f"{path}={more}"
    path = path.strip()
    steps: list[str] = []
    at = 0
    while at < len(path) and (found := _STEP.match(path, at)):
        steps += [found[1], *re.findall(r"\[[^\[\]]+\]", found[2])]
        at = found.end()
    if not sign or not steps or at != len(path) or path.endswith("."):
        raise UsageError(f"'{text}' is no PATH=VALUE; write it as equipment[D-1].arrest_distance=54 in")
    source = read_text(f"value: {written.strip() or WORD}\n", "question")
    if source.problems or source.data is None or set(source.data) != {"value"}:
        told = f"{source.problems[0].message}; {source.problems[0].hint}" if source.problems else "it cannot be read"
        raise UsageError(f"'{text}': {told}")
    return Change(text, tuple(steps), source.data["value"])


def changed(source: Source, changes: Sequence[Change]) -> tuple[Source, list[int]]:
    """The source with these values in the place of others, and in how many places each was put. A figure keeps its evidence, unless it is said to be unknown."""
    data = deepcopy(source.data or {})
    beside = "\n".join(
        (source.beside, *(f"{change.text} {change.value}" for change in changes))
    )  # where a value said to be unknown is looked for
    return replace(source, data=data, beside=beside), [
        sum(1 for _ in _put(data, change.steps, change.value)) for change in changes
    ]


def _put(at: Any, steps: tuple[str, ...], value: Any) -> Iterator[None]:
    step, *rest = steps
    if step.startswith("["):
        for number in _fitting(at, step[1:-1]):
            if rest:
                yield from _put(at[number], tuple(rest), value)
            else:
                at[number] = value
                yield
    elif isinstance(at, dict) and rest and step in at:
        yield from _put(at[step], tuple(rest), value)
    elif isinstance(at, dict) and not rest:
        old = at.get(step)
        if isinstance(old, dict) and "value" in old and not isinstance(value, dict) and value != WORD:
            old["value"] = value
        else:
            at[step] = value
        yield


def _fitting(at: Any, which: str) -> list[int]:
    """Numbers of the entries of a list that a bracket names: `*`, `key=text`, or an id."""
    if not isinstance(at, list):
        return []
    if which == "*":
        return list(range(len(at)))
    key, sign, text = which.partition("=")
    key, text = (key, text) if sign else ("id", which)
    return [n for n, entry in enumerate(at) if isinstance(entry, dict) and str(entry.get(key, "")).casefold() == text.casefold()]


def what_if(ask: Ask) -> Answer:
    """What of a site would be another: cases that flip, findings, papers, approvals, people, dates. What is wrong with the site is in the answer."""
    answer = {"name": ask.spot.name, **EMPTY}
    try:
        return answer | _answer(ask)
    except Refusal as refusal:
        return answer | {"fault": refusal_text(refusal, ask.language)}
    except (DocgenError, OSError) as error:
        return answer | {"fault": str(error)}


def _answer(ask: Ask) -> Answer:
    from docgen.control.changes import compare
    from docgen.control.tell import lines_of

    before = check_site(ask.spot.folder, ask.as_of)
    if not isinstance(before, Assessed):
        first = before.problems[0]
        return {"fault": f"{first.file}:{first.line}: {first.message}"}
    places: list[int] = []

    def alter(source: Source) -> Source:
        found, counts = changed(source, ask.changes)
        places.extend(counts)
        return found

    after = check_site(ask.spot.folder, ask.as_of, change=alter)
    if not any(places):
        return {"places": places}
    if not isinstance(after, Assessed):
        return {
            "places": places,
            "problems": ["; ".join(filter(None, (f"{p.path}: {p.message}", p.hint))) for p in after.problems],
        }
    (before, old), (after, new) = compared_site(before), compared_site(after)
    was, now = state_of(before, old), state_of(after, new)
    moved = compare(was, now, ask.as_of)
    there = _bays(after, ask.language)
    stood = {s.approval.id for s, _ in compare(was, was, ask.as_of).approvals if s.stands}
    return {
        "places": places, "cases": list(_cases(before, after)),
        "bays": [
            {"bay": name, "before": state, "after": there[key][1]}
            for key, (name, state) in _bays(before, ask.language).items() if key in there and there[key][1] != state
        ],
        "appear": _apart(after.assessed.findings, before.assessed.findings), "vanish": _apart(before.assessed.findings, after.assessed.findings),
        "papers": [f"{document} ({language})" for document, language in moved.texts_changed],
        "lapse": [
            {"paper": s.approval.document, "part": s.approval.role, "by": s.approval.by}
            for s, _ in moved.approvals if not s.stands and s.approval.id in stood
        ],
        **lines_of(moved, ask.language),
    }  # fmt: skip


def _bays(checked: Assessed, language: str) -> dict[str, tuple[str, str]]:
    """Bay -> its name and state, as check and register have it: one that waits for its papers is not open."""
    return {b.bay: (b.name, state_of_bay(checked, b, language)) for b in checked.assessed.bays}


def _cases(before: Assessed, after: Assessed) -> Iterator[Answer]:
    """The cases whose verdict is another, or that there are only before or only after."""
    old, new = ({c.id: c for c in each.assessed.cases} for each in (before, after))
    for key in dict.fromkeys((*old, *new)):
        was, now = old.get(key), new.get(key)
        if was is None or now is None or was.verdict != now.verdict:
            yield {"case": key, "before": was.verdict if was else None, "after": now.verdict if now else None}


def _apart(ours: Sequence[Finding], theirs: Sequence[Finding]) -> list[Answer]:
    """The findings that only the first have, by name and place."""
    known = {(f.name, f.path) for f in theirs}
    return [{"finding": f.name, "severity": f.severity, "at": f.path} for f in ours if (f.name, f.path) not in known]
