"""Findings on posts: each step of a rescue on a post, each post on a person, nobody in two places, and the chain of the first minutes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from docgen.engineering.model import RescueRow, StepTiming
from docgen.findings.common import listed, terms
from docgen.findings.rule import PLAN, RESCUE, finding
from docgen.findings.view import Hit, View
from docgen.limits import over
from docgen.site import Post, Quantity, Shift

__all__ = [
    "chain_incomplete",
    "chain_post_unknown",
    "person_twice",
    "post_step_unknown",
    "post_unmanned",
    "posts_not_different",
    "step_without_post",
]

CHAIN = ("caller", "backup", "guide", "leader")


def _climbing(view: View) -> tuple[Shift, ...]:
    return tuple(s for s in view.site.shifts if s.climbing)


def _name(shift: Shift) -> str:
    return shift.name or shift.id


def _rows(view: View, shift: Shift) -> dict[str, RescueRow]:
    """One row of each of the site's own methods that a shift needs; its timeline is the same for every vehicle."""
    rows: dict[str, RescueRow] = {}
    for row in view.rescues:
        if row.shift == shift.id and row.kind != "outside":
            rows.setdefault(row.method, row)
    return rows


def _covers(post: Post, timing: StepTiming | None) -> bool:
    """Whether a post is held for the whole of a step; without a timeline it is."""
    if timing is None:
        return True
    late = post.from_ is not None and over(post.from_.si, timing.start.si)
    early = post.until is not None and over(timing.finish.si, post.until.si)
    return not (late or early)


def _on(shift: Shift, row: RescueRow, step: str) -> tuple[Post, ...]:
    """The posts of a shift that do a step of a method, each held while it is done."""
    timing = next((t for t in row.timings if t.id == step), None)
    return tuple(p for p in shift.posts if f"{row.method}.{step}" in p.steps and _covers(p, timing))


def _same(view: View, key: str) -> str:
    """One key for one person: who rescues and climbs, or holds a role and climbs, is one."""
    for rescuer in view.site.people.rescuers:
        if rescuer.id == key:
            return rescuer.user or key
    role = view.site.role(key)
    return (role.user or key) if role is not None else key


def _called(view: View, key: str) -> str:
    role = view.site.role(key)
    return role.title if role is not None else key


@finding("step-without-post", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def step_without_post(view: View) -> Iterator[Hit]:
    """What it looks at: each step of each method of the site on each climbing shift against the posts of that shift.

    Why: a step of nobody is not done. Example: M2.lower takes two and one post has it. Reference: 29 CFR 1910.140(c)(21)
    (memory).
    """
    for shift in _climbing(view):
        lacking = []
        for key, row in _rows(view, shift).items():
            method = next(m for m in view.site.rescue.methods if m.id == key)
            for step in method.steps:
                if len({p.post for p in _on(shift, row, step.id)}) < max(len(step.who), 1):
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
    """What it looks at: the timeline of each method against the persons on its posts.

    Why: nobody does two things at once, so the time printed is not kept. Example: one person rigs and attaches from
    minute 2 on. Reference: critical-path arithmetic, common practice.
    """
    for shift in _climbing(view):
        for row in _rows(view, shift).values():
            busy: dict[str, list[tuple[str, StepTiming]]] = {}
            for timing in row.timings:
                held = (p.person for p in _on(shift, row, timing.id) if p.person is not None)
                for who, key in {_same(view, key): key for key in held}.items():
                    busy.setdefault(who, []).append((key, timing))
            for done in busy.values():
                for (key, one), (_, other) in combinations(done, 2):
                    if over(one.finish.si, other.start.si) and over(other.finish.si, one.start.si):
                        values = {"shift": _name(shift), "method": row.method, "person": _called(view, key), "one": one.id}
                        yield Hit(f"{shift.path}.posts", {**values, "other": other.id})
                        break


def _apart(one: Post, other: Post) -> bool:
    """Whether one post ends before the other begins."""

    def before(until: Quantity | None, begins: Quantity | None) -> bool:
        return until is not None and begins is not None and not over(until.si, begins.si)

    return before(one.until, other.from_) or before(other.until, one.from_)


def _place(post: Post) -> str:
    """What a post is in a rescue: the one up there, the one who watches, or one of the method."""
    if post.part in ("climber", "attendant"):
        return post.part
    return "rescuer" if post.steps else ""


@finding("posts-not-different", "must-fix", documents=(PLAN, RESCUE), basis="law:rescue_duty")
def posts_not_different(view: View) -> Iterator[Hit]:
    """What it looks at: climber, attendant and the people of the method on a shift, as persons.

    Why: the climber does not rescue himself, and who watches does not leave. Example: RS-1 attends and attaches the line;
    after the person hangs on the rescue line he may. Reference: common practice.
    """
    for shift in _climbing(view):
        held = [(p, _same(view, p.person)) for p in shift.posts if p.person is not None and _place(p)]
        for (one, who), (other, too) in combinations(held, 2):
            if who == too and _place(one) != _place(other) and not _apart(one, other):
                values = {"shift": _name(shift), "person": _called(view, one.person or who), "one": one.post, "other": other.post}
                yield Hit(f"{other.path}.person", values)


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


@finding("chain-post-unknown", "fix-soon", documents=(RESCUE,))
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
