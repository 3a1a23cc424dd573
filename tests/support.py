"""Shared by the tests: the demo sites, a day to judge by, and a way to change a profile in one line."""

from __future__ import annotations

import copy
import re
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from docgen.checked import Assessed
from docgen.codes import Code
from docgen.codes.binding import BindingRules
from docgen.findings import FIRST, about, first
from docgen.findings.model import Assessment, Finding
from docgen.findings.view import View
from docgen.pipeline import check_site, judged
from docgen.read import Source
from docgen.records import NONE
from docgen.site import Site

ROOT = Path(__file__).resolve().parent.parent
SITES = ROOT / "site_profiles"
AS_OF = date(2026, 11, 1)
DEMOS = ("harrow-ridge", "sable-point", "cormorant-quay", "pellan-creek")


def demo(name: str, as_of: date = AS_OF) -> Assessed:
    """A demo site, checked, its path given from the checkout so that output does not depend on the machine."""
    checked = check_site(SITES / name, as_of)
    assert isinstance(checked, Assessed)
    return replace(checked, source=replace(checked.source, file=f"site_profiles/{name}/profile.yaml"), records=NONE)


def judge(source: Source, site: Site, code: Code, as_of: date = AS_OF) -> Assessed:
    """A site under a law on a day, without records or private file."""
    return judged(source, site, BindingRules(code, site), as_of)


def assess(site: Site, code: Code, as_of: date = AS_OF) -> Assessment:
    """Its numbers and findings."""
    return judge(Source("profile.yaml", "", {}, {}, ()), site, code, as_of).assessed


def find(view: View, name: str | None = None) -> tuple[Finding, ...]:
    """What both stages find, acceptances aside; or the findings of one name."""
    rules = [r for r in FIRST if name in (None, r.name)]
    if rules and name is not None:
        return first(view, rules)
    found = first(view)
    return tuple(f for f in (*found, *about(view, found, composed=True)) if name in (None, f.name))


def changed(data: dict, changes: dict[str, object]) -> dict:
    """A copy of profile data with values at paths such as `equipment[D-1].arrest_distance` set; None removes."""
    data = copy.deepcopy(data)
    for path, value in changes.items():
        *parents, last = [p for p in re.split(r"\.|(?=\[)", path) if p]
        node = data
        for step in parents:
            node = _enter(node, step)
        if last.startswith("["):
            node_list, key = node, last[1:-1]
            index = next(
                (i for i, v in enumerate(node_list) if isinstance(v, dict) and key in (v.get("id"), v.get("side"), v.get("kit"))),
                None,
            )
            if value is None:
                del node_list[index]
            elif index is None:
                node_list.append(value)
            else:
                node_list[index] = value
        elif value is None:
            node.pop(last, None)
        else:
            node[last] = value
    return data


def _enter(node, step: str):
    if not step.startswith("["):
        return node.setdefault(step, {})
    key = step[1:-1]
    if key.isdigit():
        return node[int(key)]
    return next(v for v in node if key in (v.get("id"), v.get("side"), v.get("kit")))


def needs(program: str):
    """Skip, with the reason, where a program is absent."""
    return pytest.mark.skipif(shutil.which(program) is None, reason=f"{program} is not installed")
