"""The comments of a YAML file, each with its place: what a reader of the file sees and no field holds."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.frozen import frozen

__all__ = ["Comment", "comments_of"]


@frozen
class Comment:
    """A comment from its sign to the end of its line; line and column count from 1."""

    text: str
    line: int
    column: int


def comments_of(text: str) -> Iterator[Comment]:
    """Every comment of a text that can be read as YAML, in order. A sign within a value or a key begins none."""
    import yaml

    def spans(node: yaml.Node) -> Iterator[tuple[int, int]]:
        if isinstance(node, yaml.ScalarNode):
            yield node.start_mark.index + unseen, node.end_mark.index + unseen
        elif isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                yield from spans(key)
                yield from spans(value)
        elif isinstance(node, yaml.SequenceNode):
            for value in node.value:
                yield from spans(value)

    quick = getattr(yaml, "CSafeLoader", None)
    unseen = int(quick is not None and text.startswith("\ufeff"))  # a sign that the quick loader does not count
    root = yaml.compose(text, Loader=quick or yaml.SafeLoader)
    taken = sorted(spans(root)) if root is not None else []
    at, span = 0, 0
    while (at := text.find("#", at)) >= 0:
        while span < len(taken) and taken[span][1] <= at:
            span += 1
        inside = span < len(taken) and taken[span][0] <= at
        if not inside and (at == 0 or text[at - 1] in " \t\r\n"):
            stop = next((i for i in range(at, len(text)) if text[i] in "\r\n"), len(text))
            yield Comment(text[at:stop].rstrip(), text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at))
            at = stop
        else:
            at += 1
