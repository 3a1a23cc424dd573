"""The figures of the documents: pure functions from site and assessment to drawings, words from the words file.

Each takes a case or a rescue row, the site and a Say, and returns a Drawing, or None where too little is known to draw.
A clause rests on all that its drawing reads: the records come traced (`reading.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from docgen.compose.drawing import Drawing
from docgen.compose.elevation import elevation
from docgen.compose.parking import parking
from docgen.compose.say import Say
from docgen.compose.timeline import timeline
from docgen.engineering.model import Case, RescueRow
from docgen.site import Site

__all__ = ["FIGURES", "Say", "caption", "elevation", "parking", "timeline"]

FIGURES: Mapping[str, Callable[..., Drawing | None]] = {"elevation": elevation, "parking": parking, "timeline": timeline}


def caption(kind: str, record: Case | RescueRow, site: Site, say: Say) -> str:
    """The caption of a figure, in plain text."""
    names = {"bay": site.bay(record.bay).name, "vehicle": site.vehicle(record.vehicle).name}
    if kind == "timeline":
        shift = site.shift(record.shift)
        return say.word("timeline", method=record.method, shift=shift.name or shift.id, **names)
    if kind == "parking":
        return say.word("parking", case=record.id, **names)
    return say.word("elevation", case=record.id, posture=say.term(record.posture), side=say.term(record.side), **names)
