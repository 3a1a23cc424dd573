"""Functions and filters for templates. They decide nothing: they pick, order and format what engineering has computed.

Whatever a function reads of a record goes through `reading.py`, so that the trace of a clause is complete.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import groupby, zip_longest
from typing import Any

from docgen import units
from docgen.codes.folder import part_name
from docgen.compose.classes import climbs
from docgen.compose.environment import Collector
from docgen.compose.escape import Markup, escape
from docgen.compose.figures import FIGURES, Say, caption
from docgen.compose.reading import plain, traced, tracing
from docgen.compose.standing import needed_for
from docgen.compose.trace import Trace
from docgen.engineering.further import mass_shares
from docgen.engineering.model import Assumed, Case, Corner, Further, Governed, Numbers, RescueRow, Tolerance, Value, Working
from docgen.engineering.rescues import detection_time
from docgen.errors import TemplateError
from docgen.findings.model import BayState
from docgen.papers import papers
from docgen.site import Bay, Method, Node, Part, Permission, Posting, Quantity, Role, RolePart, Shift, Side, Site, System, Vehicle
from docgen.trade.practice import Practice, practice
from docgen.words import meaning

__all__ = ["Helpers", "blank", "filters", "flag", "held_together", "lower_first", "rests_on_units"]


@dataclass(frozen=True, slots=True)
class Hang:
    """Heights at which a person hangs over one bay and vehicle."""

    bay: str
    vehicle: str
    ring_high: Quantity
    ring_low: Quantity
    feet_high: Quantity
    feet_low: Quantity


def blank(what: str) -> Markup:
    """A marked blank that must be filled in by hand, told what belongs there."""
    return Markup(f"**{escape(what)}**{{: .blank }}")


def flag(text: str) -> Markup:
    """Words that must catch the eye."""
    return Markup(f"**{escape(text)}**{{: .flag }}")


@dataclass(frozen=True, slots=True)
class Climbing:
    """A class of contractors that may climb, with the names of the bays in which it may."""

    id: str
    name: str
    bays: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Kept:
    """Kinds of part that one role inspects at one interval; None: no interval, or no role but the inspector, is given."""

    interval: str | None
    kinds: tuple[str, ...]
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Swung:
    """What the swing of a fall in a bay meets, by name, and the speed [m/s] at which it is met at most."""

    what: tuple[str, ...]
    speed: Quantity


@dataclass(frozen=True, slots=True)
class KeptFixed:
    """Whether the figures of a bay rest on a cover, a barrier or padding, and what was written of the padding."""

    any: bool
    padding: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Posts:
    """Shifts with the same posts: their names and hours, the posts, who supervises, watches, drops first and then closes the bay."""

    shifts: tuple[str, ...]
    posts: tuple[str, ...]
    supervisor: str | None
    watched: str | None
    drops_first: str | None
    closes: str | None


#: The corners that are printed of a case, by what it governs; the offset of all of them.
CORNERS_OF: Mapping[Governed, tuple[Corner, ...]] = {
    "clearance": ("offset", "clearance", "largest", "edge", "hang-low", "feet-low", "line"),
    "angle": ("offset", "largest", "angle"),
    "swing": ("offset", "angle"),
    "rescue-height": ("hang-high", "feet-high"),
}
FOR_HAND = "\u00a0" * 14  # room in a cell for what a checker writes
NOUGHTS = re.compile(r"(\.\d*?[1-9])0+(?!\d)|\.0+(?!\d)")  # at the end of a figure, which say nothing
RESULT_COLUMNS = 6  # of results side by side, in both units, across a sheet
#: What a figure without a tolerance is, by where it comes from.
BOUND_OF = {"label": "label-maximum", "design": "design-value"}


@dataclass(frozen=True, slots=True)
class Line:
    """One step of a working: its number, and that of its formula in the table of formulas."""

    n: int
    step: Working
    formula: int


@dataclass(frozen=True, slots=True)
class FormulaSource:
    """A step for its source, and the numbers of the formulas of that source."""

    step: Working
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ResultTable:
    """Results of some workings side by side: for each its case, empty for the figures for information of a bay, and the bay; for each number of a line the
    steps, None where a working has fewer lines."""

    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[int, tuple[Working | None, ...]], ...]


@dataclass(frozen=True, slots=True)
class Alike:
    """Cases of one task and posture, told by their sides in one name, and what a row says of each of them."""

    names: str
    rows: tuple[Markup, ...]


@dataclass(frozen=True, slots=True)
class SidesAlike:
    """Sides of a vehicle of which the same is known, and one of them for all."""

    names: str
    side: Side


class Helpers:
    """The functions of one composition on its site and numbers. Both are read under the trace of the clause being written."""

    def __init__(
        self, site: Site, numbers: Numbers, words: Mapping[str, Any], collector: Collector, language: str,
        planned: Mapping[str, BayState] | None = None,
    ) -> None:  # fmt: skip
        self.site, self.numbers = traced(site, collector.trace), traced(numbers, collector.trace)
        self.planned = {key: traced(state, collector.trace) for key, state in (planned or {}).items()}
        self.words, self.collector, self.language = words, collector, language
        self._evidence: dict[str, int] = {}

    @cached_property
    def _tolerances(self) -> Mapping[str, Tolerance]:
        known: Mapping[str, Tolerance] = plain(self.numbers).tolerances
        return known

    @property
    def system(self) -> str:
        """The system of units; whoever prints in it rests on what chose it."""
        rests_on_units(plain(self.site), self.collector.trace)
        return self.numbers.system

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function that reads the site; in a body it may be called inside a clause only."""
        names = (
            "symbols", "input_row", "practice_row", "evidence", "assumed_values", "climbing_classes", "outdoors", "unanswered", "register_rows", "of_kind", "swung_against", "flows_alike", "posted_alike", "post_rows", "rescuers_needed", "actor", "allowed_vehicles",
            "kept_fixed", "open_bays", "rails_alike", "people_at_once", "up_together", "title_of", "of_part", "hung_at", "approvals_asked", "done_by", "titles_of", "offset_rows", "case_result", "worked", "worked_further", "formulas", "result_tables", "formula_sources", "alike", "sides_alike", "devices_used", "hatches_closed", "least_kept", "merged_times", "hanging_rows", "detection", "method_name", "meaning", "substituted", "population_shares", "figure", "parking_case", "load_path",
        )  # fmt: skip
        return {name: tracing(getattr(self, name), self.collector.trace) for name in names}

    def phrase(self, key: str) -> str:
        """A phrase of the words. TemplateError for one that they lack."""
        try:
            text: str = self.words["phrases"][key]
        except KeyError:
            raise TemplateError(f"{self.collector.document}: the words have no phrase '{key}'") from None
        return text

    def figure(self, kind: str, record: Case | RescueRow | Further) -> Markup:
        """A drawing of a case, a rescue row or a bay (by the further figures of its system) as a block of its own; empty where too little is known to draw it, or a figure is beyond any sheet."""
        if kind not in FIGURES:
            raise TemplateError(f"{self.collector.document}: there is no figure '{kind}'; there are: {', '.join(FIGURES)}")
        say = Say(self.words, self.system)
        drawing = FIGURES[kind](record, self.site, say)
        if drawing is None or not drawing.fits:
            return Markup("")
        self.collector.figures[drawing.name] = drawing
        return Markup(f"![{escape(caption(kind, record, self.site, say))}](figure:{drawing.name})\n{{: #f.{drawing.name} }}")

    # --- plan ---------------------------------------------------------------------------------------------------------

    def input_row(self, what: str, *quantities: Quantity | None) -> Markup:
        """A table row: what, value, tolerance, number of the evidence, and two cells for the hand of the checker; a missing value is a marked blank.

        Of several quantities each has its value in the row, in their order; a tolerance or an evidence that they share stands once. Those not given are left out there.
        """
        known = [q for q in quantities if q is not None]
        if not known:
            return Markup(f"| {escape(what)} | {blank(self.phrase('missing_value'))} | – | – | {FOR_HAND} | {FOR_HAND} |")
        values = "; ".join(self.collector.show(q) for q in known)
        tolerances = dict.fromkeys(self._tolerance(q) for q in known)
        evidence = dict.fromkeys(f"E{self._evidenced(q)}" for q in known)
        if len(tolerances) > 1:
            tolerances = dict.fromkeys(["; ".join(self._tolerance(q) for q in known)])
        cells = (what, values, "; ".join(tolerances), ", ".join(evidence))
        return Markup("| " + " | ".join(escape(c) for c in cells) + f" | {FOR_HAND} | {FOR_HAND} |")

    def practice_row(self, what: str, figure: Practice) -> Markup:
        """The same of a figure of the trade; its source is its evidence."""
        number = self._numbered(figure.source)
        cells = (
            what,
            units.show(figure.si, figure.kind, self.system, toward="nearest"),
            self.phrase("tolerance_chosen"),
            f"E{number}",
        )
        return Markup("| " + " | ".join(escape(c) for c in cells) + f" | {FOR_HAND} | {FOR_HAND} |")

    def _evidenced(self, quantity: Quantity) -> int:
        """The number of the evidence of a figure: how, by whom, when."""
        how = self.words["terms"][quantity.how or "stated"]
        for name in ("by", "on"):
            self.collector.trace.read(quantity, name, getattr(quantity, name))
        by = self.done_by(quantity.by, quantity.on) if quantity.by else None
        evidence = [how, by, quantity.on.isoformat() if quantity.on else None]
        said = ", ".join(e for e in evidence if e)
        return self._numbered(said)

    def _numbered(self, said: str) -> int:
        return self._evidence.setdefault(said, len(self._evidence) + 1)

    def evidence(self) -> list[str]:
        """What the numbers of evidence of the rows so far stand for, in their order."""
        return list(self._evidence)

    def _tolerance(self, quantity: Quantity) -> str:
        """How far a figure may lie off: as stated, as practice takes it, or that it is a bound."""
        known = self._tolerances.get(quantity.path)
        if known is not None and known.taken is not None:
            return self.phrase("tolerance_taken").format(value=units.exact(known.value.si, known.value.kind, self.system))
        if quantity.tolerance_stated:
            return "\u00b1 " + units.exact(quantity.tolerance, quantity.kind, self.system)
        if quantity.kind != "length" and not quantity.bound and quantity.how not in BOUND_OF:
            return self.phrase("tolerance_none")
        bound = quantity.bound or BOUND_OF.get(quantity.how or "", "allowance")
        said: str = self.words["terms"][bound]
        return said

    def offset_rows(self) -> list[Case]:
        """The allowed cases of which the largest offset is known."""
        return [case for case in self.numbers.cases if case.permission == "allowed" and case.largest_worst is not None]

    def case_result(self, case: Case) -> str:
        """What came of a case, in words with its figures."""
        verdict: str = case.verdict
        kept, of, margin = case.kept, case.margin_term, case.margin
        if verdict == "short" and margin is not None:
            least = margin.si if case.margin_worst is None else min(margin.si, case.margin_worst.si)
            return self.phrase("short_by").format(short=units.show(-least, "length", self.system, toward="up", both=False))
        if verdict in ("keeps-less", "short-after-tolerances") and of is not None:
            key = "keeps_none" if kept is None else "keeps" if verdict == "keeps-less" else "keeps_too_little"
            left = "" if kept is None else units.show(kept.si, "length", self.system, toward="down", both=False)
            whole = units.show(of.si, "length", self.system, toward="nearest", both=False)
            return self.phrase(key).format(kept=left, of=whole)
        said: str = self.words["terms"][verdict]
        return said

    def corner_steps(self, case: Case) -> list[Working]:
        """The steps of the worst corners that a case governs."""
        shown = {corner for what in case.governs for corner in CORNERS_OF[what]}
        return [step for step in case.corner if step.what in shown]

    def worked(self, case: Case) -> list[Line]:
        """The steps of a case as numbered lines: its working, and after that the worst corners of what it governs."""
        return self._lines((*case.working, *self.corner_steps(case)))

    def worked_further(self, bay: Further) -> list[Line]:
        """The same of the figures of a bay that decide no case."""
        return self._lines(bay.working)

    def _lines(self, steps: Iterable[Working]) -> list[Line]:
        numbers = {step.formula: n for n, step in enumerate(self.formulas(), 1)}
        return [Line(n, step, numbers[step.formula]) for n, step in enumerate(steps, 1)]

    def result_tables(self) -> list[ResultTable]:
        """The results of all workings that are printed, RESULT_COLUMNS side by side."""
        workings = [((case.id, case.bay), self.worked(case)) for case in self.numbers.cases if case.governs]
        workings += [(("", bay.bay), self.worked_further(bay)) for bay in self.numbers.further if bay.working]
        tables = []
        for at in range(0, len(workings), RESULT_COLUMNS):
            some = workings[at : at + RESULT_COLUMNS]
            turned = enumerate(zip_longest(*([line.step for line in lines] for _, lines in some)), 1)
            tables.append(ResultTable(tuple(name for name, _ in some), tuple(turned)))
        return tables

    def formulas(self) -> list[Working]:
        """One step for each formula of the workings that are printed, in order of first use."""
        return self.collector.trace.once("formulas", self._formulas)

    def _formulas(self) -> list[Working]:
        governing = (case for case in self.numbers.cases if case.governs)
        steps = [step for case in governing for step in (*case.working, *self.corner_steps(case))]
        steps += [step for bay in self.numbers.further for step in bay.working]
        found: dict[str, Working] = {}
        for step in steps:
            found.setdefault(step.formula, step)
        return list(found.values())

    def formula_sources(self) -> list[FormulaSource]:
        """The sources of all formulas that are printed, each once with the numbers of its formulas."""
        found: dict[str, list[tuple[int, Working]]] = {}
        for n, step in enumerate(self.formulas(), 1):
            found.setdefault(step.source, []).append((n, step))
        return [FormulaSource(named[0][1], tuple(n for n, _ in named)) for named in found.values()]

    def alike(self, cases: Iterable[Case], told: Callable[[Case], str]) -> list[Alike]:
        """The cases of a table, those of one task and posture together of which `told` gives the same rows, a line each."""
        found: dict[tuple[str, ...], tuple[Case, list[str]]] = {}
        for case in cases:
            said = str(told(case))
            key = (case.bay, case.vehicle, case.task, case.posture, case.permission, said)
            found.setdefault(key, (case, []))[1].append(case.side)
        return [
            Alike(
                f"{first.id.removesuffix(first.side)}{', '.join(sides)}",
                tuple(Markup(row) for row in key[-1].strip().split("\n")),
            )
            for key, (first, sides) in found.items()
        ]

    def sides_alike(self, vehicle: Vehicle, evidence: bool = True) -> list[SidesAlike]:
        """The open sides of a vehicle; those with the same figures of the same evidence stand together, or all with the same thing at the same
        height below where the `evidence` is not printed."""
        found: dict[object, list[Side]] = {}
        for side in vehicle.sides:
            if not side.stopped_by:
                along = side.side in ("front", "rear")
                height = side.lower.height
                key: object = (side.lower.what, height and height.text)
                if evidence:
                    figures = (_same(q) for q in (height, side.edge, side.edge_top))
                    key = (along, side.lower.what, side.lower.moves_with, *figures)
                found.setdefault(key, []).append(side)
        terms = self.words["terms"]
        named = ([terms[s.side] for s in sides] for sides in found.values())
        said = (f" {terms['and']} ".join(filter(None, (", ".join(names[:-1]), names[-1]))) for names in named)
        return [SidesAlike(names, sides[0]) for names, sides in zip(said, found.values(), strict=True)]

    def devices_used(self) -> list[Part]:
        """The self-retracting devices that a system names, and those that are no spare."""
        named = {part for system in self.site.systems for part in system.parts}
        return [p for p in self.site.equipment if p.kind == "srd" and (p.id in named or not p.spare)]

    def of_kind(self, kind: str, spares: bool = True) -> list[Part]:
        """The parts of a kind, with spares or without; nothing is read of the others, so that none of them is an input of the clause."""
        wanted = (p.id for p in plain(self.site).equipment if p.kind == kind and (spares or not p.spare))
        found = (self.site.part(key) for key in wanted)
        return [p for p in found if p is not None and p.kind == kind and (spares or not p.spare)]

    def hatches_closed(self, vehicle: Vehicle) -> list[tuple[tuple[int, ...], str]]:
        """What closes hatches of a vehicle so that nobody falls in, with their numbers from its front; nothing of those that are open."""
        found: dict[str, list[int]] = {}
        for n, hatch in enumerate(vehicle.hatches, 1):
            if hatch.stopped_by:
                found.setdefault(hatch.stopped_by.what or "", []).append(n)
        return [(tuple(numbers), what) for what, numbers in found.items()]

    def least_kept(self) -> str:
        """What must be kept of the margin in force, the same in every case."""
        least = next((c.kept_least for c in self.numbers.cases if c.kept_least is not None), None)
        return self.phrase("not_computed") if least is None else units.show(least.si, "length", self.system, toward="up")

    def parking_case(self, bay: Bay) -> Case | None:
        """The allowed case of a bay that leaves a vehicle the least room to either side of its mark."""
        found: tuple[float, Case] | None = None
        for case in self.numbers.cases_of(bay.id, permission="allowed"):
            if case.allowance_left and case.allowance_right:
                least = min(case.allowance_left.si, case.allowance_right.si)
                found = (least, case) if found is None or least < found[0] else found
        return found[1] if found else None

    def load_path(self, system: System) -> list[Part]:
        """The parts that bear a fall in a system, from the frame to the harness; what they are part of is read of every part of the site."""
        known = {part.id: part for part in self.site.equipment}
        named = (*system.parts, *system.harnesses, *(p.part_of.part for p in known.values() if not p.spare))
        path = plain(self.site).load_path(plain(system)) if named else ()
        return [known[part.id] for part in path]

    def assumed_values(self) -> list[Assumed]:
        """Every value taken from practice, once, in order of first use."""
        found: dict[str, Assumed] = {}
        for case in self.numbers.cases:
            for value in case.assumed:
                found.setdefault(value.name, value)
        return list(found.values())

    def symbols(self) -> list[dict[str, str]]:
        """Every symbol of the workings that are printed, what goes in and what comes out, with what it stands for, by symbol."""
        steps = [step for case in self.numbers.cases if case.governs for step in (*case.working, *self.corner_steps(case))] + [
            step for bay in self.numbers.further for step in bay.working
        ]
        found = {(i.symbol, meaning("terms", i.term, self.language)) for step in steps for i in step.inputs}
        taken = {symbol for symbol, _ in found}
        results: dict[str, str] = {}
        for step in steps:
            if step.symbol not in taken:
                results.setdefault(step.symbol, self.meaning(step))
        found |= set(results.items())
        return [{"symbol": symbol, "means": means} for symbol, means in sorted(found, key=lambda x: (x[0].lower(), x))]

    def meaning(self, step: Working) -> str:
        """What a step of a working computes."""
        return meaning("formulas", step.name, self.language)

    def substituted(self, step: Working) -> str:
        """The values put into a formula: `h = 9 ft; x = 4.03113 ft`."""

        def figure(value: Value) -> str:
            if isinstance(value, Quantity):
                return NOUGHTS.sub(lambda m: m[1] or "", units.exact(value.si, value.kind, self.system, both=False, more=2))
            return self.words["terms"]["yes" if value else "no"] if isinstance(value, bool) else str(value)

        return "; ".join(held_together(f"{i.symbol} = {figure(i.value)}") for i in step.inputs)

    def population_shares(self) -> list[dict[str, str]]:
        """Published populations with the estimated share above the limit, in whole percent, never none where there is some."""
        rows: list[dict[str, str]] = []
        if self.site.country != "US":  # the populations are of that country
            return rows
        for name, share, _ in mass_shares(self.site):
            figure = practice(name)
            percent = self.phrase("fewer_than_one") if share < 0.01 else self.phrase("about").format(n=round(share * 100))
            rows.append({"name": name, "percent": percent, "source": figure.source})
            self.collector.cited.setdefault(figure.source, figure)
        return rows

    def method_name(self, key: str) -> str:
        """Number and name of a rescue method, by which all papers call it; the id where none has it."""
        found = next(((n, m) for n, m in enumerate(self.site.rescue.methods, 1) if m.id == key), None)
        return key if found is None else f"{found[0]}: {found[1].name}"

    # --- plan: what its tables merge -----------------------------------------------------------------------------------

    def unanswered(self, record: Node, name: str) -> bool:
        """Whether the profile gives no answer to a field of a record: an empty list and the word none are answers."""
        return not getattr(record, name) and f"{plain(record).path}.{name}" not in plain(self.site).answered

    def open_bays(self) -> list[Bay]:
        """The bays that are open by the profile, in its order."""
        shut = {s.bay for s in self.planned.values() if s.shut}
        return [b for b in self.site.bays if b.id not in shut]

    def outdoors(self, bays: Iterable[Bay]) -> list[Bay]:
        """Those of some bays that have weather: all but the ones inside a building."""
        return [bay for bay in bays if bay.setting != "indoor"]

    def climbing_classes(self) -> list[Climbing]:
        """The classes of contractors that may climb, each with the names of the open bays in which it may; a class without one is left out."""
        bays = {b.id: b for b in self.open_bays()}
        found = []
        for k in self.site.contractors.classes:
            if climbs(k, self.site, self.planned):
                names = tuple(bays[key].name for key in k.bays if key in bays)
                if names:
                    found.append(Climbing(k.id, k.name, names))
        return found

    def register_rows(self) -> list[Kept]:
        """Kinds of part by how often they are inspected, the shortest interval first and those without one last, and by whom.

        A kind of which some are inspected more often than others, or by another, stands in each row with the ids that it means; a spare says so.
        """
        by_kind: dict[str, dict[tuple[str | None, str | None], list[Part]]] = {}
        for part in self.site.equipment:
            interval = part.inspection.interval
            kind = self.phrase("spare").format(kind=self._kind(part)) if part.spare else self._kind(part)
            row = (interval.text if interval else None, part.inspection.by)
            by_kind.setdefault(kind, {}).setdefault(row, []).append(part)
        rows: dict[tuple[str | None, str | None], list[str]] = {}
        for kind, groups in by_kind.items():
            for row, parts in groups.items():
                ids = f" ({', '.join(p.id for p in parts)})" if len(groups) > 1 else ""
                rows.setdefault(row, []).append(f"{kind}{ids}")
        day = date(2026, 1, 1)  # two intervals are compared by the days on which they end

        def turn(row: tuple[str | None, str | None]) -> tuple[date, bool]:
            return (units.parse_interval(row[0]).after(day) if row[0] else date.max), row[1] is not None

        return [Kept(row[0], tuple(rows[row]), row[1]) for row in sorted(rows, key=turn)]

    def _kind(self, part: Part) -> str:
        return lower_first(str(self.words["terms"][part.kind])) if part.kind else part.id

    def post_rows(self) -> list[Posts]:
        """The climbing shifts with their posts, those in one row that have the same posts, supervisor and cover."""
        groups: dict[tuple[object, ...], list[Shift]] = {}
        for shift in self.site.shifts:
            if shift.climbing:
                key = (
                    tuple(p.post for p in shift.posts),
                    shift.supervisor,
                    self._watched(shift),
                    shift.cover.drops_first,
                    shift.cover.closes,
                )
                groups.setdefault(key, []).append(shift)
        return [
            Posts(
                tuple(f"{s.name or s.id}{f' ({s.hours})' if s.hours else ''}" for s in shifts),
                tuple(p.post for p in shifts[0].posts), shifts[0].supervisor, self._watched(shifts[0]), shifts[0].cover.drops_first, shifts[0].cover.closes,
            )
            for shifts in groups.values()
        ]  # fmt: skip

    def _watched(self, shift: Shift) -> str | None:
        """Who watches on a shift, or that nobody does; None where nothing is said."""
        if shift.watch.by and shift.watch.how != "nobody":
            return lower_first(shift.watch.by.rstrip(" ."))
        return str(self.words["terms"][shift.watch.how]) if shift.watch.how else None

    def rescuers_needed(self, bays: Iterable[Bay]) -> int | None:
        """The most rescuers that a method of the site needs in these bays; None where no method is ready there."""
        keys = [bay.id for bay in bays]
        rows = (r for r in self.numbers.rescues if r.bay in keys and not r.closed and r.kind != "outside")
        return max((r.persons_needed for r in rows if r.persons_needed), default=None)

    # --- who and what --------------------------------------------------------------------------------------------------

    def _is_class(self, key: str) -> bool:
        return self.site.role(key) is None and any(c.id == key for c in self.site.contractors.classes)

    def actor(self, key: str) -> str:
        """Who does a step, within a sentence: the title of a role, or the name of a class of contractors."""
        if not self._is_class(key):
            return self.title_of(key)
        return next(lower_first(c.name) for c in self.site.contractors.classes if c.id == key)

    def _vehicles(self, bay: Bay, permission: str) -> list[Vehicle]:
        keys = dict.fromkeys(t.vehicle for t in self.site.tasks if t.bay == bay.id and t.permission == permission)
        return [v for v in (self.site.vehicle(k) for k in keys) if v is not None]

    def allowed_vehicles(self, bay: Bay) -> list[Vehicle]:
        """Vehicles with an allowed task in the bay."""
        return self._vehicles(bay, "allowed")

    def kept_fixed(self, bay: Bay) -> KeptFixed:
        """The covers, closed sides and padding of a bay on which its clearance and swing rest."""
        vehicles = self.allowed_vehicles(bay)
        fixed = any(side.stopped_by for v in vehicles for side in v.sides) or any(
            h.stopped_by for v in vehicles for h in v.hatches
        )
        tasks = (task for task in self.site.tasks if task.bay == bay.id and task.permission == "allowed")
        padding = tuple(dict.fromkeys(s.text for task in tasks for s in task.struck if s.text))
        return KeptFixed(fixed or bool(padding), padding)

    def swung_against(self, bay: Bay) -> Swung | None:
        """What the swing of a fall in a bay meets, over all its allowed tasks, and the most speed at which it does; None where it meets nothing."""
        met = [
            s
            for case in self.numbers.cases_of(bay.id, permission="allowed")
            for s in case.struck
            if s.measured and s.speed.si > 0
        ]
        if not met:
            return None
        flank = str(self.words["values"]["flank"])
        fastest = max(met, key=lambda s: s.speed.si)
        return Swung(tuple(dict.fromkeys(lower_first(s.what) if s.what else flank for s in met)), fastest.speed)

    def flows_alike(self) -> list[list[Bay]]:
        """The open bays in which product flows; those in which the same is done stand together."""
        found: dict[object, list[Bay]] = {}
        for bay in self.open_bays():
            if bay.flow:
                found.setdefault(tuple((step.step, step.by) for step in bay.flow), []).append(bay)
        return list(found.values())

    def posted_alike(self, posted: Iterable[Posting]) -> list[list[Posting]]:
        """Postings by paper, each with its places; papers that the same role keeps at the same places stand together, each told once."""
        by_paper: dict[str | None, list[Posting]] = {}
        for one in posted:
            by_paper.setdefault(one.document, []).append(one)
        found: dict[object, list[list[Posting]]] = {}
        for held in by_paper.values():
            found.setdefault(tuple(dict.fromkeys((p.place, p.kept_by) for p in held)), []).append(held)
        return [[posting for held in papers for posting in held] for papers in found.values()]

    def rails_alike(self) -> list[list[System]]:
        """The systems of the open bays whose rail has an anchorage; those for which the same is told stand together."""
        found: dict[object, list[System]] = {}
        open_ = {bay.id: bay for bay in self.open_bays()}
        for system in self.site.systems:
            bay, a = open_.get(system.bay), system.anchorage
            if bay is not None and bay.rail.part and a:
                key = (
                    a.designer,
                    a.designed_on,
                    a.design_load_all_users and a.design_load_all_users.si,
                    a.designed_for_users,
                    a.design_factor,
                    self.people_at_once(bay),
                )
                found.setdefault(key, []).append(system)
        return list(found.values())

    def people_at_once(self, bay: Bay) -> int | None:
        """The lower of what the chain allows and what the work plans."""
        chain, system = self.numbers.chain_of(bay.id), self.site.system_of(bay.id)
        numbers = []
        if chain is not None:
            numbers.append(chain.users)
        if system is not None:
            numbers.append(system.climbers_at_once)
        return min((n for n in numbers if n is not None), default=None)

    def up_together(self) -> list[tuple[tuple[str, ...], int]]:
        """How many climbers may be up on the whole site, where a shift allows fewer than the open bays take together.

        Each number with the names of its shifts; no name where it holds on every shift on which anybody climbs.
        """
        each = [self.people_at_once(bay) for bay in self.open_bays()]
        room = sum(n or 0 for n in each)
        climbing = [shift for shift in self.site.shifts if shift.climbing]
        found: dict[int, list[str]] = {}
        for shift in climbing:
            most = shift.climbers_at_once
            if most is not None and each and (None in each or most < room):
                found.setdefault(most, []).append(shift.name or shift.id)
        return [(() if len(names) == len(climbing) else tuple(names), most) for most, names in found.items()]

    def title_of(self, key: str) -> str:
        """Title of a role in the middle of a sentence."""
        role = self.site.role(key)
        return key if role is None else lower_first(role.title)

    def approvals_asked(self) -> tuple[str, ...]:
        """The parts whose approval the papers of the site need, in the order of the papers; none of those that no paper prints."""
        asked = [a for shown in papers() if shown.bound for a in needed_for(shown, self.site)]
        quiet = {a.part for shown in papers() for a in shown.approvals if a.quiet}
        return tuple(dict.fromkeys(a.part for a in asked if a.part not in quiet))

    def of_part(self, part: RolePart) -> Role | None:
        """The role that a paper means by a part: the first listed that has it."""
        role = self.site.role_of(part)
        if role is not None:
            self.collector.trace.read(plain(role), "part", role.part)
        return role

    def hung_at(self, document: str) -> tuple[str, ...]:
        """The places where a paper hangs; it rests on its own postings alone, and not on where another paper hangs."""
        found = [p for p in plain(self.site).posting if p.document == document and p.place is not None]
        for posting in found:
            self.collector.trace.read(posting, "document", posting.document)
        return tuple(traced(posting, self.collector.trace).place for posting in found)

    def done_by(self, key: str, on: date | None) -> str:
        """Who did something on a day: the title with the name that held the role then, the title alone where none is known.

        What is no role is printed as it stands. A later holder changes nothing here, and the name is in the trace by its day.
        """
        role = self.site.role(key)
        if role is None:
            return key
        title, known = role.title, plain(role)
        if on is None:
            return title
        holder = known.on(on)
        name = holder.called_on(on) if holder else None
        self.collector.trace.note(f"{known.path}.holders.{on.isoformat()}", name)
        return f"{title} ({name})" if name else title

    def titles_of(self, name: str, on: date) -> list[str]:
        """The titles of the roles that a person held on a day; a later holder changes nothing here."""
        found = []
        for role in plain(self.site).roles:
            holder = role.on(on)
            held = holder is not None and name in holder.names
            self.collector.trace.note(
                f"{role.path}.holders.{on.isoformat()}", holder.called_on(on) if holder is not None else None
            )
            if held:
                self.collector.trace.read(role, "title", role.title)
                found.append(role.title)
        return found

    # --- rescue -------------------------------------------------------------------------------------------------------

    def hanging_rows(self) -> list[Hang]:
        """Range of heights for each bay and vehicle with an allowed task, in a bay that is closed too: rescue goes on."""
        rows = []
        for bay in self.site.bays:
            held: Permission = "closed" if bay.closed.on else "allowed"
            for vehicle in self._vehicles(bay, held):
                cases = self.numbers.cases_of(bay.id, vehicle.id, held)
                seen = [(c.hang_high, c.hang_low, c.feet_high, c.feet_low) for c in cases]
                known = [(h, low, feet, least) for h, low, feet, least in seen if h and low and feet and least]
                if known:
                    high, low, feet_high, feet_low = zip(*known, strict=True)
                    ends = (_highest(high), _lowest(low), _highest(feet_high), _lowest(feet_low))
                    rows.append(Hang(bay.name, vehicle.name, *ends))
        return rows

    def merged_times(self) -> list[tuple[RescueRow, str]]:
        """Rescue rows with the names of all shifts for which every figure is the same."""
        groups: dict[tuple[Any, ...], list[RescueRow]] = {}
        for row in self.numbers.rescues:
            figures = tuple(None if q is None else q.si for q in (row.contact, row.ground))
            key = (
                row.bay,
                row.vehicle,
                row.method,
                row.persons_needed,
                row.persons_there,
                figures,
                row.within,
            )
            groups.setdefault(key, []).append(row)
        merged = []
        for rows in groups.values():
            shifts = [(self.site.shift(r.shift), r.shift) for r in rows]
            merged.append((rows[0], ", ".join((s.name if s else None) or key for s, key in shifts)))
        return merged

    def detection(self, shift: Shift) -> str:
        """Longest time until a fall is known."""
        seconds = detection_time(shift)
        if seconds is None:
            return self.phrase("not_computed")
        return self.phrase("at_once") if seconds == 0 else units.show(seconds, "time", self.system, toward="up")


