"""Findings on the private file: yes or no only, without names, figures or counts."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.assess.view import Hit, View

__all__ = ["fit_differs_from_private", "private_user_unknown"]


def fit_differs_from_private(view: View) -> Iterator[Hit]:
    """What it looks at: the passes on record against the private file and the limit of the chain, as one yes or no.

    Why: a pass that the scale does not bear out lets someone climb whom the chain is not rated for. Whom it concerns is not
    told, since in a small crew that would tell a weight. Example: the limit fell and a pass was not taken back. Reference:
    labels; 29 CFR 1910.140(d), note (memory).
    """
    if view.private.agrees is False:
        yield Hit("people.users")


def private_user_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: codes in the private file that no user of the profile has.

    Why: an entry under a wrong code checks nobody. Example: U-10 in the file, U-01 in the profile. Reference: common
    practice, no published source.
    """
    for user in view.private.unknown:
        yield Hit("people.users", {"user": user})
