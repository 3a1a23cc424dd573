"""What an inspection sheet holds: the parts of its group with number, interval, manual and days, and the rows that are looked at.

Rows of the maker or the site come first; those of common practice bear the letter of their source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from docgen.compose.contexts import SheetContext
from docgen.compose.helpers import lower_first
from docgen.site import Part
from docgen.trade.inspected import ANCHOR, Group, LookedAt, group, origin
from docgen.words import spelled

__all__ = ["Column", "Inspecting", "Kept", "Look", "Looks", "Piece", "Same"]

#: So many parts stand beside each other on a sheet on its long side, with what is looked at and what takes a part out.
COLUMNS = 8
#: So many parts have a row of their own on a sheet, and so few rows it has at the least.
ROWS, LEAST = 9, 6
#: A run of numbers as a profile writes it, such as H-01 to H-08.
RUN = re.compile(r"(.*?)(\d+)\s*(?:to|-|\u2013)\s*(.*?)(\d+)")


@dataclass(frozen=True, slots=True)
class Column:
    """One thing that is looked at: the id of its part, which one of several (0: there is one), the number that it must bear, where known.

    `within`: it is part of another, whose number is read, and bears none of its own.
    """

    id: str
    nth: int = 0
    of: int = 1
    serial: str | None = None
    within: bool = False


@dataclass(frozen=True, slots=True)
class Look:
    """One row: what to look at, what takes the part out (None: the maker says), and where it is from: words of the site, or a letter."""

    kind: str
    look_at: str
    takes_out: str | None
    source: str | None = None
    letter: str = ""


@dataclass(frozen=True, slots=True)
class Looks:
    """The parts of one kind, beside each other, with their rows."""

    kind: str
    columns: tuple[Column, ...]
    rows: tuple[Look, ...]


@dataclass(frozen=True, slots=True)
class Same:
    """Parts of which the same is known: ids with their numbers, interval, manual, day of the last inspection and of the next."""

    parts: tuple[tuple[str, str | None], ...]
    interval: str | None
    manual: str | None
    last: date | None
    due: date | None


@dataclass(frozen=True, slots=True)
class Piece:
    """One part in a row of its own: the number on it and what its label says, each empty where the hand writes it."""

    number: str = ""
    maker: str = ""
    made: str = ""
    first_used: date | None = None
    retire_by: date | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """What the parts of a group that this site has ask for when one fails: those that stay in their place by kind, and whether others do not."""

    fixed: tuple[str, ...]
    movable: bool
    group: Group


class Inspecting:
    """The functions of one inspection sheet."""

    def __init__(self, context: SheetContext, words: Mapping[str, Any]) -> None:
        self.context, self.words = context, words
        self.site, self.happened, self.assessed = context.inner.site, context.happened, context.assessed
        self.language, self.spelling = context.inner.language, context.inner.law.spelling

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function."""
        names = (
            "inspected", "looked_over", "known_of", "stands_for", "after_fall", "kind_name", "together", "kept", "pieces", "pooled", "inspectors",
        )  # fmt: skip
        return {name: getattr(self, name) for name in names}

    def _parts(self, name: str) -> list[Part]:
        kinds = group(name).kinds
        found = [p for p in self.site.equipment if p.kind in kinds]
        return sorted(found, key=lambda p: kinds.index(p.kind))

    def _anchors(self, name: str) -> list[str]:
        """The anchors for rescuers that are no part of the equipment list."""
        found = [a.id for bay in self.site.bays for a in bay.rescue_anchors if a.part is None]
        return found if ANCHOR in group(name).kinds else []

    def kind_name(self, kind: str) -> str:
        """A kind of part in words."""
        return lower_first(str(self.words["terms"][kind]))

    def _rows(self, of: Group, kind: str) -> list[Look]:
        """Rows of the site for a kind, then those of common practice."""
        own = [Look(kind, r.look_at, r.takes_out, r.source) for r in self.site.inspection.rows if r.kind == kind]
        return [*own, *(self._practice(kind, r) for r in of.rows if kind in r.kinds)]

    def _practice(self, kind: str, row: LookedAt) -> Look:
        told = (spelled(said[self.language], self.language, self.spelling) for said in (row.look_at, row.takes_out))
        letter = self._letter(row)
        return Look(kind, next(told), next(told), None, letter)

    def _letter(self, row: LookedAt) -> str:
        return origin(row.source, self.site.country).letter

    def _columns(self, parts: Iterable[Part]) -> list[Column]:
        """Each thing by itself; a pool of more than a sheet has room for stands as one."""
        found: list[Column] = []
        for part in parts:
            count = part.count or 1
            if 1 < count <= COLUMNS:
                found += [Column(part.id, n, count) for n in range(1, count + 1)]
            else:
                within = part.part_of.part is not None and part.serial is None
                found.append(Column(part.id, 0, count, part.serial if count == 1 else None, within))
        return found

    def inspected(self, name: str) -> list[Looks]:
        """A table for each kind of part of a group, with a column for each thing; where they are many, several tables."""
        found, of = [], group(name)
        for kind in of.kinds:
            columns = self._columns(p for p in self._parts(name) if p.kind == kind)
            columns += [Column(key) for key in self._anchors(name)] if kind == ANCHOR else []
            rows = tuple(self._rows(of, kind))
            found += [Looks(kind, tuple(columns[at : at + COLUMNS]), rows) for at in range(0, len(columns), COLUMNS)]
        return found

    def together(self, tables: Sequence[Looks]) -> bool:
        """Whether the parts stand in one table with a box each, since a table for each kind would fill more than a side."""
        return len({t.kind for t in tables}) > 2 or sum(len(t.rows) + 2 for t in tables) > 14

    def looked_over(self, name: str) -> list[tuple[Look, tuple[tuple[str, int], ...]]]:
        """All rows of a group, each with the parts of its kind and how many a part stands for."""
        found = []
        for kind in group(name).kinds:
            own = tuple((p.id, p.count or 1) for p in self._parts(name) if p.kind == kind)
            own += tuple((key, 1) for key in self._anchors(name)) if kind == ANCHOR else ()
            found += [(row, own) for row in self._rows(group(name), kind)] if own else []
        return found

    def known_of(self, name: str) -> list[Same]:
        """Interval, manual and days of the parts of a group; those of which the same is known stand together, what is due first at the head."""
        dues = {d.id: d.due for d in self.assessed.dues if d.what == "inspection"}
        found: dict[tuple[object, ...], Same] = {}
        for part in self._parts(name):
            look = self.happened.inspection_of(part.id)
            interval = part.inspection.interval
            one = Same(
                ((part.id, part.serial),), interval.text if interval else None, self._manual(part),
                look.on if look else None, dues.get(part.id),
            )  # fmt: skip
            key = (one.interval, one.manual, one.last, one.due)
            found[key] = replace(found[key], parts=(*found[key].parts, *one.parts)) if key in found else one
        return sorted(found.values(), key=lambda same: (same.due or date.min, same.parts))

    def _manual(self, part: Part) -> str | None:
        """The instruction of the maker, of a part of another that of the whole; for a frame and its footings, which have none, the drawing."""
        whole = self.site.part(part.part_of.part) if part.part_of.part else None
        drawing = part.part_of.paper if part.kind in group("structure").kinds else self._drawing(part)
        return part.manual or (whole.manual if whole is not None else None) or drawing or self._drawing(part)

    def _drawing(self, part: Part) -> str | None:
        """The drawing by which a frame or an anchor for rescuers was reviewed."""
        anchors = (a.drawing for bay in self.site.bays for a in bay.rescue_anchors if a.part == part.id)
        if part.kind == ANCHOR:
            return next((drawing for drawing in anchors if drawing), None)
        if part.kind in group("structure").kinds:
            systems = [s for s in self.site.systems if part.id in s.parts]
            return next((s.anchorage.drawing for s in systems if s.anchorage.drawing), None)
        return None

    def kept(self, name: str) -> Kept:
        """The kinds of the parts of a group that stay in their place when they fail, in words, and whether there are others."""
        of = group(name)
        kinds: set[str] = {p.kind for p in self._parts(name)}
        kinds |= {ANCHOR} if self._anchors(name) else set()
        fixed = tuple(self.kind_name(kind) for kind in of.kinds if kind in kinds and kind in of.fixed)
        return Kept(fixed, len(kinds) > len(fixed), of)

    def pieces(self, name: str) -> list[Piece]:
        """Each part of a group in a row of its own, a pool by the numbers of its run; where they are more than a sheet holds, empty rows."""
        found: list[Piece] = []
        for part in self._parts(name):
            count = part.count or 1
            numbers = run(part.serial, count) if count > 1 else [part.serial or part.id]
            said = (part.maker or "", part.made or "", part.in_service, part.retire_by)
            found += [Piece(number, *said) for number in numbers]
        if len(found) > ROWS:
            return [Piece()] * ROWS
        return found + [Piece()] * (LEAST - len(found))

    def pooled(self, name: str) -> int:
        """How many parts of a group there are where a sheet has no room for all of them, else 0."""
        count = sum(part.count or 1 for part in self._parts(name))
        return count if count > ROWS else 0

    def inspectors(self, name: str) -> list[str]:
        """The roles that inspect the parts of a group, by id: whoever a part names, else the inspector of the site."""
        usual = self.site.role_of("inspector") or self.site.role_of("competent-person")
        named = [part.inspection.by or (usual.id if usual else "") for part in self._parts(name)]
        if not named and usual:
            named = [usual.id]
        return [key for key in dict.fromkeys(named) if key]

    def stands_for(self, rows: Iterable[Look]) -> list[tuple[str, str]]:
        """What the letters behind rows stand for, once each."""
        letters = dict.fromkeys(row.letter for row in rows if row.letter)
        return [
            (letter, spelled(origin(letter).called[self.language], self.language, self.spelling)) for letter in sorted(letters)
        ]

    def after_fall(self, name: str) -> str:
        """What becomes of a part of the group that stopped a fall; empty where it bears none."""
        said = group(name).after_fall
        return spelled(said[self.language], self.language, self.spelling) if said else ""


def run(serial: str | None, count: int) -> list[str]:
    """The numbers of a pool, where its serial is a run of just so many; else so many empty ones.

    >>> run("H-08 to H-10", 3)
    ['H-08', 'H-09', 'H-10']
    >>> run("see list", 2)
    ['', '']
    """
    found = RUN.fullmatch(serial or "")
    if found is not None:
        before, first, again, last = found.groups()
        if before == again and int(last) - int(first) + 1 == count:
            return [f"{before}{n:0{len(first)}d}" for n in range(int(first), int(last) + 1)]
    return [""] * count
