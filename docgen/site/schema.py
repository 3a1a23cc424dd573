"""The JSON Schemas of profile and log, made from the declarations of their records.

`profile_schema` is what the checker holds a profile against once the values that are not known are taken out. The written file is for editors
too: there each field that may be left out may also be said to be not known.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from typing import Any

from docgen.papers import papers
from docgen.site.build import Slot, slots_of
from docgen.site.declare import Says
from docgen.site.forms import FORMS, SAID, UNKNOWN
from docgen.site.log import KINDS
from docgen.site.profile import Site

__all__ = ["PROFILE", "TAKEN_OVER", "entry_schema", "log_schema", "profile_schema", "written_schemas"]

PROFILE = 2  # the number of the format
TITLE = "Site profile"
ABOUT = "The facts of one site with overhead fall protection, from which its fall-protection plan, contractor notice and rescue procedure are written."
COMMENT = (
    "Beyond JSON Schema, the checker reads: format length, mass, force, timespan, speed, angle, temperature, voltage, stress, second_moment and section_modulus (a figure with its unit), date "
    "(year-month-day) and interval (a span of the calendar); id_of, the collection within which an id is unique; refers_to, the collection or "
    "collections that must hold the id; unique_by, the key in which the entries of a list differ; exclusiveMinimum beside such a format, which the figure must exceed; known_as, what kind of name people use for it; and least and most, figures of the same kind between which it lies."
)
ABOUT_IT = ("description", "examples", "default", "decided", "need", "station", "read_off", "papers", "administrative")
NOTHING = (None, "", (), dataclasses.MISSING)  # what a field holds that was left out and means nothing by it
TYPES = {"whole": "integer", "number": "number", "flag": "boolean"}
RULES = {
    "minimum": "minimum",
    "maximum": "maximum",
    "above": "exclusiveMinimum",
    "min_length": "minLength",
    "max_length": "maxLength",
    "least": "least",
    "most": "most",
}


#: What stands for values of other files; `docgen.inherit` puts those in its place before anything is checked.
TAKEN_OVER: dict[str, Any] = {
    "description": "The portfolio and the client from which the site takes over what it does not say itself.",
    "examples": [{"file": "../portfolio.yaml", "client": "mill-creek"}],
    "type": "object",
    "additionalProperties": False,
    "required": ["file", "client"],
    "properties": {
        "file": {
            "description": "The portfolio's file, as a path from the profile's folder.",
            "examples": ["../portfolio.yaml"],
            "type": "string",
            "pattern": r"^\S(?:.*\S)?$",
        },
        "client": {
            "description": "The client, by its id in the portfolio.",
            "examples": ["mill-creek"],
            "type": "string",
            "pattern": r"^\S(?:.*\S)?$",
        },
    },
}


def profile_schema() -> dict[str, Any]:
    """JSON Schema 2020-12 of a whole profile."""
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": TITLE, "description": ABOUT, "$comment": COMMENT}
    node = _record(Site)
    number = {"description": "The number of this format; it stands first in the file.", "examples": [PROFILE], "const": PROFILE}
    node["properties"] = {"profile": number, "portfolio": TAKEN_OVER, **node["properties"]}
    node["required"] = ["profile", *node["required"]]
    return head | node | {"$defs": FORMS}


def _with_unknown(node: dict[str, Any]) -> dict[str, Any]:
    """A schema in which each field that may be left out, and each entry of a list, may also be said to be not known."""
    node = dict(node)
    if "properties" in node:
        required = node.get("required", ())
        inner = {key: _with_unknown(each) for key, each in node["properties"].items()}
        node["properties"] = {key: each if key in required or settled(each) else _or_unknown(each) for key, each in inner.items()}
    if "items" in node:
        node["items"] = _or_unknown(_with_unknown(node["items"]))
    return node


def settled(node: Mapping[str, Any]) -> bool:
    """Whether a field cannot be said to be not known: it means something when it is left out, or it says what somebody decided."""
    return "default" in node or bool(node.get("decided"))


def _or_unknown(node: dict[str, Any]) -> dict[str, Any]:
    words = {key: node[key] for key in node if key in ABOUT_IT}
    rule = {key: node[key] for key in node if key not in ABOUT_IT}
    return words | {"anyOf": [rule, {"$ref": "#/$defs/unknown"}]}


def _record(cls: type) -> dict[str, Any]:
    said = {f.name: f.metadata["says"] for f in dataclasses.fields(cls) if "says" in f.metadata}
    defaults = {f.name: f.default for f in dataclasses.fields(cls)}
    own = [s for s in slots_of(cls) if s.name in said]
    node: dict[str, Any] = {"type": "object"}
    if required := [s.key for s in own if said[s.name].required]:
        node["required"] = required
    node |= {"additionalProperties": False, "properties": {s.key: _field(s, said[s.name], defaults[s.name]) for s in own}}
    if conditions := getattr(cls, "conditions", ()):
        node["allOf"] = [
            {"if": {"required": [key], "properties": {key: {"const": value}}}, "then": {"required": list(wanted)}}
            for key, value, wanted in conditions
        ]
    return node


def _field(slot: Slot, said: Says, default: Any) -> dict[str, Any]:
    head: dict[str, Any] = {"description": said.sentence, "examples": list(said.examples)}
    head |= {
        key: value
        for key, value in (
            ("need", said.need),
            ("station", said.station),
            ("read_off", said.read_off),
            ("papers", list(said.papers)),
        )
        if value
    }
    if said.administrative:
        head["administrative"] = True
    if said.decided:
        head["decided"] = True
    if not said.required and default not in NOTHING:
        head["default"] = default
    if not slot.many:
        return head | _value(slot, said)
    node = head | {"type": "array"}
    if said.at_least is not None:
        node["minItems"] = said.at_least
    if said.unique:
        node["uniqueItems"] = True
    if said.unique_by:
        node["unique_by"] = said.unique_by
    items = _value(slot, said)
    return node | {"items": {"examples": [said.each], **items} if said.each else items}


def _value(slot: Slot, said: Says) -> dict[str, Any]:
    """What one value must be, as JSON Schema says it."""
    if slot.what == "record":
        return _record(slot.arg)
    node: dict[str, Any]
    if slot.what in TYPES:
        node = {"type": TYPES[slot.what]}
    elif isinstance(slot.arg, tuple):
        node = {"$ref": f"#/$defs/{shared}"} if (shared := _shared(slot.arg)) else {"enum": list(slot.arg)}
    elif slot.arg == "paper":
        node = {"enum": [o.name for o in papers()]}
    elif slot.what in ("date", "interval"):
        node = {"$ref": f"#/$defs/{slot.what}"}
    elif slot.arg is None:
        node = {"type": "string"} | ({"pattern": said.pattern} if said.pattern else {"allOf": [SAID]})
    else:
        node = {"$ref": f"#/$defs/{slot.arg}"} | ({"pattern": said.pattern} if said.pattern else {})
    for name, keyword in RULES.items():
        if (limit := getattr(said, name)) not in (None, ""):
            node[keyword] = limit
    if said.refers_to:
        node |= {"refers_to": said.refers_to if isinstance(said.refers_to, str) else list(said.refers_to)}
    if said.id_of:
        node["id_of"] = said.id_of
    return node


def _shared(values: tuple[str, ...]) -> str | None:
    """The form of that closed list, where several fields share it."""
    return next((name for name, form in FORMS.items() if form.get("enum") == list(values)), None)


def entry_schema(kind: str) -> dict[str, Any]:
    """JSON Schema of one entry of the log."""
    node = _record(KINDS[kind])
    about = " ".join((KINDS[kind].__doc__ or "").split())
    node["properties"] = {"kind": {"description": about, "examples": [kind], "const": kind}, **node["properties"]}
    node["required"] = ["kind", *node.get("required", [])]
    return node


def log_schema() -> dict[str, Any]:
    """JSON Schema 2020-12 of a whole log, for editors: each entry by its kind."""
    rules = [
        {"if": {"required": ["kind"], "properties": {"kind": {"const": kind}}}, "then": entry_schema(kind)} for kind in KINDS
    ]
    entry = {"type": "object", "required": ["kind"], "properties": {"kind": {"enum": list(KINDS)}}, "allOf": rules}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Site log",
        "description": "What happened at a site with overhead fall protection: one line an entry, written once and never changed.",
        "type": "object",
        "required": ["log", "entries"],
        "additionalProperties": False,
        "properties": {
            "log": {"description": "The number of this format.", "examples": [1], "const": 1},
            "entries": {
                "description": "What happened, one line an entry, the oldest first.",
                "examples": [[]],
                "type": "array",
                "items": entry,
            },
        },
        "$defs": FORMS,
    }


def written_schemas() -> dict[str, str]:
    """File name in the schemas folder -> text."""
    profile = _with_unknown(profile_schema())
    profile["$defs"] = {name: _with_unknown(form) for name, form in FORMS.items()} | {"unknown": UNKNOWN}
    return {
        f"{name}.schema.json": json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
        for name, schema in (("site_profile", profile), ("site_log", log_schema()))
    }
