"""Which of the maker's arrest distances hold for a task: that of the label, that for a heavier user, that in the cold."""

from __future__ import annotations

from docgen.engineering.case.stage import Stage
from docgen.limits import at_least, over, under
from docgen.site import Bay, Part, Quantity, Site, Task
from docgen.site.facts import TESTED_MASS

__all__ = ["above_tested", "arrest_figures", "coldest", "for_mass", "in_cold"]


def arrest_figures(site: Site, bay: Bay, task: Task, device: Part) -> Stage[tuple[Quantity, ...]]:
    """All figures of the device that hold for this task, of which the longest governs; none where one of them is not there."""
    if device.arrest_distance is None:
        return Stage(None, (f"{device.path}.arrest_distance",))
    found = [device.arrest_distance]
    by_mass = for_mass(site, device)
    if by_mass is not None:
        found.append(by_mass)
    elif above_tested(site):
        return Stage(None, (f"{device.path}.arrest_at",))
    if device.cold and in_cold(site, bay, task, device):
        if device.cold.distance is None:
            return Stage(None, (f"{device.cold.path}.distance",))
        found.append(device.cold.distance)
    return Stage(tuple(found))


def above_tested(site: Site) -> bool:
    """Whether the posted limit is above the mass up to which a label speaks."""
    limit = site.limits.upper.value
    return limit is not None and over(limit.si, TESTED_MASS)


def for_mass(site: Site, device: Part) -> Quantity | None:
    """The longest of the maker's arrest distances up to the first mass that covers the posted limit; None where none covers it.

    A lighter user may go further than a heavier one of the table, so that the lighter rows count too: also where the label covers the limit,
    up to the tested mass. Nothing is scaled between masses.
    """
    limit = site.limits.upper.value
    rows = [(a.mass.si, a.distance) for a in device.arrest_at if a.mass is not None and a.distance is not None]
    covering = [mass for mass, _ in rows if limit is not None and at_least(mass, limit.si)]
    if not above_tested(site):
        covering.append(TESTED_MASS)
    if not covering:
        return None
    most = min(covering)
    return max((distance for mass, distance in rows if not over(mass, most)), key=lambda q: q.si, default=None)


def coldest(site: Site, bay: Bay, task: Task) -> Quantity | None:
    """The lowest air temperature in which people may climb by the papers; None where nothing there says.

    The task states how cold it is done, which keeps nobody from climbing in a deeper cold: outside a building only the posted limit
    does, and what the task states counts where it is lower still.
    """
    own, posted = task.temperature_min, site.limits.weather.temperature_min
    if bay.setting == "indoor":
        return own
    return own if own is not None and posted is not None and under(own.si, posted.si) else posted


def in_cold(site: Site, bay: Bay, task: Task, device: Part) -> bool:
    """Whether the maker's other distance holds: below the temperature that the manual names, or where either temperature is not known."""
    lowest, below = coldest(site, bay, task), device.cold.below
    return lowest is None or below is None or under(lowest.si, below.si)
