"""Which kinds of change a set of changed fields amounts to, and what follows from each: `consequences.yaml` applied."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal

from docgen.control.fields import FieldChange, How
from docgen.data import load
from docgen.frozen import frozen
from docgen.site import Node, Part, Quantity, Site, walk

__all__ = ["Concerned", "Due", "Kind", "Moment", "Rule", "Said", "Seen", "TellRow", "Who", "kinds_of", "table"]

Said = Mapping[str, str]  # language -> text
Who = Literal[
    "users", "rescuers", "crew", "supervisors", "owner", "gate", "counsel", "consultant", "carriers", "contractors", "insurer",
    "regulator", "fire-service", "person",
]  # fmt: skip
Moment = Literal["use", "climb", "arrival", "shift", "transfer", "effective-day"]
Promptly = Literal["once", "same-day"]

EVIDENCE = re.compile(r"\.(how|tolerance)$")
BUILT_IN = re.compile(r"systems\[[^]]+\]\.(parts|harnesses)")
PART_ID = re.compile(r"equipment\[([^]]+)\]")
DEVICES = frozenset(("srd", "lanyard"))


@frozen
class Concerned:
    """A document that has to be looked at again, and where in it."""

    document: str
    part: Said


@frozen
class TellRow:
    """Who is retrained or told, and how."""

    who: Who
    how: Said


@frozen
class Due:
    """What has to be done by when: `before` a moment, `at` once or the same day, or in hours or days from the change. One is given."""

    what: Said
    before: Moment | None = None
    at: Promptly | None = None
    hours: int | None = None
    days: int | None = None


@frozen
class Rule:
    """How a kind of change is seen in the profile; see the head of consequences.yaml."""

    path: str
    not_: str | None = None
    is_: tuple[How, ...] = ()
    part: tuple[str, ...] = ()
    value: tuple[str, ...] = ()
    test: str | None = None
    whole: bool = False
    lapses: tuple[str, ...] = ()


@frozen
class Kind:
    """One row of the table; see the head of consequences.yaml. `notice_*` hold where the text of the notice has changed."""

    name: str
    title: Said
    documents: tuple[Concerned, ...]
    tell: tuple[TellRow, ...]
    lapses: tuple[str, ...]
    post: tuple[str, ...]
    by: tuple[Due, ...]
    source: str
    seen: tuple[Rule, ...]
    unless: tuple[str, ...] = ()
    notice_lapses: tuple[str, ...] = ()
    notice_post: tuple[str, ...] = ()


@frozen
class Seen:
    """A kind of change that was found: the fields that show it, and the roles whose approval lapses by practice."""

    kind: Kind
    fields: tuple[FieldChange, ...]
    lapses: tuple[str, ...]
    post: tuple[str, ...]


@cache
def table() -> tuple[Kind, ...]:
    """All kinds, in their order. Raises DataError for a table that is not as its schema says."""
    rows: Any = load(Path(__file__).resolve().parent / "consequences.yaml", "consequences", thorough=True)["kinds"]
    return tuple(_kind(row) for row in rows)


def _kind(row: dict[str, Any]) -> Kind:
    notice = row.get("if_notice", {})
    return Kind(
        name=row["kind"],
        title=row["title"],
        documents=tuple(Concerned(**x) for x in row["documents"]),
        tell=tuple(TellRow(**x) for x in row["tell"]),
        lapses=tuple(row["lapses"]),
        post=tuple(row["post"]),
        by=tuple(Due(**x) for x in row["by"]),
        source=row["source"],
        seen=tuple(_rule(x) for x in row["seen"]),
        unless=tuple(row.get("unless", ())),
        notice_lapses=tuple(notice.get("lapses", ())),
        notice_post=tuple(notice.get("post", ())),
    )


def _rule(row: dict[str, Any]) -> Rule:
    lists: dict[str, tuple[Any, ...]] = {key: tuple(row.get(key, ())) for key in ("is", "part", "value", "lapses")}
    return Rule(
        row["path"],
        row.get("not"),
        lists["is"],
        lists["part"],
        lists["value"],
        row.get("test"),
        row.get("whole", False),
        lists["lapses"],
    )


def kinds_of(
    changes: Iterable[FieldChange], old: Site, new: Site, notice_changed: bool
) -> tuple[tuple[Seen, ...], tuple[FieldChange, ...]]:
    """The kinds that were seen, in the table's order, and the fields that no kind speaks of.

    `old` and `new` are the two profiles; `notice_changed` says whether the text of the notice differs.
    """
    changes = tuple(changes)
    left = set(changes)
    found = []
    for kind in table():
        fields, lapses = [], list(kind.lapses)
        for change in changes:
            rule = next((r for r in kind.seen if _matches(r, change, old, new)), None)
            if rule is not None:
                fields.append(change)
                lapses += rule.lapses
                left.discard(change)
        if fields:
            more_lapses, more_post = (kind.notice_lapses, kind.notice_post) if notice_changed else ((), ())
            found.append(
                Seen(
                    kind,
                    tuple(fields),
                    tuple(dict.fromkeys([*lapses, *more_lapses])),
                    tuple(dict.fromkeys([*kind.post, *more_post])),
                )
            )
    swapped = {i for c in changes if BUILT_IN.fullmatch(c.path) for i in (*_ids(c.old), *_ids(c.new))}
    left = {c for c in left if _part_id(c.path) not in swapped}
    return _without_doubles(found), tuple(c for c in changes if c in left)


def _ids(text: str | None) -> list[str]:
    return text.split(", ") if text else []


def _part_id(path: str) -> str | None:
    match = PART_ID.match(path)
    return match[1] if match else None


def _without_doubles(found: list[Seen]) -> tuple[Seen, ...]:
    """A kind gives way, part by part, to the kinds that its row names under `unless`."""
    kept = []
    for seen in found:
        others = {_part_id(f.path) for s in found if s.kind.name in seen.kind.unless for f in s.fields} - {None}
        fields = tuple(f for f in seen.fields if _part_id(f.path) not in others)
        if fields:
            kept.append(Seen(seen.kind, fields, seen.lapses, seen.post))
    return tuple(kept)


def _matches(rule: Rule, change: FieldChange, old: Site, new: Site) -> bool:
    path = _bare(change.path)
    if not re.fullmatch(rule.path, path) or (rule.not_ is not None and re.fullmatch(rule.not_, path)):
        return False
    if rule.is_ and change.how not in rule.is_:
        return False
    key = _part_id(path)
    parts = [part for part in (old.part(key), new.part(key)) if part is not None] if key else []
    if key and not rule.whole and len(parts) < 2:
        return False  # a part that came or went counts where it is built in
    if rule.part and not {part.kind for part in parts} & set(rule.part):
        return False
    if rule.value and change.new not in rule.value:
        return False
    return rule.test is None or TESTS[rule.test](change, old, new)


def _bare(path: str) -> str:
    """The path without the evidence of a measured thing: `....deck.tolerance` speaks of the deck. A date of its own stays."""
    match = EVIDENCE.search(path)
    return path[: match.start()] if match else path


def _ratings(part: Part) -> tuple[object, ...]:
    """What a part is and what it is rated for, as it counts: without evidence, and one length the same in feet and metres."""
    rated = (
        part.kind, part.class_, part.capacity, part.rated_users, part.arrest_distance, part.deceleration_distance,
        part.arrest_force_average, part.arrest_force_peak, part.free_fall, part.free_fall_max, part.line_length, part.line_strength,
        part.edge_rated, part.angle_max, part.tensile, part.proof, part.gate_proof, part.self_locking, part.attachment, part.reach,
        part.temperature,
    )  # fmt: skip
    return tuple(_counts(value) for value in rated)


def _counts(value: object) -> object:
    if isinstance(value, Quantity):
        return f"{value.si:.6g} {value.kind}"
    if isinstance(value, Node):
        return tuple((path.rpartition(".")[2], _counts(inner)) for path, inner in walk(value))
    return value


Pair = tuple[Part | None, Part | None]


def _swaps(change: FieldChange, old: Site, new: Site) -> Iterator[Pair]:
    """Pairs of (part taken out, part put in) of a list of part ids; None stands for none."""
    before, after = _ids(change.old), _ids(change.new)
    gone = [part for i in before if i not in after and (part := old.part(i)) is not None]
    come = [part for i in after if i not in before and (part := new.part(i)) is not None]
    for part in gone:
        twin = next((p for p in come if p.kind == part.kind), None)
        if twin is not None:
            come.remove(twin)
        yield part, twin
    for part in come:
        yield None, part


def _same(pair: Pair) -> bool:
    one, other = pair
    return one is not None and other is not None and _ratings(one) == _ratings(other)


def _is_device(pair: Pair) -> bool:
    return any(part is not None and part.kind in DEVICES for part in pair)


def _same_ratings(change: FieldChange, old: Site, new: Site) -> bool:
    return any(_same(pair) for pair in _swaps(change, old, new))


def _other_device(change: FieldChange, old: Site, new: Site) -> bool:
    return any(not _same(pair) and _is_device(pair) for pair in _swaps(change, old, new))


def _other_part(change: FieldChange, old: Site, new: Site) -> bool:
    return any(not _same(pair) and not _is_device(pair) for pair in _swaps(change, old, new))


NAMED = re.compile(r"(vehicles|tasks|roles|contractors\.classes)\[([^]]+)\]")
POST = re.compile(r"shifts\[([^]]+)\]\.posts\[(\d+)\]")
FORMERLY = re.compile(r"\.formerly\[")
REVIEWERS = frozenset(("qualified-person", "engineer", "counsel"))


def _named(change: FieldChange) -> str:
    match = NAMED.match(change.path)
    return match[2] if match else ""


def _vehicle_gone(change: FieldChange, old: Site, new: Site) -> bool:
    """The vehicle itself, or the work of a vehicle, is not in the newer profile."""
    key = _named(change)
    if change.path.startswith("tasks"):
        task = next((t for t in old.tasks if t.id == key), None)
        key = task.vehicle if task is not None else ""
    return old.vehicle(key) is not None and new.vehicle(key) is None


def _vehicle_stays(change: FieldChange, old: Site, new: Site) -> bool:
    return new.vehicle(_named(change)) is not None


def _task_stays(change: FieldChange, old: Site, new: Site) -> bool:
    """Work that stays or is new, or work that went while its vehicle stays."""
    return not _vehicle_gone(change, old, new)


def _ban_gone(change: FieldChange, old: Site, new: Site) -> bool:
    key = _named(change)
    was, now = (next((t for t in site.tasks if t.id == key), None) for site in (old, new))
    return was is not None and was.permission_ == "prohibited" and (now is None or now.permission_ != "prohibited")


def _parts_of(change: FieldChange, old: Site, new: Site) -> set[str]:
    key = _named(change)
    return {part for site in (old, new) if (role := site.role(key)) is not None for part in role.part}


def _issues_papers(change: FieldChange, old: Site, new: Site) -> bool:
    return "issuing-authority" in _parts_of(change, old, new) and not _renamed(change, old, new)


def _reviews_papers(change: FieldChange, old: Site, new: Site) -> bool:
    return bool(REVIEWERS & _parts_of(change, old, new)) and not _renamed(change, old, new)


def _holds_post(change: FieldChange, old: Site, new: Site) -> bool:
    return not (_issues_papers(change, old, new) or _reviews_papers(change, old, new) or _renamed(change, old, new))


def _renamed(change: FieldChange, old: Site, new: Site) -> bool:
    """A former name, or a name in the place of one that its holder bore before: the same person."""
    if FORMERLY.search(change.path):
        return True
    role = new.role(_named(change))
    return (
        role is not None
        and change.path.endswith(".name")
        and any(h.name == change.new and change.old in h.names for h in role.holders)
    )


def _renamed_reviewer(change: FieldChange, old: Site, new: Site) -> bool:
    """Another name of the same reviewer, who holds a post and bore the old one before."""
    return change.path.endswith(".name") and None not in (change.old, change.new) and change.old in new.names_of(change.new or "")


def _other_reviewer(change: FieldChange, old: Site, new: Site) -> bool:
    return not _renamed_reviewer(change, old, new)


def _alarm_number(change: FieldChange, old: Site, new: Site) -> bool:
    """The number is, or was, one that is dialled when somebody hangs."""
    return bool({change.old, change.new} & {number for site in (old, new) for _, number in site.alarm_numbers()})


def _office_number(change: FieldChange, old: Site, new: Site) -> bool:
    return not _alarm_number(change, old, new)


def _of_the_alarm(change: FieldChange, old: Site, new: Site) -> bool:
    """The post of a shift calls for help, is called where nobody answers, meets the ambulance or takes charge, or did before."""
    at = POST.match(change.path)
    shifts = [shift for site in (old, new) if at and (shift := site.shift(at[1])) is not None]
    return any(
        n == int(at[2]) and p.post in (s.chain.caller, s.chain.backup, s.chain.guide, s.chain.leader)
        for s in shifts
        for n, p in enumerate(s.posts)
        if at
    )


def _class_climbs(change: FieldChange, old: Site, new: Site) -> bool:
    """The class may climb, or might before."""
    key = _named(change)
    return any(c.id == key and c.may_climb for site in (old, new) for c in site.contractors.classes)


TESTS: Mapping[str, Callable[[FieldChange, Site, Site], bool]] = {
    "same_ratings": _same_ratings,
    "other_ratings_of_device": _other_device,
    "other_ratings_of_other_part": _other_part,
    "vehicle_gone": _vehicle_gone,
    "vehicle_stays": _vehicle_stays,
    "task_stays": _task_stays,
    "ban_gone": _ban_gone,
    "issues_papers": _issues_papers,
    "reviews_papers": _reviews_papers,
    "holds_post": _holds_post,
    "renamed": _renamed,
    "renamed_reviewer": _renamed_reviewer,
    "other_reviewer": _other_reviewer,
    "alarm_number": _alarm_number,
    "office_number": _office_number,
    "of_the_alarm": _of_the_alarm,
    "class_climbs": _class_climbs,
}
