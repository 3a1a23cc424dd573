"""Calls the pure arithmetic and keeps each call as a step that a reader can repeat with a calculator."""

from __future__ import annotations

from collections.abc import Callable

from docgen.assess.model import Input, Working, computed
from docgen.site import Quantity

__all__ = ["Sheet"]


class Sheet:
    """Collects the steps and the profile paths of one case, chain or rescue row while it is being computed."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.steps: list[Working] = []
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
        path = f"{self.path}.working[{rule.symbol}]"
        inputs = []
        for name, value in values.items():
            symbol, kind, meaning = rule.where[name]
            inputs.append(Input(path=f"{path}.{symbol}", symbol=symbol, meaning=meaning, value=computed(path, value, kind)))
        self.steps.append(
            Working(
                path=path,
                name=rule.name,
                symbol=rule.symbol,
                meaning=rule.meaning,
                formula=rule.text,
                inputs=tuple(inputs),
                result=computed(path, result, rule.gives),
                source=rule.cite,
            )
        )
        return result
