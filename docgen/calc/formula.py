"""The formula of a calculation as data, so that a document can show the working without doing sums."""

from collections.abc import Callable, Mapping
from typing import NamedTuple, ParamSpec, Protocol, TypeVar, cast

from docgen.frozen import frozen

__all__ = ["GRAVITY", "KINDS", "Calculation", "Formula", "Term", "formula"]

# Kind of quantity -> the unit in which every function of this package takes and gives it.
KINDS: dict[str, str] = {
    "acceleration": "m/s^2",
    "angle": "rad",
    "area": "m^2",
    "count": "-",
    "date": "date",
    "days": "days",
    "energy": "J",
    "flag": "true or false",
    "force": "N",
    "identifier": "identifier",
    "length": "m",
    "log_mass": "ln kg",
    "mass": "kg",
    "moment": "N m",
    "months": "months",
    "ratio": "-",
    "second_moment": "m^4",
    "section_modulus": "m^3",
    "speed": "m/s",
    "stiffness": "N/m",
    "stress": "N/m^2",
    "time": "s",
}


class Term(NamedTuple):
    """One input of a formula: its symbol in the text, its kind (a key of `KINDS`) and what it is in plain words."""

    symbol: str
    kind: str
    meaning: str


# The last argument of many functions here.
GRAVITY = Term("g", "acceleration", "acceleration of free fall")


@frozen
class Formula:
    """What a calculation is called, how it is written, what goes in and where it comes from.

    `text` is plain ASCII: `^` is a power, a blank between two names or brackets is a multiplication, `ln` is the
    natural logarithm. `terms` holds (parameter, `Term`) in the order of the function's parameters; `gives` is the
    kind of the result (of its first part where the function gives several). `cite` ends with the basis: read, memory,
    derived, or
    "common practice, no published source".
    """

    name: str
    symbol: str
    text: str
    terms: tuple[tuple[str, Term], ...]
    gives: str
    cite: str
    meaning: str

    @property
    def where(self) -> dict[str, Term]:
        """Parameter name -> `Term`."""
        return dict(self.terms)


P = ParamSpec("P")
R = TypeVar("R")
R_co = TypeVar("R_co", covariant=True)


class Calculation(Protocol[P, R_co]):
    """A function of this package that carries its formula."""

    formula: Formula
    __name__: str

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> R_co: ...


def formula(
    *, symbol: str, text: str, where: Mapping[str, tuple[str, str, str]], gives: str, cite: str, meaning: str
) -> Callable[[Callable[P, R]], Calculation[P, R]]:
    """Decorator: put a `Formula` on a function as `func.formula`; the function itself is returned unchanged."""
    terms = tuple((parameter, Term(*parts)) for parameter, parts in where.items())

    def mark(function: Callable[P, R]) -> Calculation[P, R]:
        marked = cast("Calculation[P, R]", function)
        name = f"{function.__module__.rpartition('.')[2]}.{marked.__name__}"
        marked.formula = Formula(name, symbol, text, terms, gives, cite, meaning)
        return marked

    return mark
