"""Stage 1, heights: from the underside of the rail to the height of the line exit above the D-ring.

All lengths in m; elevations above the datum of the bay.
"""

from __future__ import annotations

from docgen.calc import clearance
from docgen.engineering.case.notes import Notes, Usual, tolerance
from docgen.engineering.case.stage import Stage, lacking
from docgen.frozen import frozen
from docgen.site import BayRail, DRing, Posture, Quantity, Vehicle

__all__ = ["Deck", "Heights", "LineExit", "Ring", "deck", "heights", "line_exit", "ring"]


@frozen
class LineExit:
    """Where the line leaves the device: elevation, and how much lower it may be by the stated tolerances."""

    elevation: float
    slack: float


@frozen
class Deck:
    """The surface that people stand on: elevation, and its stated tolerance."""

    elevation: float
    slack: float


@frozen
class Ring:
    """Height of the back D-ring above the deck, standing and in the posture of the case; `addition` is the difference."""

    standing: float
    in_posture: float
    addition: float
    slack: float


@frozen
class Heights:
    """`height` of the line exit above the D-ring; negative where the device is below it.

    `worst` governs angle and swing: rail low, deck high, D-ring high. `low_deck` governs clearance: rail low, deck low,
    D-ring high.
    """

    line_exit: LineExit
    deck: Deck
    ring: Ring
    height: float
    worst: float
    low_deck: float


def line_exit(rail: BayRail, notes: Notes) -> Stage[LineExit]:
    """Underside of the rail less the hang of trolley and device."""
    underside, hang = notes.measured(rail.underside), notes.measured(rail.line_exit_below_rail)
    if underside is None or hang is None:
        paths = ((underside, f"{rail.path}.underside"), (hang, f"{rail.path}.line_exit_below_rail"))
        return Stage(None, tuple(path for value, path in paths if value is None))
    return Stage(LineExit(elevation=underside - hang, slack=tolerance(rail.underside, rail.line_exit_below_rail)))


def deck(vehicle: Vehicle, notes: Notes) -> Stage[Deck]:
    """The deck of the vehicle."""
    elevation = notes.measured(vehicle.deck)
    if elevation is None:
        return Stage(None, (f"{vehicle.path}.deck",))
    return Stage(Deck(elevation=elevation, slack=tolerance(vehicle.deck)))


def ring(measured: DRing, posture: Posture, notes: Notes) -> Ring:
    """The D-ring as measured in that posture, or standing less the addition of practice. CalcError if higher than standing."""
    standing = notes.usual(measured.standing, "d_ring_standing")
    given: Quantity | None
    usual: Usual
    match posture:
        case "standing":
            return Ring(standing=standing, in_posture=standing, addition=0.0, slack=tolerance(measured.standing))
        case "kneeling":
            given, usual = measured.kneeling, "posture_kneeling"
        case "lying":
            given, usual = measured.lying, "posture_lying"
    if given is None:
        addition = notes.usual(None, usual)
        return Ring(standing=standing, in_posture=standing - addition, addition=addition, slack=tolerance(measured.standing))
    height = notes.sheet.use(given)
    addition = notes.sheet.run(clearance.posture_addition, d_ring_standing=standing, d_ring_posture=height)
    return Ring(standing=standing, in_posture=height, addition=addition, slack=tolerance(given))


def heights(exit_: Stage[LineExit], deck_: Stage[Deck], ring_: Ring, notes: Notes) -> Stage[Heights]:
    """Height of the line exit above the D-ring, nominal and in the two corners that govern."""
    if exit_.value is None or deck_.value is None:
        return lacking(exit_, deck_)
    low, deck_slack = exit_.value.slack, deck_.value.slack
    height = notes.sheet.run(
        clearance.height_above_d_ring,
        line_exit=exit_.value.elevation,
        surface=deck_.value.elevation,
        d_ring_height=ring_.in_posture,
    )
    return Stage(
        Heights(
            line_exit=exit_.value,
            deck=deck_.value,
            ring=ring_,
            height=height,
            worst=height - low - deck_slack - ring_.slack,
            low_deck=height - low + deck_slack - ring_.slack,
        )
    )
