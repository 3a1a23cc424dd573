"""When something falls due: intervals in months or days on calendar dates. No clock is read here."""

from datetime import MAXYEAR, date, datetime

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import counts
from docgen.days import later

__all__ = [
    "add_months",
    "due_date",
]

_MONTHS = "Regulation (EEC, Euratom) No 1182/71, article 3(2)(c); read"


@formula("day_n = same day n months later, or the last day of that month", gives="date", cite=_MONTHS)
def add_months(day: date, months: int) -> date:
    """Same day of the month, a number of months later.

    The months are zero or more. Where the month is too short its last day is taken, never a day of the next month.
    Twelve months from 29 February end on 28 February. A result after the year 9999 raises CalcError.

    Example: 14 months after 30 October 2000 end on 30 December 2001 in print, one month after 31 January on the last of
    February. Matches.

    >>> add_months(date(2000, 10, 30), 14), add_months(date(2026, 1, 31), 1)
    (datetime.date(2001, 12, 30), datetime.date(2026, 2, 28))

    Sources:
    - Regulation (EEC, Euratom) No 1182/71 of 3 June 1971, OJ L 124, article 3(2)(c): a period of months or years ends on the
      same date, or on the last day of a month that lacks it; basis: read.
    - W3C, XQuery and XPath functions, 2010, addition of a duration in months to a date (the example); basis: read.
    """
    _dates(day=day)
    counts(0, months=months)
    if day.year * 12 + day.month - 1 + months >= (MAXYEAR + 1) * 12:
        raise CalcError(f"{months} months after {day} is beyond the year {MAXYEAR}; give a shorter interval")
    return later(day, months)


@formula("due = last + n months + k days", gives="date", cite=_MONTHS)
def due_date(last: date, months: int, days: int = 0) -> date:
    """Day on which something falls due after it was last done.

    Zero months stand for an interval in days. The months are counted before the days. The period runs from the day on which
    it was done and ends with the last hour of the due date: that day is in time, the day after is one day overdue.

    Example: Inspected 10 Dec 2024, every 12 months (own figures).

    >>> due_date(date(2024, 12, 10), 12)
    datetime.date(2025, 12, 10)

    Sources:
    - Regulation (EEC, Euratom) No 1182/71 of 3 June 1971, OJ L 124, article 3(2)(c); basis: read.
    - Interval counted from the day it was done: common practice, no published source.
    """
    month_end = add_months(last, months)
    counts(0, days=days)
    if days > (date.max - month_end).days:
        raise CalcError(f"{days} days after {month_end} is beyond the year {MAXYEAR}; give a shorter interval")
    return later(last, months, days)


def _dates(**values: date) -> None:
    for name, value in values.items():
        if not isinstance(value, date) or isinstance(value, datetime):
            raise CalcError(f"{name.replace('_', ' ')} is {value!r}; it must be a calendar date without a time of day")
