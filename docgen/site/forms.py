"""The forms that fields share: texts, ids, codes, and the figures with a unit and their evidence, as JSON Schema says them."""

from __future__ import annotations

from typing import Any

__all__ = ["FORMS"]


def _figure(kind: str, sentence: str, of: str, tolerance: str, *examples: str) -> dict[str, Any]:
    """A figure with its unit, alone or with the evidence for it."""
    return {
        "description": sentence,
        "examples": list(examples),
        "type": ["string", "object"],
        "format": kind,
        "required": ["value"],
        "additionalProperties": False,
        "properties": {
            "value": {"description": of, "examples": list(examples), "type": "string", "format": kind},
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
            },
            "bound": {
                "description": "What kind of bound the figure is, where it is one already; such a figure needs no tolerance.",
                "examples": ["label-maximum"],
                "$ref": "#/$defs/bound",
            },
        },
    }


FORMS: dict[str, dict[str, Any]] = {
    "id": {
        "description": "A short name for a record, by which other records point to it: letters, digits, hyphens, underscores and points, without spaces.",
        "examples": ["B1", "safety-manager"],
        "type": "string",
        "pattern": "^[A-Za-z0-9][A-Za-z0-9._-]*$",
        "maxLength": 40,
    },
    "name": {
        "description": "A short name or label as people on the site say it.",
        "examples": ["Truck bay"],
        "type": "string",
        "minLength": 1,
        "maxLength": 120,
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
        "additionalProperties": {"type": "string", "minLength": 1, "maxLength": 600},
    },
    "phone": {
        "description": "A telephone number as one dials it, in quotation marks when it is digits only.",
        "examples": ["555-0117"],
        "type": "string",
        "minLength": 2,
        "maxLength": 40,
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
    },
    "jurisdiction": {
        "description": "A country code, or country and state code, after ISO 3166.",
        "examples": ["US-KS", "DE"],
        "type": "string",
        "pattern": "^[A-Z]{2}(-[A-Z0-9]{1,3})?$",
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
    ),
    "mass": _figure(
        "mass",
        "A mass with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 310 lb or 140 kg, as the instrument, label or drawing gives it.",
        "2 lb",
        "310 lb",
        "140 kg",
    ),
    "force": _figure(
        "force",
        "A force with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 1800 lbf or 8 kN, as the instrument, label or drawing gives it.",
        "50 lbf",
        "1800 lbf",
        "8 kN",
    ),
    "time": _figure(
        "time",
        "A time with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 6 min or 90 s, as the instrument, label or drawing gives it.",
        "20 s",
        "6 min",
        "90 s",
    ),
    "speed": _figure(
        "speed",
        "A speed with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 25 mph or 11 m/s, as the instrument, label or drawing gives it.",
        "2 mph",
        "25 mph",
        "11 m/s",
    ),
    "angle": _figure(
        "angle",
        "An angle with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 30 deg or 30°, as the instrument, label or drawing gives it.",
        "2 deg",
        "30 deg",
        "30°",
    ),
    "temperature": _figure(
        "temperature",
        "A temperature with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as -20 °F or -29 °C, as the instrument, label or drawing gives it.",
        "2 °F",
        "-20 °F",
        "-29 °C",
    ),
    "voltage": _figure(
        "voltage",
        "A voltage with its unit, alone or with the evidence for it.",
        "The figure with its unit, such as 12.5 kV or 600 V, as the instrument, label or drawing gives it.",
        "0.5 kV",
        "12.5 kV",
        "600 V",
    ),
}
