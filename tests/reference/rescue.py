"""Estimates of a rescue: a formula that no paper of a site uses."""

from docgen.calc import CalcError
from docgen.calc.guard import not_negative

__all__ = ["expected_pert"]


def expected_pert(best: float, likely: float, worst: float) -> float:
    """Expected duration from three estimates.

    For information only: limits are compared with the pessimistic duration. Estimates out of order raise CalcError.

    Example:

    >>> expected_pert(60.0, 90.0, 180.0)
    100.0

    Source: US Navy, Special Projects Office, PERT summary report, phase 1, 1958; basis: memory.
    """
    _in_order(best, likely, worst)
    return (best + 4.0 * likely + worst) / 6.0


def _in_order(best: float, likely: float, worst: float) -> None:
    not_negative(best=best, likely=likely, worst=worst)
    if not best <= likely <= worst:
        raise CalcError(
            f"the estimates are {best:.6g} s, {likely:.6g} s and {worst:.6g} s; "
            "they must run from the shortest over the most likely to the longest"
        )