def _same(q: Quantity | None) -> object:
    return None if q is None else (q.text, q.unit, q.how, q.by, q.on, q.tolerance_stated, q.tolerance)


def _highest(of: Iterable[Quantity]) -> Quantity:
    return max(of, key=lambda q: q.si)


def _lowest(of: Iterable[Quantity]) -> Quantity:
    return min(of, key=lambda q: q.si)


def rests_on_units(site: Site, trace: Trace) -> None:
    """Note what the system of units was chosen by: the profile, else the law of the place."""
    name = "units" if site.site.units else "jurisdiction"
    trace.read(site.site, name, getattr(site.site, name))


def held_together(text: str) -> str:
    """A number and its unit never part at a line's end: no-break spaces, except before the bracket."""
    return text.replace(" ", "\u00a0").replace("\u00a0(", " (")


def filters(words: Mapping[str, Any], trace: Trace) -> Mapping[str, Callable[..., Any]]:
    """Filters of one composition that need neither its figures nor its language."""
    approvals = words["approvals"]
    choosing: Mapping[str, Callable[..., Any]] = {
        "least": lambda records, name: min(records, key=lambda r: getattr(r, name).si),
        "in_turn": _in_turn,
        "slowest": _slowest,
        "estimated": _estimated,
        "timelines": _timelines,
        "closures": _closures,
        "step_number": lambda key, method: _step_number(key, method, words["phrases"]["step"]),
    }
    return {name: tracing(function, trace) for name, function in choosing.items()} | {
        "first_or_none": lambda records: next(iter(records), None),
        "flat": lambda values: list(dict.fromkeys(v for value in values for v in (value or ("standing",)))),
        "symbol": lambda text: Markup(f"`{text}`"),
        "formula": _formula,
        "dashless": lambda text: text.replace("-", " "),
        "language_name": lambda code: words["terms"].get(code, code),
        "rules_read": lambda code: words["terms"].get(f"rules-read-{code}", ""),
        "approval": lambda key: approvals.get(key, key.replace("-", " ")),
        "capital": lambda text: text[:1].upper() + text[1:],
        "lower_first": lower_first,
        "place": part_name,
        "solid": lambda text: text.replace(" ", "\u00a0").replace("-", "\u2011"),
        "bare_number": lambda text: text.partition("\u00a0")[0],
        "bare": lambda text: text.rstrip(" .;"),
        "before_remark": lambda text: text.partition(";")[0],
        "kept": lambda text: lower_first(re.split(r"[,;]", text)[0]),
        "round_plain": lambda number: f"{number:g}",
        "spans": lambda numbers: _spans(numbers, words["phrases"]["span"], words["terms"]["and"]),
        "first_sentence": lambda text: re.split(r"(?<=[.!?])\s+(?=[A-Z])", text)[0],
        "after_dot": lambda name: name.partition(".")[2],
        "last_name": lambda fields: ", ".join(dict.fromkeys(name.rpartition(".")[2] for name in fields.split(", "))),
    }


