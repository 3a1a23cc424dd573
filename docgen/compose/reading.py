"""Records as a template function sees them: whatever it reads of one is noted in the trace of the clause being written.

A function of the templates gets its records from here and gives plain ones back, so that reading is traced, not
remembering to say so.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar, cast

from docgen.compose.trace import Trace
from docgen.site import Node, Quantity

__all__ = ["plain", "traced", "tracing"]

LEAVES = (str, int, bool, float, type(None), Quantity)  # what most reads give: nothing in them is to be put under a trace

P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")


class _Traced:
    """One record under a trace: it reads like the record itself, and the records that it gives are traced too."""

    __slots__ = ("_node", "_trace")

    def __init__(self, node: Node, trace: Trace) -> None:
        self._node, self._trace = node, trace

    def __getattr__(self, name: str) -> Any:
        node, trace = self._node, self._trace
        value = getattr(node, name)
        if value.__class__ in LEAVES:
            trace.read(node, name, value)
            return value
        if not callable(value):
            trace.read(node, name, value)
            return traced(value, trace)

        def asked(*places: Any, **names: Any) -> Any:
            return traced(value(*places, **names), trace)

        return asked

    def __bool__(self) -> bool:
        return bool(self._node)

    def __eq__(self, other: object) -> bool:
        return bool(self._node == plain(other))

    def __hash__(self) -> int:
        return hash(self._node)


def traced(value: T, trace: Trace) -> T:
    """The value with every record in it under the trace; figures were noted when they were read and stay as they are."""
    if value.__class__ in LEAVES:
        return value
    if isinstance(value, Node) and not isinstance(value, Quantity):
        return cast(T, _Traced(value, trace))
    if isinstance(value, tuple | list):
        return cast(T, type(value)(traced(item, trace) for item in value))
    return value


def plain(value: Any) -> Any:
    """The value with every record in it as it is, out of the trace."""
    if isinstance(value, _Traced):
        return value._node
    if isinstance(value, tuple | list):
        return type(value)(plain(item) for item in value)
    return value


def tracing(function: Callable[P, R], trace: Trace) -> Callable[P, R]:
    """The function as a template calls it: records go in traced and come out plain."""

    @wraps(function)
    def called(*places: P.args, **names: P.kwargs) -> R:
        inside: Any = [traced(value, trace) for value in places]
        return cast(R, plain(function(*inside, **names)))

    return called
