"""How far the rail bends under the load that can come: the figure of the design, brought to that load, and the beam formula beside it.

Lengths in m, forces in N, stresses in N/m^2. An elastic rail bends in proportion to its load. The beam formula leaves out the supports, so that it
is the least that the deflection can be, never a figure in place of one that nobody stated.
"""

from __future__ import annotations

from docgen.calc import anchorage
from docgen.engineering.along import Measure
from docgen.engineering.sheet import Sheet
from docgen.engineering.spread import Spread
from docgen.frozen import frozen
from docgen.limits import over
from docgen.site import Bay, BayRail, Part, Quantity, Site, System
from docgen.trade.practice import practice

__all__ = ["Bending", "bending", "governing_deflection", "stated_peak", "users_in_span"]


@frozen
class Bending:
    """`load` is that of one arrest; `scaled` is the stated deflection under it where it was stated for less, `computed` that of the beam.

    `stress` is under `most`, the arrests of everyone who can fall on one span. None where a figure for it is missing. A rail that one person
    bends while another falls is the second case (`loads.py`).
    """

    load: float
    most: float
    scaled: float | None
    computed: float | None
    stress: float | None


def stated_peak(devices: tuple[Part, ...]) -> float | None:
    """The largest peak force of the devices; None where one of them states none."""
    peaks = [d.arrest_force_peak.si for d in devices if d.arrest_force_peak is not None]
    return max(peaks) if peaks and len(peaks) == len(devices) else None


def users_in_span(system: System | None, rail: BayRail) -> int:
    """How many people can fall on one span at a time: all who climb at once, but where stops keep them in spans of their own."""
    users = (system.climbers_at_once if system is not None else None) or 1
    if rail.span_stops and rail.rated_users_per_span is not None:
        return min(users, rail.rated_users_per_span)
    return users


def bending(rail: BayRail, users: int, peak: float, sheet: Sheet) -> Bending:
    """The rail under one arrest at the middle of a span, and its stress under so many at one time."""
    load, most, beam = peak, peak * users, rail.beam
    scaled = computed = stress = None
    if (
        _above(rail.deflection_load)
        and rail.deflection is not None
        and rail.deflection.si >= 0
        and over(load, _si(rail.deflection_load))
    ):
        scaled = sheet.run(
            anchorage.deflection_at_load,
            stated_deflection=sheet.use(rail.deflection),
            stated_load=_si(rail.deflection_load, sheet),
            load=load,
        )
    if _above(beam.span, beam.modulus, beam.second_moment):
        computed = sheet.run(
            anchorage.midspan_deflection,
            load=load,
            span=_si(beam.span, sheet),
            modulus=_si(beam.modulus, sheet),
            second_moment=_si(beam.second_moment, sheet),
        )
    if _above(beam.span, beam.section_modulus):
        stress = sheet.run(
            anchorage.bending_stress, load=most, span=_si(beam.span, sheet), section_modulus=_si(beam.section_modulus, sheet)
        )
    return Bending(load=load, most=most, scaled=scaled, computed=computed, stress=stress)


def governing_deflection(site: Site, bay: Bay, devices: tuple[Part, ...], measure: Measure, sheet: Sheet) -> Spread | None:
    """The deflection that counts in the clearance: the largest of the stated one, the same under the load that can come, and the beam's.

    None where nobody stated one, whatever the beam gives.
    """
    rail = bay.rail
    stated = measure(rail.deflection, "bound")
    if stated is None or not devices:
        return stated
    system = site.system_of(bay.id)
    peak = stated_peak(devices if system is None else site.arresting(system)) or practice("peak_unstated").si
    own = Sheet(sheet.path)
    bent = bending(rail, users_in_span(system, rail), peak, own)
    found = max(figure for figure in (stated.nominal, bent.scaled, bent.computed) if figure is not None)
    if not over(found, stated.nominal):
        return stated
    sheet.take(own)
    more = max(1.0, found / stated.nominal) if bent.scaled == found and stated.nominal > 0 else 1.0
    return Spread(
        nominal=found,
        low=max(found, stated.low * more) if more == 1.0 else stated.low * more,
        high=max(found, stated.high * more),
    )


def _above(*quantities: Quantity | None) -> bool:
    """Whether all of some figures are stated and above zero: nothing is computed from others."""
    return all(q is not None and q.si > 0 for q in quantities)


def _si(quantity: Quantity | None, sheet: Sheet | None = None) -> float:
    if quantity is None:
        return 0.0
    return quantity.si if sheet is None else sheet.use(quantity)
