"""PNG of a logo: held against its own structure and written again with the picture alone (PNG specification, third edition; from memory)."""

from __future__ import annotations

import struct
import zlib

from docgen.look.files import Unfit

__all__ = ["MOST_PIXELS", "MOST_SIDE", "clean_png"]

MOST_SIDE, MOST_PIXELS = 4000, 4_000_000
SIGNATURE = b"\x89PNG\r\n\x1a\n"
KEPT = (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND")
#: Kind of colour -> channels, depths that it may have.
KINDS = {0: (1, (1, 2, 4, 8, 16)), 2: (3, (8, 16)), 3: (1, (1, 2, 4, 8)), 4: (2, (8, 16)), 6: (4, (8, 16))}
#: First column, first row, step of columns and of rows of each pass of an interlaced picture.
PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
AGAIN = "save it again as a plain PNG"


def clean_png(data: bytes, name: str) -> tuple[bytes, int, int]:
    """The same picture without any other chunk, its width and height in pixels. Unfit where it is damaged, too large or no PNG."""
    chunks = _chunks(data, name)
    if [kind for kind, _ in chunks[:1]] != [b"IHDR"] or chunks[-1][0] != b"IEND" or len(chunks[0][1]) != 13:
        raise Unfit(f"'{name}' is a damaged PNG (it does not begin and end as one)", AGAIN)
    width, height, depth, kind, method, filtering, interlaced = struct.unpack(">IIBBBBB", chunks[0][1])
    if kind not in KINDS or depth not in KINDS[kind][1] or method or filtering or interlaced > 1 or not width or not height:
        raise Unfit(f"'{name}' is a damaged PNG (its head is none)", AGAIN)
    if max(width, height) > MOST_SIDE or width * height > MOST_PIXELS:
        raise Unfit(
            f"'{name}' has {width} by {height} pixels",
            f"a logo has at most {MOST_SIDE} pixels a side and {MOST_PIXELS:,} in all; save a smaller one",
        )
    names = [each for each, _ in chunks]
    if any(names.count(each) > 1 for each in KEPT if each != b"IDAT") or (kind == 3) > (b"PLTE" in names):
        raise Unfit(f"'{name}' is a damaged PNG (a part is missing or stands twice)", AGAIN)
    if kind == 3 and len(dict(chunks)[b"PLTE"]) not in range(3, 3 * 2**depth + 1, 3):
        raise Unfit(f"'{name}' is a damaged PNG (its palette does not fit)", AGAIN)
    packed = b"".join(part for each, part in chunks if each == b"IDAT")
    packed = _checked(packed, _rows(width, height, depth * KINDS[kind][0], interlaced), name)
    told = dict(chunks)
    own = [(each, packed if each == b"IDAT" else told[each]) for each in KEPT if each in told and (each != b"PLTE" or kind == 3)]
    return SIGNATURE + b"".join(_chunk(each, part) for each, part in own), width, height


def _chunks(data: bytes, name: str) -> list[tuple[bytes, bytes]]:
    """Every chunk up to the end of the picture; what follows it is dropped."""
    if not data.startswith(SIGNATURE):
        raise Unfit(f"'{name}' is no PNG, whatever its name says", "save it as PNG, or name an SVG")
    found: list[tuple[bytes, bytes]] = []
    at = len(SIGNATURE)
    while at + 12 <= len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        kind, part = data[at + 4 : at + 8], data[at + 8 : at + 8 + size]
        mark = data[at + 8 + size : at + 12 + size]
        if len(part) != size or zlib.crc32(kind + part) != int.from_bytes(mark, "big") or len(mark) != 4:
            raise Unfit(f"'{name}' is a damaged PNG (a part of it is not what its check sum says)", AGAIN)
        if kind[:1].isupper() and kind not in KEPT:
            raise Unfit(f"'{name}' is a PNG with a part that no PNG has", AGAIN)
        found.append((kind, part))
        if kind == b"IEND":
            return found
        at += 12 + size
    raise Unfit(f"'{name}' is a damaged PNG (it ends too early)", AGAIN)


def _rows(width: int, height: int, bits: int, interlaced: int) -> list[int]:
    """Bytes of each row of pixels, its filter byte included, in the order in which they stand."""
    if not interlaced:
        return [1 + (width * bits + 7) // 8] * height
    rows = []
    for left, top, across, down in PASSES:
        columns = (width - left + across - 1) // across
        lines = (height - top + down - 1) // down
        if columns > 0:
            rows += [1 + (columns * bits + 7) // 8] * max(lines, 0)
    return rows


def _checked(packed: bytes, rows: list[int], name: str) -> bytes:
    """The packed picture without what stands behind it: unpacked once, never to more than it may be, and the filter of each row looked at."""
    whole = sum(rows)
    unpacker = zlib.decompressobj()
    try:
        pixels = unpacker.decompress(packed, whole + 1)
    except zlib.error:
        raise Unfit(f"'{name}' is a damaged PNG (its picture cannot be unpacked)", AGAIN) from None
    if len(pixels) != whole or not unpacker.eof:
        raise Unfit(f"'{name}' is a damaged PNG (its picture is not of the size that it says)", AGAIN)
    at = 0
    for size in rows:
        if pixels[at] > 4:
            raise Unfit(f"'{name}' is a damaged PNG (a row is not coded as one)", AGAIN)
        at += size
    return packed[: len(packed) - len(unpacker.unused_data)]


def _chunk(kind: bytes, part: bytes) -> bytes:
    return struct.pack(">I", len(part)) + kind + part + struct.pack(">I", zlib.crc32(kind + part))
