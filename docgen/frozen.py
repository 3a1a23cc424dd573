"""Frozen values without the library's compiling: a dataclass decorator whose methods are shared instead of generated.

`dataclasses` compiles up to six methods for each class at every start. With more than a hundred classes a cold check
would feel that; fields, `dataclasses.replace` and `dataclasses.fields` work as usual.
"""

from __future__ import annotations

import dataclasses
from functools import cache
from typing import Any, TypeVar, dataclass_transform

__all__ = ["frozen", "record"]

C = TypeVar("C", bound=type)


@cache
def _form(cls: type) -> tuple[tuple[str, ...], frozenset[str], dict[str, Any], tuple[tuple[str, Any], ...]]:
    """Names in order, those given by name only last, names without a default, defaults, and factories of defaults of a class."""
    fields = dataclasses.fields(cls)
    defaults = {f.name: f.default for f in fields if f.default is not dataclasses.MISSING}
    factories = tuple((f.name, f.default_factory) for f in fields if f.default_factory is not dataclasses.MISSING)
    names = (*(f.name for f in fields if not f.kw_only), *(f.name for f in fields if f.kw_only))
    return names, frozenset(names) - defaults.keys() - {n for n, _ in factories}, defaults, factories


def _init(self: Any, *places: Any, **values: Any) -> None:
    names, required, defaults, factories = _form(self.__class__)
    if places:
        values = _placed(type(self), names, places, values)
    content = self.__dict__
    content.update(defaults)
    for name, factory in factories:
        if name not in values:
            content[name] = factory()
    content.update(values)
    if len(content) != len(names) or not content.keys() >= required:
        _refuse(type(self), names, required, values)


def _placed(cls: type, names: tuple[str, ...], places: tuple[Any, ...], values: dict[str, Any]) -> dict[str, Any]:
    if len(places) > len(names):
        raise TypeError(f"{cls.__name__} has {len(names)} fields, {len(places)} values were given")
    if twice := values.keys() & set(names[: len(places)]):
        raise TypeError(f"{cls.__name__} was given {sorted(twice)[0]!r} twice")
    return dict(zip(names, places, strict=False)) | values


def _refuse(cls: type, names: tuple[str, ...], required: frozenset[str], values: dict[str, Any]) -> None:
    if unknown := values.keys() - set(names):
        raise TypeError(f"{cls.__name__} has no field {sorted(unknown)[0]!r}")
    raise TypeError(f"{cls.__name__} needs {sorted(required - values.keys())[0]!r}")


def _set(self: Any, name: str, value: Any) -> None:
    raise dataclasses.FrozenInstanceError(f"{type(self).__name__}.{name} cannot be changed")


def _delete(self: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"{type(self).__name__}.{name} cannot be removed")


@cache
def _compares(cls: type) -> tuple[str, ...]:
    return tuple(f.name for f in dataclasses.fields(cls) if f.compare)


def _compared(self: Any) -> tuple[Any, ...]:
    return tuple([getattr(self, name) for name in _compares(self.__class__)])


def _equal(self: Any, other: object) -> bool:
    return type(other) is type(self) and _compared(self) == _compared(other)


def _hash(self: Any) -> int:
    return hash((type(self), *_compared(self)))


def _repr(self: Any) -> str:
    shown = (f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self) if f.repr)
    return f"{type(self).__name__}({', '.join(shown)})"


_METHODS = {
    "__init__": _init, "__setattr__": _set, "__delattr__": _delete, "__eq__": _equal, "__hash__": _hash, "__repr__": _repr,
}  # fmt: skip


@dataclass_transform(frozen_default=True, field_specifiers=(dataclasses.field,))
def frozen(cls: C) -> C:
    """Make a class a frozen dataclass, built from positions or keywords, equal when every compared field is.

    >>> @frozen
    ... class Point:
    ...     x: int
    ...     y: int = 0
    >>> Point(1), Point(y=2, x=1) == Point(1, 2), dataclasses.replace(Point(1), y=5).y
    (Point(x=1, y=0), True, 5)
    """
    own = vars(cls).keys()
    if cls.__doc__ is None:
        cls.__doc__ = f"{cls.__name__}, frozen."  # or the library writes a signature here, three times the work of all the rest
    dataclasses.dataclass(init=False, repr=False, eq=False)(cls)
    for name, method in _METHODS.items():
        if name not in own:
            setattr(cls, name, method)
    return cls


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(dataclasses.field,))
def record(cls: C) -> C:
    """As `frozen`, for what is built by names: fields with a default and fields without may stand in any order."""
    return frozen(cls)
