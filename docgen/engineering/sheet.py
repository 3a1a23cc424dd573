"""Calls the pure arithmetic and keeps each call as a step that a reader can repeat with a calculator."""

from __future__ import annotations

from collections.abc import Callable

from docgen.engineering.model import Step, Working, written
from docgen.site import Quantity

__all__ = ["Sheet"]


class Sheet:
    """Collects the steps and the profile paths of one case, chain or rescue row while it is being computed."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.steps: list[Step] = []
        self.inputs: list[str] = []

    def use(self, quantity: Quantity) -> float:
        """The SI value of a profile quantity, noting that this result rests on it."""
        if quantity.path not in self.inputs:
            self.inputs.append(quantity.path)
        return quantity.si

    def run(self, function: Callable[..., float], **values: float) -> float:
        """Call a function of `docgen.calc` and keep the step."""
        result = function(**values)
        rule = function.formula
        self.steps.append((f"{self.path}.working[{rule.symbol}]", rule, values, result))
        return result

    def working(self) -> tuple[Working, ...]:
        """The steps as a reader sees them."""
        return written(tuple(self.steps))
