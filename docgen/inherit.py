"""What a site takes over from a portfolio: defaults of all, defaults of its client, models of the shared equipment library.

portfolio: {file: ../portfolio.yaml, client: mill-creek}      # in the profile
equipment:
  - {id: D-1, kind: srd, model: srd-30, serial: D1-20417}     # a model of the library, and what is this piece's own

It is merged before anything is checked: what the profile says goes before the client's default, that before the default of all. Each value
keeps the file and the line that it came from, and messages point there. A figure with its evidence, a text in several languages and a value
said to be unknown are one value each: half of one is never joined to half of another.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import Any

from docgen.check import check, nearest
from docgen.errors import ProfileUnreadable
from docgen.read import Mark, Problem, Source, join, read_profile
from docgen.site.models import of_the_model

__all__ = ["KEY", "MODEL", "flat_text", "look_files", "read_portfolio", "with_inherited"]

KEY, MODEL = "portfolio", "model"
_TONGUE = re.compile(r"[a-z]{2,3}(-[A-Z]{2})?")
_SECTIONS = {
    "description": "What sites take over where they say nothing else: sections of a profile.",
    "type": "object",
    "examples": [{"document": {"review_interval": "12 months"}}],
}
_ID = {
    "description": "A short name of letters, digits and hyphens.",
    "type": "string",
    "pattern": "^[A-Za-z0-9](?:[A-Za-z0-9-]{0,30}[A-Za-z0-9])?$",
    "examples": ["mill-creek"],
}
_NAME = {"description": "What it is called.", "type": "string", "minLength": 1, "examples": ["Mill Creek Grain"]}
SCHEMA: dict[str, Any] = {
    "type": "object",
    "additionalProperties": False,
    "required": ["portfolio", "clients"],
    "properties": {
        "portfolio": {"description": "The number of this format.", "const": 1, "examples": [1]},
        "name": _NAME,
        "defaults": _SECTIONS,
        "models": {
            "description": "The shared equipment library: what is on label and in manual of a model, and nothing of one piece.",
            "type": "array",
            "examples": [[]],
            "items": {"type": "object", "required": ["id", "kind"], "properties": {"id": _ID}},
        },
        "clients": {
            "description": "Whose sites they are.",
            "type": "array",
            "examples": [[{"id": "mill-creek", "name": "Mill Creek Grain"}]],
            "items": {
                "type": "object",
                "additionalProperties": False,
                "required": ["id", "name"],
                "properties": {"id": _ID, "name": _NAME, "defaults": _SECTIONS},
            },
        },
    },
}
_FORM = "write it as  portfolio: {file: ../portfolio.yaml, client: mill-creek}"


@dataclass(frozen=True, slots=True)
class _Layer:
    """A value where it was written: its source, its path there, and what stands for it in the flat text."""

    source: Source
    path: str
    value: Any
    told: str
    own: bool


@dataclass
class _Merge:
    """One profile being put together."""

    profile: Source
    marks: dict[str, Mark] = field(default_factory=dict)
    told: dict[str, str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    models: Mapping[str, _Layer] = field(default_factory=dict)
    library: bool = False  # a portfolio without models keeps no library, and a model is then a name

    def value(self, path: str, layers: list[_Layer]) -> Any:
        """The value of these layers, the strongest last."""
        last = layers[-1]
        if (
            path
            and len(layers) == 1
            and last.own
            and last.path == path in self.sections
            and not (self.library and path == "equipment")
        ):
            self.marks.update(self.sections[path])  # nothing in it can come from elsewhere
            return last.value
        self.place(path, last)
        joined = layers[-1:]
        for layer in reversed(layers[:-1]):
            if not _joins(layer.value, joined[0].value):
                break
            joined.insert(0, layer)
        if isinstance(last.value, dict):
            return self.mapping(path, joined)
        if isinstance(last.value, list):
            return self.entries(path, joined)
        return last.value

    @cached_property
    def sections(self) -> dict[str, dict[str, Mark]]:
        """Section of the profile -> the marks in it."""
        found: dict[str, dict[str, Mark]] = {}
        for path, mark in self.profile.marks.items():
            found.setdefault(path[: min(i for i in (path.find("."), path.find("["), len(path)) if i >= 0)], {})[path] = mark
        return found

    def place(self, path: str, layer: _Layer) -> None:
        mark = layer.source.marks.get(layer.path)
        if mark is not None:
            self.marks[path] = mark if layer.own else mark._replace(file=layer.source.file)
        if not layer.own:
            self.told[path] = layer.told

    def mapping(self, path: str, layers: list[_Layer]) -> dict[str, Any]:
        keys = dict.fromkeys(key for layer in reversed(layers) for key in layer.value)  # the order of the strongest
        return {key: self.value(join(path, key), [_below(layer, key) for layer in layers if key in layer.value]) for key in keys}

    def entries(self, path: str, layers: list[_Layer]) -> list[Any]:
        """Entries with an id are joined by it, those of the strongest layer first; a list of others is that of the strongest alone."""
        if not all(_with_ids(layer.value) for layer in layers):
            layers = layers[-1:]
        found: dict[Any, list[_Layer]] = {}
        for layer in reversed(layers):
            for number, entry in enumerate(layer.value):
                key = entry["id"].casefold() if len(layers) > 1 else number
                found.setdefault(key, []).insert(0, _below(layer, number))
        return [self.entry(join(path, number), same) for number, same in enumerate(found.values())]

    def entry(self, path: str, layers: list[_Layer]) -> Any:
        """One entry of a list; one of the equipment is laid over its model."""
        if re.fullmatch(r"equipment\[\d+\]", path) and isinstance(layers[-1].value, dict):
            named = next((layer for layer in reversed(layers) if isinstance(layer.value, dict) and MODEL in layer.value), None)
            model = self.model(named) if named is not None and self.library else None
            if model is not None:
                layers = [_without(model, "id"), *layers]
        return self.value(path, layers)

    def model(self, named: _Layer) -> _Layer | None:
        name, at = named.value[MODEL], join(named.path, MODEL)
        found = self.models.get(name.casefold()) if isinstance(name, str) else None
        if found is None:
            near = nearest(name, [layer.value["id"] for layer in self.models.values()]) if isinstance(name, str) else None
            hint = f"write '{near}'" if near else "write the id of one of its models"
            self.wrong(
                named.source, at, "the library has no model of that id" + (f"; did you mean '{near}'?" if near else ""), hint
            )
        return found

    def wrong(self, source: Source, path: str, message: str, hint: str) -> None:
        self.problems.append(_problem(source, path, message, hint))


def with_inherited(source: Source) -> Source:
    """The profile with what it takes over; itself where it names no portfolio. What is wrong becomes a problem where it stands."""
    data = source.data
    if data is None or KEY not in data:
        return source
    merge = _Merge(source)
    portfolio, client = _portfolio(merge)
    own = {key: value for key, value in data.items() if key != KEY}
    if portfolio is None or client is None:
        said = data[KEY]["client"] if isinstance(data[KEY], dict) and isinstance(data[KEY].get("client"), str) else ""
        return replace(source, data=own, problems=tuple(sorted({*source.problems, *merge.problems})), client=said)
    merge.models, merge.library = dict(_models(portfolio)), "models" in (portfolio.data or {})
    layers = [_Layer(source, "", own, "", True)]
    for path, told in ((f"clients[{client}].defaults", "of the client"), ("defaults", "of the portfolio")):
        value = _at(portfolio, client, path)
        if value:
            layers.insert(0, _Layer(portfolio, path, value, told, False))
    merged = merge.value("", layers)
    problems = tuple(sorted({*source.problems, *merge.problems}))
    flat = cache(lambda: flat_text(merged, merge.told))
    return replace(
        source, data=merged, marks=merge.marks, problems=problems, flat=flat, beside=portfolio.text, client=data[KEY]["client"]
    )


def _portfolio(merge: _Merge) -> tuple[Source | None, int | None]:
    """The portfolio that the profile names, and the number of its client there."""
    source, said = merge.profile, (merge.profile.data or {})[KEY]
    if not isinstance(said, dict) or set(said) != {"file", "client"} or not all(isinstance(v, str) for v in said.values()):
        merge.wrong(source, KEY, "this does not name a portfolio and a client", _FORM)
        return None, None
    where = Path(source.file).parent / said["file"]
    if Path(said["file"]).is_absolute() or not where.is_file():
        told = "a path from this profile's folder" if Path(said["file"]).is_absolute() else "the path from this profile's folder"
        merge.wrong(
            source, f"{KEY}.file", f"there is no portfolio file '{said['file']}'", f"write {told}, such as ../portfolio.yaml"
        )
        return None, None
    try:
        found, wrong = read_portfolio(Path(os.path.normpath(where)))
    except ProfileUnreadable as error:
        merge.wrong(source, f"{KEY}.file", str(error), "give a file that can be read")
        return None, None
    merge.problems += wrong
    if merge.problems or found.data is None:
        return None, None
    names = [c["id"] for c in found.data["clients"]]
    if said["client"].casefold() not in [n.casefold() for n in names]:
        near = nearest(said["client"], names)
        merge.wrong(
            source, f"{KEY}.client", f"the portfolio has no client '{said['client']}'", f"write {near or ' or '.join(names)}"
        )
    if merge.problems:
        return None, None
    return found, [n.casefold() for n in names].index(said["client"].casefold())


def read_portfolio(path: Path) -> tuple[Source, tuple[Problem, ...]]:
    """A portfolio file and what is wrong with its own form; ProfileUnreadable where it cannot be opened."""
    try:
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        digest = ""
    return _read_portfolio(str(path), digest)


@lru_cache(maxsize=4)  # a thousand sites take over from one file
def _read_portfolio(path: str, digest: str) -> tuple[Source, tuple[Problem, ...]]:
    found = read_profile(Path(path), "'portfolio: 1'")
    wrong = check(found, schema=SCHEMA)
    return found, wrong or tuple(sorted(_unfit(found)))


def _unfit(portfolio: Source) -> Iterator[Problem]:
    """Two clients or two models of one id, and what a model says that belongs to one piece alone: wrong whichever site takes over what."""
    data = portfolio.data or {}
    for key in ("clients", "models"):
        seen: set[str] = set()
        for number, entry in enumerate(data.get(key) or ()):
            if entry["id"].casefold() in seen:
                yield _problem(portfolio, f"{key}[{number}].id", f"'{entry['id']}' is the id of two {key}", "give each its own")
            seen.add(entry["id"].casefold())
    for number, model in enumerate(data.get("models") or ()):
        for path in _leaves(model):
            if path != "id" and not of_the_model(path):
                told = f"'{path}' is true of one piece or of the place where it serves, and not of its model"
                hint = "write it in the profile of the site that has the piece"
                yield _problem(portfolio, _within(f"models[{number}]", path), told, hint)


def _problem(source: Source, path: str, message: str, hint: str) -> Problem:
    mark = source.marks.get(path) or Mark(1, 1, 1, 1)
    return Problem(source.file, mark.line, mark.column, path, message, hint)


def look_files(portfolio: Source, client: str) -> tuple[str, ...]:
    """The files that the look in the defaults of all and of a client names, beside the portfolio."""
    data = portfolio.data or {}
    own: dict[str, Any] = next((c for c in data.get("clients") or () if c["id"].casefold() == client.casefold()), {})
    found = []
    for section in (data.get("defaults"), own.get("defaults")):
        look = ((section or {}).get("document") or {}).get("look") or {}
        found += [look[key] for key in ("logo", "docx") if isinstance(look.get(key), str)]
    return tuple(dict.fromkeys(found))


def _models(portfolio: Source) -> Iterator[tuple[str, _Layer]]:
    """Id in small letters -> the model."""
    for number, model in enumerate((portfolio.data or {}).get("models") or ()):
        yield model["id"].casefold(), _Layer(portfolio, f"models[{number}]", model, f"of model {model['id']}", False)


def _leaves(value: Any, path: str = "") -> Iterator[str]:
    """The paths of plain values within a model; places in lists count from 1, as the columns of a table do."""
    inner = value.items() if isinstance(value, dict) else enumerate(value, 1) if isinstance(value, list) else ()
    deeper = isinstance(value, dict) or (isinstance(value, list) and any(isinstance(each, dict) for each in value))
    if not deeper:
        yield path
    for key, each in inner if deeper else ():
        yield from _leaves(each, f"{path}.{key}".lstrip("."))


def _within(at: str, path: str) -> str:
    for step in path.split("."):
        at = join(at, int(step) - 1 if step.isdigit() else step)
    return at


def _at(portfolio: Source, client: int, path: str) -> Any:
    data = portfolio.data or {}
    return data.get("defaults") if path == "defaults" else data["clients"][client].get("defaults")


def _below(layer: _Layer, step: str | int) -> _Layer:
    return replace(layer, path=join(layer.path, step), value=layer.value[step])


def _without(layer: _Layer, key: str) -> _Layer:
    return replace(layer, value={k: v for k, v in layer.value.items() if k != key})


def _joins(weaker: Any, stronger: Any) -> bool:
    """Whether two values are joined: two sections or two lists, and neither is one value by itself."""
    if isinstance(weaker, list) and isinstance(stronger, list):
        return True
    return isinstance(weaker, dict) and isinstance(stronger, dict) and not _whole(weaker) and not _whole(stronger)


def _whole(value: Mapping[str, Any]) -> bool:
    """A figure with its evidence, a text in several languages, a value said to be unknown."""
    return not value or not value.keys().isdisjoint({"value", "unknown"}) or all(_TONGUE.fullmatch(key) for key in value)


def _with_ids(value: list[Any]) -> bool:
    return all(isinstance(entry, dict) and isinstance(entry.get("id"), str) for entry in value)


_BARE = re.compile(r"[A-Za-z][A-Za-z0-9 ._/-]*[A-Za-z0-9.]|[A-Za-z]|[0-9][0-9.]* [a-zA-Z]+")
_TAKEN = {"true", "false", "null", "yes", "no", "on", "off", "y", "n", "unknown"}


def flat_text(data: Mapping[str, Any], told: Mapping[str, str] = {}) -> str:
    """The data as a profile that needs no portfolio; `told` says of a path where its value comes from."""
    return "\n".join(_lines(data, "", 0, told)) + "\n"


def _lines(data: Mapping[str, Any], path: str, deep: int, told: Mapping[str, str]) -> Iterator[str]:
    for key, value in data.items():
        yield from _value(value, join(path, key), deep, told, f"{'  ' * deep}{_plain(key)}:")


def _value(value: Any, at: str, deep: int, told: Mapping[str, str], head: str) -> Iterator[str]:
    """The lines of one value behind its key, or behind the dash of an entry; where it comes from is said once, at the top of it."""
    note = f"  # {told[at]}" if at in told else ""
    inner: Mapping[str, str] = {} if note else told
    pad = "  " * (deep + 1)
    if isinstance(value, dict) and value and not _whole(value):
        yield f"{head}{note}"
        yield from _lines(value, at, deep + 1, inner)
    elif isinstance(value, list) and any(isinstance(entry, dict) or _broken(entry) for entry in value):
        yield f"{head}{note}"
        for number, entry in enumerate(value):
            if isinstance(entry, dict) and entry and not _whole(entry):
                first, *rest = _lines(entry, join(at, number), deep + 2, inner)
                yield f"{pad}- {first.lstrip()}"
                yield from rest
            else:
                yield from _value(entry, join(at, number), deep + 1, inner, f"{pad}-")
    elif _broken(value):
        end = "-" if not value.endswith("\n") else "" if not value.endswith("\n\n") else "+"
        yield f"{head} |2{end}{note}"
        yield from (f"{pad}{line}" if line else "" for line in value.removesuffix("\n").split("\n"))
    else:
        yield f"{head} {_flow(value)}{note}"


def _broken(value: Any) -> bool:
    """Whether it is a text of several lines."""
    return isinstance(value, str) and "\n" in value


def _flow(value: Any) -> str:
    """A value on one line that the reader takes for just this."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_plain(k)}: {_flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if value is None:
        return "null"
    if isinstance(value, float):
        return format(Decimal(repr(value)), "f")
    return _plain(value) if isinstance(value, str) else str(value)


def _plain(text: str) -> str:
    bare = _BARE.fullmatch(text) and (text.casefold() not in _TAKEN or text == "unknown")
    return text if bare else json.dumps(text, ensure_ascii=False)
