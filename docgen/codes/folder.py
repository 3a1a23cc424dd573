"""One jurisdiction folder, and how it is found: by the code on the first line of its index.yaml, not by its name."""

import re
from collections.abc import Mapping
from datetime import date
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from docgen.codes.model import Basis
from docgen.data import blocks
from docgen.errors import CodeError
from docgen.frozen import frozen
from docgen.resources import PACKAGE

__all__ = [
    "ANSWER_FILES",
    "NOT_LOOKED",
    "Fallback",
    "Folder",
    "KnownOf",
    "Place",
    "Timelines",
    "find",
    "folder",
    "forget_folders",
    "known",
    "part_name",
    "place",
    "sharing",
]

HOME = PACKAGE / "codes"
Timelines = Mapping[str, Mapping[Any, Any]]  # sector -> day (or `expected`) -> fields of an answer
ANSWER_FILES = ("limits.yaml", "rules.yaml", "definitions.yaml")
NOT_LOOKED = "not_looked.yaml"
_DAY = re.compile(r"(?<![\w-])([0-9]{4}-[0-9]{2}-[0-9]{2}):")
_FIRST_LINE = re.compile(r"code: +([A-Z0-9][A-Za-z0-9.-]*)\s*")


class Folder:
    """The files of one jurisdiction, each block parsed when asked for."""

    def __init__(self, code: str, path: Path):
        self.code = code
        self.path = path
        self.index: dict[str, Any] = dict(blocks(path / "index.yaml", "code/index"))

    def file(self, name: str) -> Mapping[str, Any]:
        """The blocks of a file of this folder, empty when it has no such file."""
        path = self.path / name
        if not path.is_file():
            return {}
        definition = "answers" if name in ANSWER_FILES else name.partition("/")[0].removesuffix(".yaml")
        return blocks(path, f"code/{definition}")

    def timelines(self, key: str) -> tuple[str, Timelines] | None:
        """File name and the answers to one question by sector and day; None when this folder does not take it up."""
        for name in ANSWER_FILES:
            entries = self.file(name)
            if key in entries:
                return f"{self.path.name}/{name}", entries[key]
        return None

    @cached_property
    def days(self) -> frozenset[date]:
        """Every day that stands before an answer here, read off the text: a few milliseconds where parsing takes a tenth of a check."""
        texts = (path.read_text(encoding="utf-8") for name in ANSWER_FILES if (path := self.path / name).is_file())
        return frozenset(date.fromisoformat(day) for text in texts for day in _DAY.findall(text))

    def not_looked(self, key: str, sector: str) -> str:
        """Why a question was left unlooked at here, for a sector; empty when it is not entered so."""
        entries = self.file(NOT_LOOKED)
        listed = any(key in entries["questions"].get(name, ()) for name in (sector, "all")) if entries else False
        return str(entries["note"]) if listed else ""

    @property
    def languages(self) -> tuple[str, ...]:
        """The languages that have wording here."""
        return tuple(sorted(path.stem for path in (self.path / "words").glob("*.yaml")))


@frozen
class KnownOf:
    """What is known of the law of a part that has no folder of its own."""

    says: str
    citation: str
    basis: Basis


@frozen
class Fallback:
    """The set of a country, by name and code, that serves for a part without a folder of its own, which sentences call `called`;
    `own_plan`: which runs a plan of its own that may govern instead; `authority`: whose it is where it is known that none does."""

    asked: str
    called: str
    name: str
    code: str
    own_plan: bool
    known: KnownOf | None = None
    authority: str = ""


@frozen
class Place:
    """Where a site lies: the folders that answer, nearest first, and what is to be said when none is its own.

    `sharing` is the chain and then the folders whose wording and mistakes serve here without their law.
    """

    asked: str
    chain: tuple[Folder, ...]
    sharing: tuple[Folder, ...]
    fallback: Fallback | None = None
    regional_plan: bool = False


@cache
def _codes(root: Path) -> dict[str, Path]:
    found: dict[str, Path] = {}
    for index in sorted(root.glob("*/index.yaml")):
        with index.open(encoding="utf-8") as lines:
            match = _FIRST_LINE.fullmatch(lines.readline())
        if not match:
            raise CodeError(f"{index.parent.name}/index.yaml:1 must begin with the jurisdiction, such as 'code: US-CA'")
        if match[1] in found:
            raise CodeError(f"{index.parent.name}/index.yaml:1 repeats the code {match[1]} of {found[match[1]].name}")
        found[match[1]] = index.parent
    return found


