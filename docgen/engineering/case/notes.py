"""What is noted of one case on the way: the sheet of steps, that of the worst corners, the tolerances and the figures of practice taken.

Stages write here and read nothing back: what one stage hands to the next is in its record. Only the order of the printed
steps comes from the order in which the stages are run.
"""

from __future__ import annotations

from typing import Literal

from docgen.engineering.model import Assumed, Tolerance, computed
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import Of, Spread, fixed, spread
from docgen.site import Quantity
from docgen.trade.practice import practice

__all__ = ["Notes", "Usual", "trade_figure"]

#: The figures of `trade/practice.yaml` that a case may take where the profile gives none.
Usual = Literal["d_ring_standing", "posture_kneeling", "posture_lying", "trolley_lag", "stretch", "margin", "line_angle"]
#: Those that a profile cannot give.
Body = Literal["landing_width", "lock_speed", "half_body", "head_above_ring", "kept_least", "kept_most"]


class Notes:
    """Steps, inputs, tolerances and assumed figures of one case. `sheet` is nominal, `corner` each worst corner of the tolerances."""

    def __init__(self, path: str, system: str, country: str) -> None:
        self.sheet = Sheet(path)
        self.corner = Sheet(f"{path}.corner")
        self.assumed: list[Assumed] = []
        self.tolerances: list[Tolerance] = []
        self.system = system
        self._country = country

    def measured(self, quantity: Quantity | None, of: Of = "length") -> Spread | None:
        """A figure of the profile with its ends, noted as an input; None where the profile does not give it."""
        if quantity is None:
            return None
        self.sheet.use(quantity)
        found, said = spread(quantity, of, self.system)
        if all(said.path != known.path for known in self.tolerances):
            self.tolerances.append(said)
        return found

    def usual(self, quantity: Quantity | None, name: Usual, of: Of = "bound") -> Spread:
        """A figure that practice stands in for, noted as assumed where the profile does not give it; that has no tolerance."""
        found = self.measured(quantity, of)
        if found is not None:
            return found
        figure = practice(name, self.system, self._country)
        path = f"practice.{name}"
        value = computed(path, figure.si, figure.kind)
        self.assumed.append(Assumed(path=path, name=name, value=value, source=figure.source, basis=figure.basis))
        return fixed(figure.si)


def trade_figure(name: Body, system: str = "us") -> float:
    """The SI value of a figure of the trade that no profile gives."""
    return practice(name, system).si
