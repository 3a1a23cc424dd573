"""From the site and the law that binds it to numbers: cases, load paths, rescue rows; and, with the log, what falls due. It judges nothing and prints nothing."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from docgen.engineering.cases import all_cases
from docgen.engineering.chains import all_chains
from docgen.engineering.further import all_further
from docgen.engineering.model import Numbers
from docgen.engineering.rescues import all_rescues
from docgen.site import Site

if TYPE_CHECKING:
    from docgen.codes.law import Law

__all__ = ["engineered"]


def engineered(site: Site, law: Law) -> Numbers:
    """Every number of the site, in the units that the site or the law prints first."""
    system = site.site.units or law.units
    cases = all_cases(site, system)
    return Numbers(
        path="assessment", system=system, cases=cases, chains=all_chains(site), rescues=all_rescues(site, law, cases),
        further=all_further(site, law, cases), by_id=MappingProxyType({c.id: c for c in cases}),
    )  # fmt: skip