def lower_first(text: str) -> str:
    """First letter lowered, unless the first word is an abbreviation or a name in capitals."""
    word = text.split(" ", 1)[0]
    return text if len(word) > 1 and word.isupper() else text[:1].lower() + text[1:]


def _spans(numbers: Iterable[int], span: str, last: str) -> str:
    """Numbers in order, runs of three and more shortened: `1, 2 and 5 to 9`."""
    runs: list[list[int]] = []
    for n in sorted(set(numbers)):
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    said = [
        part for run in runs for part in ([span.format(first=run[0], last=run[-1])] if len(run) > 2 else [str(n) for n in run])
    ]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} {last} {said[-1]}"


def _step_number(key: str, method: Method, form: str) -> str:
    place = next((n for n, s in enumerate(method.steps, 1) if s.id == key), None)
    return form.format(n=place) if place else key


def _estimated(methods: Iterable[Method]) -> list[str]:
    """The names of the methods of which a step has no time taken from a drill."""

    def drilled(method: Method) -> bool:
        times = [s.time.worst or s.time.likely or s.time.best for s in method.steps]
        return all(time is not None and time.how == "drill" for time in times)

    return [method.name for method in methods if method.steps and not drilled(method)]


def _in_turn(records: Iterable[Node], name: str) -> list[list[Node]]:
    """Records in their order, those next to each other together that name the same one."""
    return [list(group) for _, group in groupby(records, key=lambda record: getattr(record, name))]


