"""Rails: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

from docgen.calc.guard import not_negative, positive

__all__ = ["cantilever_deflection"]


def cantilever_deflection(load: float, length: float, modulus: float, second_moment: float) -> float:
    """Elastic deflection at the free end of a cantilever rail.

    Rigid support assumed; the turning of a real support adds to it.

    Example:

    >>> round(cantilever_deflection(8000.0, 1.5, 200e9, 8e-6), 6)
    0.005625

    Source: Euler-Bernoulli beam, any handbook of structural mechanics; basis: memory, checked by integration.
    """
    not_negative(load=load, length=length)
    positive(modulus=modulus, second_moment=second_moment)
    return load * length**3 / (3.0 * modulus * second_moment)
