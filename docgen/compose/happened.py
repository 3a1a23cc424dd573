"""What happened at a site, as the papers without a digest print it. They read it here and nowhere else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from docgen.site import Site

__all__ = ["Happened"]


@dataclass(frozen=True, slots=True)
class Happened:
    """Records of the past, each in the order in which it was written."""

    site: Site

    @property
    def parts(self) -> tuple[Any, ...]:
        """Parts with their last inspections."""
        return self.site.equipment

    @property
    def kits(self) -> tuple[Any, ...]:
        """Rescue kits with their places and last checks."""
        return self.site.rescue.kit_places

    @property
    def users(self) -> tuple[Any, ...]:
        """Those who climb, by number, with the result of the check against the limits."""
        return self.site.people.users

    @property
    def training(self) -> tuple[Any, ...]:
        """Training that was held."""
        return self.site.training.records

    @property
    def rescuers(self) -> tuple[Any, ...]:
        """Rescuers, by number, with their last practical exercise."""
        return self.site.people.rescuers

    @property
    def contacts(self) -> tuple[Any, ...]:
        """Numbers with the day on which they were tried."""
        return self.site.emergency.contacts

    @property
    def drills(self) -> tuple[Any, ...]:
        """Drills that were run."""
        return self.site.rescue.drills

    @property
    def postings(self) -> tuple[Any, ...]:
        """Places with what hangs there and since when."""
        return self.site.posting
