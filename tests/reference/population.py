"""Body mass: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

import math

from docgen.calc import CalcError
from docgen.calc.guard import counts, finite, not_negative, positive
from docgen.calc.population import lognormal_parameters

__all__ = ["chance_of_any", "expected_excluded", "share_under", "shifted_mean"]


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
