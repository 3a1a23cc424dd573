"""What is looked at when parts are inspected where neither maker nor site says it, by the group of kinds that stand on one sheet. Data in inspected.yaml."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, cast

from docgen.data import load, wrong
from docgen.frozen import frozen
from docgen.trade.practice import HOME, Basis

__all__ = ["ANCHOR", "Clears", "First", "Group", "LookedAt", "Origin", "group", "groups", "groups_of", "origin"]

FILE = Path(__file__).parent / "inspected.yaml"
#: The kind of what is looked at and is no part of its own: an anchor for rescuers.
ANCHOR = "rescue-anchor"
#: Who clears a part that stopped a fall; nobody: it is destroyed.
Clears = Literal["qualified-person", "maker", "nobody"]
#: What must be there before anyone climbs after a fault.
First = Literal["another", "rescue"]


@frozen
class LookedAt:
    """One row: for parts of these kinds, what to look at and what takes the part out, by language, and the letter of its source."""

    kinds: tuple[str, ...]
    look_at: Mapping[str, str]
    takes_out: Mapping[str, str]
    source: str


@frozen
class Group:
    """The kinds of part of one sheet, in order, with their rows.

    `fixed` are the kinds that stay in their place when they fail; `then`, what else follows when a part fails; `above`, whether they hang out
    of reach; `listed`, whether each part has a row of its own in place of a column. `after_fall` and `clears`, what becomes of a part that
    stopped a fall, are empty where none does.
    """

    name: str
    title: Mapping[str, str]
    kinds: tuple[str, ...]
    fixed: tuple[str, ...]
    above: bool
    listed: bool
    then: First | None
    after_fall: Mapping[str, str]
    clears: Clears | None
    rows: tuple[LookedAt, ...]


@frozen
class Origin:
    """What rows of one letter rest on, by language; `basis`: whether the text was read, is remembered, or there is none."""

    letter: str
    called: Mapping[str, str]
    basis: Basis


class _Source(TypedDict):
    called: dict[str, str]
    basis: Basis
    elsewhere: NotRequired[str]


class _Row(TypedDict):
    kinds: list[str]
    source: str
    look_at: dict[str, str]
    takes_out: dict[str, str]


class _Group(TypedDict):
    title: dict[str, str]
    kinds: list[str]
    fixed: NotRequired[list[str]]
    above: NotRequired[bool]
    listed: NotRequired[bool]
    then: NotRequired[First]
    after_fall: NotRequired[dict[str, str]]
    clears: NotRequired[Clears]
    rows: list[_Row]


class _File(TypedDict):
    sources: dict[str, _Source]
    groups: dict[str, _Group]


@cache
def _file() -> _File:
    return cast("_File", load(FILE, "inspected"))


@cache
def groups() -> tuple[Group, ...]:
    """All groups, in the order of the file. DataError for a row of a kind or source that the file does not name."""
    found = []
    for name, row in _file()["groups"].items():
        for n, one in enumerate(row["rows"]):
            if stray := [kind for kind in one["kinds"] if kind not in row["kinds"]]:
                raise wrong(
                    FILE,
                    ("groups", name, "rows", str(n)),
                    f"the group does not hold the kind '{stray[0]}'; it holds: {', '.join(row['kinds'])}",
                )
            if one["source"] not in _file()["sources"]:
                raise wrong(FILE, ("groups", name, "rows", str(n)), f"there is no source '{one['source']}'; add it under sources")
        rows = tuple(LookedAt(tuple(r["kinds"]), r["look_at"], r["takes_out"], r["source"]) for r in row["rows"])
        fixed = tuple(row.get("fixed", ()))
        if stray := [kind for kind in fixed if kind not in row["kinds"]]:
            raise wrong(FILE, ("groups", name, "fixed"), f"the group does not hold the kind '{stray[0]}'")
        found.append(
            Group(
                name, row["title"], tuple(row["kinds"]), fixed, row.get("above", False), row.get("listed", False),
                row.get("then"), row.get("after_fall", {}), row.get("clears"), rows,
            )
        )  # fmt: skip
    return tuple(found)


def group(name: str) -> Group:
    """One group by name. KeyError for one that there is not."""
    return {g.name: g for g in groups()}[name]


def groups_of(kinds: Iterable[str]) -> tuple[str, ...]:
    """Names of the groups to which some kinds of part belong, in the order of the file.

    >>> groups_of(["hook", "harness", "srd"])
    ('device', 'harness')
    """
    there = frozenset(kinds)
    return tuple(g.name for g in groups() if not there.isdisjoint(g.kinds))


def origin(letter: str, country: str = HOME) -> Origin:
    """What the rows of a letter rest on in a country; outside its own a text of another country is named by none."""
    row = _file()["sources"][letter]
    if country != HOME and "elsewhere" in row:
        return origin(row["elsewhere"], HOME)
    return Origin(letter, row["called"], row["basis"])
