"""What each field of the profile is good for: the findings that stand without it, and the papers whose words rest on it.

python tests/field_uses.py            what differs from docgen/field_uses.yaml
python tests/field_uses.py --write    writes it

Nothing in it is thought out: in every demo in turn each field is taken out wherever it stands and the site is judged again; and the papers
of every demo are composed and what each of their clauses read is looked at. It takes minutes; tests look at a few fields each time.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from support import ALL_DEMOS, AS_OF, DEMOS, composed, demo, judge

from docgen.check import check
from docgen.codes import load
from docgen.codes.given import with_given
from docgen.errors import DocgenError
from docgen.fields import fields
from docgen.findings import RULES
from docgen.papers import outlines
from docgen.papers import papers as library
from docgen.read import Source
from docgen.site import build
from docgen.units import UnitProblem

__all__ = ["FILE", "asked", "printed", "text"]

FILE = Path(__file__).resolve().parent.parent / "docgen" / "field_uses.yaml"
HEAD = """\
# Field of the profile -> `asks`: the findings that stand in a demo once the field is taken out; `papers`: those whose words rest on it.
# Written by tests/field_uses.py; what it says is measured and not thought out.
"""
#: The fullest first: what it has is tried there.
ORDER = ("harrow-ridge", "pellan-creek", *(name for name in ALL_DEMOS if name not in ("harrow-ridge", "pellan-creek")))
#: Those whose papers are composed: the others say nothing that these do not.
COMPOSED = DEMOS
RULE_ORDER = {rule.name: index for index, rule in enumerate(RULES)}
DECLARED = frozenset(f.name for f in fields() if f.said.required or f.said.need in ("A", "B"))
WRONG = "format"  # what stands for a finding where the format itself asks for the field


def _without(value: Any, steps: tuple[str, ...]) -> tuple[Any, int]:
    """The data with a field gone wherever it stands, and how often that was."""
    if isinstance(value, list):
        parts = [_without(each, steps) for each in value]
        return [part for part, _ in parts], sum(n for _, n in parts)
    if not isinstance(value, dict) or steps[0] not in value:
        return value, 0
    if len(steps) == 1:
        return {key: each for key, each in value.items() if key != steps[0]}, 1
    inner, n = _without(value[steps[0]], steps[1:])
    return {**value, steps[0]: inner}, n


@cache
def _stands(name: str) -> frozenset[str]:
    return frozenset(f.name for f in demo(name).assessed.findings)


def asked(name: str) -> tuple[str, ...] | None:
    """The findings that stand once a field is taken out of the first demo that has it; None where none can tell."""
    steps = tuple(name.split("."))
    for site in ORDER:
        checked = demo(site)
        data, n = _without(checked.source.data, steps)
        if not n:
            continue
        source: Source = Source(checked.source.file, "", data, checked.source.marks, ())
        problems = check(source)
        if problems:
            lacks = any(re.sub(r"\[\d+\]", "", p.path) == name for p in problems)
            return (WRONG,) if lacks else None
        try:
            made = build(source)
            day = made.document.effective or AS_OF
            law = with_given(load(made.site.jurisdiction, made.site.sector, day), made, day)
            found = {f.name for f in judge(source, made, law, AS_OF, checked.log).assessed.findings}
        except (DocgenError, UnitProblem):
            return None
        return tuple(sorted(found - _stands(site), key=RULE_ORDER.__getitem__))
    return None


def _plain(path: str) -> str:
    return re.sub(r"\[[^\]]*\]", "", path)


@cache
def printed(site: str) -> Mapping[str, frozenset[str]]:
    """Field -> the papers of a demo that read it while they were written."""
    found: dict[str, set[str]] = {}
    names = tuple(paper.name for paper in library() if paper.written)
    for key, paper in composed(demo(site), ("md",), wanted=names).items():
        read = {path for clause in paper.body.clauses for path, _ in clause.inputs} | paper.document.reads
        for path in read:
            found.setdefault(_plain(path), set()).add(key.partition(".")[0])
    return {field: frozenset(papers) for field, papers in found.items()}


def rows(names: Iterable[str], sites: Iterable[str]) -> Iterator[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    """Each field with what asks for it, and the papers that rest on it. What the declaration asks for already is not tried."""
    order = [paper.name for paper in outlines()]
    uses = [printed(site) for site in sites]
    for name in names:
        papers = frozenset().union(*(use.get(name, frozenset()) for use in uses))
        yield name, () if name in DECLARED else asked(name) or (), tuple(sorted(papers, key=order.index))


def text() -> str:
    """The whole file."""
    lines = [HEAD]
    for name, asks, papers in rows((f.name for f in fields() if not f.name.startswith("log")), COMPOSED):
        told = [f"{key}: [{', '.join(words)}]" for key, words in (("asks", asks), ("papers", papers)) if words]
        if told:
            lines.append(f"{name}: {{{', '.join(told)}}}\n")
    return "".join(lines)


if __name__ == "__main__":
    new = text()
    old = FILE.read_text(encoding="utf-8") if FILE.is_file() else ""
    differ = set(new.splitlines()) ^ set(old.splitlines())
    print("\n".join(sorted(differ)[:40]))
    print(f"{len(differ)} lines differ")
    if "--write" in sys.argv[1:]:
        FILE.write_text(new, encoding="utf-8", newline="\n")
    sys.exit(0 if not differ or "--write" in sys.argv[1:] else 1)
