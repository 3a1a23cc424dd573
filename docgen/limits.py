"""Exactly at a limit: the one place that says when two figures are the same and when one is over the other.

A figure of the profile is read from decimals, converted and summed; 3 x 20.1 s comes to 60.300000000000004 s. Compared bare
with a limit of 60.3 s that would be a false "too late", and compared with a generous slack it would be a false "in time". So
two figures are the same where they differ by no more than `NOISE` of their size: a million times what the machine rounds away
in a sum of a few terms, and far below what anybody measures. Whether the limit itself is allowed is the text's to say.
"""

from __future__ import annotations

import math

__all__ = ["NOISE", "at_least", "no_noise", "over", "same_figure", "under", "within"]

#: Relative, of the larger figure, and of 1 SI unit where both are smaller: a margin is the difference of figures of that size.
NOISE = 1e-9


def same_figure(one: float, other: float) -> bool:
    """Whether two figures in one unit are equal but for the noise of the machine.

    >>> same_figure(20.1 + 20.1 + 20.1, 60.3), same_figure(60.3, 60.31)
    (True, False)
    """
    return math.isclose(one, other, rel_tol=NOISE, abs_tol=NOISE)


def over(measured: float, limit: float) -> bool:
    """Whether a figure exceeds its limit; exactly at the limit it does not.

    >>> over(20.1 + 20.1 + 20.1, 60.3), over(60.4, 60.3)
    (False, True)
    """
    return measured > limit and not same_figure(measured, limit)


def under(measured: float, limit: float) -> bool:
    """Whether a figure falls short of its limit; exactly at the limit it does not."""
    return over(limit, measured)


def within(measured: float, limit: float, inclusive: bool = True) -> bool:
    """Whether a figure keeps an upper limit, which counts as kept at the limit itself unless the text says "less than".

    What is not a number keeps no limit.

    >>> within(0.1 + 0.2, 0.3), within(0.1 + 0.2, 0.3, inclusive=False), within(0.29, 0.3, inclusive=False)
    (True, False, True)
    """
    return measured <= limit or same_figure(measured, limit) if inclusive else under(measured, limit)


def at_least(measured: float, limit: float, inclusive: bool = True) -> bool:
    """Whether a figure keeps a lower limit, which counts as kept at the limit itself unless the text says "more than"."""
    return within(limit, measured, inclusive)


def no_noise(difference: float) -> float:
    """Zero for a difference that is only noise, so that "exactly enough" is not printed, and not judged, as short.

    >>> no_noise(0.3 - 0.1 - 0.2), no_noise(-0.001)
    (0.0, -0.001)
    """
    return 0.0 if same_figure(difference, 0.0) else difference
