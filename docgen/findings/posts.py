"""Findings on posts: each step of a rescue on a post, each post on a person, nobody in two places, and the chain of the first minutes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import combinations

from docgen.engineering.gear import RESCUERS
from docgen.engineering.model import RescueRow, StepTiming, Turn
from docgen.findings.common import bays_in_use, listed, terms, worded
from docgen.findings.model import Value
from docgen.findings.rule import NOTICE, PLAN, RESCUE, finding
from docgen.findings.view import Hit, View, near
from docgen.limits import over
from docgen.site import Method, MethodStep, Post, Quantity, Shift
from docgen.trade.practice import practice

__all__ = [
    "backup_is_caller",
    "chain_incomplete",
    "chain_post_unknown",
    "duty_not_free",
    "duty_of_climber",
    "gate_post_away",
    "holder_not_climber",
    "holder_not_rescuer",
    "meter_in_other_hands",
    "pair_not_on_posts",
    "person_on_long_hours",
    "person_twice",
    "post_step_unknown",
    "post_unmanned",
    "posts_not_different",
    "roster_below_posts",
    "second_number_unanswered",
    "step_without_post",
    "watcher_for_two_bays",
    "watcher_leaves",
]

#: Those in the list of posts of a step who come from outside and stand on no post of the site.
AGENCIES = ("fire-department", "ambulance")
CHAIN = ("caller", "backup", "guide", "leader")


def _climbing(view: View) -> tuple[Shift, ...]:
    return tuple(s for s in view.site.shifts if s.climbing)


def _name(shift: Shift) -> str:
    return shift.name or shift.id


def _rows(view: View, shift: Shift) -> dict[str, RescueRow]:
    """One row of each of the site's own methods that a shift needs; its timeline is the same for every vehicle."""
    return _once(r for r in view.rescues if r.shift == shift.id and r.kind != "outside")


def _outside(view: View, shift: Shift) -> dict[str, RescueRow]:
    """The same of outside help, which is called at once whatever the site does."""
    return _once(r for r in view.rescues if r.shift == shift.id and r.kind == "outside")


def _once(rows: Iterable[RescueRow]) -> dict[str, RescueRow]:
    first: dict[str, RescueRow] = {}
    for row in rows:
        first.setdefault(row.method, row)
    return first


def _covers(post: Post, timing: StepTiming | None) -> bool:
    """Whether a post is held to the end of a step; without a timeline it is. The clock waits until it is taken up."""
    return timing is None or post.until is None or not over(timing.finish.si, post.until.si)


def _on(shift: Shift, row: RescueRow, step: str) -> tuple[Post, ...]:
    """The posts of a shift that do a step of a method, each held while it is done."""
    timing = next((t for t in row.timings if t.id == step), None)
    return tuple(p for p in shift.posts if f"{row.method}.{step}" in p.steps and _covers(p, timing))


def _called(view: View, key: str, too: str | None = None) -> str:
    """What a person is called; who is there under the titles of two roles, by name."""
    role, other = view.site.role(key), view.site.role(too or key)
    if role is not None and other is not None and role is not other:
        holder = role.on(view.as_of)
        return role.held_by or role.title if holder is None else holder.called_on(view.as_of)
    return role.title if role is not None else key


