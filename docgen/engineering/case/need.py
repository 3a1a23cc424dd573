"""Stage 6, need: clearance required, clearance available, and what is left between them. All lengths in m."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from docgen.calc import clearance
from docgen.calc import swing as arithmetic
from docgen.engineering.case.below import Below, Level
from docgen.engineering.case.heights import Deck, Ends
from docgen.engineering.case.notes import Notes, trade_figure
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.case.swing import Swing
from docgen.engineering.case.terms import Terms
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import End
from docgen.frozen import frozen
from docgen.limits import no_noise

__all__ = ["Available", "Margin", "Need", "Worst", "available", "corner_of", "least_over", "margin", "need", "room_over"]


@frozen
class Available:
    """Clearance below the deck, down to the highest thing there, as the figures stand."""

    deck: Deck
    below: Below
    nominal: float


@frozen
class Need:
    """Clearance required below the deck for that swing and those terms, as the figures stand."""

    swing: Swing
    terms: Terms
    required: float


@frozen
class Worst:
    """The corner of the tolerances with the least clearance left over: over which thing below, with which heights, and its figures.

    `over` is what is left over; `kept` what that leaves of the margin.
    """

    level: Level
    ends: Ends
    height: float
    required: float
    available: float
    over: float
    kept: float


@frozen
class Margin:
    """What is left over between `available` and `need`; negative means short.

    `worst` is None where tolerances bring the line exit down to the D-ring. `least` is what must be kept of the margin after tolerances.
    `arrest_way_out` is the arrest distance that would cure a short case, None where none would.
    """

    available: Available
    need: Need
    nominal: float
    worst: Worst | None
    least: float
    arrest_way_out: float | None


def available(deck: Stage[Deck], below: Stage[Below], notes: Notes) -> Stage[Available]:
    """From the deck down to the highest thing below."""
    if deck.value is None or below.value is None:
        return lacking(deck, below)
    have = notes.sheet.run(
        clearance.available_below_surface,
        surface=deck.value.elevation.nominal,
        lower_level=below.value.highest.top.nominal,
    )
    return Stage(Available(deck=deck.value, below=below.value, nominal=have))


def need(swing: Stage[Swing], terms: Stage[Terms], notes: Notes) -> Stage[Need]:
    """The sum of all terms."""
    if swing.value is None or terms.value is None:
        return lacking(swing, terms)
    posture = swing.value.heights.ring.at("nominal", "nominal").addition
    required = _required(terms.value, swing.value.drop, posture, "nominal", notes.sheet, "")
    return Stage(Need(swing=swing.value, terms=terms.value, required=required))


def margin(have: Stage[Available], need_: Stage[Need], notes: Notes) -> Stage[Margin]:
    """Available less required, as the figures stand and in the corner of the tolerances that leaves the least."""
    if have.value is None or need_.value is None:
        return lacking(need_, have)
    terms = need_.value.terms
    nominal = no_noise(notes.sheet.run(clearance.clearance_margin, available=have.value.nominal, required=need_.value.required))
    worst = None
    if need_.value.swing.steep > 0:
        over, wanted = have.value, need_.value
        level = least_over(over.below.levels, lambda level: _worst(over, wanted, level, Sheet("")).over)
        worst = _worst(over, wanted, level, notes.corner)
    shorter = terms.arrest_distance.nominal + nominal
    return Stage(
        Margin(
            available=have.value,
            need=need_.value,
            nominal=nominal,
            worst=worst,
            least=notes.corner.run_for(
                "clearance",
                clearance.least_kept_margin,
                margin=terms.margin,
                least=trade_figure("kept_least", notes.system),
                enough=trade_figure("kept_most", notes.system),
            ),
            arrest_way_out=shorter if nominal < 0 and shorter > 0 else None,
        )
    )


def corner_of(level: Level) -> Ends:
    """The corner with the least clearance over one thing below: rail low and ring standing high; the deck low over what stands fixed, and
    high over what rises with it, where only the swing grows. A ring that is low in posture is line paid out before the fall."""
    return Ends(line_exit="low", deck="high" if level.moves else "low", standing="high", posture="low")


def least_over(levels: Sequence[Level], over: Callable[[Level], float]) -> Level:
    """The thing below with the least of what is computed over each; one that lies alone needs no trial."""
    return levels[0] if len(levels) == 1 else min(levels, key=over)


def room_over(have: Available, level: Level) -> tuple[float, float]:
    """Deck and level as they go together in that corner: the deck low over what stands fixed; what moves with the deck rises with it."""
    deck = have.deck.elevation
    return (deck.high, level.top.high + deck.high - deck.nominal) if level.moves else (deck.low, level.top.high)


def _worst(have: Available, need_: Need, level: Level, sheet: Sheet) -> Worst:
    heights, terms, ends = need_.swing.heights, need_.terms, corner_of(level)
    ring, run = heights.ring.at(ends.standing, ends.posture), sheet.run_for
    height = run(
        "clearance",
        clearance.height_above_d_ring,
        line_exit=heights.line_exit.elevation.low,
        surface=have.deck.elevation.at(ends.deck),
        d_ring_height=ring.in_posture,
    )
    drop = run("clearance", arithmetic.swing_drop, height=height, offset=need_.swing.offsets.worst)
    required = _required(terms, drop, ring.addition, "high", sheet, "clearance")
    deck, top = room_over(have, level)
    room = run("clearance", clearance.available_below_surface, surface=deck, lower_level=top)
    over = no_noise(run("clearance", clearance.clearance_margin, available=room, required=required))
    kept = no_noise(run("clearance", clearance.kept_margin, margin=terms.margin, left_over=over))
    return Worst(level=level, ends=ends, height=height, required=required, available=room, over=over, kept=kept)


def _required(terms: Terms, drop: float, posture: float, end: End, sheet: Sheet, what: str) -> float:
    return sheet.run_for(
        what,
        clearance.required_below_surface,
        swing=drop,
        arrest_distance=terms.arrest_distance.at(end),
        stretch=terms.stretch.at(end),
        posture=posture,
        deflection=terms.deflection.at(end),
        margin=terms.margin,
    )
