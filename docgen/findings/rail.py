"""Findings on the bending of the rail: the load of its deflection, and the design against the beam formulas."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.engineering.bending import Bending, bending, stated_peak, users_in_span
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import spread
from docgen.findings.common import bays_in_use
from docgen.findings.model import Value
from docgen.findings.rule import PLAN, RECORD, finding
from docgen.findings.view import Hit, View, down, near, up
from docgen.limits import over, under
from docgen.site import Bay
from docgen.trade.practice import practice
from docgen.units import exact

__all__ = [
    "beam_span_unfit",
    "deflection_below_beam",
    "deflection_load_low",
    "deflection_load_unstated",
    "deflection_zero",
    "rail_slope_untold",
    "rail_stress_over",
    "trolley_rolls_free",
]


def _bent(view: View) -> Iterator[tuple[Bay, Bending]]:
    """The bays in use with a device, and their rail under the load that can come; the largest force that any law lets through where a device states no peak."""
    for bay in bays_in_use(view):
        system = view.site.system_of(bay.id)
        devices = view.site.arresting(system) if system is not None else ()
        peak = stated_peak(devices) or practice("peak_unstated").si
        if devices and peak:
            yield bay, bending(bay.rail, users_in_span(system, bay.rail), peak, Sheet(bay.path))


def _exact(view: View, length: float | None) -> str:
    """A deflection with the digits to repeat it: a tenth of a foot is too coarse for it."""
    return "" if length is None else exact(length, "length", view.system)


@finding("deflection-load-unstated", "fix-soon", documents=(PLAN, RECORD))
def deflection_load_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: whether the deflection of the rail names the load under which it was worked out.

    Why: half the load bends it half as far, and nobody sees which it was. Example: 0.1 ft, no load. Reference: common practice, no
    published source.
    """
    for bay, bent in _bent(view):
        if bay.rail.deflection is not None and bay.rail.deflection_load is None:
            yield Hit(f"{bay.rail.path}.deflection_load", {"bay": bay.name, "load": up(bent.load, "force")})


@finding("deflection-load-low", "must-fix", documents=(PLAN, RECORD))
def deflection_load_low(view: View) -> Iterator[Hit]:
    """What it looks at: the load under which the deflection of the rail was worked out, against the peak of the devices.

    Why: the rail bends farther than stated. The clearance counts the deflection brought to the load that can come. Example: worked out for
    900 lbf, device with a peak of 1,800 lbf. Reference: Hooke's law.
    """
    for bay, bent in _bent(view):
        load = bay.rail.deflection_load
        if load is not None and over(bent.load, load.si):
            values: dict[str, Value] = {
                "bay": bay.name,
                "stated": down(load),
                "load": up(bent.load, "force"),
            }
            yield Hit(load.path, values | {"deflection": _exact(view, bent.scaled)})


@finding("deflection-below-beam", "must-fix", documents=(PLAN, RECORD))
def deflection_below_beam(view: View) -> Iterator[Hit]:
    """What it looks at: the stated deflection against that of a simply supported beam of the stated span and section.

    Why: the supports give way besides, so that the true one is larger yet. The clearance counts the larger of the two. Example: 0.03 ft
    stated, 0.05 ft by span and section. Reference: beam formula, any handbook.
    """
    for bay, bent in _bent(view):
        stated = bay.rail.deflection
        if stated is not None and bent.computed is not None and under(stated.si, bent.computed):
            values: dict[str, Value] = {"bay": bay.name, "stated": stated.text, "beam": _exact(view, bent.computed)}
            yield Hit(stated.path, values | {"load": up(bent.load, "force")})


