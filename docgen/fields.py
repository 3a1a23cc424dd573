"""Every field of the profile and the log as its declaration says it, in reading order: what it is, whether it must stand, who knows it, what rests on it.

Order, sentence, kind, examples and who knows it come from the declarations in `site/`; which findings stand without a field and which papers
rest on it is measured on the demo sites and kept in field_uses.yaml (tests/field_uses.py writes it).
"""

from __future__ import annotations

import dataclasses
import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal, cast

from docgen.data import load
from docgen.findings import RULES
from docgen.frozen import frozen
from docgen.older import moved
from docgen.site.build import Slot, slots_of
from docgen.site.declare import Says
from docgen.site.log import KINDS
from docgen.site.profile import Site
from docgen.site.schema import TAKEN_OVER, log_schema, profile_schema
from docgen.units import UNITS

__all__ = ["LOG", "Field", "below", "fields", "named", "near", "sections", "units_of", "words_of"]

Level = Literal["must", "should", "may"]
LOG = "log"  # the entries of the log stand behind the sections of the profile, one group a kind
FORMAT = "format"  # in field_uses.yaml: the format asks for the field where its group stands with another one
#: What is asked for on the walk or of whom it concerns -> the must-fix finding that counts it.
COUNTED = {"A": "bay-facts-missing", "B": "paper-facts-missing"}


@frozen
class Field:
    """One field. `name` is its path without numbers or ids, `of` the paths of what it lies in; `group` says that it holds fields of its own.

    `what` and `arg` are kind and detail of the value as `site.build.Slot` has them. `level`: must, where the format asks for it or a must-fix finding stands
    without it; should, where one to fix soon does; else may. `by_format`: the format asks for it where its group is given. `asks` are the findings that stand without it, `papers` those
    whose words rest on it.
    """

    name: str
    what: str
    arg: Any
    many: bool
    group: bool
    said: Says
    level: Level
    by_format: bool
    asks: tuple[str, ...]
    papers: tuple[str, ...]

    @property
    def key(self) -> str:
        """The last part of its path, as it is written in the file."""
        return self.name.rpartition(".")[2]

    @property
    def section(self) -> str:
        """The section of the profile in which it stands."""
        return self.name.partition(".")[0]


@frozen
class _Uses:
    asks: tuple[str, ...] = ()
    papers: tuple[str, ...] = ()


@cache
def _uses() -> Mapping[str, _Uses]:
    table = cast("dict[str, dict[str, list[str]]]", load(Path(__file__).parent / "field_uses.yaml", "field_uses"))
    return {name: _Uses(tuple(row.get("asks", ())), tuple(row.get("papers", ()))) for name, row in table.items()}


@cache
def fields() -> tuple[Field, ...]:
    """Every field in reading order, a group before what it holds: the profile, then the entries of the log by kind."""
    number = profile_schema()["properties"]["profile"]
    said = Says(number["description"], tuple(number["examples"]), required=True)
    head = _field("profile", _slot("profile", "whole", None, many=False), said)
    return (head, *_taken_over(), *_declared(Site, ""), *_of_log())


def _taken_over() -> Iterator[Field]:
    """What names a portfolio; it is taken out before the rest is read."""
    top = TAKEN_OVER
    yield _field("portfolio", _slot("portfolio", "record", None, many=False), Says(top["description"], tuple(top["examples"])))
    for key, told in top["properties"].items():
        said = Says(told["description"], tuple(told["examples"]), required=True)
        yield _field(f"portfolio.{key}", _slot(key, "text", None, many=False), said)


def _slot(name: str, what: str, arg: Any, many: bool = True) -> Slot:
    return Slot(name=name, key=name, what=what, arg=arg, many=many, optional=many)


def _declared(cls: Any, at: str) -> Iterator[Field]:
    said = {f.name: f.metadata["says"] for f in dataclasses.fields(cls) if "says" in f.metadata}
    for slot in slots_of(cls):
        name = f"{at}.{slot.key}".lstrip(".")
        yield _field(name, slot, said[slot.name])
        if slot.what == "record":
            yield from _declared(slot.arg, name)


def _of_log() -> Iterator[Field]:
    yield _field(LOG, _slot(LOG, "record", None), Says(log_schema()["description"]))
    for kind, cls in KINDS.items():
        told = Says(" ".join((cls.__doc__ or "").split()))
        yield _field(f"{LOG}.{kind}", _slot(kind, "record", cls), told)
        yield from _declared(cls, f"{LOG}.{kind}")


def _field(name: str, slot: Slot, said: Says) -> Field:
    uses = _uses().get(name, _Uses())
    by_format = said.required or said.need == "r" or FORMAT in uses.asks
    counted = (COUNTED[said.need],) if said.need in COUNTED else ()
    asks = tuple(dict.fromkeys((*counted, *(finding for finding in uses.asks if finding != FORMAT))))
    severities = {_severity(finding) for finding in asks}
    must = by_format or "must-fix" in severities
    level: Level = "must" if must else "should" if "fix-soon" in severities else "may"
    return Field(
        name=name, what=slot.what, arg=slot.arg, many=slot.many, group=slot.what == "record", said=said, level=level,
        by_format=by_format, asks=asks, papers=uses.papers,
    )  # fmt: skip


@cache
def _severities() -> Mapping[str, str]:
    return {rule.name: rule.severity for rule in RULES}


def _severity(finding: str) -> str:
    return _severities().get(finding, "")


def sections() -> tuple[Field, ...]:
    """The sections of the profile, then the log."""
    return tuple(field for field in fields() if field.group and "." not in field.name)


