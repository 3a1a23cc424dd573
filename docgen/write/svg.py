"""SVG of a drawing: one element, in millimetres, that any browser, word processor or typst can show."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from docgen.compose.drawing import DASHES, FILLS, POINT, Path, plain_paths
from docgen.compose.symbols import COLOURS, FIELD, SYMBOLS

if TYPE_CHECKING:
    from docgen.compose.drawing import Drawing, Text

__all__ = ["number", "svg", "symbol_svg"]


def number(value: float) -> str:
    """A length or coordinate to a thousandth of a millimetre.

    >>> number(12.0), number(0.1804), number(-0.0001)
    ('12', '0.18', '0')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _shade(brightness: float) -> str:
    return "#" + f"{round(brightness * 255):02x}" * 3


def _path(item: Path) -> str:
    points = " ".join(f"{number(x)},{number(y)}" for x, y in item.points)
    ground = FILLS[item.fill]
    look = f' fill="{_shade(ground) if ground is not None and item.closed else "none"}"'
    if item.width:
        look += f' stroke="{_shade(item.ink)}" stroke-width="{number(item.width)}"'
        if DASHES[item.dash]:
            look += f' stroke-linecap="butt" stroke-dasharray="{" ".join(map(number, DASHES[item.dash]))}"'
    part = f' data-part="{item.part}"' if item.part else ""
    return f'<{"polygon" if item.closed else "polyline"}{part} points="{points}"{look}/>'


def _text(item: Text) -> str:
    x, y = number(item.x), number(item.y)
    look = f' font-size="{number(item.size * POINT)}"'
    if item.anchor != "start":
        look += f' text-anchor="{item.anchor}"'
    if item.bold:
        look += ' font-weight="bold"'
    if item.turned:
        look += f' transform="rotate(-90 {x} {y})"'
    part = f' data-part="{item.part}"' if item.part else ""
    return f'<text{part} x="{x}" y="{y}"{look}>{escape(item.text)}</text>'


def svg(drawing: Drawing, title: str = "") -> str:
    """SVG text, the alternative text as its description. With a `title` it stands in a page; without, it is a file."""
    width, height = number(drawing.width), number(drawing.height)
    name = drawing.name.replace(".", "-")
    if title:
        head = f'<title id="t-{name}">{escape(title)}</title><desc id="d-{name}">{escape(drawing.alt)}</desc>'
        role = f' role="img" aria-labelledby="t-{name}" aria-describedby="d-{name}"'
    else:
        head, role = f"<title>{escape(drawing.name)}</title><desc>{escape(drawing.alt)}</desc>", ' role="img"'
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"{role} '
        f"data-name={quoteattr(drawing.name)} font-family=\"Arial, 'Liberation Sans', Helvetica, sans-serif\" "
        'stroke-linecap="round" stroke-linejoin="round">',
        head,
    ]
    for item in drawing.items:
        if isinstance(item, Path):
            lines.extend(_path(piece) for piece in plain_paths(item))
        else:
            lines.append(_text(item))
    return "\n".join([*lines, "</svg>"])


def symbol_svg(name: str, alt: str = "") -> str:
    """SVG text of a symbol. With `alt` it stands in a page and that is its name for whoever does not see it; without, it is a file."""
    label = f"aria-label={quoteattr(alt)}" if alt else 'aria-hidden="true"'
    side = number(FIELD)
    lines = [
        f'<svg class="symbol" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" role="img" data-name="{name}" {label} stroke-linecap="round" stroke-linejoin="round">'
    ]
    for shape in SYMBOLS[name].shapes:
        points = " ".join(f"{number(x)},{number(y)}" for x, y in shape.points)
        colour = COLOURS[shape.colour]
        if shape.filled:
            lines.append(f'<polygon points="{points}" fill="{colour}"/>')
        else:
            lines.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="{number(shape.width)}"/>')
    return "\n".join([*lines, "</svg>"])
