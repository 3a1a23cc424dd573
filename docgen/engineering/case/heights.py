"""Stage 1, heights: from the underside of the rail to the height of the line exit above the D-ring, at any combination of their ends.

All lengths in m; elevations above the datum of the bay.
"""

from __future__ import annotations

from docgen.calc import CalcError, clearance
from docgen.engineering import levels
from docgen.engineering.case.notes import Notes, Usual
from docgen.engineering.case.stage import Stage, lacking
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import End, Spread
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import BayRail, Limits, Posture, Quantity, Vehicle

__all__ = ["Deck", "Ends", "Heights", "LineExit", "Ring", "RingAt", "deck", "height_at", "heights", "line_exit", "ring"]


@frozen
class LineExit:
    """Elevation of the place where the line leaves the device."""

    elevation: Spread


@frozen
class Deck:
    """Elevation of the surface that people stand on, empty to loaded."""

    elevation: Spread


@frozen
class RingAt:
    """D-ring above the deck at one combination of ends: standing, in the posture of the case, and the difference of both."""

    standing: float
    in_posture: float
    addition: float


@frozen
class Ring:
    """Height of the back D-ring above the deck. Standing it is one figure; in another posture a figure of its own, or the standing
    one less a `drop`: whichever is None is not varied."""

    standing: Spread
    posture: Spread | None
    drop: Spread | None

    def at(self, standing: End, posture: End) -> RingAt:
        """At one end of the standing height and one of the height in posture, which a drop turns round: a low ring is a large drop."""
        upright = self.standing.at(standing)
        if self.posture is not None:
            low = self.posture.at(posture)
            return RingAt(standing=upright, in_posture=low, addition=max(0.0, upright - low))
        turned: End = "high" if posture == "low" else "low" if posture == "high" else "nominal"
        drop = 0.0 if self.drop is None else self.drop.at(turned)
        return RingAt(standing=upright, in_posture=max(0.0, upright - drop), addition=min(drop, upright))


@frozen
class Ends:
    """Which end each height is taken at."""

    line_exit: End
    deck: End
    standing: End
    posture: End


@frozen
class Heights:
    """The heights, and `height` of the line exit above the D-ring as it stands; negative where the device is below it."""

    line_exit: LineExit
    deck: Deck
    ring: Ring
    height: float

    def at(self, ends: Ends) -> float:
        """Height of the line exit above the D-ring at one combination of ends."""
        return (
            self.line_exit.elevation.at(ends.line_exit)
            - self.deck.elevation.at(ends.deck)
            - self.ring.at(ends.standing, ends.posture).in_posture
        )


def height_at(known: Heights, ends: Ends, sheet: Sheet, what: str) -> float:
    """Height of the line exit above the D-ring at one combination of ends, written down as a step of `what`."""
    return sheet.run_for(
        what,
        clearance.height_above_d_ring,
        line_exit=known.line_exit.elevation.at(ends.line_exit),
        surface=known.deck.elevation.at(ends.deck),
        d_ring_height=known.ring.at(ends.standing, ends.posture).in_posture,
    )


def line_exit(rail: BayRail, notes: Notes) -> Stage[LineExit]:
    """Underside of the rail less the hang of trolley and device."""
    elevation = levels.exit_elevation(rail, notes.measured)
    if elevation is None:
        paths = ((rail.underside, f"{rail.path}.underside"), (rail.line_exit_below_rail, f"{rail.path}.line_exit_below_rail"))
        return Stage(None, tuple(path for value, path in paths if value is None))
    return Stage(LineExit(elevation=elevation))


def deck(vehicle: Vehicle, notes: Notes) -> Stage[Deck]:
    """The deck of the vehicle, its range from empty to loaded included."""
    elevation = levels.deck_elevation(vehicle, notes.measured)
    return Stage(None, (f"{vehicle.path}.deck",)) if elevation is None else Stage(Deck(elevation=elevation))


def ring(limits: Limits, posture: Posture, notes: Notes) -> Ring:
    """The D-ring as measured in that posture, or standing less a measured drop or that of practice. CalcError if higher than standing."""
    standing = levels.over_the_crew(limits, notes.usual(limits.d_ring.standing, "d_ring_standing", "crew"), notes.measured)
    given: Quantity | None
    usual: Usual
    match posture:
        case "standing":
            return Ring(standing=standing, posture=None, drop=None)
        case "kneeling":
            given, usual = limits.d_ring.kneeling, "posture_kneeling"
            drop = notes.measured(limits.posture_drop, "crew")
        case "lying":
            given, usual, drop = limits.d_ring.lying, "posture_lying", None
    if given is not None and over(given.si, standing.nominal):
        raise CalcError(f"the D-ring is higher {posture} than standing")
    own = None if drop is not None else notes.measured(given, "crew")
    if own is None:
        return Ring(standing=standing, posture=None, drop=drop or notes.usual(None, usual))
    notes.sheet.run(clearance.posture_addition, d_ring_standing=standing.nominal, d_ring_posture=own.nominal)
    return Ring(standing=standing, posture=own.not_below_zero(), drop=None)


def heights(exit_: Stage[LineExit], deck_: Stage[Deck], ring_: Ring, notes: Notes) -> Stage[Heights]:
    """Height of the line exit above the D-ring."""
    if exit_.value is None or deck_.value is None:
        return lacking(exit_, deck_)
    height = notes.sheet.run(
        clearance.height_above_d_ring,
        line_exit=exit_.value.elevation.nominal,
        surface=deck_.value.elevation.nominal,
        d_ring_height=ring_.at("nominal", "nominal").in_posture,
    )
    return Stage(Heights(line_exit=exit_.value, deck=deck_.value, ring=ring_, height=height))
