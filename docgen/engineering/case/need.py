"""Stage 6, need: clearance required, clearance available, and what is left between them. All lengths in m."""

from __future__ import annotations

from docgen.calc import clearance
from docgen.calc import swing as arithmetic
from docgen.engineering.case.below import Below
from docgen.engineering.case.heights import Deck
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.case.swing import Swing
from docgen.engineering.case.terms import Terms
from docgen.engineering.sheet import Sheet
from docgen.frozen import frozen
from docgen.limits import no_noise

__all__ = ["Available", "Margin", "Need", "available", "margin", "need"]


@frozen
class Available:
    """Clearance available below the deck; `worst` with the deck low and the lower level high."""

    nominal: float
    worst: float


@frozen
class Need:
    """Clearance required below the deck for that swing and those terms; `edge` below zero means that the line bears on the edge."""

    swing: Swing
    terms: Terms
    required: float
    edge: float


@frozen
class Margin:
    """What is left over between `available` and `need`; negative means short.

    `worst` and `required_worst` are in the corner that governs clearance; None where it brings the line exit down to the
    D-ring. `arrest_way_out` is the arrest distance that would cure a short case, None where none would.
    """

    available: Available
    need: Need
    nominal: float
    worst: float | None
    required_worst: float | None
    arrest_way_out: float | None


def available(deck: Stage[Deck], below: Stage[Below], notes: Notes) -> Stage[Available]:
    """From the deck down to the highest thing below."""
    if deck.value is None or below.value is None:
        return lacking(deck, below)
    have = notes.sheet.run(clearance.available_below_surface, surface=deck.value.elevation, lower_level=below.value.elevation)
    return Stage(Available(nominal=have, worst=have - deck.value.slack - below.value.slack))


def need(swing: Stage[Swing], terms: Stage[Terms], notes: Notes) -> Stage[Need]:
    """The sum of all terms, and whether the line clears the edge."""
    if swing.value is None or terms.value is None:
        return lacking(swing, terms)
    required = _required(terms.value, swing.value.drop, notes.sheet)
    edge = notes.sheet.run(
        clearance.line_bears_on_edge,
        d_ring_height=swing.value.heights.ring.in_posture,
        arrest_distance=terms.value.arrest_distance,
        swing=swing.value.drop,
    )
    return Stage(Need(swing=swing.value, terms=terms.value, required=required, edge=no_noise(edge)))


def margin(have: Stage[Available], need_: Stage[Need], notes: Notes) -> Stage[Margin]:
    """Available less required, nominal and in the corner that governs clearance."""
    if have.value is None or need_.value is None:
        return lacking(need_, have)
    heights, offsets, terms = need_.value.swing.heights, need_.value.swing.offsets, need_.value.terms
    nominal = no_noise(notes.sheet.run(clearance.clearance_margin, available=have.value.nominal, required=need_.value.required))
    worst = required_worst = None
    if heights.low_deck > 0:
        drop = notes.corner.run(arithmetic.swing_drop, height=heights.low_deck, offset=offsets.worst)
        required_worst = _required(terms, drop, notes.corner)
        worst = no_noise(notes.corner.run(clearance.clearance_margin, available=have.value.worst, required=required_worst))
    shorter = terms.arrest_distance + nominal
    return Stage(
        Margin(
            available=have.value,
            need=need_.value,
            nominal=nominal,
            worst=worst,
            required_worst=required_worst,
            arrest_way_out=shorter if nominal < 0 and shorter > 0 else None,
        )
    )


def _required(terms: Terms, drop: float, sheet: Sheet) -> float:
    return sheet.run(
        clearance.required_below_surface,
        swing=drop,
        arrest_distance=terms.arrest_distance,
        stretch=terms.stretch,
        posture=terms.posture,
        deflection=terms.deflection,
        margin=terms.margin,
    )