def below(name: str, deep: bool = True) -> tuple[Field, ...]:
    """The fields that a group holds, in reading order; those of the groups in it too where `deep`."""
    inside = tuple(field for field in fields() if field.name.startswith(f"{name}."))
    return inside if deep else tuple(field for field in inside if "." not in field.name[len(name) + 1 :])


def units_of(kind: str) -> tuple[str, ...]:
    """The units in which a kind of quantity may be written, one spelling each."""
    seen: dict[object, str] = {}
    for name, unit in UNITS.items():
        if unit.kind == kind:
            seen.setdefault(unit, name)
    return tuple(seen.values())


# --- by a short name ----------------------------------------------------------------------------------------------------

#: Words of a question that tell nothing: they stand in most sentences.
EMPTY = frozenset(
    [
        "a",
        "an",
        "and",
        "as",
        "at",
        "by",
        "for",
        "from",
        "if",
        "in",
        "is",
        "it",
        "its",
        "not",
        "of",
        "on",
        "one",
        "or",
        "over",
        "that",
        "the",
        "this",
        "to",
        "under",
        "who",
        "with",
    ]
)
_WORD = re.compile(r"[a-z0-9]+")


def _stem(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def words_of(text: str) -> tuple[str, ...]:
    """The words of a name or a sentence as they are compared: small letters, without the s of a plural, those that tell nothing left out."""
    found = (_stem(word) for word in _WORD.findall(text.casefold()) if word not in EMPTY)
    return tuple(dict.fromkeys(found))


@cache
def _spelt() -> tuple[tuple[Field, tuple[str, ...], tuple[str, ...], frozenset[str]], ...]:
    """Each field with its parts, the words of its path, and those of its sentence and of where it is read off."""
    return tuple(
        (f, tuple(f.name.split(".")), words_of(f.name), frozenset(words_of(f"{f.said.sentence} {f.said.read_off}")))
        for f in fields()
    )


def named(asked: str) -> tuple[Field, ...]:
    """The fields that a name may mean, the likeliest first: the whole path; else its last parts; else some of its parts; else what it was called in 0.1.0; else words of its path or sentence.

    >>> [field.name for field in named("rail.underside")]
    ['bays.rail.underside']
    """
    plain = re.sub(r"\[[^\]]*\]", "", asked.strip()).casefold()
    parts = tuple(re.sub(r"[\s-]+", "_", part.strip()) for part in plain.strip(".").split("."))
    if not all(parts):
        return ()
    dashed = tuple(part.replace("_", "-") for part in parts)  # kinds of the log are written with hyphens
    for fits in (lambda way, want: way == want, lambda way, want: way[-len(want) :] == want, _holds):
        found = tuple(f for f, way, _, _ in _spelt() if fits(way, parts) or fits(way, dashed))
        if found:
            return found
    return _formerly(parts) or _by_words(words_of(plain))


def _formerly(parts: tuple[str, ...]) -> tuple[Field, ...]:
    """Where a field stands now that had such a name in 0.1.0, by its last parts or by the words of them."""
    wanted = set(words_of(" ".join(parts)))
    for row in moved():
        for was in row.was:
            way = tuple(was.replace("[]", "").split("."))
            last_two = words_of(" ".join(way[-2:]))
            if way[-len(parts) :] == parts or (len(wanted) > 1 and wanted == set(last_two)):
                names = [now.replace("[]", "") for now in row.now]
                return tuple(f for f in fields() if f.name in names)
    return ()


def _holds(way: tuple[str, ...], want: tuple[str, ...]) -> bool:
    """Whether the parts wanted stand on the way in their order, the last of them at its end."""
    if way[-1] != want[-1]:
        return False
    steps = iter(way)
    return all(part in steps for part in want)


def _by_words(wanted: tuple[str, ...]) -> tuple[Field, ...]:
    """The fields in whose path and sentence all the words stand; those with more of them in the path come first."""
    if not wanted:
        return ()
    found: list[tuple[int, int, int, Field]] = []
    for index, (field, _, path, sentence) in enumerate(_spelt()):
        inside = [word for word in wanted if _among(word, path)]
        if all(word in inside or word in sentence for word in wanted):
            last = sum(_among(word, words_of(field.key)) for word in wanted)
            found.append((-last, -len(inside), index, field))
    found.sort(key=lambda row: row[:3])
    best = found[0][:2] if found else (0, 0)
    close = [row for row in found if row[:2] == best] if best != (0, 0) else found
    return tuple(row[3] for row in close)


def _among(word: str, path: Iterable[str]) -> bool:
    return any(word == other or (len(word) > 4 and other.startswith(word)) for other in path)


def near(asked: str, names: Iterable[str], most: int = 4) -> tuple[str, ...]:
    """Of the names those that share a word with what was asked, or have one that is spelt nearly like it; the nearest first."""
    wanted = words_of(asked)
    plain = "".join(wanted)
    found: list[tuple[float, str]] = []
    for name in dict.fromkeys(names):
        have = words_of(name)
        score = sum(max((_alike(word, other) for other in have), default=0.0) for word in wanted)
        whole = difflib.SequenceMatcher(None, plain, "".join(have)).ratio()
        score = max(score / max(len(wanted), len(have), 1), whole if whole >= CLOSE else 0.0)
        if score:
            found.append((-score, name))
    return tuple(name for _, name in sorted(found)[:most])


CLOSE = 0.8  # how like each other two spellings of one word are, as difflib counts


def _alike(one: str, other: str) -> float:
    if one == other:
        return 1.0
    if min(len(one), len(other)) < 4:
        return 0.0
    ratio = difflib.SequenceMatcher(None, one, other).ratio()
    return ratio if ratio >= CLOSE else 0.0
