"""The dataclass decorator: built and refused like the library's, and unchangeable."""

import dataclasses
import pickle

import pytest

from docgen.frozen import frozen


@frozen
class Point:
    x: int
    y: int = 0
    tags: list = dataclasses.field(default_factory=list, compare=False)


def test_built_from_positions_and_keywords():
    """Positions and keywords give equal values; defaults and factories fill in."""
    assert Point(1) == Point(x=1, y=0)
    assert Point(1).tags == []
    assert Point(1).tags is not Point(1).tags
    assert hash(Point(1, 2)) == hash(Point(1, y=2))
    assert repr(Point(1, 2)) == "Point(x=1, y=2, tags=[])"
    assert dataclasses.replace(Point(1), y=5) == Point(1, 5)
    assert pickle.loads(pickle.dumps(Point(1, 2))) == Point(1, 2)


@pytest.mark.parametrize(("places", "named", "words"), [
    ((), {}, "needs 'x'"), ((1, 2, [], 4), {}, "3 fields"), ((1,), {"x": 2}, "'x' twice"), ((1,), {"z": 2}, "no field 'z'"), ((), {"y": 1, "z": 2}, "no field 'z'"),
])  # fmt: skip
def test_wrong_values_are_refused(places, named, words):
    """A missing, doubled or unknown field is named."""
    with pytest.raises(TypeError, match=words):
        Point(*places, **named)


def test_unchangeable():
    """No field can be set or removed afterwards."""
    point = Point(1)
    with pytest.raises(dataclasses.FrozenInstanceError):
        point.x = 2
    with pytest.raises(dataclasses.FrozenInstanceError):
        del point.y
