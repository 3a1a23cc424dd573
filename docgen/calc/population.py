"""How many workers a rating leaves out, as an estimate from national body mass; never about an individual."""

import math

from docgen.calc.formula import formula
from docgen.calc.guard import positive

__all__ = [
    "lognormal_parameters",
    "share_over",
]


_MODEL = "log-normal model, own estimate; derived"


@formula("mu = ln(mean) - ln(1 + cv^2) / 2", gives="log_mass", cite=_MODEL)
def lognormal_parameters(mean: float, cv: float) -> tuple[float, float]:
    """Parameters of a log-normal distribution from mean and coefficient of variation.

    Gives mu and s. The coefficient of variation is above zero. Body mass of adults is skewed to the heavy side; the
    log-normal form is our estimate, not a published one. mu depends on the unit of mass.

    Example:

    >>> mu, s = lognormal_parameters(88.8, 0.224)
    >>> round(mu, 4), round(s, 4)
    (4.4619, 0.2213)

    Source: Own model, checked against a general-purpose statistics library; basis: derived.
    """
    positive(mean=mean, cv=cv)
    variance = math.log1p(cv * cv)
    return math.log(mean) - variance / 2.0, math.sqrt(variance)


@formula("p_over = 1 - Phi((ln(T) - mu) / s)", gives="ratio", cite=_MODEL)
def share_over(threshold: float, mean: float, cv: float) -> float:
    """Share of a population above a body mass.

    Gives the share above, 0 to 1. An estimate about national adults; a workforce differs in age and sex, and no
    individual may be judged by it. National weights are taken in a gown: take clothing and tools off the rating
    first.

    Example: US men 2011-2014, mean 195.7 lb, cv 0.224, above 290 lb: 3.0 percent by own model.

    >>> round(100 * share_over(290 * 0.45359237, 195.7 * 0.45359237, 0.224), 1)
    3.0

    Sources:
    - CDC NCHS, press release for Series 3 No. 39, 3 Aug 2016 (mean); basis: read.
    - Own model, cv calibrated so that a mean of 190 lb gives a 95th percentile of 267 lb; basis: derived.
    """
    positive(threshold=threshold)
    mu, s = lognormal_parameters(mean, cv)
    return math.erfc((math.log(threshold) - mu) / (s * math.sqrt(2.0))) / 2.0
