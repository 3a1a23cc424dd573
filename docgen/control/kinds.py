"""Which kinds of change a set of changed fields amounts to, and what follows from each: `consequences.yaml` applied."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from docgen import units
from docgen.control.fields import FieldChange, record_at
from docgen.data import load
from docgen.frozen import frozen
from docgen.limits import over

__all__ = ["Kind", "Seen", "kinds_of", "table"]

EVIDENCE = re.compile(r"\.(how|tolerance)$")
RATINGS = (
    "kind", "class", "capacity", "users_max", "arrest_distance", "deceleration_distance", "arrest_force_average", "arrest_force_peak",
    "free_fall", "free_fall_max", "line_length", "line_strength", "edge_rated", "angle_max", "tensile", "proof", "gate_proof",
    "self_locking", "attachment", "reach", "temperature",
)  # fmt: skip
DEVICES = ("srd", "lanyard")


@frozen
class Kind:
    """One row of the table, as data; see the head of consequences.yaml for its keys."""

    name: str
    row: Mapping[str, Any]


@frozen
class Seen:
    """A kind of change that was found: the fields that show it, and the roles whose approval lapses by practice."""

    kind: Kind
    fields: tuple[FieldChange, ...]
    lapses: tuple[str, ...]
    post: tuple[str, ...]


@cache
def table() -> tuple[Kind, ...]:
    """All kinds, in their order."""
    rows: Any = load(Path(__file__).resolve().parent / "consequences.yaml", "consequences", thorough=True)["kinds"]
    return tuple(Kind(row["kind"], row) for row in rows)


def kinds_of(
    changes: Iterable[FieldChange], old: Mapping[str, Any], new: Mapping[str, Any], notice_changed: bool
) -> tuple[tuple[Seen, ...], tuple[FieldChange, ...]]:
    """The kinds that were seen, in the table's order, and the fields that no kind speaks of.

    `old` and `new` are the data of the two profiles; `notice_changed` says whether the text of the notice differs.
    """
    changes = tuple(changes)
    left = set(changes)
    found = []
    for kind in table():
        fields, lapses = [], list(kind.row["lapses"])
        for change in changes:
            rule = next((r for r in kind.row["seen"] if _matches(r, change, old, new)), None)
            if rule is not None:
                fields.append(change)
                lapses += rule.get("lapses", [])
                left.discard(change)
        if fields:
            more = kind.row.get("if_notice", {}) if notice_changed else {}
            found.append(
                Seen(
                    kind, tuple(fields), tuple(dict.fromkeys([*lapses, *more.get("lapses", [])])),
                    tuple(dict.fromkeys([*kind.row["post"], *more.get("post", [])])),
                )
            )  # fmt: skip
    swapped = {i for c in changes if re.fullmatch(r"systems\[[^]]+\]\.(parts|harnesses)", c.path) for i in _ids(c)}
    left = {c for c in left if _part_id(c.path) not in swapped}
    return _without_doubles(found), tuple(c for c in changes if c in left)


def _ids(change: FieldChange) -> set[str]:
    return {*(change.old or "").split(", "), *(change.new or "").split(", ")}


def _part_id(path: str) -> str | None:
    match = re.match(r"equipment\[([^]]+)\]", path)
    return match[1] if match else None


def _without_doubles(found: list[Seen]) -> tuple[Seen, ...]:
    """A kind gives way, part by part, to the kinds that its row names under `unless`."""
    kept = []
    for seen in found:
        others = {_part_id(f.path) for s in found if s.kind.name in seen.kind.row.get("unless", ()) for f in s.fields} - {None}
        fields = tuple(f for f in seen.fields if _part_id(f.path) not in others)
        if fields:
            kept.append(Seen(seen.kind, fields, seen.lapses, seen.post))
    return tuple(kept)


def _matches(rule: Mapping[str, Any], change: FieldChange, old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    path = _bare(change.path)
    if not re.fullmatch(rule["path"], path) or ("not" in rule and re.fullmatch(rule["not"], path)):
        return False
    if "is" in rule and change.how not in rule["is"]:
        return False
    key = _part_id(path)
    if key and not rule.get("whole") and not (record_at(old, "equipment", key) and record_at(new, "equipment", key)):
        return False  # a part that came or went counts where it is built in
    if "part" in rule and not _parts(path, old, new) & set(rule["part"]):
        return False
    if "value" in rule and (change.new not in rule["value"]):
        return False
    return "test" not in rule or TESTS[rule["test"]](change, old, new)


def _bare(path: str) -> str:
    """The path without the evidence of a measured thing: `....deck.tolerance` speaks of the deck. A date of its own stays."""
    match = EVIDENCE.search(path)
    return path[: match.start()] if match else path


def _parts(path: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> set[str]:
    key = _part_id(path)
    return {str(record_at(data, "equipment", key).get("kind")) for data in (old, new) if key} - {"None"}


def _plain(value: Any) -> Any:
    """A rating as it counts: without its evidence."""
    if isinstance(value, dict):
        return value["value"] if "value" in value else {k: _plain(v) for k, v in value.items()}
    return value


def _swaps(
    change: FieldChange, old: Mapping[str, Any], new: Mapping[str, Any]
) -> list[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    """Pairs of (part taken out, part put in) of a list of part ids; an empty record stands for none."""
    before = (change.old or "").split(", ") if change.old else []
    after = (change.new or "").split(", ") if change.new else []
    gone = [record_at(old, "equipment", i) for i in before if i not in after]
    come = [record_at(new, "equipment", i) for i in after if i not in before]
    pairs = []
    for part in gone:
        twin = next((p for p in come if p.get("kind") == part.get("kind")), {})
        if twin:
            come.remove(twin)
        pairs.append((part, twin))
    return pairs + [({}, part) for part in come]


def _same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    return all(_plain(one.get(key)) == _plain(other.get(key)) for key in RATINGS)


def _same_ratings(change: FieldChange, old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    return any(_same(one, other) for one, other in _swaps(change, old, new))


def _other_device(change: FieldChange, old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    return any(
        not _same(one, other) and {one.get("kind"), other.get("kind")} & set(DEVICES) for one, other in _swaps(change, old, new)
    )


def _other_part(change: FieldChange, old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    return any(
        not _same(one, other) and not {one.get("kind"), other.get("kind")} & set(DEVICES)
        for one, other in _swaps(change, old, new)
    )


def _drill_over(change: FieldChange, old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    which = change.path.rpartition(".")[2]
    limit = _plain((new.get("rescue") or {}).get(f"{which}_limit"))
    if change.new is None or not isinstance(limit, str):
        return False
    return over(units.parse(change.new, "time").si, units.parse(limit, "time").si)


TESTS: Mapping[str, Callable[[FieldChange, Mapping[str, Any], Mapping[str, Any]], bool]] = {
    "same_ratings": _same_ratings,
    "other_ratings_of_device": _other_device,
    "other_ratings_of_other_part": _other_part,
    "drill_over": _drill_over,
}
