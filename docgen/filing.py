"""Records as files: one declaration, a frozen class, gives the writer, the strict reader and the JSON Schema.

    @frozen
    class Hold:
        FORMAT: ClassVar[int] = 2
        by: Annotated[str, Is("Who ordered it.")]
        on: date

A record file is one JSON object: `schema_version`, which is the number of the format, and every field by its name. A field may
be text, a whole number, a day, one of a closed list, another record, a list, a table by name, or `Pairs`; `X | None` is null
in the file. A key too many or too few, a wrong type or a text of another form is a RecordError that names file, place and what is due.

A declaration of this size takes less time to read than the library that would do the same takes to import.
"""

from __future__ import annotations

import dataclasses
import json
import re
import types
import typing
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Annotated, Any, Literal, NoReturn, TypeVar, cast

from docgen.errors import RecordError, Word
from docgen.frozen import frozen

__all__ = ["Is", "Json", "Pairs", "Texts", "as_bytes", "as_data", "from_bytes", "json_schema"]

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]
Texts = tuple[str, ...]
#: (name, value), sorted by name: an object of texts in the file.
Pairs = tuple[tuple[str, str], ...]

VERSION = "schema_version"
PLAIN: Mapping[type, str] = {str: "text", int: "whole", date: "day"}
R = TypeVar("R")


@frozen
class Is:
    """What a field is, in a sentence for the schema; the form of its text; the least number, or the fewest entries."""

    what: str = ""
    form: str = ""
    least: int | None = None


@frozen
class _Field:
    """One field of a record as it is declared."""

    name: str
    hint: Any
    note: Is
    optional: bool


def _peeled(hint: Any) -> tuple[Any, Is, bool]:
    """The bare type of an annotation, what is said of it, and whether it may be None."""
    note, optional = Is(), False
    while True:
        origin = typing.get_origin(hint)
        if origin is Annotated:
            note = next((m for m in hint.__metadata__ if isinstance(m, Is)), note)
            hint = hint.__origin__
        elif origin in (typing.Union, types.UnionType):
            optional = True
            (hint,) = (a for a in typing.get_args(hint) if a is not type(None))
        else:
            return hint, note, optional


@cache
def _fields(cls: type) -> tuple[_Field, ...]:
    hints = typing.get_type_hints(cls, include_extras=True)
    found = []
    for f in dataclasses.fields(cls):
        hint, note, optional = _peeled(hints[f.name])
        found.append(_Field(f.name, hint, note, optional))
    return tuple(found)


# writing


def as_data(value: Any, hint: Any) -> Json:
    """A value as its declaration `hint` (a record class, or the annotation of a field) puts it into a file."""
    bare, _, _ = _peeled(hint)
    if value is None:
        return None
    if bare == Pairs:
        return {key: text for key, text in value}
    if dataclasses.is_dataclass(bare):
        return {f.name: as_data(getattr(value, f.name), f.hint) for f in _fields(cast(type, bare))}
    origin, inner = typing.get_origin(bare), typing.get_args(bare)
    if origin is tuple:
        return [as_data(item, inner[0]) for item in value]
    if origin is Mapping or origin is dict:
        return {key: as_data(item, inner[1]) for key, item in sorted(value.items())}
    if bare is date:
        return cast(date, value).isoformat()
    return cast(Json, value)


def as_bytes(record: Any) -> bytes:
    """The whole file of a record that has a format: UTF-8, one space a level, a line end at the end."""
    cls = type(record)
    data = {VERSION: cls.FORMAT, **cast(dict[str, Json], as_data(record, cls))}
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


# reading


@frozen
class _Place:
    """Where in a file the reader is."""

    file: str
    at: str = ""

    def below(self, step: str | int) -> _Place:
        if isinstance(step, int):
            return _Place(self.file, f"{self.at}[{step}]")
        return _Place(self.file, f"{self.at}.{step}".lstrip("."))

    def wrong(self, name: str, **values: str | int) -> NoReturn:
        raise RecordError(name, file=self.file, key=self.at, **values)

    def due(self, kind: str, value: Json) -> NoReturn:
        self.wrong("record-value-kind", due=Word(kind), found=Word(_kind(value)))


def _kind(value: Json) -> str:
    for kind, name in ((bool, "truth"), (str, "text"), (int, "whole"), (float, "number"), (list, "list"), (dict, "object")):
        if isinstance(value, kind):
            return name
    return "nothing"


def _whole_once(pairs: list[tuple[str, Json]]) -> dict[str, Json]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        raise ValueError(f"'{next(n for n in names if names.count(n) > 1)}' stands there twice")
    return found