def known(extra_roots: tuple[Path, ...] = ()) -> tuple[str, ...]:
    """The codes that have a folder, sorted."""
    return tuple(sorted({code for root in (HOME, *extra_roots) for code in _codes(root)}))


@cache
def find(code: str, extra_roots: tuple[Path, ...] = ()) -> Folder | None:
    """The folder of exactly this code; extra roots come first. None when there is none."""
    for root in (*extra_roots, HOME):
        if code in _codes(root):
            return Folder(code, _codes(root)[code])
    return None


def forget_folders() -> None:
    """Look for the folders of all sets anew when one is asked next."""
    _codes.cache_clear()
    find.cache_clear()


def folder(code: str, extra_roots: tuple[Path, ...]) -> tuple[Folder, ...]:
    """A folder and those it extends, nearest first. Raises CodeError for a parent that is missing or a circle."""
    return _follow(code, ("extends",), extra_roots)


def sharing(code: str, extra_roots: tuple[Path, ...]) -> tuple[Folder, ...]:
    """The same, and beyond its end the folders whose wording and mistakes are shared. Raises CodeError too."""
    return _follow(code, ("extends", "shares"), extra_roots)


def _follow(code: str, fields: tuple[str, ...], extra_roots: tuple[Path, ...]) -> tuple[Folder, ...]:
    chain: list[Folder] = []
    following: str | None = code
    field = fields[0]
    while following:
        if any(link.code == following for link in chain):
            told = f"{field} {following}, which {field} it in turn; remove one of the two"
            raise CodeError(f"{_index(chain)} {told}")
        found = find(following, extra_roots)
        if not found:
            there = _listed(extra_roots)
            raise CodeError(f"{_index(chain)} {field} {following}, which has no folder; there are {there}")
        chain.append(found)
        field = next((name for name in fields if found.index.get(name)), fields[0])
        following = found.index.get(field)
    return tuple(chain)


def place(asked: str, extra_roots: tuple[Path, ...] = ()) -> Place:
    """Resolve a jurisdiction: its own folder, else the country's. Raises CodeError for an unknown one."""
    if find(asked, extra_roots):
        return Place(asked, folder(asked, extra_roots), sharing(asked, extra_roots))
    country = asked.split("-")[0]
    home = find(country, extra_roots)
    if not home or country == asked:
        raise CodeError(f"there is no set of law for '{asked}'; there are {_listed(extra_roots)}")
    parts = home.index.get("subdivisions")
    if parts and asked not in parts:
        right = f"write an ISO 3166-2 code such as {next(iter(parts))}, or {country}"
        raise CodeError(f"'{asked}' is not a part of {home.index['name']}; {right}")
    if home.index.get("serves_parts") is False:
        only = f"{country} is {home.index['name']} and does not stand in for it"
        raise CodeError(f"there is no set of law for '{asked}', and {only}; there are {_listed(extra_roots)}")
    plans = home.index.get("regional_plans", {})
    plan = asked in plans.get("private", ())
    told = plans.get("differences", {}).get(asked)
    none = asked not in (*plans.get("private", ()), *plans.get("public_only", ()))
    authority = plans.get("authority_elsewhere", "") if none else ""
    fallback = Fallback(
        asked, part_name(asked, extra_roots), home.index["name"], country, plan, KnownOf(**told) if told else None, authority
    )
    return Place(asked, folder(country, extra_roots), sharing(country, extra_roots), fallback, plan)


def part_name(code: str, extra_roots: tuple[Path, ...] = ()) -> str:
    """What sentences call a place: the name of its set, or the one that its country has for it; the code itself where neither is."""
    if found := find(code, extra_roots):
        return str(found.index["name"])
    home = find(code.split("-")[0], extra_roots)
    return str(home.index.get("subdivisions", {}).get(code, code)) if home else code


def _index(chain: list[Folder]) -> str:
    return f"{chain[-1].path.name}/index.yaml"


def _listed(extra_roots: tuple[Path, ...]) -> str:
    return ", ".join(known(extra_roots)) or "none"
