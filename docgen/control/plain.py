"""What changed between two states in plain words: what is allowed now and was not, what is no longer, then what else, thing by thing.

Names of the profile stand for its fields; no path and no id of a clause is told. The sentences are words of `changes.plain`.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, Literal, NamedTuple

from docgen.compose.helpers import lower_first
from docgen.control.changes import BESIDE, Changes, State
from docgen.control.fields import FieldChange
from docgen.control.say import control_words
from docgen.frozen import frozen
from docgen.site import Site, Slot, Task, slots_of
from docgen.site.contractors import conditions_given

__all__ = ["Plain", "as_lines", "in_short", "plain"]

Turn = Literal["allowed", "forbidden", "ban-gone"]
NAMED = re.compile(r"(?P<section>[a-z_.]+)\[(?P<name>[^\]]+)\](?:\.(?P<rest>.*))?")
PERMISSION = re.compile(
    r"contractors\.classes\[[^]]+\]\..*|tasks\[[^]]+\]\.(id|name|bay|vehicle|permission)|bays\[[^]]+\]\.closed\..*"
)
QUIET = re.compile(
    r"profile|(.*\.)?(how|by|on|tolerance|bound|id|line_exit|label_photo|unknown(\..*)?)$|posting\[.*|contractors\.firms.*|handling.*|accepted.*|document\..*"
)
PLACE = re.compile(r"\[[^]]*\]")
POST = re.compile(r"shifts\[([^]]+)\]\.posts\[(\d+)\]")
MOST = 8
UNKNOWN = "unknown"
#: Things of which a sentence on permissions says that they came or went.
UNTOLD = ("vehicles", "bays", "tasks", "posting", "contractors.classes", "handling", "accepted")
#: Ids that people say, and kinds of text that only the format has.
KNOWN_BY_CODE = ("users", "rescuers", "equipment")
CODED = ("id", "file_id", "question", "rule_value", "jurisdiction", "language", "paper")


class Fact(NamedTuple):
    """One change in words: whose it is, what it is called, and both values, None for none; `how`: told so, the thing is new or gone, or
    something else of it changed."""

    thing: str
    what: str
    old: str | None
    new: str | None
    how: Literal["told", "new", "gone", "else"]


@frozen
class Plain:
    """What changed: sentences on what is allowed, forbidden, and on bans that fell away; then sentences on other things."""

    allowed: tuple[str, ...]
    forbidden: tuple[str, ...]
    bans_gone: tuple[str, ...]
    others: tuple[str, ...]

    @property
    def permissions(self) -> tuple[str, ...]:
        """All that changes who may do what, in the order in which it must be told."""
        return (*self.forbidden, *self.bans_gone, *self.allowed)


def plain(changes: Changes, language: str) -> Plain:
    """What changed, in the words of a language."""
    words = control_words(language)["plain"]
    told: dict[Turn, list[str]] = {"allowed": [], "forbidden": [], "ban-gone": []}
    for turn, sentence in (
        *_bays(changes, words),
        *_vehicles(changes, words),
        *_tasks(changes, words),
        *_classes(changes, words),
    ):
        told[turn].append(sentence)
    once = {turn: tuple(dict.fromkeys(sentences)) for turn, sentences in told.items()}
    return Plain(once["allowed"], once["forbidden"], once["ban-gone"], tuple(_others(changes, words)))


def as_lines(changes: Changes, language: str) -> tuple[str, ...]:
    """All of it, what concerns permission first; one line where only words of the papers changed."""
    said = plain(changes, language)
    return (*said.permissions, *said.others) or (str(control_words(language)["plain"]["words-only"]),)


def in_short(changes: Changes, language: str, room: int = 320) -> str:
    """What changed, for the history of revisions: whole sentences as far as there is room, and how many more there are."""
    lines = as_lines(changes, language)
    kept = [lines[0]]
    for line in lines[1:]:
        if sum(map(len, kept)) + len(line) > room:
            break
        kept.append(line)
    left = len(lines) - len(kept)
    more = [str(control_words(language)["plain"]["and-more"]).format(n=left)] if left else []
    return " ".join((*kept, *more))


def _bays(changes: Changes, words: Mapping[str, str]) -> Iterator[tuple[Turn, str]]:
    old, new = changes.old.site, changes.new.site
    for bay in new.bays:
        if old.bay(bay.id) is None:
            continue
        was, now = (bay.id in state.shut for state in (changes.old, changes.new))
        if was != now or old.closed(bay.id) != new.closed(bay.id):
            if now and not new.closed(bay.id):
                yield "forbidden", words["bay-shut"].format(bay=bay.name)
            elif now:
                yield "forbidden", words["bay-closed"].format(bay=bay.name, reason=_end(bay.closed.reason))
            else:
                yield "allowed", words["bay-opened"].format(bay=bay.name)
    for bay in old.bays:
        if new.bay(bay.id) is None:
            yield "forbidden", words["bay-gone"].format(bay=bay.name)


def _vehicles(changes: Changes, words: Mapping[str, str]) -> Iterator[tuple[Turn, str]]:
    old, new = changes.old.site, changes.new.site
    for vehicle in old.vehicles:
        if new.vehicle(vehicle.id) is None:
            yield "forbidden", words["vehicle-gone"].format(vehicle=vehicle.name)


def _tasks(changes: Changes, words: Mapping[str, str]) -> Iterator[tuple[Turn, str]]:
    old, new = changes.old.site, changes.new.site
    before, after = _by_work(old), _by_work(new)
    for work in dict.fromkeys((*before, *after)):
        was, now = before.get(work), after.get(work)
        if now is not None and old.bay(now.bay) is not None and (now.bay in changes.old.shut) != (now.bay in changes.new.shut):
            continue  # the bay says it
        had, has = _permission(was, changes.old), _permission(now, changes.new)
        if had == has:
            continue
        site, task = (new, now) if now is not None else (old, was)
        if task is None:
            continue
        vehicle, bay = site.vehicle(task.vehicle), site.bay(task.bay)
        told = {
            "task": task.name or task.id, "vehicle": vehicle.name if vehicle else task.vehicle, "bay": bay.name if bay else task.bay,
            "instead": _end(task.instead),
        }  # fmt: skip
        gone = new.vehicle(task.vehicle) is None or new.bay(task.bay) is None
        if had == "prohibited" and has != "allowed":
            yield "ban-gone", words["ban-other-means" if has == "other-means" else "ban-gone"].format(**told)
        elif has == "allowed":
            yield "allowed", words["task-unbanned" if had == "prohibited" else "task-allowed"].format(**told)
        elif had == "allowed" and not gone:
            name = "task-gone" if not has else "task-other-means" if has == "other-means" and task.instead else "task-banned"
            yield "forbidden", words[name].format(**told)
        elif has == "prohibited":
            yield "forbidden", words["task-banned"].format(**told)


def _permission(task: Task | None, state: State) -> str:
    """What the papers say of some work: in a bay that they close nothing is allowed, whatever the profile permits; "" where there is none."""
    if task is None:
        return ""
    return "closed" if task.permission == "allowed" and task.bay in state.shut else str(task.permission or "")


def _by_work(site: Site) -> dict[str, Task]:
    return {task.id: task for task in site.tasks}


def _classes(changes: Changes, words: Mapping[str, Any]) -> Iterator[tuple[Turn, str]]:
    old, new = changes.old, changes.new
    names = {c.id: c.name for state in (old, new) for c in state.site.contractors.classes}
    for key, called in names.items():
        name = _one(called, words)
        (had, was), (has, now) = _may(old, key), _may(new, key)
        if now and not was and has:
            yield "allowed", words["class-may"].format(a_name=name, bays=_listed(has, words))
        elif now and not was:
            waits = _ready(new, key)
            yield "forbidden", words["class-bay-shut" if waits else "class-not-yet"].format(a_name=name)
        elif was and not now:
            yield "forbidden", words["class-may-not"].format(a_name=name)
        elif was and now:
            if gained := [bay for bay in has if bay not in had]:
                yield "allowed", words["class-bay-too"].format(a_name=name, bays=_listed(gained, words))
            if lost := [bay for bay in had if bay not in has]:
                yield "forbidden", words["class-bay-not"].format(a_name=name, bays=_listed(lost, words))


def _one(name: str, words: Mapping[str, Any]) -> str:
    """One of a class at the start of a sentence: `A service technician`."""
    form = words["one-of"]
    return str(form["an" if name[:1] in form["vowels"] else "a"]).format(name=lower_first(name))


def _listed(bays: list[str], words: Mapping[str, Any]) -> str:
    return str(words["one-of"]["and"]).join(bays)


def _may(state: State, key: str) -> tuple[list[str], bool]:
    """The open bays in which a class may climb with all conditions given, and whether the profile says at all that it may."""
    site = state.site
    one = next((c for c in site.contractors.classes if c.id == key), None)
    if one is None or not one.may_climb:
        return [], False
    ready = conditions_given(one, site.contractors)
    return [bay.name for bay in site.bays if ready and bay.id in one.bays and bay.id not in state.shut], True


def _ready(state: State, key: str) -> bool:
    """Whether a class has every condition given and at least one bay, so that only closed bays keep it out."""
    one = next((c for c in state.site.contractors.classes if c.id == key), None)
    return one is not None and conditions_given(one, state.site.contractors) and any(b.id in one.bays for b in state.site.bays)


def _end(text: object) -> str:
    """A text of the profile at the end of a sentence: one full stop, however it was written."""
    return str(text or "").rstrip(" .")


def _others(changes: Changes, words: Mapping[str, Any]) -> Iterator[str]:
    """Whatever else changed: what is new or gone, then one sentence a thing: its fields with what they were and what they are."""
    things: dict[str, list[Fact]] = {}
    for fact in _facts(changes, words):
        things.setdefault(fact.thing, []).append(fact)
    for thing, facts in things.items():
        whole = next((f for f in facts if f.how in ("new", "gone")), None)
        if whole is not None:
            yield words[f"thing-{whole.how}"].format(thing=thing)
        if whole is not None and whole.how == "gone":
            continue
        turns = [_turn(f, words) for f in facts if f.how == "told"][:MOST]
        if turns:
            yield words["thing"].format(thing=thing, what="; ".join(turns))
        elif whole is None:
            yield words["thing-else" if changes.texts_changed else "thing-else-unprinted"].format(thing=thing)


def _turn(fact: Fact, words: Mapping[str, Any]) -> str:
    if fact.old is None:
        return str(words["came"]).format(what=fact.what, new=fact.new)
    if fact.new is None:
        return str(words["went"]).format(what=fact.what, old=fact.old)
    return str(words["turned"]).format(what=fact.what, old=fact.old, new=fact.new)


def _facts(changes: Changes, words: Mapping[str, Any]) -> Iterator[Fact]:
    """Each change in words: what has no words of its own, or a value that is a word of the format, is told as a change of the thing alone."""
    named = words["fields"]
    for change in changes.fields:
        if change.path.startswith(BESIDE):
            continue
        match = NAMED.fullmatch(change.path)
        if match is not None and match["rest"] == "id" and change.how != "changed" and match["section"] not in UNTOLD:
            thing, _ = _thing(change, changes, words)
            if thing is not None:
                yield Fact(thing, "", None, None, "new" if change.how == "added" else "gone")
            continue
        if PERMISSION.fullmatch(change.path) or QUIET.fullmatch(change.path):
            continue
        thing, rest = _thing(change, changes, words)
        if thing is None:
            continue
        field, below = PLACE.sub("", change.path), PLACE.sub("", rest)
        called = named.get(field) or named.get(below) or named.get(below.rpartition(".")[2])
        values = [
            _value(change.path, v, site, words) for v, site in ((change.old, changes.old.site), (change.new, changes.new.site))
        ]
        if called is None or None in values or values[0] == values[1]:
            yield Fact(thing, "", None, None, "else")
        else:
            what = str(called).format(post=_post(change, changes))
            yield Fact(thing, what, values[0] or None, values[1] or None, "told")


def _post(change: FieldChange, changes: Changes) -> str:
    """The name of the post that a field below a shift speaks of."""
    match = POST.match(change.path)
    shift = match and (changes.old if change.new is None else changes.new).site.shift(match[1])
    posts = shift.posts if shift else ()
    return next((p.post for n, p in enumerate(posts) if match and n == int(match[2])), "")


def _value(path: str, value: str | None, site: Site, words: Mapping[str, Any]) -> str | None:
    """A value as people say it, "" where there is none: what an id names, yes or no; None where only the format has a word for it."""
    if value is None:
        return ""
    if value == UNKNOWN:
        return str(words["not-known"])
    field = PLACE.sub("", path)
    slot, refers = _fields().get(field) or _fields().get(f"{field}.value") or (None, ())
    if slot is None:
        return None
    if refers:
        names = [_called(refers, key, site) for key in value.split(", ")]
        return None if None in names else ", ".join(n for n in names if n)
    if slot.what == "flag":
        return str(words["truth"][value])
    if slot.what == "text" and isinstance(slot.arg, tuple):
        said = words["values"].get(field, {}).get(value)
        return None if said is None else str(said)
    return None if slot.arg in CODED else value


def _called(refers: tuple[str, ...], key: str, site: Site) -> str | None:
    """The name of what an id names, a code where people know the thing by it; None for any other id."""
    rows: Mapping[str, Iterable[Any]] = {
        "bays": site.bays, "vehicles": site.vehicles, "tasks": site.tasks, "shifts": site.shifts, "methods": site.rescue.methods,
    }  # fmt: skip
    if "roles" in refers and (role := site.role(key)) is not None:
        return role.title
    for of in refers:
        if (row := next((r for r in rows.get(of, ()) if r.id == key), None)) is not None:
            return str(row.name or row.id)
        if of in KNOWN_BY_CODE:
            return key
    return None


@cache
def _fields() -> Mapping[str, tuple[Slot, tuple[str, ...]]]:
    """Every field of the profile by its path without places: its kind, and what its ids name."""
    return dict(_below(Site, ""))


def _below(cls: type, at: str) -> Iterator[tuple[str, tuple[Slot, tuple[str, ...]]]]:
    said = {f.name: f.metadata["says"] for f in dataclasses.fields(cls) if "says" in f.metadata}
    for slot in slots_of(cls):
        path = f"{at}.{slot.key}".lstrip(".")
        if slot.what == "record":
            yield from _below(slot.arg, path)
        else:
            refers = said[slot.name].refers_to
            yield path, (slot, (refers,) if isinstance(refers, str) and refers else tuple(refers))


def _thing(change: FieldChange, changes: Changes, words: Mapping[str, Any]) -> tuple[str | None, str]:
    """What a changed field belongs to, by its name, and the rest of the path; None where the thing came or went and that is told once."""
    sections = words["sections"]
    match = NAMED.fullmatch(change.path)
    if match is None:
        section, _, rest = change.path.partition(".")
        return str(sections[section]), rest or section
    section, key, rest = match["section"], match["name"], match["rest"] or ""
    above, _, last = section.partition(".")
    name = _name(section, key, changes.new.site) or _name(section, key, changes.old.site)
    if section not in sections or (name is None and key.isdigit()):  # a list whose items have no name of their own
        return str(sections[above]), f"{last or above}.{rest}".strip(".")
    gone = _name(section, key, changes.new.site) is None and _name(section, key, changes.old.site) is not None
    if gone and section in UNTOLD:
        return None, rest
    return str(sections[section]).format(name=name or key), rest


def _name(section: str, key: str, site: Site) -> str | None:
    rows: Iterable[Any]
    match section:
        case "equipment":
            part = site.part(key)
            return f"{part.name or part.kind} {part.id}" if part is not None else None
        case "vehicles":
            rows = site.vehicles
        case "bays":
            rows = site.bays
        case "tasks":
            rows = site.tasks
        case "contractors.classes":
            rows = site.contractors.classes
        case "shifts":
            rows = site.shifts
        case "rescue.methods":
            rows = site.rescue.methods
        case "reviewers":
            rows = site.reviewers
        case "roles":
            role = site.role(key)
            return role.title if role is not None else None
        case _:
            return None
    found = next((row for row in rows if row.id == key), None)
    return (found.name or found.id) if found is not None else None