def from_bytes(cls: type[R], data: bytes, file: str) -> R:
    """Read the file of a record. RecordError where it is damaged, of another format, or not what the declaration says."""
    try:
        read: Json = json.loads(data.decode("utf-8"), object_pairs_hook=_whole_once)
    except (ValueError, RecursionError) as error:
        raise RecordError("record-damaged", file=file, reason=str(error)) from error
    place = _Place(file)
    if not isinstance(read, dict):
        raise RecordError("record-no-object", file=file)
    due: int = cls.FORMAT  # type: ignore[attr-defined]
    if VERSION not in read:
        place.below(VERSION).wrong("record-key-missing")
    found = _plain(int, Is(), read.pop(VERSION), place.below(VERSION))
    if found != due:
        raise RecordError("record-of-another-format", file=file, found=found, due=due)
    return cast(R, _read_record(cls, read, place))


def _read_record(cls: type, data: Json, place: _Place) -> Any:
    if not isinstance(data, dict):
        place.due("object", data)
    fields = _fields(cls)
    names = {f.name for f in fields}
    for key in data:
        if key not in names:
            place.below(key).wrong("record-key-unknown")
    values: dict[str, Any] = {}
    for f in fields:
        here = place.below(f.name)
        if f.name not in data:
            here.wrong("record-key-missing")
        value = data[f.name]
        if value is None:
            if not f.optional:
                here.wrong("record-key-missing")
            values[f.name] = None
        else:
            values[f.name] = _read(f.hint, f.note, value, here)
    return cls(**values)


def _read(hint: Any, note: Is, value: Json, place: _Place) -> Any:
    if hint == Pairs:
        return tuple(sorted(_table(str, Is(), value, place).items()))
    if dataclasses.is_dataclass(hint):
        return _read_record(cast(type, hint), value, place)
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin is Literal:
        if value not in inner:
            place.wrong("record-value-choice", found=str(value), due=", ".join(map(str, inner)))
        return value
    if origin is tuple:
        if not isinstance(value, list):
            place.due("list", value)
        if note.least is not None and len(value) < note.least:
            place.wrong("record-value-empty")
        bare, own, _ = _peeled(inner[0])
        return tuple(_read(bare, own, item, place.below(n)) for n, item in enumerate(value))
    if origin is Mapping:
        bare, own, _ = _peeled(inner[1])
        return _table(bare, own, value, place)
    return _plain(hint, note, value, place)


def _table(hint: Any, note: Is, value: Json, place: _Place) -> dict[str, Any]:
    if not isinstance(value, dict):
        place.due("object", value)
    return {key: _read(hint, note, item, place.below(key)) for key, item in value.items()}


def _plain(hint: type, note: Is, value: Json, place: _Place) -> str | int | date:
    if hint is int:
        if not isinstance(value, int) or isinstance(value, bool):
            place.due("whole", value)
        if note.least is not None and value < note.least:
            place.wrong("record-value-least", found=value, due=note.least)
        return value
    if not isinstance(value, str):
        place.due(PLAIN[hint], value)
    if hint is date:
        try:
            return date.fromisoformat(value)
        except ValueError:
            place.wrong("record-value-day", found=value)
    if note.form and not re.fullmatch(note.form, value):
        place.wrong("record-value-form", found=value, due=note.form)
    if note.least is not None and len(value) < note.least:
        place.wrong("record-value-empty")
    return value


# the schema


def json_schema(cls: type, title: str, what: str) -> str:
    """The JSON Schema (draft 2020-12) of the files of a record, as text."""
    body = _object(cls)
    properties = {VERSION: {"const": cls.FORMAT}, **cast(dict[str, Json], body["properties"])}  # type: ignore[attr-defined]
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, "description": what,
        **body, "required": list(properties), "properties": properties,
    }  # fmt: skip
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _object(cls: type) -> dict[str, Json]:
    properties: dict[str, Json] = {f.name: _said(f) for f in _fields(cls)}
    return {"type": "object", "required": list(properties), "additionalProperties": False, "properties": properties}


def _said(f: _Field) -> Json:
    found = _schema(f.hint, f.note)
    if f.optional:
        found = {**found, "type": [found["type"], "null"]} if set(found) <= {"type", "format", "minLength", "minimum", "pattern"} else {
            "anyOf": [found, {"type": "null"}]
        }  # fmt: skip
    return {**found, "description": f.note.what} if f.note.what else found


def _schema(hint: Any, note: Is) -> dict[str, Json]:
    if hint == Pairs:
        return {"type": "object", "additionalProperties": {"type": "string"}}
    if dataclasses.is_dataclass(hint):
        return _object(cast(type, hint))
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin is Literal:
        return {"type": "string", "enum": list(inner)}
    if origin is tuple:
        bare, own, _ = _peeled(inner[0])
        found: dict[str, Json] = {"type": "array", "items": _schema(bare, own)}
        return found if note.least is None else {**found, "minItems": note.least}
    if origin is Mapping:
        bare, own, _ = _peeled(inner[1])
        return {"type": "object", "additionalProperties": _schema(bare, own)}
    if hint is int:
        return {"type": "integer"} if note.least is None else {"type": "integer", "minimum": note.least}
    if hint is date:
        return {"type": "string", "format": "date"}
    text: dict[str, Json] = {"type": "string"}
    if note.form:
        text["pattern"] = f"^({note.form})$"
    elif note.least is not None:
        text["minLength"] = note.least
    return text
