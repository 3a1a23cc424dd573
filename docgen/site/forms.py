"""The forms that fields share: texts, ids, codes, and the figures with a unit and their evidence, as JSON Schema says them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args

from docgen.site.equipment import PartKind

__all__ = ["FORMS", "SAID", "UNKNOWN"]


def _figure(
    kind: str, sentence: str, of: str, tolerance: str, *examples: str, most: str, least: str = "", above: int | None = None, within: str = ""
) -> dict[str, Any]:  # fmt: skip
    """A figure with its unit, alone or with the evidence for it.

    `above`: what it must be more than, in any unit; `least` and `most`: the ends beyond which no site has one; `within`: the most of its tolerance.
    """
    bounds: dict[str, Any] = {} if above is None else {"exclusiveMinimum": above}
    bounds |= {"least": least, "most": most} if least else {"most": most}
    return {
        "description": sentence,
        "examples": list(examples),
        "type": ["string", "object"],
        "format": kind,
        **bounds,
        "required": ["value"],
        "additionalProperties": False,
        "properties": {
            "value": {"description": of, "examples": list(examples), "type": "string", "format": kind, **bounds},
            "how": {
                "description": "Where the figure comes from, as the person who wrote it down knows.",
                "examples": ["measured", "label"],
                "$ref": "#/$defs/how",
            },
            "by": {
                "description": "Who measured it, read it off or worked it out: a role or a name.",
                "examples": ["safety-manager", "P. Lindqvist"],
                "$ref": "#/$defs/name",
            },
            "on": {"description": "The day on which the figure was taken.", "examples": ["2026-03-02"], "$ref": "#/$defs/date"},
            "tolerance": {
                "description": "How far the true figure may lie above or below this one, with its unit, as the person who took it judges.",
                "examples": [tolerance],
                "type": "string",
                "format": kind,
                **({} if kind == "temperature" else {"minimum": 0, "most": within or most}),
            },
            "bound": {
                "description": "What kind of bound the figure is, where it is one already; such a figure needs no tolerance.",
                "examples": ["label-maximum"],
                "$ref": "#/$defs/bound",
            },
        },
    }


#: a text says something; `\\S` counts every space of Unicode as one
SAID = {"pattern": "\\S", "title": "is white space only", "description": "write a value or leave the key out"}
#: a rule with its own words: `title` says what is wrong, `description` what would be right
ID = {
    "pattern": "^[A-Za-z0-9][A-Za-z0-9-]*$",
    "title": "is no id; an id has letters, digits and hyphens only, the first no hyphen",
    "description": "write it like B1 or safety-manager",
}
#: ends that `<document>[.<bay or kind>][.<language>].<type>` and `<site>.counsel` have already
SUFFIXES = ("html", "docx", "pdf", "md", "json", "csv", "xlsx", "counsel")


def _any_case(words: Iterable[str]) -> str:
    """A pattern for any of the words, of letters, digits and hyphens, in capitals or not, as JSON Schema has no sign for that."""
    return "|".join("".join(f"[{c.upper()}{c}]" if c.isalpha() else c for c in word) for word in words)


#: names that Windows keeps for devices (its own documentation on naming files; from memory)
DEVICES = _any_case(("con", "prn", "aux", "nul")) + "|" + _any_case(("com", "lpt")).replace("|", "[0-9]|") + "[0-9]"


def _never(pattern: str, why: str) -> dict[str, Any]:
    """A rule that shuts names out, with its own words."""
    return {
        "not": {
            "type": "string",
            "pattern": f"^({pattern})$",
            "title": why,
            "description": "choose another name, such as north-1",
        }
    }


FORMS: dict[str, dict[str, Any]] = {
    "id": {
        "description": "A short name for a record, by which other records point to it: letters, digits and hyphens, without spaces.",
        "examples": ["B1", "safety-manager"],
        "type": "string",
        "maxLength": 40,
        "allOf": [ID],
    },
    "file_id": {
        "description": "A short name of a site or a bay, which names folders and files too: letters, digits and hyphens, without spaces.",
        "examples": ["B1", "pine-hollow"],
        "type": "string",
        "maxLength": 40,
        "allOf": [
            ID,
            _never(DEVICES, "is the name of a device on some computers, and files are named after it"),
            _never(_any_case(SUFFIXES), "is the end of a file name of the papers"),
            _never(_any_case(get_args(PartKind)), "is a kind of equipment, by which files are named too"),
            _never("[A-Za-z]{2,3}(-[A-Za-z]{2})?", "is read as a language code in the name of a file"),
        ],
    },
    "name": {
        "description": "A short name or label as people on the site say it.",
        "examples": ["Truck bay"],
        "type": "string",
        "minLength": 1,
        "maxLength": 120,
        "allOf": [SAID],
    },
    "text": {
        "description": "One statement in plain words; or the same statement in several languages, each under its code.",
        "examples": [
            "Painted box and wheel guides on the slab",
            {"en": "Painted box on the slab", "es": "Caja pintada en la losa"},
        ],
        "type": ["string", "object"],
        "minLength": 1,
        "maxLength": 600,
        "minProperties": 1,
        "propertyNames": {"pattern": "^[a-z]{2,3}(-[A-Z]{2})?$"},
        "additionalProperties": {"type": "string", "minLength": 1, "maxLength": 600, "allOf": [SAID]},
        "allOf": [SAID],
    },
    "phone": {
        "description": "A telephone number as one dials it, in quotation marks when it is digits only.",
        "examples": ["555-0117"],
        "type": "string",
        "minLength": 2,
        "maxLength": 40,
        "allOf": [SAID],
    },
    "date": {
        "description": "A calendar day, written year-month-day.",
        "examples": ["2026-03-02"],
        "type": "string",
        "format": "date",
    },
    "interval": {
        "description": "A span of the calendar in days, weeks, months or years.",
        "examples": ["12 months", "90 days"],
        "type": "string",
        "format": "interval",
    },
    "language": {
        "description": "A language code, with a country where it matters.",
        "examples": ["en", "es", "pt-BR"],
        "type": "string",
        "pattern": "^[a-z]{2,3}(-[A-Z]{2})?$",
    },
    "question": {
        "description": "A question that may be asked of the law, by its key.",
        "examples": ["arrest_force_max"],
        "type": "string",
        "pattern": "^[a-z][a-z0-9_]*$",
        "maxLength": 60,
    },
    "rule_value": {
        "description": "A figure with its unit; a number in quotes for a ratio or a count.",
        "examples": ["4 kN", "2"],
        "type": "string",
        "minLength": 1,
        "maxLength": 30,
        "allOf": [SAID],
    },
    "jurisdiction": {
        "description": "A country code, or country and state code, after ISO 3166.",
        "examples": ["US-KS", "DE"],
        "type": "string",
        "pattern": "^[A-Z]{2}(-[A-Z0-9]{1,3})?$",
        "known_as": "place",
    },
    "side": {
        "description": "A side of the vehicle, seen looking toward its front, or an opening in its top.",
        "examples": ["left", "rear"],
        "enum": ["left", "right", "front", "rear", "hatch", "gap"],
    },
    "attachment": {
        "description": "A D-ring of a harness: back, chest or side.",
        "examples": ["dorsal"],
        "enum": ["dorsal", "sternal", "side"],
    },
    "how": {
        "description": "Where a figure comes from: measured on site, label of the item, its manual, a design, a timed drill, or only assumed.",
        "examples": ["measured"],
        "enum": ["measured", "label", "manual", "design", "drill", "assumed"],
    },
    "bound": {
        "description": "A bound that a figure is already: the most by its label, the least it is rated for, a design value, an allowance.",
        "examples": ["label-maximum"],
        "enum": ["label-maximum", "rated-minimum", "design", "allowance"],
    },
    "length": _figure(
        "length",
        "A length with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 25 ft or 7.62 m, as the instrument, label or drawing gives it.",
        "0.1 ft",
        "25 ft",
        "18 ft 6 in",
        "7.62 m",
        least="-10,000 m",
        most="10,000 m",
        within="30 ft",
    ),
    "mass": _figure(
        "mass",
        "A mass with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 310 lb or 140 kg, as the instrument, label or drawing gives it.",
        "2 lb",
        "310 lb",
        "140 kg",
        most="10,000 kg",
        above=0,
    ),
    "force": _figure(
        "force",
        "A force with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 1800 lbf or 8 kN, as the instrument, label or drawing gives it.",
        "50 lbf",
        "1800 lbf",
        "8 kN",
        most="10,000 kN",
        above=0,
    ),
    "time": _figure(
        "timespan",
        "A time with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 6 min or 90 s, as the instrument, label or drawing gives it.",
        "20 s",
        "6 min",
        "90 s",
        most="168 h",
    ),
    "speed": _figure(
        "speed",
        "A speed with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 25 mph or 11 m/s, as the instrument, label or drawing gives it.",
        "2 mph",
        "25 mph",
        "11 m/s",
        most="100 m/s",
    ),
    "angle": _figure(
        "angle",
        "An angle with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 30 deg or 30°, as the instrument, label or drawing gives it.",
        "2 deg",
        "30 deg",
        "30°",
        least="-360 deg",
        most="360 deg",
        within="45 deg",
    ),
    "temperature": _figure(
        "temperature",
        "A temperature with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as -20 °F or -29 °C, as the instrument, label or drawing gives it.",
        "2 °F",
        "-20 °F",
        "-29 °C",
        least="-90 °C",
        most="200 °C",
    ),
    "voltage": _figure(
        "voltage",
        "A voltage with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 12.5 kV or 600 V, as the instrument, label or drawing gives it.",
        "0.5 kV",
        "12.5 kV",
        "600 V",
        most="2000 kV",
    ),
    "stress": _figure(
        "stress",
        "A stress with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 29,000 ksi or 200 GPa, as the calculation or a handbook gives it.",
        "1 ksi",
        "29,000 ksi",
        "200 GPa",
        most="1000 GPa",
        above=0,
    ),
    "second_moment": _figure(
        "second_moment",
        "A second moment of area with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 59.3 in^4 or 2470 cm^4, as the table of sections gives it.",
        "0.1 in^4",
        "59.3 in^4",
        "2470 cm^4",
        most="1,000,000 in^4",
        above=0,
    ),
    "section_modulus": _figure(
        "section_modulus",
        "A section modulus with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 14.8 in^3 or 243 cm^3, as the table of sections gives it.",
        "0.1 in^3",
        "14.8 in^3",
        "243 cm^3",
        most="1,000,000 in^3",
        above=0,
    ),
}

#: what may stand for a value that is not known yet; `docgen.unknown` reads it
UNKNOWN: dict[str, Any] = {
    "description": "Not known yet; or not known yet, with whom was asked and on which day.",
    "examples": ["unknown", {"unknown": {"asked": "rail maker", "on": "2026-10-02"}}],
    "anyOf": [
        {"const": "unknown"},
        {
            "type": "object",
            "required": ["unknown"],
            "additionalProperties": False,
            "properties": {
                "unknown": {
                    "description": "Whom was asked, and on which day.",
                    "type": "object",
                    "additionalProperties": False,
                    "properties": {
                        "asked": {"description": "Whom was asked: a role, a name or a firm.", "type": "string", "allOf": [SAID]},
                        "on": {"description": "The day on which it was asked.", "$ref": "#/$defs/date"},
                    },
                }
            },
        },
    ],
}