def _slowest(rows: Iterable[RescueRow]) -> list[RescueRow]:
    """For each bay, vehicle and method the row with the longest time to the ground."""
    best: dict[tuple[str, str, str], RescueRow] = {}
    for row in rows:
        key = (row.bay, row.vehicle, row.method)
        if key not in best or _ground(row) > _ground(best[key]):
            best[key] = row
    return list(best.values())


def _closures(rows: Iterable[RescueRow], method: str) -> list[RescueRow]:
    """For each bay in which a method is closed one row that says why."""
    return list({row.bay: row for row in reversed(list(rows)) if row.method == method and row.closed}.values())[::-1]


def _ground(row: RescueRow) -> float:
    return row.ground.si if row.ground is not None else float("inf")


def _timelines(rows: Iterable[RescueRow]) -> list[RescueRow]:
    """For each method of the site's own the slowest row that has a timeline."""
    best: dict[str, RescueRow] = {}
    for row in rows:
        if row.timings and row.kind != "outside" and (row.method not in best or _ground(row) > _ground(best[row.method])):
            best[row.method] = row
    return list(best.values())


def _formula(text: str) -> Markup:
    """A formula as code; a short one stays in one line."""
    return Markup(f"`{text if len(text) > 30 else text.replace(' ', chr(0xA0))}`")
