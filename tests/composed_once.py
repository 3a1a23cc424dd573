"""Compositions shared by the tests of one module: the texts of a site are composed once for each state of its profile and law, and a profile
is read, checked and engineered once as long as its file holds the same bytes.

What a body says rests on profile and law alone (`test_happened.py` and `test_trace.py` hold that on compositions made anew), so tests of
records, approvals and comparisons that only need the texts get those of the first test that asked. Nothing is replaced by something
else: the first call runs the real function, and what it gave is frozen.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

import docgen.compose
import docgen.compose.states
import docgen.pipeline
import docgen.profile
import docgen.write.fit

__all__ = ["composed_once"]

_BODIES: dict[Any, Any] = {}
_UNPRINTED: dict[Any, Any] = {}
_OVER: dict[Any, Any] = {}
_READ: dict[Any, Any] = {}
_CHECKED: dict[Any, Any] = {}
_NUMBERS: dict[Any, Any] = {}


def _state(site: Any) -> Any:
    return repr(site), site.answered


def _bodies(real: Callable[..., Any]) -> Callable[..., Any]:
    def once(site: Any, code: Any, assessed: Any, own: Any = (), wanted: Any = ()) -> Any:
        key = (_state(site), code.on, tuple(own), tuple(wanted))
        if key not in _BODIES:
            _BODIES[key] = real(site, code, assessed, own, wanted)
        return {name: dict(by) for name, by in _BODIES[key].items()}

    return once


def _unprinted(real: Callable[..., Any]) -> Callable[..., Any]:
    """Fields that no paper prints: once the sheets were composed for a state of the profile, what they left is known."""

    def once(site: Any, bodies: Any, documents: Any = None) -> Any:
        key = _state(site)
        if documents is None:  # asked whether sheets must be composed
            return () if key in _UNPRINTED else real(site, bodies)
        if documents:
            _UNPRINTED[key] = real(site, bodies, documents)
        return _UNPRINTED[key] if key in _UNPRINTED else real(site, bodies, documents)

    return once


def _overflow(real: Callable[..., Any]) -> Callable[..., Any]:
    """Whether a paper fits its page is asked of the type-setter once for each text of it."""

    def once(document: Any) -> Any:
        key = tuple(
            repr(getattr(document, f.name)) for f in dataclasses.fields(document) if f.name != "tree"
        )  # the tree is the parsed text
        if key not in _OVER:
            _OVER[key] = tuple(real(document))
        return _OVER[key]

    return once


def _read(real: Callable[..., Any]) -> Callable[..., Any]:
    """A profile as read: the same as long as the file under that name holds the same bytes; anything but a file is always looked at."""

    def once(path: Any) -> Any:
        file = Path(path)
        file = file / "profile.yaml" if file.is_dir() else file
        if not file.is_file():
            return real(path)
        key = (str(path), file.read_bytes())
        if key not in _READ:
            _READ[key] = real(path)
        return _READ[key]

    return once


def _checked(real: Callable[..., Any]) -> Callable[..., Any]:
    """The problems of a profile and its ids, of the same data read out of the same text."""

    def once(source: Any) -> Any:
        key = (source.file, source.whole, repr(source.data))
        if key not in _CHECKED:
            _CHECKED[key] = real(source)
        return _CHECKED[key]

    return once


def _engineered(real: Callable[..., Any]) -> Callable[..., Any]:
    """The numbers of a site under the law of a day; the site holds its own answers and rules."""

    def once(site: Any, law: Any) -> Any:
        key = (_state(site), law.law.on)
        if key not in _NUMBERS:
            _NUMBERS[key] = real(site, law)
        return _NUMBERS[key]

    return once


@contextmanager
def composed_once() -> Iterator[None]:
    """Within it each text is composed, and set, once a process."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(docgen.profile, "read_profile", _read(docgen.profile.read_profile))
        patch.setattr(docgen.profile, "check_with_ids", _checked(docgen.profile.check_with_ids))
        patch.setattr(docgen.pipeline, "engineered", _engineered(docgen.pipeline.engineered))
        patch.setattr(docgen.compose, "all_bodies", _bodies(docgen.compose.all_bodies))
        patch.setattr(docgen.compose.states, "unprinted", _unprinted(docgen.compose.states.unprinted))
        patch.setattr(docgen.write.fit, "overflow", _overflow(docgen.write.fit.overflow))
        yield
