"""Colours of a look: how they are written, their contrast on white paper, and a colour near one that passes."""

from __future__ import annotations

import re

__all__ = ["LEAST", "contrast", "is_colour", "nearest_dark"]

#: Contrast of text on white: WCAG 2.2, success criterion 1.4.3 (from memory).
LEAST = 4.5


def is_colour(text: str) -> bool:
    """Whether a text is a colour as #RRGGBB."""
    return re.fullmatch(r"#[0-9A-Fa-f]{6}", text) is not None


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _luminance(channels: tuple[int, ...]) -> float:
    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = map(linear, channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(colour: str) -> float:
    """Contrast of a colour on white, 1 to 21 (WCAG 2.2, relative luminance of sRGB).

    >>> round(contrast("#000000"), 2), round(contrast("#ffffff"), 2), round(contrast("#767676"), 2)
    (21.0, 1.0, 4.54)
    """
    return 1.05 / (_luminance(_channels(colour)) + 0.05)


def nearest_dark(colour: str) -> str:
    """The lightest colour of the same hue, no lighter than the one given, that passes on white.

    >>> nearest_dark("#ffffff"), nearest_dark("#000080")
    ('#767676', '#000080')
    """
    for share in range(1000, -1, -1):
        darker = "#" + "".join(f"{channel * share // 1000:02x}" for channel in _channels(colour))
        if contrast(darker) >= LEAST:
            return darker
    return "#000000"
