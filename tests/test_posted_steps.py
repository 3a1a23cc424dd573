"""Which post does which step: said under posts, or where no post of a shift says it, by who of the methods."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from support import SITES

from docgen.read import read_profile
from docgen.site import Site, build
from docgen.unknown import without_unknown


def site(name: str, change: Callable[[Any], None] = lambda data: None) -> Site:
    source, _ = without_unknown(read_profile(SITES / name))
    data = copy.deepcopy(source.data)
    change(data)
    return build(replace(source, data=data))


def unsaid(data: Any) -> None:
    """No post says its steps."""
    for shift in data["shifts"]:
        for post in shift["posts"]:
            post.pop("steps", None)


def steps(of: Site) -> dict[tuple[str, str], frozenset[str]]:
    return {(shift.id, post.post): frozenset(post.steps) for shift in of.shifts for post in shift.posts}


@pytest.mark.parametrize("name", ["harrow-ridge", "pellan-creek"])
def test_who_gives_what_people_wrote(name):
    """On the full demos it comes to what stands there by hand, post by post."""
    by_hand = steps(site(name))
    assert any(by_hand.values())
    assert steps(site(name, unsaid)) == by_hand


def test_one_post_that_says_its_steps_keeps_all_as_written():
    """Nothing is added to a shift that says some: what lacks is found, not filled."""

    def one(data: Any) -> None:
        kept = data["shifts"][0]["posts"][3]["steps"]
        unsaid(data)
        data["shifts"][0]["posts"][3]["steps"] = kept

    first = site("harrow-ridge", one).shifts[0]
    assert [bool(post.steps) for post in first.posts] == [n == 3 for n in range(len(first.posts))]


def test_where_two_could_be_meant_none_is():
    """Two attendants, or one rescuer for two: the step stands on nobody, and a finding says so."""

    def two(data: Any) -> None:
        unsaid(data)
        posts = data["shifts"][0]["posts"]
        posts.append({**posts[2], "post": "Second attendant"})
        posts[:] = [p for p in posts if p["post"] != "Rescuer 2"]

    first = site("harrow-ridge", two).shifts[0]
    assert all(not post.steps for post in first.posts if post.part == "attendant")
    assert "M1.rescuer" in next(post.steps for post in first.posts if post.part == "rescuer")
    assert not any("M2.attach" in post.steps for post in first.posts)
