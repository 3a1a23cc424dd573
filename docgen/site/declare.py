"""How a field of the profile is declared: once, here, with its sentence, examples and rules; records, schema and editor help follow.

    underside: Length | None = says("Height of the underside of the rail above the datum.", "25 ft", toward="nearest")

The annotation says what kind of value it is; `| None` and an empty tuple mean that it may be left out. `schema.py` makes
the JSON Schema from these declarations, `build.py` the records from a checked source.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from datetime import date
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, Literal, TypeVar, cast

from docgen.frozen import record

__all__ = [
    "Angle", "Attachment", "Bound", "Conditions", "FileKey", "Force", "How", "Jurisdiction", "Key", "Language", "Length", "Mass", "Name", "Need", "Node", "PaperName", "Phone",
    "Quantity", "QuestionKey", "Rounds", "RuleValue", "Says", "SecondMoment", "SectionModulus", "SideName", "Speed", "Spoken", "Station", "Stress", "Temperature", "Text", "Time", "Voltage", "in_language", "record", "says", "section",
]  # fmt: skip

Bound = Literal["label-maximum", "rated-minimum", "design", "allowance"]
How = Literal["measured", "label", "manual", "design", "drill", "assumed", "calculated"]
SideName = Literal["left", "right", "front", "rear", "hatch", "gap"]
Attachment = Literal["dorsal", "sternal", "side"]
Need = Literal["", "A", "B", "o", "r"]
#: Where a fact is got: on one walk from the gate through the bay, off labels, of people who know, and what the site decides.
Station = Literal[
    "", "gate", "parking", "ladder", "deck", "rail", "rescue", "signals", "way-off", "labels", "engineer", "rescue-lead", "counsel", "decide"
]  # fmt: skip
#: Toward which side a figure is rounded where it is printed in other units: what is needed up, what is had or allowed down.
Rounds = Literal["", "up", "down", "nearest"]
#: (key, value, keys that are required where the key has that value)
Conditions = tuple[tuple[str, str, tuple[str, ...]], ...]


@record
class Node:
    """A mapping of the profile. `path` is stable: list items are named by their id, not by their position."""

    path: str
    given: bool = dataclasses.field(default=True, kw_only=True)

    def __bool__(self) -> bool:
        return self.given


@record
class Quantity(Node):
    """A measured thing: `si` in m, kg, N, s, m/s, rad, K, V, N/m^2, m^4 or m^3; `text` and `unit` as written; the evidence as stated.

    `how` is None when the profile gives the bare figure, and calculated for a result of docgen. `bound`: the figure is a bound
    already, so that it has no tolerance. `tolerance_stated`: the profile gives one, be it zero. `toward`: as its field declares it.
    """

    si: float = 0.0
    kind: str = ""
    text: str = ""
    unit: str = ""
    how: How | None = None
    by: str | None = None
    on: date | None = None
    tolerance: float = 0.0
    tolerance_stated: bool = False
    bound: Bound | None = None
    toward: Rounds = ""

    @property
    def assumed(self) -> bool:
        """Whether the figure was assumed, not measured, read or given."""
        return self.how == "assumed"


class Spoken(str):
    """A text of the profile in several languages: itself in the first of them, `versions` in each."""

    versions: Mapping[str, str]

    def __new__(cls, versions: Mapping[str, str]) -> Spoken:
        """Language code -> text; at least one."""
        text = super().__new__(cls, next(iter(versions.values())))
        text.versions = MappingProxyType(dict(versions))
        return text

    def __reduce__(self) -> tuple[type[Spoken], tuple[dict[str, str]]]:
        return Spoken, (dict(self.versions),)

    def in_(self, language: str) -> str:
        """The version in a language, or in its main language (`pt` for `pt-BR`); itself where there is none."""
        return self.versions.get(language) or self.versions.get(language.split("-")[0]) or str(self)


N = TypeVar("N", bound=Node)


def in_language(node: N, language: str) -> N:
    """A record with every text in its version for a language; the record itself where no text has versions."""
    changed = {
        name: new
        for name in _declared(cast(Any, type(node)))
        if (new := _version(old := getattr(node, name), language)) is not old
    }
    return dataclasses.replace(node, **changed) if changed else node


@cache
def _declared(kind: type) -> tuple[str, ...]:
    """The fields of a kind of record that stand in the profile or the log."""
    return tuple(f.name for f in dataclasses.fields(kind) if "says" in f.metadata)


def _version(value: Any, language: str) -> Any:
    if isinstance(value, Spoken):
        return value.in_(language)
    if isinstance(value, Node) and not isinstance(value, Quantity):
        return in_language(value, language)
    if isinstance(value, tuple):
        items = tuple(_version(item, language) for item in value)
        return value if all(new is old for new, old in zip(items, value, strict=True)) else items
    return value


Length = Annotated[Quantity, "length"]
Mass = Annotated[Quantity, "mass"]
Force = Annotated[Quantity, "force"]
Time = Annotated[Quantity, "time"]
Speed = Annotated[Quantity, "speed"]
Angle = Annotated[Quantity, "angle"]
Temperature = Annotated[Quantity, "temperature"]
Voltage = Annotated[Quantity, "voltage"]
Stress = Annotated[Quantity, "stress"]
SecondMoment = Annotated[Quantity, "second_moment"]
SectionModulus = Annotated[Quantity, "section_modulus"]
Key = Annotated[str, "id"]
FileKey = Annotated[str, "file_id"]
Name = Annotated[str, "name"]
Text = Annotated[str, "text"]
PaperName = Annotated[str, "paper"]
Phone = Annotated[str, "phone"]
Language = Annotated[str, "language"]
QuestionKey = Annotated[str, "question"]
RuleValue = Annotated[str, "rule_value"]
Jurisdiction = Annotated[str, "jurisdiction"]


@dataclasses.dataclass(frozen=True, slots=True)
class Says:
    """What is declared of one field beside its type. `refers_to` and `id_of` tie ids together; on a list they speak of its items.

    `least` and `most` are figures with a unit: what lies beyond no site has. `unique_by` is the key in which the entries of a list differ. `need`: A closes the bay while it is missing, B keeps its papers drafts, o nothing prints without it, r the format asks for it.
    A part of a record that is asked for as a whole may be left out where it says o. `when` names the condition under which it is asked
    for (`facts.CONDITIONS`), `station` where on the walk round the bay, or of whom (`STATIONS`). `decided`: it cannot be said to be not known, as no field can that means something when left out. `read_off` is where the fact is found,
    `toward` the side that a figure is rounded to in other units, on which a reader is safe,
    `papers` the numbers of the papers that use it, `administrative` that a change lapses the issuing authority's approval alone.
    """

    sentence: str
    examples: tuple[Any, ...] = ()
    required: bool = False
    refers_to: str | tuple[str, ...] = ()
    id_of: str = ""
    minimum: float | None = None
    maximum: float | None = None
    above: float | None = None
    least: str = ""
    most: str = ""
    min_length: int | None = None
    max_length: int | None = None
    pattern: str = ""
    unique: bool = False
    unique_by: str = ""
    at_least: int | None = None
    each: str = ""
    need: Need = ""
    when: str = ""
    station: Station = ""
    read_off: str = ""
    papers: tuple[int | str, ...] = ()
    administrative: bool = False
    decided: bool = False
    toward: Rounds = ""

    @property
    def asked(self) -> str:
        """The sentence as it is asked of somebody who looks: a declaration says when a value is true, a list asks whether."""
        return "Whether " + self.sentence.removeprefix("True when ") if self.sentence.startswith("True when ") else self.sentence


def says(sentence: str, *examples: Any, default: Any = None, **more: Any) -> Any:
    """A field of the profile: one plain sentence, examples as a user would write them, and what else `Says` holds."""
    return dataclasses.field(default=default, metadata={"says": Says(sentence, examples, **more)})


def section(sentence: str, *examples: Any, **more: Any) -> Any:
    """A section within a record: always there, and false in a condition where the profile leaves it out."""
    return dataclasses.field(metadata={"says": Says(sentence, examples, **more)})
