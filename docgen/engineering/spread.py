"""How far a figure of the profile may lie off: its stated tolerance, or one of practice by how it became known."""

from __future__ import annotations

from typing import Literal

from docgen.engineering.model import Taken, Tolerance, computed
from docgen.frozen import frozen
from docgen.limits import within
from docgen.site import Quantity
from docgen.trade.practice import practice

__all__ = ["End", "Of", "Spread", "default_of", "fixed", "spread"]

#: Which end of a figure: as it stands, or the least or the most that tolerances let it be.
End = Literal["low", "nominal", "high"]
#: What is measured: a length, a deck of road vehicles of one kind, a ring over a crew, or a bound (an allowance, a figure of a label).
Of = Literal["length", "deck", "crew", "bound"]


@frozen
class Spread:
    """A figure as it stands, and the least and the most that tolerances let it be, in SI."""

    nominal: float
    low: float
    high: float

    def at(self, end: End) -> float:
        """The figure at one end."""
        return self.low if end == "low" else self.high if end == "high" else self.nominal

    def __add__(self, other: Spread) -> Spread:
        return Spread(nominal=self.nominal + other.nominal, low=self.low + other.low, high=self.high + other.high)

    def __sub__(self, other: Spread) -> Spread:
        return Spread(nominal=self.nominal - other.nominal, low=self.low - other.high, high=self.high - other.low)

    def wider(self, other: Spread) -> Spread:
        """The same figure, its ends no closer than those of the other."""
        return Spread(nominal=self.nominal, low=min(self.low, other.low), high=max(self.high, other.high))

    def no_higher(self, other: Spread) -> Spread:
        """The same figure, cut off at the other, end by end."""
        return Spread(nominal=min(self.nominal, other.nominal), low=min(self.low, other.low), high=min(self.high, other.high))

    def not_below_zero(self) -> Spread:
        """The same distance: tolerances bring none below zero."""
        return self if self.low >= 0.0 else Spread(nominal=self.nominal, low=min(self.nominal, 0.0), high=self.high)


def fixed(value: float) -> Spread:
    """A figure without tolerance."""
    return Spread(nominal=value, low=value, high=value)


def default_of(quantity: Quantity, of: Of, system: str) -> Taken | None:
    """The figure of practice that stands in for a tolerance that is not stated; None for a bound, which has none, and for what is no length.

    What somebody measured is no bound, whatever the profile calls it, and neither is a length of which nobody says where it comes from.
    """
    called = quantity.bound is not None and quantity.how is not None
    if quantity.kind != "length" or (quantity.how != "measured" and (of == "bound" or called)):
        return None
    if of in ("deck", "crew"):
        return "crew_and_vehicles"
    if quantity.how != "measured":
        return "unchecked_on_site"
    return "tape_short" if within(abs(quantity.si), practice("tape_short_up_to", system).si) else "tape_long"


def spread(quantity: Quantity, of: Of, system: str) -> tuple[Spread, Tolerance]:
    """The figure with its ends, and the tolerance that made them. `system` is us or si.

    Nothing is measured exactly: a tolerance of zero on what has one counts as none that was stated.
    """
    usual = default_of(quantity, of, system)
    stated = quantity.tolerance_stated and (usual is None or quantity.tolerance != 0.0)
    slack = abs(quantity.tolerance) if stated or usual is None else practice(usual, system).si
    path = f"{quantity.path}.tolerance"
    said = Tolerance(path=path, value=computed(path, slack, quantity.kind), usual=usual, stated=stated)
    return Spread(nominal=quantity.si, low=quantity.si - slack, high=quantity.si + slack), said
