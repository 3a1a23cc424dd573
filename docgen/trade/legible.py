"""How far the type of a posted paper can be read: the height of its capitals times a distance for each unit of it, by the light."""

from __future__ import annotations

from docgen.trade.practice import practice

__all__ = ["reading_distance"]

POINT = 0.0254 / 72  # m; the point of a type-setter of today


def reading_distance(size: float, lit: bool) -> float:
    """Distance in m from which type of a size in points is read, in good light or in a dim one.

    Source: ANSI Z535.2, letter heights, as practice.yaml has them; the capitals are those of the fonts of the papers.

    >>> round(reading_distance(40, lit=True), 3), round(reading_distance(40, lit=False), 3)
    (2.908, 1.386)
    """
    light = practice("reading_distance_lit" if lit else "reading_distance_dim")
    return size * POINT * practice("capital_of_type").si * light.si
