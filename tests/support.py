"""Shared by the tests: the demo sites, a day to judge by, and a way to change a profile in one line."""

from __future__ import annotations

import copy
import re
import shutil
from datetime import date
from pathlib import Path

import pytest

from docgen.checked import Checked
from docgen.pipeline import check_site
from docgen.read import Source

ROOT = Path(__file__).resolve().parent.parent
SITES = ROOT / "site_profiles"
AS_OF = date(2026, 11, 1)
DEMOS = ("harrow-ridge", "sable-point", "cormorant-quay", "pellan-creek")


def demo(name: str, as_of: date = AS_OF) -> Checked:
    """A demo site, checked, its path given from the checkout so that output does not depend on the machine."""
    checked = check_site(SITES / name, as_of)
    source = checked.source
    file = f"site_profiles/{name}/profile.yaml"
    return Checked(
        Source(file, source.text, source.data, source.marks, source.problems),
        as_of,
        checked.problems,
        checked.site,
        checked.code,
        checked.assessed,
    )


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
