"""A part, a person or a vehicle is replaced: the profile with the new id in its place, the old one in the list of what is retired.

The text of the profile is edited in place by the positions of its values, so that every comment and every other line stays. What was
known of the old one only (label, papers, measures) becomes `unknown`, the methods that a rescuer has practised an empty list: findings ask
for it until it is there.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from docgen.check import check, declared, referred, undecided
from docgen.control.edit import at_path, lost_comments, nodes_of, with_rows
from docgen.errors import RecordError, Refusal
from docgen.frozen import frozen
from docgen.logbook import appended
from docgen.read import Mark, Source, read_text
from docgen.site.retired import COLLECTIONS, RetiredKind
from docgen.unknown import WORD, without_unknown

if TYPE_CHECKING:
    import yaml

__all__ = ["Replaced", "replaced", "write"]

#: Where the things lie that can be replaced, and what of an entry stays: what says what it is and where it serves, not what it was found to be.
PLACES: Mapping[RetiredKind, tuple[str, frozenset[str]]] = {
    "part": ("equipment", frozenset({"id", "kind", "name", "count", "spare", "part_of", "inspection"})),
    "vehicle": ("vehicles", frozenset({"id", "kind", "name"})),
    "climber": ("people.users", frozenset({"id", "employer", "shifts"})),
    "rescuer": ("people.rescuers", frozenset({"id", "shifts"})),
}
#: References that say what is true of the old one alone: they are asked for again and do not go over to the new one.
ONE_PERSON = re.compile(r"(people\.rescuers|roles)\[\d+\]\.user")
KEPT = ("name", "serial", "label_photo", "manual")
ID = re.compile(r"[A-Za-z0-9]+(-[A-Za-z0-9]+)*")


@frozen
class Replaced:
    """What a replacement makes of the profile: both texts, what it was, and the paths that are `unknown` now."""

    file: Path
    old: str
    new: str
    of: RetiredKind
    asked: tuple[str, ...]

    @property
    def difference(self) -> str:
        """The lines that changed, as a unified difference."""
        name = self.file.name
        lines = difflib.unified_diff(self.old.splitlines(), self.new.splitlines(), name, name, lineterm="", n=1)
        return "\n".join(lines) + "\n"

    def still_named(self, old: str) -> tuple[int, ...]:
        """Lines of the new text on which the old id stands in a text that people wrote: they are left as they are."""
        source = read_text(self.new, str(self.file))
        word = re.compile(rf"(?<![\w-]){re.escape(old)}(?![\w-])")
        lines = {
            mark.line
            for path, mark in source.marks.items()
            if not path.startswith("retired") and isinstance(said := at_path(source.data, path), str) and word.search(said)
        }
        return tuple(sorted(lines))


def replaced(file: Path, old: str, new: str, on: date, name: str | None = None, reason: str | None = None) -> Replaced:
    """The profile in which `new` stands where `old` stood. Refusal for an id that is not there, is taken, or would not be read back.

    `file` has no problems; `name` is that of the new one where it is called otherwise.
    """
    text = file.read_bytes().decode("utf-8")
    profile = read_text(text, str(file))
    kind, path = _place_of(profile, old)
    _free(profile, new)
    nodes = nodes_of(text)
    entry = at_path(profile.data, path)
    edits: list[tuple[int, int, str]] = [_instead(nodes[f"{path}.id"], new)]
    asked = []
    if kind == "rescuer" and "methods" not in entry:  # left out, it would say that the new one has practised all
        edits = [_instead(nodes[f"{path}.id"], f"{new}{_beside(nodes[path], text)}methods: []")]
        asked.append(f"{path}.methods")
    for key in entry:
        at = f"{path}.{key}"
        if key == "name" and name is not None:
            edits.append(_instead(nodes[at], _scalar(name)))
        elif at in nodes and kind == "rescuer" and key == "methods":  # what one has practised, nobody else has
            start, end, value = _emptied(nodes[at], text, nodes)
            edits.append((start, end, value.replace(WORD, "[]", 1)))
            asked.append(at)
        elif key not in PLACES[kind][1] and at in nodes and _may_be_unknown(profile, at):
            edits.append(_emptied(nodes[at], text, nodes))
            asked.append(at)
    for at, value, into in referred(profile):
        if value != old or COLLECTIONS[kind] not in into or at.startswith(f"{path}."):
            continue
        alone = ONE_PERSON.fullmatch(at) is not None and _may_be_unknown(profile, at)
        edits.append(_instead(nodes[at], WORD if alone else new))
        asked += [at] if alone else []
    for at in _papers_together(profile, old) if kind == "part" else ():
        if at in nodes and _may_be_unknown(profile, at):
            edits.append(_emptied(nodes[at], text, nodes))
            asked.append(at)
    row = {"id": old, "of": kind, "on": on, "by": new, **_kept(entry), **({"reason": reason} if reason else {})}
    made = with_rows(_applied(text, edits), "retired", [row])
    return _read_back(Replaced(file, text, made, kind, tuple(asked)), profile)


def write(made: Replaced) -> None:
    """Put the new text into the file in one step. RecordError where somebody has written to it meanwhile."""
    from docgen.control.safe import replace_file

    try:
        replace_file(made.file, made.old.encode("utf-8"), made.new.encode("utf-8"))
    except FileExistsError:
        raise RecordError("profile-moved", file=str(made.file)) from None


def _place_of(profile: Source, old: str) -> tuple[RetiredKind, str]:
    """What has that id, and the path of its entry."""
    known: list[str] = []
    for kind, (section, _) in PLACES.items():
        rows = at_path(profile.data, section)
        for index, row in enumerate(rows if isinstance(rows, list) else ()):
            key = str(row.get("id")) if isinstance(row, dict) else ""
            if key == old:
                return kind, f"{section}[{index}]"
            known.append(key)
    near = difflib.get_close_matches(old, known, 1, 0.5)
    raise Refusal("nothing-to-replace", id=old, near=near[0] if near else ", ".join(known[:12]))


def _free(profile: Source, new: str) -> None:
    """Refuse an id that is none, or that something has or had."""
    if ID.fullmatch(new) is None:
        raise Refusal("id-malformed", id=new)
    taken = {key.casefold() for ids in declared(profile).values() for key in ids}
    rows = at_path(profile.data, "retired")
    taken |= {str(row.get("id")).casefold() for row in rows if isinstance(row, dict)} if isinstance(rows, list) else set()
    if new.casefold() in taken:
        raise Refusal("id-taken", id=new)


def _papers_together(profile: Source, old: str) -> Iterator[str]:
    """Papers that say that the old part fits with others: of its systems, and of parts that name it as theirs."""
    systems = at_path(profile.data, "systems")
    for index, system in enumerate(systems if isinstance(systems, list) else ()):
        if old in (*system.get("parts", ()), *system.get("harnesses", ())):
            yield f"systems[{index}].compatibility"
    for index, part in enumerate(at_path(profile.data, "equipment") or ()):
        if isinstance(part.get("line_angle"), dict) and part["line_angle"].get("rail") == old:
            yield f"equipment[{index}].line_angle"


def _may_be_unknown(profile: Source, path: str) -> bool:
    return not undecided(profile, [(path, Mark(1, 1, 1, 1))])


def _kept(entry: Mapping[str, Any]) -> dict[str, str]:
    return {key: str(entry[key]) for key in KEPT if isinstance(entry.get(key), str) and entry[key] != WORD}


# the text


def _instead(node: yaml.Node, value: str) -> tuple[int, int, str]:
    return node.start_mark.index, node.end_mark.index, value


def _beside(entry: yaml.Node, text: str) -> str:
    """What stands between a value of an entry and the next key: a comma, or a new line as far in as the others."""
    if getattr(entry, "flow_style", False):
        return ", "
    return f"{_newline(text)}{' ' * entry.start_mark.column}"


def _emptied(node: yaml.Node, text: str, nodes: Mapping[str, yaml.Node]) -> tuple[int, int, str]:
    """The edit that makes a value unknown; the comments inside it stay, each on its line."""
    import yaml

    inside = [n for n in nodes.values() if isinstance(n, yaml.ScalarNode) and _within(n, node)]
    start, end = node.start_mark.index, node.end_mark.index
    if isinstance(node, yaml.CollectionNode) and not node.flow_style:
        end = max((n.end_mark.index for n in (*inside, *_flows(nodes, node))), default=end)
    stop = min((i for i in (text.find(sign, end) for sign in "\r\n") if i >= 0), default=len(text))
    if any(True for _ in _comments(text, inside, start, end)) and text[end:stop].lstrip().startswith("#"):
        end = stop  # the comment behind its last line goes with those inside
    comments = [text[a:b].rstrip("\r\n") for a, b in _comments(text, inside, start, end)]
    if not isinstance(node, yaml.CollectionNode) or node.flow_style:
        begin, value = start, WORD
    else:  # the block begins on a line of its own
        begin = len(text[:start].rstrip())
        value = f" {WORD}"
    if not comments:
        return begin, end, value
    newline = _newline(text)
    indent = " " * node.start_mark.column if begin != start else " " * _indent(text, start)
    return begin, end, value + "".join(f"{newline}{indent}{c}" for c in comments)


def _within(inner: yaml.Node, outer: yaml.Node) -> bool:
    return bool(outer.start_mark.index <= inner.start_mark.index and inner.end_mark.index <= outer.end_mark.index)


def _flows(nodes: Mapping[str, yaml.Node], outer: yaml.Node) -> Iterator[yaml.Node]:
    import yaml

    return (n for n in nodes.values() if isinstance(n, yaml.CollectionNode) and n.flow_style and _within(n, outer))


def _comments(text: str, scalars: Iterable[yaml.Node], start: int, end: int) -> Iterator[tuple[int, int]]:
    """Where the comments of a stretch begin and end."""
    spans = [(n.start_mark.index, n.end_mark.index) for n in scalars]
    at = start
    while (at := text.find("#", at, end)) >= 0:
        if text[at - 1] in " \t\r\n" and not any(a <= at < b for a, b in spans):
            stop = next((i for i in range(at, len(text)) if text[i] in "\r\n"), len(text))
            yield at, min(stop, end) if stop > end else stop
            at = stop
        else:
            at += 1


def _indent(text: str, at: int) -> int:
    line = text[text.rfind("\n", 0, at) + 1 : at]
    return len(line) - len(line.lstrip())


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _applied(text: str, edits: Iterable[tuple[int, int, str]]) -> str:
    wanted = set(edits)
    outer = [e for e in wanted if not any(a <= e[0] and e[1] <= b and (a, b) != e[:2] for a, b, _ in wanted)]
    for start, end, value in sorted(outer, reverse=True):
        text = f"{text[:start]}{value}{text[end:]}"
    return text


def _scalar(value: str) -> str:
    return appended("", {"x": value}).rpartition("{x: ")[2].rstrip()[:-1]


def _read_back(made: Replaced, profile: Source) -> Replaced:
    """Refuse a text that would not be read as meant, or in which a comment is lost."""
    source, not_known = without_unknown(read_text(made.new, profile.file))
    problems = (*check(source), *undecided(source, ((n.path, n.mark) for n in not_known)))
    for problem in problems[:1]:
        raise Refusal("replacement-unreadable", file=f"{problem.file}:{problem.line}:{problem.column}", message=problem.message)
    for comment in lost_comments(made.old, made.new):
        raise Refusal("replacement-unreadable", file=str(made.file), message=comment)
    return made
