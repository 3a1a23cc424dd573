"""What changed between two states in plain words: what is allowed now and was not, what is no longer, then what else, thing by thing.

Names of the profile stand for its fields; no path and no id of a clause is told. The sentences are words of `changes.plain`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Literal, NamedTuple

from docgen.control.changes import BESIDE, Changes, State
from docgen.control.fields import FieldChange
from docgen.control.say import control_words
from docgen.frozen import frozen
from docgen.site import Site, Task
from docgen.site.contractors import conditions_given

__all__ = ["Plain", "as_lines", "in_short", "plain"]

Turn = Literal["allowed", "forbidden", "ban-gone"]
NAMED = re.compile(r"(?P<section>[a-z_.]+)\[(?P<name>[^\]]+)\](?:\.(?P<rest>.*))?")
PERMISSION = re.compile(
    r"contractors\.classes\[[^]]+\]\..*|tasks\[[^]]+\]\.(id|name|bay|vehicle|permission)|bays\[[^]]+\]\.closed\..*"
)
QUIET = re.compile(
    r"(.*\.)?(how|by|on|tolerance|id|line_exit|label_photo)$|posting\[.*|contractors\.firms.*|handling.*|accepted.*|document\..*"
)
MOST = 8


class Fact(NamedTuple):
    """One field that changed, in words: whose it is, what it is called, and both values; None for none."""

    thing: str
    what: str
    old: str | None
    new: str | None


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
        if old.bay(bay.id) is not None and old.closed(bay.id) != new.closed(bay.id):
            if new.closed(bay.id):
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
        if now is not None and old.bay(now.bay) is not None and old.closed(now.bay) != new.closed(now.bay):
            continue  # the bay says it
        had, has = (task.permission if task is not None else "" for task in (was, now))
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
            yield "ban-gone", words["ban-gone" if not has else "ban-other-means"].format(**told)
        elif has == "allowed":
            yield "allowed", words["task-unbanned" if had == "prohibited" else "task-allowed"].format(**told)
        elif had == "allowed" and not gone:
            name = "task-gone" if not has else "task-other-means" if has == "other-means" and task.instead else "task-banned"
            yield "forbidden", words[name].format(**told)
        elif has == "prohibited":
            yield "forbidden", words["task-banned"].format(**told)


def _by_work(site: Site) -> dict[str, Task]:
    return {task.id: task for task in site.tasks}


def _classes(changes: Changes, words: Mapping[str, str]) -> Iterator[tuple[Turn, str]]:
    old, new = changes.old, changes.new
    names = {c.id: c.name for state in (old, new) for c in state.site.contractors.classes}
    for key, name in names.items():
        (had, was), (has, now) = _may(old, key), _may(new, key)
        if now and not was and has:
            yield "allowed", words["class-may"].format(name=name, bays=", ".join(has))
        elif now and not was:
            yield "forbidden", words["class-not-yet"].format(name=name)
        elif was and not now:
            yield "forbidden", words["class-may-not"].format(name=name)
        elif was and now:
            if gained := [bay for bay in has if bay not in had]:
                yield "allowed", words["class-bay-too"].format(name=name, bays=", ".join(gained))
            if lost := [bay for bay in had if bay not in has]:
                yield "forbidden", words["class-bay-not"].format(name=name, bays=", ".join(lost))


def _may(state: State, key: str) -> tuple[list[str], bool]:
    """The open bays in which a class may climb with all conditions given, and whether the profile says at all that it may."""
    site = state.site
    one = next((c for c in site.contractors.classes if c.id == key), None)
    if one is None or not one.may_climb:
        return [], False
    ready = conditions_given(one, site.contractors)
    return [bay.name for bay in site.bays if ready and bay.id in one.bays and not site.closed(bay.id)], True


def _end(text: object) -> str:
    """A text of the profile at the end of a sentence: one full stop, however it was written."""
    return str(text or "").rstrip(" .")


def _others(changes: Changes, words: Mapping[str, Any]) -> Iterator[str]:
    """Whatever else changed, one sentence a thing: its fields with what they were and what they are."""
    things: dict[str, list[Fact]] = {}
    for fact in _facts(changes, words):
        things.setdefault(fact.thing, []).append(fact)
    for thing, facts in things.items():
        yield words["thing"].format(thing=thing, what="; ".join(_turn(f, words) for f in facts[:MOST]))


def _turn(fact: Fact, words: Mapping[str, Any]) -> str:
    if fact.old is None:
        return str(words["came"]).format(what=fact.what, new=fact.new)
    if fact.new is None:
        return str(words["went"]).format(what=fact.what, old=fact.old)
    return str(words["turned"]).format(what=fact.what, old=fact.old, new=fact.new)


def _facts(changes: Changes, words: Mapping[str, Any]) -> Iterator[Fact]:
    named = words["fields"]
    for change in changes.fields:
        if change.path.startswith(BESIDE) or PERMISSION.fullmatch(change.path) or QUIET.fullmatch(change.path):
            continue
        thing, rest = _thing(change, changes, words)
        if thing is None:
            continue
        what = rest.rpartition(".")[2] or rest
        called = str(named.get(rest) or named.get(what) or re.sub(r"\[[^]]*\]", "", rest).replace("_", " ").replace(".", ", "))
        yield Fact(thing, called, _value(change.old, changes.old.site), _value(change.new, changes.new.site))


def _value(value: str | None, site: Site) -> str | None:
    """A value as people say it: the name of what an id names."""
    if value is None:
        return None
    role = site.role(value)
    return role.title if role is not None else value


def _thing(change: FieldChange, changes: Changes, words: Mapping[str, Any]) -> tuple[str | None, str]:
    """What a changed field belongs to, by its name, and the rest of the path; None where the thing came or went and that is told once."""
    sections = words["sections"]
    match = NAMED.fullmatch(change.path)
    if match is None:
        section, _, rest = change.path.partition(".")
        return str(sections.get(section, section)), rest or section
    section, key, rest = match["section"], match["name"], match["rest"] or ""
    if key.isdigit():  # a list whose items have no name
        above, _, last = section.partition(".")
        return str(sections.get(above, above)), f"{last or above} {rest}".strip()
    name = _name(section, key, changes.new.site) or _name(section, key, changes.old.site) or key
    kind = sections.get(section)
    gone = _name(section, key, changes.new.site) is None and _name(section, key, changes.old.site) is not None
    if gone and section in ("vehicles", "bays", "tasks"):
        return None, rest
    return (str(kind).format(name=name) if kind else name), rest


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
        case "roles":
            role = site.role(key)
            return role.title if role is not None else None
        case _:
            return None
    found = next((row for row in rows if row.id == key), None)
    return (found.name or found.id) if found is not None else None
