"""Which signs the fonts of the papers have: read out of the table `cmap` of the font file (ISO/IEC 14496-22), formats 4 and 12."""

from __future__ import annotations

import re
import struct
from functools import cache

from docgen.errors import DataError
from docgen.resources import data_folder

__all__ = ["signs_of_font", "without_glyph"]

# Most texts hold nothing else, and the font has these; for the hyphen that breaks no line (U+2011) type-setters draw a hyphen.
BEYOND = re.compile("[^\t\n\r\x20-\x7e\xa0-\xff\u2011]")


def without_glyph(text: str) -> tuple[str, ...]:
    """The signs of a text for which the fonts of the papers have no glyph, once each, in order.

    >>> without_glyph("José Łucja, Whāmere, ½ ≤ 30° – 5 kΩ"), without_glyph("漢 x 漢")
    ((), ('漢',))
    """
    beyond = None if text.isascii() else dict.fromkeys(BEYOND.findall(text))
    return tuple(sign for sign in beyond if sign not in signs_of_font()) if beyond else ()


@cache
def signs_of_font(face: str = "Regular") -> frozenset[str]:
    """Every sign of a face. DataError where the file cannot be read."""
    path = data_folder("templates") / "look" / "fonts" / f"LiberationSans-{face}.ttf"
    try:
        data = path.read_bytes()
        tables = (struct.unpack_from(">4sLLL", data, 12 + 16 * n) for n in range(struct.unpack_from(">H", data, 4)[0]))
        begin = next(offset for tag, _, offset, _ in tables if tag == b"cmap")
        count = struct.unpack_from(">H", data, begin + 2)[0]
        starts = {begin + struct.unpack_from(">HHL", data, begin + 4 + 8 * n)[2] for n in range(count)}
        return frozenset(chr(code) for start in starts for code in _codes(data, start))
    except (OSError, struct.error, StopIteration) as error:
        raise DataError(f"{path}: this font cannot be read ({error}); install docgen again") from error


def _codes(data: bytes, start: int) -> set[int]:
    """The code points of one subtable; none of a format for old machines."""
    form = struct.unpack_from(">H", data, start)[0]
    if form == 12:
        groups = struct.unpack_from(">L", data, start + 12)[0]
        spans = (struct.unpack_from(">LLL", data, start + 16 + 12 * n)[:2] for n in range(groups))
        return {code for first, last in spans for code in range(first, last + 1)}
    if form != 4:
        return set()
    count = struct.unpack_from(">H", data, start + 6)[0] // 2
    ends, starts, deltas, offsets = (start + 14, start + 16 + 2 * count, start + 16 + 4 * count, start + 16 + 6 * count)
    found = set()
    for n in range(count):
        last, first, delta, offset = (struct.unpack_from(">H", data, at + 2 * n)[0] for at in (ends, starts, deltas, offsets))
        for code in range(first, last + 1):
            glyph = code + delta
            if offset:
                glyph = struct.unpack_from(">H", data, offsets + 2 * n + offset + 2 * (code - first))[0]
                glyph += delta if glyph else 0
            if glyph % 65536 and code != 0xFFFF:
                found.add(code)
    return found