@finding("step-without-post", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def step_without_post(view: View) -> Iterator[Hit]:
    """What it looks at: each step of each method on each climbing shift against the posts of that shift; of outside help those steps that
    are not done by the agency itself.

    Why: a step of nobody is not done. Example: M2.lower takes two and one post has it. Reference: 29 CFR 1910.140(c)(21)
    (memory).
    """
    for shift in _climbing(view):
        lacking = []
        for key, row in (_rows(view, shift) | _outside(view, shift)).items():
            method = next(m for m in view.site.rescue.methods if m.id == key)
            for step in method.steps:
                who = [w for w in step.who if row.kind != "outside" or w not in AGENCIES]
                if (who or not step.who) and len({p.post for p in _on(shift, row, step.id)}) < max(len(who), 1):
                    lacking.append(f"{key}.{step.id}")
        if lacking:
            yield Hit(f"{shift.path}.posts", {"shift": _name(shift), "steps": listed(lacking)})


@finding("post-unmanned", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def post_unmanned(view: View) -> Iterator[Hit]:
    """What it looks at: posts of a climbing shift without a person.

    Why: a post of nobody does nothing. Example: Rescuer 2, person left out. Reference: common practice.
    """
    for shift in _climbing(view):
        for post in shift.posts:
            if post.person is None:
                yield Hit(f"{post.path}.person", {"shift": _name(shift), "post": post.post})


@finding("gate-post-away", "must-fix", documents=(PLAN, RESCUE))
def gate_post_away(view: View) -> Iterator[Hit]:
    """What it looks at: the posts of a gate operator with steps of a method or a duty of the chain, on shifts on which nobody is at the gate throughout.

    Why: who is not there calls nobody and opens nothing. Example: the night shift has gate_attended false, and its gate operator calls the fire department.
    Reference: common practice.
    """
    for shift in _climbing(view):
        duties = {name: getattr(shift.chain, name) for name in CHAIN}
        for post in shift.posts:
            held = [f"chain-{name}" for name, at in duties.items() if at == post.post]
            if shift.gate_attended is False and _at_gate(view, post) and (post.steps or held):
                values: dict[str, Value] = {"shift": _name(shift), "post": post.post}
                duty: Value = terms(held) if held else listed(post.steps)
                yield Hit(f"{shift.path}.gate_attended", values | {"duty": duty})


def _at_gate(view: View, post: Post) -> bool:
    """Whether a post is that of the gate, by its part or by the role that holds it."""
    role = view.site.role(post.person)
    return post.part == "gate-operator" or (role is not None and "gate-operator" in role.part)


@finding("holder-not-rescuer", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def holder_not_rescuer(view: View) -> Iterator[Hit]:
    """What it looks at: who holds a post of a rescuer, or one with a step for rescuers alone, against the list of rescuers: on it, on
    that shift, for each method of which the post has a step.

    Why: whoever has not practised a method, or is not there, does not carry it out. Example: U-01 climbs by day and is
    Rescuer 2 at night. Reference: 29 CFR 1910.140(c)(21) (memory).
    """
    for shift in _climbing(view):
        for post in shift.posts:
            methods = _for_rescuers(view, post)
            if post.person is None or (post.part != "rescuer" and not methods):
                continue
            if post.part == "rescuer":
                methods = {m.id for m, _ in _steps_of(view, post)}
            lacking = _lacks(view, shift, post.person, methods)
            if lacking is not None:
                values = {"shift": _name(shift), "post": post.post, "person": _called(view, post.person), "lacking": lacking}
                yield Hit(f"{post.path}.person", values)


def _steps_of(view: View, post: Post) -> list[tuple[Method, MethodStep]]:
    """The steps of the site's own methods that a post has."""
    return [
        (m, s) for m in view.site.rescue.methods if m.kind != "outside" for s in m.steps if f"{m.id}.{s.id}" in post.steps
    ]  # fmt: skip


def _for_rescuers(view: View, post: Post) -> set[str]:
    """The methods of which a post has a step that is for rescuers and nobody else."""
    return {m.id for m, s in _steps_of(view, post) if s.who and all(w in RESCUERS for w in s.who)}


def _lacks(view: View, shift: Shift, person: str, methods: set[str]) -> Value | None:
    """What keeps a person from a post of a rescuer; None where nothing does."""
    entries = [r for r in view.site.people.rescuers if view.person(r.id) == view.person(person)]
    if not entries:
        return worded("no-rescuer")
    there = [r for r in entries if shift.id in r.shifts]
    if not there:
        return worded("no-rescuer-then")
    practised = {m for r in there for m in methods if view.site.practised(r, m)}
    unknown = [m.id for m in view.site.rescue.methods if m.id in methods - practised]
    return worded("no-rescuer-for", methods=listed(unknown)) if unknown else None


@finding("holder-not-climber", "must-fix", documents=(PLAN, RESCUE))
def holder_not_climber(view: View) -> Iterator[Hit]:
    """What it looks at: who holds a post of a climber against the list of those who may climb, on that shift.

    Why: whoever is on no list has no fit, no training and no harness on record. Example: RS-4 is Climber 1 and no user.
    Reference: common practice.
    """
    for shift in _climbing(view):
        there = {u.id for u in view.site.people.users if shift.id in u.shifts}
        for post in (p for p in shift.posts if p.part == "climber" and p.person is not None):
            if view.person(post.person or "") not in there:
                values = {"shift": _name(shift), "post": post.post, "person": _called(view, post.person or "")}
                yield Hit(f"{post.path}.person", values)


@finding("pair-not-on-posts", "fix-soon", documents=(RESCUE,))
def pair_not_on_posts(view: View) -> Iterator[Hit]:
    """What it looks at: pairs who practise together on a shift against the posts of that shift.

    Why: those who come are not those who practised together. Example: pair RS-5 and RS-6, and RS-7 holds the post of RS-6.
    Reference: common practice.
    """
    for shift in _climbing(view):
        there = {view.person(p.person) for p in shift.posts if p.person is not None}
        for pair in shift.pairs:
            away = [who for who in (pair.one, pair.other) if who and view.person(who) not in there]
            if there and away:
                yield Hit(pair.path, {"shift": _name(shift), "one": pair.one, "other": pair.other, "away": listed(away)})


@finding("post-step-unknown", "must-fix", documents=(PLAN, RESCUE))
def post_step_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: steps on posts that no method has.

    Why: the step meant is then on no post. Example: M2.atach. Reference: document control.
    """
    known = {f"{m.id}.{s.id}" for m in view.site.rescue.methods for s in m.steps}
    for shift in view.site.shifts:
        for post in shift.posts:
            if strange := [s for s in post.steps if s not in known]:
                yield Hit(f"{post.path}.steps", {"shift": _name(shift), "post": post.post, "steps": listed(strange)})


@finding("person-twice", "must-fix", documents=(PLAN, RESCUE))
def person_twice(view: View) -> Iterator[Hit]:
    """What it looks at: the schedule of each method against the persons on its posts, with what the posts do for outside help; and what they
    do for two agencies, which are called at once.

    Why: nobody does two things at once, so the time printed is not kept. One post does its steps one after the other, and the clock
    says so; a person on two posts is seen here alone. Example: RS-1 rigs as Rescuer 1 and attaches as Rescuer 2 from minute 2 on.
    Reference: critical-path arithmetic, common practice.
    """
    for shift in _climbing(view):
        help_ = [*_outside(view, shift).values()]
        for number, row in enumerate((*help_, *_rows(view, shift).values()), 1):
            busy: dict[str, list[tuple[RescueRow, Turn]]] = {}
            beside = help_[number:] if row.kind == "outside" else help_
            for of, turn in [(done, turn) for done in (row, *beside) for turn in done.turns]:
                if turn.person is not None:
                    busy.setdefault(view.person(turn.person), []).append((of, turn))
            for done in busy.values():
                for (of, one), (too, other) in combinations(done, 2):
                    if (of is row or too is row) and not (of is too and one.post == other.post) and _overlap(one, other):
                        yield Hit(f"{shift.path}.posts", _twice(view, shift, of, one, too, other))
                        break


def _overlap(one: Turn, other: Turn) -> bool:
    return over(one.finish.si, other.start.si) and over(other.finish.si, one.start.si)


def _twice(view: View, shift: Shift, of: RescueRow, one: Turn, too: RescueRow, other: Turn) -> dict[str, Value]:
    return {
        "shift": _name(shift), "person": _called(view, one.person or "", other.person), "one": f"{of.method}.{one.step}", "post": one.post,
        "other": f"{too.method}.{other.step}", "too": other.post, "minute": near(max(one.start.si, other.start.si), "time"),
    }  # fmt: skip


def _apart(one: Post, other: Post) -> bool:
    """Whether one post ends before the other begins."""

    def before(until: Quantity | None, begins: Quantity | None) -> bool:
        return until is not None and begins is not None and not over(until.si, begins.si)

    return before(one.until, other.from_) or before(other.until, one.from_)


def _attached(view: View, row: RescueRow) -> float:
    """Seconds from the fall until the person hangs on the rescue line: the step that attaches it, else that of the first contact."""
    method = next(m for m in view.site.rescue.methods if m.id == row.method)
    attaching = {s.id for s in method.steps if "attach" in s.does}
    steps = attaching if attaching or method.contact_step is None else {method.contact_step}
    return min((t.finish.si for t in row.timings if t.id in steps), default=float("inf"))


def _begins_attached(view: View, shift: Shift, post: Post) -> bool:
    """Whether a post has steps only after the person hangs on the rescue line."""
    turns = [(row, t) for row in _rows(view, shift).values() for t in row.turns if t.post == post.post]
    return bool(turns) and not any(over(_attached(view, row), t.start.si) for row, t in turns)


def _place(post: Post) -> str:
    """What a post is in a rescue: the one up there, the one who watches, or one of the method."""
    if post.part in ("climber", "attendant"):
        return post.part
    return "rescuer" if post.steps else ""


@finding("posts-not-different", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def posts_not_different(view: View) -> Iterator[Hit]:
    """What it looks at: climbers, attendant and the people of the method on a shift, as persons.

    Why: the climber does not rescue himself, and who watches does not leave. Example: RS-1 attends and attaches the line;
    after the person hangs on the rescue line he may. Reference: common practice.
    """
    for shift in _climbing(view):
        held = [(p, view.person(p.person)) for p in shift.posts if p.person is not None and _place(p)]
        for (one, who), (other, too) in combinations(held, 2):
            two = _place(one) != _place(other) or one.part == other.part == "climber"
            if who == too and two and not (_apart(one, other) or _later(view, shift, one, other)):
                person = _called(view, one.person or who, other.person)
                values = {"shift": _name(shift), "person": person, "one": one.post, "other": other.post}
                yield Hit(f"{other.path}.person", values)


def _later(view: View, shift: Shift, one: Post, other: Post) -> bool:
    """Whether whoever watches takes up the other post only when the person hangs on the rescue line."""
    watches = [p for p in (one, other) if _place(p) == "attendant"]
    rescues = [p for p in (one, other) if _place(p) == "rescuer"]
    return bool(watches and rescues) and _begins_attached(view, shift, rescues[0])


@finding("watcher-leaves", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def watcher_leaves(view: View) -> Iterator[Hit]:
    """What it looks at: steps of the attendant before the person hangs on the rescue line: with a kit, or meant for another.

    Why: who watches stays, sees and talks until then. Example: the attendant fetches the kit. Reference: common practice.
    """
    for shift in _climbing(view):
        for row in _rows(view, shift).values():
            method = next(m for m in view.site.rescue.methods if m.id == row.method)
            steps = {s.id: s for s in method.steps}
            for post in (p for p in shift.posts if p.part == "attendant"):
                away = [
                    t.step for t in row.turns
                    if t.post == post.post and over(_attached(view, row), t.start.si)
                    and (steps[t.step].kit is not None or "attendant" not in steps[t.step].who)
                ]  # fmt: skip
                if away:
                    values = {"shift": _name(shift), "post": post.post, "steps": listed(f"{row.method}.{s}" for s in away)}
                    yield Hit(f"{post.path}.steps", values)


@finding("duty-not-free", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def duty_not_free(view: View) -> Iterator[Hit]:
    """What it looks at: the first minutes of each shift: whether caller, guide and leader have their hands free when they are needed.

    Why: the call waits, and nobody stands at the gate. The caller is free while the call is made, or in the first two minutes; the
    guide from the time at which help may arrive, or from minute five; the leader takes no kit in hand. Example: Rescuer 1 calls
    and fetches at once. Reference: common practice.
    """
    for shift in _climbing(view):
        for row in _rows(view, shift).values():
            method = next(m for m in view.site.rescue.methods if m.id == row.method)
            steps = {s.id: s for s in method.steps}
            for duty in ("caller", "guide", "leader"):
                post = next((p for p in shift.posts if p.post == getattr(shift.chain, duty) and p.person is not None), None)
                if post is None or row.detection is None:
                    continue
                turns = [t for t in row.turns if t.person is not None and view.person(t.person) == view.person(post.person or "")]
                for turn in turns:
                    step = steps[turn.step]
                    if _hinders(view, shift, row, duty, turn, step):
                        values: dict[str, Value] = {
                            "shift": _name(shift), "duty": terms((f"chain-{duty}",)), "person": _called(view, post.person or "", turn.person),
                            "step": f"{row.method}.{turn.step}", "from": near(turn.start), "to": near(turn.finish),
                        }  # fmt: skip
                        yield Hit(f"{shift.chain.path}.{duty}", values)
                        break


def _hinders(view: View, shift: Shift, row: RescueRow, duty: str, turn: Turn, step: MethodStep) -> bool:
    """Whether a step keeps the holder of a duty from it: what is done by voice, radio or button does not."""
    if duty == "leader":
        return step.kit is not None
    if set(step.does) & {"alarm", "stop", "call"}:
        return False
    known = row.detection.si if row.detection is not None else 0.0
    if duty == "caller":
        begin, end = _call(view, shift) or (known, known + practice("caller_time").si)
        return over(turn.finish.si, begin) and over(end, turn.start.si)
    arrival = view.site.rescue.external.arrival
    return over(turn.finish.si, known + (arrival.si if arrival is not None else practice("guide_time").si))


def _call(view: View, shift: Shift) -> tuple[float, float] | None:
    """From when to when the call for help is made on this shift, where it is a step that is timed [s from the fall]."""
    steps = {(m.id, s.id) for m in view.site.rescue.methods for s in m.steps if "call" in s.does}
    times = [
        (t.start.si, t.finish.si) for row in view.rescues for t in row.timings if row.shift == shift.id and (row.method, t.id) in steps
    ]  # fmt: skip
    return min(times, default=None)


@finding("meter-in-other-hands", "must-fix", documents=(PLAN, RESCUE))
def meter_in_other_hands(view: View) -> Iterator[Hit]:
    """What it looks at: who reads the meter in a method on each shift, against who holds the meter of the bay.

    Why: he has it, and rescuers wait for his word. Example: the supervisor holds the meter, and Rescuer 1 is to read it. Reference:
    common practice.
    """
    for shift in _climbing(view):
        for row in (r for r in view.rescues if r.shift == shift.id and r.kind != "outside"):
            holder = view.bays[row.bay].meter.holder
            method = next(m for m in view.site.rescue.methods if m.id == row.method)
            metered = {s.id for s in method.steps if "meter" in s.does}
            for turn in row.turns:
                reads = turn.step in metered and turn.person is not None
                if reads and holder is not None and view.person(turn.person or "") != view.person(holder):
                    post = next(p for p in shift.posts if p.post == turn.post)
                    values: dict[str, Value] = {
                        "shift": _name(shift),
                        "post": post.post,
                        "step": f"{row.method}.{turn.step}",
                        "bay": view.bays[row.bay].name,
                        "holder": _called(view, holder),
                    }
                    yield Hit(f"{post.path}.steps", values)


@finding("chain-incomplete", "must-fix", documents=(RESCUE,), basis="law:rescue_duty")
def chain_incomplete(view: View) -> Iterator[Hit]:
    """What it looks at: who calls, backs up, guides and leads on each climbing shift.

    Why: in the first minutes each waits for another. Example: nobody guides the ambulance at night. Reference: common
    practice.
    """
    for shift in _climbing(view):
        lacking = [name for name in CHAIN if getattr(shift.chain, name) is None]
        if lacking:
            yield Hit(shift.chain.path, {"shift": _name(shift), "lacking": terms(f"chain-{name}" for name in lacking)})


@finding("backup-is-caller", "must-fix", documents=(RESCUE,), basis="law:rescue_duty")
def backup_is_caller(view: View) -> Iterator[Hit]:
    """What it looks at: who calls for help on each climbing shift, and who calls if the first does not answer.

    Why: where both are one, nobody calls when that one is not there. Example: caller and backup: Gate operator. Reference: common
    practice.
    """
    for shift in _climbing(view):
        caller, backup = shift.chain.caller, shift.chain.backup
        if caller is None or backup is None:
            continue
        one, other = _holder(shift, caller), _holder(shift, backup)
        if caller == backup or (one is not None and other is not None and view.person(one) == view.person(other)):
            person = caller if one is None else _called(view, one, other)
            yield Hit(f"{shift.chain.path}.backup", {"shift": _name(shift), "person": person, "caller": caller, "backup": backup})


def _holder(shift: Shift, post: str) -> str | None:
    return next((p.person for p in shift.posts if p.post == post), None)


@finding("duty-of-climber", "must-fix", documents=(RESCUE,), basis="law:rescue_duty")
def duty_of_climber(view: View) -> Iterator[Hit]:
    """What it looks at: who calls, backs up, guides and leads, against those who climb on that shift.

    Why: the one who hangs can do none of it. Example: the backup of the caller is Climber 1. Reference: common practice.
    """
    for shift in _climbing(view):
        up = {view.person(p.person) for p in shift.posts if p.part == "climber" and p.person is not None}
        for name in CHAIN:
            post = next((p for p in shift.posts if p.post == getattr(shift.chain, name)), None)
            if post is not None and (post.part == "climber" or (post.person is not None and view.person(post.person) in up)):
                yield Hit(
                    f"{shift.chain.path}.{name}", {"shift": _name(shift), "duty": terms((f"chain-{name}",)), "post": post.post}
                )


@finding("watcher-for-two-bays", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def watcher_for_two_bays(view: View) -> Iterator[Hit]:
    """What it looks at: on shifts with a continuous watch the bays in which people may be up at once, against the attendants.

    Why: who stays with one that hangs sees the other no more. Two who are up at once may be in two bays. Example: two climbers at once,
    two bays, one attendant. Reference: common practice.
    """
    for shift in _climbing(view):
        bays = min(shift.climbers_at_once or 1, len(bays_in_use(view)))
        posts = [p for p in shift.posts if p.part == "attendant"]
        # each post of a role that people hold by turns is somebody else
        there = len({view.person(p.person) if p.person is not None and _known(view, p.person) else p.post for p in posts})
        if shift.watch.how == "continuous" and shift.posts and there < bays:
            yield Hit(f"{shift.path}.climbers_at_once", {"shift": _name(shift), "bays": bays, "attendants": there})


def _known(view: View, key: str) -> bool:
    """Whether a code means one person: of people, or a role that somebody holds."""
    role = view.site.role(key)
    return role is None or role.user is not None or role.held_by is not None or role.on(view.as_of) is not None


@finding("roster-below-posts", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def roster_below_posts(view: View) -> Iterator[Hit]:
    """What it looks at: the smallest roster of each climbing shift, against the people who climb at once and those on the posts of watch,
    rescue and call.

    Why: with fewer people a step of the rescue is done by nobody. A post that is taken up later is not counted: its holder may come from
    elsewhere. Example: min_persons 2, one climber, and five people on posts. Reference: common practice.
    """
    for shift in _climbing(view):
        named = {getattr(shift.chain, name) for name in CHAIN}
        posts = [
            p for p in shift.posts
            if p.part != "climber" and p.person is not None and (p.from_ is None or p.from_.si <= 0)
            and (p.part == "attendant" or p.steps or p.post in named)
        ]  # fmt: skip
        climbers = shift.climbers_at_once or 1
        others = {view.person(p.person or "") for p in posts}
        if posts and shift.min_persons is not None and shift.min_persons < climbers + len(others):
            values: dict[str, Value] = {
                "shift": _name(shift), "persons": shift.min_persons, "climbers": climbers, "others": len(others), "need": climbers + len(others),
            }  # fmt: skip
            yield Hit(f"{shift.path}.min_persons", values)


HOURS = re.compile(r"([01]?\d|2[0-4])[:.]([0-5]\d) ?(?:-|–|to) ?([01]?\d|2[0-4])[:.]([0-5]\d)")
DAY = 24 * 60


@finding("person-on-long-hours", "must-fix", documents=(PLAN, RESCUE))
def person_on_long_hours(view: View) -> Iterator[Hit]:
    """What it looks at: the hours of all shifts on whose posts one person stands.

    Why: nobody is there day and night, so that a shift has no rescuer. Exactly sixteen hours are let pass; a shift without hours counts eight. Example:
    RS-1 is Rescuer 1 by day, in the evening and at night. Reference: own choice, no published source.
    """
    most = practice("hours_on_posts").si
    found: dict[str, list[tuple[Shift, Post]]] = {}
    for shift in _climbing(view):
        for post in shift.posts:
            if post.person is not None and _known(view, post.person):
                found.setdefault(view.person(post.person), []).append((shift, post))
    for held in found.values():
        shifts = tuple({shift.id: shift for shift, _ in held}.values())
        minutes: set[int] = set()
        for shift in shifts:
            minutes |= _minutes(shift.hours)
        spent = 60.0 * (len(minutes) + 8 * 60 * sum(1 for s in shifts if not _minutes(s.hours)))
        if len(shifts) > 1 and over(spent, most):
            last = held[-1][1]
            values: dict[str, Value] = {
                "person": _called(view, last.person or ""), "shifts": listed(_name(s) for s in shifts),
                "hours": f"{int(spent // 3600)}:{int(spent % 3600 // 60):02d}", "most": round(most / 3600),
            }  # fmt: skip
            yield Hit(f"{last.path}.person", values)


def _minutes(hours: str | None) -> set[int]:
    """The minutes of the day between two times of the clock; none where no such times are told."""
    match = HOURS.search(hours or "")
    if match is None:
        return set()
    begin, end = int(match[1]) * 60 + int(match[2]), int(match[3]) * 60 + int(match[4])
    return {minute % DAY for minute in range(begin, begin + ((end - begin) % DAY or DAY))}


@finding("chain-post-unknown", "must-fix", documents=(RESCUE,), basis="law:rescue_duty")
def chain_post_unknown(view: View) -> Iterator[Hit]:
    """What it looks at: posts named in the chain or given up first that the shift does not have.

    Why: the paper sends people to nobody. Example: caller: control room, and no post of that name. Reference: document
    control.
    """
    for shift in view.site.shifts:
        posts = {p.post for p in shift.posts}
        named = {f"chain.{name}": getattr(shift.chain, name) for name in CHAIN} | {"cover.drops_first": shift.cover.drops_first}
        for field, post in named.items():
            if posts and post is not None and post not in posts:
                yield Hit(f"{shift.path}.{field}", {"shift": _name(shift), "post": post})


@finding("second-number-unanswered", "must-fix", documents=(RESCUE, NOTICE), basis="law:emergency_numbers")
def second_number_unanswered(view: View) -> Iterator[Hit]:
    """What it looks at: who answers the second number of the alarm line, on each climbing shift: a post that somebody holds, the role in
    charge of the shift or one that holds a post, or a contact of the list with that number and hours that cover the shift.

    Why: whoever sees a fall calls there, and nobody answers. Example: the yard office answers from 06:00 to 18:00, and people climb at
    night. Reference: common practice.
    """
    second = view.site.emergency.second
    if second.number is None or second.who is None:
        return
    shifts = [_name(s) for s in _climbing(view) if s.posts and not _answers(view, s, second.who, second.number)]
    if shifts:
        yield Hit(f"{second.path}.who", {"shifts": listed(shifts), "number": second.number, "who": second.who})


def _answers(view: View, shift: Shift, who: str, number: str) -> bool:
    """Whether somebody is there on a shift who is called so, or a contact with that number answers all through it."""
    called = who.casefold().removeprefix("the ")
    posts = [p for p in shift.posts if p.post.casefold() == called]
    if posts:
        return any(p.person is not None and not (shift.gate_attended is False and _at_gate(view, p)) for p in posts)
    roles = {r.id for r in view.site.roles if r.title.casefold() == called}
    if roles:
        return bool(roles & {shift.supervisor, *(p.person for p in shift.posts)})
    return any(c.number == number and _all_through(c.hours, shift) for c in view.site.emergency.contacts)


def _all_through(hours: str | None, shift: Shift) -> bool:
    """Whether the hours of a contact cover a shift: those that name a begin and an end by the clock, others where they say 24."""
    answered = _minutes(hours)
    return _minutes(shift.hours) <= answered if answered else re.search(r"\b24\b", hours or "") is not None
