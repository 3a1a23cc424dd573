"""A YAML file taken apart at its top-level keys, each block parsed only when it is asked for.

A set of law is some 120 kB and a check asks a few dozen questions. Splitting is a cheap pass; parsing is not.
"""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

from docgen.errors import CodeError

__all__ = ["Blocks", "blocks"]

_TOP = re.compile(r"^([A-Za-z0-9_][A-Za-z0-9_.-]*):(?=[ \n]|$)", re.MULTILINE)
_PLAIN = [  # the only plain scalars that are not text; YAML 1.1 would also take yes, no, on, 12:30 and 0o17
    ("tag:yaml.org,2002:bool", re.compile(r"^(?:true|false)$"), "tf"),
    ("tag:yaml.org,2002:null", re.compile(r"^null$"), "n"),
    ("tag:yaml.org,2002:int", re.compile(r"^-?(?:0|[1-9][0-9]*)$"), "-0123456789"),
    ("tag:yaml.org,2002:timestamp", re.compile(r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"), "0123456789"),
]


if TYPE_CHECKING:
    _Base = yaml.SafeLoader
else:
    _Base = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _Loader(_Base):
    """The C loader with few implicit types and no repeated keys."""

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        seen: set[Any] = set()
        for key, _ in node.value:
            if key.value in seen:
                raise yaml.MarkedYAMLError(problem=f"the key '{key.value}' stands twice", problem_mark=key.start_mark)
            seen.add(key.value)
        return super().construct_mapping(node, deep=deep)


_Loader.yaml_implicit_resolvers = {}
for _tag, _expression, _first in _PLAIN:
    _Loader.add_implicit_resolver(_tag, _expression, list(_first))


class Blocks(Mapping[str, Any]):
    """One file as a read-only mapping of top-level key to parsed value. Raises CodeError with file and line."""

    def __init__(self, path: Path):
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as fault:
            raise CodeError(f"{path.parent.name}/{path.name} cannot be read: {fault}") from None
        self.name = f"{path.parent.name}/{path.name}"
        self._text: dict[str, tuple[int, str]] = {}
        self._value: dict[str, Any] = {}
        starts = [*_TOP.finditer(text)]
        head = text[: starts[0].start()] if starts else text
        if any(line.strip() and not line.startswith("#") for line in head.splitlines()):
            raise CodeError(f"{self.name}:1 begins with neither a comment nor a key; write 'key:' at the margin")
        line, at = 1, 0
        for match, following in zip(starts, [*starts[1:], None], strict=True):
            line, at = line + text.count("\n", at, match.start()), match.start()
            if match[1] in self._text:
                raise CodeError(f"{self.name}:{line} the key '{match[1]}' stands twice; join the two or remove one")
            self._text[match[1]] = (line, text[at : following.start() if following else len(text)])

    def __getitem__(self, key: str) -> Any:
        if key not in self._value:
            line, text = self._text[key]
            try:
                self._value[key] = yaml.load(text, _Loader)[key]
            except (yaml.YAMLError, ValueError) as fault:
                mark = getattr(fault, "problem_mark", None)
                told = getattr(fault, "problem", None) or fault
                raise CodeError(f"{self.name}:{line + (mark.line if mark else 0)} {key}: {told}") from None
        return self._value[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._text)

    def __len__(self) -> int:
        return len(self._text)

    def line(self, key: str) -> int:
        """The line, from 1, on which the block of `key` begins."""
        return self._text[key][0]


@cache
def blocks(path: Path) -> Blocks:
    """The blocks of a file, read once in a process."""
    return Blocks(path)
