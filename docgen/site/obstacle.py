"""What a falling or swinging person could strike: declared once for what is fixed in a bay and for what stands out from a vehicle."""

from __future__ import annotations

from docgen.limits import over
from docgen.site.declare import Key, Length, Name, Node, Quantity, SideName, record, says

__all__ = ["Obstacle", "across", "upright"]


@record
class Obstacle(Node):
    """Something that could be struck. `from` and `to` are across, from the vehicle centreline, on the side named; heights are over the datum."""

    id: Key = says(
        "A short name without spaces for the thing, used in findings and drawings; the site chooses it.",
        "column-1",
        "ladder-stub",
        default="",
        required=True,
    )
    what: Name = says(
        "What the thing is, in the words used on site.",
        "Canopy column",
        "Loading arm in its parked place",
        "Ladder stub",
        default="",
        required=True,
    )
    side: SideName | None = says(
        "The side of the vehicle on which it lies, seen looking toward the front of the vehicle.", "left", "rear"
    )
    from_: Length | None = says(
        "Distance across from the vehicle centreline to its near face, measured on site with a tape.",
        "7.5 ft",
        {"value": "2.3 m", "how": "measured", "by": "safety-manager", "on": "2026-03-02", "tolerance": "0.05 m"},
        toward="nearest",
    )
    to: Length | None = says(
        "Distance across from the vehicle centreline to its far face, measured on site with a tape.",
        "8.5 ft",
        "2.6 m",
        toward="nearest",
    )
    bottom: Length | None = says(
        "Height of its lowest point above the datum of the bay, measured on site.", "0 ft", "2.4 m", toward="nearest"
    )
    flat: bool | None = says(
        "True when it is a flat face at least as large as a person, with nothing that sticks out; a post or a pipe is not, even padded.",
        True,
        need="o",
    )
    top: Length | None = says(
        "Height of its highest point above the datum of the bay, measured on site.", "20 ft", "6.1 m", toward="nearest"
    )


def upright(thing: Obstacle) -> tuple[Quantity | None, Quantity | None]:
    """Its lowest and its highest point. Two heights written the wrong way round are a finding, and the thing stands there all the same."""
    bottom, top = thing.bottom, thing.top
    return (top, bottom) if bottom is not None and top is not None and over(bottom.si, top.si) else (bottom, top)


def across(thing: Obstacle) -> tuple[Quantity | None, Quantity | None]:
    """Its near and its far face, in the same way."""
    near, far = thing.from_, thing.to
    return (far, near) if near is not None and far is not None and over(near.si, far.si) else (near, far)
