"""Which classes of contractors may climb: only where a bay of theirs is open and every condition is given. The same for every paper."""

from __future__ import annotations

from collections.abc import Mapping

from docgen.findings.model import BayState
from docgen.site import ContractorClass, Site
from docgen.site.contractors import conditions_given

__all__ = ["class_climbs", "climbs"]


def climbs(one: ContractorClass, site: Site, planned: Mapping[str, BayState]) -> bool:
    """Whether a class may climb in an open bay, with all told: who checks what, whose rescuers, and by which listed firm."""
    return conditions_given(one, site.contractors) and any(bay.id in one.bays and not planned[bay.id].shut for bay in site.bays)


def class_climbs(site: Site, planned: Mapping[str, BayState]) -> bool:
    """Whether any class may."""
    return any(climbs(one, site, planned) for one in site.contractors.classes)
