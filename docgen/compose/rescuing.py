"""The rescue as its papers print it: which method answers which row of the decision table, the chain of each shift, where none is ready.

What is decided here is decided from the rows of the calculation and the posts of each shift. A method counts where nothing closes it, its
limits of time are kept, its rescuers are there and each of its steps lies on posts that somebody holds. A whole bay has a rescue gap where
no shift has a rescue for any of its vehicles; the findings say what is lacking (`planned`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from docgen.compose.environment import Collector
from docgen.compose.reading import plain, traced, tracing
from docgen.engineering.gear import before_each
from docgen.engineering.model import Numbers, RescueRow
from docgen.engineering.ready import BELOW, METERED, stop_at
from docgen.engineering.rescues import detection_time
from docgen.findings.model import BayState
from docgen.site import Bay, Method, MethodStep, Part, Permission, Post, Quantity, Shift, Site, Vehicle
from docgen.site.facts import NONE_WORDS
from docgen.site.rescue import RescuePost

__all__ = ["Chained", "Decided", "Rescuing", "Timed", "Way"]

#: Rows that are answered by a method, and those in which nobody is lifted or unhooked: a method only holds from below, then help from outside comes.
FIRST = {"alarm", "stop", "call"}
ROWS, HELD = ("B", "C", "D", "E"), ("B", "C")


@dataclass(frozen=True, slots=True)
class Way:
    """How one row is answered: `where` says for which bays, shifts or vehicles (empty: everywhere), `methods` are numbers in order.

    `after` is the time after which the second one is started; `goes_up`: a rescuer has something to attach to there; `stop` is the number of
    the step after which the first method holds the person and goes no further, where it can; `kit`: the first method has a kit.
    """

    where: tuple[str, ...]
    methods: tuple[int, ...]
    after: Quantity | None = None
    goes_up: bool = False
    stop: int | None = None
    kit: bool = False


@dataclass(frozen=True, slots=True)
class Decided:
    """One row of the decision table, with its letter; `prepare` are the methods that are made ready meanwhile by the rescuers `by`, whom the
    method that is started leaves free on every shift; both are empty where it leaves none."""

    letter: str
    ways: tuple[Way, ...]
    prepare: tuple[int, ...] = ()
    by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Windy:
    """A method that wind stops: its number, the wind, for each method that follows it the rows in which it does; `left` are rows in which none does.

    `where` names the bays that have wind, where others of those asked for are inside a building.
    """

    method: int
    wind: Quantity
    instead: tuple[tuple[int, tuple[str, ...]], ...]
    left: tuple[str, ...]
    platform: bool
    where: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Hanging:
    """The heights of ring and feet of whoever hangs in a bay with one vehicle or, where `vehicle` is empty, with any: then `ring_low`, which no
    card prints, is the highest ring too.

    `low_down`, `high_down` and `ring_down`: whether the lowest feet, the highest feet and the lowest ring come down to what lies below them:
    then nobody hangs at that figure.
    """

    vehicle: str
    ring_high: Quantity
    ring_low: Quantity
    feet_low: Quantity
    feet_high: Quantity
    low_down: bool = False
    high_down: bool = False
    ring_down: bool = False


@dataclass(frozen=True, slots=True)
class Chained:
    """Who calls, backs up, guides and leads on some shifts; `shifts` is empty where it is the same on all.

    `attendant` is the post that watches, `opens` how the gate opens, `first_aid` whether a first-aider is there.
    """

    shifts: tuple[str, ...]
    caller: str | None
    backup: str | None
    guide: str | None
    leader: str | None
    attendant: str | None = None
    opens: tuple[str, ...] = ()
    first_aid: bool = False

    @property
    def posts(self) -> tuple[str, ...]:
        """The posts that have a part in it, each once, but for the attendant."""
        named = dict.fromkeys(p for p in (self.caller, self.backup, self.guide, self.leader) if p)
        return tuple(p for p in named if p != self.attendant)

    @property
    def meets(self) -> bool:
        """Whether whoever calls meets the ambulance too."""
        return self.caller is not None and self.caller == self.guide

    @property
    def stands_in(self) -> bool:
        """Whether whoever leads calls where nobody answers."""
        return self.leader is not None and self.leader == self.backup

    @property
    def others(self) -> tuple[str, ...]:
        """Guide and leader where they are not the caller: those whom the caller tells."""
        return tuple(dict.fromkeys(p for p in (self.guide, self.leader) if p and p != self.caller))


@dataclass(frozen=True, slots=True)
class Kept:
    """Kits that are kept at one place; None where none is told."""

    place: str | None
    kits: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Watched:
    """Who watches on some climbing shifts, and how; `shifts` is empty where it is the same on all, `shift` is one of them."""

    shifts: tuple[str, ...]
    by: str | None
    how: str | None
    shift: Shift
    at_once: bool = False


@dataclass(frozen=True, slots=True)
class Timed:
    """One method that can be counted on in a bay, on the shifts named: number, the longest times over the vehicles there, and its posts.

    `starts`: it is what these shifts start for whoever does not answer (row E), with some vehicle. `row` is the row with the longest time to the ground; times
    are None where a step has none.
    """

    shifts: tuple[str, ...]
    number: int
    contact: Quantity | None
    ground: Quantity | None
    posts: tuple[str, ...]
    starts: bool
    row: RescueRow


@dataclass(frozen=True, slots=True)
class _Spot:
    """One place of the decision: a bay, a vehicle and a shift."""

    bay: str
    vehicle: str
    shift: str


class Rescuing:
    """The functions of one composition on its rescue. All that is read is read under the trace of the clause being written."""

    def __init__(
        self, site: Site, numbers: Numbers, planned: Mapping[str, BayState], words: Mapping[str, Any], collector: Collector,
        public_number: Callable[[], str | None],
    ) -> None:  # fmt: skip
        self.site, self.numbers = traced(site, collector.trace), traced(numbers, collector.trace)
        self.planned, self.words, self.collector, self.public_number = planned, words, collector, public_number

    def functions(self) -> Mapping[str, Callable[..., Any]]:
        """Name in the templates -> function that reads the site; in a body it may be called inside a clause only."""
        names = (
            "rescue_gap", "rescued_bays", "closed_bays", "gap_bays", "unready_shifts", "decision", "windy", "chains", "callers", "method_number", "beside", "dangers_of", "metered", "lifted_by", "goes_up", "shut_in", "slow_in", "ring_front", "sees_from_phone", "red_stops", "kits_at", "kit_list", "anchor_ids", "address_line", "hanging_range", "hanging_in", "unrigged", "picture", "products", "first_steps", "in_chain", "own_steps", "watched", "crews", "done_by_posts", "prepared_in_time", "leader", "outside_number", "meter_limits", "rows_of", "stops_after", "wind_stops", "wind_in", "caller_phone", "called_back", "has_step", "attendant_calls", "timed_in", "counted_on",
        )  # fmt: skip
        return {name: tracing(getattr(self, name), self.collector.trace) for name in names}

    # --- where there is a rescue --------------------------------------------------------------------------------------------

    def rescue_gap(self, bay: Bay) -> bool:
        """Whether no shift has a rescue for any vehicle of a bay."""
        state = self.planned.get(bay.id)
        if state is None or not traced(state, self.collector.trace).rescue_lacks:
            return False
        return not any(self._ready(bay, shift) for shift in self._climbing())

    def closed_bays(self) -> list[Bay]:
        """The bays that are closed to work and keep their rescue."""
        return [bay for bay in self.rescued_bays() if self.planned[bay.id].shut]

    def rescued_bays(self) -> list[Bay]:
        """The bays that have a rescue, or of which it is not yet known."""
        return [bay for bay in self.site.bays if not self.rescue_gap(bay)]

    def gap_bays(self) -> list[Bay]:
        """The bays without any."""
        return [bay for bay in self.site.bays if self.rescue_gap(bay)]

    def unready_shifts(self, bay: Bay) -> list[str]:
        """Names of the climbing shifts without a rescue in a bay that has one on others."""
        state = self.planned.get(bay.id)
        if state is None or not traced(state, self.collector.trace).rescue_lacks:
            return []
        return [_name(shift) for shift in self._climbing() if not self._ready(bay, shift)]

    def _climbing(self) -> list[Shift]:
        return [shift for shift in self.site.shifts if shift.climbing]

    def _ready(self, bay: Bay, shift: Shift) -> bool:
        """Whether a shift has a rescue in a bay: numbers, phone, chain and set-down place, and a method for whoever does not answer."""
        chain = shift.chain
        known = (
            self.public_number(), bay.phone.place, self.site.rescue.set_down or bay.landing, chain.caller, chain.backup, chain.guide, chain.leader,
        )  # fmt: skip
        if not all(known):
            return False
        return any(self._method(row.method).unconscious is not False for row in self._works(bay.id) if row.shift == shift.id)

    def _works(self, bay: str) -> Iterator[RescueRow]:
        """The rows of a bay in which a method of the site can be counted on."""
        for row in self.numbers.rescues:
            method = self._method(row.method) if row.bay == bay else None
            if method is None or (row.kind == "outside" and not self._brigade(method)):
                continue
            there, needed = row.persons_there, row.persons_needed
            if row.closed or row.within is False or (there is not None and needed is not None and there < needed):
                continue
            if row.kind == "outside" or self._held(row, method):
                yield row

    def _counted_on(self, bay: str) -> tuple[RescueRow, ...]:
        """All of these rows, for what reads each of them."""
        return self.collector.trace.once(("counted-on", bay), lambda: tuple(self._works(bay)))

    def _brigade(self, method: Method) -> bool:
        brigade = self.site.rescue.brigade
        return bool(brigade.trained and brigade.on_site)

    def _held(self, row: RescueRow, method: Method) -> bool:
        """Whether each step lies on as many posts as it takes, and each of these is held by somebody."""
        shift = self.site.shift(row.shift)
        if shift is None or not shift.posts:
            return shift is not None
        asked = {f"{method.id}.{step.id}": max(len(step.who), 1) for step in method.steps}
        held = Counter[str]()
        for post in shift.posts:
            if (own := asked.keys() & set(post.steps)) and post.person is not None:
                held.update(own)
        return all(held[step] >= posts for step, posts in asked.items())

    def _method(self, key: str) -> Any:
        return next(m for m in self.site.rescue.methods if m.id == key)

    # --- the decision ---------------------------------------------------------------------------------------------------

    def method_number(self, key: str) -> int:
        """The place of a method in the list, by which the papers call it."""
        return next(n for n, m in enumerate(self.site.rescue.methods, 1) if m.id == key)

    def dangers_of(self, bays: Iterable[Bay]) -> list[str]:
        """The dangers of some bays, each once, in the order in which the profile may give them; with any of them fire, for what drives may burn."""
        given = {danger for bay in bays for danger in bay.dangers}
        given |= {"fire"} if given else set()
        return [danger for danger in ("fire", "gas", "spill", "live-wire", "loose-solids", "moving") if danger in given]

    def metered(self, bays: Iterable[Bay]) -> bool:
        """Whether one of these bays has a danger that a meter lifts."""
        return any(danger in METERED for bay in bays for danger in bay.dangers)

    def lifted_by(self, bays: Iterable[Bay]) -> str | None:
        """Titles of those who hold the meters of the bays that need one, in the middle of a sentence; None where one has no holder."""
        holders = [bay.meter.holder for bay in bays if any(danger in METERED for danger in bay.dangers)]
        roles = [self.site.role(key) if key else None for key in dict.fromkeys(holders)]
        if not roles or None in roles:
            return None
        titles = [role.title for role in roles if role is not None]
        return " or ".join(title[:1].lower() + title[1:] for title in titles)

    def meter_limits(self, bays: Iterable[Bay], first: bool) -> list[str]:
        """What the meter shows when rescuers may go in, each wording once; with the name of the bay where the bays differ.

        `first`: beside the step of the first minute that reads it; else for the row of the dangers, where no such step is listed.
        """
        if first is not any("meter" in step.does for step in self.first_steps()):
            return []
        said = [(bay.name, bay.meter.limit) for bay in bays if any(danger in METERED for danger in bay.dangers)]
        if len({limit for _, limit in said}) == 1:
            return [_lower(limit) for _, limit in said[:1] if limit]
        return [f"{name}: {_lower(limit)}" for name, limit in said if limit]

    def decision(self, bays: Iterable[Bay]) -> list[Decided]:
        """The rows B to E that a method of these bays answers, each with its ways."""
        asked = list(bays)
        found = {letter: self._decided(letter, asked) for letter in ROWS}
        if any(row.ways for row in found.values()):
            held = {letter: Decided(letter, (Way((), (), goes_up=self._all_up(asked)),)) for letter in HELD}
            found |= {letter: row for letter, row in held.items() if not found[letter].ways}
        return [row for row in found.values() if row.ways]

    def _decided(self, letter: str, bays: list[Bay]) -> Decided:
        spots = self._answers(letter, bays)
        groups: dict[tuple[str, ...], list[_Spot]] = {}
        for spot, methods in spots.items():
            groups.setdefault(methods, []).append(spot)
        if not any(groups):
            return Decided(letter, ())
        ways = []
        for methods, where in groups.items():
            first = self._method(methods[0]) if methods else None
            up = self._all_up([bay for bay in bays if bay.id in {s.bay for s in where}])
            places = () if len(groups) == 1 else self._places(where, list(spots))
            numbers = tuple(self.method_number(m) for m in methods)
            stop = self.stops_after(first) if first and letter in HELD else None
            ways.append(Way(places, numbers, first and first.next.after, up, stop, bool(first and first.kits)))
        free, next_ones = self._free(ways), self._prepared(letter, ways, bays)
        return Decided(letter, tuple(ways), next_ones if free else (), free if next_ones else ())

    def _all_up(self, bays: list[Bay]) -> bool:
        return bool(bays) and all(self.goes_up(bay) for bay in bays)

    def stops_after(self, method: Method) -> int | None:
        """The number, as listed, of the step after which a method holds whoever is caught or lies hurt; None where it cannot."""
        for name in ("kind", "contact_step"):
            self.collector.trace.read(method, name, getattr(method, name))
        held = stop_at(plain(method))
        listed = [step.id for step in self.own_steps(method)]
        return listed.index(held.id) + 1 if held is not None and held.id in listed else None

    def rows_of(self, method: Method) -> list[str]:
        """The rows of the decision table that a method answers."""
        return [letter for letter in method.rows if letter not in HELD or self.stops_after(method)]

    def _free(self, ways: list[Way]) -> tuple[str, ...]:
        """The rescuers who on every climbing shift have no step in a method with which a row begins."""
        begun = {self.site.rescue.methods[way.methods[0] - 1].id for way in ways if way.methods}
        every = [
            [p.post for p in shift.posts if p.part == "rescuer" and not begun & {step.partition(".")[0] for step in p.steps}]
            for shift in self._climbing()
        ]
        return tuple(_numbered([p for p in every[0] if all(p in other for other in every)])) if every else ()

    def timed_in(self, bay: Bay) -> list[Timed]:
        """Each of the site's own methods that can be counted on in a bay, by shift, what is started for whoever does not answer first; shifts with the same stand together."""
        answers, found = self._answers("E", [bay]), dict[tuple[Any, ...], tuple[list[str], RescueRow]]()
        for shift in self._climbing():
            mine: dict[str, list[RescueRow]] = {}
            for row in self._counted_on(bay.id):
                if row.shift == shift.id and row.kind != "outside":
                    mine.setdefault(row.method, []).append(row)
            started = {methods[0] for spot, methods in answers.items() if spot.shift == shift.id and methods}
            for key, rows in mine.items():
                contact, ground = (_longest(getattr(row, name) for row in rows) for name in ("contact", "ground"))
                last = max(rows, key=lambda row: row.ground.si if row.ground else 0.0)
                names = dict.fromkeys(turn.post for turn in last.turns)
                posts = tuple(_numbered([str(self._post(shift, name)) for name in names]))
                one = (self.method_number(key), contact and contact.si, ground and ground.si, posts, key in started)
                found.setdefault(one, ([], last))[0].append(_name(shift))
        timed = [
            Timed(
                tuple(shifts), number, self._slowest(bay, row, "contact"), self._slowest(bay, row, "ground"), posts, starts, row
            )
            for (number, _, _, posts, starts), (shifts, row) in found.items()
        ]
        return sorted(timed, key=lambda one: (not one.starts, one.number))

    def counted_on(self, bays: Iterable[Bay]) -> list[tuple[Method, list[str]]]:
        """The site's own methods that can be counted on in one of these bays, in their order, each with the names of the bays where it can."""
        works = {bay.name: {row.method for row in self._works(bay.id) if row.kind != "outside"} for bay in bays}
        found = [(method, [name for name, keys in works.items() if method.id in keys]) for method in self.site.rescue.methods]
        return [(method, names) for method, names in found if names]

    def _slowest(self, bay: Bay, of: RescueRow, name: str) -> Quantity | None:
        """The longest time of a method on the shift of a row, over the vehicles of the bay."""
        return _longest(
            getattr(row, name) for row in self._counted_on(bay.id) if (row.method, row.shift) == (of.method, of.shift)
        )

    def _prepared(self, letter: str, ways: list[Way], bays: list[Bay]) -> tuple[int, ...]:
        """What is made ready beside the method that is started: the next in its row, after D the first of E."""
        found = {way.methods[1]: None for way in ways if len(way.methods) > 1}
        if letter == "D":
            found |= {methods[0]: None for methods in map(self._numbered, self._answers("E", bays).values()) if methods}
        return tuple(found)

    def _numbered(self, methods: tuple[str, ...]) -> tuple[int, ...]:
        return tuple(self.method_number(m) for m in methods)

    def _answers(self, letter: str, bays: list[Bay]) -> dict[_Spot, tuple[str, ...]]:
        """For each place the site's own methods that answer a row there, in the order in which they are started."""
        found: dict[_Spot, list[str]] = {}
        for bay in bays:
            for row in self._counted_on(bay.id):
                if row.kind == "outside":
                    continue
                answers = found.setdefault(_Spot(row.bay, row.vehicle, row.shift), [])
                if letter in self.rows_of(self._method(row.method)):
                    answers.append(row.method)
        return {spot: tuple(methods) for spot, methods in found.items()}

    def _places(self, where: list[_Spot], every: list[_Spot]) -> tuple[str, ...]:
        """What tells some places from all: bays, else shifts, else vehicles, by name; else each place by all three."""
        names: tuple[tuple[str, Callable[[str], str]], ...] = (
            ("bay", self._bay),
            ("shift", self._shift),
            ("vehicle", self._vehicle),
        )
        for field, name in names:
            keys = dict.fromkeys(getattr(s, field) for s in where)
            if len([s for s in every if getattr(s, field) in keys]) == len(where):
                return tuple(name(key) for key in keys)
        return tuple(f"{self._bay(s.bay)}, {self._shift(s.shift)}, {self._vehicle(s.vehicle)}" for s in where)

    def _bay(self, key: str) -> str:
        bay = self.site.bay(key)
        return bay.name if bay is not None else key

    def _shift(self, key: str) -> str:
        shift = self.site.shift(key)
        return _name(shift) if shift is not None else key

    def _vehicle(self, key: str) -> str:
        vehicle = self.site.vehicle(key)
        return vehicle.name if vehicle is not None else key

    def picture(self, number: int | None) -> str | None:
        """The drawing of a method by its number: by what is done, by how many and, where a line is attached, from where; the engine of a fire
        service for help from outside. None for a method whose kind nobody told, so that none shows what a method does not have."""
        if number is None:
            return None
        method = self.site.rescue.methods[number - 1]
        few = "" if method.persons is not None and method.persons > 1 else "-one"
        match method.kind:
            case "self":
                return "method-back"
            case "assisted":
                return "method-back-helped"
            case "platform" | "ladder":
                return f"method-{method.kind}{few}"
            case "raise-and-lower" | "lower":
                act = "lower" if method.kind == "lower" else "raise"
                stand = method.attach_from
                return f"method-{act}-{stand}{few}" if stand is not None and stand != "rail" else f"method-{act}-alone"
            case "outside":
                return "method-outside"
            case _:
                return None

    def unrigged(self, bays: Iterable[Bay]) -> list[tuple[tuple[str, ...], int]]:
        """Where rail or frame is bent: the method that hangs on neither and stands on its own, with the bays, empty where all have the same.

        Only a method counts that answers for whoever does not answer (row E) on every climbing shift and vehicle of the bay.
        """
        asked = list(bays)
        found: dict[int, list[str]] = {}
        for bay in asked:
            answers = self._answers("E", [bay])
            free = [
                {
                    m
                    for m in methods
                    if self._method(m).kind in BELOW and not self._method(m).rescue_anchors and not self._method(m).anchor
                }
                for methods in answers.values()
            ]
            every = set.intersection(*free) if free else set()
            first = next((m.id for m in self.site.rescue.methods if m.id in every), None)
            if first is not None:
                found.setdefault(self.method_number(first), []).append(bay.name)
        alone = len(found) == 1 and len(next(iter(found.values()))) == len(asked)
        return [(() if alone else tuple(names), number) for number, names in found.items()]

    def goes_up(self, bay: Bay) -> bool:
        """Whether a rescuer has something to attach to in a bay: an anchor that holds a fall, or the rail where that is allowed."""
        return bool(bay.same_rail.allowed) or any(anchor.fall_arrest for anchor in bay.rescue_anchors)

    def windy(self, bays: Iterable[Bay]) -> list[Windy]:
        """For each method that wind stops what is done in its place in the rows that it answers; of bays inside a building nothing.

        What follows it in a row takes its place; what comes before it there stays, and after that help from outside is waited for.
        """
        every, found = list(bays), []
        asked = [bay for bay in every if bay.setting != "indoor"]
        where = tuple(bay.name for bay in asked) if len(asked) < len(every) else ()
        for method in self.site.rescue.methods:
            if method.wind_max is None:
                continue
            instead: dict[int, list[str]] = {}
            left = []
            for letter in ROWS:
                answers = [a for a in self._answers(letter, asked).values() if method.id in a]
                if not answers:
                    continue
                after = (a[a.index(method.id) + 1 :] for a in answers)
                others = {next((m for m in a if self._method(m).wind_max is None), None) for a in after}
                if None in others or len(others) > 1:
                    left.append(letter)
                else:
                    instead.setdefault(self.method_number(str(others.pop())), []).append(letter)
            if instead or left:
                other = tuple((n, tuple(letters)) for n, letters in instead.items())
                found.append(
                    Windy(self.method_number(method.id), method.wind_max, other, tuple(left), method.kind == "platform", where)
                )
        return found

    def wind_in(self, method: Method) -> list[str]:
        """Names of the bays in which wind stops a method: those with a rescue that are not inside a building; none where it has no limit."""
        return [bay.name for bay in self.rescued_bays() if bay.setting != "indoor"] if method.wind_max is not None else []

    def wind_stops(self, number: int, bays: Iterable[Bay]) -> bool:
        """Whether wind stops a method, by its number, in one of these bays."""
        return self.site.rescue.methods[number - 1].wind_max is not None and any(bay.setting != "indoor" for bay in bays)

    # --- people -----------------------------------------------------------------------------------------------------------

    def leader(self) -> str | None:
        """The post that leads on every climbing shift; None where the shifts differ or nobody says."""
        leaders = {chain.leader for chain in self.chains()}
        return leaders.pop() if len(leaders) == 1 else None

    def outside_number(self) -> int | None:
        """The number of help from outside, to which a rescue comes when the site's own methods fail; None where it is no method."""
        return next((n for n, m in enumerate(self.site.rescue.methods, 1) if m.kind == "outside"), None)

    def caller_phone(self) -> str | None:
        """The number of whoever calls for help, whom the bay phone reaches where the radio is dead; None where the shifts differ or it is not told."""
        found: set[str | None] = set()
        for shift in self._climbing():
            holder = next((p.person for p in shift.posts if p.post == shift.chain.caller), None)
            role = self.site.role(holder) if holder else None
            found.add(role.phone if role is not None else None)
        return found.pop() if len(found) == 1 else None

    def called_back(self) -> str | None:
        """Who answers at the number that is given for calling back, as listed; None where it is on no list or is that of the caller."""
        number = self.site.emergency.callback
        if number is None or number == self.caller_phone():
            return None
        return next((c.role for c in self.site.emergency.contacts if c.number == number and not c.private), None)

    def has_step(self, part: RescuePost) -> bool:
        """Whether a post has a step of its own in a method, after the alarm."""
        own = [method for method in self.site.rescue.methods if method.kind != "outside"]
        return any(part in step.who for method in own for step in self.own_steps(method))

    def attendant_calls(self) -> bool:
        """Whether whoever watches calls for help on some shift, or nobody says who calls: then the address is said at the bay."""
        chains = self.chains()
        return not chains or any(c.caller is None or (c.attendant and c.attendant in (c.caller, c.backup)) for c in chains)

    def chains(self) -> list[Chained]:
        """The chain of each climbing shift; shifts with the same one stand together."""
        groups: dict[tuple[Any, ...], list[str]] = {}
        for shift in self._climbing():
            chain = shift.chain
            attendant = next((self._called(p) for p in shift.posts if p.part == "attendant"), None)
            opens = tuple(dict.fromkeys(o.how for o in self.site.site.gate.opens if o.shift == shift.id and o.how is not None))
            posts = tuple(self._post(shift, name) for name in (chain.caller, chain.backup, chain.guide, chain.leader))
            groups.setdefault((*posts, attendant, opens, bool(shift.first_aiders)), []).append(_name(shift))
        alone = len(groups) == 1
        return [Chained(() if alone else tuple(held), *key) for key, held in groups.items()]

    def callers(self) -> list[Chained]:
        """Who calls and who backs up alone: shifts that differ only in the rest of their chain stand together."""
        groups: dict[tuple[str | None, str | None], list[str]] = {}
        for c in self.chains():
            groups.setdefault((c.caller, c.backup), []).extend(c.shifts)
        alone = len(groups) == 1
        return [Chained(() if alone else tuple(held), *pair, None, None) for pair, held in groups.items()]

    def _called(self, post: Post) -> str:
        """What a post is called: the one that watches by the word that all papers have for it."""
        own: str = self.words["approvals"]["attendant"]
        return own[:1].upper() + own[1:] if post.part == "attendant" else post.post

    def _post(self, shift: Shift, name: str | None) -> str | None:
        return next((self._called(p) for p in shift.posts if p.post == name), name)

    def watched(self) -> list[Watched]:
        """Who watches on each climbing shift; shifts with the same watch stand together."""
        groups: dict[tuple[Any, ...], list[Any]] = {}
        for shift in self._climbing():
            watch = shift.watch
            groups.setdefault((watch.by, watch.how, detection_time(plain(shift))), []).append(shift)
        alone = len(groups) == 1
        return [
            Watched(() if alone else tuple(map(_name, held)), by, how, plain(held[0]), seconds == 0) for (by, how, seconds), held in groups.items()
        ]  # fmt: skip

    def crews(self) -> list[tuple[tuple[str, ...], list[str], int | None]]:
        """Climbing shifts by name with the posts of their rescuers and the number of first-aiders; those with the same stand together."""
        groups: dict[tuple[tuple[str, ...], int | None], list[str]] = {}
        for shift in self._climbing():
            posts = tuple(p.post for p in shift.posts if p.part == "rescuer")
            groups.setdefault((posts, shift.first_aiders), []).append(_name(shift))
        return [(tuple(names), _numbered(list(posts)), aiders) for (posts, aiders), names in groups.items()]

    def sees_from_phone(self, bays: Iterable[Bay]) -> bool:
        """Whether the person is seen from the telephone of each of these bays."""
        return all(bay.phone.place and bay.phone.sees_person for bay in bays)

    def red_stops(self, bays: Iterable[Bay]) -> list[str]:
        """Places of the red stops of some bays, each once; none where one of them has none."""
        places = [bay.red_stop.place for bay in bays]
        known = [p for p in places if p and not _none(p)]
        return list(dict.fromkeys(known)) if len(known) == len(places) else []

    def kit_list(self, method: Method) -> list[Kept]:
        """The kits of a method by the place where they are kept, in the order of the method."""
        places = {place.kit: place.place for place in self.site.rescue.kit_places}
        found: dict[str | None, list[Part]] = {}
        for part in self.site.parts(method.kits):
            found.setdefault(places.get(part.id), []).append(plain(part))
        return [Kept(place, tuple(parts)) for place, parts in found.items()]

    def kits_at(self, methods: Iterable[Method]) -> list[str]:
        """Where the kits of these methods are kept, each place once."""
        kits = {kit for method in methods for kit in method.kits}
        return list(dict.fromkeys(p.place for p in self.site.rescue.kit_places if p.kit in kits and p.place))

    def ring_front(self, bays: Iterable[Bay]) -> bool:
        """Whether the line is hooked to the ring on the chest in one of these bays."""
        ids = {bay.id for bay in bays}
        return any(system.attachment == "sternal" for system in self.site.systems if system.bay in ids)

    def anchor_ids(self, bays: Iterable[Bay]) -> list[str]:
        """Ids of the rescue anchors of some bays that a method uses."""
        used = {key for method in self.site.rescue.methods for key in method.rescue_anchors}
        return [anchor.id for bay in bays for anchor in bay.rescue_anchors if anchor.id in used]

    def hanging_range(self, bay: Bay) -> list[Hanging]:
        """The heights of ring and feet over all vehicles of a bay: one, or none where no case has them."""
        return self._hanging(bay, None)

    def hanging_in(self, bays: Iterable[Bay]) -> list[tuple[str, Hanging]]:
        """The same for each vehicle of some bays, with the name of the bay, in the order of the tasks."""
        found = []
        for bay in bays:
            keys = dict.fromkeys(task.vehicle for task in self.site.tasks if task.bay == bay.id)
            vehicles = [self.site.vehicle(key) for key in keys]
            found += [(bay.name, row) for vehicle in vehicles if vehicle is not None for row in self._hanging(bay, vehicle)]
        return found

    def _hanging(self, bay: Bay, vehicle: Vehicle | None) -> list[Hanging]:
        held: Permission = "closed" if bay.closed.on else "allowed"
        cases = self.numbers.cases_of(bay.id, vehicle.id if vehicle else None, held)
        ends = [(c.hang_high, c.hang_low if vehicle else c.hang_high, c.feet_low, c.feet_high, c.lower_level) for c in cases]
        known = [(ring, low, feet, high, below) for ring, low, feet, high, below in ends if ring and low and feet and high]
        if not known:
            return []
        rings, lowest, lows, highs, below = zip(*known, strict=True)

        def down(height: Quantity, of: Iterable[Quantity]) -> bool:
            """Whether a height is one that comes down to what lies below in its case: the datum where nobody measured that."""
            return any(one.si == height.si <= (floor.si if floor else 0.0) for one, floor in zip(of, below, strict=True))

        ring, low, high = min(lowest, key=_si), min(lows, key=_si), max(highs, key=_si)
        return [
            Hanging(
                vehicle.name if vehicle else "",
                max(rings, key=_si),
                ring,
                low,
                high,
                down(low, lows),
                down(high, highs),
                down(ring, lowest),
            )
        ]

    def address_line(self) -> str | None:
        """Where the ambulance comes, without the name of the site in front of it."""
        said: str | None = self.site.emergency.location_words or self.site.site.address
        return said and said.removeprefix(f"{self.site.site.name}, ")

    def products(self, bays: Iterable[Bay]) -> list[tuple[str, str]]:
        """What the vehicles hold, with its state, and the bay where the bays differ."""
        said = [(bay.name, bay.product) for bay in bays]
        held = [(name, ", ".join(w for w in (p.name, p.state) if w)) for name, p in said if p.name and not _none(p.name)]
        if held and len(held) == len(said) and len({text for _, text in held}) == 1:
            return [("", held[0][1])]
        return held

    # --- methods ----------------------------------------------------------------------------------------------------------

    def beside(self, method: Method) -> list[str]:
        """Of the steps listed for a method those that are done at the same time as the ones listed before: none waits for another of them."""
        listed = {step.id for step in self.own_steps(method)}
        known = plain(method)
        steps: tuple[MethodStep, ...] = known.steps
        for step in steps:
            self.collector.trace.read(step, "after", step.after)
        before = before_each(steps)
        found: list[str] = []
        together: list[MethodStep] = []
        for step in (step for step in steps if step.id in listed):
            waits = any(one.id in before[step.id] or set(one.who) & set(step.who) for one in together)
            if step.after and together and not waits:
                found.append(step.id)
                together.append(step)
            else:
                together = [step]
        return found

    def common_steps(self) -> list[MethodStep]:
        """The steps with which every method of the site's own begins, in the same words."""
        return self.collector.trace.once("common-steps", self._common_steps)

    def _common_steps(self) -> list[MethodStep]:
        own = [method for method in self.site.rescue.methods if method.kind != "outside"]
        if len(own) < 2:
            return []
        said = [{(step.id, step.text, step.who) for step in method.steps} for method in own]
        found: list[MethodStep] = []
        for step in own[0].steps:
            known = {one.id for one in found}
            if all((step.id, step.text, step.who) in others for others in said) and known >= set(step.after):
                found.append(step)
        return found

    def first_steps(self) -> list[MethodStep]:
        """Of these what is done in the first minute beside the alarm, such as reading the meter."""
        return [step for step in self.common_steps() if not step.does or not set(step.does) <= FIRST]

    def in_chain(self, posts: Iterable[str]) -> bool:
        """Whether one of these posts has a line in the first minute already."""
        return any(post in (*chain.posts, chain.attendant) for chain in self.chains() for post in posts)

    def own_steps(self, method: Method) -> list[MethodStep]:
        """The steps of a method without those that are the same in all, and of outside help without the call, which is made at once."""
        if method.kind == "outside":
            return [step for step in method.steps if not step.does or not set(step.does) <= FIRST]
        first = {step.id for step in self.common_steps()}
        return [step for step in method.steps if step.id not in first]

    def done_by_posts(self, method: Method, step: MethodStep) -> list[str]:
        """The posts of the shifts that do a step, where all shifts have the same; else those that the step names."""
        key = f"{method.id}.{step.id}"
        held = {tuple(self._called(p) for p in shift.posts if key in p.steps) for shift in self._climbing()}
        posts = list(held.pop()) if len(held) == 1 else []
        posts = posts or [who[:1].upper() + who[1:].replace("-", " ") for who in step.who]
        return _numbered(posts)

    def prepared_in_time(self) -> bool:
        """Whether the procedure was written by the day of the papers. That day is no input of a clause: only what it selects is."""
        written, day = self.site.rescue.prepared_on, plain(self.site).document.effective
        return written is not None and day is not None and written <= day

    def shut_in(self, method: Method) -> list[RescueRow]:
        """For each bay in which a method is closed one row that says why."""
        rows = {row.bay: row for row in self.numbers.rescues if row.method == method.id and row.closed}
        return list(rows.values())

    def slow_in(self, method: Method) -> list[tuple[str, str]]:
        """Bay and vehicle, by name, for which a method passes a limit of time and is not closed for another reason."""
        rows = [
            r
            for r in self.numbers.rescues
            if r.method == method.id and r.within is False and not r.closed and r.kind != "outside"
        ]
        return list(dict.fromkeys((self._bay(r.bay), self._vehicle(r.vehicle)) for r in rows))


def _numbered(posts: list[str]) -> list[str]:
    """`Rescuer 1`, `Rescuer 2` as `Rescuers 1`, `2`, so that they are listed as `Rescuers 1 and 2`."""
    stems = {post.rpartition(" ")[0] for post in posts}
    if len(posts) < 2 or len(stems) != 1 or not all(post.rpartition(" ")[2].isdigit() for post in posts):
        return posts
    return [f"{stems.pop()}s {posts[0].rpartition(' ')[2]}", *(post.rpartition(" ")[2] for post in posts[1:])]


def _longest(times: Iterable[Quantity | None]) -> Quantity | None:
    """The longest of some times; None where one of them is not known."""
    known = list(times)
    return None if None in known else max((t for t in known if t is not None), key=_si, default=None)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _si(of: Quantity) -> float:
    return of.si


def _none(text: str) -> bool:
    return text.strip().casefold().rstrip(".") in NONE_WORDS


def _name(shift: Shift) -> str:
    return shift.name or shift.id
