"""The experiment on the trace: change one field of a profile, compose again, and look which clauses moved without a changed input."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import yaml
from support import AS_OF, SITES, demo, judge

from docgen.check import check
from docgen.codes import load
from docgen.codes.binding import BindingRules
from docgen.compose import all_bodies
from docgen.errors import DocgenError
from docgen.site import build
from docgen.units import UnitProblem

__all__ = ["Experiment", "leaves", "named"]

Leaf = tuple[str | int, ...]
NUMBER = re.compile(r"\d+(?:\.\d+)?")
DAY = re.compile(r"\d{4}-\d\d-\d\d")


def leaves(data: Any, at: Leaf = ()) -> Iterator[tuple[Leaf, Any]]:
    """Every single value of a profile with the way to it."""
    if isinstance(data, dict | list):
        for key, inner in data.items() if isinstance(data, dict) else enumerate(data):
            yield from leaves(inner, (*at, key))
    else:
        yield at, data


def named(leaf: Leaf) -> str:
    """The way to a value in words: `bays[0].rail.underside`."""
    return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in leaf).lstrip(".")


def _kind(leaf: Leaf) -> tuple[str, ...]:
    return tuple(step for step in leaf if isinstance(step, str))


def _seen() -> Mapping[tuple[str, ...], list[Any]]:
    """What stands at each kind of place in any demo: other right values of a field that takes only some."""
    found: dict[tuple[str, ...], list[Any]] = {}
    for path in sorted(SITES.glob("*/profile.yaml")):
        for leaf, value in leaves(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)):
            values = found.setdefault(_kind(leaf), [])
            if value not in values:
                values.append(value)
    return found


class Experiment:
    """One demo: its bodies as they are, and what moves when a field is changed."""

    def __init__(self, name: str) -> None:
        self.checked = demo(name)
        self.data = self.checked.source.data
        self.leaves = dict(leaves(self.data))
        self.before = self._clauses(self.checked)
        self.elsewhere = _seen()
        self.moved = 0

    def _clauses(self, checked: Any) -> Mapping[str, Any]:
        bodies = all_bodies(checked.site, checked.code, checked.assessed)
        return {c.id: c for versions in bodies.values() for body in versions.values() for c in body.clauses}

    def unexplained(self, leaf: Leaf, *values: Any) -> list[str] | None:
        """Clauses whose text moved and whose inputs did not when the field was changed to the first of the values that is right.

        Without values others are tried; None where none is right there.
        """
        for value in values or self._others(leaf):
            after = self._composed(leaf, value)
            if after is None:
                continue
            moved = [key for key, old in self.before.items() if key in after and after[key].text != old.text]
            self.moved += len(moved)
            return [key for key in moved if after[key].inputs == self.before[key].inputs]
        return None

    def _composed(self, leaf: Leaf, value: Any) -> Mapping[str, Any] | None:
        data = copy.deepcopy(self.data)
        node = data
        for step in leaf[:-1]:
            node = node[step]
        node[leaf[-1]] = value
        source = replace(self.checked.source, data=data)
        try:
            if check(source):
                return None
            site = build(source)
            code = load(site.site.jurisdiction, site.site.sector, site.document.effective or AS_OF)
            BindingRules(code, site)
        except (DocgenError, UnitProblem):
            return None
        return self._clauses(judge(source, site, code))

    def _others(self, leaf: Leaf) -> Iterator[Any]:
        """Other values to try, the likeliest to be right first."""
        old = self.leaves[leaf]
        if isinstance(old, bool):
            yield not old
        elif isinstance(old, int | float):
            yield from (old + 1, max(old - 1, 0), old * 1.1)
        elif isinstance(old, date) or DAY.fullmatch(old):
            day = old if isinstance(old, date) else date.fromisoformat(old)
            yield from ((day + timedelta(days=n)).isoformat() for n in (-1, 1))
        else:
            if NUMBER.match(old) and re.search(r"[a-z%]", old):
                yield from (NUMBER.sub(lambda m, by=by: f"{float(m[0]) + by:g}", old, count=1) for by in (0.25, 1, -0.25, -1))
            yield from (f"{old} again", re.sub(r"\d(?=\D*$)", lambda m: str((int(m[0]) + 1) % 10), old))
        yield from (v for v in self.elsewhere.get(_kind(leaf), ()) if v != old)
        yield from (v for k, v in self.leaves.items() if k[-1] == "id" and isinstance(v, str) and v != old)
