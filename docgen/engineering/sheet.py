"""The working of one result: each call into `docgen.calc`, and which profile quantities went in."""

from __future__ import annotations

from typing import ParamSpec, TypeVar

from docgen.calc import CalcError
from docgen.calc.formula import Calculation
from docgen.engineering.model import Step, Working, written
from docgen.site import Quantity

__all__ = ["Sheet"]

P = ParamSpec("P")
R = TypeVar("R")


class Sheet:
    """Collects the steps and the profile paths of one case, chain, due date or rescue row while it is being computed."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.steps: list[Step] = []
        self.inputs: list[str] = []

    def use(self, quantity: Quantity) -> float:
        """The SI value of a profile quantity, noting that this result rests on it."""
        if quantity.path not in self.inputs:
            self.inputs.append(quantity.path)
        return quantity.si

    def run(self, function: Calculation[P, R], *none: P.args, **values: P.kwargs) -> R:
        """Call a function of `docgen.calc`, its values by name, and keep the step. CalcError, with the inputs read so far, if it refuses them."""
        return self.run_for("", function, *none, **values)

    def run_for(self, what: str, function: Calculation[P, R], *none: P.args, **values: P.kwargs) -> R:
        """The same where one formula is used several times; `what` says for which step or goal."""
        try:
            result = function(*none, **values)
        except CalcError as error:
            error.inputs = tuple(self.inputs)
            raise
        self.steps.append(Step(self.path, function.formula, values, result, what))
        return result

    def take(self, other: Sheet) -> None:
        """Put the steps and inputs of another sheet, which several results share, in front of what follows."""
        self.steps += [step._replace(owner=self.path) for step in other.steps]
        self.inputs += [path for path in other.inputs if path not in self.inputs]

    def working(self) -> tuple[Working, ...]:
        """The steps as a reader sees them."""
        return written(tuple(self.steps))
