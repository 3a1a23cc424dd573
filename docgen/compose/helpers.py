"""Functions and filters for templates. They decide nothing: they pick, order and format what assess has computed.

Whatever they read of the model goes through `Reader`, so that the trace of a clause stays complete.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from docgen import units
from docgen.compose.environment import Collector
from docgen.compose.escape import Markup, escape
from docgen.compose.figures import FIGURES, Say, caption, reads
from docgen.compose.lawful import Lawful
from docgen.engineering.further import mass_shares
from docgen.engineering.model import Assumed, Case, RescueRow, Working
from docgen.engineering.rescues import detection_time
from docgen.errors import TemplateError
from docgen.findings.model import Assessment
from docgen.site import Bay, Method, Node, Quantity, Shift, Site, Vehicle
from docgen.trade.practice import practice

__all__ = ["Helpers", "filters"]


@dataclass(frozen=True, slots=True)
class Hang:
    """Heights at which a person hangs over one bay and vehicle."""

    bay: str
    vehicle: str
    ring_high: Quantity
    ring_low: Quantity
    feet_high: Quantity
    feet_low: Quantity


class Helpers:
    """The functions of one composition, bound to its site, assessment, words and collector."""

    def __init__(
        self, site: Site, assessed: Assessment, words: Mapping[str, Any], collector: Collector, lawful: Lawful | None = None
    ) -> None:
        self.site, self.assessed, self.words, self.collector = site, assessed, words, collector
        self.system = assessed.system
        self.lawful = lawful
        if lawful is not None:
            lawful.bind(site, assessed, words, collector)

    def functions(self) -> dict[str, Any]:
        """Name in the templates -> function."""
        names = (
            "input_row", "assumed_values", "held_still", "held_still_all", "released_by_all", "allowed_vehicles", "banned_vehicles",
            "people_at_once", "title_of", "deciders", "offset_rows", "merged_times", "hanging_rows", "detection", "method_name", "substituted", "population_shares", "blank", "flag", "figure", "parking_case",
        )  # fmt: skip
        return {name: getattr(self, name) for name in names} | (self.lawful.functions() if self.lawful else {})

    def get(self, node: Node, name: str) -> Any:
        """A traced read."""
        value = getattr(node, name)
        self.collector.trace.read(node, name, value)
        return value

    def phrase(self, key: str) -> str:
        try:
            return self.words["phrases"][key]
        except KeyError:
            raise TemplateError(f"{self.collector.document}: the words have no phrase '{key}'") from None

    def blank(self, what: str) -> Markup:
        """A marked blank that must be filled in by hand, told what belongs there."""
        return Markup(f"**{escape(what)}**{{: .blank }}")

    def flag(self, text: str) -> Markup:
        """Words that must catch the eye."""
        return Markup(f"**{escape(text)}**{{: .flag }}")

    def figure(self, kind: str, record: Case | RescueRow) -> Markup:
        """A drawing of a case or a rescue row as a block of its own; empty where too little is known to draw it."""
        if kind not in FIGURES:
            raise TemplateError(f"{self.collector.document}: there is no figure '{kind}'; there are: {', '.join(FIGURES)}")
        say = Say(self.words, self.system)
        drawing = FIGURES[kind](record, self.site, say)
        for node, name in reads(kind, record, self.site):
            self.get(node, name)
        if drawing is None:
            return Markup("")
        self.collector.figures[drawing.name] = drawing
        return Markup(f"![{escape(caption(kind, record, self.site, say))}](figure:{drawing.name})\n{{: #f.{drawing.name} }}")

    # --- plan ---------------------------------------------------------------------------------------------------------

    def input_row(self, what: str, quantity: Quantity | None) -> Markup:
        """A table row: what, value, tolerance, evidence; a missing value is a marked blank."""
        if quantity is None:
            return Markup(f"| {escape(what)} | {self.blank(self.phrase('missing_value'))} | – | – |")
        tolerance = "–"
        if quantity.tolerance:
            tolerance = "\u00b1 " + units.show(quantity.tolerance, quantity.kind, self.system, toward="up")
        how = self.words["terms"][quantity.how or "stated"]
        by = self.site.role(quantity.by)
        evidence = [how, by.title if by else quantity.by, quantity.on.isoformat() if quantity.on else None]
        cells = (what, self.collector.show(quantity), tolerance, ", ".join(e for e in evidence if e))
        return Markup("| " + " | ".join(escape(c) for c in cells) + " |")

    def offset_rows(self) -> list[Case]:
        """For each allowed task and posture the side with the smallest largest offset."""
        best: dict[tuple[str, str], Case] = {}
        for case in self.assessed.cases:
            if case.permission != "allowed" or case.largest_worst is None:
                continue
            key = (case.task, case.posture)
            if key not in best or case.largest_worst.si < best[key].largest_worst.si:
                best[key] = case
        return list(best.values())

    def parking_case(self, bay: Bay) -> Case | None:
        """The allowed case of a bay that leaves a vehicle the least room to either side of its mark."""
        cases = [c for c in self.assessed.cases_of(bay.id, permission="allowed") if c.allowance_left and c.allowance_right]
        return min(cases, key=lambda c: min(c.allowance_left.si, c.allowance_right.si), default=None)

    def assumed_values(self) -> list[Assumed]:
        """Every value taken from practice, once, in order of first use."""
        found: dict[str, Assumed] = {}
        for case in self.assessed.cases:
            for value in case.assumed:
                found.setdefault(value.name, value)
        return list(found.values())

    def held_still(self, bay: Bay) -> list[str]:
        """How a vehicle is held still in one bay."""
        control = bay.control
        items = [self.phrase(name) for name in ("brake_set", "chocks") if self.get(control, name)]
        items += [self.get(control, name) for name in ("derail", "keys") if self.get(control, name)]
        return [item[:1].lower() + item[1:] if item[1:2].islower() else item for item in items]

    def substituted(self, step: Working) -> str:
        """The values put into a formula: `h = 9.000 ft; x = 4.061 ft`."""
        return "; ".join(
            held_together(f"{i.symbol} = {units.exact(i.value.si, i.value.kind, self.system, both=False)}") for i in step.inputs
        )

    def population_shares(self) -> list[dict[str, str]]:
        """Published populations with the estimated share above the limit, in whole percent, never none where there is some."""
        rows = []
        if self.site.country != "US":  # the populations are of that country
            return rows
        for name, share, _ in mass_shares(self.site):
            figure = practice(name)
            percent = self.phrase("fewer_than_one") if share < 0.01 else self.phrase("about").format(n=round(share * 100))
            rows.append({"name": name, "percent": percent, "source": figure.source})
            self.collector.cited.setdefault(figure.source, figure)
        if rows:
            self.get(self.site.limits.user, "max")
        return rows

    def method_name(self, key: str) -> str:
        method = next((m for m in self.site.rescue.methods if m.id == key), None)
        return key if method is None else f"{key}: {self.get(method, 'name')}"

    # --- notice -------------------------------------------------------------------------------------------------------

    def held_still_all(self) -> list[str]:
        """How vehicles are held still, over all bays, each thing once, without names of places."""
        items = [self.phrase(n) for n in ("brake_set", "chocks") if any(self.get(b.control, n) for b in self.site.bays)]
        for name in ("keys", "derail"):
            if any(self.get(b.control, name) for b in self.site.bays):
                items.append(self.phrase(f"{name}_short"))
        return items

    def released_by_all(self) -> Markup:
        """Titles of those who may release a vehicle."""
        keys = dict.fromkeys(self.get(b.control, "released_by") for b in self.site.bays)
        roles = [self.site.role(k) for k in keys if k]
        if not roles:
            return self.blank(self.phrase("role"))
        titles = [self.get(r, "title") for r in roles]
        return escape(f" {self.words['terms']['or']} ".join(t[:1].lower() + t[1:] for t in titles))

    def _vehicles(self, bay: Bay, permission: str) -> list[Vehicle]:
        keys = dict.fromkeys(
            self.get(t, "vehicle") for t in self.site.tasks if t.bay == bay.id and self.get(t, "permission") == permission
        )
        return [v for v in (self.site.vehicle(k) for k in keys) if v is not None]

    def allowed_vehicles(self, bay: Bay) -> list[Vehicle]:
        """Vehicles with an allowed task in the bay."""
        return self._vehicles(bay, "allowed")

    def banned_vehicles(self, bay: Bay) -> list[Vehicle]:
        """Vehicles that are listed for the bay but with no allowed task."""
        allowed = {v.id for v in self._vehicles(bay, "allowed")}
        return [v for v in self._vehicles(bay, "prohibited") if v.id not in allowed]

    def people_at_once(self, bay: Bay) -> int | None:
        """The lower of what the chain allows and what the work plans."""
        chain, system = self.assessed.chain_of(bay.id), self.site.system_of(bay.id)
        numbers = []
        if chain is not None:
            numbers.append(self.get(chain, "users"))
        if system is not None:
            numbers.append(self.get(system, "users_at_once"))
        return min((n for n in numbers if n is not None), default=None)

    def deciders(self) -> list[str]:
        """Who decides on a breach, with the steps: `shift supervisor (1, 2)`."""
        steps: dict[str, list[str]] = {}
        for place, step in enumerate(self.site.contractors.enforcement, 1):
            key = self.get(step, "decided_by")
            number = self.get(step, "step")
            if key:
                steps.setdefault(self.title_of(key), []).append(str(place if number is None else number))
        return [f"{title} ({', '.join(numbers)})" for title, numbers in steps.items()]

    def title_of(self, key: str) -> str:
        """Title of a role in the middle of a sentence."""
        role = self.site.role(key)
        return key if role is None else _lower_first(self.get(role, "title"))

    # --- rescue -------------------------------------------------------------------------------------------------------

    def hanging_rows(self) -> list[Hang]:
        """Range of heights for each bay and vehicle with an allowed task."""
        rows = []
        for bay in self.site.bays:
            for vehicle in self.allowed_vehicles(bay):
                cases = [c for c in self.assessed.cases_of(bay.id, vehicle.id, "allowed") if c.hang_high is not None]
                if not cases:
                    continue
                high = max(cases, key=lambda c: c.hang_high.si)
                low = min(cases, key=lambda c: c.hang_low.si)
                for case, name in ((high, "hang_high"), (low, "hang_low"), (high, "feet_high"), (low, "feet_low")):
                    self.get(case, name)
                rows.append(Hang(bay.name, vehicle.name, high.hang_high, low.hang_low, high.feet_high, low.feet_low))
        return rows

    def merged_times(self) -> list[tuple[RescueRow, str]]:
        """Rescue rows with the names of all shifts for which every figure is the same."""
        groups: dict[tuple[Any, ...], list[RescueRow]] = {}
        for row in self.assessed.rescues:
            figures = tuple(None if q is None else q.si for q in (row.contact, row.ground))
            key = (
                row.bay,
                row.vehicle,
                row.method,
                row.persons_needed,
                row.persons_there,
                figures,
                row.within,
                row.basis,
                row.drill,
            )
            groups.setdefault(key, []).append(row)
        merged = []
        for rows in groups.values():
            shifts = [self.site.shift(r.shift) for r in rows]
            merged.append((rows[0], ", ".join(self.get(s, "name") or s.id for s in shifts)))
        return merged

    def detection(self, shift: Shift) -> str:
        """Longest time until a fall is known."""
        watch = shift.watch
        for name in ("how", "interval", "confirm"):
            self.get(watch, name)
        seconds = detection_time(shift)
        if seconds is None:
            return self.phrase("not_computed")
        return self.phrase("at_once") if seconds == 0 else units.show(seconds, "time", self.system, toward="up")


def held_together(text: str) -> str:
    """A number and its unit never part at a line's end: no-break spaces, except before the bracket."""
    return text.replace(" ", "\u00a0").replace("\u00a0(", " (")


