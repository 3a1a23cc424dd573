"""Findings on what goes into the sum and may be chosen or mistaken: stretch, margin, ring heights, angle limit, what is assumed."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.engineering.levels import deck_kind
from docgen.engineering.spread import spread
from docgen.findings.common import bays_in_use, held, listed, terms, vehicles_in_use, worded
from docgen.findings.model import Value
from docgen.findings.rule import PLAN, RECORD, finding
from docgen.findings.view import Hit, View, near
from docgen.limits import at_least, over, under
from docgen.site import Quantity
from docgen.trade.practice import practice, practice_beside
from docgen.units import exact

__all__ = [
    "allowance_assumed",
    "allowance_zero",
    "angle_limit_unproved",
    "assumable",
    "edge_below_deck",
    "ground_moves",
    "lowered_unlicensed",
    "margin_low",
    "posture_drop_low",
    "posture_figures_differ",
    "ring_low",
    "ring_unusual",
    "stretch_low",
]


def assumable(view: View) -> Iterator[tuple[Quantity, str]]:
    """Figures for which practice has one of its own, with its name."""
    limits = view.site.limits
    yield from ((q, n) for q, n in ((limits.stretch, "stretch"), (limits.margin, "margin")) if q is not None)
    yield from ((b.rail.trolley_lag, "trolley_lag") for b in bays_in_use(view) if b.rail.trolley_lag is not None)


def _stood_behind(view: View, quantity: Quantity) -> bool:
    """Whether the qualified person of that day set the figure by design."""
    return quantity.how == "design" and held(view, "qualified-person", quantity.by, quantity.on)


def _too_low(view: View, quantity: Quantity | None, least: str, floor: str) -> dict[str, Value] | None:
    """What a message needs where a figure lies below its floor, or below the usual least with nobody behind it."""
    if quantity is None:
        return None
    usual, lowest = (practice_beside(name, quantity.unit, view.system) for name in (least, floor))
    if under(quantity.si, lowest.si) or (under(quantity.si, usual.si) and not _stood_behind(view, quantity)):
        return {"value": quantity.text, "least": usual.text, "floor": lowest.text}
    return None


@finding("stretch-low", "must-fix", documents=(PLAN, RECORD))
def stretch_low(view: View) -> Iterator[Hit]:
    """What it looks at: harness stretch and D-ring shift below the usual least without the qualified person of that day, or below any floor.

    Why: each inch left out is clearance lost. Exactly the least is enough. Example: 0.5 ft by the trainer. Reference: OSHA
    Technical Manual V-4 (memory); the floor is an own choice.
    """
    values = _too_low(view, view.site.limits.stretch, "stretch_least", "stretch_floor")
    if values is not None:
        yield Hit("limits.stretch", values)


@finding("margin-low", "must-fix", documents=(PLAN, RECORD))
def margin_low(view: View) -> Iterator[Hit]:
    """What it looks at: a margin below the usual least without the qualified person of that day, or below any floor.

    Why: it covers what nobody measured. Exactly the least is enough. Example: 1.0 ft by the competent person. Reference: handouts
    that cite OSHA Technical Manual V-4 (memory); the floor is an own choice.
    """
    values = _too_low(view, view.site.limits.margin, "margin_least", "kept_least")
    if values is not None:
        yield Hit("limits.margin", values)


@finding("lowered-unlicensed", "must-fix", documents=(PLAN, RECORD))
def lowered_unlicensed(view: View) -> Iterator[Hit]:
    """What it looks at: a stretch or margin below the usual least, taken on the word of a qualified person with no licence on record.

    Why: whoever leaves out a part of the sum answers for it by name and licence. Exactly the least needs nobody. Example: 1.5 ft of
    margin by T. Maran, whom no line of the reviewers names with a licence. Reference: own choice.
    """
    limits = view.site.limits
    licensed = {reviewer.name for reviewer in view.site.reviewers if reviewer.licence is not None}
    for quantity, least in ((limits.stretch, "stretch_least"), (limits.margin, "margin_least")):
        if quantity is None or not _stood_behind(view, quantity):
            continue
        usual = practice_beside(least, quantity.unit, view.system)
        if not under(quantity.si, usual.si):
            continue
        role = view.site.role(quantity.by or "")
        holder = role.on(quantity.on) if role is not None and quantity.on is not None else None
        name = quantity.by if holder is None else holder.name
        if licensed.isdisjoint(view.site.names_of(name or "")):
            yield Hit(quantity.path, {"value": quantity.text, "least": usual.text, "who": name or ""})


@finding("ring-low", "must-fix", documents=(PLAN, RECORD))
def ring_low(view: View) -> Iterator[Hit]:
    """What it looks at: the height of the D-ring of a standing user.

    Why: nobody's is so low, and a slip there shortens the fall on paper. Exactly the least passes. Example: 2.0 ft written for 5.0 ft.
    Reference: own choice; common practice, no published source.
    """
    ring = view.site.limits.d_ring.standing
    if ring is not None and under(ring.si, (least := practice_beside("ring_least", ring.unit, view.system)).si):
        yield Hit(ring.path, {"value": ring.text, "least": least.text})


@finding("ring-unusual", "fix-soon", documents=(PLAN, RECORD))
def ring_unusual(view: View) -> Iterator[Hit]:
    """What it looks at: a D-ring height of a standing user that is lower than is usual.

    Why: it shortens the fall on paper. Example: 3.5 ft standing. Reference: own choice; common practice, no published source.
    """
    ring = view.site.limits.d_ring.standing
    if ring is None:
        return
    asks, least = (practice_beside(name, ring.unit, view.system) for name in ("ring_asks", "ring_least"))
    if under(ring.si, asks.si) and at_least(ring.si, least.si):
        yield Hit(ring.path, {"posture": terms(("standing",)), "value": ring.text, "usual": asks.text})


@finding("posture-drop-low", "must-fix", documents=(PLAN, RECORD))
def posture_drop_low(view: View) -> Iterator[Hit]:
    """What it looks at: how much lower the D-ring is kneeling or lying than standing, by the two rings and by the drop measured as one figure.

    Why: that much line is out before the fall, and a figure too small leaves it out of the sum. Exactly the least passes. Example:
    posture_drop 0.0 ft; kneeling 4.9 ft and standing 5.0 ft. Reference: own choice, from body proportions (memory).
    """
    limits = view.site.limits
    standing = practice("d_ring_standing", view.system).si if limits.d_ring.standing is None else limits.d_ring.standing.si
    rings = (("kneeling", limits.d_ring.kneeling), ("lying", limits.d_ring.lying))
    found = [(posture, ring.path, ring.unit, standing - ring.si) for posture, ring in rings if ring is not None]
    if limits.posture_drop is not None:
        found.append(("kneeling", limits.posture_drop.path, limits.posture_drop.unit, limits.posture_drop.si))
    used = {posture for task in view.site.tasks for posture in task.postures}
    for posture, path, unit, drop in found:
        least = practice_beside("kneeling_least" if posture == "kneeling" else "lying_least", unit, view.system)
        if posture in used and under(drop, least.si):
            yield Hit(path, {"posture": terms((posture,)), "drop": exact(drop, "length", view.system), "least": least.text})


@finding("posture-figures-differ", "must-fix", documents=(PLAN, RECORD))
def posture_figures_differ(view: View) -> Iterator[Hit]:
    """What it looks at: ring standing less ring kneeling against the drop that was measured as one figure.

    Why: one of the three is wrong, and the drop is the one that counts. Rings and drop are taken of the same crew, so that they may lie apart by the tolerance of the
    drop and no more: what a crew differs by is none. Example: 5.0 and 3.0 ft, drop 1.5 ft give or take 0.2 ft. Reference: geometry.
    """
    limits = view.site.limits
    standing, kneeling, drop = limits.d_ring.standing, limits.d_ring.kneeling, limits.posture_drop
    if standing is not None and kneeling is not None and drop is not None:
        apart = abs(standing.si - kneeling.si - drop.si)
        if over(apart, drop.tolerance):
            yield Hit(drop.path, {"drop": drop.text, "rings": exact(standing.si - kneeling.si, "length", view.system)})


@finding("ground-moves", "must-fix", documents=(PLAN, RECORD))
def ground_moves(view: View) -> Iterator[Hit]:
    """What it looks at: lower levels near the datum of the bay, or below it, that are said to move with the vehicle, and what one lands on inside its hatches, which does.

    Why: the ground does not rise with a deck, and to say so hides the tolerance of the deck; the inside of a tank lies above the ground on which it stands. Example: slab, 0 ft,
    moves_with vehicle; bottom of the car at -5.5 ft. Reference: geometry.
    """
    for vehicle in vehicles_in_use(view):
        moving = [
            (f"{s.lower.path}.moves_with", s.lower.height, s.lower.what) for s in vehicle.sides if s.lower.moves_with == "vehicle"
        ]
        moving += [(f"{hatch.path}.lower", hatch.lower, hatch.inside) for hatch in vehicle.hatches if not hatch.stopped_by]
        for path, height, what in moving:
            if height is not None and under(height.si, practice_beside("ground_level", height.unit, view.system).si):
                yield Hit(path, {"vehicle": vehicle.name, "lower": what or worded("surface-below")})


@finding("edge-below-deck", "must-fix", documents=(PLAN, RECORD))
def edge_below_deck(view: View) -> Iterator[Hit]:
    """What it looks at: tops of edges measured lower than the deck, tolerances of both the right way.

    Why: an edge is at least as high as what one stands on; one of the two is a slip. Example: deck 12.0 ft, edge 10.0 ft. As far apart
    as their tolerances passes. Reference: geometry.
    """
    for vehicle in vehicles_in_use(view):
        deck = vehicle.deck
        for side in vehicle.sides:
            top = side.edge_top
            if deck is None or top is None:
                continue
            lowest = spread(deck, deck_kind(vehicle), view.system)[0].low
            if under(spread(top, "length", view.system)[0].high, lowest):
                values: dict[str, Value] = {
                    "vehicle": vehicle.name,
                    "side": terms((side.side,)),
                    "top": near(top),
                    "deck": near(deck),
                }
                yield Hit(top.path, values)


@finding("angle-limit-unproved", "must-fix", documents=(PLAN, RECORD))
def angle_limit_unproved(view: View) -> Iterator[Hit]:
    """What it looks at: a limit of the line angle over the usual one, without the page of the manual that allows it.

    Why: a device may not lock or hold at a slant that it was not tested for. Exactly the usual limit asks for nothing. Example: 60 degrees
    under limits and on the device. Reference: common practice, no published source.
    """
    usual = practice("line_angle", view.system).si
    for bay in bays_in_use(view):
        system = view.site.system_of(bay.id)
        devices = view.site.parts(system.parts, "srd") if system is not None else ()
        said = [q for q in (view.site.limits.line_angle.value, *(d.angle_max for d in devices)) if q is not None]
        limit = min(said, key=lambda q: q.si, default=None)
        if limit is None or not over(limit.si, usual):
            continue
        without = [
            d.id for d in devices if d.line_angle.max is None or d.line_angle.page is None or over(limit.si, d.line_angle.max.si)
        ]
        if without:
            yield Hit(
                limit.path, {"bay": bay.name, "limit": near(limit), "usual": near(usual, "angle"), "devices": listed(without)}
            )


@finding("allowance-assumed", "fix-soon", documents=(PLAN, RECORD))
def allowance_assumed(view: View) -> Iterator[Hit]:
    """What it looks at: stretch, margin and trolley lag that were assumed, at what practice takes or more.

    Why: nobody measured or read them. Below what practice takes they count as critical. Example: stretch 1.5 ft, how assumed.
    Reference: common practice, no published source.
    """
    for quantity, name in assumable(view):
        if quantity.assumed and at_least(quantity.si, practice_beside(name, quantity.unit, view.system).si):
            yield Hit(quantity.path, {"input": quantity.path, "value": near(quantity)})


@finding("allowance-zero", "must-fix", documents=(PLAN, RECORD))
def allowance_zero(view: View) -> Iterator[Hit]:
    """What it looks at: a lag of the trolley of nothing, at the rail or at the ladder, and vehicles that stand off their mark by nothing, across or along.

    Why: a trolley is drawn by a line that slants already, and nobody parks to a hair; the offset, and with it swing and angle, come out too small. However little
    was measured passes. Example: parking.lateral 0 ft. Reference: common practice, no published source.
    """
    for bay in bays_in_use(view):
        for figure in (bay.rail.trolley_lag, bay.ladder.trolley_lag, bay.parking.lateral, bay.parking.along.off):
            if figure is not None and figure.si >= 0 and not over(figure.si, 0.0):
                yield Hit(figure.path, {"input": figure.path, "stated": figure.text})
