"""The figures of the documents: pure functions from site and assessment to drawings, words from the words file.

Each takes a case, a rescue row or the further figures of a system, the site and a Say, and returns a Drawing, or None where too little is known to draw.
A clause rests on all that its drawing reads: the records come traced (`reading.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import cast

from docgen.compose.bayview import bay_view
from docgen.compose.drawing import Drawing
from docgen.compose.elevation import elevation
from docgen.compose.parking import parking
from docgen.compose.say import Say
from docgen.compose.timeline import method_said, timeline
from docgen.engineering.model import Case, Further, RescueRow
from docgen.site import Site

__all__ = ["FIGURES", "Say", "bay_view", "caption", "elevation", "parking", "timeline"]

FIGURES: Mapping[str, Callable[..., Drawing | None]] = {
    "bay": bay_view, "elevation": elevation, "parking": parking, "timeline": timeline,
}  # fmt: skip


def caption(kind: str, record: Case | RescueRow | Further, site: Site, say: Say) -> str:
    """The caption of a figure, in plain text."""
    bay = site.bay(record.bay)
    if kind == "bay":
        return say.word("bay", bay=bay.name if bay else record.bay)
    record = cast(Case | RescueRow, record)
    vehicle = site.vehicle(record.vehicle)
    names = {"bay": bay.name if bay else record.bay, "vehicle": vehicle.name if vehicle else record.vehicle}
    if kind == "timeline":
        row = cast(RescueRow, record)
        shift = site.shift(row.shift)
        return say.word("timeline", method=method_said(row, site), shift=(shift.name if shift else None) or row.shift, **names)
    case = cast(Case, record)
    if kind == "parking":
        return say.word("parking", case=case.id, **names)
    return say.word("elevation", case=case.id, posture=say.term(case.posture), side=say.term(case.side), **names)
