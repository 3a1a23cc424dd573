"""Whole months and days on the calendar: the one place that says on which day a span ends. No clock is read here.

The rule for short months is the published one of Regulation (EEC, Euratom) No 1182/71, article 3(2)(c): a span of months or
years ends on the same date of the last month, and where that month lacks the date, on its last day, never in the month after.
Months are counted before days. Twelve months from 29 February end on 28 February.
"""

from __future__ import annotations

from datetime import date, timedelta

__all__ = ["FIRST_YEAR", "LAST_YEAR", "later", "month_length"]

#: Days in a profile, a log or on a command line lie in these years; a span from the last of them still ends on the calendar.
FIRST_YEAR, LAST_YEAR = 1900, 2199


def month_length(year: int, month: int) -> int:
    """Days of a month in the Gregorian calendar; `month` runs from 1 to 12.

    >>> month_length(2024, 2), month_length(1900, 2), month_length(2000, 2)
    (29, 28, 29)
    """
    if month == 2:
        return 29 if year % 4 == 0 and (year % 100 != 0 or year % 400 == 0) else 28
    return 30 if month in (4, 6, 9, 11) else 31


def later(day: date, months: int, days: int = 0) -> date:
    """The day on which a span of whole months and then days after `day` ends.

    OverflowError or ValueError beyond the year 9999.

    >>> later(date(2026, 1, 31), 1), later(date(2024, 2, 29), 12), later(date(2000, 10, 30), 14)
    (datetime.date(2026, 2, 28), datetime.date(2025, 2, 28), datetime.date(2001, 12, 30))
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, month_length(year, month + 1))) + timedelta(days=days)
