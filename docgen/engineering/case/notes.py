"""What is noted of one case on the way: the sheet of steps, that of the worst corner, and the figures of practice taken.

Stages write here and read nothing back: what one stage hands to the next is in its record. Only the order of the printed
steps comes from the order in which the stages are run.
"""

from __future__ import annotations

from typing import Literal

from docgen.engineering.model import Assumed, computed
from docgen.engineering.sheet import Sheet
from docgen.site import Quantity
from docgen.trade.practice import Practice, practice

__all__ = ["Notes", "Usual", "tolerance", "trade_figure"]

#: The figures of `trade/practice.yaml` that a case may take where the profile gives none.
Usual = Literal["d_ring_standing", "posture_kneeling", "posture_lying", "trolley_lag", "stretch", "margin", "line_angle"]
#: Those that a profile cannot give.
Body = Literal["landing_width", "lock_speed", "half_body", "head_above_ring"]


class Notes:
    """Steps, inputs and assumed figures of one case. `sheet` is nominal, `corner` the worst of the stated tolerances."""

    def __init__(self, path: str, system: str, country: str) -> None:
        self.sheet = Sheet(path)
        self.corner = Sheet(f"{path}.corner")
        self.assumed: list[Assumed] = []
        self.system = system
        self._country = country

    def measured(self, quantity: Quantity | None) -> float | None:
        """The SI value of a figure of the profile, noted as an input; None where the profile does not give it."""
        return None if quantity is None else self.sheet.use(quantity)

    def usual(self, quantity: Quantity | None, name: Usual) -> float:
        """The SI value of a figure that practice stands in for, noted as assumed where the profile does not give it."""
        if quantity is not None:
            return self.sheet.use(quantity)
        figure = practice(name, self.system, self._country)
        path, si = f"practice.{name}", _si(figure)
        value = computed(path, si, figure.kind)
        self.assumed.append(Assumed(path=path, name=name, value=value, source=figure.source, basis=figure.basis))
        return si


def trade_figure(name: Body, system: str = "us") -> float:
    """The SI value of a figure of the trade that no profile gives."""
    return _si(practice(name, system))


def _si(figure: Practice) -> float:
    if figure.si is None:
        raise TypeError(f"{figure.name} is a calendar interval; a case takes measures only")
    return figure.si


def tolerance(*quantities: Quantity | None) -> float:
    """Sum of the stated tolerances, all taken the wrong way at once."""
    return sum((q.tolerance for q in quantities if q is not None), 0.0)