@finding("deflection-zero", "must-fix", documents=(PLAN, RECORD))
def deflection_zero(view: View) -> Iterator[Hit]:
    """What it looks at: a deflection of zero, of the rail or of a load case of two users, where no beam data give another one.

    Why: every rail bends under a load, and what is left out of the clearance is missing under the feet. Example: deflection: 0 ft. Reference: Hooke's law.
    """
    for bay, bent in _bent(view):
        system = view.site.system_of(bay.id)
        cases = system.load_cases if system is not None and (system.climbers_at_once or 1) > 1 else ()
        stated = [bay.rail.deflection] if bent.computed is None else []
        for deflection in (*stated, *(case.deflection for case in cases)):
            if deflection is not None and deflection.si >= 0 and not over(deflection.si, 0.0):
                yield Hit(deflection.path, {"bay": bay.name, "stated": deflection.text, "load": up(bent.load, "force")})


@finding("beam-span-unfit", "must-fix", documents=(PLAN, RECORD))
def beam_span_unfit(view: View) -> Iterator[Hit]:
    """What it looks at: the longest span of the rail against the number of spans and the way from its first to its last hanger, within tolerances.

    Why: the bending grows with the cube of the span. The longest of three spans is a third of the way at least, and no longer than the whole of it; one
    span is the whole of it. Example: 20 ft, where the hangers lie 90 ft apart and there are three spans. Reference: geometry.
    """
    for bay in bays_in_use(view):
        rail = bay.rail
        span, first, last = (
            None if q is None else spread(q, "length", view.system)[0]
            for q in (rail.beam.span, rail.hangers.first, rail.hangers.last)
        )
        if span is None or first is None or last is None or rail.beam.span is None or not rail.spans:
            continue
        whole = last - first
        if over(span.low, whole.high) or under(span.high, whole.low / rail.spans):
            values: dict[str, Value] = {"bay": bay.name, "span": near(rail.beam.span), "spans": rail.spans}
            yield Hit(rail.beam.span.path, values | {"whole": near(whole.nominal, "length")})


@finding("rail-slope-untold", "must-fix", documents=(PLAN, RECORD))
def rail_slope_untold(view: View) -> Iterator[Hit]:
    """What it looks at: how far one end of the rail lies below the other, its tolerance included, against the tolerance of its underside.

    Why: every clearance is worked out from one height of the underside, and under a rail that slopes further the person at its low end has less. Exactly
    the tolerance is covered. Example: 1 ft from end to end, underside 27.0 ft give or take 0.1 ft. Reference: geometry.
    """
    for bay in bays_in_use(view):
        slope, underside = bay.rail.as_built.slope, bay.rail.underside
        if slope is None or underside is None:
            continue
        _, said = spread(underside, "length", view.system)
        most = max(abs(end) for end in (spread(slope, "bound", view.system)[0].low, spread(slope, "bound", view.system)[0].high))
        if over(most, said.value.si):
            values: dict[str, Value] = {"bay": bay.name, "slope": up(most, "length"), "tolerance": down(said.value)}
            yield Hit(slope.path, values)


@finding("rail-stress-over", "must-fix", documents=(PLAN, RECORD))
def rail_stress_over(view: View) -> Iterator[Hit]:
    """What it looks at: the bending stress of the rail in the arrest, of everyone who can fall on one span, against what the engineer allows.

    Why: a rail that yields bends on, and stays bent. Example: 34 ksi in the arrest, 30 ksi allowed. Reference: beam formula, any
    handbook; the engineer's figure.
    """
    for bay, bent in _bent(view):
        allowed = bay.rail.beam.allowed_stress
        if allowed is not None and bent.stress is not None and over(bent.stress, allowed.si):
            values: dict[str, Value] = {"bay": bay.name, "stress": up(bent.stress, "stress"), "allowed": down(allowed)}
            yield Hit(allowed.path, values | {"load": up(bent.most, "force")})


@finding("trolley-rolls-free", "fix-soon", documents=(PLAN, RECORD))
def trolley_rolls_free(view: View) -> Iterator[Hit]:
    """What it looks at: rails on which a free trolley rolls by itself.

    Why: it leaves the person or runs ahead, so that the lag that was measured is not the one that comes. Example: free_roll: true. Reference: common
    practice, no published source.
    """
    for bay in bays_in_use(view):
        if bay.rail.as_built.free_roll is True:
            yield Hit(f"{bay.rail.as_built.path}.free_roll", {"bay": bay.name})
