"""How far a posted paper serves: the height of its capitals, or of its symbols, times a distance for each unit of it, by the light."""

from __future__ import annotations

from docgen.trade.practice import practice

__all__ = ["reading_distance", "symbol_distance"]

POINT = 0.0254 / 72  # m; the point of a type-setter of today


def reading_distance(size: float, lit: bool) -> float:
    """Distance in m from which type of a size in points is read, in good light or in a dim one.

    Source: ANSI Z535.2, letter heights, as practice.yaml has them; the capitals are those of the fonts of the papers.

    >>> round(reading_distance(40, lit=True), 3), round(reading_distance(40, lit=False), 3)
    (2.908, 1.386)
    """
    light = practice("reading_distance_lit" if lit else "reading_distance_dim")
    return size * POINT * practice("capital_of_type").si * light.si


def symbol_distance(height: float, lit: bool) -> float:
    """Distance in m from which a symbol of a height in points is told, in good light or in a dim one.

    Source: ISO 3864-1, factor of distance, as practice.yaml has it.

    >>> round(symbol_distance(144, lit=True), 3), round(symbol_distance(144, lit=False), 3)
    (3.048, 1.524)
    """
    return height * POINT * practice("symbol_distance_lit" if lit else "symbol_distance_dim").si
