"""The figures of the documents: pure functions from site and assessment to drawings, words from the words file.

Each takes a case or a rescue row, the site and a Say, and returns a Drawing, or None where too little is known to draw.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from docgen.compose.drawing import Drawing
from docgen.compose.elevation import elevation
from docgen.compose.parking import parking
from docgen.compose.say import Say
from docgen.compose.timeline import timeline
from docgen.engineering.model import Case, RescueRow
from docgen.site import Node, Site

__all__ = ["FIGURES", "Say", "caption", "elevation", "parking", "reads", "timeline"]

FIGURES: Mapping[str, Callable[..., Drawing | None]] = {"elevation": elevation, "parking": parking, "timeline": timeline}
RECORD = {
    "elevation": (
        "deck", "line_exit", "ring", "height", "reach", "across", "along", "offset", "line_angle", "swing_drop", "lower_level",
        "lower_what", "arrest_distance", "stretch", "posture_addition", "deflection", "margin_term", "required", "available",
        "margin", "hang_low", "feet_low",
    ),
    "parking": ("reach", "rail_offset", "along", "largest_worst", "allowance_left", "allowance_right"),
    "timeline": ("detection", "contact", "contact_limit", "ground", "ground_limit"),
}  # fmt: skip
PLACE = ("what", "side", "from_", "to", "bottom", "top")


def reads(kind: str, record: Case | RescueRow, site: Site) -> Iterator[tuple[Node, str]]:
    """(record of the model, field) for everything that a figure rests on, so that the clause around it is traced to it."""
    yield from ((record, name) for name in RECORD[kind])
    if kind == "timeline":
        yield from ((step, name) for step in record.timings for name in ("who", "start", "finish", "critical"))
        return
    bay, vehicle = site.bay(record.bay), site.vehicle(record.vehicle)
    yield from ((vehicle, name) for name in ("name", "kind"))
    yield from ((side, "edge") for side in vehicle.sides)
    yield bay.rail, "offset_toward"
    if kind == "elevation":
        yield bay.rail, "underside"
        yield from ((thing, name) for thing in (*bay.obstructions, *vehicle.protrusions) for name in PLACE)


def caption(kind: str, record: Case | RescueRow, site: Site, say: Say) -> str:
    """The caption of a figure, in plain text."""
    names = {"bay": site.bay(record.bay).name, "vehicle": site.vehicle(record.vehicle).name}
    if kind == "timeline":
        shift = site.shift(record.shift)
        return say.word("timeline", method=record.method, shift=shift.name or shift.id, **names)
    if kind == "parking":
        return say.word("parking", case=record.id, **names)
    return say.word("elevation", case=record.id, posture=say.term(record.posture), side=say.term(record.side), **names)
