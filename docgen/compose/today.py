"""What the sheets of a day ask of the site and of the log: who is there, what falls due, what was measured, what happened in a year.

Nothing is judged here: states, findings and due dates are those of the assessment.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from docgen.compose.contexts import SheetContext
from docgen.engineering.drills import Measured, all_measured, last_of_each
from docgen.engineering.dues import DueTogether, due_together
from docgen.engineering.model import Due, Duty
from docgen.errors import TemplateError
from docgen.findings.model import BayState
from docgen.findings.states import CLIMBED_BY, bays_of, hangs_nowhere, without_revision
from docgen.papers import found as found_paper
from docgen.site import Bay, Part, Shift, Vehicle
from docgen.site.log import KINDS, OWN, Breach, ClimbLookedAt, Entry, NearMiss
from docgen.site.people import User
from docgen.site.vehicles import Hatch
from docgen.words import finding_text

__all__ = ["Covered", "Practised", "Today", "Together"]

READ_OR_ISSUED = ("lockout", "permit", "gas-test")  # steps against energy and product that leave a number or a reading
SOON = timedelta(days=30)
YEAR = timedelta(days=365)
#: So many findings are told of a bay that is closed for the day; the check lists all.
TOLD = 3
#: What a shift rests on: each part, training and check; a review or a licence voids no shift sheet.
VOIDS: tuple[Duty, ...] = (
    "inspection", "end-of-service", "training", "rescue-practical", "drill", "contact-test", "kit-check", "posting-check",
)  # fmt: skip
#: Posts that stand beside their bay and not in the list of the shift.
AT_BAY = ("climber", "attendant")
#: Kinds of parts that bear a label with figures of a fall.
LABELLED = ("rail", "trolley", "connector", "srd", "lanyard", "harness", "swivel", "hook")
CHAIN = ("caller", "backup", "guide", "leader")


@dataclass(frozen=True, slots=True)
class Covered:
    """Which post is given up first where one is absent, and which role then closes the bay; `shifts` are empty where it holds on all."""

    shifts: tuple[str, ...]
    drops_first: str | None
    closes: str | None


@dataclass(frozen=True, slots=True)
class Practised:
    """Of the rescuers of one shift those who practised in the last year, and the own methods that nobody practised there on record."""

    shift: str
    rescuers: int
    done: int
    never: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Together:
    """Those who may climb of whom the same is on record."""

    ids: tuple[str, ...]
    employer: str | None
    shifts: tuple[str, ...]
    languages: tuple[str, ...]


class Today:
    """The functions of one sheet of a day."""

    def __init__(self, context: SheetContext, words: Mapping[str, Any]) -> None:
        self.context = context
        self.site, self.happened, self.assessed = context.inner.site, context.happened, context.assessed
        self.words = words

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function."""
        names = (
            "climbed", "hatches_alike", "labelled", "void_on", "next_due", "bay_due", "posts", "sealed", "covers", "asked_first", "due_soon", "due_groups", "practised", "near_misses",
            "breaches", "entries", "day_words", "behind", "trained_together", "class_name", "looked_at", "slow_methods", "paper_name", "not_in_force", "outdated", "hangs_nowhere",
        )  # fmt: skip
        return {name: getattr(self, name) for name in names}

    # --- what there is --------------------------------------------------------------------------------------------------

    def climbed(self, bay: Bay) -> list[Vehicle]:
        """The vehicles of a bay that somebody climbs or would climb were it open; every vehicle where the bay has no task yet."""
        tasks = [t for t in self.site.tasks if t.bay == bay.id]
        named = {t.vehicle for t in tasks if t.permission in ("allowed", "closed")}
        return [v for v in self.site.vehicles if v.id in named or not tasks]

    def hatches_alike(self, vehicle: Vehicle) -> list[tuple[tuple[int, ...], Hatch]]:
        """The hatches of a vehicle by number from its front; those of one width and one floor stand together."""
        found: dict[tuple[str, str], list[int]] = {}
        for n, hatch in enumerate(vehicle.hatches, 1):
            key = (hatch.size.text if hatch.size else "", hatch.lower.text if hatch.lower else "")
            found.setdefault(key, []).append(n)
        return [(tuple(numbers), vehicle.hatches[numbers[0] - 1]) for numbers in found.values()]

    def labelled(self, bay: Bay) -> list[Part]:
        """The parts whose labels say what a person may weigh or how far they let one fall: the load path of the bay, and the kits of its rescue."""
        system = self.site.system_of(bay.id)
        path = self.site.load_path(system) if system is not None else ()
        vehicles = {v.id for v in self.climbed(bay)}
        kits = (k for m in self.site.rescue.methods if not vehicles.isdisjoint(m.vehicles) for k in m.kits)
        found = dict.fromkeys([*(p.id for p in path if p.kind in LABELLED), *kits])
        return [part for key in found if (part := self.site.part(key)) is not None]

    # --- who is there ---------------------------------------------------------------------------------------------------

    def _climbing(self) -> list[Shift]:
        return [s for s in self.site.shifts if s.climbing]

    def posts(self) -> list[tuple[str, tuple[str, ...]]]:
        """Every post of the climbing shifts that does not stand at a bay, each once, and whoever the chain names beside them.

        With each what it does of `CHAIN` on every climbing shift.
        """
        shifts = self._climbing()
        named = dict.fromkeys(p.post for s in shifts for p in s.posts if p.part not in AT_BAY)
        at_bay = {p.post.casefold() for s in shifts for p in s.posts if p.part in AT_BAY}
        does: dict[str, dict[str, int]] = {name: {} for name in named}
        by_name = {name.casefold(): name for name in named}
        for shift in shifts:
            for key in CHAIN:
                who = getattr(shift.chain, key)
                if who and who.casefold() not in at_bay:
                    counts = does.setdefault(by_name.setdefault(who.casefold(), who), {})
                    counts[key] = counts.get(key, 0) + 1
        return [(name, tuple(k for k in CHAIN if done.get(k) == len(shifts))) for name, done in does.items()]

    def sealed(self) -> list[tuple[str, tuple[str, ...]]]:
        """The kits of the rescue as boxes to fill in: those under a seal, and those that must be in their place; one box where no place is given."""
        shown = str(self.words["terms"]["kits-sealed"]), str(self.words["terms"]["kits-placed"])
        places = self.site.rescue.kit_places
        by_seal = ([p.kit for p in places if p.sealed], [p.kit for p in places if not p.sealed])
        found: list[tuple[str, tuple[str, ...]]] = [
            (f"{said}: {', '.join(k for k in kits if k)}", ()) for said, kits in zip(shown, by_seal, strict=True) if kits
        ]
        return found or [(shown[0], ())]

    def covers(self) -> list[Covered]:
        """What is given up first where a post is absent; shifts that say the same stand together."""
        shifts = self._climbing()
        found: dict[tuple[str | None, str | None], list[str]] = {}
        for shift in shifts:
            if shift.cover.drops_first or shift.cover.closes:
                found.setdefault((shift.cover.drops_first, shift.cover.closes), []).append(shift.name or shift.id)
        return [Covered(() if len(names) == len(shifts) else tuple(names), *key) for key, names in found.items()]

    def asked_first(self) -> list[tuple[str, tuple[str, ...]]]:
        """What is read or issued before a climb in a bay that is open today: kinds of step against energy and product, in one order.

        Each with the names of the bays where it is; of none where it is in all of them.
        """
        shown = {state.bay for state in self.assessed.bays if not state.shut}
        bays = [bay for bay in self.site.bays if bay.id in shown]
        found = []
        for kind in READ_OR_ISSUED:
            names = tuple(bay.name for bay in bays if any(step.kind == kind for step in bay.energy))
            if names:
                found.append((kind, () if len(names) == len(bays) else names))
        return found

    # --- what falls due -------------------------------------------------------------------------------------------------

    def void_on(self) -> DueTogether | None:
        """What falls due next of all that a shift rests on; what is overdue closes its bay and is not looked at."""
        coming = [d for d in self.assessed.dues if d.what in VOIDS and d.due is not None and d.due >= self.assessed.as_of]
        return next(iter(self._together(coming)), None)

    def next_due(self) -> DueTogether | None:
        """What falls due first of all that falls due later, whatever rests on it."""
        return next((d for d in self.due_groups() if d.due is not None and d.due >= self.assessed.as_of), None)

    def bay_due(self, bay: Bay) -> DueTogether | None:
        """The parts of the load path of a bay whose inspection falls due first."""
        system = self.site.system_of(bay.id)
        mine = {p.id for p in self.site.load_path(system)} if system is not None else set()
        dues = [d for d in self.assessed.dues if d.what == "inspection" and d.id in mine and d.due is not None]
        return next(iter(self._together(dues)), None)

    def due_groups(self) -> list[DueTogether]:
        """All that falls due, soonest first; what was never done stands at the head."""
        return self._together(self.assessed.dues)

    def due_soon(self) -> list[DueTogether]:
        """What is overdue, was never done or falls due in the next 30 days."""
        last = self.assessed.as_of + SOON
        return [d for d in self.due_groups() if d.due is None or d.due <= last]

    def _together(self, dues: Iterable[Due]) -> list[DueTogether]:
        """Equal rows of due dates as one, in the order of the first of each; a licence by the name of its holder."""
        return due_together(dues, {r.id: r.name or r.id for r in self.site.reviewers})

    # --- what happened --------------------------------------------------------------------------------------------------

    def practised(self) -> list[Practised]:
        """Each climbing shift: its rescuers, how many practised in the last 12 months, and the methods without a drill or exercise there."""
        since, rows = self.assessed.as_of - YEAR, []
        own = [m for m in self.site.rescue.methods if m.kind != "outside"]
        for shift in self._climbing():
            mine = [r for r in self.site.people.rescuers if shift.id in r.shifts]
            days = [self.happened.practical_of(r.id) for r in mine]
            done = sum(1 for entry in days if entry is not None and entry.on is not None and entry.on > since)
            never = tuple(m.id for m in own if not self.happened.drills_of(m.id, shift.id))
            rows.append(Practised(shift.name or shift.id, len(mine), done, never))
        return rows

    def near_misses(self) -> list[tuple[str, int]]:
        """Near misses by month of the last 12 months, the oldest first."""
        return sorted(Counter(d.isoformat()[:7] for d in self._days(NearMiss)).items())

    def breaches(self) -> list[tuple[str, int]]:
        """Breaches of the last 12 months by class."""
        since = self.assessed.as_of - YEAR
        found = Counter(b.class_ or "" for b in self.happened.of(Breach) if b.on is not None and b.on > since)
        return sorted(found.items())

    def _days(self, kind: type[Entry]) -> list[date]:
        since = self.assessed.as_of - YEAR
        return [e.on for e in self.happened.of(kind) if e.on is not None and e.on > since]

    def entries(self, kind: str) -> tuple[Entry, ...]:
        """Entries of a kind, as the log names it, up to the day. TemplateError for a kind that there is not."""
        if kind not in KINDS:
            raise TemplateError(f"the log has no entry '{kind}'; there are: {', '.join(KINDS)}")
        return self.happened.of(KINDS[kind])

    def looked_at(self) -> int:
        """How many climbs were looked at in the last 12 months."""
        return len(self._days(ClimbLookedAt))

    def class_name(self, key: str) -> str:
        """Who broke a rule: a class of contractors by its name, the own crew, or what the log says."""
        named = next((c.name for c in self.site.contractors.classes if c.id == key), None)
        return named or str(self.words["terms"]["own"] if key == OWN else key)

    def trained_together(self) -> list[Together]:
        """Those who may climb, with all who have the same employer, shifts, languages, day of training and fit in one row."""
        found: dict[tuple[object, ...], list[str]] = {}
        of: dict[tuple[object, ...], User] = {}
        for user in self.site.people.users:
            trained, fit = self.happened.training_of(user.id), self.happened.fit_of(user.id)
            key = (
                user.employer, user.shifts, user.languages, trained and (trained.on, trained.language), fit and (fit.on, fit.result),
            )  # fmt: skip
            found.setdefault(key, []).append(user.id)
            of.setdefault(key, user)
        return [Together(tuple(ids), of[key].employer, of[key].shifts, of[key].languages) for key, ids in found.items()]

    # --- in words -------------------------------------------------------------------------------------------------------

    def behind(self, state: BayState) -> list[str]:
        """What was found that closes a bay for the day, in sentences; the first few."""
        names = {name for reason in state.reasons for name in reason.findings}
        found = [
            f for f in self.assessed.findings
            if f.stops == "use" and f.name in names and state.bay in bays_of(self.site, f.about or f.path)
        ]  # fmt: skip
        inner = self.context.inner
        said = (finding_text(f, "message", inner.language, inner.numbers.system, inner.law.spelling) for f in found)
        return list(dict.fromkeys(said))[:TOLD]

    def slow_methods(self, state: BayState) -> list[Measured]:
        """The methods that a drill over the target closes in a bay, each once for its vehicle and shift; none where that closes the bay."""
        late = [m for m in last_of_each(all_measured(self.happened, self.assessed.rescues)) if m.late and m.bay == state.bay]
        once = {(m.method.id, m.drill.shift, m.drill.vehicle): m for m in late}
        return [] if state.shut else list(once.values())

    def not_in_force(self) -> list[str]:
        """Names of the papers without which nobody climbs in any bay, of which no revision is in force in this language."""
        states = {bound.body.document: bound.frame.in_force for bound in self.context.papers}
        return [self.paper_name(name) for name in without_revision(states.get)]

    def outdated(self) -> list[str]:
        """Names of the papers without which nobody climbs whose revision in force holds another text than the facts of today give."""
        frames = {bound.body.document: bound.frame for bound in self.context.papers}
        return [
            self.paper_name(name)
            for name in CLIMBED_BY
            if name in frames and frames[name].in_force is not None and frames[name].state != "issued"
        ]

    def hangs_nowhere(self, state: BayState) -> bool:
        """Whether the log knows no place where a paper that is about this bay, or about the whole site, hangs."""
        return hangs_nowhere(self.site, self.happened, state.bay)

    def paper_name(self, key: str) -> str:
        """Name of a paper in the middle of a sentence."""
        shown = found_paper(key)
        return shown.called_in(self.context.inner.language) if shown is not None else key

    def day_words(self, day: date) -> str:
        """A day in words."""
        phrases = self.words["phrases"]
        months = phrases["months"].split()
        return str(phrases["day_in_words"].format(day=day.day, month=months[day.month - 1], year=day.year))
