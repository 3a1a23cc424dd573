"""Between which masses a user fits: the chains of the bays in use, the posted limits, and how the law counts the limit itself."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from docgen.engineering.chains import all_chains
from docgen.limits import under
from docgen.site import Site
from docgen.trade.practice import practices

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = ["fit_limits", "public_masses"]


def fit_limits(site: Site, law: Law) -> tuple[float | None, float | None, bool]:
    """(lowest, highest, whether exactly the highest passes), masses in kg; None where nothing is rated or posted.

    Exactly at the highest follows the text in force: where that says "less than" and no basis above it is on record, a
    person at the figure itself does not pass.
    """
    chains = all_chains(site)
    highs = [q.si for q in (site.limits.upper.value, *(c.limit for c in chains)) if q is not None]
    lows = [q.si for q in (site.limits.lower.value, *(c.lower_limit for c in chains)) if q is not None]
    high = min(highs, default=None)
    answer = law.ask("user_mass_condition")
    at_limit = True
    if high is not None and isinstance(answer.value, float) and not answer.inclusive:
        at_limit = under(high, answer.value) or all(s.above_310_basis is not None for s in site.systems)
    return max(lows, default=None), high, at_limit


def public_masses(law: Law) -> tuple[str, ...]:
    """Masses that documents print and that are nobody's: the figures of the law and of the trade, as text with a unit."""
    printed = re.findall(r"\d[\d,.]* (?:lb|kg)\b", law.ask("user_mass_condition").text)
    return (*printed, *(figure.text for figure in practices() if figure.kind == "mass"))
