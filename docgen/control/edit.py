"""The text of a profile, edited by the positions of its values: what is not named keeps every sign of it, comments and order too.

    entry = Entry("equipment[2]", old, new, order)      # data as it is and as it is to be
    text = edited(text, [entry])
    text = with_rows(text, "people.users", rows, order)

Who edits reads the text again afterwards and holds it against what was meant; `lost_comments` tells what no edit may lose.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from docgen.control.comments import comments_of
from docgen.frozen import frozen
from docgen.logbook import scalar
from docgen.read import QUICKEST_LOADER, join

if TYPE_CHECKING:
    import yaml

__all__ = ["Entry", "at_path", "edited", "lost_comments", "nodes_of", "with_rows"]

WIDE = 150  # signs of a line beyond which a new entry stands on lines of its own
KEY = re.compile(r"\.?([^.\[\]]+)|\[(\d+)\]")
Edit = tuple[int, int, str]


@frozen
class Entry:
    """A group of keys of the profile: its path, what it holds and what it is to hold, and the order in which its keys are declared."""

    path: str
    old: Mapping[str, Any]
    new: Mapping[str, Any]
    order: tuple[str, ...] = ()


def at_path(data: Any, path: str) -> Any:
    """What stands at a path of the data, or None."""
    for key, index in KEY.findall(path):
        if isinstance(data, dict):
            data = data.get(key)
        elif isinstance(data, list) and index and int(index) < len(data):
            data = data[int(index)]
        else:
            return None
    return data


def lost_comments(old: str, new: str) -> list[str]:
    """The comments of a text that another one has no more."""
    return list((Counter(c.text for c in comments_of(old)) - Counter(c.text for c in comments_of(new))).elements())


def edited(text: str, entries: Iterable[Entry]) -> str:
    """The text in which each entry holds what it is to hold."""
    head, text = _headed(text)
    nodes = nodes_of(text)
    edits: list[Edit] = []
    for entry in entries:
        edits += _mapping(text, nodes[entry.path], entry.old, entry.new, entry.order)
    for start, end, value in sorted(
        edits, reverse=True
    ):  # of lines that come in one place the deeper one stands first, as a blank sorts before a letter
        text = f"{text[:start]}{value}{text[end:]}"
    return head + text


def with_rows(text: str, path: str, rows: Sequence[Mapping[str, Any]], after: tuple[str, ...] = ()) -> str:
    """The text in which a list has more rows at its end; list and section are made where there are none.

    `after` are the keys behind which the list stands in a group that has none.
    """
    head, text = _headed(text)
    return head + _with_rows(text, path, rows, after)


def _headed(text: str) -> tuple[str, str]:
    """The sign of UTF-8 that a text may begin with, which the parser does not count, and the rest."""
    rest = text.removeprefix("\ufeff")
    return text[: len(text) - len(rest)], rest


def _with_rows(text: str, path: str, rows: Sequence[Mapping[str, Any]], after: tuple[str, ...]) -> str:
    import yaml

    nodes, newline = nodes_of(text), _newline(text)
    held = nodes.get(path)
    if isinstance(held, yaml.SequenceNode) and held.value and not held.flow_style:
        indent = " " * held.start_mark.column
        stop = _line_end(text, _end(text, held))
        return (
            f"{text[:stop]}{''.join(f'{newline}{line}' for row in rows for line in _lines(row, indent))}{text[stop:] or newline}"
        )
    flow = ", ".join(scalar(row) for row in rows)
    if isinstance(held, yaml.SequenceNode) and held.flow_style:
        at = held.end_mark.index - 1
        begun = text[:at].rstrip()
        comma = ", " if held.value and not begun.endswith(",") else ""
        return f"{begun}{comma}{flow}{text[at:]}"
    if held is not None:  # a word in the place of the list, such as unknown
        return f"{text[: held.start_mark.index]}[{flow}]{text[held.end_mark.index :]}"
    parent, _, key = path.rpartition(".")
    above = nodes.get(parent) if parent else nodes[""]
    if parent and isinstance(above, yaml.MappingNode):
        old = {k.value: None for k, _ in above.value}
        (edit,) = _mapping(text, above, old, {**old, key: list(rows)}, (*after, key))
        return f"{text[: edit[0]]}{edit[2]}{text[edit[1] :]}"
    if parent and above is not None:
        return f"{text[: above.start_mark.index]}{{{key}: [{flow}]}}{text[above.end_mark.index :]}"
    head, indent = ([f"{parent}:", f"  {key}:"], "    ") if parent else ([f"{key}:"], "  ")
    lines = [*head, *(line for row in rows for line in _lines(row, indent))]
    return f"{text.rstrip()}{newline}{newline}{newline.join(lines)}{newline}"


def _lines(row: Mapping[str, Any], indent: str) -> list[str]:
    """A row of a list as a block holds it: on one line, or a line for each key where that would be too long."""
    flow = f"{indent}- {scalar(row)}"
    if len(flow) <= WIDE:
        return [flow]
    return [f"{indent}{'  ' if n else '- '}{key}: {scalar(value)}" for n, (key, value) in enumerate(row.items())]


def nodes_of(text: str) -> dict[str, yaml.Node]:
    """Path -> the value that stands there, with where it begins and ends in the text."""
    import yaml

    def walk(node: yaml.Node, path: str) -> Iterator[tuple[str, yaml.Node]]:
        yield path, node
        if isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                yield from walk(value, join(path, key.value))
        elif isinstance(node, yaml.SequenceNode):
            for index, value in enumerate(node.value):
                yield from walk(value, join(path, index))

    root = yaml.compose(text, Loader=QUICKEST_LOADER)
    return dict(walk(root, "")) if root is not None else {}


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _end(text: str, node: yaml.Node) -> int:
    """Where a value ends: a block ends with the last thing in it, and not where the next begins."""
    import yaml

    if isinstance(node, yaml.MappingNode) and not node.flow_style and node.value:
        return _end(text, node.value[-1][1])
    if isinstance(node, yaml.SequenceNode) and not node.flow_style and node.value:
        return _end(text, node.value[-1])
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        return len(text[: node.end_mark.index].rstrip())
    return int(node.end_mark.index)


def _line_end(text: str, at: int) -> int:
    return min((i for i in (text.find("\r", at), text.find("\n", at)) if i >= 0), default=len(text))


def _block(node: yaml.Node) -> bool:
    import yaml

    return isinstance(node, yaml.CollectionNode) and not node.flow_style


def _value(text: str, node: yaml.Node, old: Any, new: Any) -> list[Edit]:
    """The edits that make one value another."""
    import yaml

    if old == new:
        return []
    if isinstance(node, yaml.MappingNode) and isinstance(old, Mapping) and isinstance(new, Mapping):
        return _mapping(text, node, old, new, tuple(new))
    start, end = node.start_mark.index, _end(text, node)
    if not _block(node):
        return [(start, end, scalar(new))]
    return [(len(text[:start].rstrip()), end, f" {scalar(new)}")]  # it begins on a line of its own, below its key


def _mapping(text: str, node: yaml.Node, old: Mapping[str, Any], new: Mapping[str, Any], order: tuple[str, ...]) -> list[Edit]:
    """The edits of a group of keys: values that change, keys that go, and keys that come, each behind those that are declared before it."""
    if old == new:
        return []
    gone, come = [k for k in old if k not in new], [k for k in new if k not in old]
    flow = not _block(node)
    if flow and (gone or not old):
        return [(node.start_mark.index, node.end_mark.index, scalar(new))]
    pairs = {key.value: (key, value) for key, value in node.value}
    edits: list[Edit] = []
    for key in old:
        if key in new:
            edits += _value(text, pairs[key][1], old[key], new[key])
        else:
            start = text.rfind("\n", 0, pairs[key][0].start_mark.index) + 1
            stop = _line_end(text, _end(text, pairs[key][1]))
            edits.append((start, text.find("\n", stop) + 1 or len(text), ""))
    behind: dict[str, list[str]] = {}
    kept = [k for k in old if k in new]
    if not kept:
        return [(len(text[: node.start_mark.index].rstrip()), _end(text, node), f" {scalar(new)}")]
    for key in sorted(come, key=lambda k: order.index(k) if k in order else len(order)):
        before = [k for k in kept if k in order and key in order and order.index(k) < order.index(key)]
        anchor = max(before, key=order.index) if before else kept[-1]
        behind.setdefault(anchor, []).append(f"{key}: {scalar(new[key])}")
    indent = _newline(text) + " " * node.start_mark.column
    for anchor, added in behind.items():
        end = _end(text, pairs[anchor][1])
        at = end if flow else _line_end(text, end)
        edits.append((at, at, "".join(f", {each}" if flow else f"{indent}{each}" for each in added)))
    return edits
