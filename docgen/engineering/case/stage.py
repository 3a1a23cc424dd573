"""What a stage gives back: its value, or None and the reason."""

from __future__ import annotations

from typing import Generic, Literal, NamedTuple, Never, TypeVar

__all__ = ["Bar", "Stage", "lacking"]

#: Why nothing is computed although nothing is missing: the line exit is not above the D-ring, so there is no swing to compute.
Bar = Literal["not-overhead"]

T_co = TypeVar("T_co", covariant=True)


class Stage(NamedTuple, Generic[T_co]):
    """One stage of a case. `value` is None where it cannot be computed; then `missing` or `barred` says why.

    `missing` are the profile paths that this stage and those it rests on do not find, in the order of reading.
    """

    value: T_co | None
    missing: tuple[str, ...] = ()
    barred: Bar | None = None


def lacking(*before: Stage[object]) -> Stage[Never]:
    """A stage that cannot be computed because one or more of those it rests on were not: their reasons are its own.

    >>> lacking(Stage(1.0), Stage(None, ("bays[B].rail.line_exit_below_rail",))).missing
    ('bays[B].rail.line_exit_below_rail',)
    """
    missing = tuple(dict.fromkeys(path for stage in before for path in stage.missing))
    return Stage(None, missing, next((stage.barred for stage in before if stage.barred is not None), None))
