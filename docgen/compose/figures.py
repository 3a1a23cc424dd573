"""The figures of the documents: pure functions from site and assessment to drawings, words from the words file.

Each takes a case or a rescue row, the site and a Say, and returns a Drawing, or None where too little is known to draw.
A clause rests on all that its drawing reads: the records come traced (`reading.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import cast

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
    bay, vehicle = site.bay(record.bay), site.vehicle(record.vehicle)
    names = {"bay": bay.name if bay else record.bay, "vehicle": vehicle.name if vehicle else record.vehicle}
    if kind == "timeline":
        row = cast(RescueRow, record)
        shift = site.shift(row.shift)
        return say.word("timeline", method=row.method, shift=(shift.name if shift else None) or row.shift, **names)
    case = cast(Case, record)
    if kind == "parking":
        return say.word("parking", case=case.id, **names)
    return say.word("elevation", case=case.id, posture=say.term(case.posture), side=say.term(case.side), **names)
