"""Checks of what goes into a calculation: one sentence that says which value is wrong and what would be right."""

import math

from docgen.calc import CalcError

__all__ = ["counts", "finite", "not_negative", "positive"]


def _refuse(name: str, value: object, right: str) -> CalcError:
    shown = f"{value:.6g}" if isinstance(value, float) else repr(value)
    return CalcError(f"{name.replace('_', ' ')} is {shown}; it must be {right}")


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def finite(**values: float) -> None:
    """Raise CalcError unless every value is a finite number (an elevation may be negative)."""
    for name, value in values.items():
        if not _is_number(value):
            raise _refuse(name, value, "a finite number")


def not_negative(**values: float) -> None:
    """Raise CalcError unless every value is a finite number of zero or more."""
    for name, value in values.items():
        if not _is_number(value) or value < 0:
            raise _refuse(name, value, "a finite number, zero or more")


def positive(**values: float) -> None:
    """Raise CalcError unless every value is a finite number above zero."""
    for name, value in values.items():
        if not _is_number(value) or value <= 0:
            raise _refuse(name, value, "a finite number above zero")


def counts(least: int, **values: int) -> None:
    """Raise CalcError unless every value is a whole number of `least` or more."""
    for name, value in values.items():
        if isinstance(value, bool) or not isinstance(value, int) or value < least:
            raise _refuse(name, value, f"a whole number, {least} or more")
