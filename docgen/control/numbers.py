"""Numbers in a redline: each clause keeps the one that it had, and what is new takes the number before it with a letter.

Used for DOCX, where the numbers are worked out from the numbering of the file (ISO/IEC 29500-1, 17.9), and for HTML.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from docgen.frozen import frozen

if TYPE_CHECKING:
    from lxml.etree import _Element as Element

__all__ = ["Counted", "Numbering", "Shown"]

MAIN = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
W = f"{{{MAIN}}}"
LEVEL = re.compile(r"%(\d)")
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ROMAN = ((10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i"))
DEEPEST = 9
LIST = "list "


@frozen
class Counted:
    """The number of one paragraph: the parts of it down to its level, how they are written (`%1.%2`), and what numbers it."""

    chain: str
    parts: tuple[str, ...]
    form: str

    def label(self, parts: tuple[str, ...] | None = None) -> str:
        """The number as it is printed, or as it would be with other parts."""
        own = self.parts if parts is None else parts
        return LEVEL.sub(lambda m: own[int(m[1]) - 1] if int(m[1]) <= len(own) else "", self.form).strip()


class Numbering:
    """The numbering of one DOCX: what Word prints before its paragraphs, in their order."""

    def __init__(self, styles: Element, numbering: Element) -> None:
        self.forms: dict[str, dict[int, tuple[str, str, int]]] = {}
        for abstract in numbering.findall(f"{W}abstractNum"):
            levels = {int(_val(lvl, "ilvl")): _level(lvl) for lvl in abstract.findall(f"{W}lvl")}
            self.forms[_val(abstract, "abstractNumId")] = levels
        self.abstract: dict[str, str] = {}
        self.starts: dict[str, dict[int, int]] = {}
        for num in numbering.findall(f"{W}num"):
            name = _val(num, "numId")
            held = num.find(f"{W}abstractNumId")
            self.abstract[name] = _val(held, "val") if held is not None else ""
            self.starts[name] = {
                int(_val(over, "ilvl")): int(_val(start, "val"))
                for over in num.findall(f"{W}lvlOverride")
                for start in over.findall(f"{W}startOverride")
            }
        self.styled: dict[str, tuple[str, int]] = {}
        for style in styles.findall(f"{W}style"):
            given = _numbered(style)
            if given is not None:
                self.styled[_val(style, "styleId")] = given

    def counted(self, body: Element) -> Iterator[tuple[Element, Counted]]:
        """Each paragraph of a body that bears a number."""
        counts: dict[str, list[int]] = {}
        for paragraph in body.iter(f"{W}p"):
            style = paragraph.find(f"{W}pPr/{W}pStyle")
            given = _numbered(paragraph) or self.styled.get(_val(style, "val") if style is not None else "")
            if given is None or given[0] not in self.abstract:
                continue
            name, level = given
            levels = self.forms.get(self.abstract[name], {})
            kind, form, _ = levels.get(level, ("bullet", "", 1))
            if kind in ("bullet", "none"):
                continue
            chain = f"{LIST}{name}" if self.starts[name] else f"chain {self.abstract[name]}"
            count = counts.setdefault(chain, [self._start(name, at, levels) - 1 for at in range(DEEPEST)])
            count[level] += 1
            count[level + 1 :] = [self._start(name, at, levels) - 1 for at in range(level + 1, DEEPEST)]
            parts = tuple(_written(levels[at][0], count[at]) for at in range(level + 1))
            yield paragraph, Counted(chain, parts, form)

    def _start(self, name: str, level: int, levels: Mapping[int, tuple[str, str, int]]) -> int:
        return self.starts[name].get(level, levels[level][2] if level in levels else 1)


class Shown:
    """The numbers that a redline shows, paragraph after paragraph. `same` are the lists of both texts that belong together: new -> old."""

    def __init__(self, same: Mapping[str, str] | None = None) -> None:
        self.same = same or {}
        self.last: dict[str, tuple[str, ...]] = {}
        self.fresh: dict[str, set[tuple[str, ...]]] = {}

    def kept(self, old: Counted) -> str:
        """Of a paragraph that was there: its own, whether it stays or goes."""
        self.last[old.chain] = old.parts
        return old.label()

    def added(self, new: Counted) -> str:
        """Of a paragraph that is new: the number before it and a letter; below a new one, and in a new list, it counts from 1."""
        chain = self.same.get(new.chain, f"new {new.chain}" if new.chain.startswith(LIST) else new.chain)
        last, level = self.last.get(chain, ()), len(new.parts) - 1
        above = (*last[:level], *new.parts[len(last[:level]) : level])
        before = last[level] if len(last) > level else "0"
        fresh = self.fresh.setdefault(chain, {()} if chain.startswith("new ") else set())
        if above in fresh:
            own = str(int(before) + 1) if before.isdigit() else new.parts[level]
        else:
            own = _next(before)
            fresh.add((*above, own))
        self.last[chain] = (*above, own)
        return new.label(self.last[chain])


def _next(before: str) -> str:
    """The number after this one that no number of the older text can be: 3 -> 3A -> 3B; A -> A1."""
    if before[:1].isdigit():
        last = before[-1]
        return f"{before[:-1]}{LETTERS[LETTERS.index(last) + 1]}" if last in LETTERS[:-1] else f"{before}A"
    digits = re.sub(r"\D", "", before)
    return f"{before[: len(before) - len(digits)]}{int(digits or 0) + 1}"


def _val(element: Element, name: str) -> str:
    return element.get(f"{W}{name}") or ""


def _numbered(holder: Element) -> tuple[str, int] | None:
    number = holder.find(f"{W}pPr/{W}numPr")
    held = number.find(f"{W}numId") if number is not None else None
    if number is None or held is None:
        return None
    level = number.find(f"{W}ilvl")
    return _val(held, "val"), int(_val(level, "val")) if level is not None else 0


def _level(lvl: Element) -> tuple[str, str, int]:
    kind, form, start = (lvl.find(f"{W}{n}") for n in ("numFmt", "lvlText", "start"))
    return (
        _val(kind, "val") if kind is not None else "decimal",
        _val(form, "val") if form is not None else "",
        int(_val(start, "val")) if start is not None else 1,
    )


def _written(kind: str, count: int) -> str:
    if kind == "upperLetter":
        return LETTERS[(count - 1) % len(LETTERS)]
    if kind == "lowerLetter":
        return LETTERS[(count - 1) % len(LETTERS)].lower()
    if kind == "lowerRoman":
        text = ""
        for value, sign in ROMAN:
            text += sign * (count // value)
            count %= value
        return text
    return str(count)
