"""Days: formulas that no paper of a site uses; published examples and other formulas are checked with them."""

from datetime import date, datetime

from docgen.calc import CalcError

__all__ = ["days_overdue", "days_until"]


def days_until(due: date, as_of: date) -> int:
    """Days left until a due date.

    Calendar days, no time of day and no time zone.

    Example:

    >>> days_until(date(2026, 3, 12), date(2026, 3, 2))
    10

    Source: Difference of calendar dates: common practice, no published source.
    """
    _dates(due=due, as_of=as_of)
    return (due - as_of).days


def days_overdue(due: date, as_of: date) -> int:
    """Days that have passed since a due date.

    Calendar days, no time of day and no time zone.

    Example: Due 10 Dec 2025, asked on 2 Mar 2026 (own figures).

    >>> days_overdue(date(2025, 12, 10), date(2026, 3, 2))
    82

    Source: Difference of calendar dates: common practice, no published source.
    """
    return max(0, -days_until(due, as_of))


def _dates(**values: date) -> None:
    for name, value in values.items():
        if not isinstance(value, date) or isinstance(value, datetime):
            raise CalcError(f"{name.replace('_', ' ')} is {value!r}; it must be a calendar date without a time of day")
