"""How many workers a rating leaves out, as an estimate from national body mass; never about an individual."""

import math

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import counts, finite, not_negative, positive

__all__ = [
    "chance_of_any",
    "expected_excluded",
    "lognormal_parameters",
    "share_over",
    "share_under",
    "shifted_mean",
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


@formula("p_under = Phi((ln(T) - mu) / s)", gives="ratio", cite=_MODEL)
def share_under(threshold: float, mean: float, cv: float) -> float:
    """Share of a population below a body mass, for the lower limit of a rating.

    Gives the share below, 0 to 1. A lower limit of 130 lb leaves out more women than the upper limit does: report both
    ends.

    Example: US women 2011-2014, mean 168.5 lb, cv 0.224, below 130 lb: 14 percent by own model.

    >>> round(100 * share_under(130 * 0.45359237, 168.5 * 0.45359237, 0.224))
    14

    Sources:
    - CDC NCHS, press release for Series 3 No. 39, 3 Aug 2016 (mean); basis: read.
    - Own model; basis: derived.
    """
    positive(threshold=threshold)
    mu, s = lognormal_parameters(mean, cv)
    return math.erfc((mu - math.log(threshold)) / (s * math.sqrt(2.0))) / 2.0


@formula("n_out = N p", gives="count", cite="elementary statistics; derived")
def expected_excluded(count: int, share: float) -> float:
    """Workers expected to be left out of a group.

    Gives the expected number, not a whole one. For a decision about a rating, not about people.

    Example:

    >>> expected_excluded(40, 0.05)
    2.0

    Source: Expected value of a binomial distribution; basis: derived.
    """
    counts(0, count=count)
    _share(share)
    return count * share


@formula("P = 1 - (1 - p)^N", gives="ratio", cite="elementary statistics; derived")
def chance_of_any(count: int, share: float) -> float:
    """Chance that at least one worker of a group is left out.

    Gives the chance, 0 to 1. Workers taken as drawn at random, which a crew is not.

    Example:

    >>> round(chance_of_any(20, 0.03), 3)
    0.456

    Source: Complement of a binomial distribution; basis: derived.
    """
    counts(0, count=count)
    _share(share)
    return 1.0 - (1.0 - share) ** count


@formula("mean_2 = mean + d", gives="mass", cite="NIOSH 2015-116 (2012), abstract; read")
def shifted_mean(mean: float, shift: float) -> float:
    """Mean of a group that differs from a population by a known amount.

    Only with the population that the difference was measured against; with a later national mean it is a sensitivity
    case, and must be called one.

    Example: Male truck drivers were 13.5 kg heavier; with the national mean of 195.7 lb that makes 225 lb as a
    sensitivity case.

    >>> round(shifted_mean(195.7 * 0.45359237, 13.5) / 0.45359237)
    225

    Source: US NIOSH (Guan, Hsiao et al.), Human Factors 54(5):849-871, 2012; DHHS (NIOSH) 2015-116, abstract; basis:
    read.
    """
    positive(mean=mean)
    finite(shift=shift)
    if mean + shift <= 0:
        raise CalcError(f"mean and difference add up to {mean + shift:.6g} kg; their sum must be above zero")
    return mean + shift


def _share(share: float) -> None:
    not_negative(share=share)
    if share > 1:
        raise CalcError(f"share is {share:.6g}; it must lie between 0 and 1")