def filters(system: str, words: Mapping[str, Any]) -> dict[str, Any]:
    """Filters of one composition."""
    approvals = words["approvals"]
    return {
        "flat": lambda values: list(dict.fromkeys(v for value in values for v in (value or ("standing",)))),
        "least": lambda records, name: min(records, key=lambda r: getattr(r, name).si),
        "latest": lambda records, name: max(
            (r for r in records if getattr(r, name) is not None), key=lambda r: getattr(r, name), default=None
        ),
        "first_or_none": lambda records: next(iter(records), None),
        "slowest": _slowest,
        "timelines": _timelines,
        "symbol": lambda text: Markup(f"`{text}`"),
        "formula": _formula,
        "figure_shown": lambda figure: held_together(units.show(figure.si, figure.kind, system, toward="nearest")),
        "exact": lambda quantity: held_together(units.exact(quantity.si, quantity.kind, system)),
        "dashless": lambda text: text.replace("-", " "),
        "step_number": lambda key, method: _step_number(key, method, words["phrases"]["step"]),
        "approval": lambda key: approvals.get(key, key.replace("-", " ")),
        "capital": lambda text: text[:1].upper() + text[1:],
        "lower_first": _lower_first,
        "solid": lambda text: text.replace(" ", "\u00a0").replace("-", "\u2011"),
        "bare": lambda text: text.rstrip(" ."),
        "kept": lambda text: _lower_first(re.split(r"[,;]", text)[0]),
        "round_plain": lambda number: f"{number:g}",
    }


def _lower_first(text: str) -> str:
    """First letter lowered, unless the first word is an abbreviation or a name in capitals."""
    word = text.split(" ", 1)[0]
    return text if len(word) > 1 and word.isupper() else text[:1].lower() + text[1:]


def _step_number(key: str, method: Method, form: str) -> str:
    place = next((n for n, s in enumerate(method.steps, 1) if s.id == key), None)
    return form.format(n=place) if place else key


def _slowest(rows: Iterable[RescueRow]) -> list[RescueRow]:
    """For each bay, vehicle and method the row with the longest time to the ground."""
    best: dict[tuple[str, str, str], RescueRow] = {}
    for row in rows:
        key = (row.bay, row.vehicle, row.method)
        if key not in best or _ground(row) > _ground(best[key]):
            best[key] = row
    return list(best.values())


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
