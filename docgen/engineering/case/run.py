"""One case: heights, offsets, below, terms, swing, need, inverse, each a frozen stage made from those before it.

Corners. Each result is looked for where all tolerances together are worst for it: its stage says at which end of each figure that is
(`Ends`), which follows from the sign of the derivative and is proven by enumeration in the tests. A missing height, offset or arrest
distance leaves a case uncomputed; it never counts as a pass.
"""

from __future__ import annotations

from docgen.engineering.case import below, edge, hanging, heights, inverse, need, offsets, struck, swing, terms
from docgen.engineering.case.below import Below
from docgen.engineering.case.edge import Edge
from docgen.engineering.case.hanging import Hanging
from docgen.engineering.case.heights import Deck, Heights, LineExit, Ring
from docgen.engineering.case.inverse import Inverse
from docgen.engineering.case.need import Available, Margin, Need
from docgen.engineering.case.notes import Notes
from docgen.engineering.case.offsets import Distances, Offsets
from docgen.engineering.case.stage import Stage
from docgen.engineering.case.swing import Swing
from docgen.engineering.case.terms import Allowances, Terms
from docgen.engineering.model import Assumed, CaseSide, Step, Struck, Tolerance
from docgen.engineering.spread import Spread
from docgen.frozen import frozen
from docgen.site import Bay, Part, Posture, Side, Site, Task, Vehicle

__all__ = ["Stages", "Subject", "stages"]


@frozen
class Subject:
    """What a case is about. `side` is None where the profile lists no side of the vehicle; `system` is us or si.

    `devices` are the self-retracting devices of the bay (`terms.devices`), the same for all its cases.
    """

    site: Site
    bay: Bay
    vehicle: Vehicle
    task: Task
    posture: Posture
    side: Side | None
    devices: tuple[Part, ...]
    system: str

    @property
    def side_name(self) -> CaseSide:
        """Its side; any where none is listed."""
        return "any" if self.side is None else self.side.side

    @property
    def id(self) -> str:
        """`task.posture.side`."""
        return f"{self.task.id}.{self.posture}.{self.side_name}"


@frozen
class Stages:
    """All stages of one case; the figures of practice taken, the profile paths read, the steps nominal and in the worst corner."""

    line_exit: Stage[LineExit]
    deck: Stage[Deck]
    ring: Ring
    heights: Stage[Heights]
    distances: Distances
    offsets: Stage[Offsets]
    below: Stage[Below]
    edge: Stage[Edge]
    arrest_distance: Stage[Spread]
    allowances: Allowances
    terms: Stage[Terms]
    swing: Stage[Swing]
    available: Stage[Available]
    need: Stage[Need]
    hanging: Stage[Hanging]
    margin: Stage[Margin]
    inverse: Stage[Inverse]
    line_needed: float | None
    struck: tuple[Struck, ...]
    fouled: tuple[str, ...]
    assumed: tuple[Assumed, ...]
    tolerances: tuple[Tolerance, ...]
    inputs: tuple[str, ...]
    steps: tuple[Step, ...]
    corner_steps: tuple[Step, ...]

    @property
    def missing(self) -> tuple[str, ...]:
        """The profile paths that the case does not find, in the order of reading."""
        first = (self.line_exit, self.deck, self.offsets, self.below, self.arrest_distance)
        return tuple(dict.fromkeys(path for stage in first for path in stage.missing))


def stages(subject: Subject) -> Stages:
    """Every stage of the case. Raises CalcError where the figures contradict each other.

    What a stage needs it takes as an argument; the order of the lines is that of the printed steps, and nothing else rests on it.
    """
    site, bay, vehicle, task = subject.site, subject.bay, subject.vehicle, subject.task
    notes = Notes(f"cases[{subject.id}]", subject.system, site.country)
    line_exit = heights.line_exit(bay.rail, notes)
    deck = heights.deck(vehicle, notes)
    ring = heights.ring(site.limits, subject.posture, notes)
    above = heights.heights(line_exit, deck, ring, notes)
    distances = offsets.distances(bay, vehicle, task, notes)
    aside = offsets.offsets(distances, notes)
    lower = below.below(bay, vehicle, subject.side, deck, aside, notes)
    overhead = terms.arrest_distance(site, bay, task, subject.devices, notes)
    allowances = terms.allowances(site, bay, subject.devices, notes)
    line = edge.edge(bay, subject.side, above, aside, overhead, allowances, notes)
    arrest = edge.over_edge(subject.devices, line, overhead, notes)
    summed = terms.terms(arrest, allowances)
    fall = swing.swing(above, aside, notes)
    have = need.available(deck, lower, notes)
    needed = need.need(fall, summed, notes)
    hang = hanging.hanging(needed, notes)
    margin = need.margin(have, needed, notes)
    largest = inverse.inverse(bay.rail, allowances, margin, notes)
    return Stages(
        line_exit=line_exit,
        deck=deck,
        ring=ring,
        heights=above,
        distances=distances,
        offsets=aside,
        below=lower,
        edge=line,
        arrest_distance=arrest,
        allowances=allowances,
        terms=summed,
        swing=fall,
        available=have,
        need=needed,
        hanging=hang,
        margin=margin,
        inverse=largest,
        line_needed=hanging.line_needed(bay, line_exit, ring, aside, hang, notes),
        struck=struck.struck(bay, vehicle, subject.side, fall, summed, notes),
        fouled=struck.fouled(bay, vehicle, fall, summed, notes),
        assumed=tuple(notes.assumed),
        tolerances=tuple(notes.tolerances),
        inputs=tuple(notes.sheet.inputs),
        steps=tuple(notes.sheet.steps),
        corner_steps=tuple(notes.corner.steps),
    )
