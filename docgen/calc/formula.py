"""The formula of a calculation as data, so that a document can show the working without doing sums.

`@formula("AD = s_lock + DD", gives="length", cite="...")` is the one place where the text of a formula, the kind of its result
and its short source stand. What its parameters are called in the text stands in `terms.py`, what it computes and what each
symbol means in templates/words/calculations.<language>.yaml. The docstring of the function holds the rest, in this order: one
line, what it is valid for and when it raises, an example (a published one where there is one), the sources with their basis.
"""

from collections.abc import Callable
from types import FunctionType, MappingProxyType
from typing import Literal, NamedTuple, ParamSpec, Protocol, TypeVar, cast

from docgen.calc.terms import TERMS
from docgen.frozen import frozen

__all__ = ["KINDS", "Calculation", "Formula", "Term", "Toward", "formula"]

# Kind of quantity -> the unit in which every function of this package takes and gives it.
KINDS = MappingProxyType({
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
})  # fmt: skip

#: The unfavorable side of a printed result.
Toward = Literal["up", "down", "nearest"]

P = ParamSpec("P")
R = TypeVar("R")
R_co = TypeVar("R_co", covariant=True)
_STAR = 0x04  # the function takes *values (inspect.CO_VARARGS, without the cost of that module)


class Term(NamedTuple):
    """One input of a formula: its symbol in the text, its kind (a key of `KINDS`) and the key of its meaning in words."""

    symbol: str
    kind: str
    key: str


@frozen
class Formula:
    """What a calculation is called, how it is written, what goes in and where it comes from.

    `name` is `module.function`, which is also the key of its meaning in words. `text` is plain ASCII: `^` is a power, a
    blank between two names or brackets is a multiplication, `ln` is the natural logarithm; what stands left of ` = ` is
    `symbol`. `terms` holds (parameter, `Term`) in the order of the function's parameters; `gives` is the kind of the
    result (of its first part where the function gives several). `cite` ends with the basis: read, memory, derived, or
    "common practice, no published source". `toward` is the unfavorable side to which a printed result is rounded: up for a need,
    down for what is available.
    """

    name: str
    symbol: str
    text: str
    terms: tuple[tuple[str, Term], ...]
    gives: str
    cite: str
    toward: Toward = "nearest"

    @property
    def where(self) -> dict[str, Term]:
        """Parameter name -> `Term`."""
        return dict(self.terms)


class Calculation(Protocol[P, R_co]):
    """A function of this package that carries its formula."""

    formula: Formula
    __name__: str

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> R_co:
        """The result in SI."""
        ...


def formula(
    text: str, *, gives: str, cite: str, toward: Toward = "nearest", **other: str
) -> Callable[[Callable[P, R]], Calculation[P, R]]:
    """Decorator: put a `Formula` on a function as `func.formula`; the function itself is returned unchanged.

    A parameter is the term of the same name in `terms.py`; `other` names the term of a parameter that means something else
    here. The formula and the units go into the docstring, for whoever asks `help`.
    """

    def mark(function: Callable[P, R]) -> Calculation[P, R]:
        code = cast(FunctionType, function).__code__
        names = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount + bool(code.co_flags & _STAR)]
        terms = tuple((name, Term(*TERMS[key], key)) for name in names for key in (other.get(name, name),))
        name = f"{function.__module__.rpartition('.')[2]}.{code.co_name}"
        marked = cast("Calculation[P, R]", function)
        marked.formula = Formula(name, text.partition(" = ")[0], text, terms, gives, cite, toward)
        marked.__doc__ = _documented(function.__doc__, marked.formula)
        return marked

    return mark


def _documented(said: str | None, rule: Formula) -> str | None:
    """The docstring with the formula and the units put behind its first line."""
    if said is None:
        return None
    first, _, rest = said.partition("\n")
    units = "".join(f"    {name} : {term.symbol} [{KINDS[term.kind]}]\n" for name, term in rule.terms)
    return f"{first}\n\n    {rule.text}   [{KINDS[rule.gives]}]\n\n{units}{rest}"
