"""The profile: what left service and what took its place, so that its past stays its own."""

from __future__ import annotations

from datetime import date
from typing import Literal

from docgen.site.declare import Key, Name, Node, Text, record, says

__all__ = ["COLLECTIONS", "Retired", "RetiredKind"]

RetiredKind = Literal["part", "climber", "rescuer", "vehicle"]
#: Where the id of a retired thing stood in the profile: entries of the log still name it there.
COLLECTIONS = {"part": "equipment", "climber": "users", "rescuer": "rescuers", "vehicle": "vehicles"}


@record
class Retired(Node):
    """One thing that left service: its entries in the log stay its own, and its id is not used again."""

    id: Key = says("The id that it had.", "D-1", default="", required=True)
    of: RetiredKind = says("What it was: a part, a climber, a rescuer or a vehicle.", "part", default="part", required=True)
    on: date | None = says("The day on which it left service.", "2026-11-10", required=True)
    by: Key | None = says("The id of what took its place.", "D-3")
    name: Name | None = says("What it was called.", "Self-retracting device")
    serial: Name | None = says("Its serial number, as it was read off the label.", "D1-20417")
    label_photo: str | None = says(
        "Where the photograph of its label lies, as a path beside the profile.",
        "photos/D-1-label.jpg",
        min_length=1,
        max_length=200,
    )
    manual: Name | None = says("The instructions that applied to it.", "Device manual rev 7")
    reason: Text | None = says("Why it left service.", "Line worn, found on inspection")
