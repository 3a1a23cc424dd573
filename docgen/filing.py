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
from collections.abc import Callable, Mapping
from datetime import date
from functools import cache
from typing import Annotated, Any, Literal, TypeVar, cast

from docgen.errors import RecordError, Word
from docgen.frozen import frozen

__all__ = ["Is", "Json", "Pairs", "Texts", "as_bytes", "as_data", "from_bytes", "json_schema", "kind_of"]

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]
Texts = tuple[str, ...]
#: (name, value), sorted by name: an object of texts in the file.
Pairs = tuple[tuple[str, str], ...]

VERSION = "schema_version"
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
    found = []
    for f in dataclasses.fields(cls):
        if isinstance(f.type, str):
            raise TypeError(f"{cls.__name__}.{f.name}: the annotations of a record are values, not text")
        hint, note, optional = _peeled(f.type)
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


# reading: a declaration is made into readers once, and a place is put into words only where something is wrong

At = tuple[Any, str | int] | None  # the place above, and the step below it
Reader = Callable[[Json, At], Any]


class _Wrong(Exception):
    """What is wrong, and where."""

    def __init__(self, name: str, at: At, **values: str | int) -> None:
        super().__init__(name)
        self.name, self.at, self.values = name, at, values


def _said_place(at: At) -> str:
    """`texts[0].clauses[3].digest`."""
    if at is None:
        return ""
    above, step = _said_place(at[0]), at[1]
    return f"{above}[{step}]" if isinstance(step, int) else f"{above}.{step}".lstrip(".")


def kind_of(value: Json) -> str:
    """The kind of a value as refusals name it: truth, text, whole, number, list, object, or nothing."""
    for kind, name in ((bool, "truth"), (str, "text"), (int, "whole"), (float, "number"), (list, "list"), (dict, "object")):
        if isinstance(value, kind):
            return name
    return "nothing"


def _not_due(kind: str, value: Json, at: At) -> _Wrong:
    return _Wrong("record-value-kind", at, due=Word(kind), found=Word(kind_of(value)))


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
    if not isinstance(read, dict):
        raise RecordError("record-no-object", file=file)
    try:
        due: int = cls.FORMAT  # type: ignore[attr-defined]
        if VERSION not in read:
            raise _Wrong("record-key-missing", (None, VERSION))
        found = _whole_reader(Is())(read.pop(VERSION), (None, VERSION))
        if found != due:
            raise RecordError("record-of-another-format", file=file, found=found, due=due)
        return cast(R, _record_reader(cast(type, cls))(read, None))
    except _Wrong as wrong:
        raise RecordError(wrong.name, file=file, key=_said_place(wrong.at), **wrong.values) from None


@cache
def _record_reader(cls: type) -> Reader:
    readers = {f.name: (_reader(f.hint, f.note), f.optional) for f in _fields(cls)}
    names = readers.keys()

    def read(data: Json, at: At) -> Any:
        if not isinstance(data, dict):
            raise _not_due("object", data, at)
        if data.keys() != names:
            if unknown := [key for key in data if key not in names]:
                raise _Wrong("record-key-unknown", (at, unknown[0]))
            raise _Wrong("record-key-missing", (at, next(key for key in names if key not in data)))
        values = {}
        for name, (reader, optional) in readers.items():
            value = data[name]
            if value is not None:
                values[name] = reader(value, (at, name))
            elif optional:
                values[name] = None
            else:
                raise _Wrong("record-key-missing", (at, name))
        return cls(**values)

    return read


def _reader(hint: Any, note: Is) -> Reader:
    if hint == Pairs:
        table = _table_reader(_text_reader(Is()))
        return lambda value, at: tuple(sorted(table(value, at).items()))
    if dataclasses.is_dataclass(hint):
        return _record_reader(cast(type, hint))
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin is Literal:
        return _choice_reader(inner)
    if origin is tuple:
        bare, own, _ = _peeled(inner[0])
        return _list_reader(_reader(bare, own), note)
    if origin is Mapping:
        bare, own, _ = _peeled(inner[1])
        return _table_reader(_reader(bare, own))
    return {str: _text_reader, int: _whole_reader, date: _day_reader}[hint](note)


def _choice_reader(choices: tuple[str, ...]) -> Reader:
    def read(value: Json, at: At) -> str:
        if not isinstance(value, str):
            raise _not_due("text", value, at)
        if value not in choices:
            raise _Wrong("record-value-choice", at, found=value, due=", ".join(choices))
        return value

    return read


def _list_reader(inner: Reader, note: Is) -> Reader:
    def read(value: Json, at: At) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise _not_due("list", value, at)
        if note.least is not None and len(value) < note.least:
            raise _Wrong("record-value-empty", at)
        return tuple([inner(item, (at, n)) for n, item in enumerate(value)])

    return read


def _table_reader(inner: Reader) -> Callable[[Json, At], dict[str, Any]]:
    def read(value: Json, at: At) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise _not_due("object", value, at)
        return {key: inner(item, (at, key)) for key, item in value.items()}

    return read


def _text_reader(note: Is) -> Reader:
    form = re.compile(note.form) if note.form else None

    def read(value: Json, at: At) -> str:
        if not isinstance(value, str):
            raise _not_due("text", value, at)
        if form is not None and not form.fullmatch(value):
            raise _Wrong("record-value-form", at, found=value, due=note.form)
        if note.least is not None and len(value) < note.least:
            raise _Wrong("record-value-empty", at)
        return value

    return read


def _whole_reader(note: Is) -> Reader:
    def read(value: Json, at: At) -> int:
        if not isinstance(value, int) or isinstance(value, bool):
            raise _not_due("whole", value, at)
        if note.least is not None and value < note.least:
            raise _Wrong("record-value-least", at, found=value, due=note.least)
        return value

    return read


def _day_reader(note: Is) -> Reader:
    def read(value: Json, at: At) -> date:
        if not isinstance(value, str):
            raise _not_due("day", value, at)
        try:
            return date.fromisoformat(value)
        except ValueError:
            raise _Wrong("record-value-day", at, found=value) from None

    return read


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
