"""Stage 5b, edge: whether the line comes to bear on the edge of that side, and the arrest distance that then holds. All lengths in m."""

from __future__ import annotations

from docgen.calc import clearance, swing
from docgen.engineering.case.frame import ends, frame
from docgen.engineering.case.heights import Ends, Heights
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.offsets import Offsets
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.case.terms import Allowances, longest
from docgen.engineering.spread import Spread
from docgen.frozen import frozen
from docgen.limits import under
from docgen.site import Bay, Part, Side

__all__ = ["Edge", "edge", "over_edge"]

#: The lowest D-ring against an edge that rises with the deck: rail low, deck high, ring low.
ENDS = Ends(line_exit="low", deck="high", standing="low", posture="low")


@frozen
class Edge:
    """`clear`: how high the D-ring stays above the edge after an arrest as under an overhead device, tolerances the wrong way; None where
    they bring the line exit down to the D-ring. `bears`: the line comes to bear on it. `setback`: how far inboard of it the line exit
    hangs at the least, across; zero where the trolley can hang over it or beyond."""

    clear: float | None
    bears: bool
    setback: float


def edge(
    bay: Bay, side: Side | None, heights: Stage[Heights], offsets: Stage[Offsets], arrest: Stage[Spread], given: Allowances, notes: Notes
) -> Stage[Edge]:  # fmt: skip
    """The edge of that side, coaming and handrail included: never lower than the deck, and the deck where nobody measured it."""
    if heights.value is None or offsets.value is None or arrest.value is None:
        return lacking(heights, offsets, arrest)
    known, deck = heights.value, heights.value.deck.elevation
    top = None if side is None else notes.measured(side.edge_top)
    above = 0.0 if top is None else max(0.0, top.high - deck.nominal)
    inboard, setback = _inboard(bay, side, offsets.value, notes), _setback(bay, side, offsets.value, notes)
    height = known.at(ENDS)
    if not height > 0:
        return Stage(Edge(clear=None, bears=inboard, setback=setback))
    run = notes.corner.run_for
    run(
        "edge", clearance.height_above_d_ring, line_exit=known.line_exit.elevation.low, surface=deck.high,
        d_ring_height=known.ring.at("low", "low").in_posture,
    )  # fmt: skip
    clear = run(
        "edge", clearance.line_bears_on_edge, d_ring_height=known.ring.at("low", "low").in_posture,
        arrest_distance=arrest.value.high, swing=run("edge", swing.swing_drop, height=height, offset=offsets.value.worst),
        deflection=0.0 if given.deflection is None else given.deflection.high, edge_height=above,
    )  # fmt: skip
    return Stage(Edge(clear=clear, bears=inboard and under(clear, 0.0), setback=setback))


def _inboard(bay: Bay, side: Side | None, offsets: Offsets, notes: Notes) -> bool:
    """Whether the trolley can stand on the inner side of that edge; along the vehicle it always can."""
    if side is None or side.edge is None or side.side not in ("left", "right"):
        return True
    reach, rail = notes.measured(side.edge), offsets.rail_offset
    outward = offsets.least_toward if bay.rail.offset_toward == side.side else -rail.high
    return reach is None or under(outward - offsets.parking.high, reach.high)


def _setback(bay: Bay, side: Side | None, offsets: Offsets, notes: Notes) -> float:
    """From under the line exit to the edge of that side, the trolley as far toward it as it can hang. Along the vehicle the trolley follows
    a person to the edge, and over a hatch it hangs anywhere."""
    if side is None or side.edge is None or side.side not in ("left", "right"):
        return 0.0
    hang = frame(bay, offsets, notes).trolley(moves=True)
    return max(0.0, ends(side.edge, notes)[0] - (hang.high if side.side == "right" else -hang.low))


def over_edge(found: tuple[Part, ...], edge_: Stage[Edge], arrest: Stage[Spread], notes: Notes) -> Stage[Spread]:
    """The arrest distance of the case: that of an overhead device, or where the line bears on an edge what the maker says of use over an
    edge, padded or not; none where the maker says nothing, or does not say where."""
    if arrest.value is None or edge_.value is None or not edge_.value.bears:
        return arrest
    distances: list[Spread] = []
    for device in found:
        use = device.edge_use
        if use.page is None:
            return Stage(None, (f"{use.path}.page" if use else use.path,))
        known = notes.measured(use.arrest_distance, "bound")
        if known is None and not use.same:
            return Stage(None, (f"{use.path}.arrest_distance",))
        distances.append(known or arrest.value)
    return Stage(longest((arrest.value, *distances)))  # in the cold, or for a heavy user, the other figure can be the longer one
