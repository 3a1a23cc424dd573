"""User mass: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

from docgen.calc import CalcError
from docgen.calc.guard import not_negative, positive
from docgen.limits import within

__all__ = ["body_allowance", "within_limit"]


def body_allowance(capacity: float, *allowances: float) -> float:
    """Largest body mass that a chain admits once clothing, equipment and tools are off.

    Forgetting the tools is the usual error: weigh them. Allowances above the capacity, or a negative mass, raise
    CalcError.

    Example: 310 lb less 10 lb of clothing and 10 lb of tools leaves 290 lb (own figures).

    >>> pound = 0.45359237
    >>> round(body_allowance(310 * pound, 10 * pound, 10 * pound) / pound, 6)
    290.0

    Source: US OSHA, 29 CFR 1910.140, 81 FR 82494 (18 Nov 2016), note to (d)(1): body and tools count together; basis:
    memory.
    """
    positive(capacity=capacity)
    for number, allowance in enumerate(allowances, 1):
        not_negative(**{f"allowance_{number}": allowance})
    left = capacity - sum(allowances)
    if left < 0:
        raise CalcError(
            f"the allowances add up to {sum(allowances):.6g} kg, more than the capacity of {capacity:.6g} kg; "
            "they must be less than the capacity"
        )
    return left


def within_limit(mass: float, limit: float, inclusive: bool) -> bool:
    """Whether a mass is within a limit, at the limit as the text in force is worded.

    The federal notes say less than 310 lb, the Washington note says no more than 310 lb, the Z359 capacity includes
    the limit: at exactly 310 lb the answers differ. Convert both figures from the same unit with the same factor: a
    limit read through the rounded pair 140 kg would be 308.6 lb.

    Example:

    >>> within_limit(140.6, 140.6, inclusive=False), within_limit(140.6, 140.6, inclusive=True)
    (False, True)

    Sources:
    - US OSHA, 29 CFR 1910.140, 81 FR 82494 (18 Nov 2016), note to (d)(1); basis: memory.
    - Washington State L&I, WAC 296-880-40020, WSR 20-12-091 (1 Oct 2020), notes to (1) and (3); basis: read.
    """
    positive(mass=mass, limit=limit)
    return within(mass, limit, inclusive)
