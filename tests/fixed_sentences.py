"""The sentences of the site papers that are the same whatever the site says, and a table of why each of them may stand.

    python tests/fixed_sentences.py            what is fixed and not in fixed_sentences.yaml, by paper and clause
    python tests/fixed_sentences.py --write    puts it there, under `why: unread`; whoever reads it writes why it may stand

Two sites that differ in place, units, vehicles and people are composed, both open and with every bay shut, and thin ones. A sentence that stands in
both of a pair is fixed, unless a value of the profile or a figure that its clause read is part of it: then that carries it.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

import yaml
from plain import sentences_of
from support import composed, demo, with_changes

from docgen.checked import Assessed
from docgen.papers import papers as library

__all__ = ["FILE", "fixed", "listed"]

FILE = Path(__file__).with_suffix(".yaml")
SITE_PAPERS = tuple(p.name for p in library() if p.written and p.circle == "site")
SHUT = {"by": "terminal-manager", "on": "2026-10-20", "reason": "The rail is being replaced"}
ALL_SHUT = {"bays[B1].closed": SHUT, "bays[B2].closed": SHUT}
GAP: dict[str, object] = {"rescue.methods": []}

Key = tuple[str, str, str]  # paper, clause, sentence


def _cells(markdown: str) -> Iterator[str]:
    """Each block of a text as a reader sees it: a cell of a table, an item of a list, a paragraph of lines."""
    text = re.sub(r"!\[[^\]]*\]\([^)]*\)|\{:[^}]*\}|\*\*", "", markdown.replace("\u00a0", " ").replace("\u2011", "-"))
    for block in re.split(r"\n\s*\n|\n(?=[|\-0-9>:])", text):
        if block.lstrip().startswith("#"):
            continue
        parts = block.strip().strip("|").split("|") if block.lstrip().startswith("|") else [block]
        for part in parts:
            yield re.sub(r"^\s*(?:[-*>:]|\d+\.)\s+", "", " ".join(part.split()))


def _carried(sentence: str, inputs: tuple[tuple[str, str], ...]) -> bool:
    """Whether a value that the clause read is part of the sentence, or the sentence of it."""
    low = sentence.lower().rstrip(".!?:")
    for path, value in inputs:
        said = " ".join(str(value).replace("\u00a0", " ").lower().split()).rstrip(".")
        if path.endswith((".id", ".kind", ".part")) or len(said) < 3 or said in ("true", "false", "none"):
            continue
        if said in low or (len(low.split()) > 3 and low in said):
            return True
    return bool(re.search(r"\d", low))


def _read(checked: Assessed) -> dict[Key, tuple[tuple[str, str], ...]]:
    """Every sentence of the site papers with the inputs of its clause; one that a value carries is left out."""
    found: dict[Key, tuple[tuple[str, str], ...]] = {}
    for name, paper in composed(checked, ("md",), wanted=SITE_PAPERS).items():
        kind = name.partition(".")[0]
        if kind not in SITE_PAPERS:
            continue
        texts = [
            (c.id.split(".")[-2 if c.id.count(".") > 1 + name.count(".") else -1], c.text, c.inputs) for c in paper.body.clauses
        ]
        for clause, text, inputs in texts or [("sheet", paper.document.markdown, ())]:
            for cell in _cells(text):
                for sentence in sentences_of(cell):
                    if sentence.endswith((".", "!", "?", ":")) and not _carried(sentence, inputs):
                        found[(kind, clause, sentence)] = inputs
    return found


@cache
def fixed() -> Mapping[Key, tuple[tuple[str, str], ...]]:
    """The sentences that are the same on both of a pair of sites: paper, clause, sentence -> the inputs of the clause at the first."""
    pairs = (
        ("harrow-ridge", {}, "pellan-creek", {}), ("harrow-ridge", ALL_SHUT, "pellan-creek", ALL_SHUT), ("harrow-ridge", GAP, "pellan-creek", GAP),
        ("sable-point", {}, "thornmere", {}), ("sable-point", {}, "harrow-ridge", ALL_SHUT),
    )  # fmt: skip
    out: dict[Key, tuple[tuple[str, str], ...]] = {}
    for one, changes, other, more in pairs:
        first = _read(with_changes(demo(one), changes) if changes else demo(one))
        second = _read(with_changes(demo(other), more) if more else demo(other))
        out |= {key: first[key] for key in first if key in second}
    return out


def listed() -> dict[Key, tuple[str, str]]:
    """What the table says: paper, clause, sentence -> why it may stand, and the field by which it stands there, or nothing."""
    data = yaml.safe_load(FILE.read_text(encoding="utf-8"))["papers"]
    return {
        (paper, clause, sentence): (row["why"], row.get("by", ""))
        for paper, clauses in data.items()
        for clause, row in clauses.items()
        for sentence in row["says"]
    }


def main(arguments: list[str]) -> int:
    known = listed() if FILE.is_file() else {}
    new = [key for key in sorted(fixed()) if key not in known]
    for paper, clause, sentence in new:
        print(f"{paper} | {clause} | {sentence}")
    if "--write" in arguments:
        head, data = "", {"reasons": {}, "papers": {}}
        if FILE.is_file():
            head = "".join(line for line in FILE.read_text(encoding="utf-8").splitlines(True) if line.startswith("#"))
            data = yaml.safe_load(FILE.read_text(encoding="utf-8"))
        for paper, clause, sentence in new:
            row = data["papers"].setdefault(paper, {}).setdefault(clause, {"why": "unread", "says": []})
            row["says"].append(sentence)
        FILE.write_text(head + yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=140), encoding="utf-8")
    return 1 if new else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
