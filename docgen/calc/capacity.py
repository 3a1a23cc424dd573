"""Who may connect and how many at once: the chain of rated parts, its upper and lower limit."""

from collections.abc import Sequence

from docgen.calc import CalcError
from docgen.calc.formula import formula
from docgen.calc.guard import counts, not_negative, positive

__all__ = ["chain_limit", "least_spacing", "lower_limit", "users_allowed"]


@formula("C = min(C_i)", gives="mass", toward="down", cite="common practice, no published source")
def chain_limit(limits: Sequence[float]) -> tuple[float, int]:
    """Upper user mass of a chain of rated parts: the weakest part governs.

    Gives the lowest limit and its position in `limits`; of equal limits the first one. Ratings are for one attached
    person and include clothing, harness and tools. They do not add up along a rail unless the designer of the rail
    says so. The mass used in a device's test is not its user capacity. An empty list, or a limit that is not above
    zero, raises CalcError.

    Example: Harness 420 lb, device 310 lb, trolley 310 lb (own figures): the device governs.

    >>> limit, position = chain_limit([420 * 0.45359237, 310 * 0.45359237, 310 * 0.45359237])
    >>> round(limit, 3), position
    (140.614, 1)

    Sources:
    - US OSHA, standard interpretation on personal fall arrest systems and aerial lifts (29 CFR 1926.502(d)(16)), 12
      Sep 2012, question 1; basis: read (that the capacity counts the person with tools).
    - That the weakest part governs: common practice, no published source.
    """
    if not limits:
        raise CalcError("the chain holds no rated part; give the limit of at least one part")
    for number, limit in enumerate(limits, 1):
        positive(**{f"limit_{number}": limit})
    lowest = min(limits)
    return lowest, list(limits).index(lowest)


@formula("C_low = max(c_i)", gives="mass", toward="up", cite="common practice, no published source")
def lower_limit(minimums: Sequence[float]) -> tuple[float, int]:
    """Lower user mass of a chain of rated parts: the most demanding part governs.

    Gives the highest minimum and its position in `minimums`; of equal minimums the first one. A lighter person may
    not deploy the brake as it was tested. An empty list or a negative mass raises CalcError.

    Example: The Z359 family is rated from 130 lb (59 kg); a second part without a lower limit changes nothing.

    >>> limit, position = lower_limit([0.0, 130 * 0.45359237])
    >>> round(limit, 2), position
    (58.97, 1)

    Source: ANSI/ASSP, Z359 family, capacity range 130 lb to 310 lb; basis: memory (range read in instructions that
    cite it).
    """
    if not minimums:
        raise CalcError("the chain holds no part; give the lower limit of at least one part, or zero")
    for number, minimum in enumerate(minimums, 1):
        not_negative(**{f"lower_limit_{number}": minimum})
    highest = max(minimums)
    return highest, list(minimums).index(highest)


@formula("n = min(n_rail, n_trolley n_each)", gives="count", cite="common practice, no published source")
def users_allowed(rail_users: int, trolleys: int, users_per_trolley: int = 1) -> int:
    """Users who may be attached to one rail section at the same time.

    One user per trolley unless the maker of the trolley states otherwise. A count below zero, or a fraction, raises
    CalcError; no trolley means no user.

    Example: A rail rated for two users with one trolley serves one (own figures).

    >>> users_allowed(2, 1)
    1

    Source: One user per trolley: common practice, no published source.
    """
    counts(0, rail_users=rail_users, trolleys=trolleys, users_per_trolley=users_per_trolley)
    return min(rail_users, trolleys * users_per_trolley)


@formula("s_2 = b_1 + b_2 + d_gap", gives="length", toward="up", cite="geometry, own derivation; derived")
def least_spacing(reach_one: float, reach_two: float, gap: float) -> float:
    """Least distance of two trolleys on one rail at which the swings of their users cannot meet.

    Each user swings within a circle about the own trolley whose radius is the D-ring's offset at the start of the fall.
    The gap is room for two bodies, half of one on each side. Fixed stops between the trolleys do the same.

    Example: Two offsets of 5.0 ft and 2.0 ft of bodies (own figures): 12.0 ft.

    >>> least_spacing(5.0, 5.0, 2.0)
    12.0

    Source: Own derivation (two circles that do not meet); basis: derived.
    """
    not_negative(reach_one=reach_one, reach_two=reach_two, gap=gap)
    return reach_one + reach_two + gap
