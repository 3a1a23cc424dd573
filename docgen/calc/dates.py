"""When something falls due: intervals in months or days on calendar dates. No clock is read here."""

from datetime import MAXYEAR, date, datetime

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import counts
from docgen.days import later

__all__ = ["add_months", "days_overdue", "days_until", "due_date"]

_CALENDAR = "Gregorian calendar; common practice, no published source"

_due = ("due", "date", "day on which it falls due")
_as_of = ("as_of", "date", "day on which the question is asked")


@formula(
    symbol="day_n",
    text="day_n = same day n months later, or the last day of that month",
    where={
        "day": ("day", "date", "start"),
        "months": ("n", "months", "whole months"),
    },
    gives="date",
    cite=_CALENDAR,
    meaning="day a number of months later",
)
def add_months(day: date, months: int) -> date:
    """Same day of the month, a number of months later (common practice).

    day_n = same day n months later, or the last day of that month

    Parameters
    ----------
    day : datetime.date
        Start [date]
    months : int
        Whole months, zero or more [months]

    Returns
    -------
    datetime.date
        Day that number of months later [date]

    Notes
    -----
    Where the month is too short its last day is taken, which is never later than a count of days would allow. Twelve
    months from 29 February end on 28 February. A result after the year 9999 raises CalcError.

    Examples
    --------
    >>> add_months(date(2026, 1, 31), 1), add_months(date(2024, 2, 29), 12)
    (datetime.date(2026, 2, 28), datetime.date(2025, 2, 28))

    References
    ----------
    - Same day or last day of the month: common practice, no published source.
    """
    _dates(day=day)
    counts(0, months=months)
    if day.year * 12 + day.month - 1 + months >= (MAXYEAR + 1) * 12:
        raise CalcError(f"{months} months after {day} is beyond the year {MAXYEAR}; give a shorter interval")
    return later(day, months)


@formula(
    symbol="due",
    text="due = last + n months + k days",
    where={
        "last": ("last", "date", "day on which it was last done"),
        "months": ("n", "months", "interval in whole months"),
        "days": ("k", "days", "interval in days, added to the months"),
    },
    gives="date",
    cite=_CALENDAR,
    meaning="day on which it falls due",
)
def due_date(last: date, months: int, days: int = 0) -> date:
    """Day on which something falls due after it was last done (common practice).

    due = last + n months + k days

    Parameters
    ----------
    last : datetime.date
        Day on which it was last done [date]
    months : int
        Interval in whole months; zero for an interval in days [months]
    days : int
        Interval in days, added to the months [days]

    Returns
    -------
    datetime.date
        Last day on which it is still in time [date]

    Notes
    -----
    The due date itself is in time; the day after is one day overdue.

    Examples
    --------
    Inspected 10 Dec 2024, every 12 months (own figures).

    >>> due_date(date(2024, 12, 10), 12)
    datetime.date(2025, 12, 10)

    References
    ----------
    - Interval counted from the day it was done: common practice, no published source.
    """
    month_end = add_months(last, months)
    counts(0, days=days)
    if days > (date.max - month_end).days:
        raise CalcError(f"{days} days after {month_end} is beyond the year {MAXYEAR}; give a shorter interval")
    return later(last, months, days)


@formula(
    symbol="left",
    text="left = due - as_of",
    where={"due": _due, "as_of": _as_of},
    gives="days",
    cite=_CALENDAR,
    meaning="days left until the due date; negative once it has passed",
)
def days_until(due: date, as_of: date) -> int:
    """Days left until a due date (calendar).

    left = due - as_of

    Parameters
    ----------
    due : datetime.date
        Day on which it falls due [date]
    as_of : datetime.date
        Day on which the question is asked [date]

    Returns
    -------
    int
        Days left; negative once the due date has passed [days]

    Notes
    -----
    Calendar days, no time of day and no time zone.

    Examples
    --------
    >>> days_until(date(2026, 3, 12), date(2026, 3, 2))
    10

    References
    ----------
    - Difference of calendar dates: common practice, no published source.
    """
    _dates(due=due, as_of=as_of)
    return (due - as_of).days


@formula(
    symbol="over",
    text="over = max(0, as_of - due)",
    where={"due": _due, "as_of": _as_of},
    gives="days",
    cite=_CALENDAR,
    meaning="days overdue; zero on the due date and before",
)
def days_overdue(due: date, as_of: date) -> int:
    """Days that have passed since a due date (calendar).

    over = max(0, as_of - due)

    Parameters
    ----------
    due : datetime.date
        Day on which it falls due [date]
    as_of : datetime.date
        Day on which the question is asked [date]

    Returns
    -------
    int
        Days overdue; zero on the due date and before [days]

    Notes
    -----
    Calendar days, no time of day and no time zone.

    Examples
    --------
    Due 10 Dec 2025, asked on 2 Mar 2026 (own figures).

    >>> days_overdue(date(2025, 12, 10), date(2026, 3, 2))
    82

    References
    ----------
    - Difference of calendar dates: common practice, no published source.
    """
    return max(0, -days_until(due, as_of))


def _dates(**values: date) -> None:
    for name, value in values.items():
        if not isinstance(value, date) or isinstance(value, datetime):
            raise CalcError(f"{name.replace('_', ' ')} is {value!r}; it must be a calendar date without a time of day")
